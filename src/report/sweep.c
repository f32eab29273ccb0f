// SPDX-License-Identifier: GPL-3.0-or-later
// A sweep as text: rows of values, or a grid for each figure.
#include "room.h"

#include <math.h>
#include <string.h>

/// A heading's words are broken at so many columns.
#define HEAD_WIDTH 11

/// A sweep being told.
struct telling {
  struct pl_arena *arena;
  const struct pl_sweep *sweep;
  const struct pl_sweep_shown *shown;
  size_t count;
  const struct pl_text_style *style;
};

static const char *figure_text(const struct telling *telling,
                               const struct pl_sweep_column *column, double value) {
  if (!isfinite(value)) return NO_VALUE;
  return pl_print_figure(telling->arena, column->figure, value, telling->style->system).text;
}

/// The unit in which a figure is printed, as it is shown.
static const char *unit_of(const struct telling *telling, enum pl_figure figure) {
  if (strchr(pl_figure_rows[figure].unit, '|') != NULL) return "";
  return pl_print_figure(telling->arena, figure, 0, telling->style->system).unit;
}

/// The path and the unit of a setting's values.
static void add_setting_head(struct grid *grid, size_t column,
                             const struct pl_sweep_setting *setting) {
  grid_head_line(grid, column, setting->path);
  grid_head_line(grid, column, pl_unit_shown(setting->unit));
}

/// The same on one line.
static const char *setting_words(struct pl_arena *arena,
                                 const struct pl_sweep_setting *setting) {
  const char *const unit = pl_unit_shown(setting->unit);
  return pl_format(arena, "%s%s%s", setting->path, unit[0] == '\0' ? "" : ", ", unit);
}

/// Digits behind the point of a text.
static size_t decimals_of(const char *text) {
  const char *const point = strchr(text, '.');
  return point == NULL ? 0 : strlen(point + 1);
}

/// Digits behind the point of the value that has most, so that all read as one column; SIZE_MAX
/// where one has a power of ten, and each stands as it is.
static size_t most_decimals(const struct pl_sweep_setting *setting) {
  size_t most = 0;
  for (size_t i = 0; i < setting->count; i++) {
    const char *const text = setting->values[i].shown;
    if (strchr(text, 'e') != NULL) return SIZE_MAX;
    if (decimals_of(text) > most) most = decimals_of(text);
  }
  return most;
}

/// A number with so many digits behind the point, or as it is shown by itself.
static const char *even(struct pl_arena *arena, const char *shown, double number,
                        size_t decimals) {
  char space[40];
  if (decimals == SIZE_MAX || strchr(shown, 'e') != NULL) return shown;
  pl_number_fixed(space, sizeof space, number, (int)decimals);
  return pl_copy_text(arena, space, strlen(space));
}

static const char *value_words(struct pl_arena *arena, const struct pl_sweep_setting *setting,
                               size_t index) {
  const struct pl_sweep_value *const value = &setting->values[index];
  const char *const text =
      setting->is_number ? even(arena, value->shown, value->number, most_decimals(setting))
                         : value->shown;
  return pl_format(arena, "%s%s", text, index == setting->now ? "  now" : "");
}

// ---------------------------------------------------------------- one setting

/// Is there a row for the setup as it is, beside those of the values?
static bool has_own_row(const struct pl_sweep_setting *setting) {
  return setting->now == setting->count;
}

/// What the setup has now, in the row of its own.
static const char *now_words(struct pl_arena *arena, const struct pl_sweep_setting *setting) {
  char space[40];
  if (isnan(setting->now_number))
    return setting->now_shown[0] == '\0' ? "as it is now"
                                         : pl_format(arena, "%s  now", setting->now_shown);
  pl_number_shortest(space, sizeof space, setting->now_number, 6);
  const size_t most = most_decimals(setting);
  const size_t own = decimals_of(space);
  return pl_format(arena, "%s  now",
                   even(arena, space, setting->now_number, own > most ? own : most));
}

