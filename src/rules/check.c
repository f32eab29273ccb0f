// SPDX-License-Identifier: GPL-3.0-or-later
// The sense of rules, looked at before race day: unknown names, places that are several,
// dimensions that do not go together, words that a choice has not, rules that never apply.
#include "check.h"

#include <string.h>

#include "spans.h"

static enum pl_place place_for(enum pl_rule_scope scope) {
  return scope == PL_RULE_CAR ? PL_CAR : scope == PL_RULE_EACH_AXLE ? PL_FRONT : PL_FRONT_LEFT;
}

// ---------------------------------------------------------------- names and places

/// A bare word beside a choice, or within a list beside one.
static bool is_word_of_choice(const struct checking *checking, const struct pl_node *node,
                              const struct pl_node *other) {
  struct name name;
  struct name own;
  struct pl_arena *const arena = checking->reading->arena;
  return node->kind == PL_NODE_NAME && other != NULL && other->kind == PL_NODE_NAME &&
         read_name(arena, other->name, &name) && choices_of_name(&name)[0] != '\0' &&
         !read_name(arena, node->name, &own);
}

/// A text in quotes beside a choice means one of its words, too.
static bool is_text_of_choice(const struct checking *checking, const struct pl_node *node,
                              const struct pl_node *other) {
  struct name name;
  return node->kind == PL_NODE_TEXT && other->kind == PL_NODE_NAME &&
         read_name(checking->reading->arena, other->name, &name) &&
         choices_of_name(&name)[0] != '\0';
}

/// A list beside a choice is one of its words, in quotes or without.
static bool is_list_of_words(const struct checking *checking, const struct pl_node *list,
                             const struct pl_node *other) {
  struct name name;
  return list->kind == PL_NODE_LIST && other->kind == PL_NODE_NAME &&
         read_name(checking->reading->arena, other->name, &name) &&
         choices_of_name(&name)[0] != '\0';
}

static void check_choice(struct checking *checking, const struct pl_node *word,
                         const struct pl_node *key) {
  struct pl_arena *const arena = checking->reading->arena;
  struct name name;
  const bool is_word = word->kind == PL_NODE_NAME || word->kind == PL_NODE_TEXT;
  if (!read_name(arena, key->name, &name) ||
      (is_word && pl_choice_has(choices_of_name(&name), word->name)))
    return;
  pl_report(checking->reading->problems, PL_RULE_CHOICE, word->span,
            PL_WORDS(key->name,
                     pl_format(arena, "`%s`",
                               is_word ? word->name : pl_span_shown(arena, word->span)),
                     pl_choice_words(arena, choices_of_name(&name))));
}

static bool is_side(const char *place) {
  return strcmp(place, "left") == 0 || strcmp(place, "right") == 0;
}

/// A place at which the name means one thing.
static const char *one_place(struct checking *checking, const struct name *name) {
  struct pl_arena *const arena = checking->reading->arena;
  if (scope_of_name(name) != PL_SCOPE_CORNER) return "front";
  if (is_side(name->place)) return pl_format(arena, "front-%s", name->place);
  if (name->place[0] != '\0' && strcmp(name->place, "car") != 0)
    return pl_format(arena, "%s-left", name->place);
  return checking->rule->scope == PL_RULE_EACH_AXLE ? "left" : "front-left";
}

static void report_place(struct checking *checking, const struct pl_node *node,
                         const struct name *name) {
  static const char *const scopes[] = {"the whole car", "each axle", "each corner"};
  const bool of_corners = scope_of_name(name) == PL_SCOPE_CORNER;
  const bool in_axle =
      checking->rule->scope == PL_RULE_EACH_AXLE || pl_place_of(name->place) < PL_CAR;
  const bool each_axle = !of_corners || is_side(name->place);
  const char *const many = each_axle ? "on both axles"
                           : in_axle ? "on both sides"
                                     : "at all corners";
  pl_report(checking->reading->problems, PL_RULE_NEEDS_PLACE, node->span,
            PL_WORDS(node->name, many, scopes[checking->rule->scope],
                     each_axle ? "each axle" : "each corner",
                     pl_format(checking->reading->arena, "%s.%s", one_place(checking, name),
                               name->key)));
}

static bool is_let(const struct checking *checking, const struct pl_node *node);

/// A list of words beside a text: one report for each that has no quotes.
static bool lacks_quotes(struct checking *checking, const struct pl_node *list,
                         const struct pl_node *text) {
  bool any = false;
  if (list->kind != PL_NODE_LIST) return false;
  for (const struct pl_node *one = list->children; one != NULL; one = one->next)
    any = report_quotes(checking, text, one) || any;
  return any;
}

