// SPDX-License-Identifier: GPL-3.0-or-later
// Two versions of a file, entry.leaf and second.leaf: what differs between their setups, and in
// the rest of them.
#include "target.h"

#include "pitleaf/compare.h"

#include <string.h>

static void compare_setups(struct target *target, struct pl_program *program,
                           struct pl_figures *before, struct pl_figures *after) {
  struct pl_comparison *const comparison = pl_compare(target->arena, before, after, PL_METRIC);
  pl_compare_tolerances(comparison);
  const char *const text = pl_comparison_text(target->arena, comparison, &metric_style);
  if (text[0] == '\0') broken("a comparison says nothing");
  check_json("the comparison",
             pl_comparison_json(target->arena, comparison, pl_program_problems(program)));
}

static void check_same(struct target *target, struct pl_figures *figures) {
  const struct pl_comparison *const same =
      pl_compare(target->arena, figures, figures, PL_IMPERIAL);
  if (same->setting_count + same->figure_count > 0)
    broken("a setup differs from itself: %s", same->changes[0].name);
}

void try_input(struct target *target) {
  struct pl_program *const after = checked_entry(target);
  if (after == NULL) return;
  struct pl_program *before =
      pl_program_load_alone(target->session, target->arena,
                            pl_join_path(target->arena, target->folder, "second.leaf"));
  if (pl_program_unreadable(before)) before = after;
  struct pl_figures *const new_figures = figures_of(after, 0);
  struct pl_figures *const old_figures = figures_of(before, before == after ? 1 : 0);
  if (new_figures != NULL && old_figures != NULL)
    compare_setups(target, after, old_figures, new_figures);
  if (new_figures != NULL) check_same(target, new_figures);
  if (pl_difference_text(target->arena, before, after, &metric_style)[0] == '\0')
    broken("the difference is empty");
  const struct pl_figure_choice all = {NULL, 0};
  (void)pl_flat_text(target->arena, after, &all, PL_METRIC);
}
