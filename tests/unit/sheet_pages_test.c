// SPDX-License-Identifier: GPL-3.0-or-later
// What templates can make of pages beside the race sheet: forms, builds, other words, several
// templates in one file.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <string.h>

#include "near.h"
#include "paper.h"
#include "support.h"

static const char setup[] =
    "damper \"short\" { bore = 13 mm; shaft = 3 mm; stroke = 20 mm; extended-length = 80 mm\n"
    "  compensation = bladder; air-volume = 0.5 ml; oil-volume = 3.2 ml; exposed-shaft = 21 mm\n"
    "  seal { rings = 2; ring-inside = 2.9 mm; ring-section = 1.78 mm; wiper = yes } }\n"
    "setup \"Spring tide\" {\n"
    "  all { spring = 0.62 N/mm; oil = 350 cSt; preload = 2 mm; damper = \"short\"\n"
    "    piston = 3 x 1.5 mm; rebound = 31 % }\n"
    "  rear { limiter = 1.5 mm; oil = 300 cSt }\n"
    "  pinion = 24; motor = \"short can\"; driver = \"Pip Tidewrack\"\n"
    "}\n";

/// The sheet of the setup with those templates, the text having some; null names end them.
static const struct pl_paper *sheet_of(struct pl_bench *bench, const char *text,
                                       const char *const names[],
                                       struct pl_sheet_request request) {
  struct pl_program *const program =
      pl_bench_program(bench, pl_format(bench->arena, "%s%s", setup, text));
  struct pl_template_choice choices[8] = {{.name = NULL}};
  request.figures = pl_figures_new(pl_program_setup(program, "Spring tide"), NULL);
  request.version = "0";
  request.templates = choices;
  while (names[request.template_count] != NULL) {
    choices[request.template_count].name = names[request.template_count];
    request.template_count++;
  }
  return pl_sheet_new(bench->arena, &request, pl_program_problems(program));
}

/// The same with one template and nothing special.
static const struct pl_paper *sheet_with(struct pl_bench *bench, const char *text,
                                         const char *name) {
  const char *const names[] = {name, NULL};
  return sheet_of(bench, text, names, (struct pl_sheet_request){.figures = NULL});
}

static void assert_says(struct pl_bench *bench, const struct pl_paper *paper,
                        const char *text) {
  assert_non_null(paper);
  const char *const all = pl_paper_words(bench->arena, paper);
  if (strstr(all, text) == NULL) fail_msg("\"%s\" is not in: %s", text, all);
}

static void assert_silent(struct pl_bench *bench, const struct pl_paper *paper,
                          const char *text) {
  const char *const all = pl_paper_words(bench->arena, paper);
  if (strstr(all, text) != NULL) fail_msg("\"%s\" is in: %s", text, all);
}

static void assert_mistake(struct pl_bench *bench, const char *text, const char *shown) {
  assert_null(sheet_with(bench, text, "club"));
  const char *const all = pl_bench_shown(bench);
  if (strstr(all, shown) == NULL) fail_msg("\"%s\" is not in:\n%s", shown, all);
}

// ---------------------------------------------------------------- the page itself

static void each_built_in_file_is_called_like_its_template(struct pl_bench *bench) {
  size_t count = 0;
  for (const struct pl_embedded_file *file = pl_embedded_templates; file->name != NULL;
       file++) {
    struct pl_source *const source =
        pl_source_of_bytes(bench->arena, file->name, file->bytes, file->length);
    struct pl_program *const program =
        pl_program_of_source(bench->session, bench->arena, source, ".");
    const char *const name = pl_template_only(program);
    assert_non_null(name);
    assert_true(pl_template_is_built_in(name));
    assert_non_null(sheet_with(bench, "", name));
    assert_problems(bench, "");
    count++;
  }
  assert_true(count >= 4);
  assert_false(pl_template_is_built_in("race-sheet"));
  assert_false(pl_template_is_built_in("race"));
  assert_false(pl_template_is_built_in(""));
}

static void the_direction_is_the_templates_or_the_requests(struct pl_bench *bench) {
  static const char club[] =
      "template \"club\" from \"race sheet\" { direction = landscape }\n";
  const struct pl_paper *paper = sheet_with(bench, club, "club");
  assert_non_null(paper);
  assert_true(paper->pages[0]->width == 297 && paper->pages[0]->height == 210);
  const char *const names[] = {"club", NULL};
  paper = sheet_of(bench, club, names,
                   (struct pl_sheet_request){.direction = PL_PORTRAIT, .paper = PL_LETTER});
  assert_true(paper->pages[0]->width == 215.9 && paper->pages[0]->height == 279.4);
  paper = sheet_of(bench, club, names, (struct pl_sheet_request){.paper = PL_LETTER});
  assert_true(paper->pages[0]->width == 279.4 && paper->pages[0]->height == 215.9);
}

