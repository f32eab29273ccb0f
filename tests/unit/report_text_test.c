// SPDX-License-Identifier: GPL-3.0-or-later
// Reports as text: decimal points in line, the terminal's width kept, nothing that a name could
// do to a terminal, and an origin for whatever is explained.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/report.h"
#include "unit/figures_setup.h"

static const char *const demos[] = {
    "sheets/sluice-lane/plover-dry.leaf", "sheets/sluice-lane/plover-wet.leaf",
    "sheets/sluice-lane/turnstone-dry.leaf", "sheets/short-oval/knot.leaf",
    "sheets/dune-ladder/dunlin.leaf"};
#define DEMOS (sizeof demos / sizeof demos[0])

static const struct pl_figure_choice all_figures = {NULL, 0};

static struct pl_text_style style_of_width(size_t width) {
  return (struct pl_text_style){.width = width, .system = PL_METRIC};
}

static struct pl_figures *demo(struct bench *bench, size_t index) {
  return figures_in(program_of_file(bench, demos[index]), NULL, NULL);
}

/// The next line of a text, without its end; null behind the last.
static const char *next_line(struct pl_arena *arena, const char **at) {
  if (**at == '\0') return NULL;
  const size_t length = strcspn(*at, "\n");
  const char *const line = pl_copy_text(arena, *at, length);
  *at += length + ((*at)[length] == '\n' ? 1 : 0);
  return line;
}

// ---------------------------------------------------------------- width

static void assert_fits(struct pl_arena *arena, const char *text, size_t width) {
  for (const char *line; (line = next_line(arena, &text)) != NULL;) {
    if (pl_text_columns(line) > width)
      fail_msg("%zu columns, not %zu: %s", pl_text_columns(line), width, line);
    const size_t length = strlen(line);
    if (length > 0 && line[length - 1] == ' ') fail_msg("blanks at the end of \"%s\"", line);
  }
}

static const size_t widths[] = {60, 72, 80, 100, 120};

static void figures_keep_the_width_work(struct bench *bench) {
  for (size_t i = 0; i < DEMOS; i++) {
    struct pl_figures *const f = demo(bench, i);
    for (size_t j = 0; j < sizeof widths / sizeof widths[0]; j++) {
      const struct pl_text_style style = style_of_width(widths[j]);
      assert_fits(bench->arena, pl_figures_text(bench->arena, f, &all_figures, &style),
                  widths[j]);
    }
  }
}

// Names and texts of any length are wrapped too.
static void long_names_keep_the_width_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench,
      "setup \"s\" { notes = \"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"
      "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa\"\n"
      "ballast \"a very long name for a piece of lead that nobody would ever choose\" { mass = "
      "5 g; at = (0 mm, 0 mm) } front { tyre = \"ribs of a very long name as well, indeed\" } }");
  const struct pl_text_style style = style_of_width(60);
  assert_fits(bench->arena, pl_figures_text(bench->arena, f, &all_figures, &style), 60);
}

static void comparisons_keep_the_width_work(struct bench *bench) {
  struct pl_figures *const base = demo(bench, 0);
  struct pl_figures *const own = figures_in(program_of_file(bench, demos[1]), NULL, base);
  const struct pl_comparison *const comparison = pl_compare(bench->arena, base, own, PL_METRIC);
  for (size_t j = 0; j < sizeof widths / sizeof widths[0]; j++) {
    const struct pl_text_style style = style_of_width(widths[j]);
    assert_fits(bench->arena, pl_comparison_text(bench->arena, comparison, &style), widths[j]);
  }
}

// A number stays together with its tolerance and its unit, where the labels can make room.
static void numbers_stay_together_work(struct bench *bench) {
  static const enum pl_unit_system systems[] = {PL_METRIC, PL_IMPERIAL};
  for (size_t i = 0; i < DEMOS * 2; i++) {
    struct pl_figures *const f = demo(bench, i / 2);
    const struct pl_text_style style = {.width = 80, .system = systems[i % 2]};
    const char *text = pl_figures_text(bench->arena, f, &all_figures, &style);
    for (const char *line; (line = next_line(bench->arena, &text)) != NULL;) {
      const char *const rest = line + strspn(line, " ");
      if (strncmp(rest, "lbf", 3) == 0 || strncmp(rest, "N·s/m", 5) == 0)
        fail_msg("a unit on a line of its own: %s", line);
    }
  }
}

// ---------------------------------------------------------------- alignment

/// Where the first number's point (or its end, without one) stands at or behind column `from`;
/// 0 if there is no number.
static size_t point_of(const char *line, size_t from) {
  size_t at = from;
  while (line[at] == ' ') at++;
  if (line[at] == '-') at++;
  const size_t digits = strspn(line + at, "0123456789");
  if (digits == 0) return 0;
  const size_t end = at + digits;
  if (line[end] == '.' || line[end] == ' ' || line[end] == '\0') return end;
  return strncmp(line + end, "°", strlen("°")) == 0 ? end : 0;
}

