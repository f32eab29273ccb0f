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

/// The signed difference of a figure that moved, in its own unit and digits.
static const char *difference(struct pl_arena *arena, const struct pl_comparison *comparison,
                              const struct pl_change *change) {
  const double moved = change->new_number - change->old_number;
  if (!change->is_figure || isnan(moved) ||
      pl_figure_word(arena, change->figure, change->new_number) != NULL)
    return "";
  const struct pl_printed before =
      pl_print_figure(arena, change->figure, change->old_number, comparison->system);
  const struct pl_printed after =
      pl_print_figure(arena, change->figure, change->new_number, comparison->system);
  double old_shown = 0;
  double new_shown = 0;
  const char *const old_text = before.text[0] == '-' ? before.text + 1 : before.text;
  const char *const new_text = after.text[0] == '-' ? after.text + 1 : after.text;
  if (!pl_number_read(old_text, strlen(old_text), &old_shown) ||
      !pl_number_read(new_text, strlen(new_text), &new_shown))
    return "";
  if (before.text[0] == '-') old_shown = -old_shown;
  if (after.text[0] == '-') new_shown = -new_shown;
  const char *const point = strchr(after.text, '.');
  const int digits = point == NULL ? 0 : (int)strlen(point + 1);
  char space[40];
  pl_number_fixed(space, sizeof space, new_shown - old_shown, digits);
  return pl_format(arena, "  (%s%s)", space[0] == '-' ? "" : "+", space);
}

static void measure(const struct pl_change *changes, size_t count, struct columns *columns) {
  for (size_t i = 0; i < count; i++) {
    columns->where = larger(columns->where, pl_text_columns(changes[i].where));
    columns->label = larger(columns->label, pl_text_columns(changes[i].label));
    columns->before = larger(columns->before, pl_text_columns(or_none(changes[i].before)));
  }
  if (columns->label > 30) columns->label = 30;
  if (columns->before > 26) columns->before = 26;
}

static void add_changes(struct pl_buffer *out, const struct pl_comparison *comparison,
                        const struct pl_change *changes, size_t count) {
  struct columns columns = {0, 0, 0};
  measure(changes, count, &columns);
  for (size_t i = 0; i < count; i++) {
    const struct pl_change *const change = &changes[i];
    struct pl_arena *const arena = out->arena;
    pl_buffer_text(out, "  ");
    pad(out, change->where, columns.where + 2);
    pad(out, pl_text_safe(arena, change->label), columns.label + 2);
    pad_left(out, pl_text_safe(arena, or_none(change->before)), columns.before);
    pl_buffer_format(
        out, " → %s%s\n",
        pl_text_safe(arena, with_unit(arena, (struct pl_printed){or_none(change->after),
                                                                 change->unit})),
        difference(arena, comparison, change));
  }
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
    add_changes(&out, comparison, comparison->changes, comparison->setting_count);
  }
  if (comparison->figure_count > 0) {
    pl_buffer_format(&out, "\n%sWhat that did to the figures%s\n", bold, plain);
    add_changes(&out, comparison, comparison->changes + comparison->setting_count,
                comparison->figure_count);
  }
  bool any = false;
  for (size_t i = 0; i < comparison->effect_count; i++) {
    const struct pl_effect *const effect = &comparison->effects[i];
    if (effect->effects[0] == '\0') continue;
    if (!any) pl_buffer_format(&out, "\n%sEach change by itself%s\n", bold, plain);
    any = true;
    add_wrapped(&out,
                pl_text_safe(arena, pl_format(arena, "%s: %s", effect->cause, effect->effects)),
                2, style->width);
  }
  return pl_buffer_string(&out);
}
