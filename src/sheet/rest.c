// SPDX-License-Identifier: GPL-3.0-or-later
// The full list: every setting and every figure that stood nowhere before, in a table with a
// column for each corner, and what the parts are made of.
#include <string.h>

#include "room.h"

/// Room of the label, mm.
#define LABEL 40.0
/// The same in a narrow table, mm.
#define NARROW_LABEL 31.0
/// From a narrow column's left edge to its decimal point, mm.
#define NARROW_POINT 4.3
/// Left of each value, for the bar of a change, mm.
#define BAR_ROOM 1.0
/// Right of each column, mm.
#define GUTTER 0.4
/// The least between a label and a value, mm.
#define LABEL_GAP 0.6
/// Between two narrow tables, mm.
#define HALF_GUTTER 3.0
#define CORNERS     4
/// How far the labels of figures stand in, mm.
#define INDENT 1.4
/// A row that is higher goes into lines of its own, mm.
#define HIGHEST_ROW 38.0

/// The table in the making.
struct table {
  struct pl_sheet *sheet;
  struct pl_column column;
  double label; ///< room of the label, mm
  double step;  ///< from one corner's column to the next, mm
  bool narrow;  ///< units stand behind the labels
};

/// The value of each corner's column: that of its corner, its axle or the car.
static void fill(struct pl_sheet *sheet, const struct pl_thing *thing,
                 struct pl_datum datums[CORNERS]) {
  for (int corner = 0; corner < CORNERS; corner++)
    datums[corner] =
        pl_datum_of(sheet, thing, pl_place_at((enum pl_place)corner, pl_thing_scope(thing)));
}

/// The number of columns from `from` on that have the same.
static size_t span_from(const struct pl_datum datums[CORNERS], size_t from) {
  size_t count = 1;
  while (from + count < CORNERS && pl_datum_equal(&datums[from], &datums[from + count]))
    count++;
  // Front and rear are two pairs: three alike read as a pair and one.
  if (from % 2 == 0 && count == 3) count = 2;
  if (from % 2 == 1) count = 1;
  return count;
}

/// The label, in a narrow table with the unit behind it, which then leaves the values.
static const char *label_of_row(const struct table *table, struct pl_datum datums[CORNERS]) {
  const char *unit = "";
  for (size_t i = 0; table->narrow && i < CORNERS; i++) {
    if (datums[i].shown && datums[i].unit[0] != '\0') unit = datums[i].unit;
    datums[i].unit = "";
  }
  if (unit[0] == '\0') return datums[0].label;
  return pl_format(table->sheet->arena, "%s, %s", datums[0].label, unit);
}

/// Where the decimal points of a cell over `span` columns stand: in its middle.
static double point_of(const struct table *table, size_t span) {
  const double beside = table->narrow ? NARROW_POINT : table->step / 2 - 4;
  return beside + table->step * (double)(span - 1) / 2;
}

static bool has_digits_alone(const char *text) {
  const char *const digits = strncmp(text, "−", strlen("−")) == 0 ? text + strlen("−") : text;
  return strspn(digits, "0123456789.") == strlen(digits);
}

/// How far a text has to go in to stand in the middle of its cell; numbers and what does not
/// fit stay.
static double centring(const struct pl_sheet *sheet, const struct pl_datum *datum,
                       double width) {
  if (datum->changed || has_digits_alone(datum->text)) return 0;
  const double free = width - pl_text_width(datum->text, sheet->type.body, false) - 1;
  return free > 0 ? free / 2 : 0;
}

/// The same for a datum; words keep to no point.
static double point_for(const struct table *table, size_t span, const struct pl_datum *datum) {
  return has_digits_alone(datum->text) ? point_of(table, span) : -1;
}

