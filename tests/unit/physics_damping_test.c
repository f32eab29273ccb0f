// SPDX-License-Identifier: GPL-3.0-or-later
// Ports and pistons: laws that hold for any, one-way sets, leaks, and the ends of all ranges.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

#define CASES 1000

static const struct pl_fluid usual_fluid = {.dynamic_viscosity = 0.34, .density = 970.0};

static struct pl_port_set straight(double count, double diameter) {
  return (struct pl_port_set){count, diameter, diameter, PL_FLOW_BOTH, 0.0};
}

static struct pl_port_set one_way(double count, double diameter, enum pl_flow_way way,
                                  double opens_at) {
  return (struct pl_port_set){count, diameter, diameter, way, opens_at};
}

// A piston of a 12 mm bore without leak.
static struct pl_piston piston_of(size_t set_count, const struct pl_port_set *sets) {
  struct pl_piston piston = {.set_count = set_count,
                             .thickness = 2.4e-3,
                             .diameter = NAN,
                             .bore = 12e-3,
                             .shaft = 3e-3};
  for (size_t i = 0; i < set_count; i++) piston.sets[i] = sets[i];
  return piston;
}

// Straight two-way ports, sometimes with a leak.
static struct pl_piston random_straight_piston(struct pl_chance *chance) {
  struct pl_port_set sets[4];
  const size_t count = 1 + pl_chance_bits(chance) % 4;
  for (size_t i = 0; i < count; i++)
    sets[i] = straight((double)(1 + pl_chance_bits(chance) % 6),
                       pl_chance_scale(chance, 0.5e-3, 3e-3));
  struct pl_piston piston = piston_of(count, sets);
  if (pl_chance_bits(chance) % 2 == 0)
    piston.diameter = piston.bore - pl_chance_scale(chance, 2e-5, 2e-4);
  return piston;
}

static struct pl_fluid random_fluid(struct pl_chance *chance) {
  return (struct pl_fluid){.dynamic_viscosity = pl_chance_scale(chance, 0.02, 5.0),
                           .density = pl_chance_between(chance, 800.0, 1000.0)};
}

// ----------------------------------------------------------------------------------- one port

static void flow_undoes_pressure(void **state) {
  (void)state;
  struct pl_chance chance = {21};
  for (int i = 0; i < CASES; i++) {
    const struct pl_fluid fluid = random_fluid(&chance);
    const struct pl_port_law law =
        pl_port_law(pl_chance_scale(&chance, 1e-5, 1e-2), pl_chance_scale(&chance, 1e-4, 5e-3),
                    pl_chance_scale(&chance, 1e-4, 5e-3), &fluid);
    const double flow = pl_chance_scale(&chance, 1e-14, 1e-3);
    assert_near(pl_port_flow(&law, pl_port_pressure(&law, flow)), flow, 1e-13);
    assert_near(pl_port_pressure(&law, -flow), -pl_port_pressure(&law, flow), 0.0);
    assert_near(pl_port_flow(&law, -100.0), -pl_port_flow(&law, 100.0), 0.0);
  }
}

// A taper that is none is a straight port; turned round, it differs in the kinetic part alone.
static void tapers(void **state) {
  (void)state;
  const struct pl_port_law wide_in = pl_port_law(2e-3, 1.6e-3, 1.2e-3, &usual_fluid);
  const struct pl_port_law wide_out = pl_port_law(2e-3, 1.2e-3, 1.6e-3, &usual_fluid);
  assert_near(wide_in.linear, wide_out.linear, 1e-14);
  assert_near(wide_in.quadratic, wide_out.quadratic * pow(1.6 / 1.2, 4.0), 1e-12);
  const struct pl_port_law nearly =
      pl_port_law(2e-3, 1.2e-3 * (1.0 + 1e-9), 1.2e-3, &usual_fluid);
  const struct pl_port_law even = pl_port_law(2e-3, 1.2e-3, 1.2e-3, &usual_fluid);
  assert_near(nearly.linear, even.linear, 1e-8);
  assert_near(even.linear, 0.34 * (128.0 * 2e-3 / (PL_PI * 2.0736e-12) + 24.0 / 1.728e-9),
              1e-12);
}

