// SPDX-License-Identifier: GPL-3.0-or-later
// Describing: what the three tables say, as text and as the reference manual.
#include "room.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *scope_words(enum pl_scope scope) {
  switch (scope) {
  case PL_SCOPE_CORNER: return "each corner";
  case PL_SCOPE_AXLE: return "each axle";
  case PL_SCOPE_CAR: return "the whole car";
  case PL_SCOPE_PART: break;
  }
  return "the part";
}

const char *holder_words(const struct pl_setting_row *row) {
  if (row->owner == PL_BLOCK_MEETING) return "the meeting";
  if (row->owner == PL_BLOCK_BOX)
    return row->scope == PL_SCOPE_AXLE ? "the box, or an axle in it" : "the box";
  if (row->owner == PL_BLOCK_AIM) return "the aim";
  return row->owner == PL_BLOCK_ENTRY ? "the entry" : scope_words(row->scope);
}

const char *type_words(struct pl_arena *arena, const struct pl_setting_row *row) {
  switch (row->type) {
  case PL_TYPE_NUMBER:
    return row->of[0] == '\0' ? "a number" : pl_format(arena, "a number in %s", row->of);
  case PL_TYPE_COUNT: return "a whole number";
  case PL_TYPE_TEXT: return "a text";
  case PL_TYPE_TEXTS:
    if (row->owner == PL_BLOCK_AIM) return "axles and settings of axles, in a list";
    return row->of[0] == '\0' ? "a text, or a list of texts"
                              : pl_format(arena, "names of %ss, in a list", row->of);
  case PL_TYPE_CHOICE: {
    struct pl_buffer words = {.arena = arena};
    pl_buffer_text(&words, "one of ");
    for (const char *at = row->of; *at != '\0'; at++)
      pl_buffer_add(&words, *at == '|' ? ", " : at, *at == '|' ? 2 : 1);
    return pl_buffer_string(&words);
  }
  case PL_TYPE_DATE: return "a day: 2026-06-14";
  case PL_TYPE_FILE:
    return "a path, and where needed the setup's name: \"07/wet.leaf\" \"Wet\"";
  case PL_TYPE_POINT: return "a point: (y, z) or (x, y, z)";
  case PL_TYPE_HOLE: return "a point, or the number of a hole";
  case PL_TYPE_HOLES: return "holes by number";
  case PL_TYPE_PORTS: return "ports: 2 x 1.6 mm + 3 x 1.2 mm";
  case PL_TYPE_VISCOSITY: return "a viscosity, or a list: 350 cSt at 25 degC";
  case PL_TYPE_GROUPS: return "groups: [4 coils gap 1.2 mm, 3 coils gap 0.5 mm]";
  case PL_TYPE_TABLE: return "a table: [0 mm 0 N, 5 mm 2.1 N]";
  case PL_TYPE_PART: return pl_format(arena, "the name of one (%s), or its value", row->of);
  }
  return "";
}

const char *span_words(struct pl_arena *arena, const struct pl_setting_row *row) {
  const char *const gap = row->of[0] == '\0' ? "" : " ";
  struct pl_buffer words = {.arena = arena};
  if (!isnan(row->least))
    pl_buffer_format(&words, "usual %g to %g%s%s", row->least, row->greatest, gap, row->of);
  if (!isnan(row->fallback))
    pl_buffer_format(&words, "%s%g%s%s where nothing gives it", words.length > 0 ? "; " : "",
                     row->fallback, gap, row->of);
  return pl_buffer_string(&words);
}

bool is_written(const struct pl_setting_row *row) {
  return row->type != PL_TYPE_HOLES;
}

const char *owner_words(const struct pl_setting_row *row) {
  return row->owner == PL_BLOCK_SETUP ? "setup, car" : pl_block_kind_name(row->owner);
}

