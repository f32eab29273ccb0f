// SPDX-License-Identifier: GPL-3.0-or-later
// compare: what differs between two setups, folded where corners agree, and what that did.
#ifndef PITLEAF_COMPARE_H
#define PITLEAF_COMPARE_H

#include "pitleaf/figures.h"

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
  double old_number;   ///< SI; NaN where it is no number or lacks
  double new_number;
};

/// What one changed setting alone did, in words: the base with that change, against the base.
struct pl_effect {
  const char *cause;   ///< "rear spring 0.38 → 0.42 N/mm"
  const char *effects; ///< "rear ride frequency 3.1 → 3.3 Hz"; "" where no figure moved
};

/// At most so many changes are worked out by themselves: far above what any two setups differ
/// in. One effect more then says how many were left out.
#define PL_EFFECT_LIMIT 256

struct pl_comparison {
  struct pl_figures *base;
  struct pl_figures *setup;
  enum pl_unit_system system;
  struct pl_change *changes; ///< settings first, in the order of the table; then figures
  size_t setting_count;
  size_t figure_count;       ///< they follow the settings
  struct pl_effect *effects; ///< one for each changed setting, in their order; see below
  size_t effect_count;
};

/// Compares a setup with its base. Figures count as moved when they differ as printed.
/// Owned by `arena`; the two must stay alive.
struct pl_comparison *pl_compare(struct pl_arena *arena, struct pl_figures *base,
                                 struct pl_figures *setup, enum pl_unit_system system);

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

/// A piece of ballast as it is printed: "25 g at (85, 0, 6) mm".
const char *pl_ballast_text(struct pl_arena *arena, const struct pl_ballast *piece,
                            enum pl_unit_system system);

/// Corners and axles in words: "all", "front", "left", "rear-left", or joined by "and".
const char *pl_places_words(struct pl_arena *arena, unsigned places);

#endif
