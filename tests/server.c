// SPDX-License-Identifier: GPL-3.0-or-later
// `pitleaf lsp` as a process, for tests.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "server.h"

#include <dirent.h>
#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/// How long the test waits for anything, in ms.
#define LONGEST_WAIT 20000

void nap(long milliseconds) {
  const struct timespec time = {milliseconds / 1000, milliseconds % 1000 * 1000000};
  (void)nanosleep(&time, NULL);
}

// ---------------------------------------------------------------- the process

void server_start(struct server *server, const char *patience) {
  const char *const program = getenv("PITLEAF_PROGRAM");
  if (program == NULL) fail_msg("PITLEAF_PROGRAM names the program to test");
  int to[2];
  int from[2];
  int messages[2];
  assert_int_equal(pipe(to), 0);
  assert_int_equal(pipe(from), 0);
  assert_int_equal(pipe(messages), 0);
  const pid_t pid = fork();
  assert_true(pid >= 0);
  if (pid == 0) {
    dup2(to[0], STDIN_FILENO);
    dup2(from[1], STDOUT_FILENO);
    dup2(messages[1], STDERR_FILENO);
    for (int file = 3; file < 64; file++) close(file);
    signal(SIGPIPE, SIG_DFL);
    if (patience == NULL)
      execl(program, program, "lsp", (char *)NULL);
    else
      execl(program, program, "lsp", "--patience", patience, (char *)NULL);
    _exit(127);
  }
  close(to[0]);
  close(from[1]);
  close(messages[1]);
  *server = (struct server){.pid = pid, .to = to[1], .from = from[0], .messages = messages[0]};
}

void send_bytes(struct server *server, const char *bytes, size_t length) {
  while (length > 0) {
    const ssize_t written = write(server->to, bytes, length);
    if (written <= 0) fail_msg("the server does not listen: %s", strerror(errno));
    bytes += written;
    length -= (size_t)written;
  }
}

char *framed(json_t *document) {
  json_object_set_new(document, "jsonrpc", json_string("2.0"));
  char *const text = json_dumps(document, JSON_COMPACT);
  json_decref(document);
  assert_non_null(text);
  const size_t size = strlen(text) + 64;
  char *const whole = malloc(size);
  assert_non_null(whole);
  (void)snprintf(whole, size, "Content-Length: %zu\r\n\r\n%s", strlen(text), text);
  free(text);
  return whole;
}

json_t *note_of(const char *method, json_t *params) {
  return json_pack("{s:s,s:o}", "method", method, "params", params);
}

json_t *request_of(struct server *server, const char *method, json_t *params) {
  return json_pack("{s:I,s:s,s:o}", "id", ++server->next_id, "method", method, "params",
                   params);
}

void send_document(struct server *server, json_t *document) {
  char *const whole = framed(document);
  send_bytes(server, whole, strlen(whole));
  free(whole);
}

/// Reads what is there into the process's bytes; false at the end.
static bool read_some(struct server *server) {
  struct pollfd wait = {.fd = server->from, .events = POLLIN};
  if (poll(&wait, 1, LONGEST_WAIT) <= 0) fail_msg("the server says nothing");
  char more[65536];
  const ssize_t got = read(server->from, more, sizeof more);
  if (got <= 0) return false;
  char *const larger = realloc(server->bytes, server->length + (size_t)got + 1);
  assert_non_null(larger);
  memcpy(larger + server->length, more, (size_t)got);
  server->bytes = larger;
  server->length += (size_t)got;
  larger[server->length] = '\0';
  return true;
}

static void note_problems(struct server *server, const json_t *document) {
  const json_t *const params = json_object_get(document, "params");
  const json_t *const list = json_object_get(params, "diagnostics");
  if (list == NULL) return;
  server->told_version = json_integer_value(json_object_get(params, "version"));
  server->told_count = json_array_size(list);
}

