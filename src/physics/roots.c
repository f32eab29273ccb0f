// SPDX-License-Identifier: GPL-3.0-or-later
// Where a function crosses zero: Brent's method.
#include "numbers.h"
#include "pitleaf/physics.h"

#include <float.h>

// Brent's method needs some ten evaluations for a smooth function and, at the very worst, the
// square of the bisections that the bracket holds; a double's bracket holds about 64 per
// power-of-two range that matters here. The cap only turns the impossible into a failure.
#define PL_ROOT_EVALUATIONS 4096

// The bracket: the root lies between `best` and `other`, and |at best| is the lesser of the
// two. `previous` is the last point that `best` has left.
struct pl_bracket {
  double best, at_best;
  double other, at_other;
  double previous, at_previous;
  double step, step_before;
};

// Puts the end of smaller value into `best`.
static void order(struct pl_bracket *bracket) {
  if (fabs(bracket->at_other) >= fabs(bracket->at_best)) return;
  bracket->previous = bracket->best;
  bracket->at_previous = bracket->at_best;
  bracket->best = bracket->other;
  bracket->at_best = bracket->at_other;
  bracket->other = bracket->previous;
  bracket->at_other = bracket->at_previous;
}

// Makes `other` the last point on the far side of the root.
static void enclose(struct pl_bracket *bracket) {
  if ((bracket->at_best > 0.0) != (bracket->at_other > 0.0)) return;
  bracket->other = bracket->previous;
  bracket->at_other = bracket->at_previous;
  bracket->step = bracket->best - bracket->previous;
  bracket->step_before = bracket->step;
}

// Chooses the next step: a secant or inverse quadratic one when it stays well inside the
// bracket and shrinks fast enough, else to the middle.
static void choose_step(struct pl_bracket *bracket, double half, double least) {
  const double ratio = bracket->at_best / bracket->at_previous;
  double p = 2.0 * half * ratio;
  double q = 1.0 - ratio;
  if (bracket->previous != bracket->other) {
    const double over = bracket->at_previous / bracket->at_other;
    const double under = bracket->at_best / bracket->at_other;
    p = ratio * (2.0 * half * over * (over - under) -
                 (bracket->best - bracket->previous) * (under - 1.0));
    q = (over - 1.0) * (under - 1.0) * (ratio - 1.0);
  }
  if (p > 0.0) q = -q;
  p = fabs(p);
  const bool may_interpolate = fabs(bracket->step_before) >= least &&
                               fabs(bracket->at_previous) > fabs(bracket->at_best);
  const bool stays_inside =
      2.0 * p < 3.0 * half * q - fabs(least * q) && 2.0 * p < fabs(bracket->step_before * q);
  if (may_interpolate && stays_inside) {
    bracket->step_before = bracket->step;
    bracket->step = p / q;
  } else {
    bracket->step = half;
    bracket->step_before = half;
  }
}

bool pl_find_root(pl_root_function *function, const void *context, double a, double b,
                  double tolerance, double *root) {
  *root = NAN;
  if (!isfinite(a) || !isfinite(b) || !(tolerance >= 0.0)) return false;
  struct pl_bracket bracket = {.best = b, .other = a, .previous = a};
  bracket.at_best = function(b, context);
  bracket.at_other = bracket.at_previous = function(a, context);
  // No number is on either side of zero.
  const bool crosses = (bracket.at_best >= 0.0 && bracket.at_other <= 0.0) ||
                       (bracket.at_best <= 0.0 && bracket.at_other >= 0.0);
  if (!crosses) return false;
  bracket.step = bracket.step_before = b - a;

  for (int evaluations = 0; evaluations < PL_ROOT_EVALUATIONS; evaluations++) {
    order(&bracket);
    const double least = 2.0 * DBL_EPSILON * fabs(bracket.best) + 0.5 * tolerance;
    const double half = 0.5 * (bracket.other - bracket.best);
    if (bracket.at_best == 0.0 || fabs(half) <= least) {
      *root = bracket.best;
      return true;
    }
    choose_step(&bracket, half, least);
    bracket.previous = bracket.best;
    bracket.at_previous = bracket.at_best;
    bracket.best += fabs(bracket.step) > least ? bracket.step : copysign(least, half);
    bracket.at_best = function(bracket.best, context);
    if (isnan(bracket.at_best)) return false;
    enclose(&bracket);
  }
  return false;
}
