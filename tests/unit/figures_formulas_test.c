// SPDX-License-Identifier: GPL-3.0-or-later
// From a file to a number: small setups whose figures have a closed form, worked out here by
// the plain formula and not by the library, with the source of each.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "unit/figures_setup.h"

static const double pi = 3.14159265358979323846;
static const double g = 9.80665;

// A level arm of 80 mm, the shock upright above its middle: the wheel moves twice as far as the
// shock, and the ratio does not change about level (lever law).
#define HARDWARE                                                                               \
  "damper \"d\" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm\n"       \
  "  compensation = vented; oil-volume = 3 ml; air-volume = 0.5 ml; exposed-shaft = 26 mm\n"   \
  "  bushing-overlap = 12 mm\n"                                                                \
  "  seal { ring-inside = 2.9 mm; ring-section = 1.78 mm; rings = 2; gland-outside = 6 mm\n"   \
  "         gland-width = 4.2 mm } }\n"
#define CAR                                                                                       \
  HARDWARE                                                                                        \
  "car \"c\" { mass = 1600 g; front-share = 40 %; left-share = 52 %; wheelbase = 280 mm\n"        \
  "  cg-height = 50 mm; internal-ratio = 2.6\n"                                                   \
  "  all { track = 200 mm; tyre-radius = 42 mm; tyre-rate = 2.5 N/mm; unsprung-mass = 60 g\n"     \
  "    damper = \"d\"; arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 12 mm)\n"                 \
  "    wheel-centre = (110 mm, 21 mm); shock-top = (60 mm, 92 mm); shock-bottom = (60 mm, 12 mm)" \
  "\n  } }\n"
#define SETUP                                                                                  \
  "setup \"s\" { car = \"c\"; air = 9 degC\n"                                                  \
  "  all { ride-height = 21 mm; spring = 0.5 N/mm; preload = 2 mm; oil = 350 cSt\n"            \
  "        piston = 2 x 1.6 mm }\n"
#define MASS_FL   (1.6 * 0.40 * 0.52)
#define SPRUNG_FL (MASS_FL - 0.060)

static double front_left(struct pl_figures *figures, enum pl_figure figure) {
  return value_at(figures, figure, PL_FRONT_LEFT);
}

// ---------------------------------------------------------------- springs and lever

static void lever_and_spring_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  assert_near(front_left(f, PL_FIGURE_MOTION_RATIO), 40.0 / 80.0, 1e-9); // lever law
  assert_within(front_left(f, PL_FIGURE_MOTION_RATIO_SLOPE), 0, 1e-6);
  assert_near(front_left(f, PL_FIGURE_SHOCK_LENGTH), 80e-3, 1e-12);
  assert_near(front_left(f, PL_FIGURE_SHOCK_COMPRESSION), 6e-3, 1e-9); // 86 - 80
  assert_near(front_left(f, PL_FIGURE_SHOCK_TRAVEL_IN), 18e-3, 1e-9);  // 24 - 6
  assert_within(front_left(f, PL_FIGURE_SHOCK_ANGLE), 0, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 500, 1e-12);
  assert_near(front_left(f, PL_FIGURE_SPRING_DEFLECTION), 8e-3, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 4.0, 1e-9); // Hooke: 0.5 N/mm over 8 mm
  assert_near(front_left(f, PL_FIGURE_PRELOAD_FORCE), 1.0, 1e-9);
  assert_near(front_left(f, PL_FIGURE_WHEEL_RATE), 500 * 0.25, 1e-6); // k MR^2
}

// Stacked springs carry the same force, so that their deflections add: 1/k = 1/k1 + 1/k2.
static void stacked_springs_work(struct bench *bench) {
  struct pl_figures *const quick =
      figures_of(bench, "setup \"s\" { all { spring = [0.5 N/mm, 0.6 N/mm] } }");
  assert_near(front_left(quick, PL_FIGURE_SPRING_RATE), 1 / (1 / 500.0 + 1 / 600.0), 1e-12);
}

