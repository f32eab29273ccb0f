// SPDX-License-Identifier: GPL-3.0-or-later
// The corner while it moves: forces, pressures and accelerations of a state.
#include "quarter_car.h"
#include "numbers.h"

// ---------------------------------------------------------------- setting up

static bool corner_is_possible(const struct pl_corner *corner) {
  const struct pl_gas_chamber *const gas = &corner->gas;
  if (!pl_is_positive(corner->sprung_mass) || !pl_is_positive(corner->unsprung_mass) ||
      !pl_is_positive(corner->gravity) || !pl_is_positive(corner->tyre_radius) ||
      !pl_is_positive(corner->tyre_rate) || !pl_is_positive(corner->ambient) ||
      !pl_is_zero_or_more(corner->seal_friction) || corner->springs.main == NULL ||
      !isfinite(corner->springs.preload) || !(corner->path.highest > corner->path.lowest))
    return false;
  return !corner->has_gas || isfinite(pl_gas_pressure(gas, 0.0));
}

static bool bumps_are_possible(const struct pl_bumps *bumps) {
  if (bumps->count == 0) return true;
  return isfinite(bumps->height) && pl_is_positive(bumps->length) &&
         pl_is_positive(bumps->speed) && pl_is_zero_or_more(bumps->radius) &&
         (bumps->count == 1 || (isfinite(bumps->spacing) && bumps->spacing >= bumps->length));
}

// A compression of the shock on its path.
struct compressed {
  const struct pl_shock_path *path;
  double so_far;
};

static double compressed_more(double height, const void *context) {
  const struct compressed *const compressed = context;
  double ratio;
  return pl_shock_path_at(compressed->path, height, &ratio) - compressed->so_far;
}

// The height at which the shock is compressed so far, or its lowest.
static double height_at(const struct pl_shock_path *path, double compression) {
  const struct compressed compressed = {path, compression};
  double height;
  const bool found =
      pl_find_root(compressed_more, &compressed, path->lowest, path->highest, 0.0, &height);
  return found ? height : path->lowest;
}

// The pressure below which nothing passes: the least at which a way opens.
static double opening_pressure(const struct pl_network *network) {
  double least = network->leak > 0.0 ? 0.0 : INFINITY;
  for (size_t i = 0; i < network->count; i++) least = fmin(least, network->paths[i].opens_at);
  return least;
}

// A shock that moves less than this between its ends, m, does not move.
#define PL_LEAST_TRAVEL 1e-9

bool pl_quarter_of(const struct pl_corner *corner, const struct pl_bumps *bumps,
                   struct pl_quarter *quarter, enum pl_simulation_status *status) {
  *status = PL_NO_CORNER;
  *quarter = (struct pl_quarter){.corner = corner, .bumps = bumps};
  if (!corner_is_possible(corner) || !bumps_are_possible(bumps)) return false;
  if (!pl_network_of(&corner->piston, &corner->fluid, true, &quarter->in) ||
      !pl_network_of(&corner->piston, &corner->fluid, false, &quarter->out))
    return false;
  const double opens_in = opening_pressure(&quarter->in);
  const double opens_out = opening_pressure(&quarter->out);
  *status = PL_NO_FLOW;
  if (!isfinite(opens_in) || !isfinite(opens_out)) return false;
  quarter->area = quarter->in.area;
  quarter->shaft_area = PL_PI / 4.0 * pl_square(corner->piston.shaft);
  quarter->free_radius = corner->tyre_radius + (corner->sprung_mass + corner->unsprung_mass) *
                                                   corner->gravity / corner->tyre_rate;
  pl_road_of(bumps, &quarter->road);
  quarter->smooth_from = -quarter->road.lead; // where a run begins
  quarter->smooth_to = pl_road_next_kink(&quarter->road, quarter->smooth_from);
  quarter->pressure = corner->ambient + (corner->has_gas ? corner->gas.charge : 0.0);
  quarter->start_in = corner->seal_friction + opens_in * quarter->area;
  quarter->start_out = corner->seal_friction + opens_out * quarter->area;
  double ratio;
  const double full = pl_shock_path_at(&corner->path, corner->path.highest, &ratio);
  const double bind = pl_travel_to_bind(&corner->springs, 0.0);
  quarter->end_is_bind = bind < full;
  quarter->end = quarter->end_is_bind ? height_at(&corner->path, bind) : corner->path.highest;
  *status = PL_NO_TRAVEL;
  return quarter->end > corner->path.lowest + PL_LEAST_TRAVEL;
}

