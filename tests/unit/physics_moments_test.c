// SPDX-License-Identifier: GPL-3.0-or-later
// What is told of a simulation against what its moments show: extremes, swings, when it
// settles, contact, loads and voids are counted again from a record so dense that little
// happens between two of its moments.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "corner.h"
#include "near.h"

#define MOMENTS  20000
#define INTERVAL 2e-4

static struct pl_simulator *simulator;
static struct pl_moment moments[MOMENTS];

static int make_simulator(void **state) {
  (void)state;
  simulator = pl_simulator_new(PL_SIMULATION_TOLERANCE);
  return simulator == NULL;
}

static int free_simulator(void **state) {
  (void)state;
  pl_simulator_free(simulator);
  return 0;
}

/// A run with its record and what its results count from.
struct seen {
  const struct pl_corner *corner;
  struct pl_motion_result result;
  size_t count; ///< of moments, from the first touch on
  double origin;
  double over; ///< before which it cannot be over: the end of the last bump
  bool is_drop;
};

static struct seen drop(const struct pl_test_corner *test, double height) {
  const double gravity = test->corner.gravity;
  struct seen seen = {
      .corner = &test->corner, .origin = sqrt(2 * gravity * height) / gravity, .is_drop = true};
  struct pl_record record = {moments, MOMENTS, seen.origin, INTERVAL, 0};
  assert_int_equal(pl_simulate_drop(simulator, &test->corner, height, &record, &seen.result),
                   PL_SIMULATED);
  seen.count = record.count;
  return seen;
}

static struct seen bump(const struct pl_test_corner *test, const struct pl_bumps *bumps) {
  struct pl_record record = {moments, MOMENTS, 0, INTERVAL, 0};
  struct seen seen = {.corner = &test->corner,
                      .over = ((double)(bumps->count - 1) * bumps->spacing + bumps->length) /
                              bumps->speed};
  assert_int_equal(pl_simulate_bumps(simulator, &test->corner, bumps, &record, &seen.result),
                   PL_SIMULATED);
  seen.count = record.count;
  return seen;
}

// ---------------------------------------------------------------- extremes

/// The greatest of what a function reads from the moments.
static double greatest(const struct seen *seen,
                       double (*read)(const struct seen *seen,
                                      const struct pl_moment *moment)) {
  double most = -INFINITY;
  for (size_t i = 0; i < seen->count; i++) most = fmax(most, read(seen, &moments[i]));
  return most;
}

static double fallen(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return -moment->chassis;
}

static double risen(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->chassis;
}

/// Rise of the wheel in the chassis frame from where it rests.
static double wheel_in(const struct seen *seen, const struct pl_moment *moment) {
  return moment->wheel - moment->chassis -
         (seen->corner->tyre_radius - seen->result.rest_height);
}

static double wheel_out(const struct seen *seen, const struct pl_moment *moment) {
  return -wheel_in(seen, moment);
}

static double wheel_risen(const struct seen *seen, const struct pl_moment *moment) {
  return moment->wheel - seen->corner->tyre_radius;
}

static double compression(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->compression;
}

static double speed_in(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->shaft_speed;
}

static double speed_out(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return -moment->shaft_speed;
}

static double force(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->shock_force;
}

static double pull(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return fmax(-moment->shock_force, 0);
}

static double load(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->tyre_force;
}

static double cap(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->cap_pressure;
}

static double cavity(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->cavity;
}

/// The share of the gas that is taken.
static double gas_taken(const struct seen *seen, const struct pl_moment *moment) {
  const double area = PL_PI / 4 * seen->corner->piston.shaft * seen->corner->piston.shaft;
  return seen->corner->has_gas
             ? (area * moment->compression + moment->cavity) / seen->corner->gas.volume
             : 0;
}

