// SPDX-License-Identifier: GPL-3.0-or-later
// Tests that files made to grow beyond all bounds, by names of names of names or by sheer
// length, end in a report or in work that keeps pace with the file, in memory and in time.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <math.h>
#include <string.h>
#include <time.h>

/// What a small file may take at most; what doubles forty times takes a million times as much.
#define SMALL_FILE ((size_t)4 * 1024 * 1024)

static struct pl_buffer buffer_of(struct pl_bench *bench) {
  return (struct pl_buffer){.arena = bench->own};
}

/// The program made of the text; fails the test if that took more than `most` bytes.
static void load_within(struct pl_bench *bench, struct pl_buffer *text, size_t most) {
  const char *const source = pl_buffer_string(text);
  const size_t before = pl_arena_used(bench->arena);
  pl_bench_program(bench, source);
  const size_t used = pl_arena_used(bench->arena) - before;
  if (used > most) fail_msg("%zu bytes were used, and %zu are enough", used, most);
}

/// Bytes that the program of this text takes.
static size_t bytes_of(struct pl_bench *bench, struct pl_buffer *text) {
  const char *const source = pl_buffer_string(text);
  const size_t before = pl_arena_used(bench->arena);
  pl_bench_program(bench, source);
  return pl_arena_used(bench->arena) - before;
}

static double seconds_now(void) {
  return (double)clock() / CLOCKS_PER_SEC;
}

// ---------------------------------------------------------------- doubling

static void blends_of_blends(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  pl_buffer_text(&text, "oil \"x\" { viscosity = 300 cSt }\noil \"y\" { viscosity = 400 cSt }\n"
                        "let b0 = blend(\"x\" 50 %, \"y\" 50 %)\n");
  for (int i = 1; i <= 40; i++)
    pl_buffer_format(&text, "let b%d = blend(b%d 50 %%, b%d 50 %%)\n", i, i - 1, i - 1);
  pl_buffer_text(&text, "setup \"s\" { oil = b40 }\n");
  load_within(bench, &text, SMALL_FILE);
  const struct pl_setup *const setup = pl_program_setup(bench->program, NULL);
  assert_non_null(setup);
  const struct pl_part *const oil = pl_setup_part(setup, PL_SETTING_OIL, PL_FRONT_LEFT);
  assert_problems(bench, "");
  assert_non_null(oil);
  // However often they were halved and poured together: half of the one, half of the other.
  assert_int_equal(oil->share_count, 2);
  assert_string_equal(oil->shares[0].part->name, "x");
  assert_true(oil->shares[0].share == 0.5 && oil->shares[1].share == 0.5);
}

static void name_of_a_blend(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  for (int i = 0; i < 2; i++) {
    pl_buffer_format(&text, "oil \"%d", i);
    for (int j = 0; j < 300; j++) pl_buffer_text(&text, "é");
    pl_buffer_text(&text, "\" { viscosity = 300 cSt }\n");
  }
  pl_buffer_text(&text, "setup \"s\" { oil = blend(");
  for (int i = 0; i < 2; i++) {
    pl_buffer_format(&text, "%s\"%d", i == 0 ? "" : ", ", i);
    for (int j = 0; j < 300; j++) pl_buffer_text(&text, "é");
    pl_buffer_text(&text, "\" 50 %");
  }
  pl_buffer_text(&text, ") }\n");
  pl_bench_program(bench, pl_buffer_string(&text));
  const struct pl_setup *const setup = pl_program_setup(bench->program, NULL);
  const struct pl_part *const oil = pl_setup_part(setup, PL_SETTING_OIL, PL_FRONT_LEFT);
  assert_problems(bench, "");
  const size_t length = strlen(oil->name);
  assert_in_range(length, 300, 410);
  assert_string_equal(oil->name + length - 5, "é…"); // no half of a letter
}

static void ports_of_ports(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  pl_buffer_text(&text, "let p0 = 1 x 1 mm\n");
  for (int i = 1; i <= 40; i++)
    pl_buffer_format(&text, "let p%d = p%d + p%d\n", i, i - 1, i - 1);
  load_within(bench, &text, SMALL_FILE);
  assert_problems(bench, "too-many-values"); // one, and what follows of it is left alone
}

static void lists_of_lists(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  pl_buffer_text(&text, "let a0 = [1, 2]\nlet b0 = [1, 2]\n");
  for (int i = 1; i <= 40; i++)
    pl_buffer_format(&text, "let a%d = [a%d, a%d]\nlet b%d = [b%d, b%d]\n", i, i - 1, i - 1, i,
                     i - 1, i - 1);
  pl_buffer_text(&text, "let same = a40 == b40\n");
  load_within(bench, &text, SMALL_FILE);
  assert_problems(bench, "too-many-values too-many-values");
}

