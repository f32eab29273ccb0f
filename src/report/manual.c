// SPDX-License-Identifier: GPL-3.0-or-later
// The manual page of the language, from the tables of settings, figures, problems and units.
#include "room.h"

#include <string.h>

// ---------------------------------------------------------------- the language in short

static const struct {
  const char *written;
  const char *says;
} values[] = {{"21 mm", "A number and a unit; a point, never a comma, is in the number."},
              {"18 degC", "A point on a temperature scale. A difference is in K."},
              {"2 x 1.6 mm + 3 x 1.2 mm", "Ports of a piston."},
              {"350 cSt at 25 degC", "A viscosity; without a temperature, at 25 degC."},
              {"(31 mm, 58 mm)",
               "A point: (y, z) or (x, y, z). The axis x points forward, y outboard from "
               "the centre line, z up from the underside of the chassis."},
              {"1.30 mm +- 0.02 mm", "A value with its tolerance."},
              {"[10 mm, 12 mm], 10 mm .. 12 mm", "A list; a range, both ends included."},
              {"2026-06-14", "A day."},
              {"\"clear 400\"", "A text, or a name that somebody invented."}};

static void add_language(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "DESCRIPTION");
  pl_man_text(out,
              "A file whose name ends in .leaf says what the parts, the car and the setup of "
              "a radio-controlled car are, as text in UTF-8. What stands behind # on a line "
              "is a comment. A property is `key = value` and ends with its line, or at a "
              "semicolon. A block is `kind \"name\" { … }`; with `from \"other\"` before the "
              "brace it starts from another block of its kind, and what follows replaces "
              "what that says.");
  pl_buffer_text(out, ".PP\n");
  pl_man_text(out,
              "`include \"path\"` reads another file, whose path is relative to the file that "
              "names it. `let name = value` gives a value a name. Values are combined by + "
              "- * / ^ and parentheses, and by functions: abs, blend, cos, max, min, round, "
              "sin, sqrt, tan.");
  pl_buffer_text(out, ".PP\n");
  pl_man_text(out,
              "A setting of a corner stands in all { }, front { }, rear { }, left { }, right "
              "{ }, front-left { }, front-right { }, rear-left { } or rear-right { }, or at "
              "the top of its block, which is all. The narrower scope wins, and a setup goes "
              "before its base. `key += value` starts from what was given before.");
  pl_man_line(out, ".SS", "Values");
  for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
    pl_man_item(out, values[i].written, "", values[i].says);
}

static void add_units(struct pl_buffer *out) {
  size_t count = 0;
  const char *const *const names = pl_unit_names(&count);
  struct pl_buffer list = {.arena = out->arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&list, "%s%s", i == 0 ? "" : ", ", names[i]);
  pl_man_line(out, ".SS", "Units");
  pl_man_text(out,
              pl_format(out->arena,
                        "%s, and their products, quotients and powers: N/mm, N.s/m, mm^2/s. "
                        "The unit wt is a bottle's weight, which an oil-scale says the "
                        "meaning of.",
                        pl_buffer_string(&list)));
}

// ---------------------------------------------------------------- the tables

static void add_settings_of(struct pl_buffer *out, enum pl_block_kind owner) {
  bool any = false;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (row->owner != owner || !is_written(row)) continue;
    if (!any) pl_man_line(out, ".SS", owner_words(row));
    any = true;
    const char *const span = span_words(out->arena, row);
    pl_man_item(out, row->key, pl_format(out->arena, "(%s)", holder_words(row)),
                pl_format(out->arena, "%s: %s; %s%s%s.", row->label, row->meaning,
                          type_words(out->arena, row), span[0] == '\0' ? "" : "; ", span));
  }
}

static void add_words(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "OTHER WORDS");
  for (size_t i = 0; rule_word_at(i) != NULL; i++) {
    const struct word_row *const row = rule_word_at(i);
    pl_man_item(out, row->word, pl_format(out->arena, "(%s)", row->kind), row->meaning);
    pl_buffer_text(out, ".br\n");
    pl_man_text(out, pl_format(out->arena, "Example: %s", row->example));
  }
}

static void add_figures(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "FIGURES");
  pl_man_text(out,
              "What is computed. A figure whose inputs are missing is absent and says what "
              "it lacks; ? stands before inputs that it can do without.");
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const struct pl_figure_row *const row = &pl_figure_rows[i];
    const char *const unit = row->unit[0] == '\0' ? "a plain number" : pl_unit_json(row->unit);
    pl_man_item(out, row->key, pl_format(out->arena, "(%s, %s)", scope_words(row->scope), unit),
                pl_format(out->arena, "%s: %s.", row->label, row->meaning));
    pl_buffer_text(out, ".br\n");
    pl_man_text(out, pl_format(out->arena, "Formula: %s", row->formula));
    pl_buffer_text(out, ".br\n");
    pl_man_text(out, pl_format(out->arena, "Source: %s", row->source));
    pl_buffer_text(out, ".br\n");
    pl_man_text(out, pl_format(out->arena, "Inputs: %s", row->inputs));
  }
}

static void add_results(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "RESULTS OF SIMULATIONS");
  pl_man_text(out, "What pitleaf drop and pitleaf bump tell of each corner.");
  for (int i = 0; i < PL_RESULT_COUNT; i++) {
    const struct pl_result_row *const row = &pl_result_rows[i];
    const char *const unit = row->unit[0] == '\0' ? "a count" : pl_unit_json(row->unit);
    pl_man_item(out, row->key, pl_format(out->arena, "(%s, %s)", simulation_words(row), unit),
                pl_format(out->arena, "%s.", row->meaning));
  }
}

static void add_problems(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "PROBLEMS");
  pl_man_text(out, "What a file is told about itself, by the code in brackets.");
  for (int i = 0; i < PL_CODE_COUNT; i++) {
    const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[i];
    pl_man_item(out, row->code, row->severity == PL_ERROR ? "(error)" : "(warning)",
                with_dots(out->arena, row->text));
    if (row->mend[0] == '\0') continue;
    pl_buffer_text(out, ".br\n");
    pl_man_text(out, pl_format(out->arena, "Mend: %s", with_dots(out->arena, row->mend)));
  }
}

static void add_limits(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "LIMITS");
  pl_man_text(out, "The most that a file, a value or a command may have of these.");
  size_t count = 0;
  const struct pl_limit_row *const rows = pl_limit_rows(&count);
  for (size_t i = 0; i < count; i++)
    pl_man_item(out, pl_format(out->arena, "%d", rows[i].number), rows[i].what, rows[i].why);
}

const char *pl_describe_man(struct pl_arena *arena, const char *version, const char *date) {
  struct pl_buffer out = {.arena = arena};
  pl_man_head(&out, "5", version, date, "the language of setups for radio-controlled cars");
  add_language(&out);
  add_units(&out);
  pl_man_line(&out, ".SH", "SETTINGS");
  pl_man_text(&out, "What may be written down, by the block that holds it.");
  for (int owner = 0; owner < PL_BLOCK_OWNER_COUNT; owner++)
    add_settings_of(&out, (enum pl_block_kind)owner);
  add_words(&out);
  add_figures(&out);
  add_results(&out);
  add_problems(&out);
  add_limits(&out);
  pl_man_cautions(&out);
  pl_man_line(&out, ".SH", "SEE ALSO");
  pl_buffer_text(&out, ".BR pitleaf (1)\n");
  return pl_buffer_string(&out);
}
