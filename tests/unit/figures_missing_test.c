// SPDX-License-Identifier: GPL-3.0-or-later
// What is not declared: a figure is absent, never zero, and names exactly what it lacks.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "unit/figures_setup.h"

/// Fails unless the figure is absent and needs exactly these keys, blank-separated.
static void assert_needs(struct pl_figures *figures, enum pl_figure figure, const char *keys) {
  const struct pl_figure_value *const value =
      pl_figure_get(figures, figure, pl_first_place(pl_figure_rows[figure].scope));
  char got[400] = "";
  size_t length = 0;
  for (size_t i = 0; i < value->need_count && length + 1 < sizeof got; i++) {
    const int added =
        snprintf(got + length, sizeof got - length, "%s%s", i == 0 ? "" : " ", value->needs[i]);
    length += (size_t)added;
  }
  if (value->present || strcmp(got, keys) != 0)
    fail_msg("%s %s and needs \"%s\", not \"%s\"", pl_figure_rows[figure].key,
             value->present ? "is there" : "is absent", got, keys);
  assert_true(isnan(value->value));
}

/// Whether one of a figure's notes has these words.
static bool says(const struct pl_figure_value *value, const char *words) {
  for (size_t i = 0; i < value->note_count; i++)
    if (strstr(value->notes[i], words) != NULL) return true;
  return false;
}

// An empty setup has no figure at all, but for those that mean "there is none" or have a
// fallback.
static void nothing_declared_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, "setup \"s\" { }");
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_figure figure = (enum pl_figure)i;
    const struct pl_figure_value *const value =
        pl_figure_get(f, figure, pl_first_place(pl_figure_rows[i].scope));
    const bool allowed = figure == PL_FIGURE_SHOCK_TEMPERATURE || // 25 degC, and it says so
                         figure == PL_FIGURE_BAR_ROLL_RATE;       // no bar
    if (value->present && !allowed) fail_msg("%s comes from nothing", pl_figure_rows[i].key);
    if (!value->present && value->need_count == 0)
      fail_msg("%s is absent and does not say why", pl_figure_rows[i].key);
  }
  assert_needs(f, PL_FIGURE_SPRING_RATE, "spring");
  assert_needs(f, PL_FIGURE_SHAFT_DISPLACEMENT, "damper");
  assert_needs(f, PL_FIGURE_GAS_FORCE, "damper");
  assert_needs(f, PL_FIGURE_OIL_VISCOSITY, "oil");
  assert_needs(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION, "piston damper oil");
  assert_needs(f, PL_FIGURE_FINAL_DRIVE, "spur pinion internal-ratio");
  assert_needs(f, PL_FIGURE_CORNER_MASS, "mass front-share");
  assert_needs(f, PL_FIGURE_CROSS_WEIGHT, "corner-mass");
  assert_needs(f, PL_FIGURE_EQUIVALENT_OIL, "base");
  assert_needs(
      f, PL_FIGURE_MOTION_RATIO,
      "arm-inner arm-outer wheel-centre shock-top shock-bottom tyre-radius ride-height");
}

// What a part lacks is named behind the key that names the part.
static void parts_lack_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "damper \"d\" { bore = 12 mm; shaft = 3 mm }\n"
             "setup \"s\" { all { damper = \"d\"; spring = 0.5 N/mm; oil = 350 cSt } }");
  assert_needs(f, PL_FIGURE_SHAFT_DISPLACEMENT, "damper.stroke");
  assert_needs(f, PL_FIGURE_OIL_EXPANSION, "damper.oil-volume");
  assert_needs(f, PL_FIGURE_OIL_FILL, "damper.oil-volume");
  assert_needs(f, PL_FIGURE_SEAL_SQUEEZE, "damper.seal.ring-section damper.seal.gland-outside");
  assert_needs(f, PL_FIGURE_SEAL_STRETCH, "damper.seal.ring-inside");
  assert_needs(f, PL_FIGURE_BUSHING_OVERLAP, "damper.bushing-overlap");
  assert_needs(f, PL_FIGURE_BUCKLING_LOAD, "damper.exposed-shaft");
  assert_needs(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION, "piston");
  assert_needs(f, PL_FIGURE_BLADDER_MARGIN,
               "damper.air-volume damper.stroke damper.oil-volume");
}

static void a_quick_setup_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "damper \"d\" { bore = 12 mm; shaft = 3 mm }\n"
             "setup \"s\" { all { spring = 0.62 N/mm; oil = 350 cSt; piston = 2 x 1.6 mm;\n"
             "  damper = \"d\" } }");
  assert_near(value_at(f, PL_FIGURE_SPRING_RATE, PL_FRONT_LEFT), 620, 1e-12);
  assert_near(value_at(f, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT), 350e-6, 1e-12);
  const struct pl_figure_value *const slow =
      pl_figure_get(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_LEFT);
  assert_true(slow->present);
  bool thickness = false;
  bool temperature = false;
  for (size_t i = 0; i < slow->note_count; i++) {
    thickness |= strstr(slow->notes[i], "2.4 mm is assumed") != NULL;
    temperature |= strstr(slow->notes[i], "25 °C") != NULL;
  }
  assert_true(thickness);
  assert_true(temperature);
}

