// SPDX-License-Identifier: GPL-3.0-or-later
// Axes: round ticks, and the numbers beside them.
#include <math.h>
#include <string.h>

#include "plot.h"

/// A curve that varies less than this share of its values is level to the eye.
static const double level = 1e-4;

/// Rounding: a tick that far beyond an end, in steps, is still on it.
static const double slack = 1e-6;

/// Fewest and most ticks that an axis reads well with.
static const size_t fewest = 3;
static const size_t greatest_count = 8;

/// Numbers that would be longer than this are written with a power of ten.
static const int longest_whole = 7;
static const int longest_fraction = 6;

/// Gives a level curve an axis to lie in the middle of.
static void spread(double *least, double *greatest) {
  const double size = fmax(fabs(*least), fabs(*greatest));
  if (*greatest - *least > level * size) return;
  const double middle = *least / 2 + *greatest / 2;
  const double half = size > 0 ? 0.05 * size : 1;
  *least = middle - half;
  *greatest = middle + half;
}

/// An axis whose step is that of `rank`: 0 is 1, 1 is 2, 2 is 5, 3 is 10 and so on.
static struct pl_axis with_step(double least, double greatest, int rank, bool around) {
  static const double factors[] = {1, 2, 5};
  const int power = (int)floor(rank / 3.0);
  const double step = factors[rank - 3 * power] * pow(10, power);
  struct pl_axis axis = {.least = least, .greatest = greatest, .step = step, .power = power};
  double last = 0;
  if (around) {
    axis.first = floor(least / step + slack);
    last = ceil(greatest / step - slack);
    axis.least = axis.first * step;
    axis.greatest = last * step;
  } else {
    axis.first = ceil(least / step - slack);
    last = floor(greatest / step + slack);
  }
  axis.count = (size_t)(last - axis.first) + 1;
  return axis;
}

/// The axis with the smallest step that needs no more ticks than that; the step below, where
/// that leaves too few.
static struct pl_axis with_ticks(double least, double greatest, size_t most, bool around) {
  if (most > greatest_count) most = greatest_count;
  spread(&least, &greatest);
  // With this step there are far too many.
  int rank = 3 * ((int)floor(log10(greatest - least)) - 2);
  struct pl_axis finer = with_step(least, greatest, rank, around);
  struct pl_axis axis = finer;
  while (axis.count > most) {
    finer = axis;
    axis = with_step(least, greatest, ++rank, around);
  }
  return axis.count < fewest && finer.count <= greatest_count ? finer : axis;
}

struct pl_axis pl_axis_around(double least, double greatest, size_t most) {
  return with_ticks(least, greatest, most, true);
}

struct pl_axis pl_axis_within(double least, double greatest, size_t most) {
  return with_ticks(least, greatest, most, false);
}

double pl_axis_tick(const struct pl_axis *axis, size_t tick) {
  return (axis->first + (double)tick) * axis->step;
}

double pl_axis_share(const struct pl_axis *axis, double value) {
  return (value - axis->least) / (axis->greatest - axis->least);
}

// ---------------------------------------------------------------- numbers

/// The number in superscript.
static void add_exponent(struct pl_buffer *out, int exponent) {
  static const char *const raised[] = {"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
  for (const char *next = pl_format(out->arena, "%d", exponent); *next != '\0'; next++)
    pl_buffer_text(out, *next == '-' ? "⁻" : raised[*next - '0']);
}

const char *pl_axis_number(struct pl_arena *arena, const struct pl_axis *axis, double value,
                           int more) {
  const double size = fmax(fabs(axis->least), fabs(axis->greatest));
  const int exponent = (int)floor(log10(size));
  const int digits = more - axis->power > 0 ? more - axis->power : 0;
  const bool plain = exponent < longest_whole && digits - more <= longest_fraction;
  char space[40];
  if (plain)
    pl_number_fixed(space, sizeof space, value, digits);
  else
    pl_number_fixed(space, sizeof space, value / pow(10, exponent),
                    exponent + more - axis->power);
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, pl_paper_minus(arena, pl_copy_text(arena, space, strlen(space))));
  if (plain || fabs(value) < slack * axis->step) return plain ? pl_buffer_string(&out) : "0";
  pl_buffer_text(&out, "·10");
  add_exponent(&out, exponent);
  return pl_buffer_string(&out);
}
