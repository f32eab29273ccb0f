// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the language server on messages that were changed by chance: each that is a request
// gets one answer, what it says is always JSON, none takes long, and its memory does not grow
// with the number of keystrokes. More of them, or others: editor_fuzz_test COUNT SEED.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"
#include "mutation.h"

#include "chance.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/// How many messages, and what chance starts from.
static long message_count = 2000;
static uint64_t seed = 20261130;

/// Longest time that one message may take, in s; none comes near it, also not sanitized.
#define LONGEST 5.0

/// Longer texts are cut there, so that many messages are sent.
#define LONGEST_TEXT ((size_t)1200)

struct fuzz {
  struct pl_client *client;
  struct pl_chance chance;
  const char *texts[1000];
  size_t text_count;
  double longest;
};

/// Filled by pl_each_source, which knows nothing of it.
static struct fuzz fuzz;

static size_t below(size_t count) {
  return (size_t)(pl_chance_bits(&fuzz.chance) % count);
}

static const char *some(const char *const *list, size_t count) {
  return list[below(count)];
}

#define SOME(list) some((list), sizeof(list) / sizeof(list)[0])

// ---------------------------------------------------------------- messages as they should be

static const char *const names[] = {"library.leaf", "wet.leaf",     "rules.leaf",
                                    "day.leaf",     "untitled:new", "no.leaf"};

static json_t *document(void) {
  return json_pack("{s:s,s:i}", "uri", pl_client_uri(fuzz.client, SOME(names)), "version",
                   (int)below(9));
}

static json_t *position(void) {
  return json_pack("{s:i,s:i}", "line", (int)below(40), "character", (int)below(60));
}

static json_t *range(void) {
  return json_pack("{s:o,s:o}", "start", position(), "end", position());
}

static json_t *note(void) {
  static const char *const texts[] = {"",   "a",  "\n",  "}",
                                      "{ ", "\"", "漢😀", "include \"wet.leaf\"\n"};
  switch (below(8)) {
  case 0:
    return json_pack("{s:s,s:{s:{s:s,s:s,s:i,s:s}}}", "method", "textDocument/didOpen",
                     "params", "textDocument", "uri", pl_client_uri(fuzz.client, SOME(names)),
                     "languageId", "pitleaf", "version", 1, "text",
                     fuzz.texts[below(fuzz.text_count)]);
  case 1:
    return json_pack("{s:s,s:{s:o}}", "method", "textDocument/didClose", "params",
                     "textDocument", document());
  case 2:
    return json_pack("{s:s,s:{s:[]}}", "method", "workspace/didChangeWatchedFiles", "params",
                     "changes");
  case 3:
    return json_pack("{s:s,s:{s:o,s:[{s:s}]}}", "method", "textDocument/didChange", "params",
                     "textDocument", document(), "contentChanges", "text",
                     fuzz.texts[below(fuzz.text_count)]);
  default:
    return json_pack("{s:s,s:{s:o,s:[{s:o,s:s},{s:o,s:s}]}}", "method",
                     "textDocument/didChange", "params", "textDocument", document(),
                     "contentChanges", "range", range(), "text", SOME(texts), "range", range(),
                     "text", SOME(texts));
  }
}

static json_t *request(void) {
  static const char *const methods[] = {
      "completion", "hover",          "definition",   "references", "prepareRename",
      "rename",     "documentSymbol", "foldingRange", "inlayHint",  "semanticTokens/full",
      "codeAction", "formatting",     "completion",   "hover",      "completion"};
  static const char *const new_names[] = {"x", "", "漢😀", "a-b", "a \"b\" \\", "\n"};
  return json_pack(
      "{s:i,s:o,s:{s:o,s:o,s:o,s:s,s:{s:b}}}", "id", (int)below(1000), "method",
      json_string(pl_format(fuzz.client->bench->arena, "textDocument/%s", SOME(methods))),
      "params", "textDocument", document(), "position", position(), "range", range(), "newName",
      SOME(new_names), "context", "includeDeclaration", 1);
}

// ---------------------------------------------------------------- changed by chance

static json_t *nonsense(void) {
  static const char *const texts[] = {"null",
                                      "true",
                                      "-1",
                                      "0",
                                      "4294967296",
                                      "9223372036854775807",
                                      "-9223372036854775808",
                                      "1.5e300",
                                      "\"\"",
                                      "\"\\u0000\"",
                                      "\"a\\u0000b\"",
                                      "\"漢😀\"",
                                      "[]",
                                      "{}",
                                      "[[[[[[[[]]]]]]]]",
                                      "\"file:///\"",
                                      "\"file://%00\"",
                                      "\"file:///%ff%fe%zz\"",
                                      "\"untitled:\""};
  return json_loads(SOME(texts), JSON_DECODE_ANY, NULL);
}

