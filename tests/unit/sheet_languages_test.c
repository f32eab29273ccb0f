// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets in other languages: that nothing of the tables, of the program's own words and of the
// templates is left without a translation, and that no English is left on a sheet.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <ctype.h>
#include <string.h>

#include "sheet/room.h"
#include "support.h"

static const char *const words[PL_WORD_COUNT] = {
#define PL_WORD(id, text) text,
#include "sheet/words.def"
#undef PL_WORD
};

/// The pages that each language has, by their file and by the template that they start from.
static const char *const pages[][2] = {{"race-sheet", "race sheet"},
                                       {"build-sheet", "build sheet"},
                                       {"curves", "curves"},
                                       {"drop", "drop"},
                                       {"bump", "bump"},
                                       {"blank-form", "blank form"}};
#define PAGES (sizeof pages / sizeof pages[0])

static const char *path_of(struct pl_bench *bench, const char *rest) {
  return pl_format(bench->arena, "%s/sheets/%s", pl_test_root(), rest);
}

/// A page of the language that the test is about.
static struct pl_template_choice page_of(struct pl_bench *bench, size_t page) {
  struct pl_program *const program =
      pl_program_load(bench->session, bench->arena,
                      path_of(bench, pl_format(bench->arena, "languages/%s/%s.leaf",
                                               bench->subject, pages[page][0])));
  const struct pl_template_choice choice = {.name = pl_template_only(program),
                                            .program = program};
  assert_non_null(choice.name);
  return choice;
}

static const struct pl_template *template_of(struct pl_bench *bench,
                                             const struct pl_template_choice *choice) {
  struct pl_diagnostics *const problems = pl_diagnostics_new(bench->arena);
  const struct pl_template *const template =
      pl_template_read(bench->arena, choice, bench->program, problems);
  assert_non_null(template);
  assert_int_equal(problems->count, 0);
  return template;
}

// ---------------------------------------------------------------- translations

/// What a meeting and its entries say stands on paper as settings of the car do, or not at all;
/// a box and an aim are on no paper.
static bool is_printed(const struct pl_setting_row *row) {
  return row->owner != PL_BLOCK_MEETING && row->owner != PL_BLOCK_ENTRY &&
         row->owner != PL_BLOCK_BOX && row->owner != PL_BLOCK_AIM;
}

static void every_label_is_translated(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  for (size_t page = 0; page < PAGES; page++) {
    const struct pl_template_choice choice = page_of(bench, page);
    const struct pl_labels *const labels = &template_of(bench, &choice)->labels;
    for (int i = 0; i < PL_SETTING_COUNT; i++) {
      if (is_printed(&pl_settings[i]) && labels->of_setting[i] == NULL)
        fail_msg("%s: the setting `%s` has no label", bench->subject, pl_settings[i].key);
    }
    for (int i = 0; i < PL_FIGURE_COUNT; i++) {
      if (labels->of_figure[i] == NULL)
        fail_msg("%s: the figure `%s` has no label", bench->subject, pl_figure_rows[i].key);
    }
  }
}

static void every_word_is_translated(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  for (size_t page = 0; page < PAGES; page++) {
    const struct pl_template_choice choice = page_of(bench, page);
    const struct pl_template *const template = template_of(bench, &choice);
    for (size_t i = 0; i < PL_WORD_COUNT; i++) {
      if (template->words[i] == NULL)
        fail_msg("%s: \"%s\" has no translation", bench->subject, words[i]);
    }
  }
}

/// Compares titles, headings and items with those of the template that the page starts from.
static void compare_parts(const char *page, const struct pl_template_part *own,
                          const struct pl_template_part *english) {
  for (; english != NULL; own = own->next, english = english->next) {
    assert_non_null(own);
    if (english->title[0] != '\0' && strcmp(own->title, english->title) == 0)
      fail_msg("%s: the title \"%s\" has no translation", page, english->title);
    for (size_t i = 0; i < english->heading_count; i++) {
      if (strcmp(own->headings[i], english->headings[i]) == 0)
        fail_msg("%s: \"%s\" has no translation", page, english->headings[i]);
    }
    compare_parts(page, own->children, english->children);
  }
}

