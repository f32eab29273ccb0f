// SPDX-License-Identifier: GPL-3.0-or-later
// What tests of the language share: a bench with memory and a session on it, files and folders.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "pitleaf/report.h"

#include <dirent.h>
#include <ftw.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

// ---------------------------------------------------------------- the bench

int pl_bench_new(void **state) {
  const struct pl_bench_case *const one = *state;
  struct pl_bench *const bench = calloc(1, sizeof *bench);
  if (bench == NULL) return -1;
  bench->guard = pl_guard_new();
  bench->body = one->body;
  bench->subject = one->subject;
  *state = bench;
  return bench->guard == NULL ? -1 : 0;
}

static void run_body(void *context) {
  struct pl_bench *const bench = context;
  bench->own = pl_arena_new(bench->guard);
  bench->arena = bench->own;
  bench->session = pl_session_new(bench->arena, bench->guard, NULL);
  bench->folder = ".";
  bench->body(bench);
}

void pl_bench_run(void **state) {
  struct pl_bench *const bench = *state;
  assert_true(pl_with_memory(bench->guard, run_body, bench));
}

int pl_bench_free(void **state) {
  struct pl_bench *const bench = *state;
  pl_arena_free(bench->own);
  pl_arena_free(bench->spare);
  pl_guard_free(bench->guard);
  free(bench);
  return 0;
}

int pl_folder_new(void **state) {
  if (pl_bench_new(state) != 0) return -1;
  struct pl_bench *const bench = *state;
  memcpy(bench->own_folder, P_tmpdir "/pitleaf-test-XXXXXX",
         sizeof P_tmpdir "/pitleaf-test-XXXXXX");
  return mkdtemp(bench->own_folder) == NULL ? -1 : chdir(bench->own_folder);
}

static int remove_entry(const char *path, const struct stat *facts, int kind,
                        struct FTW *walk) {
  (void)facts;
  (void)kind;
  (void)walk;
  return remove(path);
}

int pl_folder_free(void **state) {
  const struct pl_bench *const bench = *state;
  const int failed =
      chdir("/") != 0 || nftw(bench->own_folder, remove_entry, 16, FTW_DEPTH | FTW_PHYS) != 0;
  return pl_bench_free(state) != 0 || failed ? -1 : 0;
}

struct pl_program *pl_bench_program(struct pl_bench *bench, const char *text) {
  struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "test.leaf", (const unsigned char *)text, strlen(text));
  bench->program = pl_program_of_source(bench->session, bench->arena, source, bench->folder);
  return bench->program;
}

struct pl_value pl_bench_value(struct pl_bench *bench, const char *expression) {
  const char *const text = pl_format(bench->arena, "let value = %s\n", expression);
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "value.leaf", (const unsigned char *)text, strlen(text));
  struct pl_diagnostics *const problems = pl_program_problems(bench->program);
  const struct pl_tree *const tree =
      pl_parse(bench->arena, pl_session_names(bench->session), problems, source);
  if (tree->items != NULL && tree->items->kind == PL_NODE_LET)
    return pl_evaluate(bench->program, tree->items->children, NULL);
  fail_msg("`%s` does not read as a value", expression);
  return (struct pl_value){.kind = PL_VALUE_NONE};
}

const struct pl_setup *pl_bench_setup(struct pl_bench *bench, const char *text) {
  const struct pl_setup *const setup = pl_program_setup(pl_bench_program(bench, text), NULL);
  if (setup != NULL) pl_setup_check(setup);
  return setup;
}

const char *pl_bench_problems(struct pl_bench *bench) {
  const struct pl_diagnostics *const problems = pl_program_problems(bench->program);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  struct pl_buffer codes = {.arena = bench->arena};
  for (size_t i = 0; i < problems->count; i++)
    pl_buffer_format(&codes, "%s%s", i == 0 ? "" : " ",
                     pl_diagnostic_rows[sorted[i]->code].code);
  return pl_buffer_string(&codes);
}

const char *pl_bench_shown(struct pl_bench *bench) {
  static const struct pl_text_style style = {.width = 80, .colour = false, .system = PL_METRIC};
  const struct pl_diagnostics *const problems = pl_program_problems(bench->program);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  struct pl_buffer shown = {.arena = bench->arena};
  for (size_t i = 0; i < problems->count; i++)
    pl_buffer_text(&shown, pl_problem_text(bench->arena, sorted[i], &style));
  return pl_buffer_string(&shown);
}

