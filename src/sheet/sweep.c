// SPDX-License-Identifier: GPL-3.0-or-later
// The page of a sweep: small plots of equal size, each of a figure over the swept value.
#include "plot.h"

#include <math.h>
#include <string.h>

/// Between plots beside each other and beneath each other, mm.
#define GUTTER 7.0
#define GAP    4.0
/// The height of a plot, mm.
#define LEAST_PLOT 46.0
#define MOST_PLOT  100.0
/// The share of a plot's width that names beneath it may take.
#define NAMES_SHARE 0.55
/// Most lines of a plot that are one a value, and most dots of a line.
#define VALUE_LINES 6
#define MOST_DOTS   40

/// A page in the making.
struct paging {
  struct pl_sheet *sheet;
  const struct pl_sweep_request *request;
  size_t columns; ///< plots beside each other
  double width;   ///< of a plot, mm
  double height;
  bool numbered[PL_SWEEP_SETTINGS]; ///< the names of its values are numbers, told above
  bool has_gaps;
  size_t lines; ///< most lines that a plot has of the values of the second setting
};

/// The places of the columns that are one plot: those of a figure.
#define PLOT_COLUMNS 4

/// What one plot shows.
struct small_plot {
  const struct pl_sweep_shown *columns[PLOT_COLUMNS];
  size_t count;
  size_t along; ///< the setting along x
  bool by_both; ///< a line for each value of the second setting
};

// ---------------------------------------------------------------- words

static const char *text_of(struct paging *paging, const char *text) {
  return pl_text_with_codes(paging->sheet->arena, text);
}

/// "Oil, front", of the whole car "Air".
static const char *setting_words(struct paging *paging,
                                 const struct pl_sweep_setting *setting) {
  static const struct {
    const char *scope;
    unsigned places;
  } sides[] = {{"all", 0xF}, {"front", 0x3}, {"rear", 0xC}, {"left", 0x5}, {"right", 0xA}};
  const struct pl_thing thing = pl_thing_of_setting(setting->setting);
  const char *const label = pl_thing_title(paging->sheet->arena, paging->sheet->plan, &thing);
  const enum pl_place place = pl_place_of(setting->scope);
  unsigned places = place < PL_FRONT ? 1u << place : 0;
  for (size_t i = 0; i < sizeof sides / sizeof sides[0]; i++) {
    if (strcmp(sides[i].scope, setting->scope) == 0) places = sides[i].places;
  }
  if (places == 0) return label;
  return pl_format(paging->sheet->arena, "%s, %s", label,
                   pl_word_of_places(paging->sheet, places));
}

/// A value of a setting with its unit.
static const char *value_words(struct paging *paging, const struct pl_sweep_setting *setting,
                               size_t index) {
  struct pl_arena *const arena = paging->sheet->arena;
  const char *const shown = setting->values[index].shown;
  const char *const unit = pl_unit_shown(setting->unit);
  if (!setting->is_number) return text_of(paging, shown);
  return pl_format(arena, "%s%s%s", pl_paper_minus(arena, shown), unit[0] == '\0' ? "" : " ",
                   unit);
}

static const char *unit_of(const struct paging *paging, enum pl_figure figure) {
  return pl_print_figure(paging->sheet->arena, figure, 0, paging->request->system).unit;
}

/// Is there a point to draw? A figure of words has no height.
static bool is_drawn(const struct pl_sweep *sweep, const struct pl_sweep_column *column) {
  if (strchr(pl_figure_rows[column->figure].unit, '|') != NULL) return false;
  for (size_t i = 0; i < sweep->point_count; i++) {
    if (isfinite(column->values[i])) return true;
  }
  return false;
}

// ---------------------------------------------------------------- lines

/// A figure's value as it is printed, to all its digits.
static double printed(const struct paging *paging, enum pl_figure figure, double value) {
  const bool metric = paging->request->system == PL_METRIC;
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  if (metric) return pl_figure_in_unit(figure, value);
  const struct pl_unit unit =
      pl_unit_named(strcmp(row->imperial, "deg/g") == 0 ? "deg" : row->imperial);
  return pl_from_si(value, &unit);
}

/// Do the values lie along x by their size? Between two holes there is nothing.
static bool is_scaled(const struct pl_sweep_setting *setting) {
  const enum pl_setting_type type = pl_settings[setting->setting].type;
  return setting->is_number && type != PL_TYPE_HOLE && type != PL_TYPE_COUNT;
}

