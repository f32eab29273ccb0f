// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what an editor shows of a whole file: symbols, folds, colours, hints and the layout.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"
#include "mutation.h"

#include "pitleaf/compare.h"
#include "pitleaf/syntax.h"

#include <string.h>
#include <unistd.h>

static const char *text_of(const json_t *object, const char *key) {
  const char *const text = json_string_value(json_object_get(object, key));
  return text == NULL ? "" : text;
}

// ---------------------------------------------------------------- symbols

static void add_symbols(struct pl_client *client, struct pl_buffer *out, const char *text,
                        const json_t *symbols) {
  for (size_t i = 0; i < json_array_size(symbols); i++) {
    const json_t *const one = json_array_get(symbols, i);
    const json_t *const range = json_object_get(one, "range");
    const json_t *const chosen = json_object_get(one, "selectionRange");
    pl_buffer_format(out, "%s%s %d [%s]", i == 0 ? "" : ", ", text_of(one, "name"),
                     (int)json_integer_value(json_object_get(one, "kind")),
                     pl_text_in(client, text, chosen));
    // The protocol wants the chosen range within the whole one.
    assert_true(pl_byte_of(text, json_object_get(range, "start")) <=
                pl_byte_of(text, json_object_get(chosen, "start")));
    assert_true(pl_byte_of(text, json_object_get(range, "end")) >=
                pl_byte_of(text, json_object_get(chosen, "end")));
    assert_true(text_of(one, "name")[0] != '\0');
    const json_t *const children = json_object_get(one, "children");
    if (json_array_size(children) == 0) continue;
    pl_buffer_text(out, " (");
    add_symbols(client, out, text, children);
    pl_buffer_text(out, ")");
  }
}

static void symbols(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf",
                 "include \"b.leaf\"\r\nlet é = 1\nlet grams = 3 g\n"
                 "setup \"漢😀\" from \"b\" {\n  air = 3 degC\n  rear { camber = 1 deg }\n}\n"
                 "meeting \"m\" { entry 7 { driver = \"x\" } }\noil \"\" { }\n");
  struct pl_buffer out = {.arena = bench->arena};
  add_symbols(client, &out, pl_client_text(client, "a.leaf"),
              pl_client_ask(client, "textDocument/documentSymbol",
                            pl_client_document(client, "a.leaf")));
  assert_string_equal(pl_buffer_string(&out),
                      "b.leaf 1 [\"b.leaf\"], grams 14 [grams], 漢😀 5 [\"漢😀\"] "
                      "(air 7 [air], rear 19 [rear] (camber 7 [camber])), "
                      "m 5 [\"m\"] (entry 19 [entry] (driver 7 [driver])), … 5 [\"\"]");
  pl_client_end(client);
}

// ---------------------------------------------------------------- folds

static const char *folds_of(struct pl_client *client, const char *text) {
  pl_client_open(client, "a.leaf", text);
  const json_t *const folds =
      pl_client_ask(client, "textDocument/foldingRange", pl_client_document(client, "a.leaf"));
  struct pl_buffer out = {.arena = client->bench->arena};
  for (size_t i = 0; i < json_array_size(folds); i++) {
    const json_t *const one = json_array_get(folds, i);
    pl_buffer_format(&out, "%s%d-%d%s", i == 0 ? "" : " ",
                     (int)json_integer_value(json_object_get(one, "startLine")),
                     (int)json_integer_value(json_object_get(one, "endLine")),
                     strcmp(text_of(one, "kind"), "comment") == 0 ? " comment" : "");
  }
  return pl_buffer_string(&out);
}

static void folds(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  assert_string_equal(folds_of(client, ""), "");
  assert_string_equal(folds_of(client, "setup \"a\" { }\n"), "");
  assert_string_equal(folds_of(client, "setup \"a\" {\n  rear {\n  }\n}\noil \"b\" {\n}\n"),
                      "0-3 1-2 4-5");
  assert_string_equal(
      folds_of(client, "# one\r\n# two\r\n# three\r\n\r\nlet a = 1 # no\r\n# four\r\n"),
      "0-2 comment");
  assert_string_equal(folds_of(client, "let a = 1\n\n# one\n# two"), "2-3 comment");
  assert_string_equal(folds_of(client, "let a = [\n  1,\n  2\n]\n"), "");
  assert_string_equal(folds_of(client, "oil \"a\" {\n  viscosity = [\n  1 cSt\n  ]\n}\n"),
                      "0-4 1-3");
  pl_client_end(client);
}

// ---------------------------------------------------------------- colours

/// A token as the protocol packs it, unpacked.
struct painted {
  size_t start;
  size_t length;
};

