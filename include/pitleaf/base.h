// SPDX-License-Identifier: GPL-3.0-or-later
// base: what every other room stands on. Memory, names, source text, problems, files.
#ifndef PITLEAF_BASE_H
#define PITLEAF_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

// ---------------------------------------------------------------- limits

/// The limits of limits.def, as numbers: PL_MOST_FILE_BYTES and so on.
enum {
#define PL_LIMIT(id, number, what, why) PL_MOST_##id = (number),
#include "pitleaf/limits.def"
#undef PL_LIMIT
};

/// One row of the table of limits.
struct pl_limit_row {
  const char *id;
  int number;
  const char *what;
  const char *why;
};

/// The rows, in the table's order.
const struct pl_limit_row *pl_limit_rows(size_t *count);

// ---------------------------------------------------------------- memory

/// A pool of memory that is freed at once. Nothing that it hands out is freed singly.
/// When memory runs out, control goes back to the innermost `pl_with_memory` on the arena's
/// guard; a caller of `pl_alloc` therefore never sees a null pointer.
struct pl_arena;

/// Where control returns to when memory runs out; shared by all arenas of one run.
struct pl_guard;

/// A new guard, or null when there is no memory for it. Free it with `pl_guard_free`.
struct pl_guard *pl_guard_new(void);
void pl_guard_free(struct pl_guard *guard);

/// Calls `work(context)`. Returns false if memory ran out inside it; what `work` had put into
/// arenas is then still owned by them and must only be freed. Calls may nest.
bool pl_with_memory(struct pl_guard *guard, void (*work)(void *context), void *context);

/// A new arena whose failures go to `guard`. Call it inside `pl_with_memory`.
/// The caller frees it with `pl_arena_free` (null is allowed there).
struct pl_arena *pl_arena_new(struct pl_guard *guard);
void pl_arena_free(struct pl_arena *arena);

/// Forgets everything the arena handed out and keeps its blocks of the usual size, zeroed, for
/// the next use.
void pl_arena_reset(struct pl_arena *arena);

/// How far an arena is filled.
struct pl_arena_mark {
  const void *block;
  size_t used_of_block;
  const void *ending;
  size_t used;
};

struct pl_arena_mark pl_arena_mark(const struct pl_arena *arena);
/// Forgets what the arena handed out since the mark, which must be its own; nothing that is
/// older may have grown meanwhile.
void pl_arena_rewind(struct pl_arena *arena, struct pl_arena_mark mark);

/// Has `end(thing)` called when the arena is freed or reset, the newest first: for what another
/// library owns, so that it is given back also when memory runs out, be it here. `thing` may
/// stand in the arena.
void pl_arena_at_end(struct pl_arena *arena, void (*end)(void *thing), void *thing);

/// Gives up as the arena does when memory runs out: for what another library could not get.
_Noreturn void pl_out_of_memory(const struct pl_arena *arena);

/// The bytes that the arena has handed out since it was new or reset.
size_t pl_arena_used(const struct pl_arena *arena);

/// `size` bytes, zeroed and aligned for any type. A size of zero gives a valid pointer.
void *pl_alloc(struct pl_arena *arena, size_t size);

/// `count * size` bytes, zeroed; a product that overflows counts as no memory.
void *pl_alloc_array(struct pl_arena *arena, size_t count, size_t size);

/// Room for one more in a growing array: returns `items`, or a larger copy, and raises
/// `*capacity` when `count == *capacity`.
void *pl_grow(struct pl_arena *arena, void *items, size_t count, size_t *capacity, size_t size);

/// A copy of `length` bytes with a NUL behind it.
const char *pl_copy_text(struct pl_arena *arena, const char *bytes, size_t length);

/// The two texts, one behind the other.
const char *pl_join(struct pl_arena *arena, const char *first, const char *second);

