// SPDX-License-Identifier: GPL-3.0-or-later
// Layers: who gives a setting, in which order, and what comes of it at each place.
#include "room.h"

#include <string.h>

// ---------------------------------------------------------------- the chain of bases

/// "a → b → a", for a circle of `from`s that starts at layer `at`.
static const char *circle_words(struct layered *layered, size_t at, const char *again) {
  struct pl_buffer words = {.arena = layered->program->arena};
  for (size_t i = at; i < layered->layer_count; i++)
    pl_buffer_format(&words, "`%s` from ", layered->layers[i].block->name);
  pl_buffer_format(&words, "`%s`", again);
  return pl_buffer_string(&words);
}

void add_layers(struct layered *layered, const struct pl_block *block) {
  struct pl_arena *const arena = layered->program->arena;
  // Newest first while walking the chain; turned around at the end.
  const size_t start = layered->layer_count;
  size_t capacity = layered->layer_count;
  while (block != NULL) {
    layered->layers = pl_grow(arena, layered->layers, layered->layer_count, &capacity,
                              sizeof *layered->layers);
    layered->layers[layered->layer_count++] = (struct layer){block};
    const struct pl_node *const base = block->node->bases;
    if (base == NULL) break;
    const struct pl_block *const next =
        pl_program_find(layered->program, block->kind, base->name);
    if (next == NULL)
      pl_report(layered->problems, PL_UNKNOWN_BASE, base->span,
                PL_WORDS(pl_block_kind_name(block->kind), base->name,
                         nearest_block(layered->program, block->kind, base->name)));
    for (size_t i = start; next != NULL && i < layered->layer_count; i++) {
      if (layered->layers[i].block != next) continue;
      pl_report(layered->problems, PL_FROM_CIRCLE, base->span,
                PL_WORDS(circle_words(layered, i, next->name)));
      block = NULL;
      break;
    }
    if (block != NULL) block = next;
  }
  for (size_t i = start, j = layered->layer_count; i + 1 < j; i++) {
    const struct layer swapped = layered->layers[i];
    layered->layers[i] = layered->layers[--j];
    layered->layers[j] = swapped;
  }
}

// ---------------------------------------------------------------- collecting

/// A walk through the items of one layer.
struct collector {
  struct layered *layered;
  size_t layer;
  enum written_scope scope;
  const char *prefix; ///< "seal." within a seal block
};

static struct pl_program *program_of(const struct collector *collector) {
  return collector->layered->program;
}

static bool is_setup(const struct layered *layered) {
  return layered->kind == PL_BLOCK_SETUP;
}

/// "This spring", "This setup": how a block is spoken of.
static const char *block_words(const struct collector *collector) {
  const struct pl_block *const block =
      collector->layered->layers[collector->layer].block;
  return pl_format(program_of(collector)->arena, "A %s", pl_block_kind_name(block->kind));
}

static void append(struct layered *layered, enum pl_setting setting, struct assignment *added) {
  struct assignment **at = &layered->given[setting - layered->first];
  while (*at != NULL) {
    const struct assignment *const other = *at;
    if (other->layer == added->layer && other->scope == added->scope &&
        added->operator == PL_SET) {
      struct pl_diagnostic *const problem =
          pl_report(layered->problems, PL_SETTING_TWICE, added->node->name_span,
                    PL_WORDS(pl_settings[setting].key));
      pl_relate(problem, other->node->name_span, "it is given here already");
      return;
    }
    at = &(*at)->next;
  }
  *at = added;
}

static void note(struct collector *collector, enum pl_setting setting,
                 const struct pl_node *node, const struct pl_node *value,
                 enum pl_operator operator) {
  struct assignment *const added = pl_alloc(program_of(collector)->arena, sizeof *added);
  *added = (struct assignment){.node = node, .value = value, .layer = collector->layer,
                               .scope = collector->scope, .operator = operator};
  append(collector->layered, setting, added);
}

