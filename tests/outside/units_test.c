// SPDX-License-Identifier: GPL-3.0-or-later
// Checks the unit table against published conversion factors.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/units.h"

#include <math.h>
#include <string.h>

struct factor {
  const char *unit;
  double factor;
  double tolerance; ///< relative
};

static void assert_factors(const struct factor *cases, size_t count) {
  for (size_t i = 0; i < count; i++) {
    struct pl_unit unit;
    const char *bad = NULL;
    size_t bad_length = 0;
    assert_int_equal(
        pl_unit_read(cases[i].unit, strlen(cases[i].unit), &unit, &bad, &bad_length),
        PL_UNIT_OK);
    if (!(fabs(unit.factor - cases[i].factor) <= cases[i].tolerance * cases[i].factor))
      fail_msg("%s is %.17g in SI, published: %.17g", cases[i].unit, unit.factor,
               cases[i].factor);
  }
}

/// By definition, written out in full; the program may be off by the last bit of a double.
static void exact_factors(void **state) {
  (void)state;
  const double bit = 2.3e-16;
  const struct factor cases[] = {
      // International yard and pound agreement, 1959; NIST SP 811 (2008), appendix B.8
      {"in", 0.0254, bit},
      {"ft", 0.3048, bit},
      {"mph", 0.44704, bit},
      {"lb", 0.45359237, bit},
      {"oz", 0.028349523125, bit},
      {"lbf", 4.4482216152605, bit},
      {"ozf", 0.27801385095378125, bit},
      {"in^2", 6.4516e-4, bit},
      {"in^3", 1.6387064e-5, bit},
      // quotients of the above, to all the digits of a double
      {"lbf/in", 175.12683524647635, bit},
      {"psi", 6894.757293168361, bit},
      {"lbf/in^2", 6894.757293168361, bit},
      // standard gravity: third CGPM, 1901
      {"gf", 9.80665e-3, bit},
      {"kgf", 9.80665, bit},
      {"gf/mm", 9.80665, bit},
      {"kgf/mm", 9806.65, bit},
      // NIST SP 811 (2008), appendix B.8
      {"bar", 1e5, bit},
      {"P", 0.1, bit},
      {"cP", 1e-3, bit},
      {"St", 1e-4, bit},
      {"cSt", 1e-6, bit},
      // SI Brochure, 9th edition, table 8
      {"l", 1e-3, bit},
      {"min", 60, bit},
      {"h", 3600, bit},
      {"deg", 3.14159265358979323846 / 180, bit},
  };
  assert_factors(cases, sizeof cases / sizeof cases[0]);
}

/// NIST SP 811 (2008), appendix B.8, which prints seven digits.
static void rounded_factors(void **state) {
  (void)state;
  const double printed = 5e-7;
  const struct factor cases[] = {
      {"lbf", 4.448222, printed},       {"ozf", 2.780139e-1, printed},
      {"psi", 6.894757e3, printed},     {"lbf/in", 1.751268e2, printed},
      {"lbf/ft", 1.459390e1, printed},  {"ft.lbf", 1.355818, printed},
      {"lbf.in", 1.129848e-1, printed}, {"ozf.in", 7.061552e-3, printed},
      {"lb/ft^3", 1.601846e1, printed}, {"lb/in^3", 2.767990e4, printed},
      {"oz", 2.834952e-2, printed},     {"deg", 1.745329e-2, printed},
      {"rpm", 1.047198e-1, printed},    {"km/h", 2.777778e-1, printed},
      {"turn", 6.283185, printed},
  };
  assert_factors(cases, sizeof cases / sizeof cases[0]);
}

/// T/K = t/degC + 273.15 (SI Brochure, 9th edition, 2.3.1); T/K = (t/degF + 459.67)/1.8 (NIST
/// SP 811, appendix B.8).
static void temperature_scales(void **state) {
  (void)state;
  static const struct {
    const char *unit;
    double value;
    double kelvin;
  } cases[] = {
      {"degC", 18, 291.15},
      {"degF", 64.4, 291.15},
      {"degF", 32, 273.15},
      {"degC", 0, 273.15},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    struct pl_unit unit;
    const char *bad = NULL;
    size_t bad_length = 0;
    assert_int_equal(
        pl_unit_read(cases[i].unit, strlen(cases[i].unit), &unit, &bad, &bad_length),
        PL_UNIT_OK);
    assert_true(fabs(pl_to_si(cases[i].value, &unit) - cases[i].kelvin) < 1e-12 * 300);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(exact_factors),
      cmocka_unit_test(rounded_factors),
      cmocka_unit_test(temperature_scales),
  };
  return cmocka_run_group_tests_name("units, published values", tests, NULL, NULL);
}
