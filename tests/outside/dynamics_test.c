// SPDX-License-Identifier: GPL-3.0-or-later
// Integration over time against published values and closed forms, through the driver that the
// simulation uses.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>

#include "near.h"
#include "pitleaf/simulation.h"

static const double one_each[PL_MOTION_STATES] = {1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1};

/// Runs to `end` or the first event; the event's number, or SIZE_MAX.
static size_t run(const struct pl_motion *motion, double *time, double end, double *state,
                  double tolerance) {
  struct pl_integrator *const integrator =
      pl_integrator_new(motion->count, one_each, tolerance);
  assert_non_null(integrator);
  size_t event = SIZE_MAX;
  while (*time < end) {
    const enum pl_step step = pl_integrator_step(integrator, motion, time, end, state, &event);
    assert_int_not_equal(step, PL_STEP_FAILED);
    if (step == PL_STEP_EVENT) break;
  }
  pl_integrator_free(integrator);
  return event;
}

// ---------------------------------------------------------------- DETEST
//
// Hull, Enright, Fellen & Sedgwick, Comparing numerical methods for ordinary differential
// equations, SIAM J. Numer. Anal. 9 (1972) 603, problems A2 to A5, at t = 20.

static bool detest_a2(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)context;
  slope[0] = -0.5 * y[0] * y[0] * y[0];
  return true;
}

static bool detest_a3(double t, const double *y, double *slope, const void *context) {
  (void)context;
  slope[0] = y[0] * cos(t);
  return true;
}

static bool detest_a4(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)context;
  slope[0] = y[0] / 4 * (1 - y[0] / 20);
  return true;
}

static bool detest_a5(double t, const double *y, double *slope, const void *context) {
  (void)context;
  slope[0] = (y[0] - t) / (y[0] + t);
  return true;
}

static void detest(void **state) {
  (void)state;
  static const struct {
    const char *what;
    bool (*slopes)(double, const double *, double *, const void *);
    double start;
    double end;
  } problems[] = {{"DETEST A2 at 20", detest_a2, 1, 0.2182178902359887},
                  {"DETEST A3 at 20", detest_a3, 1, 2.491650271850414},
                  {"DETEST A4 at 20", detest_a4, 1, 17.73016648131483},
                  {"DETEST A5 at 20", detest_a5, 4, -0.7887826688964196}};
  for (size_t i = 0; i < sizeof problems / sizeof problems[0]; i++) {
    const struct pl_motion motion = {.count = 1, .slopes = problems[i].slopes};
    double time = 0;
    double y = problems[i].start;
    run(&motion, &time, 20, &y, 1e-13);
    assert_published(problems[i].what, y, problems[i].end, 1e-11);
    assert_true(time == 20);
  }
}

// DETEST D5: an orbit whose speed varies nineteenfold, so that steps have to grow and shrink.
static bool orbit(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)context;
  const double cube = pow(y[0] * y[0] + y[1] * y[1], 1.5);
  slope[0] = y[2];
  slope[1] = y[3];
  slope[2] = -y[0] / cube;
  slope[3] = -y[1] / cube;
  return true;
}

static int orbit_for_library(double t, const double y[], double slope[], void *context) {
  return orbit(t, y, slope, context) ? GSL_SUCCESS : GSL_EBADFUNC;
}

// The steps are as long as GSL's evolution with its own control makes them: that control is
// what its manual describes, and what the integrator does by itself.
static void steps_as_long(void **state) {
  (void)state;
  static const double scales[] = {0.5, 2, 4, 0.25};
  static const double tolerance = 1e-10;
  const struct pl_motion motion = {.count = 4, .slopes = orbit};
  gsl_odeiv2_system system = {orbit_for_library, NULL, 4, NULL};
  gsl_odeiv2_step *const stepper = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rk8pd, 4);
  gsl_odeiv2_evolve *const evolution = gsl_odeiv2_evolve_alloc(4);
  gsl_odeiv2_control *const control =
      gsl_odeiv2_control_scaled_new(tolerance, 0, 1, 0, scales, 4);
  struct pl_integrator *const integrator = pl_integrator_new(4, scales, tolerance);
  double own[] = {0.1, 0, 0, sqrt(19)};
  double theirs[] = {0.1, 0, 0, sqrt(19)};
  double own_time = 0;
  double their_time = 0;
  double length = 1e-4;
  size_t event = 0;
  int steps = 0;
  for (; own_time < 19; steps++) {
    assert_int_equal(pl_integrator_step(integrator, &motion, &own_time, 100, own, &event),
                     PL_STEP_DONE);
    assert_int_equal(gsl_odeiv2_evolve_apply(evolution, control, stepper, &system, &their_time,
                                             100, &length, theirs),
                     GSL_SUCCESS);
    assert_near(own_time, their_time, 1e-5); // the errors of short steps are mostly rounding
  }
  print_message(
      "  GSL's control of steps: %d steps over three orbits, %lu of them tried again\n", steps,
      evolution->failed_steps);
  assert_true(evolution->failed_steps > 10);
  pl_integrator_free(integrator);
  gsl_odeiv2_control_free(control);
  gsl_odeiv2_evolve_free(evolution);
  gsl_odeiv2_step_free(stepper);
}

