// SPDX-License-Identifier: GPL-3.0-or-later
// The scrutineering list: a row an entry, a column a rule, room for the official to write; and
// the rules in full.
#include <string.h>

#include "scrutiny.h"

/// Room of the entry's name and of the official's initials, mm.
#define ENTRY_ROOM    44.0
#define INITIALS_ROOM 15.0
/// The least width of a rule's column: a number has to be written into it by hand, mm.
#define RULE_ROOM 19.0
/// Between columns, mm.
#define GUTTER 2.0
/// Height of the line for a measured value, mm.
#define PEN_LINE 5.6
/// Most rules that stand beside each other on a page.
#define RULE_LIMIT 16

/// Some of the rules, as the columns of one list.
struct table {
  struct pl_sheet *sheet;
  const struct pl_scrutiny_request *request;
  struct pl_column column;
  size_t first; ///< rule
  size_t count;
  double step; ///< from one rule's column to the next, mm
};

// ---------------------------------------------------------------- what a cell says

/// What a rule says of an entry at all its places together.
static void gather(const struct pl_judgement *judgement, const struct pl_rule *rule,
                   struct pl_rule_summary *summary, struct pl_arena *arena) {
  struct pl_buffer values = {.arena = arena};
  const char *last = NULL;
  for (size_t i = 0; i < judgement->count; i++) {
    const struct pl_verdict *const verdict = &judgement->verdicts[i];
    if (verdict->rule != rule) continue;
    summary->judged = true;
    summary->failed = summary->failed || verdict->outcome == PL_FAILS;
    summary->unknown = summary->unknown || verdict->outcome == PL_CANNOT_BE_JUDGED;
    summary->by_tolerance = summary->by_tolerance || verdict->tolerance_used;
    summary->limit = verdict->limit.text;
    if (verdict->value.text[0] == '\0') continue;
    if (last != NULL && strcmp(last, verdict->value.text) == 0) continue;
    pl_buffer_format(&values, "%s%s", values.length == 0 ? "" : " / ", verdict->value.text);
    last = verdict->value.text;
  }
  summary->values = pl_buffer_string(&values);
}

struct pl_rule_summary pl_rule_summary(struct pl_arena *arena,
                                       const struct pl_scrutinised *entry,
                                       const struct pl_rule *rule) {
  struct pl_rule_summary summary = {.values = "", .limit = ""};
  if (entry->judgement->applies) gather(entry->judgement, rule, &summary, arena);
  return summary;
}

const char *pl_rule_summary_words(struct pl_sheet *sheet,
                                  const struct pl_rule_summary *summary) {
  const char *const values =
      pl_paper_minus(sheet->arena, pl_text_with_codes(sheet->arena, summary->values));
  if (!summary->judged) return "—";
  if (summary->failed) return pl_word_with(sheet, PL_WORD_NOT_KEPT, values, NULL);
  if (summary->unknown) return pl_word(sheet, PL_WORD_TO_MEASURE);
  return pl_word_with(sheet, summary->by_tolerance ? PL_WORD_BY_TOLERANCE : PL_WORD_KEPT,
                      values, NULL);
}

// ---------------------------------------------------------------- rows

/// A text in lines as wide as `width`; returns where it ends.
static double add_lines(struct table *table, struct pl_cell *cell, double x, double top,
                        double width, struct pl_type type, const char *text) {
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(table->sheet->arena, text, type.size, type.bold, width, &count);
  for (size_t i = 0; i < count; i++)
    pl_cell_text(table->sheet, cell, x, top + (double)i * pl_line_height(type.size), type,
                 lines[i]);
  return top + (double)count * pl_line_height(type.size);
}

static double add_entry(struct table *table, struct pl_cell *cell,
                        const struct pl_scrutinised *entry) {
  struct pl_arena *const arena = table->sheet->arena;
  const struct pl_type small = {.size = PL_SMALL, .ink = PL_INK_GREY};
  const char *const name = pl_format(arena, "%s%s%s", entry->number,
                                     entry->number[0] == '\0' ? "" : "  ", entry->driver);
  double y = 0.6;
  const double width = ENTRY_ROOM - GUTTER;
  if (name[0] != '\0')
    y = add_lines(table, cell, 0, y, width, (struct pl_type){.size = PL_BODY, .bold = true},
                  pl_text_with_codes(arena, name));
  const char *const lines[] = {entry->setup[0] != '\0' ? entry->setup : entry->file,
                               entry->judgement->class_name};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
    if (lines[i][0] != '\0')
      y = add_lines(table, cell, 0, y, width, small, pl_text_with_codes(arena, lines[i]));
  }
  return y;
}

