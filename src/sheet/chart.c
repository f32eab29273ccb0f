// SPDX-License-Identifier: GPL-3.0-or-later
// A chart: a plot laid out as axes, grid, lines and texts, and drawn.
#include <float.h>
#include <math.h>

#include "plot.h"

static const struct pl_stroke grid = {.width = PL_HAIR, .ink = PL_INK_LIGHT};
static const struct pl_stroke rule = {.width = PL_HAIR, .ink = PL_INK_GREY};
static const struct pl_stroke zero = {.width = 0.2, .ink = PL_INK_GREY};
static const struct pl_stroke upright = {.width = 0.25, .ink = PL_INK_GREY, .dash = PL_DOTTED};
static const struct pl_type quiet = {.size = PL_SMALL, .ink = PL_INK_GREY};
static const struct pl_type at_foot = {.size = PL_TYPE_FLOOR, .ink = PL_INK_GREY};

/// The least height and width that are left to the curves, mm.
#define LEAST_HEIGHT 14.0
#define LEAST_WIDTH  9.0
/// From the frame to the numbers beside it, and from the frame to the labels, mm.
#define NUMBER_GAP 1.2
#define LABEL_GAP  3.4
/// About so much room does a tick want, mm.
#define TICK_WIDTH  11.0
#define TICK_HEIGHT 6.0
/// Size of a dot at a point, mm.
#define LEAST_DOT 0.9
/// Between two numbers on an axis, mm.
#define NUMBER_SPACE 1.5

struct pl_spot pl_chart_spot(const struct pl_chart *chart, struct pl_spot value) {
  const struct pl_box *const frame = &chart->frame;
  return (struct pl_spot){
      frame->left + pl_axis_share(&chart->x, value.x) * (frame->right - frame->left),
      frame->bottom - pl_axis_share(&chart->y, value.y) * (frame->bottom - frame->top)};
}

// ---------------------------------------------------------------- what has to be shown

/// The least and the greatest that is plotted.
struct range {
  struct pl_spot least;
  struct pl_spot greatest;
};

static void widen(struct range *range, struct pl_spot spot) {
  range->least.x = fmin(range->least.x, spot.x);
  range->least.y = fmin(range->least.y, spot.y);
  range->greatest.x = fmax(range->greatest.x, spot.x);
  range->greatest.y = fmax(range->greatest.y, spot.y);
}

/// Zero is shown where it is not far off, so that heights can be compared at a glance.
static void reach_for_zero(double *least, double *greatest) {
  static const double near = 0.35;
  if (*least > 0 && *least < near * *greatest) *least = 0;
  if (*greatest < 0 && *greatest > near * *least) *greatest = 0;
}

static struct range range_of(const struct pl_plot *plot) {
  struct range range = {{DBL_MAX, DBL_MAX}, {-DBL_MAX, -DBL_MAX}};
  for (size_t i = 0; i < plot->count; i++) {
    const struct pl_plot_line *const line = &plot->lines[i];
    for (size_t j = 0; j < line->count; j++) widen(&range, line->points[j]);
    for (size_t j = 0; j < line->name_count; j++) widen(&range, line->names[j].at);
  }
  if (plot->upright != NULL) {
    range.least.x = fmin(range.least.x, *plot->upright);
    range.greatest.x = fmax(range.greatest.x, *plot->upright);
  }
  reach_for_zero(&range.least.y, &range.greatest.y);
  return range;
}

// ---------------------------------------------------------------- numbers on the axes

static double widest_number(const struct pl_chart *chart, const struct pl_axis *axis) {
  double widest = 0;
  for (size_t i = 0; i < axis->count; i++) {
    const char *const text =
        pl_axis_number(chart->sheet->arena, axis, pl_axis_tick(axis, i), 0);
    widest = fmax(widest, pl_text_width(text, PL_SMALL, false));
  }
  return widest;
}

/// The same along x, where names may stand.
static double widest_at_x(const struct pl_chart *chart) {
  double widest = 0;
  if (chart->plot->x_names == NULL) return widest_number(chart, &chart->x);
  for (size_t i = 0; i < chart->plot->x_name_count; i++)
    widest = fmax(widest, pl_text_width(chart->plot->x_names[i], PL_SMALL, false));
  return widest;
}

