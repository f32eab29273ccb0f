// SPDX-License-Identifier: GPL-3.0-or-later
// Tests numbers on their way in and out: rounding, limits, locales.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "pitleaf/units.h"
#include "units/number.h"

#include <float.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static void assert_exactly(double value, double expected) {
  if (!(value == expected)) fail_msg("%.17g is not %.17g", value, expected);
}

// ---------------------------------------------------------------- numbers in

static double number(const char *text) {
  double value = -1;
  if (!pl_number_read(text, strlen(text), &value)) fail_msg("'%s' is no number", text);
  return value;
}

static void numbers_read(void **state) {
  (void)state;
  assert_exactly(number("0"), 0);
  assert_exactly(number("21"), 21);
  assert_exactly(number("0.62"), 0.62);
  assert_exactly(number("007.50"), 7.5);
  assert_exactly(number("1e3"), 1000);
  assert_exactly(number("1E+3"), 1000);
  assert_exactly(number("1.5e-3"), 1.5e-3);
  assert_exactly(number("0.000123"), 0.000123);
  assert_exactly(number("1.7976931348623157e308"), DBL_MAX);
  assert_exactly(number("2.2250738585072014e-308"), DBL_MIN);
  assert_exactly(number("5e-324"), DBL_TRUE_MIN);
  assert_exactly(number("1e-999"), 0);
  assert_exactly(number("0e999"), 0);
  assert_exactly(number("1e-99999999999999999999999"), 0);
  double value = 0;
  assert_true(pl_number_read("12345", 2, &value)); // the length alone ends it
  assert_exactly(value, 12);
  static const struct {
    const char *text;
    size_t length;
    double value;
  } cut[] = {{"12.5", 2, 12},  {"12e5", 2, 12},     {"12E5", 2, 12},   {"1.5e3", 3, 1.5},
             {"1.55", 3, 1.5}, {"1.5e35", 5, 1500}, {"1e-35", 4, 1e-3}};
  for (size_t i = 0; i < sizeof cut / sizeof cut[0]; i++) {
    assert_true(pl_number_read(cut[i].text, cut[i].length, &value));
    assert_exactly(value, cut[i].value);
  }
  assert_false(pl_number_read("1.5", 2, &value));
  assert_false(pl_number_read("1e5", 2, &value));
  assert_false(pl_number_read("1e+5", 3, &value));
}

static void numbers_refused(void **state) {
  (void)state;
  static const char *const cases[] = {
      "",
      ".",
      ".5",
      "5.",
      "1.e3",
      "1e",
      "1e+",
      "-1",
      "+1",
      " 1",
      "1 ",
      "1,5",
      "1.5.2",
      "0x10",
      "inf",
      "nan",
      "1e3x",
      "1_0",
      "1e999",
      "1e309",
      "1.7976931348623159e308",
      "1e99999999999999999999999",
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    double value = 42;
    if (pl_number_read(cases[i], strlen(cases[i]), &value)) fail_msg("'%s' passed", cases[i]);
    assert_exactly(value, 42);
  }
}

/// 1 + 2^-53 lies halfway between 1 and the next double: what follows the tie decides, however
/// far behind it stands.
static void numbers_round_exactly(void **state) {
  (void)state;
  const char tie[] = "1.00000000000000011102230246251565404236316680908203125";
  assert_exactly(number(tie), 1);
  assert_exactly(number("1.00000000000000011102230246251565404236316680908203126"),
                 1 + DBL_EPSILON);
  assert_exactly(number("1.00000000000000011102230246251565404236316680908203124"), 1);

  char text[3000];
  memset(text, '0', sizeof text);
  memcpy(text, tie, sizeof tie - 1);
  double value = 0;
  assert_true(pl_number_read(text, sizeof text, &value));
  assert_exactly(value, 1);
  text[sizeof text - 1] = '1';
  assert_true(pl_number_read(text, sizeof text, &value));
  assert_exactly(value, 1 + DBL_EPSILON);
}

/// Short decimals are put together from two exact doubles, longer ones are not: both as the C
/// library reads them.
static void numbers_as_the_library_reads_them(void **state) {
  (void)state;
  struct pl_chance chance = {19};
  for (int i = 0; i < 100000; i++) {
    char text[64];
    const int digits = 1 + (int)(pl_chance_bits(&chance) % 18);
    (void)snprintf(text, sizeof text, "%.*e", digits,
                   pl_chance_scale(&chance, 1e-26, 1e26) * (double)(i % 3 + 1));
    assert_exactly(number(text), strtod(text, NULL));
    (void)snprintf(text, sizeof text, "%.*f", digits % 7,
                   pl_chance_between(&chance, 0, i % 2 == 0 ? 10 : 1e9));
    assert_exactly(number(text), strtod(text, NULL));
  }
}