/// Where a value of the setting along x lies.
static double along_x(const struct pl_sweep_setting *setting, size_t index) {
  return is_scaled(setting) ? setting->values[index].number : (double)index;
}

/// Where the setup as it is lies along x; NaN where that is nowhere.
static double now_along_x(const struct pl_sweep_setting *setting) {
  if (setting->now < setting->count) return along_x(setting, setting->now);
  return is_scaled(setting) ? setting->now_number : NAN;
}

/// The values in the order in which they lie along x, whatever the order of a list is.
static const size_t *along_order(struct paging *paging,
                                 const struct pl_sweep_setting *setting) {
  size_t *const order = pl_alloc_array(paging->sheet->arena, setting->count, sizeof *order);
  for (size_t i = 0; i < setting->count; i++) {
    size_t at = i;
    for (; at > 0 && along_x(setting, order[at - 1]) > along_x(setting, i); at--)
      order[at] = order[at - 1];
    order[at] = i;
  }
  return order;
}

/// Adds a line with what can be computed; nothing where that is not one point. `other` is the
/// value of the setting that does not lie along x.
static struct pl_plot_line *add_line(struct paging *paging, struct pl_plot *plot,
                                     const struct pl_sweep_column *column, size_t along,
                                     size_t other, const char *label) {
  const struct pl_sweep *const sweep = paging->request->sweep;
  const struct pl_sweep_setting *const setting = &sweep->settings[along];
  const size_t inner = sweep->setting_count == 2 ? sweep->settings[1].count : 1;
  struct pl_arena *const arena = paging->sheet->arena;
  struct pl_spot *const points = pl_alloc_array(arena, setting->count + 1, sizeof *points);
  bool *const broken = pl_alloc_array(arena, setting->count + 1, sizeof *broken);
  const size_t *const order = along_order(paging, setting);
  size_t count = 0;
  bool after_gap = false;
  for (size_t i = 0; i < setting->count; i++) {
    const size_t point = along == 0 ? order[i] * inner + other : other * inner + order[i];
    const double value = printed(paging, column->figure, column->values[point]);
    if (!isfinite(value)) {
      after_gap = paging->has_gaps = true;
      continue;
    }
    broken[count] = after_gap;
    points[count++] = (struct pl_spot){along_x(setting, order[i]), value};
    after_gap = false;
  }
  if (count == 0) return NULL;
  struct pl_plot_line *const line = &plot->lines[plot->count++];
  *line = (struct pl_plot_line){.label = label,
                                .points = points,
                                .count = count,
                                .broken = broken,
                                .dotted = setting->count <= MOST_DOTS};
  return line;
}

/// The line of a place: the rear is broader and has the accent, the right side is thinner.
static struct pl_stroke stroke_of_place(unsigned places) {
  const bool is_rear = (places & (1u << PL_REAR | 0xC)) != 0;
  const bool is_right = places == 1u << PL_FRONT_RIGHT || places == 1u << PL_REAR_RIGHT;
  return (struct pl_stroke){.width = (is_rear ? 0.6 : 0.4) / (is_right ? 2 : 1),
                            .ink = is_rear ? PL_INK_ACCENT : PL_INK_BLACK};
}

/// The setup as it is, on a line.
static void add_now(struct paging *paging, struct pl_plot_line *line, double x,
                    const struct pl_sweep_column *column) {
  const double value = printed(paging, column->figure, column->now);
  const struct pl_figure_row *const row = &pl_figure_rows[column->figure];
  if (line == NULL || isnan(x) || !isfinite(value)) return;
  line->names[line->name_count++] = (struct pl_plot_name){
      .at = {x, value},
      .text = pl_word(paging->sheet, PL_WORD_NOW),
      .digits = paging->request->system == PL_METRIC ? row->digits : row->imperial_digits,
      .upright = true};
}

/// A line for each place.
static void add_places(struct paging *paging, struct pl_plot *plot,
                       const struct small_plot *small) {
  const struct pl_sweep *const sweep = paging->request->sweep;
  for (size_t i = 0; i < small->count; i++) {
    const struct pl_sweep_shown *const shown = small->columns[i];
    const struct pl_sweep_column *const column = shown->column;
    struct pl_plot_line *const line =
        add_line(paging, plot, column, small->along, 0,
                 pl_word_of_places(paging->sheet, shown->places & ~(1u << PL_CAR)));
    if (line == NULL) continue;
    line->stroke = stroke_of_place(shown->places);
    add_now(paging, line, now_along_x(&sweep->settings[small->along]), column);
  }
}

