// SPDX-License-Identifier: GPL-3.0-or-later
// History: a line of commits and the files in them, by libgit2, which no other file knows.
//
// What libgit2 hands out hangs in `struct pl_history` while it is held, so that it is given
// back also when an arena's failure jumps. No arena is asked from within a callback of libgit2.
#include "pitleaf/history.h"

#include <git2.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

struct pl_history {
  struct pl_arena *arena;
  const char *top;
  git_oid *line; ///< the newest first
  size_t count;
  size_t capacity;
  git_repository *repository;
  git_tree *tree; ///< that is looked at
  // Held for the length of one call.
  git_object *objects[2];
  git_commit *commit;
  git_tree *trees[2];
  git_tree_entry *entry;
  git_blob *blob;
  git_diff *diff;
  git_index *index;
  git_buf brief;
};

/// Gives back what one call held.
static void let_go(struct pl_history *history) {
  for (size_t i = 0; i < 2; i++) {
    git_object_free(history->objects[i]);
    git_tree_free(history->trees[i]);
    history->objects[i] = NULL;
    history->trees[i] = NULL;
  }
  git_commit_free(history->commit);
  git_tree_entry_free(history->entry);
  git_blob_free(history->blob);
  git_diff_free(history->diff);
  git_index_free(history->index);
  git_buf_dispose(&history->brief);
  history->commit = NULL;
  history->entry = NULL;
  history->blob = NULL;
  history->diff = NULL;
  history->index = NULL;
}

static void end(void *thing) {
  struct pl_history *const history = thing;
  let_go(history);
  git_tree_free(history->tree);
  git_repository_free(history->repository);
  git_libgit2_shutdown();
}

/// What libgit2 says of its last failure.
static const char *last_words(struct pl_arena *arena) {
  const git_error *const error = git_error_last();
  const char *const words = error == NULL || error->message == NULL ? "" : error->message;
  return pl_copy_text(arena, words, strlen(words));
}

// ---------------------------------------------------------------- the repository

enum pl_history_status pl_history_open(struct pl_arena *arena, const char *folder,
                                       struct pl_history **history, const char **reason) {
  *history = NULL;
  *reason = "";
  struct pl_history *const own = pl_alloc(arena, sizeof *own);
  own->arena = arena;
  if (git_libgit2_init() < 0) return PL_HISTORY_UNREADABLE;
  pl_arena_at_end(arena, end, own);
  const unsigned flags = folder == NULL ? (unsigned)GIT_REPOSITORY_OPEN_FROM_ENV : 0;
  const int status = git_repository_open_ext(&own->repository, folder, flags, NULL);
  if (status != 0) *reason = last_words(arena);
  // libgit2 1.5 calls a repository of another user not found, and says why by this setting.
  if (status == GIT_EOWNER || strstr(*reason, "safe.directory") != NULL)
    return PL_HISTORY_NOT_YOURS;
  if (status == GIT_ENOTFOUND) return PL_HISTORY_NO_REPOSITORY;
  if (status != 0) return PL_HISTORY_UNREADABLE;
  const char *const top = git_repository_workdir(own->repository);
  if (top == NULL) return PL_HISTORY_NO_WORK_TREE;
  enum pl_file_status found;
  own->top = pl_real_path(arena, top, &found);
  if (own->top == NULL) return PL_HISTORY_NO_WORK_TREE;
  *history = own;
  return PL_HISTORY_OK;
}

const char *pl_history_top(const struct pl_history *history) {
  return history->top;
}

bool pl_history_is_shallow(const struct pl_history *history) {
  return git_repository_is_shallow(history->repository) == 1;
}

// ---------------------------------------------------------------- the line of commits

/// What can be reached from a revision, so that the line knows what is not of the range.
struct reached {
  struct pl_map *known; ///< by hexadecimal names
  git_oid *waiting;
  size_t count;
  size_t capacity;
};

static void reach(struct pl_arena *arena, struct reached *reached, const git_oid *id) {
  char name[GIT_OID_HEXSZ + 1];
  git_oid_tostr(name, sizeof name, id);
  if (pl_map_get(reached->known, name) != NULL) return;
  pl_map_set(reached->known, pl_copy_text(arena, name, strlen(name)), reached);
  reached->waiting = pl_grow(arena, reached->waiting, reached->count, &reached->capacity,
                             sizeof *reached->waiting);
  reached->waiting[reached->count++] = *id;
}

