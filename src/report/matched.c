// SPDX-License-Identifier: GPL-3.0-or-later
// How unlike left and right become with ports that are not drilled alike, and how well they
// have to be matched.
#include "room.h"

#include <math.h>
#include <string.h>

static const enum pl_place axles[] = {PL_FRONT, PL_REAR};

/// Whether the figure at least of one axle depends on the ports.
static bool depends(const struct pl_matching *matching, enum pl_figure figure) {
  return !isnan(pl_match_of(matching, figure, PL_FRONT).allowed) ||
         !isnan(pl_match_of(matching, figure, PL_REAR).allowed);
}

/// The figures to tell; `*count` is how many.
static const enum pl_figure *figures_of(struct pl_arena *arena,
                                        const struct pl_matching *matching,
                                        const struct pl_figure_choice *choice, size_t *count) {
  enum pl_figure *const figures = pl_alloc_array(arena, PL_FIGURE_COUNT, sizeof *figures);
  *count = 0;
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_figure figure = (enum pl_figure)i;
    if (chooses(choice, figure) && depends(matching, figure)) figures[(*count)++] = figure;
  }
  return figures;
}

// ---------------------------------------------------------------- text

static struct pl_printed percent(struct pl_arena *arena, double share) {
  if (isnan(share)) return (struct pl_printed){"", ""};
  char space[40];
  pl_number_fixed(space, sizeof space, share * 100, share < 0.1 ? 1 : 0);
  return (struct pl_printed){pl_copy_text(arena, space, strlen(space)), "%"};
}

static struct pl_printed length(struct pl_arena *arena, double metres,
                                enum pl_unit_system system) {
  if (isnan(metres)) return (struct pl_printed){"", ""};
  return system == PL_METRIC ? pl_print_number(arena, metres, "mm", 3)
                             : pl_print_number(arena, metres, "in", 4);
}

/// Why there is nothing to tell.
static const char *nothing_words(struct pl_arena *arena, const struct pl_matching *matching) {
  static const struct pl_figure_choice all = {NULL, 0};
  size_t count = 0;
  const enum pl_figure *const others = figures_of(arena, matching, &all, &count);
  if (count == 0)
    return "No figure that can be computed here depends on a piston's ports: that needs piston, "
           "oil and damper.";
  struct pl_buffer keys = {.arena = arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&keys, "%s%s", i == 0 ? "" : ", ", pl_figure_rows[others[i]].key);
  return pl_format(arena,
                   "None of the figures behind --only depends on the ports. These do: %s.",
                   pl_buffer_string(&keys));
}

/// How far left and right are apart; false where no figure is left with such ports.
static bool add_apart(struct table *table, const struct pl_matching *matching,
                      const enum pl_figure *told, size_t count) {
  bool any = false;
  table_heading(table, "Apart by", true);
  for (size_t i = 0; i < count; i++) {
    const double apart[] = {pl_match_of(matching, told[i], PL_FRONT).apart,
                            pl_match_of(matching, told[i], PL_REAR).apart};
    const struct pl_printed cells[] = {percent(table->arena, apart[0]),
                                       percent(table->arena, apart[1])};
    any |= isfinite(apart[0]) || isfinite(apart[1]);
    table_axles(table, pl_figure_rows[told[i]].label, cells);
  }
  return any;
}

static void add_allowed(struct table *table, const struct pl_matching *matching,
                        const enum pl_figure *told, size_t count, enum pl_unit_system system) {
  table_heading(table, "Ports alike to", true);
  for (size_t i = 0; i < count; i++) {
    const struct pl_printed cells[] = {
        length(table->arena, pl_match_of(matching, told[i], PL_FRONT).allowed, system),
        length(table->arena, pl_match_of(matching, told[i], PL_REAR).allowed, system)};
    table_axles(table, pl_figure_rows[told[i]].label, cells);
  }
}

