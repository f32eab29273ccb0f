// SPDX-License-Identifier: GPL-3.0-or-later
// Limits that no car comes near, which are slips in the unit mostly, and classes that there are
// not.
#include "check.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- usual spans

/// What a thing usually is, SI; `known` is false where nobody says.
struct usual {
  bool known;
  double least;
  double greatest;
  const char *unit; ///< in which it is told
};

static struct usual of_row(const struct pl_setting_row *row) {
  const struct pl_unit unit = pl_unit_named(row->of);
  if (row->type != PL_TYPE_NUMBER || isnan(row->least)) return (struct usual){.known = false};
  return (struct usual){.known = true,
                        .least = pl_to_si(row->least, &unit),
                        .greatest = pl_to_si(row->greatest, &unit),
                        .unit = row->of};
}

/// A figure has no span of its own: that of all settings of its kind.
static struct usual of_figure(enum pl_figure figure) {
  const char *const unit = pl_figure_rows[figure].unit;
  const struct pl_dimension dimension = pl_unit_named(unit).dimension;
  struct usual all = {.known = false, .unit = unit};
  if (pl_dimension_equal(dimension, PL_DIMENSIONLESS)) return all;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct usual one = of_row(&pl_settings[i]);
    if (!one.known || !pl_dimension_equal(pl_unit_named(one.unit).dimension, dimension))
      continue;
    all.least = all.known ? fmin(all.least, one.least) : one.least;
    all.greatest = all.known ? fmax(all.greatest, one.greatest) : one.greatest;
    all.known = true;
  }
  return all;
}

static bool is_within(const struct usual *usual, double number) {
  return number >= usual->least && number <= usual->greatest;
}

/// A limit may well stand somewhat outside, and zero is a limit of its own.
static bool is_far(const struct usual *usual, double number) {
  const double most = fmax(fabs(usual->least), fabs(usual->greatest));
  if (number == 0) return false;
  if (fabs(number) > 2 * most) return true;
  return usual->least > 0 && number < usual->least / 2;
}

/// The same number in another unit, with which it would be usual; null where there is none.
static const char *meant_in(struct pl_arena *arena, const struct usual *usual,
                            const struct pl_node *number) {
  const char *const units[] = {usual->unit, "mm", "cm",   "m",      "in",  "g",  "kg",
                               "oz",        "lb", "N/mm", "lbf/in", "deg", "cSt"};
  if (number->kind != PL_NODE_NUMBER) return NULL;
  const struct pl_dimension wanted = pl_unit_named(usual->unit).dimension;
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
    const struct pl_unit unit = pl_unit_named(units[i]);
    if (pl_dimension_equal(unit.dimension, wanted) &&
        is_within(usual, pl_to_si(number->number, &unit)))
      return pl_format(arena, "%s %s", pl_span_text(arena, pl_name_span(number)), units[i]);
  }
  return NULL;
}

static const char *told(struct pl_arena *arena, double number, const char *unit) {
  const struct pl_unit scale = pl_unit_named(unit);
  char space[40];
  pl_number_shortest(space, sizeof space, pl_from_si(number, &scale), 6);
  return pl_format(arena, "%s%s%s", space, unit[0] == '\0' ? "" : " ", unit);
}

static void check_number(struct checking *checking, const struct name *name,
                         const struct pl_node *node, const struct pl_value *value) {
  struct pl_arena *const arena = checking->reading->arena;
  const struct usual usual =
      name->is_figure ? of_figure(name->figure) : of_row(row_of_name(name));
  if (!usual.known || value->kind != PL_VALUE_NUMBER || !is_far(&usual, value->number)) return;
  const char *const meant = meant_in(arena, &usual, node);
  pl_report(checking->reading->problems, meant == NULL ? PL_RULE_UNUSUAL_FAR : PL_RULE_UNUSUAL,
            node->span,
            PL_WORDS(pl_span_shown(arena, node->span), name->key,
                     told(arena, usual.least, usual.unit),
                     told(arena, usual.greatest, usual.unit), meant));
}

void check_usual(struct checking *checking, const struct pl_node *thing,
                 const struct pl_node *limit) {
  const struct operand operand = operand_of(&checking->judged, thing);
  if (!operand.is_one_name || !is_number_name(&operand.name)) return;
  const struct operand other = operand_of(&checking->judged, limit);
  if (other.has_name) return;
  const struct pl_value *const value = &other.value;
  if (value->kind != PL_VALUE_LIST && value->kind != PL_VALUE_RANGE) {
    check_number(checking, &operand.name, limit, value);
    return;
  }
  const bool apart = limit->kind == PL_NODE_LIST || limit->kind == PL_NODE_RANGE;
  const struct pl_node *one = apart ? limit->children : NULL;
  for (size_t i = 0; i < value->count; i++) {
    check_number(checking, &operand.name, one == NULL ? limit : one, &value->many.items[i]);
    if (one != NULL) one = one->next;
  }
}

