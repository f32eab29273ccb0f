// SPDX-License-Identifier: GPL-3.0-or-later
// The simulation of a corner against closed forms, and against another integrator with another
// set of equations at a tighter tolerance.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <gsl/gsl_linalg.h>

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

// ---------------------------------------------------------------- linear

/// How far two masses on springs are from where they rest, after `time`: the exponential of the
/// matrix of the motion (GSL's), which is its closed form.
static void linear_after(const struct pl_corner *corner, double stiffness, double damping,
                         double time, const double start[4], double state[4]) {
  const double ms = corner->sprung_mass;
  const double mu = corner->unsprung_mass;
  double rows[16] = {0,
                     0,
                     time,
                     0,
                     0,
                     0,
                     0,
                     time,
                     -stiffness / ms * time,
                     stiffness / ms * time,
                     -damping / ms * time,
                     damping / ms * time,
                     stiffness / mu * time,
                     -(stiffness + corner->tyre_rate) / mu * time,
                     damping / mu * time,
                     -damping / mu * time};
  double exponential[16];
  gsl_matrix_view from = gsl_matrix_view_array(rows, 4, 4);
  gsl_matrix_view to = gsl_matrix_view_array(exponential, 4, 4);
  gsl_linalg_exponential_ss(&from.matrix, &to.matrix, GSL_PREC_DOUBLE);
  for (int i = 0; i < 4; i++) {
    state[i] = 0;
    for (int j = 0; j < 4; j++) state[i] += exponential[4 * i + j] * start[j];
  }
}

// Two masses from the touch until the tyre leaves the ground: heights to 1e-6 of the fall.
static void two_masses(void **state) {
  (void)state;
  const double stiffness = 300;
  const double damping = 8;
  struct pl_test_corner test;
  pl_linear_corner(&test, stiffness, damping, 0, 0.05);
  const struct pl_corner *const corner = &test.corner;
  static struct pl_moment moments[200];
  struct pl_record record = {moments, 200, 0, 1e-3, 0};
  struct pl_motion_result result;
  const double height = 0.01;
  assert_int_equal(drop(corner, height, &record, &result), PL_SIMULATED);
  assert_int_equal(result.chassis.count + result.shock_in.count + result.shock_out.count, 0);
  const double weight = (corner->sprung_mass + corner->unsprung_mass) * corner->gravity;
  const double rest_wheel = corner->tyre_radius;
  const double rest_chassis =
      rest_wheel - (corner->sprung_mass * corner->gravity / stiffness + corner->path.lowest);
  assert_near(result.rest_height, rest_chassis, 1e-6);
  const double touch = sqrt(2 * height / corner->gravity);
  const double free_radius = corner->tyre_radius + weight / corner->tyre_rate;
  const double start[4] = {free_radius - corner->path.lowest - rest_chassis,
                           free_radius - rest_wheel, -corner->gravity * touch,
                           -corner->gravity * touch};
  size_t compared = 0;
  double worst = 0;
  for (size_t i = 0; i < record.count; i++) {
    if (moments[i].time <= touch) {
      const double fallen = 0.5 * corner->gravity * moments[i].time * moments[i].time;
      assert_within(moments[i].wheel, free_radius + height - fallen, 1e-15);
      continue;
    }
    if (moments[i].tyre_force <= 0) break;
    double expected[4];
    linear_after(corner, stiffness, damping, moments[i].time - touch, start, expected);
    worst = fmax(worst, fabs(moments[i].chassis - rest_chassis - expected[0]) / height);
    worst = fmax(worst, fabs(moments[i].wheel - rest_wheel - expected[1]) / height);
    compared++;
  }
  print_message("  two masses: %zu moments, off by %.1e of the fall at the worst\n", compared,
                worst);
  assert_true(compared > 20);
  assert_true(worst < 1e-6);
}

// A spring so stiff that the shock never leaves full extension: the whole corner on its tyre,
// undamped. Its deepest is where its fall is stored in the tyre, in closed form.
static void on_the_tyre(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 3000, 8, 0.1, 0.05);
  struct pl_corner *const corner = &test.corner;
  struct pl_motion_result result;
  assert_int_equal(drop(corner, 0.02, NULL, &result), PL_SIMULATED);
  const double weight = (corner->sprung_mass + corner->unsprung_mass) * corner->gravity;
  const double under_weight = weight / corner->tyre_rate;
  const double deepest = under_weight * (1 + sqrt(1 + 2 * 0.02 / under_weight));
  const double free_radius = corner->tyre_radius + under_weight;
  assert_near(free_radius - corner->path.lowest - result.lowest, deepest, 1e-6);
  assert_near(result.tyre_force, corner->tyre_rate * deepest, 1e-6);
  assert_false(result.settled);
  assert_true(result.energies.damped == 0);
}

