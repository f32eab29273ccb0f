// SPDX-License-Identifier: GPL-3.0-or-later
// The reference in grammar/ is what the tables say today.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "pitleaf/report.h"

static struct pl_guard *guard;

static void compare_reference(void *context) {
  struct pl_arena *const arena = pl_arena_new(guard);
  const char *const root = getenv("PITLEAF_ROOT");
  const char *const path =
      pl_format(arena, "%s/grammar/reference.md", root == NULL ? "." : root);
  struct pl_source *source = NULL;
  enum pl_file_status status;
  const char *const real_path = pl_real_path(arena, path, &status);
  assert_non_null(real_path);
  assert_int_equal(pl_read_source(arena, path, real_path, &source), PL_FILE_OK);
  const char *const made = pl_describe_markdown(arena);
  if (strcmp(made, (const char *)source->bytes) != 0)
    fail_msg("%s is stale; run: pitleaf describe --as markdown > grammar/reference.md", path);
  pl_arena_free(arena);
  *(bool *)context = true;
}

static void reference_is_fresh(void **state) {
  (void)state;
  bool compared = false;
  guard = pl_guard_new();
  assert_true(pl_with_memory(guard, compare_reference, &compared));
  assert_true(compared);
  pl_guard_free(guard);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(reference_is_fresh)};
  return cmocka_run_group_tests_name("reference", tests, NULL, NULL);
}
