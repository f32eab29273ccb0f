// SPDX-License-Identifier: GPL-3.0-or-later
// Linkage: positions of the suspension and the figures of its geometry.
#include "room.h"

#include <math.h>
#include <string.h>

static bool is_beam(struct work *work) {
  return strcmp(optional_word(work, PL_SETTING_AXLE_TYPE), "beam") == 0;
}

/// Whether anything is said of a camber link. A car without one says nothing of it.
static bool says_link(const struct work *work) {
  return is_given(work, PL_SETTING_LINK_INNER) || is_given(work, PL_SETTING_LINK_OUTER) ||
         is_given(work, PL_SETTING_LINK_INNER_HOLES) ||
         is_given(work, PL_SETTING_LINK_OUTER_HOLES);
}

/// The camber link; false if there is one of which an end is not known.
static bool find_link(struct work *work, struct pl_linkage *linkage) {
  const bool inner = optional_point(work, PL_SETTING_LINK_INNER, &linkage->link_inner);
  const bool outer = optional_point(work, PL_SETTING_LINK_OUTER, &linkage->link_outer);
  linkage->has_link = inner && outer;
  if (linkage->has_link || !says_link(work)) return true;
  if (!inner) lacks(work, pl_settings[PL_SETTING_LINK_INNER].key);
  if (!outer) lacks(work, pl_settings[PL_SETTING_LINK_OUTER].key);
  return false;
}

bool build_linkage(struct work *work, struct corner *corner) {
  struct pl_linkage *const linkage = &corner->linkage;
  *linkage = (struct pl_linkage){.beam = is_beam(work)};
  bool whole = true;
  if (!linkage->beam) {
    whole &= need_point(work, PL_SETTING_ARM_INNER, &linkage->arm_inner);
    whole &= need_point(work, PL_SETTING_ARM_OUTER, &linkage->arm_outer);
    whole &= find_link(work, linkage);
  }
  whole &= need_point(work, PL_SETTING_WHEEL_CENTRE, &linkage->wheel_centre);
  whole &= need_point(work, PL_SETTING_SHOCK_TOP, &linkage->shock_top);
  whole &= need_point(work, PL_SETTING_SHOCK_BOTTOM, &linkage->shock_bottom);
  return whole;
}

/// Says at which wheel travel the linkage locks.
static void warn_lock(struct work *work, const struct pl_linkage_state *state,
                      enum pl_setting about, const char *where) {
  if (isnan(state->travel)) {
    warn(work, PL_SETTING_ARM_INNER, "the points make no linkage");
    return;
  }
  warn(work, about,
       pl_format(work->figures->arena,
                 "the linkage cannot reach %s: it locks %.1f mm from its drawn position", where,
                 state->travel * 1e3));
}

bool build_at_ride(struct work *work, struct corner *corner) {
  const struct corner *const linked = with(work, ASSEMBLY_LINKAGE);
  const double radius = need(work, PL_SETTING_TYRE_RADIUS);
  const double height = need(work, PL_SETTING_RIDE_HEIGHT);
  if (linked == NULL || isnan(radius) || isnan(height)) return false;
  const bool reached =
      pl_linkage_at_height(&linked->linkage, radius - height, &corner->at_ride);
  if (!reached) warn_lock(work, &corner->at_ride, PL_SETTING_RIDE_HEIGHT, "ride height");
  return reached;
}

/// Length of the shock at full extension, its limiters counted; NaN if it is not known.
static double longest(struct work *work) {
  const double extended = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_EXTENDED_LENGTH);
  return extended - optional(work, PL_SETTING_LIMITER);
}

/// Length at full compression, the bump spacers counted.
static double shortest(struct work *work) {
  const double extended = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_EXTENDED_LENGTH);
  const double stroke = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_STROKE);
  return extended - stroke + optional(work, PL_SETTING_BUMP_SPACER);
}

bool build_at_droop(struct work *work, struct corner *corner) {
  const struct corner *const linked = with(work, ASSEMBLY_LINKAGE);
  const double length = longest(work);
  if (linked == NULL || isnan(length)) return false;
  const bool reached = pl_linkage_at_shock_length(&linked->linkage, length, &corner->at_droop);
  if (!reached)
    warn_lock(work, &corner->at_droop, PL_SETTING_LIMITER, "full extension of the shock");
  return reached;
}

bool build_at_bump(struct work *work, struct corner *corner) {
  const struct corner *const linked = with(work, ASSEMBLY_LINKAGE);
  const double length = shortest(work);
  if (linked == NULL || isnan(length)) return false;
  const bool reached = pl_linkage_at_shock_length(&linked->linkage, length, &corner->at_bump);
  if (!reached)
    warn_lock(work, &corner->at_bump, PL_SETTING_BUMP_SPACER, "full compression of the shock");
  return reached;
}

