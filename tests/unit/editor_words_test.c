// SPDX-License-Identifier: GPL-3.0-or-later
// The lists of words in grammar/editors/ are those of the program's tables and of its lexer.
// With PITLEAF_ACCEPT=1 in the environment they are written anew.
//
// With `--tokens FILE…` this program is no test: it prints the tokens of the files, for tests
// that ask an editor about each: file, line, column in bytes, length in bytes, class.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "pitleaf/figures.h"
#include "pitleaf/rules.h"
#include "pitleaf/sheet.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define VIM      "grammar/editors/vim/syntax/pitleaf.vim"
#define TEXTMATE "grammar/editors/pitleaf.tmLanguage.json"
#define LEXER    "grammar/lexer.re"

// ---------------------------------------------------------------- lists of words

/// Words without doubles, in the order of their bytes.
struct words {
  struct pl_arena *arena;
  const char **items;
  size_t count;
  size_t capacity;
};

static void add_word(struct words *words, const char *word, size_t length) {
  size_t at = 0;
  const char *const own = pl_copy_text(words->arena, word, length);
  while (at < words->count && strcmp(words->items[at], own) < 0) at++;
  if (at < words->count && strcmp(words->items[at], own) == 0) return;
  words->items =
      pl_grow(words->arena, words->items, words->count, &words->capacity, sizeof *words->items);
  memmove(words->items + at + 1, words->items + at, (words->count - at) * sizeof *words->items);
  words->items[at] = own;
  words->count++;
}

static void add(struct words *words, const char *word) {
  add_word(words, word, strlen(word));
}

/// Adds the words of a list with such a sign between them.
static void add_list(struct words *words, const char *list, char sign) {
  const char between[] = {sign, '\0'};
  for (const char *at = list; *at != '\0';) {
    const size_t length = strcspn(at, between);
    add_word(words, at, length);
    at += length + (at[length] == sign ? 1 : 0);
  }
}

static bool is_statement(const char *word) {
  return strcmp(word, "include") == 0 || strcmp(word, "let") == 0 ||
         strcmp(word, "from") == 0 || strcmp(word, "when") == 0;
}

/// The lexer's own words, from its rules `<plain> "word"`: those that begin or shape a
/// statement, or those that join values.
static void add_lexer_words(struct words *words, bool statements) {
  size_t length = 0;
  const char *const rules = pl_test_read_there(words->arena, LEXER, &length);
  static const char opening[] = "<plain> \"";
  for (const char *at = strstr(rules, opening); at != NULL; at = strstr(at, opening)) {
    at += sizeof opening - 1;
    const size_t size = strspn(at, "abcdefghijklmnopqrstuvwxyz-");
    const char *const word = pl_copy_text(words->arena, at, size);
    if (at[size] == '"' && at[0] >= 'a' && is_statement(word) == statements) add(words, word);
  }
}

/// The words that go on from a number and are no units, from the lexer's rule for them.
static void add_behind(struct words *words) {
  size_t length = 0;
  const char *const rules = pl_test_read_there(words->arena, LEXER, &length);
  const char *at = strstr(rules, "<behind> \"");
  const char *const end = at == NULL ? NULL : strchr(at, '{');
  while (at != NULL && end != NULL && (at = strchr(at, '"')) != NULL && at < end) {
    const size_t size = strcspn(at + 1, "\"");
    add_word(words, at + 1, size);
    at += size + 2;
  }
}

static void add_statements(struct words *words) {
  add_lexer_words(words, true);
}

static void add_joints(struct words *words) {
  add_lexer_words(words, false);
}

static void take_key(void *context, const char *word, bool is_key) {
  if (is_key) add(context, word);
}

static void take_block(void *context, const char *word, bool is_key) {
  if (!is_key) add(context, word);
}

/// The blocks of a template, and those within them.
static void add_template_blocks(struct words *words) {
  struct words within = {.arena = words->arena};
  pl_template_each_word("template", take_block, &within);
  for (size_t before = 0; before < within.count;) {
    before = within.count;
    const struct words known = within;
    for (size_t i = 0; i < known.count; i++)
      pl_template_each_word(known.items[i], take_block, &within);
  }
  for (size_t i = 0; i < within.count; i++) add(words, within.items[i]);
}

static void add_kinds(struct words *words) {
  for (int i = 0; i < PL_BLOCK_KIND_COUNT; i++)
    add(words, pl_block_kind_name((enum pl_block_kind)i));
  add_template_blocks(words);
  add_list(words, "ballast entry extra measured rule", ' '); // blocks within blocks
}

