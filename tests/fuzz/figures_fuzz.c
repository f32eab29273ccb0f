// SPDX-License-Identifier: GPL-3.0-or-later
// From a stranger's file to its figures: problems, figures, curves and explanations, in all
// their forms.
#include "target.h"

#include <math.h>

/// Setups of a file that are told: what more would bring is time.
#define SETUP_LIMIT 2

static void tell_curves(struct target *target, struct pl_figures *figures) {
  for (int i = 0; i < PL_CURVE_COUNT; i++) {
    for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place += 2) {
      const struct pl_curve *const curve =
          pl_curve_make(figures, (enum pl_curve_kind)i, (enum pl_place)place);
      (void)pl_curve_text(target->arena, curve, (enum pl_place)place, &metric_style);
      (void)pl_curve_csv(target->arena, curve);
      check_json("a curve", pl_curve_json(target->arena, curve, (enum pl_place)place));
    }
  }
}

/// As hard as the commands allow: the least and the greatest heights, lengths and speeds.
static const struct pl_simulation drops[] = {{.height = 0.2}, {.height = 0}, {.height = 5}};
static const struct pl_simulation bumps[] = {
    {true, 12e-3, 60e-3, 6, 0.2, 1},  {true, 0.1, 5e-3, 50, 5e-3, 30},
    {true, -0.1, 60e-3, 6, 60e-3, 3}, {true, 0.1, 5e-3, 0.1, 10e-3, 2},
    {true, -20e-3, 0.2, 10, 0.21, 5}, {true, 30e-3, 40e-3, 3, 50e-3, 7},
    {true, 0, 10, 50, 10, 2},         {true, 1e-9, 5e-3, 50, 5e-3, 1},
};

static void tell_simulations(struct target *target, struct pl_figures *figures) {
  const struct pl_simulation *const simulations[] = {
      &drops[target->length % (sizeof drops / sizeof drops[0])],
      &bumps[target->length % (sizeof bumps / sizeof bumps[0])]};
  for (size_t i = 0; i < 2; i++) {
    struct pl_simulated_car car = {.setup = pl_figures_setup(figures),
                                   .simulation = simulations[i]};
    for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place += 2) {
      const struct pl_simulated *const corner =
          pl_simulate(figures, car.simulation, 0, false, (enum pl_place)place);
      const double missing = corner->values[PL_RESULT_MISSING];
      if (corner->present && !isfinite(missing)) broken("energy is no number");
      if (!corner->present && corner->need_count == 0 && corner->reason == NULL)
        broken("a corner is not simulated, and nothing says why");
      car.corners[place] = car.corners[place + 1] = corner; // the right takes as long again
    }
    (void)pl_simulation_text(target->arena, &car, &imperial_style);
    check_json("a simulation", pl_simulation_json(target->arena, &car));
  }
}

static void explain(struct target *target, struct pl_figures *figures) {
  // A quarter of them each time: they take longer than all else.
  for (int i = (int)(target->length % 4); i < PL_FIGURE_COUNT; i += 4)
    (void)pl_explain_figure(target->arena, figures, (enum pl_figure)i,
                            pl_first_place(pl_figure_rows[i].scope), &imperial_style);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const bool is_of_car = pl_settings[i].owner == PL_BLOCK_SETUP;
    if (!is_of_car || pl_settings[i].scope == PL_SCOPE_PART) continue;
    (void)pl_explain_setting(target->arena, pl_figures_setup(figures), (enum pl_setting)i,
                             PL_SETTING_COUNT, pl_last_place(pl_settings[i].scope),
                             &metric_style);
  }
}

/// What is told is a number.
static void check_finite(struct pl_figures *figures) {
  const struct pl_tolerances *const tolerances = pl_tolerances_new(figures, NULL, 0);
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const enum pl_scope scope = pl_figure_rows[i].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++) {
      const struct pl_figure_value *const value =
          pl_figure_get(figures, (enum pl_figure)i, (enum pl_place)place);
      if (value->present && !isfinite(value->value))
        broken("%s is %g", pl_figure_rows[i].key, value->value);
      const struct pl_figure_tolerance *const tolerance =
          pl_tolerance_of(tolerances, (enum pl_figure)i, (enum pl_place)place);
      if (!isfinite(tolerance->half_width) || tolerance->worst < tolerance->half_width * 0.999)
        broken("%s is uncertain by %g, %g at the worst", pl_figure_rows[i].key,
               tolerance->half_width, tolerance->worst);
    }
  }
}

static void tell_figures(struct target *target, struct pl_program *program,
                         struct pl_figures *figures) {
  const struct pl_figure_choice all = {NULL, 0};
  (void)pl_figures_text(target->arena, figures, &all, &metric_style);
  (void)pl_figures_text(target->arena, figures, &all, &imperial_style);
  (void)pl_figures_csv(target->arena, figures, &all);
  check_json("the figures",
             pl_figures_json(target->arena, figures, &all, pl_program_problems(program)));
  (void)pl_matching_text(target->arena, figures, 2e-5, &all, &metric_style);
  (void)pl_matching_csv(target->arena, figures, 1e-3, &all);
  check_json("figures of both sides", pl_matching_json(target->arena, figures, 1e-4, &all,
                                                       pl_program_problems(program)));
}

void try_input(struct target *target) {
  struct pl_program *const program = checked_entry(target);
  if (program == NULL) return;
  for (size_t i = 0; i < SETUP_LIMIT; i++) {
    struct pl_figures *const figures = figures_of(program, i);
    if (figures == NULL) break;
    check_finite(figures);
    tell_figures(target, program, figures);
    tell_curves(target, figures);
    tell_simulations(target, figures);
    explain(target, figures);
  }
  tell_problems(target, program);
}
