// SPDX-License-Identifier: GPL-3.0-or-later
// font: the two faces of the sheet as src/sheet/font/cut.py makes them. For this room alone.
#ifndef PITLEAF_SHEET_FONT_H
#define PITLEAF_SHEET_FONT_H

#include <stddef.h>
#include <stdint.h>

/// A character of a face and how far it moves the pen.
struct pl_glyph {
  uint16_t codepoint;
  uint16_t advance; ///< 1/1000 of the size
};

/// One face. All lengths are 1/1000 of the size, which is the unit of the file as well: widths
/// in the PDF and widths measured here are the same whole numbers.
struct pl_face {
  const unsigned char *bytes; ///< a TrueType file
  size_t length;
  const struct pl_glyph *glyphs; ///< by rising code point; the first 95 are U+0020 to U+007E
  size_t glyph_count;
  int ascent;  ///< top of the tallest letter
  int descent; ///< bottom of the lowest letter, positive
  int cap_height;
  int x_height;
};

/// Regular and bold, in this order; both have the same characters.
extern const struct pl_face pl_faces[2];

#endif
