// SPDX-License-Identifier: GPL-3.0-or-later
// Simulations of a corner from start to rest, and what is told of them.
#include "numbers.h"
#include "quarter_car.h"

#include <stdlib.h>
#include <string.h>

// Steps that are remembered: 5 s in steps of 3 ms, with their events, are about 2000. Of more,
// every second one is forgotten.
#define PL_PAST 8192
// No step is longer, s, while the tyre touches: peaks are looked for four times a step.
#define PL_LONGEST_STEP 3e-3
// Most steps of a drop, about a tenth of a second's work and 25 times those of a usual one that
// goes on to its limit: a motion that takes more is too stiff. Bumps have more by the time that
// they take.
#define PL_MOST_STEPS 50000
// Events at one and the same time that may follow each other; more are a circle.
#define PL_MOST_AT_ONCE 40

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

// ---------------------------------------------------------------- a run

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
  // Swings: the last turning point that may still move, and the way since.
  double turn;
  double swing_way;
  struct pl_record *record;
  double fall; // m, before the run began
  struct pl_motion_result *result;
};

static struct pl_integrator *integrator_of(const struct pl_run *run) {
  const bool is_drop = run->quarter.bumps->count == 0;
  return is_drop ? run->simulator->of_drops : run->simulator->of_bumps;
}

// Potential and stored energy with that of motion, J.
static double energy_of(const struct pl_run *run, const double *state) {
  const struct pl_corner *const corner = run->quarter.corner;
  struct pl_energies energies;
  pl_quarter_stored(&run->quarter, run->time, state, &energies);
  return energies.springs + energies.gas + energies.tyre + energies.cavity + energies.moving +
         corner->gravity *
             (corner->sprung_mass * state[CHASSIS] + corner->unsprung_mass * state[WHEEL]);
}

// ---------------------------------------------------------------- looking

static void raise(double value, double *greatest) {
  if (value > *greatest) *greatest = value;
}

static void lower(double value, double *least) {
  if (value < *least) *least = value;
}

static void look(struct pl_run *run, double time, const double *state) {
  struct pl_motion_result *const result = run->result;
  const struct pl_corner *const corner = run->quarter.corner;
  struct pl_forces forces;
  if (!pl_forces_of(&run->quarter, time, state, &forces)) return;
  const double travel = state[WHEEL] - state[CHASSIS];
  const double at_rest = run->rest[WHEEL] - run->rest[CHASSIS];
  lower(state[CHASSIS], &result->lowest);
  raise(state[CHASSIS], &result->highest);
  raise(travel - at_rest, &result->wheel_in);
  raise(at_rest - travel, &result->wheel_out);
  raise(state[WHEEL] - run->rest[WHEEL], &result->wheel_highest);
  raise(forces.compression, &result->compression);
  raise(forces.shaft_speed, &result->speed_in);
  raise(-forces.shaft_speed, &result->speed_out);
  raise(forces.shock, &result->shock_force);
  raise(-forces.shock, &result->shock_pull);
  raise(forces.tyre, &result->tyre_force);
  raise(forces.cap, &result->cap_pressure);
  raise(state[CAVITY], &result->cavity);
  if (corner->has_gas) {
    const double taken = run->quarter.shaft_area * forces.compression + state[CAVITY];
    lower(1.0 - taken / corner->gas.volume, &result->least_gas);
  }
  raise(forces.bearing, &result->chassis.bearing);
  if (!run->quarter.mode.held) return;
  const double holding = forces.holding / forces.ratio;
  if (pl_is_ended(&run->quarter, state)) raise(holding, &result->shock_in.bearing);
  if (pl_is_extended(&run->quarter, state)) raise(-holding, &result->shock_out.bearing);
}

