// SPDX-License-Identifier: GPL-3.0-or-later
// Gas, volumes, seals, shafts and gears: slopes, cases by hand, impossible inputs.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

#define MILLILITRE 1e-6

static const struct pl_gas_chamber usual_gas = {.ambient = PL_STANDARD_ATMOSPHERE,
                                                .charge = 0.0,
                                                .volume = 0.5 * MILLILITRE,
                                                .shaft = 3e-3,
                                                .exponent = 1.0};

static void gas_rate_is_the_slope(void **state) {
  (void)state;
  struct pl_chance chance = {51};
  for (int i = 0; i < 500; i++) {
    const struct pl_gas_chamber gas = {.ambient = PL_STANDARD_ATMOSPHERE,
                                       .charge = pl_chance_between(&chance, -5e4, 2e5),
                                       .volume =
                                           pl_chance_between(&chance, 0.3, 3.0) * MILLILITRE,
                                       .shaft = pl_chance_between(&chance, 2e-3, 3.5e-3),
                                       .exponent = pl_chance_between(&chance, 1.0, 1.4)};
    const double at = pl_chance_between(&chance, 0.0, 25e-3);
    const double step = 1e-7;
    const double slope =
        (pl_gas_force(&gas, at + step) - pl_gas_force(&gas, at - step)) / (2.0 * step);
    assert_near(pl_gas_rate(&gas, at), slope, 1e-6);
  }
}

static void gas_by_hand(void **state) {
  (void)state;
  assert_within(pl_gas_force(&usual_gas, 0.0), 0.0, 1e-12);
  const double area = PL_PI / 4.0 * 9e-6;
  // Half the volume gone: twice the pressure.
  const double half = 0.25 * MILLILITRE / area;
  assert_near(pl_gas_pressure(&usual_gas, half), 2.0 * PL_STANDARD_ATMOSPHERE, 1e-12);
  assert_near(pl_gas_force(&usual_gas, half), PL_STANDARD_ATMOSPHERE * area, 1e-12);
  struct pl_gas_chamber charged = usual_gas;
  charged.charge = 1e5;
  assert_near(pl_gas_force(&charged, 0.0), 1e5 * area, 1e-12);
}

static void gas_squeezed_out(void **state) {
  (void)state;
  const double all = 0.5 * MILLILITRE / (PL_PI / 4.0 * 9e-6);
  assert_true(pl_gas_pressure(&usual_gas, 1.01 * all) == INFINITY);
  assert_true(pl_gas_force(&usual_gas, 1.01 * all) == INFINITY);
  assert_true(pl_gas_rate(&usual_gas, 1.01 * all) == INFINITY);
  assert_true(isfinite(pl_gas_force(&usual_gas, 0.999 * all)));
  assert_nan(pl_gas_pressure(&usual_gas, NAN));
  struct pl_gas_chamber bad = usual_gas;
  bad.volume = 0.0;
  assert_nan(pl_gas_force(&bad, 0.0));
  bad = usual_gas;
  bad.charge = -2e5;
  assert_nan(pl_gas_rate(&bad, 0.0));
}

static void emulsion(void **state) {
  (void)state;
  const double share = pl_air_fraction(1.0 * MILLILITRE, 4.0 * MILLILITRE);
  assert_near(share, 0.2, 1e-12);
  assert_near(pl_emulsion_viscosity(0.3, share), 0.36, 1e-12);
  assert_near(pl_emulsion_density(970.0, share), 776.0, 1e-12);
  assert_within(pl_air_fraction(0.0, 4.0 * MILLILITRE), 0.0, 0.0);
  assert_nan(pl_air_fraction(1.0, 0.0));
  assert_nan(pl_emulsion_viscosity(0.3, 1.1));
  assert_nan(pl_emulsion_density(970.0, NAN));
}

static void volumes_by_hand(void **state) {
  (void)state;
  const double displaced = pl_shaft_displacement(3e-3, 30e-3);
  assert_near(displaced, PL_PI / 4.0 * 270e-9, 1e-12);
  const double grown = pl_oil_expansion(5.0 * MILLILITRE, 9.6e-4, 293.15, 333.15);
  assert_near(grown, 0.192 * MILLILITRE, 1e-12);
  assert_near(pl_bladder_margin(0.5 * MILLILITRE, displaced, grown),
              0.5 * MILLILITRE - displaced - grown, 1e-12);
  assert_true(pl_bladder_margin(0.3 * MILLILITRE, displaced, grown) < 0.0);
  assert_nan(pl_shaft_displacement(-1.0, 1.0));
  assert_nan(pl_oil_expansion(NAN, 9.6e-4, 293.15, 333.15));
  assert_nan(pl_bladder_margin(NAN, displaced, grown));
}

