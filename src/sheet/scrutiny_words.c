// SPDX-License-Identifier: GPL-3.0-or-later
// Scrutineering on paper: what rules require, and what they say of an entry, in words.
#include <string.h>

#include "scrutiny.h"

const char *pl_scrutiny_text_of(struct pl_sheet *sheet, const char *text) {
  return pl_text_with_codes(sheet->arena, text);
}

static struct pl_thing thing_of(const struct pl_rule_thing *thing) {
  if (thing->is_figure) return pl_thing_of_figure(thing->figure);
  struct pl_thing own = pl_thing_of_setting(thing->setting);
  if (thing->inner == PL_SETTING_COUNT) return own;
  own.kind = PL_THING_INNER;
  own.inner = thing->inner;
  return own;
}

const char *pl_scrutiny_label(struct pl_sheet *sheet, const struct pl_rule_thing *thing) {
  if (!thing->is_figure && thing->setting == PL_SETTING_COUNT) return "";
  const struct pl_thing own = thing_of(thing);
  return pl_thing_label(sheet->plan, &own);
}

/// A word that a setting or a figure chooses from, as the sheet says it.
static const char *word_of(struct pl_sheet *sheet, const struct pl_rule_thing *thing,
                           const char *text) {
  if (thing->is_figure) return pl_word_of_figure(sheet, thing->figure, text);
  return pl_word_of_setting(
      sheet, thing->inner != PL_SETTING_COUNT ? thing->inner : thing->setting, text);
}

const char *pl_scrutiny_value(struct pl_sheet *sheet, const struct pl_rule_thing *thing,
                              const struct pl_told_value *value) {
  if (value->is_number) return pl_paper_minus(sheet->arena, value->text);
  return pl_scrutiny_text_of(sheet, word_of(sheet, thing, value->text));
}

// ---------------------------------------------------------------- limits

/// "10, 12 or 13"; words that have commas of their own are parted by semicolons.
static const char *one_of(struct pl_sheet *sheet, const struct pl_limit *limit) {
  const char *between = ", ";
  for (size_t i = 0; i < limit->count; i++) {
    if (strchr(limit->values[i], ',') != NULL) between = "; ";
  }
  struct pl_buffer first = {.arena = sheet->arena};
  for (size_t i = 0; i + 1 < limit->count; i++)
    pl_buffer_format(&first, "%s%s", i == 0 ? "" : between,
                     word_of(sheet, &limit->thing, limit->values[i]));
  const char *const last = word_of(sheet, &limit->thing, limit->values[limit->count - 1]);
  if (limit->count == 1) return last;
  if (between[0] == ';') pl_buffer_text(&first, ";");
  return pl_word_with(sheet, PL_WORD_OR, pl_buffer_string(&first), last);
}

static const char *values_of(struct pl_sheet *sheet, const struct pl_limit *limit) {
  if (limit->shape == PL_LIMIT_BETWEEN)
    return pl_word_with(sheet, PL_WORD_LIMIT_BETWEEN, limit->values[0], limit->values[1]);
  return one_of(sheet, limit);
}

static const char *simple_words(struct pl_sheet *sheet, const struct pl_limit *limit) {
  static const enum pl_word words[] = {
      [PL_LIMIT_AT_MOST] = PL_WORD_LIMIT_AT_MOST,   [PL_LIMIT_BELOW] = PL_WORD_LIMIT_BELOW,
      [PL_LIMIT_AT_LEAST] = PL_WORD_LIMIT_AT_LEAST, [PL_LIMIT_ABOVE] = PL_WORD_LIMIT_ABOVE,
      [PL_LIMIT_EXACTLY] = PL_WORD_LIMIT_EXACTLY,   [PL_LIMIT_NOT] = PL_WORD_LIMIT_NOT};
  if (limit->shape == PL_LIMIT_SAME_SIDES) return pl_word(sheet, PL_WORD_LIMIT_SAME_SIDES);
  if (limit->shape == PL_LIMIT_SAME_AXLES) return pl_word(sheet, PL_WORD_LIMIT_SAME_AXLES);
  const char *text = values_of(sheet, limit);
  if (limit->unit[0] != '\0')
    text = pl_format(sheet->arena, strcmp(limit->unit, "°") == 0 ? "%s%s" : "%s %s", text,
                     limit->unit);
  if (limit->is_number) text = pl_paper_minus(sheet->arena, text);
  const bool plain = limit->shape == PL_LIMIT_ONE_OF || limit->shape == PL_LIMIT_BETWEEN ||
                     (limit->shape == PL_LIMIT_EXACTLY && !limit->is_number);
  if (!plain) text = pl_word_with(sheet, words[limit->shape], text, NULL);
  if (limit->over == PL_LIMIT_OF_EACH)
    text = pl_word_with(sheet, PL_WORD_LIMIT_EACH, text, NULL);
  if (limit->over == PL_LIMIT_OF_SUM) text = pl_word_with(sheet, PL_WORD_LIMIT_SUM, text, NULL);
  return text;
}

