// SPDX-License-Identifier: GPL-3.0-or-later
// Cells: texts and lines that stay together, stacked into columns before they are put on pages.
#include <string.h>

#include "room.h"

double pl_line_height(double size) {
  const struct pl_text_metrics regular = pl_text_metrics(size, false);
  const struct pl_text_metrics bold = pl_text_metrics(size, true);
  const double ascent = regular.ascent > bold.ascent ? regular.ascent : bold.ascent;
  const double descent = regular.descent > bold.descent ? regular.descent : bold.descent;
  return ascent + descent;
}

double pl_line_base(double size) {
  const double regular = pl_text_metrics(size, false).ascent;
  const double bold = pl_text_metrics(size, true).ascent;
  return regular > bold ? regular : bold;
}

struct pl_cell *pl_column_cell(struct pl_sheet *sheet, struct pl_column *column,
                               double height) {
  column->cells = pl_grow(sheet->arena, column->cells, column->count, &column->capacity,
                          sizeof *column->cells);
  struct pl_cell *const cell = &column->cells[column->count++];
  *cell = (struct pl_cell){.height = height};
  return cell;
}

static struct pl_piece *add_piece(struct pl_sheet *sheet, struct pl_cell *cell) {
  cell->pieces =
      pl_grow(sheet->arena, cell->pieces, cell->count, &cell->capacity, sizeof *cell->pieces);
  return &cell->pieces[cell->count++];
}

const char *pl_sheet_printable(struct pl_sheet *sheet, const char *text) {
  const char *const whole = pl_text_normalise(sheet->arena, text);
  if (strchr(whole, '\t') == NULL) return whole;
  struct pl_buffer plain = {.arena = sheet->arena};
  for (const char *next = whole; *next != '\0'; next++)
    pl_buffer_add(&plain, *next == '\t' ? " " : next, 1);
  return pl_buffer_string(&plain);
}

/// Reports a character that the font lacks.
static void check_glyphs(struct pl_sheet *sheet, const char *text) {
  uint32_t codepoint = 0;
  if (!pl_text_missing_glyph(sheet->arena, text, &codepoint)) return;
  sheet->failed = true;
  pl_report(sheet->problems, PL_NO_GLYPH, sheet->where,
            PL_WORDS(pl_format(sheet->arena, "U+%04X", (unsigned)codepoint), sheet->what));
}

void pl_cell_text(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                  struct pl_type type, const char *text) {
  if (text[0] == '\0') return;
  check_glyphs(sheet, text);
  *add_piece(sheet, cell) =
      (struct pl_piece){.x = x, .y = top + pl_line_base(type.size), .type = type, .text = text};
}

double pl_picture_text(struct pl_sheet *sheet, struct pl_page *page, double x, double baseline,
                       struct pl_type type, const char *text) {
  check_glyphs(sheet, text);
  return pl_draw_text(page, x, baseline, type, text);
}

void pl_sheet_text(struct pl_sheet *sheet, double x, double baseline, struct pl_type type,
                   const char *text) {
  pl_picture_text(sheet, sheet->page, x, baseline, type, text);
}

void pl_cell_line(struct pl_sheet *sheet, struct pl_cell *cell, double x, double y,
                  double length) {
  *add_piece(sheet, cell) = (struct pl_piece){.x = x, .y = y, .length = length};
}

void pl_cell_bar(struct pl_sheet *sheet, struct pl_cell *cell, double x, double y,
                 double height) {
  *add_piece(sheet, cell) = (struct pl_piece){.x = x, .y = y, .bar = height};
}

void pl_cell_picture(struct pl_sheet *sheet, struct pl_cell *cell, double x, double y,
                     const struct pl_page *picture) {
  *add_piece(sheet, cell) = (struct pl_piece){.x = x, .y = y, .picture = picture};
  if (cell->height < y + picture->height) cell->height = y + picture->height;
}

void pl_cell_link(struct pl_sheet *sheet, struct pl_cell *cell, double width, size_t target) {
  *add_piece(sheet, cell) =
      (struct pl_piece){.length = width, .link = cell->height, .target = target};
}

void pl_cell_fence(struct pl_sheet *sheet, struct pl_cell *cell, double x) {
  *add_piece(sheet, cell) = (struct pl_piece){.x = x, .fence = cell->height};
}

void pl_cell_stem(struct pl_sheet *sheet, struct pl_cell *cell, double x) {
  *add_piece(sheet, cell) = (struct pl_piece){.x = x, .stem = cell->height};
}

void pl_column_paragraph(struct pl_sheet *sheet, struct pl_column *column, double indent,
                         struct pl_type type, const char *text) {
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(sheet->arena, pl_sheet_printable(sheet, text), type.size, type.bold,
                   column->width - indent, &count);
  for (size_t i = 0; i < count; i++) {
    struct pl_cell *const cell = pl_column_cell(sheet, column, pl_line_height(type.size));
    pl_cell_text(sheet, cell, indent, 0, type, lines[i]);
  }
}

void pl_column_notes(struct pl_sheet *sheet, struct pl_column *column, double indent,
                     const struct pl_datum *datum) {
  for (size_t i = 0; i < datum->note_count; i++) {
    if (pl_map_set(sheet->said, datum->notes[i], sheet) != NULL) continue;
    if (column->count > 0) column->cells[column->count - 1].keep = true;
    sheet->what = "a note";
    const size_t first = column->count;
    pl_column_paragraph(sheet, column, indent,
                        (struct pl_type){.size = sheet->type.small, .ink = PL_INK_GREY},
                        pl_word_of_note(sheet, datum->notes[i]));
    for (size_t j = first; j < column->count; j++) column->cells[j].joined = true;
  }
}

void pl_column_title(struct pl_sheet *sheet, struct pl_column *column, const char *title) {
  const struct pl_type type = {.size = sheet->type.body, .bold = true};
  const size_t first = column->count;
  sheet->where = (struct pl_span){.source = NULL};
  sheet->what = "a title";
  pl_column_paragraph(sheet, column, 0, type, title);
  for (size_t i = first; i < column->count; i++) column->cells[i].keep = true;
  column->cells[column->count - 1].height += 0.3;
  column->cells[first].strong_rule = true;
}

double pl_column_height(const struct pl_column *column) {
  double height = 0;
  for (size_t i = 0; i < column->count; i++) height += column->cells[i].height;
  return height;
}