static void write_moment(struct pl_run *run, double time, const double *state) {
  struct pl_record *const record = run->record;
  struct pl_forces forces;
  double slope;
  if (!pl_forces_of(&run->quarter, time, state, &forces)) return;
  record->moments[record->count++] =
      (struct pl_moment){.time = time,
                         .chassis = state[CHASSIS],
                         .wheel = state[WHEEL],
                         .road = pl_road_height(run->quarter.bumps, time, &slope),
                         .compression = forces.compression,
                         .shaft_speed = forces.shaft_speed,
                         .shock_force = forces.shock,
                         .tyre_force = forces.tyre,
                         .cap_pressure = forces.cap,
                         .rod_pressure = fmax(forces.rod, 0.0),
                         .cavity = state[CAVITY]};
}

// When the next moment is due; infinite where none is.
static double next_moment(const struct pl_run *run) {
  const struct pl_record *const record = run->record;
  if (record == NULL || record->moments == NULL || record->count == record->capacity)
    return INFINITY;
  return record->start + (double)record->count * record->interval;
}

// Looks along the step that was taken.
static void look_along(struct pl_run *run, double from) {
  double between[PL_MOTION_STATES];
  const struct pl_integrator *const integrator = integrator_of(run);
  for (int quarter = 1; quarter < 4; quarter++) {
    const double time = from + 0.25 * quarter * (run->time - from);
    pl_integrator_between(integrator, time, between);
    look(run, time, between);
  }
  look(run, run->time, run->state);
  if (run->time >= next_moment(run)) write_moment(run, run->time, run->state);
}

static void remember(struct pl_run *run, double from) {
  struct pl_simulator *const simulator = run->simulator;
  const double *const state = run->state;
  if (!run->quarter.mode.touches) run->airborne += run->time - from;
  run->result->steps++;
  if (simulator->count == PL_PAST) {
    for (size_t i = 0; i < PL_PAST / 2; i++) simulator->past[i] = simulator->past[2 * i];
    simulator->count = PL_PAST / 2;
  }
  simulator->past[simulator->count++] =
      (struct pl_past){run->time,   state[CHASSIS],      state[CHASSIS_SPEED],
                       state[LOAD], state[LOAD_SQUARED], run->airborne};
}

// ---------------------------------------------------------------- swings

// The chassis has come to an extreme, or to its rest: were it and the last one a swing?
static void note_extreme(struct pl_run *run, double height) {
  const double way = (height - run->turn) * run->swing_way;
  if (way >= 0.0) {
    run->turn = height; // further the same way
  } else if (-way > PL_SWING) {
    run->result->swings++;
    run->turn = height;
    run->swing_way = -run->swing_way;
  }
}

// ---------------------------------------------------------------- events

static void add_blow(struct pl_blows *blows, const struct pl_blow *blow, double time) {
  if (blow->energy == 0.0 && blow->speed == 0.0) return;
  blows->count++;
  blows->total += blow->energy;
  if (blow->speed < blows->speed) return;
  blows->speed = blow->speed;
  blows->energy = blow->energy;
  blows->time = time;
}

static void note_tyre(struct pl_run *run) {
  struct pl_motion_result *const result = run->result;
  if (run->quarter.mode.touches) {
    raise(run->time - run->left_at, &result->longest_loss);
    return;
  }
  run->left_at = run->time;
  result->losses++;
}

static void note_cavity(struct pl_run *run) {
  struct pl_motion_result *const result = run->result;
  struct pl_forces forces;
  if (!run->quarter.mode.torn) {
    result->cavity_time += run->time;
    return;
  }
  result->cavity_time -= run->time;
  if (result->cavitated || !pl_forces_of(&run->quarter, run->time, run->state, &forces)) return;
  result->cavitated = true;
  result->cavitation_time = run->time;
  result->cavitation_speed = forces.shaft_speed;
}