/// May a setting stand in the scope where it was written?
static bool scope_fits(struct collector *collector, enum pl_setting setting,
                       const struct pl_node *node) {
  const enum pl_scope scope = pl_settings[setting].scope;
  const enum written_scope written = collector->scope;
  const bool axle_or_wider = written <= WRITTEN_REAR;
  if (scope == PL_SCOPE_CAR && written != WRITTEN_TOP) {
    pl_report(collector->layered->problems, PL_BELONGS_TO_CAR, node->name_span,
              PL_WORDS(pl_settings[setting].key, written_scope_names[written]));
    return false;
  }
  if (scope == PL_SCOPE_AXLE && !axle_or_wider) {
    pl_report(collector->layered->problems, PL_BELONGS_TO_AXLE, node->name_span,
              PL_WORDS(pl_settings[setting].key, written_scope_names[written]));
    return false;
  }
  return true;
}

/// The key that a property means here: `track` followed by a text is the venue's name.
static enum pl_setting setting_meant(const struct collector *collector,
                                     const struct pl_node *node) {
  const char *key = node->name;
  if (collector->prefix[0] != '\0')
    key = pl_format(program_of(collector)->arena, "%s%s", collector->prefix, key);
  const enum pl_setting setting = pl_setting_of(key, collector->layered->kind);
  if (setting == PL_SETTING_TRACK && node->children->kind == PL_NODE_TEXT)
    return PL_SETTING_TRACK_NAME;
  return setting;
}

static void collect_property(struct collector *collector, const struct pl_node *node) {
  struct pl_diagnostics *const problems = collector->layered->problems;
  const enum pl_block_kind kind = collector->layered->kind;
  if (node->titles->kind == PL_NODE_TEXT) {
    pl_report(problems, PL_TEXT_AS_KEY, node->name_span, PL_WORDS(node->name));
    return;
  }
  const enum pl_setting setting = setting_meant(collector, node);
  if (setting != PL_SETTING_COUNT && pl_settings[setting].type != PL_TYPE_HOLES) {
    if (scope_fits(collector, setting, node))
      note(collector, setting, node, node->children, node->operator);
    return;
  }
  if (node->titles->kind == PL_NODE_NUMBER) {
    pl_report(problems, PL_NUMBER_AS_KEY, node->name_span,
              PL_WORDS(pl_span_text(program_of(collector)->arena, node->name_span)));
    return;
  }
  for (int other = 0; other < PL_BLOCK_KIND_COUNT; other++) {
    if (pl_setting_of(node->name, (enum pl_block_kind)other) == PL_SETTING_COUNT) continue;
    if (pl_setting_nearest(node->name, kind) != NULL) break;
    pl_report(problems, PL_KEY_OF_OTHER_BLOCK, node->name_span,
              PL_WORDS(block_words(collector), node->name,
                       pl_block_kind_name((enum pl_block_kind)other)));
    return;
  }
  pl_report(problems, PL_UNKNOWN_KEY, node->name_span,
            PL_WORDS(block_words(collector), node->name, pl_setting_nearest(node->name, kind)));
}

static void collect_items(struct collector *collector, const struct pl_node *items);

static void collect_scope(struct collector *collector, enum written_scope scope,
                          const struct pl_node *node) {
  if (collector->scope != WRITTEN_TOP) {
    pl_report(collector->layered->problems, PL_SCOPE_IN_SCOPE, node->name_span,
              PL_WORDS(node->name, written_scope_names[collector->scope]));
    return;
  }
  struct collector inner = *collector;
  inner.scope = scope;
  collect_items(&inner, node->children);
}

/// What stands in a setup or a car as a block, besides scopes.
static bool collect_setup_block(struct collector *collector, const struct pl_node *node) {
  struct layered *const layered = collector->layered;
  if (strcmp(node->name, "extra") == 0) {
    collect_extra(layered->setup, collector->layer, collector->scope, node);
    return true;
  }
  if (strcmp(node->name, "ballast") == 0) {
    if (collector->scope != WRITTEN_TOP)
      pl_report(layered->problems, PL_BELONGS_TO_CAR, node->name_span,
                PL_WORDS("ballast", written_scope_names[collector->scope]));
    else
      collect_ballast(layered->setup, collector->layer, node);
    return true;
  }
  const char *const key = pl_format(program_of(collector)->arena, "%s-holes", node->name);
  const enum pl_setting setting = pl_setting_of(key, layered->kind);
  if (setting == PL_SETTING_COUNT) return false;
  if (scope_fits(collector, setting, node)) note(collector, setting, node, node, PL_SET);
  return true;
}

