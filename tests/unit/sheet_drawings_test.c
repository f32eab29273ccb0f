// SPDX-License-Identifier: GPL-3.0-or-later
// The drawings of a build sheet: what is declared is as large on paper as it says, and what the
// drawing needs and lacks is named.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "sheet/room.h"
#include "support.h"

/// A line on paper is where it should be within this, mm.
#define SLACK 0.01

#define DAMPER                                                                                 \
  "damper \"d\" { bore = 16 mm; shaft = 3.5 mm; stroke = 28 mm; extended-length = 106 mm }\n"
#define PISTON(ports)                                                                          \
  "piston \"p\" { diameter = 15.9 mm; thickness = 3 mm; ports = " ports " }\n"
#define SETUP "setup \"Spring tide\" { all { damper = \"d\"; piston = \"p\" } }\n"

/// A sheet that has got as far as its drawings.
static struct pl_sheet *sheet_of(struct pl_bench *bench, const char *text,
                                 enum pl_unit_system system) {
  struct pl_program *const program = pl_bench_program(bench, text);
  struct pl_sheet_request *const request = pl_alloc(bench->arena, sizeof *request);
  request->system = system;
  struct pl_sheet *const sheet = pl_alloc(bench->arena, sizeof *sheet);
  *sheet = (struct pl_sheet){.arena = bench->arena,
                             .request = request,
                             .plan = pl_alloc(bench->arena, sizeof(struct pl_template)),
                             .setup = pl_program_setup(program, "Spring tide"),
                             .problems = pl_diagnostics_new(bench->arena)};
  assert_non_null(sheet->setup);
  return sheet;
}

static const struct pl_page *piston_of(struct pl_bench *bench, const char *text, double width,
                                       double scale) {
  const char *lacks = NULL;
  const struct pl_page *const page =
      pl_piston_picture(sheet_of(bench, text, PL_METRIC), PL_FRONT_LEFT, width, scale, &lacks);
  if (page == NULL) fail_msg("no picture: %s", lacks);
  return page;
}

static const struct pl_page *shock_of(struct pl_bench *bench, const char *text, double width,
                                      double height) {
  const char *lacks = NULL;
  const struct pl_page *const page =
      pl_shock_picture(sheet_of(bench, text, PL_METRIC), PL_FRONT_LEFT, width, height, &lacks);
  if (page == NULL) fail_msg("no picture: %s", lacks);
  return page;
}

static bool near_to(double a, double b) {
  return fabs(a - b) < SLACK;
}

// ---------------------------------------------------------------- looking at a picture

/// Is a line of the picture's texts, or two lines that follow each other, this text?
static bool says(struct pl_bench *bench, const struct pl_page *page, const char *text) {
  struct pl_buffer all = {.arena = bench->arena};
  for (size_t i = 0; i < page->count; i++)
    if (page->marks[i].kind == PL_MARK_TEXT) pl_buffer_format(&all, "%s ", page->marks[i].text);
  return strstr(pl_buffer_string(&all), text) != NULL;
}

static void assert_says(struct pl_bench *bench, const struct pl_page *page, const char *text) {
  if (!says(bench, page, text)) fail_msg("\"%s\" does not stand on the drawing", text);
}

/// The circles of a picture in their order; of a piston the first is its edge.
static const struct pl_mark *circle(const struct pl_page *page, size_t which) {
  for (size_t i = 0; i < page->count; i++)
    if (page->marks[i].kind == PL_MARK_CIRCLE && which-- == 0) return &page->marks[i];
  return NULL;
}

/// The circles within a piston's edge but the shaft's hole, `skip` of them left out.
static const struct pl_mark *port(const struct pl_page *page, size_t which) {
  const struct pl_mark *const edge = circle(page, 0);
  for (size_t i = 2;; i++) {
    const struct pl_mark *const one = circle(page, i);
    if (one == NULL || hypot(one->x - edge->x, one->y - edge->y) > edge->width / 2) return NULL;
    if (which-- == 0) return one;
  }
}

