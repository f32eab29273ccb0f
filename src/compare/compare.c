// SPDX-License-Identifier: GPL-3.0-or-later
// What differs: settings, extras, ballast and figures, each folded over the places that agree.
#include "pitleaf/compare.h"

#include <math.h>
#include <string.h>

static unsigned bit(int place) {
  return 1u << (unsigned)place;
}

const char *pl_places_words(struct pl_arena *arena, unsigned places) {
  static const struct {
    unsigned places;
    const char *words;
  } known[] = {{0xF, "all"},  {0x3, "front"}, {0xC, "rear"},
               {0x5, "left"}, {0xA, "right"}, {0x30, "front and rear"}};
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    if (known[i].places == places) return known[i].words;
  }
  struct pl_buffer words = {.arena = arena};
  for (int place = 0; place < PL_PLACE_COUNT; place++) {
    if ((places & bit(place)) == 0) continue;
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : " and ",
                     pl_place_name((enum pl_place)place));
  }
  return pl_buffer_string(&words);
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
                           .old_number = number_of(&before->value),
                           .new_number = number_of(&after->value)});
  }
}

/// A change of something that the settings table has no row for.
static void compare_other(struct making *making, size_t first, const char *name,
                          const char *ballast, int place, const struct pl_value *before,
                          const struct pl_value *after) {
  if (pl_value_equal(before, after)) return;
  add(making, first,
      (struct pl_change){.setting = PL_SETTING_COUNT,
                         .figure = PL_FIGURE_COUNT,
                         .name = name,
                         .ballast = ballast,
                         .label = name,
                         .places = bit(place),
                         .before = pl_value_text(making->arena, before),
                         .after = pl_value_text(making->arena, after),
                         .unit = "",
                         .old_number = number_of(before),
                         .new_number = number_of(after)});
}

static const struct pl_value nothing = {.kind = PL_VALUE_NONE};

static const struct pl_extra *extra_named(const struct pl_setup *setup, const char *name) {
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) {
    if (strcmp(extras[i].name, name) == 0) return &extras[i];
  }
  return NULL;
}

static void compare_extras_of(struct making *making, const struct pl_setup *listed,
                              const struct pl_setup *base, const struct pl_setup *own,
                              bool only_dropped) {
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(listed, &count);
  for (size_t i = 0; i < count; i++) {
    const struct pl_extra *const before = extra_named(base, extras[i].name);
    const struct pl_extra *const after = extra_named(own, extras[i].name);
    if (only_dropped && after != NULL) continue;
    const size_t first = making->count;
    for (int place = 0; place < PL_PLACE_COUNT; place++)
      compare_other(making, first, extras[i].name, NULL, place,
                    before == NULL ? &nothing : &before->at[place].value,
                    after == NULL ? &nothing : &after->at[place].value);
  }
}

static const struct pl_ballast *ballast_named(const struct pl_setup *setup, const char *name) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  for (size_t i = 0; i < count; i++) {
    if (strcmp(pieces[i].name, name) == 0) return &pieces[i];
  }
  return NULL;
}

/// Mass and place of a piece in one text; NONE for no piece.
static struct pl_value ballast_value(struct pl_arena *arena, const struct pl_ballast *piece) {
  if (piece == NULL) return nothing;
  const char *const mass = pl_value_text(arena, &piece->mass.value);
  const char *const at = pl_value_text(arena, &piece->at.value);
  return (struct pl_value){.kind = PL_VALUE_TEXT,
                           .text = pl_format(arena, "%s at %s", mass, at)};
}

static void compare_ballast_of(struct making *making, const struct pl_setup *listed,
                               const struct pl_setup *base, const struct pl_setup *own,
                               bool only_dropped) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(listed, &count);
  for (size_t i = 0; i < count; i++) {
    const struct pl_ballast *const before = ballast_named(base, pieces[i].name);
    const struct pl_ballast *const after = ballast_named(own, pieces[i].name);
    if (only_dropped && after != NULL) continue;
    const struct pl_value old = ballast_value(making->arena, before);
    const struct pl_value now = ballast_value(making->arena, after);
    compare_other(making, making->count, pl_format(making->arena, "ballast %s", pieces[i].name),
                  pieces[i].name, PL_CAR, &old, &now);
  }
}

static void compare_settings(struct making *making) {
  const struct pl_setup *const base = pl_figures_setup(making->comparison->base);
  const struct pl_setup *const own = pl_figures_setup(making->comparison->setup);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner == PL_BLOCK_SETUP) compare_setting(making, (enum pl_setting)i);
  }
  compare_ballast_of(making, own, base, own, false);
  compare_ballast_of(making, base, base, own, true);
  compare_extras_of(making, own, base, own, false);
  compare_extras_of(making, base, base, own, true);
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

