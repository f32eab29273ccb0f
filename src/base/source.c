// SPDX-License-Identifier: GPL-3.0-or-later
// Source text: positions of spans.
#include "pitleaf/base.h"

#include <string.h>

/// Every so many bytes a source has a mark: near enough that counting from one takes no time,
/// far enough apart that they take no room.
#define MARK_EVERY ((size_t)512)

/// Is byte `at` the start of the mark that some editors put first (U+FEFF)? No editor counts
/// it.
static bool begins_with_mark(const unsigned char *bytes, size_t at) {
  return at == 0 && bytes[0] == 0xEF && bytes[1] == 0xBB && bytes[2] == 0xBF;
}

/// Counts on from `position`, which is that of byte `from`, to byte `to`.
static struct pl_position counted(const unsigned char *bytes, struct pl_position position,
                                  size_t from, size_t to) {
  const unsigned char *end = memchr(bytes + from, '\n', to - from);
  for (; end != NULL; end = memchr(bytes + from, '\n', to - from)) {
    from = (size_t)(end - bytes) + 1;
    position.line++;
    position.column = 1;
  }
  for (size_t i = from; i < to; i++) {
    // Not a continuation byte: a new character.
    if ((bytes[i] & 0xC0) != 0x80 && !begins_with_mark(bytes, i)) position.column++;
  }
  return position;
}

void pl_source_mark(struct pl_arena *arena, struct pl_source *source) {
  const size_t count = source->length / MARK_EVERY + 1;
  struct pl_position *const marked = pl_alloc_array(arena, count, sizeof *marked);
  marked[0] = (struct pl_position){1, 1};
  for (size_t i = 1; i < count; i++)
    marked[i] = counted(source->bytes, marked[i - 1], (i - 1) * MARK_EVERY, i * MARK_EVERY);
  source->marked = marked;
}

struct pl_position pl_position(struct pl_span span) {
  const struct pl_position first = {1, 1};
  const struct pl_source *const source = span.source;
  if (source == NULL) return first;
  const size_t to = span.start < source->length ? span.start : source->length;
  if (source->marked == NULL) return counted(source->bytes, first, 0, to);
  const size_t mark = to / MARK_EVERY;
  return counted(source->bytes, source->marked[mark], mark * MARK_EVERY, to);
}

struct pl_span pl_span_join(struct pl_span first, struct pl_span last) {
  struct pl_span joined = first;
  if (first.source == NULL) return last;
  if (last.source == first.source && last.end > first.end) joined.end = last.end;
  return joined;
}
