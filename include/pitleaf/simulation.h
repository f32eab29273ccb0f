// SPDX-License-Identifier: GPL-3.0-or-later
// The time simulation of one corner of a car: numbers in, numbers out, like all of physics.
//
// The conventions of physics.h hold, but for one: an integrator has memory of its own. Whoever
// makes one frees it.
#ifndef PITLEAF_SIMULATION_H
#define PITLEAF_SIMULATION_H

#include "pitleaf/physics.h"

// ---------------------------------------------------------------- integrating

/// Most quantities of a motion, and most events that it waits for.
#define PL_MOTION_STATES 12
#define PL_MOTION_EVENTS 12

/// What moves: slopes over time, and functions that are above zero until something happens.
struct pl_motion {
  size_t count; ///< of quantities, 1 to PL_MOTION_STATES
  /// Fills the slopes of all quantities. False where the state is none that can be: the step is
  /// then tried again shorter.
  bool (*slopes)(double time, const double *state, double *slopes, const void *context);
  size_t event_count; ///< at most PL_MOTION_EVENTS; with 0 `events` may be null
  /// Fills the functions of all events. One that is below zero by more than its slack has
  /// happened.
  void (*events)(double time, const double *state, double *values, const void *context);
  const double *slack; ///< of each event: what rounding may do to its function
  const void *context; ///< handed to both
};

/// An integrator: the Runge-Kutta method of Prince and Dormand, order 8 with an error estimate
/// of order 7 (GSL's rk8pd), with steps that keep the estimate within bounds.
struct pl_integrator;

/// An integrator of `count` quantities. In one step each may be wrong by `tolerance` times its
/// scale at the most, as far as the estimate knows; `scales` is copied. Null where memory lacks
/// or the numbers are impossible. Free it with pl_integrator_free().
struct pl_integrator *pl_integrator_new(size_t count, const double *scales, double tolerance);
/// Null is allowed.
void pl_integrator_free(struct pl_integrator *integrator);

/// No step is longer than this, s; infinity at first. It must be above 0.
void pl_integrator_longest(struct pl_integrator *integrator, double longest);
/// What was integrated so far is forgotten: the state was changed by hand, or its slopes are
/// others now. The length of the next step is kept.
void pl_integrator_restart(struct pl_integrator *integrator);

/// How a step ended.
enum pl_step {
  PL_STEP_DONE,  ///< without an event
  PL_STEP_EVENT, ///< at an event
  PL_STEP_FAILED ///< the slopes cannot be had however short the step is, or the motion is not
                 ///< of as many quantities as the integrator
};

/// Takes one step of `motion` from `*time` toward `end`, not beyond it, and moves `*time` and
/// `state` on. Where a function of an event falls below zero, the step ends there, at most 1e-9
/// s behind the place where it does (integrated to, not interpolated; 2e-9 s where the function
/// jumps), and `*event` is its number; of several the first one counts. A function that is
/// below zero already at the start ends the step at once. What falls below zero and rises again
/// within one step is found only if another event splits that step: keep steps shorter than
/// what is looked for.
enum pl_step pl_integrator_step(struct pl_integrator *integrator,
                                const struct pl_motion *motion, double *time, double end,
                                double *state, size_t *event);

/// The state within the last step, by its ends and their slopes (cubic): for plots and peaks.
void pl_integrator_between(const struct pl_integrator *integrator, double time, double *state);

// ---------------------------------------------------------------- the corner
//
// A corner of the car as two masses that move up and down: the sprung one on its suspension,
// the unsprung one on its tyre. Pitch and roll, and what an anti-roll bar carries from one side
// to the other, are left out: both wheels of an axle do the same.
//
// Heights are measured from the road where it is level: that of the chassis' underside, and
// that of the wheel's centre. Their difference is the wheel's height in the chassis frame,
// which alone decides how far the shock is compressed.

/// Knots of a shock's path.
#define PL_PATH_KNOTS 17

/// Shock compression against the height of the wheel centre in the chassis frame, from full
/// extension to full compression: a cubic between knots, by the linkage's values and slopes
/// there. Its own slope is the motion ratio, so that force and energy agree to the last digit.
struct pl_shock_path {
  double lowest;  ///< height at full extension, m
  double highest; ///< at full compression
  double compression[PL_PATH_KNOTS];
  double ratio[PL_PATH_KNOTS];
};

/// The path of a linkage's shock between two heights of the wheel centre; `longest` is the
/// shock's length at full extension. False where the linkage does not reach that far, or where
/// the shock is not compressed all the way: its motion ratio has to stay above zero.
bool pl_shock_path_of(const struct pl_linkage *linkage, double lowest, double highest,
                      double longest, struct pl_shock_path *path);

