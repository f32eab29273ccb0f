// SPDX-License-Identifier: GPL-3.0-or-later
// The engine: works out figures when they are asked for, once, and notes what each asked for.
#include "room.h"
#include "varied.h"

#include <math.h>
#include <string.h>

const struct pl_figure_row pl_figure_rows[PL_FIGURE_COUNT] = {
#define PL_FIGURE(id, key, scope, unit, digits, imperial, imperial_digits, label, meaning,     \
                  formula, source, inputs, function)                                           \
  {key,   PL_SCOPE_##scope, unit,    digits, imperial, imperial_digits,                        \
   label, meaning,          formula, source, inputs},
#include "pitleaf/figures.def"
#undef PL_FIGURE
};

static figure_function *const functions[PL_FIGURE_COUNT] = {
#define PL_FIGURE(id, key, scope, unit, digits, imperial, imperial_digits, label, meaning,     \
                  formula, source, inputs, function)                                           \
  function,
#include "pitleaf/figures.def"
#undef PL_FIGURE
};

static assembly_function *const builders[ASSEMBLY_COUNT] = {
    build_spring,  build_opposed, build_linkage, build_at_ride, build_at_droop,
    build_at_bump, build_gas,     build_oil,     build_fluid,   build_piston};

enum pl_figure pl_figure_of(const char *key) {
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (strcmp(pl_figure_rows[i].key, key) == 0) return (enum pl_figure)i;
  }
  return PL_FIGURE_COUNT;
}

const char *pl_figure_nearest(const char *key) {
  const char *keys[PL_FIGURE_COUNT];
  const size_t length = strlen(key);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    keys[i] = pl_figure_rows[i].key;
    // Whole words with which a longer key begins are no slip of typing.
    if (strncmp(keys[i], key, length) == 0 && keys[i][length] == '-') return keys[i];
  }
  return pl_nearest(key, keys, PL_FIGURE_COUNT);
}

// ---------------------------------------------------------------- noting

static void add_need(struct pl_figures *figures, struct cell *cell, const char *key) {
  for (size_t i = 0; i < cell->value.need_count; i++) {
    if (strcmp(cell->needs[i], key) == 0) return;
  }
  cell->needs = pl_grow(figures->arena, cell->needs, cell->value.need_count,
                        &cell->need_capacity, sizeof *cell->needs);
  cell->needs[cell->value.need_count++] = key;
  cell->value.needs = cell->needs;
}

static void add_note(struct pl_figures *figures, struct cell *cell, const char *text) {
  for (size_t i = 0; i < cell->value.note_count; i++) {
    if (strcmp(cell->notes[i], text) == 0) return;
  }
  cell->notes = pl_grow(figures->arena, cell->notes, cell->value.note_count,
                        &cell->note_capacity, sizeof *cell->notes);
  cell->notes[cell->value.note_count++] = text;
  cell->value.notes = cell->notes;
}

static bool same_input(const struct pl_input *a, const struct pl_input *b) {
  // What differs most often comes first: this is asked for every input of every figure.
  return a->resolved == b->resolved && a->figure == b->figure && a->place == b->place &&
         a->setting == b->setting && a->inner == b->inner && a->is_figure == b->is_figure;
}

static void add_input(struct pl_figures *figures, struct cell *cell, struct pl_input input) {
  if (!figures->explains) return;
  for (size_t i = 0; i < cell->value.input_count; i++) {
    if (same_input(&cell->inputs[i], &input)) return;
  }
  cell->inputs = pl_grow(figures->arena, cell->inputs, cell->value.input_count,
                         &cell->input_capacity, sizeof *cell->inputs);
  cell->inputs[cell->value.input_count++] = input;
  cell->value.inputs = cell->inputs;
}

