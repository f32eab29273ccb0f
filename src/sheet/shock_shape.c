// SPDX-License-Identifier: GPL-3.0-or-later
// Where everything lies in the section of a shock. What is declared has its size; what is not
// shares what is left of the length between the eyes, in likely proportion.
#include "shock.h"

#include <math.h>

/// The parts along the axis, from the middle of the upper eye to that of the lower one.
enum stretch {
  EYE,  ///< to the cap's top
  CAP,  ///< to the top of the room inside
  AIR,  ///< behind the bladder
  HEAD, ///< between the bladder and the piston's end of travel
  STROKE,
  PISTON,
  LIMITER,
  SLEEVE, ///< from the guide of the shaft to what the piston rests on
  GLIDE,
  GLAND,
  END, ///< of the body, with a wiper
  EXPOSED,
  FOOT, ///< to the middle of the lower eye
  STRETCHES
};

/// Lengths of the stretches, mm.
struct stretches {
  double length[STRETCHES];
  bool declared[STRETCHES];
};

#define PI 3.14159265358979323846

static double known_or(double declared, double likely) {
  return isnan(declared) ? likely : declared;
}

/// What is left of a length behind a limiter: it takes its own height from it.
static double less_limiter(const struct pl_shock_facts *facts, double length) {
  return fmax(0, length - facts->limiter);
}

static void set(struct stretches *along, enum stretch which, double declared, double likely) {
  along->declared[which] = !isnan(declared);
  along->length[which] = known_or(declared, likely);
}

static bool has_bladder(const struct pl_part *damper) {
  return pl_part_says(damper, PL_SETTING_COMPENSATION, "bladder") ||
         pl_part_says(damper, PL_SETTING_COMPENSATION, "vented");
}

/// As high as the declared air is in the bore; the bladder's own shape is never declared, and
/// so its room is a likely one.
static double height_of_air(const struct pl_shock_facts *facts, double unit) {
  if (!has_bladder(facts->damper)) return 0;
  const double height = facts->air / (PI / 4 * facts->bore * facts->bore);
  return fmin(known_or(height, 0.25 * unit), 0.15 * facts->extended);
}

static double width_of_gland(const struct pl_shock_facts *facts) {
  if (!isnan(facts->gland_width)) return facts->gland_width;
  if (facts->rings == 0 || isnan(facts->section)) return NAN;
  return facts->section * ((double)facts->rings + 0.4 * (double)facts->backups);
}

static struct stretches wishes(const struct pl_shock_facts *facts, double unit) {
  struct stretches along = {.length = {0}};
  const struct pl_part *const damper = facts->damper;
  const bool wiper = pl_part_says(damper, PL_SETTING_SEAL_WIPER, "yes");
  const bool glide = pl_part_says(damper, PL_SETTING_SEAL_GLIDE_RING, "yes");
  set(&along, EYE, NAN, 0.44 * unit);
  set(&along, CAP, NAN, 0.3 * unit);
  set(&along, AIR, NAN, height_of_air(facts, unit));
  set(&along, HEAD, NAN, 0.22 * unit);
  set(&along, STROKE, less_limiter(facts, facts->stroke), 0);
  set(&along, PISTON, facts->thickness, 0.2 * unit);
  set(&along, LIMITER, facts->limiter, 0);
  set(&along, SLEEVE, facts->overlap, 0.08 * unit);
  set(&along, GLIDE, NAN, (glide ? 0.15 : 0.08) * unit);
  set(&along, GLAND, width_of_gland(facts), 0.24 * unit);
  set(&along, END, NAN, (wiper ? 0.22 : 0.12) * unit);
  // A shaft that is bare for less than its stroke could not go in that far.
  const double likely = less_limiter(facts, 1.06 * facts->stroke + 0.05 * unit);
  set(&along, EXPOSED, isnan(facts->exposed) ? NAN : less_limiter(facts, facts->exposed),
      likely);
  set(&along, FOOT, NAN, 0.56 * unit);
  return along;
}

/// The least share of their wish that parts without a size keep: less, and they are not seen.
#define LEAST_SHARE 0.35
/// The most of the length that they take from what is declared and has no room.
#define MOST_TAKEN 0.4

/// Makes the stretches as long as the shock. Room to spare goes to the head; what is short is
/// taken from what has no declared size, and if that is not enough from everything. Returns
/// false in that last case.
static bool fit(struct stretches *along, double length) {
  double declared = 0;
  double likely = 0;
  for (int i = 0; i < STRETCHES; i++)
    *(along->declared[i] ? &declared : &likely) += along->length[i];
  double share_likely = 1;
  double share_declared = 1;
  if (declared + likely <= length)
    along->length[HEAD] += length - declared - likely;
  else if (declared + LEAST_SHARE * likely <= length)
    share_likely = (length - declared) / likely;
  else {
    share_likely = fmin(LEAST_SHARE * likely, MOST_TAKEN * length) / likely;
    share_declared = (length - share_likely * likely) / declared;
  }
  for (int i = 0; i < STRETCHES; i++)
    along->length[i] *= along->declared[i] ? share_declared : share_likely;
  return share_declared == 1;
}

