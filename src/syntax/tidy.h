// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of the printer share. Tokens become items, items are given their places, and
// lines come out.
#ifndef PITLEAF_SYNTAX_TIDY_H
#define PITLEAF_SYNTAX_TIDY_H

#include "pitleaf/syntax.h"

/// Columns that a line should not pass.
#define TIDY_COLUMNS ((size_t)100)

/// Columns that a block of a table (see tidy_table.c) may take on its line.
#define TIDY_TABLE_COLUMNS ((size_t)160)

/// A key wider than this stands apart: nothing is aligned with it.
#define TIDY_KEY_COLUMNS ((size_t)32)

/// Blanks before a comment that stands behind something.
#define TIDY_BEFORE_COMMENT ((size_t)2)

/// Fewest rows of such a table.
#define TIDY_TABLE_ROWS ((size_t)3)

/// Columns before a comment behind a property or a block of one line, where there is room, so
/// that most of a file's comments stand beneath each other.
#define TIDY_COMMENT_COLUMN ((size_t)33)

/// How much further in the items of a block stand, columns.
#define TIDY_INDENT ((size_t)2)

/// In place of a token's number: there is none.
#define TIDY_NONE SIZE_MAX

enum tidy_kind { TIDY_PROPERTY, TIDY_BLOCK, TIDY_COMMENT };

/// What stands in a file or a block: a property (also an include or a let), a block, or a
/// comment on a line of its own. Tokens are meant by their number.
struct tidy_item {
  enum tidy_kind kind;
  size_t first;            ///< its first token; of a block that of its head
  size_t last;             ///< its last token; of a block that of its head
  size_t sign;             ///< of a property: the `=`; TIDY_NONE for an include
  size_t comment;          ///< the comment behind it on its last line, or TIDY_NONE
  size_t head_comment;     ///< the comment behind a block's `{`, or TIDY_NONE
  size_t joined;           ///< items, from this one on, that share a line with one comment
  size_t width;            ///< columns on one line; counts only where `is_flat`
  bool is_flat;            ///< it stands on one line, and no comment within
  bool stays_flat;         ///< of a block: it is printed on one line
  bool blank_before;       ///< an empty line stands before it
  bool shares_line;        ///< the item before it ends on the line on which this one begins
  struct tidy_item *items; ///< of a block
  struct tidy_item *next;
};

// ---------------------------------------------------------------- items (tidy_items.c)

/// Cuts a tree's tokens into items. False if they are none of a file without mistakes.
bool tidy_items(struct pl_arena *arena, const struct pl_tree *tree, struct tidy_item **items);

// ---------------------------------------------------------------- what stays on its line
// (tidy.c)

/// Finds the items that stay on one line with others, and sets their `joined`.
void tidy_find_joined(struct tidy_item *items, size_t indent);

// ---------------------------------------------------------------- order (tidy_order.c)

/// Scopes that have an order.
#define TIDY_SCOPES ((size_t)9)

/// The place of a scope among the others; TIDY_SCOPES for what is none.
size_t tidy_scope_rank(const struct pl_node *node);
/// Puts scopes in their order where nothing can come of it; see there. True if any was moved.
bool tidy_order(struct pl_arena *arena, const struct pl_tree *tree, struct tidy_item *items);

// ---------------------------------------------------------------- spacing (tidy_space.c)

/// Where a run of tokens is printed: decides on blanks between them.
struct tidy_spacing {
  const struct pl_tree *tree;
  bool started;      ///< a token was printed
  bool tight;        ///< no blank behind the newest token, whatever comes
  bool sign;         ///< the newest token is a sign before its operand
  bool name;         ///< the newest token is a name, so that a parenthesis calls it
  bool ends_operand; ///< an operand may end here, so that what follows works on it
};

/// Takes the next token, neither blanks nor comment; does a blank stand before it?
bool tidy_blank_before(struct tidy_spacing *spacing, size_t token);

