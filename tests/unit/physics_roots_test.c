// SPDX-License-Identifier: GPL-3.0-or-later
// The root finder: known roots, hard functions, refusals, and a numerical library as referee.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

#include <float.h>

static double cosine_less_x(double x, const void *context) {
  (void)context;
  return cos(x) - x;
}

static double cube(double x, const void *context) {
  return x * x * x - *(const double *)context;
}

static double flat_cube(double x, const void *context) {
  (void)context;
  return pow(x - 1.0, 9.0);
}

static double step(double x, const void *context) {
  return x < *(const double *)context ? -1.0 : 1.0;
}

static double line(double x, const void *context) {
  return x - *(const double *)context;
}

static double touching(double x, const void *context) {
  return pow(line(x, context), 2.0) + DBL_MIN;
}

static double pole(double x, const void *context) {
  (void)context;
  return 1.0 / x - 1e-3;
}

static double never_a_number(double x, const void *context) {
  (void)context;
  return x > 0.25 && x < 0.75 ? NAN : x - 0.5;
}

static double root_between(pl_root_function *function, const void *context, double a,
                           double b) {
  double root = 0.0;
  assert_true(pl_find_root(function, context, a, b, 0.0, &root));
  return root;
}

static void finds_known_roots(void **state) {
  (void)state;
  const double eight = 8.0;
  // The fixed point of the cosine: OEIS A003957.
  assert_near(root_between(cosine_less_x, NULL, 0.0, 1.0), 0.7390851332151607, 1e-15);
  assert_near(root_between(cosine_less_x, NULL, 1.0, 0.0), 0.7390851332151607, 1e-15);
  assert_near(root_between(cube, &eight, 0.0, 100.0), 2.0, 1e-15);
  assert_near(root_between(cube, &eight, -1e100, 1e100), 2.0, 1e-15);
  assert_near(root_between(pole, NULL, 1e-12, 1e12), 1000.0, 1e-12);
}

static void accepts_a_root_at_an_end(void **state) {
  (void)state;
  const double eight = 8.0;
  assert_near(root_between(cube, &eight, 2.0, 9.0), 2.0, 0.0);
  assert_near(root_between(cube, &eight, -3.0, 2.0), 2.0, 0.0);
  assert_near(root_between(cube, &eight, 9.0, 2.0), 2.0, 0.0);
  assert_near(root_between(cube, &eight, 2.0, -3.0), 2.0, 0.0);
}

static void finds_a_jump_and_a_flat_root(void **state) {
  (void)state;
  const double jump = 0.3;
  assert_near(root_between(step, &jump, 0.0, 1.0), 0.3, 1e-15);
  // A ninth-order root: the function underflows to zero about it.
  assert_within(root_between(flat_cube, NULL, 0.0, 3.0), 1.0, 1e-12);
}

static void keeps_the_tolerance(void **state) {
  (void)state;
  double root;
  assert_true(pl_find_root(cosine_less_x, NULL, 0.0, 1.0, 1e-3, &root));
  assert_within(root, 0.7390851332151607, 1e-3);
}

static void refuses_what_is_no_bracket(void **state) {
  (void)state;
  const double eight = 8.0;
  double root = 1.0;
  assert_false(pl_find_root(cube, &eight, 3.0, 9.0, 0.0, &root));
  assert_nan(root);
  assert_false(pl_find_root(cube, &eight, NAN, 9.0, 0.0, &root));
  assert_false(pl_find_root(cube, &eight, 0.0, INFINITY, 0.0, &root));
  assert_false(pl_find_root(cube, &eight, 0.0, 9.0, -1.0, &root));
  assert_false(pl_find_root(cube, &eight, 0.0, 9.0, NAN, &root));
  assert_false(pl_find_root(never_a_number, NULL, 0.3, 1.0, 0.0, &root));
  assert_false(pl_find_root(never_a_number, NULL, 0.0, 1.0, 0.0, &root));
  assert_nan(root);
}

static double cube_for_library(double x, void *context) {
  return cube(x, context);
}

static void agrees_with_a_library(void **state) {
  (void)state;
  struct pl_chance chance = {3};
  gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
  for (int i = 0; i < 500; i++) {
    double value = pl_chance_scale(&chance, 1e-6, 1e6);
    gsl_function function = {.function = cube_for_library, .params = &value};
    assert_int_equal(gsl_root_fsolver_set(solver, &function, 0.0, 200.0), GSL_SUCCESS);
    for (int step_count = 0; step_count < 100; step_count++) gsl_root_fsolver_iterate(solver);
    assert_near(root_between(cube, &value, 0.0, 200.0), gsl_root_fsolver_root(solver), 1e-13);
  }
  gsl_root_fsolver_free(solver);
}

// --------------------------------------------------------------------- where it looks, and
// when it ends

#define MOST_LOOKS 500

