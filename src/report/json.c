// SPDX-License-Identifier: GPL-3.0-or-later
// JSON: figures, settings with their places, what is missing, comparisons.
#include "room.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *json_text(struct pl_arena *arena, const json_t *document) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, pl_json_print(arena, document, JSON_INDENT(2)));
  pl_buffer_text(&out, "\n");
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- settings

static json_t *json_touches(struct pl_arena *arena, const struct pl_resolved *resolved) {
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < resolved->touch_count; i++) {
    const struct pl_touch *const touch = &resolved->touches[i];
    json_t *const object = pl_json_object(arena);
    pl_json_put(arena, object, "file", pl_json_text(arena, touch->span.source->path));
    pl_json_put(arena, object, "line", pl_json_integer(arena, pl_position(touch->span).line));
    pl_json_add(arena, list, object);
  }
  return list;
}

static double in_unit(double value, const char *unit) {
  const struct pl_unit scale = pl_unit_named(unit);
  return pl_from_si(value, &scale);
}

static json_t *json_setting(struct pl_arena *arena, enum pl_setting setting,
                            const struct pl_resolved *resolved) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  const struct pl_value *const value = &resolved->value;
  json_t *const object = pl_json_object(arena);
  if (value->kind == PL_VALUE_NUMBER) {
    const char *const unit = row->type == PL_TYPE_HOLE ? "" : row->of;
    pl_json_put(arena, object, "value", pl_json_real(arena, in_unit(value->number, unit)));
    pl_json_put(arena, object, "unit", pl_json_text(arena, pl_unit_json(unit)));
    if (value->tolerance > 0)
      pl_json_put(arena, object, "tolerance",
                  pl_json_real(arena, in_unit(value->tolerance, unit) - in_unit(0, unit)));
  } else {
    pl_json_put(arena, object, "value", pl_json_text(arena, pl_value_text(arena, value)));
  }
  if (resolved->assumed) pl_json_put(arena, object, "assumed", json_true());
  pl_json_put(arena, object, "from", json_touches(arena, resolved));
  return object;
}

/// An extra under the name that its user gave it; the word "extra" stands before a name that is
/// a key of its own, so that no extra can pass for a setting.
static void add_extra(struct pl_arena *arena, const struct pl_extra *extra, int place,
                      json_t *into) {
  const struct pl_resolved *const at = &extra->at[place];
  if (!at->given) return;
  const bool taken = pl_setting_of(extra->name, PL_BLOCK_SETUP) != PL_SETTING_COUNT ||
                     json_object_get(into, extra->name) != NULL;
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "value", pl_json_text(arena, pl_value_text(arena, &at->value)));
  pl_json_put(arena, object, "from", json_touches(arena, at));
  pl_json_put(arena, into, taken ? pl_format(arena, "extra %s", extra->name) : extra->name,
              object);
}

static void add_extras(struct pl_arena *arena, const struct pl_setup *setup, int place,
                       json_t *into) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  for (size_t i = 0; place == PL_CAR && i < count; i++) {
    json_t *const piece = json_setting(arena, PL_SETTING_CORNER_MASS, &pieces[i].mass);
    pl_json_put(arena, piece, "at",
                pl_json_text(arena, pl_value_text(arena, &pieces[i].at.value)));
    pl_json_put(arena, into, pl_format(arena, "ballast %s", pieces[i].name), piece);
  }
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) add_extra(arena, &extras[i], place, into);
}

static json_t *json_settings(struct pl_arena *arena, const struct pl_setup *setup) {
  static const enum pl_place order[] = {
      PL_CAR, PL_FRONT, PL_REAR, PL_FRONT_LEFT, PL_FRONT_RIGHT, PL_REAR_LEFT, PL_REAR_RIGHT};
  json_t *const all = pl_json_object(arena);
  for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
    json_t *const here = pl_json_object(arena);
    for (int j = 0; j < PL_SETTING_COUNT; j++) {
      const struct pl_setting_row *const row = &pl_settings[j];
      if (row->owner != PL_BLOCK_SETUP || pl_place_at(order[i], row->scope) != order[i])
        continue;
      const struct pl_resolved *const resolved =
          pl_setup_get(setup, (enum pl_setting)j, order[i]);
      if (resolved->given && resolved->value.kind != PL_VALUE_NONE)
        pl_json_put(arena, here, row->key, json_setting(arena, (enum pl_setting)j, resolved));
    }
    add_extras(arena, setup, (int)order[i], here);
    pl_json_put(arena, all, pl_place_name(order[i]), here);
  }
  return all;
}

// ---------------------------------------------------------------- figures

static void add_notes(struct pl_arena *arena, json_t *into,
                      const struct pl_figure_value *value) {
  if (value->note_count == 0) return;
  json_t *const notes = pl_json_array(arena);
  for (size_t i = 0; i < value->note_count; i++)
    pl_json_add(arena, notes, pl_json_text(arena, value->notes[i]));
  pl_json_put(arena, into, "notes", notes);
}

