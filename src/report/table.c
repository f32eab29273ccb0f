// SPDX-License-Identifier: GPL-3.0-or-later
// Tables of text: labels on the left, front and rear side by side, decimal points aligned.
#include "room.h"

#include <string.h>

// ---------------------------------------------------------------- filling

static void add_line(struct table *table, struct line line) {
  table->lines = pl_grow(table->arena, table->lines, table->count, &table->capacity,
                         sizeof *table->lines);
  line.cells[0].text = pl_text_safe(table->arena, line.cells[0].text);
  line.cells[1].text = pl_text_safe(table->arena, line.cells[1].text);
  table->lines[table->count++] = line;
}

static const struct pl_printed empty = {"", ""};

void table_heading(struct table *table, const char *text) {
  add_line(table, (struct line){.label = text, .cells = {empty, empty}, .heading = true});
}

void table_whole(struct table *table, const char *label, struct pl_printed value) {
  if (value.text[0] == '\0') return;
  add_line(table, (struct line){.label = label, .cells = {value, empty}, .whole = true});
}

void table_axles(struct table *table, const char *label, const struct pl_printed axles[2]) {
  if (axles[0].text[0] == '\0' && axles[1].text[0] == '\0') return;
  add_line(table, (struct line){.label = label, .cells = {axles[0], axles[1]}});
}

static bool same(struct pl_printed a, struct pl_printed b) {
  return strcmp(a.text, b.text) == 0 && strcmp(a.unit, b.unit) == 0;
}

void table_corners(struct table *table, const char *label, const struct pl_printed corners[4]) {
  if (same(corners[0], corners[1]) && same(corners[2], corners[3])) {
    const struct pl_printed axles[2] = {corners[0], corners[2]};
    table_axles(table, label, axles);
    return;
  }
  const struct pl_printed left[2] = {corners[0], corners[2]};
  const struct pl_printed right[2] = {corners[1], corners[3]};
  table_axles(table, pl_format(table->arena, "%s, left", label), left);
  table_axles(table, pl_format(table->arena, "%s, right", label), right);
}

// ---------------------------------------------------------------- laying out

/// Widths of a table's columns. Labels and columns are as wide throughout; numbers align within
/// their section.
struct layout {
  size_t label;
  size_t whole[2]; ///< digits before the point, by column
  size_t column;   ///< of front and rear
  size_t width;
};

static bool is_number(const char *text) {
  const char *at = text;
  if (*at == '-') at++;
  return *at >= '0' && *at <= '9' && strspn(at, "0123456789.e+-") == strlen(at);
}

static size_t larger(size_t a, size_t b) {
  return a > b ? a : b;
}

static void measure(const struct table *table, struct layout *layout) {
  for (size_t i = 0; i < table->count; i++) {
    const struct line *const line = &table->lines[i];
    if (!line->heading) layout->label = larger(layout->label, pl_text_columns(line->label));
  }
  if (layout->label > 28) layout->label = 28;
  const size_t rest = layout->width > layout->label + 6 ? layout->width - layout->label - 6 : 20;
  layout->column = larger(rest / 2, 18);
  if (layout->column > 32) layout->column = 32;
}

/// Digits before the point of the numbers in the section that starts at line `first`.
static void measure_section(const struct table *table, size_t first, struct layout *layout) {
  layout->whole[0] = layout->whole[1] = 0;
  for (size_t i = first; i < table->count && !table->lines[i].heading; i++) {
    for (int j = 0; j < 2; j++) {
      const char *const text = table->lines[i].cells[j].text;
      if (is_number(text)) layout->whole[j] = larger(layout->whole[j], strcspn(text, "."));
    }
  }
}

const char *with_unit(struct pl_arena *arena, struct pl_printed printed) {
  const bool close = printed.unit[0] == '\0' || strcmp(printed.unit, "°") == 0;
  return pl_format(arena, "%s%s%s", printed.text, close ? "" : " ", printed.unit);
}

/// A number padded so that its point stands where all others of the section do.
static const char *aligned(struct pl_arena *arena, const struct layout *layout, int column,
                           struct pl_printed cell) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_repeat(&out, ' ', layout->whole[column] - strcspn(cell.text, "."));
  pl_buffer_text(&out, with_unit(arena, cell));
  return pl_buffer_string(&out);
}

