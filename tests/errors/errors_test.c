// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what a user reads about each wrong file of this folder: NAME.leaf against
// NAME.expected. With PITLEAF_ACCEPT=1 in the environment it writes the expected texts anew;
// they are right only once a person has read them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "pitleaf/choice.h"
#include "pitleaf/rules.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define FEWEST_FILES 60

static void note_block(void *context, const struct pl_block *block, bool in_main) {
  (void)block;
  bool *const has_one = context;
  if (in_main) *has_one = true;
}

static void check_rules(void *context, const struct pl_block *block, bool in_main) {
  if (in_main) pl_rules_check(context, block);
}

static void check_meeting(void *context, const struct pl_block *block, bool in_main) {
  if (!in_main) return;
  pl_measured_check(context, block);
  pl_entries_check(context, block);
}

static void check_aim(void *context, const struct pl_block *block, bool in_main) {
  if (in_main) pl_aim_check(context, block);
}

/// All that can be known of the file: its blocks and, where it has rules, a setup or a meeting,
/// what comes of it.
static void check_file(struct pl_bench *bench, const char *path) {
  bench->program = pl_program_load(bench->session, bench->arena, path);
  pl_program_each(bench->program, PL_BLOCK_RULES, check_rules, bench->program);
  bool has_meeting = false;
  pl_program_each(bench->program, PL_BLOCK_MEETING, note_block, &has_meeting);
  if (has_meeting) (void)pl_program_meeting(bench->program, NULL);
  pl_program_each(bench->program, PL_BLOCK_MEETING, check_meeting, bench->program);
  pl_program_each(bench->program, PL_BLOCK_AIM, check_aim, bench->program);
  bool has_setup = false;
  pl_program_each(bench->program, PL_BLOCK_SETUP, note_block, &has_setup);
  if (!has_setup) return; // a library: there is nothing to print, and nothing wrong with that
  const struct pl_setup *const setup = pl_program_setup(bench->program, NULL);
  if (setup != NULL) pl_setup_check(setup);
}

static const char *path_with(struct pl_bench *bench, const char *ending) {
  const size_t stem = strlen(bench->subject) - strlen(".leaf");
  return pl_format(bench->arena, "%.*s%s", (int)stem, bench->subject, ending);
}

/// The first line in which two texts differ, for the log.
static void print_difference(struct pl_bench *bench, const char *got, const char *expected) {
  while (*got != '\0' && *got == *expected) {
    got++;
    expected++;
  }
  const char *const got_line = pl_copy_text(bench->arena, got, strcspn(got, "\n"));
  const char *const line = pl_copy_text(bench->arena, expected, strcspn(expected, "\n"));
  print_error("%s: here it reads `%s`, and `%s` was expected\n", bench->subject, got_line,
              line);
}

static void reads_as_expected(struct pl_bench *bench) {
  check_file(bench, bench->subject);
  const char *const got = pl_bench_shown(bench);
  const char *const expected_path = path_with(bench, ".expected");
  const char *const actual_path = path_with(bench, ".actual");
  assert_true(pl_program_problems(bench->program)->count > 0); // each file is a wrong one
  if (getenv("PITLEAF_ACCEPT") != NULL) pl_test_write(expected_path, got, strlen(got));
  size_t length = 0;
  const char *const expected = pl_test_read(bench->arena, expected_path, &length);
  if (expected != NULL && strcmp(got, expected) == 0) {
    (void)remove(actual_path);
    return;
  }
  pl_test_write(actual_path, got, strlen(got));
  if (expected != NULL) print_difference(bench, got, expected);
  fail_msg("%s is not what %s says", actual_path, expected_path);
}

