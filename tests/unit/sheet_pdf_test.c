// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the PDF files by other people's programs: qpdf checks the form, poppler's tools find
// the fonts and the texts, and look at the picture.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/sheet.h"
#include "sheet_shell.h"

#include <string.h>

static const struct pl_stroke hair = {.width = PL_HAIR, .ink = PL_INK_BLACK};
static const struct pl_stroke no_stroke = {0};

/// An invented driver whose name takes 60 characters of several scripts.
static const char long_name[] = "Ñuño Łukášević-Phượng Đặng Ẫữợ Щёголев Їжакевич Ґудзьмін Øre";

/// Makes the PDF and puts it in the test's folder as `name`.
static const unsigned char *save(const struct fixture *fixture, const struct pl_paper *paper,
                                 const char *name, size_t *length) {
  const unsigned char *bytes = NULL;
  const char *message = NULL;
  if (pl_paper_to_pdf(fixture->arena, paper, &bytes, length, &message) != PL_PDF_OK)
    fail_msg("no PDF: %s", message);
  const char *const path = pl_format(fixture->arena, "%s/%s", fixture->folder, name);
  FILE *const file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, *length, file), *length);
  assert_int_equal(fclose(file), 0);
  return bytes;
}

static void assert_contains(const char *text, const char *part) {
  if (strstr(text, part) == NULL) fail_msg("'%s' is not in:\n%s", part, text);
}

/// A page with every kind of mark, in both faces.
static struct pl_paper *sample(struct pl_arena *arena) {
  static const struct pl_spot spots[] = {{20, 200}, {60, 180}, {100, 220}};
  struct pl_paper *const paper = pl_paper_new(arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  paper->title = "Plover, dry — Nguyễn";
  paper->author = "Щёголев";
  (void)pl_draw_text(page, 20, 20, (struct pl_type){.size = 9}, long_name);
  (void)pl_draw_text(page, 20, 30, (struct pl_type){.size = 9, .bold = true},
                     "0.38 → 0.42 N/mm");
  (void)pl_draw_text(page, 20, 40, (struct pl_type){.size = 6, .struck = true}, "was 0.38");
  (void)pl_draw_text(page, 20, 50, (struct pl_type){.size = 8, .ink = PL_INK_ACCENT}, "(a\\b)");
  (void)pl_draw_text(page, 20, 60, (struct pl_type){.size = 8},
                     "decomposed Nguye\u0302\u0303n");
  pl_draw_line(page, 20, 70, 190, 70, hair);
  pl_draw_rectangle(page, 20, 80, 30, 10, PL_INK_LIGHT, hair);
  pl_draw_circle(page, 70, 85, 10, PL_INK_GREY, no_stroke);
  pl_draw_polyline(page, spots, 3, (struct pl_stroke){0.3, PL_INK_ACCENT, PL_DASHED});
  pl_draw_polygon(page, spots, 3, PL_INK_NONE, (struct pl_stroke){0.2, PL_INK_GREY, PL_DOTTED});
  (void)pl_draw_text(pl_paper_page(paper, 215.9, 279.4), 20, 20, (struct pl_type){.size = 9},
                     "second page");
  pl_paper_outline(paper, "Nguyễn, мокро", 0);
  pl_paper_outline(paper, "Second", 1);
  pl_draw_link(page, 20, 10, 50, 12, 1);
  return paper;
}

// ---------------------------------------------------------------- form, fonts, texts

static void checker_finds_no_fault(void **state) {
  const struct fixture *const fixture = *state;
  size_t length = 0;
  (void)save(fixture, sample(fixture->arena), "a.pdf", &length);
  const char *const report = run(fixture, "qpdf --check a.pdf");
  assert_contains(report, "No syntax or stream encoding errors found");
  assert_null(strstr(report, "WARNING"));
  // Nothing but complaints would be printed here.
  assert_string_equal(run(fixture, "pdftotext a.pdf a.txt"), "");
  assert_string_equal(run(fixture, "pdftoppm -r 40 -gray a.pdf a"), "");
}

static void fonts_are_embedded_and_cut(void **state) {
  const struct fixture *const fixture = *state;
  size_t length = 0;
  (void)save(fixture, sample(fixture->arena), "a.pdf", &length);
  // name, type, encoding, embedded, cut, with character table; two lines of heading
  const char *const fonts =
      run(fixture, "pdffonts a.pdf | tail -n +3 | awk '{print $1, $5, $6, $7}'");
  assert_string_equal(fonts, "PLSHRA+PitleafSheet yes yes yes\n"
                             "PLSHRB+PitleafSheet-Bold yes yes yes\n");
  assert_in_range(length, 1000, 80000); // only the used glyphs: the two faces are 290 kB
}

static void font_that_is_not_used_is_not_there(void **state) {
  const struct fixture *const fixture = *state;
  size_t length = 0;
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  pl_draw_line(page, 0, 0, 100, 100, hair);
  (void)save(fixture, paper, "a.pdf", &length);
  assert_string_equal(run(fixture, "pdffonts a.pdf | tail -n +3"), "");
  (void)pl_draw_text(page, 20, 20, (struct pl_type){.size = 9}, "regular");
  (void)save(fixture, paper, "a.pdf", &length);
  assert_string_equal(run(fixture, "pdffonts a.pdf | tail -n +3 | wc -l | tr -d ' '"), "1\n");
}

static void extractor_finds_every_text(void **state) {
  const struct fixture *const fixture = *state;
  static const char *const texts[] = {
      long_name, "0.38 → 0.42 N/mm", "was 0.38",
      "(a\\b)",  "second page",      "decomposed Nguy\u1EC5n", // in normal form C
  };
  size_t length = 0;
  (void)save(fixture, sample(fixture->arena), "a.pdf", &length);
  const char *const found = run(fixture, "pdftotext a.pdf -");
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) assert_contains(found, texts[i]);
}

