// SPDX-License-Identifier: GPL-3.0-or-later
// A file's outline: symbols, folds, and what each word is.
#include "room.h"

#include <string.h>

// ---------------------------------------------------------------- symbols

/// Kinds of symbols, by the protocol's numbers.
enum symbol {
  SYMBOL_FILE = 1,
  SYMBOL_CLASS = 5,
  SYMBOL_PROPERTY = 7,
  SYMBOL_CONSTANT = 14,
  SYMBOL_OBJECT = 19
};

static json_t *symbols_of(struct pl_arena *arena, const struct lines *lines,
                          const struct pl_node *items, size_t depth);

static json_t *symbol(struct pl_arena *arena, const struct lines *lines,
                      const struct pl_node *node, const char *name, enum symbol kind,
                      struct pl_span chosen) {
  return PL_JSON_PACK(arena, "{s:O,s:i,s:O,s:O}", "name",
                      pl_json_text(arena, name[0] == '\0' ? "…" : name), "kind", (int)kind,
                      "range", json_of_range(arena, lines, node->span.start, node->span.end),
                      "selectionRange", json_of_range(arena, lines, chosen.start, chosen.end));
}

static json_t *symbol_of_block(struct pl_arena *arena, const struct lines *lines,
                               const struct pl_node *block, size_t depth) {
  const struct pl_node *const title = pl_titles(block);
  const bool is_named = title != NULL && title->kind == PL_NODE_TEXT;
  json_t *const made = symbol(arena, lines, block, is_named ? title->name : block->name,
                              depth == 0 ? SYMBOL_CLASS : SYMBOL_OBJECT,
                              is_named ? title->span : pl_name_span(block));
  if (is_named) pl_json_put(arena, made, "detail", pl_json_text(arena, block->name));
  pl_json_put(arena, made, "children", symbols_of(arena, lines, block->children, depth + 1));
  return made;
}

static json_t *symbols_of(struct pl_arena *arena, const struct lines *lines,
                          const struct pl_node *items, size_t depth) {
  json_t *const list = pl_json_array(arena);
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK)
      pl_json_add(arena, list, symbol_of_block(arena, lines, item, depth));
    else if (item->kind == PL_NODE_LET)
      pl_json_add(arena, list,
                  symbol(arena, lines, item, item->name, SYMBOL_CONSTANT, pl_name_span(item)));
    else if (item->kind == PL_NODE_INCLUDE)
      pl_json_add(arena, list,
                  symbol(arena, lines, item, item->name, SYMBOL_FILE, pl_name_span(item)));
    else if (item->kind == PL_NODE_PROPERTY)
      pl_json_add(arena, list,
                  symbol(arena, lines, item, item->name, SYMBOL_PROPERTY, pl_name_span(item)));
  }
  return list;
}

static bool read_document(struct pl_editor *editor, const json_t *params, struct spot *spot) {
  return read_spot(editor, params, spot);
}

json_t *answer_symbols(struct pl_editor *editor, const json_t *params, const char **problem) {
  (void)problem;
  struct spot spot;
  if (!read_document(editor, params, &spot)) return NULL;
  return symbols_of(editor->request, &spot.document->lines, spot.tree->items, 0);
}

// ---------------------------------------------------------------- folds

static void add_fold(struct pl_arena *arena, json_t *list, const struct lines *lines,
                     uint32_t start, uint32_t end, const char *kind) {
  uint32_t first = 0;
  uint32_t last = 0;
  uint32_t character = 0;
  position_at(lines, start, &first, &character);
  position_at(lines, end, &last, &character);
  if (last <= first) return;
  json_t *const fold =
      PL_JSON_PACK(arena, "{s:i,s:i}", "startLine", (int)first, "endLine", (int)last);
  if (kind != NULL) pl_json_put(arena, fold, "kind", pl_json_text(arena, kind));
  pl_json_add(arena, list, fold);
}

static void add_folds(struct pl_arena *arena, json_t *list, const struct lines *lines,
                      const struct pl_node *items) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    if (item->kind != PL_NODE_BLOCK && item->kind != PL_NODE_PROPERTY) continue;
    add_fold(arena, list, lines, item->span.start, item->span.end, NULL);
    if (item->kind == PL_NODE_BLOCK) add_folds(arena, list, lines, item->children);
  }
}

/// Comments on lines of their own, one below the other.
static void add_comment_folds(struct pl_arena *arena, json_t *list, const struct lines *lines,
                              const struct pl_tree *tree) {
  const struct pl_token *first = NULL;
  const struct pl_token *last = NULL;
  size_t line_ends = 0;
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    if (token->class == PL_CLASS_SPACE) continue;
    if (token->class == PL_CLASS_LINE) {
      line_ends++;
      continue;
    }
    const bool goes_on = token->class == PL_CLASS_COMMENT && line_ends == 1 && last != NULL;
    if (!goes_on) {
      if (first != NULL)
        add_fold(arena, list, lines, pl_token_start(first), pl_token_start(last), "comment");
      first = NULL;
      last = NULL;
    }
    if (token->class == PL_CLASS_COMMENT && (goes_on || line_ends > 0 || i == 0)) {
      if (first == NULL) first = token;
      last = token;
    }
    line_ends = 0;
  }
  if (first != NULL)
    add_fold(arena, list, lines, pl_token_start(first), pl_token_start(last), "comment");
}

json_t *answer_folds(struct pl_editor *editor, const json_t *params, const char **problem) {
  struct pl_arena *const arena = editor->request;
  (void)problem;
  struct spot spot;
  if (!read_document(editor, params, &spot)) return NULL;
  json_t *const list = pl_json_array(arena);
  add_folds(arena, list, &spot.document->lines, spot.tree->items);
  add_comment_folds(arena, list, &spot.document->lines, spot.tree);
  return list;
}

