// SPDX-License-Identifier: GPL-3.0-or-later
// Springs: curves of coils, tables and stacks, preload, opposed springs, and impossible ones.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

#include <float.h>

// A random progressive spring of one to six groups; every other one never binds.
static size_t random_groups(struct pl_chance *chance, struct pl_spring_group groups[6]) {
  const size_t count = 1 + pl_chance_below(chance, 6);
  for (size_t i = 0; i < count; i++)
    groups[i] = (struct pl_spring_group){.coils = pl_chance_between(chance, 0.5, 6.0),
                                         .gap = pl_chance_scale(chance, 1e-4, 5e-3),
                                         .coil_rate = pl_chance_scale(chance, 500.0, 20e3)};
  if (pl_chance_bits(chance) % 2 == 0) groups[0].gap = NAN;
  return count;
}

static struct pl_spring_curve random_spring(struct pl_chance *chance) {
  struct pl_spring_group groups[6];
  struct pl_spring_curve curve;
  assert_true(pl_spring_curve_groups(groups, random_groups(chance, groups), &curve));
  return curve;
}

static double reach(const struct pl_spring_curve *curve) {
  return isinf(curve->bind) ? 2.0 * curve->knots[curve->count - 1].deflection + 1e-2
                            : curve->bind;
}

// ------------------------------------------------------------------------------- coil formulas

static void coil_formulas_scale(void **state) {
  (void)state;
  struct pl_chance chance = {4};
  for (int i = 0; i < 200; i++) {
    const double wire = pl_chance_between(&chance, 0.5e-3, 2e-3);
    const double mean = wire * pl_chance_between(&chance, 4.0, 15.0);
    const double coils = pl_chance_between(&chance, 2.0, 12.0);
    const double scale = pl_chance_scale(&chance, 0.1, 10.0);
    const double rate = pl_coil_spring_rate(79e9, wire, mean, coils);
    assert_near(pl_coil_spring_rate(79e9, scale * wire, scale * mean, coils), scale * rate,
                1e-12);
    assert_near(pl_coil_spring_rate(79e9, wire, mean, 2.0 * coils), 0.5 * rate, 1e-12);
    assert_near(pl_coil_spring_active_coils(79e9, wire, mean, rate), coils, 1e-12);
    assert_near(pl_coil_spring_stress(5.0, scale * wire, scale * mean) * scale * scale,
                pl_coil_spring_stress(5.0, wire, mean), 1e-12);
  }
}

// By hand: 60 coils of a 1 mm wire and 10 mm coil, G 80 GPa: 80e9 1e-12/(8 1e-6 60) = 166.67
// N/m; stress under 1 N: C = 10, Kb = 42/37, 8 0.01/(pi 1e-9) Kb.
static void coil_formulas_by_hand(void **state) {
  (void)state;
  assert_near(pl_coil_spring_rate(80e9, 1e-3, 10e-3, 60.0), 1000.0 / 6.0, 1e-12);
  assert_near(pl_coil_spring_stress(1.0, 1e-3, 10e-3), 42.0 / 37.0 * 80e6 / PL_PI, 1e-12);
}

static void wire_gets_weaker_as_it_thickens(void **state) {
  (void)state;
  for (int material = PL_MATERIAL_MUSIC_WIRE; material <= PL_MATERIAL_STAINLESS_302;
       material++) {
    double before = INFINITY;
    for (double wire = 0.3e-3; wire < 8e-3; wire *= 1.05) {
      const double strength = pl_wire_tensile_strength((enum pl_spring_material)material, wire);
      // The rows of stainless wire meet within two per cent.
      assert_true(strength < before * 1.02);
      assert_true(pl_wire_torsional_limit((enum pl_spring_material)material, wire) < strength);
      before = strength;
    }
  }
}

