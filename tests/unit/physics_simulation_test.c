// SPDX-License-Identifier: GPL-3.0-or-later
// The simulation of a corner: what has to hold of every run, stops, voids, friction, bumps.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "simulator.h"

// ---------------------------------------------------------------- what always holds

/// A buggy's corner with everything changed by chance, also what has no kinetic loss at all,
/// ports that pass one way or open late, a charge, friction, a spring that binds.
static void random_corner(struct pl_chance *chance, struct pl_test_corner *test) {
  pl_buggy_corner(test);
  struct pl_corner *const corner = &test->corner;
  corner->sprung_mass = pl_chance_between(chance, 0.1, 0.8);
  corner->unsprung_mass = pl_chance_between(chance, 0.03, 0.15);
  corner->tyre_rate = pl_chance_between(chance, 800, 6000);
  corner->tyre_radius = pl_chance_between(chance, 0.036, 0.05);
  corner->springs.preload = pl_chance_between(chance, -1e-3, 6e-3);
  const bool binds = pl_chance_between(chance, 0, 1) < 0.3;
  pl_spring_curve_linear(pl_chance_between(chance, 200, 1500), binds ? 16e-3 : INFINITY,
                         &test->spring);
  corner->has_gas = pl_chance_between(chance, 0, 1) < 0.7;
  corner->gas.charge = pl_chance_between(chance, 0, 2e4);
  corner->gas.volume = pl_chance_between(chance, 0.2e-6, 1e-6);
  corner->fluid.dynamic_viscosity = pl_chance_between(chance, 0.05, 1.5);
  if (pl_chance_between(chance, 0, 1) < 0.5)
    corner->seal_friction = pl_chance_between(chance, 0, 0.5);
  if (pl_chance_between(chance, 0, 1) < 0.4) {
    corner->piston.set_count = 2;
    corner->piston.sets[1] = corner->piston.sets[0];
    corner->piston.sets[1].way =
        pl_chance_between(chance, 0, 1) < 0.5 ? PL_FLOW_COMPRESSION : PL_FLOW_REBOUND;
    corner->piston.sets[1].opens_at = pl_chance_between(chance, 0, 2e4);
  }
  if (pl_chance_between(chance, 0, 1) < 0.3) corner->piston.diameter = 12.9e-3;
}

static void check_result(const struct pl_test_corner *test,
                         const struct pl_motion_result *result) {
  const struct pl_energies *const energies = &result->energies;
  // Over a bump the road takes back most of what it gives: what the oil took counts as well.
  const double in = fabs(energies->fallen) + fabs(energies->from_road) + energies->damped;
  // A step may be wrong by 1e-9 J, which tells where a bump is hardly one.
  assert_within(energies->missing, 0, 1e-6 * in + (energies->from_road == 0 ? 0 : 6e-8));
  assert_true(energies->damped >= 0 && energies->rubbed >= 0);
  assert_true(energies->at_chassis >= 0 && energies->at_shock_ends >= 0);
  assert_true(result->lowest > -1e-8);
  assert_true(result->compression <= result->end + 1e-8);
  assert_true(result->least_gas > 0 && result->least_gas <= 1 + 1e-12);
  assert_true(result->cavity >= 0 && result->cavity_time >= 0);
  assert_true(result->cavitated == (result->cavity_time > 0));
  assert_true(result->airborne >= 0 && result->airborne <= 1);
  assert_true(result->settled == isfinite(result->settle_time));
  assert_true(result->tyre_force >= 0);
  // Tension holds no oil: the shock never resists more than the cap's pressure on the piston
  // with its springs and the gas.
  const double area = pl_pumped_area(&test->corner.piston);
  assert_true(result->chassis.bearing >= 0 && area > 0);
}

