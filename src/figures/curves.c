// SPDX-License-Identifier: GPL-3.0-or-later
// Curves: what a figure is over a whole range, and the points on it that have a name.
#include "room.h"

#include <math.h>
#include <string.h>

/// How a curve is made: asks for its assemblies and fills the points; false if one is missing.
typedef bool curve_function(struct work *work, struct pl_curve *curve);

static curve_function damper_force, damping_temperature, wheel_force, motion_ratio_curve,
    camber_curve, spring_force_curve, over_time;

const struct pl_curve_row pl_curve_rows[PL_CURVE_COUNT] = {
    {"damper-force", "Damper force", "shaft speed", "mm/s", "force", "N",
     "force of the shock against the speed of its shaft; compression is positive"},
    {"damping-temperature", "Damping ratio", "oil temperature", "degC", "damping ratio, slow",
     "", "damping ratio at rest against the temperature of the oil"},
    {"wheel-force", "Wheel force", "wheel travel", "mm", "force", "N",
     "vertical force of the suspension at the wheel against its travel from ride height"},
    {"motion-ratio", "Motion ratio", "wheel travel", "mm", "motion ratio", "",
     "shock travel per wheel travel, against the wheel's travel from ride height"},
    {"camber", "Camber", "wheel travel", "mm", "camber", "deg",
     "camber against the wheel's travel from ride height; from the declared camber if there is "
     "one, else from zero"},
    {"spring-force", "Spring force", "deflection", "mm", "force", "N",
     "force of the spring against its deflection"},
    {"drop-height", "Height after a drop", "time from the touch", "ms", "chassis height", "mm",
     "height of the chassis over time after a drop (`pitleaf drop`), from the tyre's touch"},
    {"drop-speed", "Shaft speed after a drop", "time from the touch", "ms", "shaft speed",
     "mm/s", "speed of the shaft over time after a drop; compression is positive"},
    {"drop-force", "Tyre force after a drop", "time from the touch", "ms", "tyre force", "N",
     "force of the ground on the tyre over time after a drop"},
    {"bump-height", "Height over a bump", "time", "ms", "chassis height", "mm",
     "height of the chassis over time from where the tyre meets a bump (`pitleaf bump`)"},
    {"bump-speed", "Shaft speed over a bump", "time", "ms", "shaft speed", "mm/s",
     "speed of the shaft over time from where the tyre meets a bump; compression is positive"},
    {"bump-force", "Tyre force over a bump", "time", "ms", "tyre force", "N",
     "force of the road on the tyre over time from where the tyre meets a bump"},
};

static curve_function *const makers[PL_CURVE_COUNT] = {
    damper_force, damping_temperature, wheel_force, motion_ratio_curve,
    camber_curve, spring_force_curve,  over_time,   over_time,
    over_time,    over_time,           over_time,   over_time};

enum pl_curve_kind pl_curve_of(const char *key) {
  for (int i = 0; i < PL_CURVE_COUNT; i++) {
    if (strcmp(pl_curve_rows[i].key, key) == 0) return (enum pl_curve_kind)i;
  }
  return PL_CURVE_COUNT;
}

// ---------------------------------------------------------------- filling

/// Enough that a plot 80 mm wide shows no corners.
#define POINTS 121

static void add_point(struct pl_curve *curve, double x, double y) {
  if (!isfinite(y)) return;
  curve->points[curve->count++] = (struct pl_curve_point){x, y};
}

static void add_mark(struct pl_curve *curve, double x, double y, const char *name) {
  if (!isfinite(x) || !isfinite(y) || curve->mark_count == PL_CURVE_MARKS) return;
  curve->marks[curve->mark_count++] = (struct pl_curve_mark){x, y, name};
}

/// The sample at `i` of POINTS between two ends.
static double between(double least, double greatest, int i) {
  return least + (greatest - least) * i / (POINTS - 1);
}

// ---------------------------------------------------------------- damper

static bool damper_force(struct work *work, struct pl_curve *curve) {
  const struct corner *const piston = with(work, ASSEMBLY_PISTON);
  const struct corner *const fluid = with(work, ASSEMBLY_FLUID);
  const double fast = need(work, PL_SETTING_FAST_SPEED);
  if (piston == NULL || fluid == NULL || isnan(fast)) return false;
  for (int i = 0; i < POINTS; i++) {
    const double speed = between(-fast, fast, i);
    add_point(curve, speed, pl_piston_force(&piston->piston, &fluid->fluid, speed));
  }
  const double cavitation = figure(work, PL_FIGURE_CAVITATION_SPEED);
  if (cavitation < fast)
    add_mark(curve, cavitation, pl_piston_force(&piston->piston, &fluid->fluid, cavitation),
             "cavitation");
  return true;
}