/// Compression at a height, m, and the motion ratio there; beyond the ends a straight line.
double pl_shock_path_at(const struct pl_shock_path *path, double height, double *ratio);

/// What a corner is made of.
struct pl_corner {
  double sprung_mass;   ///< kg
  double unsprung_mass; ///< kg
  double gravity;       ///< m/s2
  double tyre_radius;   ///< under the corner's own weight, m
  double tyre_rate;     ///< N/m; the tyre pushes, never pulls, and damps nothing
  struct pl_shock_path path;
  struct pl_shock_springs springs; ///< where the coils touch before full compression, that is
                                   ///< the shock's end
  double ambient;                  ///< pressure outside, Pa; without gas also that in the cap
  bool has_gas;
  struct pl_gas_chamber gas; ///< of exponent 1.4 for what is fast
  struct pl_piston piston;
  struct pl_fluid fluid;
  double seal_friction; ///< N at the shaft, against its motion whichever way; 0 for none
};

// ---------------------------------------------------------------- the road

/// Bumps in the road: haversines, `height/2 (1 - cos(2 pi x/length))`, that a wheel meets one
/// after the other.
struct pl_bumps {
  double height;  ///< m; below zero: a hole
  double length;  ///< m
  double speed;   ///< of the car, m/s
  double spacing; ///< from the start of one to the start of the next, m; at least the length
  size_t count;   ///< 0: the road is level
  double radius;  ///< of the wheel, m; 0: it follows the road at one point
};

/// The road as a wheel meets it that is a rigid circle, as far as its outline goes: its centre
/// follows the curve parallel to the road, and where that crosses itself the wheel stands on
/// two points. (The springs of the tyre begin there: it is squeezed upright.)
struct pl_road {
  const struct pl_bumps *bumps;
  double lead;  ///< how far before the foot of a bump the wheel meets it, m
  double reach; ///< the same from the middle of the bump
  double first; ///< of a bump's first half, the first and the last point that the wheel touches
  double last;
  bool has_kinks; ///< in the path of the wheel's centre
};

/// The bumps have to be possible: length and speed above zero, the radius not below.
void pl_road_of(const struct pl_bumps *bumps, struct pl_road *road);

/// How much higher the centre of the wheel is than on level road, m, and its slope, when it is
/// `way` m behind the foot of the first bump; negative before it.
double pl_road_height(const struct pl_road *road, double way, double *slope);

/// Where the slope jumps next, behind `way`; infinite where it does not.
double pl_road_next_kink(const struct pl_road *road, double way);

// ---------------------------------------------------------------- what comes of it

/// What hits an end of its travel. The ends are rigid: the speed at which they are approached
/// is lost at once, and with it the energy of that motion. Therefore the blow has a speed and
/// an energy; a peak of force would be infinite.
struct pl_blows {
  size_t count;
  double time;    ///< of the hardest, s
  double speed;   ///< at which the end was approached in it, m/s
  double energy;  ///< that was lost in it, J
  double total;   ///< lost in all, J
  double bearing; ///< greatest force that the end then bore at rest on it, N
};

/// What becomes of the energy, J. What the car loses in height and gains from the road is what
/// is stored, moving, dissipated and lost; `missing` is the difference, which is the
/// integration's error.
struct pl_energies {
  double fallen;
  double from_road;
  double springs; ///< stored in them, as in the next three
  double gas;
  double tyre;
  double cavity;
  double moving;
  double damped; ///< by the oil
  double rubbed; ///< by the seals
  double at_chassis;
  double at_shock_ends;
  double missing;
};

