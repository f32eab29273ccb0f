// SPDX-License-Identifier: GPL-3.0-or-later
// Compare for git: as the command that shows a difference, and as the converter to plain text.
#include "pitleaf/history.h"
#include "room.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

// ---------------------------------------------------------------- the diff command

/// A version of a file as git hands it over.
struct version {
  const char *file; ///< where its bytes are: a temporary file, the file itself, /dev/null
  const char *mode; ///< "100644"; "." for nothing
  const char *path; ///< in the work tree, whose top folder is the working folder
};

static bool is_nothing(const struct version *version) {
  return strcmp(version->file, "/dev/null") == 0;
}

static bool is_plain(const struct version *version) {
  return is_nothing(version) || strncmp(version->mode, "100", 3) == 0;
}

/// The path from the top folder. `git diff --relative` leaves out the folder that it was called
/// in, which git then names in its environment as it does without --relative.
static const char *path_from_top(struct run *run, const char *path, const char *old_file,
                                 const char *new_file) {
  const char *const prefix = getenv("GIT_PREFIX");
  if (prefix == NULL || prefix[0] == '\0') return path;
  const char *const longer = pl_join(run->arena, prefix, path);
  if (strcmp(old_file, longer) == 0 || strcmp(new_file, longer) == 0) return longer;
  if (strcmp(old_file, path) == 0 || strcmp(new_file, path) == 0) return path;
  return access(path, F_OK) != 0 && access(longer, F_OK) == 0 ? longer : path;
}

/// The version's bytes as a source that stands at its path in the work tree; null if they
/// cannot be read. No file is one without a line.
static struct pl_source *source_of(struct pl_arena *arena, const struct version *version) {
  enum pl_file_status status = PL_FILE_OK;
  struct pl_source *source = NULL;
  const char *const here = pl_real_path(arena, ".", &status);
  const char *const real =
      is_nothing(version) || here == NULL ? NULL : pl_real_path(arena, version->file, &status);
  if (is_nothing(version))
    source = pl_source_of_bytes(arena, version->path, (const unsigned char *)"", 0);
  else if (real != NULL)
    status = pl_read_source(arena, version->path, real, &source);
  if (status != PL_FILE_OK || source == NULL) return NULL;
  source->real_path = pl_join_path(arena, here, version->path);
  return source;
}

static struct pl_program *program_of(struct run *run, struct pl_arena *arena,
                                     const struct version *version) {
  struct pl_source *const source = source_of(arena, version);
  if (source == NULL) return NULL;
  return pl_program_of_source(run->session, arena, source,
                              pl_folder_of(arena, source->real_path));
}

static void note_first(void *context, const struct pl_block *block, bool in_main) {
  const struct pl_block **const first = context;
  if (in_main && *first == NULL) *first = block;
}

/// The system that the options name, else that of the program's first setup.
static enum pl_unit_system system_of_program(const struct run *run,
                                             struct pl_program *program) {
  const struct pl_block *first = NULL;
  pl_program_each(program, PL_BLOCK_SETUP, note_first, (void *)&first);
  return system_of(run, first == NULL ? NULL : pl_program_setup(program, first->name));
}

/// The line above what differs: the file, and whether it is new, gone or renamed.
static const char *heading(struct run *run, const struct version *old,
                           const struct version *now) {
  struct pl_arena *const arena = run->arena;
  const char *const own = pl_text_safe(arena, now->path);
  const bool renamed = strcmp(old->path, now->path) != 0;
  const char *const words =
      is_nothing(old)   ? pl_format(arena, "%s is new", own)
      : is_nothing(now) ? pl_format(arena, "%s is removed", own)
      : renamed         ? pl_format(arena, "%s → %s", pl_text_safe(arena, old->path), own)
                        : own;
  const bool colour = run->options->colour_out;
  return pl_format(arena, "%s%s%s\n", colour ? "\x1b[1m" : "", words, colour ? "\x1b[0m" : "");
}

