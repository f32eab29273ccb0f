// SPDX-License-Identifier: GPL-3.0-or-later
// Parsing: the tree of anything is whole, its tokens tile the source, and its problems have
// places.
#include "target.h"

#include "pitleaf/syntax.h"

#include <string.h>

static void check_span(const struct pl_source *source, struct pl_span span, const char *what) {
  if (span.source == NULL) return;
  if (span.source != source) broken("%s is of another source", what);
  if (span.start > span.end || span.end > source->length)
    broken("%s is from %u to %u of %zu", what, span.start, span.end, source->length);
}

static void check_nodes(const struct pl_source *source, const struct pl_node *first,
                        int depth) {
  if (depth > 2 * PL_MOST_NESTING + PL_MOST_STEPS) broken("the tree is too deep");
  for (const struct pl_node *node = first; node != NULL; node = node->next) {
    check_span(source, node->span, "a node");
    check_span(source, pl_name_span(node), "a name");
    if (node->name == NULL) broken("a name is null");
    check_nodes(source, node->children, depth + 1);
    check_nodes(source, pl_titles(node), depth + 1);
    check_nodes(source, pl_bases(node), depth + 1);
    check_nodes(source, pl_condition(node), depth + 1);
  }
}

static void check_tokens(const struct pl_tree *tree) {
  uint32_t end = 0;
  for (size_t i = 0; i < tree->token_count; i++) {
    if (pl_token_start(&tree->tokens[i]) != end || tree->tokens[i].end <= end)
      broken("token %zu is from %u to %u, behind %u", i, pl_token_start(&tree->tokens[i]),
             tree->tokens[i].end, end);
    end = tree->tokens[i].end;
  }
  // What is no text is left at its first bad place.
  if (tree->token_count > 0 && end != tree->source->length)
    broken("the tokens end at %u of %zu", end, tree->source->length);
}

static void check_problems(struct target *target, const struct pl_source *source,
                           const struct pl_diagnostics *problems) {
  for (size_t i = 0; i < problems->count; i++) {
    check_span(source, problems->items[i].span, "a problem");
    for (size_t j = 0; j < problems->items[i].related_count; j++)
      check_span(source, problems->items[i].related[j].span, "what belongs to a problem");
    if (pl_problem_text(target->arena, &problems->items[i], &metric_style)[0] == '\0')
      broken("a problem says nothing");
  }
}

/// A tree that was read without tokens gets the same ones afterwards.
static void check_added(struct target *target, const struct pl_tree *tree) {
  struct pl_tree *const bare = pl_parse_items(target->arena, pl_session_names(target->session),
                                              pl_diagnostics_new(target->arena), tree->source);
  pl_add_tokens(target->arena, bare);
  if (bare->token_count != tree->token_count) broken("another number of tokens is added");
  for (size_t i = 0; i < tree->token_count; i++) {
    if (bare->tokens[i].end != tree->tokens[i].end ||
        bare->tokens[i].class != tree->tokens[i].class)
      broken("the added token %zu is another", i);
  }
}

void try_input(struct target *target) {
  const struct pl_source *const source =
      pl_source_of_bytes(target->arena, "input.leaf", target->bytes, target->length);
  struct pl_diagnostics *const problems = pl_diagnostics_new(target->arena);
  const struct pl_tree *const tree =
      pl_parse(target->arena, pl_session_names(target->session), problems, source);
  check_nodes(source, tree->items, 0);
  check_tokens(tree);
  check_added(target, tree);
  check_problems(target, source, problems);
  size_t count = 0;
  (void)pl_flat_lines(target->arena, tree, &count);
  if (!pl_tree_same(tree, tree, PL_TIDY_ORDERS_SCOPES)) broken("a tree is not like itself");
}
