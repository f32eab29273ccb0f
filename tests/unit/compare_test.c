// SPDX-License-Identifier: GPL-3.0-or-later
// Comparison: what differs, folded over the places that agree, and what each change alone does.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/compare.h"
#include "unit/figures_setup.h"

#define CAR                                                                                     \
  "damper \"d\" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm\n"        \
  "  compensation = vented }\n"                                                                 \
  "oil \"thin\" { viscosity = 300 cSt }\noil \"thick\" { viscosity = 400 cSt }\n"               \
  "oil \"other name\" { viscosity = 300 cSt }\n"                                                \
  "car \"c\" { mass = 1600 g; front-share = 42 %; wheelbase = 280 mm; cg-height = 50 mm\n"      \
  "  all { track = 212 mm; tyre-radius = 42 mm; unsprung-mass = 60 g; damper = \"d\"\n"         \
  "  arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm); wheel-centre = (112 mm, 21 mm)\n" \
  "  shock-top { 1 = (50 mm, 90 mm); 2 = (54 mm, 91 mm) } shock-bottom = (64 mm, 14 mm)\n"      \
  "  bar-lever = 25 mm; bar-length = 60 mm; bar-ratio = 0.5 } }\n"
#define BASE                                                                                   \
  CAR "setup \"base\" { car = \"c\"; air = 20 degC\n"                                          \
      "  all { ride-height = 21 mm; spring = 0.5 N/mm; preload = 2 mm; oil = \"thin\"\n"       \
      "        piston = 2 x 1.6 mm; shock-top = 1; camber = -1 deg }\n"                        \
      "  ballast \"lead\" { mass = 20 g; at = (10 mm, 0 mm, 5 mm) }\n"                         \
      "  extra { \"Wing shim\" = \"2 mm\" } }\n"
#define OWN(text) BASE "setup \"own\" from \"base\" { " text " }\n"

/// The comparison of the setups "own" and "base" of one text.
static struct pl_comparison *compared(struct bench *bench, const char *text) {
  struct pl_program *const program = program_of(bench, text);
  struct pl_figures *const base = figures_in(program, "base", NULL);
  struct pl_figures *const own = figures_in(program, "own", base);
  return pl_compare(bench->arena, base, own, PL_METRIC);
}

static const struct pl_change *only_setting(const struct pl_comparison *comparison) {
  if (comparison->setting_count != 1)
    fail_msg("%zu settings differ, not one", comparison->setting_count);
  return &comparison->changes[0];
}

static void nothing_differs_work(struct bench *bench) {
  const struct pl_comparison *const same = compared(bench, OWN(""));
  assert_int_equal((int)same->setting_count, 0);
  assert_int_equal((int)same->figure_count, 0);
  assert_int_equal((int)same->effect_count, 0);
  assert_non_null(same->changes); // figures are told from behind the settings
}

// ---------------------------------------------------------------- tolerances

/// The change of preload-force front left, with its tolerance.
static const struct pl_change *move_of(struct bench *bench, const char *text) {
  struct pl_comparison *const comparison = compared(bench, text);
  pl_compare_tolerances(comparison);
  const struct pl_change *const change =
      pl_change_of_figure(comparison, PL_FIGURE_PRELOAD_FORCE, PL_FRONT_LEFT);
  assert_non_null(change);
  return change;
}

