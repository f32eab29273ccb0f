// SPDX-License-Identifier: GPL-3.0-or-later
// The command log: a setup through its commits. A commit is loaded only if one of the files
// that the last load asked for is not as it was; what a load asks for is therefore written
// down.
#include "pitleaf/history.h"
#include "room.h"

#include <stdlib.h>
#include <string.h>

/// A path that a load asked for, from the top of the work tree, and what the commit had there.
struct asked {
  const char *path;
  const char *found; ///< another path where links lead; null: nothing was there
  const char *id;    ///< of the bytes; "" for nothing
};

/// The commit that is looked at, as a folder.
struct view {
  struct pl_history *history;
  const char *top;
  struct pl_arena *arena; ///< of what is written down
  struct asked *asked;
  size_t count;
  size_t capacity;
};

/// A version of the file that was loaded.
struct version {
  struct pl_arena *arena;
  struct pl_program *program; ///< null: none yet
  const struct pl_setup *setup;
  struct pl_figures *figures; ///< null for a file without setups
};

/// A log being made.
struct walk {
  struct run *run;
  struct pl_history *history;
  struct pl_history_line line;
  const char **paths; ///< of the file in each commit
  struct pl_figure_choice choice;
  struct view view;
  struct pl_stand_in stand_in;
  struct version good; ///< the last one without a mistake
  struct version next;
  struct pl_arena *scratch;
  bool is_there; ///< the last commit had the file
  bool was_told; ///< something of it was
  size_t entries;
};

// ---------------------------------------------------------------- a commit as a folder

static const char *below(const char *top, const char *path) {
  const size_t length = strlen(top);
  return path[length] == '\0' ? "" : path + length + 1;
}

static const struct asked *ask(struct view *view, const char *path) {
  for (size_t i = 0; i < view->count; i++) {
    if (strcmp(view->asked[i].path, path) == 0) return &view->asked[i];
  }
  return NULL;
}

static enum pl_file_status find(void *context, struct pl_arena *arena, const char *path,
                                const char **real_path) {
  struct view *const view = context;
  const char *const wanted = below(view->top, path);
  struct pl_found found = {.path = NULL};
  const enum pl_file_status status = pl_history_find(view->history, arena, wanted, &found);
  const bool is_found = status == PL_FILE_OK;
  if (is_found) *real_path = pl_join_path(arena, view->top, found.path);
  if (ask(view, wanted) != NULL) return status;
  view->asked =
      pl_grow(view->arena, view->asked, view->count, &view->capacity, sizeof *view->asked);
  view->asked[view->count++] = (struct asked){
      .path = pl_copy_text(view->arena, wanted, strlen(wanted)),
      .found = is_found ? pl_copy_text(view->arena, found.path, strlen(found.path)) : NULL,
      .id = pl_copy_text(view->arena, found.id, is_found ? strlen(found.id) : 0)};
  return status;
}

static enum pl_file_status read_found(void *context, struct pl_arena *arena,
                                      const char *real_path, const unsigned char **bytes,
                                      size_t *length) {
  const struct view *const view = context;
  struct pl_found found;
  const enum pl_file_status status =
      pl_history_find(view->history, arena, below(view->top, real_path), &found);
  if (status != PL_FILE_OK) return status;
  return pl_history_read(view->history, arena, &found, bytes, length);
}

/// The files that the last load asked for and that are not as they were; none: the commit need
/// not be loaded.
static const char **changed_files(struct walk *walk, size_t *count) {
  struct view *const view = &walk->view;
  const char **const files = pl_alloc_array(walk->scratch, view->count + 1, sizeof *files);
  *count = 0;
  for (size_t i = 0; i < view->count; i++) {
    struct pl_found found = {.path = NULL};
    const bool is_found = pl_history_find(view->history, walk->scratch, view->asked[i].path,
                                          &found) == PL_FILE_OK;
    if (strcmp(is_found ? found.id : "", view->asked[i].id) == 0) continue;
    files[(*count)++] =
        pl_copy_text(walk->scratch, view->asked[i].path, strlen(view->asked[i].path));
  }
  return files;
}

// ---------------------------------------------------------------- loading a version

static void count_setup(void *context, const struct pl_block *block, bool in_main) {
  (void)block;
  if (in_main) ++*(size_t *)context;
}

static bool has_setups(const struct pl_program *program) {
  size_t count = 0;
  pl_program_each(program, PL_BLOCK_SETUP, count_setup, &count);
  return count > 0;
}

