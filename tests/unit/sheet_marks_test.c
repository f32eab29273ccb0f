// SPDX-License-Identifier: GPL-3.0-or-later
// The race sheet's marks against a base, and where the values of a corner stand.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "near.h"
#include "pitleaf/sheet.h"
#include "support.h"

/// The sheet of the last setup in the text, marked against the first one, named "base".
static const struct pl_paper *sheet_of(struct pl_bench *bench, const char *text) {
  struct pl_program *const program = pl_bench_program(bench, text);
  struct pl_figures *const base = pl_figures_new(pl_program_setup(program, "base"), NULL);
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, "new"), base);
  const struct pl_sheet_request request = {
      .figures = figures,
      .base = base,
      .comparison = pl_compare(bench->arena, base, figures, PL_METRIC),
      .version = "0"};
  const struct pl_paper *const paper =
      pl_sheet_new(bench->arena, &request, pl_program_problems(program));
  assert_non_null(paper);
  assert_problems(bench, "");
  return paper;
}

/// A text of the first page that is set so, or null. `number` counts from 0, in reading order
/// of the display list.
static const struct pl_mark *text_of(const struct pl_paper *paper, const char *text, bool bold,
                                     bool struck, size_t number) {
  for (size_t i = 0; i < paper->pages[0]->count; i++) {
    const struct pl_mark *const mark = &paper->pages[0]->marks[i];
    if (mark->kind == PL_MARK_TEXT && strcmp(mark->text, text) == 0 &&
        mark->type.bold == bold && mark->type.struck == struck && number-- == 0)
      return mark;
  }
  return NULL;
}

static bool is_bar(const struct pl_mark *mark) {
  return mark->kind == PL_MARK_RECTANGLE && mark->fill == PL_INK_BLACK;
}

static size_t count_bars(const struct pl_paper *paper) {
  size_t count = 0;
  for (size_t i = 0; i < paper->pages[0]->count; i++)
    count += is_bar(&paper->pages[0]->marks[i]) ? 1 : 0;
  return count;
}

/// Is there a bar left of the mark, beside its baseline?
static bool has_bar(const struct pl_paper *paper, const struct pl_mark *text) {
  for (size_t i = 0; i < paper->pages[0]->count; i++) {
    const struct pl_mark *const mark = &paper->pages[0]->marks[i];
    if (is_bar(mark) && mark->x < text->x && text->x - mark->x < 45 && mark->y < text->y &&
        mark->y + mark->height > text->y - 0.5)
      return true;
  }
  return false;
}

// ---------------------------------------------------------------- marks

static void equal_setups_carry_no_mark(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { air = 20 degC; pinion = 24\n all { preload = 2 mm } }\n"
                      "setup \"new\" from \"base\" { }\n");
  assert_int_equal(count_bars(paper), 0);
  assert_non_null(text_of(paper, "24", false, false, 0));
  assert_null(text_of(paper, "new", false, false, 0));
  assert_non_null(text_of(paper, "Nothing: both setups are the same.", false, false, 0));
}

static void
a_change_has_a_bar_the_new_value_bold_and_the_old_one_struck(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { pinion = 24; spur = 78 }\n"
                      "setup \"new\" from \"base\" { pinion = 26 }\n");
  const struct pl_mark *const now = text_of(paper, "26", true, false, 0);
  const struct pl_mark *const was = text_of(paper, "24", false, true, 0);
  assert_non_null(now);
  assert_non_null(was);
  assert_true(was->y > now->y && was->y - now->y < 5);
  assert_true(was->type.size < now->type.size);
  assert_true(has_bar(paper, now));
  const struct pl_mark *const spur = text_of(paper, "78", false, false, 0);
  assert_non_null(spur);
  assert_false(has_bar(paper, spur));
  assert_int_equal(count_bars(paper), 1);
}

static void what_the_base_lacks_says_so(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { spur = 78 }\n"
                      "setup \"new\" from \"base\" { motor = \"short can\" }\n");
  const struct pl_mark *const motor = text_of(paper, "short can", true, false, 0);
  const struct pl_mark *const word = text_of(paper, "new", false, false, 0);
  assert_non_null(motor);
  assert_non_null(word);
  assert_true(word->x > motor->x + motor->width && word->y == motor->y);
  assert_true(has_bar(paper, motor));
}