static json_t *json_figure(struct pl_arena *arena, enum pl_figure figure,
                           const struct pl_figure_value *value, double half_width) {
  json_t *const object = pl_json_object(arena);
  const char *const word = pl_figure_word(arena, figure, value->value);
  if (word != NULL) {
    pl_json_put(arena, object, "value", pl_json_text(arena, word));
  } else {
    pl_json_put(arena, object, "value",
                pl_json_real(arena, pl_figure_in_unit(figure, value->value)));
    pl_json_put(arena, object, "unit",
                pl_json_text(arena, pl_unit_json(pl_figure_rows[figure].unit)));
  }
  if (half_width > 0)
    pl_json_put(arena, object, "tolerance",
                pl_json_real(arena, pl_half_width_in_unit(figure, half_width)));
  add_notes(arena, object, value);
  return object;
}

static json_t *json_missing(struct pl_arena *arena, enum pl_figure figure, enum pl_place place,
                            const struct pl_figure_value *value) {
  json_t *const object = pl_json_object(arena);
  json_t *const needs = pl_json_array(arena);
  for (size_t i = 0; i < value->need_count; i++)
    pl_json_add(arena, needs, pl_json_text(arena, value->needs[i]));
  pl_json_put(arena, object, "figure", pl_json_text(arena, pl_figure_rows[figure].key));
  pl_json_put(arena, object, "scope", pl_json_text(arena, pl_place_name(place)));
  pl_json_put(arena, object, "needs", needs);
  add_notes(arena, object, value);
  return object;
}

/// Figures by place, and what the absent ones lack.
static void add_figures(struct pl_arena *arena, struct pl_figures *figures,
                        const struct pl_figure_choice *choice, json_t *document) {
  static const enum pl_place order[] = {
      PL_CAR, PL_FRONT, PL_REAR, PL_FRONT_LEFT, PL_FRONT_RIGHT, PL_REAR_LEFT, PL_REAR_RIGHT};
  const struct pl_tolerances *const tolerances =
      pl_tolerances_new(figures, choice->figures, choice->count);
  json_t *const all = pl_json_object(arena);
  json_t *const missing = pl_json_array(arena);
  for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
    json_t *const here = pl_json_object(arena);
    for (int j = 0; j < PL_FIGURE_COUNT; j++) {
      const enum pl_figure figure = (enum pl_figure)j;
      if (!chooses(choice, figure) ||
          pl_place_at(order[i], pl_figure_rows[j].scope) != order[i])
        continue;
      const struct pl_figure_value *const value = pl_figure_get(figures, figure, order[i]);
      const double half_width = pl_tolerance_of(tolerances, figure, order[i])->half_width;
      if (value->present)
        pl_json_put(arena, here, pl_figure_rows[j].key,
                    json_figure(arena, figure, value, half_width));
      else
        pl_json_add(arena, missing, json_missing(arena, figure, order[i], value));
    }
    pl_json_put(arena, all, pl_place_name(order[i]), here);
  }
  pl_json_put(arena, document, "figures", all);
  if (choice->count == 0)
    pl_json_put(arena, document, "settings", json_settings(arena, pl_figures_setup(figures)));
  pl_json_put(arena, document, "missing", missing);
}

const char *pl_figures_json(struct pl_arena *arena, struct pl_figures *figures,
                            const struct pl_figure_choice *choice,
                            const struct pl_diagnostics *problems) {
  json_t *const document = pl_json_object(arena);
  if (figures != NULL) {
    pl_json_put(arena, document, "setup",
                pl_json_text(arena, pl_setup_name(pl_figures_setup(figures))));
    add_figures(arena, figures, choice, document);
  } else {
    pl_json_put(arena, document, "setup", json_null());
    pl_json_put(arena, document, "figures", pl_json_object(arena));
    pl_json_put(arena, document, "settings", pl_json_object(arena));
    pl_json_put(arena, document, "missing", pl_json_array(arena));
  }
  pl_json_put(arena, document, "diagnostics", json_problems(arena, problems));
  return json_text(arena, document);
}

// ---------------------------------------------------------------- comparisons

static json_t *json_side(struct pl_arena *arena, const struct pl_change *change,
                         const char *text, double number) {
  if (text[0] == '\0') return json_null();
  if (isnan(number)) return pl_json_text(arena, text);
  if (change->is_figure) {
    const char *const word = pl_figure_word(arena, change->figure, number);
    return word != NULL ? pl_json_text(arena, word)
                        : pl_json_real(arena, pl_figure_in_unit(change->figure, number));
  }
  if (change->setting == PL_SETTING_COUNT) return pl_json_text(arena, text);
  if (pl_settings[change->setting].type == PL_TYPE_HOLE) return pl_json_real(arena, number);
  return pl_json_real(arena, in_unit(number, pl_settings[change->setting].of));
}

