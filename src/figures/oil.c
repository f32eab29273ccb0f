// SPDX-License-Identifier: GPL-3.0-or-later
// Oil: its law, its temperature, how it flows, and which oil would do the same.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- the law of the oil

double shock_temperature(struct work *work) {
  const double own = optional(work, PL_SETTING_OIL_TEMPERATURE);
  if (!isnan(own)) return own;
  const double air = optional(work, PL_SETTING_AIR);
  if (!isnan(air)) return air;
  note(work, "no temperature is declared: the oil is taken at 25 °C");
  return PL_OIL_NAMED_AT;
}

/// The law of one oil or blend.
static bool law_of(const struct pl_part *part, struct pl_oil_law *law) {
  if (part->share_count > 0) {
    struct pl_oil_law laws[PL_OIL_PARTS];
    double shares[PL_OIL_PARTS];
    if (part->share_count > PL_OIL_PARTS) return false;
    for (size_t i = 0; i < part->share_count; i++) {
      if (!law_of(part->shares[i].part, &laws[i])) return false;
      shares[i] = part->shares[i].share;
    }
    return pl_oil_law_blend(laws, shares, part->share_count, law);
  }
  const struct pl_value *const given = &pl_part_get(part, PL_SETTING_VISCOSITY)->value;
  if (given->kind != PL_VALUE_VISCOSITY) return false;
  const struct pl_viscosity_point *const points = given->many.viscosity;
  if (given->count == 1)
    return pl_oil_law_silicone(points[0].viscosity, points[0].temperature, law);
  struct pl_oil_point measured[32];
  if (given->count > sizeof measured / sizeof measured[0]) return false;
  for (size_t i = 0; i < given->count; i++)
    measured[i] = (struct pl_oil_point){points[i].viscosity, points[i].temperature};
  return pl_oil_law_fit(measured, given->count, law);
}

/// A property that parts of a blend bring by their shares.
static double blended(const struct pl_part *part, enum pl_setting setting) {
  if (part->share_count == 0) {
    const struct pl_value *const value = &pl_part_get(part, setting)->value;
    return value->kind == PL_VALUE_NUMBER ? value->number : NAN;
  }
  double sum = 0;
  for (size_t i = 0; i < part->share_count; i++)
    sum += part->shares[i].share * blended(part->shares[i].part, setting);
  return sum;
}

/// Notes what the oil, or each oil of the blend, says of itself.
static void note_oil(struct work *work, const struct pl_part *part) {
  for (size_t i = 0; i < part->share_count; i++) note_oil(work, part->shares[i].part);
  if (part->share_count > 0) return;
  note_of_part(work, PL_SETTING_OIL, part, PL_SETTING_VISCOSITY);
  note_of_part(work, PL_SETTING_OIL, part, PL_SETTING_DENSITY);
}

bool build_oil(struct work *work, struct corner *corner) {
  const struct pl_part *const part = need_part(work, PL_SETTING_OIL);
  if (part == NULL) return false;
  note_oil(work, part);
  corner->oil_density = blended(part, PL_SETTING_DENSITY);
  corner->oil_expansion = blended(part, PL_SETTING_EXPANSION);
  if (law_of(part, &corner->oil)) return true;
  lacks(work, "oil.viscosity");
  return false;
}

double oil_viscosity(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_OIL);
  const double temperature = figure(work, PL_FIGURE_SHOCK_TEMPERATURE);
  if (corner == NULL) return NAN;
  const double beyond = pl_oil_beyond_data(&corner->oil, temperature);
  if (beyond > 30)
    warn(work, PL_SETTING_OIL,
         pl_format(work->figures->arena, "the temperature is %.0f K outside the oil's data",
                   beyond));
  return pl_oil_viscosity(&corner->oil, temperature);
}

/// The oil as it flows: emulsions are thicker and lighter than their oil.
bool build_fluid(struct work *work, struct corner *corner) {
  const struct corner *const oiled = with(work, ASSEMBLY_OIL);
  const double viscosity = figure(work, PL_FIGURE_OIL_VISCOSITY);
  const double temperature = figure(work, PL_FIGURE_SHOCK_TEMPERATURE);
  if (oiled == NULL || isnan(viscosity)) return false;
  const double density = pl_oil_density(oiled->oil_density, oiled->oil_expansion, temperature);
  corner->fluid = (struct pl_fluid){pl_dynamic_viscosity(viscosity, density), density};
  const char *const compensation =
      choice_of_part(work, PL_SETTING_DAMPER, PL_SETTING_COMPENSATION);
  if (strcmp(compensation, "emulsion") != 0) return true;
  const double air = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_AIR_VOLUME);
  const double oil = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_OIL_VOLUME);
  const double fraction = pl_air_fraction(air, oil);
  if (isnan(fraction)) return false;
  if (fraction > 0.2)
    warn(work, PL_SETTING_DAMPER,
         pl_format(work->figures->arena,
                   "the air is %.0f %% of the emulsion: past 20 %% its damping is a guess",
                   100 * fraction));
  corner->fluid.dynamic_viscosity =
      pl_emulsion_viscosity(corner->fluid.dynamic_viscosity, fraction);
  corner->fluid.density = pl_emulsion_density(density, fraction);
  return true;
}

// ---------------------------------------------------------------- which oil would do the same

