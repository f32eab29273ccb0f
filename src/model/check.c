// SPDX-License-Identifier: GPL-3.0-or-later
// Checks of whole programs: every block of every file, whether or not a setup uses it.
#include "room.h"

#include <math.h>
#include <string.h>

/// Everything that a part's block says is worked out; what is wrong with it is reported.
static void check_part_block(struct pl_program *program, struct pl_diagnostics *problems,
                             const struct pl_block *block) {
  struct evaluator evaluator = {.program = program,
                                .arena = program->arena,
                                .problems = problems,
                                .place = PL_CAR,
                                .by_itself = true};
  part_of_block(&evaluator, block);
}

/// Every value that something gives.
static void work_out_all(struct layered *layered) {
  for (size_t i = 0; i < layered->count; i++) {
    if (layered->given[i] == NULL) continue;
    const enum pl_setting setting = (enum pl_setting)(layered->first + i);
    const enum pl_scope scope = pl_settings[setting].scope;
    for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
      layered_get(layered, setting, (enum pl_place)place);
  }
}

static struct layered layered_by_itself(struct pl_program *program,
                                        struct pl_diagnostics *problems,
                                        struct pl_setup *setup) {
  return (struct layered){.program = program,
                          .problems = problems,
                          .setup = setup,
                          .kind = PL_BLOCK_SETUP,
                          .by_itself = true};
}

/// Cars and setups share their keys, but for `car`: in a car nobody would read it.
static void check_no_car(const struct layered *layered, const struct pl_block *block) {
  const struct assignment *given = layered->given[PL_SETTING_CAR - layered->first];
  for (; given != NULL; given = given->next) {
    const struct pl_span line = given->node->span;
    const struct pl_span whole = block->node->span;
    if (line.source == whole.source && line.start >= whole.start && line.end <= whole.end)
      pl_report(layered->problems, PL_KEY_OF_OTHER_BLOCK, pl_name_span(given->node),
                PL_WORDS("A car", "car", "a setup"));
  }
}

/// A car: its values are worked out, since a library has no setup that would ask for them.
static void check_car_block(struct pl_program *program, struct pl_diagnostics *problems,
                            const struct pl_block *block) {
  struct pl_setup *const scratch = pl_alloc(program->arena, sizeof *scratch);
  scratch->block = block;
  scratch->layered = layered_by_itself(program, problems, scratch);
  add_layers(&scratch->layered, block);
  collect_assignments(&scratch->layered);
  work_out_all(&scratch->layered);
  check_no_car(&scratch->layered, block);
}

/// A setup: its own keys and scopes, and its chain of bases. Its values are worked out when it
/// is the one to work on.
static void check_setup_block(struct pl_program *program, struct pl_diagnostics *problems,
                              const struct pl_block *block) {
  struct layer own = {block};
  struct pl_setup scratch = {.block = block};
  scratch.layered = layered_by_itself(program, problems, &scratch);
  check_bases(&scratch.layered, block);
  scratch.layered.layers = &own;
  scratch.layered.layer_count = 1;
  look_over_layer(&scratch.layered);
}

static void check_block(struct pl_program *program, struct pl_diagnostics *problems,
                        const struct pl_block *block) {
  switch (block->kind) {
  case PL_BLOCK_OIL:
  case PL_BLOCK_OIL_SCALE:
  case PL_BLOCK_SPRING:
  case PL_BLOCK_PISTON:
  case PL_BLOCK_DAMPER: check_part_block(program, problems, block); break;
  case PL_BLOCK_CAR: check_car_block(program, problems, block); break;
  case PL_BLOCK_SETUP: check_setup_block(program, problems, block); break;
  case PL_BLOCK_BOX: check_box(program, block); break;
  case PL_BLOCK_MEETING: // see check_unless_sound
  case PL_BLOCK_RULES:
  case PL_BLOCK_TEMPLATE:
  case PL_BLOCK_AIM: // checked by the rooms that read them
  case PL_BLOCK_KIND_COUNT:
  case PL_BLOCK_ENTRY: // with its meeting
  case PL_BLOCK_OWNER_COUNT: break;
  }
}

