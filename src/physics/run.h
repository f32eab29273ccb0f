// SPDX-License-Identifier: GPL-3.0-or-later
// A simulation in hand, for the three files that share it: simulation.c makes and ends it,
// run_look.c watches it, run_told.c says afterwards what came of it.
#ifndef PITLEAF_PHYSICS_RUN_H
#define PITLEAF_PHYSICS_RUN_H

#include "quarter_car.h"

// Steps that are remembered: 5 s in steps of 3 ms, with their events, are about 2000. Of more,
// every second one is forgotten.
#define PL_PAST 8192

// The end of a step.
struct pl_past {
  double time;
  double height; // of the chassis
  double speed;
  double load;
  double load_squared;
  double airborne; // s so far
};

struct pl_simulator {
  struct pl_integrator *of_drops; // with fewer quantities, in less time
  struct pl_integrator *of_bumps;
  size_t count;
  struct pl_past past[PL_PAST];
};

// What a run is to find out.
enum pl_goal { TO_REST, TO_GROUND, TO_SHOCK_END };

// A run in hand.
struct pl_run {
  struct pl_simulator *simulator;
  struct pl_quarter quarter;
  double state[QUANTITIES];
  double time;
  double origin; // from which settling counts, s
  double calm;   // before which it cannot be over: the last bump's end
  double limit;
  enum pl_goal goal;
  double goal_energy; // with less the goal is out of reach, J
  double rest[QUANTITIES];
  double rest_energy;
  double rate;   // of the ride at rest, N/m
  double period; // of the whole corner on its tyre, s
  // Where the chassis was since the window was opened, and whether friction held the shaft.
  double window;
  double window_low, window_high;
  bool window_held;
  bool stuck;
  double left_at;  // when the tyre left the ground last
  double airborne; // s
  // Swings: the last turning point that may still move, and the way since: 1 up, -1 down, 0
  // before the first one.
  double turn;
  double swing_way;
  struct pl_record *record;
  double fall; // m, before the run began
  struct pl_motion_result *result;
};

struct pl_integrator *pl_run_integrator(const struct pl_run *run);

// ---------------------------------------------------------------- watching

// Raises the extremes by what a state shows.
void pl_run_look(struct pl_run *run, double time, const double *state);
// The same along the step that was taken; writes the moment at its end if one is due.
void pl_run_look_along(struct pl_run *run, double from);
void pl_run_write_moment(struct pl_run *run, double time, const double *state);
// When the next moment is due; infinite where none is.
double pl_run_next_moment(const struct pl_run *run);
void pl_run_remember(struct pl_run *run, double from);
// The chassis has come to an extreme, or to its rest: were it and the last one a swing?
void pl_run_extreme(struct pl_run *run, double height);
// Has the event happen, and counts what it was.
void pl_run_take_event(struct pl_run *run, size_t event);
// The greatest distance of the chassis from where it rests, so far.
double pl_run_excursion(const struct pl_run *run);
// How near to its rest it has to stay to count as settled, m.
double pl_run_settled_within(const struct pl_run *run);

// ---------------------------------------------------------------- afterwards

void pl_run_tell_settling(struct pl_run *run);
// `start` is the state that the run began with.
void pl_run_tell_energies(struct pl_run *run, const double *start);

#endif
