// SPDX-License-Identifier: GPL-3.0-or-later
// O-rings on the shaft: sizes by number, how a gland holds them, what handbooks recommend.
#include "numbers.h"
#include "pitleaf/physics.h"

// The smallest section of AS568/ISO 3601-1; every ring below has it.
#define PL_SMALL_SECTION 1.78e-3
#define PL_FIRST_RING    4u

// Inside diameters, mm, from -004 on. -004, -008 and -010 are confirmed in a published table;
// the others are from memory of AS568.
static const double ring_inside[] = {1.78,  2.57,  2.90,  3.68,  4.47,  5.28,  6.07,
                                     7.65,  9.25,  10.82, 12.42, 14.00, 15.60, 17.17,
                                     18.77, 20.35, 21.95, 23.52, 25.12};

bool pl_ring_by_number(unsigned number, struct pl_ring *ring) {
  *ring = (struct pl_ring){NAN, NAN};
  if (number < PL_FIRST_RING) return false;
  const size_t row = number - PL_FIRST_RING;
  if (row >= sizeof ring_inside / sizeof ring_inside[0]) return false;
  *ring = (struct pl_ring){ring_inside[row] * 1e-3, PL_SMALL_SECTION};
  return true;
}

double pl_gland_depth(double gland_outside, double shaft) {
  return pl_extrusion_gap(gland_outside, shaft);
}

double pl_seal_squeeze(double section, double gland_depth) {
  if (!pl_is_positive(section) || !pl_is_positive(gland_depth)) return NAN;
  return (section - gland_depth) / section;
}

double pl_seal_stretch(double ring, double shaft) {
  if (!pl_is_positive(ring) || !pl_is_positive(shaft)) return NAN;
  return (shaft - ring) / ring;
}

double pl_gland_fill(double section, double rings, double gland_depth, double gland_width) {
  if (!pl_is_positive(section) || !pl_is_positive(rings) || !pl_is_positive(gland_depth) ||
      !pl_is_positive(gland_width))
    return NAN;
  return rings * PL_PI / 4.0 * pl_square(section) / (gland_depth * gland_width);
}

double pl_extrusion_gap(double hole, double shaft) {
  if (!pl_is_positive(hole) || !pl_is_positive(shaft) || hole < shaft) return NAN;
  return 0.5 * (hole - shaft);
}

struct pl_band pl_seal_squeeze_band(double section) {
  if (!pl_is_positive(section)) return (struct pl_band){NAN, NAN};
  // A thousandth of a millimetre more is still the small section, whatever unit it came from.
  const bool small = section <= PL_SMALL_SECTION + 1e-6;
  return (struct pl_band){0.12, small ? 0.25 : 0.18};
}

struct pl_band pl_seal_stretch_band(void) {
  return (struct pl_band){0.0, 0.05};
}

struct pl_band pl_gland_fill_band(void) {
  return (struct pl_band){0.0, 0.85};
}
