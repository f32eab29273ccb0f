// SPDX-License-Identifier: GPL-3.0-or-later
// Findings for machines: places in every way of counting, replacements that mend, and documents
// of the shapes that JSON readers and the SARIF standard expect.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <jansson.h>

#include "support.h"

#include "pitleaf/report.h"

#include <string.h>
#include <unistd.h>

static json_t *parsed(const char *text) {
  json_error_t error;
  json_t *const document = json_loads(text, JSON_REJECT_DUPLICATES, &error);
  if (document == NULL) fail_msg("line %d: %s", error.line, error.text);
  return document;
}

/// The member at "a/0/b"; a number is a place in a list. Fails the test if it is not there.
static json_t *member(json_t *from, const char *path) {
  json_t *at = from;
  for (const char *step = path; *step != '\0';) {
    char name[64];
    const size_t length = strcspn(step, "/");
    assert_true(length < sizeof name);
    memcpy(name, step, length);
    name[length] = '\0';
    at = json_is_array(at) ? json_array_get(at, strtoul(name, NULL, 10))
                           : json_object_get(at, name);
    step += length + (step[length] == '/' ? 1 : 0);
  }
  if (at == NULL) fail_msg("there is no %s", path);
  return at;
}

static const char *text_at(json_t *from, const char *path) {
  const char *const text = json_string_value(member(from, path));
  if (text == NULL) fail_msg("%s is no text", path);
  return text == NULL ? "" : text;
}

static int number_at(json_t *from, const char *path) {
  json_t *const number = member(from, path);
  if (!json_is_integer(number)) fail_msg("%s is no whole number", path);
  return (int)json_integer_value(number);
}

/// All that can be known of a program's setup, where it has one.
static struct pl_program *checked(struct pl_program *program) {
  const struct pl_setup *const setup =
      pl_program_unreadable(program) ? NULL : pl_program_setup(program, NULL);
  if (setup != NULL) pl_setup_check(setup);
  return program;
}

static const struct pl_findings *findings_of(struct pl_bench *bench, const char *text) {
  struct pl_findings *const findings = pl_findings_new(bench->arena, "/");
  struct pl_program *const program = checked(pl_bench_program(bench, text));
  pl_findings_add(findings, "test.leaf", pl_program_source(program),
                  pl_program_problems(program));
  return findings;
}

static json_t *json_of(struct pl_bench *bench, const struct pl_findings *findings) {
  return parsed(pl_findings_json(bench->arena, findings, "1.2.3"));
}

static json_t *sarif_of(struct pl_bench *bench, const struct pl_findings *findings) {
  return parsed(pl_findings_sarif(bench->arena, findings, "1.2.3", 1));
}

// ---------------------------------------------------------------- places

// Before the mistake stand an é (two bytes of UTF-8, one unit of UTF-16) and a sign beyond
// U+FFFF (four bytes, two units).
#define WIDE "setup \"s\" {\n  notes = \"é\xF0\x9F\x8F\x81\"; sprig = 1\n}\n"

static void places_in_every_count(struct pl_bench *bench) {
  json_t *const document = json_of(bench, findings_of(bench, WIDE));
  json_t *const problem = member(document, "diagnostics/0");
  assert_string_equal(text_at(problem, "code"), "unknown-key");
  assert_string_equal(text_at(problem, "file"), "test.leaf");
  assert_int_equal(number_at(problem, "start/line"), 2);
  assert_int_equal(number_at(problem, "start/column"), 17);
  assert_int_equal(number_at(problem, "start/utf16-column"), 18);
  assert_int_equal(number_at(problem, "start/offset"), 12 + 2 + 9 + 6 + 3);
  assert_int_equal(number_at(problem, "end/line"), 2);
  assert_int_equal(number_at(problem, "end/column"), 22);
  assert_int_equal(number_at(problem, "end/utf16-column"), 23);
  assert_int_equal(number_at(problem, "end/offset"), 12 + 2 + 9 + 6 + 3 + 5);
  json_decref(document);
}

