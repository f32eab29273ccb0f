// SPDX-License-Identifier: GPL-3.0-or-later
// The display list as a PDF file.
#include "pdf.h"

#include <errno.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "printable.h"

/// The palette: the one place that says what an ink looks like. From white to black the inks
/// differ in lightness, so that a black-and-white printer keeps their order. The grey stands
/// out 5.3 to 1 on white, above the 4.5 that WCAG 2.1 (1.4.3) asks of small text; the accent
/// prints as a grey of 0.24 where there is no colour.
static const struct colour {
  float red, green, blue;
} palette[] = {
    [PL_INK_BLACK] = {0, 0, 0},
    [PL_INK_GREY] = {0.42F, 0.42F, 0.42F},
    [PL_INK_LIGHT] = {0.70F, 0.70F, 0.70F},
    [PL_INK_WHITE] = {1, 1, 1},
    [PL_INK_ACCENT] = {0, 0.30F, 0.36F},
};

/// Where a struck-out text is crossed, how far beyond its ends, and how thick, as parts of its
/// size: a little aslant, so that no minus sign or dash hides it, thin and overhanging, so that
/// no digit reads as another one by it.
static const double strike_from = 0.12;
static const double strike_to = 0.54;
static const double strike_beyond = 0.18;
static const double strike_width = 0.035;

// ---------------------------------------------------------------- memory

// A page that the library adds without enough memory uses a dictionary that it has freed:
// HPDF_Page_New goes on where HPDF_Dict_Add refused. What is lacking meanwhile therefore comes
// out of the document's reserve, and the document is given up once its page is there. What
// gives out memory is not told the document, so that the thread knows it, as long as a call of
// the library lasts that may need the reserve or has some of it to give back.
static _Thread_local struct pl_pdf *served;

static bool is_reserved(const void *bytes) {
  const uintptr_t at = (uintptr_t)bytes;
  const uintptr_t from = served == NULL ? 0 : (uintptr_t)served->reserve;
  return served != NULL && at >= from && at < from + sizeof served->reserve;
}

static void *get_memory(HPDF_UINT size) {
  void *const bytes = malloc(size);
  if (bytes != NULL || served == NULL) return bytes;
  const size_t unit = alignof(max_align_t);
  const size_t rounded = ((size_t)size + unit - 1) / unit * unit;
  if (rounded > sizeof served->reserve - served->reserve_used) return NULL;
  served->reserve_used += rounded;
  return served->reserve + served->reserve_used - rounded;
}

static void free_memory(void *bytes) {
  if (!is_reserved(bytes)) free(bytes);
}

/// Lack of memory comes out of the library under many names, but leaves its mark in errno,
/// which is 0 whenever the library is entered.
_Noreturn void pdf_give_up(struct pl_pdf *pdf, HPDF_STATUS error) {
  served = NULL;
  pdf->error = errno == ENOMEM ? HPDF_FAILD_TO_ALLOC_MEM : error;
  longjmp(pdf->landing, 1);
}

/// The PDF library's error handler.
static void refuse(HPDF_STATUS error, HPDF_STATUS detail, void *user_data) {
  (void)detail;
  pdf_give_up(user_data, error);
}

/// Millimetres as points.
static HPDF_REAL points(double length) {
  return (HPDF_REAL)(length * (72.0 / 25.4));
}

/// A height on the page as the PDF counts it: from the bottom, upward.
static HPDF_REAL upward(const struct pl_pdf *pdf, double y) {
  return points(pdf->page_height - y);
}

// ---------------------------------------------------------------- state of the page

static void set_fill(struct pl_pdf *pdf, enum pl_ink ink) {
  if (ink == pdf->fill) return;
  const struct colour *const colour = &palette[ink];
  if (colour->red == colour->green && colour->green == colour->blue) {
    HPDF_Page_SetGrayFill(pdf->page, colour->red);
  } else {
    HPDF_Page_SetRGBFill(pdf->page, colour->red, colour->green, colour->blue);
  }
  pdf->fill = ink;
}

static void set_stroke_ink(struct pl_pdf *pdf, enum pl_ink ink) {
  if (ink == pdf->stroke) return;
  const struct colour *const colour = &palette[ink];
  if (colour->red == colour->green && colour->green == colour->blue) {
    HPDF_Page_SetGrayStroke(pdf->page, colour->red);
  } else {
    HPDF_Page_SetRGBStroke(pdf->page, colour->red, colour->green, colour->blue);
  }
  pdf->stroke = ink;
}

