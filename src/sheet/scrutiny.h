// SPDX-License-Identifier: GPL-3.0-or-later
// scrutiny: what the list and the certificates share. For this room alone.
#ifndef PITLEAF_SHEET_SCRUTINY_H
#define PITLEAF_SHEET_SCRUTINY_H

#include "room.h"

// ---------------------------------------------------------------- words

/// What a rule requires, in words where it is of a common shape: "at most 250 mm".
const char *pl_limit_words(struct pl_sheet *sheet, const struct pl_rules *rules,
                           const struct pl_rule *rule);
/// A text of an entrant's or an organiser's as paper can have it.
const char *pl_scrutiny_text_of(struct pl_sheet *sheet, const char *text);
/// A value likewise, a word of a choice in the sheet's language.
const char *pl_scrutiny_value(struct pl_sheet *sheet, const struct pl_rule_thing *thing,
                              const struct pl_told_value *value);
/// "Ride height".
const char *pl_scrutiny_label(struct pl_sheet *sheet, const struct pl_rule_thing *thing);

// ---------------------------------------------------------------- what there is to say

/// How an entry stands as a whole.
enum pl_standing {
  PL_STANDS_PASSED,
  PL_STANDS_FAILED,
  PL_STANDS_OPEN,     ///< something has to be measured
  PL_STANDS_MISTAKEN, ///< its file has mistakes, so nothing of it counts
  PL_STANDS_EMPTY,    ///< it brings no file
  PL_STANDS_ELSEWHERE ///< the rules are for other classes
};

enum pl_standing pl_standing_of(const struct pl_scrutinised *entry);

/// A thing of an entry that is measured for a rule.
struct pl_slot {
  const char *label;    ///< its place, or what it is; "" where the rule is of one thing
  enum pl_place place;  ///< PL_CAR where it is of none
  const char *declared; ///< "" where it is not
  bool is_worded;       ///< it is no number
  const char *measured; ///< likewise
  const char *apart;    ///< how far they are apart beyond the tolerance; "" where they are not
  bool is_apart;
};

/// What a rule says of an entry at all its places together.
struct pl_rule_summary {
  bool judged; ///< false: the rule is not for this entry
  bool failed;
  bool unknown;
  bool by_tolerance;
  bool is_apart;               ///< something was measured that is not as declared
  const char *const *failures; ///< where it fails and how far: "front 1.00 mm beyond"
  size_t failure_count;
  const char *const *declared; ///< a line for each value that differs: "front 77.0 mm"
  size_t declared_count;
  const struct pl_slot *slots;
  size_t slot_count;
};

struct pl_rule_summary pl_rule_summary(struct pl_sheet *sheet,
                                       const struct pl_scrutinised *entry,
                                       const struct pl_rule *rule);
/// The names of the rules that fail, or that cannot be judged, parted by semicolons; of more
/// than `most` their number.
const char *pl_rules_named(struct pl_sheet *sheet, const struct pl_scrutinised *entry,
                           enum pl_outcome outcome, size_t most);

// ---------------------------------------------------------------- marks

/// A text in lines as wide as `width`; words that are too wide shrink to `floor` before they
/// are broken. More than `most` lines end in an ellipsis. Returns where it ends.
double pl_scrutiny_lines(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                         double width, struct pl_type type, double floor, size_t most,
                         const char *text);
/// How an entry stands, or what a rule says of it, as a mark that also grey paper shows: a
/// black box fails, an outlined one has to be measured, a struck one has a broken file, an
/// empty one no file. Returns where it ends.
double pl_scrutiny_mark(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                        double width, enum pl_standing standing);
/// Lines to write measured values on, each with its label. Returns where they end.
double pl_scrutiny_slots(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                         double width, const struct pl_rule_summary *summary);
/// "≠ not as declared" with how far, where something is so. Returns where it ends.
double pl_scrutiny_apart(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                         double width, const struct pl_rule_summary *summary);
/// The mark of a rule.
enum pl_standing pl_standing_of_rule(const struct pl_rule_summary *summary);

/// Heads of columns, on each page anew, with a line under them.
struct pl_scrutiny_heads {
  struct pl_flow_head head; ///< first, so that one is the other
  const struct pl_cell *cell;
};
/// Those that stand in a cell of that height.
struct pl_scrutiny_heads pl_scrutiny_heads(const struct pl_cell *cell, double height);

// ---------------------------------------------------------------- pages

struct pl_sheet *pl_scrutiny_sheet(struct pl_arena *arena,
                                   const struct pl_scrutiny_request *request,
                                   enum pl_direction direction);
/// By which rules; that these are no more than a help; and to be careful.
void pl_scrutiny_facts(struct pl_sheet *sheet, const struct pl_scrutiny_request *request,
                       bool is_list);
/// "Sluice Lane, round 3 · 2026-06-14 · Sluice Lane".
const char *pl_scrutiny_event(struct pl_sheet *sheet,
                              const struct pl_scrutiny_request *request);

#endif
