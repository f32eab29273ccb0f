// SPDX-License-Identifier: GPL-3.0-or-later
// Tests `pitleaf lsp` as a process: messages in any pieces, input that is no message, a client
// that goes away or does not listen, and a server that is killed or hangs in the middle.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "server.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

// ---------------------------------------------------------------- what is said

#define URI "file:///none/a.leaf"

static void begin(struct server *server) {
  send_document(server, request_of(server, "initialize", json_pack("{s:{}}", "capabilities")));
  json_decref(await_answer(server));
  send_document(server, note_of("initialized", json_object()));
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

static json_t *asked_symbols(struct server *server) {
  return request_of(server, "textDocument/documentSymbol",
                    json_pack("{s:{s:s}}", "textDocument", "uri", URI));
}

/// The names of the document's symbols, as an answer has them; -1 where it is an error.
static int symbols_in(json_t *answer) {
  const json_t *const result = json_object_get(answer, "result");
  const int count = json_is_array(result) ? (int)json_array_size(result) : -1;
  json_decref(answer);
  return count;
}

static int symbols(struct server *server) {
  send_document(server, asked_symbols(server));
  return symbols_in(await_answer(server));
}

static void end_in_order(struct server *server) {
  send_document(server, request_of(server, "shutdown", json_null()));
  json_decref(await_answer(server));
  send_document(server, note_of("exit", json_null()));
  end_quietly(server, 0);
}

// ---------------------------------------------------------------- messages in pieces

static void pieces(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  char *const first =
      framed(request_of(&server, "initialize", json_pack("{s:{}}", "capabilities")));
  for (size_t i = 0; first[i] != '\0'; i++) send_bytes(&server, first + i, 1);
  free(first);
  json_t *const answer = await_answer(&server);
  assert_non_null(json_object_get(answer, "result"));
  json_decref(answer);
  // Many in one, the last of them in two.
  char all[4096] = "";
  json_t *const documents[] = {note_of("initialized", json_object()),
                               opened("let a = 1\nlet é = \"漢😀\"\n"),
                               changed(2, "let b = 2\n"), asked_symbols(&server)};
  for (size_t i = 0; i < 4; i++) {
    char *const whole = framed(documents[i]);
    const size_t used = strlen(all);
    (void)snprintf(all + used, sizeof all - used, "%s", whole);
    free(whole);
  }
  send_bytes(&server, all, strlen(all) - 3);
  nap(30);
  send_bytes(&server, all + strlen(all) - 3, 3);
  assert_int_equal(symbols_in(await_answer(&server)), 2);
  end_in_order(&server);
}

static void headers(void **state) {
  (void)state;
  static const char *const forms[] = {
      "Content-Length: %zu\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n",
      "Content-Type: application/vscode-jsonrpc; charset=utf-8\r\nContent-Length: %zu\r\n\r\n",
      "content-length:%zu\r\n\r\n", "CONTENT-LENGTH:   %zu  \r\n\r\n"};
  struct server server;
  server_start(&server, NULL);
  begin(&server);
  for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
    char *const whole = framed(asked_symbols(&server));
    const char *const body = strstr(whole, "\r\n\r\n") + 4;
    char header[200];
    (void)snprintf(header, sizeof header, forms[i], strlen(body));
    send_bytes(&server, header, strlen(header));
    send_bytes(&server, body, strlen(body));
    free(whole);
    json_decref(await_answer(&server));
  }
  end_in_order(&server);
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
    struct server server;
    server_start(&server, NULL);
    begin(&server);
    // It may end before all of it is there.
    (void)!write(server.to, inputs[i], strlen(inputs[i]));
    const int status = status_of(&server);
    const char *const said = complaints(&server);
    const bool is_long = strstr(inputs[i], "4000000000") != NULL;
    const char *const why = is_long ? "a message of the client has more than" : "no message";
    if (status == 0 || strstr(said, why) == NULL || strchr(said, '\n') == NULL ||
        strchr(said, '\n')[1] != '\0')
      fail_msg("`%.40s`: status %d, %s", inputs[i], status, said);
    put_away(&server);
  }
}

