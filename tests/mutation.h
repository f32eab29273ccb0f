// SPDX-License-Identifier: GPL-3.0-or-later
// Files of the language with something wrong in them: the checkout's own, changed by chance,
// the same in every run. Include it after cmocka.h.
#ifndef PITLEAF_TESTS_MUTATION_H
#define PITLEAF_TESTS_MUTATION_H

#include "support.h"

/// Fewest files that the checkout has to have, so that a test of them tests something.
#define PL_FEWEST_SOURCES 60

/// Calls `visit` for each .leaf file of the checkout (the working folder is its top) and
/// returns their number. The bytes belong to the bench's arena.
size_t pl_each_source(struct pl_bench *bench,
                      void (*visit)(struct pl_bench *bench, const char *path, const char *bytes,
                                    size_t length));

/// Makes `count` changed files, one after the other, each from one of the checkout's (cut where
/// it is long), and calls `visit` with it. What `visit` puts into the bench's arena is freed
/// behind it.
void pl_each_mutation(struct pl_bench *bench, int count,
                      void (*visit)(struct pl_bench *bench, int number, const char *bytes,
                                    size_t length));

#endif