// The mark that some editors put first is no character to anybody who counts columns.
static void a_byte_order_mark_has_no_column(struct pl_bench *bench) {
  json_t *const document =
      json_of(bench, findings_of(bench, "\xEF\xBB\xBFsetup \"s\" { sprig = 1 }\n"));
  json_t *const problem = member(document, "diagnostics/0");
  assert_string_equal(text_at(problem, "code"), "unknown-key");
  assert_int_equal(number_at(problem, "start/column"), 13);
  assert_int_equal(number_at(problem, "start/utf16-column"), 13);
  assert_int_equal(number_at(problem, "start/offset"), 15);
  json_decref(document);
}

static void related_places_are_told(struct pl_bench *bench) {
  const struct pl_findings *const findings =
      findings_of(bench, "setup \"s\" {\n  front { preload = 1 mm\n    preload = 2 mm }\n}\n");
  json_t *const document = json_of(bench, findings);
  assert_int_equal(json_array_size(member(document, "diagnostics/0/related")), 1);
  json_t *const related = member(document, "diagnostics/0/related/0");
  assert_int_equal(number_at(related, "start/line"), 2);
  assert_int_equal(number_at(related, "start/column"), 11);
  assert_true(strlen(text_at(related, "message")) > 0);
  json_decref(document);
  json_t *const sarif = sarif_of(bench, findings);
  json_t *const other = member(sarif, "runs/0/results/0/relatedLocations/0");
  assert_int_equal(number_at(other, "physicalLocation/region/startLine"), 2);
  assert_true(strlen(text_at(other, "message/text")) > 0);
  json_decref(sarif);
}

// ---------------------------------------------------------------- the document of JSON

static void what_there_is_none_of_is_null(struct pl_bench *bench) {
  json_t *const document = json_of(bench, findings_of(bench, "setup \"s\" { mass = 1 g\n"));
  json_t *const problem = member(document, "diagnostics/0");
  static const char *const keys[] = {"code",        "severity", "message", "hint",
                                     "replacement", "file",     "line",    "column",
                                     "start",       "end",      "related"};
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) (void)member(problem, keys[i]);
  assert_int_equal(json_object_size(problem), sizeof keys / sizeof keys[0]);
  assert_true(json_is_null(member(problem, "replacement")));
  assert_string_equal(text_at(document, "shape"), "pitleaf-problems");
  assert_int_equal(number_at(document, "version"), 1);
  assert_string_equal(text_at(document, "program/version"), "1.2.3");
  json_decref(document);
}

static void a_file_that_cannot_be_read(struct pl_bench *bench) {
  struct pl_findings *const findings = pl_findings_new(bench->arena, "/");
  const struct pl_program *const program =
      pl_program_load(bench->session, bench->arena, "nowhere.leaf");
  assert_true(pl_program_unreadable(program));
  pl_findings_add(findings, "nowhere.leaf", NULL, pl_program_problems(program));
  json_t *const document = json_of(bench, findings);
  assert_string_equal(text_at(document, "files/0/file"), "nowhere.leaf");
  assert_true(json_is_false(member(document, "files/0/read")));
  assert_true(json_is_null(member(document, "files/0/sha256")));
  assert_int_equal(number_at(document, "files/0/errors"), 1);
  assert_string_equal(text_at(document, "diagnostics/0/file"), "nowhere.leaf");
  assert_true(json_is_null(member(document, "diagnostics/0/start")));
  json_decref(document);
  json_t *const sarif = parsed(pl_findings_sarif(bench->arena, findings, "1.2.3", 2));
  json_t *const place = member(sarif, "runs/0/results/0/locations/0/physicalLocation");
  assert_string_equal(text_at(place, "artifactLocation/uri"), "nowhere.leaf");
  assert_null(json_object_get(place, "region"));
  assert_int_equal(number_at(sarif, "runs/0/invocations/0/exitCode"), 2);
  assert_true(json_is_false(member(sarif, "runs/0/invocations/0/executionSuccessful")));
  json_decref(sarif);
}