/// A body of the wrong length is no JSON, and is answered so; a NUL is a byte like any other.
static void wrong_bodies(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  begin(&server);
  static const struct {
    const char *bytes;
    size_t length;
  } bodies[] = {{"{\"id\": 1,", 9}, {"", 0}, {"{\"a\": \"\0\"}", 10}, {"\0\0\r\n\r\n", 6}};
  for (size_t i = 0; i < sizeof bodies / sizeof bodies[0]; i++) {
    char header[64];
    (void)snprintf(header, sizeof header, "Content-Length: %zu\r\n\r\n", bodies[i].length);
    send_bytes(&server, header, strlen(header));
    send_bytes(&server, bodies[i].bytes, bodies[i].length);
    json_t *const answer = receive(&server);
    const json_int_t code =
        json_integer_value(json_object_get(json_object_get(answer, "error"), "code"));
    json_decref(answer);
    assert_int_equal(code, -32700);
  }
  end_in_order(&server);
}

// ---------------------------------------------------------------- ends

static void ends_of_input(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  end_quietly(&server, 1); // before anything was said
  server_start(&server, NULL);
  begin(&server);
  send_document(&server, opened("let =\n"));
  end_quietly(&server, 1);
  server_start(&server, NULL);
  begin(&server);
  send_bytes(&server, "Content-Length: 100\r\n\r\n{", 24);
  end_quietly(&server, 1);
  server_start(&server, NULL);
  begin(&server);
  send_document(&server, note_of("exit", json_null()));
  end_quietly(&server, 1);
  server_start(&server, NULL);
  begin(&server);
  end_in_order(&server);
}

/// The client does not hear any more: the server ends, and says nothing.
static void client_that_is_gone(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  begin(&server);
  send_document(&server, opened("let a = 1\n"));
  assert_int_equal(symbols(&server), 1);
  close(server.from);
  server.from = -1;
  send_document(&server, asked_symbols(&server));
  const int status = status_of(&server);
  assert_string_equal(complaints(&server), "");
  assert_int_equal(status, 1);
  put_away(&server);
}

static void nothing_stays_behind(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  begin(&server);
  const pid_t pid = worker(&server);
  assert_int_equal(kill(server.pid, SIGKILL), 0);
  assert_int_equal(waitpid(server.pid, NULL, 0), server.pid);
  await_end_of(pid);
  put_away(&server);
}

// ---------------------------------------------------------------- a server that falls

/// Killed while nothing is asked: nobody notices.
static void killed_between_messages(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  begin(&server);
  send_document(&server, opened("let a0 = 1\n"));
  assert_int_equal(await_problems(&server, 1), 0);
  for (int round = 1; round <= 6; round++) {
    const pid_t pid = worker(&server);
    assert_int_equal(kill(pid, round % 2 == 0 ? SIGABRT : SIGKILL), 0);
    await_end_of(pid);
    char text[32];
    (void)snprintf(text, sizeof text, "let a%d = 1\n", round);
    if (round % 3 == 0) {
      assert_int_equal(symbols(&server), round); // a request is answered
      send_document(&server, changed(round + 1, text));
    } else {
      send_document(&server, changed(round + 1, text)); // an edit is taken
    }
    assert_int_equal(symbols(&server), round + 1);
    assert_int_equal(await_problems(&server, round + 1), 0);
  }
  end_in_order(&server);
}

/// Killed over a request, that is refused; over an edit, that is taken all the same.
static void killed_over_messages(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  begin(&server);
  send_document(&server, opened("let a0 = 1\n"));
  assert_int_equal(await_problems(&server, 1), 0);
  for (int round = 1; round <= 6; round++) {
    pid_t pid = stop_worker(&server);
    send_document(&server, asked_symbols(&server));
    nap(10);
    assert_int_equal(kill(pid, round % 2 == 0 ? SIGABRT : SIGKILL), 0);
    (void)kill(pid, SIGCONT); // it is gone, or learns now what it was sent
    await_end_of(pid);
    // It may have been killed before the request came, which then is answered.
    const int got = symbols_in(await_answer(&server));
    assert_true(got == -1 || got == round);
    pid = stop_worker(&server);
    char text[32];
    (void)snprintf(text, sizeof text, "let a%d = 1\n", round);
    send_document(&server, changed(round + 1, text));
    nap(10);
    assert_int_equal(kill(pid, SIGKILL), 0);
    await_end_of(pid);
    assert_int_equal(symbols(&server), round + 1);
    assert_int_equal(await_problems(&server, round + 1), 0);
  }
  end_in_order(&server);
}

