// SPDX-License-Identifier: GPL-3.0-or-later
// What operators do to values, and when two values are equal.
#include "room.h"

#include <math.h>
#include <string.h>

// ---------------------------------------------------------------- equality

/// Equal up to what adding and converting may cost.
static bool near(double a, double b) {
  const double size = fmax(fabs(a), fabs(b));
  return a == b || fabs(a - b) <= 1e-9 * size || (isnan(a) && isnan(b));
}

static bool ports_equal(const struct pl_ports *a, const struct pl_ports *b) {
  return a->count == b->count && near(a->cap_diameter, b->cap_diameter) &&
         near(a->shaft_diameter, b->shaft_diameter) && near(a->tolerance, b->tolerance) &&
         a->one_way == b->one_way && near(a->opens_at, b->opens_at);
}

static bool part_equal(const struct pl_part *a, const struct pl_part *b) {
  if (a == b) return true;
  if (a->kind != b->kind || strcmp(a->name, b->name) != 0) return false;
  if (a->share_count != b->share_count) return false;
  for (size_t i = 0; i < a->share_count; i++) {
    if (!near(a->shares[i].share, b->shares[i].share) ||
        !part_equal(a->shares[i].part, b->shares[i].part))
      return false;
  }
  enum pl_setting first;
  size_t count;
  settings_of_kind(a->kind, &first, &count);
  if (a->settings == NULL || b->settings == NULL) return a->settings == b->settings;
  for (size_t i = 0; i < count; i++) {
    if (!pl_value_equal(&a->settings[i].value, &b->settings[i].value)) return false;
  }
  return true;
}

static bool many_equal(const struct pl_value *a, const struct pl_value *b) {
  if (a->count != b->count) return false;
  for (size_t i = 0; i < a->count; i++) {
    switch (a->kind) {
    case PL_VALUE_PORTS:
      if (!ports_equal(&a->many.ports[i], &b->many.ports[i])) return false;
      break;
    case PL_VALUE_VISCOSITY:
      if (!near(a->many.viscosity[i].viscosity, b->many.viscosity[i].viscosity) ||
          !near(a->many.viscosity[i].tolerance, b->many.viscosity[i].tolerance) ||
          !near(a->many.viscosity[i].temperature, b->many.viscosity[i].temperature))
        return false;
      break;
    case PL_VALUE_HOLES:
      if (a->many.holes[i].number != b->many.holes[i].number ||
          !near(a->many.holes[i].x, b->many.holes[i].x) ||
          !near(a->many.holes[i].y, b->many.holes[i].y) ||
          !near(a->many.holes[i].z, b->many.holes[i].z))
        return false;
      break;
    default:
      if (!pl_value_equal(&a->many.items[i], &b->many.items[i])) return false;
      break;
    }
  }
  return true;
}

bool pl_value_equal(const struct pl_value *a, const struct pl_value *b) {
  if (a->kind != b->kind) return false;
  switch (a->kind) {
  case PL_VALUE_NONE: return true;
  case PL_VALUE_NUMBER:
    return near(a->number, b->number) && near(a->tolerance, b->tolerance) &&
           pl_dimension_equal(a->dimension, b->dimension);
  case PL_VALUE_TRUTH: return a->number == b->number;
  case PL_VALUE_TEXT: return strcmp(a->text, b->text) == 0;
  case PL_VALUE_COILS: return near(a->number, b->number) && near(a->x, b->x);
  case PL_VALUE_POINT: return near(a->x, b->x) && near(a->y, b->y) && near(a->z, b->z);
  case PL_VALUE_PART: return part_equal(a->part, b->part);
  default: return many_equal(a, b);
  }
}

// ---------------------------------------------------------------- operators

