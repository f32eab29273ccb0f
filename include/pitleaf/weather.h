// SPDX-License-Identifier: GPL-3.0-or-later
// compare: what the temperature does to the damping, and which oil brings it back.
#ifndef PITLEAF_WEATHER_H
#define PITLEAF_WEATHER_H

#include "pitleaf/sweep.h"

/// Oils that are told of an axle.
#define PL_WEATHER_BEST 3

/// An oil at the other temperature.
struct pl_weather_oil {
  const char *words;   ///< "clear 300", "half clear 300, half clear 350"
  const char *written; ///< as a setup says it; of the oil as it is ""
  bool is_unchanged;
  double excess; ///< slow damping beyond what it is now, as a share of that
  double spread; ///< of halves: how far the two are apart, as a logarithm; else 0
};

struct pl_weather_axle {
  enum pl_place axle;
  const char *oil;   ///< that it has, in words
  bool sides_differ; ///< left and right do not damp alike: their mean counts
  const char *lacks; ///< why its damping cannot be told; null if it can
  struct pl_weather_oil unchanged;
  struct pl_weather_oil best[PL_WEATHER_BEST]; ///< nearest first; of equals the simpler first
  size_t best_count;
};

struct pl_weather {
  struct pl_sweep sweep; ///< one point: the other temperature
  double temperature;    ///< K
  double now;            ///< air, or oil where `of_oil`; NaN where the setup does not say
  bool of_oil;  ///< the setup gives the oil's own temperature, which the air does not reach
  size_t owned; ///< oils to choose from
  struct pl_weather_axle axles[2];
};

/// Reads a temperature ("9 degC"). Returns null, or what is wrong, with the mend.
const char *pl_weather_read(struct pl_arena *arena, struct pl_names *names, const char *text,
                            struct pl_weather *weather);

/// Works out what the temperature does. `today` are the figures of a program without errors.
/// What is found is owned by `arena`; `scratch` must be another one.
void pl_weather_run(struct pl_arena *arena, struct pl_arena *scratch, struct pl_figures *today,
                    struct pl_weather *weather);

/// The figures that it tells of, in their order.
const enum pl_figure *pl_weather_figures(size_t *count);
/// The column of one of them at a corner; never null.
const struct pl_sweep_column *pl_weather_column(const struct pl_weather *weather,
                                                enum pl_figure figure, enum pl_place corner);

#endif
