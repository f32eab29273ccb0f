// SPDX-License-Identifier: GPL-3.0-or-later
// Boxes: which parts somebody owns, by the names under which they are declared.
#include "room.h"

#include <string.h>

static struct layered layered_of(struct pl_program *program, struct pl_diagnostics *problems,
                                 const struct pl_block *block) {
  struct layered layered = {
      .program = program, .problems = problems, .kind = PL_BLOCK_BOX, .by_itself = true};
  add_layers(&layered, block);
  collect_assignments(&layered);
  return layered;
}

static enum pl_place axle_of(int number) {
  return number == 0 ? PL_FRONT : PL_REAR;
}

/// Where the list of a line names its part number `which`.
static struct pl_span span_of_item(const struct assignment *line, size_t which) {
  const struct pl_node *const value = line->value;
  if (value->kind != PL_NODE_LIST) return value->span;
  const struct pl_node *item = value->children;
  while (which-- > 0 && item->next != NULL) item = item->next;
  return item->span;
}

/// Reports names of a line's list that no part of the kind has, and those that stand in it
/// twice.
static void check_names(struct layered *layered, enum pl_setting setting,
                        const struct assignment *line) {
  const struct pl_value list = line->result;
  struct pl_arena *const arena = layered->program->arena;
  struct evaluator evaluator = {.program = layered->program,
                                .arena = arena,
                                .problems = layered->problems,
                                .place = PL_CAR,
                                .by_itself = true};
  for (size_t i = 0; list.kind == PL_VALUE_LIST && i < list.count; i++) {
    const char *const name = list.many.items[i].text;
    const struct pl_span span = span_of_item(line, i);
    part_named(&evaluator, pl_block_kind_of(pl_settings[setting].of), name, span);
    for (size_t j = 0; j < i; j++) {
      if (strcmp(list.many.items[j].text, name) != 0) continue;
      pl_report(layered->problems, PL_OWNED_TWICE, span,
                PL_WORDS(pl_settings[setting].of, name));
      break;
    }
  }
}

/// Every list that a setting has, whether or not another one hides it.
static void check_lists(struct layered *layered, enum pl_setting setting) {
  if (pl_settings[setting].scope == PL_SCOPE_PART) meeting_value(layered, setting);
  for (int axle = 0; axle < PL_AXLES && pl_settings[setting].scope == PL_SCOPE_AXLE; axle++)
    value_at_place(layered, setting, axle_of(axle));
  const struct assignment *line = layered->given[setting - layered->first];
  for (; line != NULL; line = line->next)
    if (line->action == PL_SET) check_names(layered, setting, line);
}

void check_box(struct pl_program *program, const struct pl_block *block) {
  struct layered layered = layered_of(program, program->problems, block);
  check_lists(&layered, PL_SETTING_BOX_OILS);
  check_lists(&layered, PL_SETTING_BOX_SPRINGS);
  check_lists(&layered, PL_SETTING_BOX_PISTONS);
  meeting_value(&layered, PL_SETTING_BOX_BLENDS);
  const struct pl_value step =
      layered_get(&layered, PL_SETTING_BOX_PRELOAD_STEP, PL_CAR)->value;
  if (step.kind == PL_VALUE_NUMBER && !(step.number > 0))
    pl_report(layered.problems, PL_IMPOSSIBLE,
              layered.last[PL_SETTING_BOX_PRELOAD_STEP - layered.first]->node->span,
              PL_WORDS("preload-step", pl_value_text(program->arena, &step)));
}

/// The names of a list that parts have, each once.
static struct pl_owned owned_in(struct layered *layered, enum pl_setting setting,
                                enum pl_place place) {
  const struct pl_value list = value_at_place(layered, setting, place);
  const size_t most = list.kind == PL_VALUE_LIST ? list.count : 0;
  const enum pl_block_kind kind = pl_block_kind_of(pl_settings[setting].of);
  const char **const names = pl_alloc_array(layered->program->arena, most, sizeof *names);
  size_t count = 0;
  for (size_t i = 0; i < most; i++) {
    const char *const name = list.many.items[i].text;
    bool fits = pl_program_find(layered->program, kind, name) != NULL;
    for (size_t j = 0; j < count; j++) fits &= strcmp(names[j], name) != 0;
    if (fits) names[count++] = name;
  }
  return (struct pl_owned){names, count};
}

const struct pl_parts_box *pl_program_box(struct pl_program *program,
                                          const struct pl_block *block) {
  struct layered layered = layered_of(program, pl_diagnostics_new(program->arena), block);
  struct pl_parts_box *const box = pl_alloc(program->arena, sizeof *box);
  box->name = block->name;
  box->span = pl_titles(block->node)->span;
  box->oils = owned_in(&layered, PL_SETTING_BOX_OILS, PL_CAR);
  for (int axle = 0; axle < PL_AXLES; axle++) {
    box->springs[axle] = owned_in(&layered, PL_SETTING_BOX_SPRINGS, axle_of(axle));
    box->pistons[axle] = owned_in(&layered, PL_SETTING_BOX_PISTONS, axle_of(axle));
  }
  const struct pl_value blends = meeting_value(&layered, PL_SETTING_BOX_BLENDS);
  const char *const word = blends.kind == PL_VALUE_TEXT ? blends.text : "none";
  box->blends = strcmp(word, "halves") == 0     ? PL_BLENDS_HALVES
                : strcmp(word, "quarters") == 0 ? PL_BLENDS_QUARTERS
                                                : PL_BLENDS_NONE;
  const struct pl_value step =
      layered_get(&layered, PL_SETTING_BOX_PRELOAD_STEP, PL_CAR)->value;
  box->preload_step = step.kind == PL_VALUE_NUMBER && step.number > 0 ? step.number : 0.5e-3;
  return box;
}
