// SPDX-License-Identifier: GPL-3.0-or-later
// What is told of a simulation when it is over: when it settled, its loads, its energies.
#include "numbers.h"
#include "run.h"

// Two remembered steps, one after the other, and a band about a height.
struct crossing {
  const struct pl_past *one, *two;
  double height, span;
};

// How far outside the band the chassis is between the steps.
static double outside(double s, const void *context) {
  const struct crossing *const crossing = context;
  const struct pl_past *const one = crossing->one;
  const struct pl_past *const two = crossing->two;
  const double length = two->time - one->time;
  const double here = one->height * (1.0 + 2.0 * s) * pl_square(1.0 - s) +
                      two->height * pl_square(s) * (3.0 - 2.0 * s) +
                      length * s * (1.0 - s) * (one->speed * (1.0 - s) - two->speed * s);
  return fabs(here - crossing->height) - crossing->span;
}

// A moment between two remembered steps.
struct place {
  const struct pl_past *one, *two;
  double share;
};

// Where the chassis comes within `span` of `height` for good: at the start if it was never
// outside.
static struct place last_outside(const struct pl_simulator *simulator, double height,
                                 double span) {
  const struct pl_past *const past = simulator->past;
  size_t i = simulator->count - 1;
  while (i > 0 && fabs(past[i].height - height) <= span) i--;
  struct place place = {&past[i], &past[i], 0.0};
  if (i + 1 >= simulator->count) return place;
  place.two = &past[i + 1];
  const struct crossing crossing = {place.one, place.two, height, span};
  if (!pl_find_root(outside, &crossing, 0.0, 1.0, 1e-12, &place.share)) place.share = 0.0;
  return place;
}

static double along(double one, double two, double share) {
  return one + share * (two - one);
}

// Loads over the time until `time`, between two remembered steps.
static void tell_loads(struct pl_run *run, double time) {
  struct pl_motion_result *const result = run->result;
  const struct pl_past *const past = run->simulator->past;
  result->airborne = result->mean_load = result->load_variation = NAN;
  if (run->simulator->count < 2) return; // it ended where it began
  size_t i = 0;
  while (i + 2 < run->simulator->count && past[i + 1].time < time) i++;
  const struct pl_past *const two = &past[i + 1];
  const double share = fmin((time - past[i].time) / (two->time - past[i].time), 1.0);
  const double whole = along(past[i].time, two->time, share) - run->origin;
  const double load = along(past[i].load, two->load, share) / whole;
  const double square = along(past[i].load_squared, two->load_squared, share) / whole;
  result->airborne = along(past[i].airborne, two->airborne, share) / whole;
  const bool is_drop = run->quarter.bumps->count == 0;
  result->mean_load = is_drop ? NAN : load;
  result->load_variation = sqrt(fmax(square - pl_square(load), 0.0)) / result->mean_load;
}

void pl_run_tell_settling(struct pl_run *run) {
  struct pl_motion_result *const result = run->result;
  const double rest =
      run->stuck ? 0.5 * (run->window_low + run->window_high) : run->rest[CHASSIS];
  pl_run_extreme(run, run->state[CHASSIS]); // it may be quiet in the midst of its last swing
  pl_run_extreme(run, rest);
  double until = run->time;
  result->settle_time = NAN;
  if (result->settled) {
    const struct place place = last_outside(run->simulator, rest, pl_run_settled_within(run));
    until = along(place.one->time, place.two->time, place.share);
    result->settle_time = until - run->origin;
  }
  tell_loads(run, fmax(until, run->calm));
}

void pl_run_tell_energies(struct pl_run *run, const double *start) {
  const struct pl_corner *const corner = run->quarter.corner;
  const double *const state = run->state;
  struct pl_energies *const energies = &run->result->energies;
  struct pl_energies before;
  pl_quarter_stored(&run->quarter, run->origin, start, &before);
  pl_quarter_stored(&run->quarter, run->time, state, energies);
  const double weight = (corner->sprung_mass + corner->unsprung_mass) * corner->gravity;
  energies->fallen =
      corner->gravity * (corner->sprung_mass * (start[CHASSIS] - state[CHASSIS]) +
                         corner->unsprung_mass * (start[WHEEL] - state[WHEEL])) +
      weight * run->fall;
  energies->from_road = state[FROM_ROAD];
  energies->springs -= before.springs;
  energies->gas -= before.gas;
  energies->tyre -= before.tyre;
  energies->damped = state[DAMPED];
  energies->rubbed = state[RUBBED];
  energies->at_chassis = run->result->chassis.total;
  energies->at_shock_ends = run->result->shock_in.total + run->result->shock_out.total;
  energies->missing = energies->fallen + energies->from_road - energies->springs -
                      energies->gas - energies->tyre - energies->cavity - energies->moving -
                      energies->damped - energies->rubbed - energies->at_chassis -
                      energies->at_shock_ends;
}
