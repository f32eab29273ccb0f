// SPDX-License-Identifier: GPL-3.0-or-later
// A setup's settings and figures as text and as CSV.
#include "room.h"

#include <string.h>

static bool is_printed(enum pl_setting setting) {
  return pl_settings[setting].owner == PL_BLOCK_SETUP;
}

static struct pl_printed setting_at(struct pl_arena *arena, const struct pl_setup *setup,
                                    enum pl_setting setting, enum pl_place place,
                                    enum pl_unit_system system) {
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  if (!resolved->given || resolved->value.kind == PL_VALUE_NONE)
    return (struct pl_printed){"", ""};
  return pl_print_setting(arena, setting, &resolved->value, system);
}

/// Figures with their tolerances.
struct tolerated {
  struct pl_figures *figures;
  const struct pl_tolerances *tolerances; ///< null: none
};

static struct pl_printed figure_at(struct pl_arena *arena, const struct tolerated *tolerated,
                                   enum pl_figure figure, enum pl_place place,
                                   enum pl_unit_system system) {
  const struct pl_figure_value *const value = pl_figure_get(tolerated->figures, figure, place);
  return pl_print_tolerated(arena, figure, value->value,
                            pl_tolerance_of(tolerated->tolerances, figure, place)->half_width,
                            system);
}

// ---------------------------------------------------------------- settings

static void add_setting(struct table *table, const struct pl_setup *setup,
                        enum pl_setting setting, const struct pl_text_style *style) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  struct pl_printed cells[4] = {{"", ""}};
  const int first = (int)pl_first_place(row->scope);
  const int last = (int)pl_last_place(row->scope);
  for (int place = first; place <= last; place++)
    cells[place - first] =
        setting_at(table->arena, setup, setting, (enum pl_place)place, style->system);
  table->words = row->type != PL_TYPE_NUMBER && row->type != PL_TYPE_COUNT;
  if (row->scope == PL_SCOPE_CAR) table_whole(table, row->label, cells[0]);
  if (row->scope == PL_SCOPE_AXLE) table_axles(table, row->label, cells);
  if (row->scope == PL_SCOPE_CORNER) table_corners(table, row->label, cells);
  table->words = false;
}

static void add_ballast(struct table *table, const struct pl_setup *setup,
                        const struct pl_text_style *style) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  for (size_t i = 0; i < count; i++) {
    const char *const text = pl_ballast_text(table->arena, &pieces[i], style->system);
    table_whole(table, pl_format(table->arena, "Ballast %s", pieces[i].name),
                (struct pl_printed){text, ""});
  }
}

/// Extras of the whole car.
static void add_extras(struct table *table, const struct pl_setup *setup) {
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  table->words = true;
  for (size_t i = 0; i < count; i++) {
    const char *const text = pl_value_text(table->arena, &extras[i].at[PL_CAR].value);
    table_whole(table, extras[i].name, (struct pl_printed){text, ""});
  }
  table->words = false;
}

static void add_corner_extras(struct table *table, const struct pl_setup *setup) {
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  table->words = true;
  for (size_t i = 0; i < count; i++) {
    struct pl_printed corners[4];
    for (int place = 0; place < 4; place++)
      corners[place] =
          (struct pl_printed){pl_value_text(table->arena, &extras[i].at[place].value), ""};
    table_corners(table, extras[i].name, corners);
  }
  table->words = false;
}

static void add_settings(struct table *table, const struct pl_setup *setup,
                         const struct pl_text_style *style) {
  table_heading(table, "The whole car", false);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (is_printed((enum pl_setting)i) && pl_settings[i].scope == PL_SCOPE_CAR)
      add_setting(table, setup, (enum pl_setting)i, style);
  }
  add_ballast(table, setup, style);
  add_extras(table, setup);
  table_heading(table, "Settings", true);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (is_printed((enum pl_setting)i) && pl_settings[i].scope != PL_SCOPE_CAR)
      add_setting(table, setup, (enum pl_setting)i, style);
  }
  add_corner_extras(table, setup);
}

