// SPDX-License-Identifier: GPL-3.0-or-later
// What a section of a shock shows: body, cap, eyes, and what is inside.
#include "shock.h"

#include <math.h>

double pl_shock_x(const struct pl_shock_pen *pen, double x) {
  return pen->x + pen->scale * x;
}

double pl_shock_y(const struct pl_shock_pen *pen, double y) {
  return pen->y + pen->scale * y;
}

void pl_shock_box(const struct pl_shock_pen *pen, double x1, double y1, double x2, double y2,
                  enum pl_ink fill, struct pl_stroke stroke) {
  if (!(x2 > x1) || !(y2 > y1)) return;
  pl_draw_rectangle(pen->page, pl_shock_x(pen, x1), pl_shock_y(pen, y1), pen->scale * (x2 - x1),
                    pen->scale * (y2 - y1), fill, stroke);
}

void pl_shock_boxes(const struct pl_shock_pen *pen, double x1, double y1, double x2, double y2,
                    enum pl_ink fill, struct pl_stroke stroke) {
  pl_shock_box(pen, -x2, y1, -x1, y2, fill, stroke);
  pl_shock_box(pen, x1, y1, x2, y2, fill, stroke);
}

/// A line at true size.
static void draw_line(const struct pl_shock_pen *pen, double x1, double y1, double x2,
                      double y2, struct pl_stroke stroke) {
  pl_draw_line(pen->page, pl_shock_x(pen, x1), pl_shock_y(pen, y1), pl_shock_x(pen, x2),
               pl_shock_y(pen, y2), stroke);
}

// ---------------------------------------------------------------- body, cap, eyes

/// An eye with the part that holds it, which ends at `end`; its middle is marked, because the
/// length is measured there.
static void draw_eye(const struct pl_shock_pen *pen, double y, double end) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double neck = 0.16 * shape->unit;
  const double x = pl_shock_x(pen, 0);
  const double middle = pl_shock_y(pen, y);
  const double hole = 0.24 * shape->unit * pen->scale;
  pl_shock_box(pen, -neck, fmin(y, end), neck, fmax(y, end), PL_INK_WHITE, PL_STROKE_LIKELY);
  pl_draw_circle(pen->page, x, middle, 2 * shape->eye_radius * pen->scale, PL_INK_WHITE,
                 PL_STROKE_LIKELY);
  pl_draw_circle(pen->page, x, middle, hole, PL_INK_WHITE, PL_STROKE_LIKELY);
  const double cross = hole / 3;
  pl_draw_line(pen->page, x - cross, middle, x + cross, middle, PL_STROKE_HAIR);
  pl_draw_line(pen->page, x, middle - cross, x, middle + cross, PL_STROKE_HAIR);
}

static void draw_cap(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double skirt = fmin(0.12 * shape->unit, 0.2 * (shape->body_bottom - shape->inside_top));
  pl_shock_boxes(pen, shape->body_radius, shape->inside_top, shape->cap_radius,
                 shape->inside_top + skirt, PL_INK_LIGHT, PL_STROKE_LIKELY);
  pl_shock_box(pen, -shape->cap_radius, shape->cap_top, shape->cap_radius, shape->inside_top,
               PL_INK_LIGHT, PL_STROKE_LIKELY);
  if (!pl_part_says(pen->facts->damper, PL_SETTING_COMPENSATION, "vented")) return;
  const double hole = 0.32 * pen->facts->bore;
  const double half = 0.03 * shape->unit;
  pl_shock_box(pen, hole - half, shape->cap_top, hole + half, shape->inside_top, PL_INK_WHITE,
               PL_STROKE_LIKELY);
}

/// Spacers that end compression early; beneath the body, as they are when it is pressed in.
static void draw_bump_spacer(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double end = fmin(shape->body_bottom + pen->facts->bump, shape->foot_top);
  const double inner = pen->facts->shaft / 2;
  pl_shock_boxes(pen, inner, shape->body_bottom, fmin(inner + 0.14 * shape->unit, shape->reach),
                 end, PL_INK_BLACK, PL_STROKE_NONE);
}

