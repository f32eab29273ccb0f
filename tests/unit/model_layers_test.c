// SPDX-License-Identifier: GPL-3.0-or-later
// Tests scopes and layers: who wins, and which lines are remembered. The numbers of the tests
// are those of the rules: 1 layers first, 2 the narrower scope, 3 axle and side, 4 the chain of
// lines.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "support.h"

#include <string.h>

static const char *const corner_names[] = {"front-left", "front-right", "rear-left",
                                           "rear-right"};

/// The preload of each corner in millimetres, in the order of the places; NAN: none.
static void assert_preloads(const struct pl_setup *setup, double front_left, double front_right,
                            double rear_left, double rear_right) {
  const double expected[] = {front_left, front_right, rear_left, rear_right};
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    const double got = pl_setup_number(setup, PL_SETTING_PRELOAD, (enum pl_place)place) * 1e3;
    const double wanted = expected[place];
    if (isnan(wanted) ? !isnan(got) : !pl_near(got, wanted, 1e-9))
      fail_msg("preload of %s is %g mm, not %g mm", corner_names[place], got, wanted);
  }
}

/// The lines that touched a value: "LAYER/SCOPE OPERATOR RESULT; …", results in millimetres.
static const char *touches_of(struct pl_bench *bench, const struct pl_setup *setup,
                              enum pl_setting setting, enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < resolved->touch_count; i++) {
    const struct pl_touch *const touch = &resolved->touches[i];
    pl_buffer_format(&text, "%s%s/%s:%u %s %s", i == 0 ? "" : "; ", touch->layer, touch->scope,
                     pl_position(touch->span).line, pl_operator_sign(touch->action),
                     pl_value_text(bench->arena, &touch->result));
  }
  return pl_buffer_string(&text);
}

#define assert_touches(bench, setup, place, expected)                                          \
  assert_string_equal(touches_of((bench), (setup), PL_SETTING_PRELOAD, (place)), (expected))

// ---------------------------------------------------------------- 1: layers

static void later_layer_replaces(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "car \"C\" { all { tyre-radius = 42 mm } }\n"
                            "setup \"A\" { car = \"C\"; all { preload = 1 mm } }\n"
                            "setup \"B\" from \"A\" { all { preload = 2 mm } }\n"
                            "setup \"D\" from \"B\" { all { preload = 3 mm } }\n");
  assert_problems(bench, "");
  assert_string_equal(pl_setup_name(setup), "D");
  assert_string_equal(pl_setup_base(setup), "B");
  assert_preloads(setup, 3, 3, 3, 3);
  assert_touches(bench, setup, PL_REAR_LEFT, "A/all:2 = 1 mm; B/all:3 = 2 mm; D/all:4 = 3 mm");
}

/// The car is the first layer, whichever of the setup's layers names it.
static void car_goes_first(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { all { preload = 1 mm }; mass = 1500 g }\n"
             "car \"C\" { all { preload = 9 mm; tyre-radius = 42 mm }; mass = 1600 g }\n"
             "setup \"B\" from \"A\" { car = \"C\" }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 1, 1, 1, 1);
  assert_touches(bench, setup, PL_FRONT_LEFT, "C/all:2 = 9 mm; A/all:1 = 1 mm");
  assert_near(pl_setup_number(setup, PL_SETTING_MASS, PL_CAR), 1.5, 1e-12);
  assert_near(pl_setup_number(setup, PL_SETTING_TYRE_RADIUS, PL_REAR_RIGHT), 0.042, 1e-12);
}

