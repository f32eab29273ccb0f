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

#define MOST_ARGUMENTS 15

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
FOUR(pl_coil_spring_rate)
FOUR(pl_coil_spring_active_coils)
THREE(pl_coil_spring_stress)
ONE(pl_bergstraesser_factor)
FOUR(pl_buckling_load)
THREE(pl_bladder_margin)

// What takes a struct gets its members in their order, and then what else it takes.

static double call_pl_bar_rate(const double *a) {
  const struct pl_bar bar = {a[0], a[1], a[2], a[3], a[4], a[5]};
  return pl_bar_rate(&bar);
}

static double call_pl_bar_roll_rate(const double *a) {
  const struct pl_bar bar = {a[0], a[1], a[2], a[3], a[4], a[5]};
  return pl_bar_roll_rate(&bar, a[6]);
}

static double call_pl_gas_pressure(const double *a) {
  const struct pl_gas_chamber gas = {a[0], a[1], a[2], a[3], a[4]};
  return pl_gas_pressure(&gas, a[5]);
}

static double call_pl_gas_rate(const double *a) {
  const struct pl_gas_chamber gas = {a[0], a[1], a[2], a[3], a[4]};
  return pl_gas_rate(&gas, a[5]);
}

static double call_pl_corner_masses(const double *a) {
  const struct pl_mass_layout layout = {a[0], a[1], a[2], a[3], a[4], a[5]};
  const struct pl_point_mass ballast = {a[6], a[7], a[8]};
  struct pl_corner_masses masses;
  const bool possible = pl_corner_masses(&layout, &ballast, 1, &masses);
  return possible ? masses.front_left : NAN;
}

static double call_pl_load_transfer(const double *a) {
  const struct pl_roll_axle front = {a[0], a[1], a[2], a[3], a[4], a[5]};
  const struct pl_roll_axle rear = {a[6], a[7], a[8], a[9], a[10], a[11]};
  struct pl_load_transfer front_transfer;
  struct pl_load_transfer rear_transfer;
  const bool possible =
      pl_load_transfer(&front, &rear, a[12], a[13], a[14], &front_transfer, &rear_transfer);
  return possible ? front_transfer.total + rear_transfer.total : NAN;
}

static double call_pl_port_law(const double *a) {
  const struct pl_fluid fluid = {a[3], a[4]};
  const struct pl_port_law law = pl_port_law(a[0], a[1], a[2], &fluid);
  return isnan(law.linear) && isnan(law.quadratic) ? NAN : 1.0;
}

static struct pl_piston piston_of(const double *a) {
  return (struct pl_piston){.set_count = 1,
                            .sets = {{a[0], a[1], a[2], PL_FLOW_COMPRESSION, a[3]}},
                            .thickness = a[4],
                            .diameter = a[5],
                            .bore = a[6],
                            .shaft = a[7]};
}

static double call_pl_piston_pressure(const double *a) {
  const struct pl_piston piston = piston_of(a);
  const struct pl_fluid fluid = {a[8], a[9]};
  return pl_piston_pressure(&piston, &fluid, a[10]);
}

static double call_pl_cavitation_speed(const double *a) {
  const struct pl_piston piston = piston_of(a);
  const struct pl_fluid fluid = {a[8], a[9]};
  return pl_cavitation_speed(&piston, &fluid, a[10]);
}

static double call_pl_piston_slow_damping(const double *a) {
  const struct pl_piston piston = piston_of(a);
  const struct pl_fluid fluid = {a[8], a[9]};
  return pl_piston_slow_damping(&piston, &fluid, true);
}

static double call_pl_pack_speed(const double *a) {
  const struct pl_piston piston = piston_of(a);
  const struct pl_fluid fluid = {a[8], a[9]};
  return pl_pack_speed(&piston, &fluid);
}

static double call_pl_pumped_area(const double *a) {
  const struct pl_piston piston = {.bore = a[0], .shaft = a[1]};
  return pl_pumped_area(&piston);
}

