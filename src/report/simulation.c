// SPDX-License-Identifier: GPL-3.0-or-later
// A simulation as text, JSON and CSV, by the table of results.
#include "room.h"

#include <math.h>
#include <string.h>

#define CORNERS 4

/// What the sections of the text begin with.
static const struct {
  enum pl_result first;
  const char *heading;
} sections[] = {{PL_RESULT_REST_HEIGHT, "Travel"},
                {PL_RESULT_SHAFT_IN, "Speeds, forces, pressures"},
                {PL_RESULT_CHASSIS_BLOWS, "Ends of travel"},
                {PL_RESULT_TORN_AT, "Oil"},
                {PL_RESULT_SWINGS, "Until it is still"},
                {PL_RESULT_CLEAR_DROP, "How high it may fall"},
                {PL_RESULT_FALLEN, "Where the energy went"}};

static bool is_told(const struct pl_simulated_car *car, int result) {
  const struct pl_result_row *const row = &pl_result_rows[result];
  return car->simulation->over_bumps ? row->of_bump : row->of_drop;
}

static const char *number(struct pl_arena *arena, double value, const char *unit,
                          int significant) {
  const struct pl_unit scale = pl_unit_named(unit);
  char space[40];
  pl_number_shortest(space, sizeof space, pl_from_si(value, &scale), significant);
  return pl_copy_text(arena, space, strlen(space));
}

/// A length or a speed of the simulation, as it is told.
static const char *told(struct pl_arena *arena, double value, const char *metric,
                        const char *imperial, enum pl_unit_system system) {
  const char *const unit = system == PL_METRIC ? metric : imperial;
  return pl_format(arena, "%s %s", number(arena, value, unit, 4), unit);
}

// ---------------------------------------------------------------- sentences

/// Corners that come out the same have one name.
struct group {
  const struct pl_simulated *corner;
  const char *name;
};

static size_t group_corners(const struct pl_simulated_car *car, struct group *groups) {
  static const char *const names[] = {"Front left", "Front right", "Rear left", "Rear right"};
  static const char *const axles[] = {"Front", "Rear"};
  size_t count = 0;
  for (size_t i = 0; i < CORNERS; i += 2) {
    if (pl_simulated_equal(car->corners[i], car->corners[i + 1])) {
      groups[count++] = (struct group){car->corners[i], axles[i / 2]};
      continue;
    }
    groups[count++] = (struct group){car->corners[i], names[i]};
    groups[count++] = (struct group){car->corners[i + 1], names[i + 1]};
  }
  return count;
}

static const char *printed(struct pl_arena *arena, const struct pl_simulated *corner,
                           enum pl_result result, enum pl_unit_system system) {
  return with_unit(arena, pl_print_result(arena, result, corner->values[result], system));
}

/// How a blow is told: its speed and, behind what is said of that, its energy.
static const char *blow(struct pl_arena *arena, const struct pl_simulated *corner,
                        enum pl_result speed, const char *loses, enum pl_result energy,
                        enum pl_unit_system system) {
  return pl_format(arena, "at %s and %s %s", printed(arena, corner, speed, system), loses,
                   printed(arena, corner, energy, system));
}

static const char *chassis_sentence(struct pl_arena *arena, const struct pl_simulated *corner,
                                    enum pl_unit_system system) {
  if (corner->values[PL_RESULT_CHASSIS_BLOWS] == 0)
    return pl_format(arena, "the chassis stays clear, by %s",
                     printed(arena, corner, PL_RESULT_CHASSIS_LOWEST, system));
  return pl_format(arena, "the chassis touches the ground %s",
                   blow(arena, corner, PL_RESULT_CHASSIS_BLOW_SPEED, "loses",
                        PL_RESULT_CHASSIS_BLOW_ENERGY, system));
}

