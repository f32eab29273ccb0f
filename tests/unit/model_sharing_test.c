// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what several programs of one session, and several blocks of one layer, share and what
// they do not.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <string.h>

static const char *problems_of(struct pl_bench *bench, const char *path) {
  bench->program = pl_program_load(bench->session, bench->arena, path);
  return pl_bench_problems(bench);
}

static void write_text(const char *path, const char *text) {
  pl_test_write(path, text, strlen(text));
}

// ---------------------------------------------------------------- programs of one session

/// A library that takes a name from whoever includes it is right for one and wrong for another,
/// whichever comes first.
static void library_is_checked_for_each_program(struct pl_bench *bench) {
  write_text("lib.leaf", "oil \"x\" { viscosity = thick }\n");
  write_text("a.leaf", "include \"lib.leaf\"\nlet thick = 500 cSt\nsetup \"a\" { }\n");
  write_text("b.leaf", "include \"lib.leaf\"\nsetup \"b\" { }\n");
  assert_string_equal(problems_of(bench, "a.leaf"), "");
  assert_string_equal(problems_of(bench, "b.leaf"), "unknown-name");
  assert_string_equal(problems_of(bench, "a.leaf"), "");
  assert_string_equal(problems_of(bench, "b.leaf"), "unknown-name");
}

static void parts_and_scales_of_each_program(struct pl_bench *bench) {
  write_text("lib.leaf", "oil \"x\" from \"base\" { }\n"
                         "damper \"d\" { bore = 13 mm; opposed-spring = \"op\" }\n"
                         "oil \"w\" { viscosity = 30 wt }\n");
  write_text("whole.leaf", "include \"lib.leaf\"\n"
                           "oil \"base\" { viscosity = 300 cSt }\n"
                           "spring \"op\" { rate = 0.1 N/mm }\n"
                           "oil-scale \"s\" { 30 wt = 350 cSt }\nsetup \"a\" { }\n");
  write_text("bare.leaf", "include \"lib.leaf\"\nsetup \"b\" { }\n");
  assert_string_equal(problems_of(bench, "whole.leaf"), "");
  assert_string_equal(problems_of(bench, "bare.leaf"),
                      "unknown-base unknown-part weight-without-scale");
  assert_string_equal(problems_of(bench, "whole.leaf"), "");
}

/// A library's own mistakes are told to each program that includes it, once.
static void mistakes_of_a_library(struct pl_bench *bench) {
  write_text("lib.leaf",
             "oil \"x\" { viscosity = 300 mm; densty = 970 kg/m^3 }\nsprig \"s\" { }\n");
  write_text("a.leaf", "include \"lib.leaf\"\nsetup \"a\" { }\n");
  write_text("b.leaf", "include \"lib.leaf\"\nsetup \"b\" { }\n");
  const char *const codes = problems_of(bench, "a.leaf");
  assert_string_equal(codes, problems_of(bench, "b.leaf"));
  assert_non_null(strstr(codes, "unknown-kind"));
  assert_non_null(strstr(codes, "unknown-key"));
}

/// Nor is a mistake lost that another line of the first program had led to already: the check
/// of the block itself has nothing new to say then.
static void mistakes_found_by_a_name_first(struct pl_bench *bench) {
  write_text("lib.leaf", "spring \"s\" { rate = 0.5 N/mm; coils = 1.5 mm }\n");
  write_text("a.leaf",
             "include \"lib.leaf\"\nlet rate = \"s\"\n"
             "damper \"d\" { bore = 13 mm; opposed-spring = \"s\" }\nsetup \"a\" { }\n");
  write_text("b.leaf", "include \"lib.leaf\"\nsetup \"b\" { }\n");
  const char *const codes = problems_of(bench, "a.leaf");
  assert_string_not_equal(codes, "");
  assert_string_equal(problems_of(bench, "b.leaf"), codes);
  assert_string_equal(problems_of(bench, "a.leaf"), codes);
}

/// Loads "a.leaf" a third time; returns the memory that this took. (At the second it is kept by
/// which path a file was found.)
static size_t memory_of_third_load(struct pl_bench *bench) {
  assert_string_equal(problems_of(bench, "a.leaf"), "");
  assert_string_equal(problems_of(bench, "a.leaf"), "");
  const size_t before = pl_arena_used(bench->arena);
  bench->program = pl_program_load(bench->session, bench->arena, "a.leaf");
  return pl_arena_used(bench->arena) - before;
}

/// Blocks that name nothing are checked once, and leave nothing behind: a further program
/// that includes a shelf of hundreds takes as much memory as one with a single part.
static void sound_blocks_are_checked_once(struct pl_bench *bench) {
  write_text("a.leaf", "include \"lib.leaf\"\n");
  write_text("lib.leaf", "spring \"s\" { rate = 0.5 N/mm }\n");
  const size_t one = memory_of_third_load(bench);
  struct pl_buffer shelf = {.arena = bench->arena};
  for (int i = 0; i < 500; i++)
    pl_buffer_format(&shelf, "spring \"s%d\" { rate = 0.5 N/mm }\n", i);
  write_text("all.leaf", pl_buffer_string(&shelf));
  write_text("a.leaf", "include \"all.leaf\"\n");
  assert_int_equal(memory_of_third_load(bench), one);
}

// ---------------------------------------------------------------- blocks of one layer

static const char *extra_at(const struct pl_setup *setup, enum pl_place place) {
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  assert_int_equal(count, 1);
  return extras[0].at[place].value.text;
}

