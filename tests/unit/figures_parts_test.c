// SPDX-License-Identifier: GPL-3.0-or-later
// From file to figure, for the parts: springs of every kind, seals, shafts, and linkages that
// do not reach where the shock wants to go. Expected values are worked out by hand or
// published.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "unit/figures_setup.h"

static const double pi = 3.14159265358979323846;

// A level arm of 80 mm, the shock upright above its middle: half the wheel's travel is the
// shock's (lever law), and at ride height the shock is 86 - 80 = 6 mm in, 18 mm from its end.
#define SHOCK_BUT(length, more)                                                                \
  "damper \"d\" { bore = 12 mm; shaft = 3 mm; extended-length = " length "; stroke = 24 mm\n"  \
  "  compensation = vented; perch-gap = 44 mm; " more " }\n"
#define SHOCK(more) SHOCK_BUT("86 mm", more)
#define CAR                                                                                    \
  "car \"c\" { mass = 1600 g; front-share = 40 %\n"                                            \
  "  all { track = 200 mm; tyre-radius = 42 mm; unsprung-mass = 60 g; damper = \"d\"\n"        \
  "    arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 12 mm); wheel-centre = (110 mm, 21 "   \
  "mm)\n    shock-top = (60 mm, 92 mm); shock-bottom = (60 mm, 12 mm) } }\n"
#define SETUP "setup \"s\" { car = \"c\"; all { ride-height = 21 mm }\n  front-left { "
#define END   " } }"
#define WITH_SPRING(spring, preload)                                                           \
  SHOCK("") CAR SETUP "spring = " spring "; preload = " preload END

static double front_left(struct pl_figures *figures, enum pl_figure figure) {
  return value_at(figures, figure, PL_FRONT_LEFT);
}

/// How many problems of that code a text's figures bring.
static size_t told(struct bench *bench, const char *text, const char *code) {
  struct pl_figures *const figures = figures_of(bench, text);
  pl_figures_check(figures);
  return problems_with(figures, code);
}

// ---------------------------------------------------------------- stacked springs

// By name and by rate; the force is common, so deflections add: 1/k = 1/0.3 + 1/0.6, k = 0.2.
static void a_stack_by_name_and_rate_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "spring \"a\" { rate = 0.3 N/mm }\n" WITH_SPRING("[\"a\", 0.6 N/mm]", "4 mm"));
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 200, 1e-12);
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 2, 1e-9); // over 4 + 6 mm
  assert_near(front_left(f, PL_FIGURE_PRELOAD_FORCE), 0.8, 1e-9);
}

#define BHANDARI                                                                               \
  "spring \"outer\" { wire = 6 mm; mean-diameter = 36 mm; active-coils = 10\n"                 \
  "  shear-modulus = 81.37 GPa }\n"                                                            \
  "spring \"inner\" { wire = 5 mm; mean-diameter = 30 mm; active-coils = 8\n"                  \
  "  shear-modulus = 81.37 GPa }\n"

// Bhandari, Design of Machine Elements, Example 10.19: the outer spring carries 706.0215 N at
// 24.98884 mm, the inner one 293.9785 N at 9.98884 mm. Here 6 mm of that is the shock's.
static void bhandari_by_file_work(struct bench *bench) {
  struct pl_figures *f = figures_of(bench, BHANDARI WITH_SPRING("\"outer\"", "18.98884 mm"));
  assert_published("Bhandari Ex. 10.19 by file: outer, N",
                   front_left(f, PL_FIGURE_SPRING_FORCE), 706.0215, 1e-6);
  f = figures_of(bench, BHANDARI WITH_SPRING("\"inner\"", "3.98884 mm"));
  assert_published("Bhandari Ex. 10.19 by file: inner, N",
                   front_left(f, PL_FIGURE_SPRING_FORCE), 293.9785, 1e-6);
  // End to end, the deflections per newton of the book's two springs add.
  f = figures_of(bench, BHANDARI WITH_SPRING("[\"outer\", \"inner\"]", "14 mm"));
  const double compliance = 24.98884e-3 / 706.0215 + 9.98884e-3 / 293.9785;
  assert_published("Bhandari Ex. 10.19 by file: both stacked, N/m",
                   front_left(f, PL_FIGURE_SPRING_RATE), 1 / compliance, 1e-6);
  assert_published("Bhandari Ex. 10.19 by file: stack over 20 mm, N",
                   front_left(f, PL_FIGURE_SPRING_FORCE), 20e-3 / compliance, 1e-6);
}

