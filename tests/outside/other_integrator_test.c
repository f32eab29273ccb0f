// SPDX-License-Identifier: GPL-3.0-or-later
// The simulation of a corner against another integrator with another set of equations, in steps
// that are shorter by far.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "corner.h"
#include "near.h"

static enum pl_simulation_status drop(const struct pl_corner *corner, double height,
                                      struct pl_record *record,
                                      struct pl_motion_result *result) {
  struct pl_simulator *const simulator = pl_simulator_new(PL_SIMULATION_TOLERANCE);
  const enum pl_simulation_status status =
      pl_simulate_drop(simulator, corner, height, record, result);
  pl_simulator_free(simulator);
  return status;
}

/// The buggy's corner in other words: the linkage itself in place of its table, the damper and
/// the gas by their public functions, the void by clamping, classical Runge-Kutta in steps so
/// short that events need no locating.
struct other {
  const struct pl_test_corner *test;
  double free_radius;
  bool torn;
  const struct pl_bumps *bumps; ///< null: the road is level
};

enum { H, Y, U, W, VOID, OTHERS };

static double flow_of(const struct pl_piston *piston, const struct pl_fluid *fluid,
                      double pressure) {
  const struct pl_port_law law =
      pl_port_law(piston->thickness, piston->sets[0].diameter_cap_side,
                  piston->sets[0].diameter_shaft_side, fluid);
  return piston->sets[0].count * pl_port_flow(&law, pressure);
}

static void other_slopes(const struct other *other, double time, const double *y,
                         double *slopes) {
  const struct pl_corner *const corner = &other->test->corner;
  struct pl_linkage_state at;
  assert_true(pl_linkage_at_height(&other->test->linkage, y[Y] - y[H], &at));
  const double compression = other->test->longest - at.shock_length;
  const double speed = at.motion_ratio * (y[W] - y[U]);
  const double shaft = PL_PI / 4 * corner->piston.shaft * corner->piston.shaft;
  const double left = corner->gas.volume - shaft * compression - y[VOID];
  const double cap = corner->ambient * pow(corner->gas.volume / left, 1.4);
  const double area = pl_pumped_area(&corner->piston);
  double across = pl_piston_pressure(&corner->piston, &corner->fluid, speed);
  slopes[VOID] = 0;
  if (other->torn) {
    across = cap;
    slopes[VOID] = area * speed - flow_of(&corner->piston, &corner->fluid, cap);
  }
  const double shock = pl_shock_spring_force(&corner->springs, compression) +
                       (cap - corner->ambient) * shaft + across * area;
  const double road =
      other->bumps == NULL ? 0 : pl_haversines(other->bumps, other->bumps->speed * time);
  const double tyre = fmax(0, corner->tyre_rate * (other->free_radius + road - y[Y]));
  slopes[H] = y[U];
  slopes[Y] = y[W];
  slopes[U] = shock * at.motion_ratio / corner->sprung_mass - corner->gravity;
  slopes[W] = (tyre - shock * at.motion_ratio) / corner->unsprung_mass - corner->gravity;
}

static void other_step(struct other *other, double time, double length, double *y) {
  const struct pl_corner *const corner = &other->test->corner;
  double k[4][OTHERS];
  double at[OTHERS];
  static const double part[4] = {0, 0.5, 0.5, 1};
  for (int i = 0; i < 4; i++) {
    for (int j = 0; j < OTHERS; j++)
      at[j] = y[j] + (i == 0 ? 0 : part[i] * length * k[i - 1][j]);
    other_slopes(other, time + part[i] * length, at, k[i]);
  }
  for (int j = 0; j < OTHERS; j++)
    y[j] += length / 6 * (k[0][j] + 2 * k[1][j] + 2 * k[2][j] + k[3][j]);
  struct pl_linkage_state state;
  pl_linkage_at_height(&other->test->linkage, y[Y] - y[H], &state);
  const double speed = state.motion_ratio * (y[W] - y[U]);
  const double shaft = PL_PI / 4 * corner->piston.shaft * corner->piston.shaft;
  const double compression = other->test->longest - state.shock_length;
  const double cap =
      corner->ambient *
      pow(corner->gas.volume / (corner->gas.volume - shaft * compression - y[VOID]), 1.4);
  if (other->torn && y[VOID] <= 0) {
    other->torn = false;
    y[VOID] = 0;
  } else if (!other->torn && pl_piston_pressure(&corner->piston, &corner->fluid, speed) > cap) {
    other->torn = true;
  }
}

