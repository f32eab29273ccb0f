// SPDX-License-Identifier: GPL-3.0-or-later
// The display list as a PDF file: the one file that knows the PDF library (libharu 2.3.0).
//
// Its public functions report through a handler that jumps out (`refuse`); its internal ones,
// needed here because the public ones read fonts from files only, return null or a status. In
// two places the library does not look whether it got memory (the codes of a text, the name of
// an embedded font): there, a lack of memory ends the program.
#include "pitleaf/sheet.h"

#include <hpdf.h>
#include <setjmp.h>
#include <stdio.h>
#include <string.h>

#include "font.h"
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

/// Where a struck-out text is crossed, and how thick, as parts of its size: aslant from beneath
/// its first letter to the height of its last one, so that no minus sign or dash hides it.
static const double strike_from = 0.06;
static const double strike_to = 0.62;
static const double strike_width = 0.045;

/// An entry of the list of contents, until the file is ended.
struct content {
  const char *title;
  HPDF_Page page;
};

struct pl_pdf {
  jmp_buf landing;
  HPDF_STATUS error;
  struct pl_arena *arena;
  HPDF_Doc document;
  HPDF_Font fonts[2];
  struct {
    const struct pl_image *source;
    HPDF_Image image;
  } images[8]; ///< those that were drawn; a ninth is written once more
  size_t image_count;
  struct content *contents;
  size_t content_count;
  size_t content_capacity;
  size_t front_count; ///< how many of them belong to the front, where they go on
  size_t length;      ///< of the whole file, once it is ended
  size_t first_page;  ///< of the paper in hand in the document: its links count from there
  // what the page in hand is set to; each is written only when it changes
  HPDF_Page page;
  double page_height;
  enum pl_ink fill;
  enum pl_ink stroke;
  enum pl_dash dash;
  double line_width;
  double type_size;
  bool type_bold;
};

_Noreturn static void give_up(struct pl_pdf *writer, HPDF_STATUS error) {
  writer->error = error;
  longjmp(writer->landing, 1);
}

/// The PDF library's error handler.
static void refuse(HPDF_STATUS error, HPDF_STATUS detail, void *user_data) {
  (void)detail;
  give_up(user_data, error);
}

/// For the internal functions: gives up with the document's error unless `done`.
static void must(struct pl_pdf *writer, bool done) {
  if (done) return;
  const HPDF_STATUS error = HPDF_GetError(writer->document);
  give_up(writer, error == HPDF_OK ? HPDF_FAILD_TO_ALLOC_MEM : error);
}

/// Millimetres as points.
static HPDF_REAL points(double length) {
  return (HPDF_REAL)(length * (72.0 / 25.4));
}

/// A height on the page as the PDF counts it: from the bottom, upward.
static HPDF_REAL upward(const struct pl_pdf *writer, double y) {
  return points(writer->page_height - y);
}

// ---------------------------------------------------------------- fonts

/// A range of codes that stand for the code points from `first` on.
static void write_range(struct pl_pdf *writer, HPDF_Stream out, int from, int to, int first) {
  char range[80];
  (void)snprintf(range, sizeof range, "1 beginbfrange\n<%04X> <%04X> <%04X>\nendbfrange\n",
                 from, to, first);
  must(writer, HPDF_Stream_WriteStr(out, range) == HPDF_OK);
}

/// The minus sign of numbers on paper. Whoever searches or copies finds the hyphen that every
/// keyboard has.
#define MINUS_SIGN 0x2212

