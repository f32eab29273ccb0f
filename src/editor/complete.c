// SPDX-License-Identifier: GPL-3.0-or-later
// Completion: what may stand at the cursor, by the blocks around it and the line before it.
#include "room.h"

#include "pitleaf/choice.h"

#include <math.h>
#include <string.h>

/// Kinds of offers, by the protocol's numbers.
enum offer_kind {
  OFFER_FUNCTION = 3,
  OFFER_CLASS = 7,
  OFFER_PROPERTY = 10,
  OFFER_UNIT = 11,
  OFFER_KEYWORD = 14,
  OFFER_FILE = 17,
  OFFER_REFERENCE = 18,
  OFFER_CHOICE = 20,
  OFFER_CONSTANT = 21
};

struct completing {
  struct pl_editor *editor;
  const struct spot *spot;
  struct writing writing;
  const struct pl_node *block; ///< the innermost around the place, or null
  json_t *items;
  struct pl_map *offered;
};

// ---------------------------------------------------------------- offers

/// What is put in the place of the word: to its end where it is a text that is closed.
static json_t *range_of(const struct completing *completing) {
  const struct writing *const writing = &completing->writing;
  const unsigned char *const bytes = writing->source->bytes;
  uint32_t end = writing->offset;
  if (writing->in_text && writing->end > writing->start + 1 && bytes[writing->end - 1] == '"')
    end = writing->end;
  return json_of_range(completing->editor->request, &completing->spot->document->lines,
                       writing->start, end);
}

static void offer(struct completing *completing, const char *label, const char *written,
                  enum offer_kind kind, const char *detail, const char *meaning) {
  if (pl_map_set(completing->offered, label, completing) != NULL) return;
  json_t *const item = PL_JSON_PACK(
      completing->editor->request, "{s:O,s:i,s:{s:O,s:O}}", "label",
      pl_json_text(completing->editor->request, label), "kind", (int)kind, "textEdit", "range",
      range_of(completing), "newText", pl_json_text(completing->editor->request, written));
  // A client compares what is written already with this; within quotes that begins with one.
  if (strcmp(label, written) != 0)
    pl_json_put(completing->editor->request, item, "filterText",
                pl_json_text(completing->editor->request, written));
  if (detail[0] != '\0')
    pl_json_put(completing->editor->request, item, "detail",
                pl_json_text(completing->editor->request, detail));
  if (meaning[0] != '\0')
    pl_json_put(completing->editor->request, item, "documentation",
                pl_json_text(completing->editor->request, meaning));
  pl_json_add(completing->editor->request, completing->items, item);
}

static void offer_word(struct completing *completing, const char *word) {
  offer(completing, word, word, OFFER_KEYWORD, "", "");
}

static void offer_words(struct completing *completing, const char *const *words, size_t count) {
  for (size_t i = 0; i < count; i++) offer_word(completing, words[i]);
}

