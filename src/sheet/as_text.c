// SPDX-License-Identifier: GPL-3.0-or-later
// The display list as text, for golden files and for eyes.
#include "pitleaf/sheet.h"
#include "pitleaf/units.h"

static const char *const ink_names[] = {"black", "grey", "light", "white", "accent", "none"};
static const char *const dash_names[] = {"solid", "dashed", "dotted"};

/// A space and a number with that many decimals, whatever the locale.
static void add_number(struct pl_buffer *out, double value, int digits) {
  char space[32];
  pl_buffer_text(out, " ");
  pl_buffer_text(out, pl_number_fixed(space, sizeof space, value, digits));
}

static void add_place(struct pl_buffer *out, double x, double y) {
  add_number(out, x, 2);
  add_number(out, y, 2);
}

/// A space and the text in quotes, on one line whatever it holds.
static void add_quoted(struct pl_buffer *out, const char *text) {
  pl_buffer_text(out, " \"");
  for (const char *next = text; *next != '\0'; next++) {
    const unsigned char byte = (unsigned char)*next;
    if (byte < ' ') {
      pl_buffer_format(out, "\\x%02X", byte);
    } else {
      if (byte == '"' || byte == '\\') pl_buffer_text(out, "\\");
      pl_buffer_add(out, next, 1);
    }
  }
  pl_buffer_text(out, "\"");
}

static void add_stroke(struct pl_buffer *out, struct pl_stroke stroke) {
  if (stroke.width == 0) {
    pl_buffer_text(out, " no stroke");
    return;
  }
  pl_buffer_text(out, " stroke");
  add_number(out, stroke.width, 2);
  pl_buffer_format(out, " %s", ink_names[stroke.ink]);
  if (stroke.dash != PL_SOLID) pl_buffer_format(out, " %s", dash_names[stroke.dash]);
}

static void add_fill(struct pl_buffer *out, enum pl_ink fill) {
  if (fill != PL_INK_NONE) pl_buffer_format(out, " fill %s", ink_names[fill]);
}

static void add_box(struct pl_buffer *out, const struct pl_mark *mark) {
  add_place(out, mark->x, mark->y);
  add_place(out, mark->width, mark->height);
}

static void add_spots(struct pl_buffer *out, const struct pl_mark *mark) {
  for (size_t i = 0; i < mark->spot_count; i++) {
    add_place(out, mark->spots[i].x, mark->spots[i].y);
  }
}

static void add_text(struct pl_buffer *out, const struct pl_mark *mark) {
  add_place(out, mark->x, mark->y);
  add_number(out, mark->type.size, 1);
  if (mark->type.bold) pl_buffer_text(out, " bold");
  if (mark->type.struck) pl_buffer_text(out, " struck");
  pl_buffer_format(out, " %s", ink_names[mark->type.ink]);
  add_quoted(out, mark->text);
}

static void add_mark(struct pl_buffer *out, const struct pl_mark *mark) {
  static const char *const kind_names[] = {"text",    "line",   "rectangle", "polyline",
                                           "polygon", "circle", "link",      "image"};
  pl_buffer_text(out, kind_names[mark->kind]);
  switch (mark->kind) {
  case PL_MARK_TEXT: add_text(out, mark); break;
  case PL_MARK_LINE:
  case PL_MARK_POLYLINE:
  case PL_MARK_POLYGON:
    add_spots(out, mark);
    add_fill(out, mark->fill);
    add_stroke(out, mark->stroke);
    break;
  case PL_MARK_RECTANGLE:
    add_box(out, mark);
    add_fill(out, mark->fill);
    add_stroke(out, mark->stroke);
    break;
  case PL_MARK_CIRCLE:
    add_place(out, mark->x, mark->y);
    add_number(out, mark->width, 2);
    add_fill(out, mark->fill);
    add_stroke(out, mark->stroke);
    break;
  case PL_MARK_LINK:
    add_box(out, mark);
    pl_buffer_format(out, " page %zu", mark->page + 1);
    break;
  case PL_MARK_IMAGE:
    add_box(out, mark);
    pl_buffer_format(out, " %zu x %zu points", mark->image->width, mark->image->height);
    add_quoted(out, mark->image->name);
    break;
  }
  pl_buffer_text(out, "\n");
}

static void add_property(struct pl_buffer *out, const char *name, const char *value) {
  if (value[0] == '\0') return;
  pl_buffer_text(out, name);
  add_quoted(out, value);
  pl_buffer_text(out, "\n");
}

const char *pl_paper_as_text(struct pl_arena *arena, const struct pl_paper *paper) {
  struct pl_buffer out = {.arena = arena};
  add_property(&out, "title", paper->title);
  add_property(&out, "author", paper->author);
  add_property(&out, "subject", paper->subject);
  for (size_t i = 0; i < paper->outline_count; i++) {
    pl_buffer_format(&out, "outline page %zu", paper->outline[i].page + 1);
    add_quoted(&out, paper->outline[i].title);
    pl_buffer_text(&out, "\n");
  }
  for (size_t i = 0; i < paper->page_count; i++) {
    const struct pl_page *const page = paper->pages[i];
    pl_buffer_format(&out, "page %zu", i + 1);
    add_number(&out, page->width, 1);
    pl_buffer_text(&out, " x");
    add_number(&out, page->height, 1);
    pl_buffer_text(&out, " mm\n");
    for (size_t mark = 0; mark < page->count; mark++) add_mark(&out, &page->marks[mark]);
  }
  return pl_buffer_string(&out);
}
