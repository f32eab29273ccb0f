// SPDX-License-Identifier: GPL-3.0-or-later
// Reading blocks of rules: what each says, and which of the sets that they start from it
// replaces. All mistakes in the form of a rule are reported here, those in its sense in
// check.c.
#include "read.h"

#include <string.h>

#define RULE_KEYS 5
#define SET_KEYS  2
static const char *const keys_of_rule[] = {"for", "require", "tolerance", "measure", "because"};
static const char *const keys_of_set[] = {"edition", "applies-to"};

const char *pl_rules_key(bool of_rule, size_t which) {
  if (of_rule) return which < RULE_KEYS ? keys_of_rule[which] : NULL;
  return which < SET_KEYS ? keys_of_set[which] : NULL;
}

static void report_value(struct reading *reading, const struct pl_node *property,
                         const char *wanted, const char *mend) {
  pl_report(reading->problems, PL_RULE_VALUE, property->children->span,
            PL_WORDS(property->name, wanted,
                     pl_span_shown(reading->arena, property->children->span), mend));
}

/// Words that were written without their quotes; null where that is not it.
static const char *in_quotes(struct reading *reading, const struct pl_node *value) {
  const bool words = value->kind == PL_NODE_NAME || value->kind == PL_NODE_ROW ||
                     value->kind == PL_NODE_NUMBER;
  const char *const text = pl_span_line(reading->arena, value->span);
  return words && strchr(text, '"') == NULL ? pl_format(reading->arena, "\"%s\"", text) : NULL;
}

static const char *text_in(struct reading *reading, const struct pl_node *property) {
  if (property->children->kind == PL_NODE_TEXT) return property->children->name;
  const char *const quoted = in_quotes(reading, property->children);
  report_value(reading, property, "a text in quotes",
               quoted == NULL
                   ? NULL
                   : pl_format(reading->arena, "write %s = %s", property->name, quoted));
  return "";
}

// ---------------------------------------------------------------- a rule

/// What somebody meant by "every wheel"; null where nobody knows. The rule is then taken to be
/// for that.
static const char *scope_meant(const char *text, enum pl_rule_scope *scope) {
  static const struct {
    const char *word;
    const char *mend;
  } known[] = {{"corner", "write for = each corner"},
               {"wheel", "write for = each corner"},
               {"shock", "write for = each corner"},
               {"damper", "write for = each corner"},
               {"side", "write for = each corner"},
               {"axle", "write for = each axle"},
               {"car", "write for = car"},
               {"front", "write for = each axle"},
               {"class", "a class stands behind the rule's name: rule \"Bore\" when class == "
                         "\"2wd\" { … }"}};
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    if (strstr(text, known[i].word) == NULL) continue;
    if (strstr(known[i].mend, "each axle") != NULL) *scope = PL_RULE_EACH_AXLE;
    if (strstr(known[i].mend, "each corner") != NULL) *scope = PL_RULE_EACH_CORNER;
    return known[i].mend;
  }
  return NULL;
}

static void read_scope(struct reading *reading, const struct pl_node *property,
                       struct pl_rule *rule) {
  static const struct {
    const char *second;
    enum pl_rule_scope scope;
  } known[] = {{"axle", PL_RULE_EACH_AXLE}, {"corner", PL_RULE_EACH_CORNER}};
  const struct pl_node *const value = property->children;
  if (value->kind == PL_NODE_NAME && strcmp(value->name, "car") == 0) {
    rule->scope = PL_RULE_CAR;
    return;
  }
  const struct pl_node *const words = value->kind == PL_NODE_ROW ? value->children : NULL;
  const bool each = words != NULL && words->kind == PL_NODE_NAME &&
                    strcmp(words->name, "each") == 0 && words->next->next == NULL &&
                    words->next->kind == PL_NODE_NAME;
  for (size_t i = 0; each && i < sizeof known / sizeof known[0]; i++) {
    if (strcmp(words->next->name, known[i].second) != 0) continue;
    rule->scope = known[i].scope;
    return;
  }
  const char *mend = scope_meant(pl_span_text(reading->arena, value->span), &rule->scope);
  const struct pl_node *const last = words == NULL ? value : words->next;
  static const char *const places[] = {"corner", "axle", "car"};
  if (mend == NULL && last->kind == PL_NODE_NAME) {
    const char *const near = pl_nearest(last->name, places, sizeof places / sizeof places[0]);
    if (near != NULL) mend = scope_meant(near, &rule->scope);
  }
  rule->scope_is_unknown = mend == NULL;
  report_value(reading, property, "`car`, `each axle` or `each corner`", mend);
}

