// SPDX-License-Identifier: GPL-3.0-or-later
// What rules require, read so that it can be said in words: comparisons of one thing of the
// entry with what is none, and of one side or axle with the other. Everything else speaks for
// itself.
#include "room.h"

#include <string.h>

/// Most parts that `and` or `or` joins into one sentence.
#define PART_LIMIT 8

struct limits {
  struct judged judged; ///< that only asks
  struct pl_limit parts[PART_LIMIT];
  size_t count;
};

static const struct pl_limit as_written = {.shape = PL_LIMIT_AS_WRITTEN, .unit = ""};

static const struct pl_node *without_brackets(const struct pl_node *node) {
  while (node->kind == PL_NODE_GROUP && node->children->next == NULL) node = node->children;
  return node;
}

// ---------------------------------------------------------------- values

/// A number in that unit without it, a word as it is; null for anything else.
static const char *value_words(struct limits *limits, const struct pl_value *value,
                               const char *unit) {
  struct pl_arena *const arena = limits->judged.arena;
  if (value->kind == PL_VALUE_TEXT) return value->text;
  if (value->kind != PL_VALUE_NUMBER) return NULL;
  const struct pl_unit scale = pl_unit_named(unit);
  if (!pl_dimension_equal(scale.dimension, value->dimension)) return NULL;
  char space[40];
  pl_number_shortest(space, sizeof space, pl_from_si(value->number, &scale), 9);
  return pl_copy_text(arena, space, strlen(space));
}

/// The values that a limit's side stands for: of a list and a range its items. Where it has no
/// unit of its own, as by a `let`, they are in the one of the table.
static bool read_values(struct limits *limits, const struct pl_node *side,
                        const char *table_unit, struct pl_limit *limit) {
  struct judged *const judged = &limits->judged;
  const struct pl_value value = operand_of(judged, side).value;
  const bool many = value.kind == PL_VALUE_LIST || value.kind == PL_VALUE_RANGE;
  const size_t count = many ? value.count : 1;
  const char *const written = unit_written(judged, side, &value);
  const char *const unit = written[0] == '\0' ? table_unit : written;
  const char **const words = pl_alloc_array(judged->arena, count, sizeof *words);
  for (size_t i = 0; i < count; i++) {
    const struct pl_value *const one = many ? &value.many.items[i] : &value;
    words[i] = value_words(limits, one, unit);
    if (words[i] == NULL) return false;
    limit->is_number = one->kind == PL_VALUE_NUMBER;
  }
  limit->values = words;
  limit->count = count;
  limit->unit = pl_unit_shown(unit);
  return count > 0;
}

/// Words of a choice stand without quotes: one, or a list of them.
static bool read_choices(struct limits *limits, const struct pl_node *side,
                         struct pl_limit *limit) {
  const bool list = side->kind == PL_NODE_LIST;
  const struct pl_node *const first = list ? side->children : side;
  size_t count = 0;
  for (const struct pl_node *one = first; one != NULL; one = list ? one->next : NULL) {
    if (one->kind != PL_NODE_NAME && one->kind != PL_NODE_TEXT) return false;
    count++;
  }
  const char **const words = pl_alloc_array(limits->judged.arena, count, sizeof *words);
  size_t at = 0;
  for (const struct pl_node *one = first; one != NULL; one = list ? one->next : NULL)
    words[at++] = one->name;
  limit->values = words;
  limit->count = count;
  limit->unit = "";
  return count > 0;
}

// ---------------------------------------------------------------- comparisons

/// The one thing of the entry that a side is, alone or under a function over corners.
static bool read_thing(struct limits *limits, const struct pl_node *side, struct name *name,
                       enum over *over) {
  struct judged *const judged = &limits->judged;
  *over = side->kind == PL_NODE_CALL ? over_of(judged, side) : OVER_NONE;
  const struct pl_node *const node =
      *over == OVER_NONE ? side : without_brackets(side->children);
  return node->kind == PL_NODE_NAME &&
         !pl_program_has_let(judged->rules->program, node->name) &&
         read_name(judged->arena, node->name, name);
}

