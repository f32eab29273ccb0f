// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of a meeting's own lines, whether or not it is the one to print: its keys, and each
// entry with its number, its keys, its path and what was measured.
#include "room.h"

#include <math.h>
#include <string.h>

/// Greatest number of an entry, and most characters of one that is a text: what fits the corner
/// of a page and a lap list.
#define GREATEST_NUMBER    99999
#define LONGEST_IN_LETTERS 12

// ---------------------------------------------------------------- values

struct pl_value value_at_place(struct layered *layered, enum pl_setting setting,
                               enum pl_place place) {
  const bool list = pl_settings[setting].type == PL_TYPE_TEXTS;
  const struct assignment *at = layered->given[setting - layered->first];
  for (; at != NULL; at = at->next) {
    if (at->action != PL_SET)
      pl_report(
          layered->problems, PL_CANNOT_CHANGE, at->node->span,
          PL_WORDS(at->node->name, pl_operator_sign(at->action), list ? "a list" : "a text"));
  }
  return layered_get(layered, setting, place)->value;
}

struct pl_value meeting_value(struct layered *layered, enum pl_setting setting) {
  return value_at_place(layered, setting, PL_CAR);
}

/// Works out what one layer says.
static struct layered check_layer(struct pl_program *program, const struct layer *layer,
                                  enum pl_block_kind kind) {
  struct layered layered = {.program = program,
                            .problems = program->problems,
                            .kind = kind,
                            .layers = (struct layer *)layer,
                            .layer_count = 1,
                            .by_itself = true};
  collect_assignments(&layered);
  for (size_t i = 0; i < layered.count; i++)
    meeting_value(&layered, (enum pl_setting)(layered.first + i));
  return layered;
}

// ---------------------------------------------------------------- what was measured

/// The block `measured` of an entry, as far as it was gone through.
struct measured {
  struct pl_program *program;
  struct pl_map *given[WRITTEN_COUNT]; ///< for each scope: key -> its line
};

static void check_items(struct measured *measured, enum written_scope scope,
                        const struct pl_node *items);

/// The key is looked at by who knows the figures, and the value by who judges it.
static void check_property(struct measured *measured, enum written_scope scope,
                           const struct pl_node *node) {
  struct pl_map **const given = &measured->given[scope == WRITTEN_TOP ? WRITTEN_ALL : scope];
  if (*given == NULL) *given = pl_map_new(measured->program->arena);
  const struct pl_node *const other = pl_map_get(*given, node->name);
  if (other == NULL) {
    pl_map_set(*given, node->name, (void *)node);
    return;
  }
  struct pl_diagnostic *const problem = pl_report(measured->program->problems, PL_SETTING_TWICE,
                                                  pl_name_span(node), PL_WORDS(node->name));
  pl_relate(problem, pl_name_span(other), "it is given here already");
}

/// What may not stand between the kind of a block and its brace.
static void check_head(struct pl_program *program, const struct pl_node *block, bool titled) {
  if (pl_titles(block) != NULL && !titled)
    pl_report(program->problems, PL_TITLE_INSIDE, pl_titles(block)->span,
              PL_WORDS(block->name));
  if (pl_bases(block) != NULL)
    pl_report(program->problems, PL_FROM_INSIDE, pl_bases(block)->span, PL_NO_WORDS);
  if (pl_condition(block) != NULL)
    pl_report(program->problems, PL_CONDITION_OUTSIDE_RULE, pl_condition(block)->span,
              PL_NO_WORDS);
}

static void check_scope(struct measured *measured, enum written_scope outer,
                        const struct pl_node *node) {
  struct pl_diagnostics *const problems = measured->program->problems;
  const enum written_scope scope = written_scope_of(node->name);
  if (scope == WRITTEN_COUNT) {
    pl_report(problems, PL_UNKNOWN_BLOCK, pl_name_span(node),
              PL_WORDS("`measured`", node->name,
                       pl_nearest(node->name, &written_scope_names[WRITTEN_ALL],
                                  WRITTEN_COUNT - WRITTEN_ALL)));
    return;
  }
  check_head(measured->program, node, false);
  if (outer != WRITTEN_TOP)
    pl_report(problems, PL_SCOPE_IN_SCOPE, pl_name_span(node),
              PL_WORDS(node->name, written_scope_names[outer]));
  else
    check_items(measured, scope, node->children);
}

static void check_items(struct measured *measured, enum written_scope scope,
                        const struct pl_node *items) {
  struct pl_diagnostics *const problems = measured->program->problems;
  for (const struct pl_node *node = items; node != NULL; node = node->next) {
    switch (node->kind) {
    case PL_NODE_PROPERTY: check_property(measured, scope, node); break;
    case PL_NODE_BLOCK: check_scope(measured, scope, node); break;
    case PL_NODE_LET:
      pl_report(problems, PL_LET_INSIDE, pl_name_span(node), PL_WORDS(node->name));
      break;
    case PL_NODE_INCLUDE:
      pl_report(problems, PL_INCLUDE_INSIDE, node->span, PL_NO_WORDS);
      break;
    default: break;
    }
  }
}

static bool is_block(const struct pl_node *node, const char *kind) {
  return node->kind == PL_NODE_BLOCK && strcmp(node->name, kind) == 0;
}

const struct pl_node *measured_of(const struct pl_node *entry) {
  const struct pl_node *item = entry->children;
  while (item != NULL && !is_block(item, "measured")) item = item->next;
  return item;
}

