// SPDX-License-Identifier: GPL-3.0-or-later
// Layers resolved: what comes of all lines that give a setting, at each place.
#include "room.h"

#include <math.h>

/// A value on its way through the layers.
struct resolving {
  struct layered *layered;
  enum pl_setting setting;
  enum pl_place place;
  struct pl_resolved *resolved;
  const struct assignment *set;       ///< the newest `=`; null: none so far
  struct pl_value set_value;          ///< what it gave
  const struct assignment *narrowest; ///< the newest narrowest from that on
};

static struct evaluator evaluator_for(const struct resolving *resolving) {
  const struct layered *const layered = resolving->layered;
  const bool of_setup = layered->kind == PL_BLOCK_SETUP;
  return (struct evaluator){.program = layered->program,
                            .arena = layered->program->arena,
                            .problems = layered->problems,
                            .layered = resolving->layered,
                            .place = resolving->place,
                            .by_itself = layered->by_itself,
                            .by_place = of_setup &&
                                        pl_settings[resolving->setting].type != PL_TYPE_PART};
}

/// The assigned expression as the setting wants it, worked out once where places do not matter.
static struct pl_value assigned_value(const struct resolving *resolving,
                                      struct assignment *assignment) {
  if (assignment->evaluated) return assignment->result;
  struct evaluator evaluator = evaluator_for(resolving);
  const struct pl_value value =
      assignment->action == PL_SET
          ? evaluate_setting(&evaluator, resolving->setting, assignment->value)
          : evaluate(&evaluator, assignment->value);
  if (!evaluator.uses_place) {
    assignment->evaluated = true;
    assignment->result = value;
  }
  return value;
}

/// A relative assignment that has nothing to start from: nowhere, or not at this place.
static void report_nothing(const struct resolving *resolving,
                           const struct assignment *assignment) {
  const struct layered *const layered = resolving->layered;
  // A part or a box has all that it starts from.
  const bool may_come_later = layered->kind == PL_BLOCK_SETUP ||
                              layered->kind == PL_BLOCK_MEETING ||
                              layered->kind == PL_BLOCK_ENTRY;
  if (layered->by_itself && may_come_later) return;
  const char *const key = assignment->node->name;
  const bool nowhere = layered->given[resolving->setting - layered->first] == assignment;
  const char *const who = pl_format(layered->program->arena, nowhere ? "`%s`" : "`%s` of %s",
                                    key, pl_place_name(resolving->place));
  pl_report(layered->problems, PL_NOTHING_TO_CHANGE, pl_name_span(assignment->node),
            PL_WORDS(key, pl_operator_sign(assignment->action), who));
}

struct pl_value changed_value(struct evaluator *evaluator, const struct pl_node *line,
                              const struct pl_value *start, const struct pl_value *operand) {
  if (start->kind == PL_VALUE_NONE) return value_none();
  if (start->kind != PL_VALUE_NUMBER) {
    pl_report(evaluator->problems, PL_CANNOT_CHANGE, line->span,
              PL_WORDS(line->name, pl_operator_sign(line->action),
                       value_words(evaluator->arena, start)));
    return value_none();
  }
  const enum pl_operator action = line->action == PL_SET_PLUS    ? PL_PLUS
                                  : line->action == PL_SET_MINUS ? PL_MINUS
                                                                 : PL_TIMES;
  const struct pl_node key_node = pl_key_node(line);
  struct pl_value result =
      combine(evaluator, action, line, start, &key_node, operand, line->children);
  if (result.kind == PL_VALUE_NUMBER &&
      !pl_dimension_equal(result.dimension, start->dimension)) {
    pl_report(evaluator->problems, PL_FACTOR_HAS_UNIT, line->children->span,
              PL_WORDS(line->name, value_words(evaluator->arena, operand)));
    return value_none();
  }
  return result;
}

/// What the assignment makes of the value so far.
static struct pl_value applied(const struct resolving *resolving,
                               struct assignment *assignment) {
  const struct pl_value operand = assigned_value(resolving, assignment);
  if (assignment->action == PL_SET || operand.kind == PL_VALUE_NONE) return operand;
  struct evaluator evaluator = evaluator_for(resolving);
  if (!resolving->resolved->given) {
    report_nothing(resolving, assignment);
    return value_none();
  }
  const struct pl_value result =
      changed_value(&evaluator, assignment->node, &resolving->resolved->value, &operand);
  const bool counted = pl_settings[resolving->setting].type == PL_TYPE_COUNT;
  if (!counted || result.kind != PL_VALUE_NUMBER || result.number == floor(result.number))
    return result;
  pl_report(evaluator.problems, PL_NOT_WHOLE, assignment->node->span,
            PL_WORDS(assignment->node->name, pl_value_text(evaluator.arena, &result)));
  return value_none();
}

