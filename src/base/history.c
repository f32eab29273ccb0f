// SPDX-License-Identifier: GPL-3.0-or-later
// History: a repository, and a line of its commits. history_files.c looks into their files.
//
// What libgit2 hands out hangs in `struct pl_history` while it is held, so that it is given
// back also when an arena's failure jumps. No arena is asked from within a callback of libgit2.
#include "git.h"

#include <string.h>
#include <time.h>

void let_go(struct pl_history *history) {
  const struct git *const git = history->git;
  for (size_t i = 0; i < 2; i++) {
    git->object_free(history->objects[i]);
    git->tree_free(history->trees[i]);
    history->objects[i] = NULL;
    history->trees[i] = NULL;
  }
  git->commit_free(history->commit);
  git->tree_entry_free(history->entry);
  git->blob_free(history->blob);
  git->diff_free(history->diff);
  git->index_free(history->index);
  git->buf_dispose(&history->brief);
  history->commit = NULL;
  history->entry = NULL;
  history->blob = NULL;
  history->diff = NULL;
  history->index = NULL;
}

static void end(void *thing) {
  struct pl_history *const history = thing;
  const struct git *const git = history->git;
  let_go(history);
  git->tree_free(history->tree);
  git->repository_free(history->repository);
  git->libgit2_shutdown();
}

/// What libgit2 says of its last failure.
static const char *last_words(const struct pl_history *history) {
  const git_error *const error = history->git->error_last();
  const char *const words = error == NULL || error->message == NULL ? "" : error->message;
  return pl_copy_text(history->arena, words, strlen(words));
}

// ---------------------------------------------------------------- the repository

