// SPDX-License-Identifier: GPL-3.0-or-later
// Ride: masses, rates, frequencies, and the height at which the car stands.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- masses

/// Pieces of ballast being gathered.
struct ballast_list {
  struct work *work;
  struct pl_point_mass *masses;
  size_t count;
  size_t capacity;
  bool lacks; ///< a piece whose mass or place nobody declared
};

/// Where a value was last touched, behind it.
static const char *value_and_place(struct pl_arena *arena, const struct pl_resolved *resolved) {
  const char *const value = pl_value_text(arena, &resolved->value);
  if (resolved->touch_count == 0) return value;
  const struct pl_span span = resolved->touches[resolved->touch_count - 1].span;
  return pl_format(arena, "%s (%s)", value, pl_span_place(arena, span));
}

static void detail_ballast(struct work *work, const struct pl_ballast *piece) {
  if (!explains(work)) return;
  struct pl_arena *const arena = work->figures->arena;
  detail(work,
         pl_format(arena, "ballast \"%s\": %s at %s", piece->name,
                   value_and_place(arena, &piece->mass), value_and_place(arena, &piece->at)));
}

/// Is the piece's mass, or its place, not declared? Then the figure lacks it.
static bool piece_lacks(struct work *work, const struct pl_resolved *said,
                        enum pl_value_kind wanted, const char *key) {
  if (said->value.kind == wanted) return false;
  lacks(work, key);
  return true;
}

/// Adds the setup's pieces: those of that name, or all others.
static void add_ballast(struct ballast_list *list, const struct pl_setup *setup,
                        const char *name, bool of_that_name) {
  size_t declared = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &declared);
  for (size_t i = 0; i < declared; i++) {
    const bool named = name != NULL && strcmp(pieces[i].name, name) == 0;
    if (named != of_that_name) continue;
    const bool no_mass =
        piece_lacks(list->work, &pieces[i].mass, PL_VALUE_NUMBER, "ballast.mass");
    const bool no_place = piece_lacks(list->work, &pieces[i].at, PL_VALUE_POINT, "ballast.at");
    list->lacks = list->lacks || no_mass || no_place;
    if (no_mass || no_place) continue;
    list->masses = pl_grow(list->work->figures->arena, list->masses, list->count,
                           &list->capacity, sizeof *list->masses);
    detail_ballast(list->work, &pieces[i]);
    list->masses[list->count++] = (struct pl_point_mass){.mass = pieces[i].mass.value.number,
                                                         .forward = pieces[i].at.value.x,
                                                         .left = pieces[i].at.value.y};
  }
}

static struct ballast_list ballast_of(struct work *work) {
  struct ballast_list list = {.work = work};
  const struct pl_figures *const figures = work->figures;
  add_ballast(&list, figures->setup, figures->changed_ballast, false);
  if (figures->changed_ballast != NULL)
    add_ballast(&list, figures->other, figures->changed_ballast, true);
  return list;
}

static void detail_mass(struct work *work, const struct pl_ballast *piece) {
  if (!explains(work)) return;
  struct pl_arena *const arena = work->figures->arena;
  detail(work, pl_format(arena, "ballast \"%s\": %s", piece->name,
                         value_and_place(arena, &piece->mass)));
}

/// The mass of the pieces of that name, or of all others; NaN where one is not declared.
static double mass_of_pieces(struct work *work, const struct pl_setup *setup, const char *name,
                             bool of_that_name) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  double mass = 0;
  for (size_t i = 0; i < count; i++) {
    const bool named = name != NULL && strcmp(pieces[i].name, name) == 0;
    if (named != of_that_name) continue;
    if (!piece_lacks(work, &pieces[i].mass, PL_VALUE_NUMBER, "ballast.mass")) {
      detail_mass(work, &pieces[i]);
      mass += pieces[i].mass.value.number;
    } else {
      mass = NAN;
    }
  }
  return mass;
}

double total_mass(struct work *work) {
  const struct pl_figures *const figures = work->figures;
  double mass = need(work, PL_SETTING_MASS);
  mass += mass_of_pieces(work, figures->setup, figures->changed_ballast, false);
  if (figures->changed_ballast != NULL)
    mass += mass_of_pieces(work, figures->other, figures->changed_ballast, true);
  return mass;
}

