// SPDX-License-Identifier: GPL-3.0-or-later
// From a stranger's file to paper: all built-in templates, with marks where the file has two
// setups, as a list of boxes and as PDF. Nothing may touch something else, or leave the
// margins.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "target.h"

#include "paper.h"

#include "pitleaf/compare.h"
#include "pitleaf/sheet.h"

#include <string.h>

/// That of all built-in templates, mm.
#define MARGIN 9.0

/// Templates that are drawn one behind the other.
struct stack {
  struct pl_template_choice choices[16];
  size_t count;
};

static void add_template(void *context, const char *name) {
  struct stack *const stack = context;
  if (stack->count < sizeof stack->choices / sizeof stack->choices[0])
    stack->choices[stack->count++] = (struct pl_template_choice){.name = name};
}

static void print(struct target *target, const struct pl_paper *paper) {
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  (void)pl_paper_as_text(target->arena, paper);
  for (size_t i = 0; i < paper->page_count; i++)
    pl_check_page(paper->pages[i], MARGIN, "a sheet");
  const enum pl_pdf_status status =
      pl_paper_to_pdf(target->arena, paper, &bytes, &length, &message);
  // A paper that was made has pages, and its characters were looked at.
  if (status != PL_PDF_OK && status != PL_PDF_TOO_LARGE)
    broken("no PDF, status %d: %s", (int)status, message);
}

void try_input(struct target *target) {
  struct pl_program *const program = checked_entry(target);
  if (program == NULL) return;
  struct pl_diagnostics *const problems = pl_program_problems(program);
  struct pl_figures *figures = figures_of(program, 0);
  struct pl_figures *const base = figures_of(program, 1);
  if (figures == NULL || problems->errors > 0) return;
  if (base != NULL) figures = pl_figures_new(pl_figures_setup(figures), base);
  struct stack stack = {.count = 0};
  pl_template_each_built_in(target->arena, add_template, &stack);
  const bool is_imperial = target->length % 2 == 1;
  const struct pl_sheet_request request = {
      .figures = figures,
      .base = base,
      .comparison = base == NULL ? NULL : pl_compare(target->arena, base, figures, PL_METRIC),
      .templates = stack.choices,
      .template_count = stack.count,
      .paper = is_imperial ? PL_LETTER : PL_A4,
      .system = is_imperial ? PL_IMPERIAL : PL_METRIC,
      .version = "0"};
  const struct pl_paper *const paper = pl_sheet_new(target->arena, &request, problems);
  if (paper != NULL)
    print(target, paper);
  else if (problems->errors == 0)
    broken("there is no sheet, and nobody says why");
}
