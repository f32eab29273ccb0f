// SPDX-License-Identifier: GPL-3.0-or-later
// Tests meetings: what they hold, how they copy from each other, how entries are sorted, and
// which lines are refused. How the messages read is tested in tests/errors.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "pitleaf/figures.h"

#include <string.h>

static const struct pl_meeting *meeting_of(struct pl_bench *bench, const char *text) {
  return pl_program_meeting(pl_bench_program(bench, text), NULL);
}

/// The numbers of the entries in their order, with blanks between them.
static const char *numbers_of(struct pl_bench *bench, const struct pl_meeting *meeting) {
  struct pl_buffer text = {.arena = bench->arena};
  for (size_t i = 0; i < meeting->entry_count; i++)
    pl_buffer_format(&text, "%s%s", i == 0 ? "" : " ", meeting->entries[i].number);
  return pl_buffer_string(&text);
}

static const struct pl_entry *entry_of(const struct pl_meeting *meeting, const char *number) {
  for (size_t i = 0; i < meeting->entry_count; i++) {
    if (strcmp(meeting->entries[i].number, number) == 0) return &meeting->entries[i];
  }
  fail_msg("there is no entry %s", number);
  return NULL;
}

static const char *text_at(struct pl_bench *bench, struct pl_span span) {
  return pl_span_text(bench->arena, span);
}

// ---------------------------------------------------------------- what a meeting holds

static void all_is_read(struct pl_bench *bench) {
  const struct pl_meeting *const meeting =
      meeting_of(bench, "meeting \"Sluice Lane, round 3\" {\n"
                        " date = 2026-06-14\n track = \"Sluice Lane\"\n event = \"Tideline\"\n"
                        " rules = [\"Saltmarsh\", \"House\"]\n template = \"race sheet\"\n"
                        " entry 12 { driver = \"Moss Heron\"; setup = \"12/a.leaf\" \"Dry\"\n"
                        "  class = \"2wd\"; group = \"A\"; transponder = \"0000012\" }\n"
                        " entry 31 { measured { mass = 1480 g } }\n}\n");
  assert_problems(bench, "");
  assert_string_equal(meeting->name, "Sluice Lane, round 3");
  assert_string_equal(text_at(bench, meeting->span), "\"Sluice Lane, round 3\"");
  assert_string_equal(meeting->date, "2026-06-14");
  assert_string_equal(meeting->track_name, "Sluice Lane");
  assert_string_equal(meeting->event, "Tideline");
  assert_int_equal(meeting->rule_count, 2);
  assert_string_equal(meeting->rules[0], "Saltmarsh");
  assert_string_equal(meeting->rules[1], "House");
  assert_int_equal(meeting->template_count, 1);
  assert_string_equal(meeting->templates[0], "race sheet");
  assert_int_equal(meeting->entry_count, 2);
  const struct pl_entry *const entry = &meeting->entries[0];
  assert_string_equal(entry->number, "12");
  assert_string_equal(text_at(bench, entry->span), "12");
  assert_string_equal(entry->driver, "Moss Heron");
  assert_string_equal(entry->class_name, "2wd");
  assert_string_equal(entry->group, "A");
  assert_string_equal(entry->transponder, "0000012");
  assert_string_equal(entry->setup_path, "12/a.leaf");
  assert_string_equal(entry->setup_name, "Dry");
  assert_string_equal(text_at(bench, entry->setup_span), "\"12/a.leaf\"");
  assert_null(entry->measured);
}

static void nothing_is_empty_texts(struct pl_bench *bench) {
  const struct pl_meeting *const meeting =
      meeting_of(bench, "meeting \"m\" { entry 31 { measured { mass = 1480 g } } }\n");
  assert_problems(bench, "");
  assert_string_equal(meeting->date, "");
  assert_string_equal(meeting->track_name, "");
  assert_string_equal(meeting->event, "");
  assert_int_equal(meeting->rule_count, 0);
  assert_int_equal(meeting->template_count, 0);
  const struct pl_entry *const entry = &meeting->entries[0];
  assert_string_equal(entry->driver, "");
  assert_string_equal(entry->class_name, "");
  assert_string_equal(entry->group, "");
  assert_string_equal(entry->transponder, "");
  assert_string_equal(entry->setup_path, "");
  assert_null(entry->setup_name);
  assert_null(entry->setup_span.source);
  assert_string_equal(entry->measured->children->name, "mass");
  assert_int_equal(meeting_of(bench, "meeting \"m\" { }\n")->entry_count, 0);
}

