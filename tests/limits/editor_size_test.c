// SPDX-License-Identifier: GPL-3.0-or-later
// Tests that the language server keeps pace with absurd files: one long line, a hundred
// thousand of them, one name that stands everywhere, thousands of blocks and of problems.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include <string.h>
#include <time.h>

/// Longest processor time of one answer about a file of this size, in s: in the order of the
/// file's size most take a tenth of it; what goes by its square takes more.
#ifdef __SANITIZE_ADDRESS__
#define LONGEST 8.0
#else
#define LONGEST 1.2
#endif
#define SIZE ((size_t)150 * 1000)

static const struct {
  const char *name;
  const char *head;
  const char *piece; ///< again and again
  const char *tail;
} shapes[] = {
    {"properties on one line", "setup \"a\" { ", "air = 3 degC; ", "}\n"},
    {"blocks on one line", "", "oil \"漢😀\" { viscosity = 3 cSt } ", "\n"},
    {"words on one line", "", "漢😀 é ", "\n"},
    {"comments", "", "# 漢😀\n", ""},
    {"comments on lines of code", "", "let a = 1 # é\n", ""},
    {"empty lines", "", "\r\n", ""},
    {"blocks", "", "oil \"x\" { viscosity = 3 cSt }\n", ""},
    {"scopes", "setup \"a\" {\n", "  rear { camber = -1 deg }\n", "}\n"},
    {"one name", "oil \"x\" { viscosity = 3 cSt }\n", "setup \"s\" { oil = \"x\" }\n", ""},
    {"one constant", "let a = 1\n", "let b = a\n", ""},
    {"a list", "let a = [", "1, ", "1]\n"},
    {"a text", "let a = \"", "漢😀", "\"\n"},
    {"open braces", "", "setup \"a\" {\n", ""},
    {"quotes", "", "\"", ""},
    {"rules", "rules \"r\" {\n", "rule \"b\" { require = damper.bore <= 13 mm }\n", "}\n"},
};

static const char *const methods[] = {"documentSymbol", "foldingRange", "semanticTokens/full",
                                      "inlayHint",      "formatting",   "completion",
                                      "hover",          "definition",   "references",
                                      "codeAction",     "rename"};

static double seconds_now(void) {
  return (double)clock() / CLOCKS_PER_SEC;
}

static void keeps_pace(struct pl_bench *bench) {
  size_t which = 0;
  while (strcmp(shapes[which].name, bench->subject) != 0) which++;
  struct pl_buffer out = {.arena = bench->own};
  pl_buffer_text(&out, shapes[which].head);
  while (out.length < SIZE) pl_buffer_text(&out, shapes[which].piece);
  pl_buffer_text(&out, shapes[which].tail);
  const char *const text = pl_buffer_string(&out);
  struct pl_client *const client = pl_client_start(bench);
  pl_client_open(client, "a.leaf", text);
  double began = seconds_now();
  pl_editor_idle(client->editor);
  double longest = seconds_now() - began;
  const char *slowest = "problems";
  for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
    json_t *const params = pl_client_all_of(client, "a.leaf");
    // In the first name that stands there.
    const char *const quote = strchr(text, '"');
    json_object_set_new(params, "position",
                        pl_position_of(text, quote == NULL ? 4 : (size_t)(quote - text) + 1));
    json_object_set_new(params, "newName", json_string("other"));
    began = seconds_now();
    (void)pl_client_answer(client, pl_format(bench->own, "textDocument/%s", methods[i]),
                           params);
    const double took = seconds_now() - began;
    if (took > longest) {
      longest = took;
      slowest = methods[i];
    }
  }
  print_message("  %s: at most %.3f s, for %s\n", shapes[which].name, longest, slowest);
  assert_true(longest < LONGEST);
  pl_client_end(client);
}

#define SHAPE_COUNT (sizeof shapes / sizeof shapes[0])

int main(void) {
  static struct CMUnitTest all[SHAPE_COUNT];
  static struct pl_bench_case cases[SHAPE_COUNT];
  for (size_t i = 0; i < SHAPE_COUNT; i++) {
    cases[i] = (struct pl_bench_case){keeps_pace, shapes[i].name};
    all[i] = (struct CMUnitTest){shapes[i].name, pl_bench_run, pl_folder_new, pl_folder_free,
                                 &cases[i]};
  }
  return cmocka_run_group_tests_name("large files in an editor", all, NULL, NULL);
}
