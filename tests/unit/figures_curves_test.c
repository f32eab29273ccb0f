// SPDX-License-Identifier: GPL-3.0-or-later
// Curves: they begin and end where they say, go the way that physics goes, carry their marks,
// and agree with the figures of the same setup in value and in slope.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "unit/figures_setup.h"

#define CORNER PL_REAR_LEFT

// A car of two arms, a camber link and a leaning shock; no preload is declared.
#define PARTS(damper)                                                                          \
  "spring \"p\" { wire = 1.2 mm; mean-diameter = 17 mm; total-coils = 14; ends = closed\n"     \
  "  groups = [4 coils gap 1 mm, 8 coils gap 3 mm]; free-length = 52 mm }\n"                   \
  "spring \"i\" { rate = 0.05 N/mm }\n"                                                        \
  "damper \"d\" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm\n"       \
  "  oil-volume = 3 ml; perch-gap = 54 mm; " damper " }\n"
#define CAR                                                                                    \
  "car \"c\" { mass = 1600 g; front-share = 42 %; wheelbase = 280 mm\n"                        \
  "  all { track = 212 mm; tyre-radius = 42 mm; unsprung-mass = 60 g; damper = \"d\"\n"        \
  "    arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm)\n"                              \
  "    wheel-centre = (112 mm, 21 mm); link-inner = (34 mm, 35 mm)\n"                          \
  "    link-outer = (94 mm, 40 mm); shock-top = (50 mm, 90 mm)\n"                              \
  "    shock-bottom = (64 mm, 14 mm) } }\n"
#define SETUP                                                                                  \
  "setup \"s\" { car = \"c\"\n"                                                                \
  "  all { ride-height = 22 mm; spring = \"p\"; oil = 350 cSt; piston = 2 x 1.6 mm }\n"
#define VENTED "compensation = vented"
// Trapped air and a spring inside: everything that pushes.
#define LOADED                                                                                 \
  "compensation = bladder; air-volume = 0.5 ml; charge = 30 kPa; opposed-spring = \"i\""

static const struct pl_curve *curve_of(struct pl_figures *figures, enum pl_curve_kind kind) {
  const struct pl_curve *const curve = pl_curve_make(figures, kind, CORNER);
  if (curve->count == 0) fail_msg("%s is empty", pl_curve_rows[kind].key);
  return curve;
}

static double at_corner(struct pl_figures *figures, enum pl_figure figure) {
  return value_at(figures, figure, CORNER);
}

static const struct pl_curve_mark *mark_of(const struct pl_curve *curve, const char *name) {
  for (size_t i = 0; i < curve->mark_count; i++)
    if (strcmp(curve->marks[i].name, name) == 0) return &curve->marks[i];
  fail_msg("%s has no mark \"%s\"", pl_curve_rows[curve->kind].key, name);
  return curve->marks;
}

static void assert_mark(const struct pl_curve *curve, const char *name, double x, double y) {
  const struct pl_curve_mark *const mark = mark_of(curve, name);
  assert_within(mark->x, x, 1e-9 * fabs(x) + 1e-12);
  assert_within(mark->y, y, 1e-7 * fabs(y) + 1e-12);
}

static void assert_ends(const struct pl_curve *curve, double least, double greatest) {
  assert_within(curve->points[0].x, least, 1e-9 * fabs(least));
  assert_within(curve->points[curve->count - 1].x, greatest, 1e-9 * fabs(greatest));
}

/// Fails unless y rises (1) or falls (-1) all along.
static void assert_goes(const struct pl_curve *curve, int way) {
  for (size_t i = 1; i < curve->count; i++)
    if (!((curve->points[i].y - curve->points[i - 1].y) * way > 0))
      fail_msg("%s turns at point %zu", pl_curve_rows[curve->kind].key, i);
}

/// Six neighbouring points about x, none of them at it.
struct around {
  const struct pl_curve_point *points;
  double x;
};

#define AROUND 6

