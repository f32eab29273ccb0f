// SPDX-License-Identifier: GPL-3.0-or-later
// read: what reading rules and checking their sense share. For this room alone.
#ifndef PITLEAF_RULES_READ_H
#define PITLEAF_RULES_READ_H

#include "room.h"

/// Rules being read.
struct reading {
  struct pl_arena *arena;
  struct pl_program *program;
  struct pl_diagnostics *problems;
  size_t capacity;       ///< of the rules
  struct pl_map *places; ///< of the rules by their names
  struct pl_span classes_span;
  bool has_no_class; ///< `applies-to` is an empty list
};

/// Reads a block after what it starts from.
void read_rules(struct reading *reading, const struct pl_node *node, struct pl_rules *rules,
                size_t depth);
struct pl_rules *rules_of_block(struct reading *reading, const struct pl_block *block);

/// Reports what is wrong with the sense of rules: names, dimensions, places, rules that never
/// apply and rules that no car can keep.
void check_rules(struct reading *reading, const struct pl_rules *rules);

#endif
