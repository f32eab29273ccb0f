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

#include "near.h"
#include "simulator.h"

#define MOMENTS  20000
#define INTERVAL 2e-4

static struct pl_moment moments[MOMENTS];

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
static double last_away(const struct seen *seen, double rest) {
  double farthest = 0;
  for (size_t i = 0; i < seen->count; i++)
    farthest = fmax(farthest, fabs(moments[i].chassis - seen->result.rest_height));
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

// What the car lost in height, and what springs and tyre hold at the last moment more than at
// the first; and nothing is missing.
static void check_energies(const struct seen *seen) {
  const struct pl_corner *const corner = seen->corner;
  const struct pl_energies *const energies = &seen->result.energies;
  const struct pl_moment *const first = &moments[0];
  const struct pl_moment *const last = &moments[seen->count - 1];
  const double weight = (corner->sprung_mass + corner->unsprung_mass) * corner->gravity;
  const double before = 0.5 * corner->gravity * seen->origin * seen->origin; // m
  const double fell =
      corner->gravity * (corner->sprung_mass * (first->chassis - last->chassis) +
                         corner->unsprung_mass * (first->wheel - last->wheel)) +
      weight * before;
  const double springs = pl_shock_spring_energy(&corner->springs, last->compression) -
                         pl_shock_spring_energy(&corner->springs, first->compression);
  const double tyre = (last->tyre_force * last->tyre_force - //
                       first->tyre_force * first->tyre_force) /
                      (2 * corner->tyre_rate);
  assert_within(energies->fallen, fell, 2e-5);
  assert_within(energies->springs, springs, 2e-5);
  assert_within(energies->tyre, tyre, 2e-5);
  assert_within(energies->missing, 0, 1e-7);
}

// ---------------------------------------------------------------- blows

static bool lies(const struct seen *seen, const struct pl_moment *moment) {
  (void)seen;
  return moment->chassis <= 0.35e-3; // it may be lifted at once
}

static bool hangs(const struct seen *seen, const struct pl_moment *moment) {
  return moment->wheel - moment->chassis <= seen->corner->path.lowest + 1e-12;
}

static bool is_at_end(const struct seen *seen, const struct pl_moment *moment) {
  return moment->compression >= seen->result.end - 1e-12;
}

static double falling(const struct pl_moment *moment) {
  return (moment[-1].chassis - moment->chassis) / INTERVAL;
}

static double shaft_speed(const struct pl_moment *moment) {
  return fabs(moment->shaft_speed);
}

// Each arrival at an end of travel is a blow, at about the speed of the moment before.
static void check_blows(const struct seen *seen, const struct pl_blows *told,
                        bool (*is_there)(const struct seen *, const struct pl_moment *),
                        double (*speed)(const struct pl_moment *)) {
  size_t count = 0;
  double hardest = 0;
  double then = 0; // speed at the time that is told
  for (size_t i = 2; i < seen->count; i++) {
    if (!is_there(seen, &moments[i]) || is_there(seen, &moments[i - 1])) continue;
    const double here = speed(&moments[i - 1]);
    count++;
    hardest = fmax(hardest, here);
    if (fabs(told->time - moments[i].time) < 2.01 * INTERVAL) then = here;
  }
  assert_true(told->count >= count && (told->count > 0) == (count > 0)); // some are brief
  assert_true(told->speed >= 0.9 * hardest - 0.02);
  if (told->count == count) {
    assert_within(told->speed, hardest, 0.1 * hardest + 0.02);
    assert_within(told->speed, then, 0.1 * hardest + 0.02);
  }
  if (told->count == 1) assert_true(told->total == told->energy);
  if (told->count > 1) assert_true(told->total > told->energy);
  assert_true((told->energy > 0) == (count > 0));
}

static void check_all_blows(const struct seen *seen) {
  const struct pl_motion_result *const result = &seen->result;
  check_blows(seen, &result->chassis, lies, falling);
  check_blows(seen, &result->shock_out, hangs, shaft_speed);
  check_blows(seen, &result->shock_in, is_at_end, shaft_speed);
  assert_true(result->energies.at_chassis == result->chassis.total);
  assert_true(result->energies.at_shock_ends ==
              result->shock_in.total + result->shock_out.total);
}

// The rod side has the cap's pressure less that across the piston, or none.
static void check_rod(const struct seen *seen) {
  const struct pl_corner *const corner = seen->corner;
  for (size_t i = 0; i < seen->count; i++) {
    const double across =
        pl_piston_pressure(&corner->piston, &corner->fluid, moments[i].shaft_speed);
    const double rod = moments[i].cavity > 0 ? 0 : moments[i].cap_pressure - across;
    assert_within(moments[i].rod_pressure, rod, 1e-6 * moments[i].cap_pressure);
  }
}

static void check(const struct seen *seen) {
  assert_true(seen->count > 500 && seen->count < MOMENTS && seen->result.settled);
  check_extremes(seen);
  assert_int_equal(seen->result.swings, swings(seen));
  const double away = last_away(seen, seen->result.rest_height);
  assert_within(seen->result.settle_time, away - seen->origin, 1.5 * INTERVAL);
  check_contact(seen, fmax(away, seen->over));
  check_void(seen);
  check_rod(seen);
  check_energies(seen);
  check_all_blows(seen);
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
  test.corner.tyre_radius = 0.07;
  pl_spring_curve_linear(522, 12e-3, &test.spring);
  const struct seen bound = drop(&test, 0.5);
  check(&bound);
  assert_true(bound.result.shock_in.count > 0);
  pl_linear_corner(&test, 300, 1.5, 0, 0.05); // swings and bounces for long
  test.corner.tyre_radius = 0.06;
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

// Friction holds the shaft off its rest, and the corner swings there on its tyre without end:
// settled it has where it stays.
static void stuck(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 2, 0, 0.05);
  test.corner.seal_friction = 0.4;
  const struct seen seen = drop(&test, 0.02);
  assert_true(seen.result.settled);
  const double period =
      2 * PL_PI *
      sqrt((test.corner.sprung_mass + test.corner.unsprung_mass) / test.corner.tyre_rate);
  double low = INFINITY;
  double high = -INFINITY;
  for (size_t i = 0; i < seen.count; i++) {
    if (moments[i].time < seen.result.end_time - period) continue;
    low = fmin(low, moments[i].chassis);
    high = fmax(high, moments[i].chassis);
  }
  const double rest = 0.5 * (low + high);
  assert_true(fabs(rest - seen.result.rest_height) > 0.3e-3);
  assert_within(seen.result.settle_time, last_away(&seen, rest) - seen.origin, 3 * INTERVAL);
  assert_true(high - low < 0.02 * (seen.result.rest_height - seen.result.lowest));
  // It is looked at for one swing on the tyre after the other, each up to the end of a step.
  const double whole = seen.result.end_time - seen.origin;
  const double count = floor(whole / period);
  assert_true(count > 3 && whole - count * period < count * INTERVAL);
  check_energies(&seen);
}

// Over a bump of no height nothing moves: what bears is told by statics.
static void bears_at_rest(void **state) {
  (void)state;
  struct pl_test_corner test;
  struct pl_motion_result result;
  const struct pl_bumps flat = {.height = 0, .length = 0.1, .speed = 5, .count = 1};
  // It lies, hangs, or stands at the shock's end.
  for (int kind = 0; kind < 3; kind++) {
    pl_buggy_corner(&test);
    struct pl_corner *const corner = &test.corner;
    if (kind == 0) corner->tyre_radius = 0.02;
    if (kind == 1) corner->springs.preload = 30e-3;
    if (kind == 2) {
      corner->tyre_radius = 0.08;
      corner->springs.preload = 0;
      pl_spring_curve_linear(50, INFINITY, &test.spring);
    }
    assert_int_equal(pl_simulate_bumps(simulator, corner, &flat, NULL, &result), PL_SIMULATED);
    const double sprung = corner->sprung_mass * corner->gravity;
    const double unsprung = corner->unsprung_mass * corner->gravity;
    const double still = pl_shock_spring_force(&corner->springs, result.rest_position) +
                         pl_gas_force(&corner->gas, result.rest_position);
    double travel = corner->tyre_radius - result.rest_height;
    if (kind == 0)
      travel =
          corner->tyre_radius + (sprung + unsprung - result.tyre_force) / corner->tyre_rate;
    double ratio;
    pl_shock_path_at(&corner->path, travel, &ratio);
    const double bears = still - sprung / ratio; // the shock's end, pulled
    assert_within(result.chassis.bearing, kind == 0 ? sprung + unsprung - result.tyre_force : 0,
                  1e-9);
    assert_within(result.shock_out.bearing, kind == 1 ? bears : 0, 1e-9);
    assert_within(result.shock_in.bearing, kind == 2 ? -bears : 0, 1e-9);
    if (kind == 0) assert_near(result.tyre_force - unsprung, still * ratio, 1e-6);
    assert_true(result.swings == 0 && result.losses == 0);
    assert_within(result.settle_time, 0, 1e-9);
    assert_int_equal(result.chassis.count + result.shock_in.count + result.shock_out.count, 0);
  }
}

// So long that steps have to be forgotten, every second one: what is told is as near as ever.
static void long_run(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_linear_corner(&test, 300, 1.6, 0, 0.05);
  test.corner.tyre_radius = 0.06;
  const struct seen seen = drop(&test, 0.02);
  assert_true(seen.result.steps > 8192 + 2000);
  check(&seen);
}

// Steps so short that what is looked for lies among those of which every second one, or three
// of four, are forgotten.
static void forgotten_steps(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const struct pl_bumps road = {.height = 8e-3, .length = 60e-3, .speed = 5, .count = 1};
  for (int i = 0; i < 2; i++) {
    struct pl_record record = {moments, MOMENTS, 0, 2e-5, 0};
    struct pl_motion_result dense = {.steps = 0};
    struct pl_motion_result alone = {.steps = 0};
    for (int j = 0; j < 2; j++) {
      struct pl_record *const kept = j == 0 ? &record : NULL;
      struct pl_motion_result *const result = j == 0 ? &dense : &alone;
      if (i == 0) pl_simulate_bumps(simulator, &test.corner, &road, kept, result);
      if (i > 0) pl_simulate_drop(simulator, &test.corner, 0.03 * i, kept, result);
    }
    assert_true(dense.settled && dense.steps > 8192 + 4096);
    assert_near(dense.settle_time, alone.settle_time, 1e-5);
    assert_near(dense.airborne + 1, alone.airborne + 1, 1e-5);
    if (i == 0) assert_near(dense.mean_load, alone.mean_load, 1e-5);
    if (i == 0) assert_near(dense.load_variation, alone.load_variation, 1e-5);
  }
}

// Swings about as small as they may be, also those that a bump interrupts.
static void small_swings(void **state) {
  (void)state;
  struct pl_test_corner test;
  size_t several = 0;
  for (int i = 0; i < 14; i++) {
    pl_linear_corner(&test, 300, 3 + 0.5 * i, 0, 0.05);
    const struct seen seen = drop(&test, 1e-3 + 0.5e-3 * i);
    assert_int_equal(seen.result.swings, swings(&seen));
    several += seen.result.swings > 1;
  }
  assert_true(several > 4);
  for (int i = 0; i < 14; i++) {
    pl_linear_corner(&test, 300, 5, 0, 0.05);
    const struct pl_bumps road = {.height = 1e-3 + 0.1e-3 * i,
                                  .length = 0.1,
                                  .speed = 0.7 + 0.1 * i,
                                  .spacing = 0.13,
                                  .count = 6};
    const struct seen seen = bump(&test, &road);
    assert_int_equal(seen.result.swings, swings(&seen));
  }
}

// A record does not change what is told, but for peaks that are found only where steps end.
static void without_record(void **state) {
  (void)state;
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  for (int i = 0; i < 4; i++) {
    const double height = 0.01 + 0.09 * i;
    const struct seen seen = drop(&test, height);
    struct pl_motion_result alone;
    assert_int_equal(pl_simulate_drop(simulator, &test.corner, height, NULL, &alone),
                     PL_SIMULATED);
    assert_near(alone.lowest + 1, seen.result.lowest + 1, 1e-7);
    assert_near(alone.compression, seen.result.compression, 1e-5);
    assert_near(alone.speed_in, seen.result.speed_in, 5e-3);
    assert_near(alone.speed_out, seen.result.speed_out, 5e-3);
    assert_near(alone.shock_force, seen.result.shock_force, 5e-3);
    assert_near(alone.tyre_force, seen.result.tyre_force, 5e-3);
    assert_near(alone.cavity, seen.result.cavity, 5e-3);
    assert_near(alone.settle_time, seen.result.settle_time, 2e-5);
    assert_near(alone.airborne, seen.result.airborne, 1e-4);
    assert_int_equal(alone.swings, seen.result.swings);
    assert_true(alone.steps < seen.result.steps);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(drops),           cmocka_unit_test(bumps),
      cmocka_unit_test(mirrored),        cmocka_unit_test(stuck),
      cmocka_unit_test(bears_at_rest),   cmocka_unit_test(long_run),
      cmocka_unit_test(forgotten_steps), cmocka_unit_test(small_swings),
      cmocka_unit_test(without_record),
  };
  return cmocka_run_group_tests(tests, make_simulator, free_simulator);
}
