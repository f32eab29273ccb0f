// SPDX-License-Identifier: GPL-3.0-or-later
// The highest drop that leaves the chassis, or the shock's end, clear; what is too stiff, and
// what is impossible.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "simulator.h"

static void highest_drop(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  double height = 0;
  assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &height), PL_SIMULATED);
  assert_true(height > 0.05 && height < 0.5);
  assert_int_equal(dropped(&test, height).chassis.count, 0);
  assert_true(dropped(&test, height + 2e-4).chassis.count > 0);
  test.corner.tyre_radius = 0.2;
  assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &height), PL_SIMULATED);
  assert_true(isinf(height));
  pl_spring_curve_linear(522, 12e-3, &test.spring);
  assert_int_equal(pl_highest_drop(simulator, &test.corner, true, 2, &height), PL_SIMULATED);
  assert_int_equal(dropped(&test, height).shock_in.count, 0);
  assert_true(dropped(&test, height + 2e-4).shock_in.count > 0);
}

// The chassis on the ground takes up a harder fall, and the shock is compressed less: it ends
// its travel about where the chassis only just stays clear, and not in the highest drop.
static void highest_drop_of_shock(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  double clear = 0;
  double height = 0;
  assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &clear), PL_SIMULATED);
  const double deepest = dropped(&test, clear).compression;
  assert_true(dropped(&test, 2).compression < deepest - 0.5e-3);
  pl_spring_curve_linear(522, test.corner.springs.preload + deepest - 0.2e-3, &test.spring);
  assert_int_equal(dropped(&test, 2).shock_in.count, 0);
  assert_int_equal(pl_highest_drop(simulator, &test.corner, true, 2, &height), PL_SIMULATED);
  assert_true(height > 0.9 * clear && height < clear);
  assert_int_equal(dropped(&test, height).shock_in.count, 0);
  assert_true(dropped(&test, height + 2e-4).shock_in.count > 0);
  // Beyond the deepest there is nothing to find.
  pl_spring_curve_linear(522, test.corner.springs.preload + deepest + 0.2e-3, &test.spring);
  assert_int_equal(pl_highest_drop(simulator, &test.corner, true, 2, &height), PL_SIMULATED);
  assert_true(isinf(height));
}

// Where the chassis lies, or the shock is at its end, there is no drop that leaves it clear.
static void no_drop_at_all(void **state) {
  (void)state;
  struct pl_test_corner test;
  double height = 0;
  pl_linear_corner(&test, 10, 2, 0, 0.06); // springs that do not hold it
  assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &height), PL_SIMULATED);
  assert_nan(height);
  test.corner.tyre_radius = 0.3;
  assert_int_equal(pl_highest_drop(simulator, &test.corner, true, 2, &height), PL_SIMULATED);
  assert_nan(height);
  assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &height), PL_SIMULATED);
  assert_true(isinf(height));
}

/// The first height in steps of 5 mm that goes so far; NaN where none up to the highest does.
static double first_by_trying(const struct pl_test_corner *test, bool shock, double most) {
  for (int i = 0; 5e-3 * i <= most; i++) {
    const struct pl_motion_result result = dropped(test, 5e-3 * i);
    if ((shock ? result.shock_in.count : result.chassis.count) > 0) return 5e-3 * i;
  }
  return NAN;
}

// Against trying one height after the other.
static void by_trying(void **state) {
  (void)state;
  struct pl_test_corner test;
  for (int i = 0; i < 5; i++) {
    pl_buggy_corner(&test);
    test.corner.tyre_radius = 0.036 + 2e-3 * i;
    pl_spring_curve_linear(522, 10e-3 + 1e-3 * i, &test.spring);
    for (int shock = 0; shock < 2; shock++) {
      const double tried = first_by_trying(&test, shock == 1, 0.3);
      double height = 0;
      assert_int_equal(pl_highest_drop(simulator, &test.corner, shock == 1, 0.3, &height),
                       PL_SIMULATED);
      if (isnan(tried)) {
        assert_true(isinf(height));
      } else {
        assert_true(height < tried && height > tried - 5e-3 - 1e-4);
        assert_true(height > 0);
        const struct pl_motion_result below = dropped(&test, height);
        const struct pl_motion_result above = dropped(&test, height + 1e-4);
        assert_int_equal(shock ? below.shock_in.count : below.chassis.count, 0);
        assert_true((shock ? above.shock_in.count : above.chassis.count) > 0);
        // Not so far, and it is out of reach.
        assert_int_equal(
            pl_highest_drop(simulator, &test.corner, shock == 1, height - 1e-3, &height),
            PL_SIMULATED);
        assert_true(isinf(height));
      }
    }
  }
}

