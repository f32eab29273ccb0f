// SPDX-License-Identifier: GPL-3.0-or-later
// The limits of the language server, just under, on and just over each: what is beyond them is
// told to the user, and no name is changed in some of its files only.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

static const char text[] = "oil \"x\" { viscosity = 300 cSt }\n";

/// How many messages of a method came.
static size_t heard(const struct pl_client *client, const char *method) {
  size_t count = 0;
  size_t index = 0;
  const json_t *message = NULL;
  json_array_foreach(client->received, index, message) {
    const char *const own = json_string_value(json_object_get(message, "method"));
    count += own != NULL && strcmp(own, method) == 0;
  }
  return count;
}

/// Renames the oil; whether that was refused, and told.
static void check_rename(struct pl_bench *bench, bool is_over) {
  struct pl_client *const client = pl_client_start(bench);
  pl_client_write_open(client, "a.leaf", text);
  json_t *const params = pl_client_at(client, "a.leaf", "x", 0);
  json_object_set_new(params, "newName", json_string("y"));
  const json_t *const answer = pl_client_answer(client, "textDocument/rename", params);
  assert_int_equal(json_object_get(answer, "error") != NULL, is_over);
  (void)pl_client_ask(client, "textDocument/references",
                      pl_client_at(client, "a.leaf", "x", 0));
  assert_int_equal(heard(client, "window/showMessage"), is_over ? 1 : 0); // and not again
  pl_client_end(client);
}

static void files(struct pl_bench *bench) {
  for (int i = 1; i <= PL_MOST_EDITOR_FILES; i++) { // a.leaf is one more
    if (i >= PL_MOST_EDITOR_FILES - 1) check_rename(bench, i > PL_MOST_EDITOR_FILES);
    pl_test_write(pl_format(bench->own, "f%d.leaf", i), "", 0);
  }
  check_rename(bench, true);
}

static void folders(struct pl_bench *bench) {
  struct pl_buffer path = {.arena = bench->own};
  for (int i = 1; i <= PL_MOST_EDITOR_FOLDERS + 1; i++) {
    pl_buffer_format(&path, "%sd", i == 1 ? "" : "/");
    assert_int_equal(mkdir(pl_buffer_string(&path), 0777), 0);
    if (i >= PL_MOST_EDITOR_FOLDERS - 1) check_rename(bench, i > PL_MOST_EDITOR_FOLDERS);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_FOLDER_TEST(files), PL_FOLDER_TEST(folders)};
  return cmocka_run_group_tests_name("limits of the editor", tests, NULL, NULL);
}