// ---------------------------------------------------------------- figures at ride height

double shock_length(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_AT_RIDE);
  return corner == NULL ? NAN : corner->at_ride.shock_length;
}

double shock_angle(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_AT_RIDE);
  return corner == NULL ? NAN : corner->at_ride.shock_angle;
}

double motion_ratio(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_AT_RIDE);
  return corner == NULL ? NAN : corner->at_ride.motion_ratio;
}

double motion_ratio_slope(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_AT_RIDE);
  return corner == NULL ? NAN : corner->at_ride.motion_ratio_slope;
}

double camber_gain(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_AT_RIDE);
  if (corner == NULL) return NAN;
  if (corner->linkage.beam) return 0; // both wheels of a beam rise together
  struct pl_point unused;
  const bool inner = need_point(work, PL_SETTING_LINK_INNER, &unused);
  const bool outer = need_point(work, PL_SETTING_LINK_OUTER, &unused);
  return inner && outer ? corner->at_ride.camber_gain : NAN;
}

// ---------------------------------------------------------------- figures of travel

double motion_ratio_droop(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_AT_DROOP);
  return corner == NULL ? NAN : corner->at_droop.motion_ratio;
}

double motion_ratio_bump(struct work *work) {
  const struct corner *const corner = with(work, ASSEMBLY_AT_BUMP);
  return corner == NULL ? NAN : corner->at_bump.motion_ratio;
}

double shock_compression(struct work *work) {
  const double length = figure(work, PL_FIGURE_SHOCK_LENGTH);
  return longest(work) - length;
}

double shock_travel_out(struct work *work) {
  return shock_compression(work);
}

double shock_travel_in(struct work *work) {
  const double length = figure(work, PL_FIGURE_SHOCK_LENGTH);
  return length - shortest(work);
}

double droop_travel(struct work *work) {
  const struct corner *const ride = with(work, ASSEMBLY_AT_RIDE);
  const struct corner *const droop = with(work, ASSEMBLY_AT_DROOP);
  if (ride == NULL || droop == NULL) return NAN;
  const double travel = ride->at_ride.travel - droop->at_droop.travel;
  if (travel < 0)
    warn(work, PL_SETTING_RIDE_HEIGHT, "at ride height the shock is longer than it can be");
  return travel;
}

double bump_travel(struct work *work) {
  const struct corner *const ride = with(work, ASSEMBLY_AT_RIDE);
  const struct corner *const bump = with(work, ASSEMBLY_AT_BUMP);
  if (ride == NULL || bump == NULL) return NAN;
  const double travel = bump->at_bump.travel - ride->at_ride.travel;
  if (travel < 0)
    warn(work, PL_SETTING_RIDE_HEIGHT, "at ride height the shock is shorter than it can be");
  return travel;
}

/// 0: the shock, 1: the chassis; the words of the figure's unit in their order.
double first_to_stop(struct work *work) {
  const double by_shock = figure(work, PL_FIGURE_BUMP_TRAVEL);
  const double by_chassis = need(work, PL_SETTING_RIDE_HEIGHT);
  if (isnan(by_shock) || isnan(by_chassis)) return NAN;
  return by_shock <= by_chassis ? 0 : 1;
}

// ---------------------------------------------------------------- roll centre

/// Of one corner of the axle in hand, as if both sides were like it.
static double roll_centre_of(struct work *work, enum pl_place corner_place) {
  struct work side = *work;
  side.place = corner_place;
  const struct corner *const corner = with(&side, ASSEMBLY_AT_RIDE);
  const double radius = need(&side, PL_SETTING_TYRE_RADIUS);
  if (corner == NULL) return NAN;
  if (corner->linkage.beam) {
    lacks(work, pl_settings[PL_SETTING_ROLL_CENTRE].key);
    return NAN;
  }
  return pl_roll_centre_height(&corner->at_ride, radius);
}

double roll_centre_height(struct work *work) {
  const double declared = optional(work, PL_SETTING_ROLL_CENTRE);
  if (!isnan(declared)) return declared;
  const bool front = work->place == PL_FRONT;
  const double left = roll_centre_of(work, front ? PL_FRONT_LEFT : PL_REAR_LEFT);
  const double right = roll_centre_of(work, front ? PL_FRONT_RIGHT : PL_REAR_RIGHT);
  return (left + right) / 2;
}
