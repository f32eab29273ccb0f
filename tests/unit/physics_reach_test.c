// SPDX-License-Identifier: GPL-3.0-or-later
// How far a linkage goes: where the wheel turns back, the shock stands on a dead centre, or
// arm, link and upright lock.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "physics/upright.h"
#include "pitleaf/physics.h"

static struct pl_point in_plane(double y, double z) {
  return (struct pl_point){0.0, y, z};
}

static double apart(struct pl_point a, struct pl_point b) {
  return hypot(a.y - b.y, a.z - b.z);
}

// ------------------------------------------------------------------------------- turning back

static void free_arm_turns_back(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(0.0, 0.0),
                                     .arm_outer = in_plane(40e-3, 30e-3),
                                     .wheel_centre = in_plane(60e-3, 30e-3),
                                     .shock_top = in_plane(0.0, 80e-3),
                                     .shock_bottom = in_plane(32e-3, 24e-3)};
  struct pl_linkage_state at;
  assert_false(pl_linkage_at_height(&linkage, 51e-3, &at));
  assert_false(at.reached);
  assert_near(at.travel, 20e-3, 1e-12);
  assert_false(pl_linkage_at_height(&linkage, -51e-3, &at));
  assert_near(at.travel, -80e-3, 1e-12);
  assert_true(pl_linkage_at_height(&linkage, 49.9e-3, &at));
  // The lower mount's circle of 40 mm about the hinge: 40 mm at the shortest, with the arm up.
  assert_false(pl_linkage_at_shock_length(&linkage, 39e-3, &at));
  assert_near(at.travel, 20e-3, 1e-9);
  // 120 mm at the longest, with the arm down, where the wheel turns back too.
  assert_false(pl_linkage_at_shock_length(&linkage, 121e-3, &at));
  assert_near(at.travel, -80e-3, 1e-9);
}

// Lengths that are sums of powers of two, so that the arm of 5/128 m stands upright to the bit.
static void the_highest_is_still_reached(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(0.0, 0.0),
                                     .arm_outer = in_plane(0x3p-7, 0x4p-7),
                                     .wheel_centre = in_plane(0x5p-7, 0x4p-7)};
  struct pl_linkage_state at;
  assert_true(pl_linkage_at_height(&linkage, 0x5p-7, &at));
  assert_near(at.arm_angle, atan2(3.0, 4.0), 1e-15);
  assert_true(pl_linkage_at_height(&linkage, -0x5p-7, &at));
  assert_false(pl_linkage_at_height(&linkage, 0x5.0001p-7, &at));
  assert_near(at.arm_angle, atan2(3.0, 4.0), 1e-15);
}

// An arm that hangs straight down goes outboard as it rises.
static void an_arm_that_hangs(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(20e-3, 60e-3),
                                     .arm_outer = in_plane(20e-3, 10e-3),
                                     .wheel_centre = in_plane(40e-3, 25e-3)};
  struct pl_linkage_state at;
  assert_true(pl_linkage_at_height(&linkage, 50e-3, &at));
  assert_near(at.arm_angle, PL_PI / 3.0, 1e-12);
  assert_near(at.arm_outer.y, 20e-3 + 50e-3 * sin(PL_PI / 3.0), 1e-12);
}

// The shock would have the arm lean past upright, where the wheel goes down again: it stops
// with the arm upright.
static void a_shock_pulls_no_further_than_the_wheel_rises(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(0.0, 0.0),
                                     .arm_outer = in_plane(40e-3, 30e-3),
                                     .wheel_centre = in_plane(60e-3, 30e-3),
                                     .shock_top = in_plane(-40e-3, 60e-3),
                                     .shock_bottom = in_plane(32e-3, 24e-3)};
  struct pl_linkage_state at;
  assert_false(pl_linkage_at_shock_length(&linkage, 34e-3, &at));
  assert_near(at.arm_angle, PL_PI / 2.0 - atan2(30.0, 40.0), 1e-12);
  assert_near(at.travel, 20e-3, 1e-12);
  // Upright it is this long, and that is reached.
  const double upright = hypot(40e-3, 20e-3);
  assert_true(pl_linkage_at_shock_length(&linkage, upright + 1e-9, &at));
  assert_within(at.arm_angle, PL_PI / 2.0 - atan2(30.0, 40.0), 1e-6);
}

// An arm from the origin, and a shock whose mounts lie 10 and 5 units from there.
static struct pl_linkage shock_of_whole_units(struct pl_point top, struct pl_point bottom) {
  return (struct pl_linkage){.arm_inner = in_plane(0.0, 0.0),
                             .arm_outer = in_plane(0x8p-7, 0x4p-7),
                             .wheel_centre = in_plane(0xap-7, 0x4p-7),
                             .shock_top = top,
                             .shock_bottom = bottom};
}