/// The axis of names: half a step is free at both ends.
static struct pl_axis axis_of_names(size_t count) {
  return (struct pl_axis){.least = -0.5,
                          .greatest = (double)count - 0.5,
                          .step = 1,
                          .first = 0,
                          .count = count,
                          .power = 0};
}

/// How far the box of a number reaches from the middle of its digits, mm.
static double above_digits(void) {
  const struct pl_text_metrics metrics = pl_text_metrics(PL_SMALL, false);
  return metrics.ascent - metrics.cap_height / 2;
}

static double below_digits(void) {
  const struct pl_text_metrics metrics = pl_text_metrics(PL_SMALL, false);
  return metrics.descent + metrics.cap_height / 2;
}

/// Has a tick a number? Where they would touch, only every second has or every third and so on,
/// counted from zero.
static bool has_number(const struct pl_axis *axis, size_t tick, double length, double room) {
  const double step = length * axis->step / (axis->greatest - axis->least);
  const double every = fmax(1, ceil(room / step));
  const double first = ceil(axis->first / every) * every;
  const double here = axis->first + (double)tick;
  if (first > axis->first + (double)axis->count - 1) return tick == 0;
  return fmod(here, every) == 0;
}

/// How many ticks an axis of that length is to have.
static size_t ticks_for(double length, double room) {
  return length > 8 * room ? 8 : length < 3 * room ? 3 : (size_t)(length / room);
}

// ---------------------------------------------------------------- the frame

/// Top and bottom of the frame, and the picture's height.
static void set_height(struct pl_chart *chart, double height) {
  struct pl_sheet *const sheet = chart->sheet;
  chart->y_title = pl_paragraph_of(sheet, chart->plot->y_title, quiet, chart->width);
  chart->x_title = pl_paragraph_of(sheet, chart->plot->x_title, quiet, chart->width);
  chart->key = pl_paragraph_of(sheet, pl_chart_key(chart), at_foot, chart->width);
  chart->foot = pl_paragraph_of(sheet, chart->plot->foot, at_foot, chart->width);
  const double above = chart->y_title.height + above_digits();
  const double below =
      below_digits() + pl_line_height(PL_SMALL) + chart->x_title.height + chart->key.height;
  double least = LEAST_HEIGHT;
  if (chart->numbered)
    least = fmax(least, (double)chart->plot->count * (pl_line_height(PL_COMPUTED) + 0.5));
  chart->frame.top = above;
  chart->frame.bottom = above + fmax(least, height - above - below);
  chart->height = chart->frame.bottom + below + chart->foot.height;
}

/// Gives the labels a column: as narrow as they are, else broken into lines in a wider one,
/// else numbers.
static double label_width(struct pl_chart *chart, double room) {
  static const double shares[] = {0.2, 0.26, 0.34, 0.42};
  static const double sizes[] = {PL_COMPUTED, PL_TYPE_FLOOR};
  const double most = room - LEAST_WIDTH;
  if (chart->plot->count == 1 && chart->plot->lines[0].label[0] == '\0') return 0;
  for (size_t i = 0; i < sizeof shares / sizeof shares[0] && !chart->numbered; i++) {
    for (size_t j = 0; j < 2; j++) {
      const double width = fmin(shares[i] * chart->width, most);
      const double found = width < 6 ? 0 : pl_chart_labels_fit(chart, width, sizes[j]);
      if (found > 0) return found;
    }
  }
  chart->numbered = true;
  return pl_chart_labels_fit(chart, room, PL_COMPUTED);
}

