// SPDX-License-Identifier: GPL-3.0-or-later
// Tolerances of figures: which values move together, where figures bend or are not there, and
// how they are told. tests/outside/tolerance_test.c has the numbers.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/report.h"
#include "unit/figures_setup.h"

static const struct pl_figure_tolerance *told(struct pl_figures *figures, enum pl_figure figure,
                                              enum pl_place place) {
  return pl_tolerance_of(pl_tolerances_new(figures, &figure, 1), figure, place);
}

/// The tolerance of front-left.preload-force over the spring's rate: that of the preload, in
/// mm.
static double of_preload(struct bench *bench, const char *before, const char *preload) {
  struct pl_figures *const f =
      figures_of(bench, pl_format(bench->arena,
                                  "%s\nsetup \"a\" { all { spring = 0.5 N/mm; preload = %s } }",
                                  before, preload));
  return told(f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT)->half_width / 500 * 1e3;
}

#define WITH_BENCH(name)                                                                       \
  static void name##_work(struct bench *bench);                                                \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }                                                                                            \
  static void name##_work(struct bench *bench)

// ---------------------------------------------------------------- expressions

WITH_BENCH(expressions) {
  assert_within(of_preload(bench, "", "3 mm"), 0, 0);
  assert_near(of_preload(bench, "", "3 mm +- 0.2 mm"), 0.2, 1e-9);
  assert_near(of_preload(bench, "", "3 mm \u00b1 0.2 mm"), 0.2, 1e-9);
  assert_near(of_preload(bench, "let a = 2 mm +- 0.1 mm", "a + 1 mm"), 0.1, 1e-9);
  assert_near(of_preload(bench, "let a = 2 mm +- 0.1 mm", "3 * a - 1 mm"), 0.3, 1e-9);
  assert_near(of_preload(bench, "let a = 2 mm +- 0.1 mm", "a ^ 2 / (1 mm)"), 0.4, 1e-9);
  assert_near(of_preload(bench, "let a = 2 +- 0.1", "4 mm / a"), 0.1, 5e-5);
  assert_near(of_preload(bench, "let a = 30 deg +- 1 deg", "4 mm * sin(a)"),
              4 * 0.8660254037844386 * 0.017453292519943295, 1e-4);
  assert_near(of_preload(bench, "let a = 4 mm^2 +- 0.4 mm^2", "sqrt(a)"), 0.1, 1e-3);
  // The same value twice is no two values.
  assert_within(of_preload(bench, "let a = 2 mm +- 0.1 mm", "3 mm + a - a"), 0, 1e-12);
  assert_near(of_preload(bench, "let a = 2 mm +- 0.1 mm", "a + a"), 0.2, 1e-9);
  // Two that are written apart are, also where one is made of the other.
  assert_near(of_preload(bench, "let a = 2 mm +- 0.3 mm", "a +- 0.4 mm"), 0.5, 1e-9);
  assert_near(of_preload(bench, "let a = 2 mm +- 0.3 mm\nlet b = 2 mm +- 0.4 mm", "a + b"), 0.5,
              1e-9);
}

WITH_BENCH(changes_of_a_base) {
  struct pl_figures *const f = figures_in(
      program_of(bench,
                 "setup \"base\" { all { spring = 0.5 N/mm; preload = 3 mm +- 0.3 mm } }\n"
                 "setup \"own\" from \"base\" { front { preload += 1 mm +- 0.4 mm }\n"
                 "  rear { preload *= 2 +- 0.1 } }"),
      "own", NULL);
  assert_near(told(f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT)->half_width, 0.5 * 0.5, 1e-9);
  assert_near(told(f, PL_FIGURE_PRELOAD_FORCE, PL_REAR_LEFT)->half_width,
              0.5 * hypot(2 * 0.3, 3 * 0.1), 1e-9);
}

// ---------------------------------------------------------------- what moves together

/// The values behind preload-force left and right: do they share the first?
static bool share_first(struct bench *bench, const char *text) {
  struct pl_figures *const f = figures_of(bench, text);
  const struct pl_tolerances *const all = pl_tolerances_new(f, NULL, 0);
  const struct pl_figure_tolerance *const left =
      pl_tolerance_of(all, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT);
  const struct pl_figure_tolerance *const right =
      pl_tolerance_of(all, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_RIGHT);
  assert_int_equal(left->count, 1);
  assert_int_equal(right->count, 1);
  assert_near(left->half_width, right->half_width, 1e-12);
  return left->parts[0].value == right->parts[0].value;
}

