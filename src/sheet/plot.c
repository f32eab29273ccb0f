// SPDX-License-Identifier: GPL-3.0-or-later
// A plot of a setup: the curve at each corner, equal ones as one line, the base's where they
// differ.
#include "plot.h"

#include <math.h>
#include <string.h>

/// A curve's points count as equal when they differ by less than this share of the largest.
static const double equal_share = 1e-6;

#define CORNERS (PL_REAR_RIGHT + 1)

/// What the curves of a plot are gathered from.
struct gathering {
  struct pl_sheet *sheet;
  const struct pl_curve_row *row;
  const struct pl_curve *now[CORNERS];    ///< null: not to be shown
  const struct pl_curve *before[CORNERS]; ///< of the base; null: none, or no other
  struct pl_plot *plot;
};

// ---------------------------------------------------------------- units

/// The unit that is printed in place of a metric one.
static const char *unit_of(const struct pl_sheet *sheet, const char *metric) {
  static const char *const pairs[][2] = {
      {"mm", "in"}, {"N", "lbf"}, {"mm/s", "in/s"}, {"degC", "degF"}};
  if (sheet->request->system == PL_METRIC) return metric;
  for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
    if (strcmp(pairs[i][0], metric) == 0) return pairs[i][1];
  }
  return metric; // degrees of an angle, plain numbers
}

/// A point as it is printed.
static struct pl_spot printed(const struct gathering *gathering, double x, double y) {
  const struct pl_unit across =
      pl_unit_named(unit_of(gathering->sheet, gathering->row->x_unit));
  const struct pl_unit up = pl_unit_named(unit_of(gathering->sheet, gathering->row->y_unit));
  return (struct pl_spot){pl_from_si(x, &across), pl_from_si(y, &up)};
}

static const char *axis_title(const struct pl_sheet *sheet, const char *label,
                              const char *unit) {
  const char *const shown = pl_unit_shown(unit_of(sheet, unit));
  const char *const word = pl_word_for(sheet, label);
  return shown[0] == '\0' ? word : pl_format(sheet->arena, "%s, %s", word, shown);
}

// ---------------------------------------------------------------- equal curves

static double largest(const struct pl_curve *curve, bool of_x) {
  double most = 0;
  for (size_t i = 0; i < curve->count; i++)
    most = fmax(most, fabs(of_x ? curve->points[i].x : curve->points[i].y));
  return most;
}

static bool have_equal_points(const struct pl_curve *a, const struct pl_curve *b) {
  if (a->count != b->count) return false;
  const double x_slack = equal_share * largest(a, true);
  const double y_slack = equal_share * largest(a, false);
  for (size_t i = 0; i < a->count; i++) {
    if (fabs(a->points[i].x - b->points[i].x) > x_slack ||
        fabs(a->points[i].y - b->points[i].y) > y_slack)
      return false;
  }
  return true;
}

static bool have_equal_marks(const struct pl_curve *a, const struct pl_curve *b) {
  if (a->mark_count != b->mark_count) return false;
  const double x_slack = equal_share * largest(a, true);
  for (size_t i = 0; i < a->mark_count; i++) {
    if (strcmp(a->marks[i].name, b->marks[i].name) != 0 ||
        fabs(a->marks[i].x - b->marks[i].x) > x_slack)
      return false;
  }
  return true;
}

/// The corners whose curve is that of `first`, among those that are not in `spent`.
static unsigned alike(const struct pl_curve *const curves[CORNERS], size_t first,
                      unsigned spent) {
  unsigned places = 0;
  for (size_t i = first; i < CORNERS; i++) {
    if (curves[i] != NULL && (spent & (1u << i)) == 0 &&
        have_equal_points(curves[first], curves[i]) &&
        have_equal_marks(curves[first], curves[i]))
      places |= 1u << i;
  }
  return places;
}

// ---------------------------------------------------------------- lines

/// The line of a group of corners, by the first of them: the rear is broader and has the
/// accent, the right side is thinner.
static struct pl_stroke stroke_of(size_t corner) {
  static const struct pl_stroke strokes[CORNERS] = {{.width = 0.4, .ink = PL_INK_BLACK},
                                                    {.width = 0.2, .ink = PL_INK_BLACK},
                                                    {.width = 0.6, .ink = PL_INK_ACCENT},
                                                    {.width = 0.3, .ink = PL_INK_ACCENT}};
  return strokes[corner];
}