/// The width of a cell, less where a figure has moved: how far it did stands behind its value,
/// and not under the name of another corner.
static double close_width(const struct table *table, size_t span, const struct pl_datum *datum,
                          double size, double width) {
  const double point = point_for(table, span, datum);
  if (!datum->is_figure || !datum->changed || point < 0) return width;
  const char *const fraction = strchr(datum->text, '.');
  const double needed =
      point + (fraction == NULL ? 0 : pl_text_width(fraction, size, false)) +
      (datum->unit[0] == '\0'
           ? 0
           : 1.2 + pl_text_width(datum->unit, table->sheet->type.small, false)) +
      1.2 + pl_text_width(datum->delta, table->sheet->type.small, true);
  return needed < width ? needed : width;
}

/// One thing as a row: equal neighbours share a cell that reaches over their columns.
static void add_row(struct table *table, const struct pl_thing *thing) {
  struct pl_sheet *const sheet = table->sheet;
  struct pl_datum datums[CORNERS];
  fill(sheet, thing, datums);
  sheet->where = datums[0].span;
  bool any = false;
  for (size_t i = 0; i < CORNERS; i++) any = any || datums[i].shown;
  if (!any) return;
  struct pl_cell *const cell = pl_column_cell(sheet, &table->column, 0);
  const bool is_figure = thing->kind == PL_THING_FIGURE;
  const double size = is_figure ? sheet->type.computed : sheet->type.body;
  const double down = pl_line_base(size) - pl_line_base(sheet->type.small);
  sheet->what = pl_format(sheet->arena, "`%s`", datums[0].label);
  const double start = is_figure ? INDENT : 0;
  const double label =
      down + pl_label_lines(sheet, cell, start, down, table->label - LABEL_GAP - start,
                            label_of_row(table, datums));
  cell->height = label > pl_line_height(size) ? label : pl_line_height(size);
  for (size_t i = 0; i < CORNERS;) {
    const size_t span = span_from(datums, i);
    const double x = table->label + table->step * (double)i;
    const double width = table->step * (double)span - GUTTER;
    const double inset = BAR_ROOM + centring(sheet, &datums[i], width - BAR_ROOM);
    sheet->where = datums[i].span;
    double height = 0;
    if (datums[i].shown)
      height = pl_value_pieces(
          sheet, cell, x + inset, 0,
          close_width(table, span, &datums[i], size, width - 2 * inset + BAR_ROOM),
          point_for(table, span, &datums[i]), &datums[i], size);
    if (datums[i].changed && !datums[i].is_figure) pl_cell_bar(sheet, cell, x - 0.4, 0, height);
    if (height > cell->height) cell->height = height;
    i += span;
  }
  cell->height += 0.25 * sheet->type.air;
  cell->rule = true;
  if (is_figure) pl_cell_stem(sheet, cell, 0.3);
  for (size_t i = span_from(datums, 0); i < CORNERS; i += span_from(datums, i))
    pl_cell_fence(sheet, cell, table->label + table->step * (double)i - GUTTER / 2);
  if (cell->height > HIGHEST_ROW) {
    const struct pl_things one = {.items = (struct pl_thing *)thing, .count = 1};
    table->column.count--;
    pl_column_things(sheet, &table->column, &one);
    return;
  }
  for (size_t i = 0; i < CORNERS; i++)
    pl_column_notes(sheet, &table->column, table->narrow ? 1.8 : table->label, &datums[i]);
}

/// What stands over a table: the names of corners over their columns, and between them, where
/// a value stands that both share, the names of axles and of all.
#define NAMES (2 * CORNERS - 1)

/// The names over one table that starts at `x`; the first stands `at` mm into its column.
static void draw_names(struct pl_sheet *sheet, double x, double step, double at,
                       const enum pl_word words[NAMES]) {
  const struct pl_type type = {
      .size = sheet->type.small, .ink = PL_INK_GREY, .anchor = PL_ANCHOR_CENTRE};
  for (size_t i = 0; i < NAMES; i++)
    pl_sheet_text(sheet, x + step / 2 * (double)i + at,
                  sheet->y + pl_line_base(sheet->type.body), type, pl_word(sheet, words[i]));
}

