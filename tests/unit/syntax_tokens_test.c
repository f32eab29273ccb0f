// SPDX-License-Identifier: GPL-3.0-or-later
// Tests that the tokens of a source tile it without a gap: of every file of the language in the
// checkout, and of thousands of files with something wrong in them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "mutation.h"
#include "support.h"

#include "pitleaf/syntax.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define MUTATIONS 5000

static const struct pl_tree *parse(struct pl_bench *bench, const char *bytes, size_t length,
                                   struct pl_diagnostics **problems) {
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "test.leaf", (const unsigned char *)bytes, length);
  *problems = pl_diagnostics_new(bench->arena);
  return pl_parse(bench->arena, pl_names_new(bench->arena), *problems, source);
}

/// Where the tokens leave a gap, overlap, are empty, or stop short; -1 if they tile the source.
static long first_gap(const struct pl_tree *tree) {
  uint32_t at = 0;
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    if (pl_token_start(token) != at || token->end <= pl_token_start(token)) return (long)at;
    at = token->end;
  }
  return at == tree->source->length ? -1 : (long)at;
}

/// Does a tree that was read without tokens get the same ones afterwards?
static bool tokens_are_added(struct pl_bench *bench, const struct pl_tree *tree) {
  struct pl_tree *const bare = pl_parse_items(bench->arena, pl_names_new(bench->arena),
                                              pl_diagnostics_new(bench->arena), tree->source);
  assert_null(bare->tokens);
  pl_add_tokens(bench->arena, bare);
  if (bare->token_count != tree->token_count) return false;
  for (size_t i = 0; i < tree->token_count; i++)
    if (bare->tokens[i].end != tree->tokens[i].end ||
        bare->tokens[i].class != tree->tokens[i].class)
      return false;
  return true;
}

/// The nodes of a tree lie within their source, and children within their parents.
static bool spans_fit(const struct pl_node *node, uint32_t start, uint32_t end) {
  for (; node != NULL; node = node->next) {
    if (node->span.start > node->span.end) return false;
    if (node->span.start < start || node->span.end > end) return false;
    if (!spans_fit(node->children, node->span.start, node->span.end)) return false;
  }
  return true;
}

/// So do the places of problems.
static bool problems_fit(const struct pl_diagnostics *problems, size_t length) {
  for (size_t i = 0; i < problems->count; i++) {
    const struct pl_span span = problems->items[i].span;
    if (span.start > span.end || span.end > length) return false;
  }
  return true;
}

static void check_tree(struct pl_bench *bench, const struct pl_tree *tree,
                       const struct pl_diagnostics *problems, const char *what) {
  if (!problems_fit(problems, tree->source->length))
    fail_msg("%s: the place of a problem reaches out of the source", what);
  const long gap = first_gap(tree);
  if (gap >= 0) fail_msg("%s: the tokens do not tile the source at byte %ld", what, gap);
  if (!tokens_are_added(bench, tree)) fail_msg("%s: tokens added later are others", what);
  if (!spans_fit(tree->items, 0, (uint32_t)tree->source->length))
    fail_msg("%s: a node reaches out of its parent", what);
}

// ---------------------------------------------------------------- whole files

static void check_source(struct pl_bench *bench, const char *path, const char *bytes,
                         size_t length) {
  struct pl_diagnostics *problems = NULL;
  const struct pl_tree *const tree = parse(bench, bytes, length, &problems);
  check_tree(bench, tree, problems, path);
}

static void tokens_tile_every_file(struct pl_bench *bench) {
  assert_true(pl_each_source(bench, check_source) >= PL_FEWEST_SOURCES);
}

static void check_mutation(struct pl_bench *bench, int number, const char *bytes,
                           size_t length) {
  char name[48];
  (void)snprintf(name, sizeof name, "mutation %d", number);
  struct pl_diagnostics *problems = NULL;
  const struct pl_tree *const tree = parse(bench, bytes, length, &problems);
  check_tree(bench, tree, problems, name);
  assert_true(problems->count <= PL_MOST_PROBLEMS + 1);
}

static void tokens_tile_mutations(struct pl_bench *bench) {
  pl_each_mutation(bench, MUTATIONS, check_mutation);
}

/// Every start of a file, as an editor sees it while it is typed.
static void tokens_tile_every_start(struct pl_bench *bench) {
  static const char text[] =
      "include \"a.leaf\"\nlet wide = 3 mm + (2 mm)^2 / 1.5e-3 m # sum\n"
      "setup \"Dry\" from \"Base\" {\n  front { preload += 50 %; toe = -1.5 deg }\n"
      "  oil = blend(\"a\" 60 %, \"b\\\"\" 40 %)\n  piston = 2 x 1.5 mm to 1.4 mm\n"
      "  date = 2026-06-14; air = 18 °C +- 1 K\n  track = “odd” ½ 1,5 x\n}\n";
  for (size_t length = 0; length < sizeof text; length++) {
    struct pl_diagnostics *problems = NULL;
    const struct pl_tree *const tree = parse(bench, text, length, &problems);
    check_tree(bench, tree, problems, "a start of a file");
  }
}

/// Sources that are no text are one token, and nothing is read of them.
static void no_text_is_one_token(struct pl_bench *bench) {
  static const char *const sources[] = {"let a = 1 mm\nlet b = \xff\n", "\xc3", "\xed\xa0\x80"};
  for (size_t i = 0; i < sizeof sources / sizeof sources[0]; i++) {
    struct pl_diagnostics *problems = NULL;
    const struct pl_tree *const tree = parse(bench, sources[i], strlen(sources[i]), &problems);
    assert_int_equal(tree->token_count, 1);
    assert_int_equal(tree->tokens[0].class, PL_CLASS_BAD);
    assert_null(tree->items);
    assert_int_equal(problems->count, 1);
    assert_int_equal(problems->items[0].code, PL_NOT_UTF8);
  }
}

static void empty_source_has_no_token(struct pl_bench *bench) {
  struct pl_diagnostics *problems = NULL;
  const struct pl_tree *const tree = parse(bench, "", 0, &problems);
  assert_int_equal(tree->token_count, 0);
  assert_null(tree->items);
  assert_int_equal(problems->count, 0);
}

int main(void) {
  if (chdir(pl_test_root()) != 0) return 1;
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(tokens_tile_every_file),    PL_BENCH_TEST(tokens_tile_mutations),
      PL_BENCH_TEST(tokens_tile_every_start),   PL_BENCH_TEST(no_text_is_one_token),
      PL_BENCH_TEST(empty_source_has_no_token),
  };
  return cmocka_run_group_tests_name("syntax, tokens", tests, NULL, NULL);
}