static struct pl_plot_line *add_line(struct gathering *gathering, const struct pl_curve *curve,
                                     const char *label, struct pl_stroke stroke) {
  struct pl_plot *const plot = gathering->plot;
  struct pl_spot *const points =
      pl_alloc_array(gathering->sheet->arena, curve->count, sizeof *points);
  for (size_t i = 0; i < curve->count; i++)
    points[i] = printed(gathering, curve->points[i].x, curve->points[i].y);
  struct pl_plot_line *const line = &plot->lines[plot->count++];
  *line = (struct pl_plot_line){
      .label = label, .points = points, .count = curve->count, .stroke = stroke};
  return line;
}

static void add_names(struct gathering *gathering, const struct pl_curve *curve,
                      struct pl_plot_line *line) {
  // What matters is where along the axis these happen.
  static const char *const along[] = {"cavitation", "coils touch"};
  for (size_t i = 0; i < curve->mark_count; i++) {
    const struct pl_curve_mark *const mark = &curve->marks[i];
    line->names[line->name_count++] = (struct pl_plot_name){
        .at = printed(gathering, mark->x, mark->y),
        .text = pl_word_for(gathering->sheet, mark->name),
        .tells_x = strcmp(mark->name, along[0]) == 0 || strcmp(mark->name, along[1]) == 0,
        .upright = strcmp(mark->name, "today") == 0};
  }
}

/// The base's lines, where they are others.
static void add_before(struct gathering *gathering) {
  struct pl_sheet *const sheet = gathering->sheet;
  unsigned spent = 0;
  for (size_t i = 0; i < CORNERS; i++) {
    if (gathering->before[i] == NULL || (spent & (1u << i)) != 0) continue;
    const unsigned places = alike(gathering->before, i, spent);
    spent |= places;
    add_line(gathering, gathering->before[i],
             pl_word_with(sheet, PL_WORD_OF_BASE, pl_word_of_places(sheet, places), NULL),
             (struct pl_stroke){.width = 0.2, .ink = PL_INK_GREY, .dash = PL_DASHED});
  }
}

/// Where more lines than two have names of the same kind, each says of which corner it is.
static void name_corners(struct gathering *gathering, size_t first,
                         const unsigned places[CORNERS]) {
  static const enum pl_word brief[CORNERS] = {
      PL_WORD_BRIEF_FRONT_LEFT, PL_WORD_BRIEF_FRONT_RIGHT, PL_WORD_BRIEF_REAR_LEFT,
      PL_WORD_BRIEF_REAR_RIGHT};
  struct pl_sheet *const sheet = gathering->sheet;
  if (gathering->plot->count - first <= 2) return;
  for (size_t i = 0; first + i < gathering->plot->count; i++) {
    struct pl_plot_line *const line = &gathering->plot->lines[first + i];
    size_t corner = 0;
    while (corner < CORNERS && places[i] != 1u << corner) corner++;
    const char *const words =
        corner < CORNERS ? pl_word(sheet, brief[corner]) : pl_word_of_places(sheet, places[i]);
    for (size_t j = 0; j < line->name_count; j++)
      line->names[j].text = pl_format(sheet->arena, "%s %s", words, line->names[j].text);
  }
}

static void add_now(struct gathering *gathering) {
  unsigned spent = 0;
  unsigned of_line[CORNERS] = {0};
  const size_t first = gathering->plot->count;
  for (size_t i = 0; i < CORNERS; i++) {
    const struct pl_curve *const curve = gathering->now[i];
    if (curve == NULL || curve->count == 0 || (spent & (1u << i)) != 0) continue;
    const unsigned places = alike(gathering->now, i, spent);
    spent |= places;
    of_line[gathering->plot->count - first] = places;
    struct pl_plot_line *const line =
        add_line(gathering, curve, pl_word_of_places(gathering->sheet, places), stroke_of(i));
    add_names(gathering, curve, line);
  }
  name_corners(gathering, first, of_line);
}

// ---------------------------------------------------------------- what is missing

/// A setting that is needed, as the template calls it within a sentence.
static const char *needed(const struct pl_sheet *sheet, const char *key) {
  struct pl_thing thing;
  if (!pl_thing_of_key(key, &thing)) return key;
  return pl_thing_spoken(sheet->arena, sheet->plan, &thing);
}

