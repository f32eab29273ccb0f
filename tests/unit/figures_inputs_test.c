// SPDX-License-Identifier: GPL-3.0-or-later
// The inputs column of the figures table against what the figures really ask for, over all demo
// setups and some that use what those do not.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "unit/figures_setup.h"

static const char *const demos[] = {
    "sheets/cars/plover/baseline.leaf",      "sheets/cars/knot/baseline.leaf",
    "sheets/cars/dunlin/baseline.leaf",      "sheets/cars/turnstone/baseline.leaf",
    "sheets/sluice-lane/plover-dry.leaf",    "sheets/sluice-lane/plover-wet.leaf",
    "sheets/sluice-lane/turnstone-dry.leaf", "sheets/short-oval/knot.leaf",
    "sheets/dune-ladder/dunlin.leaf"};

// What no demo has: no preload at all, a quick piston, an opposed spring.
static const char *const rare =
    "spring \"inside\" { rate = 0.1 N/mm }\n"
    "damper \"d\" { bore = 10 mm; shaft = 3 mm; extended-length = 80 mm; stroke = 20 mm\n"
    "  compensation = vented; opposed-spring = \"inside\" }\n"
    "car \"c\" { mass = 1500 g; front-share = 45 %\n"
    "  all { track = 200 mm; tyre-radius = 42 mm; unsprung-mass = 60 g; damper = \"d\"\n"
    "    arm-inner = (20 mm, 12 mm); arm-outer = (90 mm, 12 mm); wheel-centre = (100 mm, 21 mm)\n"
    "    shock-top = (40 mm, 80 mm); shock-bottom = (65 mm, 14 mm) } }\n"
    "setup \"s\" { car = \"c\"; all { ride-height = 21 mm; spring = 0.5 N/mm; oil = 350 cSt\n"
    "  piston = 2 x 1.6 mm } }\n";

#define SETUPS (sizeof demos / sizeof demos[0] + 1)

// Everything loaded once; the figures of each setup are computed against the setup itself, so
// that those of a comparison are there too.
struct loaded {
  struct pl_figures *figures[SETUPS];
};

static void load(struct bench *bench, struct loaded *loaded) {
  for (size_t i = 0; i < SETUPS; i++) {
    struct pl_program *const program =
        i + 1 < SETUPS ? program_of_file(bench, demos[i]) : program_of(bench, rare);
    struct pl_figures *const base = figures_in(program, NULL, NULL);
    loaded->figures[i] = pl_figures_new(pl_figures_setup(base), base);
  }
}

// ---------------------------------------------------------------- the column's words

static bool is_of_linkage(const char *key) {
  static const char *const keys[] = {
      "axle-type",  "arm-inner",        "arm-outer",    "wheel-centre",
      "shock-top",  "shock-top-holes",  "shock-bottom", "shock-bottom-holes",
      "link-inner", "link-inner-holes", "link-outer",   "link-outer-holes"};
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
    if (strcmp(keys[i], key) == 0) return true;
  }
  return false;
}

/// The name of an input: "wheel-rate", "preload", "damper.stroke".
static const char *name_of(struct pl_arena *arena, const struct pl_input *input) {
  if (input->is_figure) return pl_figure_rows[input->figure].key;
  if (input->inner == PL_SETTING_COUNT) return pl_settings[input->setting].key;
  return pl_format(arena, "%s.%s", pl_settings[input->setting].key,
                   pl_settings[input->inner].key);
}

/// Does a word of the column stand for this input?
static bool covers(const char *word, const char *asked) {
  if (strcmp(word, asked) == 0) return true;
  if (strcmp(word, "linkage") == 0) return is_of_linkage(asked);
  const size_t length = strlen(word);
  if (strncmp(asked, word, length) == 0 && asked[length] == '.') return true;
  const size_t part = strlen(asked); // "damper.stroke" asks for the damper itself too
  return strncmp(word, asked, part) == 0 && word[part] == '.';
}

