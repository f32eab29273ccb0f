// SPDX-License-Identifier: GPL-3.0-or-later
// The language server. Each part of an input is a message: as it stands behind `#@ raw`, or
// made from what an editor would send:
//   #@ open NAME               the part is the document's text
//   #@ change NAME L C L C     the part takes the place of what is between the two positions
//   #@ METHOD NAME L C         a request of textDocument/METHOD; for a rename the new name
//   #@ idle                    nothing is waiting
// Promised: what is sent is JSON, each request is answered once, and a server that was brought
// to where another was by a replay answers as that one does.
#include "target.h"

#include "pitleaf/editor.h"

#include <jansson.h>
#include <stdio.h>
#include <string.h>

/// A server with what it sent last.
struct server {
  struct target *target;
  struct pl_editor *editor;
  const char *answer; ///< to the newest request; null: none yet
  size_t answers;
};

static void hear(void *context, const char *text, size_t length) {
  struct server *const server = context;
  check_json("a message of the server", text);
  json_t *const document = json_loads(text, 0, NULL);
  const bool is_answer = json_object_get(document, "method") == NULL;
  if (is_answer) server->answer = pl_copy_text(server->target->arena, text, length);
  if (is_answer) server->answers++;
  json_decref(document);
}

static struct server *server_new(struct target *target) {
  struct server *const server = pl_alloc(target->arena, sizeof *server);
  const char **const libraries = pl_alloc(target->arena, sizeof *libraries);
  libraries[0] = target->library;
  const struct pl_editor_options options = {.libraries = libraries,
                                            .library_count = 1,
                                            .root = target->folder,
                                            .version = "0",
                                            .send = hear,
                                            .context = server};
  server->target = target;
  server->editor = pl_editor_new(&options);
  if (server->editor == NULL) broken("there is no server");
  return server;
}

static void give(struct server *server, const char *bytes, size_t length) {
  pl_editor_take(server->editor, bytes, length);
}

static void hand_on(void *context, const char *text, size_t length) {
  give(context, text, length);
}

// ---------------------------------------------------------------- messages

/// The words behind the first of a part's head.
struct aim {
  char method[32];
  char name[32];
  int numbers[4];
};

static const char *message_of(struct target *target, const struct part *part,
                              const struct aim *aim) {
  const char *const uri = pl_format(target->arena, "file://%s/%s", target->folder, aim->name);
  json_t *const text = json_stringn(part->bytes, part->length);
  if (text == NULL) return NULL; // no UTF-8: no client can send it
  const int *const at = aim->numbers;
  json_t *message = NULL;
  json_error_t error;
  if (strcmp(aim->method, "open") == 0)
    message =
        json_pack_ex(&error, 0, "{s:s,s:{s:{s:s,s:i,s:O}}}", "method", "textDocument/didOpen",
                     "params", "textDocument", "uri", uri, "version", 1, "text", text);
  else if (strcmp(aim->method, "change") == 0)
    message = json_pack_ex(
        &error, 0, "{s:s,s:{s:{s:s,s:i},s:[{s:{s:{s:i,s:i},s:{s:i,s:i}},s:O}]}}", "method",
        "textDocument/didChange", "params", "textDocument", "uri", uri, "version", 2,
        "contentChanges", "range", "start", "line", at[0], "character", at[1], "end", "line",
        at[2], "character", at[3], "text", text);
  else
    message = json_pack_ex(
        &error, 0, "{s:i,s:o,s:{s:{s:s},s:{s:i,s:i},s:{s:{s:i,s:i},s:{s:i,s:i}},s:O}}", "id", 7,
        "method", json_sprintf("textDocument/%s", aim->method), "params", "textDocument", "uri",
        uri, "position", "line", at[0], "character", at[1], "range", "start", "line", at[0],
        "character", at[1], "end", "line", at[2], "character", at[3], "newName", text);
  json_decref(text);
  char *const dumped = json_dumps(message, JSON_COMPACT);
  if (dumped == NULL) return NULL; // a method that is no UTF-8
  json_decref(message);
  const char *const kept = pl_copy_text(target->arena, dumped, strlen(dumped));
  free(dumped);
  return kept;
}

/// Two servers: one works, the other keeps watch.
struct pair {
  struct server *worker;
  struct server *keeper;
};

static void send_to_both(const struct pair *pair, const char *bytes, size_t length) {
  bool is_known = false;
  pl_editor_follow(pair->keeper->editor, bytes, length, &is_known);
  give(pair->worker, bytes, length);
}

static void work_on(const struct pair *pair, const struct part *part) {
  struct aim aim = {"", "", {0}};
  struct server *const worker = pair->worker;
  (void)sscanf(part->head, "%31s %31s %d %d %d %d", aim.method, aim.name, &aim.numbers[0],
               &aim.numbers[1], &aim.numbers[2], &aim.numbers[3]);
  if (strcmp(aim.method, "idle") == 0) {
    pl_editor_idle(worker->editor);
  } else if (strcmp(aim.method, "raw") == 0) {
    send_to_both(pair, part->bytes, part->length);
  } else {
    const size_t before = worker->answers;
    const char *const message = message_of(worker->target, part, &aim);
    if (message == NULL) return;
    send_to_both(pair, message, strlen(message));
    const bool is_request = strstr(message, "\"id\":7") != NULL;
    if (is_request && worker->answers != before + 1)
      broken("%zu answers to %s", worker->answers - before, message);
  }
}

/// What a new server that was taught by the keeper says of the first document has to be what
/// the worker says.
static void check_replay(const struct pair *pair) {
  struct target *const target = pair->worker->target;
  struct server *const newest = server_new(target);
  pl_editor_replay(pair->keeper->editor, hand_on, newest);
  static const char *const methods[] = {"semanticTokens/full", "documentSymbol", "formatting"};
  for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
    const char *const message =
        pl_format(target->arena,
                  "{\"id\":8,\"method\":\"textDocument/%s\",\"params\":{\"textDocument\":"
                  "{\"uri\":\"file://%s/a.leaf\"}}}",
                  methods[i], target->folder);
    give(pair->worker, message, strlen(message));
    give(newest, message, strlen(message));
    if (strcmp(pair->worker->answer, newest->answer) != 0)
      broken("after a replay %s is\n%s\nnot\n%s", methods[i], newest->answer,
             pair->worker->answer);
  }
  pl_editor_idle(newest->editor);
  pl_editor_free(newest->editor);
}

void try_input(struct target *target) {
  struct part parts[PART_LIMIT];
  const size_t count = parts_of(target, parts);
  const struct pair pair = {server_new(target), server_new(target)};
  const char *const beginning =
      pl_format(target->arena,
                "{\"id\":1,\"method\":\"initialize\",\"params\":{\"rootUri\":\"file://%s\"}}",
                target->folder);
  send_to_both(&pair, beginning, strlen(beginning));
  int status = 0;
  for (size_t i = 1; i < count && !pl_editor_is_over(pair.worker->editor, &status); i++)
    work_on(&pair, &parts[i]);
  pl_editor_idle(pair.worker->editor);
  if (!pl_editor_is_over(pair.keeper->editor, &status) && status != 0) check_replay(&pair);
  const struct part *const last = &parts[count - 1];
  pl_editor_give_up(pair.keeper->editor, last->bytes, last->length);
  pl_editor_free(pair.worker->editor);
  pl_editor_free(pair.keeper->editor);
}
