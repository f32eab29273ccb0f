// SPDX-License-Identifier: GPL-3.0-or-later
// A sweep: the setup once more for each value, and what its figures are there.
#include "pitleaf/sweep.h"

#include "pitleaf/syntax.h"

#include <math.h>
#include <string.h>

/// A sweep in the making.
struct running {
  struct pl_arena *arena;
  struct pl_arena *scratch; ///< of the point in hand
  struct pl_sweep *sweep;
  struct pl_program *program; ///< the setup as it is
  struct pl_program *varied;  ///< of the point in hand
  struct pl_map *said;        ///< reasons that were copied already
};

// ---------------------------------------------------------------- points

size_t pl_sweep_index(const struct pl_sweep *sweep, size_t setting, size_t point) {
  if (sweep->setting_count == 1) return point;
  const size_t inner = sweep->settings[1].count;
  return setting == 0 ? point / inner : point % inner;
}

void pl_sweep_ends(const struct pl_sweep_setting *setting, size_t *first, size_t *last) {
  size_t least = 0;
  size_t greatest = 0;
  for (size_t i = 1; i < setting->count; i++) {
    if (setting->values[i].number < setting->values[least].number) least = i;
    if (setting->values[i].number > setting->values[greatest].number) greatest = i;
  }
  const double start = setting->values[0].number;
  const double end = setting->values[setting->count - 1].number;
  const bool falls =
      start == setting->values[greatest].number && end == setting->values[least].number;
  *first = falls ? greatest : least;
  *last = falls ? least : greatest;
}

const char *pl_sweep_point_text(struct pl_arena *arena, const struct pl_sweep *sweep,
                                size_t point) {
  struct pl_buffer out = {.arena = arena};
  for (size_t i = 0; i < sweep->setting_count; i++) {
    const struct pl_sweep_setting *const setting = &sweep->settings[i];
    pl_buffer_format(&out, "%s%s = %s", i == 0 ? "" : ", ", setting->path,
                     setting->values[pl_sweep_index(sweep, i, point)].written);
  }
  return pl_buffer_string(&out);
}

/// Points that are named one by one.
#define NAMED_POINTS 3

const char *pl_sweep_points_text(struct pl_arena *arena, const struct pl_sweep *sweep,
                                 const size_t *points, size_t count) {
  struct pl_buffer out = {.arena = arena};
  if (count == sweep->point_count && count > 1) return "at every value";
  const size_t named = count <= NAMED_POINTS + 1 ? count : NAMED_POINTS;
  for (size_t i = 0; i < named; i++) {
    // Of one setting its name stands once.
    const struct pl_sweep_setting *const only = &sweep->settings[0];
    const bool is_first = i == 0 || sweep->setting_count > 1;
    pl_buffer_text(&out, i == 0 ? "" : sweep->setting_count > 1 ? "; " : ", ");
    pl_buffer_text(&out, is_first ? pl_sweep_point_text(arena, sweep, points[i])
                                  : only->values[points[i]].written);
  }
  if (named < count) pl_buffer_format(&out, " and %zu more", count - named);
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- how the setup is now

/// Does a scope, as a file has it, cover the place?
static bool covers(const char *scope, enum pl_place place) {
  static const struct {
    const char *scope;
    unsigned places;
  } rows[] = {{"front", 1u << PL_FRONT | 1u << PL_FRONT_LEFT | 1u << PL_FRONT_RIGHT},
              {"rear", 1u << PL_REAR | 1u << PL_REAR_LEFT | 1u << PL_REAR_RIGHT},
              {"left", 1u << PL_FRONT_LEFT | 1u << PL_REAR_LEFT},
              {"right", 1u << PL_FRONT_RIGHT | 1u << PL_REAR_RIGHT}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    if (strcmp(rows[i].scope, scope) == 0) return (rows[i].places & 1u << place) != 0;
  }
  // `all`, and what stands in no scope, which is for all places that a setting has.
  return pl_place_of(scope) == PL_PLACE_COUNT || pl_place_of(scope) == PL_CAR ||
         pl_place_of(scope) == place;
}

/// The setting's value at all places that the scope covers; null where it is not one.
static const struct pl_value *value_in(const struct pl_setup *setup,
                                       const struct pl_sweep_setting *setting) {
  const struct pl_value *found = NULL;
  const enum pl_scope scope = pl_settings[setting->setting].scope;
  for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
    if (!covers(setting->scope, (enum pl_place)place)) continue;
    const struct pl_resolved *const resolved =
        pl_setup_get(setup, setting->setting, (enum pl_place)place);
    if (resolved->value.kind == PL_VALUE_NONE) return NULL;
    if (found != NULL && !pl_value_equal(found, &resolved->value)) return NULL;
    found = &resolved->value;
  }
  return found;
}

