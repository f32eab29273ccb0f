// SPDX-License-Identifier: GPL-3.0-or-later
// Covers, pages of mistakes, lists for the measuring table and certificates with words of
// absurd length: no text overlaps another or leaves the margins, and every entry is there.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <string.h>

#include "chance.h"
#include "paper.h"
#include "support.h"

/// The built-in template's margin, mm.
#define MARGIN  9.0
#define ENTRIES 30

/// Words of a length between nothing and absurd, or one endless word.
static const char *words(struct pl_arena *arena, struct pl_chance *chance, double most) {
  struct pl_buffer out = {.arena = arena};
  const bool blanks = pl_chance_between(chance, 0, 1) < 0.7;
  const size_t length = (size_t)pl_chance_between(chance, 0, most);
  static const char *const letters[] = {"a", "m", "i", "W", "é", "ж", "7", "Ω", "q", "短"};
  for (size_t i = 0; i < length; i++) {
    const size_t which = (size_t)pl_chance_between(chance, 0, 9.99);
    pl_buffer_text(&out, blanks && i % 6 == 5 ? " " : letters[which]);
  }
  return pl_buffer_string(&out);
}

static const struct pl_template *look_of(struct pl_bench *bench) {
  const struct pl_template_choice choice = {.name = "race sheet"};
  struct pl_program *const program = pl_bench_program(bench, "");
  const struct pl_template *const look =
      pl_template_read(bench->arena, &choice, program, pl_program_problems(program));
  assert_non_null(look);
  return look;
}

static void check_paper(struct pl_bench *bench, const struct pl_paper *paper, uint64_t seed) {
  assert_true(paper->page_count > 0);
  for (size_t i = 0; i < paper->page_count; i++)
    pl_check_page(paper->pages[i], MARGIN,
                  pl_format(bench->arena, "seed %u, page %zu", (unsigned)seed, i + 1));
}

// ---------------------------------------------------------------- covers

static void covers_keep_to_the_paper(struct pl_bench *bench) {
  for (uint64_t seed = 1; seed <= 40; seed++) {
    struct pl_chance chance = {.state = seed};
    const double most = seed % 3 == 0 ? 300 : 30;
    struct pl_packet_row rows[ENTRIES];
    for (size_t i = 0; i < ENTRIES; i++)
      rows[i] = (struct pl_packet_row){.number = pl_format(bench->arena, "%zuB", i * 37),
                                       .driver = words(bench->arena, &chance, most),
                                       .class_name = words(bench->arena, &chance, most),
                                       .group = words(bench->arena, &chance, 12),
                                       .setup = words(bench->arena, &chance, most),
                                       .kind = (enum pl_packet_kind)(i % 3),
                                       .page = i * 2};
    const struct pl_packet packet = {.name = words(bench->arena, &chance, most),
                                     .date = "2026-06-14",
                                     .track_name = words(bench->arena, &chance, most),
                                     .event = words(bench->arena, &chance, most),
                                     .rows = rows,
                                     .count = ENTRIES,
                                     .look = look_of(bench),
                                     .paper = seed % 2 == 0 ? PL_LETTER : PL_A4,
                                     .direction = seed % 4 == 0 ? PL_LANDSCAPE : PL_PORTRAIT,
                                     .version = "0"};
    const struct pl_paper *const cover = pl_cover_new(bench->arena, &packet);
    check_paper(bench, cover, seed);
    const char *const all = pl_paper_words(bench->arena, cover);
    for (size_t i = 0; i < ENTRIES; i++) assert_non_null(strstr(all, rows[i].number));
  }
}

// ---------------------------------------------------------------- lists

