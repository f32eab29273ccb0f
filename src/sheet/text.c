// SPDX-License-Identifier: GPL-3.0-or-later
// Text before it is placed: normal form, the characters of the font, and widths.
#include "font.h"
#include "pitleaf/sheet.h"

#include <string.h>
#include <utf8proc.h>

#include "text.h"

/// A code point of text that is not UTF-8 (REPLACEMENT CHARACTER); no face has it.
static const uint32_t not_text = 0xFFFD;

/// Characters that are in normal form C as they stand, whatever is beside them (Unicode
/// Standard Annex 15, Quick_Check is Yes and none is a combining mark): what Europe writes, and
/// the dashes, minus signs, arrows and the like of a sheet.
static bool is_plain(uint32_t codepoint) {
  return codepoint < 0x0300 || (codepoint >= 0x2002 && codepoint <= 0x20CF) ||
         (codepoint >= 0x2190 && codepoint <= 0x2328);
}

/// Most marks in a row that any writing needs (Unicode Standard Annex 15, Stream-Safe Text
/// Format). Putting a longer row in order takes time by its square, so it is left alone; the
/// font lacks most marks that stand alone in any case.
static const size_t most_marks = 30;

/// Number of printable ASCII characters, the first entries of a face.
static const uint32_t ascii_count = 95;

uint32_t pl_next_codepoint(const char *text, size_t *bytes) {
  if ((unsigned char)*text < 0x80) {
    *bytes = 1;
    return (uint32_t)*text;
  }
  utf8proc_int32_t codepoint = 0;
  // At most four bytes are looked at, and none behind the NUL, which is no continuation byte.
  const utf8proc_ssize_t length = utf8proc_iterate(
      (const utf8proc_uint8_t *)text, (utf8proc_ssize_t)strnlen(text, 4), &codepoint);
  if (length <= 0) {
    *bytes = 1;
    return not_text;
  }
  *bytes = (size_t)length;
  return (uint32_t)codepoint;
}

/// Does the text have more marks in a row than any writing needs?
static bool is_overloaded(const char *text) {
  size_t marks = 0;
  size_t bytes = 0;
  for (const char *next = text; *next != '\0' && marks <= most_marks; next += bytes) {
    const utf8proc_int32_t codepoint = (utf8proc_int32_t)pl_next_codepoint(next, &bytes);
    marks = utf8proc_get_property(codepoint)->combining_class == 0 ? 0 : marks + 1;
  }
  return marks > most_marks;
}

/// The text with U+FFFD in place of each byte that is not UTF-8.
static const char *well_formed(struct pl_arena *arena, const char *text) {
  struct pl_buffer buffer = {.arena = arena};
  size_t bytes = 0;
  for (const char *next = text; *next != '\0'; next += bytes) {
    if (pl_next_codepoint(next, &bytes) == not_text) {
      pl_buffer_text(&buffer, "\xEF\xBF\xBD");
    } else {
      pl_buffer_add(&buffer, next, bytes);
    }
  }
  return pl_buffer_string(&buffer);
}

const char *pl_text_normalise(struct pl_arena *arena, const char *text) {
  bool plain = true;
  size_t bytes = 0;
  for (const char *next = text; *next != '\0' && plain; next += bytes) {
    plain = is_plain(pl_next_codepoint(next, &bytes));
  }
  if (plain) return text;

  const char *const whole = well_formed(arena, text);
  if (is_overloaded(whole)) return whole;
  const utf8proc_ssize_t length = (utf8proc_ssize_t)strlen(whole);
  const utf8proc_option_t form_c = UTF8PROC_STABLE | UTF8PROC_COMPOSE;
  const utf8proc_uint8_t *const source = (const utf8proc_uint8_t *)whole;
  const utf8proc_ssize_t count = utf8proc_decompose(source, length, NULL, 0, form_c);
  if (count < 0) return whole; // longer than utf8proc counts
  // One more, because the bytes are written over the code points, with a NUL behind.
  utf8proc_int32_t *const codepoints =
      pl_alloc_array(arena, (size_t)count + 1, sizeof *codepoints);
  if (utf8proc_decompose(source, length, codepoints, count, form_c) < 0) return whole;
  if (utf8proc_reencode(codepoints, count, form_c) < 0) return whole;
  return (const char *)codepoints;
}

