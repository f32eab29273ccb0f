// SPDX-License-Identifier: GPL-3.0-or-later
// The physics of a model car's suspension: numbers in, numbers out, knowing nothing of files,
// settings or figures.
//
// Conventions that hold for every declaration below:
//
// - Everything is in SI units: m, kg, s, N, Pa, K, rad. Kinematic viscosity is m2/s, never cSt.
//   Temperatures are kelvin on the absolute scale.
// - An absent optional number is NaN unless its comment says 0.
// - A function given NaN or an impossible number (a negative wire, a bore inside its shaft)
//   returns NaN, or false where it returns bool; it never traps, prints or hangs. Infinity is
//   returned only where a comment says what it means.
// - Points lie in the chassis frame of one corner: x forward, y outboard from the car's centre
//   line, z up. The same numbers therefore describe a left and a right corner.
// - Shock compression c is measured from full extension and grows as the shaft enters the body.
//   Wheel travel w is the rise of the wheel centre in the chassis frame; bump is positive.
// - Nothing is allocated, nothing is kept: every result goes to memory that the caller owns.
#ifndef PITLEAF_PHYSICS_H
#define PITLEAF_PHYSICS_H

#include <stdbool.h>
#include <stddef.h>

/// The circle's constant; C17 without extensions has none.
#define PL_PI 3.14159265358979323846
/// Standard acceleration of free fall, m/s2 (exact, SI brochure).
#define PL_STANDARD_GRAVITY 9.80665
/// Standard atmosphere, Pa (exact, SI brochure).
#define PL_STANDARD_ATMOSPHERE 101325.0
/// 0 degC in kelvin (exact, SI brochure).
#define PL_ZERO_CELSIUS 273.15

/// A point of the chassis frame, m.
struct pl_point {
  double x; ///< forward
  double y; ///< outboard from the car's centre line
  double z; ///< up from the underside of the chassis
};

// ------------------------------------------------------------------------------------- roots

/// A function of one variable; `context` is whatever the caller handed to the solver.
typedef double pl_root_function(double x, const void *context);

/// Finds where `function` crosses zero between `a` and `b` (either order), by Brent's method
/// (R. P. Brent, Algorithms for Minimization without Derivatives, 1973, ch. 4): bisection,
/// hardened with secant and inverse quadratic steps, so it cannot leave the bracket or stall.
///
/// The function must have opposite signs at the two ends, or be zero at one. `tolerance` is
/// the width in x to which the root is narrowed, 0 for as narrow as doubles allow.
/// Returns true and sets `*root`; returns false and sets `*root` to NaN when the ends do not
/// bracket a crossing, or an end or the function becomes NaN.
bool pl_find_root(pl_root_function *function, const void *context, double a, double b,
                  double tolerance, double *root);

// ------------------------------------------------------------------------------- coil springs

/// What a coil spring is wound of.
enum pl_spring_material { PL_MATERIAL_MUSIC_WIRE, PL_MATERIAL_STAINLESS_302 };

/// How a compression spring's ends are made.
enum pl_spring_ends {
  PL_ENDS_CLOSED_GROUND,
  PL_ENDS_CLOSED,
  PL_ENDS_PLAIN,
  PL_ENDS_PLAIN_GROUND
};

/// Shear modulus G of spring wire, Pa. `wire` is its diameter, m.
/// Shigley's Mechanical Engineering Design, 10th ed., Table 10-5: music wire steps with its
/// diameter (12.0, 11.85, 11.75, 11.6 Mpsi), stainless 302 is 10.0 Mpsi (the last three from
/// memory of the table).
double pl_shear_modulus(enum pl_spring_material material, double wire);

/// Least tensile strength of spring wire, Pa: `A/d^m` with the constants of Shigley, 10th ed.,
/// Table 10-4. Outside the table's diameters (music wire 0.10 to 6.5 mm, stainless 302 0.3 to
/// 10 mm) the nearest row is used: an estimate. The constants are from memory of the table; the
/// book's Example 10-1 bears out those of music wire.
double pl_wire_tensile_strength(enum pl_spring_material material, double wire);

/// Greatest torsional stress, Pa, that a spring of this wire takes without setting: 45 % of
/// the tensile strength for music wire, 35 % for stainless (Shigley, 10th ed., Table 10-6,
/// before set removal). Compare with pl_coil_spring_stress().
double pl_wire_torsional_limit(enum pl_spring_material material, double wire);