/// The narrower scope wins for extras as for settings, wherever it stands in the file.
static void extras_of_narrower_scopes(struct pl_bench *bench) {
  const struct pl_setup *setup =
      pl_bench_setup(bench, "setup \"s\" {\n"
                            " front-left { extra { \"a\" = \"corner\" } }\n"
                            " front { extra { \"a\" = \"axle\" } }\n"
                            " all { extra { \"a\" = \"all\" } }\n}\n");
  assert_problems(bench, "");
  assert_string_equal(extra_at(setup, PL_FRONT_LEFT), "corner");
  assert_string_equal(extra_at(setup, PL_FRONT_RIGHT), "axle");
  assert_string_equal(extra_at(setup, PL_REAR_LEFT), "all");
  size_t count = 0;
  const struct pl_resolved *const touched =
      &pl_setup_extras(setup, &count)[0].at[PL_FRONT_LEFT];
  assert_int_equal(touched->touch_count, 3);
  assert_string_equal(touched->touches[0].scope, "all");
  assert_string_equal(touched->touches[1].scope, "front");
  assert_string_equal(touched->touches[2].scope, "front-left");
  // A later layer replaces, however wide it is.
  setup =
      pl_bench_setup(bench, "setup \"b\" { front-left { extra { \"a\" = \"corner\" } } }\n"
                            "setup \"s\" from \"b\" { all { extra { \"a\" = \"all\" } } }\n");
  assert_string_equal(extra_at(setup, PL_FRONT_LEFT), "all");
}

/// A setting stands once in a layer, also where a value in between needs a part's block.
static void twice_around_a_part(struct pl_bench *bench) {
  const char *const text = "oil \"a\" { viscosity = 300 cSt }\n"
                           "setup \"s\" {\n class = \"x\"\n"
                           " extra { \"mix\" = \"%s\"; \"of\" = blend(\"a\" 100 %%) }\n"
                           " scale = \"1/10\"; drive = \"rear\"; mass = 1500 g\n%s}\n";
  pl_bench_setup(bench, pl_format(bench->arena, text, "n", ""));
  assert_problems(bench, "wrong-kind");
  pl_bench_setup(bench, pl_format(bench->arena, text, "n", " class = \"y\"\n"));
  assert_problems(bench, "wrong-kind given-twice");
}

/// The same layer in a second collection, as a base of another setup, is not a second giving.
static void bases_are_not_twice(struct pl_bench *bench) {
  pl_bench_setup(bench, "setup \"b\" { preload = 1 mm; extra { \"a\" = \"1\" }\n"
                        " ballast \"l\" { mass = 1 g } }\n"
                        "setup \"c\" from \"b\" { preload = 2 mm; extra { \"a\" = \"2\" }\n"
                        " ballast \"l\" { mass = 2 g } }\n"
                        "setup \"s\" from \"c\" { preload = 3 mm; extra { \"a\" = \"3\" } }\n");
  assert_problems(bench, "");
}

static void check_only_setup(void *context) {
  struct pl_program *const program = context;
  pl_setup_check(pl_program_setup(program, NULL));
}

/// What is worked out aside leaves its problems and nothing else.
static void setups_worked_out_aside(struct pl_bench *bench) {
  bench->spare = pl_arena_new(bench->guard);
  pl_bench_program(bench, "oil \"o\" { viscosity = 300 cSt }\nlet l = blend(\"o\" 100 %)\n"
                          "setup \"s\" { oil = l; preload = 99 mm; front { oil = \"o\" } }\n");
  assert_problems(bench, "");
  const size_t used = pl_arena_used(bench->arena);
  pl_program_aside(bench->program, bench->spare, check_only_setup, bench->program);
  assert_true(pl_arena_used(bench->spare) > 10000);
  assert_true(pl_arena_used(bench->arena) - used < 8000); // the problem
  pl_arena_reset(bench->spare);
  assert_problems(bench, "outside-usual");
  const struct pl_setup *const setup = pl_program_setup(bench->program, NULL);
  pl_setup_check(setup);
  assert_problems(bench, "outside-usual");
  assert_string_equal(pl_setup_part(setup, PL_SETTING_OIL, PL_FRONT_LEFT)->name, "o");
}

/// A setup says which car it is of by a `let` as well as by the name itself.
static void car_by_let(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "let mine = \"c\"\ncar \"c\" { mass = 1500 g }\n"
                            "setup \"s\" { car = mine }\n");
  assert_problems(bench, "");
  assert_true(pl_setup_number(setup, PL_SETTING_MASS, PL_CAR) == 1.5);
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_FOLDER_TEST(library_is_checked_for_each_program),
                                     PL_FOLDER_TEST(parts_and_scales_of_each_program),
                                     PL_FOLDER_TEST(mistakes_of_a_library),
                                     PL_FOLDER_TEST(mistakes_found_by_a_name_first),
                                     PL_FOLDER_TEST(sound_blocks_are_checked_once),
                                     PL_BENCH_TEST(extras_of_narrower_scopes),
                                     PL_BENCH_TEST(twice_around_a_part),
                                     PL_BENCH_TEST(bases_are_not_twice),
                                     PL_BENCH_TEST(setups_worked_out_aside),
                                     PL_BENCH_TEST(car_by_let)};
  return cmocka_run_group_tests_name("model_sharing", tests, NULL, NULL);
}
