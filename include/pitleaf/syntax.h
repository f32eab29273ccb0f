// SPDX-License-Identifier: GPL-3.0-or-later
// syntax: from source text to a lossless tree. Tokens tile the source without a gap, so that
// comments, blank lines and spacing are all there for whoever rewrites a file.
#ifndef PITLEAF_SYNTAX_H
#define PITLEAF_SYNTAX_H

#include "pitleaf/base.h"
#include "pitleaf/units.h"

/// What a stretch of source is.
enum pl_token_class {
  PL_CLASS_SPACE,   ///< blanks, line ends inside brackets
  PL_CLASS_LINE,    ///< a line end
  PL_CLASS_COMMENT, ///< from `#` to the end of the line
  PL_CLASS_WORD,    ///< a key, a kind, a name, a keyword
  PL_CLASS_TEXT,    ///< "…"
  PL_CLASS_NUMBER,
  PL_CLASS_UNIT,
  PL_CLASS_DATE,
  PL_CLASS_MARK, ///< brackets, operators, separators
  PL_CLASS_BAD   ///< what the language has no use for
};

/// A stretch of the source, from where the token before it ends (a file may have a token for
/// every other byte, so they are kept small).
struct pl_token {
  uint32_t end : 28;
  uint32_t class : 4; ///< enum pl_token_class
};

/// One byte each, since a large file has millions of nodes.
enum __attribute__((packed)) pl_node_kind {
  // items
  PL_NODE_INCLUDE,  ///< name: the path
  PL_NODE_LET,      ///< name; children: the value
  PL_NODE_BLOCK,    ///< name: the kind; head; children: the items
  PL_NODE_PROPERTY, ///< name: the key; operator; children: the value
  PL_NODE_BROKEN,   ///< skipped after a problem that was reported
  // values
  PL_NODE_NUMBER,    ///< number and, if `has_unit`, unit
  PL_NODE_TEXT,      ///< name: the text with its escapes undone
  PL_NODE_NAME,      ///< name: one or more words joined by points
  PL_NODE_DATE,      ///< name: year-month-day
  PL_NODE_NEGATION,  ///< children: one
  PL_NODE_NOT,       ///< children: one
  PL_NODE_BINARY,    ///< operator; children: two
  PL_NODE_CALL,      ///< name: the function; children: the arguments
  PL_NODE_LIST,      ///< children: the elements
  PL_NODE_GROUP,     ///< ( … ): one child, or the two or three of a point
  PL_NODE_RANGE,     ///< children: least, greatest
  PL_NODE_TOLERANCE, ///< children: value, tolerance
  PL_NODE_PORTS,     ///< children: count, diameter, and where tapered the other diameter
  PL_NODE_ONE_WAY,   ///< name: the direction; children: the ports, and where given the pressure
  PL_NODE_AT,        ///< children: value, temperature
  PL_NODE_COILS,     ///< children: number of coils, gap
  PL_NODE_ROW        ///< children: values side by side
};

enum __attribute__((packed)) pl_operator {
  PL_OPERATOR_NONE,
  PL_SET,
  PL_SET_PLUS,
  PL_SET_MINUS,
  PL_SET_TIMES,
  PL_PLUS,
  PL_MINUS,
  PL_TIMES,
  PL_DIVIDE,
  PL_POWER,
  PL_LESS,
  PL_LESS_EQUAL,
  PL_EQUAL,
  PL_NOT_EQUAL,
  PL_GREATER_EQUAL,
  PL_GREATER,
  PL_IN,
  PL_AND,
  PL_OR
};

struct pl_head;

/// A node of the tree. Lists are chained by `next`.
struct pl_node {
  enum pl_node_kind kind;
  enum pl_node_kind
      key_kind; ///< of a property, how its key is written: a name, a text, a number
  enum pl_operator action;
  bool is_weight;      ///< the unit is `wt`
  uint16_t depth;      ///< of nesting below it
  struct pl_span span; ///< all of it
  uint32_t name_start; ///< see pl_name_span
  uint32_t name_end;
  const char *name; ///< interned; "" when there is none
  double number;
  const struct pl_unit *unit; ///< null: none
  struct pl_node *children;
  struct pl_head *head; ///< of a block; null: none
  struct pl_node *next;
};

/// What stands between a block's kind and its brace.
struct pl_head {
  struct pl_node *titles;    ///< texts and numbers
  struct pl_node *bases;     ///< the texts behind `from`
  struct pl_node *condition; ///< the expression behind `when`
};

static inline struct pl_node *pl_titles(const struct pl_node *node) {
  return node->head == NULL ? NULL : node->head->titles;
}

static inline struct pl_node *pl_bases(const struct pl_node *node) {
  return node->head == NULL ? NULL : node->head->bases;
}

