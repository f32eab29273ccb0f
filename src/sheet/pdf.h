// SPDX-License-Identifier: GPL-3.0-or-later
// What the two files that talk to the PDF library (libharu 2.3.0) share; nobody else includes
// this.
//
// Its public functions report through a handler that jumps out (`refuse`); its internal ones,
// needed here because the public ones read fonts from files only, return null or a status. Two
// of its functions do not bear a lack of memory, and are not used: what makes the codes of a
// text (`pdf_codes_of`) and what describes a font (`pdf_describe_face`). A third one, what adds
// a page, has a reserve.
#ifndef PITLEAF_SHEET_PDF_H
#define PITLEAF_SHEET_PDF_H

#include "pitleaf/sheet.h"

#include <hpdf.h>
#include <setjmp.h>
#include <stdalign.h>
#include <stddef.h>

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
  // what a page takes where memory lacks
  size_t reserve_used;
  alignas(max_align_t) unsigned char reserve[(size_t)16 * 1024];
};

/// Gives up the document: jumps to where the library was entered.
_Noreturn void pdf_give_up(struct pl_pdf *pdf, HPDF_STATUS error);
/// For the internal functions: gives up with the document's error unless `done`.
static inline void pdf_must(struct pl_pdf *pdf, bool done) {
  if (done) return;
  const HPDF_STATUS error = HPDF_GetError(pdf->document);
  pdf_give_up(pdf, error == HPDF_OK ? HPDF_FAILD_TO_ALLOC_MEM : error);
}

/// The face, which is loaded when it is first wanted: each costs time and space in every file.
HPDF_Font pdf_face_of(struct pl_pdf *pdf, bool bold);
/// Puts what describes a face into the document, with the glyphs that are used of it. The
/// library would do so while it writes the font, but forgets it all, or goes on with what it
/// has given back, where memory ends meanwhile.
void pdf_describe_face(struct pl_pdf *pdf, HPDF_Font font);
/// The codes of a text, for the library, which frees them: two bytes for each character. It
/// takes the place of the library's own function, which does not look whether it got memory.
char *pdf_codes_of(HPDF_Encoder encoder, const char *text, HPDF_UINT length,
                   HPDF_UINT *code_length);

#endif
