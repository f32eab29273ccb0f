// SPDX-License-Identifier: GPL-3.0-or-later
// Oils against published laws and tables.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/physics.h"

#define CENTISTOKES 1e-6

static double kelvin(double celsius) {
  return celsius + PL_ZERO_CELSIUS;
}

// Silicone-fluid suppliers' law, log10 nu(T) = 763.1/(273 + T) - 2.559 + log10 nu25. As printed
// it gives 1.0040 at 25 degC; the ratios are those of the law made to return its own input
// there.
static void silicone_law(void **state) {
  (void)state;
  static const struct {
    const char *what;
    double celsius, ratio;
  } rows[] = {{"silicone law: 0 degC over 25 degC", 0.0, 1.716},
              {"silicone law: 10 degC over 25 degC", 10.0, 1.367},
              {"silicone law: 40 degC over 25 degC", 40.0, 0.754},
              {"silicone law: 60 degC over 25 degC", 60.0, 0.538},
              {"silicone law: 100 degC over 25 degC", 100.0, 0.306}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    assert_published_within(rows[i].what,
                            pl_silicone_viscosity(1.0, kelvin(25.0), kelvin(rows[i].celsius)),
                            rows[i].ratio, 0.0005);
  // The law as printed, at any temperature, is ours times the 1.0040.
  const double nu25 = 350.0;
  for (double celsius = -25.0; celsius <= 250.0; celsius += 25.0) {
    const double printed = pow(10.0, 763.1 / (273.0 + celsius) - 2.559 + log10(nu25));
    assert_near(pl_silicone_viscosity(nu25, kelvin(25.0), kelvin(celsius)) * 1.0040, printed,
                1e-4);
  }
}

// Suppliers' viscosity-temperature coefficient, 1 - nu(99 degC)/nu(38 degC): about 0.60 for
// silicone fluids (from memory).
static void silicone_temperature_coefficient(void **state) {
  (void)state;
  const double coefficient = 1.0 - pl_silicone_viscosity(1.0, kelvin(38.0), kelvin(99.0));
  assert_published_within("silicone VTC (from memory)", coefficient, 0.60, 0.01);
}

// ASTM D341 through 46 mm2/s at 40 degC and 6.8 at 100 degC. The expected values are recomputed
// from the standard's formula, not published.
static void walther(void **state) {
  (void)state;
  const struct pl_oil_point points[] = {{46.0 * CENTISTOKES, kelvin(40.0)},
                                        {6.8 * CENTISTOKES, kelvin(100.0)}};
  struct pl_oil_law law;
  assert_true(pl_oil_law_fit(points, 2, &law));
  assert_published_within("ASTM D341: A (recomputed, not published)", law.parts[0].a, 9.4180,
                          0.00005);
  assert_published_within("ASTM D341: B (recomputed, not published)", law.parts[0].b, 3.6844,
                          0.00005);
  assert_published_within("ASTM D341: cSt at 60 degC (recomputed)",
                          pl_oil_viscosity(&law, kelvin(60.0)) / CENTISTOKES, 20.623, 0.0005);
}

// 100 and 1000 cSt in halves: the log rule gives 316.2. The petroleum rules (Refutas, ASTM
// D7152) give 282, 12 % less; that rules differ so much is why the header says which one this
// is.
static void log_blend(void **state) {
  (void)state;
  const double viscosities[] = {100.0 * CENTISTOKES, 1000.0 * CENTISTOKES};
  const double shares[] = {0.5, 0.5};
  const double blend = pl_blend_viscosity(viscosities, shares, 2) / CENTISTOKES;
  assert_published_within("log rule: 100 and 1000 cSt in halves", blend, 316.2, 0.05);
  assert_published_within("log rule over the petroleum rules", blend / 282.0, 1.12, 0.005);
}

// Second-hand: silicone fluids of 100 cSt and more, 965 to 975 kg/m3 at 25 degC.
static void silicone_density(void **state) {
  (void)state;
  const double density = pl_oil_density(PL_OIL_DENSITY, PL_OIL_EXPANSION, kelvin(25.0));
  assert_true(density >= 965.0 && density <= 975.0);
}

// From memory: silicone fluids grow by 9.6e-4 of their volume per kelvin, by 4.8 % in 50 K.
static void silicone_expansion(void **state) {
  (void)state;
  const double warm = pl_oil_density(PL_OIL_DENSITY, PL_OIL_EXPANSION, kelvin(75.0));
  assert_published_within("silicone: growth in 50 K (from memory)", PL_OIL_DENSITY / warm - 1.0,
                          0.048, 0.0005);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(silicone_law),     cmocka_unit_test(silicone_temperature_coefficient),
      cmocka_unit_test(walther),          cmocka_unit_test(log_blend),
      cmocka_unit_test(silicone_density), cmocka_unit_test(silicone_expansion),
  };
  return cmocka_run_group_tests_name("oil, from outside", tests, NULL, NULL);
}
