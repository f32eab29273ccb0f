// SPDX-License-Identifier: GPL-3.0-or-later
// The scrutineering list: a table for each group of entries, with a row an entry, its verdict,
// a column a rule that is judged of one of them, and room for the official to write; and the
// rules in full.
#include <string.h>

#include "scrutiny.h"

/// Room of the entry's name, of its verdict and of the official's initials, mm.
#define ENTRY_ROOM    34.0
#define VERDICT_ROOM  27.0
#define INITIALS_ROOM 14.0
/// The least width of a rule's column: two numbers have to be written beside each other, mm.
#define RULE_ROOM 24.0
/// Between columns, mm.
#define GUTTER 2.0
/// Most rules that stand beside each other on a page.
#define RULE_LIMIT 16
/// Most lines of a text in a column; a longer one stands in full behind the list, or on the
/// certificate.
#define TEXT_LINES 7
/// Rules that are named beneath a verdict; of more, their number is told.
#define NAMED_RULES 3

/// Some of the rules, as the columns of one list.
struct table {
  struct pl_sheet *sheet;
  const struct pl_scrutiny_request *request;
  const char *group;
  const struct pl_rule **rules; ///< of the whole group
  size_t all;
  size_t low;   ///< of these, those that take one line to write on, which stand in front
  size_t first; ///< of these, that is a column
  size_t count;
  size_t part; ///< table of the group, from 0
  size_t parts;
  size_t from; ///< entry
  size_t to;   ///< entry behind the last one
  struct pl_column column;
  double step; ///< from one rule's column to the next, mm
};

static double rule_at(const struct table *table, size_t i) {
  return ENTRY_ROOM + VERDICT_ROOM + table->step * (double)i;
}

// ---------------------------------------------------------------- rows

static double add_entry(struct table *table, struct pl_cell *cell,
                        const struct pl_scrutinised *entry) {
  struct pl_sheet *const sheet = table->sheet;
  const double width = ENTRY_ROOM - GUTTER;
  const char *const name = pl_format(sheet->arena, "%s%s%s", entry->number,
                                     entry->number[0] == '\0' ? "" : "  ", entry->driver);
  double y = pl_scrutiny_lines(sheet, cell, 0, 0.6, width,
                               (struct pl_type){.size = PL_BODY + 1, .bold = true}, PL_SMALL,
                               TEXT_LINES, pl_scrutiny_text_of(sheet, name));
  const char *const lines[] = {entry->setup[0] != '\0' ? entry->setup : entry->file,
                               entry->judgement->class_name};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
    y = pl_scrutiny_lines(sheet, cell, 0, y, width, (struct pl_type){.size = PL_COMPUTED},
                          PL_TYPE_FLOOR, TEXT_LINES, pl_scrutiny_text_of(sheet, lines[i]));
  return y;
}

/// How an entry stands, and by which rules.
static double add_verdict(struct table *table, struct pl_cell *cell,
                          const struct pl_scrutinised *entry) {
  struct pl_sheet *const sheet = table->sheet;
  const struct pl_type small = {.size = PL_COMPUTED};
  const struct pl_type strong = {.size = PL_COMPUTED, .bold = true};
  const enum pl_standing standing = pl_standing_of(entry);
  const double width = VERDICT_ROOM - GUTTER;
  double y = pl_scrutiny_mark(sheet, cell, ENTRY_ROOM, 0.6, width, standing);
  const bool failed = standing == PL_STANDS_FAILED;
  if (failed)
    y = pl_scrutiny_lines(sheet, cell, ENTRY_ROOM, y, width, strong, PL_TYPE_FLOOR, TEXT_LINES,
                          pl_rules_named(sheet, entry, PL_FAILS, NAMED_RULES));
  if (failed && entry->mistake[0] != '\0')
    y = pl_scrutiny_mark(sheet, cell, ENTRY_ROOM, y, width, PL_STANDS_MISTAKEN);
  if (standing == PL_STANDS_OPEN)
    y = pl_scrutiny_lines(sheet, cell, ENTRY_ROOM, y, width, small, PL_TYPE_FLOOR, TEXT_LINES,
                          pl_rules_named(sheet, entry, PL_CANNOT_BE_JUDGED, NAMED_RULES));
  if (entry->judgement->difference_count > 0)
    y = pl_scrutiny_lines(
        sheet, cell, ENTRY_ROOM, y, width, strong, PL_TYPE_FLOOR, TEXT_LINES,
        pl_format(sheet->arena, "≠ %s", pl_word(sheet, PL_WORD_NOT_AS_DECLARED)));
  return y;
}