WITH_BENCH(parts_are_alike) {
  assert_true(share_first(bench, "spring \"s\" { rate = 0.5 N/mm +- 0.02 N/mm }\n"
                                 "setup \"a\" { all { spring = \"s\"; preload = 3 mm } }"));
  assert_true(share_first(
      bench, "setup \"a\" { all { spring = 0.5 N/mm +- 0.02 N/mm; preload = 3 mm } }"));
  assert_true(share_first(bench, "let a = 3 mm +- 0.1 mm\n"
                                 "setup \"a\" { all { spring = 0.5 N/mm; preload = a } }"));
}

WITH_BENCH(hands_are_not) {
  assert_false(share_first(
      bench, "setup \"a\" { all { spring = 0.5 N/mm; preload = 3 mm +- 0.1 mm } }"));
  assert_false(share_first(bench, "setup \"a\" { all { spring = 0.5 N/mm }\n"
                                  "  front { preload = 3 mm +- 0.1 mm } }"));
  // What is taken from another corner is that corner's.
  assert_true(share_first(bench, "setup \"a\" { all { spring = 0.5 N/mm }\n"
                                 "  front-left { preload = 3 mm +- 0.1 mm }\n"
                                 "  front-right { preload = front-left.preload } }"));
}

/// The half-width of oil-viscosity, front left, in cSt.
static double of_oil(struct bench *bench, const char *before, const char *oil) {
  struct pl_figures *const f = figures_of(
      bench, pl_format(bench->arena, "%s\nsetup \"a\" { all { oil = %s } }", before, oil));
  return told(f, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT)->half_width * 1e6;
}

WITH_BENCH(oils) {
  const char *const scale = "oil-scale \"s\" { 30 wt = 350 cSt +- 30 cSt; 40 wt = 500 cSt }";
  assert_near(of_oil(bench, "", "350 cSt +- 10 cSt"), 10, 1e-9);
  assert_near(of_oil(bench, "", "350 cSt at 25 degC +- 10 cSt"), 10, 1e-9);
  assert_near(of_oil(bench, "", "(350 cSt +- 10 cSt) at 25 degC"), 10, 1e-9);
  assert_near(of_oil(bench, scale, "30 wt"), 30, 1e-9);
  assert_near(of_oil(bench, scale, "35 wt"), 15,
              1e-9); // half of the one row, half of the other
  // log nu of a blend is the mean of both: half of each relative tolerance.
  const double mixed = of_oil(bench, "", "blend((400 cSt +- 40 cSt) 50 %, 400 cSt 50 %)");
  assert_near(mixed, 20, 2e-3);
}

WITH_BENCH(holes_by_hand) {
  struct pl_figures *const f = figures_of(
      bench, "setup \"a\" { all { axle-type = beam; tyre-radius = 42 mm; ride-height = 21 mm\n"
             "  wheel-centre = (110 mm, 21 mm); shock-top = (60 mm, 98 mm +- 0.2 mm)\n"
             "  shock-bottom = (60 mm, 12 mm) } }");
  const struct pl_figure_tolerance *const length =
      told(f, PL_FIGURE_SHOCK_LENGTH, PL_FRONT_LEFT);
  assert_near(length->half_width, 0.2e-3, 1e-6); // the shock stands upright
  assert_int_equal(length->parts[0].value->place, PL_FRONT_LEFT);
}

WITH_BENCH(ports_of_a_set) {
  const char *const rest =
      "thickness = 2.4 mm }\n"
      "damper \"d\" { bore = 13 mm; shaft = 3.5 mm }\n"
      "setup \"a\" { all { damper = \"d\"; oil = 350 cSt; piston = \"p\" } }";
  const enum pl_figure in = PL_FIGURE_DAMPING_SLOW_COMPRESSION;
  struct pl_figures *const together = figures_of(
      bench, pl_format(bench->arena,
                       "piston \"p\" { ports = 1 x 1.6 mm + 1 x 1.6 mm +- 0.02 mm; %s", rest));
  struct pl_figures *const apart = figures_of(
      bench,
      pl_format(bench->arena,
                "piston \"p\" { ports = (1 x 1.6 mm +- 0.02 mm) + (1 x 1.6 mm +- 0.02 mm)\n"
                "%s",
                rest));
  const struct pl_figure_tolerance *const one = told(together, in, PL_FRONT_LEFT);
  const struct pl_figure_tolerance *const two = told(apart, in, PL_FRONT_LEFT);
  assert_int_equal(one->count, 1);
  assert_int_equal(two->count, 2);
  assert_near(one->half_width, two->half_width * sqrt(2), 1e-3);
  assert_near(two->worst, one->worst, 1e-3);
}

// ---------------------------------------------------------------- where there is no one slope

