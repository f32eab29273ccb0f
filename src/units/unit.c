// SPDX-License-Identifier: GPL-3.0-or-later
// Units: reading simple and compound ones by the table in units.def, and converting.
#include "pitleaf/base.h"
#include "pitleaf/units.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846

enum kind { KIND_UNIT, KIND_SCALE, KIND_WEIGHT };

/// A row of the table.
struct simple {
  const char *name;
  double numerator;
  double denominator;
  double zero;
  struct pl_dimension dimension;
  enum kind kind;
};

#define UNIT(name, numerator, denominator, m, kg, s, k, rad)                                   \
  {(name), (numerator), (denominator), 0, {m, kg, s, k, rad}, KIND_UNIT},
#define SCALE(name, numerator, denominator, zero)                                              \
  {(name), (numerator), (denominator), (zero), {0, 0, 0, 1, 0}, KIND_SCALE},
#define WEIGHT(name) {(name), 1, 1, 0, {0, 0, 0, 0, 0}, KIND_WEIGHT},
static const struct simple table[] = {
#include "units.def"
};
#undef UNIT
#undef SCALE
#undef WEIGHT

#define UNIT(name, numerator, denominator, m, kg, s, k, rad) (name),
#define SCALE(name, numerator, denominator, zero)            (name),
#define WEIGHT(name)                                         (name),
static const char *const names[] = {
#include "units.def"
};
#undef UNIT
#undef SCALE
#undef WEIGHT

const char *const *pl_unit_names(size_t *count) {
  *count = sizeof names / sizeof names[0];
  return names;
}

static const struct simple *find(const char *word, size_t length) {
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    if (strlen(table[i].name) == length && memcmp(table[i].name, word, length) == 0)
      return &table[i];
  return NULL;
}

// ---------------------------------------------------------------- the parts of a compound

/// One part of a compound: `mm^2` in `mm^2/s`.
struct part {
  const char *word;
  size_t word_length; ///< of `mm`
  size_t length;      ///< of `mm^2`
  int power;
  const struct simple *simple; ///< NULL if the word is no unit
};

static bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// The power of a superscript two or three, U+00B2 and U+00B3 in UTF-8; 0 if there is none.
static int superscript(const char *at, const char *end) {
  if (end - at < 2 || (unsigned char)at[0] != 0xc2) return 0;
  if ((unsigned char)at[1] == 0xb2) return 2;
  return (unsigned char)at[1] == 0xb3 ? 3 : 0;
}

/// The end of the word at `at`. As with names, a hyphen before a letter belongs to it, so that
/// `in-line` is not taken for inches.
static const char *word_end(const char *at, const char *end) {
  while (at < end) {
    const bool hyphen = *at == '-' && end - at > 1 && is_letter(at[1]);
    const bool beyond_ascii = (unsigned char)*at >= 0x80 && superscript(at, end) == 0;
    if (!is_letter(*at) && !is_digit(*at) && *at != '%' && *at != '_' && !hyphen &&
        !beyond_ascii)
      break;
    at++;
  }
  return at;
}

/// The power written at `at`, and its length; 1 and 0 if there is none that can be used.
static int read_power(const char *at, const char *end, size_t *length) {
  *length = 0;
  const int raised = superscript(at, end);
  if (raised != 0) {
    *length = 2;
    return raised;
  }
  if (at == end || *at != '^') return 1;
  const char *digit = at + 1;
  const bool negative = digit < end && *digit == '-';
  if (negative) digit++;
  if (digit == end || *digit < '1' || *digit > '0' + PL_MOST_UNIT_POWER) return 1;
  if (digit + 1 < end && is_digit(digit[1])) return 1;
  *length = (size_t)(digit + 1 - at);
  return negative ? '0' - *digit : *digit - '0';
}

static struct part read_part(const char *at, const char *end) {
  struct part part = {.word = at};
  part.word_length = (size_t)(word_end(at, end) - at);
  size_t power_length = 0;
  part.power = read_power(at + part.word_length, end, &power_length);
  part.length = part.word_length + power_length;
  part.simple = find(at, part.word_length);
  return part;
}

/// The length of `1/` or `/` at the start: a unit that has no numerator.
static size_t leading_stroke(const char *at, const char *end) {
  if (end - at >= 1 && at[0] == '/') return 1;
  return end - at >= 2 && at[0] == '1' && at[1] == '/' ? 2 : 0;
}

size_t pl_unit_prefix(const char *text, size_t length) {
  const char *const end = text + length;
  const char *at = text + leading_stroke(text, end);
  size_t known = 0;
  for (;;) {
    const struct part part = read_part(at, end);
    if (part.simple == NULL) return known;
    at += part.length;
    known = (size_t)(at - text);
    if (at == end || (*at != '.' && *at != '/')) return known;
    at++;
  }
}

