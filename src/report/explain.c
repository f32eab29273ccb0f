// SPDX-License-Identifier: GPL-3.0-or-later
// Explaining: where a setting got its value, and how a figure came about.
#include "room.h"

#include <math.h>
#include <string.h>

const char *place_text(struct pl_arena *arena, struct pl_span span) {
  if (span.source == NULL) return "";
  return pl_format(arena, "%s:%u", pl_text_safe(arena, span.source->path),
                   pl_position(span).line);
}

/// An explanation being written.
struct explaining {
  struct pl_buffer out;
  const struct pl_setup *setup;
  struct pl_figures *figures;
  const struct pl_text_style *style;
  bool told[PL_FIGURE_COUNT][PL_PLACE_COUNT]; ///< figures that were taken apart already
};

static void indent(struct explaining *explaining, size_t depth) {
  pl_buffer_repeat(&explaining->out, ' ', depth * 2);
}

// ---------------------------------------------------------------- settings

static const char *operator_words(enum pl_operator operator) {
  switch (operator) {
  case PL_SET_PLUS: return "adds";
  case PL_SET_MINUS: return "takes off";
  case PL_SET_TIMES: return "multiplies";
  default: return "gives";
  }
}

/// The line of source that touched the value, without its comment's tail of blanks.
static const char *source_text(struct pl_arena *arena, struct pl_span span) {
  const char *const whole = pl_span_text(arena, span);
  const size_t first_line = strcspn(whole, "\n");
  const char *const line = pl_copy_text(arena, whole, first_line);
  return pl_text_safe(arena, whole[first_line] == '\0' ? line : pl_format(arena, "%s …", line));
}

static const char *value_of(struct explaining *explaining, enum pl_setting setting,
                            const struct pl_value *value) {
  struct pl_arena *const arena = explaining->out.arena;
  if (value->kind == PL_VALUE_NONE) return "nothing";
  return pl_text_safe(
      arena, with_unit(arena, pl_print_setting(arena, setting, value, explaining->style->system)));
}

static void add_chain(struct explaining *explaining, enum pl_setting setting,
                      const struct pl_resolved *resolved, size_t depth) {
  struct pl_arena *const arena = explaining->out.arena;
  for (size_t i = 0; i < resolved->touch_count; i++) {
    const struct pl_touch *const touch = &resolved->touches[i];
    indent(explaining, depth);
    pl_buffer_format(&explaining->out, "%s  ", place_text(arena, touch->span));
    if (touch->layer[0] != '\0')
      pl_buffer_format(&explaining->out, "\"%s\", %s, %s: ", pl_text_safe(arena, touch->layer),
                       touch->scope, operator_words(touch->operator));
    pl_buffer_format(&explaining->out, "`%s`", source_text(arena, touch->span));
    if (resolved->touch_count > 1 || touch->operator != PL_SET)
      pl_buffer_format(&explaining->out, " → %s",
                       value_of(explaining, setting, &touch->result));
    pl_buffer_text(&explaining->out, "\n");
  }
  if (resolved->touch_count == 0) {
    indent(explaining, depth);
    pl_buffer_text(&explaining->out, resolved->assumed ? "assumed: nothing gives it, and this is "
                                                         "what the table falls back to\n"
                                                       : "nothing gives it\n");
  }
}

const char *pl_explain_setting(struct pl_arena *arena, const struct pl_setup *setup,
                               enum pl_setting setting, enum pl_setting inner,
                               enum pl_place place, const struct pl_text_style *style) {
  struct explaining explaining = {.out = {.arena = arena}, .setup = setup, .style = style};
  const struct pl_setting_row *const row = &pl_settings[setting];
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  pl_buffer_format(&explaining.out, "%s.%s = %s\n", pl_place_name(place), row->key,
                   value_of(&explaining, setting, &resolved->value));
  pl_buffer_format(&explaining.out, "  %s: %s\n\n", row->label, row->meaning);
  add_chain(&explaining, setting, resolved, 1);
  if (inner != PL_SETTING_COUNT && resolved->value.kind == PL_VALUE_PART) {
    const struct pl_resolved *const said = pl_part_get(resolved->value.part, inner);
    pl_buffer_format(&explaining.out, "\n%s.%s.%s = %s\n", pl_place_name(place), row->key,
                     pl_settings[inner].key, value_of(&explaining, inner, &said->value));
    pl_buffer_format(&explaining.out, "  %s: %s\n\n", pl_settings[inner].label,
                     pl_settings[inner].meaning);
    add_chain(&explaining, inner, said, 1);
  }
  return pl_buffer_string(&explaining.out);
}

