// SPDX-License-Identifier: GPL-3.0-or-later
// When a simulation is over, and that nothing on the way there is left out.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "corner.h"
#include "near.h"

#define MOMENTS  20000
#define INTERVAL 2e-4

static struct pl_simulator *simulator;
static struct pl_moment moments[MOMENTS];

static int make_simulator(void **state) {
  (void)state;
  simulator = pl_simulator_new(PL_SIMULATION_TOLERANCE);
  return simulator == NULL;
}

static int free_simulator(void **state) {
  (void)state;
  pl_simulator_free(simulator);
  return 0;
}

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
  road = (struct pl_bumps){.height = 3e-3, .length = 10e-3, .speed = 10, .count = 1};
  assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &one), PL_SIMULATED);
  road.count = 3;
  road.spacing = 10; // 1 s
  assert_int_equal(pl_simulate_bumps(simulator, &test.corner, &road, NULL, &all), PL_SIMULATED);
  assert_true(one.energies.damped > 1e-4);
  assert_near(all.energies.damped, 3 * one.energies.damped,
              5e-3); // less what is left at the end
  assert_near(all.energies.from_road, 3 * one.energies.from_road,
              5e-3); // less what is left at the end
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
    assert_true(result.steps > 5 * (1 - result.airborne) / 3e-3);
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

// A simulation is over when the chassis stays within half of what counts as settled: it has
// settled before, and not long before.
static void is_over_soon(void **state) {
  (void)state;
  struct pl_test_corner test;
  for (int i = 1; i <= 12; i++) {
    pl_linear_corner(&test, 300, 1.5 * i, 0, 0.05);
    struct pl_record record = {moments, MOMENTS, 0, INTERVAL, 0};
    struct pl_motion_result whole;
    const struct pl_motion_result *const result = &whole;
    assert_int_equal(pl_simulate_drop(simulator, &test.corner, 0.02, &record, &whole),
                     PL_SIMULATED);
    const double near = fmax(0.02 * fmax(result->highest - result->rest_height,
                                         result->rest_height - result->lowest),
                             0.1e-3);
    const struct pl_moment *const last = &moments[record.count - 1];
    assert_true(result->settled);
    assert_true(fabs(last->chassis - result->rest_height) < 0.5 * near);
    // No sooner: with all the energy that is left in the ride's spring it stays within.
    const double frequency = sqrt(300 / test.corner.sprung_mass);
    const double speed = (moments[record.count - 2].chassis - last->chassis) / INTERVAL;
    assert_true(fabs(speed) < 1.1 * 0.5 * near * frequency);
    // No later: a swing is enough to see it.
    const double over =
        result->end_time - sqrt(2 * 0.02 / test.corner.gravity) - result->settle_time;
    assert_true(over >= 0 && over < 2 * 2 * PL_PI / frequency);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(one_after_the_other),
      cmocka_unit_test(without_end),
      cmocka_unit_test(is_over_soon),
  };
  return cmocka_run_group_tests(tests, make_simulator, free_simulator);
}
