// SPDX-License-Identifier: GPL-3.0-or-later
// Rows: a label, a value aligned at its decimal point, its unit, and what the base had.
#include <string.h>

#include "room.h"

/// Room left of a row for the bar of a change, mm.
#define BAR_ROOM 1.6
/// Between value and unit, mm.
#define GAP 0.9
/// The least between label and value, mm.
#define LABEL_GAP 1.4
/// The most that words stand in to start where digits do, mm.
#define DEEPEST_EDGE 3.0
/// The least between a value and what is said of its change, mm.
#define CLOSE_GAP 0.7
/// The least room for a text beside its unit, mm.
#define LEAST_BESIDE 3.0
/// A row that is higher is taken apart into its lines, so that it can go over a page's end, mm.
#define HIGHEST_ROW 38.0
/// How far the rows of figures stand in beneath the settings that make them, mm.
#define INDENT 1.4

static bool is_number(const char *text) {
  const char *const digits = strncmp(text, "−", strlen("−")) == 0 ? text + strlen("−") : text;
  return digits[0] >= '0' && digits[0] <= '9' &&
         strspn(digits, "0123456789.") == strlen(digits);
}

static const char *integer_part(struct pl_sheet *sheet, const char *text) {
  return pl_copy_text(sheet->arena, text, strcspn(text, "."));
}

static struct pl_type type_of(double size, enum pl_ink ink) {
  return (struct pl_type){.size = size, .ink = ink};
}

/// One line of a value: a text and a unit behind it.
static void value_line(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                       struct pl_type type, const char *text, const char *unit) {
  pl_cell_text(sheet, cell, x, top, type, text);
  if (unit[0] == '\0') return;
  const double behind =
      x + pl_text_width(text, type.size, type.bold) + (strcmp(unit, "°") == 0 ? 0.2 : GAP);
  // The unit is small and stands on the same baseline.
  const double down = pl_line_base(type.size) - pl_line_base(sheet->type.small);
  pl_cell_text(sheet, cell, behind, top + down, type_of(sheet->type.small, PL_INK_GREY), unit);
}

static double unit_width(const struct pl_sheet *sheet, const char *unit) {
  return unit[0] == '\0' ? 0 : GAP + pl_text_width(unit, sheet->type.small, false);
}

/// Where words start beside numbers whose point stands at `point`: where two digits do, so that
/// a column of both has one edge.
static double edge_of(const struct pl_sheet *sheet, double point) {
  const double edge = point - pl_text_width("00", sheet->type.body, false);
  return edge > 0 && edge <= DEEPEST_EDGE ? edge : 0;
}

/// Where a number starts so that its point stands at `point`; no less than 0.
static double start_of(struct pl_sheet *sheet, const char *text, struct pl_type type,
                       double point) {
  const double start = point - pl_text_width(integer_part(sheet, text), type.size, type.bold);
  return start > 0 ? start : 0;
}

/// Where a number with its unit starts within `width` mm so that its point stands at `point`;
/// below 0 if it is no number, or has no room so.
static double start_of_number(struct pl_sheet *sheet, const char *text, const char *unit,
                              struct pl_type type, double point, double width) {
  if (point < 0 || !is_number(text)) return -1;
  const double start = start_of(sheet, text, type, point);
  const double end =
      start + pl_text_width(text, type.size, type.bold) + unit_width(sheet, unit);
  return end <= width ? start : -1;
}

/// A text of any length within `width`, in as many lines as it needs; returns their height.
static double text_lines(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                         double width, struct pl_type type, const char *text,
                         const char *unit) {
  const char *const plain = pl_sheet_printable(sheet, text);
  const double beside = width - unit_width(sheet, unit);
  double size =
      strchr(plain, '\n') != NULL ? 0 : pl_text_fit(plain, type.size, type.bold, beside);
  // Slightly smaller type is better than a second line, much smaller type is not.
  const double least = type.size > sheet->type.body ? sheet->type.body : type.size * 0.8;
  if (size >= least && size > 0) {
    const double down = pl_line_base(type.size) - pl_line_base(size);
    const double height = pl_line_height(type.size);
    type.size = size;
    value_line(sheet, cell, x, top + down, type, plain, unit);
    return height;
  }
  if (type.size > sheet->type.body) type.size = sheet->type.body;
  // Where there is hardly room for the unit, it is a word of the text.
  if (beside < LEAST_BESIDE && unit[0] != '\0')
    return text_lines(sheet, cell, x, top, width, type,
                      pl_format(sheet->arena, "%s %s", plain, unit), "");
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(sheet->arena, plain, type.size, type.bold, beside, &count);
  const double height = pl_line_height(type.size);
  for (size_t i = 0; i < count; i++)
    value_line(sheet, cell, x, top + (double)i * height, type, lines[i],
               i + 1 == count ? unit : "");
  return (double)count * height;
}

