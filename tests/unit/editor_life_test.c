// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the life of a language server: its beginning, its end, and messages that are none, by
// the Language Server Protocol 3.17 and JSON-RPC 2.0, whose numbers of errors stand here.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include <string.h>

// JSON-RPC 2.0, section 5.1; Language Server Protocol 3.17, "Error Codes".
#define PARSE_ERROR      (-32700)
#define INVALID_REQUEST  (-32600)
#define METHOD_NOT_FOUND (-32601)
#define NOT_INITIALIZED  (-32002)

static void beginning(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_new(bench, NULL, 0);
  const char *message = NULL;
  // Before that nothing is answered, and nothing that is told is taken notice of.
  assert_int_equal(pl_client_refusal(client, "textDocument/hover", NULL, &message),
                   NOT_INITIALIZED);
  assert_int_equal(pl_client_refusal(client, "shutdown", NULL, &message), NOT_INITIALIZED);
  pl_client_open(client, "early.leaf", "let =\n");
  assert_string_equal(pl_codes(client, pl_client_problems(client, "early.leaf")), "-");
  const json_t *const result =
      pl_client_ask(client, "initialize", json_pack("{s:n}", "rootUri"));
  const json_t *const can = json_object_get(result, "capabilities");
  assert_string_equal(json_string_value(json_object_get(can, "positionEncoding")), "utf-16");
  static const char *const providers[] = {
      "completionProvider",     "hoverProvider",
      "definitionProvider",     "referencesProvider",
      "documentSymbolProvider", "foldingRangeProvider",
      "renameProvider",         "codeActionProvider",
      "inlayHintProvider",      "documentFormattingProvider",
      "semanticTokensProvider"};
  for (size_t i = 0; i < sizeof providers / sizeof providers[0]; i++)
    assert_non_null(json_object_get(can, providers[i]));
  assert_int_equal(pl_client_refusal(client, "initialize", NULL, &message), INVALID_REQUEST);
  assert_codes(client, "early.leaf", "-"); // what came too early stays unknown
  pl_client_open(client, "late.leaf", "let =\n");
  assert_true(json_array_size(pl_client_problems(client, "late.leaf")) > 0);
  pl_client_end(client);
}

static void end_with_shutdown(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  int status = 99;
  const char *message = NULL;
  assert_false(pl_editor_is_over(client->editor, &status));
  const json_t *const result = pl_client_ask(client, "shutdown", NULL);
  assert_true(json_is_null(result));
  assert_false(pl_editor_is_over(client->editor, &status));
  assert_int_equal(pl_client_refusal(client, "textDocument/hover", NULL, &message),
                   INVALID_REQUEST);
  assert_int_equal(pl_client_refusal(client, "initialize", NULL, &message), INVALID_REQUEST);
  pl_client_tell(client, "exit", NULL);
  assert_true(pl_editor_is_over(client->editor, &status));
  assert_int_equal(status, 0);
  pl_client_end(client);
}

static void end_without_shutdown(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  int status = 99;
  pl_client_tell(client, "exit", NULL);
  assert_true(pl_editor_is_over(client->editor, &status));
  assert_int_equal(status, 1);
  pl_client_end(client);
}

static void unknown_methods(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  static const char *const methods[] = {"textDocument/mow", "$/ask", "", "exit"};
  for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
    const char *message = NULL;
    assert_int_equal(pl_client_refusal(client, methods[i], NULL, &message), METHOD_NOT_FOUND);
  }
  const size_t before = json_array_size(client->received);
  pl_client_tell(client, "textDocument/mow", NULL);
  pl_client_tell(client, "$/ask", NULL);
  assert_int_equal(json_array_size(client->received), before);
  int status = 99;
  assert_false(pl_editor_is_over(client->editor, &status));
  pl_client_end(client);
}

/// A request is answered before the next message is read: a cancellation comes too late, and
/// the protocol then wants the answer all the same.
static void cancel(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "let a = 1\n");
  (void)pl_client_ask(client, "textDocument/documentSymbol",
                      pl_client_document(client, "a.leaf"));
  const size_t before = json_array_size(client->received);
  pl_client_tell(client, "$/cancelRequest", json_pack("{s:I}", "id", client->next_id));
  pl_client_tell(client, "$/cancelRequest", json_pack("{s:s}", "id", "no such"));
  assert_int_equal(json_array_size(client->received), before);
  const json_t *const symbols = pl_client_ask(client, "textDocument/documentSymbol",
                                              pl_client_document(client, "a.leaf"));
  assert_int_equal(json_array_size(symbols), 1);
  pl_client_end(client);
}

