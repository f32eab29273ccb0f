// SPDX-License-Identifier: GPL-3.0-or-later
// Tests names: settings in expressions, `let`s across files, and which setup is worked on.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "support.h"

#include <string.h>

static double millimetres(const struct pl_setup *setup, enum pl_setting setting,
                          enum pl_place place) {
  return pl_setup_number(setup, setting, place) * 1e3;
}

// ---------------------------------------------------------------- settings in expressions

/// A setting of the same corner, whatever the scope in which the line stands.
static void setting_of_the_same_corner(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"A\" {\n  collar = preload + 1 mm\n"
                            "  all { preload = 2 mm }; rear-left { preload = 4 mm }\n}\n");
  assert_problems(bench, "");
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_FRONT_LEFT), 3.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_REAR_LEFT), 5.0, 1e-12);
}

/// `front.preload`, seen from rear-left, is that of front-left; `left.…` from the front axle is
/// front-left's; a corner is itself from everywhere.
static void setting_of_another_place(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "setup \"A\" {\n"
             "  front-left { preload = 1 mm }; front-right { preload = 2 mm }\n"
             "  rear { preload = front.preload + 4 mm }\n"
             "  front { collar = rear.preload; bar-wire = left.preload + 0.5 mm }\n"
             "  rear { collar = right.preload; bar-wire = front.bar-wire }\n"
             "  limiter = rear-right.preload\n"
             "  wheelbase = 100 * front-right.preload\n"
             "  width = front.bar-wire * 100\n"
             "}\n");
  assert_problems(bench, "");
  assert_near(millimetres(setup, PL_SETTING_PRELOAD, PL_REAR_LEFT), 5.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_PRELOAD, PL_REAR_RIGHT), 6.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_FRONT_LEFT), 5.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_FRONT_RIGHT), 6.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_REAR_LEFT), 6.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_BAR_WIRE, PL_FRONT), 1.5, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_BAR_WIRE, PL_REAR), 1.5, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_LIMITER, PL_FRONT_LEFT), 6.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_WHEELBASE, PL_CAR), 200.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_WIDTH, PL_CAR), 150.0, 1e-12);
}

/// The value that a name means is the final one, of all layers.
static void names_mean_final_values(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"A\" { collar = preload + 1 mm; preload = 2 mm }\n"
                            "setup \"B\" from \"A\" { rear { preload += 3 mm } }\n");
  assert_problems(bench, "");
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_FRONT_LEFT), 3.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_REAR_LEFT), 6.0, 1e-12);
}

static void setting_of_a_part(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench,
      "spring \"F\" { rate = 0.62 N/mm; free-length = 40 mm }\n"
      "damper \"D\" { bore = 13 mm; shaft = bore / 4; seal { ring-inside = shaft - 0.25 mm } }\n"
      "setup \"A\" { spring = \"F\"; damper = \"D\"\n"
      "  preload = spring.free-length / 20\n"
      "  rear { preload = front.spring.free-length / 10 }\n"
      "  collar = damper.seal.ring-inside\n}\n");
  assert_problems(bench, "");
  assert_near(millimetres(setup, PL_SETTING_PRELOAD, PL_FRONT_LEFT), 2.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_PRELOAD, PL_REAR_LEFT), 4.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_REAR_LEFT), 3.0, 1e-12);
}

/// A `let` goes before a setting of the same name.
static void let_goes_before_setting(struct pl_bench *bench) {
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "let droop = 9 mm\nsetup \"A\" { droop = 20 mm; collar = droop }\n");
  assert_problems(bench, "");
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_FRONT_LEFT), 9.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_DROOP, PL_FRONT_LEFT), 20.0, 1e-12);
}

// ---------------------------------------------------------------- files

/// A `let` is known in every file of the program, also in those that it includes.
static void lets_across_files(struct pl_bench *bench) {
  pl_test_write_text("one.leaf",
                     "include \"two.leaf\"\nlet club = house + 1 mm\nlet sum = club + shim\n");
  pl_test_write_text("two.leaf", "let shim = own / 2\n");
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "include \"one.leaf\"\nlet house = 2 mm\nlet own = 8 mm\n"
                            "setup \"A\" { preload = club; collar = sum; limiter = shim }\n");
  assert_problems(bench, "");
  assert_near(millimetres(setup, PL_SETTING_PRELOAD, PL_FRONT_LEFT), 3.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_COLLAR, PL_FRONT_LEFT), 7.0, 1e-12);
  assert_near(millimetres(setup, PL_SETTING_LIMITER, PL_FRONT_LEFT), 4.0, 1e-12);
}

/// A `let` that nobody uses is checked like any other.
static void unused_let_is_checked(struct pl_bench *bench) {
  pl_test_write_text("one.leaf", "let wrong = 1 mm + 1 N\n");
  pl_bench_program(bench, "include \"one.leaf\"\nlet worse = wrong\nlet worst = 1 mm < 1 N\n");
  assert_problems(bench, "cannot-add cannot-compare");
}

/// A long chain of `let`s in an included file is no deep nesting.
static void long_chain_of_lets(struct pl_bench *bench) {
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "let a0 = 0\n");
  for (int i = 1; i <= 2000; i++) pl_buffer_format(&text, "let a%d = a%d + 1\n", i, i - 1);
  pl_test_write_text("one.leaf", pl_buffer_string(&text));
  pl_bench_program(bench, "include \"one.leaf\"\nlet last = a2000\n");
  assert_problems(bench, "");
  assert_near(pl_bench_value(bench, "last").number, 2000.0, 1e-12);
}

