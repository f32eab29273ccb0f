// SPDX-License-Identifier: GPL-3.0-or-later
// Springs: the curve of what is declared, and the figures along the shock.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- the declared spring

/// A spring that is being read. What its part says is noted under `spring`, but for one inside
/// the shock, whose part is named by the shock's.
struct reading {
  struct work *work;
  const struct pl_part *part;
  bool inside;
};

static const struct pl_value *value_said(const struct reading *reading, enum pl_setting inner) {
  if (!reading->inside) note_of_part(reading->work, PL_SETTING_SPRING, reading->part, inner);
  return &pl_part_get(reading->part, inner)->value;
}

static double said(const struct reading *reading, enum pl_setting inner) {
  const struct pl_value *const value = value_said(reading, inner);
  return value->kind == PL_VALUE_NUMBER ? value->number : NAN;
}

static bool says_word(const struct reading *reading, enum pl_setting inner, const char *word) {
  const struct pl_value *const value = value_said(reading, inner);
  return value->kind == PL_VALUE_TEXT && strcmp(value->text, word) == 0;
}

static enum pl_spring_ends ends_of(const struct reading *reading) {
  if (says_word(reading, PL_SETTING_ENDS, "closed")) return PL_ENDS_CLOSED;
  if (says_word(reading, PL_SETTING_ENDS, "plain")) return PL_ENDS_PLAIN;
  if (says_word(reading, PL_SETTING_ENDS, "plain-ground")) return PL_ENDS_PLAIN_GROUND;
  return PL_ENDS_CLOSED_GROUND;
}

static enum pl_spring_material material_of(const struct reading *reading) {
  const bool stainless = says_word(reading, PL_SETTING_MATERIAL, "stainless-302");
  return stainless ? PL_MATERIAL_STAINLESS_302 : PL_MATERIAL_MUSIC_WIRE;
}

/// Says that the material is taken to be the usual one.
static void note_material(const struct reading *reading) {
  if (value_said(reading, PL_SETTING_MATERIAL)->kind == PL_VALUE_NONE)
    note(reading->work, "the spring's material is not declared: music wire is assumed");
}

static void note_ends(const struct reading *reading) {
  if (value_said(reading, PL_SETTING_ENDS)->kind == PL_VALUE_NONE)
    note(reading->work, "the spring's ends are not declared: closed and ground is assumed");
}

static double shear_modulus(const struct reading *reading, double wire) {
  const double own = said(reading, PL_SETTING_SHEAR_MODULUS);
  if (!isnan(own)) return own;
  return pl_shear_modulus(material_of(reading), wire);
}

/// Middle to middle of the wire, from whichever diameter is declared.
static double mean_diameter(const struct reading *reading, double wire) {
  const double mean = said(reading, PL_SETTING_MEAN_DIAMETER);
  if (!isnan(mean)) return mean;
  const double outside = said(reading, PL_SETTING_OUTSIDE_DIAMETER);
  if (!isnan(outside)) return outside - wire;
  return said(reading, PL_SETTING_INSIDE_DIAMETER) + wire;
}

static double active_coils(const struct reading *reading) {
  const double active = said(reading, PL_SETTING_ACTIVE_COILS);
  if (!isnan(active)) return active;
  const double total = said(reading, PL_SETTING_TOTAL_COILS);
  if (!isnan(total)) note_ends(reading);
  return pl_active_coils(ends_of(reading), total);
}

static double solid_length(const struct reading *reading) {
  const enum pl_spring_ends ends = ends_of(reading);
  double total = said(reading, PL_SETTING_TOTAL_COILS);
  if (isnan(total)) total = pl_total_coils(ends, said(reading, PL_SETTING_ACTIVE_COILS));
  return pl_solid_length(ends, said(reading, PL_SETTING_WIRE), total);
}

