// SPDX-License-Identifier: GPL-3.0-or-later
// Reading and telling files apart: links that were put there after the path was worked out,
// files whose size is not known beforehand, one file by several names.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static void make_folder(const char *path) {
  if (mkdir(path, 0700) != 0) fail_msg("%s: %s", path, strerror(errno));
}

static const char *real_path_of(struct pl_bench *bench, const char *path) {
  enum pl_file_status status;
  const char *const real = pl_real_path(bench->arena, path, &status);
  assert_non_null(real);
  return real;
}

static enum pl_file_status read_at(struct pl_bench *bench, const char *real_path,
                                   struct pl_source **source) {
  *source = NULL;
  return pl_read_source(bench->arena, "shown.leaf", real_path, source);
}

/// A folder of the path becomes a link to another folder between the check and the reading.
static void a_swapped_folder(struct pl_bench *bench) {
  struct pl_source *source = NULL;
  make_folder("root");
  make_folder("root/sub");
  make_folder("root/sub/deep");
  make_folder("outside");
  make_folder("outside/deep");
  pl_test_write_text("root/sub/deep/x.leaf", "inside");
  pl_test_write_text("outside/deep/x.leaf", "outside");
  const char *const real = real_path_of(bench, "root/sub/deep/x.leaf");
  assert_int_equal(read_at(bench, real, &source), PL_FILE_OK);
  assert_string_equal((const char *)source->bytes, "inside");
  assert_int_equal(rename("root/sub", "root/was"), 0);
  assert_int_equal(symlink("../outside", "root/sub"), 0);
  assert_int_equal(access(real, R_OK), 0); // who follows links gets there
  assert_true(read_at(bench, real, &source) != PL_FILE_OK);
  assert_null(source);
}

static void a_swapped_file(struct pl_bench *bench) {
  struct pl_source *source = NULL;
  pl_test_write_text("x.leaf", "inside");
  pl_test_write_text("outside.leaf", "outside");
  const char *const real = real_path_of(bench, "x.leaf");
  assert_int_equal(unlink("x.leaf"), 0);
  assert_int_equal(symlink("outside.leaf", "x.leaf"), 0);
  assert_true(read_at(bench, real, &source) != PL_FILE_OK);
  assert_null(source);
}

/// A folder that may be passed but not listed is passed.
static void a_folder_that_is_passed(struct pl_bench *bench) {
  struct pl_source *source = NULL;
  make_folder("closed");
  pl_test_write_text("closed/x.leaf", "content");
  const char *const real = real_path_of(bench, "closed/x.leaf");
  assert_int_equal(chmod("closed", 0100), 0);
  assert_int_equal(read_at(bench, real, &source), PL_FILE_OK);
  assert_string_equal((const char *)source->bytes, "content");
  assert_int_equal(chmod("closed", 0700), 0);
}

/// Files of the kernel say that they have no bytes, and have some.
static void a_file_without_a_size(struct pl_bench *bench) {
  struct pl_source *source = NULL;
  struct pl_source *streamed = NULL;
  struct stat facts;
  const char *const path = "/proc/version"; // the same at every reading
  const int file = open(path, O_RDONLY);
  if (file < 0 || fstat(file, &facts) != 0 || facts.st_size != 0) skip();
  assert_int_equal(pl_read_stream(bench->arena, path, file, &streamed), PL_FILE_OK);
  close(file);
  assert_int_equal(read_at(bench, path, &source), PL_FILE_OK);
  assert_true(source->length > 0);
  assert_int_equal((int)source->length, (int)streamed->length);
  assert_memory_equal(source->bytes, streamed->bytes, source->length);
}

/// Of every size about the buffers' ends all bytes are read, and a NUL stands behind them.
static void every_byte_is_read(struct pl_bench *bench) {
  static const size_t sizes[] = {0, 1, 2, 4095, 4096, 4097, 8191, 8192, 8193, 70000};
  for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
    char *const bytes = pl_alloc(bench->arena, sizes[i] + 1);
    for (size_t j = 0; j < sizes[i]; j++) bytes[j] = (char)('a' + j % 23);
    pl_test_write("x.leaf", bytes, sizes[i]);
    struct pl_source *source = NULL;
    assert_int_equal(read_at(bench, real_path_of(bench, "x.leaf"), &source), PL_FILE_OK);
    assert_int_equal((int)source->length, (int)sizes[i]);
    assert_memory_equal(source->bytes, bytes, sizes[i]);
    assert_int_equal(source->bytes[sizes[i]], 0);
  }
}

static bool is_same(const char *one, const char *other) {
  int error = 77;
  const bool same = pl_same_file(one, other, &error);
  assert_int_equal(error, 0);
  return same;
}

static void one_file_by_several_names(struct pl_bench *bench) {
  (void)bench;
  pl_test_write_text("one.leaf", "x");
  pl_test_write_text("other.leaf", "x");
  assert_int_equal(symlink("one.leaf", "soft.leaf"), 0);
  assert_int_equal(link("one.leaf", "hard.leaf"), 0);
  assert_true(is_same("one.leaf", "./one.leaf"));
  assert_true(is_same("one.leaf", "soft.leaf"));
  assert_true(is_same("hard.leaf", "soft.leaf"));
  assert_false(is_same("one.leaf", "other.leaf"));
  assert_false(is_same("one.leaf", "none.leaf"));
  assert_false(is_same("none.leaf", "none.leaf"));
  assert_false(is_same("/dev/null", "/dev/null")); // what is written there is gone
  int error = 0;
  assert_int_equal(symlink("circle", "circle"), 0);
  assert_false(pl_same_file("one.leaf", "circle", &error));
  assert_int_equal(error, ELOOP); // not known to be another
  assert_true(pl_is_folder("."));
  assert_false(pl_is_folder("one.leaf"));
  assert_false(pl_is_folder("none"));
}

/// Why a file cannot be read is said in the system's own words.
static void reason_is_told(struct pl_bench *bench) {
  enum pl_file_status status = PL_FILE_OK;
  assert_int_equal(symlink("circle", "circle"), 0);
  assert_null(pl_real_path(bench->arena, "circle", &status));
  assert_int_equal(pl_file_problem(status), PL_FILE_IS_UNREADABLE);
  assert_string_equal(pl_file_reason(status), strerror(ELOOP));
  bench->program = pl_program_load(bench->session, bench->arena, "circle");
  assert_non_null(strstr(pl_bench_shown(bench), strerror(ELOOP)));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(a_swapped_folder),
      PL_FOLDER_TEST(a_swapped_file),
      PL_FOLDER_TEST(a_folder_that_is_passed),
      PL_FOLDER_TEST(a_file_without_a_size),
      PL_FOLDER_TEST(reason_is_told),
      PL_FOLDER_TEST(every_byte_is_read),
      PL_FOLDER_TEST(one_file_by_several_names),
  };
  return cmocka_run_group_tests_name("base: reading files", tests, NULL, NULL);
}
