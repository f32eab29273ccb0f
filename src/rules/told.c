// SPDX-License-Identifier: GPL-3.0-or-later
// How values are told: in the unit in which the limit beside them is written, so that whoever
// reads them has nothing to convert; where it has none, in that of the table.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- units as written

/// `let`s within `let`s that are followed to a unit: a circle ends there, too.
#define LET_DEPTH 8

static const char *unit_behind(const struct pl_node *number) {
  const struct pl_span unit = {number->span.source, pl_name_span(number).end, number->span.end};
  const char *const text = (const char *)unit.source->bytes + unit.start;
  const size_t length = unit.end - unit.start;
  size_t blanks = 0;
  while (blanks < length && (text[blanks] == ' ' || text[blanks] == '\t')) blanks++;
  return blanks == length ? "" : text + blanks;
}

static const char *find_unit(const struct judged *judged, const struct pl_node *node,
                             struct pl_dimension dimension, size_t depth) {
  if (node->kind == PL_NODE_NUMBER && node->unit != NULL && !node->is_weight &&
      pl_dimension_equal(node->unit->dimension, dimension)) {
    const char *const start = unit_behind(node);
    const char *const end = (const char *)node->span.source->bytes + node->span.end;
    return start[0] == '\0' ? "" : pl_copy_text(judged->arena, start, (size_t)(end - start));
  }
  const struct pl_node *const let =
      node->kind == PL_NODE_NAME ? pl_program_let(judged->rules->program, node->name) : NULL;
  if (let != NULL && depth < LET_DEPTH) return find_unit(judged, let, dimension, depth + 1);
  for (const struct pl_node *child = node->children; child != NULL; child = child->next) {
    const char *const unit = find_unit(judged, child, dimension, depth);
    if (unit[0] != '\0') return unit;
  }
  return "";
}

const char *unit_written(const struct judged *judged, const struct pl_node *node,
                         const struct pl_value *value) {
  const struct pl_value *const one =
      (value->kind == PL_VALUE_LIST || value->kind == PL_VALUE_RANGE) && value->count > 0
          ? &value->many.items[0]
          : value;
  return one->kind == PL_VALUE_NUMBER ? find_unit(judged, node, one->dimension, 0) : "";
}

const char *unit_of_thing(const struct judged *judged, const struct pl_node *node,
                          const struct name *name) {
  if (!is_number_name(name)) return "";
  return find_unit(judged, node, pl_unit_named(unit_of_name(name)).dimension, 0);
}

// ---------------------------------------------------------------- numbers

/// What the tables say of how a thing is printed.
struct format {
  const char *unit;
  int digits;
  const char *imperial;
  int imperial_digits;
};

static struct format format_of(const struct name *name) {
  if (name->is_figure) {
    const struct pl_figure_row *const row = &pl_figure_rows[name->figure];
    return (struct format){row->unit, row->digits, row->imperial, row->imperial_digits};
  }
  const struct pl_setting_row *const row = row_of_name(name);
  return (struct format){row->of, row->digits, row->imperial, row->imperial_digits};
}

/// Digits of a thing in a unit, so that its steps are as fine as in the table's.
static int digits_in(const struct format *format, const char *name,
                     const struct pl_unit *unit) {
  if (strcmp(name, format->unit) == 0) return format->digits;
  if (strcmp(name, format->imperial) == 0) return format->imperial_digits;
  const struct pl_unit usual = pl_unit_named(format->unit);
  const double finer = ceil(log10(unit->factor / usual.factor) - 1e-9);
  return (int)fmin(fmax(format->digits + finer, 0), 9);
}

/// Up to two digits more where the number was written with them.
static int digits_written(double shown, int digits) {
  for (int more = 0; more <= 2; more++) {
    const double scaled = shown * pow(10, digits + more);
    if (fabs(scaled - round(scaled)) < 1e-6 * fmax(1, fabs(scaled) * 1e-6))
      return digits + more;
  }
  return digits;
}

static const char *with_unit(struct pl_arena *arena, const char *number, const char *unit) {
  const char *const shown = pl_unit_shown(unit);
  const bool apart = shown[0] != '\0' && strcmp(shown, "°") != 0;
  return pl_format(arena, "%s%s%s", number, apart ? " " : "", shown);
}

/// A number in a unit. A difference that is there never reads as zero.
static const char *number_text(const struct judged *judged, const struct name *name,
                               const char *unit, double number, bool is_difference) {
  const struct format format = format_of(name);
  if (unit[0] == '\0') unit = judged->system == PL_METRIC ? format.unit : format.imperial;
  const struct pl_unit scale = pl_unit_named(unit);
  const double shown = is_difference ? number / scale.factor : pl_from_si(number, &scale);
  int digits = digits_in(&format, unit, &scale);
  if (!name->is_figure) digits = digits_written(shown, digits);
  char space[40];
  if (is_difference && fabs(shown) < 0.5 * pow(10, -digits))
    pl_number_shortest(space, sizeof space, shown, 2);
  else
    pl_number_fixed(space, sizeof space, shown, digits);
  return with_unit(judged->arena, space, unit);
}