/// The number by which a part goes, and of which quantity: an oil's viscosity at 25 degC, a
/// spring's rate. NaN where it has none.
static double number_of_part(const struct pl_part *part, const char **unit) {
  static const double named_at = 298.15;
  if (part->kind == PL_BLOCK_SPRING && part->share_count == 0) {
    const struct pl_value *const rate = &pl_part_get(part, PL_SETTING_RATE)->value;
    *unit = "N/m";
    return rate->kind == PL_VALUE_NUMBER ? rate->number : NAN;
  }
  if (part->kind != PL_BLOCK_OIL || part->share_count > 0) return NAN;
  const struct pl_value *const given = &pl_part_get(part, PL_SETTING_VISCOSITY)->value;
  *unit = "m^2/s";
  const bool is_one = given->kind == PL_VALUE_VISCOSITY && given->count == 1 &&
                      fabs(given->many.viscosity[0].temperature - named_at) < 1e-6;
  return is_one ? given->many.viscosity[0].viscosity : NAN;
}

/// A value as a number in the unit of the sweep's; NaN where it is none.
static double number_of(const struct pl_value *value, const struct pl_sweep_setting *setting) {
  struct pl_unit unit;
  const char *bad = NULL;
  size_t length = 0;
  if (!setting->is_number ||
      pl_unit_read(setting->unit, strlen(setting->unit), &unit, &bad, &length) != PL_UNIT_OK)
    return NAN;
  if (value->kind == PL_VALUE_NUMBER)
    return pl_dimension_equal(value->dimension, unit.dimension)
               ? pl_from_si(value->number, &unit)
               : NAN;
  const char *own = "";
  const double number = value->kind == PL_VALUE_PART ? number_of_part(value->part, &own) : NAN;
  const struct pl_unit own_unit = pl_unit_named(own);
  return pl_dimension_equal(own_unit.dimension, unit.dimension) ? pl_from_si(number, &unit)
                                                                : NAN;
}

static void find_now(struct running *running, struct pl_sweep_setting *setting) {
  const struct pl_value *const value =
      value_in(pl_figures_setup(running->sweep->today), setting);
  if (value == NULL) return;
  const struct pl_printed printed =
      pl_print_setting(running->arena, setting->setting, value, PL_METRIC);
  setting->now_shown = pl_format(running->arena, "%s%s%s", printed.text,
                                 printed.unit[0] == '\0' ? "" : " ", printed.unit);
  setting->now_number = number_of(value, setting);
  for (size_t i = 0; i < setting->count; i++) {
    const double number = setting->values[i].number;
    if (fabs(number - setting->now_number) <= 1e-9 * fmax(1, fabs(number))) setting->now = i;
  }
}

/// What is no number is told by its value: is that of the point in hand today's?
static void compare_with_now(struct running *running, const struct pl_setup *setup,
                             size_t point) {
  struct pl_sweep *const sweep = running->sweep;
  for (size_t i = 0; i < sweep->setting_count; i++) {
    struct pl_sweep_setting *const setting = &sweep->settings[i];
    if (setting->now < setting->count || !isnan(setting->now_number)) continue;
    const struct pl_value *const now = value_in(pl_figures_setup(sweep->today), setting);
    const struct pl_value *const here = value_in(setup, setting);
    if (now != NULL && here != NULL && pl_value_equal(now, here))
      setting->now = pl_sweep_index(sweep, i, point);
  }
}

// ---------------------------------------------------------------- remarks

static bool is_error(const struct pl_diagnostic *problem) {
  return pl_diagnostic_rows[problem->code].severity == PL_ERROR;
}

