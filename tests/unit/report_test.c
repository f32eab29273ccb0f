// SPDX-License-Identifier: GPL-3.0-or-later
// Reports: the shape and units of the JSON, CSV that is safe in a spreadsheet, text that keeps
// its columns and its terminal.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <jansson.h>

#include "near.h"
#include "pitleaf/report.h"
#include "unit/figures_setup.h"

#define TEXT                                                                                    \
  "damper \"d\" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm\n"        \
  "  compensation = vented; oil-volume = 3 ml; air-volume = 0.5 ml }\n"                         \
  "setup \"Sluice, dry\" { units = imperial; air = 68 degF; mass = 56 oz; front-share = 42 %\n" \
  "  cg-height = 50 mm; wheelbase = 280 mm\n"                                                   \
  "  all { track = 212 mm; tyre-radius = 42 mm; unsprung-mass = 60 g; damper = \"d\"\n"         \
  "  arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm); wheel-centre = (112 mm, 21 mm)\n" \
  "  shock-top { 1 = (50 mm, 90 mm) } shock-top = 1; shock-bottom = (64 mm, 14 mm)\n"           \
  "  ride-height = 21 mm; spring = 0.5 N/mm; oil = 350 cSt; piston = 2 x 1.6 mm }\n"            \
  "  front { preload = 3 mm +- 0.1 mm; camber = -1.5 deg }\n"                                   \
  "  notes = \"=1+1 \\\"quoted\\\", and a comma\"\n"                                            \
  "  ballast \"lead\" { mass = 1 oz; at = (10 mm, 0 mm, 5 mm) }\n"                              \
  "  extra { \"air\" = \"@x\"; \"Shim\" = 2 mm; \"-2\" = \"+3\" } }\n"

static const struct pl_figure_choice all_figures = {NULL, 0};

static json_t *parsed(const char *text) {
  json_error_t error;
  json_t *const document = json_loads(text, JSON_REJECT_DUPLICATES, &error);
  if (document == NULL) fail_msg("line %d: %s", error.line, error.text);
  return document;
}

/// The member at "a/b/c".
static json_t *member(json_t *from, const char *path) {
  char step[80];
  while (*path != '\0' && from != NULL) {
    const size_t length = strcspn(path, "/");
    assert_true(length < sizeof step);
    memcpy(step, path, length);
    step[length] = '\0';
    from = json_object_get(from, step);
    path += length + (path[length] == '/' ? 1 : 0);
  }
  return from;
}

static void assert_member(json_t *document, const char *path, double value, const char *unit) {
  json_t *const object = member(document, path);
  if (object == NULL) fail_msg("there is no %s", path);
  assert_near(json_number_value(json_object_get(object, "value")), value, 1e-9);
  assert_string_equal(json_string_value(json_object_get(object, "unit")), unit);
}

static json_t *figures_json(struct bench *bench, struct pl_figures *figures) {
  struct pl_program *const program = pl_setup_program(pl_figures_setup(figures));
  return parsed(
      pl_figures_json(bench->arena, figures, &all_figures, pl_program_problems(program)));
}

// ---------------------------------------------------------------- JSON

static void json_shape_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, TEXT);
  json_t *const document = figures_json(bench, f);
  static const char *const keys[] = {"setup", "figures", "settings", "missing", "diagnostics"};
  assert_int_equal((int)json_object_size(document), 5);
  for (size_t i = 0; i < 5; i++) assert_non_null(json_object_get(document, keys[i]));
  assert_string_equal(json_string_value(member(document, "setup")), "Sluice, dry");
  json_t *const figures = member(document, "figures");
  for (int place = 0; place < PL_PLACE_COUNT; place++)
    assert_true(json_is_object(json_object_get(figures, pl_place_name((enum pl_place)place))));
  assert_int_equal((int)json_object_size(figures), PL_PLACE_COUNT);
  json_decref(document);
}

// Units are the table's, whatever the setup prints in; numbers are not rounded.
static void json_units_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, TEXT);
  json_t *const document = figures_json(bench, f);
  assert_member(document, "figures/front-left/spring-rate", 0.5, "N/mm");
  assert_member(document, "figures/front-left/shock-temperature", 20, "degC");
  assert_member(document, "figures/front-left/motion-ratio",
                value_at(f, PL_FIGURE_MOTION_RATIO, PL_FRONT_LEFT), "1");
  assert_member(document, "figures/front-left/oil-viscosity",
                1e6 * value_at(f, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT), "mm2/s");
  assert_member(document, "figures/front-left/damping-slow-rebound",
                value_at(f, PL_FIGURE_DAMPING_SLOW_REBOUND, PL_FRONT_LEFT), "N·s/m");
  assert_member(document, "figures/front/roll-rate",
                value_at(f, PL_FIGURE_ROLL_RATE, PL_FRONT) * 3.14159265358979323846 / 180,
                "N·m/deg");
  assert_member(document, "settings/front-left/preload", 3, "mm");
  assert_member(document, "settings/car/mass", 56 * 28.349523125, "g"); // NIST SP 811
  assert_member(document, "settings/car/air", 20, "degC");
  assert_near(json_number_value(member(document, "settings/front-left/preload/tolerance")), 0.1,
              1e-9);
  assert_string_equal(
      json_string_value(member(document, "figures/front-left/first-to-stop/value")), "chassis");
  json_decref(document);
}

