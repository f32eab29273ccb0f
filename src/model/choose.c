// SPDX-License-Identifier: GPL-3.0-or-later
// Which of a file's setups, or of its meetings, a command works on.
#include "room.h"

#include <string.h>

/// The main file's blocks of one kind.
struct search {
  struct pl_program *program;
  const struct pl_block **blocks;
  size_t count;
  size_t capacity;
  struct pl_map *bases; ///< names that another of these blocks starts from
};

static void note_block(void *context, const struct pl_block *block, bool in_main) {
  struct search *const search = context;
  if (!in_main) return;
  const struct pl_node *const base = pl_bases(block->node);
  if (base != NULL && strcmp(base->name, block->name) != 0)
    pl_map_set(search->bases, base->name, (void *)block);
  search->blocks = pl_grow(search->program->arena, search->blocks, search->count,
                           &search->capacity, sizeof *search->blocks);
  search->blocks[search->count++] = block;
}

static bool is_base_of_other(const struct search *search, const struct pl_block *block) {
  return pl_map_get(search->bases, block->name) != NULL;
}

/// Is a base missing, or are there none but blocks that start from each other?
static bool chain_is_broken(const struct search *search) {
  bool all_are_bases = true;
  for (size_t i = 0; i < search->count; i++) {
    const struct pl_block *const block = search->blocks[i];
    const struct pl_node *const base = pl_bases(block->node);
    if (base != NULL && pl_program_find(search->program, block->kind, base->name) == NULL)
      return true;
    if (!is_base_of_other(search, block)) all_are_bases = false;
  }
  return all_are_bases;
}

/// The blocks that no other starts from: one of them is the one that is meant.
static const char *names_of(const struct search *search) {
  struct pl_buffer names = {.arena = search->program->arena};
  const size_t most = 12; // more would not help to choose
  size_t told = 0;
  for (size_t i = 0; i < search->count && told < most; i++) {
    if (is_base_of_other(search, search->blocks[i])) continue;
    pl_buffer_format(&names, "%s\"%s\"", told++ == 0 ? "" : ", ", search->blocks[i]->name);
  }
  if (told == most) pl_buffer_text(&names, ", …");
  return pl_buffer_string(&names);
}

const struct pl_block *pl_program_block(struct pl_program *program, enum pl_block_kind kind,
                                        const char *name) {
  const enum pl_code no_such = kind == PL_BLOCK_SETUP     ? PL_NO_SUCH_SETUP
                               : kind == PL_BLOCK_MEETING ? PL_NO_SUCH_MEETING
                                                          : PL_NO_SUCH_RULES;
  const enum pl_code none = kind == PL_BLOCK_SETUP     ? PL_NOTHING_TO_PRINT
                            : kind == PL_BLOCK_MEETING ? PL_NO_MEETING
                                                       : PL_NO_RULES;
  const enum pl_code several = kind == PL_BLOCK_SETUP     ? PL_SEVERAL_SETUPS
                               : kind == PL_BLOCK_MEETING ? PL_SEVERAL_MEETINGS
                                                          : PL_SEVERAL_RULES;
  const struct pl_span whole = {pl_program_source(program), 0, 0};
  if (name != NULL) {
    const struct pl_block *const block = pl_program_find(program, kind, name);
    if (block == NULL)
      pl_report(program->problems, no_such, whole,
                PL_WORDS(name, nearest_block(program, kind, name)));
    return block;
  }
  struct search search = {.program = program, .bases = pl_map_new(program->arena)};
  pl_program_each(program, kind, note_block, &search);
  const struct pl_block *only = NULL;
  size_t tips = 0;
  for (size_t i = 0; i < search.count; i++) {
    if (is_base_of_other(&search, search.blocks[i])) continue;
    only = search.blocks[i];
    tips++;
  }
  if (tips == 1) return only;
  if (search.count == 0)
    pl_report(program->problems, none, whole, PL_NO_WORDS);
  else if (!chain_is_broken(&search)) // else that was reported, and more would be a guess
    pl_report(program->problems, several, whole, PL_WORDS(names_of(&search)));
  return NULL;
}