static double of_corner(const struct pl_corner_masses *masses, enum pl_place place) {
  switch (place) {
  case PL_FRONT_LEFT: return masses->front_left;
  case PL_FRONT_RIGHT: return masses->front_right;
  case PL_REAR_LEFT: return masses->rear_left;
  default: return masses->rear_right;
  }
}

double corner_mass(struct work *work) {
  const double scale = optional(work, PL_SETTING_CORNER_MASS);
  if (!isnan(scale)) return scale;
  const struct ballast_list ballast = ballast_of(work);
  struct pl_mass_layout layout = {.mass = need(work, PL_SETTING_MASS)};
  layout.front_share = need(work, PL_SETTING_FRONT_SHARE);
  layout.left_share = need(work, PL_SETTING_LEFT_SHARE);
  if (ballast.count > 0) {
    layout.wheelbase = need(work, PL_SETTING_WHEELBASE);
    layout.front_track = need_at(work, PL_SETTING_TRACK, PL_FRONT);
    layout.rear_track = need_at(work, PL_SETTING_TRACK, PL_REAR);
  }
  struct pl_corner_masses masses;
  if (ballast.lacks) return NAN;
  if (!pl_corner_masses(&layout, ballast.masses, ballast.count, &masses)) return NAN;
  return of_corner(&masses, work->place);
}

double sprung_mass(struct work *work) {
  const double mass = figure(work, PL_FIGURE_CORNER_MASS);
  const double sprung = mass - need(work, PL_SETTING_UNSPRUNG_MASS);
  return explained(work, sprung > 0 ? sprung : NAN, PL_SETTING_UNSPRUNG_MASS,
                   "the unsprung mass leaves none of the corner's mass to its spring");
}

/// Sums of a figure over all corners, and over the front ones.
static double sum_of(struct work *work, enum pl_figure wanted, double *front) {
  double all = 0;
  *front = 0;
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    const double value = figure_at(work, wanted, (enum pl_place)place);
    all += value;
    if (place <= PL_FRONT_RIGHT) *front += value;
  }
  return all;
}

double front_mass_share(struct work *work) {
  double front = 0;
  const double all = sum_of(work, PL_FIGURE_CORNER_MASS, &front);
  return front / all;
}

/// The scales alone can tell it: shares of the mass give a car without cross weight.
double cross_weight(struct work *work) {
  const double front_left = need_at(work, PL_SETTING_CORNER_MASS, PL_FRONT_LEFT);
  const double front_right = need_at(work, PL_SETTING_CORNER_MASS, PL_FRONT_RIGHT);
  const double rear_left = need_at(work, PL_SETTING_CORNER_MASS, PL_REAR_LEFT);
  const double rear_right = need_at(work, PL_SETTING_CORNER_MASS, PL_REAR_RIGHT);
  return (front_left + rear_right) / (front_left + front_right + rear_left + rear_right);
}

// ---------------------------------------------------------------- rates and frequencies

/// Of the spring on the shock; what hangs loose at ride height holds nothing.
static double touching_rate(struct work *work) {
  const double rate = figure(work, PL_FIGURE_SPRING_RATE);
  return figure(work, PL_FIGURE_SPRING_DEFLECTION) < 0 ? 0 : rate;
}

double wheel_rate(struct work *work) {
  const double rate = touching_rate(work);
  const double force = figure(work, PL_FIGURE_SPRING_FORCE);
  const double opposed = opposed_stiffness(work);
  const double air_rate = figure(work, PL_FIGURE_GAS_RATE);
  const double air_force = figure(work, PL_FIGURE_GAS_FORCE);
  const double ratio = figure(work, PL_FIGURE_MOTION_RATIO);
  const double slope = figure(work, PL_FIGURE_MOTION_RATIO_SLOPE);
  const double all = pl_wheel_rate(rate + opposed + air_rate, ratio, force + air_force, slope);
  if (all <= 0)
    warn(work, PL_SETTING_SPRING,
         "the wheel rate is not above zero: the car has no rest there");
  return all;
}

double ride_rate(struct work *work) {
  const double wheel = figure(work, PL_FIGURE_WHEEL_RATE);
  const double tyre = optional(work, PL_SETTING_TYRE_RATE);
  return isnan(tyre) ? wheel : pl_series_rate(wheel, tyre);
}

