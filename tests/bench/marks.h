// SPDX-License-Identifier: GPL-3.0-or-later
// What a sheet's marks are to the bare PDF library: written by marks.c, drawn by
// baseline_pdf.c, which shares nothing else with the program.
#ifndef PITLEAF_TESTS_BENCH_MARKS_H
#define PITLEAF_TESTS_BENCH_MARKS_H

#include <stdint.h>

enum drawn_kind {
  DRAWN_PAGE,      ///< width, height
  DRAWN_TEXT,      ///< x, y, size; count bytes of text follow
  DRAWN_LINE,      ///< count pairs of numbers follow
  DRAWN_POLYGON,   ///< the same
  DRAWN_RECTANGLE, ///< x, y of the lower left corner, width, height
  DRAWN_CIRCLE     ///< x, y of the middle, width
};

/// Lengths in points, y upward. Tones are greys from 0 to 1, below 0 where there is none: an
/// ink of its own for each of the program's.
struct drawn {
  int32_t kind;
  int32_t bold;
  int32_t dash; ///< 0 solid, 1 dashed, 2 dotted
  uint32_t count;
  float x;
  float y;
  float width;
  float height;
  float size;
  float fill;
  float stroke;
  float line_width;
};

#endif
