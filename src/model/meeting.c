// SPDX-License-Identifier: GPL-3.0-or-later
// Meetings: their settings, and the entries of all their layers, joined by number and sorted.
// What is wrong with a line was reported when the file was loaded.
#include "room.h"

#include <stdlib.h>
#include <string.h>

/// An entry on its way.
struct drafted {
  struct pl_entry entry;
  struct layer *layers; ///< its blocks, the oldest first
  size_t layer_count;
  size_t layer_capacity;
  size_t meeting;    ///< the newest layer of the meeting that has it
  const char *class; ///< by which it is sorted before its number: its class, its group, or ""
  size_t order;      ///< in the files
};

/// The entries of a meeting on their way.
struct draft {
  struct pl_program *program;
  struct drafted **entries;
  size_t count;
  size_t capacity;
  struct pl_map *by_number; ///< number -> struct drafted
};

// ---------------------------------------------------------------- values

static struct layered layered_of(struct pl_program *program, enum pl_block_kind kind) {
  return (struct layered){
      .program = program, .problems = program->problems, .kind = kind, .by_itself = true};
}

static const char *text_of(struct layered *layered, enum pl_setting setting) {
  const struct pl_value value = meeting_value(layered, setting);
  return value.kind == PL_VALUE_TEXT ? value.text : "";
}

static const char *const *texts_of(struct layered *layered, enum pl_setting setting,
                                   size_t *count) {
  const struct pl_value value = meeting_value(layered, setting);
  *count = value.kind == PL_VALUE_LIST ? value.count : 0;
  const char **const texts = pl_alloc_array(layered->program->arena, *count, sizeof *texts);
  for (size_t i = 0; i < *count; i++) texts[i] = value.many.items[i].text;
  return texts;
}

// ---------------------------------------------------------------- entries joined

static struct drafted *drafted_of(struct draft *draft, const char *number) {
  struct pl_arena *const arena = draft->program->arena;
  struct drafted *const known = pl_map_get(draft->by_number, number);
  if (known != NULL) return known;
  struct drafted *const added = pl_alloc(arena, sizeof *added);
  added->entry.number = number;
  added->order = draft->count;
  draft->entries =
      pl_grow(arena, draft->entries, draft->count, &draft->capacity, sizeof(struct drafted *));
  draft->entries[draft->count++] = added;
  pl_map_set(draft->by_number, number, added);
  return added;
}

/// Adds the entries of one layer of the meeting to those of the layers before it. The second of
/// two in one layer is a mistake, and does not count.
static void join_layer(struct draft *draft, const struct layered *meeting, size_t layer) {
  struct pl_arena *const arena = draft->program->arena;
  const struct pl_block *const block = meeting->layers[layer].block;
  const struct pl_node *node = next_entry(block->node->children);
  for (; node != NULL; node = next_entry(node->next)) {
    const char *const number = entry_number(draft->program, node);
    if (number == NULL) continue;
    struct drafted *const one = drafted_of(draft, number);
    if (one->layer_count > 0 && one->meeting == layer) continue;
    one->meeting = layer;
    one->entry.span = pl_titles(node)->span;
    if (measured_of(node) != NULL) one->entry.measured = measured_of(node);
    one->layers = pl_grow(arena, one->layers, one->layer_count, &one->layer_capacity,
                          sizeof *one->layers);
    one->layers[one->layer_count++] =
        (struct layer){entry_block(draft->program, block, node, number)};
  }
}

static void read_file(struct layered *layered, struct pl_entry *entry) {
  const struct pl_value file = meeting_value(layered, PL_SETTING_ENTRY_SETUP);
  const struct pl_value path = path_of_file(&file);
  entry->setup_path = path.kind == PL_VALUE_TEXT ? path.text : "";
  entry->setup_name = file.kind == PL_VALUE_ROW ? file.many.items[1].text : NULL;
  if (entry->setup_path[0] != '\0')
    entry->setup_span = path_span(layered->last[PL_SETTING_ENTRY_SETUP - layered->first]);
}

/// Works out an entry of which all layers are there.
static void finish_entry(struct pl_program *program, struct drafted *one) {
  struct layered layered = layered_of(program, PL_BLOCK_ENTRY);
  layered.layers = one->layers;
  layered.layer_count = one->layer_count;
  collect_assignments(&layered);
  struct pl_entry *const entry = &one->entry;
  entry->driver = text_of(&layered, PL_SETTING_ENTRY_DRIVER);
  entry->class_name = text_of(&layered, PL_SETTING_ENTRY_CLASS);
  entry->group = text_of(&layered, PL_SETTING_ENTRY_GROUP);
  entry->transponder = text_of(&layered, PL_SETTING_ENTRY_TRANSPONDER);
  const struct pl_node **const blocks =
      pl_alloc_array(program->arena, one->layer_count, sizeof(const struct pl_node *));
  for (size_t i = 0; i < one->layer_count; i++) blocks[i] = one->layers[i].block->node;
  entry->blocks = blocks;
  entry->block_count = one->layer_count;
  read_file(&layered, entry);
}

// ---------------------------------------------------------------- sorting

