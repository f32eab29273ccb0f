// SPDX-License-Identifier: GPL-3.0-or-later
// What differs: settings, extras, ballast and figures, each folded over the places that agree.
#include "pitleaf/compare.h"

#include <math.h>
#include <string.h>

static unsigned bit(int place) {
  return 1u << (unsigned)place;
}

/// A comparison being made.
struct making {
  struct pl_arena *arena;
  struct pl_comparison *comparison;
  size_t count;
  size_t capacity;
};

static struct pl_change *last_change(const struct making *making) {
  return &making->comparison->changes[making->count - 1];
}

/// Adds a change at one place, or widens the one of the same thing that says the same.
static void add(struct making *making, size_t first_of_thing, struct pl_change change) {
  struct pl_comparison *const comparison = making->comparison;
  for (size_t i = first_of_thing; i < making->count; i++) {
    struct pl_change *const known = &comparison->changes[i];
    if (strcmp(known->before, change.before) != 0 || strcmp(known->after, change.after) != 0)
      continue;
    known->places |= change.places;
    known->where = pl_places_words(making->arena, known->places);
    return;
  }
  comparison->changes = pl_grow(making->arena, comparison->changes, making->count,
                                &making->capacity, sizeof *comparison->changes);
  comparison->changes[making->count++] = change;
  last_change(making)->where = pl_places_words(making->arena, change.places);
}

// ---------------------------------------------------------------- settings

static double number_of(const struct pl_value *value) {
  return value->kind == PL_VALUE_NUMBER ? value->number : NAN;
}

static bool counts(const struct pl_resolved *resolved) {
  return resolved->given && resolved->value.kind != PL_VALUE_NONE;
}

/// What differs in a part that is called the same in both setups.
static const char *difference_within(struct making *making, const struct pl_value *before,
                                     const struct pl_value *after) {
  if (before->kind != PL_VALUE_PART || after->kind != PL_VALUE_PART) return "";
  if (strcmp(before->part->name, after->part->name) != 0) return "";
  const char *const words =
      pl_part_difference(making->arena, before->part, after->part, making->comparison->system);
  return words[0] == '\0' ? "not what it was" : words;
}

static void compare_setting(struct making *making, enum pl_setting setting) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  const struct pl_setup *const base = pl_figures_setup(making->comparison->base);
  const struct pl_setup *const own = pl_figures_setup(making->comparison->setup);
  const size_t first = making->count;
  for (int place = (int)pl_first_place(row->scope); place <= (int)pl_last_place(row->scope);
       place++) {
    const struct pl_resolved *const before = pl_setup_get(base, setting, (enum pl_place)place);
    const struct pl_resolved *const after = pl_setup_get(own, setting, (enum pl_place)place);
    if (!counts(before) && !counts(after)) continue;
    if (pl_value_equal(&before->value, &after->value)) continue;
    const enum pl_unit_system system = making->comparison->system;
    const struct pl_printed old =
        pl_print_setting(making->arena, setting, &before->value, system);
    const struct pl_printed now =
        pl_print_setting(making->arena, setting, &after->value, system);
    add(making, first,
        (struct pl_change){.setting = setting,
                           .figure = PL_FIGURE_COUNT,
                           .name = row->key,
                           .label = row->label,
                           .places = bit(place),
                           .before = old.text,
                           .after = now.text,
                           .unit = now.unit[0] != '\0' ? now.unit : old.unit,
                           .within = difference_within(making, &before->value, &after->value),
                           .old_number = number_of(&before->value),
                           .new_number = number_of(&after->value)});
  }
}

static const struct pl_value nothing = {.kind = PL_VALUE_NONE};

/// A setup's extras, or its pieces of ballast, by their names.
static struct pl_map *extras_of(struct pl_arena *arena, const struct pl_setup *setup) {
  struct pl_map *const map = pl_map_new(arena);
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) pl_map_set(map, extras[i].name, (void *)&extras[i]);
  return map;
}

static struct pl_map *ballast_of(struct pl_arena *arena, const struct pl_setup *setup) {
  struct pl_map *const map = pl_map_new(arena);
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  for (size_t i = 0; i < count; i++) pl_map_set(map, pieces[i].name, (void *)&pieces[i]);
  return map;
}

static const struct pl_value *value_of(const struct pl_extra *extra, int place) {
  return extra == NULL ? &nothing : &extra->at[place].value;
}