/// Puts nonsense in the place of something within, or takes that out.
static void change_within(json_t *value) {
  if (json_is_object(value) && json_object_size(value) > 0) {
    size_t left = below(json_object_size(value));
    void *at = json_object_iter(value);
    while (left-- > 0) at = json_object_iter_next(value, at);
    json_t *const inner = json_object_iter_value(at);
    const bool goes_on = (json_is_object(inner) || json_is_array(inner)) && below(4) > 0;
    if (goes_on)
      change_within(inner);
    else if (below(4) == 0)
      json_object_del(value, json_object_iter_key(at));
    else
      json_object_iter_set_new(value, at, nonsense());
  } else if (json_is_array(value) && json_array_size(value) > 0) {
    const size_t which = below(json_array_size(value));
    json_t *const inner = json_array_get(value, which);
    if (json_is_object(inner) && below(3) > 0)
      change_within(inner);
    else
      json_array_set_new(value, which, nonsense());
  }
}

static void change_bytes(char *text, size_t *length) {
  static const char *const pieces[] = {"\"", "{",       "}",       "[",    "]",    ",",
                                       "\\", "\\u0000", "\\ud83d", "\xFF", "1e999"};
  const size_t at = below(*length + 1);
  const char *const piece = SOME(pieces);
  switch (below(4)) {
  case 0:
    if (at < *length) text[at] = (char)(pl_chance_bits(&fuzz.chance) & 0xFF);
    break;
  case 1: *length = at; break;
  case 2:
    if (at < *length) memmove(text + at, text + at + 1, --*length - at);
    break;
  default: // there is room for it
    memmove(text + at + strlen(piece), text + at, *length - at);
    for (size_t i = 0; piece[i] != '\0'; i++) text[at + i] = piece[i];
    *length += strlen(piece);
  }
}

// ---------------------------------------------------------------- sending