// ---------------------------------------------------------------- stiff

// Oil like tar through a port like a needle's eye: it ends soon, and says so or comes to rest.
static void stiff(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  test.corner.fluid.dynamic_viscosity = 1000;
  test.corner.piston.sets[0].diameter_cap_side = 0.1e-3;
  test.corner.piston.sets[0].diameter_shaft_side = 0.1e-3;
  test.corner.unsprung_mass = 5e-3;
  struct pl_motion_result result;
  assert_int_equal(pl_simulate_drop(simulator, &test.corner, 0.2, NULL, &result), PL_NO_END);
  assert_true(result.steps <= 50000);
  double height = 0;
  assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &height), PL_NO_END);
  assert_nan(height);
}

// ---------------------------------------------------------------- impossible

static void impossible(void **state) {
  (void)state;
  struct pl_test_corner test;
  struct pl_motion_result result;
  pl_buggy_corner(&test);
  const struct pl_corner good = test.corner;
  assert_int_equal(pl_simulate_drop(NULL, &good, 0.1, NULL, &result), PL_NO_MEMORY);
  assert_int_equal(pl_simulate_drop(simulator, &good, -0.1, NULL, &result), PL_NO_CORNER);
  assert_int_equal(pl_simulate_drop(simulator, &good, NAN, NULL, &result), PL_NO_CORNER);
  double *const numbers[] = {
      &test.corner.sprung_mass,  &test.corner.unsprung_mass,   &test.corner.gravity,
      &test.corner.tyre_radius,  &test.corner.tyre_rate,       &test.corner.ambient,
      &test.corner.gas.volume,   &test.corner.piston.bore,     &test.corner.fluid.density,
      &test.corner.path.highest, &test.corner.springs.preload, &test.corner.seal_friction};
  for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
    test.corner = good;
    *numbers[i] = NAN;
    assert_int_equal(pl_simulate_drop(simulator, &test.corner, 0.1, NULL, &result),
                     PL_NO_CORNER);
    double height = 0;
    assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &height), PL_NO_CORNER);
    assert_nan(height);
  }
  test.corner = good;
  test.corner.piston.sets[0].way = PL_FLOW_COMPRESSION;
  assert_int_equal(pl_simulate_drop(simulator, &test.corner, 0.1, NULL, &result), PL_NO_FLOW);
  test.corner = good; // the coils touch at full extension
  struct pl_spring_curve bound;
  pl_spring_curve_linear(522, good.springs.preload, &bound);
  test.corner.springs.main = &bound;
  assert_int_equal(pl_simulate_drop(simulator, &test.corner, 0.1, NULL, &result), PL_NO_TRAVEL);
  const struct pl_bumps none = {.count = 0};
  assert_int_equal(pl_simulate_bumps(simulator, &good, &none, NULL, &result), PL_NO_CORNER);
  const struct pl_bumps square = {
      .height = 1e-2, .length = 0.1, .speed = 5, .count = 1, .radius = -0.01};
  assert_int_equal(pl_simulate_bumps(simulator, &good, &square, NULL, &result), PL_NO_CORNER);
  const struct pl_bumps close = {
      .height = 1e-2, .length = 0.1, .speed = 5, .spacing = 0.05, .count = 2};
  assert_int_equal(pl_simulate_bumps(simulator, &good, &close, NULL, &result), PL_NO_CORNER);
  double none_at_all = 0;
  assert_int_equal(pl_highest_drop(simulator, &good, false, NAN, &none_at_all), PL_NO_CORNER);
  struct pl_shock_path path;
  assert_false(pl_shock_path_of(&test.linkage, 0.02, 0.01, test.longest, &path));
  assert_false(pl_shock_path_of(&test.linkage, -0.2, 0.2, test.longest, &path));
  pl_simulator_free(NULL);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(highest_drop),   cmocka_unit_test(highest_drop_of_shock),
      cmocka_unit_test(no_drop_at_all), cmocka_unit_test(by_trying),
      cmocka_unit_test(stiff),          cmocka_unit_test(impossible),
  };
  return cmocka_run_group_tests(tests, make_simulator, free_simulator);
}
