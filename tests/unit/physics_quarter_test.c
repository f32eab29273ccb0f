// SPDX-License-Identifier: GPL-3.0-or-later
// A corner at one moment, state by state: Newton's laws, energy, when the shaft starts, where
// it rests.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "corner.h"
#include "near.h"
#include "physics/quarter_car.h"

static const struct pl_bumps level = {.count = 0};

static struct pl_quarter quarter_of(const struct pl_corner *corner) {
  struct pl_quarter quarter;
  enum pl_simulation_status status;
  assert_true(pl_quarter_of(corner, &level, &quarter, &status));
  return quarter;
}

// ---------------------------------------------------------------- states by chance

/// A corner with a charge, friction and ports of every kind, in some state and mode that go
/// together; over a bump.
struct moment {
  struct pl_test_corner test;
  struct pl_bumps bumps;
  struct pl_quarter quarter;
  double time;
  double state[QUANTITIES];
};

static void random_moment(struct pl_chance *chance, struct moment *moment) {
  *moment = (struct moment){.bumps = {.height = 8e-3, .length = 0.1, .speed = 4, .count = 1}};
  pl_buggy_corner(&moment->test);
  struct pl_corner *const corner = &moment->test.corner;
  corner->gas.charge = 2e4;
  corner->gas.exponent = pl_chance_below(chance, 3) == 0 ? 1 : 1.4;
  corner->has_gas = pl_chance_below(chance, 4) != 0;
  corner->seal_friction = 0.3;
  corner->piston.set_count = 2;
  corner->piston.sets[1] = corner->piston.sets[0];
  corner->piston.sets[1].way = PL_FLOW_COMPRESSION;
  enum pl_simulation_status status;
  assert_true(pl_quarter_of(corner, &moment->bumps, &moment->quarter, &status));
  moment->time = pl_chance_between(chance, 1e-3, 24e-3);
  struct pl_mode *const mode = &moment->quarter.mode;
  mode->held = pl_chance_below(chance, 3) == 0;
  mode->grounded = pl_chance_below(chance, 3) == 0;
  mode->torn = pl_chance_below(chance, 3) == 0;
  mode->way = pl_chance_below(chance, 2) == 0 ? 1 : -1;
  double *const state = moment->state;
  const double travel = pl_chance_between(chance, corner->path.lowest, moment->quarter.end);
  state[CHASSIS] = mode->grounded ? 0 : pl_chance_between(chance, 0, 30e-3);
  state[WHEEL] = state[CHASSIS] + travel;
  state[CHASSIS_SPEED] = mode->grounded ? 0 : pl_chance_between(chance, -1, 1);
  state[WHEEL_SPEED] = state[CHASSIS_SPEED];
  if (!mode->held) state[WHEEL_SPEED] += mode->way * pl_chance_between(chance, 0.01, 2);
  state[CAVITY] = mode->torn ? pl_chance_between(chance, 1e-9, 2e-7) : 0;
  double rise;
  mode->touches = state[WHEEL] < moment->quarter.free_radius +
                                     pl_quarter_road(&moment->quarter, moment->time, &rise);
}

// Newton's laws: what accelerates both masses comes from outside, and what accelerates one of
// them is what the shock and whatever holds it exert on it.
static void newton(void **state) {
  (void)state;
  struct pl_chance chance = {11};
  for (int i = 0; i < 500; i++) {
    struct moment moment;
    struct pl_forces forces;
    random_moment(&chance, &moment);
    const struct pl_corner *const corner = &moment.test.corner;
    const struct pl_mode *const mode = &moment.quarter.mode;
    const double ms = corner->sprung_mass;
    const double mu = corner->unsprung_mass;
    assert_true(pl_forces_of(&moment.quarter, moment.time, moment.state, &forces));
    const double sprung = ms * forces.chassis_acceleration;
    const double unsprung = mu * forces.wheel_acceleration;
    const double weight = (ms + mu) * corner->gravity;
    const double size = 1e-12 * (fabs(forces.shock) + fabs(forces.tyre) + weight);
    assert_within(sprung + unsprung, forces.tyre + forces.bearing - weight, size);
    assert_within(sprung + ms * corner->gravity - forces.bearing,
                  forces.shock * forces.ratio + forces.holding, size);
    assert_true(!mode->held || forces.chassis_acceleration == forces.wheel_acceleration);
    assert_true(!mode->grounded || forces.chassis_acceleration == 0);
    assert_true(mode->held || forces.holding == 0);
    assert_true(mode->grounded || forces.bearing == 0);
  }
}

