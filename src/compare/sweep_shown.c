// SPDX-License-Identifier: GPL-3.0-or-later
// Which columns of a sweep are to be seen: those that move, left and right once where alike.
#include "pitleaf/sweep.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- numbers of a setting

/// Digits behind the point of a text.
static size_t decimals_of(const char *text) {
  const char *const point = strchr(text, '.');
  return point == NULL ? 0 : strlen(point + 1);
}

size_t pl_sweep_decimals(const struct pl_sweep_setting *setting) {
  size_t most = 0;
  for (size_t i = 0; i < setting->count; i++) {
    const char *const text = setting->values[i].shown;
    if (strchr(text, 'e') != NULL) return SIZE_MAX;
    if (decimals_of(text) > most) most = decimals_of(text);
  }
  return most;
}

/// As many decimals as the values have, so that all read as one column, and two more where the
/// number needs them.
const char *pl_sweep_now_number(struct pl_arena *arena,
                                const struct pl_sweep_setting *setting) {
  char space[40];
  const size_t decimals = pl_sweep_decimals(setting);
  pl_number_shortest(space, sizeof space, setting->now_number, 6);
  const bool is_plain = decimals != SIZE_MAX && strchr(space, 'e') == NULL;
  if (is_plain) {
    const size_t own = decimals_of(space);
    const size_t shown = own < decimals ? decimals : own > decimals + 2 ? decimals + 2 : own;
    pl_number_fixed(space, sizeof space, setting->now_number, (int)shown);
  }
  return pl_copy_text(arena, space, strlen(space));
}

// ---------------------------------------------------------------- columns

/// Do two values of a figure look alike where they are printed? NaN looks like NaN.
static bool look_alike(struct pl_arena *arena, enum pl_figure figure, double one, double other,
                       enum pl_unit_system system) {
  if (one == other || (isnan(one) && isnan(other))) return true;
  // A sweep compares so many that what this takes is given back at once.
  const struct pl_arena_mark mark = pl_arena_mark(arena);
  const bool alike = strcmp(pl_print_figure(arena, figure, one, system).text,
                            pl_print_figure(arena, figure, other, system).text) == 0;
  pl_arena_rewind(arena, mark);
  return alike;
}

/// Has the setup no mistake at that point?
static bool is_sound(const struct pl_sweep_column *column, size_t point) {
  return column->why[point] == NULL || strcmp(column->why[point], PL_SWEEP_MISTAKE) != 0;
}

/// What has to be alike so that a column does not change with something.
enum alike { ALIKE_BY_SECOND, ALIKE_BY_FIRST, ALIKE_ALL };

/// Does a column look otherwise at some point than at the first sound one of those that have to
/// be alike: all, or those with the same value of one setting?
static bool differs(struct pl_arena *arena, const struct pl_sweep *sweep,
                    const struct pl_sweep_column *column, enum alike alike,
                    enum pl_unit_system system) {
  const size_t inner = sweep->setting_count == 2 ? sweep->settings[1].count : 1;
  size_t *const firsts = pl_alloc_array(arena, sweep->point_count, sizeof *firsts);
  for (size_t i = 0; i < sweep->point_count; i++) firsts[i] = SIZE_MAX;
  for (size_t i = 0; i < sweep->point_count; i++) {
    const size_t kind = alike == ALIKE_ALL        ? 0
                        : alike == ALIKE_BY_FIRST ? i / inner
                                                  : i % inner;
    if (!is_sound(column, i)) continue;
    if (firsts[kind] == SIZE_MAX) firsts[kind] = i;
    if (!look_alike(arena, column->figure, column->values[firsts[kind]], column->values[i],
                    system))
      return true;
  }
  return false;
}

bool pl_sweep_moves(struct pl_arena *arena, const struct pl_sweep *sweep,
                    const struct pl_sweep_column *column, enum pl_unit_system system) {
  size_t sound = 0;
  double value = NAN;
  for (size_t i = 0; i < sweep->point_count; i++) {
    if (!is_sound(column, i)) continue;
    value = column->values[i];
    sound++;
  }
  // A single value moves what it takes away from where it is now.
  if (sound == 1) return !look_alike(arena, column->figure, value, column->now, system);
  return differs(arena, sweep, column, ALIKE_ALL, system);
}

bool pl_sweep_depends(struct pl_arena *arena, const struct pl_sweep *sweep,
                      const struct pl_sweep_column *column, size_t setting,
                      enum pl_unit_system system) {
  return differs(arena, sweep, column, setting == 0 ? ALIKE_BY_SECOND : ALIKE_BY_FIRST, system);
}

/// Do two columns look alike at each point, and as the setup is?
static bool are_alike(struct pl_arena *arena, const struct pl_sweep *sweep,
                      const struct pl_sweep_column *a, const struct pl_sweep_column *b,
                      enum pl_unit_system system) {
  for (size_t i = 0; i <= sweep->point_count; i++) {
    const double one = i == sweep->point_count ? a->now : a->values[i];
    const double other = i == sweep->point_count ? b->now : b->values[i];
    if (!look_alike(arena, a->figure, one, other, system)) return false;
  }
  return true;
}

static const char *place_words(enum pl_place place) {
  static const char *const words[PL_PLACE_COUNT] = {
      "front left", "front right", "rear left", "rear right", "front", "rear", ""};
  return words[place];
}

/// The axle of a left corner whose right one is alike; PL_PLACE_COUNT for any other column.
static enum pl_place folded_axle(struct pl_arena *arena, const struct pl_sweep *sweep,
                                 size_t at, enum pl_unit_system system) {
  const struct pl_sweep_column *const column = &sweep->columns[at];
  if (column->place != PL_FRONT_LEFT && column->place != PL_REAR_LEFT) return PL_PLACE_COUNT;
  if (!are_alike(arena, sweep, column, column + 1, system)) return PL_PLACE_COUNT;
  return pl_place_at(column->place, PL_SCOPE_AXLE);
}

const struct pl_sweep_shown *pl_sweep_shown_of(struct pl_arena *arena,
                                               const struct pl_sweep *sweep, bool moving,
                                               enum pl_unit_system system, size_t *count) {
  struct pl_sweep_shown *const shown =
      pl_alloc_array(arena, sweep->column_count + 1, sizeof *shown);
  *count = 0;
  for (size_t i = 0; i < sweep->column_count; i++) {
    const struct pl_sweep_column *const column = &sweep->columns[i];
    const enum pl_place axle = folded_axle(arena, sweep, i, system);
    const bool is_folded = axle != PL_PLACE_COUNT;
    if (!moving || pl_sweep_moves(arena, sweep, column, system))
      shown[(*count)++] = (struct pl_sweep_shown){
          .column = column,
          .place = place_words(is_folded ? axle : column->place),
          .places = 1u << column->place | (is_folded ? 1u << (column->place + 1) : 0)};
    if (is_folded) i++;
  }
  return shown;
}

bool pl_sweep_lacks(const struct pl_sweep *sweep, const struct pl_sweep_shown *shown,
                    size_t count) {
  for (size_t i = 0; i < count; i++) {
    for (size_t j = 0; j < sweep->point_count; j++) {
      if (shown[i].column->why[j] != NULL) return true;
    }
  }
  return false;
}
