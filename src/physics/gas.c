// SPDX-License-Identifier: GPL-3.0-or-later
// What the shaft displaces: trapped gas, air in the oil, room behind the bladder.
#include "numbers.h"
#include "pitleaf/physics.h"

static double shaft_area(double shaft) {
  return PL_PI / 4.0 * pl_square(shaft);
}

static bool gas_is_possible(const struct pl_gas_chamber *gas) {
  return pl_is_positive(gas->ambient) && gas->ambient + gas->charge > 0.0 &&
         isfinite(gas->charge) && pl_is_positive(gas->volume) &&
         pl_is_zero_or_more(gas->shaft) && pl_is_positive(gas->exponent);
}

// The volume left to the gas.
static double volume_left(const struct pl_gas_chamber *gas, double compression) {
  return gas->volume - shaft_area(gas->shaft) * compression;
}

double pl_gas_pressure(const struct pl_gas_chamber *gas, double compression) {
  if (!gas_is_possible(gas) || !isfinite(compression)) return NAN;
  const double left = volume_left(gas, compression);
  if (!(left > 0.0)) return INFINITY;
  return (gas->ambient + gas->charge) * pow(gas->volume / left, gas->exponent);
}

double pl_gas_force(const struct pl_gas_chamber *gas, double compression) {
  return (pl_gas_pressure(gas, compression) - gas->ambient) * shaft_area(gas->shaft);
}

double pl_gas_rate(const struct pl_gas_chamber *gas, double compression) {
  const double pressure = pl_gas_pressure(gas, compression);
  if (!isfinite(pressure)) return pressure;
  return gas->exponent * pressure * pl_square(shaft_area(gas->shaft)) /
         volume_left(gas, compression);
}

double pl_air_fraction(double air_volume, double oil_volume) {
  if (!pl_is_zero_or_more(air_volume) || !pl_is_positive(oil_volume)) return NAN;
  return air_volume / (air_volume + oil_volume);
}

double pl_emulsion_viscosity(double dynamic_viscosity, double air_fraction) {
  if (!pl_is_positive(dynamic_viscosity) || !pl_is_share(air_fraction)) return NAN;
  return dynamic_viscosity * (1.0 + air_fraction);
}

double pl_emulsion_density(double density, double air_fraction) {
  if (!pl_is_positive(density) || !pl_is_share(air_fraction)) return NAN;
  return density * (1.0 - air_fraction);
}

double pl_shaft_displacement(double shaft, double stroke) {
  if (!pl_is_zero_or_more(shaft) || !pl_is_zero_or_more(stroke)) return NAN;
  return shaft_area(shaft) * stroke;
}

double pl_oil_expansion(double oil_volume, double expansion, double build, double hot) {
  if (!pl_is_positive(oil_volume) || !pl_is_positive(build) || !pl_is_positive(hot)) return NAN;
  return oil_volume * expansion * (hot - build);
}

double pl_bladder_margin(double air_volume, double shaft_displacement, double oil_expansion) {
  if (!pl_is_zero_or_more(air_volume)) return NAN;
  return air_volume - shaft_displacement - oil_expansion;
}
