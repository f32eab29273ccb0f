// SPDX-License-Identifier: GPL-3.0-or-later
// The seal stack and the shaft: squeeze, stretch, fill, guidance, buckling.
#include "room.h"

#include <math.h>

static double of_seal(struct work *work, enum pl_setting inner) {
  return need_of_part(work, PL_SETTING_DAMPER, inner);
}

// ---------------------------------------------------------------- the ring

/// The ring as it is declared, or as its standard number says.
static struct pl_ring ring_of(struct work *work) {
  struct pl_ring ring = {
      .inside = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SEAL_RING_INSIDE)};
  ring.section = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SEAL_RING_SECTION);
  const double number = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SEAL_RING_NUMBER);
  struct pl_ring standard = {NAN, NAN};
  if (number >= 0 && number < 1000) pl_ring_by_number((unsigned)number, &standard);
  if (isnan(ring.inside)) ring.inside = standard.inside;
  if (isnan(ring.section)) ring.section = standard.section;
  return ring;
}

static double need_section(struct work *work) {
  const double section = ring_of(work).section;
  if (isnan(section)) of_seal(work, PL_SETTING_SEAL_RING_SECTION); // notes that it is needed
  return section;
}

static double need_inside(struct work *work) {
  const double inside = ring_of(work).inside;
  if (isnan(inside)) of_seal(work, PL_SETTING_SEAL_RING_INSIDE);
  return inside;
}

static double gland_depth(struct work *work) {
  const double outside = of_seal(work, PL_SETTING_SEAL_GLAND_OUTSIDE);
  const double depth = pl_gland_depth(outside, of_seal(work, PL_SETTING_SHAFT));
  return explained(work, depth > 0 ? depth : NAN, PL_SETTING_DAMPER,
                   "the seal's gland is no wider than the shaft");
}

/// Says when a share lies outside what the seal handbooks recommend.
static double inside_band(struct work *work, double share, struct pl_band band,
                          const char *what) {
  if (share < band.least || share > band.greatest)
    warn(work, PL_SETTING_DAMPER,
         pl_format(work->figures->arena,
                   "the seal's %s of %.1f %% is outside the %.0f to %.0f %% that handbooks "
                   "recommend for a moving rod",
                   what, share * 100, band.least * 100, band.greatest * 100));
  return share;
}

double seal_squeeze(struct work *work) {
  const double section = need_section(work);
  const double squeeze = pl_seal_squeeze(section, gland_depth(work));
  return inside_band(work, squeeze, pl_seal_squeeze_band(section), "squeeze");
}

double seal_stretch(struct work *work) {
  const double inside = need_inside(work);
  const double stretch = pl_seal_stretch(inside, of_seal(work, PL_SETTING_SHAFT));
  return inside_band(work, stretch, pl_seal_stretch_band(), "stretch");
}

double gland_fill(struct work *work) {
  const double section = need_section(work);
  const double rings = of_seal(work, PL_SETTING_SEAL_RINGS);
  const double depth = gland_depth(work);
  const double width = of_seal(work, PL_SETTING_SEAL_GLAND_WIDTH);
  const double fill = pl_gland_fill(section, rings, depth, width);
  return inside_band(work, fill, pl_gland_fill_band(), "gland fill");
}

double extrusion_gap(struct work *work) {
  return of_seal(work, PL_SETTING_SEAL_EXTRUSION_GAP);
}

// ---------------------------------------------------------------- the shaft

double bushing_overlap(struct work *work) {
  const double hardware = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_BUSHING_OVERLAP);
  return pl_bushing_overlap(hardware, optional(work, PL_SETTING_LIMITER));
}

double bushing_ratio(struct work *work) {
  const double overlap = figure(work, PL_FIGURE_BUSHING_OVERLAP);
  return overlap / need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SHAFT);
}

/// What damping and gas put on the shaft; the spring pushes on its end and not along it.
double shaft_force(struct work *work) {
  const double damping = figure(work, PL_FIGURE_DAMPING_FAST_COMPRESSION);
  const double gas = figure(work, PL_FIGURE_GAS_FORCE_COMPRESSED);
  return damping * need(work, PL_SETTING_FAST_SPEED) + gas;
}

double buckling_load(struct work *work) {
  const double shaft = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SHAFT);
  const double exposed = need_of_part(work, PL_SETTING_DAMPER, PL_SETTING_EXPOSED_SHAFT);
  const double yield = optional_of_part(work, PL_SETTING_DAMPER, PL_SETTING_SHAFT_YIELD);
  if (isnan(yield))
    detail(work,
           "no shaft-yield is declared: a short shaft yields before it bears Euler's load");
  return pl_buckling_load(PL_BAR_YOUNGS_MODULUS, yield, shaft, exposed);
}
