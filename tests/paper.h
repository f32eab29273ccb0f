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

#endif