/// What one corner did. Times count from the release in a drop, otherwise from where the wheel
/// meets the first bump. Extremes of heights and travels are located as events; those of
/// speeds, forces and pressures are looked for four times a step, of at most 3 ms where the
/// tyre touches.
struct pl_motion_result {
  double rest_height;   ///< of the chassis where it stands, m
  double rest_position; ///< of the shock there: its compression, m
  double lowest;        ///< of the chassis, m
  double highest;       ///< after the first touch
  double wheel_in;      ///< greatest wheel travel from rest toward bump, m
  double wheel_out;     ///< toward droop; positive
  double wheel_highest; ///< greatest rise of the wheel above its rest, m
  double compression;   ///< greatest, of the shock, m
  double end;           ///< compression at which the shock ends
  bool end_is_bind;     ///< because the coils touch
  double speed_in;      ///< greatest shaft speeds, m/s
  double speed_out;
  double shock_force;  ///< greatest force of the shock, N
  double shock_pull;   ///< greatest the other way, N; positive
  double tyre_force;   ///< greatest, N
  double cap_pressure; ///< greatest absolute pressure on the cap side, Pa
  double least_gas;    ///< least share that is left of the trapped gas; 1 without gas
  bool cavitated;
  double cavitation_time;  ///< when the rod side first fell to zero pressure, s
  double cavitation_speed; ///< of the shaft there, m/s
  double cavity;           ///< greatest void on the rod side, m3
  double cavity_time;      ///< for how long there was one, s
  struct pl_blows chassis, shock_in, shock_out;
  size_t swings;         ///< reversals of the chassis of more than 0.5 mm
  bool settled;          ///< within the time that is looked at
  double settle_time;    ///< from the first touch, or from where the bump is met, s
  size_t losses;         ///< how often the tyre left the ground again
  double longest_loss;   ///< s
  double airborne;       ///< share of the time without contact, until settled
  double mean_load;      ///< of the wheel until settled, N; NaN for a drop, as the next
  double load_variation; ///< standard deviation of the load over its mean
  double end_time;       ///< of the simulation, s
  size_t steps;
  struct pl_energies energies;
};

/// A moment of a simulation.
struct pl_moment {
  double time;
  double chassis;      ///< height of the underside, m
  double wheel;        ///< height of the wheel's centre, m
  double road;         ///< height of the road as the wheel meets it, m
  double compression;  ///< of the shock, m
  double shaft_speed;  ///< m/s, compression positive
  double shock_force;  ///< N
  double tyre_force;   ///< N
  double cap_pressure; ///< Pa
  double rod_pressure;
  double cavity; ///< m3
};

/// What is written down while it goes on; `moments` may be null.
struct pl_record {
  struct pl_moment *moments;
  size_t capacity;
  double start;    ///< time of the first, s
  double interval; ///< s between two of them
  size_t count;
};

/// How long a simulation goes on at the most after the first touch or the last bump, s.
#define PL_SIMULATION_LIMIT 5.0
/// Reversals smaller than this are no swings, m.
#define PL_SWING 0.5e-3
/// A corner has settled when the chassis stays within this share of its greatest excursion, or
/// so near, m: as near as anybody measures a ride height.
#define PL_SETTLED_SHARE 0.02
#define PL_SETTLED_LEAST 0.1e-3

enum pl_simulation_status {
  PL_SIMULATED,
  PL_NO_CORNER, ///< a number that is none, or an impossible one
  PL_NO_FLOW,   ///< the piston has no way for the oil in one direction: the shock is locked
  PL_NO_TRAVEL, ///< the coils touch at full extension already
  PL_NO_MEMORY, ///< the simulator is null
  PL_NO_END     ///< the motion is so stiff that the steps became too short
};

/// Memory for simulations, one after the other.
struct pl_simulator;
/// `tolerance` as in pl_integrator_new(); scales are those of the car. Null where memory lacks.
struct pl_simulator *pl_simulator_new(double tolerance);
/// Null is allowed; takes a void pointer so that it can be an arena's ending.
void pl_simulator_free(void *simulator);
/// Good for 1e-7 of the energy, see tests.
#define PL_SIMULATION_TOLERANCE 1e-7

/// Drops the corner, hanging at full droop, with the lowest point of its tyre `height` m (0 or
/// more) above a level road. `record` may be null.
enum pl_simulation_status pl_simulate_drop(struct pl_simulator *simulator,
                                           const struct pl_corner *corner, double height,
                                           struct pl_record *record,
                                           struct pl_motion_result *result);

/// Lets the corner, at rest, run over bumps.
enum pl_simulation_status pl_simulate_bumps(struct pl_simulator *simulator,
                                            const struct pl_corner *corner,
                                            const struct pl_bumps *bumps,
                                            struct pl_record *record,
                                            struct pl_motion_result *result);

/// The highest drop that leaves the chassis clear of the ground, to 0.1 mm, or, with `shock`,
/// below which no drop brings the shock to its end; infinity for one of more than `most` m, NaN
/// where even the drop from 0 does not. Until the chassis touches, a harder fall is taken to go
/// deeper; behind that the shock may be compressed less, and drops are tried in steps.
enum pl_simulation_status pl_highest_drop(struct pl_simulator *simulator,
                                          const struct pl_corner *corner, bool shock,
                                          double most, double *height);

#endif
