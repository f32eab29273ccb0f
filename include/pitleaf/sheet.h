// SPDX-License-Identifier: GPL-3.0-or-later
// sheet: what comes off the printer. Pages are first a display list of text, lines and shapes
// in millimetres; the PDF file is one consumer of that list and the tests are another.
#ifndef PITLEAF_SHEET_H
#define PITLEAF_SHEET_H

#include "pitleaf/compare.h"
#include "pitleaf/report.h"

struct pl_paper;

// ---------------------------------------------------------------- display list: what it holds
//
// Lengths are millimetres from the top left corner of the page, y downward. Sizes of type are
// points (1/72 inch). Everything here is owned by the arena of the paper.

/// What something is printed with. One accent, and everything stays legible without it: the
/// inks differ in lightness too.
enum pl_ink {
  PL_INK_BLACK,  ///< values, outlines
  PL_INK_GREY,   ///< units, labels
  PL_INK_LIGHT,  ///< rules, grids
  PL_INK_WHITE,  ///< on top of black or the accent
  PL_INK_ACCENT, ///< never the only bearer of a meaning
  PL_INK_NONE    ///< no fill
};

enum pl_dash { PL_SOLID, PL_DASHED, PL_DOTTED };

/// Which point of a text its x is.
enum pl_anchor { PL_ANCHOR_LEFT, PL_ANCHOR_CENTRE, PL_ANCHOR_RIGHT };

/// How a text is set. All zero but the size: regular, black, from x to the right.
struct pl_type {
  double size; ///< pt, above 0
  bool bold;
  bool struck; ///< with a line through it
  enum pl_ink ink;
  enum pl_anchor anchor;
};

/// How a line is drawn. All zero: not at all.
struct pl_stroke {
  double width; ///< mm; 0: no line
  enum pl_ink ink;
  enum pl_dash dash;
};

/// The thinnest line that a laser printer of 600 dots an inch still prints evenly (two dots
/// and a bit), mm. Common practice, no source.
#define PL_HAIR 0.1

/// A place on a page, mm.
struct pl_spot {
  double x;
  double y;
};

enum pl_mark_kind {
  PL_MARK_TEXT,      ///< x, y (left end of the baseline), width, type, text
  PL_MARK_LINE,      ///< spots (two), stroke
  PL_MARK_RECTANGLE, ///< x, y (top left), width, height, fill, stroke
  PL_MARK_POLYLINE,  ///< spots, stroke
  PL_MARK_POLYGON,   ///< spots (the last joins the first), fill, stroke
  PL_MARK_CIRCLE,    ///< x, y (centre), width (the diameter), fill, stroke
  PL_MARK_LINK,      ///< x, y (top left), width, height, page
  PL_MARK_IMAGE      ///< x, y (top left), width, height, image
};

/// Most points on one side of an image: as many as a laser printer of 600 dots an inch has on
/// the long side of A4, and far more than a logo needs.
#define PL_IMAGE_SIDE 7000

/// A picture of coloured points, as read from a PNG file.
struct pl_image {
  size_t width; ///< points
  size_t height;
  const unsigned char
      *points;      ///< three bytes a point (red, green, blue), row by row from the top
  const char *name; ///< for messages and lists: its path as it was written
};

/// One thing on a page. Which members count depends on the kind.
struct pl_mark {
  enum pl_mark_kind kind;
  double x;
  double y;
  double width; ///< of a text: measured when it was drawn
  double height;
  struct pl_type type; ///< its anchor is spent: x is the left end
  const char *text;    ///< UTF-8 in normal form C
  const struct pl_spot *spots;
  size_t spot_count;
  enum pl_ink fill;
  struct pl_stroke stroke;
  size_t page; ///< that a link leads to; counts from 0
  const struct pl_image *image;
};

/// Marks are printed in their order, later ones on top.
struct pl_page {
  struct pl_paper *paper; ///< null: a picture, which is on no paper
  struct pl_arena *arena; ///< that owns its marks
  double width;
  double height;
  struct pl_mark *marks;
  size_t count;
  size_t capacity;
};