static const char *shock_sentence(struct pl_arena *arena, const struct pl_simulated *corner,
                                  enum pl_unit_system system) {
  if (corner->values[PL_RESULT_END_BLOWS] == 0)
    return pl_format(arena, "the shock uses %s of its travel",
                     printed(arena, corner, PL_RESULT_SHOCK_SHARE, system));
  const char *const how =
      blow(arena, corner, PL_RESULT_END_BLOW_SPEED, corner->end_is_bind ? "lose" : "loses",
           PL_RESULT_END_BLOW_ENERGY, system);
  return pl_format(
      arena, "%s %s",
      corner->end_is_bind ? "the spring's coils touch" : "the shock ends its travel", how);
}

/// Why there is nothing to tell of a corner.
static const char *reason(struct pl_arena *arena, const struct pl_simulated *corner) {
  struct pl_buffer out = {.arena = arena};
  for (size_t i = 0; i < corner->need_count; i++)
    pl_buffer_format(&out, "%s%s", i == 0 ? "not simulated: it needs " : ", ",
                     pl_text_safe(arena, corner->needs[i]));
  if (corner->need_count == 0 && corner->reason != NULL)
    pl_buffer_format(&out, "not simulated: %s", pl_text_safe(arena, corner->reason));
  return out.length == 0 ? "not simulated" : pl_buffer_string(&out);
}

static void add_sentences(struct pl_buffer *out, const struct pl_simulated_car *car,
                          const struct pl_text_style *style) {
  struct group groups[CORNERS];
  const size_t count = group_corners(car, groups);
  for (size_t i = 0; i < count; i++) {
    const struct pl_simulated *const corner = groups[i].corner;
    const char *const words =
        !corner->present ? reason(out->arena, corner)
                         : pl_format(out->arena, "%s; %s",
                                     chassis_sentence(out->arena, corner, style->system),
                                     shock_sentence(out->arena, corner, style->system));
    add_hanging(out, pl_format(out->arena, "  %-12s", groups[i].name),
                pl_format(out->arena, "%s.", words), 14, style->width);
  }
}

// ---------------------------------------------------------------- text

/// Is it a highest drop where even the drop from 0 goes too far?
static bool is_none(const struct pl_simulated *corner, int result) {
  return corner->present && isnan(corner->values[result]) &&
         (result == PL_RESULT_CLEAR_DROP || result == PL_RESULT_FREE_DROP);
}

/// A result of all corners as it is printed; false where there is nothing to print.
static bool print_row(struct pl_arena *arena, const struct pl_simulated_car *car, int result,
                      enum pl_unit_system system, struct pl_printed *corners) {
  bool any = false;
  if (!is_told(car, result)) return false;
  for (size_t i = 0; i < CORNERS; i++) {
    corners[i] = is_none(car->corners[i], result)
                     ? (struct pl_printed){"none", ""}
                     : pl_print_result(arena, (enum pl_result)result,
                                       car->corners[i]->values[result], system);
    any |= corners[i].text[0] != '\0';
  }
  return any;
}

static void add_rows(struct table *table, const struct pl_simulated_car *car,
                     enum pl_unit_system system) {
  const char *heading = NULL; // of the section in hand, until something stands beneath it
  size_t section = 0;
  for (int i = 0; i < PL_RESULT_COUNT; i++) {
    struct pl_printed corners[CORNERS];
    if (section < sizeof sections / sizeof sections[0] && (int)sections[section].first == i)
      heading = sections[section++].heading;
    if (!print_row(table->arena, car, i, system, corners)) continue;
    if (heading != NULL) table_heading(table, heading, true);
    heading = NULL;
    table_corners(table, pl_result_rows[i].label, corners);
  }
}

/// "dropped from 200 mm", "5 bumps of 12 mm by 60 mm, 200 mm apart, at 6 m/s"
static const char *title(struct pl_arena *arena, const struct pl_simulation *simulation,
                         enum pl_unit_system system) {
  const char *const height = told(arena, simulation->height, "mm", "in", system);
  if (!simulation->over_bumps) return pl_format(arena, "dropped from %s", height);
  const char *const length = told(arena, simulation->length, "mm", "in", system);
  const char *const speed = told(arena, simulation->speed, "m/s", "ft/s", system);
  if (simulation->count == 1)
    return pl_format(arena, "a bump of %s by %s at %s", height, length, speed);
  return pl_format(arena, "%zu bumps of %s by %s, %s apart, at %s", simulation->count, height,
                   length, told(arena, simulation->spacing, "mm", "in", system), speed);
}

