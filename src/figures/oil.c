// SPDX-License-Identifier: GPL-3.0-or-later
// Oil: its law, its temperature, how it flows, and which oil would do the same.
#include "room.h"

#include <math.h>
#include <stdlib.h>
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

/// The law of an oil that is no blend.
static bool law_of_oil(const struct pl_part *part, struct pl_oil_law *law) {
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

/// The law of an oil or a blend; what a blend is made of are no blends (see struct pl_part).
static bool law_of(const struct pl_part *part, struct pl_oil_law *law) {
  if (part->share_count == 0) return law_of_oil(part, law);
  struct pl_oil_law laws[PL_OIL_PARTS];
  double shares[PL_OIL_PARTS];
  if (part->share_count > PL_OIL_PARTS) return false;
  for (size_t i = 0; i < part->share_count; i++) {
    if (!law_of_oil(part->shares[i].part, &laws[i])) return false;
    shares[i] = part->shares[i].share;
  }
  return pl_oil_law_blend(laws, shares, part->share_count, law);
}

static double number_said(const struct pl_part *part, enum pl_setting setting) {
  const struct pl_value *const value = &pl_part_get(part, setting)->value;
  return value->kind == PL_VALUE_NUMBER ? value->number : NAN;
}

/// A property that parts of a blend bring by their shares.
static double blended(const struct pl_part *part, enum pl_setting setting) {
  if (part->share_count == 0) return number_said(part, setting);
  double sum = 0;
  for (size_t i = 0; i < part->share_count; i++)
    sum += part->shares[i].share * number_said(part->shares[i].part, setting);
  return sum;
}

/// Notes what an oil that is no blend says of itself.
static void note_oil(struct work *work, const struct pl_part *part) {
  note_of_part(work, PL_SETTING_OIL, part, PL_SETTING_VISCOSITY);
  note_of_part(work, PL_SETTING_OIL, part, PL_SETTING_DENSITY);
  note_of_part(work, PL_SETTING_OIL, part, PL_SETTING_EXPANSION);
}

bool build_oil(struct work *work, struct corner *corner) {
  const struct pl_part *const part = need_part(work, PL_SETTING_OIL);
  if (part == NULL) return false;
  for (size_t i = 0; i < part->share_count; i++) note_oil(work, part->shares[i].part);
  if (part->share_count == 0) note_oil(work, part);
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

double oil_density(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_OIL);
  const double temperature = figure(work, PL_FIGURE_SHOCK_TEMPERATURE);
  if (corner == NULL) return NAN;
  return pl_oil_density(corner->oil_density, corner->oil_expansion, temperature);
}

/// The oil as it flows: emulsions are thicker and lighter than their oil.
bool build_fluid(struct work *work, struct corner *corner) {
  const struct corner *const oiled = with(work, ASSEMBLY_OIL);
  const double viscosity = figure(work, PL_FIGURE_OIL_VISCOSITY);
  const double density = figure(work, PL_FIGURE_OIL_DENSITY);
  if (oiled == NULL || isnan(viscosity) || isnan(density)) return false;
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

/// An oil of the library.
struct bottle {
  const char *name;
  size_t order;         ///< in which it stands in the library
  double log_viscosity; ///< at the shock's temperature, of m2/s
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
  shelf->bottles[shelf->count] = (struct bottle){
      block->name, shelf->count, log(pl_oil_viscosity(&law, shelf->temperature))};
  if (isfinite(shelf->bottles[shelf->count].log_viscosity)) shelf->count++;
}

/// Thin ones first; equal ones as the library has them.
static int by_viscosity(const void *one, const void *other) {
  const struct bottle *const a = one;
  const struct bottle *const b = other;
  if (a->log_viscosity != b->log_viscosity) return a->log_viscosity < b->log_viscosity ? -1 : 1;
  return a->order < b->order ? -1 : 1;
}

static const char *nearest_words(struct work *work, const char *name, double log_viscosity,
                                 double wanted) {
  const double more = 100 * (exp(log_viscosity - wanted) - 1);
  return pl_format(work->figures->arena, "%s (%.0f %% %s)", name, fabs(more),
                   more < 0 ? "thinner" : "thicker");
}

/// The bottle that comes nearest to a viscosity, both as logarithms.
static const struct bottle *nearest_bottle(const struct shelf *shelf, double wanted) {
  const struct bottle *best = &shelf->bottles[0];
  for (size_t i = 1; i < shelf->count; i++) {
    const struct bottle *const bottle = &shelf->bottles[i];
    if (fabs(bottle->log_viscosity - wanted) < fabs(best->log_viscosity - wanted))
      best = bottle;
  }
  return best;
}

/// Half and half by volume: the mean of the logarithms.
static double halves_of(const struct bottle *one, const struct bottle *other) {
  return (one->log_viscosity + other->log_viscosity) / 2;
}

/// The two bottles whose halves come nearest. On the sorted shelf, of a pair that is too thick
/// the thicker bottle has no better partner among the thicker ones, and the other way round.
static void nearest_pair(const struct shelf *shelf, double wanted,
                         const struct bottle *pair[2]) {
  const double same = 1e-9; // far below what bottles differ by, far above the rounding
  double least = INFINITY;
  size_t thin = 0;
  size_t thick = shelf->count - 1;
  pair[0] = &shelf->bottles[thin];
  pair[1] = &shelf->bottles[thick];
  while (thin < thick) {
    const double blend = halves_of(&shelf->bottles[thin], &shelf->bottles[thick]);
    const double miss = fabs(blend - wanted);
    if (miss <= least + same) { // of pairs that do the same, the one more alike
      pair[0] = &shelf->bottles[thin];
      pair[1] = &shelf->bottles[thick];
      least = fmin(miss, least);
    }
    if (blend < wanted)
      thin++;
    else
      thick--;
  }
}

/// Says which bottle, or which two in halves, come nearest to the wanted viscosity.
static void note_nearest(struct work *work, double viscosity, double temperature) {
  struct shelf shelf = {.work = work, .temperature = temperature};
  const double wanted = log(viscosity);
  shelf.program = pl_setup_program(work->figures->setup);
  pl_program_each(shelf.program, PL_BLOCK_OIL, put_on_shelf, &shelf);
  if (shelf.count == 0) return;
  qsort(shelf.bottles, shelf.count, sizeof *shelf.bottles, by_viscosity);
  const struct bottle *const best = nearest_bottle(&shelf, wanted);
  const struct bottle *pair[2];
  nearest_pair(&shelf, wanted, pair);
  const double halves = halves_of(pair[0], pair[1]);
  const char *words = nearest_words(work, best->name, best->log_viscosity, wanted);
  if (fabs(halves - wanted) < fabs(best->log_viscosity - wanted)) {
    const bool in_order = pair[0]->order < pair[1]->order;
    const char *const both =
        pl_format(work->figures->arena, "half %s, half %s", pair[in_order ? 0 : 1]->name,
                  pair[in_order ? 1 : 0]->name);
    words = pl_format(work->figures->arena, "%s; closer: %s", words,
                      nearest_words(work, both, halves, wanted));
  }
  detail(work, words);
}

/// What the base's damping lacks, this figure lacks too.
static void take_reasons(struct work *work, const struct pl_figure_value *of_base) {
  for (size_t i = 0; i < of_base->need_count; i++) lacks(work, of_base->needs[i]);
  for (size_t i = 0; !of_base->present && i < of_base->note_count; i++)
    note(work, of_base->notes[i]);
}

double equivalent_oil(struct work *work) {
  struct pl_figures *const base = work->figures->base;
  if (base == NULL) {
    lacks(work, "base"); // it means something in a comparison alone
    return NAN;
  }
  const struct pl_figure_value *const in =
      pl_figure_get(base, PL_FIGURE_DAMPING_SLOW_COMPRESSION, work->place);
  const struct pl_figure_value *const out =
      pl_figure_get(base, PL_FIGURE_DAMPING_SLOW_REBOUND, work->place);
  const struct corner *const corner = with_damper(work);
  const double temperature = figure(work, PL_FIGURE_SHOCK_TEMPERATURE);
  const double viscosity = figure(work, PL_FIGURE_OIL_VISCOSITY);
  take_reasons(work, in);
  take_reasons(work, out);
  if (corner == NULL || !in->present || !out->present) return NAN;
  const struct wanted_oil wanted = {.corner = corner,
                                    .temperature = temperature,
                                    .dynamic = corner->fluid.dynamic_viscosity / viscosity,
                                    .damping = (in->value + out->value) / 2};
  double found = NAN;
  // From 0.1 to 10 million cSt: far beyond any bottle, so that the root is inside.
  if (!pl_find_root(slow_excess, &wanted, log(1e-7), log(10), 1e-12, &found))
    return explained(work, NAN, PL_SETTING_PISTON, "no oil gives the base's slow damping");
  note_nearest(work, pl_silicone_viscosity(exp(found), PL_OIL_NAMED_AT, temperature),
               temperature);
  return exp(found);
}
