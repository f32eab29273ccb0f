// SPDX-License-Identifier: GPL-3.0-or-later
// Whether a figure moved by more than the tolerances of what it is made of leave open. What
// both setups share, line and place, is the same thing in both and moves both.
#include "pitleaf/compare.h"

#include <math.h>
#include <string.h>

/// Is that one value, be its file read twice?
static bool same_value(const struct pl_uncertain *a, const struct pl_uncertain *b) {
  if (a->place != b->place) return false;
  if (a->node == b->node) return true;
  const struct pl_span one = a->node->span;
  const struct pl_span other = b->node->span;
  return one.start == other.start && one.end == other.end && one.source->real_path[0] != '\0' &&
         strcmp(one.source->real_path, other.source->real_path) == 0;
}

/// What the value does to the figure; 0 where that does not depend on it.
static double half_width_by(const struct pl_figure_tolerance *tolerance,
                            const struct pl_uncertain *value) {
  for (size_t i = 0; i < tolerance->count; i++) {
    if (same_value(tolerance->parts[i].value, value)) return tolerance->parts[i].half_width;
  }
  return 0;
}

/// The tolerance of the difference of a figure in both setups.
static double half_width_between(const struct pl_figure_tolerance *before,
                                 const struct pl_figure_tolerance *after) {
  double sum = 0;
  for (size_t i = 0; i < after->count; i++) {
    const struct pl_contribution *const part = &after->parts[i];
    sum = hypot(sum, part->half_width - half_width_by(before, part->value));
  }
  for (size_t i = 0; i < before->count; i++) {
    const struct pl_contribution *const part = &before->parts[i];
    if (half_width_by(after, part->value) == 0) sum = hypot(sum, part->half_width);
  }
  return sum;
}

void pl_compare_tolerances(struct pl_comparison *comparison) {
  const struct pl_tolerances *const before = pl_tolerances_new(comparison->base, NULL, 0);
  const struct pl_tolerances *const after = pl_tolerances_new(comparison->setup, NULL, 0);
  if (before == NULL && after == NULL) return;
  for (size_t i = 0; i < comparison->figure_count; i++) {
    struct pl_change *const change = &comparison->changes[comparison->setting_count + i];
    if (!isfinite(change->old_number) || !isfinite(change->new_number)) continue;
    for (int place = 0; place < PL_PLACE_COUNT; place++) {
      if ((change->places & 1u << (unsigned)place) == 0) continue;
      change->tolerance = fmax(
          change->tolerance,
          half_width_between(pl_tolerance_of(before, change->figure, (enum pl_place)place),
                             pl_tolerance_of(after, change->figure, (enum pl_place)place)));
    }
  }
}