void pl_shock_draw_body(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double bore = pen->facts->bore / 2;
  const double shaft = fmin(pen->facts->shaft / 2, 0.95 * bore);
  draw_eye(pen, 0, shape->cap_top);
  pl_shock_box(pen, -shape->body_radius, shape->inside_top, shape->body_radius,
               shape->body_bottom, PL_INK_WHITE, PL_STROKE_NONE);
  pl_shock_boxes(pen, bore, shape->inside_top, shape->body_radius, shape->body_bottom,
                 PL_INK_LIGHT, PL_STROKE_LIKELY);
  draw_cap(pen);
  draw_eye(pen, shape->length, shape->foot_top);
  pl_shock_boxes(pen, shaft, shape->gland_bottom, bore, shape->body_bottom, PL_INK_LIGHT,
                 PL_STROKE_LIKELY);
  pl_shock_box(pen, -shaft, shape->nut_top, shaft, shape->foot_top, PL_INK_WHITE,
               PL_STROKE_DECLARED);
  for (int side = -1; side <= 1; side += 2)
    draw_line(pen, side * bore, shape->inside_top, side * bore, shape->gland_bottom,
              PL_STROKE_DECLARED);
  draw_bump_spacer(pen);
}

// ---------------------------------------------------------------- air

/// A bladder hangs from the top of the body like a cup; the air is in it.
static void draw_bladder(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double top = shape->inside_top;
  const double depth = shape->bladder - top;
  const double bore = pen->facts->bore / 2;
  const struct pl_stroke skin = {.width = 0.35, .ink = PL_INK_GREY};
  const double across[] = {1, 0.86, 0.82, 0.78, 0.7};
  const double down[] = {0.04, 0.04, 0.2, 0.9, 1};
  const size_t half = sizeof across / sizeof across[0];
  struct pl_spot spots[2 * sizeof across / sizeof across[0]];
  for (size_t i = 0; i < half; i++) {
    const double y = pl_shock_y(pen, top + down[i] * depth);
    spots[i] = (struct pl_spot){pl_shock_x(pen, -across[i] * bore), y};
    spots[2 * half - 1 - i] = (struct pl_spot){pl_shock_x(pen, across[i] * bore), y};
  }
  pl_draw_polyline(pen->page, spots, 2 * half, skin);
}

/// The same bubbles in every drawing: steps of the plastic number's powers fill a square evenly
/// and never in rows (Roberts, The unreasonable effectiveness of quasirandom sequences, 2018).
static void draw_bubbles(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double bottom = shape->nut_top;
  const double top = shape->inside_top;
  const double size = 0.05 * shape->unit;
  const double width = pen->facts->bore - 3 * size;
  const double height = bottom - top - 3 * size;
  if (!(width > 0) || !(height > 0)) return;
  for (int i = 1; i <= 40; i++) {
    const double across = fmod(0.7548776662466927 * i, 1) - 0.5;
    const double down = fmod(0.5698402909980532 * i, 1);
    pl_draw_circle(pen->page, pl_shock_x(pen, across * width),
                   pl_shock_y(pen, top + 1.5 * size + down * height),
                   pen->scale * size * (1 + i % 3), PL_INK_NONE, PL_STROKE_LIKELY);
  }
}

static void draw_air(const struct pl_shock_pen *pen) {
  if (pl_part_says(pen->facts->damper, PL_SETTING_COMPENSATION, "emulsion"))
    draw_bubbles(pen);
  else if (pen->shape->bladder > pen->shape->inside_top)
    draw_bladder(pen);
}

// ---------------------------------------------------------------- piston

