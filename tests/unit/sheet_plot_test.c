// SPDX-License-Identifier: GPL-3.0-or-later
// Plots: round ticks, printed units, equal corners on one line, the base where it differs,
// names at their points, and what is said where nothing can be drawn.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "sheet/plot.h"
#include "unit/figures_setup.h"

// A car of two arms, a camber link and a leaning shock.
#define PARTS                                                                                  \
  "spring \"p\" { wire = 1.2 mm; mean-diameter = 17 mm; total-coils = 14; ends = closed\n"     \
  "  groups = [4 coils gap 1 mm, 8 coils gap 3 mm]; free-length = 52 mm }\n"                   \
  "damper \"d\" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm\n"       \
  "  perch-gap = 54 mm; compensation = vented }\n"                                             \
  "car \"c\" { mass = 1600 g; front-share = 42 %; wheelbase = 280 mm\n"                        \
  "  all { track = 212 mm; tyre-radius = 42 mm; unsprung-mass = 60 g; damper = \"d\"\n"        \
  "    arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm)\n"                              \
  "    wheel-centre = (112 mm, 21 mm); link-inner = (34 mm, 35 mm)\n"                          \
  "    link-outer = (94 mm, 40 mm); shock-top = (50 mm, 90 mm)\n"                              \
  "    shock-bottom = (64 mm, 14 mm) } }\n"
#define SETUP(name)                                                                            \
  "setup \"" name "\" { car = \"c\"; oil-temperature = 20 degC\n"                              \
  "  all { ride-height = 22 mm; spring = \"p\"; oil = 350 cSt; piston = 2 x 1.6 mm\n"          \
  "    preload = 5 mm }\n"

/// What a plot is drawn with, and what it is of.
struct scene {
  struct pl_sheet_request request;
  struct pl_template plan;
  struct pl_sheet sheet;
  struct pl_template_part part;
};

static struct scene *scene_of(struct bench *bench, struct pl_figures *figures,
                              enum pl_curve_kind curve) {
  struct scene *const scene = pl_alloc(bench->arena, sizeof *scene);
  scene->request.figures = figures;
  scene->part = (struct pl_template_part){
      .kind = PL_PAGE_PLOT, .title = "", .curve = curve, .places = 0xF};
  scene->sheet = (struct pl_sheet){.arena = bench->arena,
                                   .request = &scene->request,
                                   .plan = &scene->plan,
                                   .problems = pl_diagnostics_new(bench->arena),
                                   .what = ""};
  return scene;
}

/// A scene of the setup "new" in a text, against "base" if that is there.
static struct scene *scene_in(struct bench *bench, const char *text, enum pl_curve_kind curve) {
  struct pl_program *const program = program_of(bench, text);
  const bool has_base = pl_program_find(program, PL_BLOCK_SETUP, "base") != NULL;
  struct pl_figures *const base = has_base ? figures_in(program, "base", NULL) : NULL;
  struct scene *const scene = scene_of(bench, figures_in(program, "new", base), curve);
  scene->request.base = base;
  return scene;
}

static const struct pl_plot *plot_of(struct scene *scene) {
  const char *lacks = "";
  const struct pl_plot *const plot = pl_plot_of(&scene->sheet, &scene->part, &lacks);
  if (plot == NULL) fail_msg("no plot: %s", lacks);
  return plot;
}

static const struct pl_page *picture_of(struct scene *scene) {
  const char *lacks = "";
  const struct pl_page *const picture =
      pl_plot_picture(&scene->sheet, &scene->part, 92, 70, &lacks);
  if (picture == NULL) fail_msg("no picture: %s", lacks);
  return picture;
}

/// How many texts of a picture begin so.
static size_t texts_with(const struct pl_page *picture, const char *start) {
  size_t count = 0;
  for (size_t i = 0; i < picture->count; i++)
    count += picture->marks[i].kind == PL_MARK_TEXT &&
             strncmp(picture->marks[i].text, start, strlen(start)) == 0;
  return count;
}

// ---------------------------------------------------------------- axes