static void check_extremes(const struct seen *seen) {
  const struct pl_motion_result *const result = &seen->result;
  // A blow turns what moves around between two moments.
  const size_t blows = result->chassis.count + result->shock_in.count + result->shock_out.count;
  const double way = blows > 0 ? 0.2e-3 : 2e-6;
  const double share = blows > 0 ? 0.05 : 0.01;
  const struct {
    double told;
    double (*read)(const struct seen *, const struct pl_moment *);
    double least; ///< differs at the most by this and by the share of what is seen
  } rows[] = {{-result->lowest, fallen, way},
              {result->highest, risen, way},
              {result->wheel_in, wheel_in, way},
              {result->wheel_out, wheel_out, way},
              {result->wheel_highest, wheel_risen, way},
              {result->compression, compression, way},
              {result->speed_in, speed_in, 2e-2},
              {result->speed_out, speed_out, 2e-2},
              {result->shock_force, force, 0.4},
              {result->shock_pull, pull, 0.4},
              {result->tyre_force, load, 0.1},
              {result->cap_pressure, cap, 10},
              {result->cavity, cavity, 1e-10},
              {1 - result->least_gas, gas_taken, 1e-4}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const double seen_here = greatest(seen, rows[i].read);
    if (rows[i].told < seen_here - 1e-9 * fabs(seen_here) ||
        rows[i].told > seen_here + rows[i].least + share * fabs(seen_here))
      print_error("extreme %zu: told %.9g, seen %.9g\n", i, rows[i].told, seen_here);
    assert_true(rows[i].told >= seen_here - 1e-9 * fabs(seen_here));
    assert_true(rows[i].told <= seen_here + rows[i].least + share * fabs(seen_here));
  }
}

// ---------------------------------------------------------------- over time

/// Reversals of the chassis of more than half a millimetre, up to where it rests: pieces of its
/// way that lead so far from the highest point, or the lowest, since the last one, but for the
/// first piece, before which nothing is reversed.
static size_t swings(const struct seen *seen) {
  size_t pieces = 0;
  bool up = false;
  double highest = moments[0].chassis;
  double lowest = highest;
  for (size_t i = 0; i <= seen->count; i++) {
    const double height = i < seen->count ? moments[i].chassis : seen->result.rest_height;
    highest = fmax(highest, height);
    lowest = fmin(lowest, height);
    const bool rose = height - lowest > 0.5e-3 && (pieces == 0 || !up);
    const bool fell = highest - height > 0.5e-3 && (pieces == 0 || up);
    if (!rose && !fell) continue;
    pieces++;
    up = rose;
    highest = lowest = height;
  }
  return pieces > 0 ? pieces - 1 : 0;
}

/// The time of the last moment at which the chassis is not near its rest: farther than a
/// fiftieth of its greatest distance, or a tenth of a millimetre.
static double last_away(const struct seen *seen) {
  const double rest = seen->result.rest_height;
  double farthest = 0;
  for (size_t i = 0; i < seen->count; i++)
    farthest = fmax(farthest, fabs(moments[i].chassis - rest));
  const double near = fmax(farthest / 50, 0.1e-3);
  double last = seen->origin;
  for (size_t i = 0; i < seen->count; i++)
    if (fabs(moments[i].chassis - rest) > near) last = moments[i].time;
  return last;
}

static void check_contact(const struct seen *seen, double until) {
  const struct pl_motion_result *const result = &seen->result;
  size_t losses = 0;
  size_t longest = 0;
  size_t off = 0; // moments in a row
  size_t of_all = 0;
  double sum = 0;
  double squares = 0;
  size_t counted = 0;
  for (size_t i = 1; i < seen->count; i++) { // at the touch it bears nothing yet
    const double here = moments[i].tyre_force;
    losses += here == 0 && off == 0;
    off = here == 0 ? off + 1 : 0;
    if (off > longest) longest = off;
    if (moments[i].time > until) continue;
    counted++;
    of_all += here == 0;
    sum += here;
    squares += here * here;
  }
  assert_int_equal(result->losses, losses);
  assert_within(result->longest_loss, (double)longest * INTERVAL, 1.01 * INTERVAL);
  const double moments_counted = (double)counted;
  assert_within(result->airborne, (double)of_all / moments_counted,
                (double)(losses + 2) / moments_counted);
  if (seen->is_drop) {
    assert_nan(result->mean_load);
    assert_nan(result->load_variation);
    return;
  }
  const double mean = sum / moments_counted;
  assert_near(result->mean_load, mean, 0.005);
  assert_near(result->load_variation, sqrt(squares / moments_counted - mean * mean) / mean,
              0.01);
}

static void check_void(const struct seen *seen) {
  const struct pl_motion_result *const result = &seen->result;
  size_t empty = 0;
  size_t times = 0;
  size_t first = SIZE_MAX;
  for (size_t i = 0; i < seen->count; i++) {
    if (moments[i].cavity <= 0) continue;
    if (first == SIZE_MAX) first = i;
    empty++;
    times += moments[i - 1].cavity <= 0;
  }
  if (first == SIZE_MAX) return;
  assert_true(result->cavitated);
  assert_within(result->cavity_time, (double)empty * INTERVAL, (double)(times + 1) * INTERVAL);
  assert_within(result->cavitation_time, moments[first].time, 1.01 * INTERVAL);
}