static struct around around(const struct pl_curve *curve, double x) {
  size_t first = 0;
  while (first + AROUND < curve->count && curve->points[first + AROUND / 2].x < x) first++;
  return (struct around){&curve->points[first], x};
}

/// Value and slope at x of the polynomial through the points about it (Lagrange).
static double value_near(const struct pl_curve *curve, double x, double *slope) {
  const struct around about = around(curve, x);
  double value = 0;
  *slope = 0;
  for (size_t i = 0; i < AROUND; i++) {
    double term = 1;
    double rise = 0; // of the term: the product rule, one factor at a time
    for (size_t j = 0; j < AROUND; j++) {
      if (j == i) continue;
      const double width = about.points[i].x - about.points[j].x;
      rise = rise * (x - about.points[j].x) / width + term / width;
      term *= (x - about.points[j].x) / width;
    }
    value += about.points[i].y * term;
    *slope += about.points[i].y * rise;
  }
  return value;
}

/// Fails unless the curve goes through (x, y) with that slope.
static void assert_passes(const struct pl_curve *curve, double x, double y, double slope) {
  double found = 0;
  assert_within(value_near(curve, x, &found), y, 1e-7 * fabs(y) + 1e-10);
  assert_within(found, slope, 1e-5 * fabs(slope) + 1e-9);
}

// ---------------------------------------------------------------- damper force

// With one set of straight ports and no leak F = c v + k v^2 at any speed, so that F(h)/h and
// F(2h)/(2h) give the slope at rest: twice the first less the second.
static void damper_force_work(struct bench *bench) {
  struct pl_figures *const f =
      figures_of(bench, PARTS(VENTED) CAR SETUP "fast-speed = 400 mm/s }");
  const struct pl_curve *const curve = curve_of(f, PL_CURVE_DAMPER_FORCE);
  assert_ends(curve, -0.4, 0.4);
  assert_goes(curve, 1);
  const struct pl_curve_point *const points = curve->points;
  const size_t last = curve->count - 1;
  const size_t rest = last / 2;
  assert_within(points[rest].x, 0, 1e-15);
  assert_within(points[rest].y, 0, 1e-12);
  assert_near(points[last].y, 0.4 * at_corner(f, PL_FIGURE_DAMPING_FAST_COMPRESSION), 1e-9);
  assert_near(points[0].y, -0.4 * at_corner(f, PL_FIGURE_DAMPING_FAST_REBOUND), 1e-9);
  const double one = points[rest + 1].y / points[rest + 1].x;
  const double two = points[rest + 2].y / points[rest + 2].x;
  assert_near(2 * one - two, at_corner(f, PL_FIGURE_DAMPING_SLOW_COMPRESSION), 1e-8);
  const double back = points[rest - 1].y / points[rest - 1].x;
  const double further = points[rest - 2].y / points[rest - 2].x;
  assert_near(2 * back - further, at_corner(f, PL_FIGURE_DAMPING_SLOW_REBOUND), 1e-8);
}

// The mark stands where the pressure over the piston is one atmosphere, if that is on the
// curve.
static void cavitation_is_marked_work(struct bench *bench) {
  struct pl_figures *f = figures_of(bench, PARTS(VENTED) CAR SETUP "fast-speed = 900 mm/s }");
  const double area = 3.14159265358979323846 / 4 * (12e-3 * 12e-3 - 3e-3 * 3e-3);
  assert_mark(curve_of(f, PL_CURVE_DAMPER_FORCE), "cavitation",
              at_corner(f, PL_FIGURE_CAVITATION_SPEED), 101325 * area);
  f = figures_of(bench, PARTS(VENTED) CAR SETUP "fast-speed = 60 mm/s }");
  assert_int_equal((int)curve_of(f, PL_CURVE_DAMPER_FORCE)->mark_count, 0);
}

// ---------------------------------------------------------------- damping and temperature

/// The slow damping ratio with the oil at that temperature.
static double ratio_at(struct bench *bench, const char *form, double celsius) {
  return at_corner(figures_of(bench, pl_format(bench->arena, form, celsius)),
                   PL_FIGURE_DAMPING_RATIO_SLOW);
}

