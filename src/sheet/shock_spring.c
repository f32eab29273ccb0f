// SPDX-License-Identifier: GPL-3.0-or-later
// The spring of a shock in section: its wire cut through at both sides, and behind the body the
// coils that lead from one side to the other.
#include "shock.h"

#include <math.h>

/// A grey coil where the spring's own numbers are not declared.
static struct pl_stroke coil_stroke(const struct pl_shock_shape *shape) {
  return shape->coil_is_known ? (struct pl_stroke){.width = 0.2, .ink = PL_INK_BLACK}
                              : PL_STROKE_LIKELY;
}

/// The two edges of the wire from the left side at `left` to the right side at `right`.
static void draw_turn(const struct pl_shock_pen *pen, double left, double right) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double x = shape->coil.mean / 2;
  const double half = shape->coil.wire / 2;
  for (int edge = -1; edge <= 1; edge += 2)
    pl_draw_line(pen->page, pl_shock_x(pen, -x), pl_shock_y(pen, left + edge * half),
                 pl_shock_x(pen, x), pl_shock_y(pen, right + edge * half),
                 (struct pl_stroke){.width = PL_HAIR, .ink = PL_INK_GREY});
}

static void draw_cut(const struct pl_shock_pen *pen, double x, double y) {
  const struct pl_shock_shape *const shape = pen->shape;
  pl_draw_circle(pen->page, pl_shock_x(pen, x), pl_shock_y(pen, y),
                 pen->scale * shape->coil.wire,
                 shape->coil_is_known ? PL_INK_LIGHT : PL_INK_WHITE, coil_stroke(shape));
}

/// Coils at even steps: at each step a cut on the left, and half a step lower one on the right.
static void draw_coils(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double wire = shape->coil.wire;
  const double first = shape->spring_top + wire / 2;
  const double length = shape->seat - shape->spring_top - wire;
  if (!(length > 0)) return;
  const double turns = fmin(fmax(floor(shape->coil.coils), 2), floor(length / wire) + 1);
  const double step = turns > 1 ? length / (turns - 0.5) : length;
  const int count = (int)turns;
  const double x = shape->coil.mean / 2;
  for (int i = 0; i < count; i++) {
    const double left = first + i * step;
    draw_turn(pen, left, left + step / 2);
  }
  for (int i = 0; i < count; i++) {
    const double left = first + i * step;
    draw_cut(pen, -x, left);
    draw_cut(pen, x, fmin(left + step / 2, shape->seat - wire / 2));
  }
}

void pl_shock_draw_spring(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  if (!shape->has_spring) return;
  if (pen->facts->spring != NULL) draw_coils(pen);
  pl_shock_boxes(pen, shape->body_radius, shape->collar - shape->collar_height,
                 shape->collar_radius, shape->collar, PL_INK_WHITE,
                 shape->collar_is_known ? PL_STROKE_DECLARED : PL_STROKE_LIKELY);
  const double foot = shape->length - shape->seat;
  const double inner = fmin(0.16 * shape->unit, shape->collar_radius / 2);
  pl_shock_boxes(pen, inner, shape->seat, shape->collar_radius,
                 shape->seat + fmin(0.12 * shape->unit, 0.4 * foot), PL_INK_WHITE,
                 PL_STROKE_LIKELY);
}