/// Length without load; of stacked springs the sum.
static double free_length(const struct reading *reading) {
  if (reading->part->share_count == 0) return said(reading, PL_SETTING_FREE_LENGTH);
  double sum = 0;
  for (size_t i = 0; i < reading->part->share_count; i++) {
    struct reading one = *reading;
    one.part = reading->part->shares[i].part;
    sum += free_length(&one);
  }
  return sum;
}

/// Deflection until the coils touch; NaN where that is not known.
static double bind_of(const struct reading *reading) {
  const double length = said(reading, PL_SETTING_FREE_LENGTH);
  if (isnan(length)) return NAN;
  const double bind = length - solid_length(reading);
  if (!(bind <= 0)) return bind;
  warn(reading->work, PL_SETTING_SPRING,
       "the spring's free length is less than its coils are solid");
  return NAN;
}

// ---------------------------------------------------------------- its curve

static bool curve_of_table(const struct pl_value *table, struct pl_spring_curve *curve) {
  struct pl_spring_knot rows[PL_SPRING_KNOTS];
  if (table->count > PL_SPRING_KNOTS) return false;
  for (size_t i = 0; i < table->count; i++) {
    const struct pl_value *const row = table->many.items[i].many.items;
    rows[i] = (struct pl_spring_knot){row[0].number, row[1].number};
  }
  return pl_spring_curve_table(rows, table->count, curve);
}

/// The rate of a coil spring with that many active coils, from its wire.
static double rate_of_wire(const struct reading *reading, double coils) {
  const double wire = said(reading, PL_SETTING_WIRE);
  const double modulus = shear_modulus(reading, wire);
  if (isnan(said(reading, PL_SETTING_SHEAR_MODULUS))) note_material(reading);
  return pl_coil_spring_rate(modulus, wire, mean_diameter(reading, wire), coils);
}

static bool curve_of_groups(const struct reading *reading, const struct pl_value *groups,
                            struct pl_spring_curve *curve) {
  struct pl_spring_group made[PL_SPRING_KNOTS];
  const double coil_rate = rate_of_wire(reading, 1);
  if (groups->count > PL_SPRING_KNOTS) return false;
  for (size_t i = 0; i < groups->count; i++) {
    const struct pl_value *const group = &groups->many.items[i];
    made[i] = (struct pl_spring_group){group->number, group->x, coil_rate};
  }
  return pl_spring_curve_groups(made, groups->count, curve);
}

/// Says why a spring has no rate: what it lacks, or that what it says cannot be.
static void tell_no_rate(const struct reading *reading) {
  const double wire = said(reading, PL_SETTING_WIRE);
  const bool has_coils = value_said(reading, PL_SETTING_GROUPS)->kind == PL_VALUE_LIST ||
                         !isnan(said(reading, PL_SETTING_ACTIVE_COILS)) ||
                         !isnan(said(reading, PL_SETTING_TOTAL_COILS));
  if (has_coils && !isnan(mean_diameter(reading, wire)))
    warn(reading->work, PL_SETTING_SPRING, "wire, diameter and coils make no spring");
  else
    lacks(reading->work, reading->inside ? "damper.opposed-spring.rate" : "spring.rate");
}

/// The force curve of one spring.
static bool curve_of_one(const struct reading *reading, struct pl_spring_curve *curve) {
  double rate = said(reading, PL_SETTING_RATE);
  const struct pl_value *const table = &pl_part_get(reading->part, PL_SETTING_TABLE)->value;
  const struct pl_value *const groups = &pl_part_get(reading->part, PL_SETTING_GROUPS)->value;
  if (isnan(rate) && table->kind == PL_VALUE_LIST)
    return curve_of_table(value_said(reading, PL_SETTING_TABLE), curve);
  if (isnan(rate) && groups->kind == PL_VALUE_LIST) {
    if (curve_of_groups(reading, value_said(reading, PL_SETTING_GROUPS), curve)) return true;
    tell_no_rate(reading);
    return false;
  }
  if (isnan(rate)) rate = rate_of_wire(reading, active_coils(reading));
  if (isnan(rate)) tell_no_rate(reading);
  return pl_spring_curve_linear(rate, bind_of(reading), curve);
}

