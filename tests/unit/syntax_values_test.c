// SPDX-License-Identifier: GPL-3.0-or-later
// Tests how values are read: what binds to what, units behind numbers, names with hyphens, and
// the trade's own values.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "support.h"

#include "pitleaf/syntax.h"

#include <string.h>

// ---------------------------------------------------------------- numbers

/// An expression and what it comes to, in a unit.
struct sum {
  const char *expression;
  double number;
  const char *unit;
};

static void check_sums(struct pl_bench *bench, const char *program, const struct sum *sums,
                       size_t count) {
  pl_bench_program(bench, program);
  assert_problems(bench, "");
  for (size_t i = 0; i < count; i++) {
    const struct pl_value value = pl_bench_value(bench, sums[i].expression);
    struct pl_unit unit = {.factor = 1};
    const char *bad = NULL;
    size_t bad_length = 0;
    const enum pl_unit_result read =
        pl_unit_read(sums[i].unit, strlen(sums[i].unit), &unit, &bad, &bad_length);
    assert_int_equal(read, PL_UNIT_OK);
    if (value.kind != PL_VALUE_NUMBER || !pl_dimension_equal(value.dimension, unit.dimension))
      fail_msg("%s is not in %s\n%s", sums[i].expression, sums[i].unit, pl_bench_shown(bench));
    const double shown = pl_from_si(value.number, &unit);
    if (!pl_near(shown, sums[i].number, 1e-12 * fabs(sums[i].number)))
      fail_msg("%s is %.17g, not %.17g", sums[i].expression, shown, sums[i].number);
  }
  assert_problems(bench, "");
}

#define CHECK_SUMS(bench, program, sums)                                                       \
  check_sums((bench), (program), (sums), sizeof(sums) / sizeof((sums)[0]))

/// By the rules of arithmetic: powers before signs, signs before products, products before
/// sums, all but powers from the left.
static void precedence_of_arithmetic(struct pl_bench *bench) {
  static const struct sum sums[] = {
      {"1 + 2 * 3", 7, ""},
      {"(1 + 2) * 3", 9, ""},
      {"7 - 3 - 2", 2, ""},
      {"7 - (3 - 2)", 6, ""},
      {"12 / 3 / 2", 2, ""},
      {"12 / (3 / 2)", 8, ""},
      {"2 * 3 ^ 2", 18, ""},
      {"(2 * 3) ^ 2", 36, ""},
      {"-2 ^ 2", -4, ""},
      {"(-2) ^ 2", 4, ""},
      {"2 ^ -1", 0.5, ""},
      {"-2 * -3", 6, ""},
      {"1 - -1", 2, ""},
      {"+3 - +1", 2, ""},
      {"- (2 + 1)", -3, ""},
      {"--2", 2, ""},
      {"8 / 2 * 4", 16, ""},
      {"2 + 6 / 3 - 1", 3, ""},
      {"10 - 2 * 3 ^ 2 / 6", 7, ""},
      {"4 ^ 0.5", 2, ""},
      {"50 % * 3", 1.5, ""},
      {"round(2.5) - abs(-1)", 2, ""},
      {"min(3, 1 + 1, 5) * 2", 4, ""},
      {"max(1, -2 ^ 2)", 1, ""},
      {"sqrt(9) ^ 2", 9, ""},
      {"((((1))))", 1, ""},
  };
  CHECK_SUMS(bench, "", sums);
}

static void units_behind_numbers(struct pl_bench *bench) {
  static const struct sum sums[] = {
      {"3mm", 3, "mm"},
      {"3 mm", 3, "mm"},
      {"3   mm", 3, "mm"},
      {"3\tmm", 3, "mm"},
      {"1e3 mm", 1, "m"},
      {"1e-3 m", 1, "mm"},
      {"2.5e2um", 0.25, "mm"},
      {"10 mm + 1 cm", 20, "mm"},
      {"10 mm * 2", 20, "mm"},
      {"2 * 10 mm", 20, "mm"},
      {"10 mm / 2 mm", 5, ""},
      {"10 mm/2", 5, "mm"}, // the stroke leads to no unit
      {"10 mm / 2 s", 5, "mm/s"},
      {"10 mm/s", 10, "mm/s"},
      {"10 mm/s / 2", 5, "mm/s"},
      {"6 N/mm", 6000, "N/m"},
      {"6 N / mm", 6, "N/mm"}, // `mm` is a let here
      {"10 mm/track", 5, ""},  // and so is `track`
      {"10 mm^2", 10, "mm^2"},
      {"(10 mm)^2", 100, "mm^2"},
      {"10 mm²", 10, "mm^2"},
      {"350 cSt", 350, "mm^2/s"},
      {"0.00096 1/K", 0.00096, "1/K"},
      {"0.00096 /K", 0.00096, "1/K"},
      {"5 µm", 5, "um"},
      {"5 μm", 5, "um"},
      {"20 °", 20, "deg"},
      {"60 %", 0.6, ""},
      {"60%", 0.6, ""},
      {"1 N.s/m", 1, "N.s/m"},
      {"2 in", 50.8, "mm"},
  };
  CHECK_SUMS(bench, "let mm = 1 mm\nlet track = 2 mm\n", sums);
}

