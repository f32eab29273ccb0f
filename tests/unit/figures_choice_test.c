// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the choice of parts against brute force: every combination as a setup that the language
// makes, with all its lines in one block, its figures by the plain engine, sorted.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "support.h"

#include "pitleaf/choice.h"

#include <math.h>
#include <string.h>

#define BEST 12

/// A file in the folder of the demo.
static struct pl_program *load(struct pl_bench *bench, const char *text) {
  const char *const root = getenv("PITLEAF_ROOT");
  const char *const folder = pl_join_path(bench->arena, root == NULL ? "." : root, "sheets");
  struct pl_source *const source = pl_source_of_bytes(
      bench->arena, "choice.leaf", (const unsigned char *)text, strlen(text));
  bench->program = pl_program_of_source(bench->session, bench->arena, source, folder);
  return bench->program;
}

static void assert_sound(const struct pl_program *program) {
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  for (size_t i = 0; i < problems->count; i++)
    if (pl_diagnostic_rows[problems->items[i].code].severity == PL_ERROR)
      fail_msg("the test's text has a mistake: %s", problems->items[i].message);
}

static struct pl_space *space_of(struct pl_bench *bench, const char *text) {
  struct pl_program *const program = load(bench, text);
  const struct pl_setup *const setup = pl_program_setup(program, NULL);
  const struct pl_parts_box *const box = pl_program_box_named(program, NULL);
  const struct pl_aim *const aim = pl_program_aim(program, NULL);
  assert_sound(program);
  assert_non_null(setup);
  assert_non_null(box);
  assert_non_null(aim);
  return pl_space_new(bench->arena, setup, box, aim);
}

static struct pl_choice *search(struct pl_bench *bench, const struct pl_space *space,
                                size_t best, size_t threads) {
  const struct pl_search_request request = {.best = best, .threads = threads};
  return pl_search(bench->arena, space, &request);
}

// ---------------------------------------------------------------- brute force

/// The next combination of the dimensions that count; false behind the last.
static bool next(const struct pl_space *space, const bool *varies, unsigned char *ways) {
  for (size_t d = space->count; d-- > 0;) {
    if (!varies[d]) continue;
    if (++ways[d] < space->dimensions[d].count) return true;
    ways[d] = 0;
  }
  return false;
}

static size_t dimensions_of;

static int compare(const void *a, const void *b) {
  return pl_chosen_compare(a, b, dimensions_of);
}

static bool differ_in_preload_alone(const struct pl_space *space, const struct pl_chosen *a,
                                    const struct pl_chosen *b) {
  for (size_t d = 0; d < space->count; d++) {
    const enum pl_setting setting = pl_varied_rows[space->dimensions[d].kind].setting;
    if (setting != PL_SETTING_PRELOAD && setting != PL_SETTING_COLLAR &&
        a->ways[d] != b->ways[d])
      return false;
  }
  return true;
}

/// All combinations, sorted, and of those that differ in preload alone the first.
static struct pl_chosen *brute(struct pl_bench *bench, const struct pl_space *space,
                               const bool *varies, size_t *count) {
  struct pl_buffer text = {.arena = bench->arena};
  struct pl_chosen *all = NULL;
  size_t capacity = 0;
  struct pl_chosen one = {0};
  *count = 0;
  do {
    one.score.work = 0;
    for (size_t d = 0; d < space->count; d++)
      if (one.ways[d] != 0) one.score.work += pl_varied_rows[space->dimensions[d].kind].work;
    pl_buffer_format(&text, "setup \"brute %zu\" from \"%s\" {\n%s}\n", *count,
                     space->setup_name, pl_chosen_lines(bench->arena, space, &one, "  "));
    all = pl_grow(bench->arena, all, *count, &capacity, sizeof *all);
    all[(*count)++] = one;
  } while (next(space, varies, one.ways));
  struct pl_program *const program =
      pl_program_extended(space->file, bench->arena, pl_buffer_string(&text));
  for (size_t i = 0; i < *count; i++) {
    const struct pl_setup *const setup =
        pl_program_setup(program, pl_format(bench->arena, "brute %zu", i));
    const uint64_t work = all[i].score.work;
    all[i].score = pl_score_of(pl_figures_brief(setup), space->aim);
    all[i].score.work = work;
  }
  dimensions_of = space->count;
  qsort(all, *count, sizeof *all, compare);
  size_t kept = 0;
  for (size_t i = 0; i < *count; i++) {
    bool stands = false;
    for (size_t j = 0; j < kept && !stands; j++)
      stands = differ_in_preload_alone(space, &all[i], &all[j]);
    if (!stands) all[kept++] = all[i];
  }
  *count = kept;
  return all;
}

