// SPDX-License-Identifier: GPL-3.0-or-later
// The dimensions of a shock in section: lines with arrows, and their texts in a column on each
// side, pushed apart so that none touches another.
#include "shock.h"

#include <math.h>

/// Arrowheads: length and half their width, mm.
#define ARROW_LENGTH 1.3
#define ARROW_HALF   0.28
/// A span shorter than this has its arrows outside, mm.
#define SHORT_SPAN 3.2
/// From the shock to the line that is drawn beside it, mm.
#define BESIDE 1.9
/// Between the text and its leader, and between two texts, mm.
#define TEXT_GAP   0.5
#define BETWEEN    0.9
#define MOST_NOTES 12

static const struct pl_type label_type = {.size = PL_TYPE_FLOOR, .ink = PL_INK_GREY};
static const struct pl_type value_type = {.size = PL_SMALL};

/// A text with the place on paper that its leader ends at.
struct note {
  const char *label;
  const char *value;
  struct pl_spot at;
  bool dot;   ///< the leader ends in an area, not at a line
  bool level; ///< the leader may end at any height from `at.y` to `low`
  double low;
  double height;
  double top; ///< of the text, mm
};

/// The notes of one side.
struct side {
  const struct pl_shock_pen *pen;
  bool right;
  double edge; ///< where the column ends toward the shock, mm
  double column;
  struct note notes[MOST_NOTES];
  size_t count;
};

// ---------------------------------------------------------------- arrows

/// An arrowhead with its tip at `x`, `y` that points along (`dx`, `dy`), of length 1.
static void draw_arrow(struct pl_page *page, double x, double y, double dx, double dy) {
  const double back_x = x - ARROW_LENGTH * dx;
  const double back_y = y - ARROW_LENGTH * dy;
  const struct pl_spot spots[] = {{x, y},
                                  {back_x - ARROW_HALF * dy, back_y + ARROW_HALF * dx},
                                  {back_x + ARROW_HALF * dy, back_y - ARROW_HALF * dx}};
  pl_draw_polygon(page, spots, 3, PL_INK_BLACK, PL_STROKE_NONE);
}

/// The span from `top` to `bottom` at `x`, on paper; arrows outside where it is short, as far
/// as the picture reaches.
static void draw_upright(struct pl_page *page, double x, double top, double bottom) {
  if (bottom - top >= SHORT_SPAN) {
    pl_draw_line(page, x, top, x, bottom, PL_STROKE_HAIR);
    draw_arrow(page, x, top, 0, -1);
    draw_arrow(page, x, bottom, 0, 1);
    return;
  }
  const double tail = 1.6 * ARROW_LENGTH;
  pl_draw_line(page, x, fmax(top - tail, PL_HAIR), x, bottom + tail, PL_STROKE_HAIR);
  if (top - ARROW_LENGTH > 0) draw_arrow(page, x, top, 0, 1);
  draw_arrow(page, x, bottom, 0, -1);
}

/// The span from `left` to `right` at `y`, on paper, with its arrows inside or outside. Returns
/// where its line ends on the right.
static double draw_across(struct pl_page *page, double y, double left, double right) {
  const bool inside = right - left >= SHORT_SPAN;
  const double tail = inside ? 0 : 1.6 * ARROW_LENGTH;
  pl_draw_line(page, left - tail, y, right + tail, y, PL_STROKE_HAIR);
  draw_arrow(page, left, y, inside ? -1 : 1, 0);
  draw_arrow(page, right, y, inside ? 1 : -1, 0);
  return right + tail;
}

// ---------------------------------------------------------------- notes

static struct note *add_note(struct side *side, const char *label, const char *value, double x,
                             double y) {
  struct note *const note = &side->notes[side->count++];
  *note = (struct note){.label = label, .value = value, .at = {x, y}, .low = y};
  return note;
}

/// Number of lines, and their height.
static double measure(const struct side *side, const char *text, struct pl_type type) {
  size_t count = 0;
  (void)pl_text_wrap(side->pen->sheet->arena, pl_sheet_printable(side->pen->sheet, text),
                     type.size, type.bold, side->column, &count);
  return (double)count * pl_line_height(type.size);
}

