// SPDX-License-Identifier: GPL-3.0-or-later
// What there is to measure for a rule: each thing that it names, at each of its places, with
// what is declared and what was measured of it.
#include "room.h"

#include <string.h>

/// Looking through a rule.
struct looking {
  struct judged *judged;
  const struct pl_node *require;
  struct pl_sight *sights;
  size_t count;
  size_t capacity;
  bool has_more;
};

static void add_sight(struct looking *looking, const struct name *name, enum pl_place place) {
  struct judged *const judged = looking->judged;
  const struct pl_rule_thing thing = thing_of_name(name);
  for (size_t i = 0; i < looking->count; i++) {
    if (looking->sights[i].place == place &&
        pl_rule_thing_same(&looking->sights[i].thing, &thing))
      return;
  }
  if (looking->count == PL_MOST_SIGHTS) {
    looking->has_more = true; // which is told where the rules are checked
    return;
  }
  const struct known known = known_of(judged, name, place);
  const struct pl_value own = declared(judged, name, place).value;
  const struct pl_value none = {.kind = PL_VALUE_NONE};
  const char *const unit = unit_of_thing(judged, looking->require, name);
  looking->sights = pl_grow(judged->arena, looking->sights, looking->count, &looking->capacity,
                            sizeof *looking->sights);
  looking->sights[looking->count++] = (struct pl_sight){
      .thing = thing,
      .place = place,
      .declared = told_value(judged, name, unit, &own),
      .measured = told_value(judged, name, unit, known.measured ? &known.value : &none)};
}

/// Adds a name at all places that a function goes over.
static void look_over(struct looking *looking, const struct pl_node *node, unsigned places) {
  struct name name;
  if (node->kind == PL_NODE_NAME && read_name(looking->judged->arena, node->name, &name)) {
    for (int place = PL_FRONT_LEFT; place <= PL_REAR; place++) {
      if ((places & 1u << place) == 0) continue;
      const enum pl_place own = pl_place_at((enum pl_place)place, scope_of_name(&name));
      if (own != PL_PLACE_COUNT) add_sight(looking, &name, own);
    }
    return;
  }
  for (const struct pl_node *child = node->children; child != NULL; child = child->next)
    look_over(looking, child, places);
}

static void look(struct looking *looking, const struct pl_node *node) {
  struct judged *const judged = looking->judged;
  const enum over over = node->kind == PL_NODE_CALL ? over_of(judged, node) : OVER_NONE;
  if (over == OVER_COUNT) return; // things are counted, not measured
  if (over != OVER_NONE) {
    look_over(looking, node->children,
              places_of_argument(judged->arena, node->children, judged->place));
    return;
  }
  struct name name;
  if (node->kind == PL_NODE_NAME && !pl_program_has_let(judged->rules->program, node->name) &&
      read_name(judged->arena, node->name, &name)) {
    const enum pl_place place = place_of_name(&name, judged->place);
    if (place != PL_PLACE_COUNT) add_sight(looking, &name, place);
  }
  for (const struct pl_node *child = node->children; child != NULL; child = child->next)
    look(looking, child);
}

/// The places at which a rule is judged, first and last.
static void span_of_scope(enum pl_rule_scope scope, enum pl_place *first, enum pl_place *last) {
  *first = scope == PL_RULE_CAR         ? PL_CAR
           : scope == PL_RULE_EACH_AXLE ? PL_FRONT
                                        : PL_FRONT_LEFT;
  *last = scope == PL_RULE_CAR ? PL_CAR : scope == PL_RULE_EACH_AXLE ? PL_REAR : PL_REAR_RIGHT;
}

bool see(struct judged *judged, const struct pl_rule *rule, struct pl_verdict *verdict) {
  struct judged own = *judged; // what is asked for here is no need of the verdict
  own.needs = NULL;
  own.need_count = own.need_capacity = 0;
  struct looking looking = {.judged = &own, .require = rule->require};
  enum pl_place first = verdict->place;
  enum pl_place last = verdict->place;
  // A verdict of all places at once, as where the class is not known.
  if (verdict->place == PL_CAR) span_of_scope(rule->scope, &first, &last);
  for (int place = (int)first; place <= (int)last; place++) {
    own.place = (enum pl_place)place;
    look(&looking, rule->require);
  }
  verdict->sights = looking.sights;
  verdict->sight_count = looking.count;
  return !looking.has_more;
}
