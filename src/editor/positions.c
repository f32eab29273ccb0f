// SPDX-License-Identifier: GPL-3.0-or-later
// Positions of the protocol: lines and UTF-16 code units, both counted from 0.
#include "room.h"

/// Bytes from one mark to the next: near enough to count from, far enough to be few.
#define MARK_DISTANCE ((size_t)256)

/// The byte behind the line end that begins at `at`; `at` itself where none begins.
static size_t behind_line_end(const unsigned char *bytes, size_t length, size_t at) {
  if (bytes[at] == '\n') return at + 1;
  if (bytes[at] != '\r') return at;
  return at + 1 < length && bytes[at + 1] == '\n' ? at + 2 : at + 1;
}

/// The UTF-16 code units that a byte begins: none within a character, two for one outside the
/// basic plane.
static uint32_t units_of(unsigned char byte) {
  if ((byte & 0xC0) == 0x80) return 0;
  return byte >= 0xF0 ? 2 : 1;
}

uint32_t units_between(const unsigned char *bytes, uint32_t start, uint32_t end) {
  uint32_t units = 0;
  for (uint32_t at = start; at < end; at++) units += units_of(bytes[at]);
  return units;
}

/// Counts the code units of the whole text, and notes the number at every mark.
static uint32_t *marks_of(struct pl_arena *arena, const unsigned char *bytes, size_t length) {
  uint32_t *const marks = pl_alloc_array(arena, length / MARK_DISTANCE + 1, sizeof *marks);
  for (size_t at = MARK_DISTANCE; at <= length; at += MARK_DISTANCE) {
    const uint32_t end = (uint32_t)at;
    marks[at / MARK_DISTANCE] = marks[at / MARK_DISTANCE - 1] +
                                units_between(bytes, end - (uint32_t)MARK_DISTANCE, end);
  }
  return marks;
}

struct lines lines_of(struct pl_arena *arena, const unsigned char *bytes, size_t length) {
  size_t count = 1;
  for (size_t at = 0; at < length; at++) count += bytes[at] == '\n' || bytes[at] == '\r';
  struct lines lines = {.bytes = bytes, .length = length, .count = 1};
  lines.starts = pl_alloc_array(arena, count, sizeof *lines.starts);
  for (size_t at = 0; at < length;) {
    const size_t next = behind_line_end(bytes, length, at);
    if (next != at) lines.starts[lines.count++] = (uint32_t)next;
    at = next == at ? at + 1 : next;
  }
  lines.marks = marks_of(arena, bytes, length);
  return lines;
}

/// Where a line ends, without its line end.
static uint32_t end_of_line(const struct lines *lines, size_t line) {
  if (line + 1 >= lines->count) return (uint32_t)lines->length;
  uint32_t end = lines->starts[line + 1];
  while (end > lines->starts[line] &&
         (lines->bytes[end - 1] == '\n' || lines->bytes[end - 1] == '\r'))
    end--;
  return end;
}

/// The code units before a byte, from the beginning of the text.
static uint32_t units_before(const struct lines *lines, uint32_t byte) {
  const uint32_t mark = byte - byte % (uint32_t)MARK_DISTANCE;
  return lines->marks[mark / MARK_DISTANCE] + units_between(lines->bytes, mark, byte);
}

uint32_t byte_at(const struct lines *lines, json_int_t line, json_int_t character) {
  if (line < 0) return 0;
  if ((uint64_t)line >= lines->count) return (uint32_t)lines->length;
  const uint32_t end = end_of_line(lines, (size_t)line);
  uint32_t at = lines->starts[line];
  const uint32_t before = units_before(lines, at);
  json_int_t units = 0;
  for (size_t mark = at / MARK_DISTANCE + 1; mark * MARK_DISTANCE <= end; mark++) {
    if ((json_int_t)(lines->marks[mark] - before) > character) break;
    at = (uint32_t)(mark * MARK_DISTANCE);
    units = lines->marks[mark] - before;
  }
  // A mark may stand within a character, which is counted already.
  while (at < end && (units < character || (lines->bytes[at] & 0xC0) == 0x80))
    units += units_of(lines->bytes[at++]);
  return at;
}

void position_at(const struct lines *lines, uint32_t byte, uint32_t *line,
                 uint32_t *character) {
  size_t low = 0;
  for (size_t high = lines->count; high - low > 1;) {
    const size_t middle = low + (high - low) / 2;
    if (lines->starts[middle] <= byte)
      low = middle;
    else
      high = middle;
  }
  *line = (uint32_t)low;
  // Within a line's end there is no position but its beginning.
  const uint32_t end = end_of_line(lines, low);
  if (byte > end) byte = end;
  *character = units_before(lines, byte) - units_before(lines, lines->starts[low]);
}