/// A value, number or words; returns its height. A `point` below 0: there is none to keep to.
static double any_value(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                        double width, double point, struct pl_type type, const char *text,
                        const char *unit) {
  const double start = start_of_number(sheet, text, unit, type, point, width);
  if (start >= 0) {
    value_line(sheet, cell, x + start, top, type, text, unit);
    return pl_line_height(type.size);
  }
  const double edge = is_number(text) ? 0 : edge_of(sheet, point);
  return text_lines(sheet, cell, x + edge, top, width - edge, type, text, unit);
}

/// What stands small beneath a changed value: what it was.
static double old_value(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                        double width, double point, const struct pl_datum *datum) {
  const struct pl_type type = {.size = sheet->type.small, .struck = true, .ink = PL_INK_GREY};
  return any_value(sheet, cell, x, top, width, point, type, datum->before,
                   datum->text[0] == '\0' ? datum->unit : "");
}

/// A word about the change at the right edge if there is room, else beneath, in as many lines
/// as it needs; returns the height with it.
static double remark(struct pl_sheet *sheet, struct pl_cell *cell, double x, double width,
                     double used, double height, double base, struct pl_type type,
                     const char *text) {
  type.size = sheet->type.small;
  type.anchor = PL_ANCHOR_RIGHT;
  const bool beside =
      used + CLOSE_GAP + pl_text_width(text, sheet->type.small, type.bold) <= width;
  if (beside) {
    pl_cell_text(sheet, cell, x + width, base - pl_line_base(type.size), type, text);
    return height;
  }
  const double fitting = pl_text_fit(text, type.size, type.bold, width);
  if (fitting > 0) type.size = fitting;
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(sheet->arena, text, type.size, type.bold, width, &count);
  for (size_t i = 0; i < count; i++)
    pl_cell_text(sheet, cell, x + width, height + (double)i * pl_line_height(type.size), type,
                 lines[i]);
  return height + (double)count * pl_line_height(type.size);
}

/// How far a figure moved.
static const char *move_words(struct pl_sheet *sheet, const struct pl_datum *datum) {
  if (datum->before[0] == '\0') return pl_word(sheet, PL_WORD_NEW);
  return datum->delta[0] != '\0' ? datum->delta
                                 : pl_word_with(sheet, PL_WORD_WAS, datum->before, NULL);
}

/// Where the texts of a cell from piece `from` on end.
static double right_edge(const struct pl_cell *cell, size_t from, double x) {
  double edge = 0;
  for (size_t i = from; i < cell->count; i++) {
    const struct pl_piece *const piece = &cell->pieces[i];
    const double end =
        piece->x - x + pl_text_width(piece->text, piece->type.size, piece->type.bold);
    if (end > edge) edge = end;
  }
  return edge;
}

