// SPDX-License-Identifier: GPL-3.0-or-later
// Tests what the language server tells of problems: where they are, how they are mended, when
// they are taken back, and which text of a file counts.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"
#include "mutation.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const json_t *first_problem(struct pl_client *client, const char *name) {
  return json_array_get(pl_client_problems(client, name), 0);
}

static const char *text_of(const json_t *object, const char *key) {
  const char *const text = json_string_value(json_object_get(object, key));
  return text == NULL ? "" : text;
}

static void place_and_sentence(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  const char *const text = "setup \"漢😀\" { air = 9 degC; surfice = \"clay\" }\r\n"
                           "setup \"b\" {\r\n  camber = 95 deg\r\n}\r\n";
  pl_client_open(client, "a.leaf", text);
  const json_t *const problems = pl_client_problems(client, "a.leaf");
  assert_string_equal(pl_codes(client, problems), "unknown-key outside-usual");
  const json_t *const slip = json_array_get(problems, 0);
  assert_string_equal(pl_text_in(client, text, json_object_get(slip, "range")), "surfice");
  assert_int_equal(json_integer_value(json_object_get(slip, "severity")), 1);
  assert_string_equal(text_of(slip, "source"), "pitleaf");
  assert_non_null(strstr(text_of(slip, "message"), "did you mean `surface`"));
  const json_t *const doubt = json_array_get(problems, 1);
  assert_string_equal(pl_text_in(client, text, json_object_get(doubt, "range")),
                      "camber = 95 deg");
  assert_int_equal(json_integer_value(json_object_get(doubt, "severity")), 2);
  pl_client_end(client);
}

static void second_place(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_write_open(client, "a.leaf", "oil \"x\" { viscosity = 300 cSt }\n");
  pl_client_open(client, "b.leaf", "include \"a.leaf\"\noil \"x\" { viscosity = 350 cSt }\n");
  assert_codes(client, "b.leaf", "");
  assert_codes(client, "a.leaf", "name-twice");
  const json_t *const related =
      json_array_get(json_object_get(first_problem(client, "a.leaf"), "relatedInformation"), 0);
  const json_t *const location = json_object_get(related, "location");
  assert_string_equal(text_of(location, "uri"), pl_client_uri(client, "b.leaf"));
  assert_string_equal(
      pl_text_in(client, pl_client_text(client, "b.leaf"), json_object_get(location, "range")),
      "\"x\"");
  pl_client_end(client);
}

static void edits_take_problems_back(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "setup \"a\" { air = 9 mm }\n");
  assert_codes(client, "a.leaf", "wrong-dimension");
  const char *const unit = strstr(pl_client_text(client, "a.leaf"), "mm");
  const size_t at = (size_t)(unit - pl_client_text(client, "a.leaf"));
  pl_client_edit(client, "a.leaf", at, at + 2, "degC");
  assert_codes(client, "a.leaf", "");
  pl_client_edit(client, "a.leaf", at, at + 4, "kg");
  assert_codes(client, "a.leaf", "wrong-dimension");
  pl_client_close(client, "a.leaf");
  assert_codes(client, "a.leaf", "");
  pl_client_end(client);
}

/// Nothing is told twice: a client that is idle hears nothing.
static void told_once(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "setup \"a\" { air = 9 mm }\n");
  pl_editor_idle(client->editor);
  const size_t before = json_array_size(client->received);
  pl_editor_idle(client->editor);
  (void)pl_client_ask(client, "textDocument/documentSymbol",
                      pl_client_document(client, "a.leaf"));
  pl_editor_idle(client->editor);
  assert_int_equal(json_array_size(client->received), before + 1);
  pl_client_end(client);
}

// ---------------------------------------------------------------- mends

