// SPDX-License-Identifier: GPL-3.0-or-later
// A comparison as text: what differs, then what that did.
#include "room.h"

#include <math.h>
#include <string.h>

/// Where, what, before and after of one change, as columns.
struct columns {
  size_t where;
  size_t label;
  size_t before;
};

static size_t larger(size_t a, size_t b) {
  return a > b ? a : b;
}

static const char *or_none(const char *text) {
  return text[0] == '\0' ? "—" : text;
}

static void pad(struct pl_buffer *out, const char *text, size_t width) {
  const size_t taken = pl_text_columns(text);
  pl_buffer_text(out, text);
  pl_buffer_repeat(out, ' ', taken < width ? width - taken : 0);
}

static void pad_left(struct pl_buffer *out, const char *text, size_t width) {
  const size_t taken = pl_text_columns(text);
  pl_buffer_repeat(out, ' ', taken < width ? width - taken : 0);
  pl_buffer_text(out, text);
}

/// The signed difference of a figure that moved, in brackets; "" for a setting.
static const char *difference(struct pl_arena *arena, const struct pl_change *change,
                              enum pl_unit_system system) {
  const char *const moved = change->is_figure ? pl_change_difference(arena, change) : "";
  if (moved[0] == '\0') return "";
  if (!(fabs(change->new_number - change->old_number) < change->tolerance))
    return pl_format(arena, "  (%s)", moved);
  return pl_format(arena, "  (%s, less than its tolerance of %s)", moved,
                   pl_print_half_width(arena, change->figure, change->tolerance, system).text);
}

/// Does the change say numbers, which align, or words, which would push them to the right?
static bool is_of_numbers(const struct pl_change *change) {
  return !isnan(change->old_number) || !isnan(change->new_number);
}

static void measure(const struct pl_change *changes, size_t count, size_t width,
                    struct columns *columns) {
  for (size_t i = 0; i < count; i++) {
    columns->where = larger(columns->where, pl_text_columns(changes[i].where));
    columns->label = larger(columns->label, pl_text_columns(changes[i].label));
    if (is_of_numbers(&changes[i]))
      columns->before = larger(columns->before, pl_text_columns(or_none(changes[i].before)));
  }
  const size_t values = 24; // columns for two numbers, an arrow and a unit, at the least
  const size_t taken = columns->where + values + 6;
  const size_t room = larger(width > taken ? width - taken : 0, 12);
  if (columns->label > room) columns->label = room;
  if (columns->label > 30) columns->label = 30;
}

static const char *side_text(struct pl_arena *arena, const char *text, const char *unit) {
  if (text[0] == '\0') return or_none(text);
  return safe_lines(arena, with_unit(arena, (struct pl_printed){text, unit}));
}

/// One change: where, what, and both values, on one line where it fits.
static void add_change(struct pl_buffer *out, const struct pl_change *change,
                       const struct columns *columns, const struct pl_text_style *style) {
  const size_t width = style->width;
  struct pl_arena *const arena = out->arena;
  struct pl_buffer lead = {.arena = arena};
  pl_buffer_text(&lead, "  ");
  pad(&lead, change->where, columns->where + 2);
  pad(&lead, pl_text_safe(arena, change->label), columns->label + 2);
  const size_t indent = columns->where + columns->label + 6;
  // The unit stands behind the second value; behind the first where there is no second.
  const char *const before =
      side_text(arena, change->before, change->after[0] == '\0' ? change->unit : "");
  const char *const after = side_text(arena, change->after, change->unit);
  struct pl_buffer line = {.arena = arena};
  if (change->within[0] != '\0') {
    pl_buffer_format(&line, "%s: %s", after, pl_text_safe(arena, change->within));
    add_hanging(out, pl_buffer_string(&lead), pl_buffer_string(&line),
                indent + 20 > width ? 8 : indent, width);
    return;
  }
  if (is_of_numbers(change) && change->after[0] != '\0')
    pad_left(&line, before, columns->before);
  else
    pl_buffer_text(&line, before);
  pl_buffer_format(&line, " → %s%s", after, difference(arena, change, style->system));
  add_hanging(out, pl_buffer_string(&lead), pl_buffer_string(&line),
              indent + 20 > width ? 8 : indent, width);
}

