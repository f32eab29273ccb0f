// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the printer on files made by chance: any nesting, comments and blanks wherever the
// language lets them be, the same files in every run.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "layout.h"

#include "chance.h"

#include <string.h>
#include <unistd.h>

/// So many files without a mistake are laid out.
#define FILES 10000

/// Of ten files that are made, at least so many have no mistake: where a line within brackets
/// begins like a property, the language takes the bracket as not closed.
#define FEWEST_OF_TEN 8

/// A file being made.
struct making {
  struct pl_chance chance;
  struct pl_buffer out;
  size_t brackets;
  const char *line_end;
  uint64_t comments; ///< one in so many places has one
};

static size_t below(struct making *making, size_t limit) {
  return (size_t)(pl_chance_bits(&making->chance) % limit);
}

static bool once_in(struct making *making, uint64_t times) {
  return pl_chance_bits(&making->chance) % times == 0;
}

static void add(struct making *making, const char *text) {
  pl_buffer_text(&making->out, text);
}

#define ADD_ONE_OF(making, ...)                                                                \
  do {                                                                                         \
    static const char *const choices[] = {__VA_ARGS__};                                        \
    add((making), choices[below((making), sizeof choices / sizeof choices[0])]);               \
  } while (0)

// ---------------------------------------------------------------- between tokens

static void add_comment(struct making *making) {
  ADD_ONE_OF(making, "#", "# a", "#b \t", "# \"quoted\" { [ ( ;", "# Ünïcode ± 漢字",
             "#### a longer comment, which goes on for a while and then a little further \t ");
  pl_buffer_format(&making->out, " %zu", below(making, 1000));
  add(making, making->line_end);
}

static void add_blanks(struct making *making) {
  ADD_ONE_OF(making, " ", " ", " ", "  ", "\t", "   \t ");
}

/// Between two tokens: blanks, and within brackets also line ends and comments.
static void add_gap(struct making *making) {
  add_blanks(making);
  if (making->brackets == 0) return;
  if (once_in(making, 6)) add(making, making->line_end);
  if (once_in(making, making->comments)) add_comment(making);
  if (once_in(making, 40)) {
    add(making, making->line_end);
    add(making, making->line_end);
  }
  add_blanks(making);
}

// ---------------------------------------------------------------- values

static void add_value(struct making *making, size_t depth);
static void add_bracket(struct making *making, size_t depth);

static void add_word(struct making *making) {
  ADD_ONE_OF(making, "camber", "ride-height", "a", "x", "at", "to", "gap", "from", "front-left",
             "toe2", "opens-at", "house-preload");
}

static void add_text(struct making *making) {
  ADD_ONE_OF(making, "\"\"", "\"a\"", "\"clear 400\"", "\"with # and { in it\"",
             "\"escaped \\\" \\\\ \\n\"", "\"Größe 漢字\"",
             "\"a long text that takes up a good part of the line on which it stands\"");
}

static void add_quantity(struct making *making) {
  pl_buffer_format(&making->out, "%zu", below(making, 100));
  if (once_in(making, 3)) ADD_ONE_OF(making, ".5", ".25", "e3", "e-2", ".75E+2");
  if (once_in(making, 3)) return;
  if (once_in(making, 2)) add_blanks(making);
  ADD_ONE_OF(making, "mm", "%", "N/mm", "deg", "°", "1/K", "µm", "mm^2/s", "in", "degC", "wt");
}

static void add_elements(struct making *making, size_t depth) {
  const size_t count = 1 + below(making, 5);
  for (size_t i = 0; i < count; i++) {
    if (i > 0) {
      add(making, ",");
      add_gap(making);
    }
    add_value(making, depth);
    if (once_in(making, 3)) add_gap(making);
  }
}

static void add_bracket(struct making *making, size_t depth) {
  const bool is_list = once_in(making, 2);
  if (!is_list && once_in(making, 3)) ADD_ONE_OF(making, "min", "blend", "round ", "sqrt\t");
  add(making, is_list ? "[" : "(");
  making->brackets++;
  if (once_in(making, 2)) add_gap(making);
  const bool is_empty = is_list && once_in(making, 6);
  if (!is_empty) add_elements(making, depth);
  if (!is_empty && is_list && once_in(making, 6)) add(making, ",");
  if (once_in(making, 2)) add_gap(making);
  making->brackets--;
  add(making, is_list ? "]" : ")");
}