static void set_dash(struct pl_pdf *pdf, enum pl_dash dash) {
  static const HPDF_UINT16 dashed[] = {3, 2}; // pt; the library takes whole numbers only
  static const HPDF_UINT16 dotted[] = {1, 2};
  if (dash == pdf->dash) return;
  switch (dash) {
  case PL_SOLID: HPDF_Page_SetDash(pdf->page, NULL, 0, 0); break;
  case PL_DASHED: HPDF_Page_SetDash(pdf->page, dashed, 2, 0); break;
  case PL_DOTTED: HPDF_Page_SetDash(pdf->page, dotted, 2, 0); break;
  }
  pdf->dash = dash;
}

/// Sets how lines are drawn. Returns false if there is nothing to draw.
static bool set_stroke(struct pl_pdf *pdf, struct pl_stroke stroke) {
  if (stroke.width == 0 || stroke.ink == PL_INK_NONE) return false;
  set_stroke_ink(pdf, stroke.ink);
  set_dash(pdf, stroke.dash);
  if (stroke.width != pdf->line_width) {
    HPDF_Page_SetLineWidth(pdf->page, points(stroke.width));
    pdf->line_width = stroke.width;
  }
  return true;
}

// ---------------------------------------------------------------- marks

static void move_to(const struct pl_pdf *pdf, struct pl_spot spot) {
  HPDF_Page_MoveTo(pdf->page, points(spot.x), upward(pdf, spot.y));
}

static void line_to(const struct pl_pdf *pdf, struct pl_spot spot) {
  HPDF_Page_LineTo(pdf->page, points(spot.x), upward(pdf, spot.y));
}

/// Path of a mark, to be painted by the caller.
static void write_path(const struct pl_pdf *pdf, const struct pl_mark *mark) {
  switch (mark->kind) {
  case PL_MARK_RECTANGLE:
    HPDF_Page_Rectangle(pdf->page, points(mark->x), upward(pdf, mark->y + mark->height),
                        points(mark->width), points(mark->height));
    break;
  case PL_MARK_CIRCLE:
    HPDF_Page_Circle(pdf->page, points(mark->x), upward(pdf, mark->y), points(mark->width / 2));
    break;
  default:
    move_to(pdf, mark->spots[0]);
    for (size_t i = 1; i < mark->spot_count; i++) line_to(pdf, mark->spots[i]);
    if (mark->kind == PL_MARK_POLYGON) HPDF_Page_ClosePath(pdf->page);
  }
}

static void write_shape(struct pl_pdf *pdf, const struct pl_mark *mark) {
  const bool filled = mark->fill != PL_INK_NONE;
  if (filled) set_fill(pdf, mark->fill);
  const bool stroked = set_stroke(pdf, mark->stroke);
  if (!filled && !stroked) return;
  write_path(pdf, mark);
  if (filled && stroked) {
    HPDF_Page_FillStroke(pdf->page);
  } else if (filled) {
    HPDF_Page_Fill(pdf->page);
  } else {
    HPDF_Page_Stroke(pdf->page);
  }
}

static void write_text(struct pl_pdf *pdf, const struct pl_mark *mark) {
  const struct pl_type type = mark->type;
  if (type.ink == PL_INK_NONE || mark->text[0] == '\0') return;
  set_fill(pdf, type.ink);
  HPDF_Page_BeginText(pdf->page);
  if (type.size != pdf->type_size || type.bold != pdf->type_bold) {
    HPDF_Page_SetFontAndSize(pdf->page, pdf_face_of(pdf, type.bold), (HPDF_REAL)type.size);
    pdf->type_size = type.size;
    pdf->type_bold = type.bold;
  }
  HPDF_Page_MoveTextPos(pdf->page, points(mark->x), upward(pdf, mark->y));
  HPDF_Page_ShowText(pdf->page, mark->text);
  HPDF_Page_EndText(pdf->page);
  if (!type.struck) return;
  const double size = type.size * (25.4 / 72.0);
  set_stroke(pdf, (struct pl_stroke){.width = strike_width * size, .ink = PL_INK_BLACK});
  move_to(pdf, (struct pl_spot){mark->x - strike_beyond * size, mark->y - strike_from * size});
  line_to(pdf, (struct pl_spot){mark->x + mark->width + strike_beyond * size,
                                mark->y - strike_to * size});
  HPDF_Page_Stroke(pdf->page);
}

