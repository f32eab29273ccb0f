// SPDX-License-Identifier: GPL-3.0-or-later
// Two versions of a file: their lines in one form, what differs outside the setups, and the
// figures that a change moves most.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/compare.h"
#include "unit/figures_setup.h"

/// The lines of a text: "block|key|sign text" each.
static const char *lines_of(struct bench *bench, const char *text) {
  const struct pl_program *const program = program_of(bench, text);
  size_t count = 0;
  const struct pl_flat_line *const lines =
      pl_flat_lines(bench->arena, pl_program_tree(program, pl_program_source(program)), &count);
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&out, "%s|%s|%s%s\n", lines[i].block, lines[i].key,
                     lines[i].action == PL_OPERATOR_NONE ? ""
                                                         : pl_operator_sign(lines[i].action),
                     lines[i].text);
  return pl_buffer_string(&out);
}

static void one_form_work(struct bench *bench) {
  assert_string_equal(lines_of(bench,
                               "let  x  =  3   mm # why\n"
                               "include \"a.leaf\"\n"
                               "setup \"a\"   from  \"b\" {\n"
                               "  front   { preload += 1 mm ; oil=\"thin\" }\n"
                               "  all { shock-top { 1 = ( 50 mm,\n  # within\n  90 mm ) } }\n"
                               "  extra { \"Wing\" = \"2\" }\n"
                               "}\n"),
                      "|let x|=3 mm\n"
                      "|include \"a.leaf\"|\n"
                      "setup \"a\"||from \"b\"\n"
                      "setup \"a\"|front preload|+=1 mm\n"
                      "setup \"a\"|front oil|=\"thin\"\n"
                      "setup \"a\"|all shock-top 1|=( 50 mm, 90 mm )\n"
                      "setup \"a\"|extra \"Wing\"|=\"2\"\n");
  assert_string_equal(lines_of(bench, ""), "");
}

static void rules_and_their_conditions_work(struct bench *bench) {
  assert_string_equal(
      lines_of(bench, "rules \"r\" { rule \"Bore\" when air > 3 degC { require = 1 < 2 } }\n"),
      "rules \"r\"||\n"
      "rules \"r\"|rule \"Bore\"|when air > 3 degC\n"
      "rules \"r\"|rule \"Bore\" require|=1 < 2\n");
}

/// What differs: "block key: before > after" each, "-" for what is not there.
static const char *changes_of(struct bench *bench, const char *before, const char *after,
                              bool as_written) {
  size_t count = 0;
  const struct pl_line_change *const changes =
      pl_compare_files(bench->arena, program_of(bench, before), program_of(bench, after),
                       as_written, PL_METRIC, &count);
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&out, "%s %s: %s > %s\n", changes[i].block, changes[i].key,
                     changes[i].before == NULL ? "-" : changes[i].before,
                     changes[i].after == NULL ? "-" : changes[i].after);
  return pl_buffer_string(&out);
}

static void parts_by_values_work(struct bench *bench) {
  // Half a centimetre and five millimetres are the same.
  assert_string_equal(changes_of(bench, "spring \"s\" { rate = 0.5 N/mm; wire = 1 mm }\n",
                                 "spring \"s\" { wire = 0.1 cm\n\n rate = 0.6 N/mm }\n", false),
                      "spring \"s\" rate: 0.500 N/mm > 0.600 N/mm\n");
  assert_string_equal(changes_of(bench, "spring \"s\" { rate = 0.5 N/mm; wire = 1 mm }\n",
                                 "spring \"s\" { wire = 0.1 cm\n\n rate = 0.6 N/mm }\n", true),
                      "spring \"s\" wire: 1 mm > 0.1 cm\n"
                      "spring \"s\" rate: 0.5 N/mm > 0.6 N/mm\n");
  assert_string_equal(changes_of(bench, "oil \"a\" { viscosity = 300 cSt }\n",
                                 "oil \"b\" { viscosity = 300 cSt at 20 degC }\n", false),
                      "oil \"b\" : - > viscosity 300 cSt at 20 °C\noil \"a\" :  > -\n");
}

