// SPDX-License-Identifier: GPL-3.0-or-later
// history: the commits of a git work tree, and the files as they stood in them. It belongs to
// base; the files behind it are the only ones that know libgit2, which is loaded when a history
// is opened.
#ifndef PITLEAF_HISTORY_H
#define PITLEAF_HISTORY_H

#include "pitleaf/base.h"

/// A repository with a work tree, and a line of its commits once one was chosen.
struct pl_history;

enum pl_history_status {
  PL_HISTORY_OK,
  PL_HISTORY_NO_REPOSITORY, ///< the folder is in no work tree of git
  PL_HISTORY_NOT_YOURS,     ///< it belongs to another user, whom git's settings do not trust
  PL_HISTORY_NO_WORK_TREE,  ///< the repository is bare
  PL_HISTORY_NO_COMMIT,     ///< nothing is committed yet
  PL_HISTORY_NO_REVISION,   ///< the range names what is not there
  PL_HISTORY_TWO_LINES,     ///< `A...B`, which is no line of commits
  PL_HISTORY_NO_LIBRARY,    ///< libgit2 is not there; the reason says what to install
  PL_HISTORY_UNREADABLE     ///< the reason says why
};

/// Opens the repository whose work tree holds `folder`; null: the one that git's environment
/// names (GIT_DIR), else that of the working folder. What libgit2 holds for it is given back
/// with `arena`, which owns `*reason`, too. Null in `*history` unless OK.
enum pl_history_status pl_history_open(struct pl_arena *arena, const char *folder,
                                       struct pl_history **history, const char **reason);

/// The real path of the top folder of the work tree.
const char *pl_history_top(const struct pl_history *history);

/// Chooses a line of commits that goes from each commit to its first parent, and a range on it,
/// which is as git has it: "A..B", "A..", a revision; null: up to HEAD. The line is that of
/// HEAD if the range ends on it, so that a file can be followed from its present name;
/// otherwise it ends with the range.
struct pl_history_line {
  size_t count;  ///< of commits, the oldest is 0
  size_t first;  ///< the first of the range
  size_t end;    ///< behind its last one; not above `first`: the range is empty
  bool open_end; ///< the range does not say where it ends
};
enum pl_history_status pl_history_choose(struct pl_history *history, const char *range,
                                         struct pl_history_line *line, const char **reason);

/// Does the line begin where an older commit is not there: in a shallow clone, or where a
/// repository is damaged?
bool pl_history_is_cut(const struct pl_history *history);

/// A commit of the line in words. Texts are as they were written.
struct pl_commit {
  const char *id;      ///< all of it, hexadecimal
  const char *brief;   ///< as many digits as tell it from the others
  const char *date;    ///< of its author: year-month-day
  const char *time;    ///< the same as ISO 8601 with the time and the zone
  const char *subject; ///< the first paragraph of the message, on one line
};
/// False if it cannot be read.
bool pl_history_commit(struct pl_history *history, struct pl_arena *arena, size_t which,
                       struct pl_commit *commit);

/// Looks from now on into the files of that commit. False if they cannot be read.
bool pl_history_look_at(struct pl_history *history, size_t which);

/// A file of the commit that is looked at.
struct pl_found {
  const char *path; ///< from the top folder; another one than was asked for where links lead
  char id[65];      ///< of its bytes
};
/// Looks for a plain file. `path` counts from the top folder and has no "." and "..". Links are
/// followed within the commit.
enum pl_file_status pl_history_find(struct pl_history *history, struct pl_arena *arena,
                                    const char *path, struct pl_found *found);
/// Its bytes, with a NUL behind them; owned by `arena`.
enum pl_file_status pl_history_read(struct pl_history *history, struct pl_arena *arena,
                                    const struct pl_found *found, const unsigned char **bytes,
                                    size_t *length);

/// Has the commit a plain file at that path with these bytes?
bool pl_history_has(struct pl_history *history, const char *path, const unsigned char *bytes,
                    size_t length);

/// The path that the file `path`, which is new in commit `which`, had in the one before; null
/// if it is a new file, or if that cannot be told.
const char *pl_history_renamed_from(struct pl_history *history, struct pl_arena *arena,
                                    size_t which, const char *path);

/// The path in the work tree, from its top, of a file of which only the name and the bytes are
/// known: the only tracked one of that name, or the only one of them with those bytes, in the
/// index or in HEAD. Null if none is, or several are.
const char *pl_history_place_of(struct pl_history *history, struct pl_arena *arena,
                                const char *name, const unsigned char *bytes, size_t length);

#endif
