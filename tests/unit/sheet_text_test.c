// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the measuring and breaking of text: against the fonts that the faces are cut from, and
// by what must hold for every text.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/sheet.h"
#include "sheet/font.h"
#include "sheet/text.h"
#include "sheet_shell.h"

#include <stdio.h>
#include <string.h>
#include <utf8proc.h>

static const double millimetres_per_point = 25.4 / 72.0;

// ---------------------------------------------------------------- faces

static void faces_have_the_same_characters_in_order(void **state) {
  (void)state;
  const struct pl_face *const regular = &pl_faces[0];
  const struct pl_face *const bold = &pl_faces[1];
  assert_int_equal(regular->glyph_count, bold->glyph_count);
  for (size_t i = 0; i < regular->glyph_count; i++) {
    assert_int_equal(regular->glyphs[i].codepoint, bold->glyphs[i].codepoint);
    if (i < 95) assert_int_equal(regular->glyphs[i].codepoint, ' ' + i);
    if (i > 0) assert_true(regular->glyphs[i].codepoint > regular->glyphs[i - 1].codepoint);
  }
}

static void digits_are_of_one_width(void **state) {
  (void)state;
  for (int bold = 0; bold < 2; bold++) {
    for (const char *digit = "123456789"; *digit != '\0'; digit++) {
      const char text[] = {*digit, '\0'};
      assert_true(pl_text_width(text, 8, bold != 0) == pl_text_width("0", 8, bold != 0));
    }
  }
}

/// Text and, of the file that a face was cut from, width of the text and height of a capital
/// and of a small letter, all in units of the em.
struct published {
  double text, capital, small;
};

/// Asks the font package's own tables (hmtx, OS/2) by fontTools.
static struct published published_width(const struct fixture *fixture, const char *text,
                                        bool bold) {
  const char *const output =
      run(fixture,
          "/usr/bin/python3 - '%s' <<'END'\n"
          "import sys\n"
          "from fontTools.ttLib import TTFont\n"
          "font = TTFont('/usr/share/fonts/truetype/roboto/unhinted/RobotoCondensed-%s.ttf')\n"
          "em, names = font['head'].unitsPerEm, font.getBestCmap()\n"
          "print(sum(font['hmtx'][names[ord(c)]][0] for c in sys.argv[1]) / em,\n"
          "      font['OS/2'].sCapHeight / em, font['OS/2'].sxHeight / em)\n"
          "END",
          text, bold ? "Bold" : "Regular");
  struct published published;
  assert_int_equal(
      sscanf(output, "%lf %lf %lf", &published.text, &published.capital, &published.small), 3);
  return published;
}

static void widths_are_the_font_package_s(void **state) {
  const struct fixture *const fixture = *state;
  static const char *const texts[] = {
      "Damping ratio 0.42 N/mm", "WWWW",         "iiii",
      "Nguyễn Thị Đường",        "Съешь же ещё", "± 35 °C · 1⁄2 µm"};
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
    for (int bold = 0; bold < 2; bold++) {
      const struct published published = published_width(fixture, texts[i], bold != 0);
      // Each advance is rounded to a thousandth of the size.
      const double allowed = 0.0005 * (double)strlen(texts[i]);
      assert_published_within(texts[i],
                              pl_text_width(texts[i], 1 / millimetres_per_point, bold != 0),
                              published.text, allowed);
    }
  }
}

static void heights_are_the_font_package_s(void **state) {
  const struct fixture *const fixture = *state;
  for (int bold = 0; bold < 2; bold++) {
    const struct published published = published_width(fixture, "", bold != 0);
    const struct pl_text_metrics metrics =
        pl_text_metrics(1 / millimetres_per_point, bold != 0);
    assert_published_within("height of a capital (OS/2 table)", metrics.cap_height,
                            published.capital, 0.001);
    assert_published_within("height of a small letter (OS/2 table)", metrics.x_height,
                            published.small, 0.001);
    assert_true(metrics.ascent > metrics.cap_height);
    assert_true(metrics.descent > 0);
  }
}

