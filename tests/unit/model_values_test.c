// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what settings may be: parts by name and on the spot, blends, oil weights, holes,
// points, ballast, extras, tolerances, and the table's fallbacks.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "support.h"

#include <string.h>

/// The one viscosity of the oil at a corner, in mm^2/s.
static double viscosity_at(const struct pl_setup *setup, enum pl_place place) {
  const struct pl_part *const oil = pl_setup_part(setup, PL_SETTING_OIL, place);
  if (oil == NULL) return NAN;
  const struct pl_value *const value = &pl_part_get(oil, PL_SETTING_VISCOSITY)->value;
  return value->kind == PL_VALUE_VISCOSITY ? value->many.viscosity[0].viscosity * 1e6 : NAN;
}

static double part_number(const struct pl_part *part, enum pl_setting setting) {
  const struct pl_resolved *const resolved = pl_part_get(part, setting);
  return resolved->value.kind == PL_VALUE_NUMBER ? resolved->value.number : NAN;
}

// ---------------------------------------------------------------- parts

static void part_by_name(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "spring \"F 0.62\" { rate = 0.62 N/mm; free-length = 40 mm }\n"
                            "setup \"A\" { front { spring = \"F 0.62\" } }\n");
  assert_problems(bench, "");
  const struct pl_part *const spring = pl_setup_part(setup, PL_SETTING_SPRING, PL_FRONT_LEFT);
  assert_non_null(spring);
  assert_true(spring->named);
  assert_string_equal(spring->name, "F 0.62");
  assert_near(part_number(spring, PL_SETTING_RATE), 620, 1e-12);
  assert_nan(part_number(spring, PL_SETTING_WIRE));
  assert_ptr_equal(spring, pl_setup_part(setup, PL_SETTING_SPRING, PL_FRONT_RIGHT));
  assert_null(pl_setup_part(setup, PL_SETTING_SPRING, PL_REAR_LEFT));
}

/// What stands in place of a part without a name.
static void parts_on_the_spot(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"A\" {\n"
                            "  spring = 0.62 N/mm\n"
                            "  oil = 350 cSt\n"
                            "  rear { oil = [350 cSt at 25 degC, 140 cSt at 75 degC] }\n"
                            "  piston = 2 x 1.6 mm + 3 x 1.2 mm\n"
                            "}\n");
  assert_problems(bench, "");
  const struct pl_part *const spring = pl_setup_part(setup, PL_SETTING_SPRING, PL_FRONT_LEFT);
  assert_false(spring->named);
  assert_near(part_number(spring, PL_SETTING_RATE), 620, 1e-12);
  const struct pl_part *const oil = pl_setup_part(setup, PL_SETTING_OIL, PL_FRONT_LEFT);
  const struct pl_value *const one = &pl_part_get(oil, PL_SETTING_VISCOSITY)->value;
  assert_int_equal(one->count, 1);
  assert_near(one->many.viscosity[0].viscosity, 350e-6, 1e-12);
  assert_near(one->many.viscosity[0].temperature, 298.15, 1e-12); // 25 degC where none is given
  const struct pl_part *const two = pl_setup_part(setup, PL_SETTING_OIL, PL_REAR_LEFT);
  assert_int_equal(pl_part_get(two, PL_SETTING_VISCOSITY)->value.count, 2);
  const struct pl_part *const piston = pl_setup_part(setup, PL_SETTING_PISTON, PL_REAR_LEFT);
  assert_int_equal(pl_part_get(piston, PL_SETTING_PORTS)->value.count, 2);
}

