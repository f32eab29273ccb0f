// SPDX-License-Identifier: GPL-3.0-or-later
// Tolerances of figures: the slope of the whole evaluation for each uncertain value, and what
// all of them come to together.
#include "room.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/// A value is shifted by this share of its tolerance: far above what rounding and the search
/// for roots leave, near enough for a slope.
#define STEP 0.125
/// For what looks bent the slopes are taken again, this much nearer.
#define NEARER 0.25

/// What rounding may leave of a figure that does not depend on a value.
#define ROUNDING 1e-12

#define SLOTS ((size_t)PL_FIGURE_COUNT * CORNERS)

struct pl_tolerances {
  struct pl_figure_tolerance of[PL_FIGURE_COUNT][CORNERS]; ///< from the scope's first place on
};

/// The tolerances being worked out.
struct study {
  struct pl_program *program;
  struct pl_arena *arena;
  struct pl_arena *scratch;
  const char *setup;
  struct pl_span span; ///< of the setup's name
  bool wants[PL_FIGURE_COUNT];
  double *values;   ///< where the evaluation under way puts its figures
  double *sides[4]; ///< of the value in hand: down and up, and both again nearer
};

static bool is_there(enum pl_figure figure, size_t at) {
  const enum pl_scope scope = pl_figure_rows[figure].scope;
  return pl_first_place(scope) + at <= (size_t)pl_last_place(scope);
}

/// Figures of words have no slope.
static bool is_number(enum pl_figure figure) {
  return strchr(pl_figure_rows[figure].unit, '|') == NULL;
}

static void take_values(const struct study *study, struct pl_figures *figures) {
  for (size_t i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_place first = pl_first_place(pl_figure_rows[i].scope);
    for (size_t at = 0; at < CORNERS; at++)
      study->values[i * CORNERS + at] =
          study->wants[i] && is_there((enum pl_figure)i, at)
              ? pl_figure_get(figures, (enum pl_figure)i, (enum pl_place)(first + at))->value
              : NAN;
  }
}

static void evaluate_again(void *context) {
  const struct study *const study = context;
  const struct pl_setup *const setup = pl_program_setup(study->program, study->setup);
  if (setup != NULL) take_values(study, pl_figures_brief(setup));
}

static double *values_new(const struct study *study) {
  return pl_alloc_array(study->arena, SLOTS, sizeof(double));
}

static void shift_by(struct study *study, const struct pl_uncertain *value, double amount,
                     double *values) {
  const struct pl_shift shift = {value->node, value->place, amount};
  study->values = values;
  pl_program_shifted(study->program, study->scratch, &shift, 1, evaluate_again, study);
  pl_arena_reset(study->scratch);
}

// ---------------------------------------------------------------- one value's slopes

/// Figures with a value shifted down and up, and as it is written.
struct sides {
  double *down;
  double *up;
  const double *here;
  double step; ///< a share of the tolerance
};

/// What the figure changes by, scaled to the whole tolerance, to each side.
static double upward(const struct sides *sides, size_t slot) {
  return (sides->up[slot] - sides->here[slot]) / sides->step;
}

static double downward(const struct sides *sides, size_t slot) {
  return (sides->here[slot] - sides->down[slot]) / sides->step;
}

static double apart(const struct sides *sides, size_t slot) {
  return fabs(upward(sides, slot) - downward(sides, slot));
}

static double steeper(const struct sides *sides, size_t slot) {
  const double up = upward(sides, slot);
  const double down = downward(sides, slot);
  return fabs(up) >= fabs(down) ? up : down;
}

/// Do the slopes of both sides differ by more than a quarter?
static bool looks_bent(const struct sides *sides, size_t slot) {
  return apart(sides, slot) > 0.25 * fabs(steeper(sides, slot));
}

/// A smooth curve's slopes come together as the sides do; those at a corner do not.
static bool is_bent(const struct sides *wide, const struct sides *near, size_t slot) {
  return looks_bent(wide, slot) && apart(near, slot) > 0.5 * apart(wide, slot);
}

static struct pl_contribution contribution(const struct sides *wide, const struct sides *near,
                                           size_t slot) {
  const double up = upward(wide, slot);
  const double down = downward(wide, slot);
  if (!isfinite(up) || !isfinite(down))
    return (struct pl_contribution){.half_width = isfinite(up) ? up : down, .bends = true};
  const bool bends = near != NULL && is_bent(wide, near, slot);
  return (struct pl_contribution){.half_width = bends ? steeper(near, slot) : (up + down) / 2,
                                  .bends = bends};
}

static void add_part(const struct study *study, struct pl_figure_tolerance *tolerance,
                     struct pl_contribution part, size_t most) {
  if (isnan(part.half_width)) {
    tolerance->untold = true;
    return;
  }
  struct pl_contribution *parts = (struct pl_contribution *)tolerance->parts;
  if (parts == NULL) parts = pl_alloc_array(study->arena, most, sizeof *parts);
  parts[tolerance->count++] = part;
  tolerance->parts = parts;
}

static bool any_looks_bent(const struct sides *sides) {
  for (size_t slot = 0; slot < SLOTS; slot++) {
    if (looks_bent(sides, slot)) return true;
  }
  return false;
}

