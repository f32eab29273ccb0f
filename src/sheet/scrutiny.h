// SPDX-License-Identifier: GPL-3.0-or-later
// scrutiny: what the list and the certificates share. For this room alone.
#ifndef PITLEAF_SHEET_SCRUTINY_H
#define PITLEAF_SHEET_SCRUTINY_H

#include "room.h"

/// What a rule says of an entry at all its places together.
struct pl_rule_summary {
  bool judged; ///< false: the rule is not for this entry
  bool failed;
  bool unknown;
  bool by_tolerance;
  const char *values; ///< declared or measured, those that differ parted by strokes
  const char *limit;
};

struct pl_rule_summary pl_rule_summary(struct pl_arena *arena,
                                       const struct pl_scrutinised *entry,
                                       const struct pl_rule *rule);
/// "✓ 13.00 mm", "fails 16.00 mm", "measure".
const char *pl_rule_summary_words(struct pl_sheet *sheet,
                                  const struct pl_rule_summary *summary);

struct pl_sheet *pl_scrutiny_sheet(struct pl_arena *arena,
                                   const struct pl_scrutiny_request *request,
                                   enum pl_direction direction);
void pl_scrutiny_facts(struct pl_sheet *sheet, const struct pl_rules *rules);

#endif