// Shigley's Mechanical Engineering Design, 10th ed., Table 10-5, in Mpsi; its rows end a
// thousandth of an inch before the next begins. The rows of thicker wire are from memory.
static void shear_moduli_of_the_table(void **state) {
  (void)state;
  static const struct {
    double inches;
    double mpsi;
  } music_wire[] = {{0.004, 12.0},  {0.032, 12.0},  {0.033, 11.85}, {0.063, 11.85},
                    {0.064, 11.75}, {0.125, 11.75}, {0.126, 11.6},  {0.25, 11.6}};
  const double mpsi = 6.894757293168361e9;
  for (size_t i = 0; i < sizeof music_wire / sizeof music_wire[0]; i++)
    assert_near(pl_shear_modulus(PL_MATERIAL_MUSIC_WIRE, music_wire[i].inches * 0.0254),
                music_wire[i].mpsi * mpsi, 1e-12);
  for (double wire = 0.1e-3; wire < 10e-3; wire *= 2.0)
    assert_near(pl_shear_modulus(PL_MATERIAL_STAINLESS_302, wire), 10.0 * mpsi, 1e-12);
}

// The same, Table 10-4, from memory: A/d^m, in MPa and mm. The book gives it in kpsi and
// inches, too, where another A says the same.
static void strengths_of_the_table(void **state) {
  (void)state;
  static const struct {
    enum pl_spring_material material;
    double thinnest, thickest; // mm
    double a, m;
    double a_kpsi;
    double share; // Table 10-6: of the tensile strength, in torsion
  } rows[] = {
      {PL_MATERIAL_MUSIC_WIRE, 0.1, 6.5, 2211, 0.145, 201, 0.45},
      {PL_MATERIAL_STAINLESS_302, 0.3, 2.5, 1867, 0.146, 169, 0.35},
      {PL_MATERIAL_STAINLESS_302, 2.500001, 5, 2065, 0.263, 128, 0.35},
      {PL_MATERIAL_STAINLESS_302, 5.000001, 10, 2911, 0.478, 90, 0.35},
  };
  const double kpsi = 6.894757293168361e6;
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    for (int end = 0; end < 2; end++) {
      const double mm = end == 0 ? rows[i].thinnest : rows[i].thickest;
      const double strength = pl_wire_tensile_strength(rows[i].material, mm * 1e-3);
      assert_near(strength, rows[i].a * 1e6 / pow(mm, rows[i].m), 1e-12);
      assert_near(strength, rows[i].a_kpsi * kpsi / pow(mm / 25.4, rows[i].m), 1e-2);
      assert_near(pl_wire_torsional_limit(rows[i].material, mm * 1e-3),
                  rows[i].share * strength, 1e-12);
    }
}

static void impossible_coils_are_nan(void **state) {
  (void)state;
  assert_nan(pl_coil_spring_rate(79e9, -1e-3, 10e-3, 5.0));
  assert_nan(pl_coil_spring_rate(79e9, 10e-3, 10e-3, 5.0));
  assert_nan(pl_coil_spring_rate(79e9, 1e-3, 10e-3, 0.0));
  assert_nan(pl_coil_spring_rate(NAN, 1e-3, 10e-3, 5.0));
  assert_nan(pl_coil_spring_active_coils(79e9, 1e-3, 10e-3, 0.0));
  assert_nan(pl_active_coils(PL_ENDS_CLOSED, 2.0));
  assert_nan(pl_active_coils(PL_ENDS_CLOSED, NAN));
  assert_nan(pl_total_coils(PL_ENDS_CLOSED, 0.0));
  assert_nan(pl_solid_length(PL_ENDS_PLAIN, 0.0, 5.0));
  const enum pl_spring_ends no_ends = (enum pl_spring_ends)(PL_ENDS_PLAIN_GROUND + 1);
  assert_nan(pl_active_coils(no_ends, 5.0));
  assert_nan(pl_total_coils(no_ends, 5.0));
  assert_nan(pl_solid_length(no_ends, 1e-3, 5.0));
  const enum pl_spring_material no_material =
      (enum pl_spring_material)(PL_MATERIAL_STAINLESS_302 + 1);
  assert_nan(pl_shear_modulus(no_material, 1e-3));
  assert_nan(pl_wire_tensile_strength(no_material, 1e-3));
  assert_nan(pl_bergstraesser_factor(1.0));
  assert_near(pl_bergstraesser_factor(1.05), 6.2 / 1.2, 1e-12);
  assert_nan(pl_coil_spring_stress(1.0, 1e-3, 0.9e-3));
  assert_nan(pl_shear_modulus(PL_MATERIAL_MUSIC_WIRE, 0.0));
  assert_nan(pl_wire_tensile_strength(PL_MATERIAL_STAINLESS_302, NAN));
}

