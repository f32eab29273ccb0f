// SPDX-License-Identifier: GPL-3.0-or-later
// The texts within a chart: labels at the ends of lines, names of points, what lies toward the
// ends of the x axis.
#include <math.h>
#include <string.h>

#include "plot.h"

/// Names of points of different lines that are nearer than this and read alike are one, mm.
static const double together = 0.6;
/// A label that is moved by more than this has a line to its curve, mm.
static const double moved = 0.6;
/// What it costs a text to cover a curve or a line to a label, one of the base, the zero line,
/// the dotted line of a point.
static const double cost_of_curve = 22;
static const double cost_of_base = 12;
static const double cost_of_zero = 2;
static const double cost_of_upright = 3;
/// Between a frame and the texts in it, mm.
static const double inset = 0.4;

static const struct pl_stroke leader = {.width = PL_HAIR, .ink = PL_INK_GREY};

// ---------------------------------------------------------------- texts in lines

struct pl_paragraph pl_paragraph_of(struct pl_sheet *sheet, const char *text,
                                    struct pl_type type, double width) {
  struct pl_paragraph block = {.type = type};
  if (text[0] == '\0') return block;
  block.lines = pl_text_wrap(sheet->arena, pl_sheet_printable(sheet, text), type.size,
                             type.bold, width, &block.count);
  for (size_t i = 0; i < block.count; i++)
    block.width = fmax(block.width, pl_text_width(block.lines[i], type.size, type.bold));
  block.height = (double)block.count * pl_line_height(type.size);
  return block;
}

void pl_paragraph_draw(struct pl_sheet *sheet, struct pl_page *picture,
                       const struct pl_paragraph *block, double left, double top) {
  for (size_t i = 0; i < block->count; i++)
    pl_picture_text(sheet, picture, left,
                    top + (double)i * pl_line_height(block->type.size) +
                        pl_line_base(block->type.size),
                    block->type, block->lines[i]);
}

// ---------------------------------------------------------------- labels

/// How the label of a line is set: like the line, and bold where the line is whole.
static struct pl_type type_of_label(const struct pl_plot_line *line, double size) {
  const bool whole = line->stroke.dash == PL_SOLID;
  return (struct pl_type){.size = whole || size < PL_SMALL ? size : PL_SMALL,
                          .bold = whole,
                          .ink = line->stroke.ink};
}

double pl_chart_labels_fit(struct pl_chart *chart, double most, double size) {
  double width = 0;
  double height = 0;
  for (size_t i = 0; i < chart->plot->count; i++) {
    struct pl_sheet *const sheet = chart->sheet;
    const struct pl_plot_line *const line = &chart->plot->lines[i];
    const char *const text =
        chart->numbered ? pl_format(sheet->arena, "%zu", i + 1) : line->label;
    chart->labels[i].block = pl_paragraph_of(sheet, text, type_of_label(line, size), most);
    width = fmax(width, chart->labels[i].block.width);
    height += chart->labels[i].block.height + 0.2;
  }
  return height <= chart->frame.bottom - chart->frame.top ? width : 0;
}

void pl_chart_stack_labels(struct pl_chart *chart) {
  struct pl_stacked stack[PL_PLOT_LINES];
  const size_t count = chart->plot->count;
  for (size_t i = 0; i < count; i++)
    stack[i] = (struct pl_stacked){.wanted = chart->labels[i].end.y,
                                   .height = chart->labels[i].block.height + 0.2};
  pl_push_apart(chart->sheet->arena, stack, count, chart->frame.top, chart->frame.bottom);
  for (size_t i = 0; i < count; i++) chart->labels[i].top = stack[i].top + 0.1;
}

/// From the end of the line to its label, in two pieces: level to the frame, then to the label.
static void leader_of(const struct pl_chart *chart, const struct pl_label *label,
                      struct pl_spot spots[2]) {
  spots[0] = label->end;
  spots[1] = (struct pl_spot){chart->label_left - 0.5, label->top + label->block.height / 2};
}

static bool has_leader(const struct pl_chart *chart, const struct pl_label *label) {
  const double middle = label->top + label->block.height / 2;
  if (label->block.count == 0) return false;
  return fabs(middle - label->end.y) > moved || label->end.x < chart->frame.right - 1;
}