/// A block is checked for each program anew, also if another one includes its file: what its
/// names mean may stand in files that are not the same. One without names and without problems
/// is not, and what was worked out for its check is forgotten, since a shelf may have
/// thousands.
static void check_unless_sound(struct pl_program *program, struct file *file, size_t which) {
  if (file->sound[which]) return;
  if (file->blocks[which].kind == PL_BLOCK_MEETING) { // its entries are kept
    check_meeting(program, &file->blocks[which]);
    return;
  }
  struct pl_diagnostics *const problems = program->problems;
  const struct pl_arena_mark before = pl_arena_mark(program->arena);
  const size_t asked = program->names_asked;
  const size_t reports = problems->reports;
  check_block(program, problems, &file->blocks[which]);
  file->sound[which] = program->names_asked == asked && problems->reports == reports;
  if (file->sound[which]) pl_arena_rewind(program->arena, before); // nothing came of it
}

static void take_over(struct pl_diagnostics *into, const struct pl_diagnostics *from) {
  for (size_t i = 0; i < from->count; i++) pl_report_again(into, &from->items[i]);
}

void check_blocks(struct pl_program *program) {
  // Included files first: what a name leads to is then mostly worked out when it is used.
  for (size_t i = program->file_count; i-- > 0;) {
    const struct file *const file = program->files[i];
    for (size_t j = 0; j < file->let_count; j++)
      evaluate_let(program, pl_map_get(program->lets, file->lets[j].name));
  }
  for (size_t i = 0; i < program->file_count; i++) {
    struct file *const file = program->files[i];
    if (file->problems != program->problems) take_over(program->problems, file->problems);
    for (size_t j = 0; j < file->block_count; j++) check_unless_sound(program, file, j);
  }
}

void pl_program_aside(struct pl_program *program, struct pl_arena *scratch,
                      void (*work)(void *context), void *context) {
  const struct pl_program kept = *program;
  program->arena = scratch;
  program->setups = pl_map_new(scratch);
  program->meetings = pl_map_new(scratch);
  memset(program->parts, 0, sizeof program->parts);
  work(context);
  const size_t collected = program->layers_collected; // no count may come twice
  const bool has_tolerance = program->has_tolerance;  // a `let` stays worked out
  *program = kept;
  program->layers_collected = collected;
  program->has_tolerance = has_tolerance;
}

// ---------------------------------------------------------------- a setup as a whole

static const struct pl_touch *last_touch(const struct pl_resolved *resolved) {
  return resolved->touch_count == 0 ? NULL : &resolved->touches[resolved->touch_count - 1];
}

static double part_number(const struct pl_part *part, enum pl_setting setting) {
  if (part == NULL) return 0;
  const struct pl_value *const value = &pl_part_get(part, setting)->value;
  return value->kind == PL_VALUE_NUMBER ? value->number : 0;
}

/// `key` of the setup has to be less than what the part allows.
static void check_room(struct pl_setup *setup, enum pl_setting setting, enum pl_place place,
                       double room, const char *what) {
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  if (!resolved->given || resolved->value.kind != PL_VALUE_NUMBER || room <= 0) return;
  if (resolved->value.number < room) return;
  struct pl_arena *const arena = setup->layered.program->arena;
  const struct pl_value limit = value_number(room, PL_LENGTH);
  pl_report(setup->layered.problems, PL_NO_ROOM, last_touch(resolved)->span,
            PL_WORDS(pl_settings[setting].key, pl_value_text(arena, &resolved->value), what,
                     pl_value_text(arena, &limit)));
}

/// Limiter and bump spacer, each less than the stroke, may take all of it together.
static void check_travel(struct pl_setup *setup, enum pl_place place, double stroke) {
  const struct pl_resolved *const limiter = pl_setup_get(setup, PL_SETTING_LIMITER, place);
  const struct pl_resolved *const spacer = pl_setup_get(setup, PL_SETTING_BUMP_SPACER, place);
  if (limiter->value.kind != PL_VALUE_NUMBER || spacer->value.kind != PL_VALUE_NUMBER) return;
  const double both = limiter->value.number + spacer->value.number;
  const double longer = fmax(limiter->value.number, spacer->value.number);
  if (!(stroke > 0) || both < stroke || longer >= stroke) return;
  const struct pl_touch *const place_of =
      last_touch(spacer) != NULL ? last_touch(spacer) : last_touch(limiter);
  if (place_of == NULL) return;
  struct pl_arena *const arena = setup->layered.program->arena;
  const struct pl_value sum = value_number(both, PL_LENGTH);
  const struct pl_value limit = value_number(stroke, PL_LENGTH);
  struct pl_diagnostic *const problem =
      pl_report(setup->layered.problems, PL_NO_ROOM, place_of->span,
                PL_WORDS("limiter + bump-spacer", pl_value_text(arena, &sum),
                         "the shock's stroke", pl_value_text(arena, &limit)));
  if (last_touch(limiter) != NULL)
    pl_relate(problem, last_touch(limiter)->span, "the limiter is given here");
}

