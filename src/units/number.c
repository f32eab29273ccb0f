// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers on their way in and out, exactly rounded and with a point in every locale.
#include "number.h"
#include "pitleaf/units.h"

#include <errno.h>
#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// A number is rounded once, to 64 bits, or machines differ in the last digit.
#if FLT_EVAL_METHOD == 2
#error "This compiler computes in more than 64 bits; for 32-bit x86 add -msse2 -mfpmath=sse"
#endif

/// A number halfway between two doubles has at most 767 significant digits; of those that are
/// longer it matters only whether what follows is nothing or something.
enum { most_digits = 770 };

/// Room for any number that is printed here: 17 digits, or 15 before and 14 behind the point.
enum { text_size = 48 };

/// A decimal number: its digits as a whole number, times ten to the exponent.
struct decimal {
  size_t count;
  int64_t exponent;
  char digits[most_digits + 1];
};

static bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// ---------------------------------------------------------------- reading

/// Are the digits and the power of ten exact as doubles, so that one division or product rounds
/// but once? (Clinger, "How to read floating point numbers accurately", PLDI 1990: 15 digits,
/// and powers up to 22.)
static bool is_short(const struct decimal *decimal) {
  return decimal->count <= DBL_DIG && decimal->exponent >= -22 && decimal->exponent <= 22;
}

static double short_value(const struct decimal *decimal) {
  static const double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                  1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                  1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
  int64_t digits = 0;
  for (size_t i = 0; i < decimal->count; i++) digits = digits * 10 + (decimal->digits[i] - '0');
  return decimal->exponent < 0 ? (double)digits / powers[-decimal->exponent]
                               : (double)digits * powers[decimal->exponent];
}

/// Reads without a decimal point, which is the only part of a number that a locale changes.
static double decimal_value(const struct decimal *decimal) {
  if (decimal->count == 0) return 0;
  if (is_short(decimal)) return short_value(decimal);
  // Past these bounds a number is infinite or zero whatever its digits.
  const int64_t least = -400 - most_digits;
  const int64_t most = 400;
  int64_t exponent = decimal->exponent;
  if (exponent < least) exponent = least;
  if (exponent > most) exponent = most;
  char text[most_digits + 1 + sizeof "e-1170"];
  (void)snprintf(text, sizeof text, "%.*se%d", (int)decimal->count, decimal->digits,
                 (int)exponent);
  const int kept = errno; // a number too large or small is told by its value
  const double value = strtod(text, NULL);
  errno = kept;
  return value;
}

static void take_digit(struct decimal *decimal, char digit, bool behind_point) {
  if (decimal->count == 0 && digit == '0') {
    if (behind_point) decimal->exponent--;
    return;
  }
  if (decimal->count < most_digits) {
    decimal->digits[decimal->count++] = digit;
    if (behind_point) decimal->exponent--;
    return;
  }
  if (!behind_point) decimal->exponent++;
  if (digit != '0') decimal->digits[most_digits - 1] = '1'; // not exactly halfway
}

/// The digits of an exponent; far past any double it stops counting.
static int64_t read_exponent(const char *at, const char *end) {
  const int64_t enough = INT64_C(1000000000000000);
  int64_t exponent = 0;
  for (; at < end; at++)
    if (exponent < enough) exponent = exponent * 10 + (*at - '0');
  return exponent;
}

static const char *digits_end(const char *at, const char *end) {
  while (at < end && is_digit(*at)) at++;
  return at;
}

bool pl_number_read(const char *text, size_t length, double *value) {
  const char *const end = text + length;
  struct decimal decimal; // its digits are many, and none is looked at before it is taken
  decimal.count = 0;
  decimal.exponent = 0;
  const char *at = digits_end(text, end);
  if (at == text) return false;
  for (const char *digit = text; digit < at; digit++) take_digit(&decimal, *digit, false);

  if (at < end && *at == '.') {
    const char *const first = at + 1;
    at = digits_end(first, end);
    if (at == first) return false;
    for (const char *digit = first; digit < at; digit++) take_digit(&decimal, *digit, true);
  }
  if (at < end && (*at == 'e' || *at == 'E')) {
    const char *first = at + 1;
    const bool negative = first < end && *first == '-';
    if (first < end && (*first == '-' || *first == '+')) first++;
    at = digits_end(first, end);
    if (at == first) return false;
    const int64_t exponent = read_exponent(first, at);
    decimal.exponent += negative ? -exponent : exponent;
  }
  if (at != end) return false;

  const double read = decimal_value(&decimal);
  if (isinf(read)) return false;
  *value = read;
  return true;
}

