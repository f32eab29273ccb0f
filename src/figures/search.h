// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of the search share: lists of the best, and groups of dimensions.
#ifndef PITLEAF_FIGURES_SEARCH_H
#define PITLEAF_FIGURES_SEARCH_H

#include "varied.h"

// ---------------------------------------------------------------- the best

/// The best combinations in order. Of those that differ in preload alone, which is turned to
/// suit the rest, the best stands for all.
struct list {
  struct pl_chosen *items;
  size_t count;
  size_t most;
  const struct pl_space *space;
};

struct list list_new(struct pl_arena *arena, size_t most, const struct pl_space *space);
/// Puts the combination in its place, if it has one.
void consider(struct list *list, const struct pl_chosen *chosen);
/// Fills `both` with the best that one of each list make together: of each, only what is in its
/// list can be in the list of both, since scores are sums.
void join_lists(struct list *both, const struct list *a, const struct list *b);

/// Adds what values at the places of an aim make of it.
void add_aim(struct pl_score *score, const struct pl_wanted *wanted,
             const double values[PL_AXLES]);
int compare_scores(const struct pl_score *a, const struct pl_score *b);
void add_score(struct pl_score *score, const struct pl_score *more);

// ---------------------------------------------------------------- groups

/// Most that is wanted: of an aim, and of ride heights that go without saying.
#define WANTED_MOST (PL_MOST_AIMS + PL_STANDING_MOST)
/// Each group has a dimension of its own.
#define GROUPS_MOST PL_DIMENSIONS

/// An aim within its group.
struct goal {
  size_t wanted; ///< its number
  size_t
      depth; ///< of so many dimensions of the group, and those around it, it goes by no other
};

/// Dimensions that aims go by together, the outermost first, and these aims. Where, once they
/// are settled, what is left falls apart, each of that is a group within this one.
struct group {
  size_t dimensions[PL_DIMENSIONS];
  size_t count;
  struct goal goals[WANTED_MOST];
  size_t goal_count;
  size_t inner[GROUPS_MOST]; ///< their numbers
  size_t inner_count;
  double combinations; ///< to look at: those of the inner groups one after the other
};

/// All groups; those that stand in no other are named apart.
struct groups {
  struct group items[GROUPS_MOST];
  size_t count;
  size_t outer[GROUPS_MOST];
  size_t outer_count;
  unsigned dimensions; ///< of all of them
};

/// Makes groups of a space whose aims go by these dimensions, a bit for each.
void make_groups(const struct pl_space *space, const unsigned reads[WANTED_MOST],
                 struct groups *groups);
/// Combinations to look at behind the first `depth` dimensions of a group.
double combinations_behind(const struct pl_space *space, const struct group *group,
                           const struct groups *groups, size_t depth);

#endif
