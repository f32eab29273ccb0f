// SPDX-License-Identifier: GPL-3.0-or-later
// What the files of this room share when they turn a template and a setup into pages.
#ifndef PITLEAF_SHEET_ROOM_H
#define PITLEAF_SHEET_ROOM_H

#include "pitleaf/sheet.h"

// ---------------------------------------------------------------- templates

/// What a template may name: a setting, what a part of the setup says (`damper.bore`), a
/// figure, or all of what has no key.
enum pl_thing_kind {
  PL_THING_SETTING,
  PL_THING_INNER,
  PL_THING_FIGURE,
  PL_THING_EXTRAS,
  PL_THING_BALLAST
};

struct pl_thing {
  enum pl_thing_kind kind;
  enum pl_setting setting;
  enum pl_setting inner; ///< of the part that `setting` names; else PL_SETTING_COUNT
  enum pl_figure figure;
};

struct pl_things {
  struct pl_thing *items;
  size_t count;
};

enum pl_part_of_page {
  PL_PAGE_SECTION, ///< settings and figures in columns
  PL_PAGE_BESIDE,  ///< sections beside each other
  PL_PAGE_PLAN,    ///< the car from above
  PL_PAGE_GROUP,   ///< of a plan: rows that belong together
  PL_PAGE_RUNS,    ///< blank lines to write on
  PL_PAGE_CHANGES, ///< what changed and what that did
  PL_PAGE_NOTES,
  PL_PAGE_REST,      ///< what stood nowhere before
  PL_PAGE_LABELS,    ///< no part that is drawn: other words for settings and figures
  PL_PAGE_WORDS,     ///< likewise: other words for what the program itself says
  PL_PAGE_PLOT,      ///< a curve with axes
  PL_PAGE_SHOCKS,    ///< a column for each shock that differs
  PL_PAGE_DRAWING,   ///< of shocks: to scale
  PL_PAGE_ASSEMBLY,  ///< of shocks: the parts in the order in which they go on
  PL_PAGE_CHECKLIST, ///< lines with a box to tick
  PL_PAGE_CAUTIONS,  ///< lines with a sign of warning
  PL_PAGE_BREAK,     ///< what follows begins on a new page
  PL_PAGE_PART_COUNT
};

/// What a drawing shows.
enum pl_drawing {
  PL_DRAWING_PISTON, ///< face-on, so many times true size
  PL_DRAWING_SHOCK   ///< in section
};

/// A part of a page as a template describes it. Which members count depends on the kind.
struct pl_template_part {
  enum pl_part_of_page kind;
  const char *title;
  size_t columns;        ///< of a section
  size_t column;         ///< of a group: 1 to 3
  size_t lines;          ///< of runs
  const char **headings; ///< of runs; items of a checklist, of cautions
  size_t heading_count;
  enum pl_curve_kind curve; ///< of a plot
  unsigned places;          ///< of a plot: a bit for each corner that it shows
  enum pl_drawing drawing;  ///< of a drawing
  double scale;             ///< of a drawing: of true size
  double height;            ///< of a plot, a drawing: mm
  struct pl_things show;    ///< of a section, a group
  struct pl_things corners; ///< of a plan: stand at their corner even when left and right agree
  struct pl_things measure; ///< of a plan: blanks at each corner
  struct pl_things middle;  ///< of a plan: between the axles
  struct pl_template_part *children;
  struct pl_template_part *next;
};

/// What the program itself says on paper, see words.def.
enum pl_word {
#define PL_WORD(id, text) PL_WORD_##id,
#include "words.def"
#undef PL_WORD
  PL_WORD_COUNT
};

/// What a template calls settings and figures; null: as their tables do.
struct pl_labels {
  const char *of_setting[PL_SETTING_COUNT];
  const char *of_figure[PL_FIGURE_COUNT];
  const char *spoken_setting[PL_SETTING_COUNT]; ///< likewise inside a sentence
  const char *spoken_figure[PL_FIGURE_COUNT];
};

struct pl_template {
  const char *name;
  enum pl_paper_size paper;
  bool landscape;
  bool blank;                  ///< fields to write on in place of values
  bool tolerances;             ///< figures are shown with them
  double margins[4];           ///< mm: left, right, top, bottom
  const char *club;            ///< who hands it out, over the heading; ""
  const char *footer;          ///< the club's own words at the foot of each page; ""
  const struct pl_image *logo; ///< null: none
  struct pl_things heading;
  struct pl_things large; ///< in the largest type
  struct pl_labels labels;
  const char *words[PL_WORD_COUNT]; ///< null: as the program says it
  struct pl_template_part *parts;
};