static const char *in_quotes(struct completing *completing, const char *name) {
  struct pl_buffer out = {.arena = completing->editor->request};
  pl_buffer_text(&out, "\"");
  for (const char *at = name; *at != '\0'; at++) {
    if (*at == '"' || *at == '\\') pl_buffer_text(&out, "\\");
    pl_buffer_add(&out, at, 1);
  }
  pl_buffer_text(&out, "\"");
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- names

static void offer_block(void *context, const struct pl_block *block, bool in_main) {
  struct completing *const completing = context;
  (void)in_main;
  // A block does not start from itself.
  if (completing->writing.depth == 0 &&
      strcmp(word_at(&completing->writing, 1), in_quotes(completing, block->name)) == 0)
    return;
  offer(completing, block->name, in_quotes(completing, block->name), OFFER_REFERENCE,
        pl_block_kind_name(block->kind), "");
}

static void offer_template(void *context, const char *name) {
  struct completing *const completing = context;
  offer(completing, name, in_quotes(completing, name), OFFER_REFERENCE, "template", "");
}

static void offer_names(struct completing *completing, enum pl_block_kind kind) {
  pl_program_each(completing->spot->program, kind, offer_block, completing);
  if (kind == PL_BLOCK_TEMPLATE)
    pl_template_each_built_in(completing->editor->request, offer_template, completing);
}

/// The path from a folder to a file, both without links.
static const char *path_between(struct pl_arena *arena, const char *folder, const char *file) {
  size_t common = 0;
  for (size_t i = 0; folder[i] != '\0' && folder[i] == file[i]; i++) {
    if (folder[i] == '/') common = i + 1;
    if (folder[i + 1] == '\0' && file[i + 1] == '/') common = i + 2;
  }
  struct pl_buffer out = {.arena = arena};
  const size_t length = strlen(folder);
  bool more = common < length;
  for (size_t i = common; i < length; i++) {
    if (folder[i] == '/') pl_buffer_text(&out, "../");
  }
  if (more) pl_buffer_text(&out, "../");
  pl_buffer_text(&out, file + common);
  return pl_buffer_string(&out);
}

static void offer_files(struct completing *completing) {
  struct pl_editor *const editor = completing->editor;
  const char *const own = completing->spot->document->path;
  const char *const folder = pl_folder_of(editor->request, own);
  size_t count = 0;
  bool is_cut = false;
  const char *const *const paths = leaf_files(editor, folder, &count, &is_cut);
  for (size_t i = 0; i < count; i++) {
    if (strcmp(paths[i], own) == 0 || paths[i][0] != '/') continue;
    const char *const path = path_between(editor->request, folder, paths[i]);
    offer(completing, path, in_quotes(completing, path), OFFER_FILE, "", "");
  }
}

static void offer_lets(struct completing *completing) {
  struct pl_program *const program = completing->spot->program;
  const struct pl_source *source = NULL;
  for (size_t i = 0; (source = pl_program_file(program, i)) != NULL; i++) {
    const struct pl_tree *const tree = pl_program_tree(program, source);
    for (const struct pl_node *item = tree->items; item != NULL; item = item->next) {
      if (item->kind == PL_NODE_LET)
        offer(completing, item->name, item->name, OFFER_CONSTANT, "let", "");
    }
  }
}

// ---------------------------------------------------------------- keys

/// `setting` is what the key means, or PL_SETTING_COUNT: it may go by another key, too.
static bool is_given(const struct completing *completing, const char *key,
                     enum pl_setting setting) {
  const struct writing *const writing = &completing->writing;
  const struct pl_node *item = completing->block == NULL ? NULL : completing->block->children;
  for (; item != NULL; item = item->next) {
    const bool is_here = pl_name_span(item).start <= completing->writing.offset &&
                         completing->writing.offset <= pl_name_span(item).end;
    if (is_here || item->kind != PL_NODE_PROPERTY) continue;
    if (strcmp(item->name, key) == 0) return true;
    if (setting != PL_SETTING_COUNT &&
        setting_at(writing->around, writing->depth, item->name, item->children) == setting)
      return true;
  }
  return false;
}

static const char *span_text(struct pl_arena *arena, const struct pl_setting_row *row) {
  char least[32];
  char greatest[32];
  if (isnan(row->least) || isnan(row->greatest)) return row->meaning;
  return pl_format(arena, "%s; usual from %s to %s %s", row->meaning,
                   pl_number_shortest(least, sizeof least, row->least, 6),
                   pl_number_shortest(greatest, sizeof greatest, row->greatest, 6), row->of);
}

static void offer_key(struct completing *completing, const struct pl_setting_row *row,
                      const char *key) {
  struct pl_arena *const arena = completing->editor->request;
  if (is_given(completing, key, (enum pl_setting)(row - pl_settings))) return;
  const bool has_unit = row->type != PL_TYPE_CHOICE && row->of[0] != '\0';
  offer(completing, key, pl_format(arena, "%s = ", key), OFFER_PROPERTY,
        has_unit ? pl_format(arena, "%s, %s", row->label, pl_unit_shown(row->of)) : row->label,
        span_text(arena, row));
}

static void offer_any(struct completing *completing, const char *key, const char *behind,
                      const char *label, const char *meaning) {
  if (behind[0] != '\0' && is_given(completing, key, PL_SETTING_COUNT)) return;
  offer(completing, key, pl_format(completing->editor->request, "%s%s", key, behind),
        OFFER_PROPERTY, label, meaning);
}

/// Every setting and figure: what rules compare, pages show and officials measure.
static void offer_all_keys(struct completing *completing, const char *behind) {
  struct pl_arena *const arena = completing->editor->request;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    const bool is_part = row->owner < PL_BLOCK_CAR && row->owner != PL_BLOCK_OIL_SCALE;
    if (row->owner == PL_BLOCK_SETUP)
      offer_any(completing, row->key, behind, row->label, row->meaning);
    else if (is_part)
      offer_any(completing, pl_format(arena, "%s.%s", pl_block_kind_name(row->owner), row->key),
                behind, row->label, row->meaning);
  }
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const struct pl_figure_row *const row = &pl_figure_rows[i];
    offer_any(completing, row->key, behind, row->label, row->meaning);
  }
}

