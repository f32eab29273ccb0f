// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the pages of a sweep by what is drawn on them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "sheet/room.h"
#include "support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/// A shock at each corner; what a sweep of oils needs, and springs that may not be found.
static const char text[] =
    "damper \"d\" { bore = 12 mm; shaft = 3.5 mm; extended-length = 80 mm; stroke = 26 mm }\n"
    "oil \"a 300\" { viscosity = 300 cSt }\n"
    "oil \"an oil whose name is far too long to stand beneath a plot\" { viscosity = 500 cSt }\n"
    "setup \"A setup\" {\n  air = 25 degC\n"
    "  all { damper = \"d\"; piston = 2 x 1.6 mm; oil = \"a 300\" }\n}\n";

static const enum pl_figure slow[] = {PL_FIGURE_DAMPING_SLOW_COMPRESSION};

/// The paper of a sweep over that setup.
static struct pl_paper *paper_of(struct pl_bench *bench, const char *swept,
                                 const enum pl_figure *figures, size_t count,
                                 struct pl_sweep_request request) {
  const struct pl_setup *const setup = pl_bench_setup(bench, text);
  struct pl_sweep *const sweep = pl_alloc(bench->arena, sizeof *sweep);
  const struct pl_template_choice choice = {.name = NULL};
  if (bench->spare == NULL) bench->spare = pl_arena_new(bench->guard);
  assert_null(pl_sweep_read(bench->arena, pl_session_names(bench->session), swept, sweep));
  pl_sweep_run(bench->arena, bench->spare, pl_figures_new(setup, NULL), figures, count, sweep);
  request.sweep = sweep;
  request.shown = pl_sweep_shown_of(bench->arena, sweep, false, request.system, &request.count);
  request.look = pl_template_read(bench->arena, &choice, bench->program,
                                  pl_program_problems(bench->program));
  request.version = "0";
  return pl_sweep_paper_new(bench->arena, &request);
}

/// Everything lies on its page, and no text is too small.
static void assert_sound(const struct pl_paper *paper) {
  for (size_t i = 0; i < paper->page_count; i++) {
    const struct pl_page *const page = paper->pages[i];
    for (size_t j = 0; j < page->count; j++) {
      const struct pl_mark *const mark = &page->marks[j];
      if (mark->kind == PL_MARK_TEXT) {
        assert_true(mark->type.size >= PL_TYPE_FLOOR);
        assert_true(mark->x >= 0 && mark->x + mark->width <= page->width);
        assert_true(mark->y > 0 && mark->y < page->height);
      }
      for (size_t k = 0; k < mark->spot_count; k++) {
        assert_true(mark->spots[k].x >= 0 && mark->spots[k].x <= page->width);
        assert_true(mark->spots[k].y >= 0 && mark->spots[k].y <= page->height);
      }
    }
  }
}

/// How often a text stands on the pages.
static size_t count_text(const struct pl_paper *paper, const char *wanted) {
  size_t count = 0;
  for (size_t i = 0; i < paper->page_count; i++) {
    for (size_t j = 0; j < paper->pages[i]->count; j++) {
      const struct pl_mark *const mark = &paper->pages[i]->marks[j];
      count += mark->kind == PL_MARK_TEXT && strcmp(mark->text, wanted) == 0 ? 1 : 0;
    }
  }
  return count;
}

/// The lines of curves, and how many spots they have together.
static size_t count_lines(const struct pl_paper *paper, size_t *spots) {
  size_t count = 0;
  *spots = 0;
  for (size_t i = 0; i < paper->page_count; i++) {
    for (size_t j = 0; j < paper->pages[i]->count; j++) {
      const struct pl_mark *const mark = &paper->pages[i]->marks[j];
      if (mark->kind != PL_MARK_POLYLINE) continue;
      count++;
      *spots += mark->spot_count;
    }
  }
  return count;
}

