// SPDX-License-Identifier: GPL-3.0-or-later
// Laws that hold for any car: a larger model of the same car scales as its dimensions say, and
// a stiffer bar takes more of the roll to its own axle.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "unit/figures_setup.h"

// ---------------------------------------------------------------- similarity

// Lengths times s; masses and times stay. Then whatever is kg^a m^b s^c grows by s^b (dimension
// analysis): rates in N/m stay, forces and gravity go with s, pressures and shear moduli with
// 1/s, kinematic viscosities with s^2, densities with 1/s^3. What nature fixes in metres does
// not join in: the atmosphere, the steel of bars and shafts, the strength of wire. Such figures
// are marked.
#define FIXED 99

static const struct {
  enum pl_figure figure;
  int power;
} powers[] = {
    {PL_FIGURE_SPRING_RATE, 0},
    {PL_FIGURE_SPRING_DEFLECTION, 1},
    {PL_FIGURE_SPRING_FORCE, 1},
    {PL_FIGURE_PRELOAD_FORCE, 1},
    {PL_FIGURE_TRAVEL_TO_BIND, 1},
    {PL_FIGURE_SPRING_STRESS, -1},
    {PL_FIGURE_SPRING_STRESS_SHARE, FIXED}, // strength of wire
    {PL_FIGURE_SHOCK_LENGTH, 1},
    {PL_FIGURE_SHOCK_COMPRESSION, 1},
    {PL_FIGURE_SHOCK_ANGLE, 0},
    {PL_FIGURE_MOTION_RATIO, 0},
    {PL_FIGURE_MOTION_RATIO_SLOPE, -1},
    {PL_FIGURE_MOTION_RATIO_DROOP, 0},
    {PL_FIGURE_MOTION_RATIO_BUMP, 0},
    {PL_FIGURE_DROOP_TRAVEL, 1},
    {PL_FIGURE_BUMP_TRAVEL, 1},
    {PL_FIGURE_SHOCK_TRAVEL_OUT, 1},
    {PL_FIGURE_SHOCK_TRAVEL_IN, 1},
    {PL_FIGURE_FIRST_TO_STOP, 0},
    {PL_FIGURE_CAMBER_GAIN, -1},
    {PL_FIGURE_ROLL_CENTRE_HEIGHT, 1},
    {PL_FIGURE_CORNER_MASS, 0},
    {PL_FIGURE_TOTAL_MASS, 0},
    {PL_FIGURE_SPRUNG_MASS, 0},
    {PL_FIGURE_WHEEL_RATE, 0},
    {PL_FIGURE_RIDE_RATE, 0},
    {PL_FIGURE_RIDE_FREQUENCY, 0},
    {PL_FIGURE_HOP_FREQUENCY, 0},
    {PL_FIGURE_PRELOAD_NEEDED, 1},
    {PL_FIGURE_COLLAR_POSITION, 1},
    {PL_FIGURE_SETTLED_RIDE_HEIGHT, 1},
    {PL_FIGURE_FREQUENCY_RATIO, 0},
    {PL_FIGURE_FRONT_MASS_SHARE, 0},
    {PL_FIGURE_CROSS_WEIGHT, 0},
    {PL_FIGURE_BAR_ROLL_RATE, 2}, // there is none: zero
    {PL_FIGURE_ROLL_RATE, 2},
    {PL_FIGURE_FRONT_ROLL_SHARE, 0},
    {PL_FIGURE_ROLL_GRADIENT, 0},
    {PL_FIGURE_FRONT_TRANSFER_SHARE, 0},
    {PL_FIGURE_SHOCK_TEMPERATURE, 0},
    {PL_FIGURE_OIL_VISCOSITY, 2},
    {PL_FIGURE_OIL_DENSITY, FIXED},
    {PL_FIGURE_EQUIVALENT_OIL, FIXED}, // in comparisons only
    {PL_FIGURE_DAMPING_SLOW_COMPRESSION, 0},
    {PL_FIGURE_DAMPING_SLOW_REBOUND, 0},
    {PL_FIGURE_DAMPING_FAST_COMPRESSION, 0},
    {PL_FIGURE_DAMPING_FAST_REBOUND, 0},
    {PL_FIGURE_DAMPING_RATIO_SLOW, 0},
    {PL_FIGURE_DAMPING_RATIO_FAST, 0},
    {PL_FIGURE_DAMPING_RATIO_COMPRESSION, 0},
    {PL_FIGURE_DAMPING_RATIO_REBOUND, 0},
    {PL_FIGURE_PACK_SPEED, 1},
    {PL_FIGURE_CAVITATION_SPEED, FIXED}, // the atmosphere
    {PL_FIGURE_SHAFT_DISPLACEMENT, 3},
    {PL_FIGURE_OIL_EXPANSION, 3},
    {PL_FIGURE_BLADDER_MARGIN, 3},
    {PL_FIGURE_OIL_FILL, 3},
    {PL_FIGURE_GAS_FORCE, 1}, // vented: zero
    {PL_FIGURE_GAS_RATE, 0},
    {PL_FIGURE_GAS_FORCE_EXTENDED, 1},
    {PL_FIGURE_GAS_FORCE_COMPRESSED, 1},
    {PL_FIGURE_SEAL_SQUEEZE, 0},
    {PL_FIGURE_SEAL_STRETCH, 0},
    {PL_FIGURE_GLAND_FILL, 0},
    {PL_FIGURE_EXTRUSION_GAP, 1},
    {PL_FIGURE_BUSHING_OVERLAP, 1},
    {PL_FIGURE_BUSHING_RATIO, 0},
    {PL_FIGURE_SHAFT_FORCE, 1},
    {PL_FIGURE_BUCKLING_LOAD, FIXED}, // steel
    {PL_FIGURE_FINAL_DRIVE, 0},
    {PL_FIGURE_ROLLOUT, 1},
};