// What both setups have from one line moves both; what they do not is open twice.
static void tolerance_of_a_move_work(struct bench *bench) {
  const char *const base = "let shim = 2 mm +- 0.2 mm\n"
                           "setup \"base\" { all { spring = 0.5 N/mm; preload = shim } }\n";
  const struct pl_change *const shared =
      move_of(bench, pl_format(bench->arena,
                               "%ssetup \"own\" from \"base\" {\n"
                               "  all { preload += 1 mm +- 0.1 mm } }",
                               base));
  assert_near(shared->tolerance, 0.05, 1e-9);
  const struct pl_change *const steeper =
      move_of(bench, pl_format(bench->arena,
                               "%ssetup \"own\" from \"base\" {\n"
                               "  all { spring = 0.8 N/mm } }",
                               base));
  assert_near(steeper->tolerance, 0.3 * 0.2, 1e-9);
  const struct pl_change *const apart =
      move_of(bench, pl_format(bench->arena,
                               "%ssetup \"own\" from \"base\" {\n"
                               "  all { preload = 3 mm +- 0.2 mm } }",
                               base));
  assert_near(apart->tolerance, 0.1 * sqrt(2), 1e-9);
  const struct pl_change *const sure =
      move_of(bench, "setup \"base\" { all { spring = 0.5 N/mm; preload = 2 mm } }\n"
                     "setup \"own\" from \"base\" { all { preload = 3 mm } }");
  assert_within(sure->tolerance, 0, 0);
}

// ---------------------------------------------------------------- folding

static void assert_change(struct bench *bench, const char *text, const char *where,
                          const char *before, const char *after) {
  const struct pl_change *const change = only_setting(compared(bench, text));
  assert_string_equal(change->where, where);
  assert_string_equal(change->before, before);
  assert_string_equal(change->after, after);
}

static void places_fold_work(struct bench *bench) {
  assert_change(bench, OWN("all { preload = 3 mm }"), "all", "2.00", "3.00");
  assert_change(bench, OWN("front { preload = 3 mm }"), "front", "2.00", "3.00");
  assert_change(bench, OWN("rear { preload = 3 mm }"), "rear", "2.00", "3.00");
  assert_change(bench, OWN("left { preload = 3 mm }"), "left", "2.00", "3.00");
  assert_change(bench, OWN("right { preload = 3 mm }"), "right", "2.00", "3.00");
  assert_change(bench, OWN("rear-left { preload = 3 mm }"), "rear-left", "2.00", "3.00");
  assert_change(bench, OWN("front-left { preload = 3 mm } rear-right { preload = 3 mm }"),
                "front-left and rear-right", "2.00", "3.00");
  assert_change(bench, OWN("all { kick-up = 5 deg }"), "front and rear", "", "5.0");
  assert_change(bench, OWN("air = 9 degC"), "car", "20", "9");
}

static void places_of_different_values_stay_apart_work(struct bench *bench) {
  const struct pl_comparison *const c =
      compared(bench, OWN("front { preload = 3 mm } rear-left { preload = 4 mm }"));
  assert_int_equal((int)c->setting_count, 2);
  const struct pl_change *const front =
      pl_change_of_setting(c, PL_SETTING_PRELOAD, PL_FRONT_RIGHT);
  const struct pl_change *const rear =
      pl_change_of_setting(c, PL_SETTING_PRELOAD, PL_REAR_LEFT);
  assert_string_equal(front->where, "front");
  assert_near(front->old_number, 2e-3, 1e-12);
  assert_near(front->new_number, 3e-3, 1e-12);
  assert_string_equal(rear->after, "4.00");
  assert_null(pl_change_of_setting(c, PL_SETTING_PRELOAD, PL_REAR_RIGHT));
  assert_null(pl_change_of_setting(c, PL_SETTING_OIL, PL_FRONT_LEFT));
}

