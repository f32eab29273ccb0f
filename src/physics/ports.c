// SPDX-License-Identifier: GPL-3.0-or-later
// One port of a piston: the pressure that a flow costs.
#include "numbers.h"
#include "pitleaf/physics.h"

struct pl_port_law pl_port_law(double thickness, double inlet, double outlet,
                               const struct pl_fluid *fluid) {
  if (!pl_is_zero_or_more(thickness) || !pl_is_positive(inlet) || !pl_is_positive(outlet) ||
      !pl_is_positive(fluid->dynamic_viscosity) || !pl_is_zero_or_more(fluid->density))
    return (struct pl_port_law){NAN, NAN};
  const double along = 128.0 * thickness *
                       (pl_square(inlet) + inlet * outlet + pl_square(outlet)) /
                       (3.0 * PL_PI * pl_cube(inlet) * pl_cube(outlet));
  const double ends = 12.0 / pl_cube(inlet) + 12.0 / pl_cube(outlet);
  const double speed_per_flow = 4.0 / (PL_PI * pl_square(outlet));
  return (struct pl_port_law){.linear = fluid->dynamic_viscosity * (along + ends),
                              .quadratic = PL_PORT_KINETIC_FACTOR * 0.5 * fluid->density *
                                           pl_square(speed_per_flow)};
}

double pl_port_pressure(const struct pl_port_law *law, double flow) {
  return (law->linear + law->quadratic * fabs(flow)) * flow;
}

double pl_port_flow(const struct pl_port_law *law, double pressure) {
  // The root of the quadratic in the form that loses no digits when the kinetic part is small.
  const double discriminant = pl_square(law->linear) + 4.0 * law->quadratic * fabs(pressure);
  return 2.0 * pressure / (law->linear + sqrt(discriminant));
}
