// SPDX-License-Identifier: GPL-3.0-or-later
// What a process keeps that watches over the one that works: enough to bring a new one to where
// the old one was.
#include "room.h"

#include <string.h>

/// A client's message in hand.
struct seen {
  struct pl_editor *editor;
  const char *bytes;
  size_t length;
  void (*work)(struct seen *seen);
  json_t *document;
  void (*send)(void *context, const char *text, size_t length);
  void *context;
};

static void follow(struct seen *seen) {
  struct pl_editor *const editor = seen->editor;
  const char *const method = text_in(seen->document, "method");
  const json_t *const params = json_object_get(seen->document, "params");
  const bool has_begun = editor->beginning != NULL;
  // As the server that works has it: documents that come too early or too late are none.
  if (json_object_get(seen->document, "id") == NULL) {
    if (strcmp(method, "exit") == 0) editor->is_over = true;
    if (has_begun && !editor->was_asked_to_stop) take_document_note(editor, method, params);
    return;
  }
  if (strcmp(method, "initialize") == 0 && !has_begun)
    editor->beginning = json_incref(seen->document);
  if (strcmp(method, "shutdown") == 0 && has_begun) editor->was_asked_to_stop = true;
}

static void read_and_work(void *context) {
  struct seen *const seen = context;
  const char *problem = NULL;
  seen->document = pl_json_read(seen->editor->request, seen->bytes, seen->length, &problem);
  if (seen->document != NULL) seen->work(seen);
}

/// False where memory did not suffice.
static bool with_message(struct pl_editor *editor, const char *bytes, size_t length,
                         void (*work)(struct seen *seen)) {
  struct seen seen = {.editor = editor, .bytes = bytes, .length = length, .work = work};
  const bool is_whole = pl_with_memory(editor->guard, read_and_work, &seen);
  drop_fresh(editor);
  pl_arena_reset(editor->request);
  return is_whole;
}

static bool is_to_be_told(const struct document *document) {
  return document->is_unknown && !document->is_given_up;
}

bool pl_editor_follow(struct pl_editor *editor, const char *bytes, size_t length,
                      bool *is_known) {
  const bool is_whole = with_message(editor, bytes, length, follow);
  *is_known = true;
  for (const struct document *one = editor->documents; one != NULL; one = one->next)
    *is_known = *is_known && !is_to_be_told(one);
  return is_whole;
}

// ---------------------------------------------------------------- replays

static void send_copy(const struct seen *seen, const json_t *document) {
  const char *const text = pl_json_print(seen->editor->request, document, JSON_COMPACT);
  seen->send(seen->context, text, strlen(text));
}

static void send_opened(const struct seen *seen, struct document *document) {
  struct pl_arena *const arena = seen->editor->request;
  document->is_unknown = true; // until it is told
  if (document->is_given_up) return;
  json_t *const text = pl_json_bytes(arena, (const char *)document->text, document->length);
  if (text != NULL)
    send_copy(seen, PL_JSON_PACK(arena, "{s:s,s:s,s:{s:{s:s,s:s,s:I,s:O}}}", "jsonrpc", "2.0",
                                 "method", "textDocument/didOpen", "params", "textDocument",
                                 "uri", document->uri, "languageId", "pitleaf", "version",
                                 document->version, "text", text));
  document->is_unknown = false;
}

static void replay(void *context) {
  const struct seen *const seen = context;
  struct pl_editor *const editor = seen->editor;
  if (editor->beginning == NULL) return;
  send_copy(seen, editor->beginning);
  send_copy(seen, PL_JSON_PACK(editor->request, "{s:s,s:s,s:{}}", "jsonrpc", "2.0", "method",
                               "initialized", "params"));
  for (struct document *one = editor->documents; one != NULL; one = one->next)
    send_opened(seen, one);
}

static void catch_up(void *context) {
  const struct seen *const seen = context;
  for (struct document *one = seen->editor->documents; one != NULL; one = one->next) {
    if (is_to_be_told(one)) send_opened(seen, one);
  }
}

/// False where memory did not suffice.
static bool send_what(struct pl_editor *editor, void (*what)(void *context),
                      void (*send)(void *context, const char *text, size_t length),
                      void *context) {
  struct seen seen = {.editor = editor, .send = send, .context = context};
  const bool is_whole = pl_with_memory(editor->guard, what, &seen);
  pl_arena_reset(editor->request);
  return is_whole;
}

bool pl_editor_catch_up(struct pl_editor *editor,
                        void (*send)(void *context, const char *text, size_t length),
                        void *context) {
  return send_what(editor, catch_up, send, context);
}

bool pl_editor_replay(struct pl_editor *editor,
                      void (*send)(void *context, const char *text, size_t length),
                      void *context) {
  return send_what(editor, replay, send, context);
}

// ---------------------------------------------------------------- giving up

static void refuse_request(struct seen *seen) {
  json_t *const id = json_object_get(seen->document, "id");
  if (id != NULL && text_in(seen->document, "method")[0] != '\0')
    refuse(seen->editor, id, "The server fell over this request; it goes on without it.");
}

bool pl_editor_refuse(struct pl_editor *editor, const char *bytes, size_t length) {
  return with_message(editor, bytes, length, refuse_request);
}

static void give_up(struct seen *seen) {
  const json_t *const params = json_object_get(seen->document, "params");
  const char *const uri = text_in(json_object_get(params, "textDocument"), "uri");
  struct document *const document = document_of(seen->editor, uri);
  if (document != NULL) document->is_given_up = true;
}

void pl_editor_give_up(struct pl_editor *editor, const char *bytes, size_t length) {
  with_message(editor, bytes, length, give_up);
}