// ---------------------------------------------------------------- what each word is

/// In the order of the legend.
enum word_kind {
  WORD_COMMENT,
  WORD_KEYWORD,
  WORD_KIND,
  WORD_SCOPE,
  WORD_KEY,
  WORD_TEXT,
  WORD_NUMBER,
  WORD_UNIT,
  WORD_CONSTANT,
  WORD_FUNCTION,
  WORD_CHOICE,
  WORD_OPERATOR,
  WORD_KIND_COUNT,
  WORD_NONE
};

json_t *token_legend(struct pl_arena *arena) {
  static const char *const types[WORD_KIND_COUNT] = {
      "comment", "keyword", "class",    "namespace", "property",   "string",
      "number",  "type",    "variable", "function",  "enumMember", "operator"};
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < WORD_KIND_COUNT; i++)
    pl_json_add(arena, list, pl_json_text(arena, types[i]));
  return PL_JSON_PACK(arena, "{s:O,s:[]}", "tokenTypes", list, "tokenModifiers");
}

/// The kinds of words, by the byte where they begin.
struct painting {
  struct pl_program *program;
  uint8_t *kinds; ///< one for each byte, and one behind
};

static void paint(struct painting *painting, struct pl_span span, enum word_kind kind) {
  painting->kinds[span.start] = (uint8_t)kind;
}

/// A name, or several joined by points.
static void paint_path(struct painting *painting, const struct pl_node *path) {
  const unsigned char *const bytes = path->span.source->bytes;
  const bool is_key = strchr(path->name, '.') != NULL ||
                      pl_setting_of(path->name, PL_BLOCK_SETUP) < PL_SETTING_COUNT ||
                      pl_figure_of(path->name) < PL_FIGURE_COUNT;
  const bool is_constant = pl_program_has_let(painting->program, path->name);
  for (uint32_t at = path->span.start; at < path->span.end; at++) {
    if (at == path->span.start || bytes[at - 1] == '.')
      painting->kinds[at] = is_constant ? WORD_CONSTANT : is_key ? WORD_KEY : WORD_CHOICE;
  }
}

static void paint_value(struct painting *painting, const struct pl_node *value) {
  for (const struct pl_node *one = value; one != NULL; one = one->next) {
    if (one->kind == PL_NODE_NAME) paint_path(painting, one);
    if (one->kind == PL_NODE_CALL) paint(painting, one->span, WORD_FUNCTION);
    paint_value(painting, one->children);
  }
}

static void paint_items(struct painting *painting, const struct pl_node *items, size_t depth) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK) {
      paint(painting, pl_name_span(item),
            depth > 0 && is_scope_word(item->name) ? WORD_SCOPE : WORD_KIND);
      if (pl_condition(item) != NULL) paint_value(painting, pl_condition(item));
      paint_items(painting, item->children, depth + 1);
    }
    if (item->kind == PL_NODE_PROPERTY && pl_name_span(item).start < pl_name_span(item).end)
      paint(painting, pl_name_span(item), WORD_KEY);
    if (item->kind == PL_NODE_LET) paint(painting, pl_name_span(item), WORD_CONSTANT);
    if (item->kind == PL_NODE_PROPERTY || item->kind == PL_NODE_LET)
      paint_value(painting, item->children);
  }
}

static enum word_kind kind_of_token(const struct painting *painting,
                                    const struct pl_token *token) {
  switch (token->class) {
  case PL_CLASS_COMMENT: return WORD_COMMENT;
  case PL_CLASS_TEXT: return WORD_TEXT;
  case PL_CLASS_NUMBER:
  case PL_CLASS_DATE: return WORD_NUMBER;
  case PL_CLASS_UNIT: return WORD_UNIT;
  case PL_CLASS_MARK: return WORD_OPERATOR;
  case PL_CLASS_WORD:
    return painting->kinds[pl_token_start(token)] == WORD_NONE
               ? WORD_KEYWORD
               : (enum word_kind)painting->kinds[pl_token_start(token)];
  default: return WORD_NONE;
  }
}

json_t *answer_tokens(struct pl_editor *editor, const json_t *params, const char **problem) {
  struct pl_arena *const arena = editor->request;
  (void)problem;
  struct spot spot;
  if (!read_document(editor, params, &spot)) return NULL;
  const struct lines *const lines = &spot.document->lines;
  struct painting painting = {.program = spot.program,
                              .kinds = pl_alloc(editor->request, spot.source->length + 1)};
  memset(painting.kinds, WORD_NONE, spot.source->length + 1);
  paint_items(&painting, spot.tree->items, 0);
  json_t *const data = pl_json_array(arena);
  uint32_t last_line = 0;
  uint32_t last_character = 0;
  for (size_t i = 0; i < spot.tree->token_count; i++) {
    const struct pl_token *const token = &spot.tree->tokens[i];
    const enum word_kind kind = kind_of_token(&painting, token);
    if (kind == WORD_NONE) continue;
    uint32_t line = 0;
    uint32_t character = 0;
    position_at(lines, pl_token_start(token), &line, &character);
    const uint32_t since = line == last_line ? character - last_character : character;
    const uint32_t numbers[] = {line - last_line, since,
                                units_between(lines->bytes, pl_token_start(token), token->end),
                                (uint32_t)kind, 0};
    for (size_t j = 0; j < 5; j++) {
      // Not kept in the arena one by one: there are many, and they go straight into the list.
      if (json_array_append_new(data, json_integer(numbers[j])) != 0) pl_out_of_memory(arena);
    }
    last_line = line;
    last_character = character;
  }
  return PL_JSON_PACK(arena, "{s:O}", "data", data);
}