/// Rows of a table in a list.
static void add_table(struct making *making) {
  const size_t rows = 2 + below(making, 4);
  add(making, "[");
  for (size_t i = 0; i < rows; i++) {
    if (i > 0) add(making, ",");
    if (i > 0) add(making, making->line_end);
    pl_buffer_format(&making->out, "%s%zu mm %zu.%zu N", once_in(making, 4) ? "-" : "",
                     below(making, 200), below(making, 2000), below(making, 10));
  }
  add(making, "]");
}

static void add_operand(struct making *making, size_t depth) {
  if (depth > 0 && once_in(making, 3))
    add_bracket(making, depth - 1);
  else
    add_quantity(making);
}

static void add_around(struct making *making, bool tight) {
  if (making->brackets > 0 && once_in(making, 8)) add_gap(making);
  if (!tight) add_blanks(making);
}

/// Sums and products, and in parentheses what does not go on.
static void add_operation(struct making *making, size_t depth) {
  const bool goes_on = once_in(making, 2);
  const bool tight = once_in(making, 4);
  if (!goes_on) {
    add(making, "(");
    making->brackets++;
  }
  add_operand(making, depth);
  add_around(making, tight);
  if (goes_on)
    ADD_ONE_OF(making, "+", "*", "/", " - ", "+ -", "−");
  else
    ADD_ONE_OF(making, "..", "<", "<=", "==", "!=", ">=", " and ", " or ", "+-", "±", "≤");
  add_around(making, tight);
  add_operand(making, depth);
  if (goes_on) return;
  making->brackets--;
  add(making, ")");
}

static void add_value(struct making *making, size_t depth) {
  if (depth == 0) {
    add_quantity(making);
    return;
  }
  switch (below(making, 14)) {
  case 0: add_text(making); break;
  case 1: add_word(making); break;
  case 2: add(making, "2026-06-14"); break;
  case 3:
    ADD_ONE_OF(making, "damper.bore", "front . preload", "-1.5 deg", "- 3", "+ -2", "−4");
    break;
  case 4: add_operation(making, depth - 1); break;
  case 5:
  case 6:
  case 7: add_bracket(making, depth - 1); break;
  case 8:
    ADD_ONE_OF(making, "6 x 1.3mm", "2 × 1.6 mm to 1.4 mm + 3 x 1.2 mm",
               "2 x 1.5 mm one-way rebound opens-at 4kPa", "350cSt at 25degC",
               "6 coils gap 2 mm", "1/10", "10/half", "not ok", "a^-2");
    break;
  case 9:
    add_text(making);
    add_gap(making);
    add_text(making);
    break;
  case 10: add_table(making); break;
  default: add_quantity(making); break;
  }
}

// ---------------------------------------------------------------- items

static void add_items(struct making *making, size_t count, size_t depth, bool is_top);

static void add_let(struct making *making) {
  add(making, "let ");
  add_word(making);
  add(making, once_in(making, 3) ? "=" : "  = ");
  add_value(making, 2);
}

static void add_property(struct making *making, size_t depth) {
  static const char *const signs[] = {"=", "=", "=", "+=", "-=", "*="};
  if (once_in(making, 8))
    ADD_ONE_OF(making, "30 wt", "\"Wing shim\"", "damper . bore", "1",
               "\"a key in quotes that is wider than others are\"");
  else
    add_word(making);
  add(making, once_in(making, 4) ? "" : " ");
  // What glues to a word needs its blank.
  add(making, " ");
  add(making, signs[below(making, sizeof signs / sizeof signs[0])]);
  add(making, once_in(making, 4) ? "" : "  ");
  add_value(making, depth > 3 ? 3 : depth);
}

