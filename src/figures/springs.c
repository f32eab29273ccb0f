// SPDX-License-Identifier: GPL-3.0-or-later
// Springs: the curve of what is declared, and the figures along the shock.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- the declared spring

/// What a spring's part says, whichever setting names the part.
static double said(struct work *work, enum pl_setting spring, enum pl_setting inner) {
  return optional_of_part(work, spring, inner);
}

static enum pl_spring_ends ends_of(struct work *work, enum pl_setting spring) {
  const char *const word = choice_of_part(work, spring, PL_SETTING_ENDS);
  if (strcmp(word, "closed") == 0) return PL_ENDS_CLOSED;
  if (strcmp(word, "plain") == 0) return PL_ENDS_PLAIN;
  if (strcmp(word, "plain-ground") == 0) return PL_ENDS_PLAIN_GROUND;
  return PL_ENDS_CLOSED_GROUND;
}

static double shear_modulus(struct work *work, enum pl_setting spring, double wire) {
  const double own = said(work, spring, PL_SETTING_SHEAR_MODULUS);
  if (!isnan(own)) return own;
  const char *const word = choice_of_part(work, spring, PL_SETTING_MATERIAL);
  const bool stainless = strcmp(word, "stainless-302") == 0;
  return pl_shear_modulus(stainless ? PL_MATERIAL_STAINLESS_302 : PL_MATERIAL_MUSIC_WIRE, wire);
}

/// Middle to middle of the wire, from whichever diameter is declared.
static double mean_diameter(struct work *work, enum pl_setting spring, double wire) {
  const double mean = said(work, spring, PL_SETTING_MEAN_DIAMETER);
  if (!isnan(mean)) return mean;
  const double outside = said(work, spring, PL_SETTING_OUTSIDE_DIAMETER);
  if (!isnan(outside)) return outside - wire;
  return said(work, spring, PL_SETTING_INSIDE_DIAMETER) + wire;
}

static double active_coils(struct work *work, enum pl_setting spring) {
  const double active = said(work, spring, PL_SETTING_ACTIVE_COILS);
  if (!isnan(active)) return active;
  const double total = said(work, spring, PL_SETTING_TOTAL_COILS);
  return pl_active_coils(ends_of(work, spring), total);
}

static double solid_length(struct work *work, enum pl_setting spring) {
  const enum pl_spring_ends ends = ends_of(work, spring);
  double total = said(work, spring, PL_SETTING_TOTAL_COILS);
  if (isnan(total)) total = pl_total_coils(ends, said(work, spring, PL_SETTING_ACTIVE_COILS));
  return pl_solid_length(ends, said(work, spring, PL_SETTING_WIRE), total);
}

static bool curve_of_table(const struct pl_value *table, struct pl_spring_curve *curve) {
  struct pl_spring_knot rows[PL_SPRING_KNOTS];
  if (table->count > PL_SPRING_KNOTS) return false;
  for (size_t i = 0; i < table->count; i++) {
    const struct pl_value *const row = table->many.items[i].many.items;
    rows[i] = (struct pl_spring_knot){row[0].number, row[1].number};
  }
  return pl_spring_curve_table(rows, table->count, curve);
}

static bool curve_of_groups(struct work *work, enum pl_setting spring,
                            const struct pl_value *groups, struct pl_spring_curve *curve) {
  struct pl_spring_group made[PL_SPRING_KNOTS];
  const double wire = said(work, spring, PL_SETTING_WIRE);
  const double modulus = shear_modulus(work, spring, wire);
  const double diameter = mean_diameter(work, spring, wire);
  const double coil_rate = pl_coil_spring_rate(modulus, wire, diameter, 1);
  if (groups->count > PL_SPRING_KNOTS) return false;
  for (size_t i = 0; i < groups->count; i++) {
    const struct pl_value *const group = &groups->many.items[i];
    made[i] = (struct pl_spring_group){group->number, group->x, coil_rate};
  }
  return pl_spring_curve_groups(made, groups->count, curve);
}

/// Deflection until the coils touch; NaN where that is not known.
static double bind_of(struct work *work, enum pl_setting spring) {
  const double length = said(work, spring, PL_SETTING_FREE_LENGTH);
  const double bind = length - solid_length(work, spring);
  if (!(bind <= 0)) return bind;
  note(work, "the spring's free length is less than its coils are solid");
  return NAN;
}