/// An extra that one of both setups has, or both; null where one lacks it.
static void compare_extra(struct making *making, const struct pl_extra *before,
                          const struct pl_extra *after) {
  const char *const name = before != NULL ? before->name : after->name;
  const size_t first = making->count;
  for (int place = 0; place < PL_PLACE_COUNT; place++) {
    const struct pl_value *const old = value_of(before, place);
    const struct pl_value *const now = value_of(after, place);
    if (pl_value_equal(old, now)) continue;
    add(making, first,
        (struct pl_change){.setting = PL_SETTING_COUNT,
                           .figure = PL_FIGURE_COUNT,
                           .name = name,
                           .label = name,
                           .places = bit(place),
                           .before = pl_value_text(making->arena, old),
                           .after = pl_value_text(making->arena, now),
                           .unit = "",
                           .within = "",
                           .old_number = number_of(old),
                           .new_number = number_of(now)});
  }
}

/// Those of this setup in its order, then what it drops.
static void compare_extras(struct making *making, const struct pl_setup *base,
                           const struct pl_setup *own) {
  const struct pl_map *const before = extras_of(making->arena, base);
  const struct pl_map *const after = extras_of(making->arena, own);
  size_t count = 0;
  const struct pl_extra *extras = pl_setup_extras(own, &count);
  for (size_t i = 0; i < count; i++)
    compare_extra(making, pl_map_get(before, extras[i].name), &extras[i]);
  extras = pl_setup_extras(base, &count);
  for (size_t i = 0; i < count; i++) {
    if (pl_map_get(after, extras[i].name) == NULL) compare_extra(making, &extras[i], NULL);
  }
}

/// A piece of ballast that one of both setups has, or both; null where one lacks it.
static void compare_piece(struct making *making, const struct pl_ballast *before,
                          const struct pl_ballast *after) {
  if (before != NULL && after != NULL &&
      pl_value_equal(&before->mass.value, &after->mass.value) &&
      pl_value_equal(&before->at.value, &after->at.value))
    return;
  const enum pl_unit_system system = making->comparison->system;
  const char *const own = before != NULL ? before->name : after->name;
  const char *const name = pl_format(making->arena, "ballast %s", own);
  add(making, making->count,
      (struct pl_change){
          .setting = PL_SETTING_COUNT,
          .figure = PL_FIGURE_COUNT,
          .name = name,
          .ballast = own,
          .label = name,
          .places = bit(PL_CAR),
          .before = before == NULL ? "" : pl_ballast_text(making->arena, before, system),
          .after = after == NULL ? "" : pl_ballast_text(making->arena, after, system),
          .unit = "",
          .within = "",
          .old_number = NAN,
          .new_number = NAN});
}

static void compare_ballast(struct making *making, const struct pl_setup *base,
                            const struct pl_setup *own) {
  const struct pl_map *const before = ballast_of(making->arena, base);
  const struct pl_map *const after = ballast_of(making->arena, own);
  size_t count = 0;
  const struct pl_ballast *pieces = pl_setup_ballast(own, &count);
  for (size_t i = 0; i < count; i++)
    compare_piece(making, pl_map_get(before, pieces[i].name), &pieces[i]);
  pieces = pl_setup_ballast(base, &count);
  for (size_t i = 0; i < count; i++) {
    if (pl_map_get(after, pieces[i].name) == NULL) compare_piece(making, &pieces[i], NULL);
  }
}

static void compare_settings(struct making *making) {
  const struct pl_setup *const base = pl_figures_setup(making->comparison->base);
  const struct pl_setup *const own = pl_figures_setup(making->comparison->setup);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner == PL_BLOCK_SETUP) compare_setting(making, (enum pl_setting)i);
  }
  compare_ballast(making, base, own);
  compare_extras(making, base, own);
  making->comparison->setting_count = making->count;
}

// ---------------------------------------------------------------- figures

static void compare_figure(struct making *making, enum pl_figure figure) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  struct pl_comparison *const comparison = making->comparison;
  const size_t first = making->count;
  for (int place = (int)pl_first_place(row->scope); place <= (int)pl_last_place(row->scope);
       place++) {
    const struct pl_figure_value *const before =
        pl_figure_get(comparison->base, figure, (enum pl_place)place);
    const struct pl_figure_value *const after =
        pl_figure_get(comparison->setup, figure, (enum pl_place)place);
    const struct pl_printed old =
        pl_print_figure(making->arena, figure, before->value, comparison->system);
    const struct pl_printed now =
        pl_print_figure(making->arena, figure, after->value, comparison->system);
    if (strcmp(old.text, now.text) == 0) continue;
    add(making, first,
        (struct pl_change){.is_figure = true,
                           .setting = PL_SETTING_COUNT,
                           .figure = figure,
                           .name = row->key,
                           .label = row->label,
                           .places = bit(place),
                           .before = old.text,
                           .after = now.text,
                           .unit = now.unit[0] != '\0' ? now.unit : old.unit,
                           .within = "",
                           .old_number = before->value,
                           .new_number = after->value});
  }
}

