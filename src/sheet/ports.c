// SPDX-License-Identifier: GPL-3.0-or-later
// Where the ports of a piston are drawn. No setting tells where they are drilled, so they are
// spread as a maker would: evenly, and each set by itself evenly as far as that goes.
#include "ports.h"

#include <math.h>

/// The least that is left between two ports, and beside them, mm at true size: enough for two
/// lines to be seen as two.
#define WEB 0.1

/// Most circles that ports are spread on: with more of them no port could be told from another.
#define RINGS 24

#define PI 3.14159265358979323846

/// Ports on one circle.
struct ring {
  double radius;
  double widest;   ///< radius of its largest port
  size_t capacity; ///< as many of that size as it takes
  size_t count;
  size_t *of_set; ///< how many of each set
};

/// The face that is to be filled.
struct face {
  struct pl_arena *arena;
  const struct pl_value *ports;
  double outer; ///< edge of the piston, mm from its middle
  double inner; ///< edge of the shaft
  struct ring rings[RINGS];
  size_t ring_count;
  struct pl_port_places places;
};

double pl_port_radius(const struct pl_ports *set) {
  return 500 * fmax(set->cap_diameter, set->shaft_diameter);
}

static double radius_of(const struct face *face, size_t set) {
  return pl_port_radius(&face->ports->many.ports[set]);
}

// ---------------------------------------------------------------- on one circle

/// Adds the ring's ports at even angles. Sets take turns so that each is spread evenly by
/// itself: of 4 and 2 every third port is one of the 2.
static void place_ring(struct face *face, const struct ring *ring, bool turned) {
  const size_t sets = face->ports->count;
  size_t *const done = pl_alloc_array(face->arena, sets, sizeof *done);
  size_t first = 0;
  while (first + 1 < sets && ring->of_set[first] == 0) first++;
  for (size_t i = 0; i < ring->count; i++) {
    size_t next = sets;
    double least = INFINITY;
    for (size_t set = 0; set < sets; set++) {
      if (done[set] == ring->of_set[set]) continue;
      // The first set begins at the top, the others half of their own step behind it.
      const double turn =
          ((double)done[set] + (set == first ? 0 : 0.5)) / (double)ring->of_set[set];
      if (turn < least - 1e-9) {
        least = turn;
        next = set;
      }
    }
    done[next]++;
    const double angle = 2 * PI * ((double)i + (turned ? 0.5 : 0)) / (double)ring->count;
    face->places.items[face->places.count++] =
        (struct pl_port_place){.set = next,
                               .radius = radius_of(face, next),
                               .x = ring->radius * sin(angle),
                               .y = -ring->radius * cos(angle)};
  }
}

/// The smallest radius of a circle on which the ports of `places`, which are on a circle of
/// radius 1, are clear of each other.
static double least_radius(const struct pl_port_places *places) {
  double least = 0;
  for (size_t i = 0; i < places->count; i++) {
    for (size_t j = i + 1; j < places->count; j++) {
      const struct pl_port_place *const a = &places->items[i];
      const struct pl_port_place *const b = &places->items[j];
      const double chord = hypot(a->x - b->x, a->y - b->y);
      least = fmax(least, (a->radius + b->radius + WEB) / chord);
    }
  }
  return least;
}

/// A ring that takes all ports.
static struct ring ring_of_all(const struct face *face, size_t total) {
  struct ring ring = {.radius = 1, .count = total};
  const size_t sets = face->ports->count;
  ring.of_set = pl_alloc_array(face->arena, sets, sizeof *ring.of_set);
  for (size_t set = 0; set < sets; set++) {
    ring.of_set[set] = (size_t)face->ports->many.ports[set].count;
    ring.widest = fmax(ring.widest, radius_of(face, set));
  }
  return ring;
}

/// All ports on one circle at even angles; false if there is no such circle.
static bool fits_one_circle(struct face *face, const struct ring *ring) {
  face->places.count = 0;
  place_ring(face, ring, false);
  const double radius = fmax((face->outer + face->inner) / 2, least_radius(&face->places));
  for (size_t i = 0; i < face->places.count; i++) {
    face->places.items[i].x *= radius;
    face->places.items[i].y *= radius;
  }
  return radius + ring->widest + WEB <= face->outer &&
         radius - ring->widest - WEB >= face->inner;
}

/// The angle on a circle between the middles of two ports that are as close as may be.
static double angle_between(const struct pl_port_place *a, const struct pl_port_place *b,
                            double circle) {
  const double share = (a->radius + b->radius + WEB) / (2 * circle);
  return share >= 1 ? PI : 2 * asin(share);
}

/// Small ports beside large ones: with even gaps between them in place of even angles. Takes
/// the order that the places have; false if the circle is too small.
static bool fits_with_even_gaps(struct face *face, double circle) {
  struct pl_port_place *const items = face->places.items;
  const size_t count = face->places.count;
  double taken = 0;
  for (size_t i = 0; i < count; i++)
    taken += angle_between(&items[i], &items[(i + 1) % count], circle);
  if (taken > 2 * PI) return false;
  double angle = 0;
  for (size_t i = 0; i < count; i++) {
    items[i].x = sin(angle);
    items[i].y = -cos(angle);
    angle += angle_between(&items[i], &items[(i + 1) % count], circle) +
             (2 * PI - taken) / (double)count;
  }
  // Two large ones may meet over a small one between them.
  if (least_radius(&face->places) > circle * (1 + 1e-9)) return false;
  for (size_t i = 0; i < count; i++) {
    items[i].x *= circle;
    items[i].y *= circle;
  }
  return true;
}

