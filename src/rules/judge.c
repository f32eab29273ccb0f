// SPDX-License-Identifier: GPL-3.0-or-later
// Judging: conditions of which parts may be unknown, and the verdicts of an entry.
#include "room.h"

#include <math.h>
#include <string.h>

/// Two numbers that differ by so little of their size are the same one, written in another
/// unit or summed in another order.
#define SAME 1e-9

/// What is not known may reach to infinity, and the hair is then that of the other number.
static double slack_of(double a, double b) {
  return SAME * fmax(isfinite(a) ? fabs(a) : 0, isfinite(b) ? fabs(b) : 0);
}

// ---------------------------------------------------------------- comparing numbers

/// Does `a` relate to `b` as the sign says, if `tolerance` is given away? A hair on the limit
/// counts for the entrant.
static bool holds(enum pl_operator action, double a, double b, double tolerance) {
  const double slack = slack_of(a, b);
  switch (action) {
  case PL_LESS: return tolerance > 0 ? a < b + tolerance + slack : a < b - slack;
  case PL_LESS_EQUAL: return a <= b + tolerance + slack;
  case PL_GREATER: return tolerance > 0 ? a > b - tolerance - slack : a > b + slack;
  case PL_GREATER_EQUAL: return a >= b - tolerance - slack;
  case PL_NOT_EQUAL: return fabs(a - b) > slack;
  default: return fabs(a - b) <= tolerance + slack;
  }
}

/// The same of a number that lies somewhere between two bounds.
static enum pl_outcome holds_between(enum pl_operator action, double least, double greatest,
                                     double limit, double tolerance) {
  const bool low = holds(action, least, limit, tolerance);
  const bool high = holds(action, greatest, limit, tolerance);
  switch (action) {
  case PL_LESS:
  case PL_LESS_EQUAL: return high ? PL_PASSES : low ? PL_CANNOT_BE_JUDGED : PL_FAILS;
  case PL_GREATER:
  case PL_GREATER_EQUAL: return low ? PL_PASSES : high ? PL_CANNOT_BE_JUDGED : PL_FAILS;
  default: {
    const bool apart = greatest < limit - tolerance - slack_of(greatest, limit) ||
                       least > limit + tolerance + slack_of(least, limit);
    if (!apart) return PL_CANNOT_BE_JUDGED;
    return action == PL_NOT_EQUAL ? PL_PASSES : PL_FAILS;
  }
  }
}

/// What comes of two outcomes that both have to hold.
static enum pl_outcome worse(enum pl_outcome one, enum pl_outcome other) {
  if (one == PL_FAILS || other == PL_FAILS) return PL_FAILS;
  return one == PL_CANNOT_BE_JUDGED ? one : other;
}

enum pl_operator turned(enum pl_operator action) {
  switch (action) {
  case PL_LESS: return PL_GREATER;
  case PL_LESS_EQUAL: return PL_GREATER_EQUAL;
  case PL_GREATER: return PL_LESS;
  case PL_GREATER_EQUAL: return PL_LESS_EQUAL;
  default: return action;
  }
}

// ---------------------------------------------------------------- decisions

static struct decision undecided(void) {
  return (struct decision){.outcome = PL_CANNOT_BE_JUDGED,
                           .key = "",
                           .value = {.text = "", .unit = ""},
                           .limit = {.text = "", .unit = ""},
                           .excess = ""};
}

/// What a comparison of an operand tells of it.
static struct decision about(const struct judged *judged, const struct operand *value,
                             const char *unit) {
  struct decision decision = undecided();
  const struct name *const name = value->is_one_name ? &value->name : NULL;
  decision.key = name == NULL ? "" : name->key;
  decision.value = told_value(judged, name, unit, &value->value);
  decision.known = value->known;
  return decision;
}

/// Of min() and max() with unknown parts, what was decided was decided by the bound that is
/// known.
static struct pl_value known_bound(const struct operand *operand) {
  const double bound = isfinite(operand->least) ? operand->least : operand->greatest;
  if (!operand->is_one_name || !isfinite(bound)) return operand->value;
  return (struct pl_value){
      .kind = PL_VALUE_NUMBER, .number = bound, .dimension = operand->dimension};
}

/// Where the bounds of what is not known decide, the bound is told, else nothing. Returns it.
static struct pl_value tell_bound(const struct judged *judged, struct decision *decision,
                                  const struct operand *operand, const char *unit) {
  if (decision->outcome == PL_CANNOT_BE_JUDGED) {
    decision->known = (struct known){.at = {NULL, 0, 0}};
    return (struct pl_value){.kind = PL_VALUE_NONE};
  }
  const struct pl_value value = known_bound(operand);
  decision->value = told_value(judged, &operand->name, unit, &value);
  return value;
}

