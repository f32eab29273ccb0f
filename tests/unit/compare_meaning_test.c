// SPDX-License-Identifier: GPL-3.0-or-later
// Whether two texts of a file come to the same values, which is asked before scopes are moved.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/compare.h"
#include "support.h"

#include <string.h>

static struct pl_source *source_of(struct pl_bench *bench, const char *text) {
  return pl_source_of_bytes(bench->arena, "s.leaf", (const unsigned char *)text, strlen(text));
}

static bool are_same(struct pl_bench *bench, const char *before, const char *after) {
  return pl_same_meaning(bench->session, bench->arena, source_of(bench, before),
                         source_of(bench, after), ".");
}

static const char whole[] = "setup \"s\" {\n"
                            "  front { preload = 2 mm }\n"
                            "  front-left { preload += 1 mm }\n"
                            "  extra { \"Wing\" = \"2 mm\" }\n"
                            "  rear { extra { \"Grease\" = \"thick\" } }\n"
                            "  ballast \"lead\" { mass = 20 g; at = (10 mm, 0 mm, 20 mm) }\n"
                            "}\n"
                            "car \"c\" { all { track = 212 mm } }\n";

/// The whole text with one piece of it in another form.
static const char *with(struct pl_bench *bench, const char *piece, const char *instead) {
  const char *const at = strstr(whole, piece);
  assert_non_null(at);
  return pl_format(bench->arena, "%.*s%s%s", (int)(at - whole), whole, instead,
                   at + strlen(piece));
}

static void the_same_in_another_form(struct pl_bench *bench) {
  assert_true(are_same(bench, whole, whole));
  assert_true(are_same(bench, whole, with(bench, "20 g;", "0.02 kg # of lead\n")));
  assert_true(
      are_same(bench, whole, with(bench, "2 mm }\n  front-left", "0.2 cm }\n  front-left")));
  assert_true(
      are_same(bench, whole, with(bench, "\"Wing\" = \"2 mm\"", "\"Wing\" = \"2 mm\";")));
}

static void each_difference_counts(struct pl_bench *bench) {
  static const char *const changes[][2] = {
      {"preload = 2 mm", "preload = 3 mm"},
      {"front { preload", "all { preload"},
      {"  front-left { preload += 1 mm }\n", ""},
      {"track = 212 mm", "track = 213 mm"},
      {"\"Wing\" = \"2 mm\"", "\"Wing\" = \"3 mm\""},
      {"\"Wing\" = \"2 mm\"", "\"Tail\" = \"2 mm\""},
      {"\"Wing\" = \"2 mm\"", "\"Wing\" = \"2 mm\"; \"Tail\" = \"2 mm\""},
      {"rear { extra", "front { extra"},
      {"rear { extra", "rear-left { extra"},
      {"\"thick\"", "\"thin\""},
      {"mass = 20 g", "mass = 21 g"},
      {"(10 mm,", "(11 mm,"},
      {"\"lead\"", "\"brass\""},
      {"  ballast \"lead\" { mass = 20 g; at = (10 mm, 0 mm, 20 mm) }\n", ""},
      {"setup \"s\"", "setup \"t\" { }\nsetup \"s\""},
      {"car \"c\" { all { track = 212 mm } }\n", ""},
  };
  for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
    const char *const other = with(bench, changes[i][0], changes[i][1]);
    if (are_same(bench, whole, other) || are_same(bench, other, whole))
      fail_msg("%s: the same as %s", changes[i][0], changes[i][1]);
  }
}

/// What has a mistake, or nothing that has values, is the same as nothing.
static void nothing_is_said_of_mistakes(struct pl_bench *bench) {
  const char *const wrong = with(bench, "2 mm }\n  front-left", "2 g }\n  front-left");
  assert_false(are_same(bench, wrong, wrong));
  assert_false(are_same(bench, whole, wrong));
  assert_false(are_same(bench, "oil \"o\" { viscosity = 300 cSt }\n",
                        "oil \"o\" { viscosity = 300 cSt }\n"));
  assert_false(are_same(bench, "", ""));
  // A warning that only one of them has.
  const char *const doubtful = "setup \"s\" { all { preload = 2 mm; camber = 80 deg } }\n";
  assert_true(are_same(bench, doubtful, doubtful));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(the_same_in_another_form),
      PL_BENCH_TEST(each_difference_counts),
      PL_BENCH_TEST(nothing_is_said_of_mistakes),
  };
  return cmocka_run_group_tests_name("meaning", tests, NULL, NULL);
}
