// SPDX-License-Identifier: GPL-3.0-or-later
// Figures as text and in the units of their table.
#include "room.h"

#include <math.h>
#include <string.h>

/// Some figures are words: their unit lists them, and the value counts from 0.
static bool is_word(enum pl_figure figure) {
  return strchr(pl_figure_rows[figure].unit, '|') != NULL;
}

const char *pl_figure_word(struct pl_arena *arena, enum pl_figure wanted, double value) {
  if (!is_word(wanted)) return NULL;
  const char *at = pl_figure_rows[wanted].unit;
  for (int skip = (int)value; skip > 0 && strchr(at, '|') != NULL; skip--)
    at = strchr(at, '|') + 1;
  return pl_copy_text(arena, at, strcspn(at, "|"));
}

/// The unit for converting: a g of acceleration is no gram, so that deg/g counts in degrees.
static struct pl_unit scale_of(const char *unit) {
  return pl_unit_named(strcmp(unit, "deg/g") == 0 ? "deg" : unit);
}

double pl_figure_written_scale(enum pl_figure wanted) {
  if (is_word(wanted)) return 1;
  const char *const unit = pl_figure_rows[wanted].unit;
  return pl_unit_named(unit).factor / scale_of(unit).factor;
}

double pl_figure_in_unit(enum pl_figure wanted, double value) {
  if (is_word(wanted)) return value;
  const struct pl_unit scale = scale_of(pl_figure_rows[wanted].unit);
  return pl_from_si(value, &scale);
}

struct pl_printed pl_print_figure(struct pl_arena *arena, enum pl_figure wanted, double value,
                                  enum pl_unit_system system) {
  const struct pl_figure_row *const row = &pl_figure_rows[wanted];
  if (!isfinite(value)) return (struct pl_printed){"", ""};
  if (is_word(wanted)) return (struct pl_printed){pl_figure_word(arena, wanted, value), ""};
  const char *const unit = system == PL_METRIC ? row->unit : row->imperial;
  const struct pl_unit scale = scale_of(unit);
  char space[40];
  pl_number_fixed(space, sizeof space, pl_from_si(value, &scale),
                  system == PL_METRIC ? row->digits : row->imperial_digits);
  return (struct pl_printed){pl_copy_text(arena, space, strlen(space)), pl_unit_shown(unit)};
}

double pl_half_width_in_unit(enum pl_figure wanted, double half_width) {
  return is_word(wanted) ? 0 : half_width / scale_of(pl_figure_rows[wanted].unit).factor;
}

/// In the table's digits, also where those show nothing.
static const char *half_width_digits(struct pl_arena *arena, enum pl_figure figure,
                                     double in_unit, enum pl_unit_system system) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  char space[40];
  pl_number_fixed(space, sizeof space, in_unit,
                  system == PL_METRIC ? row->digits : row->imperial_digits);
  return pl_copy_text(arena, space, strlen(space));
}

double pl_figure_difference(enum pl_figure wanted, double by, enum pl_unit_system system) {
  const struct pl_figure_row *const row = &pl_figure_rows[wanted];
  return by / scale_of(system == PL_METRIC ? row->unit : row->imperial).factor;
}

static bool is_nothing(const char *digits) {
  return strspn(digits, "0.") == strlen(digits);
}

struct pl_printed pl_print_half_width(struct pl_arena *arena, enum pl_figure wanted,
                                      double half_width, enum pl_unit_system system) {
  const struct pl_figure_row *const row = &pl_figure_rows[wanted];
  if (is_word(wanted) || !(half_width > 0)) return (struct pl_printed){"", ""};
  const double shown = pl_figure_difference(wanted, half_width, system);
  const char *text = half_width_digits(arena, wanted, shown, system);
  if (is_nothing(text)) {
    char space[40];
    pl_number_shortest(space, sizeof space, shown, 2);
    text = pl_copy_text(arena, space, strlen(space));
  }
  return (struct pl_printed){text,
                             pl_unit_shown(system == PL_METRIC ? row->unit : row->imperial)};
}

struct pl_printed pl_print_tolerated(struct pl_arena *arena, enum pl_figure wanted,
                                     double value, double half_width,
                                     enum pl_unit_system system) {
  struct pl_printed printed = pl_print_figure(arena, wanted, value, system);
  if (is_word(wanted) || !isfinite(value) || !(half_width > 0)) return printed;
  const char *const digits = half_width_digits(
      arena, wanted, pl_figure_difference(wanted, half_width, system), system);
  if (!is_nothing(digits)) printed.text = pl_format(arena, "%s ± %s", printed.text, digits);
  return printed;
}

const char *pl_unit_json(const char *unit) {
  static const char *const names[][2] = {{"", "1"},           {"mm^2/s", "mm2/s"},
                                         {"N.s/m", "N·s/m"},  {"N.m/deg", "N·m/deg"},
                                         {"kg/m^3", "kg/m3"}, {"m/s^2", "m/s2"}};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    if (strcmp(names[i][0], unit) == 0) return names[i][1];
  }
  return unit;
}
