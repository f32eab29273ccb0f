// SPDX-License-Identifier: GPL-3.0-or-later
// Tests that the tokens of a source tile it without a gap: of every file of the language in the
// checkout, and of thousands of files with something wrong in them.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "chance.h"
#include "support.h"

#include "pitleaf/syntax.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define MUTATIONS      5000
#define FEWEST_SOURCES 60
/// Longer sources are cut there before they are changed, so that the test stays quick.
#define LONGEST_CHANGED ((size_t)1500)

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
    if (token->start != at || token->end <= token->start) return (long)at;
    at = token->end;
  }
  return at == tree->source->length ? -1 : (long)at;
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

static void check_tree(const struct pl_tree *tree, const char *what) {
  const long gap = first_gap(tree);
  if (gap >= 0) fail_msg("%s: the tokens do not tile the source at byte %ld", what, gap);
  if (!spans_fit(tree->items, 0, (uint32_t)tree->source->length))
    fail_msg("%s: a node reaches out of its parent", what);
}

// ---------------------------------------------------------------- the files of the checkout

/// Calls `visit` for each .leaf file below the folders that hold some.
static size_t each_source(struct pl_bench *bench,
                          void (*visit)(struct pl_bench *bench, const char *path,
                                        const char *bytes, size_t length)) {
  static const char *const folders[] = {"sheets", "templates", "tests/errors"};
  size_t count = 0;
  for (size_t i = 0; i < sizeof folders / sizeof folders[0]; i++) {
    struct pl_test_names paths = pl_test_names_below(folders[i], ".leaf");
    for (size_t j = 0; j < paths.count; j++) {
      size_t length = 0;
      const char *const bytes = pl_test_read(bench->arena, paths.names[j], &length);
      if (bytes != NULL) visit(bench, paths.names[j], bytes, length);
      count += bytes != NULL ? 1 : 0;
    }
    pl_test_names_free(&paths);
  }
  return count;
}

static void check_source(struct pl_bench *bench, const char *path, const char *bytes,
                         size_t length) {
  struct pl_diagnostics *problems = NULL;
  check_tree(parse(bench, bytes, length, &problems), path);
}

static void tokens_tile_every_file(struct pl_bench *bench) {
  assert_true(each_source(bench, check_source) >= FEWEST_SOURCES);
}

// ---------------------------------------------------------------- mutations

/// What a change puts into a source besides random bytes: the marks of the language, and the
/// beginnings of things that it does not end.
static const char *const pieces[] = {"{",         "}",
                                     "[",         "]",
                                     "(",         ")",
                                     "\"",        "\\",
                                     "\n",        "\r\n",
                                     ";",         ",",
                                     "=",         "+=",
                                     "..",        "+-",
                                     "±",         "#",
                                     "'",         "“",
                                     "”",         "1,5",
                                     "1e",        "1e999",
                                     "0.5",       "wt",
                                     "N/mm",      "mm^",
                                     "/",         "-",
                                     "–",         " in ",
                                     "\xe2\x80",  "\xef\xbb\xbf",
                                     "\u202e",    "\u00a0",
                                     "\t",        "from ",
                                     "when ",     "include ",
                                     "let ",      "one-way ",
                                     "\\u{",      "((((((((",
                                     "{{{{{{{{",  "²",
                                     "°C",        "x",
                                     "not not ",  "-(-(",
                                     "2026-02-30"};

static size_t below(struct pl_chance *chance, size_t limit) {
  return limit == 0 ? 0 : (size_t)(pl_chance_bits(chance) % limit);
}

/// `bytes` with `length` bytes behind its first `at` replaced by others.
static char *spliced(struct pl_bench *bench, const char *bytes, size_t *length, size_t at,
                     size_t cut, const char *piece, size_t piece_length) {
  char *const changed = pl_alloc(bench->arena, *length - cut + piece_length + 1);
  memcpy(changed, bytes, at);
  memcpy(changed + at, piece, piece_length);
  memcpy(changed + at + piece_length, bytes + at + cut, *length - at - cut);
  *length = *length - cut + piece_length;
  return changed;
}

/// One change: a byte flipped, a stretch cut out or doubled, a piece put in, the end cut off.
static char *changed_once(struct pl_bench *bench, struct pl_chance *chance, const char *bytes,
                          size_t *length) {
  const size_t at = below(chance, *length);
  const size_t rest = *length - at;
  const size_t some = rest < 40 ? below(chance, rest + 1) : below(chance, 40);
  const char byte = (char)(pl_chance_bits(chance) & 0xff);
  const char *const piece = pieces[below(chance, sizeof pieces / sizeof pieces[0])];
  switch (below(chance, 6)) {
  case 0: return spliced(bench, bytes, length, at, rest > 0 ? 1 : 0, &byte, 1);
  case 1: return spliced(bench, bytes, length, at, some, "", 0);
  case 2: return spliced(bench, bytes, length, at, 0, bytes + at, some);
  case 3: return spliced(bench, bytes, length, at, rest, "", 0);
  default: return spliced(bench, bytes, length, at, 0, piece, strlen(piece));
  }
}

struct corpus {
  const char *bytes[400];
  size_t length[400];
  size_t count;
};

/// Filled by each_source; a test's own.
static struct corpus corpus;

static void add_to_corpus(struct pl_bench *bench, const char *path, const char *bytes,
                          size_t length) {
  (void)bench;
  (void)path;
  if (corpus.count == sizeof corpus.bytes / sizeof corpus.bytes[0]) return;
  corpus.bytes[corpus.count] = bytes;
  corpus.length[corpus.count++] = length < LONGEST_CHANGED ? length : LONGEST_CHANGED;
}

static void mutate(struct pl_bench *bench, struct pl_chance *chance, int number) {
  const size_t which = below(chance, corpus.count);
  const char *bytes = corpus.bytes[which];
  size_t length = corpus.length[which];
  const size_t changes = 1 + below(chance, 3);
  for (size_t i = 0; i < changes; i++) bytes = changed_once(bench, chance, bytes, &length);
  struct pl_diagnostics *problems = NULL;
  const struct pl_tree *const tree = parse(bench, bytes, length, &problems);
  char name[48];
  (void)snprintf(name, sizeof name, "mutation %d", number);
  check_tree(tree, name);
  assert_true(problems->count <= PL_PROBLEMS_PER_FILE + 1);
}

static void tokens_tile_mutations(struct pl_bench *bench) {
  corpus.count = 0;
  each_source(bench, add_to_corpus);
  assert_true(corpus.count >= FEWEST_SOURCES);
  struct pl_chance chance = {20260614};
  struct pl_arena *const own = bench->arena;
  bench->arena = pl_arena_new(bench->guard);
  for (int i = 0; i < MUTATIONS; i++) {
    mutate(bench, &chance, i);
    pl_arena_reset(bench->arena);
  }
  pl_arena_free(bench->arena);
  bench->arena = own;
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
    check_tree(parse(bench, text, length, &problems), "a start of a file");
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
