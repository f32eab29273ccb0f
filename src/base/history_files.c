// SPDX-License-Identifier: GPL-3.0-or-later
// History: the files in the commits of a line. See history.c for the line.
#include "git.h"

#include <string.h>

// ---------------------------------------------------------------- files of a commit

bool pl_history_look_at(struct pl_history *history, size_t which) {
  const struct git *const git = history->git;
  git->tree_free(history->tree);
  history->tree = NULL;
  const bool known =
      hold_commit(history, which) && git->commit_tree(&history->tree, history->commit) == 0;
  let_go(history);
  return known;
}

/// The kind of what is at a path of the commit, and its name; 0: nothing.
static git_filemode_t mode_at(struct pl_history *history, const char *path, git_oid *id) {
  const struct git *const git = history->git;
  if (history->tree == NULL) return GIT_FILEMODE_UNREADABLE;
  if (path[0] == '\0') return GIT_FILEMODE_TREE;
  if (git->tree_entry_bypath(&history->entry, history->tree, path) != 0)
    return GIT_FILEMODE_UNREADABLE;
  const git_filemode_t mode = git->tree_entry_filemode(history->entry);
  *id = *git->tree_entry_id(history->entry);
  let_go(history);
  return mode;
}

/// A blob's bytes in the arena.
static enum pl_file_status read_blob(struct pl_history *history, struct pl_arena *arena,
                                     const git_oid *id, const unsigned char **bytes,
                                     size_t *length) {
  const struct git *const git = history->git;
  if (git->blob_lookup(&history->blob, history->repository, id) != 0) return PL_FILE_UNREADABLE;
  const git_object_size_t size = git->blob_rawsize(history->blob);
  if (size <= PL_MOST_FILE_BYTES) {
    *length = (size_t)size;
    *bytes = (const unsigned char *)pl_copy_text(arena, git->blob_rawcontent(history->blob),
                                                 *length);
  }
  let_go(history);
  return size > PL_MOST_FILE_BYTES ? PL_FILE_TOO_LARGE : PL_FILE_OK;
}

/// `folder/path` without "." and ".."; null if that leads above the top.
static const char *inside(struct pl_arena *arena, const char *folder, const char *path) {
  const char *const joined = pl_format(arena, "%s/%s", folder, path);
  char *const out = pl_alloc(arena, strlen(joined) + 2);
  size_t length = 0;
  if (path[0] == '/') return NULL;
  for (const char *at = joined; *at != '\0';) {
    at += strspn(at, "/");
    const size_t part = strcspn(at, "/");
    if (part == 2 && at[0] == '.' && at[1] == '.') {
      if (length == 0) return NULL;
      while (length > 0 && out[--length] != '/') {
      }
    } else if (part > 0 && !(part == 1 && at[0] == '.')) {
      if (length > 0) out[length++] = '/';
      memcpy(out + length, at, part);
      length += part;
    }
    at += part;
  }
  out[length] = '\0';
  return out;
}

/// Where the first link on the way of `path` leads; null if there is none, or if it leads
/// outside: then the status says so.
static const char *past_link(struct pl_history *history, struct pl_arena *arena,
                             const char *path, enum pl_file_status *status) {
  for (const char *at = path; at != NULL;) {
    const char *const stroke = strchr(at, '/');
    const size_t length = stroke == NULL ? strlen(path) : (size_t)(stroke - path);
    const char *const part = pl_copy_text(arena, path, length);
    git_oid id;
    const git_filemode_t mode = mode_at(history, part, &id);
    if (mode == GIT_FILEMODE_UNREADABLE) return NULL;
    if (mode == GIT_FILEMODE_LINK) {
      const unsigned char *target = NULL;
      size_t size = 0;
      *status = read_blob(history, arena, &id, &target, &size);
      if (*status != PL_FILE_OK) return NULL;
      const char *const folder = strchr(part, '/') == NULL ? "" : pl_folder_of(arena, part);
      const char *const leads_to = inside(arena, folder, (const char *)target);
      if (leads_to == NULL) *status = PL_FILE_OUTSIDE;
      if (leads_to == NULL || stroke == NULL) return leads_to;
      return inside(arena, leads_to, stroke + 1);
    }
    at = stroke == NULL ? NULL : stroke + 1;
  }
  return NULL;
}

enum pl_file_status pl_history_find(struct pl_history *history, struct pl_arena *arena,
                                    const char *path, struct pl_found *found) {
  for (int links = 0; links <= PL_MOST_LINKS; links++) {
    git_oid id;
    const git_filemode_t mode = mode_at(history, path, &id);
    if (mode == GIT_FILEMODE_TREE) return PL_FILE_FOLDER;
    if (mode == GIT_FILEMODE_COMMIT) return PL_FILE_NOT_PLAIN;
    if (mode != GIT_FILEMODE_UNREADABLE && mode != GIT_FILEMODE_LINK) {
      found->path = path;
      history->git->oid_tostr(found->id, sizeof found->id, &id);
      return PL_FILE_OK;
    }
    enum pl_file_status status = PL_FILE_MISSING;
    path = past_link(history, arena, path, &status);
    if (path == NULL) return status == PL_FILE_OK ? PL_FILE_MISSING : status;
  }
  return PL_FILE_MISSING;
}

