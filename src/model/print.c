// SPDX-License-Identifier: GPL-3.0-or-later
// Values as text: by the settings table's unit and digits, or as a racer would say them.
#include "room.h"

#include <math.h>
#include <string.h>

const char *pl_unit_shown(const char *unit) {
  static const char *const shown[][2] = {{"degC", "°C"},       {"degF", "°F"},
                                         {"deg", "°"},         {"mm^2/s", "cSt"},
                                         {"m/s^2", "m/s²"},    {"kg/m^3", "kg/m³"},
                                         {"N.s/m", "N·s/m"},   {"lbf.s/in", "lbf·s/in"},
                                         {"N.m/deg", "N·m/°"}, {"in.lbf/deg", "in·lbf/°"},
                                         {"deg/mm", "°/mm"},   {"deg/in", "°/in"},
                                         {"deg/g", "°/g"},     {"1", ""}};
  for (size_t i = 0; i < sizeof shown / sizeof shown[0]; i++) {
    if (strcmp(shown[i][0], unit) == 0) return shown[i][1];
  }
  return unit;
}

struct pl_printed pl_print_number(struct pl_arena *arena, double value, const char *unit,
                                  int digits) {
  const struct pl_unit scale = pl_unit_named(unit);
  char space[40];
  pl_number_fixed(space, sizeof space, pl_from_si(value, &scale), digits);
  return (struct pl_printed){pl_copy_text(arena, space, strlen(space)), pl_unit_shown(unit)};
}

static bool is_exact(double shown, int digits) {
  const double scaled = shown * pow(10, digits);
  return fabs(scaled - round(scaled)) < 1e-6 * fmax(1, fabs(scaled) * 1e-6);
}

/// The digits that a value needs so that what was written is what is printed: the table's, and
/// up to two more.
static int digits_needed(double shown, int digits) {
  int needed = digits;
  while (needed < digits + 2 && !is_exact(shown, needed)) needed++;
  return needed;
}

/// A tolerance that was written shows all of its digits, one that was worked out those of its
/// value.
static int digits_of_tolerance(double shown, int digits) {
  const int needed = digits_needed(shown, digits);
  return is_exact(shown, needed) ? needed : digits;
}

static struct pl_printed print_number(struct pl_arena *arena, const struct pl_setting_row *row,
                                      const struct pl_value *value,
                                      enum pl_unit_system system) {
  const bool metric = system == PL_METRIC;
  const char *const unit = metric ? row->of : row->imperial;
  const struct pl_unit scale = pl_unit_named(unit);
  const double shown = pl_from_si(value->number, &scale);
  const int digits = metric ? digits_needed(shown, row->digits) : row->imperial_digits;
  struct pl_printed printed = pl_print_number(arena, value->number, unit, digits);
  if (value->tolerance > 0) {
    char space[40];
    const double tolerance = value->tolerance / scale.factor;
    pl_number_fixed(space, sizeof space, tolerance, digits_of_tolerance(tolerance, digits));
    printed.text = pl_format(arena, "%s ± %s", printed.text, space);
  }
  return printed;
}

// ---------------------------------------------------------------- any value as a sentence's
// part

/// How the numbers in a text are told: in a message as they were given, on paper in the units
/// of the reader and with no more digits than somebody sets.
enum telling { TELL_ALL, TELL_METRIC, TELL_IMPERIAL };

static enum telling telling_in(enum pl_unit_system system) {
  return system == PL_METRIC ? TELL_METRIC : TELL_IMPERIAL;
}

/// A number with as many digits as it needs, at most nine, on paper five and a whole part.
static const char *plain_number(struct pl_arena *arena, double number, enum telling how) {
  char space[40];
  const bool all = how == TELL_ALL || fabs(number) >= 1e5;
  pl_number_shortest(space, sizeof space, number, all ? 9 : 5);
  return pl_copy_text(arena, space, strlen(space));
}

/// What stands for a metric unit on imperial paper, and with how many decimal places.
struct imperial_unit {
  const char *metric;
  const char *name;
  int digits;
};

/// Null if the unit is the same there.
static const struct imperial_unit *imperial_of(const char *metric) {
  static const struct imperial_unit units[] = {{"mm", "in", 3},
                                               {"N", "lbf", 3},
                                               {"N/mm", "lbf/in", 2},
                                               {"kPa", "psi", 1},
                                               {"degC", "degF", 0}};
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
    if (strcmp(units[i].metric, metric) == 0) return &units[i];
  return NULL;
}

/// The unit in which what is metric by itself is told.
static const char *unit_told(const char *metric, enum telling how) {
  const struct imperial_unit *const imperial =
      how == TELL_IMPERIAL ? imperial_of(metric) : NULL;
  return imperial == NULL ? metric : imperial->name;
}

