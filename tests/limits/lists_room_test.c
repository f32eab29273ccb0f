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

/// What rules require: of the car, of corners in several columns of lines to write on, of
/// words, and what has no common shape.
static const char *const required[] = {
    "require = pinion <= 20 and spur >= 70",
    "require = width <= 250 mm and body == \"Mindestgewichtsgrenzenunterschreitungsmeldung\"",
    "for = each corner; require = damper.bore in [10 mm, 12 mm, 13 mm]; tolerance = 0.1 mm",
    "require = max(damper.bore) <= 1.3 cm; tolerance = 0.01 cm",
    "for = each axle; require = left.damper.bore == right.damper.bore",
    "require = pinion / spur <= 0.3 and mass <= 2 kg or count(damper) == 4",
    "for = each corner; require = damper.compensation in [bladder, vented]",
    "require = mass >= 1.5 kg; tolerance = 0.002 kg"};
#define REQUIRED (sizeof required / sizeof required[0])

static void add_rules(struct pl_buffer *text, struct pl_chance *chance, size_t rules,
                      double most) {
  pl_buffer_text(text, "rules \"R\" {\n");
  for (size_t i = 0; i < rules; i++) {
    const char *const name = words(text->arena, chance, most);
    const size_t which = (size_t)pl_chance_bits(chance) % REQUIRED;
    pl_buffer_format(text, "rule \"%zu %s\" { %s; measure = \"%s\"; because = \"%s\" }\n", i,
                     name, required[which], words(text->arena, chance, most),
                     words(text->arena, chance, most));
  }
  pl_buffer_text(text, "}\n");
}

/// A meeting with an entry in which things were measured that are not as declared.
static struct pl_entrant entrant_of(struct pl_bench *bench, struct pl_program *program) {
  const struct pl_meeting *const meeting = pl_program_meeting(program, NULL);
  if (meeting == NULL) {
    fail_msg("%s", pl_bench_shown(bench));
    return (struct pl_entrant){.class_name = ""};
  }
  return (struct pl_entrant){.class_name = "",
                             .meeting = program,
                             .measured = meeting->entries[0].measured,
                             .with_sights = true};
}

/// Entries of random words: those that are judged by what they declare, with and without
/// measured values, and those that declare nothing, with a broken file and without one.
static void add_entries(struct pl_bench *bench, struct pl_chance *chance,
                        struct pl_program *program, struct pl_scrutiny_request *request,
                        size_t count, double most) {
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, NULL), NULL);
  const struct pl_entrant measured = entrant_of(bench, program);
  const struct pl_entrant plain = {.class_name = "", .with_sights = true};
  const struct pl_judgement *const judgements[] = {
      pl_judge(bench->arena, request->rules, figures, PL_METRIC, &plain),
      pl_judge(bench->arena, request->rules, figures, PL_IMPERIAL, &measured),
      pl_judge(bench->arena, request->rules, NULL, PL_METRIC, &plain)};
  struct pl_scrutinised *const entries = pl_alloc_array(bench->arena, count, sizeof *entries);
  for (size_t i = 0; i < count; i++) {
    const bool broken = i % 5 == 0;
    entries[i] = (struct pl_scrutinised){
        .file = i % 7 == 0 ? "" : words(bench->arena, chance, most),
        .setup = words(bench->arena, chance, most),
        .number = pl_format(bench->arena, "%zuC", i * 41),
        .driver = words(bench->arena, chance, most),
        .group =
            i < count / 2 ? words(bench->arena, &(struct pl_chance){.state = 5}, most) : "B",
        .mistake =
            broken ? pl_format(bench->arena, "x.leaf:3: %s", words(bench->arena, chance, most))
                   : "",
        .judgement = judgements[broken || i % 7 == 0 ? 2 : i % 2]};
  }
  request->entries = entries;
  request->count = count;
}

/// Limits are to be read in bad light: no word of a limit is smaller than the text.
static void check_limits(const struct pl_paper *paper, const char *which) {
  for (size_t page = 0; page < paper->page_count; page++) {
    for (size_t i = 0; i < paper->pages[page]->count; i++) {
      const struct pl_mark *const mark = &paper->pages[page]->marks[i];
      if (mark->kind != PL_MARK_TEXT || strstr(mark->text, "at most") == NULL) continue;
      if (mark->type.size < 8 || mark->type.ink != PL_INK_BLACK)
        fail_msg("%s: a limit is too small or grey", which);
    }
  }
}

static void check_list(struct pl_bench *bench, uint64_t seed, size_t rules, size_t count,
                       double most) {
  struct pl_chance chance = {.state = seed * 11};
  struct pl_buffer text = {.arena = bench->arena};
  add_rules(&text, &chance, rules, most);
  pl_buffer_format(&text,
                   "damper \"d\" { bore = %d mm; shaft = 3 mm; compensation = emulsion }\n"
                   "setup \"s\" { pinion = %d; body = \"%s\"; all { damper = \"d\" } }\n"
                   "meeting \"m\" { entry 1 { measured { mass = 1490.5 g; body = \"%s\"; "
                   "front { damper.bore = 12.05 mm } } } }\n",
                   (int)(seed % 3 + 12), (int)(seed % 40 + 5),
                   words(bench->arena, &chance, most), words(bench->arena, &chance, most));
  struct pl_program *const program = pl_bench_program(bench, pl_buffer_string(&text));
  const struct pl_rules *const set = pl_program_rules(program, NULL);
  if (set == NULL || set->count != rules) fail_msg("%s", pl_bench_shown(bench));
  struct pl_scrutiny_request request = {.rules = set,
                                        .title = words(bench->arena, &chance, most),
                                        .date = "2026-06-14",
                                        .track_name = words(bench->arena, &chance, most),
                                        .event = words(bench->arena, &chance, most),
                                        .look = look_of(bench),
                                        .paper = seed % 2 == 0 ? PL_LETTER : PL_A4,
                                        .direction = seed % 4 == 0 ? PL_PORTRAIT
                                                                   : PL_DIRECTION_OF_TEMPLATE,
                                        .version = "0"};
  add_entries(bench, &chance, program, &request, count, most);
  const struct pl_paper *const list = pl_scrutiny_list_new(bench->arena, &request);
  check_paper(bench, list, seed);
  check_limits(list, "the list");
  const struct pl_paper *const certificates = pl_certificates_new(bench->arena, &request);
  check_paper(bench, certificates, seed);
  check_limits(certificates, "a certificate");
  assert_true(certificates->page_count >= count);
  const char *const all = pl_paper_words(bench->arena, list);
  for (size_t i = 0; i < count; i++) assert_non_null(strstr(all, request.entries[i].number));
}

static void lists_keep_to_the_paper(struct pl_bench *bench) {
  for (uint64_t seed = 1; seed <= 40; seed++) {
    struct pl_chance chance = {.state = seed};
    check_list(bench, seed, (size_t)pl_chance_between(&chance, 1, 24), ENTRIES,
               seed % 3 == 0 ? 200 : 25);
  }
}

/// Forty rules, two hundred entries, names of eighty characters.
static void a_large_list_keeps_to_the_paper(struct pl_bench *bench) {
  check_list(bench, 3, 40, 200, 80);
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
                                     PL_BENCH_TEST(a_large_list_keeps_to_the_paper),
                                     PL_BENCH_TEST(pages_of_mistakes_keep_to_the_paper)};
  return cmocka_run_group_tests_name("room on lists", tests, NULL, NULL);
}
