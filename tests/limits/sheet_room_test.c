// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets of random setups with absurd lengths: no text overlaps another or leaves the margins,
// and everything that is given and every figure is on the paper.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "chance.h"
#include "paper.h"
#include "support.h"

/// The built-in template's margin, mm.
#define MARGIN 9.0
/// Longer than the width of a page.
#define LONG_TITLE                                                                               \
  "A section whose title is far too long for a line of the page and goes on and on until there " \
  "is no doubt at all that it needs a second one, and on the further pages a second one too"

/// A setup being made up.
struct maker {
  struct pl_chance chance;
  struct pl_buffer text;
  double density; ///< share of the settings that are given
  double absurd;  ///< share of the texts that are of absurd length
};

static bool happens(struct maker *maker, double share) {
  return pl_chance_between(&maker->chance, 0, 1) < share;
}

static size_t up_to(struct maker *maker, size_t most) {
  return (size_t)pl_chance_between(&maker->chance, 0, (double)most + 0.999);
}

// ---------------------------------------------------------------- making setups up

/// Words, or one endless word.
static void add_words(struct maker *maker, size_t length) {
  static const char *const letters[] = {"a", "m", "i", "W", "é", "Ấ",
                                        "ж", "7", "-", "Ω", "q", "j"};
  const bool blanks = happens(maker, 0.7);
  pl_buffer_text(&maker->text, "\"");
  for (size_t i = 0; i < length; i++) {
    const bool blank = blanks && i % 7 == 6 && i + 1 < length;
    pl_buffer_text(&maker->text,
                   blank ? " " : letters[up_to(maker, sizeof letters / sizeof letters[0] - 1)]);
  }
  pl_buffer_text(&maker->text, "\"");
}

static void add_text(struct maker *maker, size_t most) {
  add_words(maker, 1 + up_to(maker, happens(maker, maker->absurd) ? most : 16));
}

static void add_number(struct maker *maker, const struct pl_setting_row *row) {
  const double least = isnan(row->least) ? 1 : row->least;
  const double greatest = isnan(row->greatest) ? least + 9 : row->greatest;
  const double value = pl_chance_between(&maker->chance, least, greatest);
  pl_buffer_format(&maker->text, "%.*f %s", row->type == PL_TYPE_COUNT ? 0 : row->digits, value,
                   row->of);
}

static void add_part(struct maker *maker, const struct pl_setting_row *row) {
  if (strcmp(row->of, "spring") == 0) {
    pl_buffer_format(&maker->text, "%.2f N/mm", pl_chance_between(&maker->chance, 0.1, 3));
  } else if (strcmp(row->of, "oil") == 0) {
    pl_buffer_format(&maker->text, "%.0f cSt", pl_chance_between(&maker->chance, 100, 900));
  } else if (strcmp(row->of, "piston") == 0) {
    pl_buffer_format(&maker->text, "%zu x 1.%zu mm + 1 x 1.1 mm", 1 + up_to(maker, 4),
                     up_to(maker, 9));
  } else {
    pl_buffer_format(&maker->text, "\"d\"");
  }
}

static void add_value(struct maker *maker, const struct pl_setting_row *row) {
  switch (row->type) {
  case PL_TYPE_NUMBER:
  case PL_TYPE_COUNT: add_number(maker, row); break;
  case PL_TYPE_TEXT:
    add_text(maker, strcmp(row->key, "notes") == 0 ? 3000 : up_to(maker, 10) == 0 ? 900 : 80);
    break;
  case PL_TYPE_CHOICE: pl_buffer_add(&maker->text, row->of, strcspn(row->of, "|")); break;
  case PL_TYPE_DATE: pl_buffer_format(&maker->text, "2026-0%zu-14", 1 + up_to(maker, 8)); break;
  case PL_TYPE_POINT:
  case PL_TYPE_HOLE:
    pl_buffer_format(&maker->text, "(%zu mm, %zu.5 mm)", 20 + up_to(maker, 60),
                     10 + up_to(maker, 60));
    break;
  default: add_part(maker, row); break;
  }
}

static void add_property(struct maker *maker, const struct pl_setting_row *row) {
  pl_buffer_format(&maker->text, "%s = ", row->key);
  add_value(maker, row);
}