/// A buggy, s times as long as it is.
static struct pl_figures *sized(struct bench *bench, double s) {
  static const char *const parts =
      "let s = %.17g\n"
      "oil \"o\" { viscosity = 350 cSt * s^2; density = 970 kg/m^3 / s^3 }\n"
      "spring \"p\" { wire = 1.2 mm * s; mean-diameter = 17 mm * s; ends = closed\n"
      "  active-coils = 8; shear-modulus = 80 GPa / s; free-length = 40 mm * s }\n"
      "piston \"p\" { thickness = 2.4 mm * s; diameter = 11.9 mm * s; ports = 2 x %.17g mm }\n"
      "damper \"d\" { bore = 12 mm * s; shaft = 3 mm * s; extended-length = 86 mm * s; perch-gap = 44 mm * s\n"
      "  stroke = 24 mm * s; compensation = vented; oil-volume = 3 ml * s^3\n"
      "  air-volume = 0.6 ml * s^3; bushing-overlap = 12 mm * s; exposed-shaft = 26 mm * s\n"
      "  seal { ring-inside = 2.9 mm * s; ring-section = 1.78 mm * s; rings = 2\n"
      "    gland-outside = 6 mm * s; gland-width = 4.2 mm * s; extrusion-gap = 0.05 mm * s } }\n";
  static const char *const car =
      "car \"c\" { mass = 1600 g; front-share = 42 %; cg-height = 50 mm * s; internal-ratio = "
      "2.6\n  gravity = 9.80665 m/s^2 * s; wheelbase = 280 mm * s\n"
      "  all { track = 212 mm * s; tyre-radius = 42 mm * s; tyre-rate = 2.5 N/mm; damper = \"d\"\n"
      "    unsprung-mass = 60 g; arm-inner = (20 mm * s, 12 mm * s)\n"
      "    arm-outer = (100 mm * s, 13 mm * s); wheel-centre = (112 mm * s, 21 mm * s)\n"
      "    link-inner = (34 mm * s, 35 mm * s); link-outer = (94 mm * s, 40 mm * s)\n"
      "    shock-top = (10 mm * s, 50 mm * s, 90 mm * s)\n"
      "    shock-bottom = (64 mm * s, 14 mm * s) } }\n"
      "setup \"s\" { car = \"c\"; air = 15 degC; pinion = 24; spur = 78\n"
      "  fast-speed = 400 mm/s * s\n"
      "  all { ride-height = 22 mm * s; preload = 4 mm * s; limiter = 1 mm * s\n"
      "    bump-spacer = 2 mm * s; spring = \"p\"; oil = \"o\"; piston = \"p\" }\n"
      "  front { corner-mass = 380 g } rear { corner-mass = 420 g }\n"
      "  ballast \"b\" { mass = 40 g; at = (90 mm * s, 20 mm * s, 5 mm * s) } }\n";
  const char *const text =
      pl_format(bench->arena, "%s%s", pl_format(bench->arena, parts, s, 1.6 * s), car);
  return figures_of(bench, text);
}

static void every_figure_has_a_power_work(struct bench *bench) {
  (void)bench;
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    size_t found = 0;
    for (size_t j = 0; j < sizeof powers / sizeof powers[0]; j++)
      found += powers[j].figure == (enum pl_figure)i;
    if (found != 1) fail_msg("%s has no power here", pl_figure_rows[i].key);
  }
}

static void figures_scale_with_length_work(struct bench *bench) {
  static const double sizes[] = {0.5, 1.3, 3};
  struct pl_figures *const one = sized(bench, 1);
  for (size_t k = 0; k < sizeof sizes / sizeof sizes[0]; k++) {
    struct pl_figures *const other = sized(bench, sizes[k]);
    for (size_t i = 0; i < sizeof powers / sizeof powers[0]; i++) {
      if (powers[i].power == FIXED) continue;
      const enum pl_figure figure = powers[i].figure;
      const enum pl_scope scope = pl_figure_rows[figure].scope;
      for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope);
           place++) {
        const double expected =
            value_at(one, figure, (enum pl_place)place) * pow(sizes[k], powers[i].power);
        const double value = value_at(other, figure, (enum pl_place)place);
        if (!pl_near(value, expected, 1e-7 * fabs(expected)))
          fail_msg("%s: %.12g at size %g, not %.12g", pl_figure_rows[figure].key, value,
                   sizes[k], expected);
      }
    }
  }
}

