// SPDX-License-Identifier: GPL-3.0-or-later
// Shock length, motion ratio, camber, instant centre and roll centre in a position of the
// linkage.
#include "linkage_state.h"
#include "numbers.h"

// Arm and link count as parallel when the sine between them is less than this: their crossing
// is then a hundred thousand kilometres away.
#define PL_PARALLEL 1e-12

struct pl_linkage_state pl_no_state(void) {
  const struct pl_point nowhere = {NAN, NAN, NAN};
  return (struct pl_linkage_state){.travel = NAN,
                                   .arm_angle = NAN,
                                   .wheel_centre = nowhere,
                                   .arm_outer = nowhere,
                                   .link_outer = nowhere,
                                   .shock_bottom = nowhere,
                                   .shock_length = NAN,
                                   .motion_ratio = NAN,
                                   .motion_ratio_slope = NAN,
                                   .shock_angle = NAN,
                                   .camber_change = NAN,
                                   .camber_gain = NAN,
                                   .scrub = NAN,
                                   .instant_centre = nowhere};
}

// A point that stays in its own plane across the car.
static struct pl_point moved_to(struct pl_point from, struct pl_vector to) {
  return (struct pl_point){from.x, to.y, to.z};
}

// Sets the length and lean of the shock between its mounts as they stand.
static void set_shock(const struct pl_linkage *linkage, struct pl_linkage_state *state) {
  const struct pl_vector shock = pl_vector_to(state->shock_bottom, linkage->shock_top);
  const double aside = linkage->shock_top.x - state->shock_bottom.x;
  state->shock_length = hypot(hypot(shock.y, shock.z), aside);
  state->shock_angle = atan2(-shock.y, shock.z);
}

// Sets the motion ratio and its slope from how the lower mount moves with some parameter (its
// first and second derivative) and how the wheel's height does.
static void set_motion_ratio(const struct pl_linkage *linkage, struct pl_linkage_state *state,
                             struct pl_vector first, struct pl_vector second, double rise,
                             double rise_second) {
  const struct pl_vector shock = pl_vector_to(linkage->shock_top, state->shock_bottom);
  const double length = state->shock_length;
  const double length_first = pl_dot(shock, first) / length;
  const double length_second =
      (pl_dot(first, first) + pl_dot(shock, second) - pl_square(length_first)) / length;
  state->motion_ratio = -length_first / rise;
  state->motion_ratio_slope =
      -(length_second * rise - length_first * rise_second) / pl_cube(rise);
}

// Sets where the lines of arm and link cross.
static void set_instant_centre(const struct pl_linkage *linkage,
                               struct pl_linkage_state *state) {
  state->instant_centre_at_infinity = true;
  state->instant_centre = (struct pl_point){NAN, NAN, NAN};
  if (!linkage->has_link) return; // the upright only shifts
  const struct pl_vector arm = pl_vector_to(linkage->arm_inner, state->arm_outer);
  const struct pl_vector link = pl_vector_to(linkage->link_inner, state->link_outer);
  const struct pl_vector hinges = pl_vector_to(linkage->arm_inner, linkage->link_inner);
  const double cross = pl_cross(arm, link);
  if (fabs(cross) <= PL_PARALLEL * hypot(arm.y, arm.z) * hypot(link.y, link.z)) return;
  const double along = pl_cross(hinges, link) / cross;
  state->instant_centre_at_infinity = false;
  state->instant_centre =
      (struct pl_point){linkage->arm_inner.x, linkage->arm_inner.y + along * arm.y,
                        linkage->arm_inner.z + along * arm.z};
}

struct pl_linkage_state pl_arm_state(const struct pl_linkage *linkage,
                                     const struct pl_upright *upright) {
  struct pl_linkage_state state = pl_no_state();
  const double rise = upright->wheel_first.z;
  state.reached = true;
  state.arm_angle = upright->angle;
  state.arm_outer = moved_to(linkage->arm_outer, upright->arm_outer);
  state.link_outer = moved_to(linkage->link_outer, upright->link_outer);
  if (!linkage->has_link) state.link_outer.x = NAN;
  state.wheel_centre = moved_to(linkage->wheel_centre, upright->wheel);
  state.travel = upright->wheel.z - linkage->wheel_centre.z;
  // Turned outboard to up, the top of the wheel leans inboard: negative camber.
  state.camber_change = -upright->turn;
  state.camber_gain = -upright->turn_first / rise;
  state.scrub = upright->wheel_first.y / rise;
  set_instant_centre(linkage, &state);

  const struct pl_vector mount =
      pl_turned(pl_vector_to(linkage->arm_inner, linkage->shock_bottom), upright->angle);
  state.shock_bottom =
      moved_to(linkage->shock_bottom, (struct pl_vector){linkage->arm_inner.y + mount.y,
                                                         linkage->arm_inner.z + mount.z});
  set_shock(linkage, &state);
  set_motion_ratio(linkage, &state, pl_quarter_turn(mount),
                   (struct pl_vector){-mount.y, -mount.z}, rise, upright->wheel_second.z);
  return state;
}

struct pl_linkage_state pl_beam_state(const struct pl_linkage *linkage, double travel) {
  struct pl_linkage_state state = pl_no_state();
  state.reached = true;
  state.beam = true;
  state.travel = travel;
  state.wheel_centre = linkage->wheel_centre;
  state.wheel_centre.z += travel;
  state.shock_bottom = linkage->shock_bottom;
  state.shock_bottom.z += travel;
  state.camber_change = 0.0;
  state.camber_gain = 0.0;
  state.scrub = 0.0;
  set_shock(linkage, &state);
  set_motion_ratio(linkage, &state, (struct pl_vector){0.0, 1.0}, (struct pl_vector){0.0, 0.0},
                   1.0, 0.0);
  return state;
}

double pl_roll_centre_height(const struct pl_linkage_state *state, double tyre_radius) {
  if (state->beam || !pl_is_positive(tyre_radius)) return NAN;
  // The contact patch is fixed to the upright: it moves outboard as the wheel does, and more by
  // what the wheel's turn swings it.
  const double contact_scrub = state->scrub - state->camber_gain * tyre_radius;
  return state->wheel_centre.y * contact_scrub;
}