/// The force curve of the spring that `spring` names. `*constant`: it has one rate.
static bool build_curve(struct work *work, enum pl_setting spring, const struct pl_part *part,
                        struct pl_spring_curve *curve, bool *constant) {
  const struct pl_value *const table = &pl_part_get(part, PL_SETTING_TABLE)->value;
  const struct pl_value *const groups = &pl_part_get(part, PL_SETTING_GROUPS)->value;
  double rate = said(work, spring, PL_SETTING_RATE);
  *constant = false;
  if (isnan(rate) && table->kind == PL_VALUE_LIST) return curve_of_table(table, curve);
  if (isnan(rate) && groups->kind == PL_VALUE_LIST)
    return curve_of_groups(work, spring, groups, curve);
  if (isnan(rate)) {
    const double wire = said(work, spring, PL_SETTING_WIRE);
    const double modulus = shear_modulus(work, spring, wire);
    const double diameter = mean_diameter(work, spring, wire);
    rate = pl_coil_spring_rate(modulus, wire, diameter, active_coils(work, spring));
    if (isnan(rate)) lacks(work, "spring.rate");
  }
  *constant = true;
  return pl_spring_curve_linear(rate, bind_of(work, spring), curve);
}

bool build_spring(struct work *work, struct corner *corner) {
  const struct pl_part *const part = need_part(work, PL_SETTING_SPRING);
  if (part == NULL) return false;
  return build_curve(work, PL_SETTING_SPRING, part, &corner->spring,
                     &corner->spring_is_constant);
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
  const struct pl_resolved *const rate = pl_part_get(chosen->part, PL_SETTING_RATE);
  if (rate->value.kind != PL_VALUE_NUMBER) {
    lacks(work, "damper.opposed-spring.rate");
    return false;
  }
  const double stroke = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE);
  corner->opposed_deflection = stroke - optional(work, PL_SETTING_LIMITER);
  return pl_spring_curve_linear(rate->value.number, NAN, &corner->opposed);
}

// ---------------------------------------------------------------- preload

double preload_of(struct work *work) {
  const double declared = optional(work, PL_SETTING_PRELOAD);
  if (!isnan(declared)) return declared;
  if (is_given(work, PL_SETTING_COLLAR)) {
    // The perch gap is that of the bare shock: a limiter takes its length from it.
    const double limiter = optional(work, PL_SETTING_LIMITER);
    const double length = need_of_part(work, PL_SETTING_SPRING, PL_SETTING_FREE_LENGTH);
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

double spring_deflection(struct work *work) {
  const double preload = preload_of(work);
  return preload + figure(work, PL_FIGURE_SHOCK_COMPRESSION);
}

double spring_rate(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_SPRING);
  if (corner == NULL) return NAN;
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

double travel_to_bind(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_SPRING);
  const double deflection = figure(work, PL_FIGURE_SPRING_DEFLECTION);
  if (corner == NULL) return NAN;
  double bind = pl_spring_bind(&corner->spring);
  if (!isfinite(bind)) { // a declared rate or a table does not say it: wire and coils do
    need_of_part(work, PL_SETTING_SPRING, PL_SETTING_FREE_LENGTH);
    need_of_part(work, PL_SETTING_SPRING, PL_SETTING_WIRE);
    if (isnan(active_coils(work, PL_SETTING_SPRING))) lacks(work, "spring.active-coils");
    bind = bind_of(work, PL_SETTING_SPRING);
  }
  return bind - deflection;
}

double spring_stress(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_SPRING);
  const double wire = need_of_part(work, PL_SETTING_SPRING, PL_SETTING_WIRE);
  const double stroke = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE);
  const double preload = preload_of(work);
  if (corner == NULL) return NAN;
  const double diameter = mean_diameter(work, PL_SETTING_SPRING, wire);
  if (isnan(diameter)) lacks(work, "spring.mean-diameter");
  const double limiter = optional(work, PL_SETTING_LIMITER);
  const double full = preload + stroke - limiter - optional(work, PL_SETTING_BUMP_SPACER);
  return pl_coil_spring_stress(pl_spring_force(&corner->spring, full), wire, diameter);
}
