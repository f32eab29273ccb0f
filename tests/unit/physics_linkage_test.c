// SPDX-License-Identifier: GPL-3.0-or-later
// The linkage: laws that hold for any, cases worked by hand, and what cannot be.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

#define CASES 500

static struct pl_point in_plane(double y, double z) {
  return (struct pl_point){0.0, y, z};
}

static struct pl_point about(struct pl_chance *chance, double x, double y, double z) {
  const double spread = 4e-3;
  return (struct pl_point){x + pl_chance_between(chance, -spread, spread),
                           y + pl_chance_between(chance, -spread, spread),
                           z + pl_chance_between(chance, -spread, spread)};
}

// A corner of a tenth-scale car, every point off by up to 4 mm. Its droop is kept to 8 mm
// below: with the shortest links the wheel turns back not far beneath.
static struct pl_linkage random_linkage(struct pl_chance *chance) {
  return (struct pl_linkage){.arm_inner = about(chance, 0.0, 22e-3, 12e-3),
                             .arm_outer = about(chance, 0.0, 88e-3, 10e-3),
                             .wheel_centre = about(chance, 0.0, 105e-3, 24e-3),
                             .shock_top = about(chance, 10e-3, 40e-3, 75e-3),
                             .shock_bottom = about(chance, 0.0, 70e-3, 14e-3),
                             .has_link = true,
                             .link_inner = about(chance, 0.0, 34e-3, 42e-3),
                             .link_outer = about(chance, 0.0, 84e-3, 40e-3)};
}

static struct pl_linkage_state at_travel(const struct pl_linkage *linkage, double travel) {
  struct pl_linkage_state state;
  assert_true(pl_linkage_at_height(linkage, linkage->wheel_centre.z + travel, &state));
  assert_true(state.reached);
  return state;
}

static double apart(struct pl_point a, struct pl_point b) {
  return hypot(a.y - b.y, a.z - b.z);
}

// -----------------------------------------------------------------------------------------
// laws

static void measured_position_is_unchanged(void **state) {
  (void)state;
  struct pl_chance chance = {11};
  for (int i = 0; i < CASES; i++) {
    const struct pl_linkage linkage = random_linkage(&chance);
    const struct pl_linkage_state at = at_travel(&linkage, 0.0);
    assert_within(at.travel, 0.0, 1e-15);
    assert_within(at.arm_angle, 0.0, 1e-15);
    assert_within(at.camber_change, 0.0, 1e-14);
    assert_within(apart(at.wheel_centre, linkage.wheel_centre), 0.0, 1e-15);
    assert_within(apart(at.link_outer, linkage.link_outer), 0.0, 1e-15);
    assert_within(apart(at.shock_bottom, linkage.shock_bottom), 0.0, 1e-15);
  }
}

static void parts_keep_their_lengths(void **state) {
  (void)state;
  struct pl_chance chance = {12};
  for (int i = 0; i < CASES; i++) {
    const struct pl_linkage linkage = random_linkage(&chance);
    const struct pl_linkage_state at =
        at_travel(&linkage, pl_chance_between(&chance, -8e-3, 20e-3));
    assert_near(apart(linkage.arm_inner, at.arm_outer),
                apart(linkage.arm_inner, linkage.arm_outer), 1e-13);
    assert_near(apart(linkage.link_inner, at.link_outer),
                apart(linkage.link_inner, linkage.link_outer), 1e-13);
    assert_near(apart(at.arm_outer, at.link_outer),
                apart(linkage.arm_outer, linkage.link_outer), 1e-13);
    assert_near(apart(at.arm_outer, at.wheel_centre),
                apart(linkage.arm_outer, linkage.wheel_centre), 1e-13);
    assert_near(apart(at.link_outer, at.wheel_centre),
                apart(linkage.link_outer, linkage.wheel_centre), 1e-13);
    assert_near(apart(linkage.arm_inner, at.shock_bottom),
                apart(linkage.arm_inner, linkage.shock_bottom), 1e-13);
    assert_near(apart(at.arm_outer, at.shock_bottom),
                apart(linkage.arm_outer, linkage.shock_bottom), 1e-12);
  }
}