// By hand: the smallest of 1, 2, 5, 10, … with which the ticks do not become too many.
static void ticks_are_round_work(struct bench *bench) {
  static const struct {
    double least, greatest;
    size_t most;
    bool around;
    double first, last, step;
    size_t count;
  } cases[] = {{0, 97, 6, true, 0, 100, 20, 6},
               {0, 100, 6, true, 0, 100, 20, 6},
               {0, 101, 6, true, 0, 150, 50, 4},
               {-350, 350, 8, false, -300, 300, 100, 7},
               {-11.9, 11.9, 8, true, -15, 15, 5, 7},
               {0.5789, 0.5977, 6, true, 0.575, 0.6, 0.005, 6},
               {-5, 60, 8, false, 0, 60, 10, 7},
               {-1.08e-3, -0.2e-3, 6, true, -1.2e-3, -0.2e-3, 0.2e-3, 6},
               // Level: 5 % to both sides; about zero, 1.
               {3, 3, 5, true, 2.8, 3.2, 0.1, 5},
               {0, 0, 5, true, -1, 1, 0.5, 5},
               {1e9, 1e9 + 1, 6, true, 0.95e9, 1.05e9, 0.05e9, 3},
               // Steps of 1 would leave two ticks.
               {0.9, 2.9, 3, false, 1, 2.5, 0.5, 4}};
  (void)bench;
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_axis axis = (cases[i].around ? pl_axis_around : pl_axis_within)(
        cases[i].least, cases[i].greatest, cases[i].most);
    if (axis.count != cases[i].count)
      fail_msg("%g to %g has %zu ticks", cases[i].least, cases[i].greatest, axis.count);
    assert_near(axis.step, cases[i].step, 1e-12);
    assert_within(pl_axis_tick(&axis, 0), cases[i].first, 1e-9 * cases[i].step);
    assert_within(pl_axis_tick(&axis, axis.count - 1), cases[i].last, 1e-9 * cases[i].step);
    if (cases[i].around) assert_within(axis.least, cases[i].first, 1e-9 * cases[i].step);
  }
}

static void assert_number(struct bench *bench, double least, double greatest, double value,
                          int more, const char *expected) {
  const struct pl_axis axis = pl_axis_around(least, greatest, 6);
  assert_string_equal(pl_axis_number(bench->arena, &axis, value, more), expected);
}

static void numbers_have_the_digits_they_need_work(struct bench *bench) {
  assert_number(bench, 0, 97, 40, 0, "40");
  assert_number(bench, 0, 97, 41.26, 1, "41");
  assert_number(bench, 0, 9.7, 4.126, 1, "4.1");
  assert_number(bench, -0.9, 0, -0.2, 0, "−0.2");
  assert_number(bench, -0.9, 0, 0, 0, "0.0");
  assert_number(bench, 0, 4e6, 2e6, 0, "2000000");
  assert_number(bench, 0, 1e9, 4e8, 0, "0.4·10⁹");
  assert_number(bench, 0, 1e9, 0, 0, "0");
  assert_number(bench, -8e-9, 0, -6e-9, 0, "−6·10⁻⁹");
}

static void digits_are_as_wide_as_each_other_work(struct bench *bench) {
  const double width = pl_text_width("0", PL_SMALL, false);
  for (int digit = 1; digit < 10; digit++)
    assert_near(pl_text_width(pl_format(bench->arena, "%d", digit), PL_SMALL, false), width,
                1e-12);
}

// ---------------------------------------------------------------- units