static void offer_scopes(struct completing *completing) {
  static const char *const words[] = {"front",       "rear",      "all",
                                      "left",        "right",     "front-left",
                                      "front-right", "rear-left", "rear-right"};
  offer_words(completing, words, sizeof words / sizeof words[0]);
}

static void offer_axles(struct completing *completing) {
  static const char *const words[] = {"front", "rear"};
  offer_words(completing, words, sizeof words / sizeof words[0]);
}

/// May a setting of that scope stand in a block of these places?
static bool fits_scope(const struct around *innermost, enum pl_scope scope) {
  if (!is_scope_word(innermost->kind)) return true;
  if (scope == PL_SCOPE_CORNER) return true;
  const char *const word = innermost->kind;
  return scope == PL_SCOPE_AXLE &&
         (strcmp(word, "all") == 0 || strcmp(word, "front") == 0 || strcmp(word, "rear") == 0);
}

static void offer_keys(struct completing *completing, enum pl_block_kind owner,
                       const char *prefix) {
  const struct writing *const writing = &completing->writing;
  const struct around *const innermost = &writing->around[writing->depth - 1];
  const size_t length = strlen(prefix);
  const bool is_car = strcmp(writing->around[0].kind, "car") == 0;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (is_car && i == PL_SETTING_CAR) continue; // which car, says a setup
    if (row->owner != owner || row->type == PL_TYPE_HOLES || !fits_scope(innermost, row->scope))
      continue;
    const bool is_within = length > 0 && strncmp(row->key, prefix, length) == 0;
    if (length == 0 ? strchr(row->key, '.') != NULL : !is_within) continue;
    offer_key(completing, row, row->key + length);
  }
  if (owner == PL_BLOCK_SETUP && writing->depth == 1) {
    offer_scopes(completing);
    offer_word(completing, "ballast");
  }
  if (owner == PL_BLOCK_BOX && writing->depth == 1) offer_axles(completing);
  if (owner == PL_BLOCK_SETUP && writing->depth <= 2) offer_word(completing, "extra");
  if (owner == PL_BLOCK_DAMPER && length == 0) offer_word(completing, "seal");
  if (owner == PL_BLOCK_MEETING) offer_word(completing, "entry");
  if (owner == PL_BLOCK_ENTRY) offer_word(completing, "measured");
}

static void offer_template_word(void *context, const char *word, bool is_key) {
  struct completing *const completing = context;
  if (is_key && is_given(completing, word, PL_SETTING_COUNT)) return;
  offer(completing, word, is_key ? pl_format(completing->editor->request, "%s = ", word) : word,
        is_key ? OFFER_PROPERTY : OFFER_CLASS, "", "");
}