static size_t count_dotted(const struct pl_paper *paper) {
  size_t count = 0;
  for (size_t i = 0; i < paper->page_count; i++) {
    for (size_t j = 0; j < paper->pages[i]->count; j++)
      count += paper->pages[i]->marks[j].stroke.dash == PL_DOTTED ? 1 : 0;
  }
  return count;
}

static void one_figure_has_a_line_an_axle(struct pl_bench *bench) {
  struct pl_paper *const paper = paper_of(bench, "front.oil 200 cSt .. 400 cSt by 100 cSt",
                                          slow, 1, (struct pl_sweep_request){.paper = PL_A4});
  size_t spots = 0;
  assert_sound(paper);
  assert_int_equal(paper->page_count, 1);
  assert_int_equal(count_lines(paper, &spots), 2);
  assert_int_equal(spots, 6);
  assert_int_equal(count_dotted(paper), 1); // as the setup is, upright
  assert_int_equal(count_text(paper, "front"), 1);
  assert_int_equal(count_text(paper, "rear"), 1);
  assert_int_equal(count_text(paper, "A setup"), 1);
  assert_int_equal(
      count_text(paper, "Oil, front: from 200 cSt to 400 cSt, 3 values; now a 300"), 1);
  assert_int_equal(count_text(paper, "page 1 of 1"), 1);
}

/// The line ends where nothing can be computed, and goes on behind it.
static void lines_have_gaps(struct pl_bench *bench) {
  struct pl_paper *const paper =
      paper_of(bench, "front.oil [100 cSt, 200 cSt, 300 mm, 400 cSt, 500 cSt]", slow, 1,
               (struct pl_sweep_request){.paper = PL_A4});
  size_t spots = 0;
  assert_sound(paper);
  assert_int_equal(count_lines(paper, &spots), 4);
  assert_int_equal(spots, 8);
}

/// Names stand beneath the plot where they have room, else numbers that are told above.
static void names_or_their_numbers(struct pl_bench *bench) {
  const struct pl_sweep_request request = {.paper = PL_A4};
  struct pl_paper *paper =
      paper_of(bench, "front.oil [\"a 300\", 300 cSt at 40 degC]", slow, 1, request);
  assert_sound(paper);
  assert_int_equal(count_text(paper, "a 300"), 1);
  paper = paper_of(bench,
                   "all.oil [\"a 300\", \"an oil whose name is far too long to stand beneath a "
                   "plot\", 200 cSt at 30 degC, 300 cSt at 30 degC]",
                   slow, 1, request);
  assert_sound(paper);
  assert_int_equal(count_text(paper, "a 300"), 0);
  assert_int_equal(count_text(paper, "1"), 1);
  assert_int_equal(count_text(paper, "2"), 1);
}

/// A plot at each place, a line for each value of the second, no more than are told apart, and
/// among them that of today.
static void two_settings_have_a_line_a_value(struct pl_bench *bench) {
  struct pl_paper *const paper = paper_of(
      bench, "all.oil 100 cSt .. 500 cSt by 200 cSt car.air 0 degC .. 40 degC by 1 K", slow, 1,
      (struct pl_sweep_request){.paper = PL_LETTER, .direction = PL_LANDSCAPE});
  size_t spots = 0;
  assert_sound(paper);
  assert_true(paper->pages[0]->width > paper->pages[0]->height);
  assert_int_equal(count_lines(paper, &spots), 2 * 7);
  assert_int_equal(count_text(paper, "25 °C"), 2);
  assert_int_equal(count_text(paper, "0 °C"), 2);
  assert_int_equal(count_text(paper, "3 °C"), 0);
}

