// SPDX-License-Identifier: GPL-3.0-or-later
// Times what is solved inside a process: one damper, beside GSL's Brent solver on the same
// network, and all figures of a setup. Usage: solve SETUP.leaf
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>

#include "corner.h"
#include "pitleaf/figures.h"
#include "pitleaf/physics.h"
#include "pitleaf/simulation.h"

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static int compare_doubles(const void *left, const void *right) {
  const double a = *(const double *)left;
  const double b = *(const double *)right;
  return a < b ? -1 : a > b;
}

/// Runs counted; the median is told.
#define RUNS 21

static double median(double *times) {
  qsort(times, RUNS, sizeof *times, compare_doubles);
  return times[RUNS / 2];
}

// ---------------------------------------------------------------- one damper

static const struct pl_piston piston = {
    .set_count = 3,
    .sets = {{.count = 3, .diameter_cap_side = 1.6e-3, .diameter_shaft_side = 1.6e-3},
             {.count = 2, .diameter_cap_side = 1.4e-3, .diameter_shaft_side = 1.2e-3},
             {.count = 2,
              .diameter_cap_side = 1.5e-3,
              .diameter_shaft_side = 1.5e-3,
              .way = PL_FLOW_COMPRESSION,
              .opens_at = 4e3}},
    .thickness = 2.4e-3,
    .diameter = 12.9e-3,
    .bore = 13e-3,
    .shaft = 3e-3};
static const struct pl_fluid fluid = {.dynamic_viscosity = 0.4, .density = 970};

/// Flow of the network above what the piston sweeps, for the other solver: every path by
/// itself.
struct network {
  struct pl_port_law laws[3];
  double leak;   ///< m3/(s Pa)
  double wanted; ///< m3/s
};

static double excess_flow(double pressure, void *context) {
  const struct network *const network = context;
  double flow = network->leak * pressure;
  for (size_t i = 0; i < piston.set_count; i++) {
    const double own = piston.sets[i].way == PL_FLOW_BOTH
                           ? pressure
                           : fmax(0, pressure - piston.sets[i].opens_at);
    flow += piston.sets[i].count * pl_port_flow(&network->laws[i], own);
  }
  return flow - network->wanted;
}

static double pressure_by_gsl(double speed) {
  struct network network;
  const double slit = (piston.bore - piston.diameter) / 2;
  for (size_t i = 0; i < piston.set_count; i++)
    network.laws[i] = pl_port_law(piston.thickness, piston.sets[i].diameter_cap_side,
                                  piston.sets[i].diameter_shaft_side, &fluid);
  network.leak = PL_PI * piston.diameter * slit * slit * slit /
                 (12 * fluid.dynamic_viscosity * piston.thickness);
  const double swept =
      PL_PI / 4 * (piston.diameter * piston.diameter - piston.shaft * piston.shaft);
  network.wanted = (swept + PL_PI * piston.diameter * slit / 2) * speed;
  gsl_function function = {excess_flow, &network};
  gsl_root_fsolver *const solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
  gsl_root_fsolver_set(solver, &function, 0, 1e7);
  for (int i = 0; i < 200; i++) {
    gsl_root_fsolver_iterate(solver);
    const double least = gsl_root_fsolver_x_lower(solver);
    const double greatest = gsl_root_fsolver_x_upper(solver);
    if (gsl_root_test_interval(least, greatest, 0, 1e-10) == GSL_SUCCESS) break;
  }
  const double root = gsl_root_fsolver_root(solver);
  gsl_root_fsolver_free(solver);
  return root;
}

static double pressure_by_pitleaf(double speed) {
  return pl_piston_pressure(&piston, &fluid, speed);
}

/// Microseconds of one solve; `*sum` keeps the work from being left out.
static double time_solves(double (*solve)(double speed), double *sum) {
  enum { SOLVES = 20000 };
  double times[RUNS];
  for (int run = 0; run < RUNS; run++) {
    const double start = seconds();
    for (int i = 1; i <= SOLVES; i++) *sum += solve(2.0 * i / SOLVES);
    times[run] = (seconds() - start) / SOLVES * 1e6;
  }
  return median(times);
}