/// A setting of a corner or an axle: once, by axle or place by place.
static void add_placed(struct maker *maker, const struct pl_setting_row *row) {
  static const char *const scopes[] = {"all",         "front",     "rear",      "front-left",
                                       "front-right", "rear-left", "rear-right"};
  const size_t way = up_to(maker, 2);
  const bool corner = row->scope == PL_SCOPE_CORNER;
  const size_t first = way == 0 ? 0 : way == 1 || !corner ? 1 : 3;
  const size_t last = way == 0 ? 0 : way == 1 || !corner ? 2 : 6;
  for (size_t i = first; i <= last; i++) {
    pl_buffer_format(&maker->text, "  %s { ", scopes[i]);
    add_property(maker, row);
    pl_buffer_text(&maker->text, " }\n");
  }
}

static bool is_drawn(const struct pl_setting_row *row) {
  if (row->owner != PL_BLOCK_SETUP || row->type == PL_TYPE_HOLES) return false;
  // A car and an oil scale are blocks of their own.
  return strcmp(row->of, "car") != 0 && strcmp(row->of, "oil-scale") != 0;
}

static void add_unnamed(struct maker *maker) {
  const size_t pieces = happens(maker, maker->absurd) ? 40 : up_to(maker, 1);
  for (size_t i = 0; i < pieces; i++)
    pl_buffer_format(
        &maker->text,
        "  ballast \"piece %zu of lead\" { mass = %zu g; at = (10 mm, 0 mm, 5 mm) }\n", i,
        1 + up_to(maker, 40));
  pl_buffer_text(&maker->text, "  extra {\n");
  for (size_t i = 0; i < up_to(maker, 8); i++) {
    pl_buffer_format(
        &maker->text, "    \"%zu %.*s\" = ", i, (int)up_to(maker, 78),
        "a very long name of something that no key of the language covers at all ok");
    add_text(maker, 80);
    pl_buffer_text(&maker->text, "\n");
  }
  pl_buffer_text(&maker->text, "  }\n");
}

/// Templates that put everything into the full list, or into narrow columns.
static void add_templates(struct maker *maker) {
  pl_buffer_text(&maker->text,
                 "template \"list\" { margin = 9 mm; rest { } }\n"
                 "template \"narrow\" {\n  margin = 9 mm\n"
                 "  section \"" LONG_TITLE "\" { columns = 6; show = [extras, ballast");
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner == PL_BLOCK_SETUP)
      pl_buffer_format(&maker->text, ", %s", pl_settings[i].key);
  }
  for (int i = 0; i < PL_FIGURE_COUNT; i++)
    pl_buffer_format(&maker->text, ", figure.%s", pl_figure_rows[i].key);
  pl_buffer_text(&maker->text, "] }\n}\n");
}

static const char *make_setup(struct pl_arena *arena, uint64_t seed) {
  struct maker maker = {.chance = {.state = seed}, .text = {.arena = arena}};
  maker.density = seed % 5 == 0 ? 0.05 : seed % 5 == 1 ? 1 : 0.6;
  maker.absurd = seed % 3 == 0 ? 0.6 : 0.05;
  pl_buffer_text(&maker.text, "damper \"d\" { bore = 13 mm; shaft = 3 mm; stroke = 25 mm; "
                              "extended-length = 90 mm }\nsetup ");
  add_words(&maker, 1 + up_to(&maker, happens(&maker, 0.3) ? 300 : 30));
  pl_buffer_text(&maker.text, " {\n");
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (!is_drawn(row) || !happens(&maker, maker.density)) continue;
    if (row->scope == PL_SCOPE_CAR) {
      pl_buffer_text(&maker.text, "  ");
      add_property(&maker, row);
      pl_buffer_text(&maker.text, "\n");
    } else {
      add_placed(&maker, row);
    }
  }
  add_unnamed(&maker);
  pl_buffer_text(&maker.text, "}\n");
  add_templates(&maker);
  return pl_buffer_string(&maker.text);
}

// ---------------------------------------------------------------- looking at the paper

/// The text without its blanks, as lines are broken there; with a hyphen for the minus sign,
/// which negative numbers have only on paper.
static char *squeeze(struct pl_arena *arena, const char *text) {
  const char *const whole = pl_text_normalise(arena, text);
  char *const out = pl_alloc(arena, strlen(whole) + 1);
  size_t length = 0;
  for (const char *next = whole; *next != '\0'; next++) {
    if (strncmp(next, "−", strlen("−")) == 0) {
      out[length++] = '-';
      next += strlen("−") - 1;
    } else if (*next != ' ' && *next != '\n') {
      out[length++] = *next;
    }
  }
  return out;
}

/// All texts of the paper, squeezed, in their order.
struct words {
  char **items;
  size_t count;
};