/// Has the file this problem without the values of the sweep, too?
static bool is_old(const struct running *running, const struct pl_diagnostic *problem) {
  const struct pl_diagnostics *const all = pl_program_problems(running->program);
  for (size_t i = 0; i < all->count; i++) {
    const struct pl_diagnostic *const old = &all->items[i];
    const bool same_file = old->span.source == problem->span.source ||
                           (old->span.source != NULL && problem->span.source != NULL &&
                            strcmp(old->span.source->path, problem->span.source->path) == 0);
    if (old->code == problem->code && same_file && old->span.start == problem->span.start &&
        strcmp(old->message, problem->message) == 0)
      return true;
  }
  return false;
}

/// Mistakes of one kind that are told one by one: each may have a mend of its own.
#define TOLD_MISTAKES 3

/// The remark that says the same or, of what is wrong with the values themselves, the like.
static struct pl_sweep_remark *same_remark(const struct pl_sweep *sweep,
                                           const struct pl_diagnostic *problem,
                                           const char *place) {
  const size_t most = place[0] != '\0' ? SIZE_MAX : is_error(problem) ? TOLD_MISTAKES : 1;
  struct pl_sweep_remark *last = NULL;
  size_t alike = 0;
  for (size_t i = 0; i < sweep->remark_count; i++) {
    struct pl_sweep_remark *const remark = &sweep->remarks[i];
    if (remark->problem.code != problem->code || strcmp(remark->place, place) != 0) continue;
    if (strcmp(remark->problem.message, problem->message) == 0) return remark;
    last = remark;
    alike++;
  }
  return alike < most ? NULL : last;
}

static struct pl_sweep_remark *
new_remark(struct running *running, const struct pl_diagnostic *problem, const char *place) {
  struct pl_sweep *const sweep = running->sweep;
  struct pl_arena *const arena = running->arena;
  sweep->remarks = pl_grow(arena, sweep->remarks, sweep->remark_count, &sweep->remark_capacity,
                           sizeof *sweep->remarks);
  struct pl_sweep_remark *const remark = &sweep->remarks[sweep->remark_count++];
  *remark = (struct pl_sweep_remark){
      .problem = {.code = problem->code,
                  .message = pl_copy_text(arena, problem->message, strlen(problem->message)),
                  .hint = pl_copy_text(arena, problem->hint, strlen(problem->hint))},
      .place = pl_copy_text(arena, place, strlen(place)),
      .is_error = is_error(problem)};
  return remark;
}

static void add_remark(struct running *running, const struct pl_diagnostic *problem,
                       size_t point) {
  const bool is_own = pl_is_varied(running->program, running->varied, problem->span);
  const char *const place = is_own ? "" : pl_span_place(running->scratch, problem->span);
  struct pl_sweep_remark *remark = same_remark(running->sweep, problem, place);
  if (remark == NULL) remark = new_remark(running, problem, place);
  remark->differs |= strcmp(remark->problem.message, problem->message) != 0;
  if (remark->count > 0 && remark->points[remark->count - 1] == point) return;
  remark->points = pl_grow(running->arena, remark->points, remark->count, &remark->capacity,
                           sizeof *remark->points);
  remark->points[remark->count++] = point;
}

/// Notes what is new at a point; true if something of it is a mistake. That a value hides those
/// of narrower scopes is what whoever sweeps a wide one wants.
static bool add_remarks(struct running *running, size_t point) {
  const struct pl_diagnostics *const problems = pl_program_problems(running->varied);
  bool has_errors = false;
  for (size_t i = 0; i < problems->count; i++) {
    const struct pl_diagnostic *const problem = &problems->items[i];
    const bool is_wish = problem->code == PL_HIDES_NARROWER &&
                         pl_is_varied(running->program, running->varied, problem->span);
    if (is_wish || is_old(running, problem)) continue;
    add_remark(running, problem, point);
    has_errors |= is_error(problem);
  }
  return has_errors;
}

// ---------------------------------------------------------------- figures

/// Why a figure has no value, in the words of its needs and notes.
static const char *reason_of(struct running *running, const struct pl_figure_value *value) {
  struct pl_buffer words = {.arena = running->scratch};
  for (size_t i = 0; i < value->need_count; i++)
    pl_buffer_format(&words, "%s%s", i == 0 ? "needs " : ", ", value->needs[i]);
  for (size_t i = 0; i < value->note_count; i++)
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : "; ", value->notes[i]);
  const char *const text =
      words.length == 0 ? "cannot be told from what is declared" : pl_buffer_string(&words);
  const char *kept = pl_map_get(running->said, text);
  if (kept != NULL) return kept;
  kept = pl_copy_text(running->arena, text, strlen(text));
  pl_map_set(running->said, kept, (void *)kept);
  return kept;
}

