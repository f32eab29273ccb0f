// SPDX-License-Identifier: GPL-3.0-or-later
// Tests of what stands in the place of a folder: its files are there, others are not, and
// nothing below the folder is asked of the disk.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <string.h>

/// Files that stand in, by their paths from the folder.
struct shelf {
  const char *folder;
  const char *const (*files)[2]; ///< path and text; a null path ends them
  const char *link;              ///< a path that leads to `link_to`; null: none
  const char *link_to;
};

static enum pl_file_status find(void *context, struct pl_arena *arena, const char *path,
                                const char **real_path) {
  const struct shelf *const shelf = context;
  const char *wanted = path + strlen(shelf->folder) + 1;
  if (shelf->link != NULL && strcmp(wanted, shelf->link) == 0) wanted = shelf->link_to;
  for (size_t i = 0; shelf->files[i][0] != NULL; i++) {
    if (strcmp(shelf->files[i][0], wanted) != 0) continue;
    *real_path = pl_format(arena, "%s/%s", shelf->folder, wanted);
    return PL_FILE_OK;
  }
  return PL_FILE_MISSING;
}

static enum pl_file_status read_it(void *context, struct pl_arena *arena, const char *real_path,
                                   const unsigned char **bytes, size_t *length) {
  (void)arena;
  const struct shelf *const shelf = context;
  for (size_t i = 0; shelf->files[i][0] != NULL; i++) {
    if (strcmp(shelf->files[i][0], real_path + strlen(shelf->folder) + 1) != 0) continue;
    *bytes = (const unsigned char *)shelf->files[i][1];
    *length = strlen(shelf->files[i][1]);
    return strcmp(shelf->files[i][1], "unreadable") == 0 ? PL_FILE_UNREADABLE : PL_FILE_OK;
  }
  return PL_FILE_MISSING;
}

/// The problems of `path` with the shelf in the place of the working folder.
static const char *problems_with(struct pl_bench *bench, struct shelf *shelf,
                                 const char *path) {
  enum pl_file_status status;
  shelf->folder = pl_real_path(bench->arena, ".", &status);
  struct pl_stand_in *const other = pl_alloc(bench->arena, sizeof *other);
  *other = (struct pl_stand_in){shelf->folder, find, read_it, shelf};
  const struct pl_session_options options = {.stand_in = other};
  struct pl_session *const session = pl_session_new(bench->arena, bench->guard, &options);
  bench->program = pl_program_load(session, bench->arena, path);
  return pl_bench_problems(bench);
}

#define SETUP(oil) "include \"../lib/oils.leaf\"\nsetup \"a\" { all { oil = \"" oil "\" } }\n"

static void its_files_are_read(struct pl_bench *bench) {
  pl_test_write_text("oils.leaf", "oil \"of the disk\" { viscosity = 300 cSt }\n");
  static const char *const files[][2] = {
      {"cars/a.leaf", SETUP("thin")},
      {"lib/oils.leaf", "oil \"thin\" { viscosity = 300 cSt }\n"},
      {NULL, NULL}};
  // Neither folder is on the disk.
  assert_string_equal(problems_with(bench, &(struct shelf){.files = files}, "cars/a.leaf"), "");
  assert_string_equal(
      problems_with(bench, &(struct shelf){.files = files}, "lib/../cars/a.leaf"), "");
  assert_non_null(pl_program_setup(bench->program, NULL));
}

static void what_only_the_disk_has_is_not_there(struct pl_bench *bench) {
  pl_test_write_text("oils.leaf", "oil \"thin\" { viscosity = 300 cSt }\n");
  static const char *const files[][2] = {{"a.leaf", "include \"oils.leaf\"\nsetup \"a\" { }\n"},
                                         {NULL, NULL}};
  assert_string_equal(problems_with(bench, &(struct shelf){.files = files}, "a.leaf"),
                      "include-missing");
  assert_string_equal(problems_with(bench, &(struct shelf){.files = files}, "oils.leaf"),
                      "no-such-file");
}

static void nothing_leaves_the_root(struct pl_bench *bench) {
  static const char *const files[][2] = {{"a.leaf", "include \"../b.leaf\"\nsetup \"a\" { }\n"},
                                         {NULL, NULL}};
  assert_string_equal(problems_with(bench, &(struct shelf){.files = files}, "a.leaf"),
                      "include-outside");
}

/// By two names, the second of which leads to the first: a setup that stands once.
static void links_are_one_file(struct pl_bench *bench) {
  static const char *const files[][2] = {
      {"a.leaf", "include \"oils.leaf\"\ninclude \"other.leaf\"\nsetup \"a\" { }\n"},
      {"oils.leaf", "oil \"thin\" { viscosity = 300 cSt }\n"},
      {NULL, NULL}};
  assert_string_equal(
      problems_with(
          bench, &(struct shelf){.files = files, .link = "other.leaf", .link_to = "oils.leaf"},
          "a.leaf"),
      "");
}

static void what_cannot_be_read_is_not_taken_from_the_disk(struct pl_bench *bench) {
  pl_test_write_text("oils.leaf", "oil \"thin\" { viscosity = 300 cSt }\n");
  static const char *const files[][2] = {{"a.leaf", "include \"oils.leaf\"\nsetup \"a\" { }\n"},
                                         {"oils.leaf", "unreadable"},
                                         {NULL, NULL}};
  assert_string_equal(problems_with(bench, &(struct shelf){.files = files}, "a.leaf"),
                      "include-unreadable");
}

/// A source in memory that stands where a file is: an include of that file is the source.
static void source_in_the_place_of_a_file(struct pl_bench *bench) {
  pl_test_write_text("a.leaf", "include \"b.leaf\"\nsetup \"a\" { }\n");
  pl_test_write_text("b.leaf", "include \"a.leaf\"\n");
  static const char text[] = "include \"b.leaf\"\nsetup \"a\" { air = 9 degC }\n";
  enum pl_file_status status;
  struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "a.leaf", (const unsigned char *)text, sizeof text - 1);
  source->real_path = pl_real_path(bench->arena, "a.leaf", &status);
  bench->program = pl_program_of_source(bench->session, bench->arena, source, ".");
  assert_problems(bench, "");
}

/// A folder that is not there lets nothing in but what its path would.
static void source_in_a_folder_that_is_gone(struct pl_bench *bench) {
  static const char text[] = "include \"../../../../../etc/hostname\"\nsetup \"a\" { }\n";
  struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "a.leaf", (const unsigned char *)text, sizeof text - 1);
  bench->program = pl_program_of_source(bench->session, bench->arena, source, "gone/away");
  assert_problems(bench, "include-outside");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(its_files_are_read),
      PL_FOLDER_TEST(what_only_the_disk_has_is_not_there),
      PL_FOLDER_TEST(nothing_leaves_the_root),
      PL_FOLDER_TEST(links_are_one_file),
      PL_FOLDER_TEST(what_cannot_be_read_is_not_taken_from_the_disk),
      PL_FOLDER_TEST(source_in_the_place_of_a_file),
      PL_FOLDER_TEST(source_in_a_folder_that_is_gone),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