static void check(const struct seen *seen) {
  assert_true(seen->count > 500 && seen->count < MOMENTS && seen->result.settled);
  check_extremes(seen);
  assert_int_equal(seen->result.swings, swings(seen));
  const double away = last_away(seen);
  assert_within(seen->result.settle_time, away - seen->origin, 1.5 * INTERVAL);
  check_contact(seen, fmax(away, seen->over));
  check_void(seen);
  assert_within(seen->result.end_time, moments[seen->count - 1].time, 1.01 * INTERVAL);
}

static void drops(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  static const double heights[] = {0, 0.03, 0.3, 0.8};
  for (size_t i = 0; i < sizeof heights / sizeof heights[0]; i++) {
    const struct seen seen = drop(&test, heights[i]);
    check(&seen);
  }
  pl_linear_corner(&test, 300, 1.5, 0, 0.05); // swings and bounces for long
  const struct seen seen = drop(&test, 0.04);
  check(&seen);
  assert_true(seen.result.swings > 3 && seen.result.losses > 1);
}

static void bumps(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  static const struct pl_bumps roads[] = {
      {.height = 12e-3, .length = 60e-3, .speed = 6, .count = 1},
      {.height = 8e-3, .length = 90e-3, .speed = 4, .spacing = 0.2, .count = 5},
      {.height = 5e-3, .length = 0.5, .speed = 1, .count = 1},
      {.height = -10e-3, .length = 0.15, .speed = 3, .spacing = 0.3, .count = 2}};
  for (size_t i = 0; i < sizeof roads / sizeof roads[0]; i++) {
    const struct seen seen = bump(&test, &roads[i]);
    check(&seen);
  }
}

// A hole is a bump upside down: where all is linear and the tyre stays on the road, everything
// that happens does so the other way round.
static void mirrored(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 4, 0, 0.05);
  struct pl_bumps road = {.height = 3e-3, .length = 0.4, .speed = 2, .count = 1};
  const struct seen up = bump(&test, &road);
  check(&up);
  road.height = -3e-3;
  const struct seen down = bump(&test, &road);
  check(&down);
  assert_int_equal(up.result.losses + down.result.losses, 0);
  const double rest = up.result.rest_height;
  assert_near(rest - down.result.lowest, up.result.highest - rest, 1e-6);
  assert_near(rest - up.result.lowest, down.result.highest - rest, 1e-6);
  assert_near(down.result.wheel_out, up.result.wheel_in, 1e-5);
  assert_near(down.result.wheel_in, up.result.wheel_out, 1e-5);
  assert_near(down.result.speed_out, up.result.speed_in, 1e-3);
  assert_near(down.result.settle_time, up.result.settle_time, 1e-5);
  assert_near(down.result.load_variation, up.result.load_variation, 1e-3);
  assert_near(down.result.energies.damped, up.result.energies.damped, 1e-5);
  assert_true(up.result.swings > 1);
  assert_int_equal(down.result.swings, up.result.swings);
}

// A record does not change what is told, but for peaks that are found only where steps end.
static void without_record(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct seen seen = drop(&test, 0.3);
  struct pl_motion_result alone;
  assert_int_equal(pl_simulate_drop(simulator, &test.corner, 0.3, NULL, &alone), PL_SIMULATED);
  assert_near(alone.lowest + 1, seen.result.lowest + 1, 1e-7);
  assert_near(alone.compression, seen.result.compression, 1e-5);
  assert_near(alone.speed_in, seen.result.speed_in, 5e-3);
  assert_near(alone.speed_out, seen.result.speed_out, 5e-3);
  assert_near(alone.tyre_force, seen.result.tyre_force, 5e-3);
  assert_near(alone.cavity, seen.result.cavity, 5e-3);
  assert_near(alone.settle_time, seen.result.settle_time, 1e-3);
  assert_near(alone.airborne, seen.result.airborne, 1e-4);
  assert_true(alone.steps < seen.result.steps);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(drops),
      cmocka_unit_test(bumps),
      cmocka_unit_test(mirrored),
      cmocka_unit_test(without_record),
  };
  return cmocka_run_group_tests(tests, make_simulator, free_simulator);
}
