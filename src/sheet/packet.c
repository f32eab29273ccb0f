// SPDX-License-Identifier: GPL-3.0-or-later
// The packet of a meeting: its cover, and the page of an entry whose file has mistakes.
#include <string.h>

#include "pitleaf/report.h"
#include "room.h"

/// The columns of the cover's list.
enum { NUMBER, DRIVER, CLASS, GROUP, SETUP, PAGE, COLUMNS };

/// How wide they are, as shares of the whole.
static const double shares[COLUMNS] = {0.09, 0.25, 0.19, 0.08, 0.31, 0.08};
/// Between columns, mm.
#define GUTTER 2.0

static struct pl_sheet *new_sheet(struct pl_arena *arena, const struct pl_packet *packet,
                                  size_t packet_page) {
  const struct pl_sheet_request request = {.paper = packet->paper,
                                           .direction = packet->direction,
                                           .packet_page = packet_page,
                                           .version = packet->version};
  return pl_plain_sheet(arena, packet->look, &request);
}

// ---------------------------------------------------------------- the cover

struct list {
  struct pl_sheet *sheet;
  const struct pl_packet *packet;
  struct pl_column column;
  double x[COLUMNS];
  double width[COLUMNS];
};

static void set_columns(struct list *list) {
  double x = 0;
  for (size_t i = 0; i < COLUMNS; i++) {
    const double share = list->column.width * shares[i];
    list->x[i] = x;
    list->width[i] = share - GUTTER;
    x += share;
  }
}

/// A text of a row in lines; returns the height that it takes.
static double add_text(struct list *list, struct pl_cell *cell, size_t column, double top,
                       struct pl_type type, const char *text) {
  struct pl_sheet *const sheet = list->sheet;
  const double width = list->width[column];
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(sheet->arena, text, type.size, type.bold, width, &count);
  const double x = type.anchor == PL_ANCHOR_RIGHT ? list->x[column] + width : list->x[column];
  for (size_t i = 0; i < count; i++)
    pl_cell_text(sheet, cell, x, top + (double)i * pl_line_height(type.size), type, lines[i]);
  return top + (double)count * pl_line_height(type.size);
}

/// Why an entry has no sheet of its own; "" where it has one.
static const char *remark_on(const struct pl_sheet *sheet, const struct pl_packet_row *row) {
  switch (row->kind) {
  case PL_PACKET_FORM: return pl_word(sheet, PL_WORD_GETS_FORM);
  case PL_PACKET_MISTAKES: return pl_word(sheet, PL_WORD_HAS_MISTAKES);
  default: return "";
  }
}

static void add_row(struct list *list, const struct pl_packet_row *row, size_t cover_pages) {
  struct pl_sheet *const sheet = list->sheet;
  struct pl_arena *const arena = sheet->arena;
  struct pl_cell *const cell = pl_column_cell(sheet, &list->column, 0);
  const char *const page = pl_format(arena, "%zu", row->page + 1);
  const char *const texts[COLUMNS] = {row->number, row->driver, row->class_name,
                                      row->group,  row->setup,  page};
  double height = 0;
  for (size_t i = 0; i < COLUMNS; i++) {
    const struct pl_type type = {.size = sheet->type.body,
                                 .bold = i == NUMBER || i == PAGE,
                                 .anchor = i == PAGE ? PL_ANCHOR_RIGHT : PL_ANCHOR_LEFT};
    if (texts[i][0] == '\0') continue;
    const double end = add_text(list, cell, i, 0.6, type, pl_text_with_codes(arena, texts[i]));
    if (end > height) height = end;
  }
  const char *const remark = remark_on(sheet, row);
  if (remark[0] != '\0') {
    // Beneath the setup's name, which a file with mistakes may not have got to.
    const struct pl_type type = {.size = sheet->type.body,
                                 .bold = row->kind == PL_PACKET_MISTAKES};
    const double top = row->setup[0] == '\0' ? 0.6 : height;
    const double end = add_text(list, cell, SETUP, top, type, remark);
    if (end > height) height = end;
  }
  cell->height = height + 0.6;
  cell->rule = true;
  pl_cell_link(sheet, cell, list->column.width, row->page + cover_pages);
}

/// The heads of the list's columns.
struct heads {
  struct pl_flow_head head; ///< first, so that one is the other
  const struct list *list;
};

