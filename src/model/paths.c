// SPDX-License-Identifier: GPL-3.0-or-later
// Paths worked out on their text alone, without asking the disk.
#include "room.h"

#include <string.h>

const char *normal_path(struct pl_arena *arena, const char *folder, const char *path) {
  const char *const joined = pl_format(arena, "%s/%s", folder, path);
  char *const out = pl_alloc(arena, strlen(joined) + 2);
  size_t length = 0;
  for (const char *at = joined; *at != '\0';) {
    at += strspn(at, "/");
    const size_t part = strcspn(at, "/");
    if (part == 2 && at[0] == '.' && at[1] == '.') {
      while (length > 0 && out[--length] != '/') {
      }
    } else if (part > 0 && !(part == 1 && at[0] == '.')) {
      out[length++] = '/';
      memcpy(out + length, at, part);
      length += part;
    }
    at += part;
  }
  if (length == 0) out[length++] = '/';
  out[length] = '\0';
  return out;
}

const char *absolute_path(struct pl_arena *arena, const char *path) {
  enum pl_file_status status;
  if (path[0] == '/') return normal_path(arena, "", path);
  const char *const here = pl_real_path(arena, ".", &status);
  return normal_path(arena, here == NULL ? "" : here, path);
}

const char *tidy_path(struct pl_arena *arena, const char *path) {
  char *const out = pl_alloc(arena, strlen(path) + 2);
  size_t length = 0;
  size_t depth = 0; // parts that a ".." may take back
  if (path[0] == '/') out[length++] = '/';
  for (const char *at = path; *at != '\0';) {
    at += strspn(at, "/");
    const size_t part = strcspn(at, "/");
    const bool up = part == 2 && at[0] == '.' && at[1] == '.';
    if (up && depth > 0) {
      while (length > 0 && out[length - 1] != '/') length--;
      if (length > 1) length--;
      depth--;
    } else if (part > 0 && !(part == 1 && at[0] == '.')) {
      if (length > 0 && out[length - 1] != '/') out[length++] = '/';
      memcpy(out + length, at, part);
      length += part;
      if (!up) depth++;
    }
    at += part;
  }
  out[length] = '\0';
  return out;
}
