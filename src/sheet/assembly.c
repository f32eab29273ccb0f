// SPDX-License-Identifier: GPL-3.0-or-later
// The order in which a shock's parts go together, from what the setup says of them.
#include <math.h>
#include <string.h>

#include "room.h"

/// From the left edge to the words behind a step's number, mm.
#define NUMBER_ROOM 5.6

/// A shock being put together on paper.
struct steps {
  struct pl_sheet *sheet;
  struct pl_column *column;
  enum pl_place corner;
  size_t count;
  bool changed; ///< something of the step in hand is not as the base has it
};

// ---------------------------------------------------------------- what the setup says

static const char *words_of(struct steps *steps, const struct pl_thing *thing) {
  struct pl_sheet *const sheet = steps->sheet;
  const struct pl_datum datum = pl_datum_of(sheet, thing, steps->corner);
  steps->changed = steps->changed || datum.changed;
  sheet->where = datum.span;
  if (datum.text[0] == '\0' || datum.unit[0] == '\0') return datum.text;
  return pl_format(sheet->arena, "%s %s", datum.text, datum.unit);
}

/// A setting in words; "" where it is not given.
static const char *setting_words(struct steps *steps, enum pl_setting setting) {
  const struct pl_thing thing = pl_thing_of_setting(setting);
  return words_of(steps, &thing);
}

/// What a part says, in words; "" where it does not.
static const char *inner_words(struct steps *steps, enum pl_setting part,
                               enum pl_setting inner) {
  struct pl_thing thing = pl_thing_of_setting(part);
  thing.kind = PL_THING_INNER;
  thing.inner = inner;
  return words_of(steps, &thing);
}

static const char *damper_words(struct steps *steps, enum pl_setting inner) {
  return inner_words(steps, PL_SETTING_DAMPER, inner);
}

/// Which of its words a setting of the shock has, as the language writes it; "" where it is not
/// given.
static const char *damper_choice(const struct steps *steps, enum pl_setting inner) {
  const struct pl_part *const damper =
      pl_setup_part(steps->sheet->setup, PL_SETTING_DAMPER, steps->corner);
  if (damper == NULL) return "";
  const struct pl_value *const value = &pl_part_get(damper, inner)->value;
  return value->kind == PL_VALUE_TEXT ? value->text : "";
}

/// Does the shock say so?
static bool says(struct steps *steps, enum pl_setting inner, const char *word) {
  damper_words(steps, inner);
  return strcmp(damper_choice(steps, inner), word) == 0;
}

/// A number of the shock in SI; NaN where it does not say.
static double damper_number(const struct steps *steps, enum pl_setting inner) {
  const struct pl_part *const damper =
      pl_setup_part(steps->sheet->setup, PL_SETTING_DAMPER, steps->corner);
  if (damper == NULL) return NAN;
  const struct pl_value *const value = &pl_part_get(damper, inner)->value;
  return value->kind == PL_VALUE_NUMBER ? value->number : NAN;
}

static double setting_number(const struct steps *steps, enum pl_setting setting) {
  return pl_setup_number(steps->sheet->setup, setting, steps->corner);
}

/// A length as a setting of that row prints it.
static const char *length_words(const struct steps *steps, enum pl_setting like,
                                double length) {
  const struct pl_value value = {
      .kind = PL_VALUE_NUMBER, .dimension = PL_LENGTH, .number = length};
  const struct pl_printed printed =
      pl_print_setting(steps->sheet->arena, like, &value, steps->sheet->request->system);
  return pl_format(steps->sheet->arena, "%s %s",
                   pl_paper_minus(steps->sheet->arena, printed.text), printed.unit);
}

/// A length that was worked out, with the digits of that row and no more.
static const char *worked_out(const struct steps *steps, enum pl_setting like, double length) {
  const struct pl_setting_row *const row = &pl_settings[like];
  const bool metric = steps->sheet->request->system == PL_METRIC;
  const struct pl_printed printed =
      pl_print_number(steps->sheet->arena, length, metric ? row->of : row->imperial,
                      metric ? row->digits : row->imperial_digits);
  return pl_format(steps->sheet->arena, "%s %s",
                   pl_paper_minus(steps->sheet->arena, printed.text), printed.unit);
}

// ---------------------------------------------------------------- steps on paper

static void add_step(struct steps *steps, const char *text) {
  struct pl_sheet *const sheet = steps->sheet;
  struct pl_column *const column = steps->column;
  const size_t first = column->count;
  sheet->what = "a step of the assembly";
  pl_column_paragraph(sheet, column, NUMBER_ROOM,
                      (struct pl_type){.size = sheet->type.computed}, text);
  pl_cell_text(sheet, &column->cells[first], 1.6, 0,
               (struct pl_type){.size = sheet->type.computed, .bold = true},
               pl_format(sheet->arena, "%zu", ++steps->count));
  column->cells[first].rule = steps->count > 1;
  for (size_t i = first; i < column->count; i++) {
    column->cells[i].bar = steps->changed;
    column->cells[i].joined = i > first;
    column->cells[i].keep = i + 1 < column->count;
  }
  steps->changed = false;
}

