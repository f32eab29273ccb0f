// SPDX-License-Identifier: GPL-3.0-or-later
// Texts on their way into a file: what the lexer takes apart, put together.
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
