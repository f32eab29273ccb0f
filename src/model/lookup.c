// SPDX-License-Identifier: GPL-3.0-or-later
// What a name in an expression means: a `let`, a setting of the same scope, or what the asker
// knows.
#include "room.h"

#include <string.h>

void evaluate_let(struct pl_program *program, struct let_value *let) {
  if (let->state != LET_FRESH) return;
  let->state = LET_BUSY;
  struct evaluator own = {.program = program,
                          .arena = program->arena,
                          .problems = program->problems,
                          .place = PL_CAR};
  let->value = evaluate(&own, let->let->node->children);
  let->state = LET_DONE;
}

/// The value of a `let` where it is used.
static struct pl_value value_of_let(struct evaluator *evaluator, struct let_value *let,
                                    const struct pl_node *use) {
  const struct pl_node *const node = let->let->node;
  if (use->span.source == node->span.source && use->span.start < node->span.start) {
    struct pl_diagnostic *const problem =
        pl_report(evaluator->problems, PL_USED_BEFORE, use->span, PL_WORDS(use->name));
    pl_relate(problem, pl_name_span(node), "it is given here");
    return value_none();
  }
  if (let->state == LET_BUSY) {
    pl_report(evaluator->problems, PL_CIRCLE, use->span, PL_WORDS(use->name));
    return value_none();
  }
  evaluate_let(evaluator->program, let);
  return let->value;
}

/// The place that a path such as `front.preload` means, seen from where it is used: from
/// rear-left, `front` is front-left and `right` is rear-right.
static enum pl_place place_from(enum pl_place here, const char *word) {
  const enum pl_place named = pl_place_of(word);
  if (named == PL_FRONT || named == PL_REAR) {
    if (here > PL_REAR_RIGHT) return named;
    const bool right = here == PL_FRONT_RIGHT || here == PL_REAR_RIGHT;
    return named == PL_FRONT ? (right ? PL_FRONT_RIGHT : PL_FRONT_LEFT)
                             : (right ? PL_REAR_RIGHT : PL_REAR_LEFT);
  }
  if (named != PL_PLACE_COUNT) return named;
  const bool left = strcmp(word, "left") == 0;
  if (!left && strcmp(word, "right") != 0) return PL_PLACE_COUNT;
  const enum pl_place axle = pl_place_at(here, PL_SCOPE_AXLE);
  if (axle == PL_PLACE_COUNT) return PL_PLACE_COUNT;
  if (axle == PL_FRONT) return left ? PL_FRONT_LEFT : PL_FRONT_RIGHT;
  return left ? PL_REAR_LEFT : PL_REAR_RIGHT;
}

/// The first word of a path, copied; `*rest` is what follows the point, or null.
static const char *first_word(struct pl_arena *arena, const char *path, const char **rest) {
  const char *const point = strchr(path, '.');
  *rest = point == NULL ? NULL : point + 1;
  return point == NULL ? path : pl_copy_text(arena, path, (size_t)(point - path));
}

/// A setting that differs within the place of the line that uses it.
static void report_place(struct evaluator *evaluator, const struct pl_node *use,
                         const char *key, enum pl_scope scope) {
  const bool in_axle = evaluator->place == PL_FRONT || evaluator->place == PL_REAR;
  const char *const place = in_axle                    ? "left"
                            : scope == PL_SCOPE_CORNER ? "front-left"
                                                       : "front";
  pl_report(evaluator->problems, PL_NEEDS_PLACE, use->span,
            PL_WORDS(key, scope == PL_SCOPE_CORNER ? "corner to corner" : "axle to axle",
                     in_axle ? "a whole axle" : "the whole car", place));
}

/// The value of a setting of a part, as in `spring.free-length`.
static const struct pl_resolved *resolved_of_part(struct evaluator *evaluator,
                                                  const struct pl_node *use,
                                                  const struct pl_part *part, const char *key) {
  const enum pl_setting inner = pl_setting_of(key, part->kind);
  if (inner != PL_SETTING_COUNT) return pl_part_get(part, inner);
  pl_report(evaluator->problems, PL_UNKNOWN_KEY, use->span,
            PL_WORDS(pl_format(evaluator->arena, "The %s \"%s\"",
                               pl_block_kind_name(part->kind), part->name),
                     key, pl_setting_nearest(key, part->kind)));
  return NULL;
}

/// A setting of the layered thing in whose block the expression stands.
static bool value_of_setting(struct evaluator *evaluator, const struct pl_node *use,
                             struct pl_value *value) {
  struct layered *const layered = evaluator->layered;
  if (layered == NULL) return false;
  const char *path = use->name;
  const char *rest = NULL;
  enum pl_place place = evaluator->place;
  const char *word = first_word(evaluator->arena, path, &rest);
  const enum pl_place other = rest == NULL ? PL_PLACE_COUNT : place_from(place, word);
  if (other != PL_PLACE_COUNT && layered->kind == PL_BLOCK_SETUP) {
    place = other;
    path = rest;
    word = first_word(evaluator->arena, path, &rest);
  }
  enum pl_setting setting = pl_setting_of(path, layered->kind);
  const bool of_part = setting == PL_SETTING_COUNT && rest != NULL;
  if (of_part) setting = pl_setting_of(word, layered->kind);
  if (setting == PL_SETTING_COUNT) return false;
  const enum pl_scope scope = pl_settings[setting].scope;
  const enum pl_place at = scope == PL_SCOPE_PART ? PL_CAR : pl_place_at(place, scope);
  if (at == PL_PLACE_COUNT) {
    report_place(evaluator, use, path, scope);
    return true;
  }
  evaluator->uses_place = true;
  const struct pl_resolved *resolved = layered_get(layered, setting, at);
  if (of_part && resolved->value.kind == PL_VALUE_PART) {
    resolved = resolved_of_part(evaluator, use, resolved->value.part, rest);
    if (resolved == NULL) return true;
  }
  *value = resolved->value;
  // A value that was given and still is none was reported where it stands.
  if (value->kind == PL_VALUE_NONE && !resolved->given && !layered->by_itself)
    pl_report(evaluator->problems, PL_NO_VALUE_YET, use->span, PL_WORDS(use->name));
  return true;
}