// A declared thickness is no assumption.
static void a_declared_thickness_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "damper \"d\" { bore = 12 mm; shaft = 3 mm }\n"
             "setup \"s\" { air = 20 degC; all { oil = 350 cSt; piston = 2 x 1.6 mm;\n"
             "  piston-thickness = 3 mm; damper = \"d\" } }");
  assert_int_equal(
      (int)pl_figure_get(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_LEFT)->note_count, 0);
}

// A piece of ballast that is declared by halves is somewhere, or weighs something.
static void ballast_by_halves_work(struct bench *bench) {
  static const char *const frame =
      "setup \"s\" { mass = 1500 g; front-share = 42 %%; wheelbase = 280 mm; track = 208 mm\n"
      "  %s }";
  char text[512];
  snprintf(text, sizeof text, frame, "ballast \"b\" { mass = 25 g }");
  struct pl_figures *f = figures_of(bench, text);
  assert_needs(f, PL_FIGURE_CORNER_MASS, "ballast.at");
  assert_near(value_at(f, PL_FIGURE_TOTAL_MASS, PL_CAR), 1.525, 1e-12);
  snprintf(text, sizeof text, frame, "ballast \"b\" { at = (85 mm, 0 mm, 6 mm) }");
  f = figures_of(bench, text);
  assert_needs(f, PL_FIGURE_CORNER_MASS, "ballast.mass");
  assert_needs(f, PL_FIGURE_TOTAL_MASS, "ballast.mass");
  snprintf(text, sizeof text, frame,
           "ballast \"a\" { mass = 5 g; at = (85 mm, 0 mm, 6 mm) }; ballast \"b\" { }");
  assert_needs(figures_of(bench, text), PL_FIGURE_CORNER_MASS, "ballast.mass ballast.at");
  snprintf(text, sizeof text, frame, "corner-mass = 400 g; ballast \"b\" { mass = 25 g }");
  f = figures_of(bench, text);
  assert_near(value_at(f, PL_FIGURE_CORNER_MASS, PL_FRONT_LEFT), 0.4, 1e-12); // by the scales
}

// What a wound spring is taken to be made of, and how its ends, is marked as assumed.
static void a_spring_of_wire_work(struct bench *bench) {
  static const char *const frame =
      "spring \"w\" { wire = 1.2 mm; mean-diameter = 14 mm; free-length = 40 mm; %s }\n"
      "setup \"s\" { all { spring = \"w\"; preload = 2 mm } }";
  static const struct {
    const char *said;
    bool material;
    bool ends;
  } cases[] = {{"active-coils = 6", true, false},
               {"total-coils = 8", true, true},
               {"total-coils = 8; ends = plain", true, false},
               {"active-coils = 6; material = music-wire", false, false},
               {"active-coils = 6; material = stainless-302", false, false},
               {"total-coils = 8; shear-modulus = 79 GPa", false, true},
               {"rate = 1 N/mm; total-coils = 8", false, false},
               {"groups = [4 coils gap 1 mm]", true, false}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    char text[512];
    snprintf(text, sizeof text, frame, cases[i].said);
    struct pl_figures *const f = figures_of(bench, text);
    assert_true(pl_figure_get(f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT)->present);
    assert_int_equal(
        says(pl_figure_get(f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT), "music wire is assumed"),
        cases[i].material);
    assert_int_equal(says(pl_figure_get(f, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT),
                          "closed and ground is assumed"),
                     cases[i].ends);
  }
}

// A spring whose part says too little for a rate (a mistake in itself) says so here too.
static void a_spring_without_rate_work(struct bench *bench) {
  struct pl_program *const program = program_of(
      bench,
      "spring \"p\" { wire = 1.2 mm; free-length = 30 mm }\nsetup \"s\" { all { spring = "
      "\"p\" } }");
  struct pl_figures *const f = figures_in(program, NULL, NULL);
  assert_needs(f, PL_FIGURE_SPRING_RATE, "spring.rate");
}

