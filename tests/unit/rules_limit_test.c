// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what paper is told of rules: limits of a common shape, values in the unit that the rule
// has them in, and what there is to measure at which place.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "pitleaf/rules.h"

#include <string.h>

static const struct pl_rules *rules_of(struct pl_bench *bench, const char *rule,
                                       const char *setup, struct pl_program **program) {
  *program = pl_bench_program(
      bench, pl_format(bench->arena,
                       "let most = 251 mm\n"
                       "damper \"ten\" { bore = 10 mm; compensation = bladder }\n"
                       "damper \"twelve\" { bore = 12 mm; compensation = emulsion }\n"
                       "rules \"r\" { rule \"one\" {\n%s\n} }\n"
                       "setup \"s\" {\n%s\n}\n",
                       rule, setup));
  const struct pl_rules *const rules = pl_program_rules(*program, NULL);
  if (pl_program_problems(*program)->errors > 0 || rules == NULL)
    fail_msg("%s%s", rule, pl_bench_shown(bench));
  return rules;
}

// ---------------------------------------------------------------- shapes

static const char *const shapes[] = {
    "as written", "at most", "below",      "at least",   "above",  "exactly", "not",
    "one of",     "between", "same sides", "same axles", "all of", "any of"};

static void add_limit(struct pl_buffer *out, const struct pl_limit *limit) {
  static const char *const overs[] = {"", " each", " sum", " number"};
  pl_buffer_format(out, "%s%s", shapes[limit->shape], overs[limit->over]);
  for (size_t i = 0; i < limit->count; i++)
    pl_buffer_format(out, "%s%s", i == 0 ? " " : "|", limit->values[i]);
  if (limit->unit[0] != '\0') pl_buffer_format(out, " %s", limit->unit);
  for (size_t i = 0; i < limit->part_count; i++) {
    pl_buffer_text(out, i == 0 ? ": " : "; ");
    add_limit(out, &limit->parts[i]);
  }
}

