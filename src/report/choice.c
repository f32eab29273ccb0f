// SPDX-License-Identifier: GPL-3.0-or-later
// A choice of parts as text: a table of each combination, what changes above what comes of it.
#include "choice.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct aimed aimed_of(struct pl_figures *figures, const struct pl_wanted *wanted) {
  struct aimed aimed = {.beyond = 0};
  bool known = true;
  for (size_t i = 0; i < wanted->place_count; i++) {
    const struct pl_figure_value *const value =
        pl_figure_get(figures, wanted->figure, wanted->places[i]);
    aimed.values[i] = value->present ? value->value : NAN;
    const double beyond = fabs(aimed.values[i] - wanted->target) - wanted->tolerance;
    if (beyond > aimed.beyond) aimed.beyond = beyond;
    known &= value->present;
  }
  if (!known) aimed.beyond = NAN;
  return aimed;
}

bool meets_all(struct pl_figures *figures, const struct pl_aim *aim) {
  for (size_t i = 0; i < aim->count; i++) {
    if (aimed_of(figures, &aim->wanted[i]).beyond != 0) return false;
  }
  return true;
}

// ---------------------------------------------------------------- cells

#define COLUMNS 5

/// A line of cells; columns are as wide as their widest.
struct row {
  const char *cells[COLUMNS];
};

struct rows {
  struct pl_arena *arena;
  struct row *items;
  size_t count;
  size_t capacity;
};

static void add_row(struct rows *rows, struct row row) {
  rows->items =
      pl_grow(rows->arena, rows->items, rows->count, &rows->capacity, sizeof *rows->items);
  for (size_t i = 0; i < COLUMNS; i++)
    row.cells[i] = row.cells[i] == NULL ? "" : pl_text_safe(rows->arena, row.cells[i]);
  rows->items[rows->count++] = row;
}

static void print_rows(struct pl_buffer *out, const struct rows *rows, size_t indent) {
  size_t widths[COLUMNS] = {0};
  for (size_t i = 0; i < rows->count; i++) {
    for (size_t j = 0; j < COLUMNS; j++) {
      const size_t columns = pl_text_columns(rows->items[i].cells[j]);
      if (columns > widths[j]) widths[j] = columns;
    }
  }
  for (size_t i = 0; i < rows->count; i++) {
    const struct row *const row = &rows->items[i];
    size_t last = COLUMNS - 1;
    while (last > 0 && row->cells[last][0] == '\0') last--;
    pl_buffer_repeat(out, ' ', indent);
    for (size_t j = 0; j <= last; j++) {
      pl_buffer_text(out, row->cells[j]);
      if (j < last) pl_buffer_repeat(out, ' ', widths[j] - pl_text_columns(row->cells[j]) + 2);
    }
    pl_buffer_text(out, "\n");
  }
}

// ---------------------------------------------------------------- values

static const char *printed(struct pl_arena *arena, enum pl_figure figure, double value,
                           enum pl_unit_system system) {
  if (isnan(value)) return "-";
  return with_unit(arena, pl_print_figure(arena, figure, value, system));
}

/// One value, or left and right where they read otherwise.
static const char *values_text(struct pl_arena *arena, const struct pl_wanted *wanted,
                               const struct aimed *aimed, enum pl_unit_system system) {
  const char *const left = printed(arena, wanted->figure, aimed->values[0], system);
  if (wanted->place_count == 1) return left;
  const char *const right = printed(arena, wanted->figure, aimed->values[1], system);
  return strcmp(left, right) == 0 ? left : pl_format(arena, "%s left, %s right", left, right);
}

/// A difference in the figure's unit, with its digits, or so many that count where that is
/// more.
static const char *difference(struct pl_arena *arena, enum pl_figure figure, double by,
                              int counting, enum pl_unit_system system) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  const char *const name = system == PL_IMPERIAL ? row->imperial : row->unit;
  const int digits = system == PL_IMPERIAL ? row->imperial_digits : row->digits;
  const double value = pl_figure_difference(figure, by, system);
  const double before_point = ceil(log10(fabs(value)));
  char number[40];
  pl_number_shortest(number, sizeof number, value,
                     (int)fmin(fmax(before_point + digits, counting), 9));
  return with_unit(arena, (struct pl_printed){pl_copy_text(arena, number, strlen(number)),
                                              pl_unit_shown(name)});
}

