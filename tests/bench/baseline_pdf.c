// SPDX-License-Identifier: GPL-3.0-or-later
// baseline_pdf: the yardstick of the benchmarks. The PDF library's public calls and nothing
// else draw as much as a race sheet holds: one A4 page of 350 short texts of 7 to 9 pt in two
// faces and 150 lines, with the very fonts that pitleaf embeds.
//
//   baseline_pdf --fonts FOLDER    writes the two fonts there as files
//   baseline_pdf FOLDER OUT.pdf [PAGES]   reads them and writes the page, so often
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <hpdf.h>

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

static void write_pages(const char *folder, const char *out, long count) {
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
  if (count != 3 && count != 4)
    fail("usage: baseline_pdf --fonts FOLDER | FOLDER OUT.pdf [PAGES]");
  if (strcmp(words[1], "--fonts") == 0) {
    write_fonts(words[2]);
  } else {
    write_pages(words[1], words[2], count == 4 ? strtol(words[3], NULL, 10) : 1);
  }
  return EXIT_SUCCESS;
}