/// Every commit from which one could have come to `from`. A parent that a shallow clone lacks
/// ends its branch.
static struct pl_map *reached_from(struct pl_history *history, const git_oid *from) {
  struct reached reached = {.known = pl_map_new(history->arena)};
  reach(history->arena, &reached, from);
  while (reached.count > 0) {
    const git_oid id = reached.waiting[--reached.count];
    if (git_commit_lookup(&history->commit, history->repository, &id) != 0) continue;
    const unsigned parents = git_commit_parentcount(history->commit);
    for (unsigned i = 0; i < parents; i++)
      reach(history->arena, &reached, git_commit_parent_id(history->commit, i));
    git_commit_free(history->commit);
    history->commit = NULL;
  }
  return reached.known;
}

/// From the newest commit to its first parent, and so on. False if the newest is not there.
static bool follow_first_parents(struct pl_history *history, const git_oid *newest) {
  git_oid next = *newest;
  history->count = 0;
  while (git_commit_lookup(&history->commit, history->repository, &next) == 0) {
    history->line = pl_grow(history->arena, history->line, history->count, &history->capacity,
                            sizeof *history->line);
    history->line[history->count++] = next;
    const bool is_last = git_commit_parentcount(history->commit) == 0;
    if (!is_last) next = *git_commit_parent_id(history->commit, 0);
    git_commit_free(history->commit);
    history->commit = NULL;
    if (is_last) break;
  }
  return history->count > 0;
}

/// How many commits of the line are newer than that one: all of them if it is not on the line.
static size_t count_newer(const struct pl_history *history, const git_oid *id) {
  size_t newer = 0;
  while (newer < history->count && !git_oid_equal(&history->line[newer], id)) newer++;
  return newer;
}

/// How many of the line's oldest commits can be reached from `from`: all of those that can.
static size_t count_reached(struct pl_history *history, const git_oid *from) {
  struct pl_map *const known = reached_from(history, from);
  size_t newer = 0;
  for (; newer < history->count; newer++) {
    char name[GIT_OID_HEXSZ + 1];
    git_oid_tostr(name, sizeof name, &history->line[newer]);
    if (pl_map_get(known, name) != NULL) break;
  }
  return history->count - newer;
}

/// Reads one end of a range; a tag counts as its commit.
static bool peel(struct pl_history *history, git_object *object, size_t which, git_oid *id) {
  history->objects[which] = object;
  git_object *commit = NULL;
  if (object == NULL || git_object_peel(&commit, object, GIT_OBJECT_COMMIT) != 0) return false;
  *id = *git_object_id(commit);
  git_object_free(commit);
  return true;
}

enum pl_history_status pl_history_choose(struct pl_history *history, const char *range,
                                         struct pl_history_line *line, const char **reason) {
  *reason = "";
  *line = (struct pl_history_line){.open_end = range == NULL};
  if (git_repository_head_unborn(history->repository) == 1 && range == NULL)
    return PL_HISTORY_NO_COMMIT;
  const char *const written = range == NULL ? "HEAD" : range;
  const size_t length = strlen(written);
  if (strstr(written, "...") != NULL) return PL_HISTORY_TWO_LINES;
  const char *const dots = strstr(written, "..");
  if (dots != NULL) line->open_end = dots + 2 == written + length;
  // An end that is left out is HEAD.
  const char *const whole =
      dots == NULL ? written
                   : pl_format(history->arena, "%s%s%s", dots == written ? "HEAD" : "", written,
                               line->open_end ? "HEAD" : "");
  git_revspec ends = {0};
  if (git_revparse(&ends, history->repository, whole) != 0) {
    *reason = last_words(history->arena);
    return PL_HISTORY_NO_REVISION;
  }
  git_oid from = {0};
  git_oid newest = {0};
  const bool is_single = ends.to == NULL;
  bool known = peel(history, is_single ? NULL : ends.from, 0, &from) || is_single;
  known = peel(history, is_single ? ends.from : ends.to, 1, &newest) && known;
  let_go(history);
  if (!known) return PL_HISTORY_NO_REVISION;
  git_oid head;
  const bool has_head = git_reference_name_to_id(&head, history->repository, "HEAD") == 0;
  size_t newer = has_head && follow_first_parents(history, &head)
                     ? count_newer(history, &newest)
                     : history->count;
  if (newer == history->count) {
    if (!follow_first_parents(history, &newest)) {
      *reason = last_words(history->arena);
      return PL_HISTORY_UNREADABLE;
    }
    newer = 0;
  }
  line->count = history->count;
  line->end = history->count - newer;
  line->first = is_single ? 0 : count_reached(history, &from);
  return PL_HISTORY_OK;
}