static void note_setting(struct work *work, enum pl_setting setting, enum pl_setting inner,
                         enum pl_place place, const struct pl_resolved *resolved) {
  add_input(work->figures, work->cell,
            (struct pl_input){.figure = PL_FIGURE_COUNT,
                              .setting = setting,
                              .inner = inner,
                              .place = place,
                              .resolved = resolved});
}

void lacks(struct work *work, const char *key) {
  work->cell->broken = true;
  if (work->figures->varied != NULL) return; // nobody is told why
  add_need(work->figures, work->cell, key);
}

void note(struct work *work, const char *text) {
  if (work->figures->varied != NULL) return;
  add_note(work->figures, work->cell, text);
}

void warn(struct work *work, enum pl_setting about, const char *text) {
  struct cell *const cell = work->cell;
  if (work->figures->varied != NULL) return;
  note(work, text);
  cell->warnings = pl_grow(work->figures->arena, cell->warnings, cell->warning_count,
                           &cell->warning_capacity, sizeof *cell->warnings);
  cell->warnings[cell->warning_count++] = (struct warning){about, text};
}

double explained(struct work *work, double value, enum pl_setting about, const char *text) {
  if (!isfinite(value) && !work->cell->broken) warn(work, about, text);
  return value;
}

bool explains(const struct work *work) {
  return work->figures->explains;
}

void detail(struct work *work, const char *text) {
  if (!explains(work)) return;
  struct cell *const cell = work->cell;
  cell->details = pl_grow(work->figures->arena, cell->details, cell->value.detail_count,
                          &cell->detail_capacity, sizeof *cell->details);
  cell->details[cell->value.detail_count++] = text;
  cell->value.details = cell->details;
}

// ---------------------------------------------------------------- settings

const struct pl_setup *setup_for(const struct work *work, enum pl_setting setting,
                                 enum pl_place place) {
  const struct pl_figures *const figures = work->figures;
  if (figures->varied != NULL) return varied_setup(work, setting, place);
  if (figures->other == NULL || figures->changed != setting) return figures->setup;
  const enum pl_place at = pl_place_at(place, pl_settings[setting].scope);
  const bool changed = at < PL_PLACE_COUNT && (figures->changed_at & (1u << (unsigned)at)) != 0;
  return changed ? figures->other : figures->setup;
}

static const struct pl_resolved *setting_in(struct work *work, const struct pl_setup *setup,
                                            enum pl_setting setting, enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  note_setting(work, setting, PL_SETTING_COUNT, pl_place_at(place, pl_settings[setting].scope),
               resolved);
  return resolved;
}

static const struct pl_resolved *setting_at(struct work *work, enum pl_setting setting,
                                            enum pl_place place) {
  return setting_in(work, setup_for(work, setting, place), setting, place);
}

static double number_of(const struct pl_resolved *resolved) {
  return resolved->value.kind == PL_VALUE_NUMBER ? resolved->value.number : NAN;
}

double need_at(struct work *work, enum pl_setting setting, enum pl_place place) {
  const double number = number_of(setting_at(work, setting, place));
  if (isnan(number)) lacks(work, pl_settings[setting].key);
  return number;
}

double need(struct work *work, enum pl_setting setting) {
  return need_at(work, setting, work->place);
}

double optional(struct work *work, enum pl_setting setting) {
  return number_of(setting_at(work, setting, work->place));
}

static const char *word_of(const struct pl_resolved *resolved) {
  return resolved->value.kind == PL_VALUE_TEXT ? resolved->value.text : "";
}

const char *optional_word(struct work *work, enum pl_setting setting) {
  return word_of(setting_at(work, setting, work->place));
}

const char *optional_word_beside(struct work *work, enum pl_setting setting,
                                 enum pl_setting other) {
  const struct pl_setup *const setup = setup_for(work, other, work->place);
  return word_of(setting_in(work, setup, setting, work->place));
}

bool is_given(const struct work *work, enum pl_setting setting) {
  const struct pl_resolved *const resolved =
      pl_setup_get(setup_for(work, setting, work->place), setting, work->place);
  return resolved->given && resolved->value.kind != PL_VALUE_NONE;
}

