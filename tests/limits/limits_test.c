// SPDX-License-Identifier: GPL-3.0-or-later
// The table of limits: each just under it, on it, and just over it. What is under or on a limit
// is taken as it stands; what is over it is told by its code, and nothing else goes wrong.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/rules.h"
#include "pitleaf/sheet.h"
#include "support.h"

#include <png.h>

#include <stdio.h>
#include <string.h>

/// Writes a file with `count` of what the limit is of.
typedef void write_function(struct pl_buffer *text, int count);

/// A limit, how to come near it, and what is told beyond it.
struct near_limit {
  const char *id;
  int number;
  write_function *write; ///< null: it is tested in the script of that name
  const char *code;
};

/// `count` times an item with its number, between two texts.
static void repeat(struct pl_buffer *text, const char *head, const char *item,
                   const char *between, const char *tail, int count) {
  pl_buffer_text(text, head);
  for (int i = 0; i < count; i++) pl_buffer_format(text, "%s%s", i == 0 ? "" : between, item);
  pl_buffer_text(text, tail);
}

static void write_bytes(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "#");
  for (int i = 2; i < count; i++) pl_buffer_add(text, "x", 1);
  pl_buffer_text(text, "\n");
}

static void write_problems(struct pl_buffer *text, int count) {
  repeat(text, "setup \"s\" {\n", "nothing-known = 1", "\n", "\n}\n", count);
}

static void write_includes(struct pl_buffer *text, int count) {
  for (int i = 0; i < count; i++) {
    char name[32];
    (void)snprintf(name, sizeof name, "part-%d.leaf", i);
    pl_test_write(name, "", 0);
    pl_buffer_format(text, "include \"%s\"\n", name);
  }
}

static void write_brackets(struct pl_buffer *text, int count) {
  repeat(text, "let a = ", "(", "", "1", count);
  repeat(text, "", ")", "", "\n", count);
}

static void write_operators(struct pl_buffer *text, int count) {
  repeat(text, "let a = 1", " + 1", "", "\n", count);
}

/// Three sums, each of which begins with the next; a value counts itself, too.
static void write_chain_of_settings(struct pl_buffer *text, int count) {
  const int longest = PL_MOST_STEPS - 1;
  repeat(text, "setup \"s\" {\ncg-height = wheelbase", " + 0 mm", "", "\n", longest);
  repeat(text, "wheelbase = width", " + 0 mm", "", "\n", longest);
  repeat(text, "width = length", " + 0 mm", "", "\n", count - 2 * (longest + 1) - 2);
  pl_buffer_text(text, "length = 100 mm\n}\n");
}

/// A file with slips in each of so many included ones, since a file has a limit of problems.
static void write_slips(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "let one-clear-name = 1\n");
  struct pl_buffer part = {.arena = text->arena};
  for (int i = 0; i < count; i++) {
    pl_buffer_format(
        &part, "piston \"p%d\" { ports = 4 x 1 mm; thickness = one-claer-name * 1 mm }\n", i);
    if (i % 50 != 49 && i + 1 < count) continue;
    char name[32];
    (void)snprintf(name, sizeof name, "slips-%d.leaf", i / 50);
    pl_test_write(name, pl_buffer_string(&part), part.length);
    pl_buffer_format(text, "include \"%s\"\n", name);
    part.length = 0;
  }
}

static void write_changes(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "setup \"a\" {\npreload = 1 mm\n");
  for (int i = 2; i < count / 2; i++) pl_buffer_text(text, "preload += 0.01 mm\n");
  pl_buffer_text(text, "}\nsetup \"b\" from \"a\" { camber = -1 deg }\n");
  pl_buffer_text(text, "setup \"s\" from \"b\" {\n");
  for (int i = count / 2; i <= count; i++)
    pl_buffer_format(text, "%s { preload += 0.01 mm }\n", i % 2 == 0 ? "front" : "rear");
  pl_buffer_text(text, "}\n");
}

static void write_bases(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "oil \"o0\" { viscosity = 300 cSt }\n");
  for (int i = 1; i <= count; i++)
    pl_buffer_format(text, "oil \"o%d\" from \"o%d\" { }\n", i, i - 1);
}

static void write_unit_parts(struct pl_buffer *text, int count) {
  repeat(text, "let a = 1 ", "mm", ".", "\n", count);
}

static void write_unit_power(struct pl_buffer *text, int count) {
  pl_buffer_format(text, "let a = 1 mm^%d\n", count);
}

static void write_exponent(struct pl_buffer *text, int count) {
  repeat(text, "let a = ", "1 mm", " * ", "\n", count);
}

static void write_list(struct pl_buffer *text, int count) {
  repeat(text, "let a = [", "1", ", ", "]\n", count);
}

