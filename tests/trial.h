// SPDX-License-Identifier: GPL-3.0-or-later
// Trials: runs of the program in which a call fails (limits/faults_preload.c), and what came of
// each. Include it after cmocka.h.
#ifndef PITLEAF_TESTS_TRIAL_H
#define PITLEAF_TESTS_TRIAL_H

#include "limits/faults.h"

#include <stdbool.h>
#include <stddef.h>

/// Most files that a command writes here.
#define PL_OUTPUT_LIMIT 4

/// A file that a command may write: its name in the working folder, and what stands there
/// before. "old" is left out of every other trial, other texts are what the command works on.
struct pl_output {
  const char *name;
  const char *before;
};

/// A file that a command only reads: its text, or, where that is null, a path from the top
/// folder of the checkout.
struct pl_input {
  const char *name;
  const char *text;
  const char *from;
};

/// A command, and the files that it works with.
struct pl_scene {
  const char *name;
  const char *arguments[12];
  struct pl_output outputs[PL_OUTPUT_LIMIT + 1];
};

/// What happens to a call, in the words of PITLEAF_FAULT; else an errno.
#define PL_HALF              (-1)
#define PL_BY_SIGNAL(number) (-100 - (number))

struct pl_bytes {
  char *bytes; ///< with a NUL behind them; null: there is no such file
  size_t length;
};

bool pl_same_bytes(struct pl_bytes one, struct pl_bytes other);

/// What came of a trial. Free it with pl_trial_free.
struct pl_trial {
  int status; ///< as waitpid gives it
  struct pl_bytes out;
  struct pl_bytes err;
  struct pl_bytes outputs[PL_OUTPUT_LIMIT];
  long blocks; ///< of memory that were not given back; LONG_MIN: it did not come to that
  long calls[PL_FAULT_COUNT];
};

/// Makes the folder in which trials run, with what commands read. False if it cannot be, or if
/// there is nothing to make faults.
bool pl_trials_begin(const struct pl_input *inputs, size_t count);
/// Removes it.
bool pl_trials_end(void);

/// Runs a command; `order` is PITLEAF_FAULT. `with_old`: files called "old" are there before.
void pl_trial_run(const struct pl_scene *scene, const char *order, bool with_old,
                  struct pl_trial *trial);
void pl_trial_free(struct pl_trial *trial);

/// Is there a file in the folder that is neither read nor written by the command? It is
/// removed, so that the next trial does not find it, too.
bool pl_trial_left(const struct pl_scene *scene);

#endif