/// The commit of that number, held until let_go.
static bool hold_commit(struct pl_history *history, size_t which) {
  if (which >= history->count) return false;
  const git_oid *const id = &history->line[history->count - 1 - which];
  return git_commit_lookup(&history->commit, history->repository, id) == 0;
}

/// "2026-06-14" and "2026-06-14T18:30:00+02:00".
static void write_time(struct pl_arena *arena, git_time when, struct pl_commit *commit) {
  const time_t local = (time_t)(when.time + (git_time_t)when.offset * 60);
  struct tm parts;
  if (gmtime_r(&local, &parts) == NULL) parts = (struct tm){.tm_mday = 1};
  const int offset = when.offset < 0 ? -when.offset : when.offset;
  commit->date =
      pl_format(arena, "%04d-%02d-%02d", parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday);
  commit->time = pl_format(arena, "%sT%02d:%02d:%02d%c%02d:%02d", commit->date, parts.tm_hour,
                           parts.tm_min, parts.tm_sec, when.offset < 0 ? '-' : '+', offset / 60,
                           offset % 60);
}

bool pl_history_commit(struct pl_history *history, struct pl_arena *arena, size_t which,
                       struct pl_commit *commit) {
  if (!hold_commit(history, which)) return false;
  char id[GIT_OID_HEXSZ + 1];
  git_oid_tostr(id, sizeof id, git_commit_id(history->commit));
  commit->id = pl_copy_text(arena, id, strlen(id));
  const bool is_brief =
      git_object_short_id(&history->brief, (const git_object *)history->commit) == 0;
  const char *const brief = is_brief ? history->brief.ptr : id;
  commit->brief = pl_copy_text(arena, brief, strlen(brief));
  const char *const subject = git_commit_summary(history->commit);
  commit->subject = subject == NULL ? "" : pl_copy_text(arena, subject, strlen(subject));
  write_time(arena, git_commit_author(history->commit)->when, commit);
  let_go(history);
  return true;
}

// ---------------------------------------------------------------- files of a commit

bool pl_history_look_at(struct pl_history *history, size_t which) {
  git_tree_free(history->tree);
  history->tree = NULL;
  const bool known =
      hold_commit(history, which) && git_commit_tree(&history->tree, history->commit) == 0;
  let_go(history);
  return known;
}

/// The kind of what is at a path of the commit, and its name; 0: nothing.
static git_filemode_t mode_at(struct pl_history *history, const char *path, git_oid *id) {
  if (history->tree == NULL) return GIT_FILEMODE_UNREADABLE;
  if (path[0] == '\0') return GIT_FILEMODE_TREE;
  if (git_tree_entry_bypath(&history->entry, history->tree, path) != 0)
    return GIT_FILEMODE_UNREADABLE;
  const git_filemode_t mode = git_tree_entry_filemode(history->entry);
  *id = *git_tree_entry_id(history->entry);
  let_go(history);
  return mode;
}