// 1 in = 25.4 mm, 1 lbf = 4.4482216152605 N, by definition.
static void units_are_those_of_the_sheet_work(struct bench *bench) {
  static const struct {
    enum pl_curve_kind curve;
    const char *x_title, *y_title;
    double x_factor, x_offset, y_factor;
  } cases[] = {
      {PL_CURVE_WHEEL_FORCE, "wheel travel, in", "force, lbf", 25.4, 0, 4.4482216152605},
      {PL_CURVE_DAMPER_FORCE, "shaft speed, in/s", "force, lbf", 25.4, 0, 4.4482216152605},
      {PL_CURVE_DAMPING_TEMPERATURE, "oil temperature, °F", "damping ratio, slow", 5.0 / 9, 32,
       1},
      {PL_CURVE_CAMBER, "wheel travel, in", "camber, °", 25.4, 0, 1}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    struct scene *const scene = scene_in(bench, PARTS SETUP("new") "}", cases[i].curve);
    const struct pl_plot *const metric = plot_of(scene);
    scene->request.system = PL_IMPERIAL;
    const struct pl_plot *const imperial = plot_of(scene);
    assert_string_equal(imperial->x_title, cases[i].x_title);
    assert_string_equal(imperial->y_title, cases[i].y_title);
    for (size_t j = 0; j < metric->lines[0].count; j++) {
      const struct pl_spot is = metric->lines[0].points[j];
      const struct pl_spot was = imperial->lines[0].points[j];
      assert_within(is.x, (was.x - cases[i].x_offset) * cases[i].x_factor, 1e-9);
      assert_within(is.y, was.y * cases[i].y_factor, 1e-9);
    }
  }
}

// What the curve says in SI comes out in the row's own units.
static void metric_units_are_those_of_the_row_work(struct bench *bench) {
  struct scene *const scene =
      scene_in(bench, PARTS SETUP("new") "}", PL_CURVE_DAMPING_TEMPERATURE);
  const struct pl_plot *const plot = plot_of(scene);
  const struct pl_curve *const curve =
      pl_curve_make(scene->request.figures, PL_CURVE_DAMPING_TEMPERATURE, PL_FRONT_LEFT);
  assert_string_equal(plot->x_title, "oil temperature, °C");
  assert_within(plot->lines[0].points[0].x, curve->points[0].x - 273.15, 1e-9);
  assert_within(plot->lines[0].names[0].at.x, 20, 1e-9);
}

// ---------------------------------------------------------------- lines

static void assert_labels(const struct pl_plot *plot, const char *const *labels, size_t count) {
  assert_int_equal(plot->count, count);
  for (size_t i = 0; i < count; i++) assert_string_equal(plot->lines[i].label, labels[i]);
}

