// SPDX-License-Identifier: GPL-3.0-or-later
// Declarations: which blocks and `let`s a file has, and how those of several files join.
#include "room.h"

#include <string.h>

static const char *all_words(struct pl_arena *arena, const char *const *kinds) {
  struct pl_buffer words = {.arena = arena};
  for (int i = 0; i < PL_BLOCK_KIND_COUNT; i++) {
    const bool last = i + 1 == PL_BLOCK_KIND_COUNT;
    pl_buffer_format(&words, "%s%s", i == 0 ? "" : last ? " and " : ", ", kinds[i]);
  }
  return pl_buffer_string(&words);
}

bool is_on_one_line(struct pl_diagnostics *problems, const struct pl_node *name) {
  if (strpbrk(name->name, "\n\t") == NULL) return true;
  pl_report(problems, PL_NAME_WITH_LINES, pl_name_span(name), PL_NO_WORDS);
  return false;
}

static void declare_block(struct pl_arena *arena, struct file *file,
                          const struct pl_node *node) {
  const enum pl_block_kind kind = pl_block_kind_of(node->name);
  if (kind == PL_BLOCK_KIND_COUNT) {
    const char *kinds[PL_BLOCK_KIND_COUNT];
    for (int i = 0; i < PL_BLOCK_KIND_COUNT; i++)
      kinds[i] = pl_block_kind_name((enum pl_block_kind)i);
    if (strcmp(node->name, "rule") == 0 || strcmp(node->name, "entry") == 0) {
      pl_report(file->problems, PL_BLOCK_NEEDS_HOME, pl_name_span(node),
                PL_WORDS(node->name, node->name[0] == 'r' ? "a set of rules" : "a meeting",
                         node->name[0] == 'r' ? "rules" : "meeting"));
      return;
    }
    const char *const near = pl_nearest(node->name, kinds, PL_BLOCK_KIND_COUNT);
    pl_report(file->problems, near == NULL ? PL_UNKNOWN_KIND_FAR : PL_UNKNOWN_KIND,
              pl_name_span(node),
              PL_WORDS(node->name, near == NULL ? all_words(arena, kinds) : near));
    return;
  }
  const bool may_lack_name = kind == PL_BLOCK_AIM && pl_titles(node) == NULL;
  if (!may_lack_name && (pl_titles(node) == NULL || pl_titles(node)->kind != PL_NODE_TEXT)) {
    pl_report(file->problems, PL_BLOCK_NEEDS_NAME, pl_name_span(node), PL_WORDS(node->name));
    return;
  }
  if (!may_lack_name) is_on_one_line(file->problems, pl_titles(node));
  if (!may_lack_name && pl_titles(node)->next != NULL)
    pl_report(file->problems, PL_ONE_NAME, pl_titles(node)->next->span, PL_WORDS(node->name));
  if (pl_condition(node) != NULL)
    pl_report(file->problems, PL_CONDITION_OUTSIDE_RULE, pl_condition(node)->span, PL_NO_WORDS);
  file->blocks[file->block_count++] =
      (struct pl_block){kind, may_lack_name ? "" : pl_titles(node)->name, node, file->source};
}

static void declare_let(struct file *file, const struct pl_node *node) {
  file->lets[file->let_count++] = (struct let){node->name, node};
}

/// A `let` inside a block is reported with the block's items; its name is known all the same,
/// so that this is the only problem.
static void declare_inner_lets(struct file *file, const struct pl_node *items) {
  if (file->let_count == file->tree->let_count) return; // there are no more
  for (const struct pl_node *node = items; node != NULL; node = node->next) {
    if (node->kind == PL_NODE_LET) declare_let(file, node);
    if (node->kind == PL_NODE_BLOCK) declare_inner_lets(file, node->children);
  }
}

/// Puts the blocks into maps by their names.
static void map_blocks(struct pl_arena *arena, struct file *file) {
  for (size_t i = 0; i < file->block_count; i++) {
    struct pl_block *const block = &file->blocks[i];
    if (pl_titles(block->node) == NULL) continue; // nobody can name it
    if (file->by_name[block->kind] == NULL) file->by_name[block->kind] = pl_map_new(arena);
    struct pl_block *const other = pl_map_set(file->by_name[block->kind], block->name, block);
    if (other == NULL) continue;
    pl_map_set(file->by_name[block->kind], block->name, other); // the first one stays
    struct pl_diagnostic *const problem =
        pl_report(file->problems, PL_NAME_TWICE, pl_titles(block->node)->span,
                  PL_WORDS(pl_block_kind_name(block->kind), block->name));
    pl_relate(problem, pl_titles(other->node)->span, "the other one is here");
  }
}