static void json_origins_work(struct bench *bench) {
  json_t *const document = figures_json(bench, figures_of(bench, TEXT));
  json_t *const from = member(document, "settings/front-right/preload/from");
  assert_int_equal((int)json_array_size(from), 1);
  json_t *const place = json_array_get(from, 0);
  assert_string_equal(json_string_value(json_object_get(place, "file")), "test.leaf");
  assert_int_equal((int)json_integer_value(json_object_get(place, "line")), 9);
  assert_null(member(document, "settings/rear-left/preload")); // not declared there
  json_decref(document);
}

// An extra keeps its words, and no extra passes for a setting.
static void json_extras_work(struct bench *bench) {
  json_t *const document = figures_json(bench, figures_of(bench, TEXT));
  assert_string_equal(json_string_value(member(document, "settings/car/Shim/value")), "2 mm");
  assert_string_equal(json_string_value(member(document, "settings/car/extra air/value")),
                      "@x");
  assert_member(document, "settings/car/ballast lead", 28.349523125, "g");
  assert_non_null(member(document, "settings/car/ballast lead/at"));
  json_decref(document);
}

static void json_missing_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, TEXT);
  json_t *const document = figures_json(bench, f);
  json_t *const missing = member(document, "missing");
  size_t absent = 0;
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_scope scope = pl_figure_rows[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
      absent += !pl_figure_get(f, (enum pl_figure)i, (enum pl_place)place)->present;
  }
  assert_int_equal((int)json_array_size(missing), (int)absent);
  bool found = false;
  for (size_t i = 0; i < json_array_size(missing); i++) {
    json_t *const item = json_array_get(missing, i);
    const char *const figure = json_string_value(json_object_get(item, "figure"));
    const char *const scope = json_string_value(json_object_get(item, "scope"));
    if (strcmp(figure, "hop-frequency") != 0 || strcmp(scope, "rear-left") != 0) continue;
    found = true;
    json_t *const needs = json_object_get(item, "needs");
    assert_int_equal((int)json_array_size(needs), 1);
    assert_string_equal(json_string_value(json_array_get(needs, 0)), "tyre-rate");
  }
  assert_true(found);
  json_decref(document);
}

// With a mistake in the file there still is a document, with what could be computed.
static void json_of_a_mistake_work(struct bench *bench) {
  struct pl_program *const program =
      program_of(bench, "setup \"s\" {\n  all { oil = 350 cSt\n  sprig = 0.5 N/mm }\n}\n");
  struct pl_figures *const f = figures_in(program, NULL, NULL);
  pl_setup_check(pl_figures_setup(f));
  json_t *const document = figures_json(bench, f);
  assert_member(document, "figures/rear-left/oil-viscosity", 350, "mm2/s");
  json_t *const problem = json_array_get(member(document, "diagnostics"), 0);
  assert_string_equal(json_string_value(json_object_get(problem, "code")), "unknown-key");
  assert_string_equal(json_string_value(json_object_get(problem, "severity")), "error");
  assert_string_equal(json_string_value(json_object_get(problem, "file")), "test.leaf");
  assert_int_equal((int)json_integer_value(json_object_get(problem, "line")), 3);
  assert_int_equal((int)json_integer_value(json_object_get(problem, "column")), 3);
  assert_int_equal((int)json_integer_value(member(problem, "start/line")), 3);
  assert_int_equal((int)json_integer_value(member(problem, "start/column")), 3);
  assert_int_equal((int)json_integer_value(member(problem, "end/column")), 8);
  assert_non_null(strstr(json_string_value(json_object_get(problem, "hint")), "spring"));
  assert_string_equal(json_string_value(json_object_get(problem, "replacement")), "spring");
  assert_non_null(json_string_value(json_object_get(problem, "message")));
  json_decref(document);
}

static void json_without_a_setup_work(struct bench *bench) {
  struct pl_program *const program = program_of(bench, "oil \"a\" { viscosity = 3 cSt }\n");
  assert_null(pl_program_setup(program, NULL));
  json_t *const document =
      parsed(pl_figures_json(bench->arena, NULL, &all_figures, pl_program_problems(program)));
  assert_true(json_is_null(member(document, "setup")));
  assert_true(json_array_size(member(document, "diagnostics")) > 0);
  json_decref(document);
}

