// SPDX-License-Identifier: GPL-3.0-or-later
// What a setting or a figure has to show at a place: its value, and what the base had.
#include <math.h>
#include <string.h>

#include "room.h"

enum pl_scope pl_thing_scope(const struct pl_thing *thing) {
  switch (thing->kind) {
  case PL_THING_SETTING:
  case PL_THING_INNER: return pl_settings[thing->setting].scope;
  case PL_THING_FIGURE: return pl_figure_rows[thing->figure].scope;
  default: return PL_SCOPE_CAR;
  }
}

void pl_thing_done(struct pl_sheet *sheet, const struct pl_thing *thing) {
  switch (thing->kind) {
  case PL_THING_SETTING: sheet->setting_done[thing->setting] = true; break;
  case PL_THING_FIGURE: sheet->figure_done[thing->figure] = true; break;
  case PL_THING_INNER: break; // the parts are listed whole
  case PL_THING_EXTRAS: sheet->extras_done = true; break;
  case PL_THING_BALLAST: sheet->ballast_done = true; break;
  }
}

/// Is there a hyphen at `at` that stands for a minus sign?
static bool is_minus(const char *text, const char *at) {
  return at[0] == '-' && at[1] >= '0' && at[1] <= '9' &&
         (at == text || at[-1] == ' ' || at[-1] == '(');
}

const char *pl_paper_minus(struct pl_arena *arena, const char *text) {
  if (strchr(text, '-') == NULL) return text;
  struct pl_buffer out = {.arena = arena};
  for (const char *at = text; *at != '\0'; at++) {
    if (is_minus(text, at))
      pl_buffer_text(&out, "−");
    else
      pl_buffer_add(&out, at, 1);
  }
  return pl_buffer_string(&out);
}

static bool has_numbers(enum pl_setting setting) {
  switch (pl_settings[setting].type) {
  case PL_TYPE_NUMBER:
  case PL_TYPE_COUNT:
  case PL_TYPE_POINT:
  case PL_TYPE_HOLE:
  case PL_TYPE_HOLES:
  case PL_TYPE_TABLE: return true;
  default: return false;
  }
}

bool pl_change_has_numbers(const struct pl_change *change) {
  if (change->is_figure || change->ballast != NULL) return true;
  if (change->setting != PL_SETTING_COUNT) return has_numbers(change->setting);
  return isfinite(change->old_number) || isfinite(change->new_number); // of an extra
}

const char *pl_paper_number(struct pl_arena *arena, enum pl_setting setting, const char *text) {
  return has_numbers(setting) ? pl_paper_minus(arena, text) : text;
}

/// The same of a value of any kind.
static const char *paper_value(struct pl_arena *arena, const struct pl_value *value) {
  const char *const text = pl_value_text(arena, value);
  return value->kind == PL_VALUE_TEXT ? text : pl_paper_minus(arena, text);
}

static void mark(struct pl_sheet *sheet, struct pl_datum *datum,
                 const struct pl_change *change) {
  struct pl_arena *const arena = sheet->arena;
  if (change == NULL) return;
  datum->changed = true;
  const char *const before = pl_word_of_change(sheet, change, change->before);
  // A part may differ and have the same name.
  datum->before = change->before[0] != '\0' && strcmp(change->before, change->after) == 0
                      ? pl_word_with(sheet, PL_WORD_OTHERWISE, before, NULL)
                      : before;
  if (pl_change_has_numbers(change)) datum->before = pl_paper_minus(arena, datum->before);
  if (datum->unit[0] == '\0') datum->unit = change->unit;
  if (change->after[0] == '\0') datum->text = "";
  datum->shown = true;
}

static struct pl_span last_span(const struct pl_resolved *resolved) {
  if (resolved->touch_count == 0) return (struct pl_span){.source = NULL};
  return resolved->touches[resolved->touch_count - 1].span;
}

/// What the request gives for a setting in place of what the setup says.
static void give(const struct pl_sheet *sheet, enum pl_setting setting,
                 struct pl_datum *datum) {
  for (size_t i = 0; i < sheet->request->given_count; i++) {
    const struct pl_given *const given = &sheet->request->given[i];
    if (given->setting != setting || given->text[0] == '\0') continue;
    datum->text = given->text;
    datum->shown = true;
  }
}