static char lowered(char letter) {
  return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter;
}

/// Does a rule's name say what its limit is of?
static bool names_it(const char *name, const char *label) {
  for (; *name != '\0'; name++) {
    size_t same = 0;
    while (label[same] != '\0' && lowered(name[same]) == lowered(label[same])) same++;
    if (label[same] == '\0') return true;
  }
  return false;
}

/// The limit with what it is of, where the rule's name does not say it.
static const char *labelled(struct pl_sheet *sheet, const struct pl_rule *rule,
                            const struct pl_limit *limit, bool always) {
  const char *const words = simple_words(sheet, limit);
  const char *const label = pl_scrutiny_label(sheet, &limit->thing);
  const bool counts = limit->over == PL_LIMIT_OF_NUMBER;
  if (!always && (counts || names_it(rule->name, label))) return words;
  return pl_format(sheet->arena, "%s: %s", label, words);
}

const char *pl_limit_words(struct pl_sheet *sheet, const struct pl_rules *rules,
                           const struct pl_rule *rule) {
  const struct pl_limit limit = pl_rule_limit(sheet->arena, rules, rule);
  if (limit.shape == PL_LIMIT_AS_WRITTEN) return pl_scrutiny_text_of(sheet, rule->requires);
  if (limit.part_count == 0)
    return pl_scrutiny_text_of(sheet, labelled(sheet, rule, &limit, false));
  const char *text = labelled(sheet, rule, &limit.parts[0], true);
  for (size_t i = 1; i < limit.part_count; i++)
    text = pl_word_with(sheet, limit.shape == PL_LIMIT_ALL_OF ? PL_WORD_LIMIT_AND : PL_WORD_OR,
                        text, labelled(sheet, rule, &limit.parts[i], true));
  return pl_scrutiny_text_of(sheet, text);
}

// ---------------------------------------------------------------- an entry as a whole

enum pl_standing pl_standing_of(const struct pl_scrutinised *entry) {
  const struct pl_judgement *const judgement = entry->judgement;
  if (!judgement->applies) return PL_STANDS_ELSEWHERE;
  if (judgement->outcome == PL_FAILS) return PL_STANDS_FAILED;
  if (entry->mistake[0] != '\0') return PL_STANDS_MISTAKEN;
  if (judgement->outcome == PL_PASSES) return PL_STANDS_PASSED;
  return entry->file[0] == '\0' ? PL_STANDS_EMPTY : PL_STANDS_OPEN;
}

/// Does a rule end so at one of its places? A failure goes before what cannot be judged.
static bool ends_so(const struct pl_judgement *judgement, const struct pl_rule *rule,
                    enum pl_outcome outcome) {
  size_t count = 0;
  const struct pl_verdict *const verdicts = pl_verdicts_of(judgement, rule, &count);
  bool found = false;
  for (size_t i = 0; i < count; i++) {
    if (verdicts[i].outcome == PL_FAILS) return outcome == PL_FAILS;
    found = found || verdicts[i].outcome == outcome;
  }
  return found;
}

const char *pl_rules_named(struct pl_sheet *sheet, const struct pl_scrutinised *entry,
                           enum pl_outcome outcome, size_t most) {
  const struct pl_judgement *const judgement = entry->judgement;
  struct pl_buffer out = {.arena = sheet->arena};
  size_t count = 0;
  for (size_t i = 0; judgement->applies && i < judgement->rules->count; i++) {
    const struct pl_rule *const rule = &judgement->rules->items[i];
    if (!ends_so(judgement, rule, outcome) || ++count > most) continue;
    pl_buffer_format(&out, "%s%s", count == 1 ? "" : "; ", rule->name);
  }
  if (count > most)
    pl_buffer_format(&out, "; %s",
                     pl_word_with(sheet, PL_WORD_MORE_MISTAKES,
                                  pl_format(sheet->arena, "%zu", count - most), NULL));
  return pl_scrutiny_text_of(sheet, pl_buffer_string(&out));
}

// ---------------------------------------------------------------- a rule of an entry

struct summing {
  struct pl_sheet *sheet;
  const struct pl_scrutinised *entry;
  struct pl_rule_summary *summary;
  struct pl_slot *slots;
  struct pl_rule_thing *things; ///< of the slots
  size_t capacity;
  size_t thing_capacity;
};

