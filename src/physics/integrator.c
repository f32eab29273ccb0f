// SPDX-License-Identifier: GPL-3.0-or-later
// Integration over time: GSL's stepper, the length of its steps, and the place where an event
// happens. GSL has a control of steps of its own, which falls where memory ends
// (gsl_odeiv2_control_scaled_new of 2.7 uses what it did not get).
#include "pitleaf/simulation.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

// A step this short has no chance any more: 1e-9 s is what events are located to.
#define PL_SHORTEST_STEP 1e-13
// How far behind an event its step ends, s, and at most: so that what has happened has
// happened.
#define PL_BEHIND      2e-10
#define PL_MOST_BEHIND 8e-10
// The secant needs three or four tries; halving alone, from a long step, would need about
// forty.
#define PL_LOCATING_TRIES 80

struct pl_integrator {
  gsl_odeiv2_step *step;
  double allowed[PL_MOTION_STATES]; // errors of one step
  size_t count;
  double next;    // length of the next step, s
  double longest; // s
  bool is_fresh;  // the slopes at the start of the next step are not known
  // The last step: where it began and ended.
  double start_time, end_time;
  double start[PL_MOTION_STATES], start_slopes[PL_MOTION_STATES];
  double end[PL_MOTION_STATES], end_slopes[PL_MOTION_STATES];
  double errors[PL_MOTION_STATES];
  double functions[PL_MOTION_EVENTS]; // of the events, where the last step ended
};

// ---------------------------------------------------------------- making

// GSL's own handler of errors ends the program; a null pointer is what is wanted here.
struct pl_integrator *pl_integrator_new(size_t count, const double *scales, double tolerance) {
  if (count == 0 || count > PL_MOTION_STATES || !(tolerance > 0.0)) return NULL;
  for (size_t i = 0; i < count; i++)
    if (!(scales[i] > 0.0)) return NULL;
  struct pl_integrator *const integrator = calloc(1, sizeof *integrator);
  if (integrator == NULL) return NULL;
  gsl_error_handler_t *const usual = gsl_set_error_handler_off();
  integrator->step = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rk8pd, count);
  gsl_set_error_handler(usual);
  for (size_t i = 0; i < count; i++) integrator->allowed[i] = tolerance * scales[i];
  integrator->count = count;
  integrator->next = 1e-4;
  integrator->longest = INFINITY;
  integrator->is_fresh = true;
  if (integrator->step != NULL) return integrator;
  pl_integrator_free(integrator);
  return NULL;
}

void pl_integrator_free(struct pl_integrator *integrator) {
  if (integrator == NULL) return;
  if (integrator->step != NULL) gsl_odeiv2_step_free(integrator->step);
  free(integrator);
}

void pl_integrator_longest(struct pl_integrator *integrator, double longest) {
  integrator->longest = longest;
}

void pl_integrator_restart(struct pl_integrator *integrator) {
  integrator->is_fresh = true;
}

// ---------------------------------------------------------------- one step

static int slopes_for_library(double time, const double *state, double *slopes, void *motion) {
  const struct pl_motion *const own = motion;
  return own->slopes(time, state, slopes, own->context) ? GSL_SUCCESS : GSL_EBADFUNC;
}

// From the start of the step in hand over a length of time; false where slopes are missing.
static bool try_step(struct pl_integrator *integrator, const struct pl_motion *motion,
                     double length) {
  gsl_odeiv2_system system = {slopes_for_library, NULL, integrator->count, (void *)motion};
  memcpy(integrator->end, integrator->start, integrator->count * sizeof *integrator->end);
  integrator->end_time = integrator->start_time + length;
  return gsl_odeiv2_step_apply(integrator->step, integrator->start_time, length,
                               integrator->end, integrator->errors, integrator->start_slopes,
                               integrator->end_slopes, &system) == GSL_SUCCESS;
}

// The greatest error of the last step, in errors that are allowed; NaN where one is.
static double error_share(const struct pl_integrator *integrator) {
  double greatest = 0.0;
  for (size_t i = 0; i < integrator->count; i++) {
    const double share = fabs(integrator->errors[i]) / integrator->allowed[i];
    if (isnan(share)) return NAN; // fmax would leave it out
    greatest = fmax(greatest, share);
  }
  return greatest;
}

// What is too much, and what is so little that the next step may be longer.
#define MOST_SHARE   1.1
#define LITTLE_SHARE 0.5

