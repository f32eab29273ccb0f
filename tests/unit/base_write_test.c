// SPDX-License-Identifier: GPL-3.0-or-later
// Tests that files are written whole or not at all, and the text of paths.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <errno.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static int write_text(const char *path, const char *text) {
  return pl_write_whole(path, (const unsigned char *)text, strlen(text));
}

static void assert_file(struct pl_bench *bench, const char *path, const char *text) {
  size_t length = 0;
  const char *const bytes = pl_test_read(bench->arena, path, &length);
  assert_non_null(bytes);
  assert_int_equal(length, strlen(text));
  assert_string_equal(bytes, text);
}

/// Nothing else is left in the folder, a temporary file for instance.
static void assert_files(size_t count) {
  struct pl_test_names names = pl_test_names_in(".", "");
  const size_t found = names.count;
  pl_test_names_free(&names);
  assert_int_equal(found, count);
}

static mode_t mode_of(const char *path) {
  struct stat facts;
  assert_int_equal(stat(path, &facts), 0);
  return facts.st_mode & 07777;
}

// ---------------------------------------------------------------- writing

static void new_file(struct pl_bench *bench) {
  const mode_t mask = umask(027);
  const int error = write_text("out.pdf", "whole");
  (void)umask(mask);
  assert_int_equal(error, 0);
  assert_file(bench, "out.pdf", "whole");
  assert_int_equal(mode_of("out.pdf"), 0640); // as the user's mask says
  assert_int_equal(write_text("out.pdf", ""), 0);
  assert_file(bench, "out.pdf", "");
  assert_files(1);
}

static void replaced_file_keeps_permissions(struct pl_bench *bench) {
  assert_int_equal(write_text("out.pdf", "old"), 0);
  assert_int_equal(chmod("out.pdf", 0604), 0);
  assert_int_equal(write_text("out.pdf", "new and longer"), 0);
  assert_file(bench, "out.pdf", "new and longer");
  assert_int_equal(mode_of("out.pdf"), 0604);
  assert_files(1);
}

/// Behind a link the file is replaced, and the link stays one.
static void link_stays(struct pl_bench *bench) {
  assert_int_equal(write_text("out.pdf", "old"), 0);
  assert_int_equal(symlink("out.pdf", "link.pdf"), 0);
  assert_int_equal(write_text("link.pdf", "new"), 0);
  struct stat facts;
  assert_int_equal(lstat("link.pdf", &facts), 0);
  assert_true(S_ISLNK(facts.st_mode));
  assert_file(bench, "out.pdf", "new");
  assert_files(2);
}

/// A disk that is full in the middle: the limit on a file's size stands in for it.
static void failure_leaves_old_file(struct pl_bench *bench) {
  assert_int_equal(write_text("out.pdf", "old"), 0);
  struct rlimit limit;
  assert_int_equal(getrlimit(RLIMIT_FSIZE, &limit), 0);
  struct rlimit small = limit;
  small.rlim_cur = 1000;
  unsigned char *const large = pl_alloc(bench->arena, 5000);
  void (*const before)(int) = signal(SIGXFSZ, SIG_IGN);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
  const int error = pl_write_whole("out.pdf", large, 5000);
  const int error_of_new = pl_write_whole("new.pdf", large, 5000);
  (void)setrlimit(RLIMIT_FSIZE, &limit);
  (void)signal(SIGXFSZ, before);
  assert_int_equal(error, EFBIG);
  assert_int_equal(error_of_new, EFBIG);
  assert_file(bench, "out.pdf", "old");
  assert_files(1); // no half of a file, and no temporary one
}

/// What is no plain file is written into and not replaced.
static void impossible_targets(struct pl_bench *bench) {
  assert_int_equal(write_text("nowhere/out.pdf", "text"), ENOENT);
  assert_int_equal(write_text(".", "text"), EISDIR);
  char *const name = pl_alloc(bench->arena, 9000);
  memset(name, 'a', 8999);
  assert_int_equal(write_text(name, "text"), ENAMETOOLONG);
  assert_int_equal(write_text("/dev/full", "text"), ENOSPC);
  assert_int_equal(write_text("/dev/null", "text"), 0);
  struct stat facts;
  assert_int_equal(stat("/dev/null", &facts), 0);
  assert_true(S_ISCHR(facts.st_mode));
  assert_files(0);
}

/// What cannot be looked at is not taken for a file that is not there yet.
static void circle_of_links_stays(struct pl_bench *bench) {
  struct stat facts;
  assert_int_equal(symlink("out.pdf", "out.pdf"), 0);
  assert_int_equal(write_text("out.pdf", "text"), ELOOP);
  assert_int_equal(lstat("out.pdf", &facts), 0);
  assert_true(S_ISLNK(facts.st_mode));
  (void)bench;
}

static void folder_is_made(struct pl_bench *bench) {
  assert_int_equal(write_text("file", ""), 0);
  assert_int_equal(pl_make_folder("new"), 0);
  assert_true(pl_is_folder("new"));
  assert_int_equal(pl_make_folder("new"), 0); // it is there
  assert_int_equal(pl_make_folder("file"), ENOTDIR);
  assert_int_equal(pl_make_folder("nowhere/new"), ENOENT);
  (void)bench;
}

// ---------------------------------------------------------------- paths

static void paths(struct pl_bench *bench) {
  struct pl_arena *const arena = bench->arena;
  assert_string_equal(pl_folder_of(arena, "a/b/c.leaf"), "a/b");
  assert_string_equal(pl_folder_of(arena, "c.leaf"), ".");
  assert_string_equal(pl_folder_of(arena, "/c.leaf"), "/");
  assert_string_equal(pl_join_path(arena, "a", "b.leaf"), "a/b.leaf");
  assert_string_equal(pl_join_path(arena, "a/", "b.leaf"), "a/b.leaf");
  assert_string_equal(pl_join_path(arena, ".", "b.leaf"), "b.leaf");
  assert_string_equal(pl_join_path(arena, "a", "/b.leaf"), "/b.leaf");
  assert_true(pl_path_inside("/a/b", "/a"));
  assert_true(pl_path_inside("/a", "/a"));
  assert_true(pl_path_inside("/a", "/"));
  assert_false(pl_path_inside("/ab", "/a"));
  assert_false(pl_path_inside("/", "/a"));
  assert_null(pl_work_tree(arena, "/"));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(new_file),           PL_FOLDER_TEST(replaced_file_keeps_permissions),
      PL_FOLDER_TEST(link_stays),         PL_FOLDER_TEST(failure_leaves_old_file),
      PL_FOLDER_TEST(impossible_targets), PL_FOLDER_TEST(circle_of_links_stays),
      PL_FOLDER_TEST(folder_is_made),     PL_BENCH_TEST(paths),
  };
  return cmocka_run_group_tests_name("base, writing", tests, NULL, NULL);
}
