// SPDX-License-Identifier: GPL-3.0-or-later
// What holds of every file that the printer lays out. Nothing here uses the printer's own
// notion of an item: tokens are compared with tokens.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "layout.h"

#include <string.h>

static const struct pl_tree *parse(struct pl_bench *bench, const char *bytes, size_t length,
                                   size_t *errors) {
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, "test.leaf", (const unsigned char *)bytes, length);
  struct pl_diagnostics *const problems = pl_diagnostics_new(bench->arena);
  const struct pl_tree *const tree =
      pl_parse(bench->arena, pl_session_names(bench->session), problems, source);
  *errors = problems->errors;
  return tree;
}

const char *pl_laid_out(struct pl_bench *bench, const char *bytes, size_t length,
                        enum pl_tidy_order order) {
  size_t errors = 0;
  const struct pl_tree *const tree = parse(bench, bytes, length, &errors);
  return errors > 0 ? NULL : pl_tidy(bench->arena, tree, order).text;
}

// ---------------------------------------------------------------- tokens

/// A tree's tokens that count, one after the other.
struct walk {
  const struct pl_tree *tree;
  size_t next;
  const char *text; ///< of the newest
  size_t length;
  enum pl_token_class class;
  bool begins_line; ///< nothing that counts stands before it on its line
  bool line_is_empty;
};

static bool step(struct walk *walk) {
  while (walk->next < walk->tree->token_count) {
    const struct pl_token *const token = &walk->tree->tokens[walk->next++];
    walk->text = (const char *)walk->tree->source->bytes + pl_token_start(token);
    walk->length = token->end - pl_token_start(token);
    walk->class = token->class;
    const bool ends_line = memchr(walk->text, '\n', walk->length) != NULL;
    if (ends_line) walk->line_is_empty = true;
    if (token->class == PL_CLASS_SPACE || token->class == PL_CLASS_LINE ||
        (token->class == PL_CLASS_MARK && walk->text[0] == ';') ||
        (token->class == PL_CLASS_BAD && pl_token_start(token) == 0))
      continue;
    walk->begins_line = walk->line_is_empty;
    walk->line_is_empty = false;
    if (token->class != PL_CLASS_COMMENT) return true;
    while (walk->length > 0 && strchr(" \t\r", walk->text[walk->length - 1]) != NULL)
      walk->length--;
    return true;
  }
  return false;
}

static void check_tokens(const struct pl_tree *before, const struct pl_tree *after,
                         const char *what) {
  struct walk one = {.tree = before, .line_is_empty = true};
  struct walk other = {.tree = after, .line_is_empty = true};
  while (step(&one)) {
    if (!step(&other)) fail_msg("%s: `%.*s` is lost", what, (int)one.length, one.text);
    if (one.class != other.class || one.length != other.length ||
        memcmp(one.text, other.text, one.length) != 0)
      fail_msg("%s: `%.*s` became `%.*s`", what, (int)one.length, one.text, (int)other.length,
               other.text);
    if (one.class == PL_CLASS_COMMENT && one.begins_line != other.begins_line)
      fail_msg("%s: `%.*s` has left its line", what, (int)one.length, one.text);
  }
  if (step(&other)) fail_msg("%s: `%.*s` came in", what, (int)other.length, other.text);
}

// ---------------------------------------------------------------- blanks

static void check_blanks(const struct pl_tree *tree, const char *what) {
  const char *const text = (const char *)tree->source->bytes;
  const size_t length = tree->source->length;
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    const bool is_blank = token->class == PL_CLASS_SPACE || token->class == PL_CLASS_LINE;
    if (is_blank &&
        memchr(text + pl_token_start(token), '\t', token->end - pl_token_start(token)) != NULL)
      fail_msg("%s: a tab is left", what);
  }
  if (length == 0) return;
  if (text[0] == '\n') fail_msg("%s: it begins with an empty line", what);
  if (text[length - 1] != '\n') fail_msg("%s: the last line has no end", what);
  if (strstr(text, "\n\n\n") != NULL || (length > 1 && text[length - 2] == '\n'))
    fail_msg("%s: an empty line too many", what);
  for (const char *end = text; (end = strchr(end, '\n')) != NULL; end++) {
    if (end > text && strchr(" \t\r", end[-1]) != NULL)
      fail_msg("%s: a blank stands before a line end", what);
  }
}

// ---------------------------------------------------------------- all of it

static void check_again(struct pl_bench *bench, const char *what, const struct pl_tree *tree,
                        enum pl_tidy_order order) {
  const struct pl_tidied again = pl_tidy(bench->arena, tree, order);
  assert_non_null(again.text);
  if (again.length == tree->source->length &&
      memcmp(again.text, tree->source->bytes, again.length) == 0)
    return;
  fail_msg("%s: laid out again it changes, from\n%s\nto\n%s", what,
           (const char *)tree->source->bytes, again.text);
}

static void check_order(struct pl_bench *bench, const char *what, const struct pl_tree *tree) {
  const struct pl_tidied tidied = pl_tidy(bench->arena, tree, PL_TIDY_ORDERS_SCOPES);
  if (!tidied.reordered) return;
  size_t errors = 0;
  const struct pl_tree *const after = parse(bench, tidied.text, tidied.length, &errors);
  if (errors > 0 || !pl_tree_same(tree, after, PL_TIDY_ORDERS_SCOPES))
    fail_msg("%s: with its scopes in order it says something else:\n%s", what, tidied.text);
  check_blanks(after, what);
  check_again(bench, what, after, PL_TIDY_ORDERS_SCOPES);
}

bool pl_check_layout(struct pl_bench *bench, const char *what, const char *bytes,
                     size_t length) {
  size_t errors = 0;
  const struct pl_tree *const before = parse(bench, bytes, length, &errors);
  const struct pl_tidied tidied = pl_tidy(bench->arena, before, PL_TIDY_KEEPS_ORDER);
  if (errors > 0) return false; // what the printer makes of it has to be no crash
  if (tidied.text == NULL) fail_msg("%s: it cannot be laid out", what);
  const struct pl_tree *const after = parse(bench, tidied.text, tidied.length, &errors);
  if (errors > 0) fail_msg("%s: laid out it has mistakes:\n%s", what, tidied.text);
  check_tokens(before, after, what);
  if (!pl_tree_same(before, after, PL_TIDY_KEEPS_ORDER))
    fail_msg("%s: it says something else:\n%s", what, tidied.text);
  check_blanks(after, what);
  check_again(bench, what, after, PL_TIDY_KEEPS_ORDER);
  check_order(bench, what, before);
  return true;
}
