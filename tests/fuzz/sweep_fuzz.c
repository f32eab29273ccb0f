// SPDX-License-Identifier: GPL-3.0-or-later
// What if: settings of a stranger's setup go through values of the command line, and another
// temperature asks for another oil. Told in all forms, and on paper.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "target.h"

#include "paper.h"

#include "pitleaf/sheet.h"
#include "pitleaf/weather.h"

#include <math.h>
#include <string.h>

/// That of the race sheet, whose look the pages have, mm.
#define MARGIN 9.0
/// Points of a sweep that are worked out: what more would bring is time.
#define POINT_LIMIT 12

/// The first line of the part of that head; what a command line would be. "" without one.
static const char *words_of(struct target *target, const char *head) {
  struct part parts[PART_LIMIT];
  const size_t count = parts_of(target, parts);
  for (size_t i = 1; i < count; i++) {
    const char *const text = pl_copy_text(target->arena, parts[i].bytes, parts[i].length);
    if (strcmp(parts[i].head, head) == 0)
      return pl_copy_text(target->arena, text, strcspn(text, "\n"));
  }
  return "";
}

// ---------------------------------------------------------------- sweep

static void print(struct target *target, const struct pl_sweep *sweep,
                  const struct pl_sweep_shown *shown, size_t count,
                  struct pl_program *program) {
  const struct pl_template_choice choice = {.name = NULL};
  const bool is_imperial = target->length % 2 == 1;
  const struct pl_sweep_request request = {
      .sweep = sweep,
      .shown = shown,
      .count = count,
      .look = pl_template_read(target->arena, &choice, program, pl_program_problems(program)),
      .direction = is_imperial ? PL_LANDSCAPE : PL_PORTRAIT,
      .system = is_imperial ? PL_IMPERIAL : PL_METRIC,
      .version = "0"};
  const struct pl_paper *const paper = pl_sweep_paper_new(target->arena, &request);
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  for (size_t i = 0; i < paper->page_count; i++)
    pl_check_page(paper->pages[i], MARGIN, "a sweep");
  const enum pl_pdf_status status =
      pl_paper_to_pdf(target->arena, paper, &bytes, &length, &message);
  if (status != PL_PDF_OK && status != PL_PDF_TOO_LARGE)
    broken("no PDF, status %d: %s", (int)status, message);
}

static void tell(struct target *target, const struct pl_sweep *sweep, bool moving,
                 struct pl_program *program) {
  struct pl_arena *const arena = target->arena;
  size_t count = 0;
  const struct pl_sweep_shown *const shown =
      pl_sweep_shown_of(arena, sweep, moving, PL_METRIC, &count);
  (void)pl_sweep_text(arena, sweep, shown, count, &metric_style);
  (void)pl_sweep_text(arena, sweep, shown, count, &imperial_style);
  (void)pl_sweep_csv(arena, sweep, shown, count);
  check_json("a sweep",
             pl_sweep_json(arena, sweep, shown, count, pl_program_problems(program)));
  if (count > 0) print(target, sweep, shown, count, program);
}

/// Each figure has a value at a point, or a reason.
static void check_points(const struct pl_sweep *sweep) {
  for (size_t i = 0; i < sweep->column_count; i++) {
    const struct pl_sweep_column *const column = &sweep->columns[i];
    for (size_t j = 0; j < sweep->point_count; j++) {
      if (isfinite(column->values[j]) == (column->why[j] != NULL))
        broken("%s is %g, and the reason is %s", pl_figure_rows[column->figure].key,
               column->values[j], column->why[j] == NULL ? "none" : column->why[j]);
    }
  }
}

static void sweep_figures(struct target *target, struct pl_arena *scratch,
                          struct pl_program *program, struct pl_figures *figures) {
  struct pl_sweep sweep;
  const char *const why = pl_sweep_read(target->arena, pl_session_names(target->session),
                                        words_of(target, "sweep"), &sweep);
  if (why != NULL && why[0] == '\0') broken("a sweep is refused for no reason");
  if (why != NULL || sweep.point_count > POINT_LIMIT) return;
  size_t count = 0;
  const enum pl_figure *const told = pl_told_figures(&count);
  pl_sweep_run(target->arena, scratch, figures, told, count, &sweep);
  check_points(&sweep);
  tell(target, &sweep, true, program);
  tell(target, &sweep, false, program);
}

// ---------------------------------------------------------------- weather

static void check_oils(const struct pl_weather_axle *axle) {
  for (size_t i = 0; i < axle->best_count; i++) {
    if (!isfinite(axle->best[i].excess)) broken("%s damps by no number", axle->best[i].words);
    // They are in order by tenths of a per cent.
    if (i > 0 && fabs(axle->best[i - 1].excess) > fabs(axle->best[i].excess) * 1.001 + 0.001)
      broken("%s comes before %s", axle->best[i - 1].words, axle->best[i].words);
  }
}

static void tell_weather(struct target *target, struct pl_arena *scratch,
                         struct pl_program *program, struct pl_figures *figures) {
  struct pl_arena *const arena = target->arena;
  struct pl_weather weather;
  const char *const why = pl_weather_read(arena, pl_session_names(target->session),
                                          words_of(target, "air"), &weather);
  if (why != NULL && why[0] == '\0') broken("a temperature is refused for no reason");
  if (why != NULL) return;
  pl_weather_run(arena, scratch, figures, &weather);
  for (size_t i = 0; i < 2; i++) check_oils(&weather.axles[i]);
  (void)pl_weather_text(arena, &weather, &metric_style);
  (void)pl_weather_text(arena, &weather, &imperial_style);
  check_json("the weather", pl_weather_json(arena, &weather, pl_program_problems(program)));
}

void try_input(struct target *target) {
  struct pl_program *const program = checked_entry(target);
  struct pl_figures *const figures = program == NULL ? NULL : figures_of(program, 0);
  if (figures == NULL || pl_program_problems(program)->errors > 0) return;
  struct pl_arena *const scratch = pl_arena_new(target->guard);
  sweep_figures(target, scratch, program, figures);
  tell_weather(target, scratch, program, figures);
  pl_arena_free(scratch);
}
