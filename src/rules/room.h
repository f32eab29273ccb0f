// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of this room share: names in rules, what they stand for at a place of an
// entry, and expressions of which parts may be unknown.
#ifndef PITLEAF_RULES_ROOM_H
#define PITLEAF_RULES_ROOM_H

#include "pitleaf/rules.h"

#define CORNERS 4

// ---------------------------------------------------------------- names

/// What a name in a rule means: a setting, what a part says, or a figure, seen from a place.
struct name {
  bool is_figure;
  enum pl_setting setting;
  enum pl_setting inner; ///< of the part that `setting` names; PL_SETTING_COUNT: none
  enum pl_figure figure;
  const char *key; ///< without the place: "damper.bore"
  const char
      *place; ///< the word in front of it: "left", "front", "rear-left"; "" where none is
};

/// Is it a word that may stand in front of a name: a corner, an axle, a side, the car?
bool is_place_word(const char *word);
/// Reads a path; false if nothing is called so.
bool read_name(struct pl_arena *arena, const char *path, struct name *name);
/// The key that was meant, or null.
const char *nearest_name(struct pl_arena *arena, const char *path);
/// `car.mass` and `mass` are one thing, as are `figure.ride-rate` and `ride-rate`.
bool is_same_thing(const struct name *a, const struct name *b);
struct pl_rule_thing thing_of_name(const struct name *name);
enum pl_scope scope_of_name(const struct name *name);
/// The place that it means, seen from `here`; PL_PLACE_COUNT where it would be several.
enum pl_place place_of_name(const struct name *name, enum pl_place here);
/// The row of the setting that gives type, unit and digits; null for a figure.
const struct pl_setting_row *row_of_name(const struct name *name);
/// The unit in which it is told, and its dimension; "" for what is no number.
const char *unit_of_name(const struct name *name);
/// Is it a number (else a text, a choice, a part, a point)?
bool is_number_name(const struct name *name);
/// The words of a choice, "" for what is none.
const char *choices_of_name(const struct name *name);

/// The corners or axles over which a function of that one argument goes, seen from `here`, as
/// bits of places; 0 where the argument names nothing of corners or axles.
unsigned places_of_argument(struct pl_arena *arena, const struct pl_node *node,
                            enum pl_place here);

// ---------------------------------------------------------------- values of an entry

/// An entry in the judge's hand.
struct judged {
  struct pl_arena *arena;
  const struct pl_rules *rules;
  struct pl_figures *figures; ///< null: nothing is declared
  const struct pl_setup *setup;
  const struct pl_entrant *entrant;
  enum pl_unit_system system;
  enum pl_place place; ///< where the rule in hand is judged
  double tolerance;
  const char **needs; ///< keys that were asked for and are not known
  size_t need_count;
  size_t need_capacity;
  bool only_ask; ///< no values: everything is a sample, to check a rule by itself
};

/// What is known of a thing at a place.
struct known {
  struct pl_value value; ///< NONE: it is not known
  struct pl_span at;     ///< the line that gave it
  bool measured;
  const char *const *needs; ///< of a figure: keys that are not declared
  size_t need_count;
  bool is_figure; ///< computed, and so given by no one line
  enum pl_figure figure;
  enum pl_place place;
};

/// The lines that a computed value was made of, in the order in which its figure asks for them;
/// none of what is no figure.
const struct pl_origin *origins_of(const struct judged *judged, const struct known *known,
                                   size_t *count);

/// What an entry declares of a thing.
struct known declared(const struct judged *judged, const struct name *name,
                      enum pl_place place);
/// What counts: what was measured, else what is declared.
struct known known_of(struct judged *judged, const struct name *name, enum pl_place place);
/// Visits every line of the block `measured` with its place, as bits of places.
typedef void measured_visit(void *context, const struct pl_node *line, unsigned places);
void each_measured(const struct pl_entrant *entrant, measured_visit *visit, void *context);
/// The measured value of a line, NONE where it does not fit the name.
struct pl_value value_of_line(const struct judged *judged, const struct pl_node *line,
                              const struct name *name);
void add_need(struct judged *judged, const char *key);

// ---------------------------------------------------------------- expressions

/// A side of a comparison. What is not known may still have bounds: the greatest of three known
/// bores and a fourth is at least the greatest of the three.
struct operand {
  struct pl_value value; ///< NONE: it is not known
  double least;          ///< of what is not known; -INFINITY, INFINITY: no bounds
  double greatest;
  struct pl_dimension dimension; ///< of the bounds
  bool has_name;                 ///< it depends on the entry
  bool is_one_name;              ///< it is one thing of the entry and nothing else
  struct name name;
  struct known known; ///< of the one thing; of min() and max() that of the corner that decides
};

struct operand operand_of(struct judged *judged, const struct pl_node *node);

/// Functions that go over corners or axles.
enum over { OVER_NONE, OVER_MIN, OVER_MAX, OVER_SUM, OVER_COUNT };
/// Which function goes over corners here: with one argument that names something of them.
enum over over_of(const struct judged *judged, const struct pl_node *call);
/// Does something of an entry stand in an expression?
bool names_something(const struct judged *judged, const struct pl_node *node);

// ---------------------------------------------------------------- what there is to measure

/// Tells what a rule looks at where it is judged.
bool see(struct judged *judged, const struct pl_rule *rule, struct pl_verdict *verdict);

/// The comparison with its sides changed over: of `<` it is `>`.
enum pl_operator turned(enum pl_operator action);

/// What decided an outcome.
struct decision {
  enum pl_outcome outcome;
  bool tolerance_used;
  const char *key;
  struct pl_told_value value;
  struct pl_told_value limit;
  const char *excess;
  struct known known; ///< where the value comes from
};

struct decision decide(struct judged *judged, const struct pl_node *node);

// ---------------------------------------------------------------- telling

/// The unit in which an expression of that value is written ("kg"), which `let`s may bring; of
/// several the first; "" where there is none.
const char *unit_written(const struct judged *judged, const struct pl_node *node,
                         const struct pl_value *value);
/// The unit of the first number in an expression that could be one of that name; "" where there
/// is none.
const char *unit_of_thing(const struct judged *judged, const struct pl_node *node,
                          const struct name *name);
/// A number with its unit, as it is written but for its blanks.
const char *number_written(struct pl_arena *arena, const struct pl_node *node);
/// A value as it is told: as one of `name`, which may be null, in a unit that is written beside
/// it. Where that is "", in the unit of the table.
struct pl_told_value told_value(const struct judged *judged, const struct name *name,
                                const char *unit, const struct pl_value *value);
/// A limit as it is told, each of its numbers in the unit in which `node` has it.
struct pl_told_value told_limit(const struct judged *judged, const struct name *name,
                                const struct pl_node *node, const struct pl_value *value);
/// A difference of two values of that name, as it is told: "0.4 mm".
const char *told_difference(const struct judged *judged, const struct name *name,
                            const char *unit, double difference, struct pl_dimension dimension);

#endif