// The shock is its springs, its gas, its oil and its friction, each by its own function.
static void parts_of_the_shock(void **state) {
  (void)state;
  struct pl_chance chance = {12};
  for (int i = 0; i < 500; i++) {
    struct moment moment;
    struct pl_forces forces;
    random_moment(&chance, &moment);
    const struct pl_corner *const corner = &moment.test.corner;
    const struct pl_mode *const mode = &moment.quarter.mode;
    assert_true(pl_forces_of(&moment.quarter, moment.time, moment.state, &forces));
    const double shaft = PL_PI / 4 * corner->piston.shaft * corner->piston.shaft;
    const double area = pl_pumped_area(&corner->piston);
    const double taken = shaft * forces.compression + moment.state[CAVITY];
    const double share = corner->has_gas ? 1 - taken / corner->gas.volume : 1;
    const double charged = corner->ambient + (corner->has_gas ? corner->gas.charge : 0);
    assert_near(forces.cap, charged * pow(share, -corner->gas.exponent), 1e-12);
    const double speed = forces.shaft_speed;
    double across = pl_piston_pressure(&corner->piston, &corner->fluid, speed);
    if (mode->torn) {
      across = forces.cap;
      assert_within(forces.rod, 0, 1e-9);
      // What passes the piston is what the pressure drives: nothing is swept but by the void.
      const double passing = area * speed - forces.growth;
      const double alone = pl_piston_pressure(&corner->piston, &corner->fluid, passing / area);
      assert_near(alone, forces.cap, 1e-9);
    } else {
      assert_true(forces.growth == 0);
      assert_near(forces.cap - forces.rod + 1, across + 1, 1e-9);
    }
    const double friction = mode->held ? 0 : mode->way * corner->seal_friction;
    const double shock = pl_shock_spring_force(&corner->springs, forces.compression) +
                         (forces.cap - corner->ambient) * shaft + across * area + friction;
    assert_near(forces.shock, shock, 1e-9);
  }
}

// Energy at each moment: what is stored and moving grows by what road and weight give, less
// what oil and seals take.
static void energy(void **state) {
  (void)state;
  struct pl_chance chance = {13};
  for (int i = 0; i < 500; i++) {
    struct moment moment;
    random_moment(&chance, &moment);
    const struct pl_corner *const corner = &moment.test.corner;
    const double *const here = moment.state;
    double slopes[QUANTITIES] = {0};
    assert_true(pl_quarter_slopes(moment.time, here, slopes, &moment.quarter));
    double stored[2];
    const double span = 1e-7;
    for (int side = 0; side < 2; side++) {
      const double away = side == 0 ? -span : span;
      double there[QUANTITIES];
      struct pl_energies energies = {.fallen = 0};
      for (int j = 0; j < QUANTITIES; j++) there[j] = here[j] + away * slopes[j];
      pl_quarter_stored(&moment.quarter, moment.time + away, there, &energies);
      stored[side] =
          energies.springs + energies.gas + energies.tyre + energies.cavity + energies.moving;
    }
    const double weight = corner->gravity * (corner->sprung_mass * here[CHASSIS_SPEED] +
                                             corner->unsprung_mass * slopes[WHEEL]);
    const double given = slopes[FROM_ROAD] - weight - slopes[DAMPED] - slopes[RUBBED];
    assert_true(slopes[DAMPED] >= 0 && slopes[RUBBED] >= 0);
    const double size = fabs(weight) + fabs(slopes[FROM_ROAD]) + slopes[DAMPED];
    assert_within((stored[1] - stored[0]) / (2 * span), given, 1e-4 + 1e-5 * size);
    struct pl_forces forces;
    pl_forces_of(&moment.quarter, moment.time, here, &forces);
    assert_true(slopes[LOAD] == forces.tyre);
    assert_near(slopes[LOAD_SQUARED], forces.tyre * forces.tyre, 1e-15);
  }
}