/// Viscosities stand by temperature, however they are written.
static void viscosities_are_sorted(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "oil \"clear\" { viscosity = [140 cSt at 75 degC, 350 cSt] }\n"
                            "setup \"A\" { oil = \"clear\" }\n");
  assert_problems(bench, "");
  const struct pl_part *const oil = pl_setup_part(setup, PL_SETTING_OIL, PL_REAR_LEFT);
  const struct pl_value *const value = &pl_part_get(oil, PL_SETTING_VISCOSITY)->value;
  assert_near(value->many.viscosity[0].temperature, 298.15, 1e-12);
  assert_near(value->many.viscosity[0].viscosity, 350e-6, 1e-12);
  assert_near(value->many.viscosity[1].viscosity, 140e-6, 1e-12);
}

/// A block from another: what follows replaces, what does not stays, and each line is
/// remembered.
static void part_from_another(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "damper \"long\" from \"short\" { stroke = 30 mm; extended-length += 6 mm\n"
             "  seal { rings = 1 } }\n"
             "damper \"short\" { bore = 13 mm; shaft = 3.5 mm; stroke = 24 mm\n"
             "  extended-length = 90 mm; seal { rings = 2; ring-inside = 3.1 mm } }\n"
             "setup \"A\" { damper = \"long\" }\n");
  assert_problems(bench, "");
  const struct pl_part *const damper = pl_setup_part(setup, PL_SETTING_DAMPER, PL_FRONT_LEFT);
  assert_near(part_number(damper, PL_SETTING_BORE), 0.013, 1e-12);
  assert_near(part_number(damper, PL_SETTING_STROKE), 0.03, 1e-12);
  assert_near(part_number(damper, PL_SETTING_EXTENDED_LENGTH), 0.096, 1e-12);
  assert_near(part_number(damper, PL_SETTING_SEAL_RINGS), 1.0, 1e-12);
  assert_near(part_number(damper, PL_SETTING_SEAL_RING_INSIDE), 0.0031, 1e-12);
  const struct pl_resolved *const length = pl_part_get(damper, PL_SETTING_EXTENDED_LENGTH);
  assert_int_equal(length->touch_count, 2);
  assert_string_equal(length->touches[0].layer, "short");
  assert_string_equal(length->touches[1].layer, "long");
  assert_int_equal(length->touches[1].action, PL_SET_PLUS);
}

/// A damper's opposed spring is a part of a part.
static void part_of_a_part(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "spring \"inner\" { rate = 0.1 N/mm }\n"
                            "damper \"D\" { bore = 13 mm; opposed-spring = \"inner\" }\n"
                            "setup \"A\" { damper = \"D\" }\n");
  assert_problems(bench, "");
  const struct pl_part *const damper = pl_setup_part(setup, PL_SETTING_DAMPER, PL_FRONT_LEFT);
  const struct pl_value *const inner = &pl_part_get(damper, PL_SETTING_OPPOSED_SPRING)->value;
  assert_int_equal(inner->kind, PL_VALUE_PART);
  assert_near(part_number(inner->part, PL_SETTING_RATE), 100, 1e-12);
}

// ---------------------------------------------------------------- oils

static void blends(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "let share = 25 %\noil \"clear 300\" { viscosity = 300 cSt }\n"
                            "oil \"clear 500\" { viscosity = 500 cSt }\n"
                            "let mixed = blend(\"clear 300\" share, \"clear 500\" 75 %)\n"
                            "setup \"A\" {\n"
                            "  front { oil = blend(\"clear 300\" 60 %, 400 cSt 0.4) }\n"
                            "  rear { oil = blend(mixed 80 %, \"clear 300\" 20 %) }\n}\n");
  assert_problems(bench, "");
  const struct pl_part *const blend = pl_setup_part(setup, PL_SETTING_OIL, PL_FRONT_LEFT);
  assert_int_equal(blend->share_count, 2);
  assert_near(blend->shares[0].share, 0.6, 1e-12);
  assert_string_equal(blend->shares[0].part->name, "clear 300");
  assert_near(blend->shares[1].share, 0.4, 1e-12);
  assert_string_equal(blend->shares[1].part->name, "400 cSt");
  assert_string_equal(blend->name, "60 % clear 300 + 40 % 400 cSt");
  // A blend of blends is one of their oils: 80 % of 25 % and 20 % make 40 %.
  const struct pl_part *const again = pl_setup_part(setup, PL_SETTING_OIL, PL_REAR_LEFT);
  assert_int_equal(again->share_count, 2);
  assert_string_equal(again->name, "40 % clear 300 + 60 % clear 500");
  assert_near(again->shares[0].share, 0.4, 1e-12);
}