/// What differs in the text. `is_told`: something was said already, so that a text which is the
/// same needs no more words.
static const char *difference(struct run *run, const struct version *old,
                              const struct version *now, bool is_told) {
  if (!is_plain(old) || !is_plain(now)) return "  it is, or was, no plain file\n";
  struct pl_program *const before = program_of(run, new_arena(run), old);
  struct pl_program *const after = program_of(run, new_arena(run), now);
  if (before == NULL || after == NULL) return "  it cannot be read\n";
  const bool same_text = pl_source_same(pl_program_source(before), pl_program_source(after));
  if (same_text && is_told) return "";
  struct pl_text_style style = style_of(run, NULL);
  style.system = system_of_program(run, is_nothing(now) ? before : after);
  return pl_difference_text(run->arena, before, after, &style);
}

void compare_for_git(struct run *run) {
  const char *const *const words = run->options->words;
  const size_t count = run->options->word_count;
  if (count == 1) {
    put_text(run, pl_format(run->arena, "%s\n  not merged yet: mend the conflict first\n",
                            pl_text_safe(run->arena, words[0])));
    return;
  }
  const char *const path = path_from_top(run, words[0], words[1], words[4]);
  const char *const new_path =
      count == 9 ? path_from_top(run, words[7], words[1], words[4]) : path;
  const struct version old = {words[1], words[3], path};
  const struct version now = {words[4], words[6], new_path};
  put_text(run, heading(run, &old, &now));
  const bool both = !is_nothing(&old) && !is_nothing(&now);
  const bool new_mode = both && strcmp(old.mode, now.mode) != 0;
  if (new_mode)
    put_text(run, pl_format(run->arena, "  mode %s → %s\n", pl_text_safe(run->arena, old.mode),
                            pl_text_safe(run->arena, now.mode)));
  const bool is_told = new_mode || (both && strcmp(old.path, now.path) != 0) ||
                       is_nothing(&old) || is_nothing(&now);
  put_text(run, difference(run, &old, &now, is_told));
}

// ---------------------------------------------------------------- the converter

/// The place in the work tree of a file that git wrote elsewhere; null if that cannot be told.
/// Its name is the file's own or, by an older git, has six letters and a low line before it.
static const char *place_of(struct run *run, const struct pl_source *source) {
  struct pl_arena *const arena = run->arena;
  struct pl_history *history = NULL;
  const char *reason = "";
  if (pl_history_open(arena, NULL, &history, &reason) != PL_HISTORY_OK) return NULL;
  const char *const stroke = strrchr(source->real_path, '/');
  const char *const name = stroke == NULL ? source->real_path : stroke + 1;
  const char *place = pl_history_place_of(history, arena, name, source->bytes, source->length);
  if (place == NULL && strlen(name) > 7 && name[6] == '_')
    place = pl_history_place_of(history, arena, name + 7, source->bytes, source->length);
  return place == NULL ? NULL : pl_join_path(arena, pl_history_top(history), place);
}

void convert_for_git(struct run *run) {
  struct pl_arena *const arena = new_arena(run);
  struct pl_figure_choice choice;
  if (!read_choice_or_told(run, &choice)) return;
  struct pl_program *program = pl_program_load(run->session, arena, run->options->words[0]);
  if (pl_program_unreadable(program)) {
    put_problems(run, program, NULL);
    return;
  }
  const struct pl_source *const source = pl_program_source(program);
  const char *const folder = pl_folder_of(arena, source->real_path);
  const bool is_elsewhere = source->real_path[0] != '\0' && pl_work_tree(arena, folder) == NULL;
  const char *const place = is_elsewhere ? place_of(run, source) : NULL;
  if (place != NULL) {
    struct pl_source *const moved =
        pl_source_of_bytes(arena, place, source->bytes, source->length);
    moved->real_path = place;
    program = pl_program_of_source(run->session, arena, moved, pl_folder_of(arena, place));
  }
  put_text(run, pl_flat_text(arena, program, &choice, system_of_program(run, program)));
}