// Trapped air, compressed fast: 101 325 Pa (V0/V)^1.4; at V/V0 0.8, 138 481 Pa.
static void polytropic_gas(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_motion_result result;
  assert_int_equal(drop(&test.corner, 0.02, NULL, &result), PL_SIMULATED);
  assert_false(result.cavitated);
  const double shaft_area = PL_PI / 4 * 9e-6;
  const double left = 1 - shaft_area * result.compression / 0.5e-6;
  assert_near(result.least_gas, left, 1e-9);
  assert_near(result.cap_pressure, PL_STANDARD_ATMOSPHERE * pow(left, -1.4), 1e-9);
  assert_published("polytropic air at V/V0 0.8, Pa", PL_STANDARD_ATMOSPHERE * pow(0.8, -1.4),
                   138481, 5e-6);
}

// Without oil worth speaking of, nothing is lost until the tyre leaves the ground: at its
// deepest the fall is in spring, gas and tyre.
static void free_flight(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 2, 0, 0.05);
  static struct pl_moment moments[600];
  struct pl_record record = {moments, 600, 0, 1e-3, 0};
  struct pl_motion_result result;
  assert_int_equal(drop(&test.corner, 0.05, &record, &result), PL_SIMULATED);
  assert_true(result.losses > 0);
  // In the air the common centre of gravity falls freely: its second difference is -g h^2.
  const double ms = test.corner.sprung_mass;
  const double mu = test.corner.unsprung_mass;
  size_t compared = 0;
  for (size_t i = 150; i + 1 < record.count; i++) {
    double centre[3];
    bool in_air = true;
    for (size_t j = 0; j < 3; j++) {
      const struct pl_moment *const moment = &moments[i - 1 + j];
      in_air &= moment->tyre_force == 0;
      centre[j] = (ms * moment->chassis + mu * moment->wheel) / (ms + mu);
    }
    if (!in_air) continue;
    const double fall = centre[0] - 2 * centre[1] + centre[2];
    assert_within(fall, -test.corner.gravity * 1e-6, 1e-6 * test.corner.gravity * 1e-6 + 1e-11);
    compared++;
  }
  assert_true(compared > 5);
}

// ---------------------------------------------------------------- another integrator

/// The buggy's corner in other words: the linkage itself in place of its table, the damper and
/// the gas by their public functions, the void by clamping, classical Runge-Kutta in steps so
/// short that events need no locating.
struct other {
  const struct pl_test_corner *test;
  double free_radius;
  bool torn;
};

enum { H, Y, U, W, VOID, OTHERS };

static double flow_of(const struct pl_piston *piston, const struct pl_fluid *fluid,
                      double pressure) {
  const struct pl_port_law law =
      pl_port_law(piston->thickness, piston->sets[0].diameter_cap_side,
                  piston->sets[0].diameter_shaft_side, fluid);
  return piston->sets[0].count * pl_port_flow(&law, pressure);
}

static void other_slopes(const struct other *other, const double *y, double *slopes) {
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
  const double tyre = fmax(0, corner->tyre_rate * (other->free_radius - y[Y]));
  slopes[H] = y[U];
  slopes[Y] = y[W];
  slopes[U] = shock * at.motion_ratio / corner->sprung_mass - corner->gravity;
  slopes[W] = (tyre - shock * at.motion_ratio) / corner->unsprung_mass - corner->gravity;
}

static void other_step(struct other *other, double length, double *y) {
  const struct pl_corner *const corner = &other->test->corner;
  double k[4][OTHERS];
  double at[OTHERS];
  static const double part[4] = {0, 0.5, 0.5, 1};
  for (int i = 0; i < 4; i++) {
    for (int j = 0; j < OTHERS; j++)
      at[j] = y[j] + (i == 0 ? 0 : part[i] * length * k[i - 1][j]);
    other_slopes(other, at, k[i]);
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
      other_step(&other, length / (double)steps, y);
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

// ---------------------------------------------------------------- the road

static double haversines(const struct pl_bumps *bumps, double x) {
  for (size_t i = 0; i < bumps->count; i++) {
    const double along = x - (double)i * bumps->spacing;
    if (along < 0 || along > bumps->length) continue;
    return bumps->height / 2 * (1 - cos(2 * PL_PI * along / bumps->length));
  }
  return 0;
}

/// How high a circle stands on a road, by what that means: as high as the point demands that
/// demands most. Ways of 2 µm miss a few nanometres where it bends most.
static double stands_at(const struct pl_bumps *bumps, double way) {
  const double radius = bumps->radius;
  double height = -INFINITY;
  for (double aside = -radius; aside <= radius; aside += 2e-6)
    height = fmax(height, haversines(bumps, way + aside) +
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
    for (int j = 0; j <= 60; j++) {
      const double way = -50e-3 + (end + 100e-3) * j / 60;
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
  assert_true(worst < 4e-9 && steepest > 1);
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
      cmocka_unit_test(two_masses),
      cmocka_unit_test(on_the_tyre),
      cmocka_unit_test(polytropic_gas),
      cmocka_unit_test(free_flight),
      cmocka_unit_test(by_another_integrator),
      cmocka_unit_test(rolling_wheel),
      cmocka_unit_test(parallel_curve),
      cmocka_unit_test(kinks),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