static void write_texts(struct pl_buffer *text, int count) {
  repeat(text,
         "rules \"r\" { rule \"a\" { require = car.mass > 1 kg } }\n"
         "meeting \"m\" { rules = [",
         "\"r\"", ", ", "] }\n", count);
}

static void write_hole(struct pl_buffer *text, int count) {
  pl_buffer_format(text, "car \"c\" { all { shock-top { %d = (31 mm, 58 mm) } } }\n", count);
}

static void write_port_sets(struct pl_buffer *text, int count) {
  repeat(text, "piston \"p\" { thickness = 2 mm; ports = ", "1 x 1 mm", " + ", " }\n", count);
}

static void write_viscosities(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "oil \"o\" { viscosity = [");
  for (int i = 0; i < count; i++)
    pl_buffer_format(text, "%s%d cSt at %d degC", i == 0 ? "" : ", ", 900 - 9 * i, i);
  pl_buffer_text(text, "] }\n");
}

static void write_spring_rows(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "spring \"s\" { table = [");
  for (int i = 0; i < count; i++)
    pl_buffer_format(text, "%s%d mm %d N", i == 0 ? "" : ", ", i + 1, i + 1);
  pl_buffer_text(text, "] }\n");
}

static void write_spring_groups(struct pl_buffer *text, int count) {
  repeat(text, "spring \"s\" { wire = 1.2 mm; mean-diameter = 12 mm; groups = [",
         "2 coils gap 2 mm", ", ", "] }\n", count);
}

static void write_springs(struct pl_buffer *text, int count) {
  repeat(text, "setup \"s\" { all { spring = [", "0.5 N/mm", ", ", "] } }\n", count);
}

/// Two of them are a blend already, whose oils count.
static void write_blend(struct pl_buffer *text, int count) {
  for (int i = 0; i < count; i++)
    pl_buffer_format(text, "oil \"o%d\" { viscosity = %d cSt }\n", i, 300 + i);
  pl_buffer_text(text, "let pair = blend(\"o0\" 50 %, \"o1\" 50 %)\nlet a = blend(");
  for (int i = 2; i < count; i++) pl_buffer_format(text, "\"o%d\" 10 %%, ", i);
  pl_buffer_format(text, "pair %d %%)\n", 100 - 10 * (count - 2));
}

static void write_weights(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "oil-scale \"s\" {\n");
  for (int i = 1; i <= count; i++) pl_buffer_format(text, "%d wt = %d cSt\n", i, 10 * i);
  pl_buffer_text(text, "}\n");
}

/// Half of them are a base's; one of these is replaced.
static void write_rules(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "rules \"a\" {\n");
  for (int i = 0; i < count / 2; i++)
    pl_buffer_format(text, "rule \"r%d\" { require = width <= 200 mm }\n", i);
  pl_buffer_text(text, "}\nrules \"b\" from \"a\" {\nrule \"r0\" { require = length < 1 m }\n");
  for (int i = count / 2; i < count; i++)
    pl_buffer_format(text, "rule \"r%d\" { require = width <= 200 mm }\n", i);
  pl_buffer_text(text, "}\n");
}

/// Names at the four corners and, for what is left, of the car.
static void write_sights(struct pl_buffer *text, int count) {
  static const char *const of_corner[] = {"preload < 9 mm", "ride-height < 30 mm",
                                          "limiter < 5 mm", "camber < 1 deg"};
  static const char *const of_car[] = {"mass < 2 kg", "width < 250 mm", "length < 400 mm"};
  pl_buffer_text(text, "rules \"r\" { rule \"a\" { for = car; require = ");
  const int rest = count % 4;
  for (int i = 0; i < count / 4; i++)
    pl_buffer_format(text, "%smax(%.*s)%s", i == 0 ? "" : " and ",
                     (int)strcspn(of_corner[i], " "), of_corner[i],
                     of_corner[i] + strcspn(of_corner[i], " "));
  for (int i = 0; i < rest; i++) pl_buffer_format(text, " and %s", of_car[i]);
  pl_buffer_text(text, " } }\n");
}

static void write_entries(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "meeting \"m\" {\n");
  for (int i = 1; i <= count; i++) pl_buffer_format(text, "entry %d { }\n", i);
  pl_buffer_text(text, "}\n");
}

/// A picture in one colour, 2000 points wide and one row higher or lower than what there may
/// be.
static void write_logo(struct pl_buffer *text, int count) {
  const uint32_t rows = (uint32_t)(2000 + count - PL_MOST_LOGO_POINTS);
  png_image image = {
      .version = PNG_IMAGE_VERSION, .width = 2000, .height = rows, .format = PNG_FORMAT_GRAY};
  unsigned char *const points = pl_alloc_array(text->arena, rows, 2000);
  assert_true(png_image_write_to_file(&image, "logo.png", 0, points, 0, NULL));
  pl_buffer_text(text, "template \"t\" { logo = \"logo.png\" }\n");
}

