// SPDX-License-Identifier: GPL-3.0-or-later
// The one layout of a file. It decides by the tokens alone, and by where lines ended, never by
// how wide anything was set: what comes out is laid out the same again.
#include "tidy.h"

/// A layout under way.
struct layout {
  struct tidy_lines lines;
  const struct pl_tree *tree;
};

// ---------------------------------------------------------------- what stays on its line

/// Items from `first` on that share a line at whose end a comment stands: they stay together,
/// since it may speak of all of them. 0 where that is not so.
static size_t count_joined(const struct tidy_item *first, size_t indent) {
  size_t count = 0;
  size_t columns = indent;
  for (const struct tidy_item *one = first; one != NULL; one = one->next) {
    if (!one->is_flat || one->kind == TIDY_COMMENT || (count > 0 && !one->shares_line))
      return 0;
    columns += one->width + (count > 0 ? 2 : 0);
    count++;
    if (one->comment == TIDY_NONE) continue;
    return count > 1 && columns <= TIDY_COLUMNS ? count : 0;
  }
  return 0;
}

void tidy_find_joined(struct tidy_item *items, size_t indent) {
  for (struct tidy_item *one = items; one != NULL; one = one->next) {
    if (one->shares_line || one->next == NULL || !one->next->shares_line) continue;
    const size_t count = count_joined(one, indent);
    struct tidy_item *member = one;
    for (size_t left = count; left > 0; left--, member = member->next) member->joined = left;
  }
}

static bool has_title(const struct tidy_item *block) {
  return block->last > block->first;
}

/// May the block be a row of a table that is wider than other lines?
static bool is_wide_row(const struct tidy_item *item, size_t indent) {
  return item->kind == TIDY_BLOCK && item->is_flat && has_title(item) &&
         indent + item->width <= TIDY_TABLE_COLUMNS;
}

/// Rows of a table, from `first` on; 0 if it is none.
static size_t count_rows(const struct pl_tree *tree, const struct tidy_item *first,
                         size_t indent) {
  if (!is_wide_row(first, indent)) return 0;
  size_t count = 1;
  for (; first->next != NULL && is_wide_row(first->next, indent); first = first->next) {
    if (!tidy_is_row_beside(tree, first, first->next)) break;
    count++;
  }
  return count;
}

/// A block stays on its line where it fits, and as a row of a table also where it is longer.
static void find_flat(const struct pl_tree *tree, struct tidy_item *items, size_t indent) {
  size_t rows = 0; // of the table that the item is in, from it on
  bool in_table = false;
  for (struct tidy_item *one = items; one != NULL; one = one->next) {
    if (rows == 0) {
      rows = count_rows(tree, one, indent);
      in_table = rows >= TIDY_TABLE_ROWS;
    }
    one->stays_flat = one->kind == TIDY_BLOCK && one->is_flat &&
                      (indent + one->width <= TIDY_COLUMNS || (rows > 0 && in_table));
    if (rows > 0) rows--;
  }
}

// ---------------------------------------------------------------- empty lines

static bool is_tall(const struct tidy_item *item) {
  return item->kind == TIDY_BLOCK && !item->stays_flat && item->joined == 0;
}

/// Between two things of the file, one of them a block of several lines, there is an empty
/// line: behind the first, so that comments stay with what follows them.
static void part_blocks(struct tidy_item *items) {
  struct tidy_item *before = NULL; // the newest that is no comment
  bool parted = false;             // there is an empty line behind it
  for (struct tidy_item *one = items; one != NULL; one = one->next) {
    parted = parted || one->blank_before;
    if (one->kind == TIDY_COMMENT) continue;
    if (before != NULL && !parted && (is_tall(before) || is_tall(one)))
      before->next->blank_before = true;
    before = one;
    parted = false;
  }
}

// ---------------------------------------------------------------- properties

