// SPDX-License-Identifier: GPL-3.0-or-later
// Tests setups that are tried with other values: made by the language, never on the disk.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "support.h"

#include <string.h>

static const char *varied_name;

/// The program of a text with a trial; its setup is resolved and checked.
static struct pl_program *vary(struct pl_bench *bench, struct pl_arena *arena, const char *name,
                               struct pl_variation trial) {
  struct pl_program *const varied =
      pl_program_varied(bench->program, arena, name, &trial, 1, &varied_name);
  const struct pl_setup *const setup = pl_program_setup(varied, varied_name);
  if (setup != NULL) pl_setup_check(setup);
  return varied;
}

static double millimetres(struct pl_program *program, enum pl_place place) {
  return 1e3 *
         pl_setup_number(pl_program_setup(program, varied_name), PL_SETTING_PRELOAD, place);
}

/// Whatever stands in the file, the trial is a layer above it, and other values that go by the
/// one that is tried follow.
static void trial_is_the_newest_layer(struct pl_bench *bench) {
  pl_bench_setup(bench, "setup \"A\" {\n  rear { preload = 3 mm }\n"
                        "  rear-left { preload = 4 mm }\n"
                        "  rear { limiter = preload + 1 mm }\n}");
  assert_problems(bench, "");
  struct pl_program *const varied =
      vary(bench, bench->arena, "A", (struct pl_variation){"rear", "preload", "5.5 mm"});
  assert_int_equal(pl_program_problems(varied)->errors, 0);
  assert_near(millimetres(varied, PL_REAR_LEFT), 5.5, 1e-12);
  assert_near(millimetres(varied, PL_REAR_RIGHT), 5.5, 1e-12);
  assert_near(1e3 * pl_setup_number(pl_program_setup(varied, varied_name), PL_SETTING_LIMITER,
                                    PL_REAR_LEFT),
              6.5, 1e-12);
  // What it started from is as it was.
  assert_near(
      1e3 * pl_setup_number(pl_program_setup(varied, "A"), PL_SETTING_PRELOAD, PL_REAR_LEFT),
      4.0, 1e-12);
}

/// The whole car's settings stand in no scope.
static void trial_of_the_whole_car(struct pl_bench *bench) {
  pl_bench_setup(bench, "setup \"A\" { air = 18 degC }\n");
  struct pl_program *const varied =
      vary(bench, bench->arena, "A", (struct pl_variation){"car", "air", "9 degC"});
  assert_int_equal(pl_program_problems(varied)->count, 0);
  assert_near(pl_setup_number(pl_program_setup(varied, varied_name), PL_SETTING_AIR, PL_CAR),
              282.15, 1e-9);
}

/// A name that is taken is left alone, and quotes in names hold.
static void names_are_quoted_and_free(struct pl_bench *bench) {
  pl_bench_setup(bench, "setup \"A, varied\" { }\nsetup \"A\" from \"A, varied\" { }\n");
  vary(bench, bench->arena, "A", (struct pl_variation){"front", "preload", "1 mm"});
  assert_string_equal(varied_name, "A, varied 2");
  pl_bench_setup(bench, "setup \"5\\\" \\\\ wide\" { }\n");
  assert_problems(bench, "");
  const struct pl_setup *const setup = pl_program_setup(bench->program, NULL);
  struct pl_program *const varied = vary(bench, bench->arena, pl_setup_name(setup),
                                         (struct pl_variation){"front", "preload", "2 mm"});
  assert_int_equal(pl_program_problems(varied)->count, 0);
  assert_near(millimetres(varied, PL_FRONT_LEFT), 2.0, 1e-12);
}

/// What is wrong with the trial lies behind the file's text; what is wrong with the file does
/// not.
static void problems_of_trials_are_told_apart(struct pl_bench *bench) {
  pl_bench_setup(bench, "setup \"A\" { ride-height = 90 mm }\n");
  const char *const before = pl_bench_problems(bench);
  struct pl_program *const varied =
      vary(bench, bench->arena, "A", (struct pl_variation){"front", "preload", "250 cSt"});
  const struct pl_diagnostics *const problems = pl_program_problems(varied);
  size_t own = 0;
  for (size_t i = 0; i < problems->count; i++) {
    if (!pl_is_varied(bench->program, varied, problems->items[i].span)) continue;
    assert_string_equal(pl_diagnostic_rows[problems->items[i].code].code, "wrong-dimension");
    own++;
  }
  assert_int_equal(own, 1);
  assert_int_equal(problems->count - own, before[0] == '\0' ? 0 : 1);
}

/// Includes are found as from the file, and read once however often it is varied.
static void includes_hold(struct pl_bench *bench) {
  static const char oils[] = "oil \"a\" { viscosity = 300 cSt }\n";
  static const char text[] = "include \"oils.leaf\"\nsetup \"A\" { }";
  pl_test_write("oils.leaf", oils, strlen(oils));
  pl_test_write("main.leaf", text, strlen(text));
  bench->program = pl_program_load(bench->session, bench->arena, "main.leaf");
  struct pl_arena *const scratch = bench->spare = pl_arena_new(bench->guard);
  for (int i = 0; i < 2000; i++) {
    struct pl_program *const varied =
        vary(bench, scratch, "A", (struct pl_variation){"front", "oil", "\"a\""});
    assert_int_equal(pl_program_problems(varied)->count, 0);
    assert_non_null(
        pl_setup_part(pl_program_setup(varied, varied_name), PL_SETTING_OIL, PL_FRONT_LEFT));
    pl_arena_reset(scratch);
  }
  pl_test_write("oils.leaf", "oil", 3); // it is not read again
  struct pl_program *const varied =
      vary(bench, scratch, "A", (struct pl_variation){"front", "oil", "\"a\""});
  assert_int_equal(pl_program_problems(varied)->count, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(trial_is_the_newest_layer),
      PL_BENCH_TEST(trial_of_the_whole_car),
      PL_BENCH_TEST(names_are_quoted_and_free),
      PL_BENCH_TEST(problems_of_trials_are_told_apart),
      PL_FOLDER_TEST(includes_hold),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