// ---------------------------------------------------------------------------------------
// curves

// By hand: 4 coils of gap 1 mm and 2 of gap 3 mm, 1000 N/m a coil. The first close at 1 N,
// where the deflection is 4 + 2 mm; then 2 coils are left, 500 N/m; they close at 3 N, 4 + 6
// mm.
static void progressive_spring_by_hand(void **state) {
  (void)state;
  const struct pl_spring_group groups[] = {{4.0, 1e-3, 1000.0}, {2.0, 3e-3, 1000.0}};
  struct pl_spring_curve curve;
  assert_true(pl_spring_curve_groups(groups, 2, &curve));
  assert_near(pl_spring_force(&curve, 3e-3), 0.5, 1e-12);
  assert_near(pl_spring_stiffness(&curve, 3e-3), 1000.0 / 6.0, 1e-12);
  assert_near(pl_spring_force(&curve, 6e-3), 1.0, 1e-12);
  assert_near(pl_spring_force(&curve, 8e-3), 2.0, 1e-12);
  assert_near(pl_spring_stiffness(&curve, 8e-3), 500.0, 1e-12);
  assert_near(pl_spring_bind(&curve), 10e-3, 1e-12);
  assert_near(pl_spring_energy(&curve, 8e-3), 0.5 * 6e-3 * 1.0 + 2e-3 * 1.5, 1e-12);
}

static void linear_spring(void **state) {
  (void)state;
  struct pl_spring_curve curve;
  assert_true(pl_spring_curve_linear(620.0, 25e-3, &curve));
  assert_near(pl_spring_force(&curve, 10e-3), 6.2, 1e-12);
  assert_near(pl_spring_bind(&curve), 25e-3, 0.0);
  // Past bind the slope goes on.
  assert_near(pl_spring_force(&curve, 30e-3), 18.6, 1e-12);
  assert_true(pl_spring_curve_linear(620.0, NAN, &curve));
  assert_true(isinf(pl_spring_bind(&curve)));
  assert_near(pl_spring_force(&curve, 30e-3), 18.6, 1e-12);
}

static void curves_rise_and_never_pull(void **state) {
  (void)state;
  struct pl_chance chance = {5};
  for (int i = 0; i < 500; i++) {
    const struct pl_spring_curve curve = random_spring(&chance);
    double before = 0.0;
    for (int k = 1; k <= 50; k++) {
      const double force = pl_spring_force(&curve, reach(&curve) * k / 50.0);
      assert_true(force > before);
      before = force;
    }
    assert_near(pl_spring_force(&curve, -1e-3), 0.0, 0.0);
    assert_near(pl_spring_stiffness(&curve, -1e-3), 0.0, 0.0);
    assert_near(pl_spring_energy(&curve, -1e-3), 0.0, 0.0);
  }
}

static void deflection_undoes_force(void **state) {
  (void)state;
  struct pl_chance chance = {6};
  for (int i = 0; i < 2000; i++) {
    const struct pl_spring_curve curve = random_spring(&chance);
    const double deflection = pl_chance_between(&chance, 0.0, 1.5 * reach(&curve));
    assert_near(pl_spring_deflection(&curve, pl_spring_force(&curve, deflection)), deflection,
                1e-12);
  }
}

