// SPDX-License-Identifier: GPL-3.0-or-later
// Loading: sessions, the main file, and its includes within the allowed roots.
#include "room.h"

#include <string.h>
#include <unistd.h>

struct pl_session *pl_session_new(struct pl_arena *arena, struct pl_guard *guard,
                                  const struct pl_session_options *options) {
  struct pl_session *const session = pl_alloc(arena, sizeof *session);
  session->arena = arena;
  session->guard = guard;
  session->names = pl_names_new(arena);
  session->files = pl_map_new(arena);
  session->by_path = pl_map_new(arena);
  session->asked_index = pl_map_new(arena);
  if (options == NULL) return session;
  session->libraries =
      pl_alloc_array(arena, options->library_count, sizeof *session->libraries);
  for (size_t i = 0; i < options->library_count; i++)
    session->libraries[i] =
        pl_copy_text(arena, options->libraries[i], strlen(options->libraries[i]));
  session->library_count = options->library_count;
  if (options->root != NULL)
    session->root = pl_copy_text(arena, options->root, strlen(options->root));
  session->open_text = options->open_text;
  session->context = options->context;
  session->stand_in = options->stand_in;
  return session;
}

struct pl_names *pl_session_names(struct pl_session *session) {
  return session->names;
}

/// Is the path one of the folder whose place something else takes?
static bool is_stood_in(const struct pl_session *session, const char *path) {
  return session->stand_in != NULL && pl_path_inside(path, session->stand_in->folder);
}

/// Where an absolute path leads, on the disk or in what stands in its place; null with the
/// reason in `*status`.
static const char *find_real(const struct pl_session *session, struct pl_arena *arena,
                             const char *path, enum pl_file_status *status) {
  if (!is_stood_in(session, path)) return pl_real_path(arena, path, status);
  const char *found = NULL;
  *status = session->stand_in->find(session->stand_in->context, arena, path, &found);
  return *status == PL_FILE_OK ? found : NULL;
}

const char *pl_session_file(const struct pl_session *session, size_t which) {
  return which < session->asked_count ? session->asked[which] : NULL;
}

void note_file(struct pl_session *session, const char *real_path) {
  if (real_path == NULL || pl_map_get(session->asked_index, real_path) != NULL) return;
  const char *const kept = pl_copy_text(session->arena, real_path, strlen(real_path));
  pl_map_set(session->asked_index, kept, session);
  session->asked = pl_grow(session->arena, (void *)session->asked, session->asked_count,
                           &session->asked_capacity, sizeof(const char *));
  session->asked[session->asked_count++] = kept;
}

/// The text of a file: an open document's where there is one, else what is on the disk, or in
/// what stands in its place.
static enum pl_file_status read_text(struct pl_session *session, struct pl_arena *arena,
                                     const char *shown_path, const char *real_path,
                                     struct pl_source **source) {
  size_t length = 0;
  note_file(session, real_path);
  const unsigned char *const open =
      session->open_text == NULL ? NULL
                                 : session->open_text(session->context, real_path, &length);
  const unsigned char *bytes = open;
  if (open == NULL && is_stood_in(session, real_path)) {
    const struct pl_stand_in *const other = session->stand_in;
    const enum pl_file_status status =
        other->read(other->context, arena, real_path, &bytes, &length);
    if (status != PL_FILE_OK) return status;
  }
  if (bytes == NULL) return pl_read_source(arena, shown_path, real_path, source);
  *source = pl_source_of_bytes(arena, shown_path, bytes, length);
  (*source)->real_path = pl_copy_text(arena, real_path, strlen(real_path));
  return PL_FILE_OK;
}

/// Parses a source and notes what it declares. Problems go to `problems`.
static struct file *file_of_source(struct pl_session *session, struct pl_arena *arena,
                                   struct pl_diagnostics *problems,
                                   const struct pl_source *source) {
  struct file *const file = pl_alloc(arena, sizeof *file);
  file->arena = arena;
  file->source = source;
  file->problems = problems;
  file->shown_folder = pl_folder_of(arena, source->path);
  file->real_folder = pl_folder_of(arena, source->real_path);
  file->tree = pl_parse_items(arena, session->names, problems, source);
  declare_file(arena, file);
  return file;
}

// ---------------------------------------------------------------- roots