static size_t count_ports(const struct pl_page *page) {
  size_t count = 0;
  while (port(page, count) != NULL) count++;
  return count;
}

/// Ports lie on the face, beside the shaft, and beside each other.
static void check_ports(const struct pl_page *page, const char *what) {
  const struct pl_mark *const edge = circle(page, 0);
  const struct pl_mark *const hole = circle(page, 1);
  const struct pl_mark *a = NULL;
  for (size_t i = 0; (a = port(page, i)) != NULL; i++) {
    const double out = hypot(a->x - edge->x, a->y - edge->y);
    if (out + a->width / 2 > edge->width / 2) fail_msg("%s: over the edge", what);
    if (out - a->width / 2 < hole->width / 2) fail_msg("%s: over the shaft", what);
    const struct pl_mark *b = NULL;
    for (size_t j = i + 1; (b = port(page, j)) != NULL; j++) {
      const double apart = hypot(a->x - b->x, a->y - b->y);
      if (apart > SLACK && apart < (a->width + b->width) / 2)
        fail_msg("%s: ports %zu and %zu overlap", what, i, j);
    }
  }
}

// ---------------------------------------------------------------- the piston

static void a_piston_is_drawn_at_its_scale(struct pl_bench *bench) {
  const struct pl_page *const page = piston_of(bench, DAMPER PISTON("6 x 1.8 mm") SETUP, 60, 2);
  assert_true(page->width == 60);
  assert_true(near_to(circle(page, 0)->width, 31.8));
  assert_true(near_to(circle(page, 1)->width, 7));
  assert_int_equal(count_ports(page), 6);
  for (size_t i = 0; i < 6; i++) assert_true(near_to(port(page, i)->width, 3.6));
  assert_says(bench, page, "2 : 1");
  assert_says(bench, page, "⌀ 15.90 mm, seen from the cap");
  assert_says(bench, page, "6 × 1.8 mm");
  assert_says(bench, page,
              "Where the ports are drilled is not declared: they are drawn evenly.");
}

static void a_bar_proves_the_scale(struct pl_bench *bench) {
  static const double scales[] = {2, 1, 1.5};
  static const char *const says_so[] = {"The bar is 20 mm long where the print is true.",
                                        "The bar is 10 mm long where the print is true.",
                                        "The bar is 15 mm long where the print is true."};
  for (size_t which = 0; which < 3; which++) {
    const struct pl_page *const page =
        piston_of(bench, DAMPER PISTON("6 x 1.8 mm") SETUP, 60, scales[which]);
    const struct pl_mark *bar = NULL;
    size_t ticks = 0;
    for (size_t i = 0; i < page->count; i++) {
      const struct pl_mark *const mark = &page->marks[i];
      if (mark->kind != PL_MARK_LINE) continue;
      const bool level = mark->spots[0].y == mark->spots[1].y;
      if (level && near_to(mark->spots[1].x - mark->spots[0].x, 10 * scales[which])) bar = mark;
      if (bar == NULL || level || mark->spots[0].y != bar->spots[0].y) continue;
      assert_true(near_to(mark->spots[0].x, bar->spots[0].x + scales[which] * (double)ticks));
      ticks++;
    }
    assert_non_null(bar);
    assert_int_equal(ticks, 11);
    assert_says(bench, page, says_so[which]);
  }
}

static void add_name(void *context, const struct pl_block *block, bool in_main) {
  (void)in_main;
  pl_buffer_format(context, "%s\n", block->name);
}

