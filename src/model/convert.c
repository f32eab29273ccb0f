// SPDX-License-Identifier: GPL-3.0-or-later
// From an expression to the kind of value that a setting wants, with the mend where it is none.
#include "room.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *key_of(enum pl_setting setting) {
  return pl_settings[setting].key;
}

/// The unit that a setting prints in; dimensionless where there is none.
static struct pl_unit unit_of(enum pl_setting setting) {
  struct pl_unit unit = {.factor = 1};
  const char *bad = NULL;
  size_t bad_length = 0;
  const char *const of = pl_settings[setting].of;
  if (of[0] != '\0') pl_unit_read(of, strlen(of), &unit, &bad, &bad_length);
  return unit;
}

static struct pl_value report_wrong_kind(struct evaluator *evaluator, enum pl_setting setting,
                                         const struct pl_node *node, const char *wanted,
                                         const struct pl_value *value) {
  if (value->kind == PL_VALUE_NONE) return value_none();
  pl_report(evaluator->problems, PL_WRONG_KIND, node->span,
            PL_WORDS(key_of(setting), wanted, node_text_shown(evaluator, node),
                     value_words(evaluator->arena, value)));
  return value_none();
}

// ---------------------------------------------------------------- numbers

static struct pl_value report_dimension(struct evaluator *evaluator, enum pl_setting setting,
                                        const struct pl_node *node, const struct pl_value *value,
                                        struct pl_dimension wanted) {
  char *const space = pl_alloc(evaluator->arena, 80);
  const char *const wanted_words = pl_dimension_words(wanted, space, 80);
  const char *const shown = node_text_shown(evaluator, node);
  const char *const unit = pl_settings[setting].of;
  if (pl_dimension_equal(value->dimension, PL_DIMENSIONLESS)) {
    const char *const mend = node->kind == PL_NODE_NUMBER && unit[0] != '\0'
                                 ? pl_format(evaluator->arena, "%s %s", shown, unit)
                                 : NULL;
    pl_report(evaluator->problems, PL_NEEDS_UNIT, node->span,
              PL_WORDS(key_of(setting), wanted_words, shown, mend));
  } else {
    pl_report(evaluator->problems, PL_WRONG_DIMENSION, node->span,
              PL_WORDS(key_of(setting), wanted_words, shown,
                       value_words(evaluator->arena, value)));
  }
  return value_none();
}

static struct pl_value number_for(struct evaluator *evaluator, enum pl_setting setting,
                                  const struct pl_node *node) {
  const struct pl_unit unit = unit_of(setting);
  struct pl_value value = evaluate(evaluator, node);
  if (value.kind != PL_VALUE_NUMBER) {
    char *const space = pl_alloc(evaluator->arena, 80);
    return report_wrong_kind(evaluator, setting, node,
                             pl_dimension_words(unit.dimension, space, 80), &value);
  }
  if (!pl_dimension_equal(value.dimension, unit.dimension))
    return report_dimension(evaluator, setting, node, &value, unit.dimension);
  value.absolute = unit.absolute; // a temperature in K is one on the absolute scale
  return value;
}

static struct pl_value count_for(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  const struct pl_value value = number_for(evaluator, setting, node);
  if (value.kind == PL_VALUE_NUMBER && value.number != floor(value.number)) {
    pl_report(evaluator->problems, PL_NOT_WHOLE, node->span,
              PL_WORDS(key_of(setting), node_text_shown(evaluator, node)));
    return value_none();
  }
  return value;
}

/// A number with its unit: "16 g", "-15°", "8".
static const char *text_in_unit(struct pl_arena *arena, double number, const char *unit) {
  const char *const shown = pl_unit_shown(unit);
  const bool close = shown[0] == '\0' || strcmp(shown, "°") == 0;
  return pl_format(arena, "%g%s%s", number, close ? "" : " ", shown);
}