static void stacked_springs(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "spring \"F 0.62\" { rate = 0.62 N/mm }\n"
                            "setup \"A\" { spring = [\"F 0.62\", 0.3 N/mm] }\n");
  assert_problems(bench, "");
  const struct pl_part *const stack = pl_setup_part(setup, PL_SETTING_SPRING, PL_FRONT_LEFT);
  assert_int_equal(stack->share_count, 2);
  assert_near(part_number(stack->shares[0].part, PL_SETTING_RATE), 620, 1e-12);
  assert_near(part_number(stack->shares[1].part, PL_SETTING_RATE), 300, 1e-12);
}

static const char scales[] =
    "oil-scale \"house\" { 30 wt = 350 cSt; 40 wt = 500 cSt; 20 wt = 200 cSt }\n"
    "oil-scale \"club\" { 30 wt = 300 cSt; 40 wt = 400 cSt }\n";

/// Between the rows linear, on a row the row, and the rows need not stand in order.
static void weights_by_the_only_scale(struct pl_bench *bench) {
  static const struct {
    const char *weight;
    double viscosity;
  } cases[] = {
      {"30 wt", 350}, {"35 wt", 425}, {"40 wt", 500}, {"20 wt", 200}, {"22.5 wt", 237.5}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_setup *const setup = pl_bench_setup(
        bench,
        pl_format(bench->arena,
                  "oil-scale \"house\" { 30 wt = 350 cSt; 40 wt = 500 cSt; 20 wt = 200 cSt }\n"
                  "setup \"A\" { oil = %s }\n",
                  cases[i].weight));
    assert_problems(bench, "");
    assert_near(viscosity_at(setup, PL_REAR_RIGHT), cases[i].viscosity, 1e-12);
  }
}

static void weights_by_the_chosen_scale(struct pl_bench *bench) {
  const struct pl_setup *setup = pl_bench_setup(
      bench,
      pl_format(bench->arena, "%ssetup \"A\" { oil = 35 wt; oil-scale = \"club\" }\n", scales));
  assert_problems(bench, "");
  assert_near(viscosity_at(setup, PL_FRONT_LEFT), 350, 1e-12);
  setup = pl_bench_setup(bench,
                         pl_format(bench->arena,
                                   "%soil \"clear\" { viscosity = 35 wt }\n"
                                   "setup \"A\" { oil = \"clear\"; oil-scale = \"house\" }\n",
                                   scales));
  assert_problems(bench, ""); // a declared oil's weight is read by the setup's scale, too
  assert_near(viscosity_at(setup, PL_FRONT_LEFT), 425, 1e-12);
  (void)pl_bench_setup(bench,
                       pl_format(bench->arena, "%ssetup \"A\" { oil = 35 wt }\n", scales));
  assert_problems(bench, "weight-without-scale");
  (void)pl_bench_setup(bench, "setup \"A\" { oil = 35 wt }\n");
  assert_problems(bench, "weight-without-scale");
}

static void scale_from_another(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench,
      pl_format(
          bench->arena,
          "%soil-scale \"mine\" from \"house\" { 30 wt = 360 cSt }\n"
          "setup \"A\" { oil-scale = \"mine\"; front { oil = 30 wt }; rear { oil = 40 wt } }\n",
          scales));
  assert_problems(bench, "");
  assert_near(viscosity_at(setup, PL_FRONT_LEFT), 360, 1e-12);
  assert_near(viscosity_at(setup, PL_REAR_LEFT), 500, 1e-12);
}