/// Length in bytes of the part of `text` that fits `width` columns, broken at a blank if one is
/// there; `*next` is where the rest begins.
static size_t fitting(const char *text, size_t width, const char **next) {
  size_t columns = 0;
  size_t last_blank = 0;
  size_t at = 0;
  while (text[at] != '\0' && text[at] != '\n') {
    size_t size = 1;
    while (((unsigned char)text[at + size] & 0xC0) == 0x80) size++;
    char one[8] = {0};
    memcpy(one, text + at, size < sizeof one ? size : sizeof one - 1);
    columns += pl_text_columns(one);
    if (columns > width && at > 0) {
      const size_t cut = last_blank > 0 ? last_blank : at;
      *next = text + cut + (last_blank > 0 ? 1 : 0);
      return cut;
    }
    if (text[at] == ' ') last_blank = at;
    at += size;
  }
  *next = text + at + (text[at] == '\n' ? 1 : 0);
  return at;
}

void add_wrapped(struct pl_buffer *out, const char *text, size_t indent, size_t width) {
  const size_t room = width > indent + 20 ? width - indent : 20;
  do {
    const char *next = text;
    const size_t length = fitting(text, room, &next);
    pl_buffer_repeat(out, ' ', indent);
    pl_buffer_add(out, text, length);
    pl_buffer_text(out, "\n");
    text = next;
  } while (*text != '\0');
}

/// Front and rear of one line, each wrapped in its column.
static void add_cells(struct pl_buffer *out, const struct layout *layout,
                      const char *const texts[2], size_t columns) {
  const char *rest[2] = {texts[0], texts[1]};
  const size_t width = columns == 1 ? layout->column * 2 + 2 : layout->column;
  bool first = true;
  while (first || *rest[0] != '\0' || *rest[1] != '\0') {
    if (!first) pl_buffer_repeat(out, ' ', layout->label + 4);
    const size_t line_start = out->length;
    for (size_t j = 0; j < columns; j++) {
      const char *next = rest[j];
      const size_t length = fitting(rest[j], width, &next);
      const char *const part = pl_copy_text(out->arena, rest[j], length);
      pl_buffer_text(out, part);
      const bool more = j + 1 < columns && *rest[1] != '\0';
      if (more) {
        const size_t taken = pl_text_columns(part);
        pl_buffer_repeat(out, ' ', taken < width ? width - taken + 2 : 2);
      }
      rest[j] = next;
    }
    while (out->length > line_start && out->bytes[out->length - 1] == ' ') out->length--;
    pl_buffer_text(out, "\n");
    first = false;
  }
}

static void add_heading(struct pl_buffer *out, const char *text, const struct pl_text_style *style) {
  if (out->length > 0) pl_buffer_text(out, "\n");
  pl_buffer_format(out, style->colour ? "\x1b[1m%s\x1b[0m\n" : "%s\n", text);
}

static void add_label(struct pl_buffer *out, const struct layout *layout, const char *label) {
  const size_t taken = pl_text_columns(label);
  pl_buffer_format(out, "  %s", label);
  pl_buffer_repeat(out, ' ', taken < layout->label ? layout->label - taken + 2 : 2);
}

const char *table_text(struct table *table, const struct pl_text_style *style) {
  struct layout layout = {.width = style->width};
  measure(table, &layout);
  struct pl_buffer out = {.arena = table->arena};
  for (size_t i = 0; i < table->count; i++) {
    const struct line *const line = &table->lines[i];
    if (line->heading) {
      add_heading(&out, line->label, style);
      measure_section(table, i + 1, &layout);
      continue;
    }
    add_label(&out, &layout, line->label);
    const char *texts[2];
    for (int j = 0; j < 2; j++) {
      texts[j] = is_number(line->cells[j].text)
                     ? aligned(table->arena, &layout, j, line->cells[j])
                     : with_unit(table->arena, line->cells[j]);
    }
    add_cells(&out, &layout, texts, line->whole ? 1 : 2);
  }
  return pl_buffer_string(&out);
}