/// A label inside a sentence: "Ride frequency" reads "ride frequency".
static const char *in_sentence(struct pl_arena *arena, const char *label) {
  if (label[0] < 'A' || label[0] > 'Z') return label;
  return pl_format(arena, "%c%s", label[0] - 'A' + 'a', label + 1);
}

/// "front preload 2.00 → 2.25 mm"; "front bar wire, new: 1.00 mm"; "…, dropped: 1.00 mm".
static const char *change_words(struct pl_arena *arena, const struct pl_change *change) {
  const bool of_car = change->places == bit(PL_CAR);
  const char *const gap = change->unit[0] == '\0' || strcmp(change->unit, "°") == 0 ? "" : " ";
  const bool is_new = change->before[0] == '\0';
  const bool dropped = change->after[0] == '\0';
  const char *const sign = is_new ? ", new: " : dropped ? ", dropped: " : " → ";
  return pl_format(arena, "%s%s%s%s%s%s%s%s%s", of_car ? "" : change->where,
                   of_car ? "" : " ", in_sentence(arena, change->label),
                   is_new || dropped ? "" : " ", is_new || dropped ? "" : change->before, sign,
                   dropped ? change->before : change->after, gap, change->unit);
}

/// What a change alone did to the told figures, in words; "" if nothing that shows.
static const char *effects_of(struct making *making, const struct pl_change *cause) {
  struct pl_comparison *const comparison = making->comparison;
  if (cause->setting == PL_SETTING_COUNT && cause->ballast == NULL) return ""; // an extra
  struct pl_comparison alone = {.base = comparison->base, .system = comparison->system};
  alone.setup = pl_figures_with(comparison->base, pl_figures_setup(comparison->setup),
                                cause->setting, cause->places, cause->ballast);
  struct making own = {.arena = making->arena, .comparison = &alone};
  for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) compare_figure(&own, told[i]);
  struct pl_buffer words = {.arena = making->arena};
  for (size_t i = 0; i < own.count; i++)
    pl_buffer_format(&words, "%s%s", i == 0 ? "" : "; ",
                     change_words(making->arena, &alone.changes[i]));
  return pl_buffer_string(&words);
}

static void tell_effects(struct making *making) {
  struct pl_comparison *const comparison = making->comparison;
  comparison->effects =
      pl_alloc_array(making->arena, comparison->setting_count, sizeof *comparison->effects);
  for (size_t i = 0; i < comparison->setting_count; i++) {
    const struct pl_change *const cause = &comparison->changes[i];
    comparison->effects[comparison->effect_count++] =
        (struct pl_effect){change_words(making->arena, cause), effects_of(making, cause)};
  }
}

// ---------------------------------------------------------------- the whole

struct pl_comparison *pl_compare(struct pl_arena *arena, struct pl_figures *base,
                                 struct pl_figures *setup, enum pl_unit_system system) {
  struct pl_comparison *const comparison = pl_alloc(arena, sizeof *comparison);
  comparison->base = base;
  comparison->setup = setup;
  comparison->system = system;
  struct making making = {.arena = arena, .comparison = comparison};
  compare_settings(&making);
  compare_figures(&making);
  tell_effects(&making);
  return comparison;
}

static const struct pl_change *find(const struct pl_change *changes, size_t count,
                                    enum pl_setting setting, enum pl_figure figure,
                                    const char *name, enum pl_place place) {
  for (size_t i = 0; i < count; i++) {
    const struct pl_change *const change = &changes[i];
    if (change->setting != setting || change->figure != figure) continue;
    if ((change->places & bit((int)place)) == 0) continue;
    if (name == NULL || strcmp(change->name, name) == 0) return change;
  }
  return NULL;
}

const struct pl_change *pl_change_of_setting(const struct pl_comparison *comparison,
                                             enum pl_setting setting, enum pl_place place) {
  return find(comparison->changes, comparison->setting_count, setting, PL_FIGURE_COUNT, NULL,
              pl_place_at(place, pl_settings[setting].scope));
}

const struct pl_change *pl_change_of_figure(const struct pl_comparison *comparison,
                                            enum pl_figure figure, enum pl_place place) {
  return find(comparison->changes + comparison->setting_count, comparison->figure_count,
              PL_SETTING_COUNT, figure, NULL, pl_place_at(place, pl_figure_rows[figure].scope));
}

const struct pl_change *pl_change_of_extra(const struct pl_comparison *comparison,
                                           const char *name, enum pl_place place) {
  return find(comparison->changes, comparison->setting_count, PL_SETTING_COUNT, PL_FIGURE_COUNT,
              name, place);
}