/// A number of SI in that unit; a difference counts from no zero of a scale.
static const char *number_told(struct pl_arena *arena, double si, const char *metric,
                               bool difference, enum telling how) {
  const struct pl_unit unit = pl_unit_named(unit_told(metric, how));
  const double number = difference ? si / unit.factor : pl_from_si(si, &unit);
  const struct imperial_unit *const imperial =
      how == TELL_IMPERIAL ? imperial_of(metric) : NULL;
  if (imperial == NULL) return plain_number(arena, number, how);
  char space[40];
  pl_number_fixed(space, sizeof space, number, imperial->digits);
  return pl_copy_text(arena, space, strlen(space));
}

/// The unit in which a quantity is usually spoken of.
static const char *usual_unit(const struct pl_value *value) {
  static const char *const units[] = {"mm",     "g",   "N",     "N/mm", "degC",  "deg",
                                      "cSt",    "kPa", "ml",    "mm/s", "s",     "Hz",
                                      "kg/m^3", "1/K", "N.s/m", "mm^2", "m/s^2", "mPa.s"};
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
    const struct pl_unit unit = pl_unit_named(units[i]);
    if (!pl_dimension_equal(unit.dimension, value->dimension)) continue;
    if (unit.absolute && !value->absolute) return "K";
    return units[i];
  }
  return "";
}

static const char *number_text(struct pl_arena *arena, const struct pl_value *value,
                               enum telling how) {
  const char *const name = usual_unit(value);
  const char *const shown = pl_unit_shown(unit_told(name, how));
  const char *const number = number_told(arena, value->number, name, false, how);
  const char *const gap = shown[0] == '\0' || strcmp(shown, "°") == 0 ? "" : " ";
  if (value->tolerance > 0)
    return pl_format(arena, "%s ± %s%s%s", number,
                     number_told(arena, value->tolerance, name, true, how), gap, shown);
  return pl_format(arena, "%s%s%s", number, gap, shown);
}

static void add_ports(struct pl_buffer *text, const struct pl_ports *ports, enum telling how) {
  struct pl_arena *const arena = text->arena;
  pl_buffer_format(text, "%g × %s", ports->count,
                   number_told(arena, ports->cap_diameter, "mm", true, how));
  if (ports->shaft_diameter != ports->cap_diameter)
    pl_buffer_format(text, " to %s",
                     number_told(arena, ports->shaft_diameter, "mm", true, how));
  if (ports->tolerance > 0)
    pl_buffer_format(text, " ± %s", number_told(arena, ports->tolerance, "mm", true, how));
  pl_buffer_format(text, " %s", unit_told("mm", how));
  if (ports->one_way == PL_BOTH_WAYS) return;
  pl_buffer_format(text, " one-way %s",
                   ports->one_way == PL_ONE_WAY_COMPRESSION ? "compression" : "rebound");
  if (ports->opens_at > 0)
    pl_buffer_format(text, " opens at %s %s",
                     number_told(arena, ports->opens_at, "kPa", true, how),
                     unit_told("kPa", how));
}

static void add_viscosity(struct pl_buffer *text, const struct pl_viscosity_point *point,
                          bool alone, enum telling how) {
  pl_buffer_text(text, number_told(text->arena, point->viscosity, "cSt", true, how));
  if (point->tolerance > 0)
    pl_buffer_format(text, " ± %s",
                     number_told(text->arena, point->tolerance, "cSt", true, how));
  pl_buffer_text(text, " cSt");
  if (alone && fabs(point->temperature - 298.15) < 1e-6) return;
  pl_buffer_format(text, " at %s %s",
                   number_told(text->arena, point->temperature, "degC", false, how),
                   pl_unit_shown(unit_told("degC", how)));
}

/// "(31, 58)" or "(5, 31, 58)", without the unit.
static const char *coordinates(struct pl_arena *arena, double x, double y, double z,
                               bool show_x, enum pl_unit_system system) {
  const double factor = system == PL_METRIC ? 1e3 : 1 / 0.0254;
  const double values[] = {x, y, z};
  struct pl_buffer text = {.arena = arena};
  for (size_t i = show_x ? 0 : 1; i < 3; i++) {
    char space[40];
    if (system == PL_METRIC)
      pl_number_shortest(space, sizeof space, values[i] * factor, 9);
    else
      pl_number_fixed(space, sizeof space, values[i] * factor, 3);
    pl_buffer_format(&text, "%s%s", text.length == 0 ? "(" : ", ", space);
  }
  pl_buffer_text(&text, ")");
  return pl_buffer_string(&text);
}

static const char *length_unit(enum pl_unit_system system) {
  return system == PL_METRIC ? "mm" : "in";
}

static const char *point_text(struct pl_arena *arena, const struct pl_value *value,
                              enum pl_unit_system system) {
  return pl_format(arena, "%s %s",
                   coordinates(arena, value->x, value->y, value->z, value->has_x, system),
                   length_unit(system));
}

