// SPDX-License-Identifier: GPL-3.0-or-later
// What scrutineering found, as JSON.
#include "room.h"

static json_t *json_value(const struct pl_told_value *told) {
  if (told->items != NULL) {
    json_t *const list = json_array();
    for (size_t i = 0; i < told->item_count; i++)
      json_array_append_new(list, json_value(&told->items[i]));
    return list;
  }
  if (told->is_number) return json_real(told->number);
  return told->text[0] == '\0' ? json_null() : json_of_text(told->text);
}

/// The unit of a value, or of a limit's numbers.
static const char *unit_of(const struct pl_verdict *verdict) {
  if (verdict->value.is_number) return verdict->value.unit;
  if (verdict->limit.is_number) return verdict->limit.unit;
  return verdict->limit.item_count > 0 ? verdict->limit.items[0].unit : "";
}

static json_t *json_place(struct pl_span span) {
  if (span.source == NULL) return json_null();
  json_t *const at = json_object();
  json_object_set_new(at, "file", json_of_text(span.source->path));
  json_object_set_new(at, "line", json_integer(pl_position(span).line));
  return at;
}

static json_t *json_verdict(const struct pl_verdict *verdict) {
  json_t *const object = json_object();
  json_object_set_new(object, "rule", json_of_text(verdict->rule->name));
  json_object_set_new(object, "scope", json_string(pl_place_name(verdict->place)));
  json_object_set_new(object, "outcome", json_string(pl_outcome_name(verdict->outcome)));
  json_object_set_new(object, "value", json_value(&verdict->value));
  json_object_set_new(object, "limit", json_value(&verdict->limit));
  json_object_set_new(object, "unit", json_string(unit_of(verdict)));
  json_object_set_new(object, "requires", json_of_text(verdict->rule->requires));
  json_object_set_new(object, "excess", json_of_text(verdict->excess));
  json_object_set_new(object, "tolerance-used", json_boolean(verdict->tolerance_used));
  json_object_set_new(object, "measured", json_boolean(verdict->measured));
  json_object_set_new(object, "at", json_place(verdict->at));
  json_object_set_new(object, "measure", json_of_text(verdict->rule->measure));
  json_object_set_new(object, "because", json_of_text(verdict->rule->because));
  json_t *const needs = json_array();
  for (size_t i = 0; i < verdict->need_count; i++)
    json_array_append_new(needs, json_of_text(verdict->needs[i]));
  json_object_set_new(object, "needs", needs);
  return object;
}

static json_t *json_difference(const struct pl_difference *difference) {
  json_t *const object = json_object();
  json_object_set_new(object, "scope", json_string(pl_place_name(difference->place)));
  json_object_set_new(object, "key", json_of_text(difference->key));
  json_object_set_new(object, "measured", json_value(&difference->measured));
  json_object_set_new(object, "declared", json_value(&difference->declared));
  json_object_set_new(object, "unit", json_string(difference->measured.unit));
  json_object_set_new(object, "at", json_place(difference->at));
  return object;
}

const char *pl_scrutiny_json(struct pl_arena *arena, const struct pl_scrutinised *entry) {
  const struct pl_judgement *const judgement = entry->judgement;
  json_t *const object = json_object();
  json_object_set_new(object, "file", json_of_text(entry->file));
  json_object_set_new(object, "setup", json_of_text(entry->setup));
  json_object_set_new(object, "entry", json_of_text(entry->number));
  json_object_set_new(object, "driver", json_of_text(entry->driver));
  json_object_set_new(object, "class", json_of_text(judgement->class_name));
  json_object_set_new(object, "applies", json_boolean(judgement->applies));
  const bool open = entry->problems != NULL && judgement->outcome == PL_PASSES;
  json_object_set_new(
      object, "outcome",
      json_string(pl_outcome_name(open ? PL_CANNOT_BE_JUDGED : judgement->outcome)));
  json_t *const rules = json_array();
  for (size_t i = 0; judgement->applies && i < judgement->count; i++)
    json_array_append_new(rules, json_verdict(&judgement->verdicts[i]));
  json_object_set_new(object, "rules", rules);
  json_t *const differences = json_array();
  for (size_t i = 0; i < judgement->difference_count; i++)
    json_array_append_new(differences, json_difference(&judgement->differences[i]));
  json_object_set_new(object, "differences", differences);
  json_object_set_new(object, "diagnostics",
                      entry->problems == NULL ? json_array()
                                              : json_problems(arena, entry->problems));
  return json_text(arena, object);
}
