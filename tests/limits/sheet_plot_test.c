// SPDX-License-Identifier: GPL-3.0-or-later
// Plots of invented curves, absurd ones and names of absurd length among them: no text covers
// another or leaves the picture, every name is there, and every point lies where the numbers on
// the axes say.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "chance.h"
#include "near.h"
#include "sheet/plot.h"
#include "unit/figures_setup.h"

/// Rounding of sums of lengths, mm.
#define SLACK 0.01

/// A plot that is made up.
struct maker {
  struct bench *bench;
  struct pl_chance chance;
  struct pl_plot *plot;
  double width;
  double height;
  bool wordy; ///< texts of up to 80 characters
};

static bool happens(struct maker *maker, double share) {
  return pl_chance_between(&maker->chance, 0, 1) < share;
}

static size_t up_to(struct maker *maker, size_t most) {
  return (size_t)pl_chance_between(&maker->chance, 0, (double)most + 0.999);
}

// ---------------------------------------------------------------- making plots up

/// Words, or one endless word, that begin with `start`.
static const char *make_text(struct maker *maker, const char *start) {
  static const char *const letters[] = {"a", "m", "i", "W", "é", "Ấ", "ж", "-", "Ω", "q", "j"};
  struct pl_buffer text = {.arena = maker->bench->arena};
  pl_buffer_text(&text, start);
  const size_t length = maker->wordy ? up_to(maker, 80) : 4 + up_to(maker, 6);
  const bool blanks = happens(maker, 0.7);
  for (size_t i = 0; i < length; i++) {
    const bool blank = blanks && i % 7 == 6 && i + 1 < length;
    pl_buffer_text(&text,
                   blank ? " " : letters[up_to(maker, sizeof letters / sizeof *letters - 1)]);
  }
  return pl_buffer_string(&text);
}

/// A number that is harmless, huge, tiny or nothing.
static double make_size(struct maker *maker) {
  switch (up_to(maker, 7)) {
  case 0: return 0;
  case 1: return pl_chance_scale(&maker->chance, 1e6, 1e12);
  case 2: return pl_chance_scale(&maker->chance, 1e-12, 1e-6);
  default: return pl_chance_scale(&maker->chance, 1e-2, 1e4);
  }
}

/// How the curves of a plot run.
struct shape {
  struct pl_spot origin;
  struct pl_spot span;
};

static struct shape make_shape(struct maker *maker) {
  struct shape shape = {{0, 0}, {make_size(maker), make_size(maker)}};
  if (happens(maker, 0.7)) shape.origin.x = (happens(maker, 0.5) ? -0.4 : 1) * shape.span.x;
  if (happens(maker, 0.7)) shape.origin.y = (happens(maker, 0.5) ? -1 : 1) * make_size(maker);
  return shape;
}

static struct pl_spot spot_at(struct maker *maker, const struct shape *shape, double share) {
  const double wave = sin(3 * share + pl_chance_between(&maker->chance, 0, 0.1));
  return (struct pl_spot){shape->origin.x + share * shape->span.x,
                          shape->origin.y + wave * shape->span.y};
}

/// A line about as the shape is; the same as the one before now and then.
static void add_line(struct maker *maker, const struct shape *shape, size_t number) {
  struct pl_plot *const plot = maker->plot;
  struct pl_plot_line *const line = &plot->lines[plot->count];
  const bool base = happens(maker, 0.3);
  struct shape own = *shape;
  own.span.y *= pl_chance_between(&maker->chance, 0.5, 1);
  own.span.x *= pl_chance_between(&maker->chance, 0.9, 1);
  const size_t count = happens(maker, 0.1) ? 1 : 2 + up_to(maker, 119);
  struct pl_spot *const points = pl_alloc_array(maker->bench->arena, count, sizeof *points);
  for (size_t i = 0; i < count; i++)
    points[i] = spot_at(maker, &own, count == 1 ? 0 : (double)i / (double)(count - 1));
  *line = (struct pl_plot_line){
      .label = make_text(maker, pl_format(maker->bench->arena, "L%zu", number)),
      .points = points,
      .count = count,
      .stroke = {.width = base ? 0.2 : 0.4,
                 .ink = base ? PL_INK_GREY : PL_INK_BLACK,
                 .dash = base ? PL_DASHED : PL_SOLID}};
  if (plot->count > 0 && happens(maker, 0.2)) {
    line->points = plot->lines[plot->count - 1].points;
    line->count = plot->lines[plot->count - 1].count;
  }
  plot->count++;
}