/// The scope of an assignment as it would be written.
static const char *scope_words(const struct resolving *resolving,
                               const struct assignment *assignment) {
  const bool of_car = pl_settings[resolving->setting].scope == PL_SCOPE_CAR;
  const bool at_top = assignment->scope == WRITTEN_TOP;
  return written_scope_names[at_top && !of_car ? WRITTEN_ALL : assignment->scope];
}

/// A layer's wide value that replaces an earlier layer's narrow one is worth a word: `before`
/// is the narrowest line that counted before the layer, `value` what had become of it, `newest`
/// the `=` that stood then. A layer that speaks of the narrow scope itself hides nothing.
static void warn_if_hidden(const struct resolving *resolving, const struct assignment *newest,
                           const struct assignment *before, const struct pl_value *value) {
  const struct assignment *const set = resolving->set;
  if (before == NULL || set == newest) return;
  if (scope_narrowness(before->scope) <= scope_narrowness(resolving->narrowest->scope)) return;
  if (resolving->set_value.kind == PL_VALUE_NONE) return;
  if (pl_value_equal(value, &resolving->set_value)) return;
  struct pl_arena *const arena = resolving->layered->program->arena;
  const char *const hidden = scope_words(resolving, before);
  struct pl_diagnostic *const problem =
      pl_report(resolving->layered->problems, PL_HIDES_NARROWER, pl_name_span(set->node),
                PL_WORDS(set->node->name, scope_words(resolving, set), hidden,
                         pl_value_text(arena, value)));
  pl_relate(problem, pl_name_span(before->node),
            pl_format(resolving->layered->problems->arena, "`%s` gives it here, in \"%s\"",
                      hidden, resolving->layered->layers[before->layer].block->name));
}

static void apply(struct resolving *resolving, struct assignment *assignment) {
  const struct pl_value value = applied(resolving, assignment);
  struct pl_resolved *const resolved = resolving->resolved;
  resolved->touches[resolved->touch_count++] =
      (struct pl_touch){.span = assignment->node->span,
                        .scope = written_scope_names[assignment->scope],
                        .layer = resolving->layered->layers[assignment->layer].block->name,
                        .action = assignment->action,
                        .result = value};
  resolved->value = value;
  resolved->given = true;
  if (assignment->action == PL_SET || resolving->narrowest == NULL ||
      scope_narrowness(assignment->scope) >= scope_narrowness(resolving->narrowest->scope))
    resolving->narrowest = assignment;
  if (assignment->action != PL_SET) return;
  resolving->set = assignment;
  resolving->set_value = value;
}

/// The first assignment at or behind `from` of this layer and narrowness that covers the place.
static struct assignment *next_covering(const struct resolving *resolving,
                                        struct assignment *from, size_t layer, int narrowness) {
  for (struct assignment *at = from; at != NULL; at = at->next) {
    if (at->layer == layer && scope_narrowness(at->scope) == narrowness &&
        scope_covers(at->scope, resolving->place))
      return at;
  }
  return NULL;
}

static bool is_side(enum written_scope scope) {
  return scope == WRITTEN_LEFT || scope == WRITTEN_RIGHT;
}

/// What the axle's, or the side's, assignments of this layer come to, all in order.
static struct pl_value outcome_of(const struct resolving *resolving, struct assignment *first,
                                  size_t layer, bool side) {
  struct pl_resolved trial = *resolving->resolved;
  struct resolving own = *resolving;
  own.resolved = &trial;
  struct assignment *at = next_covering(resolving, first, layer, 1);
  for (; at != NULL; at = next_covering(resolving, at->next, layer, 1)) {
    if (is_side(at->scope) != side) continue;
    trial.value = applied(&own, at);
    trial.given = true;
  }
  return trial.value;
}

/// The newest assignment of the axle, or of the side, in this layer; null if there is none.
static const struct assignment *newest_of(const struct resolving *resolving,
                                          struct assignment *first, size_t layer, bool side) {
  const struct assignment *newest = NULL;
  struct assignment *at = next_covering(resolving, first, layer, 1);
  for (; at != NULL; at = next_covering(resolving, at->next, layer, 1)) {
    if (is_side(at->scope) == side) newest = at;
  }
  return newest;
}

static bool corner_is_set(const struct resolving *resolving, struct assignment *first,
                          size_t layer) {
  struct assignment *at = next_covering(resolving, first, layer, 2);
  for (; at != NULL; at = next_covering(resolving, at->next, layer, 2)) {
    if (at->action == PL_SET) return true;
  }
  return false;
}

