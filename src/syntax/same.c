// SPDX-License-Identifier: GPL-3.0-or-later
// Whether two trees say the same, wherever it stands. This is what vouches for the printer, and
// so it looks at everything that a tree has besides places.
#include "tidy.h"

#include <string.h>

/// A comparison under way.
struct comparing {
  enum pl_tidy_order order;
};

static bool same_unit(const struct pl_unit *a, const struct pl_unit *b) {
  if (a == NULL || b == NULL) return a == b;
  return a->factor == b->factor && a->offset == b->offset && a->absolute == b->absolute &&
         pl_dimension_equal(a->dimension, b->dimension);
}

// By recursion, as deep as a tree is: PL_MOST_NESTING and PL_MOST_STEPS.
static bool same_chain(const struct comparing *comparing, const struct pl_node *a,
                       const struct pl_node *b, bool has_scopes);

static bool same_node(const struct comparing *comparing, const struct pl_node *a,
                      const struct pl_node *b, bool is_top) {
  const bool is_block = a->kind == PL_NODE_BLOCK;
  const bool has_scopes = is_top && is_block && comparing->order == PL_TIDY_ORDERS_SCOPES &&
                          (strcmp(a->name, "setup") == 0 || strcmp(a->name, "car") == 0);
  return a->kind == b->kind && a->action == b->action && a->number == b->number &&
         a->key_kind == b->key_kind && a->is_weight == b->is_weight &&
         strcmp(a->name, b->name) == 0 && same_unit(a->unit, b->unit) &&
         same_chain(comparing, pl_titles(a), pl_titles(b), false) &&
         same_chain(comparing, pl_bases(a), pl_bases(b), false) &&
         same_chain(comparing, pl_condition(a), pl_condition(b), false) &&
         same_chain(comparing, a->children, b->children, has_scopes);
}

/// The next scope of that rank, from `node` on, among scopes that follow each other.
static const struct pl_node *of_rank(const struct pl_node *node, size_t rank) {
  for (; node != NULL && tidy_scope_rank(node) < TIDY_SCOPES; node = node->next) {
    if (tidy_scope_rank(node) == rank) return node;
  }
  return NULL;
}

/// Scopes that follow each other, each with its like; both are left behind the last.
static bool same_scopes(const struct comparing *comparing, const struct pl_node **a,
                        const struct pl_node **b) {
  for (size_t rank = 0; rank < TIDY_SCOPES; rank++) {
    const struct pl_node *left = of_rank(*a, rank);
    const struct pl_node *right = of_rank(*b, rank);
    while (left != NULL && right != NULL) {
      if (!same_node(comparing, left, right, false)) return false;
      left = of_rank(left->next, rank);
      right = of_rank(right->next, rank);
    }
    if (left != NULL || right != NULL) return false;
  }
  while (*a != NULL && tidy_scope_rank(*a) < TIDY_SCOPES) *a = (*a)->next;
  while (*b != NULL && tidy_scope_rank(*b) < TIDY_SCOPES) *b = (*b)->next;
  return true;
}

static bool same_chain(const struct comparing *comparing, const struct pl_node *a,
                       const struct pl_node *b, bool has_scopes) {
  while (a != NULL && b != NULL) {
    if (has_scopes && tidy_scope_rank(a) < TIDY_SCOPES) {
      if (!same_scopes(comparing, &a, &b)) return false;
      continue;
    }
    if (!same_node(comparing, a, b, false)) return false;
    a = a->next;
    b = b->next;
  }
  return a == NULL && b == NULL;
}

// ---------------------------------------------------------------- comments

/// The next comment from `token` on, or the number of tokens.
static size_t next_comment(const struct pl_tree *tree, size_t token) {
  while (token < tree->token_count && tree->tokens[token].class != PL_CLASS_COMMENT) token++;
  return token;
}

/// FNV-1a of a comment (Fowler, Noll, Vo; draft-eastlake-fnv), so that sums of them tell
/// comments that were moved from others.
static uint64_t comment_hash(const struct pl_tree *tree, size_t token) {
  uint64_t hash = UINT64_C(0xcbf29ce484222325);
  const char *const text = tidy_text(tree, token);
  const size_t length = tidy_comment_length(tree, token);
  for (size_t i = 0; i < length; i++)
    hash = (hash ^ (unsigned char)text[i]) * UINT64_C(0x100000001b3);
  return hash;
}

static bool same_comment(const struct pl_tree *one, size_t a, const struct pl_tree *other,
                         size_t b) {
  const size_t length = tidy_comment_length(one, a);
  return tidy_comment_length(other, b) == length &&
         memcmp(tidy_text(one, a), tidy_text(other, b), length) == 0;
}

static bool same_comments(const struct pl_tree *one, const struct pl_tree *other,
                          enum pl_tidy_order order) {
  size_t a = next_comment(one, 0);
  size_t b = next_comment(other, 0);
  uint64_t difference = 0;
  while (a < one->token_count && b < other->token_count) {
    if (order == PL_TIDY_KEEPS_ORDER && !same_comment(one, a, other, b)) return false;
    difference += comment_hash(one, a) - comment_hash(other, b);
    a = next_comment(one, a + 1);
    b = next_comment(other, b + 1);
  }
  return difference == 0 && a == one->token_count && b == other->token_count;
}

bool pl_tree_same(const struct pl_tree *one, const struct pl_tree *other,
                  enum pl_tidy_order order) {
  const struct comparing comparing = {order};
  const struct pl_node *a = one->items;
  const struct pl_node *b = other->items;
  for (; a != NULL && b != NULL; a = a->next, b = b->next) {
    if (!same_node(&comparing, a, b, true)) return false;
  }
  return a == NULL && b == NULL && same_comments(one, other, order);
}