/// The needs of all corners in `places`, each once: "a, b and c"; "" where there are none.
static const char *needs_of(const struct gathering *gathering, unsigned places) {
  const struct pl_sheet *const sheet = gathering->sheet;
  struct pl_map *const told = pl_map_new(sheet->arena);
  const char **words = NULL;
  size_t count = 0;
  size_t capacity = 0;
  for (size_t i = 0; i < CORNERS; i++) {
    const struct pl_curve *const curve = gathering->now[i];
    for (size_t j = 0; (places & (1u << i)) != 0 && j < curve->need_count; j++) {
      const char *const word = needed(sheet, curve->needs[j]);
      if (pl_map_set(told, word, told) != NULL) continue;
      words = pl_grow(sheet->arena, (void *)words, count, &capacity, sizeof(const char *));
      words[count++] = word;
    }
  }
  // Names as "arm, inner" have commas of their own.
  bool commas = false;
  for (size_t i = 0; i < count; i++) commas |= strchr(words[i], ',') != NULL;
  struct pl_buffer out = {.arena = sheet->arena};
  for (size_t i = 0; i < count; i++) {
    if (i > 0 && commas)
      pl_buffer_text(&out, "; ");
    else if (i > 0 && i + 1 == count)
      pl_buffer_format(&out, " %s ", pl_word(sheet, PL_WORD_AND));
    else if (i > 0)
      pl_buffer_text(&out, ", ");
    pl_buffer_text(&out, words[i]);
  }
  return pl_buffer_string(&out);
}

/// Why the curve of a corner cannot be drawn, if nothing is missing: a sentence.
static const char *reason_of(const struct pl_sheet *sheet, const struct pl_curve *curve) {
  if (curve->note_count == 0) return pl_word(sheet, PL_WORD_NO_CURVE);
  return pl_format(sheet->arena, "%s.", pl_word_of_note(sheet, curve->notes[0]));
}

static bool is_lacking(const struct pl_curve *curve) {
  return curve != NULL && curve->count == 0;
}

/// Why there is no plot at all, a sentence.
static const char *lacks_of(const struct gathering *gathering) {
  unsigned places = 0;
  size_t first = CORNERS;
  for (size_t i = 0; i < CORNERS; i++) {
    if (!is_lacking(gathering->now[i])) continue;
    places |= 1u << i;
    if (first == CORNERS) first = i;
  }
  const char *const needs = needs_of(gathering, places);
  if (needs[0] != '\0') return pl_word_with(gathering->sheet, PL_WORD_NEEDS, needs, NULL);
  return reason_of(gathering->sheet, gathering->now[first]);
}

/// Why the curve of one corner is missing among those that are drawn.
static const char *reason_at(const struct gathering *gathering, size_t corner) {
  const char *const needs = needs_of(gathering, 1u << corner);
  if (needs[0] == '\0') return reason_of(gathering->sheet, gathering->now[corner]);
  return pl_word_with(gathering->sheet, PL_WORD_NEEDS, needs, NULL);
}

/// A number with its unit in the sheet's system.
static const char *quantity(const struct pl_sheet *sheet, double value, const char *metric,
                            const char *imperial) {
  const char *const unit = sheet->request->system == PL_METRIC ? metric : imperial;
  const struct pl_unit scale = pl_unit_named(unit);
  char space[40];
  pl_number_shortest(space, sizeof space, pl_from_si(value, &scale), 3);
  return pl_format(sheet->arena, "%s %s", space, unit);
}

/// What the curves are over time of, a sentence; "" where they are of no simulation.
static const char *simulated_of(const struct gathering *gathering) {
  const struct pl_sheet *const sheet = gathering->sheet;
  const struct pl_simulation *simulation = NULL;
  for (size_t i = 0; i < CORNERS; i++)
    if (gathering->now[i] != NULL) simulation = gathering->now[i]->simulation;
  if (simulation == NULL) return "";
  const char *const height = quantity(sheet, simulation->height, "mm", "in");
  if (!simulation->over_bumps) return pl_word_with(sheet, PL_WORD_DROPPED_FROM, height, NULL);
  const bool many = simulation->count > 1;
  const char *const bumps =
      pl_word_with(sheet, many ? PL_WORD_OVER_BUMPS : PL_WORD_OVER_A_BUMP, height,
                   quantity(sheet, simulation->length, "mm", "in"));
  const char *const speed = pl_word_with(
      sheet, PL_WORD_AT_SPEED, quantity(sheet, simulation->speed, "m/s", "ft/s"), NULL);
  if (!many) return pl_format(sheet->arena, "%s, %s.", bumps, speed);
  const char *const count = pl_format(sheet->arena, "%zu", simulation->count);
  return pl_format(sheet->arena, "%s, %s, %s.", bumps,
                   pl_word_with(sheet, PL_WORD_SO_MANY, count,
                                quantity(sheet, simulation->spacing, "mm", "in")),
                   speed);
}

/// Up to when the curves are, a sentence with a blank before it; "" where they leave nothing
/// out.
static const char *shown_of(const struct gathering *gathering) {
  const struct pl_sheet *const sheet = gathering->sheet;
  double shown = 0;
  for (size_t i = 0; i < CORNERS; i++)
    if (gathering->now[i] != NULL) shown = fmax(shown, gathering->now[i]->shown);
  if (shown == 0) return "";
  return pl_format(sheet->arena, " %s",
                   pl_word_with(sheet, PL_WORD_SHOWN, quantity(sheet, shown, "s", "s"), NULL));
}