static void check_slopes(const struct pl_linkage *linkage, double travel) {
  const double step = 1e-6;
  const struct pl_linkage_state low = at_travel(linkage, travel - step);
  const struct pl_linkage_state at = at_travel(linkage, travel);
  const struct pl_linkage_state high = at_travel(linkage, travel + step);
  assert_within(at.travel, travel, 1e-15);
  assert_near(at.motion_ratio, -(high.shock_length - low.shock_length) / (2.0 * step), 1e-8);
  assert_within(at.motion_ratio_slope, (high.motion_ratio - low.motion_ratio) / (2.0 * step),
                1e-7 * (1.0 + fabs(at.motion_ratio_slope)));
  assert_within(at.camber_gain, (high.camber_change - low.camber_change) / (2.0 * step), 1e-7);
  assert_within(at.scrub, (high.wheel_centre.y - low.wheel_centre.y) / (2.0 * step), 1e-7);
}

static void slopes_are_finite_differences(void **state) {
  (void)state;
  struct pl_chance chance = {13};
  for (int i = 0; i < CASES; i++) {
    struct pl_linkage linkage = random_linkage(&chance);
    check_slopes(&linkage, pl_chance_between(&chance, -8e-3, 20e-3));
    linkage.has_link = false;
    check_slopes(&linkage, pl_chance_between(&chance, -8e-3, 20e-3));
    linkage.beam = true;
    check_slopes(&linkage, pl_chance_between(&chance, -8e-3, 20e-3));
  }
}

// Virtual work: the force at the wheel is the slope of the spring's energy by wheel travel.
static void wheel_force_is_the_slope_of_energy(void **state) {
  (void)state;
  struct pl_chance chance = {14};
  const double step = 1e-6;
  for (int i = 0; i < CASES; i++) {
    struct pl_linkage linkage = random_linkage(&chance);
    linkage.has_link = i % 3 != 0;
    linkage.beam = i % 5 == 0;
    const double travel = pl_chance_between(&chance, -15e-3, 15e-3);
    const struct pl_linkage_state low = at_travel(&linkage, travel - step);
    const struct pl_linkage_state at = at_travel(&linkage, travel);
    const struct pl_linkage_state high = at_travel(&linkage, travel + step);
    // Knots far from the deflection looked at, so that no corner lies in the step.
    const double extended = at.shock_length + 12e-3;
    const struct pl_spring_group groups[] = {{5.0, 1e-3, 2000.0}, {6.0, 4e-3, 2500.0}};
    struct pl_spring_curve curve;
    assert_true(pl_spring_curve_groups(groups, 2, &curve));
    const struct pl_shock_springs springs = {.main = &curve, .preload = 2e-3};
    const double slope = (pl_shock_spring_energy(&springs, extended - high.shock_length) -
                          pl_shock_spring_energy(&springs, extended - low.shock_length)) /
                         (2.0 * step);
    const double force = pl_shock_spring_force(&springs, extended - at.shock_length);
    assert_near(force * at.motion_ratio, slope, 1e-6);
    // And the wheel rate is the slope of that force.
    const double rate =
        (pl_shock_spring_force(&springs, extended - high.shock_length) * high.motion_ratio -
         pl_shock_spring_force(&springs, extended - low.shock_length) * low.motion_ratio) /
        (2.0 * step);
    const double stiffness = pl_shock_spring_stiffness(&springs, extended - at.shock_length);
    assert_near(pl_wheel_rate(stiffness, at.motion_ratio, force, at.motion_ratio_slope), rate,
                1e-6);
  }
}

static void shock_length_leads_back(void **state) {
  (void)state;
  struct pl_chance chance = {15};
  for (int i = 0; i < CASES; i++) {
    struct pl_linkage linkage = random_linkage(&chance);
    linkage.has_link = i % 3 != 0;
    linkage.beam = i % 5 == 0;
    const struct pl_linkage_state at =
        at_travel(&linkage, pl_chance_between(&chance, -8e-3, 20e-3));
    struct pl_linkage_state back;
    assert_true(pl_linkage_at_shock_length(&linkage, at.shock_length, &back));
    assert_within(back.travel, at.travel, 1e-14);
    assert_within(back.motion_ratio, at.motion_ratio, 1e-12);
  }
}