static void assert_same(const struct pl_space *space, const struct pl_choice *choice,
                        const struct pl_chosen *all, size_t count, bool first_alone,
                        const char *text) {
  if (!first_alone) assert_int_equal(choice->count, count < BEST ? count : BEST);
  for (size_t i = 0; i < (first_alone ? 1 : choice->count); i++) {
    if (compare(&choice->best[i], &all[i]) == 0) continue;
    print_error("%s\nnumber %zu: missed %llu work %llu away %llu, and brute force has missed "
                "%llu work %llu away %llu\n",
                text, i, (unsigned long long)choice->best[i].score.missed,
                (unsigned long long)choice->best[i].score.work,
                (unsigned long long)choice->best[i].score.away,
                (unsigned long long)all[i].score.missed, (unsigned long long)all[i].score.work,
                (unsigned long long)all[i].score.away);
    for (size_t d = 0; d < space->count; d++)
      print_error("  dimension %zu: %d, %d\n", d, choice->best[i].ways[d], all[i].ways[d]);
    fail();
  }
}

// ---------------------------------------------------------------- boxes by chance

static const char *const springs[] = {
    "tenth short 0.46", "tenth short 0.52", "tenth long 0.37",     "tenth long 0.45",
    "oval barrel",      "oval 3.0",         "crawler 0.15 to 0.25"};
static const char *const pistons[] = {"3 x 1.7, bore 13", "3 x 1.9, bore 13",
                                      "2 x 1.9 + 2 x 1.5, bore 13", "3 x 1.2, bore 9",
                                      "6 x 1.8, bore 16"};
static const char *const oils[] = {"clear 200", "clear 300", "clear 400", "steady 400"};

#define PICKED(list) (list), sizeof(list) / sizeof *(list)

static void add_some(struct pl_buffer *text, struct pl_chance *chance, const char *key,
                     const char *const *names, size_t count, size_t most) {
  const size_t wanted = pl_chance_below(chance, most + 1);
  pl_buffer_format(text, "  %s = [", key);
  size_t first = pl_chance_below(chance, count);
  for (size_t i = 0; i < wanted; i++)
    pl_buffer_format(text, "%s\"%s\"", i == 0 ? "" : ", ", names[(first + i) % count]);
  pl_buffer_text(text, "]\n");
}

/// Aims near what the setup has, at the axles and the car.
static void add_aims(struct pl_bench *bench, struct pl_buffer *text, struct pl_chance *chance) {
  static const struct {
    const char *key;
    const char *unit;
    double about;
  } known[] = {{"damping-ratio-slow", "", 0.7},    {"damping-ratio-fast", "", 1.1},
               {"ride-frequency", " Hz", 3.4},     {"wheel-rate", " N/mm", 0.18},
               {"spring-rate", " N/mm", 0.5},      {"motion-ratio", "", 0.6},
               {"settled-ride-height", " mm", 21}, {"travel-to-bind", " mm", 8},
               {"spring-force", " N", 6},          {"pack-speed", " mm/s", 400},
               {"gas-force", " N", 0.1},           {"equivalent-oil", " cSt", 400}};
  static const char *const places[] = {"front", "rear", "rear-left", "front-right"};
  const size_t count = 1 + pl_chance_below(chance, 4);
  bool used[12][4] = {{false}};
  for (size_t i = 0; i < count; i++) {
    const size_t which = pl_chance_below(chance, 12);
    const size_t place = pl_chance_below(chance, 4);
    if (used[which][place]) continue;
    used[which][place] = true;
    const double target = known[which].about * (0.8 + 0.1 * (double)pl_chance_below(chance, 5));
    const double room = known[which].about * 0.01 * (double)(1 + pl_chance_below(chance, 20));
    pl_buffer_format(text, "  %s.%s = %.4f%s +- %.4f%s\n", places[place], known[which].key,
                     target, known[which].unit, room, known[which].unit);
  }
  if (pl_chance_below(chance, 3) == 0)
    pl_buffer_text(text, "  car.frequency-ratio = 0.9 +- 0.02\n");
  if (pl_chance_below(chance, 4) == 0)
    pl_buffer_text(text, "  keep = [rear.spring, shock-top]\n");
  (void)bench;
}

