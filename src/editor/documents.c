// SPDX-License-Identifier: GPL-3.0-or-later
// The files that are open in the editor, and what is made of them. A document's text goes
// before the file on the disk, also where another document includes it.
#include "room.h"

#include <stdlib.h>
#include <string.h>

// ---------------------------------------------------------------- names of files

static int hexadecimal(char digit) {
  if (digit >= '0' && digit <= '9') return digit - '0';
  if (digit >= 'a' && digit <= 'f') return digit - 'a' + 10;
  if (digit >= 'A' && digit <= 'F') return digit - 'A' + 10;
  return -1;
}

const char *path_of_uri(struct pl_arena *arena, const char *uri) {
  static const char scheme[] = "file://";
  if (strncmp(uri, scheme, sizeof scheme - 1) != 0) return "";
  const char *at = uri + sizeof scheme - 1;
  at += strcspn(at, "/"); // the name of a machine
  struct pl_buffer path = {.arena = arena};
  for (; *at != '\0'; at++) {
    const int high = *at == '%' ? hexadecimal(at[1]) : -1;
    const int low = high < 0 ? -1 : hexadecimal(at[2]);
    const char byte = low < 0 ? *at : (char)(high * 16 + low);
    if (byte == '\0') return "";
    pl_buffer_add(&path, &byte, 1);
    if (low >= 0) at += 2;
  }
  return pl_buffer_string(&path);
}

const char *uri_of_path(struct pl_arena *arena, const char *path) {
  static const char plain[] =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
  struct pl_buffer uri = {.arena = arena};
  pl_buffer_text(&uri, "file://");
  for (const char *at = path; *at != '\0'; at++) {
    if (strchr(plain, *at) != NULL)
      pl_buffer_add(&uri, at, 1);
    else
      pl_buffer_format(&uri, "%%%02X", (unsigned)(unsigned char)*at);
  }
  return pl_buffer_string(&uri);
}

const char *uri_of_source(struct pl_editor *editor, const struct pl_source *source) {
  for (const struct document *one = editor->documents; one != NULL; one = one->next) {
    if (strcmp(one->path, source->real_path) == 0) return one->uri;
  }
  return uri_of_path(editor->request, source->real_path);
}

/// The path without links, also of a file that is not there yet.
static const char *settled_path(struct pl_arena *arena, const char *path) {
  enum pl_file_status status;
  const char *const real = pl_real_path(arena, path, &status);
  if (real != NULL) return real;
  const char *const folder = pl_real_path(arena, pl_folder_of(arena, path), &status);
  const char *const name = strrchr(path, '/');
  return folder == NULL || name == NULL ? path : pl_join_path(arena, folder, name + 1);
}

// ---------------------------------------------------------------- documents

struct document *document_of(const struct pl_editor *editor, const char *uri) {
  for (struct document *one = editor->documents; one != NULL; one = one->next) {
    if (strcmp(one->uri, uri) == 0) return one;
  }
  return NULL;
}

/// A new arena for a document. Until that has all it needs, it is the editor's.
static struct pl_arena *fresh_arena(struct pl_editor *editor) {
  struct pl_arena *const arena = pl_arena_new(editor->guard);
  editor->fresh[editor->fresh_count++] = arena;
  return arena;
}

void drop_fresh(struct pl_editor *editor) {
  while (editor->fresh_count > 0) pl_arena_free(editor->fresh[--editor->fresh_count]);
}

static void set_text(struct document *document, struct pl_arena *arena,
                     const unsigned char *text, size_t length) {
  document->lines = lines_of(arena, text, length); // first, since memory may end here
  document->text_arena = arena;
  document->text = text;
  document->length = length;
}

static void drop_program(struct document *document) {
  document->program = NULL;
  document->checked = false;
  pl_arena_reset(document->arena);
}

void forget_files(struct pl_editor *editor) {
  for (struct document *one = editor->documents; one != NULL; one = one->next)
    drop_program(one);
  editor->session = NULL;
  pl_arena_reset(editor->shared);
  editor->has_unpublished = true;
}

/// The document's text is another now.
static void note_change(struct pl_editor *editor, struct document *document) {
  // Whoever included it did so with the old text, also who was edited since.
  if (editor->session != NULL && pl_session_has(editor->session, document->path)) {
    forget_files(editor);
    return;
  }
  drop_program(document);
  editor->has_unpublished = true;
}

static void close_document(struct pl_editor *editor, struct document *document);

static void open_document(struct pl_editor *editor, const char *uri, const char *text,
                          size_t length, json_int_t version) {
  struct document *document = document_of(editor, uri);
  if (document != NULL) close_document(editor, document);
  struct pl_arena *const own = fresh_arena(editor);
  document = pl_alloc(own, sizeof *document);
  document->own = own;
  document->uri = pl_alloc(own, strlen(uri) + 1);
  memcpy(document->uri, uri, strlen(uri));
  // A text that has no file yet goes by the client's name for it.
  const char *const named = path_of_uri(editor->request, uri);
  const char *const path = named[0] == '\0' ? uri : settled_path(editor->request, named);
  document->path = pl_alloc(own, strlen(path) + 1);
  memcpy(document->path, path, strlen(path));
  document->version = version;
  document->arena = fresh_arena(editor);
  struct pl_arena *const texts = fresh_arena(editor);
  set_text(document, texts, (const unsigned char *)pl_copy_text(texts, text, length), length);
  document->next = editor->documents;
  editor->documents = document;
  editor->fresh_count = 0;
  // Whoever included the file from the disk now includes this text.
  forget_files(editor);
}