/// At the limit itself a list is one like any other.
static void longest_list(struct pl_bench *bench) {
  for (size_t count = 10000; count <= 10001; count++) {
    struct pl_buffer text = buffer_of(bench);
    pl_buffer_text(&text, "let all = [");
    for (size_t i = 0; i < count; i++) pl_buffer_format(&text, "%zu, ", i);
    pl_buffer_text(&text, "]\nlet found = (9999) in all\n");
    pl_bench_program(bench, pl_buffer_string(&text));
    assert_problems(bench, count == 10000 ? "" : "too-many-values");
  }
}

static void stacks_of_stacks(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "setup \"s\" {\n front { spring = [0.5 N/mm, 0.6 N/mm] }\n"
                            " rear { spring = [front.spring, 0.7 N/mm] }\n}\n");
  assert_problems(bench, "");
  const struct pl_part *const stack = pl_setup_part(setup, PL_SETTING_SPRING, PL_REAR_LEFT);
  assert_int_equal(stack->share_count, 3);
  for (size_t i = 0; i < 3; i++) assert_int_equal(stack->shares[i].part->share_count, 0);
  pl_bench_setup(bench, "setup \"s\" {\n front { spring = [1 N/mm, 1 N/mm, 1 N/mm] }\n"
                        " rear { spring = [front.spring, front.spring] }\n}\n");
  assert_problems(bench, "wrong-kind"); // six are more than a shock has
}

// ---------------------------------------------------------------- length

/// A sum is as deep as it is long; parentheses are not what makes it so.
static void long_sums(struct pl_bench *bench) {
  for (int terms = 200; terms <= 202; terms++) {
    struct pl_buffer text = buffer_of(bench);
    pl_buffer_text(&text, "let sum = 1");
    for (int i = 1; i < terms; i++) pl_buffer_text(&text, " + 1");
    pl_buffer_text(&text, "\nsetup \"s\" { preload = sum * 0.1 mm }\n");
    const struct pl_setup *const setup = pl_bench_setup(bench, pl_buffer_string(&text));
    assert_problems(bench, terms <= 201 ? "" : "nested-too-deep");
    const double preload = pl_setup_number(setup, PL_SETTING_PRELOAD, PL_REAR_LEFT);
    if (terms <= 201) assert_true(fabs(preload - terms * 1e-4) < 1e-12);
  }
}

/// However long a sum is, that is told once.
static void endless_sum(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  pl_buffer_text(&text, "let sum = 1");
  for (int i = 1; i < 20000; i++) pl_buffer_text(&text, " + 1");
  pl_buffer_text(&text, "\nlet other = sum\nsetup \"s\" { preload = 1 mm }\n");
  pl_bench_setup(bench, pl_buffer_string(&text));
  assert_problems(bench, "nested-too-deep");
}

/// Blocks do not count into the steps of the expressions in them.
static void long_sum_in_a_scope(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  pl_buffer_text(&text, "setup \"s\" { front { preload = 0.1 mm");
  for (int i = 1; i < 200; i++) pl_buffer_text(&text, " + 0.1 mm");
  pl_buffer_text(&text, " } rear { preload = 2 mm } }\n");
  const struct pl_setup *const setup = pl_bench_setup(bench, pl_buffer_string(&text));
  assert_problems(bench, "");
  assert_true(pl_setup_number(setup, PL_SETTING_PRELOAD, PL_FRONT_LEFT) > 0.0199);
}

/// Extras block after block: the n-th takes no longer and no more room than the first.
static void extras_by_the_thousand(struct pl_bench *bench) {
  size_t used[2];
  for (int i = 0; i < 2; i++) {
    struct pl_buffer text = buffer_of(bench);
    pl_buffer_text(&text, "setup \"s\" {\n");
    for (int j = 0; j < 2000 << i; j++)
      pl_buffer_format(&text, "extra { \"n%d\" = \"v\" }\nballast \"b%d\" { mass = 1 g }\n", j,
                       j);
    pl_buffer_text(&text, "}\n");
    used[i] = bytes_of(bench, &text);
    assert_problems(bench, "");
    assert_non_null(pl_program_setup(bench->program, NULL));
  }
  if (used[1] > 3 * used[0]) fail_msg("%zu bytes, and %zu for twice as much", used[0], used[1]);
}

/// A name that stands in each of many blocks would be lost all but once.
static void one_extra_many_times(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  pl_buffer_text(&text, "setup \"s\" {\n");
  for (int j = 0; j < 8000; j++) pl_buffer_text(&text, "extra { \"a\" = \"b\" }\n");
  pl_buffer_text(&text, "}\n");
  load_within(bench, &text, (size_t)64 * 1024 * 1024);
  assert_int_equal(pl_program_problems(bench->program)->count, PL_MOST_PROBLEMS + 1);
}