/// A later setup may change the car; then the other one's layer is gone.
static void newest_car_counts(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "car \"C\" { mass = 1600 g; wheelbase = 280 mm }\n"
                            "car \"D\" from \"E\" { mass = 1700 g }\n"
                            "car \"E\" { mass = 1800 g; width = 250 mm }\n"
                            "setup \"A\" { car = \"C\" }\n"
                            "setup \"B\" from \"A\" { car = \"D\" }\n");
  assert_problems(bench, "");
  assert_near(pl_setup_number(setup, PL_SETTING_MASS, PL_CAR), 1.7, 1e-12);
  assert_nan(pl_setup_number(setup, PL_SETTING_WHEELBASE, PL_CAR));
  assert_near(pl_setup_number(setup, PL_SETTING_WIDTH, PL_CAR), 0.25, 1e-12);
}

/// A wide value of a later layer goes before a narrow one of an earlier layer, with a warning
/// where that changes something.
static void wide_later_hides_narrow_earlier(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { all { preload = 2 mm }; rear-left { preload = 4 mm } }\n"
             "setup \"B\" from \"A\" { rear { preload = 3 mm } }\n");
  assert_problems(bench, "hides-narrower");
  assert_preloads(setup, 2, 2, 3, 3);
  const struct pl_diagnostic *const warning = &pl_program_problems(bench->program)->items[0];
  assert_int_equal(pl_position(warning->span).line, 2);
  assert_int_equal(warning->related_count, 1);
  assert_int_equal(pl_position(warning->related[0].span).line, 1);
}

/// Where the corner is given again, the wide value hides nothing.
static void given_again_is_not_hidden(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench,
      "setup \"A\" { all { preload = 2 mm }; rear-left { preload = 4 mm } }\n"
      "setup \"B\" from \"A\" { rear { preload = 3 mm }; rear-left { preload = 5 mm } }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 2, 2, 5, 3);
  assert_touches(bench, setup, PL_REAR_LEFT,
                 "A/all:1 = 2 mm; A/rear-left:1 = 4 mm; B/rear:2 = 3 mm; B/rear-left:2 = 5 mm");
}

/// What is hidden is told once, and a change in between does not hide that it was narrow.
static void hidden_behind_a_change(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { all { preload = 2 mm }; rear-left { preload = 4 mm } }\n"
             "setup \"B\" from \"A\" { rear { preload += 1 mm } }\n"
             "setup \"D\" from \"B\" { all { preload = 6 mm }; rear { preload = 7 mm } }\n");
  assert_problems(bench, "hides-narrower");
  assert_preloads(setup, 6, 6, 7, 7);
}

static void same_value_hides_nothing(struct pl_bench *bench) {
  (void)pl_bench_setup(bench,
                       "setup \"A\" { all { preload = 2 mm }; rear-left { preload = 3 mm } }\n"
                       "setup \"B\" from \"A\" { rear { preload = 0.3 cm } }\n");
  assert_problems(bench, ""); // rear-left has what it had
}

// ---------------------------------------------------------------- 2: the narrower scope

static void narrower_scope_wins(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" {\n"
             "  rear-left { preload = 4 mm }\n" // the order of the lines does not matter
             "  rear { preload = 3 mm }\n"
             "  all { preload = 2 mm }\n"
             "}\n");
  assert_problems(bench, "");
  assert_preloads(setup, 2, 2, 4, 3);
  assert_touches(bench, setup, PL_REAR_LEFT,
                 "A/all:4 = 2 mm; A/rear:3 = 3 mm; A/rear-left:2 = 4 mm");
  assert_touches(bench, setup, PL_FRONT_RIGHT, "A/all:4 = 2 mm");
}

static void every_scope(struct pl_bench *bench) {
  static const struct {
    const char *scope;
    bool covers[4];
  } cases[] = {{"all", {true, true, true, true}},
               {"front", {true, true, false, false}},
               {"rear", {false, false, true, true}},
               {"left", {true, false, true, false}},
               {"right", {false, true, false, true}},
               {"front-left", {true, false, false, false}},
               {"front-right", {false, true, false, false}},
               {"rear-left", {false, false, true, false}},
               {"rear-right", {false, false, false, true}}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_setup *const setup =
        pl_bench_setup(bench, pl_format(bench->arena, "setup \"A\" { %s { preload = 5 mm } }\n",
                                        cases[i].scope));
    assert_problems(bench, "");
    const bool *const covers = cases[i].covers;
    assert_preloads(setup, covers[0] ? 5 : NAN, covers[1] ? 5 : NAN, covers[2] ? 5 : NAN,
                    covers[3] ? 5 : NAN);
  }
}

