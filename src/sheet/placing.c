// SPDX-License-Identifier: GPL-3.0-or-later
// Placing: where a text stands so that it covers no other text and, if possible, no curve.
#include <float.h>
#include <math.h>
#include <stdlib.h>

#include "plot.h"

/// The least between two texts, and between a text and a line, mm.
#define GAP      0.5
#define LINE_GAP 0.4

// What a place costs; a covered curve is given with the curve. They were found by looking at
// plots.
static const double cost_of_dot = 40;
static const double cost_of_nearer_dot = 8;
static const double cost_of_mm = 0.17;
static const double cost_of_leader_over_text = 15;
static const double cost_of_leader_over_dot = 10;
static const double share_of_leader_over_line = 0.18;

void pl_placing_text(struct pl_placing *placing, struct pl_box box) {
  placing->texts = pl_grow(placing->arena, placing->texts, placing->text_count,
                           &placing->text_capacity, sizeof *placing->texts);
  placing->texts[placing->text_count++] = box;
}

void pl_placing_dot(struct pl_placing *placing, struct pl_spot at, double diameter) {
  placing->dots = pl_grow(placing->arena, placing->dots, placing->dot_count,
                          &placing->dot_capacity, sizeof *placing->dots);
  const double half = diameter / 2;
  placing->dots[placing->dot_count++] =
      (struct pl_box){at.x - half, at.x + half, at.y - half, at.y + half};
}

void pl_placing_line(struct pl_placing *placing, const struct pl_spot *spots, size_t count,
                     double cost) {
  placing->lines = pl_grow(placing->arena, placing->lines, placing->line_count,
                           &placing->line_capacity, sizeof *placing->lines);
  placing->lines[placing->line_count++] = (struct pl_obstacle){spots, count, cost};
}

// ---------------------------------------------------------------- what covers what

static bool boxes_meet(const struct pl_box *a, const struct pl_box *b, double gap) {
  return a->left < b->right + gap && b->left < a->right + gap && a->top < b->bottom + gap &&
         b->top < a->bottom + gap;
}

/// Narrows the part of a line from `from` by `way` that lies between two bounds.
static bool narrow(double from, double way, double low, double high, double *start,
                   double *end) {
  if (way == 0) return from >= low && from <= high;
  const double one = (low - from) / way;
  const double other = (high - from) / way;
  *start = fmax(*start, fmin(one, other));
  *end = fmin(*end, fmax(one, other));
  return *start <= *end;
}

static bool segment_meets(struct pl_spot a, struct pl_spot b, const struct pl_box *box) {
  double start = 0;
  double end = 1;
  return narrow(a.x, b.x - a.x, box->left, box->right, &start, &end) &&
         narrow(a.y, b.y - a.y, box->top, box->bottom, &start, &end);
}

/// A text with the room about it that lines should keep off.
static struct pl_box widened(const struct pl_box *text) {
  return (struct pl_box){text->left - LINE_GAP, text->right + LINE_GAP, text->top - LINE_GAP,
                         text->bottom + LINE_GAP};
}

static bool line_meets(const struct pl_obstacle *line, const struct pl_box *text) {
  const struct pl_box around = widened(text);
  const struct pl_box *const box = &around;
  for (size_t i = 0; i + 1 < line->count; i++) {
    const struct pl_spot a = line->spots[i];
    const struct pl_spot b = line->spots[i + 1];
    // Nearly all pieces are given up here, without a division.
    const bool beside =
        (a.x < box->left && b.x < box->left) || (a.x > box->right && b.x > box->right) ||
        (a.y < box->top && b.y < box->top) || (a.y > box->bottom && b.y > box->bottom);
    if (!beside && segment_meets(a, b, box)) return true;
  }
  return false;
}

static bool holds(const struct pl_box *box, struct pl_spot spot) {
  return spot.x > box->left && spot.x < box->right && spot.y > box->top && spot.y < box->bottom;
}

/// Which side of the line from `a` to `b` a spot lies on.
static double side_of(struct pl_spot a, struct pl_spot b, struct pl_spot spot) {
  return (b.x - a.x) * (spot.y - a.y) - (b.y - a.y) * (spot.x - a.x);
}

static bool segments_cross(struct pl_spot a, struct pl_spot b, struct pl_spot c,
                           struct pl_spot d) {
  return side_of(a, b, c) * side_of(a, b, d) < 0 && side_of(c, d, a) * side_of(c, d, b) < 0;
}

