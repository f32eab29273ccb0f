// SPDX-License-Identifier: GPL-3.0-or-later
// Finds what cannot be printed before the PDF library sees it, because that library prints a
// box for a missing character, cuts long texts and moves far places without a word.
#include "printable.h"

#include <math.h>
#include <string.h>

/// Largest page side, mm: 14,400 pt (PDF Reference 1.7, appendix C).
static const double largest_page = 14400.0 * 25.4 / 72.0;
/// Smallest page side, mm: 3 pt (as above).
static const double smallest_page = 3.0 * 25.4 / 72.0;
/// Farthest place from the corner of a page, mm: 32,767 pt (PDF Reference 1.7, appendix C, real
/// numbers up to version 1.4), less the height of the largest page.
static const double farthest = (32767.0 - 14400.0) * 25.4 / 72.0;
/// Largest size of type, pt, and of a line's width, mm: the PDF library's own limit for type,
/// and the same for lines.
static const double largest_type = 600;
static const double widest_line = 200;
/// Longest text, bytes: half of what the PDF library cuts at (65,535), so that its UTF-16 form
/// fits as well.
static const size_t longest_text = 32767;
/// As much of a text as a message quotes, bytes.
static const size_t quoted_length = 60;

struct check {
  struct pl_arena *arena;
  size_t page_count; ///< of the file
  const char *where; ///< "on page 3", "in the title"
  enum pl_pdf_status status;
  const char *message;
};

static void refuse(struct check *check, enum pl_pdf_status status, const char *message) {
  if (check->status != PL_PDF_OK) return;
  check->status = status;
  check->message = message;
}

/// The start of a text, for a message.
static const char *quoted(struct pl_arena *arena, const char *text) {
  size_t length = strlen(text);
  if (length <= quoted_length) return text;
  length = quoted_length;
  while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80) length--;
  return pl_format(arena, "%s…", pl_copy_text(arena, text, length));
}

static void check_text(struct check *check, const char *text) {
  uint32_t codepoint = 0;
  if (strlen(text) > longest_text) {
    refuse(check, PL_PDF_TOO_LARGE,
           pl_format(check->arena, "a text %s is longer than %zu bytes: \"%s\"", check->where,
                     longest_text, quoted(check->arena, text)));
  } else if (pl_text_missing_glyph(check->arena, text, &codepoint)) {
    refuse(check, PL_PDF_NO_GLYPH,
           pl_format(check->arena,
                     "the sheet's font lacks the character U+%04X, which stands %s in \"%s\"",
                     (unsigned)codepoint, check->where, quoted(check->arena, text)));
  }
}

static void check_target(struct check *check, size_t page) {
  if (page < check->page_count) return;
  refuse(check, PL_PDF_NO_PAGE,
         pl_format(check->arena, "a link %s leads to page %zu, and there are %zu", check->where,
                   page + 1, check->page_count));
}

/// Is the number one (not NaN) from `least` to `greatest`?
static bool within(double value, double least, double greatest) {
  return value >= least && value <= greatest;
}

static bool places_fit(const struct pl_mark *mark) {
  bool fit = within(mark->x, -farthest, farthest) && within(mark->y, -farthest, farthest) &&
             within(mark->width, -farthest, farthest) &&
             within(mark->height, -farthest, farthest) &&
             within(mark->stroke.width, 0, widest_line);
  for (size_t i = 0; i < mark->spot_count && fit; i++) {
    fit = within(mark->spots[i].x, -farthest, farthest) &&
          within(mark->spots[i].y, -farthest, farthest);
  }
  return fit;
}

/// Has the image points, and not more than are worth printing?
static bool image_fits(const struct pl_image *image) {
  return image->width >= 1 && image->height >= 1 && image->width <= PL_IMAGE_SIDE &&
         image->height <= PL_IMAGE_SIDE;
}

static void check_mark(struct check *check, const struct pl_mark *mark) {
  if (!places_fit(mark)) {
    refuse(check, PL_PDF_TOO_LARGE,
           pl_format(check->arena, "a mark %s is too large or lies too far from the page",
                     check->where));
  }
  if (mark->kind == PL_MARK_IMAGE && !image_fits(mark->image)) {
    refuse(check, PL_PDF_TOO_LARGE,
           pl_format(check->arena, "an image %s has no points, or more than %d on a side",
                     check->where, PL_IMAGE_SIDE));
  }
  if (mark->kind == PL_MARK_LINK) check_target(check, mark->page);
  if (mark->kind != PL_MARK_TEXT) return;
  check_text(check, mark->text);
  if (!(mark->type.size > 0 && mark->type.size <= largest_type)) {
    refuse(check, PL_PDF_TOO_LARGE,
           pl_format(check->arena, "a text %s has a size outside 0 to %.0f pt: \"%s\"",
                     check->where, largest_type, quoted(check->arena, mark->text)));
  }
}

static void check_page(struct check *check, const struct pl_page *page) {
  if (!within(page->width, smallest_page, largest_page) ||
      !within(page->height, smallest_page, largest_page)) {
    refuse(check, PL_PDF_TOO_LARGE,
           pl_format(check->arena, "the size %s is outside %.0f to %.0f mm", check->where,
                     ceil(smallest_page), floor(largest_page)));
  }
  for (size_t i = 0; i < page->count && check->status == PL_PDF_OK; i++) {
    check_mark(check, &page->marks[i]);
  }
}

enum pl_pdf_status pl_paper_check(struct pl_arena *arena, const struct pl_paper *paper,
                                  size_t page_count, const char **message) {
  struct check check = {.arena = arena, .page_count = page_count, .status = PL_PDF_OK};
  if (paper->page_count == 0) refuse(&check, PL_PDF_NO_PAGE, "there is no page to print");
  check.where = "in the properties of the file";
  check_text(&check, paper->title);
  check_text(&check, paper->author);
  check_text(&check, paper->subject);
  check.where = "in the list of contents";
  for (size_t i = 0; i < paper->outline_count && check.status == PL_PDF_OK; i++) {
    check_text(&check, paper->outline[i].title);
    check_target(&check, paper->outline[i].page);
  }
  for (size_t i = 0; i < paper->page_count && check.status == PL_PDF_OK; i++) {
    check.where = pl_format(arena, "on page %zu", i + 1);
    check_page(&check, paper->pages[i]);
  }
  if (check.status != PL_PDF_OK) *message = check.message;
  return check.status;
}