/// Where a group's `=` and the second of its two texts stand.
struct columns {
  size_t sign;   ///< behind the `=`, counted from the indent
  size_t second; ///< of the second text, counted from the first; 0: there is none
};

/// The second of two texts that are all of a value (a label and the words of a sentence), or
/// TIDY_NONE.
static size_t second_text(const struct pl_tree *tree, const struct tidy_item *property) {
  size_t texts = 0;
  size_t second = TIDY_NONE;
  for (size_t i = property->sign + 1; i <= property->last; i++) {
    if (tidy_is_space(tree, i)) continue;
    if (tree->tokens[i].class != PL_CLASS_TEXT) return TIDY_NONE;
    if (++texts == 2) second = i;
  }
  return texts == 2 ? second : TIDY_NONE;
}

static struct columns columns_of(const struct pl_tree *tree, const struct tidy_item *first,
                                 const struct tidy_item *end) {
  struct columns columns = {0, 0};
  for (const struct tidy_item *one = first; one != end; one = one->next) {
    const size_t key = tidy_run_columns(tree, one->first, one->sign - 1);
    const size_t own = key + 1 + tidy_length(tree, one->sign);
    if (key <= TIDY_KEY_COLUMNS && own > columns.sign) columns.sign = own;
    const size_t second = second_text(tree, one);
    if (second == TIDY_NONE) continue;
    const size_t text = tidy_run_columns(tree, one->sign + 1, second - 1);
    if (text <= TIDY_KEY_COLUMNS && text + 1 > columns.second) columns.second = text + 1;
  }
  return columns;
}

static void add_value(struct layout *layout, const struct tidy_item *property, size_t column) {
  struct tidy_lines *const lines = &layout->lines;
  const size_t second = second_text(layout->tree, property);
  if (second == TIDY_NONE) {
    tidy_add_run(lines, property->sign + 1, property->last);
    return;
  }
  const size_t start = lines->columns;
  tidy_add_flat(lines, property->sign + 1, second - 1);
  const size_t own = lines->columns - start + 1;
  tidy_add_blanks(lines, 1 + (column > own ? column - own : 0));
  tidy_add_flat(lines, second, second);
}

static void add_property(struct layout *layout, const struct tidy_item *property, size_t indent,
                         const struct columns *columns) {
  struct tidy_lines *const lines = &layout->lines;
  tidy_line_begin(lines, indent);
  tidy_add_flat(lines, property->first, property->sign - 1);
  const size_t sign = tidy_length(layout->tree, property->sign);
  const size_t own = lines->columns - indent + 1 + sign;
  tidy_add_blanks(lines, 1 + (columns->sign > own ? columns->sign - own : 0));
  tidy_add_flat(lines, property->sign, property->sign);
  tidy_add_blanks(lines, 1);
  add_value(layout, property, columns->second);
  tidy_line_end(lines, property->comment);
}

static bool is_property(const struct tidy_item *item) {
  return item->kind == TIDY_PROPERTY && item->sign != TIDY_NONE && item->joined == 0;
}

/// Properties without anything between them; returns what comes behind.
static const struct tidy_item *add_group(struct layout *layout, const struct tidy_item *first,
                                         size_t indent) {
  const struct tidy_item *end = first->next;
  while (end != NULL && is_property(end) && !end->blank_before) end = end->next;
  const struct columns columns = columns_of(layout->tree, first, end);
  layout->lines.comment_column = TIDY_COMMENT_COLUMN;
  for (const struct tidy_item *one = first; one != end; one = one->next)
    add_property(layout, one, indent, &columns);
  layout->lines.comment_column = 0;
  return end;
}

static const struct tidy_item *add_joined(struct layout *layout, const struct tidy_item *first,
                                          size_t indent) {
  struct tidy_lines *const lines = &layout->lines;
  const struct tidy_item *one = first;
  tidy_line_begin(lines, indent);
  for (;; one = one->next) {
    tidy_add_item(lines, one);
    if (one->joined == 1) break;
    tidy_add(lines, "; ");
  }
  tidy_line_end(lines, one->comment);
  return one->next;
}

