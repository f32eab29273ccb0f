// SPDX-License-Identifier: GPL-3.0-or-later
// Figures of combinations: which setup a setting is read from, what is kept, and what is worked
// out again. varied.h says why what is kept is right.
#include "varied.h"

#include <math.h>
#include <string.h>

/// Most values that a figure keeps: what more ways have together, few combinations share.
#define MOST_KEPT 65536

/// The values that a figure had, by the ways of the dimensions that it reads.
struct memo {
  unsigned reads; ///< for which it was made
  size_t count;   ///< 0: there would be too many
  double *values; ///< NaN: absent
  bool *known;
};

/// For each corner the combination that its assemblies are of, in the order of the places.
struct varied_figures {
  struct pl_figures figures;
  struct varied varied;
  unsigned char built[CORNERS][PL_DIMENSIONS];
};

struct pl_figures *pl_figures_varied(struct pl_arena *lasting, struct pl_arena *scratch,
                                     const struct pl_space *space,
                                     const uint8_t (*dimension_of)[PL_PLACE_COUNT]) {
  struct varied_figures *const made = pl_alloc(lasting, sizeof *made);
  made->varied =
      (struct varied){.space = space, .dimension_of = dimension_of, .lasting = lasting};
  made->figures.arena = scratch;
  made->figures.setup = space->setup;
  made->figures.varied = &made->varied;
  return &made->figures;
}

// ---------------------------------------------------------------- settings

const struct pl_setup *varied_setup(const struct work *work, enum pl_setting setting,
                                    enum pl_place place) {
  const struct varied *const varied = work->figures->varied;
  const enum pl_place at = pl_place_at(place, pl_settings[setting].scope);
  if (at == PL_PLACE_COUNT) return work->figures->setup;
  const uint8_t dimension = varied->dimension_of[setting][at];
  if (dimension == FIXED) return work->figures->setup;
  work->cell->reads |= 1u << dimension;
  return varied->space->dimensions[dimension].ways[varied->ways[dimension]].setup;
}

static bool differs(const struct pl_setup *a, const struct pl_setup *b, enum pl_setting setting,
                    enum pl_place place) {
  const struct pl_resolved *const one = pl_setup_get(a, setting, place);
  const struct pl_resolved *const other = pl_setup_get(b, setting, place);
  return one->given != other->given || !pl_value_equal(&one->value, &other->value);
}

static bool follows(const struct pl_space *space, const struct pl_dimension_varied *dimension,
                    enum pl_setting setting, enum pl_place place) {
  for (size_t way = 1; way < dimension->count; way++) {
    if (differs(space->setup, dimension->ways[way].setup, setting, place)) return true;
  }
  return false;
}

bool dimensions_of_settings(const struct pl_space *space,
                            uint8_t dimension_of[PL_SETTING_COUNT][PL_PLACE_COUNT],
                            size_t *clash, enum pl_setting *by) {
  memset(dimension_of, FIXED, (size_t)PL_SETTING_COUNT * PL_PLACE_COUNT);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const enum pl_setting setting = (enum pl_setting)i;
    const enum pl_scope scope = pl_settings[i].scope;
    if (pl_settings[i].owner != PL_BLOCK_SETUP) continue;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      for (size_t d = 0; d < space->count; d++) {
        if (!follows(space, &space->dimensions[d], setting, (enum pl_place)place)) continue;
        if (dimension_of[i][place] != FIXED) {
          *clash = d;
          *by = setting;
          return false;
        }
        dimension_of[i][place] = (uint8_t)d;
      }
    }
  }
  return true;
}

// ---------------------------------------------------------------- what is kept

/// Where the combination in hand stands among those of the memo's dimensions.
static size_t place_in(const struct varied *varied, const struct memo *memo) {
  size_t at = 0;
  for (size_t d = 0; d < varied->space->count; d++) {
    if ((memo->reads & (1u << d)) != 0)
      at = at * varied->space->dimensions[d].count + varied->ways[d];
  }
  return at;
}

/// The memo for what the cell reads, made anew where that has grown.
static struct memo *memo_of(const struct varied *varied, struct cell *cell) {
  if (cell->memo != NULL && cell->memo->reads == cell->reads) return cell->memo;
  if (cell->memo == NULL) cell->memo = pl_alloc(varied->lasting, sizeof *cell->memo);
  size_t count = 1;
  for (size_t d = 0; d < varied->space->count && count <= MOST_KEPT; d++) {
    if ((cell->reads & (1u << d)) != 0) count *= varied->space->dimensions[d].count;
  }
  if (count > MOST_KEPT) count = 0;
  *cell->memo = (struct memo){
      .reads = cell->reads,
      .count = count,
      .values = pl_alloc_array(varied->lasting, count, sizeof *cell->memo->values),
      .known = pl_alloc_array(varied->lasting, count, sizeof *cell->memo->known)};
  return cell->memo;
}

