// SPDX-License-Identifier: GPL-3.0-or-later
// The keys of a page template and of its blocks, and what may stand behind each.
#include "template.h"

#include <string.h>

void pl_template_misfit(struct reading *reading, const struct pl_node *property,
                        const char *wanted) {
  pl_report(reading->problems, PL_TEMPLATE_VALUE, property->children->span,
            PL_WORDS(property->name, wanted,
                     pl_span_shown(reading->arena, property->children->span)));
}

// ---------------------------------------------------------------- numbers

/// A number of that dimension within a span, or `otherwise` after a report.
static double number_in(struct reading *reading, const struct pl_node *property,
                        struct pl_dimension dimension, double least, double greatest,
                        double otherwise, const char *wanted) {
  const struct pl_value value = pl_evaluate(reading->program, property->children, NULL);
  if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, dimension) &&
      value.number >= least && value.number <= greatest)
    return value.number;
  pl_template_misfit(reading, property, wanted);
  return otherwise;
}

/// A whole number within a span.
static void read_count(struct reading *reading, const struct pl_node *property, size_t least,
                       size_t greatest, size_t *count) {
  const struct pl_value value = pl_evaluate(reading->program, property->children, NULL);
  if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, PL_DIMENSIONLESS) &&
      value.number >= (double)least && value.number <= (double)greatest &&
      value.number == (double)(size_t)value.number) {
    *count = (size_t)value.number;
    return;
  }
  pl_template_misfit(
      reading, property,
      pl_format(reading->arena, "a whole number from %zu to %zu", least, greatest));
}

static void read_columns(struct reading *reading, const struct pl_node *property,
                         struct pl_template_part *part) {
  read_count(reading, property, 1, PL_MOST_SECTION_COLUMNS, &part->columns);
}

static void read_column(struct reading *reading, const struct pl_node *property,
                        struct pl_template_part *part) {
  read_count(reading, property, 1, 3, &part->column);
}

static void read_lines(struct reading *reading, const struct pl_node *property,
                       struct pl_template_part *part) {
  read_count(reading, property, 0, 60, &part->lines);
}

/// High enough for an axis with its numbers; low enough for the shorter side of any paper.
static void read_height(struct reading *reading, const struct pl_node *property,
                        struct pl_template_part *part) {
  part->height = 1e3 * number_in(reading, property, PL_LENGTH, 0.03, 0.15, part->height * 1e-3,
                                 "a length from 30 mm to 150 mm");
}

static void read_scale(struct reading *reading, const struct pl_node *property,
                       struct pl_template_part *part) {
  part->scale = number_in(reading, property, PL_DIMENSIONLESS, 1, 5, part->scale,
                          "a number from 1 to 5, times true size");
}

/// A margin, in mm: what a printer can keep to, and what leaves room for a sheet.
static double margin_in(struct reading *reading, const struct pl_node *property,
                        double otherwise) {
  return 1e3 * number_in(reading, property, PL_LENGTH, 0.004, 0.03, otherwise * 1e-3,
                         "a length from 4 mm to 30 mm");
}

static void read_margin(struct reading *reading, const struct pl_node *property,
                        struct pl_template_part *part) {
  (void)part;
  double *const margins = reading->template->margins;
  margins[0] = margin_in(reading, property, margins[0]);
  for (size_t i = 1; i < 4; i++) margins[i] = margins[0];
}

static void read_one_margin(struct reading *reading, const struct pl_node *property,
                            struct pl_template_part *part) {
  static const char *const sides[] = {"margin-left", "margin-right", "margin-top",
                                      "margin-bottom"};
  (void)part;
  for (size_t i = 0; i < 4; i++) {
    double *const margin = &reading->template->margins[i];
    if (strcmp(property->name, sides[i]) == 0) *margin = margin_in(reading, property, *margin);
  }
}

// ---------------------------------------------------------------- words

/// Which of the words stands behind the key; `count` after a report.
static size_t word_in(struct reading *reading, const struct pl_node *property,
                      const char *const *words, size_t count, const char *wanted) {
  const char *const word = property->children->name;
  for (size_t i = 0; i < count; i++) {
    if (property->children->kind == PL_NODE_NAME && strcmp(word, words[i]) == 0) return i;
  }
  pl_template_misfit(reading, property, wanted);
  return count;
}