void check_span(struct evaluator *evaluator, enum pl_setting setting,
                const struct pl_value *value, struct pl_span span) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  if (value->kind != PL_VALUE_NUMBER || isnan(row->least)) return;
  const struct pl_unit unit = unit_of(setting);
  const double shown = pl_from_si(value->number, &unit);
  const double slack = 1e-9 * (fabs(row->least) + fabs(row->greatest));
  if (shown >= row->least - slack && shown <= row->greatest + slack) return;
  const char *const text = text_in_unit(evaluator->arena, shown, row->of);
  const bool scale_of_its_own = unit.absolute || row->least < 0;
  if (!scale_of_its_own && (shown < 0 || (shown == 0 && row->least > 0))) {
    pl_report(evaluator->problems, PL_IMPOSSIBLE, span, PL_WORDS(row->key, text));
    return;
  }
  pl_report(evaluator->problems, PL_OUTSIDE_SPAN, span,
            PL_WORDS(row->key, text, pl_format(evaluator->arena, "%g", row->least),
                     text_in_unit(evaluator->arena, row->greatest, row->of)));
}

// ---------------------------------------------------------------- texts and choices

/// Numbers and sums of them may stand for a text as they are written: `scale = 1/10`.
static bool reads_as_written(const struct pl_node *node) {
  if (node->kind == PL_NODE_NUMBER || node->kind == PL_NODE_DATE) return true;
  if (node->kind != PL_NODE_BINARY) return false;
  return reads_as_written(node->children) && reads_as_written(node->children->next);
}

static struct pl_value text_for(struct evaluator *evaluator, enum pl_setting setting,
                                const struct pl_node *node) {
  if (reads_as_written(node)) return value_text(node_text_shown(evaluator, node));
  if (node->kind == PL_NODE_NAME && strchr(node->name, '.') == NULL &&
      pl_map_get(evaluator->program->lets, node->name) == NULL) {
    pl_report(evaluator->problems, PL_TEXT_NEEDS_QUOTES, node->span,
              PL_WORDS(key_of(setting), node->name));
    return value_none();
  }
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_TEXT) return value;
  if (value.kind == PL_VALUE_NUMBER) return value_text(pl_value_text(evaluator->arena, &value));
  return report_wrong_kind(evaluator, setting, node, "a text in quotes", &value);
}

/// The words of a choice in a sentence: "`a`, `b` or `c`".
static const char *choice_words(struct pl_arena *arena, const char *of) {
  struct pl_buffer words = {.arena = arena};
  for (const char *at = of; *at != '\0';) {
    const size_t length = strcspn(at, "|");
    const char *const next = at + length + (at[length] == '|' ? 1 : 0);
    if (words.length > 0) pl_buffer_text(&words, *next == '\0' ? " or " : ", ");
    pl_buffer_format(&words, "`%.*s`", (int)length, at);
    at = next;
  }
  return pl_buffer_string(&words);
}

static const char *choice_nearest(struct pl_arena *arena, const char *of, const char *word) {
  const char *names[16];
  size_t count = 0;
  for (const char *at = of; *at != '\0' && count < sizeof names / sizeof names[0];) {
    const size_t length = strcspn(at, "|");
    names[count++] = pl_copy_text(arena, at, length);
    at += length + (at[length] == '|' ? 1 : 0);
  }
  return pl_nearest(word, names, count);
}

static struct pl_value choice_for(struct evaluator *evaluator, enum pl_setting setting,
                                  const struct pl_node *node) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  if (node->kind == PL_NODE_NAME || node->kind == PL_NODE_TEXT) {
    if (pl_choice_has(row, node->name)) return value_text(node->name);
    if (node->kind == PL_NODE_TEXT || pl_map_get(evaluator->program->lets, node->name) == NULL) {
      pl_report(evaluator->problems, PL_UNKNOWN_CHOICE, node->span,
                PL_WORDS(row->key, choice_words(evaluator->arena, row->of), node->name,
                         choice_nearest(evaluator->arena, row->of, node->name)));
      return value_none();
    }
  }
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_TEXT && pl_choice_has(row, value.text)) return value;
  return report_wrong_kind(evaluator, setting, node, choice_words(evaluator->arena, row->of),
                           &value);
}