const char *with_dots(struct pl_arena *arena, const char *text) {
  struct pl_buffer out = {.arena = arena};
  for (const char *at = text; *at != '\0'; at++) {
    const bool is_place = at[0] == '{' && at[1] >= '1' && at[1] <= '5' && at[2] == '}';
    if (is_place)
      pl_buffer_text(&out, "…");
    else
      pl_buffer_add(&out, at, 1);
    if (is_place) at += 2;
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- one key

static void describe_setting(struct pl_buffer *out, const struct pl_setting_row *row,
                             size_t width) {
  struct pl_arena *const arena = out->arena;
  pl_buffer_format(out, "%s   setting of %s (%s)\n", row->key, holder_words(row),
                   owner_words(row));
  add_wrapped(out, pl_format(arena, "%s: %s", row->label, row->meaning), 2, width);
  add_wrapped(out, type_words(arena, row), 2, width);
  const char *const span = span_words(arena, row);
  if (span[0] != '\0') pl_buffer_format(out, "  %s\n", span);
  if (row->imperial[0] != '\0' && strcmp(row->imperial, row->of) != 0)
    pl_buffer_format(out, "  prints in %s; imperial: %s\n", row->of, row->imperial);
}

/// What a formula begins with: "k = …", or "p: …" where an equation is solved for it.
static const char *symbol_of(struct pl_arena *arena, const struct pl_figure_row *row) {
  return pl_copy_text(arena, row->formula, strcspn(row->formula, ": "));
}

static void describe_figure(struct pl_buffer *out, const struct pl_figure_row *row,
                            size_t width) {
  pl_buffer_format(out, "%s   figure of %s, in %s\n", row->key, scope_words(row->scope),
                   row->unit[0] == '\0' ? "plain numbers" : pl_unit_json(row->unit));
  add_wrapped(out, pl_format(out->arena, "%s: %s", row->label, row->meaning), 2, width);
  add_hanging(out, "  symbol", symbol_of(out->arena, row), 11, width);
  add_hanging(out, "  formula", row->formula, 11, width);
  add_hanging(out, "  source", row->source, 11, width);
  add_hanging(out, "  inputs", row->inputs, 11, width);
}

static void describe_problem(struct pl_buffer *out, const struct pl_diagnostic_row *row,
                             size_t width) {
  pl_buffer_format(out, "%s   %s\n", row->code,
                   row->severity == PL_ERROR ? "error" : "warning");
  add_wrapped(out, row->text, 2, width);
  if (row->mend[0] != '\0')
    add_wrapped(out, pl_format(out->arena, "mend: %s", row->mend), 2, width);
}

static void describe_unit(struct pl_buffer *out, const char *name, const struct pl_unit *unit) {
  static const char *const base[] = {"m", "kg", "s", "K", "rad"};
  const int exponents[] = {unit->dimension.length, unit->dimension.mass, unit->dimension.time,
                           unit->dimension.temperature, unit->dimension.angle};
  char space[80];
  char factor[40];
  pl_number_shortest(factor, sizeof factor, unit->factor, 17);
  pl_buffer_format(out, "%s   unit of %s\n  1 %s = %s", name,
                   pl_dimension_words(unit->dimension, space, sizeof space), name, factor);
  for (size_t i = 0; i < sizeof base / sizeof base[0]; i++) {
    if (exponents[i] == 1) pl_buffer_format(out, " %s", base[i]);
    if (exponents[i] != 0 && exponents[i] != 1)
      pl_buffer_format(out, " %s^%d", base[i], exponents[i]);
  }
  if (unit->absolute) pl_buffer_format(out, " as a difference; a point on its own scale");
  pl_buffer_text(out, "\n");
}

static void describe_result(struct pl_buffer *out, const struct pl_result_row *row,
                            size_t width) {
  pl_buffer_format(out, "%s, a result of `pitleaf %s`\n", row->key,
                   row->of_drop && row->of_bump ? "drop` and `pitleaf bump"
                                                : simulation_words(row));
  add_wrapped(out, row->meaning, 2, width);
  if (row->unit[0] != '\0')
    add_wrapped(out, pl_format(out->arena, "in %s", pl_unit_shown(row->unit)), 2, width);
}

const char *pl_describe_key(struct pl_arena *arena, const char *key,
                            const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (is_written(&pl_settings[i]) && strcmp(pl_settings[i].key, key) == 0)
      describe_setting(&out, &pl_settings[i], style->width);
  }
  const enum pl_figure figure = pl_figure_of(key);
  if (figure != PL_FIGURE_COUNT) describe_figure(&out, &pl_figure_rows[figure], style->width);
  for (int i = 0; i < PL_CODE_COUNT; i++) {
    if (strcmp(pl_diagnostic_rows[i].code, key) == 0)
      describe_problem(&out, &pl_diagnostic_rows[i], style->width);
  }
  for (int i = 0; i < PL_RESULT_COUNT; i++) {
    if (strcmp(pl_result_rows[i].key, key) == 0)
      describe_result(&out, &pl_result_rows[i], style->width);
  }
  describe_word(&out, key, style->width);
  struct pl_unit unit;
  const char *bad = NULL;
  size_t bad_length = 0;
  if (key[0] != '\0' && pl_unit_read(key, strlen(key), &unit, &bad, &bad_length) == PL_UNIT_OK)
    describe_unit(&out, key, &unit);
  if (out.length > 0) return pl_buffer_string(&out);
  const char *const point = strchr(key, '.'); // piston.thickness: a part's key
  return point == NULL ? NULL : pl_describe_key(arena, point + 1, style);
}

#define KEY_COUNT                                                                              \
  (PL_SETTING_COUNT + PL_FIGURE_COUNT + PL_RESULT_COUNT + PL_CODE_COUNT + WORD_LIMIT)

/// All keys, as often as the tables have them; their number.
static size_t all_keys(const char *keys[KEY_COUNT]) {
  size_t count = 0;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (is_written(&pl_settings[i])) keys[count++] = pl_settings[i].key;
  }
  for (int i = 0; i < PL_FIGURE_COUNT; i++) keys[count++] = pl_figure_rows[i].key;
  for (int i = 0; i < PL_RESULT_COUNT; i++) keys[count++] = pl_result_rows[i].key;
  for (int i = 0; i < PL_CODE_COUNT; i++) keys[count++] = pl_diagnostic_rows[i].code;
  for (size_t i = 0; rule_word_at(i) != NULL && i < WORD_LIMIT; i++) {
    // What is several words is found by the first of them on a command line.
    if (strchr(rule_word_at(i)->word, ' ') == NULL) keys[count++] = rule_word_at(i)->word;
  }
  return count;
}

