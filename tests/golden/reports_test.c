// SPDX-License-Identifier: GPL-3.0-or-later
// The demo's reports, whole, as they were read and found good. PITLEAF_ACCEPT=1 writes them
// anew; a text that differs is left beside the accepted one as NAME.actual.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include <cmocka.h>

#include "pitleaf/report.h"
#include "unit/figures_setup.h"

static const char dry[] = "sheets/sluice-lane/plover-dry.leaf";
static const char wet[] = "sheets/sluice-lane/plover-wet.leaf";
static const char base[] = "sheets/cars/plover/baseline.leaf";
static const char oval[] = "sheets/short-oval/knot.leaf";

static const struct pl_figure_choice all_figures = {NULL, 0};
static const struct pl_text_style metric = {.width = 80, .system = PL_METRIC};
static const struct pl_text_style imperial = {.width = 80, .system = PL_IMPERIAL};

static struct pl_figures *load(struct bench *bench, const char *path,
                               struct pl_figures *against) {
  return figures_in(pl_program_load(bench->session, bench->arena, path), NULL, against);
}

static const char *figures_text(struct bench *bench) {
  return pl_figures_text(bench->arena, load(bench, dry, NULL), &all_figures, &metric);
}

static const char *figures_imperial(struct bench *bench) {
  return pl_figures_text(bench->arena, load(bench, oval, NULL), &all_figures, &imperial);
}

static const char *compared(struct bench *bench, const char *from, const char *to) {
  struct pl_figures *const before = load(bench, from, NULL);
  struct pl_figures *const after = load(bench, to, before);
  return pl_comparison_text(bench->arena, pl_compare(bench->arena, before, after, PL_METRIC),
                            &metric);
}

static const char *compare_base(struct bench *bench) {
  return compared(bench, base, dry);
}

static const char *compare_wet(struct bench *bench) {
  return compared(bench, dry, wet);
}

static const char *explain_ratio(struct bench *bench) {
  return pl_explain_figure(bench->arena, load(bench, wet, NULL), PL_FIGURE_DAMPING_RATIO_SLOW,
                           PL_REAR_LEFT, &metric);
}

static const char *explain_preload(struct bench *bench) {
  return pl_explain_setting(bench->arena, pl_figures_setup(load(bench, dry, NULL)),
                            PL_SETTING_PRELOAD, PL_SETTING_COUNT, PL_REAR_LEFT, &metric);
}

static const char *describe_figure(struct bench *bench) {
  return pl_describe_key(bench->arena, "wheel-rate", &metric);
}

static const char *describe_setting(struct bench *bench) {
  return pl_describe_key(bench->arena, "limiter", &metric);
}

/// A report and the name of its accepted text.
struct golden {
  const char *name;
  const char *(*report)(struct bench *bench);
};

static const struct golden goldens[] = {
    {"figures-plover-dry", figures_text},     {"figures-knot-imperial", figures_imperial},
    {"compare-plover-dry", compare_base},     {"compare-plover-wet", compare_wet},
    {"explain-damping-ratio", explain_ratio}, {"explain-preload", explain_preload},
    {"describe-wheel-rate", describe_figure}, {"describe-limiter", describe_setting}};
#define GOLDENS (sizeof goldens / sizeof goldens[0])

static const char *path_of(struct bench *bench, const char *name, const char *ending) {
  return pl_format(bench->arena, "tests/golden/%s.%s", name, ending);
}

static void write_text(struct bench *bench, const char *name, const char *ending,
                       const char *text) {
  const int error =
      pl_write_whole(path_of(bench, name, ending), (const unsigned char *)text, strlen(text));
  assert_int_equal(error, 0);
}

/// The accepted text; "" if there is none.
static const char *accepted_text(struct bench *bench, const char *name) {
  const char *const path = path_of(bench, name, "txt");
  enum pl_file_status status = PL_FILE_OK;
  const char *const real = pl_real_path(bench->arena, path, &status);
  struct pl_source *source = NULL;
  if (real == NULL || pl_read_source(bench->arena, path, real, &source) != PL_FILE_OK)
    return "";
  return (const char *)source->bytes;
}

/// The number of the first line that differs.
static unsigned line_of_difference(const char *a, const char *b) {
  unsigned line = 1;
  for (; *a == *b && *a != '\0'; a++, b++) line += *a == '\n';
  return line;
}

static void check_golden(struct bench *bench, const struct golden *golden) {
  const char *const text = golden->report(bench);
  assert_true(strlen(text) > 80);
  const char *const accept = getenv("PITLEAF_ACCEPT");
  if (accept != NULL && strcmp(accept, "1") == 0) write_text(bench, golden->name, "txt", text);
  const char *const accepted = accepted_text(bench, golden->name);
  const char *const actual = path_of(bench, golden->name, "actual");
  if (strcmp(accepted, text) == 0) {
    remove(actual);
    return;
  }
  write_text(bench, golden->name, "actual", text);
  fail_msg("tests/golden/%s.txt differs from %s at line %u", golden->name, actual,
           line_of_difference(accepted, text));
}

#define CASE(index)                                                                            \
  static void golden_work_##index(struct bench *bench) {                                       \
    check_golden(bench, &goldens[index]);                                                      \
  }                                                                                            \
  static void golden_##index(void **state) {                                                   \
    (void)state;                                                                               \
    with_bench(golden_work_##index);                                                           \
  }
CASE(0)
CASE(1)
CASE(2)
CASE(3)
CASE(4)
CASE(5)
CASE(6)
CASE(7)
static const CMUnitTestFunction cases[GOLDENS] = {golden_0, golden_1, golden_2, golden_3,
                                                  golden_4, golden_5, golden_6, golden_7};

int main(void) {
  const char *const root = getenv("PITLEAF_ROOT"); // so that paths in the texts are relative
  if (root != NULL && chdir(root) != 0) return 1;
  struct CMUnitTest tests[GOLDENS] = {{0}};
  for (size_t i = 0; i < GOLDENS; i++)
    tests[i] = (struct CMUnitTest){.name = goldens[i].name, .test_func = cases[i]};
  return cmocka_run_group_tests_name("golden: reports", tests, NULL, NULL);
}
