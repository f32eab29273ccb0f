// SPDX-License-Identifier: GPL-3.0-or-later
// plot: a plot's curves and names, its axes, and where its texts stand. For this room alone.
//
// plot.c gathers from a setup what is to be plotted, chart.c lays it out and draws it,
// chart_texts.c and chart_names.c find room for its texts, by means of axis.c and placing.c.
#ifndef PITLEAF_SHEET_PLOT_H
#define PITLEAF_SHEET_PLOT_H

#include "room.h"

// ---------------------------------------------------------------- what is plotted
//
// Numbers are in the units that are printed; all of them are finite.

/// A point of a curve that has a name.
struct pl_plot_name {
  struct pl_spot at;
  const char *text;
  int digits;   ///< decimals of the number behind it at the least; the axis may want more
  bool tells_x; ///< the number behind the name is the place along x, not the height
  bool upright; ///< with a dotted line through it, from bottom to top
};

struct pl_plot_line {
  const char *label; ///< at the line's end
  const struct pl_spot *points;
  size_t count; ///< at least 1
  struct pl_stroke stroke;
  bool dotted; ///< a dot at each point: nothing is known between them
  const bool
      *broken; ///< by point: nothing is drawn between it and the one before; null: nowhere
  struct pl_plot_name names[PL_CURVE_MARKS];
  size_t name_count;
};

/// Most lines of a plot: each corner's, and each corner's of the base.
#define PL_PLOT_LINES 8

struct pl_plot {
  struct pl_plot_line lines[PL_PLOT_LINES]; ///< later ones on top
  size_t count;                             ///< at least 1
  const char *x_title;                      ///< with the unit
  const char *const
      *x_names; ///< what stands at x = 0, 1, 2 … in place of numbers; null: nothing
  size_t x_name_count;
  const double *upright; ///< a dotted line from bottom to top at that x; null: none
  const char *y_title;
  const char *low_end; ///< what lies toward the left of x: 0; "" where nothing is to be said
  const char *high_end;
  const char *foot; ///< beneath the plot; "" for nothing
};

/// What a part of a template has to plot; null with the reason in `*lacks`, a sentence, where
/// no curve can be drawn.
const struct pl_plot *pl_plot_of(struct pl_sheet *sheet, const struct pl_template_part *part,
                                 const char **lacks);
/// The picture, `width` mm wide and `height` mm high. It is higher by the foot, and where texts
/// are so long that they would leave no room for the curves.
const struct pl_page *pl_plot_draw(struct pl_sheet *sheet, const struct pl_plot *plot,
                                   double width, double height);

// ---------------------------------------------------------------- axes

/// An axis from `least` to `greatest` with ticks at whole multiples of a round step: 1, 2 or 5
/// times a power of ten.
struct pl_axis {
  double least;
  double greatest;
  double step;
  double first; ///< the first tick is so many steps from zero: a whole number
  size_t count; ///< of ticks
  int power;    ///< of ten, in the step
};

/// The axis that holds both values and ends on ticks, with about `most` ticks: 3 to 8.
struct pl_axis pl_axis_around(double least, double greatest, size_t most);
/// The axis that ends at both values, its ticks between them.
struct pl_axis pl_axis_within(double least, double greatest, size_t most);
double pl_axis_tick(const struct pl_axis *axis, size_t tick);
/// A value with the digits that the ticks need, and `more`.
const char *pl_axis_number(struct pl_arena *arena, const struct pl_axis *axis, double value,
                           int more);
/// Where a value lies, from 0 at the axis's least to 1.
double pl_axis_share(const struct pl_axis *axis, double value);

// ---------------------------------------------------------------- placing texts

/// Sides in mm from the picture's top left corner, y downward.
struct pl_box {
  double left;
  double right;
  double top;
  double bottom;
};

/// A line that texts had better not cover.
struct pl_obstacle {
  const struct pl_spot *spots;
  size_t count;
  double cost; ///< of covering it; a name is moved by about 6 mm to save 1
};

/// Where texts may stand, and what stands there already.
struct pl_placing {
  struct pl_arena *arena;
  struct pl_box within;
  struct pl_box *texts; ///< never covered
  size_t text_count;
  size_t text_capacity;
  struct pl_box *dots; ///< covered when there is no other way
  size_t dot_count;
  size_t dot_capacity;
  struct pl_obstacle *lines;
  size_t line_count;
  size_t line_capacity;
};

void pl_placing_text(struct pl_placing *placing, struct pl_box box);
void pl_placing_dot(struct pl_placing *placing, struct pl_spot at, double diameter);
void pl_placing_line(struct pl_placing *placing, const struct pl_spot *spots, size_t count,
                     double cost);
