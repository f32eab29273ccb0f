// SPDX-License-Identifier: GPL-3.0-or-later
// The server: messages in, answers out, by JSON-RPC 2.0. Every message is worked on in memory
// of its own; where that runs out, the message fails and the server goes on.
#include "room.h"

#include <stdlib.h>
#include <string.h>

/// Errors of JSON-RPC and of the protocol.
enum rpc_error {
  RPC_PARSE_ERROR = -32700,
  RPC_INVALID_REQUEST = -32600,
  RPC_METHOD_NOT_FOUND = -32601,
  RPC_INTERNAL_ERROR = -32603,
  RPC_NOT_INITIALIZED = -32002,
  RPC_REQUEST_FAILED = -32803
};

// ---------------------------------------------------------------- a server's life

static void make_room(void *context) {
  struct pl_editor *const editor = context;
  editor->own = pl_arena_new(editor->guard);
  editor->request = pl_arena_new(editor->guard);
  editor->scratch = pl_arena_new(editor->guard);
  editor->shared = pl_arena_new(editor->guard);
}

struct pl_editor *pl_editor_new(const struct pl_editor_options *options) {
  struct pl_editor *const editor = calloc(1, sizeof *editor);
  if (editor == NULL) return NULL;
  editor->options = *options;
  editor->libraries = (const char **)options->libraries;
  editor->library_count = options->library_count;
  editor->guard = pl_guard_new();
  if (editor->guard != NULL && pl_with_memory(editor->guard, make_room, editor)) return editor;
  pl_editor_free(editor);
  return NULL;
}

void pl_editor_free(struct pl_editor *editor) {
  if (editor == NULL) return;
  for (struct document *one = editor->documents; one != NULL;) {
    struct document *const next = one->next;
    pl_arena_free(one->arena);
    pl_arena_free(one->text_arena);
    pl_arena_free(one->own);
    one = next;
  }
  json_decref(editor->beginning);
  pl_arena_free(editor->shared);
  pl_arena_free(editor->scratch);
  pl_arena_free(editor->request);
  pl_arena_free(editor->own);
  pl_guard_free(editor->guard);
  free(editor);
}

bool pl_editor_is_over(const struct pl_editor *editor, int *status) {
  *status = editor->was_asked_to_stop ? 0 : 1;
  return editor->is_over;
}

// ---------------------------------------------------------------- sending

static void send_document(struct pl_editor *editor, json_t *document) {
  pl_json_put(editor->request, document, "jsonrpc", pl_json_text(editor->request, "2.0"));
  const char *const text = pl_json_print(editor->request, document, JSON_COMPACT);
  editor->options.send(editor->options.context, text, strlen(text));
}

void notify(struct pl_editor *editor, const char *method, json_t *params) {
  send_document(editor,
                PL_JSON_PACK(editor->request, "{s:s,s:O}", "method", method, "params", params));
}

void ask_client(struct pl_editor *editor, const char *method, json_t *params) {
  send_document(editor,
                PL_JSON_PACK(editor->request, "{s:I,s:s,s:O}", "id", editor->next_question++,
                             "method", method, "params", params));
}

static void send_error(struct pl_editor *editor, json_t *id, enum rpc_error code,
                       const char *message) {
  json_t *const error = PL_JSON_PACK(editor->request, "{s:i,s:O}", "code", (int)code, "message",
                                     pl_json_text(editor->request, message));
  send_document(editor, PL_JSON_PACK(editor->request, "{s:O,s:O}", "id",
                                     id == NULL ? json_null() : id, "error", error));
}

void refuse(struct pl_editor *editor, json_t *id, const char *message) {
  send_error(editor, id, RPC_INTERNAL_ERROR, message);
}

// ---------------------------------------------------------------- beginning

/// Includes are looked for in these folders, too: `initializationOptions: {libraries: […]}`.
static void add_libraries(struct pl_editor *editor, const json_t *list) {
  const size_t count = editor->library_count + json_array_size(list);
  const char **const all = pl_alloc_array(editor->own, count + 1, sizeof *all);
  size_t filled = editor->library_count;
  for (size_t i = 0; i < filled; i++) all[i] = editor->libraries[i];
  size_t index = 0;
  const json_t *one = NULL;
  json_array_foreach(list, index, one) {
    const char *path = json_string_value(one);
    if (path == NULL) continue;
    if (path[0] != '/' && editor->folder != NULL)
      path = pl_join_path(editor->own, editor->folder, path);
    all[filled++] = pl_copy_text(editor->own, path, strlen(path));
  }
  editor->libraries = all;
  editor->library_count = filled;
}

