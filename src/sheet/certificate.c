// SPDX-License-Identifier: GPL-3.0-or-later
// Certificates: a page an entry, with its verdict, a row for each rule, and room for the
// official to write and to sign.
#include <string.h>

#include "scrutiny.h"

/// The columns: rule and gauge, limit and tolerance, declared, verdict, measured, initials.
enum { RULE, LIMIT, DECLARED, VERDICT, MEASURED, INITIALS, COLUMNS };
static const double shares[COLUMNS] = {0.24, 0.19, 0.17, 0.13, 0.2, 0.07};
/// Between columns, mm.
#define GUTTER 2.4
/// The least height of a row, so that a pen has room, mm.
#define PEN_ROW 8.0
/// Most lines of a text: a page holds any rule.
#define TEXT_LINES 12
/// The reason for a rule may be a long one.
#define REASON_LINES 8
/// Most rules, and most differences, that are named under the verdict.
#define NAMED 6

struct certificate {
  struct pl_sheet *sheet;
  const struct pl_scrutiny_request *request;
  const struct pl_scrutinised *entry;
  struct pl_column column;
  double x[COLUMNS];
  double width[COLUMNS];
};

static void set_columns(struct certificate *certificate) {
  double x = 0;
  for (size_t i = 0; i < COLUMNS; i++) {
    const double share = certificate->column.width * shares[i];
    certificate->x[i] = x;
    certificate->width[i] = share - (i + 1 < COLUMNS ? GUTTER : 0);
    x += share;
  }
}

/// Puts a text into a column of a row; returns where it ends.
static double put(struct certificate *certificate, struct pl_cell *cell, size_t column,
                  double top, struct pl_type type, size_t most, const char *text) {
  const double floor = column == LIMIT ? PL_BODY : PL_TYPE_FLOOR;
  return pl_scrutiny_lines(certificate->sheet, cell, certificate->x[column], top,
                           certificate->width[column], type, floor, most, text);
}

// ---------------------------------------------------------------- heads

/// The heads of the columns, on each page anew.
static struct pl_scrutiny_heads heads_of(struct certificate *certificate) {
  static const enum pl_word words[COLUMNS] = {PL_WORD_RULE,     PL_WORD_LIMIT,
                                              PL_WORD_DECLARED, PL_WORD_VERDICT,
                                              PL_WORD_MEASURED, PL_WORD_INITIALS};
  struct pl_sheet *const sheet = certificate->sheet;
  struct pl_column scratch = {.width = certificate->column.width};
  struct pl_cell *const cell = pl_column_cell(sheet, &scratch, 0);
  double height = 0;
  for (size_t i = 0; i < COLUMNS; i++) {
    const double own =
        put(certificate, cell, i, 0, (struct pl_type){.size = PL_BODY, .bold = true}, 2,
            pl_word(sheet, words[i]));
    if (own > height) height = own;
  }
  return pl_scrutiny_heads(cell, height);
}

// ---------------------------------------------------------------- rows

static double add_name(struct certificate *certificate, struct pl_cell *cell,
                       const struct pl_rule *rule, bool failed) {
  struct pl_sheet *const sheet = certificate->sheet;
  const struct pl_type small = {.size = PL_COMPUTED};
  double y = put(certificate, cell, RULE, 0.8, (struct pl_type){.size = PL_BODY, .bold = true},
                 TEXT_LINES, pl_scrutiny_text_of(sheet, rule->name));
  if (rule->measure[0] != '\0')
    y = put(certificate, cell, RULE, y, small, REASON_LINES,
            pl_scrutiny_text_of(
                sheet, pl_word_with(sheet, PL_WORD_RULE_MEASURE, rule->measure, NULL)));
  if (failed)
    y = put(certificate, cell, RULE, y, small, REASON_LINES,
            pl_scrutiny_text_of(sheet, rule->because));
  return y;
}

static double add_limit(struct certificate *certificate, struct pl_cell *cell,
                        const struct pl_rule *rule) {
  struct pl_sheet *const sheet = certificate->sheet;
  const struct pl_type type = {.size = PL_BODY};
  double y = put(certificate, cell, LIMIT, 0.8, type, TEXT_LINES,
                 pl_limit_words(sheet, certificate->request->rules, rule));
  if (rule->tolerance > 0)
    y = put(certificate, cell, LIMIT, y, type, TEXT_LINES,
            pl_word_with(sheet, PL_WORD_RULE_TOLERANCE, rule->tolerance_text, NULL));
  return y;
}

