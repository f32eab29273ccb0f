// SPDX-License-Identifier: GPL-3.0-or-later
// Lines of the text that is made: tokens are added to the line that is open, and behind the
// last one each group's comments are put beneath each other.
#include "tidy.h"

#include "parser.h"

#include <string.h>

// ---------------------------------------------------------------- a line

void tidy_line_begin(struct tidy_lines *lines, size_t indent) {
  lines->lines =
      pl_grow(lines->arena, lines->lines, lines->count, &lines->capacity, sizeof *lines->lines);
  lines->lines[lines->count] =
      (struct tidy_line){.start = lines->text.length, .comment = TIDY_NONE};
  lines->columns = 0;
  lines->indent = indent;
  lines->is_open = true;
  tidy_add_blanks(lines, indent);
}

void tidy_line_end(struct tidy_lines *lines, size_t comment) {
  struct tidy_line *const line = &lines->lines[lines->count++];
  line->end = lines->text.length;
  line->columns = lines->columns;
  line->comment = comment;
  line->group = lines->group;
  line->comment_column = lines->comment_column;
  lines->is_open = false;
}

void tidy_line_empty(struct tidy_lines *lines) {
  tidy_line_begin(lines, 0);
  tidy_line_end(lines, TIDY_NONE);
}

void tidy_add(struct tidy_lines *lines, const char *text) {
  pl_buffer_text(&lines->text, text);
  lines->columns += strlen(text);
}

void tidy_add_blanks(struct tidy_lines *lines, size_t count) {
  pl_buffer_repeat(&lines->text, ' ', count);
  lines->columns += count;
}

static void add_token(struct tidy_lines *lines, size_t token, bool blank) {
  if (blank) tidy_add_blanks(lines, 1);
  pl_buffer_add(&lines->text, tidy_text(lines->tree, token), tidy_length(lines->tree, token));
  lines->columns += tidy_columns(lines->tree, token);
}

void tidy_add_flat(struct tidy_lines *lines, size_t first, size_t last) {
  struct tidy_spacing spacing = {.tree = lines->tree};
  for (size_t i = first; i <= last; i++) {
    if (!tidy_is_space(lines->tree, i)) add_token(lines, i, tidy_blank_before(&spacing, i));
  }
}

void tidy_add_item(struct tidy_lines *lines, const struct tidy_item *item) {
  tidy_add_flat(lines, item->first, item->last);
  if (item->kind != TIDY_BLOCK) return;
  tidy_add(lines, " {");
  for (const struct tidy_item *one = item->items; one != NULL; one = one->next) {
    tidy_add(lines, one == item->items ? " " : "; ");
    tidy_add_item(lines, one);
  }
  tidy_add(lines, " }");
}

// ---------------------------------------------------------------- comments

void tidy_add_comment(struct tidy_lines *lines, size_t indent, size_t comment) {
  tidy_line_begin(lines, indent);
  pl_buffer_add(&lines->text, tidy_text(lines->tree, comment),
                tidy_comment_length(lines->tree, comment));
  tidy_line_end(lines, TIDY_NONE);
}

// ---------------------------------------------------------------- brackets

/// An open bracket: where lines within it begin.
struct bracket {
  size_t column; ///< of what stands in it
  size_t close;  ///< of what closes it, where that begins a line
};

/// Tokens being printed that may run over lines.
struct running {
  struct tidy_lines *lines;
  struct tidy_spacing spacing;
  struct bracket brackets[PL_MOST_NESTING + 1];
  size_t depth;
  size_t last;      ///< the last token
  size_t ends;      ///< line ends since something was printed
  bool behind_open; ///< nothing stands in the bracket yet
  bool wraps;       ///< the tokens stood on one line, which is too long
  struct tidy_rows rows;
};

static struct bracket *innermost(struct running *running) {
  return &running->brackets[running->depth];
}

/// Is a line end, or a comment, the next thing behind the token?
static bool line_ends_behind(const struct running *running, size_t token) {
  const struct pl_tree *const tree = running->lines->tree;
  for (size_t i = token + 1; i <= running->last; i++) {
    if (tidy_is_line_end(tree, i) || tree->tokens[i].class == PL_CLASS_COMMENT) return true;
    if (!tidy_is_space(tree, i)) return false;
  }
  return false;
}

/// Begins a line within brackets.
static void continue_line(struct running *running, bool closes) {
  struct tidy_lines *const lines = running->lines;
  const struct bracket *const bracket = innermost(running);
  if (lines->is_open) tidy_line_end(lines, TIDY_NONE);
  if (running->ends >= 2 && !running->behind_open && !closes) tidy_line_empty(lines);
  tidy_line_begin(lines, closes ? bracket->close : bracket->column);
  running->ends = 0;
}

static void run_comment(struct running *running, size_t comment) {
  struct tidy_lines *const lines = running->lines;
  if (running->ends == 0 && lines->is_open) {
    tidy_line_end(lines, comment);
  } else {
    if (lines->is_open) tidy_line_end(lines, TIDY_NONE);
    if (running->ends >= 2 && !running->behind_open) tidy_line_empty(lines);
    tidy_add_comment(lines, innermost(running)->column, comment);
    running->behind_open = false;
  }
  running->ends = 0;
}

