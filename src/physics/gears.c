// SPDX-License-Identifier: GPL-3.0-or-later
// From the motor to the ground.
#include "numbers.h"
#include "pitleaf/physics.h"

double pl_final_drive(double spur, double pinion, double internal_ratio) {
  if (!pl_is_positive(spur) || !pl_is_positive(pinion) || !pl_is_positive(internal_ratio))
    return NAN;
  return spur / pinion * internal_ratio;
}

double pl_rollout(double tyre_radius, double final_drive) {
  if (!pl_is_positive(tyre_radius) || !pl_is_positive(final_drive)) return NAN;
  return 2.0 * PL_PI * tyre_radius / final_drive;
}
