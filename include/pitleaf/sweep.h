// SPDX-License-Identifier: GPL-3.0-or-later
// compare: what figures do while a setting or two go through values.
#ifndef PITLEAF_SWEEP_H
#define PITLEAF_SWEEP_H

#include "pitleaf/compare.h"

// ---------------------------------------------------------------- what goes through which
// values

/// A value that a setting is given.
struct pl_sweep_value {
  const char *written; ///< as an expression of the language: "250 cSt", "\"soft\""
  const char *shown;   ///< a number without its unit, a name without quotes
  double number;       ///< in the unit of the setting's values; NaN where these are no numbers
};

/// A setting with its values.
struct pl_sweep_setting {
  const char *path; ///< "front.oil"
  const char *scope;
  const char *key;
  enum pl_setting setting;
  bool is_number;   ///< all values are numbers of one quantity
  const char *unit; ///< of them, as it is written; ""
  struct pl_sweep_value *values;
  size_t count;
  size_t now; ///< the value that the setup has as it is; `count`: none of them
  const char
      *now_shown;    ///< what the setup has, with its unit; "" where nothing or not one value
  double now_number; ///< likewise in the values' unit; NaN where it is no such number
};

/// Why a column has no value at a point where the setup itself has a mistake; a remark says
/// which.
#define PL_SWEEP_MISTAKE "the setup has a mistake with this value"

/// Two settings at once at the most.
#define PL_SWEEP_SETTINGS 2

/// A figure at a place, over all points.
struct pl_sweep_column {
  enum pl_figure figure;
  enum pl_place place;
  double now;           ///< of the setup as it is; NaN where it has none
  const double *values; ///< by point; NaN where it has none
  const char **why;     ///< by point: why it has none; null where it has one
};

/// What is to be known of some points: a warning, or a mistake, which leaves them without
/// figures.
struct pl_sweep_remark {
  struct pl_diagnostic problem; ///< its span is nowhere where it is of the values themselves
  const char *place;            ///< "file:line" of its span; "" for nowhere
  bool is_error;
  bool differs;   ///< at the other points it says the like, in other words
  size_t *points; ///< rising
  size_t count;
  size_t capacity;
};

/// A sweep: point i has value i / n of the first setting and value i % n of the second, n being
/// the second one's count (1 where there is none).
struct pl_sweep {
  struct pl_sweep_setting settings[PL_SWEEP_SETTINGS];
  size_t setting_count;
  size_t point_count;
  struct pl_figures *today; ///< the setup as it is
  const enum pl_figure *figures;
  size_t figure_count;
  struct pl_sweep_column *columns; ///< each figure at all its places, in the order of figures
  size_t column_count;
  struct pl_sweep_remark *remarks; ///< of the points alone, not those that the file has anyway
  size_t remark_count;
  size_t remark_capacity;
};

/// Reads "front.oil 250 cSt .. 500 cSt by 25 cSt rear.spring [\"soft\", \"firm\"]" into the
/// settings. Steps count in the unit of the first value, values are rounded to nine significant
/// digits, and the last one is there if a whole number of steps leads to it. Returns null, or
/// what is wrong, with the mend. Owned by `arena`.
const char *pl_sweep_read(struct pl_arena *arena, struct pl_names *names, const char *text,
                          struct pl_sweep *sweep);

/// The values between which all others of a setting lie: the first and the last one, or where
/// they neither rise nor fall, the least and the greatest. At least one value, and numbers.
void pl_sweep_ends(const struct pl_sweep_setting *setting, size_t *first, size_t *last);
/// The index of a setting's value at a point.
size_t pl_sweep_index(const struct pl_sweep *sweep, size_t setting, size_t point);
/// "front.oil = 250 cSt, rear.spring = \"soft\""
const char *pl_sweep_point_text(struct pl_arena *arena, const struct pl_sweep *sweep,
                                size_t point);
/// A list of points in these words; of many the first ones and how many more; of all that.
const char *pl_sweep_points_text(struct pl_arena *arena, const struct pl_sweep *sweep,
                                 const size_t *points, size_t count);

// ---------------------------------------------------------------- running it

/// Works out the figures at each point. `today` are those of a program without errors. What is
/// found is owned by `arena`; `scratch` is used for each point anew and must be another one.
void pl_sweep_run(struct pl_arena *arena, struct pl_arena *scratch, struct pl_figures *today,
                  const enum pl_figure *figures, size_t count, struct pl_sweep *sweep);

/// Does a column change as it is printed? Points at which the setup has a mistake do not count;
/// where one alone is left, the setup as it is does.
bool pl_sweep_moves(struct pl_arena *arena, const struct pl_sweep *sweep,
                    const struct pl_sweep_column *column, enum pl_unit_system system);

/// The same with one setting, whatever value the other one has?
bool pl_sweep_depends(struct pl_arena *arena, const struct pl_sweep *sweep,
                      const struct pl_sweep_column *column, size_t setting,
                      enum pl_unit_system system);

/// Columns as they are shown: left and right once where they look alike.
struct pl_sweep_shown {
  const struct pl_sweep_column *column;
  const char *place; ///< "front", "rear left"; "" for the whole car
  unsigned places;   ///< a bit for each place that it stands for
};

/// Is there a value that cannot be told among those that are shown?
bool pl_sweep_lacks(const struct pl_sweep *sweep, const struct pl_sweep_shown *shown,
                    size_t count);

/// Which columns are to be seen, in the order of figures. Those that do not move are left out
/// where `moving` says so. `*count` may be 0.
const struct pl_sweep_shown *pl_sweep_shown_of(struct pl_arena *arena,
                                               const struct pl_sweep *sweep, bool moving,
                                               enum pl_unit_system system, size_t *count);

#endif
