// SPDX-License-Identifier: GPL-3.0-or-later
// What figures reveal: problems that no setting shows by itself.
#include "room.h"

#include <math.h>

static struct pl_diagnostics *problems_of(struct pl_figures *figures) {
  return pl_program_problems(pl_setup_program(figures->setup));
}

/// Where a setting was given last; the setup's name where it was not.
static struct pl_span span_of(struct pl_figures *figures, enum pl_setting setting,
                              enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(figures->setup, setting, place);
  if (resolved->touch_count == 0) return pl_setup_span(figures->setup);
  return resolved->touches[resolved->touch_count - 1].span;
}

static double value_of(struct pl_figures *figures, enum pl_figure figure, enum pl_place place) {
  const struct pl_figure_value *const value = pl_figure_get(figures, figure, place);
  return value->present ? value->value : NAN;
}

static const char *shown(struct pl_figures *figures, enum pl_figure figure, double value) {
  const struct pl_printed printed = pl_print_figure(figures->arena, figure, value, PL_METRIC);
  return pl_format(figures->arena, "%s %s", printed.text, printed.unit);
}

static void check_volumes(struct pl_figures *figures, enum pl_place place) {
  const double margin = value_of(figures, PL_FIGURE_BLADDER_MARGIN, place);
  if (!(margin < 0)) return;
  pl_report(problems_of(figures), PL_SHOCK_LOCKS, span_of(figures, PL_SETTING_DAMPER, place),
            PL_WORDS(pl_place_name(place), shown(figures, PL_FIGURE_BLADDER_MARGIN, -margin)));
}

/// More than this between declared and settled ride height is worth a word.
static const double height_slack = 0.5e-3;

static void check_height(struct pl_figures *figures, enum pl_place place) {
  const double settled = value_of(figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, place);
  const double declared = pl_setup_number(figures->setup, PL_SETTING_RIDE_HEIGHT, place);
  const double needed = value_of(figures, PL_FIGURE_PRELOAD_NEEDED, place);
  if (!(fabs(settled - declared) > height_slack)) return;
  const enum pl_setting by = pl_setup_get(figures->setup, PL_SETTING_PRELOAD, place)->given
                                 ? PL_SETTING_PRELOAD
                                 : PL_SETTING_COLLAR;
  const char *const mend =
      needed >= 0 ? shown(figures, PL_FIGURE_PRELOAD_NEEDED, needed) : NULL;
  pl_report(problems_of(figures), PL_SETTLES_ELSEWHERE, span_of(figures, by, place),
            PL_WORDS(pl_place_name(place),
                     shown(figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, settled),
                     shown(figures, PL_FIGURE_SETTLED_RIDE_HEIGHT, declared), mend));
}

static void check_spring(struct pl_figures *figures, enum pl_place place) {
  const double to_bind = value_of(figures, PL_FIGURE_TRAVEL_TO_BIND, place);
  const double to_end = value_of(figures, PL_FIGURE_SHOCK_TRAVEL_IN, place);
  if (to_bind < to_end)
    pl_report(problems_of(figures), PL_SPRING_BINDS, span_of(figures, PL_SETTING_SPRING, place),
              PL_WORDS(pl_place_name(place),
                       shown(figures, PL_FIGURE_TRAVEL_TO_BIND, to_end - to_bind)));
  const double needed = value_of(figures, PL_FIGURE_PRELOAD_NEEDED, place);
  if (needed < 0)
    pl_report(
        problems_of(figures), PL_SPRING_TOO_STIFF, span_of(figures, PL_SETTING_SPRING, place),
        PL_WORDS(pl_place_name(place), shown(figures, PL_FIGURE_PRELOAD_NEEDED, -needed)));
}

/// A spring, or a stack of them, that hangs loose on a fully extended shock: the collar leaves
/// it room.
static void check_loose(struct pl_figures *figures, enum pl_place place) {
  struct cell *const cell = pl_alloc(figures->arena, sizeof *cell);
  struct work work = {.figures = figures, .place = place, .cell = cell};
  if (is_given(&work, PL_SETTING_PRELOAD) || !is_given(&work, PL_SETTING_COLLAR)) return;
  const double preload = preload_of(&work);
  if (!(preload < 0)) return;
  pl_report(problems_of(figures), PL_SPRING_LOOSE, span_of(figures, PL_SETTING_COLLAR, place),
            PL_WORDS(pl_place_name(place), shown(figures, PL_FIGURE_PRELOAD_NEEDED, -preload)));
}

static void check_shaft(struct pl_figures *figures, enum pl_place place) {
  const double force = value_of(figures, PL_FIGURE_SHAFT_FORCE, place);
  const double load = value_of(figures, PL_FIGURE_BUCKLING_LOAD, place);
  if (force > load)
    pl_report(problems_of(figures), PL_SHAFT_BUCKLES,
              span_of(figures, PL_SETTING_DAMPER, place),
              PL_WORDS(pl_place_name(place), shown(figures, PL_FIGURE_SHAFT_FORCE, force),
                       shown(figures, PL_FIGURE_BUCKLING_LOAD, load)));
}

/// What figures and assemblies warned of while they were worked out.
static void report_warnings(struct pl_figures *figures, const struct cell *cell,
                            enum pl_place place) {
  for (size_t i = 0; i < cell->warning_count; i++)
    pl_report(problems_of(figures), PL_FIGURE_NOTE,
              span_of(figures, cell->warnings[i].about, place),
              PL_WORDS(pl_place_name(place), cell->warnings[i].text));
}

void pl_figures_check(struct pl_figures *figures) {
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_figure figure = (enum pl_figure)i;
    const enum pl_scope scope = pl_figure_rows[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      pl_figure_get(figures, figure, (enum pl_place)place);
      report_warnings(figures, &figures->cells[i][place - (int)pl_first_place(scope)],
                      (enum pl_place)place);
    }
  }
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    check_volumes(figures, (enum pl_place)place);
    check_height(figures, (enum pl_place)place);
    check_spring(figures, (enum pl_place)place);
    check_loose(figures, (enum pl_place)place);
    check_shaft(figures, (enum pl_place)place);
    for (int i = 0; i < ASSEMBLY_COUNT; i++)
      report_warnings(figures, &figures->assemblies[i][place], (enum pl_place)place);
  }
}
