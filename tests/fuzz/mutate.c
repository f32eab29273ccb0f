// SPDX-License-Identifier: GPL-3.0-or-later
// How inputs are changed beside libFuzzer's own ways: by what files of the language are made
// of. A number becomes another one, a line is doubled, or goes elsewhere in place of another.
#include "chance.h"

#include <stddef.h>
#include <stdint.h>
#include <string.h>

// NOLINTBEGIN(readability-identifier-naming): libFuzzer's names
size_t LLVMFuzzerMutate(uint8_t *bytes, size_t size, size_t room);
size_t LLVMFuzzerCustomMutator(uint8_t *bytes, size_t size, size_t room, unsigned seed);
// NOLINTEND(readability-identifier-naming)

/// Inputs are as short as `-max_len` says.
#define LONGEST ((size_t)8192)

/// A stretch of an input.
struct stretch {
  size_t start;
  size_t end;
};

static size_t below(struct pl_chance *chance, size_t limit) {
  return limit == 0 ? 0 : (size_t)(pl_chance_bits(chance) % limit);
}

/// Puts `text` in place of a stretch; the size after it, or the old one if there is no room.
static size_t replace(uint8_t *bytes, size_t size, size_t room, struct stretch old,
                      const void *text, size_t length) {
  const size_t rest = size - old.end;
  if (old.start + length + rest > room) return size;
  memmove(bytes + old.start + length, bytes + old.end, rest);
  memcpy(bytes + old.start, text, length);
  return old.start + length + rest;
}

static int is_digit(uint8_t byte) {
  return byte >= '0' && byte <= '9';
}

/// The first number from `at` on, or one of no length at the end.
static struct stretch number_from(const uint8_t *bytes, size_t size, size_t at) {
  while (at > 0 && at < size && is_digit(bytes[at]) && is_digit(bytes[at - 1])) at--;
  while (at < size && !is_digit(bytes[at])) at++;
  struct stretch number = {at, at};
  while (number.end < size && (is_digit(bytes[number.end]) || bytes[number.end] == '.'))
    number.end++;
  return number;
}

static size_t change_number(uint8_t *bytes, size_t size, size_t room,
                            struct pl_chance *chance) {
  static const char *const numbers[] = {
      "0",   "1",    "2",     "3",    "0.5",   "0.001",  "7",   "12",   "40",   "100",
      "360", "1000", "9999",  "1e-9", "1e-30", "1e-300", "1e9", "1e15", "1e30", "1e300",
      "-1",  "-0",   "-1000", "0.1",  "90",    "45",     "1.5", "25",   "250",  "64"};
  const struct stretch old = number_from(bytes, size, below(chance, size));
  if (old.end == old.start) return 0;
  const char *const text = numbers[below(chance, sizeof numbers / sizeof numbers[0])];
  return replace(bytes, size, room, old, text, strlen(text));
}

static struct stretch line_at(const uint8_t *bytes, size_t size, size_t at) {
  struct stretch line = {at, at};
  while (line.start > 0 && bytes[line.start - 1] != '\n') line.start--;
  while (line.end < size && bytes[line.end] != '\n') line.end++;
  if (line.end < size) line.end++;
  return line;
}

static size_t change_line(uint8_t *bytes, size_t size, size_t room, struct pl_chance *chance) {
  uint8_t text[LONGEST];
  const struct stretch one = line_at(bytes, size, below(chance, size));
  struct stretch other = line_at(bytes, size, below(chance, size));
  const size_t length = one.end - one.start;
  if (length > sizeof text) return 0;
  memcpy(text, bytes + one.start, length);
  if (below(chance, 2) == 0) other.end = other.start; // it goes between
  return replace(bytes, size, room, other, text, length);
}

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer's name
size_t LLVMFuzzerCustomMutator(uint8_t *bytes, size_t size, size_t room, unsigned seed) {
  struct pl_chance chance = {seed};
  size_t changed = 0;
  switch (below(&chance, 4)) {
  case 0: changed = size == 0 ? 0 : change_number(bytes, size, room, &chance); break;
  case 1: changed = size == 0 ? 0 : change_line(bytes, size, room, &chance); break;
  default: break;
  }
  return changed == 0 ? LLVMFuzzerMutate(bytes, size, room) : changed;
}
