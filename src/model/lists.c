// SPDX-License-Identifier: GPL-3.0-or-later
// Values that hold others: lists, values side by side, and ranges.
#include "room.h"

static struct pl_value report_long_list(struct evaluator *evaluator,
                                        const struct pl_node *node) {
  pl_report(evaluator->problems, PL_LIST_TOO_LONG, node->span,
            PL_WORDS(pl_format(evaluator->arena, "%d", PL_MOST_LIST_VALUES)));
  return value_none();
}

static bool has_items(const struct pl_value *value) {
  return value->kind == PL_VALUE_LIST || value->kind == PL_VALUE_ROW ||
         value->kind == PL_VALUE_RANGE;
}

struct pl_value evaluate_list(struct evaluator *evaluator, const struct pl_node *node,
                              enum pl_value_kind kind) {
  size_t count = 0;
  for (const struct pl_node *child = node->children; child != NULL; child = child->next)
    count++;
  if (count > PL_MOST_LIST_VALUES) return report_long_list(evaluator, node);
  struct pl_value *const items = pl_alloc_array(evaluator->arena, count + 1, sizeof *items);
  size_t at = 0;
  double total = 0;
  bool whole = true;
  for (const struct pl_node *child = node->children; child != NULL; child = child->next) {
    items[at] = evaluate(evaluator, child);
    total += has_items(&items[at]) ? items[at].number : 1;
    if (items[at++].kind == PL_VALUE_NONE) whole = false;
  }
  if (!whole) return value_none();
  if (total > PL_MOST_LIST_VALUES) return report_long_list(evaluator, node);
  return (struct pl_value){.kind = kind, .number = total, .count = count, .many.items = items};
}

struct pl_value evaluate_range(struct evaluator *evaluator, const struct pl_node *node) {
  const struct pl_value range = evaluate_list(evaluator, node, PL_VALUE_RANGE);
  if (range.kind == PL_VALUE_NONE) return range;
  const struct pl_value *const least = &range.many.items[0];
  const struct pl_value *const greatest = &range.many.items[1];
  if (least->kind != PL_VALUE_NUMBER || greatest->kind != PL_VALUE_NUMBER ||
      !pl_dimension_equal(least->dimension, greatest->dimension)) {
    pl_report(evaluator->problems, PL_RANGE_ENDS, node->span,
              PL_WORDS(value_words(evaluator->arena, least),
                       value_words(evaluator->arena, greatest)));
    return value_none();
  }
  if (least->number > greatest->number) {
    pl_report(evaluator->problems, PL_RANGE_REVERSED, node->span,
              PL_WORDS(node_text_shown(evaluator, node->children->next),
                       node_text_shown(evaluator, node->children)));
    return value_none();
  }
  return range;
}