/// A line for each value of the second setting, broader from one to the next; of many values
/// some, among them the setup's own.
static void add_values(struct paging *paging, struct pl_plot *plot,
                       const struct small_plot *small) {
  const struct pl_sweep *const sweep = paging->request->sweep;
  const struct pl_sweep_setting *const second = &sweep->settings[1];
  const struct pl_sweep_column *const column = small->columns[0]->column;
  const size_t every = (second->count + VALUE_LINES - 1) / VALUE_LINES;
  for (size_t i = 0; i < second->count; i++) {
    const bool is_now = i == second->now;
    if (i % every != 0 && !is_now) continue;
    struct pl_plot_line *const line =
        add_line(paging, plot, column, 0, i, value_words(paging, second, i));
    if (line == NULL) continue;
    line->stroke = (struct pl_stroke){.width = 0.2 + 0.1 * (double)(plot->count - 1),
                                      .ink = is_now ? PL_INK_ACCENT : PL_INK_BLACK};
    if (!is_now) continue;
    add_now(paging, line, now_along_x(&sweep->settings[0]), column);
  }
  if (plot->count > paging->lines) paging->lines = plot->count;
}

// ---------------------------------------------------------------- plots

/// The names beneath a plot: those of the values, or numbers.
static const char *const *names_of(struct paging *paging, size_t which) {
  const struct pl_sweep_setting *const setting = &paging->request->sweep->settings[which];
  struct pl_arena *const arena = paging->sheet->arena;
  const char **const names = pl_alloc_array(arena, setting->count, sizeof(const char *));
  for (size_t i = 0; i < setting->count; i++)
    names[i] = paging->numbered[which] ? pl_format(arena, "%zu", i + 1)
                                       : value_words(paging, setting, i);
  return names;
}

static const struct pl_page *draw(struct paging *paging, const struct small_plot *small) {
  struct pl_arena *const arena = paging->sheet->arena;
  const struct pl_sweep_setting *const setting =
      &paging->request->sweep->settings[small->along];
  struct pl_plot *const plot = pl_alloc(arena, sizeof *plot);
  const char *const unit = pl_unit_shown(setting->unit);
  *plot = (struct pl_plot){.y_title = unit_of(paging, small->columns[0]->column->figure),
                           .x_title = pl_format(arena, "%s%s%s", setting_words(paging, setting),
                                                unit[0] == '\0' ? "" : ", ", unit),
                           .low_end = "",
                           .high_end = "",
                           .foot = ""};
  if (!is_scaled(setting)) {
    plot->x_names = names_of(paging, small->along);
    plot->x_name_count = setting->count;
  }
  if (small->by_both)
    add_values(paging, plot, small);
  else
    add_places(paging, plot, small);
  double *const now = pl_alloc(arena, sizeof *now);
  *now = now_along_x(setting);
  if (!isnan(*now)) plot->upright = now;
  if (plot->count == 0) return NULL; // words, or nothing that could be computed
  return pl_plot_draw(paging->sheet, plot, paging->width,
                      paging->height - pl_line_height(PL_BODY));
}

/// What a plot is of: a figure and, where it goes by both settings, its place.
static const char *title_of(struct paging *paging, const struct small_plot *small) {
  const struct pl_sweep_shown *const shown = small->columns[0];
  const struct pl_thing thing = pl_thing_of_figure(shown->column->figure);
  const char *const label = pl_thing_title(paging->sheet->arena, paging->sheet->plan, &thing);
  if (!small->by_both || shown->column->place == PL_CAR) return label;
  return pl_format(paging->sheet->arena, "%s, %s", label,
                   pl_word_of_places(paging->sheet, shown->places));
}