const struct pl_part *need_part(struct work *work, enum pl_setting setting) {
  const struct pl_resolved *const resolved = setting_at(work, setting, work->place);
  if (resolved->value.kind == PL_VALUE_PART) return resolved->value.part;
  lacks(work, pl_settings[setting].key);
  return NULL;
}

void note_of_part(struct work *work, enum pl_setting setting, const struct pl_part *part,
                  enum pl_setting inner) {
  note_setting(work, setting, inner, pl_place_at(work->place, pl_settings[setting].scope),
               pl_part_get(part, inner));
}

/// What a part at this place says of one of its settings; null if there is no part.
static const struct pl_resolved *of_part(struct work *work, enum pl_setting part,
                                         enum pl_setting inner) {
  const struct pl_part *const found =
      pl_setup_part(setup_for(work, part, work->place), part, work->place);
  if (found == NULL) return NULL;
  const struct pl_resolved *const resolved = pl_part_get(found, inner);
  note_setting(work, part, inner, pl_place_at(work->place, pl_settings[part].scope), resolved);
  return resolved;
}

double optional_of_part(struct work *work, enum pl_setting part, enum pl_setting inner) {
  const struct pl_resolved *const resolved = of_part(work, part, inner);
  return resolved == NULL ? NAN : number_of(resolved);
}

double need_of_part(struct work *work, enum pl_setting part, enum pl_setting inner) {
  const struct pl_resolved *const resolved = of_part(work, part, inner);
  const double number = resolved == NULL ? NAN : number_of(resolved);
  if (resolved == NULL)
    lacks(work, pl_settings[part].key);
  else if (isnan(number) && work->figures->varied != NULL)
    work->cell->broken = true;
  else if (isnan(number))
    lacks(work, pl_format(work->figures->arena, "%s.%s", pl_settings[part].key,
                          pl_settings[inner].key));
  return number;
}

const char *choice_of_part(struct work *work, enum pl_setting part, enum pl_setting inner) {
  const struct pl_resolved *const resolved = of_part(work, part, inner);
  if (resolved == NULL || resolved->value.kind != PL_VALUE_TEXT) return "";
  return resolved->value.text;
}

bool optional_point(struct work *work, enum pl_setting setting, struct pl_point *point) {
  const struct pl_resolved *const chosen = setting_at(work, setting, work->place);
  const bool by_number =
      pl_settings[setting].type == PL_TYPE_HOLE && chosen->value.kind != PL_VALUE_POINT;
  if (by_number) setting_at(work, (enum pl_setting)(setting + 1), work->place);
  return pl_setup_point(setup_for(work, setting, work->place), setting, work->place, &point->x,
                        &point->y, &point->z);
}

bool need_point(struct work *work, enum pl_setting setting, struct pl_point *point) {
  if (optional_point(work, setting, point)) return true;
  lacks(work, pl_settings[setting].key);
  return false;
}

// ---------------------------------------------------------------- figures and assemblies

double figure_at(struct work *work, enum pl_figure wanted, enum pl_place place) {
  if (work->figures->varied != NULL) return varied_figure(work, wanted, place);
  const struct pl_figure_value *const value = pl_figure_get(work->figures, wanted, place);
  add_input(work->figures, work->cell,
            (struct pl_input){.is_figure = true,
                              .figure = wanted,
                              .setting = PL_SETTING_COUNT,
                              .inner = PL_SETTING_COUNT,
                              .place = place});
  for (size_t i = 0; i < value->need_count; i++) lacks(work, value->needs[i]);
  for (size_t i = 0; i < value->note_count; i++) note(work, value->notes[i]);
  work->cell->broken |= !value->present;
  return value->present ? value->value : NAN;
}

double figure(struct work *work, enum pl_figure wanted) {
  return figure_at(work, wanted, pl_place_at(work->place, pl_figure_rows[wanted].scope));
}

