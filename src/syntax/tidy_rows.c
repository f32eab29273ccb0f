// SPDX-License-Identifier: GPL-3.0-or-later
// Lists of measured rows, a row on each line: `5 mm 2.9 N`. Their values stand beneath each
// other, the units too.
#include "tidy.h"

/// Rows being looked at.
struct scan {
  const struct pl_tree *tree;
  struct tidy_rows *rows;
  size_t at;       ///< values of the row so far
  size_t row;      ///< rows before it
  bool line_ended; ///< since the last comma, or since the list began
};

static bool is_value_part(const struct pl_tree *tree, size_t token) {
  return tree->tokens[token].class == PL_CLASS_NUMBER || tidy_is_mark(tree, token, '-');
}

/// The next token from `token` on that is no blank and no line end; `last + 1` behind the last.
static size_t next_token(const struct pl_tree *tree, size_t token, size_t last) {
  while (token <= last && tidy_is_space(tree, token)) token++;
  return token;
}

/// The last token of the value that begins here: a sign, a number, a unit.
static size_t end_of_value(const struct pl_tree *tree, size_t token, size_t last) {
  size_t end = token;
  if (tidy_is_mark(tree, token, '-')) {
    const size_t number = next_token(tree, token + 1, last);
    if (number > last || tree->tokens[number].class != PL_CLASS_NUMBER) return end;
    end = number;
  }
  const size_t unit = next_token(tree, end + 1, last);
  return unit <= last && tree->tokens[unit].class == PL_CLASS_UNIT ? unit : end;
}

/// Takes a value of the row; false if it makes the list none of rows.
static bool take_value(struct scan *scan, size_t token, size_t end) {
  if (scan->at == 0 && scan->row > 0 && !scan->line_ended) return false;
  if (scan->at == TIDY_ROW_VALUES || (scan->row > 0 && scan->at == scan->rows->count))
    return false;
  const size_t columns = tidy_run_columns(scan->tree, token, end);
  if (columns > scan->rows->columns[scan->at]) scan->rows->columns[scan->at] = columns;
  scan->at++;
  scan->line_ended = false;
  return true;
}

static bool end_row(struct scan *scan) {
  if (scan->row == 0) scan->rows->count = scan->at;
  const bool fits = scan->at == scan->rows->count && scan->at >= 2;
  scan->at = 0;
  scan->row++;
  scan->line_ended = false;
  return fits;
}

bool tidy_find_rows(const struct pl_tree *tree, size_t open, size_t last,
                    struct tidy_rows *rows) {
  *rows = (struct tidy_rows){.count = 0};
  struct scan scan = {.tree = tree, .rows = rows};
  for (size_t i = open + 1; i <= last; i++) {
    if (tidy_is_line_end(tree, i)) {
      if (scan.at > 0) return false; // a row goes on over lines
      scan.line_ended = true;
    } else if (tidy_is_mark(tree, i, ']')) {
      return (scan.at == 0 || end_row(&scan)) && scan.row >= 2;
    } else if (tidy_is_mark(tree, i, ',')) {
      if (!end_row(&scan)) return false;
    } else if (is_value_part(tree, i)) {
      const size_t end = end_of_value(tree, i, last);
      if (!take_value(&scan, i, end)) return false;
      i = end;
    } else if (!tidy_is_space(tree, i) && tree->tokens[i].class != PL_CLASS_COMMENT) {
      return false;
    }
  }
  return false;
}

size_t tidy_row_blanks(const struct pl_tree *tree, struct tidy_rows *rows, size_t token,
                       size_t last) {
  if (tidy_is_mark(tree, token, ',')) rows->at = 0;
  if (token < rows->next || !is_value_part(tree, token) || rows->at >= rows->count) return 0;
  const size_t end = end_of_value(tree, token, last);
  rows->next = end + 1;
  return rows->columns[rows->at++] - tidy_run_columns(tree, token, end);
}