/// What a rule says of an entry, what was declared, and lines for what is measured.
static double add_rule(struct table *table, struct pl_cell *cell, size_t i,
                       const struct pl_scrutinised *entry) {
  struct pl_sheet *const sheet = table->sheet;
  const struct pl_rule_summary summary =
      pl_rule_summary(sheet, entry, table->rules[table->first + i]);
  const double x = rule_at(table, i);
  const double width = table->step - GUTTER;
  const struct pl_type type = {.size = PL_BODY};
  if (!summary.judged)
    return pl_scrutiny_lines(sheet, cell, x, 0.6, width, type, PL_TYPE_FLOOR, 1, "—");
  const bool marked = summary.failed || summary.unknown;
  double y = 0.6;
  if (marked) y = pl_scrutiny_mark(sheet, cell, x, y, width, pl_standing_of_rule(&summary));
  for (size_t j = 0; j < summary.declared_count; j++) {
    const char *const line = summary.declared[j];
    y = pl_scrutiny_lines(sheet, cell, x, y, width, type, PL_TYPE_FLOOR, TEXT_LINES,
                          marked || j > 0 ? line
                                          : pl_word_with(sheet, PL_WORD_KEPT, line, NULL));
  }
  if (!marked && summary.declared_count == 0)
    y = pl_scrutiny_mark(sheet, cell, x, y, width, PL_STANDS_PASSED);
  for (size_t j = 0; j < summary.failure_count; j++)
    y = pl_scrutiny_lines(sheet, cell, x, y, width,
                          (struct pl_type){.size = PL_BODY, .bold = true}, PL_TYPE_FLOOR,
                          TEXT_LINES, summary.failures[j]);
  if (!marked && summary.by_tolerance)
    y = pl_scrutiny_lines(sheet, cell, x, y, width, (struct pl_type){.size = PL_COMPUTED},
                          PL_TYPE_FLOOR, TEXT_LINES, pl_word(sheet, PL_WORD_BY_TOLERANCE));
  y = pl_scrutiny_apart(sheet, cell, x, y, width, &summary);
  return pl_scrutiny_slots(sheet, cell, x, y, width, &summary);
}

static void add_row(struct table *table, const struct pl_scrutinised *entry) {
  struct pl_sheet *const sheet = table->sheet;
  struct pl_cell *const cell = pl_column_cell(sheet, &table->column, 0);
  double height = add_entry(table, cell, entry);
  const double verdict = add_verdict(table, cell, entry);
  if (verdict > height) height = verdict;
  for (size_t i = 0; i < table->count; i++) {
    const double y = add_rule(table, cell, i, entry);
    if (y > height) height = y;
  }
  cell->height = height + 1.0;
  cell->rule = true;
  pl_cell_line(sheet, cell, table->column.width - INITIALS_ROOM + GUTTER, height - 2.4,
               INITIALS_ROOM - GUTTER);
}

// ---------------------------------------------------------------- heads

