// SPDX-License-Identifier: GPL-3.0-or-later
// Flow: columns of cells onto pages, as many as they need.
#include "room.h"

static const struct pl_stroke hair = {.width = PL_HAIR, .ink = PL_INK_LIGHT};
static const struct pl_stroke stem = {.width = 0.3, .ink = PL_INK_GREY};
static const struct pl_stroke line = {.width = 0.25, .ink = PL_INK_BLACK};

/// The bar of a change; `joined`: it goes on from the one above.
static void draw_bar(struct pl_sheet *sheet, double x, double y, double height, bool joined) {
  const double top = joined ? -0.15 : 0.35;
  pl_draw_rectangle(sheet->page, x, y + top, 0.9, height - 0.15 - top, PL_INK_BLACK,
                    (struct pl_stroke){.width = 0});
}

static void draw_piece(struct pl_sheet *sheet, const struct pl_piece *piece, double x,
                       double y) {
  if (piece->link > 0) {
    pl_draw_link(sheet->page, x + piece->x, y + piece->y, piece->length, piece->link,
                 piece->target);
  } else if (piece->length > 0) {
    pl_draw_line(sheet->page, x + piece->x, y + piece->y, x + piece->x + piece->length,
                 y + piece->y, (struct pl_stroke){.width = PL_HAIR, .ink = PL_INK_GREY});
  } else if (piece->fence > 0) {
    pl_draw_line(sheet->page, x + piece->x, y + piece->y, x + piece->x,
                 y + piece->y + piece->fence, hair);
  } else if (piece->stem > 0) {
    pl_draw_line(sheet->page, x + piece->x, y + piece->y, x + piece->x,
                 y + piece->y + piece->stem, stem);
  } else if (piece->bar > 0) {
    draw_bar(sheet, x + piece->x, y + piece->y, piece->bar, false);
  } else if (piece->picture != NULL) {
    pl_draw_picture(sheet->page, x + piece->x, y + piece->y, piece->picture);
  } else {
    pl_draw_text(sheet->page, x + piece->x, y + piece->y, piece->type, piece->text);
  }
}

static void draw_cell(struct pl_sheet *sheet, const struct pl_cell *cell, double x, double y,
                      double width) {
  if (cell->rule) pl_draw_line(sheet->page, x, y, x + width, y, hair);
  if (cell->strong_rule) pl_draw_line(sheet->page, x, y, x + width, y, line);
  if (cell->bar) draw_bar(sheet, x, y, cell->height, cell->joined);
  for (size_t i = 0; i < cell->count; i++) draw_piece(sheet, &cell->pieces[i], x, y);
}

/// The height of a cell together with those that it may not be parted from.
static double kept_height(const struct pl_column *column, size_t at) {
  double height = column->cells[at].height;
  while (column->cells[at].keep && at + 1 < column->count) height += column->cells[++at].height;
  return height;
}

/// Draws what fits of one column from cell `*at` on; returns where it ended.
static double draw_column(struct pl_sheet *sheet, const struct pl_column *column, size_t *at,
                          double top, bool fresh) {
  double y = top;
  while (*at < column->count) {
    // On a fresh page the first cell is drawn whatever its height, so that there is an end.
    const bool forced = fresh && y == top;
    if (!forced && y + kept_height(column, *at) > sheet->bottom) break;
    const struct pl_cell *const cell = &column->cells[(*at)++];
    draw_cell(sheet, cell, sheet->left + column->x, y, column->width);
    y += cell->height;
  }
  return y;
}

static bool are_done(const struct pl_column *columns, const size_t *at, size_t count) {
  for (size_t i = 0; i < count; i++) {
    if (at[i] < columns[i].count) return false;
  }
  return true;
}

static void rule_between(struct pl_sheet *sheet, const struct pl_column *columns, size_t count,
                         double top, double bottom) {
  for (size_t i = 1; i < count; i++) {
    const double gap = columns[i].x - columns[i - 1].x - columns[i - 1].width;
    const double x = sheet->left + columns[i].x - gap / 2;
    pl_draw_line(sheet->page, x, top, x, bottom, hair);
  }
}

/// Is there room for the first cells of a column?
static bool has_room(const struct pl_sheet *sheet, const struct pl_column *columns,
                     const size_t *at, size_t count, double head) {
  for (size_t i = 0; i < count; i++) {
    if (at[i] < columns[i].count &&
        sheet->y + head + kept_height(&columns[i], at[i]) <= sheet->bottom)
      return true;
  }
  return false;
}

/// Would the columns be cut although a page of their own would hold them, with little lost?
static bool better_on_next(const struct pl_sheet *sheet, const struct pl_column *columns,
                           size_t count, double head) {
  double highest = 0;
  for (size_t i = 0; i < count; i++) {
    const double height = pl_column_height(&columns[i]);
    if (height > highest) highest = height;
  }
  const double left = sheet->bottom - sheet->y - head;
  const double whole = sheet->bottom - sheet->top - head;
  // A single column is a list, which may be cut anywhere.
  const double share = count == 1 ? 0.08 : highest <= whole ? 0.45 : 0.2;
  return highest > left && left < whole * share;
}

void pl_flow_columns(struct pl_sheet *sheet, const struct pl_column *columns, size_t count,
                     const struct pl_flow_head *head, bool ruled) {
  size_t *const at = pl_alloc_array(sheet->arena, count, sizeof *at);
  const double head_height = head == NULL ? 0 : head->height + head->more;
  if (sheet->y > sheet->top && better_on_next(sheet, columns, count, head_height))
    pl_flow_page(sheet);
  bool again = false;
  while (!are_done(columns, at, count)) {
    if (sheet->y > sheet->top && !has_room(sheet, columns, at, count, head_height))
      pl_flow_page(sheet);
    const bool fresh = sheet->y <= sheet->top;
    if (head != NULL) {
      head->draw(sheet, head, again);
      sheet->y += head->height;
    }
    const double top = sheet->y;
    double lowest = top;
    for (size_t i = 0; i < count; i++) {
      const double y = draw_column(sheet, &columns[i], &at[i], top, fresh);
      if (y > lowest) lowest = y;
    }
    if (ruled && lowest > top) rule_between(sheet, columns, count, top, lowest);
    sheet->y = lowest;
    again = true;
    if (!are_done(columns, at, count)) pl_flow_page(sheet);
  }
}

void pl_flow_gap(struct pl_sheet *sheet, double height) {
  if (sheet->y > sheet->top) sheet->y += height;
}
