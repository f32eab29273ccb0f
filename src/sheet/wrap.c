// SPDX-License-Identifier: GPL-3.0-or-later
// Breaking a text into lines of a given width.
#include "pitleaf/sheet.h"

#include <string.h>
#include <utf8proc.h>

#include "text.h"

/// A line in the making is the bytes from `start` up to but not including `end`.
struct wrapping {
  struct pl_arena *arena;
  double size;
  bool bold;
  double width;
  const char **lines;
  size_t count;
  size_t capacity;
  const char *start;
  const char *end;
  size_t advance; ///< of the line so far
};

/// A space at which a line may be broken: not the ones that are there to forbid it (U+00A0,
/// U+202F, and the figure space U+2007).
static bool is_space(uint32_t codepoint) {
  return codepoint == ' ' ||
         (codepoint >= 0x2002 && codepoint <= 0x200A && codepoint != 0x2007);
}

static bool fits(const struct wrapping *wrapping, size_t advance) {
  return pl_advance_width(advance, wrapping->size) <= wrapping->width;
}

static void end_line(struct wrapping *wrapping) {
  wrapping->lines = pl_grow(wrapping->arena, (void *)wrapping->lines, wrapping->count,
                            &wrapping->capacity, sizeof(const char *));
  wrapping->lines[wrapping->count++] =
      pl_copy_text(wrapping->arena, wrapping->start, (size_t)(wrapping->end - wrapping->start));
}

static void begin_line(struct wrapping *wrapping, const char *start) {
  wrapping->start = start;
  wrapping->end = start;
  wrapping->advance = 0;
}

/// The end of the character that a reader sees at `text` (a letter and its marks).
static const char *grapheme_end(const char *text, const char *end, bool bold, size_t *advance) {
  size_t bytes = 0;
  utf8proc_int32_t state = 0;
  uint32_t before = pl_next_codepoint(text, &bytes);
  const char *next = text + bytes;
  *advance = pl_glyph_advance(before, bold);
  while (next < end) {
    const uint32_t codepoint = pl_next_codepoint(next, &bytes);
    if (utf8proc_grapheme_break_stateful((utf8proc_int32_t)before, (utf8proc_int32_t)codepoint,
                                         &state)) {
      break;
    }
    *advance += pl_glyph_advance(codepoint, bold);
    next += bytes;
    before = codepoint;
  }
  return next;
}

/// Puts a word on a new line, and breaks it where it is too wide for one; the last piece stays
/// open.
static void begin_word(struct wrapping *wrapping, const char *word, const char *end) {
  begin_line(wrapping, word);
  while (wrapping->end < end) {
    size_t advance = 0;
    const char *const next = grapheme_end(wrapping->end, end, wrapping->bold, &advance);
    if (wrapping->end > wrapping->start && !fits(wrapping, wrapping->advance + advance)) {
      end_line(wrapping);
      begin_line(wrapping, wrapping->end);
    }
    wrapping->end = next;
    wrapping->advance += advance;
  }
}

/// Puts a word, with the spaces that stand before it, on the line or on a new one.
static void add_word(struct wrapping *wrapping, const char *word, const char *end,
                     size_t space_advance, size_t word_advance) {
  const bool first = wrapping->end == wrapping->start;
  if (first) begin_line(wrapping, word);
  const size_t together = wrapping->advance + (first ? 0 : space_advance) + word_advance;
  if (fits(wrapping, together)) {
    wrapping->end = end;
    wrapping->advance = together;
    return;
  }
  if (!first) end_line(wrapping);
  begin_word(wrapping, word, end);
}

/// Wraps the text up to `end`, in which there is no line break.
static void wrap_paragraph(struct wrapping *wrapping, const char *text, const char *end) {
  begin_line(wrapping, text);
  const char *next = text;
  while (next < end) {
    size_t bytes = 0;
    size_t space_advance = 0;
    size_t word_advance = 0;
    uint32_t codepoint = pl_next_codepoint(next, &bytes);
    while (next < end && is_space(codepoint)) {
      space_advance += pl_glyph_advance(codepoint, wrapping->bold);
      next += bytes;
      codepoint = pl_next_codepoint(next, &bytes);
    }
    const char *const word = next;
    while (next < end && !is_space(codepoint)) {
      word_advance += pl_glyph_advance(codepoint, wrapping->bold);
      next += bytes;
      codepoint = pl_next_codepoint(next, &bytes);
    }
    if (next > word) add_word(wrapping, word, next, space_advance, word_advance);
  }
  end_line(wrapping);
}

const char *const *pl_text_wrap(struct pl_arena *arena, const char *text, double size,
                                bool bold, double width, size_t *count) {
  struct wrapping wrapping = {.arena = arena, .size = size, .bold = bold, .width = width};
  const char *rest = pl_text_normalise(arena, text);
  for (;;) {
    const size_t length = strcspn(rest, "\n");
    wrap_paragraph(&wrapping, rest, rest + length);
    if (rest[length] == '\0') break;
    rest += length + 1;
  }
  *count = wrapping.count;
  return wrapping.lines;
}
