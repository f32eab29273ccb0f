// SPDX-License-Identifier: GPL-3.0-or-later
// Damping: the oil at its temperature, the piston, and what they do together.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- oil

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
    note(work, pl_format(work->figures->arena,
                         "the temperature is %.0f K outside the oil's data", beyond));
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
    note(work,
         pl_format(work->figures->arena,
                   "the air is %.0f %% of the emulsion: past 20 %% its damping is a guess",
                   100 * fraction));
  corner->fluid.dynamic_viscosity =
      pl_emulsion_viscosity(corner->fluid.dynamic_viscosity, fraction);
  corner->fluid.density = pl_emulsion_density(density, fraction);
  return true;
}

// ---------------------------------------------------------------- piston

static enum pl_flow_way way_of(enum pl_one_way one_way) {
  switch (one_way) {
  case PL_ONE_WAY_COMPRESSION: return PL_FLOW_COMPRESSION;
  case PL_ONE_WAY_REBOUND: return PL_FLOW_REBOUND;
  case PL_BOTH_WAYS: break;
  }
  return PL_FLOW_BOTH;
}

/// A piston that is given by its ports alone takes the setup's thickness.
static double thickness_of(struct work *work) {
  const double own = optional_of_part(work, PL_SETTING_PISTON, PL_SETTING_THICKNESS);
  if (!isnan(own)) return own;
  if (!is_given(work, PL_SETTING_PISTON_THICKNESS))
    note(work, "the piston's thickness is not declared: 2.4 mm is assumed");
  return optional(work, PL_SETTING_PISTON_THICKNESS);
}

bool build_piston(struct work *work, struct corner *corner) {
  const struct pl_part *const part = need_part(work, PL_SETTING_PISTON);
  struct pl_piston *const piston = &corner->piston;
  const double bore = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_BORE);
  const double shaft = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SHAFT);
  *piston = (struct pl_piston){.bore = bore, .shaft = shaft};
  if (part == NULL) return false;
  const struct pl_value *const ports = &pl_part_get(part, PL_SETTING_PORTS)->value;
  optional_of_part(work, PL_SETTING_PISTON, PL_SETTING_PORTS);
  if (ports->kind != PL_VALUE_PORTS || ports->count > PL_PORT_SETS) {
    lacks(work, "piston.ports");
    return false;
  }
  piston->thickness = thickness_of(work);
  piston->diameter = optional_of_part(work, PL_SETTING_PISTON, PL_SETTING_DIAMETER);
  piston->set_count = ports->count;
  for (size_t i = 0; i < ports->count; i++) {
    const struct pl_ports *const set = &ports->many.ports[i];
    piston->sets[i] = (struct pl_port_set){.count = set->count,
                                           .diameter_cap_side = set->cap_diameter,
                                           .diameter_shaft_side = set->shaft_diameter,
                                           .way = way_of(set->one_way),
                                           .opens_at = set->opens_at};
  }
  return !isnan(piston->bore) && !isnan(piston->shaft);
}

/// Piston and fluid of the corner, or null.
static const struct corner *with_damper(struct work *work) {
  const struct corner *const piston = with(work, ASSEMBLY_PISTON);
  const struct corner *const fluid = with(work, ASSEMBLY_FLUID);
  return piston == NULL ? NULL : fluid;
}

// ---------------------------------------------------------------- damping

static double slow(struct work *work, bool compression) {
  const struct corner *const corner = with_damper(work);
  if (corner == NULL) return NAN;
  return pl_piston_slow_damping(&corner->piston, &corner->fluid, compression);
}

double damping_slow_compression(struct work *work) {
  return slow(work, true);
}

double damping_slow_rebound(struct work *work) {
  return slow(work, false);
}