/// A form has fewer lines at its foot than what stands behind it.
static void each_template_has_room_for_its_own_footer(struct pl_bench *bench) {
  static const char *const names[] = {"blank form", "race sheet",  "blank form",
                                      "curves",     "build sheet", NULL};
  const struct pl_paper *const paper =
      sheet_of(bench, "", names, (struct pl_sheet_request){.figures = NULL});
  assert_non_null(paper);
  for (size_t i = 0; i < paper->page_count; i++)
    pl_check_page(paper->pages[i], 9.0, pl_format(bench->arena, "page %zu", i + 1));
}

/// The least distance of a text from the left, top and bottom edge.
static void margins_of(const struct pl_page *page, double *left, double *top, double *bottom) {
  *left = *top = *bottom = 1e9;
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    if (mark->kind != PL_MARK_TEXT) continue;
    const struct pl_text_metrics metrics = pl_text_metrics(mark->type.size, mark->type.bold);
    if (mark->x < *left) *left = mark->x;
    if (mark->y - metrics.ascent < *top) *top = mark->y - metrics.ascent;
    if (page->height - mark->y - metrics.descent < *bottom)
      *bottom = page->height - mark->y - metrics.descent;
  }
}

static void each_margin_can_be_given(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_with(bench,
                 "template \"club\" from \"race sheet\" {\n"
                 "  margin = 8 mm; margin-left = 25 mm; margin-top = 14 mm\n}\n",
                 "club");
  assert_non_null(paper);
  double left = 0;
  double top = 0;
  double bottom = 0;
  margins_of(paper->pages[0], &left, &top, &bottom);
  assert_true(left > 24.99 && left < 25.01);
  assert_true(top > 13.99 && top < 15);
  assert_true(bottom > 7.99 && bottom < 9);
}

static void the_clubs_own_words_stand_at_head_and_foot(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(
      bench,
      "template \"club\" from \"race sheet\" {\n"
      "  club = \"Tideline Model Car Club\"; footer = \"Race control: the hut\"\n}\n",
      "club");
  assert_non_null(paper);
  assert_int_equal((int)pl_count_texts(paper, "Tideline Model Car Club"), 1);
  assert_int_equal((int)pl_count_texts(paper, "Race control: the hut"), (int)paper->page_count);
}

static void parts_can_be_left_out(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_with(bench,
                 "template \"club\" from \"race sheet\" {\n"
                 "  without = [\"Oil and piston\", runs, \"Drive\"]\n}\n",
                 "club");
  assert_non_null(paper);
  assert_int_equal((int)pl_count_texts(paper, "Oil and piston"), 0);
  assert_int_equal((int)pl_count_texts(paper, "Best lap"), 0);
  assert_int_equal((int)pl_count_texts(paper, "Drive"), 0);
  assert_true(pl_count_texts(paper, "Stance") + pl_count_texts(paper, "Spring") > 0);
  // What is left out stands in the full list.
  assert_says(bench, paper, "Pinion");
  assert_mistake(bench, "template \"club\" from \"race sheet\" { without = [\"Drives\"] }\n",
                 "The template has no part \"Drives\" that could be left out.");
  assert_mistake(bench, "template \"club\" from \"race sheet\" { without = runs }\n",
                 "`without` wants a list");
}

static void a_page_break_begins_a_page(struct pl_bench *bench) {
  const struct pl_paper *const paper =
      sheet_with(bench,
                 "template \"club\" { section \"A\" { show = [pinion] }\n  page-break { }\n"
                 "  page-break { }\n  section \"B\" { show = [motor] } }\n",
                 "club");
  assert_non_null(paper);
  assert_int_equal((int)paper->page_count, 2); // two breaks with nothing between are one
  assert_says(bench, paper, "page 2 of 2");
}