static struct pl_value date_for(struct evaluator *evaluator, enum pl_setting setting,
                                const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_TEXT && node->kind == PL_NODE_DATE) return value;
  return report_wrong_kind(evaluator, setting, node, "a day such as 2026-06-14", &value);
}

// ---------------------------------------------------------------- points and holes

static struct pl_value point_for(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_POINT) return value;
  return report_wrong_kind(evaluator, setting, node, "a point such as (31 mm, 58 mm)", &value);
}

static struct pl_value hole_for(struct evaluator *evaluator, enum pl_setting setting,
                                const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_POINT) return value;
  if (value.kind == PL_VALUE_NUMBER &&
      pl_dimension_equal(value.dimension, PL_DIMENSIONLESS) &&
      value.number == floor(value.number) && fabs(value.number) < 1000)
    return value;
  return report_wrong_kind(evaluator, setting, node,
                           "the number of a hole, or a point such as (31 mm, 58 mm)", &value);
}

/// Does a line before this one give the same number?
static bool has_twin(const struct pl_node *items, const struct pl_node *of) {
  for (const struct pl_node *item = items; item != of; item = item->next) {
    if (item->kind == PL_NODE_PROPERTY && item->titles->kind == PL_NODE_NUMBER &&
        item->number == of->number)
      return true;
  }
  return false;
}

struct pl_value evaluate_holes(struct evaluator *evaluator, const struct pl_node *block) {
  struct pl_hole *holes = NULL;
  size_t count = 0;
  size_t capacity = 0;
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind != PL_NODE_PROPERTY) continue;
    const bool numbered = item->titles->kind == PL_NODE_NUMBER && !item->has_unit &&
                          item->number == floor(item->number) && fabs(item->number) < 1000;
    if (!numbered || item->operator != PL_SET) {
      pl_report(evaluator->problems, PL_HOLE_NUMBER, item->name_span, PL_NO_WORDS);
      continue;
    }
    const struct pl_value point = evaluate(evaluator, item->children);
    if (point.kind != PL_VALUE_POINT) {
      if (point.kind != PL_VALUE_NONE)
        pl_report(evaluator->problems, PL_WRONG_KIND, item->children->span,
                  PL_WORDS(block->name, "a point such as (31 mm, 58 mm) for each hole",
                           node_text_shown(evaluator, item->children),
                           value_words(evaluator->arena, &point)));
      continue;
    }
    if (has_twin(block->children, item)) {
      pl_report(evaluator->problems, PL_SETTING_TWICE, item->name_span,
                PL_WORDS(node_text_shown(evaluator, item->titles)));
      continue;
    }
    holes = pl_grow(evaluator->arena, holes, count, &capacity, sizeof *holes);
    holes[count++] = (struct pl_hole){(int)item->number, point.x, point.y, point.z};
  }
  return (struct pl_value){.kind = PL_VALUE_HOLES, .count = count, .many.holes = holes};
}

// ---------------------------------------------------------------- the trade's own values

static struct pl_value ports_for(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_PORTS) return value;
  return report_wrong_kind(evaluator, setting, node, "ports such as 2 x 1.6 mm", &value);
}

static bool is_viscosity(const struct pl_value *value) {
  const struct pl_dimension kinematic = {.length = 2, .time = -1};
  return value->kind == PL_VALUE_NUMBER && pl_dimension_equal(value->dimension, kinematic);
}

static int compare_points(const void *left, const void *right) {
  const struct pl_viscosity_point *const a = left;
  const struct pl_viscosity_point *const b = right;
  return a->temperature < b->temperature ? -1 : a->temperature > b->temperature;
}

/// A viscosity without a temperature holds at 25 degC.
static struct pl_viscosity_point point_of(const struct pl_value *value) {
  if (value->kind == PL_VALUE_VISCOSITY) return value->many.viscosity[0];
  return (struct pl_viscosity_point){value->number, 298.15};
}

