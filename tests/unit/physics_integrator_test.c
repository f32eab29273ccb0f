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

static double dipping(double time, double happens) { // below zero for 0.8 s
  const double along = time - happens - 0.4;
  return 1e-3 * (along * along - 0.16);
}

static double jumping(double time, double happens) {
  return time < happens ? 1 : -1;
}

static double jumping_down(double time, double happens) { // no secant finds it
  return time < happens ? 1e-3 : -1e3 * (1 + time);
}

/// Takes one step of a second to the event; the tries that it took, of 13 slopes each.
static size_t tries(double (*function)(double, double), double happens, double near) {
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
  time = 50;
  clock.counted = 0;
  assert_int_equal(pl_integrator_step(integrator, &motion, &time, 51, &state, &event),
                   PL_STEP_EVENT);
  assert_int_equal(event, 0);
  assert_true(state >= happens && state <= happens + near);
  assert_within(state, time - 50, 1e-13);
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
      const size_t needed = tries(smooth[i], j / 20.0 + 1e-3, 1e-9);
      if (needed > most) most = needed;
      sum += needed;
    }
  }
  for (int j = 5; j < 20; j++) tries(dipping, j / 20.0 + 1e-3, 1e-9);
  size_t most_rough = 0;
  for (size_t i = 0; i < 2; i++) {
    for (int j = 1; j < 20; j++) {
      const size_t needed = tries(rough[i], j / 20.0 + 1e-3, 2e-9);
      if (needed > most_rough) most_rough = needed;
    }
  }
  print_message("  tries to locate: %.2f, %zu at the most; %zu where it jumps\n",
                (double)sum / 95, most, most_rough);
  assert_true(sum <= (size_t)4 * 95 && most <= 5); // three or four, with the whole step
}

// ---------------------------------------------------------------- which one, and whether

static bool resting(double time, const double *state, double *slopes, const void *context) {
  (void)time, (void)state, (void)context;
  slopes[0] = 0;
  return true;
}

/// Functions that the context gives, the same at all times.
static void constant(double time, const double *state, double *values, const void *context) {
  (void)time, (void)state;
  for (int i = 0; i < 3; i++) values[i] = ((const double *)context)[i];
}

// Below zero by no more than its slack nothing has happened; by more it has, at once.
static void slack_counts(void **state) {
  (void)state;
  static const double generous[] = {1e-3, 1e-3, 1e-3};
  double values[] = {-1e-3, -1e-3, -1e-3};
  struct pl_motion motion = {.count = 1,
                             .slopes = resting,
                             .event_count = 3,
                             .events = constant,
                             .slack = generous,
                             .context = values};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0;
  double y = 0;
  size_t event = 9;
  assert_int_equal(pl_integrator_step(integrator, &motion, &time, 1, &y, &event), PL_STEP_DONE);
  assert_true(time > 0);
  for (size_t i = 0; i < 3; i++) {
    const double before = time;
    values[0] = values[1] = values[2] = -1e-3;
    values[i] = -1.001e-3;
    for (motion.event_count = i + 1; motion.event_count <= 3; motion.event_count++) {
      pl_integrator_restart(integrator);
      assert_int_equal(pl_integrator_step(integrator, &motion, &time, 1, &y, &event),
                       PL_STEP_EVENT);
      assert_true(event == i && time == before);
    }
    motion.event_count = i; // nobody asks for it
    pl_integrator_restart(integrator);
    assert_int_equal(pl_integrator_step(integrator, &motion, &time, time + 0.1, &y, &event),
                     PL_STEP_DONE);
  }
  pl_integrator_free(integrator);
}

static void at_the_same_time(double time, const double *state, double *values,
                             const void *context) {
  (void)state, (void)context;
  values[0] = 0.6 - time;
  values[1] = values[2] = 0.3 - time;
}