// In each section the points of the first column stand under each other.
static void points_align_work(struct bench *bench) {
  struct pl_figures *const f = demo(bench, 0);
  const struct pl_text_style style = style_of_width(80);
  static const enum pl_figure wanted[] = {PL_FIGURE_SPRING_RATE,    PL_FIGURE_SPRING_FORCE,
                                          PL_FIGURE_TRAVEL_TO_BIND, PL_FIGURE_SPRING_STRESS,
                                          PL_FIGURE_CORNER_MASS,    PL_FIGURE_BUCKLING_LOAD,
                                          PL_FIGURE_CAMBER_GAIN};
  const struct pl_figure_choice choice = {wanted, sizeof wanted / sizeof wanted[0]};
  const char *text = pl_figures_text(bench->arena, f, &choice, &style);
  size_t column = 0;
  size_t point = 0;
  size_t rows = 0;
  for (const char *line; (line = next_line(bench->arena, &text)) != NULL;) {
    const char *const front = strstr(line, "front");
    if (front != NULL && column == 0 && strncmp(line, "Figures", 7) == 0)
      column = (size_t)(front - line);
    if (column == 0 || strncmp(line, "  ", 2) != 0) continue;
    const size_t here = point_of(line, column);
    if (here == 0) fail_msg("no number in \"%s\"", line);
    if (point == 0) point = here;
    if (here != point)
      fail_msg("the point of \"%s\" stands at %zu, not %zu", line, here, point);
    rows++;
  }
  assert_int_equal((int)rows, 10); // three of seven figures differ from left to right
}

// A date and an entry's number are words: they do not push the numbers about.
static void words_do_not_align_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench, "setup \"s\" { date = 2026-06-14; mass = 1500 g; entry = \"123456789\" }");
  const struct pl_text_style style = style_of_width(80);
  const char *const text = pl_figures_text(bench->arena, f, &all_figures, &style);
  const char *const mass = strstr(text, "Mass");
  const char *const date = strstr(text, "Date");
  const char *const entry = strstr(text, "Entry");
  assert_non_null(mass);
  assert_non_null(date);
  assert_non_null(entry);
  const long column = strstr(mass, "1500") - mass;
  assert_int_equal((int)(strstr(date, "2026") - date), (int)column);
  assert_int_equal((int)(strstr(entry, "1234") - entry), (int)column);
}

static size_t occurrences(const char *text, const char *words) {
  size_t count = 0;
  for (const char *at = text; (at = strstr(at, words)) != NULL; at += strlen(words)) count++;
  return count;
}

static void sides_apart_only_where_they_differ_work(struct bench *bench) {
  struct pl_figures *const f = figures_of(
      bench,
      "setup \"s\" { all { spring = 0.5 N/mm; oil = 350 cSt } rear-left { spring = 0.6 N/mm } }");
  const struct pl_text_style style = style_of_width(80);
  const char *const text = pl_figures_text(bench->arena, f, &all_figures, &style);
  assert_int_equal((int)occurrences(text, "Spring rate, left"), 1);
  assert_int_equal((int)occurrences(text, "Spring rate, right"), 1);
  assert_int_equal((int)occurrences(text, "Oil viscosity, left"), 0);
  assert_int_equal((int)occurrences(text, "Oil viscosity"), 1);
}

// ---------------------------------------------------------------- safety

static void assert_harmless(const char *text) {
  for (const unsigned char *at = (const unsigned char *)text; *at != '\0'; at++) {
    if ((*at < 32 && *at != '\n') || *at == 127) fail_msg("byte %02X in \"%s\"", *at, text);
    if (at[0] == 0xE2 && at[1] == 0x80 && at[2] == 0xAE)
      fail_msg("direction changed: %s", text);
  }
}