// ---------------------------------------------------------------- the road

// So far inside a smooth piece its ends are looked at, m: the slope there is that of the piece.
#define PL_INSIDE 1e-12

double pl_quarter_road(const struct pl_quarter *quarter, double time, double *rise) {
  const struct pl_bumps *const bumps = quarter->bumps;
  *rise = 0.0;
  if (bumps->count == 0) return 0.0;
  const double way = bumps->speed * time - quarter->road.lead;
  const double inside =
      fmin(fmax(way, quarter->smooth_from + PL_INSIDE), quarter->smooth_to - PL_INSIDE);
  double slope;
  const double height = pl_road_height(&quarter->road, inside, &slope);
  *rise = slope * bumps->speed;
  return height;
}

double pl_quarter_smooth_until(const struct pl_quarter *quarter) {
  if (isinf(quarter->smooth_to)) return INFINITY;
  return (quarter->smooth_to + quarter->road.lead) / quarter->bumps->speed;
}

void pl_quarter_next_piece(struct pl_quarter *quarter) {
  quarter->smooth_from = quarter->smooth_to;
  quarter->smooth_to = pl_road_next_kink(&quarter->road, quarter->smooth_from);
}

// ---------------------------------------------------------------- forces

// Pressure in the cap; false where the gas has no room left.
static bool cap_pressure(const struct pl_quarter *quarter, double compression, double cavity,
                         double *pressure) {
  const struct pl_corner *const corner = quarter->corner;
  *pressure = quarter->pressure;
  if (!corner->has_gas) return true;
  const double taken = quarter->shaft_area * compression + cavity;
  const double left = corner->gas.volume - taken;
  if (!(left > 0.0)) return false;
  *pressure *= pow(corner->gas.volume / left, corner->gas.exponent);
  return true;
}

// What the oil does. Without a void it passes the piston as fast as the piston sweeps it, and
// the pressure across is what that takes. With one the rod side has no pressure: the cap alone
// drives the oil, and what is lacking is void.
static void add_oil(const struct pl_quarter *quarter, struct pl_forces *forces) {
  const double speed = forces->shaft_speed;
  double across = forces->cap;
  if (quarter->mode.torn) {
    forces->growth = quarter->in.swept * speed - pl_network_flow(&quarter->in, forces->cap);
  } else {
    const struct pl_network *const network = speed > 0.0 ? &quarter->in : &quarter->out;
    across = copysign(pl_network_pressure(network, network->swept * fabs(speed)), speed);
    forces->growth = 0.0;
  }
  forces->rod = forces->cap - across;
  forces->oil = across * quarter->area;
}

// What the mode makes of the forces: accelerations, and what holds the rest.
static void add_motion(const struct pl_quarter *quarter, struct pl_forces *forces) {
  const struct pl_corner *const corner = quarter->corner;
  const struct pl_mode *const mode = &quarter->mode;
  const double at_wheel = forces->shock * forces->ratio;
  const double on_chassis = at_wheel - corner->sprung_mass * corner->gravity;
  const double on_wheel = forces->tyre - at_wheel - corner->unsprung_mass * corner->gravity;
  forces->holding = 0.0;
  if (mode->held && mode->grounded) {
    forces->holding = on_wheel; // neither moves
  } else if (mode->held) {
    const double together =
        (on_chassis + on_wheel) / (corner->sprung_mass + corner->unsprung_mass);
    forces->holding = corner->sprung_mass * together - on_chassis;
  }
  forces->bearing = mode->grounded ? -on_chassis - forces->holding : 0.0;
  forces->chassis_acceleration =
      mode->grounded ? 0.0 : (on_chassis + forces->holding) / corner->sprung_mass;
  // Held, both accelerations are the same to the last digit, or the shaft would creep.
  forces->wheel_acceleration = mode->held
                                   ? forces->chassis_acceleration
                                   : (on_wheel - forces->holding) / corner->unsprung_mass;
}

