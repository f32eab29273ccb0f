// SPDX-License-Identifier: GPL-3.0-or-later
// Tables of text: labels on the left, front and rear side by side, decimal points aligned.
#include "room.h"

#include <string.h>

// ---------------------------------------------------------------- filling

const char *safe_lines(struct pl_arena *arena, const char *text) {
  struct pl_buffer out = {.arena = arena};
  while (*text != '\0') {
    const size_t length = strcspn(text, "\n");
    pl_buffer_text(&out, pl_text_safe(arena, pl_copy_text(arena, text, length)));
    text += length;
    if (*text == '\n') pl_buffer_add(&out, text++, 1);
  }
  return pl_buffer_string(&out);
}

static void add_line(struct table *table, struct line line) {
  table->lines =
      pl_grow(table->arena, table->lines, table->count, &table->capacity, sizeof *table->lines);
  line.label = pl_text_safe(table->arena, line.label);
  line.cells[0].text = safe_lines(table->arena, line.cells[0].text);
  line.cells[1].text = safe_lines(table->arena, line.cells[1].text);
  line.words = table->words;
  table->lines[table->count++] = line;
}

static const struct pl_printed empty = {"", ""};

void table_heading(struct table *table, const char *text, bool axles) {
  struct line line = {.label = text, .cells = {empty, empty}, .heading = true};
  if (axles) line.cells[0].text = "front";
  if (axles) line.cells[1].text = "rear";
  add_line(table, line);
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

/// A line with its texts as they are printed, unless they have to be wrapped.
struct shown {
  const char *texts[3]; ///< label, front, rear
  size_t taken[3];      ///< columns
};

/// Behind a number its tolerance, "82 ± 7".
static const char between[] = " ± ";

/// Digits, with a sign, a point and a power of ten where it has them, and its tolerance; no
/// date.
bool is_number_text(const char *text) {
  static const char digits[] = "0123456789";
  const char *at = text + (*text == '-' ? 1 : 0);
  const size_t whole = strspn(at, digits);
  at += whole;
  if (*at == '.') at += 1 + strspn(at + 1, digits);
  if (*at == 'e') {
    at += at[1] == '-' || at[1] == '+' ? 2 : 1;
    at += strspn(at, digits);
  }
  if (whole > 0 && strncmp(at, between, strlen(between)) == 0) {
    at += strlen(between);
    at += strspn(at, "0123456789.");
  }
  return whole > 0 && *at == '\0';
}

static bool aligns(const struct line *line, size_t column) {
  return !line->words && is_number_text(line->cells[column].text);
}

static size_t larger(size_t a, size_t b) {
  return a > b ? a : b;
}

/// Digits before the point of the numbers in the section that starts at line `first`.
static void measure_section(const struct table *table, size_t first, struct layout *layout) {
  layout->whole[0] = layout->whole[1] = 0;
  for (size_t i = first; i < table->count && !table->lines[i].heading; i++) {
    for (size_t j = 0; j < 2; j++) {
      const char *const text = table->lines[i].cells[j].text;
      if (aligns(&table->lines[i], j))
        layout->whole[j] = larger(layout->whole[j], strcspn(text, ".e "));
    }
  }
}

const char *with_unit(struct pl_arena *arena, struct pl_printed printed) {
  const bool close = printed.unit[0] == '\0' || strcmp(printed.unit, "°") == 0;
  return pl_format(arena, "%s%s%s", printed.text, close ? "" : " ", printed.unit);
}

/// A number padded so that its point stands where all others of the section do.
static const char *aligned(struct pl_arena *arena, const struct layout *layout, size_t column,
                           struct pl_printed cell) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_repeat(&out, ' ', layout->whole[column] - strcspn(cell.text, ".e "));
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
    size_t shown = length;
    while (shown > 0 && text[shown - 1] == ' ') shown--;
    pl_buffer_add(out, text, shown);
    pl_buffer_text(out, "\n");
    text = next;
  } while (*text != '\0');
}

void add_hanging(struct pl_buffer *out, const char *lead, const char *text, size_t indent,
                 size_t width) {
  size_t length = strlen(lead);
  while (length > 0 && lead[length - 1] == ' ') length--;
  const size_t taken = pl_text_columns(lead = pl_copy_text(out->arena, lead, length));
  pl_buffer_text(out, lead);
  if (taken >= indent) {
    pl_buffer_text(out, "\n");
    add_wrapped(out, text, indent, width);
    return;
  }
  struct pl_buffer wrapped = {.arena = out->arena};
  add_wrapped(&wrapped, text, indent, width);
  pl_buffer_repeat(out, ' ', indent - taken);
  pl_buffer_text(out, pl_buffer_string(&wrapped) + indent);
}

// ---------------------------------------------------------------- choosing widths

/// Blanks before each of three columns, and the least that two numbers with units take.
#define GAPS         6
#define LEAST_COLUMN 15
#define MOST_COLUMN  32
#define LEAST_LABEL  16
#define MOST_LABEL   30

/// The width that labels leave to front and rear.
static size_t column_beside(const struct layout *layout, size_t label) {
  const size_t taken = GAPS + label;
  const size_t room = layout->width > taken ? (layout->width - taken) / 2 : 0;
  return room < LEAST_COLUMN ? LEAST_COLUMN : room > MOST_COLUMN ? MOST_COLUMN : room;
}

