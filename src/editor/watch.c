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
  take_document_note(editor, method, params);
  if (strcmp(method, "exit") == 0) editor->is_over = true;
  if (strcmp(method, "shutdown") == 0) editor->was_asked_to_stop = true;
  if (strcmp(method, "initialize") == 0 && editor->beginning == NULL)
    editor->beginning = json_incref(seen->document);
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

bool pl_editor_follow(struct pl_editor *editor, const char *bytes, size_t length) {
  return with_message(editor, bytes, length, follow);
}

bool pl_editor_has_revived(struct pl_editor *editor) {
  const bool has_revived = editor->has_revived;
  editor->has_revived = false;
  return has_revived;
}

// ---------------------------------------------------------------- replays

static void send_copy(const struct seen *seen, const json_t *document) {
  const char *const text = pl_json_print(seen->editor->request, document, JSON_COMPACT);
  seen->send(seen->context, text, strlen(text));
}

static void replay(void *context) {
  const struct seen *const seen = context;
  struct pl_editor *const editor = seen->editor;
  if (editor->beginning == NULL) return;
  send_copy(seen, editor->beginning);
  send_copy(seen, PL_JSON_PACK(editor->request, "{s:s,s:s,s:{}}", "jsonrpc", "2.0", "method",
                               "initialized", "params"));
  for (const struct document *one = editor->documents; one != NULL; one = one->next) {
    if (one->is_given_up) continue;
    json_t *const text = pl_json_bytes(editor->request, (const char *)one->text, one->length);
    if (text == NULL) continue;
    send_copy(seen, PL_JSON_PACK(editor->request, "{s:s,s:s,s:{s:{s:s,s:s,s:I,s:O}}}",
                                 "jsonrpc", "2.0", "method", "textDocument/didOpen", "params",
                                 "textDocument", "uri", one->uri, "languageId", "pitleaf",
                                 "version", one->version, "text", text));
  }
}

bool pl_editor_replay(struct pl_editor *editor,
                      void (*send)(void *context, const char *text, size_t length),
                      void *context) {
  struct seen seen = {.editor = editor, .send = send, .context = context};
  const bool is_whole = pl_with_memory(editor->guard, replay, &seen);
  pl_arena_reset(editor->request);
  return is_whole;
}

// ---------------------------------------------------------------- giving up

static void give_up(struct seen *seen) {
  struct pl_editor *const editor = seen->editor;
  json_t *const id = json_object_get(seen->document, "id");
  const json_t *const params = json_object_get(seen->document, "params");
  const char *const uri = text_in(json_object_get(params, "textDocument"), "uri");
  struct document *const document = document_of(editor, uri);
  if (id == NULL) {
    if (document != NULL) document->is_given_up = true;
    return;
  }
  refuse(editor, id, "The server fell over this request; it goes on without it.");
}

void pl_editor_give_up(struct pl_editor *editor, const char *bytes, size_t length) {
  with_message(editor, bytes, length, give_up);
}
