// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what is refused before the PDF library sees it, and in which words.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/sheet.h"
#include "sheet_shell.h"

#include <math.h>
#include <string.h>

static const struct pl_stroke hair = {.width = PL_HAIR, .ink = PL_INK_BLACK};

static void assert_refused(const struct fixture *fixture, const struct pl_paper *paper,
                           enum pl_pdf_status status, const char *message) {
  static const unsigned char something[] = "x";
  const unsigned char *bytes = something;
  size_t length = 1;
  const char *said = NULL;
  assert_int_equal(pl_paper_to_pdf(fixture->arena, paper, &bytes, &length, &said), status);
  assert_null(bytes);
  assert_int_equal(length, 0);
  assert_string_equal(said, message);
}

static struct pl_page *new_page(const struct fixture *fixture) {
  return pl_paper_page(pl_paper_new(fixture->arena), 210, 297);
}

static void paper_without_a_page(void **state) {
  const struct fixture *const fixture = *state;
  assert_refused(fixture, pl_paper_new(fixture->arena), PL_PDF_NO_PAGE,
                 "there is no page to print");
}

static void links_to_nowhere(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_page *const page = new_page(fixture);
  pl_draw_link(page, 1, 1, 2, 2, 1);
  assert_refused(fixture, page->paper, PL_PDF_NO_PAGE,
                 "a link on page 1 leads to page 2, and there are 1");
  struct pl_page *const other = new_page(fixture);
  pl_paper_outline(other->paper, "third", 2);
  assert_refused(fixture, other->paper, PL_PDF_NO_PAGE,
                 "a link in the list of contents leads to page 3, and there are 1");
}

static void characters_that_the_font_lacks(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_page *const page = new_page(fixture);
  struct pl_page *const second = pl_paper_page(page->paper, 210, 297);
  (void)pl_draw_text(second, 10, 10, (struct pl_type){.size = 8}, "\U0001F3CE fast");
  assert_refused(fixture, page->paper, PL_PDF_NO_GLYPH,
                 "the sheet's font lacks the character U+1F3CE, which stands on page 2 in "
                 "\"\U0001F3CE fast\"");
  page->paper->title = "日";
  assert_refused(fixture, page->paper, PL_PDF_NO_GLYPH,
                 "the sheet's font lacks the character U+65E5, which stands in the properties "
                 "of the file in \"日\"");
  struct pl_page *const other = new_page(fixture);
  pl_paper_outline(other->paper, "line\nbreak", 0);
  assert_refused(fixture, other->paper, PL_PDF_NO_GLYPH,
                 "the sheet's font lacks the character U+000A, which stands in the list of "
                 "contents in \"line\nbreak\"");
}

static void long_texts_are_quoted_in_part(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_page *const page = new_page(fixture);
  // The cut would fall within the two bytes of the last letter.
  (void)pl_draw_text(page, 10, 10, (struct pl_type){.size = 8},
                     "\t2345678901234567890123456789012345678901234567890123456789Щ and more");
  assert_refused(fixture, page->paper, PL_PDF_NO_GLYPH,
                 "the sheet's font lacks the character U+0009, which stands on page 1 in "
                 "\"\t2345678901234567890123456789012345678901234567890123456789…\"");
}

static void texts_beyond_all_measure(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_buffer text = {.arena = fixture->arena};
  pl_buffer_repeat(&text, '.', 32768);
  struct pl_page *const page = new_page(fixture);
  (void)pl_draw_text(page, 10, 10, (struct pl_type){.size = 0.001}, pl_buffer_string(&text));
  assert_refused(fixture, page->paper, PL_PDF_TOO_LARGE,
                 "a text on page 1 is longer than 32767 bytes: "
                 "\"............................................................…\"");
}

static void sizes_beyond_all_measure(void **state) {
  const struct fixture *const fixture = *state;
  static const double sizes[] = {0, -1, 601, NAN, INFINITY};
  for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
    struct pl_page *const page = new_page(fixture);
    (void)pl_draw_text(page, 10, 10, (struct pl_type){.size = 8}, "x");
    page->marks[0].type.size = sizes[i];
    assert_refused(fixture, page->paper, PL_PDF_TOO_LARGE,
                   "a text on page 1 has a size outside 0 to 600 pt: \"x\"");
  }
}