static void every_piston_of_the_library_has_room_for_its_ports(struct pl_bench *bench) {
  size_t length = 0;
  const char *const library = pl_test_read(
      bench->arena, pl_format(bench->arena, "%s/sheets/library/pistons.leaf", pl_test_root()),
      &length);
  assert_non_null(library);
  struct pl_buffer names = {.arena = bench->arena};
  pl_program_each(pl_bench_program(bench, library), PL_BLOCK_PISTON, add_name, &names);
  size_t count = 0;
  for (const char *name = pl_buffer_string(&names); *name != '\0'; count++) {
    const size_t size = strcspn(name, "\n");
    const struct pl_page *const page = piston_of(
        bench,
        pl_format(bench->arena,
                  "%sdamper \"d\" { bore = 20 mm; shaft = 3.5 mm }\n"
                  "setup \"Spring tide\" { all { damper = \"d\"; piston = \"%.*s\" } }\n",
                  library, (int)size, name),
        60, 2);
    assert_true(count_ports(page) >= 2);
    check_ports(page, pl_copy_text(bench->arena, name, size));
    name += size + 1;
  }
  assert_true(count > 5);
}

static void equal_sets_take_turns(struct pl_bench *bench) {
  const struct pl_page *const page =
      piston_of(bench, DAMPER PISTON("3 x 1.7 mm + 3 x 1.5 mm") SETUP, 60, 2);
  const struct pl_mark *const edge = circle(page, 0);
  assert_int_equal(count_ports(page), 6);
  for (size_t i = 0; i < 6; i++) {
    const struct pl_mark *const one = port(page, i);
    assert_true(near_to(one->width, i % 2 == 0 ? 3.4 : 3));
    const double angle = atan2(one->x - edge->x, edge->y - one->y);
    assert_true(fabs(remainder(angle - (double)i * acos(-1) / 3, 2 * acos(-1))) < 1e-6);
    // Midway between shaft and edge.
    assert_true(near_to(hypot(one->x - edge->x, one->y - edge->y), (31.8 + 7) / 4));
  }
  assert_says(bench, page, "A: 3 × 1.7 mm B: 3 × 1.5 mm");
}

static void ports_that_crowd_one_circle_go_on_several(struct pl_bench *bench) {
  static const char *const crowds[] = {
      DAMPER PISTON("40 x 1 mm") SETUP, DAMPER PISTON("12 x 2 mm + 9 x 1 mm") SETUP,
      DAMPER PISTON("10 x 2.7 mm") SETUP, DAMPER PISTON("1 x 5 mm + 30 x 0.6 mm") SETUP};
  static const size_t counts[] = {40, 21, 10, 31};
  for (size_t i = 0; i < sizeof crowds / sizeof crowds[0]; i++) {
    const struct pl_page *const page = piston_of(bench, crowds[i], 60, 2);
    assert_int_equal(count_ports(page), counts[i]);
    check_ports(page, crowds[i]);
  }
}

static void ports_without_room_are_left_out_and_said(struct pl_bench *bench) {
  const struct pl_page *const page = piston_of(bench, DAMPER PISTON("4 x 6.5 mm") SETUP, 60, 2);
  assert_int_equal(count_ports(page), 0);
  assert_says(bench, page, "The ports do not fit between shaft and edge beside each other");
  assert_says(bench, page, "4 × 6.5 mm");
}

/// Both ends of a tapered port, whichever is the wider one.
static void a_taper_shows_both_ends(struct pl_bench *bench) {
  static const char *const texts[] = {DAMPER PISTON("6 x 1.9 mm to 1.6 mm") SETUP,
                                      DAMPER PISTON("6 x 1.6 mm to 1.9 mm") SETUP};
  for (size_t i = 0; i < 2; i++) {
    const struct pl_page *const page = piston_of(bench, texts[i], 60, 2);
    assert_int_equal(count_ports(page), 12);
    const struct pl_mark *const cap = port(page, 0);
    const struct pl_mark *const other = port(page, 1);
    assert_true(near_to(cap->width, i == 0 ? 3.8 : 3.2));
    assert_true(near_to(other->width, i == 0 ? 3.2 : 3.8));
    assert_int_equal(cap->stroke.dash, PL_SOLID);
    assert_int_equal(other->stroke.dash, PL_DASHED);
    assert_true(cap->x == other->x && cap->y == other->y);
    assert_says(bench, page, i == 0 ? "6 × 1.9 to 1.6 mm" : "6 × 1.6 to 1.9 mm");
    assert_says(bench, page, "Solid line: the port at the face toward the cap");
    check_ports(page, texts[i]);
  }
}

