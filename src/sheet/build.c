// SPDX-License-Identifier: GPL-3.0-or-later
// The shocks of a build sheet: a column for each that differs, and in it what the template
// names, in its order.
#include <string.h>

#include "room.h"

/// Between columns, mm.
#define GUTTER  3.2
#define CORNERS 4

/// The corners that share a column.
struct group {
  enum pl_place corner; ///< the first of them
  unsigned places;      ///< a bit for each
  size_t count;
};

// ---------------------------------------------------------------- which shocks are alike

/// What makes two shocks different, whatever the template shows.
static const enum pl_setting makings[] = {
    PL_SETTING_DAMPER,  PL_SETTING_PISTON,  PL_SETTING_PISTON_THICKNESS, PL_SETTING_OIL,
    PL_SETTING_SPRING,  PL_SETTING_LIMITER, PL_SETTING_REBOUND,          PL_SETTING_BUMP_SPACER,
    PL_SETTING_PRELOAD, PL_SETTING_COLLAR};

static bool agrees(struct pl_sheet *sheet, const struct pl_thing *thing, enum pl_place one,
                   enum pl_place other) {
  const enum pl_scope scope = pl_thing_scope(thing);
  const struct pl_datum a = pl_datum_of(sheet, thing, pl_place_at(one, scope));
  const struct pl_datum b = pl_datum_of(sheet, thing, pl_place_at(other, scope));
  return pl_datum_equal(&a, &b);
}

static bool is_of_places(const struct pl_thing *thing) {
  return thing->kind != PL_THING_EXTRAS && thing->kind != PL_THING_BALLAST;
}

static bool are_alike(struct pl_sheet *sheet, const struct pl_template_part *shocks,
                      enum pl_place one, enum pl_place other) {
  for (size_t i = 0; i < sizeof makings / sizeof makings[0]; i++) {
    const struct pl_thing thing = pl_thing_of_setting(makings[i]);
    if (!agrees(sheet, &thing, one, other)) return false;
    if (pl_settings[makings[i]].type == PL_TYPE_PART &&
        !pl_value_equal(&pl_setup_get(sheet->setup, makings[i], one)->value,
                        &pl_setup_get(sheet->setup, makings[i], other)->value))
      return false;
  }
  for (const struct pl_template_part *part = shocks->children; part != NULL;
       part = part->next) {
    for (size_t i = 0; i < part->show.count; i++) {
      const struct pl_thing *const thing = &part->show.items[i];
      if (is_of_places(thing) && !agrees(sheet, thing, one, other)) return false;
    }
  }
  return true;
}

/// Does the setup say anything of this corner's shock?
static bool has_shock(struct pl_sheet *sheet, enum pl_place corner) {
  for (size_t i = 0; i < sizeof makings / sizeof makings[0]; i++) {
    if (pl_setup_get(sheet->setup, makings[i], corner)->given) return true;
  }
  return false;
}

static size_t group_corners(struct pl_sheet *sheet, const struct pl_template_part *shocks,
                            struct group groups[CORNERS]) {
  size_t count = 0;
  for (int corner = PL_FRONT_LEFT; corner <= PL_REAR_RIGHT; corner++) {
    if (!has_shock(sheet, (enum pl_place)corner)) continue;
    size_t at = 0;
    while (at < count && !are_alike(sheet, shocks, groups[at].corner, (enum pl_place)corner))
      at++;
    if (at == count) groups[count++] = (struct group){.corner = (enum pl_place)corner};
    groups[at].places |= 1u << corner;
    groups[at].count++;
  }
  return count;
}

// ---------------------------------------------------------------- a column

static struct pl_row_shape shape_for(const struct pl_sheet *sheet, double width,
                                     const struct pl_thing *thing) {
  return (struct pl_row_shape){.label = width < 50   ? 16
                                        : width < 70 ? 22
                                                     : 30,
                               .point = width < 50 ? 4.4 : 5.6,
                               .large = pl_things_have(&sheet->plan->large, thing),
                               .stack = true};
}

static void add_section(struct pl_sheet *sheet, struct pl_column *column,
                        const struct pl_template_part *part, enum pl_place corner) {
  const size_t before = column->count;
  pl_column_title(sheet, column, part->title);
  const size_t titled = column->count;
  for (size_t i = 0; i < part->show.count; i++) {
    const struct pl_thing *const thing = &part->show.items[i];
    pl_thing_done(sheet, thing);
    if (!is_of_places(thing)) continue;
    const struct pl_datum datum =
        pl_datum_of(sheet, thing, pl_place_at(corner, pl_thing_scope(thing)));
    if (!datum.shown) continue;
    pl_column_row(sheet, column, &datum, shape_for(sheet, column->width, thing));
    pl_column_notes(sheet, column, 3.4, &datum);
  }
  if (column->count == titled)
    column->count = before;
  else
    column->cells[titled].rule = false;
}

