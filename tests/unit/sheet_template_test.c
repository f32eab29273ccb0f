// SPDX-License-Identifier: GPL-3.0-or-later
// Page templates: what they change, and what is said about their mistakes.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <string.h>

#include "paper.h"
#include "support.h"

static const char setup[] = "setup \"Spring tide\" {\n"
                            "  all { spring = 0.62 N/mm; oil = 350 cSt; preload = 2 mm }\n"
                            "  pinion = 24; motor = \"short can\"\n"
                            "}\n";

/// The sheet of the setup with a template of that name; the text has the template.
static const struct pl_paper *sheet_with(struct pl_bench *bench, const char *text,
                                         const char *name) {
  struct pl_program *const program =
      pl_bench_program(bench, pl_format(bench->arena, "%s%s", setup, text));
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, NULL), NULL);
  const struct pl_template_choice wanted = {.name = name};
  const struct pl_sheet_request request = {
      .figures = figures, .templates = &wanted, .template_count = 1, .version = "0"};
  return pl_sheet_new(bench->arena, &request, pl_program_problems(program));
}

static void check_one(void *context, const struct pl_block *block, bool in_main) {
  (void)in_main;
  struct pl_bench *const bench = context;
  pl_template_check(bench->program, block, pl_program_problems(bench->program));
}

/// Checks all templates of a text without drawing anything; there must be one.
static void check_templates(struct pl_bench *bench, const char *text) {
  struct pl_program *const program = pl_bench_program(bench, text);
  assert_true(strstr(text, "\ntemplate \"") != NULL || strncmp(text, "template \"", 10) == 0);
  pl_program_each(program, PL_BLOCK_TEMPLATE, check_one, bench);
}

static void assert_mistake(struct pl_bench *bench, const char *text, const char *shown) {
  assert_null(sheet_with(bench, text, "club"));
  const char *const all = pl_bench_shown(bench);
  if (strstr(all, shown) == NULL) fail_msg("\"%s\" is not in:\n%s", shown, all);
}

// ---------------------------------------------------------------- what templates do

static void the_built_in_one_needs_no_file(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(bench, "", NULL);
  assert_non_null(paper);
  assert_problems(bench, "");
  assert_int_equal(pl_count_texts(paper, "short can"), 1);
  assert_true(paper->pages[0]->width == 210 && paper->pages[0]->height == 297);
  assert_string_equal(paper->title, "Spring tide");
  assert_int_equal(paper->outline_count, 1);
}

static void a_club_changes_what_it_names(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_with(bench,
                 "let rows = 3\n"
                 "template \"club\" from \"race sheet\" {\n"
                 "  paper = letter\n"
                 "  section \"Electrics\" { show = [] }\n"
                 "  section \"Motor\" { show = [motor] }\n"
                 "  runs { lines = rows; headings = [\"Marshal\"] }\n"
                 "}\n",
                 "club");
  assert_problems(bench, "");
  assert_non_null(paper);
  assert_true(paper->pages[0]->width == 215.9);
  assert_int_equal(pl_count_texts(paper, "Marshal"), 1);
  assert_int_equal(pl_count_texts(paper, "Best lap"), 0);
  assert_int_equal(pl_count_texts(paper, "Electrics"), 0);
  assert_int_equal(pl_count_texts(paper, "short can"), 1);
  assert_int_equal(pl_count_texts(paper, "24"), 1);
}

static void a_template_of_the_same_name_goes_before(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_with(bench,
                 "template \"race sheet\" from \"race sheet\" {\n"
                 "  runs { headings = [\"Marshal\"] }\n"
                 "}\n",
                 NULL);
  assert_problems(bench, "");
  assert_non_null(paper);
  assert_int_equal(pl_count_texts(paper, "Marshal"), 1);
}

static void what_no_part_names_stands_in_the_rest(struct pl_bench *bench) {
  const struct pl_paper *const bare =
      sheet_with(bench, "template \"club\" { section \"A\" { show = [pinion] } }\n", "club");
  assert_non_null(bare);
  assert_int_equal(pl_count_texts(bare, "24"), 1);
  assert_int_equal(pl_count_texts(bare, "short can"), 0);
  const struct pl_paper *const whole = sheet_with(
      bench, "template \"club\" { section \"A\" { show = [pinion] }\n rest { } }\n", "club");
  assert_non_null(whole);
  assert_int_equal(pl_count_texts(whole, "24"), 1);
  assert_int_equal(pl_count_texts(whole, "short can"), 1);
}