/// The widths of label, front and rear; what is of the whole car has both columns.
static void widths_of(const struct layout *layout, const struct line *line, size_t widths[3]) {
  widths[0] = layout->label;
  widths[1] = line->whole ? layout->column * 2 + 2 : layout->column;
  widths[2] = layout->column;
}

static size_t lines_of(const char *text, size_t taken, size_t width) {
  size_t lines = 1;
  if (taken <= width && strchr(text, '\n') == NULL) return lines;
  for (const char *next = text; fitting(text, width, &next), *next != '\0'; text = next)
    lines++;
  return lines;
}

/// How many lines the table takes with these widths.
static size_t lines_of_table(const struct table *table, const struct shown *shown,
                             const struct layout *layout) {
  size_t sum = 0;
  for (size_t i = 0; i < table->count; i++) {
    size_t widths[3];
    size_t most = 1;
    widths_of(layout, &table->lines[i], widths);
    for (size_t j = 0; j < 3 && !table->lines[i].heading; j++)
      most = larger(most, lines_of(shown[i].texts[j], shown[i].taken[j], widths[j]));
    sum += most;
  }
  return sum;
}

/// Labels are as wide as the table takes fewest lines: where numbers with their units would
/// have to be wrapped, rather a long label is.
static void choose_widths(const struct table *table, const struct shown *shown,
                          struct layout *layout) {
  size_t most = 0;
  for (size_t i = 0; i < table->count; i++)
    if (!table->lines[i].heading) most = larger(most, shown[i].taken[0]);
  const size_t room = larger(layout->width, GAPS + 2 * LEAST_COLUMN + LEAST_LABEL) - GAPS -
                      2 * (size_t)LEAST_COLUMN;
  if (most > room) most = room;
  if (most > MOST_LABEL) most = MOST_LABEL;
  size_t best = most;
  size_t least_lines = SIZE_MAX;
  for (size_t label = most;; label--) {
    layout->label = label;
    layout->column = column_beside(layout, label);
    const size_t lines = lines_of_table(table, shown, layout);
    if (lines < least_lines) {
      least_lines = lines;
      best = label;
    }
    if (label <= LEAST_LABEL) break;
  }
  layout->label = best;
  layout->column = column_beside(layout, best);
}

/// One line of the table: `count` texts, each wrapped in its column of that width.
static void add_columns(struct pl_buffer *out, const char *const texts[], const size_t widths[],
                        size_t count) {
  const char *rest[3] = {texts[0], texts[1], count > 2 ? texts[2] : ""};
  bool more = true;
  while (more) {
    const size_t line_start = out->length;
    more = false;
    for (size_t j = 0; j < count; j++) {
      const char *next = rest[j];
      const char *const part =
          pl_copy_text(out->arena, rest[j], fitting(rest[j], widths[j], &next));
      const size_t taken = pl_text_columns(part);
      pl_buffer_format(out, "  %s", part);
      pl_buffer_repeat(out, ' ', taken < widths[j] ? widths[j] - taken : 0);
      rest[j] = next;
      more |= *next != '\0';
    }
    while (out->length > line_start && out->bytes[out->length - 1] == ' ') out->length--;
    out->bytes[out->length] = '\0';
    pl_buffer_text(out, "\n");
  }
}

static void add_heading(struct pl_buffer *out, const struct layout *layout,
                        const struct line *line, const struct pl_text_style *style) {
  struct pl_buffer words = {.arena = out->arena};
  pl_buffer_text(&words, line->label);
  for (size_t j = 0; j < 2 && line->cells[j].text[0] != '\0'; j++) {
    const size_t start = 4 + layout->label + j * (2 + layout->column);
    const size_t taken = pl_text_columns(pl_buffer_string(&words));
    pl_buffer_repeat(&words, ' ', taken < start ? start - taken : 1);
    pl_buffer_text(&words, line->cells[j].text);
  }
  if (out->length > 0) pl_buffer_text(out, "\n");
  pl_buffer_format(out, style->colour ? "\x1b[1m%s\x1b[0m\n" : "%s\n",
                   pl_buffer_string(&words));
}

/// The texts of all lines, numbers with their points beneath each other.
static const struct shown *show(const struct table *table, struct layout *layout) {
  struct shown *const shown = pl_alloc_array(table->arena, table->count + 1, sizeof *shown);
  for (size_t i = 0; i < table->count; i++) {
    const struct line *const line = &table->lines[i];
    if (line->heading) measure_section(table, i + 1, layout);
    shown[i].texts[0] = line->label;
    for (size_t j = 0; j < 2; j++)
      shown[i].texts[j + 1] = aligns(line, j) ? aligned(table->arena, layout, j, line->cells[j])
                                              : with_unit(table->arena, line->cells[j]);
    for (size_t j = 0; j < 3; j++) shown[i].taken[j] = pl_text_columns(shown[i].texts[j]);
  }
  return shown;
}

const char *table_text(struct table *table, const struct pl_text_style *style) {
  struct layout layout = {.width = style->width};
  const struct shown *const shown = show(table, &layout);
  choose_widths(table, shown, &layout);
  struct pl_buffer out = {.arena = table->arena};
  for (size_t i = 0; i < table->count; i++) {
    const struct line *const line = &table->lines[i];
    size_t widths[3];
    widths_of(&layout, line, widths);
    if (line->heading)
      add_heading(&out, &layout, line, style);
    else
      add_columns(&out, shown[i].texts, widths, line->whole ? 2 : 3);
  }
  return pl_buffer_string(&out);
}