/// The whole of a page, as a place to go to.
static HPDF_Destination destination_of(HPDF_Page page) {
  HPDF_Destination destination = HPDF_Page_CreateDestination(page);
  HPDF_Destination_SetFit(destination);
  return destination;
}

static void write_link(const struct pl_pdf *pdf, const struct pl_mark *mark) {
  const HPDF_Rect area = {points(mark->x), upward(pdf, mark->y + mark->height),
                          points(mark->x + mark->width), upward(pdf, mark->y)};
  HPDF_Page target =
      HPDF_GetPageByIndex(pdf->document, (HPDF_UINT)(pdf->first_page + mark->page));
  HPDF_Annotation link = HPDF_Page_CreateLinkAnnot(pdf->page, area, destination_of(target));
  HPDF_LinkAnnot_SetBorderStyle(link, 0, 0, 0);
}

/// The image of a mark, made known to the document at its first use.
static HPDF_Image image_of(struct pl_pdf *pdf, const struct pl_image *image) {
  for (size_t i = 0; i < pdf->image_count; i++) {
    if (pdf->images[i].source == image) return pdf->images[i].image;
  }
  HPDF_Image loaded =
      HPDF_LoadRawImageFromMem(pdf->document, image->points, (HPDF_UINT)image->width,
                               (HPDF_UINT)image->height, HPDF_CS_DEVICE_RGB, 8);
  pdf_must(pdf, loaded != NULL);
  if (pdf->image_count < sizeof pdf->images / sizeof pdf->images[0]) {
    pdf->images[pdf->image_count].source = image;
    pdf->images[pdf->image_count++].image = loaded;
  }
  return loaded;
}

static void write_image(struct pl_pdf *pdf, const struct pl_mark *mark) {
  HPDF_Page_DrawImage(pdf->page, image_of(pdf, mark->image), points(mark->x),
                      upward(pdf, mark->y + mark->height), points(mark->width),
                      points(mark->height));
}

// ---------------------------------------------------------------- pages

size_t pl_pdf_page_count(const struct pl_pdf *pdf) {
  return pdf->document == NULL ? 0 : pdf->document->cur_page_num;
}

static void write_page(struct pl_pdf *pdf, const struct pl_page *page, HPDF_Page target) {
  pdf->page = target;
  pdf->page_height = page->height;
  pdf->fill = PL_INK_NONE; // not known yet
  pdf->stroke = PL_INK_NONE;
  pdf->dash = PL_SOLID; // what a page begins with
  pdf->line_width = 0;
  pdf->type_size = 0;
  HPDF_Page_SetLineJoin(pdf->page, HPDF_ROUND_JOIN);
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    switch (mark->kind) {
    case PL_MARK_TEXT: write_text(pdf, mark); break;
    case PL_MARK_LINK: write_link(pdf, mark); break;
    case PL_MARK_IMAGE: write_image(pdf, mark); break;
    default: write_shape(pdf, mark);
    }
  }
}

/// A page of the document, before that one, or as the last one.
static HPDF_Page new_page(struct pl_pdf *pdf, HPDF_Page before) {
  served = pdf;
  HPDF_Page page =
      before == NULL ? HPDF_AddPage(pdf->document) : HPDF_InsertPage(pdf->document, before);
  served = NULL;
  pdf_must(pdf, pdf->reserve_used == 0);
  return page;
}

/// Adds the paper's pages, before that page of the document, or as the last ones.
static void add_pages(struct pl_pdf *pdf, const struct pl_paper *paper, HPDF_Page before,
                      HPDF_Page *pages) {
  for (size_t i = 0; i < paper->page_count; i++) {
    pages[i] = new_page(pdf, before);
    HPDF_Page_SetWidth(pages[i], points(paper->pages[i]->width));
    HPDF_Page_SetHeight(pages[i], points(paper->pages[i]->height));
  }
}

static void write_pages(struct pl_pdf *pdf, const struct pl_paper *paper, HPDF_Page before,
                        HPDF_Page *pages) {
  pdf->first_page = before == NULL ? pl_pdf_page_count(pdf) : 0;
  add_pages(pdf, paper, before, pages);
  for (size_t i = 0; i < paper->page_count; i++) write_page(pdf, paper->pages[i], pages[i]);
}

