// SPDX-License-Identifier: GPL-3.0-or-later
// figures: from a resolved setup, by the physics, to values that know what they were made of.
#ifndef PITLEAF_FIGURES_H
#define PITLEAF_FIGURES_H

#include "pitleaf/model.h"

enum pl_figure {
#define PL_FIGURE(id, ...) PL_FIGURE_##id,
#include "pitleaf/figures.def"
#undef PL_FIGURE
  PL_FIGURE_COUNT
};

/// One row of the figures table; the columns are explained there.
struct pl_figure_row {
  const char *key;
  enum pl_scope scope;
  const char *unit;
  int digits;
  const char *imperial;
  int imperial_digits;
  const char *label;
  const char *meaning;
  const char *formula;
  const char *source;
  const char *inputs;
};

extern const struct pl_figure_row pl_figure_rows[PL_FIGURE_COUNT];

/// The figure of that key, or PL_FIGURE_COUNT; the nearest key, or null.
enum pl_figure pl_figure_of(const char *key);
const char *pl_figure_nearest(const char *key);

/// What a figure asked for: a setting, a part's setting, or another figure.
struct pl_input {
  bool is_figure;
  enum pl_figure figure;
  enum pl_setting setting;
  enum pl_setting inner; ///< of the part that `setting` names; PL_SETTING_COUNT: none
  enum pl_place place;
  const struct pl_resolved *resolved; ///< of a setting; null where there is none
};

/// A figure at a place.
struct pl_figure_value {
  bool present;
  double value;             ///< SI; NaN when absent
  const char *const *needs; ///< when absent: keys of settings that are not declared
  size_t need_count;
  const struct pl_input *inputs;
  size_t input_count;
  const char *const *notes; ///< what to know about the value
  size_t note_count;
  const char *const *details; ///< what an explanation adds; figures made of this one do not
  size_t detail_count;
};

/// All figures of one setup.
struct pl_figures;

/// Figures of a setup, computed as they are asked for. `base` is the setup that this one is
/// compared with, for figures that mean something in a comparison alone; null otherwise.
/// Owned by the arena of the setup's program.
struct pl_figures *pl_figures_new(const struct pl_setup *setup, struct pl_figures *base);

/// The same without a base, in less time: the values have neither inputs nor details.
struct pl_figures *pl_figures_brief(const struct pl_setup *setup);

/// Figures of the base's setup with one setting taken from another setup: what that change
/// alone does. `places` has a bit for each place of the change. For a piece of ballast,
/// `changed` is PL_SETTING_COUNT and `ballast` its name; otherwise that is null. These values
/// have neither inputs nor details.
struct pl_figures *pl_figures_with(struct pl_figures *base, const struct pl_setup *other,
                                   enum pl_setting changed, unsigned places,
                                   const char *ballast);

const struct pl_setup *pl_figures_setup(const struct pl_figures *figures);

/// A figure at a place of its scope. Never null.
const struct pl_figure_value *pl_figure_get(struct pl_figures *figures, enum pl_figure wanted,
                                            enum pl_place place);

/// Computes every figure and reports what is wrong with them to the program's problems.
void pl_figures_check(struct pl_figures *figures);

/// Reports what the entries of a meeting (its own, not those of its bases) say was measured and
/// is neither a setting of a setup, or of a part that a setup names, nor a figure. Everything
/// else about a meeting is checked when its file is loaded.
void pl_measured_check(struct pl_program *program, const struct pl_block *meeting);

/// The figure's value in the table's unit and digits; text "" when absent.
struct pl_printed pl_print_figure(struct pl_arena *arena, enum pl_figure wanted, double value,
                                  enum pl_unit_system system);
/// How many SI units of the language make one of the figure: 1, but for a figure per g of
/// acceleration, where `deg/g` in a file reads as degrees per gram.
double pl_figure_written_scale(enum pl_figure wanted);
/// A difference of two values of the figure, in the unit in which it is printed.
double pl_figure_difference(enum pl_figure wanted, double by, enum pl_unit_system system);
/// The figure's value in the unit of the JSON.
double pl_figure_in_unit(enum pl_figure wanted, double value);
/// The word that a figure of words has, or null for one that is a number.
const char *pl_figure_word(struct pl_arena *arena, enum pl_figure wanted, double value);
/// The name of a unit in the JSON ("1" for none, "mm2/s", "N·s/m").
const char *pl_unit_json(const char *unit);

// ---------------------------------------------------------------- tolerances

