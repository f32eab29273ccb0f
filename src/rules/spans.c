// SPDX-License-Identifier: GPL-3.0-or-later
// What rules leave of a thing. Only plain comparisons of one name with a number are looked at,
// joined by `and`: for these it is certain what is left, and they are what rules are made of.
#include "spans.h"

#include <math.h>
#include <string.h>

/// Most numbers of a list that are compared; a longer list is taken to leave everything.
#define LIST_LIMIT 64

/// What is left of a thing: a span, and within it a list of numbers if there is one.
struct span {
  const struct pl_rule *rule;
  const char *path;    ///< as it is written
  struct span *before; ///< the one of an earlier rule on the same path; null: none
  double least;
  double greatest;
  bool listed; ///< is there a list?
  double list[LIST_LIMIT];
  size_t count;
};

/// The spans of a set of rules.
struct spans {
  struct judged judged;
  struct span *items;
  size_t count;
  size_t capacity;
};

// ---------------------------------------------------------------- gathering

/// The span of a path within one rule, a new one at first.
static struct span *span_of(struct spans *spans, const struct pl_rule *rule, const char *path) {
  // Those of a rule are the last ones.
  for (size_t i = spans->count; i > 0 && spans->items[i - 1].rule == rule; i--) {
    if (strcmp(spans->items[i - 1].path, path) == 0) return &spans->items[i - 1];
  }
  spans->items = pl_grow(spans->judged.arena, spans->items, spans->count, &spans->capacity,
                         sizeof *spans->items);
  struct span *const span = &spans->items[spans->count++];
  *span = (struct span){.rule = rule, .path = path, .least = -INFINITY, .greatest = INFINITY};
  return span;
}

static void narrow(struct span *span, enum pl_operator action, double limit, double tolerance) {
  if (action == PL_LESS || action == PL_LESS_EQUAL || action == PL_EQUAL)
    span->greatest = fmin(span->greatest, limit + tolerance);
  if (action == PL_GREATER || action == PL_GREATER_EQUAL || action == PL_EQUAL)
    span->least = fmax(span->least, limit - tolerance);
}

/// Keeps the numbers of the span's list that a further list has, too.
static void keep_listed(struct span *span, const struct pl_value *many, double tolerance) {
  size_t kept = 0;
  for (size_t i = 0; i < span->count; i++) {
    const double slack = 2 * tolerance + 1e-9 * fabs(span->list[i]);
    bool both = false;
    for (size_t j = 0; j < many->count && !both; j++)
      both = fabs(many->many.items[j].number - span->list[i]) <= slack;
    if (both) span->list[kept++] = span->list[i];
  }
  span->count = kept;
}

static void narrow_in(struct span *span, const struct pl_value *many, double tolerance) {
  if (many->kind == PL_VALUE_RANGE) {
    narrow(span, PL_GREATER_EQUAL, many->many.items[0].number, tolerance);
    narrow(span, PL_LESS_EQUAL, many->many.items[1].number, tolerance);
    return;
  }
  if (many->kind != PL_VALUE_LIST || many->count > LIST_LIMIT) return;
  for (size_t i = 0; i < many->count; i++) {
    if (many->many.items[i].kind != PL_VALUE_NUMBER) return;
  }
  if (span->listed)
    keep_listed(span, many, tolerance);
  else
    for (size_t i = 0; i < many->count; i++)
      span->list[span->count++] = many->many.items[i].number;
  span->listed = true;
}

static void gather(struct spans *spans, const struct pl_rule *rule,
                   const struct pl_node *node) {
  if (node->kind == PL_NODE_GROUP && node->children->next == NULL) {
    gather(spans, rule, node->children);
    return;
  }
  if (node->kind != PL_NODE_BINARY) return;
  const struct pl_node *const left = node->children;
  const struct pl_node *const right = left->next;
  if (node->action == PL_AND) {
    gather(spans, rule, left);
    gather(spans, rule, right);
    return;
  }
  struct name name;
  if (left->kind != PL_NODE_NAME || !read_name(spans->judged.arena, left->name, &name) ||
      !is_number_name(&name) || names_something(&spans->judged, right))
    return;
  const struct pl_value limit = operand_of(&spans->judged, right).value;
  if (node->action == PL_IN)
    narrow_in(span_of(spans, rule, left->name), &limit, rule->tolerance);
  else if (limit.kind == PL_VALUE_NUMBER && node->action >= PL_LESS &&
           node->action <= PL_GREATER)
    narrow(span_of(spans, rule, left->name), node->action, limit.number, rule->tolerance);
}

// ---------------------------------------------------------------- comparing

/// Is one of the numbers of a span's list within both spans?
static bool list_meets(const struct span *with_list, const struct span *other) {
  for (size_t i = 0; i < with_list->count; i++) {
    const double number = with_list->list[i];
    const double slack =
        with_list->rule->tolerance + other->rule->tolerance + 1e-9 * fabs(number);
    const bool within = number >= with_list->least - slack &&
                        number <= with_list->greatest + slack &&
                        number >= other->least - slack && number <= other->greatest + slack;
    if (!within) continue;
    if (!other->listed) return true;
    for (size_t j = 0; j < other->count; j++) {
      if (fabs(other->list[j] - number) <= slack) return true;
    }
  }
  return false;
}

static bool leave_something(const struct span *a, const struct span *b) {
  if (a->listed) return list_meets(a, b);
  if (b->listed) return list_meets(b, a);
  const double least = fmax(a->least, b->least);
  const double greatest = fmin(a->greatest, b->greatest);
  return least <= greatest + 1e-9 * fabs(greatest);
}

/// Do both rules apply to the same entries, as far as that is certain?
static bool apply_together(const struct pl_rule *a, const struct pl_rule *b) {
  return a->scope == b->scope && strcmp(a->when, b->when) == 0;
}

void check_contradictions(struct reading *reading, const struct pl_rules *rules) {
  static const struct pl_entrant nobody = {.class_name = ""};
  struct spans spans = {
      .judged = {
          .arena = reading->arena, .rules = rules, .entrant = &nobody, .only_ask = true}};
  for (size_t i = 0; i < rules->count; i++) {
    if (rules->items[i].require != NULL)
      gather(&spans, &rules->items[i], rules->items[i].require);
  }
  struct pl_map *const last = pl_map_new(reading->arena);
  for (size_t i = 0; i < spans.count; i++) {
    struct span *const one = &spans.items[i];
    one->before = pl_map_set(last, one->path, one);
    if (!leave_something(one, one)) {
      pl_report(reading->problems, PL_RULE_NEVER_TRUE, one->rule->require->span,
                PL_WORDS(one->path));
      continue;
    }
    for (const struct span *other = one->before; other != NULL; other = other->before) {
      if (!apply_together(one->rule, other->rule) || leave_something(one, other)) continue;
      struct pl_diagnostic *const problem =
          pl_report(reading->problems, PL_RULE_CONTRADICTS, one->rule->require->span,
                    PL_WORDS(other->rule->name, one->path));
      pl_relate(problem, other->rule->require->span, "the other one is here");
    }
  }
}
