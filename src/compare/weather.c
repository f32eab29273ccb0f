// SPDX-License-Identifier: GPL-3.0-or-later
// The day's oil: the setup at another temperature, and the oils that damp there as it does now.
// All of it are sweeps: one over a single temperature, and one over oils at that temperature.
#include "pitleaf/weather.h"

#include "pitleaf/syntax.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const enum pl_figure told[] = {PL_FIGURE_SHOCK_TEMPERATURE,
                                      PL_FIGURE_OIL_VISCOSITY,
                                      PL_FIGURE_DAMPING_SLOW_COMPRESSION,
                                      PL_FIGURE_DAMPING_SLOW_REBOUND,
                                      PL_FIGURE_DAMPING_FAST_COMPRESSION,
                                      PL_FIGURE_DAMPING_FAST_REBOUND,
                                      PL_FIGURE_DAMPING_RATIO_SLOW,
                                      PL_FIGURE_DAMPING_RATIO_FAST,
                                      PL_FIGURE_EQUIVALENT_OIL};

const enum pl_figure *pl_weather_figures(size_t *count) {
  *count = sizeof told / sizeof told[0];
  return told;
}

static const struct pl_sweep_column *column_of(const struct pl_sweep *sweep,
                                               enum pl_figure figure, enum pl_place place) {
  size_t at = 0;
  while (sweep->columns[at].figure != figure || sweep->columns[at].place != place) at++;
  return &sweep->columns[at];
}

const struct pl_sweep_column *pl_weather_column(const struct pl_weather *weather,
                                                enum pl_figure figure, enum pl_place corner) {
  return column_of(&weather->sweep, figure, corner);
}

const char *pl_weather_read(struct pl_arena *arena, struct pl_names *names, const char *text,
                            struct pl_weather *weather) {
  struct pl_unit unit;
  double number = 0;
  *weather = (struct pl_weather){.now = NAN};
  if (!pl_quantity_read(text, &number, &unit) ||
      !pl_dimension_equal(unit.dimension, PL_TEMPERATURE))
    return pl_format(arena, "`%s` is no temperature; write it with its unit: --air 9 degC",
                     text);
  weather->temperature = pl_to_si(number, &unit);
  if (weather->temperature <= 0)
    return pl_format(arena, "`%s` is colder than anything can be", text);
  return pl_sweep_read(arena, names, pl_format(arena, "car.air [%s]", text), &weather->sweep);
}

// ---------------------------------------------------------------- oils to choose from

/// Names of oils.
struct oils {
  struct pl_arena *arena;
  struct pl_program *program;
  struct pl_map *known; ///< the same names
  bool of_main;         ///< of boxes, those of the main file are asked
  const char **names;
  size_t count;
  size_t capacity;
  bool in_halves; ///< two of them may be blended half and half
};

static void add_name(struct oils *oils, const char *name) {
  if (pl_map_set(oils->known, name, oils) != NULL) return;
  oils->names = pl_grow(oils->arena, (void *)oils->names, oils->count, &oils->capacity,
                        sizeof *oils->names);
  oils->names[oils->count++] = name;
}

static void add_oil(void *context, const struct pl_block *block, bool in_main) {
  (void)in_main;
  add_name(context, block->name);
}

static void add_oils_of_box(void *context, const struct pl_block *block, bool in_main) {
  struct oils *const oils = context;
  if (in_main != oils->of_main) return;
  const struct pl_parts_box *const box = pl_program_box(oils->program, block);
  for (size_t i = 0; i < box->oils.count; i++) add_name(oils, box->oils.names[i]);
  oils->in_halves |= box->oils.count > 0 && box->blends != PL_BLENDS_NONE;
}

/// The oils that somebody owns: this alone knows. Those in the boxes of the main file; where it
/// has none, in the boxes that it includes; where nothing says what is owned, all that are
/// declared, and any two of them in halves.
static struct oils owned_oils(struct pl_arena *arena, struct pl_program *program) {
  struct oils oils = {
      .arena = arena, .program = program, .known = pl_map_new(arena), .of_main = true};
  pl_program_each(program, PL_BLOCK_BOX, add_oils_of_box, &oils);
  oils.of_main = false;
  if (oils.count == 0) pl_program_each(program, PL_BLOCK_BOX, add_oils_of_box, &oils);
  if (oils.count > 0) return oils;
  oils.in_halves = true;
  pl_program_each(program, PL_BLOCK_OIL, add_oil, &oils);
  return oils;
}