static void lines_by_their_places_work(struct bench *bench) {
  // A value that stands twice, lines in another order, a whole block.
  assert_string_equal(
      changes_of(bench, "let a = 1\nlet b = 2\n", "let b = 2\nlet a = 1\n", false), "");
  assert_string_equal(
      changes_of(bench, "rules \"r\" { class = \"a\" }\n",
                 "rules \"r\" { class = \"b\" }\nrules \"s\" { class = \"a\" }\n", false),
      "rules \"r\" class: \"a\" > \"b\"\nrules \"s\" : - > \n");
  assert_string_equal(changes_of(bench, "setup \"a\" { air = 3 degC }\n", "", true),
                      "setup \"a\" :  > -\n");
  assert_string_equal(changes_of(bench, "setup \"a\" { air = 3 degC }\n", "", false), "");
  assert_string_equal(changes_of(bench, "setup \"a\" { front { preload = 1 mm } }\n",
                                 "setup \"a\" { front { preload += 1 mm } }\n", true),
                      "setup \"a\" front preload: 1 mm > += 1 mm\n");
}

// ---------------------------------------------------------------- parts of one name

static const struct pl_change *oil_change(struct bench *bench, const char *before,
                                          const char *after) {
  struct pl_figures *const base = figures_in(program_of(bench, before), NULL, NULL);
  struct pl_figures *const own = figures_in(program_of(bench, after), NULL, base);
  return pl_change_of_setting(pl_compare(bench->arena, base, own, PL_METRIC), PL_SETTING_OIL,
                              PL_FRONT_LEFT);
}

#define OIL(viscosity, oil)                                                                    \
  "oil \"a\" { viscosity = " viscosity " }\noil \"b\" { viscosity = 500 cSt }\n"               \
  "setup \"s\" { all { oil = " oil " } }\n"

static void part_of_one_name_work(struct bench *bench) {
  const struct pl_change *change =
      oil_change(bench, OIL("300 cSt", "\"a\""), OIL("310 cSt", "\"a\""));
  assert_string_equal(change->within, "viscosity 300 cSt → 310 cSt");
  assert_string_equal(pl_change_sentence(bench->arena, change, NULL),
                      "all oil a: viscosity 300 cSt → 310 cSt");
  change = oil_change(bench, OIL("300 cSt", "blend(\"a\" 60 %, \"b\" 40 %)"),
                      OIL("310 cSt", "blend(\"a\" 60 %, \"b\" 40 %)"));
  assert_string_equal(change->within, "a: viscosity 300 cSt → 310 cSt");
  assert_null(oil_change(bench, OIL("300 cSt", "\"a\""), OIL("300 cSt", "\"a\"")));
  change = oil_change(bench, OIL("300 cSt", "\"a\""), OIL("300 cSt", "\"b\""));
  assert_string_equal(change->within, "");
}

// ---------------------------------------------------------------- what moves most

static struct pl_change move(enum pl_figure figure, double before, double after) {
  return (struct pl_change){
      .is_figure = true, .figure = figure, .old_number = before, .new_number = after};
}

static void greatest_moves_work(struct bench *bench) {
  (void)bench;
  const struct pl_change cause = {.name = ""};
  const struct pl_change moves[] = {
      move(PL_FIGURE_WHEEL_RATE, 100, 101), move(PL_FIGURE_RIDE_FREQUENCY, 2, 1),
      move(PL_FIGURE_RIDE_FREQUENCY, 2, 1.1), move(PL_FIGURE_PACK_SPEED, 0, 5),
      move(PL_FIGURE_CAMBER_GAIN, 0, 0)};
  const struct pl_effect effect = {&cause, moves, 5};
  const struct pl_change *greatest[5];
  assert_int_equal((int)pl_greatest_moves(&effect, greatest, 2), 2);
  assert_ptr_equal(greatest[0], &moves[3]);
  assert_ptr_equal(greatest[1], &moves[1]);
  assert_int_equal((int)pl_greatest_moves(&effect, greatest, 5), 4); // each figure once
  assert_ptr_equal(greatest[2], &moves[0]);
  const struct pl_effect rest = {NULL, NULL, 7};
  assert_int_equal((int)pl_greatest_moves(&rest, greatest, 2), 0);
}

#define WITH_BENCH(name)                                                                       \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
WITH_BENCH(one_form)
WITH_BENCH(rules_and_their_conditions)
WITH_BENCH(parts_by_values)
WITH_BENCH(lines_by_their_places)
WITH_BENCH(part_of_one_name)
WITH_BENCH(greatest_moves)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(one_form),         cmocka_unit_test(rules_and_their_conditions),
      cmocka_unit_test(parts_by_values),  cmocka_unit_test(lines_by_their_places),
      cmocka_unit_test(part_of_one_name), cmocka_unit_test(greatest_moves),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
