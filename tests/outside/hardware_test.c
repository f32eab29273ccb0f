// SPDX-License-Identifier: GPL-3.0-or-later
// Rings, rods and gas against standards, handbooks and exact laws.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/physics.h"

// AS568/ISO 3601-1, section 1.78 mm. -006 and -007 from memory.
static void ring_sizes(void **state) {
  (void)state;
  static const struct {
    const char *what;
    unsigned number;
    double inside;
  } rows[] = {{"AS568-004 inside, mm", 4, 1.78},
              {"AS568-006 inside, mm (from memory)", 6, 2.90},
              {"AS568-007 inside, mm (from memory)", 7, 3.68},
              {"AS568-008 inside, mm", 8, 4.47},
              {"AS568-010 inside, mm", 10, 6.07}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_ring ring;
    assert_true(pl_ring_by_number(rows[i].number, &ring));
    assert_published(rows[i].what, ring.inside * 1e3, rows[i].inside, 1e-12);
    assert_near(ring.section, 1.78e-3, 1e-12);
  }
}

// Seal handbooks, dynamic rod seals: squeeze 12 to 18 %, small sections to 25 %, fill to 85 %.
static void recommended_bands(void **state) {
  (void)state;
  assert_near(pl_seal_squeeze_band(2.62e-3).least, 0.12, 0.0);
  assert_near(pl_seal_squeeze_band(2.62e-3).greatest, 0.18, 0.0);
  assert_near(pl_seal_squeeze_band(1.78e-3).greatest, 0.25, 0.0);
  assert_near(pl_seal_squeeze_band(0.07 * 0.0254).greatest, 0.25, 0.0);
  assert_near(pl_gland_fill_band().greatest, 0.85, 0.0);
}

// Popov, Engineering Mechanics of Solids, Example 11.2: a column of 60 by 100 mm, E 200 GPa,
// proportional limit 250 MPa.
static void popov_example_11_2(void **state) {
  (void)state;
  const double second_moment = 100e-3 * 60e-3 * 60e-3 * 60e-3 / 12.0;
  const double area = 60e-3 * 100e-3;
  const double length = pl_euler_least_length(200e9, 250e6, sqrt(second_moment / area));
  assert_published("Popov Ex. 11.2: shortest length, mm", length * 1e3, 1539.0, 0.5 / 1539.0);
  // The same example says what happens there: Euler's stress is the limit.
  assert_near(pl_euler_load(200e9, second_moment, length) / area, 250e6, 1e-12);
}

// Polytropic air from 101 325 Pa to 0.8 of its volume: exact.
static void polytropic_air(void **state) {
  (void)state;
  const double shaft = 3e-3;
  const double area = PL_PI / 4.0 * shaft * shaft;
  struct pl_gas_chamber gas = {
      .ambient = 101325.0, .volume = area * 10e-3, .shaft = shaft, .exponent = 1.0};
  assert_published_within("air at 0.8 of its volume, n 1, Pa", pl_gas_pressure(&gas, 2e-3),
                          126656.0, 0.5);
  gas.exponent = 1.4;
  assert_published_within("air at 0.8 of its volume, n 1.4, Pa", pl_gas_pressure(&gas, 2e-3),
                          138481.0, 0.5);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(ring_sizes),
      cmocka_unit_test(recommended_bands),
      cmocka_unit_test(popov_example_11_2),
      cmocka_unit_test(polytropic_air),
  };
  return cmocka_run_group_tests_name("hardware, from outside", tests, NULL, NULL);
}