// However they come in, escape sequences and changes of direction do not reach the terminal.
static void names_cannot_steer_work(struct bench *bench) {
  struct pl_program *const program = program_of(
      bench, "setup \"a\\u{1b}[31mred\\u{202e}\" { notes = \"\\u{1b}]0;title\\u{7}\"\n"
             "ballast \"\\u{1b}[2J\" { mass = 5 g; at = (0 mm, 0 mm) }\n"
             "extra { \"\\u{1b}[1m\" = \"\\u{9b}x\" } }\n"
             "setup \"b\" { notes = \"y\" }");
  struct pl_figures *const f = figures_in(program, "b", NULL);
  const struct pl_text_style style = style_of_width(80);
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  for (size_t i = 0; i < problems->count; i++)
    assert_harmless(pl_problem_text(bench->arena, &problems->items[i], &style));
  assert_harmless(pl_figures_text(bench->arena, f, &all_figures, &style));
  static const char turning[] = {'a', '\xe2', '\x80', '\xae', 'b', '\0'}; // U+202E
  static const char *const texts[] = {"\x1b[31mred", turning,    "\x7f",
                                      "\x01",        "\xff\xfe", "\xc2\x9b"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    assert_harmless(pl_text_safe(bench->arena, texts[i]));
  assert_string_equal(pl_text_safe(bench->arena, "\x1b[1mü"), "<U+001B>[1mü");
}

// Colour is never the only sign: without its escape sequences the text is the same.
static void colour_only_adds_work(struct bench *bench) {
  struct pl_figures *const f = demo(bench, 0);
  struct pl_text_style style = style_of_width(80);
  const char *const plain = pl_figures_text(bench->arena, f, &all_figures, &style);
  assert_null(strchr(plain, '\x1b'));
  style.colour = true;
  const char *const coloured = pl_figures_text(bench->arena, f, &all_figures, &style);
  struct pl_buffer stripped = {.arena = bench->arena};
  for (const char *at = coloured; *at != '\0';) {
    if (*at == '\x1b')
      at += strcspn(at, "m") + 1;
    else
      pl_buffer_add(&stripped, at++, 1);
  }
  assert_true(strlen(coloured) > strlen(plain));
  assert_string_equal(pl_buffer_string(&stripped), plain);
}

// ---------------------------------------------------------------- explaining

/// Each line of an explanation's inputs: a figure, a formula, or a setting with its origin.
static bool has_origin(const char *line) {
  return strstr(line, ".leaf:") != NULL || strstr(line, "   assumed") != NULL;
}

static void assert_explained(struct bench *bench, struct pl_figures *figures,
                             enum pl_figure figure, enum pl_place place) {
  const struct pl_text_style style = style_of_width(500); // so that no line is wrapped
  const char *const text = pl_explain_figure(bench->arena, figures, figure, place, &style);
  const struct pl_figure_value *const value = pl_figure_get(figures, figure, place);
  for (size_t i = 0; i < value->input_count; i++) {
    const struct pl_input *const input = &value->inputs[i];
    if (input->is_figure || input->resolved->value.kind == PL_VALUE_NONE) continue;
    const char *key = pl_settings[input->setting].key;
    if (pl_settings[input->setting].type == PL_TYPE_HOLES) // told as it is written
      key = pl_format(bench->arena, "%s { … }", pl_settings[input->setting - 1].key);
    const char *const name =
        input->inner == PL_SETTING_COUNT
            ? pl_format(bench->arena, "\n  %s = ", key)
            : pl_format(bench->arena, "\n  %s.%s = ", key, pl_settings[input->inner].key);
    const char *const found = strstr(text, name);
    if (found == NULL)
      fail_msg("%s is not explained in\n%s", name + 1, text);
    else if (!has_origin(pl_copy_text(bench->arena, found + 1, strcspn(found + 1, "\n"))))
      fail_msg("%s has no origin in\n%s", name + 1, text);
  }
}

static void every_figure_is_explained_work(struct bench *bench) {
  for (size_t i = 0; i < DEMOS; i++) {
    struct pl_figures *const f = demo(bench, i);
    for (int j = 0; j < PL_FIGURE_COUNT; j++) {
      const enum pl_scope scope = pl_figure_rows[j].scope;
      for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
        assert_explained(bench, f, (enum pl_figure)j, (enum pl_place)place);
    }
  }
}

static void every_setting_is_explained_work(struct bench *bench) {
  const struct pl_text_style style = style_of_width(500);
  struct pl_figures *const f = demo(bench, 0);
  const struct pl_setup *const setup = pl_figures_setup(f);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (row->owner != PL_BLOCK_SETUP) continue;
    for (int place = (int)pl_first_place(row->scope); place <= (int)pl_last_place(row->scope);
         place++) {
      const char *const text =
          pl_explain_setting(bench->arena, setup, (enum pl_setting)i, PL_SETTING_COUNT,
                             (enum pl_place)place, &style);
      const struct pl_resolved *const resolved =
          pl_setup_get(setup, (enum pl_setting)i, (enum pl_place)place);
      const char *const wanted = resolved->given     ? ".leaf:"
                                 : resolved->assumed ? "assumed: "
                                                     : "nothing gives it";
      if (strstr(text, wanted) == NULL) fail_msg("no \"%s\" in\n%s", wanted, text);
    }
  }
}

