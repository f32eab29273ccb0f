// SPDX-License-Identifier: GPL-3.0-or-later
// Lists: blank lines for the day's runs, what changed and what that did, notes.
#include "room.h"

/// Height of a line to write on by hand, mm.
#define WRITING_LINE 6.2
/// The most that stands between the parts of a page, mm.
#define WIDEST_GAP 2.0
/// Between columns, mm.
#define GUTTER 2.4

/// As many lines as the page has room for, if that is at least half of those that are wished;
/// otherwise all of them on the next page.
static size_t lines_that_fit(const struct pl_sheet *sheet, size_t wished) {
  const double room = sheet->bottom - sheet->y - 1.7 - pl_line_height(sheet->type.small);
  for (size_t lines = wished; lines > 0 && lines * 2 >= wished; lines--) {
    if ((double)lines * WRITING_LINE <= room) return lines;
  }
  return wished;
}

void pl_runs_look_beneath(struct pl_sheet *sheet) {
  struct pl_runs *const runs = &sheet->runs;
  if (runs->page != sheet->page || runs->page == NULL || runs->more > 0) return;
  if (sheet->y > runs->end + WIDEST_GAP) return;
  const double spare = sheet->bottom - runs->end;
  const size_t lines = spare < WRITING_LINE ? 0 : (size_t)(spare / WRITING_LINE);
  runs->spare = lines < runs->part->lines ? lines : runs->part->lines;
}

void pl_runs_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  if (part->lines == 0 || part->heading_count == 0) return;
  struct pl_column columns[PL_MOST_RUN_COLUMNS];
  const size_t count = part->heading_count;
  const size_t more = sheet->runs.part == part ? sheet->runs.more : 0;
  const size_t lines = lines_that_fit(sheet, part->lines) + more;
  // The first column is for a number, the last for words.
  const double unit = (sheet->width - GUTTER * (double)(count - 1)) / (double)(count * 2 + 1);
  double x = 0;
  for (size_t i = 0; i < count; i++) {
    const double width = unit * (count == 1 ? 3 : i == 0 ? 1 : i + 1 == count ? 4 : 2);
    columns[i] = (struct pl_column){.x = x, .width = width};
    x += width + GUTTER;
    sheet->where = (struct pl_span){.source = NULL};
    sheet->what = "a heading of the runs";
    pl_column_paragraph(sheet, &columns[i], 0,
                        (struct pl_type){.size = sheet->type.small, .ink = PL_INK_GREY},
                        part->headings[i]);
    columns[i].cells[0].strong_rule = true;
    for (size_t line = 0; line < lines; line++) {
      struct pl_cell *const cell = pl_column_cell(sheet, &columns[i], WRITING_LINE);
      pl_cell_line(sheet, cell, 0, WRITING_LINE - 0.2, width);
    }
  }
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, columns, count, NULL, true);
  if (sheet->runs.more > 0) return;
  sheet->runs = (struct pl_runs){.part = part, .page = sheet->page, .end = sheet->y};
}

/// The lines of a text as wide as `width`.
static const char *const *lines_of(struct pl_sheet *sheet, const char *text, double width,
                                   size_t *count) {
  return pl_text_wrap(sheet->arena, pl_sheet_printable(sheet, text), sheet->type.body, false,
                      width, count);
}

/// What changed, as paper has it.
static const char *cause_of(struct pl_sheet *sheet, const struct pl_effect *effect) {
  const struct pl_wording wording = pl_sheet_wording(sheet);
  if (effect->cause == NULL)
    return pl_word_with(sheet, PL_WORD_MORE_CHANGES,
                        pl_format(sheet->arena, "%zu", effect->move_count), NULL);
  const char *const words = pl_effect_cause(sheet->arena, effect, &wording);
  return pl_change_has_numbers(effect->cause) ? pl_paper_minus(sheet->arena, words) : words;
}

/// What that did; "" where no told figure moved.
static const char *moves_of(struct pl_sheet *sheet, const struct pl_effect *effect) {
  const struct pl_wording wording = pl_sheet_wording(sheet);
  return effect->cause == NULL ? "" : pl_effect_moves(sheet->arena, effect, &wording);
}