// ---------------------------------------------------------------- progressive springs

// One coil: 80 GPa (1 mm)^4/(8 (10 mm)^3) = 10 N/mm. The six coils close at 0.5 mm 10 N/mm =
// 5 N, when all fifteen have given 7.5 mm; the other nine at 20 N, after 6 0.5 + 9 2 = 21 mm.
#define GROUPS                                                                                 \
  "spring \"p\" { wire = 1 mm; mean-diameter = 10 mm; shear-modulus = 80 GPa\n"                \
  "  groups = [6 coils gap 0.5 mm, 9 coils gap 2 mm] }\n"

static void groups_of_coils_work(struct bench *bench) {
  struct pl_figures *f = figures_of(bench, GROUPS WITH_SPRING("\"p\"", "0.5 mm"));
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 10e3 / 15, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 10e3 / 15 * 6.5e-3, 1e-9);
  f = figures_of(bench, GROUPS WITH_SPRING("\"p\"", "2 mm"));
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 10e3 / 9, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 5 + 10e3 / 9 * 0.5e-3, 1e-9);
  assert_near(front_left(f, PL_FIGURE_PRELOAD_FORCE), 10e3 / 15 * 2e-3, 1e-9);
  assert_near(front_left(f, PL_FIGURE_TRAVEL_TO_BIND), 21e-3 - 8e-3, 1e-9);
  // Half the lever: a quarter of the rate at the wheel.
  assert_near(front_left(f, PL_FIGURE_WHEEL_RATE), 10e3 / 9 / 4, 1e-6);
}

#define TABLE "spring \"t\" { table = [0 mm 0 N, 5 mm 2 N, 10 mm 5 N, 20 mm 15 N] }\n"

// Straight lines between the rows, and the last one goes on.
static void a_measured_spring_work(struct bench *bench) {
  struct pl_figures *f = figures_of(bench, TABLE WITH_SPRING("\"t\"", "2 mm"));
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 3.0 / 5 * 1e3, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 2 + 3 * 0.6, 1e-9);
  assert_near(front_left(f, PL_FIGURE_PRELOAD_FORCE), 2 * 0.4, 1e-9);
  f = figures_of(bench, TABLE WITH_SPRING("\"t\"", "16 mm"));
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 15 + 2 * 1.0, 1e-9);
  // Stacked with a linear spring of 0.5 N/mm: at 5 N it has given 10 mm, and the table's 10 mm.
  f = figures_of(bench, TABLE WITH_SPRING("[\"t\", 0.5 N/mm]", "14 mm"));
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 5, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 1 / (1e-3 + 2e-3), 1e-9);
}

// Two rows are one slope: its rate holds anywhere and needs no car.
static void a_table_of_two_rows_work(struct bench *bench) {
  struct pl_figures *const f =
      figures_of(bench, "spring \"t\" { table = [0 mm 0 N, 10 mm 4 N] }\n"
                        "setup \"s\" { all { spring = \"t\" } }");
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 400, 1e-12);
  struct pl_figures *const bent =
      figures_of(bench, TABLE "setup \"s\" { all { spring = \"t\" } }");
  assert_false(pl_figure_get(bent, PL_FIGURE_SPRING_RATE, PL_FRONT_LEFT)->present);
}

// ---------------------------------------------------------------- ends and materials

