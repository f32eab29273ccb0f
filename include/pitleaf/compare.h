// SPDX-License-Identifier: GPL-3.0-or-later
// compare: what differs between two setups, folded where corners agree, and what that did.
#ifndef PITLEAF_COMPARE_H
#define PITLEAF_COMPARE_H

#include "pitleaf/figures.h"
#include "pitleaf/syntax.h"

/// Something that is not the same in both setups.
struct pl_change {
  bool is_figure;
  enum pl_setting setting; ///< PL_SETTING_COUNT for an extra or a piece of ballast
  enum pl_figure figure;
  const char *name;    ///< the key; of an extra its name; of ballast "ballast " and its name
  const char *ballast; ///< of a piece of ballast its name, otherwise null
  const char *label;   ///< as printed
  unsigned places;     ///< a bit for each pl_place where it is the same change
  const char *where;   ///< those places in words: "front", "all", "rear-left", "car"
  const char *before;  ///< text without unit; "" when the base lacks it
  const char *after;   ///< likewise; "" when this setup drops it
  const char *unit;    ///< of both, "" for texts
  const char *within;  ///< of parts of one name: what differs in them; "" otherwise
  double old_number;   ///< SI; NaN where it is no number or lacks
  double new_number;
  double tolerance; ///< SI, of a figure's move: see pl_compare_tolerances; 0: none is known
};

/// What one changed setting alone did: the base with that change, against the base.
struct pl_effect {
  const struct pl_change *cause; ///< null: the rest, see PL_MOST_EFFECTS
  const struct pl_change *moves; ///< figures that moved and can still be told
  size_t move_count;             ///< of the rest: the number of changes that are not told
};

/// Other words for what sentences about changes are made of, for a sheet in another language.
/// Every member may be null: then it is as the tables have it.
struct pl_wording {
  const char *(*label)(void *context, const struct pl_change *change);
  const char *(*places)(void *context, unsigned places);
  /// What the change's `before` or `after` is called.
  const char *(*value)(void *context, const struct pl_change *change, const char *text);
  const char *placed;     ///< "{1} {2}": a place, and what changed there
  const char *is_new;     ///< "{1}, new: {2}", its places to be filled
  const char *is_dropped; ///< "{1}, dropped: {2}"
  void *context;
};

struct pl_comparison {
  struct pl_figures *base;
  struct pl_figures *setup;
  enum pl_unit_system system;
  struct pl_change *changes; ///< not null; settings in the order of the table, then figures
  size_t setting_count;
  size_t figure_count;       ///< they follow the settings
  struct pl_effect *effects; ///< one for each changed setting, in their order; see below
  size_t effect_count;
};

/// Compares a setup with its base. Figures count as moved when they differ as printed.
/// Owned by `arena`; the two must stay alive.
struct pl_comparison *pl_compare(struct pl_arena *arena, struct pl_figures *base,
                                 struct pl_figures *setup, enum pl_unit_system system);

/// Works out how far the moves of figures are uncertain, by the tolerances of both setups.
/// Values that both take from the same line move both figures; of several places the largest
/// counts.
void pl_compare_tolerances(struct pl_comparison *comparison);

/// The change of a setting or a figure at a place, or null if it is the same.
const struct pl_change *pl_change_of_setting(const struct pl_comparison *comparison,
                                             enum pl_setting setting, enum pl_place place);
const struct pl_change *pl_change_of_figure(const struct pl_comparison *comparison,
                                            enum pl_figure figure, enum pl_place place);
/// The change of an extra of that name at a place, or null.
const struct pl_change *pl_change_of_extra(const struct pl_comparison *comparison,
                                           const char *name, enum pl_place place);
/// The change of the piece of ballast of that name, or null.
const struct pl_change *pl_change_of_ballast(const struct pl_comparison *comparison,
                                             const char *name);

