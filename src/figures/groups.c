// SPDX-License-Identifier: GPL-3.0-or-later
// Groups of dimensions: what aims go by together, and in which order it is gone through.
#include "search.h"

#include <math.h>

/// Groups in the making.
struct grouping {
  const struct pl_space *space;
  const unsigned *reads;
  struct groups *groups;
  bool taken[WANTED_MOST]; ///< aims that have their group
};

static double product_of(const struct pl_space *space, unsigned dimensions) {
  double product = 1;
  for (size_t d = 0; d < space->count; d++) {
    if ((dimensions & (1u << d)) != 0) product *= (double)space->dimensions[d].count;
  }
  return product;
}

/// The dimensions that are joined to these by aims, those that are `placed` left aside.
static unsigned joined_to(const struct grouping *grouping, unsigned dimensions,
                          unsigned placed) {
  for (size_t i = 0; i < grouping->space->aim->count; i++) {
    const unsigned reads = grouping->reads[i] & ~placed;
    if ((reads & dimensions) != 0 && (reads & ~dimensions) != 0)
      return joined_to(grouping, dimensions | reads, placed);
  }
  return dimensions;
}

/// The aim of these dimensions that is settled by the fewest more combinations; SIZE_MAX: none.
static size_t next_goal(const struct grouping *grouping, unsigned dimensions, unsigned placed) {
  size_t chosen = SIZE_MAX;
  double least = INFINITY;
  for (size_t i = 0; i < grouping->space->aim->count; i++) {
    if (grouping->taken[i] || (grouping->reads[i] & dimensions) == 0) continue;
    const double more = product_of(grouping->space, grouping->reads[i] & ~placed);
    if (more < least) chosen = i;
    if (more < least) least = more;
  }
  return chosen;
}

static unsigned lowest_of(unsigned dimensions) {
  return dimensions & ~(dimensions - 1);
}

static size_t add_group(struct grouping *grouping, unsigned dimensions, unsigned placed);

/// What is left of a group's dimensions falls apart: each part is a group of its own.
static void add_inner(struct grouping *grouping, size_t number, unsigned left,
                      unsigned placed) {
  while (left != 0) {
    const unsigned part = joined_to(grouping, lowest_of(left), placed) & left;
    const size_t inner = add_group(grouping, part, placed);
    struct group *const group = &grouping->groups->items[number];
    group->inner[group->inner_count++] = inner;
    left &= ~part;
  }
}

/// A group of dimensions that are joined once those that are `placed` are settled.
static size_t add_group(struct grouping *grouping, unsigned dimensions, unsigned placed) {
  const struct pl_space *const space = grouping->space;
  const size_t number = grouping->groups->count++;
  struct group *const group = &grouping->groups->items[number];
  *group = (struct group){.count = 0};
  unsigned left = dimensions;
  for (;;) {
    const size_t goal = next_goal(grouping, dimensions, placed);
    if (goal == SIZE_MAX) break;
    const bool settled = (grouping->reads[goal] & ~placed) == 0;
    if (!settled && group->count > 0 &&
        (joined_to(grouping, lowest_of(left), placed) & left) != left)
      break;
    grouping->taken[goal] = true;
    for (size_t d = 0; d < space->count; d++) {
      if ((grouping->reads[goal] & ~placed & (1u << d)) != 0)
        group->dimensions[group->count++] = d;
    }
    placed |= grouping->reads[goal];
    left &= ~placed;
    group->goals[group->goal_count++] = (struct goal){goal, group->count};
  }
  add_inner(grouping, number, left, placed);
  group->combinations = combinations_behind(space, group, grouping->groups, 0);
  return number;
}

void make_groups(const struct pl_space *space, const unsigned reads[WANTED_MOST],
                 struct groups *groups) {
  struct grouping grouping = {.space = space, .reads = reads, .groups = groups};
  groups->count = groups->outer_count = groups->dimensions = 0;
  // A change that nothing else asks for is not made to go on standing at ride height.
  unsigned by = 0;
  for (size_t i = 0; i < space->aim->count; i++)
    by |= space->aim->wanted[i].is_implied ? 0 : reads[i];
  while ((by & ~groups->dimensions) != 0) {
    const unsigned dimensions = joined_to(&grouping, lowest_of(by & ~groups->dimensions), 0);
    groups->outer[groups->outer_count++] = add_group(&grouping, dimensions, 0);
    groups->dimensions |= dimensions;
  }
}

double combinations_behind(const struct pl_space *space, const struct group *group,
                           const struct groups *groups, size_t depth) {
  double product = 1;
  for (size_t i = depth; i < group->count; i++)
    product *= (double)space->dimensions[group->dimensions[i]].count;
  double inner = 0;
  for (size_t i = 0; i < group->inner_count; i++)
    inner += groups->items[group->inner[i]].combinations;
  return group->inner_count == 0 ? product : product * inner;
}