static void draw_heads(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  const struct list *const list = ((const struct heads *)head)->list;
  const struct pl_thing entry = pl_thing_of_setting(PL_SETTING_ENTRY);
  const struct pl_thing driver = pl_thing_of_setting(PL_SETTING_DRIVER);
  const struct pl_thing class_name = pl_thing_of_setting(PL_SETTING_CLASS);
  const char *const names[COLUMNS] = {pl_thing_label(sheet->plan, &entry),
                                      pl_thing_label(sheet->plan, &driver),
                                      pl_thing_label(sheet->plan, &class_name),
                                      pl_word(sheet, PL_WORD_GROUP),
                                      pl_word(sheet, PL_WORD_SETUP),
                                      pl_word(sheet, PL_WORD_PAGE)};
  (void)again;
  for (size_t i = 0; i < COLUMNS; i++) {
    const bool right = i == PAGE;
    const double fitting = pl_text_fit(names[i], PL_SMALL, false, list->width[i]);
    pl_sheet_text(sheet, sheet->left + list->x[i] + (right ? list->width[i] : 0),
                  sheet->y + pl_line_base(PL_SMALL),
                  (struct pl_type){.size = fitting > 0 ? fitting : PL_TYPE_FLOOR,
                                   .ink = PL_INK_GREY,
                                   .anchor = right ? PL_ANCHOR_RIGHT : PL_ANCHOR_LEFT},
                  names[i]);
  }
}

/// Entries of a kind that are named one by one; of more, only their number is told.
#define NAMED_ENTRIES 8

/// How many entries are of that kind, and which; nothing where there is none.
static void add_kind(struct pl_sheet *sheet, struct pl_column *column,
                     const struct pl_packet *packet, enum pl_packet_kind kind,
                     enum pl_word word) {
  struct pl_arena *const arena = sheet->arena;
  struct pl_buffer which = {.arena = arena};
  size_t count = 0;
  for (size_t i = 0; i < packet->count; i++) {
    const struct pl_packet_row *const row = &packet->rows[i];
    if (row->kind != kind || ++count > NAMED_ENTRIES) continue;
    pl_buffer_format(&which, "%s%s", which.length == 0 ? "" : "; ",
                     pl_word_with(sheet, PL_WORD_ENTRY_AT, row->number,
                                  pl_format(arena, "%zu", row->page + 1)));
  }
  if (count == 0) return;
  if (count > NAMED_ENTRIES) pl_buffer_text(&which, "; …");
  pl_column_paragraph(
      sheet, column, 0, (struct pl_type){.size = PL_BODY, .bold = kind == PL_PACKET_MISTAKES},
      pl_text_with_codes(arena, pl_word_with(sheet, word, pl_format(arena, "%zu", count),
                                             pl_buffer_string(&which))));
}

static void draw_facts(struct pl_sheet *sheet, const struct pl_packet *packet) {
  const char *const facts[] = {packet->date, packet->track_name, packet->event};
  struct pl_buffer words = {.arena = sheet->arena};
  for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
    if (facts[i][0] == '\0') continue;
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : "  ·  ",
                     pl_text_with_codes(sheet->arena, facts[i]));
  }
  struct pl_column column = {.width = sheet->width};
  if (words.length > 0)
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY + 1},
                        pl_buffer_string(&words));
  pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY},
                      pl_word_with(sheet, PL_WORD_ENTRIES,
                                   pl_format(sheet->arena, "%zu", packet->count), NULL));
  add_kind(sheet, &column, packet, PL_PACKET_MISTAKES, PL_WORD_WITH_MISTAKES);
  add_kind(sheet, &column, packet, PL_PACKET_FORM, PL_WORD_WITHOUT_FILE);
  pl_flow_columns(sheet, &column, 1, NULL, false);
  pl_flow_gap(sheet, 2);
}

/// Do the entries of each group stand together?
static bool is_grouped(const struct pl_packet *packet) {
  for (size_t i = 1; i < packet->count; i++) {
    if (strcmp(packet->rows[i].group, packet->rows[i - 1].group) == 0) continue;
    for (size_t j = 0; j + 1 < i; j++) {
      if (strcmp(packet->rows[j].group, packet->rows[i].group) == 0) return false;
    }
  }
  return true;
}

/// A stronger line between groups.
static void part_groups(struct list *list) {
  const struct pl_packet_row *const rows = list->packet->rows;
  if (!is_grouped(list->packet)) return;
  for (size_t i = 0; i < list->packet->count; i++)
    list->column.cells[i].strong_rule = i == 0 || strcmp(rows[i].group, rows[i - 1].group) != 0;
}

static struct pl_paper *cover_of(struct pl_arena *arena, const struct pl_packet *packet,
                                 size_t cover_pages) {
  struct pl_sheet *const sheet = new_sheet(arena, packet, 0);
  pl_plain_sheet_start(sheet, pl_text_with_codes(arena, packet->name));
  draw_facts(sheet, packet);
  struct list list = {.sheet = sheet, .packet = packet, .column = {.width = sheet->width}};
  set_columns(&list);
  for (size_t i = 0; i < packet->count; i++) add_row(&list, &packet->rows[i], cover_pages);
  part_groups(&list);
  const struct heads heads = {
      .head = {.draw = draw_heads, .height = pl_line_height(PL_SMALL) + 0.3}, .list = &list};
  pl_flow_columns(sheet, &list.column, 1, &heads.head, false);
  return pl_plain_sheet_end(sheet);
}

