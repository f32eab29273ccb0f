// SPDX-License-Identifier: GPL-3.0-or-later
// The springs on one shock: preload, the opposed spring, and what they hold together.
#include "numbers.h"
#include "pitleaf/physics.h"

// Each spring is at a deflection of its own: the main one gains what the opposed one loses.
static double main_deflection(const struct pl_shock_springs *springs, double compression) {
  return springs->preload + compression;
}

static double opposed_deflection(const struct pl_shock_springs *springs, double compression) {
  return springs->opposed_deflection - compression;
}

static double opposed_force(const struct pl_shock_springs *springs, double compression) {
  if (springs->opposed == NULL) return 0.0;
  return pl_spring_force(springs->opposed, opposed_deflection(springs, compression));
}

double pl_shock_spring_force(const struct pl_shock_springs *springs, double compression) {
  if (springs->main == NULL) return NAN;
  return pl_spring_force(springs->main, main_deflection(springs, compression)) -
         opposed_force(springs, compression);
}

double pl_shock_spring_stiffness(const struct pl_shock_springs *springs, double compression) {
  if (springs->main == NULL) return NAN;
  const double main = pl_spring_stiffness(springs->main, main_deflection(springs, compression));
  if (springs->opposed == NULL) return main;
  return main + pl_spring_stiffness(springs->opposed, opposed_deflection(springs, compression));
}

double pl_shock_spring_energy(const struct pl_shock_springs *springs, double compression) {
  if (springs->main == NULL) return NAN;
  const double main = pl_spring_energy(springs->main, main_deflection(springs, compression));
  if (springs->opposed == NULL) return main;
  return main + pl_spring_energy(springs->opposed, opposed_deflection(springs, compression));
}

double pl_travel_to_bind(const struct pl_shock_springs *springs, double compression) {
  if (springs->main == NULL) return NAN;
  return pl_spring_bind(springs->main) - main_deflection(springs, compression);
}

double pl_preload_from_collar(double free_length, double perch_gap, double collar) {
  if (!pl_is_positive(free_length) || !isfinite(perch_gap) || !isfinite(collar)) return NAN;
  return free_length - (perch_gap - collar);
}

double pl_collar_for_preload(double free_length, double perch_gap, double preload) {
  if (!pl_is_positive(free_length) || !isfinite(perch_gap) || !isfinite(preload)) return NAN;
  return perch_gap - (free_length - preload);
}

double pl_preload_needed(const struct pl_shock_springs *springs, double compression,
                         double gas_force, double motion_ratio, double wheel_force) {
  if (springs->main == NULL || !(motion_ratio > 0.0)) return NAN;
  const double needed =
      wheel_force / motion_ratio - gas_force + opposed_force(springs, compression);
  return pl_spring_deflection(springs->main, needed) - compression;
}