/// Is it a mark of that one character?
bool tidy_is_mark(const struct pl_tree *tree, size_t token, char mark);
/// Blanks, or a line end within brackets.
bool tidy_is_space(const struct pl_tree *tree, size_t token);
/// A line end, within brackets or not.
bool tidy_is_line_end(const struct pl_tree *tree, size_t token);
bool tidy_is_word(const struct pl_tree *tree, size_t token, const char *word);
const char *tidy_text(const struct pl_tree *tree, size_t token);
size_t tidy_length(const struct pl_tree *tree, size_t token);
/// The length of a comment without the blanks at its end.
size_t tidy_comment_length(const struct pl_tree *tree, size_t comment);
/// Columns that a token takes; a comment without the blanks at its end.
size_t tidy_columns(const struct pl_tree *tree, size_t token);
/// Columns of tokens on one line.
size_t tidy_run_columns(const struct pl_tree *tree, size_t first, size_t last);

// ---------------------------------------------------------------- rows (tidy_rows.c)

/// Most values of a row that are put beneath each other.
#define TIDY_ROW_VALUES 8

/// A list of rows of values, each on a line, while it is printed.
struct tidy_rows {
  size_t columns[TIDY_ROW_VALUES];
  size_t count; ///< values of a row; 0: it is no such list
  size_t at;    ///< the value whose turn it is
  size_t next;  ///< the token behind the newest value
};

/// Is the list that `open` begins made of such rows?
bool tidy_find_rows(const struct pl_tree *tree, size_t open, size_t last,
                    struct tidy_rows *rows);
/// Blanks to put before the token, besides those that stand there anyway.
size_t tidy_row_blanks(const struct pl_tree *tree, struct tidy_rows *rows, size_t token,
                       size_t last);

// ---------------------------------------------------------------- lines (tidy_lines.c)

/// A line of the text that is made.
struct tidy_line {
  size_t start; ///< in the text
  size_t end;
  size_t columns;
  size_t comment;        ///< the token behind it, or TIDY_NONE
  size_t group;          ///< lines of one group have their comments beneath each other
  size_t comment_column; ///< columns before their comments, where there is room
};

/// The text that is made, line by line.
struct tidy_lines {
  struct pl_arena *arena;
  const struct pl_tree *tree;
  struct pl_buffer text;
  struct tidy_line *lines;
  size_t count;
  size_t capacity;
  size_t group;
  size_t comment_column; ///< of the lines that are added
  size_t columns;        ///< of the line so far
  size_t indent;         ///< of the line
  bool is_open;
};

void tidy_line_begin(struct tidy_lines *lines, size_t indent);
void tidy_line_end(struct tidy_lines *lines, size_t comment);
void tidy_line_empty(struct tidy_lines *lines);
void tidy_add(struct tidy_lines *lines, const char *text);
void tidy_add_blanks(struct tidy_lines *lines, size_t count);
/// Adds tokens that stand on one line.
void tidy_add_flat(struct tidy_lines *lines, size_t first, size_t last);
/// Adds an item that is flat.
void tidy_add_item(struct tidy_lines *lines, const struct tidy_item *item);
/// Adds tokens, with the line ends and comments that stand within their brackets. One line that
/// does not fit is broken behind commas.
void tidy_add_run(struct tidy_lines *lines, size_t first, size_t last);
/// A comment on a line of its own.
void tidy_add_comment(struct tidy_lines *lines, size_t indent, size_t comment);
/// The text of all lines, with their comments.
const char *tidy_finish(struct tidy_lines *lines, size_t *length);

// ---------------------------------------------------------------- tables (tidy_table.c)

/// May two blocks, one behind the other, stand in one table?
bool tidy_is_row_beside(const struct pl_tree *tree, const struct tidy_item *one,
                        const struct tidy_item *other);
/// Prints `count` blocks from `first` on, each on its line, with what they share aligned.
void tidy_add_table(struct tidy_lines *lines, const struct tidy_item *first, size_t count,
                    size_t indent);

#endif
