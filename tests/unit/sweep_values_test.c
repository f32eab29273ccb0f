// SPDX-License-Identifier: GPL-3.0-or-later
// Tests how the settings and values of a sweep are read.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "near.h"
#include "pitleaf/sweep.h"
#include "support.h"

#include <math.h>
#include <string.h>

/// What is read, or what is wrong, as one text.
static const char *read_text(struct pl_bench *bench, const char *text) {
  struct pl_sweep sweep;
  const char *const why =
      pl_sweep_read(bench->arena, pl_session_names(bench->session), text, &sweep);
  if (why != NULL) return why;
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t i = 0; i < sweep.setting_count; i++) {
    const struct pl_sweep_setting *const setting = &sweep.settings[i];
    pl_buffer_format(&out, "%s%s|%s|%s:", i == 0 ? "" : " ; ", setting->scope, setting->key,
                     setting->is_number ? setting->unit : "names");
    for (size_t j = 0; j < setting->count; j++) {
      const struct pl_sweep_value *const value = &setting->values[j];
      pl_buffer_format(&out, " %s=%s", value->shown, value->written);
      assert_true(isnan(value->number) != setting->is_number);
    }
  }
  return pl_buffer_string(&out);
}

#define assert_read(text, wanted) assert_string_equal(read_text(bench, text), wanted)
/// The message begins so.
#define assert_refused(text, wanted)                                                           \
  assert_string_equal(pl_copy_text(bench->arena, read_text(bench, text), strlen(wanted)),      \
                      wanted)

static void ranges_count_in_the_first_unit(struct pl_bench *bench) {
  assert_read("front.oil 250 cSt .. 300 cSt by 25 cSt",
              "front|oil|cSt: 250=250 cSt 275=275 cSt 300=300 cSt");
  assert_read("  all.preload\t1mm..2 mm by 0.5mm ", "all|preload|mm: 1=1 mm 1.5=1.5 mm 2=2 mm");
  assert_read("rear.preload 1 mm .. 0.2 cm by 500 µm",
              "rear|preload|mm: 1=1 mm 1.5=1.5 mm 2=2 mm");
  assert_read("front.camber -1 deg .. -2 deg by 0.5 deg",
              "front|camber|deg: -1=-1 deg -1.5=-1.5 deg -2=-2 deg");
  assert_read("car.air 0 degC .. 10 degC by 5 K", "car|air|degC: 0=0 degC 5=5 degC 10=10 degC");
  assert_read("car.air 0 degC .. 10 degC by 5 degC",
              "car|air|degC: 0=0 degC 5=5 degC 10=10 degC");
  assert_read("car.air 32 degF .. 5 degC by 9 degF", "car|air|degF: 32=32 degF 41=41 degF");
  assert_read("front.oil 20 wt .. 30 wt by 5 wt", "front|oil|wt: 20=20 wt 25=25 wt 30=30 wt");
  assert_read("front.shock-top 1 .. 3", "front|shock-top|: 1=1 2=2 3=3");
}

/// No 0.30000000000000004, no -1e-17 in place of nothing.
static void values_are_rounded(struct pl_bench *bench) {
  assert_read("front.preload 0 mm .. 0.4 mm by 0.1 mm",
              "front|preload|mm: 0=0 mm 0.1=0.1 mm 0.2=0.2 mm 0.3=0.3 mm 0.4=0.4 mm");
  assert_read("front.toe -0.3 deg .. 0.3 deg by 0.1 deg",
              "front|toe|deg: -0.3=-0.3 deg -0.2=-0.2 deg -0.1=-0.1 deg 0=0 deg 0.1=0.1 deg "
              "0.2=0.2 deg 0.3=0.3 deg");
  assert_read("front.preload 0 mm .. 2 mm", "front|preload|mm: 0=0 mm 0.2=0.2 mm 0.4=0.4 mm "
                                            "0.6=0.6 mm 0.8=0.8 mm 1=1 mm 1.2=1.2 mm "
                                            "1.4=1.4 mm 1.6=1.6 mm 1.8=1.8 mm 2=2 mm");
  assert_read("front.preload 1 mm .. 2 mm by 0.333333333333 mm",
              "front|preload|mm: 1=1 mm 1.33333333=1.33333333 mm 1.66666667=1.66666667 mm "
              "2=2 mm");
}