struct pl_value report_misfit(struct evaluator *evaluator, enum pl_code code,
                              const struct pl_node *node, const struct pl_value *left,
                              const struct pl_node *left_node, const struct pl_value *right,
                              const struct pl_node *right_node) {
  pl_report(evaluator->problems, code, node->span,
            PL_WORDS(node_text_shown(evaluator, left_node), value_words(evaluator->arena, left),
                     node_text_shown(evaluator, right_node),
                     value_words(evaluator->arena, right)));
  return value_none();
}

/// Sets of ports side by side in one piston.
static struct pl_value join_ports(struct evaluator *evaluator, const struct pl_node *node,
                                  const struct pl_value *left, const struct pl_value *right) {
  if (left->count + right->count > PL_MOST_PORT_SETS) {
    pl_report(evaluator->problems, PL_PORT_SETS_TOO_MANY, node->span,
              PL_WORDS(pl_format(evaluator->arena, "%d", PL_MOST_PORT_SETS)));
    return value_none();
  }
  struct pl_ports *const ports =
      pl_alloc_array(evaluator->arena, left->count + right->count, sizeof *ports);
  memcpy(ports, left->many.ports, left->count * sizeof *ports);
  memcpy(ports + left->count, right->many.ports, right->count * sizeof *ports);
  return (struct pl_value){
      .kind = PL_VALUE_PORTS, .count = left->count + right->count, .many.ports = ports};
}

static bool both_numbers(const struct pl_value *left, const struct pl_value *right) {
  return left->kind == PL_VALUE_NUMBER && right->kind == PL_VALUE_NUMBER;
}

struct pl_value finite_number(struct evaluator *evaluator, const struct pl_node *node,
                              double number, struct pl_dimension dimension) {
  if (isfinite(number)) return value_number(number, dimension);
  pl_report(evaluator->problems, PL_NUMBER_TOO_LARGE, node->span,
            PL_WORDS(node_text_shown(evaluator, node)));
  return value_none();
}

/// Points on a temperature scale take differences, and their difference is one.
static bool temperatures_fit(enum pl_operator action, const struct pl_value *left,
                             const struct pl_value *right) {
  if (action == PL_PLUS) return !(left->absolute && right->absolute);
  return left->absolute || !right->absolute;
}

static struct pl_value add(struct evaluator *evaluator, enum pl_operator action,
                           const struct pl_node *node, const struct pl_value *left,
                           const struct pl_node *left_node, const struct pl_value *right,
                           const struct pl_node *right_node) {
  if (action == PL_PLUS && left->kind == PL_VALUE_PORTS && right->kind == PL_VALUE_PORTS)
    return join_ports(evaluator, node, left, right);
  if (!both_numbers(left, right) || !pl_dimension_equal(left->dimension, right->dimension))
    return report_misfit(evaluator, PL_CANNOT_ADD, node, left, left_node, right, right_node);
  if (!temperatures_fit(action, left, right))
    return report_misfit(evaluator,
                         action == PL_PLUS ? PL_CANNOT_ADD_TEMPERATURES
                                           : PL_TEMPERATURE_OFF_DIFFERENCE,
                         node, left, left_node, right, right_node);
  const double sign = action == PL_PLUS ? 1 : -1;
  struct pl_value sum =
      finite_number(evaluator, node, left->number + sign * right->number, left->dimension);
  sum.absolute = left->absolute != right->absolute;
  take_tolerance(evaluator, &sum, left, 1, right, sign);
  return sum;
}