/// Every character of the face comes back from the file, and is the one that went in.
static void extractor_finds_every_character(void **state) {
  const struct fixture *const fixture = *state;
  static const char *const rows[] = {
      "→←↑↓±×÷°²³µμ·…≤≥≠≈√Δ∆π∑ΣΩ½¼¾✓□■⌀Ø",
      "–—“”‘’•‰′″€№™¿¡«»‑-‐",
      "ăâđêôơư Ấ Ầ Ẩ Ẫ Ậ ế ề ể ễ ệ ố ồ ổ ỗ ộ ớ ờ ở ỡ ợ ứ ừ ử ữ ự",
      "абвгдежзийклмнопрстуфхцчшщъыьэюя ђѓєѕіїјљњћќўџґ",
      "αβγδεζηθικλμνξοπρσςτυφχψω άέήίόύώ",
      "áčďéěíňóřšťúůýž ąćęłńóśźż őű ğış þðæ ßñç",
  };
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    const double y = 20 + 10 * (double)i;
    (void)pl_draw_text(page, 10, y, (struct pl_type){.size = 8}, rows[i]);
    (void)pl_draw_text(page, 10, y + 100, (struct pl_type){.size = 8, .bold = true}, rows[i]);
  }
  size_t length = 0;
  (void)save(fixture, paper, "a.pdf", &length);
  const char *const found = run(fixture, "pdftotext -layout a.pdf - | sed 's/  */ /g'");
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    const char *const first = strstr(found, rows[i]);
    if (first == NULL) fail_msg("'%s' is not in:\n%s", rows[i], found);
    assert_contains(first + 1, rows[i]); // the bold one
  }
}

/// A minus sign is printed as one, and found by the hyphen of a keyboard.
static void minus_is_found_by_a_hyphen(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  (void)pl_draw_text(page, 20, 20, (struct pl_type){.size = 9}, "camber −1.5 ∑");
  size_t length = 0;
  (void)save(fixture, paper, "a.pdf", &length);
  assert_contains(run(fixture, "pdftotext a.pdf -"), "camber -1.5 ∑");
}