/// Slow damping of this piston with a silicone oil of that viscosity at 25 degC, over the
/// base's.
struct wanted_oil {
  const struct corner *corner;
  double temperature;
  double dynamic; ///< viscosity of the fluid over its oil's kinematic one: density, bubbles
  double damping;
};

static double slow_excess(double log_viscosity, const void *context) {
  const struct wanted_oil *const wanted = context;
  const double viscosity =
      pl_silicone_viscosity(exp(log_viscosity), PL_OIL_NAMED_AT, wanted->temperature);
  struct pl_fluid fluid = wanted->corner->fluid;
  fluid.dynamic_viscosity = viscosity * wanted->dynamic;
  const double mean = (pl_piston_slow_damping(&wanted->corner->piston, &fluid, true) +
                       pl_piston_slow_damping(&wanted->corner->piston, &fluid, false)) /
                      2;
  return mean - wanted->damping;
}

/// An oil of the library, or a half-and-half blend of two, beside what is wanted.
struct bottle {
  const char *name;
  double viscosity; ///< at the shock's temperature, m2/s
};

/// The library's oils, gathered.
struct shelf {
  struct work *work;
  struct pl_program *program;
  double temperature;
  struct bottle *bottles;
  size_t count;
  size_t capacity;
};

static void put_on_shelf(void *context, const struct pl_block *block, bool in_main) {
  struct shelf *const shelf = context;
  (void)in_main;
  struct pl_oil_law law;
  if (!law_of(pl_program_part(shelf->program, block), &law)) return;
  shelf->bottles = pl_grow(shelf->work->figures->arena, shelf->bottles, shelf->count,
                           &shelf->capacity, sizeof *shelf->bottles);
  shelf->bottles[shelf->count++] =
      (struct bottle){block->name, pl_oil_viscosity(&law, shelf->temperature)};
}

/// How far a viscosity is from the wanted one, on the scale on which oils are apart.
static double apart(double viscosity, double wanted) {
  return fabs(log(viscosity / wanted));
}

static const char *nearest_words(struct work *work, const char *name, double viscosity,
                                 double wanted) {
  const double more = 100 * (viscosity / wanted - 1);
  return pl_format(work->figures->arena, "%s (%.0f %% %s)", name, fabs(more),
                   more < 0 ? "thinner" : "thicker");
}

/// Says which bottle, or which two in halves, come nearest to the wanted viscosity.
static void note_nearest(struct work *work, double wanted, double temperature) {
  struct shelf shelf = {.work = work, .temperature = temperature};
  shelf.program = pl_setup_program(work->figures->setup);
  pl_program_each(shelf.program, PL_BLOCK_OIL, put_on_shelf, &shelf);
  if (shelf.count == 0) return;
  const struct bottle *best = &shelf.bottles[0];
  size_t halves[2] = {0, 0};
  double of_halves = shelf.bottles[0].viscosity;
  for (size_t i = 0; i < shelf.count; i++) {
    const struct bottle *const one = &shelf.bottles[i];
    if (apart(one->viscosity, wanted) < apart(best->viscosity, wanted)) best = one;
    for (size_t j = 0; j < i; j++) {
      // Half and half by volume: the mean of the logarithms.
      const double blend = sqrt(one->viscosity * shelf.bottles[j].viscosity);
      if (apart(blend, wanted) >= apart(of_halves, wanted)) continue;
      of_halves = blend;
      halves[0] = j;
      halves[1] = i;
    }
  }
  const char *words = nearest_words(work, best->name, best->viscosity, wanted);
  if (halves[0] != halves[1] && apart(of_halves, wanted) < apart(best->viscosity, wanted)) {
    const char *const both =
        pl_format(work->figures->arena, "half %s, half %s", shelf.bottles[halves[0]].name,
                  shelf.bottles[halves[1]].name);
    words = pl_format(work->figures->arena, "%s; closer: %s", words,
                      nearest_words(work, both, of_halves, wanted));
  }
  detail(work, words);
}

double equivalent_oil(struct work *work) {
  struct pl_figures *const base = work->figures->base;
  if (base == NULL) {
    lacks(work, "a base setup to compare with");
    return NAN;
  }
  const struct pl_figure_value *const in =
      pl_figure_get(base, PL_FIGURE_DAMPING_SLOW_COMPRESSION, work->place);
  const struct pl_figure_value *const out =
      pl_figure_get(base, PL_FIGURE_DAMPING_SLOW_REBOUND, work->place);
  const struct corner *const corner = with_damper(work);
  const double temperature = figure(work, PL_FIGURE_SHOCK_TEMPERATURE);
  const double viscosity = figure(work, PL_FIGURE_OIL_VISCOSITY);
  for (size_t i = 0; i < in->need_count; i++) lacks(work, in->needs[i]);
  if (corner == NULL || !in->present || !out->present) return NAN;
  const struct wanted_oil wanted = {.corner = corner,
                                    .temperature = temperature,
                                    .dynamic = corner->fluid.dynamic_viscosity / viscosity,
                                    .damping = (in->value + out->value) / 2};
  double found = NAN;
  // From 0.1 to 10 million cSt: far beyond any bottle, so that the root is inside.
  if (!pl_find_root(slow_excess, &wanted, log(1e-7), log(10), 1e-12, &found)) return NAN;
  note_nearest(work, pl_silicone_viscosity(exp(found), PL_OIL_NAMED_AT, temperature),
               temperature);
  return exp(found);
}