/// Problems that no file of this folder can have: of the main file's path, of files of other
/// kinds (both in paths_test.c), of a meeting's entries once they are loaded (in
/// model_entry_test.c), and of what the user asks for by name.
static bool is_no_files(enum pl_code code) {
  switch (code) {
  case PL_FILE_IS_MISSING:
  case PL_FILE_IS_FOLDER:
  case PL_FILE_IS_NOT_PLAIN:
  case PL_FILE_IS_TOO_LARGE:
  case PL_FILE_IS_UNREADABLE:
  case PL_INCLUDE_NOT_PLAIN:
  case PL_INCLUDE_TOO_LARGE:
  case PL_INCLUDE_UNREADABLE:
  case PL_TOO_MANY_INCLUDES:
  case PL_ENTRY_OUTSIDE:
  case PL_NO_SUCH_BOX:
  case PL_NO_SUCH_BOX_FAR:
  case PL_NO_BOX:
  case PL_SEVERAL_BOXES:
  case PL_NO_SUCH_AIM:
  case PL_NO_SUCH_AIM_FAR:
  case PL_NO_AIM:
  case PL_SEVERAL_AIMS:
  case PL_NO_SUCH_MEETING:
  case PL_NO_MEETING:
  case PL_NO_SUCH_SETUP:
  case PL_NO_SUCH_RULES:
  case PL_NO_RULES:
  case PL_SEVERAL_RULES:
  case PL_OTHER_RULES:
  case PL_NOTHING_TO_PRINT: return true;
  default: return false;
  }
}

/// Rows of the diagnostics table that the language itself has, and those of rules.
static bool is_of_files(int code) {
  return code <= PL_TOO_MANY_ENTRIES ||
         (code >= PL_NO_SUCH_RULES && code <= PL_RULE_NEVER_TRUE);
}

/// Each of these rows is caused by some file of the folder.
static void every_problem_has_a_file(struct pl_bench *bench) {
  bool seen[PL_CODE_COUNT] = {false};
  struct pl_test_names files = pl_test_names_in(".", ".leaf");
  for (size_t i = 0; i < files.count; i++) {
    check_file(bench, files.names[i]);
    const struct pl_diagnostics *const problems = pl_program_problems(bench->program);
    for (size_t j = 0; j < problems->count; j++) seen[problems->items[j].code] = true;
  }
  pl_test_names_free(&files);
  size_t missing = 0;
  for (int code = 0; code < PL_CODE_COUNT; code++) {
    if (!is_of_files(code) || seen[code] || is_no_files((enum pl_code)code)) continue;
    print_error("no file causes %s: %s\n", pl_diagnostic_rows[code].code,
                pl_diagnostic_rows[code].text);
    missing++;
  }
  assert_int_equal(missing, 0);
}

/// A test for each file, and one for all of them.
static int run_all(const struct pl_test_names *files, struct CMUnitTest *tests,
                   struct pl_bench_case *cases) {
  for (size_t i = 0; i <= files->count; i++) {
    const bool is_file = i < files->count;
    cases[i] = is_file ? (struct pl_bench_case){reads_as_expected, files->names[i]}
                       : (struct pl_bench_case){every_problem_has_a_file, ""};
    tests[i] = (struct CMUnitTest){is_file ? files->names[i] : "every_problem_has_a_file",
                                   pl_bench_run, pl_bench_new, pl_bench_free, &cases[i]};
  }
  return _cmocka_run_group_tests("errors", tests, files->count + 1, NULL, NULL);
}

int main(void) {
  const char *const root = pl_test_root();
  if (chdir(root) != 0 || chdir("tests/errors") != 0) {
    print_error("there is no folder %s/tests/errors\n", root);
    return 1;
  }
  struct pl_test_names files = pl_test_names_in(".", ".leaf");
  struct CMUnitTest *const tests = calloc(files.count + 1, sizeof *tests);
  struct pl_bench_case *const cases = calloc(files.count + 1, sizeof *cases);
  int failed = 1;
  if (files.count < FEWEST_FILES)
    print_error("%zu wrong files are too few\n", files.count);
  else if (tests != NULL && cases != NULL)
    failed = run_all(&files, tests, cases);
  free(cases);
  free(tests);
  pl_test_names_free(&files);
  return failed;
}