static void every_title_is_translated(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  for (size_t page = 0; page < PAGES; page++) {
    const struct pl_template_choice own = page_of(bench, page);
    const struct pl_template_choice english = {.name = pages[page][1]};
    compare_parts(pl_format(bench->arena, "%s, %s", bench->subject, pages[page][0]),
                  template_of(bench, &own)->parts, template_of(bench, &english)->parts);
  }
}

// ---------------------------------------------------------------- what there is to translate

static bool is_word(const char *text) {
  for (size_t i = 0; i < PL_WORD_COUNT; i++) {
    if (strcmp(words[i], text) == 0) return true;
  }
  return false;
}

static void no_word_stands_twice(struct pl_bench *bench) {
  (void)bench;
  for (size_t i = 0; i < PL_WORD_COUNT; i++) {
    for (size_t j = i + 1; j < PL_WORD_COUNT; j++) assert_string_not_equal(words[i], words[j]);
  }
}

static void check_choices(struct pl_arena *arena, const char *key, const char *choices) {
  for (const char *at = choices; *at != '\0'; at += strspn(at, "|")) {
    const size_t length = strcspn(at, "|");
    const char *const choice = pl_copy_text(arena, at, length);
    if (!is_word(choice))
      fail_msg("`%s` of `%s` stands on paper, and is not in words.def", choice, key);
    at += length;
  }
}

static void the_words_of_choices_are_words_of_the_sheet(struct pl_bench *bench) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].type == PL_TYPE_CHOICE && is_printed(&pl_settings[i]))
      check_choices(bench->arena, pl_settings[i].key, pl_settings[i].of);
  }
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (strchr(pl_figure_rows[i].unit, '|') != NULL)
      check_choices(bench->arena, pl_figure_rows[i].key, pl_figure_rows[i].unit);
  }
}

/// Does a word begin so? What `format` prints stands for anything.
static bool fits(const char *word, const char *format) {
  for (; *format != '\0'; word++, format++) {
    if (format[0] == '%' && format[1] != '%') {
      format += strcspn(format, "sfd") + 1;
      do {
        if (fits(word, format)) return true;
      } while (*word++ != '\0');
      return false;
    }
    if (format[0] == '%') format++;
    if (*word != *format) return false;
  }
  return *word == '\0';
}

/// The text between quotes from `at` on, over several lines, or null if there is none before
/// the call ends.
static const char *quoted_text(struct pl_arena *arena, const char *at) {
  struct pl_buffer text = {.arena = arena};
  const char *const end = strchr(at, ';');
  at = strchr(at, '"');
  if (at == NULL || end == NULL || at > end) return NULL;
  while (*at == '"') {
    const size_t length = strcspn(at + 1, "\"");
    pl_buffer_add(&text, at + 1, length);
    at += length + 2;
    at += strspn(at, " \n");
  }
  return pl_buffer_string(&text);
}

/// Each text that a call of `function` in the file gives away.
static size_t check_notes(struct pl_bench *bench, const char *file, const char *function) {
  size_t length = 0;
  size_t count = 0;
  const char *at = pl_test_read(bench->arena, file, &length);
  assert_non_null(at);
  while ((at = strstr(at, function)) != NULL) {
    at += strlen(function);
    const char *const text = quoted_text(bench->arena, at);
    if (text == NULL) continue;
    size_t which = 0;
    while (which < PL_WORD_COUNT && !fits(words[which], text)) which++;
    if (which == PL_WORD_COUNT)
      fail_msg("%s: the note \"%s\" stands on paper, and is not in words.def", file, text);
    count++;
  }
  return count;
}

static void the_notes_of_figures_are_words_of_the_sheet(struct pl_bench *bench) {
  static const char *const calls[] = {" note(work,", " warn(work,", " warn(reading->work,"};
  const char *const folder = pl_format(bench->arena, "%s/src/figures", pl_test_root());
  struct pl_test_names names = pl_test_names_in(folder, ".c");
  size_t count = 0;
  for (size_t i = 0; i < names.count; i++) {
    const char *const file = pl_format(bench->arena, "%s/%s", folder, names.names[i]);
    for (size_t j = 0; j < sizeof calls / sizeof calls[0]; j++)
      count += check_notes(bench, file, calls[j]);
  }
  pl_test_names_free(&names);
  assert_true(count > 15);
}

// ---------------------------------------------------------------- a sheet

