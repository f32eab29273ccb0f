// SPDX-License-Identifier: GPL-3.0-or-later
// Parts that stand within a column or over the whole width: plots, checklists, cautions.
#include "room.h"

/// A box to tick, and a sign, mm.
#define SIGN_SIZE 2.3

static const struct pl_stroke outline = {.width = 0.25, .ink = PL_INK_BLACK};

void pl_column_plot(struct pl_sheet *sheet, struct pl_column *column,
                    const struct pl_template_part *part) {
  const char *lacks = "";
  const struct pl_page *const picture =
      pl_plot_picture(sheet, part, column->width, part->height, &lacks);
  pl_column_title(sheet, column, part->title);
  if (picture != NULL) {
    struct pl_cell *const cell = pl_column_cell(sheet, column, 0);
    pl_cell_picture(sheet, cell, 0, 0, picture);
  } else {
    pl_column_paragraph(sheet, column, 0,
                        (struct pl_type){.size = sheet->type.small, .ink = PL_INK_GREY}, lacks);
  }
}

/// A box to tick, or the triangle that warns.
static const struct pl_page *sign_of(struct pl_sheet *sheet, enum pl_part_of_page kind) {
  struct pl_page *const sign = pl_picture_new(sheet->arena, SIGN_SIZE, SIGN_SIZE);
  if (kind == PL_PAGE_CHECKLIST) {
    pl_draw_rectangle(sign, 0, 0, SIGN_SIZE, SIGN_SIZE, PL_INK_NONE, outline);
    return sign;
  }
  const struct pl_spot triangle[] = {
      {0, SIGN_SIZE}, {SIGN_SIZE, SIGN_SIZE}, {SIGN_SIZE / 2, 0.2}};
  pl_draw_polygon(sign, triangle, 3, PL_INK_NONE, outline);
  pl_draw_line(sign, SIGN_SIZE / 2, 0.95, SIGN_SIZE / 2, 1.6, outline);
  pl_draw_circle(sign, SIGN_SIZE / 2, 2.0, 0.3, PL_INK_BLACK, (struct pl_stroke){.width = 0});
  return sign;
}

void pl_cell_sign(struct pl_sheet *sheet, struct pl_cell *cell, double x, double size,
                  enum pl_part_of_page kind) {
  const double down = (pl_line_height(size) - SIGN_SIZE) / 2;
  const double height = cell->height;
  pl_cell_picture(sheet, cell, x, down > 0 ? down : 0, sign_of(sheet, kind));
  cell->height = height; // a sign is no higher than a line
}

void pl_column_remarks(struct pl_sheet *sheet, struct pl_column *column,
                       const struct pl_template_part *part) {
  const struct pl_type type = {.size = sheet->type.computed};
  pl_column_title(sheet, column, part->title);
  for (size_t i = 0; i < part->heading_count; i++) {
    const size_t first = column->count;
    sheet->where = (struct pl_span){.source = NULL};
    sheet->what = "a line of the template";
    pl_column_paragraph(sheet, column, PL_SIGN_ROOM + 0.4, type, part->headings[i]);
    pl_cell_sign(sheet, &column->cells[first], 0.4, type.size, part->kind);
    for (size_t j = first; j + 1 < column->count; j++) column->cells[j].keep = true;
    column->cells[column->count - 1].height += 0.7 * sheet->type.air;
  }
}

void pl_plots_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  struct pl_column column = {.width = sheet->width};
  pl_column_plot(sheet, &column, part);
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

void pl_remarks_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  if (part->heading_count == 0) return;
  struct pl_column column = {.width = sheet->width};
  pl_column_remarks(sheet, &column, part);
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, &column, 1, NULL, false);
}
