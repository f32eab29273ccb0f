// SPDX-License-Identifier: GPL-3.0-or-later
// What events make of a moving corner: blows keep momentum and take the energy that they tell,
// other events change what holds and nothing else.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "chance.h"
#include "corner.h"
#include "near.h"
#include "physics/quarter_car.h"

static const struct pl_bumps level = {.count = 0};
static struct pl_test_corner test;
static struct pl_quarter quarter;

static int make_quarter(void **state) {
  (void)state;
  enum pl_simulation_status status;
  pl_buggy_corner(&test);
  return !pl_quarter_of(&test.corner, &level, &quarter, &status);
}

/// What happened: the state before and behind it, and its blows.
struct happened {
  double before[QUANTITIES];
  double behind[QUANTITIES];
  struct pl_mode mode; ///< before
  struct pl_blow on_chassis, on_shock;
};

static struct happened happens(size_t event, const double *state) {
  struct happened happened = {.mode = quarter.mode};
  memcpy(happened.before, state, sizeof happened.before);
  memcpy(happened.behind, state, sizeof happened.behind);
  pl_quarter_happens(&quarter, event, 0, happened.behind, &happened.on_chassis,
                     &happened.on_shock);
  return happened;
}

static double momentum(const double *state) {
  return test.corner.sprung_mass * state[CHASSIS_SPEED] +
         test.corner.unsprung_mass * state[WHEEL_SPEED];
}

static double energy(const double *state) {
  return 0.5 * test.corner.sprung_mass * state[CHASSIS_SPEED] * state[CHASSIS_SPEED] +
         0.5 * test.corner.unsprung_mass * state[WHEEL_SPEED] * state[WHEEL_SPEED];
}

static double lost(const struct happened *happened) {
  return energy(happened->before) - energy(happened->behind);
}

/// A state in which the shock is at full extension or at its end, a hair off by integration.
static void at_end(bool in, double chassis, double *state) {
  for (int i = 0; i < QUANTITIES; i++) state[i] = 0;
  state[CHASSIS] = chassis;
  state[WHEEL] = chassis + (in ? quarter.end + 1e-10 : test.corner.path.lowest - 1e-10);
}

static double ratio_at(double travel) {
  double ratio;
  pl_shock_path_at(&test.corner.path, travel, &ratio);
  return ratio;
}

// ---------------------------------------------------------------- the shock ends

// Both masses go on with the speed of their common centre: momentum stays, and what is lost is
// the energy of the motion against each other.
static void shock_ends(void **state) {
  (void)state;
  struct pl_chance chance = {21};
  for (int i = 0; i < 200; i++) {
    const bool in = i % 2 == 0;
    double before[QUANTITIES];
    at_end(in, 0.03, before);
    before[CHASSIS_SPEED] = pl_chance_between(&chance, -2, 2);
    before[WHEEL_SPEED] =
        before[CHASSIS_SPEED] + (in ? 1 : -1) * pl_chance_between(&chance, 0.1, 2);
    quarter.mode = (struct pl_mode){.way = in ? 1 : -1, .touches = i % 3 == 0};
    const struct happened it = happens(AT_END, before);
    assert_true(it.behind[CHASSIS_SPEED] == it.behind[WHEEL_SPEED]);
    assert_within(momentum(it.behind), momentum(before), 1e-15);
    assert_near(it.on_shock.energy, lost(&it), 1e-9);
    const double end = in ? quarter.end : test.corner.path.lowest;
    assert_near(it.on_shock.speed,
                fabs(before[WHEEL_SPEED] - before[CHASSIS_SPEED]) * ratio_at(end), 1e-12);
    assert_true(it.on_chassis.energy == 0 && it.on_chassis.speed == 0);
    assert_true(it.behind[CHASSIS] == before[CHASSIS] && !quarter.mode.grounded);
    assert_within(it.behind[WHEEL] - it.behind[CHASSIS], end, 1e-15);
  }
}

// A chassis that lies is pressed onto the ground by a wheel that falls to full extension, and
// lifted by one that rises to the end.
static void shock_ends_on_the_ground(void **state) {
  (void)state;
  double before[QUANTITIES];
  at_end(false, 0, before);
  before[WHEEL_SPEED] = -1.5;
  quarter.mode = (struct pl_mode){.way = -1, .grounded = true};
  const struct happened down = happens(AT_END, before);
  assert_true(down.behind[WHEEL_SPEED] == 0 && down.behind[CHASSIS_SPEED] == 0);
  assert_true(quarter.mode.grounded && quarter.mode.held);
  assert_near(down.on_shock.energy, lost(&down), 1e-12);
  assert_near(down.on_shock.speed, 1.5 * ratio_at(test.corner.path.lowest), 1e-12);
  static const double speeds[] = {0.3, 1.5};
  for (size_t i = 0; i < 2; i++) {
    at_end(true, 0, before);
    before[WHEEL_SPEED] = speeds[i];
    quarter.mode = (struct pl_mode){.way = 1, .grounded = true};
    const struct happened up = happens(AT_END, before);
    assert_true(!quarter.mode.grounded);
    assert_true(up.behind[CHASSIS_SPEED] > 0);
    assert_within(momentum(up.behind), momentum(before), 1e-15);
    assert_near(up.on_shock.energy, lost(&up), 1e-9);
  }
}

// ---------------------------------------------------------------- the chassis lands

