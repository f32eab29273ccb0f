// SPDX-License-Identifier: GPL-3.0-or-later
// A simulator for all tests of a program, and runs that have to succeed. For a program with
// cmocka's tests, once.
#ifndef PITLEAF_TESTS_SIMULATOR_H
#define PITLEAF_TESTS_SIMULATOR_H

#include "corner.h"

static struct pl_simulator *simulator;

/// Before the tests of a group, and behind them.
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

static inline struct pl_motion_result dropped(const struct pl_test_corner *test,
                                              double height) {
  struct pl_motion_result result;
  assert_int_equal(pl_simulate_drop(simulator, &test->corner, height, NULL, &result),
                   PL_SIMULATED);
  return result;
}

static inline struct pl_motion_result bumped(const struct pl_test_corner *test,
                                             const struct pl_bumps *bumps) {
  struct pl_motion_result result;
  assert_int_equal(pl_simulate_bumps(simulator, &test->corner, bumps, NULL, &result),
                   PL_SIMULATED);
  return result;
}

#endif