// Each of ten coils of 1 mm, 20 mm long: both touch after 10 mm. The soft one does so at 3 N,
// when the stack has given 10 + 5 mm; from there on the stiff one is alone, for 5 mm more.
static void stacked_springs_bind_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "spring \"soft\" { rate = 0.3 N/mm; wire = 1 mm; mean-diameter = 14 mm\n"
             "  active-coils = 8; ends = closed-ground; free-length = 20 mm }\n"
             "spring \"stiff\" from \"soft\" { rate = 0.6 N/mm }\n" CAR SETUP
             "front-left { spring = [\"soft\", \"stiff\"]; preload = 12 mm } }");
  assert_near(front_left(f, PL_FIGURE_SPRING_DEFLECTION), 18e-3,
              1e-9); // 6 mm of it at ride height
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 600, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 3 + 0.6 * 3, 1e-9);
  assert_near(front_left(f, PL_FIGURE_TRAVEL_TO_BIND), 2e-3, 1e-6);
  assert_near(front_left(f, PL_FIGURE_PRELOAD_FORCE), 12e-3 / (1 / 300.0 + 1 / 600.0), 1e-9);
}

static void tyre_in_series_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  const double ride = 1 / (1 / 125.0 + 1 / 2500.0); // springs in series
  assert_near(front_left(f, PL_FIGURE_RIDE_RATE), ride, 1e-6);
  assert_near(front_left(f, PL_FIGURE_RIDE_FREQUENCY), sqrt(ride / SPRUNG_FL) / (2 * pi), 1e-6);
  assert_near(front_left(f, PL_FIGURE_HOP_FREQUENCY), sqrt((125 + 2500) / 0.060) / (2 * pi),
              1e-6);
}

static void masses_by_shares_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_FRONT_LEFT), 1.6 * 0.4 * 0.52, 1e-12);
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_FRONT_RIGHT), 1.6 * 0.4 * 0.48, 1e-12);
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_REAR_LEFT), 1.6 * 0.6 * 0.52, 1e-12);
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_REAR_RIGHT), 1.6 * 0.6 * 0.48, 1e-12);
  assert_near(value_at(f, PL_FIGURE_FRONT_MASS_SHARE, PL_CAR), 0.4, 1e-12);
}

// Straight above the front left wheel, half a wheelbase forward and half a track to the left,
// a piece loads that wheel alone (lever law).
static void ballast_over_a_wheel_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, CAR SETUP "ballast \"lead\" { mass = 40 g; at = (140 mm, 100 mm, 5 mm) } }");
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_FRONT_LEFT), MASS_FL + 0.040, 1e-9);
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_FRONT_RIGHT), 1.6 * 0.4 * 0.48, 1e-9);
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_REAR_LEFT), 1.6 * 0.6 * 0.52, 1e-9);
  assert_near(value_at(f, PL_FIGURE_FRONT_MASS_SHARE, PL_CAR), (0.64 + 0.04) / 1.64, 1e-9);
}

static void total_mass_work(struct bench *bench) {
  struct pl_figures *f = figures_of(bench, CAR SETUP "}");
  assert_near(value_at(f, PL_FIGURE_TOTAL_MASS, PL_CAR), 1.6, 1e-12);
  f = figures_of(bench, CAR SETUP "ballast \"one\" { mass = 25 g; at = (85 mm, 0 mm, 6 mm) }\n"
                                  "ballast \"two\" { mass = 15 g; at = (0 mm, 0 mm, 6 mm) } }");
  assert_near(value_at(f, PL_FIGURE_TOTAL_MASS, PL_CAR), 1.640, 1e-12);
}

static void scales_win_work(struct bench *bench) {
  struct pl_figures *const f =
      figures_of(bench, CAR SETUP
                 "front-left { corner-mass = 300 g } front-right { corner-mass = 310 g }"
                 "rear-left { corner-mass = 490 g } rear-right { corner-mass = 500 g } }");
  assert_near(front_left(f, PL_FIGURE_CORNER_MASS), 0.300, 1e-12);
  assert_near(value_at(f, PL_FIGURE_CROSS_WEIGHT, PL_CAR), (300.0 + 500) / 1600, 1e-12);
}

// The balance: preload at which spring times lever carries the sprung weight.
static void preload_needed_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  const double needed = SPRUNG_FL * g / 0.5 / 500 - 6e-3;
  assert_near(front_left(f, PL_FIGURE_PRELOAD_NEEDED), needed, 1e-7);
  // With that preload the car stands where it is said to stand.
  const char *const text =
      pl_format(bench->arena, "%s front-left { preload = %.9f mm } }", CAR SETUP, needed * 1e3);
  struct pl_figures *const there = figures_of(bench, text);
  assert_near(front_left(there, PL_FIGURE_SETTLED_RIDE_HEIGHT), 21e-3, 1e-6);
}

