// SPDX-License-Identifier: GPL-3.0-or-later
// The paths that oil can take past a piston in one direction, all under the same pressure.
#ifndef PITLEAF_PHYSICS_NETWORK_H
#define PITLEAF_PHYSICS_NETWORK_H

#include "pitleaf/physics.h"

/// Like ports that carry oil in this direction.
struct pl_path {
  struct pl_port_law law; ///< of one port
  double count;
  double opens_at; ///< Pa, 0 for at once
};

/// A piston in one direction.
struct pl_network {
  size_t count;
  struct pl_path paths[PL_PORT_SETS];
  double leak;  ///< flow past the rim, m3/s per Pa
  double area;  ///< that the pressure acts on, m2
  double swept; ///< flow to be carried per shaft speed, m2
};

/// Sets up the network; false if the piston or the fluid is impossible.
bool pl_network_of(const struct pl_piston *piston, const struct pl_fluid *fluid,
                   bool compression, struct pl_network *network);

/// Flow through one port of a path under `pressure`, m3/s.
double pl_path_flow(const struct pl_path *path, double pressure);

/// Flow through all paths under `pressure`, Pa of zero or more, m3/s.
double pl_network_flow(const struct pl_network *network, double pressure);

/// Pressure that drives `flow` m3/s through all paths, Pa; infinite if there is no path.
double pl_network_pressure(const struct pl_network *network, double flow);

#endif