static struct decision compare_numbers(struct judged *judged, enum pl_operator action,
                                       const struct operand *value, const struct operand *limit,
                                       const struct pl_node *limit_node) {
  const struct name *const name = value->is_one_name   ? &value->name
                                  : limit->is_one_name ? &limit->name
                                                       : NULL;
  const char *const unit = unit_written(judged, limit_node, &limit->value);
  struct decision decision = about(judged, value, unit);
  decision.limit = told_limit(judged, name, limit_node, &limit->value);
  if (limit->value.kind != PL_VALUE_NUMBER) return decision;
  const double bound = limit->value.number;
  struct pl_value told = value->value;
  if (told.kind == PL_VALUE_NUMBER) {
    const bool plain = holds(action, told.number, bound, 0);
    const bool kind = plain || holds(action, told.number, bound, judged->tolerance);
    decision.outcome = kind ? PL_PASSES : PL_FAILS;
    decision.tolerance_used = kind && !plain;
  } else {
    decision.outcome =
        holds_between(action, value->least, value->greatest, bound, judged->tolerance);
    told = tell_bound(judged, &decision, value, unit);
  }
  if (decision.outcome == PL_FAILS && action != PL_NOT_EQUAL && told.kind == PL_VALUE_NUMBER)
    decision.excess =
        told_difference(judged, name, unit, fabs(told.number - bound), limit->value.dimension);
  return decision;
}

/// Texts and everything else that is only the same or not.
static struct decision compare_others(struct judged *judged, enum pl_operator action,
                                      const struct operand *value,
                                      const struct operand *limit) {
  struct decision decision = about(judged, value, "");
  const struct name *const name = value->is_one_name ? &value->name : NULL;
  decision.limit = told_value(judged, name, "", &limit->value);
  if (value->value.kind == PL_VALUE_NONE || limit->value.kind == PL_VALUE_NONE) return decision;
  const bool same = pl_value_equal(&value->value, &limit->value);
  decision.outcome = same == (action == PL_EQUAL) ? PL_PASSES : PL_FAILS;
  return decision;
}

/// A bare word beside a choice is one of its words: `compensation == bladder`.
static struct operand operand_beside(struct judged *judged, const struct pl_node *node,
                                     const struct pl_node *other) {
  struct name name;
  struct name own;
  if (node->kind == PL_NODE_NAME && other->kind == PL_NODE_NAME &&
      read_name(judged->arena, other->name, &name) && choices_of_name(&name)[0] != '\0' &&
      !read_name(judged->arena, node->name, &own))
    return (struct operand){.value = {.kind = PL_VALUE_TEXT, .text = node->name},
                            .least = -INFINITY,
                            .greatest = INFINITY};
  return operand_of(judged, node);
}

static struct decision decide_comparison(struct judged *judged, const struct pl_node *node) {
  const struct pl_node *const left_node = node->children;
  const struct pl_node *const right_node = left_node->next;
  struct operand left = operand_beside(judged, left_node, right_node);
  struct operand right = operand_beside(judged, right_node, left_node);
  enum pl_operator action = node->action;
  const struct pl_node *limit_node = right_node;
  // The side that is the entry's is the value, the other one the limit.
  if (!left.has_name && right.has_name) {
    limit_node = left_node;
    const struct operand kept = left;
    left = right;
    right = kept;
    action = turned(action);
  }
  const bool numbers = left.value.kind == PL_VALUE_NUMBER ||
                       right.value.kind == PL_VALUE_NUMBER ||
                       (action != PL_EQUAL && action != PL_NOT_EQUAL);
  return numbers ? compare_numbers(judged, action, &left, &right, limit_node)
                 : compare_others(judged, action, &left, &right);
}

// ---------------------------------------------------------------- in

/// Is a number one of a list, or within a range? `*beyond` is how far it is from the nearest.
static bool is_in(const struct pl_value *many, double number, double tolerance,
                  double *beyond) {
  *beyond = INFINITY;
  if (many->kind == PL_VALUE_RANGE) {
    const double least = many->many.items[0].number;
    const double greatest = many->many.items[1].number;
    *beyond = fmax(least - number, number - greatest);
    return holds(PL_GREATER_EQUAL, number, least, tolerance) &&
           holds(PL_LESS_EQUAL, number, greatest, tolerance);
  }
  bool found = false;
  for (size_t i = 0; i < many->count; i++) {
    const double away = fabs(number - many->many.items[i].number);
    if (away < *beyond) *beyond = away;
    found = found || holds(PL_EQUAL, number, many->many.items[i].number, tolerance);
  }
  return found;
}

static bool is_text_in(const struct pl_value *many, const struct pl_value *value) {
  for (size_t i = 0; i < many->count; i++) {
    if (pl_value_equal(&many->many.items[i], value)) return true;
  }
  return false;
}

/// Is a number that lies somewhere between two bounds one of a list, or within a range?
static enum pl_outcome is_in_between(const struct pl_value *many, const struct operand *value,
                                     double tolerance) {
  if (many->kind == PL_VALUE_RANGE)
    return worse(holds_between(PL_GREATER_EQUAL, value->least, value->greatest,
                               many->many.items[0].number, tolerance),
                 holds_between(PL_LESS_EQUAL, value->least, value->greatest,
                               many->many.items[1].number, tolerance));
  for (size_t i = 0; i < many->count; i++) {
    if (holds_between(PL_EQUAL, value->least, value->greatest, many->many.items[i].number,
                      tolerance) != PL_FAILS)
      return PL_CANNOT_BE_JUDGED;
  }
  return PL_FAILS;
}

