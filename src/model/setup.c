// SPDX-License-Identifier: GPL-3.0-or-later
// Setups: their layers with the car's, ballast, extras, and what others ask of them.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- ballast and extras

/// Notes where in an array that may yet move the thing of that name stands.
static void note_place(struct pl_setup *setup, struct pl_map *map, const char *name,
                       size_t place) {
  size_t *const noted = pl_alloc(setup->layered.program->arena, sizeof *noted);
  *noted = place;
  pl_map_set(map, name, noted);
}

static struct pl_ballast *ballast_named(struct pl_setup *setup, const char *name) {
  if (setup->ballast_at == NULL) setup->ballast_at = pl_map_new(setup->layered.program->arena);
  const size_t *const known = pl_map_get(setup->ballast_at, name);
  if (known != NULL) return &setup->ballast[*known];
  setup->ballast = pl_grow(setup->layered.program->arena, setup->ballast, setup->ballast_count,
                           &setup->ballast_capacity, sizeof *setup->ballast);
  note_place(setup, setup->ballast_at, name, setup->ballast_count);
  struct pl_ballast *const added = &setup->ballast[setup->ballast_count++];
  *added = (struct pl_ballast){.name = name};
  return added;
}

/// The room that growing one by one has made for `count` touches.
static size_t touch_capacity(size_t count) {
  size_t capacity = count == 0 ? 0 : 8; // what pl_grow begins with, and then doubles
  while (capacity < count) capacity *= 2;
  return capacity;
}

static bool stands_within(struct pl_span span, const struct pl_block *block) {
  return span.source == block->source && span.start >= block->node->span.start &&
         span.end <= block->node->span.end;
}

/// Puts a value that has no row of its own behind what touched it before, except what the same
/// layer says of a narrower scope: that wins, wherever it stands.
static void touch(struct pl_setup *setup, size_t layer, enum written_scope scope,
                  const struct pl_node *node, struct pl_resolved *resolved,
                  struct pl_value value) {
  const struct pl_block *const block = setup->layered.layers[layer].block;
  size_t capacity = touch_capacity(resolved->touch_count);
  resolved->touches = pl_grow(setup->layered.program->arena, resolved->touches,
                              resolved->touch_count, &capacity, sizeof *resolved->touches);
  struct pl_touch *const touches = resolved->touches;
  size_t at = resolved->touch_count++;
  for (; at > 0 && scope != WRITTEN_TOP; at--) {
    const struct pl_touch *const before = &touches[at - 1];
    if (!stands_within(before->span, block)) break;
    if (scope_narrowness(written_scope_of(before->scope)) <= scope_narrowness(scope)) break;
    touches[at] = *before;
  }
  touches[at] = (struct pl_touch){.span = node->span,
                                  .scope = written_scope_names[scope],
                                  .layer = block->name,
                                  .action = node->action,
                                  .result = value};
  resolved->value = touches[resolved->touch_count - 1].result;
  resolved->given = true;
}

static struct evaluator evaluator_of(struct pl_setup *setup) {
  return (struct evaluator){.program = setup->layered.program,
                            .arena = setup->layered.program->arena,
                            .problems = setup->layered.problems,
                            .place = PL_CAR,
                            .by_itself = setup->layered.by_itself};
}

/// What one layer has given so far, one map for each key of ballast and each scope of extras.
static struct pl_map **given_in(struct pl_setup *setup, size_t layer) {
  if (setup->given_layer != layer + 1) {
    memset(setup->given, 0, sizeof setup->given);
    setup->given_layer = layer + 1;
  }
  return setup->given;
}

/// What stands twice in one layer and scope, so that one of them would be lost; `given` maps
/// the names that stood there so far to their lines.
static bool is_given_twice(struct evaluator *evaluator, struct pl_map **given, const char *name,
                           const struct pl_node *item) {
  if (*given == NULL) *given = pl_map_new(evaluator->arena);
  const struct pl_node *const other = pl_map_get(*given, name);
  if (other == NULL) {
    pl_map_set(*given, name, (void *)item);
    return false;
  }
  struct pl_diagnostic *const problem = pl_report(evaluator->problems, PL_SETTING_TWICE,
                                                  pl_name_span(item), PL_WORDS(item->name));
  pl_relate(problem, pl_name_span(other), "it is given here already");
  return true;
}

