// SPDX-License-Identifier: GPL-3.0-or-later
// A figure that is absent says why: it names what is not declared, or a note tells what is
// wrong with what is. Held against random cars, most of them possible, some far from it.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "near.h"
#include "unit/figures_setup.h"

// ---------------------------------------------------------------- random cars

/// A number of a block, drawn evenly; the ends lie far outside any car.
struct drawn {
  const char *key;
  const char *unit;
  double least;
  double greatest;
};

// What would bring a note whatever else is declared (temperatures, a piston's thickness, the
// preload, the shock's compensation) is declared always: such a note explains nothing.

static const struct drawn of_oil[] = {{"density", "kg/m^3", 800, 1200}};
static const struct drawn of_spring[] = {{"wire", "mm", 0.5, 4},
                                         {"mean-diameter", "mm", 4, 30},
                                         {"active-coils", "", 2, 14},
                                         {"free-length", "mm", 10, 60}};
static const struct drawn of_damper[] = {{"bore", "mm", 8, 16},
                                         {"shaft", "mm", 2, 6},
                                         {"extended-length", "mm", 40, 140},
                                         {"stroke", "mm", 8, 45},
                                         {"air-volume", "ml", 0.05, 1.5},
                                         {"oil-volume", "ml", 0.5, 8},
                                         {"charge", "kPa", 0, 3000},
                                         {"perch-gap", "mm", 10, 70},
                                         {"exposed-shaft", "mm", 5, 60},
                                         {"bushing-overlap", "mm", 2, 20},
                                         {"seal.ring-inside", "mm", 1.5, 4},
                                         {"seal.ring-section", "mm", 0.8, 2.2},
                                         {"seal.rings", "", 1, 1},
                                         {"seal.gland-outside", "mm", 3, 9},
                                         {"seal.gland-width", "mm", 1, 6},
                                         {"seal.extrusion-gap", "mm", 0, 0.3}};
static const struct drawn of_car[] = {
    {"mass", "g", 300, 3000},     {"front-share", "%", 5, 95},
    {"cg-height", "mm", 5, 200},  {"wheelbase", "mm", 150, 400},
    {"internal-ratio", "", 1, 4}, {"fast-speed", "mm/s", 10, 2000},
    {"pinion", "", 20, 20},       {"spur", "", 80, 80}};
static const struct drawn of_axle[] = {
    {"track", "mm", 100, 350},    {"bar-wire", "mm", 0.5, 3},  {"bar-lever", "mm", 5, 40},
    {"bar-length", "mm", 20, 90}, {"bar-ratio", "", 0.2, 1.5}, {"roll-centre", "mm", -30, 60}};
static const struct drawn of_corner[] = {
    {"tyre-radius", "mm", 20, 80},  {"tyre-rate", "N/mm", 0.2, 6},
    {"unsprung-mass", "g", 5, 400}, {"ride-height", "mm", 2, 60},
    {"limiter", "mm", 0, 12},       {"bump-spacer", "mm", 0, 12},
    {"camber", "deg", -6, 6}};

struct drawing {
  struct pl_chance chance;
  struct pl_buffer text;
};

static bool one_in(struct drawing *drawing, double many) {
  return pl_chance_between(&drawing->chance, 0, many) < 1;
}

static double draw(struct drawing *drawing, double least, double greatest) {
  return pl_chance_between(&drawing->chance, least, greatest);
}

/// A number now and then from the middle half of its span, which is where cars are.
static double draw_number(struct drawing *drawing, const struct drawn *row) {
  const double quarter = (row->greatest - row->least) / 4;
  const bool usual = !one_in(drawing, 4);
  return usual ? draw(drawing, row->least + quarter, row->greatest - quarter)
               : draw(drawing, row->least, row->greatest);
}

/// All numbers of a block, each left out once in thirty times.
static void draw_numbers(struct drawing *drawing, const struct drawn *rows, size_t count) {
  for (size_t i = 0; i < count; i++) {
    if (one_in(drawing, 30)) continue;
    pl_buffer_format(&drawing->text, "%s = %.6g %s\n", rows[i].key,
                     draw_number(drawing, &rows[i]), rows[i].unit);
  }
}

#define DRAW(drawing, rows) draw_numbers((drawing), (rows), sizeof(rows) / sizeof(rows)[0])

static void draw_point(struct drawing *drawing, const char *key, double y, double z) {
  if (one_in(drawing, 40)) return;
  const double spread = one_in(drawing, 3) ? 60 : 4;
  const double across = draw(drawing, y - spread, y + spread);
  const double up = draw(drawing, z - spread, z + spread);
  pl_buffer_format(&drawing->text, "%s = (%.6g mm, %.6g mm)\n", key, across, up);
}

