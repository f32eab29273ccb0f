// SPDX-License-Identifier: GPL-3.0-or-later
// A client of the language server for tests, in the same process.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include <limits.h>
#include <string.h>
#include <unistd.h>

// ---------------------------------------------------------------- messages

static void receive(void *context, const char *text, size_t length) {
  struct pl_client *const client = context;
  json_error_t error;
  json_t *const message = json_loadb(text, length, JSON_ALLOW_NUL, &error);
  if (message == NULL) fail_msg("the server sent what is no JSON: %s", error.text);
  assert_string_equal(json_string_value(json_object_get(message, "jsonrpc")), "2.0");
  json_array_append_new(client->received, message);
}

struct pl_client *pl_client_new(struct pl_bench *bench, const char *const *libraries,
                                size_t library_count) {
  struct pl_client *const client = pl_alloc(bench->own, sizeof *client);
  char folder[PATH_MAX];
  if (getcwd(folder, sizeof folder) == NULL) fail_msg("there is no working folder");
  *client = (struct pl_client){.bench = bench,
                               .folder = pl_copy_text(bench->own, folder, strlen(folder)),
                               .received = json_array()};
  const struct pl_editor_options options = {.libraries = libraries,
                                            .library_count = library_count,
                                            .version = "0",
                                            .send = receive,
                                            .context = client};
  client->editor = pl_editor_new(&options);
  assert_non_null(client->editor);
  return client;
}

struct pl_client *pl_client_start(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_new(bench, NULL, 0);
  (void)pl_client_ask(client, "initialize",
                      json_pack("{s:n,s:o,s:{}}", "processId", "rootUri",
                                json_string(pl_format(bench->own, "file://%s", client->folder)),
                                "capabilities"));
  pl_client_tell(client, "initialized", json_object());
  return client;
}

void pl_client_end(struct pl_client *client) {
  pl_editor_free(client->editor);
  json_decref(client->received);
}

void pl_client_send(struct pl_client *client, const char *bytes, size_t length) {
  pl_editor_take(client->editor, bytes, length);
}

static void send_document(struct pl_client *client, json_t *document) {
  json_object_set_new(document, "jsonrpc", json_string("2.0"));
  char *const text = json_dumps(document, JSON_COMPACT);
  json_decref(document);
  assert_non_null(text);
  pl_client_send(client, text, strlen(text));
  free(text);
}

void pl_client_tell(struct pl_client *client, const char *method, json_t *params) {
  json_t *const document = json_pack("{s:s}", "method", method);
  if (params != NULL) json_object_set_new(document, "params", params);
  send_document(client, document);
}

const json_t *pl_client_answer(struct pl_client *client, const char *method, json_t *params) {
  const json_int_t id = ++client->next_id;
  const size_t before = json_array_size(client->received);
  json_t *const document = json_pack("{s:I,s:s}", "id", id, "method", method);
  if (params != NULL) json_object_set_new(document, "params", params);
  send_document(client, document);
  const json_t *found = NULL;
  for (size_t i = before; i < json_array_size(client->received); i++) {
    const json_t *const message = json_array_get(client->received, i);
    if (json_object_get(message, "method") != NULL) continue;
    if (found != NULL) fail_msg("`%s` got two answers", method);
    found = message;
  }
  if (found == NULL) fail_msg("`%s` got no answer", method);
  assert_int_equal(json_integer_value(json_object_get(found, "id")), id);
  const bool has_result = json_object_get(found, "result") != NULL;
  assert_true(has_result != (json_object_get(found, "error") != NULL));
  return found;
}

const json_t *pl_client_ask(struct pl_client *client, const char *method, json_t *params) {
  const json_t *const answer = pl_client_answer(client, method, params);
  const json_t *const error = json_object_get(answer, "error");
  if (error != NULL)
    fail_msg("`%s` was refused: %s", method,
             json_string_value(json_object_get(error, "message")));
  return json_object_get(answer, "result");
}

json_int_t pl_client_refusal(struct pl_client *client, const char *method, json_t *params,
                             const char **message) {
  const json_t *const error =
      json_object_get(pl_client_answer(client, method, params), "error");
  if (error == NULL) fail_msg("`%s` was not refused", method);
  *message = json_string_value(json_object_get(error, "message"));
  assert_non_null(*message);
  return json_integer_value(json_object_get(error, "code"));
}

// ---------------------------------------------------------------- files