/// A table's title in lines, as it stands over its first page or over a further one.
static struct pl_column title_of(struct pl_sheet *sheet, const char *title, bool again) {
  struct pl_column column = {.width = sheet->width};
  pl_column_paragraph(sheet, &column, 0,
                      (struct pl_type){.size = sheet->type.body, .bold = true},
                      again ? pl_word_with(sheet, PL_WORD_CONTINUED, title, NULL) : title);
  return column;
}

/// Draws the title; one that has no room beside the names of the columns moves them on.
static void draw_title(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  const struct pl_column column = title_of(sheet, head->title, again);
  double y = sheet->y;
  double widest = 0;
  pl_draw_line(sheet->page, sheet->left, y, sheet->left + sheet->width, y,
               (struct pl_stroke){.width = 0.25, .ink = PL_INK_BLACK});
  for (size_t i = 0; i < column.count; i++) {
    const struct pl_piece *const line = &column.cells[i].pieces[0];
    const double width = pl_text_width(line->text, line->type.size, line->type.bold);
    pl_sheet_text(sheet, sheet->left, y + line->y, line->type, line->text);
    y += column.cells[i].height;
    if (width > widest) widest = width;
  }
  if (column.count > 1 || widest > head->room) sheet->y = y;
}

static void draw_head(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  static const enum pl_word words[NAMES] = {
      PL_WORD_FRONT_LEFT, PL_WORD_FRONT, PL_WORD_FRONT_RIGHT, PL_WORD_ALL,
      PL_WORD_REAR_LEFT,  PL_WORD_REAR,  PL_WORD_REAR_RIGHT};
  draw_title(sheet, head, again);
  const double step = (sheet->width - LABEL) / CORNERS;
  draw_names(sheet, sheet->left + LABEL, step, step / 2, words);
}

static double half_width(const struct pl_sheet *sheet) {
  return (sheet->width - HALF_GUTTER) / 2;
}

static void draw_narrow_head(struct pl_sheet *sheet, const struct pl_flow_head *head,
                             bool again) {
  static const enum pl_word words[NAMES] = {
      PL_WORD_BRIEF_FRONT_LEFT, PL_WORD_FRONT, PL_WORD_BRIEF_FRONT_RIGHT, PL_WORD_ALL,
      PL_WORD_BRIEF_REAR_LEFT,  PL_WORD_REAR,  PL_WORD_BRIEF_REAR_RIGHT};
  const double width = half_width(sheet);
  draw_title(sheet, head, again);
  for (size_t half = 0; half < 2; half++)
    draw_names(sheet, sheet->left + (double)half * (width + HALF_GUTTER) + NARROW_LABEL,
               (width - NARROW_LABEL) / CORNERS, BAR_ROOM + NARROW_POINT, words);
}

/// A table over the whole width, or a narrow one in two halves beside each other.
static void draw_table(struct table *table, const char *title) {
  if (table->column.count == 0) return;
  struct pl_sheet *const sheet = table->sheet;
  const double width = half_width(sheet);
  struct pl_column halves[2] = {{.width = width}, {.x = width + HALF_GUTTER, .width = width}};
  const struct pl_column lines = title_of(sheet, title, true);
  const enum pl_word first = table->narrow ? PL_WORD_BRIEF_FRONT_LEFT : PL_WORD_FRONT_LEFT;
  const double name = pl_text_width(pl_word(sheet, first), sheet->type.small, false);
  const double at = table->narrow ? BAR_ROOM + NARROW_POINT : table->step / 2;
  const struct pl_flow_head head = {.draw = table->narrow ? draw_narrow_head : draw_head,
                                    .height = pl_line_height(sheet->type.body) + 0.3,
                                    .title = title,
                                    .room = table->label + at - name / 2 - LABEL_GAP,
                                    .more = pl_column_height(&lines)};
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  if (!table->narrow) {
    pl_flow_columns(sheet, &table->column, 1, &head, false);
    return;
  }
  pl_columns_deal(sheet, &table->column, halves, 2);
  pl_flow_columns(sheet, halves, 2, &head, true);
}