const char *pl_describe_nearest(const char *key) {
  const char *keys[KEY_COUNT];
  return pl_nearest(key, keys, all_keys(keys));
}

static int compare_keys(const void *left, const void *right) {
  return strcmp(*(const char *const *)left, *(const char *const *)right);
}

const char *const *pl_describe_keys(struct pl_arena *arena, size_t *count) {
  const char **const keys = pl_alloc_array(arena, KEY_COUNT, sizeof *keys);
  const size_t all = all_keys(keys);
  qsort(keys, all, sizeof *keys, compare_keys);
  *count = 0;
  for (size_t i = 0; i < all; i++) {
    if (*count == 0 || strcmp(keys[*count - 1], keys[i]) != 0) keys[(*count)++] = keys[i];
  }
  return keys;
}

// ---------------------------------------------------------------- everything, briefly

static void brief(struct pl_buffer *out, const char *key, const char *meaning,
                  const struct pl_text_style *style) {
  pl_buffer_format(out, "  %-26s ", key);
  const size_t room = style->width > 60 ? style->width - 29 : 60;
  struct pl_buffer wrapped = {.arena = out->arena};
  add_wrapped(&wrapped, meaning, 29, room + 29);
  pl_buffer_text(out, pl_buffer_string(&wrapped) + 29);
}

const char *pl_describe_all(struct pl_arena *arena, const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  for (int owner = 0; owner < PL_BLOCK_OWNER_COUNT; owner++) {
    bool any = false;
    for (int i = 0; i < PL_SETTING_COUNT; i++) {
      const struct pl_setting_row *const row = &pl_settings[i];
      if ((int)row->owner != owner || !is_written(row)) continue;
      if (!any)
        pl_buffer_format(&out, "%sSettings of %s\n", out.length > 0 ? "\n" : "",
                         owner_words(row));
      any = true;
      brief(&out, row->key, row->meaning, style);
    }
  }
  pl_buffer_text(&out, "\nOther words\n");
  for (size_t i = 0; rule_word_at(i) != NULL; i++)
    brief(&out, rule_word_at(i)->word, rule_word_at(i)->meaning, style);
  pl_buffer_text(&out, "\nFigures\n");
  for (int i = 0; i < PL_FIGURE_COUNT; i++)
    brief(&out, pl_figure_rows[i].key, pl_figure_rows[i].meaning, style);
  pl_buffer_text(&out, "\nOne of them in full: pitleaf describe KEY\n");
  return pl_buffer_string(&out);
}

const char *pl_describe_physics(struct pl_arena *arena, const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, "The figures, their formulas and sources\n");
  add_wrapped(&out,
              "Everything is computed in SI units. A figure whose inputs are missing is absent "
              "and says what it lacks; `?` stands before inputs that it can do without.",
              0, style->width);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    pl_buffer_text(&out, "\n");
    describe_figure(&out, &pl_figure_rows[i], style->width);
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- the reference manual

/// Text inside a Markdown table's cell.
static void add_cell(struct pl_buffer *out, const char *text) {
  pl_buffer_text(out, "| ");
  for (const char *at = text; *at != '\0'; at++) {
    if (*at == '|') pl_buffer_text(out, "\\");
    pl_buffer_add(out, at, 1);
  }
  pl_buffer_text(out, " ");
}

static void add_row(struct pl_buffer *out, const char *const *cells, size_t count) {
  for (size_t i = 0; i < count; i++) add_cell(out, cells[i]);
  pl_buffer_text(out, "|\n");
}

