// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the units room: dimensions, and units that are read, refused and converted.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/units.h"

#include <float.h>
#include <limits.h>
#include <math.h>
#include <string.h>

static struct pl_unit read_unit(const char *text) {
  struct pl_unit unit;
  const char *bad = NULL;
  size_t bad_length = 0;
  if (pl_unit_read(text, strlen(text), &unit, &bad, &bad_length) != PL_UNIT_OK)
    fail_msg("'%s' is no unit: '%.*s'", text, (int)bad_length, bad);
  return unit;
}

static void assert_exactly(double value, double expected) {
  if (!(value == expected)) fail_msg("%.17g is not %.17g", value, expected);
}

static void assert_dimension(const char *text, struct pl_dimension expected) {
  if (!pl_dimension_equal(read_unit(text).dimension, expected))
    fail_msg("'%s' has another dimension", text);
}

// ---------------------------------------------------------------- dimensions

static void dimension_arithmetic(void **state) {
  (void)state;
  bool overflow = false;
  const struct pl_dimension speed = {1, 0, -1, 0, 0};
  const struct pl_dimension time = {0, 0, 1, 0, 0};
  assert_true(pl_dimension_equal(pl_dimension_multiply(speed, time, &overflow), PL_LENGTH));
  const struct pl_dimension squared = pl_dimension_power(speed, 2, &overflow);
  assert_true(pl_dimension_equal(squared, (struct pl_dimension){2, 0, -2, 0, 0}));
  const struct pl_dimension none = pl_dimension_power(speed, 0, &overflow);
  assert_true(pl_dimension_equal(none, PL_DIMENSIONLESS));
  assert_false(overflow);

  struct pl_dimension root = PL_DIMENSIONLESS;
  assert_true(pl_dimension_root(squared, &root));
  assert_true(pl_dimension_equal(root, speed));
  assert_false(pl_dimension_root(speed, &root));
  assert_true(pl_dimension_root(PL_DIMENSIONLESS, &root));
}

// Each exponent is reckoned by itself.
static void dimension_arithmetic_of_each_exponent(void **state) {
  (void)state;
  bool overflow = false;
  const struct pl_dimension one = {1, 2, -3, 4, -5};
  const struct pl_dimension other = {-2, 1, 5, 3, 4};
  const struct pl_dimension product = pl_dimension_multiply(one, other, &overflow);
  assert_true(pl_dimension_equal(product, (struct pl_dimension){-1, 3, 2, 7, -1}));
  const struct pl_dimension squared = pl_dimension_power(one, 2, &overflow);
  assert_true(pl_dimension_equal(squared, (struct pl_dimension){2, 4, -6, 8, -10}));
  const struct pl_dimension inverse = pl_dimension_power(one, -1, &overflow);
  assert_true(pl_dimension_equal(inverse, (struct pl_dimension){-1, -2, 3, -4, 5}));
  assert_false(overflow);
  struct pl_dimension root = PL_DIMENSIONLESS;
  assert_true(pl_dimension_root(squared, &root));
  assert_true(pl_dimension_equal(root, one));
}

static void dimension_differs_in_each_exponent(void **state) {
  (void)state;
  const struct pl_dimension all[] = {
      PL_LENGTH, PL_MASS, {0, 0, 1, 0, 0}, PL_TEMPERATURE, PL_ANGLE};
  for (size_t i = 0; i < 5; i++) {
    assert_false(pl_dimension_equal(all[i], PL_DIMENSIONLESS));
    struct pl_dimension root;
    assert_false(pl_dimension_root(all[i], &root));
    for (size_t j = 0; j < 5; j++) assert_int_equal(pl_dimension_equal(all[i], all[j]), i == j);
  }
}

