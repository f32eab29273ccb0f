// SPDX-License-Identifier: GPL-3.0-or-later
// Files that are absurd in one way each, as large as one likes.
#ifndef PITLEAF_TESTS_GROWTH_TEXTS_H
#define PITLEAF_TESTS_GROWTH_TEXTS_H

#include "pitleaf/base.h"

/// A file that is absurd in one way.
struct absurd {
  const char *name;
  int count; ///< the smallest that is tried; then twice, four and eight times as many
  /// Either a text that is repeated, `%d` in it being its number, between two others ...
  const char *head;
  const char *item;
  const char *tail;
  /// ... or what writes the file, and those that it includes.
  void (*write)(struct pl_buffer *text, int count);
  bool is_limited; ///< a limit of limits.def ends what grows
};

extern const struct absurd absurd_files[];
extern const size_t absurd_file_count;

/// The file with `count` of what makes it absurd.
void write_absurd(struct pl_buffer *text, const struct absurd *file, int count);

#endif
