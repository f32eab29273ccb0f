// SPDX-License-Identifier: GPL-3.0-or-later
// What holds of every file that the printer lays out. Include it after cmocka.h.
#ifndef PITLEAF_TESTS_LAYOUT_H
#define PITLEAF_TESTS_LAYOUT_H

#include "support.h"

#include "pitleaf/syntax.h"

/// The file's text laid out, in the bench's arena; null if it has mistakes of syntax.
const char *pl_laid_out(struct pl_bench *bench, const char *bytes, size_t length,
                        enum pl_tidy_order order);

/// Lays a file out and fails the test, saying `what` it was, unless
///   - every token but `;` and every comment stands in the text, in the same order, and a
///     comment on a line of its own or behind something as it was;
///   - the text has no mistake and the same tree;
///   - it has no tab outside of texts and comments, no blank at a line's end, no two empty
///     lines in a row, and one line end at its end;
///   - laid out again it stays as it is;
///   - with scopes put in order it has the same tree but for their order, and stays as it is.
/// False, and nothing was checked, if the file has mistakes of syntax.
bool pl_check_layout(struct pl_bench *bench, const char *what, const char *bytes,
                     size_t length);

#endif