/// "Group A: part 1 of 2", as far as there is something to tell apart.
static const char *table_title(const struct table *table) {
  struct pl_sheet *const sheet = table->sheet;
  struct pl_arena *const arena = sheet->arena;
  const char *const group =
      table->group[0] == '\0' ? "" : pl_word_with(sheet, PL_WORD_GROUP_OF, table->group, NULL);
  if (table->parts == 1) return group;
  return pl_format(arena, "%s%s%s", group, group[0] == '\0' ? "" : ", ",
                   pl_word_with(sheet, PL_WORD_PART_OF,
                                pl_format(arena, "%zu", table->part + 1),
                                pl_format(arena, "%zu", table->parts)));
}

static double add_rule_head(struct table *table, struct pl_cell *cell, double top, size_t i) {
  struct pl_sheet *const sheet = table->sheet;
  const struct pl_rule *const rule = table->rules[table->first + i];
  const double x = rule_at(table, i);
  const double width = table->step - GUTTER;
  const struct pl_type limit = {.size = PL_BODY};
  double y = pl_scrutiny_lines(sheet, cell, x, top, width,
                               (struct pl_type){.size = PL_BODY, .bold = true}, PL_SMALL,
                               TEXT_LINES, pl_scrutiny_text_of(sheet, rule->name));
  y = pl_scrutiny_lines(sheet, cell, x, y, width, limit, PL_BODY, TEXT_LINES,
                        pl_limit_words(sheet, table->request->rules, rule));
  if (rule->tolerance > 0)
    y = pl_scrutiny_lines(sheet, cell, x, y, width, limit, PL_BODY, TEXT_LINES,
                          pl_format(sheet->arena, "± %s", rule->tolerance_text));
  return y;
}

/// The heads of a table's columns: the group, the name of each rule, and what it wants.
static struct pl_scrutiny_heads heads_of(struct table *table) {
  struct pl_sheet *const sheet = table->sheet;
  struct pl_column scratch = {.width = table->column.width};
  struct pl_cell *const cell = pl_column_cell(sheet, &scratch, 0);
  const struct pl_type strong = {.size = PL_BODY, .bold = true};
  const struct pl_thing number = pl_thing_of_setting(PL_SETTING_ENTRY);
  const double top =
      pl_scrutiny_lines(sheet, cell, 0, 0, table->column.width,
                        (struct pl_type){.size = PL_BODY + 2, .bold = true}, PL_BODY, 1,
                        pl_scrutiny_text_of(sheet, table_title(table)));
  double height = top + pl_line_height(PL_BODY);
  const struct {
    double x, width;
    const char *text;
  } fixed[] = {{0, ENTRY_ROOM - GUTTER, pl_thing_label(sheet->plan, &number)},
               {ENTRY_ROOM, VERDICT_ROOM - GUTTER, pl_word(sheet, PL_WORD_VERDICT)},
               {table->column.width - INITIALS_ROOM + GUTTER, INITIALS_ROOM - GUTTER,
                pl_word(sheet, PL_WORD_INITIALS)}};
  for (size_t i = 0; i < sizeof fixed / sizeof fixed[0]; i++) {
    const double y = pl_scrutiny_lines(sheet, cell, fixed[i].x, top, fixed[i].width, strong,
                                       PL_TYPE_FLOOR, TEXT_LINES, fixed[i].text);
    if (y > height) height = y;
  }
  for (size_t i = 0; i < table->count; i++) {
    const double y = add_rule_head(table, cell, top, i);
    if (y > height) height = y;
  }
  return pl_scrutiny_heads(cell, height);
}

// ---------------------------------------------------------------- groups

/// How many things are measured for a rule of an entry; 0 where it is not judged.
static size_t slots_of(const struct pl_scrutinised *entry, const struct pl_rule *rule) {
  size_t verdict_count = 0;
  const struct pl_verdict *const verdicts =
      pl_verdicts_of(entry->judgement, rule, &verdict_count);
  size_t count = 0;
  for (size_t i = 0; i < verdict_count; i++)
    count += verdicts[i].sight_count > 0 ? verdicts[i].sight_count : 1;
  return count;
}

