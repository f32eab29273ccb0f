// SPDX-License-Identifier: GPL-3.0-or-later
// Times what an editor's user waits for: problems after a keystroke, and completion, from a
// server in a process of its own, over pipes. The file has 300 lines: the demo's setup, over
// and over under other names, with its includes. Usage: latency PROGRAM SETUP.leaf
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#define LINES 300
#define RUNS  101

static FILE *to_server;
static FILE *from_server;

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void fail(const char *reason) {
  fprintf(stderr, "latency: %s\n", reason);
  exit(1);
}

// ---------------------------------------------------------------- messages

static void start_server(const char *program) {
  int to[2];
  int from[2];
  if (pipe(to) != 0 || pipe(from) != 0) fail("no pipes");
  if (fork() == 0) {
    dup2(to[0], STDIN_FILENO);
    dup2(from[1], STDOUT_FILENO);
    close(to[1]);
    close(from[0]);
    execl(program, program, "lsp", (char *)NULL);
    _exit(127);
  }
  close(to[0]);
  close(from[1]);
  to_server = fdopen(to[1], "w");
  from_server = fdopen(from[0], "r");
  if (to_server == NULL || from_server == NULL) fail("no streams");
}

/// Takes the document.
static void send_message(json_t *document) {
  char *const text = json_dumps(document, JSON_COMPACT);
  if (text == NULL) fail("no message");
  fprintf(to_server, "Content-Length: %zu\r\n\r\n%s", strlen(text), text);
  fflush(to_server);
  free(text);
  json_decref(document);
}

/// The next message, which the caller gives back.
static json_t *receive(void) {
  char line[128];
  size_t length = 0;
  while (fgets(line, sizeof line, from_server) != NULL && strcmp(line, "\r\n") != 0) {
    if (strncmp(line, "Content-Length: ", 16) == 0) length = strtoull(line + 16, NULL, 10);
  }
  char *const bytes = malloc(length + 1);
  if (length == 0 || bytes == NULL || fread(bytes, 1, length, from_server) != length)
    fail("the server ended");
  json_t *const document = json_loadb(bytes, length, 0, NULL);
  free(bytes);
  return document;
}

/// Waits for the problems of a version of the text; their number.
static size_t await_problems(json_int_t version) {
  for (;;) {
    json_t *const document = receive();
    const json_t *const params = json_object_get(document, "params");
    const json_int_t of = json_integer_value(json_object_get(params, "version"));
    const size_t count = json_array_size(json_object_get(params, "diagnostics"));
    json_decref(document);
    if (of == version) return count;
  }
}

/// Waits for the answer to a request; the number of its offers.
static size_t await_offers(json_int_t id) {
  for (;;) {
    json_t *const document = receive();
    const json_int_t of = json_integer_value(json_object_get(document, "id"));
    const json_t *const result = json_object_get(document, "result");
    const size_t count = json_array_size(json_object_get(result, "items"));
    json_decref(document);
    if (of == id) return count;
  }
}

// ---------------------------------------------------------------- the file

static char *whole_file(const char *path) {
  FILE *const file = fopen(path, "r");
  char *const text = calloc(1, 1 << 16);
  if (file == NULL || text == NULL || fread(text, 1, (1 << 16) - 1, file) == 0)
    fail("no setup");
  fclose(file);
  return text;
}

/// The setup again and again, each under its own name, until there are enough lines.
static char *long_text(const char *text) {
  const char *const setup = strstr(text, "\nsetup \"");
  const size_t room = 1 << 20;
  char *const out = malloc(room);
  if (setup == NULL || out == NULL) fail("no setup in the file");
  size_t length = (size_t)snprintf(out, room, "%s", text);
  for (int i = 2;; i++) {
    size_t lines = 0;
    for (size_t at = 0; at < length; at++) lines += out[at] == '\n';
    if (lines >= LINES) return out;
    length += (size_t)snprintf(out + length, room - length, "\nsetup \"%d, %s", i, setup + 8);
  }
}

/// The position of a byte of a text without wide letters before it on its line.
static json_t *position_of(const char *text, const char *at) {
  int line = 0;
  const char *start = text;
  for (const char *one = text; one < at; one++) {
    if (*one != '\n') continue;
    line++;
    start = one + 1;
  }
  return json_pack("{s:i,s:i}", "line", line, "character", (int)(at - start));
}

// ---------------------------------------------------------------- measuring

static int compare_doubles(const void *left, const void *right) {
  const double a = *(const double *)left;
  const double b = *(const double *)right;
  return a < b ? -1 : a > b;
}

static void tell(const char *name, double *times) {
  qsort(times, RUNS, sizeof *times, compare_doubles);
  printf("%s %.3f %.3f\n", name, 1e3 * times[RUNS / 2], 1e3 * times[RUNS - 1]);
}

int main(int count, char **arguments) {
  if (count != 3) fail("usage: latency PROGRAM SETUP.leaf");
  char *const path = realpath(arguments[2], NULL);
  char uri[4096];
  if (path == NULL) fail("no such file");
  snprintf(uri, sizeof uri, "file://%s", path);
  char *const base = whole_file(path);
  char *const text = long_text(base);
  const char *const place = strstr(text, "= ");
  if (place == NULL) fail("no line to edit");
  start_server(arguments[1]);
  send_message(json_pack("{s:s,s:i,s:s,s:{s:n,s:{}}}", "jsonrpc", "2.0", "id", 1, "method",
                         "initialize", "params", "processId", "capabilities"));
  await_offers(1);
  send_message(
      json_pack("{s:s,s:s,s:{}}", "jsonrpc", "2.0", "method", "initialized", "params"));
  send_message(json_pack("{s:s,s:s,s:{s:{s:s,s:s,s:i,s:s}}}", "jsonrpc", "2.0", "method",
                         "textDocument/didOpen", "params", "textDocument", "uri", uri,
                         "languageId", "pitleaf", "version", 1, "text", text));
  if (await_problems(1) > 0) fail("the file has problems");
  double keystrokes[RUNS];
  double completions[RUNS];
  for (int i = 0; i < RUNS; i++) {
    // A blank in a value, typed and taken back.
    json_t *const start = position_of(text, place + 1);
    json_t *const end = position_of(text, place + (i % 2 == 0 ? 1 : 2));
    double before = seconds();
    send_message(json_pack("{s:s,s:s,s:{s:{s:s,s:i},s:[{s:{s:o,s:o},s:s}]}}", "jsonrpc", "2.0",
                           "method", "textDocument/didChange", "params", "textDocument", "uri",
                           uri, "version", i + 2, "contentChanges", "range", "start", start,
                           "end", end, "text", i % 2 == 0 ? " " : ""));
    if (await_problems(i + 2) > 0) fail("an edit made a problem");
    keystrokes[i] = seconds() - before;
    before = seconds();
    send_message(json_pack("{s:s,s:i,s:s,s:{s:{s:s},s:o}}", "jsonrpc", "2.0", "id", i + 2,
                           "method", "textDocument/completion", "params", "textDocument", "uri",
                           uri, "position", position_of(text, strstr(text, "\n  air") + 3)));
    if (await_offers(i + 2) == 0) fail("nothing was offered");
    completions[i] = seconds() - before;
  }
  tell("keystroke", keystrokes);
  tell("completion", completions);
  send_message(json_pack("{s:s,s:i,s:s}", "jsonrpc", "2.0", "id", 0, "method", "shutdown"));
  send_message(json_pack("{s:s,s:s}", "jsonrpc", "2.0", "method", "exit"));
  free(text);
  free(base);
  free(path);
  return 0;
}
