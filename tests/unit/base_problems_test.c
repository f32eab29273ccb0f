// SPDX-License-Identifier: GPL-3.0-or-later
// Tests positions in source text and the list of problems: once each, sorted, capped.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <string.h>

static struct pl_source *source_of(struct pl_bench *bench, const char *path, const char *text) {
  return pl_source_of_bytes(bench->arena, path, (const unsigned char *)text, strlen(text));
}

static struct pl_span span_of(const struct pl_source *source, uint32_t start, uint32_t end) {
  return (struct pl_span){source, start, end};
}

// ---------------------------------------------------------------- sources and positions

static void positions(struct pl_bench *bench) {
  // Two bytes: ø and °. Three: 湿. Four: a chequered flag.
  const char *const text = "ab\nø°c\n\n湿x\r\n\xf0\x9f\x8f\x81z";
  const struct pl_source *const source = source_of(bench, "a.leaf", text);
  static const struct {
    uint32_t at, line, column;
  } cases[] = {{0, 1, 1},  {1, 1, 2},  {2, 1, 3},  {3, 2, 1},  {5, 2, 2},
               {7, 2, 3},  {8, 2, 4},  {9, 3, 1},  {10, 4, 1}, {13, 4, 2},
               {14, 4, 3}, {16, 5, 1}, {20, 5, 2}, {21, 5, 3}, {99, 5, 3}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_position position = pl_position(span_of(source, cases[i].at, cases[i].at));
    if (position.line != cases[i].line || position.column != cases[i].column)
      fail_msg("byte %u is at %u:%u", cases[i].at, position.line, position.column);
  }
  const struct pl_position nowhere = pl_position((struct pl_span){NULL, 7, 9});
  assert_int_equal(nowhere.line, 1);
  assert_int_equal(nowhere.column, 1);
}

static void joined_spans(struct pl_bench *bench) {
  const struct pl_source *const one = source_of(bench, "a.leaf", "some text");
  const struct pl_source *const two = source_of(bench, "b.leaf", "more text");
  const struct pl_span joined = pl_span_join(span_of(one, 2, 3), span_of(one, 5, 8));
  assert_int_equal(joined.start, 2);
  assert_int_equal(joined.end, 8);
  assert_int_equal(pl_span_join(span_of(one, 2, 7), span_of(one, 3, 4)).end, 7);
  assert_int_equal(pl_span_join(span_of(one, 2, 3), span_of(two, 5, 8)).end, 3);
  assert_ptr_equal(pl_span_join((struct pl_span){NULL, 0, 0}, span_of(two, 5, 8)).source, two);
}