static void long_numbers(void **state) {
  (void)state;
  char text[5000];
  double value = 0;
  // 0.000…0001e4000 with the 1 in decimal place 4000, and 1000…000e-4000 with 4000 zeros.
  memset(text, '0', sizeof text);
  text[1] = '.';
  (void)snprintf(text + 2 + 3999, 7, "1e4000");
  assert_true(pl_number_read(text, 2 + 3999 + 6, &value));
  assert_exactly(value, 1);
  memset(text, '0', sizeof text);
  text[0] = '1';
  (void)snprintf(text + 4001, 7, "e-4000");
  assert_true(pl_number_read(text, 4001 + 6, &value));
  assert_exactly(value, 1);
  memset(text, '9', sizeof text);
  assert_false(pl_number_read(text, sizeof text, &value));
}

// ---------------------------------------------------------------- numbers out

static void assert_fixed(double value, int digits, const char *expected) {
  char text[32];
  assert_string_equal(pl_number_fixed(text, sizeof text, value, digits), expected);
}

static void numbers_fixed(void **state) {
  (void)state;
  assert_fixed(3, 2, "3.00");
  assert_fixed(-1.5, 1, "-1.5");
  assert_fixed(0.62, 0, "1");
  assert_fixed(9.996, 2, "10.00");
  assert_fixed(2.675, 2, "2.67"); // the double is below 2.675
  assert_fixed(0.125, 2, "0.12"); // a tie goes to the even digit
  assert_fixed(0.375, 2, "0.38");
  assert_fixed(-0.0, 0, "0");
  assert_fixed(-0.0, 2, "0.00");
  assert_fixed(-0.004, 2, "0.00");
  assert_fixed(-0.006, 2, "-0.01");
  assert_fixed(1.25, -3, "1");
  assert_fixed(0.1, 99, "0.10000000000000");
  assert_fixed(-999999999999999.0, 14, "-999999999999999.00000000000000");
  assert_fixed(999999999999999.9, 0, "1000000000000000");
  assert_fixed(1e15, 2, "1.00e+15");
  assert_fixed(1.01e15, 2, "1.01e+15");
  assert_fixed(0.1, 13, "0.1000000000000");
  assert_fixed(0.1, 15, "0.10000000000000");
  assert_fixed(1.25, -1, "1");
  assert_fixed(-DBL_MAX, 14, "-1.79769313486232e+308");
  assert_fixed((double)NAN, 2, "");
  assert_fixed((double)INFINITY, 2, "inf");
  assert_fixed(-(double)INFINITY, 2, "-inf");
}

static void numbers_that_do_not_fit(void **state) {
  (void)state;
  char text[8] = "abcdefg";
  assert_string_equal(pl_number_fixed(text, 4, 1.25, 2), "");
  assert_string_equal(pl_number_fixed(text, 5, 1.25, 2), "1.25");
  assert_string_equal(text + 5, "fg");
  assert_string_equal(pl_number_shortest(text, 4, 1.25, 17), "");
  assert_string_equal(pl_number_fixed(text, 1, 1.25, 2), "");
  memcpy(text, "abcdefg", sizeof text);
  assert_ptr_equal(pl_number_shortest(text, 0, 1.25, 17), text);
  assert_string_equal(text, "abcdefg");
}

static void assert_shortest(double value, int significant, const char *expected) {
  char text[32];
  assert_string_equal(pl_number_shortest(text, sizeof text, value, significant), expected);
}

static void numbers_shortest(void **state) {
  (void)state;
  assert_shortest(0.1, 17, "0.1");
  assert_shortest(1e-7, 17, "1e-07");
  assert_shortest(0.1 + 0.2, 17, "0.30000000000000004");
  assert_shortest(0.1 + 0.2, 15, "0.3");
  assert_shortest(0.0001, 17, "0.0001");
  assert_shortest(0.00012345678901234567, 17, "0.00012345678901234567");
  assert_shortest(0.00001234, 17, "1.234e-05");
  assert_shortest(1, 17, "1");
  assert_shortest(-12.5, 17, "-12.5");
  assert_shortest(100, 17, "100");
  assert_shortest(123456, 17, "123456");
  assert_shortest(123456, 4, "123500");
  assert_shortest(1.0 / 3, 3, "0.333");
  assert_shortest(1.0 / 3, 0, "0.3");
  assert_shortest(1.0 / 3, 99, "0.3333333333333333");
  assert_shortest(9.9996, 4, "10");
  assert_shortest(1e15, 17, "1000000000000000");
  assert_shortest(9007199254740993.0, 17, "9007199254740992");
  assert_shortest(1e16, 17, "1e+16");
  assert_shortest(1.5e300, 17, "1.5e+300");
  assert_shortest(DBL_TRUE_MIN, 17, "5e-324");
  assert_shortest(-DBL_MAX, 17, "-1.7976931348623157e+308");
  assert_shortest(-0.0, 17, "0");
  assert_shortest((double)NAN, 17, "");
  assert_shortest(-(double)INFINITY, 17, "-inf");
}

