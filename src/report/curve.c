// SPDX-License-Identifier: GPL-3.0-or-later
// A curve as a small plot of text, as CSV and as JSON.
#include "room.h"

#include <math.h>
#include <string.h>

static double in_unit(double value, const char *unit) {
  const struct pl_unit scale = pl_unit_named(unit);
  return pl_from_si(value, &scale);
}

// ---------------------------------------------------------------- plot

/// Rows of the plot's field; the columns follow the terminal.
#define FIELD_ROWS    16
#define FIELD_COLUMNS 100

/// The field with the least and greatest value of both axes, in the curve's units.
struct plot {
  double left, right, bottom, top;
  size_t columns;
  char field[FIELD_ROWS][FIELD_COLUMNS];
};

static void widen(double value, double *least, double *greatest) {
  if (value < *least) *least = value;
  if (value > *greatest) *greatest = value;
}

static void set_up(struct plot *plot, const struct pl_curve *curve, size_t columns) {
  const struct pl_curve_row *const row = &pl_curve_rows[curve->kind];
  plot->left = plot->bottom = INFINITY;
  plot->right = plot->top = -INFINITY;
  plot->columns = columns > FIELD_COLUMNS ? FIELD_COLUMNS : columns;
  memset(plot->field, ' ', sizeof plot->field);
  for (size_t i = 0; i < curve->count; i++) {
    widen(in_unit(curve->points[i].x, row->x_unit), &plot->left, &plot->right);
    widen(in_unit(curve->points[i].y, row->y_unit), &plot->bottom, &plot->top);
  }
  // A level line gets the row of a tick; between two rows, its last digits would part it.
  if (plot->top - plot->bottom < 1e-9 * fabs(plot->top) + 1e-12) {
    plot->bottom -= 1;
    plot->top += 2;
  }
}

static void put(struct plot *plot, double x, double y, char sign) {
  const double across = (x - plot->left) / (plot->right - plot->left);
  const double up = (y - plot->bottom) / (plot->top - plot->bottom);
  if (!(across >= 0 && across <= 1 && up >= 0 && up <= 1)) return;
  const size_t column = (size_t)lround(across * (double)(plot->columns - 1));
  const size_t row = (size_t)lround((1 - up) * (FIELD_ROWS - 1));
  plot->field[row][column] = sign;
}

/// Every column gets a point, so that a steep curve has no holes in its breadth.
static void draw(struct plot *plot, const struct pl_curve *curve) {
  const struct pl_curve_row *const row = &pl_curve_rows[curve->kind];
  for (size_t i = 0; i + 1 < curve->count; i++) {
    for (int step = 0; step < 4; step++) {
      const double share = step / 4.0;
      const double x =
          curve->points[i].x + share * (curve->points[i + 1].x - curve->points[i].x);
      const double y =
          curve->points[i].y + share * (curve->points[i + 1].y - curve->points[i].y);
      put(plot, in_unit(x, row->x_unit), in_unit(y, row->y_unit), '.');
    }
  }
  for (size_t i = 0; i < curve->mark_count; i++)
    put(plot, in_unit(curve->marks[i].x, row->x_unit), in_unit(curve->marks[i].y, row->y_unit),
        (char)('1' + i));
}

static const char *short_number(struct pl_arena *arena, double value) {
  char space[40];
  pl_number_shortest(space, sizeof space, value, 4);
  return pl_copy_text(arena, space, strlen(space));
}

static void add_axis(struct pl_buffer *out, const char *label, const char *unit) {
  pl_buffer_format(out, "%s%s%s", label, unit[0] == '\0' ? "" : ", ", pl_unit_shown(unit));
}

/// Up to when the curve is, "" where it leaves nothing out.
static const char *shown_of(struct pl_arena *arena, const struct pl_curve *curve) {
  return curve->shown > 0 ? pl_format(arena, "; the first %.2f s", curve->shown) : "";
}