// How much longer or shorter the next step may be: the error goes with the eighth power
// of the length, and the estimate is not to be trusted too far (GSL's manual, on the adaptive
// control of steps).
static double change_of_length(double share) {
  if (isnan(share)) return 0.2;
  if (share > MOST_SHARE) return fmax(0.2, 0.9 * pow(share, -1.0 / 8.0));
  return fmin(4.9, fmax(1.0, 0.9 * pow(share, -1.0 / 9.0)));
}

// The longest step up to `length` whose error is within bounds; 0 where there is none.
static double good_step(struct pl_integrator *integrator, const struct pl_motion *motion,
                        double length) {
  while (length > PL_SHORTEST_STEP) {
    if (!try_step(integrator, motion, length)) {
      length *= 0.5;
      continue;
    }
    const double share = error_share(integrator);
    const double next = length * change_of_length(share);
    if (share <= MOST_SHARE) {
      // A step that was cut short by its end says little of what the next one may be.
      integrator->next = share < LITTLE_SHARE ? next : fmax(length, integrator->next);
      return length;
    }
    integrator->next = length = next; // shorter by a tenth at the least
  }
  return 0.0;
}

void pl_integrator_between(const struct pl_integrator *integrator, double time, double *state) {
  const double length = integrator->end_time - integrator->start_time;
  const double s = length > 0.0 ? (time - integrator->start_time) / length : 1.0;
  const double left = (1.0 + 2.0 * s) * (1.0 - s) * (1.0 - s);
  const double right = s * s * (3.0 - 2.0 * s);
  const double left_slope = s * (1.0 - s) * (1.0 - s) * length;
  const double right_slope = s * s * (s - 1.0) * length;
  for (size_t i = 0; i < integrator->count; i++)
    state[i] = left * integrator->start[i] + right * integrator->end[i] +
               left_slope * integrator->start_slopes[i] +
               right_slope * integrator->end_slopes[i];
}

// ---------------------------------------------------------------- events

// The functions of the events at the start of the step and at its end.
struct pl_functions {
  double start[PL_MOTION_EVENTS];
  double end[PL_MOTION_EVENTS];
};

static bool has_happened(const struct pl_motion *motion, const double *values, size_t event) {
  return values[event] < -motion->slack[event];
}

// One event's function at a time within the step, interpolated.
static double function_between(const struct pl_integrator *integrator,
                               const struct pl_motion *motion, size_t event, double time) {
  double state[PL_MOTION_STATES];
  double values[PL_MOTION_EVENTS];
  pl_integrator_between(integrator, time, state);
  motion->events(time, state, values, motion->context);
  return values[event];
}

// About where within the step an event happens, as a length from its start. At the start its
// function counts as above zero, whatever rounding has done to it.
static double guess(const struct pl_integrator *integrator, const struct pl_motion *motion,
                    size_t event) {
  double before = 0.0;
  double behind = integrator->end_time - integrator->start_time;
  for (int i = 0; i < 14; i++) {
    const double middle = 0.5 * (before + behind);
    const double value =
        function_between(integrator, motion, event, integrator->start_time + middle);
    if (value < 0.0)
      behind = middle;
    else
      before = middle;
  }
  return 0.5 * (before + behind);
}

// Of the events that have happened at the end of the step, the first one by guess; event_count
// where there is none.
static size_t first_event(const struct pl_integrator *integrator,
                          const struct pl_motion *motion, const double *values,
                          double *length) {
  size_t first = motion->event_count;
  *length = INFINITY;
  for (size_t i = 0; i < motion->event_count; i++) {
    if (!has_happened(motion, values, i)) continue;
    const double own = guess(integrator, motion, i);
    if (own >= *length) continue;
    first = i;
    *length = own;
  }
  return first;
}

// A length of the step with the event's function there.
struct pl_trial {
  double length;
  double value;
};

// Where the line through both trials is zero, and a hair behind; the middle of the bracket
// where that is outside.
static double next_trial(const struct pl_trial *one, const struct pl_trial *other,
                         double before, double behind) {
  const double slope = (other->value - one->value) / (other->length - one->length);
  const double length = other->length - other->value / slope + PL_BEHIND;
  return length > before && length < behind ? length : 0.5 * (before + behind);
}