static void impossible_ports_are_nan(void **state) {
  (void)state;
  const struct pl_fluid dry = {.dynamic_viscosity = 0.0, .density = 970.0};
  assert_nan(pl_port_law(-1e-3, 1e-3, 1e-3, &usual_fluid).linear);
  assert_nan(pl_port_law(2e-3, 0.0, 1e-3, &usual_fluid).linear);
  assert_nan(pl_port_law(2e-3, 1e-3, NAN, &usual_fluid).quadratic);
  assert_nan(pl_port_law(2e-3, 1e-3, 1e-3, &dry).linear);
}

// ------------------------------------------------------------------------------ laws of
// pistons

static void straight_ports_do_not_care_which_way(void **state) {
  (void)state;
  struct pl_chance chance = {22};
  for (int i = 0; i < CASES; i++) {
    const struct pl_piston piston = random_straight_piston(&chance);
    const struct pl_fluid fluid = random_fluid(&chance);
    const double speed = pl_chance_scale(&chance, 1e-6, 5.0);
    assert_near(pl_piston_force(&piston, &fluid, -speed),
                -pl_piston_force(&piston, &fluid, speed), 0.0);
    assert_near(pl_piston_slow_damping(&piston, &fluid, false),
                pl_piston_slow_damping(&piston, &fluid, true), 0.0);
  }
}

static void force_grows_with_speed_and_viscosity(void **state) {
  (void)state;
  struct pl_chance chance = {23};
  for (int i = 0; i < CASES; i++) {
    const struct pl_piston piston = random_straight_piston(&chance);
    struct pl_fluid fluid = random_fluid(&chance);
    const double speed = pl_chance_scale(&chance, 1e-6, 5.0);
    const double force = pl_piston_force(&piston, &fluid, speed);
    assert_true(force > 0.0);
    assert_true(pl_piston_force(&piston, &fluid, speed * 1.01) > force);
    // The secant never falls: the kinetic part only adds.
    assert_true(pl_piston_damping(&piston, &fluid, speed) >=
                pl_piston_slow_damping(&piston, &fluid, true) * (1.0 - 1e-12));
    fluid.dynamic_viscosity *= 1.01;
    assert_true(pl_piston_force(&piston, &fluid, speed) > force);
  }
}

// The flow that passes together is the sum of what passes through each at the same pressure.
static void parallel_paths_add(void **state) {
  (void)state;
  struct pl_chance chance = {24};
  for (int i = 0; i < CASES; i++) {
    const struct pl_piston piston = random_straight_piston(&chance);
    const struct pl_fluid fluid = random_fluid(&chance);
    const double speed = pl_chance_scale(&chance, 1e-6, 5.0);
    const double pressure = pl_piston_pressure(&piston, &fluid, speed);
    double flow = 0.0;
    for (size_t k = 0; k < piston.set_count; k++) {
      struct pl_port_state port;
      assert_true(pl_port_state(&piston, k, &fluid, pressure, &port));
      assert_near(port.viscous + port.kinetic, pressure, 1e-12);
      flow += piston.sets[k].count * port.flow;
    }
    double pumped = pl_pumped_area(&piston) * speed;
    if (!isnan(piston.diameter)) {
      // The rim: a slit that leaks, against the wall's drag; the piston displaces its own
      // section.
      const double c = 0.5 * (piston.bore - piston.diameter);
      const double rim = PL_PI * piston.diameter;
      flow += rim * c * c * c * pressure / (12.0 * fluid.dynamic_viscosity * piston.thickness) -
              rim * c * speed / 2.0;
      pumped = PL_PI / 4.0 * (piston.diameter * piston.diameter - piston.shaft * piston.shaft) *
               speed;
    }
    assert_near(flow, pumped, 1e-10);
  }
}