const char *pl_curve_text(struct pl_arena *arena, const struct pl_curve *curve,
                          enum pl_place place, const struct pl_text_style *style) {
  const struct pl_curve_row *const row = &pl_curve_rows[curve->kind];
  struct plot *const plot = pl_alloc(arena, sizeof *plot);
  set_up(plot, curve, style->width > 34 ? style->width - 14 : 20);
  draw(plot, curve);
  struct pl_buffer out = {.arena = arena};
  pl_buffer_format(&out, "%s, %s: %s\n", row->label, pl_place_name(place), row->meaning);
  if (curve->simulation != NULL)
    pl_buffer_format(&out, "  %s%s\n",
                     title_of_simulation(arena, curve->simulation, style->system),
                     shown_of(arena, curve));
  pl_buffer_text(&out, "\n  ");
  add_axis(&out, row->y_label, row->y_unit);
  pl_buffer_text(&out, "\n");
  for (size_t i = 0; i < FIELD_ROWS; i++) {
    const bool ticked = i % 5 == 0 || i == FIELD_ROWS - 1;
    const double y =
        plot->top - (plot->top - plot->bottom) * (double)i / (double)(FIELD_ROWS - 1);
    pl_buffer_format(&out, "%10s |", ticked ? short_number(arena, y) : "");
    size_t length = plot->columns;
    while (length > 0 && plot->field[i][length - 1] == ' ') length--;
    pl_buffer_add(&out, plot->field[i], length);
    pl_buffer_text(&out, "\n");
  }
  pl_buffer_repeat(&out, ' ', 11);
  pl_buffer_text(&out, "+");
  pl_buffer_repeat(&out, '-', plot->columns);
  const char *const left = short_number(arena, plot->left);
  const char *const right = short_number(arena, plot->right);
  pl_buffer_format(&out, "\n%*s%s%*s%s\n", 12, "", left,
                   (int)(plot->columns - strlen(left) - strlen(right)), "", right);
  pl_buffer_repeat(&out, ' ', 12);
  add_axis(&out, row->x_label, row->x_unit);
  pl_buffer_text(&out, "\n");
  for (size_t i = 0; i < curve->mark_count; i++) {
    const struct pl_curve_mark *const mark = &curve->marks[i];
    pl_buffer_format(
        &out, "%s  %zu  %s: %s %s, %s %s\n", i == 0 ? "\n" : "", i + 1, mark->name,
        short_number(arena, in_unit(mark->x, row->x_unit)), pl_unit_shown(row->x_unit),
        short_number(arena, in_unit(mark->y, row->y_unit)), pl_unit_shown(row->y_unit));
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- data

static const char *exact(struct pl_arena *arena, double value) {
  char space[40];
  pl_number_shortest(space, sizeof space, value, 17);
  return pl_copy_text(arena, space, strlen(space));
}

const char *pl_curve_csv(struct pl_arena *arena, const struct pl_curve *curve) {
  const struct pl_curve_row *const row = &pl_curve_rows[curve->kind];
  struct pl_buffer out = {.arena = arena};
  pl_buffer_format(&out, "\"%s (%s)\",\"%s (%s)\"\r\n", row->x_label, pl_unit_json(row->x_unit),
                   row->y_label, pl_unit_json(row->y_unit));
  for (size_t i = 0; i < curve->count; i++)
    pl_buffer_format(&out, "%s,%s\r\n", exact(arena, in_unit(curve->points[i].x, row->x_unit)),
                     exact(arena, in_unit(curve->points[i].y, row->y_unit)));
  return pl_buffer_string(&out);
}

static json_t *json_point(struct pl_arena *arena, double x, double y,
                          const struct pl_curve_row *row) {
  json_t *const point = pl_json_array(arena);
  pl_json_add(arena, point, pl_json_real(arena, in_unit(x, row->x_unit)));
  pl_json_add(arena, point, pl_json_real(arena, in_unit(y, row->y_unit)));
  return point;
}

static json_t *json_axis(struct pl_arena *arena, const char *label, const char *unit) {
  json_t *const axis = pl_json_object(arena);
  pl_json_put(arena, axis, "label", pl_json_text(arena, label));
  pl_json_put(arena, axis, "unit", pl_json_text(arena, pl_unit_json(unit)));
  return axis;
}

const char *pl_curve_json(struct pl_arena *arena, const struct pl_curve *curve,
                          enum pl_place place) {
  const struct pl_curve_row *const row = &pl_curve_rows[curve->kind];
  json_t *const document = pl_json_object(arena);
  json_t *const points = pl_json_array(arena);
  json_t *const marks = pl_json_array(arena);
  json_t *const needs = pl_json_array(arena);
  json_t *const notes = pl_json_array(arena);
  for (size_t i = 0; i < curve->count; i++)
    pl_json_add(arena, points, json_point(arena, curve->points[i].x, curve->points[i].y, row));
  for (size_t i = 0; i < curve->mark_count; i++) {
    json_t *const mark = pl_json_object(arena);
    pl_json_put(arena, mark, "name", pl_json_text(arena, curve->marks[i].name));
    pl_json_put(arena, mark, "at",
                json_point(arena, curve->marks[i].x, curve->marks[i].y, row));
    pl_json_add(arena, marks, mark);
  }
  for (size_t i = 0; i < curve->need_count; i++)
    pl_json_add(arena, needs, pl_json_text(arena, curve->needs[i]));
  for (size_t i = 0; i < curve->note_count; i++)
    pl_json_add(arena, notes, pl_json_text(arena, curve->notes[i]));
  pl_json_put(arena, document, "curve", pl_json_text(arena, row->key));
  pl_json_put(arena, document, "scope", pl_json_text(arena, pl_place_name(place)));
  pl_json_put(arena, document, "x", json_axis(arena, row->x_label, row->x_unit));
  pl_json_put(arena, document, "y", json_axis(arena, row->y_label, row->y_unit));
  if (curve->simulation != NULL) put_simulation(arena, document, curve->simulation);
  pl_json_put(arena, document, "points", points);
  pl_json_put(arena, document, "marks", marks);
  pl_json_put(arena, document, "needs", needs);
  pl_json_put(arena, document, "notes", notes);
  return json_text(arena, document);
}