/// A port in section, and the washer that covers one that carries one way: it lies at the face
/// that the oil leaves.
static void draw_port(const struct pl_shock_pen *pen, const struct pl_ports *set, double x) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double cap = set->cap_diameter * 500;
  const double other = set->shaft_diameter * 500;
  const double top = pl_shock_y(pen, shape->piston_top);
  const double bottom = pl_shock_y(pen, shape->piston_bottom);
  const struct pl_spot spots[] = {{pl_shock_x(pen, x - cap), top},
                                  {pl_shock_x(pen, x + cap), top},
                                  {pl_shock_x(pen, x + other), bottom},
                                  {pl_shock_x(pen, x - other), bottom}};
  pl_draw_polygon(pen->page, spots, 4, PL_INK_WHITE, PL_STROKE_HAIR);
  if (set->one_way == PL_BOTH_WAYS) return;
  const bool below = set->one_way == PL_ONE_WAY_COMPRESSION;
  const double y = below ? shape->piston_bottom : shape->piston_top;
  const double half = 1.15 * (below ? other : cap);
  draw_line(pen, x - half, y, x + half, y,
            (struct pl_stroke){.width = 0.5, .ink = PL_INK_BLACK});
}

/// A port of the first set on the left, one of the second on the right.
static void draw_ports(const struct pl_shock_pen *pen) {
  const struct pl_shock_facts *const facts = pen->facts;
  if (facts->piston == NULL) return;
  const struct pl_value *const ports = &pl_part_get(facts->piston, PL_SETTING_PORTS)->value;
  if (ports->kind != PL_VALUE_PORTS || ports->count == 0) return;
  const double shaft = facts->shaft / 2;
  const double middle = (shaft + pen->shape->piston_radius) / 2;
  const double room = (pen->shape->piston_radius - shaft) / 2;
  const struct pl_ports *const left = &ports->many.ports[0];
  const struct pl_ports *const right = &ports->many.ports[ports->count > 1 ? 1 : 0];
  const double widest = 500 * 1.15;
  if (widest * fmax(left->cap_diameter, left->shaft_diameter) < room)
    draw_port(pen, left, -middle);
  // A piston with a single port has solid metal on the other side.
  if ((ports->count > 1 || left->count > 1) &&
      widest * fmax(right->cap_diameter, right->shaft_diameter) < room)
    draw_port(pen, right, middle);
}

static void draw_piston(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double shaft = pen->facts->shaft / 2;
  const double nut = fmin(shaft + 0.12 * shape->unit, 0.9 * shape->piston_radius);
  // The end of the shaft stands out of the nut a little.
  const double nut_top = shape->nut_top + 0.25 * (shape->piston_top - shape->nut_top);
  pl_shock_boxes(pen, shaft, nut_top, nut, shape->piston_top, PL_INK_WHITE, PL_STROKE_LIKELY);
  const bool known = !isnan(pen->facts->thickness);
  pl_shock_boxes(pen, shaft, shape->piston_top, shape->piston_radius, shape->piston_bottom,
                 known ? PL_INK_GREY : PL_INK_LIGHT,
                 known ? PL_STROKE_DECLARED : PL_STROKE_LIKELY);
  draw_ports(pen);
  pl_shock_boxes(pen, shaft, shape->piston_bottom,
                 fmin(shaft + 0.14 * shape->unit, 0.9 * shape->piston_radius),
                 shape->sleeve_top, PL_INK_BLACK, PL_STROKE_NONE);
}

// ---------------------------------------------------------------- seals

/// A ring cut through, with its middle at both sides of the axis: round, or with four lips.
static void draw_ring(const struct pl_shock_pen *pen, double x, double y, double section) {
  const bool known = !isnan(pen->facts->section);
  const enum pl_ink fill = known && pen->facts->rings > 0 ? PL_INK_BLACK : PL_INK_GREY;
  const bool lips = pl_part_says(pen->facts->damper, PL_SETTING_SEAL_RING_TYPE, "x-ring");
  for (int side = -1; side <= 1; side += 2) {
    const double at = pl_shock_x(pen, side * x);
    const double middle = pl_shock_y(pen, y);
    const double size = pen->scale * section;
    if (!lips) pl_draw_circle(pen->page, at, middle, size, fill, PL_STROKE_NONE);
    for (int corner = 0; lips && corner < 4; corner++)
      pl_draw_circle(pen->page, at + (corner % 2 == 0 ? -0.24 : 0.24) * size,
                     middle + (corner < 2 ? -0.24 : 0.24) * size, 0.52 * size, fill,
                     PL_STROKE_NONE);
    if (lips) pl_draw_circle(pen->page, at, middle, 0.5 * size, fill, PL_STROKE_NONE);
  }
}