// ---------------------------------------------------------------- figures

static void add_figure(struct table *table, const struct tolerated *tolerated,
                       enum pl_figure figure, const struct pl_text_style *style) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  struct pl_printed cells[4] = {{"", ""}};
  const int first = (int)pl_first_place(row->scope);
  const int last = (int)pl_last_place(row->scope);
  for (int place = first; place <= last; place++)
    cells[place - first] =
        figure_at(table->arena, tolerated, figure, (enum pl_place)place, style->system);
  if (row->scope == PL_SCOPE_CAR) table_whole(table, row->label, cells[0]);
  if (row->scope == PL_SCOPE_AXLE) table_axles(table, row->label, cells);
  if (row->scope == PL_SCOPE_CORNER) table_corners(table, row->label, cells);
}

bool chooses(const struct pl_figure_choice *choice, enum pl_figure figure) {
  for (size_t i = 0; i < choice->count; i++) {
    if (choice->figures[i] == figure) return true;
  }
  return choice->count == 0;
}

static void add_figures(struct table *table, const struct tolerated *tolerated,
                        const struct pl_figure_choice *choice,
                        const struct pl_text_style *style) {
  table_heading(table, "Figures", true);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (chooses(choice, (enum pl_figure)i) && pl_figure_rows[i].scope != PL_SCOPE_CAR)
      add_figure(table, tolerated, (enum pl_figure)i, style);
  }
  table_heading(table, "Figures of the whole car", false);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (chooses(choice, (enum pl_figure)i) && pl_figure_rows[i].scope == PL_SCOPE_CAR)
      add_figure(table, tolerated, (enum pl_figure)i, style);
  }
}

/// Headings with nothing below them are left out.
static void drop_bare_headings(struct table *table) {
  size_t kept = 0;
  for (size_t i = 0; i < table->count; i++) {
    const bool bare =
        table->lines[i].heading && (i + 1 == table->count || table->lines[i + 1].heading);
    if (!bare) table->lines[kept++] = table->lines[i];
  }
  table->count = kept;
}

/// Something that is not declared, and the figures that want it.
struct lacking {
  const char *key;
  enum pl_figure figures[PL_FIGURE_COUNT];
  size_t count;
};

struct lacking_list {
  struct pl_arena *arena;
  struct lacking *items;
  size_t count;
  size_t capacity;
};

static void add_lacking(struct lacking_list *list, const char *key, enum pl_figure figure) {
  size_t at = 0;
  while (at < list->count && strcmp(list->items[at].key, key) != 0) at++;
  if (at == list->count) {
    list->items =
        pl_grow(list->arena, list->items, list->count, &list->capacity, sizeof *list->items);
    list->items[list->count++] = (struct lacking){.key = key};
  }
  struct lacking *const lacking = &list->items[at];
  if (lacking->count > 0 && lacking->figures[lacking->count - 1] == figure) return;
  lacking->figures[lacking->count++] = figure;
}

static struct lacking_list lacking_of(struct pl_arena *arena, struct pl_figures *figures,
                                      const struct pl_figure_choice *choice) {
  struct lacking_list list = {.arena = arena};
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_figure figure = (enum pl_figure)i;
    const enum pl_scope scope = pl_figure_rows[i].scope;
    if (!chooses(choice, figure) || figure == PL_FIGURE_EQUIVALENT_OIL) continue;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, figure, (enum pl_place)place);
      for (size_t j = 0; !value->present && j < value->need_count; j++)
        add_lacking(&list, value->needs[j], figure);
    }
  }
  return list;
}

