// SPDX-License-Identifier: GPL-3.0-or-later
// Files of other people: a meeting's entries, each a program of its own that reads nothing
// outside its folder and the libraries.
#include "room.h"

/// Looks for the file of an entry: its real path, and that of the folder in which it is named.
static enum pl_file_status find_entry(const struct pl_program *meeting, struct pl_arena *arena,
                                      const char *wanted, const char **real_path,
                                      const char **real_folder) {
  if (!inside_roots(meeting, arena, wanted)) return PL_FILE_OUTSIDE;
  enum pl_file_status status;
  *real_folder = pl_real_path(arena, pl_folder_of(arena, wanted), &status);
  if (*real_folder == NULL) return status;
  if (!inside_roots(meeting, arena, *real_folder)) return PL_FILE_OUTSIDE;
  *real_path = pl_real_path(arena, wanted, &status);
  if (*real_path == NULL) return status;
  return pl_path_inside(*real_path, *real_folder) ? PL_FILE_OK : PL_FILE_OUTSIDE;
}

/// Where the file of an entry is.
struct entry_file {
  const char *shown;
  const char *real_path;
  const char *real_folder;
};

static enum pl_file_status locate_entry(const struct pl_program *meeting,
                                        struct pl_arena *arena, const struct pl_entry *entry,
                                        struct entry_file *file) {
  const struct file *const from = file_of(meeting, entry->setup_span.source);
  const char *const path = entry->setup_path;
  *file = (struct entry_file){
      .shown = tidy_path(arena, pl_join_path(arena, from->shown_folder, path))};
  if (path[0] == '/') return PL_FILE_OUTSIDE; // which an absolute path is, too
  return find_entry(meeting, arena, normal_path(arena, from->real_folder, path),
                    &file->real_path, &file->real_folder);
}

void pl_entries_check(struct pl_program *program, const struct pl_block *block) {
  const struct pl_meeting *const meeting = pl_program_meeting(program, block->name);
  for (size_t i = 0; meeting != NULL && i < meeting->entry_count; i++) {
    const struct pl_entry *const entry = &meeting->entries[i];
    struct entry_file file;
    if (entry->setup_span.source != block->source) continue; // none, or another file's affair
    const enum pl_file_status status = locate_entry(program, program->arena, entry, &file);
    const char *const what = status == PL_FILE_MISSING ? "is not there"
                             : status == PL_FILE_OK && pl_is_folder(file.real_path)
                                 ? "is a folder"
                                 : NULL;
    if (what != NULL)
      pl_report(program->problems, PL_ENTRY_FILE, entry->setup_span,
                PL_WORDS(entry->number, file.shown, what));
  }
}

void pl_entries_note(struct pl_program *program, const struct pl_meeting *meeting) {
  for (size_t i = 0; i < meeting->entry_count; i++) {
    struct entry_file file;
    if (meeting->entries[i].setup_path[0] != '\0' &&
        locate_entry(program, program->arena, &meeting->entries[i], &file) == PL_FILE_OK)
      note_file(program->session, file.real_path);
  }
}

struct pl_program *pl_entry_load(struct pl_program *meeting, struct pl_arena *arena,
                                 const struct pl_entry *entry) {
  struct pl_program *const program = program_new(meeting->session, arena);
  program->of_entry = true;
  struct entry_file file;
  struct pl_source *source = NULL;
  enum pl_file_status status = locate_entry(meeting, arena, entry, &file);
  note_file(meeting->session, file.real_path);
  if (status == PL_FILE_OK) status = pl_read_source(arena, file.shown, file.real_path, &source);
  if (status != PL_FILE_OK || source == NULL) {
    program->unreadable = true;
    pl_report(program->problems,
              status == PL_FILE_OUTSIDE ? PL_ENTRY_OUTSIDE : pl_file_problem(status),
              entry->setup_span,
              PL_WORDS(file.shown,
                       status == PL_FILE_MISSING ? "the folder of the file that names the entry"
                                                 : NULL,
                       pl_file_reason(status)));
    return program;
  }
  add_root(program, file.real_folder);
  finish_program(program, source, pl_folder_of(arena, file.real_path));
  return program;
}

struct pl_program *pl_program_load_alone(struct pl_session *session, struct pl_arena *arena,
                                         const char *path) {
  struct pl_program *const program = program_new(session, arena);
  struct pl_source *source = NULL;
  enum pl_file_status status = PL_FILE_OK;
  program->of_entry = true;
  const char *const real_folder = pl_real_path(arena, pl_folder_of(arena, path), &status);
  const char *const real_path = real_folder == NULL ? NULL : pl_real_path(arena, path, &status);
  if (real_folder != NULL) add_root(program, real_folder);
  note_file(session, real_path);
  if (real_path != NULL)
    status = inside_roots(program, arena, real_path)
                 ? pl_read_source(arena, path, real_path, &source)
                 : PL_FILE_OUTSIDE;
  if (status != PL_FILE_OK || source == NULL) {
    program->unreadable = true;
    pl_report(program->problems,
              status == PL_FILE_OUTSIDE ? PL_ENTRY_OUTSIDE : pl_file_problem(status),
              (struct pl_span){NULL, 0, 0}, PL_WORDS(path, NULL, pl_file_reason(status)));
    return program;
  }
  finish_program(program, source, pl_folder_of(arena, real_path));
  return program;
}