// Shortens the step until it ends just behind the event. The bracket's front is above zero, its
// back below; the secant takes the last two trials, at first the whole step.
static bool locate(struct pl_integrator *integrator, const struct pl_motion *motion,
                   size_t event, double length, double *values) {
  double before = 0.0;
  double behind = integrator->end_time - integrator->start_time;
  struct pl_trial last = {behind, values[event]};
  for (int i = 0; i < PL_LOCATING_TRIES && behind - before > PL_BEHIND; i++) {
    if (!try_step(integrator, motion, length)) return false;
    motion->events(integrator->end_time, integrator->end, values, motion->context);
    const struct pl_trial here = {length, values[event]};
    const double slope = (here.value - last.value) / (here.length - last.length);
    if (here.value < 0.0 && (slope < 0.0 && here.value / slope < PL_MOST_BEHIND)) return true;
    if (here.value < 0.0)
      behind = here.length;
    else
      before = here.length;
    length = next_trial(&last, &here, before, behind);
    last = here;
  }
  // The bracket is as narrow as wanted: its back is where the event has happened.
  if (!try_step(integrator, motion, behind)) return false;
  motion->events(integrator->end_time, integrator->end, values, motion->context);
  return true;
}

// Shortens the step to its first event, if it has one.
static enum pl_step end_at_event(struct pl_integrator *integrator,
                                 const struct pl_motion *motion, struct pl_functions *functions,
                                 size_t *event) {
  enum pl_step ended = PL_STEP_DONE;
  motion->events(integrator->end_time, integrator->end, functions->end, motion->context);
  // What is negative where the first one happens was earlier still: again, in a shorter step.
  for (size_t i = 0; i <= motion->event_count; i++) {
    double length = 0.0;
    const double whole = integrator->end_time - integrator->start_time;
    const size_t first = first_event(integrator, motion, functions->end, &length);
    if (first == motion->event_count || (ended == PL_STEP_EVENT && first == *event))
      return ended;
    ended = PL_STEP_EVENT;
    *event = first;
    if (whole <= PL_MOST_BEHIND) return ended;
    if (!locate(integrator, motion, first, length, functions->end)) return PL_STEP_FAILED;
  }
  return ended;
}

// ---------------------------------------------------------------- the whole

enum pl_step pl_integrator_step(struct pl_integrator *integrator,
                                const struct pl_motion *motion, double *time, double end,
                                double *state, size_t *event) {
  if (motion->count != integrator->count) return PL_STEP_FAILED;
  const size_t size = integrator->count * sizeof *state;
  struct pl_functions functions = {.end = {0.0}};
  integrator->start_time = *time;
  memcpy(integrator->start, state, size);
  if (integrator->is_fresh)
    gsl_odeiv2_step_reset(integrator->step);
  else
    memcpy(integrator->start_slopes, integrator->end_slopes, size);
  if (integrator->is_fresh &&
      !motion->slopes(*time, state, integrator->start_slopes, motion->context))
    return PL_STEP_FAILED;
  if (motion->event_count > 0) {
    if (integrator->is_fresh)
      motion->events(*time, state, functions.start, motion->context);
    else
      memcpy(functions.start, integrator->functions, sizeof functions.start);
    for (size_t i = 0; i < motion->event_count; i++) {
      if (!has_happened(motion, functions.start, i)) continue;
      *event = i;
      return PL_STEP_EVENT;
    }
  }
  const double left = end - *time;
  if (left <= PL_SHORTEST_STEP) { // a crumb: nothing moves in so short a time
    *time = integrator->end_time = end;
    memcpy(integrator->end, state, size);
    memcpy(integrator->end_slopes, integrator->start_slopes, size);
    integrator->is_fresh = true;
    return PL_STEP_DONE;
  }
  const double wanted = fmin(integrator->next, integrator->longest);
  // No crumb is left over for a last step.
  const double length =
      good_step(integrator, motion, wanted > left * (1.0 - 1e-9) ? left : wanted);
  if (length == 0.0) return PL_STEP_FAILED;
  enum pl_step ended = PL_STEP_DONE;
  if (motion->event_count > 0) ended = end_at_event(integrator, motion, &functions, event);
  if (ended == PL_STEP_FAILED) return ended;
  integrator->is_fresh = false;
  memcpy(integrator->functions, functions.end, sizeof functions.end);
  *time = ended == PL_STEP_DONE && length == left ? end : integrator->end_time;
  memcpy(state, integrator->end, size);
  return ended;
}