/// Puts the notes one beneath the other in the order of what they are about: each beside it as
/// far as the ones above leave room, and further up where the column ends.
static void push_apart(struct side *side, double bottom) {
  for (size_t i = 1; i < side->count; i++) {
    const struct note moved = side->notes[i];
    size_t at = i;
    for (;
         at > 0 && side->notes[at - 1].at.y + side->notes[at - 1].low > moved.at.y + moved.low;
         at--)
      side->notes[at] = side->notes[at - 1];
    side->notes[at] = moved;
  }
  double free = 0;
  for (size_t i = 0; i < side->count; i++) {
    struct note *const note = &side->notes[i];
    note->height =
        measure(side, note->label, label_type) + measure(side, note->value, value_type);
    note->top = fmax((note->at.y + note->low - note->height) / 2, free);
    free = note->top + note->height + BETWEEN;
  }
  for (size_t i = side->count; i-- > 0;) {
    struct note *const note = &side->notes[i];
    note->top = fmin(note->top, bottom - note->height);
    bottom = note->top - BETWEEN;
  }
  // Where all do not fit, the last ones go below the end rather than the first ones above it.
  free = 0;
  for (size_t i = 0; i < side->count; i++) {
    side->notes[i].top = fmax(side->notes[i].top, free);
    free = side->notes[i].top + side->notes[i].height + BETWEEN;
  }
}

static double draw_text(const struct side *side, double y, struct pl_type type,
                        const char *text) {
  struct pl_sheet *const sheet = side->pen->sheet;
  size_t count = 0;
  const char *const *const lines = pl_text_wrap(sheet->arena, pl_sheet_printable(sheet, text),
                                                type.size, type.bold, side->column, &count);
  type.anchor = side->right ? PL_ANCHOR_LEFT : PL_ANCHOR_RIGHT;
  for (size_t i = 0; i < count; i++) {
    pl_picture_text(sheet, side->pen->page, side->edge, y + pl_line_base(type.size), type,
                    lines[i]);
    y += pl_line_height(type.size);
  }
  return y;
}

static void draw_leader(const struct side *side, const struct note *note) {
  struct pl_page *const page = side->pen->page;
  const double out = side->right ? -1 : 1;
  const double y = note->top + note->height / 2;
  const double end = note->level ? fmin(fmax(y, note->at.y), note->low) : note->at.y;
  const struct pl_spot spots[] = {{side->edge + out * TEXT_GAP, y},
                                  {side->edge + out * (TEXT_GAP + 0.6), y},
                                  {note->at.x, end}};
  pl_draw_polyline(page, spots, 3, PL_STROKE_HAIR);
  if (note->dot) pl_draw_circle(page, note->at.x, end, 0.5, PL_INK_BLACK, PL_STROKE_NONE);
}

static double draw_notes(struct side *side, double bottom) {
  push_apart(side, bottom);
  double end = 0;
  for (size_t i = 0; i < side->count; i++) {
    const struct note *const note = &side->notes[i];
    draw_leader(side, note);
    const double middle = draw_text(side, note->top, label_type, note->label);
    end = draw_text(side, middle, value_type, note->value);
  }
  return end;
}

// ---------------------------------------------------------------- on the left

static void add_eye_to_eye(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  const double x = pl_shock_x(pen, -pen->shape->reach) - BESIDE;
  const double top = pl_shock_y(pen, 0);
  const double bottom = pl_shock_y(pen, pen->shape->length);
  const double ring = pl_shock_x(pen, -pen->shape->eye_radius) - 0.6;
  pl_draw_line(pen->page, fmax(ring, x), top, x - 0.6, top, PL_STROKE_HAIR);
  pl_draw_line(pen->page, fmax(ring, x), bottom, x - 0.6, bottom, PL_STROKE_HAIR);
  draw_upright(pen->page, x, top, bottom);
  struct note *const note =
      add_note(side, pl_word(pen->sheet, PL_WORD_EYE_TO_EYE),
               pl_drawn_number(pen->sheet, PL_SETTING_EXTENDED_LENGTH,
                               (pen->facts->extended - pen->facts->limiter) * 1e-3),
               x, top);
  note->level = true;
  // Its text stands beside the cap, where no other one wants to be.
  note->low = fmin(bottom, top + 2 * pen->scale * pen->shape->cap_top);
}

