// SPDX-License-Identifier: GPL-3.0-or-later
// The setup files of the workspace.
#include "room.h"

#include <dirent.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/// Most files that are looked through, and deepest folder: a club's years stay below.
#define FILE_LIMIT   10000
#define FOLDER_LIMIT 16

struct file_list {
  struct pl_arena *arena;
  const char **paths;
  size_t count;
  size_t capacity;
};

static void add_path(struct file_list *list, const char *path) {
  for (size_t i = 0; i < list->count; i++) {
    if (strcmp(list->paths[i], path) == 0) return;
  }
  list->paths =
      pl_grow(list->arena, list->paths, list->count, &list->capacity, sizeof(const char *));
  list->paths[list->count++] = path;
}

static bool ends_in_leaf(const char *name) {
  const size_t length = strlen(name);
  return length > 5 && strcmp(name + length - 5, ".leaf") == 0;
}

/// Links are not followed: they could lead in a circle.
static void list_folder(struct file_list *list, const char *folder, size_t depth) {
  DIR *const open = opendir(folder);
  if (open == NULL) return;
  // NOLINTNEXTLINE(concurrency-mt-unsafe): the folder is this function's own
  for (struct dirent *entry = readdir(open); entry != NULL; entry = readdir(open)) {
    if (entry->d_name[0] == '.' || list->count >= FILE_LIMIT) continue;
    const char *const path = pl_join_path(list->arena, folder, entry->d_name);
    struct stat status;
    if (lstat(path, &status) != 0) continue;
    if (S_ISDIR(status.st_mode) && depth < FOLDER_LIMIT) list_folder(list, path, depth + 1);
    if (S_ISREG(status.st_mode) && ends_in_leaf(entry->d_name)) add_path(list, path);
  }
  closedir(open);
}

bool is_writable(const char *path) {
  struct stat status;
  // Also for whom permissions do not bind: a file that is protected is so on purpose.
  if (stat(path, &status) == 0) return (status.st_mode & 0222) != 0 && access(path, W_OK) == 0;
  return true;
}

const char **leaf_files(struct pl_editor *editor, const char *folder, size_t *count) {
  struct file_list list = {.arena = editor->request};
  list_folder(&list, editor->folder != NULL ? editor->folder : folder, 0);
  // What is open may lie elsewhere, or not be on the disk yet.
  for (struct document *one = editor->documents; one != NULL; one = one->next)
    add_path(&list, one->path);
  *count = list.count;
  return list.paths;
}