double pl_value_pieces(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                       double width, double point, const struct pl_datum *datum, double size) {
  const bool moved = datum->is_figure && datum->changed;
  const struct pl_type type = {.size = size, .bold = datum->changed && !moved};
  const size_t first = cell->count;
  if (datum->is_worded) {
    const double edge = edge_of(sheet, point);
    x += edge;
    width -= edge;
    point = -1;
  }
  if (datum->text[0] == '\0') {
    // What is dropped stands on the line where a value would be.
    const double down = pl_line_base(size) - pl_line_base(sheet->type.small);
    return down + old_value(sheet, cell, x, top + down, width, point, datum);
  }
  // "new" has to fit beside the last line.
  const bool is_new = datum->changed && !moved && datum->before[0] == '\0';
  const double behind = pl_text_width(pl_word(sheet, PL_WORD_NEW), sheet->type.small, false);
  const double room = is_new && width > 20 ? width - behind - CLOSE_GAP : width;
  const double height =
      top + any_value(sheet, cell, x, top, room, point, type, datum->text, datum->unit);
  if (!datum->changed) return height - top;
  const double base = cell->pieces[cell->count - 1].y;
  const double used = right_edge(cell, first, x);
  if (moved)
    return remark(sheet, cell, x, width, used, height, base, (struct pl_type){.bold = true},
                  move_words(sheet, datum)) -
           top;
  if (is_new)
    return remark(sheet, cell, x, width, used, height, base,
                  (struct pl_type){.ink = PL_INK_GREY}, pl_word(sheet, PL_WORD_NEW)) -
           top;
  return height + old_value(sheet, cell, x, height, width, point, datum) - top;
}

double pl_label_lines(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                      double width, const char *label) {
  const double fitting =
      pl_text_fit(pl_sheet_printable(sheet, label), sheet->type.small, false, width);
  if (fitting > 0 && strchr(label, '\n') == NULL) {
    const double down = pl_line_base(sheet->type.small) - pl_line_base(fitting);
    pl_cell_text(sheet, cell, x, top + down, type_of(fitting, PL_INK_GREY),
                 pl_sheet_printable(sheet, label));
    return pl_line_height(sheet->type.small);
  }
  size_t count = 0;
  const char *const *const lines = pl_text_wrap(sheet->arena, pl_sheet_printable(sheet, label),
                                                sheet->type.small, false, width, &count);
  const double height = pl_line_height(sheet->type.small);
  for (size_t i = 0; i < count; i++)
    pl_cell_text(sheet, cell, x, top + (double)i * height,
                 type_of(sheet->type.small, PL_INK_GREY), lines[i]);
  return (double)count * height;
}

/// A row that is too high for one cell: each of its texts on a line of its own, in their order
/// from the top; label and value go below each other.
static void take_apart(struct pl_sheet *sheet, struct pl_column *column,
                       const struct pl_datum *datum) {
  const struct pl_type grey = type_of(sheet->type.small, PL_INK_GREY);
  const size_t first = column->count;
  pl_column_paragraph(sheet, column, BAR_ROOM, grey, datum->label);
  if (datum->text[0] != '\0')
    pl_column_paragraph(sheet, column, BAR_ROOM + INDENT,
                        (struct pl_type){.size = sheet->type.body, .bold = datum->changed},
                        datum->unit[0] == '\0'
                            ? datum->text
                            : pl_format(sheet->arena, "%s %s", datum->text, datum->unit));
  if (datum->changed)
    pl_column_paragraph(sheet, column, BAR_ROOM + INDENT,
                        (struct pl_type){.size = sheet->type.small,
                                         .ink = PL_INK_GREY,
                                         .struck = datum->before[0] != '\0'},
                        datum->before[0] == '\0' ? pl_word(sheet, PL_WORD_NEW) : datum->before);
  column->cells[first].rule = true;
  for (size_t i = first; i < column->count; i++) {
    column->cells[i].bar = datum->changed && !datum->is_figure;
    column->cells[i].joined = i > first;
  }
}

/// Where a text begins in the part of a row that its value has.
static double start_of_text(struct pl_sheet *sheet, const struct pl_datum *datum,
                            const char *text, struct pl_row_shape shape, struct pl_type type,
                            double room) {
  if (datum->is_worded || !is_number(text)) return edge_of(sheet, shape.point);
  const double start = start_of_number(sheet, text, datum->unit, type, shape.point, room);
  return start > 0 ? start : 0;
}

/// Where the leftmost of a value and of what it was begins.
static double start_of_value(struct pl_sheet *sheet, const struct pl_datum *datum,
                             struct pl_row_shape shape, double size, double room) {
  const struct pl_type type = {.size = size, .bold = datum->changed && !datum->is_figure};
  const double now = start_of_text(sheet, datum, datum->text, shape, type, room);
  if (datum->before[0] == '\0') return now;
  const double before = start_of_text(sheet, datum, datum->before, shape,
                                      type_of(sheet->type.small, PL_INK_GREY), room);
  return before < now ? before : now;
}

