// SPDX-License-Identifier: GPL-3.0-or-later
// Ports, clearances and the network of paths against published flows and a numerical library.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_roots.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

#define PSI  6894.757293168361
#define FOOT 0.3048

static double circle(double diameter) {
  return PL_PI / 4.0 * diameter * diameter;
}

// Massey, Mechanics of Fluids, dashpot example, p. 209: piston 50 mm, bore 50.4 mm, length
// 130 mm, 1.4 MPa, relative density 0.87, 1e-4 m2/s. It prints 0.0065 m/s. The five digits are
// recomputed from the dashpot's formula, F = 3 pi mu L d^3 v (1 + 2 c/d)/(4 c^3).
static void massey_dashpot(void **state) {
  (void)state;
  const struct pl_piston piston = {
      .thickness = 130e-3, .diameter = 50e-3, .bore = 50.4e-3, .shaft = 0.0};
  const struct pl_fluid fluid = {.dynamic_viscosity = 870.0 * 1e-4, .density = 870.0};
  const double speed = pl_cavitation_speed(&piston, &fluid, 1.4e6);
  assert_published("Massey p. 209: dashpot speed, m/s", speed, 0.0065, 0.01);
  assert_published("Massey p. 209: the same, five digits (recomputed)", speed, 0.0065494, 1e-5);
  assert_near(pl_piston_pressure(&piston, &fluid, speed), 1.4e6, 1e-10);
  assert_near(pl_piston_pressure(&piston, &fluid, -speed), -1.4e6, 1e-10);
}

// Dagan, Weinbaum & Pfeffer, J. Fluid Mech. 115 (1982) 505: a hole of finite length in creeping
// flow. The formula is from memory; it agrees within 0.5 % with a Stokes solution.
static void dagan_weinbaum_pfeffer(void **state) {
  (void)state;
  const struct pl_fluid creeping = {.dynamic_viscosity = 0.1, .density = 0.0};
  const struct pl_port_law law = pl_port_law(2e-3, 1e-3, 1e-3, &creeping);
  assert_published("Dagan, Weinbaum & Pfeffer 1982: loss, Pa (from memory)",
                   pl_port_pressure(&law, 1e-6), 10548.733, 1e-6);
}

// Finlayson, University of Washington, course notes on orifices: the loss in dynamic pressures
// times the Reynolds number, for a thin and a thicker orifice, by finite elements.
static void finlayson_orifices(void **state) {
  (void)state;
  static const struct {
    const char *what;
    double slenderness, loss;
  } rows[] = {{"Finlayson: loss over viscous scale, L/D 0.10", 0.10, 41.8},
              {"Finlayson: loss over viscous scale, L/D 0.37", 0.37, 57.7}};
  const double viscosity = 0.1;
  const double diameter = 1e-3;
  const struct pl_fluid creeping = {.dynamic_viscosity = viscosity, .density = 0.0};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const struct pl_port_law law =
        pl_port_law(rows[i].slenderness * diameter, diameter, diameter, &creeping);
    const double mean_speed = 0.01;
    const double pressure = pl_port_pressure(&law, mean_speed * circle(diameter));
    assert_published(rows[i].what, 2.0 * pressure * diameter / (viscosity * mean_speed),
                     rows[i].loss, 0.07);
  }
}

// Lichtarowicz, Duggins & Markland, J. Mech. Eng. Sci. 7 (1965) 210: discharge coefficient of a
// long orifice. Its Reynolds number is by sqrt(2 dp/rho), which is the mean speed over Cd.
static double long_orifice_coefficient(double slenderness, double reynolds_h) {
  const double ultimate = 0.827 - 0.0085 * slenderness;
  const double bend = log10(0.00015 * reynolds_h);
  return 1.0 / (1.0 / ultimate + 20.0 / reynolds_h * (1.0 + 2.25 * slenderness) -
                0.005 * slenderness / (1.0 + 7.5 * bend * bend));
}

struct orifice {
  double slenderness;
  double reynolds; // by mean speed
};

static double coefficient_miss(double coefficient, void *context) {
  const struct orifice *orifice = context;
  return coefficient -
         long_orifice_coefficient(orifice->slenderness, orifice->reynolds / coefficient);
}

static double published_coefficient(struct orifice *orifice) {
  gsl_function function = {.function = coefficient_miss, .params = orifice};
  gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
  gsl_root_fsolver_set(solver, &function, 0.05, 1.0);
  for (int i = 0; i < 60; i++) gsl_root_fsolver_iterate(solver);
  const double root = gsl_root_fsolver_root(solver);
  gsl_root_fsolver_free(solver);
  return root;
}