// Two sets of like ports are one set of both counts.
static void like_sets_are_one(void **state) {
  (void)state;
  const struct pl_port_set split[] = {straight(2.0, 1.3e-3), straight(4.0, 1.3e-3)};
  const struct pl_port_set whole[] = {straight(6.0, 1.3e-3)};
  const struct pl_piston two = piston_of(2, split);
  const struct pl_piston one = piston_of(1, whole);
  for (double speed = 1e-6; speed < 10.0; speed *= 2.0)
    assert_near(pl_piston_pressure(&two, &usual_fluid, speed),
                pl_piston_pressure(&one, &usual_fluid, speed), 1e-12);
}

// Reynolds' similarity: at lengths times s and speeds over s, pressures go with 1/s^2.
static void lengths_scale(void **state) {
  (void)state;
  struct pl_chance chance = {25};
  for (int i = 0; i < CASES; i++) {
    const struct pl_piston piston = random_straight_piston(&chance);
    const struct pl_fluid fluid = random_fluid(&chance);
    const double scale = pl_chance_scale(&chance, 0.1, 10.0);
    const double speed = pl_chance_scale(&chance, 1e-4, 5.0);
    struct pl_piston big = piston;
    big.thickness *= scale;
    big.diameter *= scale;
    big.bore *= scale;
    big.shaft *= scale;
    for (size_t k = 0; k < big.set_count; k++) {
      big.sets[k].diameter_cap_side *= scale;
      big.sets[k].diameter_shaft_side *= scale;
    }
    assert_near(pl_piston_pressure(&big, &fluid, speed / scale) * scale * scale,
                pl_piston_pressure(&piston, &fluid, speed), 1e-9);
  }
}

static void slow_damping_is_the_slope_at_zero(void **state) {
  (void)state;
  struct pl_chance chance = {26};
  for (int i = 0; i < CASES; i++) {
    const struct pl_piston piston = random_straight_piston(&chance);
    const struct pl_fluid fluid = random_fluid(&chance);
    assert_near(pl_piston_damping(&piston, &fluid, 1e-12),
                pl_piston_slow_damping(&piston, &fluid, true), 1e-7);
    assert_near(pl_piston_damping(&piston, &fluid, 0.0),
                pl_piston_slow_damping(&piston, &fluid, true), 0.0);
  }
}

// By hand: one port, so the quadratic gives the pressure.
static void single_port_in_closed_form(void **state) {
  (void)state;
  const struct pl_port_set sets[] = {straight(2.0, 1.6e-3)};
  const struct pl_piston piston = piston_of(1, sets);
  const struct pl_port_law law = pl_port_law(2.4e-3, 1.6e-3, 1.6e-3, &usual_fluid);
  const double area = PL_PI / 4.0 * (144e-6 - 9e-6);
  const double flow = area * 0.5 / 2.0;
  const double pressure = law.linear * flow + law.quadratic * flow * flow;
  assert_near(pl_pumped_area(&piston), area, 1e-14);
  assert_near(pl_piston_pressure(&piston, &usual_fluid, 0.5), pressure, 1e-13);
  assert_near(pl_piston_force(&piston, &usual_fluid, 0.5), pressure * area, 1e-13);
  assert_near(pl_piston_slow_damping(&piston, &usual_fluid, true),
              area * area * law.linear / 2.0, 1e-13);
  // It packs at the flow b/a through each port.
  assert_near(pl_pack_speed(&piston, &usual_fluid), 2.0 * law.linear / law.quadratic / area,
              1e-9);
}

// ------------------------------------------------------------------------------- one-way sets

static void one_way_sets_carry_their_own_way(void **state) {
  (void)state;
  const struct pl_port_set both[] = {straight(2.0, 1.2e-3),
                                     one_way(2.0, 1.5e-3, PL_FLOW_COMPRESSION, 0.0)};
  const struct pl_port_set closed[] = {straight(2.0, 1.2e-3)};
  const struct pl_port_set open[] = {straight(2.0, 1.2e-3), straight(2.0, 1.5e-3)};
  const struct pl_piston valved = piston_of(2, both);
  const struct pl_piston shut = piston_of(1, closed);
  const struct pl_piston free_piston = piston_of(2, open);
  for (double speed = 1e-6; speed < 5.0; speed *= 3.0) {
    assert_near(pl_piston_force(&valved, &usual_fluid, speed),
                pl_piston_force(&free_piston, &usual_fluid, speed), 1e-12);
    assert_near(pl_piston_force(&valved, &usual_fluid, -speed),
                pl_piston_force(&shut, &usual_fluid, -speed), 1e-12);
  }
  assert_near(pl_piston_slow_damping(&valved, &usual_fluid, true),
              pl_piston_slow_damping(&free_piston, &usual_fluid, true), 1e-12);
  assert_near(pl_piston_slow_damping(&valved, &usual_fluid, false),
              pl_piston_slow_damping(&shut, &usual_fluid, false), 1e-12);
}