static struct pl_point scaled(struct pl_point point, double scale) {
  return (struct pl_point){scale * point.x, scale * point.y, scale * point.z};
}

static void lengths_scale(void **state) {
  (void)state;
  struct pl_chance chance = {16};
  for (int i = 0; i < CASES; i++) {
    const struct pl_linkage linkage = random_linkage(&chance);
    const double scale = pl_chance_scale(&chance, 1e-2, 1e2);
    const struct pl_linkage big = {.arm_inner = scaled(linkage.arm_inner, scale),
                                   .arm_outer = scaled(linkage.arm_outer, scale),
                                   .wheel_centre = scaled(linkage.wheel_centre, scale),
                                   .shock_top = scaled(linkage.shock_top, scale),
                                   .shock_bottom = scaled(linkage.shock_bottom, scale),
                                   .has_link = true,
                                   .link_inner = scaled(linkage.link_inner, scale),
                                   .link_outer = scaled(linkage.link_outer, scale)};
    const double travel = pl_chance_between(&chance, -8e-3, 20e-3);
    const struct pl_linkage_state small_at = at_travel(&linkage, travel);
    const struct pl_linkage_state big_at = at_travel(&big, travel * scale);
    assert_near(big_at.shock_length, scale * small_at.shock_length, 1e-11);
    assert_near(big_at.motion_ratio, small_at.motion_ratio, 1e-10);
    assert_within(big_at.motion_ratio_slope * scale, small_at.motion_ratio_slope, 1e-8);
    assert_within(big_at.camber_change, small_at.camber_change, 1e-11);
    assert_near(pl_roll_centre_height(&big_at, 40e-3 * scale),
                scale * pl_roll_centre_height(&small_at, 40e-3), 1e-8);
  }
}

// The roll centre by the line through contact patch and instant centre, as textbooks draw it.
static void roll_centre_is_on_the_line(void **state) {
  (void)state;
  struct pl_chance chance = {17};
  const double radius = 40e-3;
  for (int i = 0; i < CASES; i++) {
    const struct pl_linkage linkage = random_linkage(&chance);
    const struct pl_linkage_state at =
        at_travel(&linkage, pl_chance_between(&chance, -8e-3, 20e-3));
    assert_false(at.instant_centre_at_infinity);
    const double y = at.wheel_centre.y;
    const double centre_above_ground = at.instant_centre.z - (at.wheel_centre.z - radius);
    const double drawn = centre_above_ground * y / (y - at.instant_centre.y);
    assert_within(pl_roll_centre_height(&at, radius), drawn, 1e-9 * (1.0 + fabs(drawn)));
  }
}

// --------------------------------------------------------------------------------- worked by
// hand

// Equal, parallel and level: no camber change, roll centre on the ground.
static void parallel_and_level(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(20e-3, 10e-3),
                                     .arm_outer = in_plane(80e-3, 10e-3),
                                     .wheel_centre = in_plane(100e-3, 30e-3),
                                     .shock_top = in_plane(30e-3, 70e-3),
                                     .shock_bottom = in_plane(60e-3, 12e-3),
                                     .has_link = true,
                                     .link_inner = in_plane(20e-3, 45e-3),
                                     .link_outer = in_plane(80e-3, 45e-3)};
  const struct pl_linkage_state at = at_travel(&linkage, 0.0);
  assert_within(at.camber_gain, 0.0, 1e-9);
  assert_true(at.instant_centre_at_infinity);
  assert_nan(at.instant_centre.y);
  assert_within(pl_roll_centre_height(&at, 30e-3), 0.0, 1e-9);
}

