// SPDX-License-Identifier: GPL-3.0-or-later
// Values with a tolerance: which there are, and what all else comes to where one of them is a
// little larger or smaller than it is written.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- one value

/// The place whose value this is; PL_PLACE_COUNT where all places have the same.
static enum pl_place place_of_value(const struct evaluator *evaluator) {
  return evaluator->by_place ? evaluator->place : PL_PLACE_COUNT;
}

static void gather(struct trial *trial, const struct pl_node *node, enum pl_place place,
                   double tolerance) {
  if (tolerance <= 0) return;
  for (size_t i = 0; i < trial->met_count; i++) {
    if (trial->met[i].node == node && trial->met[i].place == place) return;
  }
  if (trial->met_count == PL_MOST_UNCERTAIN) {
    trial->more = true;
    return;
  }
  trial->met = pl_grow(trial->arena, trial->met, trial->met_count, &trial->met_capacity,
                       sizeof *trial->met);
  trial->met[trial->met_count++] = (struct pl_uncertain){node, place, tolerance};
}

/// By how much the value counts as larger than it is written; notes that it was met.
static double shift_of(struct evaluator *evaluator, const struct pl_node *node,
                       double tolerance) {
  struct trial *const trial = evaluator->program->trial;
  if (tolerance > 0) evaluator->program->has_tolerance = true;
  if (evaluator->by_place) evaluator->uses_place = true;
  if (trial == NULL) return 0;
  const enum pl_place place = place_of_value(evaluator);
  if (trial->gathers) gather(trial, node, place, tolerance);
  double shift = 0;
  for (size_t i = 0; i < trial->shift_count; i++) {
    if (trial->shifts[i].node == node && trial->shifts[i].place == place)
      shift += trial->shifts[i].amount;
  }
  return shift;
}

struct let_value *let_in_trial(struct pl_program *program, struct let_value *let) {
  struct trial *const trial = program->trial;
  if (trial == NULL) return let;
  struct let_value *own = pl_map_get(trial->lets, let->let->name);
  if (own != NULL) return own;
  own = pl_alloc(program->arena, sizeof *own);
  own->let = let->let;
  pl_map_set(trial->lets, let->let->name, own);
  return own;
}

static struct pl_value with_tolerance_of_ports(struct evaluator *evaluator,
                                               struct pl_value value, double tolerance,
                                               double shift) {
  struct pl_ports *const ports = pl_alloc_array(evaluator->arena, value.count, sizeof *ports);
  for (size_t i = 0; i < value.count; i++) {
    ports[i] = value.many.ports[i];
    ports[i].tolerance = hypot(ports[i].tolerance, tolerance);
    ports[i].cap_diameter += shift;
    ports[i].shaft_diameter += shift;
  }
  value.many.ports = ports;
  return value;
}

static struct pl_value with_tolerance_of_viscosity(struct evaluator *evaluator,
                                                   struct pl_value value, double tolerance,
                                                   double shift) {
  struct pl_viscosity_point *const point = pl_alloc(evaluator->arena, sizeof *point);
  *point = value.many.viscosity[0];
  point->tolerance = hypot(point->tolerance, tolerance);
  point->viscosity += shift;
  value.many.viscosity = point;
  return value;
}

// ---------------------------------------------------------------- what does not fit

/// What a share of the value comes to; null where that is not one number.
static const char *share_text(struct pl_arena *arena, const struct pl_value *value,
                              double share) {
  struct pl_value part = *value;
  part.tolerance = 0;
  part.kind = PL_VALUE_NUMBER;
  if (value->kind == PL_VALUE_PORTS && value->count == 1) {
    part.number = value->many.ports[0].cap_diameter;
    part.dimension = PL_LENGTH;
  } else if (value->kind == PL_VALUE_VISCOSITY) {
    part.number = value->many.viscosity[0].viscosity;
    part.dimension = (struct pl_dimension){.length = 2, .time = -1};
  } else if (value->kind != PL_VALUE_NUMBER || value->absolute) {
    return NULL;
  }
  part.number = fabs(part.number) * share;
  return pl_value_text(arena, &part);
}