/// The sentences of all effects, made once for all drafts of the sheet.
static const struct pl_told *sentences(struct pl_sheet *sheet) {
  const struct pl_comparison *const comparison = sheet->request->comparison;
  if (sheet->told != NULL) return sheet->told;
  sheet->told = pl_alloc_array(sheet->arena, comparison->effect_count, sizeof *sheet->told);
  for (size_t i = 0; i < comparison->effect_count; i++)
    sheet->told[i] = (struct pl_told){cause_of(sheet, &comparison->effects[i]),
                                      moves_of(sheet, &comparison->effects[i])};
  return sheet->told;
}

/// A row of up to so many lines stands on one page: what all corners of a car tell is less.
#define KEPT_LINES 12

/// Cause and effect beside each other; each line is a cell, so that a long list goes over
/// pages.
static void add_effect(struct pl_sheet *sheet, struct pl_column *column, const char *cause,
                       const char *effect) {
  const double half = (column->width - 8) * 0.38;
  const double effects_x = half + 8;
  size_t cause_count = 0;
  size_t effect_count = 0;
  const char *const *const causes = lines_of(sheet, cause, half, &cause_count);
  const char *const *const effects = lines_of(sheet, pl_paper_minus(sheet->arena, effect),
                                              column->width - effects_x, &effect_count);
  const size_t count = cause_count > effect_count ? cause_count : effect_count;
  const struct pl_type type = {.size = sheet->type.body};
  const struct pl_type grey = {.size = sheet->type.body, .ink = PL_INK_GREY};
  for (size_t i = 0; i < count; i++) {
    struct pl_cell *const cell =
        pl_column_cell(sheet, column, pl_line_height(sheet->type.body));
    cell->rule = i == 0;
    cell->keep = count <= KEPT_LINES && i + 1 < count;
    if (i < cause_count) pl_cell_text(sheet, cell, 0, 0, type, causes[i]);
    if (i == 0) pl_cell_text(sheet, cell, half + 2, 0, grey, "→");
    if (i < effect_count) pl_cell_text(sheet, cell, effects_x, 0, type, effects[i]);
  }
}

/// Is the change one of the day and its people, or a note?
static bool is_of_the_day(const struct pl_change *change) {
  static const enum pl_setting of_the_day[] = {
      PL_SETTING_CAR,     PL_SETTING_CLASS,       PL_SETTING_DRIVER, PL_SETTING_ENTRY,
      PL_SETTING_EVENT,   PL_SETTING_TRANSPONDER, PL_SETTING_DATE,   PL_SETTING_TRACK_NAME,
      PL_SETTING_SURFACE, PL_SETTING_GRIP,        PL_SETTING_LAYOUT, PL_SETTING_GROUND,
      PL_SETTING_NOTES};
  for (size_t i = 0; change != NULL && i < sizeof of_the_day / sizeof of_the_day[0]; i++) {
    if (change->setting == of_the_day[i]) return true;
  }
  return false;
}

/// The changes of the day that no told figure follows, in one paragraph.
static const char *words_of_the_day(struct pl_sheet *sheet,
                                    const struct pl_comparison *comparison) {
  struct pl_buffer words = {.arena = sheet->arena};
  const struct pl_told *const told = sentences(sheet);
  for (size_t i = 0; i < comparison->effect_count; i++) {
    if (told[i].moves[0] != '\0' || !is_of_the_day(comparison->effects[i].cause)) continue;
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : ";  ", told[i].cause);
  }
  if (words.length == 0) return "";
  return pl_word_with(sheet, PL_WORD_ALSO, pl_buffer_string(&words), NULL);
}

/// Changes of the setup that no told figure follows, in two columns.
static void draw_plain_changes(struct pl_sheet *sheet, const struct pl_comparison *comparison) {
  const double width = (sheet->width - GUTTER) / 2;
  struct pl_column all = {.width = width};
  struct pl_column halves[2] = {{.width = width}, {.x = width + GUTTER, .width = width}};
  const struct pl_told *const told = sentences(sheet);
  for (size_t i = 0; i < comparison->effect_count; i++) {
    if (told[i].moves[0] != '\0' || is_of_the_day(comparison->effects[i].cause)) continue;
    const size_t first = all.count;
    pl_column_paragraph(sheet, &all, 0, (struct pl_type){.size = sheet->type.body},
                        told[i].cause);
    all.cells[first].rule = true;
    for (size_t j = first; j < all.count; j++) all.cells[j].joined = j > first;
  }
  pl_columns_deal(sheet, &all, halves, 2);
  pl_flow_columns(sheet, halves, 2, NULL, true);
}