static struct pl_datum datum_of_setting(struct pl_sheet *sheet, enum pl_setting setting,
                                        enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(sheet->setup, setting, place);
  struct pl_datum datum = {.label = "",
                           .text = "",
                           .unit = "",
                           .before = "",
                           .delta = "",
                           .is_worded = pl_settings[setting].type == PL_TYPE_TEXT,
                           .span = last_span(resolved)};
  if (resolved->value.kind != PL_VALUE_NONE) {
    const struct pl_printed printed =
        pl_print_setting(sheet->arena, setting, &resolved->value, sheet->request->system);
    datum.text = pl_word_of_setting(sheet, setting,
                                    pl_paper_number(sheet->arena, setting, printed.text));
    datum.unit = printed.unit;
    datum.shown = resolved->given && printed.text[0] != '\0';
  }
  if (sheet->request->comparison != NULL)
    mark(sheet, &datum, pl_change_of_setting(sheet->request->comparison, setting, place));
  give(sheet, setting, &datum);
  return datum;
}

static struct pl_datum datum_of_figure(struct pl_sheet *sheet, enum pl_figure figure,
                                       enum pl_place place) {
  const struct pl_figure_value *const value =
      pl_figure_get(sheet->request->figures, figure, place);
  struct pl_datum datum = {
      .label = "", .text = "", .unit = "", .before = "", .delta = "", .is_figure = true};
  if (value->present) {
    const double half_width = pl_tolerance_of(sheet->tolerances, figure, place)->half_width;
    const struct pl_printed printed = pl_print_tolerated(sheet->arena, figure, value->value,
                                                         half_width, sheet->request->system);
    datum.text = pl_word_of_figure(sheet, figure, pl_paper_minus(sheet->arena, printed.text));
    datum.unit = printed.unit;
    datum.shown = printed.text[0] != '\0';
    datum.notes = value->notes;
    datum.note_count = value->note_count;
  }
  if (sheet->request->comparison == NULL) return datum;
  const struct pl_change *const change =
      pl_change_of_figure(sheet->request->comparison, figure, place);
  mark(sheet, &datum, change);
  if (change != NULL)
    datum.delta = pl_paper_minus(sheet->arena, pl_change_difference(sheet->arena, change));
  return datum;
}

/// How a part of a setup says something, as paper has it; "" where it does not.
static struct pl_printed inner_text(struct pl_sheet *sheet, const struct pl_setup *setup,
                                    const struct pl_thing *thing, enum pl_place place,
                                    struct pl_span *span) {
  const struct pl_part *const part = pl_setup_part(setup, thing->setting, place);
  const struct pl_resolved *const resolved =
      part == NULL ? NULL : pl_part_get(part, thing->inner);
  if (resolved == NULL || !resolved->given || resolved->value.kind == PL_VALUE_NONE)
    return (struct pl_printed){"", ""};
  *span = last_span(resolved);
  struct pl_printed printed =
      pl_print_setting(sheet->arena, thing->inner, &resolved->value, sheet->request->system);
  printed.text = pl_word_of_setting(sheet, thing->inner,
                                    pl_paper_number(sheet->arena, thing->inner, printed.text));
  return printed;
}

static struct pl_datum datum_of_inner(struct pl_sheet *sheet, const struct pl_thing *thing,
                                      enum pl_place place) {
  struct pl_datum datum = {.label = "", .before = "", .delta = ""};
  const struct pl_printed now = inner_text(sheet, sheet->setup, thing, place, &datum.span);
  datum.text = now.text;
  datum.unit = now.unit;
  datum.is_worded = pl_settings[thing->inner].type == PL_TYPE_TEXT;
  if (sheet->request->base != NULL) {
    struct pl_span span;
    const struct pl_printed before =
        inner_text(sheet, pl_figures_setup(sheet->request->base), thing, place, &span);
    datum.changed = strcmp(now.text, before.text) != 0;
    if (datum.changed) datum.before = before.text;
    if (now.unit[0] == '\0') datum.unit = before.unit;
  }
  datum.shown = now.text[0] != '\0' || datum.before[0] != '\0';
  return datum;
}

struct pl_datum pl_datum_of(struct pl_sheet *sheet, const struct pl_thing *thing,
                            enum pl_place place) {
  struct pl_datum datum;
  switch (thing->kind) {
  case PL_THING_SETTING: datum = datum_of_setting(sheet, thing->setting, place); break;
  case PL_THING_INNER: datum = datum_of_inner(sheet, thing, place); break;
  default: datum = datum_of_figure(sheet, thing->figure, place);
  }
  datum.label = pl_thing_label(sheet->plan, thing);
  return datum;
}

bool pl_datum_equal(const struct pl_datum *a, const struct pl_datum *b) {
  return a->shown == b->shown && a->changed == b->changed && strcmp(a->text, b->text) == 0 &&
         strcmp(a->unit, b->unit) == 0 && strcmp(a->before, b->before) == 0;
}

// ---------------------------------------------------------------- what has no key

/// A growing list of datums.
struct datum_list {
  struct pl_datum *items;
  size_t count;
  size_t capacity;
};