static void add_words(struct steps *steps, enum pl_word word, const char *first,
                      const char *second) {
  add_step(steps, pl_word_with(steps->sheet, word, first, second));
}

/// A warning that belongs to the step before.
static void add_caution(struct steps *steps, enum pl_word word) {
  struct pl_sheet *const sheet = steps->sheet;
  struct pl_column *const column = steps->column;
  column->cells[column->count - 1].keep = true;
  const size_t first = column->count;
  pl_column_paragraph(sheet, column, NUMBER_ROOM + PL_SIGN_ROOM,
                      (struct pl_type){.size = sheet->type.small}, pl_word(sheet, word));
  pl_cell_sign(sheet, &column->cells[first], NUMBER_ROOM, sheet->type.small, PL_PAGE_CAUTIONS);
  for (size_t i = first; i + 1 < column->count; i++) column->cells[i].keep = true;
}

// ---------------------------------------------------------------- the steps

static void add_piston(struct steps *steps) {
  const char *const piston = setting_words(steps, PL_SETTING_PISTON);
  if (piston[0] != '\0') {
    add_words(steps, PL_WORD_STEP_PISTON, piston, NULL);
    add_caution(steps, PL_WORD_CAUTION_CLIP);
  }
  const char *const opposed = damper_words(steps, PL_SETTING_OPPOSED_SPRING);
  if (opposed[0] != '\0') add_words(steps, PL_WORD_STEP_OPPOSED, opposed, NULL);
  // That there is none is worth a line: the one from the last time may still be inside.
  const char *const limiter = setting_words(steps, PL_SETTING_LIMITER);
  if (setting_number(steps, PL_SETTING_LIMITER) > 0)
    add_words(steps, PL_WORD_STEP_LIMITER, limiter, NULL);
  else
    add_words(steps, PL_WORD_STEP_NO_LIMITER, NULL, NULL);
}

/// Which ring, as far as it is declared: ", o-ring, ring inside 2.90 mm …".
static const char *ring_words(struct steps *steps) {
  static const enum pl_setting said[] = {PL_SETTING_SEAL_RING_TYPE, PL_SETTING_SEAL_RING_NUMBER,
                                         PL_SETTING_SEAL_RING_INSIDE,
                                         PL_SETTING_SEAL_RING_SECTION};
  struct pl_sheet *const sheet = steps->sheet;
  struct pl_buffer words = {.arena = sheet->arena};
  for (size_t i = 0; i < sizeof said / sizeof said[0]; i++) {
    const char *const value = damper_words(steps, said[i]);
    if (value[0] == '\0') continue;
    const struct pl_thing thing = {.kind = PL_THING_INNER, .inner = said[i]};
    const bool is_type = said[i] == PL_SETTING_SEAL_RING_TYPE; // which says enough by itself
    pl_buffer_format(&words, ", %s%s%s", is_type ? "" : pl_thing_label(sheet->plan, &thing),
                     is_type ? "" : " ", value);
  }
  return pl_buffer_string(&words);
}

static void add_seals(struct steps *steps) {
  if (says(steps, PL_SETTING_SEAL_GLIDE_RING, "yes"))
    add_words(steps, PL_WORD_STEP_GLIDE_RING, NULL, NULL);
  const char *const rings = damper_words(steps, PL_SETTING_SEAL_RINGS);
  if (strcmp(rings, "1") == 0)
    add_words(steps, PL_WORD_STEP_RING, ring_words(steps), NULL);
  else if (rings[0] != '\0')
    add_words(steps, PL_WORD_STEP_RINGS, rings, ring_words(steps));
  const char *const backup = damper_words(steps, PL_SETTING_SEAL_BACKUP_RINGS);
  if (damper_number(steps, PL_SETTING_SEAL_BACKUP_RINGS) > 0)
    add_words(steps, PL_WORD_STEP_BACKUP, backup, NULL);
  if (says(steps, PL_SETTING_SEAL_WIPER, "yes"))
    add_words(steps, PL_WORD_STEP_WIPER, NULL, NULL);
  add_words(steps, PL_WORD_STEP_SHAFT, NULL, NULL);
}

