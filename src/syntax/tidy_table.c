// SPDX-License-Identifier: GPL-3.0-or-later
// Blocks that stand line under line, each on one: a table. Names, `from`, `when` and braces are
// put beneath each other, and so are properties as long as all rows have the same.
#include "tidy.h"

#include <string.h>

/// Columns of a row's head: its kind and name, its `from`, its `when`.
#define HEADS 3

/// A row: the tokens of its head's parts (first and behind the last; the same: it lacks one),
/// and how far it is printed.
struct row {
  const struct tidy_item *block;
  size_t begin[HEADS + 1];
  const struct tidy_item *at; ///< the property whose turn it is; null behind the last
};

struct table {
  struct tidy_lines *lines;
  struct row *rows;
  size_t count;
  size_t head[HEADS];  ///< columns of the heads' parts; 0: no row has it
  size_t *columns;     ///< of each property that has others beneath its successor
  size_t column_count; ///< how many of them
  bool with_heads;     ///< heads are aligned
};

static void cut_head(const struct pl_tree *tree, const struct tidy_item *block, size_t *begin) {
  begin[0] = block->first;
  begin[1] = begin[2] = begin[3] = block->last + 1;
  for (size_t i = block->last; i > block->first; i--) {
    if (tidy_is_word(tree, i, "when")) begin[2] = begin[1] = i;
  }
  for (size_t i = begin[2] - 1; i > block->first; i--) {
    if (tidy_is_word(tree, i, "from")) begin[1] = i;
  }
}

/// Has the block's head a second word, a title, a `from` or a `when`?
static bool has_more(const struct tidy_item *block) {
  return block->last > block->first;
}

static bool same_token(const struct pl_tree *tree, size_t one, size_t other) {
  const size_t length = tidy_length(tree, one);
  return tidy_length(tree, other) == length &&
         memcmp(tidy_text(tree, one), tidy_text(tree, other), length) == 0;
}

bool tidy_is_row_beside(const struct pl_tree *tree, const struct tidy_item *one,
                        const struct tidy_item *other) {
  if (one->kind != TIDY_BLOCK || other->kind != TIDY_BLOCK || !one->is_flat ||
      !other->is_flat || one->items == NULL || other->items == NULL || other->blank_before ||
      one->joined > 0 || other->joined > 0)
    return false;
  if (!has_more(one) && !has_more(other)) return true;
  size_t left[HEADS + 1];
  size_t right[HEADS + 1];
  cut_head(tree, one, left);
  cut_head(tree, other, right);
  return has_more(one) && has_more(other) && same_token(tree, one->first, other->first) &&
         (left[1] < left[2]) == (right[1] < right[2]) &&
         (left[2] < left[3]) == (right[2] < right[3]);
}

// ---------------------------------------------------------------- measuring

static size_t part_columns(const struct pl_tree *tree, const struct row *row, size_t part) {
  if (row->begin[part] >= row->begin[part + 1]) return 0;
  return tidy_run_columns(tree, row->begin[part], row->begin[part + 1] - 1);
}

/// The same key: all its tokens are the same.
static bool same_key(const struct pl_tree *tree, const struct tidy_item *one,
                     const struct tidy_item *other) {
  if (one->kind != TIDY_PROPERTY || other->kind != TIDY_PROPERTY || one->sign == TIDY_NONE ||
      other->sign == TIDY_NONE)
    return false;
  size_t right = other->first;
  for (size_t left = one->first; left <= one->sign; left++) {
    if (tidy_is_space(tree, left)) continue;
    while (tidy_is_space(tree, right)) right++;
    if (right > other->sign || !same_token(tree, left, right)) return false;
    right++;
  }
  return right == other->sign + 1;
}

/// Have all rows that go on so far the same key, and at least two go on?
static bool is_shared(const struct table *table) {
  const struct tidy_item *first = NULL;
  size_t count = 0;
  for (size_t i = 0; i < table->count; i++) {
    const struct tidy_item *const one = table->rows[i].at;
    if (one == NULL) continue;
    if (first == NULL) first = one;
    if (!same_key(table->lines->tree, first, one)) return false;
    count++;
  }
  return count >= 2;
}