static void read_paper(struct reading *reading, const struct pl_node *property,
                       struct pl_template_part *part) {
  static const char *const words[] = {"a4", "letter"};
  static const enum pl_paper_size sizes[] = {PL_A4, PL_LETTER};
  (void)part;
  const size_t which = word_in(reading, property, words, 2, "`a4` or `letter`");
  if (which < 2) reading->template->paper = sizes[which];
}

static void read_direction(struct reading *reading, const struct pl_node *property,
                           struct pl_template_part *part) {
  static const char *const words[] = {"portrait", "landscape"};
  (void)part;
  const size_t which = word_in(reading, property, words, 2, "`portrait` or `landscape`");
  if (which < 2) reading->template->landscape = which == 1;
}

static void read_fields(struct reading *reading, const struct pl_node *property,
                        struct pl_template_part *part) {
  static const char *const words[] = {"filled", "blank"};
  (void)part;
  const size_t which = word_in(reading, property, words, 2, "`filled` or `blank`");
  if (which < 2) reading->template->blank = which == 1;
}

static void read_tolerances(struct reading *reading, const struct pl_node *property,
                            struct pl_template_part *part) {
  static const char *const words[] = {"hidden", "shown"};
  (void)part;
  const size_t which = word_in(reading, property, words, 2, "`hidden` or `shown`");
  if (which < 2) reading->template->tolerances = which == 1;
}

static void read_drawing(struct reading *reading, const struct pl_node *property,
                         struct pl_template_part *part) {
  static const char *const words[] = {"piston", "shock"};
  const size_t which = word_in(reading, property, words, 2, "`piston` or `shock`");
  if (which < 2) part->drawing = which == 0 ? PL_DRAWING_PISTON : PL_DRAWING_SHOCK;
}

static void read_curve(struct reading *reading, const struct pl_node *property,
                       struct pl_template_part *part) {
  const char *words[PL_CURVE_COUNT];
  struct pl_buffer wanted = {.arena = reading->arena};
  for (int i = 0; i < PL_CURVE_COUNT; i++) {
    words[i] = pl_curve_rows[i].key;
    pl_buffer_format(&wanted, "%s`%s`",
                     i == 0                    ? ""
                     : i + 1 == PL_CURVE_COUNT ? " or "
                                               : ", ",
                     words[i]);
  }
  const size_t which =
      word_in(reading, property, words, PL_CURVE_COUNT, pl_buffer_string(&wanted));
  if (which < PL_CURVE_COUNT) part->curve = (enum pl_curve_kind)which;
}

/// The corners that a word means, as bits; 0 if it is none.
static unsigned corners_of(const struct pl_node *word) {
  static const struct {
    const char *name;
    unsigned corners;
  } known[] = {{"all", 0xF}, {"front", 0x3}, {"rear", 0xC}, {"left", 0x5}, {"right", 0xA}};
  if (word->kind != PL_NODE_NAME) return 0;
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    if (strcmp(known[i].name, word->name) == 0) return known[i].corners;
  }
  const enum pl_place place = pl_place_of(word->name);
  return place <= PL_REAR_RIGHT ? 1u << place : 0;
}

static void read_places(struct reading *reading, const struct pl_node *property,
                        struct pl_template_part *part) {
  static const char wanted[] = "`all`, an axle, a side or a corner, or several in [ ]";
  const struct pl_node *const value = property->children;
  const bool is_list = value->kind == PL_NODE_LIST;
  unsigned places = 0;
  for (const struct pl_node *one = is_list ? value->children : value; one != NULL;
       one = is_list ? one->next : NULL) {
    const unsigned corners = corners_of(one);
    if (corners == 0) {
      pl_template_misfit(reading, property, wanted);
      return;
    }
    places |= corners;
  }
  if (places != 0)
    part->places = places;
  else
    pl_template_misfit(reading, property, wanted);
}

// ---------------------------------------------------------------- texts

static bool is_short_text(const struct pl_node *node) {
  return node->kind == PL_NODE_TEXT && strlen(node->name) <= PL_MOST_TITLE_BYTES;
}