/// Left and right of the frame, and the axes.
static void set_width(struct pl_chart *chart, const struct range *range) {
  struct pl_box *const frame = &chart->frame;
  chart->y = pl_axis_around(range->least.y, range->greatest.y,
                            ticks_for(frame->bottom - frame->top, TICK_HEIGHT));
  frame->left = widest_number(chart, &chart->y) + NUMBER_GAP;
  const double labels = label_width(chart, chart->width - frame->left - LABEL_GAP);
  frame->right = chart->width - fmax(labels + LABEL_GAP, PL_DOT);
  chart->x = pl_axis_within(range->least.x, range->greatest.x,
                            ticks_for(frame->right - frame->left, TICK_WIDTH));
  if (chart->plot->x_names != NULL) chart->x = axis_of_names(chart->plot->x_name_count);
  const double half = widest_at_x(chart) / 2;
  frame->left = fmax(frame->left, half);
  frame->right = fmin(frame->right, chart->width - half);
  chart->label_left = frame->right + LABEL_GAP;
}

/// The lines in mm.
static void set_spots(struct pl_chart *chart) {
  for (size_t i = 0; i < chart->plot->count; i++) {
    const struct pl_plot_line *const line = &chart->plot->lines[i];
    for (size_t j = 0; j < line->count; j++)
      chart->spots[i][j] = pl_chart_spot(chart, line->points[j]);
    chart->labels[i].end = chart->spots[i][line->count - 1];
  }
}

/// Lays everything out; false if a text found no room and goes to the foot.
static bool lay_out(struct pl_chart *chart, const struct range *range, double height) {
  const bool was_numbered = chart->numbered;
  set_height(chart, height);
  set_width(chart, range);
  if (chart->numbered && !was_numbered) return false;
  set_spots(chart);
  pl_chart_stack_labels(chart);
  return pl_chart_place_names(chart);
}

// ---------------------------------------------------------------- drawing

static void draw_number(const struct pl_chart *chart, struct pl_page *picture, double x,
                        double baseline, enum pl_anchor anchor, const char *text) {
  struct pl_type type = quiet;
  type.anchor = anchor;
  pl_picture_text(chart->sheet, picture, x, baseline, type, text);
}

static void draw_x_axis(const struct pl_chart *chart, struct pl_page *picture) {
  const struct pl_box *const frame = &chart->frame;
  const struct pl_axis *const axis = &chart->x;
  const double base = frame->bottom + below_digits() + pl_line_base(PL_SMALL);
  const char *const *const names = chart->plot->x_names;
  const double room = widest_at_x(chart) + NUMBER_SPACE;
  for (size_t i = 0; i < axis->count; i++) {
    const double value = pl_axis_tick(axis, i);
    const double x = pl_chart_spot(chart, (struct pl_spot){value, 0}).x;
    const bool is_zero = axis->first + (double)i == 0 && names == NULL;
    pl_draw_line(picture, x, frame->top, x, frame->bottom, is_zero ? zero : grid);
    pl_draw_line(picture, x, frame->bottom, x, frame->bottom + 0.8, rule);
    if (has_number(axis, i, frame->right - frame->left, room))
      draw_number(chart, picture, x, base, PL_ANCHOR_CENTRE,
                  names != NULL ? names[i]
                                : pl_axis_number(chart->sheet->arena, axis, value, 0));
  }
}

static void draw_y_axis(const struct pl_chart *chart, struct pl_page *picture) {
  const struct pl_box *const frame = &chart->frame;
  const struct pl_axis *const axis = &chart->y;
  const double half = pl_text_metrics(PL_SMALL, false).cap_height / 2;
  for (size_t i = 0; i < axis->count; i++) {
    const double value = pl_axis_tick(axis, i);
    const double y = pl_chart_spot(chart, (struct pl_spot){0, value}).y;
    const bool is_zero = axis->first + (double)i == 0;
    pl_draw_line(picture, frame->left, y, frame->right, y, is_zero ? zero : grid);
    if (has_number(axis, i, frame->bottom - frame->top, pl_line_height(PL_SMALL)))
      draw_number(chart, picture, frame->left - NUMBER_GAP, y + half, PL_ANCHOR_RIGHT,
                  pl_axis_number(chart->sheet->arena, axis, value, 0));
  }
}

static void draw_frame(const struct pl_chart *chart, struct pl_page *picture) {
  const struct pl_box *const frame = &chart->frame;
  pl_draw_line(picture, frame->left, frame->top, frame->left, frame->bottom, rule);
  pl_draw_line(picture, frame->left, frame->bottom, frame->right, frame->bottom, rule);
}