static void write_title(struct pl_buffer *text, int count) {
  repeat(text, "template \"t\" { section \"", "x", "", "\" { show = [camber] } }\n", count);
}

static void write_columns(struct pl_buffer *text, int count) {
  pl_buffer_format(text, "template \"t\" { section \"s\" { show = [camber]; columns = %d } }\n",
                   count);
}

static void write_headings(struct pl_buffer *text, int count) {
  repeat(text, "template \"t\" { runs { headings = [", "\"x\"", ", ", "] } }\n", count);
}

/// Half of them are a base's, and one stands around half of them.
static void write_page_parts(struct pl_buffer *text, int count) {
  pl_buffer_text(text, "template \"a\" { beside {\n");
  for (int i = 1; i < count / 2; i++)
    pl_buffer_format(text, "section \"s%d\" { show = [camber] }\n", i);
  pl_buffer_text(text, "} }\ntemplate \"b\" from \"a\" { section \"s1\" { columns = 2 }\n");
  for (int i = count / 2; i < count; i++)
    pl_buffer_format(text, "section \"s%d\" { show = [camber] }\n", i);
  pl_buffer_text(text, "}\n");
}

/// Sets of rules and templates are chained as parts are.
static void write_chain(struct pl_buffer *text, const char *kind, const char *body, int count) {
  pl_buffer_format(text, "%s \"s0\" { %s }\n", kind, body);
  for (int i = 1; i <= count; i++)
    pl_buffer_format(text, "%s \"s%d\" from \"s%d\" { }\n", kind, i, i - 1);
}

static void write_chain_of_rules(struct pl_buffer *text, int count) {
  write_chain(text, "rules", "rule \"a\" { require = car.mass > 1 kg }", count);
}

static void write_chain_of_templates(struct pl_buffer *text, int count) {
  write_chain(text, "template", "section \"s\" { show = [camber] }", count);
}