static void take_event(struct pl_run *run, size_t event) {
  struct pl_motion_result *const result = run->result;
  struct pl_quarter *const quarter = &run->quarter;
  struct pl_blow on_chassis;
  struct pl_blow on_shock;
  const double height = run->state[CHASSIS];
  const double former_way = quarter->mode.chassis_way;
  const double shaft_way = quarter->mode.way;
  pl_quarter_happens(quarter, event, run->time, run->state, &on_chassis, &on_shock);
  add_blow(&result->chassis, &on_chassis, run->time);
  const bool inward = event == AT_END && shaft_way > 0.0;
  add_blow(inward ? &result->shock_in : &result->shock_out, &on_shock, run->time);
  if (event == AT_TYRE) note_tyre(run);
  if (event == AT_CAVITY) note_cavity(run);
  if (quarter->mode.chassis_way != former_way) note_extreme(run, height);
}

// ---------------------------------------------------------------- the end

// The greatest distance of the chassis from where it rests, so far.
static double excursion(const struct pl_run *run) {
  const double rest = run->rest[CHASSIS];
  return fmax(fabs(run->result->highest - rest), fabs(run->result->lowest - rest));
}

static void open_window(struct pl_run *run) {
  run->window = run->time;
  run->window_low = run->window_high = run->state[CHASSIS];
  run->window_held = false;
}

// Half of the band within which it counts as settled.
static double half_band(const struct pl_run *run) {
  return 0.5 * PL_SETTLED_SHARE * fmax(excursion(run), 1e-5);
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

// How long the next step may be: short enough for peaks, and for a bump not to be stepped over.
static double longest_step(const struct pl_run *run) {
  const struct pl_bumps *const bumps = run->quarter.bumps;
  const double longest = run->quarter.mode.touches ? PL_LONGEST_STEP : INFINITY;
  if (bumps->count == 0 || run->time >= run->calm) return longest;
  return fmin(longest, bumps->length / bumps->speed / 8.0);
}

static bool go(struct pl_run *run) {
  struct pl_integrator *const integrator = integrator_of(run);
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
    // What is written down is integrated to, not interpolated.
    const enum pl_step step =
        pl_integrator_step(integrator, &motion, &run->time, fmin(run->limit, next_moment(run)),
                           run->state, &event);
    if (step == PL_STEP_FAILED || run->result->steps >= most) return false;
    if (run->time > from) {
      look_along(run, from);
      remember(run, from);
      at_once = 0;
    }
    if (step == PL_STEP_EVENT) {
      if (++at_once > PL_MOST_AT_ONCE) return false;
      take_event(run, event);
      pl_integrator_restart(integrator);
      look(run, run->time, run->state);
    }
    if (is_quiet(run)) {
      run->result->settled = true;
      break;
    }
  }
  return true;
}

// ---------------------------------------------------------------- afterwards

// Height of the chassis between two remembered steps.
static double height_between(const struct pl_past *one, const struct pl_past *two, double s) {
  const double length = two->time - one->time;
  return one->height * (1.0 + 2.0 * s) * pl_square(1.0 - s) +
         two->height * pl_square(s) * (3.0 - 2.0 * s) +
         length * s * (1.0 - s) * (one->speed * (1.0 - s) - two->speed * s);
}

// The step in whose midst the chassis comes within `span` of `height` for good, and where in
// it.
static size_t last_outside(const struct pl_simulator *simulator, double height, double span,
                           double *share) {
  size_t i = simulator->count - 1;
  while (i > 0 && fabs(simulator->past[i].height - height) <= span) i--;
  *share = 1.0;
  if (i + 1 >= simulator->count) return i;
  double low = 0.0;
  for (int half = 0; half < 40; half++) {
    const double middle = 0.5 * (low + *share);
    const double here = height_between(&simulator->past[i], &simulator->past[i + 1], middle);
    if (fabs(here - height) > span)
      low = middle;
    else
      *share = middle;
  }
  return i;
}

static double along(double one, double two, double share) {
  return one + share * (two - one);
}

