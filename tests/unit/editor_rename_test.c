// SPDX-License-Identifier: GPL-3.0-or-later
// Renames every name of the demo, one after the other, in all of its files: in the end they
// have the problems that they had before, which is none but what the demo shows on purpose.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "client.h"

#include "pitleaf/syntax.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/// Makes the folders of a path.
static void make_folders(const char *path) {
  char folder[512];
  for (size_t i = 0; i < sizeof folder && path[i] != '\0'; i++) {
    folder[i] = '\0';
    if (path[i] == '/') (void)mkdir(folder, 0700);
    folder[i] = path[i];
  }
}

/// Copies the demo's files that end so into the working folder.
static struct pl_test_names copied(struct pl_bench *bench, const char *ending) {
  const char *const root = pl_test_root();
  struct pl_test_names names =
      pl_test_names_below(pl_format(bench->own, "%s/sheets", root), ending);
  for (size_t i = 0; i < names.count; i++) {
    size_t length = 0;
    const char *const bytes = pl_test_read_there(bench->own, names.names[i], &length);
    const char *const name = names.names[i] + strlen(root) + 1;
    make_folders(name);
    pl_test_write(name, bytes, length);
    memmove(names.names[i], name, strlen(name) + 1);
  }
  return names;
}

/// The codes of all files' problems, as each is checked for itself.
static const char *all_codes(struct pl_bench *bench, const struct pl_test_names *names) {
  struct pl_buffer out = {.arena = bench->own};
  static const char *const libraries[] = {"sheets/cars", "sheets/library"};
  const struct pl_session_options options = {.libraries = libraries, .library_count = 2};
  struct pl_session *const session = pl_session_new(bench->own, bench->guard, &options);
  for (size_t i = 0; i < names->count; i++) {
    bench->program = pl_program_load(session, bench->own, names->names[i]);
    struct pl_arena *const scratch = pl_arena_new(bench->guard);
    pl_program_check(bench->program, NULL, scratch);
    pl_arena_free(scratch);
    pl_buffer_format(&out, "%s: %s\n", names->names[i], pl_bench_problems(bench));
  }
  return pl_buffer_string(&out);
}

static const struct pl_tree *tree_of(struct pl_bench *bench, const char *name) {
  size_t length = 0;
  const char *const text = pl_test_read_there(bench->own, name, &length);
  return pl_parse(bench->own, pl_names_new(bench->own), pl_diagnostics_new(bench->own),
                  pl_source_of_bytes(bench->own, name, (const unsigned char *)text, length));
}

/// Does the edits to the files on the disk.
static void apply(struct pl_client *client, json_t *changes) {
  const size_t prefix = strlen(pl_client_uri(client, ""));
  const char *uri = NULL;
  json_t *edits = NULL;
  json_object_foreach(changes, uri, edits) {
    size_t length = 0;
    const char *const text = pl_test_read_there(client->bench->own, uri + prefix, &length);
    pl_test_write_text(uri + prefix, pl_edited(client, text, edits));
  }
}

/// Renames what stands at a place; the number of files that it stood in.
static size_t rename_at(struct pl_client *client, const char *name, uint32_t byte,
                        const char *new_name) {
  size_t length = 0;
  const char *const text = pl_test_read_there(client->bench->own, name, &length);
  client->file_count = 0;
  pl_client_open(client, name, text);
  json_t *const params = pl_client_document(client, name);
  json_object_set_new(params, "position", pl_position_of(text, byte));
  json_object_set_new(params, "newName", json_string(new_name));
  json_t *const changes =
      json_object_get(pl_client_ask(client, "textDocument/rename", params), "changes");
  const size_t files = json_object_size(changes);
  assert_non_null(json_object_get(changes, pl_client_uri(client, name)));
  pl_client_close(client, name);
  apply(client, changes);
  pl_client_tell(client, "workspace/didChangeWatchedFiles", json_pack("{s:[]}", "changes"));
  return files;
}

static void every_name_of_the_demo(struct pl_bench *bench) {
  struct pl_test_names images = copied(bench, ".png");
  pl_test_names_free(&images);
  struct pl_test_names names = copied(bench, ".leaf");
  assert_true(names.count > 20);
  const char *const before = all_codes(bench, &names);
  static const char *const libraries[] = {"sheets/cars", "sheets/library"};
  struct pl_client *const client = pl_client_new(bench, libraries, 2);
  (void)pl_client_ask(client, "initialize",
                      json_pack("{s:s}", "rootUri", pl_client_uri(client, "")));
  size_t renamed = 0;
  size_t files = 0;
  for (size_t i = 0; i < names.count; i++) {
    size_t count = 0;
    const struct pl_tree *tree = tree_of(bench, names.names[i]);
    for (const struct pl_node *item = tree->items; item != NULL; item = item->next) count++;
    for (size_t which = 0; which < count; which++) {
      tree = tree_of(bench, names.names[i]);
      const struct pl_node *item = tree->items;
      for (size_t j = 0; j < which; j++) item = item->next;
      const bool is_let = item->kind == PL_NODE_LET;
      if (!is_let && (item->kind != PL_NODE_BLOCK || pl_titles(item) == NULL)) continue;
      const char *const old = is_let ? item->name : pl_titles(item)->name;
      const uint32_t at = is_let ? pl_name_span(item).start : pl_titles(item)->span.start + 1;
      files += rename_at(client, names.names[i], at,
                         pl_format(bench->own, is_let ? "%s-too" : "%s “漢😀”", old));
      json_array_clear(client->received);
      renamed++;
    }
  }
  print_message("  %zu names were changed, %zu times in some file\n", renamed, files);
  assert_true(renamed > 60);
  assert_true(2 * files > 3 * renamed);
  const char *const after = all_codes(bench, &names);
  for (const char *a = after, *b = before; *b != '\0';) {
    const int length = (int)strcspn(b, "\n");
    const int now = (int)strcspn(a, "\n");
    if (now != length || strncmp(a, b, (size_t)length) != 0)
      fail_msg("there was\n%.*s\nand now there is\n%.*s", length, b, now, a);
    a += now + 1;
    b += length + 1;
  }
  pl_test_names_free(&names);
  pl_client_end(client);
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_FOLDER_TEST(every_name_of_the_demo)};
  return cmocka_run_group_tests_name("renaming the demo", tests, NULL, NULL);
}