// ---------------------------------------------------------------- the file

static void write_properties(const struct pl_pdf *pdf, const struct pl_paper *paper) {
  HPDF_SetCurrentEncoder(pdf->document, "UTF-8");
  HPDF_SetInfoAttr(pdf->document, HPDF_INFO_CREATOR, "pitleaf");
  HPDF_SetInfoAttr(pdf->document, HPDF_INFO_PRODUCER, "pitleaf");
  if (paper->title[0]) HPDF_SetInfoAttr(pdf->document, HPDF_INFO_TITLE, paper->title);
  if (paper->author[0]) HPDF_SetInfoAttr(pdf->document, HPDF_INFO_AUTHOR, paper->author);
  if (paper->subject[0]) HPDF_SetInfoAttr(pdf->document, HPDF_INFO_SUBJECT, paper->subject);
}

static void write_contents(const struct pl_pdf *pdf) {
  HPDF_Encoder encoder = HPDF_GetEncoder(pdf->document, "UTF-8");
  const size_t count = pdf->content_count;
  for (size_t i = 0; i < count; i++) {
    // Those of the front were added last.
    const size_t at = (i + count - pdf->front_count) % count;
    HPDF_Outline entry =
        HPDF_CreateOutline(pdf->document, NULL, pdf->contents[at].title, encoder);
    HPDF_Outline_SetDestination(entry, destination_of(pdf->contents[at].page));
  }
  if (count > 0) HPDF_SetPageMode(pdf->document, HPDF_PAGE_MODE_USE_OUTLINE);
}

/// What the PDF library's error means.
static enum pl_pdf_status status_of(struct pl_pdf *pdf, HPDF_STATUS error,
                                    const char **message) {
  if (error == HPDF_OK) return PL_PDF_OK;
  if (error == HPDF_FAILD_TO_ALLOC_MEM) {
    *message = "there is not enough memory to make the PDF file";
    return PL_PDF_NO_MEMORY;
  }
  *message = pl_format(pdf->arena, "the PDF library refused with error 0x%04lX", error);
  return PL_PDF_LIBRARY;
}

static void begin_document(struct pl_pdf *pdf) {
  HPDF_SetCompressionMode(pdf->document, HPDF_COMP_ALL);
  // The one public function that tells of no memory by its status alone.
  if (HPDF_UseUTFEncodings(pdf->document) != HPDF_OK) pdf_give_up(pdf, HPDF_FAILD_TO_ALLOC_MEM);
  HPDF_GetEncoder(pdf->document, "UTF-8")->encode_text_fn = pdf_codes_of;
}

// Nothing is asked of the arena while the PDF library runs: should the arena jump out for lack
// of memory, the library would be left in the middle of its work.

/// The library saves the state of a page while it draws an image. Should memory end meanwhile,
/// it would free the newest state alone.
static void free_saved_states(const struct pl_pdf *pdf) {
  HPDF_PageAttr page = pdf->page == NULL ? NULL : pdf->page->attr;
  while (page != NULL && page->gstate != NULL && page->gstate->prev != NULL)
    page->gstate = HPDF_GState_Free(pdf->document->mmgr, page->gstate);
}

static void free_document(void *thing) {
  struct pl_pdf *const pdf = thing;
  if (pdf->document == NULL) return;
  served = pdf;
  free_saved_states(pdf);
  HPDF_Free(pdf->document);
  served = NULL;
  pdf->document = NULL;
}

struct pl_pdf *pl_pdf_new(struct pl_arena *arena) {
  struct pl_pdf *const pdf = pl_alloc(arena, sizeof *pdf);
  pdf->arena = arena;
  pl_arena_at_end(arena, free_document, pdf);
  return pdf;
}

/// The document, made at its first use; null where memory ran out.
static HPDF_Doc document_of(struct pl_pdf *pdf) {
  if (pdf->document != NULL) return pdf->document;
  errno = 0;
  pdf->document = HPDF_NewEx(refuse, get_memory, free_memory, 0, pdf);
  if (pdf->document == NULL) {
    pdf->error = HPDF_FAILD_TO_ALLOC_MEM;
    return NULL;
  }
  if (setjmp(pdf->landing) == 0) begin_document(pdf);
  return pdf->error == HPDF_OK ? pdf->document : NULL;
}