/// Axle and side are equally narrow: where both speak and disagree, the corner must.
static bool axle_and_side_agree(const struct resolving *resolving, struct assignment *first,
                                size_t layer) {
  const struct assignment *const axle = newest_of(resolving, first, layer, false);
  const struct assignment *const side = newest_of(resolving, first, layer, true);
  if (axle == NULL || side == NULL || corner_is_set(resolving, first, layer)) return true;
  const struct pl_value by_axle = outcome_of(resolving, first, layer, false);
  const struct pl_value by_side = outcome_of(resolving, first, layer, true);
  if (by_axle.kind == PL_VALUE_NONE || by_side.kind == PL_VALUE_NONE) return true;
  if (pl_value_equal(&by_axle, &by_side)) return true;
  struct pl_arena *const arena = resolving->layered->program->arena;
  struct pl_diagnostic *const problem =
      pl_report(resolving->layered->problems, PL_AXLE_OR_SIDE, pl_name_span(side->node),
                PL_WORDS(side->node->name, pl_place_name(resolving->place),
                         pl_format(arena, "%s (%s)", written_scope_names[axle->scope],
                                   pl_value_text(arena, &by_axle)),
                         pl_format(arena, "%s (%s)", written_scope_names[side->scope],
                                   pl_value_text(arena, &by_side))));
  pl_relate(problem, pl_name_span(axle->node), "the axle's value is here");
  return false;
}

/// All of this layer and narrowness, in order.
static void apply_all(struct resolving *resolving, struct assignment *first, size_t layer,
                      int narrowness) {
  struct assignment *at = next_covering(resolving, first, layer, narrowness);
  for (; at != NULL; at = next_covering(resolving, at->next, layer, narrowness))
    apply(resolving, at);
}

/// The axle's assignments of this layer, then the side's. Where both speak they say the same,
/// so that a change by the side was made by the axle already.
static void apply_axle_and_side(struct resolving *resolving, struct assignment *first,
                                size_t layer) {
  bool axle_spoke = false;
  for (int side = 0; side <= 1; side++) {
    struct assignment *at = next_covering(resolving, first, layer, 1);
    for (; at != NULL; at = next_covering(resolving, at->next, layer, 1)) {
      if (is_side(at->scope) != (side == 1)) continue;
      if (side == 1 && axle_spoke && at->action != PL_SET) continue;
      apply(resolving, at);
      axle_spoke = axle_spoke || side == 0;
    }
  }
}

/// Room for all that may touch the value.
static struct pl_touch *room_for_touches(const struct resolving *resolving,
                                         const struct assignment *first) {
  size_t count = 0;
  for (const struct assignment *at = first; at != NULL; at = at->next)
    count += scope_covers(at->scope, resolving->place);
  return pl_alloc_array(resolving->layered->program->arena, count, sizeof(struct pl_touch));
}

static void resolve(struct resolving *resolving, struct assignment *first) {
  resolving->resolved->touches = room_for_touches(resolving, first);
  for (size_t layer = 0; layer < resolving->layered->layer_count; layer++) {
    const struct assignment *const newest = resolving->set;
    const struct assignment *const before = resolving->narrowest;
    const struct pl_value value = resolving->resolved->value;
    apply_all(resolving, first, layer, 0);
    const bool agree = axle_and_side_agree(resolving, first, layer);
    apply_axle_and_side(resolving, first, layer);
    apply_all(resolving, first, layer, 2);
    if (!agree) resolving->resolved->value = value_none();
    warn_if_hidden(resolving, newest, before, &value);
  }
}

const struct pl_resolved *layered_get(struct layered *layered, enum pl_setting setting,
                                      enum pl_place place) {
  // A part is the same at every place, and a shelf may have thousands of them.
  const bool by_place = has_scopes(layered);
  const size_t places = by_place ? PL_PLACE_COUNT : 1;
  const size_t slot =
      (size_t)(setting - layered->first) * places + (by_place ? (size_t)place : 0);
  struct pl_arena *const arena = layered->program->arena;
  if (layered->values == NULL) {
    const size_t slots = layered->count * places;
    layered->values = pl_alloc_array(arena, slots, sizeof *layered->values);
    layered->busy = pl_alloc_array(arena, slots, sizeof *layered->busy);
  }
  if (layered->values[slot] != NULL) return layered->values[slot];
  struct pl_resolved *const resolved = pl_alloc(arena, sizeof *resolved);
  struct assignment *const first = layered->given[setting - layered->first];
  if (layered->busy[slot]) {
    pl_report(layered->problems, PL_CIRCLE, pl_name_span(first->node),
              PL_WORDS(first->node->name));
    resolved->given = true; // and found wrong
    return resolved;
  }
  layered->busy[slot] = 1;
  struct resolving resolving = {
      .layered = layered, .setting = setting, .place = place, .resolved = resolved};
  if (first != NULL) resolve(&resolving, first);
  if (resolved->given) {
    struct evaluator evaluator = evaluator_for(&resolving);
    check_span(&evaluator, setting, &resolved->value,
               resolved->touches[resolved->touch_count - 1].span);
  } else {
    resolved->value = fallback_value(layered->program->session, setting);
    resolved->assumed = resolved->value.kind != PL_VALUE_NONE;
  }
  layered->busy[slot] = 0;
  layered->values[slot] = resolved;
  return resolved;
}