double ride_frequency(struct work *work) {
  const double rate = figure(work, PL_FIGURE_RIDE_RATE);
  return pl_natural_frequency(rate, figure(work, PL_FIGURE_SPRUNG_MASS));
}

double hop_frequency(struct work *work) {
  const double wheel = figure(work, PL_FIGURE_WHEEL_RATE);
  const double tyre = need(work, PL_SETTING_TYRE_RATE);
  return pl_natural_frequency(wheel + tyre, need(work, PL_SETTING_UNSPRUNG_MASS));
}

double frequency_ratio(struct work *work) {
  double front = 0;
  const double all = sum_of(work, PL_FIGURE_RIDE_FREQUENCY, &front);
  return (all - front) / front;
}

// ---------------------------------------------------------------- the balance

static double load_of(struct work *work) {
  const double mass = figure(work, PL_FIGURE_SPRUNG_MASS);
  return mass * need(work, PL_SETTING_GRAVITY);
}

double preload_needed(struct work *work) {
  const struct corner *const corner = with_springs(work);
  const double compression = figure(work, PL_FIGURE_SHOCK_COMPRESSION);
  const double ratio = figure(work, PL_FIGURE_MOTION_RATIO);
  const double gas = figure(work, PL_FIGURE_GAS_FORCE);
  const double load = load_of(work);
  if (corner == NULL) return NAN;
  const struct pl_shock_springs springs = springs_of(corner, 0);
  return explained(work, pl_preload_needed(&springs, compression, gas, ratio, load),
                   PL_SETTING_DAMPER,
                   "no preload gives the ride height: the gas alone lifts the car");
}

/// A corner standing on its wheel, for the solver.
struct balance {
  const struct corner *corner;
  struct pl_shock_springs springs;
  double longest; ///< the shock at full extension
  double load;    ///< N on the wheel
};

/// Force of the suspension at the wheel over the load, at a height of the wheel centre.
static double excess_force(double height, const void *context) {
  const struct balance *const balance = context;
  struct pl_linkage_state state;
  if (!pl_linkage_at_height(&balance->corner->linkage, height, &state)) return NAN;
  const double compression = balance->longest - state.shock_length;
  const double gas =
      balance->corner->has_gas ? pl_gas_force(&balance->corner->gas, compression) : 0;
  const double force = pl_shock_spring_force(&balance->springs, compression) + gas;
  return force * state.motion_ratio - balance->load;
}

double settled_ride_height(struct work *work) {
  const struct corner *const corner = with_springs(work);
  const struct corner *const droop = with(work, ASSEMBLY_AT_DROOP);
  const struct corner *const bump = with(work, ASSEMBLY_AT_BUMP);
  const struct corner *const gas = with(work, ASSEMBLY_GAS);
  const double radius = need(work, PL_SETTING_TYRE_RADIUS);
  const double load = load_of(work);
  if (!is_given(work, PL_SETTING_PRELOAD) && !is_given(work, PL_SETTING_COLLAR)) {
    lacks(work, pl_settings[PL_SETTING_PRELOAD].key);
    return NAN;
  }
  const double preload = preload_of(work);
  if (corner == NULL || droop == NULL || bump == NULL || gas == NULL || isnan(preload) ||
      isnan(load) || isnan(radius))
    return NAN;
  const struct balance balance = {.corner = corner,
                                  .springs = springs_of(corner, preload),
                                  .longest = droop->at_droop.shock_length,
                                  .load = load};
  const double lowest = droop->at_droop.wheel_centre.z; // of the wheel: the car is highest
  const double highest = fmin(bump->at_bump.wheel_centre.z, radius);
  if (excess_force(lowest, &balance) >= 0) {
    note(work, "the springs hold the car at full droop");
    return radius - lowest;
  }
  if (excess_force(highest, &balance) <= 0) {
    note(work, "the springs do not hold the car off its stops");
    return radius - highest;
  }
  double height = NAN;
  pl_find_root(excess_force, &balance, lowest, highest, 1e-9, &height);
  return explained(work, radius - height, PL_SETTING_RIDE_HEIGHT,
                   "the linkage locks on the way to where the car would stand");
}