static const char *text_by_chance(struct pl_bench *bench, struct pl_chance *chance) {
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "include \"cars/plover/baseline.leaf\"\n"
                        "setup \"try\" from \"Plover baseline\" {\n");
  if (pl_chance_below(chance, 2) == 0)
    pl_buffer_text(&text, "  rear-left { preload += 0.5 mm }\n");
  if (pl_chance_below(chance, 3) == 0)
    pl_buffer_text(&text, "  front-left { oil = \"clear 400\" }\n");
  if (pl_chance_below(chance, 4) == 0)
    pl_buffer_text(&text, "  front { limiter = preload / 4 }\n");
  pl_buffer_text(&text, "}\nbox \"case\" {\n");
  add_some(&text, chance, "springs", PICKED(springs), 2);
  add_some(&text, chance, "pistons", PICKED(pistons), 2);
  if (pl_chance_below(chance, 3) == 0) {
    pl_buffer_text(&text, "  rear {\n");
    add_some(&text, chance, "springs", PICKED(springs), 2);
    pl_buffer_text(&text, "  }\n");
  }
  add_some(&text, chance, "oils", PICKED(oils), 2);
  if (pl_chance_below(chance, 2) == 0) pl_buffer_text(&text, "  blends = halves\n");
  pl_buffer_text(&text, pl_chance_below(chance, 2) == 0 ? "  preload-step = 4 mm\n"
                                                        : "  preload-step = 20 mm\n");
  pl_buffer_text(&text, "}\naim {\n");
  add_aims(bench, &text, chance);
  pl_buffer_text(&text, "}\n");
  return pl_buffer_string(&text);
}

static double combinations_of(const struct pl_space *space, const bool *varies) {
  double product = 1;
  for (size_t d = 0; d < space->count; d++)
    if (varies[d]) product *= (double)space->dimensions[d].count;
  return product;
}

/// Each box is searched with one, two and three threads, and by brute force. Every other time
/// brute force also varies what the search says no aim depends on, as far as that stays small:
/// the nearest has none of these changes, which are work for nothing.
static void is_never_worse_than_brute_force(struct pl_bench *bench) {
  struct pl_chance chance = {.state = 20261130};
  size_t compared = 0;
  const int boxes = getenv("PITLEAF_SLOWED") == NULL ? 60 : 6;
  for (int i = 0; i < boxes; i++) {
    struct pl_arena *const arena = pl_arena_new(bench->guard);
    struct pl_bench own = *bench;
    own.arena = bench->spare = arena;
    const char *const text = text_by_chance(&own, &chance);
    struct pl_space *const space = space_of(&own, text);
    struct pl_choice *const choice = search(&own, space, BEST, 1);
    bool varies[PL_DIMENSIONS];
    memcpy(varies, choice->varies, sizeof varies);
    for (size_t d = 0; d < space->count && i % 2 == 1; d++) {
      varies[d] = true;
      if (combinations_of(space, varies) > 3000) varies[d] = choice->varies[d];
    }
    if (combinations_of(space, varies) <= 3000) {
      size_t count = 0;
      const struct pl_chosen *const all = brute(&own, space, varies, &count);
      const bool wider = memcmp(varies, choice->varies, sizeof varies) != 0;
      assert_same(space, choice, all, count, wider, text);
      compared++;
    }
    for (size_t threads = 2; threads <= 3; threads++) {
      const struct pl_choice *const other = search(&own, space, BEST, threads);
      assert_int_equal(other->count, choice->count);
      assert_memory_equal(other->best, choice->best, choice->count * sizeof *choice->best);
      assert_true(other->left_out == choice->left_out);
      assert_true(other->searched == choice->searched);
    }
    bench->spare = NULL;
    pl_arena_free(arena);
  }
  assert_true(compared >= (size_t)boxes / 2);
}

// ---------------------------------------------------------------- one by one

