// SPDX-License-Identifier: GPL-3.0-or-later
// Parts: oils, springs, pistons, shocks and oil scales, declared or given on the spot.
#include "room.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct pl_part *part_new(struct evaluator *evaluator, enum pl_block_kind kind, const char *name,
                         struct pl_span span) {
  enum pl_setting first;
  size_t count;
  settings_of_kind(kind, &first, &count);
  struct pl_part *const part = pl_alloc(evaluator->arena, sizeof *part);
  part->kind = kind;
  part->name = name;
  part->span = span;
  part->settings = pl_alloc_array(evaluator->arena, count + 1, sizeof *part->settings);
  for (size_t i = 0; i < count; i++) {
    part->settings[i].value =
        fallback_value(evaluator->program->session, (enum pl_setting)(first + i));
    part->settings[i].assumed = part->settings[i].value.kind != PL_VALUE_NONE;
  }
  return part;
}

const struct pl_resolved *pl_part_get(const struct pl_part *part, enum pl_setting setting) {
  static const struct pl_resolved nothing = {.value = {.kind = PL_VALUE_NONE}};
  enum pl_setting first;
  size_t count;
  settings_of_kind(part->kind, &first, &count);
  if (setting < first || (size_t)(setting - first) >= count) return &nothing;
  return &part->settings[setting - first];
}

const struct pl_part *part_on_the_spot(struct evaluator *evaluator, enum pl_block_kind kind,
                                       enum pl_setting setting, const struct pl_value *value,
                                       const struct pl_node *node) {
  struct pl_part *const part =
      part_new(evaluator, kind, pl_value_text(evaluator->arena, value), node->span);
  struct pl_resolved *const resolved = (struct pl_resolved *)pl_part_get(part, setting);
  struct pl_touch *const touch = pl_alloc(evaluator->arena, sizeof *touch);
  *touch = (struct pl_touch){
      .span = node->span, .scope = "", .layer = "", .action = PL_SET, .result = *value};
  *resolved =
      (struct pl_resolved){.value = *value, .given = true, .touches = touch, .touch_count = 1};
  check_span(evaluator, setting, value, node->span);
  return part;
}

// ---------------------------------------------------------------- checks of one part

static double number_in(const struct pl_part *part, enum pl_setting setting) {
  const struct pl_resolved *const resolved = pl_part_get(part, setting);
  return resolved->value.kind == PL_VALUE_NUMBER ? resolved->value.number : NAN;
}

/// Also true of what was given and found wrong: that was reported where it stands.
static bool has(const struct pl_part *part, enum pl_setting setting) {
  const struct pl_resolved *const resolved = pl_part_get(part, setting);
  return resolved->given || resolved->value.kind != PL_VALUE_NONE;
}

/// Was a line of the part's block, or a base, reported as wrong? What the part lacks may have
/// stood there.
static bool is_broken(const struct evaluator *evaluator, const struct pl_part *part) {
  const struct pl_block *block = part->block;
  for (int steps = 0; steps <= PL_MOST_BASES; steps++) {
    for (const struct pl_node *item = block->node->children; item != NULL; item = item->next)
      if (item->kind == PL_NODE_BROKEN) return true;
    const struct pl_node *const base = pl_bases(block->node);
    if (base == NULL) return false;
    block = pl_program_find(evaluator->program, block->kind, base->name);
    if (block == NULL) return true;
  }
  return true; // they start from each other, or are too many
}

static void report_lack(struct evaluator *evaluator, const struct pl_part *part,
                        const char *key) {
  if (is_broken(evaluator, part)) return;
  pl_report(evaluator->problems, PL_PART_LACKS, pl_titles(part->block->node)->span,
            PL_WORDS(pl_block_kind_name(part->kind), part->name, key));
}

/// Where a setting of the part was given last; the part's name where nowhere.
static struct pl_span span_of(const struct pl_part *part, enum pl_setting setting) {
  const struct pl_resolved *const resolved = pl_part_get(part, setting);
  if (resolved->touch_count == 0) return pl_titles(part->block->node)->span;
  return resolved->touches[resolved->touch_count - 1].span;
}

/// `smaller` has to be less than `larger`; nothing is said where one is not given.
static void check_less(struct evaluator *evaluator, const struct pl_part *part,
                       enum pl_setting smaller, enum pl_setting larger) {
  const double a = number_in(part, smaller);
  const double b = number_in(part, larger);
  if (isnan(a) || isnan(b) || a < b) return;
  struct pl_diagnostic *const problem =
      pl_report(evaluator->problems, PL_NOT_SMALLER, span_of(part, smaller),
                PL_WORDS(pl_settings[smaller].key,
                         pl_value_text(evaluator->arena, &pl_part_get(part, smaller)->value),
                         pl_settings[larger].key,
                         pl_value_text(evaluator->arena, &pl_part_get(part, larger)->value)));
  pl_relate(problem, span_of(part, larger), "the other one is here");
}

