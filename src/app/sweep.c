// SPDX-License-Identifier: GPL-3.0-or-later
// The sweep command: the figures of a setup while a setting or two go through values.
#include "room.h"

#include "pitleaf/sweep.h"

#include <stdio.h>
#include <string.h>

/// A sweep with what is shown of it.
struct swept {
  struct pl_sweep sweep;
  const struct pl_sweep_shown *shown;
  size_t count;
  bool is_usual; ///< nobody said which figures
};

/// The words behind the file as one text: a shell has parted them at blanks.
static const char *joined_words(const struct run *run) {
  struct pl_buffer text = {.arena = run->arena};
  for (size_t i = 1; i < run->options->word_count; i++)
    pl_buffer_format(&text, "%s%s", i == 1 ? "" : " ", run->options->words[i]);
  return pl_buffer_string(&text);
}

// ---------------------------------------------------------------- what is told

/// A remark on one line, as a problem of the command line.
static void put_remark(const struct run *run, const struct pl_sweep *sweep,
                       const struct pl_sweep_remark *remark) {
  const size_t told = remark->differs ? 1 : remark->count;
  struct pl_buffer text = {.arena = run->arena};
  pl_buffer_format(&text, "pitleaf: %s%s: %s", remark->is_error ? "" : "warning: ",
                   pl_sweep_points_text(run->arena, sweep, remark->points, told),
                   remark->problem.message);
  if (remark->place[0] != '\0') pl_buffer_format(&text, " (%s)", remark->place);
  fprintf(stderr, "%s\n", pl_text_safe(run->arena, pl_buffer_string(&text)));
  if (remark->problem.hint[0] != '\0')
    fprintf(stderr, "  %s\n", pl_text_safe(run->arena, remark->problem.hint));
  if (remark->differs)
    fprintf(stderr, "  and the like at %zu more %s%s\n", remark->count - 1,
            sweep->setting_count == 2 ? "combination" : "value", remark->count == 2 ? "" : "s");
}

void put_sweep_remarks(struct run *run, const struct pl_sweep *sweep, bool with_errors) {
  for (size_t i = 0; i < sweep->remark_count; i++) {
    const struct pl_sweep_remark *const remark = &sweep->remarks[i];
    if (remark->is_error) raise_status(run, STATUS_WRONG);
    if (!remark->is_error || with_errors) put_remark(run, sweep, remark);
  }
}

/// The keys of the figures that move after all, with commas.
static const char *moving_keys(struct run *run, struct pl_arena *scratch,
                               const struct pl_sweep *sweep, enum pl_unit_system system) {
  enum pl_figure *const all = pl_alloc_array(run->arena, PL_FIGURE_COUNT, sizeof *all);
  size_t all_count = 0;
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (i != PL_FIGURE_EQUIVALENT_OIL) all[all_count++] = (enum pl_figure)i;
  }
  struct pl_sweep again = *sweep;
  pl_sweep_run(run->arena, scratch, sweep->today, all, all_count, &again);
  size_t count = 0;
  const struct pl_sweep_shown *const shown =
      pl_sweep_shown_of(run->arena, &again, true, system, &count);
  struct pl_buffer keys = {.arena = run->arena};
  for (size_t i = 0; i < count; i++) {
    const enum pl_figure figure = shown[i].column->figure;
    if (i > 0 && shown[i - 1].column->figure == figure) continue;
    pl_buffer_format(&keys, "%s%s", i == 0 ? "" : ",", pl_figure_rows[figure].key);
  }
  return pl_buffer_string(&keys);
}

/// How many points have no mistake.
static size_t sound_points(const struct pl_sweep *sweep) {
  size_t count = 0;
  for (size_t i = 0; i < sweep->point_count; i++) {
    const char *const why = sweep->columns[0].why[i];
    count += why == NULL || strcmp(why, PL_SWEEP_MISTAKE) != 0 ? 1 : 0;
  }
  return count;
}

static void put_none_moves(struct run *run, struct pl_arena *scratch,
                           const struct pl_sweep *sweep, enum pl_unit_system system) {
  const char *const keys = moving_keys(run, scratch, sweep, system);
  const bool two = sweep->setting_count == 2;
  const char *const what = pl_format(run->arena, "%s%s%s", sweep->settings[0].path,
                                     two ? " and " : "", two ? sweep->settings[1].path : "");
  if (keys[0] == '\0' && sound_points(sweep) == 1)
    fprintf(
        stderr,
        "pitleaf: there is one value to go by, and with it all figures are as they are now; "
        "write a range or a list of other values behind %s\n",
        what);
  else if (keys[0] == '\0')
    fprintf(stderr, "pitleaf: no figure moves with %s; --figures shows those that you name\n",
            what);
  else
    fprintf(
        stderr,
        "pitleaf: of the figures that a racer asks for first, none moves with %s; these do: "
        "--figures %s\n",
        what, keys);
}

// ---------------------------------------------------------------- formats

