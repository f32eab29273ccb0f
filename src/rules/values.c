// SPDX-License-Identifier: GPL-3.0-or-later
// What is known of an entry: what was measured, and what its setup declares.
#include "room.h"

#include <math.h>
#include <string.h>

void add_need(struct judged *judged, const char *key) {
  for (size_t i = 0; i < judged->need_count; i++) {
    if (strcmp(judged->needs[i], key) == 0) return;
  }
  judged->needs = pl_grow(judged->arena, (void *)judged->needs, judged->need_count,
                          &judged->need_capacity, sizeof(const char *));
  judged->needs[judged->need_count++] = key;
}

// ---------------------------------------------------------------- declared

static struct known of_resolved(const struct pl_resolved *resolved) {
  struct known known = {.value = {.kind = PL_VALUE_NONE}};
  if (resolved == NULL || !resolved->given) return known; // a fallback is nobody's word
  known.value = resolved->value;
  if (resolved->touch_count > 0) known.at = resolved->touches[resolved->touch_count - 1].span;
  return known;
}

static struct known of_figure(const struct judged *judged, enum pl_figure figure,
                              enum pl_place place) {
  const struct pl_figure_value *const value = pl_figure_get(judged->figures, figure, place);
  struct known known = {.value = {.kind = PL_VALUE_NONE},
                        .needs = value->needs,
                        .need_count = value->need_count,
                        .is_figure = true,
                        .figure = figure,
                        .place = place};
  if (!value->present) return known;
  const char *const word = pl_figure_word(judged->arena, figure, value->value);
  if (word != NULL) {
    known.value = (struct pl_value){.kind = PL_VALUE_TEXT, .text = word};
    return known;
  }
  known.value =
      (struct pl_value){.kind = PL_VALUE_NUMBER,
                        .number = value->value * pl_figure_written_scale(figure),
                        .dimension = pl_unit_named(pl_figure_rows[figure].unit).dimension};
  return known;
}

/// What a rule is checked by: a value of the right kind.
static struct known sample_of(const struct judged *judged, const struct name *name) {
  struct known known = {.value = {.kind = PL_VALUE_TEXT, .text = ""}};
  (void)judged;
  if (is_number_name(name)) {
    const struct pl_unit unit = pl_unit_named(unit_of_name(name));
    known.value = (struct pl_value){.kind = PL_VALUE_NUMBER,
                                    .number = pl_to_si(1, &unit),
                                    .dimension = unit.dimension,
                                    .absolute = unit.absolute};
  }
  return known;
}

struct known declared(const struct judged *judged, const struct name *name,
                      enum pl_place place) {
  if (judged->only_ask) return sample_of(judged, name);
  if (judged->figures == NULL) return (struct known){.value = {.kind = PL_VALUE_NONE}};
  if (name->is_figure) return of_figure(judged, name->figure, place);
  if (name->inner == PL_SETTING_COUNT)
    return of_resolved(pl_setup_get(judged->setup, name->setting, place));
  const struct pl_part *const part = pl_setup_part(judged->setup, name->setting, place);
  return of_resolved(part == NULL ? NULL : pl_part_get(part, name->inner));
}

// ---------------------------------------------------------------- measured

/// The places of a scope's word, as bits of corners, axles and the car.
static unsigned places_of_scope(const char *word) {
  static const struct {
    const char *word;
    unsigned corners;
  } known[] = {{"all", 0xF}, {"front", 0x3}, {"rear", 0xC}, {"left", 0x5}, {"right", 0xA}};
  unsigned corners = 0;
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    if (strcmp(known[i].word, word) == 0) corners = known[i].corners;
  }
  const enum pl_place place = pl_place_of(word);
  if (place <= PL_REAR_RIGHT) corners = 1u << place;
  unsigned places = corners;
  if ((corners & 0x3) == 0x3) places |= 1u << PL_FRONT;
  if ((corners & 0xC) == 0xC) places |= 1u << PL_REAR;
  return places;
}

void each_measured(const struct pl_entrant *entrant, measured_visit *visit, void *context) {
  if (entrant->measured == NULL) return;
  for (const struct pl_node *item = entrant->measured->children; item != NULL;
       item = item->next) {
    if (item->kind == PL_NODE_PROPERTY)
      visit(context, item, places_of_scope("all") | 1u << PL_CAR);
    if (item->kind != PL_NODE_BLOCK) continue;
    for (const struct pl_node *line = item->children; line != NULL; line = line->next) {
      if (line->kind == PL_NODE_PROPERTY) visit(context, line, places_of_scope(item->name));
    }
  }
}

struct pl_value value_of_line(const struct judged *judged, const struct pl_node *line,
                              const struct name *name) {
  const struct pl_value none = {.kind = PL_VALUE_NONE};
  const struct pl_node *const written = line->children;
  if (!is_number_name(name) && written->kind == PL_NODE_NAME)
    return (struct pl_value){.kind = PL_VALUE_TEXT, .text = written->name};
  const struct pl_value value = pl_evaluate(judged->entrant->meeting, written, NULL);
  if (!is_number_name(name)) return value;
  const struct pl_dimension wanted = pl_unit_named(unit_of_name(name)).dimension;
  if (value.kind != PL_VALUE_NUMBER || !pl_dimension_equal(value.dimension, wanted))
    return none;
  return value;
}

/// The narrowest line about a thing at a place.
struct search {
  struct judged *judged;
  const struct name *name;
  enum pl_place place;
  struct known found;
  unsigned width; ///< number of places of the line that was found
};

static unsigned count_bits(unsigned bits) {
  unsigned count = 0;
  for (; bits != 0; bits &= bits - 1) count++;
  return count;
}

static void consider(void *context, const struct pl_node *line, unsigned places) {
  struct search *const search = context;
  const unsigned width = count_bits(places);
  struct name name;
  if (!read_name(search->judged->arena, line->name, &name) ||
      !is_same_thing(&name, search->name))
    return;
  if ((places & 1u << search->place) == 0 || width > search->width) return;
  // A line that does not fit the name still hides what is declared: it is no silence.
  const struct pl_value value = value_of_line(search->judged, line, search->name);
  search->found = (struct known){.value = value, .at = pl_name_span(line), .measured = true};
  search->width = width;
}

struct known known_of(struct judged *judged, const struct name *name, enum pl_place place) {
  struct search search = {.judged = judged,
                          .name = name,
                          .place = place,
                          .found = {.value = {.kind = PL_VALUE_NONE}},
                          .width = 1000};
  if (!judged->only_ask) each_measured(judged->entrant, consider, &search);
  if (search.found.measured) {
    if (search.found.value.kind == PL_VALUE_NONE) add_need(judged, name->key);
    return search.found;
  }
  const struct known known = declared(judged, name, place);
  // The organiser says in which class somebody runs.
  const char *const class_name = judged->only_ask ? "" : judged->entrant->class_name;
  if (name->setting == PL_SETTING_CLASS && !name->is_figure && class_name[0] != '\0')
    return (struct known){.value = {.kind = PL_VALUE_TEXT, .text = class_name}};
  if (known.value.kind != PL_VALUE_NONE) return known;
  for (size_t i = 0; i < known.need_count; i++) add_need(judged, known.needs[i]);
  if (known.need_count == 0) add_need(judged, name->key);
  return known;
}
