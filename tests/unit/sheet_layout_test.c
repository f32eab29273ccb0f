// SPDX-License-Identifier: GPL-3.0-or-later
// How the race sheet is laid out: where sides stand that differ, the edge of a column, what is
// computed, the names over the full list, and how many pages there are.
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

/// The sheet of the setup "new" in the text, marked against "base" if there is one.
static const struct pl_paper *sheet_of(struct pl_bench *bench, const char *text) {
  struct pl_program *const program = pl_bench_program(bench, text);
  const bool marked = pl_program_find(program, PL_BLOCK_SETUP, "base") != NULL;
  struct pl_figures *const base =
      marked ? pl_figures_new(pl_program_setup(program, "base"), NULL) : NULL;
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, "new"), base);
  const struct pl_sheet_request request = {
      .figures = figures,
      .base = base,
      .comparison = marked ? pl_compare(bench->arena, base, figures, PL_METRIC) : NULL,
      .version = "0"};
  const struct pl_paper *const paper =
      pl_sheet_new(bench->arena, &request, pl_program_problems(program));
  assert_non_null(paper);
  assert_problems(bench, "");
  return paper;
}

/// The text of that number, counting from 0, on a page; or null.
static const struct pl_mark *text_on(const struct pl_page *page, const char *text,
                                     size_t number) {
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind == PL_MARK_TEXT && strcmp(mark->text, text) == 0 && number-- == 0)
      return mark;
  }
  return NULL;
}

static const struct pl_mark *first(const struct pl_paper *paper, const char *text) {
  const struct pl_mark *const mark = text_on(paper->pages[0], text, 0);
  assert_non_null(mark);
  return mark;
}

/// Is there an upright line or bar up to `most` mm left of the text, beside its baseline?
static bool has_beside(const struct pl_page *page, const struct pl_mark *text,
                       enum pl_mark_kind kind, double most) {
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind != kind) continue;
    const bool line = kind == PL_MARK_LINE;
    if (line && mark->spots[0].x != mark->spots[1].x) continue;
    const double x = line ? mark->spots[0].x : mark->x;
    const double top = line ? mark->spots[0].y : mark->y;
    const double bottom = line ? mark->spots[1].y : mark->y + mark->height;
    if (x < text->x && text->x - x < most && top < text->y && bottom > text->y - 0.5)
      return true;
  }
  return false;
}

// ---------------------------------------------------------------- sides

static void both_sides_stand_in_the_middle_too(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"base\" { rear { preload = 5.5 mm } }\n"
                      "setup \"new\" from \"base\" { rear-left { preload = 5.75 mm } }\n");
  const struct pl_mark *const both = first(paper, "L 5.75  R 5.50");
  const struct pl_mark *const corner = first(paper, "5.75");
  assert_true(both->type.size < corner->type.size);
  assert_true(both->x > 210.0 / 7 && both->x < 210.0 * 6 / 7);
  assert_true(corner->x < 210.0 / 7);
  assert_true(has_beside(paper->pages[0], both, PL_MARK_RECTANGLE, 25));
}

static void sides_that_did_not_change_carry_no_bar(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_of(
      bench, "setup \"base\" { rear-left { preload = 6 mm }\n rear-right { preload = 5 mm } }\n"
             "setup \"new\" from \"base\" { pinion = 24 }\n");
  const struct pl_mark *const both = first(paper, "L 6.00  R 5.00");
  assert_false(has_beside(paper->pages[0], both, PL_MARK_RECTANGLE, 25));
}

static void sides_that_do_not_fit_are_arrows(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"new\" {\n"
                      "  rear-left { tyre = \"four-row ribs, soft\" }\n"
                      "  rear-right { tyre = \"four-row ribs, medium\" } }\n");
  const struct pl_mark *const arrows = first(paper, "←  →");
  assert_true(arrows->x > 210.0 / 7 && arrows->x < 210.0 * 6 / 7);
}

static void a_side_without_a_value_has_a_dash(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"new\" { rear-right { camber = -2 deg } }\n");
  first(paper, "L —  R −2.0");
}

