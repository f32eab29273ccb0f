// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the printer on files of the checkout that were changed by chance.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "layout.h"
#include "mutation.h"

#include "chance.h"

#include <unistd.h>

#define MUTATIONS 30000

/// Of them, so many have no mistake of syntax at the least, and are looked at.
#define FEWEST_LAID_OUT 3000

static size_t laid_out;

static void check_mutation(struct pl_bench *bench, int number, const char *bytes,
                           size_t length) {
  if (pl_check_layout(bench, pl_format(bench->arena, "mutation %d", number), bytes, length))
    laid_out++;
}

static void mutations_keep_what_they_say(struct pl_bench *bench) {
  laid_out = 0;
  pl_each_mutation(bench, MUTATIONS, check_mutation);
  print_message("  %d files changed by chance, of which %zu could be laid out\n", MUTATIONS,
                laid_out);
  assert_true(laid_out >= FEWEST_LAID_OUT);
}

// ---------------------------------------------------------------- blanks and comments put in

#define SPRINKLINGS      10000
#define FEWEST_SPRINKLED 4000

/// Longer files are left out, so that the test stays quick.
#define LONGEST_SPRINKLED ((size_t)6000)

static struct {
  const char *bytes[1000];
  size_t length[1000];
  size_t count;
} corpus;

static void add_to_corpus(struct pl_bench *bench, const char *path, const char *bytes,
                          size_t length) {
  (void)bench;
  (void)path;
  if (corpus.count == 1000 || length > LONGEST_SPRINKLED) return;
  corpus.bytes[corpus.count] = bytes;
  corpus.length[corpus.count++] = length;
}

/// The file with blanks, line ends and comments put between its tokens, here and there.
static const char *sprinkled(struct pl_bench *bench, struct pl_chance *chance,
                             const char *bytes, size_t length, size_t *longer) {
  static const char *const pieces[] = {"\n",        " # of this\n", ";",          "\t",
                                       "\r\n",      "\n\n\n",       "  ",         "#\n",
                                       "\n# own\n", " \t \n",       "# a \t\r\n", "\n ; # b\n"};
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "test.leaf", (const unsigned char *)bytes, length);
  const struct pl_tree *const tree = pl_parse(bench->arena, pl_names_new(bench->arena),
                                              pl_diagnostics_new(bench->arena), source);
  struct pl_buffer out = {.arena = bench->arena};
  const uint64_t rarely = 1 + pl_chance_bits(chance) % 200;
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    const bool at_comment = i > 0 && tree->tokens[i - 1].class == PL_CLASS_COMMENT;
    if (!at_comment && pl_chance_bits(chance) % rarely == 0)
      pl_buffer_text(&out, pieces[pl_chance_bits(chance) % (sizeof pieces / sizeof pieces[0])]);
    pl_buffer_add(&out, bytes + pl_token_start(token), token->end - pl_token_start(token));
  }
  *longer = out.length;
  return pl_buffer_string(&out);
}

static void comments_anywhere_are_kept(struct pl_bench *bench) {
  corpus.count = 0;
  assert_true(pl_each_source(bench, add_to_corpus) >= PL_FEWEST_SOURCES);
  struct pl_chance chance = {20261125};
  struct pl_arena *const own = bench->arena;
  bench->spare = pl_arena_new(bench->guard);
  size_t count = 0;
  for (int i = 0; i < SPRINKLINGS; i++) {
    bench->arena = bench->spare;
    const size_t which = pl_chance_below(&chance, corpus.count);
    size_t length = 0;
    const char *const bytes =
        sprinkled(bench, &chance, corpus.bytes[which], corpus.length[which], &length);
    if (pl_check_layout(bench, pl_format(bench->arena, "sprinkling %d", i), bytes, length))
      count++;
    pl_arena_reset(bench->spare);
    bench->arena = own;
  }
  print_message("  %d files with blanks and comments put in, of which %zu could be laid out\n",
                SPRINKLINGS, count);
  assert_true(count >= FEWEST_SPRINKLED);
}

int main(void) {
  if (chdir(pl_test_root()) != 0) return 1;
  const struct CMUnitTest tests[] = {PL_BENCH_TEST(mutations_keep_what_they_say),
                                     PL_BENCH_TEST(comments_anywhere_are_kept)};
  return cmocka_run_group_tests_name("layout, mutations", tests, NULL, NULL);
}
