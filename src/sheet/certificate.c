// SPDX-License-Identifier: GPL-3.0-or-later
// Certificates: a page an entry, with a row for each rule and room for the official.
#include "scrutiny.h"

/// The columns: rule, what it wants, what is declared, measured, initials.
enum { RULE, WANTED, DECLARED, MEASURED, INITIALS, COLUMNS };
static const double shares[COLUMNS] = {0.22, 0.3, 0.22, 0.15, 0.11};
/// Between columns, mm.
#define GUTTER 2.4
/// The least height of a row, so that a pen has room, mm.
#define PEN_ROW 7.0

static void set_columns(struct pl_sheet *sheet, struct pl_column columns[COLUMNS]) {
  double x = 0;
  for (size_t i = 0; i < COLUMNS; i++) {
    const double width = sheet->width * shares[i];
    columns[i] = (struct pl_column){.x = x, .width = width - GUTTER};
    x += width;
  }
}

/// Puts a text into a cell of its own at the end of a column; returns its height.
static double put(struct pl_sheet *sheet, struct pl_column *column, struct pl_type type,
                  const char *text) {
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(sheet->arena, text, type.size, type.bold, column->width, &count);
  struct pl_cell *const cell = pl_column_cell(sheet, column, 0);
  for (size_t i = 0; i < count; i++)
    pl_cell_text(sheet, cell, 0, 0.8 + (double)i * pl_line_height(type.size), type, lines[i]);
  return 0.8 + (double)count * pl_line_height(type.size);
}

/// Makes the newest cells of all columns equally high.
static void level(struct pl_column columns[COLUMNS], double height, bool strong) {
  for (size_t i = 0; i < COLUMNS; i++) {
    struct pl_cell *const cell = &columns[i].cells[columns[i].count - 1];
    cell->height = height;
    cell->rule = !strong;
    cell->strong_rule = strong;
  }
}

static void add_heads(struct pl_sheet *sheet, struct pl_column columns[COLUMNS]) {
  static const enum pl_word words[COLUMNS] = {PL_WORD_RULE, PL_WORD_WANTED, PL_WORD_DECLARED,
                                              PL_WORD_MEASURED, PL_WORD_INITIALS};
  double height = 0;
  for (size_t i = 0; i < COLUMNS; i++) {
    const double own =
        put(sheet, &columns[i], (struct pl_type){.size = PL_SMALL, .ink = PL_INK_GREY},
            pl_word(sheet, words[i]));
    if (own > height) height = own;
  }
  level(columns, height + 0.4, true);
}

static void add_rule(struct pl_sheet *sheet, struct pl_column columns[COLUMNS],
                     const struct pl_scrutinised *entry, const struct pl_rule *rule) {
  struct pl_arena *const arena = sheet->arena;
  const struct pl_rule_summary summary = pl_rule_summary(arena, entry, rule);
  if (!summary.judged) return;
  const struct pl_type body = {.size = PL_BODY};
  const char *const texts[COLUMNS] = {pl_text_with_codes(arena, rule->name),
                                      pl_text_with_codes(arena, rule->requires),
                                      pl_rule_summary_words(sheet, &summary), "", ""};
  double height = PEN_ROW;
  for (size_t i = 0; i < COLUMNS; i++) {
    struct pl_type type = body;
    type.bold = i == RULE || (i == DECLARED && summary.failed);
    const double own = put(sheet, &columns[i], type, texts[i]);
    if (own > height) height = own;
  }
  level(columns, height + 0.4, false);
}

static void draw_signature(struct pl_sheet *sheet) {
  struct pl_column column = {.width = sheet->width * 0.6};
  struct pl_cell *const cell = pl_column_cell(sheet, &column, 16);
  pl_cell_line(sheet, cell, 0, 11, column.width);
  pl_cell_text(sheet, cell, 0, 11.6, (struct pl_type){.size = PL_SMALL, .ink = PL_INK_GREY},
               pl_word(sheet, PL_WORD_OFFICIAL));
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

/// The page of one entry, as a paper of its own.
static struct pl_paper *certificate_of(struct pl_arena *arena,
                                       const struct pl_scrutiny_request *request,
                                       const struct pl_scrutinised *entry) {
  struct pl_sheet *const sheet = pl_scrutiny_sheet(arena, request, request->direction);
  const char *const title =
      pl_format(arena, "%s%s%s", entry->number, entry->number[0] == '\0' ? "" : "  ",
                entry->driver[0] != '\0'  ? entry->driver
                : entry->setup[0] != '\0' ? entry->setup
                                          : entry->file);
  struct pl_column columns[COLUMNS];
  pl_plain_sheet_start(sheet, pl_text_with_codes(arena, title));
  pl_scrutiny_facts(sheet, request->rules);
  set_columns(sheet, columns);
  add_heads(sheet, columns);
  for (size_t i = 0; i < request->rules->count; i++)
    add_rule(sheet, columns, entry, &request->rules->items[i]);
  pl_flow_columns(sheet, columns, COLUMNS, NULL, true);
  draw_signature(sheet);
  return pl_plain_sheet_end(sheet);
}

struct pl_paper *pl_certificates_new(struct pl_arena *arena,
                                     const struct pl_scrutiny_request *request) {
  struct pl_paper *const all = pl_paper_new(arena);
  all->title = pl_text_with_codes(arena, request->title);
  for (size_t i = 0; i < request->count; i++) {
    const struct pl_paper *const one = certificate_of(arena, request, &request->entries[i]);
    pl_paper_outline(all, one->title, all->page_count);
    for (size_t page = 0; page < one->page_count; page++) {
      const struct pl_page *const own = one->pages[page];
      pl_draw_picture(pl_paper_page(all, own->width, own->height), 0, 0, own);
    }
  }
  return all;
}
