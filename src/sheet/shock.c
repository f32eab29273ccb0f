// SPDX-License-Identifier: GPL-3.0-or-later
// The shock in section: what is declared of it, at which scale it is drawn, and what is said
// about the drawing. The order of parts is that of the assembly.
#include "shock.h"

#include <math.h>
#include <string.h>

/// Between the picture's edge and what is outermost, mm.
#define EDGE 0.4
/// Between the shock and the lines beneath it, mm.
#define GAP 1.2
/// No drawing is larger than this many times true size.
#define LARGEST_SCALE 2.0

/// The column of texts on each side, mm: as much as a value takes; as much as is given for a
/// long word's sake; and the most, at which a text is still beside what it is about.
#define LEAST_COLUMN 11.0
#define WORD_COLUMN  17.0
#define MOST_COLUMN  26.0

// ---------------------------------------------------------------- what is declared

static double free_length_of(const struct pl_part *spring) {
  if (spring == NULL || spring->share_count == 0)
    return pl_part_length(spring, PL_SETTING_FREE_LENGTH);
  double sum = 0;
  for (size_t i = 0; i < spring->share_count; i++)
    sum += free_length_of(spring->shares[i].part);
  return sum;
}

static double coils_of(const struct pl_part *spring) {
  if (spring == NULL) return NAN;
  const double total = pl_part_number(spring, PL_SETTING_TOTAL_COILS);
  if (total > 0) return total;
  double active = pl_part_number(spring, PL_SETTING_ACTIVE_COILS);
  const struct pl_value *const groups = &pl_part_get(spring, PL_SETTING_GROUPS)->value;
  if (groups->kind == PL_VALUE_LIST) {
    active = 0;
    for (size_t i = 0; i < groups->count; i++) active += groups->many.items[i].number;
  }
  // A closed end lays one more coil against the next one.
  const bool closed = pl_part_says(spring, PL_SETTING_ENDS, "closed") ||
                      pl_part_says(spring, PL_SETTING_ENDS, "closed-ground");
  return active > 0 ? active + (closed ? 2 : 0) : NAN;
}

static struct pl_coil coil_of(const struct pl_part *spring) {
  struct pl_coil coil = {.wire = pl_part_length(spring, PL_SETTING_WIRE),
                         .mean = pl_part_length(spring, PL_SETTING_MEAN_DIAMETER),
                         .coils = coils_of(spring),
                         .free_length = free_length_of(spring)};
  if (isnan(coil.mean))
    coil.mean = pl_part_length(spring, PL_SETTING_INSIDE_DIAMETER) + coil.wire;
  if (isnan(coil.mean))
    coil.mean = pl_part_length(spring, PL_SETTING_OUTSIDE_DIAMETER) - coil.wire;
  return coil;
}

/// A length (mm) of the setup's own; `otherwise` where it is not given.
static double given(const struct pl_setup *setup, enum pl_setting setting, enum pl_place corner,
                    double otherwise) {
  if (!pl_setup_get(setup, setting, corner)->given) return otherwise;
  const double length = pl_setup_number(setup, setting, corner) * 1e3;
  return length >= 0 && isfinite(length) ? length : otherwise;
}

static void read_damper(struct pl_shock_facts *facts) {
  const struct pl_part *const damper = facts->damper;
  facts->bore = pl_part_length(damper, PL_SETTING_BORE);
  facts->shaft = pl_part_length(damper, PL_SETTING_SHAFT);
  facts->stroke = pl_part_length(damper, PL_SETTING_STROKE);
  facts->extended = pl_part_length(damper, PL_SETTING_EXTENDED_LENGTH);
  facts->exposed = pl_part_length(damper, PL_SETTING_EXPOSED_SHAFT);
  const double overlap = pl_part_number(damper, PL_SETTING_BUSHING_OVERLAP) * 1e3;
  facts->overlap = overlap >= 0 ? overlap : NAN;
  facts->perch_gap = pl_part_length(damper, PL_SETTING_PERCH_GAP);
  facts->section = pl_part_length(damper, PL_SETTING_SEAL_RING_SECTION);
  facts->gland_width = pl_part_length(damper, PL_SETTING_SEAL_GLAND_WIDTH);
  facts->gland_outside = pl_part_length(damper, PL_SETTING_SEAL_GLAND_OUTSIDE);
  facts->rings = pl_part_count(damper, PL_SETTING_SEAL_RINGS, 0);
  facts->backups = pl_part_count(damper, PL_SETTING_SEAL_BACKUP_RINGS, 0);
  const double air = pl_part_number(damper, PL_SETTING_AIR_VOLUME) * 1e9;
  facts->air = air > 0 ? air : NAN;
}

