// SPDX-License-Identifier: GPL-3.0-or-later
// Dimensions: their arithmetic, and what a racer calls them.
#include "pitleaf/base.h"
#include "pitleaf/units.h"

#include <stdio.h>
#include <string.h>

bool pl_dimension_equal(struct pl_dimension a, struct pl_dimension b) {
  return a.length == b.length && a.mass == b.mass && a.time == b.time &&
         a.temperature == b.temperature && a.angle == b.angle;
}

static int8_t within_limit(int exponent, bool *overflow) {
  if (exponent >= -PL_MOST_EXPONENT && exponent <= PL_MOST_EXPONENT) return (int8_t)exponent;
  *overflow = true;
  return exponent < 0 ? (int8_t)-PL_MOST_EXPONENT : (int8_t)PL_MOST_EXPONENT;
}

struct pl_dimension pl_dimension_multiply(struct pl_dimension a, struct pl_dimension b,
                                          bool *overflow) {
  return (struct pl_dimension){
      .length = within_limit(a.length + b.length, overflow),
      .mass = within_limit(a.mass + b.mass, overflow),
      .time = within_limit(a.time + b.time, overflow),
      .temperature = within_limit(a.temperature + b.temperature, overflow),
      .angle = within_limit(a.angle + b.angle, overflow),
  };
}

struct pl_dimension pl_dimension_power(struct pl_dimension a, int power, bool *overflow) {
  // A power past the limit takes any exponent but 0 past it; cut off, it cannot overflow an
  // int.
  if (power > PL_MOST_EXPONENT + 1) power = PL_MOST_EXPONENT + 1;
  if (power < -PL_MOST_EXPONENT - 1) power = -PL_MOST_EXPONENT - 1;
  return (struct pl_dimension){
      .length = within_limit(a.length * power, overflow),
      .mass = within_limit(a.mass * power, overflow),
      .time = within_limit(a.time * power, overflow),
      .temperature = within_limit(a.temperature * power, overflow),
      .angle = within_limit(a.angle * power, overflow),
  };
}

bool pl_dimension_root(struct pl_dimension a, struct pl_dimension *root) {
  if (a.length % 2 != 0 || a.mass % 2 != 0 || a.time % 2 != 0 || a.temperature % 2 != 0 ||
      a.angle % 2 != 0)
    return false;
  *root = (struct pl_dimension){
      .length = (int8_t)(a.length / 2),
      .mass = (int8_t)(a.mass / 2),
      .time = (int8_t)(a.time / 2),
      .temperature = (int8_t)(a.temperature / 2),
      .angle = (int8_t)(a.angle / 2),
  };
  return true;
}

// ---------------------------------------------------------------- in words

struct named {
  struct pl_dimension dimension;
  const char *words;
};

/// Where two quantities share a dimension, the one that a racer meets has its name here.
static const struct named names[] = {
    // m, kg, s, K, rad
    {{0, 0, 0, 0, 0}, "a plain number"},
    {{1, 0, 0, 0, 0}, "a length"},
    {{2, 0, 0, 0, 0}, "an area"},
    {{3, 0, 0, 0, 0}, "a volume"},
    {{0, 1, 0, 0, 0}, "a mass"},
    {{0, 0, 1, 0, 0}, "a time"},
    {{0, 0, 0, 1, 0}, "a temperature"},
    {{0, 0, 0, 0, 1}, "an angle"},
    {{1, 0, -1, 0, 0}, "a speed"},
    {{1, 0, -2, 0, 0}, "an acceleration"},
    {{1, 1, -2, 0, 0}, "a force"},
    {{0, 1, -2, 0, 0}, "a spring rate"},
    {{0, 1, -1, 0, 0}, "a damping rate"},
    {{2, 1, -2, 0, 0}, "a torque"},
    {{2, 1, -3, 0, 0}, "a power"},
    {{2, 1, 0, 0, 0}, "a moment of inertia"},
    {{-1, 1, -2, 0, 0}, "a pressure"},
    {{-3, 1, 0, 0, 0}, "a density"},
    {{2, 0, -1, 0, 0}, "a kinematic viscosity"},
    {{-1, 1, -1, 0, 0}, "a dynamic viscosity"},
    {{3, 0, -1, 0, 0}, "a flow"},
    {{0, 0, -1, 0, 0}, "a frequency"},
    {{0, 0, 0, -1, 0}, "a thermal expansion"},
    {{-1, 0, 0, 0, 1}, "an angle per length"},
    {{0, 0, -1, 0, 1}, "an angular speed"},
    {{2, 1, -2, 0, -1}, "a roll rate"},
};

/// Adds to a text; what does not fit is cut off.
static void append(char *text, size_t size, const char *mark, const char *unit, int power) {
  const size_t used = strlen(text);
  char *const end = text + used;
  if (power == 1)
    (void)snprintf(end, size - used, "%s%s", mark, unit);
  else
    (void)snprintf(end, size - used, "%s%s^%d", mark, unit, power);
}

const char *pl_dimension_words(struct pl_dimension dimension, char *space, size_t size) {
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
    if (pl_dimension_equal(names[i].dimension, dimension)) return names[i].words;
  if (size == 0) return "";

  const char *const units[] = {"kg", "m", "s", "K", "rad"};
  const int powers[] = {dimension.mass, dimension.length, dimension.time, dimension.temperature,
                        dimension.angle};
  bool begun = false;
  (void)snprintf(space, size, "a quantity in ");
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
    if (powers[i] <= 0) continue;
    append(space, size, begun ? "." : "", units[i], powers[i]);
    begun = true;
  }
  if (!begun) append(space, size, "", "1", 1);
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
    if (powers[i] < 0) append(space, size, "/", units[i], -powers[i]);
  return space;
}
