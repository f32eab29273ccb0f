// SPDX-License-Identifier: GPL-3.0-or-later
// Where the cursor is: the blocks around it and what is being written there. One way reads the
// tokens alone, so that it works on half a line; the other walks the tree.
#include "room.h"

#include <stdio.h>
#include <string.h>

bool is_scope_word(const char *word) {
  static const char *const words[] = {"all",         "front",     "rear",
                                      "left",        "right",     "front-left",
                                      "front-right", "rear-left", "rear-right"};
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
    if (strcmp(words[i], word) == 0) return true;
  }
  return false;
}

/// The kind whose settings a block of that kind has.
static enum pl_block_kind owner_of_kind(enum pl_block_kind kind) {
  return kind == PL_BLOCK_CAR ? PL_BLOCK_SETUP : kind;
}

enum pl_block_kind owner_of(const struct around *around, size_t depth, const char **prefix) {
  *prefix = "";
  if (depth == 0) return PL_BLOCK_OWNER_COUNT;
  const enum pl_block_kind kind = pl_block_kind_of(around[0].kind);
  if (kind == PL_BLOCK_KIND_COUNT) return PL_BLOCK_OWNER_COUNT;
  enum pl_block_kind owner = owner_of_kind(kind);
  for (size_t i = 1; i < depth; i++) {
    const char *const word = around[i].kind;
    if (owner == PL_BLOCK_MEETING && strcmp(word, "entry") == 0)
      owner = PL_BLOCK_ENTRY;
    else if (owner == PL_BLOCK_ENTRY && strcmp(word, "measured") == 0)
      owner = PL_BLOCK_SETUP;
    else if ((owner == PL_BLOCK_SETUP || owner == PL_BLOCK_BOX) && is_scope_word(word))
      continue;
    else if (owner == PL_BLOCK_DAMPER && strcmp(word, "seal") == 0)
      *prefix = "seal.";
    else
      return PL_BLOCK_OWNER_COUNT; // extras, ballast, holes, rules and templates have no
                                   // settings
  }
  return owner;
}

enum pl_setting setting_at(const struct around *around, size_t depth, const char *key,
                           const struct pl_node *value) {
  const char *prefix = "";
  const enum pl_block_kind owner = owner_of(around, depth, &prefix);
  if (owner == PL_BLOCK_OWNER_COUNT) return PL_SETTING_COUNT;
  if (prefix[0] == '\0') return pl_setting_meant(key, owner, value);
  char whole[64];
  const int length = snprintf(whole, sizeof whole, "%s%s", prefix, key);
  if (length < 0 || (size_t)length >= sizeof whole) return PL_SETTING_COUNT;
  return pl_setting_of(whole, owner);
}

bool names_language(const struct around *around, size_t depth, const char *key) {
  return depth == 1 && strcmp(around[0].kind, "template") == 0 && strcmp(key, "language") == 0;
}

// ---------------------------------------------------------------- by the tokens

static const char *token_text(const struct writing *writing, const struct pl_token *token) {
  return pl_copy_text(writing->arena,
                      (const char *)writing->source->bytes + pl_token_start(token),
                      token->end - pl_token_start(token));
}

/// A text in quotes without them; escapes stay as they are.
static const char *title_text(const struct writing *writing, const struct pl_token *token) {
  const char *const text = token_text(writing, token);
  const size_t length = strlen(text);
  return length >= 2 ? pl_copy_text(writing->arena, text + 1, length - 2) : "";
}

const char *word_at(const struct writing *writing, size_t which) {
  return which < writing->count ? token_text(writing, writing->line[which]) : "";
}

static void open_block(struct writing *writing) {
  if (writing->depth > PL_MOST_NESTING) return;
  struct around *const around = &writing->around[writing->depth++];
  *around = (struct around){.kind = word_at(writing, 0), .title = ""};
  if (writing->count > 1 && writing->line[1]->class == PL_CLASS_TEXT)
    around->title = title_text(writing, writing->line[1]);
  writing->count = 0;
}

static void take_mark(struct writing *writing, const struct pl_token *token) {
  const char mark = (char)writing->source->bytes[pl_token_start(token)];
  if (mark == '{') {
    open_block(writing);
    return;
  }
  if (mark == '}') {
    if (writing->depth > 0) writing->depth--;
    writing->count = 0;
    writing->brackets = 0;
    return;
  }
  if (mark == ';' && writing->brackets == 0) {
    writing->count = 0;
    return;
  }
  if (mark == '[' || mark == '(') writing->brackets++;
  if ((mark == ']' || mark == ')') && writing->brackets > 0) writing->brackets--;
  if (writing->count < sizeof writing->line / sizeof writing->line[0])
    writing->line[writing->count++] = token;
}

