// SPDX-License-Identifier: GPL-3.0-or-later
// The builder's question: how unlike left and right are when their pistons are not drilled
// alike, and how well the ports have to be matched.
#include "room.h"

#include <math.h>

/// Differences in which `allowed` is sought: so small that the logarithm of a figure is
/// straight.
#define SMALL 1e-5 // m

struct pl_matching {
  struct pl_figures *here;
  struct pl_figures *left_wider[2]; ///< by half of the difference, the right ones narrower: of
                                    ///< the difference that was asked for, and of a small one
  struct pl_figures *right_wider[2];
};

static struct pl_figures *with_ports(const struct pl_setup *setup, double left, double right) {
  struct pl_figures *const figures = pl_figures_brief(setup);
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++)
    figures->ports_wider[place] =
        place == PL_FRONT_LEFT || place == PL_REAR_LEFT ? left : right;
  return figures;
}

struct pl_matching *pl_matching_new(struct pl_figures *figures, double difference) {
  struct pl_matching *const matching = pl_alloc(figures->arena, sizeof *matching);
  const double halves[] = {difference / 2, SMALL / 2};
  matching->here = figures;
  for (size_t i = 0; i < 2; i++) {
    matching->left_wider[i] = with_ports(figures->setup, halves[i], -halves[i]);
    matching->right_wider[i] = with_ports(figures->setup, -halves[i], halves[i]);
  }
  return matching;
}

/// What a figure becomes at that corner, as a multiple of what it is.
static double change_of(const struct pl_matching *matching, struct pl_figures *changed,
                        enum pl_figure figure, enum pl_place corner) {
  return pl_figure_get(changed, figure, corner)->value /
         pl_figure_get(matching->here, figure, corner)->value;
}

/// The logarithm of how many times as large the figure is on the one side as on the other,
/// beyond what it is by design; NaN where one is absent or changes its sign.
static double apart_in(const struct pl_matching *matching, struct pl_figures *changed,
                       enum pl_figure figure, enum pl_place axle) {
  const bool front = axle == PL_FRONT;
  const double left =
      change_of(matching, changed, figure, front ? PL_FRONT_LEFT : PL_REAR_LEFT);
  const double right =
      change_of(matching, changed, figure, front ? PL_FRONT_RIGHT : PL_REAR_RIGHT);
  const double ratio = left / right;
  return ratio > 0 ? fabs(log(ratio)) : NAN;
}

struct pl_match pl_match_of(const struct pl_matching *matching, enum pl_figure figure,
                            enum pl_place axle) {
  double apart[2];
  for (size_t i = 0; i < 2; i++)
    apart[i] = fmax(apart_in(matching, matching->left_wider[i], figure, axle),
                    apart_in(matching, matching->right_wider[i], figure, axle));
  const bool counts = isfinite(apart[1]) && apart[1] > 1e-9;
  if (!counts || pl_figure_rows[figure].scope != PL_SCOPE_CORNER)
    return (struct pl_match){.apart = NAN, .allowed = NAN};
  return (struct pl_match){.apart = expm1(apart[0]),
                           .allowed = SMALL * log1p(PL_MATCH_WITHIN) / apart[1]};
}