/// The template whose look the pages have; null after its mistakes were told.
static const struct pl_template *look_of(struct run *run, struct pl_program *program) {
  struct pl_template_choice choices[PL_MOST_TEMPLATES] = {{.name = NULL}};
  struct pl_diagnostics *const problems = pl_diagnostics_new(run->arena);
  choose_templates(run, program, choices);
  const size_t errors = pl_program_problems(program)->errors;
  const struct pl_template *const look =
      pl_template_read(run->arena, &choices[0], program, problems);
  put_template_problems(run, choices);
  put_diagnostics(run, run->arena, problems, NULL);
  return problems->errors > 0 || pl_program_problems(program)->errors > errors ? NULL : look;
}

/// Draws the pages into the file that is to be written.
static void put_pages(struct run *run, struct pl_program *program, const struct swept *swept,
                      enum pl_unit_system system) {
  const char *const name = output_name(run, "-sweep");
  const bool to_stream = strcmp(name, "-") == 0;
  const char *const why = to_stream ? NULL : why_not_replaced(run, name, program, "page");
  if (why != NULL) {
    complain(run, "%s", why);
    return;
  }
  const struct pl_template *const look = look_of(run, program);
  if (look == NULL) {
    raise_status(run, STATUS_WRONG);
    fputs("pitleaf: no page was written, because of the errors in the template\n", stderr);
    return;
  }
  const struct pl_sweep_request request = {.sweep = &swept->sweep,
                                           .shown = swept->shown,
                                           .count = swept->count,
                                           .look = look,
                                           .paper = paper_of(run),
                                           .direction = direction_of(run),
                                           .system = system,
                                           .version = PITLEAF_VERSION};
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  if (pl_paper_to_pdf(run->arena, pl_sweep_paper_new(run->arena, &request), &bytes, &length,
                      &message) == PL_PDF_OK)
    write_output(run, name, bytes, length);
  else
    complain(run, "no page was written: %s", message);
}

static void put_swept(struct run *run, struct pl_program *program, const struct swept *swept,
                      enum pl_unit_system system) {
  const struct pl_sweep *const sweep = &swept->sweep;
  const struct pl_text_style style = {
      .width = run->options->width, .colour = run->options->colour_out, .system = system};
  switch (run->options->format) {
  case AS_JSON:
    put_text(run, pl_sweep_json(run->arena, sweep, swept->shown, swept->count,
                                pl_program_problems(program)));
    break;
  case AS_CSV:
    put_text(run, pl_sweep_csv(run->arena, sweep, swept->shown, swept->count));
    break;
  case AS_PDF:
    if (swept->count > 0)
      put_pages(run, program, swept, system);
    else
      complain(run, "no page was written: there is nothing to draw");
    break;
  default:
    if (swept->count > 0)
      put_text(run, pl_sweep_text(run->arena, sweep, swept->shown, swept->count, &style));
  }
}

/// Without errors in the file; its warnings were not told yet.
static void sweep_figures(struct run *run, struct pl_program *program,
                          struct pl_figures *figures, const struct pl_figure_choice *choice,
                          struct swept *swept) {
  struct pl_arena *const scratch = new_arena(run);
  struct pl_sweep *const sweep = &swept->sweep;
  const enum pl_unit_system system = system_of(run, pl_figures_setup(figures));
  pl_sweep_run(run->arena, scratch, figures, choice->figures, choice->count, sweep);
  swept->shown = pl_sweep_shown_of(run->arena, sweep, swept->is_usual, system, &swept->count);
  put_swept(run, program, swept, system);
  put_problems(run, program, NULL);
  // In the table, mistakes stand beneath the dashes that they have made.
  put_sweep_remarks(run, sweep, run->options->format != AS_TEXT || swept->count == 0);
  if (pl_sweep_lacks(sweep, swept->shown, swept->count)) raise_status(run, STATUS_WRONG);
  if (swept->count == 0 && sound_points(sweep) > 0) put_none_moves(run, scratch, sweep, system);
}

/// Options of paper with another format would do nothing. False after a message.
static bool has_paper_for_options(struct run *run) {
  const struct options *const options = run->options;
  const struct {
    const char *name;
    bool is_given;
  } of_paper[] = {{"output", options->output != NULL},
                  {"template", options->template_count > 0},
                  {"paper", options->paper != NULL},
                  {"direction", options->direction != NULL}};
  for (size_t i = 0; i < sizeof of_paper / sizeof of_paper[0]; i++) {
    if (!of_paper[i].is_given || options->format == AS_PDF) continue;
    complain(run, "--%s is for the page: write --as pdf, too", of_paper[i].name);
    return false;
  }
  return true;
}

void command_sweep(struct run *run) {
  if (!has_paper_for_options(run)) return;
  struct pl_figure_choice choice;
  struct swept swept = {.is_usual = run->options->figures == NULL};
  const char *const why = pl_sweep_read(run->arena, pl_session_names(run->session),
                                        joined_words(run), &swept.sweep);
  if (why != NULL) {
    complain(run, "%s", pl_text_safe(run->arena, why));
    return;
  }
  if (!read_choice_or_told(run, &choice)) return;
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  if (figures != NULL && pl_program_problems(program)->errors == 0) {
    sweep_figures(run, program, figures, &choice, &swept);
    return;
  }
  if (run->options->format == AS_JSON && !pl_program_unreadable(program))
    put_text(run, pl_sweep_json(run->arena, NULL, NULL, 0, pl_program_problems(program)));
  put_problems(run, program, NULL);
}
