// SPDX-License-Identifier: GPL-3.0-or-later
// Texts on their way into a file: what the lexer takes apart, put together.
#include "pitleaf/syntax.h"

void pl_buffer_quoted(struct pl_buffer *out, const char *text) {
  pl_buffer_text(out, "\"");
  for (const char *next = text; *next != '\0'; next++) {
    const unsigned char byte = (unsigned char)*next;
    if (byte == '\n')
      pl_buffer_text(out, "\\n");
    else if (byte == '\t')
      pl_buffer_text(out, "\\t");
    else if (byte < ' ' || byte == 0x7F)
      pl_buffer_format(out, "\\u{%x}", (unsigned)byte);
    else {
      if (byte == '"' || byte == '\\') pl_buffer_text(out, "\\");
      pl_buffer_add(out, next, 1);
    }
  }
  pl_buffer_text(out, "\"");
}
