// SPDX-License-Identifier: GPL-3.0-or-later
// A setup from a text or a file of the repository, for tests of figures, comparison and
// reports. Include it after cmocka.h.
#ifndef PITLEAF_TESTS_FIGURES_SETUP_H
#define PITLEAF_TESTS_FIGURES_SETUP_H

#include <string.h>

#include "pitleaf/base.h"
#include "pitleaf/figures.h"
#include "pitleaf/model.h"

/// What a test works in; one for each test, freed at its end.
struct bench {
  struct pl_guard *guard;
  struct pl_arena *arena;
  struct pl_session *session;
  void (*work)(struct bench *bench);
};

static void bench_begin(void *context) {
  struct bench *const bench = context;
  bench->arena = pl_arena_new(bench->guard);
  const struct pl_session_options options = {.root = NULL};
  bench->session = pl_session_new(bench->arena, bench->guard, &options);
  bench->work(bench);
}

/// Runs a test's work with memory and a session, and frees both.
static inline void with_bench(void (*work)(struct bench *bench)) {
  struct bench bench = {.guard = pl_guard_new(), .work = work};
  assert_non_null(bench.guard);
  assert_true(pl_with_memory(bench.guard, bench_begin, &bench));
  pl_arena_free(bench.arena);
  pl_guard_free(bench.guard);
}

static inline struct pl_program *program_of(struct bench *bench, const char *text) {
  struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "test.leaf", (const unsigned char *)text, strlen(text));
  return pl_program_of_source(bench->session, bench->arena, source, ".");
}

/// A file of the repository, by its path there.
static inline struct pl_program *program_of_file(struct bench *bench, const char *path) {
  const char *const root = getenv("PITLEAF_ROOT");
  return pl_program_load(bench->session, bench->arena,
                         pl_join_path(bench->arena, root == NULL ? "." : root, path));
}

/// The figures of a program's setup (null: its only one), against a base or null.
static inline struct pl_figures *figures_in(struct pl_program *program, const char *name,
                                            struct pl_figures *base) {
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  const struct pl_setup *const setup = pl_program_setup(program, name);
  for (size_t i = 0; setup == NULL && i < problems->count; i++)
    print_error("%s\n", problems->items[i].message);
  assert_non_null(setup);
  return pl_figures_new(setup, base);
}

static inline struct pl_figures *figures_of(struct bench *bench, const char *text) {
  struct pl_program *const program = program_of(bench, text);
  struct pl_figures *const figures = figures_in(program, NULL, NULL);
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  for (size_t i = 0; i < problems->count; i++)
    if (pl_diagnostic_rows[problems->items[i].code].severity == PL_ERROR)
      fail_msg("the test's text has a mistake: %s", problems->items[i].message);
  return figures;
}

/// A figure's value in SI; fails if it is absent.
static inline double value_at(struct pl_figures *figures, enum pl_figure figure,
                              enum pl_place place) {
  const struct pl_figure_value *const value = pl_figure_get(figures, figure, place);
  if (!value->present)
    fail_msg("%s.%s is absent and needs %s", pl_place_name(place), pl_figure_rows[figure].key,
             value->need_count > 0 ? value->needs[0] : "nothing");
  return value->value;
}

/// How many of the problems have that code.
static inline size_t problems_with(const struct pl_figures *figures, const char *code) {
  const struct pl_diagnostics *const problems =
      pl_program_problems(pl_setup_program(pl_figures_setup(figures)));
  size_t count = 0;
  for (size_t i = 0; i < problems->count; i++)
    count += strcmp(pl_diagnostic_rows[problems->items[i].code].code, code) == 0;
  return count;
}

/// The message of the first problem of that code; fails if there is none.
static inline const struct pl_diagnostic *problem_of(struct pl_figures *figures,
                                                     const char *code) {
  const struct pl_diagnostics *const problems =
      pl_program_problems(pl_setup_program(pl_figures_setup(figures)));
  for (size_t i = 0; i < problems->count; i++)
    if (strcmp(pl_diagnostic_rows[problems->items[i].code].code, code) == 0)
      return &problems->items[i];
  fail_msg("no problem is called %s", code);
  return NULL;
}

static inline const char *message_of(struct pl_figures *figures, const char *code) {
  return problem_of(figures, code)->message;
}

#endif