static void read_tolerance(struct reading *reading, const struct pl_node *property,
                           struct pl_rule *rule) {
  const struct pl_value value = pl_evaluate(reading->program, property->children, NULL);
  if (value.kind == PL_VALUE_NONE) return;
  if (value.kind != PL_VALUE_NUMBER || value.number < 0 || value.absolute) {
    report_value(reading, property, "a number that is not below zero",
                 value.absolute ? "a temperature difference is in K" : NULL);
    return;
  }
  rule->tolerance = value.number;
  rule->tolerance_dimension = value.dimension;
  rule->tolerance_text = property->children->kind == PL_NODE_NUMBER
                             ? number_written(reading->arena, property->children)
                             : pl_value_text(reading->arena, &value);
  rule->tolerance_span = property->children->span;
}

/// A setting that stands as a key where a rule was meant: what that would be, or null.
static const char *rule_meant(struct reading *reading, const struct pl_node *property,
                              bool in_rule) {
  struct pl_arena *const arena = reading->arena;
  struct name name;
  const char *key = property->name;
  if (!read_name(arena, key, &name)) {
    key = pl_key_meant(arena, key);
    if (key == NULL || !read_name(arena, key, &name)) return NULL;
  }
  static const char *const scopes[] = {"", "for = each axle; ", "for = each corner; "};
  const enum pl_scope scope = scope_of_name(&name);
  const char *const lines = pl_format(arena, "%srequire = %s == %s",
                                      scopes[scope == PL_SCOPE_CORNER ? 2
                                             : scope == PL_SCOPE_AXLE ? 1
                                                                      : 0],
                                      key, pl_span_line(arena, property->children->span));
  return in_rule ? lines : pl_format(arena, "rule \"a name\" { %s }", lines);
}

static bool is_one_of(const char *key, const char *const *keys, size_t count) {
  for (size_t i = 0; i < count; i++) {
    if (strcmp(keys[i], key) == 0) return true;
  }
  return false;
}

/// A key that a block does not know.
static void report_key(struct reading *reading, const struct pl_node *property, bool in_rule) {
  const char *const what = in_rule ? "A rule" : "A set of rules";
  const char *const *const keys = in_rule ? keys_of_rule : keys_of_set;
  const size_t count = in_rule ? RULE_KEYS : SET_KEYS;
  const char *const near = pl_nearest(property->name, keys, count);
  const char *const meant = rule_meant(reading, property, in_rule);
  struct pl_diagnostics *const problems = reading->problems;
  const struct pl_span at = pl_name_span(property);
  if (in_rule && is_one_of(property->name, keys_of_set, SET_KEYS)) {
    pl_report(problems, PL_KEY_OF_OTHER_BLOCK, at,
              PL_WORDS(what, property->name, "the set of rules around it"));
  } else if (!in_rule && is_one_of(property->name, keys_of_rule, RULE_KEYS)) {
    pl_report(problems, PL_RULE_KEY_OUTSIDE, at,
              PL_WORDS(property->name, pl_span_line(reading->arena, property->span)));
  } else if (near != NULL) {
    pl_report(problems, PL_UNKNOWN_KEY, at, PL_WORDS(what, property->name, near));
  } else if (meant != NULL) {
    pl_report(problems, PL_RULE_SETTING_AS_KEY, at, PL_WORDS(what, property->name, meant));
  } else {
    struct pl_buffer all = {.arena = reading->arena};
    for (size_t i = 0; i < count; i++)
      pl_buffer_format(&all, "%s`%s`", i == 0 ? "" : ", ", keys[i]);
    pl_report(problems, PL_RULE_KEY_FAR, at,
              PL_WORDS(what, property->name, pl_buffer_string(&all)));
  }
}

/// A rule's line that looks at a place.
static const char *look_at(struct pl_arena *arena, const char *place) {
  const enum pl_place at = pl_place_of(place);
  if (at == PL_CAR) return "require = total-mass >= 1500 g";
  if (strcmp(place, "all") == 0) return "for = each corner; require = preload <= 3 mm";
  if (at == PL_PLACE_COUNT)
    return "for = each axle; require = left.damper.bore == right.damper.bore";
  return pl_format(arena,
                   at <= PL_REAR_RIGHT ? "require = %s.preload <= 3 mm"
                                       : "require = %s.track <= 220 mm",
                   place);
}

/// A block that neither a rule nor a set of rules holds.
static void report_block(struct reading *reading, const struct pl_node *block, bool in_rule,
                         const char *set) {
  static const char *const kinds[] = {"rule"};
  const char *const what = in_rule ? "A rule" : "A set of rules";
  const char *const near = in_rule ? NULL : pl_nearest(block->name, kinds, 1);
  const bool is_place = is_place_word(block->name) || strcmp(block->name, "all") == 0;
  if (near == NULL && is_place)
    pl_report(reading->problems, PL_RULE_PLACE_AS_BLOCK, pl_name_span(block),
              PL_WORDS(what, block->name, look_at(reading->arena, block->name)));
  else if (pl_block_kind_of(block->name) != PL_BLOCK_KIND_COUNT ||
           strcmp(block->name, "rule") == 0)
    pl_report(reading->problems, PL_BLOCK_INSIDE, pl_name_span(block),
              PL_WORDS(block->name, in_rule ? "rule" : "rules", set));
  else
    pl_report(reading->problems, PL_UNKNOWN_BLOCK, pl_name_span(block),
              PL_WORDS(what, block->name, near));
}