static const char *holes_text(struct pl_arena *arena, const struct pl_value *value,
                              enum pl_unit_system system) {
  struct pl_buffer text = {.arena = arena};
  for (size_t i = 0; i < value->count; i++) {
    const struct pl_hole *const hole = &value->many.holes[i];
    pl_buffer_format(&text, "%s%d %s", i == 0 ? "" : ", ", hole->number,
                     coordinates(arena, hole->x, hole->y, hole->z, hole->x != 0, system));
  }
  if (value->count > 0) pl_buffer_format(&text, " %s", length_unit(system));
  return pl_buffer_string(&text);
}

static const char *text_told(struct pl_arena *arena, const struct pl_value *value,
                             enum telling how);

static void add_item(struct pl_buffer *text, const struct pl_value *value, size_t i,
                     enum telling how) {
  switch (value->kind) {
  case PL_VALUE_PORTS: add_ports(text, &value->many.ports[i], how); break;
  case PL_VALUE_VISCOSITY:
    add_viscosity(text, &value->many.viscosity[i], value->count == 1, how);
    break;
  default: pl_buffer_text(text, text_told(text->arena, &value->many.items[i], how)); break;
  }
}

static const char *many_text(struct pl_arena *arena, const struct pl_value *value,
                             enum telling how) {
  const char *const between = value->kind == PL_VALUE_PORTS   ? " + "
                              : value->kind == PL_VALUE_RANGE ? " .. "
                              : value->kind == PL_VALUE_ROW   ? " "
                                                              : ", ";
  struct pl_buffer text = {.arena = arena};
  for (size_t i = 0; i < value->count; i++) {
    if (i > 0) pl_buffer_text(&text, between);
    add_item(&text, value, i, how);
  }
  return pl_buffer_string(&text);
}

static const char *text_told(struct pl_arena *arena, const struct pl_value *value,
                             enum telling how) {
  const enum pl_unit_system system = how == TELL_IMPERIAL ? PL_IMPERIAL : PL_METRIC;
  switch (value->kind) {
  case PL_VALUE_NONE: return "";
  case PL_VALUE_NUMBER: return number_text(arena, value, how);
  case PL_VALUE_TRUTH: return value->number != 0 ? "yes" : "no";
  case PL_VALUE_TEXT: return value->text;
  case PL_VALUE_POINT: return point_text(arena, value, system);
  case PL_VALUE_HOLES: return holes_text(arena, value, system);
  case PL_VALUE_COILS:
    return pl_format(arena, "%g coils gap %s %s", value->number,
                     number_told(arena, value->x, "mm", true, how), unit_told("mm", how));
  case PL_VALUE_PART: return value->part->name;
  default: return many_text(arena, value, how);
  }
}

const char *pl_value_text(struct pl_arena *arena, const struct pl_value *value) {
  return text_told(arena, value, TELL_ALL);
}

static const char *part_told(struct pl_arena *arena, const struct pl_part *part,
                             enum telling how);

/// "soft on 0.9 N/mm".
static const char *stack_told(struct pl_arena *arena, const struct pl_part *stack,
                              enum telling how) {
  struct pl_buffer text = {.arena = arena};
  for (size_t i = 0; i < stack->share_count; i++)
    pl_buffer_format(&text, "%s%s", i == 0 ? "" : " on ",
                     part_told(arena, stack->shares[i].part, how));
  return pl_buffer_string(&text);
}

/// What stands for a part on paper: its name, and of one that was given on the spot its value.
static const char *part_told(struct pl_arena *arena, const struct pl_part *part,
                             enum telling how) {
  static const enum pl_setting values[] = {PL_SETTING_RATE, PL_SETTING_VISCOSITY,
                                           PL_SETTING_PORTS};
  if (!part->named && part->share_count > 0 && part->kind == PL_BLOCK_SPRING)
    return stack_told(arena, part, how);
  for (size_t i = 0; !part->named && i < sizeof values / sizeof values[0]; i++) {
    const struct pl_resolved *const resolved = pl_part_get(part, values[i]);
    if (part->share_count == 0 && resolved->given)
      return text_told(arena, &resolved->value, how);
  }
  return part->name;
}

// ---------------------------------------------------------------- by the settings table

struct pl_printed pl_print_setting(struct pl_arena *arena, enum pl_setting setting,
                                   const struct pl_value *value, enum pl_unit_system system) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  if (value->kind == PL_VALUE_NUMBER &&
      (row->type == PL_TYPE_NUMBER || row->type == PL_TYPE_COUNT))
    return print_number(arena, row, value, system);
  if (value->kind == PL_VALUE_NUMBER && row->type == PL_TYPE_HOLE)
    return (struct pl_printed){pl_format(arena, "hole %g", value->number), ""};
  if (value->kind == PL_VALUE_POINT)
    return (struct pl_printed){point_text(arena, value, system), ""};
  if (value->kind == PL_VALUE_HOLES)
    return (struct pl_printed){holes_text(arena, value, system), ""};
  if (value->kind == PL_VALUE_PART)
    return (struct pl_printed){part_told(arena, value->part, telling_in(system)), ""};
  return (struct pl_printed){text_told(arena, value, telling_in(system)), ""};
}
