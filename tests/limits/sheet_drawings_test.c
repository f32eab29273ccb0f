// SPDX-License-Identifier: GPL-3.0-or-later
// Drawings of random shocks and pistons, with what the language takes and no maker makes: no
// mark leaves the picture, no text touches another one or stands on black, ports are clear of
// each other.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "chance.h"
#include "sheet/room.h"
#include "support.h"

/// Rounding of sums of lengths, mm.
#define ROUNDING 0.02

/// A shock being made up.
struct maker {
  struct pl_chance chance;
  struct pl_buffer text;
  double share; ///< of the settings that are given
};

static bool happens(struct maker *maker, double share) {
  return pl_chance_between(&maker->chance, 0, 1) < share;
}

static size_t up_to(struct maker *maker, size_t most) {
  return (size_t)pl_chance_between(&maker->chance, 0, (double)most + 0.999);
}

// ---------------------------------------------------------------- making shocks up

/// One of the words of a choice.
static void add_word(struct maker *maker, const char *words) {
  size_t count = 1;
  for (const char *next = words; *next != '\0'; next++) count += *next == '|';
  for (size_t skip = up_to(maker, count - 1); skip > 0; skip--) words = strchr(words, '|') + 1;
  pl_buffer_add(&maker->text, words, strcspn(words, "|"));
}

/// A number in the setting's span, small ones as often as large ones.
static void add_number(struct maker *maker, const struct pl_setting_row *row) {
  const double least = fmax(row->least, 0.01 * row->greatest);
  const double number = row->least == 0 && happens(maker, 0.1)
                            ? 0
                            : pl_chance_scale(&maker->chance, least, row->greatest);
  pl_buffer_format(&maker->text, "%.*f %s", row->type == PL_TYPE_COUNT ? 0 : row->digits + 1,
                   number, row->of);
}

static void add_ports(struct maker *maker) {
  const size_t sets = 1 + (happens(maker, 0.5) ? up_to(maker, 3) : 0);
  const size_t most = happens(maker, 0.3) ? 40 : 8;
  for (size_t i = 0; i < sets; i++) {
    pl_buffer_format(&maker->text, "%s%zu x %.2f mm", i == 0 ? "" : " + ",
                     1 + up_to(maker, most - 1), pl_chance_scale(&maker->chance, 0.2, 5));
    if (happens(maker, 0.3))
      pl_buffer_format(&maker->text, " to %.2f mm", pl_chance_scale(&maker->chance, 0.2, 5));
    if (happens(maker, 0.3))
      pl_buffer_format(&maker->text, " one-way %s",
                       happens(maker, 0.5) ? "rebound opens-at 7 kPa" : "compression");
  }
}

/// What a section cannot do without.
static bool is_needed(enum pl_setting setting) {
  return setting == PL_SETTING_BORE || setting == PL_SETTING_SHAFT ||
         setting == PL_SETTING_STROKE || setting == PL_SETTING_EXTENDED_LENGTH;
}

/// All settings of one kind of block, or a share of them.
static void add_block(struct maker *maker, enum pl_block_kind kind) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (row->owner != kind) continue;
    if (!is_needed((enum pl_setting)i) && !happens(maker, maker->share)) continue;
    if (row->type == PL_TYPE_NUMBER || row->type == PL_TYPE_COUNT) {
      pl_buffer_format(&maker->text, "  %s = ", row->key);
      add_number(maker, row);
    } else if (row->type == PL_TYPE_CHOICE) {
      pl_buffer_format(&maker->text, "  %s = ", row->key);
      add_word(maker, row->of);
    } else if (row->type == PL_TYPE_PORTS) {
      pl_buffer_text(&maker->text, "  ports = ");
      add_ports(maker);
    }
    pl_buffer_text(&maker->text, "\n");
  }
}

static void add_own(struct maker *maker) {
  static const enum pl_setting own[] = {PL_SETTING_LIMITER, PL_SETTING_BUMP_SPACER,
                                        PL_SETTING_COLLAR, PL_SETTING_PRELOAD};
  for (size_t i = 0; i < sizeof own / sizeof own[0]; i++) {
    if (!happens(maker, maker->share)) continue;
    pl_buffer_format(&maker->text, "  %s = ", pl_settings[own[i]].key);
    add_number(maker, &pl_settings[own[i]]);
    pl_buffer_text(&maker->text, "\n");
  }
}

