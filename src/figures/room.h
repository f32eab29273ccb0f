// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of this room share: the work on one figure, and how it asks for its inputs.
//
// A figure's function asks for inputs by the calls below. Each call notes what was asked for;
// an input that is not declared gives NaN and is noted as needed, so that a function may simply
// go on: its result is NaN and the figure is absent, with the list of what it lacks.
#ifndef PITLEAF_FIGURES_ROOM_H
#define PITLEAF_FIGURES_ROOM_H

#include "pitleaf/figures.h"
#include "pitleaf/physics.h"

/// Things that several figures of a corner share. They are worked out once, like figures.
enum assembly {
  ASSEMBLY_SPRING,  ///< curve of the main spring
  ASSEMBLY_OPPOSED, ///< curve of the opposed spring
  ASSEMBLY_LINKAGE,
  ASSEMBLY_AT_RIDE,  ///< position at ride height
  ASSEMBLY_AT_DROOP, ///< at the shock's full extension
  ASSEMBLY_AT_BUMP,  ///< at the shock's full compression
  ASSEMBLY_GAS,
  ASSEMBLY_OIL,   ///< law of the oil
  ASSEMBLY_FLUID, ///< the oil at the shock's temperature
  ASSEMBLY_PISTON,
  ASSEMBLY_COUNT
};

/// The assemblies of one corner.
struct corner {
  struct pl_spring_curve spring;
  bool spring_is_constant; ///< one rate up to where the coils touch
  struct pl_spring_curve opposed;
  bool has_opposed;
  double opposed_deflection; ///< at full extension
  struct pl_linkage linkage;
  struct pl_linkage_state at_ride;
  struct pl_linkage_state at_droop;
  struct pl_linkage_state at_bump;
  bool has_gas;
  struct pl_gas_chamber gas;
  struct pl_oil_law oil;
  double oil_density;   ///< at 25 degC
  double oil_expansion; ///< 1/K
  struct pl_fluid fluid;
  struct pl_piston piston;
};

enum cell_state { CELL_FRESH, CELL_BUSY, CELL_DONE };

/// What is doubtful, and the setting to look at.
struct warning {
  enum pl_setting about;
  const char *text;
};

/// No scope has more places than there are corners.
#define CORNERS 4

/// A figure or an assembly at a place, with what it asked for.
struct cell {
  enum cell_state state;
  bool broken; ///< something that it asked for is not there, and says why itself
  struct pl_figure_value value;
  const char **needs;
  size_t need_capacity;
  struct pl_input *inputs;
  size_t input_capacity;
  const char **notes;
  size_t note_capacity;
  const char **details;
  size_t detail_capacity;
  struct warning *warnings;
  size_t warning_count;
  size_t warning_capacity;
  unsigned reads;    ///< where settings vary: a bit for each dimension that it goes by
  struct memo *memo; ///< the values that it had; see varied.h
};

/// m. More than this between declared and settled ride height is worth a word.
#define HEIGHT_SLACK 0.5e-3

struct pl_figures {
  struct pl_arena *arena;
  const struct pl_setup *setup;
  struct pl_figures *base;
  bool explains;                ///< keeps inputs and details
  const struct pl_setup *other; ///< from which one setting is taken; null: none is
  enum pl_setting changed;      ///< that setting
  unsigned changed_at;          ///< a bit for each place of it
  double ports_wider[CORNERS];  ///< m: than they are declared
  const char *changed_ballast;  ///< or the name of a piece of ballast that is taken from there
  struct varied *varied; ///< where settings vary from question to question; null: none do
  /// Of each figure CORNERS cells, counted from the first place of its scope; null until asked
  /// for, since what one change does concerns few figures.
  struct cell *cells[PL_FIGURE_COUNT];
  struct cell assemblies[ASSEMBLY_COUNT][CORNERS];
  struct corner *corners[CORNERS];  ///< null until asked for
  const struct pl_simulation *drop; ///< that curves show; null: the usual one
  const struct pl_simulation *bump;
};

/// A figure being worked out.
struct work {
  struct pl_figures *figures;
  enum pl_place place;
  struct cell *cell;
};

