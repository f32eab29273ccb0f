// SPDX-License-Identifier: GPL-3.0-or-later
// marks SETUP BASE OUT: the marks of the setup's sheet against its base, for baseline_pdf to
// draw with the PDF library alone.
#include "marks.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "pitleaf/sheet.h"

struct job {
  struct pl_guard *guard;
  const char *setup;
  const char *base;
  const char *out;
};

static _Noreturn void fail(const char *what) {
  (void)fprintf(stderr, "marks: %s\n", what);
  exit(EXIT_FAILURE);
}

static float points(double mm) {
  return (float)(mm * 72 / 25.4);
}

static float tone(enum pl_ink ink) {
  return ink == PL_INK_NONE ? -1.0F : 0.02F * (float)ink;
}

static void put(FILE *out, const void *bytes, size_t length) {
  if (length > 0 && fwrite(bytes, length, 1, out) != 1) fail("cannot write the marks");
}

static void put_spots(FILE *out, const struct pl_page *page, const struct pl_mark *mark) {
  for (size_t i = 0; i < mark->spot_count; i++) {
    const float spot[2] = {points(mark->spots[i].x), points(page->height - mark->spots[i].y)};
    put(out, spot, sizeof spot);
  }
}

static void put_mark(FILE *out, const struct pl_page *page, const struct pl_mark *mark) {
  const bool is_text = mark->kind == PL_MARK_TEXT;
  const bool is_stroked = mark->stroke.width > 0 && mark->stroke.ink != PL_INK_NONE;
  struct drawn drawn = {.bold = mark->type.bold,
                        .dash = (int32_t)mark->stroke.dash,
                        .x = points(mark->x),
                        .y = points(page->height - mark->y),
                        .width = points(mark->width),
                        .height = points(mark->height),
                        .size = (float)mark->type.size,
                        .fill = tone(is_text ? mark->type.ink : mark->fill),
                        .stroke = is_stroked ? tone(mark->stroke.ink) : -1.0F,
                        .line_width = points(mark->stroke.width)};
  switch (mark->kind) {
  case PL_MARK_TEXT:
    drawn.kind = DRAWN_TEXT;
    drawn.count = (uint32_t)strlen(mark->text);
    break;
  case PL_MARK_RECTANGLE:
    drawn.kind = DRAWN_RECTANGLE;
    drawn.y -= drawn.height;
    break;
  case PL_MARK_CIRCLE: drawn.kind = DRAWN_CIRCLE; break;
  case PL_MARK_POLYGON:
  case PL_MARK_POLYLINE:
  case PL_MARK_LINE:
    drawn.kind = mark->kind == PL_MARK_POLYGON ? DRAWN_POLYGON : DRAWN_LINE;
    drawn.count = (uint32_t)mark->spot_count;
    break;
  default: return; // links and images: the demo has none
  }
  put(out, &drawn, sizeof drawn);
  if (is_text)
    put(out, mark->text, drawn.count);
  else
    put_spots(out, page, mark);
}

static void write_marks(const struct pl_paper *paper, const char *path) {
  FILE *const out = fopen(path, "wb");
  if (out == NULL) fail("cannot open the file of marks");
  for (size_t i = 0; i < paper->page_count; i++) {
    const struct pl_page *const page = paper->pages[i];
    const struct drawn start = {
        .kind = DRAWN_PAGE, .width = points(page->width), .height = points(page->height)};
    put(out, &start, sizeof start);
    for (size_t j = 0; j < page->count; j++) put_mark(out, page, &page->marks[j]);
  }
  if (fclose(out) != 0) fail("cannot write the marks");
}

static struct pl_figures *figures_of(struct pl_session *session, struct pl_arena *arena,
                                     const char *path, struct pl_figures *base) {
  struct pl_program *const program = pl_program_load(session, arena, path);
  const struct pl_setup *const setup = pl_program_setup(program, NULL);
  if (setup == NULL) fail("a file has no setup");
  return pl_figures_new(setup, base);
}

static void work(void *context) {
  const struct job *const job = context;
  struct pl_arena *const arena = pl_arena_new(job->guard);
  const struct pl_session_options options = {.root = NULL};
  struct pl_session *const session = pl_session_new(arena, job->guard, &options);
  struct pl_figures *const base = figures_of(session, arena, job->base, NULL);
  struct pl_figures *const figures = figures_of(session, arena, job->setup, base);
  const struct pl_sheet_request request = {.figures = figures,
                                           .base = base,
                                           .comparison =
                                               pl_compare(arena, base, figures, PL_METRIC),
                                           .system = PL_METRIC,
                                           .version = "0"};
  const struct pl_paper *const paper = pl_sheet_new(arena, &request, pl_diagnostics_new(arena));
  if (paper == NULL) fail("the sheet cannot be made");
  write_marks(paper, job->out);
  pl_arena_free(arena);
}

int main(int count, char **words) {
  if (count != 4) fail("usage: marks SETUP BASE OUT");
  struct job job = {pl_guard_new(), words[1], words[2], words[3]};
  if (job.guard == NULL || !pl_with_memory(job.guard, work, &job)) fail("out of memory");
  pl_guard_free(job.guard);
  return EXIT_SUCCESS;
}
