// SPDX-License-Identifier: GPL-3.0-or-later
// Clauses of published rulebooks, written as rules and judged on cars just inside, on, and just
// outside each limit, also in units that the rulebook does not use.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "pitleaf/rules.h"

#include <string.h>

/// A car by one of its measures, and the outcome of the clause that is about it.
struct car {
  const char *clause;
  const char *measure;
  const char *outcome;
};

static const struct pl_verdict *verdict_of(const struct pl_judgement *judgement,
                                           const char *clause) {
  for (size_t i = 0; i < judgement->count; i++) {
    if (strcmp(judgement->verdicts[i].rule->name, clause) == 0) return &judgement->verdicts[i];
  }
  fail_msg("there is no clause %s", clause);
  return NULL;
}

static void judge_car(struct pl_bench *bench, const char *rules, const struct car *car) {
  struct pl_program *const program = pl_bench_program(
      bench, pl_format(bench->arena, "%s\nsetup \"s\" { %s }\n", rules, car->measure));
  const struct pl_rules *const set = pl_program_rules(program, NULL);
  const struct pl_setup *const setup = pl_program_setup(program, NULL);
  assert_problems(bench, "");
  const struct pl_judgement *const judgement =
      pl_judge(bench->arena, set, pl_figures_new(setup, NULL), PL_METRIC, NULL);
  const char *const got = pl_outcome_name(verdict_of(judgement, car->clause)->outcome);
  print_message("  %-34s %-36s expected %-8s got %s\n", car->clause, car->measure, car->outcome,
                got);
  assert_string_equal(got, car->outcome);
  // Of what a car does not declare nothing is known: no other clause passes or fails.
  assert_int_equal(judgement->unknown, judgement->count - 1);
}

static void judge_cars(struct pl_bench *bench, const char *rules, const struct car *cars,
                       size_t count) {
  for (size_t i = 0; i < count; i++) judge_car(bench, rules, &cars[i]);
}

/// ROAR, rules of 9 May 2022, tenth-scale 4WD stadium truck: length 15.25 to 18.0 in, width at
/// most 13.0 in, wheelbase 9.0 to 11.5 in, weight at least 64 oz.
static void stadium_truck(struct pl_bench *bench) {
  static const char rules[] =
      "rules \"ROAR, 4WD stadium truck\" {\n"
      "  edition = \"9 May 2022\"\n"
      "  rule \"length\" { require = length in 15.25 in .. 18.0 in }\n"
      "  rule \"width\" { require = width <= 13.0 in }\n"
      "  rule \"wheelbase\" { require = wheelbase in 9.0 in .. 11.5 in }\n"
      "  rule \"weight\" { require = mass >= 64 oz }\n"
      "}\n";
  // In millimetres and grams by the definitions: 25.4 mm and 28.349523125 g.
  static const struct car cars[] = {
      {"length", "length = 15.24 in", "fail"},
      {"length", "length = 15.25 in", "pass"},
      {"length", "length = 15.26 in", "pass"},
      {"length", "length = 17.99 in", "pass"},
      {"length", "length = 18.0 in", "pass"},
      {"length", "length = 18.01 in", "fail"},
      {"length", "length = 387.34 mm", "fail"},
      {"length", "length = 387.35 mm", "pass"},
      {"length", "length = 457.2 mm", "pass"},
      {"length", "length = 457.21 mm", "fail"},
      {"width", "width = 12.99 in", "pass"},
      {"width", "width = 13.0 in", "pass"},
      {"width", "width = 13.01 in", "fail"},
      {"width", "width = 330.19 mm", "pass"},
      {"width", "width = 330.2 mm", "pass"},
      {"width", "width = 330.21 mm", "fail"},
      {"wheelbase", "wheelbase = 8.99 in", "fail"},
      {"wheelbase", "wheelbase = 9.0 in", "pass"},
      {"wheelbase", "wheelbase = 11.5 in", "pass"},
      {"wheelbase", "wheelbase = 11.51 in", "fail"},
      {"wheelbase", "wheelbase = 228.59 mm", "fail"},
      {"wheelbase", "wheelbase = 228.6 mm", "pass"},
      {"wheelbase", "wheelbase = 29.21 cm", "pass"},
      {"wheelbase", "wheelbase = 292.11 mm", "fail"},
      {"weight", "mass = 63.99 oz", "fail"},
      {"weight", "mass = 64 oz", "pass"},
      {"weight", "mass = 4 lb", "pass"},
      {"weight", "mass = 64.01 oz", "pass"},
      {"weight", "mass = 1814.36 g", "fail"},
      {"weight", "mass = 1814.36948 g", "pass"}, // 64 times 28.349523125 g
      {"weight", "mass = 1.81437 kg", "pass"},
  };
  judge_cars(bench, rules, cars, sizeof cars / sizeof cars[0]);
}