// Each event is above zero until it happens, and its function is the distance to it.
static void distances_to_events(void **state) {
  (void)state;
  struct pl_chance chance = {14};
  for (int i = 0; i < 500; i++) {
    struct moment moment;
    struct pl_forces forces;
    double values[HAPPENINGS];
    random_moment(&chance, &moment);
    struct pl_mode *const mode = &moment.quarter.mode;
    mode->chassis_way = pl_chance_below(&chance, 2) == 0 ? 1 : -1;
    mode->wheel_way = pl_chance_below(&chance, 2) == 0 ? 1 : -1;
    const double *const here = moment.state;
    const double travel = here[WHEEL] - here[CHASSIS];
    assert_true(pl_forces_of(&moment.quarter, moment.time, here, &forces));
    pl_quarter_events(moment.time, here, values, &moment.quarter);
    assert_true(values[AT_TYRE] >= 0 && values[AT_TYRE] == fabs(forces.squeezed));
    if (!mode->held) {
      assert_true(values[AT_TURN] > 0);
      assert_near(values[AT_TURN], fabs(here[WHEEL_SPEED] - here[CHASSIS_SPEED]), 1e-15);
      const double to_end = moment.quarter.end - travel;
      const double to_droop = travel - moment.test.corner.path.lowest;
      assert_within(values[AT_END], mode->way > 0 ? to_end : to_droop, 1e-15);
    }
    assert_true(values[AT_GROUND] == (mode->grounded ? forces.bearing : here[CHASSIS]));
    const double pressure = forces.rod / moment.test.corner.ambient; // atmospheres
    assert_near(values[AT_CAVITY], mode->torn ? here[CAVITY] / 1e-9 : pressure, 1e-12);
    // Lying, the chassis does not turn around.
    assert_true(values[AT_REVERSAL] ==
                (mode->grounded ? 1 : mode->chassis_way * here[CHASSIS_SPEED]));
    assert_true(values[AT_EXTREME_WHEEL] == mode->wheel_way * here[WHEEL_SPEED]);
  }
}

// ---------------------------------------------------------------- when the shaft starts

/// A chassis that lies, with a wheel at `travel` that the road presses with `force`.
static void press(struct pl_quarter *quarter, double travel, double force, double *state) {
  for (int i = 0; i < QUANTITIES; i++) state[i] = 0;
  state[WHEEL] = quarter->free_radius - force / quarter->corner->tyre_rate;
  state[CHASSIS] = state[WHEEL] - travel;
  quarter->mode =
      (struct pl_mode){.touches = true, .held = true, .grounded = true, .chassis_way = 1};
}

// Statics: the wheel is pressed by its weight, and by the shock's force with friction and the
// pressure that opens a way, through the motion ratio. A shade more, and the shaft starts.
static void shaft_starts(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_corner *const corner = &test.corner;
  corner->sprung_mass = 3; // so that nothing lifts it
  corner->seal_friction = 0.4;
  corner->piston.set_count = 2;
  corner->piston.sets[0].opens_at = 5e3;
  corner->piston.sets[1] = corner->piston.sets[0];
  corner->piston.sets[0].way = PL_FLOW_COMPRESSION;
  corner->piston.sets[1].way = PL_FLOW_REBOUND;
  struct pl_quarter quarter = quarter_of(corner);
  const double travel = 0.4 * corner->path.lowest + 0.6 * quarter.end;
  double ratio;
  const double compression = pl_shock_path_at(&corner->path, travel, &ratio);
  assert_true(ratio < 0.8);
  const double still = pl_shock_spring_force(&corner->springs, compression) +
                       pl_gas_force(&corner->gas, compression);
  const double weight = corner->unsprung_mass * corner->gravity;
  const double holds = 0.4 + 5e3 * pl_pumped_area(&corner->piston);
  double at[QUANTITIES];
  for (int way = -1; way <= 1; way += 2) {
    const double starts = weight + (still + way * holds) * ratio;
    press(&quarter, travel, starts - way * 1e-6, at);
    pl_quarter_settle(&quarter, 0, at);
    assert_true(quarter.mode.held && quarter.mode.grounded);
    press(&quarter, travel, starts + way * 1e-6, at);
    pl_quarter_settle(&quarter, 0, at);
    assert_true(!quarter.mode.held && quarter.mode.way == way);
    // The same of a shaft that has just come to a stand.
    press(&quarter, travel, starts - way * 1e-6, at);
    quarter.mode.held = false;
    quarter.mode.way = way;
    pl_quarter_settle(&quarter, 0, at);
    assert_true(quarter.mode.held);
  }
  // With a void the cap's pressure is on the piston, and friction alone holds.
  const double cap = pl_gas_pressure(&corner->gas, compression);
  const double empty = still + cap * pl_pumped_area(&corner->piston);
  for (int way = -1; way <= 1; way += 2) {
    const double starts = weight + (empty + way * 0.4) * ratio;
    press(&quarter, travel, starts - way * 1e-6, at);
    quarter.mode.torn = true;
    pl_quarter_settle(&quarter, 0, at);
    assert_true(quarter.mode.held);
    press(&quarter, travel, starts + way * 1e-6, at);
    quarter.mode.torn = true;
    pl_quarter_settle(&quarter, 0, at);
    assert_true(!quarter.mode.held && quarter.mode.way == way);
  }
}