static double size_of_row(const struct pl_sheet *sheet, const struct pl_datum *datum,
                          struct pl_row_shape shape) {
  if (shape.small) return sheet->type.small;
  if (shape.large) return sheet->type.large;
  return datum->is_figure ? sheet->type.computed : sheet->type.body;
}

static double indent_of(const struct pl_datum *datum) {
  return BAR_ROOM + (datum->is_figure ? INDENT : 0);
}

void pl_column_row(struct pl_sheet *sheet, struct pl_column *column,
                   const struct pl_datum *datum, struct pl_row_shape shape) {
  sheet->where = datum->span;
  sheet->what = pl_format(sheet->arena, "`%s`", datum->label);
  struct pl_cell *const cell = pl_column_cell(sheet, column, 0);
  const double size = size_of_row(sheet, datum, shape);
  const double indent = indent_of(datum);
  const double x = BAR_ROOM + shape.label + GAP;
  const double room = column->width - x;
  // A label may reach up to where the value really starts.
  const double beside =
      x + start_of_value(sheet, datum, shape, size, room) - LABEL_GAP - indent;
  // The label stands on the value's baseline, or above the value where there is no room beside.
  const bool above =
      shape.stack && pl_text_width(datum->label, sheet->type.small, false) > beside;
  const double down = above ? 0 : pl_line_base(size) - pl_line_base(sheet->type.small);
  const double label =
      down + pl_label_lines(sheet, cell, indent, down, above ? column->width - indent : beside,
                            datum->label);
  // A number keeps to its column's point also beneath its label; words have the whole width
  // there.
  const double top = above ? label : 0;
  const bool at_point =
      !above || start_of_number(sheet, datum->text, datum->unit,
                                (struct pl_type){.size = size, .bold = datum->changed},
                                shape.point, room) >= 0;
  const double start = at_point ? x : indent;
  const double value = top + pl_value_pieces(sheet, cell, start, top, column->width - start,
                                             at_point ? shape.point : -1, datum, size);
  cell->height = (label > value ? label : value) + 0.25 * sheet->type.air;
  cell->rule = !datum->is_figure;
  cell->bar = datum->changed && !datum->is_figure;
  if (cell->height > HIGHEST_ROW) {
    column->count--;
    take_apart(sheet, column, datum);
  } else if (datum->is_figure) {
    pl_cell_stem(sheet, cell, BAR_ROOM);
  }
}

/// The values of both sides in one line that is at most `room` wide, or null.
static const char *words_of_sides(struct pl_sheet *sheet, const struct pl_datum *left,
                                  const struct pl_datum *right, double room, const char **unit,
                                  double *size) {
  const char *const words =
      pl_format(sheet->arena, "%s %s  %s %s", pl_word(sheet, PL_WORD_BRIEF_LEFT),
                left->text[0] == '\0' ? "—" : left->text, pl_word(sheet, PL_WORD_BRIEF_RIGHT),
                right->text[0] == '\0' ? "—" : right->text);
  *size = sheet->type.small;
  *unit = left->unit[0] != '\0' ? left->unit : right->unit;
  const double width = pl_text_width(words, *size, false);
  if (width + unit_width(sheet, *unit) <= room) return words;
  // The corners have the unit as well.
  *unit = "";
  if (strchr(words, '\n') != NULL) return NULL;
  *size = pl_text_fit(words, *size, false, room);
  return *size > 0 ? words : NULL;
}