/// A setup of the demo's car that takes `lines`, with a box and an aim.
static const char *text_with(struct pl_bench *bench, const char *lines, const char *box,
                             const char *aim) {
  return pl_format(bench->arena,
                   "include \"cars/plover/baseline.leaf\"\n"
                   "oil \"twin a\" { viscosity = 500 cSt }\n"
                   "oil \"twin b\" { viscosity = 500 cSt }\n"
                   "setup \"try\" from \"Plover baseline\" {\n%s\n}\n"
                   "box \"case\" {\n%s\n}\naim {\n%s\n}\n",
                   lines, box, aim);
}

static const char *lines_of(struct pl_bench *bench, const struct pl_space *space,
                            const struct pl_choice *choice, size_t which) {
  assert_true(which < choice->count);
  return pl_chosen_lines(bench->arena, space, &choice->best[which], "");
}

static bool has_remark(const struct pl_space *space, const char *words) {
  for (size_t i = 0; i < space->remark_count; i++)
    if (strstr(space->remarks[i], words) != NULL) return true;
  return false;
}

static bool is_varied(const struct pl_space *space, enum pl_place axle,
                      enum pl_varied_kind kind) {
  for (size_t d = 0; d < space->count; d++)
    if (space->dimensions[d].axle == axle && space->dimensions[d].kind == kind) return true;
  return false;
}

static size_t ways_of(const struct pl_space *space, enum pl_place axle,
                      enum pl_varied_kind kind) {
  for (size_t d = 0; d < space->count; d++)
    if (space->dimensions[d].axle == axle && space->dimensions[d].kind == kind)
      return space->dimensions[d].count;
  return 0;
}

/// Of two that are as near and take as much work, the one that the box names first.
static void ties_go_by_the_order_of_the_box(struct pl_bench *bench) {
  static const char *const boxes[] = {"oils = [\"twin a\", \"twin b\"]",
                                      "oils = [\"twin b\", \"twin a\"]"};
  for (size_t i = 0; i < 2; i++) {
    const char *const aim = "rear.damping-slow-rebound = 1 N.s/m +- 1000 N.s/m\n"
                            "rear.oil-viscosity = 560 cSt +- 5 cSt\n";
    struct pl_space *const space = space_of(bench, text_with(bench, "", boxes[i], aim));
    for (size_t threads = 1; threads <= 5; threads++) {
      const struct pl_choice *const choice = search(bench, space, 5, threads);
      assert_int_equal(choice->count, 3);
      assert_string_equal(lines_of(bench, space, choice, 0),
                          i == 0 ? "rear { oil = \"twin a\" }\n"
                                 : "rear { oil = \"twin b\" }\n");
      assert_string_equal(lines_of(bench, space, choice, 1),
                          i == 0 ? "rear { oil = \"twin b\" }\n"
                                 : "rear { oil = \"twin a\" }\n");
      assert_string_equal(lines_of(bench, space, choice, 2), "");
    }
  }
}

/// What meets the aim with less work goes before what is nearer to its middle.
static void less_work_goes_first(struct pl_bench *bench) {
  struct pl_space *const space = space_of(
      bench,
      text_with(
          bench, "", "oils = [\"twin a\"]",
          "rear.damping-ratio-slow = 0.9 +- 0.9\nkeep = [preload, shock-top, shock-bottom]\n"));
  const struct pl_choice *const choice = search(bench, space, 3, 1);
  assert_string_equal(lines_of(bench, space, choice, 0), "");
  assert_int_equal(choice->best[0].score.missed, 0);
  assert_int_equal(choice->best[0].score.work, 0);
  assert_true(choice->best[1].score.work > 0);
  assert_true(choice->best[1].score.away < choice->best[0].score.away);
}

/// What no aimed figure goes by is not varied, found out by the figures themselves.
static void what_nothing_goes_by_stays(struct pl_bench *bench) {
  struct pl_space *const space = space_of(
      bench, text_with(bench, "", "oils = [\"twin a\"]; springs = [\"tenth long 0.45\"]",
                       "rear.damping-slow-compression = 30 N.s/m +- 1 N.s/m\n"));
  const struct pl_choice *const choice = search(bench, space, 9, 2);
  for (size_t d = 0; d < space->count; d++) {
    const bool oil =
        space->dimensions[d].axle == PL_REAR && space->dimensions[d].kind == PL_VARY_OIL;
    assert_int_equal(choice->varies[d], oil);
  }
  assert_true(choice->combinations == 2);
}