/// Each wrong text has one problem; the mend that is offered makes it go away.
static void mends(struct pl_bench *bench) {
  static const struct {
    const char *text;
    const char *code;
    const char *wrong;
    const char *title;
  } cases[] = {
      {"setup \"a\" { surfice = \"clay\" }\n", "unknown-key", "surfice", "Write surface"},
      {"setpu \"a\" { }\n", "unknown-kind", "setpu", "Write setup"},
      {"oil \"clear\" { viscosity = 300 cSt }\nsetup \"é😀\" { oil = \"claer\" }\n",
       "unknown-part", "\"claer\"", "Write \"clear\""},
      {"setup \"A base\" { }\nsetup \"b\" from \"A bsae\" { }\n", "unknown-base", "\"A bsae\"",
       "Write \"A base\""},
      {"setup \"a\" { preload = 3 mmm }\n", "unknown-unit", "mmm", "Write mm"},
      {"let grams = 300 g\nsetup \"a\" { front { corner-mass = gramms } }\n", NULL, "gramms",
       NULL},
      {"setup \"a\" { date = 2026-6-14 }\n", NULL, "2026-6-14", NULL},
  };
  struct pl_client *const client = pl_client_start(bench);
  size_t mended = 0;
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pl_client_open(client, "a.leaf", cases[i].text);
    const json_t *const problems = pl_client_problems(client, "a.leaf");
    if (cases[i].code != NULL) assert_string_equal(pl_codes(client, problems), cases[i].code);
    json_t *const params = pl_client_at(client, "a.leaf", cases[i].wrong, 1);
    json_object_set_new(params, "range",
                        json_pack("{s:O,s:O}", "start", json_object_get(params, "position"),
                                  "end", json_object_get(params, "position")));
    const json_t *const actions = pl_client_ask(client, "textDocument/codeAction", params);
    if (cases[i].title != NULL) {
      assert_int_equal(json_array_size(actions), 1);
      const json_t *const action = json_array_get(actions, 0);
      assert_string_equal(text_of(action, "title"), cases[i].title);
      assert_string_equal(text_of(action, "kind"), "quickfix");
      assert_true(json_equal(json_array_get(json_object_get(action, "diagnostics"), 0),
                             json_array_get(problems, 0)));
    }
    // Whatever is offered has to mend what it is offered for.
    if (json_array_size(actions) == 1) {
      pl_client_apply(client, json_object_get(json_array_get(actions, 0), "edit"));
      assert_codes(client, "a.leaf", "");
      mended++;
    }
    pl_client_close(client, "a.leaf");
  }
  assert_true(mended >= 5);
  pl_client_end(client);
}

/// How often a problem of that code and sentence stands in a list.
static size_t times_told(const json_t *problems, const json_t *problem) {
  size_t times = 0;
  for (size_t i = 0; i < json_array_size(problems); i++) {
    const json_t *const one = json_array_get(problems, i);
    times += strcmp(text_of(one, "code"), text_of(problem, "code")) == 0 &&
             strcmp(text_of(one, "message"), text_of(problem, "message")) == 0;
  }
  return times;
}

static size_t mended_by_actions;

/// Each action that is offered for a wrong file, taken for itself, mends its problem.
static void mend_source(struct pl_bench *bench, const char *path, const char *bytes,
                        size_t length) {
  json_t *const text = json_stringn(bytes, length);
  const bool is_text = text != NULL && strlen(bytes) == length;
  json_decref(text);
  if (!is_text || strncmp(path, "tests/errors/", 13) != 0) return;
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, path, bytes);
  const json_t *const before = pl_client_problems(client, path);
  const json_t *const actions =
      pl_client_ask(client, "textDocument/codeAction", pl_client_all_of(client, path));
  for (size_t i = 0; i < json_array_size(actions); i++) {
    const json_t *const action = json_array_get(actions, i);
    const json_t *const problem = json_array_get(json_object_get(action, "diagnostics"), 0);
    pl_client_apply(client, json_object_get(action, "edit"));
    const json_t *const after = pl_client_problems(client, path);
    if (times_told(after, problem) >= times_told(before, problem))
      fail_msg("%s: `%s` does not mend: %s", path, text_of(action, "title"),
               text_of(problem, "message"));
    mended_by_actions++;
    pl_client_write(client, path, bytes);
  }
  pl_client_end(client);
}

static void mends_of_wrong_files(struct pl_bench *bench) {
  assert_int_equal(chdir(pl_test_root()), 0);
  mended_by_actions = 0;
  assert_true(pl_each_source(bench, mend_source) > PL_FEWEST_SOURCES);
  print_message("  %zu actions mended what they were offered for\n", mended_by_actions);
  assert_true(mended_by_actions > 20);
}