bool pl_things_have(const struct pl_things *things, const struct pl_thing *thing);
/// Reads a list of settings and figures; mistakes are reported.
struct pl_things pl_things_read(struct pl_arena *arena, const struct pl_node *value,
                                struct pl_diagnostics *problems);
/// Reads a property `key = "Label"`, which counts for the setting and for the figure of that
/// key; mistakes are reported.
void pl_label_read(struct pl_arena *arena, const struct pl_node *property,
                   struct pl_labels *labels, struct pl_diagnostics *problems);
/// The PNG file that a text in a template names, beside the template's file and within its
/// program's roots; null after a report.
const struct pl_image *pl_logo_read(struct pl_arena *arena, struct pl_program *program,
                                    const struct pl_node *path,
                                    struct pl_diagnostics *problems);
/// What the thing is called on this sheet, and within a sentence.
const char *pl_thing_label(const struct pl_template *plan, const struct pl_thing *thing);
const char *pl_thing_spoken(struct pl_arena *arena, const struct pl_template *plan,
                            const struct pl_thing *thing);
/// What stands above a plot of it: in full, with a capital.
const char *pl_thing_title(struct pl_arena *arena, const struct pl_template *plan,
                           const struct pl_thing *thing);
/// The thing of that name ("preload", "damper.bore", "figure.preload"); false if there is none.
bool pl_thing_of_key(const char *name, struct pl_thing *thing);

// ---------------------------------------------------------------- a sheet in the making

/// The three sizes of type, pt.
#define PL_SMALL 6.5
#define PL_BODY  8.0
#define PL_LARGE 12.0
/// What is computed stands back a little behind what is set, pt.
#define PL_COMPUTED 7.0

/// How closely rows are set: the sizes of their type, pt, and the share of the usual space
/// that stands between them.
struct pl_density {
  double small;
  double computed; ///< of figures
  double body;
  double large;
  double air;
};

/// As a page is set that has room.
#define PL_USUAL_DENSITY                                                                       \
  { .small = PL_SMALL, .computed = PL_COMPUTED, .body = PL_BODY, .large = PL_LARGE, .air = 1 }

/// The last lines to write on, and what is blank beneath them: the sheet is drawn once more
/// with further lines there.
struct pl_runs {
  const struct pl_template_part *part;
  const struct pl_page *page;
  double end;   ///< of the last line, mm
  size_t spare; ///< lines for which there is room beneath
  size_t more;  ///< lines that are drawn beyond those that the template wishes
};

/// A change and what it did, in the template's words: "" where no told figure moved.
struct pl_told {
  const char *cause;
  const char *moves;
};

/// A sheet in the making: what it is made of, and how far it is.
struct pl_sheet {
  struct pl_arena *arena;
  const struct pl_sheet_request *request;
  const struct pl_template *plan;
  const struct pl_setup *setup; ///< null on a page that is of none
  const char *title;            ///< over the first page, and small over the others
  struct pl_diagnostics *problems;
  struct pl_span where; ///< to blame for a character that the font lacks
  const char *what;     ///< likewise, in words
  bool failed;

  struct pl_paper *paper;
  struct pl_page *page;
  size_t first_page;        ///< of the setup
  size_t first_of_template; ///< of the template in hand
  double left;              ///< of the content, mm
  double width;             ///< of the content, mm
  double top;               ///< of the content below the heading of a further page, mm
  double bottom;            ///< of the content, mm
  double footer;            ///< height of the footer, mm
  double y;                 ///< where the next thing goes, mm
  struct pl_runs runs;
  struct pl_density type;  ///< of what is being made
  struct pl_density lists; ///< of what changed, and of the rest

  bool setting_done[PL_SETTING_COUNT];
  bool figure_done[PL_FIGURE_COUNT];
  bool extras_done;
  bool ballast_done;
  const struct pl_tolerances *tolerances; ///< null: none are shown
  struct pl_told *told;      ///< of each effect of the comparison; null: not worked out yet
  struct pl_map *said;       ///< notes of figures that stand on the sheet already
  struct pl_kept_plot *kept; ///< plots, for the drafts that follow, see plot.c
};

// ---------------------------------------------------------------- what the program says

/// A text of the program, as the template has it.
const char *pl_word(const struct pl_sheet *sheet, enum pl_word word);
/// The same with its places filled; `second` may be null where it has none.
const char *pl_word_with(const struct pl_sheet *sheet, enum pl_word word, const char *first,
                         const char *second);
