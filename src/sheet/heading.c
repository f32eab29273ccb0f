// SPDX-License-Identifier: GPL-3.0-or-later
// What stands at the top and at the foot of each page.
#include <string.h>

#include "pitleaf/report.h"
#include "room.h"

static void size_of_page(const struct pl_sheet *sheet, double *width, double *height) {
  const struct pl_sheet_request *const request = sheet->request;
  const enum pl_paper_size paper =
      request->paper != PL_PAPER_OF_TEMPLATE ? request->paper : sheet->plan->paper;
  const bool landscape = request->direction == PL_DIRECTION_OF_TEMPLATE
                             ? sheet->plan->landscape
                             : request->direction == PL_LANDSCAPE;
  const double narrow = paper == PL_LETTER ? 215.9 : 210;
  const double wide = paper == PL_LETTER ? 279.4 : 297;
  *width = landscape ? wide : narrow;
  *height = landscape ? narrow : wide;
}

/// The most that a logo takes of a page, mm.
#define LOGO_HEIGHT 13.0
#define LOGO_WIDTH  42.0
/// Between the logo and what stands beside it, mm.
#define LOGO_GAP 3.0

/// Room beside the setup's name for the base's, mm.
#define AGAINST_ROOM 70.0

/// Between a title and what is under it, mm.
static const double title_gap = 1.2;

static void blame_name(struct pl_sheet *sheet) {
  sheet->where = (struct pl_span){.source = NULL};
  if (sheet->setup != NULL) sheet->where = pl_setup_span(sheet->setup);
  sheet->what = "the setup's name";
}

/// More bytes of a name than any line has room for.
#define LINE_BYTES 2000

/// A name in one line, shortened to what fits: whole it stands over the first page.
static const char *short_name(struct pl_sheet *sheet, const char *name, double size,
                              double width) {
  size_t count = 0;
  // It stands on each page, and is not gone through as a whole for each.
  if (strnlen(name, LINE_BYTES + 1) > LINE_BYTES) {
    size_t length = LINE_BYTES;
    while (((unsigned char)name[length] & 0xC0) == 0x80) length--;
    name = pl_copy_text(sheet->arena, name, length);
  }
  const char *const *const lines =
      pl_text_wrap(sheet->arena, pl_sheet_printable(sheet, name), size, true, width, &count);
  return count == 1 ? lines[0] : pl_format(sheet->arena, "%s …", lines[0]);
}

void pl_flow_page(struct pl_sheet *sheet) {
  double width = 0;
  double height = 0;
  pl_runs_look_beneath(sheet);
  size_of_page(sheet, &width, &height);
  const double *const margins = sheet->plan->margins;
  sheet->page = pl_paper_page(sheet->paper, width, height);
  sheet->left = margins[0];
  sheet->width = width - margins[0] - margins[1];
  sheet->y = margins[2];
  sheet->top = margins[2];
  if (sheet->paper->page_count == sheet->first_of_template + 1)
    sheet->footer = pl_footer_height(sheet);
  sheet->bottom = height - margins[3] - sheet->footer;
  if (sheet->paper->page_count == sheet->first_page + 1) return;
  blame_name(sheet);
  pl_sheet_text(sheet, sheet->left, sheet->y + pl_line_base(PL_BODY),
                (struct pl_type){.size = PL_BODY, .bold = true},
                short_name(sheet, sheet->title, PL_BODY, sheet->width - 8));
  sheet->y += pl_line_height(PL_BODY) + title_gap;
  pl_draw_line(sheet->page, sheet->left, sheet->y - 0.6, sheet->left + sheet->width,
               sheet->y - 0.6, (struct pl_stroke){.width = 0.5, .ink = PL_INK_BLACK});
  sheet->y += 1.5;
  sheet->top = sheet->y;
}

/// Two items of the heading beside each other: as a section does.
static void draw_items(struct pl_sheet *sheet) {
  const struct pl_template_part part = {
      .kind = PL_PAGE_SECTION, .title = "", .columns = 3, .show = sheet->plan->heading};
  pl_section_draw(sheet, &part);
}

/// Draws the logo in the upper left corner; returns the width that it takes.
static double draw_logo(struct pl_sheet *sheet) {
  const struct pl_image *const logo = sheet->plan->logo;
  if (logo == NULL) return 0;
  double height = LOGO_HEIGHT;
  double width = height * (double)logo->width / (double)logo->height;
  if (width > LOGO_WIDTH) {
    height *= LOGO_WIDTH / width;
    width = LOGO_WIDTH;
  }
  pl_draw_image(sheet->page, sheet->left, sheet->y, width, height, logo);
  return width + LOGO_GAP;
}