/// A list of up to `most` texts into the part's headings.
static void read_texts(struct reading *reading, const struct pl_node *property,
                       struct pl_template_part *part, size_t most) {
  const struct pl_node *const list = property->children;
  bool fits = list->kind == PL_NODE_LIST;
  size_t count = 0;
  for (const struct pl_node *one = list->children; one != NULL && fits; one = one->next)
    fits = is_short_text(one) && ++count <= most;
  if (!fits) {
    pl_template_misfit(reading, property,
                       pl_format(reading->arena, "a list of up to %zu short texts", most));
    return;
  }
  part->headings = pl_alloc_array(reading->arena, count, sizeof(const char *));
  part->heading_count = 0;
  for (const struct pl_node *one = list->children; one != NULL; one = one->next)
    part->headings[part->heading_count++] = one->name;
}

static void read_headings(struct reading *reading, const struct pl_node *property,
                          struct pl_template_part *part) {
  read_texts(reading, property, part, PL_MOST_RUN_COLUMNS);
}

static void read_items(struct reading *reading, const struct pl_node *property,
                       struct pl_template_part *part) {
  read_texts(reading, property, part, 30);
}

static const char *text_in(struct reading *reading, const struct pl_node *property,
                           const char *otherwise) {
  if (is_short_text(property->children)) return property->children->name;
  pl_template_misfit(reading, property, "a short text in quotes");
  return otherwise;
}

static void read_club(struct reading *reading, const struct pl_node *property,
                      struct pl_template_part *part) {
  (void)part;
  reading->template->club = text_in(reading, property, reading->template->club);
}

static void read_footer(struct reading *reading, const struct pl_node *property,
                        struct pl_template_part *part) {
  (void)part;
  reading->template->footer = text_in(reading, property, reading->template->footer);
}

static void read_logo(struct reading *reading, const struct pl_node *property,
                      struct pl_template_part *part) {
  (void)part;
  if (property->children->kind == PL_NODE_TEXT)
    reading->template->logo =
        pl_logo_read(reading->arena, reading->program, property->children, reading->problems);
  else
    pl_template_misfit(reading, property, "the path of a PNG file in quotes");
}

// ---------------------------------------------------------------- settings and figures

static void read_things(struct reading *reading, const struct pl_node *property,
                        struct pl_things *things) {
  if (property->children->kind == PL_NODE_LIST) {
    *things = pl_things_read(reading->arena, property->children, reading->problems);
  } else {
    pl_template_misfit(reading, property, "a list of settings and figures in [ ]");
  }
}

static void read_heading(struct reading *reading, const struct pl_node *property,
                         struct pl_template_part *part) {
  (void)part;
  read_things(reading, property, &reading->template->heading);
}

static void read_large(struct reading *reading, const struct pl_node *property,
                       struct pl_template_part *part) {
  (void)part;
  read_things(reading, property, &reading->template->large);
}

static void read_show(struct reading *reading, const struct pl_node *property,
                      struct pl_template_part *part) {
  read_things(reading, property, &part->show);
}

static void read_corners(struct reading *reading, const struct pl_node *property,
                         struct pl_template_part *part) {
  read_things(reading, property, &part->corners);
}

static void read_measure(struct reading *reading, const struct pl_node *property,
                         struct pl_template_part *part) {
  read_things(reading, property, &part->measure);
}

static void read_middle(struct reading *reading, const struct pl_node *property,
                        struct pl_template_part *part) {
  read_things(reading, property, &part->middle);
}

static void read_without(struct reading *reading, const struct pl_node *property,
                         struct pl_template_part *part) {
  (void)part;
  pl_template_drop(reading, property);
}

static void read_language(struct reading *reading, const struct pl_node *property,
                          struct pl_template_part *part) {
  (void)part;
  pl_template_language(reading, property);
}

// ---------------------------------------------------------------- the table of keys