enum pl_file_status pl_history_read(struct pl_history *history, struct pl_arena *arena,
                                    const struct pl_found *found, const unsigned char **bytes,
                                    size_t *length) {
  git_oid id;
  if (history->git->oid_fromstr(&id, found->id) != 0) return PL_FILE_UNREADABLE;
  return read_blob(history, arena, &id, bytes, length);
}

bool pl_history_has(struct pl_history *history, const char *path, const unsigned char *bytes,
                    size_t length) {
  const struct git *const git = history->git;
  git_oid there;
  git_oid own;
  const git_filemode_t mode = mode_at(history, path, &there);
  return (mode == GIT_FILEMODE_BLOB || mode == GIT_FILEMODE_BLOB_EXECUTABLE) &&
         git->odb_hash(&own, bytes, length, GIT_OBJECT_BLOB) == 0 &&
         git->oid_equal(&own, &there);
}

// ---------------------------------------------------------------- renames

/// The differences between a commit and the one before it, held until let_go.
static bool hold_diff(struct pl_history *history, size_t which) {
  const struct git *const git = history->git;
  if (which == 0 || !hold_commit(history, which - 1)) return false;
  if (git->commit_tree(&history->trees[0], history->commit) != 0) return false;
  git->commit_free(history->commit);
  history->commit = NULL;
  if (!hold_commit(history, which)) return false;
  if (git->commit_tree(&history->trees[1], history->commit) != 0) return false;
  git_diff_find_options find;
  if (git->diff_find_options_init(&find, GIT_DIFF_FIND_OPTIONS_VERSION) != 0) return false;
  find.flags = GIT_DIFF_FIND_RENAMES;
  return git->diff_tree_to_tree(&history->diff, history->repository, history->trees[0],
                                history->trees[1], NULL) == 0 &&
         git->diff_find_similar(history->diff, &find) == 0;
}

const char *pl_history_renamed_from(struct pl_history *history, struct pl_arena *arena,
                                    size_t which, const char *path) {
  const struct git *const git = history->git;
  const char *old = NULL;
  if (hold_diff(history, which)) {
    const size_t count = git->diff_num_deltas(history->diff);
    for (size_t i = 0; i < count && old == NULL; i++) {
      const git_diff_delta *const delta = git->diff_get_delta(history->diff, i);
      if (delta->status != GIT_DELTA_RENAMED || strcmp(delta->new_file.path, path) != 0)
        continue;
      old = pl_copy_text(arena, delta->old_file.path, strlen(delta->old_file.path));
    }
  }
  let_go(history);
  return old;
}

// ---------------------------------------------------------------- the place of some bytes

/// What is known so far of the place that is looked for.
struct places {
  const char *name;
  git_oid id; ///< of the bytes
  const char *named;
  const char *same; ///< has those bytes, too
  bool several_named;
  bool several_same;
};

static const char *name_of(const char *path) {
  const char *const stroke = strrchr(path, '/');
  return stroke == NULL ? path : stroke + 1;
}

/// Notes a path; one that is known already is not a second one.
static void note(struct pl_arena *arena, const char **place, bool *several, const char *path) {
  if (*place == NULL)
    *place = pl_copy_text(arena, path, strlen(path));
  else if (strcmp(*place, path) != 0)
    *several = true;
}

static void note_all(struct pl_history *history, struct pl_arena *arena,
                     struct places *places) {
  const struct git *const git = history->git;
  const size_t count = git->index_entrycount(history->index);
  for (size_t i = 0; i < count; i++) {
    const git_index_entry *const entry = git->index_get_byindex(history->index, i);
    if (strcmp(name_of(entry->path), places->name) != 0) continue;
    note(arena, &places->named, &places->several_named, entry->path);
    if (git->oid_equal(&entry->id, &places->id))
      note(arena, &places->same, &places->several_same, entry->path);
  }
}

const char *pl_history_place_of(struct pl_history *history, struct pl_arena *arena,
                                const char *name, const unsigned char *bytes, size_t length) {
  const struct git *const git = history->git;
  struct places places = {.name = name};
  if (git->odb_hash(&places.id, bytes, length, GIT_OBJECT_BLOB) != 0) return NULL;
  if (git->repository_index(&history->index, history->repository) == 0)
    note_all(history, arena, &places);
  let_go(history);
  if (git->revparse_single(&history->objects[0], history->repository, "HEAD^{tree}") == 0 &&
      git->index_new(&history->index) == 0 &&
      git->index_read_tree(history->index, (const git_tree *)history->objects[0]) == 0)
    note_all(history, arena, &places);
  let_go(history);
  if (places.named != NULL && !places.several_named) return places.named;
  return places.several_same ? NULL : places.same;
}