// A function whose every call is written down.
struct looks {
  pl_root_function *function;
  const void *context;
  size_t count;
  double at[MOST_LOOKS];
};

// A context is not changed; what it points at may be.
struct watch {
  struct looks *looks;
};

static double looked_at(double x, const void *context) {
  struct looks *const looks = ((const struct watch *)context)->looks;
  assert_true(looks->count < MOST_LOOKS);
  looks->at[looks->count++] = x;
  return looks->function(x, looks->context);
}

static double looked_at_by_library(double x, void *context) {
  return looked_at(x, context);
}

static double exponential(double x, const void *context) {
  return exp(x) - *(const double *)context;
}

static double steep(double x, const void *context) {
  return tanh(1e5 * (x - *(const double *)context));
}

static double nearly_flat(double x, const void *context) {
  return 1e-200 * (x - *(const double *)context) * (1.0 + x * x);
}

static double falling(double x, const void *context) {
  return *(const double *)context - x - sin(3.0 * x);
}

static double high_power(double x, const void *context) {
  return pow(x, 20.0) - *(const double *)context;
}

static double odd_root(double x, const void *context) {
  return cbrt(x - *(const double *)context);
}

// Brent's method as the GNU Scientific Library has it.
static void look_as_library(pl_root_function *function, const void *context, double a, double b,
                            struct looks *looks) {
  *looks = (struct looks){.function = function, .context = context};
  struct watch watch = {looks};
  gsl_function watched = {.function = looked_at_by_library, .params = &watch};
  gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
  assert_int_equal(gsl_root_fsolver_set(solver, &watched, a, b), GSL_SUCCESS);
  for (size_t before = 0; before != looks->count;) {
    before = looks->count;
    gsl_root_fsolver_iterate(solver);
  }
  gsl_root_fsolver_free(solver);
}

// The library looks at the lower end first, this project at the upper. From there on both look
// at the same places, until steps are so short that their tolerances differ; the library's is
// the narrower. Returns how many places were compared.
static size_t compare_looks(pl_root_function *function, double shift, double a, double b) {
  static struct looks theirs;
  static struct looks ours;
  look_as_library(function, &shift, a, b, &theirs);
  ours = (struct looks){.function = function, .context = &shift};
  double root;
  assert_true(pl_find_root(looked_at, &(const struct watch){&ours}, a, b, 0.0, &root));
  assert_true(ours.at[0] == b && ours.at[1] == a);
  assert_true(ours.count <= theirs.count + 5);
  size_t n = 2;
  for (; n < ours.count; n++) {
    if (fabs(ours.at[n] - ours.at[n - 1]) <= 1e-9 * fabs(ours.at[n])) break;
    assert_near(ours.at[n], theirs.at[n], 1e-11);
  }
  return n;
}

static void looks_where_a_library_does(void **state) {
  (void)state;
  static pl_root_function *const functions[] = {cosine_less_x, cube,       step,
                                                exponential,   steep,      nearly_flat,
                                                falling,       high_power, odd_root};
  struct pl_chance chance = {4};
  size_t compared = 0;
  for (int i = 0; i < 4000; i++) {
    pl_root_function *const function = functions[i % 9];
    const double shift = pl_chance_scale(&chance, 0.1, 20.0);
    const double a = pl_chance_between(&chance, -1.0, 1.0) * pl_chance_scale(&chance, 1.0, 1e4);
    const double b =
        pl_chance_between(&chance, 0.0, 1.0) * pl_chance_scale(&chance, 1.0, 100.0);
    const double at_a = function(a, &shift);
    const double at_b = function(b, &shift);
    if (a >= b || !isfinite(at_a) || !isfinite(at_b) || (at_a > 0.0) == (at_b > 0.0)) continue;
    compared += compare_looks(function, shift, a, b);
  }
  assert_true(compared > 10000);
}

static size_t looks_at_jump(double jump, double a, double b, double tolerance) {
  static struct looks looks;
  looks = (struct looks){.function = step, .context = &jump};
  double root;
  assert_true(pl_find_root(looked_at, &(const struct watch){&looks}, a, b, tolerance, &root));
  assert_within(root, jump, fmax(tolerance, 4.0 * DBL_EPSILON * fabs(jump)));
  return looks.count;
}