/// Most springs on one shock; the language takes four.
#define STACKED_SPRINGS 8

/// The force curve of a spring, or of springs stacked end to end: the force is common.
static bool build_curve(const struct reading *reading, struct pl_spring_curve *curve) {
  const size_t count = reading->part->share_count;
  if (count == 0) return curve_of_one(reading, curve);
  struct pl_spring_curve parts[STACKED_SPRINGS];
  if (count > STACKED_SPRINGS) return false;
  for (size_t i = 0; i < count; i++) {
    struct reading one = *reading;
    one.part = reading->part->shares[i].part;
    if (!curve_of_one(&one, &parts[i])) return false;
  }
  return pl_spring_curve_series(parts, count, curve);
}

bool build_spring(struct work *work, struct corner *corner) {
  const struct pl_part *const part = need_part(work, PL_SETTING_SPRING);
  if (part == NULL) return false;
  const struct reading reading = {.work = work, .part = part};
  if (!build_curve(&reading, &corner->spring)) return false;
  // One slope from the first knot on, or up to where all coils touch.
  const struct pl_spring_curve *const curve = &corner->spring;
  const bool goes_on = pl_spring_stiffness(curve, 0) == curve->end_stiffness;
  corner->spring_is_constant = curve->count <= 2 && (goes_on || isfinite(curve->bind));
  return true;
}

/// The opposed spring stands inside the shock. It is taken as just touching when the shock is
/// fully compressed, so that its deflection at full extension is the whole stroke.
bool build_opposed(struct work *work, struct corner *corner) {
  const struct pl_part *const damper = pl_setup_part(
      setup_for(work, PL_SETTING_DAMPER, work->place), PL_SETTING_DAMPER, work->place);
  const struct pl_value *const chosen =
      damper == NULL ? NULL : &pl_part_get(damper, PL_SETTING_OPPOSED_SPRING)->value;
  corner->has_opposed = chosen != NULL && chosen->kind == PL_VALUE_PART;
  if (!corner->has_opposed) return true;
  optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_OPPOSED_SPRING);
  const struct reading reading = {.work = work, .part = chosen->part, .inside = true};
  const double stroke = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE);
  corner->opposed_deflection = stroke - optional(work, PL_SETTING_LIMITER);
  return build_curve(&reading, &corner->opposed) && !isnan(corner->opposed_deflection);
}

// ---------------------------------------------------------------- preload

/// Of the corner's spring, or of all that are stacked there.
static double need_free_length(struct work *work) {
  const struct pl_part *const part = need_part(work, PL_SETTING_SPRING);
  if (part == NULL) return NAN;
  const struct reading reading = {.work = work, .part = part};
  const double length = free_length(&reading);
  if (isnan(length)) lacks(work, "spring.free-length");
  return length;
}

double preload_of(struct work *work) {
  const double declared = optional(work, PL_SETTING_PRELOAD);
  if (!isnan(declared)) return declared;
  if (is_given(work, PL_SETTING_COLLAR)) {
    // The perch gap is that of the bare shock: a limiter takes its length from it.
    const double limiter = optional(work, PL_SETTING_LIMITER);
    const double length = need_free_length(work);
    const double gap = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_PERCH_GAP);
    return pl_preload_from_collar(length, gap - limiter, need(work, PL_SETTING_COLLAR));
  }
  const double needed = figure(work, PL_FIGURE_PRELOAD_NEEDED);
  if (!isnan(needed))
    note(work, "no preload is declared: the one that gives the ride height is used");
  return needed;
}

const struct corner *with_springs(struct work *work) {
  const struct corner *const main = with(work, ASSEMBLY_SPRING);
  const struct corner *const opposed = with(work, ASSEMBLY_OPPOSED);
  return main == NULL ? NULL : opposed;
}