WITH_BENCH(bends) {
  struct pl_figures *const f =
      figures_of(bench, "let a = 3 mm +- 0.1 mm\n"
                        "setup \"a\" { all { spring = 0.5 N/mm; preload = max(a, 3 mm) } }");
  const struct pl_figure_tolerance *const tolerance =
      told(f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT);
  assert_near(tolerance->half_width, 0.05, 1e-9);
  assert_true(tolerance->parts[0].bends);
}

// A smooth curve at its lowest point has no slope there, and no corner.
WITH_BENCH(lowest_point) {
  struct pl_figures *const f = figures_of(
      bench, "let a = 0 mm +- 1 mm\n"
             "setup \"a\" { all { spring = 0.5 N/mm; preload = 3 mm + a * a / (1 mm) } }");
  assert_within(told(f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT)->half_width, 0, 1e-12);
}

WITH_BENCH(not_always_there) {
  struct pl_figures *const f = figures_of(
      bench, "setup \"a\" { pinion = 24 +- 1; spur = 87; internal-ratio = 2.6 +- 0.1 }");
  const struct pl_figure_tolerance *const tolerance = told(f, PL_FIGURE_FINAL_DRIVE, PL_CAR);
  assert_true(tolerance->untold);
  assert_within(tolerance->half_width, 0, 0);
  const struct pl_text_style style = {.width = 80, .system = PL_METRIC};
  assert_non_null(
      strstr(pl_explain_figure(bench->arena, f, PL_FIGURE_FINAL_DRIVE, PL_CAR, &style),
             "cannot be told"));
}

// ---------------------------------------------------------------- the program as it was

WITH_BENCH(nothing_is_left_behind) {
  struct pl_figures *const f = figures_of(
      bench, "let a = 3 mm +- 0.1 mm\nspring \"s\" { rate = 0.5 N/mm +- 0.02 N/mm }\n"
             "setup \"a\" { all { spring = \"s\"; preload = a; camber = 40 deg +- 1 deg } }");
  const struct pl_setup *const setup = pl_figures_setup(f);
  const struct pl_program *const program = pl_setup_program(setup);
  pl_setup_check(setup);
  const size_t problems = pl_program_problems(program)->count;
  assert_int_equal(problems, 1); // of the camber, which no wheel has
  assert_non_null(pl_tolerances_new(f, NULL, 0));
  assert_int_equal(pl_program_problems(program)->count, problems);
  assert_near(pl_setup_number(setup, PL_SETTING_PRELOAD, PL_REAR_LEFT), 3e-3, 0);
  assert_near(value_at(f, PL_FIGURE_PRELOAD_FORCE, PL_REAR_LEFT), 1.5, 1e-12);
  assert_near(value_at(pl_figures_new(setup, NULL), PL_FIGURE_PRELOAD_FORCE, PL_REAR_LEFT), 1.5,
              1e-12);
}

WITH_BENCH(nothing_uncertain) {
  struct pl_figures *const f =
      figures_of(bench, "let unused = 3 mm +- 0.1 mm\n"
                        "setup \"a\" { all { spring = 0.5 N/mm; preload = 3 mm +- 0 mm } }");
  assert_null(pl_tolerances_new(f, NULL, 0));
  assert_within(pl_tolerance_of(NULL, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT)->half_width, 0,
                0);
}

/// `count` uncertain values behind preload-force.
static const struct pl_tolerances *tolerances_of(struct bench *bench, size_t count) {
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&text, "let a%zu = 0.01 mm +- 0.001 mm\n", i);
  pl_buffer_text(&text, "setup \"a\" { all { spring = 0.5 N/mm }");
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&text, "%sa%zu",
                     i == 0     ? " front { preload = "
                     : i == 128 ? " }\n rear { preload = "
                                : " + ",
                     i);
  pl_buffer_text(&text, " } }\n");
  const enum pl_figure figure = PL_FIGURE_PRELOAD_FORCE;
  struct pl_figures *const f = figures_of(bench, pl_buffer_string(&text));
  const struct pl_tolerances *const tolerances = pl_tolerances_new(f, &figure, 1);
  assert_int_equal(problems_with(f, "too-many-tolerances"), count > PL_MOST_UNCERTAIN);
  // Who asks again is not told again.
  (void)pl_tolerances_new(f, &figure, 1);
  assert_int_equal(problems_with(f, "too-many-tolerances"), count > PL_MOST_UNCERTAIN);
  return tolerances;
}

WITH_BENCH(most) {
  const struct pl_tolerances *const all = tolerances_of(bench, PL_MOST_UNCERTAIN);
  assert_near(pl_tolerance_of(all, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT)->half_width,
              0.0005 * sqrt(128), 1e-9);
  assert_non_null(tolerances_of(bench, PL_MOST_UNCERTAIN - 1));
  assert_null(tolerances_of(bench, PL_MOST_UNCERTAIN + 1));
}