/// The table by which a reader turns the codes of the text into characters. The codes are the
/// code points themselves. The library writes a table of another kind (CID ranges), which the
/// format does not allow here and of which readers complain, so it is replaced. A range must
/// not cross a multiple of 256 (PDF Reference 1.7, 5.9.2).
static void write_character_table(struct pl_pdf *writer, const struct pl_face *face,
                                  HPDF_Stream out) {
  static const char head[] = "/CIDInit /ProcSet findresource begin\n"
                             "12 dict begin\n"
                             "begincmap\n"
                             "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) "
                             "/Supplement 0 >> def\n"
                             "/CMapName /Adobe-Identity-UCS def\n"
                             "/CMapType 2 def\n"
                             "1 begincodespacerange\n"
                             "<0000> <FFFF>\n"
                             "endcodespacerange\n";
  static const char tail[] = "endcmap\n"
                             "CMapName currentdict /CMap defineresource pop\n"
                             "end\n"
                             "end\n";
  must(writer, HPDF_Stream_WriteStr(out, head) == HPDF_OK);
  int block = -1;
  for (size_t i = 0; i < face->glyph_count; i++) {
    if (face->glyphs[i].codepoint >> 8 == block) continue;
    block = face->glyphs[i].codepoint >> 8;
    const int first = block << 8;
    if (block == MINUS_SIGN >> 8) {
      write_range(writer, out, first, MINUS_SIGN - 1, first);
      write_range(writer, out, MINUS_SIGN, MINUS_SIGN, '-');
      write_range(writer, out, MINUS_SIGN + 1, first + 0xFF, MINUS_SIGN + 1);
    } else {
      write_range(writer, out, first, first + 0xFF, first);
    }
  }
  must(writer, HPDF_Stream_WriteStr(out, tail) == HPDF_OK);
}

/// Makes one of the two faces known to the document.
static HPDF_Font load_face(struct pl_pdf *writer, bool bold) {
  const struct pl_face *const face = &pl_faces[bold ? 1 : 0];
  // Six letters mark a font of which only the used glyphs are embedded (PDF Reference 1.7,
  // 5.5.3).
  char tag[] = "PLSHRA";
  if (bold) tag[5] = 'B';
  HPDF_MMgr memory = writer->document->mmgr;
  HPDF_Stream file = HPDF_MemStream_New(memory, (HPDF_UINT)face->length);
  must(writer, file != NULL);
  const HPDF_STATUS written = HPDF_Stream_Write(file, face->bytes, (HPDF_UINT)face->length);
  if (written != HPDF_OK) HPDF_Stream_Free(file);
  must(writer, written == HPDF_OK);
  // From here on the definition owns the stream, and the document the definition.
  HPDF_FontDef definition = HPDF_TTFontDef_Load(memory, file, HPDF_TRUE);
  must(writer, definition != NULL);
  must(writer, HPDF_Doc_RegisterFontDef(writer->document, definition) == HPDF_OK);
  HPDF_TTFontDef_SetTagName(definition, tag);
  HPDF_Font font = HPDF_GetFont(writer->document, definition->base_font, "UTF-8");
  must(writer, font != NULL);
  HPDF_Stream table = ((HPDF_FontAttr)font->attr)->cmap_stream->stream;
  HPDF_MemStream_FreeData(table);
  write_character_table(writer, face, table);
  return font;
}

/// The face, which is loaded when it is first wanted: each costs time and space in every file.
static HPDF_Font face_of(struct pl_pdf *writer, bool bold) {
  HPDF_Font *const font = &writer->fonts[bold ? 1 : 0];
  if (*font == NULL) *font = load_face(writer, bold);
  return *font;
}

// ---------------------------------------------------------------- state of the page

static void set_fill(struct pl_pdf *writer, enum pl_ink ink) {
  if (ink == writer->fill) return;
  const struct colour *const colour = &palette[ink];
  if (colour->red == colour->green && colour->green == colour->blue) {
    HPDF_Page_SetGrayFill(writer->page, colour->red);
  } else {
    HPDF_Page_SetRGBFill(writer->page, colour->red, colour->green, colour->blue);
  }
  writer->fill = ink;
}