// ---------------------------------------------------------------- figures

static void add_input_setting(struct explaining *explaining, const struct pl_input *input,
                              size_t depth) {
  const bool of_part = input->inner != PL_SETTING_COUNT;
  const enum pl_setting shown = of_part ? input->inner : input->setting;
  const struct pl_resolved *const resolved = input->resolved;
  if (resolved->value.kind == PL_VALUE_NONE) return; // what it lacks is said elsewhere
  indent(explaining, depth);
  pl_buffer_format(&explaining->out, "%s%s%s = %s   ", pl_settings[input->setting].key,
                   of_part ? "." : "", of_part ? pl_settings[shown].key : "",
                   value_of(explaining, shown, &resolved->value));
  if (resolved->touch_count > 0) {
    const struct pl_touch *const last = &resolved->touches[resolved->touch_count - 1];
    pl_buffer_format(&explaining->out, "%s", place_text(explaining->out.arena, last->span));
    if (last->layer[0] != '\0' && !of_part)
      pl_buffer_format(&explaining->out, " (%s)", last->scope);
  } else {
    pl_buffer_text(&explaining->out, "assumed");
  }
  pl_buffer_text(&explaining->out, "\n");
}

static void add_figure(struct explaining *explaining, enum pl_figure figure,
                       enum pl_place place, size_t depth);

static void add_inputs(struct explaining *explaining, const struct pl_figure_value *value,
                       size_t depth) {
  for (size_t i = 0; i < value->input_count; i++) {
    const struct pl_input *const input = &value->inputs[i];
    if (input->is_figure)
      add_figure(explaining, input->figure, input->place, depth);
    else
      add_input_setting(explaining, input, depth);
  }
}

static const char *figure_shown(struct explaining *explaining, enum pl_figure figure,
                                const struct pl_figure_value *value) {
  struct pl_arena *const arena = explaining->out.arena;
  if (!value->present) return "not computed";
  return with_unit(arena, pl_print_figure(arena, figure, value->value,
                                          explaining->style->system));
}

static void add_figure(struct explaining *explaining, enum pl_figure figure,
                       enum pl_place place, size_t depth) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  const struct pl_figure_value *const value =
      pl_figure_get(explaining->figures, figure, place);
  indent(explaining, depth);
  pl_buffer_format(&explaining->out, "%s.%s = %s", pl_place_name(place), row->key,
                   figure_shown(explaining, figure, value));
  if (explaining->told[figure][place]) {
    pl_buffer_text(&explaining->out, "   (see above)\n");
    return;
  }
  explaining->told[figure][place] = true;
  pl_buffer_format(&explaining->out, "\n");
  indent(explaining, depth);
  pl_buffer_format(&explaining->out, "  %s   [%s]\n", row->formula, row->source);
  add_inputs(explaining, value, depth + 1);
}

const char *pl_explain_figure(struct pl_arena *arena, struct pl_figures *figures,
                              enum pl_figure figure, enum pl_place place,
                              const struct pl_text_style *style) {
  struct explaining *const explaining = pl_alloc(arena, sizeof *explaining);
  *explaining = (struct explaining){.out = {.arena = arena},
                                    .setup = pl_figures_setup(figures),
                                    .figures = figures,
                                    .style = style};
  struct pl_buffer *const out = &explaining->out;
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  const struct pl_figure_value *const value = pl_figure_get(figures, figure, place);
  pl_buffer_format(out, "%s.%s = %s\n", pl_place_name(place), row->key,
                   figure_shown(explaining, figure, value));
  pl_buffer_format(out, "  %s: %s\n", row->label, row->meaning);
  pl_buffer_format(out, "  formula  %s\n  source   %s\n", row->formula, row->source);
  explaining->told[figure][place] = true;
  if (value->present) {
    char exact[40];
    pl_number_shortest(exact, sizeof exact, pl_figure_in_unit(figure, value->value), 17);
    if (pl_figure_word(arena, figure, value->value) == NULL)
      pl_buffer_format(out, "  exactly  %s %s\n", exact, pl_unit_json(row->unit));
  }
  for (size_t i = 0; i < value->need_count; i++)
    pl_buffer_format(out, "%s%s%s", i == 0 ? "  needs    " : ", ", value->needs[i],
                     i + 1 == value->need_count ? "\n" : "");
  for (size_t i = 0; i < value->note_count; i++)
    pl_buffer_format(out, "  note     %s\n", value->notes[i]);
  pl_buffer_text(out, "\nmade of\n");
  add_inputs(explaining, value, 1);
  return pl_buffer_string(out);
}
