// SPDX-License-Identifier: GPL-3.0-or-later
// From a stranger's file with a box and an aim to what is chosen: the list is in its order and
// has nothing better beside it, its setups have the scores of the search, and what is told to
// be written down is a setup of the language.
#include "target.h"

#include "pitleaf/choice.h"

#include "chance.h"

#include <string.h>

/// Combinations that are searched, in ways of all dimensions: more would only bring time.
#define MOST_HERE 3000
/// How many are listed, and how many others are held against them.
#define LISTED 4
#define TRIED  6

static double combinations_of(const struct pl_space *space) {
  double product = 1;
  for (size_t d = 0; d < space->count; d++) product *= (double)space->dimensions[d].count;
  return product;
}

/// The score of a combination by the setup that the language makes of it.
static struct pl_score score_of_made(const struct target *target, const struct pl_space *space,
                                     const struct pl_chosen *chosen) {
  const struct pl_made *const made = pl_make_chosen(target->arena, space, chosen, 1);
  struct pl_score score = pl_score_of(made->figures, space->aim);
  for (size_t d = 0; d < space->count; d++)
    if (chosen->ways[d] != 0) score.work += pl_varied_rows[space->dimensions[d].kind].work;
  return score;
}

static void check_list(const struct target *target, const struct pl_space *space,
                       const struct pl_choice *choice) {
  if (choice->count == 0) broken("nothing was chosen, not even what there is");
  for (size_t i = 0; i < choice->count; i++) {
    const struct pl_chosen *const chosen = &choice->best[i];
    if (i > 0 && pl_chosen_compare(&chosen[-1], chosen, space->count) >= 0)
      broken("number %zu goes not before the next", i);
    const struct pl_score score = score_of_made(target, space, chosen);
    if (memcmp(&score, &chosen->score, sizeof score) != 0)
      broken("number %zu has other figures as a setup", i + 1);
  }
}

/// Combinations by chance of what an aim depends on: none may go before the last of the list
/// without being in it.
static void check_others(const struct target *target, const struct pl_space *space,
                         const struct pl_choice *choice) {
  struct pl_chance chance = {.state = target->length};
  for (int i = 0; i < TRIED; i++) {
    struct pl_chosen other = {.ways = {0}};
    for (size_t d = 0; d < space->count; d++)
      if (choice->varies[d])
        other.ways[d] = (unsigned char)pl_chance_below(&chance, space->dimensions[d].count);
    other.score = score_of_made(target, space, &other);
    bool stands = false;
    for (size_t j = 0; j < choice->count && !stands; j++)
      stands = pl_chosen_alike(space, &choice->best[j], &other) &&
               pl_chosen_compare(&choice->best[j], &other, space->count) <= 0;
    const struct pl_chosen *const last = &choice->best[choice->count - 1];
    if (!stands && pl_chosen_compare(&other, last, space->count) < 0)
      broken("a combination that is not listed goes before the last");
  }
}

/// At the end of the file the block is one setup more, with no mistake.
static void check_block(const struct target *target, const struct pl_space *space,
                        const struct pl_choice *choice) {
  const char *const block = pl_chosen_setup(target->arena, space, &choice->best[0]);
  struct pl_program *const program = pl_program_extended(space->file, target->arena, block);
  if (pl_program_problems(program)->errors > pl_program_problems(space->file)->errors)
    broken("this has a mistake:\n%s", block);
}

static void tell(const struct target *target, const struct pl_space *space,
                 const struct pl_parts_box *box, const struct pl_choice *choice) {
  const struct pl_choice_told told = {
      .space = space,
      .box = box->name,
      .choice = choice,
      .now = pl_figures_brief(space->setup),
      .made = pl_make_chosen(target->arena, space, choice->best, choice->count)};
  (void)pl_choice_text(target->arena, &told, &metric_style);
  (void)pl_choice_text(target->arena, &told, &imperial_style);
  check_json("a choice", pl_choice_json(target->arena, &told));
}

void try_input(struct target *target) {
  struct pl_program *const program = checked_entry(target);
  if (program == NULL) return;
  const struct pl_setup *const setup = pl_program_setup(program, NULL);
  if (setup != NULL) pl_setup_check(setup);
  const struct pl_aim *const aim = pl_program_aim(program, NULL);
  const struct pl_parts_box *const box = pl_program_box_named(program, NULL);
  tell_problems(target, program);
  if (setup == NULL || aim == NULL || box == NULL || pl_program_problems(program)->errors > 0)
    return;
  const struct pl_space *const space = pl_space_new(target->arena, setup, box, aim);
  if (space->misread != NULL || combinations_of(space) > MOST_HERE) return;
  const struct pl_search_request request = {.best = LISTED, .threads = 1};
  const struct pl_choice *const choice = pl_search(target->arena, space, &request);
  check_list(target, space, choice);
  check_others(target, space, choice);
  check_block(target, space, choice);
  tell(target, space, box, choice);
}
