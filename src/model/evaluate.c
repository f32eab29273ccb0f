// SPDX-License-Identifier: GPL-3.0-or-later
// Expressions: from nodes to values, with dimensions checked at every step.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- making values

struct pl_value value_none(void) {
  return (struct pl_value){.kind = PL_VALUE_NONE};
}

struct pl_value value_number(double number, struct pl_dimension dimension) {
  return (struct pl_value){.kind = PL_VALUE_NUMBER, .number = number, .dimension = dimension};
}

struct pl_value value_text(const char *text) {
  return (struct pl_value){.kind = PL_VALUE_TEXT, .text = text};
}

struct pl_value value_truth(bool truth) {
  return (struct pl_value){.kind = PL_VALUE_TRUTH, .number = truth ? 1 : 0};
}

const char *node_text_shown(struct evaluator *evaluator, const struct pl_node *node) {
  return pl_span_shown(evaluator->arena, node->span);
}

const char *key_text_shown(struct evaluator *evaluator, const struct pl_node *property) {
  const struct pl_node key = pl_key_node(property);
  return node_text_shown(evaluator, &key);
}

const char *value_words(struct pl_arena *arena, const struct pl_value *value) {
  switch (value->kind) {
  case PL_VALUE_NONE: return "nothing";
  case PL_VALUE_NUMBER: {
    char *const space = pl_alloc(arena, 80);
    return pl_dimension_words(value->dimension, space, 80);
  }
  case PL_VALUE_TRUTH: return "a yes or no";
  case PL_VALUE_TEXT: return "a text";
  case PL_VALUE_POINT: return "a point";
  case PL_VALUE_PORTS: return "a set of ports";
  case PL_VALUE_VISCOSITY: return "a viscosity at a temperature";
  case PL_VALUE_COILS: return "a group of coils";
  case PL_VALUE_LIST: return "a list";
  case PL_VALUE_ROW: return "several values side by side";
  case PL_VALUE_RANGE: return "a range";
  case PL_VALUE_HOLES: return "a set of holes";
  case PL_VALUE_PART: return kind_words(arena, value->part->kind);
  }
  return "";
}

// ---------------------------------------------------------------- literals

static struct pl_value evaluate_number(struct evaluator *evaluator,
                                       const struct pl_node *node) {
  if (node->is_weight) return viscosity_of_weight(evaluator, node->number, node);
  struct pl_value value = value_number(node->number, PL_DIMENSIONLESS);
  if (node->unit == NULL) return value;
  value.number = pl_to_si(node->number, node->unit);
  value.dimension = node->unit->dimension;
  value.absolute = node->unit->absolute;
  if (!isfinite(value.number)) {
    pl_report(evaluator->problems, PL_NUMBER_TOO_LARGE, node->span,
              PL_WORDS(node_text_shown(evaluator, node)));
    return value_none();
  }
  if (value.absolute && value.number < 0) {
    pl_report(evaluator->problems, PL_BELOW_ZERO_KELVIN, node->span,
              PL_WORDS(node_text_shown(evaluator, node)));
    return value_none();
  }
  return value;
}

/// Is that day in the calendar?
static bool is_date(const char *text) {
  static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  const int year =
      (text[0] - '0') * 1000 + (text[1] - '0') * 100 + (text[2] - '0') * 10 + text[3] - '0';
  const int month = (text[5] - '0') * 10 + text[6] - '0';
  const int day = (text[8] - '0') * 10 + text[9] - '0';
  if (month < 1 || month > 12 || day < 1) return false;
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  return day <= days[month - 1] + (month == 2 && leap ? 1 : 0);
}

/// A number of the wanted dimension among the children of a node; NaN after a report.
static double child_number_within(struct evaluator *evaluator, const struct pl_node *node,
                                  struct pl_dimension wanted, const char *what,
                                  double *tolerance) {
  const struct pl_value value = evaluate(evaluator, node);
  *tolerance = value.tolerance;
  if (value.kind == PL_VALUE_NONE) return NAN;
  if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, wanted))
    return value.number;
  pl_report(
      evaluator->problems, PL_WRONG_PART, node->span,
      PL_WORDS(what, node_text_shown(evaluator, node), value_words(evaluator->arena, &value)));
  return NAN;
}

/// The same where nothing shows its tolerance.
static double child_number(struct evaluator *evaluator, const struct pl_node *node,
                           struct pl_dimension wanted, const char *what) {
  double tolerance = 0;
  return child_number_within(evaluator, node, wanted, what, &tolerance);
}