// ---------------------------------------------------------------- figures

static struct cell *cell_of(struct pl_figures *figures, enum pl_figure wanted,
                            enum pl_place place) {
  const enum pl_place first = pl_first_place(pl_figure_rows[wanted].scope);
  const bool is_own = place >= first && place <= pl_last_place(pl_figure_rows[wanted].scope);
  if (!is_own || place >= PL_PLACE_COUNT) return NULL;
  if (figures->cells[wanted] == NULL)
    figures->cells[wanted] =
        pl_alloc_array(figures->varied->lasting, CORNERS, sizeof(struct cell));
  return &figures->cells[wanted][place - first];
}

/// The value for the combination in hand, kept or worked out; NaN where it is absent. What is
/// asked for while it is worked out is absent, as it is to the engine.
static double value_of(struct pl_figures *figures, struct cell *cell, enum pl_figure wanted,
                       enum pl_place place) {
  struct varied *const varied = figures->varied;
  if (cell->state == CELL_BUSY) return NAN;
  if (cell->memo != NULL && cell->memo->count > 0 && cell->memo->reads == cell->reads) {
    const size_t at = place_in(varied, cell->memo);
    if (cell->memo->known[at]) return cell->memo->values[at];
  }
  cell->state = CELL_BUSY;
  cell->broken = false;
  struct work work = {.figures = figures, .place = place, .cell = cell};
  double value = work_out(wanted, &work);
  if (!isfinite(value)) value = NAN;
  cell->state = CELL_DONE;
  struct memo *const memo = memo_of(varied, cell);
  if (memo->count > 0) {
    const size_t at = place_in(varied, memo);
    memo->values[at] = value;
    memo->known[at] = true;
  }
  return value;
}

double varied_figure(struct work *work, enum pl_figure wanted, enum pl_place place) {
  struct cell *const cell = cell_of(work->figures, wanted, place);
  const double value = cell == NULL ? NAN : value_of(work->figures, cell, wanted, place);
  if (cell != NULL) work->cell->reads |= cell->reads;
  work->cell->broken |= isnan(value);
  return value;
}

double varied_value(struct pl_figures *figures, enum pl_figure wanted, enum pl_place place,
                    unsigned *reads) {
  // Texts of warnings, which nobody reads, and the like.
  if (pl_arena_used(figures->arena) > 65536) pl_arena_reset(figures->arena);
  struct cell *const cell = cell_of(figures, wanted, place);
  const double value = cell == NULL ? NAN : value_of(figures, cell, wanted, place);
  *reads |= cell == NULL ? 0 : cell->reads;
  return value;
}

// ---------------------------------------------------------------- assemblies

/// Assemblies of a corner share its memory, and one may look at what another has built. So all
/// of those that are done are of one combination: what goes by a dimension that changed since
/// is to be built again.
static void refresh(struct pl_figures *figures, enum pl_place place) {
  struct varied_figures *const own = (struct varied_figures *)figures;
  unsigned char *const built = own->built[place];
  unsigned changed = 0;
  for (size_t d = 0; d < own->varied.space->count; d++)
    changed |= (unsigned)(built[d] != own->varied.ways[d]) << d;
  if (changed == 0) return;
  memcpy(built, own->varied.ways, sizeof own->varied.ways);
  for (int i = 0; i < ASSEMBLY_COUNT; i++) {
    struct cell *const cell = &figures->assemblies[i][place];
    if (cell->state == CELL_DONE && (cell->reads & changed) != 0) cell->state = CELL_FRESH;
  }
}

const struct corner *varied_with(struct work *work, enum assembly assembly) {
  struct pl_figures *const figures = work->figures;
  struct cell *const cell = &figures->assemblies[assembly][work->place];
  if (figures->corners[work->place] == NULL)
    figures->corners[work->place] = pl_alloc(figures->varied->lasting, sizeof(struct corner));
  struct corner *const corner = figures->corners[work->place];
  refresh(figures, work->place);
  if (cell->state == CELL_FRESH) {
    cell->state = CELL_BUSY;
    cell->broken = false;
    struct work own = {.figures = figures, .place = work->place, .cell = cell};
    cell->value.present = build_assembly(assembly, &own, corner);
    cell->state = CELL_DONE;
  }
  work->cell->reads |= cell->reads;
  const bool whole = cell->value.present && cell->state == CELL_DONE;
  work->cell->broken |= !whole;
  return whole ? corner : NULL;
}