/// Puts the columns into plots: those of a figure that go by the same setting alone into one,
/// each of those that go by both into one of its own.
static struct small_plot *gather(struct paging *paging, size_t *count) {
  const struct pl_sweep_request *const request = paging->request;
  struct pl_arena *const arena = paging->sheet->arena;
  struct small_plot *const plots = pl_alloc_array(arena, request->count + 1, sizeof *plots);
  *count = 0;
  for (size_t i = 0; i < request->count; i++) {
    const struct pl_sweep_shown *const shown = &request->shown[i];
    const bool second =
        request->sweep->setting_count == 2 &&
        pl_sweep_depends(arena, request->sweep, shown->column, 1, request->system);
    const bool first =
        !second || pl_sweep_depends(arena, request->sweep, shown->column, 0, request->system);
    if (!is_drawn(request->sweep, shown->column)) continue;
    const struct small_plot own = {
        .columns = {shown}, .count = 1, .along = first ? 0 : 1, .by_both = first && second};
    struct small_plot *const last = *count == 0 ? NULL : &plots[*count - 1];
    const bool joins = last != NULL && !own.by_both && !last->by_both &&
                       last->along == own.along && last->count < PLOT_COLUMNS &&
                       last->columns[0]->column->figure == shown->column->figure;
    if (joins)
      last->columns[last->count++] = shown;
    else
      plots[(*count)++] = own;
  }
  return plots;
}

/// How many plots stand beside each other, and how high they are, so that few fill a page and
/// many can still be read.
static void choose_sizes(struct paging *paging, size_t count, double room) {
  const double width = paging->sheet->width;
  if (width > 220)
    paging->columns = count == 1 ? 1 : count <= 4 ? 2 : count <= 9 ? 3 : 4;
  else
    paging->columns = count <= 3 ? 1 : count <= 8 ? 2 : 3;
  const size_t rows = (count + paging->columns - 1) / paging->columns;
  paging->width = (width - GUTTER * (double)(paging->columns - 1)) / (double)paging->columns;
  paging->height = fmin(MOST_PLOT, room / (double)rows - GAP);
  if (paging->height >= LEAST_PLOT) return;
  // Several pages, each of them full.
  const double on_page = fmax(1, floor(room / (LEAST_PLOT + GAP)));
  paging->height = room / on_page - GAP;
}

/// Names that are too wide beneath a plot are numbers.
static void choose_names(struct paging *paging) {
  const struct pl_sweep *const sweep = paging->request->sweep;
  for (size_t i = 0; i < sweep->setting_count; i++) {
    const struct pl_sweep_setting *const setting = &sweep->settings[i];
    const double room = NAMES_SHARE * paging->width / (double)setting->count - 1;
    paging->numbered[i] = false;
    for (size_t j = 0; !is_scaled(setting) && j < setting->count; j++)
      paging->numbered[i] |=
          pl_text_width(value_words(paging, setting, j), PL_SMALL, false) > room;
  }
}

// ---------------------------------------------------------------- texts around the plots

/// "Oil, front: from 250 cSt to 500 cSt, 11 values, now clear 400", or the names by numbers.
static const char *fact_of(struct paging *paging, size_t which) {
  struct pl_sheet *const sheet = paging->sheet;
  const struct pl_sweep_setting *const setting = &paging->request->sweep->settings[which];
  struct pl_buffer out = {.arena = sheet->arena};
  pl_buffer_format(&out, "%s: ", setting_words(paging, setting));
  if (setting->is_number && setting->count > 1) {
    size_t first = 0;
    size_t last = 0;
    pl_sweep_ends(setting, &first, &last);
    pl_buffer_text(&out, pl_word_with(sheet, PL_WORD_LIMIT_BETWEEN,
                                      value_words(paging, setting, first),
                                      value_words(paging, setting, last)));
    pl_buffer_format(&out, ", %s",
                     pl_word_with(sheet, PL_WORD_SWEEP_COUNT,
                                  pl_format(sheet->arena, "%zu", setting->count), NULL));
  } else {
    for (size_t i = 0; i < setting->count; i++) {
      if (i > 0) pl_buffer_text(&out, ", ");
      if (paging->numbered[which]) pl_buffer_format(&out, "%zu = ", i + 1);
      pl_buffer_text(&out, value_words(paging, setting, i));
    }
  }
  const char *const now = setting->now_shown[0] == '\0' ? pl_word(sheet, PL_WORD_NOT_ALIKE)
                                                        : text_of(paging, setting->now_shown);
  pl_buffer_format(&out, "; %s", pl_word_with(sheet, PL_WORD_NOW_IS, now, NULL));
  return pl_buffer_string(&out);
}