// What counts as parallel is the angle between arm and link, however long they are.
static void hardly_parallel(void **state) {
  (void)state;
  for (double scale = 1e-3; scale < 1e4; scale *= 10.0) {
    struct pl_linkage linkage = {.arm_inner = in_plane(0.0, 0.0),
                                 .arm_outer = in_plane(60e-3 * scale, 0.0),
                                 .wheel_centre = in_plane(70e-3 * scale, 10e-3 * scale),
                                 .shock_top = in_plane(30e-3 * scale, 70e-3 * scale),
                                 .shock_bottom = in_plane(60e-3 * scale, 12e-3 * scale),
                                 .has_link = true,
                                 .link_inner = in_plane(0.0, 45e-3 * scale),
                                 .link_outer = in_plane(30e-3 * scale, 45e-3 * scale)};
    linkage.link_outer.z += 4e-12 * 30e-3 * scale;
    struct pl_linkage_state at;
    assert_true(pl_linkage_at_height(&linkage, linkage.wheel_centre.z, &at));
    assert_false(at.instant_centre_at_infinity);
    assert_near(at.instant_centre.y, -45e-3 * scale / 4e-12, 1e-3);
    linkage.link_outer.z = linkage.link_inner.z + 0.25e-12 * 30e-3 * scale;
    assert_true(pl_linkage_at_height(&linkage, linkage.wheel_centre.z, &at));
    assert_true(at.instant_centre_at_infinity);
  }
}

// An equal and parallel link, level or not, leaves the upright as if there were none.
static void parallel_link_is_no_link(void **state) {
  (void)state;
  struct pl_chance chance = {18};
  for (int i = 0; i < CASES; i++) {
    struct pl_linkage linkage = random_linkage(&chance);
    linkage.has_link = false;
    const double travel = pl_chance_between(&chance, -20e-3, 20e-3);
    const struct pl_linkage_state without = at_travel(&linkage, travel);
    const double shift = pl_chance_between(&chance, 15e-3, 40e-3);
    linkage.has_link = true;
    linkage.link_inner = linkage.arm_inner;
    linkage.link_outer = linkage.arm_outer;
    linkage.link_inner.z += shift;
    linkage.link_outer.z += shift;
    const struct pl_linkage_state with = at_travel(&linkage, travel);
    assert_within(apart(with.wheel_centre, without.wheel_centre), 0.0, 1e-13);
    assert_within(with.camber_change, 0.0, 1e-12);
    assert_within(with.camber_gain, 0.0, 1e-9);
    assert_near(with.motion_ratio, without.motion_ratio, 1e-11);
    assert_within(with.motion_ratio_slope, without.motion_ratio_slope, 1e-9);
    assert_within(pl_roll_centre_height(&with, 40e-3), pl_roll_centre_height(&without, 40e-3),
                  1e-9);
    assert_true(without.instant_centre_at_infinity);
    assert_nan(without.link_outer.y);
    assert_nan(without.link_outer.x);
    assert_within(with.link_outer.x, linkage.link_outer.x, 0.0);
  }
}

// Arm along z = 10, link from (20, 40) to (80, 50): they cross at (-160, 10). Contact at (100,
// 0): the roll centre is 10 100/260 high, and the wheel swings about a centre 260 mm inboard.
static void instant_centre_by_hand(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(20e-3, 10e-3),
                                     .arm_outer = in_plane(80e-3, 10e-3),
                                     .wheel_centre = in_plane(100e-3, 30e-3),
                                     .shock_top = in_plane(30e-3, 70e-3),
                                     .shock_bottom = in_plane(60e-3, 10e-3),
                                     .has_link = true,
                                     .link_inner = in_plane(20e-3, 40e-3),
                                     .link_outer = in_plane(80e-3, 50e-3)};
  const struct pl_linkage_state at = at_travel(&linkage, 0.0);
  assert_false(at.instant_centre_at_infinity);
  assert_near(at.instant_centre.y, -160e-3, 1e-12);
  assert_near(at.instant_centre.z, 10e-3, 1e-12);
  assert_near(pl_roll_centre_height(&at, 30e-3), 1.0 / 260.0, 1e-12);
  assert_near(at.camber_gain, -1.0 / 260e-3, 1e-12);
  // In bump the top leans inboard: negative camber.
  assert_true(at_travel(&linkage, 5e-3).camber_change < 0.0);
  // Shock from (60, 10) to (30, 70), the arm level: its lower end rises 40 for the wheel's rise
  // of 80 as seen from the instant centre's 260 over the ball joint's 240.
  const double length = hypot(30e-3, 60e-3);
  assert_near(at.shock_length, length, 1e-12);
  assert_near(at.motion_ratio, 60e-3 / length * 40.0 / 60.0 * 240.0 / 260.0, 1e-12);
  assert_near(at.shock_angle, atan(0.5), 1e-12);
}

