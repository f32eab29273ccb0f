// SPDX-License-Identifier: GPL-3.0-or-later
// A file as plain lines, one value each, so that what compares texts line by line shows what
// changed: for git's text converter.
#include "room.h"

#include <string.h>

/// A text being made.
struct making {
  struct pl_arena *arena;
  struct pl_buffer *out;
  struct pl_program *program;
  const struct pl_figure_choice *choice;
  enum pl_unit_system system;
};

// ---------------------------------------------------------------- as it is written

/// One line of the file, its key first.
static void add_written(struct making *making, const struct pl_flat_line *line) {
  struct pl_arena *const arena = making->arena;
  const char *const key = pl_text_safe(arena, line->key);
  const char *const text = pl_text_safe(arena, line->text);
  if (line->is_block && line->key[0] == '\0' && line->node->kind == PL_NODE_BLOCK)
    pl_buffer_text(making->out, pl_text_safe(arena, line->block));
  else
    pl_buffer_format(making->out, "%s%s", line->is_block ? "  " : "", key);
  const char *const sign =
      line->action == PL_OPERATOR_NONE ? "" : pl_operator_sign(line->action);
  if (sign[0] != '\0') pl_buffer_format(making->out, " %s", sign);
  if (text[0] != '\0')
    pl_buffer_format(
        making->out, "%s%s",
        key[0] == '\0' && sign[0] == '\0' && line->node->kind != PL_NODE_BLOCK ? "" : " ",
        text);
  pl_buffer_text(making->out, "\n");
}

// ---------------------------------------------------------------- setups by their values

static void add_value(struct making *making, int place, const char *name,
                      struct pl_printed printed) {
  struct pl_arena *const arena = making->arena;
  const bool whole = place == PL_CAR;
  pl_buffer_format(making->out, "  %s%s%s = %s\n",
                   whole ? "" : pl_place_name((enum pl_place)place), whole ? "" : " ",
                   pl_text_safe(arena, name), pl_text_safe(arena, with_unit(arena, printed)));
}

static void add_setting(struct making *making, const struct pl_setup *setup,
                        enum pl_setting setting) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  for (int place = (int)pl_first_place(row->scope); place <= (int)pl_last_place(row->scope);
       place++) {
    const struct pl_resolved *const resolved =
        pl_setup_get(setup, setting, (enum pl_place)place);
    if (!resolved->given || resolved->value.kind == PL_VALUE_NONE) continue;
    add_value(making, place, row->key,
              pl_print_setting(making->arena, setting, &resolved->value, making->system));
  }
}

static void add_named(struct making *making, const struct pl_setup *setup) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  for (size_t i = 0; i < count; i++)
    add_value(
        making, PL_CAR, pl_format(making->arena, "ballast \"%s\"", pieces[i].name),
        (struct pl_printed){pl_ballast_text(making->arena, &pieces[i], making->system), ""});
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) {
    for (int place = 0; place < PL_PLACE_COUNT; place++) {
      const struct pl_resolved *const at = &extras[i].at[place];
      if (!at->given) continue;
      add_value(making, place, pl_format(making->arena, "extra \"%s\"", extras[i].name),
                (struct pl_printed){pl_value_text(making->arena, &at->value), ""});
    }
  }
}

static void add_figure(struct making *making, struct pl_figures *figures,
                       enum pl_figure figure) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  for (int place = (int)pl_first_place(row->scope); place <= (int)pl_last_place(row->scope);
       place++) {
    const struct pl_figure_value *const value =
        pl_figure_get(figures, figure, (enum pl_place)place);
    if (!value->present) continue;
    add_value(making, place, row->key,
              pl_print_figure(making->arena, figure, value->value, making->system));
  }
}

/// Every setting at every place that has it, then the figures that are wanted.
static void add_setup(struct making *making, const char *name) {
  const struct pl_setup *const setup = pl_program_setup(making->program, name);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner == PL_BLOCK_SETUP) add_setting(making, setup, (enum pl_setting)i);
  }
  add_named(making, setup);
  struct pl_figures *const figures = pl_figures_new(setup, NULL);
  for (size_t i = 0; i < making->choice->count; i++)
    add_figure(making, figures, making->choice->figures[i]);
}

static void check_setup(void *context, const struct pl_block *block, bool in_main) {
  if (!in_main) return;
  const struct pl_setup *const setup = pl_program_setup(context, block->name);
  if (setup != NULL) pl_setup_check(setup);
}

const char *pl_flat_text(struct pl_arena *arena, struct pl_program *program,
                         const struct pl_figure_choice *choice, enum pl_unit_system system) {
  struct pl_buffer out = {.arena = arena};
  struct making making = {arena, &out, program, choice, system};
  pl_program_each(program, PL_BLOCK_SETUP, check_setup, program);
  const bool is_right = pl_program_problems(program)->errors == 0;
  size_t count = 0;
  const struct pl_flat_line *const lines =
      pl_flat_lines(arena, pl_program_tree(program, pl_program_source(program)), &count);
  bool is_resolved = false; // the block under way is a setup that was told by its values
  for (size_t i = 0; i < count; i++) {
    const struct pl_node *const node = lines[i].node;
    const bool is_head =
        !lines[i].is_block || (lines[i].key[0] == '\0' && node->kind == PL_NODE_BLOCK);
    if (is_head) is_resolved = false;
    if (!is_resolved) add_written(&making, &lines[i]);
    if (!is_head || !is_right || !lines[i].is_block || pl_titles(node) == NULL) continue;
    if (pl_block_kind_of(node->name) != PL_BLOCK_SETUP) continue;
    add_setup(&making, pl_titles(node)->name);
    is_resolved = true;
  }
  return pl_buffer_string(&out);
}