#define NEAR(id, write, code)                                                                  \
  { #id, PL_MOST_##id, write, code }
#define IN_SCRIPT(id, script)                                                                  \
  { #id, PL_MOST_##id, NULL, script }

static const struct near_limit limits[] = {
    NEAR(FILE_BYTES, write_bytes, "file-too-large"),
    NEAR(PROBLEMS, write_problems, "too-many-problems"),
    NEAR(INCLUDES, write_includes, "too-many-includes"),
    NEAR(NESTING, write_brackets, "nested-too-deep"),
    NEAR(STEPS, write_operators, "nested-too-deep"),
    NEAR(EVALUATIONS, write_chain_of_settings, "nested-too-deep"),
    NEAR(BASES, write_bases, "too-many-bases"),
    NEAR(BASES, write_chain_of_rules, "too-many-bases"),
    NEAR(BASES, write_chain_of_templates, "too-many-bases"),
    NEAR(CHANGES, write_changes, "too-many-changes"),
    NEAR(UNIT_PARTS, write_unit_parts, "unknown-unit"),
    NEAR(UNIT_POWER, write_unit_power, "unknown-unit"),
    NEAR(EXPONENT, write_exponent, "number-too-large"),
    NEAR(LIST_VALUES, write_list, "too-many-values"),
    NEAR(TEXTS, write_texts, "too-many-values"),
    NEAR(HOLES, write_hole, "hole-number"),
    NEAR(PORT_SETS, write_port_sets, "too-many-values"),
    NEAR(VISCOSITIES, write_viscosities, "too-many-values"),
    NEAR(SPRING_ROWS, write_spring_rows, "too-many-values"),
    NEAR(SPRING_GROUPS, write_spring_groups, "too-many-values"),
    NEAR(SPRINGS, write_springs, "wrong-kind"),
    NEAR(BLEND_OILS, write_blend, "too-many-values"),
    NEAR(SCALE_WEIGHTS, write_weights, "scale-row"),
    NEAR(SIGHTS, write_sights, "too-much-to-measure"),
    IN_SCRIPT(TOLD_MISTAKES, "meeting_test.sh"),
    IN_SCRIPT(EDITOR_FILES, "editor_limits_test.c"),
    IN_SCRIPT(EDITOR_FOLDERS, "editor_limits_test.c"),
    IN_SCRIPT(MESSAGE_BYTES, "streams_test.sh"),
    NEAR(RULES, write_rules, "too-many-rules"),
    NEAR(ENTRIES, write_entries, "too-many-entries"),
    NEAR(PAGE_PARTS, write_page_parts, "too-many-parts"),
    NEAR(TITLE_BYTES, write_title, "wrong-kind"),
    NEAR(SECTION_COLUMNS, write_columns, "wrong-kind"),
    NEAR(RUN_COLUMNS, write_headings, "wrong-kind"),
    NEAR(LOGO_POINTS, write_logo, "logo-unreadable"),
    IN_SCRIPT(LINKS, "git_test.sh"),
    IN_SCRIPT(MENDS, "limits_test.c"),
    IN_SCRIPT(MIXTURE_BYTES, "growth_test.c"),
    IN_SCRIPT(EFFECTS, "compare_test.c"),
    IN_SCRIPT(UNCERTAIN, "figures_tolerance_test.c"),
    IN_SCRIPT(LIBRARIES, "commands_test.sh"),
    IN_SCRIPT(TEMPLATES, "commands_test.sh"),
};

static void check_template(void *context, const struct pl_block *block, bool in_main) {
  (void)in_main;
  pl_template_check(context, block, pl_program_problems(context));
}

static void check_rules(void *context, const struct pl_block *block, bool in_main) {
  (void)in_main;
  pl_rules_check(context, block);
}

static const char *codes_at(struct pl_bench *bench, const struct near_limit *limit, int count) {
  struct pl_buffer text = {.arena = bench->own};
  limit->write(&text, count);
  pl_test_write("limit.leaf", pl_buffer_string(&text), text.length);
  bench->program = pl_program_load(bench->session, bench->arena, "limit.leaf");
  if (strstr(pl_buffer_string(&text), "setup \"") != NULL)
    pl_setup_check(pl_program_setup(bench->program, NULL));
  pl_program_each(bench->program, PL_BLOCK_TEMPLATE, check_template, bench->program);
  pl_program_each(bench->program, PL_BLOCK_RULES, check_rules, bench->program);
  return pl_bench_problems(bench);
}

static bool has_code(const char *codes, const char *code) {
  const size_t length = strlen(code);
  for (const char *at = codes; (at = strstr(at, code)) != NULL; at += length) {
    if ((at == codes || at[-1] == ' ') && (at[length] == '\0' || at[length] == ' '))
      return true;
  }
  return false;
}

static void each_limit(struct pl_bench *bench) {
  for (size_t i = 0; i < sizeof limits / sizeof limits[0]; i++) {
    const struct near_limit *const limit = &limits[i];
    if (limit->write == NULL) continue;
    for (int count = limit->number - 1; count <= limit->number + 1; count++) {
      const char *const codes = codes_at(bench, limit, count);
      const bool over = count > limit->number;
      if (has_code(codes, limit->code) != over)
        fail_msg("%s: %d of at most %d: %s", limit->id, count, limit->number, codes);
      if (!over && strcmp(limit->id, "PROBLEMS") != 0 && codes[0] != '\0')
        fail_msg("%s: %d: %s", limit->id, count, codes);
    }
  }
}

/// All slips are told, and as many as there may be with the word that was meant.
static void each_slip_is_told(struct pl_bench *bench) {
  for (int count = PL_MOST_MENDS - 1; count <= PL_MOST_MENDS + 1; count++) {
    struct pl_buffer text = {.arena = bench->own};
    write_slips(&text, count);
    pl_test_write("limit.leaf", pl_buffer_string(&text), text.length);
    bench->program = pl_program_load(bench->session, bench->arena, "limit.leaf");
    const struct pl_diagnostics *const problems = pl_program_problems(bench->program);
    int mended = 0;
    for (size_t i = 0; i < problems->count; i++) {
      assert_string_equal(problems->items[i].message,
                          "Nothing is called `one-claer-name` here.");
      mended += problems->items[i].hint[0] != '\0';
    }
    assert_int_equal(problems->count, count);
    assert_int_equal(mended, count <= PL_MOST_MENDS ? count : PL_MOST_MENDS);
    bench->session = pl_session_new(bench->arena, bench->guard, NULL); // which keeps files
  }
}

static void each_row_has_a_case(void **state) {
  (void)state;
  size_t count = 0;
  const struct pl_limit_row *const rows = pl_limit_rows(&count);
  for (size_t i = 0; i < count; i++) {
    bool found = false;
    for (size_t j = 0; j < sizeof limits / sizeof limits[0]; j++)
      found |= strcmp(rows[i].id, limits[j].id) == 0;
    if (!found) fail_msg("nothing comes near %s", rows[i].id);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_FOLDER_TEST(each_limit),
                                     PL_FOLDER_TEST(each_slip_is_told),
                                     cmocka_unit_test(each_row_has_a_case)};
  return cmocka_run_group_tests_name("limits", tests, NULL, NULL);
}
