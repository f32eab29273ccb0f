// SPDX-License-Identifier: GPL-3.0-or-later
// Random numbers for property tests, the same in every run: splitmix64 (Steele, Lea & Flood,
// OOPSLA 2014).
#ifndef PITLEAF_TESTS_CHANCE_H
#define PITLEAF_TESTS_CHANCE_H

#include <math.h>
#include <stddef.h>
#include <stdint.h>

struct pl_chance {
  uint64_t state;
};

static inline uint64_t pl_chance_bits(struct pl_chance *chance) {
  uint64_t z = chance->state += UINT64_C(0x9e3779b97f4a7c15);
  z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
  z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
  return z ^ (z >> 31);
}

/// From 0 to below `count`, each about as often.
static inline size_t pl_chance_below(struct pl_chance *chance, size_t count) {
  return (size_t)(pl_chance_bits(chance) % count);
}

/// Evenly between the two.
static inline double pl_chance_between(struct pl_chance *chance, double least,
                                       double greatest) {
  return least + (greatest - least) * (double)(pl_chance_bits(chance) >> 11) * 0x1p-53;
}

/// Evenly in the logarithm between the two, both above zero.
static inline double pl_chance_scale(struct pl_chance *chance, double least, double greatest) {
  return exp(pl_chance_between(chance, log(least), log(greatest)));
}

#endif