static void words_of_places_work(struct bench *bench) {
  static const struct {
    unsigned places;
    const char *words;
  } rows[] = {{0xF, "all"},
              {0x3, "front"},
              {0xC, "rear"},
              {0x5, "left"},
              {0xA, "right"},
              {0x1, "front-left"},
              {0x30, "front and rear"},
              {0x40, "car"},
              {0x7, "front-left and front-right and rear-left"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    assert_string_equal(pl_places_words(bench->arena, rows[i].places), rows[i].words);
}

// ---------------------------------------------------------------- what the base lacks

static void base_lacks_work(struct bench *bench) {
  const struct pl_change *change = only_setting(compared(bench, OWN("front { toe = 1 deg }")));
  assert_string_equal(change->before, "");
  assert_string_equal(change->after, "1.0");
  assert_string_equal(change->unit, "°");
  assert_true(isnan(change->old_number));
}

// A fallback that the base used is what it had: 0 mm of limiter, not nothing.
static void a_fallback_is_a_value_work(struct bench *bench) {
  assert_change(bench, OWN("rear { limiter = 1 mm }"), "rear", "0.0", "1.0");
  const struct pl_comparison *const same = compared(bench, OWN("rear { limiter = 0 mm }"));
  assert_int_equal((int)same->setting_count, 0);
}

static void extras_work(struct bench *bench) {
  assert_change(bench, OWN("extra { \"Wing shim\" = \"4 mm\" }"), "car", "2 mm", "4 mm");
  const struct pl_comparison *const c =
      compared(bench, OWN("extra { \"Ball cups\" = \"eased\" }"));
  const struct pl_change *const added = pl_change_of_extra(c, "Ball cups", PL_CAR);
  assert_non_null(added);
  assert_string_equal(added->before, "");
  assert_null(pl_change_of_extra(c, "Wing shim", PL_CAR));
}

// Two setups that stand side by side: what the base alone has is dropped.
static void dropped_work(struct bench *bench) {
  const struct pl_comparison *const c = compared(
      bench, BASE "setup \"own\" { car = \"c\"; air = 20 degC; all { ride-height = 21 mm\n"
                  "  spring = 0.5 N/mm; preload = 2 mm; oil = \"thin\"; piston = 2 x 1.6 mm\n"
                  "  shock-top = 1 } }");
  assert_string_equal(pl_change_of_setting(c, PL_SETTING_CAMBER, PL_FRONT_LEFT)->before,
                      "-1.0");
  assert_string_equal(pl_change_of_setting(c, PL_SETTING_CAMBER, PL_FRONT_LEFT)->after, "");
  assert_string_equal(pl_change_of_extra(c, "Wing shim", PL_CAR)->after, "");
  const struct pl_change *const lead = pl_change_of_ballast(c, "lead");
  assert_non_null(lead);
  assert_string_equal(lead->after, "");
  assert_int_equal((int)c->setting_count, 3);
  bool told = false;
  for (size_t i = 0; i < c->effect_count; i++)
    told |= strstr(pl_effect_cause(bench->arena, &c->effects[i], NULL),
                   "camber, dropped: -1.0°") != NULL;
  assert_true(told);
}

// ---------------------------------------------------------------- each change by itself

/// The effects that the comparison tells for the change whose cause starts so.
static const char *effects_for(struct bench *bench, const struct pl_comparison *comparison,
                               const char *cause) {
  for (size_t i = 0; i < comparison->effect_count; i++) {
    const struct pl_effect *const effect = &comparison->effects[i];
    if (strncmp(pl_effect_cause(bench->arena, effect, NULL), cause, strlen(cause)) == 0)
      return pl_effect_moves(bench->arena, effect, NULL);
  }
  fail_msg("there is no cause \"%s\"", cause);
  return "";
}

/// Of several changes at once, one by itself must do what a setup does that has it alone.
static void assert_isolated(struct bench *bench, const char *change, const char *others,
                            const char *cause) {
  const struct pl_comparison *const together =
      compared(bench, pl_format(bench->arena, "%s setup \"own\" from \"base\" { %s\n%s }", BASE,
                                change, others));
  const struct pl_comparison *const alone = compared(
      bench, pl_format(bench->arena, "%s setup \"own\" from \"base\" { %s }", BASE, change));
  assert_true(together->setting_count > alone->setting_count);
  const char *const told = effects_for(bench, together, cause);
  assert_true(told[0] != '\0');
  assert_string_equal(told, effects_for(bench, alone, cause));
  // And what it tells of the wheel rate is the difference of the two setups' figures.
  const struct pl_change *const rate =
      pl_change_of_figure(alone, PL_FIGURE_DAMPING_RATIO_SLOW, PL_FRONT_LEFT);
  if (rate == NULL) return;
  const char *const words =
      pl_format(bench->arena, "damping ratio, slow %s → %s", rate->before, rate->after);
  if (strstr(told, words) == NULL) fail_msg("\"%s\" does not tell \"%s\"", told, words);
}

// Parts that are given by a number have the unit of both once, as the design's page says it:
// "rear spring 0.38 → 0.42 N/mm". What has more than a number stays whole.
static void a_shared_unit_stands_once_work(struct bench *bench) {
  const struct pl_comparison *const c = compared(
      bench, OWN("front { spring = 0.6 N/mm; piston = 2 x 1.4 mm }\n  rear { oil = 300 cSt }"));
  effects_for(bench, c, "front spring 0.5 → 0.6 N/mm");
  effects_for(bench, c, "front piston 2 × 1.6 mm → 2 × 1.4 mm");
  effects_for(bench, c, "rear oil thin → 300 cSt");
}

static void isolated_work(struct bench *bench) {
  const char *const weather = "air = 5 degC; all { limiter = 1 mm }";
  assert_isolated(bench, "front { oil = \"thick\" }", weather, "front oil");
  assert_isolated(bench, "all { spring = 0.6 N/mm }", weather, "all spring");
  assert_isolated(bench, "all { preload = 3 mm }", weather, "all preload");
  assert_isolated(bench, "front { shock-top = 2 }", weather, "front shock, top");
  assert_isolated(bench, "all { piston = 2 x 1.4 mm }", weather, "all piston");
  assert_isolated(bench, "air = 5 degC", "all { oil = \"thick\" }", "air");
  assert_isolated(bench, "front { bar = \"soft\"; bar-wire = 1.2 mm }", weather,
                  "front bar wire");
  assert_isolated(bench, "ballast \"lead\" { mass = 60 g; at = (10 mm, 0 mm, 5 mm) }", weather,
                  "ballast lead");
}

// A bar that is taken off, or put on again, by its name alone does all of it by that change;
// one that goes with its wire is told once, by the wire.
static void a_bar_by_its_name_work(struct bench *bench) {
  static const char *const names[2][2] = {{"soft", "none"}, {"none", "soft"}};
  for (size_t i = 0; i < 2; i++) {
    const char *const text = pl_format(
        bench->arena,
        "%ssetup \"base\" { car = \"c\"; air = 20 degC; all { bar = \"soft\"; bar-wire = 1 mm\n"
        "  ride-height = 21 mm; spring = 0.5 N/mm; preload = 2 mm; shock-top = 1 }\n"
        "  front { bar = \"%s\" } }\n"
        "setup \"own\" from \"base\" { air = 5 degC; front { bar = \"%s\" } }",
        CAR, names[i][0], names[i][1]);
    const struct pl_comparison *const c = compared(bench, text);
    const struct pl_change *const share =
        pl_change_of_figure(c, PL_FIGURE_FRONT_ROLL_SHARE, PL_CAR);
    assert_non_null(share);
    const char *const words =
        pl_format(bench->arena, "front roll share %s → %s", share->before, share->after);
    assert_non_null(strstr(effects_for(bench, c, "front anti-roll bar"), words));
  }
  const struct pl_comparison *const both = compared(
      bench, CAR
      "setup \"base\" { car = \"c\"; front { bar = \"soft\"; bar-wire = 1 mm }\n"
      "  all { ride-height = 21 mm; spring = 0.5 N/mm; preload = 2 mm; shock-top = 1 } }\n"
      "setup \"own\" { car = \"c\"; front { bar = \"none\" }\n"
      "  all { ride-height = 21 mm; spring = 0.5 N/mm; preload = 2 mm; shock-top = 1 } }\n");
  assert_non_null(strstr(effects_for(bench, both, "front bar wire"), "front roll share"));
  for (size_t i = 0; i < both->effect_count; i++) {
    const char *const cause = pl_effect_cause(bench->arena, &both->effects[i], NULL);
    if (strstr(cause, "anti-roll bar") != NULL)
      assert_string_equal(pl_effect_moves(bench->arena, &both->effects[i], NULL), "");
  }
}

// An extra that is called like a piece of ballast is not taken for it.
static void an_extra_is_no_ballast_work(struct bench *bench) {
  const struct pl_comparison *const c = compared(
      bench, OWN("ballast \"lead\" { mass = 60 g } extra { \"ballast lead\" = \"y\" }"));
  assert_int_equal((int)c->setting_count, 2);
  assert_true(effects_for(bench, c, "ballast lead 20")[0] != '\0');
  assert_string_equal(effects_for(bench, c, "ballast lead, new: y"), "");
}

// A piece of ballast that is exchanged alone leaves the others as they were: 1500 g with the 20
// g of brass, and the lead of the other setup.
static void ballast_alone_work(struct bench *bench) {
  struct pl_program *const program = program_of(
      bench,
      "setup \"a\" { mass = 1500 g; ballast \"lead\" { mass = 10 g; at = (0 mm, 0 mm, 5 mm) }\n"
      "ballast \"brass\" { mass = 20 g; at = (0 mm, 0 mm, 5 mm) } }\n"
      "setup \"b\" { mass = 1700 g; ballast \"lead\" { mass = 50 g; at = (0 mm, 0 mm, 5 mm) }\n"
      "ballast \"brass\" { mass = 90 g; at = (0 mm, 0 mm, 5 mm) } }\n"
      "setup \"c\" { mass = 1700 g }");
  struct pl_figures *const base = figures_in(program, "a", NULL);
  struct pl_figures *const more =
      pl_figures_with(base, pl_program_setup(program, "b"), PL_SETTING_COUNT, 0, "lead");
  assert_within(value_at(more, PL_FIGURE_TOTAL_MASS, PL_CAR), 1.57, 1e-12);
  struct pl_figures *const none =
      pl_figures_with(base, pl_program_setup(program, "c"), PL_SETTING_COUNT, 0, "lead");
  assert_within(value_at(none, PL_FIGURE_TOTAL_MASS, PL_CAR), 1.52, 1e-12);
}

// Asked for by name, neither is taken for the other.
static void found_by_kind_work(struct bench *bench) {
  const struct pl_comparison *const extra =
      compared(bench, OWN("extra { \"ballast lead\" = \"y\" }"));
  assert_null(pl_change_of_ballast(extra, "lead"));
  assert_non_null(pl_change_of_extra(extra, "ballast lead", PL_CAR));
  const struct pl_comparison *const piece =
      compared(bench, OWN("ballast \"lead\" { mass = 60 g }"));
  assert_non_null(pl_change_of_ballast(piece, "lead"));
  assert_null(pl_change_of_extra(piece, "ballast lead", PL_CAR));
}

// Ballast prints in the comparison's units, with the digits of the settings table: 1 oz is
// 28.349523125 g (NIST SP 811, appendix B.8), 1 in is 25.4 mm.
static void ballast_in_units_work(struct bench *bench) {
  static const struct {
    enum pl_unit_system system;
    const char *before, *after;
  } rows[] = {{PL_METRIC, "20 g at (10, 0, 5) mm", "56.70 g at (25.4, 0, 5) mm"},
              {PL_IMPERIAL, "0.71 oz at (0.394, 0.000, 0.197) in",
               "2.00 oz at (1.000, 0.000, 0.197) in"}};
  struct pl_program *const program =
      program_of(bench, OWN("ballast \"lead\" { mass = 2 oz; at = (1 in, 0 mm, 5 mm) }"));
  struct pl_figures *const base = figures_in(program, "base", NULL);
  struct pl_figures *const own = figures_in(program, "own", base);
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_change *const change =
        only_setting(pl_compare(bench->arena, base, own, rows[i].system));
    assert_string_equal(change->before, rows[i].before);
    assert_string_equal(change->after, rows[i].after);
  }
}

// A change after which a figure can no longer be told does not tell of it; of others it does.
static void an_absent_end_is_no_effect_work(struct bench *bench) {
  const struct pl_comparison *const c =
      compared(bench, OWN("front { bar = \"soft\"; bar-wire = 1.2 mm }"));
  assert_true(effects_for(bench, c, "front bar wire")[0] != '\0');
  // Heavier than its corner: no sprung mass, and nothing that is made of it.
  const struct pl_comparison *const heavy =
      compared(bench, OWN("front { unsprung-mass = 2 kg }"));
  assert_non_null(pl_change_of_figure(heavy, PL_FIGURE_RIDE_FREQUENCY, PL_FRONT_LEFT));
  assert_string_equal(
      pl_change_of_figure(heavy, PL_FIGURE_RIDE_FREQUENCY, PL_FRONT_LEFT)->after, "");
  assert_string_equal(effects_for(bench, heavy, "front unsprung mass"), "");
}

// Very many changes are not each worked out, and the last effect says how many are not.
static const struct pl_comparison *changes_of_ballast(struct bench *bench, int count) {
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "setup \"base\" { }\nsetup \"own\" from \"base\" {\n");
  for (int i = 0; i < count; i++)
    pl_buffer_format(&text, "ballast \"%d\" { mass = 1 g; at = (0 mm, 0 mm) }\n", i);
  pl_buffer_text(&text, "}\n");
  const struct pl_comparison *const c = compared(bench, pl_buffer_string(&text));
  assert_int_equal((int)c->setting_count, count);
  return c;
}