static void what_a_part_says_can_be_shown(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(
      bench,
      "template \"club\" { section \"Shock\" { show = [damper.bore, damper.seal.rings]\n"
      "} labels { bore = \"Inside\" } }\n",
      "club");
  assert_says(bench, paper, "Inside");
  assert_says(bench, paper, "13.00 mm");
  assert_int_equal((int)pl_count_texts(paper, "Rings"), 1);
  assert_mistake(bench, "template \"club\" { section \"A\" { show = [damper.bores] } }\n",
                 "No setting and no figure is called `damper.bores`");
}

// ---------------------------------------------------------------- several templates

static void several_templates_are_one_file(struct pl_bench *bench) {
  const char *const names[] = {"race sheet", "build sheet", "blank form", NULL};
  const struct pl_paper *const paper =
      sheet_of(bench, "", names, (struct pl_sheet_request){.figures = NULL});
  assert_non_null(paper);
  assert_true(paper->page_count >= 3);
  for (size_t i = 0; i < paper->page_count; i++)
    assert_says(bench, paper,
                pl_format(bench->arena, "page %zu of %zu", i + 1, paper->page_count));
  assert_int_equal((int)paper->outline_count, 1);
}

static void one_bad_template_spoils_the_file(struct pl_bench *bench) {
  const char *const names[] = {"race sheet", "night sheet", NULL};
  assert_null(sheet_of(bench, "", names, (struct pl_sheet_request){.figures = NULL}));
  assert_problems(bench, "no-such-template");
}

// ---------------------------------------------------------------- forms

static void a_form_has_labels_and_no_values(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(bench, "", "blank form");
  assert_says(bench, paper, "Preload");
  assert_says(bench, paper, "Pip Tidewrack"); // the heading is filled from the file
  assert_silent(bench, paper, "0.620");
  assert_silent(bench, paper, "350");
  assert_silent(bench, paper, "short can");
  assert_silent(bench, paper, "Ride frequency"); // which is computed
  assert_silent(bench, paper, "Spring tide");
  assert_int_equal((int)paper->page_count, 1);
}

static void only_a_form_needs_no_setup(struct pl_bench *bench) {
  const char *const forms[] = {"blank form", NULL};
  const char *const sheets[] = {"race sheet", NULL};
  assert_non_null(sheet_of(bench, "", forms, (struct pl_sheet_request){.form_only = true}));
  assert_null(sheet_of(bench, "", sheets, (struct pl_sheet_request){.form_only = true}));
  assert_problems(bench, "needs-setup");
}

static void what_a_meeting_says_goes_before(struct pl_bench *bench) {
  static const struct pl_given given[] = {
      {PL_SETTING_DRIVER, "Fen Marram"}, {PL_SETTING_ENTRY, "31"}, {PL_SETTING_TRACK_NAME, ""}};
  const char *const names[] = {"blank form", NULL};
  const struct pl_paper *const paper =
      sheet_of(bench, "", names, (struct pl_sheet_request){.given = given, .given_count = 3});
  assert_says(bench, paper, "Fen Marram");
  assert_silent(bench, paper, "Pip Tidewrack");
  assert_says(bench, paper, "31");
}

// ---------------------------------------------------------------- units of parts

static const char parts[] =
    "spring \"measured\" { table = [0 mm 0 N, 5 mm 2 N, 10 mm 5 N] }\n"
    "spring \"wound\" { wire = 1.2 mm; mean-diameter = 18 mm; material = music-wire\n"
    "  groups = [4 coils gap 1.2 mm, 3 coils gap 0.5 mm] }\n"
    "piston \"valved\" { thickness = 2.5 mm\n"
    "  ports = 3 x 1.6 mm to 1.4 mm + 1 x 1 mm one-way rebound opens-at 20 kPa }\n"
    "oil \"thin\" { viscosity = [350 cSt at 25 degC, 140 cSt at 75 degC] }\n"
    "setup \"mixed\" {\n"
    "  front { spring = 3.5 lbf/in; piston = 2 x 1.6 mm; oil = 300 cSt at 40 degC }\n"
    "  rear { spring = \"measured\"; piston = \"valved\"; oil = \"thin\" }\n"
    "  rear-left { spring = \"wound\" }\n"
    "  front-left { spring = [3.5 lbf/in, 1 N/mm] } }\n";

static const struct pl_paper *parts_in(struct pl_bench *bench, enum pl_unit_system system) {
  struct pl_program *const program = pl_bench_program(bench, parts);
  const struct pl_sheet_request request = {
      .figures = pl_figures_new(pl_program_setup(program, NULL), NULL),
      .system = system,
      .version = "0"};
  return pl_sheet_new(bench->arena, &request, pl_program_problems(program));
}

