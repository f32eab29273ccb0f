// SPDX-License-Identifier: GPL-3.0-or-later
// The round-wire helical compression spring: rate, coils, length and stress.
#include "numbers.h"
#include "pitleaf/physics.h"

// How an end type counts (Shigley's Mechanical Engineering Design, 10th ed., Table 10-1).
struct pl_end_row {
  double dead_coils;  // of both ends together
  double extra_wires; // that the solid length has beyond the total coils
};

static const struct pl_end_row end_rows[] = {
    [PL_ENDS_CLOSED_GROUND] = {2.0, 0.0},
    [PL_ENDS_CLOSED] = {2.0, 1.0},
    [PL_ENDS_PLAIN] = {0.0, 1.0},
    [PL_ENDS_PLAIN_GROUND] = {1.0, 0.0},
};

static const struct pl_end_row *end_row(enum pl_spring_ends ends) {
  const size_t index = (size_t)ends;
  return index < sizeof end_rows / sizeof end_rows[0] ? &end_rows[index] : NULL;
}

double pl_coil_spring_rate(double shear_modulus, double wire, double mean_diameter,
                           double active_coils) {
  if (!pl_is_positive(shear_modulus) || !pl_is_positive(wire) || !(mean_diameter > wire) ||
      !isfinite(mean_diameter) || !pl_is_positive(active_coils))
    return NAN;
  return shear_modulus * pl_square(pl_square(wire)) /
         (8.0 * pl_cube(mean_diameter) * active_coils);
}

double pl_coil_spring_active_coils(double shear_modulus, double wire, double mean_diameter,
                                   double rate) {
  if (!pl_is_positive(rate)) return NAN;
  return pl_coil_spring_rate(shear_modulus, wire, mean_diameter, 1.0) / rate;
}

double pl_active_coils(enum pl_spring_ends ends, double total_coils) {
  const struct pl_end_row *row = end_row(ends);
  if (row == NULL || !isfinite(total_coils) || !(total_coils > row->dead_coils)) return NAN;
  return total_coils - row->dead_coils;
}

double pl_total_coils(enum pl_spring_ends ends, double active_coils) {
  const struct pl_end_row *row = end_row(ends);
  if (row == NULL || !pl_is_positive(active_coils)) return NAN;
  return active_coils + row->dead_coils;
}

double pl_solid_length(enum pl_spring_ends ends, double wire, double total_coils) {
  const struct pl_end_row *row = end_row(ends);
  if (row == NULL || !pl_is_positive(wire) || !pl_is_positive(total_coils)) return NAN;
  return wire * (total_coils + row->extra_wires);
}

double pl_bergstraesser_factor(double spring_index) {
  if (!isfinite(spring_index) || !(spring_index > 1.0)) return NAN;
  return (4.0 * spring_index + 2.0) / (4.0 * spring_index - 3.0);
}

double pl_coil_spring_stress(double force, double wire, double mean_diameter) {
  if (!pl_is_positive(wire) || !isfinite(force)) return NAN;
  return pl_bergstraesser_factor(mean_diameter / wire) * 8.0 * force * mean_diameter /
         (PL_PI * pl_cube(wire));
}