/// Words that begin a line in a set of rules, and in a rule.
static void offer_rule_keys(struct completing *completing) {
  const bool in_rule = completing->writing.depth > 1;
  if (!in_rule) offer_word(completing, "rule");
  for (size_t i = 0; pl_rules_key(in_rule, i) != NULL; i++)
    offer_template_word(completing, pl_rules_key(in_rule, i), true);
}

/// The figures that an aim may want, each behind the places that have it, or, behind one or
/// within its block, by itself.
static void offer_wanted(struct completing *completing, bool with_place) {
  struct pl_arena *const arena = completing->editor->request;
  static const char *const axles[] = {"front", "rear"};
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const struct pl_figure_row *const row = &pl_figure_rows[i];
    if (strchr(row->unit, '|') != NULL) continue; // words
    const bool is_cars = row->scope == PL_SCOPE_CAR;
    for (size_t j = 0; j < (with_place && !is_cars ? 2 : 1); j++) {
      const char *const key =
          with_place ? pl_format(arena, "%s.%s", is_cars ? "car" : axles[j], row->key)
                     : row->key;
      offer_any(completing, key, " = ", row->label, row->meaning);
    }
  }
}

/// What an aim may keep.
static void offer_kept(struct completing *completing) {
  struct pl_arena *const arena = completing->editor->request;
  static const char *const axles[] = {"front", "rear"};
  offer_axles(completing);
  for (int kind = 0; kind < PL_VARY_COUNT; kind++) {
    const char *const key = pl_settings[pl_varied_rows[kind].setting].key;
    for (size_t j = 0; j < 2; j++)
      offer_word(completing, pl_format(arena, "%s.%s", axles[j], key));
  }
}

/// What was found on the car.
static void offer_measured(struct completing *completing) {
  offer_all_keys(completing, " = ");
  if (!is_scope_word(completing->writing.around[completing->writing.depth - 1].kind))
    offer_scopes(completing);
}

static void offer_beginnings(struct completing *completing) {
  const struct writing *const writing = &completing->writing;
  if (writing->depth == 0) {
    offer(completing, "include", "include ", OFFER_KEYWORD, "", "takes in another file");
    offer(completing, "let", "let ", OFFER_KEYWORD, "", "names a value");
    for (int kind = 0; kind < PL_BLOCK_KIND_COUNT; kind++) {
      const char *const word = pl_block_kind_name((enum pl_block_kind)kind);
      offer(completing, word, pl_format(completing->editor->request, "%s ", word), OFFER_CLASS,
            "", "");
    }
    return;
  }
  const char *prefix = "";
  const enum pl_block_kind owner = owner_of(writing->around, writing->depth, &prefix);
  if (strcmp(writing->around[0].kind, "aim") == 0) {
    if (writing->depth == 1) offer_keys(completing, PL_BLOCK_AIM, "");
    offer_wanted(completing, writing->depth == 1);
  } else if (strcmp(writing->around[0].kind, "rules") == 0)
    offer_rule_keys(completing);
  else if (strcmp(writing->around[0].kind, "template") == 0)
    pl_template_each_word(writing->around[writing->depth - 1].kind, offer_template_word,
                          completing);
  else if (owner == PL_BLOCK_SETUP && strcmp(writing->around[0].kind, "meeting") == 0)
    offer_measured(completing);
  else if (owner < PL_BLOCK_OWNER_COUNT)
    offer_keys(completing, owner, prefix);
}

// ---------------------------------------------------------------- values

static bool is_behind_number(const struct writing *writing) {
  return writing->count > 0 && writing->line[writing->count - 1]->class == PL_CLASS_NUMBER;
}

static void offer_all_units(struct completing *completing) {
  size_t count = 0;
  const char *const *const names = pl_unit_names(&count);
  for (size_t i = 0; i < count; i++) offer(completing, names[i], names[i], OFFER_UNIT, "", "");
}