/// The same of a text that another room made in the program's own words; where it is none of
/// them, the text itself.
const char *pl_word_for(const struct pl_sheet *sheet, const char *text);
/// The row of a text of the program, or PL_WORD_COUNT.
enum pl_word pl_word_row(const char *text);
/// The sheet's own words for sentences about changes.
struct pl_wording pl_sheet_wording(struct pl_sheet *sheet);
/// What other rooms have made, as the template says it: what is to be known about a figure; a
/// piece of ballast; the value of a setting or a figure that is a word; a part of that kind.
const char *pl_word_of_note(const struct pl_sheet *sheet, const char *note);
const char *pl_word_of_ballast(const struct pl_sheet *sheet, const char *text);
const char *pl_word_of_setting(const struct pl_sheet *sheet, enum pl_setting setting,
                               const char *text);
const char *pl_word_of_figure(const struct pl_sheet *sheet, enum pl_figure figure,
                              const char *text);
const char *pl_word_of_change(const struct pl_sheet *sheet, const struct pl_change *change,
                              const char *text);
const char *pl_word_of_part(const struct pl_sheet *sheet, enum pl_block_kind kind,
                            const char *name);
/// "Front left", and of a set of places "rear", "front left and rear right".
const char *pl_word_of_place(const struct pl_sheet *sheet, enum pl_place place);
const char *pl_word_of_places(const struct pl_sheet *sheet, unsigned places);

// ---------------------------------------------------------------- what there is to show

/// What a setting or a figure has to show at one place.
struct pl_datum {
  const char *label;
  const char *text; ///< "" when this setup drops it
  const char *unit;
  const char *before; ///< of the base, when it differs; "" when the base lacks it
  const char *delta;  ///< of a figure that moved: signed; else ""
  bool shown;         ///< there is something to show
  bool changed;
  bool is_figure;
  bool is_worded; ///< digits in it are no number ("17" as the name of an entry)
  const char *const *notes;
  size_t note_count;
  struct pl_span span; ///< the last place that touched it
};

struct pl_datum pl_datum_of(struct pl_sheet *sheet, const struct pl_thing *thing,
                            enum pl_place place);
/// Do they look the same on paper?
bool pl_datum_equal(const struct pl_datum *a, const struct pl_datum *b);
enum pl_scope pl_thing_scope(const struct pl_thing *thing);
/// The thing that is that setting, or that figure.
struct pl_thing pl_thing_of_setting(enum pl_setting setting);
struct pl_thing pl_thing_of_figure(enum pl_figure figure);
/// The text as paper has it if the setting's values are numbers: with the sign U+2212 before
/// what is negative.
const char *pl_paper_number(struct pl_arena *arena, enum pl_setting setting, const char *text);
/// The same of any text that is made of numbers.
const char *pl_paper_minus(struct pl_arena *arena, const char *text);
/// Is what changed made of numbers, not words that somebody wrote?
bool pl_change_has_numbers(const struct pl_change *change);
/// Remembers that the thing has been shown.
void pl_thing_done(struct pl_sheet *sheet, const struct pl_thing *thing);
/// The rows of extras or ballast. Owned by the sheet's arena.
struct pl_datum *pl_datums_of_extras(struct pl_sheet *sheet, size_t *count);
struct pl_datum *pl_datums_of_ballast(struct pl_sheet *sheet, size_t *count);

// ---------------------------------------------------------------- cells and columns

/// A text or a line within a cell, from the cell's top left corner.
struct pl_piece {
  double x;
  double y;      ///< of the baseline, or of the line
  double length; ///< of a line; 0: it is none
  double bar;    ///< height of the bar of a change, from `y` down; 0: it is none
  double fence;  ///< height of an upright hair line, from `y` down; 0: it is none
  double link;   ///< height of an area that leads to a page, from `y` down; 0: it is none
  size_t target; ///< that page; counts from 0
  double stem;   ///< height of the grey line left of what is computed; 0: it is none
  const struct pl_page *picture; ///< from `y` down; null: it is none
  struct pl_type type;
  const char *text;
};

/// What is never cut by the end of a page.
struct pl_cell {
  struct pl_piece *pieces;
  size_t count;
  size_t capacity;
  double height;
  bool bar;         ///< the bar of a change at the left edge, as high as the cell
  bool rule;        ///< a hair line above it
  bool strong_rule; ///< the same, black
  bool keep;        ///< on the same page as the next one
  bool joined;      ///< in the same column as the one before
};