// ---------------------------------------------------------------- what is left

/// What is left of the settings, or of the figures.
static struct pl_things left_over(struct pl_sheet *sheet, bool figures, bool of_car) {
  struct pl_things things = {.items = pl_alloc_array(sheet->arena,
                                                     PL_SETTING_COUNT + PL_FIGURE_COUNT,
                                                     sizeof *things.items)};
  for (int i = 0; i < (figures ? (int)PL_FIGURE_COUNT : (int)PL_SETTING_COUNT); i++) {
    if (figures ? sheet->figure_done[i] : sheet->setting_done[i]) continue;
    if (!figures && pl_settings[i].owner != PL_BLOCK_SETUP) continue;
    const struct pl_thing thing = figures ? pl_thing_of_figure((enum pl_figure)i)
                                          : pl_thing_of_setting((enum pl_setting)i);
    if ((pl_thing_scope(&thing) == PL_SCOPE_CAR) == of_car)
      things.items[things.count++] = thing;
  }
  return things;
}

/// Is the setting a number, so that it fits a narrow column?
static bool is_number(const struct pl_thing *thing) {
  const enum pl_setting_type type = pl_settings[thing->setting].type;
  return type == PL_TYPE_NUMBER || type == PL_TYPE_COUNT;
}

static struct table new_table(struct pl_sheet *sheet, bool narrow) {
  const double width = narrow ? half_width(sheet) : sheet->width;
  const double label = narrow ? NARROW_LABEL : LABEL;
  return (struct table){.sheet = sheet,
                        .column = {.width = width},
                        .label = label,
                        .step = (width - label) / CORNERS,
                        .narrow = narrow};
}

/// What belongs to corners and axles: numbers in a narrow table, the rest in a wide one.
static void draw_of_corners(struct pl_sheet *sheet) {
  struct table numbers = new_table(sheet, true);
  struct table others = new_table(sheet, false);
  const struct pl_things settings = left_over(sheet, false, false);
  const struct pl_things figures = left_over(sheet, true, false);
  for (size_t i = 0; i < settings.count; i++) {
    const struct pl_thing *const thing = &settings.items[i];
    add_row(is_number(thing) ? &numbers : &others, thing);
    pl_thing_done(sheet, thing);
  }
  for (size_t i = 0; i < figures.count; i++) {
    add_row(&numbers, &figures.items[i]);
    pl_thing_done(sheet, &figures.items[i]);
  }
  draw_table(&numbers, pl_word(sheet, PL_WORD_FURTHER));
  draw_table(&others, pl_word(sheet, PL_WORD_POINTS_AND_NAMES));
}

static void draw_of_car(struct pl_sheet *sheet) {
  struct pl_things things = left_over(sheet, false, true);
  const struct pl_things figures = left_over(sheet, true, true);
  struct pl_thing *const all =
      pl_alloc_array(sheet->arena, things.count + figures.count + 2, sizeof *all);
  size_t count = 0;
  for (size_t i = 0; i < things.count; i++) all[count++] = things.items[i];
  for (size_t i = 0; i < figures.count; i++) all[count++] = figures.items[i];
  if (!sheet->ballast_done) all[count++] = (struct pl_thing){.kind = PL_THING_BALLAST};
  if (!sheet->extras_done) all[count++] = (struct pl_thing){.kind = PL_THING_EXTRAS};
  const struct pl_template_part part = {.kind = PL_PAGE_SECTION,
                                        .title = pl_word(sheet, PL_WORD_FURTHER_OF_CAR),
                                        .columns = 4,
                                        .show = {.items = all, .count = count}};
  pl_section_draw(sheet, &part);
}

// ---------------------------------------------------------------- parts