// A bar that has a name and no wire has a rate that nobody knows.
static void a_bar_without_wire_work(struct bench *bench) {
  struct pl_figures *const named =
      figures_of(bench, "setup \"s\" { front { bar = \"soft\"; track = 200 mm } }");
  assert_needs(named, PL_FIGURE_BAR_ROLL_RATE, "bar-wire");
  struct pl_figures *const none =
      figures_of(bench, "setup \"s\" { front { bar = \"none\"; track = 200 mm } }");
  assert_true(value_at(none, PL_FIGURE_BAR_ROLL_RATE, PL_FRONT) == 0);
  // The base's bar is taken off: the wire that it had is still said, and counts no more.
  struct pl_program *const both = program_of(
      bench, "setup \"base\" { front { track = 200 mm; bar = \"medium\"; bar-wire = 1.2 mm\n"
             "  bar-lever = 20 mm; bar-length = 60 mm; bar-ratio = 0.5 } }\n"
             "setup \"wet\" from \"base\" { front { bar = \"none\" } }");
  assert_true(value_at(figures_in(both, "base", NULL), PL_FIGURE_BAR_ROLL_RATE, PL_FRONT) > 0);
  struct pl_figures *const off = figures_in(both, "wet", NULL);
  assert_true(value_at(off, PL_FIGURE_BAR_ROLL_RATE, PL_FRONT) == 0);
  assert_true(says(pl_figure_get(off, PL_FIGURE_BAR_ROLL_RATE, PL_FRONT),
                   "the bar is none: its wire does not count"));
  struct pl_figures *const thin = figures_of(
      bench, "setup \"s\" { front { bar-wire = 1 mm; bar-lever = 20 mm; track = 200 mm } }");
  assert_needs(thin, PL_FIGURE_BAR_ROLL_RATE, "bar-length bar-ratio");
}

// Half a camber link is none, but a car that has one does not move as if it had none.
static void half_a_link_work(struct bench *bench) {
  static const struct {
    const char *link;
    const char *needs; // null: the linkage is whole
  } rows[] = {{"", NULL},
              {"link-inner = (38 mm, 35 mm)", "link-outer"},
              {"link-outer = (83 mm, 41 mm)", "link-inner"},
              {"link-inner { 1 = (34 mm, 35 mm); 2 = (38 mm, 35 mm) }\n"
               "link-outer = (83 mm, 41 mm)",
               "link-inner"},
              {"link-inner { 1 = (34 mm, 35 mm); 2 = (38 mm, 35 mm) }\n"
               "link-outer { 1 = (83 mm, 38 mm); 2 = (83 mm, 41 mm) }",
               "link-inner link-outer"},
              {"link-inner { 1 = (34 mm, 35 mm); 2 = (38 mm, 35 mm) }; link-inner = 2\n"
               "link-outer { 1 = (83 mm, 38 mm) }",
               NULL}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_figures *const f = figures_of(
        bench, pl_format(bench->arena,
                         "car \"c\" { all { tyre-radius = 42 mm; arm-inner = (20 mm, 12 mm)\n"
                         "  arm-outer = (100 mm, 12 mm); wheel-centre = (110 mm, 21 mm)\n"
                         "  shock-top = (60 mm, 92 mm); shock-bottom = (60 mm, 12 mm)\n"
                         "%s } }\nsetup \"s\" { car = \"c\"; all { ride-height = 21 mm } }",
                         rows[i].link));
    if (rows[i].needs == NULL) {
      value_at(f, PL_FIGURE_MOTION_RATIO, PL_FRONT_LEFT);
      value_at(f, PL_FIGURE_ROLL_CENTRE_HEIGHT, PL_FRONT);
    } else {
      assert_needs(f, PL_FIGURE_MOTION_RATIO, rows[i].needs);
      assert_needs(f, PL_FIGURE_ROLL_CENTRE_HEIGHT, rows[i].needs);
      assert_needs(f, PL_FIGURE_CAMBER_GAIN, rows[i].needs);
    }
  }
}

// A corner that lacks something takes nothing from the corner beside it.
static void one_corner_lacks_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "setup \"s\" { front { corner-mass = 400 g } rear-left { corner-mass = 420 g } }");
  assert_true(pl_figure_get(f, PL_FIGURE_CORNER_MASS, PL_REAR_LEFT)->present);
  assert_false(pl_figure_get(f, PL_FIGURE_CORNER_MASS, PL_REAR_RIGHT)->present);
  assert_false(pl_figure_get(f, PL_FIGURE_FRONT_MASS_SHARE, PL_CAR)->present);
}

// Places that a figure does not have give nothing.
static void wrong_places_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, "setup \"s\" { all { spring = 1 N/mm } }");
  assert_false(pl_figure_get(f, PL_FIGURE_SPRING_RATE, PL_CAR)->present);
  assert_false(pl_figure_get(f, PL_FIGURE_SPRING_RATE, PL_FRONT)->present);
  assert_false(pl_figure_get(f, PL_FIGURE_ROLL_RATE, PL_FRONT_LEFT)->present);
  assert_false(pl_figure_get(f, PL_FIGURE_SPRING_RATE, PL_PLACE_COUNT)->present);
}