static void energy_balances(void **state) {
  (void)state;
  struct pl_chance chance = {4};
  size_t grounded = 0;
  size_t ended = 0;
  size_t topped = 0;
  size_t torn = 0;
  size_t bound = 0;
  for (int i = 0; i < 150; i++) {
    struct pl_test_corner test;
    random_corner(&chance, &test);
    const struct pl_motion_result result = dropped(&test, pl_chance_between(&chance, 0, 1));
    check_result(&test, &result);
    grounded += result.chassis.count > 0;
    ended += result.shock_in.count > 0;
    topped += result.shock_out.count > 0;
    bound += result.end_is_bind && result.shock_in.count > 0;
    torn += result.cavitated;
  }
  // Each kind of event has been there.
  print_message("  %zu on the ground, %zu at the shock's end, %zu bound, %zu topped out, "
                "%zu torn\n",
                grounded, ended, bound, topped, torn);
  assert_true(grounded > 10 && ended > 10 && bound > 5 && topped > 10 && torn > 10);
}

static void energy_balances_over_bumps(void **state) {
  (void)state;
  struct pl_chance chance = {5};
  for (int i = 0; i < 60; i++) {
    struct pl_test_corner test;
    random_corner(&chance, &test);
    const struct pl_bumps bumps = {.height = pl_chance_between(&chance, -5e-3, 15e-3),
                                   .length = pl_chance_between(&chance, 30e-3, 300e-3),
                                   .speed = pl_chance_between(&chance, 1, 10),
                                   .spacing = pl_chance_between(&chance, 0.3, 0.4),
                                   .count = (size_t)pl_chance_between(&chance, 1, 6),
                                   .radius = i % 3 == 0 ? 0 : test.corner.tyre_radius};
    const struct pl_motion_result result = bumped(&test, &bumps);
    check_result(&test, &result);
    assert_true(isfinite(result.mean_load) && isfinite(result.load_variation));
  }
}

// Holes so deep that the chassis comes down while its wheel hangs at full extension.
static void energy_balances_over_holes(void **state) {
  (void)state;
  struct pl_chance chance = {6};
  size_t hung = 0;
  for (int i = 0; i < 60; i++) {
    struct pl_test_corner test;
    random_corner(&chance, &test);
    const struct pl_bumps bumps = {.height = pl_chance_between(&chance, -120e-3, -30e-3),
                                   .length = pl_chance_between(&chance, 0.2, 2),
                                   .speed = pl_chance_between(&chance, 2, 10),
                                   .count = 1};
    const struct pl_motion_result result = bumped(&test, &bumps);
    check_result(&test, &result);
    hung += result.chassis.count > 0 && result.shock_out.count > 0;
  }
  assert_true(hung > 20);
}

// A gas that gives off its heat at once, pV = const, is the limit of pV^n = const.
static void gas_of_even_temperature(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  test.corner.has_gas = true;
  test.corner.gas.charge = 1e4;
  test.corner.gas.volume = 0.6e-6;
  test.corner.gas.exponent = 1;
  const struct pl_motion_result even = dropped(&test, 0.2);
  check_result(&test, &even);
  test.corner.gas.exponent = 1 + 1e-9;
  const struct pl_motion_result nearly = dropped(&test, 0.2);
  assert_within(even.energies.damped, nearly.energies.damped, 1e-6 * nearly.energies.damped);
  assert_within(even.compression, nearly.compression, 1e-6 * nearly.compression);
}

// The tolerance does not decide what comes out.
static void tolerance(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  test.corner.seal_friction = 0.12;
  struct pl_simulator *const strict = pl_simulator_new(1e-11);
  static const double heights[] = {0.02, 0.2, 0.5, 1};
  for (size_t i = 0; i < 4; i++) {
    struct pl_motion_result exact;
    assert_int_equal(pl_simulate_drop(strict, &test.corner, heights[i], NULL, &exact),
                     PL_SIMULATED);
    const struct pl_motion_result usual = dropped(&test, heights[i]);
    assert_within(usual.lowest, exact.lowest, 1e-7);
    assert_near(usual.compression, exact.compression, 1e-5);
    assert_near(usual.speed_in, exact.speed_in, 1e-3);
    assert_near(usual.shock_force, exact.shock_force, 2e-3);
    assert_near(usual.cap_pressure, exact.cap_pressure, 2e-3);
    assert_near(usual.chassis.speed, exact.chassis.speed, 1e-5);
    assert_near(usual.cavity, exact.cavity, 2e-3);
    assert_near(usual.settle_time, exact.settle_time, 1e-3);
    assert_int_equal(usual.swings, exact.swings);
  }
  pl_simulator_free(strict);
}