// Of two that happen at one and the same time the first one is told.
static void first_of_the_same(void **state) {
  (void)state;
  const struct pl_motion motion = {.count = 1,
                                   .slopes = resting,
                                   .event_count = 3,
                                   .events = at_the_same_time,
                                   .slack = slack};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0;
  double y = 0;
  size_t event = 9;
  enum pl_step step = PL_STEP_DONE;
  while (step == PL_STEP_DONE)
    step = pl_integrator_step(integrator, &motion, &time, 1, &y, &event);
  assert_int_equal(step, PL_STEP_EVENT);
  assert_int_equal(event, 1);
  assert_true(time >= 0.3 && time <= 0.3 + 1e-9);
  pl_integrator_free(integrator);
}

// A step that is shorter than what events are located to ends with its event as it is.
static void in_a_short_step(void **state) {
  (void)state;
  const struct pl_motion motion = {.count = 1,
                                   .slopes = resting,
                                   .event_count = 3,
                                   .events = at_the_same_time,
                                   .slack = slack};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0.3 - 1e-10;
  double y = 0;
  size_t event = 9;
  const double end = 0.3 + 4e-10;
  assert_int_equal(pl_integrator_step(integrator, &motion, &time, end, &y, &event),
                   PL_STEP_EVENT);
  assert_within(time, end, 1e-15);
  assert_int_equal(event, 1);
  pl_integrator_free(integrator);
}

// ---------------------------------------------------------------- steps

static size_t steps_to(double end) {
  const struct pl_motion motion = {.count = 1, .slopes = resting};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0;
  double y = 0;
  size_t event = 9;
  size_t steps = 0;
  // Grown to the longest that is allowed.
  pl_integrator_longest(integrator, 0.1);
  while (time < 5) pl_integrator_step(integrator, &motion, &time, 5, &y, &event);
  for (time = 0; time < end; steps++)
    assert_int_equal(pl_integrator_step(integrator, &motion, &time, end, &y, &event),
                     PL_STEP_DONE);
  assert_true(time == end);
  pl_integrator_free(integrator);
  return steps;
}

// No step is longer than the longest, but for a crumb, which is no step of its own.
static void no_crumbs(void **state) {
  (void)state;
  assert_int_equal(steps_to(0.1), 1);
  assert_int_equal(steps_to(0.1 * (1 + 0.9e-9)), 1);
  assert_int_equal(steps_to(0.1 * (1 + 1.05e-9)), 2);
  assert_int_equal(steps_to(0.2), 2);
  assert_int_equal(steps_to(0.95), 10);
}

static bool cubic(double time, const double *state, double *slopes, const void *context) {
  (void)state, (void)context;
  slopes[0] = 1 + time * (4 - 9 * time);
  slopes[1] = -2 + 6 * time * time;
  return true;
}

// Between the ends of a step the state is a cubic: of two that are such it is the state itself.
static void between(void **state) {
  (void)state;
  const struct pl_motion motion = {.count = 2, .slopes = cubic};
  struct pl_integrator *const integrator = pl_integrator_new(2, one_each, 1e-6);
  double time = 0;
  double y[] = {7, 0.5};
  size_t event = 9;
  while (time < 3) {
    const double from = time;
    assert_int_equal(pl_integrator_step(integrator, &motion, &time, 3, y, &event),
                     PL_STEP_DONE);
    for (int i = 0; i <= 8; i++) {
      double inside[3] = {0, 0, 77};
      const double t = from + (time - from) * i / 8;
      pl_integrator_between(integrator, t, inside);
      assert_within(inside[0], 7 + t + 2 * t * t - 3 * t * t * t, 1e-11);
      assert_within(inside[1], 0.5 - 2 * t + 2 * t * t * t, 1e-11);
      assert_true(inside[2] == 77);
    }
  }
  pl_integrator_free(integrator);
}

/// Has slopes up to a time.
static bool ending(double time, const double *state, double *slopes, const void *context) {
  double *const latest = *(double *const *)context;
  (void)state;
  slopes[0] = 1;
  return time <= *latest;
}