/// A blob's bytes in the arena.
static enum pl_file_status read_blob(struct pl_history *history, struct pl_arena *arena,
                                     const git_oid *id, const unsigned char **bytes,
                                     size_t *length) {
  if (git_blob_lookup(&history->blob, history->repository, id) != 0) return PL_FILE_UNREADABLE;
  const git_object_size_t size = git_blob_rawsize(history->blob);
  if (size <= PL_FILE_LIMIT) {
    *length = (size_t)size;
    *bytes =
        (const unsigned char *)pl_copy_text(arena, git_blob_rawcontent(history->blob), *length);
  }
  let_go(history);
  return size > PL_FILE_LIMIT ? PL_FILE_TOO_LARGE : PL_FILE_OK;
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

/// Most links on the way to a file, as on the disk: a circle of them ends.
#define LINK_LIMIT 40

enum pl_file_status pl_history_find(struct pl_history *history, struct pl_arena *arena,
                                    const char *path, struct pl_found *found) {
  for (int links = 0; links <= LINK_LIMIT; links++) {
    git_oid id;
    const git_filemode_t mode = mode_at(history, path, &id);
    if (mode == GIT_FILEMODE_TREE) return PL_FILE_FOLDER;
    if (mode == GIT_FILEMODE_COMMIT) return PL_FILE_NOT_PLAIN;
    if (mode != GIT_FILEMODE_UNREADABLE && mode != GIT_FILEMODE_LINK) {
      found->path = path;
      git_oid_tostr(found->id, sizeof found->id, &id);
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
  if (git_oid_fromstr(&id, found->id) != 0) return PL_FILE_UNREADABLE;
  return read_blob(history, arena, &id, bytes, length);
}

bool pl_history_has(struct pl_history *history, const char *path, const unsigned char *bytes,
                    size_t length) {
  git_oid there;
  git_oid own;
  const git_filemode_t mode = mode_at(history, path, &there);
  return (mode == GIT_FILEMODE_BLOB || mode == GIT_FILEMODE_BLOB_EXECUTABLE) &&
         git_odb_hash(&own, bytes, length, GIT_OBJECT_BLOB) == 0 && git_oid_equal(&own, &there);
}

// ---------------------------------------------------------------- renames

/// The differences between a commit and the one before it, held until let_go.
static bool hold_diff(struct pl_history *history, size_t which) {
  if (which == 0 || !hold_commit(history, which - 1)) return false;
  if (git_commit_tree(&history->trees[0], history->commit) != 0) return false;
  git_commit_free(history->commit);
  history->commit = NULL;
  if (!hold_commit(history, which)) return false;
  if (git_commit_tree(&history->trees[1], history->commit) != 0) return false;
  git_diff_find_options find;
  if (git_diff_find_options_init(&find, GIT_DIFF_FIND_OPTIONS_VERSION) != 0) return false;
  find.flags = GIT_DIFF_FIND_RENAMES;
  return git_diff_tree_to_tree(&history->diff, history->repository, history->trees[0],
                               history->trees[1], NULL) == 0 &&
         git_diff_find_similar(history->diff, &find) == 0;
}

const char *pl_history_renamed_from(struct pl_history *history, struct pl_arena *arena,
                                    size_t which, const char *path) {
  const char *old = NULL;
  if (hold_diff(history, which)) {
    const size_t count = git_diff_num_deltas(history->diff);
    for (size_t i = 0; i < count && old == NULL; i++) {
      const git_diff_delta *const delta = git_diff_get_delta(history->diff, i);
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
  const size_t count = git_index_entrycount(history->index);
  for (size_t i = 0; i < count; i++) {
    const git_index_entry *const entry = git_index_get_byindex(history->index, i);
    if (strcmp(name_of(entry->path), places->name) != 0) continue;
    note(arena, &places->named, &places->several_named, entry->path);
    if (git_oid_equal(&entry->id, &places->id))
      note(arena, &places->same, &places->several_same, entry->path);
  }
}

const char *pl_history_place_of(struct pl_history *history, struct pl_arena *arena,
                                const char *name, const unsigned char *bytes, size_t length) {
  struct places places = {.name = name};
  if (git_odb_hash(&places.id, bytes, length, GIT_OBJECT_BLOB) != 0) return NULL;
  if (git_repository_index(&history->index, history->repository) == 0)
    note_all(history, arena, &places);
  let_go(history);
  if (git_revparse_single(&history->objects[0], history->repository, "HEAD^{tree}") == 0 &&
      git_index_new(&history->index) == 0 &&
      git_index_read_tree(history->index, (const git_tree *)history->objects[0]) == 0)
    note_all(history, arena, &places);
  let_go(history);
  if (places.named != NULL && !places.several_named) return places.named;
  return places.several_same ? NULL : places.same;
}