/// An entry of the list of contents that a reader shows beside the pages.
struct pl_outline {
  const char *title;
  size_t page; ///< counts from 0
};

/// All pages of one file.
struct pl_paper {
  struct pl_arena *arena;
  struct pl_page **pages;
  size_t page_count;
  size_t page_capacity;
  struct pl_outline *outline;
  size_t outline_count;
  size_t outline_capacity;
  const char *title; ///< "" when not set, as the next two; set them as you like
  const char *author;
  const char *subject;
};

// ---------------------------------------------------------------- display list: making one

/// An empty paper without a page.
struct pl_paper *pl_paper_new(struct pl_arena *arena);

/// A new last page of that size, in mm (A4 is 210 by 297, Letter 215.9 by 279.4). The pointer
/// stays good as long as the arena.
struct pl_page *pl_paper_page(struct pl_paper *paper, double width, double height);

/// Adds an outline entry that leads to `page` (counts from 0; the page may come later).
void pl_paper_outline(struct pl_paper *paper, const char *title, size_t page);

/// Puts one line of text with its baseline at `y`. The text is copied in normal form C. Returns
/// its width in mm. A character that the font lacks is not noticed here: `pl_paper_to_pdf`
/// refuses it, and `pl_text_missing_glyph` finds it beforehand.
double pl_draw_text(struct pl_page *page, double x, double y, struct pl_type type,
                    const char *text);

void pl_draw_line(struct pl_page *page, double x1, double y1, double x2, double y2,
                  struct pl_stroke stroke);

/// `x`, `y` is the top left corner.
void pl_draw_rectangle(struct pl_page *page, double x, double y, double width, double height,
                       enum pl_ink fill, struct pl_stroke stroke);

/// A line through all spots (copied); fewer than two draw nothing.
void pl_draw_polyline(struct pl_page *page, const struct pl_spot *spots, size_t count,
                      struct pl_stroke stroke);

/// The same, closed and filled; fewer than three spots draw nothing.
void pl_draw_polygon(struct pl_page *page, const struct pl_spot *spots, size_t count,
                     enum pl_ink fill, struct pl_stroke stroke);

/// `x`, `y` is the centre.
void pl_draw_circle(struct pl_page *page, double x, double y, double diameter, enum pl_ink fill,
                    struct pl_stroke stroke);

/// The image, stretched to that size; `x`, `y` is the top left corner. The image must live as
/// long as the page.
void pl_draw_image(struct pl_page *page, double x, double y, double width, double height,
                   const struct pl_image *image);

/// Makes the rectangle lead to `target` (counts from 0) when it is clicked; prints nothing.
void pl_draw_link(struct pl_page *page, double x, double y, double width, double height,
                  size_t target);

/// A drawing that is made apart and put onto pages as a whole: a page that belongs to no paper.
struct pl_page *pl_picture_new(struct pl_arena *arena, double width, double height);

/// Puts all marks of a picture onto a page, its top left corner at `x`, `y`.
void pl_draw_picture(struct pl_page *page, double x, double y, const struct pl_page *picture);

// ---------------------------------------------------------------- text

/// Smallest type that is put on paper, pt: below it a sheet cannot be read in bad light.
#define PL_TYPE_FLOOR 6.0

/// Heights of a face, mm. All are positive.
struct pl_text_metrics {
  double ascent;     ///< from the baseline up to the top of the tallest accented capital
  double descent;    ///< from the baseline down
  double cap_height; ///< of a plain capital; digits are as high
  double x_height;
};

/// The heights of the face at `size` pt.
struct pl_text_metrics pl_text_metrics(double size, bool bold);

/// Width in mm of one line of text in normal form C at `size` pt: the sum of the advances. A
/// character that the font lacks counts as half the size.
double pl_text_width(const char *text, double size, bool bold);