// A ring of 2.90 by 1.78 mm on a 3 mm shaft in a gland of 6.0 mm outside, 2.2 mm wide.
static void seal_by_hand(void **state) {
  (void)state;
  const double depth = pl_gland_depth(6.0e-3, 3.0e-3);
  assert_near(depth, 1.5e-3, 1e-12);
  assert_near(pl_seal_squeeze(1.78e-3, depth), 0.28 / 1.78, 1e-12);
  assert_near(pl_seal_stretch(2.90e-3, 3.0e-3), 0.1 / 2.9, 1e-12);
  assert_near(pl_gland_fill(1.78e-3, 1.0, depth, 2.2e-3),
              PL_PI / 4.0 * 1.78 * 1.78 / (1.5 * 2.2), 1e-12);
  assert_near(pl_gland_fill(1.78e-3, 2.0, depth, 4.4e-3),
              pl_gland_fill(1.78e-3, 1.0, depth, 2.2e-3), 1e-12);
  assert_near(pl_extrusion_gap(3.1e-3, 3.0e-3), 0.05e-3, 1e-12);
  assert_nan(pl_extrusion_gap(2.9e-3, 3.0e-3));
  assert_nan(pl_seal_squeeze(1.78e-3, 0.0));
  assert_nan(pl_seal_stretch(0.0, 3e-3));
  assert_nan(pl_gland_fill(1.78e-3, 0.0, depth, 2e-3));
  assert_nan(pl_seal_squeeze_band(NAN).least);
}

// The numbers run on, each ring wider than the last; AS568 has them in steps of about 1/32 or
// 1/16 in.
static void rings_by_number(void **state) {
  (void)state;
  struct pl_ring ring;
  double before = 0.0;
  for (unsigned number = 4; number <= 22; number++) {
    assert_true(pl_ring_by_number(number, &ring));
    assert_true(ring.inside > before);
    if (number > 8) assert_within(ring.inside - before, 1.2e-3, 0.45e-3);
    before = ring.inside;
  }
  assert_false(pl_ring_by_number(3, &ring));
  assert_nan(ring.inside);
  assert_false(pl_ring_by_number(23, &ring));
  assert_false(pl_ring_by_number(0, &ring));
}

// Inside diameters of AS568 in thousandths of an inch (from memory); ISO 3601-1 has them in
// hundredths of a millimetre.
static void rings_in_inches(void **state) {
  (void)state;
  static const int thousandths[] = {70,  101, 114, 145, 176, 208, 239, 301, 364, 426,
                                    489, 551, 614, 676, 739, 801, 864, 926, 989};
  for (unsigned i = 0; i < sizeof thousandths / sizeof thousandths[0]; i++) {
    struct pl_ring ring;
    assert_true(pl_ring_by_number(4 + i, &ring));
    assert_within(ring.inside, thousandths[i] * 25.4e-6, 0.0051e-3);
    assert_near(ring.section, 1.78e-3, 1e-12);
  }
}

// Seal handbooks, dynamic rod seals: squeeze 12 to 18 %, of small sections to 25 %, fill at
// most 85 %; stretch to 5 % from memory. The small section is 0.070 in, 1.78 mm.
static void recommended_bands(void **state) {
  (void)state;
  static const double small[] = {1e-3, 0.070 * 25.4e-3, 1.78e-3, 1.78095e-3};
  static const double larger[] = {1.78105e-3, 0.103 * 25.4e-3, 5e-3};
  for (size_t i = 0; i < 4; i++)
    assert_within(pl_seal_squeeze_band(small[i]).greatest, 0.25, 0.0);
  for (size_t i = 0; i < 3; i++)
    assert_within(pl_seal_squeeze_band(larger[i]).greatest, 0.18, 0.0);
  assert_within(pl_seal_squeeze_band(1e-3).least, 0.12, 0.0);
  assert_within(pl_seal_squeeze_band(5e-3).least, 0.12, 0.0);
  assert_nan(pl_seal_squeeze_band(0.0).greatest);
  assert_within(pl_seal_stretch_band().least, 0.0, 0.0);
  assert_within(pl_seal_stretch_band().greatest, 0.05, 0.0);
  assert_within(pl_gland_fill_band().least, 0.0, 0.0);
  assert_within(pl_gland_fill_band().greatest, 0.85, 0.0);
  // A hole as wide as the shaft leaves no gap, and is one all the same.
  assert_within(pl_extrusion_gap(3e-3, 3e-3), 0.0, 0.0);
}