/// Goes through all names of an expression; false after a report.
static bool check_names(struct checking *checking, const struct pl_node *node,
                        bool in_function) {
  struct reading *const reading = checking->reading;
  bool good = true;
  if (node->kind == PL_NODE_NAME) {
    struct name name;
    if (is_let(checking, node)) return true;
    if (!read_name(reading->arena, node->name, &name)) {
      pl_report(reading->problems, PL_UNKNOWN_NAME, node->span,
                PL_WORDS(node->name, nearest_name(reading->arena, node->name)));
      return false;
    }
    if (in_function || place_of_name(&name, checking->judged.place) != PL_PLACE_COUNT)
      return true;
    report_place(checking, node, &name);
    return false;
  }
  if (node->kind == PL_NODE_CALL && report_inside(checking, node)) return false;
  const bool over = node->kind == PL_NODE_CALL && node->children != NULL &&
                    node->children->next == NULL && is_over_function(node);
  const bool compares = node->kind == PL_NODE_BINARY &&
                        (node->action == PL_EQUAL || node->action == PL_NOT_EQUAL);
  for (const struct pl_node *child = node->children; child != NULL; child = child->next) {
    const struct pl_node *const other = child == node->children ? child->next : node->children;
    if (compares && is_word_of_choice(checking, child, other)) continue;
    if (compares && other != NULL && report_quotes(checking, other, child)) {
      good = false;
      continue;
    }
    if (node->kind == PL_NODE_BINARY && node->action == PL_IN && child != node->children &&
        is_list_of_words(checking, child, node->children))
      continue;
    if (node->kind == PL_NODE_BINARY && node->action == PL_IN && child != node->children &&
        lacks_quotes(checking, child, node->children)) {
      good = false;
      continue;
    }
    if (!check_names(checking, child, in_function || over)) good = false;
  }
  return good;
}

// ---------------------------------------------------------------- sides of comparisons

static struct pl_value sample(struct checking *checking, const struct pl_node *node) {
  return operand_of(&checking->judged, node).value;
}

const char *words_of_value(struct checking *checking, const struct pl_value *value) {
  char *const space = pl_alloc(checking->reading->arena, 80);
  switch (value->kind) {
  case PL_VALUE_NUMBER: return pl_dimension_words(value->dimension, space, 80);
  case PL_VALUE_TEXT: return "a text";
  case PL_VALUE_LIST: return "a list";
  case PL_VALUE_RANGE: return "a range";
  case PL_VALUE_TRUTH: return "a yes or no";
  case PL_VALUE_POINT: return "a point";
  case PL_VALUE_PART: return "a part";
  default: return "no number and no text";
  }
}

static void report_sides(struct checking *checking, const struct pl_node *left,
                         const struct pl_value *left_value, const struct pl_node *right,
                         const struct pl_value *right_value) {
  struct pl_arena *const arena = checking->reading->arena;
  if (report_bare(checking, left, left_value, right, right_value) ||
      report_bare(checking, right, right_value, left, left_value))
    return;
  // Values of one kind fail by the sign alone.
  const bool texts = left_value->kind == PL_VALUE_TEXT && right_value->kind == PL_VALUE_TEXT;
  pl_report(checking->reading->problems, PL_RULE_CANNOT_COMPARE,
            pl_span_join(left->span, right->span),
            PL_WORDS(pl_span_shown(arena, left->span), words_of_value(checking, left_value),
                     pl_span_shown(arena, right->span), words_of_value(checking, right_value),
                     texts ? "==" : NULL));
}

static void report_no_list(struct checking *checking, const struct pl_node *node,
                           const struct pl_value *value) {
  pl_report(checking->reading->problems, PL_IN_NEEDS_LIST, node->span,
            PL_WORDS(words_of_value(checking, value)));
}

/// Do two values compare by that sign?
static bool do_compare(enum pl_operator action, const struct pl_value *a,
                       const struct pl_value *b) {
  if (a->kind == PL_VALUE_NONE || b->kind == PL_VALUE_NONE) return true; // was reported
  if (a->kind == PL_VALUE_NUMBER && b->kind == PL_VALUE_NUMBER)
    return pl_dimension_equal(a->dimension, b->dimension);
  const bool same_only = action == PL_EQUAL || action == PL_NOT_EQUAL;
  return same_only && a->kind == b->kind;
}

