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
static const char *why_not(struct pl_arena *arena, enum pl_file_status status,
                           const char **mend) {
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
  default: return pl_format(arena, "cannot be read: %s", pl_file_reason(status));
  }
}

/// What came of reading.
enum reading { READ_WHOLE, READ_DAMAGED, READ_NO_MEMORY };

/// The PNG library tells the two apart by its words alone ("Out of memory", "insufficient
/// memory to read chunk").
static enum reading why_not_read(const png_image *reader) {
  return strstr(reader->message, "memory") != NULL ? READ_NO_MEMORY : READ_DAMAGED;
}

/// Width and height of a PNG file; damaged if it is none.
static enum reading read_size(const struct pl_source *file, size_t *width, size_t *height) {
  png_image reader;
  memset(&reader, 0, sizeof reader);
  reader.version = PNG_IMAGE_VERSION;
  const bool is_png = png_image_begin_read_from_memory(&reader, file->bytes, file->length) != 0;
  *width = reader.width;
  *height = reader.height;
  const enum reading reading = is_png ? READ_WHOLE : why_not_read(&reader);
  png_image_free(&reader);
  return reading;
}

/// Reads the points of a PNG file, put onto white where it lets the paper through. Nothing is
/// asked of an arena meanwhile, so that the reader is always freed.
static enum reading read_points(const struct pl_source *file, unsigned char *points) {
  const png_color white = {255, 255, 255};
  png_image reader;
  memset(&reader, 0, sizeof reader);
  reader.version = PNG_IMAGE_VERSION;
  if (!png_image_begin_read_from_memory(&reader, file->bytes, file->length))
    return why_not_read(&reader);
  reader.format = PNG_FORMAT_RGB;
  const bool whole = png_image_finish_read(&reader, &white, points, 0, NULL) != 0;
  const enum reading reading = whole ? READ_WHOLE : why_not_read(&reader);
  png_image_free(&reader);
  return reading;
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
    const char *const why = why_not(arena, status, &mend);
    report(problems, path, why, mend);
    return NULL;
  }
  enum reading reading = read_size(file, &image->width, &image->height);
  if (reading == READ_NO_MEMORY) pl_out_of_memory(arena);
  if (reading == READ_DAMAGED) {
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
  reading = read_points(file, points);
  if (reading == READ_NO_MEMORY) pl_out_of_memory(arena);
  if (reading == READ_WHOLE) return image;
  report(problems, path, "is a damaged PNG file", "save it anew");
  return NULL;
}