/// Rate of a round-wire helical spring, N/m: `G d^4/(8 D^3 n)`; EN 13906-1.
/// `mean_diameter` runs from wire centre to wire centre. With `active_coils` 1 it is the rate
/// of one coil, as pl_spring_curve_groups() wants it.
double pl_coil_spring_rate(double shear_modulus, double wire, double mean_diameter,
                           double active_coils);

/// The active coils that give `rate`: pl_coil_spring_rate() solved for n.
double pl_coil_spring_active_coils(double shear_modulus, double wire, double mean_diameter,
                                   double rate);

/// Active coils of a spring of `total_coils`; Shigley, 10th ed., Table 10-1. NaN if none left.
double pl_active_coils(enum pl_spring_ends ends, double total_coils);

/// Total coils of a spring of `active_coils`; the inverse of pl_active_coils().
double pl_total_coils(enum pl_spring_ends ends, double active_coils);

/// Length with all coils touching, m; Shigley, 10th ed., Table 10-1: `d (Nt + 1)` for plain and
/// closed unground ends, `d Nt` for ground ones.
double pl_solid_length(enum pl_spring_ends ends, double wire, double total_coils);

/// The curvature correction of the stress in a coil, `(4C + 2)/(4C - 3)` with C = D/d
/// (Bergstraesser; EN 13906-1). NaN for an index of 1 or less: such a coil cannot be wound.
double pl_bergstraesser_factor(double spring_index);

/// Corrected shear stress in the wire under `force`, Pa: `Kb 8 F D/(pi d^3)`; EN 13906-1.
double pl_coil_spring_stress(double force, double wire, double mean_diameter);

// ------------------------------------------------------------------------------ spring curves

/// Most knots of a spring curve: six groups of springs stacked in tens leave room to spare.
#define PL_SPRING_KNOTS 64

/// One corner of a piecewise linear curve of force against deflection.
struct pl_spring_knot {
  double deflection; ///< m, from free length, compression positive
  double force;      ///< N
};

/// Force against deflection of any spring, piecewise linear, strictly rising from (0, 0).
/// Build it with one of the pl_spring_curve_ functions; read it with the pl_spring_ ones.
struct pl_spring_curve {
  size_t count;                                 ///< knots in use, at least 1; [0] is (0, 0)
  struct pl_spring_knot knots[PL_SPRING_KNOTS]; ///< strictly rising in both
  double end_stiffness;                         ///< N/m beyond the last knot
  double bind; ///< deflection at which all coils touch, m; infinity: not known to bind
};

/// A group of like coils of a progressive spring.
struct pl_spring_group {
  double coils;     ///< active coils of the group, above 0
  double gap;       ///< free gap between turns, m per coil; NaN or infinity: never closes
  double coil_rate; ///< N/m of one coil: pl_coil_spring_rate() with one active coil
};

/// A spring of constant `rate` (N/m, above 0) that binds at `bind` m (NaN or infinity: never).
bool pl_spring_curve_linear(double rate, double bind, struct pl_spring_curve *curve);

/// A progressive spring: all coils carry the same force, and a coil deflects `force/coil_rate`
/// until its gap is closed. It binds when the last group has closed. False for no group, more
/// than PL_SPRING_KNOTS - 1, or an impossible number in one.
bool pl_spring_curve_groups(const struct pl_spring_group *groups, size_t count,
                            struct pl_spring_curve *curve);

/// A measured spring: rows of deflection and force, strictly rising in both; a row (0, 0) may
/// be left out. Beyond the last row the last slope goes on; a table does not say where it
/// binds. False for fewer than two knots (the implied (0, 0) counts), too many, a row out of
/// order, or force at zero deflection.
bool pl_spring_curve_table(const struct pl_spring_knot *rows, size_t count,
                           struct pl_spring_curve *curve);

/// Springs stacked end to end: the force is common, deflections add. A part that has bound is
/// rigid from there on. False for no part, or when the knots exceed PL_SPRING_KNOTS.
/// `curve` must not be one of `parts`.
bool pl_spring_curve_series(const struct pl_spring_curve *parts, size_t count,
                            struct pl_spring_curve *curve);

/// Force at `deflection`, N. Zero below zero deflection: a loose spring never pulls. Past bind
/// the last slope goes on, so that solvers see no cliff: compare with pl_spring_bind().
double pl_spring_force(const struct pl_spring_curve *curve, double deflection);

/// Local stiffness at `deflection`, N/m: at a knot that of the stiffness beyond it; 0 if loose.
double pl_spring_stiffness(const struct pl_spring_curve *curve, double deflection);