static void take_token(struct writing *writing, const struct pl_token *token) {
  switch (token->class) {
  case PL_CLASS_SPACE:
  case PL_CLASS_COMMENT: break;
  case PL_CLASS_LINE:
    writing->count = 0;
    writing->brackets = 0;
    break;
  case PL_CLASS_MARK: take_mark(writing, token); break;
  default:
    if (writing->count < sizeof writing->line / sizeof writing->line[0])
      writing->line[writing->count++] = token;
  }
}

/// Is a text closed by a quote of its own?
static bool is_closed(const struct pl_source *source, const struct pl_token *token) {
  if (token->end < pl_token_start(token) + 2 || source->bytes[token->end - 1] != '"')
    return false;
  size_t backslashes = 0;
  while (source->bytes[token->end - 2 - backslashes] == '\\') backslashes++;
  return backslashes % 2 == 0;
}

void read_writing(struct writing *writing, struct pl_arena *arena, struct pl_program *program,
                  const struct pl_source *source, uint32_t offset) {
  *writing = (struct writing){.arena = arena,
                              .program = program,
                              .source = source,
                              .offset = offset,
                              .start = offset,
                              .end = offset,
                              .prefix = ""};
  const struct pl_tree *const tree = pl_program_tree(program, source);
  for (size_t i = 0; tree != NULL && i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    if (pl_token_start(token) >= offset) break;
    const bool is_word = token->class == PL_CLASS_WORD || token->class == PL_CLASS_UNIT ||
                         token->class == PL_CLASS_TEXT || token->class == PL_CLASS_BAD;
    const bool holds = token->end >= offset;
    if (holds && token->class == PL_CLASS_COMMENT) writing->in_comment = true;
    if (holds && is_word) {
      const bool quoted = source->bytes[pl_token_start(token)] == '"';
      // Behind its closing quote a text is whole.
      if (!(quoted && token->end == offset && is_closed(source, token))) {
        writing->in_text = quoted;
        writing->start = pl_token_start(token);
        writing->end = token->end;
        writing->prefix =
            pl_copy_text(arena, (const char *)source->bytes + pl_token_start(token),
                         offset - pl_token_start(token));
        break;
      }
    }
    take_token(writing, token);
  }
}

// ---------------------------------------------------------------- by the tree

static bool holds(const struct pl_node *node, uint32_t offset) {
  return node->span.start <= offset && offset <= node->span.end;
}

/// The child that holds the place, the later one where two meet there.
static const struct pl_node *child_at(const struct pl_node *chain, uint32_t offset) {
  const struct pl_node *found = NULL;
  for (const struct pl_node *one = chain; one != NULL; one = one->next) {
    if (holds(one, offset)) found = one;
  }
  return found;
}

static void add_node(struct route *route, const struct pl_node *node) {
  if (route->count < sizeof route->nodes / sizeof route->nodes[0])
    route->nodes[route->count++] = node;
}

/// Does the place lie in the braces of a block, not in its head?
static bool in_braces(const struct pl_tree *tree, const struct pl_node *block,
                      uint32_t offset) {
  uint32_t at = pl_name_span(block).end;
  const struct pl_node *const heads[] = {pl_titles(block), pl_bases(block),
                                         pl_condition(block)};
  for (size_t i = 0; i < 3; i++) {
    for (const struct pl_node *one = heads[i]; one != NULL; one = one->next) {
      if (one->span.end > at) at = one->span.end;
    }
  }
  const unsigned char *const bytes = tree->source->bytes;
  while (at < block->span.end && bytes[at] != '{') at++;
  return offset > at;
}

void find_route(struct route *route, const struct pl_tree *tree, uint32_t offset) {
  *route = (struct route){.count = 0};
  const struct pl_node *node = child_at(tree->items, offset);
  while (node != NULL) {
    add_node(route, node);
    if (node->kind == PL_NODE_BLOCK && in_braces(tree, node, offset)) {
      if (route->depth > PL_MOST_NESTING) return;
      const struct pl_node *const title = pl_titles(node);
      route->around[route->depth++] = (struct around){
          node->name, title != NULL && title->kind == PL_NODE_TEXT ? title->name : ""};
      node = child_at(node->children, offset);
      continue;
    }
    if (node->kind == PL_NODE_BLOCK) {
      const struct pl_node *head = child_at(pl_titles(node), offset);
      if (head == NULL) head = child_at(pl_bases(node), offset);
      if (head == NULL && pl_condition(node) != NULL)
        head = child_at(pl_condition(node), offset);
      node = head;
      continue;
    }
    if (node->kind == PL_NODE_PROPERTY || node->kind == PL_NODE_LET ||
        node->kind == PL_NODE_INCLUDE)
      route->item = node;
    node = child_at(node->children, offset);
  }
}