static bool are_words(const char *one, const char *other, const char *first,
                      const char *second) {
  return (strcmp(one, first) == 0 && strcmp(other, second) == 0) ||
         (strcmp(one, second) == 0 && strcmp(other, first) == 0);
}

/// `left.x == right.x`, `front.x == rear.x`.
static struct pl_limit same_at_both(struct limits *limits, const struct pl_node *left,
                                    const struct pl_node *right) {
  struct name a;
  struct name b;
  enum over over;
  struct pl_limit limit = as_written;
  if (!read_thing(limits, left, &a, &over) || over != OVER_NONE ||
      !read_thing(limits, right, &b, &over) || over != OVER_NONE || !is_same_thing(&a, &b))
    return as_written;
  limit.thing = thing_of_name(&a);
  if (are_words(a.place, b.place, "left", "right"))
    limit.shape = PL_LIMIT_SAME_SIDES;
  else if (are_words(a.place, b.place, "front", "rear"))
    limit.shape = PL_LIMIT_SAME_AXLES;
  return limit;
}

static enum pl_limit_shape shape_of(enum pl_operator action) {
  switch (action) {
  case PL_LESS: return PL_LIMIT_BELOW;
  case PL_LESS_EQUAL: return PL_LIMIT_AT_MOST;
  case PL_GREATER: return PL_LIMIT_ABOVE;
  case PL_GREATER_EQUAL: return PL_LIMIT_AT_LEAST;
  case PL_NOT_EQUAL: return PL_LIMIT_NOT;
  case PL_EQUAL: return PL_LIMIT_EXACTLY;
  default: return PL_LIMIT_AS_WRITTEN;
  }
}

/// Each of several keeps an upper limit if the greatest does, a lower one if the least does.
static bool reads_as_each(enum over over, enum pl_limit_shape shape) {
  return (over == OVER_MAX && (shape == PL_LIMIT_AT_MOST || shape == PL_LIMIT_BELOW)) ||
         (over == OVER_MIN && (shape == PL_LIMIT_AT_LEAST || shape == PL_LIMIT_ABOVE));
}

static struct pl_limit limit_of(struct limits *limits, const struct pl_node *side,
                                const struct pl_node *bound, enum pl_limit_shape shape) {
  struct pl_limit limit = {.shape = shape, .unit = ""};
  struct name name;
  enum over over;
  if (!read_thing(limits, side, &name, &over)) return as_written;
  if (names_something(&limits->judged, bound) && choices_of_name(&name)[0] == '\0')
    return as_written;
  // A place of its own in front of the name would be lost.
  if (name.place[0] != '\0') return as_written;
  limit.thing = thing_of_name(&name);
  if (reads_as_each(over, shape))
    limit.over = PL_LIMIT_OF_EACH;
  else if (over == OVER_SUM)
    limit.over = PL_LIMIT_OF_SUM;
  else if (over == OVER_COUNT)
    limit.over = PL_LIMIT_OF_NUMBER;
  else if (over != OVER_NONE)
    return as_written;
  const bool read =
      choices_of_name(&name)[0] != '\0' && over == OVER_NONE
          ? read_choices(limits, bound, &limit)
          : read_values(limits, bound, over == OVER_COUNT ? "" : unit_of_name(&name), &limit);
  return read ? limit : as_written;
}

