// SPDX-License-Identifier: GPL-3.0-or-later
// Tests editing by chance: whatever ranges are replaced in two open files, one of which
// includes the other, the server has the text that a plain model has, and tells the problems
// that checking that text from the disk finds.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include "chance.h"
#include "editor/room.h"

#include <string.h>

// ---------------------------------------------------------------- the model

/// A text as it should be. It may hold NULs.
struct model {
  const char *name;
  char bytes[8192];
  size_t length;
  json_int_t version;
};

static void splice(struct model *model, size_t start, size_t end, const char *added,
                   size_t length) {
  assert_true(model->length - (end - start) + length < sizeof model->bytes);
  memmove(model->bytes + start + length, model->bytes + end, model->length - end);
  memcpy(model->bytes + start, added, length);
  model->length += length - (end - start);
  model->bytes[model->length] = '\0';
}

static size_t below(struct pl_chance *chance, size_t count) {
  return count == 0 ? 0 : (size_t)(pl_chance_bits(chance) % count);
}

/// A place between two characters that is none within a line end: there a position is none.
static size_t some_place(struct pl_chance *chance, const struct model *model) {
  size_t at = below(chance, model->length + 1);
  while (at > 0 && at < model->length &&
         (((unsigned char)model->bytes[at] & 0xC0) == 0x80 ||
          (model->bytes[at] == '\n' && model->bytes[at - 1] == '\r')))
    at--;
  return at;
}

static const char library[] = "oil \"clear 300\" { viscosity = 300 cSt }\n"
                              "oil \"dark 漢😀\" { viscosity = 900 cSt }\r\n"
                              "let grams = 300 g\n"
                              "spring \"soft\" { rate = 0.4 N/mm }\n";
static const char setup[] = "include \"library.leaf\"\n"
                            "setup \"Wet 😀\" {\r\n"
                            "  air = 9 degC; oil = \"dark 漢😀\"\n"
                            "  front { spring = \"soft\"; corner-mass = grams }\r"
                            "  rear  { preload += 1 mm } # é\n"
                            "}\n";

static const struct {
  const char *bytes;
  size_t length;
} pieces[] = {{"", 0},
              {"a", 1},
              {" ", 1},
              {"\n", 1},
              {"\r\n", 2},
              {"\r", 1},
              {"é", 2},
              {"漢", 3},
              {"😀", 4},
              {"\"", 1},
              {"{", 1},
              {"}", 1},
              {"# ", 2},
              {"a\0b", 3},
              {"\xEF\xBB\xBF", 3},
              {"camber = -1.5 deg\n", 18},
              {"surfice = \"clay\"; ", 18},
              {"oil \"clear 300\" { viscosity = 2 mm }\n", 37},
              {"include \"library.leaf\"\n", 23},
              {"setup \"other\" { air = 3 degC }\n", 31},
              {"let grams = 3 kg\n", 17}};

// ---------------------------------------------------------------- changes

static json_t *position(const struct model *model, struct pl_chance *chance, size_t byte) {
  json_t *const at = pl_position_of(model->bytes, byte);
  const bool ends_line =
      byte == model->length || model->bytes[byte] == '\n' || model->bytes[byte] == '\r';
  // Beyond the end of a line means its end.
  if (ends_line && below(chance, 3) == 0)
    json_object_set_new(at, "character",
                        json_integer(json_integer_value(json_object_get(at, "character")) + 5));
  return at;
}

static json_t *change(struct pl_chance *chance, struct model *model) {
  const size_t which = below(chance, sizeof pieces / sizeof pieces[0]);
  const char *const text = pieces[which].bytes;
  const size_t length = pieces[which].length;
  const bool is_large = model->length + length + 64 > sizeof model->bytes / 4;
  if (is_large || below(chance, 12) == 0) {
    const char *const whole = strcmp(model->name, "library.leaf") == 0 ? library : setup;
    splice(model, 0, model->length, whole, strlen(whole));
    return json_pack("{s:s}", "text", whole);
  }
  size_t start = some_place(chance, model);
  size_t end = below(chance, 2) == 0 ? start : some_place(chance, model);
  if (end < start) {
    const size_t other = start;
    start = end;
    end = other;
  }
  if (end - start > 60) end = start;
  json_t *const made =
      json_pack("{s:{s:o,s:o},s:o}", "range", "start", position(model, chance, start), "end",
                position(model, chance, end), "text", json_stringn(text, length));
  splice(model, start, end, text, length);
  return made;
}

