// SPDX-License-Identifier: GPL-3.0-or-later
// What differs between two versions of a file outside its setups: the parts that it declares by
// their values, everything else line by line as it is written.
#include "pitleaf/compare.h"

#include <string.h>

/// A comparison of two versions being made.
struct making {
  struct pl_arena *arena;
  enum pl_unit_system system;
  bool as_written; ///< also parts and setups
  struct pl_line_change *changes;
  size_t count;
  size_t capacity;
};

static void add(struct making *making, struct pl_line_change change) {
  making->changes = pl_grow(making->arena, making->changes, making->count, &making->capacity,
                            sizeof *making->changes);
  making->changes[making->count++] = change;
}

// ---------------------------------------------------------------- parts by their values

static const char *printed_text(struct making *making, enum pl_setting setting,
                                const struct pl_value *value) {
  const struct pl_printed printed =
      pl_print_setting(making->arena, setting, value, making->system);
  const bool close = printed.unit[0] == '\0' || strcmp(printed.unit, "°") == 0;
  return pl_format(making->arena, "%s%s%s", printed.text, close ? "" : " ", printed.unit);
}

static bool counts(const struct pl_resolved *resolved) {
  return resolved->given && resolved->value.kind != PL_VALUE_NONE;
}

const char *pl_part_text(struct pl_arena *arena, const struct pl_part *part,
                         enum pl_unit_system system) {
  struct making making = {.arena = arena, .system = system};
  struct pl_buffer words = {.arena = arena};
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner != part->kind) continue;
    const struct pl_resolved *const resolved = pl_part_get(part, (enum pl_setting)i);
    if (!counts(resolved)) continue;
    pl_buffer_format(&words, "%s%s %s", words.length == 0 ? "" : "; ",
                     pl_in_sentence(arena, pl_settings[i].label),
                     printed_text(&making, (enum pl_setting)i, &resolved->value));
  }
  return pl_buffer_string(&words);
}

const char *pl_part_difference(struct pl_arena *arena, const struct pl_part *before,
                               const struct pl_part *after, enum pl_unit_system system) {
  struct making making = {.arena = arena, .system = system};
  struct pl_buffer words = {.arena = arena};
  for (int i = 0; i < PL_SETTING_COUNT && before->kind == after->kind; i++) {
    if (pl_settings[i].owner != before->kind) continue;
    const struct pl_value *const old = &pl_part_get(before, (enum pl_setting)i)->value;
    const struct pl_value *const now = &pl_part_get(after, (enum pl_setting)i)->value;
    if (pl_value_equal(old, now)) continue;
    const char *const had = printed_text(&making, (enum pl_setting)i, old);
    const char *const has = printed_text(&making, (enum pl_setting)i, now);
    pl_buffer_format(&words, "%s%s %s → %s", words.length == 0 ? "" : "; ",
                     pl_in_sentence(arena, pl_settings[i].label), had[0] == '\0' ? "—" : had,
                     has[0] == '\0' ? "—" : has);
  }
  // Blends and stacked springs are called by what they are made of.
  for (size_t i = 0; i < before->share_count && before->share_count == after->share_count;
       i++) {
    const struct pl_part *const had = before->shares[i].part;
    const char *const inner = pl_part_difference(arena, had, after->shares[i].part, system);
    if (inner[0] != '\0')
      pl_buffer_format(&words, "%s%s: %s", words.length == 0 ? "" : "; ", had->name, inner);
  }
  return pl_buffer_string(&words);
}

static bool is_part(enum pl_block_kind kind) {
  return kind == PL_BLOCK_OIL || kind == PL_BLOCK_SPRING || kind == PL_BLOCK_PISTON ||
         kind == PL_BLOCK_DAMPER;
}

/// The main file's blocks of one kind, in their order.
struct blocks {
  struct pl_arena *arena;
  const struct pl_block **items;
  size_t count;
  size_t capacity;
};