static void bar_and_roll_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, CAR SETUP "front { bar-wire = 1.2 mm; bar-lever = 25 mm; bar-length = 60 mm;"
                       "bar-ratio = 0.5 } }");
  // Torsion G J/l (McLean & Nelson, Engineering Mechanics, ch. 19) with J = pi d^4/32, and the
  // levers as cantilevers; spring steel, G 79.3 and E 200 GPa.
  const double d = 1.2e-3;
  const double a = 25e-3;
  const double torsion = 60e-3 * a * a / (2 * 79.3e9 * pi * pow(d, 4) / 32);
  const double bending = a * a * a / (3 * 200e9 * pi * pow(d, 4) / 64);
  const double bar = 1 / (torsion + bending) * 0.25 * 0.2 * 0.2 / 2;
  const double springs = 125 * 0.2 * 0.2 / 2;
  assert_near(value_at(f, PL_FIGURE_BAR_ROLL_RATE, PL_FRONT), bar, 1e-9);
  assert_near(value_at(f, PL_FIGURE_ROLL_RATE, PL_FRONT), springs + bar, 1e-6);
  assert_near(value_at(f, PL_FIGURE_ROLL_RATE, PL_REAR), springs, 1e-6);
  assert_near(value_at(f, PL_FIGURE_FRONT_ROLL_SHARE, PL_CAR),
              (springs + bar) / (2 * springs + bar), 1e-6);
  // Level arms and no camber link: the wheel moves straight up, the roll centre is on the
  // ground.
  assert_within(value_at(f, PL_FIGURE_ROLL_CENTRE_HEIGHT, PL_FRONT), 0, 1e-9);
  const double moment = (1.6 - 4 * 0.060) * g * 50e-3; // Barton & Fieldhouse, p. 174
  assert_near(value_at(f, PL_FIGURE_ROLL_GRADIENT, PL_CAR),
              moment / (2 * springs + bar - moment), 1e-6);
}

// ---------------------------------------------------------------- oil and piston

struct fluid {
  double mu;
  double rho;
};

// 350 cSt at 9 degC by the law of silicone fluids (suppliers' literature), density by
// expansion.
static struct fluid cold_oil(void) {
  const double nu = 350e-6 * pow(10, 763.1 * (1 / (273.0 + 9) - 1 / (273.0 + 25)));
  const double rho = 970 / (1 + 9.6e-4 * (9 - 25));
  return (struct fluid){nu * rho, rho};
}

#define AREA      (pi / 4 * (12e-3 * 12e-3 - 3e-3 * 3e-3))
#define PORT      1.6e-3
#define THICKNESS 2.4e-3

// Hagen-Poiseuille with the end loss of Dagan, Weinbaum & Pfeffer, J. Fluid Mech. 115 (1982)
// 505, per viscosity and flow of one port.
static double port_resistance(void) {
  return 128 * THICKNESS / (pi * pow(PORT, 4)) + 24 / pow(PORT, 3);
}

static double kinetic(double rho, double q) {
  const double u = 4 * q / (pi * PORT * PORT);
  return 1.8 * rho / 2 * u * u;
}

static void cold_oil_at_9_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  const struct fluid oil = cold_oil();
  assert_near(front_left(f, PL_FIGURE_SHOCK_TEMPERATURE), 273.15 + 9, 1e-12);
  assert_near(front_left(f, PL_FIGURE_OIL_VISCOSITY), oil.mu / oil.rho, 1e-9);
}

static void slow_damping_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  const double slow = AREA * AREA * cold_oil().mu * port_resistance() / 2; // two ports
  assert_near(front_left(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION), slow, 1e-9);
  assert_near(front_left(f, PL_FIGURE_DAMPING_SLOW_REBOUND), slow, 1e-9);
  const double ratio = slow * 0.25 / (2 * sqrt(125 * SPRUNG_FL)); // McLean & Nelson, ch. 19
  assert_near(front_left(f, PL_FIGURE_DAMPING_RATIO_SLOW), ratio, 1e-6);
  assert_near(front_left(f, PL_FIGURE_DAMPING_RATIO_REBOUND), ratio, 1e-6);
}