/// A corner's setting at the top of a setup is for all corners.
static void top_means_all(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"A\" { preload = 5 mm; front { preload = 6 mm } }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 6, 6, 5, 5);
}

/// A setting of an axle may stand in `all` and in an axle; one of the car at the top alone.
static void settings_of_axle_and_car(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench,
      "setup \"A\" { all { track = 240 mm }; rear { track = 250 mm }; mass = 1600 g }\n");
  assert_problems(bench, "");
  assert_near(pl_setup_number(setup, PL_SETTING_TRACK, PL_FRONT), 0.24, 1e-12);
  assert_near(pl_setup_number(setup, PL_SETTING_TRACK, PL_REAR_RIGHT), 0.25, 1e-12);
  assert_near(pl_setup_number(setup, PL_SETTING_MASS, PL_FRONT_LEFT), 1.6, 1e-12);
}

// ---------------------------------------------------------------- 3: axle and side

static void axle_and_side_disagree(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" {\n  front { preload = 3 mm }\n  left { preload = 4 mm }\n}\n");
  assert_problems(bench, "axle-or-side");
  assert_preloads(setup, NAN, 3, 4, NAN);
  const struct pl_diagnostic *const problem = &pl_program_problems(bench->program)->items[0];
  assert_int_equal(pl_position(problem->span).line, 3);
  assert_int_equal(problem->related_count, 1);
  assert_int_equal(pl_position(problem->related[0].span).line, 2);
}

/// Each axle and each side are equally narrow.
static void every_axle_and_side(struct pl_bench *bench) {
  static const char *const axles[] = {"front", "rear"};
  static const char *const sides[] = {"left", "right"};
  for (size_t i = 0; i < 4; i++) {
    (void)pl_bench_setup(
        bench, pl_format(bench->arena,
                         "setup \"A\" { %s { preload = 3 mm }; %s { preload = 4 mm } }\n",
                         axles[i / 2], sides[i % 2]));
    assert_problems(bench, "axle-or-side");
    const char *const message = pl_program_problems(bench->program)->items[0].message;
    const char *const corner = pl_format(bench->arena, "%s-%s", axles[i / 2], sides[i % 2]);
    assert_non_null(strstr(message, corner));
  }
}

static void axle_and_side_agree(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { front { preload = 3 mm }; left { preload = 0.3 cm } }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 3, 3, 3, NAN);
}

static void corner_decides(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"A\" { front { preload = 3 mm }; left { preload = 4 mm }\n"
                            "  front-left { preload = 5 mm } }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 5, 3, 4, NAN);
}

/// In different layers the later one goes first, and there is nothing to decide.
static void axle_and_side_of_two_layers(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"A\" { front { preload = 3 mm } }\n"
                            "setup \"B\" from \"A\" { left { preload = 4 mm } }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 4, 3, 4, NAN);
}

/// Where both make the same change, it is made once, in whichever order they stand.
static void same_change_by_axle_and_side(struct pl_bench *bench) {
  static const char *const texts[] = {
      "setup \"A\" { all { preload = 2 mm }\n"
      "  front { preload += 1 mm }; left { preload += 1 mm } }\n",
      "setup \"A\" { left { preload += 1 mm }; front { preload += 1 mm }\n"
      "  all { preload = 2 mm } }\n"};
  for (size_t i = 0; i < 2; i++) {
    const struct pl_setup *const setup = pl_bench_setup(bench, texts[i]);
    assert_problems(bench, "");
    assert_preloads(setup, 3, 3, 3, 2);
  }
}

// ---------------------------------------------------------------- relative assignments

