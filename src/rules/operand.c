// SPDX-License-Identifier: GPL-3.0-or-later
// Sides of comparisons: values of an entry, numbers made of them, and functions over corners,
// of which parts may be unknown.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- names within an expression

/// The language's evaluator asks here for what a name stands for; NONE where it is not known,
/// and everything made of it is then NONE as well.
static bool find_name(void *context, const struct pl_node *node, struct pl_value *value) {
  struct judged *const judged = context;
  struct name name;
  if (!read_name(judged->arena, node->name, &name)) return false;
  const enum pl_place place = place_of_name(&name, judged->place);
  *value = (struct pl_value){.kind = PL_VALUE_NONE};
  if (place != PL_PLACE_COUNT) *value = known_of(judged, &name, place).value;
  return true;
}

static bool call_over_corners(void *context, const struct pl_node *call,
                              struct pl_value *value);

static struct pl_value value_of(struct judged *judged, const struct pl_node *node) {
  const struct pl_name_lookup look_up = {
      .find = find_name, .call = call_over_corners, .context = judged};
  return pl_evaluate(judged->rules->program, node, &look_up);
}

// ---------------------------------------------------------------- functions over corners

enum over over_of(const struct judged *judged, const struct pl_node *call) {
  static const char *const names[] = {"", "min", "max", "sum", "count"};
  enum over over = OVER_NONE;
  for (size_t i = 1; i < sizeof names / sizeof names[0]; i++) {
    if (strcmp(names[i], call->name) == 0) over = (enum over)i;
  }
  const bool one = call->children != NULL && call->children->next == NULL;
  if (over == OVER_NONE || !one) return OVER_NONE;
  const unsigned places = places_of_argument(judged->arena, call->children, judged->place);
  return places == 0 && over != OVER_SUM && over != OVER_COUNT ? OVER_NONE : over;
}

/// What a function found over its places.
struct tally {
  size_t known;
  size_t unknown;
  double sum;
  double least;
  double greatest;
  struct known least_from; ///< what is known of the corner that has the least
  struct known greatest_from;
  struct pl_dimension dimension;
  bool absolute;
  bool is_number; ///< of all that is known
};

static void add_to(struct tally *tally, const struct operand *operand) {
  const struct pl_value *const value = &operand->value;
  if (value->kind == PL_VALUE_NONE) {
    tally->unknown++;
    return;
  }
  tally->is_number = tally->is_number && value->kind == PL_VALUE_NUMBER;
  const double number = value->kind == PL_VALUE_NUMBER ? value->number : 0;
  if (tally->known == 0 || number < tally->least) {
    tally->least = number;
    tally->least_from = operand->known;
  }
  if (tally->known == 0 || number > tally->greatest) {
    tally->greatest = number;
    tally->greatest_from = operand->known;
  }
  tally->sum += number;
  tally->dimension = value->dimension;
  tally->absolute = value->absolute;
  tally->known++;
}

static struct tally tally_of(struct judged *judged, const struct pl_node *argument) {
  struct tally tally = {.is_number = true};
  const enum pl_place here = judged->place;
  const unsigned places = places_of_argument(judged->arena, argument, here);
  for (int place = 0; place <= PL_REAR; place++) {
    if ((places & 1u << place) == 0) continue;
    judged->place = (enum pl_place)place;
    const struct operand operand = operand_of(judged, argument);
    add_to(&tally, &operand);
  }
  judged->place = here;
  return tally;
}

static struct pl_value number_of(const struct tally *tally, double number, bool counts) {
  return (struct pl_value){.kind = PL_VALUE_NUMBER,
                           .number = number,
                           .absolute = !counts && tally->absolute,
                           .dimension = counts ? PL_DIMENSIONLESS : tally->dimension};
}

/// A function's operand: its value, or the bounds that what is known gives.
static struct operand over_corners(struct judged *judged, const struct pl_node *call,
                                   enum over over) {
  const struct tally tally = tally_of(judged, call->children);
  struct operand operand = {.value = {.kind = PL_VALUE_NONE},
                            .least = -INFINITY,
                            .greatest = INFINITY,
                            .dimension =
                                over == OVER_COUNT ? PL_DIMENSIONLESS : tally.dimension,
                            .has_name = true};
  if (over == OVER_COUNT) {
    operand.least = (double)tally.known;
    operand.greatest = (double)(tally.known + tally.unknown);
    if (tally.unknown == 0) operand.value = number_of(&tally, operand.least, true);
    return operand;
  }
  if (tally.known == 0 || !tally.is_number) return operand;
  if (over == OVER_MIN) {
    operand.greatest = tally.least;
    operand.known = tally.least_from;
  } else if (over == OVER_MAX) {
    operand.least = tally.greatest;
    operand.known = tally.greatest_from;
  }
  if (tally.unknown > 0) return operand;
  operand.value = number_of(&tally,
                            over == OVER_MIN   ? tally.least
                            : over == OVER_MAX ? tally.greatest
                                               : tally.sum,
                            false);
  return operand;
}

static bool call_over_corners(void *context, const struct pl_node *call,
                              struct pl_value *value) {
  struct judged *const judged = context;
  const enum over over = over_of(judged, call);
  if (over == OVER_NONE) return false;
  *value = over_corners(judged, call, over).value;
  return true;
}

// ---------------------------------------------------------------- operands

bool names_something(const struct judged *judged, const struct pl_node *node) {
  struct name name;
  if (node->kind == PL_NODE_NAME && read_name(judged->arena, node->name, &name)) return true;
  for (const struct pl_node *child = node->children; child != NULL; child = child->next) {
    if (names_something(judged, child)) return true;
  }
  return false;
}

/// The one thing that an expression tells of: itself, or what a function over corners goes
/// over.
static bool name_in(const struct judged *judged, const struct pl_node *node,
                    struct name *name) {
  if (node->kind == PL_NODE_GROUP && node->children->next == NULL)
    return name_in(judged, node->children, name);
  if (node->kind == PL_NODE_NAME) return read_name(judged->arena, node->name, name);
  const enum over over = node->kind == PL_NODE_CALL ? over_of(judged, node) : OVER_NONE;
  return over != OVER_NONE && over != OVER_COUNT && name_in(judged, node->children, name);
}

struct operand operand_of(struct judged *judged, const struct pl_node *node) {
  if (node->kind == PL_NODE_GROUP && node->children->next == NULL)
    return operand_of(judged, node->children);
  struct operand operand = {.least = -INFINITY, .greatest = INFINITY};
  const enum over over = node->kind == PL_NODE_CALL ? over_of(judged, node) : OVER_NONE;
  if (over != OVER_NONE) {
    operand = over_corners(judged, node, over);
    operand.is_one_name = name_in(judged, node, &operand.name);
    return operand;
  }
  operand.is_one_name = node->kind == PL_NODE_NAME && name_in(judged, node, &operand.name);
  if (operand.is_one_name) {
    const enum pl_place place = place_of_name(&operand.name, judged->place);
    if (place != PL_PLACE_COUNT) operand.known = known_of(judged, &operand.name, place);
    operand.value = operand.known.value;
  } else {
    operand.value = value_of(judged, node);
  }
  operand.has_name = operand.is_one_name || names_something(judged, node);
  return operand;
}