static struct words words_of(struct pl_arena *arena, const struct pl_paper *paper) {
  struct words words = {.items = NULL};
  size_t capacity = 0;
  for (size_t page = 0; page < paper->page_count; page++) {
    for (size_t i = 0; i < paper->pages[page]->count; i++) {
      const struct pl_mark *const mark = &paper->pages[page]->marks[i];
      if (mark->kind != PL_MARK_TEXT) continue;
      words.items = pl_grow(arena, (void *)words.items, words.count, &capacity, sizeof(char *));
      words.items[words.count++] = squeeze(arena, mark->text);
    }
  }
  return words;
}

/// Is the text on the paper: whole within one text, or as lines that follow each other (a
/// page's end and what stands beside it may come between)?
static bool is_on_paper(struct pl_arena *arena, const struct words *words, const char *text) {
  const char *const whole = squeeze(arena, text);
  const size_t length = strlen(whole);
  // reached[n]: lines so far make up the first n bytes.
  bool *const reached = pl_alloc(arena, length + 1);
  reached[0] = true;
  for (size_t i = 0; i < words->count; i++) {
    const char *const word = words->items[i];
    const size_t size = strlen(word);
    if (strncmp(word, whole, length) == 0) return true;
    for (size_t from = length; size > 0 && from-- > 0;) {
      if (!reached[from]) continue;
      // Behind the last line there may be more: a unit.
      if (from > 0 && strncmp(word, whole + from, length - from) == 0) return true;
      if (from + size <= length && strncmp(word, whole + from, size) == 0)
        reached[from + size] = true;
    }
  }
  return reached[length];
}

/// On a `foreign` sheet, in another language, the words that a setting chooses from have
/// others.
static void check_settings(struct pl_arena *arena, const struct pl_setup *setup,
                           const struct words *words, enum pl_unit_system system, bool foreign,
                           uint64_t seed) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const enum pl_setting setting = (enum pl_setting)i;
    if (pl_settings[i].owner != PL_BLOCK_SETUP) continue;
    if (foreign && pl_settings[i].type == PL_TYPE_CHOICE) continue;
    const enum pl_scope scope = pl_settings[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      const struct pl_resolved *const resolved =
          pl_setup_get(setup, setting, (enum pl_place)place);
      if (!resolved->given || resolved->value.kind == PL_VALUE_NONE) continue;
      const struct pl_printed printed =
          pl_print_setting(arena, setting, &resolved->value, system);
      if (!is_on_paper(arena, words, printed.text))
        fail_msg("seed %u: `%s` = \"%s\" is not on the paper", (unsigned)seed,
                 pl_settings[i].key, printed.text);
    }
  }
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) {
    const char *const text = pl_value_text(arena, &extras[i].at[PL_CAR].value);
    if (!is_on_paper(arena, words, extras[i].name) || !is_on_paper(arena, words, text))
      fail_msg("seed %u: the extra \"%s\" is not on the paper", (unsigned)seed, extras[i].name);
  }
}

static void check_figures(struct pl_arena *arena, struct pl_figures *figures,
                          const struct words *words, enum pl_unit_system system, bool foreign,
                          uint64_t seed) {
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (foreign && strchr(pl_figure_rows[i].unit, '|') != NULL) continue;
    const enum pl_scope scope = pl_figure_rows[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, (enum pl_figure)i, (enum pl_place)place);
      if (!value->present) continue;
      const struct pl_printed printed =
          pl_print_figure(arena, (enum pl_figure)i, value->value, system);
      if (!is_on_paper(arena, words, printed.text))
        fail_msg("seed %u: the figure `%s` is not on the paper", (unsigned)seed,
                 pl_figure_rows[i].key);
    }
  }
}

/// What the base had, where it differs.
static void check_changes(struct pl_arena *arena, const struct pl_comparison *comparison,
                          const struct words *words, uint64_t seed) {
  for (size_t i = 0; comparison != NULL && i < comparison->setting_count; i++) {
    const struct pl_change *const change = &comparison->changes[i];
    if (!is_on_paper(arena, words, change->before))
      fail_msg("seed %u: what `%s` was is not on the paper: \"%s\"", (unsigned)seed,
               change->name, change->before);
  }
}

// ---------------------------------------------------------------- tests

/// A made-up setup and its base, with what both take.
struct made {
  const struct pl_setup *setup;
  struct pl_sheet_request request;
};

