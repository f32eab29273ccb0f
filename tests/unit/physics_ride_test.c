// SPDX-License-Identifier: GPL-3.0-or-later
// Masses, rates, bars and roll: balances that must hold, cases by hand, impossible inputs.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

static double sum(const struct pl_corner_masses *masses) {
  return masses->front_left + masses->front_right + masses->rear_left + masses->rear_right;
}

static struct pl_mass_layout random_layout(struct pl_chance *chance) {
  return (struct pl_mass_layout){.mass = pl_chance_between(chance, 1.2, 4.0),
                                 .front_share = pl_chance_between(chance, 0.3, 0.6),
                                 .left_share = pl_chance_between(chance, 0.45, 0.55),
                                 .wheelbase = pl_chance_between(chance, 0.25, 0.35),
                                 .front_track = pl_chance_between(chance, 0.18, 0.28),
                                 .rear_track = pl_chance_between(chance, 0.18, 0.28)};
}

// Ballast: mass and both moments about the middle of the car balance.
static void ballast_balances(void **state) {
  (void)state;
  struct pl_chance chance = {31};
  for (int i = 0; i < 500; i++) {
    const struct pl_mass_layout layout = random_layout(&chance);
    struct pl_point_mass ballast[3];
    double mass = layout.mass;
    double pitch = layout.mass * (layout.front_share - 0.5) * layout.wheelbase;
    double roll = layout.mass * (layout.left_share - 0.5) *
                  (layout.front_share * layout.front_track +
                   (1.0 - layout.front_share) * layout.rear_track);
    for (size_t k = 0; k < 3; k++) {
      ballast[k] = (struct pl_point_mass){pl_chance_between(&chance, 0.0, 0.2),
                                          pl_chance_between(&chance, -0.2, 0.2),
                                          pl_chance_between(&chance, -0.1, 0.1)};
      mass += ballast[k].mass;
      pitch += ballast[k].mass * ballast[k].forward;
      roll += ballast[k].mass * ballast[k].left;
    }
    struct pl_corner_masses masses;
    assert_true(pl_corner_masses(&layout, ballast, 3, &masses));
    assert_near(sum(&masses), mass, 1e-12);
    const double front = masses.front_left + masses.front_right;
    const double rear = masses.rear_left + masses.rear_right;
    assert_within((front - rear) * layout.wheelbase / 2.0, pitch, 1e-12);
    assert_within((masses.front_left - masses.front_right) * layout.front_track / 2.0 +
                      (masses.rear_left - masses.rear_right) * layout.rear_track / 2.0,
                  roll, 1e-12);
  }
}

// 1000 g, 40 % front, 50 % left; 100 g over the left front wheel goes all to it.
static void masses_by_hand(void **state) {
  (void)state;
  const struct pl_mass_layout layout = {1.0, 0.4, 0.5, 0.3, 0.2, 0.2};
  const struct pl_point_mass piece = {0.1, 0.15, 0.1};
  struct pl_corner_masses masses;
  assert_true(pl_corner_masses(&layout, &piece, 1, &masses));
  assert_near(masses.front_left, 0.3, 1e-12);
  assert_near(masses.front_right, 0.2, 1e-12);
  assert_near(masses.rear_left, 0.3, 1e-12);
  assert_near(masses.rear_right, 0.3, 1e-12);
  // Without ballast neither wheelbase nor track is needed.
  const struct pl_mass_layout bare = {1.0, 0.4, 0.5, NAN, NAN, NAN};
  assert_true(pl_corner_masses(&bare, NULL, 0, &masses));
  assert_near(masses.rear_left, 0.3, 1e-12);
  assert_false(pl_corner_masses(&bare, &piece, 1, &masses));
  assert_nan(masses.rear_left);
}

static void rates_by_hand(void **state) {
  (void)state;
  assert_near(pl_wheel_rate(1000.0, 0.8, 10.0, -5.0), 590.0, 1e-12);
  assert_near(pl_series_rate(300.0, 600.0), 200.0, 1e-12);
  assert_near(pl_series_rate(300.0, INFINITY), 300.0, 1e-12);
  assert_within(pl_series_rate(0.0, 600.0), 0.0, 0.0);
  assert_within(pl_series_rate(600.0, 0.0), 0.0, 0.0);
  assert_near(pl_series_rate(0.5, 0.5), 0.25, 1e-12);
  assert_near(pl_natural_frequency(4.0 * PL_PI * PL_PI, 1.0), 1.0, 1e-12);
  assert_near(pl_damping_ratio(20.0, 1.0, 100.0, 1.0), 1.0, 1e-12);
  assert_near(pl_damping_ratio(20.0, 0.5, 100.0, 1.0), 0.25, 1e-12);
}