/// The first folder of the workspace, whichever way the client names it.
static const char *folder_in(struct pl_editor *editor, const json_t *params) {
  const json_t *const folders = json_object_get(params, "workspaceFolders");
  const char *uri = text_in(json_array_get(folders, 0), "uri");
  if (uri[0] == '\0') uri = text_in(params, "rootUri");
  const char *path = path_of_uri(editor->request, uri);
  if (path[0] == '\0') path = text_in(params, "rootPath");
  if (path[0] == '\0') return NULL;
  enum pl_file_status status;
  const char *const real = pl_real_path(editor->request, path, &status);
  return real == NULL ? NULL : pl_copy_text(editor->own, real, strlen(real));
}

static json_t *capabilities(struct pl_arena *arena) {
  return PL_JSON_PACK(
      arena,
      "{s:{s:b,s:i},s:{s:[s,s,s,s],s:b},s:b,s:b,s:b,s:b,s:b,s:{s:b},s:{s:[s]},s:b,"
      "s:b,s:{s:O,s:b},s:s}",
      "textDocumentSync", "openClose", 1, "change", 2, "completionProvider",
      "triggerCharacters", "\"", ".", "=", " ", "resolveProvider", 0, "hoverProvider", 1,
      "definitionProvider", 1, "referencesProvider", 1, "documentSymbolProvider", 1,
      "foldingRangeProvider", 1, "renameProvider", "prepareProvider", 1, "codeActionProvider",
      "codeActionKinds", "quickfix", "inlayHintProvider", 1, "documentFormattingProvider", 1,
      "semanticTokensProvider", "legend", token_legend(arena), "full", 1, "positionEncoding",
      "utf-16");
}

static json_t *answer_initialize(struct pl_editor *editor, const json_t *params,
                                 const char **problem) {
  if (editor->is_ready) {
    *problem = "The server was initialised already.";
    return NULL;
  }
  editor->folder = folder_in(editor, params);
  add_libraries(editor,
                json_object_get(json_object_get(params, "initializationOptions"), "libraries"));
  const json_t *const workspace =
      json_object_get(json_object_get(params, "capabilities"), "workspace");
  editor->has_watch = json_is_true(json_object_get(
      json_object_get(workspace, "didChangeWatchedFiles"), "dynamicRegistration"));
  json_t *const result = PL_JSON_PACK(editor->request, "{s:O,s:{s:s,s:s}}", "capabilities",
                                      capabilities(editor->request), "serverInfo", "name",
                                      "pitleaf", "version", editor->options.version);
  editor->is_ready = true;
  return result;
}

static json_t *answer_shutdown(struct pl_editor *editor, const json_t *params,
                               const char **problem) {
  (void)params;
  (void)problem;
  editor->was_asked_to_stop = true;
  return NULL;
}

// ---------------------------------------------------------------- what the client tells

static void note_initialized(struct pl_editor *editor, const json_t *params) {
  (void)params;
  if (!editor->has_watch) return;
  ask_client(editor, "client/registerCapability",
             PL_JSON_PACK(editor->request, "{s:[{s:s,s:s,s:{s:[{s:s}]}}]}", "registrations",
                          "id", "pitleaf-files", "method", "workspace/didChangeWatchedFiles",
                          "registerOptions", "watchers", "globPattern", "**/*.leaf"));
}

static void note_files(struct pl_editor *editor, const json_t *params) {
  (void)params;
  forget_files(editor);
}

static void note_exit(struct pl_editor *editor, const json_t *params) {
  (void)params;
  editor->is_over = true;
}

// ---------------------------------------------------------------- dispatch

/// A message being worked on.
struct message {
  struct pl_editor *editor;
  const char *bytes;
  size_t length;
  json_t *id; ///< of a request; null until it is read
};

static const struct {
  const char *method;
  answer *answer;
} answers[] = {
    {"initialize", answer_initialize},
    {"shutdown", answer_shutdown},
    {"textDocument/completion", answer_completion},
    {"textDocument/hover", answer_hover},
    {"textDocument/definition", answer_definition},
    {"textDocument/references", answer_references},
    {"textDocument/prepareRename", answer_prepare_rename},
    {"textDocument/rename", answer_rename},
    {"textDocument/documentSymbol", answer_symbols},
    {"textDocument/foldingRange", answer_folds},
    {"textDocument/inlayHint", answer_hints},
    {"textDocument/semanticTokens/full", answer_tokens},
    {"textDocument/codeAction", answer_actions},
    {"textDocument/formatting", answer_formatting},
};

