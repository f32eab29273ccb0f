// SPDX-License-Identifier: GPL-3.0-or-later
// Tests positions of the language server: lines and UTF-16 code units, held against the C
// library's own conversion to UTF-16 (iconv), in both directions.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "chance.h"
#include "editor/room.h"

#include <iconv.h>
#include <string.h>
#include <time.h>

static struct lines lines_in(struct pl_bench *bench, const char *text, size_t length) {
  return lines_of(bench->arena, (const unsigned char *)text, length);
}

static void assert_position(const struct lines *lines, uint32_t byte, uint32_t line,
                            uint32_t character) {
  uint32_t got_line = 99;
  uint32_t got_character = 99;
  position_at(lines, byte, &got_line, &got_character);
  if (got_line != line || got_character != character)
    fail_msg("byte %u is at %u:%u, not at %u:%u", byte, got_line, got_character, line,
             character);
}

// ---------------------------------------------------------------- known texts

static void line_ends(struct pl_bench *bench) {
  static const struct {
    const char *text;
    size_t starts[5];
    size_t count;
  } cases[] = {
      {"", {0}, 1},
      {"a", {0}, 1},
      {"a\n", {0, 2}, 2},
      {"a\r\n", {0, 3}, 2},
      {"a\r", {0, 2}, 2},
      {"\r\r\n\n", {0, 1, 3, 4}, 4},
      {"\n\r\n\r", {0, 1, 3, 4}, 4},
      {"a\r\nb\rc\nd", {0, 3, 5, 7}, 4},
      // What other standards call line ends is none here.
      {"a\xE2\x80\xA8\xC2\x85\v\f", {0}, 1},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct lines lines = lines_in(bench, cases[i].text, strlen(cases[i].text));
    assert_int_equal(lines.count, cases[i].count);
    for (size_t j = 0; j < lines.count; j++)
      assert_int_equal(lines.starts[j], cases[i].starts[j]);
  }
}

/// Characters of one, two, three and four bytes; the last are two code units.
static void wide_characters(struct pl_bench *bench) {
  const char *const text = "aé漢😀b\n\U0010FFFF!";
  const struct lines lines = lines_in(bench, text, strlen(text));
  static const uint32_t bytes[] = {0, 1, 3, 6, 10, 11, 12, 16, 17};
  static const uint32_t rows[] = {0, 0, 0, 0, 0, 0, 1, 1, 1};
  static const uint32_t columns[] = {0, 1, 2, 3, 5, 6, 0, 2, 3};
  for (size_t i = 0; i < sizeof bytes / sizeof bytes[0]; i++) {
    assert_position(&lines, bytes[i], rows[i], columns[i]);
    assert_int_equal(byte_at(&lines, rows[i], columns[i]), bytes[i]);
  }
  // Between the two halves of a character there is no byte to stand on: never within it.
  const uint32_t half = byte_at(&lines, 0, 4);
  assert_true(half == 6 || half == 10);
}

static void combining_characters(struct pl_bench *bench) {
  // e with an accent of its own, then a family of three joined by what shows nothing.
  const char *const text = "e\xCC\x81|\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x91\xA7|";
  const struct lines lines = lines_in(bench, text, strlen(text));
  assert_position(&lines, 3, 0, 2);
  assert_position(&lines, 4, 0, 3);
  assert_position(&lines, 15, 0, 8);
  assert_int_equal(byte_at(&lines, 0, 8), 15);
}

static void mark_of_byte_order(struct pl_bench *bench) {
  const char *const text = "\xEF\xBB\xBFlet a = 1\n";
  const struct lines lines = lines_in(bench, text, strlen(text));
  assert_position(&lines, 3, 0, 1);
  assert_int_equal(byte_at(&lines, 0, 1), 3);
}

static void beyond_the_end(struct pl_bench *bench) {
  const char *const text = "ab\r\n😀\rc";
  const struct lines lines = lines_in(bench, text, strlen(text));
  assert_int_equal(byte_at(&lines, 0, 2), 2);
  assert_int_equal(byte_at(&lines, 0, 3), 2); // not between \r and \n
  assert_int_equal(byte_at(&lines, 0, INT64_MAX), 2);
  assert_int_equal(byte_at(&lines, 1, 99), 8);
  assert_int_equal(byte_at(&lines, 2, 99), 10);
  assert_int_equal(byte_at(&lines, 3, 0), 10);
  assert_int_equal(byte_at(&lines, INT64_MAX, INT64_MAX), 10);
  // Nobody may ask so; who does gets the beginning.
  assert_int_equal(byte_at(&lines, -1, 7), 0);
  assert_int_equal(byte_at(&lines, INT64_MIN, INT64_MIN), 0);
  assert_int_equal(byte_at(&lines, 1, -3), 4);
  const struct lines none = lines_in(bench, "", 0);
  assert_position(&none, 0, 0, 0);
  assert_int_equal(byte_at(&none, 0, 1), 0);
  assert_int_equal(byte_at(&none, 1, 0), 0);
}

// ---------------------------------------------------------------- random texts

/// UTF-16 code units of some bytes, as the C library has them.
static uint32_t units_by_iconv(iconv_t converter, const char *bytes, size_t length) {
  char out[4096];
  char copy[4096]; // iconv wants bytes that it might change
  assert_true(length <= sizeof copy);
  memcpy(copy, bytes, length);
  char *in = copy;
  char *to = out;
  size_t left = length;
  size_t room = sizeof out;
  assert_int_equal(iconv(converter, &in, &left, &to, &room), 0);
  return (uint32_t)((sizeof out - room) / 2);
}