/// A figure of the whole car has one line, which needs no name; all figures take several pages.
static void all_figures_have_room(struct pl_bench *bench) {
  enum pl_figure all[PL_FIGURE_COUNT];
  for (int i = 0; i < PL_FIGURE_COUNT; i++) all[i] = (enum pl_figure)i;
  static const enum pl_unit_system systems[] = {PL_METRIC, PL_IMPERIAL};
  for (size_t i = 0; i < 2; i++) {
    struct pl_paper *const paper =
        paper_of(bench, "all.oil 100 cSt .. 500 cSt by 20 cSt", all, PL_FIGURE_COUNT,
                 (struct pl_sweep_request){.paper = PL_A4, .system = systems[i]});
    assert_sound(paper);
    assert_int_equal(paper->page_count, 2); // fifteen plots stand on a page
    assert_int_equal(count_text(paper, "Oil viscosity"), 1);
  }
}

/// The labels of a race sheet are short; above a plot they stand in full.
static void titles_are_in_full(struct pl_bench *bench) {
  (void)pl_bench_setup(bench, text);
  const struct pl_template_choice choice = {.name = NULL};
  const struct pl_template *const plan = pl_template_read(bench->arena, &choice, bench->program,
                                                          pl_program_problems(bench->program));
  const struct pl_thing settled = pl_thing_of_figure(PL_FIGURE_SETTLED_RIDE_HEIGHT);
  assert_string_equal(pl_thing_label(plan, &settled), "Settled");
  assert_string_equal(pl_thing_title(bench->arena, plan, &settled), "Settled ride height");
}

/// Eight plots go on one page either way.
static void plots_fill_a_page(struct pl_bench *bench) {
  static const enum pl_figure figures[] = {
      PL_FIGURE_OIL_VISCOSITY,        PL_FIGURE_DAMPING_SLOW_COMPRESSION,
      PL_FIGURE_DAMPING_SLOW_REBOUND, PL_FIGURE_DAMPING_FAST_COMPRESSION,
      PL_FIGURE_DAMPING_FAST_REBOUND, PL_FIGURE_PACK_SPEED,
      PL_FIGURE_CAVITATION_SPEED,     PL_FIGURE_SHAFT_FORCE};
  static const enum pl_direction directions[] = {PL_PORTRAIT, PL_LANDSCAPE};
  for (size_t i = 0; i < 2; i++) {
    struct pl_paper *const paper =
        paper_of(bench, "all.oil 200 cSt .. 400 cSt by 100 cSt", figures, 8,
                 (struct pl_sweep_request){.paper = PL_A4, .direction = directions[i]});
    assert_sound(paper);
    assert_int_equal(count_text(paper, "Shaft force"), 1);
    assert_int_equal(paper->page_count, 1);
  }
}

/// Numbers lie along x by their size, in whatever order the list has them.
static void lists_lie_in_order(struct pl_bench *bench) {
  struct pl_paper *const paper = paper_of(bench, "all.oil [300 cSt, 400 cSt, 200 cSt, 350 cSt]",
                                          slow, 1, (struct pl_sweep_request){.paper = PL_A4});
  size_t lines = 0;
  for (size_t i = 0; i < paper->pages[0]->count; i++) {
    const struct pl_mark *const mark = &paper->pages[0]->marks[i];
    if (mark->kind != PL_MARK_POLYLINE) continue;
    lines++;
    for (size_t j = 1; j < mark->spot_count; j++) {
      assert_true(mark->spots[j].x > mark->spots[j - 1].x);
      assert_true(mark->spots[j].y < mark->spots[j - 1].y); // thicker oil damps more
    }
  }
  assert_int_equal(lines, 2);
  assert_int_equal(count_text(paper, "Oil, all: from 200 cSt to 400 cSt, 4 values; now a 300"),
                   1);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(one_figure_has_a_line_an_axle),
      PL_BENCH_TEST(lines_have_gaps),
      PL_BENCH_TEST(names_or_their_numbers),
      PL_BENCH_TEST(two_settings_have_a_line_a_value),
      PL_BENCH_TEST(all_figures_have_room),
      PL_BENCH_TEST(titles_are_in_full),
      PL_BENCH_TEST(plots_fill_a_page),
      PL_BENCH_TEST(lists_lie_in_order),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