/// The piston's travel: from its upper face to where that is when the shock is pressed in.
static void add_stroke_left(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  const struct pl_shock_facts *const facts = pen->facts;
  const double travel = fmax(0, facts->stroke - facts->limiter - facts->bump);
  // What is shortened is no measure.
  const double bottom = pl_shock_y(pen, pen->shape->piston_top);
  const double top =
      fmax(bottom - pen->scale * travel, pl_shock_y(pen, pen->shape->inside_top));
  const double x = pl_shock_x(pen, -0.3 * facts->bore);
  const double half = pen->scale * pen->shape->piston_radius;
  if (pen->shape->is_true && travel > 0) {
    pl_draw_line(pen->page, pen->x - half, top, pen->x + half, top,
                 (struct pl_stroke){.width = PL_HAIR, .ink = PL_INK_BLACK, .dash = PL_DASHED});
    draw_upright(pen->page, x, top, bottom);
  }
  struct note *const note =
      add_note(side, pl_word(pen->sheet, PL_WORD_STROKE_LEFT),
               pl_drawn_number(pen->sheet, PL_SETTING_STROKE, travel * 1e-3), x, top);
  note->level = true;
  note->low = bottom;
}

static void add_limiter(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  if (!(pen->facts->limiter > 0)) return;
  const double y = (pen->shape->piston_bottom + pen->shape->sleeve_top) / 2;
  const double radius =
      fmin(pen->facts->shaft / 2 + 0.14 * pen->shape->unit, 0.9 * pen->shape->piston_radius);
  add_note(side, pl_drawn_label(pen->sheet, PL_SETTING_LIMITER),
           pl_drawn_number(pen->sheet, PL_SETTING_LIMITER, pen->facts->limiter * 1e-3),
           pl_shock_x(pen, -radius), pl_shock_y(pen, y));
}

static void add_exposed(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  if (isnan(pen->facts->exposed)) return;
  const double out = pen->facts->shaft / 2 + 0.24 * pen->shape->unit;
  const double x = pl_shock_x(pen, -fmin(out, pen->shape->reach));
  const double top = pl_shock_y(pen, pen->shape->body_bottom);
  const double bottom = pl_shock_y(pen, pen->shape->foot_top);
  pl_draw_line(pen->page, x - 0.6, bottom, pl_shock_x(pen, -pen->facts->shaft / 2), bottom,
               PL_STROKE_HAIR);
  if (pen->shape->is_true) draw_upright(pen->page, x, top, bottom);
  struct note *const note =
      add_note(side, pl_drawn_label(pen->sheet, PL_SETTING_EXPOSED_SHAFT),
               pl_drawn_number(pen->sheet, PL_SETTING_EXPOSED_SHAFT,
                               fmax(0, pen->facts->exposed - pen->facts->limiter) * 1e-3),
               x, top);
  note->level = true;
  note->low = bottom;
}

// ---------------------------------------------------------------- on the right

static void add_volumes(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  const struct pl_shock_shape *const shape = pen->shape;
  const bool bladder = shape->bladder > shape->inside_top;
  const double bore = pen->facts->bore;
  const double oil_top = fmax(shape->bladder, shape->inside_top);
  const double oil = shape->nut_top - oil_top;
  if (!isnan(pen->facts->air))
    add_note(side, pl_drawn_label(pen->sheet, PL_SETTING_AIR_VOLUME),
             pl_drawn_value(pen->sheet, pen->facts->damper, PL_SETTING_AIR_VOLUME),
             pl_shock_x(pen, 0.3 * bore),
             pl_shock_y(pen, bladder ? (shape->inside_top + shape->bladder) / 2
                                     : oil_top + 0.2 * oil))
        ->dot = true;
  if (pl_part_number(pen->facts->damper, PL_SETTING_OIL_VOLUME) > 0)
    add_note(side, pl_drawn_label(pen->sheet, PL_SETTING_OIL_VOLUME),
             pl_drawn_value(pen->sheet, pen->facts->damper, PL_SETTING_OIL_VOLUME),
             pl_shock_x(pen, 0.3 * bore), pl_shock_y(pen, oil_top + 0.8 * oil))
        ->dot = true;
}