static void a_measure_takes_names_of_figures_too(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(
      bench, "template \"club\" { plan { measure = [figure.corner-mass] } }\n", "club");
  assert_problems(bench, "");
  assert_non_null(paper);
  assert_int_equal(pl_count_texts(paper, "Corner mass"), 4);
}

static void labels_are_a_templates_own_words(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_with(bench,
                 "template \"club\" from \"race sheet\" {\n"
                 "  labels { pinion = \"Small gear\"; oil-viscosity = \"Today\" }\n}\n",
                 "club");
  assert_problems(bench, "");
  assert_non_null(paper);
  assert_int_equal(pl_count_texts(paper, "Small gear"), 1);
  assert_int_equal(pl_count_texts(paper, "Pinion"), 0);
  assert_int_equal(pl_count_texts(paper, "Today"), 2);
}

/// The files themselves, not what was built from them.
static void every_template_file_is_free_of_mistakes(struct pl_bench *bench) {
  const char *const folder = pl_format(bench->arena, "%s/templates", pl_test_root());
  struct pl_test_names names = pl_test_names_in(folder, ".leaf");
  assert_true(names.count > 0);
  for (size_t i = 0; i < names.count; i++) {
    size_t length = 0;
    const char *const text = pl_test_read(
        bench->arena, pl_format(bench->arena, "%s/%s", folder, names.names[i]), &length);
    assert_non_null(text);
    check_templates(bench, text);
    if (strcmp(pl_bench_problems(bench), "") != 0)
      fail_msg("%s:\n%s", names.names[i], pl_bench_shown(bench));
  }
  pl_test_names_free(&names);
}

// ---------------------------------------------------------------- mistakes

static void an_unknown_template(struct pl_bench *bench) {
  assert_null(sheet_with(bench, "", "race shet"));
  assert_problems(bench, "no-such-template");
  const char *const shown = pl_bench_shown(bench);
  assert_non_null(strstr(shown, "There is no template \"race shet\"."));
  assert_non_null(strstr(shown, "did you mean \"race sheet\"?"));
}

static void an_unknown_base(struct pl_bench *bench) {
  assert_mistake(bench, "template \"club\" from \"race sheets\" { }\n",
                 "did you mean \"race sheet\"?");
  assert_problems(bench, "unknown-base");
}

static void a_circle(struct pl_bench *bench) {
  assert_mistake(bench,
                 "template \"club\" from \"other\" { }\ntemplate \"other\" from \"club\" { }\n",
                 "start from each other");
  assert_problems(bench, "from-circle");
}

static void an_unknown_key(struct pl_bench *bench) {
  assert_mistake(bench, "template \"club\" { papers = a4 }\n", "did you mean `paper`?");
  assert_problems(bench, "unknown-key");
  assert_mistake(bench, "template \"club\" { runs { colour = 3 } }\n",
                 "its keys are `lines`, `headings`");
}

static void an_unknown_block(struct pl_bench *bench) {
  assert_mistake(bench, "template \"club\" { sections \"A\" { } }\n",
                 "did you mean `section`?");
  assert_problems(bench, "unknown-block");
  assert_mistake(bench, "template \"club\" { plan { section \"A\" { } } }\n",
                 "has no block `section`");
}

static void an_unknown_setting(struct pl_bench *bench) {
  assert_mistake(bench, "template \"club\" { section \"A\" { show = [ride-heigth] } }\n",
                 "test.leaf:5:41: error[unknown-key]: No setting and no figure is called");
  assert_non_null(strstr(pl_bench_shown(bench), "did you mean `ride-height`?"));
}

static void a_section_without_a_name(struct pl_bench *bench) {
  assert_mistake(bench, "template \"club\" { section { show = [pinion] } }\n", "has no name");
  assert_problems(bench, "needs-name");
}

static void values_of_the_wrong_kind(struct pl_bench *bench) {
  static const struct {
    const char *text;
    const char *shown;
  } cases[] = {
      {"paper = 3", "`paper` wants `a4` or `letter`; not `3`."},
      {"margin = 80 mm", "`margin` wants a length from 4 mm to 30 mm; not `80 mm`."},
      {"margin = [\"one and another\", \"two and another\",\n  \"three and another\", \"four\"]",
       "`margin` wants a length from 4 mm to 30 mm; not `[\"one and another\", \"two and "
       "another\", \"three and another\", …`."},
      {"margin = 9", "`margin` wants a length from 4 mm to 30 mm; not `9`."},
      {"heading = car", "`heading` wants a list of settings and figures in [ ]; not `car`."},
      {"runs { lines = 2.5 }", "`lines` wants a whole number from 0 to 60; not `2.5`."},
      {"runs { headings = [run] }",
       "`headings` wants a list of up to 12 short texts; not `[run]`."},
      {"section \"A\" { columns = 9 }", "`columns` wants a whole number from 1 to 6; not `9`."},
      {"plan { group \"A\" { column = 4 } }",
       "`column` wants a whole number from 1 to 3; not `4`."},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    assert_mistake(bench, pl_format(bench->arena, "template \"club\" { %s }\n", cases[i].text),
                   cases[i].shown);
    assert_problems(bench, "wrong-kind");
  }
}

