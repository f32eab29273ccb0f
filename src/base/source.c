// SPDX-License-Identifier: GPL-3.0-or-later
// Source text: positions of spans.
#include "pitleaf/base.h"

struct pl_position pl_position(struct pl_span span) {
  struct pl_position position = {1, 1};
  if (span.source == NULL) return position;
  const unsigned char *const bytes = span.source->bytes;
  for (uint32_t i = 0; i < span.start && i < span.source->length; i++) {
    if (bytes[i] == '\n') {
      position.line++;
      position.column = 1;
    } else if ((bytes[i] & 0xC0) != 0x80) { // not a continuation byte: a new character
      position.column++;
    }
  }
  return position;
}

struct pl_span pl_span_join(struct pl_span first, struct pl_span last) {
  struct pl_span joined = first;
  if (first.source == NULL) return last;
  if (last.source == first.source && last.end > first.end) joined.end = last.end;
  return joined;
}