// Where its travel ends nothing moves it on, and a push through it lifts the chassis.
static void held_at_the_ends(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_corner *const corner = &test.corner;
  struct pl_quarter quarter = quarter_of(corner);
  const double weight = (corner->sprung_mass + corner->unsprung_mass) * corner->gravity;
  double at[QUANTITIES];
  press(&quarter, quarter.end, weight - 1e-3, at);
  pl_quarter_settle(&quarter, 0, at);
  assert_true(pl_is_ended(&quarter, at) && !pl_is_extended(&quarter, at));
  // The spring pushes the wheel out of there.
  assert_true(!quarter.mode.held && quarter.mode.way < 0);
  struct pl_forces forces;
  press(&quarter, quarter.end, 40, at);
  pl_quarter_settle(&quarter, 0, at);
  assert_true(quarter.mode.held && !quarter.mode.grounded);
  assert_true(quarter.mode.chassis_way == 1 && quarter.mode.wheel_way == 1);
  assert_true(pl_forces_of(&quarter, 0, at, &forces));
  assert_near(forces.chassis_acceleration,
              (40 - weight) / (corner->sprung_mass + corner->unsprung_mass), 1e-9);
  press(&quarter, corner->path.lowest, 0, at);
  pl_quarter_settle(&quarter, 0, at);
  assert_true(pl_is_extended(&quarter, at) && !pl_is_ended(&quarter, at));
  assert_true(quarter.mode.held);
  // In the air, hanging: it falls as a whole, down.
  press(&quarter, corner->path.lowest, 0, at);
  quarter.mode.grounded = quarter.mode.touches = false;
  pl_quarter_settle(&quarter, 0, at);
  assert_true(quarter.mode.held);
  assert_true(quarter.mode.chassis_way == -1 && quarter.mode.wheel_way == -1);
  // What moves goes the way that it moves, whatever accelerates it.
  at[CHASSIS_SPEED] = at[WHEEL_SPEED] = 0.1;
  pl_quarter_settle(&quarter, 0, at);
  assert_true(quarter.mode.chassis_way == 1 && quarter.mode.wheel_way == 1);
  // What does neither keeps its way: a chassis that lies.
  for (int former = -1; former <= 1; former += 2) {
    press(&quarter, corner->path.lowest, 0, at);
    quarter.mode.chassis_way = former;
    pl_quarter_settle(&quarter, 0, at);
    assert_true(quarter.mode.grounded && quarter.mode.chassis_way == former);
  }
}

// ---------------------------------------------------------------- where it rests

static double stored_at(const struct pl_quarter *quarter, const double *state) {
  const struct pl_corner *const corner = quarter->corner;
  struct pl_energies energies;
  pl_quarter_stored(quarter, 0, state, &energies);
  return energies.springs + energies.gas + energies.tyre +
         corner->gravity *
             (corner->sprung_mass * state[CHASSIS] + corner->unsprung_mass * state[WHEEL]);
}

/// The least energy by trying: of all heights of the wheel and the chassis, of those where it
/// lies, or of those where the shock is at its end.
enum where { ANYWHERE, LYING, ENDED };

static double least_by_trying(const struct pl_quarter *quarter, enum where where) {
  const double low = quarter->corner->path.lowest;
  const double radius = quarter->free_radius;
  const int pieces = where == ANYWHERE ? 300 : 3000;
  double least = INFINITY;
  for (int i = 0; i <= pieces; i++) {
    const double travel =
        where == ENDED ? quarter->end : low + (quarter->end - low) * i / pieces;
    const int heights = where == LYING ? 0 : where == ENDED ? 3000 : 300;
    if (where == ENDED && i > 0) break;
    for (int j = 0; j <= heights; j++) {
      double state[QUANTITIES] = {0};
      state[CHASSIS] = heights == 0 ? 0 : fmax(radius - low, 0.01) * j / heights;
      state[WHEEL] = state[CHASSIS] + travel;
      least = fmin(least, stored_at(quarter, state));
    }
  }
  return least;
}

