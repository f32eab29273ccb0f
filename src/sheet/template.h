// SPDX-License-Identifier: GPL-3.0-or-later
// template: what the reading of a template's blocks and of their keys share. For this room
// alone.
#ifndef PITLEAF_SHEET_TEMPLATE_H
#define PITLEAF_SHEET_TEMPLATE_H

#include "room.h"

/// A template being read.
struct reading {
  struct pl_arena *arena;
  struct pl_program *program;
  struct pl_diagnostics *problems;
  struct pl_template *template;
  const char *block;            ///< what is being read, for messages
  const struct pl_node **words; ///< properties of `words`, read when all parts are known
  size_t word_count;
  size_t word_capacity;
};

/// Reads a property of the template itself (`part` null) or of one of its parts.
void pl_template_key(struct reading *reading, const struct pl_node *property,
                     struct pl_template_part *part);
/// Says that the value of a property is none that it can have.
void pl_template_misfit(struct reading *reading, const struct pl_node *property,
                        const char *wanted);
/// Drops the parts that `without` names.
void pl_template_drop(struct reading *reading, const struct pl_node *property);
/// The word for a kind of block in a template.
const char *pl_page_part_name(enum pl_part_of_page kind);

#endif
