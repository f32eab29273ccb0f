// SPDX-License-Identifier: GPL-3.0-or-later
// spans: what rules leave of a thing, to find those that contradict each other. For this room
// alone.
#ifndef PITLEAF_RULES_SPANS_H
#define PITLEAF_RULES_SPANS_H

#include "read.h"

/// Reports rules of which nothing is left, by themselves or together with another one that
/// applies to the same entries.
void check_contradictions(struct reading *reading, const struct pl_rules *rules);

#endif
