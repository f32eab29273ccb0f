// SPDX-License-Identifier: GPL-3.0-or-later
// The lines that a computed value was made of, so that a failure tells what to change.
#include "room.h"

#include <string.h>

struct search {
  struct pl_arena *arena;
  struct pl_figures *figures;
  struct pl_origin *found;
  size_t count;
  size_t capacity;
  bool seen[PL_FIGURE_COUNT][PL_PLACE_COUNT];
};

static bool is_same_line(struct pl_span a, struct pl_span b) {
  return a.source == b.source && pl_position(a).line == pl_position(b).line;
}

static const char *key_of(struct pl_arena *arena, const struct pl_input *input) {
  const char *const key = pl_settings[input->setting].key;
  return input->inner == PL_SETTING_COUNT
             ? key
             : pl_format(arena, "%s.%s", key, pl_settings[input->inner].key);
}

/// A fallback of the table is no line of anybody's.
static void add_line(struct search *search, const char *key,
                     const struct pl_resolved *resolved) {
  if (resolved == NULL || !resolved->given || resolved->touch_count == 0) return;
  const struct pl_span at = resolved->touches[resolved->touch_count - 1].span;
  for (size_t i = 0; i < search->count; i++) {
    if (is_same_line(search->found[i].at, at)) return;
  }
  search->found = pl_grow(search->arena, search->found, search->count, &search->capacity,
                          sizeof *search->found);
  search->found[search->count++] = (struct pl_origin){.key = key, .at = at};
}

/// Ballast has no key: the figures that count it read it by themselves.
static void add_ballast(struct search *search) {
  size_t count = 0;
  const struct pl_ballast *const pieces =
      pl_setup_ballast(pl_figures_setup(search->figures), &count);
  for (size_t i = 0; i < count; i++) add_line(search, "ballast", &pieces[i].mass);
}

static void add_figure(struct search *search, enum pl_figure figure, enum pl_place place) {
  if (search->seen[figure][place]) return;
  search->seen[figure][place] = true;
  const struct pl_figure_value *const value = pl_figure_get(search->figures, figure, place);
  for (size_t i = 0; i < value->input_count; i++) {
    const struct pl_input *const input = &value->inputs[i];
    if (input->is_figure)
      add_figure(search, input->figure, input->place);
    else
      add_line(search, key_of(search->arena, input), input->resolved);
  }
  // Where the scales tell a corner's mass, ballast has no part in it.
  const bool counted = figure == PL_FIGURE_CORNER_MASS && value->input_count > 1;
  if (counted || figure == PL_FIGURE_TOTAL_MASS) add_ballast(search);
}

const struct pl_origin *origins_of(const struct judged *judged, const struct known *known,
                                   size_t *count) {
  *count = 0;
  if (!known->is_figure || judged->figures == NULL) return NULL;
  struct search *const search = pl_alloc(judged->arena, sizeof *search);
  search->arena = judged->arena;
  search->figures = judged->figures;
  add_figure(search, known->figure, known->place);
  *count = search->count;
  return search->found;
}