/// The base has no equivalent oil of its own: it is no change.
static void compare_figures(struct making *making) {
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (i != PL_FIGURE_EQUIVALENT_OIL) compare_figure(making, (enum pl_figure)i);
  }
  making->comparison->figure_count = making->count - making->comparison->setting_count;
}

// ---------------------------------------------------------------- causes and effects

/// The figures that a racer asks for first; what a change does to them is told in sentences.
static const enum pl_figure told[] = {PL_FIGURE_WHEEL_RATE,
                                      PL_FIGURE_RIDE_FREQUENCY,
                                      PL_FIGURE_DAMPING_RATIO_SLOW,
                                      PL_FIGURE_DAMPING_RATIO_FAST,
                                      PL_FIGURE_PACK_SPEED,
                                      PL_FIGURE_PRELOAD_NEEDED,
                                      PL_FIGURE_SETTLED_RIDE_HEIGHT,
                                      PL_FIGURE_DROOP_TRAVEL,
                                      PL_FIGURE_CAMBER_GAIN,
                                      PL_FIGURE_FRONT_ROLL_SHARE,
                                      PL_FIGURE_ROLL_GRADIENT,
                                      PL_FIGURE_FRONT_MASS_SHARE,
                                      PL_FIGURE_ROLLOUT};

const enum pl_figure *pl_told_figures(size_t *count) {
  *count = sizeof told / sizeof told[0];
  return told;
}

/// How much a figure moved, as a share of the larger value.
static double share_of(const struct pl_change *move) {
  const double larger = fmax(fabs(move->old_number), fabs(move->new_number));
  const double share = fabs(move->new_number - move->old_number) / larger;
  return isnan(share) ? 0 : share;
}

size_t pl_greatest_moves(const struct pl_effect *effect, const struct pl_change **moves,
                         size_t limit) {
  size_t count = 0;
  for (; effect->cause != NULL && count < limit; count++) {
    const struct pl_change *greatest = NULL;
    for (size_t i = 0; i < effect->move_count; i++) {
      const struct pl_change *const move = &effect->moves[i];
      bool is_taken = false;
      for (size_t j = 0; j < count; j++) is_taken |= moves[j]->figure == move->figure;
      if (!is_taken && (greatest == NULL || share_of(move) > share_of(greatest)))
        greatest = move;
    }
    if (greatest == NULL) break;
    moves[count] = greatest;
  }
  return count;
}

/// What a change alone did to the told figures; nothing that shows: none.
static struct pl_effect effect_of(struct making *making, const struct pl_change *cause) {
  struct pl_comparison *const comparison = making->comparison;
  struct pl_effect effect = {.cause = cause};
  if (cause->setting == PL_SETTING_COUNT && cause->ballast == NULL) return effect; // an extra
  struct pl_comparison alone = {.base = comparison->base, .system = comparison->system};
  alone.setup = pl_figures_with(comparison->base, pl_figures_setup(comparison->setup),
                                cause->setting, cause->places, cause->ballast);
  struct making own = {.arena = making->arena, .comparison = &alone};
  for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) compare_figure(&own, told[i]);
  for (size_t i = 0; i < own.count; i++) {
    // That a figure can no longer be told is for the list of figures to say.
    if (alone.changes[i].after[0] != '\0')
      alone.changes[effect.move_count++] = alone.changes[i];
  }
  effect.moves = alone.changes;
  return effect;
}

static void tell_effects(struct making *making) {
  struct pl_comparison *const comparison = making->comparison;
  struct pl_arena *const arena = making->arena;
  const size_t changed = comparison->setting_count;
  const size_t told_count = changed < PL_MOST_EFFECTS ? changed : PL_MOST_EFFECTS;
  comparison->effects = pl_alloc_array(arena, told_count + 1, sizeof *comparison->effects);
  for (size_t i = 0; i < told_count; i++)
    comparison->effects[comparison->effect_count++] =
        effect_of(making, &comparison->changes[i]);
  if (told_count < changed)
    comparison->effects[comparison->effect_count++] =
        (struct pl_effect){.move_count = changed - told_count};
}

// ---------------------------------------------------------------- the whole

struct pl_comparison *pl_compare(struct pl_arena *arena, struct pl_figures *base,
                                 struct pl_figures *setup, enum pl_unit_system system) {
  struct pl_comparison *const comparison = pl_alloc(arena, sizeof *comparison);
  comparison->base = base;
  comparison->setup = setup;
  comparison->system = system;
  struct making making = {.arena = arena, .comparison = comparison};
  comparison->changes = pl_grow(arena, NULL, 0, &making.capacity, sizeof *comparison->changes);
  compare_settings(&making);
  compare_figures(&making);
  tell_effects(&making);
  return comparison;
}
