// SPDX-License-Identifier: GPL-3.0-or-later
// How the upright follows the arm: rigidly along without a link, as the coupler of a four-bar
// with one.
#include "upright.h"
#include "numbers.h"

struct pl_vector pl_turned(struct pl_vector a, double angle) {
  const double c = cos(angle);
  const double s = sin(angle);
  return (struct pl_vector){c * a.y - s * a.z, s * a.y + c * a.z};
}

// ------------------------------------------------------------------------------ possible or
// not

static bool in_plane(struct pl_point point) {
  return isfinite(point.y) && isfinite(point.z);
}

// On which side of the line from the arm's outer end to the link's inner end the upright
// stands; the four-bar keeps it until it locks.
static double branch(const struct pl_linkage *linkage) {
  return pl_cross(pl_vector_to(linkage->arm_outer, linkage->link_inner),
                  pl_vector_to(linkage->arm_outer, linkage->link_outer));
}

bool pl_linkage_is_possible(const struct pl_linkage *linkage) {
  if (!in_plane(linkage->wheel_centre)) return false;
  if (linkage->beam) return true;
  const struct pl_vector arm = pl_vector_to(linkage->arm_inner, linkage->arm_outer);
  if (!in_plane(linkage->arm_inner) || !in_plane(linkage->arm_outer) || !(pl_dot(arm, arm) > 0))
    return false;
  if (!linkage->has_link) return true;
  return in_plane(linkage->link_inner) && in_plane(linkage->link_outer) &&
         branch(linkage) != 0.0;
}

// -------------------------------------------------------------------------- the arm's free
// range

// How far an angle can grow when its size must stay between `least` and `greatest` (of 0 to pi;
// NaN: that end is open, the angle passes through).
static double room_upward(double angle, double least, double greatest) {
  if (angle < 0.0) {
    if (!isnan(least)) return -least - angle;
    if (!isnan(greatest)) return greatest - angle;
    return INFINITY;
  }
  if (!isnan(greatest)) return greatest - angle;
  if (!isnan(least)) return 2.0 * PL_PI - least - angle;
  return INFINITY;
}

// The law of cosines for the angle between arm and the line to the link's inner end at which
// the arm's outer end is `distance` from the link's inner end; NaN if it never is.
static double locking_angle(double arm, double ground, double distance) {
  return acos((arm * arm + ground * ground - distance * distance) / (2.0 * arm * ground));
}

static double within_half_turn(double room) {
  return fmin(fmax(room, 0.0), PL_PI);
}

struct pl_arm_span pl_arm_span(const struct pl_linkage *linkage) {
  const struct pl_arm_span half_turns = {-PL_PI, PL_PI};
  if (linkage->beam || !linkage->has_link) return half_turns;
  const struct pl_vector arm = pl_vector_to(linkage->arm_inner, linkage->arm_outer);
  const struct pl_vector ground = pl_vector_to(linkage->arm_inner, linkage->link_inner);
  const struct pl_vector upright = pl_vector_to(linkage->arm_outer, linkage->link_outer);
  const struct pl_vector link = pl_vector_to(linkage->link_inner, linkage->link_outer);
  const double arm_length = hypot(arm.y, arm.z);
  const double ground_length = hypot(ground.y, ground.z);
  const double upright_length = hypot(upright.y, upright.z);
  const double link_length = hypot(link.y, link.z);
  // It locks where upright and link lie in one line, folded or stretched; never where arm and
  // link share a hinge.
  const double folded =
      locking_angle(arm_length, ground_length, fabs(upright_length - link_length));
  const double stretched =
      locking_angle(arm_length, ground_length, upright_length + link_length);
  const double angle = atan2(pl_cross(ground, arm), pl_dot(ground, arm));
  return (struct pl_arm_span){-within_half_turn(room_upward(-angle, folded, stretched)),
                              within_half_turn(room_upward(angle, folded, stretched))};
}

// ---------------------------------------------------------------------------------- one
// position

static struct pl_vector plus(struct pl_vector a, double factor, struct pl_vector b) {
  return (struct pl_vector){a.y + factor * b.y, a.z + factor * b.z};
}

// Where the link's outer end goes: the crossing, on the old side, of the circle of the upright
// about the arm's outer end with the circle of the link about its inner end.
static struct pl_vector crossing(const struct pl_linkage *linkage, struct pl_vector arm_outer) {
  const struct pl_vector upright = pl_vector_to(linkage->arm_outer, linkage->link_outer);
  const struct pl_vector link = pl_vector_to(linkage->link_inner, linkage->link_outer);
  const struct pl_vector between = {linkage->link_inner.y - arm_outer.y,
                                    linkage->link_inner.z - arm_outer.z};
  const double square = pl_dot(between, between);
  const double along = 0.5 * (pl_dot(upright, upright) - pl_dot(link, link) + square) / square;
  // Rounding may take the height a hair below zero where the four-bar locks.
  const double height = sqrt(fmax(0.0, pl_dot(upright, upright) / square - along * along));
  const double side = copysign(height, branch(linkage));
  return plus(plus(arm_outer, along, between), side, pl_quarter_turn(between));
}

// The turn of the upright and its derivatives, from the link's keeping its length: with B the
// link's outer end seen from its inner end, B.B' = 0 and B'.B' + B.B'' = 0.
static void turn_upright(const struct pl_linkage *linkage, struct pl_upright *state,
                         struct pl_vector arm_first, struct pl_vector arm_second,
                         double *turn_second) {
  const struct pl_vector before = pl_vector_to(linkage->arm_outer, linkage->link_outer);
  const struct pl_vector now = plus(state->link_outer, -1.0, state->arm_outer);
  const struct pl_vector link = {state->link_outer.y - linkage->link_inner.y,
                                 state->link_outer.z - linkage->link_inner.z};
  const struct pl_vector across = pl_quarter_turn(now);
  const double leverage = pl_dot(link, across);
  state->turn = atan2(pl_cross(before, now), pl_dot(before, now));
  state->turn_first = -pl_dot(link, arm_first) / leverage;
  const struct pl_vector first = plus(arm_first, state->turn_first, across);
  const struct pl_vector rest = plus(arm_second, -pl_square(state->turn_first), now);
  *turn_second = -(pl_dot(first, first) + pl_dot(link, rest)) / leverage;
}

struct pl_upright pl_upright_at(const struct pl_linkage *linkage, double angle) {
  const struct pl_vector arm =
      pl_turned(pl_vector_to(linkage->arm_inner, linkage->arm_outer), angle);
  const struct pl_vector arm_first = pl_quarter_turn(arm);
  const struct pl_vector arm_second = {-arm.y, -arm.z};
  struct pl_upright state = {
      .angle = angle,
      .arm_outer = {linkage->arm_inner.y + arm.y, linkage->arm_inner.z + arm.z},
      .link_outer = {NAN, NAN}};
  double turn_second = 0.0;
  if (linkage->has_link) {
    state.link_outer = crossing(linkage, state.arm_outer);
    turn_upright(linkage, &state, arm_first, arm_second, &turn_second);
  }
  const struct pl_vector wheel =
      pl_turned(pl_vector_to(linkage->arm_outer, linkage->wheel_centre), state.turn);
  const struct pl_vector across = pl_quarter_turn(wheel);
  state.wheel = plus(state.arm_outer, 1.0, wheel);
  state.wheel_first = plus(arm_first, state.turn_first, across);
  state.wheel_second =
      plus(plus(arm_second, turn_second, across), -pl_square(state.turn_first), wheel);
  return state;
}
