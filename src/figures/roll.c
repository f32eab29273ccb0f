// SPDX-License-Identifier: GPL-3.0-or-later
// Roll: bars, roll rates, and how the two axles share the load.
#include "room.h"

#include <math.h>
#include <string.h>

/// A bar that is named but not measured has a rate that nobody knows; no name and no wire: no
/// bar. The name goes with the wire: alone it says nothing.
static double without_wire(struct work *work) {
  const char *const name = optional_word_beside(work, PL_SETTING_BAR, PL_SETTING_BAR_WIRE);
  if (name[0] == '\0') return 0;
  lacks(work, pl_settings[PL_SETTING_BAR_WIRE].key);
  return NAN;
}

static bool has_wire(const struct pl_setup *setup, enum pl_place place) {
  return pl_setup_get(setup, PL_SETTING_BAR_WIRE, place)->given;
}

/// Whether the bar is said to be none. The name goes with the wire; where both setups of a
/// comparison have a wire, a name that is looked at as changed says by itself what became of
/// it.
static bool is_taken_off(struct work *work) {
  const struct pl_setup *const setup = work->figures->setup;
  const struct pl_setup *const named = setup_for(work, PL_SETTING_BAR, work->place);
  const bool alone =
      named != setup && has_wire(setup, work->place) && has_wire(named, work->place);
  const char *const name =
      alone ? optional_word(work, PL_SETTING_BAR)
            : optional_word_beside(work, PL_SETTING_BAR, PL_SETTING_BAR_WIRE);
  return strcmp(name, "none") == 0;
}

double bar_roll_rate(struct work *work) {
  const double wire = optional(work, PL_SETTING_BAR_WIRE);
  if (is_taken_off(work)) {
    if (!isnan(wire)) note(work, "the bar is none: its wire does not count");
    return 0;
  }
  if (isnan(wire)) return without_wire(work);
  const double length = need(work, PL_SETTING_BAR_LENGTH);
  const double lever = need(work, PL_SETTING_BAR_LEVER);
  const double ratio = need(work, PL_SETTING_BAR_RATIO);
  const struct pl_bar bar = {.wire = wire,
                             .length = length,
                             .lever = lever,
                             .ratio = ratio,
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
  const double left_rate = figure_at(work, PL_FIGURE_WHEEL_RATE, left);
  const double right_rate = figure_at(work, PL_FIGURE_WHEEL_RATE, right);
  const double left_leverage = roll_leverage(work, left, track);
  const double right_leverage = roll_leverage(work, right, track);
  const double bar = figure(work, PL_FIGURE_BAR_ROLL_RATE);
  const double mean = (left_rate * left_leverage + right_rate * right_leverage) / 2;
  return pl_axle_roll_rate(mean, track, bar);
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
  const double height = need(work, PL_SETTING_CG_HEIGHT);
  const double front_centre = figure_at(work, PL_FIGURE_ROLL_CENTRE_HEIGHT, PL_FRONT);
  const double rear_centre = figure_at(work, PL_FIGURE_ROLL_CENTRE_HEIGHT, PL_REAR);
  return pl_roll_arm(height, front_centre, rear_centre,
                     *front_mass / (*front_mass + *rear_mass));
}

/// A value that a car has which does not fall over by its own weight.
static double upright(struct work *work, double value) {
  return explained(work, value, PL_SETTING_CG_HEIGHT,
                   "springs and bars do not hold the car upright");
}

double roll_gradient(struct work *work) {
  double front_mass = 0;
  double rear_mass = 0;
  const double arm = roll_arm(work, &front_mass, &rear_mass);
  const double front_rate = figure_at(work, PL_FIGURE_ROLL_RATE, PL_FRONT);
  const double rear_rate = figure_at(work, PL_FIGURE_ROLL_RATE, PL_REAR);
  const double gravity = need(work, PL_SETTING_GRAVITY);
  return upright(
      work, pl_roll_gradient(front_rate + rear_rate, front_mass + rear_mass, arm, gravity));
}

/// An axle by what it carries on springs: what its wheels move by themselves goes by no
/// setting.
static struct pl_roll_axle axle_of(struct work *work, enum pl_place axle, double carried) {
  const double rate = figure_at(work, PL_FIGURE_ROLL_RATE, axle);
  const double track = need_at(work, PL_SETTING_TRACK, axle);
  const double roll_centre = figure_at(work, PL_FIGURE_ROLL_CENTRE_HEIGHT, axle);
  return (struct pl_roll_axle){.roll_rate = rate,
                               .track = track,
                               .roll_centre_height = roll_centre,
                               .sprung_mass = carried,
                               .unsprung_mass = 0};
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
    return upright(work, NAN);
  return front_transfer.total / (front_transfer.total + rear_transfer.total);
}