/// Coldest and hottest that the curve shows at the least, K.
static const double coldest = PL_ZERO_CELSIUS - 5;
static const double hottest = PL_ZERO_CELSIUS + 60;

/// The corner that the damping ratio is worked out for; `fluid` of it is today's.
struct damped {
  const struct corner *corner;
  double today; ///< K
  double motion_ratio;
  double wheel_rate;
  double sprung_mass;
};

/// Dynamic viscosity of the oil alone, without the bubbles of an emulsion.
static double oil_at(const struct corner *corner, double temperature) {
  const double density =
      pl_oil_density(corner->oil_density, corner->oil_expansion, temperature);
  return pl_dynamic_viscosity(pl_oil_viscosity(&corner->oil, temperature), density);
}

static double ratio_at(const struct damped *damped, double temperature) {
  const struct corner *const corner = damped->corner;
  // Bubbles thicken the oil by the same factor at any temperature: today's fluid has it.
  struct pl_fluid fluid = corner->fluid;
  fluid.dynamic_viscosity *= oil_at(corner, temperature) / oil_at(corner, damped->today);
  const double damping = (pl_piston_slow_damping(&corner->piston, &fluid, true) +
                          pl_piston_slow_damping(&corner->piston, &fluid, false)) /
                         2;
  return pl_damping_ratio(damping, damped->motion_ratio, damped->wheel_rate,
                          damped->sprung_mass);
}

static bool damping_temperature(struct work *work, struct pl_curve *curve) {
  struct damped damped = {.corner = with_damper(work)};
  damped.motion_ratio = figure(work, PL_FIGURE_MOTION_RATIO);
  damped.wheel_rate = figure(work, PL_FIGURE_WHEEL_RATE);
  damped.sprung_mass = figure(work, PL_FIGURE_SPRUNG_MASS);
  damped.today = figure(work, PL_FIGURE_SHOCK_TEMPERATURE);
  if (damped.corner == NULL || isnan(damped.wheel_rate) || isnan(damped.sprung_mass))
    return false;
  // A shock hotter or colder than the usual span still has today on its curve.
  const double least = fmin(coldest, damped.today);
  const double greatest = fmax(hottest, damped.today);
  for (int i = 0; i < POINTS; i++) {
    const double temperature = between(least, greatest, i);
    add_point(curve, temperature, ratio_at(&damped, temperature));
  }
  add_mark(curve, damped.today, ratio_at(&damped, damped.today), "today");
  return true;
}

// ---------------------------------------------------------------- wheel travel

/// The positions of a corner from full droop to full bump.
struct stroke {
  const struct corner *corner;
  double droop; ///< wheel travel from ride height, m; negative
  double bump;
};

static bool stroke_of(struct work *work, struct stroke *stroke) {
  stroke->corner = with(work, ASSEMBLY_AT_RIDE);
  stroke->droop = -figure(work, PL_FIGURE_DROOP_TRAVEL);
  stroke->bump = figure(work, PL_FIGURE_BUMP_TRAVEL);
  return stroke->corner != NULL && isfinite(stroke->droop) && isfinite(stroke->bump);
}

/// Position at a wheel travel from ride height.
static bool position_at(const struct stroke *stroke, double travel,
                        struct pl_linkage_state *state) {
  const double height = stroke->corner->at_ride.wheel_centre.z + travel;
  return pl_linkage_at_height(&stroke->corner->linkage, height, state);
}

/// What is plotted at a position.
typedef double position_function(const struct pl_linkage_state *state, const void *context);

static void along_stroke(struct pl_curve *curve, const struct stroke *stroke,
                         position_function *value, const void *context) {
  struct pl_linkage_state state;
  for (int i = 0; i < POINTS; i++) {
    const double travel = between(stroke->droop, stroke->bump, i);
    if (position_at(stroke, travel, &state)) add_point(curve, travel, value(&state, context));
  }
  const struct {
    double travel;
    const char *name;
  } named[] = {{stroke->droop, "full droop"}, {0, "ride height"}, {stroke->bump, "full bump"}};
  for (size_t i = 0; i < sizeof named / sizeof named[0]; i++) {
    if (position_at(stroke, named[i].travel, &state))
      add_mark(curve, named[i].travel, value(&state, context), named[i].name);
  }
}

static double ratio_of_position(const struct pl_linkage_state *state, const void *context) {
  (void)context;
  return state->motion_ratio;
}

static bool motion_ratio_curve(struct work *work, struct pl_curve *curve) {
  struct stroke stroke;
  if (!stroke_of(work, &stroke)) return false;
  along_stroke(curve, &stroke, ratio_of_position, NULL);
  return true;
}

