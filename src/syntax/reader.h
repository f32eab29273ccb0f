// SPDX-License-Identifier: GPL-3.0-or-later
// A source being read: what the driver of lexer and parser (parse.c) shares with what takes
// tokens that have a mistake in them (mistakes.c).
#ifndef PITLEAF_SYNTAX_READER_H
#define PITLEAF_SYNTAX_READER_H

#include "parser.h"

/// An open brace or bracket.
struct opening {
  struct pl_span span;
  char mark;
  uint32_t line;   ///< where its line starts
  uint32_t indent; ///< blanks before its line's first token
};

/// A source being read.
struct reader {
  struct parse parse;
  struct lexer lexer;
  void *parser;            ///< null: only tokens are wanted
  struct pl_token *tokens; ///< of which the first stands before the file; null: none are wanted
  size_t token_count;
  size_t token_capacity;
  struct opening *open; ///< braces and brackets that wait for their other half
  size_t open_count;
  size_t open_capacity;
  size_t brackets; ///< how many of the innermost are ( or [
  uint32_t line;   ///< where the line starts
  uint32_t indent; ///< blanks before its first token
  bool line_is_open;
  bool line_is_blank;     ///< so far
  bool in_value;          ///< past a line's `=`, where capitals may stand in a name
  bool in_condition;      ///< and that is what a rule requires, or stands behind `when`
  int recent[2];          ///< kinds of the last tokens, the newest first
  bool brace_is_late;     ///< the line's `{` stands on the next
  struct pl_span suspect; ///< the `{` that is closed by a `}` of a block further out
};

static inline struct pl_span span_at(const struct pl_source *source, size_t start,
                                     size_t length) {
  return (struct pl_span){source, (uint32_t)start, (uint32_t)(start + length)};
}

static inline struct pl_span empty_span(const struct pl_source *source, uint32_t at) {
  return (struct pl_span){source, at, at};
}

/// Keeps the token, if tokens are wanted.
void keep_token(struct reader *reader, struct pl_span span, enum pl_token_class class);
/// Hands the parser a token.
void feed(struct reader *reader, int kind, struct pl_span span);
/// Ends the property that the line leaves open, if there is one.
void end_line(struct reader *reader, struct pl_span span);
/// Forgets the innermost open brace or bracket.
void pop_open(struct reader *reader);
/// Gives up the brackets that are open: the outermost is reported, the line ended, and the
/// parser goes on with the next.
void abandon_brackets(struct reader *reader, struct pl_span here);

// What is wrong in itself, or would be right in another language (mistakes.c): each is
// reported, and read as what was meant.

/// `3,5` and `1,000`.
void take_decimal_comma(struct reader *reader, struct pl_span span);
/// `=>`, `<>`, `===`: a sign as other languages write it.
void take_odd_sign(struct reader *reader, struct pl_span span);
/// In a condition, takes `=`, `,` and `at most` as what they stand for; false if it is none of
/// these.
bool take_in_condition(struct reader *reader, int kind, struct pl_span span);
/// Capitals and underscores: where a name is used, whoever looks it up tells the right one;
/// where the word does not fit anyway, that is said and no more.
void take_strange_word(struct reader *reader, struct pl_span span);
/// A text between other marks than ".
void take_odd_text(struct reader *reader, struct pl_span span);
/// A date in another order.
void take_foreign_date(struct reader *reader, struct pl_span span);
/// `//`, and the line behind it.
void take_slashes(struct reader *reader, struct pl_span span);
/// A text that nothing closes on its line.
void take_open_text(struct reader *reader, struct pl_span span);
/// A character that no token begins with.
void take_bad(struct reader *reader, struct pl_span byte);

#endif
