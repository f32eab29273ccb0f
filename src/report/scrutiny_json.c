// SPDX-License-Identifier: GPL-3.0-or-later
// What scrutineering found, as JSON.
#include "room.h"

static json_t *json_value(struct pl_arena *arena, const struct pl_told_value *told) {
  if (told->items != NULL) {
    json_t *const list = pl_json_array(arena);
    for (size_t i = 0; i < told->item_count; i++)
      pl_json_add(arena, list, json_value(arena, &told->items[i]));
    return list;
  }
  if (told->is_number) return pl_json_real(arena, told->number);
  return told->text[0] == '\0' ? json_null() : pl_json_text(arena, told->text);
}

/// The unit of a value, or of a limit's numbers.
static const char *unit_of(const struct pl_verdict *verdict) {
  if (verdict->value.is_number) return verdict->value.unit;
  if (verdict->limit.is_number) return verdict->limit.unit;
  return verdict->limit.item_count > 0 ? verdict->limit.items[0].unit : "";
}

static json_t *json_place(struct pl_arena *arena, struct pl_span span) {
  if (span.source == NULL) return json_null();
  json_t *const at = pl_json_object(arena);
  pl_json_put(arena, at, "file", pl_json_text(arena, span.source->path));
  pl_json_put(arena, at, "line", pl_json_integer(arena, pl_position(span).line));
  return at;
}

static json_t *json_verdict(struct pl_arena *arena, const struct pl_verdict *verdict) {
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "rule", pl_json_text(arena, verdict->rule->name));
  pl_json_put(arena, object, "scope", pl_json_text(arena, pl_place_name(verdict->place)));
  pl_json_put(arena, object, "outcome", pl_json_text(arena, pl_outcome_name(verdict->outcome)));
  pl_json_put(arena, object, "value", json_value(arena, &verdict->value));
  pl_json_put(arena, object, "limit", json_value(arena, &verdict->limit));
  pl_json_put(arena, object, "unit", pl_json_text(arena, unit_of(verdict)));
  pl_json_put(arena, object, "requires", pl_json_text(arena, verdict->rule->requires));
  pl_json_put(arena, object, "excess", pl_json_text(arena, verdict->excess));
  pl_json_put(arena, object, "tolerance-used", json_boolean(verdict->tolerance_used));
  pl_json_put(arena, object, "measured", json_boolean(verdict->measured));
  pl_json_put(arena, object, "at", json_place(arena, verdict->at));
  json_t *const made_of = pl_json_array(arena);
  for (size_t i = 0; i < verdict->origin_count; i++) {
    json_t *const origin = json_place(arena, verdict->origins[i].at);
    pl_json_put(arena, origin, "key", pl_json_text(arena, verdict->origins[i].key));
    pl_json_add(arena, made_of, origin);
  }
  pl_json_put(arena, object, "made-of", made_of);
  pl_json_put(arena, object, "measure", pl_json_text(arena, verdict->rule->measure));
  pl_json_put(arena, object, "because", pl_json_text(arena, verdict->rule->because));
  json_t *const needs = pl_json_array(arena);
  for (size_t i = 0; i < verdict->need_count; i++)
    pl_json_add(arena, needs, pl_json_text(arena, verdict->needs[i]));
  pl_json_put(arena, object, "needs", needs);
  return object;
}

static json_t *json_difference(struct pl_arena *arena, const struct pl_difference *difference) {
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "scope", pl_json_text(arena, pl_place_name(difference->place)));
  pl_json_put(arena, object, "key", pl_json_text(arena, difference->key));
  pl_json_put(arena, object, "measured", json_value(arena, &difference->measured));
  pl_json_put(arena, object, "declared", json_value(arena, &difference->declared));
  pl_json_put(arena, object, "unit", pl_json_text(arena, difference->measured.unit));
  pl_json_put(arena, object, "at", json_place(arena, difference->at));
  return object;
}

const char *pl_scrutiny_json(struct pl_arena *arena, const struct pl_scrutinised *entry) {
  const struct pl_judgement *const judgement = entry->judgement;
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "file", pl_json_text(arena, entry->file));
  pl_json_put(arena, object, "setup", pl_json_text(arena, entry->setup));
  pl_json_put(arena, object, "entry", pl_json_text(arena, entry->number));
  pl_json_put(arena, object, "driver", pl_json_text(arena, entry->driver));
  pl_json_put(arena, object, "class", pl_json_text(arena, judgement->class_name));
  pl_json_put(arena, object, "applies", json_boolean(judgement->applies));
  const bool open = entry->problems != NULL && judgement->outcome == PL_PASSES;
  pl_json_put(
      arena, object, "outcome",
      pl_json_text(arena, pl_outcome_name(open ? PL_CANNOT_BE_JUDGED : judgement->outcome)));
  json_t *const rules = pl_json_array(arena);
  for (size_t i = 0; judgement->applies && i < judgement->count; i++)
    pl_json_add(arena, rules, json_verdict(arena, &judgement->verdicts[i]));
  pl_json_put(arena, object, "rules", rules);
  json_t *const differences = pl_json_array(arena);
  for (size_t i = 0; i < judgement->difference_count; i++)
    pl_json_add(arena, differences, json_difference(arena, &judgement->differences[i]));
  pl_json_put(arena, object, "differences", differences);
  pl_json_put(arena, object, "diagnostics",
              entry->problems == NULL ? pl_json_array(arena)
                                      : json_problems(arena, entry->problems));
  return json_text(arena, object);
}