/// Factors from the definitions: 1 in = 25.4 mm, 1 lbf = 4.4482216152605 N; NIST SP 811, B.8.
static void imperial_paper_has_parts_in_its_own_units(struct pl_bench *bench) {
  const struct pl_paper *const paper = parts_in(bench, PL_IMPERIAL);
  assert_says(bench, paper, "3.50 lbf/in");
  assert_says(bench, paper, "3.50 lbf/in on 5.71 lbf/in");
  assert_says(bench, paper, "2 × 0.063 in");
  assert_says(bench, paper, "300 cSt at 104 °F");
  assert_says(bench, paper, "0.197 in 0.450 lbf, 0.394 in 1.124 lbf");
  assert_says(bench, paper, "4 coils gap 0.047 in, 3 coils gap 0.020 in");
  assert_says(bench, paper,
              "3 × 0.063 to 0.055 in + 1 × 0.039 in one-way rebound opens at 2.9 psi");
  assert_says(bench, paper, "350 cSt at 77 °F, 140 cSt at 167 °F");
}

static void metric_paper_has_no_more_digits_than_somebody_sets(struct pl_bench *bench) {
  const struct pl_paper *const paper = parts_in(bench, PL_METRIC);
  assert_says(bench, paper, "0.61294 N/mm"); // 3.5 * 4.4482216152605 / 25.4 = 0.6129439...
  assert_silent(bench, paper, "0.612943");
  assert_says(bench, paper, "5 mm 2 N, 10 mm 5 N");
  assert_says(bench, paper, "300 cSt at 40 °C");
}

// ---------------------------------------------------------------- the build sheet

static void shocks_that_differ_have_a_column(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(bench, "", "build sheet");
  assert_says(bench, paper, "Front: 2 alike");
  assert_says(bench, paper, "Rear: 2 alike");
  assert_says(bench, paper, "No limiter.");
  assert_says(bench, paper, "Limiter 1.5 mm");
}

/// Worked by hand: 21 mm are exposed less 1.5 mm of limiter; 31 % of 20 mm are 6.2 mm, and of
/// the 18.5 mm that the limiter leaves 5.735 mm, of which nobody measures the last two digits.
static void steps_tell_lengths_that_a_builder_measures(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(bench, "", "build sheet");
  assert_says(bench, paper, "21.0 mm of the shaft show");
  assert_says(bench, paper, "19.5 mm of the shaft show");
  assert_says(bench, paper, "6.2 mm.");
  assert_says(bench, paper, "5.7 mm.");
  assert_says(bench, paper, "2 seal rings");
  assert_says(bench, paper, "Wiper, outermost.");
  assert_says(bench, paper, "0.50 ml of air behind the bladder");
  assert_says(bench, paper, "eye protection");
}

/// The decimal point of the first text that is so, mm from the left edge of its page.
static double point_of(const struct pl_paper *paper, const char *text) {
  for (size_t i = 0; i < paper->page_count; i++) {
    const struct pl_page *const page = paper->pages[i];
    for (size_t j = 0; j < page->count; j++) {
      const struct pl_mark *const mark = &page->marks[j];
      if (mark->kind != PL_MARK_TEXT || strcmp(mark->text, text) != 0) continue;
      return mark->x + mark->width -
             pl_text_width(strchr(text, '.'), mark->type.size, mark->type.bold);
    }
  }
  fail_msg("%s is not printed", text);
  return 0;
}

/// Of four columns, each has no room for "Shaft displacement" beside its value; 20 mm of a
/// shaft of 3 mm displace 0.141 ml.
static void a_value_beneath_its_label_keeps_to_the_point(struct pl_bench *bench) {
  struct pl_program *const program = pl_bench_program(
      bench, pl_format(bench->arena,
                       "%ssetup \"four\" from \"Spring tide\" { front-left { preload = 3 mm }\n"
                       "  rear-left { preload = 4 mm } }\n",
                       setup));
  const struct pl_template_choice build = {.name = "build sheet"};
  const struct pl_sheet_request request = {
      .figures = pl_figures_new(pl_program_setup(program, "four"), NULL),
      .templates = &build,
      .template_count = 1,
      .version = "0"};
  const struct pl_paper *const four =
      pl_sheet_new(bench->arena, &request, pl_program_problems(program));
  assert_non_null(four);
  assert_near(point_of(four, "0.14"), point_of(four, "3.20"), 0.05);
}

