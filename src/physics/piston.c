// SPDX-License-Identifier: GPL-3.0-or-later
// A piston moving in oil: pressure, damping force, and the speeds at which it changes
// character.
#include "network.h"
#include "numbers.h"

// Steps in which the packing speed is looked for, as a ratio of pressures, and how far beyond
// the last port's own packing pressure: past that the leak, if any, has won for good.
#define PL_PACK_STEP  1.1
#define PL_PACK_REACH 1e3

double pl_pumped_area(const struct pl_piston *piston) {
  if (!pl_is_positive(piston->bore) || !pl_is_zero_or_more(piston->shaft) ||
      !(piston->shaft < piston->bore))
    return NAN;
  return pl_ring_area(piston->bore, piston->shaft);
}

double pl_piston_pressure(const struct pl_piston *piston, const struct pl_fluid *fluid,
                          double speed) {
  struct pl_network network;
  if (!isfinite(speed) || !pl_network_of(piston, fluid, speed > 0.0, &network)) return NAN;
  return copysign(pl_network_pressure(&network, network.swept * fabs(speed)), speed);
}

double pl_piston_force(const struct pl_piston *piston, const struct pl_fluid *fluid,
                       double speed) {
  return pl_piston_pressure(piston, fluid, speed) * pl_pumped_area(piston);
}

double pl_piston_slow_damping(const struct pl_piston *piston, const struct pl_fluid *fluid,
                              bool compression) {
  struct pl_network network;
  if (!pl_network_of(piston, fluid, compression, &network)) return NAN;
  double conductance = network.leak;
  for (size_t i = 0; i < network.count; i++)
    if (network.paths[i].opens_at == 0.0)
      conductance += network.paths[i].count / network.paths[i].law.linear;
  return network.area * network.swept / conductance;
}

double pl_piston_damping(const struct pl_piston *piston, const struct pl_fluid *fluid,
                         double speed) {
  if (speed == 0.0) return pl_piston_slow_damping(piston, fluid, true);
  return pl_piston_force(piston, fluid, speed) / speed;
}

// --------------------------------------------------------------------------------------
// packing

// Power lost kinetically less power lost viscously, over all paths.
static double kinetic_surplus(double pressure, const void *context) {
  const struct pl_network *network = context;
  double surplus = -network->leak * pl_square(pressure);
  for (size_t i = 0; i < network->count; i++) {
    const struct pl_path *path = &network->paths[i];
    const double flow = pl_path_flow(path, pressure);
    surplus += path->count * pl_square(flow) * (path->law.quadratic * flow - path->law.linear);
  }
  return surplus;
}

// The pressure at which a path packs by itself: there both its parts are b^2/a.
static double packing_pressure(const struct pl_path *path) {
  return path->opens_at + 2.0 * pl_square(path->law.linear) / path->law.quadratic;
}

double pl_pack_speed(const struct pl_piston *piston, const struct pl_fluid *fluid) {
  struct pl_network network;
  if (!pl_network_of(piston, fluid, true, &network)) return NAN;
  double least = INFINITY;
  double greatest = 0.0;
  for (size_t i = 0; i < network.count; i++) {
    const double alone = packing_pressure(&network.paths[i]);
    least = fmin(least, alone);
    greatest = fmax(greatest, alone);
  }
  // With no path, or with oil that weighs nothing, the least is infinite and nothing is tried.
  // A hair below the first port's packing pressure every term of the surplus is negative.
  double from = least * (1.0 - 1e-9);
  for (double to; from < greatest * PL_PACK_REACH; from = to) {
    to = from * PL_PACK_STEP;
    double pressure;
    if (pl_find_root(kinetic_surplus, &network, from, to, 0.0, &pressure))
      return pl_network_flow(&network, pressure) / network.swept;
  }
  return INFINITY;
}

// -----------------------------------------------------------------------------------
// cavitation

double pl_cavitation_speed(const struct pl_piston *piston, const struct pl_fluid *fluid,
                           double absolute_pressure) {
  struct pl_network network;
  if (!pl_is_zero_or_more(absolute_pressure) || !pl_network_of(piston, fluid, true, &network))
    return NAN;
  return pl_network_flow(&network, absolute_pressure) / network.swept;
}

// ------------------------------------------------------------------------------------- one
// port

bool pl_port_state(const struct pl_piston *piston, size_t set, const struct pl_fluid *fluid,
                   double pressure, struct pl_port_state *state) {
  *state = (struct pl_port_state){NAN, NAN, NAN, NAN, NAN, NAN};
  if (set >= piston->set_count || set >= PL_PORT_SETS || !isfinite(pressure)) return false;
  // A piston of this one set alone has the set's path and no other; a count of one keeps the
  // path even of a set that is declared with none.
  struct pl_piston alone = *piston;
  alone.set_count = 1;
  alone.sets[0] = piston->sets[set];
  alone.sets[0].count = 1.0;
  struct pl_network network;
  if (!pl_network_of(&alone, fluid, pressure > 0.0, &network)) return false;

  *state = (struct pl_port_state){0};
  if (network.count == 0) return true; // shut this way
  const double narrowest =
      fmin(alone.sets[0].diameter_cap_side, alone.sets[0].diameter_shaft_side);
  const struct pl_path *path = &network.paths[0];
  state->flow = pl_path_flow(path, fabs(pressure));
  state->mean_speed = state->flow / (PL_PI / 4.0 * pl_square(narrowest));
  state->reynolds = fluid->density * state->mean_speed * narrowest / fluid->dynamic_viscosity;
  state->shear_rate = 8.0 * state->mean_speed / narrowest;
  state->viscous = path->law.linear * state->flow;
  state->kinetic = path->law.quadratic * pl_square(state->flow);
  return true;
}
