// SPDX-License-Identifier: GPL-3.0-or-later
// Force against deflection of any spring, as a piecewise linear curve: building and reading.
#include "numbers.h"
#include "pitleaf/physics.h"

// Marks a curve as not built, so that reading it gives NaN.
static bool fail(struct pl_spring_curve *curve) {
  curve->count = 0;
  curve->end_stiffness = NAN;
  curve->bind = NAN;
  return false;
}

static void begin(struct pl_spring_curve *curve) {
  curve->count = 1;
  curve->knots[0] = (struct pl_spring_knot){0.0, 0.0};
  curve->bind = INFINITY;
  curve->end_stiffness = NAN;
}

// Adds a knot; false if there is no room, or if it does not rise.
static bool append(struct pl_spring_curve *curve, double deflection, double force) {
  const struct pl_spring_knot last = curve->knots[curve->count - 1];
  if (curve->count == PL_SPRING_KNOTS || !isfinite(deflection) || !isfinite(force) ||
      !(deflection > last.deflection) || !(force > last.force))
    return false;
  curve->knots[curve->count++] = (struct pl_spring_knot){deflection, force};
  return true;
}

// Slope of the segment that ends at knot `index`, which is at least 1.
static double slope_before(const struct pl_spring_curve *curve, size_t index) {
  const struct pl_spring_knot from = curve->knots[index - 1];
  const struct pl_spring_knot to = curve->knots[index];
  return (to.force - from.force) / (to.deflection - from.deflection);
}

// Slope of the segment that begins at knot `index`.
static double slope_after(const struct pl_spring_curve *curve, size_t index) {
  return index + 1 < curve->count ? slope_before(curve, index + 1) : curve->end_stiffness;
}

// A spring that binds at its last knot keeps its last slope beyond it.
static void close_at_bind(struct pl_spring_curve *curve) {
  curve->bind = curve->knots[curve->count - 1].deflection;
  curve->end_stiffness = slope_before(curve, curve->count - 1);
}

bool pl_spring_curve_linear(double rate, double bind, struct pl_spring_curve *curve) {
  begin(curve);
  if (!pl_is_positive(rate)) return fail(curve);
  curve->end_stiffness = rate;
  if (isnan(bind) || bind == INFINITY) return true;
  if (!append(curve, bind, rate * bind)) return fail(curve);
  curve->bind = bind;
  return true;
}

// ------------------------------------------------------------------------------ groups of
// coils

static bool group_is_possible(const struct pl_spring_group *group) {
  return pl_is_positive(group->coils) && pl_is_positive(group->coil_rate) &&
         (isnan(group->gap) || group->gap >= 0.0);
}

// The force that closes the gaps of a group.
static double closing_force(const struct pl_spring_group *group) {
  return isnan(group->gap) ? INFINITY : group->gap * group->coil_rate;
}

// Deflection of all groups under a common force; a closed one has given its gaps.
static double groups_deflection(const struct pl_spring_group *groups, size_t count,
                                double force) {
  double deflection = 0.0;
  for (size_t i = 0; i < count; i++) {
    const bool closed = force >= closing_force(&groups[i]);
    deflection += groups[i].coils * (closed ? groups[i].gap : force / groups[i].coil_rate);
  }
  return deflection;
}

// Compliance of the groups that are still open above `force`.
static double groups_compliance(const struct pl_spring_group *groups, size_t count,
                                double force) {
  double compliance = 0.0;
  for (size_t i = 0; i < count; i++)
    if (closing_force(&groups[i]) > force) compliance += groups[i].coils / groups[i].coil_rate;
  return compliance;
}

bool pl_spring_curve_groups(const struct pl_spring_group *groups, size_t count,
                            struct pl_spring_curve *curve) {
  begin(curve);
  if (count >= PL_SPRING_KNOTS) return fail(curve);
  for (size_t i = 0; i < count; i++)
    if (!group_is_possible(&groups[i])) return fail(curve);

  for (double force = 0.0;;) {
    double next = INFINITY;
    for (size_t i = 0; i < count; i++) {
      const double closes = closing_force(&groups[i]);
      if (closes > force) next = fmin(next, closes);
    }
    if (isinf(next)) break;
    if (!append(curve, groups_deflection(groups, count, next), next)) return fail(curve);
    force = next;
  }

  const double compliance =
      groups_compliance(groups, count, curve->knots[curve->count - 1].force);
  if (compliance > 0.0) {
    curve->end_stiffness = 1.0 / compliance;
    return true;
  }
  if (curve->count == 1) return fail(curve); // no coil, or every gap is zero: a tube
  close_at_bind(curve);
  return true;
}