// ---------------------------------------------------------------- reading

/// What is read so far of a compound, before numerator and denominator are divided.
struct compound {
  double numerator;
  double denominator;
  struct pl_dimension dimension;
};

/// False if the exponents or the factors leave all bounds.
static bool take_part(struct compound *compound, const struct part *part, bool divided) {
  const struct simple *const simple = part->simple;
  const int power = divided ? -part->power : part->power;
  const bool inverse = power < 0;
  for (int i = 0; i < (inverse ? -power : power); i++) {
    compound->numerator *= inverse ? simple->denominator : simple->numerator;
    compound->denominator *= inverse ? simple->numerator : simple->denominator;
  }
  bool overflow = false;
  const struct pl_dimension raised = pl_dimension_power(simple->dimension, power, &overflow);
  compound->dimension = pl_dimension_multiply(compound->dimension, raised, &overflow);
  return !overflow && isfinite(compound->numerator) && isfinite(compound->denominator);
}

/// `degC`, `degF` and `wt` have a meaning only where they stand alone.
static enum pl_unit_result read_alone(const struct simple *simple, bool alone,
                                      struct pl_unit *unit) {
  if (simple->kind == KIND_WEIGHT) return PL_UNIT_WEIGHT;
  if (!alone) return PL_UNIT_NOT_COMPOUND;
  *unit = (struct pl_unit){simple->numerator / simple->denominator, simple->zero,
                           simple->dimension, true};
  return PL_UNIT_OK;
}

static enum pl_unit_result fail(enum pl_unit_result result, const char *at, size_t at_length,
                                const char **bad, size_t *bad_length) {
  *bad = at;
  *bad_length = at_length;
  return result;
}

enum pl_unit_result pl_unit_read(const char *text, size_t length, struct pl_unit *unit,
                                 const char **bad, size_t *bad_length) {
  const char *const end = text + length;
  struct compound compound = {1, 1, PL_DIMENSIONLESS};
  *unit = (struct pl_unit){1, 0, PL_DIMENSIONLESS, false};
  if (length == 0) return PL_UNIT_OK;

  const char *at = text + leading_stroke(text, end);
  for (int parts = 1;; parts++) {
    const bool divided = at > text && at[-1] == '/';
    const struct part part = read_part(at, end);
    if (part.length == 0 && at > text) // nothing behind a point or a stroke
      return fail(PL_UNIT_UNKNOWN, at - 1, 1, bad, bad_length);
    if (part.simple == NULL) // of what begins with no word, all that is left
      return fail(PL_UNIT_UNKNOWN, at,
                  part.word_length > 0 ? part.word_length : (size_t)(end - at), bad,
                  bad_length);
    if (part.simple->kind != KIND_UNIT) {
      const enum pl_unit_result result =
          read_alone(part.simple, part.length == length && part.power == 1, unit);
      return result == PL_UNIT_OK ? result : fail(result, at, part.length, bad, bad_length);
    }
    if (parts > PL_MOST_UNIT_PARTS || !take_part(&compound, &part, divided))
      return fail(PL_UNIT_UNKNOWN, at, part.length, bad, bad_length);
    at += part.length;
    if (at == end) break;
    if (*at != '.' && *at != '/')
      return fail(PL_UNIT_UNKNOWN, part.word, (size_t)(end - part.word), bad, bad_length);
    at++;
  }
  unit->factor = compound.numerator / compound.denominator;
  unit->dimension = compound.dimension;
  return PL_UNIT_OK;
}

struct pl_unit pl_unit_named(const char *name) {
  struct pl_unit unit;
  const char *bad = NULL;
  size_t bad_length = 0;
  pl_unit_read(name, strlen(name), &unit, &bad, &bad_length);
  return unit;
}

bool pl_quantity_read(const char *text, double *number, struct pl_unit *unit) {
  const bool negative = text[0] == '-';
  const char *const digits = text + (negative ? 1 : 0);
  const size_t length = strspn(digits, "0123456789.");
  const char *const name = digits + length + strspn(digits + length, " ");
  const char *bad = NULL;
  size_t bad_length = 0;
  if (!pl_number_read(digits, length, number)) return false;
  if (negative) *number = -*number;
  return pl_unit_read(name, strlen(name), unit, &bad, &bad_length) == PL_UNIT_OK;
}

// ---------------------------------------------------------------- converting

double pl_to_si(double value, const struct pl_unit *unit) {
  return value * unit->factor + unit->offset;
}

double pl_from_si(double si, const struct pl_unit *unit) {
  return (si - unit->offset) / unit->factor;
}
