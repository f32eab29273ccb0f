// SPDX-License-Identifier: GPL-3.0-or-later
// What is seen of a simulation while it goes on: extremes, blows, swings, contact.
#include "numbers.h"
#include "run.h"

struct pl_integrator *pl_run_integrator(const struct pl_run *run) {
  const bool is_drop = run->quarter.bumps->count == 0;
  return is_drop ? run->simulator->of_drops : run->simulator->of_bumps;
}

// The greatest distance of the chassis from where it rests, so far.
double pl_run_excursion(const struct pl_run *run) {
  const double rest = run->rest[CHASSIS];
  return fmax(fabs(run->result->highest - rest), fabs(run->result->lowest - rest));
}

double pl_run_settled_within(const struct pl_run *run) {
  return fmax(PL_SETTLED_SHARE * pl_run_excursion(run), PL_SETTLED_LEAST);
}

// ---------------------------------------------------------------- looking

static void raise(double value, double *greatest) {
  if (value > *greatest) *greatest = value;
}

static void lower(double value, double *least) {
  if (value < *least) *least = value;
}

// Extremes of heights and travels are events, at which a step ends.
static void look_at_places(struct pl_run *run, const double *state, double compression) {
  struct pl_motion_result *const result = run->result;
  const double travel = state[WHEEL] - state[CHASSIS];
  const double at_rest = run->rest[WHEEL] - run->rest[CHASSIS];
  lower(state[CHASSIS], &result->lowest);
  raise(state[CHASSIS], &result->highest);
  raise(travel - at_rest, &result->wheel_in);
  raise(at_rest - travel, &result->wheel_out);
  raise(state[WHEEL] - run->rest[WHEEL], &result->wheel_highest);
  raise(compression, &result->compression);
}

static void look_at_forces(struct pl_run *run, const double *state,
                           const struct pl_forces *forces) {
  struct pl_motion_result *const result = run->result;
  const struct pl_corner *const corner = run->quarter.corner;
  raise(forces->shaft_speed, &result->speed_in);
  raise(-forces->shaft_speed, &result->speed_out);
  raise(forces->shock, &result->shock_force);
  raise(-forces->shock, &result->shock_pull);
  raise(forces->tyre, &result->tyre_force);
  raise(forces->cap, &result->cap_pressure);
  raise(state[CAVITY], &result->cavity);
  if (corner->has_gas) {
    const double taken = run->quarter.shaft_area * forces->compression + state[CAVITY];
    lower(1.0 - taken / corner->gas.volume, &result->least_gas);
  }
  raise(forces->bearing, &result->chassis.bearing);
  if (!run->quarter.mode.held) return;
  const double holding = forces->holding / forces->ratio;
  if (pl_is_ended(&run->quarter, state)) raise(holding, &result->shock_in.bearing);
  if (pl_is_extended(&run->quarter, state)) raise(-holding, &result->shock_out.bearing);
}

void pl_run_look(struct pl_run *run, double time, const double *state) {
  struct pl_forces forces;
  if (!pl_forces_of(&run->quarter, time, state, &forces)) return;
  look_at_places(run, state, forces.compression);
  look_at_forces(run, state, &forces);
}

void pl_run_write_moment(struct pl_run *run, double time, const double *state) {
  struct pl_record *const record = run->record;
  struct pl_forces forces;
  if (!pl_forces_of(&run->quarter, time, state, &forces)) return;
  record->moments[record->count++] = (struct pl_moment){.time = time,
                                                        .chassis = state[CHASSIS],
                                                        .wheel = state[WHEEL],
                                                        .road = forces.road,
                                                        .compression = forces.compression,
                                                        .shaft_speed = forces.shaft_speed,
                                                        .shock_force = forces.shock,
                                                        .tyre_force = forces.tyre,
                                                        .cap_pressure = forces.cap,
                                                        .rod_pressure = fmax(forces.rod, 0.0),
                                                        .cavity = state[CAVITY]};
}

// When the next moment is due; infinite where none is.
double pl_run_next_moment(const struct pl_run *run) {
  const struct pl_record *const record = run->record;
  if (record == NULL || record->moments == NULL || record->count == record->capacity)
    return INFINITY;
  return record->start + (double)record->count * record->interval;
}

// Looks along the step that was taken.
void pl_run_look_along(struct pl_run *run, double from) {
  double between[PL_MOTION_STATES];
  struct pl_forces forces;
  const struct pl_integrator *const integrator = pl_run_integrator(run);
  for (int quarter = 1; quarter < 4; quarter++) {
    const double time = from + 0.25 * quarter * (run->time - from);
    pl_integrator_between(integrator, time, between);
    if (pl_forces_of(&run->quarter, time, between, &forces))
      look_at_forces(run, between, &forces);
  }
  pl_run_look(run, run->time, run->state);
  if (run->time >= pl_run_next_moment(run)) pl_run_write_moment(run, run->time, run->state);
}

void pl_run_remember(struct pl_run *run, double from) {
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
void pl_run_extreme(struct pl_run *run, double height) {
  const double way = (height - run->turn) * run->swing_way;
  if (run->swing_way == 0.0) { // the first way of all reverses none
    if (fabs(height - run->turn) <= PL_SWING) return;
    run->swing_way = copysign(1.0, height - run->turn);
    run->turn = height;
  } else if (way >= 0.0) {
    run->turn = height; // further the same way
  } else if (-way > PL_SWING) {
    run->result->swings++;
    run->turn = height;
    run->swing_way = -run->swing_way;
  }
}

// ---------------------------------------------------------------- events

static void add_blow(struct pl_blows *blows, const struct pl_blow *blow, double time) {
  if (blow->speed == 0.0) return; // none
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

void pl_run_take_event(struct pl_run *run, size_t event) {
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
  if (quarter->mode.chassis_way != former_way) pl_run_extreme(run, height);
}