static void json_of_a_choice_work(struct bench *bench) {
  static const enum pl_figure wanted[] = {PL_FIGURE_SPRING_RATE, PL_FIGURE_HOP_FREQUENCY};
  const struct pl_figure_choice choice = {wanted, 2};
  struct pl_figures *const f = figures_of(bench, TEXT);
  struct pl_program *const program = pl_setup_program(pl_figures_setup(f));
  json_t *const document =
      parsed(pl_figures_json(bench->arena, f, &choice, pl_program_problems(program)));
  assert_int_equal((int)json_object_size(member(document, "figures/rear-left")), 1);
  assert_int_equal((int)json_array_size(member(document, "missing")), 4); // a tyre rate each
  json_decref(document);
}

static void json_of_a_comparison_work(struct bench *bench) {
  const char *const text =
      pl_format(bench->arena,
                "%s setup \"own\" from \"Sluice, dry\" { front { preload = 4 mm; camber = -1 "
                "deg } air = 9 degC }",
                TEXT);
  struct pl_program *const program = program_of(bench, text);
  struct pl_figures *const base = figures_in(program, "Sluice, dry", NULL);
  struct pl_figures *const own = figures_in(program, "own", base);
  const struct pl_comparison *const comparison =
      pl_compare(bench->arena, base, own, PL_IMPERIAL);
  json_t *const document =
      parsed(pl_comparison_json(bench->arena, comparison, pl_program_problems(program)));
  json_t *const preload = json_array_get(member(document, "settings"), 0);
  assert_string_equal(json_string_value(json_object_get(preload, "key")), "preload");
  assert_int_equal((int)json_array_size(json_object_get(preload, "scopes")), 2);
  assert_near(json_number_value(json_object_get(preload, "base")), 3, 1e-9); // mm, not inches
  assert_near(json_number_value(json_object_get(preload, "setup")), 4, 1e-9);
  assert_string_equal(json_string_value(json_object_get(preload, "unit")), "mm");
  assert_int_equal((int)json_array_size(member(document, "effects")), 3);
  assert_non_null(member(document, "equivalent-oil/rear-left"));
  json_decref(document);
}

// ---------------------------------------------------------------- CSV

static void csv_work(struct bench *bench) {
  const char *const text = pl_figures_csv(bench->arena, figures_of(bench, TEXT), &all_figures);
  assert_ptr_equal(strstr(text, "what,where,key,value,unit\r\n"), text);
  static const char *const lines[] = {
      "\r\nfigure,front-left,\"spring-rate\",0.5,N/mm\r\n",
      "\r\nsetting,front-left,\"camber\",-1.5,deg\r\n", // a number stays a number
      "\r\nsetting,front-left,\"preload\",3.00,mm\r\n"  // its tolerance is one, too
      "tolerance,front-left,\"preload\",0.1,mm\r\n",
      "\r\nsetting,front-left,\"shock-top\",\"hole 1\",\r\n",
      "\r\nsetting,car,\"notes\",\"'=1+1 \"\"quoted\"\", and a comma\",\r\n",
      "\r\nextra,car,\"air\",\"'@x\",\r\n",
      "\r\nextra,car,\"'-2\",\"'+3\",\r\n",
      "\r\nfigure,rear-left,\"first-to-stop\",\"chassis\",\r\n"};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
    if (strstr(text, lines[i]) == NULL) fail_msg("the CSV lacks%s in\n%s", lines[i], text);
}

// Every record has five fields, whatever stands in the quotes.
static void csv_fields_work(struct bench *bench) {
  const char *at = pl_figures_csv(bench->arena, figures_of(bench, TEXT), &all_figures);
  while (*at != '\0') {
    size_t commas = 0;
    bool quoted = false;
    for (; *at != '\0' && (quoted || *at != '\r'); at++) {
      if (*at == '"') quoted = !quoted;
      commas += !quoted && *at == ',';
    }
    assert_int_equal((int)commas, 4);
    assert_int_equal(at[0], '\r');
    assert_int_equal(at[1], '\n');
    at += 2;
  }
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(json_shape)
CASE(json_units)
CASE(json_origins)
CASE(json_extras)
CASE(json_missing)
CASE(json_of_a_mistake)
CASE(json_without_a_setup)
CASE(json_of_a_choice)
CASE(json_of_a_comparison)
CASE(csv)
CASE(csv_fields)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(json_shape),           cmocka_unit_test(json_units),
      cmocka_unit_test(json_origins),         cmocka_unit_test(json_extras),
      cmocka_unit_test(json_missing),         cmocka_unit_test(json_of_a_mistake),
      cmocka_unit_test(json_without_a_setup), cmocka_unit_test(json_of_a_choice),
      cmocka_unit_test(json_of_a_comparison), cmocka_unit_test(csv),
      cmocka_unit_test(csv_fields),
  };
  return cmocka_run_group_tests_name("report: JSON and CSV", tests, NULL, NULL);
}
