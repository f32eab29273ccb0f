// SPDX-License-Identifier: GPL-3.0-or-later
// units: dimensions, the unit table, and numbers on their way in and out.
// Inside the program every number is in SI units (metre, kilogram, second, kelvin, radian).
#ifndef PITLEAF_UNITS_H
#define PITLEAF_UNITS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/// Exponents of the base quantities. The angle counts as one, so that degrees never pass for a
/// plain number.
struct pl_dimension {
  int8_t length;
  int8_t mass;
  int8_t time;
  int8_t temperature;
  int8_t angle;
};

#define PL_DIMENSIONLESS ((struct pl_dimension){0, 0, 0, 0, 0})
#define PL_LENGTH        ((struct pl_dimension){1, 0, 0, 0, 0})
#define PL_MASS          ((struct pl_dimension){0, 1, 0, 0, 0})
#define PL_TEMPERATURE   ((struct pl_dimension){0, 0, 0, 1, 0})
#define PL_ANGLE         ((struct pl_dimension){0, 0, 0, 0, 1})

bool pl_dimension_equal(struct pl_dimension a, struct pl_dimension b);
/// Sum of exponents: the dimension of a product. `*overflow` is set when one leaves -20..20,
/// and never cleared; the exponent then stays at that bound.
struct pl_dimension pl_dimension_multiply(struct pl_dimension a, struct pl_dimension b,
                                          bool *overflow);
/// The dimension to a whole power.
struct pl_dimension pl_dimension_power(struct pl_dimension a, int power, bool *overflow);
/// False when an exponent is odd, so that there is no square root.
bool pl_dimension_root(struct pl_dimension a, struct pl_dimension *root);

/// The quantity in the user's words ("a length", "a spring rate", "a temperature", "a plain
/// number"), with the article; for a dimension that has no name, a text made of SI units
/// ("a quantity in kg.m^2/s"), written into `space` (at least 64 bytes) when needed.
const char *pl_dimension_words(struct pl_dimension dimension, char *space, size_t size);

/// A unit, simple or compound: SI value = value * factor + offset.
struct pl_unit {
  double factor;
  double offset; ///< not zero for degC and degF alone
  struct pl_dimension dimension;
  bool absolute; ///< degC and degF: a point on a scale and not a difference
};

enum pl_unit_result {
  PL_UNIT_OK,
  PL_UNIT_UNKNOWN,     ///< a part of it is no unit; see `*bad` and `*bad_length`
  PL_UNIT_WEIGHT,      ///< `wt`: only an oil scale says what it means
  PL_UNIT_NOT_COMPOUND ///< degC or degF inside a product
};

/// Reads a unit such as `N/mm`, `mm^2/s`, `N.s/m`, `1/K`, `/K`, `µm` (U+00B5 or U+03BC), `°C`.
/// Division applies to the one part behind the stroke. Factors are exact by definition
/// (SI Brochure; NIST SP 811). The empty text is the plain number. A power is a whole number
/// from -9 to 9 but not 0 (`mm^3`, `s^-1`, `mm²`); there are at most 8 parts. Unless it returns
/// PL_UNIT_OK, `*bad` points at the part that failed, within `text`, and `*unit` is the plain
/// number.
enum pl_unit_result pl_unit_read(const char *text, size_t length, struct pl_unit *unit,
                                 const char **bad, size_t *bad_length);

/// The unit of that name, of a table's row or of the program's own; the empty name, and what is
/// no unit, is the plain number.
struct pl_unit pl_unit_named(const char *name);

/// The length of the longest start of `text` that is a unit, stopping before a `.`, `/` that
/// does not lead to a known unit; 0 if none. A word counts as a whole: `in-line` is not inches.
size_t pl_unit_prefix(const char *text, size_t length);

/// All names of simple units, for "did you mean" and completion; `*count` gets their number.
const char *const *pl_unit_names(size_t *count);

/// Value in SI of `value` in `unit`, and back.
double pl_to_si(double value, const struct pl_unit *unit);
double pl_from_si(double si, const struct pl_unit *unit);

/// Reads a number `[0-9]+(.[0-9]+)?([eE][+-]?[0-9]+)?` exactly rounded, whatever the locale.
/// Returns false, and leaves `*value` alone, when it overflows or is no such number.
bool pl_number_read(const char *text, size_t length, double *value);

/// Reads a number and its unit as they stand behind an option: "0.02 mm", "-5 degC", "9mm". One
/// without a unit has the plain number's. Returns false where it is neither.
bool pl_quantity_read(const char *text, double *number, struct pl_unit *unit);

/// Writes `value` with `digits` decimal places, a point and never a locale's comma, "-0" as
/// "0". Returns `out`. NaN prints as "", the infinite as "inf" and "-inf". Rounds as IEEE 754
/// does: the exact value of the double to the nearest, ties to even. `digits` is cut to 0..14.
/// `size` of 32 is enough; values from 1e15 on are printed with an exponent. What does not fit
/// prints as "".
char *pl_number_fixed(char *out, size_t size, double value, int digits);

/// Writes the shortest decimal text that reads back as the same double ("0.1", "1e-07"), but
/// with at most `significant` significant digits (17 = exact). Plain from 0.0001 to below 1e16,
/// else with an exponent; NaN, the infinite, -0 and `size` as above. A few powers of two get
/// one digit more than they need.
char *pl_number_shortest(char *out, size_t size, double value, int significant);

#endif