bool pl_forces_of(const struct pl_quarter *quarter, double time, const double *state,
                  struct pl_forces *forces) {
  const struct pl_corner *const corner = quarter->corner;
  const struct pl_mode *const mode = &quarter->mode;
  forces->compression =
      pl_shock_path_at(&corner->path, state[WHEEL] - state[CHASSIS], &forces->ratio);
  forces->shaft_speed =
      mode->held ? 0.0 : forces->ratio * (state[WHEEL_SPEED] - state[CHASSIS_SPEED]);
  forces->road = pl_quarter_road(quarter, time, &forces->rise);
  forces->squeezed = quarter->free_radius + forces->road - state[WHEEL];
  forces->tyre = mode->touches ? corner->tyre_rate * forces->squeezed : 0.0;
  if (!cap_pressure(quarter, forces->compression, state[CAVITY], &forces->cap)) return false;
  add_oil(quarter, forces);
  forces->springs = pl_shock_spring_force(&corner->springs, forces->compression);
  const double gas = (forces->cap - corner->ambient) * quarter->shaft_area;
  const double friction = mode->held ? 0.0 : mode->way * corner->seal_friction;
  forces->shock = forces->springs + gas + forces->oil + friction;
  add_motion(quarter, forces);
  return isfinite(forces->shock);
}

// ---------------------------------------------------------------- for the integrator

bool pl_quarter_slopes(double time, const double *state, double *slopes, const void *context) {
  const struct pl_quarter *const quarter = context;
  struct pl_forces forces;
  if (!pl_forces_of(quarter, time, state, &forces)) return false;
  slopes[CHASSIS] = quarter->mode.grounded ? 0.0 : state[CHASSIS_SPEED];
  slopes[WHEEL] = quarter->mode.held ? slopes[CHASSIS] : state[WHEEL_SPEED];
  slopes[CHASSIS_SPEED] = forces.chassis_acceleration;
  slopes[WHEEL_SPEED] = forces.wheel_acceleration;
  slopes[CAVITY] = forces.growth;
  // What passes the piston: what it sweeps, less what becomes void.
  const double passing = quarter->area * forces.shaft_speed - forces.growth;
  slopes[DAMPED] = (forces.cap - forces.rod) * passing;
  slopes[RUBBED] = quarter->corner->seal_friction * fabs(forces.shaft_speed);
  if (quarter->bumps->count == 0) return true;
  slopes[FROM_ROAD] = forces.tyre * forces.rise;
  slopes[LOAD] = forces.tyre;
  slopes[LOAD_SQUARED] = pl_square(forces.tyre);
  return true;
}

const double pl_quarter_slack[HAPPENINGS] = {1e-13, 1e-12, 1e-12, 1e-12, 1e-12, 1e-12, 1e-12};

// How far the shaft is from starting; each below zero when it does.
static void holds(const struct pl_quarter *quarter, const double *state,
                  const struct pl_forces *forces, double *in, double *out) {
  // With a void the pressure across the piston is the cap's, whatever opens at what.
  const double friction = quarter->corner->seal_friction;
  const double start_in = quarter->mode.torn ? friction : quarter->start_in;
  const double start_out = quarter->mode.torn ? friction : quarter->start_out;
  *in = pl_is_ended(quarter, state) ? 1.0 : start_in * forces->ratio - forces->holding;
  *out = pl_is_extended(quarter, state) ? 1.0 : start_out * forces->ratio + forces->holding;
}

void pl_quarter_events(double time, const double *state, double *values, const void *context) {
  const struct pl_quarter *const quarter = context;
  const struct pl_mode *const mode = &quarter->mode;
  struct pl_forces forces;
  for (size_t i = 0; i < HAPPENINGS; i++) values[i] = 1.0;
  if (!pl_forces_of(quarter, time, state, &forces)) return;
  values[AT_TYRE] = mode->touches ? forces.squeezed : -forces.squeezed;
  const double travel = state[WHEEL] - state[CHASSIS];
  if (mode->held) {
    holds(quarter, state, &forces, &values[AT_TURN], &values[AT_END]);
  } else {
    values[AT_TURN] = mode->way * (state[WHEEL_SPEED] - state[CHASSIS_SPEED]);
    values[AT_END] =
        mode->way > 0.0 ? quarter->end - travel : travel - quarter->corner->path.lowest;
  }
  values[AT_GROUND] = mode->grounded ? forces.bearing : state[CHASSIS];
  // In atmospheres and cubic millimetres, so that one slack does for both.
  values[AT_CAVITY] = mode->torn ? state[CAVITY] * 1e9 : forces.rod / quarter->corner->ambient;
  if (!mode->grounded) values[AT_REVERSAL] = mode->chassis_way * state[CHASSIS_SPEED];
  values[AT_EXTREME_WHEEL] = mode->wheel_way * state[WHEEL_SPEED];
}

// ---------------------------------------------------------------- energy