/// Energy stored at `deflection`, J: the integral of pl_spring_force() from 0.
double pl_spring_energy(const struct pl_spring_curve *curve, double deflection);

/// The deflection under `force`, m: the inverse of pl_spring_force(); 0 at 0, NaN below.
double pl_spring_deflection(const struct pl_spring_curve *curve, double force);

/// Deflection at which all coils touch, m; infinity where it is not known.
double pl_spring_bind(const struct pl_spring_curve *curve);

/// The springs on one shock. The main spring pushes it open; the opposed one, if any, pulls it
/// shut and loses deflection as the shock is compressed.
struct pl_shock_springs {
  const struct pl_spring_curve *main; ///< borrowed
  double preload; ///< main spring's deflection at full extension, m; below 0: loose there
  const struct pl_spring_curve *opposed; ///< borrowed; NULL: none
  double opposed_deflection;             ///< opposed spring's deflection at full extension, m
};

/// Net force that opens the shock at `compression` m, N; negative if the opposed spring wins.
double pl_shock_spring_force(const struct pl_shock_springs *springs, double compression);

/// Net stiffness at `compression`, N/m: the sum of both springs', a slack one counting none.
double pl_shock_spring_stiffness(const struct pl_shock_springs *springs, double compression);

/// Energy in both springs at `compression`, J; its slope is pl_shock_spring_force().
double pl_shock_spring_energy(const struct pl_shock_springs *springs, double compression);

/// Shock travel left from `compression` until the main spring binds, m; infinity if never.
double pl_travel_to_bind(const struct pl_shock_springs *springs, double compression);

/// Preload that a collar gives, m: `free_length - (perch_gap - collar)`. `perch_gap` is the
/// room for the spring at full extension with the collar all the way back; `collar` is how far
/// it is wound in. Below zero the spring is loose at full extension.
double pl_preload_from_collar(double free_length, double perch_gap, double collar);

/// How far the collar is wound in for a preload, m: what pl_preload_from_collar undoes.
double pl_collar_for_preload(double free_length, double perch_gap, double preload);

/// The preload at which the shock, compressed by `compression`, holds `wheel_force` N at the
/// wheel through `motion_ratio`, m. `gas_force` and the opposed spring are counted; `preload`
/// in `springs` is ignored. Negative when the spring must be loose at full extension; NaN when
/// gas alone holds more than the load.
double pl_preload_needed(const struct pl_shock_springs *springs, double compression,
                         double gas_force, double motion_ratio, double wheel_force);

// ------------------------------------------------------------------------------------ linkage

/// One corner's linkage in front view; hinge axes run along x. All points are measured in the
/// chassis frame in one and the same position of the suspension. The x of a point counts only
/// for the length of the shock. The shock points may be NaN (no shock: its figures are NaN).
struct pl_linkage {
  struct pl_point arm_inner;    ///< where the lower arm hinges on the chassis
  struct pl_point arm_outer;    ///< where it carries the upright
  struct pl_point wheel_centre; ///< rides on the upright
  struct pl_point shock_top;    ///< fixed to the chassis
  struct pl_point shock_bottom; ///< rides on the arm (on the axle, with `beam`)
  bool has_link;                ///< whether the next two points are given
  struct pl_point link_inner;   ///< camber link, on the chassis
  struct pl_point link_outer;   ///< camber link, on the upright
  bool beam; ///< solid axle: lower shock mount and wheel rise straight up together; the arm and
             ///< the link are not looked at
};

/// A position of a linkage and all its slopes. A slope is analytic, not a difference.
/// Camber is negative when the top of the wheel leans inboard.
struct pl_linkage_state {
  bool reached;                    ///< whether the position asked for can be taken up
  bool beam;                       ///< copied from the linkage
  double travel;                   ///< rise of the wheel centre above its measured position, m
  double arm_angle;                ///< turn of the arm from its measured position, outer end up
  struct pl_point wheel_centre;    ///< where it is now
  struct pl_point arm_outer;       ///< where it is now
  struct pl_point link_outer;      ///< where it is now; NaN without a link
  struct pl_point shock_bottom;    ///< where it is now
  double shock_length;             ///< mount to mount, in three dimensions, m
  double motion_ratio;             ///< -ds/dw: shock travel per wheel travel
  double motion_ratio_slope;       ///< its change per wheel travel, 1/m
  double shock_angle;              ///< shock to vertical in front view; positive: top inboard
  double camber_change;            ///< from the measured position, rad
  double camber_gain;              ///< change of camber per wheel travel, rad/m
  double scrub;                    ///< dy/dz of the wheel centre: outboard per rise
  bool instant_centre_at_infinity; ///< arm and link are parallel, or there is no link
  struct pl_point instant_centre;  ///< of the upright against the chassis; NaN at infinity
};