// Force is the slope of energy, stiffness that of force.
static void slopes_of_a_curve(void **state) {
  (void)state;
  struct pl_chance chance = {7};
  for (int i = 0; i < 2000; i++) {
    const struct pl_spring_curve curve = random_spring(&chance);
    const double at = pl_chance_between(&chance, 0.01, 1.0) * reach(&curve);
    const double step = 1e-7 * at;
    const double low = pl_spring_stiffness(&curve, at - step);
    if (low != pl_spring_stiffness(&curve, at + step)) continue; // a knot lies between
    const double force =
        (pl_spring_energy(&curve, at + step) - pl_spring_energy(&curve, at - step)) /
        (2.0 * step);
    const double stiffness =
        (pl_spring_force(&curve, at + step) - pl_spring_force(&curve, at - step)) /
        (2.0 * step);
    assert_near(force, pl_spring_force(&curve, at), 1e-6);
    assert_near(stiffness, pl_spring_stiffness(&curve, at), 1e-6);
  }
}

// A progressive spring is its groups stacked, each a linear spring that binds.
static void groups_are_springs_in_series(void **state) {
  (void)state;
  struct pl_chance chance = {8};
  for (int i = 0; i < 500; i++) {
    struct pl_spring_group groups[6];
    struct pl_spring_curve parts[6];
    struct pl_spring_curve whole;
    struct pl_spring_curve stack;
    const size_t count = random_groups(&chance, groups);
    for (size_t k = 0; k < count; k++)
      assert_true(pl_spring_curve_linear(groups[k].coil_rate / groups[k].coils,
                                         groups[k].coils * groups[k].gap, &parts[k]));
    assert_true(pl_spring_curve_groups(groups, count, &whole));
    assert_true(pl_spring_curve_series(parts, count, &stack));
    assert_near(pl_spring_bind(&stack), pl_spring_bind(&whole), 1e-12);
    for (int k = 0; k <= 20; k++) {
      const double deflection = reach(&whole) * k / 20.0;
      assert_near(pl_spring_force(&stack, deflection), pl_spring_force(&whole, deflection),
                  1e-11);
    }
  }
}

static void two_linear_springs_in_series(void **state) {
  (void)state;
  struct pl_spring_curve parts[2];
  struct pl_spring_curve stack;
  assert_true(pl_spring_curve_linear(300.0, NAN, &parts[0]));
  assert_true(pl_spring_curve_linear(600.0, NAN, &parts[1]));
  assert_true(pl_spring_curve_series(parts, 2, &stack));
  assert_near(pl_spring_force(&stack, 30e-3), pl_series_rate(300.0, 600.0) * 30e-3, 1e-12);
  assert_true(isinf(pl_spring_bind(&stack)));
}

static void table_is_read_between_rows(void **state) {
  (void)state;
  const struct pl_spring_knot rows[] = {{0.0, 0.0}, {5e-3, 2.1}, {10e-3, 5.0}};
  struct pl_spring_curve curve;
  struct pl_spring_curve same;
  assert_true(pl_spring_curve_table(rows, 3, &curve));
  assert_true(pl_spring_curve_table(rows + 1, 2, &same));
  for (double x = -1e-3; x < 15e-3; x += 0.7e-3)
    assert_near(pl_spring_force(&same, x), pl_spring_force(&curve, x), 0.0);
  assert_near(pl_spring_force(&curve, 2.5e-3), 1.05, 1e-12);
  assert_near(pl_spring_force(&curve, 7.5e-3), 3.55, 1e-12);
  assert_near(pl_spring_force(&curve, 15e-3), 7.9, 1e-12);
}