// Charged to nothing, or emptied, there is no gas; with a half of a pascal there is.
static void the_least_gas(void **state) {
  (void)state;
  struct pl_gas_chamber gas = usual_gas;
  gas.charge = -gas.ambient;
  assert_nan(pl_gas_pressure(&gas, 0.0));
  gas.charge = 0.5 - gas.ambient;
  assert_near(pl_gas_pressure(&gas, 0.0), 0.5, 1e-10);
  // Over 1 m the shaft takes up all that there is; a hair before, something is left.
  gas = (struct pl_gas_chamber){1e5, 0.0, 1.0, sqrt(4.0 / PL_PI), 1.0};
  const double section = PL_PI / 4.0 * gas.shaft * gas.shaft;
  gas.volume = section;
  assert_true(pl_gas_pressure(&gas, 1.0) == INFINITY);
  assert_true(isfinite(pl_gas_pressure(&gas, 1.0 - 1e-15)));
}

// Euler and Johnson meet with the same value, and the lesser governs on both sides.
static void columns(void **state) {
  (void)state;
  const double young = 200e9;
  const double yield = 400e6;
  const double diameter = 3e-3;
  const double border = PL_PI * sqrt(2.0 * young / yield) * diameter / 4.0;
  const double area = PL_PI / 4.0 * diameter * diameter;
  const double inertia = pl_round_second_moment(diameter);
  assert_near(pl_euler_load(young, inertia, border), 0.5 * yield * area, 1e-12);
  assert_near(pl_johnson_load(young, yield, diameter, border), 0.5 * yield * area, 1e-12);
  assert_near(pl_johnson_load(young, yield, diameter, 0.0), yield * area, 1e-12);
  double before = INFINITY;
  for (double length = 5e-3; length < 0.5; length *= 1.1) {
    const double load = pl_buckling_load(young, yield, diameter, length);
    assert_true(load < before);
    before = load;
    const double euler = pl_euler_load(young, inertia, length);
    assert_true(load <= euler * (1.0 + 1e-12));
    assert_near(pl_buckling_load(young, NAN, diameter, length), euler, 0.0);
    assert_near(load, length > border ? euler : pl_johnson_load(young, yield, diameter, length),
                0.0);
  }
  // They touch at the border, so that near it one can hardly be told from the other.
  assert_near(pl_buckling_load(young, yield, diameter, 0.99 * border),
              pl_johnson_load(young, yield, diameter, 0.99 * border), 0.0);
  assert_near(pl_buckling_load(young, yield, diameter, 1.01 * border),
              pl_euler_load(young, inertia, 1.01 * border), 0.0);
  assert_near(pl_buckling_load(young, yield, diameter, 0.0), yield * area, 1e-12); // crushed
  assert_nan(pl_buckling_load(young, yield, NAN, 0.1));
  assert_nan(pl_buckling_load(young, -1.0, diameter, 0.1));
  assert_nan(pl_euler_load(young, inertia, 0.0));
}

static void bushing(void **state) {
  (void)state;
  assert_near(pl_bushing_overlap(8e-3, 3e-3), 11e-3, 1e-12);
  assert_nan(pl_bushing_overlap(NAN, 3e-3));
}

static void gears(void **state) {
  (void)state;
  assert_near(pl_final_drive(78.0, 26.0, 2.6), 7.8, 1e-12);
  assert_near(pl_rollout(41e-3, 7.8), 2.0 * PL_PI * 41e-3 / 7.8, 1e-12);
  assert_nan(pl_final_drive(78.0, 0.0, 2.6));
  assert_nan(pl_rollout(41e-3, NAN));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(gas_rate_is_the_slope),
      cmocka_unit_test(gas_by_hand),
      cmocka_unit_test(gas_squeezed_out),
      cmocka_unit_test(emulsion),
      cmocka_unit_test(volumes_by_hand),
      cmocka_unit_test(seal_by_hand),
      cmocka_unit_test(rings_by_number),
      cmocka_unit_test(rings_in_inches),
      cmocka_unit_test(recommended_bands),
      cmocka_unit_test(the_least_gas),
      cmocka_unit_test(columns),
      cmocka_unit_test(bushing),
      cmocka_unit_test(gears),
  };
  return cmocka_run_group_tests_name("hardware", tests, NULL, NULL);
}