/// The text in normal form C (accents joined to their letters, as far as Unicode has the
/// joined letter); bytes that are not UTF-8 become U+FFFD, which the font lacks. A text with
/// more than 30 marks on one letter, which is no writing, stays in its form. May return `text`
/// itself; otherwise owned by `arena`.
const char *pl_text_normalise(struct pl_arena *arena, const char *text);

/// True if the font lacks a character of the text (put into normal form C first); the first of
/// them is then in `*codepoint`. Both faces have the same characters. Control characters are
/// missing as well, so that a line break never gets into a line.
bool pl_text_missing_glyph(struct pl_arena *arena, const char *text, uint32_t *codepoint);

/// The text on one line with each character that the font lacks written as its code point
/// ("U+77ED"), so that it can be printed whatever it is. Owned by `arena`.
const char *pl_text_with_codes(struct pl_arena *arena, const char *text);

/// Breaks a text into lines that are not wider than `width` mm: at line breaks and spaces, and
/// within a word, between two characters as a reader sees them, only where the word alone is
/// too wide; not, where a line has room for both, between a number and the unit, `%`, short
/// word or `→` behind it, nor behind a sign that stands alone: `+`, `→`, `x`, `×`. Spaces at a
/// break are dropped; no other character is lost. A single character that is wider than `width`
/// gets a line of its own. There is at least one line. The text may be in any normal form, the
/// lines are in C. Owned by `arena`.
const char *const *pl_text_wrap(struct pl_arena *arena, const char *text, double size,
                                bool bold, double width, size_t *count);

/// The largest size, at most `size` pt and at least PL_TYPE_FLOOR, at which the text (normal
/// form C) fits one line of `width` mm; 0 if there is none and the text must be wrapped. Below
/// `size` the sizes are whole tenths of a point. A `size` under the floor is taken as it is.
double pl_text_fit(const char *text, double size, bool bold, double width);

// ---------------------------------------------------------------- consumers

/// The display list as text, for golden files: a line for each page, outline entry and mark,
/// lengths with two decimals. Owned by `arena`.
const char *pl_paper_as_text(struct pl_arena *arena, const struct pl_paper *paper);

/// Why there is no PDF.
enum pl_pdf_status {
  PL_PDF_OK,
  PL_PDF_NO_PAGE,   ///< the paper has no page, or an outline entry or a link leads to none
  PL_PDF_NO_GLYPH,  ///< the font lacks a character
  PL_PDF_TOO_LARGE, ///< a page, a place or a text is beyond what the format allows
  PL_PDF_NO_MEMORY, ///< memory ran out in the PDF library
  PL_PDF_LIBRARY    ///< the PDF library refused; a fault of this program
};

/// Writes the paper as a PDF file into memory: the same bytes for the same paper, no date. On
/// success the bytes are in `*bytes` and `*length`; otherwise these are NULL and 0 and
/// `*message` says why in words, without a period. All are owned by `arena`.
enum pl_pdf_status pl_paper_to_pdf(struct pl_arena *arena, const struct pl_paper *paper,
                                   const unsigned char **bytes, size_t *length,
                                   const char **message);

/// A PDF file in the making, paper by paper, so that the display lists of a whole meeting need
/// not stand in memory at once.
struct pl_pdf;

/// An empty file; ends with its arena.
struct pl_pdf *pl_pdf_new(struct pl_arena *arena);
/// Adds the pages of a paper behind those that are there, and its outline; its links lead to
/// its own pages. The paper is no longer needed then. A file that refused once is spent.
enum pl_pdf_status pl_pdf_add(struct pl_pdf *pdf, const struct pl_paper *paper,
                              const char **message);
/// The same in front of all pages, as the last paper: its links count through the whole file.
enum pl_pdf_status pl_pdf_add_front(struct pl_pdf *pdf, const struct pl_paper *paper,
                                    const char **message);
