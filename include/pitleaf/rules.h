// SPDX-License-Identifier: GPL-3.0-or-later
// rules: what an organiser allows, judged on setups. A rule passes, fails, or cannot be judged
// because something that it needs is not declared; what is unknown never passes.
#ifndef PITLEAF_RULES_H
#define PITLEAF_RULES_H

#include "pitleaf/figures.h"

/// Where a rule is judged.
enum pl_rule_scope { PL_RULE_CAR, PL_RULE_EACH_AXLE, PL_RULE_EACH_CORNER };

/// A rule as it is written. Texts are "" where they are not given.
struct pl_rule {
  const char *name;
  struct pl_span span; ///< of the name
  enum pl_rule_scope scope;
  bool scope_is_unknown;           ///< after a report of what stands behind `for`
  const struct pl_node *require;   ///< the expression behind it; null after a report
  const struct pl_node *condition; ///< behind `when`; null: it always applies
  double tolerance;                ///< SI; 0: none
  struct pl_dimension tolerance_dimension;
  struct pl_span tolerance_span;
  const char *requires;       ///< the expression as it is written, on one line
  const char *when;           ///< the condition likewise
  const char *tolerance_text; ///< in the unit in which it is written: "0.002 kg"
  const char *measure;
  const char *because;
};

/// A set of rules with those of the sets that it starts from: a rule of the same name replaces
/// the earlier one in its place.
struct pl_rules {
  const char *name;
  struct pl_span span;
  struct pl_program *program; ///< that declares it
  const char *edition;        ///< "" where none is given
  const char *const *classes; ///< of `applies-to`
  size_t class_count;         ///< 0: every entry
  struct pl_rule *items;
  size_t count;
};

/// The rules of that name, or, with null, the only ones of the main file that no others of it
/// start from. Null with the problem reported to the program. Owned by its arena.
const struct pl_rules *pl_program_rules(struct pl_program *program, const char *name);

/// The keys of a rule, or else of a set of rules, by number, from 0; null behind the last.
const char *pl_rules_key(bool of_rule, size_t which);

/// Reports all mistakes of a block of rules to the program: unknown keys, dimensions that do
/// not go together, rules that can never apply, rules that contradict each other.
void pl_rules_check(struct pl_program *program, const struct pl_block *block);

// ---------------------------------------------------------------- limits in words

/// What a rule looks at: a setting, what a part says, or a figure.
struct pl_rule_thing {
  bool is_figure;
  enum pl_setting setting;
  enum pl_setting inner; ///< of the part that `setting` names; PL_SETTING_COUNT: none
  enum pl_figure figure;
};

bool pl_rule_thing_same(const struct pl_rule_thing *a, const struct pl_rule_thing *b);

/// The common shapes of what rules require, so that paper can say them in words.
enum pl_limit_shape {
  PL_LIMIT_AS_WRITTEN, ///< none of the others: the expression speaks for itself
  PL_LIMIT_AT_MOST,
  PL_LIMIT_BELOW,
  PL_LIMIT_AT_LEAST,
  PL_LIMIT_ABOVE,
  PL_LIMIT_EXACTLY,
  PL_LIMIT_NOT,
  PL_LIMIT_ONE_OF,
  PL_LIMIT_BETWEEN,    ///< two values
  PL_LIMIT_SAME_SIDES, ///< left as right; no value
  PL_LIMIT_SAME_AXLES, ///< front as rear; no value
  PL_LIMIT_ALL_OF,     ///< parts
  PL_LIMIT_ANY_OF      ///< parts
};

/// Over what a limit goes.
enum pl_limit_over {
  PL_LIMIT_OF_ONE,
  PL_LIMIT_OF_EACH,  ///< the least or the greatest of several, so each of them
  PL_LIMIT_OF_SUM,   ///< all together
  PL_LIMIT_OF_NUMBER ///< how many there are
};

/// What a rule requires. Texts are "" where there are none.
struct pl_limit {
  enum pl_limit_shape shape;
  enum pl_limit_over over;
  struct pl_rule_thing thing; ///< of what; not of parts
  bool is_number;
  const char *const *values; ///< numbers without the unit, or words
  size_t count;
  const char *unit; ///< as the rule has it, as paper shows it
  const struct pl_limit *parts;
  size_t part_count;
};