// At a jump between -1 and 1 only halving helps, so that the number of looks tells to which
// width the bracket was narrowed: two at the ends, and one for each half.
static void narrows_to_the_tolerance_and_no_further(void **state) {
  (void)state;
  assert_int_equal(looks_at_jump(0.3, 0.0, 1.0, 1.001 * 0x1p-10), 2 + 10);
  assert_int_equal(looks_at_jump(0.3, 0.0, 1.0, 0.999 * 0x1p-10), 2 + 11);
  assert_int_equal(looks_at_jump(0.3, 0.0, 1.0, 0.92 * 0x1p-10), 2 + 11);
  assert_int_equal(looks_at_jump(0.3, 0.0, 1.0, 1.0), 2);
  // With none, to Brent's own: half a width of two units of rounding of the root's size (R. P.
  // Brent, Algorithms for Minimization without Derivatives, 1973, section 4.6, procedure zero).
  // Near 1.95 that is 3.9 steps between doubles; 4 are too many, 2 are not.
  const double below = 1.95;
  const double jump = below + 0.3 * 0x1p-30;
  assert_int_equal(looks_at_jump(jump, below, below + 0x1p-30, 0.0), 2 + 20);
  // Near 1.85, where two units are 3.7 steps, too; and about zero until nothing is left.
  assert_int_equal(looks_at_jump(1.85 + 0.6 * 0x1p-30, 1.85, 1.85 + 0x1p-30, 0.0), 2 + 20);
  // Both add up: 3.9 steps and half of 0.3 of a step are over 4.
  assert_int_equal(looks_at_jump(jump, below, below + 0x1p-30, 0.3 * DBL_EPSILON), 2 + 19);
  assert_int_equal(looks_at_jump(jump, below, below + 0x1p-30, 0.1 * DBL_EPSILON), 2 + 20);
}

// What ends at once needs no look beyond the two ends.
static void looks_no_further_than_it_must(void **state) {
  (void)state;
  static struct looks looks;
  const double eight = 8.0;
  double root;
  looks = (struct looks){.function = cube, .context = &eight};
  assert_true(pl_find_root(looked_at, &(const struct watch){&looks}, 2.0, 9.0, 0.0, &root));
  assert_int_equal(looks.count, 2);
  looks.count = 0;
  assert_true(pl_find_root(looked_at, &(const struct watch){&looks}, -9.0, 2.0, 0.0, &root));
  assert_int_equal(looks.count, 2);
  // An end or a tolerance that is none is not looked at.
  static const double wrong[] = {NAN, INFINITY, -INFINITY};
  looks.count = 0;
  for (size_t i = 0; i < 3; i++) {
    assert_false(
        pl_find_root(looked_at, &(const struct watch){&looks}, wrong[i], 9.0, 0.0, &root));
    assert_false(
        pl_find_root(looked_at, &(const struct watch){&looks}, -9.0, wrong[i], 0.0, &root));
  }
  assert_false(pl_find_root(looked_at, &(const struct watch){&looks}, -9.0, 9.0, -1.0, &root));
  assert_false(pl_find_root(looked_at, &(const struct watch){&looks}, -9.0, 9.0, NAN, &root));
  assert_int_equal(looks.count, 0);
  // A straight line: the secant meets its root at the first look.
  const double half = 0.5;
  looks = (struct looks){.function = line, .context = &half};
  assert_true(pl_find_root(looked_at, &(const struct watch){&looks}, -1.0, 4.0, 0.0, &root));
  assert_within(root, 0.5, 0.0);
  assert_int_equal(looks.count, 3);
}

// Beside a root that is no bracket, however near it comes.
static void refuses_what_only_comes_near(void **state) {
  (void)state;
  const double half = 0.5;
  double root;
  assert_false(pl_find_root(line, &half, 0.5 + DBL_EPSILON, 2.0, 0.0, &root));
  assert_false(pl_find_root(line, &half, 2.0, 0.5 + DBL_EPSILON, 0.0, &root));
  assert_false(pl_find_root(line, &half, 0.5 - DBL_EPSILON, -1.0, 0.0, &root));
  assert_false(pl_find_root(line, &half, -1.0, 0.5 - DBL_EPSILON, 0.0, &root));
  assert_nan(root);
  // A double root that is only touched, and an end of which one is no number.
  assert_false(pl_find_root(touching, &half, 0.0, 2.0, 0.0, &root));
  assert_false(pl_find_root(never_a_number, NULL, 0.0, 0.5, 0.0, &root));
  assert_false(pl_find_root(cube, &half, -INFINITY, 2.0, 0.0, &root));
  assert_false(pl_find_root(cube, &half, 0.0, NAN, 0.0, &root));
  assert_nan(root);
}

int main(void) {
  gsl_set_error_handler_off();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(finds_known_roots),
      cmocka_unit_test(accepts_a_root_at_an_end),
      cmocka_unit_test(finds_a_jump_and_a_flat_root),
      cmocka_unit_test(keeps_the_tolerance),
      cmocka_unit_test(refuses_what_is_no_bracket),
      cmocka_unit_test(agrees_with_a_library),
      cmocka_unit_test(looks_where_a_library_does),
      cmocka_unit_test(narrows_to_the_tolerance_and_no_further),
      cmocka_unit_test(looks_no_further_than_it_must),
      cmocka_unit_test(refuses_what_only_comes_near),
  };
  return cmocka_run_group_tests_name("roots", tests, NULL, NULL);
}