/// The row of the setup as it is, among those of the values: where its number belongs if these
/// rise or fall, else behind them.
static size_t own_row(const struct pl_sweep_setting *setting) {
  const size_t count = setting->count;
  const double now = setting->now_number;
  if (isnan(now) || count < 2) return count;
  const bool falls = setting->values[1].number < setting->values[0].number;
  size_t row = 0;
  for (size_t i = 0; i < count; i++) {
    const double number = setting->values[i].number;
    const double next = i + 1 < count ? setting->values[i + 1].number : number;
    if (falls ? next > number : next < number) return count;
    if (falls ? number > now : number < now) row = i + 1;
  }
  return row;
}

/// The value that a row is of; the number of values for that of the setup as it is.
static size_t value_of_row(const struct pl_sweep_setting *setting, size_t own, size_t row) {
  return row == own ? setting->count : row < own ? row : row - 1;
}

/// The label of a value, or of the setup as it is.
static const char *label_of(struct pl_arena *arena, const struct pl_sweep_setting *setting,
                            size_t index) {
  return index < setting->count ? value_words(arena, setting, index)
                                : now_words(arena, setting);
}

/// Columns before the point of a label's number; of what is none, nothing.
static size_t label_point(const struct pl_sweep_setting *setting, size_t index,
                          const char *label) {
  const bool is_number =
      setting->is_number && (index < setting->count || !isnan(setting->now_number));
  return is_number ? strcspn(label, ".e ") : 0;
}

/// The labels of the rows, their numbers aligned. Row `own` is of the setup as it is.
static void add_labels(struct grid *grid, const struct pl_sweep_setting *setting, size_t own) {
  struct pl_arena *const arena = grid->arena;
  size_t most = 0;
  for (size_t i = 0; i < grid->rows; i++) {
    const size_t index = value_of_row(setting, own, i);
    const size_t point = label_point(setting, index, label_of(arena, setting, index));
    if (point > most) most = point;
  }
  for (size_t i = 0; i < grid->rows; i++) {
    const size_t index = value_of_row(setting, own, i);
    struct pl_buffer label = {.arena = arena};
    const char *const text = label_of(arena, setting, index);
    const size_t point = label_point(setting, index, text);
    pl_buffer_repeat(&label, ' ', point > 0 ? most - point : 0);
    pl_buffer_text(&label, text);
    grid_cell(grid, i, 0, pl_buffer_string(&label));
  }
}

/// A column's value at a value of one setting, of which alone it depends: with the first value
/// of the other one that lets it be told.
static double value_at(const struct pl_sweep *sweep, const struct pl_sweep_column *column,
                       size_t which, size_t index) {
  for (size_t i = 0; i < sweep->point_count; i++) {
    if (pl_sweep_index(sweep, which, i) == index && isfinite(column->values[i]))
      return column->values[i];
  }
  return NAN;
}

static bool depends_on(const struct telling *telling, const struct pl_sweep_column *column,
                       size_t which) {
  return pl_sweep_depends(telling->arena, telling->sweep, column, which,
                          telling->style->system);
}

/// The columns that go by one setting alone; of those that go by none, with the first one.
static size_t columns_of(const struct telling *telling, size_t which,
                         const struct pl_sweep_shown **columns) {
  size_t count = 0;
  for (size_t i = 0; i < telling->count; i++) {
    const struct pl_sweep_column *const column = telling->shown[i].column;
    const bool by_second = telling->sweep->setting_count == 2 && depends_on(telling, column, 1);
    const bool by_first = !by_second || depends_on(telling, column, 0);
    if (by_first != by_second && by_second == (which == 1))
      columns[count++] = &telling->shown[i];
  }
  return count;
}

/// A row for each value of one setting, with the figures that go by it alone.
static void add_rows(const struct telling *telling, struct pl_buffer *out, size_t which) {
  const struct pl_sweep *const sweep = telling->sweep;
  const struct pl_sweep_setting *const setting = &sweep->settings[which];
  const struct pl_sweep_shown **const columns =
      pl_alloc_array(telling->arena, telling->count, sizeof(const struct pl_sweep_shown *));
  const size_t count = columns_of(telling, which, columns);
  const bool has_own = has_own_row(setting);
  const size_t own = has_own ? own_row(setting) : SIZE_MAX;
  if (count == 0) return;
  struct grid grid;
  grid_new(&grid, telling->arena, setting->count + (has_own ? 1 : 0), count);
  add_setting_head(&grid, 0, setting);
  add_labels(&grid, setting, own);
  for (size_t j = 0; j < count; j++) {
    const struct pl_sweep_column *const column = columns[j]->column;
    grid_head_words(&grid, j + 1, pl_figure_rows[column->figure].label, HEAD_WIDTH);
    grid_head_line(&grid, j + 1, columns[j]->place);
    grid_head_line(&grid, j + 1, unit_of(telling, column->figure));
    for (size_t i = 0; i < grid.rows; i++) {
      const size_t index = value_of_row(setting, own, i);
      const double value =
          index == setting->count ? column->now : value_at(sweep, column, which, index);
      grid_cell(&grid, i, j + 1, figure_text(telling, column, value));
    }
  }
  pl_buffer_text(out, "\n");
  grid_text(&grid, out, telling->style->width);
}