static const char *target_text(struct pl_arena *arena, const struct pl_wanted *wanted,
                               enum pl_unit_system system) {
  if (wanted->is_range)
    return pl_format(
        arena, "%s to %s",
        printed(arena, wanted->figure, wanted->target - wanted->tolerance, system),
        printed(arena, wanted->figure, wanted->target + wanted->tolerance, system));
  return pl_format(arena, "%s ± %s", printed(arena, wanted->figure, wanted->target, system),
                   difference(arena, wanted->figure, wanted->tolerance, 3, system));
}

static const char *verdict(struct pl_arena *arena, const struct pl_wanted *wanted,
                           const struct aimed *aimed, enum pl_unit_system system) {
  if (isnan(aimed->beyond)) return "not known";
  if (aimed->beyond == 0) return "met";
  const bool below =
      fmin(aimed->values[0], wanted->place_count > 1 ? aimed->values[1] : aimed->values[0]) <
      wanted->target - wanted->tolerance;
  return pl_format(arena, "%s too %s",
                   difference(arena, wanted->figure, aimed->beyond, 2, system),
                   below ? "low" : "high");
}

/// What a setting is at an axle: one value, or left and right where they differ.
static const char *setting_text(struct pl_arena *arena, const struct pl_setup *setup,
                                const struct pl_dimension_varied *dimension,
                                enum pl_unit_system system) {
  const enum pl_setting setting = pl_varied_rows[dimension->kind].setting;
  const enum pl_place left = dimension->axle == PL_FRONT ? PL_FRONT_LEFT : PL_REAR_LEFT;
  const char *texts[2];
  for (int side = 0; side < 2; side++) {
    const struct pl_value *const value =
        &pl_setup_get(setup, setting, (enum pl_place)((int)left + side))->value;
    texts[side] = value->kind == PL_VALUE_NONE
                      ? "none"
                      : with_unit(arena, pl_print_setting(arena, setting, value, system));
  }
  if (strcmp(texts[0], texts[1]) == 0) return texts[0];
  return pl_format(arena, "%s left, %s right", texts[0], texts[1]);
}

// ---------------------------------------------------------------- combinations

static const char *label_of(struct pl_arena *arena, const struct pl_wanted *wanted) {
  const size_t place = strcspn(wanted->key, ".");
  return pl_format(arena, "%.*s: %s", (int)place, wanted->key,
                   pl_figure_rows[wanted->figure].label);
}

static void add_figures(struct rows *rows, const struct pl_choice_told *told,
                        struct pl_figures *then, enum pl_unit_system system) {
  const struct pl_aim *const aim = told->space->aim;
  for (size_t i = 0; i < aim->count; i++) {
    const struct pl_wanted *const wanted = &aim->wanted[i];
    const struct aimed before = aimed_of(told->now, wanted);
    const struct aimed after = aimed_of(then, wanted);
    const char *const old = values_text(rows->arena, wanted, &before, system);
    const char *const new = values_text(rows->arena, wanted, &after, system);
    // Nobody asked for that: it is told where something happens to it.
    if (wanted->is_implied && after.beyond == 0 && strcmp(old, new) == 0) continue;
    add_row(
        rows,
        (struct row){{label_of(rows->arena, wanted),
                      strcmp(old, new) == 0 ? old : pl_format(rows->arena, "%s → %s", old, new),
                      target_text(rows->arena, wanted, system),
                      verdict(rows->arena, wanted, &after, system)}});
  }
}