static void rates_that_cannot_be(void **state) {
  (void)state;
  assert_nan(pl_series_rate(-1.0, 5.0));
  assert_nan(pl_series_rate(NAN, 5.0));
  assert_nan(pl_natural_frequency(-1.0, 1.0));
  assert_nan(pl_natural_frequency(1.0, 0.0));
  assert_nan(pl_natural_frequency(NAN, 1.0));
  assert_nan(pl_damping_ratio(1.0, 1.0, 0.0, 1.0));
  assert_nan(pl_damping_ratio(NAN, 1.0, 1.0, 1.0));
  assert_nan(pl_wheel_rate(NAN, 0.8, 10.0, -5.0));
}

// The bar's rate from its energy: twist of the wire and bending of both levers, by Castigliano.
static void bar_rate_is_the_energy_of_its_parts(void **state) {
  (void)state;
  struct pl_chance chance = {32};
  for (int i = 0; i < 500; i++) {
    const struct pl_bar bar = {.wire = pl_chance_between(&chance, 1e-3, 2.5e-3),
                               .length = pl_chance_between(&chance, 40e-3, 90e-3),
                               .lever = pl_chance_between(&chance, 10e-3, 30e-3),
                               .ratio = pl_chance_between(&chance, 0.3, 0.9),
                               .shear_modulus = 80e9,
                               .youngs_modulus = 210e9};
    const double force = 3.0;
    const double torque = force * bar.lever;
    const double polar = PL_PI * pow(bar.wire, 4.0) / 32.0;
    const double twist = 0.5 * torque * torque * bar.length / (80e9 * polar);
    const double bending =
        2.0 * 0.5 * force * force * pow(bar.lever, 3.0) / (3.0 * 210e9 * polar / 2.0);
    // Both ends move by u under the force: energy 2 F u/2.
    const double travel = (twist + bending) / force;
    assert_near(pl_bar_rate(&bar), force / travel, 1e-12);
    assert_near(pl_bar_roll_rate(&bar, 0.2), pl_bar_rate(&bar) * bar.ratio * bar.ratio * 0.02,
                1e-12);
  }
}

static void bar_defaults_are_steel(void **state) {
  (void)state;
  struct pl_bar bar = {1.2e-3, 60e-3, 20e-3, 0.7, NAN, NAN};
  const double rate = pl_bar_rate(&bar);
  bar.shear_modulus = 79.3e9;
  bar.youngs_modulus = 200e9;
  assert_near(rate, pl_bar_rate(&bar), 0.0);
  bar.wire = 0.0;
  assert_nan(pl_bar_rate(&bar));
  bar.wire = 1.2e-3;
  bar.lever = -1.0;
  assert_nan(pl_bar_rate(&bar));
  bar.lever = 20e-3;
  bar.ratio = 0.0;
  assert_nan(pl_bar_roll_rate(&bar, 0.2));
  assert_nan(pl_torsion_stiffness(80e9, 1e-3, 0.0));
}

// Rolled by a small angle, each wheel moves by half the track times it; the moment is what the
// springs give back.
static void axle_roll_rate_is_a_moment(void **state) {
  (void)state;
  const double track = 0.25;
  const double rate = 220.0;
  const double angle = 0.01;
  const double moment = 2.0 * (rate * angle * track / 2.0) * track / 2.0;
  assert_near(pl_axle_roll_rate(rate, track, 0.0) * angle, moment, 1e-12);
  assert_near(pl_axle_roll_rate(rate, track, 3.0), moment / angle + 3.0, 1e-12);
  assert_nan(pl_axle_roll_rate(rate, track, NAN));
}