static void tell_changes(struct pl_client *client, struct pl_chance *chance,
                         struct model *model) {
  json_t *const changes = json_array();
  const size_t count = below(chance, 4);
  for (size_t i = 0; i <= count; i++) json_array_append_new(changes, change(chance, model));
  pl_client_tell(client, "textDocument/didChange",
                 json_pack("{s:{s:s,s:I},s:o}", "textDocument", "uri",
                           pl_client_uri(client, model->name), "version", ++model->version,
                           "contentChanges", changes));
}

static void compare_text(struct pl_client *client, const struct model *model) {
  const struct document *const document =
      document_of(client->editor, pl_client_uri(client, model->name));
  assert_non_null(document);
  if (document->length != model->length ||
      memcmp(document->text, model->bytes, model->length) != 0)
    fail_msg("%s, version %d, is\n%s\nnot\n%s", model->name, (int)model->version,
             (const char *)document->text, model->bytes);
}

// ---------------------------------------------------------------- problems

static int compare_lines(const void *left, const void *right) {
  return strcmp(*(const char *const *)left, *(const char *const *)right);
}

/// Lines in an order of their own, without those that stand twice.
static const char *in_order(struct pl_bench *bench, const char **lines, size_t count) {
  if (count > 1) qsort(lines, count, sizeof *lines, compare_lines);
  struct pl_buffer out = {.arena = bench->arena};
  for (size_t i = 0; i < count; i++)
    if (i == 0 || strcmp(lines[i], lines[i - 1]) != 0) pl_buffer_format(&out, "%s\n", lines[i]);
  return pl_buffer_string(&out);
}

static const char *line_of(struct pl_bench *bench, const json_t *start, const json_t *end,
                           const char *code, const char *message) {
  return pl_format(bench->arena, "%d:%d-%d:%d %s %s",
                   (int)json_integer_value(json_object_get(start, "line")),
                   (int)json_integer_value(json_object_get(start, "character")),
                   (int)json_integer_value(json_object_get(end, "line")),
                   (int)json_integer_value(json_object_get(end, "character")), code, message);
}

static const char *told_problems(struct pl_client *client, const char *name) {
  struct pl_bench *const bench = client->bench;
  const json_t *const problems = pl_client_problems(client, name);
  const size_t count = json_array_size(problems);
  const char **const lines = pl_alloc_array(bench->arena, count + 1, sizeof *lines);
  for (size_t i = 0; i < count; i++) {
    const json_t *const one = json_array_get(problems, i);
    const json_t *const range = json_object_get(one, "range");
    lines[i] = line_of(bench, json_object_get(range, "start"), json_object_get(range, "end"),
                       json_string_value(json_object_get(one, "code")),
                       json_string_value(json_object_get(one, "message")));
  }
  return in_order(bench, lines, count);
}

/// What `pitleaf check` finds in a file, of all that it is told to check.
static const char *found_problems(struct pl_bench *bench, const struct model *model,
                                  const struct model *const *mains, size_t main_count) {
  const char **const lines = pl_alloc_array(bench->arena, 512, sizeof *lines);
  size_t count = 0;
  struct pl_session *const session = pl_session_new(bench->arena, bench->guard, NULL);
  for (size_t i = 0; i < main_count; i++) {
    struct pl_program *const program = pl_program_load(session, bench->arena, mains[i]->name);
    struct pl_arena *const scratch = pl_arena_new(bench->guard);
    pl_program_check(program, NULL, scratch);
    pl_arena_free(scratch);
    const struct pl_diagnostics *const problems = pl_program_problems(program);
    for (size_t j = 0; j < problems->count && count < 512; j++) {
      const struct pl_diagnostic *const one = &problems->items[j];
      const char *const path = one->span.source == NULL ? "" : one->span.source->path;
      if (strcmp(path, model->name) != 0) continue;
      json_t *const start = pl_position_of(model->bytes, one->span.start);
      // What is missing at the end of a text may be told behind it.
      const size_t last = one->span.end < model->length ? one->span.end : model->length;
      json_t *const end = pl_position_of(model->bytes, last);
      lines[count++] = line_of(
          bench, start, end, pl_diagnostic_rows[one->code].code,
          one->hint[0] == '\0' ? one->message
                               : pl_format(bench->arena, "%s\n%s", one->message, one->hint));
      json_decref(start);
      json_decref(end);
    }
  }
  return in_order(bench, lines, count);
}

#define ROUNDS 600