/// The greatest difference of heights in a drop until the tyre leaves the ground, of the height
/// fallen; the shock must not end its travel meanwhile.
static double other_way(const struct pl_test_corner *test, double height, double step,
                        double until, bool *tore) {
  const struct pl_corner *const corner = &test->corner;
  static struct pl_moment moments[1000];
  struct pl_record record = {moments, 1000, 0, 1e-3, 0};
  struct pl_motion_result result;
  assert_int_equal(drop(corner, height, &record, &result), PL_SIMULATED);
  struct other other = {.test = test};
  other.free_radius = corner->tyre_radius + (corner->sprung_mass + corner->unsprung_mass) *
                                                corner->gravity / corner->tyre_rate;
  const double speed = sqrt(2 * corner->gravity * height);
  double y[OTHERS] = {other.free_radius - corner->path.lowest, other.free_radius, -speed,
                      -speed, 0};
  double time = speed / corner->gravity;
  const double end = time + until;
  double worst = 0;
  size_t compared = 0;
  for (size_t i = 0; i < record.count && moments[i].time < end; i++) {
    if (moments[i].time <= time) continue;
    const double length = moments[i].time - time;
    const size_t steps = (size_t)ceil(length / step);
    for (size_t j = 0; j < steps; j++) {
      other_step(&other, 0, length / (double)steps, y);
      *tore |= other.torn;
    }
    time = moments[i].time;
    worst = fmax(worst, fabs(moments[i].chassis - y[H]));
    worst = fmax(worst, fabs(moments[i].wheel - y[Y]));
    compared++;
  }
  assert_true(compared > 15);
  print_message("  %.0f mm: %zu moments, off by %.1e m at the worst\n", height * 1e3, compared,
                worst);
  return worst / height;
}

static void by_another_integrator(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  // Loose at full extension, so that the shock starts at the touch, and not before its end
  // lets go of it.
  test.corner.springs.preload = 0;
  bool tore = false;
  assert_true(other_way(&test, 0.02, 2e-6, 0.15, &tore) < 1e-6);
  assert_false(tore);
  // The void opens and closes, within the other's step of 0.2 µs of the right moment.
  test.corner.tyre_radius = 0.06; // clear of the ground
  assert_true(other_way(&test, 0.12, 2e-7, 0.03, &tore) < 1e-6);
  assert_true(tore);
}

// Over two bumps that the wheel follows at one point, also where it leaves the road between
// them.
static void bumps_by_another_integrator(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_corner *const corner = &test.corner;
  const struct pl_bumps bumps = {
      .height = 10e-3, .length = 60e-3, .speed = 5, .spacing = 90e-3, .count = 2};
  static struct pl_moment moments[35];
  struct pl_record record = {moments, 35, 0, 1e-3, 0};
  struct pl_motion_result result;
  struct pl_simulator *const simulator = pl_simulator_new(PL_SIMULATION_TOLERANCE);
  assert_int_equal(pl_simulate_bumps(simulator, corner, &bumps, &record, &result),
                   PL_SIMULATED);
  pl_simulator_free(simulator);
  assert_true(result.losses > 0 && result.cavitated);
  struct other other = {.test = &test, .bumps = &bumps};
  other.free_radius = corner->tyre_radius + (corner->sprung_mass + corner->unsprung_mass) *
                                                corner->gravity / corner->tyre_rate;
  double y[OTHERS] = {result.rest_height, corner->tyre_radius, 0, 0, 0};
  double worst = 0;
  const int steps = 2500; // the void opens and closes within one of them of the right moment
  for (size_t i = 0; i < record.count; i++) {
    worst = fmax(worst, fabs(moments[i].chassis - y[H]));
    worst = fmax(worst, fabs(moments[i].wheel - y[Y]));
    for (int j = 0; j < steps; j++)
      other_step(&other, 1e-3 * ((double)i + (double)j / steps), 1e-3 / steps, y);
  }
  print_message("  two bumps: %zu moments, off by %.1e m at the worst\n", record.count, worst);
  assert_true(record.count == 35 && worst < 2e-5 * bumps.height);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(by_another_integrator),
      cmocka_unit_test(bumps_by_another_integrator),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