// Equilibrium of a turn: what moves to the outer wheels balances the moment of all masses about
// the ground, the sprung one where the roll has carried it.
static void load_transfer_balances(void **state) {
  (void)state;
  struct pl_chance chance = {33};
  const double gravity = PL_STANDARD_GRAVITY;
  for (int i = 0; i < 500; i++) {
    struct pl_roll_axle axles[2];
    for (size_t k = 0; k < 2; k++)
      axles[k] = (struct pl_roll_axle){
          .roll_rate = pl_chance_between(&chance, 5.0, 15.0),
          .track = 0.25,
          .roll_centre_height = pl_chance_between(&chance, -5e-3, 20e-3),
          .sprung_mass = pl_chance_between(&chance, 0.5, 1.2),
          .unsprung_mass = i % 2 == 0 ? 0.0 : pl_chance_between(&chance, 0.1, 0.3),
          .unsprung_height = 40e-3};
    const double sprung = axles[0].sprung_mass + axles[1].sprung_mass;
    const double height = pl_chance_between(&chance, 30e-3, 70e-3);
    const double arm = pl_roll_arm(height, axles[0].roll_centre_height,
                                   axles[1].roll_centre_height, axles[0].sprung_mass / sprung);
    const double acceleration = pl_chance_between(&chance, -2.0, 2.0) * gravity;
    struct pl_load_transfer front;
    struct pl_load_transfer rear;
    assert_true(
        pl_load_transfer(&axles[0], &axles[1], arm, acceleration, gravity, &front, &rear));
    const double angle =
        pl_roll_gradient(axles[0].roll_rate + axles[1].roll_rate, sprung, arm, gravity) *
        acceleration / gravity;
    double moment = sprung * (acceleration * height + gravity * arm * angle);
    for (size_t k = 0; k < 2; k++) moment += axles[k].unsprung_mass * acceleration * 40e-3;
    assert_within((front.total + rear.total) * 0.25, moment, 1e-12);
    assert_near(front.total, front.elastic + front.geometric + front.unsprung, 1e-14);
    assert_near(front.elastic / rear.elastic, axles[0].roll_rate / axles[1].roll_rate, 1e-12);
  }
}

static void a_car_that_falls_over(void **state) {
  (void)state;
  assert_nan(pl_roll_gradient(1.0, 2.0, 0.1, PL_STANDARD_GRAVITY));
  assert_nan(pl_roll_gradient(10.0, 0.0, 0.1, PL_STANDARD_GRAVITY));
  // A moment of 4 N m/rad against as much: it stays wherever it is pushed. Against 5 it leans
  // by 4 for each g.
  assert_nan(pl_roll_gradient(4.0, 2.0, 0.5, 4.0));
  assert_near(pl_roll_gradient(5.0, 2.0, 0.5, 4.0), 4.0, 1e-12);
  assert_nan(pl_roll_gradient(NAN, 2.0, 0.1, PL_STANDARD_GRAVITY));
  const struct pl_roll_axle soft = {0.5, 0.2, 0.0, 1.0, 0.0, NAN};
  const struct pl_roll_axle firm = {5.0, 0.2, 0.0, 1.0, 0.0, NAN};
  const struct pl_roll_axle bad = {5.0, 0.2, 0.0, 1.0, 0.1, NAN};
  struct pl_load_transfer front;
  struct pl_load_transfer rear;
  assert_false(pl_load_transfer(&soft, &soft, 0.1, 5.0, PL_STANDARD_GRAVITY, &front, &rear));
  assert_nan(front.total);
  assert_true(pl_load_transfer(&firm, &firm, 0.1, 5.0, PL_STANDARD_GRAVITY, &front, &rear));
  assert_true(isfinite(front.total)); // the height of no mass is not asked for
  assert_false(pl_load_transfer(&firm, &bad, 0.1, 5.0, PL_STANDARD_GRAVITY, &front, &rear));
  assert_false(pl_load_transfer(&firm, &firm, 0.1, NAN, PL_STANDARD_GRAVITY, &front, &rear));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(ballast_balances),
      cmocka_unit_test(masses_by_hand),
      cmocka_unit_test(rates_by_hand),
      cmocka_unit_test(rates_that_cannot_be),
      cmocka_unit_test(bar_rate_is_the_energy_of_its_parts),
      cmocka_unit_test(bar_defaults_are_steel),
      cmocka_unit_test(axle_roll_rate_is_a_moment),
      cmocka_unit_test(load_transfer_balances),
      cmocka_unit_test(a_car_that_falls_over),
  };
  return cmocka_run_group_tests_name("ride", tests, NULL, NULL);
}
