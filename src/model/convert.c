// SPDX-License-Identifier: GPL-3.0-or-later
// From an expression to the kind of value that a setting wants, with the mend where it is none.
#include "room.h"

#include <math.h>
#include <string.h>

static const char *key_of(const struct evaluator *evaluator, enum pl_setting setting) {
  return evaluator->key != NULL ? evaluator->key : pl_settings[setting].key;
}

static struct pl_unit unit_of(const struct evaluator *evaluator, enum pl_setting setting) {
  return *setting_unit(evaluator->program->session, setting);
}

struct pl_value report_wrong_kind(struct evaluator *evaluator, enum pl_setting setting,
                                  const struct pl_node *node, const char *wanted,
                                  const struct pl_value *value) {
  if (value->kind == PL_VALUE_NONE) return value_none();
  const bool is_day = pl_settings[setting].type == PL_TYPE_DATE;
  const char *const digits =
      node->kind != PL_NODE_TEXT ? "" : node->name + (node->name[0] == '-');
  const bool number_in_quotes = digits[0] >= '0' && digits[0] <= '9' &&
                                (!is_day || strspn(node->name, "0123456789-") == 10);
  pl_report(evaluator->problems, PL_WRONG_KIND, node->span,
            PL_WORDS(key_of(evaluator, setting), wanted, node_text_shown(evaluator, node),
                     value_words(evaluator->arena, value),
                     number_in_quotes ? "leave out the quotes" : NULL));
  return value_none();
}

// ---------------------------------------------------------------- numbers

static struct pl_value report_dimension(struct evaluator *evaluator, enum pl_setting setting,
                                        const struct pl_node *node,
                                        const struct pl_value *value,
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
              PL_WORDS(key_of(evaluator, setting), wanted_words, shown, mend));
  } else {
    pl_report(evaluator->problems, PL_WRONG_DIMENSION, node->span,
              PL_WORDS(key_of(evaluator, setting), wanted_words, shown,
                       value_words(evaluator->arena, value)));
  }
  return value_none();
}

static struct pl_value number_for(struct evaluator *evaluator, enum pl_setting setting,
                                  const struct pl_node *node) {
  const struct pl_unit unit = unit_of(evaluator, setting);
  struct pl_value value = evaluate(evaluator, node);
  if (value.kind != PL_VALUE_NUMBER) {
    char *const space = pl_alloc(evaluator->arena, 80);
    return report_wrong_kind(evaluator, setting, node,
                             pl_dimension_words(unit.dimension, space, 80), &value);
  }
  if (!pl_dimension_equal(value.dimension, unit.dimension))
    return report_dimension(evaluator, setting, node, &value, unit.dimension);
  // 38 where 38 % is meant: a share is never so large.
  const bool lacks_percent = strcmp(pl_settings[setting].of, "%") == 0 &&
                             node->kind == PL_NODE_NUMBER && node->unit == NULL &&
                             fabs(value.number) > 2;
  if (lacks_percent) {
    const char *const shown = node_text_shown(evaluator, node);
    pl_report(evaluator->problems, PL_NEEDS_UNIT, node->span,
              PL_WORDS(key_of(evaluator, setting), "a share in %", shown,
                       pl_format(evaluator->arena, "%s %%", shown)));
    return value_none();
  }
  value.absolute = unit.absolute; // a temperature in K is one on the absolute scale
  return value;
}

static struct pl_value count_for(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  const struct pl_value value = number_for(evaluator, setting, node);
  if (value.kind == PL_VALUE_NUMBER && value.number != floor(value.number)) {
    pl_report(evaluator->problems, PL_NOT_WHOLE, node->span,
              PL_WORDS(key_of(evaluator, setting), node_text_shown(evaluator, node)));
    return value_none();
  }
  return value;
}

const char *text_in_unit(struct pl_arena *arena, double number, const char *unit) {
  const char *const shown = pl_unit_shown(unit);
  const bool close = shown[0] == '\0' || strcmp(shown, "°") == 0;
  return pl_format(arena, "%g%s%s", number, close ? "" : " ", shown);
}