static void lichtarowicz_band(void **state) {
  (void)state;
  const double diameter = 1.3e-3;
  const struct pl_fluid fluid = {.dynamic_viscosity = 0.05, .density = 970.0};
  double worst = 0.0;
  for (double slenderness = 2.0; slenderness <= 4.0; slenderness += 0.25) {
    const struct pl_port_law law =
        pl_port_law(slenderness * diameter, diameter, diameter, &fluid);
    for (double reynolds = 20.0; reynolds <= 350.0; reynolds += 5.0) {
      const double speed = reynolds * fluid.dynamic_viscosity / (fluid.density * diameter);
      const double pressure = pl_port_pressure(&law, speed * circle(diameter));
      const double coefficient = speed / sqrt(2.0 * pressure / fluid.density);
      struct orifice orifice = {slenderness, reynolds};
      const double off = coefficient - published_coefficient(&orifice);
      assert_within(off, 0.0, 0.03);
      if (fabs(off) > fabs(worst)) worst = off;
    }
  }
  assert_published_within("Lichtarowicz et al. 1965: worst Cd difference in the band", worst,
                          0.0, 0.03);
}

// Brodkey & Hershey, capillary example: d 0.8265 mm, 28.36 cm3/min, 0.9364 psi/ft give
// 0.5135 cP. The capillary is long: over a kilometre the end losses vanish.
static void brodkey_hershey_capillary(void **state) {
  (void)state;
  const struct pl_fluid fluid = {.dynamic_viscosity = 0.5135e-3, .density = 0.0};
  const double length = 1000.0;
  const struct pl_port_law law = pl_port_law(length, 0.8265e-3, 0.8265e-3, &fluid);
  const double gradient = pl_port_pressure(&law, 28.36e-6 / 60.0) / length;
  assert_published("Brodkey & Hershey: gradient, psi/ft", gradient / (PSI / FOOT), 0.9364,
                   0.001);
}

// -------------------------------------------------------------------------------- tapered tube

struct taper {
  double length, from, to, viscosity;
};

// Hagen-Poiseuille per length at a distance along the taper.
static double straight_law(double along, void *context) {
  const struct taper *taper = context;
  const double diameter = taper->from + (taper->to - taper->from) * along / taper->length;
  return 128.0 * taper->viscosity / (PL_PI * pow(diameter, 4.0));
}

// The law of a tapered tube is the straight law summed along it.
static void tapered_by_quadrature(void **state) {
  (void)state;
  struct pl_chance chance = {1};
  gsl_integration_workspace *workspace = gsl_integration_workspace_alloc(1000);
  for (int i = 0; i < 200; i++) {
    struct taper taper = {.length = pl_chance_scale(&chance, 1e-4, 1e-2),
                          .from = pl_chance_scale(&chance, 3e-4, 3e-3),
                          .to = pl_chance_scale(&chance, 3e-4, 3e-3),
                          .viscosity = pl_chance_scale(&chance, 1e-2, 10.0)};
    const struct pl_fluid creeping = {.dynamic_viscosity = taper.viscosity, .density = 0.0};
    const gsl_function function = {.function = straight_law, .params = &taper};
    double along;
    double error;
    assert_int_equal(gsl_integration_qag(&function, 0.0, taper.length, 0.0, 1e-12, 1000,
                                         GSL_INTEG_GAUSS61, workspace, &along, &error),
                     GSL_SUCCESS);
    const double ends =
        taper.viscosity * (12.0 / pow(taper.from, 3.0) + 12.0 / pow(taper.to, 3.0));
    assert_near(pl_port_law(taper.length, taper.from, taper.to, &creeping).linear, along + ends,
                1e-9);
  }
  gsl_integration_workspace_free(workspace);
}

// ----------------------------------------------------------------------- the network by a
// library

struct demand {
  const struct pl_piston *piston;
  const struct pl_fluid *fluid;
  double speed;
};

// One port's flow under a pressure, the laws written out anew.
static double flow_through(const struct pl_port_set *set, const struct demand *demand,
                           double pressure) {
  const bool compression = demand->speed > 0.0;
  if (set->way == PL_FLOW_COMPRESSION && !compression) return 0.0;
  if (set->way == PL_FLOW_REBOUND && compression) return 0.0;
  const double over = set->way == PL_FLOW_BOTH ? pressure : pressure - set->opens_at;
  if (over <= 0.0) return 0.0;
  const double d1 = set->diameter_cap_side;
  const double d2 = set->diameter_shaft_side;
  const double out = compression ? d2 : d1;
  const double length = demand->piston->thickness;
  const double mu = demand->fluid->dynamic_viscosity;
  const double b = 128.0 * mu * length * (d1 * d1 + d1 * d2 + d2 * d2) /
                       (3.0 * PL_PI * pow(d1, 3.0) * pow(d2, 3.0)) +
                   mu * (12.0 / pow(d1, 3.0) + 12.0 / pow(d2, 3.0));
  const double a = 1.8 * demand->fluid->density / 2.0 / pow(circle(out), 2.0);
  return 2.0 * over / (b + sqrt(b * b + 4.0 * a * over));
}