/// Adds what the value does to every figure; `most` is the number of all values.
static void add_value(struct study *study, struct pl_tolerances *tolerances,
                      const struct pl_uncertain *value, const double *here, size_t most) {
  const struct sides wide = {study->sides[0], study->sides[1], here, STEP};
  const struct sides near = {study->sides[2], study->sides[3], here, STEP * NEARER};
  shift_by(study, value, -STEP * value->tolerance, wide.down);
  shift_by(study, value, STEP * value->tolerance, wide.up);
  const bool again = any_looks_bent(&wide);
  if (again) {
    shift_by(study, value, -STEP * NEARER * value->tolerance, near.down);
    shift_by(study, value, STEP * NEARER * value->tolerance, near.up);
  }
  for (size_t slot = 0; slot < SLOTS; slot++) {
    if (!isfinite(here[slot])) continue;
    struct pl_contribution part = contribution(&wide, again ? &near : NULL, slot);
    if (fabs(part.half_width) <= ROUNDING * fabs(here[slot])) continue;
    part.value = value;
    add_part(study, &tolerances->of[slot / CORNERS][slot % CORNERS], part, most);
  }
}

// ---------------------------------------------------------------- all together

static int compare_parts(const void *left, const void *right) {
  const struct pl_contribution *const a = left;
  const struct pl_contribution *const b = right;
  const double one = fabs(a->half_width);
  const double other = fabs(b->half_width);
  if (one != other) return one < other ? 1 : -1;
  return a->value < b->value ? -1 : a->value > b->value; // in the order of meeting them
}

static void add_up(struct pl_figure_tolerance *tolerance) {
  if (tolerance->untold) *tolerance = (struct pl_figure_tolerance){.untold = true};
  if (tolerance->count == 0) return;
  qsort((void *)tolerance->parts, tolerance->count, sizeof *tolerance->parts, compare_parts);
  for (size_t i = 0; i < tolerance->count; i++) {
    tolerance->half_width = hypot(tolerance->half_width, tolerance->parts[i].half_width);
    tolerance->worst += fabs(tolerance->parts[i].half_width);
  }
}

static void choose(struct study *study, const enum pl_figure *wanted, size_t count) {
  for (size_t i = 0; i < PL_FIGURE_COUNT; i++)
    study->wants[i] = count == 0 && is_number((enum pl_figure)i);
  for (size_t i = 0; i < count; i++) study->wants[wanted[i]] = is_number(wanted[i]);
}

/// Were there too many before? Each who asks would else say so again.
static bool is_reported(const struct study *study) {
  const struct pl_diagnostics *const problems = pl_program_problems(study->program);
  for (size_t i = 0; i < problems->count; i++) {
    if (problems->items[i].code == PL_TOO_MANY_TOLERANCES &&
        problems->items[i].span.start == study->span.start)
      return true;
  }
  return false;
}

static struct pl_tolerances *studied(struct study *study) {
  double *const here = values_new(study);
  study->values = here;
  bool more = false;
  size_t count = 0;
  const struct pl_uncertain *const values = pl_program_uncertain(
      study->program, study->arena, study->scratch, evaluate_again, study, &count, &more);
  pl_arena_reset(study->scratch);
  if (more && !is_reported(study))
    pl_report(pl_program_problems(study->program), PL_TOO_MANY_TOLERANCES, study->span,
              PL_WORDS(study->setup, pl_format(study->arena, "%d", PL_MOST_UNCERTAIN)));
  if (count == 0 || more) return NULL;
  for (size_t i = 0; i < 4; i++) study->sides[i] = values_new(study);
  struct pl_tolerances *const tolerances = pl_alloc(study->arena, sizeof *tolerances);
  for (size_t i = 0; i < count; i++) add_value(study, tolerances, &values[i], here, count);
  for (size_t i = 0; i < SLOTS; i++) add_up(&tolerances->of[i / CORNERS][i % CORNERS]);
  return tolerances;
}

struct pl_tolerances *pl_tolerances_new(struct pl_figures *figures,
                                        const enum pl_figure *wanted, size_t count) {
  const struct pl_setup *const setup = figures->setup;
  struct pl_program *const program = pl_setup_program(setup);
  struct study study = {.program = program,
                        .arena = figures->arena,
                        .setup = pl_setup_name(setup),
                        .span = pl_setup_span(setup)};
  choose(&study, wanted, count);
  study.values = values_new(&study);
  take_values(&study, figures); // so that the program has come upon what they ask for
  if (!pl_program_has_tolerance(program)) return NULL;
  study.scratch = pl_program_scratch(program);
  struct pl_tolerances *const tolerances = studied(&study);
  pl_arena_reset(study.scratch);
  return tolerances;
}

const struct pl_figure_tolerance *pl_tolerance_of(const struct pl_tolerances *tolerances,
                                                  enum pl_figure figure, enum pl_place place) {
  static const struct pl_figure_tolerance none = {.half_width = 0};
  const enum pl_place first = pl_first_place(pl_figure_rows[figure].scope);
  if (tolerances == NULL || place < first ||
      place > pl_last_place(pl_figure_rows[figure].scope))
    return &none;
  return &tolerances->of[figure][place - first];
}