static void set_stroke_ink(struct pl_pdf *writer, enum pl_ink ink) {
  if (ink == writer->stroke) return;
  const struct colour *const colour = &palette[ink];
  if (colour->red == colour->green && colour->green == colour->blue) {
    HPDF_Page_SetGrayStroke(writer->page, colour->red);
  } else {
    HPDF_Page_SetRGBStroke(writer->page, colour->red, colour->green, colour->blue);
  }
  writer->stroke = ink;
}

static void set_dash(struct pl_pdf *writer, enum pl_dash dash) {
  static const HPDF_UINT16 dashed[] = {3, 2}; // pt; the library takes whole numbers only
  static const HPDF_UINT16 dotted[] = {1, 2};
  if (dash == writer->dash) return;
  switch (dash) {
  case PL_SOLID: HPDF_Page_SetDash(writer->page, NULL, 0, 0); break;
  case PL_DASHED: HPDF_Page_SetDash(writer->page, dashed, 2, 0); break;
  case PL_DOTTED: HPDF_Page_SetDash(writer->page, dotted, 2, 0); break;
  }
  writer->dash = dash;
}

/// Sets how lines are drawn. Returns false if there is nothing to draw.
static bool set_stroke(struct pl_pdf *writer, struct pl_stroke stroke) {
  if (stroke.width == 0 || stroke.ink == PL_INK_NONE) return false;
  set_stroke_ink(writer, stroke.ink);
  set_dash(writer, stroke.dash);
  if (stroke.width != writer->line_width) {
    HPDF_Page_SetLineWidth(writer->page, points(stroke.width));
    writer->line_width = stroke.width;
  }
  return true;
}

// ---------------------------------------------------------------- marks

static void move_to(const struct pl_pdf *writer, struct pl_spot spot) {
  HPDF_Page_MoveTo(writer->page, points(spot.x), upward(writer, spot.y));
}

static void line_to(const struct pl_pdf *writer, struct pl_spot spot) {
  HPDF_Page_LineTo(writer->page, points(spot.x), upward(writer, spot.y));
}

/// Path of a mark, to be painted by the caller.
static void write_path(const struct pl_pdf *writer, const struct pl_mark *mark) {
  switch (mark->kind) {
  case PL_MARK_RECTANGLE:
    HPDF_Page_Rectangle(writer->page, points(mark->x), upward(writer, mark->y + mark->height),
                        points(mark->width), points(mark->height));
    break;
  case PL_MARK_CIRCLE:
    HPDF_Page_Circle(writer->page, points(mark->x), upward(writer, mark->y),
                     points(mark->width / 2));
    break;
  default:
    move_to(writer, mark->spots[0]);
    for (size_t i = 1; i < mark->spot_count; i++) line_to(writer, mark->spots[i]);
    if (mark->kind == PL_MARK_POLYGON) HPDF_Page_ClosePath(writer->page);
  }
}

static void write_shape(struct pl_pdf *writer, const struct pl_mark *mark) {
  const bool filled = mark->fill != PL_INK_NONE;
  if (filled) set_fill(writer, mark->fill);
  const bool stroked = set_stroke(writer, mark->stroke);
  if (!filled && !stroked) return;
  write_path(writer, mark);
  if (filled && stroked) {
    HPDF_Page_FillStroke(writer->page);
  } else if (filled) {
    HPDF_Page_Fill(writer->page);
  } else {
    HPDF_Page_Stroke(writer->page);
  }
}

static void write_text(struct pl_pdf *writer, const struct pl_mark *mark) {
  const struct pl_type type = mark->type;
  if (type.ink == PL_INK_NONE || mark->text[0] == '\0') return;
  set_fill(writer, type.ink);
  HPDF_Page_BeginText(writer->page);
  if (type.size != writer->type_size || type.bold != writer->type_bold) {
    HPDF_Page_SetFontAndSize(writer->page, face_of(writer, type.bold), (HPDF_REAL)type.size);
    writer->type_size = type.size;
    writer->type_bold = type.bold;
  }
  HPDF_Page_MoveTextPos(writer->page, points(mark->x), upward(writer, mark->y));
  HPDF_Page_ShowText(writer->page, mark->text);
  HPDF_Page_EndText(writer->page);
  if (!type.struck) return;
  const double size = type.size * (25.4 / 72.0);
  set_stroke(writer, (struct pl_stroke){.width = strike_width * size, .ink = PL_INK_BLACK});
  move_to(writer, (struct pl_spot){mark->x, mark->y - strike_from * size});
  line_to(writer, (struct pl_spot){mark->x + mark->width, mark->y - strike_to * size});
  HPDF_Page_Stroke(writer->page);
}

