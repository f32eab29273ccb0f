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

const char *pl_unit_json(const char *unit) {
  static const char *const names[][2] = {{"", "1"},           {"mm^2/s", "mm2/s"},
                                         {"N.s/m", "N·s/m"},  {"N.m/deg", "N·m/deg"},
                                         {"kg/m^3", "kg/m3"}, {"m/s^2", "m/s2"}};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    if (strcmp(names[i][0], unit) == 0) return names[i][1];
  }
  return unit;
}
