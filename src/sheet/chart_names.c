// SPDX-License-Identifier: GPL-3.0-or-later
// Names of points: where each stands in a chart, so that all of them together stand well.
#include <math.h>

#include "plot.h"

/// A name that is farther from its point than this has a line to it, mm.
static const double far_off = 3.0;
/// What it costs a text to cover the line to a name.
static const double cost_of_leader = 18;

bool pl_chart_name_leader(const struct pl_named *named, struct pl_spot spots[2]) {
  const struct pl_spot at = named->at;
  const struct pl_spot end = pl_box_nearest(&named->box, at);
  const double length = hypot(end.x - at.x, end.y - at.y);
  const double start = PL_DOT / 2 / length;
  const double last = 1 - 0.4 / length;
  if (length <= far_off) return false;
  spots[0] = (struct pl_spot){at.x + start * (end.x - at.x), at.y + start * (end.y - at.y)};
  spots[1] = (struct pl_spot){at.x + last * (end.x - at.x), at.y + last * (end.y - at.y)};
  return true;
}

/// Keeps others off a name and the line to it.
static void take_place(struct pl_placing *placing, const struct pl_named *named) {
  pl_placing_text(placing, named->box);
  struct pl_spot *const spots = pl_alloc_array(placing->arena, 2, sizeof *spots);
  if (pl_chart_name_leader(named, spots)) pl_placing_line(placing, spots, 2, cost_of_leader);
}

/// Puts a name beside its point, in smaller lines if it must be. Returns what the place costs,
/// infinity if there is none.
static double place_name(struct pl_chart *chart, struct pl_placing *placing,
                         struct pl_named *named) {
  static const struct {
    double size;
    double width;
  } ways[] = {{PL_SMALL, 30}, {PL_TYPE_FLOOR, 18}, {PL_TYPE_FLOOR, 50}};
  const double room = placing->within.right - placing->within.left;
  for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
    const struct pl_type type = {.size = ways[i].size,
                                 .ink = chart->plot->lines[named->line].stroke.ink};
    named->block =
        pl_paragraph_of(chart->sheet, named->text, type, fmin(ways[i].width, 0.8 * room));
    const double cost =
        pl_room_near(placing, named->at, named->block.width, named->block.height, &named->box);
    if (isinf(cost)) continue;
    take_place(placing, named);
    return cost;
  }
  return INFINITY;
}

/// The orders in which names are placed: the first one takes the best place.
enum order { leftmost_first, rightmost_first, topmost_first, lowest_first, order_count };

/// Does a name come before another one?
static bool comes_before(const struct pl_named *a, const struct pl_named *b, enum order order) {
  switch (order) {
  case leftmost_first: return a->at.x < b->at.x;
  case rightmost_first: return a->at.x > b->at.x;
  case topmost_first: return a->at.y < b->at.y;
  default: return a->at.y > b->at.y;
  }
}

/// The names that want a place in the frame, in that order; returns their number.
static size_t in_order(struct pl_chart *chart, enum order order,
                       struct pl_named *names[PL_PLOT_NAMES]) {
  size_t count = 0;
  for (size_t i = 0; i < chart->name_count; i++) {
    struct pl_named *const named = &chart->names[i];
    if (named->shared || named->in_foot) continue;
    size_t at = count++;
    for (; at > 0 && comes_before(named, names[at - 1], order); at--) names[at] = names[at - 1];
    names[at] = named;
  }
  return count;
}

/// Places all names in that order. Returns what that costs; where a name found no place, in
/// `*stuck`, infinity.
static double place_in_order(struct pl_chart *chart, struct pl_placing *placing,
                             enum order order, struct pl_named **stuck) {
  struct pl_named *names[PL_PLOT_NAMES];
  const size_t count = in_order(chart, order, names);
  const size_t texts = placing->text_count;
  const size_t lines = placing->line_count;
  double cost = 0;
  for (size_t i = 0; i < count && isfinite(cost); i++) {
    cost += place_name(chart, placing, names[i]);
    if (isinf(cost)) *stuck = names[i];
  }
  placing->text_count = texts;
  placing->line_count = lines;
  return cost;
}

// ---------------------------------------------------------------- better places

/// Names that were placed, and what stood there before them.
struct arrangement {
  struct pl_chart *chart;
  struct pl_placing *placing;
  size_t texts;
  size_t lines;
  struct pl_named *names[PL_PLOT_NAMES];
  size_t count;
};

/// Leaves all names standing but these two, which may be one.
static void leave_out(const struct arrangement *all, size_t one, size_t other) {
  all->placing->text_count = all->texts;
  all->placing->line_count = all->lines;
  for (size_t i = 0; i < all->count; i++) {
    if (i != one && i != other) take_place(all->placing, all->names[i]);
  }
}

static double cost_of(const struct arrangement *all, size_t which) {
  const struct pl_named *const named = all->names[which];
  return pl_room_cost(all->placing, named->at, &named->box);
}

/// Places two names anew, the second one first, if both together are better off then.
static void exchange(const struct arrangement *all, size_t first, size_t second) {
  struct pl_named *const one = all->names[first];
  struct pl_named *const other = all->names[second];
  const struct pl_named before = *one;
  const struct pl_named other_before = *other;
  leave_out(all, first, second);
  double cost = cost_of(all, first);
  take_place(all->placing, one);
  cost += cost_of(all, second);
  leave_out(all, first, second);
  const double found = place_name(all->chart, all->placing, other);
  if (found < cost && found + place_name(all->chart, all->placing, one) < cost) return;
  *one = before;
  *other = other_before;
}

/// Gives each name the best place that the others leave it, and exchanges those that stand
/// badly with others.
static void improve(struct pl_chart *chart, struct pl_placing *placing) {
  static const double bad = 5;
  struct arrangement all = {.chart = chart,
                            .placing = placing,
                            .texts = placing->text_count,
                            .lines = placing->line_count};
  all.count = in_order(chart, leftmost_first, all.names);
  for (size_t i = 0; i < all.count; i++) {
    leave_out(&all, i, i);
    place_name(chart, placing, all.names[i]);
  }
  for (size_t i = 0; i < all.count; i++) {
    leave_out(&all, i, i);
    const bool stands_badly = cost_of(&all, i) > bad;
    for (size_t j = 0; stands_badly && j < all.count; j++) {
      if (j != i) exchange(&all, i, j);
    }
  }
}

bool pl_chart_arrange_names(struct pl_chart *chart, struct pl_placing *placing) {
  struct pl_named *stuck = NULL;
  double least = INFINITY;
  int best = 0;
  for (int order = 0; order < order_count; order++) {
    const double cost = place_in_order(chart, placing, (enum order)order, &stuck);
    if (cost >= least) continue;
    least = cost;
    best = order;
  }
  if (isfinite(least)) {
    place_in_order(chart, placing, (enum order)best, &stuck);
    improve(chart, placing);
    return true;
  }
  stuck->in_foot = true;
  return false;
}