static void add_names(struct maker *maker, size_t number) {
  struct pl_plot_line *const line = &maker->plot->lines[number];
  line->name_count = up_to(maker, PL_CURVE_MARKS);
  for (size_t i = 0; i < line->name_count; i++)
    line->names[i] = (struct pl_plot_name){
        .at = line->points[up_to(maker, line->count - 1)],
        .text = make_text(maker, pl_format(maker->bench->arena, "N%zu%zu", number, i)),
        .tells_x = happens(maker, 0.2),
        .upright = happens(maker, 0.2)};
}

static struct maker make_plot(struct bench *bench, uint64_t seed) {
  struct maker maker = {.bench = bench,
                        .chance = {.state = seed},
                        .plot = pl_alloc(bench->arena, sizeof *maker.plot)};
  maker.wordy = seed % 3 == 0;
  maker.width = seed % 4 == 0 ? 23 : pl_chance_between(&maker.chance, 60, 190);
  maker.height = seed % 5 == 0 ? 30 : pl_chance_between(&maker.chance, 50, 150);
  const struct shape shape = make_shape(&maker);
  const size_t lines = 1 + up_to(&maker, PL_PLOT_LINES - 1);
  for (size_t i = 0; i < lines; i++) add_line(&maker, &shape, i);
  for (size_t i = 0; i < lines; i++) add_names(&maker, i);
  maker.plot->x_title = make_text(&maker, "X");
  maker.plot->y_title = make_text(&maker, "Y");
  maker.plot->low_end = happens(&maker, 0.5) ? make_text(&maker, "E1") : "";
  maker.plot->high_end = happens(&maker, 0.5) ? make_text(&maker, "E2") : "";
  maker.plot->foot = happens(&maker, 0.3) ? make_text(&maker, "F") : "";
  return maker;
}

static const struct pl_page *draw(const struct maker *maker) {
  struct bench *const bench = maker->bench;
  struct pl_template *const plan = pl_alloc(bench->arena, sizeof *plan);
  struct pl_sheet *const sheet = pl_alloc(bench->arena, sizeof *sheet);
  sheet->arena = bench->arena;
  sheet->plan = plan;
  sheet->problems = pl_diagnostics_new(bench->arena);
  sheet->what = "";
  const struct pl_page *const picture =
      pl_plot_draw(sheet, maker->plot, maker->width, maker->height);
  assert_false(sheet->failed);
  return picture;
}

// ---------------------------------------------------------------- looking at the picture

static struct pl_box box_of(const struct pl_mark *mark) {
  const struct pl_text_metrics metrics = pl_text_metrics(mark->type.size, mark->type.bold);
  return (struct pl_box){.left = mark->x,
                         .right = mark->x + mark->width,
                         .top = mark->y - metrics.ascent,
                         .bottom = mark->y + metrics.descent};
}

/// The first text that covers another one or leaves the picture; null if none does.
static const char *misplaced(const struct pl_page *picture) {
  for (size_t i = 0; i < picture->count; i++) {
    const struct pl_mark *const one = &picture->marks[i];
    if (one->kind != PL_MARK_TEXT) continue;
    const struct pl_box a = box_of(one);
    if (a.left < -SLACK || a.right > picture->width + SLACK || a.top < -SLACK ||
        a.bottom > picture->height + SLACK || one->type.size < PL_TYPE_FLOOR)
      return one->text;
    for (size_t j = 0; j < i; j++) {
      if (picture->marks[j].kind != PL_MARK_TEXT) continue;
      const struct pl_box b = box_of(&picture->marks[j]);
      if (a.left + SLACK < b.right && b.left + SLACK < a.right && a.top + SLACK < b.bottom &&
          b.top + SLACK < a.bottom)
        return one->text;
    }
  }
  return NULL;
}

/// Does any shape leave the picture?
static bool shapes_stay(const struct pl_page *picture) {
  for (size_t i = 0; i < picture->count; i++) {
    const struct pl_mark *const mark = &picture->marks[i];
    for (size_t j = 0; j < mark->spot_count; j++) {
      if (!(mark->spots[j].x >= 0 && mark->spots[j].x <= picture->width &&
            mark->spots[j].y >= 0 && mark->spots[j].y <= picture->height))
        return false;
    }
    const double half = mark->width / 2 + mark->stroke.width / 2;
    if (mark->kind == PL_MARK_CIRCLE && !(mark->x >= half && mark->x <= picture->width - half &&
                                          mark->y >= half && mark->y <= picture->height - half))
      return false;
  }
  return true;
}

