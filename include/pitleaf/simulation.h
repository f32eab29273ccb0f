// SPDX-License-Identifier: GPL-3.0-or-later
// The time simulation of one corner of a car: numbers in, numbers out, like all of physics.
//
// The conventions of physics.h hold, but for one: an integrator has memory of its own. Whoever
// makes one frees it.
#ifndef PITLEAF_SIMULATION_H
#define PITLEAF_SIMULATION_H

#include "pitleaf/physics.h"

// ---------------------------------------------------------------- integrating

/// Most quantities of a motion, and most events that it waits for.
#define PL_MOTION_STATES 12
#define PL_MOTION_EVENTS 12

/// What moves: slopes over time, and functions that are above zero until something happens.
struct pl_motion {
  size_t count; ///< of quantities, 1 to PL_MOTION_STATES
  /// Fills the slopes of all quantities. False where the state is none that can be: the step is
  /// then tried again shorter.
  bool (*slopes)(double time, const double *state, double *slopes, const void *context);
  size_t event_count; ///< at most PL_MOTION_EVENTS; with 0 `events` may be null
  /// Fills the functions of all events. One that is below zero by more than its slack has
  /// happened.
  void (*events)(double time, const double *state, double *values, const void *context);
  const double *slack; ///< of each event: what rounding may do to its function
  const void *context; ///< handed to both
};

/// An integrator: the Runge-Kutta method of Prince and Dormand, order 8 with an error estimate
/// of order 7 (GSL's rk8pd), with steps that keep the estimate within bounds.
struct pl_integrator;

/// An integrator of `count` quantities. In one step each may be wrong by `tolerance` times its
/// scale at the most, as far as the estimate knows; `scales` is copied. Null where memory lacks
/// or the numbers are impossible. Free it with pl_integrator_free().
struct pl_integrator *pl_integrator_new(size_t count, const double *scales, double tolerance);
/// Null is allowed.
void pl_integrator_free(struct pl_integrator *integrator);

/// No step is longer than this, s; infinity at first. It must be above 0.
void pl_integrator_longest(struct pl_integrator *integrator, double longest);
/// What was integrated so far is forgotten: the state was changed by hand, or its slopes are
/// others now. The length of the next step is kept.
void pl_integrator_restart(struct pl_integrator *integrator);

/// How a step ended.
enum pl_step {
  PL_STEP_DONE,  ///< without an event
  PL_STEP_EVENT, ///< at an event
  PL_STEP_FAILED ///< the slopes cannot be had however short the step is
};

/// Takes one step of `motion` from `*time` toward `end`, not beyond it, and moves `*time` and
/// `state` on. Where a function of an event falls below zero, the step ends there, at most 1e-9
/// s behind the place where it does (integrated to, not interpolated), and `*event` is its
/// number; of several the first one counts. A function that is below zero already at the start
/// ends the step at once. What falls below zero and rises again within one step is found only
/// if another event splits that step: keep steps shorter than what is looked for.
enum pl_step pl_integrator_step(struct pl_integrator *integrator,
                                const struct pl_motion *motion, double *time, double end,
                                double *state, size_t *event);

/// The state within the last step, by its ends and their slopes (cubic): for plots and peaks.
void pl_integrator_between(const struct pl_integrator *integrator, double time, double *state);

#endif