/// The node of a list's item; of a list that came by a name, the name.
static const struct pl_node *item_node(const struct pl_node *list, size_t which) {
  if (list->kind != PL_NODE_LIST) return list;
  const struct pl_node *item = list->children;
  while (which-- > 0 && item != NULL) item = item->next;
  return item == NULL ? list : item;
}

static struct pl_value viscosity_for(struct evaluator *evaluator, enum pl_setting setting,
                                     const struct pl_node *node) {
  const char *const wanted = "a viscosity such as 350 cSt at 25 degC, or a list of them";
  const struct pl_value value = evaluate(evaluator, node);
  const bool is_list = value.kind == PL_VALUE_LIST;
  const struct pl_value *const items = is_list ? value.many.items : &value;
  const size_t count = is_list ? value.count : 1;
  struct pl_viscosity_point *const points =
      pl_alloc_array(evaluator->arena, count, sizeof *points);
  for (size_t i = 0; i < count; i++) {
    if (!is_viscosity(&items[i]) && items[i].kind != PL_VALUE_VISCOSITY)
      return report_wrong_kind(evaluator, setting, is_list ? item_node(node, i) : node, wanted,
                               &items[i]);
    points[i] = point_of(&items[i]);
    if (!(points[i].viscosity > 0)) {
      const struct pl_node *const item = is_list ? item_node(node, i) : node;
      pl_report(evaluator->problems, PL_NOT_POSITIVE, item->span,
                PL_WORDS("A viscosity", node_text_shown(evaluator, item)));
      return value_none();
    }
  }
  if (count == 0) return report_wrong_kind(evaluator, setting, node, wanted, &value);
  qsort(points, count, sizeof *points, compare_points);
  for (size_t i = 1; i < count; i++) {
    if (points[i].temperature <= points[i - 1].temperature) {
      const char *const at =
          text_in_unit(evaluator->arena, points[i].temperature - 273.15, "degC");
      pl_report(evaluator->problems, PL_VISCOSITY_TWICE, node->span, PL_WORDS(at));
      return value_none();
    }
    if (points[i].viscosity >= points[i - 1].viscosity) {
      pl_report(evaluator->problems, PL_VISCOSITY_ORDER, node->span, PL_NO_WORDS);
      return value_none();
    }
  }
  return (struct pl_value){.kind = PL_VALUE_VISCOSITY, .count = count, .many.viscosity = points};
}

static struct pl_value groups_for(struct evaluator *evaluator, enum pl_setting setting,
                                  const struct pl_node *node) {
  const char *const wanted = "groups such as [4 coils gap 1.2 mm, 3 coils gap 0.5 mm]";
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind != PL_VALUE_LIST || value.count == 0)
    return report_wrong_kind(evaluator, setting, node, wanted, &value);
  for (size_t i = 0; i < value.count; i++) {
    const struct pl_value *const item = &value.many.items[i];
    if (item->kind != PL_VALUE_COILS)
      return report_wrong_kind(evaluator, setting, item_node(node, i), wanted, item);
  }
  return value;
}

/// A deflection and a force side by side.
static bool is_table_row(const struct pl_value *row) {
  const struct pl_dimension force = {.length = 1, .mass = 1, .time = -2};
  if (row->kind != PL_VALUE_ROW || row->count != 2) return false;
  const struct pl_value *const at = row->many.items;
  return at[0].kind == PL_VALUE_NUMBER && pl_dimension_equal(at[0].dimension, PL_LENGTH) &&
         at[1].kind == PL_VALUE_NUMBER && pl_dimension_equal(at[1].dimension, force);
}