// Ten coils of 1 mm on 10 mm. Active coils and solid length by Shigley, 10th ed., Table 10-1:
// the squared (closed) rows confirmed, the plain ones from memory. Shear moduli by Table 10-5:
// 11.85 Mpsi confirmed, stainless 302 at 10.0 Mpsi from memory.
static void ends_and_materials_work(struct bench *bench) {
  static const struct {
    const char *ends, *material;
    double active, solid_mm, modulus_mpsi;
  } rows[] = {{"closed", "music-wire", 8, 11, 11.85},
              {"closed-ground", "music-wire", 8, 10, 11.85},
              {"plain", "music-wire", 10, 11, 11.85},
              {"plain-ground", "music-wire", 9, 10, 11.85},
              {"closed", "stainless-302", 8, 11, 10.0}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_figures *const f = figures_of(
        bench, pl_format(bench->arena,
                         "spring \"e\" { wire = 1 mm; mean-diameter = 10 mm; total-coils = 10\n"
                         "  ends = %s; material = %s; free-length = 40 mm }\n%s",
                         rows[i].ends, rows[i].material, WITH_SPRING("\"e\"", "2 mm")));
    const double modulus = rows[i].modulus_mpsi * 6894.757293168361e6;
    assert_near(front_left(f, PL_FIGURE_SPRING_RATE), modulus * 1e-12 / (8e-6 * rows[i].active),
                1e-9);
    assert_near(front_left(f, PL_FIGURE_TRAVEL_TO_BIND), (40 - rows[i].solid_mm - 8) * 1e-3,
                1e-9);
  }
}

// ---------------------------------------------------------------- stress

// Shigley, 10th ed., Example 10-1, p. 519: pressed solid over 1.56 in, it just reaches what the
// wire takes (in the example 146 kpsi, from memory; Tables 10-4 and 10-6 from memory too).
#define SHIGLEY(preload)                                                                       \
  "spring \"s\" { wire = 0.037 in; mean-diameter = 0.4 in; total-coils = 12.5\n"               \
  "  ends = closed; free-length = 2.06 in }\n" WITH_SPRING("\"s\"", preload)

static void stress_at_full_compression_work(struct bench *bench) {
  // 1.56 in is 39.624 mm, of which the whole stroke is 24 mm.
  struct pl_figures *const f = figures_of(bench, SHIGLEY("15.624 mm"));
  assert_published("Shigley Ex. 10-1 by file: rate, lbf/in",
                   front_left(f, PL_FIGURE_SPRING_RATE) / 175.12683524647635, 4.13, 0.003);
  assert_published("Shigley Ex. 10-1 by file: stress when solid, kpsi (from memory)",
                   front_left(f, PL_FIGURE_SPRING_STRESS) / 6894757.293168361, 146, 0.003);
  assert_published("Shigley Ex. 10-1 by file: share of the limit (from memory)",
                   front_left(f, PL_FIGURE_SPRING_STRESS_SHARE), 1, 0.003);
  assert_int_equal((int)told(bench, SHIGLEY("15 mm"), "out-of-reach"), 0);
  struct pl_figures *const beyond = figures_of(bench, SHIGLEY("16 mm"));
  pl_figures_check(beyond);
  assert_int_equal((int)problems_with(beyond, "out-of-reach"), 1);
  assert_non_null(
      strstr(message_of(beyond, "out-of-reach"), "At front-left, the spring's wire"));
}

// Stainless 302 of 1 mm: A = 1867 MPa mm^m, of which 35 % (Shigley, Tables 10-4 and 10-6, from
// memory). A stack has the greatest stress of its springs, the force being common.
static void stress_of_a_stack_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "spring \"thin\" { wire = 1 mm; mean-diameter = 10 mm; active-coils = 8\n"
             "  material = stainless-302; shear-modulus = 64 GPa }\n"
             "spring \"thick\" from \"thin\" { wire = 1.2 mm }\n" //
      WITH_SPRING("[\"thick\", \"thin\"]", "2 mm"));
  const double thin = 64e9 * 1e-12 / (8e-6 * 8);
  const double thick = thin * 1.2 * 1.2 * 1.2 * 1.2;
  const double force = 26e-3 / (1 / thin + 1 / thick);
  const double stress = 42.0 / 37 * 8 * force * 10e-3 / (pi * 1e-9); // index 10
  assert_near(front_left(f, PL_FIGURE_SPRING_STRESS), stress, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_STRESS_SHARE), stress / (0.35 * 1867e6), 1e-9);
}

// ---------------------------------------------------------------- opposed springs

