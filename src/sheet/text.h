// SPDX-License-Identifier: GPL-3.0-or-later
// text: what the measuring and the breaking of text share. For this room alone.
#ifndef PITLEAF_SHEET_TEXT_H
#define PITLEAF_SHEET_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/// The first character of a text that is not empty, and how many bytes it takes. A byte that is
/// not UTF-8 counts as one U+FFFD.
uint32_t pl_next_codepoint(const char *text, size_t *bytes);

/// How far a character moves the pen, in 1/1000 of the size; 500 if the font lacks it.
size_t pl_glyph_advance(uint32_t codepoint, bool bold);

/// A sum of advances as mm at `size` pt.
double pl_advance_width(size_t advance, double size);

#endif