/// Tells what goes on in the ports at a shaft speed; the law is sure where it was checked.
static void detail_ports(struct work *work, const struct corner *corner, double speed) {
  const struct pl_piston *const piston = &corner->piston;
  const double pressure = pl_piston_pressure(piston, &corner->fluid, speed);
  bool sure = true;
  for (size_t i = 0; i < piston->set_count; i++) {
    const struct pl_port_set *const set = &piston->sets[i];
    const double narrowest = fmin(set->diameter_cap_side, set->diameter_shaft_side);
    struct pl_port_state port;
    if (!pl_port_state(piston, i, &corner->fluid, pressure, &port) || port.flow == 0) continue;
    detail(work, pl_format(work->figures->arena,
                           "%.2f mm wide: %.2f m/s, Reynolds number %.1f, shear rate %.0f 1/s",
                           narrowest * 1e3, port.mean_speed, port.reynolds, port.shear_rate));
    const double slenderness = piston->thickness / narrowest;
    sure &= port.reynolds >= 20 && port.reynolds <= 350 && slenderness >= 2 && slenderness <= 4;
  }
  if (!sure)
    detail(work,
           "the kinetic loss was checked against a published correlation for Reynolds numbers "
           "of 20 to 350 in ports two to four times as long as wide; outside that it is "
           "less sure");
}

double damping_fast_compression(struct work *work) {
  const struct corner *const corner = with_damper(work);
  const double speed = need(work, PL_SETTING_FAST_SPEED);
  if (corner == NULL) return NAN;
  if (speed > figure(work, PL_FIGURE_CAVITATION_SPEED))
    note(work, "fast-speed is beyond the cavitation speed: compression damping is overstated");
  detail_ports(work, corner, speed);
  return pl_piston_damping(&corner->piston, &corner->fluid, speed);
}

double damping_fast_rebound(struct work *work) {
  const struct corner *const corner = with_damper(work);
  const double speed = need(work, PL_SETTING_FAST_SPEED);
  if (corner == NULL) return NAN;
  detail_ports(work, corner, -speed);
  return pl_piston_damping(&corner->piston, &corner->fluid, -speed);
}

/// The damping ratio at the wheel that a damping of the shock gives.
static double ratio_of(struct work *work, double damping) {
  const double lever = figure(work, PL_FIGURE_MOTION_RATIO);
  const double rate = figure(work, PL_FIGURE_WHEEL_RATE);
  return pl_damping_ratio(damping, lever, rate, figure(work, PL_FIGURE_SPRUNG_MASS));
}

double damping_ratio_slow(struct work *work) {
  const double compression = figure(work, PL_FIGURE_DAMPING_SLOW_COMPRESSION);
  const double rebound = figure(work, PL_FIGURE_DAMPING_SLOW_REBOUND);
  return ratio_of(work, (compression + rebound) / 2);
}

double damping_ratio_fast(struct work *work) {
  const double compression = figure(work, PL_FIGURE_DAMPING_FAST_COMPRESSION);
  const double rebound = figure(work, PL_FIGURE_DAMPING_FAST_REBOUND);
  return ratio_of(work, (compression + rebound) / 2);
}

double damping_ratio_compression(struct work *work) {
  return ratio_of(work, figure(work, PL_FIGURE_DAMPING_SLOW_COMPRESSION));
}

double damping_ratio_rebound(struct work *work) {
  return ratio_of(work, figure(work, PL_FIGURE_DAMPING_SLOW_REBOUND));
}

double pack_speed(struct work *work) {
  const struct corner *const corner = with_damper(work);
  if (corner == NULL) return NAN;
  return pl_pack_speed(&corner->piston, &corner->fluid);
}

double cavitation_speed(struct work *work) {
  const struct corner *const corner = with_damper(work);
  const double charge = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_CHARGE);
  if (corner == NULL) return NAN;
  return pl_cavitation_speed(&corner->piston, &corner->fluid,
                             PL_STANDARD_ATMOSPHERE + (isnan(charge) ? 0 : charge));
}

// ---------------------------------------------------------------- the oil that would do the
// same

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
  return exp(found);
}
