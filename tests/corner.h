// SPDX-License-Identifier: GPL-3.0-or-later
// Corners for tests of the simulation: one like a tenth-scale buggy's front, and one in which
// everything is linear.
#ifndef PITLEAF_TESTS_CORNER_H
#define PITLEAF_TESTS_CORNER_H

#include "pitleaf/simulation.h"

#include <math.h>

/// A corner with what it borrows.
struct pl_test_corner {
  struct pl_corner corner;
  struct pl_spring_curve spring;
  struct pl_linkage linkage;
  double longest;
};

/// A beam's shock that stands upright: the motion ratio is 1. Of `stroke` m; spring and damper
/// (N/m, N s/m) are linear, since oil without density has no kinetic loss; the cap is vented.
static inline void pl_linear_corner(struct pl_test_corner *test, double stiffness,
                                    double damping, double preload, double stroke) {
  *test = (struct pl_test_corner){.longest = 0.1};
  test->linkage = (struct pl_linkage){.wheel_centre = {0, 0.1, 0},
                                      .shock_top = {0, 0.05, 0.1},
                                      .shock_bottom = {0, 0.05, 0},
                                      .beam = true};
  pl_spring_curve_linear(stiffness, INFINITY, &test->spring);
  test->corner = (struct pl_corner){
      .sprung_mass = 0.3,
      .unsprung_mass = 0.06,
      .gravity = PL_STANDARD_GRAVITY,
      .tyre_radius = 0.04,
      .tyre_rate = 2500,
      .springs = {.main = &test->spring, .preload = preload},
      .ambient = 1e7, // so high that nothing cavitates
      .piston = {.set_count = 1,
                 .sets = {{.count = 2, .diameter_cap_side = 1e-3, .diameter_shaft_side = 1e-3}},
                 .thickness = 2e-3,
                 .diameter = NAN,
                 .bore = 12e-3,
                 .shaft = 3e-3},
      .fluid = {.dynamic_viscosity = 1, .density = 0}};
  const double at_one = pl_piston_slow_damping(&test->corner.piston, &test->corner.fluid, true);
  test->corner.fluid.dynamic_viscosity = damping / at_one;
  pl_shock_path_of(&test->linkage, -1e-9, stroke, test->longest, &test->corner.path);
}

/// The front of a buggy of a tenth, with all that a damper has.
static inline void pl_buggy_corner(struct pl_test_corner *test) {
  *test = (struct pl_test_corner){.longest = 0.077};
  test->linkage = (struct pl_linkage){.arm_inner = {0, 0.022, 0.012},
                                      .arm_outer = {0, 0.088, 0.011},
                                      .wheel_centre = {0, 0.104, 0.021},
                                      .shock_top = {0, 0.037, 0.079},
                                      .shock_bottom = {0, 0.065, 0.014},
                                      .has_link = true,
                                      .link_inner = {0, 0.038, 0.035},
                                      .link_outer = {0, 0.083, 0.0385}};
  pl_spring_curve_linear(522, INFINITY, &test->spring);
  test->corner = (struct pl_corner){.sprung_mass = 0.264,
                                    .unsprung_mass = 0.062,
                                    .gravity = PL_STANDARD_GRAVITY,
                                    .tyre_radius = 0.042,
                                    .tyre_rate = 2600,
                                    .springs = {.main = &test->spring, .preload = 2.25e-3},
                                    .ambient = PL_STANDARD_ATMOSPHERE,
                                    .has_gas = true,
                                    .gas = {PL_STANDARD_ATMOSPHERE, 0, 0.5e-6, 3e-3, 1.4},
                                    .piston = {.set_count = 1,
                                               .sets = {{.count = 3,
                                                         .diameter_cap_side = 1.9e-3,
                                                         .diameter_shaft_side = 1.9e-3}},
                                               .thickness = 2.4e-3,
                                               .diameter = NAN,
                                               .bore = 13e-3,
                                               .shaft = 3e-3},
                                    .fluid = {.dynamic_viscosity = 0.45, .density = 976}};
  struct pl_linkage_state droop;
  struct pl_linkage_state bump;
  pl_linkage_at_shock_length(&test->linkage, test->longest, &droop);
  pl_linkage_at_shock_length(&test->linkage, test->longest - 18.5e-3, &bump);
  pl_shock_path_of(&test->linkage, droop.wheel_centre.z, bump.wheel_centre.z, test->longest,
                   &test->corner.path);
}

/// The road beneath one point, `x` m behind the foot of the first bump.
static inline double pl_haversines(const struct pl_bumps *bumps, double x) {
  for (size_t i = 0; i < bumps->count; i++) {
    const double along = x - (double)i * bumps->spacing;
    if (along < 0 || along > bumps->length) continue;
    return bumps->height / 2 * (1 - cos(2 * PL_PI * along / bumps->length));
  }
  return 0;
}

#endif