/// What a line of ballast comes to, `=` or a change of what the bases gave.
static struct pl_value ballast_value(struct evaluator *evaluator, const struct pl_node *line,
                                     enum pl_setting like, const struct pl_resolved *before) {
  if (line->action == PL_SET) return evaluate_setting(evaluator, like, line->children);
  if (!before->given) {
    if (evaluator->by_itself) return value_none(); // a base may give it
    pl_report(evaluator->problems, PL_NOTHING_TO_CHANGE, pl_name_span(line),
              PL_WORDS(line->name, pl_operator_sign(line->action),
                       pl_format(evaluator->arena, "`%s`", line->name)));
    return value_none();
  }
  const struct pl_value operand = evaluate(evaluator, line->children);
  return operand.kind == PL_VALUE_NONE
             ? operand
             : changed_value(evaluator, line, &before->value, &operand);
}

void collect_ballast(struct pl_setup *setup, size_t layer, const struct pl_node *block) {
  struct evaluator evaluator = evaluator_of(setup);
  const bool named = pl_titles(block) != NULL && pl_titles(block)->kind == PL_NODE_TEXT;
  if (!named) {
    pl_report(evaluator.problems, PL_BLOCK_NEEDS_NAME, pl_name_span(block),
              PL_WORDS("ballast"));
    return;
  }
  is_on_one_line(evaluator.problems, pl_titles(block));
  struct pl_ballast *const ballast = ballast_named(setup, pl_titles(block)->name);
  struct pl_map **const given = &given_in(setup, layer)[WRITTEN_COUNT];
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    const bool is_mass = strcmp(item->name, "mass") == 0;
    const bool is_place = strcmp(item->name, "at") == 0;
    if (item->kind == PL_NODE_BROKEN) continue;
    if (item->kind != PL_NODE_PROPERTY || (!is_mass && !is_place)) {
      static const char *const keys[] = {"mass", "at"};
      pl_report(evaluator.problems, PL_UNKNOWN_KEY, pl_name_span(item),
                PL_WORDS("A piece of ballast", item->name, pl_nearest(item->name, keys, 2)));
      continue;
    }
    if (item->action == PL_SET &&
        is_given_twice(&evaluator, &given[is_mass], ballast->name, item))
      continue;
    evaluator.key = item->name;
    const struct pl_value value = ballast_value(
        &evaluator, item, is_mass ? PL_SETTING_CORNER_MASS : PL_SETTING_WHEEL_CENTRE,
        is_mass ? &ballast->mass : &ballast->at);
    if (is_mass && value.kind == PL_VALUE_NUMBER && value.number < 0)
      pl_report(evaluator.problems, PL_IMPOSSIBLE, item->span,
                PL_WORDS("mass", pl_value_text(evaluator.arena, &value)));
    touch(setup, layer, WRITTEN_TOP, item, is_mass ? &ballast->mass : &ballast->at, value);
  }
}

static struct pl_extra *extra_named(struct pl_setup *setup, const char *name) {
  if (setup->extra_at == NULL) setup->extra_at = pl_map_new(setup->layered.program->arena);
  const size_t *const known = pl_map_get(setup->extra_at, name);
  if (known != NULL) return &setup->extras[*known];
  setup->extras = pl_grow(setup->layered.program->arena, setup->extras, setup->extra_count,
                          &setup->extra_capacity, sizeof *setup->extras);
  note_place(setup, setup->extra_at, name, setup->extra_count);
  struct pl_extra *const added = &setup->extras[setup->extra_count++];
  *added = (struct pl_extra){.name = name};
  return added;
}

void collect_extra(struct pl_setup *setup, size_t layer, enum written_scope scope,
                   const struct pl_node *block) {
  struct evaluator evaluator = evaluator_of(setup);
  struct pl_map **const given = &given_in(setup, layer)[scope];
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BROKEN) continue;
    if (item->kind != PL_NODE_PROPERTY || item->key_kind != PL_NODE_TEXT ||
        item->action != PL_SET) {
      pl_report(evaluator.problems, PL_EXTRA_SHAPE, pl_name_span(item), PL_NO_WORDS);
      continue;
    }
    const struct pl_node key = pl_key_node(item);
    is_on_one_line(evaluator.problems, &key);
    if (is_given_twice(&evaluator, given, key.name, item)) continue;
    evaluator.key = key.name;
    // Anything that has no row reads as a text.
    const struct pl_value value =
        evaluate_setting(&evaluator, PL_SETTING_NOTES, item->children);
    struct pl_extra *const extra = extra_named(setup, key.name);
    for (int place = 0; place < PL_PLACE_COUNT; place++) {
      const bool at_car = scope == WRITTEN_TOP && place == PL_CAR;
      const bool at_corner = scope != WRITTEN_TOP && place <= PL_REAR_RIGHT &&
                             scope_covers(scope, (enum pl_place)place);
      if (at_car || at_corner) touch(setup, layer, scope, item, &extra->at[place], value);
    }
  }
}