// ---------------------------------------------------------------- trying oils

/// An oil, or two in halves, that is tried.
struct candidate {
  const char *names[2]; ///< the second is null where it is one oil
  double damping[2];    ///< slow, of front and rear, at the other temperature
};

/// The search for oils.
struct search {
  struct pl_arena *arena;
  struct pl_arena *scratch;
  struct pl_figures *today;
  struct pl_weather *weather;
};

/// Slow damping of an axle: of compression and rebound, left and right the mean. Of today where
/// `point` is SIZE_MAX.
static double slow_damping(const struct pl_sweep *sweep, size_t axle, size_t point) {
  static const enum pl_figure ways[] = {PL_FIGURE_DAMPING_SLOW_COMPRESSION,
                                        PL_FIGURE_DAMPING_SLOW_REBOUND};
  double sum = 0;
  for (size_t i = 0; i < 2; i++) {
    for (size_t side = 0; side < 2; side++) {
      const enum pl_place corner = (enum pl_place)(PL_FRONT_LEFT + 2 * axle + side);
      const struct pl_sweep_column *const column = column_of(sweep, ways[i], corner);
      sum += (point == SIZE_MAX ? column->now : column->values[point]) / 4;
    }
  }
  return sum;
}

static const char *written(struct pl_arena *arena, const struct candidate *candidate) {
  struct pl_buffer out = {.arena = arena};
  if (candidate->names[1] == NULL) {
    pl_buffer_quoted(&out, candidate->names[0]);
    return pl_buffer_string(&out);
  }
  pl_buffer_text(&out, "blend(");
  pl_buffer_quoted(&out, candidate->names[0]);
  pl_buffer_text(&out, " 50 %, ");
  pl_buffer_quoted(&out, candidate->names[1]);
  pl_buffer_text(&out, " 50 %)");
  return pl_buffer_string(&out);
}

/// Works out the damping of both axles with each of the candidates; NaN for what no setup may
/// have.
static void try_all(const struct search *search, struct candidate *candidates, size_t count) {
  static const enum pl_figure figures[] = {PL_FIGURE_DAMPING_SLOW_COMPRESSION,
                                           PL_FIGURE_DAMPING_SLOW_REBOUND};
  struct pl_sweep sweep = {.setting_count = 2, .point_count = count};
  struct pl_sweep_value *const values =
      pl_alloc_array(search->arena, count + 1, sizeof *values);
  for (size_t i = 0; i < count; i++)
    values[i] = (struct pl_sweep_value){
        .written = written(search->arena, &candidates[i]), .shown = "", .number = NAN};
  sweep.settings[0] = (struct pl_sweep_setting){.path = "all.oil",
                                                .scope = "all",
                                                .key = "oil",
                                                .setting = PL_SETTING_OIL,
                                                .unit = "",
                                                .values = values,
                                                .count = count,
                                                .now = count,
                                                .now_shown = "",
                                                .now_number = NAN};
  sweep.settings[1] = search->weather->sweep.settings[0];
  pl_sweep_run(search->arena, search->scratch, search->today, figures, 2, &sweep);
  for (size_t i = 0; i < count; i++) {
    for (size_t axle = 0; axle < 2; axle++)
      candidates[i].damping[axle] = slow_damping(&sweep, axle, i);
  }
}

/// Pairs whose exact damping is worked out for an axle: more than are told, so that the
/// estimate by which they are chosen need not be the last word.
#define TRIED_PAIRS 8

/// A pair with how far it is estimated to be off, and how far its oils are apart.
struct pair {
  size_t oils[2];
  double miss;
  double spread;
};

/// What is nearer counts in tenths of a per cent: finer than any bottle is filled. Of equals
/// that goes first whose oils are more alike.
static bool goes_before(double miss, double spread, double other_miss, double other_spread) {
  const double one = round(1000 * miss);
  const double other = round(1000 * other_miss);
  return one != other ? one < other : spread < other_spread;
}