static void widths_add_up_and_grow_with_the_size(void **state) {
  (void)state;
  const double a = pl_text_width("rear spring", 8, false);
  assert_near(pl_text_width("rear springrear spring", 8, false), 2 * a, 1e-12);
  assert_near(pl_text_width("rear spring", 16, false), 2 * a, 1e-12);
  assert_true(pl_text_width("rear spring", 8, true) > a);
  assert_true(pl_text_width("", 8, false) == 0);
}

// ---------------------------------------------------------------- normal form, missing glyphs

static void normal_form_c(void **state) {
  const struct fixture *const fixture = *state;
  // Decompositions from UnicodeData.txt: 1EC5 is 00EA 0303, 00EA is 0065 0302; 1EE3 is 01A1
  // 0323; 0419 is 0418 0306; 212B (angstrom sign) is 00C5; 2126 (ohm sign) is 03A9.
  static const char *const pairs[][2] = {
      {"e\xCC\x82\xCC\x83", "\u1EC5"},
      {"o\xCC\xA3\xCC\x9B", "\u1EE3"},
      {"\u0418\xCC\x86", "\u0419"},
      {"\u212B", "\u00C5"},
      {"\u2126", "\u03A9"},
      {"plain", "plain"},
      {"a\xFFz", "a\uFFFDz"},
      {"\xE1\xBB", "\uFFFD\uFFFD"},
      {"\xED\xA0\x80", "\uFFFD\uFFFD\uFFFD"}, // a surrogate is no character
      {"\xC0\xAF", "\uFFFD\uFFFD"},           // nor is a longer form of "/"
  };
  for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
    const char *const normal = pl_text_normalise(fixture->arena, pairs[i][0]);
    assert_string_equal(normal, pairs[i][1]);
    assert_string_equal(pl_text_normalise(fixture->arena, normal), normal);
  }
}

/// What the short way takes for plain is so by the library's tables of Unicode: each character
/// alone, between letters, and before a mark that could join it.
static void every_character_is_normalised(void **state) {
  const struct fixture *const fixture = *state;
  static const char *const around[][2] = {
      {"", ""}, {"e", "e"}, {"", "\u0338"}, {"=", "\u0301"}};
  for (utf8proc_int32_t code = 1; code < 0x3100; code++) {
    utf8proc_uint8_t bytes[5] = {0};
    utf8proc_encode_char(code, bytes);
    for (size_t i = 0; i < sizeof around / sizeof *around; i++) {
      char text[16];
      (void)snprintf(text, sizeof text, "%s%s%s", around[i][0], bytes, around[i][1]);
      utf8proc_uint8_t *const wanted = utf8proc_NFC((const utf8proc_uint8_t *)text);
      assert_non_null(wanted);
      assert_string_equal(pl_text_normalise(fixture->arena, text), (const char *)wanted);
      free(wanted);
    }
  }
}

static void endless_marks_take_no_time(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_buffer text = {.arena = fixture->arena};
  pl_buffer_text(&text, "a");
  for (int i = 0; i < 200000; i++) pl_buffer_text(&text, "\xCC\x81\xCC\xA3");
  // By the square of the length this would take minutes, and the run would be ended.
  const char *const string = pl_buffer_string(&text);
  assert_string_equal(pl_text_normalise(fixture->arena, string), string);
}

static void missing_glyphs_are_named(void **state) {
  const struct fixture *const fixture = *state;
  // RIGHT-TO-LEFT OVERRIDE; not as a string, which would turn what is read here.
  static const char turned[] = {'\xE2', '\x80', '\xAE', 't', '\0'};
  static const struct {
    const char *text;
    uint32_t missing;
  } cases[] = {
      {"fast \U0001F3CE car", 0x1F3CE},
      {"\u65E5\u672C", 0x65E5},
      {"tab\there", '\t'},
      {"two\nlines", '\n'},
      {"soft\u00ADhyphen", 0xAD},
      {turned, 0x202E},
      {"zero\u200Bwidth", 0x200B},
      {"bad \xFF byte", 0xFFFD},
      {"\x7F", 0x7F},
      {"lone x\u0302", 0x0302},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    uint32_t codepoint = 0;
    assert_true(pl_text_missing_glyph(fixture->arena, cases[i].text, &codepoint));
    assert_int_equal(codepoint, cases[i].missing);
  }
}

