// SPDX-License-Identifier: GPL-3.0-or-later
// Which numbers make a corner and a road, which ways the oil has, where the travel ends.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "corner.h"
#include "near.h"
#include "physics/quarter_car.h"

static const struct pl_bumps level = {.count = 0};

static enum pl_simulation_status status_of(const struct pl_corner *corner,
                                           const struct pl_bumps *bumps) {
  struct pl_quarter quarter;
  enum pl_simulation_status status;
  return pl_quarter_of(corner, bumps, &quarter, &status) ? PL_SIMULATED : status;
}

static struct pl_quarter quarter_of(const struct pl_corner *corner) {
  struct pl_quarter quarter;
  enum pl_simulation_status status;
  assert_true(pl_quarter_of(corner, &level, &quarter, &status));
  return quarter;
}

/// A number, and which of those that are tried in its place it may be.
struct number {
  double *place;
  bool zero, negative, nan, infinite;
};

static enum pl_simulation_status expected(bool possible) {
  return possible ? PL_SIMULATED : PL_NO_CORNER;
}

static void try_numbers(const struct number *numbers, size_t count,
                        const struct pl_corner *corner, const struct pl_bumps *bumps) {
  for (size_t i = 0; i < count; i++) {
    double *const place = numbers[i].place;
    const double good = *place;
    assert_int_equal(status_of(corner, bumps), PL_SIMULATED);
    *place = 0;
    assert_int_equal(status_of(corner, bumps), expected(numbers[i].zero));
    *place = -1e-3;
    assert_int_equal(status_of(corner, bumps), expected(numbers[i].negative));
    *place = NAN;
    assert_int_equal(status_of(corner, bumps), expected(numbers[i].nan));
    *place = INFINITY;
    assert_int_equal(status_of(corner, bumps), expected(numbers[i].infinite));
    *place = good;
  }
}

static void numbers_of_a_corner(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_corner *const corner = &test.corner;
  const struct number numbers[] = {
      {.place = &corner->sprung_mass},
      {.place = &corner->unsprung_mass},
      {.place = &corner->gravity},
      {.place = &corner->tyre_radius},
      {.place = &corner->tyre_rate},
      {.place = &corner->ambient},
      {.place = &corner->seal_friction, .zero = true},
      {.place = &corner->springs.preload, .zero = true, .negative = true},
      {.place = &corner->gas.volume}};
  try_numbers(numbers, sizeof numbers / sizeof numbers[0], corner, &level);
  // Without gas nobody looks at its volume.
  corner->has_gas = false;
  const struct number volume = {&corner->gas.volume, true, true, true, true};
  try_numbers(&volume, 1, corner, &level);
  const struct pl_corner good = *corner;
  corner->springs.main = NULL;
  assert_int_equal(status_of(corner, &level), PL_NO_CORNER);
  *corner = good;
  corner->path.highest = corner->path.lowest;
  assert_int_equal(status_of(corner, &level), PL_NO_CORNER);
  corner->path.highest = corner->path.lowest - 1e-3;
  assert_int_equal(status_of(corner, &level), PL_NO_CORNER);
  corner->path.highest = NAN;
  assert_int_equal(status_of(corner, &level), PL_NO_CORNER);
}

static void numbers_of_bumps(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_bumps bumps = {
      .height = 1e-2, .length = 0.1, .speed = 5, .spacing = 0.2, .count = 2, .radius = 0.04};
  const struct number numbers[] = {{.place = &bumps.height, .zero = true, .negative = true},
                                   {.place = &bumps.length},
                                   {.place = &bumps.speed},
                                   {.place = &bumps.radius, .zero = true},
                                   {.place = &bumps.spacing}};
  try_numbers(numbers, sizeof numbers / sizeof numbers[0], &test.corner, &bumps);
  bumps.spacing = bumps.length; // one behind the other
  assert_int_equal(status_of(&test.corner, &bumps), PL_SIMULATED);
  bumps.spacing = nextafter(bumps.length, 0);
  assert_int_equal(status_of(&test.corner, &bumps), PL_NO_CORNER);
  bumps.count = 1;
  const struct number spacing = {&bumps.spacing, true, true, true, true};
  try_numbers(&spacing, 1, &test.corner, &bumps);
  bumps = (struct pl_bumps){NAN, NAN, NAN, NAN, 0, NAN};
  assert_int_equal(status_of(&test.corner, &bumps), PL_SIMULATED);
}

// The oil needs a way in both directions; a gap at the rim is one.
static void ways_of_the_oil(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_corner *const corner = &test.corner;
  corner->seal_friction = 0.2;
  corner->piston.sets[0].way = PL_FLOW_COMPRESSION;
  assert_int_equal(status_of(corner, &level), PL_NO_FLOW);
  corner->piston.sets[0].way = PL_FLOW_REBOUND;
  assert_int_equal(status_of(corner, &level), PL_NO_FLOW);
  corner->piston.diameter = 12.9e-3;
  assert_int_equal(status_of(corner, &level), PL_SIMULATED);
  // What opens late holds the shaft up to the least pressure that opens a way, and a leak is
  // open.
  corner->piston.diameter = NAN;
  corner->piston.sets[0].way = PL_FLOW_REBOUND;
  corner->piston.sets[0].opens_at = 3e4;
  corner->piston.set_count = 3;
  corner->piston.sets[1] = corner->piston.sets[0];
  corner->piston.sets[1].way = PL_FLOW_COMPRESSION;
  corner->piston.sets[2] = corner->piston.sets[1];
  corner->piston.sets[1].opens_at = 1e4;
  corner->piston.sets[2].opens_at = 2e4;
  const double area = PL_PI / 4 * (13e-3 * 13e-3 - 3e-3 * 3e-3);
  struct pl_quarter quarter = quarter_of(corner);
  assert_near(quarter.start_in, 0.2 + 1e4 * area, 1e-12);
  assert_near(quarter.start_out, 0.2 + 3e4 * area, 1e-12);
  corner->piston.diameter = 12.9e-3;
  quarter = quarter_of(corner);
  assert_true(quarter.start_in == 0.2 && quarter.start_out == 0.2);
}

// Too little travel for a shock that moves, and just enough.
static void least_travel(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 8, 0, 0.05);
  pl_spring_curve_linear(300, 0.9e-9, &test.spring);
  test.corner.path.lowest = 0; // where the shock is not yet compressed
  for (size_t i = 0; i < PL_PATH_KNOTS; i++) test.corner.path.compression[i] += 1e-9;
  assert_int_equal(status_of(&test.corner, &level), PL_NO_TRAVEL);
  pl_spring_curve_linear(300, 1e-8, &test.spring);
  assert_int_equal(status_of(&test.corner, &level), PL_SIMULATED);
}

// Coils that touch end the travel where the shock is compressed so far.
static void end_by_bind(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_quarter quarter = quarter_of(&test.corner);
  assert_true(quarter.end == test.corner.path.highest && !quarter.end_is_bind);
  pl_spring_curve_linear(522, 12e-3, &test.spring);
  quarter = quarter_of(&test.corner);
  struct pl_linkage_state at;
  assert_true(pl_linkage_at_height(&test.linkage, quarter.end, &at));
  assert_within(test.longest - at.shock_length, 12e-3 - test.corner.springs.preload, 1e-8);
  assert_true(quarter.end_is_bind);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(numbers_of_a_corner), cmocka_unit_test(numbers_of_bumps),
      cmocka_unit_test(ways_of_the_oil),     cmocka_unit_test(least_travel),
      cmocka_unit_test(end_by_bind),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