/// Keeps the pairs that come nearest, the nearest first.
static void keep_pair(struct pair *pairs, size_t *count, struct pair pair) {
  size_t at = *count;
  while (at > 0 &&
         goes_before(pair.miss, pair.spread, pairs[at - 1].miss, pairs[at - 1].spread))
    at--;
  if (at == TRIED_PAIRS) return;
  if (*count < TRIED_PAIRS) (*count)++;
  for (size_t i = *count - 1; i > at; i--) pairs[i] = pairs[i - 1];
  pairs[at] = pair;
}

/// The pairs that are worth trying on an axle. Slow damping is in proportion to the viscosity,
/// and the logarithm of a blend's is the mean of its oils' at every temperature.
static size_t choose_pairs(const struct candidate *singles, size_t count, size_t axle,
                           double wanted, struct pair *pairs) {
  size_t found = 0;
  for (size_t i = 0; i < count; i++) {
    for (size_t j = i + 1; j < count; j++) {
      const double one = log(singles[i].damping[axle]);
      const double other = log(singles[j].damping[axle]);
      const double miss = fabs((one + other) / 2 - log(wanted));
      const struct pair pair = {{i, j}, miss, fabs(one - other)};
      if (isfinite(miss)) keep_pair(pairs, &found, pair);
    }
  }
  return found;
}

// ---------------------------------------------------------------- choosing

static struct pl_weather_oil told_oil(struct pl_arena *arena, const struct candidate *candidate,
                                      size_t axle, double wanted) {
  const char *const words =
      candidate->names[1] == NULL
          ? candidate->names[0]
          : pl_format(arena, "half %s, half %s", candidate->names[0], candidate->names[1]);
  return (struct pl_weather_oil){.words = words,
                                 .written = written(arena, candidate),
                                 .excess = candidate->damping[axle] / wanted - 1};
}

static bool is_better(const struct pl_weather_oil *oil, const struct pl_weather_oil *other) {
  return goes_before(fabs(oil->excess), oil->spread, fabs(other->excess), other->spread);
}

/// Puts an oil among the best; of equals, what came first stays first.
static void keep_best(struct pl_weather_axle *axle, struct pl_weather_oil oil) {
  if (!isfinite(oil.excess)) return;
  size_t at = axle->best_count;
  while (at > 0 && is_better(&oil, &axle->best[at - 1])) at--;
  if (at == PL_WEATHER_BEST) return;
  if (axle->best_count < PL_WEATHER_BEST) axle->best_count++;
  for (size_t i = axle->best_count - 1; i > at; i--) axle->best[i] = axle->best[i - 1];
  axle->best[at] = oil;
}

/// Is it the oil that the axle has anyway?
static bool is_same_oil(const struct pl_weather_axle *axle, const struct pl_weather_oil *oil) {
  return strcmp(axle->oil, oil->words) == 0 &&
         fabs(axle->unchanged.excess - oil->excess) < 1e-9;
}

/// The oil as it is, then single ones, then halves: so the simpler of equals comes first.
static void choose(const struct search *search, size_t which, const struct candidate *singles,
                   size_t count, bool in_halves) {
  struct pl_weather_axle *const axle = &search->weather->axles[which];
  const double wanted = slow_damping(&search->weather->sweep, which, SIZE_MAX);
  keep_best(axle, axle->unchanged);
  for (size_t i = 0; i < count; i++) {
    const struct pl_weather_oil oil = told_oil(search->arena, &singles[i], which, wanted);
    if (!is_same_oil(axle, &oil)) keep_best(axle, oil);
  }
  if (!in_halves) return;
  struct pair pairs[TRIED_PAIRS];
  struct candidate tried[TRIED_PAIRS];
  const size_t found = choose_pairs(singles, count, which, wanted, pairs);
  for (size_t i = 0; i < found; i++)
    tried[i] = (struct candidate){
        .names = {singles[pairs[i].oils[0]].names[0], singles[pairs[i].oils[1]].names[0]}};
  try_all(search, tried, found);
  for (size_t i = 0; i < found; i++) {
    struct pl_weather_oil oil = told_oil(search->arena, &tried[i], which, wanted);
    oil.spread = pairs[i].spread;
    keep_best(axle, oil);
  }
}

// ---------------------------------------------------------------- the whole

