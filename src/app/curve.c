// SPDX-License-Identifier: GPL-3.0-or-later
// The curve command: a figure over its whole range.
#include "room.h"

#include <string.h>

static enum pl_curve_kind wanted_curve(struct run *run) {
  const char *const name = run->options->words[1];
  const enum pl_curve_kind kind = pl_curve_of(name);
  if (kind != PL_CURVE_COUNT) return kind;
  const char *names[PL_CURVE_COUNT];
  struct pl_buffer list = {.arena = run->arena};
  for (int i = 0; i < PL_CURVE_COUNT; i++) {
    names[i] = pl_curve_rows[i].key;
    pl_buffer_format(&list, "%s%s", i == 0 ? "" : ", ", names[i]);
  }
  const char *const near = pl_nearest(name, names, PL_CURVE_COUNT);
  if (near != NULL)
    complain(run, "there is no curve `%s`; did you mean `%s`?", name, near);
  else
    complain(run, "there is no curve `%s`; there are %s", name, pl_buffer_string(&list));
  return PL_CURVE_COUNT;
}

/// The corner that --scope names.
static enum pl_place wanted_place(const struct run *run) {
  return run->options->scope == NULL ? PL_FRONT_LEFT : pl_place_of(run->options->scope);
}

const char *what_it_needs(struct pl_arena *arena, const char *const *needs, size_t count) {
  struct pl_buffer reasons = {.arena = arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&reasons, "%s%s", i == 0 ? ": it needs " : ", ", needs[i]);
  return count == 0 ? " from what is declared" : pl_buffer_string(&reasons);
}

static void put_curve(struct run *run, struct pl_figures *figures, enum pl_curve_kind kind,
                      enum pl_place place) {
  struct pl_arena *const arena = pl_program_arena(pl_setup_program(pl_figures_setup(figures)));
  const struct pl_curve *const curve = pl_curve_make(figures, kind, place);
  if (run->options->format == AS_JSON) {
    put_text(run, pl_curve_json(arena, curve, place));
    if (curve->count == 0) raise_status(run, STATUS_WRONG); // it says why
  } else if (curve->count == 0) {
    complain(run, "the curve cannot be drawn%s",
             what_it_needs(arena, curve->needs, curve->need_count));
    run->status = STATUS_WRONG;
  } else if (run->options->format == AS_CSV) {
    put_text(run, pl_curve_csv(arena, curve));
  } else {
    const struct pl_text_style style = style_of(run, pl_figures_setup(figures));
    put_text(run, pl_curve_text(arena, curve, place, &style));
  }
}

void command_curve(struct run *run) {
  const enum pl_curve_kind kind = wanted_curve(run);
  const enum pl_place place = wanted_place(run);
  if (kind == PL_CURVE_COUNT) return;
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  if (figures != NULL) put_curve(run, figures, kind, place);
  put_problems(run, program, NULL);
}
