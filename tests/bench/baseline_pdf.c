// SPDX-License-Identifier: GPL-3.0-or-later
// baseline_pdf: the yardstick of the benchmarks. The PDF library's public calls and nothing
// else draw as much as a race sheet holds: one A4 page of 350 short texts of 7 to 9 pt in two
// faces and 150 lines, or the very marks of a sheet (see marks.h), with the very fonts that
// pitleaf embeds.
//
//   baseline_pdf --fonts FOLDER    writes the two fonts there as files
//   baseline_pdf FOLDER OUT.pdf [PAGES]   reads them and writes the page, so often
//   baseline_pdf FOLDER OUT.pdf --marks FILE   the same with the marks of a sheet
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <hpdf.h>

#include "marks.h"
#include "sheet/font.h"

enum { texts = 350, lines = 150, columns = 7, path_size = 4096 };

static const char *const file_names[2] = {"regular.ttf", "bold.ttf"};

static _Noreturn void fail(const char *what) {
  (void)fprintf(stderr, "baseline_pdf: %s\n", what);
  exit(EXIT_FAILURE);
}

static void refuse(HPDF_STATUS error, HPDF_STATUS detail, void *user_data) {
  (void)user_data;
  (void)fprintf(stderr, "baseline_pdf: error %04lX, detail %lu\n", (unsigned long)error,
                (unsigned long)detail);
  exit(EXIT_FAILURE);
}

static void join_path(char *path, const char *folder, const char *name) {
  const int length = snprintf(path, path_size, "%s/%s", folder, name);
  if (length < 0 || length >= path_size) fail("the path is too long");
}

static void write_fonts(const char *folder) {
  for (size_t i = 0; i < 2; i++) {
    char path[path_size];
    join_path(path, folder, file_names[i]);
    FILE *const file = fopen(path, "wb");
    if (file == NULL) fail("cannot open a font for writing");
    const size_t written = fwrite(pl_faces[i].bytes, 1, pl_faces[i].length, file);
    if (fclose(file) != 0 || written != pl_faces[i].length) fail("cannot write a font");
  }
}

static void draw_lines(HPDF_Page page) {
  for (int i = 0; i < lines; i++) {
    const HPDF_REAL y = 30.0F + (HPDF_REAL)i * 5.2F;
    HPDF_Page_SetLineWidth(page, i % 10 == 0 ? 0.8F : 0.3F);
    HPDF_Page_MoveTo(page, 30.0F, y);
    HPDF_Page_LineTo(page, 560.0F, y);
    HPDF_Page_Stroke(page);
  }
}

static void draw_texts(HPDF_Page page, const HPDF_Font fonts[2]) {
  for (int i = 0; i < texts; i++) {
    const int row = i / columns;
    char text[32];
    (void)snprintf(text, sizeof text, "ride height %d.%d mm", 15 + i % 17, i % 10);
    HPDF_Page_BeginText(page);
    HPDF_Page_SetFontAndSize(page, fonts[i % 4 == 0], 7.0F + (HPDF_REAL)(i % 3));
    HPDF_Page_MoveTextPos(page, 32.0F + (HPDF_REAL)(i % columns) * 76.0F,
                          32.0F + (HPDF_REAL)row * 15.6F);
    HPDF_Page_ShowText(page, text);
    HPDF_Page_EndText(page);
  }
}

// ---------------------------------------------------------------- the marks of a sheet

/// A page under way, and what was set on it last.
struct replay {
  HPDF_Doc document;
  HPDF_Page page;
  const HPDF_Font *fonts;
  struct drawn set;
};

static void set_state(struct replay *replay, const struct drawn *drawn) {
  static const HPDF_UINT16 dashes[3][2] = {{0, 0}, {3, 2}, {1, 2}};
  struct drawn *const set = &replay->set;
  if (drawn->fill >= 0 && drawn->fill != set->fill) {
    HPDF_Page_SetGrayFill(replay->page, drawn->fill);
    set->fill = drawn->fill;
  }
  if (drawn->stroke < 0) return;
  if (drawn->stroke != set->stroke) HPDF_Page_SetGrayStroke(replay->page, drawn->stroke);
  if (drawn->line_width != set->line_width)
    HPDF_Page_SetLineWidth(replay->page, drawn->line_width);
  if (drawn->dash != set->dash)
    HPDF_Page_SetDash(replay->page, dashes[drawn->dash], drawn->dash == 0 ? 0 : 2, 0);
  set->stroke = drawn->stroke;
  set->line_width = drawn->line_width;
  set->dash = drawn->dash;
}

static void paint(const struct replay *replay, const struct drawn *drawn) {
  if (drawn->fill >= 0 && drawn->stroke >= 0)
    HPDF_Page_FillStroke(replay->page);
  else if (drawn->fill >= 0)
    HPDF_Page_Fill(replay->page);
  else
    HPDF_Page_Stroke(replay->page);
}