/// Why the slow damping of an axle cannot be told; null if it can.
static const char *lacks_of(const struct pl_weather *weather, size_t axle) {
  for (size_t i = 0; i < 4; i++) {
    const enum pl_figure figure =
        i < 2 ? PL_FIGURE_DAMPING_SLOW_COMPRESSION : PL_FIGURE_DAMPING_SLOW_REBOUND;
    const enum pl_place corner = (enum pl_place)(PL_FRONT_LEFT + 2 * axle + i % 2);
    const struct pl_sweep_column *const column = pl_weather_column(weather, figure, corner);
    if (column->why[0] != NULL) return column->why[0];
  }
  return NULL;
}

static bool sides_differ(const struct pl_weather *weather, size_t axle) {
  const enum pl_place left = (enum pl_place)(PL_FRONT_LEFT + 2 * axle);
  const enum pl_place right = (enum pl_place)(left + 1);
  const enum pl_figure figure = PL_FIGURE_DAMPING_SLOW_COMPRESSION;
  const double one = pl_weather_column(weather, figure, left)->now;
  const double other = pl_weather_column(weather, figure, right)->now;
  return fabs(one - other) > 1e-6 * fabs(one);
}

static const char *oil_words(struct pl_arena *arena, const struct pl_setup *setup,
                             enum pl_place corner) {
  const struct pl_value *const value = &pl_setup_get(setup, PL_SETTING_OIL, corner)->value;
  return value->kind == PL_VALUE_NONE
             ? ""
             : pl_print_setting(arena, PL_SETTING_OIL, value, PL_METRIC).text;
}

static void describe_axle(const struct search *search, size_t which) {
  struct pl_weather *const weather = search->weather;
  struct pl_weather_axle *const axle = &weather->axles[which];
  const struct pl_setup *const setup = pl_figures_setup(search->today);
  const enum pl_place left = (enum pl_place)(PL_FRONT_LEFT + 2 * which);
  const char *const one = oil_words(search->arena, setup, left);
  const char *const other = oil_words(search->arena, setup, (enum pl_place)(left + 1));
  *axle = (struct pl_weather_axle){.axle = which == 0 ? PL_FRONT : PL_REAR,
                                   .lacks = lacks_of(weather, which),
                                   .sides_differ = sides_differ(weather, which)};
  axle->oil =
      strcmp(one, other) == 0 ? one : pl_format(search->arena, "left %s, right %s", one, other);
  axle->unchanged =
      (struct pl_weather_oil){.words = axle->oil,
                              .written = "",
                              .is_unchanged = true,
                              .excess = slow_damping(&weather->sweep, which, 0) /
                                            slow_damping(&weather->sweep, which, SIZE_MAX) -
                                        1};
}

void pl_weather_run(struct pl_arena *arena, struct pl_arena *scratch, struct pl_figures *today,
                    struct pl_weather *weather) {
  const struct search search = {arena, scratch, today, weather};
  const struct pl_setup *const setup = pl_figures_setup(today);
  struct pl_sweep_setting *const setting = &weather->sweep.settings[0];
  weather->of_oil = pl_setup_get(setup, PL_SETTING_OIL_TEMPERATURE, PL_CAR)->given;
  if (weather->of_oil) {
    setting->path = "car.oil-temperature";
    setting->key = "oil-temperature";
    setting->setting = PL_SETTING_OIL_TEMPERATURE;
  }
  weather->now = pl_setup_number(setup, setting->setting, PL_CAR);
  pl_sweep_run(arena, scratch, today, told, sizeof told / sizeof told[0], &weather->sweep);
  for (size_t i = 0; i < 2; i++) describe_axle(&search, i);
  const struct oils oils = owned_oils(arena, pl_setup_program(setup));
  struct candidate *const singles = pl_alloc_array(arena, oils.count + 1, sizeof *singles);
  for (size_t i = 0; i < oils.count; i++)
    singles[i] = (struct candidate){.names = {oils.names[i], NULL}};
  weather->owned = oils.count;
  try_all(&search, singles, oils.count);
  for (size_t i = 0; i < 2; i++) {
    if (weather->axles[i].lacks == NULL)
      choose(&search, i, singles, oils.count, oils.in_halves);
  }
}