// It just touches when the shock is fully in, so that at ride height 24 - 6 = 18 mm of it are
// pressed: 1.8 N that pull the shock shut. Stiffnesses add (Hooke, two springs on one rod).
static void opposed_spring_work(struct bench *bench) {
  struct pl_figures *f =
      figures_of(bench, "spring \"i\" { rate = 0.1 N/mm }\n" SHOCK("opposed-spring = \"i\"")
                            CAR SETUP "spring = 0.5 N/mm; preload = 2 mm" END);
  assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 4 - 1.8, 1e-9);
  assert_near(front_left(f, PL_FIGURE_PRELOAD_FORCE), 1 - 2.4, 1e-9);
  assert_near(front_left(f, PL_FIGURE_SPRING_RATE), 500, 1e-12);
  assert_near(front_left(f, PL_FIGURE_WHEEL_RATE), (500 + 100) / 4.0, 1e-6);
  // What carries the car is the difference; the load on this spring is weight over lever.
  const double load = (1.6 * 0.4 / 2 - 0.06) * 9.80665 / 0.5;
  assert_near(front_left(f, PL_FIGURE_PRELOAD_NEEDED), (load + 1.8) / 500 - 6e-3, 1e-9);
}

// What is whole and cannot be wound says so; nothing is missing there.
static void no_spring_at_all_work(struct bench *bench) {
  static const char *const rows[] = {
      "wire = 2 mm; outside-diameter = 3 mm; active-coils = 6", // 1 mm from middle to middle
      "wire = 1 mm; mean-diameter = 14 mm; total-coils = 2; ends = closed", // none is active
      "wire = 1 mm; mean-diameter = 14 mm; groups = [4 coils gap 0 mm]"};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_figures *const f =
        figures_of(bench, pl_format(bench->arena,
                                    "spring \"p\" { %s; material = music-wire }\n"
                                    "setup \"s\" { all { spring = \"p\" } }",
                                    rows[i]));
    pl_figures_check(f);
    const struct pl_figure_value *const rate =
        pl_figure_get(f, PL_FIGURE_SPRING_RATE, PL_FRONT_LEFT);
    assert_false(rate->present);
    assert_int_equal((int)rate->need_count, 0);
    assert_non_null(strstr(message_of(f, "out-of-reach"), "make no spring"));
  }
}

// ---------------------------------------------------------------- binding and hanging loose

// Ten coils of 1 mm, 30 mm long: they touch after 20 mm, of which 8 are used at ride height.
#define SHORT_SPRING(bump_spacer) PRELOADED_SPRING("2 mm", bump_spacer)
#define PRELOADED_SPRING(preload, bump_spacer)                                                 \
  "spring \"b\" { rate = 0.5 N/mm; wire = 1 mm; total-coils = 10; ends = closed-ground\n"      \
  "  mean-diameter = 14 mm; free-length = 30 mm }\n" SHOCK("") CAR SETUP                       \
      "spring = \"b\"; preload = " preload "; bump-spacer = " bump_spacer END

static void coils_that_touch_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, SHORT_SPRING("0 mm"));
  pl_figures_check(f);
  assert_near(front_left(f, PL_FIGURE_TRAVEL_TO_BIND), 12e-3, 1e-9);
  assert_int_equal((int)problems_with(f, "spring-binds"), 1);
  // 6 mm before the 18 mm are over.
  assert_non_null(strstr(message_of(f, "spring-binds"), "touch 6.0 mm before"));
  assert_string_equal(problem_of(f, "spring-binds")->hint,
                      "a bump spacer of 6.0 mm ends the stroke first");
  // They touch in the extended shock already: no spacer mends that.
  struct pl_figures *const early = figures_of(bench, PRELOADED_SPRING("21 mm", "0 mm"));
  pl_figures_check(early);
  assert_string_equal(problem_of(early, "spring-binds")->hint, "");
  assert_int_equal((int)told(bench, SHORT_SPRING("5.9 mm"), "spring-binds"), 1);
  assert_int_equal((int)told(bench, SHORT_SPRING("6.1 mm"), "spring-binds"), 0);
}