static void add_settings_of(struct pl_buffer *out, enum pl_block_kind owner) {
  static const char *const head[] = {"key", "of", "value", "meaning", "usual, and fallback"};
  bool any = false;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (row->owner != owner || !is_written(row)) continue;
    if (!any) {
      pl_buffer_format(out, "\n### %s\n\n", owner_words(row));
      add_row(out, head, 5);
      pl_buffer_text(out, "| --- | --- | --- | --- | --- |\n");
    }
    any = true;
    const char *const cells[] = {pl_format(out->arena, "`%s`", row->key), holder_words(row),
                                 type_words(out->arena, row), row->meaning,
                                 span_words(out->arena, row)};
    add_row(out, cells, 5);
  }
}

static void add_figures(struct pl_buffer *out) {
  pl_buffer_text(out,
                 "\n## Figures\n\nA figure whose inputs are missing is absent and says what "
                 "it lacks. `?` stands before inputs that it can do without.\n");
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const struct pl_figure_row *const row = &pl_figure_rows[i];
    pl_buffer_format(out,
                     "\n### %s\n\n%s of %s, in %s: %s.\n\n- formula: `%s`\n- source: %s\n"
                     "- inputs: %s\n",
                     row->key, row->label, scope_words(row->scope),
                     row->unit[0] == '\0' ? "plain numbers" : pl_unit_json(row->unit),
                     row->meaning, row->formula, row->source, row->inputs);
  }
}

const char *simulation_words(const struct pl_result_row *row) {
  if (row->of_drop && row->of_bump) return "both";
  return row->of_drop ? "drop" : "bump";
}

static void add_results(struct pl_buffer *out) {
  static const char *const head[] = {"key", "of", "unit", "meaning"};
  pl_buffer_text(
      out, "\n## Results of simulations\n\nWhat `pitleaf drop` and `pitleaf bump` "
           "tell of each corner, by the keys of their JSON. Where "
           "even 2 m is not enough, a highest drop has \"over\" in place of \"value\", and so "
           "has the time to settle where 5 s are not. A corner that is not simulated has a "
           "\"reason\" where no setting is missing.\n\n");
  add_row(out, head, 4);
  pl_buffer_text(out, "| --- | --- | --- | --- |\n");
  for (int i = 0; i < PL_RESULT_COUNT; i++) {
    const struct pl_result_row *const row = &pl_result_rows[i];
    const char *const cells[] = {pl_format(out->arena, "`%s`", row->key), simulation_words(row),
                                 row->unit[0] == '\0' ? "count" : pl_unit_json(row->unit),
                                 row->meaning};
    add_row(out, cells, 4);
  }
}

static void add_words(struct pl_buffer *out) {
  static const char *const head[] = {"word", "is", "meaning", "example"};
  pl_buffer_text(out, "\n## Other words\n\n");
  add_row(out, head, 4);
  pl_buffer_text(out, "| --- | --- | --- | --- |\n");
  for (size_t i = 0; rule_word_at(i) != NULL; i++) {
    const struct word_row *const row = rule_word_at(i);
    const char *const cells[] = {pl_format(out->arena, "`%s`", row->word), row->kind,
                                 row->meaning, pl_format(out->arena, "`%s`", row->example)};
    add_row(out, cells, 4);
  }
}

static void add_problems(struct pl_buffer *out) {
  static const char *const head[] = {"code", "severity", "text", "mend"};
  pl_buffer_text(out, "\n## Problems\n\n");
  add_row(out, head, 4);
  pl_buffer_text(out, "| --- | --- | --- | --- |\n");
  for (int i = 0; i < PL_CODE_COUNT; i++) {
    const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[i];
    const char *const cells[] = {pl_format(out->arena, "`%s`", row->code),
                                 row->severity == PL_ERROR ? "error" : "warning", row->text,
                                 row->mend};
    add_row(out, cells, 4);
  }
}

static void add_limits(struct pl_buffer *out) {
  static const char *const head[] = {"at most", "of", "why"};
  pl_buffer_text(out, "\n## Limits\n\n");
  add_row(out, head, 3);
  pl_buffer_text(out, "| ---: | --- | --- |\n");
  size_t count = 0;
  const struct pl_limit_row *const rows = pl_limit_rows(&count);
  for (size_t i = 0; i < count; i++) {
    const char *const cells[] = {pl_format(out->arena, "%d", rows[i].number), rows[i].what,
                                 rows[i].why};
    add_row(out, cells, 3);
  }
}

const char *pl_describe_markdown(struct pl_arena *arena) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out,
                 "<!-- Made by `pitleaf describe --as markdown` from the program's tables: "
                 "change those. -->\n\n# Reference\n\n## Settings\n");
  for (int owner = 0; owner < PL_BLOCK_OWNER_COUNT; owner++)
    add_settings_of(&out, (enum pl_block_kind)owner);
  add_words(&out);
  add_figures(&out);
  add_results(&out);
  add_problems(&out);
  add_limits(&out);
  return pl_buffer_string(&out);
}