static void add_datum(struct pl_sheet *sheet, struct datum_list *list, struct pl_datum datum) {
  list->items =
      pl_grow(sheet->arena, list->items, list->count, &list->capacity, sizeof *list->items);
  list->items[list->count++] = datum;
}

static struct pl_datum plain_datum(const char *label, const char *text, struct pl_span span) {
  return (struct pl_datum){.label = label,
                           .text = text,
                           .unit = "",
                           .before = "",
                           .delta = "",
                           .shown = text[0] != '\0',
                           .is_worded = true,
                           .span = span};
}

/// What the base had and this setup drops.
static void add_dropped(struct pl_sheet *sheet, struct datum_list *list, bool ballast) {
  const struct pl_comparison *const comparison = sheet->request->comparison;
  if (comparison == NULL) return;
  for (size_t i = 0; i < comparison->setting_count; i++) {
    const struct pl_change *const change = &comparison->changes[i];
    if (change->setting != PL_SETTING_COUNT || change->after[0] != '\0') continue;
    if ((change->ballast != NULL) != ballast) continue;
    const char *const name =
        ballast ? pl_word_with(sheet, PL_WORD_BALLAST, change->ballast, NULL) : change->label;
    const char *const label =
        (change->places & (1u << PL_CAR)) != 0
            ? name
            : pl_format(sheet->arena, "%s, %s", name, pl_word_of_places(sheet, change->places));
    struct pl_datum datum = plain_datum(label, "", (struct pl_span){.source = NULL});
    mark(sheet, &datum, change);
    add_datum(sheet, list, datum);
  }
}

/// An extra that stands at corners, folded over those that agree.
static void add_extra_of_corners(struct pl_sheet *sheet, struct datum_list *list,
                                 const struct pl_extra *extra) {
  unsigned spent = 0;
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    const struct pl_value *const value = &extra->at[place].value;
    if ((spent & (1u << place)) != 0 || value->kind == PL_VALUE_NONE) continue;
    const struct pl_change *const change =
        sheet->request->comparison == NULL
            ? NULL
            : pl_change_of_extra(sheet->request->comparison, extra->name, (enum pl_place)place);
    unsigned same = 0;
    for (int other = place; other <= PL_REAR_RIGHT; other++) {
      const bool also = pl_value_equal(value, &extra->at[other].value) &&
                        (sheet->request->comparison == NULL ||
                         pl_change_of_extra(sheet->request->comparison, extra->name,
                                            (enum pl_place)other) == change);
      if (also) same |= 1u << other;
    }
    spent |= same;
    struct pl_datum datum = plain_datum(
        pl_format(sheet->arena, "%s, %s", extra->name, pl_word_of_places(sheet, same)),
        paper_value(sheet->arena, value), last_span(&extra->at[place]));
    mark(sheet, &datum, change);
    add_datum(sheet, list, datum);
  }
}

struct pl_datum *pl_datums_of_extras(struct pl_sheet *sheet, size_t *count) {
  struct datum_list list = {.items = NULL};
  size_t extra_count = 0;
  const struct pl_extra *const extras = pl_setup_extras(sheet->setup, &extra_count);
  for (size_t i = 0; i < extra_count; i++) {
    const struct pl_resolved *const of_car = &extras[i].at[PL_CAR];
    add_extra_of_corners(sheet, &list, &extras[i]);
    if (of_car->value.kind == PL_VALUE_NONE) continue;
    struct pl_datum datum = plain_datum(
        extras[i].name, paper_value(sheet->arena, &of_car->value), last_span(of_car));
    if (sheet->request->comparison != NULL)
      mark(sheet, &datum,
           pl_change_of_extra(sheet->request->comparison, extras[i].name, PL_CAR));
    add_datum(sheet, &list, datum);
  }
  add_dropped(sheet, &list, false);
  *count = list.count;
  return list.items;
}

struct pl_datum *pl_datums_of_ballast(struct pl_sheet *sheet, size_t *count) {
  struct datum_list list = {.items = NULL};
  size_t piece_count = 0;
  const struct pl_ballast *const pieces = pl_setup_ballast(sheet->setup, &piece_count);
  for (size_t i = 0; i < piece_count; i++) {
    const char *const whole = pl_ballast_text(sheet->arena, &pieces[i], sheet->request->system);
    const char *const text = pl_paper_minus(sheet->arena, pl_word_of_ballast(sheet, whole));
    struct pl_datum datum =
        plain_datum(pl_word_with(sheet, PL_WORD_BALLAST, pieces[i].name, NULL), text,
                    last_span(&pieces[i].mass));
    if (sheet->request->comparison != NULL)
      mark(sheet, &datum, pl_change_of_ballast(sheet->request->comparison, pieces[i].name));
    add_datum(sheet, &list, datum);
  }
  add_dropped(sheet, &list, true);
  *count = list.count;
  return list.items;
}
