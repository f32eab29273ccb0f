// SPDX-License-Identifier: GPL-3.0-or-later
// Tolerances of figures against closed forms, and against a Monte Carlo run of the whole
// program over texts in which the uncertain numbers are written anew for each draw (JCGM
// 101:2008 calls that the propagation of distributions). The law of propagation is that of JCGM
// 100:2008, 5.1.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "unit/figures_setup.h"

#define PI 3.14159265358979323846

static const struct pl_figure_tolerance *
tolerance_at(struct pl_figures *figures, enum pl_figure figure, enum pl_place place) {
  return pl_tolerance_of(pl_tolerances_new(figures, &figure, 1), figure, place);
}

// ---------------------------------------------------------------- closed forms

// JCGM 100:2008, 5.1.6: for a product of powers the relative uncertainties add up, each times
// its power. The rate of a coil spring is G d^4 / (8 D^3 n).
static void coil_spring_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "spring \"s\" { wire = 1.2 mm +- 0.01 mm; mean-diameter = 14 mm +- 0.1 mm\n"
             "  active-coils = 6 +- 0.05; shear-modulus = 79 GPa +- 1 GPa }\n"
             "setup \"a\" { all { spring = \"s\" } }");
  const double wire = 4 * 0.01 / 1.2;
  const double mean = 3 * 0.1 / 14;
  const double coils = 0.05 / 6;
  const double modulus = 1.0 / 79;
  const double rate = value_at(f, PL_FIGURE_SPRING_RATE, PL_REAR_LEFT);
  const struct pl_figure_tolerance *const told =
      tolerance_at(f, PL_FIGURE_SPRING_RATE, PL_REAR_LEFT);
  assert_published("G d^4/(8 D^3 n): relative tolerance by JCGM 100, 5.1.6",
                   told->half_width / rate, hypot(hypot(wire, mean), hypot(coils, modulus)),
                   1e-4);
  assert_near(told->worst / rate, wire + mean + coils + modulus, 1e-4);
  assert_int_equal(told->count, 4);
  assert_near(told->parts[0].half_width / rate, wire, 1e-4);
  assert_near(told->parts[1].half_width / rate, -mean, 1e-4);
  assert_false(told->parts[0].bends);
}

#define DAMPER                                                                                 \
  "damper \"d\" { bore = 13 mm; shaft = 3.5 mm; extended-length = 86 mm; stroke = 24 mm\n"     \
  "  compensation = vented }\n"

// Poiseuille with the loss at both ends, by Dagan, Weinbaum & Pfeffer, J. Fluid Mech. 115
// (1982) 505 (from memory): the resistance of a port is mu (128 t / (pi d^4) + 24 / d^3).
static void port_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, DAMPER "oil \"o\" { viscosity = 350 cSt at 25 degC +- 10 cSt }\n"
                    "piston \"p\" { ports = 2 x 1.6 mm +- 0.02 mm; thickness = 2.4 mm }\n"
                    "setup \"a\" { oil-temperature = 25 degC\n"
                    "  all { damper = \"d\"; oil = \"o\"; piston = \"p\" } }");
  const double d = 1.6e-3;
  const double along = 128 * 2.4e-3 / PI;
  const double loss = along / pow(d, 4) + 24 / pow(d, 3);
  const double slope = -4 * along / pow(d, 5) - 72 / pow(d, 4);
  const double port = fabs(slope) * 0.02e-3 / loss;
  const double oil = 10.0 / 350;
  const struct pl_figure_tolerance *const told =
      tolerance_at(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_LEFT);
  const double damping = value_at(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_LEFT);
  assert_published("slow damping: relative tolerance by JCGM 100, 5.1.2",
                   told->half_width / damping, hypot(port, oil), 1e-4);
  assert_int_equal(told->count, 2);
  assert_near(fabs(told->parts[0].half_width) / damping, port, 1e-4);
}

// A port so long that its ends do not count: d^4 alone, 4 times the relative tolerance.
static void long_port_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, DAMPER "piston \"p\" { ports = 2 x 0.2 mm +- 0.002 mm; thickness = 100 mm }\n"
                    "setup \"a\" { all { damper = \"d\"; oil = 350 cSt; piston = \"p\" } }");
  const double damping = value_at(f, PL_FIGURE_DAMPING_SLOW_REBOUND, PL_REAR_RIGHT);
  const double told =
      tolerance_at(f, PL_FIGURE_DAMPING_SLOW_REBOUND, PL_REAR_RIGHT)->half_width;
  assert_published("Poiseuille: relative tolerance, 4 times the port's", told / damping, 0.04,
                   2e-3);
}

// ---------------------------------------------------------------- Monte Carlo

#define DRAWS 20000

