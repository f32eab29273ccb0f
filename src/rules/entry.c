// SPDX-License-Identifier: GPL-3.0-or-later
// An entry under all rules: which apply, what each says, and where what was measured is not
// what was declared.
#include "room.h"

#include <math.h>
#include <string.h>

const char *pl_outcome_name(enum pl_outcome outcome) {
  static const char *const names[] = {"pass", "fail", "unknown"};
  return names[outcome];
}

struct making {
  struct judged judged;
  struct pl_judgement *judgement;
  size_t capacity;
  size_t difference_capacity;
};

// ---------------------------------------------------------------- verdicts

const struct pl_verdict *pl_verdicts_of(const struct pl_judgement *judgement,
                                        const struct pl_rule *rule, size_t *count) {
  size_t low = 0;
  size_t high = judgement->applies ? judgement->count : 0;
  const size_t end = high;
  while (low < high) {
    const size_t middle = low + (high - low) / 2;
    if (judgement->verdicts[middle].rule < rule)
      low = middle + 1;
    else
      high = middle;
  }
  *count = 0;
  while (low + *count < end && judgement->verdicts[low + *count].rule == rule) ++*count;
  return *count == 0 ? NULL : &judgement->verdicts[low];
}

static void add_verdict(struct making *making, const struct pl_rule *rule, enum pl_place place,
                        struct decision decision) {
  struct pl_judgement *const judgement = making->judgement;
  struct judged *const judged = &making->judged;
  judgement->verdicts = pl_grow(judged->arena, judgement->verdicts, judgement->count,
                                &making->capacity, sizeof *judgement->verdicts);
  const bool unknown = decision.outcome == PL_CANNOT_BE_JUDGED;
  size_t count = 0;
  const struct pl_origin *const origins =
      decision.outcome == PL_FAILS ? origins_of(judged, &decision.known, &count) : NULL;
  judgement->verdicts[judgement->count++] =
      (struct pl_verdict){.rule = rule,
                          .place = place,
                          .outcome = decision.outcome,
                          .key = decision.key,
                          .value = decision.value,
                          .limit = decision.limit,
                          .excess = decision.excess,
                          .tolerance_used = decision.tolerance_used,
                          .measured = decision.known.measured,
                          .at = count == 1 ? origins[0].at : decision.known.at,
                          .origins = count > 1 ? origins : NULL,
                          .origin_count = count > 1 ? count : 0,
                          .needs = unknown ? judged->needs : NULL,
                          .need_count = unknown ? judged->need_count : 0};
  if (judged->entrant->with_sights && rule->require != NULL)
    (void)see(judged, rule, &judgement->verdicts[judgement->count - 1]);
  if (decision.outcome == PL_FAILS) judgement->failed++;
  if (unknown) judgement->unknown++;
}

static void judge_at(struct making *making, const struct pl_rule *rule, enum pl_place place) {
  struct judged *const judged = &making->judged;
  judged->place = place;
  judged->needs = NULL;
  judged->need_count = judged->need_capacity = 0;
  judged->tolerance = 0;
  if (rule->condition != NULL) {
    const struct decision applies = decide(judged, rule->condition);
    if (applies.outcome == PL_FAILS) return;
    if (applies.outcome == PL_CANNOT_BE_JUDGED) {
      // Where the rule would be kept anyhow, it does not matter whether it applies.
      judged->tolerance = rule->tolerance;
      struct decision decision = decide(judged, rule->require);
      if (decision.outcome == PL_FAILS) decision.outcome = PL_CANNOT_BE_JUDGED;
      add_verdict(making, rule, place, decision);
      return;
    }
  }
  judged->tolerance = rule->tolerance;
  add_verdict(making, rule, place, decide(judged, rule->require));
}

static void judge_rule(struct making *making, const struct pl_rule *rule) {
  static const struct {
    enum pl_place first, last;
  } spans[] = {{PL_CAR, PL_CAR}, {PL_FRONT, PL_REAR}, {PL_FRONT_LEFT, PL_REAR_RIGHT}};
  if (rule->require == NULL) return;
  for (int place = (int)spans[rule->scope].first; place <= (int)spans[rule->scope].last;
       place++)
    judge_at(making, rule, (enum pl_place)place);
}

// ---------------------------------------------------------------- measured and declared

/// Looking for a thing in what a rule requires.
struct tolerance_search {
  struct pl_arena *arena;
  const struct name *name;
  bool found;
};

static void look_for_thing(struct tolerance_search *search, const struct pl_node *node) {
  struct name name;
  if (node->kind == PL_NODE_NAME && read_name(search->arena, node->name, &name) &&
      is_same_thing(&name, search->name))
    search->found = true;
  for (const struct pl_node *child = node->children; child != NULL; child = child->next)
    look_for_thing(search, child);
}

/// The least tolerance of the rules that were judged of this entry and look at a thing; 0 where
/// none has one. That of a rule that compares something else made of it, as a ratio, is none of
/// the thing's.
static double tolerance_of(const struct making *making, const struct name *name,
                           struct pl_dimension dimension) {
  const struct pl_judgement *const judgement = making->judgement;
  double tolerance = INFINITY;
  const struct pl_rule *last = NULL;
  for (size_t i = 0; i < judgement->count; i++) {
    const struct pl_rule *const rule = judgement->verdicts[i].rule;
    if (rule == last || rule->tolerance <= 0) continue;
    last = rule;
    if (!pl_dimension_equal(rule->tolerance_dimension, dimension)) continue;
    struct tolerance_search search = {.arena = making->judged.arena, .name = name};
    look_for_thing(&search, rule->require);
    if (search.found && rule->tolerance < tolerance) tolerance = rule->tolerance;
  }
  return isfinite(tolerance) ? tolerance : 0;
}

