// SPDX-License-Identifier: GPL-3.0-or-later
// What the drawings to scale share: lengths of parts, scales, lines, texts. For this room
// alone.
#ifndef PITLEAF_SHEET_DRAWING_H
#define PITLEAF_SHEET_DRAWING_H

#include "room.h"

// ---------------------------------------------------------------- lines

/// What is declared; what is drawn in likely proportion; dimensions and their leaders. A hair
/// line of a dimension is black, because printers make dots of a thin grey one.
#define PL_STROKE_DECLARED                                                                     \
  ((struct pl_stroke){.width = 0.3, .ink = PL_INK_BLACK, .dash = PL_SOLID})
#define PL_STROKE_LIKELY                                                                       \
  ((struct pl_stroke){.width = 0.15, .ink = PL_INK_GREY, .dash = PL_SOLID})
#define PL_STROKE_HAIR                                                                         \
  ((struct pl_stroke){.width = PL_HAIR, .ink = PL_INK_BLACK, .dash = PL_SOLID})
#define PL_STROKE_NONE ((struct pl_stroke){.width = 0})

// ---------------------------------------------------------------- what is declared

/// A number of a part, in SI units; NaN where the part (null: none) does not say it.
double pl_part_number(const struct pl_part *part, enum pl_setting setting);
/// The same of a length, mm; NaN also where it is not above zero.
double pl_part_length(const struct pl_part *part, enum pl_setting setting);
/// How many the part says there are; `otherwise` where it does not say it.
size_t pl_part_count(const struct pl_part *part, enum pl_setting setting, size_t otherwise);
/// Does the part say `word` there?
bool pl_part_says(const struct pl_part *part, enum pl_setting setting, const char *word);

/// A length (SI) as the sheet prints that setting, with its unit ("12.90 mm").
const char *pl_drawn_number(const struct pl_sheet *sheet, enum pl_setting setting, double si);
/// The part's own value as the sheet prints it, with its tolerance and unit.
const char *pl_drawn_value(const struct pl_sheet *sheet, const struct pl_part *part,
                           enum pl_setting setting);
/// What the setting is called on this sheet.
const char *pl_drawn_label(const struct pl_sheet *sheet, enum pl_setting setting);

// ---------------------------------------------------------------- scales

/// The largest of the scales 1 : 1, 1.5 : 1, 2 : 1, 2.5 : 1 … and 1 : 1.5, 1 : 2, 1 : 2.5 …
/// that is not above `most`, a number above zero.
double pl_scale_below(double most);
/// "2 : 1", "1 : 1.5".
const char *pl_scale_text(struct pl_arena *arena, double scale);

// ---------------------------------------------------------------- texts

/// Lines of text from `y` down (their top) in `width` mm from `x` on; returns where they end.
double pl_picture_lines(struct pl_sheet *sheet, struct pl_page *page, double x, double y,
                        double width, struct pl_type type, const char *text);

#endif