/// `counts` is read and `idle` is not, where a spring has both.
static void check_idle(struct evaluator *evaluator, const struct pl_part *part,
                       enum pl_setting counts, enum pl_setting idle) {
  if (!pl_part_get(part, counts)->given || !pl_part_get(part, idle)->given) return;
  struct pl_diagnostic *const problem =
      pl_report(evaluator->problems, PL_SPRING_TWICE, span_of(part, idle),
                PL_WORDS(part->name, pl_settings[counts].key, pl_settings[idle].key));
  pl_relate(problem, span_of(part, counts), "this counts");
}

/// The mean diameter of a coil by one of the three that may be given; NaN where it is not.
static double mean_by(const struct pl_part *part, enum pl_setting diameter) {
  const double given = number_in(part, diameter);
  const double wire = number_in(part, PL_SETTING_WIRE);
  if (diameter == PL_SETTING_OUTSIDE_DIAMETER) return given - wire;
  if (diameter == PL_SETTING_INSIDE_DIAMETER) return given + wire;
  return given;
}

/// Several diameters of one coil have to agree, as far as a caliper tells: within 2 %, which is
/// 6 % of the rate. The first of them counts.
static void check_diameters(struct evaluator *evaluator, const struct pl_part *part) {
  static const enum pl_setting diameters[] = {
      PL_SETTING_MEAN_DIAMETER, PL_SETTING_OUTSIDE_DIAMETER, PL_SETTING_INSIDE_DIAMETER};
  const size_t count = sizeof diameters / sizeof diameters[0];
  size_t first = 0;
  while (first < count && isnan(mean_by(part, diameters[first]))) first++;
  for (size_t i = first + 1; i < count; i++) {
    const double mean = mean_by(part, diameters[first]);
    const double other = mean_by(part, diameters[i]);
    if (isnan(other) || fabs(other - mean) <= 0.02 * mean) continue;
    const struct pl_value shown[] = {value_number(other, PL_LENGTH),
                                     value_number(mean, PL_LENGTH)};
    struct pl_diagnostic *const problem = pl_report(
        evaluator->problems, PL_SPRING_DIAMETERS, span_of(part, diameters[i]),
        PL_WORDS(pl_settings[diameters[i]].key, pl_value_text(evaluator->arena, &shown[0]),
                 pl_settings[diameters[first]].key,
                 pl_value_text(evaluator->arena, &shown[1])));
    pl_relate(problem, span_of(part, diameters[first]), "this counts");
  }
}

static void check_spring(struct evaluator *evaluator, const struct pl_part *part) {
  const bool by_diameter = has(part, PL_SETTING_MEAN_DIAMETER) ||
                           has(part, PL_SETTING_OUTSIDE_DIAMETER) ||
                           has(part, PL_SETTING_INSIDE_DIAMETER);
  const bool by_wire = has(part, PL_SETTING_WIRE) && by_diameter;
  const bool by_coils = has(part, PL_SETTING_ACTIVE_COILS) || has(part, PL_SETTING_TOTAL_COILS);
  const bool known = has(part, PL_SETTING_RATE) || has(part, PL_SETTING_TABLE) ||
                     (by_wire && (by_coils || has(part, PL_SETTING_GROUPS)));
  if (!known && !is_broken(evaluator, part))
    pl_report(evaluator->problems, PL_SPRING_UNKNOWN, pl_titles(part->block->node)->span,
              PL_WORDS(part->name));
  check_less(evaluator, part, PL_SETTING_WIRE, PL_SETTING_MEAN_DIAMETER);
  check_less(evaluator, part, PL_SETTING_WIRE, PL_SETTING_INSIDE_DIAMETER);
  check_less(evaluator, part, PL_SETTING_ACTIVE_COILS, PL_SETTING_TOTAL_COILS);
  check_less(evaluator, part, PL_SETTING_INSIDE_DIAMETER, PL_SETTING_OUTSIDE_DIAMETER);
  check_diameters(evaluator, part);
  check_idle(evaluator, part, PL_SETTING_RATE, PL_SETTING_TABLE);
  check_idle(evaluator, part, PL_SETTING_RATE, PL_SETTING_GROUPS);
  check_idle(evaluator, part, PL_SETTING_TABLE, PL_SETTING_GROUPS);
}

