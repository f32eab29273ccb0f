// SPDX-License-Identifier: GPL-3.0-or-later
// A sweep for other programs: CSV and JSON. Left and right are told apart there, alike or not.
#include "room.h"

#include <math.h>
#include <string.h>

/// Is the column's figure one of those that are shown?
static bool is_shown(const struct pl_sweep_shown *shown, size_t count,
                     const struct pl_sweep_column *column) {
  for (size_t i = 0; i < count; i++) {
    if (shown[i].column->figure == column->figure) return true;
  }
  return false;
}

static const char *exact(struct pl_arena *arena, double number) {
  char space[40];
  pl_number_shortest(space, sizeof space, number, 17);
  return pl_copy_text(arena, space, strlen(space));
}

// ---------------------------------------------------------------- CSV

static void add_head(struct pl_buffer *out, const char *path, const char *unit) {
  csv_field(out,
            unit[0] == '\0' ? path : pl_format(out->arena, "%s [%s]", path, pl_unit_json(unit)),
            true);
}

/// The unit of a figure's column; "" for words.
static const char *column_unit(const struct pl_sweep_column *column) {
  const char *const unit = pl_figure_rows[column->figure].unit;
  return strchr(unit, '|') != NULL ? "" : pl_unit_json(unit);
}

static void add_value(struct pl_buffer *out, const struct pl_sweep_setting *setting,
                      size_t index) {
  const struct pl_sweep_value *const value = &setting->values[index];
  if (setting->is_number)
    pl_buffer_text(out, value->shown);
  else
    csv_field(out, value->shown, true);
}

static void add_figure(struct pl_buffer *out, const struct pl_sweep_column *column,
                       size_t point) {
  const double value = column->values[point];
  if (!isfinite(value)) return;
  const char *const word = pl_figure_word(out->arena, column->figure, value);
  if (word != NULL)
    csv_field(out, word, true);
  else
    pl_buffer_text(out, exact(out->arena, pl_figure_in_unit(column->figure, value)));
}

