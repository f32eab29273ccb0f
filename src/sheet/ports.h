// SPDX-License-Identifier: GPL-3.0-or-later
// Where the ports of a piston are drawn. For this room alone.
#ifndef PITLEAF_SHEET_PORTS_H
#define PITLEAF_SHEET_PORTS_H

#include "room.h"

/// A port on the face of its piston, mm at true size from the piston's middle.
struct pl_port_place {
  size_t set;    ///< of the piston's sets of ports
  double radius; ///< of its larger end
  double x;
  double y;
};

struct pl_port_places {
  struct pl_port_place *items;
  size_t count; ///< 0: they do not fit between the shaft and the edge, or there are none
};

/// Places for all ports of a piston, none over another, over the shaft or over the edge: spread
/// evenly on one circle, midway between shaft and edge if there is room, else further out, else
/// on several circles. `diameter` of the piston and `shaft` (0: not known) are in mm. Owned by
/// the arena.
struct pl_port_places pl_port_places(struct pl_arena *arena, const struct pl_value *ports,
                                     double diameter, double shaft);

/// Radius of the larger end of a set's ports, mm.
double pl_port_radius(const struct pl_ports *set);

#endif
