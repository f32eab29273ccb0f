// SPDX-License-Identifier: GPL-3.0-or-later
// The display list: papers, pages and the marks on them.
#include "pitleaf/sheet.h"

#include <string.h>

struct pl_paper *pl_paper_new(struct pl_arena *arena) {
  struct pl_paper *const paper = pl_alloc(arena, sizeof *paper);
  paper->arena = arena;
  paper->title = "";
  paper->author = "";
  paper->subject = "";
  return paper;
}

struct pl_page *pl_picture_new(struct pl_arena *arena, double width, double height) {
  struct pl_page *const page = pl_alloc(arena, sizeof *page);
  page->arena = arena;
  page->width = width;
  page->height = height;
  return page;
}

struct pl_page *pl_paper_page(struct pl_paper *paper, double width, double height) {
  struct pl_page *const page = pl_picture_new(paper->arena, width, height);
  page->paper = paper;
  paper->pages = pl_grow(paper->arena, (void *)paper->pages, paper->page_count,
                         &paper->page_capacity, sizeof(struct pl_page *));
  paper->pages[paper->page_count++] = page;
  return page;
}

void pl_paper_outline(struct pl_paper *paper, const char *title, size_t page) {
  const char *const copy = pl_copy_text(paper->arena, title, strlen(title));
  paper->outline = pl_grow(paper->arena, paper->outline, paper->outline_count,
                           &paper->outline_capacity, sizeof *paper->outline);
  paper->outline[paper->outline_count++] =
      (struct pl_outline){pl_text_normalise(paper->arena, copy), page};
}

static void add_mark(struct pl_page *page, struct pl_mark mark) {
  page->marks =
      pl_grow(page->arena, page->marks, page->count, &page->capacity, sizeof *page->marks);
  page->marks[page->count++] = mark;
}

double pl_draw_text(struct pl_page *page, double x, double y, struct pl_type type,
                    const char *text) {
  struct pl_arena *const arena = page->arena;
  const char *normal = pl_text_normalise(arena, text);
  if (normal == text) normal = pl_copy_text(arena, text, strlen(text));
  const double width = pl_text_width(normal, type.size, type.bold);
  if (type.anchor == PL_ANCHOR_CENTRE) x -= width / 2;
  if (type.anchor == PL_ANCHOR_RIGHT) x -= width;
  type.anchor = PL_ANCHOR_LEFT;
  add_mark(
      page,
      (struct pl_mark){
          .kind = PL_MARK_TEXT, .x = x, .y = y, .width = width, .type = type, .text = normal});
  return width;
}

/// A mark that goes through spots, of which it keeps a copy.
static void add_path(struct pl_page *page, enum pl_mark_kind kind, const struct pl_spot *spots,
                     size_t count, enum pl_ink fill, struct pl_stroke stroke) {
  struct pl_spot *const copy = pl_alloc_array(page->arena, count, sizeof *copy);
  memcpy(copy, spots, count * sizeof *copy);
  add_mark(
      page,
      (struct pl_mark){
          .kind = kind, .spots = copy, .spot_count = count, .fill = fill, .stroke = stroke});
}

void pl_draw_line(struct pl_page *page, double x1, double y1, double x2, double y2,
                  struct pl_stroke stroke) {
  const struct pl_spot ends[2] = {{x1, y1}, {x2, y2}};
  add_path(page, PL_MARK_LINE, ends, 2, PL_INK_NONE, stroke);
}

void pl_draw_polyline(struct pl_page *page, const struct pl_spot *spots, size_t count,
                      struct pl_stroke stroke) {
  if (count >= 2) add_path(page, PL_MARK_POLYLINE, spots, count, PL_INK_NONE, stroke);
}

void pl_draw_polygon(struct pl_page *page, const struct pl_spot *spots, size_t count,
                     enum pl_ink fill, struct pl_stroke stroke) {
  if (count >= 3) add_path(page, PL_MARK_POLYGON, spots, count, fill, stroke);
}

void pl_draw_rectangle(struct pl_page *page, double x, double y, double width, double height,
                       enum pl_ink fill, struct pl_stroke stroke) {
  add_mark(page, (struct pl_mark){.kind = PL_MARK_RECTANGLE,
                                  .x = x,
                                  .y = y,
                                  .width = width,
                                  .height = height,
                                  .fill = fill,
                                  .stroke = stroke});
}

void pl_draw_circle(struct pl_page *page, double x, double y, double diameter, enum pl_ink fill,
                    struct pl_stroke stroke) {
  add_mark(page, (struct pl_mark){.kind = PL_MARK_CIRCLE,
                                  .x = x,
                                  .y = y,
                                  .width = diameter,
                                  .height = diameter,
                                  .fill = fill,
                                  .stroke = stroke});
}

void pl_draw_link(struct pl_page *page, double x, double y, double width, double height,
                  size_t target) {
  add_mark(page, (struct pl_mark){.kind = PL_MARK_LINK,
                                  .x = x,
                                  .y = y,
                                  .width = width,
                                  .height = height,
                                  .fill = PL_INK_NONE,
                                  .page = target});
}

void pl_draw_image(struct pl_page *page, double x, double y, double width, double height,
                   const struct pl_image *image) {
  add_mark(page, (struct pl_mark){.kind = PL_MARK_IMAGE,
                                  .x = x,
                                  .y = y,
                                  .width = width,
                                  .height = height,
                                  .fill = PL_INK_NONE,
                                  .image = image});
}

void pl_draw_picture(struct pl_page *page, double x, double y, const struct pl_page *picture) {
  for (size_t i = 0; i < picture->count; i++) {
    struct pl_mark mark = picture->marks[i];
    struct pl_spot *const spots = pl_alloc_array(page->arena, mark.spot_count, sizeof *spots);
    for (size_t j = 0; j < mark.spot_count; j++)
      spots[j] = (struct pl_spot){mark.spots[j].x + x, mark.spots[j].y + y};
    mark.spots = spots;
    mark.x += x;
    mark.y += y;
    add_mark(page, mark);
  }
}
