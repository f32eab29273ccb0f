// SPDX-License-Identifier: GPL-3.0-or-later
// What the shaft displaces, the gas behind it, and the gears.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- gas

/// Behind a bladder, or in an emulsion, air is trapped; a vented cap traps none.
bool build_gas(struct work *work, struct corner *corner) {
  if (need_part(work, PL_SETTING_DAMPER) == NULL) return false;
  const char *const compensation =
      choice_of_part(work, PL_SETTING_DAMPER, PL_SETTING_COMPENSATION);
  if (compensation[0] == '\0')
    note(work, "the shock's compensation is not declared: no trapped air is counted");
  corner->has_gas =
      strcmp(compensation, "bladder") == 0 || strcmp(compensation, "emulsion") == 0;
  if (!corner->has_gas) return true;
  const double charge = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_CHARGE);
  const double volume = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_AIR_VOLUME);
  corner->gas =
      (struct pl_gas_chamber){.ambient = PL_STANDARD_ATMOSPHERE,
                              .charge = isnan(charge) ? 0 : charge,
                              .volume = volume,
                              .shaft = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SHAFT),
                              .exponent = 1};
  return !isnan(corner->gas.volume) && !isnan(corner->gas.shaft);
}

/// A force or a rate of the gas, which the shaft may have left no room.
static double squeezed(struct work *work, double value) {
  return explained(work, value, PL_SETTING_DAMPER,
                   "the shaft takes all the room of the trapped air");
}

double gas_force(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_GAS);
  if (corner == NULL) return NAN;
  if (!corner->has_gas) return 0;
  return squeezed(work, pl_gas_force(&corner->gas, figure(work, PL_FIGURE_SHOCK_COMPRESSION)));
}

double gas_rate(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_GAS);
  if (corner == NULL) return NAN;
  if (!corner->has_gas) return 0;
  return squeezed(work, pl_gas_rate(&corner->gas, figure(work, PL_FIGURE_SHOCK_COMPRESSION)));
}

double gas_force_extended(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_GAS);
  if (corner == NULL) return NAN;
  return corner->has_gas ? pl_gas_force(&corner->gas, 0) : 0;
}

double gas_force_compressed(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_GAS);
  const double stroke = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE);
  const double limiter = optional(work, PL_SETTING_LIMITER);
  const double full = stroke - limiter - optional(work, PL_SETTING_BUMP_SPACER);
  if (corner == NULL) return NAN;
  return corner->has_gas ? squeezed(work, pl_gas_force(&corner->gas, full)) : 0;
}

// ---------------------------------------------------------------- volumes

double shaft_displacement(struct work *work) {
  const double shaft = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SHAFT);
  return pl_shaft_displacement(shaft, need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE));
}

double oil_fill(struct work *work) {
  return need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_OIL_VOLUME);
}

double oil_expansion(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_OIL);
  const double volume = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_OIL_VOLUME);
  const double build = need(work, PL_SETTING_BUILD_TEMPERATURE);
  const double hot = need(work, PL_SETTING_HOT_TEMPERATURE);
  if (corner == NULL) return NAN;
  return pl_oil_expansion(volume, corner->oil_expansion, build, hot);
}

double bladder_margin(struct work *work) {
  const char *const compensation =
      choice_of_part(work, PL_SETTING_DAMPER, PL_SETTING_COMPENSATION);
  const bool no_room = strcmp(compensation, "none") == 0;
  const double air = no_room ? 0 : need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_AIR_VOLUME);
  const double shaft = figure(work, PL_FIGURE_SHAFT_DISPLACEMENT);
  return pl_bladder_margin(air, shaft, figure(work, PL_FIGURE_OIL_EXPANSION));
}

// ---------------------------------------------------------------- gears

double final_drive(struct work *work) {
  const double spur = need(work, PL_SETTING_SPUR);
  const double pinion = need(work, PL_SETTING_PINION);
  return pl_final_drive(spur, pinion, need(work, PL_SETTING_INTERNAL_RATIO));
}

/// Tyres that differ in size: a differential lets the car go by their mean.
double rollout(struct work *work) {
  const double left = need_at(work, PL_SETTING_TYRE_RADIUS, PL_REAR_LEFT);
  const double right = need_at(work, PL_SETTING_TYRE_RADIUS, PL_REAR_RIGHT);
  return pl_rollout((left + right) / 2, figure(work, PL_FIGURE_FINAL_DRIVE));
}