void add_root(struct pl_program *program, const char *folder) {
  if (program->root_count < sizeof program->roots / sizeof program->roots[0])
    program->roots[program->root_count++] = folder;
}

/// The work tree of the main file; else of the working folder and the main file's folder the
/// one that holds the other; else the main file's folder.
static void choose_roots(struct pl_program *program, const char *main_folder) {
  enum pl_file_status status;
  const struct pl_session *const session = program->session;
  if (session->root != NULL) {
    const char *const root = pl_real_path(program->arena, session->root, &status);
    if (root != NULL) add_root(program, root);
    return;
  }
  const char *const tree = pl_work_tree(program->arena, main_folder);
  if (tree != NULL) {
    add_root(program, tree);
    return;
  }
  const char *const here = pl_real_path(program->arena, ".", &status);
  const bool here_is_wider = here != NULL && pl_path_inside(main_folder, here);
  add_root(program, here_is_wider ? here : main_folder);
}

static bool inside_libraries(const struct pl_session *session, struct pl_arena *arena,
                             const char *real_path) {
  for (size_t i = 0; i < session->library_count; i++) {
    enum pl_file_status status;
    const char *const library = pl_real_path(arena, session->libraries[i], &status);
    if (library != NULL && pl_path_inside(real_path, library)) return true;
  }
  return false;
}

bool inside_roots(const struct pl_program *program, struct pl_arena *arena,
                  const char *real_path) {
  for (size_t i = 0; i < program->root_count; i++) {
    if (pl_path_inside(real_path, program->roots[i])) return true;
  }
  return inside_libraries(program->session, arena, real_path);
}

// ---------------------------------------------------------------- includes

static enum pl_code code_of_status(enum pl_file_status status) {
  switch (status) {
  case PL_FILE_MISSING: return PL_INCLUDE_MISSING;
  case PL_FILE_FOLDER: return PL_INCLUDE_FOLDER;
  case PL_FILE_NOT_PLAIN: return PL_INCLUDE_NOT_PLAIN;
  case PL_FILE_TOO_LARGE: return PL_INCLUDE_TOO_LARGE;
  case PL_FILE_OUTSIDE: return PL_INCLUDE_OUTSIDE;
  case PL_FILE_UNREADABLE:
  case PL_FILE_OK: break;
  }
  return PL_INCLUDE_UNREADABLE;
}

/// The real path of an include. That of a file which the session has read is asked of the disk
/// once more and then kept with it.
static const char *real_path_of(struct pl_session *session, struct pl_arena *arena,
                                const char *path, enum pl_file_status *status) {
  const struct file *file = pl_map_get(session->by_path, path);
  *status = PL_FILE_OK;
  if (file != NULL) return file->source->real_path;
  const char *const real_path = find_real(session, arena, path, status);
  file = real_path == NULL ? NULL : pl_map_get(session->files, real_path);
  if (file != NULL)
    pl_map_set(session->by_path, pl_copy_text(session->arena, path, strlen(path)),
               (void *)file);
  return real_path;
}

/// Looks for an include below one folder.
static enum pl_file_status find_below(struct pl_program *program, const char *real_folder,
                                      const char *shown_folder, const char *path,
                                      const char **real_path, const char **shown_path) {
  struct pl_arena *const arena = program->arena;
  const char *const wanted = normal_path(arena, real_folder, path);
  if (!inside_roots(program, arena, wanted)) return PL_FILE_OUTSIDE;
  enum pl_file_status status;
  *real_path = real_path_of(program->session, arena, wanted, &status);
  if (*real_path == NULL) return status;
  if (!inside_roots(program, arena, *real_path)) return PL_FILE_OUTSIDE;
  *shown_path = tidy_path(arena, pl_join_path(arena, shown_folder, path));
  return PL_FILE_OK;
}

/// Beside the including file first, then in each library folder.
static enum pl_file_status find_include(struct pl_program *program, const struct file *from,
                                        const char *path, const char **real_path,
                                        const char **shown_path) {
  enum pl_file_status first =
      find_below(program, from->real_folder, from->shown_folder, path, real_path, shown_path);
  if (first == PL_FILE_OK) return first;
  for (size_t i = 0; i < program->session->library_count; i++) {
    enum pl_file_status status;
    const char *const library = program->session->libraries[i];
    const char *const real = pl_real_path(program->arena, library, &status);
    if (real == NULL) continue;
    status = find_below(program, real, library, path, real_path, shown_path);
    if (status == PL_FILE_OK) return status;
  }
  return first;
}

