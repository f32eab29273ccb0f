// SPDX-License-Identifier: GPL-3.0-or-later
// Bumps in the road as a wheel meets them: the height of its centre while it rolls over them as
// a rigid circle, the greatest that some point of the road demands.
//
// A circle that touches the haversine at `p` has its centre at p - R sin(a), where a is the
// angle of the road there: a curve parallel to the road. Toward the crest of a bump the
// parallel curve moves on with p; at its foot, where the road bends up more sharply than the
// circle, it would move back, and there the wheel stands on level ground and on the flank at
// once, or on two bumps. A hole is the same from its edge down to where both flanks hold the
// wheel. So one half of a bump has one stretch of points that the wheel ever touches, and along
// it the centre moves on steadily. The other half is its mirror image.
#include "numbers.h"
#include "pitleaf/simulation.h"

// The road at a point of one bump: its height, and its slope and bend over the way.
static double road_at(const struct pl_bumps *bumps, double p, double *slope, double *bend) {
  const double turn = 2.0 * PL_PI / bumps->length;
  const double half = 0.5 * bumps->height;
  *slope = half * turn * sin(turn * p);
  *bend = half * turn * turn * cos(turn * p);
  return half * (1.0 - cos(turn * p));
}

// Where the centre of a wheel is that touches at `p`: along the way, and above where it is on
// level road.
struct centre {
  double along;
  double above;
  double slope;  // of the road there, and of the centre's path
  double change; // of `along` with p; below zero where the wheel cannot touch
};

static struct centre centre_at(const struct pl_bumps *bumps, double p) {
  double slope;
  double bend;
  const double height = road_at(bumps, p, &slope, &bend);
  const double secant = sqrt(1.0 + pl_square(slope)); // of the angle
  const double radius = bumps->radius;
  return (struct centre){p - radius * slope / secant, height + radius * (1.0 / secant - 1.0),
                         slope, 1.0 - radius * bend / (secant * pl_square(secant))};
}

// Where a function of the points of a bump, which is below zero before it, crosses zero in
// [low, high].
static double place_between(pl_root_function *value, const struct pl_bumps *bumps, double low,
                            double high) {
  double place;
  return pl_find_root(value, bumps, low, high, 0.0, &place) ? place : high;
}

static double change_of_centre(double p, const void *bumps) {
  return centre_at(bumps, p).change;
}

static double cannot_touch(double p, const void *bumps) {
  return -centre_at(bumps, p).change;
}

static double above_level(double p, const void *bumps) {
  return centre_at(bumps, p).above;
}

static double beyond_middle(double p, const void *context) {
  const struct pl_bumps *const bumps = context;
  return centre_at(bumps, p).along - 0.5 * bumps->length;
}

void pl_road_of(const struct pl_bumps *bumps, struct pl_road *road) {
  *road = (struct pl_road){.bumps = bumps, .reach = 0.5 * bumps->length};
  if (bumps->count == 0) return;
  const double half = 0.5 * bumps->length;
  road->last = half;
  if (bumps->height > 0.0 && change_of_centre(0.0, bumps) < 0.0) {
    const double turns = place_between(change_of_centre, bumps, 0.0, 0.5 * half);
    road->first = place_between(above_level, bumps, turns, half);
    road->reach = half - centre_at(bumps, road->first).along;
    road->has_kinks = true;
  } else if (bumps->height < 0.0 && change_of_centre(half, bumps) < 0.0) {
    const double turns = place_between(cannot_touch, bumps, 0.5 * half, half);
    road->last = place_between(beyond_middle, bumps, 0.0, turns);
    road->has_kinks = true;
  }
  road->lead = road->reach - half;
}

// The number of the bump whose middle is nearest, and where that is.
static double nearest(const struct pl_bumps *bumps, double way) {
  if (bumps->count == 1) return 0.0;
  const double which = round((way - 0.5 * bumps->length) / bumps->spacing);
  return fmin(fmax(which, 0.0), (double)(bumps->count - 1));
}

static double middle_of(const struct pl_bumps *bumps, double which) {
  return 0.5 * bumps->length + (which > 0.0 ? which * bumps->spacing : 0.0);
}

// A place of the wheel's centre along a bump.
struct place {
  const struct pl_bumps *bumps;
  double along;
};

static double beyond_place(double p, const void *context) {
  const struct place *const place = context;
  return centre_at(place->bumps, p).along - place->along;
}

// The point that the wheel touches there; an end of what it ever touches where rounding has put
// the place beyond it.
static double touched_at(const struct pl_road *road, double along) {
  if (road->bumps->radius == 0.0) return along;
  const struct place place = {road->bumps, along};
  double p;
  if (pl_find_root(beyond_place, &place, road->first, road->last, 0.0, &p)) return p;
  return beyond_place(road->first, &place) > 0.0 ? road->first : road->last;
}

double pl_road_height(const struct pl_road *road, double way, double *slope) {
  const struct pl_bumps *const bumps = road->bumps;
  *slope = 0.0;
  if (bumps->count == 0) return 0.0;
  const double from_middle = way - middle_of(bumps, nearest(bumps, way));
  const double along = 0.5 * bumps->length - fabs(from_middle);
  if (along <= -road->lead) return 0.0;
  const struct centre centre = centre_at(bumps, touched_at(road, along));
  *slope = copysign(1.0, -from_middle) * centre.slope;
  return centre.above;
}

// Two kinks are farther apart than this, m, or count as one.
#define PL_ONE_KINK 1e-9

double pl_road_next_kink(const struct pl_road *road, double way) {
  const struct pl_bumps *const bumps = road->bumps;
  if (!road->has_kinks) return INFINITY;
  const double last = (double)(bumps->count - 1);
  const double here = nearest(bumps, way);
  // A wheel on one bump may stand on the next one before it is down.
  const double between = bumps->count > 1 ? fmin(road->reach, 0.5 * bumps->spacing) : INFINITY;
  for (double which = here; which <= fmin(here + 1.0, last); which++) {
    const double middle = middle_of(bumps, which);
    const double start = middle - (which == 0.0 ? road->reach : between);
    const double end = middle + (which == last ? road->reach : between);
    const bool is_hole = bumps->height < 0.0;
    if (is_hole && middle > way + PL_ONE_KINK) return middle;
    if (!is_hole && start > way + PL_ONE_KINK) return start;
    if (!is_hole && end > way + PL_ONE_KINK) return end;
  }
  return INFINITY;
}