// ---------------------------------------------------------------- columns

static void words_start_where_two_digits_do(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"new\" { front { ride-height = 21 mm; bar = \"soft\" }\n"
                      "  all { camber = -1.5 deg } }\n");
  const struct pl_mark *const number = first(paper, "21.0");
  assert_near(first(paper, "soft")->x, number->x, 1e-9);
  // The sign is about as wide as a digit.
  assert_near(first(paper, "−1.5")->x, number->x, 0.02);
  assert_null(text_on(paper->pages[0], "-1.5", 0));
}

static void what_is_computed_stands_back(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_of(bench, "setup \"new\" { air = 25 degC\n all { oil = 350 cSt } }\n");
  const struct pl_mark *const computed = first(paper, "Oil viscosity");
  const struct pl_mark *const set = first(paper, "Oil");
  assert_true(computed->x > set->x + 1);
  assert_true(has_beside(paper->pages[0], computed, PL_MARK_LINE, 2));
  assert_false(has_beside(paper->pages[0], set, PL_MARK_LINE, 2));
  assert_true(first(paper, "350")->type.size < first(paper, "350 cSt")->type.size);
  const struct pl_page *const page = paper->pages[0];
  bool told = false;
  for (size_t i = 0; i < page->count; i++)
    told |= page->marks[i].kind == PL_MARK_TEXT &&
            strstr(page->marks[i].text, "Indented: computed.") != NULL;
  assert_true(told);
}

static double middle_of(const struct pl_mark *mark) {
  return mark->x + mark->width / 2;
}

/// Over the full list a name stands above the values of each corner, axle and of all.
static void names_stand_over_shared_values(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_of(
      bench, "car \"c\" { track = 250 mm; front { bar-length = 62.5 mm }\n"
             "  rear { bar-length = 71.5 mm } }\n"
             "setup \"new\" { car = \"c\"; track-spacer = 1 mm\n"
             "  front-left { unsprung-mass = 61 g }\n  front-right { unsprung-mass = 62 g }\n"
             "  rear { unsprung-mass = 83 g } }\n");
  const struct pl_page *const page = paper->pages[paper->page_count - 1];
  static const char *const pairs[][2] = {
      {"All", "250"}, {"Front", "62.5"}, {"Rear", "71.5"}, {"FL", "61"}, {"FR", "62"}};
  for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
    const struct pl_mark *const value = text_on(page, pairs[i][1], 0);
    assert_non_null(value);
    // There is one head over each half.
    double nearest = 1000;
    for (size_t half = 0; half < 2; half++) {
      const struct pl_mark *const name = text_on(page, pairs[i][0], half);
      assert_non_null(name);
      nearest = fmin(nearest, fabs(middle_of(name) - middle_of(value)));
    }
    if (nearest > 3) fail_msg("%s is %.1f mm off %s", pairs[i][1], nearest, pairs[i][0]);
  }
}

// ---------------------------------------------------------------- heading

/// Is the word part of a text in the heading of the first page?
static bool heading_has(const struct pl_paper *paper, const char *word) {
  const struct pl_page *const page = paper->pages[0];
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind == PL_MARK_TEXT && mark->y < 60 && strstr(mark->text, word) != NULL)
      return true;
  }
  return false;
}