static void impossible_curves_are_refused(void **state) {
  (void)state;
  struct pl_spring_curve curve;
  const struct pl_spring_group tube = {4.0, 0.0, 1000.0};
  const struct pl_spring_group negative = {4.0, -1e-3, 1000.0};
  const struct pl_spring_group empty = {0.0, 1e-3, 1000.0};
  assert_false(pl_spring_curve_linear(0.0, NAN, &curve));
  assert_false(pl_spring_curve_linear(-5.0, NAN, &curve));
  assert_false(pl_spring_curve_linear(NAN, NAN, &curve));
  assert_false(pl_spring_curve_linear(5.0, 0.0, &curve));
  assert_false(pl_spring_curve_groups(NULL, 0, &curve));
  assert_false(pl_spring_curve_groups(&tube, 1, &curve));
  assert_false(pl_spring_curve_groups(&negative, 1, &curve));
  assert_false(pl_spring_curve_groups(&empty, 1, &curve));
  const struct pl_spring_knot falling[] = {{1e-3, 2.0}, {2e-3, 1.0}};
  const struct pl_spring_knot flat[] = {{1e-3, 2.0}, {2e-3, 2.0}};
  const struct pl_spring_knot jumping[] = {{0.0, 2.0}, {2e-3, 3.0}};
  const struct pl_spring_knot upright[] = {{1e-3, 2.0}, {1e-3, 3.0}};
  const struct pl_spring_knot backward[] = {{2e-3, 2.0}, {1e-3, 3.0}};
  const struct pl_spring_knot late[] = {{1e-3, 0.0}, {2e-3, 3.0}};
  const struct pl_spring_knot lone[] = {{0.0, 0.0}};
  assert_false(pl_spring_curve_table(falling, 2, &curve));
  assert_false(pl_spring_curve_table(flat, 2, &curve));
  assert_false(pl_spring_curve_table(jumping, 2, &curve));
  assert_false(pl_spring_curve_table(upright, 2, &curve));
  assert_false(pl_spring_curve_table(backward, 2, &curve));
  assert_false(pl_spring_curve_table(late, 2, &curve));
  assert_false(pl_spring_curve_table(lone, 1, &curve));
  assert_false(pl_spring_curve_table(NULL, 0, &curve));
  // A refused curve reads as NaN, not as a loose spring.
  assert_nan(pl_spring_force(&curve, 1e-3));
  assert_nan(pl_spring_stiffness(&curve, 1e-3));
  assert_nan(pl_spring_energy(&curve, 1e-3));
  assert_nan(pl_spring_force(&curve, -1e-3));
  assert_nan(pl_spring_stiffness(&curve, -1e-3));
  assert_nan(pl_spring_energy(&curve, -1e-3));
  assert_nan(pl_spring_deflection(&curve, 1.0));
  assert_nan(pl_spring_bind(&curve));
  struct pl_spring_curve stack;
  assert_false(pl_spring_curve_series(&curve, 1, &stack));
  assert_false(pl_spring_curve_series(NULL, 0, &stack));
}

// Where two straight parts meet, the stiffness is that of the part that begins; force, energy
// and deflection are the same from both sides.
static void at_a_knot(void **state) {
  (void)state;
  const struct pl_spring_knot rows[] = {{0x1p-8, 2.0}, {0x2p-8, 6.0}};
  struct pl_spring_curve curve;
  assert_true(pl_spring_curve_table(rows, 2, &curve));
  assert_within(pl_spring_stiffness(&curve, 0.0), 0x2p8, 0.0);
  assert_within(pl_spring_stiffness(&curve, 0x1p-8), 0x4p8, 0.0);
  assert_within(pl_spring_stiffness(&curve, 0x2p-8), 0x4p8, 0.0);
  assert_within(pl_spring_stiffness(&curve, 0x3p-8), 0x4p8, 0.0);
  assert_within(pl_spring_force(&curve, 0.0), 0.0, 0.0);
  assert_within(pl_spring_force(&curve, 0x1p-8), 2.0, 0.0);
  assert_within(pl_spring_energy(&curve, 0.0), 0.0, 0.0);
  assert_within(pl_spring_energy(&curve, 0x1p-8), 0x1p-8, 0.0);
  assert_within(pl_spring_energy(&curve, 0x2p-8), 0x5p-8, 0.0);
  assert_within(pl_spring_energy(&curve, 0x3p-8), 0xdp-8, 0.0);
  assert_within(pl_spring_deflection(&curve, 0.0), 0.0, 0.0);
  assert_within(pl_spring_deflection(&curve, 0x1p-9), 0x1p-18, 0.0);
  assert_within(pl_spring_deflection(&curve, 2.0), 0x1p-8, 0.0);
  assert_within(pl_spring_deflection(&curve, 4.0), 0x3p-9, 0.0);
  assert_within(pl_spring_deflection(&curve, 10.0), 0x3p-8, 0.0);
  assert_nan(pl_spring_deflection(&curve, -DBL_MIN));
  assert_nan(pl_spring_deflection(&curve, NAN));
  assert_nan(pl_spring_force(&curve, NAN));
  assert_nan(pl_spring_stiffness(&curve, NAN));
  assert_nan(pl_spring_energy(&curve, NAN));
}