/// Semantic tokens of a text, unpacked, against the lexer's own: everything but blanks, line
/// ends and what is no token of the language is painted, as it is cut, and nothing else.
static void check_colours(struct pl_client *client, const char *name, const char *bytes,
                          size_t length) {
  struct pl_bench *const bench = client->bench;
  pl_client_open(client, "a.leaf", bytes);
  const json_t *const data =
      json_object_get(pl_client_ask(client, "textDocument/semanticTokens/full",
                                    pl_client_document(client, "a.leaf")),
                      "data");
  struct pl_diagnostics *const problems = pl_diagnostics_new(bench->arena);
  const struct pl_tree *const tree =
      pl_parse(bench->arena, pl_names_new(bench->arena), problems,
               pl_source_of_bytes(bench->arena, name, (const unsigned char *)bytes, length));
  size_t at = 0;
  json_int_t line = 0;
  json_int_t character = 0;
  json_int_t end = 0;
  // Lines and units are counted along with the lexer's tokens.
  json_int_t true_line = 0;
  json_int_t true_character = 0;
  size_t byte = 0;
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    const bool is_painted = token->class != PL_CLASS_SPACE && token->class != PL_CLASS_LINE &&
                            token->class != PL_CLASS_BAD;
    const json_int_t start_line = true_line;
    const json_int_t start_character = true_character;
    for (; byte < token->end; byte++) {
      const unsigned char one = (unsigned char)bytes[byte];
      if (one == '\n' || (one == '\r' && bytes[byte + 1] != '\n')) {
        true_line++;
        true_character = 0;
      } else if (one < 0x80 || one >= 0xC0) {
        true_character += one >= 0xF0 ? 2 : 1;
      }
    }
    if (!is_painted) continue;
    assert_true(at + 5 <= json_array_size(data));
    const json_int_t down = json_integer_value(json_array_get(data, at));
    const json_int_t right = json_integer_value(json_array_get(data, at + 1));
    const json_int_t units = json_integer_value(json_array_get(data, at + 2));
    if (down > 0) end = 0;
    line += down;
    character = down > 0 ? right : character + right;
    if (line != start_line || character != start_character)
      fail_msg("%s: a token stands at %lld:%lld, and is painted at %lld:%lld", name,
               (long long)start_line, (long long)start_character, (long long)line,
               (long long)character);
    assert_true(down >= 0 && right >= 0 && units > 0 && character >= end);
    // None goes over the end of its line.
    assert_int_equal(true_line, start_line);
    assert_int_equal(units, true_character - start_character);
    assert_in_range(json_integer_value(json_array_get(data, at + 3)), 0, 11);
    end = character + units;
    at += 5;
  }
  assert_int_equal(at, json_array_size(data));
}

static void check_source(struct pl_bench *bench, const char *path, const char *bytes,
                         size_t length) {
  // Bytes that are no text never come from an editor.
  json_t *const text = json_stringn(bytes, length);
  const bool is_text = text != NULL && strlen(bytes) == length;
  json_decref(text);
  if (!is_text) return;
  struct pl_client *const client = pl_client_start(bench);
  check_colours(client, path, bytes, length);
  pl_client_end(client);
}

static void colours(struct pl_bench *bench) {
  assert_int_equal(chdir(pl_test_root()), 0);
  assert_true(pl_each_source(bench, check_source) > PL_FEWEST_SOURCES);
  static const char *const texts[] = {
      "", "\xEF\xBB\xBFlet a = 1", "let a = \"漢😀\" # 😀\r\nlet b = 2\r", "\"open\n\"", "é = ½"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    check_source(bench, texts[i], texts[i], strlen(texts[i]));
}

static void what_words_are(struct pl_bench *bench) {
  static const char *const kinds[] = {"comment",  "keyword",  "kind",   "scope",
                                      "key",      "text",     "number", "unit",
                                      "constant", "function", "choice", "operator"};
  struct pl_client *const client = pl_client_start(bench);
  const char *const text = "let a = 1 mm # c\n"
                           "setup \"b\" from \"c\" {\n"
                           "  rear { preload = min(a, front.preload) }\n"
                           "  date = 2026-06-14\n"
                           "}\n";
  static const char *const wanted =
      "keyword constant operator number unit comment kind text keyword text operator scope "
      "operator key operator function operator constant operator key operator key operator "
      "operator key operator number operator";
  pl_client_open(client, "a.leaf", text);
  const json_t *const data =
      json_object_get(pl_client_ask(client, "textDocument/semanticTokens/full",
                                    pl_client_document(client, "a.leaf")),
                      "data");
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t at = 3; at < json_array_size(data); at += 5)
    pl_buffer_format(&out, "%s%s", at == 3 ? "" : " ",
                     kinds[json_integer_value(json_array_get(data, at))]);
  assert_string_equal(pl_buffer_string(&out), wanted);
  pl_client_end(client);
}

// ---------------------------------------------------------------- hints

