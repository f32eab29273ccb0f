// SPDX-License-Identifier: GPL-3.0-or-later
// The drop and bump commands: the car's corners simulated over time.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- what is asked for

/// What an option of a number with a unit may say.
struct span {
  const char *name;
  const char *unit; ///< that the bounds are told in
  double least;     ///< in that unit
  double greatest;
  const char *example;
};

static bool out_of_span(struct run *run, const struct span *span,
                        const struct quantity *given) {
  complain(run, "--%s is %g to %g %s, not `%s`", span->name, span->least, span->greatest,
           span->unit, quantity_text(run->arena, given));
  return false;
}

static bool wrong_quantity(struct run *run, const struct span *span,
                           const struct quantity *given) {
  complain(run, "--%s is a number with its unit, as in `%s`, not `%s`", span->name,
           span->example, quantity_text(run->arena, given));
  return false;
}

/// The SI value of a number with a unit, within its span; false after a message. What is not
/// given stays as it is.
static bool read_quantity(struct run *run, const struct quantity *given,
                          const struct span *span, double *value) {
  if (given->text == NULL) return true;
  const struct pl_unit wanted = pl_unit_named(span->unit);
  struct pl_unit unit;
  double number = 0;
  if (!pl_quantity_read(quantity_text(run->arena, given), &number, &unit))
    return wrong_quantity(run, span, given);
  if (pl_dimension_equal(unit.dimension, PL_DIMENSIONLESS)) {
    complain(run, "--%s needs a unit: `%s %s`", span->name, given->text, span->unit);
    return false;
  }
  if (!pl_dimension_equal(unit.dimension, wanted.dimension))
    return wrong_quantity(run, span, given);
  *value = pl_to_si(number, &unit);
  const double told = pl_from_si(*value, &wanted);
  if (told >= span->least && told <= span->greatest) return true;
  return out_of_span(run, span, given);
}

/// A whole number from 1 to 1000.
static bool read_repeat(struct run *run, size_t *count) {
  const char *const text = run->options->repeat;
  double number = 0;
  if (text == NULL) return true;
  const size_t length = strlen(text);
  if (length > 0 && strspn(text, "0123456789") == length &&
      pl_number_read(text, length, &number) && number >= 1 && number <= 1000) {
    *count = (size_t)number;
    return true;
  }
  complain(run, "--repeat is a whole number from 1 to 1000, not `%s`", text);
  return false;
}

/// The longest section of bumps, s: a lap of a long track.
#define LONGEST_SECTION 60.0

static bool read_bumps(struct run *run, struct pl_simulation *simulation) {
  static const struct span height = {"height", "mm", -100, 100, "12 mm"};
  static const struct span length = {"length", "mm", 5, 10000, "60 mm"};
  static const struct span speed = {"speed", "m/s", 0.1, 50, "6 m/s"};
  static const struct span spacing = {"spacing", "mm", 5, 100000, "200 mm"};
  const struct options *const options = run->options;
  if (!read_quantity(run, &options->height, &height, &simulation->height) ||
      !read_quantity(run, &options->length, &length, &simulation->length) ||
      !read_quantity(run, &options->speed, &speed, &simulation->speed) ||
      !read_quantity(run, &options->spacing, &spacing, &simulation->spacing) ||
      !read_repeat(run, &simulation->count))
    return false;
  if (options->spacing.text != NULL && simulation->count == 1) {
    complain(run, "--spacing is for several bumps; --repeat says how many");
    return false;
  }
  if (simulation->count > 1 && simulation->spacing < simulation->length) {
    complain(run, "the bumps overlap: --spacing is at least their --length, %g mm",
             simulation->length * 1e3);
    return false;
  }
  const double section =
      (double)(simulation->count - 1) * simulation->spacing + simulation->length;
  if (section / simulation->speed <= LONGEST_SECTION) return true;
  complain(
      run,
      "the bumps take %.1f s at that speed; at the most %.0f s are simulated: fewer of them "
      "by --repeat, or more --speed",
      section / simulation->speed, LONGEST_SECTION);
  return false;
}

static bool read_drop(struct run *run, struct pl_simulation *simulation) {
  static const struct span height = {"height", "mm", 0, 5000, "200 mm"};
  return read_quantity(run, &run->options->height, &height, &simulation->height);
}

// ---------------------------------------------------------------- what comes of it

/// Time between two lines of the series, s.
#define INTERVAL 1e-3

/// The corners, simulated; true if all of them could be. With an `interval` they have their
/// series, and not how high they may fall.
static bool simulate_corners(struct pl_figures *figures, const struct pl_simulation *simulation,
                             double interval,
                             const struct pl_simulated *corners[PL_REAR_RIGHT + 1]) {
  bool all = true;
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    corners[place] = pl_simulate(figures, simulation, interval, false, (enum pl_place)place);
    all &= corners[place]->present;
  }
  return all;
}

