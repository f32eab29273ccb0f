// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what a watching process keeps of a session: a second server that is brought to where
// the first one was answers as that one did, and a text over which a server fell stays away
// until it is another.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include <string.h>
#include <unistd.h>

/// Messages of a client, as text.
static const char *note_of(struct pl_bench *bench, const char *method, json_t *params) {
  json_t *const document = json_pack("{s:s,s:o}", "method", method, "params", params);
  char *const text = json_dumps(document, JSON_COMPACT);
  json_decref(document);
  const char *const copy = pl_copy_text(bench->own, text, strlen(text));
  free(text);
  return copy;
}

static const char *opened(struct pl_bench *bench, const char *uri, const char *text) {
  return note_of(
      bench, "textDocument/didOpen",
      json_pack("{s:{s:s,s:i,s:s}}", "textDocument", "uri", uri, "version", 1, "text", text));
}

/// A change that puts a text at the beginning.
static const char *changed(struct pl_bench *bench, const char *uri, const char *text) {
  return note_of(bench, "textDocument/didChange",
                 json_pack("{s:{s:s,s:i},s:[{s:{s:{s:i,s:i},s:{s:i,s:i}},s:s}]}",
                           "textDocument", "uri", uri, "version", 2, "contentChanges", "range",
                           "start", "line", 0, "character", 0, "end", "line", 0, "character", 0,
                           "text", text));
}

static const char beginning[] =
    "{\"id\":1,\"method\":\"initialize\",\"params\":{\"capabilities\":{}}}";

static bool follow(struct pl_client *keeper, const char *text) {
  bool is_known = false;
  assert_true(pl_editor_follow(keeper->editor, text, strlen(text), &is_known));
  return is_known;
}

/// What the keeper sends, taken by another server.
static void pass_on(void *context, const char *text, size_t length) {
  pl_client_send(context, text, length);
}

static int symbols(struct pl_client *client, const char *uri) {
  const json_t *const result =
      pl_client_ask(client, "textDocument/documentSymbol", pl_client_document(client, uri));
  return json_is_array(result) ? (int)json_array_size(result) : -1;
}

static struct pl_client *replayed(struct pl_bench *bench, struct pl_client *keeper) {
  struct pl_client *const client = pl_client_new(bench, NULL, 0);
  assert_true(pl_editor_replay(keeper->editor, pass_on, client));
  return client;
}

#define ONE "file:///none/one.leaf"
#define TWO "untitled:two"

static void replay(struct pl_bench *bench) {
  struct pl_client *const keeper = pl_client_new(bench, NULL, 0);
  // What comes too early is no document, as the working server has it.
  assert_true(follow(keeper, opened(bench, "file:///none/early.leaf", "let a = 1\n")));
  assert_true(follow(keeper, beginning));
  assert_true(follow(keeper, opened(bench, ONE, "let a = 1\n")));
  assert_true(follow(keeper, changed(bench, ONE, "let é = 3\nlet b = \"漢😀\"\n")));
  assert_true(follow(keeper, opened(bench, TWO, "setup \"漢😀\" { surfice = 1 }\n")));
  assert_true(follow(keeper, opened(bench, "file:///none/gone.leaf", "let a = 1\n")));
  assert_true(follow(keeper, note_of(bench, "textDocument/didClose",
                                     json_pack("{s:{s:s}}", "textDocument", "uri",
                                               "file:///none/gone.leaf"))));
  assert_true(follow(keeper, "{no message"));
  assert_int_equal(json_array_size(keeper->received), 0);
  struct pl_client *const client = replayed(bench, keeper);
  assert_int_equal(symbols(client, "file:///none/early.leaf"), -1);
  assert_int_equal(symbols(client, "file:///none/gone.leaf"), -1);
  assert_int_equal(symbols(client, ONE), 2); // a letter that no name may have is none
  assert_int_equal(symbols(client, TWO), 1);
  assert_codes(client, TWO, "unknown-key");
  pl_client_end(client);
  pl_client_end(keeper);
}

