// SPDX-License-Identifier: GPL-3.0-or-later
// The functions of the language: least and greatest, roots, angles, rounding, blends of oil.
#include "room.h"

#include <math.h>
#include <string.h>

/// An argument as a number of a dimension, or a report.
static bool number_argument(struct evaluator *evaluator, const struct pl_node *call,
                            const struct pl_node *node, struct pl_value *value) {
  *value = evaluate(evaluator, node);
  if (value->kind == PL_VALUE_NUMBER) return true;
  if (value->kind != PL_VALUE_NONE)
    pl_report(evaluator->problems, PL_FUNCTION_NEEDS_NUMBER, node->span,
              PL_WORDS(call->name, value_words(evaluator->arena, value)));
  return false;
}

static struct pl_value extreme(struct evaluator *evaluator, const struct pl_node *call,
                               bool greatest) {
  struct pl_value best = value_none();
  const struct pl_node *best_node = call->children;
  for (const struct pl_node *node = call->children; node != NULL; node = node->next) {
    struct pl_value value;
    if (!number_argument(evaluator, call, node, &value)) return value_none();
    if (node != call->children && !pl_dimension_equal(best.dimension, value.dimension))
      return report_misfit(evaluator, PL_CANNOT_COMPARE, call, &best, best_node, &value, node);
    if (node == call->children ||
        (greatest ? value.number > best.number : value.number < best.number)) {
      best = value;
      best_node = node;
    }
  }
  return best;
}

static struct pl_value square_root(struct evaluator *evaluator, const struct pl_node *call,
                                   const struct pl_value *argument) {
  struct pl_dimension root;
  if (argument->absolute || argument->number < 0 ||
      !pl_dimension_root(argument->dimension, &root)) {
    pl_report(evaluator->problems, PL_NO_ROOT, call->span,
              PL_WORDS(node_text_shown(evaluator, call->children),
                       value_words(evaluator->arena, argument)));
    return value_none();
  }
  struct pl_value result = value_number(sqrt(argument->number), root);
  take_tolerance(evaluator, &result, argument, 1 / (2 * result.number), NULL, 0);
  return result;
}

static struct pl_value of_angle(struct evaluator *evaluator, const struct pl_node *call,
                                const struct pl_value *argument) {
  if (!pl_dimension_equal(argument->dimension, PL_ANGLE)) {
    pl_report(evaluator->problems, PL_NEEDS_ANGLE, call->children->span,
              PL_WORDS(call->name, value_words(evaluator->arena, argument)));
    return value_none();
  }
  const double angle = argument->number;
  const double result = call->name[0] == 's'   ? sin(angle)
                        : call->name[0] == 'c' ? cos(angle)
                                               : tan(angle);
  const double slope = call->name[0] == 's'   ? cos(angle)
                       : call->name[0] == 'c' ? -sin(angle)
                                              : 1 + result * result;
  struct pl_value value = finite_number(evaluator, call, result, PL_DIMENSIONLESS);
  take_tolerance(evaluator, &value, argument, slope, NULL, 0);
  return value;
}

/// `round(value, step)`: the nearest multiple of the step; a plain number needs none.
static struct pl_value round_to(struct evaluator *evaluator, const struct pl_node *call,
                                const struct pl_value *argument) {
  struct pl_value step = value_number(1, PL_DIMENSIONLESS);
  const struct pl_node *const step_node = call->children->next;
  if (step_node != NULL && !number_argument(evaluator, call, step_node, &step))
    return value_none();
  if (!pl_dimension_equal(step.dimension, argument->dimension) || step.number <= 0 ||
      argument->absolute || step.absolute) {
    pl_report(evaluator->problems, PL_ROUND_STEP, call->span,
              PL_WORDS(value_words(evaluator->arena, argument)));
    return value_none();
  }
  return value_number(round(argument->number / step.number) * step.number, argument->dimension);
}

/// One argument of `blend`: an oil and its share side by side.
static bool share_of(struct evaluator *evaluator, const struct pl_node *node,
                     struct pl_share *share) {
  if (node->kind != PL_NODE_ROW || node->children->next->next != NULL) {
    pl_report(evaluator->problems, PL_BLEND_SHAPE, node->span, PL_NO_WORDS);
    return false;
  }
  const struct pl_value oil = evaluate_setting(evaluator, PL_SETTING_OIL, node->children);
  const struct pl_value part = evaluate(evaluator, node->children->next);
  if (oil.kind != PL_VALUE_PART || part.kind == PL_VALUE_NONE) return false;
  if (part.kind != PL_VALUE_NUMBER || !pl_dimension_equal(part.dimension, PL_DIMENSIONLESS) ||
      part.number < 0) {
    pl_report(evaluator->problems, PL_BLEND_SHAPE, node->span, PL_NO_WORDS);
    return false;
  }
  *share = (struct pl_share){oil.part, part.number};
  return true;
}