/// What is uncertain, as it is written; each is drawn by itself, and the preload's own part for
/// each corner.
enum drawn { PORTS, WIRE, OIL, SHIM, TYRE, MASS, PRELOAD, DRAWN = PRELOAD + 4 };

static const struct {
  double value, tolerance;
} written[DRAWN] = {
    [PORTS] = {1.6, 0.01},    [WIRE] = {1.2, 0.004},     [OIL] = {350, 5},
    [SHIM] = {2, 0.05},       [TYRE] = {2.5, 0.05},      [MASS] = {2000, 20},
    [PRELOAD] = {1, 0.04},    [PRELOAD + 1] = {1, 0.04}, [PRELOAD + 2] = {1, 0.04},
    [PRELOAD + 3] = {1, 0.04}};

static const struct watched {
  enum pl_figure figure;
  enum pl_place place;
} watched[] = {
    {PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_LEFT},
    {PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_RIGHT},
    {PL_FIGURE_DAMPING_RATIO_FAST, PL_REAR_LEFT},
    {PL_FIGURE_SPRING_RATE, PL_REAR_RIGHT},
    {PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT},
    {PL_FIGURE_PRELOAD_FORCE, PL_FRONT_RIGHT},
    {PL_FIGURE_RIDE_FREQUENCY, PL_FRONT_LEFT},
    {PL_FIGURE_SETTLED_RIDE_HEIGHT, PL_FRONT_LEFT},
    {PL_FIGURE_SETTLED_RIDE_HEIGHT, PL_REAR_RIGHT},
};
#define WATCHED (sizeof watched / sizeof watched[0])

/// The setup; `with` are the numbers, each with what stands behind it. `preload` holds the
/// lines that give it.
static const char *text_of(struct pl_arena *arena, const char *const with[DRAWN],
                           const char *preload) {
  return pl_format(
      arena,
      "let shim = %s\n" DAMPER
      "spring \"s\" { wire = %s; mean-diameter = 14 mm; active-coils = 9\n"
      "  material = music-wire; free-length = 40 mm }\n"
      "piston \"p\" { ports = 2 x %s; thickness = 2.4 mm }\n"
      "setup \"a\" { mass = %s; front-share = 45 %%\n"
      "  all { damper = \"d\"; oil = %s; piston = \"p\"; spring = \"s\"; tyre-rate = 2.0 N/mm\n"
      "    axle-type = beam; tyre-radius = 42 mm; ride-height = 21 mm; unsprung-mass = 60 g\n"
      "    wheel-centre = (110 mm, 21 mm); shock-top = (60 mm, 98 mm)\n"
      "    shock-bottom = (60 mm, 12 mm) }\n"
      "  front-left { tyre-rate = %s }\n%s}\n",
      with[SHIM], with[WIRE], with[PORTS], with[MASS], with[OIL], with[TYRE], preload);
}

static const char *const units[DRAWN] = {
    [PORTS] = "mm",       [WIRE] = "mm",       [OIL] = "cSt",    [SHIM] = "mm",
    [TYRE] = "N/mm",      [MASS] = "g",        [PRELOAD] = "mm", [PRELOAD + 1] = "mm",
    [PRELOAD + 2] = "mm", [PRELOAD + 3] = "mm"};

/// The text as somebody writes it: with tolerances, and one line for both sides.
static const char *tolerant_text(struct pl_arena *arena) {
  const char *with[DRAWN];
  for (size_t i = 0; i < DRAWN; i++)
    with[i] = pl_format(arena, "%.6g %s +- %.6g %s", written[i].value, units[i],
                        written[i].tolerance, units[i]);
  return text_of(arena, with,
                 pl_format(arena, "  all { preload = shim + %s }\n", with[PRELOAD]));
}

/// The same with plain numbers as they came out, and each corner's preload by itself.
static const char *drawn_text(struct pl_arena *arena, const double drawn[DRAWN]) {
  const char *with[DRAWN];
  for (size_t i = 0; i < DRAWN; i++) with[i] = pl_format(arena, "%.17g %s", drawn[i], units[i]);
  struct pl_buffer preload = {.arena = arena};
  for (size_t i = 0; i < 4; i++)
    pl_buffer_format(&preload, "  %s { preload = shim + %s }\n",
                     pl_place_name((enum pl_place)(PL_FRONT_LEFT + i)), with[PRELOAD + i]);
  return text_of(arena, with, pl_buffer_string(&preload));
}

/// Box and Muller: a normal number of mean 0 and deviation 1.
static double normal(struct pl_chance *chance) {
  const double size = sqrt(-2 * log(1 - pl_chance_between(chance, 0, 1)));
  return size * cos(2 * PI * pl_chance_between(chance, 0, 1));
}

struct sums {
  double mean[WATCHED];
  double square[WATCHED][WATCHED]; ///< sums of products of deviations
  double count;
};