static bool line_crosses(const struct pl_obstacle *line, struct pl_spot a, struct pl_spot b) {
  const double left = fmin(a.x, b.x);
  const double right = fmax(a.x, b.x);
  for (size_t i = 0; i + 1 < line->count; i++) {
    const struct pl_spot c = line->spots[i];
    const struct pl_spot d = line->spots[i + 1];
    const bool beside = (c.x < left && d.x < left) || (c.x > right && d.x > right);
    if (!beside && segments_cross(a, b, c, d)) return true;
  }
  return false;
}

struct pl_spot pl_box_nearest(const struct pl_box *box, struct pl_spot spot) {
  return (struct pl_spot){fmin(fmax(spot.x, box->left), box->right),
                          fmin(fmax(spot.y, box->top), box->bottom)};
}

// ---------------------------------------------------------------- what a place costs

static bool is_free(const struct pl_placing *placing, const struct pl_box *box) {
  const struct pl_box *const within = &placing->within;
  if (box->left < within->left || box->right > within->right || box->top < within->top ||
      box->bottom > within->bottom)
    return false;
  for (size_t i = 0; i < placing->text_count; i++) {
    if (boxes_meet(box, &placing->texts[i], GAP)) return false;
  }
  return true;
}

static double cost_of_box(const struct pl_placing *placing, const struct pl_box *box) {
  double cost = 0;
  for (size_t i = 0; i < placing->dot_count; i++) {
    if (boxes_meet(box, &placing->dots[i], LINE_GAP)) cost += cost_of_dot;
  }
  for (size_t i = 0; i < placing->line_count; i++) {
    if (line_meets(&placing->lines[i], box)) cost += placing->lines[i].cost;
  }
  return cost;
}

/// What it costs that another point is nearer to the name.
static double cost_of_doubt(const struct pl_placing *placing, const struct pl_box *box,
                            double distance) {
  for (size_t i = 0; i < placing->dot_count; i++) {
    const struct pl_box *const dot = &placing->dots[i];
    const struct pl_spot middle = {(dot->left + dot->right) / 2, (dot->top + dot->bottom) / 2};
    const struct pl_spot end = pl_box_nearest(box, middle);
    if (hypot(end.x - middle.x, end.y - middle.y) < distance - LINE_GAP)
      return cost_of_nearer_dot;
  }
  return 0;
}

/// What it costs how far a name is from its point.
static double cost_of_distance(const struct pl_placing *placing, const struct pl_box *box,
                               struct pl_spot point) {
  const struct pl_spot end = pl_box_nearest(box, point);
  const double distance = hypot(end.x - point.x, end.y - point.y);
  return cost_of_mm * distance + cost_of_doubt(placing, box, distance);
}

/// What it costs that the way from a point to its name leads over something.
static double cost_of_way(const struct pl_placing *placing, const struct pl_box *box,
                          struct pl_spot point) {
  const struct pl_spot end = pl_box_nearest(box, point);
  double cost = 0;
  for (size_t i = 0; i < placing->text_count; i++) {
    const struct pl_box around = widened(&placing->texts[i]);
    if (segment_meets(point, end, &around)) cost += cost_of_leader_over_text;
  }
  for (size_t i = 0; i < placing->dot_count; i++) {
    const struct pl_box *const dot = &placing->dots[i];
    if (!holds(dot, point) && segment_meets(point, end, dot)) cost += cost_of_leader_over_dot;
  }
  for (size_t i = 0; i < placing->line_count; i++) {
    if (line_crosses(&placing->lines[i], point, end))
      cost += share_of_leader_over_line * placing->lines[i].cost;
  }
  return cost;
}

double pl_room_cost(const struct pl_placing *placing, struct pl_spot point,
                    const struct pl_box *box) {
  return cost_of_distance(placing, box, point) + cost_of_box(placing, box) +
         cost_of_way(placing, box, point);
}

// ---------------------------------------------------------------- the search

/// The best place so far.
struct search {
  const struct pl_placing *placing;
  const struct pl_spot *point; ///< that is named; null: none
  double width;
  double height;
  double cost;
  struct pl_box box;
};

static void look_at(struct search *search, double left, double top) {
  const struct pl_box box = {left, left + search->width, top, top + search->height};
  if (!is_free(search->placing, &box)) return;
  double cost = 0;
  // What is found out quickly comes first: most places are given up by it.
  if (search->point != NULL) cost = cost_of_distance(search->placing, &box, *search->point);
  if (cost >= search->cost) return;
  cost += cost_of_box(search->placing, &box);
  if (cost >= search->cost) return;
  if (search->point != NULL) cost += cost_of_way(search->placing, &box, *search->point);
  if (cost >= search->cost) return;
  search->cost = cost;
  search->box = box;
}

