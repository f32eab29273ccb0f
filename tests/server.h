// SPDX-License-Identifier: GPL-3.0-or-later
// `pitleaf lsp` as a process, for tests: it is started, spoken to in any pieces, and killed.
// Include it after cmocka.h.
#ifndef PITLEAF_TESTS_SERVER_H
#define PITLEAF_TESTS_SERVER_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

struct server {
  pid_t pid;
  int to;
  int from;
  int messages; ///< its standard error
  char *bytes;  ///< what was read and not taken yet
  size_t length;
  json_int_t next_id;
  json_int_t told_version; ///< of the text whose problems were told last
  size_t told_count;
};

void nap(long milliseconds);
/// Starts the program that PITLEAF_PROGRAM names; `patience` stands behind --patience, null:
/// nothing does.
void server_start(struct server *server, const char *patience);
void send_bytes(struct server *server, const char *bytes, size_t length);
/// A message with its header; the caller frees it.
char *framed(json_t *document);
/// A notification, and a request that gets the next number; both take `params`.
json_t *note_of(const char *method, json_t *params);
json_t *request_of(struct server *server, const char *method, json_t *params);
/// Sends a message; takes it.
void send_document(struct server *server, json_t *document);
/// The next message, which the caller gives back; null at the end.
json_t *receive(struct server *server);
/// The answer to the newest request, which the caller gives back.
json_t *await_answer(struct server *server);
/// Number of problems of a version of the text, whenever they are or were told.
size_t await_problems(struct server *server, json_int_t version);
/// What the process said on standard error until it ended, in memory of this function.
const char *complaints(const struct server *server);
/// The status with which it ends once its input has ended.
int status_of(struct server *server);
/// Closes what is open to an ended process.
void put_away(struct server *server);
/// Closes its input; it has to end by itself, with this status and without a word.
void end_quietly(struct server *server, int status);
/// The process that works for it; waits until there is one.
pid_t worker(const struct server *server);
/// Stops the process that works, so that it falls over what is sent next.
pid_t stop_worker(const struct server *server);
/// Waits until a process is gone, or has ended and waits to be noticed.
void await_end_of(pid_t pid);

#endif
