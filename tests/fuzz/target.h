// SPDX-License-Identifier: GPL-3.0-or-later
// What the fuzz targets share. A target is one function, `try_input`: it does with an input
// what the program would, and ends the run by `broken` where a promise does not hold. The
// sanitizers end it at everything else.
#ifndef PITLEAF_TESTS_FUZZ_TARGET_H
#define PITLEAF_TESTS_FUZZ_TARGET_H

#include "pitleaf/model.h"
#include "pitleaf/report.h"

/// What one input is worked on with; all of it is gone behind it.
struct target {
  struct pl_guard *guard;
  struct pl_arena *arena;
  struct pl_session *session; ///< includes lead into the folder and, as a library, into sheets/
  const char *folder;         ///< for the files of inputs: one for each target
  const char *library;        ///< sheets/ of the checkout
  const unsigned char *bytes; ///< with a NUL behind them
  size_t length;
};

/// Works on one input.
void try_input(struct target *target);

/// Ends the run: this was promised, and does not hold.
_Noreturn void broken(const char *format, ...) __attribute__((format(printf, 1, 2)));

// ---------------------------------------------------------------- inputs of several parts

/// Part of an input: it stands behind a line `#@ HEAD`, as far as the next such line.
struct part {
  const char *head; ///< of the first part: ""
  const char *bytes;
  size_t length;
};

/// Most parts of an input; what follows belongs to the last one.
#define PART_LIMIT 24

/// Cuts an input into its parts; returns how many there are, one at the least.
size_t parts_of(struct target *target, struct part parts[PART_LIMIT]);

/// Writes the parts as files and returns the path of the first, entry.leaf. The others are
/// called as they say: second.leaf, third.leaf or logo.png.
const char *write_files(struct target *target);

// ---------------------------------------------------------------- what is done with programs

/// Ends the run if the program read a file that is neither in the folder nor in the library.
void check_files(struct target *target, const struct pl_program *program);

/// Reads entry.leaf as a stranger's file, and checks everything in it. Null if it cannot be
/// read.
struct pl_program *checked_entry(struct target *target);

/// The program's problems in all forms.
void tell_problems(struct target *target, struct pl_program *program);

/// Figures of the main file's setup of that number, checked; null if there is none.
struct pl_figures *figures_of(struct pl_program *program, size_t which);

/// How the commands print.
extern const struct pl_text_style metric_style;
extern const struct pl_text_style imperial_style;

/// Ends the run if the text is no JSON.
void check_json(const char *what, const char *text);

#endif