/// What the corners' figures say of themselves, each once.
static void add_notes(struct pl_buffer *out, const struct pl_simulated_car *car,
                      const struct pl_text_style *style) {
  struct pl_map *const said = pl_map_new(out->arena);
  for (size_t i = 0; i < CORNERS; i++) {
    const struct pl_simulated *const corner = car->corners[i];
    for (size_t j = 0; corner->present && j < corner->note_count; j++) {
      if (pl_map_set(said, corner->notes[j], out) != NULL) continue;
      add_wrapped(out, pl_format(out->arena, "%s.", pl_text_safe(out->arena, corner->notes[j])),
                  2, style->width);
    }
  }
}

static const char of_drops[] = "Estimates for tuning: a car that falls on a hard floor can "
                               "break, and hurts fingers. Try low first.";
static const char of_bumps[] =
    "The tyre rolls over a bump as a rigid wheel; a real one is soft "
    "and wraps around what is short. Estimates for tuning.";

const char *pl_simulation_text(struct pl_arena *arena, const struct pl_simulated_car *car,
                               const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  struct table table = {.arena = arena};
  bool any = false;
  for (size_t i = 0; i < CORNERS; i++) any |= car->corners[i]->present;
  pl_buffer_format(&out, "%s, %s\n\n", pl_text_safe(arena, pl_setup_name(car->setup)),
                   title(arena, car->simulation, style->system));
  add_sentences(&out, car, style);
  if (!any) return pl_buffer_string(&out);
  add_rows(&table, car, style->system);
  pl_buffer_format(&out, "\n%s\n", table_text(&table, style));
  add_notes(&out, car, style);
  add_wrapped(&out,
              pl_format(arena,
                        "Each corner by itself, heave alone; blows on rigid ends have a speed "
                        "and an energy, no peak of force. %s The rules of the class and the "
                        "officials decide.",
                        car->simulation->over_bumps ? of_bumps : of_drops),
              2, style->width);
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- JSON

/// `kind` is "value", or "over" where it is more.
static json_t *json_amount(struct pl_arena *arena, const char *kind, double value,
                           const char *unit) {
  const struct pl_unit scale = pl_unit_named(unit);
  json_t *const quantity = pl_json_object(arena);
  pl_json_put(arena, quantity, kind, pl_json_real(arena, pl_from_si(value, &scale)));
  pl_json_put(arena, quantity, "unit", pl_json_text(arena, pl_unit_json(unit)));
  return quantity;
}

static json_t *json_quantity(struct pl_arena *arena, double value, const char *unit) {
  return json_amount(arena, "value", value, unit);
}

static json_t *json_result(struct pl_arena *arena, enum pl_result result, double value) {
  const char *const unit = pl_result_rows[result].unit;
  return isfinite(value) ? json_quantity(arena, value, unit)
                         : json_amount(arena, "over", pl_result_most(result), unit);
}

static json_t *json_texts(struct pl_arena *arena, const char *const *texts, size_t count) {
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < count; i++) pl_json_add(arena, list, pl_json_text(arena, texts[i]));
  return list;
}

static json_t *json_series(struct pl_arena *arena, const struct pl_simulated *corner) {
  json_t *const columns = pl_json_object(arena);
  for (int i = 0; i < PL_TRACE_COUNT; i++) {
    const struct pl_unit scale = pl_unit_named(pl_trace_rows[i].unit);
    json_t *const column = pl_json_object(arena);
    json_t *const values = pl_json_array(arena);
    for (size_t j = 0; j < corner->moment_count; j++)
      pl_json_add(arena, values,
                  pl_json_real(arena, pl_from_si(corner->moments[j].of[i], &scale)));
    pl_json_put(arena, column, "unit",
                pl_json_text(arena, pl_unit_json(pl_trace_rows[i].unit)));
    pl_json_put(arena, column, "values", values);
    pl_json_put(arena, columns, pl_trace_rows[i].key, column);
  }
  return columns;
}