static void a_title_without_end(struct pl_bench *bench) {
  struct pl_buffer title = {.arena = bench->arena};
  pl_buffer_repeat(&title, 'x', 301);
  assert_mistake(bench,
                 pl_format(bench->arena, "template \"club\" { section \"%s\" { } }\n",
                           pl_buffer_string(&title)),
                 "`section` wants a name of up to 300 bytes");
}

static void a_key_given_twice(struct pl_bench *bench) {
  assert_mistake(bench, "template \"club\" { paper = a4; paper = letter }\n", "given twice");
  assert_problems(bench, "given-twice");
}

static void a_label_wants_a_known_key_and_a_text(struct pl_bench *bench) {
  assert_mistake(bench, "template \"club\" { labels { pinnion = \"Small gear\" } }\n",
                 "did you mean `pinion`?");
  assert_problems(bench, "unknown-key");
  assert_mistake(bench, "template \"club\" { labels { pinion = 24 } }\n",
                 "`pinion` wants a short text in quotes, and another for sentences behind "
                 "it if need be; not `24`.");
}

static void a_check_finds_mistakes_without_a_sheet(struct pl_bench *bench) {
  check_templates(bench,
                  "let rows = 2.5\n"
                  "template \"base\" { section \"A\" { show = [ride-heigth] } }\n"
                  "template \"club\" from \"base\" { runs { lines = rows }; papers = a4 }\n");
  // What "club" starts from has been told already.
  assert_problems(bench, "unknown-key wrong-kind unknown-key");
}

static void all_mistakes_are_told_at_once(struct pl_bench *bench) {
  assert_null(sheet_with(
      bench, "template \"club\" { papers = a4; margin = 1 m; heading = [carr, clas] }\n",
      "club"));
  assert_problems(bench, "unknown-key wrong-kind unknown-key unknown-key");
}

// ---------------------------------------------------------------- characters

static void a_character_that_the_font_lacks(struct pl_bench *bench) {
  struct pl_program *const program = pl_bench_program(
      bench, "setup \"Spring tide\" {\n  motor = \"short \xE7\x9F\xAD can\"\n}\n");
  const struct pl_sheet_request request = {
      .figures = pl_figures_new(pl_program_setup(program, NULL), NULL), .version = "0"};
  assert_null(pl_sheet_new(bench->arena, &request, pl_program_problems(program)));
  assert_problems(bench, "no-glyph");
  const char *const shown = pl_bench_shown(bench);
  assert_non_null(strstr(shown, "test.leaf:2:"));
  assert_non_null(strstr(shown, "no character U+77ED, which stands in `Motor`"));
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(the_built_in_one_needs_no_file),
                                     PL_BENCH_TEST(a_club_changes_what_it_names),
                                     PL_BENCH_TEST(a_template_of_the_same_name_goes_before),
                                     PL_BENCH_TEST(what_no_part_names_stands_in_the_rest),
                                     PL_BENCH_TEST(a_measure_takes_names_of_figures_too),
                                     PL_BENCH_TEST(labels_are_a_templates_own_words),
                                     PL_BENCH_TEST(every_template_file_is_free_of_mistakes),
                                     PL_BENCH_TEST(an_unknown_template),
                                     PL_BENCH_TEST(an_unknown_base),
                                     PL_BENCH_TEST(a_circle),
                                     PL_BENCH_TEST(an_unknown_key),
                                     PL_BENCH_TEST(an_unknown_block),
                                     PL_BENCH_TEST(an_unknown_setting),
                                     PL_BENCH_TEST(a_section_without_a_name),
                                     PL_BENCH_TEST(values_of_the_wrong_kind),
                                     PL_BENCH_TEST(a_title_without_end),
                                     PL_BENCH_TEST(a_key_given_twice),
                                     PL_BENCH_TEST(a_label_wants_a_known_key_and_a_text),
                                     PL_BENCH_TEST(a_check_finds_mistakes_without_a_sheet),
                                     PL_BENCH_TEST(all_mistakes_are_told_at_once),
                                     PL_BENCH_TEST(a_character_that_the_font_lacks)};
  return cmocka_run_group_tests_name("page templates", tests, NULL, NULL);
}