static struct made make(struct pl_bench *bench, uint64_t seed) {
  const char *const text = make_setup(bench->arena, seed);
  const char *const base_text = make_setup(bench->arena, seed * 7 + 1);
  struct pl_program *const base_program = pl_program_of_source(
      bench->session, bench->arena,
      pl_source_of_bytes(bench->arena, "base.leaf", (const unsigned char *)base_text,
                         strlen(base_text)),
      ".");
  struct made made = {.setup = pl_bench_setup(bench, text)};
  const struct pl_setup *const before = pl_program_setup(base_program, NULL);
  assert_non_null(made.setup);
  assert_non_null(before);
  const enum pl_unit_system system = seed % 4 == 3 ? PL_IMPERIAL : PL_METRIC;
  struct pl_figures *const base = seed % 2 == 0 ? NULL : pl_figures_new(before, NULL);
  struct pl_figures *const figures = pl_figures_new(made.setup, base);
  made.request = (struct pl_sheet_request){
      .figures = figures,
      .base = base,
      .comparison = base == NULL ? NULL : pl_compare(bench->arena, base, figures, system),
      .template_count = 1,
      .paper = seed % 3 == 0 ? PL_LETTER : PL_A4,
      .system = system,
      .version = "0"};
  return made;
}

static const struct pl_paper *draw(struct pl_bench *bench, const struct made *made,
                                   uint64_t seed) {
  struct pl_diagnostics *const problems = pl_diagnostics_new(bench->arena);
  const struct pl_paper *const paper = pl_sheet_new(bench->arena, &made->request, problems);
  assert_int_equal(problems->errors, 0);
  assert_non_null(paper);
  for (size_t i = 0; i < paper->page_count; i++)
    pl_check_page(paper->pages[i], MARGIN, pl_format(bench->arena, "seed %u", (unsigned)seed));
  return paper;
}

static void check_sheet(struct pl_bench *bench, uint64_t seed) {
  struct made made = make(bench, seed);
  const struct pl_template_choice wanted = {.name = seed % 7 == 0   ? "list"
                                                    : seed % 7 == 1 ? "narrow"
                                                                    : NULL};
  made.request.templates = &wanted;
  made.request.direction = seed % 10 == 9 ? PL_LANDSCAPE : PL_PORTRAIT;
  const struct pl_paper *const paper = draw(bench, &made, seed);
  const struct words words = words_of(bench->arena, paper);
  const enum pl_unit_system system = made.request.system;
  assert_true(is_on_paper(bench->arena, &words, pl_setup_name(made.setup)));
  if (seed % 7 == 1) assert_true(is_on_paper(bench->arena, &words, LONG_TITLE));
  check_settings(bench->arena, made.setup, &words, system, false, seed);
  check_figures(bench->arena, made.request.figures, &words, system, false, seed);
  check_changes(bench->arena, made.request.comparison, &words, seed);
}

// ---------------------------------------------------------------- the other pages

/// What a build sheet shows of each corner is on it.
static void check_build(struct pl_bench *bench, const struct made *made,
                        const struct pl_paper *paper, uint64_t seed) {
  static const enum pl_setting shown[] = {
      PL_SETTING_PISTON,      PL_SETTING_OIL,     PL_SETTING_SPRING, PL_SETTING_LIMITER,
      PL_SETTING_BUMP_SPACER, PL_SETTING_PRELOAD, PL_SETTING_COLLAR};
  const struct words words = words_of(bench->arena, paper);
  for (size_t i = 0; i < sizeof shown / sizeof shown[0]; i++) {
    for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
      const struct pl_resolved *const resolved =
          pl_setup_get(made->setup, shown[i], (enum pl_place)place);
      if (!resolved->given || resolved->value.kind == PL_VALUE_NONE) continue;
      const struct pl_printed printed =
          pl_print_setting(bench->arena, shown[i], &resolved->value, made->request.system);
      if (!is_on_paper(bench->arena, &words, printed.text))
        fail_msg("seed %u: `%s` = \"%s\" is not on the build sheet", (unsigned)seed,
                 pl_settings[shown[i]].key, printed.text);
    }
  }
}

/// Every change is told at the foot. Its words may stand in the middle of a line, and their
/// lines be parted by what stands beside them or by a page's end, so that the last word of each
/// is looked for.
static void check_sentences(struct pl_arena *arena, const struct pl_comparison *comparison,
                            const struct pl_paper *paper, uint64_t seed) {
  struct pl_buffer all = {.arena = arena};
  const struct words words = words_of(arena, paper);
  for (size_t i = 0; i < words.count; i++) pl_buffer_text(&all, words.items[i]);
  for (size_t i = 0; comparison != NULL && i < comparison->setting_count; i++) {
    const struct pl_change *const change = &comparison->changes[i];
    const char *const text = change->after[0] == '\0' ? change->before : change->after;
    const size_t length = strlen(text);
    size_t start = length > 6 ? length - 6 : 0;
    while (((unsigned char)text[start] & 0xC0) == 0x80) start++;
    if (strstr(pl_buffer_string(&all), squeeze(arena, text + start)) == NULL)
      fail_msg("seed %u: that `%s` changed is not told", (unsigned)seed, change->name);
  }
}