// ---------------------------------------------------------------- one drop

/// Microseconds of a drop from 200 mm until it is still: one corner, whose left and right are
/// alike; its path tabulated anew each time. NaN where it fails.
static double time_drop(void) {
  enum { DROPS = 20 };
  double times[RUNS];
  struct pl_test_corner test;
  pl_buggy_corner(&test);
  const double lowest = test.corner.path.lowest;
  const double highest = test.corner.path.highest;
  struct pl_simulator *const simulator = pl_simulator_new(PL_SIMULATION_TOLERANCE);
  struct pl_motion_result result = {.settled = false};
  for (int run = 0; run < RUNS; run++) {
    const double start = seconds();
    for (int i = 0; i < DROPS; i++) {
      pl_shock_path_of(&test.linkage, lowest, highest, test.longest, &test.corner.path);
      pl_simulate_drop(simulator, &test.corner, 0.2, NULL, &result);
    }
    times[run] = (seconds() - start) / DROPS * 1e6;
  }
  pl_simulator_free(simulator);
  return result.settled && result.cavitated ? median(times) : NAN;
}

// ---------------------------------------------------------------- one setup

struct setup_timing {
  struct pl_guard *guard;
  const char *path;
  double microseconds;
  bool done;
};

/// The figures of one setup, and the seconds that all of them so far took.
struct figures_timing {
  struct pl_program *program;
  double seconds;
  bool done;
};

static void time_figures(void *context) {
  struct figures_timing *const timing = context;
  const struct pl_setup *const setup = pl_program_setup(timing->program, NULL);
  timing->done = setup != NULL;
  if (setup == NULL) return;
  pl_setup_check(setup);
  const double start = seconds();
  pl_figures_check(pl_figures_new(setup, NULL));
  timing->seconds += seconds() - start;
}

/// All figures of all corners, with the setup read and resolved beforehand; as in a check of
/// many setups, in memory that the one before has left.
static void time_setup(void *context) {
  enum { ROUNDS = 50 };
  struct setup_timing *const timing = context;
  struct pl_arena *const arena = pl_arena_new(timing->guard);
  struct pl_arena *const scratch = pl_arena_new(timing->guard);
  struct pl_session *const session = pl_session_new(arena, timing->guard, NULL);
  struct figures_timing figures = {pl_program_load(session, arena, timing->path), 0, false};
  double times[RUNS];
  for (int run = 0; run < RUNS; run++) {
    figures.seconds = 0;
    for (int i = 0; i < ROUNDS; i++) {
      pl_program_aside(figures.program, scratch, time_figures, &figures);
      pl_arena_reset(scratch);
    }
    times[run] = figures.seconds / ROUNDS * 1e6;
  }
  timing->microseconds = median(times);
  timing->done = figures.done;
  pl_arena_free(scratch);
  pl_arena_free(arena);
}

int main(int count, char **arguments) {
  if (count != 2) {
    fputs("usage: solve SETUP.leaf\n", stderr);
    return 2;
  }
  double ours = 0;
  double theirs = 0;
  const double by_pitleaf = time_solves(pressure_by_pitleaf, &ours);
  const double by_gsl = time_solves(pressure_by_gsl, &theirs);
  if (fabs(ours - theirs) > 1e-6 * fabs(theirs)) {
    fputs("solve: the two solvers disagree\n", stderr);
    return 1;
  }
  struct setup_timing timing = {.guard = pl_guard_new(), .path = arguments[1]};
  if (timing.guard == NULL || !pl_with_memory(timing.guard, time_setup, &timing) ||
      !timing.done) {
    fputs("solve: the setup cannot be read\n", stderr);
    return 1;
  }
  printf("\nwithin a process, median of %d                       µs\n", RUNS);
  printf("one damper solved                               %8.3f\n", by_pitleaf);
  printf("the same network by GSL's Brent solver          %8.3f\n", by_gsl);
  printf("a drop of one axle from 200 mm, until it settles %7.1f\n", time_drop());
  printf("all figures of the demo, four corners           %8.1f\n", timing.microseconds);
  pl_guard_free(timing.guard);
  return 0;
}
