// SPDX-License-Identifier: GPL-3.0-or-later
// Simulations: a corner made of what is declared, and what came of it by the table of results.
#include "pitleaf/simulation.h"
#include "room.h"

#include <math.h>
#include <string.h>

const struct pl_simulation pl_usual_drop = {.height = 0.2};
const struct pl_simulation pl_usual_bump = {.over_bumps = true,
                                            .height = 12e-3,
                                            .length = 60e-3,
                                            .speed = 6,
                                            .spacing = 0.2,
                                            .count = 1};

/// Higher drops than this are not looked for, m.
#define MOST_DROP 2.0

// ---------------------------------------------------------------- the tables

enum { OF_DROP = 1, OF_BUMP = 2, OF_BOTH = 3 };

const struct pl_result_row pl_result_rows[PL_RESULT_COUNT] = {
#define PL_RESULT(id, key, of, unit, digits, imperial, imperial_digits, label, meaning, value) \
  {key,                                                                                        \
   (OF_##of & OF_DROP) != 0,                                                                   \
   (OF_##of & OF_BUMP) != 0,                                                                   \
   unit,                                                                                       \
   digits,                                                                                     \
   imperial,                                                                                   \
   imperial_digits,                                                                            \
   label,                                                                                      \
   meaning},
#include "pitleaf/results.def"
#undef PL_RESULT
};

const struct pl_trace_row pl_trace_rows[PL_TRACE_COUNT] = {
#define PL_TRACE(id, key, unit, imperial, label, value) {key, unit, imperial, label},
#include "pitleaf/results.def"
#undef PL_TRACE
};

/// What is told of a blow only where there was one.
static double struck(const struct pl_blows *blows, double value) {
  return blows->count > 0 ? value : NAN;
}

static void fill_values(double *values, const struct pl_motion_result *r, double clear_drop,
                        double free_drop) {
#define PL_RESULT(id, key, of, unit, digits, imperial, imperial_digits, label, meaning, value) \
  values[PL_RESULT_##id] = value;
#include "pitleaf/results.def"
#undef PL_RESULT
}

static struct pl_trace_values values_of(const struct pl_moment *m) {
  struct pl_trace_values values;
#define PL_TRACE(id, key, unit, imperial, label, value) values.of[PL_TRACE_##id] = value;
#include "pitleaf/results.def"
#undef PL_TRACE
  return values;
}

double pl_result_most(enum pl_result result) {
  return result == PL_RESULT_SETTLE_TIME ? PL_SIMULATION_LIMIT : MOST_DROP;
}

/// That a result is beyond what is looked at.
static const char *beyond(enum pl_result result, bool metric) {
  if (result == PL_RESULT_SETTLE_TIME) return "over 5 s";
  return metric ? "over 2 m" : "over 6.5 ft";
}

struct pl_printed pl_print_result(struct pl_arena *arena, enum pl_result wanted, double value,
                                  enum pl_unit_system system) {
  const struct pl_result_row *const row = &pl_result_rows[wanted];
  const bool metric = system == PL_METRIC;
  const char *const unit = metric ? row->unit : row->imperial;
  const struct pl_unit scale = pl_unit_named(unit);
  if (isnan(value)) return (struct pl_printed){"", ""};
  if (isinf(value)) return (struct pl_printed){beyond(wanted, metric), ""};
  char space[40];
  pl_number_fixed(space, sizeof space, pl_from_si(value, &scale),
                  metric ? row->digits : row->imperial_digits);
  return (struct pl_printed){pl_copy_text(arena, space, strlen(space)), pl_unit_shown(unit)};
}

// ---------------------------------------------------------------- a corner

/// Is there room for what the shaft displaces?
static bool has_room(struct work *work, const char **reason) {
  const char *const compensation =
      choice_of_part(work, PL_SETTING_DAMPER, PL_SETTING_COMPENSATION);
  if (strcmp(compensation, "none") != 0) return true;
  *reason = "a shock without compensation has no room for its shaft";
  return false;
}

/// Of what was noted, the last one is why it broke, if it did so only now.
static void keep_reason(const struct work *work, const char **reason) {
  const struct pl_figure_value *const value = &work->cell->value;
  if (*reason == NULL && work->cell->broken && value->note_count > 0)
    *reason = value->notes[value->note_count - 1];
}

/// What is declared of a corner, as physics wants it; false if something is missing, or if what
/// is declared cannot be: then `*reason` may say why.
static bool gather(struct work *work, struct pl_corner *corner, const char **reason) {
  *corner = (struct pl_corner){.ambient = PL_STANDARD_ATMOSPHERE};
  const struct corner *const linkage = with(work, ASSEMBLY_LINKAGE);
  const struct corner *const droop = with(work, ASSEMBLY_AT_DROOP);
  const struct corner *const bump = with(work, ASSEMBLY_AT_BUMP);
  keep_reason(work, reason);
  const struct corner *const springs = with_springs(work);
  const double preload = preload_of(work);
  keep_reason(work, reason);
  const struct corner *const gas = with(work, ASSEMBLY_GAS);
  const struct corner *const damper = with_damper(work);
  keep_reason(work, reason);
  corner->sprung_mass = figure(work, PL_FIGURE_SPRUNG_MASS);
  keep_reason(work, reason);
  corner->unsprung_mass = need(work, PL_SETTING_UNSPRUNG_MASS);
  corner->gravity = need(work, PL_SETTING_GRAVITY);
  corner->tyre_radius = need(work, PL_SETTING_TYRE_RADIUS);
  corner->tyre_rate = need(work, PL_SETTING_TYRE_RATE);
  const double friction = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SEAL_FRICTION);
  corner->seal_friction = isnan(friction) ? 0 : friction;
  if (!has_room(work, reason) || linkage == NULL || droop == NULL || bump == NULL ||
      springs == NULL || gas == NULL || damper == NULL || isnan(preload) || work->cell->broken)
    return false;
  corner->springs = springs_of(springs, preload);
  corner->has_gas = gas->has_gas;
  corner->gas = gas->gas;
  corner->gas.exponent = 1.4; // of an ideal gas that has no time to give off its heat
  corner->piston = damper->piston;
  corner->fluid = damper->fluid;
  if (pl_shock_path_of(&linkage->linkage, droop->at_droop.wheel_centre.z,
                       bump->at_bump.wheel_centre.z, droop->at_droop.shock_length,
                       &corner->path))
    return true;
  *reason = "the linkage does not compress the shock all the way from full droop to full bump";
  return false;
}

/// Why a simulation came to nothing; null where it did not.
static const char *reason_of(enum pl_simulation_status status) {
  switch (status) {
  case PL_SIMULATED: return NULL;
  case PL_NO_FLOW: return "no port lets oil through one way: the shock is locked";
  case PL_NO_TRAVEL: return "the coils touch at full extension: there is too much preload";
  case PL_NO_END:
    return "the motion is too stiff to be simulated: look for a slip in oil, ports and tyre rate";
  default: return "what is declared cannot be simulated";
  }
}

double pl_simulation_section(const struct pl_simulation *simulation, double radius) {
  if (!simulation->over_bumps) return 0;
  const double bumps =
      (double)(simulation->count - 1) * simulation->spacing + simulation->length;
  return (bumps + 2 * radius) / simulation->speed;
}

// ---------------------------------------------------------------- the whole

/// What one corner's simulation works with. The simulator is freed before anything is asked of
/// the arena again: nothing is left over where memory ends.
struct simulating {
  const struct pl_simulation *simulation;
  const struct pl_corner *corner;
  struct pl_record record;
  struct pl_motion_result result;
  double clear_drop;
  double free_drop;
};

static enum pl_simulation_status run(struct simulating *run) {
  const struct pl_simulation *const simulation = run->simulation;
  struct pl_simulator *const simulator = pl_simulator_new(PL_SIMULATION_TOLERANCE);
  const struct pl_bumps bumps = {simulation->height, simulation->length,
                                 simulation->speed,  simulation->spacing,
                                 simulation->count,  run->corner->tyre_radius};
  enum pl_simulation_status status;
  run->clear_drop = run->free_drop = NAN;
  if (simulation->over_bumps)
    status = pl_simulate_bumps(simulator, run->corner, &bumps, &run->record, &run->result);
  else
    status = pl_simulate_drop(simulator, run->corner, simulation->height, &run->record,
                              &run->result);
  if (status == PL_SIMULATED && !simulation->over_bumps && run->record.moments == NULL) {
    status = pl_highest_drop(simulator, run->corner, false, MOST_DROP, &run->clear_drop);
    if (status == PL_SIMULATED)
      status = pl_highest_drop(simulator, run->corner, true, MOST_DROP, &run->free_drop);
  }
  pl_simulator_free(simulator);
  return status;
}

static void keep_moments(struct work *work, const struct pl_record *record,
                         struct pl_simulated *simulated) {
  struct pl_trace_values *const kept =
      pl_alloc_array(work->figures->arena, record->count + 1, sizeof *kept);
  for (size_t i = 0; i < record->count; i++) kept[i] = values_of(&record->moments[i]);
  simulated->moments = kept;
  simulated->moment_count = record->count;
}

const struct pl_simulated *pl_simulate(struct pl_figures *figures,
                                       const struct pl_simulation *simulation, double interval,
                                       bool from_touch, enum pl_place place) {
  struct pl_arena *const arena = figures->arena;
  struct pl_simulated *const simulated = pl_alloc(arena, sizeof *simulated);
  struct cell *const cell = pl_alloc(arena, sizeof *cell);
  struct work work = {.figures = figures, .place = place, .cell = cell};
  struct pl_corner corner;
  struct simulating simulating = {.simulation = simulation, .corner = &corner};
  simulated->place = place;
  if (gather(&work, &corner, &simulated->reason)) {
    if (!simulation->over_bumps)
      simulated->touch = sqrt(2 * simulation->height / corner.gravity);
    if (interval > 0) {
      // As many moments as the longest simulation has, and one to spare.
      const double longest = simulated->touch + PL_SIMULATION_LIMIT +
                             pl_simulation_section(simulation, corner.tyre_radius);
      const size_t most = (size_t)(longest / interval) + 2;
      simulating.record =
          (struct pl_record){.moments = pl_alloc_array(arena, most, sizeof(struct pl_moment)),
                             .capacity = most,
                             .start = from_touch ? simulated->touch : 0,
                             .interval = interval};
    }
    const enum pl_simulation_status status = run(&simulating);
    if (status == PL_NO_MEMORY) pl_out_of_memory(arena);
    simulated->reason = reason_of(status);
    simulated->present = status == PL_SIMULATED;
    if (interval > 0) keep_moments(&work, &simulating.record, simulated);
  }
  for (int i = 0; i < PL_RESULT_COUNT; i++) simulated->values[i] = NAN;
  if (simulated->present)
    fill_values(simulated->values, &simulating.result, simulating.clear_drop,
                simulating.free_drop);
  simulated->end_is_bind = simulating.result.end_is_bind;
  simulated->needs = cell->value.needs;
  simulated->need_count = simulated->present ? 0 : cell->value.need_count;
  simulated->notes = cell->value.notes;
  simulated->note_count = cell->value.note_count;
  return simulated;
}

static bool same_texts(const char *const *one, size_t count, const char *const *other,
                       size_t other_count) {
  if (count != other_count) return false;
  for (size_t i = 0; i < count; i++) {
    if (strcmp(one[i], other[i]) != 0) return false;
  }
  return true;
}

bool pl_simulated_equal(const struct pl_simulated *one, const struct pl_simulated *other) {
  if (one->present != other->present) return false;
  if (!one->present) {
    if (!same_texts(one->needs, one->need_count, other->needs, other->need_count) ||
        !same_texts(one->notes, one->note_count, other->notes, other->note_count))
      return false;
    if (one->reason == NULL || other->reason == NULL) return one->reason == other->reason;
    return strcmp(one->reason, other->reason) == 0;
  }
  for (int i = 0; i < PL_RESULT_COUNT; i++) {
    const bool none = isnan(one->values[i]) && isnan(other->values[i]);
    if (!none && one->values[i] != other->values[i]) return false;
  }
  return true;
}

void pl_figures_choose_simulation(struct pl_figures *figures,
                                  const struct pl_simulation *simulation) {
  if (simulation->over_bumps)
    figures->bump = simulation;
  else
    figures->drop = simulation;
}
