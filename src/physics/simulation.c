// SPDX-License-Identifier: GPL-3.0-or-later
// Simulations of a corner from start to rest, and what is told of them.
#include "numbers.h"
#include "run.h"

#include <stdlib.h>
#include <string.h>

// No step is longer, s, while the tyre touches: peaks are looked for four times a step.
#define PL_LONGEST_STEP 3e-3
// Most steps of a drop, about a tenth of a second's work and 25 times those of a usual one that
// goes on to its limit: a motion that takes more is too stiff. Bumps have more by the time that
// they take.
#define PL_MOST_STEPS 50000
// Events at one and the same time that may follow each other; more are a circle.
#define PL_MOST_AT_ONCE 40

struct pl_simulator *pl_simulator_new(double tolerance) {
  // m, m/s, m3, J, N s and N2 s: a thousandth of what cars have, or less.
  static const double scales[QUANTITIES] = {
      [CHASSIS] = 1e-3, [WHEEL] = 1e-3,      [CHASSIS_SPEED] = 0.1, [WHEEL_SPEED] = 0.1,
      [CAVITY] = 1e-9,  [DAMPED] = 1e-2,     [RUBBED] = 1e-2,       [FROM_ROAD] = 1e-2,
      [LOAD] = 1e-1,    [LOAD_SQUARED] = 1.0};
  struct pl_simulator *const simulator = calloc(1, sizeof *simulator);
  if (simulator == NULL) return NULL;
  simulator->of_drops = pl_integrator_new(DROP_QUANTITIES, scales, tolerance);
  simulator->of_bumps = pl_integrator_new(QUANTITIES, scales, tolerance);
  if (simulator->of_drops != NULL && simulator->of_bumps != NULL) return simulator;
  pl_simulator_free(simulator);
  return NULL;
}

void pl_simulator_free(void *simulator) {
  struct pl_simulator *const own = simulator;
  if (own == NULL) return;
  pl_integrator_free(own->of_drops);
  pl_integrator_free(own->of_bumps);
  free(own);
}

// ---------------------------------------------------------------- until it is over

// Potential and stored energy with that of motion, J.
static double energy_of(const struct pl_run *run, const double *state) {
  const struct pl_corner *const corner = run->quarter.corner;
  struct pl_energies energies;
  pl_quarter_stored(&run->quarter, run->time, state, &energies);
  return energies.springs + energies.gas + energies.tyre + energies.cavity + energies.moving +
         corner->gravity *
             (corner->sprung_mass * state[CHASSIS] + corner->unsprung_mass * state[WHEEL]);
}

static void open_window(struct pl_run *run) {
  run->window = run->time;
  run->window_low = run->window_high = run->state[CHASSIS];
  run->window_held = false;
}

// Half of the distance from rest within which it counts as settled.
static double half_band(const struct pl_run *run) {
  return 0.5 * pl_run_settled_within(run);
}

// Friction holds the shaft, again and again, and the chassis stays where it is while the corner
// swings once on its tyre: there it rests. (The tyre damps nothing and goes on for ever within
// what friction holds.)
static bool is_stuck(struct pl_run *run) {
  const double height = run->state[CHASSIS];
  run->window_low = fmin(run->window_low, height);
  run->window_high = fmax(run->window_high, height);
  run->window_held |= run->quarter.mode.held && run->quarter.mode.touches &&
                      !pl_is_extended(&run->quarter, run->state) &&
                      !pl_is_ended(&run->quarter, run->state);
  if (run->time - run->window < run->period) return false;
  run->stuck = run->window_held && run->window_high - run->window_low < 2.0 * half_band(run);
  if (!run->stuck) open_window(run);
  return run->stuck;
}

// Is so little energy left that the chassis stays within half of what counts as settled?
static bool is_quiet(struct pl_run *run) {
  if (run->time < run->calm) {
    open_window(run); // what was before the end of the last bump does not count
    return false;
  }
  if (is_stuck(run)) return true;
  if (!run->quarter.mode.touches) return false;
  const double enough = 0.5 * run->rate * pl_square(half_band(run));
  const double moving =
      0.5 * run->quarter.corner->sprung_mass * pl_square(run->state[CHASSIS_SPEED]);
  return moving < enough && energy_of(run, run->state) - run->rest_energy < enough;
}

