// SPDX-License-Identifier: GPL-3.0-or-later
// What the entries of a meeting say was measured: does each line name a setting or a figure, at
// a place that this has, in a unit of its own?
#include "room.h"

#include <string.h>

static void report_unknown(struct pl_program *program, const struct pl_node *line) {
  const char *near = pl_key_meant(pl_program_arena(program), line->name);
  if (near == NULL) near = pl_setting_nearest(line->name, PL_BLOCK_SETUP);
  if (near == NULL) near = pl_figure_nearest(line->name);
  const char *const shown = pl_span_text(pl_program_arena(program), pl_name_span(line));
  pl_report(pl_program_problems(program), PL_TEMPLATE_THING, pl_name_span(line),
            PL_WORDS(shown, near));
}

// ---------------------------------------------------------------- places and units

/// What a line is about: where it has a value, and in which unit.
struct thing {
  enum pl_scope scope;
  bool is_number;
  const char *unit;
  const char *choices; ///< words parted by `|`; "" for what is no choice
};

static struct thing of_setting(enum pl_setting setting, enum pl_scope scope) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  return (struct thing){.scope = scope,
                        .is_number = row->type == PL_TYPE_NUMBER || row->type == PL_TYPE_COUNT,
                        .unit = row->of,
                        .choices = row->type == PL_TYPE_CHOICE ? row->of : ""};
}

static struct thing of_figure(enum pl_figure figure) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  const bool is_number = strchr(row->unit, '|') == NULL;
  return (struct thing){.scope = row->scope,
                        .is_number = is_number,
                        .unit = row->unit,
                        .choices = is_number ? "" : row->unit};
}

/// A line at a place that its thing has not would be found nowhere.
static void check_place(struct pl_program *program, const struct pl_node *line,
                        const char *scope, const struct thing *thing) {
  static const char *const of_axles[] = {"all", "front", "rear"};
  bool fits = scope[0] == '\0' || thing->scope == PL_SCOPE_CORNER;
  for (size_t i = 0; thing->scope == PL_SCOPE_AXLE && i < 3; i++)
    fits = fits || strcmp(scope, of_axles[i]) == 0;
  if (fits) return;
  pl_report(pl_program_problems(program),
            thing->scope == PL_SCOPE_CAR ? PL_BELONGS_TO_CAR : PL_BELONGS_TO_AXLE,
            pl_name_span(line), PL_WORDS(line->name, scope));
}

/// What is measured in another kind of unit, or in none.
static void report_unit(struct pl_program *program, const struct pl_node *line,
                        const struct thing *thing, struct pl_dimension dimension) {
  struct pl_arena *const arena = pl_program_arena(program);
  char *const space = pl_alloc(arena, 80);
  char *const own_space = pl_alloc(arena, 80);
  const char *const words = pl_dimension_words(pl_unit_named(thing->unit).dimension, space, 80);
  const char *const shown = pl_span_shown(arena, line->children->span);
  const bool bare = pl_dimension_equal(dimension, PL_DIMENSIONLESS);
  pl_report(pl_program_problems(program), bare ? PL_NEEDS_UNIT : PL_WRONG_DIMENSION,
            line->children->span,
            bare ? PL_WORDS(line->name, words, shown,
                            line->children->kind == PL_NODE_NUMBER
                                ? pl_format(arena, "%s %s", shown, thing->unit)
                                : NULL)
                 : PL_WORDS(line->name, words, shown,
                            pl_dimension_words(dimension, own_space, 80),
                            thing->unit[0] == '\0' ? NULL : thing->unit));
}

/// A number in a unit that does not fit would be compared with nothing.
static void check_unit(struct pl_program *program, const struct pl_node *line,
                       const struct thing *thing) {
  const struct pl_value value = pl_evaluate(program, line->children, NULL);
  const struct pl_dimension wanted = pl_unit_named(thing->unit).dimension;
  if (value.kind == PL_VALUE_NONE) return; // that was reported
  struct pl_arena *const arena = pl_program_arena(program);
  if (value.kind == PL_VALUE_NUMBER) {
    if (!pl_dimension_equal(value.dimension, wanted))
      report_unit(program, line, thing, value.dimension);
    return;
  }
  const bool quoted = line->children->kind == PL_NODE_TEXT;
  pl_report(pl_program_problems(program), PL_RULE_VALUE, line->children->span,
            PL_WORDS(line->name, pl_dimension_words(wanted, pl_alloc(arena, 80), 80),
                     pl_span_shown(arena, line->children->span),
                     quoted ? "write the number with its unit and without quotes" : NULL));
}