static void read_property(struct reading *reading, const struct pl_node *property,
                          struct pl_rule *rule) {
  size_t which = 0;
  while (which < RULE_KEYS && strcmp(keys_of_rule[which], property->name) != 0) which++;
  switch (which) {
  case 0: read_scope(reading, property, rule); break;
  case 1:
    rule->require = property->children;
    rule->requires = pl_span_line(reading->arena, property->children->span);
    break;
  case 2: read_tolerance(reading, property, rule); break;
  case 3: rule->measure = text_in(reading, property); break;
  case 4: rule->because = text_in(reading, property); break;
  default: report_key(reading, property, true);
  }
}

/// Reports a key that stands in its block already, and one that would change what a base says:
/// a rule is given whole.
static void note_key(struct reading *reading, struct pl_map *seen, struct pl_node *item) {
  if (item->action != PL_SET) report_value(reading, item, "a new value behind `=`", NULL);
  if (pl_map_set(seen, item->name, item) != NULL)
    pl_report(reading->problems, PL_SETTING_TWICE, pl_name_span(item), PL_WORDS(item->name));
}

static struct pl_rule read_rule(struct reading *reading, const struct pl_node *block) {
  struct pl_rule rule = {.name = pl_titles(block)->name,
                         .span = pl_titles(block)->span,
                         .condition = pl_condition(block),
                         .requires = "",
                         .when = pl_condition(block) == NULL
                                     ? ""
                                     : pl_span_line(reading->arena, pl_condition(block)->span),
                         .tolerance_text = "",
                         .measure = "",
                         .because = ""};
  const size_t errors = reading->problems->errors;
  bool whole = true; // every line of it was understood: else what it requires may be in one
  struct pl_map *const seen = pl_map_new(reading->arena);
  for (struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK) report_block(reading, item, true, rule.name);
    if (item->kind == PL_NODE_BROKEN) whole = false;
    if (item->kind != PL_NODE_PROPERTY) continue;
    note_key(reading, seen, item);
    read_property(reading, item, &rule);
  }
  // The line that was not understood may be the one that says where the rule is judged.
  if (!whole && pl_map_get(seen, "for") == NULL) rule.scope_is_unknown = true;
  if (rule.require == NULL && whole && reading->problems->errors == errors)
    pl_report(reading->problems, PL_RULE_WITHOUT_REQUIRE, rule.span, PL_WORDS(rule.name));
  return rule;
}

// ---------------------------------------------------------------- a set of rules

static void read_classes(struct reading *reading, const struct pl_node *property,
                         struct pl_rules *rules) {
  const struct pl_node *const value = property->children;
  const bool list = value->kind == PL_NODE_LIST;
  const char **classes = NULL;
  size_t count = 0;
  size_t capacity = 0;
  for (const struct pl_node *one = list ? value->children : value; one != NULL;
       one = list ? one->next : NULL) {
    if (one->kind != PL_NODE_TEXT) {
      const char *const quoted = in_quotes(reading, one);
      report_value(reading, property, "a list of classes in quotes",
                   quoted == NULL
                       ? NULL
                       : pl_format(reading->arena, "write %s = [%s]", property->name, quoted));
      return;
    }
    classes = pl_grow(reading->arena, (void *)classes, count, &capacity, sizeof(const char *));
    classes[count++] = one->name;
  }
  rules->classes = classes;
  rules->class_count = count;
  reading->classes_span = value->span;
  reading->has_no_class = count == 0;
}

/// Adds a rule as the last one, or in the place of an earlier one of its name.
static void add_rule(struct reading *reading, struct pl_rules *rules, struct pl_rule rule) {
  const size_t *const earlier = pl_map_get(reading->places, rule.name);
  if (earlier != NULL && rules->items != NULL) {
    rules->items[*earlier] = rule;
    return;
  }
  if (rules->count == PL_MOST_RULES) {
    pl_report(reading->problems, PL_TOO_MANY_RULES, rule.span,
              PL_WORDS(pl_format(reading->arena, "%d", PL_MOST_RULES)));
    return;
  }
  rules->items = pl_grow(reading->arena, rules->items, rules->count, &reading->capacity,
                         sizeof *rules->items);
  size_t *const place = pl_alloc(reading->arena, sizeof *place);
  *place = rules->count++;
  rules->items[*place] = rule;
  pl_map_set(reading->places, rule.name, place);
}