/// The best place for a text of that size among those whose top left corners are given; false
/// if each is taken.
bool pl_room_among(const struct pl_placing *placing, const struct pl_spot *corners,
                   size_t count, double width, double height, struct pl_box *box);
/// The best place for the name of a point: close by it, else farther away. Returns what it
/// costs, infinity if there is none.
double pl_room_near(const struct pl_placing *placing, struct pl_spot point, double width,
                    double height, struct pl_box *box);
/// What a place costs the name of a point.
double pl_room_cost(const struct pl_placing *placing, struct pl_spot point,
                    const struct pl_box *box);
/// The point of a box that is nearest to a spot.
struct pl_spot pl_box_nearest(const struct pl_box *box, struct pl_spot spot);

/// A text in a stack: where its middle would best be, and how high it is.
struct pl_stacked {
  double wanted;
  double height;
  double top; ///< found
};

/// Finds tops at which no text of the stack touches another, from `top` to `bottom`, close to
/// where each would best be; they keep the order of their wishes. Their heights must fit.
void pl_push_apart(struct pl_arena *arena, struct pl_stacked *items, size_t count, double top,
                   double bottom);

// ---------------------------------------------------------------- texts in lines

/// A text as it is set.
struct pl_paragraph {
  const char *const *lines;
  size_t count;
  struct pl_type type;
  double width;
  double height;
};

/// The text in lines that are not wider than `width` mm.
struct pl_paragraph pl_paragraph_of(struct pl_sheet *sheet, const char *text,
                                    struct pl_type type, double width);
void pl_paragraph_draw(struct pl_sheet *sheet, struct pl_page *picture,
                       const struct pl_paragraph *block, double left, double top);

// ---------------------------------------------------------------- a plot being laid out

/// The label of a line.
struct pl_label {
  struct pl_paragraph block;
  struct pl_spot end; ///< of the line
  double top;         ///< of the label, which stands right of the frame
};

/// The name of a point.
struct pl_named {
  const struct pl_plot_name *name;
  size_t line;
  struct pl_spot at;
  const char *text; ///< with its number
  bool shared;      ///< with a point before it, which says it
  bool in_foot;     ///< there was no room for it in the frame
  struct pl_paragraph block;
  struct pl_box box;
};

/// What lies toward an end of the x axis.
struct pl_end {
  const char *text; ///< with an arrow; "" for nothing
  bool in_foot;
  struct pl_paragraph block;
  struct pl_box box;
};

#define PL_PLOT_NAMES (PL_PLOT_LINES * PL_CURVE_MARKS)

struct pl_chart {
  struct pl_sheet *sheet;
  const struct pl_plot *plot;
  double width;
  double height;
  struct pl_box frame;
  struct pl_axis x;
  struct pl_axis y;
  struct pl_spot *spots[PL_PLOT_LINES]; ///< the lines, mm
  struct pl_label labels[PL_PLOT_LINES];
  double label_left;
  bool numbered; ///< the labels are numbers, told at the foot
  struct pl_named names[PL_PLOT_NAMES];
  size_t name_count;
  struct pl_end ends[2];
  struct pl_paragraph x_title;
  struct pl_paragraph y_title;
  struct pl_paragraph key; ///< what found no room in the plot
  struct pl_paragraph foot;
};

/// Size of a point's circle, mm.
#define PL_DOT 1.5

/// Where a value lies on the picture.
struct pl_spot pl_chart_spot(const struct pl_chart *chart, struct pl_spot value);
/// How wide the labels are when set in a column of at most `most` mm; 0 if they are too high
/// for the frame.
double pl_chart_labels_fit(struct pl_chart *chart, double most, double size);
/// Gives the labels their places right of the frame.
void pl_chart_stack_labels(struct pl_chart *chart);
/// Finds all named points, with their texts.
void pl_chart_find_names(struct pl_chart *chart);
/// Gives names and ends their places; false if one that was to stand in the frame found none:
/// it goes to the foot then.
bool pl_chart_place_names(struct pl_chart *chart);
/// The same for the names alone, in what is left of the frame.
bool pl_chart_arrange_names(struct pl_chart *chart, struct pl_placing *placing);
/// From a point's circle to a little before its name; false where the name is close by.
bool pl_chart_name_leader(const struct pl_named *named, struct pl_spot spots[2]);
/// What stands at the foot because there was no room for it; "" for nothing.
const char *pl_chart_key(const struct pl_chart *chart);
void pl_chart_draw_texts(const struct pl_chart *chart, struct pl_page *picture);

#endif