static const char *const pieces[] = {"a",
                                     "Z",
                                     " ",
                                     "\n",
                                     "\n",
                                     "\r\n",
                                     "\r",
                                     "é",
                                     "e\xCC\x81",
                                     "\xC2\xB5",
                                     "漢",
                                     "\xEF\xBB\xBF",
                                     "😀",
                                     "\U0010FFFF",
                                     "\U00010000",
                                     "\xEF\xBF\xBF",
                                     "\xE2\x80\xA8",
                                     "\xC2\x85",
                                     "\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x91\xA7",
                                     "\t",
                                     "\v"};

static bool begins_character(char byte) {
  return ((unsigned char)byte & 0xC0) != 0x80;
}

/// Every character of the text, there and back. What is a line end is found here by itself.
static void check_every_character(struct pl_bench *bench, iconv_t converter, const char *text,
                                  size_t length) {
  const struct lines lines = lines_in(bench, text, length);
  uint32_t line = 0;
  size_t start = 0;
  for (size_t at = 0; at <= length; at++) {
    const bool within = at > 0 && text[at - 1] == '\r' && at < length && text[at] == '\n';
    if (at > 0 && !within && (text[at - 1] == '\n' || text[at - 1] == '\r')) {
      line++;
      start = at;
    }
    if (at < length && !begins_character(text[at])) continue;
    // The place within a line end is its beginning.
    const size_t meant = within ? at - 1 : at;
    const uint32_t units = units_by_iconv(converter, text + start, meant - start);
    assert_position(&lines, (uint32_t)at, line, units);
    assert_int_equal(byte_at(&lines, line, units), meant);
  }
  assert_int_equal(lines.count, line + 1);
}

static void random_texts(struct pl_bench *bench) {
  iconv_t converter = iconv_open("UTF-16LE", "UTF-8");
  assert_true((intptr_t)converter != -1);
  struct pl_chance chance = {20261130};
  bench->spare = pl_arena_new(bench->guard);
  bench->arena = bench->spare;
  for (int round = 0; round < 2000; round++) {
    struct pl_buffer text = {.arena = bench->arena};
    // Lines of a few characters, and lines of hundreds.
    const uint64_t kinds = round % 2 == 0 ? sizeof pieces / sizeof pieces[0] : 3;
    const uint64_t count = pl_chance_bits(&chance) % 120;
    for (uint64_t i = 0; i < count; i++) {
      const uint64_t from = kinds == 3 && i % 50 != 0 ? 7 : 0;
      const uint64_t span = kinds == 3 && i % 50 != 0 ? 14 : sizeof pieces / sizeof pieces[0];
      pl_buffer_text(&text, pieces[from + pl_chance_bits(&chance) % span]);
    }
    const char *const bytes = pl_buffer_string(&text);
    check_every_character(bench, converter, bytes, text.length);
    pl_arena_reset(bench->spare);
  }
  (void)iconv_close(converter);
}

/// Files on the disk may have any bytes: then places are somewhere, and never outside.
static void bytes_that_are_no_text(struct pl_bench *bench) {
  struct pl_chance chance = {20261201};
  for (int round = 0; round < 200; round++) {
    char bytes[600];
    const size_t length = (size_t)(pl_chance_bits(&chance) % sizeof bytes);
    for (size_t i = 0; i < length; i++) bytes[i] = (char)(pl_chance_bits(&chance) >> 56);
    const struct lines lines = lines_in(bench, bytes, length);
    uint32_t last_line = 0;
    uint32_t last_character = 0;
    for (size_t at = 0; at <= length; at++) {
      uint32_t line = 0;
      uint32_t character = 0;
      position_at(&lines, (uint32_t)at, &line, &character);
      assert_true(line > last_line || (line == last_line && character >= last_character));
      assert_true(byte_at(&lines, line, character) <= length);
      assert_true(byte_at(&lines, line, (json_int_t)character + 1) <= length);
      last_line = line;
      last_character = character;
    }
  }
}

// ---------------------------------------------------------------- long lines

/// All tokens of a file on one line are asked for one by one: that may not take the square of
/// the line's length.
static void long_line(struct pl_bench *bench) {
  const size_t count = 400000;
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < count; i++) pl_buffer_text(&text, i % 3 == 0 ? "😀" : "ab");
  const struct lines lines = lines_in(bench, pl_buffer_string(&text), text.length);
  const clock_t began = clock();
  uint32_t byte = 0;
  uint32_t units = 0;
  for (size_t i = 0; i < count; i++) {
    assert_position(&lines, byte, 0, units);
    byte += i % 3 == 0 ? 4 : 2;
    units += 2;
  }
  for (size_t i = 0; i < 2000; i++) {
    const uint32_t which = (uint32_t)(i * (count / 2000));
    uint32_t line = 0;
    uint32_t character = 0;
    position_at(&lines, byte_at(&lines, 0, (json_int_t)which * 2), &line, &character);
    assert_int_equal(character, which * 2);
  }
  const double seconds = (double)(clock() - began) / CLOCKS_PER_SEC;
  if (seconds > 2.0) fail_msg("it took %.1f s of the processor", seconds);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(line_ends),
      PL_BENCH_TEST(wide_characters),
      PL_BENCH_TEST(combining_characters),
      PL_BENCH_TEST(mark_of_byte_order),
      PL_BENCH_TEST(beyond_the_end),
      PL_BENCH_TEST(random_texts),
      PL_BENCH_TEST(bytes_that_are_no_text),
      PL_BENCH_TEST(long_line),
  };
  return cmocka_run_group_tests_name("positions of the language server", tests, NULL, NULL);
}
