// SPDX-License-Identifier: GPL-3.0-or-later
// Positions of a corner's linkage: which arm angle a wheel height or a shock length asks for.
#include "linkage_state.h"
#include "numbers.h"
#include "upright.h"

// Steps in which the arm is walked away from its measured position, rad. Far shorter than the
// quarter turn between a linkage's turning points, so that none is stepped over.
#define PL_WALK_STEP 0.05
// How far short of a locked position slopes are still asked for, rad.
#define PL_SHORT_OF_LOCK 1e-12

// ----------------------------------------------------------------------------- walking the arm

struct pl_walk {
  const struct pl_linkage *linkage;
  double height;     // of the wheel centre that is looked for; NaN: none
  double first_rise; // slope of the height by the arm's angle in the measured position
};

static double height_miss(double angle, const void *context) {
  const struct pl_walk *walk = context;
  return pl_upright_at(walk->linkage, angle).wheel.z - walk->height;
}

static double rise(double angle, const void *context) {
  const struct pl_walk *walk = context;
  return pl_upright_at(walk->linkage, angle).wheel_first.z;
}

// Whether the wheel at `angle` still goes the way it goes in the measured position.
static bool still_rises(const struct pl_walk *walk, double angle) {
  return rise(angle, walk) * walk->first_rise > 0.0;
}

// How a walk ends: at `angle`, either stopped there or with the height found on the way.
struct pl_walk_end {
  double angle;
  bool stopped;
};

// Walks the arm from its measured position toward the angle `goal` (infinite: as far as it
// goes), which the walk need not reach: the wheel may pass the height looked for, turn back, or
// the linkage lock.
static struct pl_walk_end walk_toward(const struct pl_walk *walk, double goal) {
  const struct pl_arm_span span = pl_arm_span(walk->linkage);
  const double limit = fmin(fmax(goal, span.least), span.greatest);
  for (double from = 0.0; from != limit;) {
    const bool last = fabs(limit - from) <= PL_WALK_STEP;
    double to = last ? limit : from + copysign(PL_WALK_STEP, limit);
    const double tested = last ? to - copysign(PL_SHORT_OF_LOCK, limit) : to;
    const bool turns = fabs(tested) > fabs(from) && !still_rises(walk, tested);
    if (turns && !pl_find_root(rise, walk, from, tested, 0.0, &to)) to = tested;
    double angle;
    if (pl_find_root(height_miss, walk, from, to, 0.0, &angle))
      return (struct pl_walk_end){angle, false};
    if (turns) return (struct pl_walk_end){to, true};
    from = to;
  }
  return (struct pl_walk_end){limit, limit != goal};
}

// ------------------------------------------------------------------------------------- by
// height

static bool beam_at_rise(const struct pl_linkage *linkage, double travel, bool reached,
                         struct pl_linkage_state *state) {
  *state = pl_beam_state(linkage, travel);
  state->reached = reached;
  return reached;
}

static bool arm_at_angle(const struct pl_linkage *linkage, double angle, bool reached,
                         struct pl_linkage_state *state) {
  const struct pl_upright upright = pl_upright_at(linkage, angle);
  *state = pl_arm_state(linkage, &upright);
  state->reached = reached;
  return reached;
}

static bool fail(struct pl_linkage_state *state) {
  *state = pl_no_state();
  return false;
}

// Without a link the wheel centre rises as the arm's outer end does: closed form.
static bool free_arm_at_rise(const struct pl_linkage *linkage, double travel,
                             struct pl_linkage_state *state) {
  const struct pl_vector arm = pl_vector_to(linkage->arm_inner, linkage->arm_outer);
  const double sine = (arm.z + travel) / hypot(arm.y, arm.z);
  const double angle = asin(fmin(fmax(sine, -1.0), 1.0));
  const double slant = arm.y < 0.0 ? PL_PI - angle : angle; // the arm may point inboard
  return arm_at_angle(linkage, remainder(slant - atan2(arm.z, arm.y), 2.0 * PL_PI),
                      fabs(sine) <= 1.0, state);
}