static void no_mend_elsewhere(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "setup \"a\" {\n  surfice = \"clay\"\n  air = 3 degC\n}\n");
  json_t *const params = pl_client_at(client, "a.leaf", "air", 1);
  json_object_set_new(params, "range",
                      json_pack("{s:O,s:O}", "start", json_object_get(params, "position"),
                                "end", json_object_get(params, "position")));
  assert_int_equal(
      json_array_size(pl_client_ask(client, "textDocument/codeAction", json_incref(params))),
      0);
  // Who asks for another kind of action gets none of this one.
  json_t *const all = pl_client_all_of(client, "a.leaf");
  json_object_set_new(all, "context",
                      json_pack("{s:[],s:[s]}", "diagnostics", "only", "refactor"));
  const json_t *const refactorings = pl_client_ask(client, "textDocument/codeAction", all);
  assert_int_equal(json_array_size(refactorings), 0);
  json_t *const fixes = pl_client_all_of(client, "a.leaf");
  json_object_set_new(
      fixes, "context",
      json_pack("{s:[],s:[s,s]}", "diagnostics", "only", "refactor", "quickfix"));
  const json_t *const mends_asked = pl_client_ask(client, "textDocument/codeAction", fixes);
  assert_int_equal(json_array_size(mends_asked), 1);
  json_decref(params);
  pl_client_end(client);
}

// ---------------------------------------------------------------- several files

static void problems_of_includes(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_test_write_text("oils.leaf", "oil \"x\" { viscosity = 300 }\n");
  pl_client_open(client, "a.leaf", "include \"oils.leaf\"\nsetup \"a\" { oil = \"x\" }\n");
  assert_codes(client, "oils.leaf", "wrong-kind"); // though it is not open
  // A text that is not saved goes before the disk, also where another file includes it.
  pl_client_open(client, "oils.leaf", "oil \"x\" { viscosity = 300 cSt }\n");
  assert_codes(client, "oils.leaf", "");
  pl_client_edit(client, "oils.leaf", 5, 6, "y");
  assert_codes(client, "a.leaf", "unknown-part");
  pl_client_edit(client, "oils.leaf", 5, 6, "x");
  assert_codes(client, "a.leaf", "");
  // Closed without saving, the disk counts again.
  pl_client_close(client, "oils.leaf");
  assert_codes(client, "oils.leaf", "wrong-kind");
  assert_codes(client, "a.leaf", "");
  pl_client_end(client);
}

static void changes_on_the_disk(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "include \"oils.leaf\"\nsetup \"a\" { oil = \"x\" }\n");
  assert_codes(client, "a.leaf", "include-missing unknown-part");
  pl_test_write_text("oils.leaf", "oil \"x\" { viscosity = 300 cSt }\n");
  pl_client_tell(client, "workspace/didChangeWatchedFiles",
                 json_pack("{s:[{s:s,s:i}]}", "changes", "uri",
                           pl_client_uri(client, "oils.leaf"), "type", 1));
  assert_codes(client, "a.leaf", "");
  pl_test_write_text("oils.leaf", "oil \"y\" { viscosity = 300 cSt }\n");
  // Not every client can watch files: each tells when it saves one.
  pl_client_tell(client, "textDocument/didSave", pl_client_document(client, "a.leaf"));
  assert_codes(client, "a.leaf", "unknown-part");
  assert_int_equal(unlink("oils.leaf"), 0);
  pl_client_tell(client, "workspace/didChangeWatchedFiles", json_pack("{s:[]}", "changes"));
  assert_codes(client, "a.leaf", "include-missing unknown-part");
  pl_client_end(client);
}

static void watch_is_asked_for(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_new(bench, NULL, 0);
  (void)pl_client_ask(client, "initialize",
                      json_pack("{s:{s:{s:{s:b}}}}", "capabilities", "workspace",
                                "didChangeWatchedFiles", "dynamicRegistration", 1));
  pl_client_tell(client, "initialized", json_object());
  const json_t *const asked =
      json_array_get(client->received, json_array_size(client->received) - 1);
  assert_string_equal(text_of(asked, "method"), "client/registerCapability");
  const json_t *const wish =
      json_array_get(json_object_get(json_object_get(asked, "params"), "registrations"), 0);
  assert_string_equal(text_of(wish, "method"), "workspace/didChangeWatchedFiles");
  assert_non_null(json_object_get(asked, "id"));
  pl_client_end(client);
}

/// One file by two ways that lead to it is one file.
static void links(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_test_write_text("oils.leaf", "oil \"x\" { viscosity = 300 cSt }\n");
  assert_int_equal(symlink("oils.leaf", "link.leaf"), 0);
  pl_client_open(client, "link.leaf", "oil \"y\" { viscosity = 300 cSt }\n");
  pl_client_open(client, "a.leaf", "include \"oils.leaf\"\nsetup \"a\" { oil = \"x\" }\n");
  assert_codes(client, "a.leaf", "unknown-part");
  pl_client_end(client);
}