/// The glyph of a character, or null.
static const struct pl_glyph *glyph_of(const struct pl_face *face, uint32_t codepoint) {
  if (codepoint - ' ' < ascii_count) return &face->glyphs[codepoint - ' '];
  size_t low = 0;
  size_t high = face->glyph_count;
  while (low < high) {
    const size_t middle = low + (high - low) / 2;
    const struct pl_glyph *const glyph = &face->glyphs[middle];
    if (glyph->codepoint == codepoint) return glyph;
    if (glyph->codepoint < codepoint) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return NULL;
}

size_t pl_glyph_advance(uint32_t codepoint, bool bold) {
  const struct pl_glyph *const glyph = glyph_of(&pl_faces[bold ? 1 : 0], codepoint);
  return glyph == NULL ? 500 : glyph->advance;
}

double pl_advance_width(size_t advance, double size) {
  return (double)advance * size * (25.4 / 72.0 / 1000.0);
}

/// The sum of the advances of a text.
static size_t text_advance(const char *text, bool bold) {
  size_t advance = 0;
  size_t bytes = 0;
  for (const char *next = text; *next != '\0'; next += bytes) {
    advance += pl_glyph_advance(pl_next_codepoint(next, &bytes), bold);
  }
  return advance;
}

double pl_text_width(const char *text, double size, bool bold) {
  return pl_advance_width(text_advance(text, bold), size);
}

struct pl_text_metrics pl_text_metrics(double size, bool bold) {
  const struct pl_face *const face = &pl_faces[bold ? 1 : 0];
  const double unit = pl_advance_width(1, size);
  return (struct pl_text_metrics){.ascent = face->ascent * unit,
                                  .descent = face->descent * unit,
                                  .cap_height = face->cap_height * unit,
                                  .x_height = face->x_height * unit};
}

bool pl_text_missing_glyph(struct pl_arena *arena, const char *text, uint32_t *codepoint) {
  size_t bytes = 0;
  for (const char *next = pl_text_normalise(arena, text); *next != '\0'; next += bytes) {
    const uint32_t character = pl_next_codepoint(next, &bytes);
    if (glyph_of(&pl_faces[0], character) == NULL) {
      *codepoint = character;
      return true;
    }
  }
  return false;
}

const char *pl_text_with_codes(struct pl_arena *arena, const char *text) {
  struct pl_buffer out = {.arena = arena};
  size_t bytes = 0;
  for (const char *next = pl_text_normalise(arena, text); *next != '\0'; next += bytes) {
    const uint32_t character = pl_next_codepoint(next, &bytes);
    if (glyph_of(&pl_faces[0], character) != NULL)
      pl_buffer_add(&out, next, bytes);
    else if (character == '\n' || character == '\t')
      pl_buffer_text(&out, " ");
    else
      pl_buffer_format(&out, "U+%04X ", (unsigned)character);
  }
  return pl_buffer_string(&out);
}

double pl_text_fit(const char *text, double size, bool bold, double width) {
  const size_t advance = text_advance(text, bold);
  if (pl_advance_width(advance, size) <= width) return size;
  // Tenths of a point, counted down in whole numbers so that no rounding piles up.
  const int floor_tenths = (int)(PL_TYPE_FLOOR * 10);
  const double start = size * 10;
  for (int tenths = start < 10000 ? (int)start : 10000; tenths >= floor_tenths; tenths--) {
    const double smaller = tenths / 10.0;
    if (pl_advance_width(advance, smaller) <= width) return smaller;
  }
  return 0;
}
