// SPDX-License-Identifier: GPL-3.0-or-later
// Scrutineering on paper: marks that say at a glance how something stands, and lines to write
// measured values on.
#include <string.h>

#include "scrutiny.h"

/// Height of a line to write a measured value on, mm.
#define PEN_LINE 5.6
/// Between lines to write on that stand beside each other, mm.
#define SLOT_GAP 2.0
/// Around the words of a mark, mm.
#define MARK_PAD 0.7

static const struct pl_stroke frame = {.width = 0.3, .ink = PL_INK_BLACK};
static const struct pl_stroke dashed = {.width = 0.3, .ink = PL_INK_BLACK, .dash = PL_DASHED};

// ---------------------------------------------------------------- texts

/// The end of the part of a word that stays together.
static const char *part_end(const char *text) {
  while (*text != '\0' && *text != ' ' && strchr("-/_.", *text) == NULL) text++;
  return *text == '\0' || *text == ' ' ? text : text + 1;
}

/// The size at which no part of a word is wider than `width`, at least `floor`.
static double size_for(struct pl_sheet *sheet, const char *text, struct pl_type type,
                       double floor, double width) {
  double size = type.size;
  for (const char *at = text; *at != '\0';) {
    const char *const end = part_end(at);
    const char *const part = pl_copy_text(sheet->arena, at, (size_t)(end - at));
    while (size > floor && pl_text_width(part, size, type.bold) > width) size -= 0.25;
    at = *end == ' ' ? end + 1 : end;
  }
  return size < floor ? floor : size;
}

double pl_scrutiny_lines(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                         double width, struct pl_type type, double floor, size_t most,
                         const char *text) {
  if (text[0] == '\0') return top;
  const char *const printable = pl_sheet_printable(sheet, text);
  type.size = size_for(sheet, printable, type, floor, width);
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(sheet->arena, printable, type.size, type.bold, width, &count);
  const size_t shown = count > most ? most : count;
  const double height = pl_line_height(type.size);
  for (size_t i = 0; i < shown; i++)
    pl_cell_text(sheet, cell, x, top + (double)i * height, type, lines[i]);
  if (shown == count) return top + (double)count * height;
  pl_cell_text(sheet, cell, x, top + (double)shown * height, type, "…");
  return top + (double)(shown + 1) * height;
}

// ---------------------------------------------------------------- marks

/// The words of a mark in a box, white on black or black on white.
static double draw_box(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                       double width, const char *words, enum pl_standing standing) {
  const bool black = standing == PL_STANDS_FAILED;
  struct pl_type type = {
      .size = PL_BODY, .bold = true, .ink = black ? PL_INK_WHITE : PL_INK_BLACK};
  const double sign = standing == PL_STANDS_MISTAKEN ? 2.6 : 0;
  const double room = width - 2 * MARK_PAD - sign;
  type.size = size_for(sheet, words, type, PL_TYPE_FLOOR, room);
  size_t count = 0;
  const char *const *const lines =
      pl_text_wrap(sheet->arena, words, type.size, type.bold, room, &count);
  double widest = 0;
  for (size_t i = 0; i < count; i++) {
    const double own = pl_text_width(lines[i], type.size, type.bold);
    if (own > widest) widest = own;
  }
  const double line = pl_line_height(type.size);
  const double height = (double)count * line + 0.2;
  struct pl_page *const box =
      pl_picture_new(sheet->arena, widest + 2 * MARK_PAD + sign, height + 0.2);
  pl_draw_rectangle(box, 0.15, 0.1, box->width - 0.3, height,
                    black ? PL_INK_BLACK : PL_INK_NONE,
                    standing == PL_STANDS_EMPTY ? dashed : frame);
  if (sign > 0) {
    // A black bar at the side with a sign in it: no other mark has one.
    const struct pl_type white = {
        .size = PL_BODY, .bold = true, .ink = PL_INK_WHITE, .anchor = PL_ANCHOR_CENTRE};
    const double middle = (height - pl_line_height(PL_BODY)) / 2;
    pl_draw_rectangle(box, 0.15, 0.1, 2, height, PL_INK_BLACK, frame);
    pl_picture_text(sheet, box, 1.15, 0.1 + middle + pl_line_base(PL_BODY), white, "!");
  }
  for (size_t i = 0; i < count; i++)
    pl_picture_text(sheet, box, MARK_PAD + sign,
                    0.2 + (double)i * line + pl_line_base(type.size), type, lines[i]);
  pl_cell_picture(sheet, cell, x, top, box);
  return top + box->height + 0.3;
}

