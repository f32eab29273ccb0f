// SPDX-License-Identifier: GPL-3.0-or-later
// The table of limits.
#include "pitleaf/base.h"

const struct pl_limit_row *pl_limit_rows(size_t *count) {
  static const struct pl_limit_row rows[] = {
#define PL_LIMIT(id, number, what, why) {#id, number, what, why},
#include "pitleaf/limits.def"
#undef PL_LIMIT
  };
  *count = sizeof rows / sizeof rows[0];
  return rows;
}
