// SPDX-License-Identifier: GPL-3.0-or-later
// Checking all that a file holds.
#include "pitleaf/editor.h"
#include "pitleaf/figures.h"
#include "pitleaf/rules.h"
#include "pitleaf/sheet.h"

/// The main file's setups, gathered to be checked.
struct gathered {
  struct pl_program *program;
  const char **names;
  size_t count;
  size_t capacity;
  struct pl_map *seen;
};

static void gather(void *context, const struct pl_block *block, bool in_main) {
  struct gathered *const gathered = context;
  if (!in_main) return;
  // Where two have one name, the first is worked out, and once is enough.
  if (pl_map_set(gathered->seen, block->name, gathered) != NULL) return;
  gathered->names = pl_grow(pl_program_arena(gathered->program), gathered->names,
                            gathered->count, &gathered->capacity, sizeof *gathered->names);
  gathered->names[gathered->count++] = block->name;
}

/// A setup to check.
struct checked {
  struct pl_program *program;
  const char *name;
};

static void check_setup(void *context) {
  const struct checked *const checked = context;
  const struct pl_setup *const setup = pl_program_setup(checked->program, checked->name);
  if (setup == NULL) return;
  pl_setup_check(setup);
  pl_figures_check(pl_figures_brief(setup));
}

static void check_rules(void *context, const struct pl_block *block, bool in_main) {
  if (in_main) pl_rules_check(context, block);
}

static void check_template(void *context, const struct pl_block *block, bool in_main) {
  struct pl_program *const program = context;
  if (in_main) pl_template_check(program, block, pl_program_problems(program));
}

static void check_meeting(void *context, const struct pl_block *block, bool in_main) {
  if (!in_main) return;
  pl_measured_check(context, block);
  pl_entries_check(context, block);
}

void pl_program_check(struct pl_program *program, const char *setup, struct pl_arena *scratch) {
  if (pl_program_unreadable(program)) return;
  struct gathered gathered = {.program = program, .names = &setup, .count = 1};
  if (setup == NULL) {
    gathered =
        (struct gathered){.program = program, .seen = pl_map_new(pl_program_arena(program))};
    pl_program_each(program, PL_BLOCK_SETUP, gather, &gathered);
  }
  // Each in memory of its own, since a file may have thousands of them.
  for (size_t i = 0; i < gathered.count; i++) {
    struct checked checked = {program, gathered.names[i]};
    pl_program_aside(program, scratch, check_setup, &checked);
    pl_arena_reset(scratch);
  }
  pl_program_each(program, PL_BLOCK_TEMPLATE, check_template, program);
  pl_program_each(program, PL_BLOCK_RULES, check_rules, program);
  pl_program_each(program, PL_BLOCK_MEETING, check_meeting, program);
}