/// Does the name stand right behind a stroke, so that it may have been meant as a unit's part?
static bool may_be_unit(const struct pl_node *use) {
  const struct pl_span span = use->span;
  return span.source != NULL && span.start > 0 && span.source->bytes[span.start - 1] == '/';
}

/// The nearest setting; for `front.prelaod` behind the same place.
static const char *nearest_setting(struct evaluator *evaluator, const char *name) {
  const enum pl_block_kind kind = evaluator->layered->kind;
  const char *rest = NULL;
  const char *const word = first_word(evaluator->arena, name, &rest);
  if (rest == NULL || place_from(PL_FRONT_LEFT, word) == PL_PLACE_COUNT)
    return pl_setting_nearest(name, kind);
  const char *const near = pl_setting_nearest(rest, kind);
  return near == NULL ? NULL : pl_format(evaluator->arena, "%s.%s", word, near);
}

/// Does a `let`, or a key of this kind of block, have that name?
static bool is_known(const struct evaluator *evaluator, const char *name) {
  return pl_map_get(evaluator->program->lets, name) != NULL ||
         (evaluator->layered != NULL &&
          pl_setting_of(name, evaluator->layered->kind) != PL_SETTING_COUNT);
}

/// More than that was no slip, and would take long to look at.
#define MOST_OPERANDS       4
#define LONGEST_SUBTRACTION ((size_t)80)

/// "a - b" for `a-b`, where those are names or numbers: a subtraction without blanks reads as
/// one name. Null if it was none of so many operands at most.
static const char *subtraction_meant(const struct evaluator *evaluator, const char *name,
                                     int operands) {
  if (operands < 2 || strlen(name) > LONGEST_SUBTRACTION) return NULL;
  for (const char *minus = strchr(name, '-'); minus != NULL; minus = strchr(minus + 1, '-')) {
    const char *const left = pl_copy_text(evaluator->arena, name, (size_t)(minus - name));
    const char *right = minus + 1;
    if (!is_known(evaluator, left)) continue;
    const bool is_operand = (*right >= '0' && *right <= '9') || is_known(evaluator, right);
    if (!is_operand) right = subtraction_meant(evaluator, right, operands - 1);
    if (right != NULL) return pl_format(evaluator->arena, "%s - %s", left, right);
  }
  return NULL;
}

static bool is_unit(const char *name) {
  struct pl_unit unit;
  const char *bad = NULL;
  size_t bad_length = 0;
  return pl_unit_read(name, strlen(name), &unit, &bad, &bad_length) == PL_UNIT_OK;
}

static void report_unknown_name(struct evaluator *evaluator, const struct pl_node *use) {
  if (!pl_mend_wanted(evaluator->problems, use->span.source)) {
    pl_report(evaluator->problems, PL_UNKNOWN_NAME, use->span, PL_WORDS(use->name, NULL));
    return;
  }
  const char *near = subtraction_meant(evaluator, use->name, MOST_OPERANDS);
  if (near == NULL && evaluator->layered != NULL) near = nearest_setting(evaluator, use->name);
  if (near == NULL) {
    const struct pl_program *const program = evaluator->program;
    const char **names = NULL;
    size_t count = 0;
    size_t capacity = 0;
    for (size_t i = 0; i < program->file_count; i++) {
      for (size_t j = 0; j < program->files[i]->let_count; j++) {
        names = pl_grow(program->arena, names, count, &capacity, sizeof *names);
        names[count++] = program->files[i]->lets[j].name;
      }
    }
    near = pl_nearest(use->name, names, count);
  }
  if (near == NULL && may_be_unit(use)) near = pl_unit_meant(evaluator->arena, use->name);
  const bool unit = is_unit(use->name) && (near == NULL || strcmp(near, use->name) == 0);
  pl_report(evaluator->problems, unit ? PL_UNIT_AS_NAME : PL_UNKNOWN_NAME, use->span,
            PL_WORDS(use->name, unit ? NULL : near));
}

bool pl_program_has_let(const struct pl_program *program, const char *name) {
  return pl_map_get(program->lets, name) != NULL;
}

const struct pl_node *pl_program_let(const struct pl_program *program, const char *name) {
  const struct let_value *const let = pl_map_get(program->lets, name);
  return let == NULL ? NULL : let->let->node->children;
}

struct pl_value evaluate_name(struct evaluator *evaluator, const struct pl_node *node) {
  evaluator->program->names_asked++;
  struct let_value *const let = pl_map_get(evaluator->program->lets, node->name);
  if (let != NULL) return value_of_let(evaluator, let_in_trial(evaluator->program, let), node);
  struct pl_value value = value_none();
  if (value_of_setting(evaluator, node, &value)) return value;
  if (evaluator->look_up != NULL &&
      evaluator->look_up->find(evaluator->look_up->context, node, &value))
    return value;
  report_unknown_name(evaluator, node);
  return value_none();
}