static void draw_spots(const struct replay *replay, const struct drawn *drawn,
                       const char *spots) {
  for (uint32_t i = 0; i < drawn->count; i++) {
    float spot[2];
    memcpy(spot, spots + i * sizeof spot, sizeof spot);
    if (i == 0)
      HPDF_Page_MoveTo(replay->page, spot[0], spot[1]);
    else
      HPDF_Page_LineTo(replay->page, spot[0], spot[1]);
  }
  if (drawn->kind == DRAWN_POLYGON) HPDF_Page_ClosePath(replay->page);
}

static void draw_text(struct replay *replay, const struct drawn *drawn, const char *bytes) {
  char text[4096];
  if (drawn->count >= sizeof text) fail("a text is too long");
  memcpy(text, bytes, drawn->count);
  text[drawn->count] = '\0';
  HPDF_Page_BeginText(replay->page);
  if (drawn->size != replay->set.size || drawn->bold != replay->set.bold)
    HPDF_Page_SetFontAndSize(replay->page, replay->fonts[drawn->bold], drawn->size);
  replay->set.size = drawn->size;
  replay->set.bold = drawn->bold;
  HPDF_Page_MoveTextPos(replay->page, drawn->x, drawn->y);
  HPDF_Page_ShowText(replay->page, text);
  HPDF_Page_EndText(replay->page);
}

static void start_page(struct replay *replay, const struct drawn *drawn) {
  replay->page = HPDF_AddPage(replay->document);
  HPDF_Page_SetWidth(replay->page, drawn->width);
  HPDF_Page_SetHeight(replay->page, drawn->height);
  HPDF_Page_SetLineJoin(replay->page, HPDF_ROUND_JOIN);
  replay->set = (struct drawn){.fill = -1, .stroke = -1};
}

static void draw_mark(struct replay *replay, const struct drawn *drawn, const char *more) {
  if (drawn->kind == DRAWN_PAGE) {
    start_page(replay, drawn);
    return;
  }
  set_state(replay, drawn);
  switch ((enum drawn_kind)drawn->kind) {
  case DRAWN_TEXT: draw_text(replay, drawn, more); return;
  case DRAWN_RECTANGLE:
    HPDF_Page_Rectangle(replay->page, drawn->x, drawn->y, drawn->width, drawn->height);
    break;
  case DRAWN_CIRCLE:
    HPDF_Page_Circle(replay->page, drawn->x, drawn->y, drawn->width / 2);
    break;
  default: draw_spots(replay, drawn, more);
  }
  paint(replay, drawn);
}

static void draw_marks(HPDF_Doc document, const HPDF_Font fonts[2], const char *path) {
  static char bytes[1 << 22];
  FILE *const file = fopen(path, "rb");
  if (file == NULL) fail("cannot open the marks");
  const size_t length = fread(bytes, 1, sizeof bytes, file);
  if (length == sizeof bytes || fclose(file) != 0) fail("cannot read the marks");
  struct replay replay = {.document = document, .fonts = fonts};
  for (size_t at = 0; at < length;) {
    struct drawn drawn;
    memcpy(&drawn, bytes + at, sizeof drawn);
    at += sizeof drawn;
    draw_mark(&replay, &drawn, bytes + at);
    at += drawn.kind == DRAWN_TEXT ? drawn.count : drawn.count * (2 * sizeof(float));
  }
}

// ---------------------------------------------------------------- the file

static void write_file(const char *folder, const char *out, long count, const char *marks) {
  HPDF_Doc document = HPDF_New(refuse, NULL);
  if (document == NULL) fail("out of memory");
  HPDF_SetCompressionMode(document, HPDF_COMP_ALL);
  HPDF_UseUTFEncodings(document);
  HPDF_Font fonts[2];
  for (size_t i = 0; i < 2; i++) {
    char path[path_size];
    join_path(path, folder, file_names[i]);
    fonts[i] =
        HPDF_GetFont(document, HPDF_LoadTTFontFromFile(document, path, HPDF_TRUE), "UTF-8");
  }
  if (marks != NULL) draw_marks(document, fonts, marks);
  for (long i = 0; i < count; i++) {
    HPDF_Page page = HPDF_AddPage(document);
    HPDF_Page_SetSize(page, HPDF_PAGE_SIZE_A4, HPDF_PAGE_PORTRAIT);
    draw_lines(page);
    draw_texts(page, fonts);
  }
  HPDF_SaveToFile(document, out);
  HPDF_Free(document);
}

int main(int count, char **words) {
  const bool has_marks = count == 5 && strcmp(words[3], "--marks") == 0;
  if (count != 3 && count != 4 && !has_marks)
    fail("usage: baseline_pdf --fonts FOLDER | FOLDER OUT.pdf [PAGES | --marks FILE]");
  if (strcmp(words[1], "--fonts") == 0) {
    write_fonts(words[2]);
  } else if (has_marks) {
    write_file(words[1], words[2], 0, words[4]);
  } else {
    write_file(words[1], words[2], count == 4 ? strtol(words[3], NULL, 10) : 1, NULL);
  }
  return EXIT_SUCCESS;
}