/// Many setups that start from one: its lines are not gone through again for each.
static void star_of_setups(struct pl_bench *bench) {
  size_t used[2];
  for (int i = 0; i < 2; i++) {
    struct pl_buffer text = buffer_of(bench);
    pl_buffer_text(&text, "setup \"b\" {\n preload = 0 mm\n");
    for (int j = 0; j < 1000 << i; j++) pl_buffer_text(&text, " preload += 0.001 mm\n");
    pl_buffer_text(&text, "}\n");
    for (int j = 0; j < 1000 << i; j++)
      pl_buffer_format(&text, "setup \"s%d\" from \"b\" { camber = -1 deg }\n", j);
    used[i] = bytes_of(bench, &text);
    assert_problems(bench, "");
  }
  if (used[1] > 3 * used[0]) fail_msg("%zu bytes, and %zu for twice as much", used[0], used[1]);
}

// ---------------------------------------------------------------- problems and places

/// Processor time that adding, looking for and sorting so many problems may take: a thousandth
/// of a second would do, and a list that is gone through for each takes half a minute.
#define SECONDS_FOR_PROBLEMS 5.0

static void problems_of_many_files(struct pl_bench *bench) {
  struct pl_diagnostics *const list = pl_diagnostics_new(bench->arena);
  const double start = seconds_now();
  for (int i = 0; i < 1000; i++) {
    const struct pl_source *const source = pl_source_of_bytes(
        bench->arena, "f.leaf", (const unsigned char *)"some text of a file", 19);
    for (uint32_t j = 0; j < 90; j++) {
      const struct pl_span span = {source, j / 9, j / 9 + j % 9 + 1};
      assert_non_null(pl_report(list, PL_STRAY_BRACE, span, PL_NO_WORDS));
      assert_null(pl_report(list, PL_STRAY_BRACE, span, PL_NO_WORDS));
    }
  }
  assert_int_equal(list->count, 90000);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(list);
  for (size_t i = 1; i < list->count; i++) {
    if (sorted[i]->span.source == sorted[i - 1]->span.source)
      assert_true(sorted[i]->span.start >= sorted[i - 1]->span.start);
    else
      assert_int_equal(i % 90, 0); // files stay together, in the order in which they came
  }
  assert_true(seconds_now() - start < SECONDS_FOR_PROBLEMS);
}

/// The position by counting from the start of the file.
static struct pl_position counted(const char *text, size_t at) {
  struct pl_position position = {1, 1};
  for (size_t i = 0; i < at; i++) {
    const bool ends = text[i] == '\n';
    if (ends) position.line++;
    if (ends) position.column = 0;
    if (((unsigned char)text[i] & 0xC0) != 0x80) position.column++;
  }
  return position;
}

static void positions_in_a_long_file(struct pl_bench *bench) {
  struct pl_buffer text = buffer_of(bench);
  for (int i = 0; i < 400; i++) {
    for (int j = 0; j < i % 37; j++) pl_buffer_text(&text, j % 3 == 0 ? "ø" : "a");
    if (i % 11 != 0) pl_buffer_text(&text, "\n");
  }
  const char *const bytes = pl_buffer_string(&text);
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "a.leaf", (const unsigned char *)bytes, text.length);
  for (uint32_t at = 0; at <= text.length; at++) {
    const struct pl_position expected = counted(bytes, at);
    const struct pl_position got = pl_position((struct pl_span){source, at, at});
    if (got.line != expected.line || got.column != expected.column)
      fail_msg("byte %u is at %u:%u", at, got.line, got.column);
  }
}

/// A million bytes without a line end, asked for a hundred thousand times.
static void positions_in_a_long_line(struct pl_bench *bench) {
  const size_t length = 1000000;
  char *const bytes = pl_alloc(bench->arena, length);
  memset(bytes, 'x', length);
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "a.leaf", (const unsigned char *)bytes, length);
  const double start = seconds_now();
  for (uint32_t i = 0; i < 100000; i++) {
    const uint32_t at = (uint32_t)length - i;
    assert_int_equal(pl_position((struct pl_span){source, at, at}).column, at + 1);
  }
  assert_true(seconds_now() - start < SECONDS_FOR_PROBLEMS);
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(blends_of_blends),
                                     PL_BENCH_TEST(name_of_a_blend),
                                     PL_BENCH_TEST(ports_of_ports),
                                     PL_BENCH_TEST(lists_of_lists),
                                     PL_BENCH_TEST(longest_list),
                                     PL_BENCH_TEST(stacks_of_stacks),
                                     PL_BENCH_TEST(long_sums),
                                     PL_BENCH_TEST(endless_sum),
                                     PL_BENCH_TEST(long_sum_in_a_scope),
                                     PL_BENCH_TEST(extras_by_the_thousand),
                                     PL_BENCH_TEST(one_extra_many_times),
                                     PL_BENCH_TEST(star_of_setups),
                                     PL_BENCH_TEST(problems_of_many_files),
                                     PL_BENCH_TEST(positions_in_a_long_file),
                                     PL_BENCH_TEST(positions_in_a_long_line)};
  return cmocka_run_group_tests_name("growth", tests, NULL, NULL);
}