static void add_changes(struct pl_buffer *out, const struct pl_choice_told *told, size_t which,
                        enum pl_unit_system system) {
  struct rows rows = {.arena = out->arena};
  const struct pl_setup *const made = pl_figures_setup(told->made[which].figures);
  for (size_t d = 0; d < told->space->count; d++) {
    const struct pl_dimension_varied *const dimension = &told->space->dimensions[d];
    if (told->choice->best[which].ways[d] == 0) continue;
    const struct pl_varied_row *const row = &pl_varied_rows[dimension->kind];
    add_row(
        &rows,
        (struct row){{pl_format(out->arena, "%s: %s", pl_place_name(dimension->axle),
                                pl_settings[row->setting].label),
                      pl_format(out->arena, "%s → %s",
                                setting_text(out->arena, told->space->setup, dimension, system),
                                setting_text(out->arena, made, dimension, system)),
                      row->change}});
  }
  print_rows(out, &rows, 4);
}

static void add_combination(struct pl_buffer *out, const struct pl_choice_told *told,
                            size_t which, const struct pl_text_style *style) {
  const struct pl_chosen *const chosen = &told->choice->best[which];
  const struct pl_made *const made = &told->made[which];
  const bool met = meets_all(made->figures, told->space->aim);
  pl_buffer_format(out, "\n%zu   ", which + 1);
  if (chosen->score.work == 0)
    pl_buffer_format(out, "as it is%s\n", met ? ": meets the aim" : "");
  else
    pl_buffer_format(out, "%s; work %llu\n", met ? "meets the aim" : "misses the aim",
                     (unsigned long long)chosen->score.work);
  add_changes(out, told, which, style->system);
  struct rows rows = {.arena = out->arena};
  add_figures(&rows, told, made->figures, style->system);
  print_rows(out, &rows, 4);
  for (size_t i = 0; i < made->warning_count; i++)
    add_wrapped(out, pl_format(out->arena, "Note: %s", made->warnings[i]), 4, style->width);
}

// ---------------------------------------------------------------- the whole

struct pl_count pl_count_shown(double count) {
  const bool in_full = count < 1e15;
  struct pl_count shown = {""};
  char digits[24];
  const size_t length =
      (size_t)snprintf(digits, sizeof digits, in_full ? "%.0f" : "%.1e", count);
  size_t at = 0;
  for (size_t i = 0; i < length; i++) {
    if (in_full && i > 0 && (length - i) % 3 == 0) shown.text[at++] = ',';
    shown.text[at++] = digits[i];
  }
  return shown;
}

static void add_head(struct pl_buffer *out, const struct pl_choice_told *told,
                     const struct pl_text_style *style) {
  const struct pl_choice *const choice = told->choice;
  struct pl_arena *const arena = out->arena;
  pl_buffer_format(out, "%s, out of \"%s\"\n\n", pl_text_safe(arena, told->space->setup_name),
                   pl_text_safe(arena, told->box));
  struct pl_buffer words = {.arena = arena};
  pl_buffer_format(&words, "%s combination%s.", pl_count_shown(choice->combinations).text,
                   choice->combinations == 1 ? "" : "s");
  if (choice->searched < choice->combinations && choice->searched > 0)
    pl_buffer_format(&words, " The aims part them into groups that are searched apart: %s.",
                     pl_count_shown(choice->searched).text);
  if (choice->left_out > 0)
    pl_buffer_format(&words, " %s of these were left out, since they can only be farther.",
                     pl_count_shown(choice->left_out).text);
  add_wrapped(out, pl_buffer_string(&words), 0, style->width);
  if (choice->combinations == 1)
    add_wrapped(out, "None of what could be changed here changes a figure of the aim.", 0,
                style->width);
  for (size_t i = 0; i < told->space->remark_count; i++)
    add_wrapped(out, pl_text_safe(arena, told->space->remarks[i]), 0, style->width);
  if (meets_all(told->now, told->space->aim))
    pl_buffer_text(out, "The setup meets the aim as it is.\n");
}

const char *pl_choice_text(struct pl_arena *arena, const struct pl_choice_told *told,
                           const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  add_head(&out, told, style);
  for (size_t i = 0; i < told->choice->count; i++) add_combination(&out, told, i, style);
  if (told->choice->count > 0 && told->choice->best[0].score.work > 0)
    pl_buffer_format(
        &out, "\nNumber 1 as a setup of its own, to write at the end of the file\n\n%s",
        safe_lines(arena, pl_chosen_setup(arena, told->space, &told->choice->best[0])));
  return pl_buffer_string(&out);
}
