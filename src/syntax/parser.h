// SPDX-License-Identifier: GPL-3.0-or-later
// What the lexer, the grammar and their driver share. Only this room and grammar/ see it.
#ifndef PITLEAF_SYNTAX_PARSER_H
#define PITLEAF_SYNTAX_PARSER_H

#include "pitleaf/syntax.h"

// ---------------------------------------------------------------- lexer

/// Where the lexer stands. `cursor` and `marker` belong to the generated code.
struct lexer {
  const struct pl_source *source;
  const unsigned char *start; ///< of the newest token, which ends at the cursor
  const unsigned char *cursor;
  const unsigned char *marker;
  const unsigned char *limit; ///< the NUL behind the last byte
  int condition;              ///< the lexer's own: text at large, or right behind a number
  bool in_brackets;           ///< line ends do not count
};

/// Where a token of the grammar stands, small enough to travel in a register.
struct lexeme {
  uint32_t start;
  uint32_t end;
};

/// What the parser never sees. The grammar's own numbers are above zero.
enum trivia {
  TRIVIA_SPACE = -1,
  TRIVIA_COMMENT = -2,
  TRIVIA_LINE = -3,
  LEX_BAD = -4,           ///< a character that the language has no use for
  LEX_OPEN_TEXT = -5,     ///< a text whose quote does not close on its line
  LEX_DECIMAL_COMMA = -6, ///< a number with a comma in place of the point
  LEX_UNIT_WORD = -7,     ///< what stands behind a number like a unit
  LEX_FOREIGN_DATE = -20, ///< a day that is not year-month-day
  LEX_SLASHES = -21,      ///< `//` and what follows it on the line
  LEX_STRANGE_WORD = -8,  ///< a word with capitals or underscores
  LEX_ODD_TEXT = -9,      ///< a text in quotes of another kind
  LEX_ODD_SIGN = -10,     ///< a comparison in signs of another language
  LEX_END = 0
};

/// A lexer at the start of a source.
struct lexer lexer_for(const struct pl_source *source);

/// Goes on by one token. Its kind is a PL_TOKEN_ number of the grammar, or one of the above.
int lex(struct lexer *lexer);

/// Within brackets, at a line's start: does a new property or a closing brace begin here? Then
/// the bracket was never closed.
bool begins_item(const unsigned char *at);

// ---------------------------------------------------------------- tree building

/// A growing chain of nodes.
struct chain {
  struct pl_node *first;
  struct pl_node *last;
};

/// A unit that was read. A file has few, however many numbers it has.
struct known_unit {
  struct known_unit *next;
  const char *written; ///< in the source
  size_t length;
  struct pl_unit unit;
  bool is_weight;
};

/// A parse under way.
struct parse {
  struct pl_arena *arena;
  struct pl_names *names;
  struct pl_diagnostics *problems;
  const struct pl_source *source;
  struct chain items;
  struct known_unit *units; ///< the newest first
  size_t unit_count;
  size_t let_count;
  size_t block_count;
  bool quiet;          ///< the place was reported already: no second problem before a line end
  bool spoiled;        ///< the line holds what cannot be read: its value is not to be trusted
  bool overflowed;     ///< the parser's stack is full
  struct pl_span last; ///< of the newest token that the parser took
};

static inline struct pl_span span_of(const struct parse *parse, struct lexeme token) {
  return (struct pl_span){parse->source, token.start, token.end};
}

/// Looks for what no file may hold. False if the source is no text, so that nothing more can be
/// said of it.
bool look_over(struct parse *parse);

/// Does look_over() report this character?
bool is_screened(int32_t code);

/// Reports a character that is screened, also one that an escape stands for.
void report_screened(struct parse *parse, int32_t code, struct pl_span span);

static inline const char *text_at(struct pl_span span) {
  return (const char *)span.source->bytes + span.start;
}

static inline size_t span_length(struct pl_span span) {
  return span.end - span.start;
}

static inline void set_name_span(struct pl_node *node, struct pl_span span) {
  node->name_start = span.start;
  node->name_end = span.end;
}

struct chain chain_add(struct chain chain, struct pl_node *node);

/// A node whose name is "" and stands where all of it does.
struct pl_node *node_new(struct parse *parse, enum pl_node_kind kind, struct pl_span span);

struct pl_node *node_include(struct parse *parse, struct lexeme word, struct lexeme path);
struct pl_node *node_let(struct parse *parse, struct lexeme word, struct lexeme name,
                         struct pl_node *value);