static inline struct pl_node *pl_condition(const struct pl_node *node) {
  return node->head == NULL ? NULL : node->head->condition;
}

/// Where the key, the kind, the path of a node stands.
static inline struct pl_span pl_name_span(const struct pl_node *node) {
  return (struct pl_span){node->span.source, node->name_start, node->name_end};
}

/// A property's key as a node of its own.
struct pl_node pl_key_node(const struct pl_node *property);

/// The tree of one file.
struct pl_tree {
  const struct pl_source *source;
  struct pl_node *items;
  const struct pl_token *tokens; ///< see pl_token_start; null: they were not kept
  size_t token_count;
  size_t let_count; ///< at the top and in blocks, as the next
  size_t block_count;
};

/// The byte of the source where one of a tree's tokens starts.
uint32_t pl_token_start(const struct pl_token *token);

/// Reads a source into a tree. Problems go to `problems`; what could be read is in the tree, so
/// that one run finds all of them. Never null. Everything is owned by `arena`, names by
/// `names`.
struct pl_tree *pl_parse(struct pl_arena *arena, struct pl_names *names,
                         struct pl_diagnostics *problems, const struct pl_source *source);
/// The same without tokens: for who asks what a file says and not how it is written.
struct pl_tree *pl_parse_items(struct pl_arena *arena, struct pl_names *names,
                               struct pl_diagnostics *problems, const struct pl_source *source);
/// Gives the tree its tokens, owned by `arena`, if it has none.
void pl_add_tokens(struct pl_arena *arena, struct pl_tree *tree);

/// A line of a file as it is written, in one form whatever its blanks and comments.
struct pl_flat_line {
  const char *block; ///< the outermost block that holds it (`setup "wet"`); "": none
  bool is_block;     ///< it is in a block, or, with the key "", such a block's own head
  const char *key;   ///< within it: "front preload", `rule "Bore" require`, "let grams"
  const char *text;  ///< the value ("3 mm"); what a block starts from; what was not understood
  enum pl_operator action; ///< PL_SET and the like; PL_OPERATOR_NONE for what is no property
  const struct pl_node *node;
};

/// All lines of a tree in their order; blocks within a block are part of the keys. Texts and
/// array are owned by `arena`.
const struct pl_flat_line *pl_flat_lines(struct pl_arena *arena, const struct pl_tree *tree,
                                         size_t *count);

// ---------------------------------------------------------------- layout

/// Whether the printer may put the scopes of a car and a setup in their order.
enum pl_tidy_order { PL_TIDY_KEEPS_ORDER, PL_TIDY_ORDERS_SCOPES };

/// A file's text in the one layout (grammar/language.md says what it is).
struct pl_tidied {
  const char *text; ///< with a NUL behind it; null: nothing can be laid out
  size_t length;
  bool reordered; ///< a scope was moved: who writes the text over the file compares its meaning
};

/// Lays out a file. The tree has to come from a source without mistakes of syntax: otherwise
/// the text may be null, and must not be used. Every token of the source but `;` and the mark
/// of byte order stands in the text, in the same order unless scopes were moved, and so does
/// each comment: beside the same neighbours, on a line of its own or behind something as it
/// was. Laid out again, the text stays as it is. Takes time in the order of the file's size.
/// Owned by the arena.
struct pl_tidied pl_tidy(struct pl_arena *arena, const struct pl_tree *tree,
                         enum pl_tidy_order order);

/// Do two files say the same: equal trees, wherever things stand, and the same comments? Where
/// `order` lets scopes be moved, those of a car or a setup that stand side by side may be in
/// any order, and comments move with them.
bool pl_tree_same(const struct pl_tree *one, const struct pl_tree *other,
                  enum pl_tidy_order order);

// ---------------------------------------------------------------- text

/// The text of a span as it stands in the source (copied into the arena).
const char *pl_span_text(struct pl_arena *arena, struct pl_span span);
/// The same on one line: blanks and line ends are one blank each.
const char *pl_span_line(struct pl_arena *arena, struct pl_span span);
/// The same for a problem, below which its line stands: after some 60 bytes it breaks off.
const char *pl_span_shown(struct pl_arena *arena, struct pl_span span);
/// "file:line" of its start, or "" for none.
const char *pl_span_place(struct pl_arena *arena, struct pl_span span);

/// The unit that a word was most likely meant as (`mm^2` for "mm2", `degC` for "degc"), or
/// null.
const char *pl_unit_meant(struct pl_arena *arena, const char *word);

/// Adds a text as a file would have it: in quotes, with escapes where it needs them. No text
/// has control characters other than new lines and tabs.
void pl_buffer_quoted(struct pl_buffer *out, const char *text);

/// The sign of an operator ("+", "<="), for messages.
const char *pl_operator_sign(enum pl_operator action);

#endif