/// Rules of random words over one entry of random words.
static void check_list(struct pl_bench *bench, uint64_t seed) {
  struct pl_chance chance = {.state = seed * 11};
  const double most = seed % 3 == 0 ? 200 : 25;
  const size_t rules = (size_t)pl_chance_between(&chance, 1, 24);
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "rules \"R\" {\n");
  for (size_t i = 0; i < rules; i++)
    pl_buffer_format(
        &text, "rule \"%zu %s\" { require = %s; measure = \"%s\"; because = \"%s\" }\n", i,
        words(bench->arena, &chance, most),
        i % 2 == 0 ? "pinion <= 20 and spur >= 70 or mass <= 2 kg" : "body == \"flat\"",
        words(bench->arena, &chance, most), words(bench->arena, &chance, most));
  pl_buffer_format(&text, "}\nsetup \"s\" { pinion = %d; body = \"%s\" }\n",
                   (int)(seed % 40 + 5), words(bench->arena, &chance, most));
  struct pl_program *const program = pl_bench_program(bench, pl_buffer_string(&text));
  const struct pl_rules *const set = pl_program_rules(program, NULL);
  assert_non_null(set);
  assert_int_equal((int)set->count, (int)rules);
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, NULL), NULL);
  const struct pl_judgement *const judgement =
      pl_judge(bench->arena, set, figures, PL_METRIC, NULL);
  struct pl_scrutinised entries[ENTRIES];
  for (size_t i = 0; i < ENTRIES; i++)
    entries[i] = (struct pl_scrutinised){.file = words(bench->arena, &chance, most),
                                         .setup = words(bench->arena, &chance, most),
                                         .number = pl_format(bench->arena, "%zuC", i * 41),
                                         .driver = words(bench->arena, &chance, most),
                                         .judgement = judgement};
  const struct pl_scrutiny_request request = {
      .rules = set,
      .entries = entries,
      .count = ENTRIES,
      .title = words(bench->arena, &chance, most),
      .look = look_of(bench),
      .paper = seed % 2 == 0 ? PL_LETTER : PL_A4,
      .direction = seed % 4 == 0 ? PL_PORTRAIT : PL_DIRECTION_OF_TEMPLATE,
      .version = "0"};
  const struct pl_paper *const list = pl_scrutiny_list_new(bench->arena, &request);
  check_paper(bench, list, seed);
  const struct pl_paper *const certificates = pl_certificates_new(bench->arena, &request);
  check_paper(bench, certificates, seed);
  assert_true(certificates->page_count >= ENTRIES);
  const char *const all = pl_paper_words(bench->arena, list);
  for (size_t i = 0; i < ENTRIES; i++) assert_non_null(strstr(all, entries[i].number));
}

static void lists_keep_to_the_paper(struct pl_bench *bench) {
  for (uint64_t seed = 1; seed <= 40; seed++) check_list(bench, seed);
}

// ---------------------------------------------------------------- mistakes

static void pages_of_mistakes_keep_to_the_paper(struct pl_bench *bench) {
  for (uint64_t seed = 1; seed <= 20; seed++) {
    struct pl_chance chance = {.state = seed * 5};
    struct pl_buffer text = {.arena = bench->arena};
    pl_buffer_text(&text, "setup \"s\" {\n");
    for (size_t i = 0; i < 60; i++)
      pl_buffer_format(&text, "  pinyon%zu = \"%s\"\n", i, words(bench->arena, &chance, 200));
    pl_buffer_text(&text, "}\n");
    const struct pl_template *const look = look_of(bench);
    struct pl_program *const program = pl_bench_program(bench, pl_buffer_string(&text));
    const struct pl_setup *const setup = pl_program_setup(program, NULL);
    assert_non_null(setup);
    pl_setup_check(setup);
    assert_true(pl_program_problems(program)->errors > 40);
    const struct pl_packet packet = {.name = "M", .look = look, .version = "0"};
    const struct pl_packet_row row = {.number = "7",
                                      .driver = words(bench->arena, &chance, 300)};
    const struct pl_paper *const paper =
        pl_mistakes_new(bench->arena, &packet, &row, pl_program_problems(program));
    check_paper(bench, paper, seed);
    assert_non_null(strstr(pl_paper_words(bench->arena, paper), "and 20 more"));
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(covers_keep_to_the_paper),
                                     PL_BENCH_TEST(lists_keep_to_the_paper),
                                     PL_BENCH_TEST(pages_of_mistakes_keep_to_the_paper)};
  return cmocka_run_group_tests_name("room on lists", tests, NULL, NULL);
}