// ---------------------------------------------------------------- two settings

/// A grid of a figure that goes by both settings.
static void add_grid(const struct telling *telling, struct pl_buffer *out,
                     const struct pl_sweep_shown *shown) {
  const struct pl_sweep_setting *const down = &telling->sweep->settings[0];
  const struct pl_sweep_setting *const across = &telling->sweep->settings[1];
  const struct pl_sweep_column *const column = shown->column;
  const char *const unit = unit_of(telling, column->figure);
  if (!depends_on(telling, column, 0) || !depends_on(telling, column, 1)) return;
  const char *const title = pl_format(
      telling->arena, "%s%s%s%s%s", pl_figure_rows[column->figure].label,
      shown->place[0] == '\0' ? "" : ", ", shown->place, unit[0] == '\0' ? "" : ", ", unit);
  pl_buffer_format(out, telling->style->colour ? "\n\x1b[1m%s\x1b[0m\n" : "\n%s\n", title);
  struct grid grid;
  grid_new(&grid, telling->arena, down->count, across->count);
  grid.over = setting_words(telling->arena, across);
  grid_head_line(&grid, 0, setting_words(telling->arena, down));
  add_labels(&grid, down, SIZE_MAX);
  for (size_t j = 0; j < across->count; j++) {
    grid_head_line(&grid, j + 1, value_words(telling->arena, across, j));
    for (size_t i = 0; i < down->count; i++)
      grid_cell(&grid, i, j + 1,
                figure_text(telling, column, column->values[i * across->count + j]));
  }
  grid_text(&grid, out, telling->style->width);
}

// ---------------------------------------------------------------- why something is missing

/// A reason, with the figures and the points that it holds for.
struct reason {
  const char *text;
  const char *figures;
  size_t *points;
  size_t count;
};

static void add_reason(const struct telling *telling, struct pl_buffer *out, const char *where,
                       const struct reason *reason) {
  struct pl_arena *const arena = telling->arena;
  const bool of_all = reason->figures[0] == '\0';
  const char *const text =
      pl_format(arena, "%s: %s%s%s", where, reason->figures, of_all ? "" : ": ", reason->text);
  add_hanging(out, "  –", pl_text_safe(arena, text), 4, telling->style->width);
}

/// The figures that lack a value for that reason at a point, each once.
static void gather(const struct telling *telling, const char *text, struct reason *reason) {
  const struct pl_sweep *const sweep = telling->sweep;
  struct pl_buffer figures = {.arena = telling->arena};
  bool *const lacks = pl_alloc_array(telling->arena, sweep->point_count, sizeof *lacks);
  enum pl_figure last = PL_FIGURE_COUNT;
  for (size_t j = 0; j < telling->count; j++) {
    const struct pl_sweep_column *const column = telling->shown[j].column;
    bool here = false;
    for (size_t i = 0; i < sweep->point_count; i++) {
      if (column->why[i] == NULL || strcmp(column->why[i], text) != 0) continue;
      here = lacks[i] = true;
    }
    if (!here || column->figure == last) continue;
    pl_buffer_format(&figures, "%s%s", last == PL_FIGURE_COUNT ? "" : ", ",
                     pl_figure_rows[column->figure].key);
    last = column->figure;
  }
  reason->figures = pl_buffer_string(&figures);
  reason->points = pl_alloc_array(telling->arena, sweep->point_count, sizeof *reason->points);
  for (size_t i = 0; i < sweep->point_count; i++) {
    if (lacks[i]) reason->points[reason->count++] = i;
  }
}