static void ports_of_one_way_are_filled_and_said(struct pl_bench *bench) {
  const char *const text =
      DAMPER PISTON("4 x 1.9 mm + 2 x 1.6 mm one-way compression opens-at 20 kPa + "
                    "1 x 1 mm one-way rebound") SETUP;
  const struct pl_page *const page = piston_of(bench, text, 60, 2);
  assert_int_equal(count_ports(page), 7);
  for (size_t i = 0; i < 7; i++)
    assert_int_equal(port(page, i)->fill,
                     near_to(port(page, i)->width, 3.8) ? PL_INK_NONE : PL_INK_LIGHT);
  assert_says(bench, page, "2 × 1.6 mm, lifts in compression above 20 kPa");
  assert_says(bench, page, "1 × 1 mm, lifts in rebound");
  const char *lacks = NULL;
  const struct pl_page *const imperial =
      pl_piston_picture(sheet_of(bench, text, PL_IMPERIAL), PL_REAR_RIGHT, 90, 2, &lacks);
  assert_non_null(imperial);
  assert_says(bench, imperial, "⌀ 0.6260 in, seen from the cap");
  assert_says(bench, imperial, "4 × 0.075 in");
  assert_says(bench, imperial, "2 × 0.063 in, lifts in compression above 2.9 psi");
  assert_says(bench, imperial, "The bar is 20 mm (0.787 in) long where the print is true.");
}

static void a_tolerance_is_printed(struct pl_bench *bench) {
  assert_says(bench, piston_of(bench, DAMPER PISTON("3 x 1.7 mm +- 0.02 mm") SETUP, 60, 2),
              "3 × 1.7 ± 0.02 mm");
}

static void a_piston_too_wide_is_drawn_smaller(struct pl_bench *bench) {
  static const struct {
    double width;
    const char *scale;
    double diameter;
  } cases[] = {
      {33, "2 : 1", 31.8}, {32, "1.5 : 1", 23.85}, {20, "1 : 1", 15.9}, {12, "1 : 1.5", 10.6}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_page *const page =
        piston_of(bench, DAMPER PISTON("6 x 1.8 mm") SETUP, cases[i].width, 2);
    assert_says(bench, page, cases[i].scale);
    assert_true(near_to(circle(page, 0)->width, cases[i].diameter));
  }
}

static void a_piston_without_a_diameter_is_drawn_at_the_bore(struct pl_bench *bench) {
  const struct pl_page *const page = piston_of(
      bench, DAMPER "setup \"Spring tide\" { all { damper = \"d\"; piston = 2 x 1.6 mm } }\n",
      60, 2);
  assert_true(near_to(circle(page, 0)->width, 32));
  assert_says(bench, page, "⌀ 16.00 mm, seen from the cap");
  assert_says(bench, page, "it is drawn at the bore");
}

static void what_a_piston_lacks_is_said(struct pl_bench *bench) {
  const char *lacks = NULL;
  assert_null(pl_piston_picture(
      sheet_of(bench, DAMPER "setup \"Spring tide\" { all { damper = \"d\" } }\n", PL_METRIC),
      PL_FRONT_LEFT, 60, 2, &lacks));
  assert_string_equal(lacks, "The drawing of the piston needs: Piston.");
  struct pl_sheet *const sheet =
      sheet_of(bench, "setup \"Spring tide\" { all { piston = 2 x 1.6 mm } }\n", PL_METRIC);
  assert_null(pl_piston_picture(sheet, PL_FRONT_LEFT, 60, 2, &lacks));
  assert_string_equal(lacks, "The drawing of the piston needs: Diameter or Bore.");
  struct pl_template *const plan = pl_alloc(bench->arena, sizeof *plan);
  plan->labels.of_setting[PL_SETTING_PISTON] = "Kolben";
  plan->words[PL_WORD_PISTON_NEEDS] = "Es fehlt: {1}";
  struct pl_sheet *const bare = sheet_of(bench, "setup \"Spring tide\" { }\n", PL_METRIC);
  bare->plan = plan;
  assert_null(pl_piston_picture(bare, PL_FRONT_LEFT, 60, 2, &lacks));
  assert_string_equal(lacks, "Es fehlt: Kolben");
}