/// Finds the position at which the wheel centre stands at height `z` in the chassis frame, on
/// the branch that leads there continuously from the measured position.
///
/// Without a link the upright moves without turning (closed form); with one, arm, upright, link
/// and chassis are a four-bar (circle against circle).
///
/// Returns true and fills `*state`. Returns false when the linkage locks or turns back first:
/// `state->travel` is then the travel at which it does, with the position there and slopes that
/// may not be finite. Returns false with NaN everywhere when the points make no linkage (a
/// zero-length arm, link or upright; NaN).
bool pl_linkage_at_height(const struct pl_linkage *linkage, double z,
                          struct pl_linkage_state *state);

/// The same for the position at which the shock is `length` m long: full droop at the shock's
/// greatest length, full bump at its least.
bool pl_linkage_at_shock_length(const struct pl_linkage *linkage, double length,
                                struct pl_linkage_state *state);

/// Height of the roll centre above the ground, m: where the line from the contact patch through
/// the instant centre meets the car's centre line (y = 0). The contact patch is `tyre_radius`
/// below the wheel centre. Computed as `y_c dy_c/dz_c` of the contact patch's path, which is
/// the same line and has no trouble with an instant centre at infinity (Milliken & Milliken,
/// Race Car Vehicle Dynamics, ch. 17). NaN for a beam: its roll centre is set by links not
/// described here.
double pl_roll_centre_height(const struct pl_linkage_state *state, double tyre_radius);

// ----------------------------------------------------------------------------- masses and ride

/// The masses on the four wheels, kg.
struct pl_corner_masses {
  double front_left;
  double front_right;
  double rear_left;
  double rear_right;
};

/// A piece of ballast.
struct pl_point_mass {
  double mass;    ///< kg
  double forward; ///< m ahead of the midpoint between the axles
  double left;    ///< m to the left of the centre line
};

/// How a car's mass is spread.
struct pl_mass_layout {
  double mass;        ///< of the car without ballast, kg
  double front_share; ///< 0 to 1, without ballast
  double left_share;  ///< 0 to 1, without ballast; the same on both axles
  double wheelbase;   ///< m; looked at only when there is ballast, like the tracks
  double front_track; ///< m
  double rear_track;  ///< m
};

/// The masses on the wheels of a car on level ground, without cross weight. A piece of ballast
/// is shared between the axles by the lever law along the wheelbase, and on each axle between
/// the wheels by the lever law across its track: both moments balance. A piece outside the
/// wheels lightens the far ones.
bool pl_corner_masses(const struct pl_mass_layout *layout, const struct pl_point_mass *ballast,
                      size_t count, struct pl_corner_masses *masses);

/// Wheel rate, N/m: `k MR^2 + F dMR/dw`, with k the stiffness of spring and gas along the
/// shock, F their force (Milliken & Milliken, Race Car Vehicle Dynamics, ch. 16).
double pl_wheel_rate(double stiffness, double motion_ratio, double force,
                     double motion_ratio_slope);

/// Rate of two springs in series (wheel and tyre), N/m: `a b/(a + b)`; infinity is rigid.
double pl_series_rate(double a, double b);

/// Undamped frequency, Hz: `sqrt(k/m)/(2 pi)`. For wheel hop k is wheel rate plus tyre rate.
double pl_natural_frequency(double stiffness, double mass);

/// Damping ratio at the wheel: `c MR^2/(2 sqrt(K m))`, K the wheel rate, m the sprung mass.
double pl_damping_ratio(double damping, double motion_ratio, double wheel_rate,
                        double sprung_mass);

// ------------------------------------------------------------------------------- bars and roll

/// Shear modulus and Young's modulus of spring steel taken where none is given, Pa.
#define PL_BAR_SHEAR_MODULUS  79.3e9
#define PL_BAR_YOUNGS_MODULUS 200.0e9

/// A U-shaped anti-roll bar of one round wire.
struct pl_bar {
  double wire;           ///< diameter, m
  double length;         ///< of the part that twists, m
  double lever;          ///< length of each arm, at right angles to it, m
  double ratio;          ///< travel of a bar's end per wheel travel
  double shear_modulus;  ///< Pa; NaN: PL_BAR_SHEAR_MODULUS
  double youngs_modulus; ///< Pa; NaN: PL_BAR_YOUNGS_MODULUS
};

