// SPDX-License-Identifier: GPL-3.0-or-later
// Explaining: where a setting got its value, and how a figure came about.
#include "room.h"

#include <math.h>
#include <string.h>

/// An explanation being written.
struct explaining {
  struct pl_buffer out;
  const struct pl_setup *setup;
  struct pl_figures *figures;
  const struct pl_text_style *style;
  bool told[PL_FIGURE_COUNT][PL_PLACE_COUNT]; ///< figures that were taken apart already
  const struct pl_resolved **told_settings;   ///< settings whose origin was told already
  size_t told_count;
  size_t told_capacity;
};

/// A line at that depth; what does not fit goes on below, four blanks further in.
static void add_line(struct explaining *explaining, size_t depth, const char *text) {
  struct pl_buffer *const out = &explaining->out;
  const size_t indent = depth * 2;
  const size_t width = explaining->style->width;
  if (indent + pl_text_columns(text) <= width) {
    pl_buffer_repeat(out, ' ', indent);
    pl_buffer_format(out, "%s\n", text);
    return;
  }
  // Wrapped as if all lines stood further in; then the first one moves out.
  struct pl_buffer wrapped = {.arena = out->arena};
  add_wrapped(&wrapped, text, indent + 4, width);
  pl_buffer_text(out, pl_buffer_string(&wrapped) + 4);
}

// ---------------------------------------------------------------- settings