/// Remembers the paper's outline for the end of the file.
static void keep_contents(struct pl_pdf *pdf, const struct pl_paper *paper, bool in_front,
                          HPDF_Page *pages) {
  for (size_t i = 0; i < paper->outline_count; i++) {
    const struct pl_outline *const entry = &paper->outline[i];
    pdf->contents = pl_grow(pdf->arena, pdf->contents, pdf->content_count,
                            &pdf->content_capacity, sizeof *pdf->contents);
    pdf->contents[pdf->content_count++] = (struct content){
        pl_copy_text(pdf->arena, entry->title, strlen(entry->title)), pages[entry->page]};
    if (in_front) pdf->front_count++;
  }
}

static enum pl_pdf_status add_paper(struct pl_pdf *pdf, const struct pl_paper *paper,
                                    bool in_front, const char **message) {
  HPDF_Page *const pages = pl_alloc_array(paper->arena, paper->page_count, sizeof(HPDF_Page));
  errno = 0;
  if (document_of(pdf) != NULL && setjmp(pdf->landing) == 0) {
    HPDF_Page before = in_front ? HPDF_GetPageByIndex(pdf->document, 0) : NULL;
    write_pages(pdf, paper, before, pages);
  }
  if (pdf->error == HPDF_OK) keep_contents(pdf, paper, in_front, pages);
  return status_of(pdf, pdf->error, message);
}

enum pl_pdf_status pl_pdf_add(struct pl_pdf *pdf, const struct pl_paper *paper,
                              const char **message) {
  const enum pl_pdf_status status =
      pl_paper_check(paper->arena, paper, paper->page_count, message);
  return status != PL_PDF_OK ? status : add_paper(pdf, paper, false, message);
}

enum pl_pdf_status pl_pdf_add_front(struct pl_pdf *pdf, const struct pl_paper *paper,
                                    const char **message) {
  const size_t behind = pl_pdf_page_count(pdf);
  const enum pl_pdf_status status =
      pl_paper_check(paper->arena, paper, paper->page_count + behind, message);
  return status != PL_PDF_OK ? status : add_paper(pdf, paper, behind > 0, message);
}

/// Ends the document and tells how long its file is.
static void end_document(struct pl_pdf *pdf, const struct pl_paper *properties) {
  write_properties(pdf, properties);
  write_contents(pdf);
  for (size_t i = 0; i < 2; i++)
    if (pdf->fonts[i] != NULL) pdf_describe_face(pdf, pdf->fonts[i]);
  HPDF_SaveToStream(pdf->document);
  pdf->length = HPDF_GetStreamSize(pdf->document);
}

static void read_document(struct pl_pdf *pdf, unsigned char *bytes) {
  HPDF_UINT32 size = (HPDF_UINT32)pdf->length;
  HPDF_ReadFromStream(pdf->document, bytes, &size);
  pdf_must(pdf, size == pdf->length);
}

enum pl_pdf_status pl_pdf_end(struct pl_pdf *pdf, const struct pl_paper *properties,
                              const unsigned char **bytes, size_t *length,
                              const char **message) {
  *bytes = NULL;
  *length = 0;
  errno = 0;
  if (document_of(pdf) != NULL && setjmp(pdf->landing) == 0) end_document(pdf, properties);
  if (pdf->error != HPDF_OK) return status_of(pdf, pdf->error, message);
  unsigned char *const copy = pl_alloc(pdf->arena, pdf->length);
  errno = 0;
  if (setjmp(pdf->landing) == 0) read_document(pdf, copy);
  if (pdf->error == HPDF_OK) {
    *bytes = copy;
    *length = pdf->length;
  }
  free_document(pdf);
  return status_of(pdf, pdf->error, message);
}

enum pl_pdf_status pl_paper_to_pdf(struct pl_arena *arena, const struct pl_paper *paper,
                                   const unsigned char **bytes, size_t *length,
                                   const char **message) {
  *bytes = NULL;
  *length = 0;
  struct pl_pdf *const pdf = pl_pdf_new(arena);
  enum pl_pdf_status status = pl_pdf_add(pdf, paper, message);
  if (status == PL_PDF_OK) status = pl_pdf_end(pdf, paper, bytes, length, message);
  free_document(pdf);
  return status;
}
