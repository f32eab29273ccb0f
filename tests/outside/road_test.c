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

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rolling_wheel),
      cmocka_unit_test(parallel_curve),
      cmocka_unit_test(kinks),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