static void effects_end_work(struct bench *bench) {
  const int most = PL_MOST_EFFECTS;
  assert_int_equal((int)changes_of_ballast(bench, most - 1)->effect_count, most - 1);
  assert_int_equal((int)changes_of_ballast(bench, most)->effect_count, most);
  const struct pl_comparison *const one = changes_of_ballast(bench, most + 1);
  assert_int_equal((int)one->effect_count, most + 1);
  assert_string_equal(effects_for(bench, one, "1 more change"), "not told one by one");
  const struct pl_comparison *const many = changes_of_ballast(bench, most + 44);
  assert_int_equal((int)many->effect_count, most + 1);
  assert_string_equal(effects_for(bench, many, "44 more changes"), "not told one by one");
}

static void differences_work(struct bench *bench) {
  static const struct {
    const char *before, *after, *difference;
  } rows[] = {{"0.50", "0.62", "+0.12"}, {"12", "9", "-3"},    {"-1.5", "0.5", "+2.0"},
              {"-1.5", "-2.0", "-0.5"},  {"", "0.5", ""},      {"0.5", "", ""},
              {"shock", "chassis", ""},  {"9.9", "10", "+0.1"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_change change = {.before = rows[i].before, .after = rows[i].after};
    assert_string_equal(pl_change_difference(bench->arena, &change), rows[i].difference);
  }
}

// What is only written down changes no figure.
static void words_have_no_effect_work(struct bench *bench) {
  const struct pl_comparison *const c = compared(
      bench,
      OWN("notes = \"x\"; front { tyre = \"ribs\" } extra { \"ballast lead\" = \"y\" }"));
  assert_int_equal((int)c->setting_count, 3);
  assert_int_equal((int)c->figure_count, 0);
  for (size_t i = 0; i < c->effect_count; i++)
    assert_string_equal(pl_effect_moves(bench->arena, &c->effects[i], NULL), "");
}

// ---------------------------------------------------------------- figures

// Figures count as moved when they differ as printed: a tenth of a kelvin moves no printed
// viscosity here, four kelvin do.
static void moved_as_printed_work(struct bench *bench) {
  const struct pl_comparison *const little = compared(bench, OWN("air = 20.01 degC"));
  assert_null(pl_change_of_figure(little, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT));
  const struct pl_comparison *const much = compared(bench, OWN("air = 24 degC"));
  const struct pl_change *const oil =
      pl_change_of_figure(much, PL_FIGURE_OIL_VISCOSITY, PL_FRONT_LEFT);
  assert_non_null(oil);
  assert_string_equal(oil->where, "all");
  assert_string_equal(oil->unit, "cSt");
}

// The oil that damps today as the base did is, with nothing changed, the oil that is in: also
// in an emulsion, whose bubbles thicken both alike.
static void equivalent_oil_work(struct bench *bench) {
  static const char *const shocks[] = {
      "bore = 12 mm; shaft = 3 mm; compensation = vented",
      "bore = 12 mm; shaft = 3 mm; compensation = emulsion; air-volume = 0.4 ml;"
      "oil-volume = 2.4 ml"};
  for (size_t i = 0; i < sizeof shocks / sizeof shocks[0]; i++) {
    const char *const text = pl_format(
        bench->arena,
        "damper \"d\" { %s }\nsetup \"base\" { air = 9 degC; all { damper = \"d\"; oil = 350 cSt;"
        "piston = 2 x 1.6 mm } }\nsetup \"own\" from \"base\" { }",
        shocks[i]);
    struct pl_figures *const own = compared(bench, text)->setup;
    assert_near(value_at(own, PL_FIGURE_EQUIVALENT_OIL, PL_REAR_RIGHT), 350e-6, 1e-8);
  }
}

// From 20 to 9 degC: dynamic viscosities are to be equal, each kinematic one by the law of
// silicone fluids times its density.
static void equivalent_oil_in_the_cold_work(struct bench *bench) {
  struct pl_figures *const own = compared(bench, OWN("air = 9 degC"))->setup;
  const double warm = pow(10, 763.1 / (273.0 + 20)) / (1 + 9.6e-4 * (20 - 25));
  const double cold = pow(10, 763.1 / (273.0 + 9)) / (1 + 9.6e-4 * (9 - 25));
  assert_near(value_at(own, PL_FIGURE_EQUIVALENT_OIL, PL_FRONT_LEFT), 300e-6 * warm / cold,
              1e-8);
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(nothing_differs)
CASE(tolerance_of_a_move)
CASE(places_fold)
CASE(places_of_different_values_stay_apart)
CASE(words_of_places)
CASE(base_lacks)
CASE(a_fallback_is_a_value)
CASE(extras)
CASE(dropped)
CASE(isolated)
CASE(a_bar_by_its_name)
CASE(an_extra_is_no_ballast)
CASE(ballast_alone)
CASE(found_by_kind)
CASE(ballast_in_units)
CASE(an_absent_end_is_no_effect)
CASE(effects_end)
CASE(differences)
CASE(a_shared_unit_stands_once)
CASE(words_have_no_effect)
CASE(moved_as_printed)
CASE(equivalent_oil)
CASE(equivalent_oil_in_the_cold)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(nothing_differs),
      cmocka_unit_test(tolerance_of_a_move),
      cmocka_unit_test(places_fold),
      cmocka_unit_test(places_of_different_values_stay_apart),
      cmocka_unit_test(words_of_places),
      cmocka_unit_test(base_lacks),
      cmocka_unit_test(a_fallback_is_a_value),
      cmocka_unit_test(extras),
      cmocka_unit_test(dropped),
      cmocka_unit_test(isolated),
      cmocka_unit_test(a_bar_by_its_name),
      cmocka_unit_test(an_extra_is_no_ballast),
      cmocka_unit_test(ballast_alone),
      cmocka_unit_test(found_by_kind),
      cmocka_unit_test(ballast_in_units),
      cmocka_unit_test(an_absent_end_is_no_effect),
      cmocka_unit_test(effects_end),
      cmocka_unit_test(differences),
      cmocka_unit_test(a_shared_unit_stands_once),
      cmocka_unit_test(words_have_no_effect),
      cmocka_unit_test(moved_as_printed),
      cmocka_unit_test(equivalent_oil),
      cmocka_unit_test(equivalent_oil_in_the_cold),
  };
  return cmocka_run_group_tests_name("compare", tests, NULL, NULL);
}
