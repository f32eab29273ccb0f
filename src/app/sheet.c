// SPDX-License-Identifier: GPL-3.0-or-later
// The sheet command: a setup as PDF, with marks against a base.
#include "room.h"

#include <stdio.h>
#include <string.h>

bool may_write(struct run *run, const struct pl_program *program,
               const struct pl_figures *base) {
  const char *const name = output_name(run, "");
  if (run->options->format == AS_BOXES || strcmp(name, "-") == 0) return true;
  const struct pl_program *const beside =
      base == NULL ? program : pl_setup_program(pl_figures_setup(base));
  const char *why = why_not_replaced(run, name, program, "sheet");
  if (why == NULL) why = why_not_replaced(run, name, beside, "sheet");
  if (why != NULL) complain(run, "%s", why);
  return why == NULL;
}

static void put_paper(struct run *run, struct pl_arena *arena, const struct pl_paper *paper) {
  if (run->options->format == AS_BOXES) {
    put_text(run, pl_paper_as_text(arena, paper));
    return;
  }
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  if (pl_paper_to_pdf(arena, paper, &bytes, &length, &message) != PL_PDF_OK) {
    complain(run, "no sheet was written: %s", message);
    return;
  }
  write_output(run, output_name(run, ""), bytes, length);
}

void print_sheet(struct run *run, struct pl_program *program, struct pl_figures *figures,
                 struct pl_figures *base, const char *usual) {
  struct pl_arena *const arena = pl_program_arena(program);
  const enum pl_unit_system system = system_of(run, pl_figures_setup(figures));
  struct pl_template_choice choices[PL_MOST_TEMPLATES];
  const bool takes_usual = usual != NULL && run->options->template_count == 0;
  choose_templates(run, program, choices);
  if (takes_usual) choices[0] = (struct pl_template_choice){.name = usual};
  const struct pl_sheet_request request = {
      .figures = figures,
      .form_only = run->options->word_count == 0,
      .base = base,
      .comparison = base == NULL ? NULL : pl_compare(arena, base, figures, system),
      .templates = choices,
      .template_count = takes_usual ? 1 : run->options->template_count,
      .paper = paper_of(run),
      .direction = direction_of(run),
      .system = system,
      .version = PITLEAF_VERSION};
  struct pl_diagnostics *const problems = pl_program_problems(program);
  const struct pl_paper *const paper =
      problems->errors > 0 ? NULL : pl_sheet_new(arena, &request, problems);
  put_problems(run, program, NULL);
  put_template_problems(run, choices);
  if (paper != NULL)
    put_paper(run, arena, paper);
  else
    fputs("pitleaf: no sheet was written, because of the errors above\n", stderr);
}

/// Without a file: forms to be filled in by hand.
static void print_form(struct run *run) {
  if (run->options->template_count == 0) {
    complain(run, "it is `pitleaf sheet FILE`; without a file, --template \"blank form\"");
    return;
  }
  if (run->options->against != NULL) {
    complain(run, "--against needs a file to compare with its base");
    return;
  }
  struct pl_figures *const figures = form_figures(run, new_arena(run));
  struct pl_program *const program = pl_setup_program(pl_figures_setup(figures));
  if (may_write(run, program, NULL)) print_sheet(run, program, figures, NULL, NULL);
}

void command_sheet(struct run *run) {
  if (run->options->word_count == 0) {
    print_form(run);
    return;
  }
  struct pl_program *program = NULL;
  struct pl_figures *figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  struct pl_figures *base = NULL;
  if (figures != NULL && run->options->against != NULL) {
    base = load_base(run, run->options->against, program);
    if (base == NULL || run->status != STATUS_FINE) {
      fputs("pitleaf: no sheet was written, because of the base\n", stderr);
      raise_status(run, STATUS_WRONG);
      figures = NULL;
    } else {
      figures = pl_figures_new(pl_figures_setup(figures), base);
    }
  }
  if (figures == NULL)
    put_problems(run, program, NULL);
  else if (may_write(run, program, base))
    print_sheet(run, program, figures, base, NULL);
}