/// The rules that are judged of an entry of the group; all, where there is none. Those that
/// take one line to write on go first: so rows are low where they can be.
static void choose_rules(struct table *table) {
  const struct pl_rules *const rules = table->request->rules;
  size_t *const slots = pl_alloc_array(table->sheet->arena, rules->count + 1, sizeof *slots);
  bool any = false;
  for (size_t i = 0; i < rules->count; i++) {
    for (size_t j = table->from; j < table->to; j++) {
      const size_t own = slots_of(&table->request->entries[j], &rules->items[i]);
      if (own > slots[i]) slots[i] = own;
    }
    any = any || slots[i] > 0;
  }
  table->rules =
      pl_alloc_array(table->sheet->arena, rules->count + 1, sizeof(struct pl_rule *));
  for (int high = 0; high < 2; high++) {
    for (size_t i = 0; i < rules->count; i++) {
      if ((slots[i] > 2) == (high == 1) && (slots[i] > 0 || !any))
        table->rules[table->all++] = &rules->items[i];
    }
    if (high == 0) table->low = table->all;
  }
}

/// Do the entries of each group stand together?
static bool is_grouped(const struct pl_scrutiny_request *request) {
  for (size_t i = 1; i < request->count; i++) {
    const char *const group = request->entries[i].group;
    if (strcmp(group, request->entries[i - 1].group) == 0) continue;
    for (size_t j = 0; j + 1 < i; j++) {
      if (strcmp(request->entries[j].group, group) == 0) return false;
    }
  }
  return true;
}

/// Tables of as many rules beside each other as there is room for, about as many in each.
static void draw_part(struct table *table, size_t from, size_t to, size_t tables) {
  struct pl_sheet *const sheet = table->sheet;
  const double room = sheet->width - ENTRY_ROOM - VERDICT_ROOM - INITIALS_ROOM;
  const size_t count = to - from;
  for (size_t i = 0; i < tables; i++) {
    table->first = from + count * i / tables;
    table->count = from + count * (i + 1) / tables - table->first;
    table->step = room / (double)table->count;
    table->column = (struct pl_column){.width = sheet->width};
    for (size_t j = table->from; j < table->to; j++)
      add_row(table, &table->request->entries[j]);
    const struct pl_scrutiny_heads heads = heads_of(table);
    pl_flow_gap(sheet, 4);
    pl_flow_columns(sheet, &table->column, 1, &heads.head, false);
    table->part++;
  }
}

static void draw_group(struct table *table) {
  const double room = table->sheet->width - ENTRY_ROOM - VERDICT_ROOM - INITIALS_ROOM;
  size_t most = (size_t)(room / RULE_ROOM);
  if (most > RULE_LIMIT) most = RULE_LIMIT;
  choose_rules(table);
  // Low and high rows stay apart if that takes no more tables.
  const size_t together = (table->all + most - 1) / most;
  const size_t low = (table->low + most - 1) / most;
  const size_t high = (table->all - table->low + most - 1) / most;
  table->parts = low + high > together ? together : low + high;
  if (low + high > together) {
    draw_part(table, 0, table->all, together);
    return;
  }
  draw_part(table, 0, table->low, low);
  draw_part(table, table->low, table->all, high);
}

static void draw_groups(struct pl_sheet *sheet, const struct pl_scrutiny_request *request) {
  const bool grouped = is_grouped(request);
  size_t from = 0;
  while (from < request->count) {
    const char *const group = request->entries[from].group;
    size_t to = grouped ? from : request->count;
    while (to < request->count && strcmp(request->entries[to].group, group) == 0) to++;
    struct table table = {.sheet = sheet,
                          .request = request,
                          .group = grouped ? group : "",
                          .from = from,
                          .to = to};
    draw_group(&table);
    from = to;
  }
}

// ---------------------------------------------------------------- the rules in full

