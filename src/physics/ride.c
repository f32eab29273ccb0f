// SPDX-License-Identifier: GPL-3.0-or-later
// Masses on the wheels, wheel rates, frequencies and damping ratios.
#include "numbers.h"
#include "pitleaf/physics.h"

// Adds a mass of which `front` stands on the front axle, with its share on the left wheels of
// each axle.
static void add_mass(struct pl_corner_masses *masses, double mass, double front,
                     double front_left, double rear_left) {
  masses->front_left += mass * front * front_left;
  masses->front_right += mass * front * (1.0 - front_left);
  masses->rear_left += mass * (1.0 - front) * rear_left;
  masses->rear_right += mass * (1.0 - front) * (1.0 - rear_left);
}

bool pl_corner_masses(const struct pl_mass_layout *layout, const struct pl_point_mass *ballast,
                      size_t count, struct pl_corner_masses *masses) {
  *masses = (struct pl_corner_masses){NAN, NAN, NAN, NAN};
  if (!pl_is_positive(layout->mass) || !pl_is_share(layout->front_share) ||
      !pl_is_share(layout->left_share))
    return false;
  if (count > 0 &&
      (!pl_is_positive(layout->wheelbase) || !pl_is_positive(layout->front_track) ||
       !pl_is_positive(layout->rear_track)))
    return false;
  for (size_t i = 0; i < count; i++)
    if (!pl_is_zero_or_more(ballast[i].mass) || !isfinite(ballast[i].forward) ||
        !isfinite(ballast[i].left))
      return false;

  *masses = (struct pl_corner_masses){0.0, 0.0, 0.0, 0.0};
  add_mass(masses, layout->mass, layout->front_share, layout->left_share, layout->left_share);
  for (size_t i = 0; i < count; i++)
    add_mass(masses, ballast[i].mass, 0.5 + ballast[i].forward / layout->wheelbase,
             0.5 + ballast[i].left / layout->front_track,
             0.5 + ballast[i].left / layout->rear_track);
  return true;
}

double pl_wheel_rate(double stiffness, double motion_ratio, double force,
                     double motion_ratio_slope) {
  return stiffness * pl_square(motion_ratio) + force * motion_ratio_slope;
}

double pl_series_rate(double a, double b) {
  if (!(a >= 0.0) || !(b >= 0.0)) return NAN;
  return 1.0 / (1.0 / a + 1.0 / b);
}

double pl_natural_frequency(double stiffness, double mass) {
  if (!pl_is_zero_or_more(stiffness) || !pl_is_positive(mass)) return NAN;
  return sqrt(stiffness / mass) / (2.0 * PL_PI);
}

double pl_damping_ratio(double damping, double motion_ratio, double wheel_rate,
                        double sprung_mass) {
  if (!pl_is_positive(wheel_rate) || !pl_is_positive(sprung_mass)) return NAN;
  return damping * pl_square(motion_ratio) / (2.0 * sqrt(wheel_rate * sprung_mass));
}