/// The next word of the column, or null; `*may_lack`: it had a question mark.
static const char *next_word(struct pl_arena *arena, const char **at, bool *may_lack) {
  *at += strspn(*at, ", ");
  if (**at == '\0') return NULL;
  *may_lack = **at == '?';
  if (*may_lack) ++*at;
  const size_t length = strcspn(*at, ",");
  const char *const word = pl_copy_text(arena, *at, length);
  *at += length;
  return word;
}

static bool column_covers(struct pl_arena *arena, const char *column, const char *asked) {
  bool may_lack = false;
  for (const char *word; (word = next_word(arena, &column, &may_lack)) != NULL;) {
    if (covers(word, asked)) return true;
  }
  return false;
}

static bool value_asks(struct pl_arena *arena, const struct pl_figure_value *value,
                       const char *word) {
  for (size_t i = 0; i < value->input_count; i++) {
    if (covers(word, name_of(arena, &value->inputs[i]))) return true;
  }
  return false;
}

// ---------------------------------------------------------------- tests

/// Calls `visit` for each figure at each place of each setup.
static void each_value(struct bench *bench,
                       void (*visit)(struct bench *bench, enum pl_figure figure,
                                     const struct pl_figure_value *value)) {
  struct loaded loaded;
  load(bench, &loaded);
  for (size_t i = 0; i < SETUPS; i++) {
    for (int j = 0; j < PL_FIGURE_COUNT; j++) {
      const enum pl_scope scope = pl_figure_rows[j].scope;
      for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope); place++)
        visit(bench, (enum pl_figure)j,
              pl_figure_get(loaded.figures[i], (enum pl_figure)j, (enum pl_place)place));
    }
  }
}

static void check_declared(struct bench *bench, enum pl_figure figure,
                           const struct pl_figure_value *value) {
  for (size_t i = 0; i < value->input_count; i++) {
    const char *const asked = name_of(bench->arena, &value->inputs[i]);
    if (!column_covers(bench->arena, pl_figure_rows[figure].inputs, asked))
      fail_msg("%s asks for %s, and its row does not say so", pl_figure_rows[figure].key,
               asked);
  }
}

static void every_asked_input_is_declared_work(struct bench *bench) {
  each_value(bench, check_declared);
}

static void check_asked(struct bench *bench, enum pl_figure figure,
                        const struct pl_figure_value *value) {
  if (!value->present) return;
  const char *column = pl_figure_rows[figure].inputs;
  bool may_lack = false;
  for (const char *word; (word = next_word(bench->arena, &column, &may_lack)) != NULL;) {
    if (!may_lack && !value_asks(bench->arena, value, word))
      fail_msg("%s does not ask for %s, and its row says so", pl_figure_rows[figure].key, word);
  }
}

static void every_declared_input_is_asked_work(struct bench *bench) {
  each_value(bench, check_asked);
}

// Brief figures are the same but for what explains them.
static void brief_figures_are_the_same_work(struct bench *bench) {
  struct loaded loaded;
  load(bench, &loaded);
  size_t compared = 0;
  for (size_t i = 0; i < SETUPS; i++) {
    const struct pl_setup *const setup = pl_figures_setup(loaded.figures[i]);
    struct pl_figures *const whole = pl_figures_new(setup, NULL);
    struct pl_figures *const brief = pl_figures_brief(setup);
    for (int j = 0; j < PL_FIGURE_COUNT; j++) {
      const enum pl_scope scope = pl_figure_rows[j].scope;
      for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope);
           place++) {
        const struct pl_figure_value *const one =
            pl_figure_get(whole, (enum pl_figure)j, (enum pl_place)place);
        const struct pl_figure_value *const other =
            pl_figure_get(brief, (enum pl_figure)j, (enum pl_place)place);
        assert_int_equal(one->present, other->present);
        assert_true(!one->present || one->value == other->value);
        assert_int_equal(one->need_count, other->need_count);
        assert_int_equal(one->note_count, other->note_count);
        for (size_t k = 0; k < one->note_count; k++)
          assert_string_equal(one->notes[k], other->notes[k]);
        assert_int_equal(other->input_count, 0);
        assert_int_equal(other->detail_count, 0);
        compared += one->present;
      }
    }
  }
  assert_true(compared > SETUPS * 100);
}

