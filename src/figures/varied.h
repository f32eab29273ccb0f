// SPDX-License-Identifier: GPL-3.0-or-later
// Figures of a setup of which some settings vary: the same figures are asked for of combination
// after combination, and what no change touches is not worked out again.
//
// Each setting that varies belongs to a dimension, and each way of a dimension is a setup of
// the language, from which that setting is taken. Whenever a figure or an assembly asks for a
// setting of a dimension, or for another figure or assembly that did, the dimension's bit is
// noted in its cell: cell->reads. Values are kept by the ways of the dimensions that were read.
//
// Why a kept value is right: working out a figure is a program without chance and without
// memory that reads settings and nothing else. Let it have been worked out for one combination,
// and let R be the dimensions that it read. For any other combination with the same ways in R
// it reads the same first setting, hence goes on alike, and so to the end: same value, same R.
// The cell's `reads` holds R and perhaps more, which only keeps apart what could have been
// shared. When `reads` grows, what was kept by fewer dimensions is thrown away, since its place
// in the table means something else now; right it was all the same.
#ifndef PITLEAF_FIGURES_VARIED_H
#define PITLEAF_FIGURES_VARIED_H

#include "pitleaf/choice.h"
#include "room.h"

/// No dimension, in `dimension_of`.
#define FIXED UINT8_MAX

struct varied {
  const struct pl_space *space;
  /// For each setting and place its dimension. Settings that follow a dimension's are its own,
  /// too: what the file works out of them.
  const uint8_t (*dimension_of)[PL_PLACE_COUNT];
  unsigned char ways[PL_DIMENSIONS]; ///< the combination in hand
  struct pl_arena *lasting;          ///< for cells and what they keep
};

/// Figures of a space, at first of the setup as it is. They belong to `lasting`; what figures
/// need while they are worked out comes from `scratch`, which is reset now and then. Threads
/// may have one each if all settings of the ways were resolved before.
struct pl_figures *pl_figures_varied(struct pl_arena *lasting, struct pl_arena *scratch,
                                     const struct pl_space *space,
                                     const uint8_t (*dimension_of)[PL_PLACE_COUNT]);

/// A figure of the combination in hand (`figures->varied->ways`); NaN where it is absent.
/// `*reads` gets the bits of what it goes by, as far as that is known.
double varied_value(struct pl_figures *figures, enum pl_figure wanted, enum pl_place place,
                    unsigned *reads);

/// Which dimension each setting belongs to. A dimension of which a setting follows that follows
/// another dimension as well is told in `*clash` and cannot be varied beside that one; then
/// false.
bool dimensions_of_settings(const struct pl_space *space,
                            uint8_t dimension_of[PL_SETTING_COUNT][PL_PLACE_COUNT],
                            size_t *clash, enum pl_setting *by);

// What the engine calls where settings vary.
const struct pl_setup *varied_setup(const struct work *work, enum pl_setting setting,
                                    enum pl_place place);
double varied_figure(struct work *work, enum pl_figure wanted, enum pl_place place);
const struct corner *varied_with(struct work *work, enum assembly assembly);

// And what of the engine it uses.
double work_out(enum pl_figure wanted, struct work *work);
bool build_assembly(enum assembly assembly, struct work *work, struct corner *corner);

#endif