// Loads over the time until `time`, between two remembered steps.
static void tell_loads(struct pl_run *run, double time) {
  struct pl_motion_result *const result = run->result;
  const struct pl_past *const past = run->simulator->past;
  size_t i = 0;
  while (i + 2 < run->simulator->count && past[i + 1].time < time) i++;
  const struct pl_past *const two = &past[run->simulator->count > 1 ? i + 1 : i];
  const double length = two->time - past[i].time;
  const double share = length > 0.0 ? fmin((time - past[i].time) / length, 1.0) : 1.0;
  const double whole = along(past[i].time, two->time, share) - run->origin;
  const double load = along(past[i].load, two->load, share) / whole;
  const double square = along(past[i].load_squared, two->load_squared, share) / whole;
  result->airborne = along(past[i].airborne, two->airborne, share) / whole;
  const bool is_drop = run->quarter.bumps->count == 0;
  result->mean_load = is_drop ? NAN : load;
  result->load_variation = sqrt(fmax(square - pl_square(load), 0.0)) / result->mean_load;
}

static void tell_settling(struct pl_run *run) {
  struct pl_motion_result *const result = run->result;
  const struct pl_simulator *const simulator = run->simulator;
  const double rest =
      run->stuck ? 0.5 * (run->window_low + run->window_high) : run->rest[CHASSIS];
  note_extreme(run, rest);
  double until = run->time;
  result->settle_time = NAN;
  if (result->settled) {
    double share;
    const double span = PL_SETTLED_SHARE * excursion(run);
    const size_t i = last_outside(simulator, rest, span, &share);
    const struct pl_past *const one = &simulator->past[i];
    const struct pl_past *const two = i + 1 < simulator->count ? one + 1 : one;
    until = along(one->time, two->time, share);
    result->settle_time = until - run->origin;
  }
  tell_loads(run, fmax(until, run->calm));
}

static void tell_energies(struct pl_run *run, const double *start) {
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
  run->swing_way = start[CHASSIS_SPEED] < 0.0 ? -1.0 : 1.0;
  pl_quarter_settle(&run->quarter, run->time, run->state);
  open_window(run);
  look(run, run->time, run->state);
  run->simulator->past[run->simulator->count++] =
      (struct pl_past){run->time, start[CHASSIS], start[CHASSIS_SPEED], 0.0, 0.0, 0.0};
  if (run->time >= next_moment(run)) write_moment(run, run->time, run->state);
  const bool whole = go(run);
  if (run->quarter.mode.torn) run->result->cavity_time += run->time;
  run->result->end_time = run->time;
  tell_settling(run);
  tell_energies(run, start);
  return whole ? PL_SIMULATED : PL_NO_END;
}

// The fall up to the touch, as the record is to have it.
static void write_fall(struct pl_run *run, double gravity, double height) {
  struct pl_mode *const mode = &run->quarter.mode;
  for (double due = next_moment(run); due < run->time; due = next_moment(run)) {
    double state[QUANTITIES];
    memcpy(state, run->state, sizeof state);
    const double above = height - 0.5 * gravity * pl_square(due);
    state[CHASSIS] += above;
    state[WHEEL] += above;
    mode->touches = false;
    mode->held = true;
    write_moment(run, due, state);
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
  run.calm = (others + bumps->length) / bumps->speed;
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

enum pl_simulation_status pl_highest_drop(struct pl_simulator *simulator,
                                          const struct pl_corner *corner, bool shock,
                                          double most, double *height) {
  const enum pl_goal goal = shock ? TO_SHOCK_END : TO_GROUND;
  enum pl_simulation_status status;
  double low = 0.0;
  double high = most;
  *height = NAN;
  if (goes_so_far(simulator, corner, goal, low, &status) || status != PL_SIMULATED)
    return status;
  if (!goes_so_far(simulator, corner, goal, high, &status)) {
    if (status == PL_SIMULATED) *height = INFINITY;
    return status;
  }
  while (high - low > 1e-4) {
    const double middle = 0.5 * (low + high);
    const bool far = goes_so_far(simulator, corner, goal, middle, &status);
    if (status != PL_SIMULATED) return status;
    *(far ? &high : &low) = middle;
  }
  *height = low;
  return PL_SIMULATED;
}