// ---------------------------------------------------------------- how it is told

#define TOLD                                                                                   \
  "let shim = 2 mm +- 0.1 mm\n"                                                                \
  "setup \"a\" { all { spring = 0.62 N/mm +- 0.03 N/mm; preload = shim + 1 mm +- 0.2 mm } }\n"

WITH_BENCH(as_text) {
  const enum pl_figure wanted[] = {PL_FIGURE_SPRING_RATE, PL_FIGURE_PRELOAD_FORCE};
  const struct pl_figure_choice choice = {wanted, 2};
  const struct pl_text_style style = {.width = 80, .system = PL_METRIC};
  struct pl_figures *const f = figures_of(bench, TOLD);
  assert_string_equal(pl_figures_text(bench->arena, f, &choice, &style),
                      "a\n\n"
                      "Figures          front                           rear\n"
                      "  Spring rate    0.620 ± 0.030 N/mm              0.620 ± 0.030 N/mm\n"
                      "  Preload force  1.86 ± 0.17 N                   1.86 ± 0.17 N\n");
  const char *const csv = pl_figures_csv(bench->arena, f, &choice);
  assert_non_null(strstr(csv, "figure,front-left,\"spring-rate\",0.62,N/mm\r\n"
                              "tolerance,front-left,\"spring-rate\",0.03"));
  const char *const json = pl_figures_json(
      bench->arena, f, &choice, pl_program_problems(pl_setup_program(pl_figures_setup(f))));
  assert_non_null(strstr(json, "\"tolerance\": 0.0"));
}

WITH_BENCH(explained) {
  const struct pl_text_style style = {.width = 110, .system = PL_METRIC};
  struct pl_figures *const f = figures_of(bench, TOLD);
  const char *const text =
      pl_explain_figure(bench->arena, f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT, &style);
  assert_non_null(strstr(
      text,
      "  tolerance  ± 0.17 N; ± 0.28 N with all values at their limits at once\n"
      "             ± 0.12 N, 56 % of the square, by `shim + 1 mm +- 0.2 mm` at test.leaf:2, of "
      "front-left by itself\n"
      "             ± 0.09 N, 30 % of the square, by `0.62 N/mm +- 0.03 N/mm` at test.leaf:2, one "
      "value wherever it\n             is used\n"
      "             ± 0.06 N, 14 % of the square, by `2 mm +- 0.1 mm` at test.leaf:1, one value "
      "wherever it is used\n"));
}

// Of what hardly counts only the number is told.
WITH_BENCH(explained_briefly) {
  const struct pl_text_style style = {.width = 110, .system = PL_METRIC};
  struct pl_figures *const f = figures_of(
      bench,
      "setup \"a\" { all { spring = 0.62 N/mm +- 0.0001 N/mm; preload = 3 mm +- 0.2 mm } }");
  const char *const text =
      pl_explain_figure(bench->arena, f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT, &style);
  assert_non_null(strstr(text, "± 0.12 N, 100 % of the square, by `3 mm +- 0.2 mm`"));
  assert_non_null(strstr(text, "             less than 1 % of the square by 1 more\n"));
}

// What is nothing in the figure's digits is left out beside it, and told when it is asked for.
WITH_BENCH(small) {
  struct pl_figures *const f = figures_of(
      bench, "setup \"a\" { all { spring = 0.62 N/mm +- 0.0001 N/mm; preload = 3 mm } }");
  const struct pl_text_style style = {.width = 80, .system = PL_METRIC};
  const char *const text =
      pl_explain_figure(bench->arena, f, PL_FIGURE_SPRING_RATE, PL_FRONT_LEFT, &style);
  assert_non_null(strstr(text, "spring-rate = 0.620 N/mm\n"));
  assert_non_null(strstr(text, "  tolerance  ± 0.0001 N/mm\n"));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(expressions),
      cmocka_unit_test(changes_of_a_base),
      cmocka_unit_test(parts_are_alike),
      cmocka_unit_test(hands_are_not),
      cmocka_unit_test(oils),
      cmocka_unit_test(holes_by_hand),
      cmocka_unit_test(ports_of_a_set),
      cmocka_unit_test(bends),
      cmocka_unit_test(lowest_point),
      cmocka_unit_test(not_always_there),
      cmocka_unit_test(nothing_is_left_behind),
      cmocka_unit_test(nothing_uncertain),
      cmocka_unit_test(most),
      cmocka_unit_test(as_text),
      cmocka_unit_test(explained),
      cmocka_unit_test(explained_briefly),
      cmocka_unit_test(small),
  };
  return cmocka_run_group_tests_name("tolerances", tests, NULL, NULL);
}