static void properties_outline_and_links(void **state) {
  const struct fixture *const fixture = *state;
  size_t length = 0;
  (void)save(fixture, sample(fixture->arena), "a.pdf", &length);
  const char *const properties = run(fixture, "pdfinfo a.pdf");
  assert_contains(properties, "Plover, dry — Nguyễn\n");
  assert_contains(properties, "Щёголев\n");
  assert_contains(properties, "Pages:           2\n");
  assert_contains(properties, "(A4)");
  assert_null(strstr(properties, "Date"));
  assert_null(strstr(properties, "Subject"));
  assert_contains(run(fixture, "pdfinfo -f 2 -l 2 a.pdf"), "612 x 792 pts (letter)");
  const char *const outline = run(fixture, "qpdf --json --json-key=outlines a.pdf");
  assert_contains(outline, "\"destpageposfrom1\": 1");
  assert_contains(outline, "\"destpageposfrom1\": 2");
  assert_contains(outline, "\"title\": \"Nguyễn, мокро\"");
  const char *const plain =
      run(fixture, "qpdf --qdf a.pdf - | grep -a -A2 -B9 '/Subtype /Link'");
  assert_contains(plain, "/Dest");
  assert_contains(
      run(fixture, "qpdf --qdf a.pdf - | grep -a -c '/Action\\|/URI\\|/JS' || true"), "0\n");
}

// ---------------------------------------------------------------- measures and picture

/// Left, top and right of a word on the first page, in mm, as poppler sees it.
static void find_word(const struct fixture *fixture, const char *word, double *left,
                      double *right) {
  const char *const line = run(fixture, "pdftotext -bbox a.pdf - | grep -F '>%s</word>'", word);
  double top = 0;
  assert_int_equal(sscanf(strstr(line, "<word"), "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\"",
                          left, &top, right),
                   3);
  *left *= 25.4 / 72;
  *right *= 25.4 / 72;
}

static void words_are_as_wide_as_measured(void **state) {
  const struct fixture *const fixture = *state;
  static const char *const words[] = {"Nguyễn", "Щёголев", "0123456789", "Wheel-rate",
                                      "→±°≤½",  "il1|.,",  "MWŴ@",       "Łódź"};
  const size_t count = sizeof words / sizeof *words;
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  for (size_t i = 0; i < count; i++) {
    (void)pl_draw_text(page, 20, 20 + 10 * (double)i,
                       (struct pl_type){.size = 6 + (double)i, .bold = i % 2 == 1}, words[i]);
  }
  size_t length = 0;
  (void)save(fixture, paper, "a.pdf", &length);
  for (size_t i = 0; i < count; i++) {
    double left = 0;
    double right = 0;
    find_word(fixture, words[i], &left, &right);
    assert_within(left, 20, 0.001);
    assert_within(right - left, page->marks[i].width, 0.001);
  }
}

/// A picture of the first page, ten dots a millimetre; 0 is black.
struct picture {
  size_t width, height;
  const unsigned char *dots;
};

static struct picture picture_of(const struct fixture *fixture, const struct pl_paper *paper) {
  size_t length = 0;
  (void)save(fixture, paper, "a.pdf", &length);
  (void)run(fixture, "pdftoppm -r 254 -gray -f 1 -l 1 -singlefile a.pdf page");
  const char *const path = pl_format(fixture->arena, "%s/page.pgm", fixture->folder);
  FILE *const file = fopen(path, "rb");
  assert_non_null(file);
  struct picture picture = {0};
  int greatest = 0;
  assert_int_equal(fscanf(file, "P5 %zu %zu %d", &picture.width, &picture.height, &greatest),
                   3);
  assert_int_equal(greatest, 255);
  (void)fgetc(file);
  const size_t size = picture.width * picture.height;
  unsigned char *const dots = pl_alloc(fixture->arena, size);
  assert_int_equal(fread(dots, 1, size, file), size);
  assert_int_equal(fclose(file), 0);
  picture.dots = dots;
  return picture;
}

/// The dot at that place, in mm.
static int dot(struct picture picture, double x, double y) {
  const size_t column = (size_t)(x * 10);
  const size_t row = (size_t)(y * 10);
  assert_true(column < picture.width && row < picture.height);
  return picture.dots[row * picture.width + column];
}