static void a_valve_opens_at_its_pressure(void **state) {
  (void)state;
  const double opens_at = 4e3;
  const struct pl_port_set sets[] = {straight(2.0, 1.2e-3),
                                     one_way(2.0, 1.5e-3, PL_FLOW_COMPRESSION, opens_at)};
  const struct pl_port_set closed[] = {straight(2.0, 1.2e-3)};
  const struct pl_piston valved = piston_of(2, sets);
  const struct pl_piston shut = piston_of(1, closed);
  // The speed at which the other ports alone make the pressure that lifts it.
  const double lifting = pl_cavitation_speed(&shut, &usual_fluid, opens_at);
  for (double share = 0.1; share < 1.0; share += 0.1)
    assert_near(pl_piston_pressure(&valved, &usual_fluid, share * lifting),
                pl_piston_pressure(&shut, &usual_fluid, share * lifting), 1e-10);
  for (double share = 1.1; share < 50.0; share *= 1.3) {
    const double pressure = pl_piston_pressure(&valved, &usual_fluid, share * lifting);
    assert_true(pressure > opens_at);
    assert_true(pressure < pl_piston_pressure(&shut, &usual_fluid, share * lifting));
    struct pl_port_state port;
    assert_true(pl_port_state(&valved, 1, &usual_fluid, pressure, &port));
    assert_near(port.viscous + port.kinetic, pressure - opens_at, 1e-9);
  }
  struct pl_port_state port;
  assert_true(pl_port_state(&valved, 1, &usual_fluid, 0.9 * opens_at, &port));
  assert_within(port.flow, 0.0, 0.0);
  assert_true(pl_port_state(&valved, 1, &usual_fluid, -10.0 * opens_at, &port));
  assert_within(port.flow, 0.0, 0.0);
  assert_within(port.reynolds, 0.0, 0.0);
  assert_within(port.viscous, 0.0, 0.0);
  assert_within(port.kinetic, 0.0, 0.0);
  // One that waits for nothing opens at any pressure of its side.
  const struct pl_port_set light[] = {one_way(2.0, 1.5e-3, PL_FLOW_COMPRESSION, 0.0)};
  const struct pl_piston easy = piston_of(1, light);
  assert_true(pl_port_state(&easy, 0, &usual_fluid, 0.01, &port));
  assert_near(port.viscous + port.kinetic, 0.01, 1e-12);
  assert_true(pl_port_state(&easy, 0, &usual_fluid, -0.01, &port));
  assert_within(port.flow, 0.0, 0.0);
}

static void a_waiting_valve_alone(void **state) {
  (void)state;
  const struct pl_port_set sets[] = {one_way(2.0, 1.5e-3, PL_FLOW_COMPRESSION, 4e3)};
  const struct pl_piston piston = piston_of(1, sets);
  assert_true(isinf(pl_piston_slow_damping(&piston, &usual_fluid, true)));
  assert_near(pl_piston_pressure(&piston, &usual_fluid, 1e-9), 4e3, 1e-4);
  // No way back: hydraulic lock.
  assert_true(isinf(pl_piston_slow_damping(&piston, &usual_fluid, false)));
  assert_true(pl_piston_pressure(&piston, &usual_fluid, -0.1) == -INFINITY);
  assert_within(pl_piston_pressure(&piston, &usual_fluid, 0.0), 0.0, 0.0);
  // It does not open below 4 kPa, so it never lets the rod side fall that far at any speed.
  assert_within(pl_cavitation_speed(&piston, &usual_fluid, 3e3), 0.0, 0.0);
}