bool pl_linkage_at_height(const struct pl_linkage *linkage, double z,
                          struct pl_linkage_state *state) {
  if (!pl_linkage_is_possible(linkage) || !isfinite(z)) return fail(state);
  const double travel = z - linkage->wheel_centre.z;
  if (linkage->beam) return beam_at_rise(linkage, travel, true, state);
  if (!linkage->has_link) return free_arm_at_rise(linkage, travel, state);
  const struct pl_walk walk = {linkage, z, pl_upright_at(linkage, 0.0).wheel_first.z};
  if (travel == 0.0) return arm_at_angle(linkage, 0.0, true, state);
  const struct pl_walk_end end =
      walk_toward(&walk, copysign(INFINITY, travel * walk.first_rise));
  return arm_at_angle(linkage, end.angle, !end.stopped, state);
}

// ----------------------------------------------------------------------------- by shock length

static bool has_shock(const struct pl_linkage *linkage) {
  return isfinite(linkage->shock_top.y) && isfinite(linkage->shock_top.z) &&
         isfinite(linkage->shock_bottom.y) && isfinite(linkage->shock_bottom.z) &&
         isfinite(linkage->shock_top.x) && isfinite(linkage->shock_bottom.x);
}

// The beam's lower mount rides straight up beneath (or above) the upper one.
static bool beam_at_length(const struct pl_linkage *linkage, double length,
                           struct pl_linkage_state *state) {
  const struct pl_vector shock = pl_vector_to(linkage->shock_bottom, linkage->shock_top);
  const double aside = hypot(shock.y, linkage->shock_top.x - linkage->shock_bottom.x);
  const bool reaches = length >= aside;
  const double upright = reaches ? sqrt((length - aside) * (length + aside)) : 0.0;
  return beam_at_rise(linkage, shock.z - copysign(upright, shock.z), reaches, state);
}

// The lower mount turns about the arm's hinge: the law of cosines gives its angle to the upper
// mount. The shock is shortest with the mounts in one direction from the hinge, longest with
// them opposite; beyond either it is not reached.
static bool arm_at_length(const struct pl_linkage *linkage, double length,
                          struct pl_linkage_state *state) {
  const struct pl_vector top = pl_vector_to(linkage->arm_inner, linkage->shock_top);
  const struct pl_vector bottom = pl_vector_to(linkage->arm_inner, linkage->shock_bottom);
  const double aside = linkage->shock_top.x - linkage->shock_bottom.x;
  const double radii = 2.0 * hypot(top.y, top.z) * hypot(bottom.y, bottom.z);
  if (!(radii > 0.0)) return fail(state);
  const double cosine =
      (pl_dot(top, top) + pl_dot(bottom, bottom) + aside * aside - length * length) / radii;
  const double measured = atan2(pl_cross(top, bottom), pl_dot(top, bottom));
  // On a dead centre both ways are open; take the one of a mount outboard of a shock's top.
  const double between =
      copysign(acos(fmin(fmax(cosine, -1.0), 1.0)), measured == 0.0 ? -1.0 : measured);
  const struct pl_walk walk = {linkage, NAN, pl_upright_at(linkage, 0.0).wheel_first.z};
  const struct pl_walk_end end = walk_toward(&walk, between - measured);
  return arm_at_angle(linkage, end.angle, !end.stopped && fabs(cosine) <= 1.0, state);
}

bool pl_linkage_at_shock_length(const struct pl_linkage *linkage, double length,
                                struct pl_linkage_state *state) {
  if (!pl_linkage_is_possible(linkage) || !has_shock(linkage) || !pl_is_zero_or_more(length))
    return fail(state);
  return linkage->beam ? beam_at_length(linkage, length, state)
                       : arm_at_length(linkage, length, state);
}