static void add_scopes(struct words *words) {
  for (int i = 0; i < PL_PLACE_COUNT; i++) add(words, pl_place_name((enum pl_place)i));
  add_list(words, "all left right", ' ');
}

static void add_keys(struct words *words) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].type != PL_TYPE_HOLES) add_list(words, pl_settings[i].key, '.');
  }
  struct words blocks = {.arena = words->arena};
  add_template_blocks(&blocks);
  pl_template_each_word("template", take_key, words);
  for (size_t i = 0; i < blocks.count; i++)
    pl_template_each_word(blocks.items[i], take_key, words);
  for (size_t i = 0; pl_rules_key(true, i) != NULL; i++) add(words, pl_rules_key(true, i));
  for (size_t i = 0; pl_rules_key(false, i) != NULL; i++) add(words, pl_rules_key(false, i));
}

static void add_figures(struct words *words) {
  for (int i = 0; i < PL_FIGURE_COUNT; i++) add(words, pl_figure_rows[i].key);
}

static void add_constants(struct words *words) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].type == PL_TYPE_CHOICE) add_list(words, pl_settings[i].of, '|');
  }
  add_list(words, "axle corner each", ' '); // what a rule is for
}

static void add_functions(struct words *words) {
  for (size_t i = 0; pl_function_name(i) != NULL; i++) add(words, pl_function_name(i));
  add_list(words, "count sum", ' '); // of rules
}

/// Units; of them the points on temperature scales, which take no part in a product, or the
/// rest.
static void add_units_that(struct words *words, bool are_points) {
  size_t count = 0;
  const char *const *const names = pl_unit_names(&count);
  for (size_t i = 0; i < count; i++) {
    if (pl_unit_named(names[i]).absolute == are_points) add(words, names[i]);
  }
}

static void add_units(struct words *words) {
  add_units_that(words, false);
}

static void add_scales(struct words *words) {
  add_units_that(words, true);
}

static const struct list {
  const char *name;
  void (*gather)(struct words *words);
} lists[] = {
    {"statements", add_statements}, {"joints", add_joints},       {"kinds", add_kinds},
    {"scopes", add_scopes},         {"keys", add_keys},           {"figures", add_figures},
    {"constants", add_constants},   {"functions", add_functions}, {"units", add_units},
    {"scales", add_scales},         {"behind", add_behind}};

static struct words words_of(struct pl_bench *bench, const struct list *list) {
  struct words words = {.arena = bench->arena};
  list->gather(&words);
  assert_true(words.count > 3);
  return words;
}

// ---------------------------------------------------------------- lists in the files

/// A Vim script's line that sets the list, gone on with at the width of the page.
static const char *vim_list(const struct list *list, const struct words *words) {
  struct pl_buffer out = {.arena = words->arena};
  pl_buffer_format(&out, "let s:%s = '", list->name);
  size_t column = out.length;
  for (size_t i = 0; i < words->count; i++) {
    const char *const word = words->items[i];
    if (column + strlen(word) > 92) {
      pl_buffer_text(&out, "'\n      \\ . '");
      column = 11;
    }
    pl_buffer_format(&out, "%s%s", i == 0 ? "" : " ", word);
    column += strlen(word) + 1;
  }
  pl_buffer_text(&out, "'\n");
  return pl_buffer_string(&out);
}

static const char *textmate_list(const struct words *words) {
  struct pl_buffer out = {.arena = words->arena};
  for (size_t i = 0; i < words->count; i++)
    pl_buffer_format(&out, "%s%s", i == 0 ? "" : "|", words->items[i]);
  return pl_buffer_string(&out);
}

/// The end of a Vim script's line with all lines that go on from it.
static const char *vim_list_end(const char *at) {
  do {
    at += strcspn(at, "\n");
    if (*at == '\n') at++;
  } while (strncmp(at, "      \\", 7) == 0);
  return at;
}

/// The script with one list made anew.
static const char *with_vim_list(const char *text, const struct list *list,
                                 const struct words *words) {
  const char *const opening = pl_format(words->arena, "\nlet s:%s = ", list->name);
  const char *const found = strstr(text, opening);
  if (found == NULL) {
    fail_msg("%s has no list s:%s", VIM, list->name);
    return text;
  }
  struct pl_buffer out = {.arena = words->arena};
  pl_buffer_add(&out, text, (size_t)(found + 1 - text));
  pl_buffer_text(&out, vim_list(list, words));
  pl_buffer_text(&out, vim_list_end(found + 1));
  return pl_buffer_string(&out);
}