/// The file and the first digits of its digest.
static const char *file_words(struct paging *paging) {
  const struct pl_source *const source =
      pl_program_source(pl_setup_program(pl_figures_setup(paging->request->sweep->today)));
  const char *const slash = strrchr(source->path, '/');
  return text_of(paging, pl_format(paging->sheet->arena, "%s %.12s",
                                   slash == NULL ? source->path : slash + 1,
                                   pl_source_digest(paging->sheet->arena, source)));
}

static void draw_facts(struct paging *paging) {
  struct pl_sheet *const sheet = paging->sheet;
  struct pl_column column = {.width = sheet->width};
  for (size_t i = 0; i < paging->request->sweep->setting_count; i++)
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_BODY},
                        fact_of(paging, i));
  pl_flow_columns(sheet, &column, 1, NULL, false);
  pl_flow_gap(sheet, 2);
}

/// What is to be known of the plots, beneath the last of them.
static const char *remarks_of(struct paging *paging) {
  struct pl_sheet *const sheet = paging->sheet;
  const struct pl_sweep *const sweep = paging->request->sweep;
  struct pl_buffer out = {.arena = sheet->arena};
  const size_t count = sweep->settings[sweep->setting_count - 1].count;
  if (paging->lines > 0 && paging->lines < count) {
    pl_buffer_format(&out, "%s  ",
                     pl_word_with(sheet, PL_WORD_SWEEP_SOME_LINES,
                                  pl_format(sheet->arena, "%zu", paging->lines),
                                  pl_format(sheet->arena, "%zu", count)));
  }
  if (paging->has_gaps) pl_buffer_format(&out, "%s  ", pl_word(sheet, PL_WORD_SWEEP_GAP));
  pl_buffer_format(&out, "%s  ·  %s", pl_word(sheet, PL_WORD_ESTIMATES), file_words(paging));
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- the whole

/// Rows of plots, each a cell, so that no plot is cut by the end of a page.
static void draw_plots(struct paging *paging, const struct small_plot *plots, size_t count) {
  struct pl_sheet *const sheet = paging->sheet;
  struct pl_column column = {.width = sheet->width};
  struct pl_cell *cell = NULL;
  size_t placed = 0;
  for (size_t i = 0; i < count; i++) {
    const struct pl_page *const picture = draw(paging, &plots[i]);
    if (picture == NULL) continue;
    const size_t at = placed++ % paging->columns;
    if (at == 0) cell = pl_column_cell(sheet, &column, 0);
    const double x = (double)at * (paging->width + GUTTER);
    const struct pl_paragraph title =
        pl_paragraph_of(sheet, title_of(paging, &plots[i]),
                        (struct pl_type){.size = PL_BODY, .bold = true}, paging->width);
    for (size_t j = 0; j < title.count; j++)
      pl_cell_text(sheet, cell, x, (double)j * pl_line_height(PL_BODY), title.type,
                   title.lines[j]);
    pl_cell_picture(sheet, cell, x, title.height, picture);
    if (placed % paging->columns == 0) cell->height += GAP;
  }
  if (placed % paging->columns != 0) cell->height += GAP;
  pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_SMALL, .ink = PL_INK_GREY},
                      remarks_of(paging));
  pl_flow_columns(sheet, &column, 1, NULL, false);
}

struct pl_paper *pl_sweep_paper_new(struct pl_arena *arena,
                                    const struct pl_sweep_request *request) {
  const struct pl_sheet_request plain = {.paper = request->paper,
                                         .direction = request->direction,
                                         .system = request->system,
                                         .version = request->version};
  struct paging paging = {.sheet = pl_plain_sheet(arena, request->look, &plain),
                          .request = request};
  struct pl_sheet *const sheet = paging.sheet;
  size_t count = 0;
  const struct small_plot *const plots = gather(&paging, &count);
  pl_plain_sheet_start(
      sheet, text_of(&paging, pl_setup_name(pl_figures_setup(request->sweep->today))));
  // Names are numbers or not by the width of a plot; what that makes of the facts above them
  // takes a line or two of the height.
  choose_sizes(&paging, count, sheet->bottom - sheet->y);
  choose_names(&paging);
  draw_facts(&paging);
  choose_sizes(&paging, count, sheet->bottom - sheet->y - 2 * pl_line_height(PL_SMALL));
  draw_plots(&paging, plots, count);
  return pl_plain_sheet_end(sheet);
}