double opposed_stiffness(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_OPPOSED);
  if (corner == NULL) return NAN;
  if (!corner->has_opposed) return 0;
  const double left = corner->opposed_deflection - figure(work, PL_FIGURE_SHOCK_COMPRESSION);
  return pl_spring_stiffness(&corner->opposed, left);
}

struct pl_shock_springs springs_of(const struct corner *corner, double preload) {
  const bool opposed = corner->has_opposed;
  return (struct pl_shock_springs){.main = &corner->spring,
                                   .preload = preload,
                                   .opposed = opposed ? &corner->opposed : NULL,
                                   .opposed_deflection =
                                       opposed ? corner->opposed_deflection : 0};
}

// ---------------------------------------------------------------- figures

/// Says when a declared collar is not where the declared preload has it.
static void compare_collar(struct work *work, double position) {
  if (!is_given(work, PL_SETTING_PRELOAD) || !is_given(work, PL_SETTING_COLLAR)) return;
  const double declared = optional(work, PL_SETTING_COLLAR);
  if (!(fabs(declared - position) > HEIGHT_SLACK)) return;
  warn(work, PL_SETTING_COLLAR,
       pl_format(work->figures->arena,
                 "the preload counts, by which the collar stands at %.1f mm and not at %.1f mm",
                 position * 1e3, declared * 1e3));
}

double collar_position(struct work *work) {
  const double preload = preload_of(work);
  const double limiter = optional(work, PL_SETTING_LIMITER);
  const double length = need_free_length(work);
  const double gap = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_PERCH_GAP);
  const double position = pl_collar_for_preload(length, gap - limiter, preload);
  compare_collar(work, position);
  return position;
}

double spring_deflection(struct work *work) {
  const double preload = preload_of(work);
  return preload + figure(work, PL_FIGURE_SHOCK_COMPRESSION);
}

/// What the rate of a wound spring was made of, besides what is declared.
static void detail_wire(struct work *work) {
  const struct pl_part *const part = need_part(work, PL_SETTING_SPRING);
  if (part == NULL || part->share_count > 0) return;
  const struct reading reading = {.work = work, .part = part};
  if (!explains(work) || !isnan(said(&reading, PL_SETTING_RATE))) return;
  const double wire = said(&reading, PL_SETTING_WIRE);
  const double modulus = shear_modulus(&reading, wire);
  const double diameter = mean_diameter(&reading, wire);
  if (!isfinite(modulus * diameter)) return;
  const bool own = isfinite(said(&reading, PL_SETTING_SHEAR_MODULUS));
  detail(work, pl_format(work->figures->arena, "G = %.2f GPa%s, D = %.2f mm", modulus / 1e9,
                         own ? "" : " (Shigley, 10th ed., Table 10-5)", diameter * 1e3));
}

double spring_rate(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_SPRING);
  if (corner == NULL) return NAN;
  detail_wire(work);
  if (corner->spring_is_constant) return pl_spring_stiffness(&corner->spring, 0);
  return pl_spring_stiffness(&corner->spring, figure(work, PL_FIGURE_SPRING_DEFLECTION));
}

double spring_force(struct work *work) {
  const struct corner *const corner = with_springs(work);
  const double preload = preload_of(work);
  const double compression = figure(work, PL_FIGURE_SHOCK_COMPRESSION);
  if (corner == NULL) return NAN;
  const struct pl_shock_springs springs = springs_of(corner, preload);
  return pl_shock_spring_force(&springs, compression);
}

double preload_force(struct work *work) {
  const struct corner *const corner = with_springs(work);
  const double preload = preload_of(work);
  if (corner == NULL) return NAN;
  const struct pl_shock_springs springs = springs_of(corner, preload);
  return pl_shock_spring_force(&springs, 0);
}