/// What a section needs and does not have, as a sentence; null if it has it.
static const char *what_lacks(const struct pl_sheet *sheet,
                              const struct pl_shock_facts *facts) {
  const struct {
    enum pl_setting setting;
    bool there;
  } needs[] = {
      {PL_SETTING_DAMPER, facts->damper != NULL},
      {PL_SETTING_BORE, facts->damper == NULL || facts->bore > 0},
      {PL_SETTING_SHAFT,
       facts->damper == NULL || (facts->shaft > 0 && !(facts->shaft >= facts->bore))},
      {PL_SETTING_EXTENDED_LENGTH, facts->damper == NULL || facts->extended > facts->limiter},
      {PL_SETTING_STROKE, facts->damper == NULL || facts->stroke > 0}};
  struct pl_buffer list = {.arena = sheet->arena};
  for (size_t i = 0; i < sizeof needs / sizeof needs[0]; i++) {
    if (!needs[i].there)
      pl_buffer_format(&list, "%s%s", list.length == 0 ? "" : ", ",
                       pl_drawn_label(sheet, needs[i].setting));
  }
  return list.length == 0
             ? NULL
             : pl_word_with(sheet, PL_WORD_SECTION_NEEDS, pl_buffer_string(&list), NULL);
}

bool pl_shock_read(const struct pl_sheet *sheet, enum pl_place corner,
                   struct pl_shock_facts *facts, const char **lacks) {
  const struct pl_setup *const setup = sheet->setup;
  *facts = (struct pl_shock_facts){.damper = pl_setup_part(setup, PL_SETTING_DAMPER, corner),
                                   .piston = pl_setup_part(setup, PL_SETTING_PISTON, corner),
                                   .spring = pl_setup_part(setup, PL_SETTING_SPRING, corner),
                                   .limiter = given(setup, PL_SETTING_LIMITER, corner, 0),
                                   .bump = given(setup, PL_SETTING_BUMP_SPACER, corner, 0),
                                   .collar = given(setup, PL_SETTING_COLLAR, corner, NAN),
                                   .preload = given(setup, PL_SETTING_PRELOAD, corner, NAN)};
  facts->piston_diameter = pl_part_length(facts->piston, PL_SETTING_DIAMETER);
  facts->thickness = pl_part_length(facts->piston, PL_SETTING_THICKNESS);
  if (facts->piston != NULL && isnan(facts->thickness))
    facts->thickness = given(setup, PL_SETTING_PISTON_THICKNESS, corner, NAN);
  facts->coil = coil_of(facts->spring);
  read_damper(facts);
  *lacks = what_lacks(sheet, facts);
  return *lacks == NULL;
}

// ---------------------------------------------------------------- the picture

/// The width of a text's longest word, mm.
static double longest_word(const struct pl_sheet *sheet, const char *text) {
  double longest = 0;
  for (const char *next = pl_text_normalise(sheet->arena, text); *next != '\0';) {
    const size_t length = strcspn(next, " ");
    const char *const word = pl_copy_text(sheet->arena, next, length);
    longest = fmax(longest, pl_text_width(word, PL_TYPE_FLOOR, false));
    next += length;
    next += strspn(next, " ");
  }
  return longest;
}

