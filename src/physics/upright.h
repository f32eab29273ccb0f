// SPDX-License-Identifier: GPL-3.0-or-later
// How the upright and its wheel follow the arm: the four-bar behind the linkage's public face.
#ifndef PITLEAF_PHYSICS_UPRIGHT_H
#define PITLEAF_PHYSICS_UPRIGHT_H

#include "pitleaf/physics.h"

/// A vector of the front view, m.
struct pl_vector {
  double y;
  double z;
};

static inline struct pl_vector pl_vector_to(struct pl_point from, struct pl_point to) {
  return (struct pl_vector){to.y - from.y, to.z - from.z};
}

static inline double pl_dot(struct pl_vector a, struct pl_vector b) {
  return a.y * b.y + a.z * b.z;
}

static inline double pl_cross(struct pl_vector a, struct pl_vector b) {
  return a.y * b.z - a.z * b.y;
}

/// The vector turned by a quarter, outboard to up.
static inline struct pl_vector pl_quarter_turn(struct pl_vector a) {
  return (struct pl_vector){-a.z, a.y};
}

/// The vector turned by `angle`, outboard to up.
struct pl_vector pl_turned(struct pl_vector a, double angle);

/// The arm's range of angles, from its measured position.
struct pl_arm_span {
  double least;    ///< zero or below
  double greatest; ///< zero or above
};

/// A position of the upright, with its first and second derivatives by the arm's angle.
struct pl_upright {
  double angle;                ///< of the arm, from its measured position
  struct pl_vector arm_outer;  ///< where it is
  struct pl_vector link_outer; ///< where it is; NaN without a link
  struct pl_vector wheel;      ///< the wheel centre, where it is
  double turn;                 ///< of the upright from its measured position
  double turn_first;
  struct pl_vector wheel_first;
  struct pl_vector wheel_second;
};

/// Whether the points make a linkage at all: finite, no part of zero length, no link stretched
/// out straight with the upright (there it would have two ways to go).
bool pl_linkage_is_possible(const struct pl_linkage *linkage);

/// The angles that the arm can reach without a break from its measured position before arm,
/// link and upright lock; half a turn each way at most.
struct pl_arm_span pl_arm_span(const struct pl_linkage *linkage);

/// The upright with the arm at `angle`, which must lie in pl_arm_span().
struct pl_upright pl_upright_at(const struct pl_linkage *linkage, double angle);

#endif
