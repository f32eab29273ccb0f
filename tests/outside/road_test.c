// SPDX-License-Identifier: GPL-3.0-or-later
// The way of a wheel over bumps against what a circle on a road is.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "corner.h"
#include "near.h"

/// How high a circle stands on a road, by what that means: as high as the point demands that
/// demands most. Ways of 4 µm miss up to 20 nm where both are steep.
static double stands_at(const struct pl_bumps *bumps, double way) {
  const double radius = bumps->radius;
  double height = -INFINITY;
  for (double aside = -radius; aside <= radius; aside += 4e-6)
    height = fmax(height, pl_haversines(bumps, way + aside) +
                              sqrt(fmax(radius * radius - aside * aside, 0)) - radius);
  return height;
}

// The wheel's way over bumps and holes, short and long, alone and so near that it stands on
// two.
static void rolling_wheel(void **state) {
  (void)state;
  static const struct pl_bumps roads[] = {
      {.height = 12e-3, .length = 60e-3, .count = 1, .radius = 42e-3},
      {.height = 12e-3, .length = 60e-3, .spacing = 70e-3, .count = 3, .radius = 42e-3},
      {.height = 3e-3, .length = 5e-3, .spacing = 5e-3, .count = 9, .radius = 33e-3},
      {.height = 12e-3, .length = 400e-3, .spacing = 400e-3, .count = 2, .radius = 42e-3},
      {.height = 100e-3, .length = 50e-3, .count = 1, .radius = 33e-3},
      {.height = -12e-3, .length = 60e-3, .spacing = 60e-3, .count = 2, .radius = 42e-3},
      {.height = -3e-3, .length = 400e-3, .count = 1, .radius = 42e-3},
      {.height = -100e-3, .length = 30e-3, .count = 1, .radius = 33e-3}};
  double worst = 0;
  double steepest = 0;
  for (size_t i = 0; i < sizeof roads / sizeof roads[0]; i++) {
    struct pl_road road;
    struct pl_bumps bumps = roads[i];
    bumps.speed = 1;
    pl_road_of(&bumps, &road);
    const double end = bumps.length + (double)(bumps.count - 1) * bumps.spacing;
    for (int j = 0; j <= 40; j++) {
      const double way = -50e-3 + (end + 100e-3) * j / 40;
      double slope;
      const double height = pl_road_height(&road, way, &slope);
      worst = fmax(worst, fabs(height - stands_at(&bumps, way)));
      // The slope is the height's own, but for a kink in between.
      double beside;
      const double rise = pl_road_height(&road, way + 1e-8, &beside) - height;
      if (pl_road_next_kink(&road, way - 2e-8) < way + 3e-8) continue;
      steepest = fmax(steepest, fabs(slope));
      assert_within(rise / 1e-8, slope, 1e-4 * fmax(1, fabs(slope)) + 1e-4);
    }
  }
  print_message("  a rolling wheel: off by %.1e m at the worst\n", worst);
  assert_true(worst < 2e-8 && steepest > 1);
}

// At the crest the parallel curve's radius is that of the road and the wheel's together, and at
// the bottom of a long hole that of the road less the wheel's.
static void parallel_curve(void **state) {
  (void)state;
  const double bend = 2 * PL_PI * PL_PI * 12e-3 / (400e-3 * 400e-3); // 1/radius at the crest
  for (int way = -1; way <= 1; way += 2) {
    const struct pl_bumps bumps = {
        .height = way * 12e-3, .length = 400e-3, .speed = 1, .count = 1, .radius = 42e-3};
    struct pl_road road;
    double slope;
    pl_road_of(&bumps, &road);
    assert_true(!road.has_kinks && road.lead == 0);
    pl_road_height(&road, 0.2 + 1e-5, &slope);
    assert_near(1e-5 / fabs(slope), 1 / bend + way * 42e-3, 1e-6);
  }
}

// Where the slope jumps: at both ends of a bump that is short, where it stands on two, in the
// middle of a hole.
static void kinks(void **state) {
  (void)state;
  struct pl_road road;
  struct pl_bumps bumps = {.height = 12e-3,
                           .length = 60e-3,
                           .speed = 1,
                           .spacing = 70e-3,
                           .count = 2,
                           .radius = 42e-3};
  pl_road_of(&bumps, &road);
  assert_within(road.lead, 6.6483e-3, 1e-7); // by trying 200 000 points
  assert_within(road.reach, road.lead + 30e-3, 1e-15);
  assert_within(pl_road_next_kink(&road, -1), -road.lead, 1e-15);
  assert_within(pl_road_next_kink(&road, -road.lead), 65e-3, 1e-15); // on both
  assert_within(pl_road_next_kink(&road, 65e-3), 130e-3 + road.lead, 1e-15);
  assert_true(isinf(pl_road_next_kink(&road, 130e-3 + road.lead)));
  bumps.spacing = 200e-3;
  pl_road_of(&bumps, &road);
  assert_within(pl_road_next_kink(&road, 0), 60e-3 + road.lead, 1e-15);
  assert_within(pl_road_next_kink(&road, 60e-3 + road.lead), 200e-3 - road.lead, 1e-15);
  bumps.height = -12e-3;
  pl_road_of(&bumps, &road);
  assert_true(road.lead == 0);
  assert_within(pl_road_next_kink(&road, -1), 30e-3, 1e-15);
  assert_within(pl_road_next_kink(&road, 30e-3), 230e-3, 1e-15);
  assert_true(isinf(pl_road_next_kink(&road, 230e-3)));
}