static void changes_corner_by_corner(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench,
      "setup \"A\" { all { preload = 2 mm }; rear-left { preload = 4 mm } }\n"
      "setup \"B\" from \"A\" { rear { preload += 0.5 mm }; front { preload -= 1 mm } }\n"
      "setup \"D\" from \"B\" { all { preload *= 200 % }; rear-right { preload -= 1 mm } }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 2, 2, 9, 4);
  assert_touches(bench, setup, PL_REAR_RIGHT,
                 "A/all:1 = 2 mm; B/rear:2 += 2.5 mm; D/all:3 *= 5 mm; D/rear-right:3 -= 4 mm");
}

/// A change may start from what a wider scope of the same layer gives, and several add up.
static void change_from_wider_scope(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { all { preload = 2 mm }; rear-left { preload += 1 mm }\n"
             "  front { preload += 1 mm; preload += 1 mm } }\n");
  assert_problems(bench, "");
  assert_preloads(setup, 4, 4, 3, 2);
}

static void change_of_temperature(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" { air = 18 degC }\nsetup \"B\" from \"A\" { air += 5 K }\n");
  assert_problems(bench, "");
  assert_near(pl_setup_number(setup, PL_SETTING_AIR, PL_CAR), 273.15 + 23, 1e-12);
  (void)pl_bench_setup(
      bench, "setup \"A\" { air = 18 degC }\nsetup \"B\" from \"A\" { air += 5 degC }\n");
  assert_problems(bench, "cannot-add-temperatures");
}

/// The table's fallback is no value to start from: nobody gave it.
static void nothing_to_change(struct pl_bench *bench) {
  (void)pl_bench_setup(bench, "setup \"A\" { limiter += 1 mm }\n");
  assert_problems(bench, "nothing-to-change");
  const struct pl_setup *const setup = pl_bench_setup(bench, "setup \"A\" { mass = 1600 g }\n");
  const struct pl_resolved *const limiter =
      pl_setup_get(setup, PL_SETTING_LIMITER, PL_FRONT_LEFT);
  assert_false(limiter->given);
  assert_true(limiter->assumed);
  assert_near(limiter->value.number, 0.0, 1e-12);
  assert_near(pl_setup_number(setup, PL_SETTING_GRAVITY, PL_CAR), 9.80665, 1e-12);
}

/// A car by itself may change what only its setups give.
static void change_in_a_car(struct pl_bench *bench) {
  pl_bench_program(bench,
                   "car \"C\" { front { preload += 1 mm }; width = front.track + 40 mm }\n");
  assert_problems(bench, "");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(later_layer_replaces),
      PL_BENCH_TEST(car_goes_first),
      PL_BENCH_TEST(newest_car_counts),
      PL_BENCH_TEST(wide_later_hides_narrow_earlier),
      PL_BENCH_TEST(given_again_is_not_hidden),
      PL_BENCH_TEST(hidden_behind_a_change),
      PL_BENCH_TEST(same_value_hides_nothing),
      PL_BENCH_TEST(narrower_scope_wins),
      PL_BENCH_TEST(every_scope),
      PL_BENCH_TEST(top_means_all),
      PL_BENCH_TEST(settings_of_axle_and_car),
      PL_BENCH_TEST(axle_and_side_disagree),
      PL_BENCH_TEST(every_axle_and_side),
      PL_BENCH_TEST(axle_and_side_agree),
      PL_BENCH_TEST(corner_decides),
      PL_BENCH_TEST(axle_and_side_of_two_layers),
      PL_BENCH_TEST(same_change_by_axle_and_side),
      PL_BENCH_TEST(changes_corner_by_corner),
      PL_BENCH_TEST(change_from_wider_scope),
      PL_BENCH_TEST(change_of_temperature),
      PL_BENCH_TEST(nothing_to_change),
      PL_BENCH_TEST(change_in_a_car),
  };
  return cmocka_run_group_tests_name("model, layers", tests, NULL, NULL);
}