static void signs_and_scripts_are_there(void **state) {
  const struct fixture *const fixture = *state;
  static const char *const texts[] = {
      "→ ← ↑ ↓ − ± × ÷ ° ² ³ µ · … ≤ ≥ ≠ ≈ √ Δ π ∑ ½ ¼ ¾ ✓ □ – — “ ” ‘ ’ • ‰ ′ ″ ⌀ €",
      "Đặng Nguyễn Phượng Trần Ẫ Ữ ợ",
      "e\xCC\x82\xCC\x83 decomposed",
      "Ђура Щёлоков Їжак Ґудзь",
      "Άννα Ωμέγα Ξένη Ζωή Γλαύκος",
      "Łódź Žižka Győr Şişli Ķīlis Ħal Þór Ølgod Ñandú Țară",
      "",
  };
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
    uint32_t codepoint = 0;
    if (pl_text_missing_glyph(fixture->arena, texts[i], &codepoint))
      fail_msg("U+%04X is missing in '%s'", (unsigned)codepoint, texts[i]);
  }
}

// ---------------------------------------------------------------- lines

static void assert_lines(const struct fixture *fixture, const char *text, double width,
                         const char *expected) {
  size_t count = 0;
  const char *const *const lines = pl_text_wrap(fixture->arena, text, 8, false, width, &count);
  struct pl_buffer joined = {.arena = fixture->arena};
  for (size_t i = 0; i < count; i++) {
    if (i > 0) pl_buffer_text(&joined, "|");
    pl_buffer_text(&joined, lines[i]);
  }
  assert_string_equal(pl_buffer_string(&joined), expected);
}

static void what_belongs_together_stays_together(void **state) {
  const struct fixture *const fixture = *state;
  const double share = pl_text_width("75 % clear 350 + 25", 8, false);
  assert_lines(fixture, "75 % clear 350 + 25 % clear 400", share,
               "75 % clear 350|+ 25 % clear 400");
  const double moved = pl_text_width("pack speed 919 →", 8, false);
  assert_lines(fixture, "pack speed 919 → 1050 mm/s", moved, "pack speed 919|→ 1050 mm/s");
  const double whole = pl_text_width("919 → 1050 mm/s", 8, false) + 0.01;
  assert_lines(fixture, "pack speed 919 → 1050 mm/s", whole, "pack speed|919 → 1050 mm/s");
  const double ports = pl_text_width("4 x 1.9 + 2 x", 8, false);
  assert_lines(fixture, "4 x 1.9 + 2 x 1.6 blow-off", ports, "4 x 1.9|+ 2 x 1.6|blow-off");
  assert_lines(fixture, "stroke 25 mm; bore", pl_text_width("stroke 25", 8, false),
               "stroke|25 mm;|bore");
  // A number and a word are not; nor is anything where a line has no room for both.
  assert_lines(fixture, "hole 2 clear", pl_text_width("hole 2", 8, false), "hole 2|clear");
  assert_lines(fixture, "25 mm", pl_text_width("25", 8, false), "25|m|m");
  assert_lines(fixture, "+ 25 %", pl_text_width("+ 25", 8, false), "+ 25|%");
}