/// A minus sign without blanks around it joins the words of a name.
static void hyphens_and_minus_signs(struct pl_bench *bench) {
  static const struct sum sums[] = {
      {"a-b", 10, ""},    {"a - b", 1, ""},  {"a -b", 1, ""},  {"a- b", 1, ""},
      {"a-b - a", 7, ""}, {"a-1", 20, ""},   {"a - 1", 2, ""}, {"3-1", 2, ""},
      {"3-b", 1, ""},     {"a-b-b", 30, ""}, {"-a", -3, ""},   {"a-b -1", 9, ""},
  };
  CHECK_SUMS(bench, "let a = 3\nlet b = 2\nlet a-b = 10\nlet a-1 = 20\nlet a-b-b = 30\n", sums);
}

/// Words of the language are names wherever they mean nothing.
static void words_as_names(struct pl_bench *bench) {
  static const struct sum sums[] = {
      {"x + to + at + gap", 10, ""}, {"coils * 2", 10, ""}, {"from - when", 1, ""}};
  CHECK_SUMS(bench,
             "let x = 1\nlet to = 2\nlet at = 3\nlet gap = 4\nlet coils = 5\nlet from = 7\n"
             "let when = 6\n",
             sums);
}

static void temperatures(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  const struct pl_value warm = pl_bench_value(bench, "18 degC + 5 K");
  assert_true(warm.absolute);
  assert_near(warm.number, 273.15 + 23, 1e-12);
  const struct pl_value cold = pl_bench_value(bench, "-5 degC");
  assert_true(cold.absolute);
  assert_near(cold.number, 268.15, 1e-12);
  const struct pl_value apart = pl_bench_value(bench, "18 degC - 5 degC");
  assert_false(apart.absolute);
  assert_near(apart.number, 13, 1e-12);
  assert_near(pl_bench_value(bench, "50 °F").number, 283.15, 1e-12);
  assert_problems(bench, "");
}

// ---------------------------------------------------------------- conditions

static void precedence_of_conditions(struct pl_bench *bench) {
  static const struct {
    const char *expression;
    bool holds;
  } cases[] = {{"1 < 2", true},
               {"2 <= 2 and 2 >= 2", true},
               {"1 + 1 == 2", true},
               {"1 != 1", false},
               {"1 > 2 or 2 > 1", true},
               {"2 > 1 or 2 > 1 and 1 > 2", true}, // `and` before `or`
               {"(2 > 1 or 2 > 1) and 1 > 2", false},
               {"not 1 > 2 and 1 > 2", false}, // `not` before `and`
               {"not (1 > 2 and 1 > 2)", true},
               {"not not 1 < 2", true},
               {"3 mm in 1 mm .. 3 mm", true}, // both ends belong to a range
               {"3 mm in 1 mm .. 2 mm + 0.5 mm", false},
               {"1 mm + 1 mm in [2 mm, 5 mm]", true},
               {"3 in [1, 2]", false}, // not inches
               {"2 in[1, 2]", true},
               {"4 mm in [1 mm, 3 mm .. 5 mm]", true},
               {"\"a\" == \"a\"", true},
               {"\"a\" in [\"b\", \"c\"]", false},
               {"0.1 mm + 0.2 mm == 0.3 mm", true}, // equal but for rounding
               {"2 ≥ 1", true},
               {"1 ≤ 0", false},
               {"1 ≠ 2", true}};
  pl_bench_program(bench, "");
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_value value = pl_bench_value(bench, cases[i].expression);
    if (value.kind != PL_VALUE_TRUTH || (value.number != 0) != cases[i].holds)
      fail_msg("%s: %s", cases[i].expression, pl_value_text(bench->arena, &value));
  }
  assert_problems(bench, "");
}

