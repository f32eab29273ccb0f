// SPDX-License-Identifier: GPL-3.0-or-later
// Sections: settings and figures in columns; sections beside each other.
#include "room.h"

/// Between columns, mm.
#define GUTTER 2.4
/// Share of a row's width that its label takes.
static struct pl_row_shape shape_for(const struct pl_sheet *sheet, double width,
                                     const struct pl_thing *thing) {
  return (struct pl_row_shape){.label = width < 50 ? 17 : 21,
                               .point = width < 50 ? 4.8 : 5.6,
                               .large = pl_things_have(&sheet->plan->large, thing)};
}

/// Rows of what has no key of its own.
static void add_datums(struct pl_sheet *sheet, struct pl_column *column,
                       const struct pl_datum *datums, size_t count,
                       const struct pl_thing *thing) {
  for (size_t i = 0; i < count; i++)
    pl_column_row(sheet, column, &datums[i], shape_for(sheet, column->width, thing));
}

/// A bit for each place of a scope.
static unsigned all_places(enum pl_scope scope) {
  unsigned places = 0;
  for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
    places |= 1u << place;
  return places;
}

/// A thing of corners or axles outside the plan: a row for each set of places that agree.
static void add_folded(struct pl_sheet *sheet, struct pl_column *column,
                       const struct pl_thing *thing) {
  const enum pl_scope scope = pl_thing_scope(thing);
  unsigned spent = 0;
  for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
    struct pl_datum datum = pl_datum_of(sheet, thing, (enum pl_place)place);
    if (!datum.shown || (spent & (1u << place)) != 0) continue;
    unsigned same = 0;
    for (int other = place; other <= (int)pl_last_place(scope); other++) {
      const struct pl_datum there = pl_datum_of(sheet, thing, (enum pl_place)other);
      if (pl_datum_equal(&datum, &there)) same |= 1u << other;
    }
    spent |= same;
    if (scope != PL_SCOPE_CAR && same != all_places(scope))
      datum.label =
          pl_format(sheet->arena, "%s, %s", datum.label, pl_word_of_places(sheet, same));
    pl_column_row(sheet, column, &datum, shape_for(sheet, column->width, thing));
    pl_column_notes(sheet, column, 3.4, &datum);
  }
}

bool pl_things_shown(struct pl_sheet *sheet, const struct pl_things *things) {
  for (size_t i = 0; sheet->plan->blank && i < things->count; i++) {
    if (pl_thing_is_written(&things->items[i])) return true;
  }
  if (sheet->plan->blank) return false;
  for (size_t i = 0; i < things->count; i++) {
    const struct pl_thing *const thing = &things->items[i];
    const enum pl_scope scope = pl_thing_scope(thing);
    size_t count = 0;
    if (thing->kind == PL_THING_EXTRAS) pl_datums_of_extras(sheet, &count);
    if (thing->kind == PL_THING_BALLAST) pl_datums_of_ballast(sheet, &count);
    if (count > 0) return true;
    if (thing->kind == PL_THING_EXTRAS || thing->kind == PL_THING_BALLAST) continue;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      if (pl_datum_of(sheet, thing, (enum pl_place)place).shown) return true;
    }
  }
  return false;
}

/// A row of a form. What the heading knows of the car and its driver is filled in.
static void add_field(struct pl_sheet *sheet, struct pl_column *column,
                      const struct pl_thing *thing) {
  const double room = shape_for(sheet, column->width, thing).label;
  if (thing->kind == PL_THING_SETTING && pl_thing_scope(thing) == PL_SCOPE_CAR &&
      pl_things_have(&sheet->plan->heading, thing)) {
    const struct pl_datum datum = pl_datum_of(sheet, thing, PL_CAR);
    if (datum.shown) {
      pl_column_filled(sheet, column, &datum, room);
      return;
    }
  }
  if (pl_thing_is_written(thing)) pl_column_field(sheet, column, thing, room);
}

void pl_column_things(struct pl_sheet *sheet, struct pl_column *column,
                      const struct pl_things *things) {
  for (size_t i = 0; i < things->count; i++) {
    const struct pl_thing *const thing = &things->items[i];
    size_t count = 0;
    pl_thing_done(sheet, thing);
    if (sheet->plan->blank) {
      add_field(sheet, column, thing);
    } else if (thing->kind == PL_THING_EXTRAS) {
      const struct pl_datum *const datums = pl_datums_of_extras(sheet, &count);
      add_datums(sheet, column, datums, count, thing);
    } else if (thing->kind == PL_THING_BALLAST) {
      const struct pl_datum *const datums = pl_datums_of_ballast(sheet, &count);
      add_datums(sheet, column, datums, count, thing);
    } else {
      add_folded(sheet, column, thing);
    }
  }
}