/// Nothing moves, and then all at once so fast that steps are too long by far.
static bool kicked(double t, const double *y, double *slope, const void *context) {
  (void)y, (void)context;
  slope[0] = t < 5 ? 0 : 1e4 * cos(1e4 * (t - 5));
  return true;
}

static int kicked_for_library(double t, const double y[], double slope[], void *context) {
  return kicked(t, y, slope, context) ? GSL_SUCCESS : GSL_EBADFUNC;
}

// Nor are steps shortened by more than to a fifth at once: the same as GSL's.
static void shortened_as_much(void **state) {
  (void)state;
  const struct pl_motion motion = {.count = 1, .slopes = kicked};
  gsl_odeiv2_system system = {kicked_for_library, NULL, 1, NULL};
  gsl_odeiv2_step *const stepper = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rk8pd, 1);
  gsl_odeiv2_evolve *const evolution = gsl_odeiv2_evolve_alloc(1);
  gsl_odeiv2_control *const control = gsl_odeiv2_control_scaled_new(1e-8, 0, 1, 0, one_each, 1);
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-8);
  double own = 0;
  double theirs = 0;
  double own_time = 0;
  double their_time = 0;
  double length = 1e-4;
  size_t event = 0;
  for (int steps = 0; own_time < 5.001; steps++) {
    assert_int_equal(pl_integrator_step(integrator, &motion, &own_time, 100, &own, &event),
                     PL_STEP_DONE);
    assert_int_equal(gsl_odeiv2_evolve_apply(evolution, control, stepper, &system, &their_time,
                                             100, &length, &theirs),
                     GSL_SUCCESS);
    assert_near(own_time, their_time, 1e-9);
  }
  print_message("  kicked: %lu tried again\n", evolution->failed_steps);
  assert_true(evolution->failed_steps > 2);
  pl_integrator_free(integrator);
  gsl_odeiv2_control_free(control);
  gsl_odeiv2_evolve_free(evolution);
  gsl_odeiv2_step_free(stepper);
}

// An end that is nearer than any step can be taken is reached all the same, and on the way
// there nothing moves.
static void crumb(void **state) {
  (void)state;
  const struct pl_motion motion = {.count = 1, .slopes = detest_a2};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0.5;
  double y = 1;
  size_t event = 0;
  for (int i = 0; i < 2; i++) {
    const double end = time + 1e-14;
    assert_int_equal(pl_integrator_step(integrator, &motion, &time, end, &y, &event),
                     PL_STEP_DONE);
    assert_true(time == end);
    assert_near(y, 1, 1e-12);
    double between = 0;
    pl_integrator_between(integrator, 0.5 * (time + end), &between);
    assert_near(between, 1, 1e-12);
    pl_integrator_restart(integrator);
  }
  pl_integrator_free(integrator);
}

// ---------------------------------------------------------------- closed forms

static bool falling(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)context;
  slope[0] = y[1];
  slope[1] = -PL_STANDARD_GRAVITY;
  return true;
}

static void above_ground(double t, const double *y, double *values, const void *context) {
  (void)t, (void)context;
  values[0] = y[0];
}

static const double slack[PL_MOTION_EVENTS] = {1e-15, 1e-15, 1e-15};

// A fall from 0.5 m ends after sqrt(2 h/g) at sqrt(2 g h), 3.131557 m/s (exact).
static void free_fall(void **state) {
  (void)state;
  const struct pl_motion motion = {
      .count = 2, .slopes = falling, .event_count = 1, .events = above_ground, .slack = slack};
  double time = 0;
  double y[2] = {0.5, 0};
  assert_int_equal(run(&motion, &time, 5, y, 1e-10), 0);
  assert_published_within("fall from 0.5 m: time, s", time, sqrt(1 / PL_STANDARD_GRAVITY),
                          1e-9);
  assert_published("fall from 0.5 m: speed, m/s", -y[1], 3.131557, 1e-6);
}

/// One mass, 400 N/m, 1 kg, damping ratio 0.3, on a unit step.
static bool oscillating(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)context;
  slope[0] = y[1];
  slope[1] = 400 * (1 - y[0]) - 2 * 0.3 * 20 * y[1];
  return true;
}

static void rising(double t, const double *y, double *values, const void *context) {
  (void)t, (void)context;
  values[0] = t < 0.01 ? 1 : y[1];
}

static void damped_oscillator(void **state) {
  (void)state;
  const struct pl_motion motion = {
      .count = 2, .slopes = oscillating, .event_count = 1, .events = rising, .slack = slack};
  double time = 0;
  double y[2] = {0, 0};
  run(&motion, &time, 0.1, y, 1e-10);
  assert_published("unit step, damping ratio 0.3: x(0.1)", y[0], 1.0186307302, 1e-9);
  assert_int_equal(run(&motion, &time, 5, y, 1e-10), 0);
  assert_published_within("unit step, damping ratio 0.3: time of the peak, s", time, 0.1646642,
                          5e-8);
  assert_published("unit step, damping ratio 0.3: the peak", y[0], 1.3723261049, 1e-9);
}