static void add_changes(struct pl_buffer *out, const struct pl_change *changes, size_t count,
                        const struct pl_text_style *style) {
  struct columns columns = {0, 0, 0};
  measure(changes, count, style->width, &columns);
  for (size_t i = 0; i < count; i++) add_change(out, &changes[i], &columns, style);
}

/// The oil that would give a corner the base's slow damping; null where that did not move.
static const char *oil_at(struct pl_arena *arena, const struct pl_comparison *comparison,
                          enum pl_place place) {
  const struct pl_figure_value *const value =
      pl_figure_get(comparison->setup, PL_FIGURE_EQUIVALENT_OIL, place);
  const bool moved =
      pl_change_of_figure(comparison, PL_FIGURE_DAMPING_SLOW_COMPRESSION, place) != NULL ||
      pl_change_of_figure(comparison, PL_FIGURE_DAMPING_SLOW_REBOUND, place) != NULL;
  if (!value->present || !moved) return NULL;
  const char *const oil = with_unit(arena, pl_print_figure(arena, PL_FIGURE_EQUIVALENT_OIL,
                                                           value->value, comparison->system));
  if (value->detail_count == 0) return oil;
  return pl_format(arena, "%s: %s", oil, pl_text_safe(arena, value->details[0]));
}

/// For corners whose slow damping moved: the oil that would undo it.
static void add_equivalent_oil(struct pl_buffer *out, const struct pl_comparison *comparison,
                               const struct pl_text_style *style) {
  struct pl_buffer words = {.arena = out->arena};
  unsigned told = 0;
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    if ((told & 1u << (unsigned)place) != 0) continue;
    const char *const text = oil_at(out->arena, comparison, (enum pl_place)place);
    if (text == NULL) continue;
    unsigned places = 0;
    for (int other = place; other <= PL_REAR_RIGHT; other++) {
      const char *const same = oil_at(out->arena, comparison, (enum pl_place)other);
      if (same != NULL && strcmp(same, text) == 0) places |= 1u << (unsigned)other;
    }
    told |= places;
    pl_buffer_format(&words, "%s%s %s", words.length == 0 ? "" : "\n",
                     pl_places_words(out->arena, places), text);
  }
  if (words.length == 0) return;
  pl_buffer_format(out, "\n%sOil for the base's slow damping today, with these pistons%s\n",
                   style->colour ? "\x1b[1m" : "", style->colour ? "\x1b[0m" : "");
  add_wrapped(out, pl_buffer_string(&words), 2, style->width);
}

const char *pl_comparison_text(struct pl_arena *arena, const struct pl_comparison *comparison,
                               const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  const char *const own = pl_setup_name(pl_figures_setup(comparison->setup));
  const char *const base = pl_setup_name(pl_figures_setup(comparison->base));
  pl_buffer_format(&out, "%s   against %s\n", pl_text_safe(arena, own),
                   pl_text_safe(arena, base));
  if (comparison->setting_count == 0 && comparison->figure_count == 0) {
    pl_buffer_text(&out, "\nNothing differs.\n");
    return pl_buffer_string(&out);
  }
  const char *const bold = style->colour ? "\x1b[1m" : "";
  const char *const plain = style->colour ? "\x1b[0m" : "";
  if (comparison->setting_count > 0) {
    pl_buffer_format(&out, "\n%sWhat differs%s\n", bold, plain);
    add_changes(&out, comparison->changes, comparison->setting_count, style);
  }
  if (comparison->figure_count > 0) {
    pl_buffer_format(&out, "\n%sWhat that did to the figures%s\n", bold, plain);
    add_changes(&out, comparison->changes + comparison->setting_count, comparison->figure_count,
                style);
  }
  add_equivalent_oil(&out, comparison, style);
  bool any = false;
  for (size_t i = 0; i < comparison->effect_count; i++) {
    const struct pl_effect *const effect = &comparison->effects[i];
    const char *const moves = pl_effect_moves(arena, effect, NULL);
    if (moves[0] == '\0') continue;
    if (!any) pl_buffer_format(&out, "\n%sEach change by itself%s\n", bold, plain);
    any = true;
    add_wrapped(&out, pl_text_safe(arena, pl_effect_cause(arena, effect, NULL)), 2,
                style->width);
    add_wrapped(&out, pl_text_safe(arena, moves), 6, style->width);
  }
  return pl_buffer_string(&out);
}
