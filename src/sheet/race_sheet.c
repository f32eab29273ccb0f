// SPDX-License-Identifier: GPL-3.0-or-later
// The race sheet: a template's parts in their order, filled from a setup.
#include "room.h"

static void draw_part(struct pl_sheet *sheet, const struct pl_template_part *part) {
  switch (part->kind) {
  case PL_PAGE_SECTION: pl_section_draw(sheet, part); break;
  case PL_PAGE_BESIDE: pl_beside_draw(sheet, part); break;
  case PL_PAGE_PLAN: pl_plan_draw(sheet, part); break;
  case PL_PAGE_RUNS: pl_runs_draw(sheet, part); break;
  case PL_PAGE_CHANGES: pl_changes_draw(sheet, part); break;
  case PL_PAGE_NOTES: pl_notes_draw(sheet, part); break;
  case PL_PAGE_REST: pl_rest_draw(sheet, part); break;
  case PL_PAGE_GROUP:
  case PL_PAGE_PART_COUNT: break;
  }
}

bool pl_sheet_add(struct pl_paper *paper, const struct pl_sheet_request *request,
                  struct pl_diagnostics *problems) {
  struct pl_sheet *const sheet = pl_alloc(paper->arena, sizeof *sheet);
  const struct pl_setup *const setup = pl_figures_setup(request->figures);
  *sheet = (struct pl_sheet){.arena = paper->arena,
                             .request = request,
                             .setup = setup,
                             .problems = problems,
                             .what = "",
                             .said = pl_map_new(paper->arena),
                             .paper = paper,
                             .first_page = paper->page_count};
  sheet->plan = pl_template_read(
      paper->arena, pl_setup_program(setup),
      request->template_name == NULL ? "race sheet" : request->template_name, problems);
  if (sheet->plan == NULL) return false;
  pl_flow_page(sheet);
  pl_paper_outline(paper, pl_setup_name(setup), sheet->first_page);
  pl_heading_draw(sheet);
  for (const struct pl_template_part *part = sheet->plan->parts; part != NULL;
       part = part->next)
    draw_part(sheet, part);
  pl_footer_draw(sheet);
  return !sheet->failed;
}

struct pl_paper *pl_sheet_new(struct pl_arena *arena, const struct pl_sheet_request *request,
                              struct pl_diagnostics *problems) {
  struct pl_paper *const paper = pl_paper_new(arena);
  if (!pl_sheet_add(paper, request, problems)) return NULL;
  paper->title = pl_setup_name(pl_figures_setup(request->figures));
  return paper;
}