/// Numbers read as texts where a text is wanted, and names as what `let` says.
static void texts_in_other_ways(struct pl_bench *bench) {
  const struct pl_meeting *const meeting =
      meeting_of(bench, "let pages = [\"front\", \"back\"]\nlet file = \"a.leaf\"\n"
                        "meeting \"m\" { template = pages; rules = [2026, \"b\"]; event = 7\n"
                        " track-name = \"Sluice Lane\"\n"
                        " entry 3 { setup = file; transponder = 12; class = event } }\n");
  assert_problems(bench, "needs-quotes"); // an entry does not see its meeting's settings
  assert_int_equal(meeting->template_count, 2);
  assert_string_equal(meeting->templates[1], "back");
  assert_string_equal(meeting->rules[0], "2026");
  assert_string_equal(meeting->event, "7");
  assert_string_equal(meeting->track_name, "Sluice Lane");
  assert_string_equal(meeting->entries[0].setup_path, "a.leaf");
  assert_null(meeting->entries[0].setup_name);
  assert_string_equal(meeting->entries[0].transponder, "12");
}

/// An entry is known by a number, however it is written, or by a short text.
static void numbers_of_entries(struct pl_bench *bench) {
  const struct pl_meeting *meeting =
      meeting_of(bench, "meeting \"m\" { entry 0 { } entry 99999 { } entry 007 { }\n"
                        " entry \"08\" { } entry \"7B\" { } entry \"ÄÖÜäöüÄÖÜäöü\" { } }\n");
  assert_problems(bench, "");
  assert_string_equal(numbers_of(bench, meeting), "0 7 7B 08 99999 ÄÖÜäöüÄÖÜäöü");
  static const char *const strange[] = {"100000", "7.5", "7 mm", "\"\"", "\"1234567890123\"",
                                        "30 wt"};
  for (size_t i = 0; i < sizeof strange / sizeof strange[0]; i++) {
    meeting = meeting_of(bench, pl_format(bench->arena,
                                          "meeting \"m\" { entry 1 { }\n entry %s "
                                          "{ drivr = \"x\" } }\n",
                                          strange[i]));
    assert_problems(bench, "entry-number unknown-key");
    assert_string_equal(numbers_of(bench, meeting), "1");
  }
  meeting_of(bench, "meeting \"m\" { entry \"7\\n8\" { } }\n");
  assert_problems(bench, "one-name");
  meeting_of(bench, "meeting \"m\" { entry { } }\n");
  assert_problems(bench, "entry-number");
}

// ---------------------------------------------------------------- order

#define SORTED                                                                                 \
  " entry 12 { group = \"B\"; class = \"2wd\" }\n entry \"A1\" { }\n"                          \
  " entry \"7B\" { group = \"10\" }\n entry 7 { group = \"9\"; class = \"4wd\" }\n"            \
  " entry 100 { group = \"B\" }\n entry 31 { class = \"2wd\" }\n}\n"

static void entries_are_sorted(struct pl_bench *bench) {
  static const char *const orders[][2] = {{"", "7 7B 12 31 100 A1"},
                                          {"sort = entry", "7 7B 12 31 100 A1"},
                                          {"sort = group", "7 7B 12 100 31 A1"},
                                          {"sort = class", "12 31 7 7B 100 A1"}};
  for (size_t i = 0; i < sizeof orders / sizeof orders[0]; i++) {
    const struct pl_meeting *const meeting = meeting_of(
        bench, pl_format(bench->arena, "meeting \"m\" {\n %s\n" SORTED, orders[i][0]));
    assert_problems(bench, "");
    assert_string_equal(numbers_of(bench, meeting), orders[i][1]);
  }
}