/// Torsional stiffness of a round rod, N m/rad: `G J/l`, `J = pi d^4/32`.
double pl_torsion_stiffness(double shear_modulus, double diameter, double length);

/// Rate at one end of the bar when the ends move oppositely, N/m: `2 G J/(l a^2)` in series
/// with the bending of the lever, `F a^3/(3 E I)`.
double pl_bar_rate(const struct pl_bar *bar);

/// Roll rate that the bar adds to an axle, N m/rad: `pl_bar_rate() ratio^2 track^2/2`.
double pl_bar_roll_rate(const struct pl_bar *bar, double track);

/// Roll rate of an axle, N m/rad: `K t^2/2` plus that of its bar (0 for none).
double pl_axle_roll_rate(double mean_wheel_rate, double track, double bar_roll_rate);

/// Height of the sprung mass's centre of gravity above the roll axis, m.
double pl_roll_arm(double cg_height, double front_roll_centre, double rear_roll_centre,
                   double front_share);

/// Roll angle per lateral acceleration, rad per `gravity`: `m g h/(K - m g h)`, h the roll arm,
/// K both axles' roll rate (Barton & Fieldhouse, Automotive Chassis Engineering, 2018, p. 174).
/// NaN when K does not exceed m g h: the car falls over.
double pl_roll_gradient(double roll_rate, double sprung_mass, double roll_arm, double gravity);

/// What one axle brings to a car in a turn.
struct pl_roll_axle {
  double roll_rate;          ///< N m/rad
  double track;              ///< m
  double roll_centre_height; ///< m
  double sprung_mass;        ///< on this axle, kg
  double unsprung_mass;      ///< of both wheels, kg; 0 leaves it out
  double unsprung_height;    ///< of its centre of gravity, m; looked at only with a mass
};

/// Load that moves from the inner to the outer wheel of an axle, N.
struct pl_load_transfer {
  double elastic;   ///< by springs and bars: the axle's share of the roll moment over the track
  double geometric; ///< straight through the roll centre
  double unsprung;  ///< of wheels and hubs themselves
  double total;
};

/// Load transfer of both axles at `acceleration` m/s2 sideways (Barton & Fieldhouse, p. 174).
/// The roll moment includes what the rolled centre of gravity adds. False when the car falls
/// over.
bool pl_load_transfer(const struct pl_roll_axle *front, const struct pl_roll_axle *rear,
                      double roll_arm, double acceleration, double gravity,
                      struct pl_load_transfer *front_transfer,
                      struct pl_load_transfer *rear_transfer);

// ---------------------------------------------------------------------------------------- oil

/// Most parts of a blend.
#define PL_OIL_PARTS 8

/// Temperature for which oils are named, K: 25 degC.
#define PL_OIL_NAMED_AT 298.15
/// Density of silicone oil at 25 degC taken where none is given, kg/m3 (suppliers' 965 to 975).
#define PL_OIL_DENSITY 970.0
/// Thermal expansion of silicone oil taken where none is given, 1/K (from memory).
#define PL_OIL_EXPANSION 9.6e-4

/// Which temperature law an oil follows.
enum pl_oil_kind { PL_OIL_SILICONE, PL_OIL_WALTHER };

/// One oil of a blend.
struct pl_oil_part {
  enum pl_oil_kind kind;
  double weight;           ///< its share, 0 to 1
  double a;                ///< silicone: viscosity, m2/s; Walther: A
  double b;                ///< silicone: the temperature it holds at, K; Walther: B
  double coldest, hottest; ///< span of the data behind it, K
};

/// Viscosity of an oil or blend against temperature. Build with a pl_oil_law_ function.
struct pl_oil_law {
  size_t count; ///< parts in use; 1 for an oil that is no blend
  struct pl_oil_part parts[PL_OIL_PARTS];
};

/// A measured viscosity.
struct pl_oil_point {
  double viscosity;   ///< kinematic, m2/s
  double temperature; ///< K
};

/// Kinematic viscosity of a silicone oil at `temperature`, given `viscosity` at `given_at`,
/// m2/s: `log10 nu = log10 nu0 + 763.1 (1/(273 + T) - 1/(273 + T0))`, T in degC (silicone-fluid
/// suppliers' literature; for 50 mm2/s and more, -25 to 250 degC, that span from memory).
/// Returns its own input at `given_at`. The law's 273 is kept, so the kelvin handed in lose
/// 0.15.
double pl_silicone_viscosity(double viscosity, double given_at, double temperature);