static void what_this_setup_drops_is_struck(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { spur = 78; motor = \"short can\"\n"
                      " extra { \"Wing shim\" = \"2 mm\" } }\n"
                      "setup \"new\" { spur = 78 }\n");
  assert_non_null(text_of(paper, "short can", false, true, 0));
  assert_null(text_of(paper, "short can", false, false, 0));
  assert_non_null(text_of(paper, "2 mm", false, true, 0));
  assert_non_null(text_of(paper, "Wing shim", false, false, 0));
  assert_int_equal(count_bars(paper), 2);
}

/// Silicone fluid gets thicker in the cold: the figure moves up, the temperature down. The
/// signs are checked, not the sizes, which tests of the physics check.
static void a_figure_that_moved_carries_the_signed_difference(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { air = 25 degC\n all { oil = 350 cSt } }\n"
                      "setup \"new\" from \"base\" { air = 15 degC }\n");
  const struct pl_mark *const colder = text_of(paper, "−10", true, false, 0);
  assert_non_null(colder);
  // By the formula in the figures table, ten to the power of 763.1 (1/288 - 1/298) times
  // 350 mm²/s is 429.5 mm²/s.
  assert_non_null(text_of(paper, "430", false, false, 0));
  assert_non_null(text_of(paper, "+80", true, false, 0));
  assert_int_equal(count_bars(paper), 1);
}

static void changes_are_listed_with_what_they_did(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { pinion = 24; spur = 78; internal-ratio = 2.6\n"
                      " rear { tyre-radius = 42 mm } }\n"
                      "setup \"new\" from \"base\" { pinion = 26 }\n");
  assert_non_null(text_of(paper, "pinion 24 → 26", false, false, 0));
  // 2 pi 42 mm over 2.6 * 78/24 = 31.2 mm and over 2.6 * 78/26 = 33.8 mm.
  assert_non_null(text_of(paper, "rollout 31.2 → 33.8 mm", false, false, 0));
}

// ---------------------------------------------------------------- corners

static void each_corner_stands_at_its_corner(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_of(
      bench, "setup \"base\" { }\n"
             "setup \"new\" from \"base\" {\n"
             "  front-left { camber = -1.1 deg }\n  front-right { camber = -1.2 deg }\n"
             "  rear-left { camber = -1.3 deg }\n  rear-right { camber = -1.4 deg }\n}\n");
  const struct pl_mark *const fl = text_of(paper, "−1.1", true, false, 0);
  const struct pl_mark *const fr = text_of(paper, "−1.2", true, false, 0);
  const struct pl_mark *const rl = text_of(paper, "−1.3", true, false, 0);
  const struct pl_mark *const rr = text_of(paper, "−1.4", true, false, 0);
  assert_non_null(fl);
  assert_non_null(fr);
  assert_non_null(rl);
  assert_non_null(rr);
  assert_true(fl->x < 210.0 / 4 && rl->x < 210.0 / 4);
  assert_true(fr->x > 210.0 * 3 / 4 && rr->x > 210.0 * 3 / 4);
  assert_true(fl->y < rl->y && fr->y < rr->y);
  assert_true(fl->y == fr->y && rl->y == rr->y);
}

static void what_both_sides_share_stands_once_between_them(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { all { camber = -1.1 deg; toe = 0.3 deg } }\n"
                      "setup \"new\" from \"base\" { rear-left { toe = 0.4 deg } }\n");
  const struct pl_mark *const front = text_of(paper, "−1.1", false, false, 0);
  const struct pl_mark *const rear = text_of(paper, "−1.1", false, false, 1);
  assert_non_null(front);
  assert_non_null(rear);
  assert_null(text_of(paper, "−1.1", false, false, 2));
  assert_true(front->x > 210.0 / 7 && front->x < 210.0 * 6 / 7);
  // Toe: the front shares it, at the rear each side has its own.
  assert_non_null(text_of(paper, "0.3", false, false, 1));
  assert_null(text_of(paper, "0.3", false, false, 2));
  assert_non_null(text_of(paper, "0.4", true, false, 0));
}