struct pl_column {
  struct pl_cell *cells;
  size_t count;
  size_t capacity;
  double x; ///< from the left edge of the content
  double width;
};

/// A line of text is that much high at `size` pt, mm: no letter of the font reaches out of it.
double pl_line_height(double size);
/// From the top of a line to its baseline, mm.
double pl_line_base(double size);

struct pl_cell *pl_column_cell(struct pl_sheet *sheet, struct pl_column *column, double height);
/// Adds a text with its line's top at `top`; what the font lacks is reported.
void pl_cell_text(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                  struct pl_type type, const char *text);
void pl_cell_line(struct pl_sheet *sheet, struct pl_cell *cell, double x, double y,
                  double length);
void pl_cell_bar(struct pl_sheet *sheet, struct pl_cell *cell, double x, double y,
                 double height);
/// Adds a drawing with its top left corner there; the cell grows to hold it.
void pl_cell_picture(struct pl_sheet *sheet, struct pl_cell *cell, double x, double y,
                     const struct pl_page *picture);
/// Makes the cell lead to a page, as wide as `width`.
void pl_cell_link(struct pl_sheet *sheet, struct pl_cell *cell, double width, size_t target);
/// A hair line upright at `x`, as high as the cell is now.
void pl_cell_fence(struct pl_sheet *sheet, struct pl_cell *cell, double x);
/// The grey line left of what is computed at `x`, as high as the cell is now.
void pl_cell_stem(struct pl_sheet *sheet, struct pl_cell *cell, double x);
/// A text in lines as wide as `width`, each a cell of its own.
void pl_column_paragraph(struct pl_sheet *sheet, struct pl_column *column, double indent,
                         struct pl_type type, const char *text);
/// What is to be known about a figure, small, unless the sheet has said it already. The cell
/// before it is kept with it.
void pl_column_notes(struct pl_sheet *sheet, struct pl_column *column, double indent,
                     const struct pl_datum *datum);
/// A title over what follows.
void pl_column_title(struct pl_sheet *sheet, struct pl_column *column, const char *title);

/// How wide the parts of a row are, mm.
struct pl_row_shape {
  double label; ///< room of the label
  double point; ///< from the value's left edge to its decimal point
  bool large;
  bool small;
  bool stack; ///< a label for which there is no room goes above its value
};

/// A label in one line if it fits, or in several; returns their height.
double pl_label_lines(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                      double width, const char *label);
/// The row of a datum: label, value, unit, and what it was.
void pl_column_row(struct pl_sheet *sheet, struct pl_column *column,
                   const struct pl_datum *datum, struct pl_row_shape shape);
/// The row of a thing whose sides differ and stand at their corners: both values, small, or
/// arrows if they do not fit one line.
void pl_column_sides(struct pl_sheet *sheet, struct pl_column *column,
                     const struct pl_datum *left, const struct pl_datum *right,
                     struct pl_row_shape shape);
/// A row to fill in by hand: a label, a line to write on, a unit.
void pl_column_blank(struct pl_sheet *sheet, struct pl_column *column, const char *label,
                     const char *unit, double room);
/// The same filled in.
void pl_column_filled(struct pl_sheet *sheet, struct pl_column *column,
                      const struct pl_datum *datum, double room);
/// A row to fill in for a thing in its unit; lines without a label for what has no key.
void pl_column_field(struct pl_sheet *sheet, struct pl_column *column,
                     const struct pl_thing *thing, double room);
/// Is the thing written down by hand on a form? What is computed is not.
bool pl_thing_is_written(const struct pl_thing *thing);
/// Deals the cells of one column out to several, so that they end about level.
void pl_columns_deal(struct pl_sheet *sheet, const struct pl_column *all,
                     struct pl_column *columns, size_t count);
/// The value of a datum in `width` mm from `x` on, within one cell; returns the height it
/// takes.
double pl_value_pieces(struct pl_sheet *sheet, struct pl_cell *cell, double x, double top,
                       double width, double point, const struct pl_datum *datum, double size);
double pl_column_height(const struct pl_column *column);

// ---------------------------------------------------------------- pages

