// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the display list and its form as text.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/sheet.h"
#include "sheet_shell.h"

static const struct pl_stroke hair = {.width = PL_HAIR, .ink = PL_INK_LIGHT};

static void new_paper_is_empty(void **state) {
  const struct fixture *const fixture = *state;
  const struct pl_paper *const paper = pl_paper_new(fixture->arena);
  assert_int_equal(paper->page_count, 0);
  assert_int_equal(paper->outline_count, 0);
  assert_string_equal(pl_paper_as_text(fixture->arena, paper), "");
}

static void pages_stay_where_they_are(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const first = pl_paper_page(paper, 210, 297);
  for (int i = 0; i < 300; i++) pl_draw_line(pl_paper_page(paper, 100, 100), 0, 0, i, 0, hair);
  pl_draw_line(first, 1, 2, 3, 4, hair);
  assert_int_equal(paper->page_count, 301);
  assert_ptr_equal(paper->pages[0], first);
  assert_int_equal(first->count, 1);
  assert_true(paper->pages[300]->marks[0].spots[1].x == 299);
}

static void texts_hang_on_their_anchor(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_page *const page = pl_paper_page(pl_paper_new(fixture->arena), 210, 297);
  struct pl_type type = {.size = 8};
  const double width = pl_draw_text(page, 50, 10, type, "12.5");
  assert_near(width, pl_text_width("12.5", 8, false), 1e-12);
  type.anchor = PL_ANCHOR_CENTRE;
  (void)pl_draw_text(page, 50, 10, type, "12.5");
  type.anchor = PL_ANCHOR_RIGHT;
  (void)pl_draw_text(page, 50, 10, type, "12.5");
  assert_near(page->marks[0].x, 50, 1e-12);
  assert_near(page->marks[1].x, 50 - width / 2, 1e-12);
  assert_near(page->marks[2].x, 50 - width, 1e-12);
  for (int i = 0; i < 3; i++) assert_near(page->marks[i].width, width, 1e-12);
}

static void what_is_drawn_is_copied(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  char text[] = "spring";
  char title[] = "wet";
  struct pl_spot spots[3] = {{1, 1}, {2, 2}, {3, 1}};
  (void)pl_draw_text(page, 1, 1, (struct pl_type){.size = 8}, text);
  pl_draw_polyline(page, spots, 3, hair);
  pl_paper_outline(paper, title, 0);
  text[0] = 'X';
  title[0] = 'X';
  spots[1].x = 99;
  assert_string_equal(page->marks[0].text, "spring");
  assert_true(page->marks[1].spots[1].x == 2);
  assert_string_equal(paper->outline[0].title, "wet");
}

static void paths_need_enough_spots(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_page *const page = pl_paper_page(pl_paper_new(fixture->arena), 210, 297);
  const struct pl_spot spots[3] = {{1, 1}, {2, 2}, {3, 1}};
  pl_draw_polyline(page, spots, 0, hair);
  pl_draw_polyline(page, spots, 1, hair);
  pl_draw_polygon(page, spots, 2, PL_INK_BLACK, hair);
  assert_int_equal(page->count, 0);
  pl_draw_polyline(page, spots, 2, hair);
  pl_draw_polygon(page, spots, 3, PL_INK_BLACK, hair);
  assert_int_equal(page->count, 2);
}

static struct pl_paper *one_of_each(struct pl_arena *arena) {
  static const struct pl_spot spots[] = {{1, 2}, {3, 4.005}, {5, -0.001}};
  struct pl_paper *const paper = pl_paper_new(arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  (void)pl_paper_page(paper, 215.9, 279.4);
  paper->title = "Plover \"dry\"";
  paper->subject = "setup";
  pl_paper_outline(paper, "Plover", 0);
  pl_paper_outline(paper, "Second", 1);
  (void)pl_draw_text(page, 12.3, 40.1, (struct pl_type){.size = 8, .bold = true}, "e\u0302 \\");
  (void)pl_draw_text(page, 12.3, 44, (struct pl_type){6.5, false, true, PL_INK_GREY, 0},
                     "a\nb");
  pl_draw_line(page, 1, 2, 3, 4, hair);
  pl_draw_line(page, 1, 2, 3, 4, (struct pl_stroke){0.5, PL_INK_BLACK, PL_DASHED});
  pl_draw_rectangle(page, 1, 2, 3, 4, PL_INK_ACCENT, (struct pl_stroke){0});
  pl_draw_polyline(page, spots, 3, (struct pl_stroke){0.25, PL_INK_ACCENT, PL_DOTTED});
  pl_draw_polygon(page, spots, 3, PL_INK_WHITE, hair);
  pl_draw_circle(page, 7, 8, 2, PL_INK_NONE, hair);
  pl_draw_link(page, 1, 2, 3, 4, 1);
  return paper;
}

static const char expected[] = //
    "title \"Plover \\\"dry\\\"\"\n"
    "subject \"setup\"\n"
    "outline page 1 \"Plover\"\n"
    "outline page 2 \"Second\"\n"
    "page 1 210.0 x 297.0 mm\n"
    "text 12.30 40.10 8.0 bold black \"\u00EA \\\\\"\n"
    "text 12.30 44.00 6.5 struck grey \"a\\x0Ab\"\n"
    "line 1.00 2.00 3.00 4.00 stroke 0.10 light\n"
    "line 1.00 2.00 3.00 4.00 stroke 0.50 black dashed\n"
    "rectangle 1.00 2.00 3.00 4.00 fill accent no stroke\n"
    "polyline 1.00 2.00 3.00 4.00 5.00 0.00 stroke 0.25 accent dotted\n"
    "polygon 1.00 2.00 3.00 4.00 5.00 0.00 fill white stroke 0.10 light\n"
    "circle 7.00 8.00 2.00 stroke 0.10 light\n"
    "link 1.00 2.00 3.00 4.00 page 2\n"
    "page 2 215.9 x 279.4 mm\n";

static void text_form_of_each_mark(void **state) {
  const struct fixture *const fixture = *state;
  const struct pl_paper *const paper = one_of_each(fixture->arena);
  assert_string_equal(pl_paper_as_text(fixture->arena, paper), expected);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(new_paper_is_empty),         TEST(pages_stay_where_they_are),
      TEST(texts_hang_on_their_anchor), TEST(what_is_drawn_is_copied),
      TEST(paths_need_enough_spots),    TEST(text_form_of_each_mark),
  };
  return cmocka_run_group_tests_name("sheet display list", tests, NULL, NULL);
}