// Today is what the figure says, and so is any other day when it comes; bubbles in the oil too.
static void damping_and_temperature_work(struct bench *bench) {
  static const char *const at[] = {PARTS(VENTED) CAR SETUP "oil-temperature = %g degC }",
                                   PARTS("compensation = emulsion; air-volume = 0.45 ml")
                                       CAR SETUP
                                   "oil-temperature = %g degC; all { preload = 3 mm } }"};
  for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
    struct pl_figures *const f = figures_of(bench, pl_format(bench->arena, at[i], 20.0));
    const struct pl_curve *const curve = curve_of(f, PL_CURVE_DAMPING_TEMPERATURE);
    assert_ends(curve, 273.15 - 5, 273.15 + 60);
    assert_goes(curve, -1); // oil thins
    assert_mark(curve, "today", 293.15, at_corner(f, PL_FIGURE_DAMPING_RATIO_SLOW));
    double slope = 0;
    assert_near(value_near(curve, 273.15 + 41, &slope), ratio_at(bench, at[i], 41), 1e-8);
    assert_near(curve->points[0].y, ratio_at(bench, at[i], -5), 1e-9);
  }
}

// A shock hotter than the usual span is on its curve all the same.
static void hot_shocks_are_on_the_curve_work(struct bench *bench) {
  struct pl_figures *const f =
      figures_of(bench, PARTS(VENTED) CAR SETUP "oil-temperature = 80 degC }");
  const struct pl_curve *const curve = curve_of(f, PL_CURVE_DAMPING_TEMPERATURE);
  assert_ends(curve, 273.15 - 5, 273.15 + 80);
  assert_mark(curve, "today", 353.15, at_corner(f, PL_FIGURE_DAMPING_RATIO_SLOW));
  assert_near(curve->points[curve->count - 1].y, at_corner(f, PL_FIGURE_DAMPING_RATIO_SLOW),
              1e-9);
}

// ---------------------------------------------------------------- along the wheel's travel

static void assert_stroke(struct pl_figures *figures, const struct pl_curve *curve) {
  const double droop = -at_corner(figures, PL_FIGURE_DROOP_TRAVEL);
  const double bump = at_corner(figures, PL_FIGURE_BUMP_TRAVEL);
  assert_ends(curve, droop, bump);
  assert_int_equal((int)curve->mark_count, 3);
  assert_near(mark_of(curve, "full droop")->x, droop, 1e-9);
  assert_within(mark_of(curve, "ride height")->x, 0, 0);
  assert_near(mark_of(curve, "full bump")->x, bump, 1e-9);
}

// With the preload that it needs the corner carries its weight at ride height, and the slope
// there is the wheel rate; that holds for springs alone and for all that can push.
static void wheel_force_work(struct bench *bench) {
  static const char *const texts[] = {PARTS(VENTED) CAR SETUP "}", PARTS(LOADED) CAR SETUP "}"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    struct pl_figures *const f = figures_of(bench, texts[i]);
    const struct pl_curve *const curve = curve_of(f, PL_CURVE_WHEEL_FORCE);
    assert_stroke(f, curve);
    assert_goes(curve, 1);
    const double weight = at_corner(f, PL_FIGURE_SPRUNG_MASS) * 9.80665;
    assert_mark(curve, "ride height", 0, weight);
    assert_passes(curve, 0, weight, at_corner(f, PL_FIGURE_WHEEL_RATE));
    assert_mark(curve, "full droop", -at_corner(f, PL_FIGURE_DROOP_TRAVEL),
                at_corner(f, PL_FIGURE_MOTION_RATIO_DROOP) *
                    (at_corner(f, PL_FIGURE_PRELOAD_FORCE) +
                     at_corner(f, PL_FIGURE_GAS_FORCE_EXTENDED)));
  }
}