// ---------------------------------------------------------------- names

void pl_chart_find_names(struct pl_chart *chart) {
  for (size_t i = 0; i < chart->plot->count; i++) {
    const struct pl_plot_line *const line = &chart->plot->lines[i];
    for (size_t j = 0; j < line->name_count; j++)
      chart->names[chart->name_count++] = (struct pl_named){.name = &line->names[j], .line = i};
  }
  const char *const ends[] = {chart->plot->low_end, chart->plot->high_end};
  for (size_t i = 0; i < 2; i++) {
    const char *const form = i == 0 ? "← %s" : "%s →";
    chart->ends[i].text =
        ends[i][0] == '\0' ? "" : pl_format(chart->sheet->arena, form, ends[i]);
  }
}

/// A name's number: a decimal finer than the axis, or with as many decimals as it has
/// elsewhere.
static const char *number_of(const struct pl_chart *chart, const struct pl_plot_name *name) {
  const struct pl_axis *const axis = name->tells_x ? &chart->x : &chart->y;
  const int more =
      name->digits > 0 && name->digits + axis->power > 1 ? name->digits + axis->power : 1;
  return pl_axis_number(chart->sheet->arena, axis, name->tells_x ? name->at.x : name->at.y,
                        more);
}

/// Works out where the points lie, and which of them share a name.
static void set_names(struct pl_chart *chart) {
  for (size_t i = 0; i < chart->name_count; i++) {
    struct pl_named *const named = &chart->names[i];
    const struct pl_plot_name *const name = named->name;
    named->at = pl_chart_spot(chart, name->at);
    named->text = pl_format(chart->sheet->arena, "%s %s", name->text, number_of(chart, name));
    named->shared = false;
    for (size_t j = 0; j < i; j++) {
      const struct pl_named *const other = &chart->names[j];
      if (!other->shared && strcmp(other->text, named->text) == 0 &&
          hypot(other->at.x - named->at.x, other->at.y - named->at.y) < together)
        named->shared = true;
    }
  }
}

/// All that names should keep off.
static struct pl_placing placing_of(const struct pl_chart *chart, struct pl_spot *lines) {
  const struct pl_box *const frame = &chart->frame;
  struct pl_placing placing = {.arena = chart->sheet->arena,
                               .within = {frame->left + inset, frame->right - inset,
                                          frame->top + inset, frame->bottom - inset}};
  for (size_t i = 0; i < chart->plot->count; i++) {
    const struct pl_plot_line *const line = &chart->plot->lines[i];
    pl_placing_line(&placing, chart->spots[i], line->count,
                    line->stroke.dash == PL_SOLID ? cost_of_curve : cost_of_base);
    if (!has_leader(chart, &chart->labels[i])) continue;
    leader_of(chart, &chart->labels[i], lines);
    pl_placing_line(&placing, lines, 2, cost_of_curve);
    lines += 2;
  }
  for (size_t i = 0; i < chart->name_count; i++) {
    pl_placing_dot(&placing, chart->names[i].at, PL_DOT + 0.3);
    if (!chart->names[i].name->upright) continue;
    lines[0] = (struct pl_spot){chart->names[i].at.x, frame->top};
    lines[1] = (struct pl_spot){chart->names[i].at.x, frame->bottom};
    pl_placing_line(&placing, lines, 2, cost_of_upright);
    lines += 2;
  }
  const struct pl_spot origin = pl_chart_spot(chart, (struct pl_spot){0, 0});
  lines[0] = (struct pl_spot){frame->left, origin.y};
  lines[1] = (struct pl_spot){frame->right, origin.y};
  pl_placing_line(&placing, lines, 2, cost_of_zero);
  lines[2] = (struct pl_spot){origin.x, frame->top};
  lines[3] = (struct pl_spot){origin.x, frame->bottom};
  pl_placing_line(&placing, lines + 2, 2, cost_of_zero);
  return placing;
}