static struct pl_value multiply(struct evaluator *evaluator, enum pl_operator action,
                                const struct pl_node *node, const struct pl_value *left,
                                const struct pl_node *left_node, const struct pl_value *right,
                                const struct pl_node *right_node) {
  if (!both_numbers(left, right) || left->absolute || right->absolute)
    return report_misfit(evaluator, PL_CANNOT_MULTIPLY, node, left, left_node, right,
                         right_node);
  bool overflow = false;
  if (action == PL_DIVIDE && right->number == 0) {
    pl_report(evaluator->problems, PL_DIVIDED_BY_ZERO, right_node->span,
              PL_WORDS(node_text_shown(evaluator, right_node)));
    return value_none();
  }
  struct pl_dimension other = right->dimension;
  if (action == PL_DIVIDE) other = pl_dimension_power(other, -1, &overflow);
  const struct pl_dimension dimension =
      pl_dimension_multiply(left->dimension, other, &overflow);
  const double number =
      action == PL_TIMES ? left->number * right->number : left->number / right->number;
  if (overflow) return finite_number(evaluator, node, INFINITY, dimension);
  struct pl_value product = finite_number(evaluator, node, number, dimension);
  if (action == PL_TIMES)
    take_tolerance(evaluator, &product, left, right->number, right, left->number);
  else
    take_tolerance(evaluator, &product, left, 1 / right->number, right,
                   -number / right->number);
  return product;
}

static struct pl_value raise_power(struct evaluator *evaluator, const struct pl_node *node,
                                   const struct pl_value *left, const struct pl_node *left_node,
                                   const struct pl_value *right,
                                   const struct pl_node *right_node) {
  const bool plain = both_numbers(left, right) && !left->absolute &&
                     pl_dimension_equal(right->dimension, PL_DIMENSIONLESS);
  const bool whole =
      plain && right->number == floor(right->number) && fabs(right->number) <= 20;
  if (!plain || (!whole && !pl_dimension_equal(left->dimension, PL_DIMENSIONLESS)))
    return report_misfit(evaluator, PL_CANNOT_RAISE, node, left, left_node, right, right_node);
  bool overflow = false;
  const struct pl_dimension dimension =
      whole ? pl_dimension_power(left->dimension, (int)right->number, &overflow)
            : PL_DIMENSIONLESS;
  if (left->number == 0 && right->number < 0) {
    pl_report(evaluator->problems, PL_DIVIDED_BY_ZERO, left_node->span,
              PL_WORDS(node_text_shown(evaluator, left_node)));
    return value_none();
  }
  if (left->number < 0 && right->number != floor(right->number)) {
    pl_report(evaluator->problems, PL_POWER_OF_NEGATIVE, node->span,
              PL_WORDS(node_text_shown(evaluator, left_node),
                       node_text_shown(evaluator, right_node)));
    return value_none();
  }
  const double number = overflow ? INFINITY : pow(left->number, right->number);
  struct pl_value power = finite_number(evaluator, node, number, dimension);
  const double by_exponent = left->number > 0 ? number * log(left->number) : 0;
  take_tolerance(evaluator, &power, left, right->number * pow(left->number, right->number - 1),
                 right, by_exponent);
  return power;
}

static bool holds(enum pl_operator action, double left, double right) {
  switch (action) {
  case PL_LESS: return left < right;
  case PL_LESS_EQUAL: return left <= right;
  case PL_EQUAL: return left == right;
  case PL_NOT_EQUAL: return left != right;
  case PL_GREATER_EQUAL: return left >= right;
  default: return left > right;
  }
}

static struct pl_value compare(struct evaluator *evaluator, enum pl_operator action,
                               const struct pl_node *node, const struct pl_value *left,
                               const struct pl_node *left_node, const struct pl_value *right,
                               const struct pl_node *right_node) {
  if (both_numbers(left, right) && pl_dimension_equal(left->dimension, right->dimension)) {
    // Values that differ by rounding alone count as equal.
    if (near(left->number, right->number))
      return value_truth(action == PL_EQUAL || action == PL_LESS_EQUAL ||
                         action == PL_GREATER_EQUAL);
    return value_truth(holds(action, left->number, right->number));
  }
  const bool equality = action == PL_EQUAL || action == PL_NOT_EQUAL;
  if (equality && left->kind == right->kind && left->kind != PL_VALUE_NUMBER)
    return value_truth(pl_value_equal(left, right) == (action == PL_EQUAL));
  return report_misfit(evaluator, PL_CANNOT_COMPARE, node, left, left_node, right, right_node);
}