// With the mounts in one direction from the hinge the shock is at its shortest: 10 less 5. From
// there a longer one has the arm go down.
static void a_shock_on_its_dead_centre(void **state) {
  (void)state;
  const struct pl_linkage linkage =
      shock_of_whole_units(in_plane(0x6p-7, 0x8p-7), in_plane(0x3p-7, 0x4p-7));
  struct pl_linkage_state at;
  assert_true(pl_linkage_at_shock_length(&linkage, 0x5p-7, &at));
  assert_within(at.arm_angle, 0.0, 0.0);
  assert_false(pl_linkage_at_shock_length(&linkage, 0x4p-7, &at));
  assert_within(at.arm_angle, 0.0, 0.0);
  // The law of cosines with sides of 10, 5 and 6.
  assert_true(pl_linkage_at_shock_length(&linkage, 0x6p-7, &at));
  assert_near(at.arm_angle, -acos(0.89), 1e-12);
}

// The lower mount above the line from the hinge to the upper one: sides of 10, 5 and 9.
static void a_shock_on_the_other_side(void **state) {
  (void)state;
  const struct pl_linkage linkage =
      shock_of_whole_units(in_plane(0xap-7, 0.0), in_plane(0x4p-7, 0x3p-7));
  struct pl_linkage_state at;
  assert_true(pl_linkage_at_shock_length(&linkage, 0x9p-7, &at));
  assert_near(at.arm_angle, acos(0.44) - atan2(3.0, 4.0), 1e-12);
}

// Longer than 10 and 5, it stops with the mounts opposite, before the wheel turns back.
static void a_shock_stretched_out(void **state) {
  (void)state;
  const struct pl_linkage linkage =
      shock_of_whole_units(in_plane(-0x6p-7, 0x8p-7), in_plane(0x4p-7, 0x3p-7));
  struct pl_linkage_state at;
  assert_false(pl_linkage_at_shock_length(&linkage, 0x10p-7, &at));
  assert_near(at.arm_angle, atan2(-8.0, 6.0) - atan2(3.0, 4.0), 1e-12);
  assert_near(at.shock_length, 0xfp-7, 1e-12);
}

// Arm and link stand upright side by side: the wheel can only go down, whichever way.
static void a_wheel_at_its_highest(void **state) {
  (void)state;
  const struct pl_linkage linkage = {.arm_inner = in_plane(20e-3, 10e-3),
                                     .arm_outer = in_plane(20e-3, 40e-3),
                                     .wheel_centre = in_plane(60e-3, 40e-3),
                                     .shock_top = in_plane(40e-3, 90e-3),
                                     .shock_bottom = in_plane(25e-3, 30e-3),
                                     .has_link = true,
                                     .link_inner = in_plane(50e-3, 10e-3),
                                     .link_outer = in_plane(50e-3, 40e-3)};
  struct pl_linkage_state at;
  assert_false(pl_linkage_at_height(&linkage, 41e-3, &at));
  assert_within(at.travel, 0.0, 0.0);
  assert_within(at.arm_angle, 0.0, 0.0);
  assert_false(pl_linkage_at_height(&linkage, 39e-3, &at));
  assert_within(at.travel, 0.0, 0.0);
  assert_true(pl_linkage_at_height(&linkage, 40e-3, &at));
}

// A link of 24 mm and an upright of 32 mm, which lock at 56 mm from the link's hinge.
static struct pl_linkage short_link(double wheel_y) {
  return (struct pl_linkage){.arm_inner = in_plane(0.0, 0.0),
                             .arm_outer = in_plane(50e-3, 0.0),
                             .wheel_centre = in_plane(wheel_y, 15e-3),
                             .shock_top = in_plane(10e-3, 70e-3),
                             .shock_bottom = in_plane(35e-3, 2e-3),
                             .has_link = true,
                             .link_inner = in_plane(26e-3, 32e-3),
                             .link_outer = in_plane(50e-3, 32e-3)};
}

// The wheel's height where it stops in droop; a hair above is reached, a hair below is not, and
// the shock that would pull it further finds the same stop.
static struct pl_linkage_state stop_in_droop(const struct pl_linkage *linkage) {
  struct pl_linkage_state stop;
  struct pl_linkage_state at;
  assert_false(pl_linkage_at_height(linkage, -60e-3, &stop));
  assert_false(stop.reached);
  assert_true(stop.travel < -5e-3);
  const double height = linkage->wheel_centre.z + stop.travel;
  assert_true(pl_linkage_at_height(linkage, height + 1e-7, &at));
  assert_false(pl_linkage_at_height(linkage, height - 1e-7, &at));
  assert_false(pl_linkage_at_shock_length(linkage, 0.10, &at));
  assert_within(at.travel, stop.travel, 1e-9);
  return stop;
}

