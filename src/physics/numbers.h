// SPDX-License-Identifier: GPL-3.0-or-later
// Small arithmetic that the files of this folder share. NaN fails each test of a number.
#ifndef PITLEAF_PHYSICS_NUMBERS_H
#define PITLEAF_PHYSICS_NUMBERS_H

#include "pitleaf/physics.h"

#include <math.h>
#include <stdbool.h>

static inline bool pl_is_positive(double x) {
  return isfinite(x) && x > 0.0;
}

static inline bool pl_is_zero_or_more(double x) {
  return isfinite(x) && x >= 0.0;
}

static inline bool pl_is_share(double x) {
  return x >= 0.0 && x <= 1.0;
}

static inline double pl_square(double x) {
  return x * x;
}

static inline double pl_cube(double x) {
  return x * x * x;
}

// The area between two circles; factored, so that near ones lose no digits.
static inline double pl_ring_area(double outside, double inside) {
  return PL_PI / 4.0 * (outside - inside) * (outside + inside);
}

#endif
