// SPDX-License-Identifier: GPL-3.0-or-later
// What the temperature does, and which oil brings the damping back: as text and as JSON.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- figures

/// "+24 %", "-3 %"
static const char *per_cent(struct pl_arena *arena, double share, int digits) {
  char space[40];
  pl_number_fixed(space, sizeof space, 100 * share, digits);
  const bool is_plus = space[0] != '-' && strpbrk(space, "123456789") != NULL;
  return pl_format(arena, "%s%s %%", is_plus ? "+" : "", space);
}

static struct pl_printed cell_of(struct pl_arena *arena, const struct pl_sweep_column *column,
                                 const struct pl_text_style *style) {
  const enum pl_figure figure = column->figure;
  const double now = column->now;
  const double then = column->values[0];
  const struct pl_printed after = pl_print_figure(arena, figure, then, style->system);
  const struct pl_printed before = pl_print_figure(arena, figure, now, style->system);
  const char *const to = after.text[0] == '\0' ? NO_VALUE : after.text;
  if (before.text[0] == '\0' && after.text[0] == '\0') return (struct pl_printed){"", ""};
  if (before.text[0] == '\0') // it compares the two itself
    return (struct pl_printed){pl_format(arena, "%s %s", to, after.unit), ""};
  const bool is_degrees = strcmp(before.unit, "°") == 0 || before.unit[0] == '\0';
  const char *const change = figure == PL_FIGURE_SHOCK_TEMPERATURE || !isfinite(then)
                                 ? ""
                                 : pl_format(arena, ", %s", per_cent(arena, then / now - 1, 0));
  return (struct pl_printed){pl_format(arena, "%s → %s%s%s%s", before.text, to,
                                       is_degrees ? "" : " ", before.unit, change),
                             ""};
}

static void add_figures(struct pl_arena *arena, const struct pl_weather *weather,
                        const struct pl_text_style *style, struct pl_buffer *out) {
  struct table table = {.arena = arena, .words = true};
  size_t count = 0;
  const enum pl_figure *const figures = pl_weather_figures(&count);
  table_heading(&table, "Now → then", true);
  for (size_t i = 0; i < count; i++) {
    struct pl_printed corners[4];
    for (int corner = 0; corner < 4; corner++)
      corners[corner] =
          cell_of(arena, pl_weather_column(weather, figures[i], (enum pl_place)corner), style);
    table_corners(&table, pl_figure_rows[figures[i]].label, corners);
  }
  pl_buffer_format(out, "\n%s", table_text(&table, style));
}

// ---------------------------------------------------------------- oils

/// The line to write is not wrapped, so that it can be copied.
static void add_oil(struct pl_buffer *out, const struct pl_weather_axle *axle,
                    const struct pl_weather_oil *oil, const struct pl_text_style *style) {
  struct pl_arena *const arena = out->arena;
  add_hanging(out, pl_format(arena, "  %8s", per_cent(arena, oil->excess, 1)),
              pl_format(arena, "%s%s", oil->is_unchanged ? "as it is: " : "",
                        pl_text_safe(arena, oil->words)),
              12, style->width);
  if (!oil->is_unchanged)
    pl_buffer_format(out, "            %s { oil = %s }\n", pl_place_name(axle->axle),
                     pl_text_safe(arena, oil->written));
}

/// What happens to the slow damping where nothing is changed.
static const char *unchanged_words(struct pl_arena *arena, const struct pl_weather_axle *axle) {
  const double excess = axle->unchanged.excess;
  if (fabs(excess) < 0.0005) return "left as it is, it damps as it does now";
  char space[40];
  pl_number_fixed(space, sizeof space, 100 * fabs(excess), 1);
  return pl_format(arena, "left as it is, it damps %s %% %s", space,
                   excess < 0 ? "less" : "more");
}

/// A line that begins with the axle.
static void add_axle_line(struct pl_buffer *out, const struct pl_weather_axle *axle,
                          const char *text, const struct pl_text_style *style) {
  const char *const name = axle->axle == PL_FRONT ? "Front" : "Rear";
  const char *const lead = pl_format(out->arena, "%s%s", name, axle->lacks == NULL ? "," : ":");
  struct pl_buffer line = {.arena = out->arena};
  add_hanging(&line, lead, text, strlen(lead) + 1, style->width);
  pl_buffer_format(out, style->colour ? "\n\x1b[1m%s\x1b[0m%s" : "\n%s%s", name,
                   pl_buffer_string(&line) + strlen(name));
}

static void add_axle(struct pl_buffer *out, const struct pl_weather *weather,
                     const struct pl_weather_axle *axle, const struct pl_text_style *style) {
  struct pl_arena *const arena = out->arena;
  if (axle->lacks != NULL) {
    add_axle_line(out, axle, "the damping cannot be told", style);
    add_wrapped(out, pl_text_safe(arena, axle->lacks), 2, style->width);
    return;
  }
  add_axle_line(out, axle,
                pl_format(arena, "now %s: %s", pl_text_safe(arena, axle->oil),
                          unchanged_words(arena, axle)),
                style);
  if (axle->sides_differ)
    add_wrapped(out, "left and right differ: this is their mean, for one oil in both", 2,
                style->width);
  if (weather->owned == 0) {
    add_wrapped(out, "there is no oil to choose from: the file and its includes declare none",
                2, style->width);
    return;
  }
  for (size_t i = 0; i < axle->best_count; i++) add_oil(out, axle, &axle->best[i], style);
}

// ---------------------------------------------------------------- the whole

static const char *degrees(struct pl_arena *arena, double kelvin,
                           const struct pl_text_style *style) {
  const char *const unit = style->system == PL_METRIC ? "degC" : "degF";
  const struct pl_printed printed = pl_print_number(arena, kelvin, unit, 0);
  return pl_format(arena, "%s %s", printed.text, printed.unit);
}