/// A number that is given, against the span of what is usual for its setting.
static void check_number(struct evaluator *evaluator, enum pl_setting setting, double number,
                         struct pl_span span) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  const struct pl_unit unit = unit_of(evaluator, setting);
  const double shown = pl_from_si(number, &unit);
  const double slack = 1e-9 * (fabs(row->least) + fabs(row->greatest));
  if (shown >= row->least - slack && shown <= row->greatest + slack) return;
  const char *const text = text_in_unit(evaluator->arena, shown, row->of);
  const bool scale_of_its_own = unit.absolute || row->least < 0;
  const char *const key = key_of(evaluator, setting);
  if (!scale_of_its_own && (shown < 0 || (shown == 0 && row->least > 0))) {
    pl_report(evaluator->problems, PL_IMPOSSIBLE, span, PL_WORDS(key, text));
    return;
  }
  pl_report(evaluator->problems, PL_OUTSIDE_SPAN, span,
            PL_WORDS(key, text, pl_format(evaluator->arena, "%g", row->least),
                     text_in_unit(evaluator->arena, row->greatest, row->of)));
}

void check_span(struct evaluator *evaluator, enum pl_setting setting,
                const struct pl_value *value, struct pl_span span) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  if (isnan(row->least)) return;
  const bool is_above_zero = !unit_of(evaluator, setting).absolute && row->least > 0;
  switch (value->kind) {
  case PL_VALUE_NUMBER:
    if (is_above_zero && value->tolerance > 0 && value->tolerance >= value->number)
      pl_report(evaluator->problems, PL_WIDE_TOLERANCE, span,
                PL_WORDS(key_of(evaluator, setting)));
    check_number(evaluator, setting, value->number, span);
    break;
  case PL_VALUE_VISCOSITY:
    for (size_t i = 0; i < value->count; i++)
      check_number(evaluator, setting, value->many.viscosity[i].viscosity, span);
    break;
  case PL_VALUE_PORTS:
    for (size_t i = 0; i < value->count; i++) {
      const struct pl_ports *const port = &value->many.ports[i];
      check_number(evaluator, setting, port->cap_diameter, span);
      if (port->shaft_diameter != port->cap_diameter)
        check_number(evaluator, setting, port->shaft_diameter, span);
    }
    break;
  default: break;
  }
}

// ---------------------------------------------------------------- texts and choices

bool is_bare_words(const struct evaluator *evaluator, const struct pl_node *node) {
  const struct pl_node *const first = node->kind == PL_NODE_ROW ? node->children : node;
  return first->kind == PL_NODE_NAME && strchr(first->name, '.') == NULL &&
         pl_map_get(evaluator->program->lets, first->name) == NULL;
}

static struct pl_value text_for(struct evaluator *evaluator, enum pl_setting setting,
                                const struct pl_node *node) {
  if (reads_as_written(node)) return value_text(text_as_written(evaluator->arena, node));
  if (is_bare_words(evaluator, node)) {
    pl_report(evaluator->problems, PL_TEXT_NEEDS_QUOTES, node->span,
              PL_WORDS(key_of(evaluator, setting), node_text_shown(evaluator, node)));
    return value_none();
  }
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_TEXT) return value;
  if (value.kind == PL_VALUE_NUMBER) return value_text(pl_value_text(evaluator->arena, &value));
  return report_wrong_kind(evaluator, setting, node, "a text in quotes", &value);
}

static struct pl_value list_of(const struct pl_value *items, size_t count) {
  return (struct pl_value){
      .kind = PL_VALUE_LIST, .number = (double)count, .count = count, .many.items = items};
}

/// The items of a list that stands here, each as a setting of one text takes it.
static struct pl_value texts_of_list(struct evaluator *evaluator, enum pl_setting setting,
                                     const struct pl_node *node) {
  struct pl_value *const items = pl_alloc_array(evaluator->arena, PL_MOST_TEXTS, sizeof *items);
  size_t count = 0;
  bool whole = true;
  for (const struct pl_node *item = node->children; item != NULL; item = item->next) {
    if (count == PL_MOST_TEXTS) {
      pl_report(evaluator->problems, PL_LIST_TOO_LONG, node->span,
                PL_WORDS(pl_format(evaluator->arena, "%d", PL_MOST_TEXTS)));
      return value_none();
    }
    items[count] = text_for(evaluator, setting, item);
    if (items[count++].kind == PL_VALUE_NONE) whole = false;
  }
  return whole ? list_of(items, count) : value_none();
}

/// Does a list that came by a name hold texts alone, and not too many?
static bool holds_texts(const struct pl_value *list) {
  for (size_t i = 0; i < list->count; i++) {
    if (list->many.items[i].kind != PL_VALUE_TEXT) return false;
  }
  return list->count <= PL_MOST_TEXTS;
}