void pl_column_sides(struct pl_sheet *sheet, struct pl_column *column,
                     const struct pl_datum *left, const struct pl_datum *right,
                     struct pl_row_shape shape) {
  sheet->where = left->span;
  sheet->what = pl_format(sheet->arena, "`%s`", left->label);
  struct pl_cell *const cell = pl_column_cell(sheet, column, 0);
  const double indent = indent_of(left);
  const double x = BAR_ROOM + shape.label + GAP + edge_of(sheet, shape.point);
  const char *unit = "";
  double size = 0;
  const char *const words = words_of_sides(sheet, left, right, column->width - x, &unit, &size);
  const double label =
      pl_label_lines(sheet, cell, indent, 0, x - LABEL_GAP - indent, left->label);
  const double down = pl_line_base(sheet->type.small) - pl_line_base(size);
  if (words != NULL)
    value_line(sheet, cell, x, down, type_of(size, PL_INK_BLACK), words, unit);
  else
    value_line(sheet, cell, x, 0, type_of(sheet->type.small, PL_INK_BLACK), "←  →", "");
  cell->height = label + 0.25 * sheet->type.air;
  cell->rule = !left->is_figure;
  cell->bar = !left->is_figure && (left->changed || right->changed);
  if (left->is_figure) pl_cell_stem(sheet, cell, BAR_ROOM);
}

/// Between the lines of a form, so that a pen has room, mm.
#define PEN_ROOM 1.6

void pl_column_blank(struct pl_sheet *sheet, struct pl_column *column, const char *label,
                     const char *unit, double room) {
  struct pl_cell *const cell = pl_column_cell(sheet, column, 0);
  const double width = pl_text_width(unit, sheet->type.small, false);
  const double height = pl_label_lines(sheet, cell, BAR_ROOM, PEN_ROOM, room, label);
  const double base = PEN_ROOM + pl_line_base(sheet->type.small);
  const double start = BAR_ROOM + room + GAP;
  pl_cell_line(sheet, cell, start, base + 0.3, column->width - start - width - GAP);
  pl_cell_text(sheet, cell, column->width, PEN_ROOM,
               (struct pl_type){
                   .size = sheet->type.small, .ink = PL_INK_GREY, .anchor = PL_ANCHOR_RIGHT},
               unit);
  cell->height = height + PEN_ROOM + 0.4;
}

/// The unit in which a thing is measured.
static const char *unit_of(const struct pl_sheet *sheet, const struct pl_thing *thing) {
  const bool metric = sheet->request->system == PL_METRIC;
  if (thing->kind == PL_THING_SETTING || thing->kind == PL_THING_INNER) {
    const struct pl_setting_row *const row =
        &pl_settings[thing->kind == PL_THING_INNER ? thing->inner : thing->setting];
    if (row->type != PL_TYPE_NUMBER) return "";
    return pl_unit_shown(metric ? row->of : row->imperial);
  }
  const struct pl_figure_row *const row = &pl_figure_rows[thing->figure];
  if (strchr(row->unit, '|') != NULL) return "";
  return pl_unit_shown(metric ? row->unit : row->imperial);
}

/// Lines without a label that stand for what has no key.
#define FREE_LINES 3

void pl_column_filled(struct pl_sheet *sheet, struct pl_column *column,
                      const struct pl_datum *datum, double room) {
  const double start = BAR_ROOM + room + GAP;
  const char *const text = datum->unit[0] == '\0'
                               ? datum->text
                               : pl_format(sheet->arena, "%s %s", datum->text, datum->unit);
  sheet->where = datum->span;
  sheet->what = pl_format(sheet->arena, "`%s`", datum->label);
  pl_column_blank(sheet, column, datum->label, "", room);
  struct pl_cell *const cell = &column->cells[column->count - 1];
  const double down = pl_line_base(sheet->type.small) - pl_line_base(sheet->type.body);
  // Lines beyond the first hang beneath it.
  const double height = text_lines(sheet, cell, start, PEN_ROOM + down, column->width - start,
                                   type_of(sheet->type.body, PL_INK_BLACK), text, "");
  if (cell->height < PEN_ROOM + down + height + 0.4)
    cell->height = PEN_ROOM + down + height + 0.4;
}

void pl_column_field(struct pl_sheet *sheet, struct pl_column *column,
                     const struct pl_thing *thing, double room) {
  if (thing->kind == PL_THING_EXTRAS || thing->kind == PL_THING_BALLAST) {
    for (size_t i = 0; i < FREE_LINES; i++) pl_column_blank(sheet, column, "", "", -GAP);
    return;
  }
  pl_column_blank(sheet, column, pl_thing_label(sheet->plan, thing), unit_of(sheet, thing),
                  room);
}
