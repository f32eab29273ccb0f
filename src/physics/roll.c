// SPDX-License-Identifier: GPL-3.0-or-later
// A car in a turn: roll rates, roll angle and the load that moves to the outer wheels.
#include "numbers.h"
#include "pitleaf/physics.h"

double pl_axle_roll_rate(double mean_wheel_rate, double track, double bar_roll_rate) {
  if (!isfinite(mean_wheel_rate) || !pl_is_positive(track) ||
      !pl_is_zero_or_more(bar_roll_rate))
    return NAN;
  return mean_wheel_rate * pl_square(track) / 2.0 + bar_roll_rate;
}

double pl_roll_arm(double cg_height, double front_roll_centre, double rear_roll_centre,
                   double front_share) {
  if (!pl_is_share(front_share)) return NAN;
  return cg_height - (front_share * front_roll_centre + (1.0 - front_share) * rear_roll_centre);
}

double pl_roll_gradient(double roll_rate, double sprung_mass, double roll_arm, double gravity) {
  const double moment = sprung_mass * gravity * roll_arm;
  if (!pl_is_positive(sprung_mass) || !pl_is_positive(gravity) || !isfinite(roll_arm) ||
      !isfinite(roll_rate) || !(roll_rate > moment))
    return NAN;
  return moment / (roll_rate - moment);
}

static bool axle_is_possible(const struct pl_roll_axle *axle) {
  return pl_is_zero_or_more(axle->roll_rate) && pl_is_positive(axle->track) &&
         isfinite(axle->roll_centre_height) && pl_is_positive(axle->sprung_mass) &&
         (axle->unsprung_mass == 0.0 ||
          (pl_is_positive(axle->unsprung_mass) && isfinite(axle->unsprung_height)));
}

static struct pl_load_transfer axle_transfer(const struct pl_roll_axle *axle, double roll_angle,
                                             double acceleration) {
  struct pl_load_transfer transfer = {.elastic = axle->roll_rate * roll_angle / axle->track,
                                      .geometric = axle->sprung_mass * acceleration *
                                                   axle->roll_centre_height / axle->track};
  if (axle->unsprung_mass > 0.0)
    transfer.unsprung =
        axle->unsprung_mass * acceleration * axle->unsprung_height / axle->track;
  transfer.total = transfer.elastic + transfer.geometric + transfer.unsprung;
  return transfer;
}

bool pl_load_transfer(const struct pl_roll_axle *front, const struct pl_roll_axle *rear,
                      double roll_arm, double acceleration, double gravity,
                      struct pl_load_transfer *front_transfer,
                      struct pl_load_transfer *rear_transfer) {
  *front_transfer = *rear_transfer = (struct pl_load_transfer){NAN, NAN, NAN, NAN};
  if (!axle_is_possible(front) || !axle_is_possible(rear) || !isfinite(acceleration))
    return false;
  const double gradient =
      pl_roll_gradient(front->roll_rate + rear->roll_rate,
                       front->sprung_mass + rear->sprung_mass, roll_arm, gravity);
  if (isnan(gradient)) return false;
  const double roll_angle = gradient * acceleration / gravity;
  *front_transfer = axle_transfer(front, roll_angle, acceleration);
  *rear_transfer = axle_transfer(rear, roll_angle, acceleration);
  return true;
}