/// Another spring, and preload that goes with it: the car stands where it stood.
static void the_car_stands_at_its_height(struct pl_bench *bench) {
  struct pl_space *const space = space_of(
      bench,
      text_with(
          bench, "", "springs = [\"tenth long 0.45\"]; preload-step = 0.1 mm",
          "rear.spring-rate = 0.45 N/mm +- 0.02 N/mm\nkeep = [front, rear.shock-top, rear.shock-bottom]\n"));
  assert_int_equal(space->aim->count, 3); // and both axles' heights
  assert_true(space->aim->wanted[1].is_implied);
  const struct pl_choice *const choice = search(bench, space, 1, 1);
  const struct pl_made *const made = pl_make_chosen(bench->arena, space, choice->best, 1);
  const struct pl_figure_value *const settled =
      pl_figure_get(made->figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, PL_REAR_LEFT);
  assert_int_equal(choice->best[0].score.missed, 0);
  assert_true(fabs(settled->value - 21e-3) <= 0.5e-3);
  assert_int_equal(made->warning_count, 0);
  assert_non_null(strstr(lines_of(bench, space, choice, 0), "preload = "));
  // Who wants another height gets it.
  struct pl_space *const other = space_of(
      bench, text_with(bench, "", "springs = [\"tenth long 0.45\"]",
                       "rear.settled-ride-height = 24 mm +- 0.6 mm\nkeep = [front]\n"));
  assert_int_equal(other->aim->count, 2);
  const struct pl_choice *const higher = search(bench, other, 1, 1);
  assert_int_equal(higher->best[0].score.missed, 0);
}

/// The score that a search has is that of the setup that the language makes of its lines.
static void made_setups_have_the_score_of_the_search(struct pl_bench *bench) {
  struct pl_space *const space = space_of(
      bench, text_with(bench, "rear-left { preload += 0.5 mm }",
                       "oils = [\"clear 300\", \"clear 500\"]; blends = quarters\n"
                       "pistons = [\"3 x 1.7, bore 13\"]",
                       "rear.damping-ratio-slow = 0.8 +- 0.01\nfront.ride-frequency = 4 Hz +- "
                       "0.05 Hz\n"));
  const struct pl_choice *const choice = search(bench, space, 20, 2);
  const struct pl_made *const made =
      pl_make_chosen(bench->arena, space, choice->best, choice->count);
  assert_int_equal(choice->count, 20);
  for (size_t i = 0; i < choice->count; i++) {
    const struct pl_score score = pl_score_of(made[i].figures, space->aim);
    assert_int_equal(score.missed, choice->best[i].score.missed);
    assert_int_equal(score.away, choice->best[i].score.away);
  }
}

/// A part that does not fit is left out, with the reason.
static void what_does_not_fit_is_left_out(struct pl_bench *bench) {
  struct pl_space *const space = space_of(
      bench, text_with(bench, "", "pistons = [\"6 x 1.8, bore 16\", \"3 x 1.7, bore 13\"]",
                       "rear.damping-ratio-slow = 0.8 +- 0.1\n"));
  assert_true(has_remark(space, "rear.piston = \"6 x 1.8, bore 16\" is left out"));
  for (size_t d = 0; d < space->count; d++)
    if (space->dimensions[d].kind == PL_VARY_PISTON)
      assert_int_equal(space->dimensions[d].count, 2);
}

/// Springs of an axle are tried there alone, and go before those that are for both.
static void parts_of_an_axle_stay_there(struct pl_bench *bench) {
  const char *const aim = "front.damping-ratio-slow = 0.8 +- 0.1\n"
                          "rear.damping-ratio-slow = 0.8 +- 0.1\n";
  struct pl_space *const space = space_of(
      bench, text_with(bench, "",
                       "springs = [\"tenth long 0.37\", \"tenth long 0.45\"]\n"
                       "front { springs = [\"tenth short 0.46\"] }\n"
                       "rear { pistons = [\"3 x 1.7, bore 13\", \"3 x 1.8, bore 13\"] }",
                       aim));
  assert_int_equal(ways_of(space, PL_FRONT, PL_VARY_SPRING), 2);
  assert_string_equal(space->dimensions[0].ways[1].written, "\"tenth short 0.46\"");
  assert_int_equal(ways_of(space, PL_REAR, PL_VARY_SPRING), 3);
  assert_false(is_varied(space, PL_FRONT, PL_VARY_PISTON));
  assert_int_equal(ways_of(space, PL_REAR, PL_VARY_PISTON), 3);
}