/// Puts the stretches one beneath the other.
static void stack(struct pl_shock_shape *shape, const struct stretches *along) {
  double y = 0;
  double ends[STRETCHES];
  for (int i = 0; i < STRETCHES; i++) ends[i] = y += along->length[i];
  shape->cap_top = ends[EYE];
  shape->inside_top = ends[CAP];
  shape->bladder = ends[AIR];
  shape->piston_top = ends[STROKE];
  shape->piston_bottom = ends[PISTON];
  shape->nut_top = shape->piston_top - 0.8 * fmin(along->length[HEAD], 0.22 * shape->unit);
  shape->sleeve_top = ends[LIMITER];
  shape->glide_top = ends[SLEEVE];
  shape->gland_top = ends[GLIDE];
  shape->gland_bottom = ends[GLAND];
  shape->body_bottom = ends[END];
  shape->foot_top = ends[EXPOSED];
}

// ---------------------------------------------------------------- spring and radii

static void likely_coil(const struct pl_shock_facts *facts, struct pl_shock_shape *shape) {
  struct pl_coil *const coil = &shape->coil;
  *coil = facts->coil;
  shape->coil_is_known = !isnan(coil->wire) && !isnan(coil->mean) && !isnan(coil->coils);
  coil->wire = known_or(coil->wire, 0.09 * shape->unit);
  coil->mean = fmax(known_or(coil->mean, 1.4 * facts->bore + coil->wire), coil->wire);
  coil->coils = fmin(known_or(coil->coils, 8), 64);
}

/// The body's wall is as thick as most are, if a declared spring leaves it that room.
static void widen(const struct pl_shock_facts *facts, struct pl_shock_shape *shape) {
  const struct pl_coil *const coil = &shape->coil;
  const double inside = facts->bore / 2;
  const double spring_inside = (coil->mean - coil->wire) / 2;
  shape->body_radius = inside + fmax(0.085 * facts->bore, 0.6);
  if (shape->has_spring && shape->coil_is_known)
    shape->body_radius = fmax(inside + 0.3, fmin(shape->body_radius, spring_inside - 0.2));
  shape->cap_radius = shape->body_radius + 0.05 * shape->unit;
  shape->collar_radius =
      fmax((coil->mean + coil->wire) / 2, shape->cap_radius) + 0.02 * shape->unit;
  shape->eye_radius = 0.22 * shape->unit;
  shape->piston_radius = fmin(known_or(facts->piston_diameter, facts->bore) / 2, inside);
  shape->reach = shape->has_spring ? shape->collar_radius : shape->cap_radius;
  shape->reach = fmax(shape->reach, shape->eye_radius);
}

/// The room that the spring has; `known` where what is declared tells it.
static double room_for_spring(const struct pl_shock_facts *facts, bool *known) {
  const double gap = facts->perch_gap - facts->limiter;
  const double by_collar = gap - facts->collar;
  const double by_preload = facts->coil.free_length - facts->preload;
  *known = true;
  if (!isnan(by_collar)) return by_collar;
  if (!isnan(by_preload)) return by_preload;
  *known = false;
  return known_or(gap, facts->coil.free_length);
}

/// Collar, spring and cup. The cup goes further down where the spring needs it: its height
/// above the lower eye is not declared.
static void place_spring(const struct pl_shock_facts *facts, struct pl_shock_shape *shape) {
  bool known = false;
  const double highest = shape->cap_top + 0.04 * shape->unit;
  const double foot = shape->length - shape->foot_top;
  double room = room_for_spring(facts, &known);
  if (isnan(room)) room = 0.8 * (shape->foot_top - highest);
  room = fmax(0, room);
  shape->collar_height = fmin(0.2 * shape->unit, 0.3 * (shape->body_bottom - highest));
  const double least = highest + shape->collar_height;
  shape->seat = fmin(fmax(least + room, shape->foot_top), shape->foot_top + 0.5 * foot);
  const double wished = shape->seat - room;
  shape->collar = fmin(fmax(wished, least), shape->body_bottom);
  shape->collar_is_known = known && fabs(shape->collar - wished) < 1e-9;
  shape->collar_zero = shape->collar_is_known ? shape->collar - facts->collar : NAN;
  if (!(shape->collar_zero >= shape->cap_top)) shape->collar_zero = NAN;
  const double free_length = shape->coil.free_length;
  shape->spring_top = shape->collar;
  if (free_length < shape->seat - shape->collar) shape->spring_top = shape->seat - free_length;
}

struct pl_shock_shape pl_shock_shape(const struct pl_shock_facts *facts) {
  struct pl_shock_shape shape = {.length = facts->extended - facts->limiter};
  shape.unit = fmin(facts->bore, shape.length / 5);
  struct stretches along = wishes(facts, shape.unit);
  shape.is_true = fit(&along, shape.length);
  stack(&shape, &along);
  shape.has_spring = facts->spring != NULL || !isnan(facts->collar);
  likely_coil(facts, &shape);
  widen(facts, &shape);
  if (shape.has_spring) place_spring(facts, &shape);
  return shape;
}