// A level arm of 50 mm without a link: raised by 25 mm it stands at 30 degrees.
static void free_arm_by_hand(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(20e-3, 10e-3),
                                     .arm_outer = in_plane(70e-3, 10e-3),
                                     .wheel_centre = in_plane(90e-3, 25e-3),
                                     .shock_top = {3e-3, 20e-3, 60e-3},
                                     .shock_bottom = {0.0, 60e-3, 10e-3}};
  const struct pl_linkage_state at = at_travel(&linkage, 25e-3);
  assert_near(at.arm_angle, PL_PI / 6.0, 1e-12);
  assert_near(at.wheel_centre.y, 40e-3 + 50e-3 * cos(PL_PI / 6.0), 1e-12);
  assert_near(at.shock_bottom.z, 30e-3, 1e-12);
  assert_near(at.shock_length, hypot(hypot(40e-3 * cos(PL_PI / 6.0), 30e-3), 3e-3), 1e-12);
  assert_within(at.camber_change, 0.0, 0.0);
  // The hinge is 20 mm out, so the upright's path at rest is vertical: roll centre on the
  // ground.
  const struct pl_linkage_state level = at_travel(&linkage, 0.0);
  assert_within(pl_roll_centre_height(&level, 25e-3), 0.0, 1e-12);
}

// An arm may hang from the far side, its outer end inboard of its hinge.
static void free_arm_pointing_inboard(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(70e-3, 10e-3),
                                     .arm_outer = in_plane(20e-3, 10e-3),
                                     .wheel_centre = in_plane(20e-3, 25e-3),
                                     .shock_top = in_plane(40e-3, 60e-3),
                                     .shock_bottom = in_plane(40e-3, 10e-3)};
  const struct pl_linkage_state at = at_travel(&linkage, 25e-3);
  assert_near(at.arm_angle, -PL_PI / 6.0, 1e-12);
  assert_near(at.wheel_centre.y, 70e-3 - 50e-3 * cos(PL_PI / 6.0), 1e-12);
}

// A beam axle: 3, 4 and 5. The lower mount is 30 mm aside and 40 mm below.
static void beam_by_hand(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.wheel_centre = in_plane(90e-3, 25e-3),
                                     .shock_top = {18e-3, 40e-3, 60e-3},
                                     .shock_bottom = {0.0, 64e-3, 20e-3},
                                     .beam = true};
  struct pl_linkage_state at = at_travel(&linkage, 0.0);
  assert_true(at.beam);
  assert_near(at.shock_length, 50e-3, 1e-12);
  assert_near(at.motion_ratio, 0.8, 1e-12);
  assert_near(at.motion_ratio_slope, -0.36 / 50e-3, 1e-12);
  assert_near(at.shock_angle, atan(24.0 / 40.0), 1e-12);
  assert_within(at.camber_gain, 0.0, 0.0);
  assert_nan(pl_roll_centre_height(&at, 30e-3));
  assert_true(pl_linkage_at_shock_length(&linkage, hypot(30e-3, 16e-3), &at));
  assert_near(at.travel, 24e-3, 1e-12);
  assert_near(at.wheel_centre.z, 49e-3, 1e-12);
  assert_near(at.shock_bottom.z, 44e-3, 1e-12);
  assert_within(at.camber_change, 0.0, 0.0);
  assert_within(at.scrub, 0.0, 0.0);
  struct pl_linkage above = linkage; // the mounts one over the other, 3/128 m aside
  above.shock_top = (struct pl_point){0x3p-7, 64e-3, 60e-3};
  assert_true(pl_linkage_at_shock_length(&above, 0x3p-7, &at));
  assert_near(at.travel, 40e-3, 1e-12);
  // It cannot be shorter than the mounts are aside of each other.
  assert_false(pl_linkage_at_shock_length(&linkage, 29e-3, &at));
  assert_false(at.reached);
  assert_near(at.travel, 40e-3, 1e-12);
}

// -----------------------------------------------------------------------------------
// impossible