/// The last value is there if a whole number of steps leads to it.
static void ranges_end_where_steps_do(struct pl_bench *bench) {
  assert_read("front.preload 1 mm .. 2 mm by 0.4 mm",
              "front|preload|mm: 1=1 mm 1.4=1.4 mm 1.8=1.8 mm");
  assert_read("front.preload 1 mm .. 2 mm by 0.5000000001 mm",
              "front|preload|mm: 1=1 mm 1.5=1.5 mm 2=2 mm");
  assert_read("front.preload 1 mm .. 2 mm by 0.500001 mm",
              "front|preload|mm: 1=1 mm 1.500001=1.500001 mm");
  assert_read("front.preload 1 mm .. 2 mm by 5 mm", "front|preload|mm: 1=1 mm");
  assert_read("front.preload 1 mm .. 1 mm", "front|preload|mm: 1=1 mm");
}

static void lists_are_numbers_or_names(struct pl_bench *bench) {
  assert_read("front.preload [1 mm, 0.2 cm, 5 mm]", "front|preload|mm: 1=1 mm 2=0.2 cm 5=5 mm");
  assert_read("front.spring [\"soft\", \"F \\\"2\\\"\"]",
              "front|spring|names: soft=\"soft\" F \"2\"=\"F \\\"2\\\"\"");
  assert_read("rear.oil [\"a\", 300 cSt, blend(\"a\" 50 %, \"b\" 50 %)]",
              "rear|oil|names: a=\"a\" 300 cSt=300 cSt blend(\"a\" 50 %, \"b\" 50 %)="
              "blend(\"a\" 50 %, \"b\" 50 %)");
  assert_read("front.piston [2 x 1.6 mm, 2 x 1.5 mm]",
              "front|piston|names: 2 x 1.6 mm=2 x 1.6 mm 2 x 1.5 mm=2 x 1.5 mm");
  assert_read("rear-left.shock-top [3, 1]", "rear-left|shock-top|: 3=3 1=1");
  assert_read("front.preload [1 mm, 2 deg]", "front|preload|names: 1 mm=1 mm 2 deg=2 deg");
}

/// Words that look like the next setting or a step count outside quotes and brackets alone.
static void two_settings(struct pl_bench *bench) {
  assert_read("front.oil 1 cSt .. 2 cSt by 1 cSt rear.spring [\"by front.oil\", \"b\"]",
              "front|oil|cSt: 1=1 cSt 2=2 cSt ; "
              "rear|spring|names: by front.oil=\"by front.oil\" b=\"b\"");
  assert_refused("front.oil [1 cSt] rear.oil [1 cSt] car.air [1 degC]",
                 "a sweep goes through the values of one setting, or of two");
  assert_refused("front.oil [1 cSt] front.oil [2 cSt]", "`front.oil` stands there twice");
}