/// By the number that a text begins with, then by what follows it; texts that begin with no
/// digit come after all numbers. So 7 goes before 7B, and both before 12.
static int compare_texts(const char *a, const char *b) {
  const size_t a_digits = strspn(a, "0123456789");
  const size_t b_digits = strspn(b, "0123456789");
  if ((a_digits == 0) != (b_digits == 0)) return a_digits == 0 ? 1 : -1;
  const unsigned long long a_number = strtoull(a_digits == 0 ? "0" : a, NULL, 10);
  const unsigned long long b_number = strtoull(b_digits == 0 ? "0" : b, NULL, 10);
  if (a_number != b_number) return a_number < b_number ? -1 : 1;
  return strcmp(a + a_digits, b + b_digits);
}

static int compare_entries(const void *left, const void *right) {
  const struct drafted *const a = *(struct drafted *const *)left;
  const struct drafted *const b = *(struct drafted *const *)right;
  const bool a_has_none = a->class[0] == '\0';
  const bool b_has_none = b->class[0] == '\0';
  if (a_has_none != b_has_none) return a_has_none ? 1 : -1;
  const int by_class = compare_texts(a->class, b->class);
  if (by_class != 0) return by_class;
  const int by_number = compare_texts(a->entry.number, b->entry.number);
  if (by_number != 0) return by_number;
  return a->order < b->order ? -1 : a->order > b->order;
}

/// What the meeting's `sort` orders an entry by before its number.
static const char *class_of(const struct pl_entry *entry, const char *sort) {
  if (strcmp(sort, "group") == 0) return entry->group;
  return strcmp(sort, "class") == 0 ? entry->class_name : "";
}

// ---------------------------------------------------------------- the meeting

static void add_entries(struct pl_meeting *meeting, struct layered *layered) {
  struct pl_program *const program = layered->program;
  struct draft draft = {.program = program, .by_number = pl_map_new(program->arena)};
  for (size_t i = 0; i < layered->layer_count; i++) join_layer(&draft, layered, i);
  const char *const sort = text_of(layered, PL_SETTING_MEETING_SORT);
  for (size_t i = 0; i < draft.count; i++) {
    finish_entry(program, draft.entries[i]);
    draft.entries[i]->class = class_of(&draft.entries[i]->entry, sort);
  }
  if (draft.count > 1)
    qsort(draft.entries, draft.count, sizeof(struct drafted *), compare_entries);
  meeting->entries = pl_alloc_array(program->arena, draft.count, sizeof *meeting->entries);
  meeting->entry_count = draft.count;
  for (size_t i = 0; i < draft.count; i++) meeting->entries[i] = draft.entries[i]->entry;
}

static struct pl_meeting *meeting_of_block(struct pl_program *program,
                                           const struct pl_block *block) {
  struct layered layered = layered_of(program, PL_BLOCK_MEETING);
  add_layers(&layered, block);
  collect_assignments(&layered);
  struct pl_meeting *const meeting = pl_alloc(program->arena, sizeof *meeting);
  meeting->name = block->name;
  meeting->span = pl_titles(block->node)->span;
  meeting->date = text_of(&layered, PL_SETTING_MEETING_DATE);
  meeting->track_name = text_of(&layered, PL_SETTING_MEETING_TRACK_NAME);
  meeting->event = text_of(&layered, PL_SETTING_MEETING_EVENT);
  meeting->rules = texts_of(&layered, PL_SETTING_MEETING_RULES, &meeting->rule_count);
  meeting->templates =
      texts_of(&layered, PL_SETTING_MEETING_TEMPLATE, &meeting->template_count);
  add_entries(meeting, &layered);
  return meeting;
}

const struct pl_meeting *pl_program_meeting(struct pl_program *program, const char *name) {
  const struct pl_block *const block = pl_program_block(program, PL_BLOCK_MEETING, name);
  if (block == NULL) return NULL;
  const struct pl_meeting *meeting = pl_map_get(program->meetings, block->name);
  if (meeting != NULL) return meeting;
  struct pl_meeting *const made = meeting_of_block(program, block);
  pl_map_set(program->meetings, block->name, made);
  return made;
}

// ---------------------------------------------------------------- whose mistake it is

/// What may have taken lines of other entries with it.
static bool may_swallow(enum pl_code code) {
  switch (code) {
  case PL_NOT_UTF8:
  case PL_NUL_BYTE:
  case PL_UNCLOSED_TEXT:
  case PL_UNCLOSED_BRACKET:
  case PL_UNCLOSED_BRACE:
  case PL_STRAY_BRACE:
  case PL_NESTED_TOO_DEEP:
  case PL_TOO_MANY_PROBLEMS: return true;
  default: return false;
  }
}

static bool holds(const struct pl_node *node, struct pl_span span) {
  return node->span.source == span.source && span.start >= node->span.start &&
         span.end <= node->span.end;
}

enum pl_entry_part pl_entry_part_of(const struct pl_entry *entry,
                                    const struct pl_diagnostic *problem) {
  if (may_swallow(problem->code)) return PL_NOT_IN_ENTRY;
  for (size_t i = 0; i < entry->block_count; i++) {
    if (!holds(entry->blocks[i], problem->span)) continue;
    const struct pl_node *const measured = measured_of(entry->blocks[i]);
    return measured != NULL && holds(measured, problem->span) ? PL_IN_MEASURED : PL_IN_ENTRY;
  }
  return PL_NOT_IN_ENTRY;
}
