// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what figures do in a sweep.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "figures_setup.h"
#include "near.h"
#include "pitleaf/sweep.h"

#include <math.h>
#include <stdio.h>

static const char demo[] = "sheets/sluice-lane/plover-dry.leaf";

/// The demo's figures, all checked.
static struct pl_figures *figures_of_demo(struct bench *bench) {
  const char *const root = getenv("PITLEAF_ROOT");
  const char *const path = pl_format(bench->arena, "%s/%s", root == NULL ? "." : root, demo);
  struct pl_program *const program = pl_program_load(bench->session, bench->arena, path);
  const struct pl_setup *const setup = pl_program_setup(program, NULL);
  assert_non_null(setup);
  struct pl_figures *const figures = pl_figures_new(setup, NULL);
  pl_setup_check(setup);
  pl_figures_check(figures);
  assert_int_equal(pl_program_problems(program)->errors, 0);
  return figures;
}

static void run(struct bench *bench, struct pl_figures *today, const char *text,
                const enum pl_figure *figures, size_t count, struct pl_sweep *sweep) {
  struct pl_arena *const scratch = pl_arena_new(bench->guard);
  assert_null(pl_sweep_read(bench->arena, pl_session_names(bench->session), text, sweep));
  pl_sweep_run(bench->arena, scratch, today, figures, count, sweep);
  pl_arena_free(scratch);
}

/// The column of a figure at a place.
static const struct pl_sweep_column *column_of(const struct pl_sweep *sweep,
                                               enum pl_figure figure, enum pl_place place) {
  for (size_t i = 0; i < sweep->column_count; i++) {
    if (sweep->columns[i].figure == figure && sweep->columns[i].place == place)
      return &sweep->columns[i];
  }
  fail();
  return NULL;
}

/// Slow damping grows with the viscosity: the flow in the ports is laminar, so that the loss of
/// pressure is that of Hagen and Poiseuille (physics.md), in proportion.
static void damping_follows_the_oil(struct bench *bench) {
  static const enum pl_figure figures[] = {PL_FIGURE_DAMPING_SLOW_COMPRESSION};
  struct pl_figures *const today = figures_of_demo(bench);
  struct pl_sweep sweep;
  run(bench, today, "front.oil 200 cSt .. 600 cSt by 200 cSt", figures, 1, &sweep);
  const struct pl_sweep_column *const front =
      column_of(&sweep, PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_LEFT);
  assert_near(front->values[1], 2 * front->values[0], 1e-9);
  assert_near(front->values[2], 3 * front->values[0], 1e-9);
  // As the setup is: 400 cSt, by the name of a bottle.
  assert_int_equal(sweep.settings[0].now, 1);
  assert_near(front->now, front->values[1], 1e-9);
  assert_string_equal(sweep.settings[0].now_shown, "clear 400");
  assert_int_equal(sweep.remark_count, 0);
  size_t count = 0;
  const struct pl_sweep_shown *const shown =
      pl_sweep_shown_of(bench->arena, &sweep, true, PL_METRIC, &count);
  assert_false(pl_sweep_lacks(&sweep, shown, count));
  assert_int_equal(count, 1); // the rear does not move, left and right are alike
  assert_string_equal(shown[0].place, "front");
  pl_sweep_shown_of(bench->arena, &sweep, false, PL_METRIC, &count);
  assert_int_equal(count, 2);
}

static void front_damping(void **state) {
  (void)state;
  with_bench(damping_follows_the_oil);
}

/// Two settings: the second one's values run fastest; each axle follows its own.
static void two_settings_at_once(struct bench *bench) {
  static const enum pl_figure figures[] = {PL_FIGURE_DAMPING_SLOW_COMPRESSION};
  struct pl_sweep sweep;
  run(bench, figures_of_demo(bench),
      "front.oil [\"clear 200\", \"clear 400\"] rear.oil [200 cSt, 400 cSt, 800 cSt]", figures,
      1, &sweep);
  assert_int_equal(sweep.point_count, 6);
  const double *const front =
      column_of(&sweep, PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_FRONT_RIGHT)->values;
  const double *const rear =
      column_of(&sweep, PL_FIGURE_DAMPING_SLOW_COMPRESSION, PL_REAR_RIGHT)->values;
  assert_near(front[2], front[0], 1e-12);
  assert_near(front[3], 2 * front[0], 1e-9);
  assert_near(rear[2], 4 * rear[0], 1e-9);
  assert_near(rear[3], rear[0], 1e-12);
  assert_int_equal(sweep.settings[0].now, 1);
  assert_int_equal(sweep.settings[1].now, 3); // a blend of two bottles
  assert_string_equal(pl_sweep_point_text(bench->arena, &sweep, 5),
                      "front.oil = \"clear 400\", rear.oil = 800 cSt");
}

static void two_settings(void **state) {
  (void)state;
  with_bench(two_settings_at_once);
}

/// A mistake in one value leaves the others alone, and is told once, of that value.
static void mistakes_stay_with_their_value(struct bench *bench) {
  static const enum pl_figure figures[] = {PL_FIGURE_WHEEL_RATE};
  struct pl_sweep sweep;
  run(bench, figures_of_demo(bench), "front.spring [0.6 N/mm, \"no such\", 3 mm, 0.7 N/mm]",
      figures, 1, &sweep);
  const struct pl_sweep_column *const front =
      column_of(&sweep, PL_FIGURE_WHEEL_RATE, PL_FRONT_LEFT);
  assert_true(isfinite(front->values[0]) && isfinite(front->values[3]));
  assert_true(isnan(front->values[1]) && isnan(front->values[2]));
  assert_non_null(front->why[1]);
  assert_null(front->why[3]);
  size_t count = 0;
  const struct pl_sweep_shown *const shown =
      pl_sweep_shown_of(bench->arena, &sweep, true, PL_METRIC, &count);
  assert_true(pl_sweep_lacks(&sweep, shown, count));
  size_t errors = 0;
  for (size_t i = 0; i < sweep.remark_count; i++) {
    const struct pl_sweep_remark *const remark = &sweep.remarks[i];
    if (!remark->is_error) continue;
    errors++;
    assert_int_equal(remark->count, 1);
    assert_int_equal(remark->points[0], errors);
    assert_string_equal(remark->place, "");
  }
  assert_int_equal(errors, 2);
  const size_t third = 2;
  assert_string_equal(pl_sweep_points_text(bench->arena, &sweep, &third, 1),
                      "front.spring = 3 mm");
}

static void mistakes(void **state) {
  (void)state;
  with_bench(mistakes_stay_with_their_value);
}

/// Warnings about values are told once for all of them.
static void warnings_are_gathered(struct bench *bench) {
  static const enum pl_figure figures[] = {PL_FIGURE_WHEEL_RATE};
  struct pl_sweep sweep;
  run(bench, figures_of_demo(bench), "car.air 60 degC .. 70 degC by 1 degC", figures, 1,
      &sweep);
  size_t own = 0;
  for (size_t i = 0; i < sweep.remark_count; i++) {
    if (sweep.remarks[i].place[0] != '\0') continue;
    own++;
    assert_false(sweep.remarks[i].is_error);
    assert_int_equal(sweep.remarks[i].count, 11);
  }
  assert_int_equal(own, 1);
}

static void warnings(void **state) {
  (void)state;
  with_bench(warnings_are_gathered);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(front_damping),
      cmocka_unit_test(two_settings),
      cmocka_unit_test(mistakes),
      cmocka_unit_test(warnings),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
