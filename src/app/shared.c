// SPDX-License-Identifier: GPL-3.0-or-later
// What the commands share: loading setups, printing, and the exit status.
#include "room.h"

#include <assert.h>
#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

struct pl_arena *new_arena(struct run *run) {
  assert(run->arena_count < ARENA_LIMIT);
  struct pl_arena *const arena = pl_arena_new(run->guard);
  run->arenas[run->arena_count++] = arena;
  return arena;
}

void raise_status(struct run *run, enum status status) {
  if (status > run->status) run->status = status;
}

/// The reason is kept: when the program ends, nothing else tells it any more.
static void note_output(struct run *run, bool is_whole) {
  if (is_whole) return;
  if (run->output_error == 0) run->output_error = errno;
  raise_status(run, STATUS_NOT_DONE);
}

void put_text(struct run *run, const char *text) {
  note_output(run, fputs(text, stdout) != EOF);
}

void put_bytes(struct run *run, const void *bytes, size_t length) {
  note_output(run, fwrite(bytes, 1, length, stdout) == length);
}

/// A message that is printed, with memory of its own: it may be said before a run has any.
struct message {
  struct pl_guard *guard;
  struct pl_arena *arena;
  const char *before;
  const char *format;
  va_list *list;
};

static void print_message(void *context) {
  struct message *const message = context;
  message->arena = pl_arena_new(message->guard);
  const char *const text = pl_format_list(message->arena, message->format, *message->list);
  fprintf(stderr, "%s%s\n", message->before, pl_text_safe(message->arena, text));
}

/// False where there was no memory to say it, which is said instead.
static bool put_message_list(const char *before, const char *format, va_list *list) {
  struct message message = {
      .guard = pl_guard_new(), .before = before, .format = format, .list = list};
  const bool whole =
      message.guard != NULL && pl_with_memory(message.guard, print_message, &message);
  if (!whole) fputs("pitleaf: error: there is not enough memory\n", stderr);
  pl_arena_free(message.arena);
  pl_guard_free(message.guard);
  return whole;
}

void put_message(const char *format, ...) {
  va_list list;
  va_start(list, format);
  put_message_list("", format, &list);
  va_end(list);
}

void put_run_message(struct run *run, const char *format, ...) {
  va_list list;
  va_start(list, format);
  if (!put_message_list("", format, &list)) raise_status(run, STATUS_NOT_DONE);
  va_end(list);
}

void complain(struct run *run, const char *format, ...) {
  va_list list;
  va_start(list, format);
  put_message_list("pitleaf: ", format, &list);
  va_end(list);
  raise_status(run, STATUS_NOT_DONE);
}

void complain_unknown(struct run *run, const char *what, const char *name, const char *near) {
  if (near != NULL)
    complain(run, "%s `%s`; did you mean `%s`?", what, name, near);
  else
    complain(run, "%s `%s`", what, name);
}

void put_diagnostics(struct run *run, struct pl_arena *arena,
                     const struct pl_diagnostics *problems, struct pl_map *printed) {
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  const struct pl_text_style style = {
      .width = run->options->width, .colour = run->options->colour_err, .system = PL_METRIC};
  note_output(run, fflush(stdout) == 0);
  for (size_t i = 0; i < problems->count; i++) {
    const char *const text = pl_problem_text(arena, sorted[i], &style);
    if (printed != NULL) {
      const char *const kept = pl_copy_text(run->arena, text, strlen(text));
      if (pl_map_set(printed, kept, run) != NULL) continue;
    }
    fputs(text, stderr);
    const bool is_error = pl_diagnostic_rows[sorted[i]->code].severity == PL_ERROR;
    *(is_error ? &run->errors : &run->warnings) += 1;
  }
  if (problems->errors > 0) raise_status(run, STATUS_WRONG);
}

void put_problems(struct run *run, const struct pl_program *program, struct pl_map *printed) {
  put_diagnostics(run, pl_program_arena(program), pl_program_problems(program), printed);
  if (pl_program_unreadable(program)) raise_status(run, STATUS_NOT_DONE);
}

/// Adds a figure, once.
static void choose_figure(struct pl_figure_choice *choice, enum pl_figure *figures,
                          enum pl_figure figure) {
  for (size_t i = 0; i < choice->count; i++) {
    if (figures[i] == figure) return;
  }
  figures[choice->count++] = figure;
}

bool read_choice(struct run *run, struct pl_figure_choice *choice) {
  enum pl_figure *const figures = pl_alloc_array(run->arena, PL_FIGURE_COUNT, sizeof *figures);
  const char *const keys =
      run->options->figures == NULL ? run->options->only : run->options->figures;
  *choice = (struct pl_figure_choice){.figures = figures};
  for (const char *at = keys; at != NULL && *at != '\0';) {
    const size_t length = strcspn(at, ",");
    const char *const key = pl_copy_text(run->arena, at, length);
    const enum pl_figure figure = pl_figure_of(key);
    if (figure == PL_FIGURE_COUNT) {
      if (pl_setting_of(key, PL_BLOCK_SETUP) != PL_SETTING_COUNT)
        complain(run, "`%s` is a setting; --%s takes figures", key,
                 run->options->figures == NULL ? "only" : "figures");
      else
        complain_unknown(run, "there is no figure", key, pl_figure_nearest(key));
      return false;
    }
    choose_figure(choice, figures, figure);
    at += length + (at[length] == ',' ? 1 : 0);
  }
  return true;
}