static void places_beyond_all_measure(void **state) {
  const struct fixture *const fixture = *state;
  static const double places[] = {1e5, -1e5, NAN, INFINITY, -INFINITY};
  for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
    const double place = places[i];
    for (int kind = 0; kind < 5; kind++) {
      struct pl_page *const page = new_page(fixture);
      const struct pl_spot spots[] = {{1, 1}, {2, 2}, {3, place}};
      switch (kind) {
      case 0: (void)pl_draw_text(page, place, 1, (struct pl_type){.size = 8}, "x"); break;
      case 1: pl_draw_line(page, 1, place, 2, 2, hair); break;
      case 2: pl_draw_rectangle(page, 1, 1, 1, place, PL_INK_NONE, hair); break;
      case 3: pl_draw_circle(page, 1, 1, place, PL_INK_NONE, hair); break;
      default: pl_draw_polyline(page, spots, 3, hair);
      }
      assert_refused(fixture, page->paper, PL_PDF_TOO_LARGE,
                     "a mark on page 1 is too large or lies too far from the page");
    }
  }
}

static void images_beyond_all_measure(void **state) {
  const struct fixture *const fixture = *state;
  static const unsigned char point[3] = {0};
  static const unsigned sides[][2] = {
      {0, 1}, {1, 0}, {PL_IMAGE_SIDE + 1, 1}, {1, PL_IMAGE_SIDE + 1}};
  for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
    struct pl_page *const page = new_page(fixture);
    const struct pl_image image = {
        .width = sides[i][0], .height = sides[i][1], .points = point};
    pl_draw_image(page, 1, 1, 10, 10, &image);
    assert_refused(fixture, page->paper, PL_PDF_TOO_LARGE,
                   pl_format(fixture->arena,
                             "an image on page 1 has no points, or more than %d on a side",
                             PL_IMAGE_SIDE));
  }
}

static void pages_beyond_all_measure(void **state) {
  const struct fixture *const fixture = *state;
  static const double sides[] = {1, 5081, NAN};
  for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
    struct pl_paper *const paper = pl_paper_new(fixture->arena);
    (void)pl_paper_page(paper, 100, sides[i]);
    assert_refused(fixture, paper, PL_PDF_TOO_LARGE,
                   "the size on page 1 is outside 2 to 5080 mm");
  }
}

/// What lies at the bounds is printed: the library's own bounds are not narrower.
static void what_is_just_within_is_printed(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  (void)pl_paper_page(paper, 2, 5080);
  struct pl_page *const page = pl_paper_page(paper, 5080, 2);
  struct pl_buffer text = {.arena = fixture->arena};
  pl_buffer_repeat(&text, '.', 32767);
  (void)pl_draw_text(page, 0, 1, (struct pl_type){.size = 0.5}, pl_buffer_string(&text));
  (void)pl_draw_text(page, 0, 1, (struct pl_type){.size = 600}, "x");
  pl_draw_line(page, -6000, 6000, 6000, -6000, (struct pl_stroke){.width = 200});
  pl_draw_circle(page, 0, 0, 6000, PL_INK_LIGHT, hair);
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = "";
  if (pl_paper_to_pdf(fixture->arena, paper, &bytes, &length, &message) != PL_PDF_OK)
    fail_msg("%s", message);
  assert_non_null(bytes);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(paper_without_a_page),           TEST(links_to_nowhere),
      TEST(characters_that_the_font_lacks), TEST(long_texts_are_quoted_in_part),
      TEST(texts_beyond_all_measure),       TEST(sizes_beyond_all_measure),
      TEST(places_beyond_all_measure),      TEST(pages_beyond_all_measure),
      TEST(images_beyond_all_measure),      TEST(what_is_just_within_is_printed),
  };
  return cmocka_run_group_tests_name("sheet printable", tests, NULL, NULL);
}