/// The club's name over the title.
static void draw_names(struct pl_sheet *sheet, struct pl_column *column) {
  const struct pl_type grey = {.size = PL_BODY, .ink = PL_INK_GREY};
  sheet->where = (struct pl_span){.source = NULL};
  sheet->what = "the club's name";
  if (sheet->plan->club[0] != '\0')
    pl_column_paragraph(sheet, column, 0, grey, sheet->plan->club);
}

/// In place of the setup's name, on a form: room to write one.
static void add_blank_title(struct pl_sheet *sheet, struct pl_column *column) {
  const struct pl_type type = {.size = PL_LARGE, .bold = true};
  const char *const title = pl_word(sheet, PL_WORD_SETUP);
  struct pl_cell *const cell = pl_column_cell(sheet, column, pl_line_height(PL_LARGE) + 1.5);
  pl_cell_text(sheet, cell, 0, 1, type, title);
  const double start = pl_text_width(title, PL_LARGE, true) + 3;
  if (start + 20 < column->width)
    pl_cell_line(sheet, cell, start, 1 + pl_line_base(PL_LARGE) + 0.3, column->width - start);
}

/// What stands at the right of the title: the base, or the number of the entry in a meeting.
static const char *words_beside(struct pl_sheet *sheet, struct pl_type *type) {
  const struct pl_sheet_request *const request = sheet->request;
  *type = (struct pl_type){.size = PL_LARGE, .bold = true, .anchor = PL_ANCHOR_RIGHT};
  for (size_t i = 0; i < request->given_count; i++) {
    const struct pl_given *const given = &request->given[i];
    if (given->setting != PL_SETTING_ENTRY || given->text[0] == '\0') continue;
    return request->group == NULL || request->group[0] == '\0'
               ? pl_word_with(sheet, PL_WORD_ENTRY_NUMBER, given->text, NULL)
               : pl_word_with(sheet, PL_WORD_ENTRY_OF_GROUP, given->text, request->group);
  }
  *type = (struct pl_type){.size = PL_BODY, .ink = PL_INK_GREY, .anchor = PL_ANCHOR_RIGHT};
  if (request->base == NULL || sheet->plan->blank) return "";
  return pl_word_with(sheet, PL_WORD_AGAINST, pl_setup_name(pl_figures_setup(request->base)),
                      NULL);
}

void pl_heading_draw(struct pl_sheet *sheet) {
  const double logo = draw_logo(sheet);
  const double top = sheet->y;
  struct pl_column column = {.x = logo, .width = sheet->width - logo};
  draw_names(sheet, &column);
  const double title = sheet->y + pl_column_height(&column);
  blame_name(sheet);
  struct pl_type type;
  const char *const beside = words_beside(sheet, &type);
  const bool one_line = strchr(beside, '\n') == NULL;
  const double fitting = !one_line ? 0
                                   : pl_text_fit(pl_sheet_printable(sheet, beside), type.size,
                                                 type.bold, AGAINST_ROOM);
  if (beside[0] != '\0' && fitting > 0) {
    type.size = fitting;
    column.width -= AGAINST_ROOM;
    pl_sheet_text(sheet, sheet->left + sheet->width, title + pl_line_base(PL_LARGE), type,
                  beside);
  }
  if (sheet->plan->blank && sheet->setup != NULL)
    add_blank_title(sheet, &column);
  else
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_LARGE, .bold = true},
                        sheet->title);
  // What is too long to stand beside the title stands beneath it.
  if (beside[0] != '\0' && !(fitting > 0))
    pl_column_paragraph(sheet, &column, 0,
                        (struct pl_type){.size = PL_BODY, .bold = type.bold, .ink = type.ink},
                        beside);
  pl_flow_columns(sheet, &column, 1, NULL, false);
  if (logo > 0 && sheet->y < top + LOGO_HEIGHT) sheet->y = top + LOGO_HEIGHT;
  pl_draw_line(sheet->page, sheet->left, sheet->y + 0.4, sheet->left + sheet->width,
               sheet->y + 0.4, (struct pl_stroke){.width = 0.5, .ink = PL_INK_BLACK});
  sheet->y += title_gap;
  if (sheet->setup != NULL) draw_items(sheet);
  sheet->y += 0.8;
}

// ---------------------------------------------------------------- footer

/// The name of a file, whose bytes may be any: they are shown as on a terminal.
static const char *file_name(const struct pl_sheet *sheet, const struct pl_source *source) {
  if (source == NULL) return "";
  const char *const slash = strrchr(source->path, '/');
  const char *const name = slash == NULL ? source->path : slash + 1;
  return pl_text_with_codes(sheet->arena, pl_text_safe(sheet->arena, name));
}

/// A file and the first digits of its digest.
static const char *file_words(struct pl_sheet *sheet, const struct pl_setup *setup) {
  const struct pl_source *const source = pl_program_source(pl_setup_program(setup));
  if (source == NULL) return pl_word(sheet, PL_WORD_NO_FILE);
  return pl_format(sheet->arena, "%s %.12s", file_name(sheet, source),
                   pl_source_digest(sheet->arena, source));
}