// With the wheel inboard of the lower ball joint, link and upright stretch out in one line.
static void four_bar_locks_stretched(void **state) {
  (void)state;
  const struct pl_linkage linkage = short_link(45e-3);
  const struct pl_linkage_state stop = stop_in_droop(&linkage);
  assert_near(apart(stop.arm_outer, linkage.link_inner), 56e-3, 1e-9);
}

// With the wheel outboard of it, the upright's turn raises the wheel before that.
static void wheel_turns_back_before_the_lock(void **state) {
  (void)state;
  const struct pl_linkage linkage = short_link(90e-3);
  const struct pl_linkage_state stop = stop_in_droop(&linkage);
  assert_true(apart(stop.arm_outer, linkage.link_inner) < 55.5e-3);
}

// --------------------------------------------------------------------------- the arm's free
// range

static struct pl_point random_point(struct pl_chance *chance) {
  return in_plane(pl_chance_between(chance, -0.1, 0.1), pl_chance_between(chance, -0.1, 0.1));
}

// How far the circles of upright and link are from touching, of the larger radius: above zero
// where they cross.
static double crossing_room(const struct pl_linkage *linkage, double angle) {
  const struct pl_vector arm =
      pl_turned(pl_vector_to(linkage->arm_inner, linkage->arm_outer), angle);
  const struct pl_point outer = {0.0, linkage->arm_inner.y + arm.y,
                                 linkage->arm_inner.z + arm.z};
  const double upright = apart(linkage->arm_outer, linkage->link_outer);
  const double link = apart(linkage->link_inner, linkage->link_outer);
  const double distance = apart(outer, linkage->link_inner);
  return fmin(upright + link - distance, distance - fabs(upright - link));
}

// Within the range the circles cross, at an end that is not half a turn they touch, and a
// little beyond they do not meet.
static void the_range_ends_where_circles_touch(void **state) {
  (void)state;
  struct pl_chance chance = {61};
  int locks[2] = {0, 0};
  for (int i = 0; i < 4000; i++) {
    struct pl_linkage linkage = {.has_link = true,
                                 .arm_inner = random_point(&chance),
                                 .arm_outer = random_point(&chance),
                                 .link_inner = random_point(&chance),
                                 .link_outer = random_point(&chance)};
    if (i % 10 == 0) linkage.link_inner = linkage.arm_inner;
    const struct pl_arm_span span = pl_arm_span(&linkage);
    assert_true(span.least <= 0.0 && span.greatest >= 0.0);
    for (int k = 1; k < 50; k++) {
      const double share = (double)k / 50.0;
      assert_true(crossing_room(&linkage, share * span.least) > -1e-12);
      assert_true(crossing_room(&linkage, share * span.greatest) > -1e-12);
    }
    const double ends[] = {span.least, span.greatest};
    for (int k = 0; k < 2; k++) {
      if (fabs(ends[k]) == PL_PI) continue;
      locks[k]++;
      assert_within(crossing_room(&linkage, ends[k]), 0.0, 1e-9);
      assert_true(crossing_room(&linkage, ends[k] + copysign(1e-4, ends[k])) < 0.0);
    }
  }
  assert_true(locks[0] > 1000 && locks[1] > 1000);
}

// The arm lies in one line with the two hinges, pointing at the other one or away from it.
static void a_range_from_a_line(void **state) {
  (void)state;
  struct pl_linkage linkage = {.has_link = true,
                               .arm_inner = in_plane(0.0, 0.0),
                               .arm_outer = in_plane(40e-3, 0.0),
                               .link_inner = in_plane(20e-3, 0.0),
                               .link_outer = in_plane(35e-3, 20e-3)};
  struct pl_arm_span span = pl_arm_span(&linkage);
  assert_within(crossing_room(&linkage, span.greatest), 0.0, 1e-12);
  assert_near(span.least, -span.greatest, 1e-12);
  linkage.link_inner = in_plane(-20e-3, 0.0);
  span = pl_arm_span(&linkage);
  assert_within(crossing_room(&linkage, span.greatest), 0.0, 1e-12);
  assert_near(span.least, -span.greatest, 1e-12);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(free_arm_turns_back),
      cmocka_unit_test(the_highest_is_still_reached),
      cmocka_unit_test(an_arm_that_hangs),
      cmocka_unit_test(a_shock_pulls_no_further_than_the_wheel_rises),
      cmocka_unit_test(a_shock_on_its_dead_centre),
      cmocka_unit_test(a_shock_on_the_other_side),
      cmocka_unit_test(a_shock_stretched_out),
      cmocka_unit_test(a_wheel_at_its_highest),
      cmocka_unit_test(four_bar_locks_stretched),
      cmocka_unit_test(the_range_ends_where_circles_touch),
      cmocka_unit_test(a_range_from_a_line),
      cmocka_unit_test(wheel_turns_back_before_the_lock),
  };
  return cmocka_run_group_tests_name("reach of a linkage", tests, NULL, NULL);
}