static const char *make_setup(struct pl_arena *arena, struct maker *maker) {
  maker->text = (struct pl_buffer){.arena = arena};
  pl_buffer_text(&maker->text, "damper \"d\" {\n");
  add_block(maker, PL_BLOCK_DAMPER);
  pl_buffer_text(&maker->text, "}\npiston \"p\" {\n");
  add_block(maker, PL_BLOCK_PISTON);
  pl_buffer_text(&maker->text, "}\nspring \"s\" {\n");
  add_block(maker, PL_BLOCK_SPRING);
  pl_buffer_text(&maker->text, "}\nsetup \"Spring tide\" { all {\n  damper = \"d\"\n");
  if (happens(maker, 0.9)) pl_buffer_text(&maker->text, "  piston = \"p\"\n");
  if (happens(maker, 0.8)) pl_buffer_text(&maker->text, "  spring = \"s\"\n");
  add_own(maker);
  pl_buffer_text(&maker->text, "} }\n");
  return pl_buffer_string(&maker->text);
}

// ---------------------------------------------------------------- looking at a picture

struct box {
  double left, right, top, bottom;
};

static void take_in(struct box *box, double x, double y) {
  box->left = fmin(box->left, x);
  box->right = fmax(box->right, x);
  box->top = fmin(box->top, y);
  box->bottom = fmax(box->bottom, y);
}

static struct box box_of_text(const struct pl_mark *mark) {
  const struct pl_text_metrics metrics = pl_text_metrics(mark->type.size, mark->type.bold);
  return (struct box){.left = mark->x,
                      .right = mark->x + mark->width,
                      .top = mark->y - metrics.ascent,
                      .bottom = mark->y + metrics.descent};
}

/// What a mark covers, with half its line's width around it.
static struct box box_of(const struct pl_mark *mark) {
  if (mark->kind == PL_MARK_TEXT) return box_of_text(mark);
  struct box box = {INFINITY, -INFINITY, INFINITY, -INFINITY};
  for (size_t i = 0; i < mark->spot_count; i++)
    take_in(&box, mark->spots[i].x, mark->spots[i].y);
  if (mark->kind == PL_MARK_RECTANGLE) {
    take_in(&box, mark->x, mark->y);
    take_in(&box, mark->x + mark->width, mark->y + mark->height);
  } else if (mark->kind == PL_MARK_CIRCLE) {
    take_in(&box, mark->x - mark->width / 2, mark->y - mark->width / 2);
    take_in(&box, mark->x + mark->width / 2, mark->y + mark->width / 2);
  }
  const double half = mark->stroke.width / 2;
  return (struct box){box.left - half, box.right + half, box.top - half, box.bottom + half};
}

static bool overlap(struct box a, struct box b) {
  return a.left + ROUNDING < b.right && b.left + ROUNDING < a.right &&
         a.top + ROUNDING < b.bottom && b.top + ROUNDING < a.bottom;
}

/// Is every number of the mark one, and every size none below zero?
static bool is_sound(const struct pl_mark *mark) {
  bool sound = isfinite(mark->x) && isfinite(mark->y) && isfinite(mark->width) &&
               isfinite(mark->height) && mark->width >= 0 && mark->height >= 0;
  for (size_t i = 0; i < mark->spot_count; i++)
    sound = sound && isfinite(mark->spots[i].x) && isfinite(mark->spots[i].y);
  return sound;
}

static void check_text(const struct pl_page *page, size_t which, const char *what) {
  const struct pl_mark *const text = &page->marks[which];
  if (text->type.size < PL_TYPE_FLOOR) fail_msg("%s: too small type", what);
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    const bool dark = mark->kind != PL_MARK_TEXT && mark->spot_count != 2 &&
                      mark->kind != PL_MARK_POLYLINE &&
                      (mark->fill == PL_INK_BLACK || mark->fill == PL_INK_GREY);
    if (i == which || (mark->kind != PL_MARK_TEXT && !dark)) continue;
    if (overlap(box_of(text), box_of(mark)))
      fail_msg("%s: \"%s\" touches %s", what, text->text,
               mark->kind == PL_MARK_TEXT ? mark->text : "a dark area");
  }
}

