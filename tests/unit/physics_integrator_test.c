// SPDX-License-Identifier: GPL-3.0-or-later
// The integrator's steps and events: how near they are located, in how few tries, and which of
// several counts.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/simulation.h"

static const double one_each[PL_MOTION_STATES] = {1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1};
static const double slack[PL_MOTION_EVENTS] = {1e-15, 1e-15, 1e-15};

/// A quantity that is the time, with a function of it as event; slopes are counted.
struct clock {
  double (*function)(double time, double happens);
  double happens;
  size_t counted;
};

static bool ticking(double time, const double *state, double *slopes, const void *context) {
  struct clock *const clock = *(struct clock *const *)context;
  (void)time, (void)state;
  clock->counted++;
  slopes[0] = 1;
  return true;
}

static void by_clock(double time, const double *state, double *values, const void *context) {
  const struct clock *const clock = *(struct clock *const *)context;
  (void)time;
  values[0] = clock->function(state[0], clock->happens);
}

// ---------------------------------------------------------------- located

static double straight(double time, double happens) {
  return 3 * (happens - time);
}

static double steepening(double time, double happens) {
  return exp(happens) - exp(time);
}

static double flattening(double time, double happens) {
  return 1 / (1 + 5 * time) - 1 / (1 + 5 * happens);
}

static double falling(double time, double happens) {
  return happens * happens - time * time;
}

static double from_nothing(double time, double happens) { // zero at the start, too
  return time * (happens - time);
}

static double jumping(double time, double happens) {
  return time < happens ? 1 : -1;
}

static double jumping_down(double time, double happens) { // no secant finds it
  return time < happens ? 1e-3 : -1e3 * (1 + time);
}

/// Takes one step of a second to the event; the tries that it took, of 13 slopes each.
static size_t tries(double (*function)(double, double), double happens) {
  struct clock clock = {.function = function, .happens = happens};
  struct clock *const handle = &clock;
  const struct pl_motion motion = {.count = 1,
                                   .slopes = ticking,
                                   .event_count = 1,
                                   .events = by_clock,
                                   .slack = slack,
                                   .context = &handle};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = -100;
  double state = -100;
  size_t event = 9;
  // Grown to a step that is longer than what is left.
  const struct pl_motion without = {.count = 1, .slopes = ticking, .context = &handle};
  while (time < 0)
    assert_int_equal(pl_integrator_step(integrator, &without, &time, 0, &state, &event),
                     PL_STEP_DONE);
  pl_integrator_restart(integrator);
  state = 0;
  clock.counted = 0;
  assert_int_equal(pl_integrator_step(integrator, &motion, &time, 1, &state, &event),
                   PL_STEP_EVENT);
  assert_int_equal(event, 0);
  assert_true(time >= happens && time <= happens + 1e-9);
  assert_within(state, time, 1e-14);
  pl_integrator_free(integrator);
  return clock.counted / 12;
}

// Where the function is smooth the secant needs few tries, wherever in the step it happens;
// where it jumps, halving still finds it.
static void few_tries(void **state) {
  (void)state;
  static double (*const smooth[])(double, double) = {straight, steepening, flattening, falling,
                                                     from_nothing};
  static double (*const rough[])(double, double) = {jumping, jumping_down};
  size_t most = 0;
  size_t sum = 0;
  for (size_t i = 0; i < 5; i++) {
    for (int j = 1; j < 20; j++) {
      const size_t needed = tries(smooth[i], j / 20.0 + 1e-3);
      if (needed > most) most = needed;
      sum += needed;
    }
  }
  size_t most_rough = 0;
  for (size_t i = 0; i < 2; i++) {
    for (int j = 1; j < 20; j++) {
      const size_t needed = tries(rough[i], j / 20.0 + 1e-3);
      if (needed > most_rough) most_rough = needed;
    }
  }
  print_message("  tries to locate: %.2f, %zu at the most; %zu where it jumps\n",
                (double)sum / 95, most, most_rough);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(few_tries),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