static const char *misfit_mend(struct evaluator *evaluator, const struct pl_node *node,
                               const struct pl_value *value, const struct pl_value *tolerance) {
  const bool is_per_cent = node->kind == PL_NODE_NUMBER && node->unit != NULL &&
                           node->unit->factor == 0.01 && node->number >= 0;
  const char *const share =
      is_per_cent ? share_text(evaluator->arena, value, tolerance->number) : NULL;
  if (share != NULL) return pl_format(evaluator->arena, "write `%s`, which is as much", share);
  if (value->kind == PL_VALUE_TEXT) return "numbers and ports have one, texts and names do not";
  if (value->kind == PL_VALUE_NUMBER && pl_dimension_equal(value->dimension, PL_DIMENSIONLESS))
    return "both have a unit, as in 1.30 mm +- 0.02 mm";
  return "a tolerance has the unit of its value, as in 1.30 mm +- 0.02 mm";
}

static void report_tolerance(struct evaluator *evaluator, const struct pl_node *node,
                             const struct pl_value *value, const struct pl_value *tolerance) {
  const struct pl_node *const written = node->children->next;
  const char *const shown = node_text_shown(evaluator, written);
  struct pl_value other = *tolerance;
  if (tolerance->absolute && value->absolute) {
    // A thermometer's degrees count as a difference.
    const bool is_plain = written->kind == PL_NODE_NUMBER && written->unit != NULL;
    other.absolute = false;
    other.number = is_plain ? written->number * written->unit->factor : 0;
    pl_report(evaluator->problems, PL_TOLERANCE_TEMPERATURE, written->span,
              PL_WORDS(shown, is_plain ? pl_value_text(evaluator->arena, &other) : NULL));
  } else if (tolerance->kind == PL_VALUE_NUMBER && tolerance->number < 0 &&
             !tolerance->absolute && value->kind == PL_VALUE_NUMBER) {
    other.number = -tolerance->number;
    pl_report(evaluator->problems, PL_TOLERANCE_BELOW_ZERO, written->span,
              PL_WORDS(shown, pl_value_text(evaluator->arena, &other)));
  } else {
    pl_report(evaluator->problems, PL_TOLERANCE_MISFIT, written->span,
              PL_WORDS(shown, value_words(evaluator->arena, tolerance),
                       node_text_shown(evaluator, node->children),
                       value_words(evaluator->arena, value),
                       misfit_mend(evaluator, written, value, tolerance)));
  }
}

struct pl_value evaluate_tolerance(struct evaluator *evaluator, const struct pl_node *node) {
  struct pl_value value = evaluate(evaluator, node->children);
  const struct pl_value tolerance = evaluate(evaluator, node->children->next);
  if (value.kind == PL_VALUE_NONE || tolerance.kind == PL_VALUE_NONE) return value_none();
  const struct pl_dimension wanted = value.kind == PL_VALUE_PORTS ? PL_LENGTH
                                     : value.kind == PL_VALUE_VISCOSITY
                                         ? (struct pl_dimension){.length = 2, .time = -1}
                                         : value.dimension;
  const bool takes_one = value.kind == PL_VALUE_NUMBER || value.kind == PL_VALUE_PORTS ||
                         value.kind == PL_VALUE_VISCOSITY;
  const bool fits = takes_one && tolerance.kind == PL_VALUE_NUMBER && !tolerance.absolute &&
                    pl_dimension_equal(tolerance.dimension, wanted) && tolerance.number >= 0;
  if (!fits) {
    report_tolerance(evaluator, node, &value, &tolerance);
    return value_none();
  }
  const double shift = shift_of(evaluator, node, tolerance.number);
  if (value.kind == PL_VALUE_PORTS)
    return with_tolerance_of_ports(evaluator, value, tolerance.number, shift);
  if (value.kind == PL_VALUE_VISCOSITY)
    return with_tolerance_of_viscosity(evaluator, value, tolerance.number, shift);
  // What is uncertain already, as a `let` may be, is uncertain by both.
  add_tolerance(evaluator, &value, node, tolerance.number);
  value.number += shift;
  return value;
}

// ---------------------------------------------------------------- numbers made of others

/// A number keeps apart at most so many: what a person writes has two or three, and without an
/// end a file of sums of sums would fill memory.
#define TERMS_KEPT 8