static void check_damper(struct evaluator *evaluator, const struct pl_part *part) {
  check_less(evaluator, part, PL_SETTING_SHAFT, PL_SETTING_BORE);
  check_less(evaluator, part, PL_SETTING_STROKE, PL_SETTING_EXTENDED_LENGTH);
  check_less(evaluator, part, PL_SETTING_SEAL_RING_INSIDE, PL_SETTING_SEAL_GLAND_OUTSIDE);
}

bool ports_fill(const struct pl_part *piston, double diameter) {
  const struct pl_value *const ports = &pl_part_get(piston, PL_SETTING_PORTS)->value;
  double squares = 0;
  for (size_t i = 0; ports->kind == PL_VALUE_PORTS && i < ports->count; i++) {
    const double largest =
        fmax(ports->many.ports[i].cap_diameter, ports->many.ports[i].shaft_diameter);
    squares += ports->many.ports[i].count * largest * largest;
  }
  return squares >= diameter * diameter;
}

static void check_piston(struct evaluator *evaluator, const struct pl_part *part) {
  if (ports_fill(part, number_in(part, PL_SETTING_DIAMETER)))
    pl_report(evaluator->problems, PL_PORTS_TOO_LARGE, span_of(part, PL_SETTING_PORTS),
              PL_WORDS(part->name));
  if (!has(part, PL_SETTING_PORTS)) report_lack(evaluator, part, "ports");
}

static void check_part(struct evaluator *evaluator, const struct pl_part *part) {
  switch (part->kind) {
  case PL_BLOCK_OIL:
    if (!has(part, PL_SETTING_VISCOSITY)) report_lack(evaluator, part, "viscosity");
    break;
  case PL_BLOCK_SPRING: check_spring(evaluator, part); break;
  case PL_BLOCK_PISTON: check_piston(evaluator, part); break;
  case PL_BLOCK_DAMPER: check_damper(evaluator, part); break;
  default: break;
  }
}

// ---------------------------------------------------------------- oil scales

static int compare_rows(const void *left, const void *right) {
  const struct pl_scale_row *const a = left;
  const struct pl_scale_row *const b = right;
  return a->weight < b->weight ? -1 : a->weight > b->weight;
}

/// Does a line of the same block before this one give the same weight?
static bool weight_is_given(const struct pl_block *block, const struct pl_node *row) {
  for (const struct pl_node *item = block->node->children; item != row; item = item->next)
    if (item->kind == PL_NODE_PROPERTY && item->is_weight && item->number == row->number)
      return true;
  return false;
}

/// A viscosity `at 25 degC` is the one without a temperature.
static struct pl_value without_temperature(const struct pl_value *value) {
  if (value->kind != PL_VALUE_VISCOSITY || value->count != 1 ||
      fabs(value->many.viscosity[0].temperature - 298.15) > 1e-6)
    return *value;
  struct pl_value plain = value_number(value->many.viscosity[0].viscosity,
                                       (struct pl_dimension){.length = 2, .time = -1});
  plain.tolerance = value->many.viscosity[0].tolerance;
  return plain;
}

/// One row of a scale, `30 wt = 350 cSt`; a later layer's row replaces an earlier one.
static void add_scale_row(struct evaluator *evaluator, struct pl_part *part,
                          const struct pl_block *block, const struct pl_node *item,
                          size_t *capacity) {
  if (item->kind == PL_NODE_BROKEN) return;
  if (item->kind != PL_NODE_PROPERTY) {
    pl_report(evaluator->problems, PL_SCALE_ROW, item->span, PL_NO_WORDS);
    return;
  }
  const struct pl_dimension kinematic = {.length = 2, .time = -1};
  const bool shaped = item->key_kind == PL_NODE_NUMBER && item->is_weight;
  struct evaluator own = *evaluator;
  own.in_scale = true;
  own.by_place = false;
  const struct pl_value said = shaped ? evaluate(&own, item->children) : value_none();
  const struct pl_value value = without_temperature(&said);
  const bool fits = value.kind == PL_VALUE_NUMBER &&
                    pl_dimension_equal(value.dimension, kinematic) && value.number > 0;
  if (!fits || item->action != PL_SET) {
    if (!shaped || value.kind != PL_VALUE_NONE)
      pl_report(evaluator->problems,
                value.kind == PL_VALUE_VISCOSITY ? PL_SCALE_TEMPERATURE : PL_SCALE_ROW,
                item->span, PL_NO_WORDS);
    return;
  }
  if (part->row_count == PL_MOST_SCALE_WEIGHTS) {
    pl_report(evaluator->problems, PL_SCALE_TOO_LONG, pl_name_span(item),
              PL_WORDS(pl_format(evaluator->arena, "%d", PL_MOST_SCALE_WEIGHTS)));
    return;
  }
  if (weight_is_given(block, item)) {
    pl_report(evaluator->problems, PL_SETTING_TWICE, pl_name_span(item),
              PL_WORDS(key_text_shown(evaluator, item)));
    return;
  }
  for (size_t i = 0; i < part->row_count; i++) {
    if (part->rows[i].weight == item->number) {
      part->rows[i].viscosity = value.number;
      part->rows[i].tolerance = value.tolerance;
      return;
    }
  }
  part->rows =
      pl_grow(evaluator->arena, part->rows, part->row_count, capacity, sizeof *part->rows);
  part->rows[part->row_count++] =
      (struct pl_scale_row){item->number, value.number, value.tolerance};
}