static double call_pl_spring_curve_groups(const double *a) {
  const struct pl_spring_group group = {a[0], a[1], a[2]};
  struct pl_spring_curve curve;
  return pl_spring_curve_groups(&group, 1, &curve) ? 1.0 : NAN;
}

static double call_pl_spring_curve_table(const double *a) {
  const struct pl_spring_knot knots[] = {{a[0], a[1]}, {a[2], a[3]}};
  struct pl_spring_curve curve;
  return pl_spring_curve_table(knots, 2, &curve) ? 1.0 : NAN;
}

static double call_pl_linkage_at_height(const double *a) {
  const struct pl_linkage linkage = {.arm_inner = {0.0, a[0], a[1]},
                                     .arm_outer = {0.0, a[2], a[3]},
                                     .wheel_centre = {0.0, a[4], a[5]},
                                     .has_link = true,
                                     .link_inner = {0.0, a[6], a[7]},
                                     .link_outer = {0.0, a[8], a[9]}};
  struct pl_linkage_state at;
  return pl_linkage_at_height(&linkage, a[10], &at) ? 1.0 : at.camber_change;
}

static double call_pl_linkage_at_shock_length(const double *a) {
  const struct pl_linkage linkage = {.arm_inner = {0.0, 20e-3, 10e-3},
                                     .arm_outer = {0.0, 80e-3, 10e-3},
                                     .wheel_centre = {0.0, 100e-3, 30e-3},
                                     .shock_top = {a[0], a[1], a[2]},
                                     .shock_bottom = {a[3], a[4], a[5]}};
  struct pl_linkage_state at;
  const bool reached = pl_linkage_at_shock_length(&linkage, a[6], &at);
  return reached ? 1.0 : at.travel; // out of reach, where it stops
}

/// A formula, arguments that are all right, and what each has to be: `p` above zero and finite,
/// `z` zero or more and finite, `i` zero or more, `o` left out or above zero, `s` a share, `f`
/// finite, `-` anything that is a number, `.` anything at all.
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
    FORMULA(pl_series_rate, "ii", 500, 300),
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
    FORMULA(pl_coil_spring_rate, "pppp", 8e10, 1e-3, 1e-2, 6),
    FORMULA(pl_coil_spring_active_coils, "pppp", 8e10, 1e-3, 1e-2, 600),
    FORMULA(pl_coil_spring_stress, "fpp", 5, 1e-3, 1e-2),
    FORMULA(pl_bergstraesser_factor, "p", 10),
    FORMULA(pl_buckling_load, "popz", 2e11, 4e8, 3e-3, 0.02),
    FORMULA(pl_bladder_margin, "z--", 1e-6, 2e-7, 3e-7),
    FORMULA(pl_bar_rate, "ppp.oo", 1.2e-3, 60e-3, 20e-3, 0.7, 8e10, 2e11),
    FORMULA(pl_bar_roll_rate, "ppppoop", 1.2e-3, 60e-3, 20e-3, 0.7, 8e10, 2e11, 0.2),
    FORMULA(pl_gas_pressure, "pfpzpf", 1e5, 1e4, 1e-6, 3e-3, 1.4, 5e-3),
    FORMULA(pl_gas_rate, "pfpzpf", 1e5, 1e4, 1e-6, 3e-3, 1.4, 5e-3),
    FORMULA(pl_corner_masses,
            "pssppp"
            "zff",
            1.5, 0.4, 0.5, 0.3, 0.2, 0.2, 0.1, 0.05, 0.02),
    FORMULA(pl_load_transfer,
            "zpfpzf"
            "zpfpzf"
            "ffp",
            10, 0.2, 0.01, 0.7, 0.2, 0.03, 9, 0.21, 0.02, 0.8, 0.1, 0.03, 0.03, 5, 9.81),
    FORMULA(pl_port_law, "zpppz", 2e-3, 1e-3, 1.2e-3, 0.3, 970),
    FORMULA(pl_piston_pressure,
            "zppz"
            "popz"
            "pzf",
            2, 1.2e-3, 1.3e-3, 10, 2e-3, 11.9e-3, 12e-3, 3e-3, 0.3, 970, 0.1),
    FORMULA(pl_cavitation_speed,
            "zppz"
            "popz"
            "pzz",
            2, 1.2e-3, 1.3e-3, 10, 2e-3, 11.9e-3, 12e-3, 3e-3, 0.3, 970, 1e5),
    FORMULA(pl_piston_slow_damping,
            "zppz"
            "popz"
            "pz",
            2, 1.2e-3, 1.3e-3, 10, 2e-3, 11.9e-3, 12e-3, 3e-3, 0.3, 970),
    FORMULA(pl_pack_speed,
            "zppz"
            "popz"
            "pz",
            2, 1.2e-3, 1.3e-3, 10, 2e-3, 11.99e-3, 12e-3, 3e-3, 0.3, 970),
    FORMULA(pl_pumped_area, "pz", 12e-3, 3e-3),
    FORMULA(pl_spring_curve_groups, "p.p", 5, 1e-3, 2000),
    FORMULA(pl_spring_curve_table, "pppp", 1e-3, 2, 3e-3, 5),
    FORMULA(pl_linkage_at_height,
            "ffff"
            "ffffff"
            "f",
            20e-3, 10e-3, 80e-3, 10e-3, 100e-3, 30e-3, 20e-3, 40e-3, 80e-3, 50e-3, 32e-3),
    FORMULA(pl_linkage_at_shock_length,
            "fff"
            "fff"
            "z",
            3e-3, 30e-3, 70e-3, 0, 60e-3, 10e-3, 65e-3),
};