/// Ink in a box, in square mm of black.
static double ink(struct picture picture, double left, double top, double right,
                  double bottom) {
  double sum = 0;
  for (double y = top + 0.05; y < bottom; y += 0.1) {
    for (double x = left + 0.05; x < right; x += 0.1) sum += 255 - dot(picture, x, y);
  }
  return sum / 255 / 100;
}

static void shapes_are_where_they_were_put(void **state) {
  const struct fixture *const fixture = *state;
  static const struct pl_spot triangle[] = {{80, 60}, {90, 60}, {80, 70}};
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  pl_draw_rectangle(page, 20, 30, 40, 10, PL_INK_BLACK, no_stroke);
  pl_draw_rectangle(page, 20, 50, 10, 10, PL_INK_GREY, no_stroke);
  pl_draw_rectangle(page, 35, 50, 10, 10, PL_INK_LIGHT, no_stroke);
  pl_draw_rectangle(page, 50, 50, 10, 10, PL_INK_ACCENT, no_stroke);
  pl_draw_circle(page, 100, 35, 20, PL_INK_BLACK, no_stroke);
  pl_draw_circle(page, 100, 35, 10, PL_INK_WHITE, no_stroke);
  pl_draw_polygon(page, triangle, 3, PL_INK_BLACK, no_stroke);
  pl_draw_line(page, 20, 100, 120, 100, hair);
  pl_draw_line(page, 20, 110, 120, 110, (struct pl_stroke){PL_HAIR, PL_INK_BLACK, PL_DASHED});
  pl_draw_line(page, 20, 120, 120, 120, (struct pl_stroke){1, PL_INK_BLACK, PL_SOLID});
  pl_draw_line(page, 20, 130, 120, 130, hair); // thin again
  const struct picture picture = picture_of(fixture, paper);
  // Rows and columns just inside and just outside the edges.
  assert_int_equal(dot(picture, 20.15, 30.15), 0);
  assert_int_equal(dot(picture, 59.85, 39.85), 0);
  assert_int_equal(dot(picture, 19.85, 35), 255);
  assert_int_equal(dot(picture, 60.15, 35), 255);
  assert_int_equal(dot(picture, 40, 29.85), 255);
  assert_int_equal(dot(picture, 40, 40.15), 255);
  // From dark to light: black, accent, grey, light, white.
  const int accent = dot(picture, 55, 55);
  const int grey = dot(picture, 25, 55);
  const int light = dot(picture, 40, 55);
  assert_true(0 < accent && accent + 20 < grey && grey + 20 < light && light + 20 < 255);
  // Areas: of a ring of 20 and 10 mm, and of a triangle of legs 10 mm.
  assert_near(ink(picture, 89, 24, 111, 46), 3.14159265 * (100 - 25), 0.01);
  assert_near(ink(picture, 79, 59, 91, 71), 50, 0.03);
  // A line's ink is its length times its width; three fifths of it when dashed.
  assert_near(ink(picture, 19, 98, 121, 102), 100 * PL_HAIR, 0.3);
  assert_near(ink(picture, 19, 108, 121, 112) / ink(picture, 19, 98, 121, 102), 0.6, 0.05);
  assert_near(ink(picture, 19, 118, 121, 122), 100, 0.1);
  assert_near(ink(picture, 19, 128, 121, 132), 100 * PL_HAIR, 0.3);
}

