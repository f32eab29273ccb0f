// SPDX-License-Identifier: GPL-3.0-or-later
// A choice of parts as JSON.
#include "choice.h"

#include <math.h>

static json_t *number(struct pl_arena *arena, double value) {
  return isfinite(value) ? pl_json_real(arena, value) : json_null();
}

static json_t *json_values(struct pl_arena *arena, const struct pl_wanted *wanted,
                           const struct aimed *aimed) {
  json_t *const values = pl_json_object(arena);
  for (size_t i = 0; i < wanted->place_count; i++)
    pl_json_put(arena, values, pl_place_name(wanted->places[i]),
                number(arena, isnan(aimed->values[i])
                                  ? NAN
                                  : pl_figure_in_unit(wanted->figure, aimed->values[i])));
  return values;
}

/// What comes of each aim; with `told`, also what is wanted.
static json_t *json_figures(struct pl_arena *arena, struct pl_figures *figures,
                            const struct pl_aim *aim) {
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < aim->count; i++) {
    const struct pl_wanted *const wanted = &aim->wanted[i];
    const struct aimed aimed = aimed_of(figures, wanted);
    json_t *const object = pl_json_object(arena);
    pl_json_put(arena, object, "figure", pl_json_text(arena, wanted->key));
    pl_json_put(arena, object, "values", json_values(arena, wanted, &aimed));
    pl_json_put(arena, object, "met", json_boolean(aimed.beyond == 0));
    pl_json_add(arena, list, object);
  }
  return list;
}

static json_t *json_aims(struct pl_arena *arena, const struct pl_aim *aim) {
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < aim->count; i++) {
    const struct pl_wanted *const wanted = &aim->wanted[i];
    json_t *const object = pl_json_object(arena);
    const char *const unit = pl_figure_rows[wanted->figure].unit;
    pl_json_put(arena, object, "figure", pl_json_text(arena, wanted->key));
    pl_json_put(
        arena, object, "least",
        number(arena, pl_figure_in_unit(wanted->figure, wanted->target - wanted->tolerance)));
    pl_json_put(
        arena, object, "greatest",
        number(arena, pl_figure_in_unit(wanted->figure, wanted->target + wanted->tolerance)));
    pl_json_put(arena, object, "unit", pl_json_text(arena, pl_unit_json(unit)));
    if (wanted->is_implied) pl_json_put(arena, object, "implied", json_true());
    pl_json_add(arena, list, object);
  }
  return list;
}

static json_t *json_changes_of(struct pl_arena *arena, const struct pl_choice_told *told,
                               size_t which) {
  json_t *const list = pl_json_array(arena);
  for (size_t d = 0; d < told->space->count; d++) {
    const struct pl_dimension_varied *const dimension = &told->space->dimensions[d];
    const unsigned char way = told->choice->best[which].ways[d];
    if (way == 0) continue;
    const struct pl_varied_row *const row = &pl_varied_rows[dimension->kind];
    json_t *const object = pl_json_object(arena);
    pl_json_put(arena, object, "place", pl_json_text(arena, pl_place_name(dimension->axle)));
    pl_json_put(arena, object, "setting", pl_json_text(arena, pl_settings[row->setting].key));
    pl_json_put(arena, object, "value", pl_json_text(arena, dimension->ways[way].written));
    pl_json_put(arena, object, "work", pl_json_integer(arena, row->work));
    pl_json_add(arena, list, object);
  }
  return list;
}

static json_t *json_combination(struct pl_arena *arena, const struct pl_choice_told *told,
                                size_t which) {
  const struct pl_chosen *const chosen = &told->choice->best[which];
  const struct pl_made *const made = &told->made[which];
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "met", json_boolean(meets_all(made->figures, told->space->aim)));
  pl_json_put(arena, object, "work", pl_json_integer(arena, (long long)chosen->score.work));
  pl_json_put(arena, object, "changes", json_changes_of(arena, told, which));
  pl_json_put(arena, object, "figures", json_figures(arena, made->figures, told->space->aim));
  pl_json_put(arena, object, "lines",
              pl_json_text(arena, pl_chosen_lines(arena, told->space, chosen, "")));
  pl_json_put(arena, object, "block",
              pl_json_text(arena, pl_chosen_setup(arena, told->space, chosen)));
  json_t *const notes = pl_json_array(arena);
  for (size_t i = 0; i < made->warning_count; i++)
    pl_json_add(arena, notes, pl_json_text(arena, made->warnings[i]));
  pl_json_put(arena, object, "notes", notes);
  return object;
}

static json_t *json_varied(struct pl_arena *arena, const struct pl_choice_told *told) {
  json_t *const list = pl_json_array(arena);
  for (size_t d = 0; d < told->space->count; d++) {
    const struct pl_dimension_varied *const dimension = &told->space->dimensions[d];
    if (!told->choice->varies[d]) continue;
    json_t *const object = pl_json_object(arena);
    pl_json_put(arena, object, "place", pl_json_text(arena, pl_place_name(dimension->axle)));
    pl_json_put(arena, object, "setting",
                pl_json_text(arena, pl_settings[pl_varied_rows[dimension->kind].setting].key));
    pl_json_put(arena, object, "ways", pl_json_integer(arena, (long long)dimension->count));
    pl_json_add(arena, list, object);
  }
  return list;
}

const char *pl_choice_json(struct pl_arena *arena, const struct pl_choice_told *told) {
  json_t *const document = pl_json_object(arena);
  const struct pl_choice *const choice = told->choice;
  pl_json_put(arena, document, "shape", pl_json_text(arena, "pitleaf-choice"));
  pl_json_put(arena, document, "version", pl_json_integer(arena, 1));
  pl_json_put(arena, document, "setup", pl_json_text(arena, told->space->setup_name));
  pl_json_put(arena, document, "box", pl_json_text(arena, told->box));
  pl_json_put(arena, document, "aims", json_aims(arena, told->space->aim));
  pl_json_put(arena, document, "varied", json_varied(arena, told));
  pl_json_put(arena, document, "combinations", pl_json_real(arena, choice->combinations));
  pl_json_put(arena, document, "searched", pl_json_real(arena, choice->searched));
  pl_json_put(arena, document, "left-out", pl_json_real(arena, choice->left_out));
  json_t *const remarks = pl_json_array(arena);
  for (size_t i = 0; i < told->space->remark_count; i++)
    pl_json_add(arena, remarks, pl_json_text(arena, told->space->remarks[i]));
  pl_json_put(arena, document, "remarks", remarks);
  pl_json_put(arena, document, "now", json_figures(arena, told->now, told->space->aim));
  json_t *const best = pl_json_array(arena);
  for (size_t i = 0; i < choice->count; i++)
    pl_json_add(arena, best, json_combination(arena, told, i));
  pl_json_put(arena, document, "best", best);
  return json_text(arena, document);
}