/// What an argument must not be, as many as `count` says.
static const double *wrong_for(char want, size_t *count) {
  static const double not_positive[] = {-1.0, 0.0, INFINITY, NAN};
  static const double below_zero[] = {NAN, -1.0, INFINITY};
  static const double no_share[] = {NAN, -0.01, 1.01};
  static const double not_finite[] = {NAN, INFINITY, -INFINITY};
  switch (want) {
  case 'p': *count = 4; return not_positive;
  case 'o': *count = 3; return not_positive;
  case 'z': *count = 3; return below_zero;
  case 'i': *count = 2; return below_zero;
  case 's': *count = 3; return no_share;
  case '.': *count = 0; return not_finite;
  case 'f': *count = 3; return not_finite;
  default: *count = 1; return not_finite; // of anything else, only what is no number
  }
}

/// How often a number comes of what is wrong in the argument `which`; each is printed.
static int numbers_of_wrong(const struct formula *formula, size_t which) {
  int numbers = 0;
  size_t count = 0;
  const double *const wrong = wrong_for(formula->wants[which], &count);
  for (size_t k = 0; k < count; k++) {
    double arguments[MOST_ARGUMENTS];
    for (size_t at = 0; at < MOST_ARGUMENTS; at++) arguments[at] = formula->arguments[at];
    arguments[which] = wrong[k];
    const double result = formula->call(arguments);
    if (isnan(result)) continue;
    print_error("%s: argument %zu as %g gives %g\n", formula->name, which + 1, wrong[k],
                result);
    numbers++;
  }
  return numbers;
}

static void each_argument_counts(void **state) {
  (void)state;
  int numbers = 0;
  for (size_t i = 0; i < sizeof formulas / sizeof formulas[0]; i++) {
    const struct formula *const formula = &formulas[i];
    if (!isfinite(formula->call(formula->arguments)))
      fail_msg("%s: nothing comes of what is all right", formula->name);
    for (size_t which = 0; formula->wants[which] != '\0'; which++)
      numbers += numbers_of_wrong(formula, which);
  }
  assert_int_equal(numbers, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(each_argument_counts)};
  return cmocka_run_group_tests_name("physics, arguments", tests, NULL, NULL);
}
