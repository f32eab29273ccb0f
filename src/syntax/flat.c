// SPDX-License-Identifier: GPL-3.0-or-later
// The lines of a file one by one, each with the blocks that hold it, in one form whatever the
// blanks and comments: for whoever compares two versions as they are written.
#include "pitleaf/syntax.h"

#include <string.h>

/// Lines being gathered.
struct gathering {
  struct pl_arena *arena;
  const struct pl_tree *tree;
  struct pl_flat_line *lines;
  size_t count;
  size_t capacity;
  const char *block; ///< the outermost one, with its titles; "" outside blocks
  bool is_block;
};

/// The first token that ends behind `start`.
static size_t token_at(const struct pl_tree *tree, uint32_t start) {
  size_t low = 0;
  size_t high = tree->token_count;
  while (low < high) {
    const size_t middle = low + (high - low) / 2;
    if (tree->tokens[middle].end <= start)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

/// A stretch of source with one blank wherever there is space, a line end or a comment.
static const char *squeezed(struct gathering *gathering, uint32_t start, uint32_t end) {
  const struct pl_tree *const tree = gathering->tree;
  struct pl_buffer out = {.arena = gathering->arena};
  bool gap = false;
  for (size_t i = token_at(tree, start); i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    if (pl_token_start(token) >= end) break;
    if (token->class == PL_CLASS_SPACE || token->class == PL_CLASS_LINE ||
        token->class == PL_CLASS_COMMENT) {
      gap = true;
      continue;
    }
    if (gap && out.length > 0) pl_buffer_text(&out, " ");
    gap = false;
    const uint32_t from = pl_token_start(token) < start ? start : pl_token_start(token);
    const uint32_t to = token->end > end ? end : token->end;
    pl_buffer_add(&out, (const char *)tree->source->bytes + from, to - from);
  }
  return pl_buffer_string(&out);
}

static const char *text_of(struct gathering *gathering, struct pl_span span) {
  return squeezed(gathering, span.start, span.end);
}

static void add(struct gathering *gathering, const struct pl_node *node, const char *key,
                const char *text, enum pl_operator action) {
  gathering->lines = pl_grow(gathering->arena, gathering->lines, gathering->count,
                             &gathering->capacity, sizeof *gathering->lines);
  gathering->lines[gathering->count++] = (struct pl_flat_line){.block = gathering->block,
                                                               .is_block = gathering->is_block,
                                                               .key = key,
                                                               .text = text,
                                                               .action = action,
                                                               .node = node};
}

/// `kind "title"`, with what it starts from and its condition in `*rest`.
static const char *heading(struct gathering *gathering, const struct pl_node *block,
                           const char **rest) {
  struct pl_buffer name = {.arena = gathering->arena};
  struct pl_buffer behind = {.arena = gathering->arena};
  pl_buffer_text(&name, block->name);
  for (const struct pl_node *title = pl_titles(block); title != NULL; title = title->next)
    pl_buffer_format(&name, " %s", text_of(gathering, title->span));
  for (const struct pl_node *base = pl_bases(block); base != NULL; base = base->next)
    pl_buffer_format(&behind, "%s%s", behind.length == 0 ? "from " : ", ",
                     text_of(gathering, base->span));
  if (pl_condition(block) != NULL)
    pl_buffer_format(&behind, "%swhen %s", behind.length == 0 ? "" : " ",
                     text_of(gathering, pl_condition(block)->span));
  *rest = pl_buffer_string(&behind);
  return pl_buffer_string(&name);
}

static const char *joined(struct pl_arena *arena, const char *prefix, const char *name) {
  return prefix[0] == '\0' ? name : pl_format(arena, "%s %s", prefix, name);
}

/// What stands behind the sign of a property or a `let`.
static const char *value_text(struct gathering *gathering, const struct pl_node *node) {
  if (node->children == NULL) return "";
  return squeezed(gathering, node->children->span.start, node->span.end);
}

static void add_items(struct gathering *gathering, const struct pl_node *items,
                      const char *prefix);

/// A block within a block; what it holds has its name before it.
static void add_inner(struct gathering *gathering, const struct pl_node *block,
                      const char *prefix) {
  const char *rest = "";
  const char *const name = joined(gathering->arena, prefix, heading(gathering, block, &rest));
  if (rest[0] != '\0' || block->children == NULL)
    add(gathering, block, name, rest, PL_OPERATOR_NONE);
  add_items(gathering, block->children, name);
}

/// Blocks, properties and the like; what was not understood is there as far as it was read.
static void add_item(struct gathering *gathering, const struct pl_node *node,
                     const char *prefix) {
  const bool holds_items = node->kind == PL_NODE_BROKEN && node->children != NULL &&
                           node->children->kind <= PL_NODE_BROKEN;
  if (node->kind == PL_NODE_BLOCK)
    add_inner(gathering, node, prefix);
  else if (node->kind == PL_NODE_PROPERTY)
    add(gathering, node,
        joined(gathering->arena, prefix, text_of(gathering, pl_name_span(node))),
        value_text(gathering, node), node->action);
  else if (holds_items)
    add_items(gathering, node->children, prefix);
  else if (text_of(gathering, node->span)[0] != '\0') // a line that was skipped is not read
    add(gathering, node, prefix, text_of(gathering, node->span), PL_OPERATOR_NONE);
}

static void add_items(struct gathering *gathering, const struct pl_node *items,
                      const char *prefix) {
  for (const struct pl_node *node = items; node != NULL; node = node->next)
    add_item(gathering, node, prefix);
}

static void add_outermost(struct gathering *gathering, const struct pl_node *node) {
  const char *rest = "";
  gathering->block = "";
  gathering->is_block = node->kind == PL_NODE_BLOCK;
  switch (node->kind) {
  case PL_NODE_BLOCK:
    gathering->block = heading(gathering, node, &rest);
    add(gathering, node, "", rest, PL_OPERATOR_NONE);
    add_items(gathering, node->children, "");
    break;
  case PL_NODE_LET:
    add(gathering, node, pl_format(gathering->arena, "let %s", node->name),
        value_text(gathering, node), PL_SET);
    break;
  case PL_NODE_INCLUDE:
    add(gathering, node,
        pl_format(gathering->arena, "include %s", text_of(gathering, pl_name_span(node))), "",
        PL_OPERATOR_NONE);
    break;
  default: add_item(gathering, node, ""); break;
  }
}

const struct pl_flat_line *pl_flat_lines(struct pl_arena *arena, const struct pl_tree *tree,
                                         size_t *count) {
  struct gathering gathering = {.arena = arena, .tree = tree};
  for (const struct pl_node *node = tree->items; node != NULL; node = node->next)
    add_outermost(&gathering, node);
  *count = gathering.count;
  return gathering.lines;
}