// ---------------------------------------------------------------- points and holes

static const char car_with_holes[] =
    "car \"C\" { front { shock-top { 1 = (31 mm, 58 mm); 2 = (5 mm, 34 mm, 60 mm) }\n"
    "                  link-inner { 7 = (20 mm, 30 mm) } } }\n";

static void assert_point(const struct pl_setup *setup, enum pl_setting setting,
                         enum pl_place place, double x, double y, double z) {
  double got[3] = {NAN, NAN, NAN};
  assert_true(pl_setup_point(setup, setting, place, &got[0], &got[1], &got[2]));
  assert_within(got[0], x, 1e-12);
  assert_near(got[1], y, 1e-12);
  assert_near(got[2], z, 1e-12);
}

static void holes_by_number(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench,
      pl_format(bench->arena, "%ssetup \"A\" { car = \"C\"; front-left { shock-top = 2 } }\n",
                car_with_holes));
  assert_problems(bench, "");
  assert_point(setup, PL_SETTING_SHOCK_TOP, PL_FRONT_LEFT, 0.005, 0.034, 0.060);
  double x, y, z;
  // Of two holes one has to be named; of a single one it is that.
  assert_false(pl_setup_point(setup, PL_SETTING_SHOCK_TOP, PL_FRONT_RIGHT, &x, &y, &z));
  assert_point(setup, PL_SETTING_LINK_INNER, PL_FRONT_RIGHT, 0, 0.020, 0.030);
  assert_false(pl_setup_point(setup, PL_SETTING_LINK_INNER, PL_REAR_RIGHT, &x, &y, &z));
}

static void holes_by_point(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, pl_format(bench->arena,
                                      "%ssetup \"A\" { car = \"C\"; front { shock-top = 1 }\n"
                                      "  front-right { shock-top = (33 mm, 59 mm) }\n"
                                      "  rear { shock-top = (40 mm, 70 mm) } }\n",
                                      car_with_holes));
  assert_problems(bench, "");
  assert_point(setup, PL_SETTING_SHOCK_TOP, PL_FRONT_LEFT, 0, 0.031, 0.058);
  assert_point(setup, PL_SETTING_SHOCK_TOP, PL_FRONT_RIGHT, 0, 0.033, 0.059);
  assert_point(setup, PL_SETTING_SHOCK_TOP, PL_REAR_LEFT, 0, 0.040, 0.070);
}

// ---------------------------------------------------------------- texts

/// `track` followed by a text is the venue; by a length, the car's.
static void track_is_two_things(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { track = \"Sluice Lane\"; front { track = 240 mm } }\n");
  assert_problems(bench, "");
  const struct pl_resolved *const venue = pl_setup_get(setup, PL_SETTING_TRACK_NAME, PL_CAR);
  assert_string_equal(venue->value.text, "Sluice Lane");
  assert_near(pl_setup_number(setup, PL_SETTING_TRACK, PL_FRONT), 0.24, 1e-12);
  assert_nan(pl_setup_number(setup, PL_SETTING_TRACK, PL_REAR));
}

/// Numbers may stand for a text as they are written; a `let` may hold one.
static void texts(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "let shell = \"low\"\nsetup \"A\" { scale = 1/10; entry = 007; body = shell\n"
             "  event = 2026-06-14; units = \"metric\" }\n");
  assert_problems(bench, "");
  assert_string_equal(pl_setup_get(setup, PL_SETTING_SCALE, PL_CAR)->value.text, "1/10");
  assert_string_equal(pl_setup_get(setup, PL_SETTING_ENTRY, PL_CAR)->value.text, "007");
  assert_string_equal(pl_setup_get(setup, PL_SETTING_BODY, PL_CAR)->value.text, "low");
  assert_string_equal(pl_setup_get(setup, PL_SETTING_EVENT, PL_CAR)->value.text, "2026-06-14");
  assert_string_equal(pl_setup_get(setup, PL_SETTING_UNITS, PL_CAR)->value.text, "metric");
}

