// SPDX-License-Identifier: GPL-3.0-or-later
// A client of the language server for tests, in the same process: it opens files, edits them,
// asks, and keeps what it was told. Its positions are counted apart from the server's. Include
// it after cmocka.h.
#ifndef PITLEAF_TESTS_CLIENT_H
#define PITLEAF_TESTS_CLIENT_H

#include "support.h"

#include "pitleaf/editor.h"

#include <jansson.h>

/// A file that the client has open.
struct pl_client_file {
  const char *name;
  const char *text;
  json_int_t version;
  bool is_open;
};

struct pl_client {
  struct pl_bench *bench;
  struct pl_editor *editor;
  const char *folder; ///< real path of the folder in which names are
  json_t *received;   ///< every message of the server, in order
  json_int_t next_id;
  struct pl_client_file files[16];
  size_t file_count;
};

/// A client whose files are in the working folder. Its server is not initialised yet.
struct pl_client *pl_client_new(struct pl_bench *bench, const char *const *libraries,
                                size_t library_count);
/// The same, initialised, with the working folder as its workspace.
struct pl_client *pl_client_start(struct pl_bench *bench);
void pl_client_end(struct pl_client *client);

/// Sends bytes as one message.
void pl_client_send(struct pl_client *client, const char *bytes, size_t length);
/// Sends a notification; takes `params` (null: none).
void pl_client_tell(struct pl_client *client, const char *method, json_t *params);
/// Sends a request, which must get exactly one answer, and returns that: an object with
/// `result` or `error`. It is the client's.
const json_t *pl_client_answer(struct pl_client *client, const char *method, json_t *params);
/// The result of a request that must not be refused.
const json_t *pl_client_ask(struct pl_client *client, const char *method, json_t *params);
/// The code of the error that a request must get, and its sentence.
json_int_t pl_client_refusal(struct pl_client *client, const char *method, json_t *params,
                             const char **message);

// ---------------------------------------------------------------- files

/// "file://…" of a name.
const char *pl_client_uri(const struct pl_client *client, const char *name);
/// Opens a file with this text; the disk need not have it.
void pl_client_open(struct pl_client *client, const char *name, const char *text);
/// Writes the file and opens it.
void pl_client_write_open(struct pl_client *client, const char *name, const char *text);
/// Replaces the whole text.
void pl_client_write(struct pl_client *client, const char *name, const char *text);
/// Replaces what stands between two bytes of the text.
void pl_client_edit(struct pl_client *client, const char *name, size_t start, size_t end,
                    const char *text);
void pl_client_close(struct pl_client *client, const char *name);
/// The text as the client has it.
const char *pl_client_text(struct pl_client *client, const char *name);

// ---------------------------------------------------------------- places

/// `{line, character}` of a byte of a text.
json_t *pl_position_of(const char *text, size_t byte);
/// The byte at a position, or SIZE_MAX where the text has no such place.
size_t pl_byte_of(const char *text, const json_t *position);
/// `{textDocument, position}`: `after` bytes behind where `mark` first stands in the file.
json_t *pl_client_at(struct pl_client *client, const char *name, const char *mark,
                     size_t after);
/// `{textDocument, range}` of all of the file.
json_t *pl_client_all_of(struct pl_client *client, const char *name);
/// `{textDocument}`
json_t *pl_client_document(struct pl_client *client, const char *name);
/// What stands in a range of the text.
const char *pl_text_in(struct pl_client *client, const char *text, const json_t *range);
/// A text with a list of edits done to it, none of which may touch another.
const char *pl_edited(struct pl_client *client, const char *text, const json_t *edits);
/// Does the edits of a workspace edit to all open files, and tells the server.
void pl_client_apply(struct pl_client *client, const json_t *edit);

// ---------------------------------------------------------------- problems

/// Lets the server be idle, and returns the newest list of problems of a file; null if none was
/// ever told.
const json_t *pl_client_problems(struct pl_client *client, const char *name);
/// The codes in a list of problems with blanks between them; "-" for null.
const char *pl_codes(struct pl_client *client, const json_t *problems);

/// Fails the test unless these are the file's problems.
#define assert_codes(client, name, codes)                                                      \
  assert_string_equal(pl_codes((client), pl_client_problems((client), (name))), (codes))

#endif