/// In a file `deg/g` has a gram in it, and the roll gradient a g of acceleration.
static void a_roll_gradient_is_wanted_as_it_is_told(struct pl_bench *bench) {
  struct pl_space *const space =
      space_of(bench, text_with(bench, "", "", "car.roll-gradient = 2.7 deg/g +- 0.1 deg/g\n"));
  struct pl_figures *const figures = pl_figures_brief(space->setup);
  const struct pl_figure_value *const now =
      pl_figure_get(figures, PL_FIGURE_ROLL_GRADIENT, PL_CAR);
  const struct pl_wanted *const wanted = &space->aim->wanted[0];
  assert_true(fabs(pl_figure_in_unit(PL_FIGURE_ROLL_GRADIENT, wanted->target) - 2.7) < 1e-9);
  assert_true(fabs(pl_figure_in_unit(PL_FIGURE_ROLL_GRADIENT, now->value) - 2.7) < 0.1);
  assert_int_equal(search(bench, space, 1, 1)->best[0].score.work, 0);
}

/// A box has a pair of each: who is to fit one at both axles hears of it.
static void two_pairs_are_told(struct pl_bench *bench) {
  struct pl_space *const space =
      space_of(bench, text_with(bench, "", "springs = [\"oval 3.0\"]",
                                "front.spring-rate = 0.525 N/mm +- 0.005 N/mm\n"
                                "rear.spring-rate = 0.525 N/mm +- 0.005 N/mm\n"));
  const struct pl_choice *const choice = search(bench, space, 20, 1);
  const struct pl_made *const made =
      pl_make_chosen(bench->arena, space, choice->best, choice->count);
  size_t told = 0;
  for (size_t i = 0; i < choice->count; i++) {
    const char *const lines = lines_of(bench, space, choice, i);
    const char *const first = strstr(lines, "oval 3.0");
    const bool both = first != NULL && strstr(first + 1, "oval 3.0") != NULL;
    bool is_told = false;
    for (size_t j = 0; j < made[i].warning_count; j++)
      is_told |= strcmp(made[i].warnings[j], "Front and rear both get the spring oval 3.0: "
                                             "that takes two pairs.") == 0;
    assert_int_equal(is_told, both);
    told += is_told;
  }
  assert_true(told > 0 && told < choice->count);
}

/// What a file works out of a setting follows it; what it works out of two holds one of them.
static void settings_that_follow(struct pl_bench *bench) {
  const char *const aim = "front.damping-ratio-slow = 0.8 +- 0.1\n"
                          "front.droop-travel = 10 mm +- 1 mm\n";
  struct pl_space *const one = space_of(
      bench, text_with(bench, "front { limiter = preload / 4 }", "preload-step = 2 mm", aim));
  assert_int_equal(one->remark_count, 0);
  assert_true(is_varied(one, PL_FRONT, PL_VARY_PRELOAD));
  struct pl_space *const two =
      space_of(bench, text_with(bench,
                                "all { limiter = preload / 4 }\n"
                                "rear { droop = 1 mm * shock-bottom + preload }",
                                "preload-step = 2 mm", aim));
  assert_true(has_remark(two, "rear.preload is not varied: `droop` follows it"));
  assert_true(is_varied(two, PL_REAR, PL_VARY_BOTTOM));
  assert_false(is_varied(two, PL_REAR, PL_VARY_PRELOAD));
}

#define COLLARED(keep)                                                                          \
  "include \"cars/plover/car.leaf\"\ninclude \"library/springs.leaf\"\n"                        \
  "include \"library/pistons.leaf\"\nsetup \"collared\" {\n  car = \"Plover\"; air = 20 degC\n" \
  "  all { ride-height = 21 mm; oil = 350 cSt; piston = \"3 x 1.9, bore 13\" }\n"               \
  "  all { shock-top = 2; shock-bottom = 2; link-inner = 2; link-outer = 1 }\n"                 \
  "  front { spring = \"tenth short 0.52\"; collar = 3.9 mm }\n"                                \
  "  rear { spring = \"tenth long 0.41\"; collar = 6.6 mm }\n}\n"                               \
  "box \"b\" { preload-step = 0.5 mm; rear { springs = [\"tenth long 0.37\"] } }\n"             \
  "aim { rear.spring-rate = 0.37 N/mm +- 0.02 N/mm\n  keep = " keep " }\n"