static const char *unit_of_change(const struct pl_change *change) {
  if (isnan(change->new_number) && isnan(change->old_number)) return "";
  if (change->is_figure) return pl_unit_json(pl_figure_rows[change->figure].unit);
  if (change->setting == PL_SETTING_COUNT) return "";
  if (pl_settings[change->setting].type == PL_TYPE_HOLE) return "1";
  return pl_unit_json(pl_settings[change->setting].of);
}

/// The change's key; as in the settings, an extra never passes for a setting.
static const char *key_of(struct pl_arena *arena, const struct pl_change *change) {
  const bool is_extra =
      !change->is_figure && change->setting == PL_SETTING_COUNT && change->ballast == NULL;
  if (!is_extra || pl_setting_of(change->name, PL_BLOCK_SETUP) == PL_SETTING_COUNT)
    return change->name;
  return pl_format(arena, "extra %s", change->name);
}

json_t *json_change(struct pl_arena *arena, const struct pl_change *change) {
  json_t *const object = pl_json_object(arena);
  json_t *const places = pl_json_array(arena);
  for (int place = 0; place < PL_PLACE_COUNT; place++) {
    if ((change->places & (1u << (unsigned)place)) != 0)
      pl_json_add(arena, places, pl_json_text(arena, pl_place_name((enum pl_place)place)));
  }
  pl_json_put(arena, object, "key", pl_json_text(arena, key_of(arena, change)));
  pl_json_put(arena, object, "scopes", places);
  pl_json_put(arena, object, "base",
              json_side(arena, change, change->before, change->old_number));
  pl_json_put(arena, object, "setup",
              json_side(arena, change, change->after, change->new_number));
  pl_json_put(arena, object, "unit", pl_json_text(arena, unit_of_change(change)));
  if (change->tolerance > 0)
    pl_json_put(arena, object, "tolerance",
                pl_json_real(arena, pl_half_width_in_unit(change->figure, change->tolerance)));
  if (change->within[0] != '\0')
    pl_json_put(arena, object, "within", pl_json_text(arena, change->within));
  return object;
}

json_t *json_changes(struct pl_arena *arena, const struct pl_change *changes, size_t count) {
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < count; i++) pl_json_add(arena, list, json_change(arena, &changes[i]));
  return list;
}

/// By corner, the oil that would damp as the base does.
static json_t *json_equivalent_oil(struct pl_arena *arena,
                                   const struct pl_comparison *comparison) {
  const enum pl_figure figure = PL_FIGURE_EQUIVALENT_OIL;
  json_t *const all = pl_json_object(arena);
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    const struct pl_figure_value *const value =
        pl_figure_get(comparison->setup, figure, (enum pl_place)place);
    if (!value->present) continue;
    json_t *const object = pl_json_object(arena);
    pl_json_put(arena, object, "value",
                pl_json_real(arena, pl_figure_in_unit(figure, value->value)));
    pl_json_put(arena, object, "unit",
                pl_json_text(arena, pl_unit_json(pl_figure_rows[figure].unit)));
    if (value->detail_count > 0)
      pl_json_put(arena, object, "nearest", pl_json_text(arena, value->details[0]));
    pl_json_put(arena, all, pl_place_name((enum pl_place)place), object);
  }
  return all;
}

const char *pl_comparison_json(struct pl_arena *arena, const struct pl_comparison *comparison,
                               const struct pl_diagnostics *problems) {
  json_t *const document = pl_json_object(arena);
  if (comparison != NULL) {
    pl_json_put(arena, document, "base",
                pl_json_text(arena, pl_setup_name(pl_figures_setup(comparison->base))));
    pl_json_put(arena, document, "setup",
                pl_json_text(arena, pl_setup_name(pl_figures_setup(comparison->setup))));
    pl_json_put(arena, document, "settings",
                json_changes(arena, comparison->changes, comparison->setting_count));
    pl_json_put(arena, document, "figures",
                json_changes(arena, comparison->changes + comparison->setting_count,
                             comparison->figure_count));
    json_t *const effects = pl_json_array(arena);
    for (size_t i = 0; i < comparison->effect_count; i++) {
      json_t *const effect = pl_json_object(arena);
      pl_json_put(arena, effect, "cause",
                  pl_json_text(arena, pl_effect_cause(arena, &comparison->effects[i], NULL)));
      pl_json_put(arena, effect, "effects",
                  pl_json_text(arena, pl_effect_moves(arena, &comparison->effects[i], NULL)));
      pl_json_add(arena, effects, effect);
    }
    pl_json_put(arena, document, "effects", effects);
    pl_json_put(arena, document, "equivalent-oil", json_equivalent_oil(arena, comparison));
  }
  pl_json_put(arena, document, "diagnostics", json_problems(arena, problems));
  return json_text(arena, document);
}