/// All texts in their order, without blanks, as lines are broken there.
static const char *words_of(struct pl_arena *arena, const struct pl_page *picture) {
  struct pl_buffer words = {.arena = arena};
  for (size_t i = 0; i < picture->count; i++) {
    if (picture->marks[i].kind != PL_MARK_TEXT) continue;
    for (const char *next = picture->marks[i].text; *next != '\0'; next++) {
      if (*next != ' ') pl_buffer_add(&words, next, 1);
    }
  }
  return pl_buffer_string(&words);
}

static bool has_words(struct pl_arena *arena, const char *words, const char *text) {
  struct pl_buffer plain = {.arena = arena};
  for (const char *next = text; *next != '\0'; next++) {
    if (*next != ' ') pl_buffer_add(&plain, next, 1);
  }
  return strstr(words, pl_buffer_string(&plain)) != NULL;
}

static void check_words(const struct maker *maker, const struct pl_page *picture,
                        uint64_t seed) {
  struct pl_arena *const arena = maker->bench->arena;
  const struct pl_plot *const plot = maker->plot;
  const char *const words = words_of(arena, picture);
  const char *const single[] = {plot->x_title, plot->y_title, plot->low_end, plot->high_end,
                                plot->foot};
  for (size_t i = 0; i < sizeof single / sizeof single[0]; i++) {
    if (!has_words(arena, words, single[i]))
      fail_msg("seed %u: \"%s\" is lost", (unsigned)seed, single[i]);
  }
  for (size_t i = 0; i < plot->count; i++) {
    const struct pl_plot_line *const line = &plot->lines[i];
    if (!has_words(arena, words, line->label))
      fail_msg("seed %u: the label \"%s\" is lost", (unsigned)seed, line->label);
    for (size_t j = 0; j < line->name_count; j++) {
      if (!has_words(arena, words, line->names[j].text))
        fail_msg("seed %u: the name \"%s\" is lost", (unsigned)seed, line->names[j].text);
    }
  }
}

static void check_plot(struct bench *bench, uint64_t seed) {
  const struct maker maker = make_plot(bench, seed);
  const struct pl_page *const picture = draw(&maker);
  const char *const wrong = misplaced(picture);
  if (wrong != NULL) fail_msg("seed %u: \"%s\" stands wrong", (unsigned)seed, wrong);
  if (!shapes_stay(picture)) fail_msg("seed %u: a shape leaves the picture", (unsigned)seed);
  check_words(&maker, picture, seed);
  assert_within(picture->width, maker.width, 1e-9);
  // It grows for a foot, and for words that leave no room.
  if (!maker.wordy && seed % 5 != 0 && maker.width > 60 && maker.plot->foot[0] == '\0')
    assert_within(picture->height, maker.height, 1e-9);
}

static void texts_keep_apart_work(struct bench *bench) {
  for (uint64_t seed = 0; seed < 400; seed++) check_plot(bench, seed);
}

// ---------------------------------------------------------------- where points lie

/// A scale that is read off the picture: two numbers and where they stand.
struct scale {
  size_t count;
  double value[2];
  double place[2];
};

/// The value of a number as it is printed; false if the text is none.
static bool read_number(const char *text, double *value) {
  const bool negative = strncmp(text, "−", strlen("−")) == 0;
  const char *const digits = negative ? text + strlen("−") : text;
  const bool is_read = pl_number_read(digits, strlen(digits), value);
  if (negative) *value = -*value;
  return is_read;
}

static void add_number(struct scale *scale, double value, double place) {
  // The farther apart the two are, the better.
  const size_t at = scale->count == 0 ? 0 : 1;
  if (scale->count > 1 &&
      fabs(place - scale->place[0]) <= fabs(scale->place[1] - scale->place[0]))
    return;
  scale->value[at] = value;
  scale->place[at] = place;
  scale->count++;
}

