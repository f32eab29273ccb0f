// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of this room share: tables of text.
#ifndef PITLEAF_REPORT_ROOM_H
#define PITLEAF_REPORT_ROOM_H

#include "pitleaf/json.h"
#include "pitleaf/report.h"

/// A line of a table: a label, then a value for the front and one for the rear; or one value
/// for the whole car.
struct line {
  const char *label;
  struct pl_printed cells[2];
  bool whole; ///< cells[0] is the whole car's
  bool heading;
  bool words; ///< no numbers, whatever they look like: an entry, a date
};

struct table {
  struct pl_arena *arena;
  struct line *lines;
  size_t count;
  size_t capacity;
  bool words; ///< what is added next are words, not numbers to align
};

/// A heading; `axles`: the columns below it are the front's and the rear's.
void table_heading(struct table *table, const char *text, bool axles);
void table_whole(struct table *table, const char *label, struct pl_printed value);
/// Four corners: one line where left and right agree on both axles, else one for each side.
void table_corners(struct table *table, const char *label, const struct pl_printed corners[4]);
void table_axles(struct table *table, const char *label, const struct pl_printed axles[2]);
/// The table laid out: columns aligned at the decimal point, long texts wrapped.
const char *table_text(struct table *table, const struct pl_text_style *style);

/// Is the text digits, with a sign, a point and a power of ten where it has them? No date is.
bool is_number_text(const char *text);

/// Stands where a number cannot be told.
#define NO_VALUE "–"

/// Most lines of a column's heading.
#define GRID_HEAD_LINES 10

struct grid_head {
  const char *lines[GRID_HEAD_LINES];
  size_t count;
};

/// A grid of text: column 0 says what a row is of, and stands again in each block of columns.
struct grid {
  struct pl_arena *arena;
  struct grid_head *heads; ///< of column 0 and the others
  const char **cells;      ///< row by row
  const char *over;        ///< over the columns beside column 0; "" for nothing
  size_t rows;
  size_t columns; ///< beside column 0
};

/// An empty grid of so many rows, and columns beside the one of labels.
void grid_new(struct grid *grid, struct pl_arena *arena, size_t rows, size_t columns);
void grid_cell(struct grid *grid, size_t row, size_t column, const char *text);
/// Adds a line to a column's heading, or several by words of at most `width` columns.
void grid_head_line(struct grid *grid, size_t column, const char *text);
void grid_head_words(struct grid *grid, size_t column, const char *text, size_t width);
/// The grid, its columns in as many blocks as it takes; numbers are aligned at their points.
void grid_text(const struct grid *grid, struct pl_buffer *out, size_t width);
/// Is the figure to be told? A choice of none is of all.
bool chooses(const struct pl_figure_choice *choice, enum pl_figure figure);

/// Adds text wrapped by words at `width` columns, each line after `indent` blanks.
void add_wrapped(struct pl_buffer *out, const char *text, size_t indent, size_t width);
/// Adds `lead`, and from column `indent` on `text`, wrapped by words at `width` columns.
void add_hanging(struct pl_buffer *out, const char *lead, const char *text, size_t indent,
                 size_t width);
/// pl_text_safe() line by line: a line end that somebody wrote stays one.
const char *safe_lines(struct pl_arena *arena, const char *text);
/// Adds a field of CSV in quotes; a text that a spreadsheet would take for a formula gets an
/// apostrophe in front.
void csv_field(struct pl_buffer *out, const char *text, bool is_text);
/// "value unit", without a blank before a degree sign.
const char *with_unit(struct pl_arena *arena, struct pl_printed printed);

// What describing says of the rows of the tables.

/// "each corner"
const char *scope_words(enum pl_scope scope);
/// What a setting is of: a place of the car, or the block that holds it.
const char *holder_words(const struct pl_setting_row *row);
/// "a number in mm"
const char *type_words(struct pl_arena *arena, const struct pl_setting_row *row);
/// "usual 0 to 30 mm; 2.4 mm where nothing gives it", or ""
const char *span_words(struct pl_arena *arena, const struct pl_setting_row *row);
/// The blocks that may hold a setting.
const char *owner_words(const struct pl_setting_row *row);
/// Is the key one that a user writes? Holes are a block of the key that names them.
bool is_written(const struct pl_setting_row *row);
/// Which simulations tell a result: "drop", "bump" or "both".
const char *simulation_words(const struct pl_result_row *row);
/// A problem's text or mend with dots where a problem has words of its own.
const char *with_dots(struct pl_arena *arena, const char *text);

/// A word of rules or meetings that is no setting.
struct word_row {
  const char *word;
  const char *kind;
  const char *meaning;
  const char *example;
};
/// They by number, from 0; null behind the last.
const struct word_row *rule_word_at(size_t which);
/// Most of them.
#define WORD_LIMIT 40
/// Tells a word; nothing where it is none.
void describe_word(struct pl_buffer *out, const char *word, size_t width);

/// "dropped from 200 mm", "5 bumps of 12 mm by 60 mm, 200 mm apart, at 6 m/s"
const char *title_of_simulation(struct pl_arena *arena, const struct pl_simulation *simulation,
                                enum pl_unit_system system);
/// Puts into an object what was simulated.
void put_simulation(struct pl_arena *arena, json_t *document,
                    const struct pl_simulation *simulation);

/// A JSON document as text with a line end.
const char *json_text(struct pl_arena *arena, const json_t *document);
/// A change of a comparison, and a list of them.
json_t *json_change(struct pl_arena *arena, const struct pl_change *change);
json_t *json_changes(struct pl_arena *arena, const struct pl_change *changes, size_t count);
/// Problems as a list of JSON; pl_findings_json says what one has.
json_t *json_problems(struct pl_arena *arena, const struct pl_diagnostics *problems);
/// What is to be known of points of a sweep, which may be null: a list.
json_t *json_remarks(struct pl_arena *arena, const struct pl_sweep *sweep);

#endif
