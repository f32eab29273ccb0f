// SPDX-License-Identifier: GPL-3.0-or-later
// Tests how rules are judged: limits and tolerances, places, what is not known, classes, and
// what was measured. How mistakes in rules read is tested in tests/errors.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "chance.h"
#include "near.h"

#include "pitleaf/rules.h"

#include <string.h>

// ---------------------------------------------------------------- judging a source

/// Judges the setup of a source by its rules; both stand in `text`, and what is known beside it
/// in `entrant`.
static const struct pl_judgement *judge_entrant(struct pl_bench *bench, const char *text,
                                                struct pl_entrant entrant) {
  struct pl_program *const program = pl_bench_program(bench, text);
  const struct pl_rules *const rules = pl_program_rules(program, NULL);
  const struct pl_setup *const setup = pl_program_setup(program, NULL);
  if (pl_program_problems(program)->errors > 0 || rules == NULL || setup == NULL) {
    fail_msg("%s%s", text, pl_bench_shown(bench));
    return NULL;
  }
  return pl_judge(bench->arena, rules, pl_figures_new(setup, NULL), PL_METRIC, &entrant);
}

static const struct pl_judgement *judge(struct pl_bench *bench, const char *text) {
  return judge_entrant(bench, text, (struct pl_entrant){.class_name = ""});
}

/// One rule of these lines, judged on a setup of these.
static const struct pl_judgement *judge_rule(struct pl_bench *bench, const char *rule,
                                             const char *setup) {
  return judge(bench, pl_format(bench->arena,
                                "damper \"ten\" { bore = 10 mm; compensation = bladder }\n"
                                "damper \"twelve\" { bore = 12 mm; compensation = emulsion }\n"
                                "damper \"fourteen\" { bore = 14 mm }\n"
                                "damper \"blank\" { shaft = 3 mm }\n"
                                "rules \"r\" { rule \"one\" {\n%s\n} }\n"
                                "setup \"s\" {\n%s\n}\n",
                                rule, setup));
}

/// The outcomes of all verdicts, with blanks between them.
static const char *outcomes(struct pl_bench *bench, const struct pl_judgement *judgement) {
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < judgement->count; i++)
    pl_buffer_format(&text, "%s%s", i == 0 ? "" : " ",
                     pl_outcome_name(judgement->verdicts[i].outcome));
  return pl_buffer_string(&text);
}

static const char *needs_of(struct pl_bench *bench, const struct pl_verdict *verdict) {
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < verdict->need_count; i++)
    pl_buffer_format(&text, "%s%s", i == 0 ? "" : " ", verdict->needs[i]);
  return pl_buffer_string(&text);
}

/// A row of a table: a rule, a setup, and the outcomes of the rule at its places.
struct row {
  const char *rule;
  const char *setup;
  const char *wanted;
};

static void hold_rows(struct pl_bench *bench, const struct row *rows, size_t count) {
  for (size_t i = 0; i < count; i++) {
    const char *const got = outcomes(bench, judge_rule(bench, rows[i].rule, rows[i].setup));
    if (strcmp(got, rows[i].wanted) != 0)
      fail_msg("%s on { %s } is `%s`, and `%s` was expected", rows[i].rule, rows[i].setup, got,
               rows[i].wanted);
  }
}

#define HOLD(bench, rows) hold_rows((bench), (rows), sizeof(rows) / sizeof(rows)[0])

// ---------------------------------------------------------------- limits

/// Every sign just inside, on, and just outside its limit, from both sides of it.
static void signs_at_their_limit(struct pl_bench *bench) {
  static const struct row rows[] = {{"require = width < 250 mm", "width = 249.9 mm", "pass"},
                                    {"require = width < 250 mm", "width = 250 mm", "fail"},
                                    {"require = width < 250 mm", "width = 250.1 mm", "fail"},
                                    {"require = width <= 250 mm", "width = 249.9 mm", "pass"},
                                    {"require = width <= 250 mm", "width = 250 mm", "pass"},
                                    {"require = width <= 250 mm", "width = 250.1 mm", "fail"},
                                    {"require = width > 250 mm", "width = 249.9 mm", "fail"},
                                    {"require = width > 250 mm", "width = 250 mm", "fail"},
                                    {"require = width > 250 mm", "width = 250.1 mm", "pass"},
                                    {"require = width >= 250 mm", "width = 249.9 mm", "fail"},
                                    {"require = width >= 250 mm", "width = 250 mm", "pass"},
                                    {"require = width >= 250 mm", "width = 250.1 mm", "pass"},
                                    {"require = width == 250 mm", "width = 249.9 mm", "fail"},
                                    {"require = width == 250 mm", "width = 250 mm", "pass"},
                                    {"require = width == 250 mm", "width = 250.1 mm", "fail"},
                                    {"require = width != 250 mm", "width = 249.9 mm", "pass"},
                                    {"require = width != 250 mm", "width = 250 mm", "fail"},
                                    {"require = width != 250 mm", "width = 250.1 mm", "pass"},
                                    {"require = 250 mm >= width", "width = 250 mm", "pass"},
                                    {"require = 250 mm >= width", "width = 250.1 mm", "fail"},
                                    {"require = 250 mm < width", "width = 250 mm", "fail"},
                                    {"require = 250 mm < width", "width = 250.1 mm", "pass"}};
  HOLD(bench, rows);
}

/// The same length in another unit is on the limit, whatever its last bit is.
static void a_hair_counts_for_the_entrant(struct pl_bench *bench) {
  static const struct row rows[] = {
      {"require = width <= 254 mm", "width = 10 in", "pass"},
      {"require = width >= 254 mm", "width = 10 in", "pass"},
      {"require = width == 254 mm", "width = 10 in", "pass"},
      {"require = width < 254 mm", "width = 10 in", "fail"},
      {"require = width <= 0.3 m", "width = 100 mm + 200 mm", "pass"},
      {"require = mass >= 64 oz", "mass = 1814.369481 g", "pass"},
      {"require = mass >= 64 oz", "mass = 1814.36 g", "fail"},
      {"require = mass >= 64 oz", "mass = 4 lb", "pass"},
      {"require = width in [10 in, 12 in]", "width = 254 mm", "pass"},
      {"require = width in 10 in .. 12 in", "width = 254 mm", "pass"},
      {"require = air >= 50 degF", "air = 10 degC", "pass"},
      {"require = air >= 51 degF", "air = 10 degC", "fail"}};
  HOLD(bench, rows);
}