struct pl_paper *pl_cover_new(struct pl_arena *arena, const struct pl_packet *packet) {
  struct pl_paper *const first = cover_of(arena, packet, 1);
  // The links count through all pages, those of the cover too.
  return first->page_count == 1 ? first : cover_of(arena, packet, first->page_count);
}

// ---------------------------------------------------------------- mistakes

/// The line of the file in which a problem begins, without its blanks at both ends.
static const char *line_of(struct pl_arena *arena, struct pl_span span) {
  const unsigned char *const bytes = span.source->bytes;
  size_t start = span.start;
  size_t end = span.start;
  while (start > 0 && bytes[start - 1] != '\n') start--;
  while (end < span.source->length && bytes[end] != '\n') end++;
  while (start < end && (bytes[start] == ' ' || bytes[start] == '\t')) start++;
  while (end > start && (bytes[end - 1] == ' ' || bytes[end - 1] == '\r')) end--;
  return pl_copy_text(arena, (const char *)bytes + start, end - start);
}

/// Longest line that is shown of a file, bytes: more is no help.
#define LONGEST_LINE 200

static void add_mistake(struct pl_sheet *sheet, struct pl_column *column,
                        const struct pl_diagnostic *problem) {
  struct pl_arena *const arena = sheet->arena;
  const struct pl_type grey = {.size = sheet->type.small, .ink = PL_INK_GREY};
  const struct pl_type type = {.size = sheet->type.body};
  const size_t first = column->count;
  pl_column_cell(sheet, column, 0.6);
  if (problem->span.source != NULL) {
    const struct pl_position at = pl_position(problem->span);
    const char *const line = line_of(arena, problem->span);
    pl_column_paragraph(
        sheet, column, 0, grey,
        pl_text_with_codes(arena, pl_format(arena, "%s:%u:%u",
                                            pl_text_safe(arena, problem->span.source->path),
                                            (unsigned)at.line, (unsigned)at.column)));
    if (strlen(line) <= LONGEST_LINE)
      pl_column_paragraph(sheet, column, 6, type, pl_text_with_codes(arena, line));
  }
  pl_column_paragraph(sheet, column, 0,
                      (struct pl_type){.size = sheet->type.body, .bold = true},
                      pl_text_with_codes(arena, problem->message));
  if (problem->hint[0] != '\0')
    pl_column_paragraph(sheet, column, 0, type,
                        pl_text_with_codes(arena, pl_format(arena, "→ %s", problem->hint)));
  column->cells[first].rule = true;
  for (size_t i = first; i + 1 < column->count; i++) column->cells[i].keep = true;
  column->cells[column->count - 1].height += 1.4;
}

const char *pl_packet_title(struct pl_arena *arena, const struct pl_packet *packet,
                            const struct pl_packet_row *row) {
  const struct pl_sheet *const sheet = new_sheet(arena, packet, 0);
  const char *const number = pl_word_with(sheet, PL_WORD_ENTRY_NUMBER, row->number, NULL);
  return pl_text_with_codes(arena, row->driver[0] == '\0'
                                       ? number
                                       : pl_format(arena, "%s · %s", number, row->driver));
}

struct pl_paper *pl_mistakes_new(struct pl_arena *arena, const struct pl_packet *packet,
                                 const struct pl_packet_row *row,
                                 const struct pl_diagnostics *problems) {
  struct pl_sheet *const sheet = new_sheet(arena, packet, row->page + 1);
  pl_plain_sheet_start(sheet, pl_packet_title(arena, packet, row));
  struct pl_column column = {.width = sheet->width};
  const struct pl_type type = {.size = PL_BODY};
  pl_column_paragraph(sheet, &column, 0, type, pl_word(sheet, PL_WORD_FILE_HAS_MISTAKES));
  column.cells[column.count - 1].height += 2;
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  size_t told = 0;
  size_t errors = 0;
  for (size_t i = 0; i < problems->count; i++) {
    if (pl_diagnostic_rows[sorted[i]->code].severity != PL_ERROR) continue;
    errors++;
    if (told == PL_MOST_TOLD_MISTAKES) continue;
    add_mistake(sheet, &column, sorted[i]);
    told++;
  }
  if (errors > told)
    pl_column_paragraph(sheet, &column, 0, type,
                        pl_word_with(sheet, PL_WORD_MORE_MISTAKES,
                                     pl_format(arena, "%zu", errors - told), NULL));
  pl_flow_columns(sheet, &column, 1, NULL, false);
  return pl_plain_sheet_end(sheet);
}
