// SPDX-License-Identifier: GPL-3.0-or-later
// Coil springs against worked examples and tables of machine-design books.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/physics.h"

#define INCH            0.0254
#define POUND_FORCE     4.4482216152605
#define PSI             6894.757293168361
#define POUNDS_PER_INCH (POUND_FORCE / INCH)

// Shigley's Mechanical Engineering Design, 10th ed., Example 10-1, p. 519: music wire of
// 0.037 in, mean diameter 0.400 in, squared ends, 12.5 coils in all.
static void shigley_example_10_1(void **state) {
  (void)state;
  const double wire = 0.037 * INCH;
  const double mean = 0.400 * INCH;
  const double active = pl_active_coils(PL_ENDS_CLOSED, 12.5);
  const double modulus = pl_shear_modulus(PL_MATERIAL_MUSIC_WIRE, wire);
  const double rate = pl_coil_spring_rate(modulus, wire, mean, active);
  const double limit = pl_wire_torsional_limit(PL_MATERIAL_MUSIC_WIRE, wire);
  const double force_at_limit = limit / pl_coil_spring_stress(1.0, wire, mean);
  assert_published("Shigley Ex. 10-1: active coils", active, 10.5, 0.0);
  assert_published("Shigley Ex. 10-1: G, Mpsi", modulus / PSI / 1e6, 11.85, 1e-12);
  assert_published("Shigley Ex. 10-1: rate, lbf/in", rate / POUNDS_PER_INCH, 4.13, 0.003);
  assert_published("Shigley Ex. 10-1: solid length, in",
                   pl_solid_length(PL_ENDS_CLOSED, wire, 12.5) / INCH, 0.500, 0.003);
  assert_published_within("Shigley Ex. 10-1: Kb", pl_bergstraesser_factor(mean / wire), 1.124,
                          0.0005);
  // The length is chosen so that the spring reaches its torsional yield when solid.
  assert_published("Shigley Ex. 10-1: deflection to solid, in", force_at_limit / rate / INCH,
                   1.56, 0.003);
  // From memory, same example: 324 kpsi, 146 kpsi.
  assert_published("Shigley Ex. 10-1: tensile strength, kpsi (from memory)",
                   pl_wire_tensile_strength(PL_MATERIAL_MUSIC_WIRE, wire) / PSI / 1e3, 324.0,
                   0.003);
  assert_published("Shigley Ex. 10-1: torsional yield, kpsi (from memory)", limit / PSI / 1e3,
                   146.0, 0.003);
}

struct nested {
  struct pl_spring_curve outer;
  struct pl_spring_curve inner;
  double shorter;
  double load;
};

static double unheld_load(double deflection, const void *context) {
  const struct nested *nested = context;
  return pl_spring_force(&nested->outer, deflection) +
         pl_spring_force(&nested->inner, deflection - nested->shorter) - nested->load;
}

// Bhandari, Design of Machine Elements, Example 10.19: two springs one inside the other share
// 1000 N; the inner is 15 mm shorter.
static void bhandari_example_10_19(void **state) {
  (void)state;
  struct nested nested = {.shorter = 15e-3, .load = 1000.0};
  assert_true(pl_spring_curve_linear(pl_coil_spring_rate(81370e6, 6e-3, 36e-3, 10.0), NAN,
                                     &nested.outer));
  assert_true(pl_spring_curve_linear(pl_coil_spring_rate(81370e6, 5e-3, 30e-3, 8.0), NAN,
                                     &nested.inner));
  double deflection;
  assert_true(pl_find_root(unheld_load, &nested, 0.0, 0.1, 0.0, &deflection));
  assert_published("Bhandari Ex. 10.19: outer spring's load, N",
                   pl_spring_force(&nested.outer, deflection), 706.0215, 1e-6);
  assert_published("Bhandari Ex. 10.19: inner spring's load, N",
                   pl_spring_force(&nested.inner, deflection - 15e-3), 293.9785, 1e-6);
  assert_published("Bhandari Ex. 10.19: outer deflection, mm", deflection * 1e3, 24.98884,
                   1e-6);
  assert_published("Bhandari Ex. 10.19: inner deflection, mm", deflection * 1e3 - 15.0, 9.98884,
                   1e-6);
}

// Barton & Fieldhouse, Automotive Chassis Engineering, 2018, p. 213.
static void barton_fieldhouse_coils(void **state) {
  (void)state;
  assert_published_within("Barton & Fieldhouse p. 213: front active coils",
                          pl_coil_spring_active_coils(79.3e9, 12.7e-3, 120e-3, 19.3e3), 7.73,
                          0.005);
  assert_published_within("Barton & Fieldhouse p. 213: rear active coils",
                          pl_coil_spring_active_coils(79.3e9, 12.7e-3, 100e-3, 42.3e3), 6.10,
                          0.005);
}

// Shigley, Table 10-1; the squared rows are confirmed, the plain ones from memory.
static void shigley_end_types(void **state) {
  (void)state;
  const double wire = 1.0;
  const double total = 10.0;
  static const struct {
    enum pl_spring_ends ends;
    double active, solid;
  } rows[] = {{PL_ENDS_PLAIN, 10.0, 11.0},
              {PL_ENDS_PLAIN_GROUND, 9.0, 10.0},
              {PL_ENDS_CLOSED, 8.0, 11.0},
              {PL_ENDS_CLOSED_GROUND, 8.0, 10.0}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    assert_near(pl_active_coils(rows[i].ends, total), rows[i].active, 0.0);
    assert_near(pl_solid_length(rows[i].ends, wire, total), rows[i].solid, 0.0);
    assert_near(pl_total_coils(rows[i].ends, rows[i].active), total, 0.0);
  }
}

// Shigley, Table 10-5; stainless 302 and the music wire above 0.063 in from memory.
static void shigley_shear_moduli(void **state) {
  (void)state;
  static const struct {
    enum pl_spring_material material;
    double wire, modulus; // in, Mpsi
  } rows[] = {{PL_MATERIAL_MUSIC_WIRE, 0.020, 12.0},  {PL_MATERIAL_MUSIC_WIRE, 0.031, 12.0},
              {PL_MATERIAL_MUSIC_WIRE, 0.033, 11.85}, {PL_MATERIAL_MUSIC_WIRE, 0.063, 11.85},
              {PL_MATERIAL_MUSIC_WIRE, 0.064, 11.75}, {PL_MATERIAL_MUSIC_WIRE, 0.125, 11.75},
              {PL_MATERIAL_MUSIC_WIRE, 0.126, 11.6},  {PL_MATERIAL_STAINLESS_302, 0.02, 10.0},
              {PL_MATERIAL_STAINLESS_302, 0.08, 10.0}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    assert_near(pl_shear_modulus(rows[i].material, rows[i].wire * INCH) / PSI / 1e6,
                rows[i].modulus, 1e-12);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(shigley_example_10_1),    cmocka_unit_test(bhandari_example_10_19),
      cmocka_unit_test(barton_fieldhouse_coils), cmocka_unit_test(shigley_end_types),
      cmocka_unit_test(shigley_shear_moduli),
  };
  return cmocka_run_group_tests_name("springs, from outside", tests, NULL, NULL);
}