/// What is lacking for the figures that are absent, one line for each thing that is needed.
static void add_missing(struct pl_buffer *out, struct pl_figures *figures,
                        const struct pl_figure_choice *choice,
                        const struct pl_text_style *style) {
  const size_t shown = 2; // of the figures that want a thing: enough to see what it is for
  const struct lacking_list list = lacking_of(out->arena, figures, choice);
  size_t indent = 0;
  for (size_t i = 0; i < list.count; i++) {
    const size_t taken = pl_text_columns(list.items[i].key) + 4;
    if (taken > indent) indent = taken;
  }
  if (list.count > 0) pl_buffer_text(out, "\nNot declared, and needed for\n");
  for (size_t i = 0; i < list.count; i++) {
    const struct lacking *const lacking = &list.items[i];
    struct pl_buffer words = {.arena = out->arena};
    for (size_t j = 0; j < lacking->count && (j < shown || lacking->count == shown + 1); j++)
      pl_buffer_format(&words, "%s%s", j == 0 ? "" : ", ",
                       pl_figure_rows[lacking->figures[j]].key);
    if (lacking->count > shown + 1)
      pl_buffer_format(&words, " and %zu more", lacking->count - shown);
    add_hanging(out, pl_format(out->arena, "  %s", lacking->key), pl_buffer_string(&words),
                indent, style->width);
  }
}

/// Notes that the figures carry, each once.
static void add_notes(struct pl_buffer *out, struct pl_figures *figures,
                      const struct pl_text_style *style) {
  const char *told[32];
  size_t count = 0;
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    for (int place = 0; place < PL_PLACE_COUNT; place++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, (enum pl_figure)i, (enum pl_place)place);
      for (size_t j = 0; j < value->note_count; j++) {
        bool known = count == sizeof told / sizeof told[0];
        for (size_t k = 0; k < count && !known; k++)
          known = strcmp(told[k], value->notes[j]) == 0;
        if (!known) told[count++] = value->notes[j];
      }
    }
  }
  if (count > 0) pl_buffer_text(out, "\nTo know\n");
  for (size_t i = 0; i < count; i++) add_wrapped(out, told[i], 2, style->width);
}

const char *pl_figures_text(struct pl_arena *arena, struct pl_figures *figures,
                            const struct pl_figure_choice *choice,
                            const struct pl_text_style *style) {
  const struct pl_setup *const setup = pl_figures_setup(figures);
  const struct tolerated tolerated = {
      figures, pl_tolerances_new(figures, choice->figures, choice->count)};
  struct table table = {.arena = arena};
  if (choice->count == 0) add_settings(&table, setup, style);
  add_figures(&table, &tolerated, choice, style);
  drop_bare_headings(&table);
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, pl_text_safe(arena, pl_setup_name(setup)));
  if (pl_setup_base(setup)[0] != '\0')
    pl_buffer_format(&out, "   from %s", pl_text_safe(arena, pl_setup_base(setup)));
  pl_buffer_text(&out, "\n");
  const char *const rows = table_text(&table, style);
  if (rows[0] != '\0') pl_buffer_format(&out, "\n%s", rows);
  add_missing(&out, figures, choice, style);
  if (choice->count == 0) add_notes(&out, figures, style);
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- CSV

void csv_field(struct pl_buffer *out, const char *text, bool is_text) {
  const bool formula = is_text && text[0] != '\0' && strchr("=+-@\t\r\n", text[0]) != NULL;
  pl_buffer_text(out, formula ? "\"'" : "\"");
  for (const char *at = text; *at != '\0'; at++) {
    if (*at == '"') pl_buffer_text(out, "\"");
    pl_buffer_add(out, at, 1);
  }
  pl_buffer_text(out, "\"");
}

static void add_record(struct pl_buffer *out, const char *what, enum pl_place place,
                       const char *key, const char *value, const char *unit, bool is_text) {
  pl_buffer_format(out, "%s,%s,", what, pl_place_name(place));
  csv_field(out, key, true);
  pl_buffer_text(out, ",");
  if (is_text)
    csv_field(out, value, true);
  else
    pl_buffer_text(out, value);
  pl_buffer_format(out, ",%s\r\n", unit);
}

static const char *exact(struct pl_arena *arena, double number) {
  char space[40];
  pl_number_shortest(space, sizeof space, number, 17);
  return pl_copy_text(arena, space, strlen(space));
}

static bool is_number(enum pl_setting setting) {
  return pl_settings[setting].type == PL_TYPE_NUMBER ||
         pl_settings[setting].type == PL_TYPE_COUNT;
}