static const struct pl_part *scale_of_block(struct evaluator *evaluator,
                                            const struct pl_block *block) {
  struct pl_part *const part =
      part_new(evaluator, PL_BLOCK_OIL_SCALE, block->name, pl_titles(block->node)->span);
  part->named = true;
  part->block = block;
  struct layered layered = {.program = evaluator->program,
                            .problems = evaluator->problems,
                            .kind = PL_BLOCK_OIL_SCALE};
  add_layers(&layered, block);
  size_t capacity = 0;
  for (size_t i = 0; i < layered.layer_count; i++) {
    const struct pl_block *const from = layered.layers[i].block;
    for (const struct pl_node *item = from->node->children; item != NULL; item = item->next)
      add_scale_row(evaluator, part, from, item, &capacity);
  }
  if (part->row_count > 1) qsort(part->rows, part->row_count, sizeof *part->rows, compare_rows);
  return part;
}

/// The scale in scope: the setup's choice, or the only one that is declared.
static const struct pl_part *scale_in_scope(struct evaluator *evaluator,
                                            const struct pl_node *node) {
  evaluator->program->names_asked++;
  struct pl_setup *const setup = evaluator->layered == NULL ? NULL : evaluator->layered->setup;
  if (setup != NULL) {
    const struct pl_resolved *const chosen =
        layered_get(&setup->layered, PL_SETTING_OIL_SCALE, PL_CAR);
    if (chosen->value.kind == PL_VALUE_PART) return chosen->value.part;
    if (chosen->given) return NULL; // reported there
  }
  const struct pl_program *const program = evaluator->program;
  if (program->scale_count == 1)
    return part_named(evaluator, PL_BLOCK_OIL_SCALE, program->scale->name, node->span);
  if (program->scale_count > 1 && evaluator->by_itself) return NULL; // a setup will choose
  pl_report(evaluator->problems,
            program->scale_count == 0 ? PL_WEIGHT_WITHOUT_SCALE : PL_WEIGHT_SCALES, node->span,
            PL_WORDS(node_text_shown(evaluator, node),
                     program->scale_count == 0 ? NULL : program->scale->name));
  return NULL;
}

/// What the scale says of a weight, linear between its rows; NaN beyond them.
static struct pl_scale_row row_at(const struct pl_part *scale, double weight) {
  const struct pl_scale_row *const rows = scale->rows;
  for (size_t i = 0; i < scale->row_count; i++) {
    if (rows[i].weight == weight) return rows[i];
    if (i == 0 || weight < rows[i - 1].weight || weight > rows[i].weight) continue;
    const double part = (weight - rows[i - 1].weight) / (rows[i].weight - rows[i - 1].weight);
    return (struct pl_scale_row){
        weight, rows[i - 1].viscosity + part * (rows[i].viscosity - rows[i - 1].viscosity),
        rows[i - 1].tolerance + part * (rows[i].tolerance - rows[i - 1].tolerance)};
  }
  return (struct pl_scale_row){weight, NAN, 0};
}

struct pl_value viscosity_of_weight(struct evaluator *evaluator, double weight,
                                    const struct pl_node *node) {
  if (evaluator->in_scale) {
    pl_report(evaluator->problems, PL_SCALE_ROW, node->span, PL_NO_WORDS);
    return value_none();
  }
  const struct pl_part *const scale = scale_in_scope(evaluator, node);
  if (scale == NULL) return value_none();
  const struct pl_scale_row row = row_at(scale, weight);
  if (!isnan(row.viscosity)) {
    struct pl_value value =
        value_number(row.viscosity, (struct pl_dimension){.length = 2, .time = -1});
    add_tolerance(evaluator, &value, node, row.tolerance);
    return value;
  }
  const struct pl_scale_row *const rows = scale->rows;
  const bool empty = scale->row_count == 0;
  pl_report(evaluator->problems, PL_WEIGHT_BEYOND_SCALE, node->span,
            PL_WORDS(node_text_shown(evaluator, node), scale->name,
                     pl_format(evaluator->arena, "%g", empty ? 0 : rows[0].weight),
                     pl_format(evaluator->arena, "%g",
                               empty ? 0 : rows[scale->row_count - 1].weight)));
  return value_none();
}