static void lines_break_where_they_may(void **state) {
  const struct fixture *const fixture = *state;
  const double word = pl_text_width("front", 8, false);
  const double pair = pl_text_width("front front", 8, false);
  assert_lines(fixture, "front front", pair, "front front");
  assert_lines(fixture, "front front", pair - 0.001, "front|front");
  assert_lines(fixture, "front front", word, "front|front");
  assert_lines(fixture, "  front   front  ", 1000, "front   front");
  assert_lines(fixture, "", word, "");
  assert_lines(fixture, "   ", word, "");
  assert_lines(fixture, "a\nb", word, "a|b");
  assert_lines(fixture, "a\n\nb\n", word, "a||b|");
  assert_lines(fixture, "front frontfront front", word, "front|front|front|front");
  assert_lines(fixture, "ab", 0, "a|b");
  assert_lines(fixture, "ab", -1, "a|b");
  // A space that forbids a break is none; the word is then too wide for one line.
  const double forbidden = pl_text_width("front\u00A0fro", 8, false);
  assert_lines(fixture, "front\u00A0front", forbidden, "front\u00A0fro|nt");
  // A word that is too wide is broken at its joints, but not within a number.
  const double joint = pl_text_width("front-lef", 8, false);
  assert_lines(fixture, "front-left", joint, "front-|left");
  assert_lines(fixture, "rear/front_left", pl_text_width("front_left", 8, false),
               "rear/|front_left");
  assert_lines(fixture, "damper.bore", pl_text_width("damper.bo", 8, false), "damper.|bore");
  assert_lines(fixture, "вісь-вісь", pl_text_width("вісь-в", 8, false), "вісь-|вісь");
  assert_lines(fixture, "12.3456", pl_text_width("12.34", 8, false), "12.34|56");
  assert_lines(fixture, "-left", pl_text_width("-le", 8, false), "-le|ft");
  assert_lines(fixture, "bo-\u00A0bo", pl_text_width("bo-\u00A0b", 8, false), "bo-\u00A0b|o");
  assert_lines(fixture, "endless-endless", pl_text_width("endle", 8, false),
               "endle|ss-|endle|ss");
  // A letter and its mark stay together, although the mark has no joined form.
  assert_lines(fixture, "xx\u0302xx\u0302", pl_text_width("xx", 8, false),
               "x|x\u0302|x|x\u0302");
}

/// A text of random words, some long, some of several scripts, and spaces.
static const char *random_text(const struct fixture *fixture, struct pl_chance *chance) {
  static const char *const pieces[] = {"a",  "i", "W",       "m", "1",      ".",  "é", "ễ",
                                       "Щ",  "ω", "x\u0302", "→", "\u00A0", " ",  " ", " ",
                                       "  ", "N", "/",       "q", "\u2009", "\n", "ß", "№"};
  struct pl_buffer text = {.arena = fixture->arena};
  const size_t count = (size_t)pl_chance_between(chance, 0, 120);
  for (size_t i = 0; i < count; i++) {
    const uint64_t pick = pl_chance_bits(chance) % (sizeof pieces / sizeof *pieces);
    pl_buffer_text(&text, pieces[pick]);
  }
  return pl_buffer_string(&text);
}

static bool is_breaking_space(const char *text) {
  return *text == ' ' || *text == '\n' || strncmp(text, "\u2009", 3) == 0;
}

/// The text without the spaces and line ends at which it may be broken.
static const char *without_spaces(const struct fixture *fixture, const char *text) {
  struct pl_buffer kept = {.arena = fixture->arena};
  while (*text != '\0') {
    if (!is_breaking_space(text)) pl_buffer_add(&kept, text, 1);
    text += strncmp(text, "\u2009", 3) == 0 ? 3 : 1;
  }
  return pl_buffer_string(&kept);
}

/// The length of the first word of a line.
static size_t first_word(const char *line) {
  size_t length = 0;
  while (line[length] != '\0' && !is_breaking_space(line + length)) length++;
  return length;
}

/// At most one character that a reader sees.
static bool is_one_character(const char *line) {
  size_t seen = 0;
  size_t bytes = 0;
  for (; *line != '\0'; line += bytes) {
    if (pl_next_codepoint(line, &bytes) != 0x0302) seen++;
  }
  return seen <= 1;
}

/// What became something that became something, without an end, fills its lines and no stack.
static void endless_becoming_takes_no_room(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_buffer text = {.arena = fixture->arena};
  for (int i = 0; i < 100000; i++) pl_buffer_text(&text, "1 → ");
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(fixture->arena, pl_buffer_string(&text), 8, false, 100, &count);
  assert_in_range(count, 1000, 20000);
  assert_true(pl_text_width(lines[0], 8, false) > 80);
}

static void wrapping_loses_nothing_and_keeps_to_the_width(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_chance chance = {.state = 7};
  for (int round = 0; round < 2000; round++) {
    const char *const text = random_text(fixture, &chance);
    const double width = pl_chance_scale(&chance, 0.5, 80);
    const double size = pl_chance_between(&chance, 6, 14);
    const bool bold = pl_chance_bits(&chance) % 2 == 0;
    size_t count = 0;
    const char *const *const lines =
        pl_text_wrap(fixture->arena, text, size, bold, width, &count);
    assert_true(count >= 1);
    struct pl_buffer joined = {.arena = fixture->arena};
    for (size_t i = 0; i < count; i++) {
      pl_buffer_text(&joined, lines[i]);
      if (pl_text_width(lines[i], size, bold) > width && !is_one_character(lines[i]))
        fail_msg("'%s' is wider than %.3f", lines[i], width);
      assert_false(is_breaking_space(lines[i]));
    }
    assert_string_equal(without_spaces(fixture, pl_buffer_string(&joined)),
                        without_spaces(fixture, text));
  }
}

