// SPDX-License-Identifier: GPL-3.0-or-later
// Files of the language with something wrong in them: the checkout's own, changed by chance,
// the same in every run.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "mutation.h"

#include "chance.h"

#include <string.h>

/// Longer files are cut there before they are changed, so that tests stay quick.
#define LONGEST ((size_t)1500)

size_t pl_each_source(struct pl_bench *bench,
                      void (*visit)(struct pl_bench *bench, const char *path, const char *bytes,
                                    size_t length)) {
  static const char *const folders[] = {"sheets", "templates", "tests/errors"};
  size_t count = 0;
  for (size_t i = 0; i < sizeof folders / sizeof folders[0]; i++) {
    struct pl_test_names paths = pl_test_names_below(folders[i], ".leaf");
    for (size_t j = 0; j < paths.count; j++) {
      size_t length = 0;
      const char *const bytes = pl_test_read(bench->arena, paths.names[j], &length);
      if (bytes == NULL) continue;
      visit(bench, paths.names[j], bytes, length);
      count++;
    }
    pl_test_names_free(&paths);
  }
  return count;
}

// ---------------------------------------------------------------- one change

/// What a change puts in besides random bytes: the marks of the language, and the beginnings of
/// things that it does not end.
static const char *const pieces[] = {"{",        "}",         "[",
                                     "]",        "(",         ")",
                                     "\"",       "\\",        "\n",
                                     "\r\n",     ";",         ",",
                                     "=",        "+=",        "..",
                                     "+-",       "±",         "#",
                                     "'",        "“",         "”",
                                     "1,5",      "1e",        "1e999",
                                     "0.5",      "wt",        "N/mm",
                                     "mm^",      "/",         "-",
                                     "–",        " in ",      "²",
                                     "°C",       "x",         "\x07",
                                     "\xc2\xa0", "\xe2\x80",  "\xef\xbb\xbf",
                                     "\t",       "from ",     "when ",
                                     "let ",     "include ",  "one-way ",
                                     "\\u{",     "((((((((",  "{{{{{{{{",
                                     "-(-(",     "not not ",  "blend(",
                                     "front.",   "2026-02-30"};

static size_t below(struct pl_chance *chance, size_t limit) {
  return limit == 0 ? 0 : (size_t)(pl_chance_bits(chance) % limit);
}

/// `bytes` with `cut` bytes behind its first `at` replaced by a piece.
static char *spliced(struct pl_arena *arena, const char *bytes, size_t *length, size_t at,
                     size_t cut, const char *piece, size_t piece_length) {
  char *const changed = pl_alloc(arena, *length - cut + piece_length + 1);
  memcpy(changed, bytes, at);
  memcpy(changed + at, piece, piece_length);
  memcpy(changed + at + piece_length, bytes + at + cut, *length - at - cut);
  *length = *length - cut + piece_length;
  return changed;
}

/// A byte flipped, a stretch cut out or doubled, the end cut off, or a piece put in.
static char *changed_once(struct pl_arena *arena, struct pl_chance *chance, const char *bytes,
                          size_t *length) {
  const size_t at = below(chance, *length);
  const size_t rest = *length - at;
  const size_t some = below(chance, rest < 40 ? rest + 1 : 40);
  const char byte = (char)(pl_chance_bits(chance) & 0xff);
  const char *const piece = pieces[below(chance, sizeof pieces / sizeof pieces[0])];
  switch (below(chance, 6)) {
  case 0: return spliced(arena, bytes, length, at, rest > 0 ? 1 : 0, &byte, 1);
  case 1: return spliced(arena, bytes, length, at, some, "", 0);
  case 2: return spliced(arena, bytes, length, at, 0, bytes + at, some);
  case 3: return spliced(arena, bytes, length, at, rest, "", 0);
  default: return spliced(arena, bytes, length, at, 0, piece, strlen(piece));
  }
}

// ---------------------------------------------------------------- all of them

struct corpus {
  const char *bytes[1000];
  size_t length[1000];
  size_t count;
};

/// Filled by pl_each_source, which knows nothing of it; of one test at a time.
static struct corpus corpus;

static void add_to_corpus(struct pl_bench *bench, const char *path, const char *bytes,
                          size_t length) {
  (void)bench;
  (void)path;
  if (corpus.count == sizeof corpus.bytes / sizeof corpus.bytes[0]) return;
  corpus.bytes[corpus.count] = bytes;
  corpus.length[corpus.count++] = length < LONGEST ? length : LONGEST;
}

void pl_each_mutation(struct pl_bench *bench, int count,
                      void (*visit)(struct pl_bench *bench, int number, const char *bytes,
                                    size_t length)) {
  corpus.count = 0;
  assert_true(pl_each_source(bench, add_to_corpus) >= PL_FEWEST_SOURCES);
  struct pl_chance chance = {20260614};
  struct pl_arena *const own = bench->arena;
  bench->spare = pl_arena_new(bench->guard);
  for (int i = 0; i < count; i++) {
    bench->arena = bench->spare;
    const size_t which = below(&chance, corpus.count);
    const char *bytes = corpus.bytes[which];
    size_t length = corpus.length[which];
    const size_t changes = 1 + below(&chance, 3);
    for (size_t j = 0; j < changes; j++)
      bytes = changed_once(bench->arena, &chance, bytes, &length);
    visit(bench, i, bytes, length);
    pl_arena_reset(bench->spare);
    bench->arena = own;
  }
}