/// xorshift64 (Marsaglia 2003), so that every run tries the same numbers.
static uint64_t next_random(uint64_t *seed) {
  *seed ^= *seed << 13;
  *seed ^= *seed >> 7;
  *seed ^= *seed << 17;
  return *seed;
}

static void round_trip(void **state) {
  (void)state;
  uint64_t seed = UINT64_C(20260614);
  for (int i = 0; i < 10000; i++) {
    const uint64_t bits = next_random(&seed) >> 1; // the sign apart
    double value = 0;
    memcpy(&value, &bits, sizeof value);
    if (!isfinite(value)) continue;
    char text[32];
    assert_exactly(number(pl_number_shortest(text, sizeof text, value, 17)), value);
    assert_exactly(strtod(text, NULL), value); // the C library reads the same
  }
}

/// What a user writes with up to 15 digits comes back as it was written.
static void written_numbers_come_back(void **state) {
  (void)state;
  uint64_t seed = UINT64_C(7);
  for (int i = 0; i < 10000; i++) {
    const int places = (int)(next_random(&seed) % 6);
    const unsigned whole = (unsigned)(next_random(&seed) % 999) + 1; // no exponent is due
    const unsigned part = (unsigned)(next_random(&seed) % 1000000);
    char written[32];
    char text[32];
    (void)snprintf(written, sizeof written, "%u.%0*u7", whole, places + 6, part);
    assert_string_equal(pl_number_shortest(text, sizeof text, number(written), 17), written);
    assert_string_equal(pl_number_fixed(text, sizeof text, number(written), places + 7),
                        written);
  }
}

// ---------------------------------------------------------------- locales

static void radix_of_any_locale(void **state) {
  (void)state;
  char text[32];
  static const char *const cases[][2] = {
      {"3,14", "3.14"},      {"-0,5", "-0.5"},       {"1,5e-07", "1.5e-07"},
      {"3\u066b14", "3.14"}, {"2.5e+16", "2.5e+16"}, {"12", "12"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pl_point_for_radix(text, cases[i][0]);
    assert_string_equal(text, cases[i][1]);
  }
}

/// Skipped where no locale is named: tests/unit/locale_test.sh makes some and names each.
static void locale_with_a_comma(void **state) {
  (void)state;
  const char *const locale = getenv("PITLEAF_TEST_LOCALE");
  if (locale == NULL) skip();
  assert_non_null(setlocale(LC_ALL, locale));
  assert_int_equal(localeconv()->decimal_point[0], ',');

  char fixed[32];
  char shortest[32];
  (void)pl_number_fixed(fixed, sizeof fixed, 1.25, 3);
  (void)pl_number_shortest(shortest, sizeof shortest, 1.5e-7, 17);
  double value = 0;
  const bool read = pl_number_read("0.625", 5, &value);
  const bool kept = localeconv()->decimal_point[0] == ',';
  (void)setlocale(LC_ALL, "C");

  assert_string_equal(fixed, "1.250");
  assert_string_equal(shortest, "1.5e-07");
  assert_true(read);
  assert_exactly(value, 0.625);
  assert_true(kept);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(numbers_read),
      cmocka_unit_test(numbers_refused),
      cmocka_unit_test(numbers_round_exactly),
      cmocka_unit_test(numbers_as_the_library_reads_them),
      cmocka_unit_test(long_numbers),
      cmocka_unit_test(numbers_fixed),
      cmocka_unit_test(numbers_that_do_not_fit),
      cmocka_unit_test(numbers_shortest),
      cmocka_unit_test(round_trip),
      cmocka_unit_test(written_numbers_come_back),
      cmocka_unit_test(radix_of_any_locale),
      cmocka_unit_test(locale_with_a_comma),
  };
  return cmocka_run_group_tests_name("numbers", tests, NULL, NULL);
}