static void report_unknown_block(struct collector *collector, const struct pl_node *node) {
  static const char *const in_setup[] = {
      "all",        "front",      "rear",       "left",        "right",      "front-left",
      "front-right", "rear-left", "rear-right", "extra",       "ballast",    "shock-top",
      "shock-bottom", "link-inner", "link-outer"};
  static const char *const in_damper[] = {"seal"};
  const char *near = NULL;
  if (is_setup(collector->layered))
    near = pl_nearest(node->name, in_setup, sizeof in_setup / sizeof in_setup[0]);
  else if (collector->layered->kind == PL_BLOCK_DAMPER)
    near = pl_nearest(node->name, in_damper, 1);
  pl_report(collector->layered->problems, PL_UNKNOWN_BLOCK, node->name_span,
            PL_WORDS(block_words(collector), node->name, near));
}

static void collect_block(struct collector *collector, const struct pl_node *node) {
  const enum written_scope scope = written_scope_of(node->name);
  const bool seal = collector->layered->kind == PL_BLOCK_DAMPER &&
                    collector->prefix[0] == '\0' && strcmp(node->name, "seal") == 0;
  if (node->bases != NULL)
    pl_report(collector->layered->problems, PL_FROM_INSIDE, node->bases->span, PL_NO_WORDS);
  if (node->titles != NULL && strcmp(node->name, "ballast") != 0)
    pl_report(collector->layered->problems, PL_TITLE_INSIDE, node->titles->span,
              PL_WORDS(node->name));
  if (is_setup(collector->layered) && scope != WRITTEN_COUNT) {
    collect_scope(collector, scope, node);
  } else if (seal) {
    struct collector inner = *collector;
    inner.prefix = "seal.";
    collect_items(&inner, node->children);
  } else if (!is_setup(collector->layered) || !collect_setup_block(collector, node)) {
    report_unknown_block(collector, node);
  }
}

static void collect_items(struct collector *collector, const struct pl_node *items) {
  for (const struct pl_node *node = items; node != NULL; node = node->next) {
    switch (node->kind) {
    case PL_NODE_PROPERTY: collect_property(collector, node); break;
    case PL_NODE_BLOCK: collect_block(collector, node); break;
    case PL_NODE_LET:
      pl_report(collector->layered->problems, PL_LET_INSIDE, node->span, PL_WORDS(node->name));
      break;
    case PL_NODE_INCLUDE:
      pl_report(collector->layered->problems, PL_INCLUDE_INSIDE, node->span, PL_NO_WORDS);
      break;
    default: break;
    }
  }
}

void collect_assignments(struct layered *layered) {
  struct pl_arena *const arena = layered->program->arena;
  settings_of_kind(layered->kind, &layered->first, &layered->count);
  layered->given = pl_alloc_array(arena, layered->count, sizeof *layered->given);
  layered->values =
      pl_alloc_array(arena, layered->count * PL_PLACE_COUNT, sizeof *layered->values);
  layered->busy = pl_alloc_array(arena, layered->count, PL_PLACE_COUNT);
  for (size_t i = 0; i < layered->layer_count; i++) {
    struct collector collector = {layered, i, WRITTEN_TOP, ""};
    collect_items(&collector, layered->layers[i].block->node->children);
  }
}

// ---------------------------------------------------------------- resolving

/// A value on its way through the layers.
struct resolving {
  struct layered *layered;
  enum pl_setting setting;
  enum pl_place place;
  struct pl_resolved *resolved;
  size_t touch_capacity;
  size_t last_layer; ///< of the newest touch
  int last_narrowness;
};

