// SPDX-License-Identifier: GPL-3.0-or-later
// Published worked examples, written as setup files: the whole way from text to figure.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "unit/figures_setup.h"

static double in_pounds_per_inch(double rate) {
  return rate * 25.4e-3 / 4.4482216152605;
}

// Shigley's Mechanical Engineering Design, 10th ed., Example 10-1, p. 519: music wire of
// 0.037 in, mean diameter 0.400 in, squared ends, 12.5 coils.
static void shigley_10_1_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "spring \"10-1\" { wire = 0.037 in; mean-diameter = 0.400 in; total-coils = 12.5\n"
             "  ends = closed; material = music-wire; free-length = 2.06 in }\n"
             "setup \"s\" { all { spring = \"10-1\" } }");
  assert_published("Shigley Ex. 10-1: rate, lbf/in",
                   in_pounds_per_inch(value_at(f, PL_FIGURE_SPRING_RATE, PL_FRONT_LEFT)), 4.13,
                   0.003);
}

// The same spring pressed solid: 1.56 in of deflection carry 6.44 lbf. Here it stands half an
// inch compressed at ride height, so that 1.06 in are left.
static void shigley_10_1_solid_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "spring \"10-1\" { wire = 0.037 in; mean-diameter = 0.400 in; total-coils = 12.5\n"
             "  ends = closed; material = music-wire; free-length = 2.06 in }\n"
             "damper \"d\" { extended-length = 86 mm; stroke = 24 mm; compensation = vented }\n"
             "setup \"s\" { all { spring = \"10-1\"; preload = 0.5 in; damper = \"d\"\n"
             "  axle-type = beam; tyre-radius = 42 mm; ride-height = 21 mm\n"
             "  wheel-centre = (110 mm, 21 mm); shock-top = (60 mm, 98 mm)\n"
             "  shock-bottom = (60 mm, 12 mm) } }");
  assert_published("Shigley Ex. 10-1: deflection left of 1.56 in, in",
                   value_at(f, PL_FIGURE_TRAVEL_TO_BIND, PL_FRONT_LEFT) / 25.4e-3, 1.56 - 0.5,
                   0.003);
}

// A beam axle with upright shocks over the wheels: the wheel rate is the spring's.
#define BEAM                                                                                   \
  "axle-type = beam; wheel-centre = (730 mm, 100 mm); shock-top = (730 mm, 500 mm);"           \
  "shock-bottom = (730 mm, 100 mm); damper = \"d\"; preload = 10 mm;"

// Barton & Fieldhouse, Automotive Chassis Engineering (2018), p. 213: wheel and tyre rates of
// 20.63 and 300 kN/m and 40 kg unsprung hop at 14.25 Hz.
static void barton_hop_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench,
      "damper \"d\" { extended-length = 420 mm; stroke = 100 mm; compensation = vented }\n"
      "setup \"s\" { all { " BEAM " spring = 20.63 N/mm; tyre-rate = 300 N/mm;\n"
      "  unsprung-mass = 40 kg; tyre-radius = 300 mm; ride-height = 200 mm } }");
  assert_published_within("Barton & Fieldhouse p. 213: hop, Hz",
                          value_at(f, PL_FIGURE_HOP_FREQUENCY, PL_FRONT_LEFT), 14.25, 0.005);
}