/// The same on the smallest circle, from midway outward, on which it goes.
static bool fits_uneven_circle(struct face *face, const struct ring *ring) {
  const double largest = face->outer - WEB - ring->widest;
  const double middle = fmax((face->outer + face->inner) / 2, face->inner + WEB + ring->widest);
  for (int step = 0; step <= 8 && middle <= largest; step++)
    if (fits_with_even_gaps(face, middle + (largest - middle) * step / 8)) return true;
  return false;
}

// ---------------------------------------------------------------- on several circles

/// How many ports of that radius a circle takes.
static size_t capacity_of(double circle, double radius) {
  const double share = (radius + WEB / 2) / circle;
  return share >= 1 ? 1 : (size_t)floor(PI / asin(share) + 1e-9);
}

/// Moves up to `most` of what is left onto the ring, the largest ports first.
static void fill_ring(const struct face *face, struct ring *ring, size_t *left, size_t most) {
  while (ring->count < most) {
    size_t largest = face->ports->count;
    for (size_t set = 0; set < face->ports->count; set++) {
      if (left[set] > 0 &&
          (largest == face->ports->count || radius_of(face, set) > radius_of(face, largest)))
        largest = set;
    }
    if (largest == face->ports->count) return;
    if (ring->count == 0) ring->widest = radius_of(face, largest);
    const size_t taken =
        left[largest] < most - ring->count ? left[largest] : most - ring->count;
    ring->of_set[largest] += taken;
    ring->count += taken;
    left[largest] -= taken;
  }
}

static double widest_left(const struct face *face, const size_t *left) {
  double widest = 0;
  for (size_t set = 0; set < face->ports->count; set++)
    if (left[set] > 0) widest = fmax(widest, radius_of(face, set));
  return widest;
}

/// Fills circles from the edge inward; on each at most as many as `most` says (null: as many as
/// it takes). False if they reach the shaft before all ports have a place.
static bool fill_rings(struct face *face, size_t total, const size_t *most) {
  const size_t sets = face->ports->count;
  size_t *const left = pl_alloc_array(face->arena, sets, sizeof *left);
  for (size_t set = 0; set < sets; set++)
    left[set] = (size_t)face->ports->many.ports[set].count;
  double edge = face->outer - WEB;
  face->ring_count = 0;
  while (total > 0) {
    const double widest = widest_left(face, left);
    if (face->ring_count == RINGS || edge - 2 * widest - WEB < face->inner) return false;
    struct ring *const ring = &face->rings[face->ring_count];
    *ring = (struct ring){.radius = edge - widest,
                          .capacity = capacity_of(edge - widest, widest),
                          .of_set = pl_alloc_array(face->arena, sets, sizeof *ring->of_set)};
    const size_t wanted = most == NULL ? ring->capacity : most[face->ring_count];
    fill_ring(face, ring, left, wanted < ring->capacity ? wanted : ring->capacity);
    if (ring->count == 0) return false;
    total -= ring->count;
    edge = ring->radius - ring->widest - WEB;
    face->ring_count++;
  }
  return true;
}

/// Fills circles so that each has its share by what it takes, not so that the last one is left
/// with a rest.
static bool share_rings(struct face *face, size_t total) {
  if (!fill_rings(face, total, NULL)) return false;
  size_t most[RINGS];
  double room = 0;
  for (size_t i = 0; i < face->ring_count; i++) room += (double)face->rings[i].capacity;
  double left = (double)total;
  for (size_t i = 0; i < RINGS; i++) {
    const double takes = i < face->ring_count ? (double)face->rings[i].capacity : 0;
    const double share = room > 0 ? ceil(left * takes / room - 1e-9) : 0;
    most[i] = (size_t)share;
    left -= share;
    room -= takes;
  }
  return fill_rings(face, total, most) || fill_rings(face, total, NULL);
}

/// Moves the circles inward, so that what is left of the face lies evenly between them: as far
/// as their ports stay clear of each other.
static void loosen_rings(struct face *face) {
  const struct ring *const last = &face->rings[face->ring_count - 1];
  const double spare = last->radius - last->widest - WEB - face->inner;
  const double step = spare / (double)(face->ring_count + 1);
  for (double share = 1; share > 0; share -= 0.125) {
    bool clear = true;
    for (size_t i = 0; i < face->ring_count && clear; i++) {
      const struct ring *const ring = &face->rings[i];
      const double radius = ring->radius - share * step * (double)(i + 1);
      clear = ring->count <= capacity_of(radius, ring->widest);
    }
    if (!clear) continue;
    for (size_t i = 0; i < face->ring_count; i++)
      face->rings[i].radius -= share * step * (double)(i + 1);
    return;
  }
}

struct pl_port_places pl_port_places(struct pl_arena *arena, const struct pl_value *ports,
                                     double diameter, double shaft) {
  struct face face = {
      .arena = arena, .ports = ports, .outer = diameter / 2, .inner = shaft / 2};
  size_t total = 0;
  for (size_t set = 0; ports->kind == PL_VALUE_PORTS && set < ports->count; set++)
    total += (size_t)ports->many.ports[set].count;
  if (total == 0) return face.places;
  face.places.items = pl_alloc_array(arena, total, sizeof *face.places.items);
  const struct ring whole = ring_of_all(&face, total);
  if (fits_one_circle(&face, &whole) || fits_uneven_circle(&face, &whole)) return face.places;
  face.places.count = 0;
  if (!share_rings(&face, total)) return face.places;
  loosen_rings(&face);
  for (size_t i = 0; i < face.ring_count; i++) place_ring(&face, &face.rings[i], i % 2 == 1);
  return face.places;
}