// A linear spring binds where it is told to, if anywhere.
static void bind_of_a_linear_spring(void **state) {
  (void)state;
  struct pl_spring_curve curve;
  assert_true(pl_spring_curve_linear(500.0, INFINITY, &curve));
  assert_true(pl_spring_bind(&curve) == INFINITY);
  assert_true(pl_spring_curve_linear(500.0, 1e-9, &curve));
  assert_near(pl_spring_bind(&curve), 1e-9, 0.0);
  assert_false(pl_spring_curve_linear(500.0, -1e-9, &curve));
  assert_false(pl_spring_curve_linear(500.0, -INFINITY, &curve));
  assert_false(pl_spring_curve_linear(INFINITY, 10e-3, &curve));
}

// In a stack of one that binds and one that does not, the second goes on alone.
static void one_of_a_stack_binds(void **state) {
  (void)state;
  struct pl_spring_curve parts[2];
  struct pl_spring_curve stack;
  assert_true(pl_spring_curve_linear(256.0, 0x1p-8, &parts[0])); // at 1 N
  assert_true(pl_spring_curve_linear(512.0, NAN, &parts[1]));
  assert_true(pl_spring_curve_series(parts, 2, &stack));
  assert_true(isinf(pl_spring_bind(&stack)));
  assert_near(pl_spring_deflection(&stack, 1.0), 0x3p-9, 1e-15);
  assert_near(pl_spring_deflection(&stack, 3.0), 0x5p-9, 1e-15);
  assert_near(pl_spring_stiffness(&stack, 0x5p-9), 512.0, 1e-15);
  assert_true(pl_spring_curve_linear(512.0, 0x1p-8, &parts[1])); // at 2 N
  assert_true(pl_spring_curve_series(parts, 2, &stack));
  assert_near(pl_spring_bind(&stack), 0x1p-7, 1e-15);
  assert_near(pl_spring_force(&stack, 0x1p-7), 2.0, 1e-15);
  assert_near(pl_spring_stiffness(&stack, 1.0), 512.0, 1e-15);
}

// One group that is wrong is not made good by another; one whose turns touch already counts for
// nothing.
static void each_group_counts(void **state) {
  (void)state;
  const struct pl_spring_group good = {5.0, 1e-3, 1000.0};
  const struct pl_spring_group wrong[] = {
      {-1.0, 1e-3, 1000.0}, {0.0, 1e-3, 1000.0}, {NAN, 1e-3, 1000.0}, {5.0, -1e-3, 1000.0},
      {5.0, 1e-3, -1000.0}, {5.0, 1e-3, 0.0},    {5.0, 1e-3, NAN},    {5.0, -1e-3, -1000.0}};
  struct pl_spring_curve curve;
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
    const struct pl_spring_group first[] = {wrong[i], good};
    const struct pl_spring_group last[] = {good, wrong[i]};
    assert_false(pl_spring_curve_groups(first, 2, &curve));
    assert_false(pl_spring_curve_groups(last, 2, &curve));
  }
  const struct pl_spring_group touching[] = {{3.0, 0.0, 1000.0}, good};
  assert_true(pl_spring_curve_groups(touching, 2, &curve));
  assert_near(pl_spring_bind(&curve), 5e-3, 1e-12);
  assert_near(pl_spring_stiffness(&curve, 1e-3), 200.0, 1e-12);
}