/// A line with a key and a value but no `=` between them.
struct pl_node *node_missing_sign(struct parse *parse, struct lexeme key, struct chain titles);
/// What stands for a line that could not be read.
struct pl_node *node_broken(struct parse *parse);
/// A block whose head could not be read: its items are kept.
struct pl_node *node_broken_block(struct parse *parse, struct chain items);
struct pl_node *node_property(struct parse *parse, struct pl_node *key, enum pl_operator action,
                              struct pl_node *value);
struct pl_node *node_block(struct parse *parse, struct lexeme kind, struct chain titles,
                           struct chain bases, struct pl_node *condition, struct chain items,
                           struct lexeme close);

/// A node over `first` and, where not null, `second` and `third`, with the nesting counted.
struct pl_node *node_over(struct parse *parse, enum pl_node_kind kind, struct pl_node *first,
                          struct pl_node *second, struct pl_node *third);
struct pl_node *node_binary(struct parse *parse, enum pl_operator action, struct pl_node *left,
                            struct pl_node *right);
struct pl_node *node_not(struct parse *parse, struct lexeme word, struct pl_node *operand);
/// A minus sign before `operand`; a number takes it itself, so that -5 degC is a temperature.
struct pl_node *node_negation(struct parse *parse, struct lexeme sign, struct pl_node *operand);
struct pl_node *node_row(struct parse *parse, struct pl_node *first, struct chain rest);
/// Ports that open one way; `opens_at` may be null.
struct pl_node *node_one_way(struct parse *parse, struct pl_node *ports, struct lexeme way,
                             struct pl_node *opens_at);
struct pl_node *node_list(struct parse *parse, enum pl_node_kind kind, struct lexeme open,
                          struct chain elements, struct lexeme close);
struct pl_node *node_call(struct parse *parse, struct lexeme name, struct chain arguments,
                          struct lexeme close);
/// A number; `unit` is its unit, or the number again where there is none.
struct pl_node *node_number(struct parse *parse, struct lexeme number, struct lexeme unit);
/// What a number with commas was meant as; null if that is not sure.
const char *comma_meant(struct parse *parse, struct pl_span number);
/// The unit of that spelling, if one was read; else null.
const struct known_unit *unit_read_before(const struct parse *parse, struct pl_span span);
struct pl_node *node_text(struct parse *parse, struct lexeme text);
struct pl_node *node_word(struct parse *parse, enum pl_node_kind kind, struct lexeme word);
/// A word where a key, a kind or a new name stands. One in the wrong letters was reported by
/// now and is read as the one that was meant: `rideHeight` and `Ride_Height` as `ride-height`.
struct pl_node *node_key(struct parse *parse, enum pl_node_kind kind, struct lexeme word);
/// `path . word`
struct pl_node *node_path(struct parse *parse, struct pl_node *path, struct lexeme word);

// ---------------------------------------------------------------- signs that were meant

/// What was meant by a character that the language has no use for; null if that is not known.
const char *mend_for(int32_t code);
/// A sign or a word as the language has it; kind 0 where nothing was meant.
struct meant_sign {
  int kind;
  const char *sign;
};
/// What was meant by an odd sign of comparison.
struct meant_sign sign_meant(struct pl_span odd);
/// What was meant by a word in capitals: `AND`.
struct meant_sign word_meant(struct pl_span word);
/// What was meant by words that stand for a sign: `at most`. `*span`, at first that of the
/// first word, then has all of them.
struct meant_sign words_meant(struct pl_span *span);
/// What was meant by a character that joins conditions in other languages: `&&`, `,`.
struct meant_sign joint_meant(int32_t code);

/// The class of a token that the grammar knows, for those who colour it.
enum pl_token_class class_of(int kind);
/// Is that the key of a rule's condition?
bool is_require(struct pl_span key);
/// `3 in [2, 3]` asks whether 3 is one of them; no length in inches has a list behind it.
bool is_membership(struct pl_span span);
/// `10/half`: a stroke behind a number that no unit follows divides.
bool is_division(struct pl_span word);

/// Reports a token that fits nowhere; `expected` says in words what would.
/// `kind` is 0 at the end of the file; `expected` has one entry for each token of the grammar.
void report_unexpected(struct parse *parse, int kind, struct lexeme got, const bool *expected);
/// Reports that no `=` stands between a key and `titles`.
void report_missing_sign(struct parse *parse, const struct pl_node *titles);

#endif