static const char *operator_words(enum pl_operator action) {
  switch (action) {
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
  return pl_text_safe(arena, with_unit(arena, pl_print_setting(arena, setting, value,
                                                               explaining->style->system)));
}

static void add_touch(struct explaining *explaining, enum pl_setting setting,
                      const struct pl_resolved *resolved, const struct pl_touch *touch,
                      size_t depth) {
  struct pl_arena *const arena = explaining->out.arena;
  struct pl_buffer line = {.arena = arena};
  pl_buffer_format(&line, "%s  ", pl_text_safe(arena, pl_span_place(arena, touch->span)));
  if (touch->layer[0] != '\0')
    pl_buffer_format(&line, "\"%s\", %s, %s: ", pl_text_safe(arena, touch->layer), touch->scope,
                     operator_words(touch->action));
  pl_buffer_format(&line, "`%s`", source_text(arena, touch->span));
  if (resolved->touch_count > 1 || touch->action != PL_SET)
    pl_buffer_format(&line, " → %s", value_of(explaining, setting, &touch->result));
  add_line(explaining, depth, pl_buffer_string(&line));
}

static void add_chain(struct explaining *explaining, enum pl_setting setting,
                      const struct pl_resolved *resolved, size_t depth) {
  for (size_t i = 0; i < resolved->touch_count; i++)
    add_touch(explaining, setting, resolved, &resolved->touches[i], depth);
  if (resolved->touch_count > 0) return;
  add_line(explaining, depth,
           resolved->assumed
               ? "assumed: nothing gives it, and this is what the table falls back to"
               : "nothing gives it");
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

/// What follows `word` and a blank at the start of `name`; null if it does not start so.
static const char *behind_word(const char *name, const char *word) {
  const size_t length = strlen(word);
  return strncmp(name, word, length) == 0 && name[length] == ' ' ? name + length + 1 : NULL;
}

static const struct pl_resolved *extra_at(const struct pl_setup *setup, const char *name,
                                          enum pl_place place) {
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) {
    if (strcmp(extras[i].name, name) == 0 && extras[i].at[place].given)
      return &extras[i].at[place];
  }
  return NULL;
}

static const struct pl_ballast *ballast_named(const struct pl_setup *setup, const char *name) {
  size_t count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(setup, &count);
  for (size_t i = 0; i < count; i++) {
    if (strcmp(pieces[i].name, name) == 0) return &pieces[i];
  }
  return NULL;
}

/// An extra reads as the notes do; the mass and the place of ballast as settings of their kind.
static void add_unlisted(struct explaining *explaining, const char *name, enum pl_place place,
                         enum pl_setting like, const struct pl_resolved *resolved) {
  pl_buffer_format(&explaining->out, "%s.%s = %s\n\n", pl_place_name(place), name,
                   value_of(explaining, like, &resolved->value));
  add_chain(explaining, like, resolved, 1);
}

const char *pl_explain_unlisted(struct pl_arena *arena, const struct pl_setup *setup,
                                const char *name, enum pl_place place,
                                const struct pl_text_style *style) {
  struct explaining explaining = {.out = {.arena = arena}, .setup = setup, .style = style};
  const char *const own = behind_word(name, "extra");
  const struct pl_resolved *extra = extra_at(setup, name, place);
  if (extra == NULL && own != NULL) extra = extra_at(setup, own, place);
  const char *const piece = behind_word(name, "ballast");
  const struct pl_ballast *const ballast =
      piece == NULL || place != PL_CAR ? NULL : ballast_named(setup, piece);
  if (extra != NULL) {
    add_unlisted(&explaining, name, place, PL_SETTING_NOTES, extra);
    return pl_buffer_string(&explaining.out);
  }
  if (ballast == NULL) return NULL;
  add_unlisted(&explaining, pl_format(arena, "%s, mass", name), place, PL_SETTING_CORNER_MASS,
               &ballast->mass);
  pl_buffer_text(&explaining.out, "\n");
  add_unlisted(&explaining, pl_format(arena, "%s, at", name), place, PL_SETTING_WHEEL_CENTRE,
               &ballast->at);
  return pl_buffer_string(&explaining.out);
}

// ---------------------------------------------------------------- figures

/// Was the origin of this value told already? From now on it is.
static bool is_told(struct explaining *explaining, const struct pl_resolved *resolved) {
  for (size_t i = 0; i < explaining->told_count; i++) {
    if (explaining->told_settings[i] == resolved) return true;
  }
  explaining->told_settings =
      pl_grow(explaining->out.arena, explaining->told_settings, explaining->told_count,
              &explaining->told_capacity, sizeof *explaining->told_settings);
  explaining->told_settings[explaining->told_count++] = resolved;
  return false;
}

static const char *input_name(struct pl_arena *arena, const struct pl_input *input) {
  const char *key = pl_settings[input->setting].key;
  if (pl_settings[input->setting].type == PL_TYPE_HOLES) // written as a block of the other key
    key = pl_format(arena, "%s { … }", pl_settings[input->setting - 1].key);
  if (input->inner == PL_SETTING_COUNT) return key;
  return pl_format(arena, "%s.%s", key, pl_settings[input->inner].key);
}

/// Where a value was given: the last place that set it whole, then what was added there.
static void add_origin(struct explaining *explaining, struct pl_buffer *line,
                       enum pl_setting setting, const struct pl_resolved *resolved,
                       bool of_part) {
  struct pl_arena *const arena = line->arena;
  if (resolved->touch_count == 0) {
    pl_buffer_text(line, "assumed");
    return;
  }
  size_t first = resolved->touch_count - 1;
  while (first > 0 && resolved->touches[first].action != PL_SET) first--;
  for (size_t i = first; i < resolved->touch_count; i++) {
    const struct pl_touch *const touch = &resolved->touches[i];
    const bool changed_later = first + 1 < resolved->touch_count;
    if (i > first) pl_buffer_text(line, ", then ");
    if (changed_later)
      pl_buffer_format(line, "%s at ",
                       i == first ? value_of(explaining, setting, &touch->result)
                                  : pl_format(arena, "`%s`", source_text(arena, touch->span)));
    pl_buffer_text(line, pl_text_safe(arena, pl_span_place(arena, touch->span)));
    if (touch->layer[0] == '\0') continue;
    if (of_part)
      pl_buffer_format(line, " (\"%s\")", pl_text_safe(arena, touch->layer));
    else
      pl_buffer_format(line, " (%s)", touch->scope);
  }
}

/// A setting with its value and where it was given; names what was told before in `told`.
static void add_input_setting(struct explaining *explaining, const struct pl_input *input,
                              size_t depth, struct pl_buffer *told) {
  struct pl_arena *const arena = explaining->out.arena;
  const bool of_part = input->inner != PL_SETTING_COUNT;
  const struct pl_resolved *const resolved = input->resolved;
  if (resolved->value.kind == PL_VALUE_NONE) return; // what it lacks is said elsewhere
  if (is_told(explaining, resolved)) {
    const char *const name = pl_format(arena, ", %s", input_name(arena, input));
    if (told->length == 0)
      pl_buffer_format(told, "as above: %s", name + 2);
    else if (strstr(pl_buffer_string(told), name) == NULL)
      pl_buffer_text(told, name);
    return;
  }
  const enum pl_setting shown = of_part ? input->inner : input->setting;
  struct pl_buffer line = {.arena = arena};
  pl_buffer_format(&line, "%s = %s", input_name(arena, input),
                   value_of(explaining, shown, &resolved->value));
  if (shown == PL_SETTING_VISCOSITY && resolved->value.count == 1 &&
      fabs(resolved->value.many.viscosity[0].temperature - 298.15) < 1e-6)
    pl_buffer_text(&line, " at 25 °C");
  pl_buffer_text(&line, "   ");
  add_origin(explaining, &line, shown, resolved, of_part);
  add_line(explaining, depth, pl_buffer_string(&line));
}

static void add_figure(struct explaining *explaining, enum pl_figure figure,
                       enum pl_place place, size_t depth);

static void add_inputs(struct explaining *explaining, const struct pl_figure_value *value,
                       size_t depth) {
  struct pl_buffer told = {.arena = explaining->out.arena};
  for (size_t i = 0; i < value->input_count; i++) {
    if (!value->inputs[i].is_figure)
      add_input_setting(explaining, &value->inputs[i], depth, &told);
  }
  if (told.length > 0) add_line(explaining, depth, pl_buffer_string(&told));
  for (size_t i = 0; i < value->input_count; i++) {
    if (value->inputs[i].is_figure)
      add_figure(explaining, value->inputs[i].figure, value->inputs[i].place, depth);
  }
}

static const char *figure_shown(struct explaining *explaining, enum pl_figure figure,
                                const struct pl_figure_value *value, double half_width) {
  struct pl_arena *const arena = explaining->out.arena;
  if (!value->present) return "not computed";
  return with_unit(arena, pl_print_tolerated(arena, figure, value->value, half_width,
                                             explaining->style->system));
}

static void add_figure(struct explaining *explaining, enum pl_figure figure,
                       enum pl_place place, size_t depth) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  const struct pl_figure_value *const value = pl_figure_get(explaining->figures, figure, place);
  struct pl_arena *const arena = explaining->out.arena;
  const bool known = explaining->told[figure][place];
  explaining->told[figure][place] = true;
  add_line(explaining, depth,
           pl_format(arena, "%s.%s = %s%s", pl_place_name(place), row->key,
                     figure_shown(explaining, figure, value, 0),
                     known ? "   (see above)" : ""));
  if (known) return;
  add_line(explaining, depth + 1, pl_format(arena, "%s   [%s]", row->formula, row->source));
  for (size_t i = 0; i < value->detail_count; i++)
    add_line(explaining, depth + 1, pl_text_safe(explaining->out.arena, value->details[i]));
  add_inputs(explaining, value, depth + 1);
}