// ---------------------------------------------------------------- writing

void pl_point_for_radix(char *out, const char *printed) {
  bool pointed = false;
  for (; *printed != '\0'; printed++) {
    if (is_digit(*printed) || *printed == '-' || *printed == '+' || *printed == 'e') {
      *out++ = *printed;
    } else if (!pointed) {
      *out++ = '.';
      pointed = true;
    }
  }
  *out = '\0';
}

/// Copies to the caller's memory: the whole number or, rather than a wrong one, nothing.
static char *give(char *out, size_t size, const char *text) {
  const size_t length = strlen(text);
  if (size > length)
    memcpy(out, text, length + 1);
  else if (size > 0)
    out[0] = '\0';
  return out;
}

/// The words for what is no finite number, or NULL.
static const char *not_finite(double value) {
  if (isnan(value)) return "";
  if (isinf(value)) return value < 0 ? "-inf" : "inf";
  return NULL;
}

char *pl_number_fixed(char *out, size_t size, double value, int digits) {
  const int most_places = 14;
  if (not_finite(value) != NULL) return give(out, size, not_finite(value));
  if (digits < 0) digits = 0;
  if (digits > most_places) digits = most_places;

  char printed[text_size];
  char text[text_size];
  (void)snprintf(printed, sizeof printed, fabs(value) < 1e15 ? "%.*f" : "%.*e", digits, value);
  pl_point_for_radix(text, printed);
  const bool all_zero = strspn(text, "-0.") == strlen(text);
  return give(out, size, all_zero && text[0] == '-' ? text + 1 : text);
}

/// The digits of a value above zero, rounded to `significant`, without the zeros at the end.
static struct decimal round_to(double value, int significant) {
  char printed[text_size];
  (void)snprintf(printed, sizeof printed, "%.*e", significant - 1, value);
  struct decimal decimal = {0};
  const char *at = printed;
  for (; *at != 'e'; at++)
    if (is_digit(*at)) decimal.digits[decimal.count++] = *at;
  const int64_t first = strtol(at + 1, NULL, 10);
  decimal.exponent = first - (int64_t)decimal.count + 1;
  while (decimal.count > 1 && decimal.digits[decimal.count - 1] == '0') {
    decimal.count--;
    decimal.exponent++;
  }
  return decimal;
}

/// Any decimal of 15 digits comes back from a double as it was, so fewer need not be tried;
/// below the smallest normal double that does not hold.
static struct decimal shortest(double value, int significant) {
  int digits = value < DBL_MIN ? 1 : DBL_DIG;
  if (digits > significant) digits = significant;
  for (;; digits++) {
    const struct decimal decimal = round_to(value, digits);
    if (digits == significant || decimal_value(&decimal) == value) return decimal;
  }
}

/// Writes a decimal: plain from 0.0001 to below 1e16, else with an exponent of two digits or
/// more.
static void write_decimal(char *out, size_t size, const struct decimal *decimal) {
  const int count = (int)decimal->count;
  const int first = (int)decimal->exponent + count - 1; // power of ten of the first digit
  const char *const digits = decimal->digits;
  if (first < -4 || first >= 16)
    (void)snprintf(out, size, "%c%s%.*se%+03d", digits[0], count > 1 ? "." : "", count - 1,
                   digits + 1, first);
  else if (first < 0)
    (void)snprintf(out, size, "0.%.*s%.*s", -first - 1, "000", count, digits);
  else if (count <= first + 1)
    (void)snprintf(out, size, "%.*s%.*s", count, digits, first + 1 - count, "000000000000000");
  else
    (void)snprintf(out, size, "%.*s.%.*s", first + 1, digits, count - first - 1,
                   digits + first + 1);
}

char *pl_number_shortest(char *out, size_t size, double value, int significant) {
  if (not_finite(value) != NULL) return give(out, size, not_finite(value));
  if (fpclassify(value) == FP_ZERO) return give(out, size, "0");
  if (significant < 1) significant = 1;
  if (significant > DBL_DECIMAL_DIG) significant = DBL_DECIMAL_DIG;

  char text[text_size] = "-";
  const struct decimal decimal = shortest(fabs(value), significant);
  write_decimal(text + 1, sizeof text - 1, &decimal);
  return give(out, size, value < 0 ? text : text + 1);
}