// ---------------------------------------------------------------- the trade's own values

static void ports(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  const struct pl_value value = pl_bench_value(
      bench, "3 x 1.3 mm + 2 × 1.6 mm to 1.4 mm + 1 x 1.5 mm one-way rebound opens-at 4 kPa");
  assert_int_equal(value.kind, PL_VALUE_PORTS);
  assert_int_equal(value.count, 3);
  const struct pl_ports *const set = value.many.ports;
  assert_near(set[0].count, 3, 0.0);
  assert_near(set[0].cap_diameter, 1.3e-3, 1e-12);
  assert_near(set[0].shaft_diameter, 1.3e-3, 1e-12);
  assert_int_equal(set[0].one_way, PL_BOTH_WAYS);
  assert_near(set[1].cap_diameter, 1.6e-3, 1e-12);
  assert_near(set[1].shaft_diameter, 1.4e-3, 1e-12);
  assert_int_equal(set[2].one_way, PL_ONE_WAY_REBOUND);
  assert_near(set[2].opens_at, 4000, 1e-12);
  assert_problems(bench, "");
}

static void ports_without_blanks(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  static const char *const written[] = {"6x1.3mm", "6 x1.3 mm", "6x 1.3mm", "6×1.3mm"};
  for (size_t i = 0; i < sizeof written / sizeof written[0]; i++) {
    const struct pl_value value = pl_bench_value(bench, written[i]);
    assert_int_equal(value.kind, PL_VALUE_PORTS);
    assert_near(value.many.ports[0].count, 6, 0.0);
    assert_near(value.many.ports[0].cap_diameter, 1.3e-3, 1e-12);
  }
  assert_int_equal(pl_bench_value(bench, "2x1mm + 3x2mm to 1mm").count, 2);
  assert_problems(bench, "");
}

static void tolerances(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  const struct pl_value length = pl_bench_value(bench, "1.30 mm +- 0.02 mm");
  assert_near(length.number, 1.3e-3, 1e-12);
  assert_near(length.tolerance, 2e-5, 1e-12);
  const struct pl_value sum = pl_bench_value(bench, "1 mm + 2 mm ± 0.1 mm");
  assert_near(sum.number, 3e-3, 1e-12);
  assert_near(sum.tolerance, 1e-4, 1e-12);
  const struct pl_value set = pl_bench_value(bench, "6 x 1.3 mm + 2 x 1 mm +- 0.02 mm");
  assert_int_equal(set.count, 2);
  assert_near(set.many.ports[0].tolerance, 2e-5, 1e-12); // of all sets before it
  assert_near(set.many.ports[1].tolerance, 2e-5, 1e-12);
  assert_problems(bench, "");
}

static void lists_and_points(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  const struct pl_value list =
      pl_bench_value(bench, "[1 mm,\n  2 mm, # the second\n  (3 mm),]");
  assert_int_equal(list.kind, PL_VALUE_LIST);
  assert_int_equal(list.count, 3);
  assert_near(list.many.items[2].number, 3e-3, 1e-12);
  assert_int_equal(pl_bench_value(bench, "[1,2,3]").count, 3); // no decimal commas
  const struct pl_value point = pl_bench_value(bench, "(31 mm, -58 mm)");
  assert_int_equal(point.kind, PL_VALUE_POINT);
  assert_false(point.has_x);
  assert_near(point.y, 31e-3, 1e-12);
  assert_near(point.z, -58e-3, 1e-12);
  const struct pl_value in_space = pl_bench_value(bench, "(1 mm,\n2 mm,\n3 mm)");
  assert_true(in_space.has_x);
  assert_near(in_space.x, 1e-3, 1e-12);
  const struct pl_value row = pl_bench_value(bench, "[0 mm 0 N, 5 mm 2.1 N]");
  assert_int_equal(row.many.items[1].kind, PL_VALUE_ROW);
  assert_int_equal(row.many.items[1].count, 2);
  const struct pl_value coils = pl_bench_value(bench, "4 coils gap 1.2 mm");
  assert_int_equal(coils.kind, PL_VALUE_COILS);
  assert_near(coils.number, 4, 0.0);
  assert_near(coils.x, 1.2e-3, 1e-12);
  assert_problems(bench, "");
}