// ---------------------------------------------------------------- files

const char *pl_test_root(void) {
  const char *const root = getenv("PITLEAF_ROOT");
  return root == NULL ? "." : root;
}

char *pl_test_read(struct pl_arena *arena, const char *path, size_t *length) {
  FILE *const file = fopen(path, "rb");
  if (file == NULL) return NULL;
  struct stat facts;
  const bool sized = fstat(fileno(file), &facts) == 0;
  const size_t size = sized ? (size_t)facts.st_size : 0;
  char *const bytes = pl_alloc(arena, size + 1);
  *length = fread(bytes, 1, size, file);
  (void)fclose(file);
  return bytes;
}

const char *pl_test_read_there(struct pl_arena *arena, const char *path, size_t *length) {
  const char *const bytes = pl_test_read(arena, path, length);
  if (bytes != NULL) return bytes;
  fail_msg("there is no %s", path);
  return "";
}

void pl_test_write(const char *path, const char *bytes, size_t length) {
  FILE *const file = fopen(path, "wb");
  if (file == NULL) fail_msg("%s cannot be written", path);
  const size_t written = fwrite(bytes, 1, length, file);
  const bool closed = fclose(file) == 0;
  if (written != length || !closed) fail_msg("%s cannot be written", path);
}

void pl_test_write_text(const char *path, const char *text) {
  pl_test_write(path, text, strlen(text));
}

static bool ends_with(const char *name, const char *ending) {
  const size_t length = strlen(name);
  const size_t tail = strlen(ending);
  return length > tail && strcmp(name + length - tail, ending) == 0;
}

static int compare_names(const void *left, const void *right) {
  return strcmp(*(char *const *)left, *(char *const *)right);
}

/// `folder/name` in memory of its own; `name` alone where `folder` is null.
static char *path_of(const char *folder, const char *name) {
  const size_t size = (folder == NULL ? 0 : strlen(folder) + 1) + strlen(name) + 1;
  char *const path = malloc(size);
  if (path == NULL) return NULL;
  (void)snprintf(path, size, "%s%s%s", folder == NULL ? "" : folder, folder == NULL ? "" : "/",
                 name);
  return path;
}

static void add_name(struct pl_test_names *names, char *name) {
  char **const larger = realloc(names->names, (names->count + 1) * sizeof *larger);
  if (larger != NULL) names->names = larger;
  if (larger != NULL && name != NULL)
    names->names[names->count++] = name;
  else
    free(name);
}

/// Adds the names in a folder; with `deep` as paths, and those of its folders too.
static void collect_names(struct pl_test_names *names, const char *folder, const char *ending,
                          bool deep) {
  DIR *const stream = opendir(folder);
  if (stream == NULL) return;
  const struct dirent *entry;
  while ((entry = readdir(stream)) != NULL) {
    if (entry->d_name[0] == '.') continue;
    char *const path = path_of(folder, entry->d_name);
    struct stat facts;
    const bool is_folder = path != NULL && stat(path, &facts) == 0 && S_ISDIR(facts.st_mode);
    if (is_folder && deep) collect_names(names, path, ending, deep);
    if (!is_folder && ends_with(entry->d_name, ending))
      add_name(names, path_of(deep ? folder : NULL, entry->d_name));
    free(path);
  }
  (void)closedir(stream);
}

static struct pl_test_names names_of(const char *folder, const char *ending, bool deep) {
  struct pl_test_names names = {NULL, 0};
  collect_names(&names, folder, ending, deep);
  if (names.count > 1) qsort(names.names, names.count, sizeof *names.names, compare_names);
  return names;
}

struct pl_test_names pl_test_names_in(const char *folder, const char *ending) {
  return names_of(folder, ending, false);
}

struct pl_test_names pl_test_names_below(const char *folder, const char *ending) {
  return names_of(folder, ending, true);
}

void pl_test_names_free(struct pl_test_names *names) {
  for (size_t i = 0; i < names->count; i++) free(names->names[i]);
  free(names->names);
  *names = (struct pl_test_names){NULL, 0};
}