static void read_columns(struct running *running, struct pl_figures *figures, size_t point) {
  struct pl_sweep *const sweep = running->sweep;
  for (size_t i = 0; i < sweep->column_count; i++) {
    const struct pl_sweep_column *const column = &sweep->columns[i];
    double *const values = (double *)column->values;
    values[point] = NAN;
    if (figures == NULL) {
      column->why[point] = PL_SWEEP_MISTAKE;
      continue;
    }
    const struct pl_figure_value *const value =
        pl_figure_get(figures, column->figure, column->place);
    if (value->present)
      values[point] = value->value;
    else
      column->why[point] = reason_of(running, value);
  }
}

static void make_columns(struct running *running) {
  struct pl_sweep *const sweep = running->sweep;
  struct pl_arena *const arena = running->arena;
  sweep->columns =
      pl_alloc_array(arena, sweep->figure_count * PL_PLACE_COUNT, sizeof *sweep->columns);
  for (size_t i = 0; i < sweep->figure_count; i++) {
    const enum pl_figure figure = sweep->figures[i];
    const enum pl_scope scope = pl_figure_rows[figure].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      const struct pl_figure_value *const now =
          pl_figure_get(sweep->today, figure, (enum pl_place)place);
      sweep->columns[sweep->column_count++] = (struct pl_sweep_column){
          .figure = figure,
          .place = (enum pl_place)place,
          .now = now->present ? now->value : NAN,
          .values = pl_alloc_array(arena, sweep->point_count, sizeof(double)),
          .why = pl_alloc_array(arena, sweep->point_count, sizeof(const char *))};
    }
  }
}

static bool wants(const struct pl_sweep *sweep, enum pl_figure figure) {
  for (size_t i = 0; i < sweep->figure_count; i++) {
    if (sweep->figures[i] == figure) return true;
  }
  return false;
}

static void run_point(struct running *running, size_t point) {
  struct pl_sweep *const sweep = running->sweep;
  struct pl_variation variations[PL_SWEEP_SETTINGS];
  for (size_t i = 0; i < sweep->setting_count; i++) {
    const struct pl_sweep_setting *const setting = &sweep->settings[i];
    variations[i] = (struct pl_variation){
        setting->scope, setting->key, setting->values[pl_sweep_index(sweep, i, point)].written};
  }
  const char *name = NULL;
  running->varied = pl_program_varied(running->program, running->scratch,
                                      pl_setup_name(pl_figures_setup(sweep->today)), variations,
                                      sweep->setting_count, &name);
  const struct pl_setup *const setup = pl_program_setup(running->varied, name);
  struct pl_figures *figures = NULL;
  if (setup != NULL) {
    figures = wants(sweep, PL_FIGURE_EQUIVALENT_OIL) ? pl_figures_new(setup, sweep->today)
                                                     : pl_figures_brief(setup);
    pl_setup_check(setup);
    pl_figures_check(figures);
    compare_with_now(running, setup, point);
  }
  const bool has_errors = add_remarks(running, point);
  read_columns(running, has_errors ? NULL : figures, point);
  pl_arena_reset(running->scratch);
}

void pl_sweep_run(struct pl_arena *arena, struct pl_arena *scratch, struct pl_figures *today,
                  const enum pl_figure *figures, size_t count, struct pl_sweep *sweep) {
  struct running running = {.arena = arena,
                            .scratch = scratch,
                            .sweep = sweep,
                            .program = pl_setup_program(pl_figures_setup(today)),
                            .said = pl_map_new(arena)};
  sweep->today = today;
  sweep->figures = figures;
  sweep->figure_count = count;
  sweep->columns = NULL;
  sweep->column_count = sweep->remark_count = sweep->remark_capacity = 0;
  sweep->remarks = NULL;
  make_columns(&running);
  for (size_t i = 0; i < sweep->setting_count; i++) find_now(&running, &sweep->settings[i]);
  for (size_t i = 0; i < sweep->point_count; i++) run_point(&running, i);
}