bool pl_room_among(const struct pl_placing *placing, const struct pl_spot *corners,
                   size_t count, double width, double height, struct pl_box *box) {
  struct search search = {
      .placing = placing, .width = width, .height = height, .cost = DBL_MAX};
  for (size_t i = 0; i < count; i++) look_at(&search, corners[i].x, corners[i].y);
  *box = search.box;
  return search.cost < DBL_MAX;
}

/// Looks around a point at that distance.
static void look_around(struct search *search, double distance) {
  enum { ways = 16 };
  for (int i = 0; i < ways; i++) {
    const double angle = 2 * 3.14159265358979323846 * i / ways;
    const double x = cos(angle);
    const double y = sin(angle);
    // The box's middle, so that its side or its corner is that far from the point.
    const double across = search->width / 2 * fmin(fmax(1.5 * x, -1), 1);
    const double down = search->height / 2 * fmin(fmax(1.5 * y, -1), 1);
    look_at(search, search->point->x + distance * x + across - search->width / 2,
            search->point->y + distance * y + down - search->height / 2);
  }
}

/// Looks all over the frame.
static void look_everywhere(struct search *search) {
  const struct pl_box *const within = &search->placing->within;
  const double across = within->right - within->left - search->width;
  const double down = within->bottom - within->top - search->height;
  enum { columns = 24, rows = 32 };
  for (int row = 0; row < rows; row++) {
    for (int column = 0; column < columns; column++)
      look_at(search, within->left + across * column / (columns - 1),
              within->top + down * row / (rows - 1));
  }
}

double pl_room_near(const struct pl_placing *placing, struct pl_spot point, double width,
                    double height, struct pl_box *box) {
  static const double distances[] = {1.3, 2.2, 3.5, 5, 7, 9.5, 12.5, 16, 20, 25};
  struct search search = {
      .placing = placing, .point = &point, .width = width, .height = height, .cost = DBL_MAX};
  for (size_t i = 0; i < sizeof distances / sizeof distances[0]; i++) {
    if (cost_of_mm * distances[i] < search.cost) look_around(&search, distances[i]);
  }
  if (search.cost == DBL_MAX) look_everywhere(&search);
  *box = search.box;
  return search.cost < DBL_MAX ? search.cost : INFINITY;
}

// ---------------------------------------------------------------- a stack of texts

static int by_wish(const void *one, const void *other) {
  const struct pl_stacked *const a = *(const struct pl_stacked *const *)one;
  const struct pl_stacked *const b = *(const struct pl_stacked *const *)other;
  if (a->wanted != b->wanted) return a->wanted < b->wanted ? -1 : 1;
  return a < b ? -1 : 1;
}

/// Texts that touch and are moved together.
struct cluster {
  size_t first;
  size_t count;
  double height;
  double wishes; ///< sum of the tops of the cluster that each text wishes for
  double top;
};

/// The place of a cluster: the mean of its texts' wishes, within the bounds.
static double place_of(const struct cluster *cluster, double top, double bottom) {
  const double wish = cluster->wishes / (double)cluster->count;
  return fmax(top, fmin(wish, bottom - cluster->height));
}

void pl_push_apart(struct pl_arena *arena, struct pl_stacked *items, size_t count, double top,
                   double bottom) {
  struct pl_stacked **const order = pl_alloc_array(arena, count, sizeof(struct pl_stacked *));
  struct cluster *const clusters = pl_alloc_array(arena, count, sizeof *clusters);
  for (size_t i = 0; i < count; i++) order[i] = &items[i];
  qsort((void *)order, count, sizeof(struct pl_stacked *), by_wish);
  size_t made = 0;
  for (size_t i = 0; i < count; i++) {
    clusters[made] = (struct cluster){.first = i,
                                      .count = 1,
                                      .height = order[i]->height,
                                      .wishes = order[i]->wanted - order[i]->height / 2};
    clusters[made].top = place_of(&clusters[made], top, bottom);
    for (made++; made > 1; made--) {
      struct cluster *const upper = &clusters[made - 2];
      const struct cluster *const lower = &clusters[made - 1];
      if (upper->top + upper->height <= lower->top) break;
      upper->wishes += lower->wishes - (double)lower->count * upper->height;
      upper->count += lower->count;
      upper->height += lower->height;
      upper->top = place_of(upper, top, bottom);
    }
  }
  for (size_t i = 0; i < made; i++) {
    double at = clusters[i].top;
    for (size_t j = 0; j < clusters[i].count; j++) {
      order[clusters[i].first + j]->top = at;
      at += order[clusters[i].first + j]->height;
    }
  }
}