static void equal_corners_share_a_line_work(struct bench *bench) {
  static const struct {
    const char *text;
    const char *labels[4];
    size_t count;
  } cases[] = {{PARTS SETUP("new") "}", {"all"}, 1},
               {PARTS SETUP("new") "rear { piston = 3 x 1.6 mm } }", {"front", "rear"}, 2},
               {PARTS SETUP("new") "front-right { piston = 3 x 1.6 mm }\n"
                                   "rear-right { piston = 3 x 1.6 mm } }",
                {"left", "right"},
                2},
               {PARTS SETUP("new") "rear-left { piston = 3 x 1.6 mm } }",
                {"front left and front right and rear right", "rear left"},
                2},
               {PARTS SETUP("new") "front-left { piston = 2 x 1.5 mm }\n"
                                   "front-right { piston = 2 x 1.4 mm }\n"
                                   "rear-left { piston = 2 x 1.3 mm } }",
                {"front left", "front right", "rear left", "rear right"},
                4}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    assert_labels(plot_of(scene_in(bench, cases[i].text, PL_CURVE_DAMPER_FORCE)),
                  cases[i].labels, cases[i].count);
}

static void only_the_corners_asked_for_are_shown_work(struct bench *bench) {
  struct scene *const scene = scene_in(
      bench, PARTS SETUP("new") "rear { piston = 3 x 1.6 mm } }", PL_CURVE_DAMPER_FORCE);
  scene->part.places = 1u << PL_FRONT_LEFT | 1u << PL_REAR_LEFT;
  static const char *const labels[] = {"front left", "rear left"};
  assert_labels(plot_of(scene), labels, 2);
}

#define AGAINST(change) PARTS SETUP("base") "}\n" SETUP("new") change "}"

static void the_base_is_dashed_where_it_differs_work(struct bench *bench) {
  struct scene *scene =
      scene_in(bench, AGAINST("rear { piston = 3 x 1.6 mm }"), PL_CURVE_DAMPER_FORCE);
  static const char *const labels[] = {"rear, base", "front", "rear"};
  const struct pl_plot *const plot = plot_of(scene);
  assert_labels(plot, labels, 3);
  for (size_t i = 0; i < 3; i++)
    assert_int_equal(plot->lines[i].stroke.dash, i == 0 ? PL_DASHED : PL_SOLID);
  assert_int_equal(plot->lines[0].name_count, 0);
  // The base's rear is as this setup's front is.
  const size_t last = plot->lines[0].count - 1;
  assert_near(plot->lines[0].points[last].y, plot->lines[1].points[last].y, 1e-12);
  scene = scene_in(bench, AGAINST(""), PL_CURVE_DAMPER_FORCE);
  assert_int_equal(plot_of(scene)->count, 1);
}

static void the_lines_differ_without_colour_work(struct bench *bench) {
  const struct pl_plot *const plot =
      plot_of(scene_in(bench,
                       PARTS SETUP("new") "front-left { piston = 2 x 1.5 mm }\n"
                                          "front-right { piston = 2 x 1.4 mm }\n"
                                          "rear-left { piston = 2 x 1.3 mm } }",
                       PL_CURVE_DAMPER_FORCE));
  assert_int_equal(plot->count, 4);
  for (size_t i = 0; i < 4; i++) {
    for (size_t j = 0; j < i; j++)
      assert_true(fabs(plot->lines[i].stroke.width - plot->lines[j].stroke.width) > 0.05);
  }
}

// ---------------------------------------------------------------- names

static void points_are_named_beside_them_work(struct bench *bench) {
  struct scene *const scene = scene_in(
      bench, PARTS SETUP("new") "rear { ride-height = 24 mm } }", PL_CURVE_MOTION_RATIO);
  const struct pl_page *const picture = picture_of(scene);
  assert_int_equal(texts_with(picture, "ride height "), 2);
  assert_int_equal(texts_with(picture, "full droop "), 2);
  assert_int_equal(texts_with(picture, "full bump "), 2);
  size_t circles = 0;
  for (size_t i = 0; i < picture->count; i++)
    circles +=
        picture->marks[i].kind == PL_MARK_CIRCLE && picture->marks[i].fill == PL_INK_WHITE;
  assert_int_equal(circles, 6);
}

/// The first mark of that kind and dash; fails if there is none.
static struct pl_mark first_mark(const struct pl_page *picture, enum pl_mark_kind kind,
                                 enum pl_dash dash) {
  for (size_t i = 0; i < picture->count; i++) {
    if (picture->marks[i].kind == kind && picture->marks[i].stroke.dash == dash)
      return picture->marks[i];
  }
  fail_msg("there is no such mark");
  return picture->marks[0];
}

static void today_has_a_dotted_line_work(struct bench *bench) {
  const struct pl_page *const picture =
      picture_of(scene_in(bench, PARTS SETUP("new") "}", PL_CURVE_DAMPING_TEMPERATURE));
  const struct pl_mark circle = first_mark(picture, PL_MARK_CIRCLE, PL_SOLID);
  const struct pl_mark dotted = first_mark(picture, PL_MARK_LINE, PL_DOTTED);
  assert_int_equal(dotted.spot_count, 2);
  // Front and rear differ in mass.
  assert_int_equal(texts_with(picture, "today "), 2);
  assert_within(dotted.spots[0].x, circle.x, 1e-9);
  assert_within(dotted.spots[1].x, circle.x, 1e-9);
  assert_true(fmin(dotted.spots[0].y, dotted.spots[1].y) < circle.y);
  assert_true(fmax(dotted.spots[0].y, dotted.spots[1].y) > circle.y);
}

static void the_ways_of_the_shaft_are_named_work(struct bench *bench) {
  struct scene *const scene = scene_in(bench, PARTS SETUP("new") "}", PL_CURVE_DAMPER_FORCE);
  const struct pl_page *const picture = picture_of(scene);
  double rebound = 0;
  double compression = 0;
  for (size_t i = 0; i < picture->count; i++) {
    if (picture->marks[i].kind != PL_MARK_TEXT) continue;
    if (strcmp(picture->marks[i].text, "← rebound") == 0) rebound = picture->marks[i].x;
    if (strcmp(picture->marks[i].text, "compression →") == 0) compression = picture->marks[i].x;
  }
  assert_true(rebound > 0);
  assert_true(compression > 46 && rebound < 46);
  // Compression is positive and on the right: the force grows there.
  const struct pl_plot_line *const line = &plot_of(scene)->lines[0];
  assert_true(line->points[0].x < 0 && line->points[0].y < 0);
  assert_true(line->points[line->count - 1].x > 0 && line->points[line->count - 1].y > 0);
}

static void a_template_says_it_in_its_own_words_work(struct bench *bench) {
  struct scene *const scene =
      scene_in(bench, AGAINST("front { preload = 6 mm }\n rear { preload = 6 mm }"),
               PL_CURVE_WHEEL_FORCE);
  scene->plan.words[PL_WORD_WHEEL_TRAVEL] = "Radweg";
  scene->plan.words[PL_WORD_RIDE_HEIGHT] = "Bodenfreiheit";
  scene->plan.words[PL_WORD_AT_ALL] = "alle";
  scene->plan.words[PL_WORD_OF_BASE] = "Basis: {1}";
  const struct pl_page *const picture = picture_of(scene);
  assert_int_equal(texts_with(picture, "Radweg, mm"), 1);
  assert_int_equal(texts_with(picture, "Bodenfreiheit "), 1);
  assert_int_equal(texts_with(picture, "Basis: alle"), 1);
  assert_int_equal(texts_with(picture, "ride height"), 0);
}

/// Counts the names of a setup's marks, each of which has to be a word of the program.
static size_t words_of_marks(struct bench *bench, const char *text, struct pl_map *seen) {
  struct pl_figures *const figures = figures_of(bench, text);
  size_t count = 0;
  for (int kind = 0; kind < PL_CURVE_COUNT; kind++) {
    const struct pl_curve *const curve =
        pl_curve_make(figures, (enum pl_curve_kind)kind, PL_FRONT_LEFT);
    for (size_t i = 0; i < curve->mark_count; i++) {
      const char *const name = curve->marks[i].name;
      if (pl_word_row(name) == PL_WORD_COUNT) fail_msg("\"%s\" is no word", name);
      count += pl_map_set(seen, name, seen) == NULL;
    }
  }
  return count;
}

// Whoever adds a curve or a mark adds its words.
static void labels_and_marks_of_curves_are_words_work(struct bench *bench) {
  for (int i = 0; i < PL_CURVE_COUNT; i++) {
    if (pl_word_row(pl_curve_rows[i].x_label) == PL_WORD_COUNT ||
        pl_word_row(pl_curve_rows[i].y_label) == PL_WORD_COUNT)
      fail_msg("`%s` has a label that is no word", pl_curve_rows[i].key);
  }
  struct pl_map *const seen = pl_map_new(bench->arena);
  // Cavitation, today, three of the wheel's travel, three of the spring with one among these.
  assert_int_equal(words_of_marks(bench, PARTS SETUP("new") "fast-speed = 900 mm/s }", seen),
                   7);
}

static void a_character_that_the_font_lacks_is_reported_work(struct bench *bench) {
  struct scene *const scene = scene_in(bench, PARTS SETUP("new") "}", PL_CURVE_WHEEL_FORCE);
  scene->plan.words[PL_WORD_RIDE_HEIGHT] = "車高";
  picture_of(scene);
  assert_true(scene->sheet.failed);
  assert_true(scene->sheet.problems->errors > 0);
}

// ---------------------------------------------------------------- what is missing

static void what_is_missing_is_said_work(struct bench *bench) {
  const char *lacks = "";
  struct scene *scene = scene_in(bench, "setup \"new\" { }", PL_CURVE_DAMPER_FORCE);
  assert_null(pl_plot_picture(&scene->sheet, &scene->part, 92, 70, &lacks));
  assert_string_equal(lacks, "It needs piston, shock and oil.");
  scene = scene_in(bench, "setup \"new\" { }", PL_CURVE_DAMPER_FORCE);
  scene->plan.labels.spoken_setting[PL_SETTING_OIL] = "das Öl";
  assert_null(pl_plot_picture(&scene->sheet, &scene->part, 92, 70, &lacks));
  assert_string_equal(lacks, "It needs piston, shock and das Öl.");
}

/// The height of a picture with what is missing beneath it.
static double height_of_partial(struct bench *bench, const char *text, const char *foot) {
  struct scene *const scene = scene_in(bench, text, PL_CURVE_DAMPER_FORCE);
  assert_string_equal(plot_of(scene)->foot, foot);
  const struct pl_page *const picture = picture_of(scene);
  assert_int_equal(texts_with(picture, foot), 1);
  return picture->height;
}

static void one_axle_is_drawn_without_the_other_work(struct bench *bench) {
  const char *const damper = "damper \"d\" { bore = 12 mm; shaft = 3 mm; stroke = 24 mm }\n";
  const char *const text = pl_format(bench->arena,
                                     "%ssetup \"new\" { all { damper = \"d\"; oil = 350 cSt }\n"
                                     "  front { piston = 2 x 1.6 mm } }",
                                     damper);
  const double height = height_of_partial(bench, text, "Not drawn: rear. It needs piston.");
  assert_within(height, 70 + pl_line_height(PL_TYPE_FLOOR), 1e-9);
}

// A page is drafted several times.
static void a_plot_is_drawn_once_work(struct bench *bench) {
  struct scene *const scene = scene_in(bench, PARTS SETUP("new") "}", PL_CURVE_CAMBER);
  const char *lacks = "";
  const struct pl_page *const picture = picture_of(scene);
  assert_ptr_equal(picture_of(scene), picture);
  const struct pl_page *const wider =
      pl_plot_picture(&scene->sheet, &scene->part, 120, 70, &lacks);
  assert_ptr_not_equal(wider, picture);
  assert_within(wider->width, 120, 1e-9);
  struct scene *const other = scene_in(bench, "setup \"new\" { }", PL_CURVE_CAMBER);
  assert_null(pl_plot_picture(&other->sheet, &other->part, 92, 70, &lacks));
  const char *const first = lacks;
  assert_null(pl_plot_picture(&other->sheet, &other->part, 92, 70, &lacks));
  assert_string_equal(lacks, first);
  assert_true(lacks[0] != '\0');
}

#define TEST(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }

TEST(ticks_are_round)
TEST(numbers_have_the_digits_they_need)
TEST(digits_are_as_wide_as_each_other)
TEST(units_are_those_of_the_sheet)
TEST(metric_units_are_those_of_the_row)
TEST(equal_corners_share_a_line)
TEST(only_the_corners_asked_for_are_shown)
TEST(the_base_is_dashed_where_it_differs)
TEST(the_lines_differ_without_colour)
TEST(points_are_named_beside_them)
TEST(today_has_a_dotted_line)
TEST(the_ways_of_the_shaft_are_named)
TEST(a_template_says_it_in_its_own_words)
TEST(labels_and_marks_of_curves_are_words)
TEST(a_character_that_the_font_lacks_is_reported)
TEST(what_is_missing_is_said)
TEST(one_axle_is_drawn_without_the_other)
TEST(a_plot_is_drawn_once)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(ticks_are_round),
      cmocka_unit_test(numbers_have_the_digits_they_need),
      cmocka_unit_test(digits_are_as_wide_as_each_other),
      cmocka_unit_test(units_are_those_of_the_sheet),
      cmocka_unit_test(metric_units_are_those_of_the_row),
      cmocka_unit_test(equal_corners_share_a_line),
      cmocka_unit_test(only_the_corners_asked_for_are_shown),
      cmocka_unit_test(the_base_is_dashed_where_it_differs),
      cmocka_unit_test(the_lines_differ_without_colour),
      cmocka_unit_test(points_are_named_beside_them),
      cmocka_unit_test(today_has_a_dotted_line),
      cmocka_unit_test(the_ways_of_the_shaft_are_named),
      cmocka_unit_test(a_template_says_it_in_its_own_words),
      cmocka_unit_test(labels_and_marks_of_curves_are_words),
      cmocka_unit_test(a_character_that_the_font_lacks_is_reported),
      cmocka_unit_test(what_is_missing_is_said),
      cmocka_unit_test(one_axle_is_drawn_without_the_other),
      cmocka_unit_test(a_plot_is_drawn_once)};
  return cmocka_run_group_tests_name("plots", tests, NULL, NULL);
}