static void add_row(struct table *table, const struct pl_scrutinised *entry) {
  struct pl_sheet *const sheet = table->sheet;
  struct pl_cell *const cell = pl_column_cell(sheet, &table->column, 0);
  double height = add_entry(table, cell, entry);
  for (size_t i = 0; i < table->count; i++) {
    const struct pl_rule *const rule = &table->request->rules->items[table->first + i];
    const struct pl_rule_summary summary = pl_rule_summary(sheet->arena, entry, rule);
    const double x = ENTRY_ROOM + table->step * (double)i;
    const double y = add_lines(table, cell, x, 0.6, table->step - GUTTER,
                               (struct pl_type){.size = PL_SMALL, .bold = summary.failed},
                               pl_rule_summary_words(sheet, &summary)) +
                     PEN_LINE;
    if (y > height) height = y;
  }
  cell->height = height + 0.8;
  cell->rule = true;
  for (size_t i = 0; i < table->count; i++)
    pl_cell_line(sheet, cell, ENTRY_ROOM + table->step * (double)i, height,
                 table->step - GUTTER);
  pl_cell_line(sheet, cell, table->column.width - INITIALS_ROOM + GUTTER, height,
               INITIALS_ROOM - GUTTER);
}

// ---------------------------------------------------------------- heads

/// The heads of a table's columns: the name of each rule, and what it wants.
struct heads {
  struct pl_flow_head head; ///< first, so that one is the other
  struct table *table;
  struct pl_cell *cell;
};

static void draw_heads(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  const struct heads *const heads = (const struct heads *)head;
  (void)again;
  for (size_t i = 0; i < heads->cell->count; i++) {
    const struct pl_piece *const piece = &heads->cell->pieces[i];
    pl_draw_text(sheet->page, sheet->left + piece->x, sheet->y + piece->y, piece->type,
                 piece->text);
  }
}

static struct heads heads_of(struct table *table) {
  struct pl_sheet *const sheet = table->sheet;
  struct pl_column scratch = {.width = table->column.width};
  struct pl_cell *const cell = pl_column_cell(sheet, &scratch, 0);
  double height = 0;
  for (size_t i = 0; i < table->count; i++) {
    const struct pl_rule *const rule = &table->request->rules->items[table->first + i];
    const double x = ENTRY_ROOM + table->step * (double)i;
    const double width = table->step - GUTTER;
    double y =
        add_lines(table, cell, x, 0, width, (struct pl_type){.size = PL_SMALL, .bold = true},
                  pl_text_with_codes(sheet->arena, rule->name));
    y = add_lines(table, cell, x, y, width,
                  (struct pl_type){.size = PL_TYPE_FLOOR, .ink = PL_INK_GREY},
                  pl_text_with_codes(sheet->arena, rule->requires));
    if (y > height) height = y;
  }
  const char *const initials = pl_word(sheet, PL_WORD_INITIALS);
  const double fitting = pl_text_fit(initials, PL_SMALL, false, INITIALS_ROOM - GUTTER);
  pl_cell_text(
      sheet, cell, table->column.width - INITIALS_ROOM + GUTTER, 0,
      (struct pl_type){.size = fitting > 0 ? fitting : PL_TYPE_FLOOR, .ink = PL_INK_GREY},
      initials);
  return (struct heads){
      .head = {.draw = draw_heads, .height = height + 0.6}, .table = table, .cell = cell};
}

// ---------------------------------------------------------------- the rules in full

