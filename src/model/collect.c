// SPDX-License-Identifier: GPL-3.0-or-later
// Layers collected: which line of which layer gives which setting.
#include "room.h"

#include <string.h>

/// A walk through the items of one layer.
struct collector {
  struct layered *layered;
  size_t layer;
  size_t count; ///< of the layers that the program collected, this one included
  enum written_scope scope;
  const char *prefix; ///< "seal." within a seal block
};

static struct pl_program *program_of(const struct collector *collector) {
  return collector->layered->program;
}

static bool is_setup(const struct layered *layered) {
  return layered->kind == PL_BLOCK_SETUP;
}

bool has_scopes(const struct layered *layered) {
  return is_setup(layered) || layered->kind == PL_BLOCK_BOX;
}

static const struct pl_block *block_of(const struct collector *collector) {
  return collector->layered->layers[collector->layer].block;
}

/// "A spring", "An oil": how a block is spoken of at the start of a sentence.
static const char *block_words(const struct collector *collector) {
  const char *const words = kind_words(program_of(collector)->arena, block_of(collector)->kind);
  return pl_format(program_of(collector)->arena, "A%s", words + 1);
}

/// A setting that stands in no scope is for all corners, as in `all`.
static size_t own_scope(enum written_scope scope) {
  return scope == WRITTEN_TOP ? WRITTEN_ALL : scope;
}

/// Is the setting given twice in one place? Else the line is now its newest.
static bool is_given_twice(const struct collector *collector, enum pl_setting setting,
                           const struct pl_node *node, enum pl_operator action) {
  struct pl_program *const program = program_of(collector);
  struct newest *const newest =
      &program->newest[(size_t)setting * WRITTEN_COUNT + own_scope(collector->scope)];
  if (newest->layer == collector->count && action == PL_SET) {
    struct pl_diagnostic *const problem =
        pl_report(collector->layered->problems, PL_SETTING_TWICE, pl_name_span(node),
                  PL_WORDS(node->name));
    pl_relate(problem, pl_name_span(newest->node), "it is given here already");
    return true;
  }
  *newest = (struct newest){node, collector->count};
  return false;
}

static void note(struct collector *collector, enum pl_setting setting,
                 const struct pl_node *node, const struct pl_node *value,
                 enum pl_operator action) {
  struct layered *const layered = collector->layered;
  if (is_given_twice(collector, setting, node, action)) return;
  if (layered->given == NULL) return; // only looked over
  const size_t which = (size_t)(setting - layered->first);
  const struct assignment *const last = layered->last[which];
  const size_t number = last == NULL ? 1 : last->number + 1;
  if (number > PL_MOST_CHANGES) {
    pl_report(layered->problems, PL_TOO_MANY_CHANGES, pl_name_span(node),
              PL_WORDS(pl_format(program_of(collector)->arena, "%d", PL_MOST_CHANGES),
                       pl_settings[setting].key));
    layered->is_overfull = true;
    return;
  }
  struct assignment *const added = pl_alloc(program_of(collector)->arena, sizeof *added);
  *added = (struct assignment){.node = node,
                               .value = value,
                               .layer = collector->layer,
                               .scope = collector->scope,
                               .action = action,
                               .number = number};
  if (layered->last[which] == NULL)
    layered->given[which] = added;
  else
    layered->last[which]->next = added;
  layered->last[which] = added;
}

/// May a setting stand in the scope where it was written?
static bool scope_fits(struct collector *collector, enum pl_setting setting,
                       const struct pl_node *node) {
  const enum pl_scope scope = pl_settings[setting].scope;
  const enum written_scope written = collector->scope;
  const bool axle_or_wider = written <= WRITTEN_REAR;
  if (scope == PL_SCOPE_CAR && written != WRITTEN_TOP) {
    pl_report(collector->layered->problems, PL_BELONGS_TO_CAR, pl_name_span(node),
              PL_WORDS(pl_settings[setting].key, written_scope_names[written]));
    return false;
  }
  if (scope == PL_SCOPE_PART && written != WRITTEN_TOP) {
    pl_report(collector->layered->problems, PL_BELONGS_TO_BOX, pl_name_span(node),
              PL_WORDS(pl_settings[setting].key, written_scope_names[written]));
    return false;
  }
  if (scope == PL_SCOPE_AXLE && !axle_or_wider) {
    pl_report(collector->layered->problems, PL_BELONGS_TO_AXLE, pl_name_span(node),
              PL_WORDS(pl_settings[setting].key, written_scope_names[written]));
    return false;
  }
  return true;
}