typedef double figure_function(struct work *work);
/// Builds an assembly in the corner; false if it cannot be.
typedef bool assembly_function(struct work *work, struct corner *corner);

#define PL_FIGURE(id, key, scope, unit, digits, imperial, imperial_digits, label, meaning,     \
                  formula, source, inputs, function)                                           \
  figure_function function;
#include "pitleaf/figures.def"
#undef PL_FIGURE

assembly_function build_spring, build_opposed, build_linkage, build_at_ride, build_at_droop,
    build_at_bump, build_gas, build_oil, build_fluid, build_piston;

// ---------------------------------------------------------------- asking
//
// C leaves open in which order operands, arguments and initialisers are worked out, and what is
// asked first is told first: a function therefore asks line by line, so that every compiler's
// program tells the inputs in the same order.

/// The setup to ask for a setting at a place.
const struct pl_setup *setup_for(const struct work *work, enum pl_setting setting,
                                 enum pl_place place);
/// A setting's number that the figure cannot do without.
double need(struct work *work, enum pl_setting setting);
double need_at(struct work *work, enum pl_setting setting, enum pl_place place);
/// A setting's number, or NaN: the figure can do without (or the table has a fallback).
double optional(struct work *work, enum pl_setting setting);
/// A setting's word, or "" where none is given.
const char *optional_word(struct work *work, enum pl_setting setting);
/// The same of the setup that gives another setting, of which this one says no more than a
/// name.
const char *optional_word_beside(struct work *work, enum pl_setting setting,
                                 enum pl_setting other);
/// The same for what a part at this place says.
double need_of_part(struct work *work, enum pl_setting part, enum pl_setting inner);
double optional_of_part(struct work *work, enum pl_setting part, enum pl_setting inner);
/// A part that the figure cannot do without, or null.
const struct pl_part *need_part(struct work *work, enum pl_setting setting);
/// Notes what a part that stands inside the one of `setting` says (an oil of a blend).
void note_of_part(struct work *work, enum pl_setting setting, const struct pl_part *part,
                  enum pl_setting inner);
/// A choice's word, or "" where none is given.
const char *choice_of_part(struct work *work, enum pl_setting part, enum pl_setting inner);
/// A point that the figure cannot do without.
bool need_point(struct work *work, enum pl_setting setting, struct pl_point *point);
/// A point that may be missing: then false.
bool optional_point(struct work *work, enum pl_setting setting, struct pl_point *point);
/// Was the setting given at this place (a fallback is not)? Notes nothing.
bool is_given(const struct work *work, enum pl_setting setting);

/// Another figure at this place (or the place of its scope that holds it).
double figure(struct work *work, enum pl_figure wanted);
double figure_at(struct work *work, enum pl_figure wanted, enum pl_place place);
/// Left and right of the axle in hand: their mean.
double mean_of_axle(struct work *work, enum pl_figure wanted);
/// All assemblies that a figure asks for come with their own inputs; null if one is missing.
const struct corner *with(struct work *work, enum assembly assembly);

/// Says that an input is missing which has no setting's key of its own.
void lacks(struct work *work, const char *key);
/// Piston and fluid of the corner, or null.
const struct corner *with_damper(struct work *work);

/// Adds a note to the value, and a warning about the setting that is to blame.
void warn(struct work *work, enum pl_setting about, const char *text);
/// The value; where it has none though all that it is made of is there, warns as well.
double explained(struct work *work, double value, enum pl_setting about, const char *text);
/// Adds a note to the value, which figures made of this one carry too.
void note(struct work *work, const char *text);
/// Does anybody want an explanation? Else a detail need not even be put into words.
bool explains(const struct work *work);
/// Adds what an explanation of this figure alone should tell.
void detail(struct work *work, const char *text);

/// The spring's compression at full extension: declared, from the collar, or needed.
double preload_of(struct work *work);
/// Main and opposed spring of the corner, or null where one is not known.
const struct corner *with_springs(struct work *work);
/// What the opposed spring adds to the stiffness along the shock at ride height; 0 for none.
double opposed_stiffness(struct work *work);
/// Springs of the corner with that preload.
struct pl_shock_springs springs_of(const struct corner *corner, double preload);

#endif