static struct evaluator evaluator_for(const struct resolving *resolving) {
  return (struct evaluator){.program = resolving->layered->program,
                            .arena = resolving->layered->program->arena,
                            .problems = resolving->layered->problems,
                            .layered = resolving->layered,
                            .place = resolving->place};
}

/// The assigned expression as the setting wants it, worked out once where places do not matter.
static struct pl_value assigned_value(const struct resolving *resolving,
                                      struct assignment *assignment) {
  if (assignment->evaluated) return assignment->result;
  struct evaluator evaluator = evaluator_for(resolving);
  const struct pl_value value =
      assignment->operator == PL_SET
          ? evaluate_setting(&evaluator, resolving->setting, assignment->value)
          : evaluate(&evaluator, assignment->value);
  if (!evaluator.uses_place) {
    assignment->evaluated = true;
    assignment->result = value;
  }
  return value;
}

/// What the assignment makes of the value so far.
static struct pl_value applied(const struct resolving *resolving, struct assignment *assignment) {
  const struct pl_value operand = assigned_value(resolving, assignment);
  if (assignment->operator == PL_SET || operand.kind == PL_VALUE_NONE) return operand;
  struct evaluator evaluator = evaluator_for(resolving);
  const char *const key = pl_settings[resolving->setting].key;
  if (!resolving->resolved->given) {
    pl_report(evaluator.problems, PL_NOTHING_TO_CHANGE, assignment->node->name_span,
              PL_WORDS(key, pl_operator_sign(assignment->operator),
                       pl_place_name(resolving->place)));
    return value_none();
  }
  const struct pl_value *const start = &resolving->resolved->value;
  if (start->kind == PL_VALUE_NONE) return value_none();
  if (start->kind != PL_VALUE_NUMBER) {
    pl_report(evaluator.problems, PL_CANNOT_CHANGE, assignment->node->span,
              PL_WORDS(key, pl_operator_sign(assignment->operator),
                       value_words(evaluator.arena, start)));
    return value_none();
  }
  const enum pl_operator operator = assignment->operator == PL_SET_PLUS    ? PL_PLUS
                                    : assignment->operator == PL_SET_MINUS ? PL_MINUS
                                                                           : PL_TIMES;
  struct pl_value result = combine(&evaluator, operator, assignment->node, start,
                                   assignment->node->titles, &operand, assignment->value);
  if (result.kind == PL_VALUE_NUMBER &&
      !pl_dimension_equal(result.dimension, start->dimension)) {
    pl_report(evaluator.problems, PL_FACTOR_HAS_UNIT, assignment->value->span,
              PL_WORDS(key, value_words(evaluator.arena, &operand)));
    return value_none();
  }
  return result;
}

/// A later layer's wide value that replaces an earlier layer's narrow one is worth a word.
static void warn_if_hidden(const struct resolving *resolving,
                           const struct assignment *assignment, const struct pl_value *value) {
  const struct pl_resolved *const resolved = resolving->resolved;
  if (!resolved->given || assignment->operator != PL_SET) return;
  if (resolving->last_layer == assignment->layer) return;
  if (resolving->last_narrowness <= scope_narrowness(assignment->scope)) return;
  if (pl_value_equal(&resolved->value, value) || value->kind == PL_VALUE_NONE) return;
  const struct pl_touch *const hidden = &resolved->touches[resolved->touch_count - 1];
  struct pl_arena *const arena = resolving->layered->program->arena;
  struct pl_diagnostic *const problem =
      pl_report(resolving->layered->problems, PL_HIDES_NARROWER, assignment->node->name_span,
                PL_WORDS(pl_settings[resolving->setting].key,
                         written_scope_names[assignment->scope], hidden->scope,
                         pl_value_text(arena, &resolved->value)));
  pl_relate(problem, hidden->span,
            pl_format(arena, "`%s` gives it here, in `%s`", hidden->scope, hidden->layer));
}