static void close_document(struct pl_editor *editor, struct document *document) {
  struct document **at = &editor->documents;
  while (*at != document) at = &(*at)->next;
  *at = document->next;
  pl_arena_free(document->arena);
  pl_arena_free(document->text_arena);
  pl_arena_free(document->own);
  forget_files(editor);
}

/// Puts `text` in place of the bytes from `start` to `end`.
static void replace_bytes(struct pl_editor *editor, struct document *document, uint32_t start,
                          uint32_t end, const char *text, size_t added) {
  struct pl_arena *const arena = fresh_arena(editor);
  const size_t length = document->length - (end - start) + added;
  unsigned char *const bytes = pl_alloc(arena, length + 1);
  memcpy(bytes, document->text, start);
  memcpy(bytes + start, text, added);
  memcpy(bytes + start + added, document->text + end, document->length - end);
  struct pl_arena *const old = document->text_arena;
  set_text(document, arena, bytes, length);
  editor->fresh_count = 0;
  document->is_given_up = false;
  pl_arena_free(old);
}

static void change_document(struct pl_editor *editor, struct document *document,
                            const json_t *changes) {
  size_t index = 0;
  const json_t *change = NULL;
  json_array_foreach(changes, index, change) {
    const json_t *const text = json_object_get(change, "text");
    const size_t added = json_string_length(text);
    // Without a text it says nothing; and nobody writes a file of that size.
    if (!json_is_string(text) || document->length + added > (size_t)PL_MOST_FILE_BYTES * 2)
      continue;
    const json_t *const range = json_object_get(change, "range");
    uint32_t start = 0;
    uint32_t end = (uint32_t)document->length;
    if (json_is_object(range)) {
      const json_t *const first = json_object_get(range, "start");
      const json_t *const last = json_object_get(range, "end");
      start = byte_at(&document->lines, json_integer_value(json_object_get(first, "line")),
                      json_integer_value(json_object_get(first, "character")));
      end = byte_at(&document->lines, json_integer_value(json_object_get(last, "line")),
                    json_integer_value(json_object_get(last, "character")));
      if (end < start) end = start;
    }
    replace_bytes(editor, document, start, end, json_string_value(text), added);
  }
  note_change(editor, document);
}

// ---------------------------------------------------------------- what the client tells

static const json_t *document_in(const json_t *params) {
  return json_object_get(params, "textDocument");
}

static void note_opened(struct pl_editor *editor, const json_t *params) {
  const json_t *const item = document_in(params);
  const json_t *const text = json_object_get(item, "text");
  if (!json_is_string(text) || text_in(item, "uri")[0] == '\0') return;
  open_document(editor, text_in(item, "uri"), json_string_value(text), json_string_length(text),
                json_integer_value(json_object_get(item, "version")));
}

static void note_changed(struct pl_editor *editor, const json_t *params) {
  const json_t *const item = document_in(params);
  struct document *const document = document_of(editor, text_in(item, "uri"));
  if (document == NULL) return;
  document->version = json_integer_value(json_object_get(item, "version"));
  change_document(editor, document, json_object_get(params, "contentChanges"));
}

static void note_closed(struct pl_editor *editor, const json_t *params) {
  struct document *const document = document_of(editor, text_in(document_in(params), "uri"));
  if (document != NULL) close_document(editor, document);
}

bool take_document_note(struct pl_editor *editor, const char *method, const json_t *params) {
  static const struct {
    const char *method;
    void (*note)(struct pl_editor *editor, const json_t *params);
  } notes[] = {{"textDocument/didOpen", note_opened},
               {"textDocument/didChange", note_changed},
               {"textDocument/didClose", note_closed}};
  for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++) {
    if (strcmp(notes[i].method, method) != 0) continue;
    notes[i].note(editor, params);
    return true;
  }
  return false;
}

// ---------------------------------------------------------------- programs

static const unsigned char *text_of_open(void *context, const char *real_path, size_t *length) {
  const struct pl_editor *const editor = context;
  for (const struct document *one = editor->documents; one != NULL; one = one->next) {
    if (strcmp(one->path, real_path) != 0) continue;
    *length = one->length;
    return one->text;
  }
  return NULL;
}

/// Without a work tree the workspace's folder is what a working folder is to the commands.
static const char *root_of(struct pl_editor *editor) {
  if (editor->options.root != NULL || editor->folder == NULL) return editor->options.root;
  const bool in_tree = pl_work_tree(editor->request, editor->folder) != NULL;
  return in_tree || !pl_is_folder(editor->folder) ? NULL : editor->folder;
}

struct pl_program *program_of(struct pl_editor *editor, struct document *document) {
  if (document->program != NULL) return document->program;
  if (editor->session == NULL) {
    const struct pl_session_options options = {.libraries = editor->libraries,
                                               .library_count = editor->library_count,
                                               .root = root_of(editor),
                                               .open_text = text_of_open,
                                               .context = editor};
    editor->session = pl_session_new(editor->shared, editor->guard, &options);
  }
  struct pl_arena *const arena = document->arena;
  const char *shown = document->path;
  const size_t folder_length = editor->folder == NULL ? 0 : strlen(editor->folder);
  if (folder_length > 0 && strncmp(shown, editor->folder, folder_length) == 0 &&
      shown[folder_length] == '/')
    shown += folder_length + 1;
  struct pl_source *const source =
      pl_source_of_bytes(arena, shown, document->text, document->length);
  source->real_path = document->path;
  document->program =
      pl_program_of_source(editor->session, arena, source, pl_folder_of(arena, document->path));
  return document->program;
}

struct pl_program *checked_program_of(struct pl_editor *editor, struct document *document) {
  struct pl_program *const program = program_of(editor, document);
  if (!document->checked) pl_program_check(program, NULL, editor->scratch);
  document->checked = true;
  return program;
}