/// A word that the choice has not would be no car's.
static void check_choice(struct pl_program *program, const struct pl_node *line,
                         const char *choices) {
  const struct pl_node *const word = line->children;
  const bool is_word = word->kind == PL_NODE_NAME || word->kind == PL_NODE_TEXT;
  if (is_word && pl_choice_has(choices, word->name)) return;
  struct pl_arena *const arena = pl_program_arena(program);
  const char *const shown = is_word ? word->name : pl_span_shown(arena, word->span);
  pl_report(
      pl_program_problems(program), PL_RULE_CHOICE, word->span,
      PL_WORDS(line->name, pl_format(arena, "`%s`", shown), pl_choice_words(arena, choices)));
}

static void check_thing(struct pl_program *program, const struct pl_node *line,
                        const char *scope, struct thing thing) {
  check_place(program, line, scope, &thing);
  if (thing.choices[0] != '\0')
    check_choice(program, line, thing.choices);
  else if (thing.is_number)
    check_unit(program, line, &thing);
}

// ---------------------------------------------------------------- names

/// A key of the part that a setting names, as in `damper.bore`.
static void check_key_of_part(struct pl_program *program, const struct pl_node *line,
                              const char *scope, enum pl_setting part, const char *key) {
  const enum pl_block_kind kind = pl_block_kind_of(pl_settings[part].of);
  const enum pl_setting inner = pl_setting_of(key, kind);
  if (inner != PL_SETTING_COUNT) {
    check_thing(program, line, scope, of_setting(inner, pl_settings[part].scope));
    return;
  }
  pl_report(pl_program_problems(program), PL_UNKNOWN_KEY, pl_name_span(line),
            PL_WORDS(pl_format(pl_program_arena(program), "The %s", pl_block_kind_name(kind)),
                     key, pl_setting_nearest(key, kind)));
}

/// A key without a point: a setting or a figure.
static void check_key(struct pl_program *program, const struct pl_node *line,
                      const char *scope) {
  const enum pl_setting setting = pl_setting_of(line->name, PL_BLOCK_SETUP);
  const enum pl_figure figure = pl_figure_of(line->name);
  if (setting != PL_SETTING_COUNT)
    check_thing(program, line, scope, of_setting(setting, pl_settings[setting].scope));
  else if (figure != PL_FIGURE_COUNT)
    check_thing(program, line, scope, of_figure(figure));
  else
    report_unknown(program, line);
}

/// `scope` is the block around it, "" at the top.
static void check_line(struct pl_program *program, const struct pl_node *line,
                       const char *scope) {
  const char *const key = line->name;
  const char *const point = strchr(key, '.');
  if (line->key_kind != PL_NODE_NAME) {
    report_unknown(program, line);
    return;
  }
  if (point == NULL) {
    check_key(program, line, scope);
    return;
  }
  const char *const first = pl_copy_text(pl_program_arena(program), key, (size_t)(point - key));
  const enum pl_setting setting = pl_setting_of(first, PL_BLOCK_SETUP);
  const bool is_scope = setting == PL_SETTING_COUNT && pl_place_of(first) != PL_PLACE_COUNT;
  if (is_scope)
    pl_report(pl_program_problems(program), PL_SCOPE_AS_KEY, pl_name_span(line),
              PL_WORDS(key, first, point + 1));
  else if (setting != PL_SETTING_COUNT && pl_settings[setting].type == PL_TYPE_PART)
    check_key_of_part(program, line, scope, setting, point + 1);
  else
    report_unknown(program, line);
}

/// The lines of a block `measured`, and of the scopes in it.
static void check_lines(struct pl_program *program, const struct pl_node *items,
                        const char *scope) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_PROPERTY) check_line(program, item, scope);
    if (item->kind == PL_NODE_BLOCK && scope[0] == '\0')
      check_lines(program, item->children, item->name);
  }
}

static bool is_block(const struct pl_node *node, const char *kind) {
  return node->kind == PL_NODE_BLOCK && strcmp(node->name, kind) == 0;
}

void pl_measured_check(struct pl_program *program, const struct pl_block *meeting) {
  for (const struct pl_node *entry = meeting->node->children; entry != NULL;
       entry = entry->next) {
    if (!is_block(entry, "entry")) continue;
    for (const struct pl_node *item = entry->children; item != NULL; item = item->next) {
      if (is_block(item, "measured")) check_lines(program, item->children, "");
    }
  }
}