/// A rule in words, its parts parted by semicolons.
static const char *rule_words(struct pl_sheet *sheet, const struct pl_rule *rule) {
  struct pl_buffer words = {.arena = sheet->arena};
  pl_buffer_text(&words, rule->requires);
  if (rule->scope != PL_RULE_CAR)
    pl_buffer_format(&words, "; %s",
                     pl_word(sheet, rule->scope == PL_RULE_EACH_AXLE
                                        ? PL_WORD_RULE_FOR_AXLES
                                        : PL_WORD_RULE_FOR_CORNERS));
  const struct {
    enum pl_word word;
    const char *text;
  } parts[] = {{PL_WORD_RULE_WHEN, rule->when},
               {PL_WORD_RULE_TOLERANCE, rule->tolerance_text},
               {PL_WORD_RULE_MEASURE, rule->measure}};
  for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
    if (parts[i].text[0] != '\0')
      pl_buffer_format(&words, "; %s", pl_word_with(sheet, parts[i].word, parts[i].text, NULL));
  }
  if (rule->because[0] != '\0') pl_buffer_format(&words, "; %s", rule->because);
  return pl_text_with_codes(sheet->arena, pl_buffer_string(&words));
}

static void draw_rules(struct pl_sheet *sheet, const struct pl_rules *rules) {
  struct pl_column column = {.width = sheet->width};
  pl_column_title(sheet, &column, pl_word(sheet, PL_WORD_RULES_IN_FULL));
  for (size_t i = 0; i < rules->count; i++) {
    const struct pl_rule *const rule = &rules->items[i];
    const size_t first = column.count;
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY, .bold = true},
                        pl_text_with_codes(sheet->arena, rule->name));
    column.cells[first].rule = true;
    for (size_t j = first; j < column.count; j++) column.cells[j].keep = true;
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_COMPUTED},
                        rule_words(sheet, rule));
  }
  pl_flow_gap(sheet, 3);
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

// ---------------------------------------------------------------- the whole

struct pl_sheet *pl_scrutiny_sheet(struct pl_arena *arena,
                                   const struct pl_scrutiny_request *request,
                                   enum pl_direction direction) {
  const struct pl_sheet_request plain = {
      .paper = request->paper, .direction = direction, .version = request->version};
  return pl_plain_sheet(arena, request->look, &plain);
}

/// By which rules, and that these are no more than a help.
void pl_scrutiny_facts(struct pl_sheet *sheet, const struct pl_rules *rules) {
  struct pl_column column = {.width = sheet->width};
  struct pl_buffer words = {.arena = sheet->arena};
  pl_buffer_text(&words, pl_word_with(sheet, PL_WORD_RULES, rules->name, NULL));
  if (rules->edition[0] != '\0')
    pl_buffer_format(&words, ", %s",
                     pl_word_with(sheet, PL_WORD_EDITION, rules->edition, NULL));
  pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY},
                      pl_text_with_codes(sheet->arena, pl_buffer_string(&words)));
  pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY},
                      pl_word(sheet, PL_WORD_OFFICIALS_DECIDE));
  pl_flow_columns(sheet, &column, 1, NULL, false);
  pl_flow_gap(sheet, 2);
}

struct pl_paper *pl_scrutiny_list_new(struct pl_arena *arena,
                                      const struct pl_scrutiny_request *request) {
  // A list is wide: it lies on its side unless somebody says otherwise.
  const enum pl_direction direction =
      request->direction == PL_DIRECTION_OF_TEMPLATE ? PL_LANDSCAPE : request->direction;
  struct pl_sheet *const sheet = pl_scrutiny_sheet(arena, request, direction);
  pl_plain_sheet_start(sheet, pl_text_with_codes(arena, request->title));
  pl_scrutiny_facts(sheet, request->rules);
  const double room = sheet->width - ENTRY_ROOM - INITIALS_ROOM;
  size_t most = (size_t)(room / RULE_ROOM);
  if (most > RULE_LIMIT) most = RULE_LIMIT;
  const size_t all = request->rules->count;
  const size_t tables = all == 0 ? 0 : (all + most - 1) / most;
  for (size_t i = 0; i < tables; i++) {
    struct table table = {.sheet = sheet,
                          .request = request,
                          .column = {.width = sheet->width},
                          .first = all * i / tables,
                          .count = all * (i + 1) / tables - all * i / tables};
    table.step = room / (double)table.count;
    if (i > 0) pl_flow_page(sheet);
    for (size_t j = 0; j < request->count; j++) add_row(&table, &request->entries[j]);
    const struct heads heads = heads_of(&table);
    pl_flow_columns(sheet, &table.column, 1, &heads.head, false);
  }
  draw_rules(sheet, request->rules);
  return pl_plain_sheet_end(sheet);
}
