// SPDX-License-Identifier: GPL-3.0-or-later
// The trade's own values: ports, viscosities, groups of coils, measured springs, parts.
#include "room.h"

#include <stdlib.h>
#include <string.h>

struct pl_value ports_for(struct evaluator *evaluator, enum pl_setting setting,
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
  return (struct pl_viscosity_point){value->number, 298.15, value->tolerance};
}

/// The node of a list's item; of a list that came by a name, the name.
static const struct pl_node *item_node(const struct pl_node *list, size_t which) {
  if (list->kind != PL_NODE_LIST) return list;
  const struct pl_node *item = list->children;
  while (which-- > 0 && item != NULL) item = item->next;
  return item == NULL ? list : item;
}

/// Reports a list of more items than the setting takes.
static bool report_if_longer(struct evaluator *evaluator, enum pl_setting setting,
                             const struct pl_node *node, size_t count, size_t most) {
  if (count <= most) return false;
  pl_report(evaluator->problems, PL_TOO_MANY_VALUES, node->span,
            PL_WORDS(pl_settings[setting].key, pl_format(evaluator->arena, "%zu", most),
                     pl_format(evaluator->arena, "%zu", count)));
  return true;
}

struct pl_value viscosity_for(struct evaluator *evaluator, enum pl_setting setting,
                              const struct pl_node *node) {
  const char *const wanted = "a viscosity such as 350 cSt at 25 degC, or a list of them";
  const struct pl_value value = evaluate(evaluator, node);
  const bool is_list = value.kind == PL_VALUE_LIST;
  const struct pl_value *const items = is_list ? value.many.items : &value;
  const size_t count = is_list ? value.count : 1;
  if (is_list && report_if_longer(evaluator, setting, node, count, PL_MOST_VISCOSITIES))
    return value_none();
  struct pl_viscosity_point *const points =
      pl_alloc_array(evaluator->arena, count, sizeof *points);
  for (size_t i = 0; i < count; i++) {
    if (!is_viscosity(&items[i]) && items[i].kind != PL_VALUE_VISCOSITY)
      return report_wrong_kind(evaluator, setting, is_list ? item_node(node, i) : node, wanted,
                               &items[i]);
    const struct pl_node *const item = is_list ? item_node(node, i) : node;
    points[i] = point_of(&items[i]);
    check_tolerance(evaluator, item, points[i].viscosity, points[i].tolerance);
    if (!(points[i].viscosity > 0)) {
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
  return (struct pl_value){
      .kind = PL_VALUE_VISCOSITY, .count = count, .many.viscosity = points};
}

struct pl_value groups_for(struct evaluator *evaluator, enum pl_setting setting,
                           const struct pl_node *node) {
  const char *const wanted = "groups such as [4 coils gap 1.2 mm, 3 coils gap 0.5 mm]";
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind != PL_VALUE_LIST || value.count == 0)
    return report_wrong_kind(evaluator, setting, node, wanted, &value);
  if (report_if_longer(evaluator, setting, node, value.count, PL_MOST_SPRING_GROUPS))
    return value_none();
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

struct pl_value table_for(struct evaluator *evaluator, enum pl_setting setting,
                          const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind != PL_VALUE_LIST || value.count < 2)
    return report_wrong_kind(evaluator, setting, node,
                             "two rows or more, such as [0 mm 0 N, 5 mm 2.1 N]", &value);
  if (report_if_longer(evaluator, setting, node, value.count, PL_MOST_SPRING_ROWS))
    return value_none();
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
  if (first->number < 0) {
    pl_report(evaluator->problems, PL_IMPOSSIBLE, item_node(node, 0)->span,
              PL_WORDS("deflection", pl_value_text(evaluator->arena, first)));
    return value_none();
  }
  // The curve starts at no deflection and no force; a first row beyond that goes on from there.
  if (first[0].number == 0 ? first[1].number == 0 : first[1].number > 0) return value;
  pl_report(evaluator->problems, PL_TABLE_START, item_node(node, 0)->span,
            PL_WORDS(node_text_shown(evaluator, item_node(node, 0))));
  return value_none();
}

// ---------------------------------------------------------------- parts

static struct pl_value part_value(const struct pl_part *part) {
  if (part == NULL) return value_none();
  return (struct pl_value){.kind = PL_VALUE_PART, .part = part};
}

/// A stack from a list of springs, which may be stacks themselves; null if an element is none,
/// or was reported as unknown.
static const struct pl_part *stack_of(struct evaluator *evaluator, const struct pl_node *list,
                                      bool *reported) {
  struct pl_share springs[PL_MOST_SPRINGS];
  size_t count = 0;
  *reported = false;
  for (const struct pl_node *node = list->children; node != NULL; node = node->next) {
    const struct pl_value spring = part_for(evaluator, PL_SETTING_SPRING, node);
    if (spring.kind != PL_VALUE_PART) {
      *reported = true;
      return NULL;
    }
    const struct pl_part *const part = spring.part;
    const size_t more = part->share_count == 0 ? 1 : part->share_count;
    if (count + more > PL_MOST_SPRINGS) return NULL;
    for (size_t i = 0; i < more; i++)
      springs[count++] = part->share_count == 0 ? (struct pl_share){part, 1} : part->shares[i];
  }
  return count < 2 ? NULL : part_stacked(evaluator, springs, count, list);
}

/// A plain number where a viscosity or a rate was meant.
static bool report_bare_number(struct evaluator *evaluator, enum pl_setting setting,
                               enum pl_block_kind kind, const struct pl_node *node,
                               const struct pl_value *value) {
  const char *const unit = kind == PL_BLOCK_OIL      ? "cSt"
                           : kind == PL_BLOCK_SPRING ? "N/mm"
                                                     : NULL;
  if (unit == NULL || value->kind != PL_VALUE_NUMBER ||
      !pl_dimension_equal(value->dimension, PL_DIMENSIONLESS))
    return false;
  const char *const shown = node_text_shown(evaluator, node);
  pl_report(
      evaluator->problems, PL_NEEDS_UNIT, node->span,
      PL_WORDS(pl_settings[setting].key,
               kind == PL_BLOCK_OIL ? "an oil or a viscosity" : "a spring or a spring rate",
               shown,
               node->kind == PL_NODE_NUMBER ? pl_format(evaluator->arena, "%s %s", shown, unit)
                                            : NULL));
  return true;
}

struct pl_value part_for(struct evaluator *evaluator, enum pl_setting setting,
                         const struct pl_node *node) {
  const enum pl_block_kind kind = pl_block_kind_of(pl_settings[setting].of);
  const struct pl_dimension rate = {.mass = 1, .time = -2};
  const bool is_setting = node->kind == PL_NODE_NAME &&
                          pl_setting_of(node->name, PL_BLOCK_SETUP) != PL_SETTING_COUNT;
  if (is_bare_words(evaluator, node) && !is_setting) {
    pl_report(evaluator->problems, PL_NAME_NEEDS_QUOTES, node->span,
              PL_WORDS(kind_words(evaluator->arena, kind), node_text_shown(evaluator, node)));
    return value_none();
  }
  if (kind == PL_BLOCK_SPRING && node->kind == PL_NODE_LIST) {
    bool reported = false;
    const struct pl_part *const stack = stack_of(evaluator, node, &reported);
    if (stack != NULL || reported) return part_value(stack);
  }
  const struct pl_value value = evaluate(evaluator, node);
  if (value.kind == PL_VALUE_TEXT)
    return part_value(part_named(evaluator, kind, value.text, node->span));
  if (value.kind == PL_VALUE_PART && value.part->kind == kind) return value;
  const char *wanted = pl_format(evaluator->arena, "the name of %s in quotes",
                                 kind_words(evaluator->arena, kind));
  if (kind == PL_BLOCK_OIL) {
    if (is_viscosity(&value) || value.kind == PL_VALUE_VISCOSITY ||
        value.kind == PL_VALUE_LIST) {
      const struct pl_value viscosity = viscosity_for(evaluator, PL_SETTING_VISCOSITY, node);
      if (viscosity.kind == PL_VALUE_NONE) return viscosity;
      return part_value(
          part_on_the_spot(evaluator, kind, PL_SETTING_VISCOSITY, &viscosity, node));
    }
    wanted = "the name of an oil in quotes, a viscosity such as 350 cSt, or a blend";
  }
  if (kind == PL_BLOCK_SPRING) {
    if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, rate))
      return part_value(part_on_the_spot(evaluator, kind, PL_SETTING_RATE, &value, node));
    wanted =
        "the name of a spring in quotes, a rate such as 0.62 N/mm, or a list of two to four "
        "stacked springs";
  }
  if (kind == PL_BLOCK_PISTON) {
    if (value.kind == PL_VALUE_PORTS)
      return part_value(part_on_the_spot(evaluator, kind, PL_SETTING_PORTS, &value, node));
    wanted = "the name of a piston in quotes, or ports such as 2 x 1.6 mm";
  }
  if (report_bare_number(evaluator, setting, kind, node, &value)) return value_none();
  return report_wrong_kind(evaluator, setting, node, wanted, &value);
}
