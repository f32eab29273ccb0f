// SPDX-License-Identifier: GPL-3.0-or-later
// What the drawings to scale share: lengths of parts, scales, texts.
#include "drawing.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- what is declared

double pl_part_number(const struct pl_part *part, enum pl_setting setting) {
  if (part == NULL) return NAN;
  const struct pl_value *const value = &pl_part_get(part, setting)->value;
  return value->kind == PL_VALUE_NUMBER && isfinite(value->number) ? value->number : NAN;
}

double pl_part_length(const struct pl_part *part, enum pl_setting setting) {
  const double length = pl_part_number(part, setting) * 1e3;
  return length > 0 ? length : NAN;
}

size_t pl_part_count(const struct pl_part *part, enum pl_setting setting, size_t otherwise) {
  const double count = pl_part_number(part, setting);
  return count >= 0 && count < 1000 ? (size_t)count : otherwise;
}

bool pl_part_says(const struct pl_part *part, enum pl_setting setting, const char *word) {
  if (part == NULL) return false;
  const struct pl_value *const value = &pl_part_get(part, setting)->value;
  return value->kind == PL_VALUE_TEXT && strcmp(value->text, word) == 0;
}

static const char *with_unit(const struct pl_sheet *sheet, enum pl_setting setting,
                             const struct pl_value *value) {
  const struct pl_printed printed =
      pl_print_setting(sheet->arena, setting, value, sheet->request->system);
  const char *const text = pl_paper_number(sheet->arena, setting, printed.text);
  return printed.unit[0] == '\0' ? text : pl_format(sheet->arena, "%s %s", text, printed.unit);
}

const char *pl_drawn_number(const struct pl_sheet *sheet, enum pl_setting setting, double si) {
  const struct pl_value value = {.kind = PL_VALUE_NUMBER, .dimension = PL_LENGTH, .number = si};
  return with_unit(sheet, setting, &value);
}

const char *pl_drawn_value(const struct pl_sheet *sheet, const struct pl_part *part,
                           enum pl_setting setting) {
  return with_unit(sheet, setting, &pl_part_get(part, setting)->value);
}

const char *pl_drawn_label(const struct pl_sheet *sheet, enum pl_setting setting) {
  const struct pl_thing thing = {
      .kind = PL_THING_SETTING, .setting = setting, .figure = PL_FIGURE_COUNT};
  return pl_thing_label(sheet->plan, &thing);
}

// ---------------------------------------------------------------- scales

/// A sum of lengths that is as large as the room for it counts as fitting.
#define ROUNDING 1e-9

double pl_scale_below(double most) {
  if (most >= 1 - ROUNDING) return floor(2 * most + ROUNDING) / 2;
  return 2 / ceil(2 / most - ROUNDING);
}

const char *pl_scale_text(struct pl_arena *arena, double scale) {
  char number[40];
  if (scale >= 1) {
    pl_number_shortest(number, sizeof number, scale, 6);
    return pl_format(arena, "%s : 1", number);
  }
  pl_number_shortest(number, sizeof number, 1 / scale, 6);
  return pl_format(arena, "1 : %s", number);
}

// ---------------------------------------------------------------- texts

double pl_picture_lines(struct pl_sheet *sheet, struct pl_page *page, double x, double y,
                        double width, struct pl_type type, const char *text) {
  size_t count = 0;
  const char *const *const lines = pl_text_wrap(sheet->arena, pl_sheet_printable(sheet, text),
                                                type.size, type.bold, width, &count);
  for (size_t i = 0; i < count; i++) {
    pl_picture_text(sheet, page, x, y + pl_line_base(type.size), type, lines[i]);
    y += pl_line_height(type.size);
  }
  return y;
}