void pl_changes_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  (void)part;
  const struct pl_comparison *const comparison = sheet->request->comparison;
  if (comparison == NULL || sheet->plan->blank) return;
  struct pl_column column = {.width = sheet->width};
  sheet->where = pl_setup_span(sheet->setup);
  sheet->what = "what changed";
  pl_column_title(sheet, &column,
                  pl_word_with(sheet, PL_WORD_WHAT_CHANGED,
                               pl_setup_name(pl_figures_setup(comparison->base)), NULL));
  const struct pl_told *const told = sentences(sheet);
  for (size_t i = 0; i < comparison->effect_count; i++) {
    if (told[i].moves[0] != '\0') add_effect(sheet, &column, told[i].cause, told[i].moves);
  }
  if (comparison->effect_count == 0)
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = sheet->type.body},
                        pl_word(sheet, PL_WORD_NOTHING_CHANGED));
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  // Also where the title's own list is empty, something stands beneath it.
  if (sheet->y + pl_line_height(PL_BODY) * 3 > sheet->bottom) pl_flow_page(sheet);
  pl_flow_columns(sheet, &column, 1, NULL, false);
  draw_plain_changes(sheet, comparison);
  const char *const others = words_of_the_day(sheet, comparison);
  if (others[0] == '\0') return;
  struct pl_column last = {.width = sheet->width};
  pl_column_paragraph(sheet, &last, 0, (struct pl_type){.size = sheet->type.small}, others);
  last.cells[0].rule = true;
  pl_flow_columns(sheet, &last, 1, NULL, false);
}

/// Lines on which notes are written by hand.
#define NOTE_LINES 3

static void draw_note_lines(struct pl_sheet *sheet, const char *title) {
  struct pl_column column = {.width = sheet->width};
  pl_column_title(sheet, &column, title);
  for (size_t i = 0; i < NOTE_LINES; i++)
    pl_cell_line(sheet, pl_column_cell(sheet, &column, WRITING_LINE), 0, WRITING_LINE - 0.2,
                 column.width);
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

void pl_notes_draw(struct pl_sheet *sheet, const struct pl_template_part *part) {
  (void)part;
  const struct pl_thing thing = pl_thing_of_setting(PL_SETTING_NOTES);
  if (sheet->plan->blank) {
    draw_note_lines(sheet, pl_thing_label(sheet->plan, &thing));
    return;
  }
  const struct pl_datum datum = pl_datum_of(sheet, &thing, PL_CAR);
  pl_thing_done(sheet, &thing);
  if (!datum.shown) return;
  struct pl_column column = {.width = sheet->width};
  pl_column_title(sheet, &column, datum.label);
  sheet->where = datum.span;
  sheet->what = "`notes`";
  const size_t first = column.count;
  const bool is_new = datum.changed && datum.before[0] == '\0';
  column.width -= is_new ? 6 : 0;
  if (datum.text[0] != '\0')
    pl_column_paragraph(sheet, &column, 1.6,
                        (struct pl_type){.size = sheet->type.body, .bold = datum.changed},
                        datum.text);
  column.width = sheet->width;
  if (is_new) {
    const struct pl_type type = {
        .size = sheet->type.small, .ink = PL_INK_GREY, .anchor = PL_ANCHOR_RIGHT};
    pl_cell_text(sheet, &column.cells[first], column.width,
                 pl_line_base(sheet->type.body) - pl_line_base(sheet->type.small), type,
                 pl_word(sheet, PL_WORD_NEW));
  } else if (datum.changed) {
    pl_column_paragraph(
        sheet, &column, 1.6,
        (struct pl_type){.size = sheet->type.small, .ink = PL_INK_GREY, .struck = true},
        datum.before);
  }
  for (size_t i = first; i < column.count; i++) column.cells[i].bar = datum.changed;
  pl_flow_gap(sheet, 1.6 * sheet->type.air);
  pl_flow_columns(sheet, &column, 1, NULL, false);
}