static void apply(struct resolving *resolving, struct assignment *assignment) {
  const struct pl_value value = applied(resolving, assignment);
  warn_if_hidden(resolving, assignment, &value);
  struct pl_resolved *const resolved = resolving->resolved;
  resolved->touches =
      pl_grow(resolving->layered->program->arena, resolved->touches, resolved->touch_count,
              &resolving->touch_capacity, sizeof *resolved->touches);
  resolved->touches[resolved->touch_count++] =
      (struct pl_touch){.span = assignment->node->span,
                        .scope = written_scope_names[assignment->scope],
                        .layer = resolving->layered->layers[assignment->layer].block->name,
                        .operator = assignment->operator,
                        .result = value};
  resolved->value = value;
  resolved->given = true;
  resolving->last_layer = assignment->layer;
  resolving->last_narrowness = scope_narrowness(assignment->scope);
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

/// Axle and side are equally narrow: where both speak and disagree, the corner must.
static bool axle_and_side_agree(const struct resolving *resolving, struct assignment *first,
                                size_t layer) {
  const struct assignment *axle = NULL;
  const struct assignment *side = NULL;
  struct assignment *at = next_covering(resolving, first, layer, 1);
  for (; at != NULL; at = next_covering(resolving, at->next, layer, 1)) {
    if (is_side(at->scope))
      side = at;
    else
      axle = at;
  }
  if (axle == NULL || side == NULL) return true;
  at = next_covering(resolving, first, layer, 2);
  for (; at != NULL; at = next_covering(resolving, at->next, layer, 2)) {
    if (at->operator == PL_SET) return true;
  }
  const struct pl_value by_axle = outcome_of(resolving, first, layer, false);
  const struct pl_value by_side = outcome_of(resolving, first, layer, true);
  if (by_axle.kind == PL_VALUE_NONE || by_side.kind == PL_VALUE_NONE) return true;
  if (pl_value_equal(&by_axle, &by_side)) return true;
  struct pl_arena *const arena = resolving->layered->program->arena;
  struct pl_diagnostic *const problem = pl_report(
      resolving->layered->problems, PL_AXLE_OR_SIDE, side->node->name_span,
      PL_WORDS(pl_settings[resolving->setting].key, pl_place_name(resolving->place),
               pl_format(arena, "%s (%s)", written_scope_names[axle->scope],
                         pl_value_text(arena, &by_axle)),
               pl_format(arena, "%s (%s)", written_scope_names[side->scope],
                         pl_value_text(arena, &by_side))));
  pl_relate(problem, axle->node->name_span, "the axle's value is here");
  return false;
}

static void resolve(struct resolving *resolving, struct assignment *first) {
  for (size_t layer = 0; layer < resolving->layered->layer_count; layer++) {
    const bool agree = axle_and_side_agree(resolving, first, layer);
    for (int narrowness = 0; narrowness <= 2; narrowness++) {
      struct assignment *at = next_covering(resolving, first, layer, narrowness);
      bool side_is_same = false; // the axle gave the value already, and the side the same
      for (; at != NULL; at = next_covering(resolving, at->next, layer, narrowness)) {
        if (narrowness == 1 && side_is_same && is_side(at->scope) && at->operator != PL_SET)
          continue;
        apply(resolving, at);
        if (narrowness == 1 && !is_side(at->scope)) side_is_same = true;
      }
    }
    if (!agree) resolving->resolved->value = value_none();
  }
}

const struct pl_resolved *layered_get(struct layered *layered, enum pl_setting setting,
                                      enum pl_place place) {
  const size_t slot = (size_t)(setting - layered->first) * PL_PLACE_COUNT + place;
  if (layered->values[slot] != NULL) return layered->values[slot];
  struct pl_arena *const arena = layered->program->arena;
  struct pl_resolved *const resolved = pl_alloc(arena, sizeof *resolved);
  struct assignment *const first = layered->given[setting - layered->first];
  if (layered->busy[slot]) {
    pl_report(layered->problems, PL_CIRCLE, first->node->span,
              PL_WORDS(pl_settings[setting].key));
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
    resolved->value = fallback_value(setting);
    resolved->assumed = resolved->value.kind != PL_VALUE_NONE;
  }
  layered->busy[slot] = 0;
  layered->values[slot] = resolved;
  return resolved;
}