/// Text made as by `snprintf`, in the arena.
const char *pl_format(struct pl_arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
const char *pl_format_list(struct pl_arena *arena, const char *format, va_list list)
    __attribute__((format(printf, 2, 0)));

/// Text that grows. `bytes` is always NUL-terminated once anything was added.
struct pl_buffer {
  struct pl_arena *arena;
  char *bytes;
  size_t length;
  size_t capacity;
};

void pl_buffer_add(struct pl_buffer *buffer, const char *bytes, size_t length);
void pl_buffer_text(struct pl_buffer *buffer, const char *text);
void pl_buffer_repeat(struct pl_buffer *buffer, char byte, size_t count);
void pl_buffer_format(struct pl_buffer *buffer, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/// The text so far; "" when nothing was added. Owned by the arena.
const char *pl_buffer_string(struct pl_buffer *buffer);

// ---------------------------------------------------------------- names

/// One copy of each name, so that names compare by address.
struct pl_names;

struct pl_names *pl_names_new(struct pl_arena *arena);

/// The one copy of these bytes; lives as long as the arena of `names`. Never null.
const char *pl_intern(struct pl_names *names, const char *bytes, size_t length);

/// A map from text to pointer. Keys are compared by their bytes and must outlive the map.
struct pl_map;

struct pl_map *pl_map_new(struct pl_arena *arena);
/// The value of the key, or null.
void *pl_map_get(const struct pl_map *map, const char *key);
/// Sets the key's value; returns the value that it replaces, or null.
void *pl_map_set(struct pl_map *map, const char *key, void *value);

/// The one of `candidates` that a slip of typing is most likely to have meant, or null when
/// none is near: at most one edit for short words, one in three letters for longer ones
/// (optimal string alignment distance).
const char *pl_nearest(const char *word, const char *const *candidates, size_t count);

// ---------------------------------------------------------------- source text

/// Line and column of a place in a source; both count from 1, the column in characters.
struct pl_position {
  uint32_t line;
  uint32_t column;
};

/// A file as it was read: UTF-8 bytes with a NUL behind them (not counted in `length`).
struct pl_source {
  const char *path;           ///< as shown to the user
  const char *real_path;      ///< absolute, without links; "" for standard input
  const unsigned char *bytes; ///< length + 1 bytes, the last is NUL
  size_t length;
  const struct pl_position *marked; ///< see pl_source_mark; null: nothing is marked
};

/// A part of a source, from byte `start` up to but not including byte `end`.
struct pl_span {
  const struct pl_source *source; ///< null: nowhere in particular
  uint32_t start;
  uint32_t end;
};

/// Marks the positions of places throughout a source, so that `pl_position` need not count from
/// its start. The bytes must stand; the marks are owned by the arena.
void pl_source_mark(struct pl_arena *arena, struct pl_source *source);

/// Line and column of the start of a span; 1 and 1 where it is nowhere.
struct pl_position pl_position(struct pl_span span);

/// From the start of `first` to the end of `last`, both in one source.
struct pl_span pl_span_join(struct pl_span first, struct pl_span last);

// ---------------------------------------------------------------- problems

enum pl_severity { PL_WARNING, PL_ERROR };

/// The codes of the diagnostics table, in its order.
enum pl_code {
#define PL_DIAGNOSTIC(id, code, severity, text, mend) PL_##id,
#include "pitleaf/diagnostics.def"
#undef PL_DIAGNOSTIC
  PL_CODE_COUNT
};

/// What fills the places `{1}` to `{5}` of a row's text and mend; null where unused. The mend
/// is printed when each place it has is filled.
struct pl_words {
  const char *word[6];
};

#define PL_WORDS(...) ((struct pl_words){{__VA_ARGS__, NULL}})
#define PL_NO_WORDS   PL_WORDS(NULL)

/// A second place that belongs to a problem ("the other value is here").
struct pl_related {
  struct pl_span span;
  const char *message;
};

struct pl_diagnostic {
  enum pl_code code;
  struct pl_span span;
  const char *message;
  const char *hint; ///< the mend, or ""
  /// What may stand in place of the span to mend it ("did you mean …?"), with its quotes; null
  /// where the mend is no single word.
  const char *replacement;
  struct pl_related related[2];
  size_t related_count;
};

/// The problems of one run, in the order in which they were found.
struct pl_diagnostics {
  struct pl_arena *arena;
  struct pl_diagnostic *items;
  size_t count;
  size_t capacity;
  size_t errors;
  size_t warnings;
  size_t mends;   ///< that were looked for
  size_t reports; ///< by pl_report, also those that were not kept: said already, or too many
  struct pl_problem_index *index; ///< what stands already, see diagnostics.c
};

/// One row of the diagnostics table.
struct pl_diagnostic_row {
  const char *code;
  enum pl_severity severity;
  const char *text;
  const char *mend;
};

extern const struct pl_diagnostic_row pl_diagnostic_rows[PL_CODE_COUNT];

struct pl_diagnostics *pl_diagnostics_new(struct pl_arena *arena);

/// Adds a problem with the words filled in. A problem that stands already (same code, place and
/// words) is not added again. Returns the problem for `pl_relate`, or null if it was not added.
struct pl_diagnostic *pl_report(struct pl_diagnostics *list, enum pl_code code,
                                struct pl_span span, struct pl_words words);

/// Does the list hold all problems of this file that it ever will?
bool pl_diagnostics_full(const struct pl_diagnostics *list, const struct pl_source *source);

/// Is the word that was meant to be looked for among all names that there are, of a problem
/// that is about to be reported in this file? Not where the file is full, nor when that was
/// done so often that more would take long (PL_MOST_MENDS); asking counts.
bool pl_mend_wanted(struct pl_diagnostics *list, const struct pl_source *source);

/// Adds a problem of another list, if it does not stand here already.
void pl_report_again(struct pl_diagnostics *list, const struct pl_diagnostic *problem);

/// Adds a second place to a problem; `problem` may be null.
void pl_relate(struct pl_diagnostic *problem, struct pl_span span, const char *message);

/// The problems sorted by file (in order of first appearance) and place. Owned by the arena.
const struct pl_diagnostic **pl_diagnostics_sorted(const struct pl_diagnostics *list);

// ---------------------------------------------------------------- files

enum pl_file_status {
  PL_FILE_OK,
  PL_FILE_MISSING,   ///< no such file
  PL_FILE_FOLDER,    ///< it is a folder
  PL_FILE_NOT_PLAIN, ///< a FIFO, socket or device
  PL_FILE_TOO_LARGE, ///< over PL_MOST_FILE_BYTES
  PL_FILE_OUTSIDE,   ///< outside the allowed roots
  PL_FILE_UNREADABLE ///< permissions, or the disk; what it is more than this is `errno`
};

/// Reads a plain file whole into `*source`. `real_path` must be free of links (from
/// `pl_real_path`): it is opened part by part without following any, also one that was put
/// there since. Never blocks on a FIFO. A file that grows meanwhile is read anew.
enum pl_file_status pl_read_source(struct pl_arena *arena, const char *shown_path,
                                   const char *real_path, struct pl_source **source);

/// Reads all of an open file descriptor (standard input) into `*source`.
enum pl_file_status pl_read_stream(struct pl_arena *arena, const char *shown_path, int file,
                                   struct pl_source **source);

/// The problem that says why a file that a command names was not read.
enum pl_code pl_file_problem(enum pl_file_status status);

/// What the system says of a file that is unreadable.
const char *pl_file_reason(enum pl_file_status status);
/// SHA-256 of the source's bytes, in 64 lower-case hexadecimal digits.
const char *pl_source_digest(struct pl_arena *arena, const struct pl_source *source);
/// Do both have the same bytes?
bool pl_source_same(const struct pl_source *a, const struct pl_source *b);

/// A source made of bytes that are already in memory (they are copied).
struct pl_source *pl_source_of_bytes(struct pl_arena *arena, const char *shown_path,
                                     const unsigned char *bytes, size_t length);

/// The absolute path without links, or null with the reason in `*status`.
const char *pl_real_path(struct pl_arena *arena, const char *path, enum pl_file_status *status);

/// The folder part of a path ("." when it has none).
const char *pl_folder_of(struct pl_arena *arena, const char *path);

/// `folder/path`, without a needless "./".
const char *pl_join_path(struct pl_arena *arena, const char *folder, const char *path);

/// True if the real path `path` is `folder` or lies below it.
bool pl_path_inside(const char *path, const char *folder);

/// True if both paths lead to one plain file, by whatever links. `*error` is 0, or the `errno`
/// for which that cannot be told.
bool pl_same_file(const char *one, const char *other, int *error);

/// What is the same for all paths that lead to one plain file, by whatever links; null where
/// the path leads to none. Owned by `arena`.
const char *pl_file_identity(struct pl_arena *arena, const char *path);

/// True if the path leads to a folder.
bool pl_is_folder(const char *path);

/// Makes a folder where there is none yet. Returns 0, or the value of `errno`.
int pl_make_folder(const char *path);

/// The top folder of the version-control work tree that holds `real_folder`, or null.
const char *pl_work_tree(struct pl_arena *arena, const char *real_folder);

/// Writes the bytes to a new file beside `path` and then renames it to `path`, so that the file
/// is whole or untouched. Returns 0, or the value of `errno`.
int pl_write_whole(const char *path, const unsigned char *bytes, size_t length);

#endif