const char *pl_client_uri(const struct pl_client *client, const char *name) {
  if (strchr(name, ':') != NULL) return name;
  return pl_format(client->bench->own, "file://%s/%s", client->folder, name);
}

static struct pl_client_file *file_of(struct pl_client *client, const char *name) {
  for (size_t i = 0; i < client->file_count; i++) {
    if (strcmp(client->files[i].name, name) == 0) return &client->files[i];
  }
  fail_msg("%s is not open", name);
  return NULL;
}

void pl_client_open(struct pl_client *client, const char *name, const char *text) {
  assert_true(client->file_count < sizeof client->files / sizeof client->files[0]);
  struct pl_client_file *file = NULL;
  for (size_t i = 0; i < client->file_count; i++) {
    if (strcmp(client->files[i].name, name) == 0) file = &client->files[i];
  }
  if (file == NULL) file = &client->files[client->file_count++];
  *file = (struct pl_client_file){name, pl_copy_text(client->bench->own, text, strlen(text)),
                                  file->version + 1, true};
  pl_client_tell(client, "textDocument/didOpen",
                 json_pack("{s:{s:s,s:s,s:I,s:s}}", "textDocument", "uri",
                           pl_client_uri(client, name), "languageId", "pitleaf", "version",
                           file->version, "text", text));
}

void pl_client_write_open(struct pl_client *client, const char *name, const char *text) {
  pl_test_write_text(name, text);
  pl_client_open(client, name, text);
}

static void tell_change(struct pl_client *client, struct pl_client_file *file, json_t *change) {
  pl_client_tell(client, "textDocument/didChange",
                 json_pack("{s:{s:s,s:I},s:[o]}", "textDocument", "uri",
                           pl_client_uri(client, file->name), "version", ++file->version,
                           "contentChanges", change));
}

void pl_client_write(struct pl_client *client, const char *name, const char *text) {
  struct pl_client_file *const file = file_of(client, name);
  file->text = pl_copy_text(client->bench->own, text, strlen(text));
  tell_change(client, file, json_pack("{s:s}", "text", text));
}

static const char *spliced(struct pl_client *client, const char *text, size_t start, size_t end,
                           const char *added) {
  return pl_format(client->bench->own, "%.*s%s%s", (int)start, text, added, text + end);
}

void pl_client_edit(struct pl_client *client, const char *name, size_t start, size_t end,
                    const char *text) {
  struct pl_client_file *const file = file_of(client, name);
  json_t *const change =
      json_pack("{s:{s:o,s:o},s:s}", "range", "start", pl_position_of(file->text, start), "end",
                pl_position_of(file->text, end), "text", text);
  file->text = spliced(client, file->text, start, end, text);
  tell_change(client, file, change);
}

void pl_client_close(struct pl_client *client, const char *name) {
  file_of(client, name)->is_open = false;
  pl_client_tell(client, "textDocument/didClose", pl_client_document(client, name));
}

const char *pl_client_text(struct pl_client *client, const char *name) {
  return file_of(client, name)->text;
}

// ---------------------------------------------------------------- places

/// Walks through a text, from character to character.
struct walk {
  const char *text;
  size_t at;
  json_int_t line;
  json_int_t character;
};

static void step(struct walk *walk) {
  const char *const text = walk->text;
  const unsigned char one = (unsigned char)text[walk->at++];
  if (one == '\n' || (one == '\r' && text[walk->at] != '\n')) {
    walk->line++;
    walk->character = 0;
  } else if (one != '\r' && (one < 0x80 || one >= 0xC0)) {
    walk->character += one >= 0xF0 ? 2 : 1;
  }
}

json_t *pl_position_of(const char *text, size_t byte) {
  struct walk walk = {.text = text};
  while (walk.at < byte) step(&walk);
  return json_pack("{s:I,s:I}", "line", walk.line, "character", walk.character);
}

size_t pl_byte_of(const char *text, const json_t *position) {
  const json_int_t line = json_integer_value(json_object_get(position, "line"));
  const json_int_t character = json_integer_value(json_object_get(position, "character"));
  struct walk walk = {.text = text};
  for (const size_t length = strlen(text); walk.at <= length; step(&walk)) {
    const unsigned char one = (unsigned char)text[walk.at];
    const bool within = one >= 0x80 && one < 0xC0;
    if (!within && walk.line == line && walk.character == character) return walk.at;
  }
  return SIZE_MAX;
}