static struct pl_limit comparison(struct limits *limits, const struct pl_node *node) {
  const struct pl_node *const left = without_brackets(node->children);
  const struct pl_node *const right = without_brackets(node->children->next);
  if (node->action == PL_IN) {
    // A `let` may stand for a list as well as for a range.
    const struct pl_value many = operand_of(&limits->judged, right).value;
    return limit_of(limits, left, right,
                    right->kind == PL_NODE_RANGE || many.kind == PL_VALUE_RANGE
                        ? PL_LIMIT_BETWEEN
                        : PL_LIMIT_ONE_OF);
  }
  const enum pl_limit_shape shape = shape_of(node->action);
  if (shape == PL_LIMIT_AS_WRITTEN) return as_written;
  const struct pl_limit limit = limit_of(limits, left, right, shape);
  if (limit.shape != PL_LIMIT_AS_WRITTEN) return limit;
  if (shape == PL_LIMIT_EXACTLY) {
    const struct pl_limit same = same_at_both(limits, left, right);
    if (same.shape != PL_LIMIT_AS_WRITTEN) return same;
  }
  return limit_of(limits, right, left, shape_of(turned(node->action)));
}

// ---------------------------------------------------------------- and, or

/// Gathers what one operator joins; false where something in it speaks for itself.
static bool gather(struct limits *limits, const struct pl_node *node, enum pl_operator join) {
  node = without_brackets(node);
  if (node->kind != PL_NODE_BINARY) return false;
  if (node->action == join)
    return gather(limits, node->children, join) && gather(limits, node->children->next, join);
  if (node->action == PL_AND || node->action == PL_OR || limits->count == PART_LIMIT)
    return false;
  const struct pl_limit limit = comparison(limits, node);
  limits->parts[limits->count++] = limit;
  return limit.shape != PL_LIMIT_AS_WRITTEN;
}

/// `x >= 1 mm and x <= 2 mm` is a span.
static bool is_span(const struct pl_limit *least, const struct pl_limit *greatest) {
  return least->shape == PL_LIMIT_AT_LEAST && greatest->shape == PL_LIMIT_AT_MOST &&
         least->over == PL_LIMIT_OF_ONE && greatest->over == PL_LIMIT_OF_ONE &&
         pl_rule_thing_same(&least->thing, &greatest->thing) &&
         strcmp(least->unit, greatest->unit) == 0;
}

static struct pl_limit joined(struct limits *limits, enum pl_operator join) {
  struct pl_arena *const arena = limits->judged.arena;
  const struct pl_limit *const parts = limits->parts;
  const bool rising = is_span(&parts[0], &parts[1]);
  if (join == PL_AND && limits->count == 2 && (rising || is_span(&parts[1], &parts[0]))) {
    const char **const ends = pl_alloc_array(arena, 2, sizeof *ends);
    ends[0] = parts[rising ? 0 : 1].values[0];
    ends[1] = parts[rising ? 1 : 0].values[0];
    struct pl_limit span = parts[0];
    span.shape = PL_LIMIT_BETWEEN;
    span.values = ends;
    span.count = 2;
    return span;
  }
  struct pl_limit *const kept = pl_alloc_array(arena, limits->count, sizeof *kept);
  memcpy(kept, parts, limits->count * sizeof *kept);
  return (struct pl_limit){.shape = join == PL_AND ? PL_LIMIT_ALL_OF : PL_LIMIT_ANY_OF,
                           .unit = "",
                           .parts = kept,
                           .part_count = limits->count};
}

struct pl_limit pl_rule_limit(struct pl_arena *arena, const struct pl_rules *rules,
                              const struct pl_rule *rule) {
  static const struct pl_entrant nobody = {.class_name = ""};
  struct limits limits = {.judged = {.arena = arena,
                                     .rules = rules,
                                     .entrant = &nobody,
                                     .place = rule->scope == PL_RULE_CAR ? PL_CAR
                                              : rule->scope == PL_RULE_EACH_AXLE
                                                  ? PL_FRONT
                                                  : PL_FRONT_LEFT,
                                     .only_ask = true}};
  if (rule->require == NULL) return as_written;
  const struct pl_node *const node = without_brackets(rule->require);
  if (node->kind != PL_NODE_BINARY) return as_written;
  if (node->action != PL_AND && node->action != PL_OR) return comparison(&limits, node);
  return gather(&limits, node, node->action) ? joined(&limits, node->action) : as_written;
}