static void limits_have_their_shape(struct pl_bench *bench) {
  static const char *const rows[][2] = {
      {"require = width <= 250 mm", "at most 250 mm"},
      {"require = 250 mm >= width", "at most 250 mm"},
      {"require = 250 mm > width", "below 250 mm"},
      {"require = 250 mm <= width", "at least 250 mm"},
      {"require = 250 mm < width", "above 250 mm"},
      {"require = (max(damper.bore)) <= 13 mm", "at most each 13 mm"},
      {"require = (width) < (25 cm)", "below 25 cm"},
      {"require = mass >= 1.5 kg", "at least 1.5 kg"},
      {"require = width > 10 in", "above 10 in"},
      {"require = width <= most", "at most 251 mm"},
      {"require = width <= most + 1 mm", "at most 252 mm"},
      {"require = drive == \"rear wheels\"", "exactly rear wheels"},
      {"require = pinion != 13", "not 13"},
      {"for = each corner; require = damper.bore in [10 mm, 12 mm, 13 mm]",
       "one of 10|12|13 mm"},
      {"for = each corner; require = damper.bore in [10 mm, 1.2 cm]", "one of 10|12 mm"},
      {"for = each corner; require = camber in -4 deg .. 0 deg", "between -4|0 °"},
      {"for = each corner; require = damper.compensation in [bladder, vented]",
       "one of bladder|vented"},
      {"for = each corner; require = damper.compensation == bladder", "exactly bladder"},
      {"for = each axle; require = left.damper.bore == right.damper.bore", "same sides"},
      {"for = each corner; require = rear.damper.bore == front.damper.bore", "same axles"},
      {"require = max(damper.bore) <= 13 mm", "at most each 13 mm"},
      {"require = min(damper.bore) >= 13 mm", "at least each 13 mm"},
      {"require = sum(preload) <= 13 mm", "at most sum 13 mm"},
      {"require = count(damper) == 4", "exactly number 4"},
      {"require = width >= 200 mm and width <= 250 mm", "between 200|250 mm"},
      {"require = width <= 250 mm and width >= 200 mm", "between 200|250 mm"},
      {"require = width <= 250 mm and mass >= 1.5 kg",
       "all of: at most 250 mm; at least 1.5 kg"},
      {"require = pinion <= 20 or spur >= 70", "any of: at most 20; at least 70"},
      // What has no common shape speaks for itself.
      {"require = min(damper.bore) <= 13 mm", "as written"},
      {"require = not (width <= 250 mm)", "as written"},
      {"require = width / 2 <= 125 mm", "as written"},
      {"require = width <= length", "as written"},
      {"require = front-left.damper.bore <= 13 mm", "as written"},
      {"for = each axle; require = left.damper.bore == right.damper.shaft", "as written"},
      {"require = pinion <= 20 and spur >= 70 or mass <= 2 kg", "as written"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_program *program = NULL;
    const struct pl_rules *const rules = rules_of(bench, rows[i][0], "", &program);
    const struct pl_limit limit = pl_rule_limit(bench->arena, rules, &rules->items[0]);
    struct pl_buffer out = {.arena = bench->arena};
    add_limit(&out, &limit);
    if (strcmp(pl_buffer_string(&out), rows[i][1]) != 0)
      fail_msg("%s reads as `%s`, and `%s` was expected", rows[i][0], pl_buffer_string(&out),
               rows[i][1]);
  }
}

// ---------------------------------------------------------------- units

static const struct pl_judgement *judged(struct pl_bench *bench, const char *rule,
                                         const char *setup, enum pl_unit_system system) {
  struct pl_program *program = NULL;
  const struct pl_rules *const rules = rules_of(bench, rule, setup, &program);
  const struct pl_entrant entrant = {.class_name = "", .with_sights = true};
  return pl_judge(bench->arena, rules, pl_figures_new(pl_program_setup(program, NULL), NULL),
                  system, &entrant);
}

/// Value, limit and excess are in the unit in which the rule has its limit, whatever units the
/// entrant works in. By definition an inch is 25.4 mm and a pound 453.59237 g (NIST SP 811).
static void values_are_in_the_units_of_limits(struct pl_bench *bench) {
  static const struct {
    const char *rule, *setup, *value, *limit, *excess;
  } rows[] = {
      {"require = width <= 250 mm", "width = 10 in", "254 mm", "250 mm", "4 mm"},
      {"require = width <= 25 cm", "width = 254 mm", "25.4 cm", "25.0 cm", "0.4 cm"},
      {"require = width <= 9 in", "width = 254 mm", "10.00 in", "9.00 in", "1.00 in"},
      {"require = mass >= 1.5 kg", "mass = 1491 g", "1.491 kg", "1.500 kg", "0.009 kg"},
      {"require = mass >= 1500 g", "mass = 1.491 kg", "1491 g", "1500 g", "9 g"},
      {"require = mass >= 4 lb", "mass = 453.59237 g", "1.000 lb", "4.000 lb", "3.000 lb"},
      {"require = 1.5 kg <= mass", "mass = 1491 g", "1.491 kg", "1.500 kg", "0.009 kg"},
      {"require = width in 20 cm .. 25 cm", "width = 254 mm", "25.4 cm", "20.0 cm .. 25.0 cm",
       "0.4 cm"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    for (int system = PL_METRIC; system <= PL_IMPERIAL; system++) {
      const struct pl_judgement *const judgement =
          judged(bench, rows[i].rule, rows[i].setup, (enum pl_unit_system)system);
      const struct pl_verdict *const verdict = &judgement->verdicts[0];
      assert_string_equal(verdict->value.text, rows[i].value);
      assert_string_equal(verdict->limit.text, rows[i].limit);
      assert_string_equal(verdict->excess, rows[i].excess);
    }
  }
}

static void tolerances_are_as_written(struct pl_bench *bench) {
  static const char *const rows[][2] = {
      {"require = mass >= 1.5 kg; tolerance = 0.002 kg", "0.002 kg"},
      {"require = mass >= 1.5 kg; tolerance = 2 g", "2 g"},
      {"for = each corner; require = camber <= 0 deg; tolerance = 0.25 deg", "0.25°"},
      {"require = pinion <= 20", ""}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_program *program = NULL;
    const struct pl_rules *const rules = rules_of(bench, rows[i][0], "", &program);
    assert_string_equal(rules->items[0].tolerance_text, rows[i][1]);
  }
}

// ---------------------------------------------------------------- what there is to measure

/// "front-left 10.00 mm; …" of all verdicts.
static const char *sights_of(struct pl_bench *bench, const struct pl_judgement *judgement) {
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t i = 0; i < judgement->count; i++) {
    const struct pl_verdict *const verdict = &judgement->verdicts[i];
    for (size_t j = 0; j < verdict->sight_count; j++)
      pl_buffer_format(&out, "%s%s %s", out.length == 0 ? "" : "; ",
                       pl_place_name(verdict->sights[j].place),
                       verdict->sights[j].declared.text);
  }
  return pl_buffer_string(&out);
}

static void sights_have_their_places(struct pl_bench *bench) {
  static const char *const rows[][2] = {
      {"require = width <= 250 mm", "car 254 mm"},
      {"require = mass <= 2 kg", "car "},
      {"for = each corner; require = damper.bore <= 13 mm",
       "front-left 10.00 mm; front-right 10.00 mm; rear-left 12.00 mm; rear-right 12.00 mm"},
      {"for = each axle; require = left.damper.bore == right.damper.bore",
       "front-left 10.00 mm; front-right 10.00 mm; rear-left 12.00 mm; rear-right 12.00 mm"},
      {"require = max(damper.bore) <= 1.3 cm",
       "front-left 1.000 cm; front-right 1.000 cm; rear-left 1.200 cm; rear-right 1.200 cm"},
      {"for = each axle; require = max(damper.bore) <= 13 mm",
       "front-left 10.00 mm; front-right 10.00 mm; rear-left 12.00 mm; rear-right 12.00 mm"},
      {"require = width <= 250 mm or width <= most", "car 254 mm"},
      {"require = count(damper) == 4", ""}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const char *const got = sights_of(
        bench,
        judged(bench, rows[i][0],
               "width = 254 mm; front { damper = \"ten\" }; rear { damper = \"twelve\" }",
               PL_METRIC));
    if (strcmp(got, rows[i][1]) != 0)
      fail_msg("%s is of `%s`, and `%s` was expected", rows[i][0], got, rows[i][1]);
  }
}

/// Where the class is not known nothing is judged, and all places are there to be measured.
static void an_entry_of_no_class_is_seen_at_all_places(struct pl_bench *bench) {
  static const char text[] =
      "rules \"r\" { applies-to = [\"buggies\"]\n"
      "  rule \"Bore\" { for = each corner; require = damper.bore <= 13 mm }\n"
      "  rule \"Pairs\" { for = each axle; require = roll-centre-shim <= 3 mm }\n"
      "  rule \"Width\" { require = width <= 250 mm } }\nsetup \"s\" { width = 249 mm }\n";
  struct pl_program *const program = pl_bench_program(bench, text);
  const struct pl_rules *const rules = pl_program_rules(program, NULL);
  assert_non_null(rules);
  const struct pl_entrant entrant = {.class_name = "", .with_sights = true};
  const struct pl_judgement *const judgement =
      pl_judge(bench->arena, rules, pl_figures_new(pl_program_setup(program, NULL), NULL),
               PL_METRIC, &entrant);
  assert_int_equal((int)judgement->outcome, PL_CANNOT_BE_JUDGED);
  assert_string_equal(sights_of(bench, judgement),
                      "front-left ; front-right ; rear-left ; rear-right ; front ; rear ; "
                      "car 249 mm");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(limits_have_their_shape), PL_BENCH_TEST(values_are_in_the_units_of_limits),
      PL_BENCH_TEST(tolerances_are_as_written), PL_BENCH_TEST(sights_have_their_places),
      PL_BENCH_TEST(an_entry_of_no_class_is_seen_at_all_places)};
  return cmocka_run_group_tests_name("what paper is told of rules", tests, NULL, NULL);
}