#define HANGING(spring, collar)                                                                \
  "spring \"h\" { rate = 0.5 N/mm; free-length = 40 mm }\n"                                    \
  "spring \"h1\" { rate = 1 N/mm; free-length = 15 mm }\n"                                     \
  "spring \"h2\" { rate = 1 N/mm; free-length = 25 mm }\n" SHOCK("") CAR SETUP                 \
      "spring = " spring "; collar = " collar END

// A gap of 44 mm for 40 mm of spring: with 2 mm of collar it hangs 2 mm loose and pushes only
// from there on.
static void a_loose_spring_work(struct bench *bench) {
  static const char *const texts[] = {HANGING("\"h\"", "2 mm"),
                                      HANGING("[\"h1\", \"h2\"]", "2 mm")};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    struct pl_figures *const f = figures_of(bench, texts[i]);
    pl_figures_check(f);
    assert_true(front_left(f, PL_FIGURE_PRELOAD_FORCE) == 0);
    assert_near(front_left(f, PL_FIGURE_SPRING_FORCE), 500 * 4e-3, 1e-9);
    assert_int_equal((int)problems_with(f, "spring-loose"), 1);
    assert_non_null(strstr(message_of(f, "spring-loose"), "2.00 mm loose"));
  }
  assert_int_equal((int)told(bench, HANGING("\"h\"", "4 mm"), "spring-loose"), 0);
  assert_int_equal((int)told(bench, HANGING("[\"h1\", \"h2\"]", "4 mm"), "spring-loose"), 0);
}

// A collar further back, and the spring is loose at ride height, too: what does not touch does
// not hold the car.
static void loose_at_ride_height_work(struct bench *bench) {
  static const char *const texts[] = {
      "spring \"h\" { rate = 0.5 N/mm; free-length = 37 mm }\n",
      "spring \"h\" { table = [0 mm 0 N, 5 mm 2.5 N]; free-length = 37 mm }\n"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    // 44 mm of gap for 37 mm of spring, of which the shock takes 6 mm.
    struct pl_figures *const f =
        figures_of(bench, pl_format(bench->arena, "%s%s", texts[i],
                                    SHOCK("") CAR SETUP "spring = \"h\"; collar = 0 mm" END));
    pl_figures_check(f);
    assert_near(front_left(f, PL_FIGURE_SPRING_DEFLECTION), -1e-3, 1e-9);
    assert_true(front_left(f, PL_FIGURE_SPRING_FORCE) == 0);
    assert_true(front_left(f, PL_FIGURE_WHEEL_RATE) == 0);
    assert_false(pl_figure_get(f, PL_FIGURE_DAMPING_RATIO_SLOW, PL_FRONT_LEFT)->present);
    assert_non_null(strstr(message_of(f, "out-of-reach"), "the wheel rate is not above zero"));
  }
}

// Where the collar and both lengths are known it is told, even of a car that is not described.
static void a_loose_spring_without_a_car_work(struct bench *bench) {
  assert_int_equal(
      (int)told(
          bench,
          "spring \"h\" { rate = 0.5 N/mm; free-length = 40 mm }\n" SHOCK(
              "") "setup \"s\" { front-left { spring = \"h\"; damper = \"d\"; collar = 2 mm } }",
          "spring-loose"),
      1);
}

#define LONG_SPRING(preload, limiter)                                                          \
  "spring \"h\" { rate = 0.5 N/mm; free-length = 52 mm }\n" SHOCK("") CAR SETUP                \
      "spring = \"h\"; preload = " preload "; limiter = " limiter END

// 52 mm of spring, 3 mm of preload, in a gap of 44 mm: the collar would have to be 5 mm out of
// the thread. It is a rear spring at the front, mostly.
static void a_spring_that_is_too_long_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, LONG_SPRING("3 mm", "0 mm"));
  pl_figures_check(f);
  assert_int_equal((int)problems_with(f, "spring-too-long"), 1);
  assert_non_null(strstr(message_of(f, "spring-too-long"), "5.0 mm behind its zero"));
  assert_int_equal((int)told(bench, LONG_SPRING("8 mm", "0 mm"), "spring-too-long"), 0);
  assert_int_equal((int)told(bench, LONG_SPRING("8 mm", "1 mm"), "spring-too-long"), 1);
}