static void dimension_overflow(void **state) {
  (void)state;
  bool overflow = false;
  (void)pl_dimension_power(PL_LENGTH, 20, &overflow);
  (void)pl_dimension_power(PL_LENGTH, -20, &overflow);
  (void)pl_dimension_power(PL_DIMENSIONLESS, INT_MAX, &overflow);
  assert_false(overflow);
  const int too_large[] = {21, -21, 256, INT_MAX, INT_MIN};
  for (size_t i = 0; i < sizeof too_large / sizeof too_large[0]; i++) {
    overflow = false;
    (void)pl_dimension_power(PL_ANGLE, too_large[i], &overflow);
    assert_true(overflow);
  }
  // What leaves the bounds stays at them.
  assert_int_equal(pl_dimension_power(PL_ANGLE, 21, &overflow).angle, 20);
  assert_int_equal(pl_dimension_power(PL_ANGLE, -21, &overflow).angle, -20);
  const struct pl_dimension two = {2, -2, 0, 0, 0};
  assert_int_equal(pl_dimension_power(two, INT_MAX, &overflow).length, 20);
  assert_int_equal(pl_dimension_power(two, INT_MAX, &overflow).mass, -20);
  assert_int_equal(pl_dimension_power(two, INT_MIN, &overflow).length, -20);
  overflow = false;
  const struct pl_dimension edge = {20, 0, 0, 0, 0};
  (void)pl_dimension_multiply(edge, PL_MASS, &overflow);
  assert_false(overflow);
  (void)pl_dimension_multiply(edge, PL_LENGTH, &overflow);
  assert_true(overflow);
}