/// The digest is SHA-256; the one of "abc" is the example in FIPS 180-2 (2002), appendix B.1.
static void digest_of_source(struct pl_bench *bench) {
  assert_string_equal(pl_source_digest(bench->arena, source_of(bench, "a.leaf", "abc")),
                      "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

// ---------------------------------------------------------------- problems

static void same_problem_stands_once(struct pl_bench *bench) {
  struct pl_diagnostics *const list = pl_diagnostics_new(bench->arena);
  const struct pl_source *const source = source_of(bench, "a.leaf", "some text");
  const struct pl_diagnostic *const first =
      pl_report(list, PL_UNKNOWN_UNIT, span_of(source, 1, 3), PL_WORDS("mn", "mm"));
  assert_non_null(first);
  assert_string_equal(first->message, "`mn` is not a unit.");
  assert_string_equal(first->hint, "did you mean `mm`?");
  assert_null(pl_report(list, PL_UNKNOWN_UNIT, span_of(source, 1, 3), PL_WORDS("mn", "mm")));
  assert_non_null(
      pl_report(list, PL_UNKNOWN_UNIT, span_of(source, 1, 3), PL_WORDS("nm", "mm")));
  assert_non_null(
      pl_report(list, PL_UNKNOWN_UNIT, span_of(source, 1, 4), PL_WORDS("mn", "mm")));
  assert_int_equal(list->count, 3);
  assert_int_equal(list->errors, 3);
  assert_int_equal(list->warnings, 0);
}

/// A mend is told only if all its words are known.
static void mend_needs_its_words(struct pl_bench *bench) {
  struct pl_diagnostics *const list = pl_diagnostics_new(bench->arena);
  const struct pl_source *const source = source_of(bench, "a.leaf", "some text");
  const struct pl_diagnostic *const problem =
      pl_report(list, PL_UNKNOWN_UNIT, span_of(source, 1, 3), PL_WORDS("furlong", NULL));
  assert_string_equal(problem->message, "`furlong` is not a unit.");
  assert_string_equal(problem->hint, "");
}

/// The words belong to whoever reports: a setup that is checked is gone before its problems are
/// told.
static void problem_outlives_its_words(struct pl_bench *bench) {
  struct pl_diagnostics *const list = pl_diagnostics_new(bench->arena);
  const struct pl_source *const source = source_of(bench, "a.leaf", "some text");
  char wrong[] = "mn";
  char meant[] = "mm";
  const struct pl_diagnostic *const problem =
      pl_report(list, PL_UNKNOWN_UNIT, span_of(source, 1, 3), PL_WORDS(wrong, meant));
  wrong[0] = meant[0] = 'x';
  assert_string_equal(problem->message, "`mn` is not a unit.");
  assert_string_equal(problem->hint, "did you mean `mm`?");
  assert_string_equal(problem->replacement, "mm");
}

static void related_places(struct pl_bench *bench) {
  struct pl_diagnostics *const list = pl_diagnostics_new(bench->arena);
  const struct pl_source *const source = source_of(bench, "a.leaf", "some text");
  struct pl_diagnostic *const problem =
      pl_report(list, PL_STRAY_BRACE, span_of(source, 1, 2), PL_NO_WORDS);
  pl_relate(NULL, span_of(source, 1, 2), "of nothing");
  pl_relate(problem, (struct pl_span){NULL, 0, 0}, "nowhere");
  assert_int_equal(problem->related_count, 0);
  for (int i = 0; i < 5; i++) pl_relate(problem, span_of(source, 3, 4), "here");
  assert_int_equal(problem->related_count, 2); // there is room for two
}

/// By file in the order in which files came up, then by place, then in the order of reports.
static void problems_are_sorted(struct pl_bench *bench) {
  struct pl_diagnostics *const list = pl_diagnostics_new(bench->arena);
  const struct pl_source *const one = source_of(bench, "one.leaf", "some text of one file");
  const struct pl_source *const two = source_of(bench, "two.leaf", "some text of another file");
  pl_report(list, PL_STRAY_BRACE, span_of(two, 9, 10), PL_NO_WORDS);
  pl_report(list, PL_STRAY_BRACE, span_of(one, 8, 9), PL_NO_WORDS);
  pl_report(list, PL_UNCLOSED_BRACE, span_of(one, 2, 3), PL_NO_WORDS);
  pl_report(list, PL_STRAY_BRACE, span_of(two, 1, 2), PL_NO_WORDS);
  pl_report(list, PL_STRAY_BRACE, span_of(one, 2, 3), PL_NO_WORDS);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(list);
  static const struct {
    const char *path;
    uint32_t start;
    enum pl_code code;
  } expected[] = {{"two.leaf", 1, PL_STRAY_BRACE},
                  {"two.leaf", 9, PL_STRAY_BRACE},
                  {"one.leaf", 2, PL_UNCLOSED_BRACE},
                  {"one.leaf", 2, PL_STRAY_BRACE},
                  {"one.leaf", 8, PL_STRAY_BRACE}};
  for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
    assert_string_equal(sorted[i]->span.source->path, expected[i].path);
    assert_int_equal(sorted[i]->span.start, expected[i].start);
    assert_int_equal(sorted[i]->code, expected[i].code);
  }
}

/// One file's mistakes are capped, and that is the last that is said of it; another's are not.
static void problems_are_capped(struct pl_bench *bench) {
  struct pl_diagnostics *const list = pl_diagnostics_new(bench->arena);
  const struct pl_source *const full = source_of(bench, "full.leaf", "a file of many mistakes");
  const struct pl_source *const other = source_of(bench, "other.leaf", "a file of one mistake");
  for (int i = 0; i < PL_MOST_PROBLEMS; i++)
    assert_non_null(pl_report(list, PL_UNKNOWN_UNIT, span_of(full, 20, 21),
                              PL_WORDS(pl_format(bench->arena, "m%d", i), NULL)));
  assert_false(pl_diagnostics_full(list, full));
  assert_null(pl_report(list, PL_STRAY_BRACE, span_of(full, 1, 2), PL_NO_WORDS));
  assert_true(pl_diagnostics_full(list, full));
  assert_null(pl_report(list, PL_STRAY_BRACE, span_of(full, 3, 4), PL_NO_WORDS));
  assert_non_null(pl_report(list, PL_STRAY_BRACE, span_of(other, 1, 2), PL_NO_WORDS));
  assert_int_equal(list->count, PL_MOST_PROBLEMS + 2);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(list);
  assert_int_equal(sorted[PL_MOST_PROBLEMS]->code, PL_TOO_MANY_PROBLEMS);
  assert_ptr_equal(sorted[PL_MOST_PROBLEMS + 1]->span.source, other);
}

/// From one list into another: once, with the mend, and within the cap.
static void problems_of_another_list(struct pl_bench *bench) {
  struct pl_diagnostics *const from = pl_diagnostics_new(bench->arena);
  struct pl_diagnostics *const into = pl_diagnostics_new(bench->arena);
  const struct pl_source *const source = source_of(bench, "a.leaf", "some text");
  for (int i = 0; i < PL_MOST_PROBLEMS + 5; i++)
    pl_report(from, PL_UNKNOWN_UNIT, span_of(source, 1, 2),
              PL_WORDS(pl_format(bench->arena, "m%d", i), "mm"));
  for (int again = 0; again < 2; again++)
    for (size_t i = 0; i < from->count; i++) pl_report_again(into, &from->items[i]);
  assert_int_equal(into->count, from->count);
  assert_string_equal(into->items[7].hint, "did you mean `mm`?");
  assert_int_equal(into->items[into->count - 1].code, PL_TOO_MANY_PROBLEMS);
}

// ---------------------------------------------------------------- the table

/// The greatest place `{n}` in a text, 0 if it has none.
static int greatest_place(const char *text) {
  int greatest = 0;
  for (const char *at = strchr(text, '{'); at != NULL; at = strchr(at + 1, '{')) {
    const bool is_place = at[1] >= '0' && at[1] <= '9' && at[2] == '}';
    if (is_place && at[1] - '0' > greatest) greatest = at[1] - '0';
  }
  return greatest;
}

/// Every row of the table has a code in lower-case words, a sentence that ends with a stop, a
/// mend that does not, and no place that cannot be filled.
static void rows_are_sentences(struct pl_bench *bench) {
  (void)bench;
  const size_t places = sizeof((struct pl_words *)0)->word / sizeof(const char *) - 1;
  for (int code = 0; code < PL_CODE_COUNT; code++) {
    const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[code];
    assert_true(strlen(row->code) > 0);
    assert_int_equal(strspn(row->code, "abcdefghijklmnopqrstuvwxyz0123456789-"),
                     strlen(row->code));
    assert_int_equal(row->text[strlen(row->text) - 1], '.');
    assert_true(row->mend[0] == '\0' || row->mend[strlen(row->mend) - 1] != '.');
    assert_true((size_t)greatest_place(row->text) <= places);
    assert_true((size_t)greatest_place(row->mend) <= places);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(positions),
      PL_BENCH_TEST(joined_spans),
      PL_BENCH_TEST(digest_of_source),
      PL_BENCH_TEST(same_problem_stands_once),
      PL_BENCH_TEST(mend_needs_its_words),
      PL_BENCH_TEST(problem_outlives_its_words),
      PL_BENCH_TEST(related_places),
      PL_BENCH_TEST(problems_are_sorted),
      PL_BENCH_TEST(problems_are_capped),
      PL_BENCH_TEST(problems_of_another_list),
      PL_BENCH_TEST(rows_are_sentences),
  };
  return cmocka_run_group_tests_name("base, problems", tests, NULL, NULL);
}