static double flow_miss(double logarithm, void *context) {
  const struct demand *demand = context;
  const struct pl_piston *piston = demand->piston;
  const double pressure = exp(logarithm);
  double flow = 0.0;
  for (size_t i = 0; i < piston->set_count; i++)
    flow += piston->sets[i].count * flow_through(&piston->sets[i], demand, pressure);
  // Without a clearance the piston sweeps the bore, with one its own section.
  double sweeps = piston->bore;
  if (!isnan(piston->diameter)) {
    const double c = (piston->bore - piston->diameter) / 2.0;
    sweeps = piston->diameter;
    flow += PL_PI * piston->diameter * pow(c, 3.0) * pressure /
                (12.0 * demand->fluid->dynamic_viscosity * piston->thickness) -
            PL_PI * piston->diameter * c * fabs(demand->speed) / 2.0;
  }
  return flow - (circle(sweeps) - circle(piston->shaft)) * fabs(demand->speed);
}

static double pressure_by_library(struct demand *demand) {
  gsl_function function = {.function = flow_miss, .params = demand};
  gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
  assert_int_equal(gsl_root_fsolver_set(solver, &function, log(1e-6), log(1e15)), GSL_SUCCESS);
  for (int i = 0; i < 500; i++) {
    gsl_root_fsolver_iterate(solver);
    const double low = gsl_root_fsolver_x_lower(solver);
    const double high = gsl_root_fsolver_x_upper(solver);
    if (gsl_root_test_interval(low, high, 1e-14, 0.0) == GSL_SUCCESS) break;
  }
  const double root = exp(gsl_root_fsolver_root(solver));
  gsl_root_fsolver_free(solver);
  return root;
}

static struct pl_piston random_piston(struct pl_chance *chance) {
  struct pl_piston piston = {.set_count = 1 + pl_chance_below(chance, 5),
                             .thickness = pl_chance_between(chance, 1e-3, 4e-3),
                             .diameter = NAN,
                             .bore = pl_chance_between(chance, 10e-3, 16e-3),
                             .shaft = pl_chance_between(chance, 2e-3, 4e-3)};
  if (pl_chance_bits(chance) % 2 == 0)
    piston.diameter = piston.bore - pl_chance_scale(chance, 1e-5, 3e-4);
  for (size_t i = 0; i < piston.set_count; i++) {
    struct pl_port_set *set = &piston.sets[i];
    set->count = (double)(1 + pl_chance_bits(chance) % 6);
    set->diameter_cap_side = pl_chance_scale(chance, 5e-4, 3e-3);
    set->diameter_shaft_side = pl_chance_bits(chance) % 2 == 0
                                   ? set->diameter_cap_side
                                   : pl_chance_scale(chance, 5e-4, 3e-3);
    // The first set goes both ways, so that there always is a way.
    set->way = i == 0 ? PL_FLOW_BOTH : (enum pl_flow_way)(pl_chance_bits(chance) % 3);
    set->opens_at = pl_chance_bits(chance) % 2 == 0 ? 0.0 : pl_chance_scale(chance, 1e2, 1e5);
  }
  return piston;
}

// The GNU Scientific Library's Brent solver, on laws written out anew above, is the referee.
static void network_by_library(void **state) {
  (void)state;
  struct pl_chance chance = {2};
  double worst = 0.0;
  for (int i = 0; i < 3000; i++) {
    const struct pl_piston piston = random_piston(&chance);
    const struct pl_fluid fluid = {.dynamic_viscosity = pl_chance_scale(&chance, 0.02, 2.0),
                                   .density = pl_chance_between(&chance, 800.0, 1000.0)};
    const double size = pl_chance_scale(&chance, 1e-3, 3.0);
    struct demand demand = {&piston, &fluid, pl_chance_bits(&chance) % 2 == 0 ? size : -size};
    const double expected = copysign(pressure_by_library(&demand), demand.speed);
    const double got = pl_piston_pressure(&piston, &fluid, demand.speed);
    assert_near(got, expected, 1e-10);
    worst = fmax(worst, fabs(got / expected - 1.0));
  }
  assert_published_within("GSL Brent: worst of 3000 networks, relative", worst, 0.0, 1e-10);
}

int main(void) {
  gsl_set_error_handler_off();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(massey_dashpot),
      cmocka_unit_test(dagan_weinbaum_pfeffer),
      cmocka_unit_test(finlayson_orifices),
      cmocka_unit_test(lichtarowicz_band),
      cmocka_unit_test(brodkey_hershey_capillary),
      cmocka_unit_test(tapered_by_quadrature),
      cmocka_unit_test(network_by_library),
  };
  return cmocka_run_group_tests_name("flow, from outside", tests, NULL, NULL);
}