static struct pl_value table_for(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind != PL_VALUE_LIST || value.count < 2)
    return report_wrong_kind(evaluator, setting, node,
                             "two rows or more, such as [0 mm 0 N, 5 mm 2.1 N]", &value);
  for (size_t i = 0; i < value.count; i++) {
    const struct pl_value *const row = &value.many.items[i];
    const char *const shown = node_text_shown(evaluator, item_node(node, i));
    if (!is_table_row(row)) {
      pl_report(evaluator->problems, PL_TABLE_ROW, item_node(node, i)->span,
                PL_WORDS(shown, value_words(evaluator->arena, row)));
      return value_none();
    }
    const struct pl_value *const at = row->many.items;
    const struct pl_value *const last = i == 0 ? NULL : value.many.items[i - 1].many.items;
    if (last != NULL && (at[0].number <= last[0].number || at[1].number <= last[1].number)) {
      pl_report(evaluator->problems, PL_TABLE_ORDER, item_node(node, i)->span,
                PL_WORDS(shown, node_text_shown(evaluator, item_node(node, i - 1))));
      return value_none();
    }
  }
  const struct pl_value *const first = value.many.items[0].many.items;
  if (first->number >= 0) return value;
  pl_report(evaluator->problems, PL_IMPOSSIBLE, item_node(node, 0)->span,
            PL_WORDS("deflection", pl_value_text(evaluator->arena, first)));
  return value_none();
}

// ---------------------------------------------------------------- parts

static struct pl_value part_value(const struct pl_part *part) {
  if (part == NULL) return value_none();
  return (struct pl_value){.kind = PL_VALUE_PART, .part = part};
}

static struct pl_value part_for(struct evaluator *evaluator, enum pl_setting setting,
                                const struct pl_node *node) {
  const enum pl_block_kind kind = pl_block_kind_of(pl_settings[setting].of);
  const struct pl_dimension rate = {.mass = 1, .time = -2};
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_TEXT)
    return part_value(part_named(evaluator, kind, value.text, node->span));
  if (value.kind == PL_VALUE_PART && value.part->kind == kind) return value;
  const char *wanted =
      pl_format(evaluator->arena, "the name of %s in quotes", kind_words(evaluator->arena, kind));
  if (kind == PL_BLOCK_OIL) {
    if (is_viscosity(&value) || value.kind == PL_VALUE_VISCOSITY || value.kind == PL_VALUE_LIST) {
      const struct pl_value viscosity = viscosity_for(evaluator, PL_SETTING_VISCOSITY, node);
      if (viscosity.kind == PL_VALUE_NONE) return viscosity;
      return part_value(part_on_the_spot(evaluator, kind, PL_SETTING_VISCOSITY, &viscosity, node));
    }
    wanted = "the name of an oil in quotes, a viscosity such as 350 cSt, or a blend";
  }
  if (kind == PL_BLOCK_SPRING) {
    if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, rate))
      return part_value(part_on_the_spot(evaluator, kind, PL_SETTING_RATE, &value, node));
    wanted = "the name of a spring in quotes, or a rate such as 0.62 N/mm";
  }
  if (kind == PL_BLOCK_PISTON) {
    if (value.kind == PL_VALUE_PORTS)
      return part_value(part_on_the_spot(evaluator, kind, PL_SETTING_PORTS, &value, node));
    wanted = "the name of a piston in quotes, or ports such as 2 x 1.6 mm";
  }
  return report_wrong_kind(evaluator, setting, node, wanted, &value);
}

struct pl_value evaluate_setting(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  switch (pl_settings[setting].type) {
  case PL_TYPE_NUMBER: return number_for(evaluator, setting, node);
  case PL_TYPE_COUNT: return count_for(evaluator, setting, node);
  case PL_TYPE_TEXT: return text_for(evaluator, setting, node);
  case PL_TYPE_CHOICE: return choice_for(evaluator, setting, node);
  case PL_TYPE_DATE: return date_for(evaluator, setting, node);
  case PL_TYPE_POINT: return point_for(evaluator, setting, node);
  case PL_TYPE_HOLE: return hole_for(evaluator, setting, node);
  case PL_TYPE_HOLES: return evaluate_holes(evaluator, node);
  case PL_TYPE_PORTS: return ports_for(evaluator, setting, node);
  case PL_TYPE_VISCOSITY: return viscosity_for(evaluator, setting, node);
  case PL_TYPE_GROUPS: return groups_for(evaluator, setting, node);
  case PL_TYPE_TABLE: return table_for(evaluator, setting, node);
  case PL_TYPE_PART: return part_for(evaluator, setting, node);
  }
  return value_none();
}