static void lines_are_as_full_as_they_can_be(void **state) {
  const struct fixture *const fixture = *state;
  struct pl_chance chance = {.state = 11};
  size_t looked_at = 0;
  for (int round = 0; round < 500; round++) {
    // One paragraph with single spaces, so that a line and the next word join by one space.
    struct pl_buffer text = {.arena = fixture->arena};
    for (int word = 0; word < 12; word++) {
      if (word > 0) pl_buffer_text(&text, " ");
      const size_t length = 1 + pl_chance_below(&chance, 9);
      for (size_t i = 0; i < length; i++) pl_buffer_text(&text, "w");
    }
    const double width = pl_chance_between(&chance, pl_text_width("wwwwwwwww", 8, false), 60);
    size_t count = 0;
    const char *const *const lines =
        pl_text_wrap(fixture->arena, pl_buffer_string(&text), 8, false, width, &count);
    struct pl_buffer joined = {.arena = fixture->arena};
    for (size_t i = 0; i < count; i++) {
      if (i > 0) pl_buffer_text(&joined, " ");
      pl_buffer_text(&joined, lines[i]);
    }
    // No word is broken, since each fits a line.
    assert_string_equal(pl_buffer_string(&joined), pl_buffer_string(&text));
    for (size_t i = 0; i + 1 < count; i++) {
      const char *const longer = pl_format(fixture->arena, "%s %.*s", lines[i],
                                           (int)first_word(lines[i + 1]), lines[i + 1]);
      assert_true(pl_text_width(longer, 8, false) > width);
      looked_at++;
    }
  }
  assert_true(looked_at > 500);
}

// ---------------------------------------------------------------- sizes that fit

static void fitted_size_is_the_largest(void **state) {
  (void)state;
  const char *const text = "A rather long name of a rather long shock absorber";
  struct pl_chance chance = {.state = 3};
  size_t wrapped = 0;
  size_t shrunk = 0;
  for (int round = 0; round < 1000; round++) {
    const double size = pl_chance_between(&chance, 6, 20);
    const double width = pl_chance_between(&chance, 1, 160);
    const double fitted = pl_text_fit(text, size, false, width);
    if (fitted == 0) {
      assert_true(pl_text_width(text, PL_TYPE_FLOOR, false) > width);
      wrapped++;
    } else {
      assert_true(fitted >= PL_TYPE_FLOOR && fitted <= size);
      assert_true(pl_text_width(text, fitted, false) <= width);
      if (fitted < size) {
        assert_true(fitted + 0.1 > size || pl_text_width(text, fitted + 0.1, false) > width);
        shrunk++;
      }
    }
  }
  assert_true(wrapped > 50);
  assert_true(shrunk > 50);
  assert_true(pl_text_fit("", 8, false, 0) == 8);
  assert_true(pl_text_fit("fits", 4, false, 100) == 4);
  assert_true(pl_text_fit("too wide", 4, false, 1) == 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(faces_have_the_same_characters_in_order),
      TEST(digits_are_of_one_width),
      TEST(widths_are_the_font_package_s),
      TEST(heights_are_the_font_package_s),
      TEST(widths_add_up_and_grow_with_the_size),
      TEST(normal_form_c),
      TEST(every_character_is_normalised),
      TEST(endless_marks_take_no_time),
      TEST(missing_glyphs_are_named),
      TEST(signs_and_scripts_are_there),
      TEST(lines_break_where_they_may),
      TEST(what_belongs_together_stays_together),
      TEST(endless_becoming_takes_no_room),
      TEST(wrapping_loses_nothing_and_keeps_to_the_width),
      TEST(lines_are_as_full_as_they_can_be),
      TEST(fitted_size_is_the_largest),
  };
  return cmocka_run_group_tests_name("sheet text", tests, NULL, NULL);
}