/// The law of a silicone oil known at one temperature. Its span is -25 to 250 degC.
bool pl_oil_law_silicone(double viscosity, double given_at, struct pl_oil_law *law);

/// The law of an oil known at two temperatures or more: ASTM D341,
/// `log10 log10(nu + 0.7) = A - B log10 T`, nu in mm2/s, T in K; through two points exactly,
/// by least squares through more. False for fewer than two, viscosities of 0.3 mm2/s or less, a
/// single temperature, or an oil that does not thin with heat.
bool pl_oil_law_fit(const struct pl_oil_point *points, size_t count, struct pl_oil_law *law);

/// The law of a blend by volume: `ln nu = sum x_i ln nu_i` at every temperature (the log rule
/// of Arrhenius; the petroleum rules, Refutas and ASTM D7152, give about 12 % less for 100 and
/// 1000 mm2/s in halves). Shares are 0 to 1 and must add to 1 within 1e-6; a part may itself be
/// a blend. False otherwise, or for more than PL_OIL_PARTS oils. `law` must not be one of
/// `laws`.
bool pl_oil_law_blend(const struct pl_oil_law *laws, const double *shares, size_t count,
                      struct pl_oil_law *law);

/// Kinematic viscosity of the oil at `temperature`, m2/s.
double pl_oil_viscosity(const struct pl_oil_law *law, double temperature);

/// How far `temperature` lies outside the data of the law, K; 0 inside.
double pl_oil_beyond_data(const struct pl_oil_law *law, double temperature);

/// Log rule for plain numbers: viscosity of a blend; `shares` as in pl_oil_law_blend().
double pl_blend_viscosity(const double *viscosities, const double *shares, size_t count);

/// Density at `temperature`, kg/m3: `rho25/(1 + beta (T - 25 degC))`.
double pl_oil_density(double density_at_25, double expansion, double temperature);

/// Dynamic viscosity, Pa s.
double pl_dynamic_viscosity(double kinematic_viscosity, double density);

// --------------------------------------------------------------------------- ports and pistons

/// Most port sets of a piston.
#define PL_PORT_SETS 16

/// The kinetic loss of a port in dynamic pressures; physics of the choice in pl_port_law().
#define PL_PORT_KINETIC_FACTOR 1.8

/// Which way a set of ports lets oil pass. Compression: shaft moving into the body.
enum pl_flow_way { PL_FLOW_BOTH, PL_FLOW_COMPRESSION, PL_FLOW_REBOUND };

/// A set of like ports.
struct pl_port_set {
  double count;               ///< how many; 0 is allowed and carries nothing
  double diameter_cap_side;   ///< at the face toward the body's cap, m
  double diameter_shaft_side; ///< at the face toward the shaft, m; equal: a straight port
  enum pl_flow_way way;
  double opens_at; ///< Pa; a one-way set carries only above it, 0 for at once; not looked at
                   ///< for PL_FLOW_BOTH
};

/// A piston in its bore.
struct pl_piston {
  size_t set_count; ///< at most PL_PORT_SETS
  struct pl_port_set sets[PL_PORT_SETS];
  double thickness; ///< length of the ports, m
  double diameter;  ///< of the piston, m; NaN: no leak past it
  double bore;      ///< of the body, m
  double shaft;     ///< diameter, m; 0 is allowed
};

/// The oil at its temperature.
struct pl_fluid {
  double dynamic_viscosity; ///< Pa s
  double density;           ///< kg/m3
};

/// Pressure loss of one port: `dp = linear q + quadratic q^2`, q its flow in m3/s.
struct pl_port_law {
  double linear;    ///< Pa s/m3
  double quadratic; ///< Pa s2/m6
};

/// The law of one port of length `thickness`, where oil enters at diameter `inlet` and leaves
/// at `outlet` (equal: straight).
///
/// Linear part: Hagen-Poiseuille, `128 mu L/(pi d^4)`, along a taper
/// `128 mu L (d1^2 + d1 d2 + d2^2)/(3 pi d1^3 d2^3)`, plus the creeping end loss of Sampson,
/// `24 mu/d^3` (half at each end's own diameter), added as Dagan, Weinbaum & Pfeffer show for a
/// hole of finite length (J. Fluid Mech. 115, 1982, 505).
/// Quadratic part: `Kc rho/2 (4/(pi outlet^2))^2` with Kc = 1.8: between 2.24, the
/// Hagenbach-Boussinesq value of a developed jet, and 1.52, the long-orifice limit. With it the
/// discharge coefficient of ports with L/d 2 to 4 and Re 20 to 350 stays within 0.03 of
/// Lichtarowicz, Duggins & Markland (J. Mech. Eng. Sci. 7, 1965, 210). Both are NaN for
/// impossible numbers.
struct pl_port_law pl_port_law(double thickness, double inlet, double outlet,
                               const struct pl_fluid *fluid);

