// SPDX-License-Identifier: GPL-3.0-or-later
// What the fuzz targets share: memory for an input, its files, and what every program goes
// through.
#include "target.h"

#include "pitleaf/editor.h"

#include <jansson.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

const struct pl_text_style metric_style = {.width = 80, .colour = true, .system = PL_METRIC};
const struct pl_text_style imperial_style = {
    .width = 40, .colour = false, .system = PL_IMPERIAL};

_Noreturn void broken(const char *format, ...) {
  va_list list;
  va_start(list, format);
  fputs("broken promise: ", stderr);
  vfprintf(stderr, format, list);
  fputs("\n", stderr);
  va_end(list);
  abort();
}

void check_json(const char *what, const char *text) {
  json_error_t error;
  json_t *const document = json_loads(text, JSON_REJECT_DUPLICATES, &error);
  if (document == NULL)
    broken("%s is no JSON: %s at byte %d\n%s", what, error.text, error.position, text);
  json_decref(document);
}

// ---------------------------------------------------------------- inputs of several parts

size_t parts_of(struct target *target, struct part parts[PART_LIMIT]) {
  static const char mark[] = "#@ ";
  const char *at = (const char *)target->bytes;
  const char *const end = at + target->length;
  size_t count = 0;
  parts[count++] = (struct part){"", at, target->length};
  while (at < end && count < PART_LIMIT) {
    const char *const line_end = memchr(at, '\n', (size_t)(end - at));
    const char *const next = line_end == NULL ? end : line_end + 1;
    if (strncmp(at, mark, sizeof mark - 1) == 0) {
      struct part *const last = &parts[count - 1];
      last->length = (size_t)(at - last->bytes);
      const char *const head = at + sizeof mark - 1;
      const size_t length = (size_t)((line_end == NULL ? end : line_end) - head);
      parts[count++] =
          (struct part){pl_copy_text(target->arena, head, length), next, (size_t)(end - next)};
    }
    at = next;
  }
  return count;
}

static void write_file(const char *path, const struct part *part) {
  FILE *const file = fopen(path, "wb");
  if (file == NULL || fwrite(part->bytes, 1, part->length, file) != part->length ||
      fclose(file) != 0)
    broken("%s cannot be written", path);
}

const char *write_files(struct target *target) {
  static const char *const names[] = {"entry.leaf", "second.leaf", "third.leaf", "logo.png"};
  struct part parts[PART_LIMIT];
  const size_t count = parts_of(target, parts);
  const char *entry = NULL;
  parts[0].head = names[0];
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    const char *const path = pl_join_path(target->arena, target->folder, names[i]);
    size_t which = 0;
    while (which < count && strcmp(parts[which].head, names[i]) != 0) which++;
    if (which < count)
      write_file(path, &parts[which]);
    else
      (void)unlink(path); // of the input before
    if (i == 0) entry = path;
  }
  return entry;
}

// ---------------------------------------------------------------- what is done with programs

void check_files(struct target *target, const struct pl_program *program) {
  const struct pl_source *file = NULL;
  for (size_t i = 0; (file = pl_program_file(program, i)) != NULL; i++) {
    if (!pl_path_inside(file->real_path, target->folder) &&
        !pl_path_inside(file->real_path, target->library))
      broken("%s was read", file->real_path);
  }
}

struct pl_program *checked_entry(struct target *target) {
  struct pl_program *const program =
      pl_program_load_alone(target->session, target->arena, write_files(target));
  if (pl_program_unreadable(program)) return NULL;
  check_files(target, program);
  struct pl_arena *const scratch = pl_arena_new(target->guard);
  pl_program_check(program, NULL, scratch);
  pl_arena_free(scratch);
  return program;
}

void tell_problems(struct target *target, struct pl_program *program) {
  struct pl_arena *const arena = target->arena;
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  for (size_t i = 0; i < problems->count; i++) {
    if (pl_problem_text(arena, sorted[i], &metric_style)[0] == '\0')
      broken("a problem says nothing");
  }
  struct pl_findings *const findings = pl_findings_new(arena, target->folder);
  pl_findings_add(findings, "entry.leaf", pl_program_source(program), problems);
  check_json("the list of problems", pl_findings_json(arena, findings, "0"));
  // It holds the whole table of problems, which is the same each time: seldom is enough.
  if (target->length % 64 == 0)
    check_json("SARIF", pl_findings_sarif(arena, findings, "0", problems->errors > 0 ? 1 : 0));
}

/// Looks for the block of that number.
struct search {
  size_t left;
  const char *name; ///< null: not there
};

static void count_down(void *context, const struct pl_block *block, bool in_main) {
  struct search *const search = context;
  if (in_main && search->left-- == 0) search->name = block->name;
}

struct pl_figures *figures_of(struct pl_program *program, size_t which) {
  struct search search = {.left = which};
  pl_program_each(program, PL_BLOCK_SETUP, count_down, &search);
  const struct pl_setup *const setup =
      search.name == NULL ? NULL : pl_program_setup(program, search.name);
  if (setup == NULL) return NULL;
  struct pl_figures *const figures = pl_figures_new(setup, NULL);
  pl_setup_check(setup);
  pl_figures_check(figures);
  return figures;
}

// ---------------------------------------------------------------- the fuzzer's side

static struct {
  char folder[4096];
  char library[4096];
} places;

int LLVMFuzzerInitialize(int *count, char ***words);                   // NOLINT: not our names
int LLVMFuzzerTestOneInput(const unsigned char *bytes, size_t length); // NOLINT: likewise

/// The files of inputs go into a folder beside the program.
int LLVMFuzzerInitialize(int *count, char ***words) { // NOLINT: not our name
  (void)count;
  const char *const root = getenv("PITLEAF_ROOT");
  char beside[4096];
  (void)snprintf(beside, sizeof beside, "%s.files", (*words)[0]);
  (void)mkdir(beside, 0777);
  char library[4096];
  (void)snprintf(library, sizeof library, "%s/sheets", root == NULL ? "." : root);
  if (realpath(beside, places.folder) == NULL || realpath(library, places.library) == NULL) {
    fprintf(stderr, "There is no %s or no %s; PITLEAF_ROOT has to name the checkout.\n", beside,
            library);
    exit(2);
  }
  // cmocka's assertions, where a target has them, are to end the run like all else.
  return setenv("CMOCKA_TEST_ABORT", "1", 1);
}

static void run_target(void *context) {
  struct target *const target = context;
  target->arena = pl_arena_new(target->guard);
  const char *const libraries[] = {target->library};
  const struct pl_session_options options = {
      .libraries = libraries, .library_count = 1, .root = target->folder};
  target->session = pl_session_new(target->arena, target->guard, &options);
  target->bytes = (const unsigned char *)pl_copy_text(
      target->arena, (const char *)target->bytes, target->length);
  try_input(target);
}

int LLVMFuzzerTestOneInput(const unsigned char *bytes, size_t length) { // NOLINT: likewise
  struct target target = {.guard = pl_guard_new(),
                          .folder = places.folder,
                          .library = places.library,
                          .bytes = bytes,
                          .length = length};
  if (target.guard == NULL || !pl_with_memory(target.guard, run_target, &target))
    broken("%zu bytes take all memory", length);
  pl_arena_free(target.arena);
  pl_guard_free(target.guard);
  return 0;
}