// ---------------------------------------------------------------- ends of travel

// A shock locked solid by its spring: the chassis comes down with the wheel still rising is not
// possible; the whole corner falls onto a tyre that is almost nothing, and the chassis takes
// all.
static void chassis_takes_it(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 30, 0.5, 0, 0.03);
  test.corner.tyre_radius = 0.02;
  test.corner.tyre_rate = 200;
  const struct pl_motion_result result = dropped(&test, 0.5);
  assert_true(result.chassis.count > 0);
  // It cannot be faster than the fall down to the ground.
  const double weight =
      (test.corner.sprung_mass + test.corner.unsprung_mass) * test.corner.gravity;
  const double fall = 0.5 + test.corner.tyre_radius + weight / test.corner.tyre_rate;
  assert_true(result.chassis.speed < sqrt(2 * test.corner.gravity * fall));
  assert_near(result.chassis.energy,
              0.5 * test.corner.sprung_mass * result.chassis.speed * result.chassis.speed,
              1e-12);
  assert_within(result.lowest, 0, 1e-8);
}

// Springs that do not hold the car: it lies on the ground, and the ground bears the rest.
static void lies_on_the_ground(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 10, 2, 0, 0.06);
  const struct pl_motion_result result = dropped(&test, 0.05);
  assert_true(result.rest_height == 0);
  assert_true(result.chassis.count > 0);
  assert_true(result.chassis.bearing > 0.5 * test.corner.sprung_mass * test.corner.gravity);
  assert_true(result.settled);
  double height = 0;
  assert_int_equal(pl_highest_drop(simulator, &test.corner, false, 2, &height), PL_SIMULATED);
  assert_nan(height);
}

// Travel that ends early stops harder; where the coils touch is such an end.
static void spring_binds(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  test.corner.tyre_radius = 0.07; // clear of the ground
  pl_spring_curve_linear(522, 12e-3, &test.spring);
  const struct pl_motion_result bound = dropped(&test, 0.4);
  assert_true(bound.end_is_bind);
  assert_near(bound.end, 12e-3 - test.corner.springs.preload, 1e-9);
  assert_true(bound.shock_in.count > 0 && bound.shock_in.speed > 0 &&
              bound.shock_in.energy > 0);
  pl_spring_curve_linear(522, INFINITY, &test.spring);
  const struct pl_motion_result open = dropped(&test, 0.4);
  assert_false(open.end_is_bind);
  assert_true(open.compression > bound.compression);
  assert_true(open.energies.at_shock_ends < bound.energies.at_shock_ends);
}

// ---------------------------------------------------------------- voids

// A piston almost without a port, dropped hard: the rod side tears off, and the shock resists
// no more than the cap's pressure over the piston allows.
static void void_limits_force(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  test.corner.has_gas = false; // vented: the cap stays at the pressure outside
  test.corner.piston.sets[0].count = 1;
  test.corner.tyre_radius = 0.07;
  const struct pl_motion_result result = dropped(&test, 0.5);
  assert_true(result.cavitated);
  assert_true(result.cavity > 0);
  const double area = pl_pumped_area(&test.corner.piston);
  const double most = test.corner.ambient * area +
                      pl_shock_spring_force(&test.corner.springs, result.compression);
  assert_true(result.shock_force <= most * (1 + 1e-9));
  assert_true(result.shock_force > 0.9 * most);
  assert_near(result.cavitation_speed,
              pl_cavitation_speed(&test.corner.piston, &test.corner.fluid, test.corner.ambient),
              1e-6);
  // With room for the void to take, trapped gas is squeezed by it: the limit rises.
  test.corner.has_gas = true;
  const struct pl_motion_result trapped = dropped(&test, 0.5);
  assert_true(trapped.cap_pressure > 1.5 * test.corner.ambient);
  assert_true(trapped.cavity < result.cavity);
  assert_true(trapped.least_gas < 0.8);
  // A charge puts it off.
  test.corner.gas.charge = 2e5;
  const struct pl_motion_result charged = dropped(&test, 0.5);
  assert_true(charged.cavity < trapped.cavity);
}