// ---------------------------------------------------------------- the shock

#define WHOLE                                                                                  \
  "damper \"d\" { bore = 13 mm; shaft = 3 mm; stroke = 25 mm; extended-length = 86 mm\n"       \
  "  compensation = bladder; air-volume = 0.6 ml; oil-volume = 3.9 ml; perch-gap = 54 mm\n"    \
  "  bushing-overlap = 12 mm; exposed-shaft = 26.5 mm\n"                                       \
  "  seal { ring-inside = 2.9 mm; ring-section = 1.78 mm; ring-type = o-ring; rings = 2\n"     \
  "    gland-outside = 6 mm; gland-width = 4.2 mm; wiper = yes; glide-ring = yes } }\n"        \
  "piston \"p\" { diameter = 12.9 mm; thickness = 2.4 mm; ports = 3 x 1.7 mm }\n"              \
  "spring \"s\" { wire = 1.2 mm; inside-diameter = 16.6 mm; active-coils = 9; ends = closed\n" \
  "  material = music-wire; free-length = 52 mm }\n"
#define FITTED(more)                                                                           \
  WHOLE "setup \"Spring tide\" { all { damper = \"d\"; piston = \"p\"; spring = \"s\"\n" more  \
        " } }\n"

/// The scale that a drawing says it has.
static double scale_said(const struct pl_page *page) {
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    const char *const colon = mark->kind == PL_MARK_TEXT ? strstr(mark->text, " : ") : NULL;
    if (colon != NULL) return strtod(mark->text, NULL) / strtod(colon + 3, NULL);
  }
  fail_msg("no scale");
  return NAN;
}

/// Is there a rectangle of that size, with the middle of its width at `x`?
static bool has_box(const struct pl_page *page, double x, double width, double height) {
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind == PL_MARK_RECTANGLE && near_to(mark->x + mark->width / 2, x) &&
        (isnan(width) || near_to(mark->width, width)) &&
        (isnan(height) || near_to(mark->height, height)))
      return true;
  }
  return false;
}

/// The first black box without a line, a spacer, of that height; null if there is none.
static const struct pl_mark *spacer(const struct pl_page *page, double height) {
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind == PL_MARK_RECTANGLE && mark->fill == PL_INK_BLACK &&
        near_to(mark->height, height))
      return mark;
  }
  return NULL;
}

/// The middles of the eyes: the highest circle and the lowest one.
static void eyes_of(const struct pl_page *page, struct pl_spot *upper, struct pl_spot *lower) {
  *upper = (struct pl_spot){NAN, INFINITY};
  *lower = (struct pl_spot){NAN, -INFINITY};
  for (size_t i = 0; circle(page, i) != NULL; i++) {
    const struct pl_mark *const one = circle(page, i);
    if (one->y < upper->y) *upper = (struct pl_spot){one->x, one->y};
    if (one->y > lower->y) *lower = (struct pl_spot){one->x, one->y};
  }
}

