// SPDX-License-Identifier: GPL-3.0-or-later
// The choose command: which parts of a box come nearest to an aim.
#include "room.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

/// How many are listed, and how many threads work, where nobody says.
#define USUAL_BEST    10
#define USUAL_THREADS 8

// ---------------------------------------------------------------- progress

struct progress {
  bool shown; ///< standard error is a terminal
  struct timespec last;
};

static void show_progress(void *context, double done, double all) {
  struct progress *const progress = context;
  struct timespec now;
  if (!progress->shown || clock_gettime(CLOCK_MONOTONIC, &now) != 0) return;
  const double since = (double)(now.tv_sec - progress->last.tv_sec) +
                       (double)(now.tv_nsec - progress->last.tv_nsec) * 1e-9;
  // Ten times a second is as much as an eye follows.
  if (since < 0.1) return;
  progress->last = now;
  fprintf(stderr, "\r\x1b[K%.0f %% of %s combinations", 100 * done / all,
          pl_count_shown(all).text);
  fflush(stderr);
}

static void clear_progress(const struct progress *progress) {
  if (progress->shown) fputs("\r\x1b[K", stderr);
}

// ---------------------------------------------------------------- options

/// Reads a count from 1 on. False after a message.
static bool read_count(struct run *run, const char *option, const char *text, size_t usual,
                       size_t most, size_t *count) {
  *count = usual;
  if (text == NULL) return true;
  char *end = NULL;
  const unsigned long number = strtoul(text, &end, 10);
  *count = number;
  if (text[0] >= '0' && text[0] <= '9' && *end == '\0' && number >= 1 && number <= most)
    return true;
  complain(run, "--%s is a whole number from 1 to %zu, not `%s`", option, most, text);
  return false;
}

static size_t usual_threads(void) {
  const long cores = sysconf(_SC_NPROCESSORS_ONLN);
  if (cores < 1) return 1;
  return cores > USUAL_THREADS ? USUAL_THREADS : (size_t)cores;
}

static bool read_request(struct run *run, struct pl_search_request *request) {
  return read_count(run, "best", run->options->best, USUAL_BEST, PL_MOST_CHOICES,
                    &request->best) &&
         read_count(run, "threads", run->options->threads, usual_threads(), PL_MOST_THREADS,
                    &request->threads);
}

// ---------------------------------------------------------------- the command

static void tell(struct run *run, const struct pl_choice_told *told) {
  if (run->options->format == AS_JSON) {
    put_text(run, pl_choice_json(run->arena, told));
    return;
  }
  const struct pl_text_style style = style_of(run, told->space->setup);
  put_text(run, pl_choice_text(run->arena, told, &style));
}

/// The dimensions of a search that is too large, to say what could stay as it is.
static const char *varied_words(struct run *run, const struct pl_space *space,
                                const struct pl_choice *choice) {
  struct pl_buffer words = {.arena = run->arena};
  for (size_t d = 0; d < space->count; d++) {
    const struct pl_dimension_varied *const dimension = &space->dimensions[d];
    if (!choice->varies[d]) continue;
    pl_buffer_format(
        &words, "%s%s.%s (%zu)", words.length == 0 ? "" : ", ", pl_place_name(dimension->axle),
        pl_settings[pl_varied_rows[dimension->kind].setting].key, dimension->count);
  }
  return pl_buffer_string(&words);
}

/// Were the files read as they were before? Else that is told.
static bool was_read(struct run *run, struct pl_program *misread) {
  if (misread != NULL) put_problems(run, misread, NULL);
  return misread == NULL;
}

static void choose(struct run *run, const struct pl_setup *setup,
                   const struct pl_parts_box *box, const struct pl_aim *aim,
                   const struct pl_search_request *asked) {
  struct progress progress = {.shown = isatty(STDERR_FILENO) == 1};
  // What is soon over shows nothing.
  if (clock_gettime(CLOCK_MONOTONIC, &progress.last) != 0) progress.shown = false;
  struct pl_arena *const arena = new_arena(run);
  const struct pl_space *const space = pl_space_new(arena, setup, box, aim);
  if (!was_read(run, space->misread)) return;
  const struct pl_search_request request = {.best = asked->best,
                                            .threads = asked->threads,
                                            .progress = show_progress,
                                            .context = &progress};
  const struct pl_choice *const choice = pl_search(arena, space, &request);
  clear_progress(&progress);
  if (choice->too_many > 0) {
    complain(run, "these are %s combinations, and at most %s are looked through at once",
             pl_count_shown(choice->too_many).text, pl_count_shown(PL_MOST_COMBINATIONS).text);
    put_run_message(
        run,
        "What varies, with the ways of each: %s. Write what is to stay into the aim, as "
        "in keep = [front.spring].",
        varied_words(run, space, choice));
    return;
  }
  const struct pl_choice_told told = {
      .space = space,
      .box = box->name,
      .choice = choice,
      .now = pl_figures_brief(space->setup),
      .made = pl_make_chosen(arena, space, choice->best, choice->count)};
  for (size_t i = 0; i < choice->count; i++)
    if (!was_read(run, told.made[i].misread)) return;
  tell(run, &told);
}

void command_choose(struct run *run) {
  struct pl_search_request request = {.best = 0};
  if (!read_request(run, &request)) return;
  struct pl_program *program = NULL;
  struct pl_figures *const figures =
      load_figures(run, run->options->words[0], run->options->setup, NULL, &program);
  const struct pl_aim *const aim =
      figures == NULL ? NULL : pl_program_aim(program, run->options->aim);
  const struct pl_parts_box *const box =
      figures == NULL ? NULL : pl_program_box_named(program, run->options->box);
  put_problems(run, program, NULL);
  if (aim == NULL || box == NULL || pl_program_problems(program)->errors > 0) return;
  choose(run, pl_figures_setup(figures), box, aim, &request);
}