/// The mass that springs and gas carry at full extension, or at the end.
static double carried(const struct pl_corner *corner, bool at_end) {
  double ratio;
  const double height = at_end ? corner->path.highest : corner->path.lowest;
  const double compression = pl_shock_path_at(&corner->path, height, &ratio);
  const double force = pl_shock_spring_force(&corner->springs, compression) +
                       pl_gas_force(&corner->gas, compression);
  return force * ratio / corner->gravity;
}

static void check_at_rest(double *state) {
  for (int i = 0; i < QUANTITIES; i++) {
    if (i != CHASSIS && i != WHEEL) assert_true(state[i] == 0);
    state[i] = NAN; // whatever is there is overwritten
  }
}

static void rests_where_energy_is_least(void **state) {
  (void)state;
  struct pl_test_corner test;
  // As it is; so low that it lies; so stiff that it hangs; so soft that the shock ends; and
  // both of these by half a newton.
  for (int kind = 0; kind < 6; kind++) {
    pl_buggy_corner(&test);
    if (kind >= 4) test.corner.tyre_radius = 0.08;
    if (kind == 4) test.corner.sprung_mass = carried(&test.corner, false) - 0.05;
    if (kind == 5) test.corner.sprung_mass = carried(&test.corner, true) + 0.05;
    if (kind == 1) test.corner.tyre_radius = 0.01;
    if (kind == 2) test.corner.springs.preload = 30e-3;
    if (kind == 3) {
      test.corner.tyre_radius = 0.08;
      test.corner.springs.preload = 0;
      pl_spring_curve_linear(50, INFINITY, &test.spring);
    }
    const struct pl_quarter quarter = quarter_of(&test.corner);
    double at[QUANTITIES] = {0};
    const double allowed = 5e-5; // J, between two points that are tried
    check_at_rest(at);
    assert_true(pl_quarter_rest(&quarter, at));
    const double rest = stored_at(&quarter, at);
    const double tried = least_by_trying(&quarter, ANYWHERE);
    assert_true(rest <= tried + 1e-12 && rest > tried - allowed);
    assert_true(at[CHASSIS] >= 0 && (kind == 1) == (at[CHASSIS] == 0));
    check_at_rest(at);
    pl_quarter_on_ground(&quarter, at);
    const double lying = stored_at(&quarter, at);
    const double tried_lying = least_by_trying(&quarter, LYING);
    assert_true(lying <= tried_lying + 1e-12 && lying > tried_lying - 1e-6);
    assert_true(at[CHASSIS] == 0);
    check_at_rest(at);
    pl_quarter_at_end(&quarter, at);
    const double ended = stored_at(&quarter, at);
    const double tried_ended = least_by_trying(&quarter, ENDED);
    assert_true(ended <= tried_ended + 1e-12 && ended > tried_ended - 1e-6);
    assert_within(at[WHEEL] - at[CHASSIS], quarter.end, 1e-15);
    assert_true(at[CHASSIS] >= 0);
    check_at_rest(at);
  }
}

// The rate of springs and gas at the wheel (Milliken & Milliken, see pl_wheel_rate()).
static void rate(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_corner *const corner = &test.corner;
  const struct pl_quarter quarter = quarter_of(corner);
  for (int i = 1; i < 8; i++) {
    const double travel = corner->path.lowest + (quarter.end - corner->path.lowest) * i / 8;
    struct pl_linkage_state at;
    assert_true(pl_linkage_at_height(&test.linkage, travel, &at));
    const double compression = test.longest - at.shock_length;
    const double stiffness = pl_shock_spring_stiffness(&corner->springs, compression) +
                             pl_gas_rate(&corner->gas, compression);
    const double force = pl_shock_spring_force(&corner->springs, compression) +
                         pl_gas_force(&corner->gas, compression);
    assert_near(pl_quarter_rate(&quarter, travel),
                pl_wheel_rate(stiffness, at.motion_ratio, force, at.motion_ratio_slope), 1e-4);
  }
}

