// SPDX-License-Identifier: GPL-3.0-or-later
// The table of a shock's path against the linkage that it stands for.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "corner.h"
#include "near.h"

static void as_the_linkage(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_shock_path *const path = &test.corner.path;
  double worst = 0;
  double worst_ratio = 0;
  for (int i = 0; i <= 333; i++) {
    const double height = path->lowest + (path->highest - path->lowest) * (i + 0.5) / 334;
    struct pl_linkage_state at;
    double ratio;
    assert_true(pl_linkage_at_height(&test.linkage, height, &at));
    const double compression = pl_shock_path_at(path, height, &ratio);
    worst = fmax(worst, fabs(test.longest - at.shock_length - compression));
    worst_ratio = fmax(worst_ratio, fabs(at.motion_ratio - ratio));
  }
  print_message("  off by %.1e m, and by %.1e of the ratio, at the worst\n", worst,
                worst_ratio);
  assert_true(worst < 1e-9 && worst_ratio < 1e-5);
  // At the ends it is the linkage to the last digit but some.
  double ratio;
  struct pl_linkage_state at;
  assert_within(pl_shock_path_at(path, path->lowest, &ratio), 0, 1e-11);
  assert_true(pl_linkage_at_height(&test.linkage, path->lowest + 1e-12, &at));
  assert_near(ratio, at.motion_ratio, 1e-12);
  assert_within(pl_shock_path_at(path, path->highest, &ratio), 18.5e-3, 1e-11);
  assert_true(pl_linkage_at_height(&test.linkage, path->highest - 1e-12, &at));
  assert_near(ratio, at.motion_ratio, 1e-12);
}

// The ratio is the slope of the compression, everywhere and to many digits: otherwise force and
// energy would not agree. Across knots and ends there is no jump.
static void slope(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_shock_path *const path = &test.corner.path;
  const double stroke = path->highest - path->lowest;
  for (int i = -40; i <= 360; i++) {
    const double height = path->lowest + stroke * i / 320; // each knot is one of them
    const double span = 1e-7;
    double ratio;
    double beside;
    const double here = pl_shock_path_at(path, height, &ratio);
    const double rise = pl_shock_path_at(path, height + span, &beside) -
                        pl_shock_path_at(path, height - span, &beside);
    assert_near(rise / (2 * span), ratio, 1e-6);
    assert_within(pl_shock_path_at(path, height + 1e-12, &beside), here, 1e-11);
  }
  // Beyond the ends a straight line.
  double end;
  double beyond;
  const double full = pl_shock_path_at(path, path->highest, &end);
  assert_near(pl_shock_path_at(path, path->highest + 2e-3, &beyond), full + 2e-3 * end, 1e-12);
  assert_true(beyond == end);
  pl_shock_path_at(path, path->lowest, &end);
  assert_near(pl_shock_path_at(path, path->lowest - 2e-3, &beyond), -2e-3 * end, 1e-8);
  assert_true(beyond == end);
}

static void impossible(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_shock_path path;
  const double low = test.corner.path.lowest;
  const double high = test.corner.path.highest;
  const double longest = test.longest;
  assert_true(pl_shock_path_of(&test.linkage, low, high, longest, &path));
  assert_false(pl_shock_path_of(&test.linkage, NAN, high, longest, &path));
  assert_false(pl_shock_path_of(&test.linkage, -INFINITY, high, longest, &path));
  assert_false(pl_shock_path_of(&test.linkage, low, NAN, longest, &path));
  assert_false(pl_shock_path_of(&test.linkage, low, INFINITY, longest, &path));
  assert_false(pl_shock_path_of(&test.linkage, low, low, longest, &path));
  assert_false(pl_shock_path_of(&test.linkage, low, high, NAN, &path));
  assert_false(pl_shock_path_of(&test.linkage, low, high, INFINITY, &path));
  struct pl_linkage without = test.linkage; // a shock
  without.shock_top.y = NAN;
  assert_false(pl_shock_path_of(&without, low, high, longest, &path));
  // A shock that hangs below the arm gets longer as the wheel rises.
  without = test.linkage;
  without.shock_top.z = -0.08;
  assert_false(pl_shock_path_of(&without, low, high, longest, &path));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(as_the_linkage),
      cmocka_unit_test(slope),
      cmocka_unit_test(impossible),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