/// The column in which no label has to be broken within a word, if that is not too much.
static double least_column(const struct pl_sheet *sheet) {
  static const enum pl_setting labels[] = {
      PL_SETTING_BORE,       PL_SETTING_SHAFT,       PL_SETTING_EXPOSED_SHAFT,
      PL_SETTING_AIR_VOLUME, PL_SETTING_OIL_VOLUME,  PL_SETTING_LIMITER,
      PL_SETTING_COLLAR,     PL_SETTING_BUMP_SPACER, PL_SETTING_PRELOAD};
  double column = fmax(longest_word(sheet, pl_word(sheet, PL_WORD_EYE_TO_EYE)),
                       longest_word(sheet, pl_word(sheet, PL_WORD_STROKE_LEFT)));
  for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++)
    column = fmax(column, longest_word(sheet, pl_drawn_label(sheet, labels[i])));
  return fmin(fmax(column + 0.1, LEAST_COLUMN), WORD_COLUMN);
}

/// The largest scale at which the shock fits between its texts and above the lines beneath it.
static double scale_for(const struct pl_shock_shape *shape, double column, double width,
                        double height) {
  const double room = width - 2 * column - PL_SHOCK_LANE_LEFT - PL_SHOCK_LANE_RIGHT;
  const double along = height / (shape->length + 2 * shape->eye_radius);
  const double across = fmax(room, 0.1 * width) / (2 * shape->reach);
  return pl_scale_below(fmin(LARGEST_SCALE, fmin(along, across)));
}

/// Beneath the drawing from `y` on: the scale, and beside it what else to know. Returns where
/// that ends.
static double draw_remarks(struct pl_sheet *sheet, struct pl_page *page,
                           const struct pl_shock_shape *shape, double scale, double width,
                           double y) {
  const struct pl_type bold = {.size = PL_SMALL, .bold = true};
  const struct pl_type grey = {.size = PL_TYPE_FLOOR, .ink = PL_INK_GREY};
  const char *const text = pl_scale_text(sheet->arena, scale);
  const double indent = pl_text_width(text, bold.size, bold.bold) + 1.4;
  pl_picture_text(sheet, page, 0, y + pl_line_base(bold.size), bold, text);
  const double down = pl_line_base(bold.size) - pl_line_base(grey.size);
  const double end = y + pl_line_height(bold.size);
  if (!shape->is_true)
    y = pl_picture_lines(sheet, page, indent, y + down, width - indent, grey,
                         pl_word(sheet, PL_WORD_NO_ROOM_IN_LENGTH)) -
        down;
  return fmax(end, pl_picture_lines(sheet, page, indent, y + down, width - indent, grey,
                                    pl_word(sheet, PL_WORD_GREY_IS_LIKELY)));
}

const struct pl_page *pl_shock_picture(struct pl_sheet *sheet, enum pl_place corner,
                                       double width, double height, const char **lacks) {
  struct pl_shock_facts facts;
  if (!pl_shock_read(sheet, corner, &facts, lacks)) return NULL;
  sheet->where = (struct pl_span){.source = NULL};
  sheet->what = "a drawing";
  const struct pl_shock_shape shape = pl_shock_shape(&facts);
  struct pl_page *const measure = pl_picture_new(sheet->arena, width, height);
  const double remarks = draw_remarks(sheet, measure, &shape, 1 / 1.5, width, 0);
  const double room = fmax(height - remarks - GAP - 2 * EDGE, 0.3 * height);
  struct pl_page *const page = pl_picture_new(sheet->arena, width, height);
  struct pl_shock_pen pen = {.sheet = sheet,
                             .page = page,
                             .facts = &facts,
                             .shape = &shape,
                             .scale = scale_for(&shape, least_column(sheet), width, room)};
  pen.x = (width + PL_SHOCK_LANE_LEFT - PL_SHOCK_LANE_RIGHT) / 2;
  pen.y = EDGE + pen.scale * shape.eye_radius;
  const double beside = pen.x - pen.scale * shape.reach - PL_SHOCK_LANE_LEFT;
  pl_shock_draw_spring(&pen);
  pl_shock_draw_body(&pen);
  pl_shock_draw_inside(&pen);
  const double end = pen.y + pen.scale * (shape.length + shape.eye_radius) + EDGE;
  const double texts = pl_shock_draw_dimensions(&pen, fmin(beside, MOST_COLUMN), end);
  page->height = draw_remarks(sheet, page, &shape, pen.scale, width, fmax(end, texts) + GAP);
  return page;
}