/// The setting's own units first.
static void offer_units(struct completing *completing, const struct pl_setting_row *row) {
  const struct pl_dimension wanted = pl_unit_named(row->of).dimension;
  const char *const own[] = {row->of, row->imperial};
  for (size_t i = 0; i < 2; i++) {
    if (own[i][0] != '\0') offer(completing, own[i], own[i], OFFER_UNIT, "", "");
  }
  size_t count = 0;
  const char *const *const names = pl_unit_names(&count);
  for (size_t i = 0; i < count; i++) {
    const struct pl_unit unit = pl_unit_named(names[i]);
    if (pl_dimension_equal(unit.dimension, wanted) &&
        !pl_dimension_equal(wanted, PL_DIMENSIONLESS))
      offer(completing, names[i], names[i], OFFER_UNIT, "", "");
  }
}

static void offer_choices(struct completing *completing, const char *words) {
  for (const char *at = words; *at != '\0';) {
    const size_t length = strcspn(at, "|");
    const char *const word = pl_copy_text(completing->editor->request, at, length);
    offer(completing, word, word, OFFER_CHOICE, "", "");
    at += length + (at[length] == '|' ? 1 : 0);
  }
}

static void offer_function(struct completing *completing, const char *name,
                           const char *detail) {
  offer(completing, name, pl_format(completing->editor->request, "%s(", name), OFFER_FUNCTION,
        detail, "");
}

static bool is_blend(const char *function) {
  return strcmp(function, "blend") == 0;
}

/// What makes numbers; only `blend` makes something else.
static void offer_functions(struct completing *completing) {
  for (size_t i = 0; pl_function_name(i) != NULL; i++)
    if (!is_blend(pl_function_name(i))) offer_function(completing, pl_function_name(i), "");
}

static void offer_values(struct completing *completing, enum pl_setting setting) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  const struct writing *const writing = &completing->writing;
  const bool behind_number = is_behind_number(writing);
  if (setting == PL_SETTING_MEETING_RULES)
    offer_names(completing, PL_BLOCK_RULES);
  else if (setting == PL_SETTING_MEETING_TEMPLATE)
    offer_names(completing, PL_BLOCK_TEMPLATE);
  else if (row->type == PL_TYPE_FILE)
    offer_files(completing);
  else if (row->type == PL_TYPE_CHOICE)
    offer_choices(completing, row->of);
  else if (row->type == PL_TYPE_PART || (row->type == PL_TYPE_TEXTS && row->of[0] != '\0'))
    offer_names(completing, pl_block_kind_of(row->of));
  else if (behind_number && row->of[0] != '\0')
    offer_units(completing, row);
  if (writing->in_text || row->type == PL_TYPE_CHOICE || row->type == PL_TYPE_FILE) return;
  if (row->type == PL_TYPE_PART && strcmp(row->of, "oil") == 0)
    offer_function(completing, "blend", "shares of several oils");
  if (behind_number) return;
  if (row->type != PL_TYPE_TEXT && row->type != PL_TYPE_TEXTS) offer_lets(completing);
  if (row->type == PL_TYPE_NUMBER || row->type == PL_TYPE_COUNT) offer_functions(completing);
}

static void offer_aim_values(struct completing *completing, const char *key) {
  if (strcmp(key, "keep") == 0)
    offer_kept(completing);
  else if (is_behind_number(&completing->writing))
    offer_all_units(completing);
}

static void offer_rule_values(struct completing *completing, const char *key) {
  static const char *const scopes[] = {"car", "each axle", "each corner"};
  static const char *const words[] = {"left", "right", "front", "rear",
                                      "in",   "and",   "or",    "not"};
  static const char *const functions[] = {"min", "max", "sum", "count"};
  if (strcmp(key, "for") == 0) {
    offer_words(completing, scopes, 3);
  } else if (is_behind_number(&completing->writing)) {
    offer_all_units(completing);
  } else if (strcmp(key, "require") == 0) {
    offer_all_keys(completing, "");
    offer_words(completing, words, sizeof words / sizeof words[0]);
    for (size_t i = 0; i < 4; i++) offer_function(completing, functions[i], "");
    offer_lets(completing);
  }
}

