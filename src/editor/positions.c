// SPDX-License-Identifier: GPL-3.0-or-later
// Positions of the protocol: lines and UTF-16 code units, both counted from 0.
#include "room.h"

/// The byte behind the line end that begins at `at`; `at` itself where none begins.
static size_t behind_line_end(const unsigned char *bytes, size_t length, size_t at) {
  if (bytes[at] == '\n') return at + 1;
  if (bytes[at] != '\r') return at;
  return at + 1 < length && bytes[at + 1] == '\n' ? at + 2 : at + 1;
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

uint32_t byte_at(const struct lines *lines, json_int_t line, json_int_t character) {
  if (line < 0) return 0;
  if ((uint64_t)line >= lines->count) return (uint32_t)lines->length;
  const uint32_t end = end_of_line(lines, (size_t)line);
  uint32_t at = lines->starts[line];
  json_int_t units = 0;
  while (at < end && units < character) {
    units += units_of(lines->bytes[at++]);
    while (at < end && (lines->bytes[at] & 0xC0) == 0x80) at++;
  }
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
  *character = units_between(lines->bytes, lines->starts[low], byte);
}