/// A word and what it stands before, wrapped behind the word.
static void add_fact(struct explaining *explaining, const char *word, const char *text) {
  add_hanging(&explaining->out, pl_format(explaining->out.arena, "  %s", word), text, 11,
              explaining->style->width);
}

// ---------------------------------------------------------------- tolerances

/// Whether a value moves all places that use it, or one.
static const char *reach_words(struct pl_arena *arena, enum pl_place place) {
  if (place == PL_PLACE_COUNT) return "one value wherever it is used";
  if (place == PL_CAR) return "of the car";
  return pl_format(arena, "of %s by itself", pl_place_name(place));
}

static void add_of_tolerance(struct explaining *explaining, const char *word,
                             const char *text) {
  add_hanging(&explaining->out, pl_format(explaining->out.arena, "  %s", word), text, 13,
              explaining->style->width);
}

/// The share of the variance.
static double share_of(const struct pl_figure_tolerance *tolerance, size_t part) {
  const double ratio = tolerance->parts[part].half_width / tolerance->half_width;
  return 100 * ratio * ratio;
}

/// Contributors are told one by one as long as they matter: the first, a second that shows, and
/// any that have a tenth. The others are summed up.
static size_t told_parts(const struct pl_figure_tolerance *tolerance) {
  size_t told = 1;
  while (told < tolerance->count && share_of(tolerance, told) >= (told == 1 ? 0.5 : 10)) told++;
  return told;
}