// ---------------------------------------------------------------- blocks

static void add_items(struct layout *layout, struct tidy_item *items, size_t indent);

static void add_block(struct layout *layout, const struct tidy_item *block, size_t indent) {
  struct tidy_lines *const lines = &layout->lines;
  tidy_line_begin(lines, indent);
  tidy_add_run(lines, block->first, block->last);
  tidy_add(lines, " {");
  tidy_line_end(lines, block->head_comment);
  add_items(layout, block->items, indent + TIDY_INDENT);
  lines->group++;
  tidy_line_begin(lines, indent);
  tidy_add(lines, "}");
  tidy_line_end(lines, block->comment);
}

static void add_line(struct layout *layout, const struct tidy_item *item, size_t indent) {
  struct tidy_lines *const lines = &layout->lines;
  tidy_line_begin(lines, indent);
  tidy_add_item(lines, item);
  tidy_line_end(lines, item->comment);
}

/// Adjacent blocks on a line each; returns what comes behind.
static const struct tidy_item *add_rows(struct layout *layout, const struct tidy_item *first,
                                        size_t indent) {
  size_t count = 1;
  const struct tidy_item *last = first;
  while (last->next != NULL && last->next->stays_flat &&
         tidy_is_row_beside(layout->tree, last, last->next)) {
    last = last->next;
    count++;
  }
  layout->lines.comment_column = TIDY_COMMENT_COLUMN;
  if (count == 1)
    add_line(layout, first, indent);
  else
    tidy_add_table(&layout->lines, first, count, indent);
  layout->lines.comment_column = 0;
  return last->next;
}

static void add_include(struct layout *layout, const struct tidy_item *item, size_t indent) {
  layout->lines.comment_column = TIDY_COMMENT_COLUMN;
  add_line(layout, item, indent);
  layout->lines.comment_column = 0;
}

/// Adds an item, or several that stand together; returns what comes behind.
static const struct tidy_item *add_next(struct layout *layout, const struct tidy_item *item,
                                        size_t indent) {
  if (item->joined > 0) return add_joined(layout, item, indent);
  if (item->kind == TIDY_BLOCK && item->stays_flat) return add_rows(layout, item, indent);
  if (is_property(item)) return add_group(layout, item, indent);
  if (item->kind == TIDY_BLOCK)
    add_block(layout, item, indent);
  else if (item->kind == TIDY_COMMENT)
    tidy_add_comment(&layout->lines, indent, item->first);
  else
    add_include(layout, item, indent);
  return item->next;
}

static void add_items(struct layout *layout, struct tidy_item *items, size_t indent) {
  tidy_find_joined(items, indent);
  find_flat(layout->tree, items, indent);
  if (indent == 0) part_blocks(items);
  for (const struct tidy_item *one = items; one != NULL;) {
    layout->lines.group++;
    if (one->blank_before) tidy_line_empty(&layout->lines);
    layout->lines.group++;
    one = add_next(layout, one, indent);
  }
}

struct pl_tidied pl_tidy(struct pl_arena *arena, const struct pl_tree *tree,
                         enum pl_tidy_order order) {
  struct pl_tidied tidied = {.text = NULL};
  struct tidy_item *items = NULL;
  if (!tidy_items(arena, tree, &items)) return tidied;
  find_flat(tree, items, 0); // what is printed on one line keeps its order
  if (order == PL_TIDY_ORDERS_SCOPES) tidied.reordered = tidy_order(arena, tree, items);
  struct layout layout = {.lines = {.arena = arena, .tree = tree, .text = {.arena = arena}},
                          .tree = tree};
  add_items(&layout, items, 0);
  tidied.text = tidy_finish(&layout.lines, &tidied.length);
  return tidied;
}
