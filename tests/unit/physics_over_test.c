// SPDX-License-Identifier: GPL-3.0-or-later
// When a simulation is over, and that nothing on the way there is left out.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "simulator.h"

#define MOMENTS  20000
#define INTERVAL 2e-4

static struct pl_moment moments[MOMENTS];

// Where it has come to rest in between, each bump is as the first one: none is stepped over,
// and all counts again.
static void one_after_the_other(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_bumps road = {.height = 10e-3, .length = 60e-3, .speed = 5, .count = 1};
  struct pl_motion_result one;
  struct pl_motion_result all;
  assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &one), PL_SIMULATED);
  road.count = 3;
  road.spacing = 7; // 1.4 s
  assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &all), PL_SIMULATED);
  assert_true(one.settled && all.settled && one.losses > 0 && one.cavitated);
  assert_near(all.energies.damped, 3 * one.energies.damped, 1e-4);
  assert_near(all.energies.from_road, 3 * one.energies.from_road, 1e-4);
  assert_near(all.cavity_time, 3 * one.cavity_time, 1e-3);
  assert_near(all.settle_time, one.settle_time + 2.8, 1e-4);
  assert_near(all.end_time, one.end_time + 2.8, 0.01);
  assert_int_equal(all.losses, 3 * one.losses);
  assert_near(all.highest, one.highest, 1e-5);
  assert_near(all.lowest, one.lowest, 1e-5);
  assert_near(all.longest_loss, one.longest_loss, 1e-4);
  assert_near(all.tyre_force, one.tyre_force, 0.01);
  // So short that a usual step would go over it.
  road = (struct pl_bumps){.height = 3e-3, .length = 2e-3, .speed = 10, .count = 1};
  assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &one), PL_SIMULATED);
  road.count = 2;
  road.spacing = 6; // 0.6 s
  assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &all), PL_SIMULATED);
  assert_true(one.energies.from_road > 1e-6);
  assert_near(all.energies.from_road, 2 * one.energies.from_road, 1e-3);
  assert_near(all.energies.damped, 2 * one.energies.damped, 0.03); // some is left at the end
}

// Each bump is taken in eight steps or more, and there are no more of them behind the last.
static void steps_over_bumps(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 8, 0, 0.05);
  struct pl_bumps road = {
      .height = 1e-4, .length = 40e-3, .speed = 5, .spacing = 40e-3, .count = 100};
  struct pl_motion_result result;
  assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &result),
                   PL_SIMULATED);
  print_message("  %zu steps over 100 bumps\n", result.steps);
  assert_true(result.steps >= 800 && result.steps < 1400);
}

// What never comes to rest ends five seconds behind the first touch, or the last bump, and
// takes steps for it that are no longer than what is looked for.
static void without_end(void **state) {
  (void)state;
  struct pl_test_corner test;
  struct pl_motion_result result;
  pl_linear_corner(&test, 3000, 8, 0.1, 0.05); // on its tyre alone
  for (int i = 0; i < 2; i++) {
    const double height = i == 0 ? 0 : 0.02;
    assert_int_equal(pl_simulate_drop(simulator, &test.corner, height, NULL, &result),
                     PL_SIMULATED);
    const double touch = sqrt(2 * height / test.corner.gravity);
    assert_near(result.end_time, touch + 5, 1e-12);
    assert_false(result.settled);
    assert_nan(result.settle_time);
    assert_true((double)result.steps > 5 * (1 - result.airborne) / 3e-3);
  }
  for (size_t count = 1; count <= 3; count++) {
    struct pl_bumps road = {
        .height = 5e-3, .length = 0.1, .speed = 2, .spacing = 0.3, .count = count};
    assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &result),
                     PL_SIMULATED);
    assert_near(result.end_time, (0.3 * ((double)count - 1) + 0.1) / 2 + 5, 1e-12);
    assert_false(result.settled);
    // A wheel that is rounder than the bump meets it sooner and leaves it later.
    road.radius = 0.15;
    struct pl_road rolled;
    pl_road_of(&road, &rolled);
    assert_true(rolled.lead > 1e-4);
    assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &result),
                     PL_SIMULATED);
    assert_near(result.end_time, (0.3 * ((double)count - 1) + 0.1 + 2 * rolled.lead) / 2 + 5,
                1e-12);
  }
}

// A simulation is over with the first step at which so little energy is left that the chassis
// stays within half of what counts as settled: less than what bends the ride's spring so far,
// in all, and in the chassis' own motion. In a corner that is linear that is a sum of squares.
static void is_over_soon(void **state) {
  (void)state;
  struct pl_test_corner test;
  for (int i = 2; i <= 8; i++) {
    const double stiffness = 300;
    pl_linear_corner(&test, stiffness, 1.5 * i, 0, 0.05);
    const struct pl_corner *const corner = &test.corner;
    struct pl_record record = {moments, MOMENTS, 0, INTERVAL, 0};
    struct pl_motion_result result;
    assert_int_equal(pl_simulate_drop(simulator, corner, 0.02, &record, &result), PL_SIMULATED);
    assert_true(result.settled);
    const double rest = result.rest_height;
    const double near = fmax(0.02 * fmax(result.highest - rest, rest - result.lowest), 0.1e-3);
    const double ride = stiffness * corner->tyre_rate / (stiffness + corner->tyre_rate);
    const double enough = 0.5 * ride * 0.25 * near * near;
    // The last moment whose speeds are known by its neighbours is a shade too early.
    for (size_t j = 1; j + 1 < record.count; j++) {
      const double up = (moments[j + 1].chassis - moments[j - 1].chassis) / (2 * INTERVAL);
      const double wheel_up = (moments[j + 1].wheel - moments[j - 1].wheel) / (2 * INTERVAL);
      const double squeezed = moments[j].wheel - corner->tyre_radius;
      const double bent = squeezed - (moments[j].chassis - rest);
      const double moving = 0.5 * corner->sprung_mass * up * up;
      const double whole = moving + 0.5 * corner->unsprung_mass * wheel_up * wheel_up +
                           0.5 * stiffness * bent * bent +
                           0.5 * corner->tyre_rate * squeezed * squeezed;
      const double most = fmax(moving, moments[j].tyre_force > 0 ? whole : INFINITY);
      if (j + 5 < record.count) assert_true(most > enough);
      if (j + 2 == record.count) assert_true(most < 1.05 * enough);
    }
    assert_true(result.end_time - sqrt(2 * 0.02 / corner->gravity) >= result.settle_time);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(one_after_the_other),
      cmocka_unit_test(steps_over_bumps),
      cmocka_unit_test(without_end),
      cmocka_unit_test(is_over_soon),
  };
  return cmocka_run_group_tests(tests, make_simulator, free_simulator);
}
