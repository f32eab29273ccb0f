// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets that are of no setup: a cover, a list, a page of mistakes.
#include "room.h"

struct pl_sheet *pl_plain_sheet(struct pl_arena *arena, const struct pl_template *look,
                                const struct pl_sheet_request *request) {
  struct pl_sheet *const sheet = pl_alloc(arena, sizeof *sheet);
  struct pl_sheet_request *const own = pl_alloc(arena, sizeof *own);
  *own = *request;
  *sheet = (struct pl_sheet){.arena = arena,
                             .request = own,
                             .plan = look,
                             .problems = pl_diagnostics_new(arena),
                             .what = "",
                             .paper = pl_paper_new(arena),
                             .type = PL_USUAL_DENSITY,
                             .said = pl_map_new(arena)};
  return sheet;
}

void pl_plain_sheet_start(struct pl_sheet *sheet, const char *title) {
  sheet->title = title;
  sheet->paper->title = title;
  pl_flow_page(sheet);
  pl_heading_draw(sheet);
  pl_paper_outline(sheet->paper, title, 0);
}

struct pl_paper *pl_plain_sheet_end(struct pl_sheet *sheet) {
  pl_footer_draw(sheet, sheet->paper->page_count);
  return sheet->paper;
}