/// The mark of a rule, and of a failure where and how far beyond.
static double add_verdict(struct certificate *certificate, struct pl_cell *cell,
                          const struct pl_rule_summary *summary) {
  struct pl_sheet *const sheet = certificate->sheet;
  const struct pl_type small = {.size = PL_COMPUTED};
  const struct pl_type strong = {.size = PL_COMPUTED, .bold = true};
  double y = pl_scrutiny_mark(sheet, cell, certificate->x[VERDICT], 0.8,
                              certificate->width[VERDICT], pl_standing_of_rule(summary));
  for (size_t i = 0; i < summary->failure_count; i++)
    y = put(certificate, cell, VERDICT, y, strong, TEXT_LINES, summary->failures[i]);
  if (summary->by_tolerance && !summary->failed)
    y = put(certificate, cell, VERDICT, y, small, TEXT_LINES,
            pl_word(sheet, PL_WORD_BY_TOLERANCE));
  return y;
}

static void add_rule(struct certificate *certificate, const struct pl_rule *rule) {
  struct pl_sheet *const sheet = certificate->sheet;
  const struct pl_rule_summary summary = pl_rule_summary(sheet, certificate->entry, rule);
  if (!summary.judged) return;
  struct pl_cell *const cell = pl_column_cell(sheet, &certificate->column, 0);
  double declared = 0.8;
  for (size_t i = 0; i < summary.declared_count; i++)
    declared = put(certificate, cell, DECLARED, declared, (struct pl_type){.size = PL_BODY},
                   TEXT_LINES, summary.declared[i]);
  if (summary.declared_count == 0)
    declared =
        put(certificate, cell, DECLARED, declared, (struct pl_type){.size = PL_BODY}, 1, "—");
  double measured = pl_scrutiny_slots(sheet, cell, certificate->x[MEASURED], 0.4,
                                      certificate->width[MEASURED], &summary);
  measured = pl_scrutiny_apart(sheet, cell, certificate->x[MEASURED], measured,
                               certificate->width[MEASURED], &summary);
  const double ends[] = {add_name(certificate, cell, rule, summary.failed),
                         add_limit(certificate, cell, rule), declared,
                         add_verdict(certificate, cell, &summary), measured};
  double height = PEN_ROW;
  for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
    if (ends[i] + 0.6 > height) height = ends[i] + 0.6;
  }
  cell->height = height;
  cell->rule = true;
  pl_cell_line(sheet, cell, certificate->x[INITIALS], 6.0, certificate->width[INITIALS]);
}

// ---------------------------------------------------------------- the entry

/// "Setup: … · Class: … · Group A".
static const char *entry_words(struct pl_sheet *sheet, const struct pl_scrutinised *entry) {
  const struct pl_thing class_thing = pl_thing_of_setting(PL_SETTING_CLASS);
  const bool needs_class = entry->judgement->rules->class_count > 0;
  const char *const class_name = entry->judgement->class_name;
  struct pl_buffer words = {.arena = sheet->arena};
  const struct {
    const char *label;
    const char *text;
  } parts[] = {
      {pl_word(sheet, PL_WORD_SETUP), entry->setup[0] != '\0' ? entry->setup : entry->file},
      {pl_thing_label(sheet->plan, &class_thing),
       class_name[0] == '\0' && needs_class ? "—" : class_name},
      {pl_word(sheet, PL_WORD_GROUP), entry->group}};
  for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
    if (parts[i].text[0] != '\0')
      pl_buffer_format(&words, "%s%s: %s", words.length == 0 ? "" : " · ", parts[i].label,
                       parts[i].text);
  }
  return pl_scrutiny_text_of(sheet, pl_buffer_string(&words));
}

static void draw_entry(struct pl_sheet *sheet, const struct pl_scrutinised *entry) {
  struct pl_column column = {.width = sheet->width};
  pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY + 1},
                      entry_words(sheet, entry));
  column.cells[column.count - 1].height += 0.6;
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

/// What was measured and is not as declared: "≠ Ride height, front left: 19 mm measured, …".
static void add_differences(struct certificate *certificate, struct pl_column *column) {
  struct pl_sheet *const sheet = certificate->sheet;
  const struct pl_judgement *const judgement = certificate->entry->judgement;
  const struct pl_type type = {.size = PL_BODY, .bold = true};
  for (size_t i = 0; i < judgement->difference_count && i < NAMED; i++) {
    const struct pl_difference *const one = &judgement->differences[i];
    const char *const place =
        one->place == PL_CAR
            ? ""
            : pl_format(sheet->arena, ", %s", pl_word_of_places(sheet, 1u << one->place));
    pl_column_paragraph(
        sheet, column, 0, type,
        pl_format(sheet->arena, "≠ %s%s: %s", pl_scrutiny_label(sheet, &one->thing), place,
                  pl_word_with(sheet, PL_WORD_APART_FROM,
                               pl_scrutiny_value(sheet, &one->thing, &one->measured),
                               pl_scrutiny_value(sheet, &one->thing, &one->declared))));
  }
  if (judgement->difference_count > NAMED)
    pl_column_paragraph(
        sheet, column, 0, type,
        pl_word_with(sheet, PL_WORD_MORE_MISTAKES,
                     pl_format(sheet->arena, "%zu", judgement->difference_count - NAMED),
                     NULL));
}