/// The page of a drop has no list of changes that could tell the base's name.
static void a_long_name_of_the_base_stands_whole_in_the_heading(struct pl_bench *bench) {
  static const char *const words[] = {"Herring", "Avocet", "Bittern", "Curlew",  "Dunlin",
                                      "Eider",   "Fulmar", "Gannet",  "Knot",    "Lapwing",
                                      "Merlin",  "Osprey", "Plover",  "Redshank"};
  const size_t count = sizeof words / sizeof words[0];
  struct pl_buffer name = {.arena = bench->arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&name, "%s%s", i == 0 ? "" : " ", words[i]);
  struct pl_program *const program = pl_bench_program(
      bench, pl_format(bench->arena,
                       "template \"page\" { section \"Drive\" { show = [pinion] } }\n"
                       "setup \"%s\" { pinion = 23 }\n"
                       "setup \"new\" from \"%s\" { pinion = 24 }\n",
                       pl_buffer_string(&name), pl_buffer_string(&name)));
  struct pl_figures *const base =
      pl_figures_new(pl_program_setup(program, pl_buffer_string(&name)), NULL);
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, "new"), base);
  struct pl_template_choice page = {.name = "page"};
  const struct pl_sheet_request request = {
      .figures = figures,
      .base = base,
      .comparison = pl_compare(bench->arena, base, figures, PL_METRIC),
      .templates = &page,
      .template_count = 1,
      .version = "0"};
  const struct pl_paper *const paper =
      pl_sheet_new(bench->arena, &request, pl_program_problems(program));
  assert_non_null(paper);
  for (size_t i = 0; i < count; i++) {
    if (!heading_has(paper, words[i])) fail_msg("%s is not in the heading", words[i]);
  }
}

// ---------------------------------------------------------------- pages

/// A sheet with a first page full of lines, and a list of so many entries behind it.
static const struct pl_paper *sheet_with_entries(struct pl_bench *bench, int count) {
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "template \"race sheet\" { margin = 9 mm\n"
                        "  runs { lines = 40; headings = [\"Run\"] }\n  rest { }\n}\n"
                        "setup \"new\" { extra {\n");
  for (int i = 0; i < count; i++) pl_buffer_format(&text, "\"part %d\" = \"word\"\n", i);
  pl_buffer_text(&text, "} }\n");
  return sheet_of(bench, pl_buffer_string(&text));
}

/// The size of the smallest type on the last page, beside the footer's.
static double smallest_type(const struct pl_paper *paper) {
  const struct pl_page *const page = paper->pages[paper->page_count - 1];
  double smallest = 100;
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind == PL_MARK_TEXT && mark->y < page->height - 20)
      smallest = fmin(smallest, mark->type.size);
  }
  return smallest;
}

static void a_list_gets_closer_before_there_is_a_third_page(struct pl_bench *bench) {
  size_t loose = 0;
  size_t close = 0;
  size_t before = 0;
  for (int count = 100; count <= 600; count += 20) {
    const struct pl_paper *const paper = sheet_with_entries(bench, count);
    const double smallest = smallest_type(paper);
    assert_true(smallest >= PL_TYPE_FLOOR);
    assert_true(paper->page_count >= before);
    before = paper->page_count;
    if (paper->page_count == 2 && smallest < 6.5) close++;
    if (paper->page_count == 2 && smallest == 6.5) loose++;
    // With three pages nothing is gained by small type.
    if (paper->page_count > 2) assert_true(smallest == 6.5);
  }
  assert_true(loose > 0 && close > 0 && before > 2);
}

/// The highest text on a page beneath its title.
static const struct pl_mark *highest(const struct pl_page *page) {
  const struct pl_mark *top = NULL;
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind == PL_MARK_TEXT && mark->y > 15 && (top == NULL || mark->y < top->y - 0.1))
      top = mark;
  }
  return top;
}