/// Pressure that drives `flow` m3/s through the port, Pa; odd in `flow`.
double pl_port_pressure(const struct pl_port_law *law, double flow);

/// Flow that `pressure` Pa drives through the port, m3/s; the inverse of pl_port_pressure().
double pl_port_flow(const struct pl_port_law *law, double pressure);

/// The area that pumps oil across the piston, m2: `pi/4 (bore^2 - shaft^2)`.
double pl_pumped_area(const struct pl_piston *piston);

/// Pressure across the piston at shaft speed `speed` m/s, Pa, to 1e-10 relative. Speed is
/// positive in compression; the pressure has the sign of the speed.
///
/// All paths see the same pressure; the flow that they pass together is what the piston pumps.
/// The leak between piston and bore is concentric, `pi d c^3 dp/(12 mu L) - pi d c v/2` with d
/// the piston's diameter and c the radial clearance, and the piston then displaces `pi/4 (d^2 -
/// shaft^2) v` (Massey, Mechanics of Fluids, on the dashpot). Infinite when no path carries oil
/// that way (hydraulic lock); NaN for an impossible piston or fluid.
double pl_piston_pressure(const struct pl_piston *piston, const struct pl_fluid *fluid,
                          double speed);

/// Damping force at `speed`, N: pressure times pumped area; positive resists compression.
double pl_piston_force(const struct pl_piston *piston, const struct pl_fluid *fluid,
                       double speed);

/// Damping at zero speed, N s/m: the slope of the force on the side of `compression` or of
/// rebound. A one-way set counts on its own side if it opens at 0. Infinite when nothing
/// carries oil at zero speed (every path of that side waits for a pressure).
double pl_piston_slow_damping(const struct pl_piston *piston, const struct pl_fluid *fluid,
                              bool compression);

/// Damping as the secant `F(v)/v`, N s/m; at exactly 0 the slow damping in compression.
double pl_piston_damping(const struct pl_piston *piston, const struct pl_fluid *fluid,
                         double speed);

/// Shaft speed in compression at which the kinetic part of the pressure equals the viscous
/// part, m/s. For a network it is the lowest speed at which, over all paths together, the power
/// lost kinetically equals the power lost viscously (ends and leak are viscous; a pressure that
/// a valve needs to lift is neither); for like ports that is the plain meaning. Infinite if it
/// never does.
double pl_pack_speed(const struct pl_piston *piston, const struct pl_fluid *fluid);

/// Shaft speed in compression at which the pressure across the piston reaches
/// `absolute_pressure` (that in the body, Pa), so that the rod side falls to zero, m/s. Beyond
/// it the model overstates compression damping. Zero when no path opens below that pressure.
double pl_cavitation_speed(const struct pl_piston *piston, const struct pl_fluid *fluid,
                           double absolute_pressure);

/// What goes on in one port of a set.
struct pl_port_state {
  double flow;       ///< m3/s, not signed; 0 when closed
  double mean_speed; ///< at the narrowest diameter, m/s
  double reynolds;   ///< by mean speed at the narrowest diameter
  double shear_rate; ///< of a Newtonian oil at the wall, `8 u/d`, 1/s
  double viscous;    ///< part of the pressure lost viscously, ends included, Pa
  double kinetic;    ///< part lost kinetically, Pa
};

/// State of a port of set number `set` under `pressure` (signed as pl_piston_pressure()).
bool pl_port_state(const struct pl_piston *piston, size_t set, const struct pl_fluid *fluid,
                   double pressure, struct pl_port_state *state);

// ------------------------------------------------------------------------------ gas and
// volumes

/// Gas trapped behind the bladder or in the emulsion.
struct pl_gas_chamber {
  double ambient;  ///< absolute pressure outside, Pa
  double charge;   ///< gauge pressure at full extension, Pa; 0 for none
  double volume;   ///< at full extension, m3
  double shaft;    ///< diameter, m
  double exponent; ///< 1 for slow, 1.4 for fast changes of an ideal gas
};

/// Absolute pressure of the gas at `compression` m, Pa: `(ambient + charge) (V0/(V0 - Ar
/// c))^n`. Infinite once the shaft has taken all the volume (hydraulic lock).
double pl_gas_pressure(const struct pl_gas_chamber *gas, double compression);