/// Camber at ride height, so that the curve goes through what is declared.
struct camber {
  double declared;
  double drawn; ///< change of camber at ride height from the drawn position
};

static double camber_of_position(const struct pl_linkage_state *state, const void *context) {
  const struct camber *const camber = context;
  return camber->declared + state->camber_change - camber->drawn;
}

static bool camber_curve(struct work *work, struct pl_curve *curve) {
  struct stroke stroke;
  const double gain = figure(work, PL_FIGURE_CAMBER_GAIN); // asks for the link
  if (!stroke_of(work, &stroke) || isnan(gain)) return false;
  const double declared = optional(work, PL_SETTING_CAMBER);
  const struct camber camber = {isnan(declared) ? 0 : declared,
                                stroke.corner->at_ride.camber_change};
  along_stroke(curve, &stroke, camber_of_position, &camber);
  return true;
}

/// What pushes at a position.
struct push {
  const struct corner *corner;
  struct pl_shock_springs springs;
  double longest;
};

static double force_of_position(const struct pl_linkage_state *state, const void *context) {
  const struct push *const push = context;
  const double compression = push->longest - state->shock_length;
  const double gas = push->corner->has_gas ? pl_gas_force(&push->corner->gas, compression) : 0;
  return (pl_shock_spring_force(&push->springs, compression) + gas) * state->motion_ratio;
}

static bool wheel_force(struct work *work, struct pl_curve *curve) {
  struct stroke stroke;
  const struct corner *const springs = with_springs(work);
  const struct corner *const gas = with(work, ASSEMBLY_GAS);
  const double preload = preload_of(work);
  const double length = figure(work, PL_FIGURE_SHOCK_LENGTH);
  const double compression = figure(work, PL_FIGURE_SHOCK_COMPRESSION);
  if (!stroke_of(work, &stroke) || springs == NULL || gas == NULL || isnan(preload))
    return false;
  const struct push push = {gas, springs_of(springs, preload), length + compression};
  along_stroke(curve, &stroke, force_of_position, &push);
  return true;
}

// ---------------------------------------------------------------- spring

static bool spring_force_curve(struct work *work, struct pl_curve *curve) {
  const struct corner *const corner = with(work, ASSEMBLY_SPRING);
  if (corner == NULL) return false;
  const double preload = preload_of(work);
  const double stroke = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE);
  const double bind = pl_spring_bind(&corner->spring);
  double end = isfinite(preload + stroke) ? preload + stroke : 20e-3;
  if (isfinite(bind) && bind < end) end = bind;
  for (int i = 0; i < POINTS; i++) {
    const double deflection = between(0, end, i);
    add_point(curve, deflection, pl_spring_force(&corner->spring, deflection));
  }
  if (preload >= 0) // a loose spring does not touch there
    add_mark(curve, preload, pl_spring_force(&corner->spring, preload), "full extension");
  const double ride = figure(work, PL_FIGURE_SPRING_DEFLECTION);
  if (ride >= 0) add_mark(curve, ride, pl_spring_force(&corner->spring, ride), "ride height");
  if (isfinite(bind) && bind <= end)
    add_mark(curve, bind, pl_spring_force(&corner->spring, bind), "coils touch");
  return true;
}

// ---------------------------------------------------------------- over time

/// Between two points of a curve over time, s, and most of them: most simulations have a second
/// or two, and of others the rest is left out.
#define INSTANT  1e-3
#define INSTANTS 3000

/// What a simulation needs and lacks, the curve does, too.
static void take_reasons(struct work *work, const struct pl_simulated *simulated) {
  for (size_t i = 0; i < simulated->need_count; i++) lacks(work, simulated->needs[i]);
  if (simulated->reason != NULL) note(work, simulated->reason);
  for (size_t i = 0; i < simulated->note_count; i++) note(work, simulated->notes[i]);
}

/// How long a simulation is shown that does not settle, behind its last bump, s.
#define UNSETTLED 2.0

/// When the part of a simulation ends that a curve shows, s.
static double end_of_curve(const struct pl_simulation *simulation,
                           const struct pl_simulated *simulated) {
  const double settled = simulated->values[PL_RESULT_SETTLE_TIME];
  if (isfinite(settled)) return simulated->touch + 1.15 * settled + 0.02;
  return simulated->touch + pl_simulation_section(simulation, 0) + UNSETTLED;
}

/// The extreme of a curve at one of its points: between the points it is a little farther, as
/// far as the simulation's result says. When it is there, the parabola through the neighbours
/// tells.
static void sharpen(struct pl_curve *curve, size_t at, double value) {
  struct pl_curve_point *const point = &curve->points[at];
  if (at > 0 && at + 1 < curve->count) {
    const double before = point[-1].y - point->y;
    const double behind = point[1].y - point->y;
    const double bend = before + behind;
    if (bend != 0) point->x += 0.5 * INSTANT * (before - behind) / bend;
  }
  point->y = value;
}

