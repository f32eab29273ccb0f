// SPDX-License-Identifier: GPL-3.0-or-later
// The nearest bottle, and the nearest two in halves, among the library's oils: held against
// looking at every oil and at every pair.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "unit/figures_setup.h"

#define MOST_OILS 40

/// A base with one oil and a setup with another, at 25 degC so that a bottle is what it is
/// called; the library's oils are named by their number.
static struct pl_figures *shelf_of(struct bench *bench, const double *oils, size_t count,
                                   double base_oil) {
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&text, "oil \"%zu\" { viscosity = %.9g cSt }\n", i, oils[i]);
  pl_buffer_format(&text,
                   "damper \"d\" { bore = 12 mm; shaft = 3 mm; compensation = vented }\n"
                   "setup \"base\" { air = 25 degC; all { damper = \"d\"; oil = %.9g cSt\n"
                   "piston = 2 x 1.6 mm } }\n"
                   "setup \"own\" from \"base\" { all { oil = 1000 cSt } }\n",
                   base_oil);
  struct pl_program *const program = program_of(bench, pl_buffer_string(&text));
  return figures_in(program, "own", figures_in(program, "base", NULL));
}

static const char *told_by(struct pl_figures *figures) {
  const struct pl_figure_value *const value =
      pl_figure_get(figures, PL_FIGURE_EQUIVALENT_OIL, PL_FRONT_LEFT);
  assert_int_equal((int)value->detail_count, 1);
  return value->details[0];
}

/// How far the best single bottle and the best pair are off, by looking at all of them.
struct best {
  double one;
  double pair;
};

static struct best best_of(const double *oils, size_t count, double wanted) {
  struct best best = {INFINITY, INFINITY};
  for (size_t i = 0; i < count; i++) {
    best.one = fmin(best.one, fabs(log(oils[i] / wanted)));
    for (size_t j = 0; j < i; j++)
      best.pair = fmin(best.pair, fabs(log(sqrt(oils[i] * oils[j]) / wanted)));
  }
  return best;
}

/// What the words name must be as near as the best there is.
static void assert_best(const char *told, const double *oils, size_t count, double wanted) {
  const struct best best = best_of(oils, count, wanted);
  size_t one = 0;
  assert_int_equal(sscanf(told, "%zu", &one), 1);
  assert_true(one < count);
  assert_within(fabs(log(oils[one] / wanted)), best.one, 1e-6);
  const char *const closer = strstr(told, "closer: half ");
  if (closer == NULL) {
    assert_true(best.pair > best.one - 1e-6);
    return;
  }
  size_t a = 0;
  size_t b = 0;
  assert_int_equal(sscanf(closer, "closer: half %zu, half %zu", &a, &b), 2);
  assert_true(a < count && b < count && a != b);
  assert_within(fabs(log(sqrt(oils[a] * oils[b]) / wanted)), best.pair, 1e-6);
}

static void nearest_of_random_shelves_work(struct bench *bench) {
  struct pl_chance chance = {.state = 5};
  size_t pairs = 0;
  for (int round = 0; round < 200; round++) {
    double oils[MOST_OILS];
    const size_t count = 1 + pl_chance_below(&chance, MOST_OILS);
    for (size_t i = 0; i < count; i++) oils[i] = pl_chance_scale(&chance, 50, 2000);
    const double wanted = pl_chance_scale(&chance, 40, 2500);
    const char *const told = told_by(shelf_of(bench, oils, count, wanted));
    assert_best(told, oils, count, wanted);
    pairs += strstr(told, "closer") != NULL;
  }
  assert_true(pairs > 50); // both kinds of answers were looked at
  assert_true(pairs < 200);
}

// sqrt(300 x 350) and sqrt(150 x 700) are the same: the two that are more alike are named.
static void of_equal_pairs_the_more_alike_work(struct bench *bench) {
  static const double oils[] = {150, 300, 350, 700};
  const char *const told = told_by(shelf_of(bench, oils, 4, 325));
  assert_non_null(strstr(told, "half 1, half 2"));
}

static double seconds_for(struct bench *bench, size_t count) {
  double *const oils = pl_alloc_array(bench->arena, count, sizeof *oils);
  for (size_t i = 0; i < count; i++) oils[i] = 100 + 0.01 * (double)i;
  struct pl_figures *const figures = shelf_of(bench, oils, count, 120);
  pl_figure_get(figures, PL_FIGURE_EQUIVALENT_OIL, PL_FRONT_LEFT); // reads every oil
  const clock_t before = clock();
  for (int place = PL_FRONT_RIGHT; place <= PL_REAR_RIGHT; place++)
    pl_figure_get(figures, PL_FIGURE_EQUIVALENT_OIL, (enum pl_place)place);
  return (double)(clock() - before) / CLOCKS_PER_SEC;
}

// Sixteen times the oils take about sixteen times as long, far from 256 times.
static void time_grows_with_the_shelf_work(struct bench *bench) {
  const double few = seconds_for(bench, 500);
  const double many = seconds_for(bench, 8000);
  if (many > 60 * few + 0.05) fail_msg("500 oils: %g s, 8000 oils: %g s", few, many);
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(nearest_of_random_shelves)
CASE(of_equal_pairs_the_more_alike)
CASE(time_grows_with_the_shelf)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(nearest_of_random_shelves),
      cmocka_unit_test(of_equal_pairs_the_more_alike),
      cmocka_unit_test(time_grows_with_the_shelf),
  };
  return cmocka_run_group_tests_name("figures: nearest oil", tests, NULL, NULL);
}