static struct pl_value evaluate_group(struct evaluator *evaluator, const struct pl_node *node) {
  size_t count = 0;
  for (const struct pl_node *child = node->children; child != NULL; child = child->next)
    count++;
  if (count == 1) return evaluate(evaluator, node->children);
  if (count > 3) {
    pl_report(evaluator->problems, PL_POINT_SIZE, node->span, PL_NO_WORDS);
    return value_none();
  }
  double numbers[3] = {0, 0, 0};
  size_t at = count == 2 ? 1 : 0;
  for (const struct pl_node *child = node->children; child != NULL; child = child->next) {
    const double number =
        child_number(evaluator, child, PL_LENGTH, "A coordinate of a point is a length");
    if (isnan(number)) return value_none();
    numbers[at++] = number;
  }
  return (struct pl_value){.kind = PL_VALUE_POINT,
                           .x = numbers[0],
                           .y = numbers[1],
                           .z = numbers[2],
                           .has_x = count == 3,
                           .dimension = PL_LENGTH};
}

// ---------------------------------------------------------------- the trade's own values

static struct pl_value value_of_ports(struct evaluator *evaluator, struct pl_ports ports) {
  struct pl_ports *const one = pl_alloc(evaluator->arena, sizeof *one);
  *one = ports;
  return (struct pl_value){.kind = PL_VALUE_PORTS, .count = 1, .many.ports = one};
}

static struct pl_value evaluate_ports(struct evaluator *evaluator, const struct pl_node *node) {
  const struct pl_node *const count_node = node->children;
  const struct pl_node *const first = count_node->next;
  const double count = child_number(evaluator, count_node, PL_DIMENSIONLESS,
                                    "The number of ports is a plain number");
  const char *const what = "A port's diameter is a length";
  const double cap = child_number(evaluator, first, PL_LENGTH, what);
  double shaft = cap;
  if (first->next != NULL) shaft = child_number(evaluator, first->next, PL_LENGTH, what);
  if (isnan(count) || isnan(cap) || isnan(shaft)) return value_none();
  if (count != floor(count) || count < 1 || count > 64) {
    pl_report(evaluator->problems, PL_PORT_COUNT, count_node->span,
              PL_WORDS(node_text_shown(evaluator, count_node)));
    return value_none();
  }
  if (cap <= 0 || shaft <= 0) {
    const struct pl_node *const wrong = cap > 0 && first->next != NULL ? first->next : first;
    pl_report(evaluator->problems, PL_PORT_DIAMETER, wrong->span,
              PL_WORDS(node_text_shown(evaluator, wrong)));
    return value_none();
  }
  return value_of_ports(
      evaluator,
      (struct pl_ports){.count = count, .cap_diameter = cap, .shaft_diameter = shaft});
}

static struct pl_value evaluate_one_way(struct evaluator *evaluator,
                                        const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node->children);
  if (value.kind != PL_VALUE_PORTS) return value_none();
  struct pl_ports ports = value.many.ports[0];
  if (strcmp(node->name, "compression") == 0) {
    ports.one_way = PL_ONE_WAY_COMPRESSION;
  } else if (strcmp(node->name, "rebound") == 0) {
    ports.one_way = PL_ONE_WAY_REBOUND;
  } else {
    static const char *const ways[] = {"compression", "rebound"};
    pl_report(evaluator->problems, PL_ONE_WAY_WORD, pl_name_span(node),
              PL_WORDS(node->name, pl_nearest(node->name, ways, 2)));
    return value_none();
  }
  if (node->children->next != NULL) {
    const struct pl_dimension pressure = {.length = -1, .mass = 1, .time = -2};
    ports.opens_at = child_number(evaluator, node->children->next, pressure,
                                  "After `opens-at` comes a pressure");
    if (isnan(ports.opens_at)) return value_none();
  }
  return value_of_ports(evaluator, ports);
}

static struct pl_value evaluate_at(struct evaluator *evaluator, const struct pl_node *node) {
  const struct pl_dimension kinematic = {.length = 2, .time = -1};
  double tolerance = 0;
  const double viscosity =
      child_number_within(evaluator, node->children, kinematic,
                          "Before `at` stands a viscosity in cSt", &tolerance);
  const double temperature = child_number(evaluator, node->children->next, PL_TEMPERATURE,
                                          "After `at` comes a temperature");
  if (isnan(viscosity) || isnan(temperature)) return value_none();
  if (viscosity <= 0) {
    pl_report(evaluator->problems, PL_NOT_POSITIVE, node->children->span,
              PL_WORDS("A viscosity", node_text_shown(evaluator, node->children)));
    return value_none();
  }
  struct pl_viscosity_point *const point = pl_alloc(evaluator->arena, sizeof *point);
  *point = (struct pl_viscosity_point){viscosity, temperature, tolerance};
  return (struct pl_value){.kind = PL_VALUE_VISCOSITY, .count = 1, .many.viscosity = point};
}