static void fast_damping_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "fast-speed = 400 mm/s }");
  const struct fluid oil = cold_oil();
  const double q = AREA * 0.4 / 2;
  const double pressure = oil.mu * q * port_resistance() + kinetic(oil.rho, q);
  assert_near(front_left(f, PL_FIGURE_DAMPING_FAST_COMPRESSION), pressure * AREA / 0.4, 1e-8);
  // Where both parts of the pressure are the same.
  const double pack =
      oil.mu * port_resistance() / (1.8 * oil.rho / 2 * pow(4 / (pi * PORT * PORT), 2));
  assert_near(front_left(f, PL_FIGURE_PACK_SPEED), 2 * pack / AREA, 1e-8);
  // At the cavitation speed the pressure over the piston is one atmosphere.
  const double speed = front_left(f, PL_FIGURE_CAVITATION_SPEED);
  const double there = AREA * speed / 2;
  assert_near(oil.mu * there * port_resistance() + kinetic(oil.rho, there), 101325, 1e-8);
}

// The explanation tells speed, Reynolds number and shear rate in the port: u = q/a, Re = rho u
// d/mu, 8 u/d at the wall of a pipe; and that a port of L/d 1.5 is outside what the law was
// checked in.
static void ports_are_told_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "fast-speed = 400 mm/s }");
  const struct fluid oil = cold_oil();
  const double u = AREA * 0.4 / 2 * 4 / (pi * PORT * PORT);
  const struct pl_figure_value *const fast =
      pl_figure_get(f, PL_FIGURE_DAMPING_FAST_REBOUND, PL_FRONT_LEFT);
  assert_int_equal((int)fast->detail_count, 2);
  assert_string_equal(
      fast->details[0],
      pl_format(bench->arena,
                "port of 1.60 mm, 1.5 times as long as wide: %.2f m/s, Reynolds number %.1f, "
                "shear rate %.0f 1/s",
                u, oil.rho * u * PORT / oil.mu, 8 * u / PORT));
  assert_non_null(strstr(fast->details[1], "less sure"));
  const struct pl_figure_value *const ratio =
      pl_figure_get(f, PL_FIGURE_DAMPING_RATIO_FAST, PL_FRONT_LEFT);
  assert_int_equal((int)ratio->detail_count, 0);
}

static void emulsion_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench,
      "damper \"e\" { bore = 12 mm; shaft = 3 mm; stroke = 20 mm; compensation = emulsion\n"
      "  air-volume = 0.4 ml; oil-volume = 2.4 ml }\n"
      "setup \"s\" { air = 9 degC; all { damper = \"e\"; oil = 350 cSt;\n"
      "  piston = 2 x 1.6 mm } }");
  const double phi = 0.4 / 2.8; // Taylor (1932): bubbles thicken a liquid by their share
  const double slow = AREA * AREA * cold_oil().mu * (1 + phi) * port_resistance() / 2;
  assert_near(front_left(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION), slow, 1e-9);
}

// ---------------------------------------------------------------- volumes, seals, gears

static void volumes_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  const double shaft = pi / 4 * 9e-6 * 24e-3;
  const double growth = 3e-6 * 9.6e-4 * (60 - 20);
  assert_near(front_left(f, PL_FIGURE_SHAFT_DISPLACEMENT), shaft, 1e-12);
  assert_near(front_left(f, PL_FIGURE_OIL_EXPANSION), growth, 1e-12);
  assert_near(front_left(f, PL_FIGURE_BLADDER_MARGIN), 0.5e-6 - shaft - growth, 1e-12);
}

static void gas_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench,
      "damper \"b\" { bore = 12 mm; shaft = 3 mm; stroke = 24 mm; compensation = bladder\n"
      "  air-volume = 0.5 ml; charge = 20 kPa }\n"
      "setup \"s\" { all { damper = \"b\" } }");
  const double area = pi / 4 * 9e-6; // Boyle's law
  const double end = (101325 + 20000) * 0.5e-6 / (0.5e-6 - area * 24e-3);
  assert_near(front_left(f, PL_FIGURE_GAS_FORCE_EXTENDED), 20000 * area, 1e-9);
  assert_near(front_left(f, PL_FIGURE_GAS_FORCE_COMPRESSED), (end - 101325) * area, 1e-9);
}