/// Goes on to the next property of each row; the columns of those that it leaves behind and
/// that are not the last of their row.
static size_t step(struct table *table) {
  size_t columns = 0;
  for (size_t i = 0; i < table->count; i++) {
    struct row *const row = &table->rows[i];
    if (row->at == NULL) continue;
    if (row->at->next != NULL && row->at->width > columns) columns = row->at->width;
    row->at = row->at->next;
  }
  return columns;
}

static void rewind_rows(struct table *table) {
  for (size_t i = 0; i < table->count; i++) table->rows[i].at = table->rows[i].block->items;
}

static void measure_columns(struct table *table) {
  size_t capacity = 0;
  rewind_rows(table);
  while (is_shared(table)) {
    const size_t columns = step(table);
    if (!is_shared(table)) break;
    table->columns = pl_grow(table->lines->arena, table->columns, table->column_count,
                             &capacity, sizeof *table->columns);
    table->columns[table->column_count++] = columns;
  }
}

/// The columns that the widest row takes as the table is now.
static size_t widest(const struct table *table, size_t indent) {
  const struct pl_tree *const tree = table->lines->tree;
  size_t most = 0;
  for (size_t i = 0; i < table->count; i++) {
    const struct row *const row = &table->rows[i];
    size_t columns = indent + row->block->width;
    for (size_t part = 0; table->with_heads && part < HEADS; part++)
      columns += table->head[part] - part_columns(tree, row, part);
    const struct tidy_item *one = row->block->items;
    for (size_t j = 0; j < table->column_count && one->next != NULL; j++, one = one->next)
      columns += table->columns[j] - one->width;
    if (columns > most) most = columns;
  }
  return most;
}

/// Gives up what would make the table too wide.
static void narrow(struct table *table, size_t indent) {
  size_t room = TIDY_COLUMNS;
  for (size_t i = 0; i < table->count; i++) {
    if (indent + table->rows[i].block->width > room) room = TIDY_TABLE_COLUMNS;
  }
  if (widest(table, indent) > room) table->column_count = 0;
  if (widest(table, indent) > room) table->with_heads = false;
}

// ---------------------------------------------------------------- printing

static void add_head(const struct table *table, const struct row *row) {
  struct tidy_lines *const lines = table->lines;
  if (!table->with_heads) {
    tidy_add_flat(lines, row->block->first, row->block->last);
    tidy_add_blanks(lines, 1);
    return;
  }
  for (size_t part = 0; part < HEADS; part++) {
    if (table->head[part] == 0) continue;
    const size_t column = lines->columns + table->head[part] + 1;
    if (row->begin[part] < row->begin[part + 1])
      tidy_add_flat(lines, row->begin[part], row->begin[part + 1] - 1);
    tidy_add_blanks(lines, column - lines->columns);
  }
}

static void add_row(const struct table *table, const struct row *row, size_t indent) {
  struct tidy_lines *const lines = table->lines;
  tidy_line_begin(lines, indent);
  add_head(table, row);
  tidy_add(lines, "{ ");
  size_t which = 0;
  for (const struct tidy_item *one = row->block->items; one != NULL; one = one->next, which++) {
    tidy_add_item(lines, one);
    if (one->next == NULL) break;
    tidy_add(lines, "; ");
    if (which < table->column_count) tidy_add_blanks(lines, table->columns[which] - one->width);
  }
  tidy_add(lines, " }");
  tidy_line_end(lines, row->block->comment);
}

void tidy_add_table(struct tidy_lines *lines, const struct tidy_item *first, size_t count,
                    size_t indent) {
  struct table table = {.lines = lines,
                        .rows = pl_alloc_array(lines->arena, count, sizeof(struct row)),
                        .count = count,
                        .with_heads = true};
  const struct tidy_item *block = first;
  for (size_t i = 0; i < count; i++, block = block->next) {
    table.rows[i].block = block;
    cut_head(lines->tree, block, table.rows[i].begin);
    for (size_t part = 0; part < HEADS; part++) {
      const size_t columns = part_columns(lines->tree, &table.rows[i], part);
      if (columns > table.head[part]) table.head[part] = columns;
    }
  }
  measure_columns(&table);
  narrow(&table, indent);
  for (size_t i = 0; i < count; i++) add_row(&table, &table.rows[i], indent);
}
