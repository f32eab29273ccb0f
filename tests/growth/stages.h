// SPDX-License-Identifier: GPL-3.0-or-later
// What is done with a file, in stages whose work is counted apart.
#ifndef PITLEAF_TESTS_GROWTH_STAGES_H
#define PITLEAF_TESTS_GROWTH_STAGES_H

#include "support.h"

#include <stdint.h>

enum stage {
  STAGE_READ,       ///< tokens and tree
  STAGE_CHECK,      ///< as `pitleaf check`
  STAGE_TELL,       ///< the problems as text, JSON and SARIF
  STAGE_TIDY,       ///< laid out, read again, compared
  STAGE_FIGURES,    ///< of the first setup, in all forms
  STAGE_EXPLAIN,    ///< where its settings came from
  STAGE_DIFFERENCE, ///< from the same file with a line more, and the flat text
  STAGE_SHEET,      ///< marks on pages
  STAGE_PDF,
  STAGE_JUDGE,   ///< each entry, or the setup, by the rules
  STAGE_PACKET,  ///< the cover of the meeting, the list and the certificates
  STAGE_OPEN,    ///< in an editor, until the problems are told
  STAGE_CHANGE,  ///< a letter, likewise
  STAGE_ANSWERS, ///< to each request
  STAGE_COUNT
};

extern const char *const stage_names[STAGE_COUNT];

/// What went into each stage, and the bytes that the model took.
struct taken {
  uint64_t work[STAGE_COUNT];
  size_t bytes;
};

/// Goes through all stages that make sense for the file; the others take nothing. The bench has
/// a folder, in which the file's includes are.
struct taken go_through(struct pl_bench *bench, const char *text);

#endif