static const struct {
  const char *method;
  void (*note)(struct pl_editor *editor, const json_t *params);
} notes[] = {
    {"initialized", note_initialized},
    {"exit", note_exit},
    {"textDocument/didSave", note_files}, // not every client can watch files
    {"workspace/didChangeWatchedFiles", note_files},
};

static void answer_request(struct pl_editor *editor, json_t *id, const char *method,
                           const json_t *params) {
  size_t which = 0;
  const size_t count = sizeof answers / sizeof answers[0];
  while (which < count && strcmp(answers[which].method, method) != 0) which++;
  if (which == count) {
    send_error(editor, id, RPC_METHOD_NOT_FOUND,
               pl_format(editor->request, "There is no method `%s`.", method));
    return;
  }
  if (!editor->is_ready && which > 0) {
    send_error(editor, id, RPC_NOT_INITIALIZED, "The server was not initialised yet.");
    return;
  }
  if (editor->was_asked_to_stop) {
    send_error(editor, id, RPC_INVALID_REQUEST, "The server was shut down.");
    return;
  }
  const char *problem = NULL;
  json_t *const result = answers[which].answer(editor, params, &problem);
  if (problem != NULL) {
    send_error(editor, id, which == 0 ? RPC_INVALID_REQUEST : RPC_REQUEST_FAILED, problem);
    return;
  }
  send_document(editor, PL_JSON_PACK(editor->request, "{s:O,s:O}", "id", id, "result",
                                     result == NULL ? json_null() : result));
}

static void take_note(struct pl_editor *editor, const char *method, const json_t *params) {
  const bool is_exit = strcmp(method, "exit") == 0;
  if (!is_exit && (!editor->is_ready || editor->was_asked_to_stop)) return;
  if (take_document_note(editor, method, params)) return;
  for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++) {
    if (strcmp(notes[i].method, method) == 0) notes[i].note(editor, params);
  }
}

static void take(void *context) {
  struct message *const message = context;
  struct pl_editor *const editor = message->editor;
  const char *problem = NULL;
  const json_t *const document =
      pl_json_read(editor->request, message->bytes, message->length, &problem);
  if (document == NULL) {
    send_error(editor, NULL, RPC_PARSE_ERROR,
               pl_format(editor->request, "This is no JSON: %s.", problem));
    return;
  }
  json_t *const id = json_object_get(document, "id");
  message->id = json_incref(id);
  const char *const method = json_string_value(json_object_get(document, "method"));
  const json_t *const params = json_object_get(document, "params");
  if (method == NULL) {
    // An answer to a question of the server's own has no method.
    if (id == NULL || (json_object_get(document, "result") == NULL &&
                       json_object_get(document, "error") == NULL))
      send_error(editor, id, RPC_INVALID_REQUEST, "The message has no method.");
  } else if (id != NULL) {
    answer_request(editor, id, method, params);
  } else {
    take_note(editor, method, params);
  }
}

/// What is half made when memory runs out is not to be trusted.
static void recover(struct pl_editor *editor) {
  for (struct document *one = editor->documents; one != NULL; one = one->next) {
    one->program = NULL;
    one->checked = false;
    pl_arena_reset(one->arena);
  }
  editor->session = NULL;
  drop_fresh(editor);
  pl_arena_reset(editor->shared);
  pl_arena_reset(editor->scratch);
  pl_arena_reset(editor->request);
}

static void tell_shortage(void *context) {
  struct message *const message = context;
  send_error(message->editor, message->id, RPC_INTERNAL_ERROR, "There is not enough memory.");
}

bool pl_editor_take(struct pl_editor *editor, const char *bytes, size_t length) {
  struct message message = {.editor = editor, .bytes = bytes, .length = length};
  bool is_dealt_with = pl_with_memory(editor->guard, take, &message);
  if (!is_dealt_with) {
    recover(editor);
    is_dealt_with =
        message.id != NULL && pl_with_memory(editor->guard, tell_shortage, &message);
  }
  json_decref(message.id);
  pl_arena_reset(editor->request);
  return is_dealt_with;
}

static void publish(void *context) {
  publish_problems(context);
}

void pl_editor_idle(struct pl_editor *editor) {
  if (!editor->is_ready || !editor->has_unpublished) return;
  editor->has_unpublished = false;
  if (!pl_with_memory(editor->guard, publish, editor)) {
    recover(editor);
    editor->has_unpublished = true;
  }
  pl_arena_reset(editor->request);
}