/// A part as a setting prints it: by its name, or by its value.
static const char *part_name(const struct pl_sheet *sheet, const struct pl_part *part) {
  const struct pl_value value = {.kind = PL_VALUE_PART, .part = part};
  return pl_print_setting(sheet->arena, PL_SETTING_SPRING, &value, sheet->request->system).text;
}

/// What a part is made of, in a sentence. All springs of a stack carry the whole force.
static const char *part_words(struct pl_sheet *sheet, const struct pl_part *part) {
  struct pl_buffer words = {.arena = sheet->arena};
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner != part->kind) continue;
    const struct pl_resolved *const resolved = pl_part_get(part, (enum pl_setting)i);
    if (!resolved->given || resolved->value.kind == PL_VALUE_NONE) continue;
    const struct pl_printed printed = pl_print_setting(
        sheet->arena, (enum pl_setting)i, &resolved->value, sheet->request->system);
    const struct pl_thing thing = pl_thing_of_setting((enum pl_setting)i);
    const char *const text = pl_word_of_setting(
        sheet, thing.setting, pl_paper_number(sheet->arena, thing.setting, printed.text));
    pl_buffer_format(&words, "%s%s %s%s%s", words.length == 0 ? "" : "; ",
                     pl_thing_label(sheet->plan, &thing), text,
                     printed.unit[0] == '\0' ? "" : " ", printed.unit);
  }
  for (size_t i = 0; i < part->share_count; i++) {
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : "; ",
                     part_name(sheet, part->shares[i].part));
    if (part->kind != PL_BLOCK_SPRING)
      pl_buffer_format(&words, " %.4g %%", part->shares[i].share * 100);
  }
  return pl_buffer_string(&words);
}

/// Adds a part that has a name, or is blended, once.
static void add_part(struct pl_sheet *sheet, struct pl_column *column, struct pl_map *listed,
                     const struct pl_part *part) {
  if (part == NULL || part->kind == PL_BLOCK_CAR || (!part->named && part->share_count == 0))
    return;
  const char *const key =
      pl_format(sheet->arena, "%s %s", pl_block_kind_name(part->kind), part->name);
  if (pl_map_set(listed, key, column) != NULL) return;
  const char *const words = part_words(sheet, part);
  if (words[0] == '\0') return;
  const struct pl_datum datum = {.label =
                                     pl_word_of_part(sheet, part->kind, part_name(sheet, part)),
                                 .text = words,
                                 .unit = "",
                                 .before = "",
                                 .delta = "",
                                 .shown = true,
                                 .span = part->span};
  pl_column_row(sheet, column, &datum,
                (struct pl_row_shape){.label = LABEL - 2.5, .small = true});
  for (size_t i = 0; i < part->share_count; i++)
    add_part(sheet, column, listed, part->shares[i].part);
}

static void draw_parts(struct pl_sheet *sheet) {
  struct pl_column column = {.width = sheet->width};
  struct pl_map *const listed = pl_map_new(sheet->arena);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner != PL_BLOCK_SETUP || pl_settings[i].type != PL_TYPE_PART) continue;
    const enum pl_scope scope = pl_settings[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
      add_part(sheet, &column, listed,
               pl_setup_part(sheet->setup, (enum pl_setting)i, (enum pl_place)place));
  }
  if (column.count == 0) return;
  struct pl_column titled = {.width = sheet->width};
  pl_column_title(sheet, &titled, pl_word(sheet, PL_WORD_PARTS));
  for (size_t i = 0; i < column.count; i++)
    *pl_column_cell(sheet, &titled, 0) = column.cells[i];
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, &titled, 1, NULL, false);
}

void pl_rest_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  if (sheet->plan->blank) return;
  if (!sheet->setting_done[PL_SETTING_NOTES]) pl_notes_draw(sheet, part);
  draw_of_corners(sheet);
  draw_of_car(sheet);
  draw_parts(sheet);
}
