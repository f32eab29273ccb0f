// SPDX-License-Identifier: GPL-3.0-or-later
// Texts on their way into a file, where what the lexer takes apart is put together, and into a
// message.
#include "pitleaf/syntax.h"

void pl_buffer_quoted(struct pl_buffer *out, const char *text) {
  pl_buffer_text(out, "\"");
  for (const char *next = text; *next != '\0'; next++) {
    if (*next == '\n')
      pl_buffer_text(out, "\\n");
    else if (*next == '\t')
      pl_buffer_text(out, "\\t");
    else {
      if (*next == '"' || *next == '\\') pl_buffer_text(out, "\\");
      pl_buffer_add(out, next, 1);
    }
  }
  pl_buffer_text(out, "\"");
}

static bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/// A text on one line. Where it takes more bytes than `most`, "…" stands for the rest.
static const char *on_one_line(struct pl_arena *arena, const char *text, size_t most) {
  struct pl_buffer line = {.arena = arena};
  for (const char *at = text; *at != '\0'; at++) {
    const bool starts = ((unsigned char)*at & 0xC0) != 0x80;
    if (line.length >= most && starts) {
      pl_buffer_text(&line, "…");
      break;
    }
    if (!is_blank(*at))
      pl_buffer_add(&line, at, 1);
    else if (at == text || !is_blank(at[-1]))
      pl_buffer_add(&line, " ", 1);
  }
  return pl_buffer_string(&line);
}

const char *pl_span_line(struct pl_arena *arena, struct pl_span span) {
  return on_one_line(arena, pl_span_text(arena, span), SIZE_MAX);
}

/// Most bytes of a text that a problem shows: the line itself stands below it.
#define SHOWN_BYTES 60

const char *pl_span_shown(struct pl_arena *arena, struct pl_span span) {
  return on_one_line(arena, pl_span_text(arena, span), SHOWN_BYTES);
}