/// Force of the gas on the shaft, pushing it out, N: `(p - ambient) Ar`.
double pl_gas_force(const struct pl_gas_chamber *gas, double compression);

/// Its slope, N/m: `n p Ar^2/(V0 - Ar c)`.
double pl_gas_rate(const struct pl_gas_chamber *gas, double compression);

/// Air's share of the volume of an emulsion.
double pl_air_fraction(double air_volume, double oil_volume);

/// Dynamic viscosity of an emulsion, `mu (1 + phi)` (Taylor 1932, bubbles); past 0.2 unsure.
double pl_emulsion_viscosity(double dynamic_viscosity, double air_fraction);

/// Density of an emulsion, `rho (1 - phi)`.
double pl_emulsion_density(double density, double air_fraction);

/// Volume that the shaft takes over `stroke`, m3.
double pl_shaft_displacement(double shaft, double stroke);

/// Growth of `oil_volume` from `build` to `hot` temperature (K), m3.
double pl_oil_expansion(double oil_volume, double expansion, double build, double hot);

/// What is left of the air chamber, m3; below zero the shock locks before its stroke ends.
double pl_bladder_margin(double air_volume, double shaft_displacement, double oil_expansion);

// -------------------------------------------------------------------------------------- seals

/// A span of recommended values, both ends included.
struct pl_band {
  double least;
  double greatest;
};

/// An O-ring.
struct pl_ring {
  double inside;  ///< diameter, m
  double section; ///< diameter, m
};

/// Size of an O-ring by its AS568/ISO 3601-1 number, 4 to 22 (the small 1.78 mm section).
bool pl_ring_by_number(unsigned number, struct pl_ring *ring);

/// Radial depth of a rod gland, m: half of `gland_outside - shaft`.
double pl_gland_depth(double gland_outside, double shaft);

/// Share by which the gland flattens the ring: `(section - depth)/section`; negative: loose.
double pl_seal_squeeze(double section, double gland_depth);

/// Share by which the shaft stretches the ring: `shaft/inside - 1`; negative: loose on it.
double pl_seal_stretch(double ring_inside, double shaft);

/// Share of the gland that `rings` rings fill; `gland_width` is along the shaft, free of
/// spacers.
double pl_gland_fill(double section, double rings, double gland_depth, double gland_width);

/// Radial gap on the low-pressure side, m: half of `hole - shaft`.
double pl_extrusion_gap(double hole, double shaft);

/// Recommended squeeze of a dynamic rod seal: 12 to 18 %, to 25 % for sections to 1.78 mm.
struct pl_band pl_seal_squeeze_band(double section);

/// Recommended stretch of a ring: 0 to 5 % (seal handbooks, from memory).
struct pl_band pl_seal_stretch_band(void);

/// Recommended gland fill: at most 85 % (seal handbooks).
struct pl_band pl_gland_fill_band(void);

// -------------------------------------------------------------------------------------- shaft

/// Bushing overlap at full extension, m: the hardware's plus the limiter.
double pl_bushing_overlap(double hardware_overlap, double limiter);

/// Second moment of area of a round rod, m4: `pi d^4/64`.
double pl_round_second_moment(double diameter);

/// Euler's load of a column with pinned ends, N: `pi^2 E I/l^2`.
double pl_euler_load(double youngs_modulus, double second_moment, double length);

/// Least length at which Euler's formula holds, m: where its stress is `limit` Pa,
/// `pi r sqrt(E/limit)`, r the radius of gyration (Popov, Engineering Mechanics of
/// Solids, Example 11.2).
double pl_euler_least_length(double youngs_modulus, double limit, double radius_of_gyration);

/// Johnson's load of a short round column with pinned ends, N:
/// `A Sy (1 - Sy (l/r)^2/(4 pi^2 E))` (Shigley, 10th ed., section 4-13, from memory).
double pl_johnson_load(double youngs_modulus, double yield, double diameter, double length);

/// Buckling load of a round shaft with pinned ends, N: Euler where the shaft is slender,
/// Johnson below the slenderness `pi sqrt(2 E/Sy)` where the two meet. `yield` NaN: Euler
/// throughout.
double pl_buckling_load(double youngs_modulus, double yield, double diameter, double length);

// -------------------------------------------------------------------------------------- gears

/// Motor turns per wheel turn: `spur/pinion internal_ratio`.
double pl_final_drive(double spur, double pinion, double internal_ratio);

/// Way per motor turn, m: `2 pi r/final_drive`.
double pl_rollout(double tyre_radius, double final_drive);

#endif