/// The whole of a page, as a place to go to.
static HPDF_Destination destination_of(HPDF_Page page) {
  HPDF_Destination destination = HPDF_Page_CreateDestination(page);
  HPDF_Destination_SetFit(destination);
  return destination;
}

static void write_link(const struct pl_pdf *writer, const struct pl_mark *mark) {
  const HPDF_Rect area = {points(mark->x), upward(writer, mark->y + mark->height),
                          points(mark->x + mark->width), upward(writer, mark->y)};
  HPDF_Page target =
      HPDF_GetPageByIndex(writer->document, (HPDF_UINT)(writer->first_page + mark->page));
  HPDF_Annotation link = HPDF_Page_CreateLinkAnnot(writer->page, area, destination_of(target));
  HPDF_LinkAnnot_SetBorderStyle(link, 0, 0, 0);
}

/// The image of a mark, made known to the document at its first use.
static HPDF_Image image_of(struct pl_pdf *writer, const struct pl_image *image) {
  for (size_t i = 0; i < writer->image_count; i++) {
    if (writer->images[i].source == image) return writer->images[i].image;
  }
  HPDF_Image loaded =
      HPDF_LoadRawImageFromMem(writer->document, image->points, (HPDF_UINT)image->width,
                               (HPDF_UINT)image->height, HPDF_CS_DEVICE_RGB, 8);
  must(writer, loaded != NULL);
  if (writer->image_count < sizeof writer->images / sizeof writer->images[0]) {
    writer->images[writer->image_count].source = image;
    writer->images[writer->image_count++].image = loaded;
  }
  return loaded;
}

static void write_image(struct pl_pdf *writer, const struct pl_mark *mark) {
  HPDF_Page_DrawImage(writer->page, image_of(writer, mark->image), points(mark->x),
                      upward(writer, mark->y + mark->height), points(mark->width),
                      points(mark->height));
}

// ---------------------------------------------------------------- pages

size_t pl_pdf_page_count(const struct pl_pdf *writer) {
  return writer->document == NULL ? 0 : writer->document->cur_page_num;
}

static void write_page(struct pl_pdf *writer, const struct pl_page *page, HPDF_Page target) {
  writer->page = target;
  writer->page_height = page->height;
  writer->fill = PL_INK_NONE; // not known yet
  writer->stroke = PL_INK_NONE;
  writer->dash = PL_SOLID; // what a page begins with
  writer->line_width = 0;
  writer->type_size = 0;
  HPDF_Page_SetLineJoin(writer->page, HPDF_ROUND_JOIN);
  for (size_t i = 0; i < page->count; i++) {
    const struct pl_mark *const mark = &page->marks[i];
    switch (mark->kind) {
    case PL_MARK_TEXT: write_text(writer, mark); break;
    case PL_MARK_LINK: write_link(writer, mark); break;
    case PL_MARK_IMAGE: write_image(writer, mark); break;
    default: write_shape(writer, mark);
    }
  }
}

/// Adds the paper's pages, before that page of the document, or as the last ones.
static void add_pages(const struct pl_pdf *writer, const struct pl_paper *paper,
                      HPDF_Page before, HPDF_Page *pages) {
  for (size_t i = 0; i < paper->page_count; i++) {
    pages[i] = before == NULL ? HPDF_AddPage(writer->document)
                              : HPDF_InsertPage(writer->document, before);
    HPDF_Page_SetWidth(pages[i], points(paper->pages[i]->width));
    HPDF_Page_SetHeight(pages[i], points(paper->pages[i]->height));
  }
}