static const struct pl_difference *difference_of(const struct pl_judgement *judgement,
                                                 const struct pl_sight *sight) {
  for (size_t i = 0; i < judgement->difference_count; i++) {
    const struct pl_difference *const one = &judgement->differences[i];
    if (one->place == sight->place && pl_rule_thing_same(&one->thing, &sight->thing))
      return one;
  }
  return NULL;
}

static void add_slot(struct summing *summing, struct pl_rule_thing thing, struct pl_slot slot) {
  struct pl_rule_summary *const summary = summing->summary;
  for (size_t i = 0; i < summary->slot_count; i++) {
    if (summing->slots[i].place == slot.place &&
        pl_rule_thing_same(&summing->things[i], &thing))
      return;
  }
  struct pl_arena *const arena = summing->sheet->arena;
  summing->slots = pl_grow(arena, summing->slots, summary->slot_count, &summing->capacity,
                           sizeof *summing->slots);
  summing->things = pl_grow(arena, summing->things, summary->slot_count,
                            &summing->thing_capacity, sizeof *summing->things);
  summing->things[summary->slot_count] = thing;
  summing->slots[summary->slot_count++] = slot;
}

static void add_sight(struct summing *summing, const struct pl_sight *sight) {
  struct pl_sheet *const sheet = summing->sheet;
  const struct pl_difference *const difference =
      difference_of(summing->entry->judgement, sight);
  if (difference != NULL) summing->summary->is_apart = true;
  add_slot(
      summing, sight->thing,
      (struct pl_slot){.label = "",
                       .place = sight->place,
                       .declared = pl_scrutiny_value(sheet, &sight->thing, &sight->declared),
                       .is_worded = !sight->declared.is_number,
                       .measured = pl_scrutiny_value(sheet, &sight->thing, &sight->measured),
                       .apart = difference == NULL ? "" : difference->by,
                       .is_apart = difference != NULL});
}

static void add_verdict(struct summing *summing, const struct pl_verdict *verdict) {
  struct pl_rule_summary *const summary = summing->summary;
  summary->judged = true;
  summary->unknown = summary->unknown || verdict->outcome == PL_CANNOT_BE_JUDGED;
  summary->by_tolerance = summary->by_tolerance || verdict->tolerance_used;
  summary->failed = summary->failed || verdict->outcome == PL_FAILS;
  for (size_t i = 0; i < verdict->sight_count; i++) add_sight(summing, &verdict->sights[i]);
  if (verdict->sight_count > 0) return;
  static const struct pl_rule_thing nothing = {
      .setting = PL_SETTING_COUNT, .inner = PL_SETTING_COUNT, .figure = PL_FIGURE_COUNT};
  add_slot(
      summing, nothing,
      (struct pl_slot){.label = "",
                       .place = verdict->place,
                       .declared = pl_scrutiny_text_of(summing->sheet, verdict->value.text),
                       .measured = "",
                       .apart = ""});
}

/// Is a rule of several things?
static bool is_of_several(const struct summing *summing) {
  for (size_t i = 1; i < summing->summary->slot_count; i++) {
    if (!pl_rule_thing_same(&summing->things[0], &summing->things[i])) return true;
  }
  return false;
}

/// Slots of several things are called after their thing, those of several places after their
/// place.
static void label_slots(struct summing *summing) {
  struct pl_sheet *const sheet = summing->sheet;
  const size_t count = summing->summary->slot_count;
  const bool several = is_of_several(summing);
  for (size_t i = 0; i < count; i++) {
    struct pl_slot *const slot = &summing->slots[i];
    const char *const place =
        slot->place == PL_CAR ? "" : pl_word_of_places(sheet, 1u << slot->place);
    const char *const label = several ? pl_scrutiny_label(sheet, &summing->things[i]) : "";
    const char *const between = label[0] == '\0' || place[0] == '\0' ? "" : ", ";
    slot->label = pl_format(sheet->arena, "%s%s%s", label, between, place);
  }
}

/// The places that have the same declared value as a slot, as bits; 0 where an earlier slot has
/// told it.
static unsigned places_alike(const struct summing *summing, size_t at) {
  unsigned places = 0;
  for (size_t i = 0; i < summing->summary->slot_count; i++) {
    if (!pl_rule_thing_same(&summing->things[i], &summing->things[at]) ||
        strcmp(summing->slots[i].declared, summing->slots[at].declared) != 0)
      continue;
    if (i < at) return 0;
    places |= 1u << summing->slots[i].place;
  }
  return places;
}