static struct pl_value blend(struct evaluator *evaluator, const struct pl_node *call) {
  size_t count = 0;
  for (const struct pl_node *node = call->children; node != NULL; node = node->next) count++;
  struct pl_share *const shares = pl_alloc_array(evaluator->arena, count, sizeof *shares);
  double sum = 0;
  size_t at = 0;
  for (const struct pl_node *node = call->children; node != NULL; node = node->next) {
    if (!share_of(evaluator, node, &shares[at])) return value_none();
    sum += shares[at++].share;
  }
  if (fabs(sum - 1) > 1e-9) {
    const struct pl_value total = value_number(sum, PL_DIMENSIONLESS);
    pl_report(evaluator->problems, PL_BLEND_SUM, call->span,
              PL_WORDS(pl_format(evaluator->arena, "%g %%", total.number * 100)));
    return value_none();
  }
  const struct pl_part *const oil = part_blended(evaluator, shares, count, call);
  if (oil == NULL) return value_none();
  return (struct pl_value){.kind = PL_VALUE_PART, .part = oil};
}

/// The functions, and how many arguments each takes: one at the least.
static const struct {
  const char *name;
  size_t least, most;
} functions[] = {{"min", 1, 64}, {"max", 1, 64}, {"abs", 1, 1},   {"sqrt", 1, 1}, {"sin", 1, 1},
                 {"cos", 1, 1},  {"tan", 1, 1},  {"round", 1, 2}, {"blend", 1, 8}};
#define FUNCTION_COUNT (sizeof functions / sizeof functions[0])

const char *pl_function_name(size_t which) {
  return which < FUNCTION_COUNT ? functions[which].name : NULL;
}

struct pl_value call_function(struct evaluator *evaluator, const struct pl_node *call) {
  const struct pl_name_lookup *const asker = evaluator->look_up;
  struct pl_value known = value_none();
  if (asker != NULL && asker->call != NULL && asker->call(asker->context, call, &known))
    return known;
  size_t count = 0;
  for (const struct pl_node *node = call->children; node != NULL; node = node->next) count++;
  size_t which = 0;
  while (which < FUNCTION_COUNT && strcmp(functions[which].name, call->name) != 0) which++;
  if (which == FUNCTION_COUNT) {
    const char *names[sizeof functions / sizeof functions[0]];
    for (size_t i = 0; i < FUNCTION_COUNT; i++) names[i] = functions[i].name;
    pl_report(evaluator->problems, PL_UNKNOWN_FUNCTION, pl_name_span(call),
              PL_WORDS(call->name, pl_nearest(call->name, names, FUNCTION_COUNT)));
    return value_none();
  }
  if (count == 0 || count < functions[which].least || count > functions[which].most) {
    const size_t least = functions[which].least;
    const size_t most = functions[which].most;
    const char *const wanted =
        least == most ? pl_format(evaluator->arena, "%zu value%s", most, most == 1 ? "" : "s")
                      : pl_format(evaluator->arena, "%zu to %zu values", least, most);
    pl_report(evaluator->problems, PL_ARGUMENT_COUNT, call->span,
              PL_WORDS(call->name, wanted, pl_format(evaluator->arena, "%zu", count)));
    return value_none();
  }
  if (strcmp(call->name, "blend") == 0) return blend(evaluator, call);
  if (strcmp(call->name, "min") == 0) return extreme(evaluator, call, false);
  if (strcmp(call->name, "max") == 0) return extreme(evaluator, call, true);
  struct pl_value argument;
  if (!number_argument(evaluator, call, call->children, &argument)) return value_none();
  if (strcmp(call->name, "sqrt") == 0) return square_root(evaluator, call, &argument);
  if (strcmp(call->name, "round") == 0) return round_to(evaluator, call, &argument);
  if (strcmp(call->name, "abs") != 0) return of_angle(evaluator, call, &argument);
  if (argument.absolute) return argument;
  take_tolerance(evaluator, &argument, &argument, argument.number < 0 ? -1 : 1, NULL, 0);
  argument.number = fabs(argument.number);
  return argument;
}