void declare_file(struct pl_arena *arena, struct file *file) {
  file->blocks = pl_alloc_array(arena, file->tree->block_count, sizeof *file->blocks);
  file->lets = pl_alloc_array(arena, file->tree->let_count, sizeof *file->lets);
  for (const struct pl_node *node = file->tree->items; node != NULL; node = node->next) {
    switch (node->kind) {
    case PL_NODE_BLOCK:
      declare_block(arena, file, node);
      declare_inner_lets(file, node->children);
      break;
    case PL_NODE_LET: declare_let(file, node); break;
    case PL_NODE_PROPERTY:
      pl_report(file->problems, PL_PROPERTY_OUTSIDE, node->span,
                PL_WORDS(pl_span_text(arena, pl_name_span(node))));
      break;
    default: break;
    }
  }
  map_blocks(arena, file);
  file->sound = pl_alloc_array(arena, file->block_count, sizeof *file->sound);
}

// ---------------------------------------------------------------- all files together

static void join_lets(struct pl_program *program, const struct file *file) {
  for (size_t i = 0; i < file->let_count; i++) {
    const struct let *const let = &file->lets[i];
    const struct let_value *const other = pl_map_get(program->lets, let->name);
    if (other != NULL) {
      struct pl_diagnostic *const problem = pl_report(
          program->problems, PL_LET_TWICE, pl_name_span(let->node), PL_WORDS(let->name));
      pl_relate(problem, pl_name_span(other->let->node), "the other one is here");
      continue;
    }
    struct let_value *const value = pl_alloc(program->arena, sizeof *value);
    value->let = let;
    pl_map_set(program->lets, let->name, value);
  }
}

/// Names of one file that stand in a file before it, too.
static void find_twins(struct pl_program *program, size_t at) {
  const struct file *const file = program->files[at];
  for (size_t i = 0; i < file->block_count; i++) {
    const struct pl_block *const block = &file->blocks[i];
    for (size_t j = 0; pl_titles(block->node) != NULL && j < at; j++) {
      const struct pl_map *const map = program->files[j]->by_name[block->kind];
      const struct pl_block *const other = map == NULL ? NULL : pl_map_get(map, block->name);
      if (other == NULL) continue;
      struct pl_diagnostic *const problem =
          pl_report(program->problems, PL_NAME_TWICE, pl_titles(block->node)->span,
                    PL_WORDS(pl_block_kind_name(block->kind), block->name));
      pl_relate(problem, pl_titles(other->node)->span, "the other one is here");
      break;
    }
  }
}

static void count_scale(void *context, const struct pl_block *block, bool in_main) {
  struct pl_program *const program = context;
  (void)in_main;
  program->scale = block;
  program->scale_count++;
}

static void count_car(void *context, const struct pl_block *block, bool in_main) {
  struct pl_program *const program = context;
  (void)in_main;
  program->car = block;
  program->car_count++;
}

void join_declarations(struct pl_program *program) {
  pl_program_each(program, PL_BLOCK_CAR, count_car, program);
  pl_program_each(program, PL_BLOCK_OIL_SCALE, count_scale, program);
  for (size_t i = 0; i < program->file_count; i++) {
    join_lets(program, program->files[i]);
    find_twins(program, i);
  }
}

const struct pl_block *pl_program_find(const struct pl_program *program,
                                       enum pl_block_kind kind, const char *name) {
  for (size_t i = 0; i < program->file_count; i++) {
    const struct pl_map *const map = program->files[i]->by_name[kind];
    const struct pl_block *const block = map == NULL ? NULL : pl_map_get(map, name);
    if (block != NULL) return block;
  }
  return NULL;
}

void pl_program_each(const struct pl_program *program, enum pl_block_kind kind,
                     void (*visit)(void *context, const struct pl_block *block, bool in_main),
                     void *context) {
  for (size_t i = 0; i < program->file_count; i++) {
    const struct file *const file = program->files[i];
    for (size_t j = 0; j < file->block_count; j++) {
      if (file->blocks[j].kind == kind) visit(context, &file->blocks[j], i == 0);
    }
  }
}

const char *nearest_block(const struct pl_program *program, enum pl_block_kind kind,
                          const char *name) {
  const char **names = NULL;
  size_t count = 0;
  size_t capacity = 0;
  for (size_t i = 0; i < program->file_count; i++) {
    const struct file *const file = program->files[i];
    for (size_t j = 0; j < file->block_count; j++) {
      if (file->blocks[j].kind != kind) continue;
      names = pl_grow(program->arena, names, count, &capacity, sizeof *names);
      names[count++] = file->blocks[j].name;
    }
  }
  return pl_nearest(name, names, count);
}