static void tapered_ports_prefer_a_way(void **state) {
  (void)state;
  // Wide toward the cap: in compression the oil leaves at the narrow end and is faster there.
  const struct pl_port_set sets[] = {{2.0, 1.8e-3, 1.4e-3, PL_FLOW_BOTH, 0.0}};
  const struct pl_piston piston = piston_of(1, sets);
  assert_true(pl_piston_force(&piston, &usual_fluid, 0.5) >
              -pl_piston_force(&piston, &usual_fluid, -0.5));
  assert_near(pl_piston_slow_damping(&piston, &usual_fluid, true),
              pl_piston_slow_damping(&piston, &usual_fluid, false), 1e-12);
}

// ------------------------------------------------------------------------------ leak and
// limits

static void a_leak_softens_and_closes(void **state) {
  (void)state;
  const struct pl_port_set sets[] = {straight(2.0, 1.6e-3)};
  struct pl_piston piston = piston_of(1, sets);
  const double tight = pl_piston_force(&piston, &usual_fluid, 0.1);
  double before = tight;
  for (double clearance = 1e-6; clearance < 2e-4; clearance *= 2.0) {
    piston.diameter = piston.bore - 2.0 * clearance;
    const double force = pl_piston_force(&piston, &usual_fluid, 0.1);
    assert_true(force < before);
    before = force;
  }
  piston.diameter = piston.bore;
  assert_near(pl_piston_force(&piston, &usual_fluid, 0.1), tight, 1e-14);
}

// At the packing speed, over all paths, the kinetic power equals the viscous; below it is less.
static void packing_splits_the_power(void **state) {
  (void)state;
  struct pl_chance chance = {27};
  int packed = 0;
  for (int i = 0; i < CASES; i++) {
    struct pl_piston piston = random_straight_piston(&chance);
    piston.diameter = NAN;
    const struct pl_fluid fluid = random_fluid(&chance);
    const double speed = pl_pack_speed(&piston, &fluid);
    assert_true(speed > 0.0);
    if (!isfinite(speed)) continue;
    packed++;
    double kinetic = 0.0;
    double viscous = 0.0;
    const double pressure = pl_piston_pressure(&piston, &fluid, speed);
    for (size_t k = 0; k < piston.set_count; k++) {
      struct pl_port_state port;
      assert_true(pl_port_state(&piston, k, &fluid, pressure, &port));
      kinetic += piston.sets[k].count * port.flow * port.kinetic;
      viscous += piston.sets[k].count * port.flow * port.viscous;
    }
    assert_near(kinetic, viscous, 1e-9);
  }
  assert_int_equal(packed, CASES);
}

static void what_never_packs(void **state) {
  (void)state;
  const struct pl_port_set sets[] = {straight(2.0, 1.6e-3)};
  struct pl_piston piston = piston_of(1, sets);
  const struct pl_fluid weightless = {.dynamic_viscosity = 0.34, .density = 0.0};
  assert_true(isinf(pl_pack_speed(&piston, &weightless)));
  piston.diameter = 10e-3; // a rim so open that the leak takes nearly all
  assert_true(isinf(pl_pack_speed(&piston, &usual_fluid)));
  piston.diameter = NAN;
  piston.set_count = 0;
  assert_true(isinf(pl_pack_speed(&piston, &usual_fluid)));
  assert_within(pl_cavitation_speed(&piston, &usual_fluid, 1e5), 0.0, 0.0);
}

static void cavitation_is_where_the_pressure_is_reached(void **state) {
  (void)state;
  struct pl_chance chance = {28};
  for (int i = 0; i < CASES; i++) {
    const struct pl_piston piston = random_straight_piston(&chance);
    const struct pl_fluid fluid = random_fluid(&chance);
    const double speed = pl_cavitation_speed(&piston, &fluid, PL_STANDARD_ATMOSPHERE);
    assert_near(pl_piston_pressure(&piston, &fluid, speed), PL_STANDARD_ATMOSPHERE, 1e-10);
  }
}