/// The setting that a property means here.
static enum pl_setting setting_meant(const struct collector *collector,
                                     const struct pl_node *node) {
  const char *key = node->name;
  if (collector->prefix[0] != '\0')
    key = pl_join(program_of(collector)->arena, collector->prefix, key);
  return pl_setting_meant(key, collector->layered->kind, node->children);
}

static void report_number_as_key(const struct collector *collector,
                                 const struct pl_node *node) {
  const char *const mend =
      node->is_weight ? "what weights mean stands in an oil-scale"
      : collector->layered->kind == PL_BLOCK_MEETING
          ? "an entry is a block, as in entry 7 { driver = \"…\" }"
          : "holes stand in a block, as in shock-top { 1 = (31 mm, 58 mm) }";
  pl_report(collector->layered->problems, PL_NUMBER_AS_KEY, pl_name_span(node),
            PL_WORDS(pl_span_text(program_of(collector)->arena, pl_name_span(node)), mend));
}

/// Of a meeting, an entry or a box: kinds with few keys, which a message can list.
static bool has_few_keys(enum pl_block_kind kind) {
  return kind == PL_BLOCK_MEETING || kind == PL_BLOCK_ENTRY || kind == PL_BLOCK_BOX;
}

/// A key that is like none of a block that has few.
static void report_far_key(const struct collector *collector, const struct pl_node *node) {
  pl_report(collector->layered->problems, PL_TEMPLATE_KEY_FAR, pl_name_span(node),
            PL_WORDS(block_words(collector), node->name,
                     key_words(program_of(collector)->arena, collector->layered->kind)));
}

/// A setting by another word of the trade; null where there is none. What is weighed is written
/// down as the mass without ballast.
static const char *trade_key(struct pl_arena *arena, const char *word) {
  const char *const meant = pl_key_meant(arena, word);
  if (meant == NULL || strcmp(meant, "total-mass") == 0) return meant == NULL ? NULL : "mass";
  return pl_setting_of(meant, PL_BLOCK_SETUP) == PL_SETTING_COUNT ? NULL : meant;
}

/// `damper.bore` in a setup, which names its parts: they have keys of their own. False where it
/// is none.
static bool report_part_key(const struct collector *collector, const struct pl_node *node,
                            const char *point) {
  struct pl_arena *const arena = program_of(collector)->arena;
  const char *const key = pl_copy_text(arena, node->name, (size_t)(point - node->name));
  const enum pl_setting setting = pl_setting_of(key, PL_BLOCK_SETUP);
  if (setting == PL_SETTING_COUNT || pl_settings[setting].type != PL_TYPE_PART) return false;
  const char *const kind = pl_settings[setting].of;
  if (pl_setting_of(point + 1, pl_block_kind_of(kind)) == PL_SETTING_COUNT) return false;
  pl_report(collector->layered->problems, PL_PART_KEY, pl_name_span(node),
            PL_WORDS(block_words(collector), node->name, kind, point + 1, key));
  return true;
}

/// A key that blocks of this kind do not have: a slip of typing, another block's, or nobody's.
static void report_unknown_key(const struct collector *collector, const struct pl_node *node,
                               enum pl_block_kind kind) {
  struct pl_diagnostics *const problems = collector->layered->problems;
  if (pl_diagnostics_full(problems, node->span.source)) return;
  const char *const point = strchr(node->name, '.');
  if (point != NULL && has_scopes(collector->layered) &&
      pl_setting_of(point + 1, kind) != PL_SETTING_COUNT) {
    struct pl_arena *const arena = program_of(collector)->arena;
    const char *const scope = pl_copy_text(arena, node->name, (size_t)(point - node->name));
    if (written_scope_of(scope) != WRITTEN_COUNT) {
      pl_report(problems, PL_SCOPE_AS_KEY, pl_name_span(node),
                PL_WORDS(node->name, scope, point + 1));
      return;
    }
  }
  if (point != NULL && is_setup(collector->layered) && report_part_key(collector, node, point))
    return;
  const bool of_rule = strcmp(node->name, "require") == 0 ||
                       strcmp(node->name, "measure") == 0 ||
                       strcmp(node->name, "applies-to") == 0;
  if (of_rule) {
    pl_report(problems, PL_KEY_OF_OTHER_BLOCK, pl_name_span(node),
              PL_WORDS(block_words(collector), node->name,
                       strcmp(node->name, "applies-to") == 0 ? "a set of rules" : "a rule"));
    return;
  }
  const char *near = is_setup(collector->layered) && point == NULL
                         ? trade_key(program_of(collector)->arena, node->name)
                         : NULL;
  if (near == NULL) near = pl_setting_nearest(node->name, kind);
  const enum pl_block_kind owner =
      near == NULL ? owner_of_key(node->name, kind) : PL_BLOCK_KIND_COUNT;
  if (owner != PL_BLOCK_KIND_COUNT) {
    pl_report(problems, PL_KEY_OF_OTHER_BLOCK, pl_name_span(node),
              PL_WORDS(block_words(collector), node->name,
                       kind_words(program_of(collector)->arena, owner)));
    return;
  }
  if (near == NULL && kind == PL_BLOCK_ENTRY && node->children->kind == PL_NODE_NUMBER) {
    // What an entry says of itself is words.
    pl_report(problems, PL_ENTRY_MEASURED, pl_name_span(node),
              PL_WORDS(node->name,
                       pl_span_shown(program_of(collector)->arena, node->children->span)));
    return;
  }
  if (near == NULL && has_few_keys(kind)) {
    report_far_key(collector, node);
    return;
  }
  const bool extra = near == NULL && is_setup(collector->layered);
  pl_report(problems, extra ? PL_UNKNOWN_KEY_FAR : PL_UNKNOWN_KEY, pl_name_span(node),
            PL_WORDS(block_words(collector), node->name, near));
}