enum pl_history_status pl_history_open(struct pl_arena *arena, const char *folder,
                                       struct pl_history **history, const char **reason) {
  *history = NULL;
  *reason = "";
  struct pl_history *const own = pl_alloc(arena, sizeof *own);
  const struct git *const git = load_git(arena, reason);
  if (git == NULL) return PL_HISTORY_NO_LIBRARY;
  own->arena = arena;
  own->git = git;
  if (git->libgit2_init() < 0) return PL_HISTORY_UNREADABLE;
  pl_arena_at_end(arena, end, own);
  const unsigned flags = folder == NULL ? (unsigned)GIT_REPOSITORY_OPEN_FROM_ENV : 0;
  const int status = git->repository_open_ext(&own->repository, folder, flags, NULL);
  if (status != 0) *reason = last_words(own);
  // libgit2 1.5 calls a repository of another user not found, and says why by this setting.
  if (status == GIT_EOWNER || strstr(*reason, "safe.directory") != NULL)
    return PL_HISTORY_NOT_YOURS;
  if (status == GIT_ENOTFOUND) return PL_HISTORY_NO_REPOSITORY;
  if (status != 0) return PL_HISTORY_UNREADABLE;
  const char *const top = git->repository_workdir(own->repository);
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

bool pl_history_is_cut(const struct pl_history *history) {
  // As of 1.7 libgit2 has it that a shallow clone's oldest commit has no parent.
  return history->is_cut || history->git->repository_is_shallow(history->repository) == 1;
}

// ---------------------------------------------------------------- the line of commits

/// What can be reached from a revision, so that the line knows what is not of the range.
struct reached {
  struct pl_map *known; ///< by hexadecimal names
  git_oid *waiting;
  size_t count;
  size_t capacity;
};

static void reach(struct pl_history *history, struct reached *reached, const git_oid *id) {
  struct pl_arena *const arena = history->arena;
  char name[GIT_OID_HEXSZ + 1];
  history->git->oid_tostr(name, sizeof name, id);
  if (pl_map_get(reached->known, name) != NULL) return;
  pl_map_set(reached->known, pl_copy_text(arena, name, strlen(name)), reached);
  reached->waiting = pl_grow(arena, reached->waiting, reached->count, &reached->capacity,
                             sizeof *reached->waiting);
  reached->waiting[reached->count++] = *id;
}

/// Every commit from which one could have come to `from`. A parent that a shallow clone lacks
/// ends its branch.
static struct pl_map *reached_from(struct pl_history *history, const git_oid *from) {
  const struct git *const git = history->git;
  struct reached reached = {.known = pl_map_new(history->arena)};
  reach(history, &reached, from);
  while (reached.count > 0) {
    const git_oid id = reached.waiting[--reached.count];
    if (git->commit_lookup(&history->commit, history->repository, &id) != 0) continue;
    const unsigned parents = git->commit_parentcount(history->commit);
    for (unsigned i = 0; i < parents; i++)
      reach(history, &reached, git->commit_parent_id(history->commit, i));
    git->commit_free(history->commit);
    history->commit = NULL;
  }
  return reached.known;
}

/// From the newest commit to its first parent, and so on. False if the newest is not there.
static bool follow_first_parents(struct pl_history *history, const git_oid *newest) {
  const struct git *const git = history->git;
  git_oid next = *newest;
  history->count = 0;
  history->is_cut = true;
  while (git->commit_lookup(&history->commit, history->repository, &next) == 0) {
    history->line = pl_grow(history->arena, history->line, history->count, &history->capacity,
                            sizeof *history->line);
    history->line[history->count++] = next;
    const bool is_last = git->commit_parentcount(history->commit) == 0;
    if (!is_last) next = *git->commit_parent_id(history->commit, 0);
    git->commit_free(history->commit);
    history->commit = NULL;
    history->is_cut = !is_last;
    if (is_last) break;
  }
  return history->count > 0;
}

/// How many commits of the line are newer than that one: all of them if it is not on the line.
static size_t count_newer(const struct pl_history *history, const git_oid *id) {
  size_t newer = 0;
  while (newer < history->count && !history->git->oid_equal(&history->line[newer], id)) newer++;
  return newer;
}

/// How many of the line's oldest commits can be reached from `from`: all of those that can.
static size_t count_reached(struct pl_history *history, const git_oid *from) {
  struct pl_map *const known = reached_from(history, from);
  size_t newer = 0;
  for (; newer < history->count; newer++) {
    char name[GIT_OID_HEXSZ + 1];
    history->git->oid_tostr(name, sizeof name, &history->line[newer]);
    if (pl_map_get(known, name) != NULL) break;
  }
  return history->count - newer;
}

/// Reads one end of a range; a tag counts as its commit.
static bool peel(struct pl_history *history, git_object *object, size_t which, git_oid *id) {
  const struct git *const git = history->git;
  history->objects[which] = object;
  git_object *commit = NULL;
  if (object == NULL || git->object_peel(&commit, object, GIT_OBJECT_COMMIT) != 0) return false;
  *id = *git->object_id(commit);
  git->object_free(commit);
  return true;
}

enum pl_history_status pl_history_choose(struct pl_history *history, const char *range,
                                         struct pl_history_line *line, const char **reason) {
  const struct git *const git = history->git;
  *reason = "";
  *line = (struct pl_history_line){.open_end = range == NULL};
  if (git->repository_head_unborn(history->repository) == 1 && range == NULL)
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
  if (git->revparse(&ends, history->repository, whole) != 0) {
    *reason = last_words(history);
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
  const bool has_head = git->reference_name_to_id(&head, history->repository, "HEAD") == 0;
  size_t newer = has_head && follow_first_parents(history, &head)
                     ? count_newer(history, &newest)
                     : history->count;
  if (newer == history->count) {
    if (!follow_first_parents(history, &newest)) {
      *reason = last_words(history);
      return PL_HISTORY_UNREADABLE;
    }
    newer = 0;
  }
  line->count = history->count;
  line->end = history->count - newer;
  line->first = is_single ? 0 : count_reached(history, &from);
  return PL_HISTORY_OK;
}

bool hold_commit(struct pl_history *history, size_t which) {
  if (which >= history->count) return false;
  const git_oid *const id = &history->line[history->count - 1 - which];
  return history->git->commit_lookup(&history->commit, history->repository, id) == 0;
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
  const struct git *const git = history->git;
  if (!hold_commit(history, which)) return false;
  char id[GIT_OID_HEXSZ + 1];
  git->oid_tostr(id, sizeof id, git->commit_id(history->commit));
  commit->id = pl_copy_text(arena, id, strlen(id));
  const bool is_brief =
      git->object_short_id(&history->brief, (const git_object *)history->commit) == 0;
  const char *const brief = is_brief ? history->brief.ptr : id;
  commit->brief = pl_copy_text(arena, brief, strlen(brief));
  const char *const subject = git->commit_summary(history->commit);
  commit->subject = subject == NULL ? "" : pl_copy_text(arena, subject, strlen(subject));
  write_time(arena, git->commit_author(history->commit)->when, commit);
  let_go(history);
  return true;
}