static void names_of_requests(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  // A request may be called by a text, and by any number.
  static const char *const ids[] = {"\"one\"", "\"\"", "0", "-7", "9007199254740991"};
  for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++) {
    const char *const text =
        pl_format(bench->arena,
                  "{\"jsonrpc\":\"2.0\",\"id\":%s,\"method\":\"textDocument/hover\"}", ids[i]);
    pl_client_send(client, text, strlen(text));
    const json_t *const answer =
        json_array_get(client->received, json_array_size(client->received) - 1);
    char *const id = json_dumps(json_object_get(answer, "id"), JSON_ENCODE_ANY);
    assert_string_equal(id, ids[i]);
    free(id);
    assert_true(json_is_null(json_object_get(answer, "result")));
  }
  pl_client_end(client);
}

static void no_messages(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  static const struct {
    const char *text;
    int code;
  } cases[] = {
      {"", PARSE_ERROR},
      {"{", PARSE_ERROR},
      {"{\"id\": 1, \"method\": \"shutdown\"} more", PARSE_ERROR},
      {"\xFF\xFE", PARSE_ERROR},
      {"{\"method\": \"\xFF\"}", PARSE_ERROR},
      {"{}", INVALID_REQUEST},
      {"[]", INVALID_REQUEST},
      {"[{\"id\": 1, \"method\": \"shutdown\"}]", INVALID_REQUEST},
      {"{\"id\": 1}", INVALID_REQUEST},
      {"{\"id\": 1, \"method\": 7}", INVALID_REQUEST},
      {"{\"method\": null}", INVALID_REQUEST},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const size_t before = json_array_size(client->received);
    pl_client_send(client, cases[i].text, strlen(cases[i].text));
    assert_int_equal(json_array_size(client->received), before + 1);
    const json_t *const answer = json_array_get(client->received, before);
    assert_int_equal(
        json_integer_value(json_object_get(json_object_get(answer, "error"), "code")),
        cases[i].code);
    assert_non_null(json_object_get(answer, "id"));
  }
  // An answer to the server's own question is none.
  const size_t before = json_array_size(client->received);
  static const char answer[] = "{\"jsonrpc\":\"2.0\",\"id\":0,\"result\":null}";
  pl_client_send(client, answer, sizeof answer - 1);
  assert_int_equal(json_array_size(client->received), before);
  (void)pl_client_ask(client, "shutdown", NULL);
  pl_client_end(client);
}

/// Every request with nothing, nonsense and somebody else's parameters: each gets one answer.
static void requests_without_sense(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "setup \"a\" { air = 3 degC }\n");
  static const char *const methods[] = {"completion",          "hover",         "definition",
                                        "references",          "prepareRename", "rename",
                                        "documentSymbol",      "foldingRange",  "inlayHint",
                                        "semanticTokens/full", "codeAction",    "formatting"};
  static const char *const params[] = {
      "null",
      "[]",
      "7",
      "\"text\"",
      "{}",
      "{\"textDocument\": null}",
      "{\"textDocument\": {\"uri\": 7}}",
      "{\"textDocument\": {\"uri\": \"\"}}",
      "{\"textDocument\": {\"uri\": \"file:///no/such.leaf\"}, \"position\": {}}"};
  for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
    const char *const method = pl_format(bench->arena, "textDocument/%s", methods[i]);
    for (size_t j = 0; j < sizeof params / sizeof params[0]; j++)
      (void)pl_client_answer(client, method, json_loads(params[j], JSON_DECODE_ANY, NULL));
    json_t *const lacks = pl_client_document(client, "a.leaf");
    (void)pl_client_answer(client, method, lacks);
    json_t *const odd = pl_client_document(client, "a.leaf");
    json_object_set_new(odd, "position", json_pack("{s:i,s:f}", "line", -3, "character", 1e9));
    json_object_set_new(odd, "range", json_pack("{s:s,s:[]}", "start", "here", "end"));
    json_object_set_new(odd, "newName", json_integer(7));
    (void)pl_client_answer(client, method, odd);
  }
  static const char *const notes[] = {"didOpen", "didChange", "didClose", "didSave"};
  for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++) {
    for (size_t j = 0; j < sizeof params / sizeof params[0]; j++)
      pl_client_tell(client, pl_format(bench->arena, "textDocument/%s", notes[i]),
                     json_loads(params[j], JSON_DECODE_ANY, NULL));
  }
  assert_codes(client, "a.leaf", "");
  pl_client_end(client);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(beginning),
      PL_FOLDER_TEST(end_with_shutdown),
      PL_FOLDER_TEST(end_without_shutdown),
      PL_FOLDER_TEST(unknown_methods),
      PL_FOLDER_TEST(cancel),
      PL_FOLDER_TEST(names_of_requests),
      PL_FOLDER_TEST(no_messages),
      PL_FOLDER_TEST(requests_without_sense),
  };
  return cmocka_run_group_tests_name("life of a language server", tests, NULL, NULL);
}