static void add_file(struct pl_program *program, struct file *file) {
  program->files = pl_grow(program->arena, program->files, program->file_count,
                           &program->file_capacity, sizeof(struct file *));
  program->files[program->file_count++] = file;
  pl_map_set(program->by_real_path, file->source->real_path, file);
}

bool pl_session_has(const struct pl_session *session, const char *real_path) {
  return pl_map_get(session->files, real_path) != NULL;
}

/// The file at a real path that this program may read. It is read at its first use in this
/// session and kept, unless it is an entry's own: no other program needs that.
static enum pl_file_status included_file(struct pl_program *program, const char *real_path,
                                         const char *shown_path, struct file **file) {
  struct pl_session *const session = program->session;
  *file = pl_map_get(session->files, real_path);
  if (*file != NULL) return PL_FILE_OK;
  const bool kept = !program->of_entry || inside_libraries(session, program->arena, real_path);
  struct pl_arena *const arena = kept ? session->arena : program->arena;
  struct pl_source *source = NULL;
  const enum pl_file_status status = read_text(session, arena, shown_path, real_path, &source);
  if (status != PL_FILE_OK || source == NULL) return status;
  *file = file_of_source(session, arena, pl_diagnostics_new(arena), source);
  if (kept) pl_map_set(session->files, source->real_path, *file);
  return PL_FILE_OK;
}

static void include(struct pl_program *program, struct file *from, const struct pl_node *node) {
  if (node->name[0] == '/') {
    pl_report(program->problems, PL_INCLUDE_ABSOLUTE, pl_name_span(node), PL_WORDS(node->name));
    return;
  }
  const char *real_path = NULL;
  const char *shown_path = NULL;
  struct file *file = NULL;
  enum pl_file_status status = PL_FILE_MISSING; // which the empty path is, too
  if (node->name[0] != '\0')
    status = find_include(program, from, node->name, &real_path, &shown_path);
  if (status == PL_FILE_OK && pl_map_get(program->by_real_path, real_path) != NULL) return;
  if (status == PL_FILE_OK) status = included_file(program, real_path, shown_path, &file);
  if (status != PL_FILE_OK) {
    const bool strays = program->of_entry && status == PL_FILE_OUTSIDE;
    pl_report(program->problems, strays ? PL_ENTRY_OUTSIDE : code_of_status(status),
              pl_name_span(node), PL_WORDS(node->name, pl_file_reason(status)));
    return;
  }
  if (program->file_count > PL_MOST_INCLUDES) {
    pl_report(program->problems, PL_TOO_MANY_INCLUDES, pl_name_span(node),
              PL_WORDS(pl_format(program->arena, "%d", PL_MOST_INCLUDES)));
    return;
  }
  add_file(program, file);
}

void load_includes(struct pl_program *program) {
  for (size_t i = 0; i < program->file_count; i++) { // grows as files are found
    struct file *const file = program->files[i];
    for (const struct pl_node *node = file->tree->items; node != NULL; node = node->next) {
      if (node->kind == PL_NODE_INCLUDE) include(program, file, node);
    }
  }
}

enum pl_file_status pl_program_beside(struct pl_program *program,
                                      const struct pl_source *beside, const char *path,
                                      const struct pl_source **file) {
  const struct file *from = NULL;
  for (size_t i = 0; i < program->file_count; i++) {
    if (program->files[i]->source == beside) from = program->files[i];
  }
  if (from == NULL || path[0] == '\0') return PL_FILE_MISSING;
  if (path[0] == '/') return PL_FILE_OUTSIDE;
  const char *real_path = NULL;
  const char *shown_path = NULL;
  enum pl_file_status status = find_include(program, from, path, &real_path, &shown_path);
  if (status != PL_FILE_OK) return status;
  struct pl_source *source = NULL;
  status = read_text(program->session, program->arena, shown_path, real_path, &source);
  *file = source;
  return status;
}

// ---------------------------------------------------------------- programs

