// SPDX-License-Identifier: GPL-3.0-or-later
// What is said about a mistake in a built-in template. This program has templates of its own in
// the place of those that are built in.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <string.h>

#include "pitleaf/sheet.h"
#include "support.h"

static const unsigned char faulty[] = "template \"race sheet\" {\n  papers = a4\n}\n";

const struct pl_embedded_file pl_embedded_templates[] = {
    {"race-sheet.leaf", faulty, sizeof faulty - 1}, {NULL, NULL, 0}};

static void a_mistake_is_shown_with_the_templates_path(struct pl_bench *bench) {
  struct pl_program *const program = pl_bench_program(bench, "setup \"Spring tide\" { }\n");
  const struct pl_sheet_request request = {
      .figures = pl_figures_new(pl_program_setup(program, NULL), NULL), .version = "0"};
  assert_null(pl_sheet_new(bench->arena, &request, pl_program_problems(program)));
  assert_problems(bench, "unknown-key");
  assert_non_null(strstr(pl_bench_shown(bench), "templates/race-sheet.leaf:2:3: error"));
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(a_mistake_is_shown_with_the_templates_path)};
  return cmocka_run_group_tests_name("built-in templates", tests, NULL, NULL);
}