static void check_tolerance(struct checking *checking, const struct pl_node *side,
                            const struct pl_value *value) {
  const struct pl_rule *const rule = checking->rule;
  if (rule->tolerance <= 0 || value->kind != PL_VALUE_NUMBER) return;
  if (pl_dimension_equal(rule->tolerance_dimension, value->dimension)) return;
  const struct pl_value tolerance = {.kind = PL_VALUE_NUMBER,
                                     .dimension = rule->tolerance_dimension};
  const bool bare = pl_dimension_equal(rule->tolerance_dimension, PL_DIMENSIONLESS);
  const char *const unit = bare ? unit_beside(checking, side, value) : NULL;
  pl_report(checking->reading->problems, PL_RULE_TOLERANCE, rule->tolerance_span,
            PL_WORDS(rule->tolerance_text, words_of_value(checking, &tolerance),
                     words_of_value(checking, value),
                     unit == NULL ? NULL
                                  : pl_format(checking->reading->arena, "%s %s",
                                              rule->tolerance_text, unit)));
}

static void check_comparison(struct checking *checking, const struct pl_node *node,
                             bool with_tolerance) {
  const struct pl_node *const left = node->children;
  const struct pl_node *const right = left->next;
  if (is_word_of_choice(checking, right, left) || is_text_of_choice(checking, right, left)) {
    check_choice(checking, right, left);
    return;
  }
  if (is_word_of_choice(checking, left, right) || is_text_of_choice(checking, left, right)) {
    check_choice(checking, left, right);
    return;
  }
  const struct pl_value a = sample(checking, left);
  const struct pl_value b = sample(checking, right);
  if (!do_compare(node->action, &a, &b)) {
    report_sides(checking, left, &a, right, &b);
    return;
  }
  if (with_tolerance && a.kind == PL_VALUE_NUMBER)
    check_tolerance(checking, names_something(&checking->judged, left) ? left : right, &a);
  check_usual(checking, left, right);
  check_usual(checking, right, left);
}

static void check_in(struct checking *checking, const struct pl_node *node,
                     bool with_tolerance) {
  const struct pl_node *const left = node->children;
  const struct pl_node *const right = left->next;
  if (right->kind == PL_NODE_LIST && right->children == NULL) {
    pl_report(checking->reading->problems, PL_RULE_NEVER_TRUE, node->span,
              PL_WORDS(pl_span_shown(checking->reading->arena, left->span)));
    return;
  }
  if (is_list_of_words(checking, right, left)) {
    for (const struct pl_node *one = right->children; one != NULL; one = one->next)
      check_choice(checking, one, left);
    return;
  }
  const struct pl_value value = sample(checking, left);
  const struct pl_value many = sample(checking, right);
  if (value.kind == PL_VALUE_NONE || many.kind == PL_VALUE_NONE) return;
  if (many.kind != PL_VALUE_LIST && many.kind != PL_VALUE_RANGE) {
    report_no_list(checking, right, &many);
    return;
  }
  const struct pl_node *one = right->children;
  for (size_t i = 0; i < many.count; i++, one = one == NULL ? NULL : one->next) {
    if (do_compare(PL_EQUAL, &value, &many.many.items[i])) continue;
    const bool written = right->kind == PL_NODE_LIST && one != NULL;
    report_sides(checking, left, &value, written ? one : right, &many.many.items[i]);
    return;
  }
  if (with_tolerance) check_tolerance(checking, left, &value);
  check_usual(checking, left, right);
}

/// How something may be made a condition; null where nothing can be said.
static const char *comparison_for(struct checking *checking, const struct pl_node *node,
                                  const struct pl_value *value) {
  struct pl_arena *const arena = checking->reading->arena;
  struct name name;
  const char *const written = pl_span_text(arena, node->span);
  if (node->kind != PL_NODE_NAME || !read_name(arena, node->name, &name)) return NULL;
  const char *const choices = choices_of_name(&name);
  if (choices[0] != '\0')
    return pl_format(arena, "%s == %.*s", written, (int)strcspn(choices, "|"), choices);
  if (value->kind == PL_VALUE_TEXT) return pl_format(arena, "%s == \"…\"", written);
  const char *const unit = unit_of_name(&name);
  return pl_format(arena, "%s <= 13%s%s", written, unit[0] == '\0' ? "" : " ", unit);
}

/// Is the expression true or not, and do its sides compare?
static void check_condition(struct checking *checking, const struct pl_node *node,
                            bool with_tolerance) {
  if (node->kind == PL_NODE_GROUP && node->children->next == NULL) {
    check_condition(checking, node->children, with_tolerance);
  } else if (node->kind == PL_NODE_NOT) {
    check_condition(checking, node->children, false);
  } else if (node->kind == PL_NODE_BINARY &&
             (node->action == PL_AND || node->action == PL_OR)) {
    check_condition(checking, node->children, with_tolerance);
    check_condition(checking, node->children->next, with_tolerance);
  } else if (node->kind == PL_NODE_BINARY && node->action == PL_IN) {
    check_in(checking, node, with_tolerance);
  } else if (node->kind == PL_NODE_BINARY && node->action >= PL_LESS &&
             node->action <= PL_GREATER) {
    check_comparison(checking, node, with_tolerance);
  } else {
    const struct pl_value value = sample(checking, node);
    pl_report(checking->reading->problems, PL_RULE_NEEDS_CONDITION, node->span,
              PL_WORDS(pl_span_shown(checking->reading->arena, node->span),
                       words_of_value(checking, &value),
                       comparison_for(checking, node, &value)));
  }
}