/// Killed before `initialize` and behind `shutdown`.
static void killed_at_the_ends(void **state) {
  (void)state;
  struct server server;
  server_start(&server, NULL);
  pid_t pid = worker(&server);
  assert_int_equal(kill(pid, SIGKILL), 0);
  await_end_of(pid);
  begin(&server);
  send_document(&server, opened("let a = 1\n"));
  assert_int_equal(symbols(&server), 1);
  send_document(&server, request_of(&server, "shutdown", json_null()));
  json_decref(await_answer(&server));
  pid = worker(&server);
  assert_int_equal(kill(pid, SIGKILL), 0);
  await_end_of(pid);
  send_document(&server, note_of("exit", json_null()));
  end_quietly(&server, 0);
}

/// What takes too long is given up, and the rest goes on.
static void hanging(void **state) {
  (void)state;
  struct server server;
  server_start(&server, "0.2");
  begin(&server);
  send_document(&server, opened("let a = 1\n"));
  assert_int_equal(symbols(&server), 1);
  assert_int_equal(await_problems(&server, 1), 0);
  nap(50); // now it has nothing to do
  stop_worker(&server);
  send_document(&server, asked_symbols(&server));
  assert_int_equal(symbols_in(await_answer(&server)), -1);
  assert_int_equal(symbols(&server), 1);
  stop_worker(&server);
  send_document(&server, changed(2, "let b = 1\n"));
  assert_int_equal(symbols(&server), 2);
  end_in_order(&server);
}

/// A text that takes too long to check is left alone until it is another.
static void hanging_over_a_text(void **state) {
  (void)state;
  static const char line[] = "setup \"s\" { oil = \"x\" }\n";
  const size_t count = 16000;
  char *const text = malloc(count * (sizeof line - 1) + 1);
  assert_non_null(text);
  for (size_t i = 0; i < count; i++) memcpy(text + i * (sizeof line - 1), line, sizeof line);
  struct server server;
  server_start(&server, "0.1");
  begin(&server);
  send_document(&server, opened(text));
  free(text);
  nap(500);
  assert_int_equal(symbols(&server), -1);
  send_document(&server,
                note_of("textDocument/didChange",
                        json_pack("{s:{s:s,s:i},s:[{s:s}]}", "textDocument", "uri", URI,
                                  "version", 2, "contentChanges", "text", "let a = 1\n")));
  assert_int_equal(symbols(&server), 1);
  send_document(&server, changed(3, "let b = c\n"));
  assert_int_equal(symbols(&server), 2);
  assert_int_equal(await_problems(&server, 3), 1);
  end_in_order(&server);
}

/// A client that does not read for a while, more than a pipe holds, gets everything whole: it
/// is not the server that hangs.
static void slow_client(void **state) {
  (void)state;
  struct server server;
  server_start(&server, "0.2");
  begin(&server);
  send_document(&server, opened("setup \"a\" {\n\n}\n"));
  const int count = 40;
  for (int i = 0; i < count; i++)
    send_document(&server, request_of(&server, "textDocument/completion",
                                      json_pack("{s:{s:s},s:{s:i,s:i}}", "textDocument", "uri",
                                                URI, "position", "line", 1, "character", 0)));
  nap(600);
  int answered = 0;
  size_t bytes = 0;
  while (answered < count) {
    json_t *const document = receive(&server);
    assert_non_null(document);
    if (json_object_get(document, "method") == NULL) {
      answered++;
      const json_t *const items = json_object_get(json_object_get(document, "result"), "items");
      assert_true(json_array_size(items) > 20);
      bytes += json_array_size(items) * 100;
    }
    json_decref(document);
  }
  assert_true(bytes > (size_t)2 * 65536);
  end_in_order(&server);
}

static void patience_that_is_none(void **state) {
  (void)state;
  static const char *const texts[] = {"", "soon", "-1", "0", "nan", "1e9"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    struct server server;
    server_start(&server, texts[i]);
    assert_int_equal(status_of(&server), 2);
    assert_non_null(strstr(complaints(&server), "--patience"));
    put_away(&server);
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
      cmocka_unit_test(hanging_over_a_text),
      cmocka_unit_test(slow_client),
      cmocka_unit_test(patience_that_is_none),
  };
  return cmocka_run_group_tests_name("language server as a process", tests, NULL, NULL);
}