static struct pl_term *find_term(struct pl_term *terms, size_t count,
                                 const struct pl_term *like) {
  for (size_t i = 0; i < count; i++) {
    if (like->node != NULL && terms[i].node == like->node && terms[i].place == like->place)
      return &terms[i];
  }
  return NULL;
}

/// A slope that is none, as that of a root of 0, says nothing.
static void add_terms(struct pl_term *terms, size_t *count, const struct pl_value *value,
                      double slope) {
  for (size_t i = 0; i < value->count; i++) {
    const struct pl_term *const term = &value->many.terms[i];
    const double half_width = slope * term->half_width;
    struct pl_term *const known = find_term(terms, *count, term);
    if (!isfinite(half_width)) continue;
    if (known != NULL)
      known->half_width += half_width;
    else
      terms[(*count)++] = (struct pl_term){term->node, term->place, half_width};
  }
}

void take_tolerance(struct evaluator *evaluator, struct pl_value *result,
                    const struct pl_value *left, double by_left, const struct pl_value *right,
                    double by_right) {
  struct pl_term terms[2 * TERMS_KEPT];
  size_t count = 0;
  if (result->kind != PL_VALUE_NUMBER) return;
  add_terms(terms, &count, left, by_left);
  if (right != NULL) add_terms(terms, &count, right, by_right);
  result->count = 0;
  result->tolerance = 0;
  if (count == 0) return;
  for (size_t i = 0; i < count; i++)
    result->tolerance = hypot(result->tolerance, terms[i].half_width);
  if (count > TERMS_KEPT) { // from here on one, which nothing else shares
    terms[0] = (struct pl_term){NULL, PL_PLACE_COUNT, result->tolerance};
    count = 1;
  }
  struct pl_term *const kept = pl_alloc_array(evaluator->arena, count, sizeof *kept);
  memcpy(kept, terms, count * sizeof *kept);
  result->count = count;
  result->many.terms = kept;
}

void add_tolerance(struct evaluator *evaluator, struct pl_value *value,
                   const struct pl_node *node, double tolerance) {
  if (tolerance <= 0) return;
  const struct pl_term term = {node, place_of_value(evaluator), tolerance};
  const struct pl_value own = {.count = 1, .many.terms = &term};
  take_tolerance(evaluator, value, value, 1, &own, 1);
}

// ---------------------------------------------------------------- all of a program

bool pl_program_has_tolerance(const struct pl_program *program) {
  return program->has_tolerance;
}

static void free_arena(void *arena) {
  pl_arena_free(arena);
}

struct pl_arena *pl_program_scratch(struct pl_program *program) {
  if (program->scratch == NULL) {
    struct pl_arena *const scratch = pl_arena_new(program->session->guard);
    pl_arena_at_end(program->arena, free_arena, scratch);
    program->scratch = scratch;
  }
  pl_arena_reset(program->scratch);
  return program->scratch;
}

/// A trial with the work that is done in it.
struct trying {
  struct pl_program *program;
  struct pl_arena *scratch;
  struct trial *trial;
  void (*work)(void *context);
  void *context;
};

static void work_in_trial(void *context) {
  const struct trying *const trying = context;
  struct pl_program *const program = trying->program;
  program->trial = trying->trial;
  trying->trial->lets = pl_map_new(trying->scratch);
  program->problems = pl_diagnostics_new(trying->scratch);
  trying->work(trying->context);
}

static void try_with(struct pl_program *program, struct pl_arena *scratch, struct trial *trial,
                     void (*work)(void *context), void *context) {
  struct trying trying = {program, scratch, trial, work, context};
  pl_program_aside(program, scratch, work_in_trial, &trying);
}

const struct pl_uncertain *pl_program_uncertain(struct pl_program *program,
                                                struct pl_arena *arena,
                                                struct pl_arena *scratch,
                                                void (*work)(void *context), void *context,
                                                size_t *count, bool *more) {
  struct trial trial = {.gathers = true, .arena = arena};
  try_with(program, scratch, &trial, work, context);
  *count = trial.met_count;
  *more = trial.more;
  return trial.met;
}

void pl_program_shifted(struct pl_program *program, struct pl_arena *scratch,
                        const struct pl_shift *shifts, size_t count,
                        void (*work)(void *context), void *context) {
  struct trial trial = {.shifts = shifts, .shift_count = count};
  try_with(program, scratch, &trial, work, context);
}