static void motion_ratio_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, PARTS(VENTED) CAR SETUP "}");
  const struct pl_curve *const curve = curve_of(f, PL_CURVE_MOTION_RATIO);
  assert_stroke(f, curve);
  assert_near(mark_of(curve, "full droop")->y, at_corner(f, PL_FIGURE_MOTION_RATIO_DROOP),
              1e-9);
  assert_near(mark_of(curve, "full bump")->y, at_corner(f, PL_FIGURE_MOTION_RATIO_BUMP), 1e-9);
  assert_passes(curve, 0, at_corner(f, PL_FIGURE_MOTION_RATIO),
                at_corner(f, PL_FIGURE_MOTION_RATIO_SLOPE));
}

// Through the declared camber at ride height, or through zero; its slope is the camber gain.
static void camber_work(struct bench *bench) {
  struct pl_figures *f =
      figures_of(bench, PARTS(VENTED) CAR SETUP "all { camber = -1.5 deg } }");
  const double declared = -1.5 * 3.14159265358979323846 / 180;
  const struct pl_curve *const curve = curve_of(f, PL_CURVE_CAMBER);
  assert_stroke(f, curve);
  assert_goes(curve, -1); // the shorter upper link pulls the top in
  assert_mark(curve, "ride height", 0, declared);
  assert_passes(curve, 0, declared, at_corner(f, PL_FIGURE_CAMBER_GAIN));
  f = figures_of(bench, PARTS(VENTED) CAR SETUP "}");
  const struct pl_curve *const from_zero = curve_of(f, PL_CURVE_CAMBER);
  assert_within(mark_of(from_zero, "ride height")->y, 0, 1e-12);
  for (size_t i = 0; i < curve->count; i++)
    assert_within(curve->points[i].y - from_zero->points[i].y, declared, 1e-12);
}

// ---------------------------------------------------------------- spring force

// One coil: 11.85 Mpsi (Shigley, 10th ed., Table 10-5) (1.2 mm)^4/(8 (17 mm)^3) = 4.31 N/mm.
// The four close first; all touch after 4 1 + 8 3 = 28 mm.
static void spring_force_work(struct bench *bench) {
  struct pl_figures *const f =
      figures_of(bench, PARTS(VENTED) CAR SETUP "all { preload = 5 mm } }");
  const struct pl_curve *const curve = curve_of(f, PL_CURVE_SPRING_FORCE);
  assert_ends(curve, 0, 28e-3); // the coils touch before 5 + 24 mm
  assert_within(curve->points[0].y, 0, 0);
  assert_goes(curve, 1);
  assert_mark(curve, "full extension", 5e-3, at_corner(f, PL_FIGURE_PRELOAD_FORCE));
  assert_mark(curve, "ride height", at_corner(f, PL_FIGURE_SPRING_DEFLECTION),
              at_corner(f, PL_FIGURE_SPRING_FORCE));
  const double coil = 11.85 * 6894.757293168361e6 * 1.2e-3 * 1.2e-3 * 1.2e-3 * 1.2e-3 /
                      (8 * 17e-3 * 17e-3 * 17e-3);
  assert_mark(curve, "coils touch", 28e-3, coil * 3e-3);
  double slope = 0;
  value_near(curve, 3e-3, &slope);
  assert_near(slope, coil / 12, 1e-9);
  value_near(curve, 20e-3, &slope);
  assert_near(slope, coil / 8, 1e-9);
}

// A spring that hangs loose touches at no place of full extension; without a shock the curve
// goes as far as 20 mm.
static void loose_and_lone_springs_work(struct bench *bench) {
  struct pl_figures *f = figures_of(bench, PARTS(VENTED) CAR SETUP "all { collar = 0.5 mm } }");
  const struct pl_curve *const loose = curve_of(f, PL_CURVE_SPRING_FORCE);
  assert_ends(loose, 0, 24e-3 - 1.5e-3); // 52 mm of spring in 54 mm - 0.5 mm
  assert_int_equal((int)loose->mark_count, 1);
  assert_mark(loose, "ride height", at_corner(f, PL_FIGURE_SPRING_DEFLECTION),
              at_corner(f, PL_FIGURE_SPRING_FORCE));
  f = figures_of(bench, "setup \"s\" { all { spring = 0.5 N/mm } }");
  const struct pl_curve *const lone = curve_of(f, PL_CURVE_SPRING_FORCE);
  assert_ends(lone, 0, 20e-3);
  assert_near(lone->points[lone->count - 1].y, 10, 1e-12);
  assert_int_equal((int)lone->need_count, 0);
}