/// The room for the rings, from the piston's side outward: rings, then backup rings.
static void draw_gland(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const struct pl_shock_facts *const facts = pen->facts;
  const double shaft = facts->shaft / 2;
  const double bore = facts->bore / 2;
  const double height = shape->gland_bottom - shape->gland_top;
  const double rings = facts->rings == 0 ? 1 : (double)facts->rings;
  const double backup = 0.35;
  double section = fmin(isnan(facts->section) ? 0.14 * shape->unit : facts->section,
                        height / (rings + backup * (double)facts->backups));
  section = fmin(section, bore - shaft);
  if (!(section > 0)) return;
  double outer =
      isnan(facts->gland_outside) ? shaft + 0.92 * section : facts->gland_outside / 2;
  outer = fmin(fmax(outer, shaft + 0.5 * section), bore);
  pl_shock_boxes(pen, outer, shape->gland_top, bore, shape->gland_bottom, PL_INK_LIGHT,
                 PL_STROKE_LIKELY);
  const double free = height - section * (rings + backup * (double)facts->backups);
  const double gap = free / (rings + (double)facts->backups + 1);
  double y = shape->gland_top + gap;
  for (int i = 0; i < (int)rings; i++, y += section + gap)
    draw_ring(pen, shaft + section / 2, y + section / 2, section);
  for (size_t i = 0; i < facts->backups; i++, y += backup * section + gap)
    pl_shock_boxes(pen, shaft, y, shaft + 0.9 * section, y + backup * section, PL_INK_WHITE,
                   PL_STROKE_DECLARED);
}

/// A lip that leans outward on the shaft.
static void draw_wiper(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const double shaft = pen->facts->shaft / 2;
  const double top = shape->gland_bottom + 0.4 * (shape->body_bottom - shape->gland_bottom);
  const double outer = fmin(shaft + 0.14 * shape->unit, pen->facts->bore / 2);
  for (int side = -1; side <= 1; side += 2) {
    const struct pl_spot spots[] = {
        {pl_shock_x(pen, side * outer), pl_shock_y(pen, top)},
        {pl_shock_x(pen, side * outer), pl_shock_y(pen, (top + shape->body_bottom) / 2)},
        {pl_shock_x(pen, side * shaft), pl_shock_y(pen, shape->body_bottom)}};
    pl_draw_polygon(pen->page, spots, 3, PL_INK_BLACK, PL_STROKE_NONE);
  }
}

static void draw_seals(const struct pl_shock_pen *pen) {
  const struct pl_shock_shape *const shape = pen->shape;
  const struct pl_part *const damper = pen->facts->damper;
  const double shaft = pen->facts->shaft / 2;
  const double bore = pen->facts->bore / 2;
  const bool glide = pl_part_says(damper, PL_SETTING_SEAL_GLIDE_RING, "yes");
  // What holds the piston off the guide is drawn as a tube around the shaft.
  pl_shock_boxes(pen, shaft, shape->sleeve_top, shaft + 0.3 * (bore - shaft), shape->glide_top,
                 PL_INK_WHITE, PL_STROKE_LIKELY);
  pl_shock_boxes(pen, shaft, shape->glide_top, bore, shape->gland_top, PL_INK_LIGHT,
                 PL_STROKE_LIKELY);
  if (glide)
    pl_shock_boxes(pen, shaft, shape->glide_top, shaft + 0.4 * (bore - shaft), shape->gland_top,
                   PL_INK_WHITE, PL_STROKE_DECLARED);
  draw_gland(pen);
  if (pl_part_says(damper, PL_SETTING_SEAL_WIPER, "yes")) draw_wiper(pen);
}

void pl_shock_draw_inside(const struct pl_shock_pen *pen) {
  draw_air(pen);
  draw_seals(pen);
  draw_piston(pen);
}
