// SPDX-License-Identifier: GPL-3.0-or-later
// Oils and blends: fits that pass through their points, blends between their parts, refusals.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <gsl/gsl_fit.h>

#include "chance.h"
#include "near.h"
#include "pitleaf/physics.h"

#define CENTISTOKES 1e-6

static double kelvin(double celsius) {
  return celsius + PL_ZERO_CELSIUS;
}

static struct pl_oil_law silicone(double viscosity) {
  struct pl_oil_law law;
  assert_true(pl_oil_law_silicone(viscosity * CENTISTOKES, PL_OIL_NAMED_AT, &law));
  return law;
}

static void silicone_returns_its_input(void **state) {
  (void)state;
  struct pl_chance chance = {41};
  for (int i = 0; i < 500; i++) {
    const double viscosity = pl_chance_scale(&chance, 1.0, 1e6) * CENTISTOKES;
    const double at = kelvin(pl_chance_between(&chance, -20.0, 100.0));
    const double other = kelvin(pl_chance_between(&chance, -20.0, 100.0));
    struct pl_oil_law law;
    assert_true(pl_oil_law_silicone(viscosity, at, &law));
    assert_near(pl_oil_viscosity(&law, at), viscosity, 0.0);
    // Named by its viscosity at another temperature it is the same oil.
    struct pl_oil_law same;
    assert_true(pl_oil_law_silicone(pl_oil_viscosity(&law, other), other, &same));
    assert_near(pl_oil_viscosity(&same, kelvin(31.0)), pl_oil_viscosity(&law, kelvin(31.0)),
                1e-12);
  }
}

static void two_points_are_met(void **state) {
  (void)state;
  struct pl_chance chance = {42};
  for (int i = 0; i < 500; i++) {
    struct pl_oil_point points[2];
    points[0].viscosity = pl_chance_scale(&chance, 5.0, 1e5) * CENTISTOKES;
    points[0].temperature = kelvin(pl_chance_between(&chance, -10.0, 40.0));
    points[1].viscosity = points[0].viscosity * pl_chance_between(&chance, 0.2, 0.9);
    points[1].temperature = points[0].temperature + pl_chance_between(&chance, 10.0, 60.0);
    struct pl_oil_law law;
    assert_true(pl_oil_law_fit(points, 2, &law));
    for (size_t k = 0; k < 2; k++)
      assert_near(pl_oil_viscosity(&law, points[k].temperature), points[k].viscosity, 1e-10);
    // Between them it thins without a turn.
    double before = INFINITY;
    for (double t = points[0].temperature; t <= points[1].temperature; t += 1.0) {
      assert_true(pl_oil_viscosity(&law, t) < before);
      before = pl_oil_viscosity(&law, t);
    }
  }
}

// More points than two: the line of the GNU Scientific Library through the same logarithms.
static void more_points_are_fitted(void **state) {
  (void)state;
  struct pl_chance chance = {43};
  for (int i = 0; i < 200; i++) {
    struct pl_oil_point points[5];
    double x[5];
    double y[5];
    for (size_t k = 0; k < 5; k++) {
      points[k].temperature = kelvin(10.0 + 20.0 * (double)k);
      points[k].viscosity =
          pl_silicone_viscosity(350e-6, PL_OIL_NAMED_AT, points[k].temperature) *
          pl_chance_between(&chance, 0.95, 1.05);
      x[k] = log10(points[k].temperature);
      y[k] = log10(log10(points[k].viscosity / CENTISTOKES + 0.7));
    }
    double intercept;
    double slope;
    double cov00;
    double cov01;
    double cov11;
    double sum;
    gsl_fit_linear(x, 1, y, 1, 5, &intercept, &slope, &cov00, &cov01, &cov11, &sum);
    struct pl_oil_law law;
    assert_true(pl_oil_law_fit(points, 5, &law));
    assert_near(law.parts[0].a, intercept, 1e-10);
    assert_near(law.parts[0].b, -slope, 1e-10);
  }
}