/// Puts an end's text beside the zero line, above it or beneath, or into a corner.
static bool place_end(struct pl_chart *chart, struct pl_placing *placing, size_t which) {
  struct pl_end *const end = &chart->ends[which];
  const struct pl_box *const within = &placing->within;
  end->block = pl_paragraph_of(chart->sheet, end->text,
                               (struct pl_type){.size = PL_SMALL, .ink = PL_INK_GREY},
                               (within->right - within->left) * 0.45);
  const double origin = pl_chart_spot(chart, (struct pl_spot){0, 0}).y;
  const double left = which == 0 ? within->left + 0.4 : within->right - end->block.width - 0.4;
  const double above = origin - end->block.height - 0.6;
  const struct pl_spot corners[] = {{left, which == 0 ? above : origin + 0.6},
                                    {left, which == 0 ? origin + 0.6 : above},
                                    {left, within->top + 0.4},
                                    {left, within->bottom - end->block.height - 0.4}};
  if (!pl_room_among(placing, corners, 4, end->block.width, end->block.height, &end->box))
    return false;
  pl_placing_text(placing, end->box);
  return true;
}

bool pl_chart_place_names(struct pl_chart *chart) {
  set_names(chart);
  // Leaders, dotted lines, both zero lines.
  struct pl_spot lines[2 * (PL_PLOT_LINES + PL_PLOT_NAMES + 2)];
  struct pl_placing placing = placing_of(chart, lines);
  bool all = true;
  for (size_t i = 0; i < 2; i++) {
    struct pl_end *const end = &chart->ends[i];
    if (end->text[0] == '\0' || end->in_foot) continue;
    end->in_foot = !place_end(chart, &placing, i);
    all = all && !end->in_foot;
  }
  return pl_chart_arrange_names(chart, &placing) && all;
}

// ---------------------------------------------------------------- the foot

static void add_key(struct pl_buffer *key, const char *text) {
  pl_buffer_format(key, "%s%s", key->length == 0 ? "" : "; ", text);
}

const char *pl_chart_key(const struct pl_chart *chart) {
  struct pl_arena *const arena = chart->sheet->arena;
  struct pl_buffer key = {.arena = arena};
  for (size_t i = 0; chart->numbered && i < chart->plot->count; i++)
    add_key(&key, pl_format(arena, "%zu %s", i + 1, chart->plot->lines[i].label));
  for (size_t i = 0; i < 2; i++) {
    if (chart->ends[i].in_foot) add_key(&key, chart->ends[i].text);
  }
  for (size_t i = 0; i < chart->name_count; i++) {
    const struct pl_named *const named = &chart->names[i];
    if (!named->in_foot) continue;
    const char *const label = chart->plot->lines[named->line].label;
    add_key(&key,
            pl_format(arena, "%s (%s)", named->text,
                      chart->numbered ? pl_format(arena, "%zu", named->line + 1) : label));
  }
  return pl_buffer_string(&key);
}

// ---------------------------------------------------------------- drawing

void pl_chart_draw_texts(const struct pl_chart *chart, struct pl_page *picture) {
  for (size_t i = 0; i < chart->plot->count; i++) {
    const struct pl_label *const label = &chart->labels[i];
    struct pl_spot spots[2];
    leader_of(chart, label, spots);
    if (has_leader(chart, label))
      pl_draw_line(picture, spots[0].x, spots[0].y, spots[1].x, spots[1].y, leader);
    pl_paragraph_draw(chart->sheet, picture, &label->block, chart->label_left, label->top);
  }
  for (size_t i = 0; i < 2; i++) {
    const struct pl_end *const end = &chart->ends[i];
    if (end->text[0] != '\0' && !end->in_foot)
      pl_paragraph_draw(chart->sheet, picture, &end->block, end->box.left, end->box.top);
  }
  for (size_t i = 0; i < chart->name_count; i++) {
    const struct pl_named *const named = &chart->names[i];
    if (named->shared || named->in_foot) continue;
    struct pl_spot spots[2];
    if (pl_chart_name_leader(named, spots))
      pl_draw_line(picture, spots[0].x, spots[0].y, spots[1].x, spots[1].y, leader);
    pl_paragraph_draw(chart->sheet, picture, &named->block, named->box.left, named->box.top);
  }
}