static void write_pages(struct pl_pdf *writer, const struct pl_paper *paper, HPDF_Page before,
                        HPDF_Page *pages) {
  writer->first_page = before == NULL ? pl_pdf_page_count(writer) : 0;
  add_pages(writer, paper, before, pages);
  for (size_t i = 0; i < paper->page_count; i++) write_page(writer, paper->pages[i], pages[i]);
}

// ---------------------------------------------------------------- the file

static void write_properties(const struct pl_pdf *writer, const struct pl_paper *paper) {
  HPDF_SetCurrentEncoder(writer->document, "UTF-8");
  HPDF_SetInfoAttr(writer->document, HPDF_INFO_CREATOR, "pitleaf");
  HPDF_SetInfoAttr(writer->document, HPDF_INFO_PRODUCER, "pitleaf");
  if (paper->title[0]) HPDF_SetInfoAttr(writer->document, HPDF_INFO_TITLE, paper->title);
  if (paper->author[0]) HPDF_SetInfoAttr(writer->document, HPDF_INFO_AUTHOR, paper->author);
  if (paper->subject[0]) HPDF_SetInfoAttr(writer->document, HPDF_INFO_SUBJECT, paper->subject);
}

static void write_contents(const struct pl_pdf *writer) {
  HPDF_Encoder encoder = HPDF_GetEncoder(writer->document, "UTF-8");
  const size_t count = writer->content_count;
  for (size_t i = 0; i < count; i++) {
    // Those of the front were added last.
    const size_t at = (i + count - writer->front_count) % count;
    HPDF_Outline entry =
        HPDF_CreateOutline(writer->document, NULL, writer->contents[at].title, encoder);
    HPDF_Outline_SetDestination(entry, destination_of(writer->contents[at].page));
  }
  if (count > 0) HPDF_SetPageMode(writer->document, HPDF_PAGE_MODE_USE_OUTLINE);
}

/// What the PDF library's error means.
static enum pl_pdf_status status_of(struct pl_pdf *writer, HPDF_STATUS error,
                                    const char **message) {
  if (error == HPDF_OK) return PL_PDF_OK;
  if (error == HPDF_FAILD_TO_ALLOC_MEM) {
    *message = "there is not enough memory to make the PDF file";
    return PL_PDF_NO_MEMORY;
  }
  *message = pl_format(writer->arena, "the PDF library refused with error 0x%04lX", error);
  return PL_PDF_LIBRARY;
}

static void begin_document(struct pl_pdf *writer) {
  HPDF_SetCompressionMode(writer->document, HPDF_COMP_ALL);
  // The one public function that tells of no memory by its status alone.
  if (HPDF_UseUTFEncodings(writer->document) != HPDF_OK)
    give_up(writer, HPDF_FAILD_TO_ALLOC_MEM);
}

// Nothing is asked of the arena while the PDF library runs: should the arena jump out for lack
// of memory, the library would be left in the middle of its work.

static void free_document(void *thing) {
  struct pl_pdf *const writer = thing;
  if (writer->document != NULL) HPDF_Free(writer->document);
  writer->document = NULL;
}

struct pl_pdf *pl_pdf_new(struct pl_arena *arena) {
  struct pl_pdf *const writer = pl_alloc(arena, sizeof *writer);
  writer->arena = arena;
  pl_arena_at_end(arena, free_document, writer);
  return writer;
}

/// The document, made at its first use; null where memory ran out.
static HPDF_Doc document_of(struct pl_pdf *writer) {
  if (writer->document != NULL) return writer->document;
  writer->document = HPDF_New(refuse, writer);
  if (writer->document == NULL) {
    writer->error = HPDF_FAILD_TO_ALLOC_MEM;
    return NULL;
  }
  if (setjmp(writer->landing) == 0) begin_document(writer);
  return writer->error == HPDF_OK ? writer->document : NULL;
}