json_t *receive(struct server *server) {
  for (;;) {
    const char *const end = server->length == 0 ? NULL : strstr(server->bytes, "\r\n\r\n");
    if (end != NULL) {
      if (strncmp(server->bytes, "Content-Length: ", 16) != 0)
        fail_msg("no header: %.80s", server->bytes);
      const size_t size = (size_t)strtoul(server->bytes + 16, NULL, 10);
      const size_t begin = (size_t)(end - server->bytes) + 4;
      if (server->length >= begin + size) {
        json_error_t error;
        json_t *const document =
            json_loadb(server->bytes + begin, size, JSON_ALLOW_NUL, &error);
        if (document == NULL) fail_msg("a message is no JSON: %s", error.text);
        note_problems(server, document);
        server->length -= begin + size;
        memmove(server->bytes, server->bytes + begin + size, server->length + 1);
        return document;
      }
    }
    if (!read_some(server)) {
      assert_int_equal(server->length, 0); // no half of a message
      return NULL;
    }
  }
}

json_t *await_answer(struct server *server) {
  for (;;) {
    json_t *const document = receive(server);
    if (document == NULL) fail_msg("the server ended");
    if (json_object_get(document, "method") == NULL &&
        json_integer_value(json_object_get(document, "id")) == server->next_id)
      return document;
    json_decref(document);
  }
}

size_t await_problems(struct server *server, json_int_t version) {
  while (server->told_version < version) {
    json_t *const document = receive(server);
    if (document == NULL) fail_msg("the server ended");
    json_decref(document);
  }
  return server->told_count;
}

const char *complaints(const struct server *server) {
  static char text[4096];
  size_t length = 0;
  for (;;) {
    const ssize_t got = read(server->messages, text + length, sizeof text - 1 - length);
    if (got <= 0) break;
    length += (size_t)got;
  }
  text[length] = '\0';
  return text;
}

int status_of(struct server *server) {
  int status = 0;
  for (int waited = 0; waitpid(server->pid, &status, WNOHANG) == 0; waited += 5) {
    if (waited > LONGEST_WAIT) fail_msg("the server does not end");
    nap(5);
  }
  assert_true(WIFEXITED(status));
  return WEXITSTATUS(status);
}

void put_away(struct server *server) {
  if (server->to >= 0) close(server->to);
  if (server->from >= 0) close(server->from);
  close(server->messages);
  free(server->bytes);
}

void end_quietly(struct server *server, int status) {
  close(server->to);
  server->to = -1;
  const int got = status_of(server);
  assert_string_equal(complaints(server), "");
  assert_int_equal(got, status);
  put_away(server);
}

// ---------------------------------------------------------------- the process that works

/// The one child of the process, or 0. Linux tells it in /proc.
static pid_t worker_of(pid_t parent) {
  DIR *const folder = opendir("/proc");
  assert_non_null(folder);
  pid_t found = 0;
  const struct dirent *entry;
  while ((entry = readdir(folder)) != NULL) {
    char path[300];
    char line[512];
    (void)snprintf(path, sizeof path, "/proc/%s/stat", entry->d_name);
    FILE *const file =
        entry->d_name[0] >= '0' && entry->d_name[0] <= '9' ? fopen(path, "r") : NULL;
    if (file == NULL) continue;
    const bool has_line = fgets(line, sizeof line, file) != NULL;
    (void)fclose(file);
    const char *const behind = has_line ? strrchr(line, ')') : NULL;
    if (behind == NULL || behind[2] == 'Z') continue;
    if ((pid_t)strtol(behind + 4, NULL, 10) == parent)
      found = (pid_t)strtol(entry->d_name, NULL, 10);
  }
  (void)closedir(folder);
  return found;
}

pid_t worker(const struct server *server) {
  pid_t found = 0;
  for (int waited = 0; found == 0; waited += 5) {
    if (waited > LONGEST_WAIT) fail_msg("there is no process that works");
    found = worker_of(server->pid);
    if (found == 0) nap(5);
  }
  return found;
}

pid_t stop_worker(const struct server *server) {
  const pid_t pid = worker(server);
  assert_int_equal(kill(pid, SIGSTOP), 0);
  return pid;
}

void await_end_of(pid_t pid) {
  for (int waited = 0; waited < LONGEST_WAIT; waited += 5) {
    char path[64];
    char line[512] = "";
    (void)snprintf(path, sizeof path, "/proc/%d/stat", (int)pid);
    FILE *const file = fopen(path, "r");
    if (file == NULL) return;
    const bool has_line = fgets(line, sizeof line, file) != NULL;
    (void)fclose(file);
    const char *const behind = has_line ? strrchr(line, ')') : NULL;
    if (behind == NULL || behind[2] == 'Z') return;
    nap(5);
  }
  fail_msg("process %d does not end", (int)pid);
}