// The gap of 44 mm shrinks by the limiter: 40 mm of spring and 3 mm of preload take
// 44 - 1 - (40 - 3) = 6 mm. A collar that is declared is where it is said to be.
static void the_collars_position_work(struct bench *bench) {
  static const char *const spring = "spring \"h\" { rate = 0.5 N/mm; free-length = 40 mm }\n";
  struct pl_figures *f =
      figures_of(bench, pl_format(bench->arena, "%s%s", spring,
                                  SHOCK("") CAR SETUP
                                  "spring = \"h\"; preload = 3 mm; limiter = 1 mm" END));
  assert_near(front_left(f, PL_FIGURE_COLLAR_POSITION), 6e-3, 1e-12);
  f = figures_of(bench, pl_format(bench->arena, "%s%s", spring,
                                  SHOCK("") CAR SETUP "spring = \"h\"; collar = 5 mm" END));
  assert_near(front_left(f, PL_FIGURE_COLLAR_POSITION), 5e-3, 1e-12);
}

// With 1 mm of preload on 40 mm of spring in 44 mm, the collar stands at 5 mm. Preload goes
// before a collar, and where they do not mean the same, that is said.
static void a_preload_and_a_collar_work(struct bench *bench) {
  static const struct {
    const char *collar;
    size_t told;
  } rows[] = {{"5 mm", 0}, {"5.4 mm", 0}, {"5.6 mm", 1}, {"4.4 mm", 1}, {"12 mm", 1}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_figures *const f = figures_of(
        bench,
        pl_format(bench->arena,
                  "spring \"h\" { rate = 0.5 N/mm; free-length = 40 mm }\n%s collar = %s %s",
                  SHOCK("") "setup \"s\" { front-left { damper = \"d\"; spring = \"h\"\n"
                            "  preload = 1 mm;",
                  rows[i].collar, END));
    pl_figures_check(f);
    assert_near(front_left(f, PL_FIGURE_PRELOAD_FORCE), 0.5, 1e-9);
    assert_near(front_left(f, PL_FIGURE_COLLAR_POSITION), 5e-3, 1e-9);
    assert_int_equal((int)problems_with(f, "out-of-reach"), (int)rows[i].told);
    if (rows[i].told > 0)
      assert_non_null(strstr(message_of(f, "out-of-reach"),
                             "the preload counts, by which the collar stands at 5.0 mm"));
  }
}

// ---------------------------------------------------------------- seals

// A ring of -006 is 2.90 mm inside and 1.78 mm thick (AS568/ISO 3601-1, from memory).
static void a_ring_by_its_number_work(struct bench *bench) {
  struct pl_figures *f = figures_of(
      bench, SHOCK("seal { ring-number = 6; rings = 2; gland-outside = 6 mm; gland-width = 4.2 "
                   "mm }") CAR SETUP END);
  assert_published("-006 on 3 mm: squeeze (from memory)", front_left(f, PL_FIGURE_SEAL_SQUEEZE),
                   (1.78 - 1.5) / 1.78, 1e-9);
  assert_published("-006 on 3 mm: stretch (from memory)", front_left(f, PL_FIGURE_SEAL_STRETCH),
                   3 / 2.9 - 1, 1e-9);
  assert_published("-006 on 3 mm: gland fill (from memory)",
                   front_left(f, PL_FIGURE_GLAND_FILL), 2 * pi / 4 * 1.78 * 1.78 / (1.5 * 4.2),
                   1e-9);
  // What is measured goes before what the number says.
  f = figures_of(bench, SHOCK("seal { ring-number = 6; ring-inside = 2.8 mm }") CAR SETUP END);
  assert_near(front_left(f, PL_FIGURE_SEAL_STRETCH), 3 / 2.8 - 1, 1e-9);
}