/// What the curves over time show, what the simulation tells of the end that gets a mark, and
/// what that end is called.
static const struct {
  bool is_bump;
  enum pl_trace trace;
  enum pl_result result;
  const char *extreme;
} traces[PL_CURVE_COUNT] = {
    [PL_CURVE_DROP_HEIGHT] = {false, PL_TRACE_CHASSIS, PL_RESULT_CHASSIS_LOWEST, "lowest"},
    [PL_CURVE_DROP_SPEED] = {false, PL_TRACE_SPEED, PL_RESULT_SHAFT_IN, "greatest"},
    [PL_CURVE_DROP_FORCE] = {false, PL_TRACE_TYRE_FORCE, PL_RESULT_TYRE_FORCE, "greatest"},
    [PL_CURVE_BUMP_HEIGHT] = {true, PL_TRACE_CHASSIS, PL_RESULT_CHASSIS_LOWEST, "lowest"},
    [PL_CURVE_BUMP_SPEED] = {true, PL_TRACE_SPEED, PL_RESULT_SHAFT_IN, "greatest"},
    [PL_CURVE_BUMP_FORCE] = {true, PL_TRACE_TYRE_FORCE, PL_RESULT_TYRE_FORCE, "greatest"},
};

/// The points of a trace from the touch to `end`. Gives the extreme's.
static size_t add_trace(struct pl_curve *curve, const struct pl_simulated *simulated,
                        double end) {
  const enum pl_trace trace = traces[curve->kind].trace;
  const double sign = trace == PL_TRACE_CHASSIS ? -1 : 1;
  size_t extreme = 0;
  for (size_t i = 0; i < simulated->moment_count && curve->count < INSTANTS; i++) {
    const double *const of = simulated->moments[i].of;
    const double time = of[PL_TRACE_TIME] - simulated->touch;
    if (time < 0 || of[PL_TRACE_TIME] > end) continue;
    add_point(curve, time, of[trace]);
    if (sign * of[trace] > sign * curve->points[extreme].y) extreme = curve->count - 1;
  }
  return extreme;
}

/// A trace from the touch until it has settled, with its greatest value, or its least, named.
static bool over_time(struct work *work, struct pl_curve *curve) {
  const bool bump = traces[curve->kind].is_bump;
  struct pl_figures *const figures = work->figures;
  const struct pl_simulation *const drop =
      figures->drop == NULL ? &pl_usual_drop : figures->drop;
  const struct pl_simulation *const bumps =
      figures->bump == NULL ? &pl_usual_bump : figures->bump;
  const struct pl_simulated *const simulated =
      pl_simulate(figures, bump ? bumps : drop, INSTANT, true, work->place);
  curve->simulation = bump ? bumps : drop;
  take_reasons(work, simulated);
  if (!simulated->present || simulated->moment_count == 0) return false;
  curve->points = pl_alloc_array(figures->arena, INSTANTS, sizeof *curve->points);
  const double end = end_of_curve(curve->simulation, simulated);
  const size_t extreme = add_trace(curve, simulated, end);
  if (curve->count == 0) return false;
  const double last = simulated->moments[simulated->moment_count - 1].of[PL_TRACE_TIME];
  const double shown = curve->points[curve->count - 1].x;
  const bool whole = fmin(last, end) - simulated->touch - shown < 2 * INSTANT;
  if (whole) sharpen(curve, extreme, simulated->values[traces[curve->kind].result]);
  // Of what has settled nothing is left out but rest.
  if (!whole || isinf(simulated->values[PL_RESULT_SETTLE_TIME])) curve->shown = shown;
  add_mark(curve, curve->points[extreme].x, curve->points[extreme].y,
           traces[curve->kind].extreme);
  return true;
}

// ---------------------------------------------------------------- the whole

const struct pl_curve *pl_curve_make(struct pl_figures *figures, enum pl_curve_kind kind,
                                     enum pl_place place) {
  struct pl_curve *const curve = pl_alloc(figures->arena, sizeof *curve);
  struct cell *const cell = pl_alloc(figures->arena, sizeof *cell);
  curve->kind = kind;
  curve->points = pl_alloc_array(figures->arena, POINTS, sizeof *curve->points);
  struct work work = {.figures = figures, .place = place, .cell = cell};
  if (!makers[kind](&work, curve)) curve->count = curve->mark_count = 0;
  curve->needs = cell->value.needs;
  curve->need_count = curve->count > 0 ? 0 : cell->value.need_count;
  curve->notes = cell->value.notes;
  curve->note_count = curve->count > 0 ? 0 : cell->value.note_count;
  return curve;
}