/// Numbers that are written otherwise but come to the same stay as in the file.
static void equals_keep_their_order(struct pl_bench *bench) {
  const struct pl_meeting *meeting =
      meeting_of(bench, "meeting \"m\" { entry \"007\" { } entry 7 { } entry \"07\" { } }\n");
  assert_string_equal(numbers_of(bench, meeting), "007 7 07");
  meeting =
      meeting_of(bench, "meeting \"m\" { entry \"07\" { } entry 7 { } entry \"007\" { } }\n");
  assert_string_equal(numbers_of(bench, meeting), "07 7 007");
}

// ---------------------------------------------------------------- from

static void meetings_copy(struct pl_bench *bench) {
  const struct pl_meeting *const meeting = meeting_of(
      bench, "meeting \"a\" { track = \"Sluice Lane\"; rules = [\"x\", \"y\"]\n"
             " template = \"race sheet\"; event = \"Tideline\"\n"
             " entry 7 { driver = \"Wren\"; setup = \"7.leaf\" \"Wet\"; group = \"A\"\n"
             "  measured { mass = 1480 g } }\n"
             " entry 9 { driver = \"Reed\"; measured { mass = 1 g } } }\n"
             "meeting \"b\" from \"a\" { event = \"Saltmarsh\"; rules = [ ]\n"
             " entry 3 { driver = \"Moss\" }\n"
             " entry 7 { setup = \"7b.leaf\"; measured { mass = 1490 g } } }\n");
  assert_problems(bench, "");
  assert_string_equal(meeting->name, "b");
  assert_string_equal(meeting->track_name, "Sluice Lane");
  assert_string_equal(meeting->event, "Saltmarsh");
  assert_int_equal(meeting->rule_count, 0);
  assert_int_equal(meeting->template_count, 1);
  assert_string_equal(numbers_of(bench, meeting), "3 7 9");
  const struct pl_entry *const seven = entry_of(meeting, "7");
  assert_string_equal(seven->driver, "Wren");
  assert_string_equal(seven->group, "A");
  assert_string_equal(seven->setup_path, "7b.leaf");
  assert_null(seven->setup_name); // the key as a whole is replaced
  assert_int_equal(pl_position(seven->span).line, 8);
  assert_true(seven->measured->children->children->number == 1490);
  assert_non_null(entry_of(meeting, "9")->measured);
  // The base is as it was.
  const struct pl_meeting *const base = pl_program_meeting(bench->program, "a");
  assert_string_equal(numbers_of(bench, base), "7 9");
  assert_string_equal(entry_of(base, "7")->setup_name, "Wet");
  assert_int_equal(base->rule_count, 2);
}

static void chains_that_are_none(struct pl_bench *bench) {
  assert_null(
      meeting_of(bench, "meeting \"a\" from \"b\" { }\nmeeting \"b\" from \"a\" { }\n"));
  assert_problems(bench, "from-circle");
  meeting_of(bench, "meeting \"a\" from \"b\" { entry 7 { } }\n");
  assert_problems(bench, "unknown-base");
}

/// A base's mistake is told once, where it stands, whoever builds on it.
static void mistakes_of_a_base(struct pl_bench *bench) {
  meeting_of(bench, "meeting \"a\" { dat = 2026-06-14; entry 7 { drivr = \"x\" }\n"
                    " entry 7 { driver += \"y\" } }\n"
                    "meeting \"b\" from \"a\" { entry 7 { driver = \"z\" } }\n"
                    "meeting \"c\" from \"b\" { }\n");
  assert_problems(bench, "unknown-key unknown-key entry-twice cannot-change");
}

// ---------------------------------------------------------------- which meeting

static void the_meeting_that_is_meant(struct pl_bench *bench) {
  assert_null(meeting_of(bench, "setup \"s\" { }\n"));
  assert_problems(bench, "no-meeting");
  assert_null(meeting_of(bench, "meeting \"a\" { }\nmeeting \"b\" { }\n"));
  assert_problems(bench, "several-meetings");
  assert_string_equal(pl_program_meeting(bench->program, "b")->name, "b");
  assert_ptr_equal(pl_program_meeting(bench->program, "b"),
                   pl_program_meeting(bench->program, "b"));
  assert_null(pl_program_meeting(bench->program, "c"));
  assert_problems(bench, "several-meetings no-such-meeting");
}