static void check_corner(struct pl_setup *setup, enum pl_place place) {
  const struct pl_part *const damper = pl_setup_part(setup, PL_SETTING_DAMPER, place);
  const struct pl_part *const spring = pl_setup_part(setup, PL_SETTING_SPRING, place);
  const struct pl_part *const piston = pl_setup_part(setup, PL_SETTING_PISTON, place);
  const double stroke = part_number(damper, PL_SETTING_STROKE);
  check_room(setup, PL_SETTING_LIMITER, place, stroke, "the shock's stroke");
  check_room(setup, PL_SETTING_BUMP_SPACER, place, stroke, "the shock's stroke");
  check_travel(setup, place, stroke);
  check_room(setup, PL_SETTING_PRELOAD, place, part_number(spring, PL_SETTING_FREE_LENGTH),
             "the spring's free length");
  const double bore = part_number(damper, PL_SETTING_BORE);
  const double diameter = part_number(piston, PL_SETTING_DIAMETER);
  const struct pl_resolved *const chosen = pl_setup_get(setup, PL_SETTING_PISTON, place);
  if (!(bore > 0) || piston == NULL || last_touch(chosen) == NULL) return;
  if (diameter >= bore)
    pl_report(setup->layered.problems, PL_PISTON_TOO_LARGE, last_touch(chosen)->span,
              PL_WORDS(piston->name, damper->name));
  if (!(diameter > 0) && ports_fill(piston, bore)) // else the piston's own check tells
    pl_report(setup->layered.problems, PL_PORTS_BEYOND_BORE, last_touch(chosen)->span,
              PL_WORDS(piston->name, damper->name));
}

/// A hole that the car does not have.
static void check_hole(struct pl_setup *setup, enum pl_setting setting, enum pl_place place) {
  const struct pl_resolved *const chosen = pl_setup_get(setup, setting, place);
  if (chosen->value.kind != PL_VALUE_NUMBER) return;
  double x, y, z;
  if (pl_setup_point(setup, setting, place, &x, &y, &z)) return;
  const struct pl_value *const holes =
      &pl_setup_get(setup, (enum pl_setting)(setting + 1), place)->value;
  struct pl_buffer numbers = {.arena = setup->layered.program->arena};
  for (size_t i = 0; holes->kind == PL_VALUE_HOLES && i < holes->count; i++)
    pl_buffer_format(&numbers, "%s%d", i == 0 ? "" : ", ", holes->many.holes[i].number);
  pl_report(setup->layered.problems, numbers.length == 0 ? PL_NO_HOLES : PL_UNKNOWN_HOLE,
            last_touch(chosen)->span,
            PL_WORDS(pl_settings[setting].key,
                     pl_format(setup->layered.program->arena, "%g", chosen->value.number),
                     numbers.length == 0 ? NULL : pl_buffer_string(&numbers)));
}

/// A car is there and the setup does not name it: most likely it was forgotten.
static void check_car(struct pl_setup *setup) {
  if (pl_setup_get(setup, PL_SETTING_CAR, PL_CAR)->given) return;
  const struct pl_program *const program = setup->layered.program;
  if (program->car_count == 1)
    pl_report(setup->layered.problems, PL_NO_CAR, pl_setup_span(setup),
              PL_WORDS(program->car->name));
}

void pl_setup_check(const struct pl_setup *setup) {
  struct pl_setup *const own = (struct pl_setup *)setup;
  check_car(own);
  work_out_all(&own->layered);
  check_extras(own);
  for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
    check_corner(own, (enum pl_place)place);
    check_hole(own, PL_SETTING_SHOCK_TOP, (enum pl_place)place);
    check_hole(own, PL_SETTING_SHOCK_BOTTOM, (enum pl_place)place);
    check_hole(own, PL_SETTING_LINK_INNER, (enum pl_place)place);
    check_hole(own, PL_SETTING_LINK_OUTER, (enum pl_place)place);
  }
}
