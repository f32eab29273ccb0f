// SPDX-License-Identifier: GPL-3.0-or-later
// What tests of the language share: a bench with memory and a session on it, files and folders.
// Include it after cmocka.h.
#ifndef PITLEAF_TESTS_SUPPORT_H
#define PITLEAF_TESTS_SUPPORT_H

#include "pitleaf/model.h"

#include <stdbool.h>
#include <stddef.h>

// ---------------------------------------------------------------- the bench

/// What one test works with; all of it is freed behind the test, whether it passed or not.
struct pl_bench {
  struct pl_guard *guard;
  struct pl_arena *arena;
  struct pl_session *session; ///< without libraries and without a root of its own
  struct pl_program *program; ///< the newest that pl_bench_program made
  const char *folder;         ///< from where it includes; "." at first
  struct pl_arena *own;       ///< what the test starts with, and what is freed behind it
  struct pl_arena *spare;     ///< null, or freed behind the test, too
  char own_folder[32];        ///< of a folder test: its path
  void (*body)(struct pl_bench *bench);
  const char *subject; ///< of a test that is one of a table's
};

/// What a test is made of: its body, and its row of a table.
struct pl_bench_case {
  void (*body)(struct pl_bench *bench);
  const char *subject;
};

/// cmocka's three functions for a test on a bench; `*state` is a `pl_bench_case` at first.
int pl_bench_new(void **state);
void pl_bench_run(void **state);
int pl_bench_free(void **state);

/// A test whose body gets a bench. Stands in an initializer inside a function.
#define PL_BENCH_TEST(function)                                                                \
  {                                                                                            \
#function, pl_bench_run, pl_bench_new, pl_bench_free, &(struct pl_bench_case) {            \
      (function), ""                                                                           \
    }                                                                                          \
  }

/// The same two for a test that has an empty working folder of its own, in which nothing above
/// is a work tree; it is removed behind the test with all that is in it.
int pl_folder_new(void **state);
int pl_folder_free(void **state);

/// A test whose body gets a bench in an empty working folder.
#define PL_FOLDER_TEST(function)                                                               \
  {                                                                                            \
#function, pl_bench_run, pl_folder_new, pl_folder_free, &(struct pl_bench_case) {          \
      (function), ""                                                                           \
    }                                                                                          \
  }

/// A program made of a source in memory, called test.leaf; it replaces the bench's last one.
struct pl_program *pl_bench_program(struct pl_bench *bench, const char *text);

/// The value of an expression that stands in no block; what is wrong with it is among the
/// problems of the bench's program.
struct pl_value pl_bench_value(struct pl_bench *bench, const char *expression);

/// The setup of a program made of `text`, resolved and checked; null if it has none.
const struct pl_setup *pl_bench_setup(struct pl_bench *bench, const char *text);

/// The codes of the program's problems in their order, with blanks between them; "" for none.
const char *pl_bench_problems(struct pl_bench *bench);

/// All problems of the program as they are shown, without colour, 80 columns wide.
const char *pl_bench_shown(struct pl_bench *bench);

/// Fails the test unless exactly these problems were found, in this order.
#define assert_problems(bench, codes) assert_string_equal(pl_bench_problems(bench), (codes))

// ---------------------------------------------------------------- files

/// The top folder of the checkout.
const char *pl_test_root(void);

/// A file's bytes with a NUL behind them, or null if there is no such file.
char *pl_test_read(struct pl_arena *arena, const char *path, size_t *length);

/// The same; fails the test if there is no such file.
const char *pl_test_read_there(struct pl_arena *arena, const char *path, size_t *length);

/// Writes a file anew; fails the test if that is impossible.
void pl_test_write(const char *path, const char *bytes, size_t length);
void pl_test_write_text(const char *path, const char *text);

/// The names of a folder's entries that end so, sorted; a folder that is not there has none.
/// Free it with pl_test_names_free.
struct pl_test_names {
  char **names;
  size_t count;
};
struct pl_test_names pl_test_names_in(const char *folder, const char *ending);
/// The same of all folders below `folder`, as paths that begin with it.
struct pl_test_names pl_test_names_below(const char *folder, const char *ending);
void pl_test_names_free(struct pl_test_names *names);

#endif