static void check_picture(const struct pl_page *page, const char *what) {
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (!is_sound(mark)) fail_msg("%s: mark %zu has no place", what, i);
    const struct box box = box_of(mark);
    if (box.left < -ROUNDING || box.top < -ROUNDING || box.right > page->width + ROUNDING ||
        box.bottom > page->height + ROUNDING)
      fail_msg("%s: mark %zu of kind %d leaves the picture of %.1f by %.1f: %.2f to %.2f, %.2f "
               "to %.2f",
               what, i, (int)mark->kind, page->width, page->height, box.left, box.right,
               box.top, box.bottom);
    if (mark->kind == PL_MARK_TEXT) check_text(page, i, what);
  }
}

/// Circles within the edge are the shaft's hole and ports: none reaches over the edge or over
/// another one that does not share its middle.
static void check_ports(const struct pl_page *page, const char *what) {
  const struct pl_mark *edge = NULL;
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const a = &page->marks[i];
    if (a->kind != PL_MARK_CIRCLE) continue;
    if (edge == NULL) edge = a;
    const double out = hypot(a->x - edge->x, a->y - edge->y);
    if (a == edge || out > edge->width / 2) continue;
    if (out + a->width / 2 > edge->width / 2) fail_msg("%s: a port over the edge", what);
    for (size_t j = i + 1; j < page->count; j++) {
      const struct pl_mark *const b = &page->marks[j];
      const double apart = hypot(a->x - b->x, a->y - b->y);
      if (b->kind == PL_MARK_CIRCLE && apart > 1e-6 && apart < (a->width + b->width) / 2)
        fail_msg("%s: two ports overlap", what);
    }
  }
}

// ---------------------------------------------------------------- tests

/// How many pictures of each kind there were, so that a test of none does not pass.
struct tally {
  size_t pistons;
  size_t shocks;
};

static void check_drawings(struct pl_bench *bench, uint64_t seed, struct tally *tally) {
  struct maker maker = {.chance = {.state = seed}};
  static const double shares[] = {0.1, 0.5, 0.9, 1};
  maker.share = shares[seed % 4];
  const char *const text = make_setup(bench->arena, &maker);
  struct pl_program *const program = pl_bench_program(bench, text);
  const struct pl_sheet_request request = {.system = seed % 3 == 0 ? PL_IMPERIAL : PL_METRIC};
  static const struct pl_template plain;
  struct pl_sheet sheet = {.arena = bench->arena,
                           .request = &request,
                           .plan = &plain,
                           .setup = pl_program_setup(program, NULL),
                           .problems = pl_diagnostics_new(bench->arena)};
  assert_non_null(sheet.setup);
  const double width = pl_chance_between(&maker.chance, 40, 190);
  const char *lacks = NULL;
  const struct pl_page *const piston = pl_piston_picture(
      &sheet, PL_FRONT_LEFT, width, pl_chance_between(&maker.chance, 1, 5), &lacks);
  const char *const what = pl_format(bench->arena, "seed %u", (unsigned)seed);
  if (piston != NULL) {
    check_picture(piston, what);
    check_ports(piston, what);
    tally->pistons++;
  }
  const double height = pl_chance_between(&maker.chance, 30, 150);
  const struct pl_page *const shock =
      pl_shock_picture(&sheet, PL_REAR_RIGHT, width, height, &lacks);
  if (shock != NULL) {
    check_picture(shock, what);
    tally->shocks++;
  }
  assert_false(sheet.failed);
}

static void random_drawings(struct pl_bench *bench, uint64_t first, uint64_t count) {
  struct tally tally = {0};
  for (uint64_t seed = first; seed < first + count; seed++) check_drawings(bench, seed, &tally);
  assert_true(tally.pistons > count / 2);
  assert_true(tally.shocks > count / 2);
}

static void the_first_drawings_keep_to_their_pictures(struct pl_bench *bench) {
  random_drawings(bench, 0, 2000);
}

static void more_drawings_keep_to_their_pictures(struct pl_bench *bench) {
  random_drawings(bench, 2000, 2000);
}

static void still_more_drawings_keep_to_their_pictures(struct pl_bench *bench) {
  random_drawings(bench, 4000, 2000);
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(the_first_drawings_keep_to_their_pictures),
                                     PL_BENCH_TEST(more_drawings_keep_to_their_pictures),
                                     PL_BENCH_TEST(still_more_drawings_keep_to_their_pictures)};
  return cmocka_run_group_tests_name("drawings of absurd shocks", tests, NULL, NULL);
}