// ----------------------------------------------------------------------------------------
// table

bool pl_spring_curve_table(const struct pl_spring_knot *rows, size_t count,
                           struct pl_spring_curve *curve) {
  begin(curve);
  const bool has_origin = count > 0 && rows[0].deflection == 0.0 && rows[0].force == 0.0;
  for (size_t i = has_origin ? 1 : 0; i < count; i++)
    if (!append(curve, rows[i].deflection, rows[i].force)) return fail(curve);
  if (curve->count < 2) return fail(curve);
  curve->end_stiffness = slope_before(curve, curve->count - 1);
  return true;
}

// ---------------------------------------------------------------------------- stacked in
// series

// Force at which a part goes solid.
static double binding_force(const struct pl_spring_curve *part) {
  return isinf(part->bind) ? INFINITY : part->knots[part->count - 1].force;
}

static double stack_deflection(const struct pl_spring_curve *parts, size_t count,
                               double force) {
  double deflection = 0.0;
  for (size_t i = 0; i < count; i++)
    deflection += force >= binding_force(&parts[i]) ? parts[i].bind
                                                    : pl_spring_deflection(&parts[i], force);
  return deflection;
}

// The least force above `force` at which a part of the stack changes its stiffness.
static double next_stack_force(const struct pl_spring_curve *parts, size_t count,
                               double force) {
  double next = INFINITY;
  for (size_t i = 0; i < count; i++)
    for (size_t k = 0; k < parts[i].count; k++)
      if (parts[i].knots[k].force > force) next = fmin(next, parts[i].knots[k].force);
  return next;
}

bool pl_spring_curve_series(const struct pl_spring_curve *parts, size_t count,
                            struct pl_spring_curve *curve) {
  begin(curve);
  if (count == 0) return fail(curve);
  for (size_t i = 0; i < count; i++)
    if (parts[i].count == 0) return fail(curve);

  double force = 0.0;
  for (double next; isfinite(next = next_stack_force(parts, count, force)); force = next)
    if (!append(curve, stack_deflection(parts, count, next), next)) return fail(curve);

  double compliance = 0.0;
  for (size_t i = 0; i < count; i++)
    if (isinf(parts[i].bind)) compliance += 1.0 / parts[i].end_stiffness;
  if (compliance > 0.0)
    curve->end_stiffness = 1.0 / compliance;
  else
    close_at_bind(curve);
  return true;
}

// --------------------------------------------------------------------------------------
// reading

// The knot at or below a deflection of zero or more.
static size_t knot_below(const struct pl_spring_curve *curve, double deflection) {
  size_t index = 0;
  while (index + 1 < curve->count && curve->knots[index + 1].deflection <= deflection) index++;
  return index;
}

double pl_spring_force(const struct pl_spring_curve *curve, double deflection) {
  if (curve->count == 0 || isnan(deflection)) return NAN;
  if (deflection <= 0.0) return 0.0;
  const size_t index = knot_below(curve, deflection);
  const struct pl_spring_knot knot = curve->knots[index];
  return knot.force + slope_after(curve, index) * (deflection - knot.deflection);
}

double pl_spring_stiffness(const struct pl_spring_curve *curve, double deflection) {
  if (curve->count == 0 || isnan(deflection)) return NAN;
  if (deflection < 0.0) return 0.0;
  return slope_after(curve, knot_below(curve, deflection));
}

double pl_spring_energy(const struct pl_spring_curve *curve, double deflection) {
  if (curve->count == 0 || isnan(deflection)) return NAN;
  if (deflection <= 0.0) return 0.0;
  double energy = 0.0;
  const size_t last = knot_below(curve, deflection);
  for (size_t i = 0; i < last; i++) {
    const struct pl_spring_knot from = curve->knots[i];
    const struct pl_spring_knot to = curve->knots[i + 1];
    energy += 0.5 * (from.force + to.force) * (to.deflection - from.deflection);
  }
  const struct pl_spring_knot knot = curve->knots[last];
  return energy + 0.5 * (knot.force + pl_spring_force(curve, deflection)) *
                      (deflection - knot.deflection);
}

double pl_spring_deflection(const struct pl_spring_curve *curve, double force) {
  if (curve->count == 0 || !(force >= 0.0)) return NAN;
  size_t index = 0;
  while (index + 1 < curve->count && curve->knots[index + 1].force <= force) index++;
  const struct pl_spring_knot knot = curve->knots[index];
  return knot.deflection + (force - knot.force) / slope_after(curve, index);
}

double pl_spring_bind(const struct pl_spring_curve *curve) {
  return curve->count == 0 ? NAN : curve->bind;
}