static void a_shock_is_drawn_at_its_scale(struct pl_bench *bench) {
  static const double widths[] = {45, 62, 95, 190};
  static const double heights[] = {40, 96, 96, 240};
  static const double scales[] = {0.25, 1, 1, 2};
  for (size_t i = 0; i < 4; i++) {
    const struct pl_page *const page =
        shock_of(bench, FITTED("limiter = 3 mm; bump-spacer = 2 mm; collar = 4 mm"), widths[i],
                 heights[i]);
    const double scale = scale_said(page);
    assert_true(scale >= scales[i]);
    struct pl_spot upper, lower;
    eyes_of(page, &upper, &lower);
    assert_true(near_to(lower.y - upper.y, scale * 83));
    assert_true(near_to(lower.x, upper.x));
    assert_true(has_box(page, upper.x, scale * 3, NAN)); // the shaft
    const struct pl_mark *const limiter = spacer(page, scale * 3);
    const struct pl_mark *const bump = spacer(page, scale * 2);
    assert_non_null(limiter);
    assert_non_null(bump);
    // The piston's face toward the shaft is on top of the limiter.
    bool rests = false;
    double bore = 0;
    for (size_t j = 0; j < page->count; j++) {
      const struct pl_mark *const mark = &page->marks[j];
      rests |= mark->kind == PL_MARK_RECTANGLE && near_to(mark->height, scale * 2.4) &&
               near_to(mark->y + mark->height, limiter->y) && mark->fill == PL_INK_GREY;
      if (mark->kind == PL_MARK_LINE && mark->stroke.width == 0.3 &&
          near_to(mark->spots[0].x, upper.x + scale * 6.5) &&
          mark->spots[0].x == mark->spots[1].x)
        bore = mark->spots[1].y - mark->spots[0].y;
    }
    assert_true(rests);
    assert_true(bore > scale * 25);
    assert_true(bump->y > limiter->y + limiter->height);
    assert_true(page->width == widths[i]);
  }
}