/// A line for each declared value, with its places where there are others.
static void tell_declared(struct summing *summing) {
  struct pl_sheet *const sheet = summing->sheet;
  struct pl_rule_summary *const summary = summing->summary;
  const char **const lines =
      pl_alloc_array(sheet->arena, summary->slot_count + 1, sizeof *lines);
  for (size_t i = 0; i < summary->slot_count; i++) {
    const struct pl_slot *const slot = &summing->slots[i];
    const unsigned places = places_alike(summing, i);
    if (places == 0 || slot->declared[0] == '\0') continue;
    unsigned all = 0;
    bool several = false;
    for (size_t j = 0; j < summary->slot_count; j++) {
      if (pl_rule_thing_same(&summing->things[j], &summing->things[i]))
        all |= 1u << summing->slots[j].place;
      else
        several = true;
    }
    const char *const label = several ? pl_scrutiny_label(sheet, &summing->things[i]) : "";
    const char *const where = places == all ? "" : pl_word_of_places(sheet, places);
    lines[summary->declared_count++] =
        pl_format(sheet->arena, "%s%s%s%s%s", label, label[0] == '\0' ? "" : " ", where,
                  where[0] == '\0'  ? ""
                  : slot->is_worded ? ": "
                                    : " ",
                  slot->declared);
  }
  summary->declared = lines;
}

/// The places at which a rule fails as far as at this one, as bits; 0 where an earlier verdict
/// has told it.
static unsigned places_failing(const struct pl_verdict *verdicts, size_t count, size_t at) {
  unsigned places = 0;
  for (size_t i = 0; i < count; i++) {
    const struct pl_verdict *const other = &verdicts[i];
    if (other->outcome != PL_FAILS || strcmp(other->excess, verdicts[at].excess) != 0) continue;
    if (i < at) return 0;
    places |= 1u << other->place;
  }
  return places;
}

/// Where a rule fails, and how far beyond its limit; "" for what is of the car and has no
/// measure.
static const char *failure_words(struct pl_sheet *sheet, unsigned places, const char *excess) {
  const char *const where =
      (places & 1u << PL_CAR) != 0 ? "" : pl_word_of_places(sheet, places);
  if (excess[0] == '\0') return where;
  const char *const beyond =
      pl_word_with(sheet, PL_WORD_BEYOND, pl_paper_minus(sheet->arena, excess), NULL);
  return pl_format(sheet->arena, "%s%s%s", where, where[0] == '\0' ? "" : " ", beyond);
}

/// What it was that failed, in a rule of several things; else "".
static const char *failing_label(const struct summing *summing,
                                 const struct pl_verdict *verdict) {
  struct pl_thing thing;
  if (!is_of_several(summing) || !pl_thing_of_key(verdict->key, &thing)) return "";
  return pl_thing_label(summing->sheet->plan, &thing);
}

/// A line for each excess, with its places.
static void tell_failures(struct summing *summing, const struct pl_rule *rule) {
  struct pl_rule_summary *const summary = summing->summary;
  size_t count = 0;
  const struct pl_verdict *const verdicts =
      pl_verdicts_of(summing->entry->judgement, rule, &count);
  const char **const lines = pl_alloc_array(summing->sheet->arena, count + 1, sizeof *lines);
  for (size_t i = 0; i < count; i++) {
    const struct pl_verdict *const verdict = &verdicts[i];
    if (verdict->outcome != PL_FAILS) continue;
    const unsigned places = places_failing(verdicts, count, i);
    if (places == 0) continue;
    const char *const label = failing_label(summing, verdict);
    const char *const words = failure_words(summing->sheet, places, verdict->excess);
    if (label[0] == '\0' && words[0] == '\0') continue;
    lines[summary->failure_count++] =
        pl_format(summing->sheet->arena, "%s%s%s", label,
                  label[0] == '\0' || words[0] == '\0' ? "" : " ", words);
  }
  summary->failures = lines;
}

struct pl_rule_summary pl_rule_summary(struct pl_sheet *sheet,
                                       const struct pl_scrutinised *entry,
                                       const struct pl_rule *rule) {
  struct pl_rule_summary summary = {.judged = false};
  struct summing summing = {.sheet = sheet, .entry = entry, .summary = &summary};
  size_t count = 0;
  const struct pl_verdict *const verdicts = pl_verdicts_of(entry->judgement, rule, &count);
  for (size_t i = 0; i < count; i++) add_verdict(&summing, &verdicts[i]);
  label_slots(&summing);
  tell_declared(&summing);
  tell_failures(&summing, rule);
  summary.slots = summing.slots;
  return summary;
}

enum pl_standing pl_standing_of_rule(const struct pl_rule_summary *summary) {
  if (!summary->judged) return PL_STANDS_ELSEWHERE;
  if (summary->failed) return PL_STANDS_FAILED;
  return summary->unknown ? PL_STANDS_OPEN : PL_STANDS_PASSED;
}