double mean_of_axle(struct work *work, enum pl_figure wanted) {
  const bool front = work->place == PL_FRONT;
  const double left = figure_at(work, wanted, front ? PL_FRONT_LEFT : PL_REAR_LEFT);
  const double right = figure_at(work, wanted, front ? PL_FRONT_RIGHT : PL_REAR_RIGHT);
  return (left + right) / 2;
}

double work_out(enum pl_figure wanted, struct work *work) {
  return functions[wanted](work);
}

bool build_assembly(enum assembly assembly, struct work *work, struct corner *corner) {
  return builders[assembly](work, corner);
}

const struct corner *with(struct work *work, enum assembly assembly) {
  struct pl_figures *const figures = work->figures;
  if (figures->varied != NULL) return varied_with(work, assembly);
  struct cell *const cell = &figures->assemblies[assembly][work->place];
  if (figures->corners[work->place] == NULL)
    figures->corners[work->place] = pl_alloc(figures->arena, sizeof(struct corner));
  struct corner *const corner = figures->corners[work->place];
  if (cell->state == CELL_FRESH) {
    cell->state = CELL_BUSY;
    struct work own = {.figures = figures, .place = work->place, .cell = cell};
    cell->value.present = build_assembly(assembly, &own, corner);
    cell->state = CELL_DONE;
  }
  for (size_t i = 0; i < cell->value.input_count; i++)
    add_input(figures, work->cell, cell->inputs[i]);
  for (size_t i = 0; i < cell->value.need_count; i++) lacks(work, cell->needs[i]);
  for (size_t i = 0; i < cell->value.note_count; i++) note(work, cell->notes[i]);
  const bool whole = cell->value.present && cell->state == CELL_DONE;
  work->cell->broken |= !whole;
  return whole ? corner : NULL;
}

const struct pl_figure_value *pl_figure_get(struct pl_figures *figures, enum pl_figure wanted,
                                            enum pl_place place) {
  static const struct pl_figure_value absent = {.present = false};
  const enum pl_place first = pl_first_place(pl_figure_rows[wanted].scope);
  if (place >= PL_PLACE_COUNT || place < first ||
      place > pl_last_place(pl_figure_rows[wanted].scope))
    return &absent;
  if (figures->cells[wanted] == NULL)
    figures->cells[wanted] = pl_alloc_array(figures->arena, CORNERS, sizeof(struct cell));
  struct cell *const cell = &figures->cells[wanted][place - first];
  if (cell->state == CELL_FRESH) {
    cell->state = CELL_BUSY;
    cell->value.value = NAN;
    struct work work = {.figures = figures, .place = place, .cell = cell};
    cell->value.value = functions[wanted](&work);
    cell->value.present = isfinite(cell->value.value);
    cell->state = CELL_DONE;
  }
  return &cell->value;
}

struct pl_figures *pl_figures_brief(const struct pl_setup *setup) {
  struct pl_arena *const arena = pl_program_arena(pl_setup_program(setup));
  struct pl_figures *const figures = pl_alloc(arena, sizeof *figures);
  figures->arena = arena;
  figures->setup = setup;
  return figures;
}

struct pl_figures *pl_figures_new(const struct pl_setup *setup, struct pl_figures *base) {
  struct pl_figures *const figures = pl_figures_brief(setup);
  figures->base = base;
  figures->explains = true;
  return figures;
}

struct pl_figures *pl_figures_with(struct pl_figures *base, const struct pl_setup *other,
                                   enum pl_setting changed, unsigned places,
                                   const char *ballast) {
  struct pl_figures *const figures = pl_figures_brief(base->setup);
  figures->other = other;
  figures->changed = changed;
  figures->changed_at = places;
  figures->changed_ballast = ballast;
  return figures;
}

const struct pl_setup *pl_figures_setup(const struct pl_figures *figures) {
  return figures->setup;
}