static void a_setup_without_shocks_has_no_column(struct pl_bench *bench) {
  struct pl_program *const program =
      pl_bench_program(bench, "setup \"bare\" { pinion = 24 }\n");
  const struct pl_template_choice build = {.name = "build sheet"};
  const struct pl_sheet_request request = {
      .figures = pl_figures_new(pl_program_setup(program, NULL), NULL),
      .templates = &build,
      .template_count = 1,
      .version = "0"};
  const struct pl_paper *const paper =
      pl_sheet_new(bench->arena, &request, pl_program_problems(program));
  assert_non_null(paper);
  assert_silent(bench, paper, "alike");
}

// ---------------------------------------------------------------- other words

static void other_words_reach_everything(struct pl_bench *bench) {
  const struct pl_paper *const paper = sheet_with(
      bench,
      "template \"club\" from \"race sheet\" { words {\n"
      "  \"Front left\" = \"Vorn links\"; \"page {1} of {2}\" = \"Seite {1} von {2}\"\n"
      "  \"Stance\" = \"Stand\"; \"Best lap\" = \"Beste Runde\" }\n"
      "  labels { preload = \"Vorspannung\" } }\n",
      "club");
  assert_says(bench, paper, "Vorn links");
  assert_silent(bench, paper, "Front left");
  assert_says(bench, paper, "Seite 1 von ");
  assert_says(bench, paper, "Beste Runde");
  assert_says(bench, paper, "Vorspannung");
}

static void a_translation_has_the_same_places(struct pl_bench *bench) {
  assert_mistake(bench,
                 "template \"club\" from \"race sheet\" { words {\n"
                 "  \"page {1} of {2}\" = \"Seite {1}\" } }\n",
                 "wants a text with the same places in braces");
  assert_mistake(bench,
                 "template \"club\" from \"race sheet\" { words { \"Frond\" = \"Vorn\" } }\n",
                 "did you mean \"Front\"?");
  assert_problems(bench, "unknown-word");
  assert_mistake(bench, "template \"club\" from \"race sheet\" { words { \"Front\" = 3 } }\n",
                 "wants a short text in quotes");
}

/// A label's second text stands in sentences, the first in columns.
static void sentences_have_words_of_their_own(struct pl_bench *bench) {
  struct pl_program *const program = pl_bench_program(
      bench, "setup \"a\" { front { preload = 2 mm }; rear { camber = -1 deg } }\n"
             "setup \"b\" from \"a\" { front { preload = 3 mm }; rear { camber = -2 deg } }\n"
             "template \"club\" { section \"A\" { show = [preload] }\n  changes { }\n"
             "  labels { preload = \"Pre\" \"spring preload\"; camber = \"Sturz\" } }\n");
  struct pl_figures *const base = pl_figures_new(pl_program_setup(program, "a"), NULL);
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, "b"), base);
  const struct pl_template_choice club = {.name = "club"};
  const struct pl_sheet_request request = {
      .figures = figures,
      .base = base,
      .comparison = pl_compare(bench->arena, base, figures, PL_METRIC),
      .templates = &club,
      .template_count = 1,
      .version = "0"};
  const struct pl_paper *const paper =
      pl_sheet_new(bench->arena, &request, pl_program_problems(program));
  assert_says(bench, paper, "Pre, front");
  assert_says(bench, paper, "front spring preload 2.00 → 3.00 mm");
  assert_says(bench, paper, "rear Sturz −1.0 → −2.0°");
}

// Figures show their tolerances where a template wants it, also through one that it starts
// from.
static void tolerances_where_wanted(struct pl_bench *bench) {
  const char *const text = "setup \"a\" { all { spring = 0.62 N/mm +- 0.03 N/mm } }\n"
                           "template \"sure\" { section \"A\" { show = [spring-rate] } }\n"
                           "template \"unsure\" from \"sure\" { tolerances = shown }\n"
                           "template \"club\" from \"unsure\" { }\n"
                           "template \"again\" from \"unsure\" { tolerances = hidden }\n";
  static const char *const names[] = {"sure", "unsure", "club", "again"};
  struct pl_program *const program = pl_bench_program(bench, text);
  struct pl_figures *const figures = pl_figures_new(pl_program_setup(program, NULL), NULL);
  for (size_t i = 0; i < 4; i++) {
    const struct pl_template_choice choice = {.name = names[i]};
    const struct pl_sheet_request request = {
        .figures = figures, .templates = &choice, .template_count = 1, .version = "0"};
    const struct pl_paper *const paper =
        pl_sheet_new(bench->arena, &request, pl_program_problems(program));
    const bool shown = i == 1 || i == 2;
    (shown ? assert_says : assert_silent)(bench, paper, "0.620 ± 0.030");
  }
}

