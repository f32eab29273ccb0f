// SPDX-License-Identifier: GPL-3.0-or-later
// What events make of a moving corner. Ends of travel are rigid and take up all of the motion
// against them at once; from then on they bear until they would have to pull.
#include "numbers.h"
#include "quarter_car.h"

// An end of travel is reached exactly, by hand; rounding moves it less than this, m.
#define PL_AT_END 1e-12

static double travel_of(const double *state) {
  return state[WHEEL] - state[CHASSIS];
}

bool pl_is_extended(const struct pl_quarter *quarter, const double *state) {
  return travel_of(state) <= quarter->corner->path.lowest + PL_AT_END;
}

bool pl_is_ended(const struct pl_quarter *quarter, const double *state) {
  return travel_of(state) >= quarter->end - PL_AT_END;
}

// ---------------------------------------------------------------- what holds

// Is the shaft held where it stands, or which way does it start?
static void settle_shaft(struct pl_quarter *quarter, double time, const double *state) {
  struct pl_mode *const mode = &quarter->mode;
  double values[HAPPENINGS];
  mode->held = true;
  pl_quarter_events(time, state, values, quarter);
  if (values[AT_TURN] >= 0.0 && values[AT_END] >= 0.0) return;
  mode->held = false;
  mode->way = values[AT_TURN] < 0.0 ? 1.0 : -1.0;
}

static double way_of(double speed, double acceleration, double former) {
  if (speed != 0.0) return copysign(1.0, speed);
  return acceleration != 0.0 ? copysign(1.0, acceleration) : former;
}

// The forces with the shaft settled.
static bool settled_forces(struct pl_quarter *quarter, double time, const double *state,
                           struct pl_forces *forces) {
  if (quarter->mode.held || state[WHEEL_SPEED] == state[CHASSIS_SPEED])
    settle_shaft(quarter, time, state);
  return pl_forces_of(quarter, time, state, forces);
}

void pl_quarter_settle(struct pl_quarter *quarter, double time, double *state) {
  struct pl_mode *const mode = &quarter->mode;
  struct pl_forces forces;
  if (!settled_forces(quarter, time, state, &forces)) return;
  if (mode->grounded && forces.bearing < 0.0) {
    mode->grounded = false; // it would have to pull; then the shaft may be free, too
    if (!settled_forces(quarter, time, state, &forces)) return;
  }
  mode->chassis_way =
      way_of(state[CHASSIS_SPEED], forces.chassis_acceleration, mode->chassis_way);
  mode->wheel_way = way_of(state[WHEEL_SPEED], forces.wheel_acceleration, mode->wheel_way);
}

// ---------------------------------------------------------------- blows

// The shaft comes to an end of its travel: chassis and wheel go on together.
static void shock_ends(struct pl_quarter *quarter, double *state, struct pl_blow *blow) {
  const struct pl_corner *const corner = quarter->corner;
  struct pl_mode *const mode = &quarter->mode;
  const double sprung = corner->sprung_mass;
  const double unsprung = corner->unsprung_mass;
  const double closing = state[WHEEL_SPEED] - state[CHASSIS_SPEED];
  double ratio;
  state[WHEEL] = state[CHASSIS] + (mode->way > 0.0 ? quarter->end : corner->path.lowest);
  pl_shock_path_at(&corner->path, travel_of(state), &ratio);
  blow->speed = fabs(closing) * ratio;
  if (mode->grounded && closing < 0.0) { // the chassis is pressed onto the ground
    blow->energy = 0.5 * unsprung * pl_square(closing);
    state[WHEEL_SPEED] = 0.0;
  } else {
    blow->energy = 0.5 * pl_square(closing) / (1.0 / sprung + 1.0 / unsprung);
    const double common =
        (sprung * state[CHASSIS_SPEED] + unsprung * state[WHEEL_SPEED]) / (sprung + unsprung);
    state[CHASSIS_SPEED] = state[WHEEL_SPEED] = common;
    mode->grounded = false; // a chassis that lay is lifted
  }
  mode->held = true;
}

// The chassis comes down. A wheel that hangs at full extension is stopped with it.
static void chassis_lands(struct pl_quarter *quarter, double *state, struct pl_blow *on_chassis,
                          struct pl_blow *on_shock) {
  const struct pl_corner *const corner = quarter->corner;
  struct pl_mode *const mode = &quarter->mode;
  const double speed = state[CHASSIS_SPEED];
  on_chassis->speed = fabs(speed);
  on_chassis->energy = 0.5 * corner->sprung_mass * pl_square(speed);
  state[WHEEL] -= state[CHASSIS];
  state[CHASSIS] = 0.0;
  state[CHASSIS_SPEED] = 0.0;
  mode->grounded = true;
  if (pl_is_extended(quarter, state) && state[WHEEL_SPEED] < 0.0) {
    double ratio;
    pl_shock_path_at(&corner->path, travel_of(state), &ratio);
    on_shock->speed = fabs(state[WHEEL_SPEED]) * ratio;
    on_shock->energy = 0.5 * corner->unsprung_mass * pl_square(state[WHEEL_SPEED]);
    state[WHEEL_SPEED] = 0.0;
    mode->held = true;
  } else {
    mode->held = false;
    mode->way = copysign(1.0, state[WHEEL_SPEED]);
  }
}

// ---------------------------------------------------------------- the whole

static void shaft_event(struct pl_quarter *quarter, size_t event, double *state,
                        struct pl_blow *on_shock) {
  if (quarter->mode.held) return; // it starts: pl_quarter_settle() says which way
  if (event == AT_END)
    shock_ends(quarter, state, on_shock);
  else
    state[WHEEL_SPEED] = state[CHASSIS_SPEED];
}

void pl_quarter_happens(struct pl_quarter *quarter, size_t event, double time, double *state,
                        struct pl_blow *on_chassis, struct pl_blow *on_shock) {
  struct pl_mode *const mode = &quarter->mode;
  *on_chassis = *on_shock = (struct pl_blow){0.0, 0.0};
  switch (event) {
  case AT_TYRE: mode->touches = !mode->touches; break;
  case AT_TURN:
  case AT_END: shaft_event(quarter, event, state, on_shock); break;
  case AT_GROUND:
    if (mode->grounded)
      mode->grounded = false;
    else
      chassis_lands(quarter, state, on_chassis, on_shock);
    break;
  case AT_CAVITY:
    mode->torn = !mode->torn;
    state[CAVITY] = 0.0;
    break;
  case AT_REVERSAL: mode->chassis_way = -mode->chassis_way; return;
  default: mode->wheel_way = -mode->wheel_way; return;
  }
  pl_quarter_settle(quarter, time, state);
}