// ---------------------------------------------------------------- classes

static bool is_class(const struct pl_node *node) {
  return node->kind == PL_NODE_NAME &&
         (strcmp(node->name, "class") == 0 || strcmp(node->name, "car.class") == 0);
}

/// Visits the texts that a comparison with the class names.
typedef void text_visit(void *context, const struct pl_node *text);

static void each_text(const struct pl_node *node, text_visit *visit, void *context) {
  if (node->kind == PL_NODE_TEXT) visit(context, node);
  for (const struct pl_node *child = node->children;
       node->kind == PL_NODE_LIST && child != NULL; child = child->next)
    each_text(child, visit, context);
}

/// Looking for one class among texts.
struct class_search {
  const char *class;
  bool found;
};

static void look_for_class(void *context, const struct pl_node *text) {
  struct class_search *const search = context;
  if (strcmp(text->name, search->class) == 0) search->found = true;
}

/// May the condition be true of a car of that class? Whatever else stands in it may be.
static bool may_apply(const struct pl_node *node, const char *class) {
  const struct pl_node *const left = node->children;
  if (node->kind == PL_NODE_GROUP && left->next == NULL) return may_apply(left, class);
  if (node->kind != PL_NODE_BINARY) return true;
  const struct pl_node *const right = left->next;
  if (node->action == PL_AND) return may_apply(left, class) && may_apply(right, class);
  if (node->action == PL_OR) return may_apply(left, class) || may_apply(right, class);
  const struct pl_node *const other = is_class(left) ? right : is_class(right) ? left : NULL;
  if (other == NULL || (other->kind != PL_NODE_TEXT && other->kind != PL_NODE_LIST))
    return true;
  struct class_search search = {.class = class};
  each_text(other, look_for_class, &search);
  if (node->action == PL_EQUAL || node->action == PL_IN) return search.found;
  return node->action != PL_NOT_EQUAL || !search.found;
}

/// The classes that a condition names.
struct classes {
  struct pl_arena *arena;
  const char **items;
  size_t count;
  size_t capacity;
};

static void add_class(void *context, const struct pl_node *text) {
  struct classes *const classes = context;
  classes->items = pl_grow(classes->arena, (void *)classes->items, classes->count,
                           &classes->capacity, sizeof *classes->items);
  classes->items[classes->count++] = text->name;
}

static void gather_classes(const struct pl_node *node, struct classes *classes) {
  const bool compares = node->kind == PL_NODE_BINARY &&
                        (is_class(node->children) || is_class(node->children->next));
  for (const struct pl_node *child = node->children; child != NULL; child = child->next) {
    if (compares)
      each_text(child, add_class, classes);
    else
      gather_classes(child, classes);
  }
}

static bool may_apply_to_one(const struct pl_node *condition, const char *const *classes,
                             size_t count) {
  for (size_t i = 0; i < count; i++) {
    if (may_apply(condition, classes[i])) return true;
  }
  return false;
}

void check_class(struct checking *checking, const struct pl_rules *rules) {
  struct pl_arena *const arena = checking->reading->arena;
  const struct pl_rule *const rule = checking->rule;
  struct classes named = {.arena = arena};
  gather_classes(rule->condition, &named);
  if (named.count == 0 || checking->reading->has_no_class) return;
  // A class that no condition names stands for all others.
  const bool open = rules->class_count == 0;
  if (open ? may_apply(rule->condition, "") ||
                 may_apply_to_one(rule->condition, named.items, named.count)
           : may_apply_to_one(rule->condition, rules->classes, rules->class_count))
    return;
  struct pl_buffer words = {.arena = arena};
  for (size_t i = 0; i < named.count; i++)
    pl_buffer_format(&words, "%s\"%s\"", i == 0 ? "" : ", ", named.items[i]);
  const bool both = may_apply_to_one(rule->condition, named.items, named.count);
  pl_report(checking->reading->problems, PL_RULE_NEVER_APPLIES, rule->span,
            PL_WORDS(rule->name,
                     both && !open
                         ? pl_format(arena, "it is for %s, and these rules are not",
                                     pl_buffer_string(&words))
                         : pl_format(arena, "no class is what `%s` wants", rule->when),
                     both && named.count == 1
                         ? pl_nearest(named.items[0], rules->classes, rules->class_count)
                         : NULL));
}
