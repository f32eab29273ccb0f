// SPDX-License-Identifier: GPL-3.0-or-later
// The setup files of the workspace.
#include "room.h"

#include <dirent.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct file_list {
  struct pl_arena *arena;
  const char **paths;
  size_t count;
  size_t capacity;
  struct pl_map *seen;
  bool is_cut; ///< there is more, beyond a limit
};

static void add_path(struct file_list *list, const char *path) {
  if (pl_map_set(list->seen, path, list) != NULL) return;
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
    if (entry->d_name[0] == '.' || list->is_cut) continue;
    const char *const path = pl_join_path(list->arena, folder, entry->d_name);
    struct stat status;
    if (lstat(path, &status) != 0) continue;
    const bool is_file = S_ISREG(status.st_mode) && ends_in_leaf(entry->d_name);
    list->is_cut = (S_ISDIR(status.st_mode) && depth == PL_MOST_EDITOR_FOLDERS) ||
                   (is_file && list->count == PL_MOST_EDITOR_FILES);
    if (list->is_cut) continue;
    if (S_ISDIR(status.st_mode)) list_folder(list, path, depth + 1);
    if (is_file) add_path(list, path);
  }
  closedir(open);
}

bool is_writable(const char *path) {
  struct stat status;
  // Also for whom permissions do not bind: a file that is protected is so on purpose.
  if (stat(path, &status) == 0) return (status.st_mode & 0222) != 0 && access(path, W_OK) == 0;
  return true;
}

/// Once is enough: an editor shows it over the text.
static void tell_cut(struct pl_editor *editor) {
  if (editor->has_told_cut) return;
  editor->has_told_cut = true;
  notify(editor, "window/showMessage",
         PL_JSON_PACK(editor->request, "{s:i,s:O}", "type", 2, "message",
                      pl_json_text(editor->request, too_many_files(editor->request))));
}

const char *too_many_files(struct pl_arena *arena) {
  return pl_format(
      arena,
      "The workspace has more than %d setup files, or more than %d folders in each "
      "other; not all of them are known. Open a folder that has fewer.",
      PL_MOST_EDITOR_FILES, PL_MOST_EDITOR_FOLDERS);
}

const char **leaf_files(struct pl_editor *editor, const char *folder, size_t *count,
                        bool *is_cut) {
  struct file_list list = {.arena = editor->request, .seen = pl_map_new(editor->request)};
  list_folder(&list, editor->folder != NULL ? editor->folder : folder, 0);
  // What is open may lie elsewhere, or not be on the disk yet.
  for (struct document *one = editor->documents; one != NULL; one = one->next)
    add_path(&list, one->path);
  *count = list.count;
  *is_cut = list.is_cut;
  if (list.is_cut) tell_cut(editor);
  return list.paths;
}