json_t *pl_client_document(struct pl_client *client, const char *name) {
  return json_pack("{s:{s:s}}", "textDocument", "uri", pl_client_uri(client, name));
}

json_t *pl_client_at(struct pl_client *client, const char *name, const char *mark,
                     size_t after) {
  const char *const text = pl_client_text(client, name);
  const char *const found = strstr(text, mark);
  if (found == NULL) fail_msg("%s has no `%s`", name, mark);
  json_t *const params = pl_client_document(client, name);
  json_object_set_new(params, "position", pl_position_of(text, (size_t)(found - text) + after));
  return params;
}

json_t *pl_client_all_of(struct pl_client *client, const char *name) {
  const char *const text = pl_client_text(client, name);
  json_t *const params = pl_client_document(client, name);
  json_object_set_new(params, "range",
                      json_pack("{s:o,s:o}", "start", pl_position_of(text, 0), "end",
                                pl_position_of(text, strlen(text))));
  return params;
}

static void read_range(const char *text, const json_t *range, size_t *start, size_t *end) {
  *start = pl_byte_of(text, json_object_get(range, "start"));
  *end = pl_byte_of(text, json_object_get(range, "end"));
  if (*start == SIZE_MAX || *end == SIZE_MAX || *start > *end)
    fail_msg("a range is none of the text");
}

const char *pl_text_in(struct pl_client *client, const char *text, const json_t *range) {
  size_t start = 0;
  size_t end = 0;
  read_range(text, range, &start, &end);
  return pl_copy_text(client->bench->own, text + start, end - start);
}

const char *pl_edited(struct pl_client *client, const char *text, const json_t *edits) {
  const char *edited = text;
  size_t behind = strlen(text) + 1; // where the edit before this one begins, from the end on
  for (size_t round = 0; round < json_array_size(edits); round++) {
    // The last one that is left: what stands before it keeps its place.
    const json_t *last = NULL;
    size_t last_start = 0;
    size_t last_end = 0;
    for (size_t i = 0; i < json_array_size(edits); i++) {
      size_t start = 0;
      size_t end = 0;
      read_range(text, json_object_get(json_array_get(edits, i), "range"), &start, &end);
      if (start >= behind || (last != NULL && start <= last_start)) continue;
      last = json_array_get(edits, i);
      last_start = start;
      last_end = end;
    }
    if (last == NULL || last_end > behind) fail_msg("edits touch each other");
    edited = spliced(client, edited, last_start, last_end,
                     json_string_value(json_object_get(last, "newText")));
    behind = last_start;
  }
  return edited;
}

void pl_client_apply(struct pl_client *client, const json_t *edit) {
  const json_t *const changes = json_object_get(edit, "changes");
  size_t done = 0;
  for (size_t i = 0; i < client->file_count; i++) {
    const struct pl_client_file *const file = &client->files[i];
    const json_t *const edits = json_object_get(changes, pl_client_uri(client, file->name));
    if (edits == NULL) continue;
    pl_client_write(client, file->name, pl_edited(client, file->text, edits));
    done++;
  }
  assert_int_equal(done, json_object_size(changes));
}

// ---------------------------------------------------------------- problems

const json_t *pl_client_problems(struct pl_client *client, const char *name) {
  pl_editor_idle(client->editor);
  const char *const uri = pl_client_uri(client, name);
  for (size_t i = json_array_size(client->received); i > 0; i--) {
    const json_t *const message = json_array_get(client->received, i - 1);
    const char *const method = json_string_value(json_object_get(message, "method"));
    const json_t *const params = json_object_get(message, "params");
    const char *const of = json_string_value(json_object_get(params, "uri"));
    if (method != NULL && strcmp(method, "textDocument/publishDiagnostics") == 0 &&
        of != NULL && strcmp(of, uri) == 0)
      return json_object_get(params, "diagnostics");
  }
  return NULL;
}

const char *pl_codes(struct pl_client *client, const json_t *problems) {
  if (problems == NULL) return "-";
  struct pl_buffer codes = {.arena = client->bench->own};
  for (size_t i = 0; i < json_array_size(problems); i++)
    pl_buffer_format(&codes, "%s%s", i == 0 ? "" : " ",
                     json_string_value(json_object_get(json_array_get(problems, i), "code")));
  return pl_buffer_string(&codes);
}