/// Who gives collars turns those: another spring, and the car stands where it stood.
static void collars_are_turned(struct pl_bench *bench) {
  struct pl_space *const space = space_of(bench, COLLARED("[front, shock-top, shock-bottom]"));
  assert_true(is_varied(space, PL_REAR, PL_VARY_COLLAR));
  assert_false(is_varied(space, PL_REAR, PL_VARY_PRELOAD));
  const struct pl_choice *const choice = search(bench, space, BEST, 2);
  size_t count = 0;
  const struct pl_chosen *const all = brute(bench, space, choice->varies, &count);
  assert_same(space, choice, all, count, false, "collars");
  assert_int_equal(choice->best[0].score.missed, 0);
  assert_non_null(strstr(lines_of(bench, space, choice, 0), "collar = "));
  assert_null(strstr(lines_of(bench, space, choice, 0), "preload"));
  assert_false(is_varied(space_of(bench, COLLARED("[collar]")), PL_REAR, PL_VARY_COLLAR));
  assert_false(is_varied(space_of(bench, COLLARED("preload")), PL_REAR, PL_VARY_COLLAR));
}

/// A setup without preload has the one that holds its height, and points cannot be counted.
static void what_is_not_given_is_not_varied(struct pl_bench *bench) {
  struct pl_space *const space = space_of(
      bench,
      "include \"cars/plover/car.leaf\"\noil \"o\" { viscosity = 300 cSt }\n"
      "setup \"bare\" { car = \"Plover\"; front { shock-top = (37 mm, 79 mm) }\n"
      "  rear { shock-top = 2; shock-bottom = 1 } front { shock-bottom = 2 } }\n"
      "box \"b\" { oils = \"o\" }\naim { rear.motion-ratio = 0.5 +- 0.1; car.total-mass = 1 kg +- 1 kg }\n");
  assert_false(is_varied(space, PL_FRONT, PL_VARY_PRELOAD));
  assert_false(is_varied(space, PL_FRONT, PL_VARY_TOP));
  assert_true(is_varied(space, PL_FRONT, PL_VARY_BOTTOM));
  assert_true(is_varied(space, PL_REAR, PL_VARY_TOP));
  const struct pl_choice *const choice = search(bench, space, 10, 1);
  assert_true(choice->count > 0);
}

// ---------------------------------------------------------------- limits

/// Each of very many ways has a warning: none is lost by that, and a mistake is still seen.
static void ways_are_checked_one_by_one(struct pl_bench *bench) {
  struct pl_buffer oils_of = {.arena = bench->arena};
  for (int i = 0; i < 13; i++)
    pl_buffer_format(&oils_of, "%s\"%s\"", i == 0 ? "" : ", ",
                     (const char *const[]){"clear 150", "clear 200", "clear 250", "clear 300",
                                           "clear 350", "clear 400", "clear 450", "clear 500",
                                           "clear 600", "clear 700", "steady 400", "twin a",
                                           "twin b"}[i]);
  const char *const box =
      pl_format(bench->arena, "oils = [%s]; blends = quarters; pistons = \"6 x 1.8, bore 16\"",
                pl_buffer_string(&oils_of));
  struct pl_space *const space = space_of(
      bench, text_with(bench, "front-left { oil = 333 cSt }; rear-left { oil = 333 cSt }", box,
                       "rear.damping-ratio-slow = 0.8 +- 0.1\n"));
  assert_int_equal(ways_of(space, PL_FRONT, PL_VARY_OIL), 1 + 13 + 3 * 78);
  assert_int_equal(ways_of(space, PL_REAR, PL_VARY_OIL), 1 + 13 + 3 * 78);
  assert_false(is_varied(space, PL_REAR, PL_VARY_PISTON));
  assert_int_equal(space->remark_count, 2);
}

