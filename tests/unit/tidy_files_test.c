// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the printer on every file of the checkout: what it makes of it keeps all comments, says
// the same and means the same, and the project's own files are tidy.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "layout.h"
#include "mutation.h"

#include <string.h>
#include <unistd.h>

/// Of the checkout's files at least so many have no mistake of syntax.
#define FEWEST_LAID_OUT 150

static size_t laid_out;

static void check_file(struct pl_bench *bench, const char *path, const char *bytes,
                       size_t length) {
  if (pl_check_layout(bench, path, bytes, length)) laid_out++;
}

static void every_file_keeps_what_it_says(struct pl_bench *bench) {
  laid_out = 0;
  assert_true(pl_each_source(bench, check_file) >= PL_FEWEST_SOURCES);
  assert_true(laid_out >= FEWEST_LAID_OUT);
}

// ---------------------------------------------------------------- meaning

/// All that is known of a text: each problem's code, and each value of each setup as a text.
struct meaning {
  struct pl_bench *bench;
  struct pl_program *program;
  struct pl_buffer out;
};

static void add_resolved(struct meaning *meaning, const char *name,
                         const struct pl_resolved *resolved) {
  if (!resolved->given) return;
  pl_buffer_format(&meaning->out, "%s %zu %s %.17g %.17g\n", name, resolved->touch_count,
                   pl_value_text(meaning->bench->arena, &resolved->value),
                   resolved->value.number, resolved->value.tolerance);
}

static void add_setup(void *context, const struct pl_block *block, bool in_main) {
  struct meaning *const meaning = context;
  if (!in_main) return;
  const struct pl_setup *const setup = pl_program_setup(meaning->program, block->name);
  pl_buffer_format(&meaning->out, "setup %s\n", block->name);
  if (setup == NULL) return;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const int last = (int)pl_last_place(pl_settings[i].scope);
    for (int place = (int)pl_first_place(pl_settings[i].scope); place <= last; place++)
      add_resolved(meaning, pl_settings[i].key,
                   pl_setup_get(setup, (enum pl_setting)i, (enum pl_place)place));
  }
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) {
    for (size_t place = 0; place < PL_PLACE_COUNT; place++)
      add_resolved(meaning, extras[i].name, &extras[i].at[place]);
  }
  pl_setup_check(setup);
}

static const char *meaning_of(struct pl_bench *bench, const char *path, const char *bytes,
                              size_t length) {
  struct pl_source *const source =
      pl_source_of_bytes(bench->arena, path, (const unsigned char *)bytes, length);
  struct pl_session *const session = pl_session_new(bench->arena, bench->guard, NULL);
  struct meaning meaning = {.bench = bench, .out = {.arena = bench->arena}};
  bench->program = meaning.program =
      pl_program_of_source(session, bench->arena, source, pl_folder_of(bench->arena, path));
  pl_program_each(meaning.program, PL_BLOCK_SETUP, add_setup, &meaning);
  pl_buffer_text(&meaning.out, pl_bench_problems(bench));
  return pl_buffer_string(&meaning.out);
}

static size_t with_values;

static void check_meaning(struct pl_bench *bench, const char *path, const char *bytes,
                          size_t length) {
  const char *const text = pl_laid_out(bench, bytes, length, PL_TIDY_KEEPS_ORDER);
  if (text == NULL) return;
  const char *const before = meaning_of(bench, path, bytes, length);
  const char *const after = meaning_of(bench, path, text, strlen(text));
  if (strcmp(before, after) != 0) fail_msg("%s means something else", path);
  if (strstr(before, "preload") != NULL) with_values++;
}

static void every_file_keeps_what_it_means(struct pl_bench *bench) {
  with_values = 0;
  assert_true(pl_each_source(bench, check_meaning) >= PL_FEWEST_SOURCES);
  assert_true(with_values >= 20);
}

// ---------------------------------------------------------------- the project's own files

static size_t own_files;

static void check_tidy(struct pl_bench *bench, const char *path, const char *bytes,
                       size_t length) {
  if (strncmp(path, "tests/", strlen("tests/")) == 0) return;
  const char *const text = pl_laid_out(bench, bytes, length, PL_TIDY_ORDERS_SCOPES);
  if (text == NULL) return; // handed in with a mistake, as the demo of that
  own_files++;
  if (strlen(text) != length || memcmp(text, bytes, length) != 0)
    fail_msg("%s is not tidy: run `pitleaf tidy %s`", path, path);
}

static void own_files_are_tidy(struct pl_bench *bench) {
  own_files = 0;
  assert_true(pl_each_source(bench, check_tidy) >= PL_FEWEST_SOURCES);
  assert_true(own_files >= 50);
}

int main(void) {
  if (chdir(pl_test_root()) != 0) return 1;
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(every_file_keeps_what_it_says),
                                     PL_BENCH_TEST(every_file_keeps_what_it_means),
                                     PL_BENCH_TEST(own_files_are_tidy)};
  return cmocka_run_group_tests_name("layout of files", tests, NULL, NULL);
}