/// The grammar with one list made anew, wherever it stands.
static const char *with_textmate_list(const char *text, const struct list *list,
                                      const struct words *words) {
  const char *const opening = pl_format(words->arena, "(?#%s)(?:", list->name);
  struct pl_buffer out = {.arena = words->arena};
  const char *at = text;
  size_t count = 0;
  for (const char *found = strstr(at, opening); found != NULL; found = strstr(at, opening)) {
    const char *const start = found + strlen(opening);
    pl_buffer_add(&out, at, (size_t)(start - at));
    pl_buffer_text(&out, textmate_list(words));
    at = start + strcspn(start, ")");
    count++;
  }
  if (count == 0) fail_msg("%s has no list %s", TEXTMATE, list->name);
  pl_buffer_text(&out, at);
  return pl_buffer_string(&out);
}

static void check_lists(struct pl_bench *bench, const char *path,
                        const char *(*with_list)(const char *text, const struct list *list,
                                                 const struct words *words)) {
  size_t length = 0;
  const char *const text = pl_test_read_there(bench->arena, path, &length);
  const char *fresh = text;
  const char *stale = NULL;
  for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++) {
    const struct words words = words_of(bench, &lists[i]);
    const char *const before = fresh;
    fresh = with_list(before, &lists[i], &words);
    if (strcmp(before, fresh) != 0) stale = lists[i].name;
  }
  if (stale == NULL) return;
  if (getenv("PITLEAF_ACCEPT") == NULL)
    fail_msg("%s: its list of %s is not that of the tables; run this test with "
             "PITLEAF_ACCEPT=1 to write it anew",
             path, stale);
  pl_test_write_text(path, fresh);
}

static void lists_of_vim_are_fresh(struct pl_bench *bench) {
  check_lists(bench, VIM, with_vim_list);
}

static void lists_of_textmate_are_fresh(struct pl_bench *bench) {
  check_lists(bench, TEXTMATE, with_textmate_list);
}

static void known_words_are_in_their_lists(struct pl_bench *bench) {
  static const char *const wanted[][2] = {
      {"statements", "include"}, {"joints", "opens-at"}, {"joints", "x"},
      {"kinds", "oil-scale"},    {"kinds", "section"},   {"kinds", "entry"},
      {"scopes", "front-left"},  {"scopes", "car"},      {"keys", "ride-height"},
      {"keys", "require"},       {"keys", "columns"},    {"figures", "wheel-rate"},
      {"constants", "bladder"},  {"functions", "blend"}, {"units", "cSt"},
      {"scales", "degF"},        {"behind", "one-way"}};
  for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
    size_t which = 0;
    while (strcmp(lists[which].name, wanted[i][0]) != 0) which++;
    const struct words words = words_of(bench, &lists[which]);
    size_t at = 0;
    while (at < words.count && strcmp(words.items[at], wanted[i][1]) != 0) at++;
    if (at == words.count) fail_msg("%s is not among the %s", wanted[i][1], wanted[i][0]);
  }
}

// ---------------------------------------------------------------- tokens

static void print_tokens(struct pl_bench *bench) {
  static const char *const classes[] = {"space",  "line", "comment", "word", "text",
                                        "number", "unit", "date",    "mark", "bad"};
  const char *const path = bench->subject;
  size_t length = 0;
  const char *const bytes = pl_test_read(bench->arena, path, &length);
  if (bytes == NULL) return;
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, path, (const unsigned char *)bytes, length);
  const struct pl_tree *const tree = pl_parse(bench->arena, pl_names_new(bench->arena),
                                              pl_diagnostics_new(bench->arena), source);
  size_t line = 1;
  size_t line_start = 0;
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    const uint32_t start = pl_token_start(token);
    printf("%s\t%zu\t%zu\t%u\t%s\n", path, line, start - line_start + 1, token->end - start,
           classes[token->class]);
    for (size_t at = start; at < token->end; at++) {
      if (bytes[at] != '\n') continue;
      line++;
      line_start = at + 1;
    }
  }
}

static int tokens_of_files(int count, char **paths) {
  for (int i = 0; i < count; i++) {
    void *state = &(struct pl_bench_case){print_tokens, paths[i]};
    if (pl_bench_new(&state) != 0) return 1;
    pl_bench_run(&state);
    pl_bench_free(&state);
  }
  return 0;
}

int main(int count, char **arguments) {
  if (chdir(pl_test_root()) != 0) return 1;
  if (count > 1 && strcmp(arguments[1], "--tokens") == 0)
    return tokens_of_files(count - 2, arguments + 2);
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(lists_of_vim_are_fresh),
      PL_BENCH_TEST(lists_of_textmate_are_fresh),
      PL_BENCH_TEST(known_words_are_in_their_lists),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