static bool is_reached(const struct pl_run *run) {
  if (run->goal == TO_GROUND) return run->result->chassis.count > 0;
  return run->goal == TO_SHOCK_END && run->result->shock_in.count > 0;
}

// On a level road nothing adds energy: what is left is too little to get to the goal.
static bool is_hopeless(const struct pl_run *run) {
  return run->goal != TO_REST && energy_of(run, run->state) < run->goal_energy;
}

// How long the next step may be: short enough for peaks, and for a bump not to be stepped over.
static double longest_step(const struct pl_run *run) {
  const struct pl_bumps *const bumps = run->quarter.bumps;
  const double longest = run->quarter.mode.touches ? PL_LONGEST_STEP : INFINITY;
  if (bumps->count == 0 || run->time >= run->calm) return longest;
  return fmin(longest, bumps->length / bumps->speed / 8.0);
}

static bool go(struct pl_run *run) {
  struct pl_integrator *const integrator = pl_run_integrator(run);
  const bool is_drop = run->quarter.bumps->count == 0;
  const struct pl_motion motion = {.count = is_drop ? DROP_QUANTITIES : QUANTITIES,
                                   .slopes = pl_quarter_slopes,
                                   .event_count = HAPPENINGS,
                                   .events = pl_quarter_events,
                                   .slack = pl_quarter_slack,
                                   .context = &run->quarter};
  const double share = (run->limit - run->origin) / PL_SIMULATION_LIMIT;
  const size_t most = (size_t)(PL_MOST_STEPS * share);
  size_t at_once = 0;
  pl_integrator_restart(integrator);
  while (run->time < run->limit && !is_reached(run)) {
    const double from = run->time;
    size_t event = 0;
    pl_integrator_longest(integrator, longest_step(run));
    // What is written down is integrated to, not interpolated; no step goes over a kink.
    const double kink = pl_quarter_smooth_until(&run->quarter);
    const double end = fmin(fmin(run->limit, kink), pl_run_next_moment(run));
    const enum pl_step step =
        pl_integrator_step(integrator, &motion, &run->time, end, run->state, &event);
    if (step == PL_STEP_FAILED || run->result->steps >= most) return false;
    if (run->time > from) {
      pl_run_look_along(run, from);
      pl_run_remember(run, from);
      at_once = 0;
    }
    if (step == PL_STEP_EVENT) {
      if (++at_once > PL_MOST_AT_ONCE) return false;
      pl_run_take_event(run, event);
      pl_integrator_restart(integrator);
      pl_run_look(run, run->time, run->state);
    }
    if (run->time >= kink) {
      pl_quarter_next_piece(&run->quarter);
      pl_integrator_restart(integrator);
    }
    if (is_hopeless(run)) break;
    if (is_quiet(run)) {
      run->result->settled = true;
      break;
    }
  }
  return true;
}

// ---------------------------------------------------------------- the whole

static const struct pl_bumps level = {.count = 0};

