// SPDX-License-Identifier: GPL-3.0-or-later
// Tests a stranger's file that is read by itself: what it may include, whatever the session or
// a work tree would allow.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static void make_folder(const char *path) {
  if (mkdir(path, 0700) != 0) fail_msg("%s: %s", path, strerror(errno));
}

#define SPRING(name) "spring \"" name "\" { rate = 0.62 N/mm }\n"
#define SETUP        "setup \"s\" { }\n"

/// A work tree with the stranger's folder in it, and beside that others and a library.
static void make_folders(void) {
  make_folder(".git");
  make_folder("entries");
  make_folder("entries/07");
  make_folder("entries/07/parts");
  make_folder("entries/12");
  make_folder("library");
  pl_test_write_text("secret.leaf", SPRING("secret"));
  pl_test_write_text("library/springs.leaf", SPRING("shelf"));
  pl_test_write_text("entries/12/parts.leaf", SPRING("other's"));
  pl_test_write_text("entries/07/own.leaf", SPRING("own"));
  pl_test_write_text("entries/07/parts/deep.leaf", SPRING("deep"));
  pl_test_write_text("entries/07/parts/up.leaf", "include \"../own.leaf\"\n");
  pl_test_write_text("entries/07/parts/out.leaf", "include \"../../12/parts.leaf\"\n");
  if (symlink("../12/parts.leaf", "entries/07/link.leaf") != 0) fail_msg("%s", strerror(errno));
}

/// Loads the stranger's file with these lines before its setup; the session's root is the whole
/// work tree.
static void load(struct pl_bench *bench, const char *lines, bool alone) {
  static const char *const library = "library";
  const struct pl_session_options options = {
      .libraries = &library, .library_count = 1, .root = "."};
  pl_test_write_text("entries/07/a.leaf", pl_format(bench->arena, "%s\n" SETUP, lines));
  bench->session = pl_session_new(bench->arena, bench->guard, &options);
  bench->program =
      alone ? pl_program_load_alone(bench->session, bench->arena, "entries/07/a.leaf")
            : pl_program_load(bench->session, bench->arena, "entries/07/a.leaf");
}

static void its_own_folder_and_libraries(struct pl_bench *bench) {
  static const char *const lines[][2] = {
      {"include \"own.leaf\"", ""},
      {"include \"parts/deep.leaf\"", ""},
      {"include \"parts/up.leaf\"", ""},
      {"include \"springs.leaf\"", ""},
      {"include \"../12/parts.leaf\"", "include-outside"},
      {"include \"../../secret.leaf\"", "include-outside"},
      {"include \"parts/out.leaf\"", "include-outside"},
      {"include \"link.leaf\"", "include-outside"},
      {"include \"../07/../12/parts.leaf\"", "include-outside"},
      {"include \"../absent.leaf\"", "include-outside"}, // nor does it learn what is there
      {"include \"/etc/hostname\"", "include-absolute"}};
  make_folders();
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
    load(bench, lines[i][0], true);
    if (strcmp(pl_bench_problems(bench), lines[i][1]) != 0)
      fail_msg("%s says `%s`", lines[i][0], pl_bench_problems(bench));
  }
}

/// An own file may include from the whole work tree: the limits are the stranger's alone.
static void an_own_file_may_more(struct pl_bench *bench) {
  make_folders();
  load(bench, "include \"../12/parts.leaf\"\ninclude \"../../secret.leaf\"", false);
  assert_problems(bench, "");
  assert_non_null(pl_program_find(bench->program, PL_BLOCK_SPRING, "secret"));
  load(bench, "include \"../12/parts.leaf\"\ninclude \"../../secret.leaf\"", true);
  assert_problems(bench, "include-outside include-outside");
  assert_null(pl_program_find(bench->program, PL_BLOCK_SPRING, "secret"));
}

/// What one stranger's file may not, the next may not because another file had it read.
static void what_was_read_before_is_no_leave(struct pl_bench *bench) {
  make_folders();
  load(bench, "include \"../12/parts.leaf\"", false);
  assert_problems(bench, "");
  bench->program = pl_program_load_alone(bench->session, bench->arena, "entries/07/a.leaf");
  assert_problems(bench, "include-outside");
}

/// A stranger's file that is a link to what lies elsewhere is not read, nor told.
static void a_link_to_elsewhere(struct pl_bench *bench) {
  make_folders();
  if (symlink("../../secret.leaf", "entries/07/stolen.leaf") != 0 ||
      symlink("own.leaf", "entries/07/same.leaf") != 0)
    fail_msg("%s", strerror(errno));
  bench->session = pl_session_new(bench->arena, bench->guard, NULL);
  bench->program =
      pl_program_load_alone(bench->session, bench->arena, "entries/07/stolen.leaf");
  assert_problems(bench, "include-outside");
  assert_null(pl_program_source(bench->program));
  bench->program = pl_program_load_alone(bench->session, bench->arena, "entries/07/same.leaf");
  assert_problems(bench, "");
  assert_non_null(pl_program_find(bench->program, PL_BLOCK_SPRING, "own"));
}

static void files_that_cannot_be_read(struct pl_bench *bench) {
  static const char *const paths[][2] = {{"absent.leaf", "no-such-file"},
                                         {"folder.leaf", "file-is-folder"},
                                         {"fifo.leaf", "not-a-plain-file"}};
  make_folder("folder.leaf");
  if (mkfifo("fifo.leaf", 0600) != 0) fail_msg("%s", strerror(errno));
  for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
    bench->program = pl_program_load_alone(bench->session, bench->arena, paths[i][0]);
    assert_true(pl_program_unreadable(bench->program));
    assert_problems(bench, paths[i][1]);
    assert_null(pl_program_source(bench->program));
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(its_own_folder_and_libraries),     PL_FOLDER_TEST(an_own_file_may_more),
      PL_FOLDER_TEST(what_was_read_before_is_no_leave), PL_FOLDER_TEST(a_link_to_elsewhere),
      PL_FOLDER_TEST(files_that_cannot_be_read),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