// Bands of seal handbooks for dynamic rod seals: squeeze 12 to 18 %, small sections to 25 %;
// gland fill to 85 %. Stretch to 5 %: common practice, no source.
static void seals_outside_the_bands_work(struct bench *bench) {
  static const struct {
    const char *seal, *says;
  } rows[] = {
      {"ring-inside = 2.9 mm; ring-section = 1.78 mm; gland-outside = 6 mm", NULL},
      {"ring-section = 1.78 mm; gland-outside = 6.2 mm", "squeeze of 10.1 %"},
      {"ring-section = 1.78 mm; gland-outside = 5.6 mm", "squeeze of 27.0 %"},
      {"ring-section = 1.78 mm; gland-outside = 5.8 mm", NULL}, // 21.3 %, a small section
      {"ring-section = 2.62 mm; gland-outside = 7.2 mm", "squeeze of 19.8 %"},
      {"ring-section = 2.62 mm; gland-outside = 7.4 mm", NULL}, // 16.0 %
      {"ring-inside = 3.1 mm", "stretch of -3.2 %"},
      {"ring-inside = 2.85 mm", "stretch of 5.3 %"},
      {"ring-section = 1.78 mm; gland-outside = 6 mm; rings = 2; gland-width = 3.8 mm",
       "gland fill of 87.3 %"},
      {"ring-section = 1.78 mm; gland-outside = 6 mm; rings = 2; gland-width = 4 mm", NULL}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_figures *const f =
        figures_of(bench, pl_format(bench->arena,
                                    "damper \"x\" { bore = 12 mm; shaft = 3 mm; seal { %s } }\n"
                                    "setup \"s\" { front-left { damper = \"x\" } }",
                                    rows[i].seal));
    pl_figures_check(f);
    if ((problems_with(f, "out-of-reach") == 1) != (rows[i].says != NULL))
      fail_msg("%s: %zu warnings", rows[i].seal, problems_with(f, "out-of-reach"));
    if (rows[i].says != NULL && strstr(message_of(f, "out-of-reach"), rows[i].says) == NULL)
      fail_msg("%s: %s", rows[i].seal, message_of(f, "out-of-reach"));
  }
}

// ---------------------------------------------------------------- the shaft

#define COLUMN(shaft, exposed, yield)                                                          \
  "damper \"x\" { bore = 12 mm; shaft = " shaft "; exposed-shaft = " exposed                   \
  "; shaft-yield = " yield " }\nsetup \"s\" { all { damper = \"x\" } }"

// Euler where the shaft is slender, Johnson's parabola below l/r = pi sqrt(2 E/Sy) (Shigley,
// 10th ed., section 4-13, from memory); r = d/4, E 200 GPa. Popov, Engineering Mechanics of
// Solids, ch. 11, has Euler's formula.
static void buckling_work(struct bench *bench) {
  struct pl_figures *f = figures_of(bench, COLUMN("2 mm", "100 mm", "400 MPa"));
  const double inertia = pi * 16e-12 / 64; // l/r 200, border 99.3
  assert_near(front_left(f, PL_FIGURE_BUCKLING_LOAD), pi * pi * 200e9 * inertia / 1e-2, 1e-9);
  f = figures_of(bench, COLUMN("2 mm", "30 mm", "600 MPa")); // l/r 60, border 81.1
  const double parabola = 1 - 600e6 * 60 * 60 / (4 * pi * pi * 200e9);
  assert_near(front_left(f, PL_FIGURE_BUCKLING_LOAD), pi * 1e-6 * 600e6 * parabola, 1e-9);
  // Of a steel whose strength nobody told nothing is guessed: Euler's, however short the shaft.
  f = figures_of(bench, "damper \"x\" { shaft = 3 mm; exposed-shaft = 21 mm }\n"
                        "setup \"s\" { all { damper = \"x\" } }");
  const double euler = pi * pi * 200e9 * (pi * 81e-12 / 64) / (21e-3 * 21e-3);
  assert_near(front_left(f, PL_FIGURE_BUCKLING_LOAD), euler, 1e-9);
}

#define THIN_SHAFT(exposed)                                                                    \
  "damper \"x\" { bore = 12 mm; shaft = 1 mm; stroke = 20 mm; compensation = vented\n"         \
  "  exposed-shaft = " exposed " }\nsetup \"s\" { air = 15 degC; fast-speed = 300 mm/s\n"      \
  "  rear-right { damper = \"x\"; oil = 350 cSt; piston = 2 x 1.6 mm } }"