// Barton & Fieldhouse, p. 174: 1280 kg sprung, shared 0.54 to 0.46, roll centres at 0.07 and
// 0.32 m, the centre of gravity 0.365 m above the roll axis, 28 650 N m/rad, g 9.81: the car
// rolls 10.9 degrees per g. Its springs are chosen here to give that stiffness on a track
// of 1.46 m.
static void barton_roll_work(struct bench *bench) {
  const double spring = 28650.0 / 2 * 2 / (1.46 * 1.46) / 1000; // N/mm at each wheel
  const char *const text = pl_format(
      bench->arena,
      "%s spring = %.6f N/mm; track = 1460 mm }\n"
      "  front { corner-mass = %.3f kg; unsprung-mass = 70 kg; tyre-radius = 280 mm\n"
      "    ride-height = 180 mm; roll-centre = 70 mm }\n"
      "  rear { corner-mass = %.3f kg; unsprung-mass = 90 kg; tyre-radius = 300 mm\n"
      "    ride-height = 200 mm; roll-centre = 320 mm } }",
      "damper \"d\" { extended-length = 420 mm; stroke = 100 mm; compensation = vented }\n"
      "setup \"s\" { gravity = 9.81 m/s^2; cg-height = 550 mm; all { " BEAM,
      spring, (1280 * 0.54 + 140) / 2, (1280 * 0.46 + 180) / 2);
  struct pl_figures *const f = figures_of(bench, text);
  assert_published_within(
      "Barton & Fieldhouse p. 174: roll gradient, deg/g",
      pl_figure_in_unit(PL_FIGURE_ROLL_GRADIENT, value_at(f, PL_FIGURE_ROLL_GRADIENT, PL_CAR)),
      10.9, 0.05);
  // At 0.6 g the roll centres move 195 and 760 N, the springs, alike at both axles, half of the
  // roll moment each. What the wheels move by themselves is no part of the share.
  const double elastic = 0.5 * 28650 * 0.6 * 10.9 * 3.14159265358979 / 180 / 1.46;
  assert_published_within("Barton & Fieldhouse p. 174: front share of elastic and geometric",
                          value_at(f, PL_FIGURE_FRONT_TRANSFER_SHARE, PL_CAR),
                          (elastic + 195) / (2 * elastic + 195 + 760), 0.0004);
}

// Walther's law (ASTM D341) through 46 cSt at 40 and 6.8 cSt at 100 degC gives 20.623 cSt at
// 60 degC: recomputed from the standard's formula, not published.
static void walther_work(struct bench *bench) {
  struct pl_figures *const f =
      figures_of(bench, "oil \"m\" { viscosity = [46 cSt at 40 degC, 6.8 cSt at 100 degC] }\n"
                        "setup \"s\" { oil-temperature = 60 degC; all { oil = \"m\" } }");
  assert_published("ASTM D341: 46 cSt at 40, 6.8 at 100: at 60 degC, cSt",
                   value_at(f, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT) * 1e6, 20.623, 1e-4);
}

// Halves of 100 and 1000 cSt: the logarithmic rule gives 316.2 cSt.
static void blend_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "oil \"a\" { viscosity = 100 cSt }\noil \"b\" { viscosity = 1000 cSt }\n"
             "setup \"s\" { air = 25 degC; all { oil = blend(\"a\" 50 %, \"b\" 50 %) } }");
  assert_published("blend by logarithms, 100 and 1000 cSt in halves, cSt",
                   value_at(f, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT) * 1e6, 316.2, 1e-3);
}

// Silicone fluids over their value at 25 degC, by the law of suppliers' literature.
static void silicone_work(struct bench *bench) {
  static const struct {
    int degrees;
    double ratio;
  } rows[] = {{0, 1.716}, {10, 1.367}, {40, 0.754}, {60, 0.538}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const char *const text = pl_format(
        bench->arena, "setup \"s\" { oil-temperature = %d degC; all { oil = 100 cSt } }",
        rows[i].degrees);
    struct pl_figures *const f = figures_of(bench, text);
    assert_published(
        pl_format(bench->arena, "silicone fluid at %d over 25 degC", rows[i].degrees),
        value_at(f, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT) / 100e-6, rows[i].ratio, 1e-3);
  }
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(shigley_10_1)
CASE(shigley_10_1_solid)
CASE(barton_hop)
CASE(barton_roll)
CASE(walther)
CASE(blend)
CASE(silicone)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(shigley_10_1), cmocka_unit_test(shigley_10_1_solid),
      cmocka_unit_test(barton_hop),   cmocka_unit_test(barton_roll),
      cmocka_unit_test(walther),      cmocka_unit_test(blend),
      cmocka_unit_test(silicone),
  };
  return cmocka_run_group_tests_name("figures: published", tests, NULL, NULL);
}