static void add_head(struct pl_buffer *out, const struct pl_weather *weather,
                     const struct pl_text_style *style) {
  struct pl_arena *const arena = out->arena;
  const char *const what = weather->of_oil ? "Oil" : "Air";
  const char *const setup = pl_setup_name(pl_figures_setup(weather->sweep.today));
  pl_buffer_format(out, "%s\n\n", pl_text_safe(arena, setup));
  if (isnan(weather->now))
    add_wrapped(out,
                pl_format(arena, "%s now: not declared, so the oil is taken at %s; then %s",
                          what, degrees(arena, 298.15, style),
                          degrees(arena, weather->temperature, style)),
                0, style->width);
  else
    pl_buffer_format(out, "%s now %s, then %s\n", what, degrees(arena, weather->now, style),
                     degrees(arena, weather->temperature, style));
  if (weather->of_oil)
    add_wrapped(out,
                "The setup gives oil-temperature, so the air does not reach the oil: the "
                "temperature of --air is taken as the oil's.",
                0, style->width);
}

const char *pl_weather_text(struct pl_arena *arena, const struct pl_weather *weather,
                            const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  add_head(&out, weather, style);
  add_figures(arena, weather, style, &out);
  pl_buffer_text(&out, "\n");
  add_wrapped(&out,
              "Oils with which the slow damping then comes nearest to what it is now, and how "
              "far off it stays",
              0, style->width);
  for (size_t i = 0; i < 2; i++) add_axle(&out, weather, &weather->axles[i], style);
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- JSON

static json_t *json_figure(struct pl_arena *arena, const struct pl_sweep_column *column) {
  const enum pl_figure figure = column->figure;
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "now",
              pl_json_real(arena, pl_figure_in_unit(figure, column->now)));
  pl_json_put(arena, object, "then",
              pl_json_real(arena, pl_figure_in_unit(figure, column->values[0])));
  pl_json_put(arena, object, "unit",
              pl_json_text(arena, pl_unit_json(pl_figure_rows[figure].unit)));
  if (column->why[0] != NULL)
    pl_json_put(arena, object, "why", pl_json_text(arena, column->why[0]));
  return object;
}

static json_t *json_oil(struct pl_arena *arena, const struct pl_weather_axle *axle,
                        const struct pl_weather_oil *oil) {
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "oil", pl_json_text(arena, oil->words));
  pl_json_put(arena, object, "unchanged", pl_json_keep(arena, json_boolean(oil->is_unchanged)));
  pl_json_put(arena, object, "excess", pl_json_real(arena, oil->excess));
  if (!oil->is_unchanged)
    pl_json_put(arena, object, "line",
                pl_json_text(arena, pl_format(arena, "%s { oil = %s }",
                                              pl_place_name(axle->axle), oil->written)));
  return object;
}

static json_t *json_axle(struct pl_arena *arena, const struct pl_weather_axle *axle) {
  json_t *const object = pl_json_object(arena);
  json_t *const best = pl_json_array(arena);
  for (size_t i = 0; i < axle->best_count; i++)
    pl_json_add(arena, best, json_oil(arena, axle, &axle->best[i]));
  if (axle->lacks != NULL)
    pl_json_put(arena, object, "why", pl_json_text(arena, axle->lacks));
  else
    pl_json_put(arena, object, "unchanged", json_oil(arena, axle, &axle->unchanged));
  pl_json_put(arena, object, "best", best);
  return object;
}

static void put_figures(struct pl_arena *arena, const struct pl_weather *weather,
                        json_t *document) {
  json_t *const all = pl_json_object(arena);
  size_t count = 0;
  const enum pl_figure *const figures = pl_weather_figures(&count);
  for (int corner = 0; corner < 4; corner++) {
    json_t *const here = pl_json_object(arena);
    for (size_t i = 0; i < count; i++)
      pl_json_put(
          arena, here, pl_figure_rows[figures[i]].key,
          json_figure(arena, pl_weather_column(weather, figures[i], (enum pl_place)corner)));
    pl_json_put(arena, all, pl_place_name((enum pl_place)corner), here);
  }
  pl_json_put(arena, document, "figures", all);
}

const char *pl_weather_json(struct pl_arena *arena, const struct pl_weather *weather,
                            const struct pl_diagnostics *problems) {
  json_t *const document = pl_json_object(arena);
  if (weather == NULL) {
    pl_json_put(arena, document, "setup", json_null());
  } else {
    const struct pl_unit celsius = pl_unit_named("degC");
    json_t *const temperature = pl_json_object(arena);
    pl_json_put(arena, temperature, "of",
                pl_json_text(arena, weather->of_oil ? "oil-temperature" : "air"));
    pl_json_put(arena, temperature, "now",
                pl_json_real(arena, pl_from_si(weather->now, &celsius)));
    pl_json_put(arena, temperature, "then",
                pl_json_real(arena, pl_from_si(weather->temperature, &celsius)));
    pl_json_put(arena, temperature, "unit", pl_json_text(arena, "degC"));
    pl_json_put(arena, document, "setup",
                pl_json_text(arena, pl_setup_name(pl_figures_setup(weather->sweep.today))));
    pl_json_put(arena, document, "temperature", temperature);
    put_figures(arena, weather, document);
    json_t *const oils = pl_json_object(arena);
    for (size_t i = 0; i < 2; i++)
      pl_json_put(arena, oils, pl_place_name(weather->axles[i].axle),
                  json_axle(arena, &weather->axles[i]));
    pl_json_put(arena, document, "oils", oils);
  }
  pl_json_put(arena, document, "diagnostics", json_problems(arena, problems));
  return json_text(arena, document);
}