double pl_scrutiny_mark(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                        double width, enum pl_standing standing) {
  static const enum pl_word words[] = {
      [PL_STANDS_PASSED] = PL_WORD_PASSES,   [PL_STANDS_FAILED] = PL_WORD_FAILS,
      [PL_STANDS_OPEN] = PL_WORD_TO_MEASURE, [PL_STANDS_MISTAKEN] = PL_WORD_HAS_MISTAKES,
      [PL_STANDS_EMPTY] = PL_WORD_NO_FILE,   [PL_STANDS_ELSEWHERE] = PL_WORD_OTHER_CLASS};
  const char *const text = pl_word(sheet, words[standing]);
  if (standing == PL_STANDS_PASSED || standing == PL_STANDS_ELSEWHERE)
    return pl_scrutiny_lines(
        sheet, cell, x, top, width, (struct pl_type){.size = PL_BODY}, PL_TYPE_FLOOR, 8,
        standing == PL_STANDS_PASSED ? pl_word_with(sheet, PL_WORD_KEPT, text, NULL) : text);
  return draw_box(sheet, cell, x, top, width, text, standing);
}

double pl_scrutiny_apart(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                         double width, const struct pl_rule_summary *summary) {
  const char *apart = "";
  for (size_t i = 0; i < summary->slot_count && apart[0] == '\0'; i++)
    apart = summary->slots[i].apart;
  if (!summary->is_apart) return top;
  const char *const words =
      pl_format(sheet->arena, "≠ %s%s%s", pl_word(sheet, PL_WORD_NOT_AS_DECLARED),
                apart[0] == '\0' ? "" : ", ",
                apart[0] == '\0' ? "" : pl_word_with(sheet, PL_WORD_APART, apart, NULL));
  return pl_scrutiny_lines(sheet, cell, x, top, width,
                           (struct pl_type){.size = PL_COMPUTED, .bold = true}, PL_TYPE_FLOOR,
                           6, pl_paper_minus(sheet->arena, words));
}

// ---------------------------------------------------------------- slots

/// What was measured, in one line if it can be set so, above the line to write on.
static double add_measured(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                           double width, const struct pl_slot *slot) {
  const double fitting = pl_text_fit(slot->measured, PL_BODY, true, width);
  const struct pl_type type = {.size = fitting > 0 ? fitting : PL_TYPE_FLOOR, .bold = true};
  return pl_scrutiny_lines(sheet, cell, x, top + 1.4, width, type, PL_TYPE_FLOOR, 6,
                           slot->measured);
}

/// A line to write on with what was measured on it and its label beneath; returns where it
/// ends.
static double draw_slot(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                        double width, double line, const struct pl_slot *slot) {
  const double fitting = pl_text_fit(slot->label, PL_SMALL, false, width);
  const struct pl_type type = {.size = fitting > 0 ? fitting : PL_TYPE_FLOOR};
  add_measured(sheet, cell, x, top, width, slot);
  pl_cell_line(sheet, cell, x, top + line, width);
  return pl_scrutiny_lines(sheet, cell, x, top + line + 0.1, width, type, PL_TYPE_FLOOR, 4,
                           slot->label);
}

/// How far down the line of a slot is: what was measured may take several lines of text.
static double line_of(struct pl_sheet *sheet, double width, const struct pl_slot *slot) {
  struct pl_cell scratch = {.height = 0};
  const double end = add_measured(sheet, &scratch, 0, 0, width, slot);
  return end + 0.4 > PEN_LINE ? end + 0.4 : PEN_LINE;
}

double pl_scrutiny_slots(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                         double width, const struct pl_rule_summary *summary) {
  const size_t beside = summary->slot_count > 1 ? 2 : 1;
  const double own = (width - SLOT_GAP * (double)(beside - 1)) / (double)beside;
  for (size_t i = 0; i < summary->slot_count; i += beside) {
    double line = 0;
    double lowest = top;
    for (size_t j = i; j < i + beside && j < summary->slot_count; j++) {
      const double one = line_of(sheet, own, &summary->slots[j]);
      if (one > line) line = one;
    }
    for (size_t j = i; j < i + beside && j < summary->slot_count; j++) {
      const double end = draw_slot(sheet, cell, x + (double)(j - i) * (own + SLOT_GAP), top,
                                   own, line, &summary->slots[j]);
      if (end > lowest) lowest = end;
    }
    top = lowest + 0.3;
  }
  return top;
}

// ---------------------------------------------------------------- heads

static void draw_heads(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again) {
  const struct pl_scrutiny_heads *const heads = (const struct pl_scrutiny_heads *)head;
  (void)again;
  for (size_t i = 0; i < heads->cell->count; i++) {
    const struct pl_piece *const piece = &heads->cell->pieces[i];
    pl_draw_text(sheet->page, sheet->left + piece->x, sheet->y + piece->y, piece->type,
                 piece->text);
  }
  const double y = sheet->y + heads->head.height;
  pl_draw_line(sheet->page, sheet->left, y, sheet->left + sheet->width, y,
               (struct pl_stroke){.width = 0.25, .ink = PL_INK_BLACK});
}

struct pl_scrutiny_heads pl_scrutiny_heads(const struct pl_cell *cell, double height) {
  return (struct pl_scrutiny_heads){.head = {.draw = draw_heads, .height = height + 0.8},
                                    .cell = cell};
}