// ---------------------------------------------------------------- all of them

// Of every demo, everywhere: x rises, marks stand on the line and between its ends.
static void demo_curves_are_sound_work(struct bench *bench) {
  static const char *const demos[] = {
      "sheets/sluice-lane/plover-dry.leaf", "sheets/sluice-lane/turnstone-dry.leaf",
      "sheets/short-oval/knot.leaf", "sheets/dune-ladder/dunlin.leaf"};
  for (size_t i = 0; i < sizeof demos / sizeof demos[0]; i++) {
    struct pl_figures *const f = figures_in(program_of_file(bench, demos[i]), NULL, NULL);
    for (int k = 0; k < PL_CURVE_COUNT; k++) {
      const struct pl_curve *const curve = curve_of(f, (enum pl_curve_kind)k);
      assert_int_equal((int)curve->kind, k);
      for (size_t p = 1; p < curve->count; p++)
        assert_true(curve->points[p].x > curve->points[p - 1].x);
      const double span = curve->points[curve->count - 1].x - curve->points[0].x;
      for (size_t m = 0; m < curve->mark_count; m++) {
        const struct pl_curve_mark *const mark = &curve->marks[m];
        assert_true(mark->x >= curve->points[0].x - 1e-9 * span);
        assert_true(mark->x <= curve->points[0].x + span * (1 + 1e-9));
        const struct around about = around(curve, mark->x);
        double least = INFINITY;
        double greatest = -INFINITY;
        for (size_t p = 0; p < AROUND; p++) {
          least = fmin(least, about.points[p].y);
          greatest = fmax(greatest, about.points[p].y);
        }
        if (mark->y < least - 1e-9 || mark->y > greatest + 1e-9)
          fail_msg("%s: \"%s\" is off %s", demos[i], mark->name, pl_curve_rows[k].key);
      }
    }
  }
}

/// The keys that a curve of a text needs, blank-separated.
static const char *needs_of(struct bench *bench, const char *text, enum pl_curve_kind kind) {
  const struct pl_curve *const curve = pl_curve_make(figures_of(bench, text), kind, CORNER);
  struct pl_buffer needs = {.arena = bench->arena};
  assert_int_equal((int)curve->count, 0);
  assert_int_equal((int)curve->mark_count, 0);
  for (size_t i = 0; i < curve->need_count; i++)
    pl_buffer_format(&needs, "%s%s", i == 0 ? "" : " ", curve->needs[i]);
  return pl_buffer_string(&needs);
}

#define POINTS_OF_LINKAGE "arm-inner arm-outer wheel-centre shock-top shock-bottom"

static void what_curves_need_work(struct bench *bench) {
  const char *const nothing = "setup \"s\" { }";
  assert_string_equal(needs_of(bench, nothing, PL_CURVE_SPRING_FORCE), "spring");
  assert_string_equal(needs_of(bench, nothing, PL_CURVE_DAMPER_FORCE), "piston damper oil");
  assert_string_equal(needs_of(bench, nothing, PL_CURVE_MOTION_RATIO),
                      POINTS_OF_LINKAGE " tyre-radius ride-height damper");
  for (int k = 0; k < PL_CURVE_COUNT; k++)
    assert_string_not_equal(needs_of(bench, nothing, (enum pl_curve_kind)k), "");
  // One thing is missing: it alone is named.
  const char *const no_link =
      PARTS(VENTED) "car \"c\" { all { tyre-radius = 42 mm; damper = \"d\"\n"
                    "  arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm)\n"
                    "  wheel-centre = (112 mm, 21 mm); shock-top = (50 mm, 90 mm)\n"
                    "  shock-bottom = (64 mm, 14 mm) } }\n" SETUP "all { preload = 3 mm } }";
  assert_string_equal(needs_of(bench, no_link, PL_CURVE_CAMBER), "link-inner link-outer");
  assert_string_equal(needs_of(bench, no_link, PL_CURVE_DAMPING_TEMPERATURE),
                      "mass front-share unsprung-mass");
  assert_true(curve_of(figures_of(bench, no_link), PL_CURVE_WHEEL_FORCE)->count > 2);
}