// What is common to all runs: where the corner rests, and empty results.
static enum pl_simulation_status prepare(struct pl_run *run, const struct pl_corner *corner,
                                         const struct pl_bumps *bumps) {
  enum pl_simulation_status status;
  *run->result = (struct pl_motion_result){.lowest = INFINITY, .highest = -INFINITY};
  if (run->simulator == NULL) return PL_NO_MEMORY;
  if (!pl_quarter_of(corner, bumps, &run->quarter, &status)) return status;
  if (!pl_quarter_rest(&run->quarter, run->rest)) return PL_NO_CORNER;
  struct pl_motion_result *const result = run->result;
  const double travel = run->rest[WHEEL] - run->rest[CHASSIS];
  double ratio;
  result->least_gas = 1.0;
  result->rest_height = run->rest[CHASSIS];
  result->rest_position = pl_shock_path_at(&corner->path, travel, &ratio);
  result->end = pl_shock_path_at(&corner->path, run->quarter.end, &ratio);
  result->end_is_bind = run->quarter.end_is_bind;
  run->rest_energy = energy_of(run, run->rest);
  if (run->goal != TO_REST) {
    double least[QUANTITIES];
    if (run->goal == TO_GROUND)
      pl_quarter_on_ground(&run->quarter, least);
    else
      pl_quarter_at_end(&run->quarter, least);
    run->goal_energy = energy_of(run, least);
  }
  run->rate = pl_series_rate(pl_quarter_rate(&run->quarter, travel), corner->tyre_rate);
  run->period =
      2.0 * PL_PI * sqrt((corner->sprung_mass + corner->unsprung_mass) / corner->tyre_rate);
  run->simulator->count = 0;
  if (run->record != NULL) run->record->count = 0;
  return PL_SIMULATED;
}

// From the prepared state to its end.
static enum pl_simulation_status perform(struct pl_run *run) {
  double start[QUANTITIES];
  memcpy(start, run->state, sizeof start);
  run->origin = run->time;
  run->turn = start[CHASSIS];
  pl_quarter_settle(&run->quarter, run->time, run->state);
  open_window(run);
  pl_run_look(run, run->time, run->state);
  run->simulator->past[run->simulator->count++] = (struct pl_past){
      .time = run->time, .height = start[CHASSIS], .speed = start[CHASSIS_SPEED]};
  if (run->time >= pl_run_next_moment(run)) pl_run_write_moment(run, run->time, run->state);
  const bool whole = go(run);
  if (run->quarter.mode.torn) run->result->cavity_time += run->time;
  run->result->end_time = run->time;
  pl_run_tell_settling(run);
  pl_run_tell_energies(run, start);
  return whole ? PL_SIMULATED : PL_NO_END;
}

// The fall up to the touch, as the record is to have it.
static void write_fall(struct pl_run *run, double gravity, double height) {
  struct pl_mode *const mode = &run->quarter.mode;
  for (double due = pl_run_next_moment(run); due < run->time; due = pl_run_next_moment(run)) {
    double state[QUANTITIES];
    memcpy(state, run->state, sizeof state);
    const double above = height - 0.5 * gravity * pl_square(due);
    state[CHASSIS] += above;
    state[WHEEL] += above;
    mode->touches = false;
    mode->held = true;
    pl_run_write_moment(run, due, state);
  }
  mode->touches = true;
}

static enum pl_simulation_status drop(struct pl_run *run, const struct pl_corner *corner,
                                      double height) {
  if (!pl_is_zero_or_more(height)) return PL_NO_CORNER;
  const enum pl_simulation_status status = prepare(run, corner, &level);
  if (status != PL_SIMULATED) return status;
  const double speed = sqrt(2.0 * corner->gravity * height);
  memset(run->state, 0, sizeof run->state);
  run->state[WHEEL] = run->quarter.free_radius;
  run->state[CHASSIS] = run->state[WHEEL] - corner->path.lowest;
  run->state[CHASSIS_SPEED] = run->state[WHEEL_SPEED] = -speed;
  run->time = speed / corner->gravity;
  run->fall = height;
  run->limit = run->time + PL_SIMULATION_LIMIT;
  write_fall(run, corner->gravity, height);
  run->quarter.mode =
      (struct pl_mode){.touches = true, .held = true, .chassis_way = -1.0, .wheel_way = -1.0};
  return perform(run);
}

enum pl_simulation_status pl_simulate_drop(struct pl_simulator *simulator,
                                           const struct pl_corner *corner, double height,
                                           struct pl_record *record,
                                           struct pl_motion_result *result) {
  struct pl_run run = {.simulator = simulator, .record = record, .result = result};
  return drop(&run, corner, height);
}