void pl_columns_deal(struct pl_sheet *sheet, const struct pl_column *all,
                     struct pl_column *columns, size_t count) {
  const double share = pl_column_height(all) / (double)count;
  size_t at = 0;
  double height = 0;
  for (size_t i = 0; i < all->count; i++) {
    const double middle = height + all->cells[i].height / 2;
    if (!all->cells[i].joined && middle > share * (double)(at + 1) && at + 1 < count) at++;
    *pl_column_cell(sheet, &columns[at], 0) = all->cells[i];
    height += all->cells[i].height;
  }
}

/// A section's title in lines, as it stands over its first page or over a further one.
static struct pl_column title_of(struct pl_sheet *sheet, const char *title, bool again) {
  struct pl_column column = {.width = sheet->width};
  pl_column_title(sheet, &column,
                  again ? pl_word_with(sheet, PL_WORD_CONTINUED, title, NULL) : title);
  return column;
}

static void draw_title(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  const struct pl_column column = title_of(sheet, head->title, again);
  double y = sheet->y;
  pl_draw_line(sheet->page, sheet->left, y, sheet->left + sheet->width, y,
               (struct pl_stroke){.width = 0.25, .ink = PL_INK_BLACK});
  for (size_t i = 0; i < column.count; i++) {
    const struct pl_cell *const cell = &column.cells[i];
    for (size_t j = 0; j < cell->count; j++)
      pl_draw_text(sheet->page, sheet->left, y + cell->pieces[j].y, cell->pieces[j].type,
                   cell->pieces[j].text);
    y += cell->height;
  }
}

void pl_section_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  const size_t count = part->columns;
  const double width = (sheet->width - GUTTER * (double)(count - 1)) / (double)count;
  struct pl_column all = {.width = width};
  pl_column_things(sheet, &all, &part->show);
  if (all.count == 0) return;
  struct pl_column columns[PL_MOST_SECTION_COLUMNS];
  for (size_t i = 0; i < count; i++)
    columns[i] = (struct pl_column){.x = (width + GUTTER) * (double)i, .width = width};
  pl_columns_deal(sheet, &all, columns, count);
  if (part->title[0] == '\0') {
    pl_flow_columns(sheet, columns, count, NULL, true);
    return;
  }
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  const struct pl_column title = title_of(sheet, part->title, true);
  const struct pl_flow_head head = {
      .draw = draw_title, .height = pl_column_height(&title), .title = part->title};
  pl_flow_columns(sheet, columns, count, &head, true);
}

/// Has a part within `beside` something to show?
static bool is_shown(struct pl_sheet *sheet, const struct pl_template_part *part) {
  if (part->kind == PL_PAGE_SECTION) return pl_things_shown(sheet, &part->show);
  return part->kind == PL_PAGE_PLOT || part->heading_count > 0;
}

static void add_part(struct pl_sheet *sheet, struct pl_column *column,
                     const struct pl_template_part *part) {
  if (part->kind == PL_PAGE_PLOT) {
    pl_column_plot(sheet, column, part);
  } else if (part->kind == PL_PAGE_SECTION) {
    pl_column_title(sheet, column, part->title);
    pl_column_things(sheet, column, &part->show);
  } else {
    pl_column_remarks(sheet, column, part);
  }
}

void pl_beside_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  size_t count = 0;
  struct pl_column columns[PL_MOST_SECTION_COLUMNS];
  for (const struct pl_template_part *one = part->children; one != NULL; one = one->next) {
    if (is_shown(sheet, one) && count < PL_MOST_SECTION_COLUMNS) count++;
  }
  if (count == 0) return;
  const double width = (sheet->width - GUTTER * (double)(count - 1)) / (double)count;
  size_t at = 0;
  for (const struct pl_template_part *one = part->children; one != NULL; one = one->next) {
    if (!is_shown(sheet, one)) continue;
    // More parts than there is room for stand below each other in the last column.
    struct pl_column *const column = &columns[at < count ? at : count - 1];
    if (at < count)
      *column = (struct pl_column){.x = (width + GUTTER) * (double)at, .width = width};
    add_part(sheet, column, one);
    at++;
  }
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, columns, count, NULL, true);
}
