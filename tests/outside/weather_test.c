// SPDX-License-Identifier: GPL-3.0-or-later
// The day's oil against published figures of silicone oil.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/weather.h"
#include "support.h"

#include <math.h>
#include <string.h>

/// A shock, filled with 400 cSt at the front, measured at 25 degC.
static const char text[] =
    "oil \"a 400\" { viscosity = 400 cSt }\n"
    "oil \"a 250\" { viscosity = 250 cSt }\n"
    "oil \"a 200\" { viscosity = 200 cSt }\n"
    "oil \"a 550\" { viscosity = 550 cSt }\n"
    "damper \"d\" { bore = 12 mm; shaft = 3.5 mm; extended-length = 80 mm; stroke = 26 mm }\n"
    "setup \"s\" {\n  air = 25 degC\n  all { damper = \"d\"; piston = 2 x 1.6 mm }\n"
    "  front { oil = \"a 400\" }\n  rear { oil = 250 cSt }\n}\n";

static void weather_at(struct pl_bench *bench, const char *air, struct pl_weather *weather) {
  const struct pl_setup *const setup = pl_bench_setup(bench, text);
  assert_null(pl_weather_read(bench->arena, pl_session_names(bench->session), air, weather));
  bench->spare = bench->spare == NULL ? pl_arena_new(bench->guard) : bench->spare;
  pl_weather_run(bench->arena, bench->spare, pl_figures_new(setup, NULL), weather);
}

/// How a silicone oil thickens and thins: log10 nu(T) = 763.1/(273 + T) - 2.559 + log10 nu25,
/// as silicone-fluid suppliers print it, made to return its own input at 25 degC. The ratios
/// are worked out from that by hand; to three decimals.
static void viscosity_follows_the_published_law(struct pl_bench *bench) {
  static const struct {
    const char *air;
    double ratio;
  } rows[] = {{"0 degC", 1.716}, {"10 degC", 1.367}, {"40 degC", 0.754}, {"32 degF", 1.716}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_weather weather;
    weather_at(bench, rows[i].air, &weather);
    const struct pl_sweep_column *const column =
        pl_weather_column(&weather, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT);
    assert_near(column->values[0] / column->now, rows[i].ratio, 5e-4);
  }
}

/// Slow damping goes by the dynamic viscosity: the published ratio times that of the density,
/// 1/(1 + 0.00096/K * -25 K) at 0 degC (the program's expansion of silicone oil, from memory).
/// So 250 cSt in place of 400 leaves 250/400 of that, and 200 and 250 in halves, by the log
/// rule of Arrhenius, the root of 200 * 250 over 400.
static void oils_are_told_by_what_is_left_over(struct pl_bench *bench) {
  const double thicker = 1.716 / (1 - 0.00096 * 25);
  struct pl_weather weather;
  weather_at(bench, "0 degC", &weather);
  const struct pl_weather_axle *const front = &weather.axles[0];
  assert_null(front->lacks);
  assert_int_equal(weather.owned, 4);
  assert_near(front->unchanged.excess, thicker - 1, 1e-3);
  assert_string_equal(front->oil, "a 400");
  assert_int_equal(front->best_count, 3);
  assert_string_equal(front->best[0].words, "half a 250, half a 200");
  assert_string_equal(front->best[0].written, "blend(\"a 250\" 50 %, \"a 200\" 50 %)");
  assert_near(1 + front->best[0].excess, sqrt(200.0 * 250.0) / 400 * thicker, 1e-3);
  assert_string_equal(front->best[1].words, "a 250");
  assert_near(1 + front->best[1].excess, 250.0 / 400 * thicker, 1e-3);
  assert_string_equal(front->best[2].words, "a 200");
  assert_near(1 + front->best[2].excess, 200.0 / 400 * thicker, 1e-3);
  // The line is one of the language, and does what is said of it.
  struct pl_sweep sweep;
  static const enum pl_figure figures[] = {PL_FIGURE_DAMPING_SLOW_REBOUND};
  assert_null(pl_sweep_read(
      bench->arena, pl_session_names(bench->session),
      pl_format(bench->arena, "front.oil [%s] car.air [0 degC]", front->best[0].written),
      &sweep));
  pl_sweep_run(bench->arena, bench->spare, weather.sweep.today, figures, 1, &sweep);
  assert_near(sweep.columns[0].values[0] / sweep.columns[0].now, 1 + front->best[0].excess,
              1e-9);
}

/// Where nothing has to be changed, nothing is.
static void same_weather_leaves_the_oil(struct pl_bench *bench) {
  struct pl_weather weather;
  weather_at(bench, "25 degC", &weather);
  for (size_t i = 0; i < 2; i++) {
    assert_true(weather.axles[i].best[0].is_unchanged);
    assert_near(1 + weather.axles[i].best[0].excess, 1, 1e-12);
  }
  // The bottle that is in there already does not stand there twice.
  assert_string_not_equal(weather.axles[0].best[1].words, "a 400");
}

/// The oil's own temperature goes before the air's.
static void air_does_not_reach_a_declared_oil(struct pl_bench *bench) {
  struct pl_weather weather;
  const struct pl_setup *const setup =
      pl_bench_setup(bench, pl_format(bench->arena, "%.*s  oil-temperature = 35 degC\n}\n",
                                      (int)(strrchr(text, '}') - text), text));
  assert_problems(bench, "");
  assert_null(
      pl_weather_read(bench->arena, pl_session_names(bench->session), "25 degC", &weather));
  bench->spare = pl_arena_new(bench->guard);
  pl_weather_run(bench->arena, bench->spare, pl_figures_new(setup, NULL), &weather);
  assert_true(weather.of_oil);
  assert_near(weather.now, 308.15, 1e-9);
  const struct pl_sweep_column *const column =
      pl_weather_column(&weather, PL_FIGURE_SHOCK_TEMPERATURE, PL_REAR_LEFT);
  assert_near(column->now, 308.15, 1e-9);
  assert_near(column->values[0], 298.15, 1e-9);
}

static void what_is_no_temperature_is_told(struct pl_bench *bench) {
  static const char *const texts[] = {"9",
                                      "9 mm",
                                      "",
                                      "warm",
                                      "9 degC, 10 degC",
                                      "[9 K]",
                                      "9 degC]",
                                      "\"9 degC\"",
                                      "9 degC .. 10 degC"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    struct pl_weather weather;
    const char *const why =
        pl_weather_read(bench->arena, pl_session_names(bench->session), texts[i], &weather);
    assert_non_null(why);
    assert_non_null(strstr(why, "is no temperature; write it with its unit: --air 9 degC"));
  }
  struct pl_weather weather;
  assert_non_null(
      pl_weather_read(bench->arena, pl_session_names(bench->session), "-300 degC", &weather));
  assert_null(
      pl_weather_read(bench->arena, pl_session_names(bench->session), "-5 degC", &weather));
  assert_near(weather.temperature, 268.15, 1e-9);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(viscosity_follows_the_published_law),
      PL_BENCH_TEST(oils_are_told_by_what_is_left_over),
      PL_BENCH_TEST(same_weather_leaves_the_oil),
      PL_BENCH_TEST(air_does_not_reach_a_declared_oil),
      PL_BENCH_TEST(what_is_no_temperature_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