static void giving_up(struct pl_bench *bench) {
  struct pl_client *const keeper = pl_client_new(bench, NULL, 0);
  assert_true(follow(keeper, beginning));
  assert_true(follow(keeper, opened(bench, ONE, "let a = 1\n")));
  const char *const second = opened(bench, TWO, "let a = 1\n");
  assert_true(follow(keeper, second));
  pl_editor_give_up(keeper->editor, second, strlen(second));
  assert_true(pl_editor_refuse(keeper->editor, second, strlen(second)));
  assert_int_equal(json_array_size(keeper->received), 0); // nobody asked
  struct pl_client *const client = replayed(bench, keeper);
  assert_int_equal(symbols(client, ONE), 1);
  assert_int_equal(symbols(client, TWO), -1);
  // With another text it is known again, and as a whole.
  assert_true(follow(keeper, changed(bench, ONE, "let b = 1\n")));
  assert_false(follow(keeper, changed(bench, TWO, "let b = 1\n")));
  assert_true(pl_editor_catch_up(keeper->editor, pass_on, client));
  assert_int_equal(symbols(client, TWO), 2);
  assert_int_equal(symbols(client, ONE), 1); // that is the working server's own affair
  assert_true(follow(keeper, changed(bench, TWO, "let c = 1\n")));
  pl_client_end(client);
  pl_client_end(keeper);
}

static void refusing(struct pl_bench *bench) {
  struct pl_client *const keeper = pl_client_new(bench, NULL, 0);
  assert_true(follow(keeper, beginning));
  static const char request[] = "{\"id\":\"seven\",\"method\":\"textDocument/hover\"}";
  assert_true(pl_editor_refuse(keeper->editor, request, sizeof request - 1));
  static const char answer[] = "{\"id\":1,\"result\":null}";
  assert_true(pl_editor_refuse(keeper->editor, answer, sizeof answer - 1));
  assert_int_equal(json_array_size(keeper->received), 1);
  const json_t *const refusal = json_array_get(keeper->received, 0);
  assert_string_equal(json_string_value(json_object_get(refusal, "id")), "seven");
  assert_non_null(json_object_get(refusal, "error"));
  pl_client_end(keeper);
}

/// A keeper's end and status are the working server's.
static void ends(struct pl_bench *bench) {
  static const struct {
    const char *messages[4];
    bool is_over;
    int status;
  } cases[] = {
      {{"{\"method\":\"exit\"}"}, true, 1},
      {{beginning, "{\"method\":\"exit\"}"}, true, 1},
      {{beginning, "{\"id\":2,\"method\":\"shutdown\"}", "{\"method\":\"exit\"}"}, true, 0},
      {{beginning, "{\"id\":2,\"method\":\"shutdown\"}"}, false, 0},
      {{beginning, "{\"id\":2,\"method\":\"exit\"}"}, false, 1},
      {{beginning, "{\"method\":\"shutdown\"}", "{\"method\":\"exit\"}"}, true, 1},
      {{"{\"id\":2,\"method\":\"shutdown\"}", "{\"method\":\"exit\"}"}, true, 1},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    struct pl_client *const keeper = pl_client_new(bench, NULL, 0);
    struct pl_client *const working = pl_client_new(bench, NULL, 0);
    for (size_t j = 0; j < 4 && cases[i].messages[j] != NULL; j++) {
      (void)follow(keeper, cases[i].messages[j]);
      pl_client_send(working, cases[i].messages[j], strlen(cases[i].messages[j]));
    }
    int status = 99;
    assert_int_equal(pl_editor_is_over(keeper->editor, &status), cases[i].is_over);
    assert_int_equal(status, cases[i].status);
    assert_int_equal(pl_editor_is_over(working->editor, &status), cases[i].is_over);
    assert_int_equal(status, cases[i].status);
    pl_client_end(working);
    pl_client_end(keeper);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(replay),
      PL_FOLDER_TEST(giving_up),
      PL_FOLDER_TEST(refusing),
      PL_FOLDER_TEST(ends),
  };
  return cmocka_run_group_tests_name("watching over a language server", tests, NULL, NULL);
}
