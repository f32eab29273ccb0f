// SPDX-License-Identifier: GPL-3.0-or-later
// The plan: the car from above, nose up. What a corner has of its own stands at that corner,
// what both sides share stands once between them, axle by axle.
#include <string.h>

#include "room.h"

/// The columns of an axle, from left to right.
enum { AT_LEFT, IN_MIDDLE, AT_RIGHT = 4, COLUMN_COUNT };
/// Columns between the corners.
#define MIDDLES 3

/// Between the columns, mm.
#define GUTTER 2.0
/// How wide the columns are and how their rows are parted.
struct layout {
  double corner; ///< share of a corner's column in the whole width
  struct pl_row_shape corner_shape;
  struct pl_row_shape middle_shape;
};

/// For cars that are nearly the same on both sides, and for those that are not.
static const struct layout even = {.corner = 0.138,
                                   .corner_shape = {.label = 8.6, .point = 3.4, .stack = true},
                                   .middle_shape = {.label = 17, .point = 4.4}};
static const struct layout uneven = {.corner = 0.2,
                                     .corner_shape = {.label = 15.5, .point = 4.6},
                                     .middle_shape = {.label = 14, .point = 4.6}};
/// From so many rows at one corner on, a car is uneven.
#define MANY_ROWS 7

/// One axle in the making.
struct axle {
  struct pl_sheet *sheet;
  const struct pl_template_part *plan;
  const struct layout *layout;
  enum pl_place place; ///< PL_FRONT or PL_REAR
  enum pl_place left;
  enum pl_place right;
  struct pl_column columns[COLUMN_COUNT];
};

static void set_columns(struct axle *axle) {
  const double width = axle->sheet->width;
  const double corner = width * axle->layout->corner;
  const double middle = (width - 2 * corner - (COLUMN_COUNT - 1) * GUTTER) / MIDDLES;
  double x = 0;
  for (size_t i = 0; i < COLUMN_COUNT; i++) {
    const double own = i == AT_LEFT || i == AT_RIGHT ? corner : middle;
    axle->columns[i] = (struct pl_column){.x = x, .width = own};
    x += own + GUTTER;
  }
}

// ---------------------------------------------------------------- rows

static struct pl_row_shape shape_of(struct axle *axle, const struct pl_thing *thing,
                                    struct pl_row_shape shape) {
  shape.large = pl_things_have(&axle->sheet->plan->large, thing);
  return shape;
}

static void corner_row(struct axle *axle, const struct pl_thing *thing, size_t column,
                       const struct pl_datum *datum) {
  if (datum->shown)
    pl_column_row(axle->sheet, &axle->columns[column], datum,
                  shape_of(axle, thing, axle->layout->corner_shape));
}

/// One thing in its column of the middle, or at its corners.
static void add_thing(struct axle *axle, const struct pl_thing *thing, size_t column) {
  struct pl_sheet *const sheet = axle->sheet;
  pl_thing_done(sheet, thing);
  const enum pl_scope scope = pl_thing_scope(thing);
  if (scope == PL_SCOPE_CAR && axle->place == PL_REAR) return;
  if (sheet->plan->blank) {
    if (pl_thing_is_written(thing))
      pl_column_field(sheet, &axle->columns[column], thing, axle->layout->middle_shape.label);
    return;
  }
  const enum pl_place one = scope == PL_SCOPE_CORNER ? axle->left : axle->place;
  const struct pl_datum left = pl_datum_of(sheet, thing, pl_place_at(one, scope));
  const struct pl_datum right =
      scope == PL_SCOPE_CORNER ? pl_datum_of(sheet, thing, axle->right) : left;
  if (!left.shown && !right.shown) return;
  if (pl_datum_equal(&left, &right)) {
    pl_column_row(sheet, &axle->columns[column], &left,
                  shape_of(axle, thing, axle->layout->middle_shape));
  } else {
    // In the middle a row stays where it is looked for.
    pl_column_sides(sheet, &axle->columns[column], &left, &right, axle->layout->middle_shape);
    corner_row(axle, thing, AT_LEFT, &left);
    corner_row(axle, thing, AT_RIGHT, &right);
  }
  pl_column_notes(sheet, &axle->columns[column], 3.4, &left);
  pl_column_notes(sheet, &axle->columns[column], 3.4, &right);
}