static void curves_by_their_keys_work(struct bench *bench) {
  (void)bench;
  for (int k = 0; k < PL_CURVE_COUNT; k++)
    assert_int_equal((int)pl_curve_of(pl_curve_rows[k].key), k);
  assert_int_equal((int)pl_curve_of("wheel-forc"), PL_CURVE_COUNT);
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
// What a curve over time marks is what the simulation tells, though it steps otherwise. From
// some of the heights the touch and the first moment of the curve are all but one.
static void curves_over_time_work(struct bench *bench) {
  static const struct {
    enum pl_curve_kind kind;
    enum pl_result result;
    const char *mark;
  } curves[] = {{PL_CURVE_DROP_HEIGHT, PL_RESULT_CHASSIS_LOWEST, "lowest"},
                {PL_CURVE_DROP_SPEED, PL_RESULT_SHAFT_IN, "greatest"},
                {PL_CURVE_DROP_FORCE, PL_RESULT_TYRE_FORCE, "greatest"},
                {PL_CURVE_BUMP_HEIGHT, PL_RESULT_CHASSIS_LOWEST, "lowest"},
                {PL_CURVE_BUMP_SPEED, PL_RESULT_SHAFT_IN, "greatest"},
                {PL_CURVE_BUMP_FORCE, PL_RESULT_TYRE_FORCE, "greatest"}};
  struct pl_figures *const f =
      figures_of(bench, PARTS(LOADED) CAR SETUP "all { tyre-rate = 2.5 N/mm } }");
  struct pl_simulation drop = pl_usual_drop;
  for (int height = 50; height <= 600; height += 50) {
    drop.height = 1e-3 * height;
    pl_figures_choose_simulation(f, &drop);
    for (size_t i = 0; i < sizeof curves / sizeof curves[0]; i++) {
      const struct pl_curve *const curve = curve_of(f, curves[i].kind);
      const double told =
          pl_simulate(f, curve->simulation, 0, false, CORNER)->values[curves[i].result];
      assert_within(mark_of(curve, curves[i].mark)->y, told, 1e-3 * fabs(told) + 1e-6);
    }
  }
}

CASE(damper_force)
CASE(cavitation_is_marked)
CASE(damping_and_temperature)
CASE(hot_shocks_are_on_the_curve)
CASE(wheel_force)
CASE(motion_ratio)
CASE(camber)
CASE(spring_force)
CASE(loose_and_lone_springs)
CASE(curves_over_time)
CASE(demo_curves_are_sound)
CASE(what_curves_need)
CASE(curves_by_their_keys)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(damper_force),
      cmocka_unit_test(cavitation_is_marked),
      cmocka_unit_test(damping_and_temperature),
      cmocka_unit_test(hot_shocks_are_on_the_curve),
      cmocka_unit_test(wheel_force),
      cmocka_unit_test(motion_ratio),
      cmocka_unit_test(camber),
      cmocka_unit_test(spring_force),
      cmocka_unit_test(loose_and_lone_springs),
      cmocka_unit_test(curves_over_time),
      cmocka_unit_test(demo_curves_are_sound),
      cmocka_unit_test(what_curves_need),
      cmocka_unit_test(curves_by_their_keys),
  };
  return cmocka_run_group_tests_name("figures: curves", tests, NULL, NULL);
}