static void draw_parts(struct drawing *drawing) {
  static const char *const ports[] = {"2 x 1.6 mm", "2 x 1.2 mm one-way compression",
                                      "3 x 1.3 mm one-way rebound",
                                      "1 x 1.1 mm one-way rebound opens-at 20 kPa + 2 x 1.4 mm",
                                      "2 x 1.4 mm one-way compression opens-at 9 kPa"};
  static const char *const kinds[] = {"vented", "bladder", "emulsion", "none"};
  pl_buffer_format(&drawing->text, "oil \"o\" { viscosity = %.6g cSt\n",
                   pl_chance_scale(&drawing->chance, 0.5, 1e6));
  DRAW(drawing, of_oil);
  pl_buffer_text(&drawing->text, "}\nspring \"p\" { ends = closed-ground\n");
  DRAW(drawing, of_spring);
  pl_buffer_format(&drawing->text, "}\npiston \"p\" { thickness = 2.4 mm; ports = %s\n",
                   ports[pl_chance_bits(&drawing->chance) % 5]);
  if (one_in(drawing, 2))
    pl_buffer_format(&drawing->text, "diameter = %.6g mm\n", draw(drawing, 7, 16));
  pl_buffer_format(&drawing->text, "}\ndamper \"d\" { compensation = %s\n",
                   kinds[pl_chance_bits(&drawing->chance) % 4]);
  DRAW(drawing, of_damper);
  if (one_in(drawing, 4)) pl_buffer_text(&drawing->text, "opposed-spring = 0.1 N/mm\n");
  pl_buffer_text(&drawing->text, "}\n");
}

static void draw_linkage(struct drawing *drawing) {
  draw_point(drawing, "arm-inner", 20, 12);
  draw_point(drawing, "arm-outer", 88, 12);
  draw_point(drawing, "wheel-centre", 104, 21);
  draw_point(drawing, "link-inner", 36, 35);
  draw_point(drawing, "link-outer", 83, 39);
  draw_point(drawing, "shock-top", 40, 85);
  draw_point(drawing, "shock-bottom", 65, 14);
}

static const char *draw_car(struct drawing *drawing) {
  draw_parts(drawing);
  pl_buffer_text(&drawing->text, "setup \"s\" { air = 20 degC\n");
  DRAW(drawing, of_car);
  if (one_in(drawing, 3))
    pl_buffer_format(&drawing->text, "ballast \"b\" { mass = %.6g g; at = (%.6g mm, 9 mm) }\n",
                     draw(drawing, 1, 400), draw(drawing, -400, 400));
  for (size_t axle = 0; axle < 2; axle++) {
    pl_buffer_text(&drawing->text, axle == 0 ? "front {\n" : "rear {\n");
    DRAW(drawing, of_axle);
    DRAW(drawing, of_corner);
    if (one_in(drawing, 8)) pl_buffer_text(&drawing->text, "axle-type = beam\n");
    pl_buffer_format(&drawing->text, "spring = \"p\"; preload = %.6g mm\n",
                     draw(drawing, -2, 12));
    pl_buffer_text(&drawing->text, "oil = \"o\"; piston = \"p\"; damper = \"d\"\n");
    draw_linkage(drawing);
    pl_buffer_text(&drawing->text, "}\n");
  }
  pl_buffer_text(&drawing->text, "}\n");
  return pl_buffer_string(&drawing->text);
}

// ---------------------------------------------------------------- the test

/// How often each figure was there, and how often it was not and did not say why.
struct tally {
  size_t there[PL_FIGURE_COUNT];
  size_t silent[PL_FIGURE_COUNT];
};

static void look_at(struct pl_figures *figures, const char *text, struct tally *tally) {
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_scope scope = pl_figure_rows[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, (enum pl_figure)i, (enum pl_place)place);
      tally->there[i] += value->present;
      if (value->present || value->need_count > 0 || value->note_count > 0) continue;
      if (tally->silent[i]++ == 0)
        print_error("%s.%s is absent and does not say why, in\n%s\n",
                    pl_place_name((enum pl_place)place), pl_figure_rows[i].key, text);
    }
  }
}

static struct tally tally; // of the first test below; the second looks at it

static void draw_one_work(struct bench *bench) {
  static uint64_t seed = 0;
  struct drawing drawing = {.chance = {.state = ++seed}, .text = {.arena = bench->arena}};
  const char *const text = draw_car(&drawing);
  look_at(figures_in(program_of(bench, text), NULL, NULL), text, &tally);
}

#define CARS 1500

static void an_absent_figure_says_why(void **state) {
  (void)state;
  for (int i = 0; i < CARS; i++) with_bench(draw_one_work);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) assert_int_equal((int)tally.silent[i], 0);
}

/// The cars are worth looking at: every figure is there in some of them.
static void the_cars_have_every_figure(void **state) {
  (void)state;
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (i != PL_FIGURE_EQUIVALENT_OIL && i != PL_FIGURE_CROSS_WEIGHT &&
        tally.there[i] < CARS / 20)
      fail_msg("%s is there %zu times only", pl_figure_rows[i].key, tally.there[i]);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(an_absent_figure_says_why),
      cmocka_unit_test(the_cars_have_every_figure),
  };
  return cmocka_run_group_tests_name("figures: reasons", tests, NULL, NULL);
}