/// A rule in words, its parts parted by semicolons.
static const char *rule_words(struct pl_sheet *sheet, const struct pl_rules *rules,
                              const struct pl_rule *rule) {
  struct pl_buffer words = {.arena = sheet->arena};
  const char *const limit = pl_limit_words(sheet, rules, rule);
  pl_buffer_text(&words, limit);
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
  if (strcmp(limit, rule->requires) != 0)
    pl_buffer_format(&words, "; %s",
                     pl_word_with(sheet, PL_WORD_RULE_WRITTEN, rule->requires, NULL));
  return pl_scrutiny_text_of(sheet, pl_buffer_string(&words));
}

static void draw_rules(struct pl_sheet *sheet, const struct pl_rules *rules) {
  struct pl_column column = {.width = sheet->width};
  pl_column_title(sheet, &column, pl_word(sheet, PL_WORD_RULES_IN_FULL));
  for (size_t i = 0; i < rules->count; i++) {
    const struct pl_rule *const rule = &rules->items[i];
    const size_t first = column.count;
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY, .bold = true},
                        pl_scrutiny_text_of(sheet, rule->name));
    column.cells[first].rule = true;
    for (size_t j = first; j < column.count; j++) column.cells[j].keep = true;
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY},
                        rule_words(sheet, rules, rule));
    column.cells[column.count - 1].height += 0.6;
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

const char *pl_scrutiny_event(struct pl_sheet *sheet,
                              const struct pl_scrutiny_request *request) {
  const char *const facts[] = {request->title, request->date, request->track_name};
  struct pl_buffer words = {.arena = sheet->arena};
  for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
    if (facts[i][0] != '\0')
      pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : " · ",
                       pl_scrutiny_text_of(sheet, facts[i]));
  }
  return pl_buffer_string(&words);
}

void pl_scrutiny_facts(struct pl_sheet *sheet, const struct pl_scrutiny_request *request,
                       bool is_list) {
  const struct pl_rules *const rules = request->rules;
  const struct pl_type type = {.size = PL_BODY};
  struct pl_column column = {.width = sheet->width};
  struct pl_buffer words = {.arena = sheet->arena};
  pl_buffer_text(&words, pl_word_with(sheet, PL_WORD_RULES, rules->name, NULL));
  if (rules->edition[0] != '\0')
    pl_buffer_format(&words, ", %s",
                     pl_word_with(sheet, PL_WORD_EDITION, rules->edition, NULL));
  if (request->event[0] != '\0') pl_buffer_format(&words, " · %s", request->event);
  pl_column_paragraph(sheet, &column, 0, type,
                      pl_scrutiny_text_of(sheet, pl_buffer_string(&words)));
  pl_column_paragraph(sheet, &column, 0, type,
                      is_list
                          ? pl_format(sheet->arena, "%s %s", pl_word(sheet, PL_WORD_LIST_KEY),
                                      pl_word(sheet, PL_WORD_OFFICIALS_DECIDE))
                          : pl_word(sheet, PL_WORD_OFFICIALS_DECIDE));
  const size_t first = column.count;
  pl_column_paragraph(sheet, &column, PL_SIGN_ROOM, type,
                      pl_word(sheet, PL_WORD_CAUTION_MEASURING));
  pl_cell_sign(sheet, &column.cells[first], 0, PL_BODY, PL_PAGE_CAUTIONS);
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

struct pl_paper *pl_scrutiny_list_new(struct pl_arena *arena,
                                      const struct pl_scrutiny_request *request) {
  // A list is wide: it lies on its side unless somebody says otherwise.
  const enum pl_direction direction =
      request->direction == PL_DIRECTION_OF_TEMPLATE ? PL_LANDSCAPE : request->direction;
  struct pl_sheet *const sheet = pl_scrutiny_sheet(arena, request, direction);
  pl_plain_sheet_start(sheet, pl_scrutiny_event(sheet, request));
  pl_scrutiny_facts(sheet, request, true);
  draw_groups(sheet, request);
  draw_rules(sheet, request->rules);
  return pl_plain_sheet_end(sheet);
}