/// "41 % of the square": what goes by the sum of squares.
static const char *share_text(struct pl_arena *arena, double share) {
  return share < 0.5 ? "less than 1 % of the square"
                     : pl_format(arena, "%.0f %% of the square", share);
}

static const char *half_width_text(struct explaining *explaining, enum pl_figure figure,
                                   double half_width) {
  struct pl_arena *const arena = explaining->out.arena;
  const enum pl_unit_system system = explaining->style->system;
  return pl_format(arena, "± %s",
                   with_unit(arena, pl_print_half_width(arena, figure, half_width, system)));
}

static void add_part(struct explaining *explaining, enum pl_figure figure,
                     const struct pl_figure_tolerance *tolerance, size_t part) {
  struct pl_arena *const arena = explaining->out.arena;
  const struct pl_contribution *const one = &tolerance->parts[part];
  const struct pl_span span = one->value->node->span;
  const char *const how_much =
      tolerance->count == 1
          ? "all of it"
          : pl_format(arena, "%s, %s,",
                      half_width_text(explaining, figure, fabs(one->half_width)),
                      share_text(arena, share_of(tolerance, part)));
  add_of_tolerance(
      explaining, "",
      pl_format(arena, "%s by `%s` at %s, %s%s", how_much, source_text(arena, span),
                pl_text_safe(arena, pl_span_place(arena, span)),
                reach_words(arena, one->value->place),
                one->bends ? "; the figure bends there, and its steeper side counts" : ""));
}

static void add_tolerance(struct explaining *explaining, enum pl_figure figure,
                          const struct pl_figure_tolerance *tolerance) {
  struct pl_arena *const arena = explaining->out.arena;
  if (tolerance->untold)
    add_of_tolerance(
        explaining, "tolerance",
        "cannot be told: within the tolerances of its values the figure is not always there");
  if (!(tolerance->half_width > 0)) return;
  const char *const text = half_width_text(explaining, figure, tolerance->half_width);
  const char *const worst =
      pl_format(arena, "%s; %s with all values at their limits at once", text,
                half_width_text(explaining, figure, tolerance->worst));
  add_of_tolerance(explaining, "tolerance", tolerance->count > 1 ? worst : text);
  const size_t told = told_parts(tolerance);
  double rest = 0;
  for (size_t i = 0; i < told; i++) add_part(explaining, figure, tolerance, i);
  for (size_t i = told; i < tolerance->count; i++) rest += share_of(tolerance, i);
  if (told < tolerance->count)
    add_of_tolerance(
        explaining, "",
        pl_format(arena, "%s by %zu more", share_text(arena, rest), tolerance->count - told));
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
  const struct pl_figure_tolerance *const tolerance =
      pl_tolerance_of(pl_tolerances_new(figures, &figure, 1), figure, place);
  pl_buffer_format(out, "%s.%s = %s\n", pl_place_name(place), row->key,
                   figure_shown(explaining, figure, value, tolerance->half_width));
  add_line(explaining, 1, pl_format(arena, "%s: %s", row->label, row->meaning));
  add_fact(explaining, "formula", row->formula);
  add_fact(explaining, "source", row->source);
  explaining->told[figure][place] = true;
  if (value->present) {
    char exact[40];
    pl_number_shortest(exact, sizeof exact, pl_figure_in_unit(figure, value->value), 17);
    if (pl_figure_word(arena, figure, value->value) == NULL)
      pl_buffer_format(out, "  unrounded  %s%s%s\n", exact, row->unit[0] == '\0' ? "" : " ",
                       row->unit[0] == '\0' ? "" : pl_unit_json(row->unit));
    add_tolerance(explaining, figure, tolerance);
  }
  struct pl_buffer needs = {.arena = arena};
  for (size_t i = 0; !value->present && i < value->need_count; i++)
    pl_buffer_format(&needs, "%s%s", i == 0 ? "" : ", ", value->needs[i]);
  if (needs.length > 0) add_fact(explaining, "needs", pl_buffer_string(&needs));
  for (size_t i = 0; i < value->note_count; i++) add_fact(explaining, "note", value->notes[i]);
  for (size_t i = 0; i < value->detail_count; i++)
    add_fact(explaining, i == 0 ? "detail" : "",
             pl_text_safe(explaining->out.arena, value->details[i]));
  pl_buffer_text(out, "\nmade of\n");
  add_inputs(explaining, value, 1);
  return pl_buffer_string(out);
}
