// SPDX-License-Identifier: GPL-3.0-or-later
// The corner while it moves: what its parts do at the moment, and what follows from that. For
// the simulation alone.
#ifndef PITLEAF_PHYSICS_QUARTER_CAR_H
#define PITLEAF_PHYSICS_QUARTER_CAR_H

#include "network.h"
#include "pitleaf/simulation.h"

// The quantities that are integrated.
enum {
  CHASSIS,       // height, m
  WHEEL,         // height of its centre
  CHASSIS_SPEED, // m/s
  WHEEL_SPEED,
  CAVITY, // volume of the void, m3
  DAMPED, // energy that the oil took, J
  RUBBED, // that the seals took
  DROP_QUANTITIES,
  // With bumps in the road also:
  FROM_ROAD = DROP_QUANTITIES, // work of the road on the tyre, J
  LOAD,                        // integral of the tyre's force, N s
  LOAD_SQUARED,
  QUANTITIES
};

// The events, by what they are about.
enum {
  AT_TYRE,          // it touches, or leaves
  AT_TURN,          // the shaft stops; held: it is pushed in
  AT_END,           // the shock ends its travel; held: it is pulled out
  AT_GROUND,        // the chassis comes down, or is lifted
  AT_CAVITY,        // the rod side tears off, or closes
  AT_REVERSAL,      // the chassis turns around
  AT_EXTREME_WHEEL, // the wheel turns around
  HAPPENINGS
};

// What holds at the moment.
struct pl_mode {
  bool touches;       // the tyre, the road
  bool held;          // the shaft stands still: at an end of its travel, or by friction
  double way;         // of the shaft otherwise: 1 in, -1 out
  bool grounded;      // the chassis lies on the ground
  bool torn;          // there is a void on the rod side
  double chassis_way; // 1 up, -1 down
  double wheel_way;
};

// A corner with what is worked out once, and its mode.
struct pl_quarter {
  const struct pl_corner *corner;
  const struct pl_bumps *bumps;
  struct pl_road road;
  // The road has no kink between these, m: within a step it is smooth, up to its ends.
  double smooth_from, smooth_to;
  struct pl_network in, out;
  double area;        // that pumps oil past the piston, m2
  double shaft_area;  // m2
  double free_radius; // of the tyre without load, m
  double pressure;    // in the cap at full extension, Pa
  double end;         // height of the wheel at which the shock ends, m
  bool end_is_bind;
  double start_in, start_out; // force at the shaft below which it does not start, N
  struct pl_mode mode;
};

// Forces and pressures of a state.
struct pl_forces {
  double compression;
  double ratio;
  double shaft_speed;
  double road;     // height beneath the wheel, m
  double rise;     // how fast it rises, m/s
  double squeezed; // how far the tyre is, m; negative above the road
  double tyre;
  double springs;
  double cap; // Pa
  double rod;
  double oil;    // N, of the pressure across the piston
  double shock;  // N, all but what holds it
  double growth; // of the void, m3/s
  // What the mode makes of them.
  double chassis_acceleration, wheel_acceleration;
  double holding; // N at the wheel, lifting the chassis, where the shaft is held
  double bearing; // N, of the ground on the chassis
};

// False for impossible numbers, or where `*status` says why.
bool pl_quarter_of(const struct pl_corner *corner, const struct pl_bumps *bumps,
                   struct pl_quarter *quarter, enum pl_simulation_status *status);

// The road beneath the wheel at a time, and how fast it rises, m/s.
double pl_quarter_road(const struct pl_quarter *quarter, double time, double *rise);
// When the smooth piece of road ends, s.
double pl_quarter_smooth_until(const struct pl_quarter *quarter);
// Goes on to the next one.
void pl_quarter_next_piece(struct pl_quarter *quarter);

// False where the state is none that can be: the gas has no room.
bool pl_forces_of(const struct pl_quarter *quarter, double time, const double *state,
                  struct pl_forces *forces);

// The state where it stands on its tyre; false where nothing holds it.
bool pl_quarter_rest(const struct pl_quarter *quarter, double *state);

// The states of least energy in which the chassis lies on the ground, and in which the shock is
// at the end of its travel.
void pl_quarter_on_ground(const struct pl_quarter *quarter, double *state);
void pl_quarter_at_end(const struct pl_quarter *quarter, double *state);

// Stiffness of the suspension at the wheel, N/m, at a height of it in the chassis frame: that
// of springs and gas, the oil at rest.
double pl_quarter_rate(const struct pl_quarter *quarter, double travel);

// Energy stored in a state, J, by kinds; only those members are written.
void pl_quarter_stored(const struct pl_quarter *quarter, double time, const double *state,
                       struct pl_energies *energies);

// For the integrator; the context is a pl_quarter.
bool pl_quarter_slopes(double time, const double *state, double *slopes, const void *context);
void pl_quarter_events(double time, const double *state, double *values, const void *context);
extern const double pl_quarter_slack[HAPPENINGS];

// A blow, as it is told.
struct pl_blow {
  double speed;
  double energy;
};

// Does the shaft stand at full extension, or at its end?
bool pl_is_extended(const struct pl_quarter *quarter, const double *state);
bool pl_is_ended(const struct pl_quarter *quarter, const double *state);

// Settles what holds after the state was changed: whether the shaft is held, and whether the
// chassis lies on the ground.
void pl_quarter_settle(struct pl_quarter *quarter, double time, double *state);

// What an event makes of mode and state. The blows are those on the chassis and at the shock's
// end; where there was none, their energies are 0.
void pl_quarter_happens(struct pl_quarter *quarter, size_t event, double time, double *state,
                        struct pl_blow *on_chassis, struct pl_blow *on_shock);

#endif
