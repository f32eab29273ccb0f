// SPDX-License-Identifier: GPL-3.0-or-later
// Tests `pitleaf lsp` as a process: messages in any pieces, input that is no message, a client
// that goes away or does not listen, and a server that is killed or hangs in the middle.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <jansson.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/// How long the test waits for anything, in ms.
#define LONGEST_WAIT 20000

struct process {
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

static void nap(long milliseconds) {
  const struct timespec time = {milliseconds / 1000, milliseconds % 1000 * 1000000};
  (void)nanosleep(&time, NULL);
}

// ---------------------------------------------------------------- the process

static void start(struct process *process, const char *patience) {
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
  *process =
      (struct process){.pid = pid, .to = to[1], .from = from[0], .messages = messages[0]};
}

static void send_bytes(struct process *process, const char *bytes, size_t length) {
  while (length > 0) {
    const ssize_t written = write(process->to, bytes, length);
    if (written <= 0) fail_msg("the server does not listen: %s", strerror(errno));
    bytes += written;
    length -= (size_t)written;
  }
}

/// A message with its header; the caller frees it.
static char *framed(json_t *document) {
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

static json_t *note_of(const char *method, json_t *params) {
  return json_pack("{s:s,s:o}", "method", method, "params", params);
}

static json_t *request_of(struct process *process, const char *method, json_t *params) {
  return json_pack("{s:I,s:s,s:o}", "id", ++process->next_id, "method", method, "params",
                   params);
}

static void send_document(struct process *process, json_t *document) {
  char *const whole = framed(document);
  send_bytes(process, whole, strlen(whole));
  free(whole);
}

/// Reads what is there into the process's bytes; false at the end.
static bool read_some(struct process *process) {
  struct pollfd wait = {.fd = process->from, .events = POLLIN};
  if (poll(&wait, 1, LONGEST_WAIT) <= 0) fail_msg("the server says nothing");
  char more[65536];
  const ssize_t got = read(process->from, more, sizeof more);
  if (got <= 0) return false;
  char *const larger = realloc(process->bytes, process->length + (size_t)got + 1);
  assert_non_null(larger);
  memcpy(larger + process->length, more, (size_t)got);
  process->bytes = larger;
  process->length += (size_t)got;
  larger[process->length] = '\0';
  return true;
}

static void note_problems(struct process *process, const json_t *document) {
  const json_t *const params = json_object_get(document, "params");
  const json_t *const list = json_object_get(params, "diagnostics");
  if (list == NULL) return;
  process->told_version = json_integer_value(json_object_get(params, "version"));
  process->told_count = json_array_size(list);
}

/// The next message, which the caller gives back; null at the end.
static json_t *receive(struct process *process) {
  for (;;) {
    const char *const end = process->length == 0 ? NULL : strstr(process->bytes, "\r\n\r\n");
    if (end != NULL) {
      if (strncmp(process->bytes, "Content-Length: ", 16) != 0)
        fail_msg("no header: %.80s", process->bytes);
      const size_t size = strtoull(process->bytes + 16, NULL, 10);
      const size_t begin = (size_t)(end - process->bytes) + 4;
      if (process->length >= begin + size) {
        json_error_t error;
        json_t *const document =
            json_loadb(process->bytes + begin, size, JSON_ALLOW_NUL, &error);
        if (document == NULL) fail_msg("a message is no JSON: %s", error.text);
        note_problems(process, document);
        process->length -= begin + size;
        memmove(process->bytes, process->bytes + begin + size, process->length + 1);
        return document;
      }
    }
    if (!read_some(process)) {
      assert_int_equal(process->length, 0); // no half of a message
      return NULL;
    }
  }
}

/// The answer to the newest request, which the caller gives back.
static json_t *await_answer(struct process *process) {
  for (;;) {
    json_t *const document = receive(process);
    if (document == NULL) fail_msg("the server ended");
    if (json_object_get(document, "method") == NULL &&
        json_integer_value(json_object_get(document, "id")) == process->next_id)
      return document;
    json_decref(document);
  }
}

/// Number of problems of a version of the text, whenever they are or were told.
static size_t await_problems(struct process *process, json_int_t version) {
  while (process->told_version < version) {
    json_t *const document = receive(process);
    if (document == NULL) fail_msg("the server ended");
    json_decref(document);
  }
  return process->told_count;
}

/// What the process said on standard error until it ended, in memory of this function.
static const char *complaints(const struct process *process) {
  static char text[4096];
  size_t length = 0;
  for (;;) {
    const ssize_t got = read(process->messages, text + length, sizeof text - 1 - length);
    if (got <= 0) break;
    length += (size_t)got;
  }
  text[length] = '\0';
  return text;
}

/// The status with which it ends once its input has ended.
static int status_of(struct process *process) {
  int status = 0;
  for (int waited = 0; waitpid(process->pid, &status, WNOHANG) == 0; waited += 5) {
    if (waited > LONGEST_WAIT) fail_msg("the server does not end");
    nap(5);
  }
  assert_true(WIFEXITED(status));
  return WEXITSTATUS(status);
}

static void put_away(struct process *process) {
  if (process->to >= 0) close(process->to);
  if (process->from >= 0) close(process->from);
  close(process->messages);
  free(process->bytes);
}

/// Closes its input; it has to end by itself, with this status and without a word.
static void end_quietly(struct process *process, int status) {
  close(process->to);
  process->to = -1;
  const int got = status_of(process);
  assert_string_equal(complaints(process), "");
  assert_int_equal(got, status);
  put_away(process);
}

// ---------------------------------------------------------------- what is said

#define URI "file:///none/a.leaf"

static void begin(struct process *process) {
  send_document(process,
                request_of(process, "initialize", json_pack("{s:{}}", "capabilities")));
  json_decref(await_answer(process));
  send_document(process, note_of("initialized", json_object()));
}

static json_t *opened(const char *text) {
  return note_of("textDocument/didOpen",
                 json_pack("{s:{s:s,s:s,s:i,s:s}}", "textDocument", "uri", URI, "languageId",
                           "pitleaf", "version", 1, "text", text));
}

/// A change that puts a text at the beginning.
static json_t *changed(int version, const char *text) {
  return note_of("textDocument/didChange",
                 json_pack("{s:{s:s,s:i},s:[{s:{s:{s:i,s:i},s:{s:i,s:i}},s:s}]}",
                           "textDocument", "uri", URI, "version", version, "contentChanges",
                           "range", "start", "line", 0, "character", 0, "end", "line", 0,
                           "character", 0, "text", text));
}

static json_t *asked_symbols(struct process *process) {
  return request_of(process, "textDocument/documentSymbol",
                    json_pack("{s:{s:s}}", "textDocument", "uri", URI));
}

/// The names of the document's symbols, as an answer has them; -1 where it is an error.
static int symbols_in(json_t *answer) {
  const json_t *const result = json_object_get(answer, "result");
  const int count = json_is_array(result) ? (int)json_array_size(result) : -1;
  json_decref(answer);
  return count;
}

static int symbols(struct process *process) {
  send_document(process, asked_symbols(process));
  return symbols_in(await_answer(process));
}

static void end_in_order(struct process *process) {
  send_document(process, request_of(process, "shutdown", json_null()));
  json_decref(await_answer(process));
  send_document(process, note_of("exit", json_null()));
  end_quietly(process, 0);
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

static pid_t worker(const struct process *process) {
  pid_t found = 0;
  for (int waited = 0; found == 0; waited += 5) {
    if (waited > LONGEST_WAIT) fail_msg("there is no process that works");
    found = worker_of(process->pid);
    if (found == 0) nap(5);
  }
  return found;
}

/// Stops the process that works, so that it falls over what is sent next.
static pid_t stop_worker(const struct process *process) {
  const pid_t pid = worker(process);
  assert_int_equal(kill(pid, SIGSTOP), 0);
  return pid;
}

/// Waits until a process is gone, or has ended and waits to be noticed.
static void await_end_of(pid_t pid) {
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

// ---------------------------------------------------------------- messages in pieces

static void pieces(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  char *const first =
      framed(request_of(&process, "initialize", json_pack("{s:{}}", "capabilities")));
  for (size_t i = 0; first[i] != '\0'; i++) send_bytes(&process, first + i, 1);
  free(first);
  json_t *const answer = await_answer(&process);
  assert_non_null(json_object_get(answer, "result"));
  json_decref(answer);
  // Many in one, the last of them in two.
  char all[4096] = "";
  json_t *const documents[] = {note_of("initialized", json_object()),
                               opened("let a = 1\nlet é = \"漢😀\"\n"),
                               changed(2, "let b = 2\n"), asked_symbols(&process)};
  for (size_t i = 0; i < 4; i++) {
    char *const whole = framed(documents[i]);
    strcat(all, whole);
    free(whole);
  }
  send_bytes(&process, all, strlen(all) - 3);
  nap(30);
  send_bytes(&process, all + strlen(all) - 3, 3);
  assert_int_equal(symbols_in(await_answer(&process)), 2);
  end_in_order(&process);
}

static void headers(void **state) {
  (void)state;
  static const char *const forms[] = {
      "Content-Length: %zu\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n",
      "Content-Type: application/vscode-jsonrpc; charset=utf-8\r\nContent-Length: %zu\r\n\r\n",
      "content-length:%zu\r\n\r\n", "CONTENT-LENGTH:   %zu  \r\n\r\n"};
  struct process process;
  start(&process, NULL);
  begin(&process);
  for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
    char *const whole = framed(asked_symbols(&process));
    const char *const body = strstr(whole, "\r\n\r\n") + 4;
    char header[200];
    (void)snprintf(header, sizeof header, forms[i], strlen(body));
    send_bytes(&process, header, strlen(header));
    send_bytes(&process, body, strlen(body));
    free(whole);
    json_decref(await_answer(&process));
  }
  end_in_order(&process);
}

/// What is no message ends the server, which says so in one line: nobody knows where the next
/// one begins.
static void no_messages(void **state) {
  (void)state;
  static char huge[70001];
  memset(huge, 'x', sizeof huge - 1);
  const char *const inputs[] = {"\r\n\r\n",
                                "garbage between messages\r\n\r\n",
                                "Content-Type: text\r\n\r\n{}",
                                "Content-Length: -1\r\n\r\n{}",
                                "Content-Length: many\r\n\r\n{}",
                                "Content-Length: \r\n\r\n{}",
                                "Content-Length: 12x\r\n\r\n{}",
                                "Content-Length: 99999999999999999999999999\r\n\r\n{}",
                                "Content-Length: 4000000000\r\n\r\n{}",
                                "Content-Length: 2\r\n\r\n{}{\"more\": 1}\r\n\r\n",
                                huge};
  for (size_t i = 0; i < sizeof inputs / sizeof inputs[0]; i++) {
    struct process process;
    start(&process, NULL);
    begin(&process);
    // It may end before all of it is there.
    (void)!write(process.to, inputs[i], strlen(inputs[i]));
    const int status = status_of(&process);
    const char *const said = complaints(&process);
    if (status == 0 || strstr(said, "no message") == NULL || strchr(said, '\n') == NULL ||
        strchr(said, '\n')[1] != '\0')
      fail_msg("`%.40s`: status %d, %s", inputs[i], status, said);
    put_away(&process);
  }
}

/// A body of the wrong length is no JSON, and is answered so; a NUL is a byte like any other.
static void wrong_bodies(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  begin(&process);
  static const struct {
    const char *bytes;
    size_t length;
  } bodies[] = {{"{\"id\": 1,", 9}, {"", 0}, {"{\"a\": \"\0\"}", 10}, {"\0\0\r\n\r\n", 6}};
  for (size_t i = 0; i < sizeof bodies / sizeof bodies[0]; i++) {
    char header[64];
    (void)snprintf(header, sizeof header, "Content-Length: %zu\r\n\r\n", bodies[i].length);
    send_bytes(&process, header, strlen(header));
    send_bytes(&process, bodies[i].bytes, bodies[i].length);
    json_t *const answer = receive(&process);
    const json_int_t code =
        json_integer_value(json_object_get(json_object_get(answer, "error"), "code"));
    json_decref(answer);
    assert_int_equal(code, -32700);
  }
  end_in_order(&process);
}

// ---------------------------------------------------------------- ends

static void ends_of_input(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  end_quietly(&process, 1); // before anything was said
  start(&process, NULL);
  begin(&process);
  send_document(&process, opened("let =\n"));
  end_quietly(&process, 1);
  start(&process, NULL);
  begin(&process);
  send_bytes(&process, "Content-Length: 100\r\n\r\n{", 24);
  end_quietly(&process, 1);
  start(&process, NULL);
  begin(&process);
  send_document(&process, note_of("exit", json_null()));
  end_quietly(&process, 1);
  start(&process, NULL);
  begin(&process);
  end_in_order(&process);
}

/// The client does not hear any more: the server ends, and says nothing.
static void client_that_is_gone(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  begin(&process);
  send_document(&process, opened("let a = 1\n"));
  assert_int_equal(symbols(&process), 1);
  close(process.from);
  process.from = -1;
  send_document(&process, asked_symbols(&process));
  const int status = status_of(&process);
  assert_string_equal(complaints(&process), "");
  assert_int_equal(status, 1);
  put_away(&process);
}

static void nothing_stays_behind(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  begin(&process);
  const pid_t pid = worker(&process);
  assert_int_equal(kill(process.pid, SIGKILL), 0);
  assert_int_equal(waitpid(process.pid, NULL, 0), process.pid);
  await_end_of(pid);
  put_away(&process);
}

// ---------------------------------------------------------------- a server that falls

/// Killed while nothing is asked: nobody notices.
static void killed_between_messages(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  begin(&process);
  send_document(&process, opened("let a0 = 1\n"));
  assert_int_equal(await_problems(&process, 1), 0);
  for (int round = 1; round <= 6; round++) {
    const pid_t pid = worker(&process);
    assert_int_equal(kill(pid, round % 2 == 0 ? SIGABRT : SIGKILL), 0);
    await_end_of(pid);
    char text[32];
    (void)snprintf(text, sizeof text, "let a%d = 1\n", round);
    if (round % 3 == 0) {
      assert_int_equal(symbols(&process), round); // a request is answered
      send_document(&process, changed(round + 1, text));
    } else {
      send_document(&process, changed(round + 1, text)); // an edit is taken
    }
    assert_int_equal(symbols(&process), round + 1);
    assert_int_equal(await_problems(&process, round + 1), 0);
  }
  end_in_order(&process);
}

/// Killed over a request, that is refused; over an edit, that is taken all the same.
static void killed_over_messages(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  begin(&process);
  send_document(&process, opened("let a0 = 1\n"));
  assert_int_equal(await_problems(&process, 1), 0);
  for (int round = 1; round <= 6; round++) {
    pid_t pid = stop_worker(&process);
    send_document(&process, asked_symbols(&process));
    nap(10);
    assert_int_equal(kill(pid, round % 2 == 0 ? SIGABRT : SIGKILL), 0);
    (void)kill(pid, SIGCONT); // it is gone, or learns now what it was sent
    await_end_of(pid);
    // It may have been killed before the request came, which then is answered.
    const int got = symbols_in(await_answer(&process));
    assert_true(got == -1 || got == round);
    pid = stop_worker(&process);
    char text[32];
    (void)snprintf(text, sizeof text, "let a%d = 1\n", round);
    send_document(&process, changed(round + 1, text));
    nap(10);
    assert_int_equal(kill(pid, SIGKILL), 0);
    await_end_of(pid);
    assert_int_equal(symbols(&process), round + 1);
    assert_int_equal(await_problems(&process, round + 1), 0);
  }
  end_in_order(&process);
}

/// Killed before `initialize` and behind `shutdown`.
static void killed_at_the_ends(void **state) {
  (void)state;
  struct process process;
  start(&process, NULL);
  pid_t pid = worker(&process);
  assert_int_equal(kill(pid, SIGKILL), 0);
  await_end_of(pid);
  begin(&process);
  send_document(&process, opened("let a = 1\n"));
  assert_int_equal(symbols(&process), 1);
  send_document(&process, request_of(&process, "shutdown", json_null()));
  json_decref(await_answer(&process));
  pid = worker(&process);
  assert_int_equal(kill(pid, SIGKILL), 0);
  await_end_of(pid);
  send_document(&process, note_of("exit", json_null()));
  end_quietly(&process, 0);
}

/// What takes too long is given up, and the rest goes on.
static void hanging(void **state) {
  (void)state;
  struct process process;
  start(&process, "0.2");
  begin(&process);
  send_document(&process, opened("let a = 1\n"));
  assert_int_equal(symbols(&process), 1);
  assert_int_equal(await_problems(&process, 1), 0);
  nap(50); // now it has nothing to do
  stop_worker(&process);
  send_document(&process, asked_symbols(&process));
  assert_int_equal(symbols_in(await_answer(&process)), -1);
  assert_int_equal(symbols(&process), 1);
  stop_worker(&process);
  send_document(&process, changed(2, "let b = 1\n"));
  assert_int_equal(symbols(&process), 2);
  end_in_order(&process);
}

/// A client that does not read for a while, more than a pipe holds, gets everything whole: it
/// is not the server that hangs.
static void slow_client(void **state) {
  (void)state;
  struct process process;
  start(&process, "0.2");
  begin(&process);
  send_document(&process, opened("setup \"a\" {\n\n}\n"));
  const int count = 40;
  for (int i = 0; i < count; i++)
    send_document(&process, request_of(&process, "textDocument/completion",
                                       json_pack("{s:{s:s},s:{s:i,s:i}}", "textDocument", "uri",
                                                 URI, "position", "line", 1, "character", 0)));
  nap(600);
  int answered = 0;
  size_t bytes = 0;
  while (answered < count) {
    json_t *const document = receive(&process);
    assert_non_null(document);
    if (json_object_get(document, "method") == NULL) {
      answered++;
      const json_t *const items = json_object_get(json_object_get(document, "result"), "items");
      assert_true(json_array_size(items) > 20);
      bytes += json_array_size(items) * 100;
    }
    json_decref(document);
  }
  assert_true(bytes > 2 * 65536);
  end_in_order(&process);
}

static void patience_that_is_none(void **state) {
  (void)state;
  static const char *const texts[] = {"", "soon", "-1", "0", "nan", "1e9"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    struct process process;
    start(&process, texts[i]);
    assert_int_equal(status_of(&process), 2);
    assert_non_null(strstr(complaints(&process), "--patience"));
    put_away(&process);
  }
}

int main(void) {
  signal(SIGPIPE, SIG_IGN);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pieces),
      cmocka_unit_test(headers),
      cmocka_unit_test(no_messages),
      cmocka_unit_test(wrong_bodies),
      cmocka_unit_test(ends_of_input),
      cmocka_unit_test(client_that_is_gone),
      cmocka_unit_test(nothing_stays_behind),
      cmocka_unit_test(killed_between_messages),
      cmocka_unit_test(killed_over_messages),
      cmocka_unit_test(killed_at_the_ends),
      cmocka_unit_test(hanging),
      cmocka_unit_test(slow_client),
      cmocka_unit_test(patience_that_is_none),
  };
  return cmocka_run_group_tests_name("language server as a process", tests, NULL, NULL);
}