/// Loads the file at a path from the top of the work tree: from the commit that is looked at,
/// or from the disk. False if it has a mistake.
static bool load(struct walk *walk, const char *path, bool from_disk) {
  struct version *const next = &walk->next;
  const struct options *const options = walk->run->options;
  pl_arena_reset(next->arena);
  if (!from_disk) {
    pl_arena_reset(walk->view.arena);
    walk->view.asked = NULL;
    walk->view.count = walk->view.capacity = 0;
  }
  const char *const top = pl_history_top(walk->history);
  const struct pl_session_options session = {.libraries = options->libraries,
                                             .library_count = options->library_count,
                                             .root =
                                                 options->root == NULL ? top : options->root,
                                             .stand_in = from_disk ? NULL : &walk->stand_in};
  next->program = pl_program_load(pl_session_new(next->arena, walk->run->guard, &session),
                                  next->arena, pl_join_path(next->arena, top, path));
  next->setup = NULL;
  next->figures = NULL;
  if (!pl_program_unreadable(next->program) &&
      (options->setup != NULL || has_setups(next->program)))
    next->setup = pl_program_setup(next->program, options->setup);
  if (next->setup != NULL) {
    next->figures = pl_figures_new(next->setup, NULL);
    pl_setup_check(next->setup);
    pl_figures_check(next->figures);
  }
  return pl_program_problems(next->program)->errors == 0;
}

/// What was loaded last is now the version that the next one is compared with.
static void keep(struct walk *walk) {
  const struct version kept = walk->next;
  walk->next.arena = walk->good.arena;
  walk->next.program = NULL;
  walk->good = kept;
}