/// What one uncertain value does to a figure.
struct pl_contribution {
  const struct pl_uncertain *value;
  double half_width; ///< SI: the slope times the value's tolerance, with the slope's sign
  bool bends;        ///< the figure has a corner there: the steeper of both slopes was taken
};

/// How far a figure is uncertain. Limits in, limits out: with coverage as that of the written
/// tolerances, by the law of propagation of uncertainty for independent inputs (JCGM 100:2008,
/// 5.1.2) with the slope of the whole evaluation for each value. A value that several corners
/// share moves all of them at once.
struct pl_figure_tolerance {
  double half_width; ///< SI: the root of the sum of squares; 0: nothing uncertain is behind it
  double worst;      ///< SI: the plain sum, all values at their limits at once
  const struct pl_contribution *parts; ///< the largest first
  size_t count;
  bool untold; ///< shifting one of its values leaves the figure absent: nothing else is told
};

/// The tolerances of a setup's figures.
struct pl_tolerances;

/// Works out the tolerances of these figures (a count of 0: of all) at all their places, by
/// evaluating the setup again with each uncertain value a little larger and smaller. Null where
/// no value that is asked for has a tolerance, or where more than PL_MOST_UNCERTAIN have one,
/// which is reported. Owned by the arena of the setup's program.
struct pl_tolerances *pl_tolerances_new(struct pl_figures *figures,
                                        const enum pl_figure *wanted, size_t count);
/// Never null; nothing uncertain where `tolerances` is null or does not have the figure.
const struct pl_figure_tolerance *pl_tolerance_of(const struct pl_tolerances *tolerances,
                                                  enum pl_figure figure, enum pl_place place);
/// The half-width in the unit of the JSON.
double pl_half_width_in_unit(enum pl_figure wanted, double half_width);
/// The half-width as it is told by itself: with the table's digits, or where those show nothing
/// with two that count.
struct pl_printed pl_print_half_width(struct pl_arena *arena, enum pl_figure wanted,
                                      double half_width, enum pl_unit_system system);
/// The figure's value with its tolerance, "0.82 ± 0.07": both with the table's digits. A
/// tolerance that is nothing in those digits is left out; so is any of 0.
struct pl_printed pl_print_tolerated(struct pl_arena *arena, enum pl_figure wanted,
                                     double value, double half_width,
                                     enum pl_unit_system system);

// ---------------------------------------------------------------- left and right matched

/// Left and right of a setup with ports that are not drilled alike.
struct pl_matching;

/// Figures of both axles where the ports of one side are wider than those of the other by
/// `difference` (m): all ports of a piston alike, by half of it around what is declared.
/// Owned by the arena of the setup's program.
struct pl_matching *pl_matching_new(struct pl_figures *figures, double difference);

/// Left and right count as alike that differ by no more than this share: a round number, no
/// source.
#define PL_MATCH_WITHIN 0.05

struct pl_match {
  double apart;   ///< by what share the figure of one side exceeds the other's, beyond what it
                  ///< does as declared; NaN where that cannot be told
  double allowed; ///< m: the difference of ports that makes PL_MATCH_WITHIN of it; NaN where
                  ///< the figure does not depend on them, or is absent
};

/// A figure of the corners, on an axle.
struct pl_match pl_match_of(const struct pl_matching *matching, enum pl_figure figure,
                            enum pl_place axle);

// ---------------------------------------------------------------- simulations

/// A drop, or a run over bumps.
struct pl_simulation {
  bool over_bumps;
  double height;  ///< of the tyre above the ground, or of a bump, m
  double length;  ///< of a bump, m, as all below
  double speed;   ///< of the car, m/s
  double spacing; ///< from the start of one bump to the start of the next, m
  size_t count;   ///< of bumps
};

/// What is simulated where nothing else is said: the drop that racers do by hand, and one bump.
extern const struct pl_simulation pl_usual_drop;
extern const struct pl_simulation pl_usual_bump;

enum pl_result {
#define PL_RESULT(id, ...) PL_RESULT_##id,
#include "pitleaf/results.def"
#undef PL_RESULT
  PL_RESULT_COUNT
};

/// One row of the table of results; the columns are explained there.
struct pl_result_row {
  const char *key;
  bool of_drop;
  bool of_bump;
  const char *unit;
  int digits;
  const char *imperial;
  int imperial_digits;
  const char *label;
  const char *meaning;
};

extern const struct pl_result_row pl_result_rows[PL_RESULT_COUNT];

enum pl_trace {
#define PL_TRACE(id, ...) PL_TRACE_##id,
#include "pitleaf/results.def"
#undef PL_TRACE
  PL_TRACE_COUNT
};