// The shares of the mass scale too, where no scale is read, with ballast by the lever law.
static void masses_do_not_scale_work(struct bench *bench) {
  const char *const form =
      "let s = %g\nsetup \"s\" { mass = 1.6 kg; front-share = 42 %%; wheelbase = 280 mm * s\n"
      "  all { track = 212 mm * s }\n"
      "  ballast \"b\" { mass = 40 g; at = (90 mm * s, 20 mm * s, 5 mm * s) } }";
  struct pl_figures *const one = figures_of(bench, pl_format(bench->arena, form, 1.0));
  struct pl_figures *const other = figures_of(bench, pl_format(bench->arena, form, 2.5));
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++)
    assert_near(value_at(other, PL_FIGURE_CORNER_MASS, (enum pl_place)place),
                value_at(one, PL_FIGURE_CORNER_MASS, (enum pl_place)place), 1e-12);
}

// ---------------------------------------------------------------- bars

/// A random car with those bars, in millimetres of wire; the same seed makes the same car.
static struct pl_figures *barred(struct bench *bench, uint64_t seed, double front,
                                 double rear) {
  struct pl_chance chance = {seed};
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_format(
      &text,
      "damper \"d\" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm\n"
      "  compensation = vented }\n"
      "setup \"s\" { mass = 1600 g; front-share = %g %%; cg-height = %g mm\n"
      "  all { tyre-radius = 42 mm; unsprung-mass = %g g; damper = \"d\"; ride-height = 21 mm\n"
      "  arm-inner = (20 mm, 12 mm); shock-top = (50 mm, 90 mm); shock-bottom = (64 mm, 14 mm)\n",
      pl_chance_between(&chance, 35, 60), pl_chance_between(&chance, 40, 60),
      pl_chance_between(&chance, 30, 90));
  pl_buffer_format(&text, "  wheel-centre = (112 mm, 21 mm); link-inner = (34 mm, %g mm)\n",
                   pl_chance_between(&chance, 33, 38));
  pl_buffer_format(&text, "  link-outer = (94 mm, 40 mm); arm-outer = (100 mm, %g mm) }\n",
                   pl_chance_between(&chance, 10, 14));
  const double wires[] = {front, rear};
  for (size_t axle = 0; axle < 2; axle++)
    pl_buffer_format(&text,
                     "  %s { track = %g mm; spring = %g N/mm; bar-wire = %g mm\n"
                     "    bar-lever = %g mm; bar-length = %g mm; bar-ratio = %g }\n",
                     axle == 0 ? "front" : "rear", pl_chance_between(&chance, 180, 240),
                     pl_chance_between(&chance, 0.4, 0.9), wires[axle],
                     pl_chance_between(&chance, 15, 35), pl_chance_between(&chance, 40, 90),
                     pl_chance_between(&chance, 0.3, 0.8));
  pl_buffer_text(&text, "}\n");
  return figures_of(bench, pl_buffer_string(&text));
}

// The share of the roll and that of the load transfer: a stiffer bar never lowers its axle's.
static void a_stiffer_bar_work(struct bench *bench) {
  static const enum pl_figure shares[] = {PL_FIGURE_FRONT_ROLL_SHARE,
                                          PL_FIGURE_FRONT_TRANSFER_SHARE};
  for (uint64_t seed = 1; seed <= 20; seed++) {
    for (size_t i = 0; i < sizeof shares / sizeof shares[0]; i++) {
      double last_front = 0;
      double last_rear = 1;
      for (double wire = 0.6; wire < 2.2; wire += 0.3) {
        const double front = value_at(barred(bench, seed, wire, 1), shares[i], PL_CAR);
        const double rear = value_at(barred(bench, seed, 1, wire), shares[i], PL_CAR);
        if (front < last_front || rear > last_rear)
          fail_msg("car %d, %s: bar of %g mm: front %g after %g, rear bar %g after %g",
                   (int)seed, pl_figure_rows[shares[i]].key, wire, front, last_front, rear,
                   last_rear);
        last_front = front;
        last_rear = rear;
      }
      assert_true(last_front > value_at(barred(bench, seed, 0.6, 1), shares[i], PL_CAR));
    }
  }
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(every_figure_has_a_power)
CASE(figures_scale_with_length)
CASE(masses_do_not_scale)
CASE(a_stiffer_bar)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_figure_has_a_power),
      cmocka_unit_test(figures_scale_with_length),
      cmocka_unit_test(masses_do_not_scale),
      cmocka_unit_test(a_stiffer_bar),
  };
  return cmocka_run_group_tests_name("figures: properties", tests, NULL, NULL);
}