static void hints(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  const char *const text = "setup \"é😀\" {\n"
                           "  air = 20 degC; ride-height = 1 in\n"
                           "  front { preload = 0 mm; spring = 1 N/mm }\n"
                           "}\n"
                           "setup \"b\" from \"é😀\" {\n"
                           "  front { preload += 2 mm }\n"
                           "}\n";
  pl_client_open(client, "a.leaf", text);
  const json_t *const all =
      pl_client_ask(client, "textDocument/inlayHint", pl_client_all_of(client, "a.leaf"));
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t i = 0; i < json_array_size(all); i++) {
    const json_t *const one = json_array_get(all, i);
    const size_t at = pl_byte_of(text, json_object_get(one, "position"));
    assert_true(at < strlen(text));
    pl_buffer_format(&out, "%.4s|%s\n", text + at - 4, text_of(one, "label"));
  }
  // A zero needs none, nor what reads the same in both (a spring by its rate is a part).
  assert_string_equal(pl_buffer_string(&out), "degC|68 °F\n1 in|25.4 mm\n"
                                              "2 mm|from 0.00 mm\n");
  // Those of some lines alone.
  json_t *const some = pl_client_document(client, "a.leaf");
  json_object_set_new(some, "range",
                      json_pack("{s:{s:i,s:i},s:{s:i,s:i}}", "start", "line", 5, "character", 0,
                                "end", "line", 6, "character", 0));
  const json_t *const few = pl_client_ask(client, "textDocument/inlayHint", some);
  assert_int_equal(json_array_size(few), 1);
  pl_client_end(client);
}

/// What the lines of a setup start from; those of a car start from nothing that is known, and
/// one that comes behind a change of the base starts from that.
static void hints_of_changes(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  const char *const text =
      "car \"c\" { all { tyre-radius = 40 mm }; front { tyre-radius += 1 mm } }\n"
      "setup \"a\" { all { preload = 1 mm } }\n"
      "setup \"b\" from \"a\" { all { preload += 2 mm } }\n"
      "setup \"d\" from \"b\" { all { preload *= 2 }; rear { preload -= 3 mm } }\n";
  pl_client_open(client, "a.leaf", text);
  const json_t *const all =
      pl_client_ask(client, "textDocument/inlayHint", pl_client_all_of(client, "a.leaf"));
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t i = 0; i < json_array_size(all); i++) {
    const json_t *const one = json_array_get(all, i);
    const size_t at = pl_byte_of(text, json_object_get(one, "position"));
    pl_buffer_format(&out, "%.4s|%s\n", text + at - 4, text_of(one, "label"));
  }
  assert_string_equal(pl_buffer_string(&out),
                      "0 mm|1.575 in\n1 mm|0.039 in\n2 mm|from 1.00 mm\n"
                      "*= 2|from 3.00 mm\n3 mm|from 6.00 mm\n");
  pl_client_end(client);
}

// ---------------------------------------------------------------- layout

/// The edits of the server come to what `pitleaf tidy` would write, or to nothing for a file
/// with mistakes of syntax.
static void check_layout_of(struct pl_bench *bench, const char *path, const char *bytes,
                            size_t length) {
  json_t *const as_text = json_stringn(bytes, length);
  const bool is_text = as_text != NULL && strlen(bytes) == length;
  json_decref(as_text);
  if (!is_text) return;
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, path, bytes);
  const json_t *const edits =
      pl_client_ask(client, "textDocument/formatting", pl_client_document(client, path));
  struct pl_diagnostics *const problems = pl_diagnostics_new(bench->arena);
  const struct pl_tree *const tree =
      pl_parse(bench->arena, pl_session_names(bench->session), problems,
               pl_source_of_bytes(bench->arena, path, (const unsigned char *)bytes, length));
  const struct pl_tidied tidied =
      problems->errors > 0
          ? (struct pl_tidied){NULL, 0, false}
          : pl_lay_out(bench->session, bench->arena, tree, pl_folder_of(bench->arena, path));
  const char *const wanted = tidied.text == NULL ? bytes : tidied.text;
  const char *const got = json_is_array(edits) ? pl_edited(client, bytes, edits) : bytes;
  if (strcmp(got, wanted) != 0) fail_msg("%s: the layout is\n%s\nnot\n%s", path, got, wanted);
  pl_client_end(client);
}

static void layout(struct pl_bench *bench) {
  assert_int_equal(chdir(pl_test_root()), 0);
  bench->arena = bench->own;
  assert_true(pl_each_source(bench, check_layout_of) > PL_FEWEST_SOURCES);
  static const char *const texts[] = {
      "",
      "\n\n",
      "let a=1",
      "let a = 1\r\nlet  b =2\r\n",
      "\xEF\xBB\xBFlet a=1\n",
      "let ü=1\n",
      "setup \"漢😀\"{air=3degC}#😀\nlet b=1\n",
      "setup \"a\" {\n\n\n}\n\n\n\nlet b = 1\n",
      "let a = 1\nlet b =\n",
      "setup \"a\" { rear { camber = 1 deg }\nfront { camber = 2 deg } }\n"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    check_layout_of(bench, "none.leaf", texts[i], strlen(texts[i]));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(symbols),        PL_FOLDER_TEST(folds), PL_FOLDER_TEST(colours),
      PL_FOLDER_TEST(what_words_are), PL_FOLDER_TEST(hints), PL_FOLDER_TEST(hints_of_changes),
      PL_FOLDER_TEST(layout),
  };
  return cmocka_run_group_tests_name("whole files in an editor", tests, NULL, NULL);
}