// A library with a mistake is read with each file that includes it, and told once.
static void what_two_files_include_is_told_once(struct pl_bench *bench) {
  pl_test_write_text("library.leaf", "oil \"a\" { viscosity = 30 cSt; densty = 1 }\n");
  pl_test_write_text("one.leaf", "include \"library.leaf\"\nsetup \"1\" { }\n");
  pl_test_write_text("two.leaf", "include \"library.leaf\"\nsetup \"2\" { colour = 1 }\n");
  struct pl_findings *const findings = pl_findings_new(bench->arena, "/");
  static const char *const names[] = {"one.leaf", "two.leaf"};
  for (size_t i = 0; i < 2; i++) {
    struct pl_program *const program =
        checked(pl_program_load(bench->session, bench->arena, names[i]));
    pl_findings_add(findings, names[i], pl_program_source(program),
                    pl_program_problems(program));
  }
  json_t *const document = json_of(bench, findings);
  assert_int_equal(number_at(document, "counts/files"), 2);
  assert_int_equal(number_at(document, "counts/errors"), 2);
  assert_int_equal(pl_findings_errors(findings), 2);
  assert_int_equal(json_array_size(member(document, "diagnostics")), 2);
  assert_int_equal(json_array_size(member(document, "files")), 3);
  assert_string_equal(text_at(document, "files/1/file"), "library.leaf");
  assert_true(json_is_false(member(document, "files/1/named")));
  assert_int_equal(number_at(document, "files/1/errors"), 1);
  assert_int_equal(number_at(document, "files/0/errors"), 0);
  json_decref(document);
}

// ---------------------------------------------------------------- replacements

/// Does the program have this problem at the start of this span?
static bool has_problem(const struct pl_program *program, const struct pl_diagnostic *wanted) {
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  for (size_t i = 0; i < problems->count; i++) {
    const struct pl_diagnostic *const one = &problems->items[i];
    if (one->code == wanted->code && one->span.start == wanted->span.start &&
        one->span.source == pl_program_source(program))
      return true;
  }
  return false;
}

/// The file with one replacement done, read anew.
static struct pl_program *mended(struct pl_bench *bench, const struct pl_diagnostic *problem) {
  const struct pl_source *const source = problem->span.source;
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_add(&text, (const char *)source->bytes, problem->span.start);
  pl_buffer_text(&text, problem->replacement);
  pl_buffer_add(&text, (const char *)source->bytes + problem->span.end,
                source->length - problem->span.end);
  const char *const bytes = pl_buffer_string(&text);
  return checked(pl_program_of_source(
      bench->session, bench->arena,
      pl_source_of_bytes(bench->arena, source->path, (const unsigned char *)bytes, text.length),
      "."));
}

static void a_replacement_mends(struct pl_bench *bench) {
  struct pl_test_names files = pl_test_names_in(".", ".leaf");
  size_t replaced = 0;
  for (size_t i = 0; i < files.count; i++) {
    struct pl_program *const program =
        checked(pl_program_load(bench->session, bench->arena, files.names[i]));
    const struct pl_diagnostics *const problems = pl_program_problems(program);
    for (size_t j = 0; j < problems->count; j++) {
      const struct pl_diagnostic *const problem = &problems->items[j];
      if (problem->replacement == NULL || problem->span.source != pl_program_source(program))
        continue;
      if (has_problem(mended(bench, problem), problem))
        fail_msg("%s: `%s` in place of byte %u mends nothing", files.names[i],
                 problem->replacement, problem->span.start);
      replaced++;
    }
  }
  pl_test_names_free(&files);
  assert_true(replaced >= 20);
}

// ---------------------------------------------------------------- SARIF

/// The findings of all wrong files.
static const struct pl_findings *all_findings(struct pl_bench *bench) {
  struct pl_test_names files = pl_test_names_in(".", ".leaf");
  enum pl_file_status status;
  struct pl_findings *const findings =
      pl_findings_new(bench->arena, pl_real_path(bench->arena, ".", &status));
  for (size_t i = 0; i < files.count; i++) {
    struct pl_program *const program =
        checked(pl_program_load(bench->session, bench->arena, files.names[i]));
    pl_findings_add(findings, files.names[i], pl_program_source(program),
                    pl_program_problems(program));
  }
  pl_test_names_free(&files);
  return findings;
}

