// SPDX-License-Identifier: GPL-3.0-or-later
// A grid of text: rows under headings of several lines, numbers aligned at their points, and as
// many columns beside each other as the width has room for; the others follow beneath.
#include "room.h"

#include <string.h>

/// Between columns.
#define GAP 2

void grid_new(struct grid *grid, struct pl_arena *arena, size_t rows, size_t columns) {
  *grid = (struct grid){.arena = arena, .rows = rows, .columns = columns, .over = ""};
  grid->heads = pl_alloc_array(arena, columns + 1, sizeof *grid->heads);
  grid->cells = pl_alloc_array(arena, (rows + 1) * (columns + 1), sizeof(const char *));
  for (size_t i = 0; i < (rows + 1) * (columns + 1); i++) grid->cells[i] = "";
}

void grid_cell(struct grid *grid, size_t row, size_t column, const char *text) {
  grid->cells[row * (grid->columns + 1) + column] = pl_text_safe(grid->arena, text);
}

void grid_head_line(struct grid *grid, size_t column, const char *text) {
  struct grid_head *const head = &grid->heads[column];
  if (head->count < GRID_HEAD_LINES)
    head->lines[head->count++] = pl_text_safe(grid->arena, text);
}

void grid_head_words(struct grid *grid, size_t column, const char *text, size_t width) {
  const char *at = pl_text_safe(grid->arena, text);
  while (*at != '\0') {
    size_t length = 0;
    // A word at least; more of them as far as they fit.
    for (size_t next = strcspn(at, " "); length == 0 || next <= width;) {
      length = next;
      if (at[next] == '\0') break;
      next += 1 + strcspn(at + next + 1, " ");
    }
    grid_head_line(grid, column, pl_copy_text(grid->arena, at, length));
    at += length + (at[length] == ' ' ? 1 : 0);
  }
}

static const char *cell_at(const struct grid *grid, size_t row, size_t column) {
  return grid->cells[row * (grid->columns + 1) + column];
}

/// Columns of text before the point of a number; of what is none, nothing.
static size_t before_point(const char *text) {
  return is_number_text(text) ? strcspn(text, ".e") : 0;
}

/// The most that a column has before the point.
static size_t point_of(const struct grid *grid, size_t column) {
  size_t most = 0;
  for (size_t i = 0; i < grid->rows; i++) {
    const size_t own = before_point(cell_at(grid, i, column));
    if (own > most) most = own;
  }
  return most;
}

/// Blanks before a cell, so that its point stands under all others; a dash stands where the
/// last digit before the point does.
static size_t lead_of(const struct grid *grid, size_t row, size_t column, size_t point) {
  const char *const text = cell_at(grid, row, column);
  if (is_number_text(text)) return point - before_point(text);
  return strcmp(text, NO_VALUE) == 0 && point > 0 ? point - 1 : 0;
}

static size_t width_of(const struct grid *grid, size_t column) {
  const struct grid_head *const head = &grid->heads[column];
  const size_t point = point_of(grid, column);
  size_t most = 0;
  for (size_t i = 0; i < head->count; i++) {
    const size_t own = pl_text_columns(head->lines[i]);
    if (own > most) most = own;
  }
  for (size_t i = 0; i < grid->rows; i++) {
    const size_t own =
        lead_of(grid, i, column, point) + pl_text_columns(cell_at(grid, i, column));
    if (own > most) most = own;
  }
  return most;
}

/// Adds a text in a column of that width.
static void add_padded(struct pl_buffer *out, size_t lead, const char *text, size_t width) {
  const size_t taken = lead + pl_text_columns(text);
  pl_buffer_repeat(out, ' ', GAP + lead);
  pl_buffer_text(out, text);
  pl_buffer_repeat(out, ' ', taken < width ? width - taken : 0);
}

static void trim_line(struct pl_buffer *out, size_t start) {
  while (out->length > start && out->bytes[out->length - 1] == ' ') out->length--;
  out->bytes[out->length] = '\0';
}

/// The first column and those from `from` up to but not including `to`.
static void add_block(const struct grid *grid, struct pl_buffer *out, const size_t *widths,
                      size_t from, size_t to) {
  size_t height = grid->heads[0].count;
  for (size_t j = from; j < to; j++) {
    if (grid->heads[j].count > height) height = grid->heads[j].count;
  }
  if (grid->over[0] != '\0') {
    add_padded(out, 0, "", widths[0]);
    add_padded(out, 0, grid->over, 0);
    pl_buffer_text(out, "\n");
  }
  for (size_t i = 0; i < height; i++) {
    const size_t start = out->length;
    for (size_t j = 0; j < to; j = j == 0 ? from : j + 1) {
      const struct grid_head *const head = &grid->heads[j];
      const size_t skipped = height - head->count; // the last lines stand level
      add_padded(out, 0, i < skipped ? "" : head->lines[i - skipped], widths[j]);
    }
    trim_line(out, start);
    if (out->length > start) pl_buffer_text(out, "\n"); // one without units is left out
  }
  for (size_t i = 0; i < grid->rows; i++) {
    const size_t start = out->length;
    for (size_t j = 0; j < to; j = j == 0 ? from : j + 1)
      add_padded(out, lead_of(grid, i, j, point_of(grid, j)), cell_at(grid, i, j), widths[j]);
    trim_line(out, start);
    pl_buffer_text(out, "\n");
  }
}

void grid_text(const struct grid *grid, struct pl_buffer *out, size_t width) {
  size_t *const widths = pl_alloc_array(grid->arena, grid->columns + 1, sizeof *widths);
  for (size_t j = 0; j <= grid->columns; j++) widths[j] = width_of(grid, j);
  size_t from = 1;
  while (from <= grid->columns) {
    size_t taken = GAP + widths[0] + GAP + widths[from];
    size_t to = from + 1;
    while (to <= grid->columns && taken + GAP + widths[to] <= width) {
      taken += GAP + widths[to];
      to++;
    }
    if (from > 1) pl_buffer_text(out, "\n");
    add_block(grid, out, widths, from, to);
    from = to;
  }
}