// The chassis loses its speed, the wheel keeps its own, but for one that hangs and is stopped
// with it.
static void chassis_lands(void **state) {
  (void)state;
  const struct pl_corner *const corner = &test.corner;
  for (int wheel = -1; wheel <= 1; wheel++) {
    for (int hangs = 0; hangs < 2; hangs++) {
      for (int held = 0; held < 2; held++) {
        double before[QUANTITIES];
        at_end(false, -1e-10, before);
        before[WHEEL] = before[CHASSIS] + corner->path.lowest + (hangs ? 0 : 5e-3);
        before[CHASSIS_SPEED] = -2;
        before[WHEEL_SPEED] = 0.7 * wheel;
        quarter.mode = (struct pl_mode){.held = held, .way = 1, .chassis_way = -1};
        const struct happened it = happens(AT_GROUND, before);
        assert_near(it.on_chassis.speed, 2, 1e-15);
        assert_near(it.on_chassis.energy, 0.5 * corner->sprung_mass * 4, 1e-12);
        assert_near(it.on_chassis.energy + it.on_shock.energy, lost(&it), 1e-9);
        assert_true(it.behind[CHASSIS] == 0 && it.behind[CHASSIS_SPEED] == 0);
        assert_within(it.behind[WHEEL], before[WHEEL] - before[CHASSIS], 1e-15);
        const bool stopped = hangs && wheel < 0;
        assert_true(it.behind[WHEEL_SPEED] == (stopped ? 0 : before[WHEEL_SPEED]));
        assert_near(it.on_shock.speed, stopped ? 0.7 * ratio_at(corner->path.lowest) : 0, 1e-9);
        assert_true((it.on_shock.energy > 0) == stopped);
        if (stopped) assert_true(quarter.mode.held && quarter.mode.grounded);
        if (!stopped && wheel != 0)
          assert_true(!quarter.mode.held && quarter.mode.way == wheel);
      }
    }
  }
}

// What lies is lifted without a blow.
static void chassis_is_lifted(void **state) {
  (void)state;
  double before[QUANTITIES];
  at_end(true, 0, before);
  before[WHEEL] -= 2e-3; // the spring lifts it
  before[WHEEL_SPEED] = 0.4;
  quarter.mode = (struct pl_mode){.grounded = true, .way = 1};
  const struct happened it = happens(AT_GROUND, before);
  assert_true(!quarter.mode.grounded);
  assert_true(it.on_chassis.speed == 0 && it.on_chassis.energy == 0);
  assert_memory_equal(it.behind, before, sizeof before);
  assert_true(quarter.mode.chassis_way == 1); // as it is accelerated
}

// ---------------------------------------------------------------- without a blow

static void check_no_blow(const struct happened *it) {
  assert_true(it->on_chassis.speed == 0 && it->on_chassis.energy == 0);
  assert_true(it->on_shock.speed == 0 && it->on_shock.energy == 0);
}

// A shaft that is held starts in by one event and out by the other; one that moves comes to a
// stand.
static void shaft_starts_and_stops(void **state) {
  (void)state;
  for (int way = -1; way <= 1; way += 2) {
    double before[QUANTITIES];
    at_end(true, 0.01, before);
    before[WHEEL] = before[CHASSIS] + 0.5 * (test.corner.path.lowest + quarter.end);
    // The tyre pushes it in, or the springs push it out.
    if (way > 0) before[WHEEL] -= quarter.free_radius * 0.6;
    if (way > 0) before[CHASSIS] -= quarter.free_radius * 0.6;
    quarter.mode = (struct pl_mode){.held = true, .touches = way > 0};
    const struct happened starts = happens(way > 0 ? AT_TURN : AT_END, before);
    check_no_blow(&starts);
    assert_true(!quarter.mode.held && quarter.mode.way == way);
    assert_memory_equal(starts.behind, before, sizeof before);
    before[CHASSIS_SPEED] = 0.2;
    before[WHEEL_SPEED] = 0.2 - way * 1e-11;
    const struct happened stops = happens(AT_TURN, before);
    check_no_blow(&stops);
    assert_true(stops.behind[WHEEL_SPEED] == 0.2);
    // Nothing holds it there: on it goes, the same way.
    assert_true(!quarter.mode.held && quarter.mode.way == way);
  }
}

static void what_holds_changes(void **state) {
  (void)state;
  double before[QUANTITIES];
  at_end(true, 0.01, before);
  before[WHEEL] -= 5e-3;
  before[WHEEL_SPEED] = 0.3;
  before[CHASSIS_SPEED] = -0.2;
  for (int i = 0; i < 2; i++) {
    const bool on = i == 0;
    before[CAVITY] = 1e-12;
    quarter.mode = (struct pl_mode){.touches = on, .torn = on, .way = 1};
    struct happened it = happens(AT_TYRE, before);
    check_no_blow(&it);
    assert_true(quarter.mode.touches == !on && quarter.mode.torn == on);
    assert_memory_equal(it.behind, before, sizeof before);
    it = happens(AT_CAVITY, before);
    check_no_blow(&it);
    assert_true(quarter.mode.touches == !on && quarter.mode.torn == !on);
    assert_true(it.behind[CAVITY] == 0);
  }
  for (int way = -1; way <= 1; way += 2) {
    quarter.mode = (struct pl_mode){.way = 1, .chassis_way = way, .wheel_way = way};
    struct happened it = happens(AT_REVERSAL, before);
    check_no_blow(&it);
    assert_true(quarter.mode.chassis_way == -way && quarter.mode.wheel_way == way);
    it = happens(AT_EXTREME_WHEEL, before);
    check_no_blow(&it);
    assert_true(quarter.mode.chassis_way == -way && quarter.mode.wheel_way == -way);
    assert_memory_equal(it.behind, before, sizeof before);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(shock_ends),
      cmocka_unit_test(shock_ends_on_the_ground),
      cmocka_unit_test(chassis_lands),
      cmocka_unit_test(chassis_is_lifted),
      cmocka_unit_test(shaft_starts_and_stops),
      cmocka_unit_test(what_holds_changes),
  };
  return cmocka_run_group_tests(tests, make_quarter, NULL);
}
