// SPDX-License-Identifier: GPL-3.0-or-later
// The simulation of a corner against closed forms.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

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
      assert_within(moments[i].chassis, moments[i].wheel - corner->path.lowest, 1e-15);
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

// The same bounces for five seconds without loss, in closed form: it flies for 2 v/g, and
// between two flights it swings on its tyre about where it rests, with w^2 = k/m, for
// 2/w (pi - atan(v/(w d))), d the tyre's deflection under its weight.
static void bounces(void **state) {
  (void)state;
  struct pl_test_corner test;
  for (int i = 1; i <= 5; i++) {
    pl_linear_corner(&test, 3000, 8, 0.1, 0.05);
    const struct pl_corner *const corner = &test.corner;
    struct pl_motion_result result;
    const double height = 5e-3 * i;
    assert_int_equal(drop(corner, height, NULL, &result), PL_SIMULATED);
    const double mass = corner->sprung_mass + corner->unsprung_mass;
    const double omega = sqrt(corner->tyre_rate / mass);
    const double speed = sqrt(2 * corner->gravity * height);
    const double under_weight = mass * corner->gravity / corner->tyre_rate;
    const double contact = 2 / omega * (PL_PI - atan(speed / (omega * under_weight)));
    const double flight = 2 * speed / corner->gravity;
    const double whole = floor(5 / (contact + flight));
    const double rest = 5 - whole * (contact + flight);
    const double airborne = whole * flight + fmax(rest - contact, 0);
    assert_near(result.airborne, airborne / 5, 2e-5);
    assert_near(result.longest_loss, flight, 1e-5);
    assert_int_equal(result.losses, (size_t)whole + (rest > contact));
    // It turns around in each contact and in each flight.
    const double turns = 2 * whole + (rest > contact / 2) + (rest > contact + flight / 2);
    assert_within((double)result.swings, turns, 1); // the last one may be too small
  }
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

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(two_masses),  cmocka_unit_test(on_the_tyre),
      cmocka_unit_test(bounces),     cmocka_unit_test(polytropic_gas),
      cmocka_unit_test(free_flight),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