static void gather(void *context, const struct pl_block *block, bool in_main) {
  struct blocks *const blocks = context;
  if (!in_main) return;
  blocks->items = pl_grow(blocks->arena, blocks->items, blocks->count, &blocks->capacity,
                          sizeof *blocks->items);
  blocks->items[blocks->count++] = block;
}

static struct blocks blocks_of(struct pl_arena *arena, const struct pl_program *program,
                               enum pl_block_kind kind) {
  struct blocks blocks = {.arena = arena};
  pl_program_each(program, kind, gather, &blocks);
  return blocks;
}

static struct pl_map *index_of(const struct blocks *blocks) {
  struct pl_map *const index = pl_map_new(blocks->arena);
  for (size_t i = 0; i < blocks->count; i++)
    pl_map_set(index, blocks->items[i]->name, (void *)blocks->items[i]);
  return index;
}

static const char *title(struct pl_arena *arena, const struct pl_block *block) {
  return pl_format(arena, "%s \"%s\"", pl_block_kind_name(block->kind), block->name);
}

/// A part that both versions declare.
static void compare_part(struct making *making, const char *name, const struct pl_part *before,
                         const struct pl_part *after) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner != before->kind) continue;
    const struct pl_value *const old = &pl_part_get(before, (enum pl_setting)i)->value;
    const struct pl_value *const now = &pl_part_get(after, (enum pl_setting)i)->value;
    if (pl_value_equal(old, now)) continue;
    add(making,
        (struct pl_line_change){.block = name,
                                .key = pl_settings[i].key,
                                .before = old->kind == PL_VALUE_NONE
                                              ? NULL
                                              : printed_text(making, (enum pl_setting)i, old),
                                .after = now->kind == PL_VALUE_NONE
                                             ? NULL
                                             : printed_text(making, (enum pl_setting)i, now)});
  }
}

static void compare_parts(struct making *making, struct pl_program *before,
                          struct pl_program *after, enum pl_block_kind kind) {
  const struct blocks old = blocks_of(making->arena, before, kind);
  const struct blocks now = blocks_of(making->arena, after, kind);
  const struct pl_map *const was = index_of(&old);
  const struct pl_map *const is = index_of(&now);
  for (size_t i = 0; i < now.count; i++) {
    const struct pl_block *const known = pl_map_get(was, now.items[i]->name);
    const struct pl_part *const part = pl_program_part(after, now.items[i]);
    const char *const name = title(making->arena, now.items[i]);
    if (known != NULL && part != NULL)
      compare_part(making, name, pl_program_part(before, known), part);
    else if (part != NULL)
      add(making,
          (struct pl_line_change){.block = name,
                                  .key = "",
                                  .after = pl_part_text(making->arena, part, making->system)});
  }
  for (size_t i = 0; i < old.count; i++) {
    if (pl_map_get(is, old.items[i]->name) != NULL) continue;
    add(making, (struct pl_line_change){
                    .block = title(making->arena, old.items[i]), .key = "", .before = ""});
  }
}

// ---------------------------------------------------------------- lines as they are written

/// A line with its number among those that have the same place, which tells it from them.
struct numbered {
  const struct pl_flat_line *line;
  const char *identity;
};

/// Is it for the line-by-line comparison?
static bool is_wanted(const struct making *making, const struct pl_flat_line *line) {
  if (making->as_written || !line->is_block) return true;
  const char *const end = strchr(line->block, ' ');
  const size_t length = end == NULL ? strlen(line->block) : (size_t)(end - line->block);
  const enum pl_block_kind kind =
      pl_block_kind_of(pl_copy_text(making->arena, line->block, length));
  return kind != PL_BLOCK_SETUP && !is_part(kind);
}