static void fits_that_are_refused(void **state) {
  (void)state;
  struct pl_oil_law law;
  struct pl_oil_point points[] = {{350e-6, 298.15}, {150e-6, 348.15}};
  assert_false(pl_oil_law_fit(points, 0, &law));
  assert_false(pl_oil_law_fit(points, 1, &law));
  assert_nan(pl_oil_viscosity(&law, 300.0));
  points[1].viscosity = 400e-6; // thickens with heat
  assert_false(pl_oil_law_fit(points, 2, &law));
  points[1].viscosity = 0.3e-6; // 0.3 mm2/s: no double logarithm
  assert_false(pl_oil_law_fit(points, 2, &law));
  points[1] = (struct pl_oil_point){150e-6, 298.15};
  assert_false(pl_oil_law_fit(points, 2, &law));
  points[1] = (struct pl_oil_point){NAN, 348.15};
  assert_false(pl_oil_law_fit(points, 2, &law));
  points[1] = (struct pl_oil_point){150e-6, -5.0};
  assert_false(pl_oil_law_fit(points, 2, &law));
  points[1] = (struct pl_oil_point){350e-6, 348.15}; // neither thins nor thickens
  assert_false(pl_oil_law_fit(points, 2, &law));
  // The first point counts as the others do.
  static const double bad_temperatures[] = {0.0, -5.0, NAN, INFINITY, -INFINITY};
  for (size_t i = 0; i < sizeof bad_temperatures / sizeof bad_temperatures[0]; i++) {
    const struct pl_oil_point first[] = {{350e-6, bad_temperatures[i]}, {150e-6, 348.15}};
    const struct pl_oil_point last[] = {{350e-6, 298.15}, {150e-6, bad_temperatures[i]}};
    assert_false(pl_oil_law_fit(first, 2, &law));
    assert_false(pl_oil_law_fit(last, 2, &law));
  }
  static const double bad_viscosities[] = {0.3e-6, 0.0, -1e-6, NAN, INFINITY};
  for (size_t i = 0; i < sizeof bad_viscosities / sizeof bad_viscosities[0]; i++) {
    const struct pl_oil_point first[] = {{bad_viscosities[i], 298.15}, {150e-6, 348.15}};
    assert_false(pl_oil_law_fit(first, 2, &law));
  }
  // Measured three times at one temperature, whatever rounding makes of the mean.
  for (double t = 280.0; t < 320.0; t += 0.37) {
    const struct pl_oil_point same[] = {{350e-6, t}, {340e-6, t}, {360e-6, t}};
    assert_false(pl_oil_law_fit(same, 3, &law));
  }
  points[1].viscosity = 400e-6;
  // What was in the law before is no longer read.
  law = silicone(300.0);
  assert_false(pl_oil_law_silicone(-1.0, 298.15, &law));
  assert_nan(pl_oil_viscosity(&law, 300.0));
  law = silicone(300.0);
  assert_false(pl_oil_law_fit(points, 2, &law));
  assert_nan(pl_oil_viscosity(&law, 300.0));
  assert_nan(pl_oil_beyond_data(&law, 300.0));
  law = silicone(300.0);
  const struct pl_oil_law parts[] = {silicone(300.0), silicone(400.0)};
  const double short_shares[] = {0.5, 0.4};
  assert_false(pl_oil_law_blend(parts, short_shares, 2, &law));
  assert_nan(pl_oil_viscosity(&law, 300.0));
  assert_false(pl_oil_law_silicone(1e-4, 0.0, &law));
  assert_nan(pl_silicone_viscosity(1e-4, 298.15, NAN));
}