static void letters_stand_on_the_baseline(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  const double size = 40;
  const double wide = pl_draw_text(page, 20, 50, (struct pl_type){.size = size}, "HHH");
  (void)pl_draw_text(page, 20, 100, (struct pl_type){.size = size, .bold = true}, "HHH");
  (void)pl_draw_text(page, 20, 150, (struct pl_type){.size = size, .struck = true}, "HHH");
  (void)pl_draw_text(page, 20, 200, (struct pl_type){.size = size}, "ẪẤ");
  (void)pl_draw_text(page, 20, 250, (struct pl_type){.size = size}, "ợğ");
  const struct picture picture = picture_of(fixture, paper);
  const struct pl_text_metrics metrics = pl_text_metrics(size, false);
  const double top = 50 - metrics.cap_height;
  assert_true(ink(picture, 20, 50.15, 20 + wide, 60) == 0);
  assert_true(ink(picture, 20, 49.7, 20 + wide, 49.9) > 0.5);
  assert_true(ink(picture, 20, top + 0.15, 20 + wide, top + 0.35) > 0.5);
  assert_true(ink(picture, 20, top - 10, 20 + wide, top - 0.15) == 0);
  // Bold is bolder, and a line crosses the struck text aslant where it has no letter: low
  // between the first and the second one, high behind the second.
  assert_true(ink(picture, 15, 85, 80, 101) > 1.3 * ink(picture, 15, 35, 80, 51));
  const double cap = metrics.cap_height;
  for (int gap = 1; gap <= 2; gap++) {
    const double x = 20 + wide * gap / 3;
    const double low = ink(picture, x - 0.1, 150 - cap / 2, x + 0.1, 150);
    const double high = ink(picture, x - 0.1, 150 - cap, x + 0.1, 150 - cap / 2);
    assert_true(gap == 1 ? low > 0.05 && high == 0 : low == 0 && high > 0.05);
    assert_true(ink(picture, x - 0.1, 50 - cap, x + 0.1, 50) == 0);
  }
  // Nothing is above the ascent nor below the descent, and the accents are above the capitals.
  assert_true(ink(picture, 15, 165, 80, 200 - metrics.ascent - 0.1) == 0);
  assert_true(ink(picture, 15, 200 - metrics.ascent, 80, 200 - metrics.cap_height - 0.5) > 1);
  assert_true(ink(picture, 15, 250 + 0.5, 80, 250 + metrics.descent) > 1);
  assert_true(ink(picture, 15, 250 + metrics.descent + 0.1, 80, 270) == 0);
}

// ---------------------------------------------------------------- sameness, size

static void same_paper_gives_the_same_bytes(void **state) {
  const struct fixture *const fixture = *state;
  size_t first_length = 0;
  size_t second_length = 0;
  const unsigned char *const first =
      save(fixture, sample(fixture->arena), "a.pdf", &first_length);
  const unsigned char *const second =
      save(fixture, sample(fixture->arena), "b.pdf", &second_length);
  assert_int_equal(first_length, second_length);
  assert_memory_equal(first, second, first_length);
}

/// So much text that the file is longer than the room guessed for it at first.
static void large_file_is_whole(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_chance chance = {.state = 5};
  struct pl_paper *const paper = pl_paper_new(fixture->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  for (int line = 0; line < 150; line++) {
    char text[3001];
    for (size_t i = 0; i < 3000; i++) text[i] = (char)('!' + pl_chance_bits(&chance) % 90);
    text[3000] = '\0';
    (void)pl_draw_text(page, 10, 10, (struct pl_type){.size = 6}, text);
  }
  (void)pl_draw_text(page, 10, 280, (struct pl_type){.size = 6}, "the very last words");
  size_t length = 0;
  (void)save(fixture, paper, "a.pdf", &length);
  assert_true(length > 300000);
  assert_contains(run(fixture, "qpdf --check a.pdf"), "No syntax or stream encoding errors");
  assert_contains(run(fixture, "pdftotext a.pdf -"), "the very last words");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(checker_finds_no_fault),
      TEST(fonts_are_embedded_and_cut),
      TEST(font_that_is_not_used_is_not_there),
      TEST(extractor_finds_every_text),
      TEST(extractor_finds_every_character),
      TEST(minus_is_found_by_a_hyphen),
      TEST(properties_outline_and_links),
      TEST(words_are_as_wide_as_measured),
      TEST(shapes_are_where_they_were_put),
      TEST(letters_stand_on_the_baseline),
      TEST(same_paper_gives_the_same_bytes),
      TEST(large_file_is_whole),
  };
  return cmocka_run_group_tests_name("sheet pdf", tests, NULL, NULL);
}