static bool is_of_name(const struct name *name, struct pl_dimension dimension) {
  return name != NULL && is_number_name(name) &&
         pl_dimension_equal(dimension, pl_unit_named(unit_of_name(name)).dimension);
}

/// A number that is no one thing's.
static const char *plain_text(const struct judged *judged, const char *unit,
                              const struct pl_value *value) {
  const struct pl_unit scale = pl_unit_named(unit);
  // A difference of two points on a scale of temperatures is told in K.
  if (unit[0] == '\0' || scale.absolute != value->absolute)
    return pl_value_text(judged->arena, value);
  char space[40];
  pl_number_shortest(space, sizeof space, pl_from_si(value->number, &scale), 9);
  return with_unit(judged->arena, space, unit);
}

const char *number_written(struct pl_arena *arena, const struct pl_node *node) {
  char space[40];
  pl_number_shortest(space, sizeof space, node->number, 9);
  const char *const unit = node->unit != NULL ? unit_behind(node) : "";
  const char *const end = (const char *)node->span.source->bytes + node->span.end;
  return with_unit(arena, space,
                   unit[0] == '\0' ? "" : pl_copy_text(arena, unit, (size_t)(end - unit)));
}

// ---------------------------------------------------------------- values

static struct pl_told_value told_number(const struct judged *judged, const struct name *name,
                                        const char *unit, const struct pl_value *value) {
  if (!is_of_name(name, value->dimension)) {
    const char *const text = plain_text(judged, unit, value);
    // A copy: a judgement may outlive the entry's program.
    return (struct pl_told_value){.text = pl_copy_text(judged->arena, text, strlen(text)),
                                  .is_number = true,
                                  .number = value->number,
                                  .unit = ""};
  }
  const struct pl_unit scale = pl_unit_named(unit_of_name(name));
  return (struct pl_told_value){.text = number_text(judged, name, unit, value->number, false),
                                .is_number = true,
                                .number = pl_from_si(value->number, &scale),
                                .unit = name->is_figure ? pl_unit_json(unit_of_name(name))
                                                        : unit_of_name(name)};
}

struct pl_told_value told_value(const struct judged *judged, const struct name *name,
                                const char *unit, const struct pl_value *value) {
  if (value->kind == PL_VALUE_NONE) return (struct pl_told_value){.text = "", .unit = ""};
  if (value->kind == PL_VALUE_NUMBER) return told_number(judged, name, unit, value);
  const char *const text = pl_value_text(judged->arena, value);
  return (struct pl_told_value){.text = pl_copy_text(judged->arena, text, strlen(text)),
                                .unit = ""};
}

/// The items of a list, or the ends of a range, each in its own unit.
static struct pl_told_value told_many(const struct judged *judged, const struct name *name,
                                      const struct pl_node *node,
                                      const struct pl_value *value) {
  struct pl_told_value *const items =
      pl_alloc_array(judged->arena, value->count, sizeof *items);
  const bool apart = node->kind == PL_NODE_LIST || node->kind == PL_NODE_RANGE;
  const struct pl_node *one = apart ? node->children : NULL;
  struct pl_buffer text = {.arena = judged->arena};
  for (size_t i = 0; i < value->count; i++) {
    const struct pl_value *const item = &value->many.items[i];
    items[i] =
        told_value(judged, name, unit_written(judged, one == NULL ? node : one, item), item);
    const char *const between = value->kind == PL_VALUE_RANGE ? " .. " : ", ";
    pl_buffer_format(&text, "%s%s", i == 0 ? "" : between, items[i].text);
    if (one != NULL) one = one->next;
  }
  return (struct pl_told_value){.text = pl_buffer_string(&text),
                                .unit = "",
                                .items = items,
                                .item_count = value->count,
                                .is_range = value->kind == PL_VALUE_RANGE};
}

struct pl_told_value told_limit(const struct judged *judged, const struct name *name,
                                const struct pl_node *node, const struct pl_value *value) {
  if (value->kind == PL_VALUE_LIST || value->kind == PL_VALUE_RANGE)
    return told_many(judged, name, node, value);
  return told_value(judged, name, unit_written(judged, node, value), value);
}

const char *told_difference(const struct judged *judged, const struct name *name,
                            const char *unit, double difference,
                            struct pl_dimension dimension) {
  if (is_of_name(name, dimension) && !pl_unit_named(unit_of_name(name)).absolute)
    return number_text(judged, name, unit, difference, true);
  const struct pl_value value = {
      .kind = PL_VALUE_NUMBER, .number = difference, .dimension = dimension};
  return plain_text(judged, unit, &value);
}