size_t pl_pdf_page_count(const struct pl_pdf *pdf);
/// The bytes of the file, owned by its arena; title, author and subject are those of
/// `properties`. Nothing can be added then.
enum pl_pdf_status pl_pdf_end(struct pl_pdf *pdf, const struct pl_paper *properties,
                              const unsigned char **bytes, size_t *length,
                              const char **message);

// ---------------------------------------------------------------- end of the display list part

// ---------------------------------------------------------------- templates that are built in

/// A file that is part of the program.
struct pl_embedded_file {
  const char *name;
  const unsigned char *bytes; ///< followed by a NUL
  size_t length;
};

/// The page templates; a null name ends them.
extern const struct pl_embedded_file pl_embedded_templates[];

/// Is a template of that name part of the program?
bool pl_template_is_built_in(const char *name);

/// Calls `visit` with the name of each template that is part of the program.
void pl_template_each_built_in(struct pl_arena *arena,
                               void (*visit)(void *context, const char *name), void *context);

/// Calls `visit` with each word that may begin a line in a block of a template ("template": in
/// the template itself): its keys, and the blocks that may stand in it.
void pl_template_each_word(const char *block,
                           void (*visit)(void *context, const char *word, bool is_key),
                           void *context);

/// The only template of a program's main file that no other of them starts from; null after a
/// report to the program's problems.
const char *pl_template_only(struct pl_program *program);

/// Reports all mistakes of a template to `problems`: those of its block and of the chain of
/// blocks that it starts from. What cannot be evaluated is reported to the program's own list.
void pl_template_check(struct pl_program *program, const struct pl_block *block,
                       struct pl_diagnostics *problems);

// ---------------------------------------------------------------- the race sheet

enum pl_paper_size {
  PL_PAPER_OF_TEMPLATE, ///< what the template says
  PL_A4,
  PL_LETTER
};

enum pl_direction {
  PL_DIRECTION_OF_TEMPLATE, ///< what the template says
  PL_PORTRAIT,
  PL_LANDSCAPE
};

struct pl_template;

/// A page template that is wanted.
struct pl_template_choice {
  const char *name;           ///< null: "race sheet"
  struct pl_program *program; ///< where it is looked for before those that are built in; null:
                              ///< the setup's own
  const struct pl_template *read; ///< the template itself, so that it is read once for many
                                  ///< sheets; null: not yet
};

/// Reads the template that is wanted; `program` is the setup's own. Null after a report to
/// `problems`, or to the program's own list. Owned by `arena`.
const struct pl_template *pl_template_read(struct pl_arena *arena,
                                           const struct pl_template_choice *choice,
                                           struct pl_program *program,
                                           struct pl_diagnostics *problems);

/// A text that is printed for a setting of the car in place of what the setup says.
struct pl_given {
  enum pl_setting setting;
  const char *text; ///< "": the setup's own
};

/// What a sheet is to show, and how.
struct pl_sheet_request {
  struct pl_figures *figures;
  bool form_only;                             ///< the setup is an empty one: blank forms alone
  struct pl_figures *base;                    ///< null: no marks
  const struct pl_comparison *comparison;     ///< of `base` with `figures`; null likewise
  const struct pl_template_choice *templates; ///< pages one behind the other
  size_t template_count;                      ///< 0: the race sheet alone
  enum pl_paper_size paper;
  enum pl_direction direction;
  enum pl_unit_system system;
  const struct pl_given *given; ///< what a meeting says of the entry
  size_t given_count;
  const char *group;   ///< of the entry; null or "": none
  size_t packet_page;  ///< number of its first page in the packet; 0: it is in none
  const char *outline; ///< in the list of contents; null: the setup's name
  const char *version; ///< of the program, for the footer
};

/// The sheet of a setup as a paper of its own. Null after a report to `problems` (or to the
/// program's own list) when the template has a mistake or the font lacks a character. Owned by
/// `arena`, which must not outlive the setup's program.
struct pl_paper *pl_sheet_new(struct pl_arena *arena, const struct pl_sheet_request *request,
                              struct pl_diagnostics *problems);