static void a_shock_carries_its_dimensions(struct pl_bench *bench) {
  const struct pl_page *const page =
      shock_of(bench, FITTED("limiter = 3 mm; bump-spacer = 2 mm; collar = 4 mm"), 95, 120);
  static const char *const texts[] = {"Eye to eye 83.0 mm",  "Stroke remaining 20.0 mm",
                                      "Limiter 3.0 mm",      "Exposed shaft 23.5 mm",
                                      "Air chamber 0.60 ml", "Oil volume 3.90 ml",
                                      "Bore ⌀ 13.00 mm",     "Shaft ⌀ 3.00 mm",
                                      "Collar 4.0 mm",       "Bump spacer 2.0 mm"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    assert_says(bench, page, texts[i]);
  assert_false(says(bench, page, "do not fit"));
  const char *lacks = NULL;
  const struct pl_page *const imperial = pl_shock_picture(
      sheet_of(bench, FITTED("preload = 5 mm"), PL_IMPERIAL), PL_REAR_LEFT, 95, 120, &lacks);
  assert_non_null(imperial);
  assert_says(bench, imperial, "Eye to eye 3.386 in");
  assert_says(bench, imperial, "Preload 0.197 in");
}

static void a_shock_shows_no_dimension_that_is_not_declared(struct pl_bench *bench) {
  const struct pl_page *const page =
      shock_of(bench, DAMPER "setup \"Spring tide\" { all { damper = \"d\" } }\n", 60, 96);
  static const char *const texts[] = {"Limiter",     "Exposed", "Air chamber", "Oil volume",
                                      "Bump spacer", "Collar",  "Preload"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    if (says(bench, page, texts[i])) fail_msg("%s", texts[i]);
  assert_says(bench, page, "Eye to eye 106.0 mm");
}

/// Where the collar's lower face is: the room for the spring above the lower cup.
static void the_collar_is_where_it_is_set(struct pl_bench *bench) {
  static const char *const texts[] = {FITTED("collar = 4 mm"), FITTED("collar = 9 mm"),
                                      FITTED("preload = 3 mm"),
                                      FITTED("collar = 4 mm; limiter = 3 mm")};
  static const double rooms[] = {50, 45, 49, 47};
  for (size_t i = 0; i < 4; i++) {
    const struct pl_page *const page = shock_of(bench, texts[i], 95, 130);
    const double scale = scale_said(page);
    // Collar and cup are the boxes that reach furthest out.
    double outermost = 0;
    double low = NAN;
    double high = NAN;
    for (size_t j = 0; j < page->count; j++) {
      const struct pl_mark *const mark = &page->marks[j];
      if (mark->kind != PL_MARK_RECTANGLE || mark->x + mark->width < outermost - 1e-6) continue;
      if (mark->x + mark->width > outermost + 1e-6) {
        high = mark->y + mark->height;
        outermost = mark->x + mark->width;
      } else {
        low = mark->y;
      }
    }
    assert_true(near_to(low - high, scale * rooms[i]));
  }
}

static void as_many_rings_are_drawn_as_declared(struct pl_bench *bench) {
  const struct pl_page *const page = shock_of(bench, FITTED(""), 95, 130);
  const double scale = scale_said(page);
  size_t rings = 0;
  for (size_t i = 0; circle(page, i) != NULL; i++)
    rings +=
        circle(page, i)->fill == PL_INK_BLACK && near_to(circle(page, i)->width, scale * 1.78);
  assert_int_equal(rings, 4); // two, cut through at both sides
}

static void lengths_that_contradict_each_other_are_said(struct pl_bench *bench) {
  const struct pl_page *const page =
      shock_of(bench,
               "damper \"d\" { bore = 13 mm; shaft = 3 mm; stroke = 60 mm\n"
               "  extended-length = 70 mm; exposed-shaft = 60 mm; bushing-overlap = 20 mm }\n"
               "setup \"Spring tide\" { all { damper = \"d\" } }\n",
               60, 96);
  assert_says(bench, page, "The declared lengths do not fit the extended length");
  struct pl_spot upper, lower;
  eyes_of(page, &upper, &lower);
  assert_true(near_to(lower.y - upper.y, scale_said(page) * 70));
}

static void what_a_shock_lacks_is_said(struct pl_bench *bench) {
  static const struct {
    const char *text;
    const char *lacks;
  } cases[] = {{"setup \"Spring tide\" { }\n", "The section of the shock needs: Shock."},
               {"damper \"d\" { shaft = 3 mm; extended-length = 80 mm }\n"
                "setup \"Spring tide\" { all { damper = \"d\" } }\n",
                "The section of the shock needs: Bore, Stroke."},
               {"damper \"d\" { bore = 13 mm; stroke = 20 mm }\n"
                "setup \"Spring tide\" { all { damper = \"d\" } }\n",
                "The section of the shock needs: Shaft, Extended length."}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const char *lacks = NULL;
    assert_null(pl_shock_picture(sheet_of(bench, cases[i].text, PL_METRIC), PL_FRONT_LEFT, 60,
                                 96, &lacks));
    assert_string_equal(lacks, cases[i].lacks);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(a_piston_is_drawn_at_its_scale),
      PL_BENCH_TEST(a_bar_proves_the_scale),
      PL_BENCH_TEST(every_piston_of_the_library_has_room_for_its_ports),
      PL_BENCH_TEST(equal_sets_take_turns),
      PL_BENCH_TEST(ports_that_crowd_one_circle_go_on_several),
      PL_BENCH_TEST(ports_without_room_are_left_out_and_said),
      PL_BENCH_TEST(a_taper_shows_both_ends),
      PL_BENCH_TEST(ports_of_one_way_are_filled_and_said),
      PL_BENCH_TEST(a_tolerance_is_printed),
      PL_BENCH_TEST(a_piston_too_wide_is_drawn_smaller),
      PL_BENCH_TEST(a_piston_without_a_diameter_is_drawn_at_the_bore),
      PL_BENCH_TEST(what_a_piston_lacks_is_said),
      PL_BENCH_TEST(a_shock_is_drawn_at_its_scale),
      PL_BENCH_TEST(a_shock_carries_its_dimensions),
      PL_BENCH_TEST(a_shock_shows_no_dimension_that_is_not_declared),
      PL_BENCH_TEST(the_collar_is_where_it_is_set),
      PL_BENCH_TEST(as_many_rings_are_drawn_as_declared),
      PL_BENCH_TEST(lengths_that_contradict_each_other_are_said),
      PL_BENCH_TEST(what_a_shock_lacks_is_said)};
  return cmocka_run_group_tests_name("drawings on sheets", tests, NULL, NULL);
}