static bool is_assignment(const struct writing *writing, size_t which) {
  const char *const mark = word_at(writing, which);
  const size_t length = strlen(mark);
  return length > 0 && mark[length - 1] == '=' && strcmp(mark, "==") != 0;
}

/// Behind the head of a block: `oil "a name" from "…"`.
static void offer_heads(struct completing *completing, enum pl_block_kind kind) {
  const struct writing *const writing = &completing->writing;
  const char *const last = word_at(writing, writing->count - 1);
  if (strcmp(last, "from") == 0)
    offer_names(completing, kind);
  else if (writing->count == 2 && !writing->in_text)
    offer(completing, "from", "from ", OFFER_KEYWORD, "", "starts from another one");
}

static void offer_more(struct completing *completing) {
  const struct writing *const writing = &completing->writing;
  const char *const first = word_at(writing, 0);
  if (strcmp(first, "include") == 0) {
    offer_files(completing);
    return;
  }
  if (strcmp(first, "let") == 0) {
    if (is_assignment(writing, 2) && is_behind_number(writing)) {
      offer_all_units(completing);
    } else if (is_assignment(writing, 2)) {
      offer_lets(completing);
      offer_functions(completing);
    }
    return;
  }
  if (writing->depth == 0) {
    const enum pl_block_kind kind = pl_block_kind_of(first);
    if (kind != PL_BLOCK_KIND_COUNT) offer_heads(completing, kind);
    return;
  }
  const bool is_path = strcmp(word_at(writing, 1), ".") == 0;
  const char *const around = writing->around[0].kind;
  const bool in_aim = strcmp(around, "aim") == 0;
  if (in_aim && is_path && writing->count == 2) offer_wanted(completing, false);
  if (!is_assignment(writing, is_path ? 3 : 1)) return;
  if (in_aim) {
    offer_aim_values(completing, first);
    return;
  }
  const enum pl_setting setting =
      is_path ? PL_SETTING_COUNT : setting_at(writing->around, writing->depth, first, NULL);
  if (strcmp(around, "rules") == 0)
    offer_rule_values(completing, first);
  else if (names_language(writing->around, writing->depth, first))
    offer_names(completing, PL_BLOCK_TEMPLATE);
  else if (strcmp(around, "template") == 0 && !writing->in_text)
    offer_all_keys(completing, "");
  else if (setting != PL_SETTING_COUNT)
    offer_values(completing, setting);
  else if (strcmp(around, "meeting") == 0 && is_behind_number(writing))
    offer_all_units(completing); // of a figure that was measured
}

json_t *answer_completion(struct pl_editor *editor, const json_t *params,
                          const char **problem) {
  (void)problem;
  struct spot spot;
  if (!read_spot(editor, params, &spot)) return NULL;
  struct completing completing = {.editor = editor,
                                  .spot = &spot,
                                  .items = pl_json_array(editor->request),
                                  .offered = pl_map_new(editor->request)};
  read_writing(&completing.writing, editor->request, spot.program, spot.source, spot.offset);
  struct route route;
  find_route(&route, spot.tree, spot.offset);
  for (size_t i = 0; i < route.count; i++) {
    if (route.nodes[i]->kind == PL_NODE_BLOCK) completing.block = route.nodes[i];
  }
  if (!completing.writing.in_comment) {
    if (completing.writing.count == 0)
      offer_beginnings(&completing);
    else
      offer_more(&completing);
  }
  return PL_JSON_PACK(editor->request, "{s:b,s:O}", "isIncomplete", 0, "items",
                      completing.items);
}