/// A text without the top folder in front of its paths.
static const char *without_top(struct walk *walk, const char *text) {
  const char *const top = pl_format(walk->scratch, "%s/", pl_history_top(walk->history));
  struct pl_buffer out = {.arena = walk->scratch};
  for (const char *at = text; *at != '\0';) {
    const char *const next = strstr(at, top);
    const size_t length = next == NULL ? strlen(at) : (size_t)(next - at);
    pl_buffer_add(&out, at, length);
    at += length + (next == NULL ? 0 : strlen(top));
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- entries

static void put_entry(struct walk *walk, const struct pl_log_entry *entry,
                      const struct pl_setup *setup) {
  struct run *const run = walk->run;
  struct pl_arena *const arena = walk->scratch;
  const bool is_json = run->options->format == AS_JSON;
  const struct pl_text_style style = style_of(run, setup);
  // Of the first version every chosen figure has a value, where of a change few have moved.
  static const enum pl_figure first[] = {
      PL_FIGURE_WHEEL_RATE, PL_FIGURE_RIDE_FREQUENCY, PL_FIGURE_DAMPING_RATIO_SLOW,
      PL_FIGURE_DAMPING_RATIO_FAST, PL_FIGURE_PRELOAD_NEEDED};
  const struct pl_figure_choice few = {first, sizeof first / sizeof first[0]};
  const bool is_brief = entry->figures != NULL && run->options->only == NULL;
  const struct pl_figure_choice *const choice = is_brief ? &few : &walk->choice;
  if (is_json)
    put_text(run, pl_format(arena, "%s%s", walk->entries == 0 ? "" : ",\n",
                            pl_log_json(arena, entry, choice)));
  else
    put_text(run, pl_format(arena, "%s%s", walk->entries == 0 ? "" : "\n",
                            pl_log_text(arena, entry, choice, &style)));
  walk->entries++;
}

/// Tells of the version that was just loaded and, if it has no mistake, keeps it.
static void tell_version(struct walk *walk, struct pl_log_entry *entry, bool is_good) {
  struct version *const next = &walk->next;
  const struct version *const good = &walk->good;
  const struct pl_text_style style = style_of(walk->run, next->setup);
  if (next->setup != NULL) entry->setup = pl_setup_name(next->setup);
  const bool alike =
      good->program != NULL && (good->figures == NULL) == (next->figures == NULL);
  if (!is_good)
    entry->problem =
        without_top(walk, pl_problem_line(walk->scratch, pl_program_problems(next->program)));
  else if (alike && next->figures != NULL)
    entry->comparison = pl_compare(next->arena, good->figures,
                                   pl_figures_new(next->setup, good->figures), style.system);
  else if (alike)
    entry->lines = pl_difference_text(next->arena, good->program, next->program, &style);
  else
    entry->figures = next->figures;
  put_entry(walk, entry, next->setup);
  walk->was_told = true;
  if (is_good) keep(walk);
}

/// Has the commit that is looked at the file?
static bool has_file(struct walk *walk, size_t which) {
  struct pl_found found;
  return pl_history_look_at(walk->history, which) &&
         pl_history_find(walk->history, walk->scratch, walk->paths[which], &found) ==
             PL_FILE_OK;
}

/// Is there nothing to tell yet, because the version has no such setup?
static bool is_before_setup(const struct walk *walk) {
  const char *const name = walk->run->options->setup;
  const struct pl_program *const program = walk->next.program;
  return name != NULL && !walk->was_told && !pl_program_unreadable(program) &&
         pl_program_find(program, PL_BLOCK_SETUP, name) == NULL;
}

static const char *renamed_from(const struct walk *walk, size_t which) {
  if (which == 0 || strcmp(walk->paths[which], walk->paths[which - 1]) == 0) return NULL;
  return walk->paths[which - 1];
}

static void visit(struct walk *walk, size_t which) {
  const char *const path = walk->paths[which];
  struct pl_commit commit;
  struct pl_log_entry entry = {.commit = &commit, .path = path};
  const bool was_there = walk->is_there;
  walk->is_there = has_file(walk, which);
  if (!walk->is_there) {
    if (!was_there || !walk->was_told) return;
    if (!pl_history_commit(walk->history, walk->scratch, which, &commit)) return;
    entry.is_gone = true;
    walk->view.count = 0;
    put_entry(walk, &entry, NULL);
    return;
  }
  entry.renamed_from = renamed_from(walk, which);
  entry.files = changed_files(walk, &entry.file_count);
  const bool is_loaded = was_there && walk->view.count > 0;
  if (is_loaded && entry.file_count == 0 && entry.renamed_from == NULL) return;
  const bool is_good = load(walk, path, false);
  if (!is_good && is_before_setup(walk)) return;
  if (!pl_history_commit(walk->history, walk->scratch, which, &commit)) return;
  entry.is_cut = which == 0 && pl_history_is_cut(walk->history);
  tell_version(walk, &entry, is_good);
}

// ---------------------------------------------------------------- what is not committed

/// Is every file of the version on the disk as it is in the newest commit, and the other way
/// round?
static bool is_committed(struct walk *walk) {
  const char *const top = pl_history_top(walk->history);
  size_t same = 0;
  size_t committed = 0;
  for (size_t i = 0;; i++) {
    const struct pl_source *const file = pl_program_file(walk->next.program, i);
    if (file == NULL) break;
    if (!pl_path_inside(file->real_path, top)) continue;
    if (!pl_history_has(walk->history, below(top, file->real_path), file->bytes, file->length))
      return false;
    same++;
  }
  for (size_t i = 0; i < walk->view.count; i++) {
    bool is_new = walk->view.asked[i].found != NULL;
    for (size_t j = 0; is_new && j < i; j++) {
      const char *const other = walk->view.asked[j].found;
      if (other != NULL && strcmp(other, walk->view.asked[i].found) == 0) is_new = false;
    }
    committed += is_new ? 1 : 0;
  }
  return same == committed;
}

/// Names the files of the version on the disk that the newest commit has otherwise.
static const char **uncommitted_files(struct walk *walk, size_t *count) {
  const char *const top = pl_history_top(walk->history);
  size_t all = 0;
  while (pl_program_file(walk->next.program, all) != NULL) all++;
  const char **const files = pl_alloc_array(walk->scratch, all + 1, sizeof *files);
  *count = 0;
  for (size_t i = 0; i < all; i++) {
    const struct pl_source *const file = pl_program_file(walk->next.program, i);
    if (!pl_path_inside(file->real_path, top)) continue;
    const char *const path = below(top, file->real_path);
    if (!pl_history_has(walk->history, path, file->bytes, file->length))
      files[(*count)++] = path;
  }
  return files;
}

static void visit_disk(struct walk *walk, const char *path) {
  struct pl_log_entry entry = {.path = path};
  const bool is_good = load(walk, path, true);
  if (pl_program_unreadable(walk->next.program)) {
    if (!walk->is_there) return;
    entry.is_gone = true;
    put_entry(walk, &entry, NULL);
    return;
  }
  if (walk->is_there && is_committed(walk)) return;
  entry.files = uncommitted_files(walk, &entry.file_count);
  tell_version(walk, &entry, is_good);
}

// ---------------------------------------------------------------- the line

/// Follows the file from the newest commit back, through renames, as far as it is needed: to
/// the last version before the range that has no mistake, which is then the one to compare
/// with.
static void follow(struct walk *walk, const char *path) {
  walk->paths = pl_alloc_array(walk->run->arena, walk->line.count + 1, sizeof *walk->paths);
  bool is_there = false;
  for (size_t i = walk->line.count; i-- > 0;) {
    pl_arena_reset(walk->scratch);
    walk->paths[i] = path;
    const bool was_there = has_file(walk, i);
    if (is_there && !was_there) {
      const char *const old =
          pl_history_renamed_from(walk->history, walk->run->arena, i + 1, path);
      if (old != NULL) walk->paths[i] = path = old;
    }
    is_there = has_file(walk, i);
    if (i >= walk->line.first || !is_there) continue;
    const bool is_good = load(walk, path, false);
    if (i + 1 == walk->line.first) walk->is_there = true;
    walk->was_told = true;
    if (!is_good) continue;
    keep(walk);
    return;
  }
}

/// The path of FILE from the top of the work tree, and the nearest folder above it that is
/// there. Its own name is left alone if it is a link.
static const char *path_of(struct run *run, const char *file, const char **folder) {
  struct pl_arena *const arena = run->arena;
  enum pl_file_status status;
  const char *rest = file;
  const char *real = NULL;
  *folder = file;
  do {
    *folder = pl_folder_of(arena, *folder);
    real = pl_real_path(arena, *folder, &status);
  } while (real == NULL && strcmp(*folder, ".") != 0 && strcmp(*folder, "/") != 0);
  if (real == NULL) real = ".";
  if (strcmp(*folder, ".") != 0 || strncmp(file, "./", 2) == 0) rest += strlen(*folder);
  rest += strspn(rest, "/");
  *folder = real;
  return pl_join_path(arena, real, rest);
}

static bool may_go_on(struct run *run, enum pl_history_status status, const char *reason) {
  const char *const file = pl_text_safe(run->arena, run->options->words[0]);
  const char *const range =
      run->options->word_count > 1 ? pl_text_safe(run->arena, run->options->words[1]) : "HEAD";
  switch (status) {
  case PL_HISTORY_OK: return true;
  case PL_HISTORY_NO_REPOSITORY:
    complain(run, "`%s` is in no work tree of git; `git init` makes one", file);
    break;
  case PL_HISTORY_NOT_YOURS:
    complain(run,
             "the repository of `%s` is another user's; `git config --global --add "
             "safe.directory FOLDER` says that you trust it",
             file);
    break;
  case PL_HISTORY_NO_WORK_TREE:
    complain(run, "the repository has no work tree; run `pitleaf log` where its files are");
    break;
  case PL_HISTORY_NO_COMMIT: complain(run, "nothing is committed yet"); break;
  case PL_HISTORY_NO_REVISION:
    complain(run, "git knows no `%s`%s%s", range, reason[0] == '\0' ? "" : ": ",
             pl_text_safe(run->arena, reason));
    break;
  case PL_HISTORY_TWO_LINES:
    complain(run, "`%s` names two lines of commits; write A..B", range);
    break;
  case PL_HISTORY_NO_LIBRARY:
    complain(run, "`pitleaf log` needs the library libgit2: %s",
             pl_text_safe(run->arena, reason));
    break;
  case PL_HISTORY_UNREADABLE:
    complain(run, "the repository cannot be read: %s", pl_text_safe(run->arena, reason));
    break;
  }
  return false;
}

static void put_log(struct walk *walk, const char *path) {
  struct run *const run = walk->run;
  const bool is_json = run->options->format == AS_JSON;
  if (is_json) put_text(run, "{\"commits\": [\n");
  for (size_t i = walk->line.first; i < walk->line.end; i++) {
    pl_arena_reset(walk->scratch);
    visit(walk, i);
  }
  pl_arena_reset(walk->scratch);
  if (walk->line.open_end && pl_history_look_at(walk->history, walk->line.count - 1))
    visit_disk(walk, path);
  if (is_json) put_text(run, walk->entries == 0 ? "]}\n" : "\n]}\n");
  const char *const shown = pl_text_safe(run->arena, run->options->words[0]);
  if (walk->entries > 0) return;
  if (walk->was_told && !is_json)
    put_text(run, pl_format(run->arena, "nothing changed %s there\n", shown));
  else if (!walk->was_told)
    complain(run, "no commit there has `%s`", shown);
}

void command_log(struct run *run) {
  const char *const range = run->options->word_count > 1 ? run->options->words[1] : NULL;
  struct walk walk = {.run = run};
  if (!read_choice_or_told(run, &walk.choice)) return;
  const char *folder = NULL;
  const char *const full = path_of(run, run->options->words[0], &folder);
  const char *reason = "";
  enum pl_history_status status = pl_history_open(
      run->arena, getenv("GIT_DIR") != NULL ? NULL : folder, &walk.history, &reason);
  if (status == PL_HISTORY_OK)
    status = pl_history_choose(walk.history, range, &walk.line, &reason);
  if (!may_go_on(run, status, reason)) return;
  const char *const top = pl_history_top(walk.history);
  if (!pl_path_inside(full, top)) {
    complain(run, "`%s` is outside the work tree %s",
             pl_text_safe(run->arena, run->options->words[0]), pl_text_safe(run->arena, top));
    return;
  }
  walk.view = (struct view){.history = walk.history, .top = top, .arena = new_arena(run)};
  walk.stand_in = (struct pl_stand_in){top, find, read_found, &walk.view};
  walk.good.arena = new_arena(run);
  walk.next.arena = new_arena(run);
  walk.scratch = new_arena(run);
  follow(&walk, below(top, full));
  put_log(&walk, below(top, full));
}