// Whatever the points: an answer that is reached is finite and keeps all lengths.
static void any_points_give_an_answer(void **state) {
  (void)state;
  struct pl_chance chance = {19};
  int reached = 0;
  for (int i = 0; i < 4000; i++) {
    struct pl_point points[8];
    for (size_t k = 0; k < 8; k++)
      points[k] = (struct pl_point){0.0, pl_chance_between(&chance, -0.1, 0.1),
                                    pl_chance_between(&chance, -0.1, 0.1)};
    const struct pl_linkage linkage = {points[0],  points[1], points[2], points[3], points[4],
                                       i % 4 != 0, points[5], points[6], false};
    struct pl_linkage_state at;
    const bool by_height = i % 2 == 0;
    const double wanted = pl_chance_between(&chance, 0.0, 0.15);
    const bool found = by_height ? pl_linkage_at_height(&linkage, wanted, &at)
                                 : pl_linkage_at_shock_length(&linkage, wanted, &at);
    assert_int_equal(found, at.reached);
    assert_true(isfinite(at.travel));
    if (!found) continue;
    reached++;
    assert_within(by_height ? at.wheel_centre.z : at.shock_length, wanted, 1e-9);
    assert_within(apart(linkage.arm_inner, at.arm_outer),
                  apart(linkage.arm_inner, linkage.arm_outer), 1e-12);
    if (!linkage.has_link) continue;
    assert_within(apart(linkage.link_inner, at.link_outer),
                  apart(linkage.link_inner, linkage.link_outer), 1e-9);
    assert_within(apart(at.arm_outer, at.wheel_centre),
                  apart(linkage.arm_outer, linkage.wheel_centre), 1e-12);
  }
  assert_true(reached > 1000);
}

static void impossible_linkages(void **state) {
  (void)state;
  struct pl_chance chance = {20};
  const struct pl_linkage good = random_linkage(&chance);
  struct pl_linkage_state at;
  assert_false(pl_linkage_at_height(&good, NAN, &at));
  assert_nan(at.travel);
  assert_false(pl_linkage_at_height(&good, INFINITY, &at));
  assert_false(pl_linkage_at_shock_length(&good, NAN, &at));
  assert_false(pl_linkage_at_shock_length(&good, -0.1, &at));
  assert_nan(at.motion_ratio);

  struct pl_linkage bad = good;
  bad.arm_outer = bad.arm_inner;
  assert_false(pl_linkage_at_height(&bad, 20e-3, &at));
  assert_nan(at.travel);
  bad = good;
  bad.link_outer = bad.arm_outer;
  assert_false(pl_linkage_at_height(&bad, 20e-3, &at));
  assert_nan(at.travel);
  bad = good;
  bad.link_outer.y = NAN;
  assert_false(pl_linkage_at_height(&bad, 20e-3, &at));
  bad = good;
  bad.shock_bottom = bad.arm_inner;
  assert_false(pl_linkage_at_shock_length(&bad, 50e-3, &at));
  assert_nan(at.travel);

  // Without a shock the geometry is still there.
  bad = good;
  bad.shock_top = (struct pl_point){NAN, NAN, NAN};
  assert_true(pl_linkage_at_height(&bad, good.wheel_centre.z + 5e-3, &at));
  assert_nan(at.motion_ratio);
  assert_nan(at.shock_length);
  assert_true(isfinite(at.camber_gain));
  assert_false(pl_linkage_at_shock_length(&bad, 50e-3, &at));
  assert_nan(pl_roll_centre_height(&at, 0.0));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(measured_position_is_unchanged),
      cmocka_unit_test(parts_keep_their_lengths),
      cmocka_unit_test(slopes_are_finite_differences),
      cmocka_unit_test(wheel_force_is_the_slope_of_energy),
      cmocka_unit_test(shock_length_leads_back),
      cmocka_unit_test(lengths_scale),
      cmocka_unit_test(roll_centre_is_on_the_line),
      cmocka_unit_test(parallel_and_level),
      cmocka_unit_test(hardly_parallel),
      cmocka_unit_test(parallel_link_is_no_link),
      cmocka_unit_test(instant_centre_by_hand),
      cmocka_unit_test(free_arm_by_hand),
      cmocka_unit_test(free_arm_pointing_inboard),
      cmocka_unit_test(beam_by_hand),
      cmocka_unit_test(any_points_give_an_answer),
      cmocka_unit_test(impossible_linkages),
  };
  return cmocka_run_group_tests_name("linkage", tests, NULL, NULL);
}