/// The same, as further pages of a paper that has pages already; false after a report, and the
/// paper is then fit for nothing. Numbers its own pages and adds an outline entry.
bool pl_sheet_add(struct pl_paper *paper, const struct pl_sheet_request *request,
                  struct pl_diagnostics *problems);

// ---------------------------------------------------------------- a meeting's packet

/// What an entry has in the packet.
enum pl_packet_kind {
  PL_PACKET_SHEET,
  PL_PACKET_FORM,    ///< it brings no file: a blank form
  PL_PACKET_MISTAKES ///< its file has mistakes, and its page says which
};

/// What the cover says of an entry. Texts are "" where there is nothing to say; characters that
/// the font lacks are printed by their code points.
struct pl_packet_row {
  const char *number;
  const char *driver;
  const char *class_name;
  const char *group;
  const char *setup;
  enum pl_packet_kind kind;
  size_t page; ///< of its first page behind the cover; counts from 0
};

/// What stands on the cover, and how its pages are made.
struct pl_packet {
  const char *name;
  const char *date;
  const char *track_name;
  const char *event;
  const struct pl_packet_row *rows;
  size_t count;
  const struct pl_template *look; ///< whose paper, margins, club, logo and words it has
  enum pl_paper_size paper;
  enum pl_direction direction;
  const char *version;
};

/// The cover: the meeting and the list of its entries, each a link to its pages. Its own pages
/// go in front; those of the entries are numbered behind it, from 1. Owned by `arena`.
struct pl_paper *pl_cover_new(struct pl_arena *arena, const struct pl_packet *packet);

/// What an entry is called over its page and in the list of contents: "Entry 7 · …".
const char *pl_packet_title(struct pl_arena *arena, const struct pl_packet *packet,
                            const struct pl_packet_row *row);

/// The page of an entry whose file has mistakes: which ones, and the mends.
struct pl_paper *pl_mistakes_new(struct pl_arena *arena, const struct pl_packet *packet,
                                 const struct pl_packet_row *row,
                                 const struct pl_diagnostics *problems);

// ---------------------------------------------------------------- sweeps

/// What is drawn of a sweep, and how its pages are made.
struct pl_sweep_request {
  const struct pl_sweep *sweep;
  const struct pl_sweep_shown *shown; ///< at least one
  size_t count;
  const struct pl_template *look; ///< whose paper, margins, club, logo and words it has
  enum pl_paper_size paper;
  enum pl_direction direction;
  enum pl_unit_system system;
  const char *version;
};

/// Small plots: the swept value along x; of one setting a plot a figure, with a line an axle,
/// of two a plot for each figure at each place that goes by both, with a line for each value of
/// the second. Owned by `arena`.
struct pl_paper *pl_sweep_paper_new(struct pl_arena *arena,
                                    const struct pl_sweep_request *request);

// ---------------------------------------------------------------- scrutineering

/// What is taken to the measuring table, and how its pages are made.
struct pl_scrutiny_request {
  const struct pl_rules *rules;
  const struct pl_scrutinised *entries;
  size_t count;
  const char *title; ///< of the meeting, or of the rules
  const char *date;  ///< of the meeting, as the next two; "" where none is given
  const char *track_name;
  const char *event;
  const struct pl_template *look; ///< whose paper, margins, club, logo and words it has
  enum pl_paper_size paper;
  enum pl_direction direction;
  const char *version;
};

/// The list: a row an entry, a column a rule, and the rules in full behind it. Owned by
/// `arena`.
struct pl_paper *pl_scrutiny_list_new(struct pl_arena *arena,
                                      const struct pl_scrutiny_request *request);
/// A page for each entry: what each rule wants, what is declared, and room for the official.
struct pl_paper *pl_certificates_new(struct pl_arena *arena,
                                     const struct pl_scrutiny_request *request);

#endif