/// How many of the touches, from the first on, stand in the same block.
static size_t touches_of_layer(const struct pl_setup *setup, const struct pl_touch *touches,
                               size_t count) {
  const struct layered *const layered = &setup->layered;
  for (size_t i = 0; i < layered->layer_count; i++) {
    size_t same = 0;
    while (same < count && stands_within(touches[same].span, layered->layers[i].block)) same++;
    if (same > 0) return same;
  }
  return count;
}

static int narrowness_of(const struct pl_touch *touch) {
  return scope_narrowness(written_scope_of(touch->scope));
}

/// Axle and side are equally narrow: where both give a corner's extra in one layer, and the
/// corner does not, they have to say the same.
static void check_axle_and_side(struct pl_setup *setup, const char *name, enum pl_place place,
                                const struct pl_touch *touches, size_t count) {
  const struct pl_touch *const last = &touches[count - 1];
  if (count < 2 || narrowness_of(last) != 1 || narrowness_of(last - 1) != 1) return;
  if (pl_value_equal(&last->result, &last[-1].result)) return;
  struct pl_arena *const arena = setup->layered.program->arena;
  struct pl_diagnostic *const problem = pl_report(
      setup->layered.problems, PL_EXTRA_AXLE_OR_SIDE, last->span,
      PL_WORDS(
          name, pl_place_name(place),
          pl_format(arena, "%s (%s)", last[-1].scope, pl_value_text(arena, &last[-1].result)),
          pl_format(arena, "%s (%s)", last->scope, pl_value_text(arena, &last->result))));
  pl_relate(problem, last[-1].span, "the other value is here");
}

/// A layer's wide extra that replaces an earlier layer's narrow one is worth a word.
static void warn_if_extra_hidden(struct pl_setup *setup, const char *name,
                                 const struct pl_touch *before, const struct pl_touch *after) {
  if (narrowness_of(before) <= narrowness_of(after)) return;
  if (pl_value_equal(&before->result, &after->result)) return;
  struct pl_arena *const arena = setup->layered.program->arena;
  struct pl_diagnostic *const problem = pl_report(
      setup->layered.problems, PL_EXTRA_HIDES, after->span,
      PL_WORDS(name, after->scope, before->scope, pl_value_text(arena, &before->result)));
  pl_relate(problem, before->span,
            pl_format(setup->layered.problems->arena, "`%s` gives it here, in \"%s\"",
                      before->scope, before->layer));
}

void check_extras(struct pl_setup *setup) {
  for (size_t i = 0; i < setup->extra_count; i++) {
    for (int place = PL_FRONT_LEFT; place <= PL_REAR_RIGHT; place++) {
      const struct pl_resolved *const said = &setup->extras[i].at[place];
      const char *const name = setup->extras[i].name;
      for (size_t at = 0; at < said->touch_count;) {
        const struct pl_touch *const first = &said->touches[at];
        const size_t count = touches_of_layer(setup, first, said->touch_count - at);
        check_axle_and_side(setup, name, (enum pl_place)place, first, count);
        if (at > 0) warn_if_extra_hidden(setup, name, first - 1, &first[count - 1]);
        at += count;
      }
    }
  }
}

// ---------------------------------------------------------------- layers

/// The car that this line names; null if it does not say one, which is reported when the
/// setting `car` is resolved.
static const struct pl_block *car_named(struct pl_program *program,
                                        const struct pl_node *value) {
  struct evaluator evaluator = {.program = program,
                                .arena = program->arena,
                                .problems = pl_diagnostics_new(program->arena),
                                .place = PL_CAR};
  const struct pl_value name = evaluate(&evaluator, value);
  if (name.kind != PL_VALUE_TEXT) return NULL;
  return pl_program_find(program, PL_BLOCK_CAR, name.text);
}

/// The car that the newest of the setup's layers names.
static const struct pl_block *car_of(struct pl_setup *setup) {
  const struct layered *const layered = &setup->layered;
  for (size_t i = layered->layer_count; i-- > 0;) {
    const struct pl_node *item = layered->layers[i].block->node->children;
    for (; item != NULL; item = item->next) {
      if (item->kind == PL_NODE_PROPERTY && strcmp(item->name, "car") == 0)
        return car_named(layered->program, item->children);
    }
  }
  return NULL;
}