/// A number and its tolerance are two records, so that each is a number.
static void add_setting_record(struct pl_buffer *out, enum pl_setting setting,
                               enum pl_place place, struct pl_value value) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  const struct pl_unit unit = pl_unit_named(row->of);
  const double tolerance = is_number(setting) ? value.tolerance : 0;
  if (is_number(setting)) value.tolerance = 0;
  add_record(out, "setting", place, row->key,
             pl_print_setting(out->arena, setting, &value, PL_METRIC).text,
             is_number(setting) ? pl_unit_json(row->of) : "", !is_number(setting));
  if (tolerance > 0)
    add_record(out, "tolerance", place, row->key, exact(out->arena, tolerance / unit.factor),
               pl_unit_json(row->of), false);
}

static void add_setting_records(struct pl_buffer *out, const struct pl_setup *setup,
                                enum pl_setting setting) {
  const enum pl_scope scope = pl_settings[setting].scope;
  for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
    const struct pl_resolved *const resolved =
        pl_setup_get(setup, setting, (enum pl_place)place);
    if (resolved->given && resolved->value.kind != PL_VALUE_NONE)
      add_setting_record(out, setting, (enum pl_place)place, resolved->value);
  }
}

static void add_extra_records(struct pl_buffer *out, const struct pl_setup *setup) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  for (size_t i = 0; i < count; i++)
    add_record(out, "ballast", PL_CAR, pieces[i].name,
               pl_format(out->arena, "%s at %s",
                         pl_value_text(out->arena, &pieces[i].mass.value),
                         pl_value_text(out->arena, &pieces[i].at.value)),
               "", true);
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) {
    for (int place = 0; place < PL_PLACE_COUNT; place++) {
      const struct pl_resolved *const at = &extras[i].at[place];
      if (at->given)
        add_record(out, "extra", (enum pl_place)place, extras[i].name,
                   pl_value_text(out->arena, &at->value), "", true);
    }
  }
}

static void add_tolerance_record(struct pl_buffer *out, const struct pl_tolerances *tolerances,
                                 enum pl_figure figure, enum pl_place place) {
  const double half_width = pl_tolerance_of(tolerances, figure, place)->half_width;
  if (half_width > 0)
    add_record(out, "tolerance", place, pl_figure_rows[figure].key,
               exact(out->arena, pl_half_width_in_unit(figure, half_width)),
               pl_unit_json(pl_figure_rows[figure].unit), false);
}

const char *pl_figures_csv(struct pl_arena *arena, struct pl_figures *figures,
                           const struct pl_figure_choice *choice) {
  const struct pl_tolerances *const tolerances =
      pl_tolerances_new(figures, choice->figures, choice->count);
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, "what,where,key,value,unit\r\n");
  for (int i = 0; choice->count == 0 && i < PL_SETTING_COUNT; i++) {
    if (is_printed((enum pl_setting)i))
      add_setting_records(&out, pl_figures_setup(figures), (enum pl_setting)i);
  }
  if (choice->count == 0) add_extra_records(&out, pl_figures_setup(figures));
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const struct pl_figure_row *const row = &pl_figure_rows[i];
    if (!chooses(choice, (enum pl_figure)i)) continue;
    for (int place = (int)pl_first_place(row->scope); place <= (int)pl_last_place(row->scope);
         place++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, (enum pl_figure)i, (enum pl_place)place);
      if (!value->present) continue;
      const char *const word = pl_figure_word(arena, (enum pl_figure)i, value->value);
      const char *const text =
          word != NULL ? word
                       : exact(arena, pl_figure_in_unit((enum pl_figure)i, value->value));
      add_record(&out, "figure", (enum pl_place)place, row->key, text,
                 word != NULL ? "" : pl_unit_json(row->unit), word != NULL);
      add_tolerance_record(&out, tolerances, (enum pl_figure)i, (enum pl_place)place);
    }
  }
  return pl_buffer_string(&out);
}