static struct pl_value evaluate_coils(struct evaluator *evaluator, const struct pl_node *node) {
  const double count = child_number(evaluator, node->children, PL_DIMENSIONLESS,
                                    "The number of coils is a plain number");
  const double gap = child_number(evaluator, node->children->next, PL_LENGTH,
                                  "The gap between turns is a length");
  if (isnan(count) || isnan(gap)) return value_none();
  if (count <= 0) {
    pl_report(evaluator->problems, PL_NOT_POSITIVE, node->children->span,
              PL_WORDS("A number of coils", node_text_shown(evaluator, node->children)));
    return value_none();
  }
  if (gap < 0) {
    const struct pl_value shown = value_number(gap, PL_LENGTH);
    pl_report(evaluator->problems, PL_IMPOSSIBLE, node->children->next->span,
              PL_WORDS("gap", pl_value_text(evaluator->arena, &shown)));
    return value_none();
  }
  return (struct pl_value){.kind = PL_VALUE_COILS, .number = count, .x = gap};
}

// ---------------------------------------------------------------- operations

static struct pl_value evaluate_not(struct evaluator *evaluator, const struct pl_node *node) {
  const struct pl_value value = evaluate(evaluator, node->children);
  if (value.kind == PL_VALUE_TRUTH) return value_truth(value.number == 0);
  if (value.kind != PL_VALUE_NONE)
    pl_report(evaluator->problems, PL_NEEDS_TRUTH, node->children->span,
              PL_WORDS("not", node_text_shown(evaluator, node->children),
                       value_words(evaluator->arena, &value)));
  return value_none();
}

static struct pl_value evaluate_negation(struct evaluator *evaluator,
                                         const struct pl_node *node) {
  struct pl_value value = evaluate(evaluator, node->children);
  if (value.kind == PL_VALUE_NUMBER && !value.absolute) {
    take_tolerance(evaluator, &value, &value, -1, NULL, 0);
    value.number = -value.number;
    return value;
  }
  if (value.kind != PL_VALUE_NONE)
    pl_report(evaluator->problems, PL_CANNOT_NEGATE, node->span,
              PL_WORDS(value_words(evaluator->arena, &value)));
  return value_none();
}

static struct pl_value evaluate_binary(struct evaluator *evaluator,
                                       const struct pl_node *node) {
  const struct pl_node *const left_node = node->children;
  const struct pl_node *const right_node = left_node->next;
  const struct pl_value left = evaluate(evaluator, left_node);
  const struct pl_value right = evaluate(evaluator, right_node);
  if (left.kind == PL_VALUE_NONE || right.kind == PL_VALUE_NONE) return value_none();
  return combine(evaluator, node->action, node, &left, left_node, &right, right_node);
}

static struct pl_value evaluate_node(struct evaluator *evaluator, const struct pl_node *node) {
  switch (node->kind) {
  case PL_NODE_NUMBER: return evaluate_number(evaluator, node);
  case PL_NODE_TEXT: return value_text(node->name);
  case PL_NODE_DATE:
    if (is_date(node->name)) return value_text(node->name);
    pl_report(evaluator->problems, PL_NO_SUCH_DAY, node->span, PL_WORDS(node->name));
    return value_none();
  case PL_NODE_NAME: return evaluate_name(evaluator, node);
  case PL_NODE_NEGATION: return evaluate_negation(evaluator, node);
  case PL_NODE_NOT: return evaluate_not(evaluator, node);
  case PL_NODE_BINARY: return evaluate_binary(evaluator, node);
  case PL_NODE_CALL: return call_function(evaluator, node);
  case PL_NODE_LIST: return evaluate_list(evaluator, node, PL_VALUE_LIST);
  case PL_NODE_ROW: return evaluate_list(evaluator, node, PL_VALUE_ROW);
  case PL_NODE_GROUP: return evaluate_group(evaluator, node);
  case PL_NODE_RANGE: return evaluate_range(evaluator, node);
  case PL_NODE_TOLERANCE: return evaluate_tolerance(evaluator, node);
  case PL_NODE_PORTS: return evaluate_ports(evaluator, node);
  case PL_NODE_ONE_WAY: return evaluate_one_way(evaluator, node);
  case PL_NODE_AT: return evaluate_at(evaluator, node);
  case PL_NODE_COILS: return evaluate_coils(evaluator, node);
  default: return value_none(); // reported where it was read
  }
}

struct pl_value evaluate(struct evaluator *evaluator, const struct pl_node *node) {
  struct pl_program *const program = evaluator->program;
  if (program->depth >= PL_MOST_EVALUATIONS) {
    pl_report(evaluator->problems, PL_NESTED_TOO_DEEP, node->span,
              PL_WORDS(pl_format(evaluator->arena, "%d", PL_MOST_EVALUATIONS)));
    return value_none();
  }
  program->depth++;
  const struct pl_value value = evaluate_node(evaluator, node);
  program->depth--;
  return value;
}

struct pl_value pl_evaluate(struct pl_program *program, const struct pl_node *expression,
                            const struct pl_name_lookup *look_up) {
  struct evaluator evaluator = {.program = program,
                                .arena = program->arena,
                                .problems = program->problems,
                                .place = PL_CAR,
                                .look_up = look_up};
  return evaluate(&evaluator, expression);
}