struct pl_setup *setup_of_block(struct pl_program *program, const struct pl_block *block) {
  struct pl_setup *const known = pl_map_get(program->setups, block->name);
  if (known != NULL) return known;
  struct pl_setup *const setup = pl_alloc(program->arena, sizeof *setup);
  setup->block = block;
  setup->layered = (struct layered){.program = program,
                                    .problems = program->problems,
                                    .setup = setup,
                                    .kind = PL_BLOCK_SETUP};
  pl_map_set(program->setups, block->name, setup);
  struct layered own = setup->layered;
  add_layers(&own, block); // the setup's own chain tells the car
  setup->layered.layers = own.layers;
  setup->layered.layer_count = own.layer_count;
  const struct pl_block *const car = car_of(setup);
  setup->layered.layers = NULL;
  setup->layered.layer_count = 0;
  if (car != NULL) add_layers(&setup->layered, car);
  add_layers(&setup->layered, block);
  collect_assignments(&setup->layered);
  return setup;
}

// ---------------------------------------------------------------- which one

const struct pl_setup *pl_program_setup(struct pl_program *program, const char *name) {
  const struct pl_block *const block = pl_program_block(program, PL_BLOCK_SETUP, name);
  return block == NULL ? NULL : setup_of_block(program, block);
}

// ---------------------------------------------------------------- asking

const char *pl_setup_name(const struct pl_setup *setup) {
  return setup->block->name;
}

struct pl_program *pl_setup_program(const struct pl_setup *setup) {
  return setup->layered.program;
}

struct pl_span pl_setup_span(const struct pl_setup *setup) {
  return pl_titles(setup->block->node)->span;
}

const char *pl_setup_base(const struct pl_setup *setup) {
  const struct pl_node *const base = pl_bases(setup->block->node);
  return base == NULL ? "" : base->name;
}

const struct pl_resolved *pl_setup_get(const struct pl_setup *setup, enum pl_setting setting,
                                       enum pl_place place) {
  static const struct pl_resolved nothing = {.value = {.kind = PL_VALUE_NONE}};
  const enum pl_place at = pl_place_at(place, pl_settings[setting].scope);
  if (at == PL_PLACE_COUNT || pl_settings[setting].owner != PL_BLOCK_SETUP) return &nothing;
  // Values are worked out at first use; the setup means the same before and after.
  return layered_get((struct layered *)&setup->layered, setting, at);
}

double pl_setup_number(const struct pl_setup *setup, enum pl_setting setting,
                       enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  return resolved->value.kind == PL_VALUE_NUMBER ? resolved->value.number : NAN;
}

const struct pl_part *pl_setup_part(const struct pl_setup *setup, enum pl_setting setting,
                                    enum pl_place place) {
  const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
  return resolved->value.kind == PL_VALUE_PART ? resolved->value.part : NULL;
}

/// The row of the holes that a hole's setting may name; the setting itself where it has none.
static enum pl_setting holes_of(enum pl_setting setting) {
  return pl_settings[setting].type == PL_TYPE_HOLE ? (enum pl_setting)(setting + 1) : setting;
}

/// The hole that the setup names; with a single hole none needs to be named.
static const struct pl_hole *chosen_hole(const struct pl_value *chosen,
                                         const struct pl_value *holes) {
  if (holes->kind != PL_VALUE_HOLES) return NULL;
  if (chosen->kind == PL_VALUE_NONE) return holes->count == 1 ? &holes->many.holes[0] : NULL;
  for (size_t i = 0; i < holes->count; i++) {
    if (holes->many.holes[i].number == (int)chosen->number) return &holes->many.holes[i];
  }
  return NULL;
}

bool pl_setup_point(const struct pl_setup *setup, enum pl_setting setting, enum pl_place place,
                    double *x, double *y, double *z) {
  const struct pl_resolved *const chosen = pl_setup_get(setup, setting, place);
  if (chosen->value.kind == PL_VALUE_POINT) {
    *x = chosen->value.x;
    *y = chosen->value.y;
    *z = chosen->value.z;
    return true;
  }
  if (chosen->given && chosen->value.kind == PL_VALUE_NONE) return false;
  const struct pl_value *const holes = &pl_setup_get(setup, holes_of(setting), place)->value;
  const struct pl_hole *const hole = chosen_hole(&chosen->value, holes);
  if (hole == NULL) return false;
  *x = hole->x;
  *y = hole->y;
  *z = hole->z;
  return true;
}

const struct pl_ballast *pl_setup_ballast(const struct pl_setup *setup, size_t *count) {
  *count = setup->ballast_count;
  return setup->ballast;
}

const struct pl_extra *pl_setup_extras(const struct pl_setup *setup, size_t *count) {
  *count = setup->extra_count;
  return setup->extras;
}
