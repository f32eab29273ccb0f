// SPDX-License-Identifier: GPL-3.0-or-later
// Comparing doubles in tests: with a relative tolerance, and with both values in the message.
// Include it after cmocka.h.
#ifndef PITLEAF_TESTS_NEAR_H
#define PITLEAF_TESTS_NEAR_H

#include <math.h>
#include <stdbool.h>

// NaN is near nothing; infinity is near itself alone.
static inline bool pl_near(double got, double expected, double allowed) {
  return got == expected || fabs(got - expected) <= allowed;
}

static inline void pl_assert_near_at(double got, double expected, double allowed,
                                     const char *what, const char *file, int line) {
  if (pl_near(got, expected, allowed)) return;
  print_error("%s\n  got      %.17g\n  expected %.17g\n  differs by %.3g, allowed %.3g\n", what,
              got, expected, fabs(got - expected), allowed);
  _fail(file, line);
}

// The published value is printed beside what came out, so that the log of a run shows every
// check from outside.
static inline void pl_assert_published_at(const char *what, double got, double expected,
                                          double allowed, const char *file, int line) {
  print_message("  %-58s expected %-14.8g got %-14.8g off by %.1e of it\n", what, expected, got,
                expected == 0.0 ? fabs(got) : fabs(got / expected - 1.0));
  pl_assert_near_at(got, expected, allowed, what, file, line);
}

/// `got` differs from `expected` by no more than `tolerance` times `expected`.
#define assert_near(got, expected, tolerance)                                                  \
  pl_assert_near_at((got), (expected), fabs((tolerance) * (expected)), #got, __FILE__, __LINE__)

/// `got` differs from `expected` by no more than `allowed`: for values about zero.
#define assert_within(got, expected, allowed)                                                  \
  pl_assert_near_at((got), (expected), (allowed), #got, __FILE__, __LINE__)

/// assert_near() of a published value; `what` says where it stands.
#define assert_published(what, got, expected, tolerance)                                       \
  pl_assert_published_at((what), (got), (expected), fabs((tolerance) * (expected)), __FILE__,  \
                         __LINE__)

/// assert_within() of a published value; `what` says where it stands.
#define assert_published_within(what, got, expected, allowed)                                  \
  pl_assert_published_at((what), (got), (expected), (allowed), __FILE__, __LINE__)

/// `got` is NaN: the answer to impossible inputs.
#define assert_nan(got) assert_true(isnan(got))

#endif