static void collect_property(struct collector *collector, const struct pl_node *node) {
  struct pl_diagnostics *const problems = collector->layered->problems;
  const enum pl_block_kind kind = collector->layered->kind;
  if (node->key_kind == PL_NODE_TEXT && has_few_keys(kind)) {
    report_far_key(collector, node);
    return;
  }
  if (node->key_kind == PL_NODE_TEXT) {
    pl_report(problems, PL_TEXT_AS_KEY, pl_name_span(node), PL_WORDS(node->name));
    return;
  }
  const enum pl_setting setting = setting_meant(collector, node);
  if (setting != PL_SETTING_COUNT && pl_settings[setting].type != PL_TYPE_HOLES) {
    if (scope_fits(collector, setting, node))
      note(collector, setting, node, node->children, node->action);
    return;
  }
  if (node->key_kind == PL_NODE_NUMBER)
    report_number_as_key(collector, node);
  else
    report_unknown_key(collector, node, kind);
}

static void collect_items(struct collector *collector, const struct pl_node *items);

static void collect_scope(struct collector *collector, enum written_scope scope,
                          const struct pl_node *node) {
  if (collector->scope != WRITTEN_TOP) {
    pl_report(collector->layered->problems, PL_SCOPE_IN_SCOPE, pl_name_span(node),
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
      pl_report(layered->problems, PL_BELONGS_TO_CAR, pl_name_span(node),
                PL_WORDS("ballast", written_scope_names[collector->scope]));
    else
      collect_ballast(layered->setup, collector->layer, node);
    return true;
  }
  const char *const key = pl_join(program_of(collector)->arena, node->name, "-holes");
  const enum pl_setting setting = pl_setting_of(key, layered->kind);
  if (setting == PL_SETTING_COUNT) return false;
  if (scope_fits(collector, setting, node)) note(collector, setting, node, node, PL_SET);
  return true;
}

/// Where a block stands that only some other kind holds; null for all others.
static const char *home_of_block(const char *name) {
  if (strcmp(name, "rule") == 0)
    return "it stands in rules \"a name\" { … }, outside of any setup";
  if (strcmp(name, "entry") == 0)
    return "it stands in meeting \"a name\" { … }, outside of any setup";
  if (strcmp(name, "measured") == 0)
    return "it stands in an entry of a meeting: entry 7 { measured { … } }";
  return NULL;
}

static void report_unknown_block(struct collector *collector, const struct pl_node *node) {
  static const char *const in_setup[] = {
      "all",        "front",       "rear",         "left",       "right",
      "front-left", "front-right", "rear-left",    "rear-right", "extra",
      "ballast",    "shock-top",   "shock-bottom", "link-inner", "link-outer"};
  static const char *const in_box[] = {"all", "front", "rear"};
  static const char *const in_damper[] = {"seal"};
  static const char *const in_meeting[] = {"entry"};
  static const char *const in_entry[] = {"measured"};
  const char *near = NULL;
  if (pl_setting_of(node->name, collector->layered->kind) != PL_SETTING_COUNT) {
    const bool scoped = is_setup(collector->layered) && collector->scope == WRITTEN_TOP;
    pl_report(collector->layered->problems, PL_SETTING_AS_BLOCK, pl_name_span(node),
              PL_WORDS(node->name, scoped ? "front { " : "", scoped ? " }" : ""));
    return;
  }
  if (is_setup(collector->layered))
    near = pl_nearest(node->name, in_setup, sizeof in_setup / sizeof in_setup[0]);
  else if (collector->layered->kind == PL_BLOCK_BOX)
    near = pl_nearest(node->name, in_box, sizeof in_box / sizeof in_box[0]);
  else if (collector->layered->kind == PL_BLOCK_DAMPER)
    near = pl_nearest(node->name, in_damper, 1);
  else if (collector->layered->kind == PL_BLOCK_MEETING)
    near = pl_nearest(node->name, in_meeting, 1);
  else if (collector->layered->kind == PL_BLOCK_ENTRY)
    near = pl_nearest(node->name, in_entry, 1);
  const char *const home = home_of_block(node->name);
  if (home != NULL)
    pl_report(collector->layered->problems, PL_RULE_OUTSIDE, pl_name_span(node),
              PL_WORDS(block_words(collector), node->name, home));
  else
    pl_report(collector->layered->problems, PL_UNKNOWN_BLOCK, pl_name_span(node),
              PL_WORDS(block_words(collector), node->name, near));
}

/// Does a meeting, or an entry of one, hold this block? meeting.c goes through them.
static bool is_of_meeting(const struct collector *collector, const struct pl_node *node) {
  const enum pl_block_kind kind = collector->layered->kind;
  return (kind == PL_BLOCK_MEETING && strcmp(node->name, "entry") == 0) ||
         (kind == PL_BLOCK_ENTRY && strcmp(node->name, "measured") == 0);
}

static void collect_block(struct collector *collector, const struct pl_node *node) {
  if (is_of_meeting(collector, node)) return;
  const bool is_kind = pl_block_kind_of(node->name) != PL_BLOCK_KIND_COUNT;
  if (is_kind && pl_titles(node) != NULL) {
    const struct pl_block *const outer = block_of(collector);
    pl_report(collector->layered->problems, PL_BLOCK_INSIDE, pl_name_span(node),
              PL_WORDS(node->name, pl_block_kind_name(outer->kind), outer->name));
    return;
  }
  const enum written_scope scope = written_scope_of(node->name);
  const bool seal = collector->layered->kind == PL_BLOCK_DAMPER &&
                    collector->prefix[0] == '\0' && strcmp(node->name, "seal") == 0;
  if (pl_bases(node) != NULL)
    pl_report(collector->layered->problems, PL_FROM_INSIDE, pl_bases(node)->span, PL_NO_WORDS);
  const bool may_have_title =
      strcmp(node->name, "ballast") == 0 || collector->layered->kind == PL_BLOCK_MEETING;
  if (pl_titles(node) != NULL && !may_have_title && home_of_block(node->name) == NULL)
    pl_report(collector->layered->problems, PL_TITLE_INSIDE, pl_titles(node)->span,
              PL_WORDS(node->name));
  if (has_scopes(collector->layered) && scope != WRITTEN_COUNT) {
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
    if (collector->layered->is_overfull) return; // which was told, and is gone into no further
    switch (node->kind) {
    case PL_NODE_PROPERTY: collect_property(collector, node); break;
    case PL_NODE_BLOCK: collect_block(collector, node); break;
    case PL_NODE_LET:
      pl_report(collector->layered->problems, PL_LET_INSIDE, pl_name_span(node),
                PL_WORDS(node->name));
      break;
    case PL_NODE_INCLUDE:
      pl_report(collector->layered->problems, PL_INCLUDE_INSIDE, node->span, PL_NO_WORDS);
      break;
    default: break;
    }
  }
}

static void collect_layer(struct layered *layered, size_t layer) {
  struct pl_program *const program = layered->program;
  struct collector collector = {.layered = layered,
                                .layer = layer,
                                .count = ++program->layers_collected,
                                .scope = WRITTEN_TOP,
                                .prefix = ""};
  collect_items(&collector, layered->layers[layer].block->node->children);
}

void collect_assignments(struct layered *layered) {
  struct pl_arena *const arena = layered->program->arena;
  settings_of_kind(layered->kind, &layered->first, &layered->count);
  layered->given = pl_alloc_array(arena, layered->count, sizeof *layered->given);
  layered->last = pl_alloc_array(arena, layered->count, sizeof *layered->last);
  for (size_t i = 0; i < layered->layer_count; i++) collect_layer(layered, i);
}

void look_over_layer(struct layered *layered) {
  settings_of_kind(layered->kind, &layered->first, &layered->count);
  layered->given = NULL;
  collect_layer(layered, layered->layer_count - 1);
}
