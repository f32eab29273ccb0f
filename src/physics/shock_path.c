// SPDX-License-Identifier: GPL-3.0-or-later
// How far the shock is compressed at each height of the wheel: the linkage, tabulated.
#include "numbers.h"
#include "pitleaf/simulation.h"

static double height_of_knot(const struct pl_shock_path *path, size_t knot) {
  const double share = (double)knot / (PL_PATH_KNOTS - 1);
  return path->lowest + share * (path->highest - path->lowest);
}

bool pl_shock_path_of(const struct pl_linkage *linkage, double lowest, double highest,
                      double longest, struct pl_shock_path *path) {
  if (!isfinite(lowest) || !isfinite(longest) || !(highest > lowest)) return false;
  path->lowest = lowest;
  path->highest = highest;
  for (size_t i = 0; i < PL_PATH_KNOTS; i++) {
    struct pl_linkage_state state;
    // The ends were found by the shock's length, to the last digit but one: there the linkage
    // may lock a hair too early.
    const double inside = i == 0 ? 1e-12 : i == PL_PATH_KNOTS - 1 ? -1e-12 : 0.0;
    if (!pl_linkage_at_height(linkage, height_of_knot(path, i) + inside, &state)) return false;
    path->compression[i] = longest - state.shock_length;
    path->ratio[i] = state.motion_ratio;
    if (!isfinite(path->compression[i]) || !pl_is_positive(path->ratio[i])) return false;
  }
  return true;
}

double pl_shock_path_at(const struct pl_shock_path *path, double height, double *ratio) {
  const size_t last = PL_PATH_KNOTS - 1;
  const double step = (path->highest - path->lowest) / (double)last;
  const double place = (height - path->lowest) / step;
  if (!(place > 0.0 && place < (double)last)) {
    const size_t end = place > 0.0 ? last : 0;
    *ratio = path->ratio[end];
    return path->compression[end] +
           *ratio * (height - (end == 0 ? path->lowest : path->highest));
  }
  const size_t i = (size_t)place;
  const double s = place - (double)i;
  const double rise = path->compression[i + 1] - path->compression[i];
  const double left = step * path->ratio[i];
  const double right = step * path->ratio[i + 1];
  // Hermite's cubic from the left knot: left s + b s^2 + c s^3.
  const double b = 3.0 * rise - 2.0 * left - right;
  const double c = left + right - 2.0 * rise;
  *ratio = (left + s * (2.0 * b + s * 3.0 * c)) / step;
  return path->compression[i] + s * (left + s * (b + s * c));
}
