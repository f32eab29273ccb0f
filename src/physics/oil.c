// SPDX-License-Identifier: GPL-3.0-or-later
// Viscosity and density of oils and blends against temperature.
#include "numbers.h"
#include "pitleaf/physics.h"

// The laws below are written for viscosities in mm2/s.
#define PL_SQUARE_MILLIMETRE 1e-6
// Slope of the silicone law, and the zero of its temperature scale in degC below zero: the law
// as published adds a plain 273 to the degrees Celsius.
#define PL_SILICONE_SLOPE 763.1
#define PL_SILICONE_ZERO  273.0
// The span for which the silicone law is published.
#define PL_SILICONE_COLDEST (PL_ZERO_CELSIUS - 25.0)
#define PL_SILICONE_HOTTEST (PL_ZERO_CELSIUS + 250.0)
// What ASTM D341 adds to a viscosity so that the double logarithm exists.
#define PL_D341_OFFSET 0.7
// How far from 1 the shares of a blend may add up: rounding of shares typed in percent.
#define PL_SHARES_TOLERANCE 1e-6

// ---------------------------------------------------------------------------------- silicone
// oil

static double silicone_scale(double temperature) {
  return temperature - PL_ZERO_CELSIUS + PL_SILICONE_ZERO;
}

double pl_silicone_viscosity(double viscosity, double given_at, double temperature) {
  const double from = silicone_scale(given_at);
  const double to = silicone_scale(temperature);
  if (!pl_is_positive(viscosity) || !pl_is_positive(from) || !pl_is_positive(to)) return NAN;
  const double result = viscosity * pow(10.0, PL_SILICONE_SLOPE * (1.0 / to - 1.0 / from));
  return isfinite(result) ? result : NAN;
}

bool pl_oil_law_silicone(double viscosity, double given_at, struct pl_oil_law *law) {
  law->count = 0;
  if (!isfinite(pl_silicone_viscosity(viscosity, given_at, PL_OIL_NAMED_AT))) return false;
  law->count = 1;
  law->parts[0] = (struct pl_oil_part){.kind = PL_OIL_SILICONE,
                                       .weight = 1.0,
                                       .a = viscosity,
                                       .b = given_at,
                                       .coldest = PL_SILICONE_COLDEST,
                                       .hottest = PL_SILICONE_HOTTEST};
  return true;
}

// ------------------------------------------------------------------------------------ ASTM
// D341

static double double_logarithm(double viscosity) {
  return log10(log10(viscosity / PL_SQUARE_MILLIMETRE + PL_D341_OFFSET));
}

static double walther_viscosity(double a, double b, double temperature) {
  const double result = PL_SQUARE_MILLIMETRE *
                        (pow(10.0, pow(10.0, a - b * log10(temperature))) - PL_D341_OFFSET);
  return isfinite(result) && pl_is_positive(temperature) ? result : NAN;
}

// The straight line of least squares through the points, in the coordinates of the law. False
// if a point has no logarithm, or if the line does not fall.
static bool fit_line(const struct pl_oil_point *points, size_t count, double *a, double *b) {
  double mean_x = 0.0;
  double mean_y = 0.0;
  for (size_t i = 0; i < count; i++) {
    mean_x += log10(points[i].temperature) / (double)count;
    mean_y += double_logarithm(points[i].viscosity) / (double)count;
  }
  double xx = 0.0;
  double xy = 0.0;
  for (size_t i = 0; i < count; i++) {
    const double x = log10(points[i].temperature) - mean_x;
    xx += x * x;
    xy += x * (double_logarithm(points[i].viscosity) - mean_y);
  }
  *b = -xy / xx;
  *a = mean_y + *b * mean_x;
  return isfinite(*a) && *b > 0.0;
}

bool pl_oil_law_fit(const struct pl_oil_point *points, size_t count, struct pl_oil_law *law) {
  law->count = 0;
  struct pl_oil_part part = {
      .kind = PL_OIL_WALTHER, .weight = 1.0, .coldest = INFINITY, .hottest = -INFINITY};
  for (size_t i = 0; i < count; i++) {
    part.coldest = fmin(part.coldest, points[i].temperature);
    part.hottest = fmax(part.hottest, points[i].temperature);
  }
  if (!(part.hottest > part.coldest) || !fit_line(points, count, &part.a, &part.b))
    return false;
  law->count = 1;
  law->parts[0] = part;
  return true;
}

// ------------------------------------------------------------------------------- oils and
// blends

static bool shares_add_up(const double *shares, size_t count) {
  double sum = 0.0;
  for (size_t i = 0; i < count; i++) {
    if (!pl_is_share(shares[i])) return false;
    sum += shares[i];
  }
  return fabs(sum - 1.0) <= PL_SHARES_TOLERANCE;
}

bool pl_oil_law_blend(const struct pl_oil_law *laws, const double *shares, size_t count,
                      struct pl_oil_law *law) {
  law->count = 0;
  if (!shares_add_up(shares, count)) return false;
  size_t parts = 0;
  for (size_t i = 0; i < count; i++) {
    if (laws[i].count == 0 || laws[i].count > PL_OIL_PARTS - parts) return false;
    for (size_t k = 0; k < laws[i].count; k++, parts++) {
      law->parts[parts] = laws[i].parts[k];
      law->parts[parts].weight *= shares[i];
    }
  }
  law->count = parts;
  return true;
}

static double part_viscosity(const struct pl_oil_part *part, double temperature) {
  switch (part->kind) {
  case PL_OIL_SILICONE: return pl_silicone_viscosity(part->a, part->b, temperature);
  case PL_OIL_WALTHER: return walther_viscosity(part->a, part->b, temperature);
  }
  return NAN;
}

double pl_oil_viscosity(const struct pl_oil_law *law, double temperature) {
  if (law->count == 0 || law->count > PL_OIL_PARTS) return NAN;
  // One oil skips the logarithm, so that it gives back its own input to the last digit.
  if (law->count == 1) return part_viscosity(&law->parts[0], temperature);
  double logarithm = 0.0;
  for (size_t i = 0; i < law->count; i++)
    logarithm += law->parts[i].weight * log(part_viscosity(&law->parts[i], temperature));
  return exp(logarithm);
}

double pl_oil_beyond_data(const struct pl_oil_law *law, double temperature) {
  if (law->count == 0 || law->count > PL_OIL_PARTS || isnan(temperature)) return NAN;
  double beyond = 0.0;
  for (size_t i = 0; i < law->count; i++) {
    beyond = fmax(beyond, law->parts[i].coldest - temperature);
    beyond = fmax(beyond, temperature - law->parts[i].hottest);
  }
  return beyond;
}

double pl_blend_viscosity(const double *viscosities, const double *shares, size_t count) {
  if (!shares_add_up(shares, count)) return NAN;
  double logarithm = 0.0;
  for (size_t i = 0; i < count; i++) {
    if (!pl_is_positive(viscosities[i])) return NAN;
    logarithm += shares[i] * log(viscosities[i]);
  }
  return exp(logarithm);
}

double pl_oil_density(double density_at_25, double expansion, double temperature) {
  const double growth = 1.0 + expansion * (temperature - PL_OIL_NAMED_AT);
  if (!pl_is_positive(density_at_25) || !pl_is_positive(growth)) return NAN;
  return density_at_25 / growth;
}

double pl_dynamic_viscosity(double kinematic_viscosity, double density) {
  if (!pl_is_positive(kinematic_viscosity) || !pl_is_positive(density)) return NAN;
  return kinematic_viscosity * density;
}