static const char *footer_words(struct pl_sheet *sheet) {
  struct pl_buffer words = {.arena = sheet->arena};
  pl_buffer_text(&words, file_words(sheet, sheet->setup));
  if (sheet->request->base != NULL) {
    const struct pl_setup *const base = pl_figures_setup(sheet->request->base);
    pl_buffer_format(&words, "  ·  %s, %s",
                     pl_word_with(sheet, PL_WORD_AGAINST,
                                  short_name(sheet, pl_setup_name(base), PL_SMALL, 60), NULL),
                     file_words(sheet, base));
  }
  pl_buffer_format(&words, "  ·  pitleaf %s", sheet->request->version);
  return pl_buffer_string(&words);
}

/// Between the footer's words and the page's number, mm.
#define NUMBER_GAP 3.0

/// "page 1 of 2", and before it the number in a packet.
static const char *number_words(struct pl_sheet *sheet, size_t page, size_t count) {
  const char *const own =
      pl_word_with(sheet, PL_WORD_PAGE_OF, pl_format(sheet->arena, "%zu", page + 1),
                   pl_format(sheet->arena, "%zu", count));
  if (sheet->request->packet_page == 0) return own;
  return pl_format(
      sheet->arena, "%s  ·  %s",
      pl_word_with(sheet, PL_WORD_PACKET_PAGE,
                   pl_format(sheet->arena, "%zu", sheet->request->packet_page + page), NULL),
      own);
}

/// What the signs on the page mean.
static const char *key_words(struct pl_sheet *sheet) {
  bool has_plan = false;
  for (const struct pl_template_part *part = sheet->plan->parts; part != NULL;
       part = part->next)
    has_plan = has_plan || part->kind == PL_PAGE_PLAN;
  const enum pl_word words[] = {PL_WORD_KEY_MARKS, PL_WORD_KEY_COMPUTED, PL_WORD_KEY_SIDES,
                                PL_WORD_ESTIMATES};
  const bool wanted[] = {sheet->request->comparison != NULL, true, has_plan, true};
  struct pl_buffer out = {.arena = sheet->arena};
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
    if (wanted[i])
      pl_buffer_format(&out, "%s%s", out.length == 0 ? "" : "  ", pl_word(sheet, words[i]));
  }
  return pl_buffer_string(&out);
}

/// The lines of the footer; the page's number goes beside the last one.
static struct pl_column footer_of(struct pl_sheet *sheet) {
  struct pl_column column = {.width = sheet->width};
  const struct pl_type grey = {.size = PL_SMALL, .ink = PL_INK_GREY};
  blame_name(sheet);
  const bool blank = sheet->plan->blank || sheet->setup == NULL;
  if (sheet->plan->footer[0] != '\0')
    pl_column_paragraph(sheet, &column, 0, (struct pl_type){.size = PL_COMPUTED},
                        sheet->plan->footer);
  if (!blank) pl_column_paragraph(sheet, &column, 0, grey, key_words(sheet));
  // As wide as the number of a page far back.
  column.width -= pl_text_width(number_words(sheet, 999, 999), PL_SMALL, false) + NUMBER_GAP;
  pl_column_paragraph(sheet, &column, 0, grey,
                      blank ? pl_format(sheet->arena, "pitleaf %s", sheet->request->version)
                            : footer_words(sheet));
  return column;
}

double pl_footer_height(struct pl_sheet *sheet) {
  const struct pl_column column = footer_of(sheet);
  return pl_column_height(&column) + 2;
}

void pl_footer_draw(struct pl_sheet *sheet, size_t end) {
  const struct pl_column column = footer_of(sheet);
  const size_t count = sheet->paper->page_count - sheet->first_page;
  for (size_t at = sheet->first_of_template; at < end; at++) {
    const size_t page = at - sheet->first_page;
    sheet->page = sheet->paper->pages[at];
    double y = sheet->bottom + 1.4;
    pl_draw_line(sheet->page, sheet->left, y - 0.2, sheet->left + sheet->width, y - 0.2,
                 (struct pl_stroke){.width = PL_HAIR, .ink = PL_INK_GREY});
    for (size_t i = 0; i < column.count; i++) {
      for (size_t j = 0; j < column.cells[i].count; j++)
        pl_draw_text(sheet->page, sheet->left, y + column.cells[i].pieces[j].y,
                     column.cells[i].pieces[j].type, column.cells[i].pieces[j].text);
      if (i + 1 < column.count) y += column.cells[i].height;
    }
    pl_sheet_text(sheet, sheet->left + sheet->width, y + pl_line_base(PL_SMALL),
                  (struct pl_type){.size = PL_SMALL, .anchor = PL_ANCHOR_RIGHT},
                  number_words(sheet, page, count));
  }
}