static double seconds_now(void) {
  struct timespec now;
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/// The number of answers that a message must get: one to a request and to what is no message.
static size_t answers_wanted(const char *bytes, size_t length) {
  json_t *const read = json_loadb(bytes, length, JSON_ALLOW_NUL, NULL);
  if (read == NULL) return 1;
  const bool has_method = json_is_string(json_object_get(read, "method"));
  const bool has_id = json_object_get(read, "id") != NULL;
  const bool is_answer =
      json_object_get(read, "result") != NULL || json_object_get(read, "error") != NULL;
  json_decref(read);
  return has_method ? has_id : !(has_id && is_answer);
}

static void send_counted(const char *bytes, size_t length) {
  struct pl_client *const client = fuzz.client;
  json_array_clear(client->received);
  const size_t wanted = answers_wanted(bytes, length);
  const double began = seconds_now();
  pl_client_send(client, bytes, length);
  size_t got = 0;
  for (size_t i = 0; i < json_array_size(client->received); i++)
    got += json_object_get(json_array_get(client->received, i), "method") == NULL;
  if (got != wanted) fail_msg("%zu answers, not %zu, to %.*s", got, wanted, (int)length, bytes);
  if (below(3) == 0) pl_editor_idle(client->editor);
  const double took = seconds_now() - began;
  if (took > fuzz.longest) fuzz.longest = took;
}

static void send_changed(json_t *made) {
  if (below(3) > 0) change_within(made);
  char *const text = json_dumps(made, JSON_COMPACT);
  json_decref(made);
  assert_non_null(text);
  size_t length = strlen(text);
  char *const room = malloc(length + 64);
  assert_non_null(room);
  memcpy(room, text, length + 1);
  free(text);
  if (below(4) == 0) {
    const size_t changes = 1 + below(3);
    for (size_t i = 0; i < changes; i++) change_bytes(room, &length);
  }
  // In memory of exactly its size, so that reading on is seen.
  char *const exact = malloc(length == 0 ? 1 : length);
  assert_non_null(exact);
  memcpy(exact, room, length);
  free(room);
  send_counted(exact, length);
  free(exact);
}

static void take_text(struct pl_bench *bench, const char *path, const char *bytes,
                      size_t length) {
  (void)path;
  if (fuzz.text_count == sizeof fuzz.texts / sizeof fuzz.texts[0]) return;
  const size_t size = length < LONGEST_TEXT ? length : LONGEST_TEXT;
  const char *const text = pl_copy_text(bench->own, bytes, size);
  json_t *const made = json_string(text);
  if (made != NULL) fuzz.texts[fuzz.text_count++] = text;
  json_decref(made);
}

static void open_all(struct pl_client *client) {
  static const char *const texts[] = {
      "oil \"clear 300\" { viscosity = 300 cSt }\noil \"dark\" from \"clear 300\" { }\nlet grams = "
      "300 g\nspring \"soft\" { rate = 0.4 N/mm }\n",
      "include \"library.leaf\"\nsetup \"Wet 😀\" {\n  air = 9 degC; surfice = \"漢\"\n  rear { oil = "
      "blend(\"clear 300\" 50 %, \"dark\" 50 %); corner-mass = grams * 2 }\n  front { preload += 1 "
      "mm }\n}\n",
      "rules \"Club\" { rule \"Bore\" { require = damper.bore <= 13 mm } }\ntemplate \"page\" from "
      "\"race sheet\" { }\n",
      "include \"rules.leaf\"\nmeeting \"Round 3\" {\n  rules = \"Club\"; template = \"page\"\n  entry 7 "
      "{ driver = \"A\"; setup = \"wet.leaf\" \"Wet 😀\"; measured { total-mass = 1 kg } }\n}\n"};
  client->file_count = 0;
  for (size_t i = 0; i < 4; i++) pl_client_open(client, names[i], texts[i]);
}

static void messages_by_chance(struct pl_bench *bench) {
  char folder[sizeof bench->own_folder];
  memcpy(folder, bench->own_folder, sizeof folder);
  fuzz = (struct fuzz){.chance = {seed}};
  assert_int_equal(chdir(pl_test_root()), 0);
  assert_true(pl_each_source(bench, take_text) >= PL_FEWEST_SOURCES);
  assert_int_equal(chdir(folder), 0);
  fuzz.client = pl_client_start(bench);
  open_all(fuzz.client);
  for (size_t i = 0; i < 4; i++)
    pl_test_write_text(names[i], pl_client_text(fuzz.client, names[i]));
  bench->spare = pl_arena_new(bench->guard);
  for (long i = 0; i < message_count; i++) {
    // Whatever chance made of the texts, there is something to ask about again.
    bench->arena = bench->spare;
    struct pl_arena *const own = bench->own;
    bench->own = bench->spare;
    if (i % 40 == 0) open_all(fuzz.client);
    send_changed(below(3) == 0 ? note() : request());
    bench->own = own;
    pl_arena_reset(bench->spare);
  }
  bench->arena = bench->own;
  pl_client_end(fuzz.client);
  print_message("  %ld messages from seed %llu; the longest took %.3f s\n", message_count,
                (unsigned long long)seed, fuzz.longest);
  assert_true(fuzz.longest < LONGEST);
}

// ---------------------------------------------------------------- memory

/// Resident memory in kB, as Linux tells it.
static long resident(void) {
  FILE *const file = fopen("/proc/self/statm", "r");
  long pages = 0;
  long in_memory = 0;
  if (file == NULL || fscanf(file, "%ld %ld", &pages, &in_memory) != 2)
    fail_msg("the system does not tell how much memory is used");
  (void)fclose(file);
  return in_memory * (sysconf(_SC_PAGESIZE) / 1024);
}

#define KEYSTROKES 10000

static void keystrokes(struct pl_bench *bench) {
  struct pl_client *const client = pl_client_start(bench);
  open_all(client);
  bench->spare = pl_arena_new(bench->guard);
  struct pl_arena *const own = bench->own;
  long before = 0;
  for (int i = 0; i < KEYSTROKES; i++) {
    // A letter comes, and another time it goes: in a setup, or in what that includes.
    bench->own = bench->spare;
    const bool comes = i % 2 == 0;
    json_t *const params = pl_client_document(client, i % 8 < 6 ? "wet.leaf" : "library.leaf");
    json_object_set_new(params, "contentChanges",
                        json_pack("[{s:{s:{s:i,s:i},s:{s:i,s:i}},s:s}]", "range", "start",
                                  "line", 1, "character", 3, "end", "line", 1, "character",
                                  comes ? 3 : 4, "text", comes ? "é" : ""));
    pl_client_tell(client, "textDocument/didChange", params);
    pl_editor_idle(client->editor);
    if (i % 20 == 0)
      (void)pl_client_ask(client, "textDocument/completion",
                          pl_client_at(client, "wet.leaf", "air", 0));
    json_array_clear(client->received);
    bench->own = own;
    pl_arena_reset(bench->spare);
    if (i == KEYSTROKES / 5) before = resident();
  }
  const long grown = resident() - before;
  print_message("  %ld kB, and %ld kB more after %d keystrokes\n", before, grown, KEYSTROKES);
#ifndef __SANITIZE_ADDRESS__ // which keeps what was freed for a while, and looks for leaks
  assert_true(grown < 512);
#endif
  pl_client_end(client);
}

int main(int count, char **arguments) {
  if (count > 1) message_count = strtol(arguments[1], NULL, 10);
  if (count > 2) seed = strtoull(arguments[2], NULL, 10);
  const struct CMUnitTest tests[] = {PL_FOLDER_TEST(messages_by_chance),
                                     PL_FOLDER_TEST(keystrokes)};
  return cmocka_run_group_tests_name("language server under chance", tests, NULL, NULL);
}