static void a_blend_lies_between_its_parts(void **state) {
  (void)state;
  struct pl_chance chance = {44};
  const struct pl_oil_point points[] = {{500e-6, kelvin(20.0)}, {90e-6, kelvin(70.0)}};
  for (int i = 0; i < 500; i++) {
    struct pl_oil_law laws[2] = {silicone(pl_chance_scale(&chance, 50.0, 2000.0))};
    assert_true(pl_oil_law_fit(points, 2, &laws[1]));
    const double share = pl_chance_between(&chance, 0.0, 1.0);
    const double shares[] = {share, 1.0 - share};
    struct pl_oil_law blend;
    assert_true(pl_oil_law_blend(laws, shares, 2, &blend));
    const double t = kelvin(pl_chance_between(&chance, 0.0, 80.0));
    const double one = pl_oil_viscosity(&laws[0], t);
    const double two = pl_oil_viscosity(&laws[1], t);
    const double both = pl_oil_viscosity(&blend, t);
    assert_true(both >= fmin(one, two) * (1.0 - 1e-12));
    assert_true(both <= fmax(one, two) * (1.0 + 1e-12));
    const double viscosities[] = {one, two};
    assert_near(both, pl_blend_viscosity(viscosities, shares, 2), 1e-12);
  }
}

// A blend of like oils is that oil; of silicone oils, a silicone oil.
static void blends_of_one_kind(void **state) {
  (void)state;
  const struct pl_oil_law laws[] = {silicone(300.0), silicone(400.0)};
  const double shares[] = {0.6, 0.4};
  struct pl_oil_law blend;
  assert_true(pl_oil_law_blend(laws, shares, 2, &blend));
  const double at_25 = pl_oil_viscosity(&blend, PL_OIL_NAMED_AT);
  assert_near(at_25, pow(300.0, 0.6) * pow(400.0, 0.4) * CENTISTOKES, 1e-12);
  assert_near(pl_oil_viscosity(&blend, kelvin(5.0)),
              pl_silicone_viscosity(at_25, PL_OIL_NAMED_AT, kelvin(5.0)), 1e-12);
  const struct pl_oil_law same[] = {laws[0], laws[0]};
  assert_true(pl_oil_law_blend(same, shares, 2, &blend));
  assert_near(pl_oil_viscosity(&blend, 280.0), pl_oil_viscosity(&laws[0], 280.0), 1e-12);
}

static void blends_of_blends(void **state) {
  (void)state;
  const struct pl_oil_law laws[] = {silicone(300.0), silicone(400.0)};
  const double halves[] = {0.5, 0.5};
  struct pl_oil_law blend[2];
  assert_true(pl_oil_law_blend(laws, halves, 2, &blend[0]));
  blend[1] = laws[0];
  struct pl_oil_law again;
  assert_true(pl_oil_law_blend(blend, halves, 2, &again));
  assert_near(pl_oil_viscosity(&again, PL_OIL_NAMED_AT),
              pow(300.0, 0.75) * pow(400.0, 0.25) * CENTISTOKES, 1e-12);
  // Eight parts fit, nine do not.
  struct pl_oil_law many[PL_OIL_PARTS + 1];
  double shares[PL_OIL_PARTS + 1];
  for (size_t i = 0; i <= PL_OIL_PARTS; i++) {
    many[i] = laws[0];
    shares[i] = 1.0 / PL_OIL_PARTS;
  }
  assert_true(pl_oil_law_blend(many, shares, PL_OIL_PARTS, &again));
  assert_near(pl_oil_viscosity(&again, PL_OIL_NAMED_AT), 300.0 * CENTISTOKES, 1e-12);
  assert_within(pl_oil_beyond_data(&again, PL_OIL_NAMED_AT), 0.0, 0.0);
  for (size_t i = 0; i <= PL_OIL_PARTS; i++) shares[i] = 1.0 / (PL_OIL_PARTS + 1);
  assert_false(pl_oil_law_blend(many, shares, PL_OIL_PARTS + 1, &again));
  assert_nan(pl_oil_viscosity(&again, 298.15));
}

static void shares_must_add_up(void **state) {
  (void)state;
  const struct pl_oil_law laws[] = {silicone(300.0), silicone(400.0)};
  const double viscosities[] = {300e-6, 400e-6};
  struct pl_oil_law blend;
  const double wrong[][2] = {{0.5, 0.4}, {0.7, 0.4}, {1.2, -0.2}, {NAN, 0.5}};
  for (size_t i = 0; i < 4; i++) {
    assert_false(pl_oil_law_blend(laws, wrong[i], 2, &blend));
    assert_nan(pl_blend_viscosity(viscosities, wrong[i], 2));
  }
  assert_false(pl_oil_law_blend(laws, wrong[0], 0, &blend));
  const double all[] = {1.0, 0.0};
  assert_true(pl_oil_law_blend(laws, all, 2, &blend));
  assert_near(pl_oil_viscosity(&blend, 298.15), 300e-6, 1e-12);
}