/// How the entry stands, and why.
static void draw_standing(struct certificate *certificate) {
  struct pl_sheet *const sheet = certificate->sheet;
  const struct pl_scrutinised *const entry = certificate->entry;
  const struct pl_type type = {.size = PL_BODY};
  const enum pl_standing standing = pl_standing_of(entry);
  struct pl_column column = {.width = sheet->width};
  struct pl_cell *const cell = pl_column_cell(sheet, &column, 0);
  const double room = sheet->width * 0.22;
  const char *const why =
      standing == PL_STANDS_FAILED ? pl_rules_named(sheet, entry, PL_FAILS, NAMED)
      : standing == PL_STANDS_OPEN || standing == PL_STANDS_EMPTY
          ? pl_word_with(sheet, PL_WORD_NEEDS_MEASURING,
                         pl_rules_named(sheet, entry, PL_CANNOT_BE_JUDGED, NAMED), NULL)
          : "";
  const double mark = pl_scrutiny_mark(sheet, cell, 0, 0.8, room - GUTTER, standing);
  const double words =
      pl_scrutiny_lines(sheet, cell, room, 1, sheet->width - room,
                        (struct pl_type){.size = PL_BODY, .bold = standing == PL_STANDS_FAILED},
                        PL_TYPE_FLOOR, TEXT_LINES, why);
  cell->height = (mark > words ? mark : words) + 0.6;
  if (entry->mistake[0] != '\0') {
    if (standing != PL_STANDS_MISTAKEN) {
      struct pl_cell *const own = pl_column_cell(sheet, &column, 0);
      own->height = pl_scrutiny_mark(sheet, own, 0, 0, room - GUTTER, PL_STANDS_MISTAKEN) + 0.4;
    }
    pl_column_paragraph(sheet, &column, 0, type, pl_scrutiny_text_of(sheet, entry->mistake));
  }
  add_differences(certificate, &column);
  pl_flow_columns(sheet, &column, 1, NULL, false);
  pl_flow_gap(sheet, 2);
}

/// Boxes to tick, and a line to sign on.
static void draw_signature(struct pl_sheet *sheet) {
  struct pl_column column = {.width = sheet->width};
  struct pl_cell *const cell = pl_column_cell(sheet, &column, 0);
  const struct pl_type type = {.size = PL_BODY};
  const double half = sheet->width * 0.22;
  const double line = 11;
  const enum pl_word words[] = {PL_WORD_PASSES, PL_WORD_FAILS};
  for (size_t i = 0; i < 2; i++) {
    const double y = 2.2 + 5.4 * (double)i;
    struct pl_page *const box = pl_picture_new(sheet->arena, 3.2, 3.2);
    pl_draw_rectangle(box, 0.1, 0.1, 3, 3, PL_INK_NONE,
                      (struct pl_stroke){.width = 0.3, .ink = PL_INK_BLACK});
    pl_cell_picture(sheet, cell, 0, y, box);
    pl_scrutiny_lines(sheet, cell, 4.6, y, half - 6, type, PL_TYPE_FLOOR, 1,
                      pl_word(sheet, words[i]));
  }
  pl_cell_line(sheet, cell, half, line, sheet->width - half);
  cell->height = pl_scrutiny_lines(sheet, cell, half, line + 0.4, sheet->width - half, type,
                                   PL_TYPE_FLOOR, 2, pl_word(sheet, PL_WORD_OFFICIAL));
  cell->strong_rule = true;
  pl_flow_gap(sheet, 1);
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

/// The pages of one entry, as a paper of its own.
static struct pl_paper *certificate_of(struct pl_arena *arena,
                                       const struct pl_scrutiny_request *request,
                                       const struct pl_scrutinised *entry) {
  struct pl_sheet *const sheet = pl_scrutiny_sheet(arena, request, request->direction);
  const char *const name = entry->driver[0] != '\0'  ? entry->driver
                           : entry->setup[0] != '\0' ? entry->setup
                                                     : entry->file;
  const char *const title =
      pl_format(arena, "%s%s%s · %s", entry->number, entry->number[0] == '\0' ? "" : "  ", name,
                pl_scrutiny_event(sheet, request));
  pl_plain_sheet_start(sheet, pl_scrutiny_text_of(sheet, title));
  draw_entry(sheet, entry);
  pl_scrutiny_facts(sheet, request, false);
  struct certificate certificate = {
      .sheet = sheet, .request = request, .entry = entry, .column = {.width = sheet->width}};
  set_columns(&certificate);
  draw_standing(&certificate);
  for (size_t i = 0; i < request->rules->count; i++)
    add_rule(&certificate, &request->rules->items[i]);
  const struct pl_scrutiny_heads heads = heads_of(&certificate);
  pl_flow_columns(sheet, &certificate.column, 1, &heads.head, false);
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