static void each_code_is_one_rule(struct pl_bench *bench) {
  json_t *const sarif = sarif_of(bench, findings_of(bench, ""));
  json_t *const rules = member(sarif, "runs/0/tool/driver/rules");
  struct pl_map *const ids = pl_map_new(bench->arena);
  for (size_t i = 0; i < json_array_size(rules); i++) {
    json_t *const rule = json_array_get(rules, i);
    assert_null(pl_map_set(ids, text_at(rule, "id"), rule));
    assert_true(strlen(text_at(rule, "shortDescription/text")) > 0);
    assert_true(strlen(text_at(rule, "fullDescription/text")) > 0);
    assert_true(strlen(text_at(rule, "help/text")) > 0);
    assert_null(strstr(text_at(rule, "shortDescription/text"), "{1}"));
  }
  size_t missing = 0;
  for (int i = 0; i < PL_CODE_COUNT; i++)
    missing += pl_map_get(ids, pl_diagnostic_rows[i].code) == NULL ? 1 : 0;
  assert_int_equal(missing, 0);
  assert_string_equal(text_at(sarif, "version"), "2.1.0");
  assert_string_equal(text_at(sarif, "runs/0/columnKind"), "utf16CodeUnits");
  assert_string_equal(text_at(sarif, "runs/0/tool/driver/semanticVersion"), "1.2.3");
  json_decref(sarif);
}

/// The byte at a line and a column of UTF-16, found from the front, as an editor finds it.
static size_t byte_at(const char *bytes, size_t length, int line, int column) {
  size_t at = 0;
  for (int i = 1; i < line; i++) {
    while (at < length && bytes[at] != '\n') at++;
    at++;
  }
  if (line == 1 && length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) at = 3;
  for (int units = 1; units < column;) {
    const unsigned char first = (unsigned char)bytes[at];
    const size_t size = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
    units += size == 4 ? 2 : 1;
    at += size;
  }
  return at;
}

static void check_region(struct pl_bench *bench, json_t *sarif, json_t *physical) {
  json_t *const artifacts = member(sarif, "runs/0/artifacts");
  json_t *const region = member(physical, "region");
  const int index = number_at(physical, "artifactLocation/index");
  const char *const uri = text_at(json_array_get(artifacts, (size_t)index), "location/uri");
  assert_string_equal(text_at(physical, "artifactLocation/uri"), uri);
  if (strcmp(uri, "not-utf8.leaf") == 0) return; // which has no columns to speak of
  size_t length = 0;
  const char *const bytes = pl_test_read_there(bench->arena, uri, &length);
  const int start = number_at(region, "byteOffset");
  const int end = start + number_at(region, "byteLength");
  assert_int_equal(start, byte_at(bytes, length, number_at(region, "startLine"),
                                  number_at(region, "startColumn")));
  assert_int_equal(end, byte_at(bytes, length, number_at(region, "endLine"),
                                number_at(region, "endColumn")));
}

static void results_refer_to_what_is_there(struct pl_bench *bench) {
  json_t *const sarif = sarif_of(bench, all_findings(bench));
  json_t *const rules = member(sarif, "runs/0/tool/driver/rules");
  json_t *const results = member(sarif, "runs/0/results");
  assert_true(json_array_size(results) > 200);
  size_t fixes = 0;
  for (size_t i = 0; i < json_array_size(results); i++) {
    json_t *const result = json_array_get(results, i);
    json_t *const rule = json_array_get(rules, (size_t)number_at(result, "ruleIndex"));
    assert_string_equal(text_at(rule, "id"), text_at(result, "ruleId"));
    check_region(bench, sarif, member(result, "locations/0/physicalLocation"));
    json_t *const related = json_object_get(result, "relatedLocations");
    for (size_t j = 0; j < json_array_size(related); j++)
      check_region(bench, sarif, member(json_array_get(related, j), "physicalLocation"));
    if (json_object_get(result, "fixes") == NULL) continue;
    fixes++;
    json_t *const change = member(result, "fixes/0/artifactChanges/0");
    assert_true(json_equal(member(change, "replacements/0/deletedRegion"),
                           member(result, "locations/0/physicalLocation/region")));
    assert_true(strlen(text_at(change, "replacements/0/insertedContent/text")) > 0);
  }
  assert_true(fixes >= 20);
  json_decref(sarif);
}