/// A meeting says nothing about which setup is meant.
static void meetings_and_setups_are_apart(struct pl_bench *bench) {
  const struct pl_setup *const setup =
      pl_bench_setup(bench, "meeting \"s\" { }\nsetup \"s\" { entry = 7; driver = \"x\" }\n");
  assert_problems(bench, "");
  assert_string_equal(pl_setup_name(setup), "s");
  pl_bench_setup(bench, "setup \"s\" { entry 7 { } }\nentry 7 { }\n");
  assert_problems(bench, "setting-as-block unknown-kind");
}

// ---------------------------------------------------------------- checks

/// Lines within an entry, and what is said about them.
static void lines_of_entries(struct pl_bench *bench) {
  static const char *const lines[][2] = {
      {"driver = \"x\"; driver = \"y\"", "given-twice"},
      {"date = 2026-06-14", "key-of-other-block"},
      {"camber = -1 deg", "key-of-other-block"},
      {"number = 7", "unknown-key"},
      {"\"Wing shim\" = \"2 mm\"", "unknown-key"},
      {"driver = [\"x\", \"y\"]", "wrong-kind"},
      {"driver = Wren", "needs-quotes"},
      {"setup = 7", "wrong-kind"},
      {"setup = [\"a.leaf\", \"b\"]", "wrong-kind"},
      {"setup = \"a.leaf\" \"b\" \"c\"", "wrong-kind"},
      {"setup = \"a.leaf\" 7", "wrong-kind"},
      {"setup = a.leaf", "needs-quotes"},
      {"setup = a/b.leaf", "needs-quotes"},
      {"setup = \"/a.leaf\"", "include-absolute"},
      {"setup = \"../../../../../../../../../a.leaf\"", "include-outside"},
      {"setup = \"a/../../../../../../../../../a.leaf\" \"x\"", "include-outside"},
      {"driver += \"x\"", "cannot-change"},
      {"let a = 3", "let-inside"},
      {"include \"a.leaf\"", "include-inside"},
      {"spring \"s\" { }", "block-inside"},
      {"front { }", "unknown-block"},
      {"measured { }; measured { }", "given-twice"},
      {"measured \"x\" { }", "no-name-here"},
      {"measured { mass = 1 g; all { mass = 2 g } }", "given-twice"},
      {"measured { front { rear { } } }", "scope-in-scope"},
      {"measured { damper { } }", "unknown-block"},
      {"measured { include \"a.leaf\" }", "include-inside"},
      {"setup = \"\"", ""},
      {"measured { front { mass = 1 g }; rear { mass = 1 g }; mass = \"odd\" }", ""}};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
    pl_bench_program(
        bench, pl_format(bench->arena, "meeting \"m\" { entry 7 {\n%s\n} }\n", lines[i][0]));
    if (strcmp(pl_bench_problems(bench), lines[i][1]) != 0)
      fail_msg("`%s` says `%s`", lines[i][0], pl_bench_problems(bench));
  }
}

static void lines_of_meetings(struct pl_bench *bench) {
  static const char *const lines[][2] = {
      {"date = 2026-06-14; date = 2026-06-15", "given-twice"},
      {"track = \"x\"; track-name = \"y\"", "given-twice"},
      {"date = \"today\"", "wrong-kind"},
      {"date = 2026-06-31", "no-such-day"},
      {"sort = number", "unknown-choice"},
      {"template = 3 x 1.3 mm", "wrong-kind"},
      {"template = [\"x\", [\"y\"]]", "wrong-kind"},
      {"rules = (1 mm, 2 mm)", "wrong-kind"},
      {"driver = \"x\"", "key-of-other-block"},
      {"7 = \"x\"", "number-as-key"},
      {"entri 7 { }", "unknown-block"},
      {"measured { }", "unknown-block"},
      {"car \"c\" { }", "block-inside"},
      {"entry 7 { }; entry 7 { }", "entry-twice"},
      {"entry 7 { }; entry \"7\" { }", "entry-twice"},
      {"entry 7 8 { }", "one-name"},
      {"entry 7 from \"8\" { }", "from-inside"},
      {"entry 7 when 2 > 1 { }", "when-outside-rule"},
      {"rules = [ ]; template = [ ]", ""}};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
    pl_bench_program(bench, pl_format(bench->arena, "meeting \"m\" {\n%s\n}\n", lines[i][0]));
    if (strcmp(pl_bench_problems(bench), lines[i][1]) != 0)
      fail_msg("`%s` says `%s`", lines[i][0], pl_bench_problems(bench));
  }
}