/// Each key, the block that has it (PART_COUNT: the template itself), and what reads it.
static const struct part_key {
  enum pl_part_of_page kind;
  const char *key;
  void (*read)(struct reading *reading, const struct pl_node *property,
               struct pl_template_part *part);
} part_keys[] = {
    {PL_PAGE_PART_COUNT, "paper", read_paper},
    {PL_PAGE_PART_COUNT, "direction", read_direction},
    {PL_PAGE_PART_COUNT, "margin", read_margin},
    {PL_PAGE_PART_COUNT, "margin-left", read_one_margin},
    {PL_PAGE_PART_COUNT, "margin-right", read_one_margin},
    {PL_PAGE_PART_COUNT, "margin-top", read_one_margin},
    {PL_PAGE_PART_COUNT, "margin-bottom", read_one_margin},
    {PL_PAGE_PART_COUNT, "club", read_club},
    {PL_PAGE_PART_COUNT, "logo", read_logo},
    {PL_PAGE_PART_COUNT, "heading", read_heading},
    {PL_PAGE_PART_COUNT, "large", read_large},
    {PL_PAGE_PART_COUNT, "fields", read_fields},
    {PL_PAGE_PART_COUNT, "tolerances", read_tolerances},
    {PL_PAGE_PART_COUNT, "footer", read_footer},
    {PL_PAGE_PART_COUNT, "without", read_without},
    {PL_PAGE_PART_COUNT, "language", read_language},
    {PL_PAGE_SECTION, "show", read_show},
    {PL_PAGE_SECTION, "columns", read_columns},
    {PL_PAGE_GROUP, "show", read_show},
    {PL_PAGE_GROUP, "column", read_column},
    {PL_PAGE_PLAN, "corners", read_corners},
    {PL_PAGE_PLAN, "measure", read_measure},
    {PL_PAGE_PLAN, "middle", read_middle},
    {PL_PAGE_RUNS, "lines", read_lines},
    {PL_PAGE_RUNS, "headings", read_headings},
    {PL_PAGE_PLOT, "curve", read_curve},
    {PL_PAGE_PLOT, "at", read_places},
    {PL_PAGE_PLOT, "height", read_height},
    {PL_PAGE_DRAWING, "of", read_drawing},
    {PL_PAGE_DRAWING, "scale", read_scale},
    {PL_PAGE_DRAWING, "height", read_height},
    {PL_PAGE_CHECKLIST, "items", read_items},
    {PL_PAGE_CAUTIONS, "items", read_items},
};
#define PART_KEYS (sizeof part_keys / sizeof part_keys[0])

void pl_template_each_key(enum pl_part_of_page kind,
                          void (*visit)(void *context, const char *word, bool is_key),
                          void *context) {
  for (size_t i = 0; i < PART_KEYS; i++) {
    if (part_keys[i].kind == kind) visit(context, part_keys[i].key, true);
  }
}

static void report_unknown(struct reading *reading, const struct pl_node *property,
                           enum pl_part_of_page kind) {
  const char *keys[PART_KEYS];
  size_t count = 0;
  struct pl_buffer all = {.arena = reading->arena};
  for (size_t i = 0; i < PART_KEYS; i++) {
    if (part_keys[i].kind != kind) continue;
    keys[count++] = part_keys[i].key;
    pl_buffer_format(&all, "%s`%s`", count == 1 ? "" : ", ", part_keys[i].key);
  }
  const char *const what = pl_format(reading->arena, "A template's `%s`", reading->block);
  const char *const near = pl_nearest(property->name, keys, count);
  if (near != NULL)
    pl_report(reading->problems, PL_UNKNOWN_KEY, pl_name_span(property),
              PL_WORDS(what, property->name, near));
  else
    pl_report(reading->problems, PL_TEMPLATE_KEY_FAR, pl_name_span(property),
              PL_WORDS(what, property->name, count == 0 ? NULL : pl_buffer_string(&all)));
}

void pl_template_key(struct reading *reading, const struct pl_node *property,
                     struct pl_template_part *part) {
  const enum pl_part_of_page kind = part == NULL ? PL_PAGE_PART_COUNT : part->kind;
  if (kind == PL_PAGE_LABELS) {
    pl_label_read(reading->arena, property, &reading->template->labels, reading->problems);
    return;
  }
  if (kind == PL_PAGE_WORDS) {
    reading->words = pl_grow(reading->arena, (void *)reading->words, reading->word_count,
                             &reading->word_capacity, sizeof(const struct pl_node *));
    reading->words[reading->word_count++] = property;
    return;
  }
  for (size_t i = 0; i < PART_KEYS; i++) {
    if (part_keys[i].kind != kind || strcmp(part_keys[i].key, property->name) != 0) continue;
    part_keys[i].read(reading, property, part);
    return;
  }
  report_unknown(reading, property, kind);
}