/// Names of files with blanks, letters of other scripts and signs, written as URIs.
static void odd_names(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_test_write_text("öl %41 #1.leaf", "oil \"x\" { viscosity = 300 }\n");
  pl_client_open(client, "a.leaf", "include \"öl %41 #1.leaf\"\n");
  const char *const uri =
      pl_format(bench->arena, "file://%s/%%C3%%B6l%%20%%2541%%20%%231.leaf", client->folder);
  assert_string_equal(pl_codes(client, pl_client_problems(client, uri)), "wrong-kind");
  pl_client_open(client, uri, "oil \"x\" { viscosity = 300 cSt }\n");
  assert_string_equal(pl_codes(client, pl_client_problems(client, uri)), "");
  // A name in another encoding: no UTF-8, and no text of JSON, but a URI all the same.
  pl_test_write_text("caf\xE9.leaf", "oil \"y\" { viscosity = 300 }\n");
  const char *const latin = pl_format(bench->arena, "file://%s/caf%%E9.leaf", client->folder);
  pl_client_open(client, latin, "oil \"y\" { viscosity = 300 }\n");
  assert_string_equal(pl_codes(client, pl_client_problems(client, latin)), "wrong-kind");
  const json_t *const place =
      pl_client_ask(client, "textDocument/definition", pl_client_at(client, latin, "\"y\"", 1));
  assert_string_equal(text_of(place, "uri"), latin);
  pl_client_end(client);
}

/// Folders of a library come with the command, and with the client's first request.
static void libraries(struct pl_bench *bench) {
  static const char *const folders[] = {"springs"};
  assert_int_equal(mkdir("springs", 0700), 0);
  assert_int_equal(mkdir("oils", 0700), 0);
  assert_int_equal(mkdir("mine", 0700), 0);
  pl_test_write_text("springs/s.leaf", "spring \"soft\" { rate = 0.4 N/mm }\n");
  pl_test_write_text("oils/o.leaf", "oil \"x\" { viscosity = 300 cSt }\n");
  struct pl_client *const client = pl_client_new(bench, folders, 1);
  (void)pl_client_ask(client, "initialize",
                      json_pack("{s:s,s:{s:[s,i,s]}}", "rootUri", pl_client_uri(client, "mine"),
                                "initializationOptions", "libraries", "../oils", 7, "none"));
  pl_client_open(client, "mine/a.leaf",
                 "include \"s.leaf\"\ninclude \"o.leaf\"\n"
                 "setup \"a\" { spring = \"soft\"; oil = \"x\" }\n");
  assert_codes(client, "mine/a.leaf", "");
  const json_t *const place = pl_client_ask(client, "textDocument/definition",
                                            pl_client_at(client, "mine/a.leaf", "\"x\"", 1));
  assert_string_equal(text_of(place, "uri"), pl_client_uri(client, "oils/o.leaf"));
  pl_client_end(client);
}

/// A new text that has no file yet is checked like others, and two of them are two.
static void without_file(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "untitled:one", "setup \"a\" { surfice = \"clay\" }\n");
  pl_client_open(client, "untitled:two", "oil \"a\" { viscosity = 300 }\n");
  assert_codes(client, "untitled:one", "unknown-key");
  assert_codes(client, "untitled:two", "wrong-kind");
  const json_t *const hover = pl_client_ask(client, "textDocument/hover",
                                            pl_client_at(client, "untitled:two", "visc", 1));
  assert_non_null(strstr(text_of(json_object_get(hover, "contents"), "value"), "viscosity"));
  pl_client_end(client);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(place_and_sentence),
      PL_FOLDER_TEST(second_place),
      PL_FOLDER_TEST(edits_take_problems_back),
      PL_FOLDER_TEST(told_once),
      PL_FOLDER_TEST(mends),
      PL_FOLDER_TEST(mends_of_wrong_files),
      PL_FOLDER_TEST(no_mend_elsewhere),
      PL_FOLDER_TEST(problems_of_includes),
      PL_FOLDER_TEST(changes_on_the_disk),
      PL_FOLDER_TEST(watch_is_asked_for),
      PL_FOLDER_TEST(links),
      PL_FOLDER_TEST(odd_names),
      PL_FOLDER_TEST(without_file),
      PL_FOLDER_TEST(libraries),
  };
  return cmocka_run_group_tests_name("problems in an editor", tests, NULL, NULL);
}
