// SPDX-License-Identifier: GPL-3.0-or-later
// Breaking a text into lines of a given width.
#include "pitleaf/sheet.h"

#include <string.h>
#include <utf8proc.h>

#include "text.h"

/// Longest unit in bytes, with a mark behind it: `in·lbf/°;`.
#define LONGEST_UNIT 12
/// A word of so many bytes with a mark behind it may be one: `mAh,`.
#define FEW_LETTERS 4

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

/// May a word be broken behind the character at `at`? At a hyphen, a stroke, a point and the
/// like between its parts, where a reader puts it together again.
static bool is_joint(const char *word, const char *at, const char *end) {
  if (at == word || at + 1 >= end || strchr("-/_.", *at) == NULL) return false;
  size_t bytes = 0;
  const utf8proc_category_t next =
      utf8proc_category((utf8proc_int32_t)pl_next_codepoint(at + 1, &bytes));
  return next >= UTF8PROC_CATEGORY_LU && next <= UTF8PROC_CATEGORY_LO;
}

/// Puts a word on a new line, and breaks it where it is too wide for one: at the last joint
/// that fits, else where the line ends. The last piece stays open.
static void begin_word(struct wrapping *wrapping, const char *word, const char *end) {
  const char *joint = NULL;
  begin_line(wrapping, word);
  while (wrapping->end < end) {
    size_t advance = 0;
    const char *const next = grapheme_end(wrapping->end, end, wrapping->bold, &advance);
    if (wrapping->end > wrapping->start && !fits(wrapping, wrapping->advance + advance)) {
      if (joint != NULL) wrapping->end = joint;
      joint = NULL;
      end_line(wrapping);
      begin_line(wrapping, wrapping->end);
      continue;
    }
    if (is_joint(word, wrapping->end, end)) joint = next;
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

/// A word with the spaces before it.
struct word {
  const char *start;
  const char *end;
  size_t space_advance;
  size_t advance;
};

/// The next word from `next` on; it is empty at the end of the paragraph.
static struct word next_word(const struct wrapping *wrapping, const char *next,
                             const char *end) {
  struct word word = {.start = end};
  size_t bytes = 0;
  for (; next < end; next += bytes) {
    const uint32_t codepoint = pl_next_codepoint(next, &bytes);
    if (!is_space(codepoint)) break;
    word.space_advance += pl_glyph_advance(codepoint, wrapping->bold);
  }
  word.start = next;
  for (; next < end; next += bytes) {
    const uint32_t codepoint = pl_next_codepoint(next, &bytes);
    if (is_space(codepoint)) break;
    word.advance += pl_glyph_advance(codepoint, wrapping->bold);
  }
  word.end = next;
  return word;
}

static bool is_letter(char character) {
  return (character >= 'a' && character <= 'z') || (character >= 'A' && character <= 'Z');
}

/// Could the word be a unit? `%`, `°C`, `mm`, `N/mm;`: a sign, a quotient or a few letters.
static bool is_unit(const struct word *word) {
  const size_t length = (size_t)(word->end - word->start);
  if (length == 0 || length > LONGEST_UNIT) return false;
  if (word->start[0] == '%' || strncmp(word->start, "°", strlen("°")) == 0) return true;
  return is_letter(word->start[0]) &&
         (length <= FEW_LETTERS || memchr(word->start, '/', length) != NULL);
}

static bool is_word(const struct word *word, const char *text) {
  const size_t length = (size_t)(word->end - word->start);
  return length == strlen(text) && strncmp(word->start, text, length) == 0;
}

/// Is the word one that stands before what it belongs to?
static bool is_sign(const struct word *word) {
  return is_word(word, "+") || is_word(word, "→") || is_word(word, "x") || is_word(word, "×");
}

/// Do two words belong together: a number and its unit, a sign and what follows it?
static bool are_joined(const struct word *word, const struct word *next) {
  if (next->start == next->end) return false;
  const char last = word->end[-1];
  return is_sign(word) || (last >= '0' && last <= '9' && is_unit(next));
}

/// The word with all that belongs to it, as far as a line has room for them together. A number
/// goes with what it became only if that is whole with its unit, and so on with what that
/// became: `starts` is false for what stands behind an arrow, which goes to the next one.
static struct word joined_words(const struct wrapping *wrapping, struct word word,
                                const char *end, bool starts) {
  struct word last = word;
  for (;;) {
    struct word next = next_word(wrapping, last.end, end);
    const char digit = last.end[-1];
    const bool became = starts && digit >= '0' && digit <= '9' && is_word(&next, "→");
    if (became) next = joined_words(wrapping, next, end, false);
    const size_t together = word.advance + next.space_advance + next.advance;
    if (!(became || are_joined(&last, &next)) || !fits(wrapping, together)) return word;
    word.advance = together;
    word.end = next.end;
    last = next;
  }
}

/// Wraps the text up to `end`, in which there is no line break.
static void wrap_paragraph(struct wrapping *wrapping, const char *text, const char *end) {
  begin_line(wrapping, text);
  struct word word = next_word(wrapping, text, end);
  while (word.end > word.start) {
    word = joined_words(wrapping, word, end, true);
    add_word(wrapping, word.start, word.end, word.space_advance, word.advance);
    word = next_word(wrapping, word.end, end);
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