static void add_drawing(struct pl_sheet *sheet, struct pl_column *column,
                        const struct pl_template_part *part, enum pl_place corner) {
  const char *lacks = "";
  const struct pl_page *const picture =
      part->drawing == PL_DRAWING_PISTON
          ? pl_piston_picture(sheet, corner, column->width, part->scale, &lacks)
          : pl_shock_picture(sheet, corner, column->width, part->height, &lacks);
  pl_column_title(sheet, column, part->title);
  if (picture != NULL)
    pl_cell_picture(sheet, pl_column_cell(sheet, column, 0), 0, 0.6, picture);
  else
    pl_column_paragraph(sheet, column, 0,
                        (struct pl_type){.size = sheet->type.small, .ink = PL_INK_GREY}, lacks);
}

static void add_part(struct pl_sheet *sheet, struct pl_column *column,
                     const struct pl_template_part *part, enum pl_place corner) {
  switch (part->kind) {
  case PL_PAGE_SECTION: add_section(sheet, column, part, corner); break;
  case PL_PAGE_DRAWING: add_drawing(sheet, column, part, corner); break;
  case PL_PAGE_ASSEMBLY: pl_column_assembly(sheet, column, part->title, corner); break;
  default:
    if (part->heading_count > 0) pl_column_remarks(sheet, column, part);
  }
}

/// Blank cells under the shorter columns, so that the next part starts level in all of them.
static void level(struct pl_sheet *sheet, struct pl_column *columns, size_t count) {
  double highest = 0;
  for (size_t i = 0; i < count; i++) {
    const double height = pl_column_height(&columns[i]);
    if (height > highest) highest = height;
  }
  for (size_t i = 0; i < count; i++) {
    const double short_of = highest - pl_column_height(&columns[i]);
    pl_column_cell(sheet, &columns[i], short_of + 1.6 * sheet->type.air);
  }
}

/// A part that is longer than this share of a page is cut where the page ends; others go to the
/// next page whole, in all columns alike since they are level.
#define LONGEST_WHOLE 0.8

static void keep_whole(const struct pl_sheet *sheet, struct pl_column *column, size_t first) {
  double height = 0;
  for (size_t i = first; i < column->count; i++) height += column->cells[i].height;
  if (height > LONGEST_WHOLE * (sheet->bottom - sheet->top)) return;
  for (size_t i = first; i + 1 < column->count; i++) column->cells[i].keep = true;
}

/// The next part of the template in all columns.
static void add_row_of_parts(struct pl_sheet *sheet, const struct pl_template_part *part,
                             struct pl_column *columns, const struct group *groups,
                             size_t count) {
  size_t first[CORNERS];
  for (size_t i = 0; i < count; i++) {
    first[i] = columns[i].count;
    add_part(sheet, &columns[i], part, groups[i].corner);
  }
  level(sheet, columns, count);
  for (size_t i = 0; i < count; i++) keep_whole(sheet, &columns[i], first[i]);
}

// ---------------------------------------------------------------- the whole

/// The names over the columns.
struct names {
  struct pl_flow_head head; ///< first, so that one is the other
  const struct pl_column *columns;
  const struct group *groups;
  size_t count;
};

/// "Front left", "Front: 2 alike".
static const char *name_of(struct pl_sheet *sheet, const struct group *group) {
  const char *places = pl_word_of_places(sheet, group->places);
  if (group->count == 1) return pl_word_of_place(sheet, group->corner);
  if (group->places == 0x3) places = pl_word_of_place(sheet, PL_FRONT);
  if (group->places == 0xC) places = pl_word_of_place(sheet, PL_REAR);
  if (group->places == 0xF) places = pl_word_of_place(sheet, PL_CAR);
  return pl_word_with(sheet, PL_WORD_ALIKE, places,
                      pl_format(sheet->arena, "%zu", group->count));
}

static void draw_names(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  const struct names *const names = (const struct names *)head;
  (void)again;
  sheet->what = "the name of a corner";
  for (size_t i = 0; i < names->count; i++) {
    const struct pl_column *const column = &names->columns[i];
    const char *const name = name_of(sheet, &names->groups[i]);
    const double fitting = pl_text_fit(name, PL_BODY + 1, true, column->width);
    pl_sheet_text(sheet, sheet->left + column->x, sheet->y + pl_line_base(PL_BODY + 1),
                  (struct pl_type){.size = fitting > 0 ? fitting : PL_TYPE_FLOOR, .bold = true},
                  name);
  }
}

void pl_shocks_draw(struct pl_sheet *sheet, const struct pl_template_part *shocks) {
  struct group groups[CORNERS] = {{.count = 0}};
  const size_t count = group_corners(sheet, shocks, groups);
  if (count == 0) return;
  struct pl_column columns[CORNERS];
  const double width = (sheet->width - GUTTER * (double)(count - 1)) / (double)count;
  for (size_t i = 0; i < count; i++)
    columns[i] = (struct pl_column){.x = (width + GUTTER) * (double)i, .width = width};
  for (const struct pl_template_part *part = shocks->children; part != NULL; part = part->next)
    add_row_of_parts(sheet, part, columns, groups, count);
  const struct names names = {
      .head = {.draw = draw_names, .height = pl_line_height(PL_BODY + 1) + 0.8},
      .columns = columns,
      .groups = groups,
      .count = count};
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, columns, count, &names.head, true);
}