/// What is not to stand on a sheet.
struct search {
  const struct pl_paper *paper;
  const struct pl_template *template;
  const char *language;
};

/// Does the other language have this word too? "Spur" is a gear, and German for toe.
static bool is_own_label(const struct pl_template *template, const char *text) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (is_printed(&pl_settings[i]) && strcmp(template->labels.of_setting[i], text) == 0)
      return true;
  }
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    if (strcmp(template->labels.of_figure[i], text) == 0) return true;
  }
  return false;
}

static struct pl_figures *figures_of(struct pl_bench *bench, const char *file,
                                     struct pl_figures *base) {
  struct pl_program *const program =
      pl_program_load(bench->session, bench->arena, path_of(bench, file));
  return pl_figures_new(pl_program_setup(program, NULL), base);
}

/// The demo, marked against its base.
static const struct pl_paper *demo_of(struct pl_bench *bench,
                                      const struct pl_template_choice *choice) {
  struct pl_figures *const base = figures_of(bench, "cars/plover/baseline.leaf", NULL);
  struct pl_figures *const figures = figures_of(bench, "sluice-lane/plover-dry.leaf", base);
  const struct pl_sheet_request request = {
      .figures = figures,
      .base = base,
      .comparison = pl_compare(bench->arena, base, figures, PL_METRIC),
      .templates = choice,
      .template_count = 1,
      .system = PL_METRIC,
      .version = "0"};
  const struct pl_paper *const paper =
      pl_sheet_new(bench->arena, &request, pl_diagnostics_new(bench->arena));
  assert_non_null(paper);
  return paper;
}

static bool contains(const char *text, const char *part) {
  for (; *text != '\0'; text++) {
    size_t i = 0;
    while (part[i] != '\0' &&
           tolower((unsigned char)text[i]) == tolower((unsigned char)part[i]))
      i++;
    if (part[i] == '\0') return true;
  }
  return false;
}

/// An English text is on the paper: a word as a whole text, several words anywhere, since one
/// alone may be what somebody wrote in the setup.
static void assert_absent(const struct search *search, const char *english, const char *own) {
  if (strcmp(english, own) == 0 || is_own_label(search->template, english)) return;
  const bool several = strchr(english, ' ') != NULL;
  for (size_t page = 0; page < search->paper->page_count; page++) {
    for (size_t i = 0; i < search->paper->pages[page]->count; i++) {
      const struct pl_mark *const mark = &search->paper->pages[page]->marks[i];
      if (mark->kind != PL_MARK_TEXT) continue;
      if (several ? contains(mark->text, english) : strcmp(mark->text, english) == 0)
        fail_msg("%s: \"%s\" stands on the sheet in \"%s\"", search->language, english,
                 mark->text);
    }
  }
}

static void no_english_is_left_on_the_demo(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  for (size_t page = 0; page < PAGES; page++) {
    const struct pl_template_choice choice = page_of(bench, page);
    const struct pl_template *const template = template_of(bench, &choice);
    const struct search search = {
        .paper = demo_of(bench, &choice), .template = template, .language = bench->subject};
    for (int i = 0; i < PL_SETTING_COUNT; i++) {
      if (is_printed(&pl_settings[i]))
        assert_absent(&search, pl_settings[i].label, template->labels.of_setting[i]);
    }
    for (int i = 0; i < PL_FIGURE_COUNT; i++)
      assert_absent(&search, pl_figure_rows[i].label, template->labels.of_figure[i]);
    for (size_t i = 0; i < PL_WORD_COUNT; i++) {
      // What is filled in parts a text; "none" is also what somebody wrote in the setup.
      const bool whole = strchr(words[i], '{') == NULL && strcmp(words[i], "none") != 0;
      if (whole) assert_absent(&search, words[i], template->words[i]);
    }
  }
}

static void a_sentence_has_its_own_order(struct pl_bench *bench) {
  pl_bench_program(bench, "");
  const struct pl_template_choice choice = page_of(bench, 0);
  const char *const text = pl_paper_as_text(bench->arena, demo_of(bench, &choice));
  assert_non_null(strstr(text, "\"Vorspannung vorn 2.00 → 2.25 mm\""));
  assert_non_null(
      strstr(text, "\"Ballast: brass under the servo, neu: 25 g bei (85, 0, 6) mm\""));
  assert_non_null(strstr(text, "\"Loch 2\""));
  assert_non_null(strstr(text, "\"Feder tenth short 0.52\""));
}