/// The difference of both numbers of a change as they are printed, which is what a reader would
/// get: "+0.12", "-3"; "" where one of them is no number or lacks.
const char *pl_change_difference(struct pl_arena *arena, const struct pl_change *change);

/// A change in words: "rear spring 0.38 → 0.42 N/mm"; `wording` may be null.
const char *pl_change_sentence(struct pl_arena *arena, const struct pl_change *change,
                               const struct pl_wording *wording);
/// What an effect's cause is, and what it did: "rear ride frequency 3.1 → 3.3 Hz"; the second
/// is "" where no told figure moved.
const char *pl_effect_cause(struct pl_arena *arena, const struct pl_effect *effect,
                            const struct pl_wording *wording);
const char *pl_effect_moves(struct pl_arena *arena, const struct pl_effect *effect,
                            const struct pl_wording *wording);

// ---------------------------------------------------------------- two versions of a file

/// A line of a file outside its setups that differs between two versions.
struct pl_line_change {
  const char *block;  ///< `oil "clear 400"`; "" for what stands in no block
  const char *key;    ///< within it; "" for the block itself
  const char *before; ///< null: the older version lacks it
  const char *after;  ///< null: the newer one does
};

/// What differs between two versions of a main file beside its setups: parts by their values,
/// everything else line by line, whatever blanks and comments do. `as_written`: parts and
/// setups, too, line by line, which is all that can be said where a version has mistakes.
const struct pl_line_change *pl_compare_files(struct pl_arena *arena, struct pl_program *before,
                                              struct pl_program *after, bool as_written,
                                              enum pl_unit_system system, size_t *count);

/// What a part declares: "viscosity 400 cSt; density 975 kg/m³".
const char *pl_part_text(struct pl_arena *arena, const struct pl_part *part,
                         enum pl_unit_system system);
/// What differs between two parts of a kind: "viscosity 400 cSt → 380 cSt"; "" for nothing.
const char *pl_part_difference(struct pl_arena *arena, const struct pl_part *before,
                               const struct pl_part *after, enum pl_unit_system system);

/// The figures that a racer asks for first.
const enum pl_figure *pl_told_figures(size_t *count);

/// The moves of an effect that are the greatest by their share of the larger value, greatest
/// first, each figure once: at most `limit` of them in `moves`. Returns how many.
size_t pl_greatest_moves(const struct pl_effect *effect, const struct pl_change **moves,
                         size_t limit);

/// A text with its places `{1}` and `{2}` filled.
const char *pl_filled(struct pl_arena *arena, const char *text, const char *first,
                      const char *second);

/// A label of a table inside a sentence: "Ride frequency" reads "ride frequency".
const char *pl_in_sentence(struct pl_arena *arena, const char *label);

/// A piece of ballast as it is printed: "25 g at (85, 0, 6) mm".
const char *pl_ballast_text(struct pl_arena *arena, const struct pl_ballast *piece,
                            enum pl_unit_system system);

/// Corners and axles in words: "all", "front", "left", "rear-left", or joined by "and".
const char *pl_places_words(struct pl_arena *arena, unsigned places);

// ---------------------------------------------------------------- layout

/// A file's text in the one layout, with the scopes of cars and setups in their order where
/// that changes no value. It was read again and says what the file says; a null text means that
/// it would not, which is a mistake of the program. `tree` comes from a source without mistakes
/// of syntax, which includes from `folder`. Owned by `arena`; what is included belongs to the
/// session.
struct pl_tidied pl_lay_out(struct pl_session *session, struct pl_arena *arena,
                            const struct pl_tree *tree, const char *folder);

/// Do two texts of one file, which includes from `folder`, come to the same values: every
/// setting of every setup and car at every place? Only if neither has an error can that be
/// said. `arena` is for what is needed meanwhile.
bool pl_same_meaning(struct pl_session *session, struct pl_arena *arena,
                     struct pl_source *before, struct pl_source *after, const char *folder);

#endif
