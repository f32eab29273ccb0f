// SPDX-License-Identifier: GPL-3.0-or-later
// The commands that print text: check, figures, compare.
#include "room.h"

#include <stdio.h>
#include <string.h>

// ---------------------------------------------------------------- check

/// Puts what was found on standard output, as one document.
static void put_findings(struct run *run, const struct pl_findings *findings) {
  if (pl_findings_errors(findings) > 0) raise_status(run, STATUS_WRONG);
  put_text(run, run->options->format == AS_SARIF
                    ? pl_findings_sarif(run->arena, findings, PITLEAF_VERSION, (int)run->status)
                    : pl_findings_json(run->arena, findings, PITLEAF_VERSION));
}

static void put_sum(struct run *run) {
  const size_t files = run->options->word_count;
  put_text(run, pl_format(run->arena, "%zu file%s checked: ", files, files == 1 ? "" : "s"));
  if (run->errors == 0 && run->warnings == 0)
    put_text(run, "no problems\n");
  else
    put_text(run, pl_format(run->arena, "%zu error%s, %zu warning%s\n", run->errors,
                            run->errors == 1 ? "" : "s", run->warnings,
                            run->warnings == 1 ? "" : "s"));
}

void command_check(struct run *run) {
  const bool as_text = run->options->format == AS_TEXT;
  struct pl_map *const printed = pl_map_new(run->arena);
  struct pl_arena *const arena = new_arena(run);
  struct pl_arena *const scratch = new_arena(run);
  enum pl_file_status status = PL_FILE_OK;
  const char *const folder = pl_real_path(run->arena, ".", &status);
  struct pl_findings *const findings =
      pl_findings_new(run->arena, folder == NULL ? "" : folder);
  for (size_t i = 0; i < run->options->word_count; i++) {
    const char *const path = run->options->words[i];
    struct pl_program *const program = pl_program_load(run->session, arena, path);
    const bool unreadable = pl_program_unreadable(program);
    pl_program_check(program, run->options->setup, scratch);
    if (as_text)
      put_problems(run, program, printed);
    else
      pl_findings_add(findings, path, unreadable ? NULL : pl_program_source(program),
                      pl_program_problems(program));
    if (unreadable) raise_status(run, STATUS_NOT_DONE);
    pl_arena_reset(arena);
  }
  if (as_text)
    put_sum(run);
  else
    put_findings(run, findings);
}

// ---------------------------------------------------------------- figures

/// The length behind --matched; false after a complaint.
static bool read_matched(struct run *run, double *length) {
  const char *const text = quantity_text(run->arena, &run->options->matched);
  struct pl_unit unit;
  double number = 0;
  const bool is_length = pl_quantity_read(text, &number, &unit) && number > 0 &&
                         pl_dimension_equal(unit.dimension, PL_LENGTH);
  if (!is_length)
    complain(run, "--matched is a length above 0 such as 0.02 mm, not `%s`", text);
  else
    *length = pl_to_si(number, &unit);
  return is_length;
}

/// Left and right with ports that are not alike.
static void put_matching(struct run *run, struct pl_figures *figures,
                         const struct pl_program *program,
                         const struct pl_figure_choice *choice, double difference) {
  struct pl_arena *const arena = pl_program_arena(program);
  if (run->options->format == AS_JSON && !pl_program_unreadable(program)) {
    put_text(run, pl_matching_json(arena, figures, difference, choice,
                                   pl_program_problems(program)));
  } else if (figures != NULL && run->options->format == AS_CSV) {
    put_text(run, pl_matching_csv(arena, figures, difference, choice));
  } else if (figures != NULL && run->options->format == AS_TEXT) {
    const struct pl_text_style style = style_of(run, pl_figures_setup(figures));
    put_text(run, pl_matching_text(arena, figures, difference, choice, &style));
  }
}

void command_figures(struct run *run) {
  struct pl_figure_choice choice;
  double difference = 0;
  if (!read_choice(run, &choice)) return;
  if (run->options->matched.text != NULL && !read_matched(run, &difference)) return;
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  struct pl_arena *const arena = pl_program_arena(program);
  if (difference > 0)
    put_matching(run, figures, program, &choice, difference);
  else if (run->options->format == AS_JSON && !pl_program_unreadable(program))
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

/// Do as many words stand there as that way of comparing takes? Else that is said.
static bool has_words(struct run *run) {
  const struct options *const options = run->options;
  const size_t count = options->word_count;
  if (options->external && options->convert)
    complain(run, "--external and --convert do not go together");
  else if ((options->external || options->convert) && options->format != AS_TEXT)
    complain(run, "--%s is text alone", options->external ? "external" : "convert");
  else if (options->external && count != 1 && count != 7 && count != 9)
    complain(run,
             "--external is for git: it takes the path, old file, name and mode, new file, "
             "name and mode");
  else if (options->convert && count != 1)
    complain(run, "it is `pitleaf compare --convert FILE`");
  else if (!options->external && !options->convert && count != 2)
    complain(run, "it is `pitleaf compare BASE FILE`");
  else
    return true;
  return false;
}

void command_compare(struct run *run) {
  if (!has_words(run)) return;
  if (run->options->external || run->options->convert) {
    (run->options->external ? compare_for_git : convert_for_git)(run);
    return;
  }
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
  if (base != NULL && own != NULL) {
    comparison = pl_compare(arena, base, own, system_of(run, pl_figures_setup(own)));
    pl_compare_tolerances(comparison);
  }
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
