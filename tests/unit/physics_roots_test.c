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

int main(void) {
  gsl_set_error_handler_off();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(finds_known_roots),
      cmocka_unit_test(accepts_a_root_at_an_end),
      cmocka_unit_test(finds_a_jump_and_a_flat_root),
      cmocka_unit_test(keeps_the_tolerance),
      cmocka_unit_test(refuses_what_is_no_bracket),
      cmocka_unit_test(agrees_with_a_library),
  };
  return cmocka_run_group_tests_name("roots", tests, NULL, NULL);
}