static void add_diameters(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  const struct pl_shock_shape *const shape = pen->shape;
  const double bore = pen->scale * pen->facts->bore / 2;
  const double shaft = pen->scale * pen->facts->shaft / 2;
  const double oil_top = fmax(shape->bladder, shape->inside_top);
  const double y = pl_shock_y(pen, oil_top + 0.5 * (shape->nut_top - oil_top));
  const double bore_end = draw_across(pen->page, y, pen->x - bore, pen->x + bore);
  add_note(side, pl_drawn_label(pen->sheet, PL_SETTING_BORE),
           pl_format(pen->sheet->arena, "⌀ %s",
                     pl_drawn_value(pen->sheet, pen->facts->damper, PL_SETTING_BORE)),
           bore_end, y);
  const double bump = fmin(pen->facts->bump, shape->foot_top - shape->body_bottom);
  const double bare = shape->body_bottom + bump;
  const double low = pl_shock_y(pen, bare + 0.6 * (shape->foot_top - bare));
  const double shaft_end = draw_across(pen->page, low, pen->x - shaft, pen->x + shaft);
  add_note(side, pl_drawn_label(pen->sheet, PL_SETTING_SHAFT),
           pl_format(pen->sheet->arena, "⌀ %s",
                     pl_drawn_value(pen->sheet, pen->facts->damper, PL_SETTING_SHAFT)),
           shaft_end, low);
}

/// Where the collar is, from its zero if that is known.
static void add_collar(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  const struct pl_shock_shape *const shape = pen->shape;
  const bool collar = !isnan(pen->facts->collar);
  if (!shape->has_spring || (!collar && isnan(pen->facts->preload))) return;
  const enum pl_setting setting = collar ? PL_SETTING_COLLAR : PL_SETTING_PRELOAD;
  const double length = collar ? pen->facts->collar : pen->facts->preload;
  const double reach = pl_shock_x(pen, shape->reach);
  const double y = pl_shock_y(pen, shape->collar);
  const double x = reach + BESIDE - 0.6;
  struct note *const note =
      add_note(side, pl_drawn_label(pen->sheet, setting),
               pl_drawn_number(pen->sheet, setting, length * 1e-3), reach, y);
  if (isnan(shape->collar_zero) || !(length > 0)) return;
  const double zero = pl_shock_y(pen, shape->collar_zero);
  pl_draw_line(pen->page, pl_shock_x(pen, shape->body_radius), zero, x + 0.6, zero,
               (struct pl_stroke){.width = PL_HAIR, .ink = PL_INK_BLACK, .dash = PL_DASHED});
  pl_draw_line(pen->page, pl_shock_x(pen, shape->collar_radius), y, x + 0.6, y, PL_STROKE_HAIR);
  draw_upright(pen->page, x, zero, y);
  note->at = (struct pl_spot){x, zero};
  note->level = true;
  note->low = y;
}

static void add_bump_spacer(struct side *side) {
  const struct pl_shock_pen *const pen = side->pen;
  if (!(pen->facts->bump > 0)) return;
  const double end = fmin(pen->shape->body_bottom + pen->facts->bump, pen->shape->foot_top);
  const double radius =
      fmin(pen->facts->shaft / 2 + 0.14 * pen->shape->unit, pen->shape->reach);
  add_note(side, pl_drawn_label(pen->sheet, PL_SETTING_BUMP_SPACER),
           pl_drawn_number(pen->sheet, PL_SETTING_BUMP_SPACER, pen->facts->bump * 1e-3),
           pl_shock_x(pen, radius), pl_shock_y(pen, (pen->shape->body_bottom + end) / 2));
}

double pl_shock_draw_dimensions(const struct pl_shock_pen *pen, double column, double bottom) {
  const double reach = pen->scale * pen->shape->reach;
  struct side left = {
      .pen = pen, .edge = pen->x - reach - PL_SHOCK_LANE_LEFT, .column = column};
  struct side right = {.pen = pen,
                       .right = true,
                       .edge = pen->x + reach + PL_SHOCK_LANE_RIGHT,
                       .column = column};
  add_eye_to_eye(&left);
  add_stroke_left(&left);
  add_limiter(&left);
  add_exposed(&left);
  add_volumes(&right);
  add_diameters(&right);
  add_collar(&right);
  add_bump_spacer(&right);
  return fmax(draw_notes(&left, bottom), draw_notes(&right, bottom));
}
