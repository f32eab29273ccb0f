// SPDX-License-Identifier: GPL-3.0-or-later
// What combinations are ordered by, and the lists of the best.
#include "search.h"

#include <math.h>
#include <string.h>

/// What a score counts in: billionths, so that rounding never shows, and at most a million
/// tolerances squared for each aim, so that the sums of all stay whole.
#define SCORE_STEP     1e-9
#define SCORE_GREATEST 1e6
/// What is missed where a figure is absent: more than by any value.
#define SCORE_ABSENT ((uint64_t)2e15)

// ---------------------------------------------------------------- scores

static uint64_t steps_of(double squares) {
  return (uint64_t)llround(fmin(squares, SCORE_GREATEST) / SCORE_STEP);
}

/// Adds what values at the places of an aim make of it.
void add_aim(struct pl_score *score, const struct pl_wanted *wanted,
             const double values[PL_AXLES]) {
  double off = 0;
  for (size_t i = 0; i < wanted->place_count; i++) {
    if (isnan(values[i])) {
      score->missed += SCORE_ABSENT;
      return;
    }
    off = fmax(off, fabs(values[i] - wanted->target) / wanted->tolerance);
  }
  const double beyond = fmax(0, off - 1);
  score->missed += steps_of(beyond * beyond);
  score->away += steps_of(off * off);
}

struct pl_score pl_score_of(struct pl_figures *figures, const struct pl_aim *aim) {
  struct pl_score score = {0};
  for (size_t i = 0; i < aim->count; i++) {
    double values[PL_AXLES];
    for (size_t j = 0; j < aim->wanted[i].place_count; j++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, aim->wanted[i].figure, aim->wanted[i].places[j]);
      values[j] = value->present ? value->value : NAN;
    }
    add_aim(&score, &aim->wanted[i], values);
  }
  return score;
}

int compare_scores(const struct pl_score *a, const struct pl_score *b) {
  if (a->missed != b->missed) return a->missed < b->missed ? -1 : 1;
  if (a->work != b->work) return a->work < b->work ? -1 : 1;
  if (a->away != b->away) return a->away < b->away ? -1 : 1;
  return 0;
}

void add_score(struct pl_score *score, const struct pl_score *more) {
  score->missed += more->missed;
  score->work += more->work;
  score->away += more->away;
}

int pl_chosen_compare(const struct pl_chosen *a, const struct pl_chosen *b, size_t dimensions) {
  const int by_score = compare_scores(&a->score, &b->score);
  return by_score != 0 ? by_score : memcmp(a->ways, b->ways, dimensions);
}

// ---------------------------------------------------------------- the best so far

struct list list_new(struct pl_arena *arena, size_t most, const struct pl_space *space) {
  return (struct list){.items = pl_alloc_array(arena, most, sizeof(struct pl_chosen)),
                       .most = most,
                       .space = space};
}

bool pl_chosen_alike(const struct pl_space *space, const struct pl_chosen *a,
                     const struct pl_chosen *b) {
  for (size_t d = 0; d < space->count; d++) {
    const enum pl_varied_kind kind = space->dimensions[d].kind;
    const bool is_turned = kind == PL_VARY_PRELOAD || kind == PL_VARY_COLLAR;
    if (a->ways[d] != b->ways[d] && !is_turned) return false;
  }
  return true;
}

static int compare_in(const struct list *list, const struct pl_chosen *a,
                      const struct pl_chosen *b) {
  return pl_chosen_compare(a, b, list->space->count);
}

/// Takes the item out that the combination stands for or that has no room beside it. False
/// where the combination itself has no place.
static bool make_room(struct list *list, const struct pl_chosen *chosen) {
  size_t out = list->count;
  for (size_t i = 0; i < list->count && out == list->count; i++) {
    if (pl_chosen_alike(list->space, &list->items[i], chosen)) out = i;
  }
  if (out == list->count && list->count < list->most) return true;
  if (out == list->count) out--;
  if (compare_in(list, chosen, &list->items[out]) >= 0) return false;
  for (size_t i = out + 1; i < list->count; i++) list->items[i - 1] = list->items[i];
  list->count--;
  return true;
}

void consider(struct list *list, const struct pl_chosen *chosen) {
  const bool full = list->count == list->most;
  if (full && compare_in(list, chosen, &list->items[list->count - 1]) >= 0) return;
  if (!make_room(list, chosen)) return;
  size_t at = list->count++;
  for (; at > 0 && compare_in(list, chosen, &list->items[at - 1]) < 0; at--)
    list->items[at] = list->items[at - 1];
  list->items[at] = *chosen;
}

void join_lists(struct list *both, const struct list *a, const struct list *b) {
  both->count = 0;
  for (size_t i = 0; i < a->count; i++) {
    for (size_t j = 0; j < b->count; j++) {
      struct pl_chosen chosen = a->items[i];
      add_score(&chosen.score, &b->items[j].score);
      for (size_t d = 0; d < a->space->count; d++) chosen.ways[d] |= b->items[j].ways[d];
      consider(both, &chosen);
    }
  }
}