// Limiters and bump spacers take their part of the stroke, for the gas as for the spring.
static void gas_of_a_shortened_stroke_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench,
      "damper \"b\" { bore = 12 mm; shaft = 3 mm; stroke = 24 mm; compensation = bladder\n"
      "  air-volume = 0.5 ml; charge = 20 kPa }\n"
      "setup \"s\" { all { damper = \"b\"; limiter = 3 mm; bump-spacer = 1 mm } }");
  const double area = pi / 4 * 9e-6; // Boyle's law
  const double end = (101325 + 20000) * 0.5e-6 / (0.5e-6 - area * 20e-3);
  assert_near(front_left(f, PL_FIGURE_GAS_FORCE_COMPRESSED), (end - 101325) * area, 1e-9);
  // The shaft's volume stays that of the whole stroke.
  assert_near(front_left(f, PL_FIGURE_SHAFT_DISPLACEMENT), area * 24e-3, 1e-9);
}

// The sections of seal handbooks for dynamic rod seals; Euler's column, both ends hinged
// (Popov, Engineering Mechanics of Solids, ch. 11).
static void seal_and_shaft_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "}");
  assert_near(front_left(f, PL_FIGURE_SEAL_SQUEEZE), (1.78 - 1.5) / 1.78, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SEAL_STRETCH), 3 / 2.9 - 1, 1e-9);
  assert_near(front_left(f, PL_FIGURE_GLAND_FILL), 2 * pi / 4 * 1.78 * 1.78 / (1.5 * 4.2),
              1e-9);
  assert_near(front_left(f, PL_FIGURE_BUSHING_RATIO), 4, 1e-12);
  const double second_moment = pi * 81e-12 / 64; // of a rod: pi d^4/64
  assert_near(front_left(f, PL_FIGURE_BUCKLING_LOAD),
              pi * pi * 200e9 * second_moment / (26e-3 * 26e-3), 1e-9);
}

static void gears_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, CAR SETUP "pinion = 24; spur = 78 }");
  assert_near(value_at(f, PL_FIGURE_FINAL_DRIVE, PL_CAR), 78.0 / 24 * 2.6, 1e-12);
  assert_near(value_at(f, PL_FIGURE_ROLLOUT, PL_CAR), 2 * pi * 42e-3 / (78.0 / 24 * 2.6),
              1e-12);
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(lever_and_spring)
CASE(stacked_springs)
CASE(stacked_springs_bind)
CASE(tyre_in_series)
CASE(masses_by_shares)
CASE(ballast_over_a_wheel)
CASE(total_mass)
CASE(scales_win)
CASE(preload_needed)
CASE(bar_and_roll)
CASE(cold_oil_at_9)
CASE(slow_damping)
CASE(fast_damping)
CASE(ports_are_told)
CASE(emulsion)
CASE(volumes)
CASE(gas)
CASE(gas_of_a_shortened_stroke)
CASE(seal_and_shaft)
CASE(gears)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(lever_and_spring),
      cmocka_unit_test(stacked_springs),
      cmocka_unit_test(stacked_springs_bind),
      cmocka_unit_test(tyre_in_series),
      cmocka_unit_test(masses_by_shares),
      cmocka_unit_test(ballast_over_a_wheel),
      cmocka_unit_test(total_mass),
      cmocka_unit_test(scales_win),
      cmocka_unit_test(preload_needed),
      cmocka_unit_test(bar_and_roll),
      cmocka_unit_test(cold_oil_at_9),
      cmocka_unit_test(slow_damping),
      cmocka_unit_test(fast_damping),
      cmocka_unit_test(emulsion),
      cmocka_unit_test(ports_are_told),
      cmocka_unit_test(volumes),
      cmocka_unit_test(gas),
      cmocka_unit_test(gas_of_a_shortened_stroke),
      cmocka_unit_test(seal_and_shaft),
      cmocka_unit_test(gears),
  };
  return cmocka_run_group_tests_name("figures: formulas", tests, NULL, NULL);
}
