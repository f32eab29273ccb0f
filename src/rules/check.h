// SPDX-License-Identifier: GPL-3.0-or-later
// check: what the checks of a rule's sense share. For this room alone.
#ifndef PITLEAF_RULES_CHECK_H
#define PITLEAF_RULES_CHECK_H

#include "read.h"

/// A rule being checked.
struct checking {
  struct reading *reading;
  const struct pl_rule *rule;
  struct judged judged;
};

/// "a length", "a text": what a value is, as it is spoken of.
const char *words_of_value(struct checking *checking, const struct pl_value *value);
/// Is it a function that goes over corners?
bool is_over_function(const struct pl_node *call);

// ---------------------------------------------------------------- slips of the pen

/// Reports words that stand side by side in a condition: "four shocks", "13 mm for each
/// corner".
void report_words(struct checking *checking, const struct pl_node *whole,
                  const struct pl_node *node);
/// Reports a comparison within the brackets of a function over corners, if that is it.
bool report_inside(struct checking *checking, const struct pl_node *call);
/// Is it the name of a text that may be any?
bool is_text_name(struct checking *checking, const struct pl_node *node);
/// Reports a word or a number beside a text that wants its quotes, if that is it.
bool report_quotes(struct checking *checking, const struct pl_node *text,
                   const struct pl_node *other);
/// Reports a plain number beside a quantity, if that is it.
bool report_bare(struct checking *checking, const struct pl_node *quantity,
                 const struct pl_value *value, const struct pl_node *number,
                 const struct pl_value *bare);
/// The unit in which a side of a comparison is usually written: that of its name, or of what
/// stands in it; null where there is none.
const char *unit_beside(struct checking *checking, const struct pl_node *node,
                        const struct pl_value *value);

// ---------------------------------------------------------------- limits and classes

/// Warns of a limit that is far from what a thing usually is.
void check_usual(struct checking *checking, const struct pl_node *thing,
                 const struct pl_node *limit);
/// Reports a rule whose condition wants a class that there is not.
void check_class(struct checking *checking, const struct pl_rules *rules);

#endif