// A state worked by hand: Re = rho u d/mu and 8 u/d at the narrower end.
static void port_state_by_hand(void **state) {
  (void)state;
  const struct pl_port_set sets[] = {{1.0, 2e-3, 1e-3, PL_FLOW_BOTH, 0.0}};
  const struct pl_piston piston = piston_of(1, sets);
  const struct pl_port_law law = pl_port_law(2.4e-3, 2e-3, 1e-3, &usual_fluid);
  const double speed = 3.0;
  const double flow = speed * PL_PI / 4.0 * 1e-6;
  struct pl_port_state port;
  assert_true(pl_port_state(&piston, 0, &usual_fluid, pl_port_pressure(&law, flow), &port));
  assert_near(port.flow, flow, 1e-12);
  assert_near(port.mean_speed, speed, 1e-12);
  assert_near(port.reynolds, 970.0 * 3.0 * 1e-3 / 0.34, 1e-12);
  assert_near(port.shear_rate, 24e3, 1e-12);
  assert_near(port.kinetic, law.quadratic * flow * flow, 1e-12);
  assert_false(pl_port_state(&piston, 1, &usual_fluid, 1e3, &port));
  assert_nan(port.flow);
  assert_false(pl_port_state(&piston, 0, &usual_fluid, NAN, &port));
}

// Speeds from 1e-9 to 1e3 mm/s, ports from 0.1 to 5 mm, oils from 1 to 1e6 cSt.
static void ends_of_all_ranges(void **state) {
  (void)state;
  const double diameters[] = {0.1e-3, 0.5e-3, 1.3e-3, 5e-3};
  for (size_t a = 0; a < 4; a++) {
    for (size_t b = 0; b < 4; b++) {
      const struct pl_port_set sets[] = {straight(1.0, diameters[a]),
                                         {6.0, diameters[b], diameters[a], PL_FLOW_BOTH, 0.0},
                                         one_way(2.0, diameters[b], PL_FLOW_REBOUND, 1e4)};
      struct pl_piston piston = piston_of(3, sets);
      for (double viscosity = 1e-6; viscosity < 2.0; viscosity *= 10.0) {
        const struct pl_fluid fluid = {.dynamic_viscosity = 970.0 * viscosity,
                                       .density = 970.0};
        piston.diameter = viscosity > 1e-3 ? 11.9e-3 : NAN;
        double before = 0.0;
        for (double speed = 1e-12; speed < 2.0; speed *= 10.0) {
          const double out = pl_piston_pressure(&piston, &fluid, -speed);
          const double in = pl_piston_pressure(&piston, &fluid, speed);
          assert_true(isfinite(in) && isfinite(out));
          assert_true(in > before && out < 0.0);
          before = in;
        }
        assert_true(pl_pack_speed(&piston, &fluid) > 0.0);
        assert_true(pl_cavitation_speed(&piston, &fluid, 1e5) > 0.0);
      }
    }
  }
}

static void all_sets_in_use(void **state) {
  (void)state;
  struct pl_port_set sets[PL_PORT_SETS];
  for (size_t i = 0; i < PL_PORT_SETS; i++) sets[i] = straight(1.0, 1e-3);
  const struct pl_port_set whole[] = {straight(PL_PORT_SETS, 1e-3)};
  struct pl_piston many = piston_of(PL_PORT_SETS, sets);
  const struct pl_piston one = piston_of(1, whole);
  assert_near(pl_piston_force(&many, &usual_fluid, 0.3),
              pl_piston_force(&one, &usual_fluid, 0.3), 1e-12);
  struct pl_port_state port;
  assert_true(pl_port_state(&many, PL_PORT_SETS - 1, &usual_fluid, 1e3, &port));
  assert_false(pl_port_state(&many, PL_PORT_SETS, &usual_fluid, 1e3, &port));
  many.set_count = 5; // what lies behind the sets in use is none
  assert_true(pl_port_state(&many, 4, &usual_fluid, 1e3, &port));
  assert_false(pl_port_state(&many, 5, &usual_fluid, 1e3, &port));
  many.set_count = PL_PORT_SETS + 1;
  assert_nan(pl_piston_force(&many, &usual_fluid, 0.3));
  assert_false(pl_port_state(&many, PL_PORT_SETS, &usual_fluid, 1e3, &port));
}