// ---------------------------------------------------------------- events

/// Two functions that fall below zero within one long step: the earlier one counts, also where
/// it is above zero again at the end.
static void two_in_one_step(double t, const double *y, double *values, const void *context) {
  (void)y, (void)context;
  values[0] = 0.3 - t;
  values[1] = (t - 0.1) * (t - 0.4); // below zero from 0.1 to 0.4
}

static bool resting(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)y, (void)context;
  slope[0] = 0;
  return true;
}

static void first_of_several(void **state) {
  (void)state;
  const struct pl_motion motion = {.count = 1,
                                   .slopes = resting,
                                   .event_count = 2,
                                   .events = two_in_one_step,
                                   .slack = slack};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0;
  double y = 1;
  size_t event = 0;
  enum pl_step step = PL_STEP_DONE;
  while (step == PL_STEP_DONE)
    step = pl_integrator_step(integrator, &motion, &time, 10, &y, &event);
  assert_int_equal(step, PL_STEP_EVENT);
  assert_int_equal(event, 1);
  assert_within(time, 0.1, 1e-9);
  assert_true(time >= 0.1);
  // Below zero at the start: the step ends before it began.
  const double before = time;
  time = 0.35;
  step = pl_integrator_step(integrator, &motion, &time, 10, &y, &event);
  assert_int_equal(step, PL_STEP_EVENT);
  assert_true(time == 0.35 && before < time);
  pl_integrator_free(integrator);
}

static bool never(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)y, (void)context;
  slope[0] = 1;
  return y[0] < 1;
}

/// Below zero from 0.1 on; once that is known, nothing more can be told of the motion.
static void at_the_tenth(double t, const double *y, double *values, const void *context) {
  bool *const is_known = *(bool *const *)context;
  (void)y;
  values[0] = 0.1 - t;
  if (t > 0.1) *is_known = true;
}

static bool resting_until_known(double t, const double *y, double *slope, const void *context) {
  (void)t, (void)y;
  slope[0] = 0;
  return !**(bool *const *)context;
}

static void no_way_to_the_event(void **state) {
  (void)state;
  bool is_known = false;
  bool *const known = &is_known;
  const struct pl_motion motion = {.count = 1,
                                   .slopes = resting_until_known,
                                   .event_count = 1,
                                   .events = at_the_tenth,
                                   .slack = slack,
                                   .context = &known};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0;
  double y = 1;
  size_t event = 0;
  enum pl_step step = PL_STEP_DONE;
  while (step == PL_STEP_DONE)
    step = pl_integrator_step(integrator, &motion, &time, 10, &y, &event);
  assert_int_equal(step, PL_STEP_FAILED);
  assert_true(is_known && time < 0.1 && y == 1);
  // Nor is there a way on from where it cannot even begin.
  pl_integrator_restart(integrator);
  assert_int_equal(pl_integrator_step(integrator, &motion, &time, 10, &y, &event),
                   PL_STEP_FAILED);
  pl_integrator_free(integrator);
}

static void impossible(void **state) {
  (void)state;
  static const double none[] = {0};
  assert_null(pl_integrator_new(0, one_each, 1e-9));
  assert_null(pl_integrator_new(PL_MOTION_STATES + 1, one_each, 1e-9));
  assert_null(pl_integrator_new(1, none, 1e-9));
  assert_null(pl_integrator_new(1, one_each, 0));
  assert_null(pl_integrator_new(1, one_each, NAN));
  pl_integrator_free(NULL);
  struct pl_integrator *const full = pl_integrator_new(PL_MOTION_STATES, one_each, 1e-9);
  assert_non_null(full);
  pl_integrator_free(full);
  // Slopes that end: the integrator comes up to there, and says so.
  const struct pl_motion motion = {.count = 1, .slopes = never};
  struct pl_integrator *const integrator = pl_integrator_new(1, one_each, 1e-9);
  double time = 0;
  double y = 0;
  size_t event = 0;
  enum pl_step step = PL_STEP_DONE;
  while (step == PL_STEP_DONE)
    step = pl_integrator_step(integrator, &motion, &time, 10, &y, &event);
  assert_int_equal(step, PL_STEP_FAILED);
  assert_within(y, 1, 1e-9);
  pl_integrator_free(integrator);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(detest),           cmocka_unit_test(crumb),
      cmocka_unit_test(steps_as_long),    cmocka_unit_test(shortened_as_much),
      cmocka_unit_test(free_fall),        cmocka_unit_test(damped_oscillator),
      cmocka_unit_test(first_of_several), cmocka_unit_test(no_way_to_the_event),
      cmocka_unit_test(impossible),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
