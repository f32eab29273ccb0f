// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets as display lists against golden files: NAME.leaf in tests/golden/sheet/ gives
// NAME.boxes, marked against NAME-base.leaf if there is one; NAME-german.boxes is the same in
// German. With PITLEAF_ACCEPT=1 the golden
// files are written anew; on a difference NAME.actual is written beside them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <string.h>

#include "pitleaf/sheet.h"
#include "support.h"

/// The figures of a file beside the golden ones, or null if there is no such file.
static struct pl_figures *figures_of(struct pl_bench *bench, const char *file,
                                     struct pl_figures *base) {
  const char *const path =
      pl_format(bench->arena, "%s/tests/golden/sheet/%s", pl_test_root(), file);
  size_t length = 0;
  const char *const bytes = pl_test_read(bench->arena, path, &length);
  if (bytes == NULL) return NULL;
  struct pl_source *const source =
      pl_source_of_bytes(bench->arena, file, (const unsigned char *)bytes, length);
  struct pl_program *const program =
      pl_program_of_source(bench->session, bench->arena, source, ".");
  const struct pl_setup *const setup = pl_program_setup(program, NULL);
  assert_non_null(setup);
  assert_int_equal(pl_program_problems(program)->errors, 0);
  return pl_figures_new(setup, base);
}

static void compare_with_golden(struct pl_bench *bench, const char *actual) {
  const char *const path =
      pl_format(bench->arena, "%s/tests/golden/sheet/%s", pl_test_root(), bench->subject);
  const char *const golden = pl_format(bench->arena, "%s.boxes", path);
  if (getenv("PITLEAF_ACCEPT") != NULL) pl_test_write(golden, actual, strlen(actual));
  size_t length = 0;
  const char *const expected = pl_test_read(bench->arena, golden, &length);
  if (expected != NULL && strcmp(expected, actual) == 0) return;
  pl_test_write(pl_format(bench->arena, "%s.actual", path), actual, strlen(actual));
  fail_msg("%s.boxes differs from what is in %s.actual", bench->subject, path);
}

/// The template that a subject is printed with.
static struct pl_template_choice template_of(struct pl_bench *bench) {
  if (strstr(bench->subject, "german") == NULL)
    return (struct pl_template_choice){.name = strstr(bench->subject, "club") != NULL ? "club"
                                                                                      : NULL};
  struct pl_program *const program = pl_program_load(
      bench->session, bench->arena,
      pl_format(bench->arena, "%s/sheets/languages/german/race-sheet.leaf", pl_test_root()));
  return (struct pl_template_choice){.name = pl_template_only(program), .program = program};
}

static void the_sheet_is_as_before(struct pl_bench *bench) {
  const char *const language = strstr(bench->subject, "-german");
  const char *const name = language == NULL ? bench->subject
                                            : pl_copy_text(bench->arena, bench->subject,
                                                           (size_t)(language - bench->subject));
  struct pl_figures *const base =
      figures_of(bench, pl_format(bench->arena, "%s-base.leaf", name), NULL);
  struct pl_figures *const figures =
      figures_of(bench, pl_format(bench->arena, "%s.leaf", name), base);
  assert_non_null(figures);
  const enum pl_unit_system system = strstr(name, "imperial") != NULL ? PL_IMPERIAL : PL_METRIC;
  const struct pl_template_choice wanted = template_of(bench);
  const struct pl_sheet_request request = {
      .figures = figures,
      .base = base,
      .comparison = base == NULL ? NULL : pl_compare(bench->arena, base, figures, system),
      .templates = &wanted,
      .template_count = 1,
      .system = system,
      .version = "0"};
  const struct pl_paper *const paper =
      pl_sheet_new(bench->arena, &request, pl_diagnostics_new(bench->arena));
  assert_non_null(paper);
  compare_with_golden(bench, pl_paper_as_text(bench->arena, paper));
}

int main(void) {
  static struct pl_bench_case cases[] = {{the_sheet_is_as_before, "bare"},
                                         {the_sheet_is_as_before, "marks"},
                                         {the_sheet_is_as_before, "marks-german"},
                                         {the_sheet_is_as_before, "sides-imperial"},
                                         {the_sheet_is_as_before, "club"}};
  struct CMUnitTest tests[sizeof cases / sizeof cases[0]];
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    tests[i] = (struct CMUnitTest){cases[i].subject, pl_bench_run, pl_bench_new, pl_bench_free,
                                   &cases[i]};
  return cmocka_run_group_tests_name("pages of sheets", tests, NULL, NULL);
}