static void add_group(struct axle *axle, const struct pl_template_part *group) {
  const size_t column = IN_MIDDLE + group->column - 1;
  struct pl_column *const target = &axle->columns[column];
  const size_t before = target->count;
  pl_column_title(axle->sheet, target, group->title);
  const size_t titled = target->count;
  for (size_t i = 0; i < group->show.count; i++) add_thing(axle, &group->show.items[i], column);
  if (target->count == titled) {
    target->count = before;
    return;
  }
  target->cells[titled].rule = false;
  pl_column_cell(axle->sheet, target, 1.2);
}

/// What stands at each corner even where left and right agree.
static void add_corners(struct axle *axle) {
  for (size_t i = 0; i < axle->plan->corners.count; i++) {
    const struct pl_thing *const thing = &axle->plan->corners.items[i];
    pl_thing_done(axle->sheet, thing);
    if (pl_thing_scope(thing) != PL_SCOPE_CORNER || axle->sheet->plan->blank) continue;
    const struct pl_datum left = pl_datum_of(axle->sheet, thing, axle->left);
    const struct pl_datum right = pl_datum_of(axle->sheet, thing, axle->right);
    corner_row(axle, thing, AT_LEFT, &left);
    corner_row(axle, thing, AT_RIGHT, &right);
  }
}

// ---------------------------------------------------------------- blanks

/// What is to be left of a corner's column for a line to write on and its unit, mm.
#define PEN_ROOM 13.4

/// Width of the widest word of a label, which is not to be broken.
static double widest_word(const struct pl_sheet *sheet, const char *label) {
  double widest = 0;
  for (const char *word = label; *word != '\0'; word += strspn(word, " ")) {
    const size_t length = strcspn(word, " ");
    const double width =
        pl_text_width(pl_copy_text(sheet->arena, word, length), sheet->type.small, false);
    if (width > widest) widest = width;
    word += length;
  }
  return widest;
}

/// Room for the labels of blanks: the layout's, and more for longer words as long as there is
/// room to write.
static double room_of_blanks(const struct axle *axle, const struct pl_column *column) {
  const struct pl_things *const measure = &axle->plan->measure;
  const double usual = axle->layout->corner_shape.label + 2.6;
  double widest = usual;
  for (size_t i = 0; i < measure->count; i++) {
    const struct pl_thing *const thing = &measure->items[i];
    if (thing->kind == PL_THING_EXTRAS || thing->kind == PL_THING_BALLAST) continue;
    const double width = widest_word(axle->sheet, pl_thing_label(axle->sheet->plan, thing));
    if (width > widest) widest = width;
  }
  const double most = column->width - PEN_ROOM;
  return widest <= most ? widest : most > usual ? most : usual;
}

static void add_blanks(struct axle *axle, size_t at) {
  struct pl_column *const column = &axle->columns[at];
  const struct pl_things *const measure = &axle->plan->measure;
  if (measure->count == 0) return;
  if (column->count > 0) pl_column_cell(axle->sheet, column, 1.2);
  pl_column_title(axle->sheet, column, pl_word(axle->sheet, PL_WORD_MEASURED));
  const double room = room_of_blanks(axle, column);
  for (size_t i = 0; i < measure->count; i++) {
    if (measure->items[i].kind == PL_THING_EXTRAS || measure->items[i].kind == PL_THING_BALLAST)
      continue;
    pl_column_field(axle->sheet, column, &measure->items[i], room);
  }
}

// ---------------------------------------------------------------- an axle

/// A wheel from above.
static void draw_wheel(struct pl_sheet *sheet, double x, double y) {
  pl_draw_rectangle(sheet->page, x, y, 2.4, 6.4, PL_INK_NONE,
                    (struct pl_stroke){.width = 0.35, .ink = PL_INK_BLACK});
}