/// The tolerance is given to the entrant, at either end, and never taken.
static void tolerance_at_its_limit(struct pl_bench *bench) {
  static const struct row rows[] = {
      {"require = width <= 250 mm; tolerance = 0.5 mm", "width = 250.5 mm", "pass"},
      {"require = width <= 250 mm; tolerance = 0.5 mm", "width = 250.51 mm", "fail"},
      {"require = width < 250 mm; tolerance = 0.5 mm", "width = 250.4 mm", "pass"},
      {"require = width < 250 mm; tolerance = 0.5 mm", "width = 250.51 mm", "fail"},
      {"require = width >= 250 mm; tolerance = 0.5 mm", "width = 249.5 mm", "pass"},
      {"require = width >= 250 mm; tolerance = 0.5 mm", "width = 249.49 mm", "fail"},
      {"require = width > 250 mm; tolerance = 0.5 mm", "width = 249.6 mm", "pass"},
      {"require = width > 250 mm; tolerance = 0.5 mm", "width = 249.49 mm", "fail"},
      {"require = width == 250 mm; tolerance = 0.5 mm", "width = 249.5 mm", "pass"},
      {"require = width == 250 mm; tolerance = 0.5 mm", "width = 250.5 mm", "pass"},
      {"require = width == 250 mm; tolerance = 0.5 mm", "width = 249.49 mm", "fail"},
      {"require = width == 250 mm; tolerance = 0.5 mm", "width = 250.51 mm", "fail"},
      {"require = width != 250 mm; tolerance = 0.5 mm", "width = 250.1 mm", "pass"},
      {"require = not width > 250 mm; tolerance = 0.5 mm", "width = 250 mm", "pass"},
      {"require = width in [200 mm, 250 mm]; tolerance = 0.5 mm", "width = 199.5 mm", "pass"},
      {"require = width in [200 mm, 250 mm]; tolerance = 0.5 mm", "width = 200.51 mm", "fail"},
      {"require = width in 200 mm .. 250 mm; tolerance = 0.5 mm", "width = 199.5 mm", "pass"},
      {"require = width in 200 mm .. 250 mm; tolerance = 0.5 mm", "width = 199.49 mm", "fail"},
      {"require = width in 200 mm .. 250 mm; tolerance = 0.5 mm", "width = 250.5 mm", "pass"},
      {"require = width in 200 mm .. 250 mm; tolerance = 0.5 mm", "width = 250.51 mm", "fail"},
      {"require = width in 200 mm .. 250 mm", "width = 200 mm", "pass"},
      {"require = width in 200 mm .. 250 mm", "width = 250 mm", "pass"},
      {"require = width in 200 mm .. 250 mm", "width = 199.9 mm", "fail"},
      {"require = width in 200 mm .. 250 mm", "width = 250.1 mm", "fail"}};
  HOLD(bench, rows);
}

static void the_tolerance_is_told_where_it_decides(struct pl_bench *bench) {
  static const struct {
    const char *rule;
    const char *setup;
    bool used;
  } rows[] = {
      {"require = width <= 250 mm; tolerance = 1 mm", "width = 250 mm", false},
      {"require = width <= 250 mm; tolerance = 1 mm", "width = 250.4 mm", true},
      {"require = width in [250 mm]; tolerance = 1 mm", "width = 250 mm", false},
      {"require = width in [250 mm]; tolerance = 1 mm", "width = 250.4 mm", true},
      {"require = width in 200 mm .. 250 mm; tolerance = 1 mm", "width = 199.4 mm", true},
      {"require = width in 200 mm .. 250 mm; tolerance = 1 mm", "width = 220 mm", false},
      {"require = width <= 250 mm and length <= 400 mm; tolerance = 1 mm",
       "width = 200 mm; length = 400.4 mm", true},
      {"require = width <= 250 mm or length <= 400 mm; tolerance = 1 mm",
       "width = 250.4 mm; length = 400 mm", false},
      {"require = width <= 250 mm or length <= 400 mm; tolerance = 1 mm",
       "width = 250.4 mm; length = 400.4 mm", true},
      {"require = width <= 250 mm; tolerance = 1 mm", "width = 252 mm", false}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_judgement *const judgement = judge_rule(bench, rows[i].rule, rows[i].setup);
    if (judgement->verdicts[0].tolerance_used != rows[i].used)
      fail_msg("%s on { %s }: the tolerance is told wrongly", rows[i].rule, rows[i].setup);
  }
}

