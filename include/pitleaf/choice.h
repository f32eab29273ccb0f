// SPDX-License-Identifier: GPL-3.0-or-later
// choice: which of the parts that somebody owns bring a setup's figures nearest to an aim.
//
// What is varied: at each axle, left and right alike, the spring, the piston, the oil, the
// holes of both mounts, and the preload. Each way to set one of them is a setup that the
// language makes from the one in hand by one line. A combination takes the setting of each from
// the setup of its way; its figures are those that the language would work out of all lines
// together.
//
// Combinations are ordered, so that the answer is the same whoever works it out: by what misses
// the aims, then by the work of the changes, then by how near the figures are to the middle of
// what is wanted, then by the order of the ways (as it is; then as the box lists them). Of
// combinations that differ in preload alone, the first in this order stands for all: preload is
// turned to suit the rest.
#ifndef PITLEAF_CHOICE_H
#define PITLEAF_CHOICE_H

#include "pitleaf/figures.h"

// ---------------------------------------------------------------- aims

/// What is varied at an axle.
enum pl_varied_kind {
  PL_VARY_SPRING,
  PL_VARY_PISTON,
  PL_VARY_OIL,
  PL_VARY_TOP,
  PL_VARY_BOTTOM,
  PL_VARY_PRELOAD,
  PL_VARY_COUNT
};

/// One row for each kind: its setting, what changing it is called, and the work of it.
struct pl_varied_row {
  enum pl_setting setting;
  const char *change; ///< "an oil change"
  unsigned work;      ///< common practice, no source: about the minutes of a practised hand
};

extern const struct pl_varied_row pl_varied_rows[PL_VARY_COUNT];

/// A figure that is wanted at a place: of an axle's two sides where it is a corner's.
struct pl_wanted {
  const char *key; ///< with its place, as in "rear.damping-ratio-slow"
  struct pl_span span;
  enum pl_figure figure;
  enum pl_place places[PL_AXLES]; ///< one, or the left and the right
  size_t place_count;
  double target;    ///< SI; of a range its middle
  double tolerance; ///< SI, above zero; of a range half of its width
  bool is_range;
  bool is_implied; ///< no line says so: the car is to stand at its ride height
};

/// Most of those that no line says: one for each wheel.
#define PL_STANDING_MOST 4

struct pl_aim {
  const char *name; ///< "": it has none
  struct pl_span span;
  struct pl_wanted *wanted;
  size_t count;
  bool keeps[PL_AXLES][PL_VARY_COUNT];
};

/// Reports what is wrong with an aim. Everything else that is said about it here takes it to be
/// right.
void pl_aim_check(struct pl_program *program, const struct pl_block *block);

/// The aim and the box of these names, or, with null, the only ones: of the main file, or,
/// where it has none, of what it includes. Null with the problem reported;
/// what is wrong with the aim is reported, too.
const struct pl_aim *pl_program_aim(struct pl_program *program, const char *name);
const struct pl_parts_box *pl_program_box_named(struct pl_program *program, const char *name);

// ---------------------------------------------------------------- what there is to choose from

/// A way to set something.
struct pl_way {
  const char *written; ///< the value as a file has it; "" for what stays as it is
  const struct pl_setup *setup;
};

/// Something that is varied, with the ways to set it; the first is to leave it as it is.
struct pl_dimension_varied {
  enum pl_place axle; ///< PL_FRONT or PL_REAR
  enum pl_varied_kind kind;
  struct pl_way *ways;
  size_t count;
};

/// Most of them: each kind at each axle.
#define PL_DIMENSIONS (PL_AXLES * PL_VARY_COUNT)

/// All that is searched, and what was left out of it and why.
struct pl_space {
  const struct pl_setup *setup; ///< as it is, in the program of the ways
  const char *setup_name;
  /// The aim, and with it that the car stands at its declared ride height, as far as it does so
  /// as it is: the figures are those at that height.
  const struct pl_aim *aim;
  struct pl_dimension_varied dimensions[PL_DIMENSIONS];
  size_t count;
  const char **remarks; ///< sentences: "The piston … is left out at the rear: …"
  size_t remark_count;
  size_t remark_capacity;
  struct pl_program *file;    ///< the program that the setup was asked for in
  struct pl_program *program; ///< the same with a setup for each way
};

/// What there is to choose from for a setup that has no errors. `arena` owns it; the setup's
/// program must stand as long.
struct pl_space *pl_space_new(struct pl_arena *arena, const struct pl_setup *setup,
                              const struct pl_parts_box *box, const struct pl_aim *aim);

// ---------------------------------------------------------------- searching

/// What a combination is ordered by, in this order. All are sums, in steps so fine that nobody
/// sees them and so coarse that sums are the same in whatever order they are made.
struct pl_score {
  uint64_t missed; ///< the squares of how many tolerances the figures are beyond theirs
  uint64_t work;
  uint64_t away; ///< the squares of how many tolerances they are from the middle
};

/// A combination: for each dimension the number of its way.
struct pl_chosen {
  struct pl_score score;
  unsigned char ways[PL_DIMENSIONS];
};

/// Below zero: `a` goes before `b`.
int pl_chosen_compare(const struct pl_chosen *a, const struct pl_chosen *b, size_t dimensions);

/// Do they differ in preload alone? Of such the best stands for all.
bool pl_chosen_alike(const struct pl_space *space, const struct pl_chosen *a,
                     const struct pl_chosen *b);

/// The score of figures by an aim, without the work. `figures` are those of a whole setup.
struct pl_score pl_score_of(struct pl_figures *figures, const struct pl_aim *aim);

struct pl_search_request {
  size_t best;    ///< how many to find
  size_t threads; ///< at least 1
  /// Called now and then by the thread that asked, with how many combinations are behind it, of
  /// how many. May be null.
  void (*progress)(void *context, double done, double all);
  void *context;
};

struct pl_choice {
  struct pl_chosen *best; ///< the nearest, in their order
  size_t count;
  double combinations;        ///< of all that is varied and that an aim depends on
  double searched;            ///< of those that are looked through one group after the other
  double left_out;            ///< of these, those that bounds show to be farther
  bool varies[PL_DIMENSIONS]; ///< does an aimed figure depend on it?
  double too_many;            ///< combinations of a group that is too large; 0: none is
};

/// The nearest combinations: never farther than any other. `arena` owns the answer; memory that
/// runs out in a thread gives up as the arena does.
struct pl_choice *pl_search(struct pl_arena *arena, const struct pl_space *space,
                            const struct pl_search_request *request);

/// The lines that make a combination of the setup, as a file has them.
const char *pl_chosen_lines(struct pl_arena *arena, const struct pl_space *space,
                            const struct pl_chosen *chosen, const char *indent);

/// The same as a setup of its own that starts from the one in hand, as it goes behind
/// everything else in the file. Within that setup's own block the lines could stand beside
/// others that give the same, or be hidden by a corner's.
const char *pl_chosen_setup(struct pl_arena *arena, const struct pl_space *space,
                            const struct pl_chosen *chosen);

/// The setup of a combination, made by the language, with its figures.
struct pl_made {
  struct pl_figures *figures;
  const char **warnings; ///< what is doubtful about it, and not about the setup as it is
  size_t warning_count;
};

/// Makes the setups of some combinations. Owned by the arena.
struct pl_made *pl_make_chosen(struct pl_arena *arena, const struct pl_space *space,
                               const struct pl_chosen *chosen, size_t count);

#endif