static void add_outside(struct steps *steps) {
  const char *const spacer = setting_words(steps, PL_SETTING_BUMP_SPACER);
  if (setting_number(steps, PL_SETTING_BUMP_SPACER) > 0)
    add_words(steps, PL_WORD_STEP_BUMP, spacer, NULL);
  else
    add_words(steps, PL_WORD_STEP_NO_BUMP, NULL, NULL);
  // Declared for the bare shock; the limiter keeps some of it inside.
  const double exposed = damper_number(steps, PL_SETTING_EXPOSED_SHAFT) -
                         setting_number(steps, PL_SETTING_LIMITER);
  damper_words(steps, PL_SETTING_EXPOSED_SHAFT);
  setting_words(steps, PL_SETTING_LIMITER);
  if (exposed > 0)
    add_words(steps, PL_WORD_STEP_EXPOSED,
              length_words(steps, PL_SETTING_EXPOSED_SHAFT, exposed), NULL);
  else
    add_words(steps, PL_WORD_STEP_EYE, NULL, NULL);
}

static void add_cap(struct steps *steps) {
  const char *const kind = damper_choice(steps, PL_SETTING_COMPENSATION);
  damper_words(steps, PL_SETTING_COMPENSATION);
  const char *const air = damper_words(steps, PL_SETTING_AIR_VOLUME);
  const bool has_air = air[0] != '\0';
  if (strcmp(kind, "bladder") == 0)
    add_words(steps, has_air ? PL_WORD_STEP_BLADDER_AIR : PL_WORD_STEP_BLADDER, air, NULL);
  else if (strcmp(kind, "vented") == 0)
    add_words(steps, PL_WORD_STEP_VENTED, NULL, NULL);
  else if (strcmp(kind, "emulsion") == 0)
    add_words(steps, has_air ? PL_WORD_STEP_EMULSION : PL_WORD_STEP_EMULSION_SOME, air, NULL);
  else
    add_words(steps, PL_WORD_STEP_CAP, NULL, NULL);
}

static void add_oil(struct steps *steps) {
  const char *const oil = setting_words(steps, PL_SETTING_OIL);
  const char *const volume = damper_words(steps, PL_SETTING_OIL_VOLUME);
  if (oil[0] != '\0')
    add_words(steps, volume[0] == '\0' ? PL_WORD_STEP_OIL : PL_WORD_STEP_OIL_VOLUME, oil,
              volume);
  add_cap(steps);
  add_caution(steps, PL_WORD_CAUTION_OIL);
  const char *const rebound = setting_words(steps, PL_SETTING_REBOUND);
  // Of what limiter and bump spacer leave, since both are in by now.
  const double left = damper_number(steps, PL_SETTING_STROKE) -
                      setting_number(steps, PL_SETTING_LIMITER) -
                      setting_number(steps, PL_SETTING_BUMP_SPACER);
  const double back = setting_number(steps, PL_SETTING_REBOUND) * left;
  if (rebound[0] != '\0' && isfinite(back))
    add_words(steps, PL_WORD_STEP_REBOUND_LENGTH, rebound,
              worked_out(steps, PL_SETTING_STROKE, back));
  else if (rebound[0] != '\0')
    add_words(steps, PL_WORD_STEP_REBOUND, rebound, NULL);
  const char *const charge = damper_words(steps, PL_SETTING_CHARGE);
  if (!(damper_number(steps, PL_SETTING_CHARGE) > 0)) return;
  add_words(steps, PL_WORD_STEP_CHARGE, charge, NULL);
  add_caution(steps, PL_WORD_CAUTION_CHARGE);
}

static void add_spring(struct steps *steps) {
  const char *const collar = setting_words(steps, PL_SETTING_COLLAR);
  if (collar[0] != '\0') add_words(steps, PL_WORD_STEP_COLLAR, collar, NULL);
  const char *const spring = setting_words(steps, PL_SETTING_SPRING);
  const char *const length = inner_words(steps, PL_SETTING_SPRING, PL_SETTING_FREE_LENGTH);
  if (spring[0] != '\0') {
    add_words(steps, length[0] == '\0' ? PL_WORD_STEP_SPRING : PL_WORD_STEP_SPRING_LENGTH,
              spring, length);
    add_caution(steps, PL_WORD_CAUTION_SPRING);
  }
  const char *const preload = setting_words(steps, PL_SETTING_PRELOAD);
  if (preload[0] != '\0') add_words(steps, PL_WORD_STEP_PRELOAD, preload, NULL);
}

void pl_column_assembly(struct pl_sheet *sheet, struct pl_column *column, const char *title,
                        enum pl_place corner) {
  struct steps steps = {.sheet = sheet, .column = column, .corner = corner};
  pl_column_title(sheet, column, title);
  add_piston(&steps);
  add_seals(&steps);
  add_outside(&steps);
  add_oil(&steps);
  add_spring(&steps);
}
