// SPDX-License-Identifier: GPL-3.0-or-later
// Work that is counted, so that no clock and no load of the machine has a say in it.
#ifndef PITLEAF_TESTS_GROWTH_WORK_H
#define PITLEAF_TESTS_GROWTH_WORK_H

#include <stdint.h>

/// What the library did since the program began: a unit for each basic block that ran, and one
/// for every eight bytes that it had the C library go through. What libharu, jansson and the C
/// library do besides is not seen.
uint64_t work_done(void);

#endif
