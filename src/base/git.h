// SPDX-License-Identifier: GPL-3.0-or-later
// libgit2, as the files of the history know it: a table of its functions, which are looked up
// when a history is opened. The program is not linked with it, because its fifteen libraries
// would more than double the time in which every command starts.
#ifndef PITLEAF_BASE_GIT_H
#define PITLEAF_BASE_GIT_H

#include "pitleaf/history.h"

#include <git2.h>

/// The functions that are used, without the `git_` before their names.
#define GIT_FUNCTIONS(X)                                                                       \
  X(blob_free)                                                                                 \
  X(blob_lookup)                                                                               \
  X(blob_rawcontent)                                                                           \
  X(blob_rawsize)                                                                              \
  X(buf_dispose)                                                                               \
  X(commit_author)                                                                             \
  X(commit_free)                                                                               \
  X(commit_id)                                                                                 \
  X(commit_lookup)                                                                             \
  X(commit_parent_id)                                                                          \
  X(commit_parentcount)                                                                        \
  X(commit_summary)                                                                            \
  X(commit_tree)                                                                               \
  X(diff_find_options_init)                                                                    \
  X(diff_find_similar)                                                                         \
  X(diff_free)                                                                                 \
  X(diff_get_delta)                                                                            \
  X(diff_num_deltas)                                                                           \
  X(diff_tree_to_tree)                                                                         \
  X(error_last)                                                                                \
  X(index_entrycount)                                                                          \
  X(index_free)                                                                                \
  X(index_get_byindex)                                                                         \
  X(index_new)                                                                                 \
  X(index_read_tree)                                                                           \
  X(libgit2_init)                                                                              \
  X(libgit2_shutdown)                                                                          \
  X(object_free)                                                                               \
  X(object_id)                                                                                 \
  X(object_peel)                                                                               \
  X(object_short_id)                                                                           \
  X(odb_hash)                                                                                  \
  X(oid_equal)                                                                                 \
  X(oid_fromstr)                                                                               \
  X(oid_tostr)                                                                                 \
  X(reference_name_to_id)                                                                      \
  X(repository_free)                                                                           \
  X(repository_head_unborn)                                                                    \
  X(repository_index)                                                                          \
  X(repository_is_shallow)                                                                     \
  X(repository_open_ext)                                                                       \
  X(repository_workdir)                                                                        \
  X(revparse)                                                                                  \
  X(revparse_single)                                                                           \
  X(tree_entry_bypath)                                                                         \
  X(tree_entry_filemode)                                                                       \
  X(tree_entry_free)                                                                           \
  X(tree_entry_id)                                                                             \
  X(tree_free)

/// Pointers to them. `__typeof__` is an extension that gcc and clang share: each pointer has
/// the type that libgit2's own header declares, and the compiler checks every call as if the
/// function were linked.
struct git {
// NOLINTNEXTLINE(bugprone-macro-parentheses): a name that is declared
#define GIT_MEMBER(name) __typeof__(&git_##name) name;
  GIT_FUNCTIONS(GIT_MEMBER)
#undef GIT_MEMBER
};

/// Loads the libgit2 of the version that the program was compiled with. Null if it is not there
/// or lacks a function: then `*reason` says so, with Debian's name for it. Both are owned by
/// `arena`. The library stays loaded to the end of the process.
const struct git *load_git(struct pl_arena *arena, const char **reason);

struct pl_history {
  struct pl_arena *arena;
  const struct git *git;
  const char *top;
  git_oid *line; ///< the newest first
  size_t count;
  size_t capacity;
  bool is_cut; ///< the line's oldest commit has a parent that is not there
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
void let_go(struct pl_history *history);

/// Holds the commit of that number, the oldest being 0, until let_go. False if it cannot be
/// read.
bool hold_commit(struct pl_history *history, size_t which);

#endif
