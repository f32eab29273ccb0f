// SPDX-License-Identifier: GPL-3.0-or-later
// The commands that print text: check, figures, compare, explain, describe.
#include "room.h"

#include <stdio.h>
#include <string.h>

// ---------------------------------------------------------------- check

/// The main file's setups, gathered to be checked.
struct gathered {
  struct pl_program *program;
  const char **names;
  size_t count;
  size_t capacity;
};

static void gather(void *context, const struct pl_block *block, bool in_main) {
  struct gathered *const gathered = context;
  if (!in_main) return;
  gathered->names = pl_grow(pl_program_arena(gathered->program), gathered->names,
                            gathered->count, &gathered->capacity, sizeof *gathered->names);
  gathered->names[gathered->count++] = block->name;
}

static void check_setups(const struct run *run, struct pl_program *program) {
  struct gathered gathered = {.program = program};
  if (run->options->setup == NULL) pl_program_each(program, PL_BLOCK_SETUP, gather, &gathered);
  const char *const *names = gathered.names;
  size_t count = gathered.count;
  if (run->options->setup != NULL) {
    names = &run->options->setup;
    count = 1;
  }
  for (size_t i = 0; i < count; i++) {
    const struct pl_setup *const setup = pl_program_setup(program, names[i]);
    if (setup == NULL) continue;
    pl_setup_check(setup);
    pl_figures_check(pl_figures_new(setup, NULL));
  }
}

void command_check(struct run *run) {
  struct pl_map *const printed = pl_map_new(run->arena);
  struct pl_arena *const arena = pl_arena_new(run->guard);
  for (size_t i = 0; i < run->options->word_count; i++) {
    struct pl_program *const program =
        pl_program_load(run->session, arena, run->options->words[i]);
    if (!pl_program_unreadable(program)) check_setups(run, program);
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
  pl_arena_free(arena);
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
      const char *const near = pl_figure_nearest(key);
      complain(run, "there is no figure `%s`%s%s%s", key,
               near == NULL ? "" : "; did you mean `", near == NULL ? "" : near,
               near == NULL ? "" : "`?");
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
  } else if (run->options->format > AS_CSV) {
    complain(run, "`figures` prints as text, json or csv");
  }
  put_problems(run, program, NULL);
  pl_arena_free(arena);
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
  } else if (run->options->format == AS_TEXT) {
    if (comparison != NULL) {
      const struct pl_text_style style = style_of(run, pl_figures_setup(own));
      put_text(run, pl_comparison_text(arena, comparison, &style));
    }
  } else {
    complain(run, "`compare` prints as text or json");
  }
  struct pl_map *const printed = pl_map_new(run->arena);
  put_problems(run, base_program, printed);
  put_problems(run, program, printed);
  pl_arena_free(arena);
  pl_arena_free(pl_program_arena(base_program));
}

// ---------------------------------------------------------------- explain

/// A setting, or a part's setting behind a point; false if the key names neither.
static bool find_setting(struct run *run, const char *key, enum pl_setting *setting,
                         enum pl_setting *inner) {
  *inner = PL_SETTING_COUNT;
  *setting = pl_setting_of(key, PL_BLOCK_SETUP);
  const char *const point = strchr(key, '.');
  if (*setting != PL_SETTING_COUNT || point == NULL) return *setting != PL_SETTING_COUNT;
  *setting =
      pl_setting_of(pl_copy_text(run->arena, key, (size_t)(point - key)), PL_BLOCK_SETUP);
  if (*setting == PL_SETTING_COUNT || pl_settings[*setting].type != PL_TYPE_PART) return false;
  *inner = pl_setting_of(point + 1, pl_block_kind_of(pl_settings[*setting].of));
  return *inner != PL_SETTING_COUNT;
}

/// Says that the key's scope is another one.
static void complain_scope(struct run *run, const char *key, enum pl_scope scope,
                           enum pl_place place) {
  const char *const example = scope == PL_SCOPE_CORNER ? "front-left"
                              : scope == PL_SCOPE_AXLE ? "front"
                                                       : "car";
  complain(run, "`%s` is not of `%s`; write %s.%s", key, pl_place_name(place), example, key);
}

static const char *explanation(struct run *run, struct pl_figures *figures, enum pl_place place,
                               const char *key) {
  struct pl_arena *const arena = run->arena;
  const struct pl_text_style style = style_of(run, pl_figures_setup(figures));
  enum pl_setting setting;
  enum pl_setting inner;
  const bool is_setting = find_setting(run, key, &setting, &inner);
  const enum pl_figure figure = pl_figure_of(key);
  // Some keys name both; the figure then tells the setting among its inputs.
  if (figure != PL_FIGURE_COUNT) {
    const enum pl_scope scope = pl_figure_rows[figure].scope;
    const enum pl_place at = pl_place_at(place, scope);
    if (at != PL_PLACE_COUNT) return pl_explain_figure(arena, figures, figure, at, &style);
    if (!is_setting) {
      complain_scope(run, key, scope, place);
      return NULL;
    }
  }
  if (!is_setting) {
    const char *near = pl_describe_nearest(key);
    complain(run, "there is no setting or figure `%s`%s%s%s", key,
             near == NULL ? "" : "; did you mean `", near == NULL ? "" : near,
             near == NULL ? "" : "`?");
    return NULL;
  }
  const enum pl_place at = pl_place_at(place, pl_settings[setting].scope);
  if (at == PL_PLACE_COUNT) {
    complain_scope(run, key, pl_settings[setting].scope, place);
    return NULL;
  }
  return pl_explain_setting(arena, pl_figures_setup(figures), setting, inner, at, &style);
}

void command_explain(struct run *run) {
  enum pl_place place = PL_CAR;
  const char *key = NULL;
  if (!read_path(run, run->options->words[1], &place, &key)) return;
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  if (figures != NULL) {
    const char *const text = explanation(run, figures, place, key);
    if (text != NULL) put_text(run, text);
  }
  put_problems(run, program, NULL);
  pl_arena_free(pl_program_arena(program));
}

// ---------------------------------------------------------------- describe

void command_describe(struct run *run) {
  const struct pl_text_style style = style_of(run, NULL);
  const bool markdown = run->options->format == AS_MARKDOWN;
  if (run->options->format != AS_TEXT && !markdown) {
    complain(run, "`describe` prints as text or markdown");
    return;
  }
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
  const char *const near = pl_describe_nearest(key);
  complain(run, "nothing is called `%s`%s%s%s", key, near == NULL ? "" : "; did you mean `",
           near == NULL ? "" : near, near == NULL ? "" : "`?");
  raise_status(run, STATUS_NOT_DONE);
}