static const char *box_of_oils(struct pl_bench *bench, int count) {
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "include \"cars/plover/baseline.leaf\"\n"
                        "setup \"try\" from \"Plover baseline\" { }\n");
  for (int i = 0; i < count; i++)
    pl_buffer_format(&text, "oil \"o%d\" { viscosity = %d cSt }\n", i, 100 + i);
  pl_buffer_text(&text,
                 "box \"case\" {\n  preload-step = 0.05 mm\n  blends = quarters\n  oils = [");
  for (int i = 0; i < count; i++) pl_buffer_format(&text, "%s\"o%d\"", i == 0 ? "" : ", ", i);
  pl_buffer_text(&text, "]\n}\naim { rear.damping-ratio-slow = 0.8 +- 0.1 }\n");
  return pl_buffer_string(&text);
}

/// Thirteen oils in quarters are 248 ways with what there is, fourteen are too many: the first
/// are varied, and that is told.
static void ways_are_limited(struct pl_bench *bench) {
  struct pl_space *space = space_of(bench, box_of_oils(bench, 13));
  assert_int_equal(ways_of(space, PL_REAR, PL_VARY_OIL), 1 + 13 + 3 * 78);
  assert_int_equal(space->remark_count, 0);
  assert_int_equal(ways_of(space, PL_REAR, PL_VARY_PRELOAD), PL_MOST_PRELOADS);
  space = space_of(bench, box_of_oils(bench, 14));
  assert_int_equal(ways_of(space, PL_REAR, PL_VARY_OIL), PL_MOST_OPTIONS);
  assert_true(has_remark(space, "Of rear.oil the first 249 ways are varied"));
}

/// So many springs and oils in quarters, with aims that hold both axles together.
static struct pl_choice *search_large(struct pl_bench *bench, int kinds) {
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, box_of_oils(bench, 13));
  text.length -= strlen(" }\n"); // of the aim
  pl_buffer_text(
      &text, "; car.frequency-ratio = 0.9 +- 0.01; front.damping-ratio-slow = 1 +- 0.1 }\n");
  for (int i = 0; i < kinds; i++)
    pl_buffer_format(&text, "spring \"s%d\" { rate = %.2f N/mm; free-length = 50 mm }\n", i,
                     0.3 + 0.01 * i);
  pl_buffer_text(&text, "box \"large\" from \"case\" { springs = [");
  for (int i = 0; i < kinds; i++) pl_buffer_format(&text, "%s\"s%d\"", i == 0 ? "" : ", ", i);
  pl_buffer_text(&text, "] }\n");
  struct pl_program *const program = load(bench, pl_buffer_string(&text));
  assert_sound(program);
  struct pl_space *const space =
      pl_space_new(bench->arena, pl_program_setup(program, NULL),
                   pl_program_box_named(program, "large"), pl_program_aim(program, NULL));
  return search(bench, space, 1, 2);
}

/// A group that is too large is not begun. What falls apart once springs, holes and preloads
/// are settled counts once for each axle, not with each other.
static void combinations_are_limited(struct pl_bench *bench) {
  struct pl_choice *choice = search_large(bench, 4);
  assert_true(choice->combinations > 1e10);
  assert_true(choice->searched < 1e9);
  assert_int_equal(choice->count, 1);
  choice = search_large(bench, 20);
  assert_true(choice->too_many > PL_MOST_COMBINATIONS);
  assert_int_equal(choice->count, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(is_never_worse_than_brute_force),
      PL_BENCH_TEST(ties_go_by_the_order_of_the_box),
      PL_BENCH_TEST(less_work_goes_first),
      PL_BENCH_TEST(what_nothing_goes_by_stays),
      PL_BENCH_TEST(the_car_stands_at_its_height),
      PL_BENCH_TEST(made_setups_have_the_score_of_the_search),
      PL_BENCH_TEST(what_does_not_fit_is_left_out),
      PL_BENCH_TEST(parts_of_an_axle_stay_there),
      PL_BENCH_TEST(two_pairs_are_told),
      PL_BENCH_TEST(a_roll_gradient_is_wanted_as_it_is_told),
      PL_BENCH_TEST(settings_that_follow),
      PL_BENCH_TEST(collars_are_turned),
      PL_BENCH_TEST(what_is_not_given_is_not_varied),
      PL_BENCH_TEST(ways_are_checked_one_by_one),
      PL_BENCH_TEST(ways_are_limited),
      PL_BENCH_TEST(combinations_are_limited),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
