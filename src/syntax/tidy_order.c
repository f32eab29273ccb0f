// SPDX-License-Identifier: GPL-3.0-or-later
// The order of scopes in a car and a setup: all, then axles, sides, corners. Which of two
// scopes stands first changes no value, but a reader looks for them in that order. Only scopes
// that follow each other directly are put in order, with an empty line between all of them or
// between none, since otherwise they are grouped by hand; and where a comment might be torn
// from what it speaks of, or they are printed on one line, they stay as they are.
#include "tidy.h"

#include <string.h>

/// Scopes in their order.
static const char *const scopes[TIDY_SCOPES] = {"all",         "front",     "rear",
                                                "left",        "right",     "front-left",
                                                "front-right", "rear-left", "rear-right"};

static size_t rank(const struct pl_tree *tree, const struct tidy_item *item) {
  if (item->kind != TIDY_BLOCK || item->last != item->first) return TIDY_SCOPES;
  for (size_t i = 0; i < TIDY_SCOPES; i++) {
    if (tidy_is_word(tree, item->first, scopes[i])) return i;
  }
  return TIDY_SCOPES;
}

/// Scopes that follow each other, by the links that lead to them.
struct run {
  struct tidy_item **from;        ///< leads to the first
  const struct tidy_item *before; ///< the item before the first
  struct tidy_item *behind;       ///< the item behind the last
  struct tidy_item *last;
  bool is_joined; ///< some of them stay on a line with others
  bool is_unsorted;
  bool is_grouped; ///< some have an empty line between them, some none
};

static struct run run_at(const struct pl_tree *tree, struct tidy_item **from,
                         const struct tidy_item *before) {
  struct run run = {.from = from, .before = before, .last = *from};
  for (run.behind = *from; run.behind != NULL; run.behind = run.behind->next) {
    if (rank(tree, run.behind) == TIDY_SCOPES) break;
    if (run.behind != *from && rank(tree, run.behind) < rank(tree, run.last))
      run.is_unsorted = true;
    run.is_joined = run.is_joined || run.behind->joined > 0;
    if (run.behind != *from && run.behind->blank_before != (*from)->next->blank_before)
      run.is_grouped = true;
    run.last = run.behind;
  }
  return run;
}

/// The last of the run's scopes of the least rank is the last when sorted; the first of the
/// least the first.
static void find_ends(const struct pl_tree *tree, const struct run *run,
                      const struct tidy_item **first, const struct tidy_item **last) {
  *first = *last = *run->from;
  for (const struct tidy_item *one = *run->from; one != run->behind; one = one->next) {
    if (rank(tree, one) < rank(tree, *first)) *first = one;
    if (rank(tree, one) >= rank(tree, *last)) *last = one;
  }
}

/// A comment directly before the first or behind the last may speak of it.
static bool may_move(const struct pl_tree *tree, const struct run *run) {
  if (!run->is_unsorted || run->is_grouped || run->is_joined) return false;
  const struct tidy_item *first = NULL;
  const struct tidy_item *last = NULL;
  find_ends(tree, run, &first, &last);
  const bool spoken_of_first =
      run->before != NULL && run->before->kind == TIDY_COMMENT && !(*run->from)->blank_before;
  const bool spoken_of_last =
      run->behind != NULL && run->behind->kind == TIDY_COMMENT && !run->behind->blank_before;
  return (!spoken_of_first || first == *run->from) && (!spoken_of_last || last == run->last);
}

/// Sorts the run, equals as they stood; empty lines stay where they are.
static void sort(struct pl_arena *arena, const struct pl_tree *tree, const struct run *run) {
  struct tidy_item *chains[TIDY_SCOPES] = {NULL};
  struct tidy_item **ends[TIDY_SCOPES];
  for (size_t i = 0; i < TIDY_SCOPES; i++) ends[i] = &chains[i];
  bool *blanks = NULL;
  size_t count = 0;
  size_t capacity = 0;
  for (struct tidy_item *one = *run->from; one != run->behind; one = one->next) {
    const size_t which = rank(tree, one);
    blanks = pl_grow(arena, blanks, count, &capacity, sizeof *blanks);
    blanks[count++] = one->blank_before;
    *ends[which] = one;
    ends[which] = &one->next;
  }
  struct tidy_item **link = run->from;
  for (size_t i = 0; i < TIDY_SCOPES; i++) {
    if (chains[i] == NULL) continue;
    *link = chains[i];
    link = ends[i];
  }
  *link = run->behind;
  count = 0;
  for (struct tidy_item *one = *run->from; one != run->behind; one = one->next) {
    one->blank_before = blanks[count++];
    one->shares_line = false; // with whom it did: each gets a line of its own
  }
  if (run->behind != NULL) run->behind->shares_line = false;
}

static bool order_block(struct pl_arena *arena, const struct pl_tree *tree,
                        struct tidy_item *block) {
  bool moved = false;
  const struct tidy_item *before = NULL;
  struct tidy_item **link = &block->items;
  tidy_find_joined(block->items, TIDY_INDENT);
  while (*link != NULL) {
    if (rank(tree, *link) < TIDY_SCOPES) {
      const struct run run = run_at(tree, link, before);
      if (may_move(tree, &run)) {
        sort(arena, tree, &run);
        moved = true;
      }
      while (*link != run.behind) {
        before = *link;
        link = &(*link)->next;
      }
      continue;
    }
    before = *link;
    link = &(*link)->next;
  }
  return moved;
}

bool tidy_order(struct pl_arena *arena, const struct pl_tree *tree, struct tidy_item *items) {
  bool moved = false;
  for (struct tidy_item *one = items; one != NULL; one = one->next) {
    const bool has_scopes =
        one->kind == TIDY_BLOCK && !one->stays_flat &&
        (tidy_is_word(tree, one->first, "setup") || tidy_is_word(tree, one->first, "car"));
    if (has_scopes && order_block(arena, tree, one)) moved = true;
  }
  return moved;
}

size_t tidy_scope_rank(const struct pl_node *node) {
  if (node->kind != PL_NODE_BLOCK || pl_titles(node) != NULL || pl_bases(node) != NULL ||
      pl_condition(node) != NULL)
    return TIDY_SCOPES;
  for (size_t i = 0; i < TIDY_SCOPES; i++) {
    if (strcmp(node->name, scopes[i]) == 0) return i;
  }
  return TIDY_SCOPES;
}