// The rod side is empty as long as a void is there, and never below.
static void pressures(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  static struct pl_moment moments[3000];
  struct pl_record record = {moments, 3000, 0, 2e-4, 0};
  struct pl_motion_result result;
  assert_int_equal(pl_simulate_drop(simulator, &test.corner, 0.3, &record, &result),
                   PL_SIMULATED);
  size_t torn = 0;
  for (size_t i = 0; i < record.count; i++) {
    assert_true(moments[i].rod_pressure >= 0);
    assert_true(i == 0 || moments[i].time > moments[i - 1].time);
    if (moments[i].cavity <= 0) continue;
    assert_true(moments[i].rod_pressure == 0);
    torn++;
  }
  assert_true(torn > 20);
  assert_true(moments[0].time == 0 && moments[record.count - 1].time <= result.end_time);
}

// ---------------------------------------------------------------- friction

// Friction ends the swings sooner, and the shaft stays within what it holds.
static void friction(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 1, 0, 0.05);
  const struct pl_motion_result without = dropped(&test, 0.01);
  test.corner.seal_friction = 0.4;
  const struct pl_motion_result with = dropped(&test, 0.01);
  assert_true(without.settled && with.settled);
  assert_true(with.swings < without.swings);
  assert_true(with.settle_time < without.settle_time);
  assert_true(with.energies.rubbed > 0 && without.energies.rubbed == 0);
}

// A shaft that friction never lets go: the corner swings on its tyre for ever, whatever height
// it has when the bump is over. (It was taken to rest where it happened to pass its first
// height.)
static void never_rests(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 1, 0, 0.05);
  test.corner.seal_friction = 50;
  // Bumps of less than two swings: of those that take two, three and so on nothing is left.
  for (int i = 35; i < 120; i++) {
    const struct pl_motion_result result = bumped(
        &test,
        &(struct pl_bumps){.height = 1e-3, .length = 0.1, .speed = 0.5 + 0.01 * i, .count = 1});
    assert_true(result.energies.rubbed == 0);
    assert_false(result.settled);
  }
}

// ---------------------------------------------------------------- bumps

// Over a bump that is long and low the wheel keeps to the ground, and the load hardly changes.
static void gentle_bump(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_motion_result gentle =
      bumped(&test, &(struct pl_bumps){.height = 2e-3, .length = 1, .speed = 2, .count = 1});
  assert_true(gentle.airborne == 0 && gentle.losses == 0);
  assert_true(gentle.load_variation < 0.05);
  // The mean load is the weight, as far as it comes to rest.
  const double weight =
      (test.corner.sprung_mass + test.corner.unsprung_mass) * test.corner.gravity;
  assert_near(gentle.mean_load, weight, 0.01);
  const struct pl_motion_result hard = bumped(
      &test, &(struct pl_bumps){.height = 12e-3, .length = 60e-3, .speed = 6, .count = 1});
  assert_true(hard.losses > 0 && hard.airborne > 0.05);
  assert_true(hard.load_variation > gentle.load_variation);
  // Several are a longer time over them.
  const struct pl_motion_result many = bumped(
      &test, &(struct pl_bumps){
                 .height = 12e-3, .length = 60e-3, .speed = 6, .spacing = 0.2, .count = 5});
  assert_true(many.losses > hard.losses && many.end_time > hard.end_time);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(energy_balances),
      cmocka_unit_test(energy_balances_over_bumps),
      cmocka_unit_test(energy_balances_over_holes),
      cmocka_unit_test(gas_of_even_temperature),
      cmocka_unit_test(tolerance),
      cmocka_unit_test(chassis_takes_it),
      cmocka_unit_test(lies_on_the_ground),
      cmocka_unit_test(spring_binds),
      cmocka_unit_test(void_limits_force),
      cmocka_unit_test(pressures),
      cmocka_unit_test(friction),
      cmocka_unit_test(never_rests),
      cmocka_unit_test(gentle_bump),
  };
  return cmocka_run_group_tests(tests, make_simulator, free_simulator);
}
