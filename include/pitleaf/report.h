// SPDX-License-Identifier: GPL-3.0-or-later
// report: what the program found, as text, JSON and CSV. Everything is returned as text in the
// given arena; nothing is printed here.
#ifndef PITLEAF_REPORT_H
#define PITLEAF_REPORT_H

#include "pitleaf/base.h"
#include "pitleaf/model.h"

/// How text is laid out for its reader.
struct pl_text_style {
  size_t width;  ///< columns of the terminal
  bool colour;   ///< escape sequences; never the only sign of anything
  enum pl_unit_system system;
};

/// A problem with its place, the source line with the place underlined, and the mend.
const char *pl_problem_text(struct pl_arena *arena, const struct pl_diagnostic *problem,
                            const struct pl_text_style *style);

/// Text made harmless for a terminal: control and direction-changing characters are shown by
/// their code points.
const char *pl_text_safe(struct pl_arena *arena, const char *text);

/// Columns that a text takes on a terminal.
size_t pl_text_columns(const char *text);

#endif
