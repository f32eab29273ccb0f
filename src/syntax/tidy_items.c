// SPDX-License-Identifier: GPL-3.0-or-later
// Tokens into items: which are a property, which a block, and whom a comment speaks of. A
// comment behind something on its line belongs to that; one on a line of its own is an item.
#include "tidy.h"

/// A block being read, or the file.
struct level {
  struct tidy_item *block; ///< null: the file
  struct tidy_item *last;
  bool has_comment;  ///< in it or behind its `{`
  size_t first_line; ///< of its head
};

struct cutting {
  struct pl_arena *arena;
  const struct pl_tree *tree;
  struct tidy_item *items; ///< of the file
  struct level levels[PL_MOST_NESTING + 1];
  size_t depth;
  size_t at;    ///< the token that is looked at
  size_t line;  ///< line ends before it
  size_t lines; ///< line ends since something stood there
};

static struct level *innermost(struct cutting *cutting) {
  return &cutting->levels[cutting->depth];
}

static struct tidy_item *add_item(struct cutting *cutting, enum tidy_kind kind) {
  struct level *const level = innermost(cutting);
  struct tidy_item *const item = pl_alloc(cutting->arena, sizeof *item);
  *item = (struct tidy_item){.kind = kind,
                             .first = cutting->at,
                             .last = cutting->at,
                             .sign = TIDY_NONE,
                             .comment = TIDY_NONE,
                             .head_comment = TIDY_NONE,
                             .is_flat = true,
                             .blank_before = level->last != NULL && cutting->lines >= 2,
                             .shares_line = level->last != NULL && cutting->lines == 0};
  if (level->last != NULL)
    level->last->next = item;
  else if (level->block != NULL)
    level->block->items = item;
  else
    cutting->items = item;
  level->last = item;
  return item;
}

/// A comment belongs to what stands before it on its line.
static void take_comment(struct cutting *cutting) {
  struct level *const level = innermost(cutting);
  const bool own_line = cutting->lines > 0;
  level->has_comment = true;
  if (!own_line && level->last != NULL)
    level->last->comment = cutting->at;
  else if (!own_line && level->block != NULL)
    level->block->head_comment = cutting->at;
  else
    add_item(cutting, TIDY_COMMENT);
  cutting->lines = 0;
}

static bool is_assignment(const struct pl_tree *tree, size_t token) {
  if (tree->tokens[token].class != PL_CLASS_MARK) return false;
  const char *const text = tidy_text(tree, token);
  const size_t length = tidy_length(tree, token);
  if (length == 1) return text[0] == '=';
  return length == 2 && text[1] == '=' && (text[0] == '+' || text[0] == '-' || text[0] == '*');
}

/// Where an item ends outside of brackets.
static bool ends_item(const struct pl_tree *tree, size_t token) {
  return tree->tokens[token].class == PL_CLASS_LINE ||
         tree->tokens[token].class == PL_CLASS_COMMENT || tidy_is_mark(tree, token, ';') ||
         tidy_is_mark(tree, token, '}') || tidy_is_mark(tree, token, '{');
}

static bool begin_block(struct cutting *cutting, struct tidy_item *item, size_t line) {
  item->kind = TIDY_BLOCK;
  item->sign = TIDY_NONE;
  if (cutting->depth == PL_MOST_NESTING) return false;
  cutting->levels[++cutting->depth] = (struct level){.block = item, .first_line = line};
  cutting->at++;
  return true;
}

/// Reads a property, or the head of a block with its brace.
static bool take_item(struct cutting *cutting) {
  const struct pl_tree *const tree = cutting->tree;
  struct tidy_item *const item = add_item(cutting, TIDY_PROPERTY);
  const size_t line = cutting->line;
  size_t brackets = 0;
  for (; cutting->at < tree->token_count; cutting->at++) {
    const size_t at = cutting->at;
    if (brackets == 0 && ends_item(tree, at)) break;
    if (tidy_is_line_end(tree, at)) cutting->line++;
    if (tree->tokens[at].class == PL_CLASS_BAD) return false;
    if (tidy_is_space(tree, at)) continue;
    if (tree->tokens[at].class == PL_CLASS_COMMENT) continue;
    if (tidy_is_mark(tree, at, '(') || tidy_is_mark(tree, at, '[')) brackets++;
    if (brackets + cutting->depth > PL_MOST_NESTING) return false;
    if (tidy_is_mark(tree, at, ')') || tidy_is_mark(tree, at, ']')) {
      if (brackets-- == 0) return false;
    }
    if (item->sign == TIDY_NONE && brackets == 0 && is_assignment(tree, at)) item->sign = at;
    item->last = at;
  }
  if (brackets > 0 || item->sign == item->first) return false;
  item->is_flat = cutting->line == line;
  item->width = item->is_flat ? tidy_run_columns(tree, item->first, item->last) : 0;
  cutting->lines = 0;
  const bool is_head = cutting->at < tree->token_count && tidy_is_mark(tree, cutting->at, '{');
  return !is_head || begin_block(cutting, item, line);
}

/// The columns of a block on one line: its head, "{ one; two }".
static void measure_block(struct tidy_item *block, const struct level *level, size_t line) {
  block->is_flat = block->is_flat && level->first_line == line && !level->has_comment;
  for (const struct tidy_item *one = block->items; one != NULL; one = one->next) {
    block->is_flat = block->is_flat && one->is_flat;
    block->width += one->width + (one == block->items ? 1 : 2);
  }
  block->width += 4;
}

static bool end_block(struct cutting *cutting) {
  if (cutting->depth == 0) return false;
  const struct level *const level = innermost(cutting);
  struct tidy_item *const block = level->block;
  // An empty block has nothing that needs a line.
  if (block->items == NULL && !level->has_comment && block->is_flat)
    block->width += 4;
  else
    measure_block(block, level, cutting->line);
  cutting->depth--;
  cutting->at++;
  cutting->lines = 0;
  return true;
}

static bool take_next(struct cutting *cutting) {
  const struct pl_tree *const tree = cutting->tree;
  const size_t at = cutting->at;
  switch (tree->tokens[at].class) {
  case PL_CLASS_SPACE: cutting->at++; return true;
  case PL_CLASS_LINE:
    cutting->lines++;
    cutting->line++;
    cutting->at++;
    return true;
  case PL_CLASS_COMMENT:
    take_comment(cutting);
    cutting->at++;
    return true;
  case PL_CLASS_BAD: // the mark that some editors put first is left out
    cutting->at++;
    return at == 0 && tidy_length(tree, at) == 3 && pl_token_start(&tree->tokens[at]) == 0;
  default: break;
  }
  if (tidy_is_mark(tree, at, ';')) {
    cutting->at++;
    return true;
  }
  if (tidy_is_mark(tree, at, '}')) return end_block(cutting);
  return !tidy_is_mark(tree, at, '{') && take_item(cutting);
}

bool tidy_items(struct pl_arena *arena, const struct pl_tree *tree, struct tidy_item **items) {
  struct cutting *const cutting = pl_alloc(arena, sizeof *cutting);
  *cutting = (struct cutting){.arena = arena, .tree = tree, .lines = 1};
  while (cutting->at < tree->token_count) {
    if (!take_next(cutting)) return false;
  }
  *items = cutting->items;
  return cutting->depth == 0;
}