// A wheel without a radius follows the road itself; one bump has no spacing, and a level road
// nothing at all.
static void at_one_point(void **state) {
  (void)state;
  struct pl_bumps bumps = {
      .height = 12e-3, .length = 60e-3, .speed = 1, .spacing = 70e-3, .count = 3};
  struct pl_road road;
  double slope;
  for (size_t count = 1; count <= 3; count += 2) {
    bumps.count = count;
    if (count == 1) bumps.spacing = NAN;
    if (count > 1) bumps.spacing = 70e-3;
    pl_road_of(&bumps, &road);
    assert_true(!road.has_kinks && isinf(pl_road_next_kink(&road, -1)));
    const double spacing = count > 1 ? 70e-3 : 1;
    const struct pl_bumps same = {
        .height = 12e-3, .length = 60e-3, .spacing = spacing, .count = count};
    for (int i = -20; i <= 320; i++) {
      const double way = i * 0.7e-3;
      assert_within(pl_road_height(&road, way, &slope), pl_haversines(&same, way), 1e-15);
      const double along = fmod(way, spacing);
      const bool is_on = i > 0 && along < 60e-3 && way < (double)count * spacing;
      const double rise =
          12e-3 * PL_PI / 60e-3 * sin(2 * PL_PI * along / 60e-3); // of the haversine
      assert_within(slope, is_on ? rise : 0, 1e-12);
    }
  }
  bumps.count = 0;
  pl_road_of(&bumps, &road);
  assert_true(pl_road_height(&road, 30e-3, &slope) == 0 && slope == 0);
  assert_true(isinf(pl_road_next_kink(&road, -1)));
}

/// Where the centre of a wheel is that touches the first bump at a point: the parallel curve.
static double centre_along(const struct pl_bumps *bumps, double p, double *above) {
  const double slope =
      bumps->height * PL_PI / bumps->length * sin(2 * PL_PI * p / bumps->length);
  const double height = pl_haversines(bumps, p);
  *above = height + bumps->radius / sqrt(1 + slope * slope) - bumps->radius;
  return p - bumps->radius * slope / sqrt(1 + slope * slope);
}

// A wheel has kinks in its way where it is rounder than the road: at the foot of a bump, and at
// the bottom of a hole, the road's radius is L^2/(2 pi^2 h).
static void rounder_than_the_road(void **state) {
  (void)state;
  for (int way = -1; way <= 1; way += 2) {
    struct pl_bumps bumps = {
        .height = way * 12e-3, .length = 100e-3, .speed = 1, .count = 1, .radius = 1};
    const double own = 0.1 * 0.1 / (2 * PL_PI * PL_PI * 12e-3);
    struct pl_road road;
    bumps.radius = own * (1 - 1e-9);
    pl_road_of(&bumps, &road);
    assert_true(!road.has_kinks && road.lead == 0);
    bumps.radius = own * (1 + 1e-9);
    pl_road_of(&bumps, &road);
    assert_true(road.has_kinks);
    // What it touches first and last: from where it stands on level road as well, up to where
    // it stands on both flanks.
    for (double radius = 1.1 * own; radius < 0.4; radius *= 1.3) {
      double above;
      bumps.radius = radius;
      pl_road_of(&bumps, &road);
      const double first = centre_along(&bumps, road.first, &above);
      if (way > 0) {
        assert_within(above, 0, 1e-15);
        assert_within(road.lead, -first, 1e-15);
        assert_within(road.last, 50e-3, 1e-15);
      } else {
        assert_true(road.first == 0 && road.lead == 0);
        assert_within(centre_along(&bumps, road.last, &above), 50e-3, 1e-15);
      }
      assert_within(road.reach, 50e-3 + road.lead, 1e-15);
      assert_true(road.first < road.last && (way < 0 || road.first > 0));
    }
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rolling_wheel),
      cmocka_unit_test(parallel_curve),
      cmocka_unit_test(kinks),
      cmocka_unit_test(at_one_point),
      cmocka_unit_test(rounder_than_the_road),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