static const char *measured_problems(struct pl_bench *bench, const char *line) {
  pl_bench_program(bench, pl_format(bench->arena,
                                    "meeting \"m\" { entry 7 { measured {\n%s\n} } }\n", line));
  pl_measured_check(bench->program, pl_program_find(bench->program, PL_BLOCK_MEETING, "m"));
  return pl_bench_problems(bench);
}

/// What was measured is a setting, one of a part, or a figure.
static void what_was_measured(struct pl_bench *bench) {
  static const char *const lines[][2] = {
      {"mass = 1480 g; front { damper.bore = 12.1 mm; damper.seal.rings = 2 }", ""},
      {"front { mass = 1480 g }", "belongs-to-car"},
      {"all { width = 250 mm }", "belongs-to-car"},
      {"left { track = 210 mm }", "belongs-to-axle"},
      {"rear-left { track = 210 mm }", "belongs-to-axle"},
      {"front { track = 210 mm }; rear { track = 211 mm }; all { track = 8 in }", ""},
      {"track = 210 mm; preload = 3 mm; spring-rate = 3 lbf/in; air = 20 degC", ""},
      {"width = 250 g", "wrong-dimension"},
      {"width = 250", "needs-unit"},
      {"width = \"250 mm\"", "wrong-kind"},
      {"front { damper.bore = 12 g }", "wrong-dimension"},
      {"rear { spring-rate = 3 mm }", "wrong-dimension"},
      {"class = \"2wd\"; front { damper.compensation = vented; axle-type = beam }", ""},
      {"car.mass = 1480 g; rear { spring-rate = 0.6 N/mm; roll-rate = 3 N.m/deg }", ""},
      {"front { damper.compensation = bladdder }", "unknown-choice"},
      {"mas = 1480 g", "unknown-key"},
      {"bore = 12 mm", "unknown-key"},
      {"front { damper.bor = 12 mm }", "unknown-key"},
      {"camber.rate = 3", "unknown-key"},
      {"wheel-rte = 3", "unknown-key"},
      {"\"mass\" = 3", "unknown-key"},
      {"7 = 3", "unknown-key"},
      {"front.camber = 3 deg", "scope-as-key"}};
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
    if (strcmp(measured_problems(bench, lines[i][0]), lines[i][1]) != 0)
      fail_msg("`%s` says `%s`", lines[i][0], pl_bench_problems(bench));
  }
}

/// Lists are bounded, so that no file makes more of itself than it is.
static void limits(struct pl_bench *bench) {
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "meeting \"m\" { template = [\"p\"");
  for (int i = 1; i < 100; i++) pl_buffer_text(&text, ", \"p\"");
  const struct pl_meeting *const meeting =
      meeting_of(bench, pl_format(bench->arena, "%s] }\n", pl_buffer_string(&text)));
  assert_problems(bench, "");
  assert_int_equal(meeting->template_count, 100);
  meeting_of(bench, pl_format(bench->arena, "%s, \"p\"] }\n", pl_buffer_string(&text)));
  assert_problems(bench, "too-many-values");
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(all_is_read),
                                     PL_BENCH_TEST(nothing_is_empty_texts),
                                     PL_BENCH_TEST(texts_in_other_ways),
                                     PL_BENCH_TEST(numbers_of_entries),
                                     PL_BENCH_TEST(entries_are_sorted),
                                     PL_BENCH_TEST(equals_keep_their_order),
                                     PL_BENCH_TEST(meetings_copy),
                                     PL_BENCH_TEST(chains_that_are_none),
                                     PL_BENCH_TEST(mistakes_of_a_base),
                                     PL_BENCH_TEST(the_meeting_that_is_meant),
                                     PL_BENCH_TEST(meetings_and_setups_are_apart),
                                     PL_BENCH_TEST(lines_of_entries),
                                     PL_BENCH_TEST(lines_of_meetings),
                                     PL_BENCH_TEST(what_was_measured),
                                     PL_BENCH_TEST(limits)};
  return cmocka_run_group_tests_name("model_meeting", tests, NULL, NULL);
}