static const char *text_of(struct pl_bench *bench, const char *value) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, pl_format(bench->arena, "setup \"A\" { surface = %s }\n", value));
  assert_problems(bench, "");
  return pl_setup_get(setup, PL_SETTING_SURFACE, PL_CAR)->value.text;
}

/// Blanks do not count in what is taken as it is written.
static void texts_without_blanks(struct pl_bench *bench) {
  assert_string_equal(text_of(bench, "21mm"), "21 mm");
  assert_string_equal(text_of(bench, "21  mm"), "21 mm");
  assert_string_equal(text_of(bench, "-  5.50e+1%"), "-5.50e+1 %");
  assert_string_equal(text_of(bench, "5 1/K"), "5 1/K");
  assert_string_equal(text_of(bench, "1 /  10"), "1/10");
  assert_string_equal(text_of(bench, "2+03"), "2 + 03");
  assert_string_equal(text_of(bench, "1 / 10 mm"), "1 / 10 mm");
  assert_string_equal(text_of(bench, "2026-06-14"), "2026-06-14");
  assert_string_equal(text_of(bench, "7 - 2 * 3 deg"), "7 - 2 * 3 deg");
}

// ---------------------------------------------------------------- extras and ballast

static void extras(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { extra { \"Wing shim\" = \"2 mm\"; \"Fan\" = 30 mm }\n"
             "  front { extra { \"Arm\" = \"hard\" } } }\n"
             "setup \"B\" from \"A\" { extra { \"Wing shim\" = \"3 mm\" }\n"
             "  front-left { extra { \"Arm\" = \"soft\" } } }\n");
  assert_problems(bench, "");
  size_t count = 0;
  const struct pl_extra *const extra = pl_setup_extras(setup, &count);
  assert_int_equal(count, 3);
  assert_string_equal(extra[0].name, "Wing shim");
  assert_string_equal(extra[0].at[PL_CAR].value.text, "3 mm");
  assert_int_equal(extra[0].at[PL_CAR].touch_count, 2);
  assert_string_equal(extra[0].at[PL_CAR].touches[0].layer, "A");
  assert_false(extra[0].at[PL_FRONT_LEFT].given);
  assert_string_equal(extra[1].name, "Fan");
  assert_string_equal(extra[1].at[PL_CAR].value.text, "30 mm");
  assert_string_equal(extra[2].name, "Arm");
  assert_string_equal(extra[2].at[PL_FRONT_LEFT].value.text, "soft");
  assert_string_equal(extra[2].at[PL_FRONT_RIGHT].value.text, "hard");
  assert_false(extra[2].at[PL_REAR_LEFT].given);
}

static void ballast_is_changed(struct pl_bench *bench) {
  struct pl_program *const program = pl_bench_program(
      bench, "car \"C\" { ballast \"nose\" { mass = 20 g; at = (120 mm, 0 mm, 10 mm) } }\n"
             "setup \"B\" { car = \"C\"; ballast \"nose\" { mass += 5 g } }\n"
             "setup \"S\" from \"B\" { ballast \"nose\" { mass *= 2 }\n"
             "  ballast \"tail\" { mass = 9 g; mass -= 2 g } }\n");
  const struct pl_setup *const setup = pl_program_setup(program, "S");
  size_t count = 0;
  const struct pl_ballast *const piece = pl_setup_ballast(setup, &count);
  assert_int_equal(count, 2);
  assert_near(piece[0].mass.value.number, 0.050, 1e-12);
  assert_int_equal(piece[0].mass.touch_count, 3);
  assert_int_equal(piece[0].mass.touches[2].action, PL_SET_TIMES);
  assert_near(piece[1].mass.value.number, 0.007, 1e-12);
  assert_problems(bench, "");
}

static void ballast(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench,
      "car \"C\" { ballast \"nose\" { mass = 20 g; at = (120 mm, 0 mm, 10 mm) } }\n"
      "setup \"A\" { car = \"C\"; ballast \"nose\" { mass = 35 g }; ballast \"tail\" { mass = 5 g } }\n");
  assert_problems(bench, "");
  size_t count = 0;
  const struct pl_ballast *const piece = pl_setup_ballast(setup, &count);
  assert_int_equal(count, 2);
  assert_string_equal(piece[0].name, "nose");
  assert_near(piece[0].mass.value.number, 0.035, 1e-12);
  assert_int_equal(piece[0].mass.touch_count, 2);
  assert_near(piece[0].at.value.x, 0.12, 1e-12); // the car's place stays
  assert_string_equal(piece[1].name, "tail");
  assert_false(piece[1].at.given);
}