/// What one change does is on one page with the change, wherever the page ends.
static void a_change_is_not_parted_from_what_it_does(struct pl_bench *bench) {
  size_t ends = 0;
  for (int lines = 0; lines < 70; lines++) {
    struct pl_buffer text = {.arena = bench->arena};
    pl_buffer_text(&text,
                   "template \"race sheet\" { margin = 9 mm\n notes { }\n changes { } }\n"
                   "damper \"d\" { bore = 13 mm; shaft = 3 mm; extended-length = 77 mm\n"
                   "  stroke = 19.5 mm }\n"
                   "setup \"base\" { mass = 1600 g; front-share = 40 %; air = 20 degC\n"
                   "  all { damper = \"d\"; piston = 3 x 1.5 mm; oil = 350 cSt\n"
                   "  ride-height = 21 mm; tyre-radius = 42 mm; unsprung-mass = 62 g\n"
                   "  spring = 0.5 N/mm; arm-inner = (22 mm, 12 mm)\n"
                   "  arm-outer = (88 mm, 11 mm); wheel-centre = (104 mm, 21 mm)\n"
                   "  link-inner = (38 mm, 35 mm); link-outer = (83 mm, 38.5 mm)\n"
                   "  shock-top = (37 mm, 79 mm); shock-bottom = (65 mm, 14 mm) } }\n"
                   "setup \"new\" from \"base\" { notes = \"");
    for (int i = 0; i < lines; i++) pl_buffer_text(&text, "line\\n");
    pl_buffer_text(&text, "end\"\n");
    static const char *const corners[] = {"front-left", "front-right", "rear-left",
                                          "rear-right"};
    for (int i = 0; i < 4; i++)
      pl_buffer_format(&text, "  %s { oil = %d cSt +- 1 cSt; piston = 3 x 1.%d mm\n }\n",
                       corners[i], 400 + 10 * i, 6 + i % 4);
    pl_buffer_text(&text, "  air = 9 degC }\n");
    const struct pl_paper *const paper = sheet_of(bench, pl_buffer_string(&text));
    for (size_t i = 1; i < paper->page_count; i++) {
      const struct pl_mark *const top = highest(paper->pages[i]);
      if (top->x > 30) fail_msg("with %d lines, \"%s\" is parted", lines, top->text);
      if (strstr(top->text, "oil ") != NULL || strstr(top->text, "piston ") != NULL) ends++;
    }
  }
  assert_true(ends > 0);
}

/// The lines to write on beneath a heading.
static size_t count_lines_beneath(const struct pl_page *page, const char *heading) {
  const struct pl_mark *const head = text_on(page, heading, 0);
  size_t count = 0;
  for (size_t i = 0; head != NULL && i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind == PL_MARK_LINE && mark->stroke.ink == PL_INK_GREY &&
        mark->spots[0].x == head->x && mark->spots[0].y > head->y &&
        mark->spots[0].y < page->height - 20)
      count++;
  }
  return count;
}

/// Where a page ends beneath the lines that a template wishes, there are up to as many again;
/// nothing that follows is pushed away.
static void blank_lines_fill_the_page(struct pl_bench *bench) {
  static const struct {
    const char *runs;
    size_t lines;
  } cases[] = {{"runs { lines = 4; headings = [\"Marshal\"] }", 8},
               {"runs { lines = 36; headings = [\"Marshal\"] }", 41},
               {"runs { lines = 4; headings = [\"Marshal\"] }\n"
                "section \"Drive\" { show = [pinion] }",
                4}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_paper *const paper =
        sheet_of(bench, pl_format(bench->arena,
                                  "template \"race sheet\" { margin = 9 mm\n%s }\n"
                                  "setup \"new\" { pinion = 24 }\n",
                                  cases[i].runs));
    assert_int_equal(paper->page_count, 1);
    assert_int_equal(count_lines_beneath(paper->pages[0], "Marshal"), cases[i].lines);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(both_sides_stand_in_the_middle_too),
      PL_BENCH_TEST(sides_that_did_not_change_carry_no_bar),
      PL_BENCH_TEST(sides_that_do_not_fit_are_arrows),
      PL_BENCH_TEST(a_side_without_a_value_has_a_dash),
      PL_BENCH_TEST(words_start_where_two_digits_do),
      PL_BENCH_TEST(what_is_computed_stands_back),
      PL_BENCH_TEST(names_stand_over_shared_values),
      PL_BENCH_TEST(a_long_name_of_the_base_stands_whole_in_the_heading),
      PL_BENCH_TEST(a_list_gets_closer_before_there_is_a_third_page),
      PL_BENCH_TEST(a_change_is_not_parted_from_what_it_does),
      PL_BENCH_TEST(blank_lines_fill_the_page)};
  return cmocka_run_group_tests_name("layout of sheets", tests, NULL, NULL);
}