static void knots_are_capped(void **state) {
  (void)state;
  struct pl_spring_knot rows[PL_SPRING_KNOTS];
  struct pl_spring_curve curve;
  for (size_t i = 0; i < PL_SPRING_KNOTS; i++)
    rows[i] = (struct pl_spring_knot){1e-3 * (double)(i + 1), (double)(i + 1)};
  assert_true(pl_spring_curve_table(rows, PL_SPRING_KNOTS - 1, &curve));
  assert_int_equal(curve.count, PL_SPRING_KNOTS);
  assert_false(pl_spring_curve_table(rows, PL_SPRING_KNOTS, &curve));
  struct pl_spring_group groups[PL_SPRING_KNOTS];
  for (size_t i = 0; i < PL_SPRING_KNOTS; i++)
    groups[i] = (struct pl_spring_group){1.0, 1e-4 * (double)(i + 1), 1000.0};
  assert_true(pl_spring_curve_groups(groups, PL_SPRING_KNOTS - 1, &curve));
  assert_false(pl_spring_curve_groups(groups, PL_SPRING_KNOTS, &curve));
  for (size_t i = 0; i < PL_SPRING_KNOTS; i++) groups[i].gap = 1e-4; // all on one knot
  assert_true(pl_spring_curve_groups(groups, PL_SPRING_KNOTS - 1, &curve));
  assert_false(pl_spring_curve_groups(groups, PL_SPRING_KNOTS, &curve));
}

// ----------------------------------------------------------------------------- springs on a
// shock

static void shock_springs_by_hand(void **state) {
  (void)state;
  struct pl_spring_curve main_spring;
  struct pl_spring_curve opposed;
  assert_true(pl_spring_curve_linear(1000.0, 30e-3, &main_spring));
  assert_true(pl_spring_curve_linear(400.0, NAN, &opposed));
  const struct pl_shock_springs springs = {
      .main = &main_spring, .preload = 2e-3, .opposed = &opposed, .opposed_deflection = 5e-3};
  // At full extension 2 N open against 2 N shut; at 3 mm 5 N against 0.8 N; past 5 mm it is
  // slack.
  assert_within(pl_shock_spring_force(&springs, 0.0), 0.0, 1e-12);
  assert_near(pl_shock_spring_force(&springs, 3e-3), 4.2, 1e-12);
  assert_near(pl_shock_spring_stiffness(&springs, 3e-3), 1400.0, 1e-12);
  assert_near(pl_shock_spring_force(&springs, 8e-3), 10.0, 1e-12);
  assert_near(pl_shock_spring_stiffness(&springs, 8e-3), 1000.0, 1e-12);
  assert_near(pl_travel_to_bind(&springs, 8e-3), 20e-3, 1e-12);
}

static void shock_force_is_the_slope_of_energy(void **state) {
  (void)state;
  struct pl_chance chance = {9};
  for (int i = 0; i < 1000; i++) {
    const struct pl_spring_curve main_spring = random_spring(&chance);
    const struct pl_spring_curve opposed = random_spring(&chance);
    const struct pl_shock_springs springs = {.main = &main_spring,
                                             .preload = pl_chance_between(&chance, -2e-3, 4e-3),
                                             .opposed = &opposed,
                                             .opposed_deflection =
                                                 pl_chance_between(&chance, 0.0, 5e-3)};
    const double at = pl_chance_between(&chance, 0.0, 10e-3);
    const double step = 1e-8;
    if (pl_shock_spring_stiffness(&springs, at - step) !=
        pl_shock_spring_stiffness(&springs, at + step))
      continue;
    const double slope = (pl_shock_spring_energy(&springs, at + step) -
                          pl_shock_spring_energy(&springs, at - step)) /
                         (2.0 * step);
    assert_within(slope, pl_shock_spring_force(&springs, at), 1e-6);
  }
}