static void distance_from_the_data(void **state) {
  (void)state;
  const struct pl_oil_point points[] = {{350e-6, kelvin(25.0)}, {150e-6, kelvin(75.0)}};
  struct pl_oil_law laws[2] = {silicone(300.0)};
  assert_true(pl_oil_law_fit(points, 2, &laws[1]));
  assert_within(pl_oil_beyond_data(&laws[1], kelvin(50.0)), 0.0, 0.0);
  assert_near(pl_oil_beyond_data(&laws[1], kelvin(5.0)), 20.0, 1e-12);
  assert_near(pl_oil_beyond_data(&laws[1], kelvin(110.0)), 35.0, 1e-12);
  assert_within(pl_oil_beyond_data(&laws[0], kelvin(110.0)), 0.0, 0.0);
  assert_near(pl_oil_beyond_data(&laws[0], kelvin(-30.0)), 5.0, 1e-12);
  const double halves[] = {0.5, 0.5};
  struct pl_oil_law blend;
  assert_true(pl_oil_law_blend(laws, halves, 2, &blend));
  assert_near(pl_oil_beyond_data(&blend, kelvin(110.0)), 35.0, 1e-12);
  assert_nan(pl_oil_beyond_data(&blend, NAN));
}

static void density_and_dynamic_viscosity(void **state) {
  (void)state;
  assert_near(pl_oil_density(970.0, 9.6e-4, kelvin(25.0)), 970.0, 0.0);
  assert_near(pl_oil_density(970.0, 9.6e-4, kelvin(75.0)), 970.0 / 1.048, 1e-12);
  assert_nan(pl_oil_density(0.0, 9.6e-4, 298.15));
  assert_nan(pl_oil_density(970.0, 1.0, 200.0));
  assert_near(pl_dynamic_viscosity(350e-6, 970.0), 0.3395, 1e-12);
  assert_nan(pl_dynamic_viscosity(NAN, 970.0));
}

// From 1 to 1e6 cSt and far beyond any track's weather: a number or NaN, never a trap.
static void ends_of_ranges(void **state) {
  (void)state;
  const struct pl_oil_point points[] = {{350e-6, kelvin(25.0)}, {150e-6, kelvin(75.0)}};
  struct pl_oil_law fitted;
  assert_true(pl_oil_law_fit(points, 2, &fitted));
  for (double viscosity = 1.0; viscosity <= 1e6; viscosity *= 10.0) {
    const struct pl_oil_law law = silicone(viscosity);
    for (double celsius = -100.0; celsius <= 300.0; celsius += 20.0)
      assert_true(pl_oil_viscosity(&law, kelvin(celsius)) > 0.0);
  }
  assert_true(pl_oil_viscosity(&fitted, kelvin(-60.0)) > 350e-6);
  assert_true(pl_oil_viscosity(&fitted, kelvin(300.0)) > 0.0);
  assert_nan(pl_oil_viscosity(&fitted, 0.0));
  assert_nan(pl_oil_viscosity(&fitted, 1.0)); // overflows
  assert_nan(pl_oil_viscosity(&fitted, -5.0));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(silicone_returns_its_input),
      cmocka_unit_test(two_points_are_met),
      cmocka_unit_test(more_points_are_fitted),
      cmocka_unit_test(fits_that_are_refused),
      cmocka_unit_test(a_blend_lies_between_its_parts),
      cmocka_unit_test(blends_of_one_kind),
      cmocka_unit_test(blends_of_blends),
      cmocka_unit_test(shares_must_add_up),
      cmocka_unit_test(distance_from_the_data),
      cmocka_unit_test(density_and_dynamic_viscosity),
      cmocka_unit_test(ends_of_ranges),
  };
  return cmocka_run_group_tests_name("oil", tests, NULL, NULL);
}
