// SPDX-License-Identifier: GPL-3.0-or-later
// How fast text becomes settings: a shelf of springs read into a tree, and read and checked;
// and the same numbers as JSON, read by two libraries that check nothing. Megabytes of their
// own text in a second, the median of the runs, in turn.
#include "pitleaf/model.h"

#include <cjson/cJSON.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define SPRINGS 24000
#define RUNS    11

struct bench {
  struct pl_guard *guard;
  struct pl_buffer leaf;
  struct pl_buffer json;
};

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void fail(const char *reason) {
  fprintf(stderr, "reading: %s\n", reason);
  exit(1);
}

/// The same springs in both texts.
static void write_springs(struct bench *bench) {
  pl_buffer_text(&bench->json, "{\n");
  for (int i = 0; i < SPRINGS; i++) {
    const double rate = 0.2 + i % 997 * 0.001;
    const double length = 40 + i % 401 * 0.1;
    const double wire = 1 + i % 101 * 0.01;
    pl_buffer_format(&bench->leaf,
                     "# A spring of the shelf, as it was measured.\n"
                     "spring \"row %d\" {\n"
                     "  rate        = %.3f N/mm\n"
                     "  free-length = %.1f mm\n"
                     "  wire        = %.2f mm\n"
                     "  material    = music-wire\n"
                     "}\n\n",
                     i, rate, length, wire);
    pl_buffer_format(&bench->json,
                     "%s  \"row %d\": {\n"
                     "    \"rate\": %.3f,\n"
                     "    \"free-length\": %.1f,\n"
                     "    \"wire\": %.2f,\n"
                     "    \"material\": \"music-wire\"\n"
                     "  }",
                     i == 0 ? "" : ",\n", i, rate, length, wire);
  }
  pl_buffer_text(&bench->json, "\n}\n");
}

static void read_tree(const struct bench *bench) {
  struct pl_arena *const arena = pl_arena_new(bench->guard);
  struct pl_diagnostics *const problems = pl_diagnostics_new(arena);
  const struct pl_source *const source = pl_source_of_bytes(
      arena, "shelf.leaf", (const unsigned char *)bench->leaf.bytes, bench->leaf.length);
  pl_parse(arena, pl_names_new(arena), problems, source);
  if (problems->count != 0) fail("the text has mistakes");
  pl_arena_free(arena);
}

static void read_and_check(const struct bench *bench) {
  struct pl_arena *const arena = pl_arena_new(bench->guard);
  const struct pl_session_options options = {.root = NULL};
  struct pl_session *const session = pl_session_new(arena, bench->guard, &options);
  struct pl_source *const source = pl_source_of_bytes(
      arena, "shelf.leaf", (const unsigned char *)bench->leaf.bytes, bench->leaf.length);
  const struct pl_program *const program = pl_program_of_source(session, arena, source, "/");
  if (pl_program_problems(program)->count != 0) fail("the text has mistakes");
  pl_arena_free(arena);
}

static void read_by_jansson(const struct bench *bench) {
  json_t *const document = json_loadb(bench->json.bytes, bench->json.length, 0, NULL);
  if (json_object_size(document) != SPRINGS) fail("jansson cannot read it");
  json_decref(document);
}

static void read_by_cjson(const struct bench *bench) {
  cJSON *const document = cJSON_ParseWithLength(bench->json.bytes, bench->json.length);
  if (cJSON_GetArraySize(document) != SPRINGS) fail("cJSON cannot read it");
  cJSON_Delete(document);
}

static int compare_times(const void *left, const void *right) {
  const double a = *(const double *)left;
  const double b = *(const double *)right;
  return (a > b) - (a < b);
}

static void measure(void *context) {
  struct bench *const bench = context;
  struct pl_arena *const arena = pl_arena_new(bench->guard);
  bench->leaf.arena = bench->json.arena = arena;
  write_springs(bench);
  const struct {
    const char *label;
    void (*read)(const struct bench *bench);
    size_t length;
  } ways[] = {{"settings read", read_tree, bench->leaf.length},
              {"settings read and checked", read_and_check, bench->leaf.length},
              {"the same as JSON, jansson", read_by_jansson, bench->json.length},
              {"the same as JSON, cJSON", read_by_cjson, bench->json.length}};
  double times[sizeof ways / sizeof ways[0]][RUNS];
  for (size_t run = 0; run < RUNS; run++) {
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
      const double before = seconds();
      ways[i].read(bench);
      times[i][run] = seconds() - before;
    }
  }
  for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
    qsort(times[i], RUNS, sizeof times[i][0], compare_times);
    printf("%-44s %10.1f MB/s of %.1f MB\n", ways[i].label,
           (double)ways[i].length / 1e6 / times[i][RUNS / 2], (double)ways[i].length / 1e6);
  }
  pl_arena_free(arena);
}

int main(void) {
  struct bench bench = {.guard = pl_guard_new()};
  const bool whole = bench.guard != NULL && pl_with_memory(bench.guard, measure, &bench);
  pl_guard_free(bench.guard);
  return whole ? 0 : 1;
}
