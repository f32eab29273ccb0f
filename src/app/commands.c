// SPDX-License-Identifier: GPL-3.0-or-later
// The commands that print text: check, figures, compare, describe.
#include "room.h"

#include <stdio.h>
#include <string.h>

// ---------------------------------------------------------------- check

void command_check(struct run *run) {
  struct pl_map *const printed = pl_map_new(run->arena);
  struct pl_arena *const arena = new_arena(run);
  struct pl_arena *const scratch = new_arena(run);
  for (size_t i = 0; i < run->options->word_count; i++) {
    struct pl_program *const program =
        pl_program_load(run->session, arena, run->options->words[i]);
    pl_program_check(program, run->options->setup, scratch);
    put_problems(run, program, printed);
    pl_arena_reset(arena);
  }
  const size_t files = run->options->word_count;
  put_text(run, pl_format(run->arena, "%zu file%s checked: ", files, files == 1 ? "" : "s"));
  if (run->errors == 0 && run->warnings == 0)
    put_text(run, "no problems\n");
  else
    put_text(run, pl_format(run->arena, "%zu error%s, %zu warning%s\n", run->errors,
                            run->errors == 1 ? "" : "s", run->warnings,
                            run->warnings == 1 ? "" : "s"));
}

// ---------------------------------------------------------------- figures

/// Reads the keys of --only; false after a message.
static bool read_choice(struct run *run, struct pl_figure_choice *choice) {
  enum pl_figure *const figures = pl_alloc_array(run->arena, PL_FIGURE_COUNT, sizeof *figures);
  *choice = (struct pl_figure_choice){.figures = figures};
  for (const char *at = run->options->only; at != NULL && *at != '\0';) {
    const size_t length = strcspn(at, ",");
    const char *const key = pl_copy_text(run->arena, at, length);
    const enum pl_figure figure = pl_figure_of(key);
    if (figure == PL_FIGURE_COUNT) {
      if (pl_setting_of(key, PL_BLOCK_SETUP) != PL_SETTING_COUNT)
        complain(run, "`%s` is a setting; --only takes figures", key);
      else
        complain_unknown(run, "there is no figure", key, pl_figure_nearest(key));
      return false;
    }
    if (choice->count < PL_FIGURE_COUNT) figures[choice->count++] = figure;
    at += length + (at[length] == ',' ? 1 : 0);
  }
  return true;
}

void command_figures(struct run *run) {
  struct pl_figure_choice choice;
  if (!read_choice(run, &choice)) return;
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  struct pl_arena *const arena = pl_program_arena(program);
  if (run->options->format == AS_JSON && !pl_program_unreadable(program))
    put_text(run, pl_figures_json(arena, figures, &choice, pl_program_problems(program)));
  else if (figures != NULL && run->options->format == AS_CSV)
    put_text(run, pl_figures_csv(arena, figures, &choice));
  else if (figures != NULL && run->options->format == AS_TEXT) {
    const struct pl_text_style style = style_of(run, pl_figures_setup(figures));
    put_text(run, pl_figures_text(arena, figures, &choice, &style));
  }
  put_problems(run, program, NULL);
}

// ---------------------------------------------------------------- compare

/// The problems of both files in one list.
static const struct pl_diagnostics *both(struct pl_arena *arena, const struct pl_program *base,
                                         const struct pl_program *own) {
  struct pl_diagnostics *const all = pl_diagnostics_new(arena);
  const struct pl_program *const programs[] = {base, own};
  for (size_t i = 0; i < sizeof programs / sizeof programs[0]; i++) {
    const struct pl_diagnostics *const problems = pl_program_problems(programs[i]);
    for (size_t j = 0; j < problems->count; j++) pl_report_again(all, &problems->items[j]);
  }
  return all;
}

void command_compare(struct run *run) {
  const char *const base_path = run->options->words[0];
  const char *const own_path = run->options->words[1];
  struct pl_program *base_program = NULL;
  struct pl_program *program = NULL;
  struct pl_figures *const base =
      load_figures(run, base_path, run->options->base_setup, NULL, &base_program);
  struct pl_figures *const own =
      load_figures(run, own_path, run->options->setup, base, &program);
  struct pl_arena *const arena = pl_program_arena(program);
  struct pl_comparison *comparison = NULL;
  if (base != NULL && own != NULL)
    comparison = pl_compare(arena, base, own, system_of(run, pl_figures_setup(own)));
  if (run->options->format == AS_JSON) {
    const bool unreadable =
        pl_program_unreadable(base_program) || pl_program_unreadable(program);
    if (!unreadable)
      put_text(run, pl_comparison_json(arena, comparison, both(arena, base_program, program)));
  } else if (comparison != NULL) {
    const struct pl_text_style style = style_of(run, pl_figures_setup(own));
    put_text(run, pl_comparison_text(arena, comparison, &style));
  }
  struct pl_map *const printed = pl_map_new(run->arena);
  put_problems(run, base_program, printed);
  put_problems(run, program, printed);
}

// ---------------------------------------------------------------- describe

void command_describe(struct run *run) {
  const struct pl_text_style style = style_of(run, NULL);
  const bool markdown = run->options->format == AS_MARKDOWN;
  if (run->options->word_count == 0) {
    put_text(run,
             markdown ? pl_describe_markdown(run->arena) : pl_describe_all(run->arena, &style));
    return;
  }
  const char *const key = run->options->words[0];
  const char *const text = strcmp(key, "physics") == 0
                               ? pl_describe_physics(run->arena, &style)
                               : pl_describe_key(run->arena, key, &style);
  if (text != NULL) {
    put_text(run, text);
    return;
  }
  complain_unknown(run, "nothing is called", key, pl_describe_nearest(key));
}