static void dimension_words(void **state) {
  (void)state;
  static const char *const cases[][2] = {
      {"", "a plain number"},
      {"%", "a plain number"},
      {"mm", "a length"},
      {"mm^2", "an area"},
      {"cc", "a volume"},
      {"oz", "a mass"},
      {"ms", "a time"},
      {"degC", "a temperature"},
      {"deg", "an angle"},
      {"km/h", "a speed"},
      {"m/s^2", "an acceleration"},
      {"gf", "a force"},
      {"gf/mm", "a spring rate"},
      {"N.s/m", "a damping rate"},
      {"N.mm", "a torque"},
      {"W", "a power"},
      {"g.mm^2", "a moment of inertia"},
      {"psi", "a pressure"},
      {"g/cc", "a density"},
      {"cSt", "a kinematic viscosity"},
      {"mPa.s", "a dynamic viscosity"},
      {"ml/s", "a flow"},
      {"Hz", "a frequency"},
      {"1/K", "a thermal expansion"},
      {"deg/mm", "an angle per length"},
      {"deg/s", "an angular speed"},
      {"rpm", "an angular speed"},
      {"N.mm/deg", "a roll rate"},
      {"N^2", "a quantity in kg^2.m^2/s^4"},
      {"1/mm", "a quantity in 1/m"},
      {"m.K.rad", "a quantity in m.K.rad"},
      {"1/kg/K^2", "a quantity in 1/kg/K^2"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    char space[64];
    assert_string_equal(
        pl_dimension_words(read_unit(cases[i][0]).dimension, space, sizeof space), cases[i][1]);
  }
}

static void dimension_words_stay_in_their_space(void **state) {
  (void)state;
  const struct pl_dimension longest = {-128, -128, -128, -128, -128};
  char space[64];
  assert_string_equal(pl_dimension_words(longest, space, sizeof space),
                      "a quantity in 1/kg^128/m^128/s^128/K^128/rad^128");
  char small[8] = "1234567";
  assert_string_equal(pl_dimension_words(longest, small, 4), "a q");
  assert_string_equal(small + 4, "567");
  assert_string_equal(pl_dimension_words(longest, small, 0), "");
}

// ---------------------------------------------------------------- units that are read

struct factor {
  const char *unit;
  double factor;
};

static void simple_units(void **state) {
  (void)state;
  static const struct factor cases[] = {
      {"mm", 1e-3},   {"cm", 1e-2}, {"m", 1},      {"km", 1e3},       {"um", 1e-6},
      {"ft", 0.3048}, {"l", 1e-3},  {"ml", 1e-6},  {"cc", 1e-6},      {"mg", 1e-6},
      {"g", 1e-3},    {"kg", 1},    {"s", 1},      {"ms", 1e-3},      {"min", 60},
      {"h", 3600},    {"Hz", 1},    {"N", 1},      {"mN", 1e-3},      {"kN", 1e3},
      {"J", 1},       {"W", 1},     {"Pa", 1},     {"mPa", 1e-3},     {"kPa", 1e3},
      {"MPa", 1e6},   {"GPa", 1e9}, {"bar", 1e5},  {"mbar", 100},     {"P", 0.1},
      {"cP", 1e-3},   {"St", 1e-4}, {"cSt", 1e-6}, {"rad", 1},        {"%", 0.01},
      {"K", 1},       {"", 1},      {"/s", 1},     {"\u00b5m", 1e-6}, {"\u03bcm", 1e-6},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_unit unit = read_unit(cases[i].unit);
    assert_exactly(unit.factor, cases[i].factor);
    assert_exactly(unit.offset, 0);
    assert_false(unit.absolute);
  }
}

/// Correctly rounded: the literal and the unit are the same double.
static void compound_units(void **state) {
  (void)state;
  static const struct factor cases[] = {
      {"mm^2", 1e-6},       {"mm^3", 1e-9},
      {"mm\u00b2", 1e-6},   {"mm\u00b3", 1e-9},
      {"mm^2/s", 1e-6},     {"N/mm", 1e3},
      {"N.s/m", 1},         {"N.s/mm", 1e3},
      {"N.mm", 1e-3},       {"kN/m", 1e3},
      {"Pa.s", 1},          {"mPa.s", 1e-3},
      {"1/K", 1},           {"/K", 1},
      {"%/K", 0.01},        {"1/mm", 1e3},
      {"mm^-1", 1e3},       {"1/mm^-1", 1e-3},
      {"/mm/mm", 1e6},      {"m/s/s", 1},
      {"m/s.s", 1},         {"g/cm^3", 1e3},
      {"gf/mm", 9.80665},   {"kgf/cm\u00b2", 98066.5},
      {"km/h", 1e3 / 3600}, {"mm/min", 1e-3 / 60},
      {"s^-1", 1},          {"g.mm^2", 1e-9},
      {"mm^1", 1e-3},       {"cm^-1", 100},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    assert_exactly(read_unit(cases[i].unit).factor, cases[i].factor);
}

static void compound_dimensions(void **state) {
  (void)state;
  assert_dimension("m/s/s", (struct pl_dimension){1, 0, -2, 0, 0});
  assert_dimension("m/s.s", (struct pl_dimension){1, 0, 0, 0, 0}); // the stroke takes one part
  assert_dimension("1/K", (struct pl_dimension){0, 0, 0, -1, 0});
  assert_dimension("/K", (struct pl_dimension){0, 0, 0, -1, 0});
  assert_dimension("s^-1", (struct pl_dimension){0, 0, -1, 0, 0});
  assert_dimension("1/s^-1", (struct pl_dimension){0, 0, 1, 0, 0});
  assert_dimension("N.m/rad", (struct pl_dimension){2, 1, -2, 0, -1});
  assert_dimension("psi", read_unit("lbf/in^2").dimension);
  assert_dimension("cSt", read_unit("mm^2/s").dimension);
  assert_dimension("P", read_unit("g/cm/s").dimension);
  assert_dimension("J", read_unit("N.m").dimension);
  assert_dimension("W", read_unit("J/s").dimension);
  assert_dimension("l", read_unit("m^3").dimension);
  assert_dimension("mph", read_unit("km/h").dimension);
}

static void same_unit_by_two_ways(void **state) {
  (void)state;
  static const char *const cases[][2] = {
      {"psi", "lbf/in^2"}, {"cSt", "mm^2/s"},  {"cP", "mPa.s"},
      {"cc", "cm^3"},      {"ml", "cm\u00b3"}, {"rpm", "turn/min"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const double a = read_unit(cases[i][0]).factor;
    const double b = read_unit(cases[i][1]).factor;
    if (fabs(a - b) > 4 * DBL_EPSILON * b) fail_msg("%s is not %s", cases[i][0], cases[i][1]);
  }
}

static void temperatures(void **state) {
  (void)state;
  static const struct {
    const char *unit;
    double value;
    double kelvin;
  } cases[] = {
      {"degC", 18, 291.15},   {"degC", -273.15, 0},  {"\u00b0C", 25, 298.15},
      {"degF", 64.4, 291.15}, {"degF", 32, 273.15},  {"\u00b0F", -459.67, 0},
      {"degF", 212, 373.15},  {"degF", -40, 233.15}, {"K", 291.15, 291.15},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_unit unit = read_unit(cases[i].unit);
    if (fabs(pl_to_si(cases[i].value, &unit) - cases[i].kelvin) > 1e-12 * 300)
      fail_msg("%g %s is %.17g K", cases[i].value, unit.absolute ? "" : "K",
               pl_to_si(cases[i].value, &unit));
    assert_true(fabs(pl_from_si(cases[i].kelvin, &unit) - cases[i].value) <= 1e-12 * 300);
    assert_int_equal(unit.absolute, strcmp(cases[i].unit, "K") != 0);
  }
}

static void conversion_goes_back(void **state) {
  (void)state;
  size_t count = 0;
  const char *const *const names = pl_unit_names(&count);
  for (size_t i = 0; i < count; i++) {
    if (strcmp(names[i], "wt") == 0) continue;
    const struct pl_unit unit = read_unit(names[i]);
    assert_true(unit.factor > 0);
    const double back = pl_from_si(pl_to_si(12.5, &unit), &unit);
    assert_true(fabs(back - 12.5) < 1e-12 * 300);
  }
}

static void names_are_distinct(void **state) {
  (void)state;
  size_t count = 0;
  const char *const *const names = pl_unit_names(&count);
  assert_true(count > 40);
  for (size_t i = 0; i < count; i++) {
    assert_int_equal(pl_unit_prefix(names[i], strlen(names[i])), strlen(names[i]));
    for (size_t j = 0; j < i; j++) assert_string_not_equal(names[i], names[j]);
  }
}

// ---------------------------------------------------------------- units that are not

static void assert_refused(const char *text, enum pl_unit_result expected, const char *part) {
  struct pl_unit unit;
  const char *bad = NULL;
  size_t bad_length = 0;
  const enum pl_unit_result result = pl_unit_read(text, strlen(text), &unit, &bad, &bad_length);
  if (result != expected) fail_msg("'%s' gives %d", text, (int)result);
  assert_non_null(bad);
  assert_true(bad >= text && bad + bad_length <= text + strlen(text));
  if (bad_length != strlen(part) || memcmp(bad, part, bad_length) != 0)
    fail_msg("of '%s' the bad part is '%.*s'", text, (int)bad_length, bad);
  assert_exactly(unit.factor, 1);
  assert_true(pl_dimension_equal(unit.dimension, PL_DIMENSIONLESS));
}

static void unknown_parts(void **state) {
  (void)state;
  static const char *const cases[][2] = {
      {"furlong", "furlong"},
      {"N/furlong", "furlong"},
      {"mn/m", "mn"},
      {"N.zz/m", "zz"},
      {"mm2", "mm2"},
      {"N/mm2.s", "mm2"},
      {"MM", "MM"},
      {"mm^0", "mm^0"},
      {"mm^10", "mm^10"},
      {"mm^x", "mm^x"},
      {"mm^", "mm^"},
      {"N/mm^99", "mm^99"},
      {"mm\u00b2\u00b2", "mm\u00b2\u00b2"},
      {"mm^2^2", "mm^2^2"},
      {"N/", "/"},
      {"N.", "."},
      {"N//m", "/"},
      {"/", "/"},
      {"1/", "/"},
      {"1", "1"},
      {"2/K", "2"},
      {"mm m", "mm m"},
      {" mm", " mm"},
      {"in-line", "in-line"},
      {"\u00b0X", "\u00b0X"},
      {"%%", "%%"},
      {"mm\u00e9", "mm\u00e9"},
      {"Nm", "Nm"},
      {"/^2", "^2"},
      {"m/\u00b2s", "\u00b2s"},
      {"m.(s", "."},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    assert_refused(cases[i][0], PL_UNIT_UNKNOWN, cases[i][1]);
}

static void weights_and_scales_stand_alone(void **state) {
  (void)state;
  assert_refused("wt", PL_UNIT_WEIGHT, "wt");
  assert_refused("wt/mm", PL_UNIT_WEIGHT, "wt");
  assert_refused("degC/mm", PL_UNIT_NOT_COMPOUND, "degC");
  assert_refused("mm/degF", PL_UNIT_NOT_COMPOUND, "degF");
  assert_refused("1/degC", PL_UNIT_NOT_COMPOUND, "degC");
  assert_refused("/\u00b0C", PL_UNIT_NOT_COMPOUND, "\u00b0C");
  assert_refused("degC^2", PL_UNIT_NOT_COMPOUND, "degC^2");
  assert_refused("degC^-1", PL_UNIT_NOT_COMPOUND, "degC^-1");
}

static void limits_of_compounds(void **state) {
  (void)state;
  (void)read_unit("%.%.%.%.%.%.%.%");
  assert_refused("%.%.%.%.%.%.%.%.K", PL_UNIT_UNKNOWN, "K");
  (void)read_unit("m^9.m^9.m^2");
  assert_refused("m^9.m^9.m^3", PL_UNIT_UNKNOWN, "m^3");
  // The exponents cancel, but the factor would leave a double.
  assert_refused("ozf^9/N^9.ozf^9/N^9.ozf^9/N^9", PL_UNIT_UNKNOWN, "ozf^9");
  assert_refused("GPa^9/Pa^9.GPa^9/Pa^9.GPa^9/Pa^9.GPa^9", PL_UNIT_UNKNOWN, "GPa^9");
  assert_refused("Pa^9/GPa^9.Pa^9/GPa^9.Pa^9/GPa^9.Pa^9/GPa^9", PL_UNIT_UNKNOWN, "GPa^9");
}

static void prefixes(void **state) {
  (void)state;
  static const struct {
    const char *text;
    size_t length;
  } cases[] = {
      {"mm", 2},
      {"mm/house", 2},
      {"N/mm", 4},
      {"N.s/m", 5},
      {"mm^2/s", 6},
      {"mm^2", 4},
      {"mm^x", 2},
      {"mm^99", 2},
      {"mm)", 2},
      {"mm, 3", 2},
      {"mm .. 3", 2},
      {"mm..3 mm", 2},
      {"mm.", 2},
      {"N/m/", 3},
      {"house", 0},
      {"mmx", 0},
      {"mm2", 0},
      {"in-line", 0},
      {"in - 2", 2},
      {"in -x", 2},
      {"", 0},
      {"1/K", 3},
      {"/K", 2},
      {"1/house", 0},
      {"/house", 0},
      {"1", 0},
      {"10/K", 0},
      {"%", 1},
      {"%)", 1},
      {"wt", 2},
      {"degC", 4},
      {"degC/mm", 7},
      {"mm\u00b2/s", 6},
      {"\u00b5m", 3},
      {"mm\u00b2\u00b2", 4},
      {"mm # note", 2},
      {"mm\u00e9", 0},
      {"mm;", 2},
      {"mm + 1 mm", 2},
      {"mm*2", 2},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const size_t length = pl_unit_prefix(cases[i].text, strlen(cases[i].text));
    if (length != cases[i].length)
      fail_msg("of '%s' %zu bytes are a unit", cases[i].text, length);
  }
}

// No byte past the length is looked at, wherever it cuts.
static void prefixes_of_what_is_cut_off(void **state) {
  (void)state;
  static const struct {
    const char *text;
    size_t given;
    size_t length;
  } cases[] = {
      {"mm/s", 3, 2},    {"mm/s", 2, 2},     {"mm.s", 3, 2},    {"mm^2", 2, 2},
      {"mm^2", 3, 2},    {"mm^-2", 4, 2},    {"mm^-2", 5, 5},   {"mm^22", 4, 4},
      {"mm^22", 5, 2},   {"mm\u00b2", 3, 0}, {"in-line", 2, 2}, {"in-line", 3, 2},
      {"in-line", 4, 0}, {"1/K", 1, 0},      {"1/K", 2, 0},     {"/K", 0, 0},
      {"/K", 1, 0},      {"mm", 1, 1},       {"mm", 0, 0},      {"\u00b5m", 1, 0},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const size_t length = pl_unit_prefix(cases[i].text, cases[i].given);
    if (length != cases[i].length)
      fail_msg("of %zu bytes of '%s' %zu are a unit", cases[i].given, cases[i].text, length);
  }
}

// The first and the last letter and digit belong to a word, and so does all beyond ASCII; their
// neighbours in the code end it.
static void where_a_word_ends(void **state) {
  (void)state;
  static const char going_on[] = "azAZ09_%\x80\xff";
  static const char ending[] = "`{@[/:^-.\x7f\x01 ";
  for (const char *at = going_on; *at != '\0'; at++) {
    const char text[] = {'m', *at};
    if (pl_unit_prefix(text, 2) == 1) fail_msg("0x%02x ends a word", (unsigned char)*at);
  }
  for (const char *at = ending; *at != '\0'; at++) {
    const char text[] = {'m', *at};
    if (pl_unit_prefix(text, 2) != 1) fail_msg("0x%02x ends no word", (unsigned char)*at);
  }
  static const char letters[] = "azAZ";
  for (const char *at = letters; *at != '\0'; at++) {
    const char text[] = {'i', 'n', '-', *at};
    assert_int_equal(pl_unit_prefix(text, 4), 0);
  }
  static const char others[] = "09`{@[%";
  for (const char *at = others; *at != '\0'; at++) {
    const char text[] = {'i', 'n', '-', *at};
    assert_int_equal(pl_unit_prefix(text, 4), 2);
  }
  // A power is one digit from 1 to 9.
  static const char powers[] = "123456789";
  for (const char *at = powers; *at != '\0'; at++) {
    const char text[] = {'m', '^', *at};
    assert_int_equal(pl_unit_prefix(text, 3), 3);
  }
  assert_int_equal(pl_unit_prefix("m^0", 3), 1);
  assert_int_equal(pl_unit_prefix("m^:", 3), 1);
  assert_int_equal(pl_unit_prefix("m^/", 3), 1);
  // Superscript two and three, and their neighbours.
  assert_int_equal(pl_unit_prefix("m\u00b2", 3), 3);
  assert_int_equal(pl_unit_prefix("m\u00b3", 3), 3);
  assert_int_equal(pl_unit_prefix("m\u00b1", 3), 0);
  assert_int_equal(pl_unit_prefix("m\u00b4", 3), 0);
  assert_int_equal(pl_unit_prefix("m\u00f2", 3), 0);
}

// A table's unit by its name; what is none is the plain number.
static void quantities(void **state) {
  static const struct {
    const char *text;
    double si;
  } right[] = {{"0.02 mm", 0.02e-3}, {"9mm", 9e-3}, {"-5 degC", 268.15}, {"12", 12}};
  static const char *const wrong[] = {"",      "mm",        "-",      "--5 mm",  "1.2.3 mm",
                                      "5 mmm", "5 mm 6 mm", "5 mm, ", "1e3 mm ", "5 30 wt"};
  struct pl_unit unit;
  double number = 0;
  for (size_t i = 0; i < sizeof right / sizeof right[0]; i++) {
    assert_true(pl_quantity_read(right[i].text, &number, &unit));
    assert_true(fabs(pl_to_si(number, &unit) - right[i].si) < 1e-12);
  }
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
    if (pl_quantity_read(wrong[i], &number, &unit)) fail_msg("'%s' is read", wrong[i]);
  }
  (void)state;
}

static void units_by_name(void **state) {
  (void)state;
  assert_true(pl_unit_named("mm").factor == 1e-3);
  assert_true(pl_unit_named("1/mm").factor == 1e3);
  assert_true(pl_unit_named("degC").offset == 273.15); // SI Brochure, 9th ed., section 2.3.1
  assert_true(pl_unit_named("degC").absolute);
  static const char *const plain[] = {"", "furlong", "N/"};
  for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
    const struct pl_unit unit = pl_unit_named(plain[i]);
    assert_true(unit.factor == 1 && unit.offset == 0 && !unit.absolute);
    assert_true(pl_dimension_equal(unit.dimension, PL_DIMENSIONLESS));
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(dimension_arithmetic),
      cmocka_unit_test(dimension_arithmetic_of_each_exponent),
      cmocka_unit_test(dimension_differs_in_each_exponent),
      cmocka_unit_test(dimension_overflow),
      cmocka_unit_test(dimension_words),
      cmocka_unit_test(dimension_words_stay_in_their_space),
      cmocka_unit_test(simple_units),
      cmocka_unit_test(compound_units),
      cmocka_unit_test(quantities),
      cmocka_unit_test(units_by_name),
      cmocka_unit_test(compound_dimensions),
      cmocka_unit_test(same_unit_by_two_ways),
      cmocka_unit_test(temperatures),
      cmocka_unit_test(conversion_goes_back),
      cmocka_unit_test(names_are_distinct),
      cmocka_unit_test(unknown_parts),
      cmocka_unit_test(weights_and_scales_stand_alone),
      cmocka_unit_test(limits_of_compounds),
      cmocka_unit_test(prefixes),
      cmocka_unit_test(prefixes_of_what_is_cut_off),
      cmocka_unit_test(where_a_word_ends),
  };
  return cmocka_run_group_tests_name("units", tests, NULL, NULL);
}