const char *pl_sweep_csv(struct pl_arena *arena, const struct pl_sweep *sweep,
                         const struct pl_sweep_shown *shown, size_t count) {
  struct pl_buffer out = {.arena = arena};
  for (size_t i = 0; i < sweep->setting_count; i++) {
    pl_buffer_text(&out, i == 0 ? "" : ",");
    add_head(&out, sweep->settings[i].path, sweep->settings[i].unit);
  }
  for (size_t j = 0; j < sweep->column_count; j++) {
    const struct pl_sweep_column *const column = &sweep->columns[j];
    if (!is_shown(shown, count, column)) continue;
    pl_buffer_text(&out, ",");
    add_head(&out,
             pl_format(arena, "%s.%s", pl_place_name(column->place),
                       pl_figure_rows[column->figure].key),
             column_unit(column));
  }
  pl_buffer_text(&out, "\r\n");
  for (size_t point = 0; point < sweep->point_count; point++) {
    for (size_t i = 0; i < sweep->setting_count; i++) {
      pl_buffer_text(&out, i == 0 ? "" : ",");
      add_value(&out, &sweep->settings[i], pl_sweep_index(sweep, i, point));
    }
    for (size_t j = 0; j < sweep->column_count; j++) {
      if (!is_shown(shown, count, &sweep->columns[j])) continue;
      pl_buffer_text(&out, ",");
      add_figure(&out, &sweep->columns[j], point);
    }
    pl_buffer_text(&out, "\r\n");
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- JSON

static json_t *json_value(struct pl_arena *arena, const struct pl_sweep_setting *setting,
                          size_t index) {
  const struct pl_sweep_value *const value = &setting->values[index];
  return setting->is_number ? pl_json_real(arena, value->number)
                            : pl_json_text(arena, value->shown);
}

static json_t *json_setting(struct pl_arena *arena, const struct pl_sweep_setting *setting) {
  json_t *const object = pl_json_object(arena);
  json_t *const values = pl_json_array(arena);
  for (size_t i = 0; i < setting->count; i++)
    pl_json_add(arena, values, json_value(arena, setting, i));
  pl_json_put(arena, object, "scope", pl_json_text(arena, setting->scope));
  pl_json_put(arena, object, "key", pl_json_text(arena, setting->key));
  if (setting->is_number)
    pl_json_put(arena, object, "unit", pl_json_text(arena, pl_unit_json(setting->unit)));
  pl_json_put(arena, object, "values", values);
  if (setting->now < setting->count)
    pl_json_put(arena, object, "now", json_value(arena, setting, setting->now));
  else if (setting->is_number && !isnan(setting->now_number))
    pl_json_put(arena, object, "now", pl_json_real(arena, setting->now_number));
  else if (setting->now_shown[0] != '\0')
    pl_json_put(arena, object, "now", pl_json_text(arena, setting->now_shown));
  return object;
}

static json_t *json_figure(struct pl_arena *arena, const struct pl_sweep_column *column,
                           double value) {
  json_t *const object = pl_json_object(arena);
  const char *const word = pl_figure_word(arena, column->figure, value);
  if (word != NULL) {
    pl_json_put(arena, object, "value", pl_json_text(arena, word));
    return object;
  }
  pl_json_put(arena, object, "value",
              pl_json_real(arena, pl_figure_in_unit(column->figure, value)));
  pl_json_put(arena, object, "unit",
              pl_json_text(arena, pl_unit_json(pl_figure_rows[column->figure].unit)));
  return object;
}

/// Puts a figure's value under its place.
static void put_figure(struct pl_arena *arena, json_t *figures,
                       const struct pl_sweep_column *column, double value) {
  const char *const place = pl_place_name(column->place);
  json_t *here = json_object_get(figures, place);
  if (here == NULL) pl_json_put(arena, figures, place, here = pl_json_object(arena));
  pl_json_put(arena, here, pl_figure_rows[column->figure].key,
              json_figure(arena, column, value));
}

/// The figures of the setup as it is.
static json_t *json_now(struct pl_arena *arena, const struct pl_sweep *sweep,
                        const struct pl_sweep_shown *shown, size_t count) {
  json_t *const figures = pl_json_object(arena);
  for (size_t j = 0; j < sweep->column_count; j++) {
    const struct pl_sweep_column *const column = &sweep->columns[j];
    if (is_shown(shown, count, column) && isfinite(column->now))
      put_figure(arena, figures, column, column->now);
  }
  return figures;
}

static json_t *json_missing(struct pl_arena *arena, const struct pl_sweep_column *column,
                            size_t point) {
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "figure", pl_json_text(arena, pl_figure_rows[column->figure].key));
  pl_json_put(arena, object, "scope", pl_json_text(arena, pl_place_name(column->place)));
  pl_json_put(arena, object, "why", pl_json_text(arena, column->why[point]));
  return object;
}

static json_t *json_point(struct pl_arena *arena, const struct pl_sweep *sweep,
                          const struct pl_sweep_shown *shown, size_t count, size_t point) {
  json_t *const object = pl_json_object(arena);
  json_t *const values = pl_json_array(arena);
  json_t *const figures = pl_json_object(arena);
  json_t *const missing = pl_json_array(arena);
  for (size_t i = 0; i < sweep->setting_count; i++)
    pl_json_add(arena, values,
                json_value(arena, &sweep->settings[i], pl_sweep_index(sweep, i, point)));
  for (size_t j = 0; j < sweep->column_count; j++) {
    const struct pl_sweep_column *const column = &sweep->columns[j];
    if (!is_shown(shown, count, column)) continue;
    if (!isfinite(column->values[point])) {
      pl_json_add(arena, missing, json_missing(arena, column, point));
      continue;
    }
    put_figure(arena, figures, column, column->values[point]);
  }
  pl_json_put(arena, object, "values", values);
  pl_json_put(arena, object, "figures", figures);
  if (json_array_size(missing) > 0) pl_json_put(arena, object, "missing", missing);
  return object;
}

static json_t *json_remark(struct pl_arena *arena, const struct pl_sweep_remark *remark) {
  json_t *const object = pl_json_object(arena);
  json_t *const points = pl_json_array(arena);
  for (size_t i = 0; i < remark->count; i++)
    pl_json_add(arena, points, pl_json_integer(arena, (long long)remark->points[i]));
  pl_json_put(arena, object, "code",
              pl_json_text(arena, pl_diagnostic_rows[remark->problem.code].code));
  pl_json_put(arena, object, "severity",
              pl_json_text(arena, remark->is_error ? "error" : "warning"));
  pl_json_put(arena, object, "message", pl_json_text(arena, remark->problem.message));
  pl_json_put(arena, object, "hint", pl_json_text(arena, remark->problem.hint));
  if (remark->place[0] != '\0')
    pl_json_put(arena, object, "place", pl_json_text(arena, remark->place));
  if (remark->differs) pl_json_put(arena, object, "differs", json_true());
  pl_json_put(arena, object, "points", points);
  return object;
}

json_t *json_remarks(struct pl_arena *arena, const struct pl_sweep *sweep) {
  json_t *const remarks = pl_json_array(arena);
  for (size_t i = 0; sweep != NULL && i < sweep->remark_count; i++)
    pl_json_add(arena, remarks, json_remark(arena, &sweep->remarks[i]));
  return remarks;
}

const char *pl_sweep_json(struct pl_arena *arena, const struct pl_sweep *sweep,
                          const struct pl_sweep_shown *shown, size_t count,
                          const struct pl_diagnostics *problems) {
  json_t *const document = pl_json_object(arena);
  json_t *const settings = pl_json_array(arena);
  json_t *const points = pl_json_array(arena);
  for (size_t i = 0; sweep != NULL && i < sweep->setting_count; i++)
    pl_json_add(arena, settings, json_setting(arena, &sweep->settings[i]));
  for (size_t i = 0; sweep != NULL && i < sweep->point_count; i++)
    pl_json_add(arena, points, json_point(arena, sweep, shown, count, i));
  pl_json_put(arena, document, "setup",
              sweep == NULL
                  ? json_null()
                  : pl_json_text(arena, pl_setup_name(pl_figures_setup(sweep->today))));
  pl_json_put(arena, document, "sweep", settings);
  if (sweep != NULL) pl_json_put(arena, document, "now", json_now(arena, sweep, shown, count));
  pl_json_put(arena, document, "points", points);
  pl_json_put(arena, document, "remarks", json_remarks(arena, sweep));
  pl_json_put(arena, document, "diagnostics", json_problems(arena, problems));
  return json_text(arena, document);
}
