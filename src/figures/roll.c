// SPDX-License-Identifier: GPL-3.0-or-later
// Roll: bars, roll rates, and how the two axles share the load.
#include "room.h"

#include <math.h>
#include <string.h>

/// A bar that is named but not measured has a rate that nobody knows; no name and no wire: no
/// bar.
static double without_wire(struct work *work) {
  const char *const name = optional_word(work, PL_SETTING_BAR);
  if (name[0] == '\0' || strcmp(name, "none") == 0) return 0;
  lacks(work, pl_settings[PL_SETTING_BAR_WIRE].key);
  return NAN;
}

double bar_roll_rate(struct work *work) {
  const double wire = optional(work, PL_SETTING_BAR_WIRE);
  if (isnan(wire)) return without_wire(work);
  const struct pl_bar bar = {.wire = wire,
                             .length = need(work, PL_SETTING_BAR_LENGTH),
                             .lever = need(work, PL_SETTING_BAR_LEVER),
                             .ratio = need(work, PL_SETTING_BAR_RATIO),
                             .shear_modulus = NAN,
                             .youngs_modulus = NAN};
  return pl_bar_roll_rate(&bar, need(work, PL_SETTING_TRACK));
}

/// Springs of a beam act in roll on their own base, not on the wheels'.
static double roll_leverage(struct work *work, enum pl_place corner_place, double track) {
  struct work side = *work;
  side.place = corner_place;
  const struct corner *const corner = with(&side, ASSEMBLY_AT_RIDE);
  if (corner == NULL || !corner->linkage.beam) return 1;
  const double base = 2 * corner->at_ride.shock_bottom.y / track;
  return base * base;
}

double roll_rate(struct work *work) {
  const bool front = work->place == PL_FRONT;
  const enum pl_place left = front ? PL_FRONT_LEFT : PL_REAR_LEFT;
  const enum pl_place right = front ? PL_FRONT_RIGHT : PL_REAR_RIGHT;
  const double track = need(work, PL_SETTING_TRACK);
  const double left_rate =
      figure_at(work, PL_FIGURE_WHEEL_RATE, left) * roll_leverage(work, left, track);
  const double right_rate =
      figure_at(work, PL_FIGURE_WHEEL_RATE, right) * roll_leverage(work, right, track);
  const double bar = figure(work, PL_FIGURE_BAR_ROLL_RATE);
  return pl_axle_roll_rate((left_rate + right_rate) / 2, track, bar);
}

double front_roll_share(struct work *work) {
  const double front = figure_at(work, PL_FIGURE_ROLL_RATE, PL_FRONT);
  const double rear = figure_at(work, PL_FIGURE_ROLL_RATE, PL_REAR);
  return front / (front + rear);
}

/// Both corners of an axle, summed.
static double sum_of_axle(struct work *work, enum pl_figure wanted, enum pl_place axle) {
  struct work own = *work;
  own.place = axle;
  return 2 * mean_of_axle(&own, wanted);
}

/// Both sprung masses, and the arm from the roll axis to the centre of gravity.
static double roll_arm(struct work *work, double *front_mass, double *rear_mass) {
  *front_mass = sum_of_axle(work, PL_FIGURE_SPRUNG_MASS, PL_FRONT);
  *rear_mass = sum_of_axle(work, PL_FIGURE_SPRUNG_MASS, PL_REAR);
  return pl_roll_arm(need(work, PL_SETTING_CG_HEIGHT),
                     figure_at(work, PL_FIGURE_ROLL_CENTRE_HEIGHT, PL_FRONT),
                     figure_at(work, PL_FIGURE_ROLL_CENTRE_HEIGHT, PL_REAR),
                     *front_mass / (*front_mass + *rear_mass));
}

double roll_gradient(struct work *work) {
  double front_mass = 0;
  double rear_mass = 0;
  const double arm = roll_arm(work, &front_mass, &rear_mass);
  const double rate = figure_at(work, PL_FIGURE_ROLL_RATE, PL_FRONT) +
                      figure_at(work, PL_FIGURE_ROLL_RATE, PL_REAR);
  return pl_roll_gradient(rate, front_mass + rear_mass, arm, need(work, PL_SETTING_GRAVITY));
}

static struct pl_roll_axle axle_of(struct work *work, enum pl_place axle, double sprung_mass) {
  const bool front = axle == PL_FRONT;
  const enum pl_place left = front ? PL_FRONT_LEFT : PL_REAR_LEFT;
  const enum pl_place right = front ? PL_FRONT_RIGHT : PL_REAR_RIGHT;
  return (struct pl_roll_axle){
      .roll_rate = figure_at(work, PL_FIGURE_ROLL_RATE, axle),
      .track = need_at(work, PL_SETTING_TRACK, axle),
      .roll_centre_height = figure_at(work, PL_FIGURE_ROLL_CENTRE_HEIGHT, axle),
      .sprung_mass = sprung_mass,
      .unsprung_mass = need_at(work, PL_SETTING_UNSPRUNG_MASS, left) +
                       need_at(work, PL_SETTING_UNSPRUNG_MASS, right),
      .unsprung_height = (need_at(work, PL_SETTING_TYRE_RADIUS, left) +
                          need_at(work, PL_SETTING_TYRE_RADIUS, right)) /
                         2};
}

double front_transfer_share(struct work *work) {
  double front_mass = 0;
  double rear_mass = 0;
  const double arm = roll_arm(work, &front_mass, &rear_mass);
  const struct pl_roll_axle front = axle_of(work, PL_FRONT, front_mass);
  const struct pl_roll_axle rear = axle_of(work, PL_REAR, rear_mass);
  struct pl_load_transfer front_transfer;
  struct pl_load_transfer rear_transfer;
  const double gravity = need(work, PL_SETTING_GRAVITY);
  if (!pl_load_transfer(&front, &rear, arm, gravity, gravity, &front_transfer, &rear_transfer))
    return NAN;
  return front_transfer.total / (front_transfer.total + rear_transfer.total);
}