/// A mistake that leaves a point without any figure.
static void add_mistakes(const struct telling *telling, struct pl_buffer *out) {
  const struct pl_sweep *const sweep = telling->sweep;
  for (size_t i = 0; i < sweep->remark_count; i++) {
    const struct pl_sweep_remark *const remark = &sweep->remarks[i];
    if (!remark->is_error) continue;
    const bool has_place = remark->place[0] != '\0';
    const char *const text =
        pl_format(telling->arena, "%s%s%s%s%s%s", remark->problem.message,
                  remark->problem.hint[0] == '\0' ? "" : " → ", remark->problem.hint,
                  has_place ? " (" : "", remark->place, has_place ? ")" : "");
    // Where what is said differs from value to value, it is said of the first.
    const char *where = pl_sweep_points_text(telling->arena, sweep, remark->points,
                                             remark->differs ? 1 : remark->count);
    if (remark->differs)
      where =
          pl_format(telling->arena, "%s, and the like at %zu more", where, remark->count - 1);
    add_reason(telling, out, where, &(struct reason){.text = text, .figures = ""});
  }
}

static void add_reasons(const struct telling *telling, struct pl_buffer *out) {
  const struct pl_sweep *const sweep = telling->sweep;
  struct pl_buffer reasons = {.arena = telling->arena};
  struct pl_map *const told = pl_map_new(telling->arena);
  bool has_mistakes = false;
  for (size_t i = 0; i < sweep->remark_count; i++) has_mistakes |= sweep->remarks[i].is_error;
  for (size_t j = 0; j < telling->count; j++) {
    const struct pl_sweep_column *const column = telling->shown[j].column;
    for (size_t i = 0; i < sweep->point_count; i++) {
      const char *const text = column->why[i];
      if (text == NULL || pl_map_set(told, text, told) != NULL) continue;
      if (has_mistakes && strcmp(text, PL_SWEEP_MISTAKE) == 0) {
        add_mistakes(telling, &reasons);
        continue;
      }
      struct reason reason = {.text = text};
      gather(telling, text, &reason);
      add_reason(telling, &reasons,
                 pl_sweep_points_text(telling->arena, sweep, reason.points, reason.count),
                 &reason);
    }
  }
  if (reasons.length > 0)
    pl_buffer_format(out, "\nNo value where there is a dash\n%s", pl_buffer_string(&reasons));
}

// ---------------------------------------------------------------- the whole

/// "front.oil from 250 cSt to 500 cSt, 11 values; now clear 400"
static void add_head(const struct telling *telling, struct pl_buffer *out) {
  const struct pl_sweep *const sweep = telling->sweep;
  pl_buffer_format(out, "%s\n\n",
                   pl_text_safe(telling->arena, pl_setup_name(pl_figures_setup(sweep->today))));
  for (size_t i = 0; i < sweep->setting_count; i++) {
    const struct pl_sweep_setting *const setting = &sweep->settings[i];
    const char *const now = pl_text_safe(telling->arena, setting->now_shown);
    pl_buffer_text(out, setting->path);
    if (setting->is_number && setting->count > 1) {
      size_t first = 0;
      size_t last = 0;
      pl_sweep_ends(setting, &first, &last);
      pl_buffer_format(out, " from %s to %s", setting->values[first].written,
                       setting->values[last].written);
    }
    pl_buffer_format(out, ", %zu value%s; now %s\n", setting->count,
                     setting->count == 1 ? "" : "s",
                     now[0] == '\0' ? "not the same everywhere" : now);
  }
}

const char *pl_sweep_text(struct pl_arena *arena, const struct pl_sweep *sweep,
                          const struct pl_sweep_shown *shown, size_t count,
                          const struct pl_text_style *style) {
  const struct telling telling = {arena, sweep, shown, count, style};
  struct pl_buffer out = {.arena = arena};
  add_head(&telling, &out);
  for (size_t i = 0; i < sweep->setting_count; i++) add_rows(&telling, &out, i);
  for (size_t i = 0; sweep->setting_count == 2 && i < count; i++)
    add_grid(&telling, &out, &shown[i]);
  add_reasons(&telling, &out);
  return pl_buffer_string(&out);
}