/// The wanted lines of a version, and the same by their identities.
static struct numbered *number_lines(struct making *making, const struct pl_program *program,
                                     size_t *count, struct pl_map **index) {
  struct pl_arena *const arena = making->arena;
  size_t line_count = 0;
  const struct pl_tree *const tree = pl_program_tree(program, pl_program_source(program));
  const struct pl_flat_line *const lines = pl_flat_lines(arena, tree, &line_count);
  struct numbered *const wanted = pl_alloc_array(arena, line_count, sizeof *wanted);
  struct pl_map *const seen = pl_map_new(arena);
  *index = pl_map_new(arena);
  *count = 0;
  for (size_t i = 0; i < line_count; i++) {
    if (!is_wanted(making, &lines[i])) continue;
    // A line end stands in no key.
    const char *const place = pl_format(arena, "%s\n%s", lines[i].block, lines[i].key);
    size_t *number = pl_map_get(seen, place);
    if (number == NULL) pl_map_set(seen, place, number = pl_alloc(arena, sizeof *number));
    // What was not understood has no key of its own: it is told apart by its text.
    const bool by_text = lines[i].action == PL_OPERATOR_NONE && lines[i].is_block &&
                         lines[i].node->kind != PL_NODE_BLOCK;
    const char *const identity =
        pl_format(arena, "%s\n%zu%s", place, ++*number, by_text ? lines[i].text : "");
    wanted[*count] = (struct numbered){&lines[i], identity};
    pl_map_set(*index, identity, (void *)&wanted[(*count)++]);
  }
  return wanted;
}

/// "3 mm", or "+= 3 mm" where the value changes another one.
static const char *text_of(struct pl_arena *arena, const struct pl_flat_line *line) {
  if (line->action == PL_SET || line->action == PL_OPERATOR_NONE) return line->text;
  return pl_format(arena, "%s %s", pl_operator_sign(line->action), line->text);
}

/// The blocks that the lines are of.
static struct pl_map *heads_of(struct pl_arena *arena, const struct numbered *lines,
                               size_t count) {
  struct pl_map *const heads = pl_map_new(arena);
  for (size_t i = 0; i < count; i++)
    pl_map_set(heads, lines[i].line->block, (void *)lines[i].line);
  return heads;
}

/// Lines of a block that is new or dropped as a whole are told by its head alone.
static void compare_lines(struct making *making, const struct pl_program *before,
                          const struct pl_program *after) {
  struct pl_arena *const arena = making->arena;
  struct pl_map *was = NULL;
  struct pl_map *is = NULL;
  size_t old_count = 0;
  size_t new_count = 0;
  const struct numbered *const old = number_lines(making, before, &old_count, &was);
  const struct numbered *const now = number_lines(making, after, &new_count, &is);
  const struct pl_map *const old_blocks = heads_of(arena, old, old_count);
  const struct pl_map *const new_blocks = heads_of(arena, now, new_count);
  for (size_t i = 0; i < new_count; i++) {
    const struct pl_flat_line *const line = now[i].line;
    const struct numbered *const known = pl_map_get(was, now[i].identity);
    const char *const has = text_of(arena, line);
    const char *const had = known == NULL ? NULL : text_of(arena, known->line);
    if (had != NULL && strcmp(had, has) == 0) continue;
    if (line->key[0] != '\0' && line->is_block && pl_map_get(old_blocks, line->block) == NULL)
      continue;
    add(making, (struct pl_line_change){line->block, line->key, had, has});
  }
  for (size_t i = 0; i < old_count; i++) {
    const struct pl_flat_line *const line = old[i].line;
    if (pl_map_get(is, old[i].identity) != NULL) continue;
    if (line->key[0] != '\0' && line->is_block && pl_map_get(new_blocks, line->block) == NULL)
      continue;
    add(making, (struct pl_line_change){line->block, line->key, text_of(arena, line), NULL});
  }
}

const struct pl_line_change *pl_compare_files(struct pl_arena *arena, struct pl_program *before,
                                              struct pl_program *after, bool as_written,
                                              enum pl_unit_system system, size_t *count) {
  struct making making = {.arena = arena, .system = system, .as_written = as_written};
  for (int kind = 0; kind < PL_BLOCK_KIND_COUNT && !as_written; kind++) {
    if (is_part((enum pl_block_kind)kind))
      compare_parts(&making, before, after, (enum pl_block_kind)kind);
  }
  compare_lines(&making, before, after);
  *count = making.count;
  return making.changes;
}