static void decimal_points_stand_below_each_other(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { }\n"
                      "setup \"new\" { front { ride-height = 21.5 mm; droop = 8.5 mm } }\n");
  const struct pl_mark *const wide = text_of(paper, "21.5", true, false, 0);
  const struct pl_mark *const narrow = text_of(paper, "8.5", true, false, 0);
  assert_non_null(wide);
  assert_non_null(narrow);
  const double point = wide->x + pl_text_width("21", wide->type.size, true);
  assert_near(narrow->x + pl_text_width("8", narrow->type.size, true), point, 1e-9);
}

/// The texts of a page that stand on each other, counted; the lines of one paragraph touch.
static size_t count_overlaps(const struct pl_page *page) {
  size_t count = 0;
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const one = &page->marks[i];
    if (one->kind != PL_MARK_TEXT) continue;
    for (size_t j = i + 1; j < page->count; j++) {
      const struct pl_mark *const two = &page->marks[j];
      if (two->kind != PL_MARK_TEXT || fabs(two->y - one->y) > 1) continue;
      if (one->x < two->x + two->width - 0.1 && two->x < one->x + one->width - 0.1) count++;
    }
  }
  return count;
}

/// What a figure was stands in a word at each corner where that differs; another language has
/// longer ones than there is room for in a line.
static void what_a_figure_was_stays_at_its_corner(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_of(
      bench,
      "template \"race sheet\" from \"race sheet\" { words {\n"
      "  \"shock\" = \"Federdaempfer\"; \"chassis\" = \"Bodenplatte\"\n"
      "  \"was {1}\" = \"vorher {1}\" } }\n"
      "damper \"d\" { bore = 13 mm; shaft = 3 mm; extended-length = 77 mm; stroke = 19.5 mm }\n"
      "setup \"base\" { all { damper = \"d\"; ride-height = 21 mm; tyre-radius = 42 mm\n"
      "  arm-inner = (22 mm, 12 mm); arm-outer = (88 mm, 11 mm)\n"
      "  wheel-centre = (104 mm, 21 mm); link-inner = (38 mm, 35 mm)\n"
      "  link-outer = (83 mm, 38.5 mm); shock-top = (37 mm, 79 mm)\n"
      "  shock-bottom = (65 mm, 14 mm); bump-spacer = 3 mm }\n"
      "  front { track = 208 mm }\n rear { track = 208 mm } }\n"
      "setup \"new\" from \"base\" {\n"
      "  front-left { bump-spacer = 0.1 mm }\n  front-right { bump-spacer = 0.2 mm }\n"
      "  rear-left { bump-spacer = 0.3 mm }\n  rear-right { bump-spacer = 2.5 mm } }\n");
  bool told = false;
  for (size_t i = 0; i < paper->page_count; i++) {
    const struct pl_page *const page = paper->pages[i];
    for (size_t j = 0; j < page->count; j++)
      told |=
          page->marks[j].kind == PL_MARK_TEXT && strstr(page->marks[j].text, "vorher") != NULL;
    assert_int_equal(count_overlaps(page), 0);
  }
  assert_true(told);
}

static void the_same_input_gives_the_same_boxes(struct pl_bench *bench) {
  const char *const text = "setup \"base\" { pinion = 24 }\n"
                           "setup \"new\" from \"base\" { pinion = 26; date = 2026-05-03 }\n";
  const char *const first = pl_paper_as_text(bench->arena, sheet_of(bench, text));
  assert_string_equal(first, pl_paper_as_text(bench->arena, sheet_of(bench, text)));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(equal_setups_carry_no_mark),
      PL_BENCH_TEST(a_change_has_a_bar_the_new_value_bold_and_the_old_one_struck),
      PL_BENCH_TEST(what_the_base_lacks_says_so),
      PL_BENCH_TEST(what_this_setup_drops_is_struck),
      PL_BENCH_TEST(a_figure_that_moved_carries_the_signed_difference),
      PL_BENCH_TEST(changes_are_listed_with_what_they_did),
      PL_BENCH_TEST(each_corner_stands_at_its_corner),
      PL_BENCH_TEST(what_both_sides_share_stands_once_between_them),
      PL_BENCH_TEST(decimal_points_stand_below_each_other),
      PL_BENCH_TEST(what_a_figure_was_stays_at_its_corner),
      PL_BENCH_TEST(the_same_input_gives_the_same_boxes)};
  return cmocka_run_group_tests_name("marks on sheets", tests, NULL, NULL);
}