struct pl_program *program_new(struct pl_session *session, struct pl_arena *arena) {
  struct pl_program *const program = pl_alloc(arena, sizeof *program);
  program->session = session;
  program->arena = arena;
  program->problems = pl_diagnostics_new(arena);
  program->by_real_path = pl_map_new(arena);
  program->lets = pl_map_new(arena);
  program->setups = pl_map_new(arena);
  program->meetings = pl_map_new(arena);
  program->newest =
      pl_alloc_array(arena, (size_t)PL_SETTING_COUNT * WRITTEN_COUNT, sizeof *program->newest);
  return program;
}

void finish_program(struct pl_program *program, const struct pl_source *source,
                    const char *real_folder) {
  struct file *const main_file =
      file_of_source(program->session, program->arena, program->problems, source);
  main_file->real_folder = real_folder;
  add_file(program, main_file);
  load_includes(program);
  join_declarations(program);
  check_blocks(program);
}

struct pl_program *pl_program_load(struct pl_session *session, struct pl_arena *arena,
                                   const char *path) {
  struct pl_program *const program = program_new(session, arena);
  const bool from_stream = strcmp(path, "-") == 0;
  struct pl_source *source = NULL;
  enum pl_file_status status = PL_FILE_OK;
  const char *const real_path =
      from_stream ? pl_real_path(arena, ".", &status)
      : session->stand_in == NULL
          ? pl_real_path(arena, path, &status)
          : find_real(session, arena, absolute_path(arena, path), &status);
  if (real_path != NULL && from_stream)
    status = pl_read_stream(arena, "<standard input>", STDIN_FILENO, &source);
  else if (real_path != NULL)
    status = read_text(session, arena, path, real_path, &source);
  if (status != PL_FILE_OK || source == NULL) {
    program->unreadable = true;
    pl_report(program->problems, pl_file_problem(status), (struct pl_span){NULL, 0, 0},
              PL_WORDS(path, "the working folder", pl_file_reason(status), "-"));
    return program;
  }
  const char *const folder = from_stream ? real_path : pl_folder_of(arena, real_path);
  choose_roots(program, folder);
  finish_program(program, source, folder);
  return program;
}

struct pl_program *pl_program_of_source(struct pl_session *session, struct pl_arena *arena,
                                        struct pl_source *source, const char *folder) {
  struct pl_program *const program = program_new(session, arena);
  enum pl_file_status status;
  const char *const found = pl_real_path(arena, folder, &status);
  const char *const real_folder = found == NULL ? absolute_path(arena, folder) : found;
  choose_roots(program, real_folder);
  finish_program(program, source, real_folder);
  return program;
}

const struct file *file_of(const struct pl_program *program, const struct pl_source *source) {
  for (size_t i = 0; i < program->file_count; i++) {
    if (program->files[i]->source == source) return program->files[i];
  }
  return program->files[0];
}

bool leads_outside(struct pl_program *program, const struct pl_source *from, const char *path,
                   struct pl_span span) {
  const char *const folder = file_of(program, from)->real_folder;
  const bool absolute = path[0] == '/';
  if (!absolute &&
      inside_roots(program, program->arena, normal_path(program->arena, folder, path)))
    return false;
  pl_report(program->problems, absolute ? PL_INCLUDE_ABSOLUTE : PL_INCLUDE_OUTSIDE, span,
            PL_WORDS(path));
  return true;
}

struct pl_diagnostics *pl_program_problems(const struct pl_program *program) {
  return program->problems;
}

const struct pl_source *pl_program_source(const struct pl_program *program) {
  return program->file_count == 0 ? NULL : program->files[0]->source;
}

const struct pl_source *pl_program_file(const struct pl_program *program, size_t which) {
  return which < program->file_count ? program->files[which]->source : NULL;
}

const struct pl_tree *pl_program_tree(const struct pl_program *program,
                                      const struct pl_source *source) {
  for (size_t i = 0; i < program->file_count; i++) {
    const struct file *const file = program->files[i];
    if (file->source != source) continue;
    pl_add_tokens(file->arena, file->tree);
    return file->tree;
  }
  return NULL;
}

struct pl_arena *pl_program_arena(const struct pl_program *program) {
  return program->arena;
}

bool pl_program_unreadable(const struct pl_program *program) {
  return program->unreadable;
}