bool read_choice_or_told(struct run *run, struct pl_figure_choice *choice) {
  if (!read_choice(run, choice)) return false;
  if (choice->count == 0) choice->figures = pl_told_figures(&choice->count);
  return true;
}

struct pl_figures *load_figures(struct run *run, const char *path, const char *setup_name,
                                struct pl_figures *base, struct pl_program **program) {
  *program = pl_program_load(run->session, new_arena(run), path);
  if (pl_program_unreadable(*program)) return NULL;
  const struct pl_setup *const setup = pl_program_setup(*program, setup_name);
  if (setup == NULL) return NULL;
  struct pl_figures *const figures = pl_figures_new(setup, base);
  pl_setup_check(setup);
  pl_figures_check(figures);
  return figures;
}

struct pl_figures *form_figures(struct run *run, struct pl_arena *arena) {
  static const char text[] = "setup \"Setup\" {\n}\n";
  struct pl_source *const source =
      pl_source_of_bytes(arena, "form", (const unsigned char *)text, sizeof text - 1);
  struct pl_program *const program = pl_program_of_source(run->session, arena, source, ".");
  return pl_figures_new(pl_program_setup(program, NULL), NULL);
}

struct pl_figures *load_base(struct run *run, const char *base, struct pl_program *beside) {
  const bool is_file = strcmp(base, "-") == 0 || access(base, F_OK) == 0;
  if (!is_file && pl_program_find(beside, PL_BLOCK_SETUP, base) != NULL) {
    const struct pl_setup *const setup = pl_program_setup(beside, base);
    pl_setup_check(setup);
    return pl_figures_new(setup, NULL);
  }
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, base, run->options->base_setup, NULL, &program);
  put_problems(run, program, NULL);
  return figures;
}

/// Is that a file, and no template of that name?
static bool is_template_file(const struct pl_program *program, const char *name) {
  return pl_program_find(program, PL_BLOCK_TEMPLATE, name) == NULL &&
         !pl_template_is_built_in(name) && access(name, F_OK) == 0;
}

void choose_templates(struct run *run, struct pl_program *program,
                      struct pl_template_choice *choices) {
  struct pl_arena *arena = NULL;
  for (size_t i = 0; i < run->options->template_count; i++) {
    const char *const name = run->options->templates[i];
    choices[i] = (struct pl_template_choice){.name = name};
    if (!is_template_file(program, name)) continue;
    if (arena == NULL) arena = new_arena(run);
    choices[i].program = pl_program_load(run->session, arena, name);
    choices[i].name = pl_template_only(choices[i].program);
  }
}

void put_template_problems(struct run *run, const struct pl_template_choice *choices) {
  for (size_t i = 0; i < run->options->template_count; i++) {
    if (choices[i].program != NULL) put_problems(run, choices[i].program, NULL);
  }
}

enum pl_unit_system system_of(const struct run *run, const struct pl_setup *setup) {
  const char *chosen = run->options->units;
  if (chosen == NULL && setup != NULL) {
    const struct pl_value *const own = &pl_setup_get(setup, PL_SETTING_UNITS, PL_CAR)->value;
    if (own->kind == PL_VALUE_TEXT) chosen = own->text;
  }
  return chosen != NULL && strcmp(chosen, "imperial") == 0 ? PL_IMPERIAL : PL_METRIC;
}

struct pl_text_style style_of(const struct run *run, const struct pl_setup *setup) {
  return (struct pl_text_style){.width = run->options->width,
                                .colour = run->options->colour_out,
                                .system = system_of(run, setup)};
}

bool read_path(struct run *run, const char *path, enum pl_place *place, const char **key) {
  const char *const point = strchr(path, '.');
  const char *const scope =
      point == NULL ? path : pl_copy_text(run->arena, path, (size_t)(point - path));
  *place = pl_place_of(scope);
  if (point != NULL && *place != PL_PLACE_COUNT) {
    *key = point + 1;
    return true;
  }
  complain(run,
           "`%s` is no scope and key; write front-left.preload, rear.roll-rate, car.mass and "
           "the like",
           path);
  return false;
}

// ---------------------------------------------------------------- mistakes in meetings

struct pl_diagnostics *mistakes_of_entry(struct pl_arena *arena,
                                         const struct pl_program *program,
                                         const struct pl_entry *entry) {
  const struct pl_diagnostics *const all = pl_program_problems(program);
  struct pl_diagnostics *const own = pl_diagnostics_new(arena);
  for (size_t i = 0; i < all->count; i++) {
    const bool is_error = pl_diagnostic_rows[all->items[i].code].severity == PL_ERROR;
    if (is_error && pl_entry_part_of(entry, &all->items[i]) != PL_NOT_IN_ENTRY)
      pl_report_again(own, &all->items[i]);
  }
  return own;
}

bool is_spoilt(const struct pl_program *program, const struct pl_meeting *meeting,
               bool but_measured) {
  const struct pl_diagnostics *const all = pl_program_problems(program);
  for (size_t i = 0; i < all->count; i++) {
    if (pl_diagnostic_rows[all->items[i].code].severity != PL_ERROR) continue;
    bool of_entry = false;
    for (size_t j = 0; j < meeting->entry_count && !of_entry; j++) {
      const enum pl_entry_part part = pl_entry_part_of(&meeting->entries[j], &all->items[i]);
      of_entry = part == PL_IN_MEASURED || (part == PL_IN_ENTRY && !but_measured);
    }
    if (!of_entry) return true;
  }
  return false;
}