// A word with a question mark that no setup asks for is left over from an older function.
static void every_conditional_input_is_asked_somewhere_work(struct bench *bench) {
  struct loaded loaded;
  load(bench, &loaded);
  for (int j = 0; j < PL_FIGURE_COUNT; j++) {
    const char *column = pl_figure_rows[j].inputs;
    const enum pl_scope scope = pl_figure_rows[j].scope;
    bool may_lack = false;
    for (const char *word; (word = next_word(bench->arena, &column, &may_lack)) != NULL;) {
      bool asked = false;
      for (size_t i = 0; i < SETUPS && !asked; i++) {
        for (int place = (int)pl_first_place(scope); place <= (int)pl_last_place(scope);
             place++)
          asked |= value_asks(
              bench->arena,
              pl_figure_get(loaded.figures[i], (enum pl_figure)j, (enum pl_place)place), word);
      }
      if (!asked) fail_msg("no setup makes %s ask for %s", pl_figure_rows[j].key, word);
    }
  }
}

static void every_word_names_something_work(struct bench *bench) {
  for (int j = 0; j < PL_FIGURE_COUNT; j++) {
    const char *column = pl_figure_rows[j].inputs;
    bool may_lack = false;
    for (const char *word; (word = next_word(bench->arena, &column, &may_lack)) != NULL;) {
      const size_t part = strcspn(word, ".");
      const char *const first = pl_copy_text(bench->arena, word, part);
      const enum pl_setting setting = pl_setting_of(first, PL_BLOCK_SETUP);
      bool known = strcmp(word, "linkage") == 0 || pl_figure_of(word) != PL_FIGURE_COUNT;
      if (word[part] == '\0') known |= setting != PL_SETTING_COUNT;
      if (word[part] == '.' && setting != PL_SETTING_COUNT)
        known |= pl_setting_of(word + part + 1, pl_block_kind_of(pl_settings[setting].of)) !=
                 PL_SETTING_COUNT;
      if (!known) fail_msg("%s: the table knows no input `%s`", pl_figure_rows[j].key, word);
    }
  }
}

// The demos are there to show figures: each figure is computed in one of them at least.
static void demos_show_every_figure_work(struct bench *bench) {
  struct loaded loaded;
  load(bench, &loaded);
  for (int j = 0; j < PL_FIGURE_COUNT; j++) {
    bool present = false;
    for (size_t i = 0; i + 1 < SETUPS; i++)
      present |= pl_figure_get(loaded.figures[i], (enum pl_figure)j,
                               pl_first_place(pl_figure_rows[j].scope))
                     ->present;
    if (!present) fail_msg("no demo shows %s", pl_figure_rows[j].key);
  }
}

#define CASE(name)                                                                             \
  static void name(void **state) {                                                             \
    (void)state;                                                                               \
    with_bench(name##_work);                                                                   \
  }
CASE(every_asked_input_is_declared)
CASE(every_declared_input_is_asked)
CASE(every_conditional_input_is_asked_somewhere)
CASE(every_word_names_something)
CASE(demos_show_every_figure)
CASE(brief_figures_are_the_same)

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_asked_input_is_declared),
      cmocka_unit_test(every_declared_input_is_asked),
      cmocka_unit_test(every_conditional_input_is_asked_somewhere),
      cmocka_unit_test(every_word_names_something),
      cmocka_unit_test(demos_show_every_figure),
      cmocka_unit_test(brief_figures_are_the_same),
  };
  return cmocka_run_group_tests_name("figures: inputs", tests, NULL, NULL);
}