// Work done on the gas against the pressure outside, from full extension.
static double gas_energy(const struct pl_quarter *quarter, double taken) {
  const struct pl_corner *const corner = quarter->corner;
  if (!corner->has_gas) return 0.0;
  const double volume = corner->gas.volume;
  const double left = volume - taken;
  const double power = corner->gas.exponent - 1.0;
  const double ratio = volume / left;
  const double work = power == 0.0
                          ? quarter->pressure * volume * log(ratio)
                          : quarter->pressure * volume * (pow(ratio, power) - 1.0) / power;
  return work - corner->ambient * taken;
}

void pl_quarter_stored(const struct pl_quarter *quarter, double time, const double *state,
                       struct pl_energies *energies) {
  const struct pl_corner *const corner = quarter->corner;
  double ratio;
  double rise;
  const double compression =
      pl_shock_path_at(&corner->path, state[WHEEL] - state[CHASSIS], &ratio);
  const double squeezed =
      quarter->free_radius + pl_quarter_road(quarter, time, &rise) - state[WHEEL];
  energies->springs = pl_shock_spring_energy(&corner->springs, compression);
  energies->gas = gas_energy(quarter, quarter->shaft_area * compression + state[CAVITY]);
  energies->tyre = 0.5 * corner->tyre_rate * pl_square(fmax(squeezed, 0.0));
  energies->cavity = corner->ambient * state[CAVITY];
  energies->moving = 0.5 * (corner->sprung_mass * pl_square(state[CHASSIS_SPEED]) +
                            corner->unsprung_mass * pl_square(state[WHEEL_SPEED]));
}

// ---------------------------------------------------------------- rest

// Force of the suspension on the chassis over its weight, at a height of the wheel in the
// chassis frame.
static double excess_of_suspension(double travel, const void *context) {
  const struct pl_quarter *const quarter = context;
  const struct pl_corner *const corner = quarter->corner;
  double ratio;
  double cap;
  const double compression = pl_shock_path_at(&corner->path, travel, &ratio);
  if (!cap_pressure(quarter, compression, 0.0, &cap)) return INFINITY;
  const double shock = pl_shock_spring_force(&corner->springs, compression) +
                       (cap - corner->ambient) * quarter->shaft_area;
  return shock * ratio - corner->sprung_mass * corner->gravity;
}

// The same of a wheel between the road and a chassis that lies on it: tyre against suspension.
static double excess_on_wheel(double height, const void *context) {
  const struct pl_quarter *const quarter = context;
  const struct pl_corner *const corner = quarter->corner;
  const double weight = (corner->sprung_mass + corner->unsprung_mass) * corner->gravity;
  const double tyre = corner->tyre_rate * (quarter->free_radius - height);
  return excess_of_suspension(height, context) + weight - tyre;
}

// The zero of a rising function between two heights, or the end that is nearer to it.
static double balance(pl_root_function *excess, const struct pl_quarter *quarter, double low,
                      double high) {
  double root;
  if (excess(low, quarter) >= 0.0) return low;
  if (excess(high, quarter) <= 0.0) return high;
  return pl_find_root(excess, quarter, low, high, 1e-13, &root) ? root : NAN;
}

void pl_quarter_on_ground(const struct pl_quarter *quarter, double *state) {
  for (size_t i = 0; i < QUANTITIES; i++) state[i] = 0.0;
  state[WHEEL] = balance(excess_on_wheel, quarter, quarter->corner->path.lowest, quarter->end);
}

void pl_quarter_at_end(const struct pl_quarter *quarter, double *state) {
  for (size_t i = 0; i < QUANTITIES; i++) state[i] = 0.0;
  state[WHEEL] = fmax(quarter->corner->tyre_radius, quarter->end);
  state[CHASSIS] = state[WHEEL] - quarter->end;
}

bool pl_quarter_rest(const struct pl_quarter *quarter, double *state) {
  const struct pl_corner *const corner = quarter->corner;
  const double low = corner->path.lowest;
  for (size_t i = 0; i < QUANTITIES; i++) state[i] = 0.0;
  state[WHEEL] = corner->tyre_radius;
  state[CHASSIS] = state[WHEEL] - balance(excess_of_suspension, quarter, low, quarter->end);
  if (state[CHASSIS] < 0.0) pl_quarter_on_ground(quarter, state);
  return isfinite(state[CHASSIS]) && isfinite(state[WHEEL]);
}

double pl_quarter_rate(const struct pl_quarter *quarter, double travel) {
  const double span = 1e-5; // no more than an estimate is needed
  return (excess_of_suspension(travel + span, quarter) -
          excess_of_suspension(travel - span, quarter)) /
         (2.0 * span);
}