/// A list of words of a choice may be written without quotes.
static struct pl_value words_of(struct judged *judged, const struct pl_node *list) {
  size_t count = 0;
  for (const struct pl_node *one = list->children; one != NULL; one = one->next) count++;
  struct pl_value *const items = pl_alloc_array(judged->arena, count, sizeof *items);
  size_t at = 0;
  for (const struct pl_node *one = list->children; one != NULL; one = one->next)
    items[at++] = (struct pl_value){.kind = PL_VALUE_TEXT, .text = one->name};
  return (struct pl_value){.kind = PL_VALUE_LIST, .count = count, .many = {.items = items}};
}

static struct decision decide_in(struct judged *judged, const struct pl_node *node) {
  const struct operand value = operand_of(judged, node->children);
  const struct pl_node *const many_node = node->children->next;
  const bool words = value.is_one_name && choices_of_name(&value.name)[0] != '\0' &&
                     many_node->kind == PL_NODE_LIST;
  const struct pl_value many =
      words ? words_of(judged, many_node) : operand_of(judged, many_node).value;
  const struct name *const name = value.is_one_name ? &value.name : NULL;
  const char *const unit = words ? "" : unit_written(judged, many_node, &many);
  struct decision decision = about(judged, &value, unit);
  decision.limit = told_limit(judged, name, many_node, &many);
  if (many.kind != PL_VALUE_LIST && many.kind != PL_VALUE_RANGE) return decision;
  struct pl_value told = value.value;
  if (told.kind == PL_VALUE_NONE) {
    decision.outcome = is_in_between(&many, &value, judged->tolerance);
    told = tell_bound(judged, &decision, &value, unit);
  } else if (told.kind != PL_VALUE_NUMBER) {
    decision.outcome = is_text_in(&many, &told) ? PL_PASSES : PL_FAILS;
  }
  if (told.kind != PL_VALUE_NUMBER) return decision;
  double beyond = 0;
  const bool plain = is_in(&many, told.number, 0, &beyond);
  const bool kind = plain || is_in(&many, told.number, judged->tolerance, &beyond);
  if (value.value.kind == PL_VALUE_NUMBER) {
    decision.outcome = kind ? PL_PASSES : PL_FAILS;
    decision.tolerance_used = kind && !plain;
  }
  if (decision.outcome == PL_FAILS && !kind && isfinite(beyond))
    decision.excess = told_difference(judged, name, unit, beyond, told.dimension);
  return decision;
}

// ---------------------------------------------------------------- and, or, not

/// Of two decisions that both have to hold, the one that decides: a failure, then what cannot
/// be judged, then what passes by the tolerance.
static struct decision both(struct decision one, struct decision other) {
  if (one.outcome == PL_FAILS) return one;
  if (other.outcome == PL_FAILS) return other;
  if (one.outcome == PL_CANNOT_BE_JUDGED) return one;
  if (other.outcome == PL_CANNOT_BE_JUDGED) return other;
  return other.tolerance_used && !one.tolerance_used ? other : one;
}

/// Of two of which one has to hold: one that passes, and without the tolerance if there is one.
static struct decision either(struct decision one, struct decision other) {
  if (one.outcome == PL_PASSES && !(one.tolerance_used && other.outcome == PL_PASSES))
    return one;
  if (other.outcome == PL_PASSES) return other;
  if (one.outcome == PL_CANNOT_BE_JUDGED) return one;
  if (other.outcome == PL_CANNOT_BE_JUDGED) return other;
  return one;
}

static struct decision decide_not(struct judged *judged, const struct pl_node *node) {
  // What is given away for a rule is not taken away from it.
  const double tolerance = judged->tolerance;
  judged->tolerance = 0;
  struct decision decision = decide(judged, node->children);
  judged->tolerance = tolerance;
  if (decision.outcome != PL_CANNOT_BE_JUDGED)
    decision.outcome = decision.outcome == PL_PASSES ? PL_FAILS : PL_PASSES;
  decision.excess = "";
  return decision;
}

struct decision decide(struct judged *judged, const struct pl_node *node) {
  if (node->kind == PL_NODE_GROUP && node->children->next == NULL)
    return decide(judged, node->children);
  if (node->kind == PL_NODE_NOT) return decide_not(judged, node);
  if (node->kind != PL_NODE_BINARY) return undecided(); // that was reported
  if (node->action == PL_AND || node->action == PL_OR) {
    const struct decision left = decide(judged, node->children);
    const struct decision right = decide(judged, node->children->next);
    return node->action == PL_AND ? both(left, right) : either(left, right);
  }
  return node->action == PL_IN ? decide_in(judged, node) : decide_comparison(judged, node);
}