/// Reads both scales: numbers of one axis end, or have their middle, where a grid line is.
static void read_scales(const struct pl_page *picture, struct scale *x, struct scale *y) {
  const double half = pl_text_metrics(PL_SMALL, false).cap_height / 2;
  for (size_t i = 0; i < picture->count; i++) {
    const struct pl_mark *const line = &picture->marks[i];
    if (line->kind != PL_MARK_LINE || line->stroke.dash != PL_SOLID) continue;
    const bool is_upright = line->spots[0].x == line->spots[1].x;
    const bool is_level = line->spots[0].y == line->spots[1].y;
    for (size_t j = 0; j < picture->count; j++) {
      const struct pl_mark *const text = &picture->marks[j];
      double value = 0;
      if (text->kind != PL_MARK_TEXT || !read_number(text->text, &value)) continue;
      const bool below = text->y > line->spots[1].y && text->y < line->spots[1].y + 5;
      if (is_upright && below && fabs(text->x + text->width / 2 - line->spots[0].x) < 1e-6)
        add_number(x, value, line->spots[0].x);
      if (is_level && text->x + text->width < line->spots[0].x &&
          fabs(text->y - half - line->spots[0].y) < 1e-6)
        add_number(y, value, line->spots[0].y);
    }
  }
}

static double place_on(const struct scale *scale, double value) {
  return scale->place[0] + (value - scale->value[0]) / (scale->value[1] - scale->value[0]) *
                               (scale->place[1] - scale->place[0]);
}

/// Checks the lines of a plot against the numbers of its axes; false where these are too few
/// to read them.
static bool check_places(const struct maker *maker, const struct pl_page *picture,
                         uint64_t seed) {
  struct scale x = {.count = 0};
  struct scale y = {.count = 0};
  read_scales(picture, &x, &y);
  if (x.count < 2 || y.count < 2 || x.value[0] == x.value[1] || y.value[0] == y.value[1])
    return false;
  size_t line = 0;
  for (size_t i = 0; i < picture->count; i++) {
    const struct pl_mark *const mark = &picture->marks[i];
    if (mark->kind != PL_MARK_POLYLINE) continue;
    while (maker->plot->lines[line].count == 1) line++;
    const struct pl_plot_line *const plotted = &maker->plot->lines[line++];
    assert_int_equal(mark->spot_count, plotted->count);
    for (size_t j = 0; j < plotted->count; j++) {
      const double left = place_on(&x, plotted->points[j].x);
      const double top = place_on(&y, plotted->points[j].y);
      if (fabs(left - mark->spots[j].x) > 0.05 || fabs(top - mark->spots[j].y) > 0.05)
        fail_msg("seed %u: a point lies at %.2f %.2f in place of %.2f %.2f", (unsigned)seed,
                 mark->spots[j].x, mark->spots[j].y, left, top);
    }
  }
  return true;
}

static void points_lie_where_the_axes_say_work(struct bench *bench) {
  size_t checked = 0;
  for (uint64_t seed = 1; seed < 250; seed++) {
    const struct maker maker = make_plot(bench, seed);
    checked += check_places(&maker, draw(&maker), seed);
  }
  // The others are narrow, or have powers of ten.
  assert_true(checked > 100);
}

// ---------------------------------------------------------------- the checks themselves

static void the_checks_see_what_is_wrong_work(struct bench *bench) {
  const struct pl_type type = {.size = 7};
  struct pl_page *picture = pl_picture_new(bench->arena, 50, 50);
  pl_draw_text(picture, 10, 10, type, "one");
  pl_draw_text(picture, 10, 20, type, "two");
  assert_null(misplaced(picture));
  pl_draw_text(picture, 11, 11, type, "over it");
  assert_string_equal(misplaced(picture), "over it");
  picture = pl_picture_new(bench->arena, 50, 50);
  pl_draw_text(picture, 48, 10, type, "outside");
  assert_string_equal(misplaced(picture), "outside");
  assert_true(shapes_stay(picture));
  pl_draw_circle(picture, 49.9, 10, 1, PL_INK_WHITE, (struct pl_stroke){.width = 0});
  assert_false(shapes_stay(picture));
  assert_true(has_words(bench->arena, "frontwheel", "front wheel"));
  assert_false(has_words(bench->arena, "frontwheel", "rear wheel"));
}

#define TEST(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }

TEST(texts_keep_apart)
TEST(points_lie_where_the_axes_say)
TEST(the_checks_see_what_is_wrong)

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(texts_keep_apart),
                                     cmocka_unit_test(points_lie_where_the_axes_say),
                                     cmocka_unit_test(the_checks_see_what_is_wrong)};
  return cmocka_run_group_tests_name("room in plots", tests, NULL, NULL);
}