static void draw_titles(const struct pl_chart *chart, struct pl_page *picture) {
  struct pl_sheet *const sheet = chart->sheet;
  const struct pl_box *const frame = &chart->frame;
  pl_paragraph_draw(sheet, picture, &chart->y_title, 0, 0);
  const double middle = (frame->left + frame->right - chart->x_title.width) / 2;
  const double left = fmax(0, fmin(middle, chart->width - chart->x_title.width));
  double top = frame->bottom + below_digits() + pl_line_height(PL_SMALL);
  pl_paragraph_draw(sheet, picture, &chart->x_title, left, top);
  top += chart->x_title.height;
  pl_paragraph_draw(sheet, picture, &chart->key, 0, top);
  pl_paragraph_draw(sheet, picture, &chart->foot, 0, top + chart->key.height);
}

static void draw_uprights(const struct pl_chart *chart, struct pl_page *picture) {
  double last = -DBL_MAX;
  if (chart->plot->upright != NULL) {
    last = pl_chart_spot(chart, (struct pl_spot){*chart->plot->upright, 0}).x;
    pl_draw_line(picture, last, chart->frame.top, last, chart->frame.bottom, upright);
  }
  for (size_t i = 0; i < chart->name_count; i++) {
    const struct pl_named *const named = &chart->names[i];
    if (!named->name->upright || fabs(named->at.x - last) < 0.05) continue;
    last = named->at.x;
    pl_draw_line(picture, last, chart->frame.top, last, chart->frame.bottom, upright);
  }
}

/// A line in the pieces into which it is broken. A point by itself is a dot, and where nothing
/// is known between points each of them is.
static void draw_line(const struct pl_plot_line *line, const struct pl_spot *spots,
                      struct pl_page *picture) {
  size_t from = 0;
  for (size_t to = 1; to <= line->count; to++) {
    if (to < line->count && (line->broken == NULL || !line->broken[to])) continue;
    pl_draw_polyline(picture, spots + from, to - from, line->stroke);
    for (size_t i = from; i < to && (line->dotted || to - from == 1); i++)
      pl_draw_circle(picture, spots[i].x, spots[i].y,
                     fmax(2 * line->stroke.width, line->dotted ? LEAST_DOT : 0),
                     line->stroke.ink, (struct pl_stroke){.width = 0});
    from = to;
  }
}

static void draw_lines(const struct pl_chart *chart, struct pl_page *picture) {
  for (size_t i = 0; i < chart->plot->count; i++)
    draw_line(&chart->plot->lines[i], chart->spots[i], picture);
  for (size_t i = 0; i < chart->name_count; i++)
    pl_draw_circle(picture, chart->names[i].at.x, chart->names[i].at.y, PL_DOT, PL_INK_WHITE,
                   (struct pl_stroke){.width = 0.25, .ink = PL_INK_BLACK});
}

// ---------------------------------------------------------------- the whole

const struct pl_page *pl_plot_draw(struct pl_sheet *sheet, const struct pl_plot *plot,
                                   double width, double height) {
  struct pl_chart *const chart = pl_alloc(sheet->arena, sizeof *chart);
  chart->sheet = sheet;
  chart->plot = plot;
  chart->width = width;
  for (size_t i = 0; i < plot->count; i++)
    chart->spots[i] =
        pl_alloc_array(sheet->arena, plot->lines[i].count, sizeof *chart->spots[i]);
  const struct range range = range_of(plot);
  pl_chart_find_names(chart);
  while (!lay_out(chart, &range, height)) {
    // Each time at least one text has gone to the foot.
  }
  struct pl_page *const picture = pl_picture_new(sheet->arena, width, chart->height);
  draw_x_axis(chart, picture);
  draw_y_axis(chart, picture);
  draw_frame(chart, picture);
  draw_uprights(chart, picture);
  draw_lines(chart, picture);
  draw_titles(chart, picture);
  pl_chart_draw_texts(chart, picture);
  return picture;
}