/// Welford's way, which loses no digits.
static void add_draw(struct sums *sums, const double values[WATCHED]) {
  double before[WATCHED];
  sums->count++;
  for (size_t i = 0; i < WATCHED; i++) {
    before[i] = values[i] - sums->mean[i];
    sums->mean[i] += before[i] / sums->count;
  }
  for (size_t i = 0; i < WATCHED; i++)
    for (size_t j = 0; j < WATCHED; j++)
      sums->square[i][j] += before[i] * (values[j] - sums->mean[j]);
}

static double deviation(const struct sums *sums, size_t i) {
  return sqrt(sums->square[i][i] / (sums->count - 1));
}

static void draw_all(struct bench *bench, struct sums *sums) {
  struct pl_chance chance = {20261130};
  struct pl_arena *const kept = bench->arena;
  struct pl_arena *const arena = pl_program_scratch(program_of(bench, ""));
  bench->arena = arena;
  for (size_t draw = 0; draw < DRAWS; draw++) {
    double drawn[DRAWN];
    for (size_t i = 0; i < DRAWN; i++)
      drawn[i] = written[i].value + written[i].tolerance * normal(&chance);
    struct pl_program *const program = program_of(bench, drawn_text(arena, drawn));
    struct pl_figures *const f = pl_figures_brief(pl_program_setup(program, NULL));
    double values[WATCHED];
    for (size_t i = 0; i < WATCHED; i++)
      values[i] = value_at(f, watched[i].figure, watched[i].place);
    add_draw(sums, values);
    pl_arena_reset(arena);
  }
  bench->arena = kept;
}

/// What the parts that two figures share make of their correlation.
static double told_correlation(const struct pl_figure_tolerance *one,
                               const struct pl_figure_tolerance *other) {
  double sum = 0;
  for (size_t i = 0; i < one->count; i++)
    for (size_t j = 0; j < other->count; j++)
      if (one->parts[i].value == other->parts[j].value)
        sum += one->parts[i].half_width * other->parts[j].half_width;
  return sum / (one->half_width * other->half_width);
}

static void monte_carlo_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, tolerant_text(bench->arena));
  const struct pl_tolerances *const tolerances = pl_tolerances_new(f, NULL, 0);
  struct sums sums = {.count = 0};
  draw_all(bench, &sums);
  const struct pl_figure_tolerance *told[WATCHED];
  for (size_t i = 0; i < WATCHED; i++) {
    told[i] = pl_tolerance_of(tolerances, watched[i].figure, watched[i].place);
    const double value = value_at(f, watched[i].figure, watched[i].place);
    const double spread = deviation(&sums, i);
    const char *const what = pl_format(bench->arena, "%s.%s", pl_place_name(watched[i].place),
                                       pl_figure_rows[watched[i].figure].key);
    // A deviation of N draws is out by 1/sqrt(2 N), a mean by 1/sqrt(N); four times that, and
    // what the second order adds to the mean of figures that bend, is allowed.
    assert_published(pl_format(bench->arena, "%s: deviation", what), told[i]->half_width,
                     spread, 4 / sqrt(2.0 * DRAWS));
    assert_published_within(pl_format(bench->arena, "%s: mean", what), value, sums.mean[i],
                            4 * spread / sqrt(DRAWS) + spread * spread / value * 1.5);
  }
  for (size_t i = 0; i < WATCHED; i++) {
    for (size_t j = 0; j < i; j++) {
      const double drawn = sums.square[i][j] / sqrt(sums.square[i][i] * sums.square[j][j]);
      const double expected = told_correlation(told[i], told[j]);
      assert_within(expected, drawn, 4 * (1 - expected * expected) / sqrt(DRAWS) + 1e-3);
    }
  }
  // The piston is drilled alike left and right; preload is one part shim, one part hand.
  assert_published_within("slow damping: left and right move together",
                          told_correlation(told[0], told[1]), 1, 1e-12);
  const double preload = told_correlation(told[4], told[5]);
  print_message("  preload force, left and right: correlation %.3f\n", preload);
  assert_true(preload > 0.5 && preload < 0.9);
}

// ---------------------------------------------------------------- the tests

static void coil_spring(void **state) {
  (void)state;
  with_bench(coil_spring_work);
}

static void port(void **state) {
  (void)state;
  with_bench(port_work);
}

static void long_port(void **state) {
  (void)state;
  with_bench(long_port_work);
}

static void monte_carlo(void **state) {
  (void)state;
  with_bench(monte_carlo_work);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(coil_spring),
      cmocka_unit_test(port),
      cmocka_unit_test(long_port),
      cmocka_unit_test(monte_carlo),
  };
  return cmocka_run_group_tests_name("tolerances", tests, NULL, NULL);
}