// A step whose slopes end is tried again half as long, until it fits.
static void shorter_where_slopes_end(void **state) {
  (void)state;
  double latest = 1;
  double *const handle = &latest;
  const struct pl_motion motion = {.count = 1, .slopes = ending, .context = &handle};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = -5;
  double y = -5;
  size_t event = 9;
  latest = INFINITY;
  while (time < 0) pl_integrator_step(integrator, &motion, &time, 0, &y, &event);
  latest = 0.3;
  assert_int_equal(pl_integrator_step(integrator, &motion, &time, 1, &y, &event), PL_STEP_DONE);
  assert_true(time == 0.25);
  assert_within(y, time, 1e-14);
  pl_integrator_free(integrator);
}

/// Has slopes that are numbers up to a time.
static bool exploding(double time, const double *state, double *slopes, const void *context) {
  (void)state, (void)context;
  slopes[0] = time <= 0.3 ? 1 : NAN;
  return true;
}

// Where the error is no number the step is tried again as a fifth.
static void shorter_where_errors_end(void **state) {
  (void)state;
  struct pl_motion motion = {.count = 1, .slopes = resting};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = -50;
  double y = 0;
  size_t event = 9;
  while (time < 0) pl_integrator_step(integrator, &motion, &time, 0, &y, &event);
  motion.slopes = exploding;
  pl_integrator_restart(integrator);
  assert_int_equal(pl_integrator_step(integrator, &motion, &time, 1, &y, &event), PL_STEP_DONE);
  assert_within(time, 0.2, 1e-15);
  pl_integrator_free(integrator);
}

static bool circling(double time, const double *y, double *slopes, const void *context) {
  (void)time, (void)context;
  slopes[0] = y[1];
  slopes[1] = -y[0];
  return true;
}

/// Takes a step round the circle; its length.
static double step_round(struct pl_integrator *integrator, double *time, double end,
                         double *state) {
  const struct pl_motion motion = {.count = 2, .slopes = circling};
  const double from = *time;
  size_t event = 9;
  assert_int_equal(pl_integrator_step(integrator, &motion, time, end, state, &event),
                   PL_STEP_DONE);
  return *time - from;
}

// Round a circle all steps are alike. One that is cut short by its end, by so little that its
// error is about what is allowed, says nothing of the next one: that is as long as before.
static void cut_short(void **state) {
  (void)state;
  struct pl_integrator *const integrator = pl_integrator_new(2, one_each, 1e-10);
  double y[] = {1, 0};
  double time = 0;
  double length = 0;
  for (int i = 0; i < 50; i++) length = step_round(integrator, &time, 1000, y);
  assert_near(step_round(integrator, &time, 1000, y), length, 1e-9);
  assert_near(step_round(integrator, &time, time + 0.9999 * length, y), 0.9999 * length, 1e-9);
  assert_near(step_round(integrator, &time, 1000, y), length, 1e-9);
  pl_integrator_free(integrator);
}

// A motion of more quantities, or fewer, is none for this integrator.
static void other_quantities(void **state) {
  (void)state;
  struct pl_motion motion = {.count = 2, .slopes = circling};
  struct pl_integrator *const integrator = pl_integrator_new(2, one_each, 1e-9);
  double time = 0;
  double y[3] = {1, 0, 0};
  size_t event = 9;
  for (motion.count = 1; motion.count <= 3; motion.count++)
    assert_int_equal(pl_integrator_step(integrator, &motion, &time, 1, y, &event),
                     motion.count == 2 ? PL_STEP_DONE : PL_STEP_FAILED);
  pl_integrator_free(integrator);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(few_tries),
      cmocka_unit_test(slack_counts),
      cmocka_unit_test(first_of_the_same),
      cmocka_unit_test(in_a_short_step),
      cmocka_unit_test(no_crumbs),
      cmocka_unit_test(between),
      cmocka_unit_test(shorter_where_slopes_end),
      cmocka_unit_test(shorter_where_errors_end),
      cmocka_unit_test(cut_short),
      cmocka_unit_test(other_quantities),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
