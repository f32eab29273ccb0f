// SPDX-License-Identifier: GPL-3.0-or-later
// The formatter: what tests/layout.c promises of every file, and that a file without mistakes
// of syntax can always be laid out.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "target.h"

#include "layout.h"

#include "pitleaf/compare.h"

void try_input(struct target *target) {
  struct pl_bench bench = {
      .guard = target->guard, .arena = target->arena, .session = target->session};
  const char *const bytes = (const char *)target->bytes;
  if (!pl_check_layout(&bench, "the input", bytes, target->length)) return;
  const struct pl_source *const source =
      pl_source_of_bytes(target->arena, "input.leaf", target->bytes, target->length);
  struct pl_diagnostics *const problems = pl_diagnostics_new(target->arena);
  const struct pl_tree *const tree =
      pl_parse(target->arena, pl_session_names(target->session), problems, source);
  if (pl_lay_out(target->session, target->arena, tree, target->folder).text == NULL)
    broken("laid out, it would not say the same");
}