/// Reads a block within the rules; `named` are the rules of the same block that stand before.
static void read_block(struct reading *reading, struct pl_map *named, struct pl_node *block,
                       struct pl_rules *rules) {
  if (strcmp(block->name, "rule") != 0) {
    report_block(reading, block, false, rules->name);
    return;
  }
  if (pl_titles(block) == NULL || pl_titles(block)->kind != PL_NODE_TEXT) {
    pl_report(reading->problems, PL_BLOCK_NEEDS_NAME, pl_name_span(block),
              PL_WORDS(block->name));
    return;
  }
  if (pl_map_set(named, pl_titles(block)->name, block) != NULL)
    pl_report(reading->problems, PL_RULE_TWICE, pl_titles(block)->span,
              PL_WORDS(pl_titles(block)->name));
  add_rule(reading, rules, read_rule(reading, block));
}

static void read_items(struct reading *reading, const struct pl_node *node,
                       struct pl_rules *rules) {
  const size_t errors = reading->problems->errors;
  struct pl_map *const named = pl_map_new(reading->arena);
  struct pl_map *const seen = pl_map_new(reading->arena);
  bool whole = true;
  for (struct pl_node *item = node->children; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK) read_block(reading, named, item, rules);
    if (item->kind == PL_NODE_BROKEN) whole = false;
    if (item->kind != PL_NODE_PROPERTY) continue;
    note_key(reading, seen, item);
    if (strcmp(item->name, "edition") == 0)
      rules->edition = text_in(reading, item);
    else if (strcmp(item->name, "applies-to") == 0)
      read_classes(reading, item, rules);
    else
      report_key(reading, item, false);
  }
  // A pass of every car would be one by silence.
  if (rules->count == 0 && whole && reading->problems->errors == errors)
    pl_report(reading->problems, PL_RULES_EMPTY, pl_titles(node)->span, PL_WORDS(rules->name));
}

/// Does a set start, by others, from itself?
static bool starts_from_itself(const struct reading *reading, const struct pl_node *node) {
  const struct pl_node *at = node;
  for (int steps = 0; steps < PL_MOST_BASES && pl_bases(at) != NULL; steps++) {
    at = pl_program_find(reading->program, PL_BLOCK_RULES, pl_bases(at)->name)->node;
    if (at == node) return true;
  }
  return false;
}

static void report_chain(struct reading *reading, const struct pl_node *node,
                         const struct pl_block *base) {
  if (starts_from_itself(reading, node))
    pl_report(reading->problems, PL_FROM_CIRCLE, pl_bases(node)->span,
              PL_WORDS(pl_format(reading->arena, "\"%s\" from \"%s\"", pl_titles(node)->name,
                                 base->name)));
  else
    pl_report(reading->problems, PL_TOO_MANY_BASES, pl_bases(node)->span,
              PL_WORDS(pl_format(reading->arena, "%d", PL_MOST_BASES)));
}

void read_rules(struct reading *reading, const struct pl_node *node, struct pl_rules *rules,
                size_t depth) {
  if (pl_bases(node) != NULL) {
    const struct pl_block *const base =
        pl_program_find(reading->program, PL_BLOCK_RULES, pl_bases(node)->name);
    if (base == NULL)
      pl_report(reading->problems, PL_UNKNOWN_BASE_FAR, pl_bases(node)->span,
                PL_WORDS("set of rules", pl_bases(node)->name, NULL));
    else if (depth >= PL_MOST_BASES)
      report_chain(reading, node, base);
    else
      read_rules(reading, base->node, rules, depth + 1);
  }
  read_items(reading, node, rules);
}

struct pl_rules *rules_of_block(struct reading *reading, const struct pl_block *block) {
  struct pl_rules *const rules = pl_alloc(reading->arena, sizeof *rules);
  *rules = (struct pl_rules){.name = block->name,
                             .span = pl_titles(block->node)->span,
                             .program = reading->program,
                             .edition = ""};
  reading->places = pl_map_new(reading->arena);
  read_rules(reading, block->node, rules, 0);
  return rules;
}

const struct pl_rules *pl_program_rules(struct pl_program *program, const char *name) {
  struct reading reading = {.arena = pl_program_arena(program),
                            .program = program,
                            .problems = pl_program_problems(program)};
  const struct pl_block *const block = pl_program_block(program, PL_BLOCK_RULES, name);
  if (block == NULL) return NULL;
  struct pl_rules *const rules = rules_of_block(&reading, block);
  check_rules(&reading, rules);
  return rules;
}

void pl_rules_check(struct pl_program *program, const struct pl_block *block) {
  struct reading reading = {.arena = pl_program_arena(program),
                            .program = program,
                            .problems = pl_program_problems(program)};
  check_rules(&reading, rules_of_block(&reading, block));
}