static void a_shaft_that_buckles_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(bench, THIN_SHAFT("110 mm"));
  pl_figures_check(f);
  const double load = value_at(f, PL_FIGURE_BUCKLING_LOAD, PL_REAR_RIGHT);
  assert_near(load, pi * pi * 200e9 * (pi * 1e-12 / 64) / (0.11 * 0.11), 1e-9); // 8.0 N
  assert_true(value_at(f, PL_FIGURE_SHAFT_FORCE, PL_REAR_RIGHT) > load);
  assert_int_equal((int)problems_with(f, "shaft-buckles"), 1);
  assert_non_null(strstr(message_of(f, "shaft-buckles"), "At rear-right"));
  assert_int_equal((int)told(bench, THIN_SHAFT("20 mm"), "shaft-buckles"), 0);
}

// ---------------------------------------------------------------- linkages that lock

// The arm of 80 mm hangs straight down after 80 mm of wheel travel, where the mounts are 126.5
// mm apart. They are nearest, 89.4 - 40 = 49.4 mm, where the arm points at the upper one, risen
// by 80 mm sin(atan(80/40)) = 71.6 mm.
static void a_linkage_that_locks_work(struct bench *bench) {
  static const struct {
    const char *text, *says;
  } rows[] = {
      {SHOCK_BUT("130 mm", "") CAR SETUP END,
       "cannot reach full extension of the shock: it locks -80.0 mm from its drawn position"},
      {SHOCK_BUT("72 mm", "") CAR SETUP END,
       "cannot reach full compression of the shock: it locks 71.6 mm from its drawn position"},
      {SHOCK("") CAR SETUP "ride-height = 105 mm" END,
       "cannot reach ride height: it locks -80.0 mm from its drawn position"},
      {SHOCK("") CAR SETUP "arm-outer = (20 mm, 12 mm)" END, "the points make no linkage"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_figures *const f = figures_of(bench, rows[i].text);
    pl_figures_check(f);
    if (strstr(message_of(f, "out-of-reach"), rows[i].says) == NULL)
      fail_msg("%s", message_of(f, "out-of-reach"));
  }
  assert_int_equal((int)told(bench, SHOCK("") CAR SETUP END, "out-of-reach"), 0);
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(a_stack_by_name_and_rate)
CASE(bhandari_by_file)
CASE(groups_of_coils)
CASE(a_measured_spring)
CASE(a_table_of_two_rows)
CASE(ends_and_materials)
CASE(stress_at_full_compression)
CASE(stress_of_a_stack)
CASE(opposed_spring)
CASE(no_spring_at_all)
CASE(coils_that_touch)
CASE(a_loose_spring)
CASE(loose_at_ride_height)
CASE(a_loose_spring_without_a_car)
CASE(a_spring_that_is_too_long)
CASE(the_collars_position)
CASE(a_preload_and_a_collar)
CASE(a_ring_by_its_number)
CASE(seals_outside_the_bands)
CASE(buckling)
CASE(a_shaft_that_buckles)
CASE(a_linkage_that_locks)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_stack_by_name_and_rate),
      cmocka_unit_test(bhandari_by_file),
      cmocka_unit_test(groups_of_coils),
      cmocka_unit_test(a_measured_spring),
      cmocka_unit_test(a_table_of_two_rows),
      cmocka_unit_test(ends_and_materials),
      cmocka_unit_test(stress_at_full_compression),
      cmocka_unit_test(stress_of_a_stack),
      cmocka_unit_test(opposed_spring),
      cmocka_unit_test(no_spring_at_all),
      cmocka_unit_test(coils_that_touch),
      cmocka_unit_test(a_loose_spring),
      cmocka_unit_test(loose_at_ride_height),
      cmocka_unit_test(a_loose_spring_without_a_car),
      cmocka_unit_test(a_spring_that_is_too_long),
      cmocka_unit_test(the_collars_position),
      cmocka_unit_test(a_preload_and_a_collar),
      cmocka_unit_test(a_ring_by_its_number),
      cmocka_unit_test(seals_outside_the_bands),
      cmocka_unit_test(buckling),
      cmocka_unit_test(a_shaft_that_buckles),
      cmocka_unit_test(a_linkage_that_locks),
  };
  return cmocka_run_group_tests_name("figures: parts", tests, NULL, NULL);
}
