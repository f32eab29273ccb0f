// SPDX-License-Identifier: GPL-3.0-or-later
// Templates of a stranger: checked, and drawn with a setup of our own. A logo may come along.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "target.h"

#include "paper.h"

#include "pitleaf/sheet.h"

#include <string.h>

/// Short, but with something in every part of a page.
static const char setup_text[] =
    "include \"library/oils.leaf\"\n"
    "include \"library/springs.leaf\"\n"
    "setup \"Ours\" {\n"
    "  driver = \"Pip Tidewrack\"; date = 2026-06-14; notes = \"a long note; \\u{416} \"\n"
    "  wheelbase = 272 mm; track = 240 mm; corner-mass = 400 g\n"
    "  all { ride-height = 22 mm; preload = 3 mm; oil = \"clear 400\"; tyre-radius = 41 mm }\n"
    "  ballast \"brass\" { mass = 25 g; at = (85, 0, 6) mm }\n"
    "  extra \"body height\" { rear = 12 mm }\n"
    "}\n";

/// Figures of our setup, in a program of its own.
static struct pl_figures *our_figures(struct target *target) {
  struct pl_source *const source = pl_source_of_bytes(
      target->arena, "ours.leaf", (const unsigned char *)setup_text, sizeof setup_text - 1);
  struct pl_program *const program =
      pl_program_of_source(target->session, target->arena, source, target->folder);
  struct pl_figures *const figures = figures_of(program, 0);
  if (figures == NULL) broken("our own setup is none");
  return figures;
}

/// A template may choose its margins, but has to keep on the page.
static void check_paper(struct pl_arena *arena, const struct pl_paper *paper) {
  (void)pl_paper_as_text(arena, paper);
  for (size_t i = 0; i < paper->page_count; i++)
    pl_check_page(paper->pages[i], 0, "a page of the template");
}

/// Templates being drawn.
struct drawing {
  struct target *target;
  struct pl_program *program;
  struct pl_figures *figures;
  size_t left; ///< so many more are drawn
};

static void draw(void *context, const struct pl_block *block, bool in_main) {
  struct drawing *const drawing = context;
  if (!in_main || drawing->left == 0) return;
  drawing->left--;
  const struct pl_template_choice choice = {.name = block->name, .program = drawing->program};
  const struct pl_sheet_request request = {
      .figures = drawing->figures, .templates = &choice, .template_count = 1, .version = "0"};
  struct pl_diagnostics *const problems = pl_diagnostics_new(drawing->target->arena);
  const size_t before = pl_program_problems(drawing->program)->errors;
  const struct pl_paper *const paper = pl_sheet_new(drawing->target->arena, &request, problems);
  if (paper != NULL)
    check_paper(drawing->target->arena, paper);
  else if (before + problems->errors == 0)
    broken("there is no sheet of \"%s\", and nobody says why", block->name);
}

void try_input(struct target *target) {
  struct pl_program *const program = checked_entry(target);
  if (program == NULL) return;
  struct drawing drawing = {.target = target, .program = program, .left = 2};
  drawing.figures = our_figures(target);
  pl_program_each(program, PL_BLOCK_TEMPLATE, draw, &drawing);
  tell_problems(target, program);
}