/// A plot shows nothing of what has no key, but the lists behind it and the names do.
static void check_other(struct pl_bench *bench, uint64_t seed) {
  static const char *const names[] = {"curves", "build sheet", "blank form", "drop", "bump"};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    struct made made = make(bench, seed);
    const struct pl_template_choice wanted = {.name = names[i]};
    made.request.templates = &wanted;
    made.request.direction = (seed + i) % 3 == 0 ? PL_LANDSCAPE : PL_PORTRAIT;
    const struct pl_paper *const paper = draw(bench, &made, seed);
    const struct words words = words_of(bench->arena, paper);
    if (i < 2) {
      assert_true(is_on_paper(bench->arena, &words, pl_setup_name(made.setup)));
      check_sentences(bench->arena, made.request.comparison, paper, seed);
    }
    if (i == 1) check_build(bench, &made, paper, seed);
  }
}

static void the_other_pages_keep_to_the_paper(struct pl_bench *bench) {
  for (uint64_t seed = 0; seed < 60; seed++) check_other(bench, seed);
}

// ---------------------------------------------------------------- other languages

/// All pages of a language: longer words, other letters.
static void check_language(struct pl_bench *bench, const char *language, uint64_t seed) {
  static const char *const files[] = {"race-sheet", "build-sheet", "curves",
                                      "blank-form", "drop",        "bump"};
  for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
    struct made made = make(bench, seed);
    struct pl_program *const program =
        pl_program_load(bench->session, bench->arena,
                        pl_format(bench->arena, "%s/sheets/languages/%s/%s.leaf",
                                  pl_test_root(), language, files[i]));
    const struct pl_template_choice wanted = {.name = pl_template_only(program),
                                              .program = program};
    made.request.templates = &wanted;
    made.request.direction = (seed + i) % 5 == 0 ? PL_LANDSCAPE : PL_PORTRAIT;
    const struct pl_paper *const paper = draw(bench, &made, seed);
    const struct words words = words_of(bench->arena, paper);
    if (i != 0) continue;
    check_settings(bench->arena, made.setup, &words, made.request.system, true, seed);
    check_figures(bench->arena, made.request.figures, &words, made.request.system, true, seed);
  }
}

static void german_pages_keep_to_the_paper(struct pl_bench *bench) {
  for (uint64_t seed = 0; seed < 60; seed++) check_language(bench, "german", seed);
}

static void ukrainian_pages_keep_to_the_paper(struct pl_bench *bench) {
  for (uint64_t seed = 0; seed < 60; seed++) check_language(bench, "ukrainian", seed);
}

static void random_setups(struct pl_bench *bench, uint64_t first, uint64_t count) {
  for (uint64_t seed = first; seed < first + count; seed++) check_sheet(bench, seed);
}

static void the_first_setups_keep_to_the_paper(struct pl_bench *bench) {
  random_setups(bench, 0, 100);
}

static void more_setups_keep_to_the_paper(struct pl_bench *bench) {
  random_setups(bench, 100, 100);
}

/// The check itself: what is not there is not found, what is broken over lines is.
static void the_search_tells_what_is_missing(struct pl_bench *bench) {
  struct pl_paper *const paper = pl_paper_new(bench->arena);
  struct pl_page *const page = pl_paper_page(paper, 210, 297);
  const struct pl_type type = {.size = 8};
  pl_draw_text(page, 20, 20, type, "front");
  pl_draw_text(page, 20, 30, type, "beside it");
  pl_draw_text(page, 20, 40, type, "wheel");
  const struct words words = words_of(bench->arena, paper);
  assert_true(is_on_paper(bench->arena, &words, "front wheel"));
  assert_false(is_on_paper(bench->arena, &words, "rear wheel"));
  assert_false(is_on_paper(bench->arena, &words, "front wheels"));
  assert_false(is_on_paper(bench->arena, &words, "wheel front"));
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(the_search_tells_what_is_missing),
                                     PL_BENCH_TEST(the_first_setups_keep_to_the_paper),
                                     PL_BENCH_TEST(more_setups_keep_to_the_paper),
                                     PL_BENCH_TEST(the_other_pages_keep_to_the_paper),
                                     PL_BENCH_TEST(german_pages_keep_to_the_paper),
                                     PL_BENCH_TEST(ukrainian_pages_keep_to_the_paper)};
  return cmocka_run_group_tests_name("room on sheets", tests, NULL, NULL);
}