static void impossible_pistons_are_nan(void **state) {
  (void)state;
  const struct pl_port_set sets[] = {straight(2.0, 1.6e-3)};
  const struct pl_piston good = piston_of(1, sets);
  const struct pl_fluid thin_air = {.dynamic_viscosity = NAN, .density = 970.0};
  assert_nan(pl_piston_pressure(&good, &thin_air, 0.1));
  assert_nan(pl_piston_pressure(&good, &usual_fluid, NAN));
  assert_nan(pl_piston_pressure(&good, &usual_fluid, INFINITY));
  assert_nan(pl_cavitation_speed(&good, &usual_fluid, -1.0));
  // A leak alone wants the oil and the piston's length, too.
  struct pl_piston leaking = good;
  leaking.set_count = 0;
  leaking.diameter = 11.9e-3;
  assert_true(pl_piston_pressure(&leaking, &usual_fluid, 0.1) > 0.0);
  static const struct pl_fluid no_fluids[] = {
      {0.0, 970.0}, {-0.3, 970.0}, {0.3, -1.0}, {0.3, NAN}};
  for (size_t i = 0; i < sizeof no_fluids / sizeof no_fluids[0]; i++)
    assert_nan(pl_piston_pressure(&leaking, &no_fluids[i], 0.1));
  leaking.thickness = 0.0;
  assert_nan(pl_piston_pressure(&leaking, &usual_fluid, 0.1));
  struct pl_piston bad = good;
  bad.shaft = 12e-3; // as wide as the bore
  assert_nan(pl_piston_pressure(&bad, &usual_fluid, 0.1));
  assert_nan(pl_piston_force(&bad, &usual_fluid, 0.1));
  assert_nan(pl_pumped_area(&bad));
  bad = good;
  bad.diameter = 12.1e-3;
  assert_nan(pl_piston_slow_damping(&bad, &usual_fluid, true));
  bad.diameter = 3e-3; // as narrow as the shaft
  assert_nan(pl_piston_slow_damping(&bad, &usual_fluid, true));
  bad = good;
  bad.sets[0].diameter_cap_side = -1e-3;
  assert_nan(pl_piston_damping(&bad, &usual_fluid, 0.1));
  bad = good;
  bad.sets[0].count = -1.0;
  assert_nan(pl_pack_speed(&bad, &usual_fluid));
  bad = good;
  bad.thickness = NAN;
  assert_nan(pl_piston_pressure(&bad, &usual_fluid, 0.1));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(flow_undoes_pressure),
      cmocka_unit_test(tapers),
      cmocka_unit_test(impossible_ports_are_nan),
      cmocka_unit_test(straight_ports_do_not_care_which_way),
      cmocka_unit_test(force_grows_with_speed_and_viscosity),
      cmocka_unit_test(parallel_paths_add),
      cmocka_unit_test(like_sets_are_one),
      cmocka_unit_test(lengths_scale),
      cmocka_unit_test(slow_damping_is_the_slope_at_zero),
      cmocka_unit_test(single_port_in_closed_form),
      cmocka_unit_test(one_way_sets_carry_their_own_way),
      cmocka_unit_test(a_valve_opens_at_its_pressure),
      cmocka_unit_test(a_waiting_valve_alone),
      cmocka_unit_test(tapered_ports_prefer_a_way),
      cmocka_unit_test(a_leak_softens_and_closes),
      cmocka_unit_test(packing_splits_the_power),
      cmocka_unit_test(what_never_packs),
      cmocka_unit_test(cavitation_is_where_the_pressure_is_reached),
      cmocka_unit_test(port_state_by_hand),
      cmocka_unit_test(ends_of_all_ranges),
      cmocka_unit_test(all_sets_in_use),
      cmocka_unit_test(impossible_pistons_are_nan),
  };
  return cmocka_run_group_tests_name("damping", tests, NULL, NULL);
}