/// The columns from a comma's next token up to the next comma of its bracket or that bracket's
/// end, with that mark; the token itself in `*next`.
static size_t columns_of_element(const struct running *running, size_t comma, size_t *next) {
  const struct pl_tree *const tree = running->lines->tree;
  struct tidy_spacing spacing = {.tree = tree};
  size_t columns = 0;
  size_t depth = 0;
  *next = TIDY_NONE;
  for (size_t i = comma + 1; i <= running->last; i++) {
    if (tidy_is_space(tree, i)) continue;
    if (*next == TIDY_NONE) *next = i;
    columns += (tidy_blank_before(&spacing, i) ? 1 : 0) + tidy_columns(tree, i);
    const bool closes = tidy_is_mark(tree, i, ']') || tidy_is_mark(tree, i, ')');
    if (depth == 0 && (closes || tidy_is_mark(tree, i, ','))) return columns;
    if (closes) depth--;
    if (tidy_is_mark(tree, i, '[') || tidy_is_mark(tree, i, '(')) depth++;
  }
  return columns;
}

/// Behind a comma of the outermost bracket: a line end if the next element does not fit. None
/// goes before what would read as the beginning of a property.
static void wrap(struct running *running, size_t comma) {
  if (!running->wraps || running->depth != 1) return;
  size_t next = TIDY_NONE;
  const size_t columns = columns_of_element(running, comma, &next);
  if (running->lines->columns + 1 + columns <= TIDY_COLUMNS || next == TIDY_NONE) return;
  const struct pl_tree *const tree = running->lines->tree;
  const bool closes = tidy_is_mark(tree, next, ']') || tidy_is_mark(tree, next, ')');
  if (!closes && !begins_item((const unsigned char *)tidy_text(tree, next))) running->ends = 1;
}

static void run_token(struct running *running, size_t token) {
  struct tidy_lines *const lines = running->lines;
  const struct pl_tree *const tree = lines->tree;
  const bool closes = tidy_is_mark(tree, token, ']') || tidy_is_mark(tree, token, ')');
  const bool begins = running->ends > 0 || !lines->is_open;
  const bool blank = tidy_blank_before(&running->spacing, token);
  if (begins) continue_line(running, closes);
  const size_t more =
      running->depth == 1 ? tidy_row_blanks(tree, &running->rows, token, running->last) : 0;
  tidy_add_blanks(lines, more + (blank && !begins ? 1 : 0));
  add_token(lines, token, false);
  running->behind_open = false;
  if (closes && running->depth > 0) running->depth--;
  if (tidy_is_mark(tree, token, '[') || tidy_is_mark(tree, token, '(')) {
    const bool hangs = line_ends_behind(running, token);
    running->brackets[++running->depth] =
        hangs ? (struct bracket){lines->indent + 2, lines->indent}
              : (struct bracket){lines->columns, lines->columns - 1};
    running->behind_open = true;
    if (running->depth == 1 && !(tidy_is_mark(tree, token, '[') &&
                                 tidy_find_rows(tree, token, running->last, &running->rows)))
      running->rows.count = 0;
  }
  if (tidy_is_mark(tree, token, ',')) wrap(running, token);
}

/// Do the tokens stand on one line that is too long?
static bool is_too_long(const struct tidy_lines *lines, size_t first, size_t last) {
  for (size_t i = first; i <= last; i++) {
    if (tidy_is_line_end(lines->tree, i)) return false;
  }
  return lines->columns + tidy_run_columns(lines->tree, first, last) > TIDY_COLUMNS;
}

void tidy_add_run(struct tidy_lines *lines, size_t first, size_t last) {
  struct running running = {.lines = lines,
                            .spacing = {.tree = lines->tree},
                            .last = last,
                            .wraps = is_too_long(lines, first, last)};
  for (size_t i = first; i <= last; i++) {
    if (tidy_is_line_end(lines->tree, i))
      running.ends++;
    else if (lines->tree->tokens[i].class == PL_CLASS_COMMENT)
      run_comment(&running, i);
    else if (!tidy_is_space(lines->tree, i))
      run_token(&running, i);
  }
}

// ---------------------------------------------------------------- the text

/// Lines of a group whose comments stand beneath each other: as many from `first` on as leave
/// room for each comment, and the column.
static size_t aligned_lines(const struct tidy_lines *lines, size_t first, size_t *column) {
  size_t code = 0;
  size_t comment = 0;
  size_t i = first;
  for (; i < lines->count && lines->lines[i].group == lines->lines[first].group; i++) {
    const struct tidy_line *const line = &lines->lines[i];
    if (line->comment == TIDY_NONE) continue;
    const size_t own = tidy_columns(lines->tree, line->comment);
    const size_t wider = line->columns > code ? line->columns : code;
    const size_t longer = own > comment ? own : comment;
    if (code > 0 && wider + TIDY_BEFORE_COMMENT + longer > TIDY_COLUMNS) break;
    code = wider;
    comment = longer;
  }
  const size_t usual = lines->lines[first].comment_column;
  *column = code + TIDY_BEFORE_COMMENT;
  if (*column < usual && usual + comment <= TIDY_COLUMNS) *column = usual;
  return i - first;
}

static void put_line(const struct tidy_lines *lines, const struct tidy_line *line,
                     size_t column, struct pl_buffer *out) {
  if (line->end > line->start)
    pl_buffer_add(out, lines->text.bytes + line->start, line->end - line->start);
  if (line->comment != TIDY_NONE) {
    pl_buffer_repeat(out, ' ', column - line->columns);
    pl_buffer_add(out, tidy_text(lines->tree, line->comment),
                  tidy_comment_length(lines->tree, line->comment));
  }
  pl_buffer_text(out, "\n");
}

const char *tidy_finish(struct tidy_lines *lines, size_t *length) {
  struct pl_buffer out = {.arena = lines->arena};
  for (size_t i = 0; i < lines->count;) {
    size_t column = 0;
    const size_t count = aligned_lines(lines, i, &column);
    for (const size_t end = i + count; i < end; i++)
      put_line(lines, &lines->lines[i], column, &out);
  }
  *length = out.length;
  return pl_buffer_string(&out);
}
