// SPDX-License-Identifier: GPL-3.0-or-later
// Tests that no file, however absurd, takes work that grows faster than its size: it is gone
// through with n, 2n, 4n and 8n of what makes it absurd, and the work of each stage is counted.
// What twice as much takes more than the half of it did may take little more than twice as
// much again; the logarithm of n log n is the little. `make growth` prints all numbers.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "growth/stages.h"
#include "growth/texts.h"

#include <math.h>
#include <string.h>

/// n, 2n, 4n, 8n.
#define SIZES 4

/// What the second step of doubling may take of the first: n log n comes to 2.2.
#define MOST_RATIO 2.4
/// The same where a limit ends what grows by its square: up to there that part stays the less.
#define MOST_WITHIN_LIMIT 3.6
/// Work that is lost in what a file takes anyway: of arrays that grow, of caches.
#define NO_WORK 60000.0
/// What each one may take more when there are twice as many: next to nothing.
#define HARDLY 1.08

static struct taken take(struct pl_bench *bench, const struct absurd *file, int count) {
  struct pl_buffer text = {.arena = bench->own};
  write_absurd(&text, file, count);
  bench->arena = pl_arena_new(bench->guard);
  bench->spare = bench->arena;
  bench->session = pl_session_new(bench->arena, bench->guard, NULL);
  const struct taken taken = go_through(bench, pl_buffer_string(&text));
  pl_arena_free(bench->spare);
  bench->spare = NULL;
  return taken;
}

/// How a stage grows in the last doubling, by what the one before took; 0 where it takes next
/// to nothing, or where what each one takes hardly rises: then a step of another kind was
/// reached.
static double growth_of(const struct taken taken[SIZES], enum stage stage) {
  const double most = (double)taken[SIZES - 1].work[stage];
  const double half = (double)taken[SIZES - 2].work[stage];
  const double quarter = (double)taken[SIZES - 3].work[stage];
  if (most - half < NO_WORK || most < 2 * HARDLY * half) return 0;
  return (most - half) / fmax(half - quarter, NO_WORK / 2);
}

/// How many times larger than usual the files are to be: PITLEAF_TIMES.
static int times(void) {
  const char *const text = getenv("PITLEAF_TIMES");
  const int number = text == NULL ? 1 : atoi(text); // NOLINT(cert-err34-c): a developer's own
  return number < 1 ? 1 : number;
}

static void keeps_pace(struct pl_bench *bench) {
  size_t which = 0;
  while (strcmp(absurd_files[which].name, bench->subject) != 0) which++;
  const struct absurd *const file = &absurd_files[which];
  struct taken taken[SIZES];
  const int count = file->count * times();
  for (int i = 0; i < SIZES; i++) taken[i] = take(bench, file, count << i);
  const double most = file->is_limited ? MOST_WITHIN_LIMIT : MOST_RATIO;
  bool is_steep = false;
  for (int stage = 0; stage < STAGE_COUNT; stage++) {
    const double ratio = growth_of(taken, (enum stage)stage);
    if (taken[SIZES - 1].work[stage] == 0) continue;
    print_message("%-34s %-10s %7d %9.0f %9.0f %6.2f%s\n", file->name, stage_names[stage],
                  count, (double)taken[0].work[stage] / count,
                  (double)taken[SIZES - 1].work[stage] / (count << (SIZES - 1)), ratio,
                  ratio > most ? "  STEEP" : "");
    is_steep |= ratio > most;
  }
  print_message("%-34s %-10s %7d %9.0f %9.0f bytes each\n", file->name, "memory", count,
                (double)taken[0].bytes / count,
                (double)taken[SIZES - 1].bytes / (count << (SIZES - 1)));
  assert_false(is_steep);
}

int main(void) {
  struct CMUnitTest *const all = calloc(absurd_file_count, sizeof *all);
  struct pl_bench_case *const cases = calloc(absurd_file_count, sizeof *cases);
  if (all == NULL || cases == NULL) {
    free(all);
    free(cases);
    return EXIT_FAILURE;
  }
  for (size_t i = 0; i < absurd_file_count; i++) {
    cases[i] = (struct pl_bench_case){keeps_pace, absurd_files[i].name};
    all[i] = (struct CMUnitTest){absurd_files[i].name, pl_bench_run, pl_folder_new,
                                 pl_folder_free, &cases[i]};
  }
  if (getenv("PITLEAF_ONLY") != NULL) cmocka_set_test_filter(getenv("PITLEAF_ONLY"));
  const int failed =
      _cmocka_run_group_tests("growth of work", all, absurd_file_count, NULL, NULL);
  free(all);
  free(cases);
  return failed;
}
