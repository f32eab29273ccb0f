// SPDX-License-Identifier: GPL-3.0-or-later
// The weather command: what the temperature does to damping, and which oil brings it back.
#include "room.h"

#include "pitleaf/weather.h"

#include <string.h>

static void put_weather(struct run *run, struct pl_program *program, struct pl_figures *figures,
                        struct pl_weather *weather) {
  pl_weather_run(run->arena, new_arena(run), figures, weather);
  const struct pl_text_style style = style_of(run, pl_figures_setup(figures));
  if (run->options->format == AS_JSON)
    put_text(run, pl_weather_json(run->arena, weather, pl_program_problems(program)));
  else
    put_text(run, pl_weather_text(run->arena, weather, &style));
  for (size_t i = 0; i < 2; i++) {
    if (weather->axles[i].lacks != NULL) raise_status(run, STATUS_WRONG);
  }
}

void command_weather(struct run *run) {
  struct pl_weather weather;
  if (run->options->air.text == NULL) {
    complain(run, "it is `pitleaf weather FILE --air 9 degC`: the temperature is lacking");
    return;
  }
  const char *const why =
      pl_weather_read(run->arena, pl_session_names(run->session),
                      quantity_text(run->arena, &run->options->air), &weather);
  if (why != NULL) {
    complain(run, "%s", pl_text_safe(run->arena, why));
    return;
  }
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  const bool is_right = figures != NULL && pl_program_problems(program)->errors == 0;
  if (is_right)
    put_weather(run, program, figures, &weather);
  else if (run->options->format == AS_JSON && !pl_program_unreadable(program))
    put_text(run, pl_weather_json(run->arena, NULL, pl_program_problems(program)));
  put_problems(run, program, NULL);
  if (is_right) put_sweep_remarks(run, &weather.sweep, true);
}