static void lists_of_texts_and_words(struct pl_bench *bench) {
  static const struct row rows[] = {
      {"require = class in [\"2wd\", \"4wd\"]", "class = \"4wd\"", "pass"},
      {"require = class in [\"2wd\", \"4wd\"]", "class = \"truck\"", "fail"},
      {"require = class in [\"2wd\", \"4wd\"]", "width = 1 m", "unknown"},
      {"require = class == \"2wd\"", "class = \"2wd\"", "pass"},
      {"require = class != \"2wd\"", "class = \"2wd\"", "fail"},
      {"require = front.damper.compensation in [bladder, vented]",
       "all { damper = \"ten\" }; front { damper = \"ten\" }", "pass pass pass pass"},
      {"require = damper.compensation in [bladder, vented]", "all { damper = \"twelve\" }",
       "fail fail fail fail"},
      {"require = damper.compensation in [\"bladder\", \"vented\"]", "all { damper = \"ten\" }",
       "pass pass pass pass"},
      {"require = damper.compensation in [\"emulsion\", bladder]", "all { damper = \"ten\" }",
       "pass pass pass pass"},
      {"require = damper.compensation == bladder", "all { damper = \"ten\" }",
       "pass pass pass pass"},
      {"require = damper.compensation != bladder", "all { damper = \"ten\" }",
       "fail fail fail fail"},
      {"require = bladder == damper.compensation", "all { damper = \"twelve\" }",
       "fail fail fail fail"},
      {"require = damper.compensation == bladder", "all { damper = \"blank\" }",
       "unknown unknown unknown unknown"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const bool corner = strstr(rows[i].rule, "damper") != NULL;
    const struct row row = {
        pl_format(bench->arena, "%s%s", corner ? "for = each corner; " : "", rows[i].rule),
        rows[i].setup, rows[i].wanted};
    hold_rows(bench, &row, 1);
  }
}

// ---------------------------------------------------------------- what is told

/// Value, limit and excess as they are read.
static void what_a_failure_tells(struct pl_bench *bench) {
  static const struct {
    const char *rule;
    const char *setup;
    const char *key;
    const char *value;
    const char *limit;
    const char *excess;
  } rows[] = {
      {"require = width <= 250 mm", "width = 252 mm", "width", "252 mm", "250 mm", "2 mm"},
      {"require = 250 mm >= width", "width = 252 mm", "width", "252 mm", "250 mm", "2 mm"},
      {"require = mass >= 1474 g", "mass = 1.47 kg", "mass", "1470 g", "1474 g", "4 g"},
      {"require = width in [200 mm, 250 mm]", "width = 210 mm", "width", "210 mm",
       "200 mm, 250 mm", "10 mm"},
      {"require = width in 200 mm .. 250 mm", "width = 190 mm", "width", "190 mm",
       "200 mm .. 250 mm", "10 mm"},
      {"require = class == \"2wd\"", "class = \"4wd\"", "class", "4wd", "2wd", ""},
      {"require = width != 250 mm", "width = 250 mm", "width", "250 mm", "250 mm", ""},
      {"require = max(damper.bore) <= 12 mm", "all { damper = \"fourteen\" }", "damper.bore",
       "14.00 mm", "12.00 mm", "2.00 mm"},
      {"require = pinion <= 20", "pinion = 21", "pinion", "21", "20", "1"},
      // One corner is not known: what is known is beyond the limit by itself.
      {"require = max(damper.bore) <= 12 mm", "front { damper = \"fourteen\" }", "damper.bore",
       "14.00 mm", "12.00 mm", "2.00 mm"},
      {"require = min(damper.bore) in 12 mm .. 13 mm", "front-left { damper = \"ten\" }",
       "damper.bore", "10.00 mm", "12.00 mm .. 13.00 mm", "2.00 mm"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_verdict *const verdict =
        &judge_rule(bench, rows[i].rule, rows[i].setup)->verdicts[0];
    assert_int_equal(verdict->outcome, PL_FAILS);
    assert_string_equal(verdict->key, rows[i].key);
    assert_string_equal(verdict->value.text, rows[i].value);
    assert_string_equal(verdict->limit.text, rows[i].limit);
    assert_string_equal(verdict->excess, rows[i].excess);
  }
}

/// Value, limit and excess in the unit in which the limit is written, with as fine a step as in
/// the unit of the setting, and finer where that would hide something.
static void told_in_the_unit_of_the_limit(struct pl_bench *bench) {
  static const struct {
    const char *rule;
    const char *setup;
    const char *value;
    const char *limit;
    const char *excess;
  } rows[] = {
      {"require = mass >= 1.5 kg", "mass = 1400 g", "1.400 kg", "1.500 kg", "0.100 kg"},
      {"require = mass >= 1.5 kg", "mass = 1499.6 g", "1.4996 kg", "1.500 kg", "0.0004 kg"},
      {"require = mass >= 1500 g", "mass = 1.4 kg", "1400 g", "1500 g", "100 g"},
      {"require = total-mass >= 1.5 kg", "mass = 1400 g", "1.400 kg", "1.500 kg", "0.100 kg"},
      {"require = width <= 25 cm", "width = 252 mm", "25.2 cm", "25.0 cm", "0.2 cm"},
      {"require = width <= 10 in", "width = 256.54 mm", "10.10 in", "10.00 in", "0.10 in"},
      {"require = width <= 250 mm", "width = 10 in; units = imperial", "254 mm", "250 mm",
       "4 mm"},
      {"require = max(damper.bore) in [0.5 in, 12 mm]", "all { damper = \"fourteen\" }",
       "0.551 in", "0.500 in, 12.00 mm", "0.051 in"},
      {"require = width in 20 cm .. 0.25 m", "width = 252 mm", "25.2 cm", "20.0 cm .. 0.250 m",
       "0.2 cm"},
      {"require = air <= 50 degF", "air = 60 degF", "60 °F", "50 °F", "5.55555556 K"},
      {"require = width <= limit", "width = 26 cm", "26.0 cm", "25.0 cm", "1.0 cm"},
      {"require = width <= 250 mm", "width = 250.0004 mm", "250 mm", "250 mm", "0.0004 mm"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_judgement *const judgement =
        judge(bench, pl_format(bench->arena,
                               "let limit = 25 cm\n"
                               "damper \"fourteen\" { bore = 14 mm }\n"
                               "rules \"r\" { rule \"one\" { %s } }\nsetup \"s\" { %s }\n",
                               rows[i].rule, rows[i].setup));
    const struct pl_verdict *const verdict = &judgement->verdicts[0];
    assert_int_equal(verdict->outcome, PL_FAILS);
    assert_string_equal(verdict->value.text, rows[i].value);
    assert_string_equal(verdict->limit.text, rows[i].limit);
    assert_string_equal(verdict->excess, rows[i].excess);
  }
}

/// The line that gave the value, the last one that touched it.
static void the_line_that_set_it(struct pl_bench *bench) {
  const struct pl_judgement *judgement =
      judge(bench, "rules \"r\" { rule \"a\" { require = width <= 250 mm } }\n"
                   "car \"c\" {\n"
                   "  width = 200 mm\n"
                   "}\n"
                   "setup \"s\" {\n"
                   "  car = \"c\"\n"
                   "  width = 260 mm\n"
                   "}\n");
  assert_string_equal(pl_span_place(bench->arena, judgement->verdicts[0].at), "test.leaf:7");
  judgement = judge(bench, "rules \"r\" { rule \"a\" { for = each corner\n"
                           "  require = damper.bore <= 11 mm } }\n"
                           "damper \"d\" {\n"
                           "  bore = 12 mm\n"
                           "}\n"
                           "setup \"s\" { all { damper = \"d\" } }\n");
  assert_string_equal(outcomes(bench, judgement), "fail fail fail fail");
  for (size_t i = 0; i < judgement->count; i++)
    assert_string_equal(pl_span_place(bench->arena, judgement->verdicts[i].at), "test.leaf:4");
  judgement = judge(bench, "rules \"r\" { rule \"a\" { for = each corner\n"
                           "  require = preload <= 2 mm } }\n"
                           "setup \"s\" {\n"
                           "  all { preload = 1 mm }\n"
                           "  rear { preload += 2 mm }\n"
                           "}\n");
  assert_string_equal(outcomes(bench, judgement), "pass pass fail fail");
  assert_string_equal(pl_span_place(bench->arena, judgement->verdicts[1].at), "test.leaf:4");
  assert_string_equal(pl_span_place(bench->arena, judgement->verdicts[2].at), "test.leaf:5");
}

/// Of the greatest of four corners, the line of the corner that has it; so, too, where one
/// corner is not known and what is known decides.
static void the_line_of_the_corner_that_decides(struct pl_bench *bench) {
  static const char *const rows[][3] = {
      {"max(preload) <= 3 mm", "rear-left { preload = 5 mm }", "5.00 mm test.leaf:4"},
      {"min(preload) >= 2 mm", "rear-left { preload = 5 mm }", "1.00 mm test.leaf:3"},
      {"max(preload) <= 3 mm", "rear-left { camber = 1 deg }", "4.00 mm test.leaf:5"},
      {"min(preload) >= 2 mm", "rear-left { camber = 1 deg }", "1.00 mm test.leaf:3"},
      {"max(preload) in 1 mm .. 3 mm", "rear-left { camber = 1 deg }", "4.00 mm test.leaf:5"},
      {"sum(preload) <= 3 mm", "rear-left { preload = 5 mm }", "11.00 mm "}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_judgement *const judgement =
        judge(bench, pl_format(bench->arena,
                               "rules \"r\" { rule \"a\" { require = %s } }\n"
                               "setup \"s\" {\n"
                               "  front { preload = 1 mm }\n"
                               "  %s\n"
                               "  rear-right { preload = 4 mm }\n"
                               "}\n",
                               rows[i][0], rows[i][1]));
    const struct pl_verdict *const verdict = &judgement->verdicts[0];
    assert_int_equal(verdict->outcome, PL_FAILS);
    assert_string_equal(pl_format(bench->arena, "%s %s", verdict->value.text,
                                  pl_span_place(bench->arena, verdict->at)),
                        rows[i][2]);
  }
}

// ---------------------------------------------------------------- places

#define PRELOADS                                                                               \
  "front-left { preload = 1 mm }; front-right { preload = 2 mm }\n"                            \
  "rear-left { preload = 3 mm }; rear-right { preload = 4 mm }"

static void places_of_rules(struct pl_bench *bench) {
  static const struct row rows[] = {
      {"for = car; require = front-left.preload < rear-right.preload", PRELOADS, "pass"},
      {"for = each axle; require = left.preload == right.preload", PRELOADS, "fail fail"},
      {"for = each axle; require = left.preload == right.preload",
       "front { preload = 1 mm }; rear { preload = 2 mm }", "pass pass"},
      {"for = each axle; require = right.preload >= 3 mm", PRELOADS, "fail pass"},
      {"for = each axle; require = track <= 210 mm",
       "front { track = 210 mm }; rear { track = 211 mm }", "pass fail"},
      {"for = each corner; require = preload in [1 mm, 4 mm]", PRELOADS, "pass fail fail pass"},
      {"for = each corner; require = front.preload == 1 mm", PRELOADS, "pass fail pass fail"},
      {"for = each corner; require = left.preload == 3 mm", PRELOADS, "fail fail pass pass"},
      {"for = each corner; require = rear-left.preload == 3 mm", PRELOADS,
       "pass pass pass pass"},
      {"for = each corner; require = track == 210 mm",
       "front { track = 210 mm }; rear { track = 211 mm }", "pass pass fail fail"},
      {"require = front.track < rear.track",
       "front { track = 210 mm }; rear { track = 211 mm }", "pass"},
      {"require = car.width == 250 mm", "width = 250 mm", "pass"}};
  HOLD(bench, rows);
  const struct pl_judgement *const judgement =
      judge_rule(bench, "for = each corner; require = preload >= 0 mm", PRELOADS);
  for (int i = 0; i < 4; i++) assert_int_equal(judgement->verdicts[i].place, i);
}

static void functions_over_corners(struct pl_bench *bench) {
  static const struct row rows[] = {
      {"require = min(preload) == 1 mm", PRELOADS, "pass"},
      {"require = max(preload) == 4 mm", PRELOADS, "pass"},
      {"require = sum(preload) == 10 mm", PRELOADS, "pass"},
      {"require = max(front.preload) == 2 mm", PRELOADS, "pass"},
      {"require = min(rear.preload) == 3 mm", PRELOADS, "pass"},
      {"require = sum(left.preload) == 4 mm", PRELOADS, "pass"},
      {"require = sum(rear-right.preload) == 4 mm", PRELOADS, "pass"},
      {"require = max(preload) - min(preload) <= 3 mm", PRELOADS, "pass"},
      {"require = max(preload) - min(preload) < 3 mm", PRELOADS, "fail"},
      {"require = sum(preload * 2) == 20 mm", PRELOADS, "pass"},
      {"require = min(preload, 2 mm) == 1 mm; for = each corner", PRELOADS,
       "pass fail fail fail"},
      {"for = each axle; require = sum(preload) == 3 mm", PRELOADS, "pass fail"},
      {"for = each axle; require = max(preload) == 4 mm", PRELOADS, "fail pass"},
      {"for = each axle; require = max(front.preload) == 2 mm", PRELOADS, "pass pass"},
      {"for = each axle; require = sum(left.preload) == 3 mm", PRELOADS, "fail pass"},
      {"for = each corner; require = sum(front.preload) == 1 mm", PRELOADS,
       "pass fail pass fail"},
      {"require = max(track) == 211 mm", "front { track = 210 mm }; rear { track = 211 mm }",
       "pass"},
      {"require = sum(track) == 421 mm", "front { track = 210 mm }; rear { track = 211 mm }",
       "pass"},
      {"require = count(damper) == 4", "all { damper = \"ten\" }", "pass"},
      {"require = count(damper) == 4", "front { damper = \"ten\" }", "unknown"},
      {"require = count(damper) >= 2", "front { damper = \"ten\" }", "pass"},
      {"require = count(damper) < 2", "front { damper = \"ten\" }", "fail"},
      {"require = count(damper) == 1", "front { damper = \"ten\" }", "fail"},
      {"require = count(damper) == 5", "front { damper = \"ten\" }", "fail"},
      {"require = count(damper) != 5", "front { damper = \"ten\" }", "pass"}};
  HOLD(bench, rows);
}

/// What is known of some corners bounds what all of them give.
static void bounds_of_what_is_not_known(struct pl_bench *bench) {
#define ONE_IS_14 "front-left { damper = \"fourteen\" }; front-right { damper = \"ten\" }"
  static const struct row rows[] = {
      {"require = max(damper.bore) <= 13 mm", ONE_IS_14, "fail"},
      {"require = max(damper.bore) <= 14 mm", ONE_IS_14, "unknown"},
      {"require = max(damper.bore) <= 13 mm; tolerance = 1 mm", ONE_IS_14, "unknown"},
      {"require = max(damper.bore) >= 14 mm", ONE_IS_14, "pass"},
      {"require = max(damper.bore) > 14 mm", ONE_IS_14, "unknown"},
      {"require = max(damper.bore) == 13 mm", ONE_IS_14, "fail"},
      {"require = max(damper.bore) != 13 mm", ONE_IS_14, "pass"},
      {"require = max(damper.bore) == 15 mm", ONE_IS_14, "unknown"},
      {"require = min(damper.bore) >= 12 mm", ONE_IS_14, "fail"},
      {"require = min(damper.bore) >= 10 mm", ONE_IS_14, "unknown"},
      {"require = min(damper.bore) <= 10 mm", ONE_IS_14, "pass"},
      {"require = min(damper.bore) < 10 mm", ONE_IS_14, "unknown"},
      {"require = 13 mm >= max(damper.bore)", ONE_IS_14, "fail"},
      {"require = sum(damper.bore) <= 13 mm", ONE_IS_14, "unknown"},
      {"require = max(front.damper.bore) <= 14 mm", ONE_IS_14, "pass"},
      {"require = max(damper.bore) <= 13 mm", "pinion = 20", "unknown"},
      {"require = not max(damper.bore) <= 13 mm", ONE_IS_14, "pass"},
      {"require = max(damper.bore) in 8 mm .. 13 mm", ONE_IS_14, "fail"},
      {"require = max(damper.bore) in [8 mm, 13 mm]", ONE_IS_14, "fail"},
      {"require = max(damper.bore) in [8 mm, 16 mm]", ONE_IS_14, "unknown"},
      {"require = max(damper.bore) in 8 mm .. 16 mm", ONE_IS_14, "unknown"},
      {"require = count(damper) in [4, 5]", ONE_IS_14, "unknown"},
      {"require = count(damper) in 1 .. 4", ONE_IS_14, "pass"}};
  HOLD(bench, rows);
  const struct pl_judgement *const judgement =
      judge_rule(bench, "require = max(damper.bore) <= 14 mm", ONE_IS_14);
  assert_string_equal(needs_of(bench, &judgement->verdicts[0]), "damper.bore");
  assert_string_equal(judgement->verdicts[0].value.text, "");
  assert_null(judgement->verdicts[0].at.source); // nothing gives what is not known
}

// ---------------------------------------------------------------- three-valued logic

/// The truths of Kleene's strong logic: `and` is the least of both, `or` the greatest, with
/// false < unknown < true; `not` turns the order (Kleene, Introduction to Metamathematics,
/// 1952, section 64).
static int rank_of(enum pl_outcome outcome) {
  return outcome == PL_FAILS ? 0 : outcome == PL_CANNOT_BE_JUDGED ? 1 : 2;
}

static const char *const comparisons[] = {"width == 2 m", "length <= 1 mm", "height <= 1 mm"};

static int rank_of_rule(struct pl_bench *bench, const char *expression) {
  const struct pl_judgement *const judgement = judge_rule(
      bench, pl_format(bench->arena, "require = %s", expression), "length = 2 m; width = 2 m");
  assert_int_equal(judgement->count, 1);
  return rank_of(judgement->verdicts[0].outcome);
}

static int least_of(int a, int b) {
  return a < b ? a : b;
}
static int greatest_of(int a, int b) {
  return a > b ? a : b;
}

static void truths_of_kleene(struct pl_bench *bench) {
  static const int ranks[] = {2, 0, 1};
  for (int a = 0; a < 3; a++) {
    assert_int_equal(rank_of_rule(bench, comparisons[a]), ranks[a]);
    assert_int_equal(rank_of_rule(bench, pl_format(bench->arena, "not (%s)", comparisons[a])),
                     2 - ranks[a]);
    for (int b = 0; b < 3; b++) {
      const char *const both =
          pl_format(bench->arena, "%s and %s", comparisons[a], comparisons[b]);
      const char *const either =
          pl_format(bench->arena, "%s or %s", comparisons[a], comparisons[b]);
      assert_int_equal(rank_of_rule(bench, both), least_of(ranks[a], ranks[b]));
      assert_int_equal(rank_of_rule(bench, either), greatest_of(ranks[a], ranks[b]));
      // De Morgan's laws
      assert_int_equal(rank_of_rule(bench, pl_format(bench->arena, "not (%s)", both)),
                       2 - least_of(ranks[a], ranks[b]));
      assert_int_equal(rank_of_rule(bench, pl_format(bench->arena, "not (%s)", either)),
                       2 - greatest_of(ranks[a], ranks[b]));
    }
  }
}

static void truths_of_three(struct pl_bench *bench) {
  static const int ranks[] = {2, 0, 1};
  for (int i = 0; i < 27; i++) {
    const int a = i / 9;
    const int b = i / 3 % 3;
    const int c = i % 3;
    assert_int_equal(
        rank_of_rule(bench, pl_format(bench->arena, "(%s or %s) and %s", comparisons[a],
                                      comparisons[b], comparisons[c])),
        least_of(greatest_of(ranks[a], ranks[b]), ranks[c]));
    assert_int_equal(
        rank_of_rule(bench, pl_format(bench->arena, "%s or %s and %s", comparisons[a],
                                      comparisons[b], comparisons[c])),
        greatest_of(ranks[a], least_of(ranks[b], ranks[c])));
  }
}

/// What cannot be judged says what is missing, each once, and nothing else says so.
static void needs_are_told(struct pl_bench *bench) {
  static const char *const rows[][2] = {
      {"require = width <= 1 m and length <= 1 m", "width length"},
      {"require = width <= 1 m or width >= 2 m", "width"},
      {"require = width <= 1 m or pinion == 20", ""},
      {"require = width <= 1 m and pinion == 19", ""},
      {"require = width * 2 <= length", "width length"},
      {"require = min(preload) >= 1 mm", "preload"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_judgement *const judgement = judge_rule(bench, rows[i][0], "pinion = 20");
    assert_string_equal(needs_of(bench, &judgement->verdicts[0]), rows[i][1]);
  }
}

// ---------------------------------------------------------------- whatever is left out

/// What the property's setups may hold; a value is a whole number of `unit`.
static const struct {
  const char *key;
  const char *unit;
} things[] = {{"width", "mm"}, {"length", "mm"}, {"height", "mm"}, {"mass", "g"}};

#define THING_COUNT (sizeof things / sizeof things[0])
/// The greatest number of a random setup; small, so that limits are met exactly.
#define GREATEST 6

static size_t below(struct pl_chance *chance, size_t count) {
  return (size_t)(pl_chance_bits(chance) % count);
}

static const char *random_comparison(struct pl_bench *bench, struct pl_chance *chance) {
  static const char *const signs[] = {"<", "<=", ">", ">=", "==", "!="};
  const size_t thing = below(chance, THING_COUNT);
  const int limit = 102 + (int)below(chance, GREATEST - 3);
  if (below(chance, 5) == 0)
    return pl_format(bench->arena, "%s in [%d %s, %d %s]", things[thing].key, limit,
                     things[thing].unit, limit + 1, things[thing].unit);
  if (below(chance, 5) == 0)
    return pl_format(bench->arena, "%s in %d %s .. %d %s", things[thing].key, limit,
                     things[thing].unit, limit + 1, things[thing].unit);
  return pl_format(bench->arena, "%s %s %d %s", things[thing].key,
                   signs[below(chance, sizeof signs / sizeof signs[0])], limit,
                   things[thing].unit);
}

static const char *random_expression(struct pl_bench *bench, struct pl_chance *chance,
                                     int depth) {
  const size_t kind = depth == 0 ? 0 : below(chance, 4);
  if (kind == 0) return random_comparison(bench, chance);
  const char *const one = random_expression(bench, chance, depth - 1);
  if (kind == 1) return pl_format(bench->arena, "not (%s)", one);
  const char *const other = random_expression(bench, chance, depth - 1);
  return pl_format(bench->arena, "(%s) %s (%s)", one, kind == 2 ? "and" : "or", other);
}

/// Turned twice, so that rules that contradict themselves are judged, too.
static const char *random_rule(struct pl_bench *bench, struct pl_chance *chance) {
  return pl_format(bench->arena, "require = not (not (%s))",
                   random_expression(bench, chance, 3));
}

/// A setup of these numbers; what is 0 is left out.
static const char *setup_of(struct pl_bench *bench, const int *numbers) {
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < THING_COUNT; i++) {
    if (numbers[i] > 0)
      pl_buffer_format(&text, "%s = %d %s\n", things[i].key, 100 + numbers[i], things[i].unit);
  }
  return pl_buffer_string(&text);
}

/// Which outcomes come of a rule: a bit for each, 1 << outcome.
static unsigned outcome_of(struct pl_bench *bench, const char *rule, const int *numbers) {
  const struct pl_judgement *const judgement =
      judge_rule(bench, rule, setup_of(bench, numbers));
  // A condition that is not true leaves no verdict, which is a pass of the entry.
  return 1u << judgement->outcome;
}

/// The outcomes of all ways to fill in what is left out.
static unsigned outcomes_of_completions(struct pl_bench *bench, const char *rule,
                                        const int *numbers, size_t from) {
  int filled[THING_COUNT];
  memcpy(filled, numbers, sizeof filled);
  while (from < THING_COUNT && filled[from] > 0) from++;
  if (from == THING_COUNT) return outcome_of(bench, rule, filled);
  unsigned found = 0;
  for (int number = 1; number <= GREATEST; number++) {
    filled[from] = number;
    found |= outcomes_of_completions(bench, rule, filled, from + 1);
  }
  return found;
}

static void random_numbers(struct pl_chance *chance, int *numbers) {
  size_t left_out = 0;
  for (size_t i = 0; i < THING_COUNT; i++) {
    numbers[i] = left_out < 2 && below(chance, 2) == 0 ? 0 : 1 + (int)below(chance, GREATEST);
    if (numbers[i] == 0) left_out++;
  }
}

static void hold_completions(struct pl_bench *bench, const char *rule, const int *numbers) {
  const unsigned at_first = outcome_of(bench, rule, numbers);
  const unsigned found = outcomes_of_completions(bench, rule, numbers, 0);
  if (at_first != 1u << PL_CANNOT_BE_JUDGED && found != at_first)
    fail_msg("%s on { %s } changes when more is known", rule, setup_of(bench, numbers));
  if ((found & 1u << PL_CANNOT_BE_JUDGED) != 0)
    fail_msg("%s cannot be judged though all is known", rule);
}

/// A pass or a failure stays what it is, whatever is declared beside it.
static void more_knowledge_changes_no_verdict(struct pl_bench *bench) {
  struct pl_chance chance = {20260};
  size_t decided = 0;
  for (int i = 0; i < 60; i++) {
    int numbers[THING_COUNT];
    random_numbers(&chance, numbers);
    const char *rule = random_rule(bench, &chance);
    decided += outcome_of(bench, rule, numbers) != 1u << PL_CANNOT_BE_JUDGED;
    hold_completions(bench, rule, numbers);
  }
  assert_in_range(decided, 10, 50); // else it looks at one side only
}

/// The same of a rule with a condition.
static void more_knowledge_changes_no_condition(struct pl_bench *bench) {
  struct pl_chance chance = {7};
  for (int i = 0; i < 40; i++) {
    int numbers[THING_COUNT];
    random_numbers(&chance, numbers);
    const char *const when = random_expression(bench, &chance, 1);
    const char *const require = random_expression(bench, &chance, 1);
    // A block's condition stands behind its name: one rule of no meaning goes before it.
    hold_completions(bench,
                     pl_format(bench->arena,
                               "require = pinion >= 0 or pinion < 1000 or 1 == 1 }\n"
                               "rule \"two\" when %s { require = not (not (%s))",
                               when, require),
                     numbers);
  }
}

/// A plain rule cannot be judged only where it depends on what is left out.
static void a_plain_rule_is_open_only_for_a_reason(struct pl_bench *bench) {
  struct pl_chance chance = {99};
  for (int i = 0; i < 60; i++) {
    int numbers[THING_COUNT];
    random_numbers(&chance, numbers);
    const char *const rule =
        pl_format(bench->arena, "require = %s", random_comparison(bench, &chance));
    const unsigned found = outcomes_of_completions(bench, rule, numbers, 0);
    const bool depends = found == (1u << PL_PASSES | 1u << PL_FAILS);
    const unsigned at_first = outcome_of(bench, rule, numbers);
    if ((at_first == 1u << PL_CANNOT_BE_JUDGED) != depends)
      fail_msg("%s on { %s }: wrongly %s", rule, setup_of(bench, numbers),
               depends ? "decided" : "left open");
  }
}

// ---------------------------------------------------------------- rules against each other

/// A comparison of the width with whole millimetres that leaves something by itself.
static const char *width_comparison(struct pl_bench *bench, struct pl_chance *chance) {
  static const char *const signs[] = {"<=", ">=", "==", "<", ">", "!="};
  const int limit = 102 + (int)below(chance, 4);
  if (below(chance, 4) == 0)
    return pl_format(bench->arena, "width in [%d mm, %d mm]", limit, limit + 2);
  if (below(chance, 4) == 0)
    return pl_format(bench->arena, "width in %d mm .. %d mm", limit, limit + 1);
  return pl_format(bench->arena, "width %s %d mm", signs[below(chance, 6)], limit);
}

/// Does any car of half millimetres keep the rules?
static bool some_car_keeps(struct pl_bench *bench, const char *rules) {
  for (int half = 190; half <= 230; half++) {
    struct pl_program *const program = pl_bench_program(
        bench, pl_format(bench->arena, "%s\nsetup \"s\" { width = %d mm / 2 }\n", rules, half));
    const struct pl_rules *const set = pl_program_rules(program, NULL);
    const struct pl_setup *const setup = pl_program_setup(program, NULL);
    const struct pl_judgement *const judgement =
        pl_judge(bench->arena, set, pl_figures_new(setup, NULL), PL_METRIC, NULL);
    assert_int_equal(judgement->unknown, 0);
    if (judgement->outcome == PL_PASSES) return true;
  }
  return false;
}

/// Are the rules such that what they leave is looked at to the end?
static bool leaves_spans(const char *rules) {
  return strstr(rules, " < ") == NULL && strstr(rules, " > ") == NULL &&
         strstr(rules, "!=") == NULL && strstr(rules, "tolerance") == NULL;
}

/// Rules that are said to contradict each other are kept by no car; and of those without `<`,
/// `>`,
/// `!=` and tolerances that no car keeps, it is said.
static void contradictions_are_some(struct pl_bench *bench) {
  struct pl_chance chance = {11};
  size_t told = 0;
  for (int i = 0; i < 400; i++) {
    const bool tolerant = below(&chance, 2) == 0;
    // One by one: the order of a call's arguments is the compiler's.
    const char *const one = width_comparison(bench, &chance);
    const char *const two = width_comparison(bench, &chance);
    const char *const three = width_comparison(bench, &chance);
    const char *const rules = pl_format(
        bench->arena,
        "rules \"r\" { rule \"one\" { require = %s%s }\n rule \"two\" { require = %s and %s } }",
        one, tolerant ? "; tolerance = 1 mm" : "", two, three);
    (void)pl_program_rules(pl_bench_program(bench, rules), NULL);
    const bool is_told = pl_program_problems(bench->program)->errors > 0;
    const bool kept = some_car_keeps(bench, rules);
    if (is_told && kept) fail_msg("%s is said to contradict itself, and a car keeps it", rules);
    told += is_told;
    if (!is_told && !kept && leaves_spans(rules)) fail_msg("no car keeps %s", rules);
  }
  assert_in_range(told, 100, 370);
}

// ---------------------------------------------------------------- conditions and classes

static const char *judged_when(struct pl_bench *bench, const char *when, const char *setup) {
  return outcomes(bench, judge(bench, pl_format(bench->arena,
                                                "rules \"r\" { rule \"a\" when %s {\n"
                                                "  require = width <= 250 mm } }\n"
                                                "setup \"s\" { %s }\n",
                                                when, setup)));
}

/// What is not known to apply makes no failure, and where it would be kept anyhow it is kept.
static void conditions(struct pl_bench *bench) {
  static const char *const rows[][2] = {{"pinion = 20; width = 250 mm", "pass"},
                                        {"pinion = 20; width = 251 mm", "fail"},
                                        {"pinion = 20", "unknown"},
                                        {"pinion = 19; width = 250 mm", ""},
                                        {"pinion = 19; width = 251 mm", ""},
                                        {"pinion = 19", ""},
                                        {"width = 250 mm", "pass"},
                                        {"width = 251 mm", "unknown"},
                                        {"length = 400 mm", "unknown"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    assert_string_equal(judged_when(bench, "pinion == 20", rows[i][0]), rows[i][1]);
  const struct pl_judgement *const judgement =
      judge(bench, "rules \"r\" { rule \"a\" when pinion == 20 { require = width <= 1 m } }\n"
                   "setup \"s\" { }\n");
  assert_string_equal(needs_of(bench, &judgement->verdicts[0]), "pinion width");
  assert_int_equal(judgement->outcome, PL_CANNOT_BE_JUDGED);
}

/// A condition is judged at each place for itself, and without the tolerance.
static void conditions_at_places(struct pl_bench *bench) {
  assert_string_equal(
      outcomes(bench, judge(bench, "rules \"r\" { rule \"a\" when preload >= 3 mm {\n"
                                   "  for = each corner; require = preload == 3 mm\n"
                                   "  tolerance = 0.5 mm } }\n"
                                   "setup \"s\" { front { preload = 2.8 mm }\n"
                                   "  rear-left { preload = 3 mm }\n"
                                   "  rear-right { preload = 4 mm } }\n")),
      "pass fail");
}

#define RULES_OF_CLASS                                                                         \
  "rules \"r\" { applies-to = [\"2wd\", \"4wd\"]; rule \"a\" { require = width <= 250 mm }\n"  \
  "  rule \"b\" when class == \"4wd\" { require = pinion == 20 } }\n"

static void classes(struct pl_bench *bench) {
  const struct pl_judgement *judgement =
      judge(bench, RULES_OF_CLASS "setup \"s\" { class = \"2wd\"; width = 251 mm }\n");
  assert_true(judgement->applies);
  assert_string_equal(judgement->class_name, "2wd");
  assert_string_equal(outcomes(bench, judgement), "fail");
  judgement = judge(bench, RULES_OF_CLASS "setup \"s\" { class = \"4wd\"; width = 251 mm }\n");
  assert_string_equal(outcomes(bench, judgement), "fail unknown");
  judgement = judge(bench, RULES_OF_CLASS "setup \"s\" { class = \"truck\"; width = 2 m }\n");
  assert_false(judgement->applies);
  assert_int_equal(judgement->count, 0);
  judgement = judge(bench, RULES_OF_CLASS "setup \"s\" { width = 2 m }\n");
  assert_true(judgement->applies);
  assert_string_equal(judgement->class_name, "");
  assert_string_equal(outcomes(bench, judgement), "unknown unknown");
  assert_string_equal(needs_of(bench, &judgement->verdicts[0]), "class");
}

/// In which class somebody runs is the organiser's word.
static void the_organisers_class_goes_first(struct pl_bench *bench) {
  const struct pl_judgement *judgement = judge_entrant(
      bench, RULES_OF_CLASS "setup \"s\" { class = \"truck\"; width = 250 mm; pinion = 19 }\n",
      (struct pl_entrant){.class_name = "4wd"});
  assert_true(judgement->applies);
  assert_string_equal(judgement->class_name, "4wd");
  assert_string_equal(outcomes(bench, judgement), "pass fail");
  judgement = judge_entrant(bench, RULES_OF_CLASS "setup \"s\" { class = \"2wd\" }\n",
                            (struct pl_entrant){.class_name = "truck"});
  assert_false(judgement->applies);
  assert_int_equal(judgement->outcome, PL_PASSES);
}

/// No line of the setup gives the class that the organiser says.
static void the_organisers_class_is_no_line_of_the_setup(struct pl_bench *bench) {
  const struct pl_verdict *const verdict =
      &judge_entrant(bench,
                     "rules \"r\" { rule \"a\" { require = class == \"2wd\" } }\n"
                     "setup \"s\" { class = \"2wd\" }\n",
                     (struct pl_entrant){.class_name = "4wd"})
           ->verdicts[0];
  assert_int_equal(verdict->outcome, PL_FAILS);
  assert_string_equal(verdict->value.text, "4wd");
  assert_null(verdict->at.source);
}

/// What the settings table assumes is nobody's word.
static void fallbacks_are_not_declared(struct pl_bench *bench) {
  static const struct row rows[] = {
      {"for = each axle; require = left.limiter == 0 mm", "pinion = 20", "unknown unknown"},
      {"for = each axle; require = left.limiter == 0 mm", "front { limiter = 0 mm }",
       "pass unknown"},
      {"require = front-left.damper.charge <= 10 kPa", "all { damper = \"ten\" }", "unknown"},
      {"require = gravity <= 9.9 m/s^2", "pinion = 20", "unknown"}};
  HOLD(bench, rows);
}

static void the_worst_verdict_is_the_entrys(struct pl_bench *bench) {
  static const struct {
    const char *setup;
    enum pl_outcome outcome;
    size_t failed;
    size_t unknown;
  } rows[] = {{"width = 250 mm; length = 400 mm", PL_PASSES, 0, 0},
              {"width = 250 mm", PL_CANNOT_BE_JUDGED, 0, 1},
              {"width = 251 mm", PL_FAILS, 1, 1},
              {"width = 251 mm; length = 401 mm", PL_FAILS, 2, 0}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_judgement *const judgement =
        judge(bench, pl_format(bench->arena,
                               "rules \"r\" { rule \"a\" { require = width <= 250 mm }\n"
                               "  rule \"b\" { require = length <= 400 mm } }\n"
                               "setup \"s\" { %s }\n",
                               rows[i].setup));
    assert_int_equal(judgement->outcome, rows[i].outcome);
    assert_int_equal(judgement->failed, rows[i].failed);
    assert_int_equal(judgement->unknown, rows[i].unknown);
  }
}

/// A club's set starts from a federation's, and its rule stands in the place of the other.
static void a_later_set_replaces_rules(struct pl_bench *bench) {
  const struct pl_judgement *const judgement =
      judge(bench, "rules \"far\" { edition = \"1\"; applies-to = [\"2wd\"]\n"
                   "  rule \"a\" { require = width <= 250 mm }\n"
                   "  rule \"b\" { require = length <= 400 mm } }\n"
                   "rules \"near\" from \"far\" { edition = \"2\"\n"
                   "  rule \"c\" { require = height <= 150 mm }\n"
                   "  rule \"a\" { require = width <= 260 mm } }\n"
                   "setup \"s\" { class = \"2wd\"; width = 255 mm; length = 401 mm }\n");
  assert_string_equal(judgement->rules->name, "near");
  assert_string_equal(judgement->rules->edition, "2");
  assert_int_equal(judgement->rules->class_count, 1);
  assert_string_equal(judgement->verdicts[0].rule->name, "a");
  assert_string_equal(outcomes(bench, judgement), "pass fail unknown");
}

// ---------------------------------------------------------------- measured

static const struct pl_judgement *judge_measured(struct pl_bench *bench, const char *rules,
                                                 const char *setup, const char *measured) {
  const char *const text = pl_format(bench->arena,
                                     "damper \"twelve\" { bore = 12 mm }\n"
                                     "rules \"r\" { %s }\nsetup \"s\" { %s }\n"
                                     "meeting \"m\" { entry 1 { measured {\n%s\n} } }\n",
                                     rules, setup, measured);
  struct pl_program *const program = pl_bench_program(bench, text);
  const struct pl_meeting *const meeting = pl_program_meeting(program, NULL);
  const struct pl_rules *const found = pl_program_rules(program, NULL);
  const struct pl_setup *const set = pl_program_setup(program, NULL);
  assert_problems(bench, "");
  const struct pl_entrant entrant = {
      .class_name = "", .meeting = program, .measured = meeting->entries[0].measured};
  return pl_judge(bench->arena, found, set == NULL ? NULL : pl_figures_new(set, NULL),
                  PL_METRIC, &entrant);
}

#define BORES                                                                                  \
  "rule \"b\" { for = each corner; require = damper.bore <= 12 mm; tolerance = 0.1 mm }"

static void measured_goes_before_declared(struct pl_bench *bench) {
  static const char *const rows[][3] = {
      {"all { damper = \"twelve\" }", "all { damper.bore = 12.2 mm }", "fail fail fail fail"},
      {"all { damper = \"twelve\" }", "front { damper.bore = 12.2 mm }", "fail fail pass pass"},
      {"all { damper = \"twelve\" }",
       "rear-left { damper.bore = 12 mm }; damper.bore = 12.2 mm", "fail fail pass fail"},
      {"all { damper = \"twelve\" }",
       "front-left { damper.bore = 12.2 mm }; front { damper.bore = 12 mm }",
       "fail pass pass pass"},
      {"pinion = 20", "left { damper.bore = 12 mm }", "pass unknown pass unknown"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    assert_string_equal(outcomes(bench, judge_measured(bench, BORES, rows[i][0], rows[i][1])),
                        rows[i][2]);
  const struct pl_judgement *const judgement = judge_measured(
      bench, BORES, "all { damper = \"twelve\" }", "front { damper.bore = 12.2 mm }");
  assert_true(judgement->verdicts[0].measured);
  assert_false(judgement->verdicts[2].measured);
  assert_string_equal(pl_span_place(bench->arena, judgement->verdicts[0].at), "test.leaf:5");
  assert_string_equal(judgement->verdicts[0].excess, "0.20 mm");
}

/// The differences as they read: "front-left damper.bore 12.20 mm 12.00 mm 0.20 mm; …".
static const char *differences_of(struct pl_bench *bench,
                                  const struct pl_judgement *judgement) {
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < judgement->difference_count; i++) {
    const struct pl_difference *const one = &judgement->differences[i];
    pl_buffer_format(&text, "%s%s %s %s %s %s", i == 0 ? "" : "; ", pl_place_name(one->place),
                     one->key, one->measured.text, one->declared.text, one->by);
  }
  return pl_buffer_string(&text);
}

/// What is away from what was declared is told whether or not a rule fails.
static void measured_is_not_declared(struct pl_bench *bench) {
#define TWELVE "width = 250 mm; class = \"2wd\"; all { damper = \"twelve\" }"
  static const char *const rows[][2] = {
      {"front-left { damper.bore = 11.8 mm }",
       "front-left damper.bore 11.80 mm 12.00 mm 0.20 mm"},
      {"front-left { damper.bore = 12.1 mm }", ""},
      {"front-left { damper.bore = 11.9 mm }", ""},
      {"front-left { damper.bore = 12.11 mm }",
       "front-left damper.bore 12.11 mm 12.00 mm 0.11 mm"},
      {"rear { damper.bore = 10 mm }", "rear-left damper.bore 10.00 mm 12.00 mm 2.00 mm; "
                                       "rear-right damper.bore 10.00 mm 12.00 mm 2.00 mm"},
      {"rear { damper.bore = 10 mm }; rear-left { damper.bore = 12 mm }",
       "rear-right damper.bore 10.00 mm 12.00 mm 2.00 mm"},
      {"width = 251 mm", "car width 251 mm 250 mm 1 mm"}, // no rule is about it: no tolerance
      {"width = 250 mm", ""},
      {"length = 400 mm", ""}, // nothing was declared
      {"class = \"4wd\"", "car class 4wd 2wd "}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    assert_string_equal(differences_of(bench, judge_measured(bench, BORES, TWELVE, rows[i][0])),
                        rows[i][1]);
}

/// The tolerance of a rule is that of a thing, by whichever of its names.
static void a_tolerance_is_of_the_thing(struct pl_bench *bench) {
  static const char rule[] = "rule \"w\" { for = each corner; tolerance = 0.1 N/mm\n"
                             "  require = figure.spring-rate <= 2 N/mm }";
  const struct pl_judgement *judgement = judge_measured(
      bench, rule, "all { spring = 1 N/mm }", "front-left { spring-rate = 1.05 N/mm }");
  assert_string_equal(differences_of(bench, judgement), "");
  judgement = judge_measured(bench, rule, "all { spring = 1 N/mm }",
                             "front-left { spring-rate = 1.15 N/mm }");
  assert_int_equal(judgement->difference_count, 1);
}

/// A tolerance of a ratio is none of the lengths that it is made of.
static void a_tolerance_is_of_its_own_dimension(struct pl_bench *bench) {
  const struct pl_judgement *const judgement = judge_measured(
      bench, "rule \"ratio\" { require = width / wheelbase <= 1; tolerance = 0.1 }",
      "width = 250 mm; wheelbase = 270 mm", "width = 240 mm");
  assert_string_equal(differences_of(bench, judgement), "car width 240 mm 250 mm 10 mm");
}

/// A measured line in a unit that does not fit is no silence: what was declared is not taken in
/// its place.
static void a_measured_line_that_does_not_fit(struct pl_bench *bench) {
  static const char *const lines[] = {"width = 251 g", "width = 251", "width = \"251 mm\""};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
    const struct pl_judgement *const judgement = judge_measured(
        bench, "rule \"w\" { require = width <= 250 mm }", "width = 250 mm", lines[i]);
    assert_string_equal(outcomes(bench, judgement), "unknown");
    assert_string_equal(needs_of(bench, &judgement->verdicts[0]), "width");
  }
}

/// A thing that is written in two ways is one.
static void measured_by_another_name(struct pl_bench *bench) {
  static const char *const rows[][2] = {
      {"require = width <= 250 mm", "car.width = 251 mm"},
      {"require = car.width <= 250 mm", "width = 251 mm"},
      {"for = car; require = front-left.figure.spring-rate <= 1 N/mm",
       "front { spring-rate = 1.1 N/mm }"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_judgement *const judgement =
        judge_measured(bench, pl_format(bench->arena, "rule \"w\" { %s }", rows[i][0]),
                       "width = 250 mm", rows[i][1]);
    assert_string_equal(outcomes(bench, judgement), "fail");
    assert_true(judgement->verdicts[0].measured);
  }
}

/// An entry that brings no file is judged by what was measured.
static void no_file_but_measured(struct pl_bench *bench) {
  const char *const text = "rules \"r\" { rule \"w\" { require = width <= 250 mm }\n"
                           "  rule \"l\" { require = length <= 400 mm } }\n"
                           "meeting \"m\" { entry 1 { measured { width = 251 mm } } }\n";
  struct pl_program *const program = pl_bench_program(bench, text);
  const struct pl_meeting *const meeting = pl_program_meeting(program, NULL);
  const struct pl_entrant entrant = {
      .class_name = "2wd", .meeting = program, .measured = meeting->entries[0].measured};
  const struct pl_rules *const rules = pl_program_rules(program, NULL);
  const struct pl_judgement *judgement =
      pl_judge(bench->arena, rules, NULL, PL_METRIC, &entrant);
  assert_problems(bench, "");
  assert_string_equal(outcomes(bench, judgement), "fail unknown");
  assert_string_equal(judgement->class_name, "2wd");
  assert_int_equal(judgement->difference_count, 0);
  judgement = pl_judge(bench->arena, rules, NULL, PL_METRIC, NULL);
  assert_string_equal(outcomes(bench, judgement), "unknown unknown");
}

#define WIDTH "rule \"w\" { require = width <= 250 mm }"

// ---------------------------------------------------------------- which rules

static void rules_by_name(struct pl_bench *bench) {
  static const struct {
    const char *text;
    const char *name;
    const char *problems;
    const char *found;
  } rows[] = {
      {"setup \"s\" { }\n", NULL, "no-rules", NULL},
      {"rules \"a\" { " WIDTH " }\nrules \"b\" { " WIDTH " }\n", NULL, "several-rules", NULL},
      {"rules \"a\" { " WIDTH " }\nrules \"b\" { " WIDTH " }\n", "b", "", "b"},
      {"rules \"a\" { " WIDTH " }\nrules \"b\" from \"a\" { " WIDTH " }\n", NULL, "", "b"},
      {"rules \"a\" { " WIDTH " }\nrules \"b\" from \"a\" { " WIDTH " }\n", "a", "", "a"},
      {"rules \"saltmarsh\" { " WIDTH " }\n", "saltmarch", "no-such-rules", NULL},
      {"rules \"a\" { " WIDTH " }\n", NULL, "", "a"},
      {"rules \"a\" { }\nrules \"b\" { " WIDTH " }\n", "a", "no-rules", "a"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_rules *const rules =
        pl_program_rules(pl_bench_program(bench, rows[i].text), rows[i].name);
    assert_problems(bench, rows[i].problems);
    if (rows[i].found == NULL)
      assert_null(rules);
    else
      assert_string_equal(rules->name, rows[i].found);
  }
  (void)pl_program_rules(pl_bench_program(bench, "rules \"saltmarsh\" { }\n"), "saltmarch");
  assert_non_null(strstr(pl_bench_shown(bench), "did you mean \"saltmarsh\"?"));
}

/// Also where the entry has no verdict at all.
static void a_rule_that_is_not_judged_has_no_verdicts(struct pl_bench *bench) {
  const struct pl_judgement *const judgement = judge(
      bench, "rules \"r\" { rule \"a\" when class == \"4wd\" { require = mass > 1 kg } }\n"
             "setup \"s\" { class = \"2wd\"; mass = 2 kg }\n");
  const struct pl_rules *const rules = pl_program_rules(bench->program, NULL);
  size_t count = 7;
  assert_int_equal(judgement->count, 0);
  assert_null(pl_verdicts_of(judgement, &rules->items[0], &count));
  assert_int_equal(count, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(signs_at_their_limit),
      PL_BENCH_TEST(a_hair_counts_for_the_entrant),
      PL_BENCH_TEST(tolerance_at_its_limit),
      PL_BENCH_TEST(the_tolerance_is_told_where_it_decides),
      PL_BENCH_TEST(lists_of_texts_and_words),
      PL_BENCH_TEST(what_a_failure_tells),
      PL_BENCH_TEST(told_in_the_unit_of_the_limit),
      PL_BENCH_TEST(the_line_that_set_it),
      PL_BENCH_TEST(the_line_of_the_corner_that_decides),
      PL_BENCH_TEST(places_of_rules),
      PL_BENCH_TEST(functions_over_corners),
      PL_BENCH_TEST(bounds_of_what_is_not_known),
      PL_BENCH_TEST(truths_of_kleene),
      PL_BENCH_TEST(truths_of_three),
      PL_BENCH_TEST(needs_are_told),
      PL_BENCH_TEST(more_knowledge_changes_no_verdict),
      PL_BENCH_TEST(more_knowledge_changes_no_condition),
      PL_BENCH_TEST(a_plain_rule_is_open_only_for_a_reason),
      PL_BENCH_TEST(contradictions_are_some),
      PL_BENCH_TEST(conditions),
      PL_BENCH_TEST(conditions_at_places),
      PL_BENCH_TEST(classes),
      PL_BENCH_TEST(the_organisers_class_goes_first),
      PL_BENCH_TEST(the_organisers_class_is_no_line_of_the_setup),
      PL_BENCH_TEST(fallbacks_are_not_declared),
      PL_BENCH_TEST(the_worst_verdict_is_the_entrys),
      PL_BENCH_TEST(a_later_set_replaces_rules),
      PL_BENCH_TEST(measured_goes_before_declared),
      PL_BENCH_TEST(measured_is_not_declared),
      PL_BENCH_TEST(a_tolerance_is_of_the_thing),
      PL_BENCH_TEST(a_tolerance_is_of_its_own_dimension),
      PL_BENCH_TEST(a_measured_line_that_does_not_fit),
      PL_BENCH_TEST(measured_by_another_name),
      PL_BENCH_TEST(no_file_but_measured),
      PL_BENCH_TEST(rules_by_name),
      PL_BENCH_TEST(a_rule_that_is_not_judged_has_no_verdicts),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