// ---------------------------------------------------------------- the key `language`

static const struct pl_template *club(struct pl_bench *bench, const char *text) {
  const struct pl_template_choice choice = {.name = "club"};
  struct pl_program *const program = pl_bench_program(bench, text);
  return pl_template_read(bench->arena, &choice, program, pl_program_problems(program));
}

static void a_language_gives_labels_and_words_alone(struct pl_bench *bench) {
  const struct pl_template *const template = club(
      bench, "template \"old\" { labels { air = \"Luft\"; oil = \"Fett\" }; words { \"All\" = "
             "\"Alle\" } }\n"
             "template \"own\" from \"old\" { paper = letter; labels { oil = \"Öl\" }\n"
             "  words { \"Tyres\" = \"Reifen\"; \"Camber\" = \"Sturz\" }\n"
             "  section \"No part of it\" { show = [air] } }\n"
             "template \"club\" from \"race sheet\" {\n"
             "  language = \"own\"; labels { air = \"Lüfte\" } }\n");
  assert_problems(bench, "");
  assert_non_null(template);
  assert_string_equal(template->labels.of_setting[PL_SETTING_OIL], "Öl");
  assert_string_equal(template->labels.of_setting[PL_SETTING_AIR], "Lüfte");
  assert_string_equal(template->words[PL_WORD_ALL], "Alle");
  assert_true(template->paper == PL_A4);
  for (const struct pl_template_part *part = template->parts; part != NULL; part = part->next)
    assert_string_not_equal(part->title, "No part of it");
}

static void a_language_has_to_be_there(struct pl_bench *bench) {
  assert_null(club(bench, "template \"owm\" { }\n"
                          "template \"club\" { language = \"own\" }\n"));
  assert_problems(bench, "no-such-template");
  assert_non_null(strstr(pl_bench_shown(bench), "did you mean \"owm\"?"));
  assert_null(club(bench, "template \"club\" { language = own }\n"));
  assert_non_null(strstr(pl_bench_shown(bench),
                         "`language` wants the name of a template in quotes; not `own`."));
}

/// What no template says is a mistake, also where no page takes the language.
static void a_word_has_to_be_said_somewhere(struct pl_bench *bench) {
  assert_null(club(bench, "template \"club\" { words { \"Tires\" = \"Reifen\" } }\n"));
  assert_problems(bench, "unknown-word");
  assert_non_null(club(bench, "template \"club\" { words { \"Tyres\" = \"Reifen\" } }\n"));
  assert_null(club(bench, "template \"club\" { words { \"the temperature is {1} K outside the "
                          "oil's data\" = \"zu heiß\" } }\n"));
  assert_problems(bench, "wrong-kind");
}

int main(void) {
  static struct pl_bench_case of_languages[] = {
      {every_label_is_translated, "german"},      {every_label_is_translated, "ukrainian"},
      {every_word_is_translated, "german"},       {every_word_is_translated, "ukrainian"},
      {every_title_is_translated, "german"},      {every_title_is_translated, "ukrainian"},
      {no_english_is_left_on_the_demo, "german"}, {no_english_is_left_on_the_demo, "ukrainian"},
      {a_sentence_has_its_own_order, "german"}};
  const struct CMUnitTest others[] = {
      PL_BENCH_TEST(no_word_stands_twice),
      PL_BENCH_TEST(the_words_of_choices_are_words_of_the_sheet),
      PL_BENCH_TEST(the_notes_of_figures_are_words_of_the_sheet),
      PL_BENCH_TEST(a_language_gives_labels_and_words_alone),
      PL_BENCH_TEST(a_language_has_to_be_there),
      PL_BENCH_TEST(a_word_has_to_be_said_somewhere)};
  struct CMUnitTest tests[sizeof of_languages / sizeof of_languages[0]];
  for (size_t i = 0; i < sizeof tests / sizeof tests[0]; i++)
    tests[i] = (struct CMUnitTest){of_languages[i].subject, pl_bench_run, pl_bench_new,
                                   pl_bench_free, &of_languages[i]};
  const int failed = cmocka_run_group_tests_name("languages", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("what a language has to say", others, NULL, NULL);
}
