// SPDX-License-Identifier: GPL-3.0-or-later
// The faces of a PDF file: embedded, with a table of characters, and the codes of texts.
#include "pdf.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

#include "font.h"

/// A range of codes that stand for the code points from `first` on.
static void write_range(struct pl_pdf *pdf, HPDF_Stream out, int from, int to, int first) {
  char range[80];
  (void)snprintf(range, sizeof range, "1 beginbfrange\n<%04X> <%04X> <%04X>\nendbfrange\n",
                 from, to, first);
  pdf_must(pdf, HPDF_Stream_WriteStr(out, range) == HPDF_OK);
}

/// The minus sign of numbers on paper. Whoever searches or copies finds the hyphen that every
/// keyboard has.
#define MINUS_SIGN 0x2212

/// The table by which a reader turns the codes of the text into characters. The codes are the
/// code points themselves. The library writes a table of another kind (CID ranges), which the
/// format does not allow here and of which readers complain, so it is replaced. A range must
/// not cross a multiple of 256 (PDF Reference 1.7, 5.9.2).
static void write_character_table(struct pl_pdf *pdf, const struct pl_face *face,
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
  pdf_must(pdf, HPDF_Stream_WriteStr(out, head) == HPDF_OK);
  int block = -1;
  for (size_t i = 0; i < face->glyph_count; i++) {
    if (face->glyphs[i].codepoint >> 8 == block) continue;
    block = face->glyphs[i].codepoint >> 8;
    const int first = block << 8;
    if (block == MINUS_SIGN >> 8) {
      write_range(pdf, out, first, MINUS_SIGN - 1, first);
      write_range(pdf, out, MINUS_SIGN, MINUS_SIGN, '-');
      write_range(pdf, out, MINUS_SIGN + 1, first + 0xFF, MINUS_SIGN + 1);
    } else {
      write_range(pdf, out, first, first + 0xFF, first);
    }
  }
  pdf_must(pdf, HPDF_Stream_WriteStr(out, tail) == HPDF_OK);
}

/// Makes one of the two faces known to the document.
static HPDF_Font load_face(struct pl_pdf *pdf, bool bold) {
  const struct pl_face *const face = &pl_faces[bold ? 1 : 0];
  // Six letters mark a font of which only the used glyphs are embedded (PDF Reference 1.7,
  // 5.5.3).
  char tag[] = "PLSHRA";
  if (bold) tag[5] = 'B';
  HPDF_MMgr memory = pdf->document->mmgr;
  HPDF_Stream file = HPDF_MemStream_New(memory, (HPDF_UINT)face->length);
  pdf_must(pdf, file != NULL);
  const HPDF_STATUS written = HPDF_Stream_Write(file, face->bytes, (HPDF_UINT)face->length);
  if (written != HPDF_OK) HPDF_Stream_Free(file);
  pdf_must(pdf, written == HPDF_OK);
  // From here on the definition owns the stream, and the document the definition.
  HPDF_FontDef definition = HPDF_TTFontDef_Load(memory, file, HPDF_TRUE);
  pdf_must(pdf, definition != NULL);
  pdf_must(pdf, HPDF_Doc_RegisterFontDef(pdf->document, definition) == HPDF_OK);
  HPDF_TTFontDef_SetTagName(definition, tag);
  HPDF_Font font = HPDF_GetFont(pdf->document, definition->base_font, "UTF-8");
  pdf_must(pdf, font != NULL);
  HPDF_Stream table = ((HPDF_FontAttr)font->attr)->cmap_stream->stream;
  HPDF_MemStream_FreeData(table);
  write_character_table(pdf, face, table);
  return font;
}

void pdf_describe_face(struct pl_pdf *pdf, HPDF_Font font) {
  HPDF_Doc document = pdf->document;
  HPDF_FontDef definition = ((HPDF_FontAttr)font->attr)->fontdef;
  HPDF_TTFontDefAttr face = definition->attr;
  HPDF_Dict glyphs = HPDF_DictStream_New(document->mmgr, document->xref);
  pdf_must(pdf, glyphs != NULL);
  HPDF_TTFontDef_SaveFontData(definition, glyphs->stream);
  pdf_must(pdf, HPDF_GetError(document) == HPDF_OK); // which it does not always return
  glyphs->filter = font->filter;
  HPDF_Dict description = HPDF_Dict_New(document->mmgr);
  // Refused, it is given back; taken, it belongs to the document.
  pdf_must(pdf, HPDF_Xref_Add(document->xref, description) == HPDF_OK);
  HPDF_STATUS status = HPDF_Dict_Add(description, "FontFile2", glyphs);
  status += HPDF_Dict_AddNumber(glyphs, "Length1", (HPDF_INT32)face->length1);
  status += HPDF_Dict_AddNumber(glyphs, "Length2", 0);
  status += HPDF_Dict_AddNumber(glyphs, "Length3", 0);
  status += HPDF_Dict_AddName(description, "Type", "FontDescriptor");
  status += HPDF_Dict_AddNumber(description, "Ascent", definition->ascent);
  status += HPDF_Dict_AddNumber(description, "Descent", definition->descent);
  status += HPDF_Dict_AddNumber(description, "Flags", (HPDF_INT32)definition->flags);
  status += HPDF_Dict_Add(description, "FontBBox",
                          HPDF_Box_Array_New(document->mmgr, definition->font_bbox));
  status += HPDF_Dict_AddName(description, "FontName", face->base_font);
  status += HPDF_Dict_AddNumber(description, "ItalicAngle", definition->italic_angle);
  status += HPDF_Dict_AddNumber(description, "StemV", definition->stemv);
  status += HPDF_Dict_AddNumber(description, "XHeight", definition->x_height);
  pdf_must(pdf, status == HPDF_OK);
  definition->descriptor = description;
}

HPDF_Font pdf_face_of(struct pl_pdf *pdf, bool bold) {
  HPDF_Font *const font = &pdf->fonts[bold ? 1 : 0];
  if (*font == NULL) *font = load_face(pdf, bold);
  return *font;
}

char *pdf_codes_of(HPDF_Encoder encoder, const char *text, HPDF_UINT length,
                   HPDF_UINT *code_length) {
  char *const codes = malloc((size_t)length * 2 + 1);
  if (codes == NULL) pdf_give_up(encoder->error->user_data, HPDF_FAILD_TO_ALLOC_MEM);
  *code_length = 0;
  for (HPDF_UINT at = 0; at < length;) {
    utf8proc_int32_t character = 0;
    const utf8proc_ssize_t size = utf8proc_iterate((const utf8proc_uint8_t *)text + at,
                                                   (utf8proc_ssize_t)(length - at), &character);
    at += size > 0 ? (HPDF_UINT)size : 1;
    if (size <= 0 || character > 0xFFFF) continue; // which no text on paper has
    codes[(*code_length)++] = (char)(character >> 8);
    codes[(*code_length)++] = (char)(character & 0xFF);
  }
  return codes;
}