/// The node of a list's item or a range's end; of one that came by a name, the name.
static const struct pl_node *node_within(const struct pl_node *node, size_t which) {
  if (node->kind != PL_NODE_LIST && node->kind != PL_NODE_RANGE) return node;
  const struct pl_node *child = node->children;
  while (which-- > 0 && child != NULL) child = child->next;
  return child == NULL ? node : child;
}

static struct pl_value is_in(struct evaluator *evaluator, const struct pl_node *node,
                             const struct pl_value *left, const struct pl_node *left_node,
                             const struct pl_value *right, const struct pl_node *right_node) {
  if (right->kind == PL_VALUE_RANGE) {
    const struct pl_value *const least = &right->many.items[0];
    const struct pl_value *const greatest = &right->many.items[1];
    const struct pl_value above = compare(evaluator, PL_GREATER_EQUAL, node, left, left_node,
                                          least, node_within(right_node, 0));
    if (above.kind == PL_VALUE_NONE) return above;
    const struct pl_value below = compare(evaluator, PL_LESS_EQUAL, node, left, left_node,
                                          greatest, node_within(right_node, 1));
    if (below.kind == PL_VALUE_NONE) return below;
    return value_truth(above.number != 0 && below.number != 0);
  }
  if (right->kind != PL_VALUE_LIST) {
    pl_report(evaluator->problems, PL_IN_NEEDS_LIST, right_node->span,
              PL_WORDS(value_words(evaluator->arena, right)));
    return value_none();
  }
  bool found = false;
  for (size_t i = 0; i < right->count; i++) {
    const struct pl_value *const item = &right->many.items[i];
    const struct pl_node *const item_node = node_within(right_node, i);
    const struct pl_value one =
        item->kind == PL_VALUE_RANGE
            ? is_in(evaluator, node, left, left_node, item, item_node)
            : compare(evaluator, PL_EQUAL, node, left, left_node, item, item_node);
    if (one.kind == PL_VALUE_NONE) return one;
    if (one.number != 0) found = true;
  }
  return value_truth(found);
}

static struct pl_value join_truths(struct evaluator *evaluator, enum pl_operator action,
                                   const struct pl_value *left, const struct pl_node *left_node,
                                   const struct pl_value *right,
                                   const struct pl_node *right_node) {
  const bool left_fits = left->kind == PL_VALUE_TRUTH;
  if (!left_fits || right->kind != PL_VALUE_TRUTH) {
    const struct pl_node *const node = left_fits ? right_node : left_node;
    pl_report(evaluator->problems, PL_NEEDS_TRUTH, node->span,
              PL_WORDS(pl_operator_sign(action), node_text_shown(evaluator, node),
                       value_words(evaluator->arena, left_fits ? right : left)));
    return value_none();
  }
  const bool both = left->number != 0 && right->number != 0;
  const bool either = left->number != 0 || right->number != 0;
  return value_truth(action == PL_AND ? both : either);
}

struct pl_value combine(struct evaluator *evaluator, enum pl_operator action,
                        const struct pl_node *node, const struct pl_value *left,
                        const struct pl_node *left_node, const struct pl_value *right,
                        const struct pl_node *right_node) {
  switch (action) {
  case PL_PLUS:
  case PL_MINUS: return add(evaluator, action, node, left, left_node, right, right_node);
  case PL_TIMES:
  case PL_DIVIDE: return multiply(evaluator, action, node, left, left_node, right, right_node);
  case PL_POWER: return raise_power(evaluator, node, left, left_node, right, right_node);
  case PL_AND:
  case PL_OR: return join_truths(evaluator, action, left, left_node, right, right_node);
  case PL_IN: return is_in(evaluator, node, left, left_node, right, right_node);
  default: return compare(evaluator, action, node, left, left_node, right, right_node);
  }
}