const char *pl_matching_text(struct pl_arena *arena, struct pl_figures *figures,
                             double difference, const struct pl_figure_choice *choice,
                             const struct pl_text_style *style) {
  const struct pl_matching *const matching = pl_matching_new(figures, difference);
  const char *const ports = with_unit(arena, length(arena, difference, style->system));
  size_t count = 0;
  const enum pl_figure *const told = figures_of(arena, matching, choice, &count);
  struct pl_buffer out = {.arena = arena};
  pl_buffer_format(&out, "%s\n\n",
                   pl_text_safe(arena, pl_setup_name(pl_figures_setup(figures))));
  if (count == 0) {
    add_wrapped(&out, nothing_words(arena, matching), 0, style->width);
    return pl_buffer_string(&out);
  }
  struct table table = {.arena = arena};
  const char *head = pl_format(
      arena,
      "How far left and right are apart where their ports differ by %s, and how well the ports "
      "have to be matched for them to stay within %g %%.",
      ports, PL_MATCH_WITHIN * 100);
  if (!add_apart(&table, matching, told, count)) {
    table = (struct table){.arena = arena};
    head =
        pl_format(arena,
                  "Ports cannot differ by %s here: nothing would be left of the smaller ones. "
                  "How well they have to be matched for left and right to stay within %g %%:",
                  ports, PL_MATCH_WITHIN * 100);
  }
  add_allowed(&table, matching, told, count, style->system);
  add_wrapped(&out, head, 0, style->width);
  pl_buffer_format(&out, "\n%s", table_text(&table, style));
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- JSON and CSV

static json_t *json_number(struct pl_arena *arena, double value, const char *unit) {
  if (isnan(value)) return json_null();
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "value", pl_json_real(arena, value));
  pl_json_put(arena, object, "unit", pl_json_text(arena, unit));
  return object;
}

const char *pl_matching_json(struct pl_arena *arena, struct pl_figures *figures,
                             double difference, const struct pl_figure_choice *choice,
                             const struct pl_diagnostics *problems) {
  json_t *const document = pl_json_object(arena);
  json_t *const all = pl_json_object(arena);
  const struct pl_matching *const matching =
      figures == NULL ? NULL : pl_matching_new(figures, difference);
  size_t count = 0;
  const enum pl_figure *const told =
      matching == NULL ? NULL : figures_of(arena, matching, choice, &count);
  for (size_t i = 0; i < 2; i++) {
    json_t *const here = pl_json_object(arena);
    for (size_t j = 0; j < count; j++) {
      const struct pl_match match = pl_match_of(matching, told[j], axles[i]);
      if (isnan(match.allowed)) continue;
      json_t *const one = pl_json_object(arena);
      pl_json_put(arena, one, "apart", json_number(arena, match.apart * 100, "%"));
      pl_json_put(arena, one, "matched-to", json_number(arena, match.allowed * 1e3, "mm"));
      pl_json_put(arena, here, pl_figure_rows[told[j]].key, one);
    }
    pl_json_put(arena, all, pl_place_name(axles[i]), here);
  }
  pl_json_put(arena, document, "setup",
              figures == NULL ? json_null()
                              : pl_json_text(arena, pl_setup_name(pl_figures_setup(figures))));
  pl_json_put(arena, document, "ports-apart", json_number(arena, difference * 1e3, "mm"));
  pl_json_put(arena, document, "within", json_number(arena, PL_MATCH_WITHIN * 100, "%"));
  pl_json_put(arena, document, "figures", all);
  pl_json_put(arena, document, "diagnostics", json_problems(arena, problems));
  return json_text(arena, document);
}

static void add_record(struct pl_buffer *out, const char *what, enum pl_place axle,
                       const char *key, double value, const char *unit) {
  char space[40];
  if (isnan(value)) return;
  pl_number_shortest(space, sizeof space, value, 17);
  pl_buffer_format(out, "%s,%s,\"%s\",%s,%s\r\n", what, pl_place_name(axle), key, space, unit);
}

const char *pl_matching_csv(struct pl_arena *arena, struct pl_figures *figures,
                            double difference, const struct pl_figure_choice *choice) {
  const struct pl_matching *const matching = pl_matching_new(figures, difference);
  size_t count = 0;
  const enum pl_figure *const told = figures_of(arena, matching, choice, &count);
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, "what,where,key,value,unit\r\n");
  for (size_t i = 0; i < count; i++) {
    for (size_t j = 0; j < 2; j++) {
      const struct pl_match match = pl_match_of(matching, told[i], axles[j]);
      const char *const key = pl_figure_rows[told[i]].key;
      add_record(&out, "apart", axles[j], key, match.apart * 100, "%");
      add_record(&out, "matched-to", axles[j], key, match.allowed * 1e3, "mm");
    }
  }
  return pl_buffer_string(&out);
}