/// Says on standard error which corners are not simulated, and why: a table and a page of plots
/// have no place for it.
static void put_reasons(struct run *run, struct pl_arena *arena,
                        const struct pl_simulated *const corners[PL_REAR_RIGHT + 1]) {
  raise_status(run, STATUS_WRONG);
  for (int i = PL_FRONT_LEFT; i <= PL_REAR_RIGHT; i++) {
    const bool is_left = i == PL_FRONT_LEFT || i == PL_REAR_LEFT;
    const bool axle = is_left && pl_simulated_equal(corners[i], corners[i + 1]);
    const struct pl_simulated *const corner = corners[i];
    const enum pl_place place = !axle                ? (enum pl_place)i
                                : i == PL_FRONT_LEFT ? PL_FRONT
                                                     : PL_REAR;
    if (!corner->present)
      put_run_message(run, "pitleaf: %s is not simulated%s", pl_place_name(place),
                      corner->need_count == 0 && corner->reason != NULL
                          ? pl_format(arena, ": %s", corner->reason)
                          : what_it_needs(arena, corner->needs, corner->need_count));
    i += axle ? 1 : 0;
  }
}

static void put_simulated(struct run *run, struct pl_figures *figures,
                          const struct pl_simulation *simulation) {
  const struct pl_setup *const setup = pl_figures_setup(figures);
  struct pl_arena *const arena = pl_program_arena(pl_setup_program(setup));
  const enum output_format format = run->options->format;
  const bool wants_series = format == AS_CSV || run->options->series;
  struct pl_simulated_car car = {.setup = setup, .simulation = simulation};
  bool all = true;
  if (wants_series) all = simulate_corners(figures, simulation, INTERVAL, car.series);
  if (format == AS_CSV) {
    bool any = false;
    for (int i = PL_FRONT_LEFT; i <= PL_REAR_RIGHT; i++) any |= car.series[i]->present;
    if (any) put_text(run, pl_simulation_csv(arena, &car));
    if (!all) put_reasons(run, arena, car.series);
    return;
  }
  all &= simulate_corners(figures, simulation, 0, car.corners);
  if (!all) raise_status(run, STATUS_WRONG);
  const struct pl_text_style style = style_of(run, setup);
  put_text(run, format == AS_JSON ? pl_simulation_json(arena, &car)
                                  : pl_simulation_text(arena, &car, &style));
}

/// The page of plots. Where they lack a corner, the status says so.
static void print_simulated(struct run *run, struct pl_program *program,
                            struct pl_figures *figures,
                            const struct pl_simulation *simulation) {
  const struct pl_simulated *corners[PL_REAR_RIGHT + 1];
  pl_figures_choose_simulation(figures, simulation);
  if (!may_write(run, program, NULL)) return;
  print_sheet(run, program, figures, NULL, simulation->over_bumps ? "bump" : "drop");
  if (pl_program_problems(program)->errors == 0 &&
      !simulate_corners(figures, simulation, INTERVAL, corners))
    put_reasons(run, pl_program_arena(program), corners);
}

/// Do the options go together? False after a message.
static bool options_fit(struct run *run) {
  const struct options *const options = run->options;
  const bool of_page =
      options->template_count > 0 || options->paper != NULL || options->direction != NULL;
  if (options->output != NULL && (options->format != AS_TEXT || options->series))
    complain(run, "-o writes plots as PDF: leave it out, and send the output into a file by "
                  "`>`, or leave out --as and --series");
  else if (options->series && options->format != AS_JSON)
    complain(run, "--series goes with --as json; --as csv is the series already");
  else if (options->output == NULL && of_page)
    complain(run, "--template, --paper and --direction are for the page of plots: write "
                  "-o FILE.pdf, too");
  else
    return true;
  return false;
}

static void simulate(struct run *run, const struct pl_simulation *simulation) {
  struct pl_program *program = NULL;
  if (!options_fit(run)) return;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  if (figures != NULL && run->options->output != NULL) {
    print_simulated(run, program, figures, simulation);
    return;
  }
  if (figures != NULL && pl_program_problems(program)->errors == 0)
    put_simulated(run, figures, simulation);
  put_problems(run, program, NULL);
}

void command_drop(struct run *run) {
  struct pl_simulation simulation = pl_usual_drop;
  if (read_drop(run, &simulation)) simulate(run, &simulation);
}

void command_bump(struct run *run) {
  struct pl_simulation simulation = pl_usual_bump;
  if (read_bumps(run, &simulation)) simulate(run, &simulation);
}