// A single brace would hold the place of an argument (3.11.5 of the standard).
static void braces_of_a_message_are_doubled(struct pl_bench *bench) {
  json_t *const sarif = sarif_of(bench, findings_of(bench, "setup \"s\"\n{\n}\n"));
  json_t *const result = member(sarif, "runs/0/results/0");
  assert_string_equal(text_at(result, "ruleId"), "late-brace");
  assert_non_null(strstr(text_at(result, "message/text"), "`{{`"));
  json_decref(sarif);
}

static const char *uri_for(struct pl_bench *bench, const char *folder, const char *path) {
  struct pl_findings *const findings = pl_findings_new(bench->arena, folder);
  const struct pl_program *const program = pl_program_load(bench->session, bench->arena, path);
  pl_findings_add(findings, path, pl_program_source(program), pl_program_problems(program));
  json_t *const sarif = sarif_of(bench, findings);
  const char *const told = text_at(sarif, "runs/0/artifacts/0/location/uri");
  const char *const uri = pl_copy_text(bench->arena, told, strlen(told));
  json_decref(sarif);
  return uri;
}

static void uris_are_relative_and_encoded(struct pl_bench *bench) {
  enum pl_file_status status;
  const char *const here = pl_real_path(bench->arena, ".", &status);
  pl_test_write_text("a b%\xC3\xA9:#.leaf", "let a = 1\n");
  pl_test_write_text("plain.leaf", "let a = 1\n");
  assert_string_equal(uri_for(bench, here, "a b%\xC3\xA9:#.leaf"), "a%20b%25%C3%A9%3A%23.leaf");
  assert_string_equal(uri_for(bench, here, "./plain.leaf"), "plain.leaf");
  assert_string_equal(uri_for(bench, here, ".//plain.leaf"), "plain.leaf");
  const char *const whole = pl_format(bench->arena, "%s/plain.leaf", here);
  assert_string_equal(uri_for(bench, here, whole), "plain.leaf");
  assert_string_equal(uri_for(bench, "/elsewhere", whole),
                      pl_format(bench->arena, "file://%s", whole));
  const char *const name = strrchr(here, '/') + 1;
  const char *const around = pl_format(bench->arena, "../%s/plain.leaf", name);
  assert_string_equal(uri_for(bench, here, around), "plain.leaf");
}

/// In the folder of the wrong files.
static int enter_errors(void **state) {
  const char *const root = pl_test_root();
  if (chdir(root) != 0 || chdir("tests/errors") != 0) return -1;
  return pl_bench_new(state);
}

int main(void) {
  static struct pl_bench_case in_errors[] = {{a_replacement_mends, ""},
                                             {results_refer_to_what_is_there, ""}};
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(places_in_every_count),
      PL_BENCH_TEST(a_byte_order_mark_has_no_column),
      PL_BENCH_TEST(related_places_are_told),
      PL_BENCH_TEST(what_there_is_none_of_is_null),
      PL_BENCH_TEST(a_file_that_cannot_be_read),
      PL_FOLDER_TEST(what_two_files_include_is_told_once),
      PL_BENCH_TEST(each_code_is_one_rule),
      PL_BENCH_TEST(braces_of_a_message_are_doubled),
      PL_FOLDER_TEST(uris_are_relative_and_encoded),
      {"a_replacement_mends", pl_bench_run, enter_errors, pl_bench_free, &in_errors[0]},
      {"results_refer_to_what_is_there", pl_bench_run, enter_errors, pl_bench_free,
       &in_errors[1]},
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