static void add_block(struct making *making, size_t depth) {
  ADD_ONE_OF(making, "front", "rear", "all", "left", "rear-right", "setup", "setup \"A\"",
             "car \"B\"", "entry 7", "entry\t\"7B\" 2 mm", "spring \"c\" from \"d\"",
             "rule \"e\" when class == \"buggy\"", "rule \"f\" when (a and b)",
             "template \"g\" from \"h\"");
  if (once_in(making, 4)) add(making, "  ");
  add(making, "{");
  const bool one_line = once_in(making, 2);
  const size_t count = below(making, one_line ? 4 : 7);
  if (!one_line) {
    if (once_in(making, making->comments)) {
      if (once_in(making, 2)) add(making, ";");
      add_comment(making);
    }
    if (once_in(making, 2)) add(making, making->line_end);
    add_items(making, count, depth - 1, false);
  } else {
    const uint64_t comments = making->comments;
    making->comments = UINT64_MAX;
    for (size_t i = 0; i < count; i++) {
      if (i > 0) add(making, once_in(making, 5) ? ";;" : "; ");
      if (depth > 1 && once_in(making, 6))
        add_block(making, 1);
      else
        add_property(making, 1);
    }
    making->comments = comments;
  }
  if (once_in(making, 2)) add_blanks(making);
  add(making, "}");
}

/// What ends an item: a line, often with a comment, or only a `;`.
static void add_end(struct making *making) {
  if (once_in(making, 7)) {
    add(making, ";");
    if (once_in(making, 2)) return;
  }
  if (once_in(making, 3)) add_blanks(making);
  if (once_in(making, making->comments))
    add_comment(making);
  else
    add(making, making->line_end);
  while (once_in(making, 4)) {
    if (once_in(making, 3)) add_blanks(making);
    add(making, making->line_end);
  }
}

static void add_items(struct making *making, size_t count, size_t depth, bool is_top) {
  for (size_t i = 0; i < count; i++) {
    if (once_in(making, 3)) add_blanks(making);
    if (once_in(making, making->comments)) {
      add_comment(making);
      if (once_in(making, 3)) add(making, making->line_end);
    }
    if (depth > 0 && once_in(making, is_top ? 2 : 4)) {
      add_block(making, depth);
      if (once_in(making, 6)) continue; // the next item stands behind it on its line
    } else if (is_top && once_in(making, 3)) {
      ADD_ONE_OF(making, "include \"oils.leaf\"", "include   \"a\"");
    } else if (is_top && once_in(making, 3)) {
      add_let(making);
    } else {
      add_property(making, depth);
    }
    add_end(making);
  }
}

static void make(struct making *making, struct pl_arena *arena) {
  making->out = (struct pl_buffer){.arena = arena};
  making->line_end = once_in(making, 4) ? "\r\n" : "\n";
  making->comments = 2 + below(making, 12);
  making->brackets = 0;
  if (once_in(making, 20)) add(making, "\xef\xbb\xbf");
  add_items(making, 1 + below(making, 12), 1 + below(making, 4), true);
  if (once_in(making, 2)) add_comment(making);
  if (once_in(making, 3)) { // the last line has no end
    while (making->out.length > 0 && strchr("\r\n", making->out.bytes[making->out.length - 1]))
      making->out.bytes[--making->out.length] = '\0';
  }
}

static void generated_files_keep_what_they_say(struct pl_bench *bench) {
  struct making making = {.chance = {20260614}};
  struct pl_arena *const own = bench->arena;
  bench->spare = pl_arena_new(bench->guard);
  size_t made = 0;
  for (size_t laid_out = 0; laid_out < FILES; made++) {
    bench->arena = bench->spare;
    make(&making, bench->arena);
    const char *const what = pl_format(bench->arena, "file %zu", made);
    if (pl_check_layout(bench, what, pl_buffer_string(&making.out), making.out.length))
      laid_out++;
    pl_arena_reset(bench->spare);
    bench->arena = own;
    if (made >= 1000 && laid_out * 10 < made * FEWEST_OF_TEN)
      fail_msg("of %zu files only %zu have no mistake", made, laid_out);
  }
  print_message("  %d files laid out, of %zu that were made\n", FILES, made);
}

int main(void) {
  if (chdir(pl_test_root()) != 0) return 1;
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(generated_files_keep_what_they_say)};
  return cmocka_run_group_tests_name("layout, generated files", tests, NULL, NULL);
}