/// A setup may start from one of another file, which is no setup of this file.
static void base_in_another_file(struct pl_bench *bench) {
  pl_test_write_text("base.leaf",
                     "setup \"Base\" { preload = 2 mm }\nsetup \"Other\" { preload = 5 mm }\n");
  const struct pl_setup *const setup = pl_bench_setup(
      bench, "include \"base.leaf\"\nsetup \"Dry\" from \"Base\" { preload += 1 mm }\n");
  assert_problems(bench, "");
  assert_string_equal(pl_setup_name(setup), "Dry");
  assert_near(millimetres(setup, PL_SETTING_PRELOAD, PL_FRONT_LEFT), 3.0, 1e-12);
  const struct pl_resolved *const preload =
      pl_setup_get(setup, PL_SETTING_PRELOAD, PL_FRONT_LEFT);
  assert_int_equal(preload->touch_count, 2);
  assert_string_equal(preload->touches[0].span.source->path, "base.leaf");
  assert_string_equal(preload->touches[1].span.source->path, "test.leaf");
  assert_non_null(
      pl_program_setup(bench->program, "Other")); // by name also one that is included
  assert_problems(bench, "");
}

/// What is wrong with a file that two programs include is told to both.
static void included_problems_are_told_again(struct pl_bench *bench) {
  pl_test_write_text("one.leaf", "spring \"F\" { rate = 3 mm }\n");
  pl_bench_program(bench, "include \"one.leaf\"\n");
  assert_problems(bench, "wrong-dimension");
  pl_bench_program(bench, "include \"one.leaf\"\nlet wrong = 1 mm + 1 N\n");
  assert_problems(bench, "cannot-add wrong-dimension");
}

// ---------------------------------------------------------------- which setup

static void the_only_setup(struct pl_bench *bench) {
  assert_string_equal(pl_setup_name(pl_bench_setup(bench, "setup \"A\" { camber = -1 deg }\n")),
                      "A");
  assert_problems(bench, "");
}

/// The one that no other of the file is based on.
static void the_newest_setup(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"C\" from \"B\" { camber = -1 deg }\n"
                            "setup \"A\" { camber = -2 deg }\n"
                            "setup \"B\" from \"A\" { camber = -3 deg }\n");
  assert_string_equal(pl_setup_name(setup), "C");
  assert_problems(bench, "");
}

static void several_setups(struct pl_bench *bench) {
  const char *const text = "setup \"A\" { camber = -1 deg }\n"
                           "setup \"B\" from \"A\" { camber = -2 deg }\n"
                           "setup \"C\" from \"A\" { camber = -3 deg }\n";
  assert_null(pl_bench_setup(bench, text));
  assert_problems(bench, "several-setups");
  pl_bench_program(bench, text);
  const struct pl_setup *const chosen = pl_program_setup(bench->program, "A");
  assert_string_equal(pl_setup_name(chosen), "A");
  assert_near(pl_setup_number(chosen, PL_SETTING_CAMBER, PL_FRONT_LEFT) * 180 /
                  3.14159265358979,
              -1.0, 1e-9);
  assert_problems(bench, "");
}

static void setup_by_a_wrong_name(struct pl_bench *bench) {
  pl_bench_program(bench, "setup \"Plover dry\" { camber = -1 deg }\n");
  assert_null(pl_program_setup(bench->program, "Plover dyr"));
  assert_problems(bench, "no-such-setup");
  assert_string_equal(pl_program_problems(bench->program)->items[0].hint,
                      "did you mean \"Plover dry\"?");
}

static void no_setup(struct pl_bench *bench) {
  assert_null(pl_bench_setup(bench, "let house = 2 mm\n"));
  assert_problems(bench, "nothing-to-print");
}

/// Setups that lead in a circle, or to a base that is missing, are one problem and not two.
static void no_setup_behind_a_mistake(struct pl_bench *bench) {
  assert_null(pl_bench_setup(bench, "setup \"A\" from \"B\" { camber = -1 deg }\n"
                                    "setup \"B\" from \"A\" { camber = -2 deg }\n"));
  assert_problems(bench, "from-circle");
  assert_null(pl_bench_setup(bench, "setup \"A\" { camber = -1 deg }\n"
                                    "setup \"B\" from \"Z\" { camber = -2 deg }\n"));
  assert_problems(bench, "unknown-base");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(setting_of_the_same_corner),
      PL_BENCH_TEST(setting_of_another_place),
      PL_BENCH_TEST(names_mean_final_values),
      PL_BENCH_TEST(setting_of_a_part),
      PL_BENCH_TEST(let_goes_before_setting),
      PL_FOLDER_TEST(lets_across_files),
      PL_FOLDER_TEST(unused_let_is_checked),
      PL_FOLDER_TEST(long_chain_of_lets),
      PL_FOLDER_TEST(base_in_another_file),
      PL_FOLDER_TEST(included_problems_are_told_again),
      PL_BENCH_TEST(the_only_setup),
      PL_BENCH_TEST(the_newest_setup),
      PL_BENCH_TEST(several_setups),
      PL_BENCH_TEST(setup_by_a_wrong_name),
      PL_BENCH_TEST(no_setup),
      PL_BENCH_TEST(no_setup_behind_a_mistake),
  };
  return cmocka_run_group_tests_name("model, names", tests, NULL, NULL);
}