static void preload_from_collar(void **state) {
  (void)state;
  assert_near(pl_preload_from_collar(40e-3, 42e-3, 5e-3), 3e-3, 1e-12);
  assert_near(pl_preload_from_collar(40e-3, 42e-3, 1e-3), -1e-3, 1e-12);
  assert_nan(pl_preload_from_collar(NAN, 42e-3, 1e-3));
  // A spring of 40 mm in a gap of 42 mm is 2 mm from touching: 3 mm of preload take 5 mm.
  assert_near(pl_collar_for_preload(40e-3, 42e-3, 3e-3), 5e-3, 1e-12);
  assert_near(pl_collar_for_preload(40e-3, 42e-3, -1e-3), 1e-3, 1e-12);
  assert_nan(pl_collar_for_preload(40e-3, 42e-3, NAN));
}

// What preload_needed() asks for holds the wheel.
static void preload_needed_balances(void **state) {
  (void)state;
  struct pl_chance chance = {10};
  for (int i = 0; i < 1000; i++) {
    const struct pl_spring_curve main_spring = random_spring(&chance);
    const struct pl_spring_curve opposed = random_spring(&chance);
    struct pl_shock_springs springs = {.main = &main_spring,
                                       .opposed = i % 2 == 0 ? &opposed : NULL,
                                       .opposed_deflection = 3e-3};
    const double compression = pl_chance_between(&chance, 0.0, 10e-3);
    const double ratio = pl_chance_between(&chance, 0.4, 1.1);
    const double load = pl_chance_between(&chance, 2.0, 12.0);
    springs.preload = pl_preload_needed(&springs, compression, 0.5, ratio, load);
    assert_near((pl_shock_spring_force(&springs, compression) + 0.5) * ratio, load, 1e-11);
  }
}

static void gas_that_holds_more_than_the_load(void **state) {
  (void)state;
  struct pl_spring_curve spring;
  assert_true(pl_spring_curve_linear(500.0, NAN, &spring));
  const struct pl_shock_springs springs = {.main = &spring};
  assert_nan(pl_preload_needed(&springs, 5e-3, 10.0, 1.0, 5.0));
  assert_nan(pl_preload_needed(&springs, 5e-3, 0.0, 0.0, 5.0));
  const struct pl_shock_springs none = {0};
  assert_nan(pl_preload_needed(&none, 5e-3, 0.0, 1.0, 5.0));
  assert_nan(pl_shock_spring_force(&none, 5e-3));
  assert_nan(pl_shock_spring_stiffness(&none, 5e-3));
  assert_nan(pl_shock_spring_energy(&none, 5e-3));
  assert_nan(pl_travel_to_bind(&none, 5e-3));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(coil_formulas_scale),
      cmocka_unit_test(coil_formulas_by_hand),
      cmocka_unit_test(wire_gets_weaker_as_it_thickens),
      cmocka_unit_test(shear_moduli_of_the_table),
      cmocka_unit_test(strengths_of_the_table),
      cmocka_unit_test(impossible_coils_are_nan),
      cmocka_unit_test(progressive_spring_by_hand),
      cmocka_unit_test(linear_spring),
      cmocka_unit_test(curves_rise_and_never_pull),
      cmocka_unit_test(deflection_undoes_force),
      cmocka_unit_test(slopes_of_a_curve),
      cmocka_unit_test(groups_are_springs_in_series),
      cmocka_unit_test(two_linear_springs_in_series),
      cmocka_unit_test(table_is_read_between_rows),
      cmocka_unit_test(impossible_curves_are_refused),
      cmocka_unit_test(at_a_knot),
      cmocka_unit_test(bind_of_a_linear_spring),
      cmocka_unit_test(one_of_a_stack_binds),
      cmocka_unit_test(each_group_counts),
      cmocka_unit_test(knots_are_capped),
      cmocka_unit_test(shock_springs_by_hand),
      cmocka_unit_test(shock_force_is_the_slope_of_energy),
      cmocka_unit_test(preload_from_collar),
      cmocka_unit_test(preload_needed_balances),
      cmocka_unit_test(gas_that_holds_more_than_the_load),
  };
  return cmocka_run_group_tests_name("springs", tests, NULL, NULL);
}