static void what_is_wrong_is_said_with_the_mend(struct pl_bench *bench) {
  assert_refused("", "a sweep needs a setting");
  assert_refused("oil 1 cSt", "`oil` is no scope and key; write front.oil");
  assert_refused("fromt.oil 1 cSt", "`fromt` is no scope; did you mean `front`?");
  assert_refused("front.oill [1 cSt]", "there is no setting `oill`; did you mean `oil`?");
  assert_refused("front.wheel-rate [1 mm]", "`wheel-rate` is a figure");
  assert_refused("front.damper.bore [1 mm]",
                 "`front.damper.bore` is declared with its damper, not in a setup; declare "
                 "several and write their names: front.damper [");
  assert_refused("front.oil", "`front.oil` has no values behind it");
  assert_refused("front.oil by 3 mm", "`front.oil` has no values behind it");
  assert_refused("front.oil 300 cSt", "front.oil: `300 cSt`: this is one value; write a range");
  assert_refused("front.oil []", "front.oil: `[]`: ");
  assert_refused("front.oil [1 cSt", "front.oil: `[1 cSt`: ");
  assert_refused("front.oil 1,5 cSt .. 3 cSt", "front.oil: `1,5 cSt .. 3 cSt`: ");
  assert_refused("front.oil [1 cSt]; let b = 2", "front.oil: `[1 cSt]; let b = 2`: one value");
  assert_refused("front.oil 1 cSt .. 3 mm", "front.oil: `1 cSt .. 3 mm`: both ends");
  assert_refused("front.oil 1 .. 3 cSt by 1 cSt", "front.oil: `1 .. 3 cSt`: both ends");
  assert_refused("front.oil \"a\" .. \"b\"", "front.oil: `\"a\" .. \"b\"`: both ends");
  assert_refused("front.oil 1 cSt .. 3 cSt by 0 cSt", "front.oil: `0 cSt`: the step must not");
  assert_refused("front.oil 1 cSt .. 3 cSt by 1", "front.oil: `1`: the step is of another "
                                                  "quantity than the values; write it in cSt");
  assert_refused("front.oil 1 cSt .. 3 cSt by", "front.oil: ``: ");
  assert_refused("front.oil [1 cSt] by 1 cSt", "front.oil: `[1 cSt] by 1 cSt`: `by` stands");
}

/// The limits: just under, on and over them.
static void limits(struct pl_bench *bench) {
  for (int more = -1; more <= 1; more++) {
    const int count = PL_MOST_SWEEP_VALUES + more;
    const char *const ranged =
        pl_format(bench->arena, "front.preload 1 mm .. %d mm by 1 mm", count);
    struct pl_buffer list = {.arena = bench->arena};
    pl_buffer_text(&list, "front.preload [1 mm");
    for (int i = 1; i < count; i++) pl_buffer_text(&list, ", 1 mm");
    pl_buffer_text(&list, "]");
    const char *const texts[] = {ranged, pl_buffer_string(&list)};
    for (size_t i = 0; i < 2; i++) {
      struct pl_sweep sweep;
      const char *const why =
          pl_sweep_read(bench->arena, pl_session_names(bench->session), texts[i], &sweep);
      if (more <= 0) {
        assert_null(why);
        assert_int_equal(sweep.point_count, count);
      } else {
        assert_string_equal(why, "front.preload goes through 501 values; 500 is the most: take "
                                 "a larger step");
      }
    }
  }
  for (int more = -1; more <= 1; more++) {
    // 4998, 5000 and 5049 combinations, none with too many values of one setting.
    static const int sizes[3][2] = {{49, 102}, {50, 100}, {51, 99}};
    const int *const size = sizes[more + 1];
    struct pl_sweep sweep;
    const char *const why = pl_sweep_read(
        bench->arena, pl_session_names(bench->session),
        pl_format(bench->arena,
                  "front.preload 1 mm .. %d mm by 1 mm rear.preload 1 mm .. %d mm "
                  "by 1 mm",
                  size[0], size[1]),
        &sweep);
    if (more <= 0)
      assert_null(why);
    else
      assert_string_equal(why,
                          "the two settings make 5049 combinations; 5000 is the most: take "
                          "larger steps");
  }
  struct pl_sweep sweep;
  assert_non_null(pl_sweep_read(bench->arena, pl_session_names(bench->session),
                                "front.preload 0 mm .. 1e300 mm by 1e-300 mm", &sweep));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(ranges_count_in_the_first_unit),
      PL_BENCH_TEST(values_are_rounded),
      PL_BENCH_TEST(ranges_end_where_steps_do),
      PL_BENCH_TEST(lists_are_numbers_or_names),
      PL_BENCH_TEST(two_settings),
      PL_BENCH_TEST(what_is_wrong_is_said_with_the_mend),
      PL_BENCH_TEST(limits),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
