// SPDX-License-Identifier: GPL-3.0-or-later
// Blanks between tokens: one between most, none where they would look like a slip. Whatever
// stands here, the tokens of the text that is made are those of the text that was read: blanks
// are left out only beside brackets, commas and points, and behind a sign.
#include "tidy.h"

#include <string.h>
#include <utf8proc.h>

// ---------------------------------------------------------------- tokens

const char *tidy_text(const struct pl_tree *tree, size_t token) {
  return (const char *)tree->source->bytes + pl_token_start(&tree->tokens[token]);
}

size_t tidy_length(const struct pl_tree *tree, size_t token) {
  return tree->tokens[token].end - pl_token_start(&tree->tokens[token]);
}

bool tidy_is_mark(const struct pl_tree *tree, size_t token, char mark) {
  return tree->tokens[token].class == PL_CLASS_MARK && tidy_length(tree, token) == 1 &&
         *tidy_text(tree, token) == mark;
}

bool tidy_is_space(const struct pl_tree *tree, size_t token) {
  return tree->tokens[token].class == PL_CLASS_SPACE;
}

bool tidy_is_line_end(const struct pl_tree *tree, size_t token) {
  const enum pl_token_class class = tree->tokens[token].class;
  return class == PL_CLASS_LINE ||
         (class == PL_CLASS_SPACE &&
          tidy_text(tree, token)[tidy_length(tree, token) - 1] == '\n');
}

bool tidy_is_word(const struct pl_tree *tree, size_t token, const char *word) {
  const size_t length = strlen(word);
  return tree->tokens[token].class == PL_CLASS_WORD && tidy_length(tree, token) == length &&
         memcmp(tidy_text(tree, token), word, length) == 0;
}

size_t tidy_comment_length(const struct pl_tree *tree, size_t comment) {
  const char *const text = tidy_text(tree, comment);
  size_t length = tidy_length(tree, comment);
  while (length > 0 && strchr(" \t\r", text[length - 1]) != NULL) length--;
  return length;
}

static size_t columns_of_text(const utf8proc_uint8_t *text, size_t length) {
  size_t columns = 0;
  for (size_t at = 0; at < length;) {
    if (text[at] < 0x80) {
      at++;
      columns++;
      continue;
    }
    utf8proc_int32_t code = 0;
    const utf8proc_ssize_t size =
        utf8proc_iterate(text + at, (utf8proc_ssize_t)(length - at), &code);
    at += size > 0 ? (size_t)size : 1;
    columns += size > 0 ? (size_t)utf8proc_charwidth(code) : 1;
  }
  return columns;
}

size_t tidy_columns(const struct pl_tree *tree, size_t token) {
  const size_t length = tree->tokens[token].class == PL_CLASS_COMMENT
                            ? tidy_comment_length(tree, token)
                            : tidy_length(tree, token);
  return columns_of_text((const utf8proc_uint8_t *)tidy_text(tree, token), length);
}

// ---------------------------------------------------------------- blanks

/// One of the words that work on what stands before them; elsewhere most of them are names.
static bool is_operator_word(const struct pl_tree *tree, size_t token, bool ends_operand) {
  static const char *const always[] = {"in", "and", "or", "not"};
  static const char *const behind[] = {"x",   "\u00d7",  "to",       "at",   "coils",
                                       "gap", "one-way", "opens-at", "from", "when"};
  for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
    if (tidy_is_word(tree, token, always[i])) return true;
  }
  for (size_t i = 0; ends_operand && i < sizeof behind / sizeof behind[0]; i++) {
    if (tidy_is_word(tree, token, behind[i])) return true;
  }
  return false;
}

static bool is_sign(const struct pl_tree *tree, size_t token) {
  return tidy_is_mark(tree, token, '-') || tidy_is_mark(tree, token, '+') ||
         (tree->tokens[token].class == PL_CLASS_MARK && tidy_length(tree, token) == 3 &&
          memcmp(tidy_text(tree, token), "\u2212", 3) == 0);
}

static bool opens(const struct pl_tree *tree, size_t token) {
  return tidy_is_mark(tree, token, '(') || tidy_is_mark(tree, token, '[');
}

static bool closes(const struct pl_tree *tree, size_t token) {
  return tidy_is_mark(tree, token, ')') || tidy_is_mark(tree, token, ']');
}

/// `1/10`: a fraction of two plain numbers that is written without blanks stays so.
static bool is_fraction(const struct pl_tree *tree, size_t token) {
  return tidy_is_mark(tree, token, '/') && token > 0 && token + 1 < tree->token_count &&
         tree->tokens[token - 1].class == PL_CLASS_NUMBER &&
         tree->tokens[token + 1].class == PL_CLASS_NUMBER;
}

/// Takes note of the token, for the next one's sake.
static void note(struct tidy_spacing *spacing, size_t token) {
  const struct pl_tree *const tree = spacing->tree;
  const bool is_word = tree->tokens[token].class == PL_CLASS_WORD;
  const bool is_mark = tree->tokens[token].class == PL_CLASS_MARK;
  const bool works = is_word && is_operator_word(tree, token, spacing->ends_operand);
  spacing->started = true;
  spacing->sign = is_sign(tree, token) && !spacing->ends_operand;
  spacing->tight =
      opens(tree, token) || tidy_is_mark(tree, token, '.') || is_fraction(tree, token);
  spacing->name = is_word && !works;
  spacing->ends_operand =
      is_mark ? closes(tree, token) : !works || tidy_is_word(tree, token, "coils");
}

bool tidy_blank_before(struct tidy_spacing *spacing, size_t token) {
  const struct pl_tree *const tree = spacing->tree;
  bool blank = spacing->started && !spacing->tight;
  if (closes(tree, token) || tidy_is_mark(tree, token, ',') || tidy_is_mark(tree, token, '.') ||
      is_fraction(tree, token) || (spacing->name && tidy_is_mark(tree, token, '(')))
    blank = false;
  // Two signs in a row would read as one: `+ -1` is no tolerance.
  if (spacing->sign) blank = is_sign(tree, token);
  note(spacing, token);
  return blank;
}

size_t tidy_run_columns(const struct pl_tree *tree, size_t first, size_t last) {
  struct tidy_spacing spacing = {.tree = tree};
  size_t columns = 0;
  for (size_t i = first; i <= last; i++) {
    if (tidy_is_space(tree, i)) continue;
    columns += (tidy_blank_before(&spacing, i) ? 1 : 0) + tidy_columns(tree, i);
  }
  return columns;
}