static void draw_axle(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  const bool front = head->axle == PL_FRONT;
  const struct pl_type bold = {.size = PL_BODY, .bold = true};
  const double middle = sheet->left + sheet->width / 2;
  const double y = sheet->y + 0.6;
  const double line = y + 3.2;
  const double base = line + pl_text_metrics(PL_BODY, true).cap_height / 2;
  const char *const left = pl_word_of_place(sheet, front ? PL_FRONT_LEFT : PL_REAR_LEFT);
  const char *const right = pl_word_of_place(sheet, front ? PL_FRONT_RIGHT : PL_REAR_RIGHT);
  const char *const name = pl_word_of_place(sheet, head->axle);
  const char *const axle = again ? pl_word_with(sheet, PL_WORD_CONTINUED, name, NULL) : name;
  const struct pl_stroke thin = {.width = 0.35, .ink = PL_INK_BLACK};
  const double half = pl_text_width(axle, PL_BODY, true) / 2 + 2;
  const double corner = sheet->width * head->room;
  struct pl_type type = bold;
  draw_wheel(sheet, sheet->left, y);
  pl_sheet_text(sheet, sheet->left + 4, base, type, left);
  pl_draw_line(sheet->page, sheet->left + corner, line, middle - half, line, thin);
  type.anchor = PL_ANCHOR_CENTRE;
  pl_sheet_text(sheet, middle, base, type, axle);
  pl_draw_line(sheet->page, middle + half, line, sheet->left + sheet->width - corner, line,
               thin);
  type.anchor = PL_ANCHOR_RIGHT;
  pl_sheet_text(sheet, sheet->left + sheet->width - 4, base, type, right);
  draw_wheel(sheet, sheet->left + sheet->width - 2.4, y);
  if (!front || again) return;
  const struct pl_spot nose[] = {
      {middle - 1.6, y - 0.2}, {middle, y - 2}, {middle + 1.6, y - 0.2}};
  pl_draw_polygon(sheet->page, nose, 3, PL_INK_BLACK, (struct pl_stroke){.width = 0});
}

static void draw_axle_of(struct pl_sheet *sheet, const struct pl_template_part *plan,
                         const struct layout *layout, enum pl_place place) {
  struct axle axle = {.sheet = sheet,
                      .plan = plan,
                      .layout = layout,
                      .place = place,
                      .left = place == PL_FRONT ? PL_FRONT_LEFT : PL_REAR_LEFT,
                      .right = place == PL_FRONT ? PL_FRONT_RIGHT : PL_REAR_RIGHT};
  set_columns(&axle);
  add_corners(&axle);
  for (const struct pl_template_part *group = plan->children; group != NULL;
       group = group->next)
    add_group(&axle, group);
  add_blanks(&axle, AT_LEFT);
  add_blanks(&axle, AT_RIGHT);
  const struct pl_flow_head head = {
      .draw = draw_axle, .height = 8.2, .axle = place, .room = layout->corner};
  pl_flow_columns(sheet, axle.columns, COLUMN_COUNT, &head, true);
}

/// The number of rows that the corners of an axle have of their own.
static size_t own_rows(struct pl_sheet *sheet, const struct pl_template_part *plan,
                       enum pl_place left, enum pl_place right) {
  size_t count = plan->corners.count;
  if (sheet->plan->blank) return 0;
  for (const struct pl_template_part *group = plan->children; group != NULL;
       group = group->next) {
    for (size_t i = 0; i < group->show.count; i++) {
      const struct pl_thing *const thing = &group->show.items[i];
      if (pl_thing_scope(thing) != PL_SCOPE_CORNER) continue;
      const struct pl_datum one = pl_datum_of(sheet, thing, left);
      const struct pl_datum other = pl_datum_of(sheet, thing, right);
      if (!pl_datum_equal(&one, &other)) count++;
    }
  }
  return count;
}

void pl_plan_draw(struct pl_sheet *sheet, const struct pl_template_part *plan) {
  const bool many = own_rows(sheet, plan, PL_FRONT_LEFT, PL_FRONT_RIGHT) >= MANY_ROWS ||
                    own_rows(sheet, plan, PL_REAR_LEFT, PL_REAR_RIGHT) >= MANY_ROWS;
  const struct layout *const layout = many ? &uneven : &even;
  pl_flow_gap(sheet, 2);
  draw_axle_of(sheet, plan, layout, PL_FRONT);
  const struct pl_template_part middle = {.kind = PL_PAGE_SECTION,
                                          .title = pl_word(sheet, PL_WORD_WHOLE_CAR),
                                          .columns = 4,
                                          .show = plan->middle};
  pl_section_draw(sheet, &middle);
  draw_axle_of(sheet, plan, layout, PL_REAR);
}