/// A list of texts, also where only one is given.
static struct pl_value texts_for(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  if (node->kind == PL_NODE_LIST) return texts_of_list(evaluator, setting, node);
  struct pl_value value = reads_as_written(node) || is_bare_words(evaluator, node)
                              ? text_for(evaluator, setting, node)
                              : evaluate(evaluator, node);
  if (value.kind == PL_VALUE_LIST && holds_texts(&value)) return value;
  if (value.kind != PL_VALUE_TEXT)
    return report_wrong_kind(evaluator, setting, node, "a text in quotes, or a list of them",
                             &value);
  struct pl_value *const only = pl_alloc(evaluator->arena, sizeof *only);
  *only = value;
  return list_of(only, 1);
}

/// Was a path written without its quotes? Its strokes and points read as an expression.
static bool is_bare_path(const struct evaluator *evaluator, const struct pl_node *node) {
  if (node->kind == PL_NODE_BINARY) return true;
  return node->kind == PL_NODE_NAME && pl_map_get(evaluator->program->lets, node->name) == NULL;
}

/// A text, or a row of two.
static struct pl_value file_for(struct evaluator *evaluator, enum pl_setting setting,
                                const struct pl_node *node) {
  if (is_bare_path(evaluator, node)) {
    pl_report(evaluator->problems, PL_TEXT_NEEDS_QUOTES, node->span,
              PL_WORDS(key_of(evaluator, setting), node_text_shown(evaluator, node)));
    return value_none();
  }
  const struct pl_value value = evaluate(evaluator, node);
  const bool is_pair = value.kind == PL_VALUE_ROW && value.count == 2 && holds_texts(&value);
  if (value.kind == PL_VALUE_TEXT || is_pair) return value;
  return report_wrong_kind(evaluator, setting, node,
                           "a path in quotes and, where the file has several setups, the name "
                           "of one behind it",
                           &value);
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
    if (pl_choice_has(row->of, node->name)) return value_text(node->name);
    if (node->kind == PL_NODE_TEXT ||
        pl_map_get(evaluator->program->lets, node->name) == NULL) {
      pl_report(evaluator->problems, PL_UNKNOWN_CHOICE, node->span,
                PL_WORDS(row->key, choice_words(evaluator->arena, row->of), node->name,
                         choice_nearest(evaluator->arena, row->of, node->name)));
      return value_none();
    }
  }
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_TEXT && pl_choice_has(row->of, value.text)) return value;
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
  if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, PL_DIMENSIONLESS) &&
      value.number == floor(value.number) && fabs(value.number) <= PL_MOST_HOLES)
    return value;
  return report_wrong_kind(evaluator, setting, node,
                           "the number of a hole, or a point such as (31 mm, 58 mm)", &value);
}

struct pl_value evaluate_holes(struct evaluator *evaluator, const struct pl_node *block) {
  bool taken[2 * PL_MOST_HOLES + 1] = {false};
  struct pl_hole *holes = NULL;
  size_t count = 0;
  size_t capacity = 0;
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind != PL_NODE_PROPERTY) continue;
    const bool numbered = item->key_kind == PL_NODE_NUMBER && item->unit == NULL &&
                          item->number == floor(item->number) &&
                          fabs(item->number) <= PL_MOST_HOLES;
    if (!numbered || item->action != PL_SET) {
      pl_report(evaluator->problems, PL_HOLE_NUMBER, pl_name_span(item), PL_NO_WORDS);
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
    bool *const is_taken = &taken[PL_MOST_HOLES + (int)item->number];
    if (*is_taken) {
      pl_report(evaluator->problems, PL_SETTING_TWICE, pl_name_span(item),
                PL_WORDS(key_text_shown(evaluator, item)));
      continue;
    }
    holes = pl_grow(evaluator->arena, holes, count, &capacity, sizeof *holes);
    *is_taken = true;
    holes[count++] = (struct pl_hole){(int)item->number, point.x, point.y, point.z};
  }
  return (struct pl_value){.kind = PL_VALUE_HOLES, .count = count, .many.holes = holes};
}

// ---------------------------------------------------------------- all kinds

struct pl_value evaluate_setting(struct evaluator *evaluator, enum pl_setting setting,
                                 const struct pl_node *node) {
  switch (pl_settings[setting].type) {
  case PL_TYPE_NUMBER: return number_for(evaluator, setting, node);
  case PL_TYPE_COUNT: return count_for(evaluator, setting, node);
  case PL_TYPE_TEXT: return text_for(evaluator, setting, node);
  case PL_TYPE_TEXTS: return texts_for(evaluator, setting, node);
  case PL_TYPE_CHOICE: return choice_for(evaluator, setting, node);
  case PL_TYPE_DATE: return date_for(evaluator, setting, node);
  case PL_TYPE_FILE: return file_for(evaluator, setting, node);
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