static void texts_and_dates(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  static const char *const cases[][2] = {
      {"\"clear 400\"", "clear 400"},
      {"\"a \\\"b\\\" \\\\ c\"", "a \"b\" \\ c"},
      {"\"one\\ntwo\\tthree\"", "one\ntwo\tthree"},
      {"\"\\u{e9}\\u{1F3C1}\"", "é\xf0\x9f\x8f\x81"},
      {"\"\"", ""},
      {"\"# no comment\"", "# no comment"},
      {"\"ends with \\\\\"", "ends with \\"},
      {"2026-06-14", "2026-06-14"},
      {"2024-02-29", "2024-02-29"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_value value = pl_bench_value(bench, cases[i][0]);
    assert_int_equal(value.kind, PL_VALUE_TEXT);
    assert_string_equal(value.text, cases[i][1]);
    // What is written for it reads as the same again.
    struct pl_buffer again = {.arena = bench->arena};
    pl_buffer_quoted(&again, value.text);
    assert_string_equal(pl_bench_value(bench, pl_buffer_string(&again)).text, cases[i][1]);
  }
  assert_problems(bench, "");
  (void)pl_bench_value(bench, "2023-02-29");
  (void)pl_bench_value(bench, "1900-02-29");
  (void)pl_bench_value(bench, "2026-13-01");
  assert_problems(bench, "no-such-day no-such-day no-such-day");
}

// ---------------------------------------------------------------- what is kept beside values

/// Comments, blank lines and line ends stay where they were, each a token of its own.
static void comments_are_kept(struct pl_bench *bench) {
  static const char text[] = "# at the top\n\nlet a = 1 # behind a value\r\n"
                             "let b = [1, # inside a list\n 2]\n# last, without a line end";
  static const char *const comments[] = {"# at the top", "# behind a value\r",
                                         "# inside a list", "# last, without a line end"};
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "test.leaf", (const unsigned char *)text, strlen(text));
  struct pl_diagnostics *const problems = pl_diagnostics_new(bench->arena);
  const struct pl_tree *const tree =
      pl_parse(bench->arena, pl_names_new(bench->arena), problems, source);
  assert_int_equal(problems->count, 0);
  size_t found = 0;
  size_t lines = 0;
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    if (token->class == PL_CLASS_LINE) lines++;
    if (token->class != PL_CLASS_COMMENT) continue;
    assert_true(found < sizeof comments / sizeof comments[0]);
    const struct pl_span span = {source, pl_token_start(token), token->end};
    assert_string_equal(pl_span_text(bench->arena, span), comments[found++]);
  }
  assert_int_equal(found, sizeof comments / sizeof comments[0]);
  assert_int_equal(lines, 4); // the line end inside the list is a blank
}

/// A property ends at the end of its line or at a semicolon; a block may stand on one line.
static void ends_of_properties(struct pl_bench *bench) {
  pl_bench_program(bench, "let a = 1; let b = 2\nlet c = 3;; ;let d = 4;\n"
                          "spring \"F 0.62\" { rate = 0.62 N/mm; free-length = 40 mm }\n");
  assert_problems(bench, "");
  assert_near(pl_bench_value(bench, "a + b + c + d").number, 10, 0.0);
  assert_non_null(pl_program_find(bench->program, PL_BLOCK_SPRING, "F 0.62"));
}

/// The mark that some editors put first, and the line ends of other systems.
static void byte_order_mark(struct pl_bench *bench) {
  pl_bench_program(bench, "\xef\xbb\xbflet a = 1\r\nlet b = 2\r\n");
  assert_problems(bench, "");
  assert_near(pl_bench_value(bench, "a + b").number, 3, 0.0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(precedence_of_arithmetic),
      PL_BENCH_TEST(units_behind_numbers),
      PL_BENCH_TEST(hyphens_and_minus_signs),
      PL_BENCH_TEST(words_as_names),
      PL_BENCH_TEST(temperatures),
      PL_BENCH_TEST(precedence_of_conditions),
      PL_BENCH_TEST(ports),
      PL_BENCH_TEST(ports_without_blanks),
      PL_BENCH_TEST(tolerances),
      PL_BENCH_TEST(lists_and_points),
      PL_BENCH_TEST(texts_and_dates),
      PL_BENCH_TEST(comments_are_kept),
      PL_BENCH_TEST(ends_of_properties),
      PL_BENCH_TEST(byte_order_mark),
  };
  return cmocka_run_group_tests_name("syntax, values", tests, NULL, NULL);
}