enum pl_simulation_status pl_simulate_bumps(struct pl_simulator *simulator,
                                            const struct pl_corner *corner,
                                            const struct pl_bumps *bumps,
                                            struct pl_record *record,
                                            struct pl_motion_result *result) {
  struct pl_run run = {.simulator = simulator, .record = record, .result = result};
  if (bumps->count == 0) return PL_NO_CORNER;
  const enum pl_simulation_status status = prepare(&run, corner, bumps);
  if (status != PL_SIMULATED) return status;
  const double others = bumps->count > 1 ? (double)(bumps->count - 1) * bumps->spacing : 0.0;
  memcpy(run.state, run.rest, sizeof run.state);
  run.calm = (others + bumps->length + 2.0 * run.quarter.road.lead) / bumps->speed;
  run.limit = run.calm + PL_SIMULATION_LIMIT;
  run.quarter.mode = (struct pl_mode){.touches = true,
                                      .held = true,
                                      .grounded = run.rest[CHASSIS] == 0.0,
                                      .chassis_way = 1.0,
                                      .wheel_way = 1.0};
  return perform(&run);
}

// ---------------------------------------------------------------- the highest drop

// Does a drop go so far?
static bool goes_so_far(struct pl_simulator *simulator, const struct pl_corner *corner,
                        enum pl_goal goal, double height, enum pl_simulation_status *status) {
  struct pl_motion_result result;
  struct pl_run run = {.simulator = simulator, .goal = goal, .result = &result};
  *status = drop(&run, corner, height);
  return *status == PL_SIMULATED && is_reached(&run);
}

// By halving, where a drop from `low` does not go so far and one from `high` does.
static enum pl_simulation_status highest_between(struct pl_simulator *simulator,
                                                 const struct pl_corner *corner,
                                                 enum pl_goal goal, double low, double high,
                                                 double *height) {
  enum pl_simulation_status status;
  while (high - low > 1e-4) {
    const double middle = 0.5 * (low + high);
    const bool far = goes_so_far(simulator, corner, goal, middle, &status);
    if (status != PL_SIMULATED) return status;
    *(far ? &high : &low) = middle;
  }
  *height = low;
  return PL_SIMULATED;
}

// A higher drop is tried next by this factor, where a harder fall need not go deeper.
#define PL_HIGHER 1.2

// Once the chassis is on the ground it takes up what would compress the shock: a shock ends its
// travel, if it does, about the highest drop that leaves the chassis clear, or far above it,
// where the wheel alone ends it. So that height is tried first, and then step by step others.
static enum pl_simulation_status highest_for_shock(struct pl_simulator *simulator,
                                                   const struct pl_corner *corner, double most,
                                                   double *height) {
  double low = 0.0;
  double high = NAN;
  enum pl_simulation_status status = pl_highest_drop(simulator, corner, false, most, &high);
  if (status != PL_SIMULATED) return status;
  high = high > 0.0 ? fmin(high, most) : 1e-3;
  while (!goes_so_far(simulator, corner, TO_SHOCK_END, high, &status)) {
    if (status != PL_SIMULATED) return status;
    if (high >= most) {
      *height = INFINITY;
      return PL_SIMULATED;
    }
    low = high;
    high = fmin(most, PL_HIGHER * high);
  }
  return highest_between(simulator, corner, TO_SHOCK_END, low, high, height);
}

enum pl_simulation_status pl_highest_drop(struct pl_simulator *simulator,
                                          const struct pl_corner *corner, bool shock,
                                          double most, double *height) {
  const enum pl_goal goal = shock ? TO_SHOCK_END : TO_GROUND;
  enum pl_simulation_status status;
  *height = NAN;
  if (goes_so_far(simulator, corner, goal, 0.0, &status) || status != PL_SIMULATED)
    return status;
  if (shock) return highest_for_shock(simulator, corner, most, height);
  if (goes_so_far(simulator, corner, goal, most, &status))
    return highest_between(simulator, corner, goal, 0.0, most, height);
  if (status == PL_SIMULATED) *height = INFINITY;
  return status;
}