// ---------------------------------------------------------------- tolerances and fallbacks

/// What a value is made of counts once, with the slope of the expression.
static void tolerances_of_expressions(struct pl_bench *bench) {
  static const struct {
    const char *expression;
    double tolerance;
  } cases[] = {
      {"a", 0.1},
      {"-a", 0.1},
      {"a + a", 0.2},
      {"a - a", 0},
      {"a + b", 0.5 * 0.5},
      {"(a + b) - b", 0.1},
      {"3 * a", 0.3},
      {"a / 4", 0.025},
      {"a * b", 0.5220153254455275}, // hypot(2.5 * 0.1, 2 * 0.229)
      {"a * a / a", 0.1},
      {"1 / a", 0.025},
      {"a ^ 3", 1.2},
      {"2 ^ a", 4 * 0.69314718055994531 * 0.1},
      {"sqrt(a + 2)", 0.025},
      {"abs(-a)", 0.1},
      {"sqrt(c)", 0},
      {"max(a, b)", 0.2291287847477920},
      {"sin(d)", 0.01 * 0.8660254037844386},
      {"cos(d)", 0.01 * 0.5},
      {"tan(d)", 0.01 / 0.75},
      {"a +- 0.2", 0.22360679774997896},
      {"many - many", 0},
  };
  struct pl_buffer text = {.arena = bench->own};
  pl_buffer_text(&text, "let a = 2 +- 0.1\nlet b = 2.5 +- 0.2291287847477920\n"
                        "let c = 0 +- 0.1\nlet d = 30 deg +- 0.57295779513082321 deg\n");
  for (int i = 0; i < 8; i++) pl_buffer_format(&text, "let m%d = 1 +- 0.1\n", i);
  pl_buffer_text(&text, "let many = m0 + m1 + m2 + m3 + m4 + m5 + m6 + m7\n");
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    pl_buffer_format(&text, "let case-%zu = %s\n", i, cases[i].expression);
  struct pl_program *const program = pl_bench_program(bench, pl_buffer_string(&text));
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_node *const node =
        pl_program_let(program, pl_format(bench->own, "case-%zu", i));
    const struct pl_value value = pl_evaluate(program, node, NULL);
    if (fabs(value.tolerance - cases[i].tolerance) > 1e-9)
      fail_msg("%s: %.12g", cases[i].expression, value.tolerance);
  }
  assert_problems(bench, "");
}

/// More than a number keeps apart are taken for values that nothing else shares.
static void many_tolerances(struct pl_bench *bench) {
  struct pl_buffer text = {.arena = bench->own};
  pl_buffer_text(&text, "let m0 = 1 +- 0.1\n");
  for (int i = 1; i < 200; i++)
    pl_buffer_format(&text, "let n%d = 1 +- 0.1\nlet m%d = m%d + n%d\n", i, i, i - 1, i);
  struct pl_program *const program = pl_bench_program(bench, pl_buffer_string(&text));
  const struct pl_value value = pl_evaluate(program, pl_program_let(program, "m199"), NULL);
  assert_near(value.number, 200, 1e-12);
  assert_near(value.tolerance, 0.1 * sqrt(200), 1e-9);
}