static void check_measured(struct pl_program *program, const struct pl_node *entry) {
  const struct pl_node *const first = measured_of(entry);
  for (const struct pl_node *item = first; item != NULL; item = item->next) {
    if (!is_block(item, "measured")) continue;
    check_head(program, item, false);
    struct measured measured = {.program = program};
    check_items(&measured, WRITTEN_TOP, item->children);
    if (item == first) continue;
    struct pl_diagnostic *const problem = pl_report(program->problems, PL_SETTING_TWICE,
                                                    pl_name_span(item), PL_WORDS(item->name));
    pl_relate(problem, pl_name_span(first), "it is given here already");
  }
}

// ---------------------------------------------------------------- entries

static size_t characters_in(const char *text) {
  size_t count = 0;
  for (; *text != '\0'; text++) count += ((unsigned char)*text & 0xC0) != 0x80;
  return count;
}

static bool is_plain_number(const struct pl_node *title) {
  return title->kind == PL_NODE_NUMBER && title->unit == NULL && !title->is_weight &&
         title->number == floor(title->number) && title->number >= 0 &&
         title->number <= GREATEST_NUMBER;
}

const char *entry_number(struct pl_program *program, const struct pl_node *entry) {
  struct pl_arena *const arena = program->arena;
  const struct pl_node *const title = pl_titles(entry);
  if (title == NULL) {
    pl_report(program->problems, PL_ENTRY_NEEDS_NUMBER, pl_name_span(entry), PL_NO_WORDS);
    return NULL;
  }
  if (is_plain_number(title)) return pl_format(arena, "%.0f", title->number);
  if (title->kind == PL_NODE_TEXT) {
    const size_t length = characters_in(title->name);
    if (!is_on_one_line(program->problems, title)) return NULL;
    if (length > 0 && length <= LONGEST_IN_LETTERS) return title->name;
  }
  pl_report(program->problems, PL_ENTRY_NUMBER, title->span,
            PL_WORDS(pl_span_text(arena, title->span), pl_format(arena, "%d", GREATEST_NUMBER),
                     pl_format(arena, "%d", LONGEST_IN_LETTERS)));
  return NULL;
}

struct pl_value path_of_file(const struct pl_value *file) {
  return file->kind == PL_VALUE_ROW ? file->many.items[0] : *file;
}

/// The path of an entry's file leads nowhere outside. Whether there is such a file is found out
/// when it is loaded: it may yet be handed in.
static void check_path(struct layered *layered) {
  const struct assignment *const line = layered->last[PL_SETTING_ENTRY_SETUP - layered->first];
  const struct pl_value file = meeting_value(layered, PL_SETTING_ENTRY_SETUP);
  const struct pl_value path = path_of_file(&file);
  if (path.kind == PL_VALUE_TEXT)
    leads_outside(layered->program, line->node->span.source, path.text, path_span(line));
}

static void check_entry(struct pl_program *program, const struct pl_block *entry) {
  check_head(program, entry->node, true);
  if (pl_titles(entry->node) != NULL && pl_titles(entry->node)->next != NULL)
    pl_report(program->problems, PL_ONE_NAME, pl_titles(entry->node)->next->span,
              PL_WORDS(entry->node->name));
  const struct layer layer = {entry};
  struct layered layered = check_layer(program, &layer, PL_BLOCK_ENTRY);
  check_path(&layered);
  check_measured(program, entry->node);
}

struct pl_span path_span(const struct assignment *line) {
  const struct pl_node *const value = line->value;
  return value->kind == PL_NODE_ROW ? value->children->span : value->span;
}

const struct pl_block *entry_block(struct pl_program *program, const struct pl_block *meeting,
                                   const struct pl_node *node, const char *number) {
  struct pl_block *const entry = pl_alloc(program->arena, sizeof *entry);
  *entry = (struct pl_block){PL_BLOCK_ENTRY, number, node, meeting->source};
  return entry;
}

const struct pl_node *next_entry(const struct pl_node *item) {
  while (item != NULL && !is_block(item, "entry")) item = item->next;
  return item;
}

static void check_entries(struct pl_program *program, const struct pl_block *meeting) {
  struct pl_map *const taken = pl_map_new(program->arena);
  size_t count = 0;
  const struct pl_node *node = next_entry(meeting->node->children);
  for (; node != NULL; node = next_entry(node->next)) {
    if (count++ == PL_MOST_ENTRIES) {
      pl_report(program->problems, PL_TOO_MANY_ENTRIES, pl_name_span(node),
                PL_WORDS(pl_format(program->arena, "%d", PL_MOST_ENTRIES)));
      return;
    }
    const char *const number = entry_number(program, node);
    check_entry(program, entry_block(program, meeting, node, number == NULL ? "" : number));
    const struct pl_node *const other = number == NULL ? NULL : pl_map_get(taken, number);
    if (other != NULL) {
      struct pl_diagnostic *const problem =
          pl_report(program->problems, PL_ENTRY_TWICE, pl_titles(node)->span, PL_WORDS(number));
      pl_relate(problem, pl_titles(other)->span, "the other one is here");
    } else if (number != NULL) {
      pl_map_set(taken, number, (void *)node);
    }
  }
}

void check_meeting(struct pl_program *program, const struct pl_block *block) {
  const struct layer layer = {block};
  const struct layered layered = check_layer(program, &layer, PL_BLOCK_MEETING);
  check_bases(&layered, block);
  check_entries(program, block);
}