/// Starts the paper's next page.
void pl_flow_page(struct pl_sheet *sheet);
/// Puts columns beside each other and goes on over as many pages as they need. `head`, if any,
/// draws what stands over them, on each page anew, and moves `y` on.
struct pl_flow_head {
  void (*draw)(struct pl_sheet *sheet, const struct pl_flow_head *head, bool again);
  double height;
  const char *title;
  enum pl_place axle;
  double room; ///< of an axle: share of a corner in the width; of a table: its title's, mm
  double more; ///< that `draw` may take beyond `height`, moving `y` on by itself
};
void pl_flow_columns(struct pl_sheet *sheet, const struct pl_column *columns, size_t count,
                     const struct pl_flow_head *head, bool ruled);
void pl_flow_gap(struct pl_sheet *sheet, double height);
/// The height that the footer takes.
double pl_footer_height(struct pl_sheet *sheet);
/// Draws it on the pages of the sheet's template, which end before page `end`.
void pl_footer_draw(struct pl_sheet *sheet, size_t end);
/// The heading of the first page.
void pl_heading_draw(struct pl_sheet *sheet);
/// A text drawn outright; what the font lacks is reported.
void pl_sheet_text(struct pl_sheet *sheet, double x, double baseline, struct pl_type type,
                   const char *text);
/// The same on any page or picture; returns the text's width.
double pl_picture_text(struct pl_sheet *sheet, struct pl_page *page, double x, double baseline,
                       struct pl_type type, const char *text);
/// The text as it can be printed: tabs as spaces, normal form C.
const char *pl_sheet_printable(struct pl_sheet *sheet, const char *text);

// ---------------------------------------------------------------- drawings
//
// Each is as wide as is asked for; null with the reason in `*lacks`, a sentence, where the
// setup does not say enough for it.

/// The curve of a plot at all its corners, equal ones drawn once, with axes and names; the
/// base's dashed. `width` and `height` are of the whole, mm.
const struct pl_page *pl_plot_picture(struct pl_sheet *sheet,
                                      const struct pl_template_part *plot, double width,
                                      double height, const char **lacks);
/// The piston of a corner face-on at `scale` times true size, with a bar to prove the scale.
const struct pl_page *pl_piston_picture(struct pl_sheet *sheet, enum pl_place corner,
                                        double width, double scale, const char **lacks);
/// The shock of a corner in section at full extension, as large as fits.
const struct pl_page *pl_shock_picture(struct pl_sheet *sheet, enum pl_place corner,
                                       double width, double height, const char **lacks);

// ---------------------------------------------------------------- sheets of no setup

/// A sheet that is of no setup, on a paper of its own. Of the request only paper, direction,
/// packet page and version count.
struct pl_sheet *pl_plain_sheet(struct pl_arena *arena, const struct pl_template *look,
                                const struct pl_sheet_request *request);
/// Its first page, with the title.
void pl_plain_sheet_start(struct pl_sheet *sheet, const char *title);
/// Its footers; the paper is then done.
struct pl_paper *pl_plain_sheet_end(struct pl_sheet *sheet);

// ---------------------------------------------------------------- the parts of a page

void pl_plan_draw(struct pl_sheet *sheet, const struct pl_template_part *plan);
void pl_section_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
/// A plot, or a text to go by, over the whole width.
void pl_plots_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
void pl_remarks_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
/// The same within a column.
void pl_column_plot(struct pl_sheet *sheet, struct pl_column *column,
                    const struct pl_template_part *part);
void pl_column_remarks(struct pl_sheet *sheet, struct pl_column *column,
                       const struct pl_template_part *part);
/// The steps by which the shock of a corner is put together.
void pl_column_assembly(struct pl_sheet *sheet, struct pl_column *column, const char *title,
                        enum pl_place corner);
/// From a sign to the text behind it, mm.
#define PL_SIGN_ROOM 4.0
/// Puts the sign of a part (a box to tick, a triangle that warns) into a line of that size.
void pl_cell_sign(struct pl_sheet *sheet, struct pl_cell *cell, double x, double size,
                  enum pl_part_of_page kind);
void pl_shocks_draw(struct pl_sheet *sheet, const struct pl_template_part *shocks);
void pl_beside_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
void pl_runs_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
/// To be called where a page ends: remembers how much is blank beneath the lines to write on,
/// at most as many lines again.
void pl_runs_look_beneath(struct pl_sheet *sheet);
void pl_changes_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
void pl_notes_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
void pl_rest_draw(struct pl_sheet *sheet, const struct pl_template_part *part);
/// Has any of the things something to show?
bool pl_things_shown(struct pl_sheet *sheet, const struct pl_things *things);
/// Puts the rows of all things into the column: at one place, or folded over all of them.
void pl_column_things(struct pl_sheet *sheet, struct pl_column *column,
                      const struct pl_things *things);

#endif
