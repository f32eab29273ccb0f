// SPDX-License-Identifier: GPL-3.0-or-later
// What tests of sheets read off a paper. Include it after cmocka.h.
#ifndef PITLEAF_TESTS_PAPER_H
#define PITLEAF_TESTS_PAPER_H

#include <string.h>

#include "pitleaf/sheet.h"

/// The number of texts on the paper that are this one, whole.
static inline size_t pl_count_texts(const struct pl_paper *paper, const char *text) {
  size_t count = 0;
  for (size_t page = 0; page < paper->page_count; page++) {
    for (size_t i = 0; i < paper->pages[page]->count; i++) {
      const struct pl_mark *const mark = &paper->pages[page]->marks[i];
      if (mark->kind == PL_MARK_TEXT && strcmp(mark->text, text) == 0) count++;
    }
  }
  return count;
}

/// All texts of the paper with blanks between them, as a reader goes through them.
static inline const char *pl_paper_words(struct pl_arena *arena, const struct pl_paper *paper) {
  struct pl_buffer out = {.arena = arena};
  for (size_t page = 0; page < paper->page_count; page++) {
    for (size_t i = 0; i < paper->pages[page]->count; i++) {
      const struct pl_mark *const mark = &paper->pages[page]->marks[i];
      if (mark->kind == PL_MARK_TEXT) pl_buffer_format(&out, "%s ", mark->text);
    }
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- room

/// Rounding of sums of lengths, mm.
#define PL_PAPER_SLACK 0.02

/// The least between two texts beside each other, a number and its degree sign, mm.
#define PL_PAPER_GAP 0.15

struct pl_text_box {
  double left, right, top, bottom;
};

static inline struct pl_text_box pl_text_box_of(const struct pl_mark *mark) {
  const struct pl_text_metrics metrics = pl_text_metrics(mark->type.size, mark->type.bold);
  return (struct pl_text_box){.left = mark->x,
                              .right = mark->x + mark->width,
                              .top = mark->y - metrics.ascent,
                              .bottom = mark->y + metrics.descent};
}

/// Lines and shapes stay on the page.
static inline void pl_check_shape(const struct pl_page *page, const struct pl_mark *mark,
                                  const char *which) {
  const double half = mark->kind == PL_MARK_CIRCLE ? mark->width / 2 : 0;
  const bool has_box = mark->spot_count == 0;
  bool inside = !has_box || (mark->x - half >= 0 && mark->y - half >= 0 &&
                             mark->x + mark->width - half <= page->width &&
                             mark->y + mark->height - half <= page->height);
  for (size_t i = 0; i < mark->spot_count; i++)
    inside = inside && mark->spots[i].x >= 0 && mark->spots[i].x <= page->width &&
             mark->spots[i].y >= 0 && mark->spots[i].y <= page->height;
  if (!inside) fail_msg("%s: a shape leaves the page", which);
}

/// Fails the test if a text leaves the margins, is too small, or touches another one, or if a
/// shape leaves the page.
static inline void pl_check_page(const struct pl_page *page, double margin, const char *which) {
  const double slack = PL_PAPER_SLACK;
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind != PL_MARK_TEXT) {
      pl_check_shape(page, mark, which);
      continue;
    }
    const struct pl_text_box a = pl_text_box_of(mark);
    if (a.left < margin - slack || a.right > page->width - margin + slack ||
        a.top < margin - slack || a.bottom > page->height - margin + slack)
      fail_msg("%s: \"%s\" leaves the margins", which, mark->text);
    if (mark->type.size < PL_TYPE_FLOOR) fail_msg("%s: too small type", which);
    for (size_t j = i + 1; j < page->count; j++) {
      if (page->marks[j].kind != PL_MARK_TEXT) continue;
      const struct pl_text_box b = pl_text_box_of(&page->marks[j]);
      if (a.left < b.right + PL_PAPER_GAP && b.left < a.right + PL_PAPER_GAP &&
          a.top + slack < b.bottom && b.top + slack < a.bottom)
        fail_msg("%s: \"%s\" and \"%s\" touch at %.1f %.1f", which, mark->text,
                 page->marks[j].text, a.left, a.top);
    }
  }
}

#endif