/// What is told over time.
struct pl_trace_row {
  const char *key;
  const char *unit;
  const char *imperial;
  const char *label;
};

extern const struct pl_trace_row pl_trace_rows[PL_TRACE_COUNT];

/// A moment of a simulation, SI.
struct pl_trace_values {
  double of[PL_TRACE_COUNT];
};

/// A simulation of one corner.
struct pl_simulated {
  enum pl_place place;
  bool present;
  double values[PL_RESULT_COUNT]; ///< SI; NaN where there is nothing to tell
  bool end_is_bind;               ///< the shock ends where the coils of its spring touch
  double touch;                   ///< when the tyre first touches, s; 0 for bumps
  const struct pl_trace_values *moments;
  size_t moment_count;      ///< 0: none were asked for
  const char *const *needs; ///< when not present: keys that are not declared
  size_t need_count;
  const char *reason;       ///< why it is not present though nothing lacks; else mostly null
  const char *const *notes; ///< what to know
  size_t note_count;
};

/// The longest time that bumps take a wheel of this radius (m), s; 0 for a drop.
double pl_simulation_section(const struct pl_simulation *simulation, double radius);

/// Simulates a corner; with an `interval` (s, above 0) the moments are kept, those of a drop
/// from the release or `from_touch`; the highest drops are then left out. Never null; owned by
/// the arena of the figures.
const struct pl_simulated *pl_simulate(struct pl_figures *figures,
                                       const struct pl_simulation *simulation, double interval,
                                       bool from_touch, enum pl_place place);

/// Do two corners come out the same?
bool pl_simulated_equal(const struct pl_simulated *one, const struct pl_simulated *other);

/// The simulation that curves over time show, in place of the usual one of its kind.
void pl_figures_choose_simulation(struct pl_figures *figures,
                                  const struct pl_simulation *simulation);

/// The most that is looked at of a result that can be infinite, SI: how high a drop, how long a
/// time.
double pl_result_most(enum pl_result result);
/// A value in the table's unit and digits; of an infinite one that it is more than what is
/// looked at, text "" for NaN.
struct pl_printed pl_print_result(struct pl_arena *arena, enum pl_result wanted, double value,
                                  enum pl_unit_system system);

// ---------------------------------------------------------------- curves

enum pl_curve_kind {
  PL_CURVE_DAMPER_FORCE,
  PL_CURVE_DAMPING_TEMPERATURE,
  PL_CURVE_WHEEL_FORCE,
  PL_CURVE_MOTION_RATIO,
  PL_CURVE_CAMBER,
  PL_CURVE_SPRING_FORCE,
  PL_CURVE_DROP_HEIGHT,
  PL_CURVE_DROP_SPEED,
  PL_CURVE_DROP_FORCE,
  PL_CURVE_BUMP_HEIGHT,
  PL_CURVE_BUMP_SPEED,
  PL_CURVE_BUMP_FORCE,
  PL_CURVE_COUNT
};

/// What a curve shows; units as in the figures table.
struct pl_curve_row {
  const char *key;
  const char *label;
  const char *x_label;
  const char *x_unit;
  const char *y_label;
  const char *y_unit;
  const char *meaning;
};

extern const struct pl_curve_row pl_curve_rows[PL_CURVE_COUNT];

/// The curve of that key, or PL_CURVE_COUNT.
enum pl_curve_kind pl_curve_of(const char *key);

/// A point of a curve, SI.
struct pl_curve_point {
  double x;
  double y;
};

/// A point that has a name ("ride height").
struct pl_curve_mark {
  double x;
  double y;
  const char *name;
};

/// Most named points of a curve.
#define PL_CURVE_MARKS 4

struct pl_curve {
  enum pl_curve_kind kind;
  struct pl_curve_point *points; ///< x rising
  size_t count;                  ///< 0: an input is missing
  struct pl_curve_mark marks[PL_CURVE_MARKS];
  size_t mark_count;
  const char *const *needs; ///< when there is no point: keys that are not declared
  size_t need_count;
  const char *const *notes; ///< when there is no point: what is wrong with what is declared
  size_t note_count;
  const struct pl_simulation *simulation; ///< that it is over time of; null: of none
  double shown; ///< s; where it leaves out what comes later in the simulation, else 0
};

/// The curve at a corner. Never null; owned by the arena of the figures.
const struct pl_curve *pl_curve_make(struct pl_figures *figures, enum pl_curve_kind kind,
                                     enum pl_place place);

#endif
