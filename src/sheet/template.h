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
  size_t part_count;            ///< of all parts, those within others counted too
  const struct pl_node **words; ///< properties of `words`, read when all parts are known
  size_t word_count;
  size_t word_capacity;
  struct pl_map *said; ///< all titles, headings and items of templates; null: not asked for yet
};

/// Reads a property of the template itself (`part` null) or of one of its parts.
void pl_template_key(struct reading *reading, const struct pl_node *property,
                     struct pl_template_part *part);
/// Calls `visit` with each key of that kind of block (PL_PAGE_PART_COUNT: the template itself).
void pl_template_each_key(enum pl_part_of_page kind,
                          void (*visit)(void *context, const char *word, bool is_key),
                          void *context);
/// Says that the value of a property is none that it can have.
void pl_template_misfit(struct reading *reading, const struct pl_node *property,
                        const char *wanted);
/// Reads a property `"What stands there" = "what is to stand there"`, of a text of the program
/// or of the template's titles, headings and items; mistakes are reported.
void pl_word_read(struct reading *reading, const struct pl_node *property);
/// Is that a title, a heading or an item of any template that is built in or in the program?
bool pl_template_says(struct reading *reading, const char *text);
/// Takes over the labels and words of the template that `language` names.
void pl_template_language(struct reading *reading, const struct pl_node *property);
/// Drops the parts that `without` names.
void pl_template_drop(struct reading *reading, const struct pl_node *property);
/// The word for a kind of block in a template.
const char *pl_page_part_name(enum pl_part_of_page kind);

#endif
