// SPDX-License-Identifier: GPL-3.0-or-later
// Tests that a program with anything wrong in it is read, checked, resolved and reported to its
// end: files of the checkout, changed by chance.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "mutation.h"
#include "support.h"

#include <math.h>
#include <string.h>
#include <unistd.h>

#define MUTATIONS 2000

/// A resolved value agrees with the lines that touched it, and prints.
static void check_value(struct pl_bench *bench, int number, const struct pl_setup *setup,
                        enum pl_setting setting, enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  if (resolved->given != (resolved->touch_count > 0))
    fail_msg("mutation %d: %s was given by nobody", number, pl_settings[setting].key);
  if (resolved->given && resolved->assumed)
    fail_msg("mutation %d: %s is given and assumed", number, pl_settings[setting].key);
  if (resolved->value.kind == PL_VALUE_NUMBER && !isfinite(resolved->value.number))
    fail_msg("mutation %d: %s is no finite number", number, pl_settings[setting].key);
  const struct pl_printed printed =
      pl_print_setting(bench->arena, setting, &resolved->value, PL_IMPERIAL);
  assert_non_null(printed.text);
  double x, y, z;
  (void)pl_setup_point(setup, setting, place, &x, &y, &z);
}

static void check_setup(struct pl_bench *bench, int number, const struct pl_setup *setup) {
  pl_setup_check(setup);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const enum pl_setting setting = (enum pl_setting)i;
    const int first = (int)pl_first_place(pl_settings[i].scope);
    const int last = (int)pl_last_place(pl_settings[i].scope);
    for (int place = first; place <= last; place++)
      check_value(bench, number, setup, setting, (enum pl_place)place);
  }
}

static void check_mutation(struct pl_bench *bench, int number, const char *bytes,
                           size_t length) {
  struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "test.leaf", (const unsigned char *)bytes, length);
  bench->session = pl_session_new(bench->arena, bench->guard, NULL);
  bench->program = pl_program_of_source(bench->session, bench->arena, source, "tests/errors");
  (void)pl_program_meeting(bench->program, NULL);
  const struct pl_setup *const setup = pl_program_setup(bench->program, NULL);
  if (setup != NULL)
    check_setup(bench, number, setup);
  else if (pl_program_problems(bench->program)->count == 0)
    fail_msg("mutation %d: there is no setup, and nobody says why", number);
  assert_true(strlen(pl_bench_shown(bench)) > 0 || setup != NULL);
}

static void mutations_are_worked_through(struct pl_bench *bench) {
  pl_each_mutation(bench, MUTATIONS, check_mutation);
}

int main(void) {
  if (chdir(pl_test_root()) != 0) return 1;
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(mutations_are_worked_through)};
  return cmocka_run_group_tests_name("model, mutations", tests, NULL, NULL);
}