/// What a total is made of adds up to it: 1500 g and 25 g.
static void ballast_is_part_of_the_total_work(struct bench *bench) {
  struct pl_figures *const f =
      figures_of(bench, "setup \"s\" { mass = 1500 g\n"
                        "ballast \"brass\" { mass = 25 g; at = (0 mm, 0 mm) } }");
  const struct pl_text_style style = style_of_width(80);
  const char *const text =
      pl_explain_figure(bench->arena, f, PL_FIGURE_TOTAL_MASS, PL_CAR, &style);
  const char *const wanted[] = {"car.total-mass = 1525 g", "mass = 1500 g",
                                "ballast \"brass\": 25 g ("};
  for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
    if (strstr(text, wanted[i]) == NULL) fail_msg("no \"%s\" in\n%s", wanted[i], text);
  }
}

static void explanations_keep_the_width_work(struct bench *bench) {
  struct pl_figures *const f = demo(bench, 0);
  const struct pl_text_style style = style_of_width(80);
  for (int j = 0; j < PL_FIGURE_COUNT; j++) {
    const enum pl_place place = pl_first_place(pl_figure_rows[j].scope);
    const char *text = pl_explain_figure(bench->arena, f, (enum pl_figure)j, place, &style);
    for (const char *line; (line = next_line(bench->arena, &text)) != NULL;) {
      // A path is one word, and where this repository lies is not ours to choose.
      if (pl_text_columns(line) > 80 && strstr(line, ".leaf:") == NULL)
        fail_msg("too wide: %s", line);
    }
  }
}

// ---------------------------------------------------------------- describing

static void everything_is_described_work(struct bench *bench) {
  const struct pl_text_style style = style_of_width(80);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const char *const text = pl_describe_key(bench->arena, pl_figure_rows[i].key, &style);
    assert_non_null(text);
    if (strstr(text, pl_figure_rows[i].label) == NULL) fail_msg("%s", text);
    assert_fits(bench->arena, text, 80);
  }
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].type == PL_TYPE_HOLES) continue; // written as a block of another key
    const char *const text = pl_describe_key(bench->arena, pl_settings[i].key, &style);
    assert_non_null(text);
    if (strstr(text, pl_settings[i].label) == NULL) fail_msg("%s", text);
    assert_fits(bench->arena, text, 80);
  }
  static const char *const words[] = {
      "rules",     "rule",     "require", "for",        "each",      "when",  "each corner",
      "each axle", "edition",  "measure", "applies-to", "tolerance", "count", "min",
      "because",   "measured", "meeting", "max",        "sum"};
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
    const char *const text = pl_describe_key(bench->arena, words[i], &style);
    assert_non_null(text);
    assert_string_equal(pl_copy_text(bench->arena, text, strlen(words[i])), words[i]);
  }
  assert_string_equal(pl_describe_nearest("requir"), "require");
  assert_null(pl_describe_key(bench->arena, "no-such-thing", &style));
  assert_string_equal(pl_describe_nearest("preloda"), "preload");
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(figures_keep_the_width)
CASE(long_names_keep_the_width)
CASE(comparisons_keep_the_width)
CASE(ballast_is_part_of_the_total)
CASE(numbers_stay_together)
CASE(points_align)
CASE(words_do_not_align)
CASE(sides_apart_only_where_they_differ)
CASE(names_cannot_steer)
CASE(colour_only_adds)
CASE(every_figure_is_explained)
CASE(every_setting_is_explained)
CASE(explanations_keep_the_width)
CASE(everything_is_described)

static void counts_of_combinations(void **state) {
  static const struct {
    double count;
    const char *text;
  } rows[] = {{1, "1"},
              {999, "999"},
              {1000, "1,000"},
              {12096, "12,096"},
              {448304640, "448,304,640"},
              {999999999999999, "999,999,999,999,999"},
              {1e15, "1.0e+15"},
              {1e300, "1.0e+300"}};
  (void)state;
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    assert_string_equal(pl_count_shown(rows[i].count).text, rows[i].text);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(figures_keep_the_width),
      cmocka_unit_test(long_names_keep_the_width),
      cmocka_unit_test(comparisons_keep_the_width),
      cmocka_unit_test(numbers_stay_together),
      cmocka_unit_test(points_align),
      cmocka_unit_test(words_do_not_align),
      cmocka_unit_test(sides_apart_only_where_they_differ),
      cmocka_unit_test(names_cannot_steer),
      cmocka_unit_test(colour_only_adds),
      cmocka_unit_test(counts_of_combinations),
      cmocka_unit_test(every_figure_is_explained),
      cmocka_unit_test(every_setting_is_explained),
      cmocka_unit_test(ballast_is_part_of_the_total),
      cmocka_unit_test(explanations_keep_the_width),
      cmocka_unit_test(everything_is_described),
  };
  return cmocka_run_group_tests_name("report: text", tests, NULL, NULL);
}