/// What was simulated, and the corners that are missing, those with the same reason together.
static const char *foot_of(const struct gathering *gathering) {
  struct pl_sheet *const sheet = gathering->sheet;
  struct pl_buffer out = {.arena = sheet->arena};
  pl_buffer_format(&out, "%s%s", simulated_of(gathering), shown_of(gathering));
  unsigned spent = 0;
  for (size_t i = 0; i < CORNERS; i++) {
    if (!is_lacking(gathering->now[i]) || (spent & (1u << i)) != 0) continue;
    const char *const reason = reason_at(gathering, i);
    unsigned places = 0;
    for (size_t j = i; j < CORNERS; j++) {
      if (is_lacking(gathering->now[j]) && strcmp(reason_at(gathering, j), reason) == 0)
        places |= 1u << j;
    }
    spent |= places;
    pl_buffer_format(
        &out, "%s%s", out.length == 0 ? "" : " ",
        pl_word_with(sheet, PL_WORD_NOT_DRAWN, pl_word_of_places(sheet, places), reason));
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- the whole

/// Makes the curves; a base's that is this setup's is left out.
static void make_curves(struct gathering *gathering, const struct pl_template_part *part) {
  const struct pl_sheet_request *const request = gathering->sheet->request;
  for (size_t i = 0; i < CORNERS; i++) {
    if ((part->places & (1u << i)) == 0) continue;
    gathering->now[i] = pl_curve_make(request->figures, part->curve, (enum pl_place)i);
    if (gathering->now[i]->count == 0 || request->base == NULL) continue;
    const struct pl_curve *const before =
        pl_curve_make(request->base, part->curve, (enum pl_place)i);
    if (before->count > 0 && !have_equal_points(gathering->now[i], before))
      gathering->before[i] = before;
  }
}

const struct pl_plot *pl_plot_of(struct pl_sheet *sheet, const struct pl_template_part *part,
                                 const char **lacks) {
  struct pl_plot *const plot = pl_alloc(sheet->arena, sizeof *plot);
  struct gathering gathering = {
      .sheet = sheet, .row = &pl_curve_rows[part->curve], .plot = plot};
  make_curves(&gathering, part);
  add_before(&gathering);
  add_now(&gathering);
  if (plot->count == 0) {
    *lacks = lacks_of(&gathering);
    return NULL;
  }
  plot->x_title = axis_title(sheet, gathering.row->x_label, gathering.row->x_unit);
  plot->y_title = axis_title(sheet, gathering.row->y_label, gathering.row->y_unit);
  const bool is_damper = part->curve == PL_CURVE_DAMPER_FORCE;
  plot->low_end = is_damper ? pl_word(sheet, PL_WORD_REBOUND) : "";
  plot->high_end = is_damper ? pl_word(sheet, PL_WORD_COMPRESSION) : "";
  plot->foot = foot_of(&gathering);
  return plot;
}

/// A plot that was drawn. A page is drafted several times, with closer and closer lists, and
/// its plots stay as they are.
struct pl_kept_plot {
  const struct pl_template_part *part;
  double width;
  double height;
  const struct pl_page *picture; ///< null: it lacks something
  const char *lacks;
  struct pl_kept_plot *next;
};

static const struct pl_kept_plot *keep_plot(struct pl_sheet *sheet,
                                            const struct pl_template_part *part, double width,
                                            double height) {
  struct pl_kept_plot *const kept = pl_alloc(sheet->arena, sizeof *kept);
  *kept = (struct pl_kept_plot){
      .part = part, .width = width, .height = height, .lacks = "", .next = sheet->kept};
  sheet->kept = kept;
  const struct pl_plot *const plot = pl_plot_of(sheet, part, &kept->lacks);
  if (plot != NULL) kept->picture = pl_plot_draw(sheet, plot, width, height);
  return kept;
}

const struct pl_page *pl_plot_picture(struct pl_sheet *sheet,
                                      const struct pl_template_part *plot, double width,
                                      double height, const char **lacks) {
  sheet->where = (struct pl_span){.source = NULL};
  sheet->what = "a plot";
  const struct pl_kept_plot *kept = sheet->kept;
  while (kept != NULL && (kept->part != plot || kept->width != width || kept->height != height))
    kept = kept->next;
  if (kept == NULL) kept = keep_plot(sheet, plot, width, height);
  *lacks = kept->lacks;
  return kept->picture;
}
