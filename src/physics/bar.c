// SPDX-License-Identifier: GPL-3.0-or-later
// The anti-roll bar: a wire that twists between two levers that bend.
#include "numbers.h"
#include "pitleaf/physics.h"

double pl_torsion_stiffness(double shear_modulus, double diameter, double length) {
  if (!pl_is_positive(shear_modulus) || !pl_is_positive(diameter) || !pl_is_positive(length))
    return NAN;
  return shear_modulus * PL_PI * pl_square(pl_square(diameter)) / (32.0 * length);
}

double pl_bar_rate(const struct pl_bar *bar) {
  const double shear = isnan(bar->shear_modulus) ? PL_BAR_SHEAR_MODULUS : bar->shear_modulus;
  const double young = isnan(bar->youngs_modulus) ? PL_BAR_YOUNGS_MODULUS : bar->youngs_modulus;
  if (!pl_is_positive(bar->lever) || !pl_is_positive(young)) return NAN;
  // Moved oppositely by u, the ends twist the wire by 2 u/a.
  const double twisting =
      2.0 * pl_torsion_stiffness(shear, bar->wire, bar->length) / pl_square(bar->lever);
  const double bending = 3.0 * young * pl_round_second_moment(bar->wire) / pl_cube(bar->lever);
  return pl_series_rate(twisting, bending);
}

double pl_bar_roll_rate(const struct pl_bar *bar, double track) {
  if (!pl_is_positive(bar->ratio) || !pl_is_positive(track)) return NAN;
  return pl_bar_rate(bar) * pl_square(bar->ratio) * pl_square(track) / 2.0;
}