static void edits_by_chance(struct pl_bench *bench) {
  struct pl_chance chance = {20261130};
  static struct model models[2];
  models[0] = (struct model){.name = "library.leaf"};
  models[1] = (struct model){.name = "wet.leaf"};
  splice(&models[0], 0, 0, library, strlen(library));
  splice(&models[1], 0, 0, setup, strlen(setup));
  struct pl_client *const client = pl_client_start(bench);
  for (size_t i = 0; i < 2; i++) pl_client_write_open(client, models[i].name, models[i].bytes);
  models[0].version = models[1].version = 1;
  const struct model *const mains[] = {&models[0], &models[1]};
  bench->spare = pl_arena_new(bench->guard);
  bench->arena = bench->spare;
  size_t with_problems = 0;
  for (int round = 0; round < ROUNDS; round++) {
    // Several messages before there is time for problems, as a hand types.
    const size_t messages = 1 + below(&chance, 3);
    for (size_t i = 0; i < messages; i++) {
      struct model *const model = &models[below(&chance, 2)];
      tell_changes(client, &chance, model);
      compare_text(client, model);
    }
    for (size_t i = 0; i < 2; i++)
      pl_test_write(models[i].name, models[i].bytes, models[i].length);
    for (size_t i = 0; i < 2; i++) {
      const char *const told = told_problems(client, models[i].name);
      const char *const found = found_problems(bench, &models[i], mains, 2);
      if (strcmp(told, found) != 0)
        fail_msg("round %d, %s: told\n%s\nfound\n%s\nin\n%s", round, models[i].name, told,
                 found, models[i].bytes);
      if (found[0] != '\0') with_problems++;
    }
    json_array_clear(client->received);
    pl_arena_reset(bench->spare);
  }
  print_message("  %d rounds, %zu texts with problems\n", ROUNDS, with_problems);
  assert_in_range(with_problems, ROUNDS / 4, 2 * ROUNDS);
  bench->arena = bench->own;
  pl_client_end(client);
}

// ---------------------------------------------------------------- odd changes

/// Changes that say nothing leave the text alone.
static void changes_without_sense(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "let a = 1\n");
  static const char no_text[] = "[{\"range\": {\"start\": {\"line\": 0, \"character\": 0},"
                                " \"end\": {\"line\": 9, \"character\": 0}}}]";
  static const char *const changes[] = {
      "[]",   "{}", "null", "[{}]", "[null]", "[7]", "[{\"text\": null}]", "[{\"text\": 7}]",
      no_text};
  for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
    json_t *const params = pl_client_document(client, "a.leaf");
    json_object_set_new(params, "contentChanges",
                        json_loads(changes[i], JSON_DECODE_ANY, NULL));
    pl_client_tell(client, "textDocument/didChange", params);
    const struct document *const document =
        document_of(client->editor, pl_client_uri(client, "a.leaf"));
    assert_string_equal((const char *)document->text, "let a = 1\n");
  }
  pl_client_end(client);
}

/// A range that ends before it begins is one at its start.
static void reversed_range(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", "let a = 1\n");
  json_t *const params = pl_client_document(client, "a.leaf");
  json_object_set_new(params, "contentChanges",
                      json_pack("[{s:{s:{s:i,s:i},s:{s:i,s:i}},s:s}]", "range", "start", "line",
                                0, "character", 5, "end", "line", 0, "character", 2, "text",
                                "b"));
  pl_client_tell(client, "textDocument/didChange", params);
  const struct document *const document =
      document_of(client->editor, pl_client_uri(client, "a.leaf"));
  assert_string_equal((const char *)document->text, "let ab = 1\n");
  pl_client_end(client);
}

/// An included file is edited after the one that includes it, before there was time to look.
static void both_edited_at_once(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_write_open(client, "library.leaf", "oil \"x\" { viscosity = 300 cSt }\n");
  pl_client_write_open(client, "a.leaf",
                       "include \"library.leaf\"\nsetup \"a\" { oil = \"x\" }\n");
  assert_codes(client, "a.leaf", "");
  pl_client_edit(client, "a.leaf", strlen(pl_client_text(client, "a.leaf")),
                 strlen(pl_client_text(client, "a.leaf")), "# more\n");
  pl_client_edit(client, "library.leaf", 5, 6, "y");
  assert_codes(client, "a.leaf", "unknown-part");
  pl_client_end(client);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(edits_by_chance),
      PL_FOLDER_TEST(changes_without_sense),
      PL_FOLDER_TEST(reversed_range),
      PL_FOLDER_TEST(both_edited_at_once),
  };
  return cmocka_run_group_tests_name("edits", tests, NULL, NULL);
}