static json_t *json_corner(struct pl_arena *arena, const struct pl_simulated_car *car,
                           size_t at) {
  const struct pl_simulated *const corner = car->corners[at];
  json_t *const object = pl_json_object(arena);
  json_t *const results = pl_json_object(arena);
  for (int i = 0; i < PL_RESULT_COUNT; i++) {
    if (is_told(car, i) && !isnan(corner->values[i]))
      pl_json_put(arena, results, pl_result_rows[i].key,
                  json_result(arena, (enum pl_result)i, corner->values[i]));
  }
  pl_json_put(arena, object, "scope", pl_json_text(arena, pl_place_name(corner->place)));
  pl_json_put(arena, object, "results", results);
  if (corner->present)
    pl_json_put(arena, object, "shock-end",
                pl_json_text(arena, corner->end_is_bind ? "coils" : "travel"));
  if (!corner->present && corner->reason != NULL)
    pl_json_put(arena, object, "reason", pl_json_text(arena, corner->reason));
  pl_json_put(arena, object, "needs", json_texts(arena, corner->needs, corner->need_count));
  pl_json_put(arena, object, "notes", json_texts(arena, corner->notes, corner->note_count));
  if (car->series[at] != NULL)
    pl_json_put(arena, object, "series", json_series(arena, car->series[at]));
  return object;
}

const char *pl_simulation_json(struct pl_arena *arena, const struct pl_simulated_car *car) {
  const struct pl_simulation *const simulation = car->simulation;
  json_t *const document = pl_json_object(arena);
  json_t *const corners = pl_json_array(arena);
  for (size_t i = 0; i < CORNERS; i++) pl_json_add(arena, corners, json_corner(arena, car, i));
  pl_json_put(arena, document, "setup", pl_json_text(arena, pl_setup_name(car->setup)));
  pl_json_put(arena, document, "simulation",
              pl_json_text(arena, simulation->over_bumps ? "bump" : "drop"));
  pl_json_put(arena, document, "height", json_quantity(arena, simulation->height, "mm"));
  if (simulation->over_bumps) {
    pl_json_put(arena, document, "length", json_quantity(arena, simulation->length, "mm"));
    pl_json_put(arena, document, "speed", json_quantity(arena, simulation->speed, "m/s"));
    pl_json_put(arena, document, "spacing", json_quantity(arena, simulation->spacing, "mm"));
    pl_json_put(arena, document, "repeat", pl_json_real(arena, (double)simulation->count));
  }
  pl_json_put(arena, document, "corners", corners);
  return json_text(arena, document);
}

// ---------------------------------------------------------------- CSV

const char *pl_simulation_csv(struct pl_arena *arena, const struct pl_simulated_car *car) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, "where");
  for (int i = 0; i < PL_TRACE_COUNT; i++)
    pl_buffer_format(&out, ",\"%s (%s)\"", pl_trace_rows[i].key,
                     pl_unit_json(pl_trace_rows[i].unit));
  pl_buffer_text(&out, "\r\n");
  for (size_t i = 0; i < CORNERS; i++) {
    const struct pl_simulated *const corner = car->series[i];
    for (size_t j = 0; corner != NULL && j < corner->moment_count; j++) {
      pl_buffer_text(&out, pl_place_name(corner->place));
      for (int k = 0; k < PL_TRACE_COUNT; k++)
        pl_buffer_format(&out, ",%s",
                         number(arena, corner->moments[j].of[k], pl_trace_rows[k].unit, 9));
      pl_buffer_text(&out, "\r\n");
    }
  }
  return pl_buffer_string(&out);
}