// ---------------------------------------------------------------- declared, and still absent

#define SHOCK(rest) "damper \"d\" { bore = 12 mm; shaft = 3 mm; stroke = 24 mm; " rest " }\n"
#define CAR                                                                                     \
  "car \"c\" { mass = 1600 g; front-share = 42 %\n"                                             \
  "  all { tyre-radius = 42 mm; unsprung-mass = 60 g; damper = \"d\"\n"                         \
  "  arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm); wheel-centre = (112 mm, 21 mm)\n" \
  "  shock-top = (50 mm, 90 mm); shock-bottom = (64 mm, 14 mm) } }\n"
#define SETUP(text)                                                                            \
  "setup \"s\" { car = \"c\"; air = 20 degC\n"                                                 \
  "  all { ride-height = 21 mm; spring = 0.5 N/mm; oil = 350 cSt; " text " } }"

/// What is declared gives no figure or an impossible one: it says so, and the check warns.
static void a_reason_is_told_work(struct bench *bench) {
  static const struct {
    const char *text;
    enum pl_figure figure;
    bool present;
    const char *says;
  } rows[] = {
      {SHOCK("compensation = vented; extended-length = 86 mm")
           CAR SETUP("unsprung-mass = 400 g"),
       PL_FIGURE_SPRUNG_MASS, false, "the unsprung mass leaves none of the corner's mass"},
      {SHOCK("compensation = vented; extended-length = 86 mm")
           CAR SETUP("unsprung-mass = 400 g"),
       PL_FIGURE_RIDE_FREQUENCY, false, "the unsprung mass leaves none of the corner's mass"},
      {SHOCK("compensation = vented; extended-length = 86 mm")
           CAR SETUP("piston = 2 x 1.6 mm one-way compression"),
       PL_FIGURE_DAMPING_SLOW_REBOUND, false,
       "no port is open at rest for the shaft to move out"},
      {SHOCK("compensation = bladder; air-volume = 1 ml; charge = 2000 kPa;"
             "extended-length = 86 mm") CAR SETUP(""),
       PL_FIGURE_PRELOAD_NEEDED, false, "the gas alone lifts the car"},
      {SHOCK("compensation = bladder; air-volume = 0.02 ml; extended-length = 86 mm")
           CAR SETUP(""),
       PL_FIGURE_GAS_FORCE_COMPRESSED, false,
       "the shaft takes all the room of the trapped air"},
      {SHOCK("compensation = vented; extended-length = 70 mm") CAR SETUP(""),
       PL_FIGURE_DROOP_TRAVEL, true, "at ride height the shock is longer than it can be"},
      {SHOCK("compensation = vented; extended-length = 110 mm") CAR SETUP(""),
       PL_FIGURE_BUMP_TRAVEL, true, "at ride height the shock is shorter than it can be"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_figures *const f = figures_of(bench, rows[i].text);
    const struct pl_figure_value *const value = pl_figure_get(f, rows[i].figure, PL_FRONT_LEFT);
    bool told = false;
    for (size_t j = 0; j < value->note_count; j++)
      told |= strstr(value->notes[j], rows[i].says) != NULL;
    if (!told || value->present != rows[i].present)
      fail_msg("%s does not say: %s", pl_figure_rows[rows[i].figure].key, rows[i].says);
    pl_figures_check(f);
    const struct pl_diagnostics *const problems =
        pl_program_problems(pl_setup_program(pl_figures_setup(f)));
    bool warned = false;
    for (size_t j = 0; j < problems->count; j++)
      warned |= strstr(problems->items[j].message, rows[i].says) != NULL;
    if (!warned) fail_msg("the check does not warn: %s", rows[i].says);
  }
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(nothing_declared)
CASE(parts_lack)
CASE(a_quick_setup)
CASE(a_declared_thickness)
CASE(a_spring_of_wire)
CASE(ballast_by_halves)
CASE(a_spring_without_rate)
CASE(a_bar_without_wire)
CASE(half_a_link)
CASE(one_corner_lacks)
CASE(wrong_places)
CASE(a_reason_is_told)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(nothing_declared),      cmocka_unit_test(parts_lack),
      cmocka_unit_test(a_quick_setup),         cmocka_unit_test(a_declared_thickness),
      cmocka_unit_test(a_spring_of_wire),      cmocka_unit_test(ballast_by_halves),
      cmocka_unit_test(a_spring_without_rate), cmocka_unit_test(a_bar_without_wire),
      cmocka_unit_test(half_a_link),           cmocka_unit_test(one_corner_lacks),
      cmocka_unit_test(wrong_places),          cmocka_unit_test(a_reason_is_told),
  };
  return cmocka_run_group_tests_name("figures: missing", tests, NULL, NULL);
}