/// Where the coils of one spring touch: what its curve does not know, wire and coils may tell.
static double need_bind(const struct reading *reading) {
  if (isnan(said(reading, PL_SETTING_FREE_LENGTH))) lacks(reading->work, "spring.free-length");
  if (isnan(said(reading, PL_SETTING_WIRE))) lacks(reading->work, "spring.wire");
  if (isnan(active_coils(reading))) lacks(reading->work, "spring.active-coils");
  return bind_of(reading);
}

/// Where the coils touch goes by the ends, but where coils of groups close one after the other.
static void note_ends_of_bind(const struct reading *reading) {
  const bool by_coils =
      pl_part_get(reading->part, PL_SETTING_GROUPS)->value.kind != PL_VALUE_LIST;
  if (by_coils && !isnan(bind_of(reading))) note_ends(reading);
}

double travel_to_bind(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_SPRING);
  const double deflection = figure(work, PL_FIGURE_SPRING_DEFLECTION);
  const struct pl_part *const part = need_part(work, PL_SETTING_SPRING);
  if (corner == NULL || part == NULL) return NAN;
  double bind = pl_spring_bind(&corner->spring);
  struct reading reading = {.work = work, .part = part};
  if (!isfinite(bind) && part->share_count == 0) bind = need_bind(&reading);
  for (size_t i = 0; !isfinite(bind) && i < part->share_count; i++) {
    reading.part = part->shares[i].part;
    need_bind(&reading);
  }
  if (!isfinite(bind)) return NAN;
  reading.part = part;
  if (part->share_count == 0) note_ends_of_bind(&reading);
  for (size_t i = 0; i < part->share_count; i++) {
    reading.part = part->shares[i].part;
    note_ends_of_bind(&reading);
  }
  return bind - deflection;
}

static double stress_of(const struct reading *reading, double force) {
  const double wire = said(reading, PL_SETTING_WIRE);
  const double diameter = mean_diameter(reading, wire);
  if (isnan(wire)) lacks(reading->work, "spring.wire");
  if (isnan(mean_diameter(reading, 0))) lacks(reading->work, "spring.mean-diameter");
  return pl_coil_spring_stress(force, wire, diameter);
}

/// The spring's force when the shock is fully compressed; NaN where that is not known.
static double force_at_full_compression(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_SPRING);
  const double stroke = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE);
  const double preload = preload_of(work);
  const double limiter = optional(work, PL_SETTING_LIMITER);
  const double full = preload + stroke - limiter - optional(work, PL_SETTING_BUMP_SPACER);
  return corner == NULL ? NAN : pl_spring_force(&corner->spring, full);
}

/// What is asked of one spring under a force.
typedef double stress_function(const struct reading *reading, double force);

/// The greatest of stacked springs', which carry the same force; NaN if one is not known.
static double greatest_of_stack(struct work *work, stress_function *ask) {
  const double force = force_at_full_compression(work);
  const struct pl_part *const part = need_part(work, PL_SETTING_SPRING);
  if (part == NULL) return NAN;
  struct reading reading = {.work = work, .part = part};
  if (part->share_count == 0) return ask(&reading, force);
  double greatest = 0;
  for (size_t i = 0; i < part->share_count; i++) {
    reading.part = part->shares[i].part;
    const double value = ask(&reading, force);
    greatest = value > greatest || isnan(value) ? value : greatest;
  }
  return greatest;
}

double spring_stress(struct work *work) {
  return greatest_of_stack(work, stress_of);
}

/// Of what the wire takes without setting.
static double share_of_limit(const struct reading *reading, double force) {
  const double stress = stress_of(reading, force);
  if (!isnan(stress)) note_material(reading);
  return stress / pl_wire_torsional_limit(material_of(reading), said(reading, PL_SETTING_WIRE));
}

double spring_stress_share(struct work *work) {
  const double share = greatest_of_stack(work, share_of_limit);
  if (share > 1)
    warn(work, PL_SETTING_SPRING,
         "the spring's wire is stressed beyond what it takes without setting");
  return share;
}