/// The unit of the first limit of this entry that looks at a thing, as it is written; ""
/// where none does or has one.
static const char *unit_of_limit(const struct making *making, const struct name *name) {
  const struct pl_judgement *const judgement = making->judgement;
  const struct pl_rule *last = NULL;
  for (size_t i = 0; i < judgement->count; i++) {
    const struct pl_rule *const rule = judgement->verdicts[i].rule;
    if (rule == last || rule->require == NULL) continue;
    last = rule;
    struct tolerance_search search = {.arena = making->judged.arena, .name = name};
    look_for_thing(&search, rule->require);
    if (search.found) return unit_of_thing(&making->judged, rule->require, name);
  }
  return "";
}

static void add_difference(struct making *making, const struct name *name,
                           const struct pl_node *line, enum pl_place place,
                           const struct pl_value *measured) {
  struct judged *const judged = &making->judged;
  struct pl_judgement *const judgement = making->judgement;
  const struct pl_value declared_value = declared(judged, name, place).value;
  if (declared_value.kind == PL_VALUE_NONE) return;
  const bool numbers =
      measured->kind == PL_VALUE_NUMBER && declared_value.kind == PL_VALUE_NUMBER;
  const double away = numbers ? fabs(measured->number - declared_value.number) : 0;
  const double allowed =
      tolerance_of(making, name, measured->dimension) + 1e-9 * fabs(declared_value.number);
  if (numbers ? away <= allowed : pl_value_equal(measured, &declared_value)) return;
  judgement->differences =
      pl_grow(judged->arena, judgement->differences, judgement->difference_count,
              &making->difference_capacity, sizeof *judgement->differences);
  const char *const limit_unit = unit_of_limit(making, name);
  const char *const unit =
      limit_unit[0] != '\0' ? limit_unit : unit_written(judged, line->children, measured);
  judgement->differences[judgement->difference_count++] = (struct pl_difference){
      .place = place,
      .thing = thing_of_name(name),
      .key = name->key,
      .measured = told_value(judged, name, unit, measured),
      .declared = told_value(judged, name, unit, &declared_value),
      .at = pl_name_span(line),
      .by = numbers ? told_difference(judged, name, unit, away, measured->dimension) : ""};
}

/// Compares a measured line with what is declared at each of its places.
static void compare_line(void *context, const struct pl_node *line, unsigned places) {
  struct making *const making = context;
  struct name name;
  if (!read_name(making->judged.arena, line->name, &name)) return;
  const struct pl_value value = value_of_line(&making->judged, line, &name);
  const enum pl_scope scope = scope_of_name(&name);
  if (value.kind == PL_VALUE_NONE) return;
  for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
    if ((places & 1u << place) == 0) continue;
    // A narrower line about this place has the word.
    if (known_of(&making->judged, &name, (enum pl_place)place).at.start !=
        pl_name_span(line).start)
      continue;
    add_difference(making, &name, line, (enum pl_place)place, &value);
  }
}

// ---------------------------------------------------------------- the whole

static const char *class_of(const struct judged *judged) {
  if (judged->entrant->class_name[0] != '\0') return judged->entrant->class_name;
  if (judged->setup == NULL) return "";
  const struct pl_value *const value =
      &pl_setup_get(judged->setup, PL_SETTING_CLASS, PL_CAR)->value;
  return value->kind == PL_VALUE_TEXT ? value->text : "";
}

static bool has_class(const struct pl_rules *rules, const char *class_name) {
  for (size_t i = 0; i < rules->class_count; i++) {
    if (strcmp(rules->classes[i], class_name) == 0) return true;
  }
  return rules->class_count == 0;
}

/// Rules for certain classes, and the class is not known: nothing can be judged.
static void leave_open(struct making *making) {
  static const char *const needs[] = {"class"};
  struct judged *const judged = &making->judged;
  const struct decision open = {.outcome = PL_CANNOT_BE_JUDGED,
                                .key = "class",
                                .value = {.text = "", .unit = ""},
                                .limit = {.text = "", .unit = ""},
                                .excess = ""};
  for (size_t i = 0; i < judged->rules->count; i++) {
    judged->needs = (const char **)needs;
    judged->need_count = 1;
    add_verdict(making, &judged->rules->items[i], PL_CAR, open);
  }
}

const struct pl_judgement *pl_judge(struct pl_arena *arena, const struct pl_rules *rules,
                                    struct pl_figures *figures, enum pl_unit_system system,
                                    const struct pl_entrant *entrant) {
  static const struct pl_entrant nobody = {.class_name = ""};
  struct making making = {
      .judged = {.arena = arena,
                 .rules = rules,
                 .figures = figures,
                 .setup = figures == NULL ? NULL : pl_figures_setup(figures),
                 .entrant = entrant == NULL ? &nobody : entrant,
                 .system = system},
      .judgement = pl_alloc(arena, sizeof *making.judgement)};
  struct pl_judgement *const judgement = making.judgement;
  judgement->rules = rules;
  const char *const class_name = class_of(&making.judged);
  judgement->class_name = pl_copy_text(arena, class_name, strlen(class_name));
  const bool unknown_class = rules->class_count > 0 && judgement->class_name[0] == '\0';
  judgement->applies = unknown_class || has_class(rules, judgement->class_name);
  if (unknown_class) leave_open(&making);
  for (size_t i = 0; judgement->applies && !unknown_class && i < rules->count; i++)
    judge_rule(&making, &rules->items[i]);
  if (judgement->applies) each_measured(making.judged.entrant, compare_line, &making);
  judgement->outcome = judgement->failed > 0    ? PL_FAILS
                       : judgement->unknown > 0 ? PL_CANNOT_BE_JUDGED
                                                : PL_PASSES;
  return judgement;
}
