// SPDX-License-Identifier: GPL-3.0-or-later
// Counts work: the compiler calls __sanitizer_cov_trace_pc in each basic block of the library
// (-fsanitize-coverage=trace-pc), and the linker sends here what goes through bytes (--wrap).
#include "work.h"

#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static uint64_t work;

uint64_t work_done(void) {
  return work;
}

static void count_bytes(size_t length) {
  work += 1 + length / 8;
}

// The names are the compiler's and the linker's.
// NOLINTBEGIN(bugprone-reserved-identifier,cert-dcl37-c,cert-dcl51-cpp,readability-identifier-naming)
void __sanitizer_cov_trace_pc(void);
void __sanitizer_cov_trace_pc(void) {
  work++;
}

#define WRAPPED(type, name, ...)                                                               \
  type __real_##name(__VA_ARGS__);                                                             \
  type __wrap_##name(__VA_ARGS__);                                                             \
  type __wrap_##name(__VA_ARGS__)

WRAPPED(void *, memcpy, void *to, const void *from, size_t length) {
  count_bytes(length);
  return __real_memcpy(to, from, length);
}

WRAPPED(void *, memmove, void *to, const void *from, size_t length) {
  count_bytes(length);
  return __real_memmove(to, from, length);
}

WRAPPED(void *, memset, void *to, int byte, size_t length) {
  count_bytes(length);
  return __real_memset(to, byte, length);
}

WRAPPED(int, memcmp, const void *one, const void *other, size_t length) {
  count_bytes(length);
  return __real_memcmp(one, other, length);
}

WRAPPED(void *, memchr, const void *in, int byte, size_t length) {
  const char *const found = __real_memchr(in, byte, length);
  count_bytes(found == NULL ? length : (size_t)(found - (const char *)in));
  return (void *)found;
}

WRAPPED(size_t, strlen, const char *text) {
  const size_t length = __real_strlen(text);
  count_bytes(length);
  return length;
}

/// Bytes in which two texts begin alike, of so many.
static size_t alike(const char *one, const char *other, size_t most) {
  size_t length = 0;
  while (length < most && one[length] != '\0' && one[length] == other[length]) length++;
  return length;
}

WRAPPED(int, strcmp, const char *one, const char *other) {
  count_bytes(alike(one, other, SIZE_MAX));
  return __real_strcmp(one, other);
}

WRAPPED(int, strncmp, const char *one, const char *other, size_t length) {
  count_bytes(alike(one, other, length));
  return __real_strncmp(one, other, length);
}

WRAPPED(char *, strchr, const char *text, int byte) {
  char *const found = __real_strchr(text, byte);
  count_bytes(found == NULL ? __real_strlen(text) : (size_t)(found - text));
  return found;
}

WRAPPED(char *, strrchr, const char *text, int byte) {
  count_bytes(__real_strlen(text));
  return __real_strrchr(text, byte);
}

WRAPPED(char *, strstr, const char *text, const char *part) {
  char *const found = __real_strstr(text, part);
  count_bytes(found == NULL ? __real_strlen(text) : (size_t)(found - text));
  return found;
}

WRAPPED(size_t, strspn, const char *text, const char *bytes) {
  const size_t length = __real_strspn(text, bytes);
  count_bytes(length);
  return length;
}

WRAPPED(size_t, strcspn, const char *text, const char *bytes) {
  const size_t length = __real_strcspn(text, bytes);
  count_bytes(length);
  return length;
}

WRAPPED(char *, strpbrk, const char *text, const char *bytes) {
  count_bytes(__real_strcspn(text, bytes));
  return __real_strpbrk(text, bytes);
}

/// It looks for the end of the text first.
WRAPPED(double, strtod, const char *text, char **end) {
  count_bytes(__real_strlen(text));
  return __real_strtod(text, end);
}

WRAPPED(void *, calloc, size_t count, size_t size) {
  count_bytes(count * size);
  return __real_calloc(count, size);
}

WRAPPED(int, vsnprintf, char *to, size_t room, const char *format, va_list words) {
  const int length = __real_vsnprintf(to, room, format, words);
  count_bytes(length < 0 ? 0 : (size_t)length);
  return length;
}
// NOLINTEND(bugprone-reserved-identifier,cert-dcl37-c,cert-dcl51-cpp,readability-identifier-naming)