// ---------------------------------------------------------------- rules that never apply

/// `let`s go before everything else in an expression.
static bool is_let(const struct checking *checking, const struct pl_node *node) {
  return pl_program_has_let(checking->reading->program, node->name);
}

/// A condition in which nothing of an entry stands, and which is not true.
static void check_constant(struct checking *checking) {
  const struct pl_rule *const rule = checking->rule;
  if (rule->condition == NULL || names_something(&checking->judged, rule->condition)) return;
  if (decide(&checking->judged, rule->condition).outcome != PL_FAILS) return;
  pl_report(checking->reading->problems, PL_RULE_NEVER_APPLIES, rule->span,
            PL_WORDS(rule->name,
                     pl_format(checking->reading->arena, "`%s` is never true", rule->when)));
}

/// Does a value stand in it that could not be read? Null is whole.
static bool is_broken(const struct pl_node *node) {
  if (node == NULL) return false;
  if (node->kind == PL_NODE_BROKEN) return true;
  for (const struct pl_node *child = node->children; child != NULL; child = child->next) {
    if (is_broken(child)) return true;
  }
  return false;
}

/// Words that stand side by side somewhere in a condition; null where there are none.
/// Those beside a text want quotes, and are left to whoever tells that.
static const struct pl_node *find_words(struct checking *checking, const struct pl_node *node) {
  if (node == NULL || node->kind == PL_NODE_ROW) return node;
  const bool beside_text =
      node->kind == PL_NODE_BINARY && is_text_name(checking, node->children);
  const struct pl_node *found = NULL;
  for (const struct pl_node *child = node->children;
       child != NULL && found == NULL && !beside_text; child = child->next)
    found = find_words(checking, child);
  return found;
}

/// All that there is to measure for the rule has to have room.
static void check_sights(struct checking *checking) {
  struct pl_verdict everywhere = {.rule = checking->rule, .place = PL_CAR};
  if (!see(&checking->judged, checking->rule, &everywhere))
    pl_report(checking->reading->problems, PL_RULE_SIGHTS, checking->rule->require->span,
              PL_WORDS(checking->rule->name,
                       pl_format(checking->reading->arena, "%d", PL_MOST_SIGHTS)));
}

static void check_rule(struct reading *reading, const struct pl_rules *rules,
                       const struct pl_rule *rule) {
  static const struct pl_entrant nobody = {.class_name = ""};
  struct checking checking = {.reading = reading,
                              .rule = rule,
                              .judged = {.arena = reading->arena,
                                         .rules = rules,
                                         .entrant = &nobody,
                                         .place = place_for(rule->scope),
                                         .only_ask = true}};
  if (is_broken(rule->condition) || is_broken(rule->require) || rule->scope_is_unknown)
    return; // that was reported
  const struct pl_node *const sides[] = {rule->condition, rule->require};
  for (size_t i = 0; i < sizeof sides / sizeof sides[0]; i++) {
    const struct pl_node *const words = find_words(&checking, sides[i]);
    if (words == NULL) continue;
    report_words(&checking, sides[i], words);
    return;
  }
  if (rule->condition != NULL && check_names(&checking, rule->condition, false)) {
    check_condition(&checking, rule->condition, false);
    check_constant(&checking);
    check_class(&checking, rules);
  }
  if (rule->require == NULL || !check_names(&checking, rule->require, false)) return;
  const size_t errors = reading->problems->errors;
  check_condition(&checking, rule->require, true);
  if (reading->problems->errors == errors && !names_something(&checking.judged, rule->require))
    pl_report(reading->problems, PL_RULE_NAMES_NOTHING, rule->require->span,
              PL_WORDS(rule->requires));
  if (reading->problems->errors == errors) check_sights(&checking);
}

void check_rules(struct reading *reading, const struct pl_rules *rules) {
  const size_t errors = reading->problems->errors;
  if (reading->has_no_class)
    pl_report(reading->problems, PL_RULE_NEVER_APPLIES, reading->classes_span,
              PL_WORDS(rules->count == 0 ? "" : rules->items[0].name,
                       "these rules are for no class"));
  for (size_t i = 0; i < rules->count; i++) check_rule(reading, rules, &rules->items[i]);
  if (reading->problems->errors == errors) check_contradictions(reading, rules);
}
