// SPDX-License-Identifier: GPL-3.0-or-later
// Logos: PNG files as coloured points on white. The one file that knows the PNG library.
#include <png.h>
#include <string.h>

#include "room.h"

static void report(struct pl_diagnostics *problems, const struct pl_node *path, const char *why,
                   const char *mend) {
  pl_report(problems, PL_LOGO_UNREADABLE, path->span, PL_WORDS(path->name, why, mend));
}

/// Why a file was not read, and the mend or null.
static const char *why_not(enum pl_file_status status, const char **mend) {
  *mend = NULL;
  switch (status) {
  case PL_FILE_MISSING:
    *mend = "the path counts from the template's file";
    return "is not there";
  case PL_FILE_FOLDER: return "is a folder";
  case PL_FILE_NOT_PLAIN: return "is no plain file";
  case PL_FILE_TOO_LARGE: return "is larger than 8 MiB";
  case PL_FILE_OUTSIDE:
    *mend = "keep it beside the template";
    return "lies outside the folders that may be read";
  default: return "cannot be read";
  }
}

/// Width and height of a PNG file; false if it is none.
static bool size_of(const struct pl_source *file, size_t *width, size_t *height) {
  png_image reader;
  memset(&reader, 0, sizeof reader);
  reader.version = PNG_IMAGE_VERSION;
  const bool is_png = png_image_begin_read_from_memory(&reader, file->bytes, file->length) != 0;
  *width = reader.width;
  *height = reader.height;
  png_image_free(&reader);
  return is_png;
}

/// Reads the points of a PNG file, put onto white where it lets the paper through; false if it
/// is damaged. Nothing is asked of an arena meanwhile, so that the reader is always freed.
static bool read_points(const struct pl_source *file, unsigned char *points) {
  const png_color white = {255, 255, 255};
  png_image reader;
  memset(&reader, 0, sizeof reader);
  reader.version = PNG_IMAGE_VERSION;
  if (!png_image_begin_read_from_memory(&reader, file->bytes, file->length)) return false;
  reader.format = PNG_FORMAT_RGB;
  const bool whole = png_image_finish_read(&reader, &white, points, 0, NULL) != 0;
  png_image_free(&reader);
  return whole;
}

const struct pl_image *pl_logo_read(struct pl_arena *arena, struct pl_program *program,
                                    const struct pl_node *path,
                                    struct pl_diagnostics *problems) {
  const struct pl_source *file = NULL;
  struct pl_image *const image = pl_alloc(arena, sizeof *image);
  image->name = pl_copy_text(arena, path->name, strlen(path->name));
  const enum pl_file_status status =
      pl_program_beside(program, path->span.source, path->name, &file);
  if (status != PL_FILE_OK) {
    const char *mend = NULL;
    const char *const why = why_not(status, &mend);
    report(problems, path, why, mend);
    return NULL;
  }
  if (!size_of(file, &image->width, &image->height)) {
    report(problems, path, "is no PNG file", "save it as PNG");
    return NULL;
  }
  if (image->width > PL_IMAGE_SIDE || image->height > PL_IMAGE_SIDE ||
      image->width * image->height > PL_MOST_LOGO_POINTS) {
    report(problems, path, "has too many points",
           pl_format(arena, "make it smaller: up to %d points in all", PL_MOST_LOGO_POINTS));
    return NULL;
  }
  unsigned char *const points = pl_alloc_array(arena, image->width * image->height, 3);
  image->points = points;
  if (read_points(file, points)) return image;
  report(problems, path, "is a damaged PNG file", "save it anew");
  return NULL;
}