// ---------------------------------------------------------------- mistakes

static void values_of_the_wrong_kind(struct pl_bench *bench) {
  static const struct {
    const char *text;
    const char *shown;
  } cases[] = {
      {"direction = sideways", "`direction` wants `portrait` or `landscape`; not `sideways`."},
      {"tolerances = yes", "`tolerances` wants `hidden` or `shown`; not `yes`."},
      {"fields = empty", "`fields` wants `filled` or `blank`; not `empty`."},
      {"club = 3", "`club` wants a short text in quotes; not `3`."},
      {"logo = club", "`logo` wants the path of a PNG file in quotes; not `club`."},
      {"margin-left = 2 mm", "`margin-left` wants a length from 4 mm to 30 mm; not `2 mm`."},
      {"plot \"A\" { curve = damper }", "`curve` wants `damper-force`, "},
      {"plot \"A\" { at = [front, middle] }", "`at` wants `all`, an axle, a side or a corner"},
      {"plot \"A\" { at = [] }", "`at` wants `all`, an axle, a side or a corner"},
      {"plot \"A\" { height = 2 m }", "`height` wants a length from 30 mm to 150 mm"},
      {"shocks { drawing \"A\" { of = spring } }", "`of` wants `piston` or `shock`"},
      {"shocks { drawing \"A\" { scale = 9 } }", "`scale` wants a number from 1 to 5"},
      {"runs { headings = \"x\" }", "`headings` wants a list of up to 12 short texts"},
      {"checklist \"A\" { items = \"x\" }", "`items` wants a list of up to 30 short texts"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    assert_mistake(bench, pl_format(bench->arena, "template \"club\" { %s }\n", cases[i].text),
                   cases[i].shown);
    assert_problems(bench, "wrong-kind");
  }
}

static void blocks_in_the_wrong_place(struct pl_bench *bench) {
  static const char *const cases[] = {"drawing \"A\" { }", "plan { plot \"A\" { } }",
                                      "shocks { runs { } }", "beside { plan { } }"};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    assert_mistake(bench, pl_format(bench->arena, "template \"club\" { %s }\n", cases[i]),
                   "has no block");
    assert_problems(bench, "unknown-block");
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(each_built_in_file_is_called_like_its_template),
      PL_BENCH_TEST(the_direction_is_the_templates_or_the_requests),
      PL_BENCH_TEST(each_template_has_room_for_its_own_footer),
      PL_BENCH_TEST(each_margin_can_be_given),
      PL_BENCH_TEST(the_clubs_own_words_stand_at_head_and_foot),
      PL_BENCH_TEST(parts_can_be_left_out),
      PL_BENCH_TEST(a_page_break_begins_a_page),
      PL_BENCH_TEST(what_a_part_says_can_be_shown),
      PL_BENCH_TEST(several_templates_are_one_file),
      PL_BENCH_TEST(one_bad_template_spoils_the_file),
      PL_BENCH_TEST(a_form_has_labels_and_no_values),
      PL_BENCH_TEST(only_a_form_needs_no_setup),
      PL_BENCH_TEST(what_a_meeting_says_goes_before),
      PL_BENCH_TEST(imperial_paper_has_parts_in_its_own_units),
      PL_BENCH_TEST(metric_paper_has_no_more_digits_than_somebody_sets),
      PL_BENCH_TEST(shocks_that_differ_have_a_column),
      PL_BENCH_TEST(steps_tell_lengths_that_a_builder_measures),
      PL_BENCH_TEST(a_value_beneath_its_label_keeps_to_the_point),
      PL_BENCH_TEST(a_setup_without_shocks_has_no_column),
      PL_BENCH_TEST(other_words_reach_everything),
      PL_BENCH_TEST(a_translation_has_the_same_places),
      PL_BENCH_TEST(sentences_have_words_of_their_own),
      PL_BENCH_TEST(tolerances_where_wanted),
      PL_BENCH_TEST(values_of_the_wrong_kind),
      PL_BENCH_TEST(blocks_in_the_wrong_place)};
  return cmocka_run_group_tests_name("pages of templates", tests, NULL, NULL);
}