/// AARCMCC, rules of 2009, eighth-scale electric buggy: length at most 730 mm, width at most
/// 310 mm at any compression, wheelbase 270 to 330 mm, height at most 250 mm at full
/// compression, weight at least 3.2 kg.
static void electric_buggy(struct pl_bench *bench) {
  static const char rules[] =
      "rules \"AARCMCC, eighth electric buggy\" {\n"
      "  edition = \"2009\"\n"
      "  rule \"length\" { require = length <= 730 mm }\n"
      "  rule \"width\" { require = width <= 310 mm }\n"
      "  rule \"wheelbase\" { require = wheelbase in 270 mm .. 330 mm }\n"
      "  rule \"height\" { require = height <= 250 mm }\n"
      "  rule \"weight\" { require = mass >= 3.2 kg }\n"
      "}\n";
  static const struct car cars[] = {
      {"length", "length = 729.9 mm", "pass"},
      {"length", "length = 730 mm", "pass"},
      {"length", "length = 730.1 mm", "fail"},
      {"length", "length = 28.74 in", "pass"}, // 729.996 mm
      {"length", "length = 730 mm / 25.4 mm * 1 in", "pass"},
      {"length", "length = 28.75 in", "fail"}, // 730.25 mm
      {"width", "width = 309.9 mm", "pass"},
      {"width", "width = 31 cm", "pass"},
      {"width", "width = 310.1 mm", "fail"},
      {"width", "width = 12.20 in", "pass"}, // 309.88 mm
      {"width", "width = 12.21 in", "fail"}, // 310.134 mm
      {"wheelbase", "wheelbase = 269.9 mm", "fail"},
      {"wheelbase", "wheelbase = 270 mm", "pass"},
      {"wheelbase", "wheelbase = 330 mm", "pass"},
      {"wheelbase", "wheelbase = 330.1 mm", "fail"},
      {"wheelbase", "wheelbase = 10.62 in", "fail"}, // 269.748 mm
      {"wheelbase", "wheelbase = 10.63 in", "pass"}, // 270.002 mm
      {"wheelbase", "wheelbase = 12.99 in", "pass"}, // 329.946 mm
      {"wheelbase", "wheelbase = 13.0 in", "fail"},  // 330.2 mm
      {"height", "height = 249.9 mm", "pass"},
      {"height", "height = 0.25 m", "pass"},
      {"height", "height = 250.1 mm", "fail"},
      {"height", "height = 9.84 in", "pass"}, // 249.936 mm
      {"height", "height = 9.85 in", "fail"}, // 250.19 mm
      {"weight", "mass = 3199.9 g", "fail"},
      {"weight", "mass = 3200 g", "pass"},
      {"weight", "mass = 3200.1 g", "pass"},
      {"weight", "mass = 112.87 oz", "fail"}, // 3199.81 g
      {"weight", "mass = 3200 / 28.349523125 * 1 oz", "pass"},
      {"weight", "mass = 112.88 oz", "pass"}, // 3200.09 g
  };
  judge_cars(bench, rules, cars, sizeof cars / sizeof cars[0]);
}

/// A car on the limits of both keeps both, the second set written as one that replaces the
/// first.
static void one_car_in_both(struct pl_bench *bench) {
  static const char car[] = "length = 457.2 mm; width = 310 mm; wheelbase = 292.1 mm\n"
                            "height = 150 mm; mass = 3.2 kg";
  static const char both[] =
      "rules \"truck\" { rule \"length\" { require = length in 15.25 in .. 18.0 in }\n"
      "  rule \"width\" { require = width <= 13.0 in }\n"
      "  rule \"wheelbase\" { require = wheelbase in 9.0 in .. 11.5 in }\n"
      "  rule \"weight\" { require = mass >= 64 oz } }\n"
      "rules \"buggy\" from \"truck\" { rule \"length\" { require = length <= 730 mm }\n"
      "  rule \"width\" { require = width <= 310 mm }\n"
      "  rule \"wheelbase\" { require = wheelbase in 270 mm .. 330 mm }\n"
      "  rule \"height\" { require = height <= 250 mm }\n"
      "  rule \"weight\" { require = mass >= 3.2 kg } }\n";
  static const char *const names[] = {"truck", "buggy"};
  static const size_t counts[] = {4, 5};
  for (size_t i = 0; i < 2; i++) {
    struct pl_program *const program =
        pl_bench_program(bench, pl_format(bench->arena, "%s\nsetup \"s\" { %s }\n", both, car));
    const struct pl_rules *const rules = pl_program_rules(program, names[i]);
    const struct pl_setup *const setup = pl_program_setup(program, NULL);
    assert_problems(bench, "");
    const struct pl_judgement *const judgement =
        pl_judge(bench->arena, rules, pl_figures_new(setup, NULL), PL_METRIC, NULL);
    assert_int_equal(judgement->count, counts[i]);
    assert_int_equal(judgement->outcome, PL_PASSES);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(stadium_truck),
      PL_BENCH_TEST(electric_buggy),
      PL_BENCH_TEST(one_car_in_both),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
