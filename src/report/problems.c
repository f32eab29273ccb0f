// SPDX-License-Identifier: GPL-3.0-or-later
// Problems as text: place, what is wrong, the source line with the place underlined, the mend.
#include "pitleaf/report.h"

#include <string.h>
#include <utf8proc.h>

// ---------------------------------------------------------------- text on a terminal

/// Reads one character; a byte that is no UTF-8 counts as one that is shown by its value.
static size_t next_character(const char *text, size_t length, utf8proc_int32_t *code) {
  const utf8proc_ssize_t got =
      utf8proc_iterate((const utf8proc_uint8_t *)text, (utf8proc_ssize_t)length, code);
  if (got > 0) return (size_t)got;
  *code = -1;
  return 1;
}

static bool is_harmless(utf8proc_int32_t code) {
  if (code < 32 || code == 127) return false;
  const utf8proc_category_t category = utf8proc_category(code);
  return category != UTF8PROC_CATEGORY_CC && category != UTF8PROC_CATEGORY_CF &&
         category != UTF8PROC_CATEGORY_ZL && category != UTF8PROC_CATEGORY_ZP;
}

/// Adds `length` bytes of text, safe to show; returns the columns they take.
static size_t add_safe(struct pl_buffer *out, const char *text, size_t length) {
  size_t columns = 0;
  for (size_t at = 0; at < length;) {
    utf8proc_int32_t code = 0;
    const size_t size = next_character(text + at, length - at, &code);
    if (code == '\t' || code == '\r') {
      pl_buffer_text(out, code == '\t' ? " " : "");
      columns += code == '\t' ? 1 : 0;
    } else if (code < 0 || !is_harmless(code)) {
      const size_t before = out->length;
      if (code < 0)
        pl_buffer_format(out, "<%02X>", (unsigned char)text[at]);
      else
        pl_buffer_format(out, "<U+%04X>", (unsigned)code);
      columns += out->length - before;
    } else {
      pl_buffer_add(out, text + at, size);
      const int width = utf8proc_charwidth(code);
      columns += width > 0 ? (size_t)width : 0;
    }
    at += size;
  }
  return columns;
}

const char *pl_text_safe(struct pl_arena *arena, const char *text) {
  struct pl_buffer out = {.arena = arena};
  add_safe(&out, text, strlen(text));
  return pl_buffer_string(&out);
}

size_t pl_text_columns(const char *text) {
  size_t columns = 0;
  const size_t length = strlen(text);
  for (size_t at = 0; at < length;) {
    utf8proc_int32_t code = 0;
    at += next_character(text + at, length - at, &code);
    const int width = code < 0 ? 1 : utf8proc_charwidth(code);
    columns += width > 0 ? (size_t)width : 0;
  }
  return columns;
}

// ---------------------------------------------------------------- the source line

/// The part of a line that is shown: all of it, or a window around the place.
struct excerpt {
  size_t start;
  size_t end;
  bool cut_before;
  bool cut_behind;
};

/// Longest line that is shown whole, in bytes; what is longer was hardly typed.
#define SHOWN_LINE ((size_t)160)

static bool is_continuation(unsigned char byte) {
  return (byte & 0xC0) == 0x80;
}

static struct excerpt excerpt_of(const struct pl_source *source, struct pl_span span) {
  struct excerpt excerpt = {.start = span.start, .end = span.start};
  if (excerpt.start > source->length) excerpt.start = excerpt.end = source->length;
  const unsigned char *const bytes = source->bytes;
  while (excerpt.start > 0 && bytes[excerpt.start - 1] != '\n') {
    if (span.start - excerpt.start >= SHOWN_LINE / 2 &&
        !is_continuation(bytes[excerpt.start])) {
      excerpt.cut_before = true;
      break;
    }
    excerpt.start--;
  }
  // The mark that some editors put first; they show it as little as they count it.
  if (excerpt.start == 0 && span.start >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0)
    excerpt.start = 3;
  while (excerpt.end < source->length && bytes[excerpt.end] != '\n') {
    if (excerpt.end - excerpt.start >= SHOWN_LINE && !is_continuation(bytes[excerpt.end])) {
      excerpt.cut_behind = true;
      break;
    }
    excerpt.end++;
  }
  return excerpt;
}

static void add_source_line(struct pl_buffer *out, struct pl_span span,
                            const struct pl_text_style *style) {
  const struct excerpt excerpt = excerpt_of(span.source, span);
  const char *const bytes = (const char *)span.source->bytes;
  size_t from = span.start > excerpt.end ? excerpt.end : span.start;
  size_t to = span.end > excerpt.end ? excerpt.end : span.end;
  if (to < from) to = from;
  pl_buffer_text(out, excerpt.cut_before ? "    …" : "    ");
  size_t before = add_safe(out, bytes + excerpt.start, from - excerpt.start);
  if (excerpt.cut_before) before++;
  const size_t under = add_safe(out, bytes + from, to - from);
  add_safe(out, bytes + to, excerpt.end - to);
  pl_buffer_text(out, excerpt.cut_behind ? "…\n    " : "\n    ");
  pl_buffer_repeat(out, ' ', before);
  if (style->colour) pl_buffer_text(out, "\x1b[1m");
  pl_buffer_repeat(out, '^', under == 0 ? 1 : under);
  if (style->colour) pl_buffer_text(out, "\x1b[0m");
  pl_buffer_text(out, "\n");
}

// ---------------------------------------------------------------- the problem

static void add_place(struct pl_buffer *out, struct pl_span span) {
  const struct pl_position position = pl_position(span);
  add_safe(out, span.source->path, strlen(span.source->path));
  pl_buffer_format(out, ":%u:%u: ", position.line, position.column);
}

const char *pl_problem_text(struct pl_arena *arena, const struct pl_diagnostic *problem,
                            const struct pl_text_style *style) {
  const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[problem->code];
  const bool is_error = row->severity == PL_ERROR;
  struct pl_buffer out = {.arena = arena};
  if (problem->span.source != NULL)
    add_place(&out, problem->span);
  else
    pl_buffer_text(&out, "pitleaf: ");
  if (style->colour) pl_buffer_text(&out, is_error ? "\x1b[1;31m" : "\x1b[1;33m");
  pl_buffer_format(&out, "%s[%s]:", is_error ? "error" : "warning", row->code);
  if (style->colour) pl_buffer_text(&out, "\x1b[0m");
  pl_buffer_text(&out, " ");
  add_safe(&out, problem->message, strlen(problem->message));
  pl_buffer_text(&out, "\n");
  if (problem->span.source != NULL && problem->span.end > 0)
    add_source_line(&out, problem->span, style);
  if (problem->hint[0] != '\0') {
    pl_buffer_text(&out, "    ");
    add_safe(&out, problem->hint, strlen(problem->hint));
    pl_buffer_text(&out, "\n");
  }
  for (size_t i = 0; i < problem->related_count; i++) {
    pl_buffer_text(&out, "  ");
    add_place(&out, problem->related[i].span);
    add_safe(&out, problem->related[i].message, strlen(problem->related[i].message));
    pl_buffer_text(&out, "\n");
    add_source_line(&out, problem->related[i].span, style);
  }
  return pl_buffer_string(&out);
}
