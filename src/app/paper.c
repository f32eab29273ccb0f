// SPDX-License-Identifier: GPL-3.0-or-later
// What the commands that print share: paper, direction, and the file that is written.
#include "room.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

const char *output_name(const struct run *run, const char *ending) {
  if (run->options->output != NULL) return run->options->output;
  if (run->options->word_count == 0) return "blank-form.pdf";
  const char *const path = run->options->words[0];
  if (strcmp(path, "-") == 0) return pl_format(run->arena, "sheet%s.pdf", ending);
  const char *const slash = strrchr(path, '/');
  const char *const name = slash == NULL ? path : slash + 1;
  const char *const point = strrchr(name, '.');
  const size_t length = point == NULL || point == name ? strlen(name) : (size_t)(point - name);
  return pl_format(run->arena, "%.*s%s.pdf", (int)length, name, ending);
}

/// What may be done about it, to stand behind the reason. `another` is what to do in any case.
static const char *mend_of_writing(struct run *run, const char *name, int error,
                                   const char *another) {
  const char *const folder = pl_folder_of(run->arena, name);
  if ((error == ENOENT || error == ENOTDIR) && !pl_is_folder(folder))
    return pl_format(run->arena, "there is no folder `%s`: make it, or %s", folder, another);
  if (error == ENOSPC || error == EDQUOT)
    return pl_format(run->arena, "make room there, or %s", another);
  return another;
}

void complain_not_written(struct run *run, const char *name, int error, const char *another) {
  complain(run, "`%s` was not written: %s; %s", name, strerror(error),
           mend_of_writing(run, name, error, another));
}

const char *why_not_replaced(struct run *run, const char *name,
                             const struct pl_program *program, const char *what) {
  const struct pl_source *source = NULL;
  for (size_t i = 0; (source = pl_program_file(program, i)) != NULL; i++) {
    // Standard input has no path of its own, but may be a file all the same.
    const char *const path = source->real_path[0] == '\0' ? "/dev/stdin" : source->real_path;
    int error = 0;
    if (pl_same_file(name, path, &error))
      return pl_format(run->arena,
                       "`%s` is a file that the %s is made from; name another behind -o", name,
                       what);
    if (error != 0)
      return pl_format(run->arena, "`%s` was not written: %s; %s", name, strerror(error),
                       mend_of_writing(run, name, error, "name another file behind -o"));
  }
  return NULL;
}

/// A file of the language, whose place no PDF may take: it might be one that could not be read,
/// so that nobody knows that the PDF is made from it.
static bool is_named_like_setup(const char *name) {
  const size_t length = strlen(name);
  return length >= 5 && strcmp(name + length - 5, ".leaf") == 0;
}

bool is_source(struct run *run, const char *name) {
  const char *path = NULL;
  if (run->sources == NULL) run->sources = pl_map_new(run->arena);
  for (; (path = pl_session_file(run->session, run->source_count)) != NULL;
       run->source_count++) {
    const char *const identity = pl_file_identity(run->arena, path);
    // What cannot be reached is not replaced either.
    if (identity != NULL) pl_map_set(run->sources, identity, run);
  }
  const char *const identity = pl_file_identity(run->arena, name);
  return identity != NULL && pl_map_get(run->sources, identity) != NULL;
}

void write_output(struct run *run, const char *name, const unsigned char *bytes,
                  size_t length) {
  if (strcmp(name, "-") == 0) {
    put_bytes(run, bytes, length);
    return;
  }
  if (is_named_like_setup(name)) {
    complain(run, "`%s` was not written: it is named like a setup; name another behind -o",
             name);
    return;
  }
  if (is_source(run, name)) {
    complain(run, "`%s` was not written: it was to be read; name another behind -o", name);
    return;
  }
  const int error = pl_write_whole(name, bytes, length);
  if (error != 0) {
    complain_not_written(run, name, error, "name another file behind -o");
    return;
  }
  // In a pipe nobody looks on, and who named the file knows its name.
  if (run->options->output == NULL || isatty(STDERR_FILENO) != 0)
    put_run_message(run, "%s written", name);
}

enum pl_paper_size paper_of(const struct run *run) {
  if (run->options->paper == NULL) return PL_PAPER_OF_TEMPLATE;
  return strcmp(run->options->paper, "letter") == 0 ? PL_LETTER : PL_A4;
}

enum pl_direction direction_of(const struct run *run) {
  if (run->options->direction == NULL) return PL_DIRECTION_OF_TEMPLATE;
  return strcmp(run->options->direction, "landscape") == 0 ? PL_LANDSCAPE : PL_PORTRAIT;
}
