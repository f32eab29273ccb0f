// SPDX-License-Identifier: GPL-3.0-or-later
// Left and right with ports that are not drilled alike.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/report.h"
#include "unit/figures_setup.h"

#define PI 3.14159265358979323846

#define SHOCK                                                                                  \
  "damper \"d\" { bore = 13 mm; shaft = 3.5 mm }\n"                                            \
  "piston \"p\" { ports = 2 x 1.6 mm; thickness = 2.4 mm }\n"                                  \
  "piston \"q\" { ports = 2 x 1.8 mm; thickness = 2.4 mm }\n"

static const enum pl_figure slow = PL_FIGURE_DAMPING_SLOW_COMPRESSION;

/// What a port of 2.4 mm length costs, over the viscosity: Poiseuille with the loss at both
/// ends, by Dagan, Weinbaum & Pfeffer, J. Fluid Mech. 115 (1982) 505 (from memory).
static double resistance(double diameter) {
  return 128 * 2.4e-3 / (PI * pow(diameter, 4)) + 24 / pow(diameter, 3);
}

#define WITH_BENCH(name)                                                                       \
  static void name##_work(struct bench *bench);                                                \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }                                                                                            \
  static void name##_work(struct bench *bench)

WITH_BENCH(apart) {
  struct pl_figures *const f = figures_of(
      bench, SHOCK "setup \"a\" { all { damper = \"d\"; oil = 350 cSt; piston = \"p\" } }");
  for (double difference = 0.01e-3; difference < 0.3e-3; difference *= 3) {
    const struct pl_match match = pl_match_of(pl_matching_new(f, difference), slow, PL_FRONT);
    assert_near(match.apart,
                resistance(1.6e-3 - difference / 2) / resistance(1.6e-3 + difference / 2) - 1,
                1e-9);
  }
}

WITH_BENCH(allowed) {
  struct pl_figures *const f = figures_of(
      bench, SHOCK "setup \"a\" { all { damper = \"d\"; oil = 350 cSt; piston = \"p\" } }");
  const struct pl_match match = pl_match_of(pl_matching_new(f, 0.1e-3), slow, PL_REAR);
  const struct pl_match back = pl_match_of(pl_matching_new(f, match.allowed), slow, PL_REAR);
  assert_near(back.apart, 0.05, 1e-4);
  assert_near(back.allowed, match.allowed, 0); // whatever was asked for
}

// What is unlike by design does not count, and the more sensitive side does.
WITH_BENCH(unlike_by_design) {
  struct pl_figures *const f =
      figures_of(bench, SHOCK "setup \"a\" { all { damper = \"d\"; oil = 350 cSt }\n"
                              "  left { piston = \"p\" } right { piston = \"q\" } }");
  const double half = 0.01e-3;
  const double left_narrow = resistance(1.6e-3 - half) / resistance(1.6e-3) /
                             (resistance(1.8e-3 + half) / resistance(1.8e-3));
  const double right_narrow = resistance(1.8e-3 - half) / resistance(1.8e-3) /
                              (resistance(1.6e-3 + half) / resistance(1.6e-3));
  const struct pl_match match = pl_match_of(pl_matching_new(f, 2 * half), slow, PL_FRONT);
  assert_near(match.apart, fmax(left_narrow, right_narrow) - 1, 1e-9);
}

WITH_BENCH(not_concerned) {
  struct pl_figures *const f = figures_of(
      bench, SHOCK "setup \"a\" { all { spring = 0.5 N/mm; preload = 3 mm; damper = \"d\" }\n"
                   "  front { oil = 350 cSt; piston = \"p\" } rear-left { piston = \"p\" } }");
  const struct pl_matching *const matching = pl_matching_new(f, 0.02e-3);
  assert_nan(pl_match_of(matching, PL_FIGURE_PRELOAD_FORCE, PL_FRONT).allowed);
  assert_nan(pl_match_of(matching, PL_FIGURE_FINAL_DRIVE, PL_FRONT).allowed);
  assert_nan(pl_match_of(matching, slow, PL_REAR).apart);
  assert_true(pl_match_of(matching, slow, PL_FRONT).apart > 0);
  // Narrower than nothing: the figure is gone, but not what is allowed.
  const struct pl_match wide = pl_match_of(pl_matching_new(f, 4e-3), slow, PL_FRONT);
  assert_nan(wide.apart);
  assert_true(wide.allowed > 0);
}

WITH_BENCH(told) {
  struct pl_figures *const f =
      figures_of(bench, SHOCK "setup \"a\" { all { damper = \"d\"; piston = \"p\" }\n"
                              "  front { oil = 350 cSt } }");
  const struct pl_figure_choice choice = {&slow, 1};
  const struct pl_text_style style = {.width = 80, .system = PL_METRIC};
  assert_string_equal(
      pl_matching_text(bench->arena, f, 0.02e-3, &choice, &style),
      "a\n\n"
      "How far left and right are apart where their ports differ by 0.020 mm, and how\n"
      "well the ports have to be matched for them to stay within 5 %.\n\n"
      "Apart by            front                          rear\n"
      "  Slow compression  4.8 %\n\n"
      "Ports alike to      front                          rear\n"
      "  Slow compression  0.021 mm\n");
  const char *const csv = pl_matching_csv(bench->arena, f, 0.02e-3, &choice);
  assert_non_null(strstr(csv, "\r\napart,front,\"damping-slow-compression\",4.7"));
  assert_non_null(strstr(csv, "\r\nmatched-to,front,\"damping-slow-compression\",0.020"));
  assert_null(strstr(csv, "rear"));
  const enum pl_figure other = PL_FIGURE_WHEEL_RATE;
  const struct pl_figure_choice none = {&other, 1};
  const struct pl_text_style wide = {.width = 1000, .system = PL_METRIC};
  assert_non_null(strstr(pl_matching_text(bench->arena, f, 0.02e-3, &none, &wide),
                         "None of the figures behind --only depends on the ports. These do: "
                         "damping-slow-compression, "));
  struct pl_figures *const bare = figures_of(bench, "setup \"b\" { mass = 1.5 kg }");
  assert_non_null(strstr(pl_matching_text(bench->arena, bare, 0.02e-3, &none, &style),
                         "No figure that can be computed here depends on"));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(apart),
      cmocka_unit_test(allowed),
      cmocka_unit_test(unlike_by_design),
      cmocka_unit_test(not_concerned),
      cmocka_unit_test(told),
  };
  return cmocka_run_group_tests_name("left and right matched", tests, NULL, NULL);
}
