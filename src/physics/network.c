// SPDX-License-Identifier: GPL-3.0-or-later
// The paths past a piston: what they carry together, and the pressure that makes them.
#include "network.h"
#include "numbers.h"

// Newton's steps end when they change less than this share of the pressure; the promise is
// 1e-10.
#define PL_NETWORK_PRECISION 1e-13
// Newton needs three to ten steps; halving alone would need about sixty.
#define PL_NETWORK_STEPS 200

// ---------------------------------------------------------------------------------- setting up

static bool piston_is_possible(const struct pl_piston *piston) {
  if (piston->set_count > PL_PORT_SETS || !pl_is_positive(piston->bore) ||
      !pl_is_zero_or_more(piston->shaft) || !(piston->shaft < piston->bore))
    return false;
  if (isnan(piston->diameter)) return true;
  return piston->diameter > piston->shaft && piston->diameter <= piston->bore &&
         pl_is_positive(piston->thickness);
}

static bool carries(enum pl_flow_way way, bool compression) {
  return way == PL_FLOW_BOTH || (way == PL_FLOW_COMPRESSION) == compression;
}

// Adds a set of ports if it lets oil through this way; false if it is impossible.
static bool add_path(struct pl_network *network, const struct pl_port_set *set,
                     double thickness, const struct pl_fluid *fluid, bool compression) {
  const bool one_way = set->way != PL_FLOW_BOTH;
  // In compression the piston meets the oil with its face toward the cap.
  const double inlet = compression ? set->diameter_cap_side : set->diameter_shaft_side;
  const double outlet = compression ? set->diameter_shaft_side : set->diameter_cap_side;
  const struct pl_path path = {.law = pl_port_law(thickness, inlet, outlet, fluid),
                               .count = set->count,
                               .opens_at = one_way ? set->opens_at : 0.0};
  if (isnan(path.law.linear) || !pl_is_zero_or_more(path.count) ||
      !pl_is_zero_or_more(path.opens_at))
    return false;
  if (path.count > 0.0 && carries(set->way, compression))
    network->paths[network->count++] = path;
  return true;
}

// The leak between piston and bore, a narrow concentric slit with the piston for one wall
// (Massey, Mechanics of Fluids, on the dashpot; d is the piston's diameter): pi d c^3 dp/(12 mu
// L) - pi d c v/2. Seen from the bore, the piston pushes its own section through the oil, not
// the bore's, and drags oil along in the slit, against the leak.
static void add_leak(struct pl_network *network, const struct pl_piston *piston,
                     const struct pl_fluid *fluid) {
  if (isnan(piston->diameter)) return;
  const double clearance = 0.5 * (piston->bore - piston->diameter);
  const double circumference = PL_PI * piston->diameter;
  network->leak = circumference * pl_cube(clearance) /
                  (12.0 * fluid->dynamic_viscosity * piston->thickness);
  network->swept =
      pl_ring_area(piston->diameter, piston->shaft) + 0.5 * circumference * clearance;
}

bool pl_network_of(const struct pl_piston *piston, const struct pl_fluid *fluid,
                   bool compression, struct pl_network *network) {
  network->count = 0;
  network->leak = 0.0;
  if (!piston_is_possible(piston) || !pl_is_positive(fluid->dynamic_viscosity) ||
      !pl_is_zero_or_more(fluid->density))
    return false;
  network->area = pl_ring_area(piston->bore, piston->shaft);
  network->swept = network->area;
  for (size_t i = 0; i < piston->set_count; i++)
    if (!add_path(network, &piston->sets[i], piston->thickness, fluid, compression))
      return false;
  add_leak(network, piston, fluid);
  return true;
}

// -------------------------------------------------------------------------- flow and its
// inverse

double pl_path_flow(const struct pl_path *path, double pressure) {
  return pressure > path->opens_at ? pl_port_flow(&path->law, pressure - path->opens_at) : 0.0;
}

double pl_network_flow(const struct pl_network *network, double pressure) {
  double flow = network->leak * pressure;
  for (size_t i = 0; i < network->count; i++)
    flow += network->paths[i].count * pl_path_flow(&network->paths[i], pressure);
  return flow;
}

// The flow and its slope by pressure. One root serves both: with s = sqrt(b^2 + 4 a dp) a port
// carries 2 dp/(b + s), and its slope is 1/s.
static double flow_and_slope(const struct pl_network *network, double pressure, double *slope) {
  double flow = network->leak * pressure;
  *slope = network->leak;
  for (size_t i = 0; i < network->count; i++) {
    const struct pl_path *path = &network->paths[i];
    const double over = pressure - path->opens_at;
    if (over <= 0.0) continue;
    const double root = sqrt(pl_square(path->law.linear) + 4.0 * path->law.quadratic * over);
    flow += path->count * 2.0 * over / (path->law.linear + root);
    *slope += path->count / root;
  }
  return flow;
}

// The pressure is at most that of the path which alone would do it for the least, since others
// only help.
static double greatest_pressure(const struct pl_network *network, double flow) {
  double greatest = flow / network->leak;
  for (size_t i = 0; i < network->count; i++) {
    const struct pl_path *path = &network->paths[i];
    const double alone = path->opens_at + pl_port_pressure(&path->law, flow / path->count);
    greatest = fmin(greatest, alone);
  }
  return greatest;
}

// Newton's method, kept between bounds. The flow is concave in the pressure except where a set
// opens, so that a step from above ends below the root, and steps from below rise to it without
// passing it; a step out of bounds, at such a corner, is replaced by halving.
static double solve(const struct pl_network *network, double flow, double greatest) {
  double least = 0.0;
  double pressure = greatest;
  for (int step = 0; step < PL_NETWORK_STEPS; step++) {
    double slope;
    const double miss = flow_and_slope(network, pressure, &slope) - flow;
    if (miss > 0.0)
      greatest = pressure;
    else
      least = pressure;
    double next = pressure - miss / slope;
    if (fabs(next - pressure) <= PL_NETWORK_PRECISION * pressure) return next;
    if (!(next > least && next < greatest)) next = 0.5 * (least + greatest);
    pressure = next;
  }
  return pressure;
}

double pl_network_pressure(const struct pl_network *network, double flow) {
  if (flow == 0.0) return 0.0;
  const double greatest = greatest_pressure(network, flow);
  return isfinite(greatest) ? solve(network, flow, greatest) : greatest; // there may be no way
}