// Energy of the gas counts from full extension; without gas there is none.
static void gas_from_full_extension(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const double low = test.corner.path.lowest;
  double at[QUANTITIES] = {[CHASSIS] = 0.01, [WHEEL] = 0.01 + low};
  struct pl_energies energies;
  for (int i = 0; i < 2; i++) {
    test.corner.gas.exponent = i == 0 ? 1.4 : 1;
    const struct pl_quarter quarter = quarter_of(&test.corner);
    pl_quarter_stored(&quarter, 0, at, &energies);
    assert_within(energies.gas, 0, 1e-12);
  }
  test.corner.has_gas = false;
  const struct pl_quarter quarter = quarter_of(&test.corner);
  at[WHEEL] = 0.01 + quarter.end;
  pl_quarter_stored(&quarter, 0, at, &energies);
  assert_true(energies.gas == 0);
}

// A void for which there is no room: no forces, no slopes, and nothing happens.
static void no_room(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  struct pl_quarter quarter = quarter_of(&test.corner);
  const double low = test.corner.path.lowest;
  const double at[QUANTITIES] = {[WHEEL] = low, [CAVITY] = 0.6e-6};
  struct pl_forces forces;
  double slopes[QUANTITIES];
  double values[HAPPENINGS + 1];
  for (int i = 0; i <= HAPPENINGS; i++) values[i] = -7;
  quarter.mode.torn = true;
  assert_false(pl_forces_of(&quarter, 0, at, &forces));
  assert_false(pl_quarter_slopes(0, at, slopes, &quarter));
  pl_quarter_events(0, at, values, &quarter);
  for (int i = 0; i < HAPPENINGS; i++) assert_true(values[i] == 1);
  assert_true(values[HAPPENINGS] == -7);
}

// ---------------------------------------------------------------- pieces of road

static void level_road(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_quarter quarter = quarter_of(&test.corner);
  double rise = 9;
  assert_true(pl_quarter_road(&quarter, 3, &rise) == 0 && rise == 0);
  assert_true(isinf(pl_quarter_smooth_until(&quarter)));
}

// A wheel that stands on two points: the road is smooth up to there, and its slope there is
// that of the piece in hand.
static void smooth_pieces(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_bumps bumps = {.height = 12e-3,
                                 .length = 60e-3,
                                 .speed = 3,
                                 .spacing = 70e-3,
                                 .count = 2,
                                 .radius = 42e-3};
  struct pl_quarter quarter;
  enum pl_simulation_status status;
  assert_true(pl_quarter_of(&test.corner, &bumps, &quarter, &status));
  // A kink is where it stands on both, and one where it leaves the last.
  const double lead = quarter.road.lead;
  const double kinks[] = {(65e-3 + lead) / 3, (130e-3 + 2 * lead) / 3};
  for (size_t i = 0; i < 2; i++) {
    double before;
    double behind;
    assert_near(pl_quarter_smooth_until(&quarter), kinks[i], 1e-9);
    const double height = pl_quarter_road(&quarter, kinks[i], &before);
    double shortly;
    pl_quarter_road(&quarter, kinks[i] - 1e-8, &shortly);
    assert_near(before, shortly, 1e-3);
    double shortly_behind;
    pl_quarter_road(&quarter, kinks[i] + 1e-10, &shortly_behind);
    assert_near(shortly_behind, before, 1e-6); // a step may look so far
    pl_quarter_next_piece(&quarter);
    assert_within(pl_quarter_road(&quarter, kinks[i] - 1e-10, &behind), height, 1e-8);
    assert_true(before < -1);
    if (i == 0) assert_near(behind, -before, 1e-6); // as steep as the other flank
    if (i == 1) assert_true(behind == 0);
  }
  assert_true(isinf(pl_quarter_smooth_until(&quarter)));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(newton),
      cmocka_unit_test(parts_of_the_shock),
      cmocka_unit_test(energy),
      cmocka_unit_test(distances_to_events),
      cmocka_unit_test(shaft_starts),
      cmocka_unit_test(held_at_the_ends),
      cmocka_unit_test(rests_where_energy_is_least),
      cmocka_unit_test(rate),
      cmocka_unit_test(gas_from_full_extension),
      cmocka_unit_test(no_room),
      cmocka_unit_test(level_road),
      cmocka_unit_test(smooth_pieces),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
