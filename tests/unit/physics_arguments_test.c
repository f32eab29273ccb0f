// SPDX-License-Identifier: GPL-3.0-or-later
// Each formula with each of its arguments wrong by itself: no number comes of it. What an
// argument has to be stands in pitleaf/physics.h.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/physics.h"

#include <math.h>

#define MOST_ARGUMENTS 4

#define ONE(name)                                                                              \
  static double call_##name(const double *a) {                                                 \
    return name(a[0]);                                                                         \
  }
#define TWO(name)                                                                              \
  static double call_##name(const double *a) {                                                 \
    return name(a[0], a[1]);                                                                   \
  }
#define THREE(name)                                                                            \
  static double call_##name(const double *a) {                                                 \
    return name(a[0], a[1], a[2]);                                                             \
  }
#define FOUR(name)                                                                             \
  static double call_##name(const double *a) {                                                 \
    return name(a[0], a[1], a[2], a[3]);                                                       \
  }

THREE(pl_torsion_stiffness)
TWO(pl_air_fraction)
TWO(pl_emulsion_viscosity)
TWO(pl_emulsion_density)
TWO(pl_shaft_displacement)
FOUR(pl_oil_expansion)
THREE(pl_final_drive)
TWO(pl_rollout)
THREE(pl_silicone_viscosity)
TWO(pl_dynamic_viscosity)
THREE(pl_oil_density)
TWO(pl_series_rate)
TWO(pl_natural_frequency)
FOUR(pl_damping_ratio)
THREE(pl_axle_roll_rate)
FOUR(pl_roll_arm)
FOUR(pl_roll_gradient)
TWO(pl_seal_squeeze)
TWO(pl_seal_stretch)
FOUR(pl_gland_fill)
TWO(pl_extrusion_gap)
TWO(pl_bushing_overlap)
ONE(pl_round_second_moment)
THREE(pl_euler_load)
THREE(pl_euler_least_length)
FOUR(pl_johnson_load)
THREE(pl_preload_from_collar)
THREE(pl_collar_for_preload)

/// A formula, arguments that are all right, and what each has to be: `p` above zero, `z` zero
/// or more, `s` a share, `f` finite, `-` anything.
struct formula {
  const char *name;
  double (*call)(const double *arguments);
  const char *wants;
  double arguments[MOST_ARGUMENTS];
};

#define FORMULA(name, wants, ...)                                                              \
  {                                                                                            \
#name, call_##name, wants, {                                                               \
      __VA_ARGS__                                                                              \
    }                                                                                          \
  }

static const struct formula formulas[] = {
    FORMULA(pl_torsion_stiffness, "ppp", 8e10, 1e-3, 0.1),
    FORMULA(pl_air_fraction, "zp", 1e-6, 5e-6),
    FORMULA(pl_emulsion_viscosity, "ps", 0.3, 0.1),
    FORMULA(pl_emulsion_density, "ps", 970, 0.1),
    FORMULA(pl_shaft_displacement, "zz", 3e-3, 20e-3),
    FORMULA(pl_oil_expansion, "p-pp", 5e-6, 1e-3, 293, 313),
    FORMULA(pl_final_drive, "ppp", 78, 24, 2.6),
    FORMULA(pl_rollout, "pp", 0.042, 8.45),
    FORMULA(pl_silicone_viscosity, "ppp", 350e-6, 298, 288),
    FORMULA(pl_dynamic_viscosity, "pp", 350e-6, 970),
    FORMULA(pl_oil_density, "p--", 970, 1e-3, 288),
    FORMULA(pl_series_rate, "zz", 500, 300),
    FORMULA(pl_natural_frequency, "zp", 500, 0.4),
    FORMULA(pl_damping_ratio, "--pp", 2, 0.6, 300, 0.4),
    FORMULA(pl_axle_roll_rate, "fpz", 300, 0.2, 1),
    FORMULA(pl_roll_arm, "---s", 0.05, 0.01, 0.02, 0.4),
    FORMULA(pl_roll_gradient, "fpfp", 10, 1.4, 0.03, 9.81),
    FORMULA(pl_seal_squeeze, "pp", 1.78e-3, 1.5e-3),
    FORMULA(pl_seal_stretch, "pp", 2.9e-3, 3e-3),
    FORMULA(pl_gland_fill, "pppp", 1.78e-3, 1, 1.5e-3, 2.2e-3),
    FORMULA(pl_extrusion_gap, "pp", 3.2e-3, 3e-3),
    FORMULA(pl_bushing_overlap, "zz", 10e-3, 2e-3),
    FORMULA(pl_round_second_moment, "p", 3e-3),
    FORMULA(pl_euler_load, "ppp", 2e11, 4e-12, 0.03),
    FORMULA(pl_euler_least_length, "ppp", 2e11, 4e8, 1e-3),
    FORMULA(pl_johnson_load, "pppz", 2e11, 4e8, 3e-3, 0.02),
    FORMULA(pl_preload_from_collar, "pff", 0.06, 0.058, 0.002),
    FORMULA(pl_collar_for_preload, "pff", 0.06, 0.058, 0.002),
};

/// What an argument must not be, as many as `count` says.
static const double *wrong_for(char want, size_t *count) {
  static const double not_positive[] = {NAN, -1.0, 0.0};
  static const double below_zero[] = {NAN, -1.0};
  static const double no_share[] = {NAN, -0.01, 1.01};
  static const double not_finite[] = {NAN, INFINITY, -INFINITY};
  switch (want) {
  case 'p': *count = 3; return not_positive;
  case 'z': *count = 2; return below_zero;
  case 's': *count = 3; return no_share;
  case 'f': *count = 3; return not_finite;
  default: *count = 1; return not_finite; // of anything else, only what is no number
  }
}

static void each_argument_counts(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof formulas / sizeof formulas[0]; i++) {
    const struct formula *const formula = &formulas[i];
    if (!isfinite(formula->call(formula->arguments)))
      fail_msg("%s: nothing comes of what is all right", formula->name);
    for (size_t which = 0; formula->wants[which] != '\0'; which++) {
      size_t count = 0;
      const double *const wrong = wrong_for(formula->wants[which], &count);
      for (size_t k = 0; k < count; k++) {
        double arguments[MOST_ARGUMENTS];
        for (size_t at = 0; at < MOST_ARGUMENTS; at++) arguments[at] = formula->arguments[at];
        arguments[which] = wrong[k];
        const double result = formula->call(arguments);
        if (!isnan(result))
          fail_msg("%s: argument %zu as %g gives %g", formula->name, which + 1, wrong[k],
                   result);
      }
    }
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(each_argument_counts)};
  return cmocka_run_group_tests_name("physics, arguments", tests, NULL, NULL);
}