/// Reads what a rule requires. Owned by `arena`.
struct pl_limit pl_rule_limit(struct pl_arena *arena, const struct pl_rules *rules,
                              const struct pl_rule *rule);

// ---------------------------------------------------------------- judging

enum pl_outcome { PL_PASSES, PL_FAILS, PL_CANNOT_BE_JUDGED };

/// "pass", "fail", "unknown".
const char *pl_outcome_name(enum pl_outcome outcome);

/// A value as it is told: its text in the unit of the rule's limit where it has one, and its
/// number where it is one.
struct pl_told_value {
  const char *text; ///< "" where there is none
  bool is_number;
  double number;                     ///< in `unit`
  const char *unit;                  ///< as JSON has it; "" where there is none
  const struct pl_told_value *items; ///< of a list; of a range its two ends
  size_t item_count;
  bool is_range;
};

/// A thing that a rule looks at, at its place: what there is to measure.
struct pl_sight {
  struct pl_rule_thing thing;
  enum pl_place place;
  struct pl_told_value declared; ///< its text is "" where it is not declared
  struct pl_told_value measured; ///< likewise
};

/// A line that a computed value was made of.
struct pl_origin {
  const char *key; ///< what the line gives: "spring", "spring.wire"
  struct pl_span at;
};

/// A rule judged at a place.
struct pl_verdict {
  const struct pl_rule *rule;
  enum pl_place place; ///< PL_CAR, an axle, a corner
  enum pl_outcome outcome;
  const char *key;            ///< what was compared: "damper.bore"; "" where it is no one thing
  struct pl_told_value value; ///< of what decided
  struct pl_told_value limit;
  const char *excess;  ///< of a failure: how far beyond, "0.4 mm"; "" where it has no measure
  bool tolerance_used; ///< it passes by the tolerance alone
  bool measured;       ///< the value was measured, not declared
  struct pl_span at;   ///< the line that set the value; nowhere for what several lines did
  const struct pl_origin *origins; ///< of a failure: those lines; else none
  size_t origin_count;
  const char *const *needs; ///< of what cannot be judged: keys that are not declared
  size_t need_count;
  const struct pl_sight *sights; ///< of an entrant `with_sights`; of a number of things none
  size_t sight_count;
};

/// A measured value that is away from the declared one by more than the tolerance.
struct pl_difference {
  enum pl_place place;
  struct pl_rule_thing thing;
  const char *key;
  struct pl_told_value measured;
  struct pl_told_value declared;
  struct pl_span at; ///< of the measured value
  const char *by;    ///< how far: "0.3 mm"
};

/// An entry as it was judged.
struct pl_judgement {
  const struct pl_rules *rules;
  enum pl_outcome outcome;     ///< fails if one does; else cannot be judged if one cannot
  bool applies;                ///< false: the rules are for other classes
  const char *class_name;      ///< "" where it is not known
  struct pl_verdict *verdicts; ///< in the order of the rules
  size_t count;
  size_t failed;
  size_t unknown;
  struct pl_difference *differences;
  size_t difference_count;
};

/// What is known of an entry beside its setup.
struct pl_entrant {
  const char *class_name;         ///< the organiser's; "" : the setup's own
  struct pl_program *meeting;     ///< that holds `measured`; null: nothing was measured
  const struct pl_node *measured; ///< the block; null likewise
  bool with_sights;               ///< verdicts are to tell what there is to measure
};

/// Judges a setup. `figures` may be null for an entry that brings no file: then nothing is
/// known but what was measured. Never null; owned by `arena`, which must not outlive the rules.
const struct pl_judgement *pl_judge(struct pl_arena *arena, const struct pl_rules *rules,
                                    struct pl_figures *figures, enum pl_unit_system system,
                                    const struct pl_entrant *entrant);

/// The verdicts of a rule, which stand side by side: the first of them, and how many. Null and
/// 0 where the rule is not judged of the entry.
const struct pl_verdict *pl_verdicts_of(const struct pl_judgement *judgement,
                                        const struct pl_rule *rule, size_t *count);

#endif