/// Remembers the paper's outline for the end of the file.
static void keep_contents(struct pl_pdf *writer, const struct pl_paper *paper, bool in_front,
                          HPDF_Page *pages) {
  for (size_t i = 0; i < paper->outline_count; i++) {
    const struct pl_outline *const entry = &paper->outline[i];
    writer->contents = pl_grow(writer->arena, writer->contents, writer->content_count,
                               &writer->content_capacity, sizeof *writer->contents);
    writer->contents[writer->content_count++] = (struct content){
        pl_copy_text(writer->arena, entry->title, strlen(entry->title)), pages[entry->page]};
    if (in_front) writer->front_count++;
  }
}

static enum pl_pdf_status add_paper(struct pl_pdf *writer, const struct pl_paper *paper,
                                    bool in_front, const char **message) {
  HPDF_Page *const pages = pl_alloc_array(paper->arena, paper->page_count, sizeof(HPDF_Page));
  if (document_of(writer) != NULL && setjmp(writer->landing) == 0) {
    HPDF_Page before = in_front ? HPDF_GetPageByIndex(writer->document, 0) : NULL;
    write_pages(writer, paper, before, pages);
  }
  if (writer->error == HPDF_OK) keep_contents(writer, paper, in_front, pages);
  return status_of(writer, writer->error, message);
}

enum pl_pdf_status pl_pdf_add(struct pl_pdf *writer, const struct pl_paper *paper,
                              const char **message) {
  const enum pl_pdf_status status =
      pl_paper_check(paper->arena, paper, paper->page_count, message);
  return status != PL_PDF_OK ? status : add_paper(writer, paper, false, message);
}

enum pl_pdf_status pl_pdf_add_front(struct pl_pdf *writer, const struct pl_paper *paper,
                                    const char **message) {
  const size_t behind = pl_pdf_page_count(writer);
  const enum pl_pdf_status status =
      pl_paper_check(paper->arena, paper, paper->page_count + behind, message);
  return status != PL_PDF_OK ? status : add_paper(writer, paper, behind > 0, message);
}

/// Ends the document and tells how long its file is.
static void end_document(struct pl_pdf *writer, const struct pl_paper *properties) {
  write_properties(writer, properties);
  write_contents(writer);
  HPDF_SaveToStream(writer->document);
  writer->length = HPDF_GetStreamSize(writer->document);
}

static void read_document(struct pl_pdf *writer, unsigned char *bytes) {
  HPDF_UINT32 size = (HPDF_UINT32)writer->length;
  HPDF_ReadFromStream(writer->document, bytes, &size);
  must(writer, size == writer->length);
}

enum pl_pdf_status pl_pdf_end(struct pl_pdf *writer, const struct pl_paper *properties,
                              const unsigned char **bytes, size_t *length,
                              const char **message) {
  *bytes = NULL;
  *length = 0;
  if (document_of(writer) != NULL && setjmp(writer->landing) == 0)
    end_document(writer, properties);
  if (writer->error != HPDF_OK) return status_of(writer, writer->error, message);
  unsigned char *const copy = pl_alloc(writer->arena, writer->length);
  if (setjmp(writer->landing) == 0) read_document(writer, copy);
  if (writer->error == HPDF_OK) {
    *bytes = copy;
    *length = writer->length;
  }
  free_document(writer);
  return status_of(writer, writer->error, message);
}

enum pl_pdf_status pl_paper_to_pdf(struct pl_arena *arena, const struct pl_paper *paper,
                                   const unsigned char **bytes, size_t *length,
                                   const char **message) {
  *bytes = NULL;
  *length = 0;
  struct pl_pdf *const writer = pl_pdf_new(arena);
  enum pl_pdf_status status = pl_pdf_add(writer, paper, message);
  if (status == PL_PDF_OK) status = pl_pdf_end(writer, paper, bytes, length, message);
  free_document(writer);
  return status;
}