static void tolerances_are_kept(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "let drilled = 6 x 1.30 mm +- 0.02 mm\n"
             "piston \"six\" { ports = drilled; thickness = 2.4 mm +- 0.05 mm }\n"
             "setup \"A\" { piston = \"six\"; preload = 3 mm +- 0.25 mm }\n"
             "setup \"B\" from \"A\" { preload += 1 mm }\n");
  assert_problems(bench, "");
  const struct pl_part *const piston = pl_setup_part(setup, PL_SETTING_PISTON, PL_FRONT_LEFT);
  assert_near(pl_part_get(piston, PL_SETTING_PORTS)->value.many.ports[0].tolerance, 2e-5,
              1e-12);
  assert_near(pl_part_get(piston, PL_SETTING_THICKNESS)->value.tolerance, 5e-5, 1e-12);
  const struct pl_resolved *const preload =
      pl_setup_get(setup, PL_SETTING_PRELOAD, PL_REAR_LEFT);
  assert_near(preload->value.number, 4e-3, 1e-12);
  assert_near(preload->value.tolerance, 0.25e-3, 1e-12);
}

static void fallbacks_are_assumed(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "oil \"clear\" { viscosity = 300 cSt }\n"
             "setup \"A\" { oil = \"clear\"; front { piston-thickness = 3 mm } }\n");
  assert_problems(bench, "");
  const struct pl_resolved *const front =
      pl_setup_get(setup, PL_SETTING_PISTON_THICKNESS, PL_FRONT_LEFT);
  assert_true(front->given);
  assert_false(front->assumed);
  const struct pl_resolved *const rear =
      pl_setup_get(setup, PL_SETTING_PISTON_THICKNESS, PL_REAR_LEFT);
  assert_true(rear->assumed);
  assert_near(rear->value.number, 2.4e-3, 1e-12); // the table's row
  const struct pl_part *const oil = pl_setup_part(setup, PL_SETTING_OIL, PL_FRONT_LEFT);
  assert_true(pl_part_get(oil, PL_SETTING_DENSITY)->assumed);
  assert_near(part_number(oil, PL_SETTING_DENSITY), 970, 1e-12);
  const struct pl_resolved *const motor = pl_setup_get(setup, PL_SETTING_MOTOR, PL_CAR);
  assert_false(motor->given || motor->assumed);
  assert_int_equal(motor->value.kind, PL_VALUE_NONE);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(part_by_name),
      PL_BENCH_TEST(parts_on_the_spot),
      PL_BENCH_TEST(viscosities_are_sorted),
      PL_BENCH_TEST(part_from_another),
      PL_BENCH_TEST(part_of_a_part),
      PL_BENCH_TEST(blends),
      PL_BENCH_TEST(stacked_springs),
      PL_BENCH_TEST(weights_by_the_only_scale),
      PL_BENCH_TEST(weights_by_the_chosen_scale),
      PL_BENCH_TEST(scale_from_another),
      PL_BENCH_TEST(holes_by_number),
      PL_BENCH_TEST(holes_by_point),
      PL_BENCH_TEST(track_is_two_things),
      PL_BENCH_TEST(texts),
      PL_BENCH_TEST(texts_without_blanks),
      PL_BENCH_TEST(extras),
      PL_BENCH_TEST(ballast),
      PL_BENCH_TEST(ballast_is_changed),
      PL_BENCH_TEST(tolerances_are_kept),
      PL_BENCH_TEST(tolerances_of_expressions),
      PL_BENCH_TEST(many_tolerances),
      PL_BENCH_TEST(fallbacks_are_assumed),
  };
  return cmocka_run_group_tests_name("model, values", tests, NULL, NULL);
}
