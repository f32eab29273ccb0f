// SPDX-License-Identifier: GPL-3.0-or-later
// The shaft as a column, and how its bushing holds it.
#include "numbers.h"
#include "pitleaf/physics.h"

double pl_bushing_overlap(double hardware_overlap, double limiter) {
  if (!pl_is_zero_or_more(hardware_overlap) || !pl_is_zero_or_more(limiter)) return NAN;
  return hardware_overlap + limiter;
}

double pl_round_second_moment(double diameter) {
  if (!pl_is_positive(diameter)) return NAN;
  return PL_PI * pl_square(pl_square(diameter)) / 64.0;
}

double pl_euler_load(double youngs_modulus, double second_moment, double length) {
  if (!pl_is_positive(youngs_modulus) || !pl_is_positive(second_moment) ||
      !pl_is_positive(length))
    return NAN;
  return pl_square(PL_PI / length) * youngs_modulus * second_moment;
}

double pl_euler_least_length(double youngs_modulus, double limit, double radius_of_gyration) {
  if (!pl_is_positive(youngs_modulus) || !pl_is_positive(limit) ||
      !pl_is_positive(radius_of_gyration))
    return NAN;
  return PL_PI * radius_of_gyration * sqrt(youngs_modulus / limit);
}

double pl_johnson_load(double youngs_modulus, double yield, double diameter, double length) {
  if (!pl_is_positive(youngs_modulus) || !pl_is_positive(yield) || !pl_is_positive(diameter) ||
      !pl_is_zero_or_more(length))
    return NAN;
  const double area = PL_PI / 4.0 * pl_square(diameter);
  const double slenderness = length / (diameter / 4.0);
  return area * yield *
         (1.0 - yield * pl_square(slenderness) / (4.0 * pl_square(PL_PI) * youngs_modulus));
}

double pl_buckling_load(double youngs_modulus, double yield, double diameter, double length) {
  const double euler = pl_euler_load(youngs_modulus, pl_round_second_moment(diameter), length);
  if (isnan(yield)) return euler;
  // Euler and Johnson meet where Euler's stress is half the yield stress.
  const double border = pl_euler_least_length(youngs_modulus, 0.5 * yield, diameter / 4.0);
  if (isnan(border)) return NAN;
  return length < border ? pl_johnson_load(youngs_modulus, yield, diameter, length) : euler;
}