// ---------------------------------------------------------------- declared parts

const struct pl_part *part_of_block(struct evaluator *evaluator, const struct pl_block *block) {
  if (block->kind == PL_BLOCK_OIL_SCALE) return scale_of_block(evaluator, block);
  struct pl_part *const part =
      part_new(evaluator, block->kind, block->name, pl_titles(block->node)->span);
  part->named = true;
  part->block = block;
  if (block->kind == PL_BLOCK_CAR) return part; // its settings are a layer of the setup
  struct layered *const layered = pl_alloc(evaluator->arena, sizeof *layered);
  *layered =
      (struct layered){.program = evaluator->program,
                       .problems = evaluator->problems,
                       .setup = evaluator->layered == NULL ? NULL : evaluator->layered->setup,
                       .outer = evaluator->layered,
                       .kind = block->kind,
                       .by_itself = evaluator->by_itself};
  add_layers(layered, block);
  collect_assignments(layered);
  for (size_t i = 0; i < layered->count; i++) {
    if (layered->given[i] == NULL) continue; // then it stays what a new part has
    part->settings[i] = *layered_get(layered, (enum pl_setting)(layered->first + i), PL_CAR);
  }
  check_part(evaluator, part);
  return part;
}

/// Is the part asked for by one of its own values?
static bool is_under_way(const struct evaluator *evaluator, const struct pl_block *block) {
  for (const struct layered *at = evaluator->layered; at != NULL; at = at->outer)
    if (at->layer_count > 0 && at->layers[at->layer_count - 1].block == block) return true;
  return false;
}

/// Is the name a value in quotes: "350 cSt", "0.62 N/mm", "2 x 1.6 mm"?
static bool is_value_in_quotes(enum pl_block_kind kind, const char *name) {
  double number = 0;
  struct pl_unit unit;
  if (kind == PL_BLOCK_OIL || kind == PL_BLOCK_SPRING)
    return pl_quantity_read(name, &number, &unit) &&
           !pl_dimension_equal(unit.dimension, PL_DIMENSIONLESS);
  const size_t digits = strspn(name, "0123456789");
  const char *const sign = name + digits + strspn(name + digits, " ");
  return kind == PL_BLOCK_PISTON && digits > 0 &&
         (sign[0] == 'x' || strncmp(sign, "\u00d7", 2) == 0);
}

const struct pl_part *part_named(struct evaluator *evaluator, enum pl_block_kind kind,
                                 const char *name, struct pl_span span) {
  evaluator->program->names_asked++;
  const struct pl_block *const block = pl_program_find(evaluator->program, kind, name);
  if (block == NULL) {
    const char *const near = pl_mend_wanted(evaluator->problems, span.source)
                                 ? nearest_block(evaluator->program, kind, name)
                                 : NULL;
    const enum pl_code code = near != NULL                     ? PL_UNKNOWN_PART
                              : is_value_in_quotes(kind, name) ? PL_UNKNOWN_PART_VALUE
                                                               : PL_UNKNOWN_PART_FAR;
    pl_report(evaluator->problems, code, span, PL_WORDS(pl_block_kind_name(kind), name, near));
    return NULL;
  }
  if (is_under_way(evaluator, block)) {
    pl_report(evaluator->problems, PL_CIRCLE, span, PL_WORDS(name));
    return NULL;
  }
  // Each is worked out once, however many ask for it.
  struct pl_setup *const setup = evaluator->layered == NULL ? NULL : evaluator->layered->setup;
  struct pl_map **const known = setup != NULL
                                    ? &setup->parts[kind]
                                    : &evaluator->program->parts[evaluator->by_itself][kind];
  if (*known == NULL) *known = pl_map_new(evaluator->program->arena);
  const struct pl_part *part = pl_map_get(*known, name);
  if (part != NULL) return part;
  part = part_of_block(evaluator, block);
  pl_map_set(*known, block->name, (void *)part);
  return part;
}

const struct pl_part *pl_program_part(struct pl_program *program,
                                      const struct pl_block *block) {
  struct evaluator evaluator = {.program = program,
                                .arena = program->arena,
                                .problems = pl_diagnostics_new(program->arena),
                                .place = PL_CAR,
                                .by_itself = true};
  return part_of_block(&evaluator, block);
}
