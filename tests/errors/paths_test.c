// SPDX-License-Identifier: GPL-3.0-or-later
// Tests which files a program may read: includes that lead outside, files that are none,
// circles, library folders, and the top folder of a work tree.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <errno.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

// ---------------------------------------------------------------- making things

static void make_folder(const char *path) {
  if (mkdir(path, 0700) != 0) fail_msg("%s: %s", path, strerror(errno));
}

static void make_link(const char *target, const char *path) {
  if (symlink(target, path) != 0) fail_msg("%s: %s", path, strerror(errno));
}

static void load(struct pl_bench *bench, const char *path) {
  bench->program = pl_program_load(bench->session, bench->arena, path);
}

/// Loads with one library folder, with a root, or with neither.
static void load_with(struct pl_bench *bench, const char *path, const char *library,
                      const char *root) {
  const struct pl_session_options options = {
      .libraries = &library, .library_count = library == NULL ? 0 : 1, .root = root};
  bench->session = pl_session_new(bench->arena, bench->guard, &options);
  load(bench, path);
}

static bool knows_spring(const struct pl_bench *bench, const char *name) {
  return pl_program_find(bench->program, PL_BLOCK_SPRING, name) != NULL;
}

#define SPRING(name) "spring \"" name "\" { rate = 0.62 N/mm }\n"

// ---------------------------------------------------------------- leading outside

static void by_two_points(struct pl_bench *bench) {
  pl_test_write_text("secret.leaf", SPRING("secret"));
  make_folder("mine");
  make_folder("mine/deep");
  pl_test_write_text("mine/main.leaf", "include \"../secret.leaf\"\n"
                                       "include \"deep/../../secret.leaf\"\n"
                                       "include \"./deep/./../../mine/../secret.leaf\"\n"
                                       "include \"../../../../../../../../etc/passwd\"\n");
  assert_int_equal(chdir("mine"), 0);
  load(bench, "main.leaf");
  assert_problems(bench, "include-outside include-outside include-outside include-outside");
  assert_false(knows_spring(bench, "secret"));
}

/// A path that leaves the folder on its way and comes back is harmless.
static void out_and_back(struct pl_bench *bench) {
  make_folder("mine");
  pl_test_write_text("mine/part.leaf", SPRING("part"));
  pl_test_write_text("mine/main.leaf", "include \"../mine/part.leaf\"\n");
  assert_int_equal(chdir("mine"), 0);
  load(bench, "main.leaf");
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "part"));
}

static void by_absolute_path(struct pl_bench *bench) {
  pl_test_write_text("part.leaf", SPRING("part"));
  pl_test_write_text("main.leaf",
                     pl_format(bench->arena,
                               "include \"%s/part.leaf\"\ninclude \"/etc/passwd\"\n"
                               "include \"//etc/passwd\"\n",
                               bench->own_folder));
  load(bench, "main.leaf");
  assert_problems(bench, "include-absolute include-absolute include-absolute");
  assert_false(knows_spring(bench, "part"));
}

static void by_link(struct pl_bench *bench) {
  pl_test_write_text("secret.leaf", SPRING("secret"));
  make_folder("secrets");
  pl_test_write_text("secrets/more.leaf", SPRING("more"));
  make_folder("mine");
  make_link("../secret.leaf", "mine/file.leaf");
  make_link("../secrets", "mine/folder");
  make_link("file.leaf", "mine/again.leaf");
  make_link("/dev/zero", "mine/device.leaf");
  pl_test_write_text("mine/main.leaf", "include \"file.leaf\"\ninclude \"folder/more.leaf\"\n"
                                       "include \"again.leaf\"\ninclude \"device.leaf\"\n");
  assert_int_equal(chdir("mine"), 0);
  load(bench, "main.leaf");
  assert_problems(bench, "include-outside include-outside include-outside include-outside");
  assert_false(knows_spring(bench, "secret"));
  assert_false(knows_spring(bench, "more"));
}

/// A link within the folder is a file like any other, and the same file by either name.
static void link_within(struct pl_bench *bench) {
  pl_test_write_text("part.leaf", SPRING("part"));
  make_link("part.leaf", "link.leaf");
  pl_test_write_text("main.leaf", "include \"link.leaf\"\ninclude \"part.leaf\"\n");
  load(bench, "main.leaf");
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "part"));
}

/// What lies beside the root and begins with its name is not inside it.
static void beside_root(struct pl_bench *bench) {
  make_folder("mine");
  make_folder("mine-too");
  pl_test_write_text("mine-too/secret.leaf", SPRING("secret"));
  pl_test_write_text("mine/main.leaf", "include \"../mine-too/secret.leaf\"\n");
  load_with(bench, "mine/main.leaf", NULL, "mine");
  assert_problems(bench, "include-outside");
}

// ---------------------------------------------------------------- no plain files

static void make_socket(const char *path) {
  struct sockaddr_un address = {.sun_family = AF_UNIX};
  const size_t length = strlen(path);
  assert_true(length < sizeof address.sun_path);
  memcpy(address.sun_path, path, length + 1);
  const int socket_file = socket(AF_UNIX, SOCK_STREAM, 0);
  assert_true(socket_file >= 0);
  const int failed = bind(socket_file, (const struct sockaddr *)&address, sizeof address);
  (void)close(socket_file);
  assert_int_equal(failed, 0);
}

/// A file over the limit that takes no room on the disk.
static void make_large(const char *path) {
  pl_test_write_text(path, "# large\n");
  assert_int_equal(truncate(path, (off_t)PL_MOST_FILE_BYTES + 1), 0);
}

static void includes_that_are_no_files(struct pl_bench *bench) {
  assert_int_equal(mkfifo("fifo.leaf", 0600), 0);
  make_socket("socket.leaf");
  make_folder("folder.leaf");
  make_large("large.leaf");
  make_link("loop.leaf", "loop.leaf"); // leads nowhere: unreadable for everyone
  make_link("nowhere.leaf", "dangling.leaf");
  pl_test_write_text("plain.leaf", "# no folder\n");
  pl_test_write_text("main.leaf",
                     "include \"fifo.leaf\"\ninclude \"socket.leaf\"\n"
                     "include \"folder.leaf\"\ninclude \"large.leaf\"\n"
                     "include \"loop.leaf\"\ninclude \"dangling.leaf\"\n"
                     "include \"missing.leaf\"\ninclude \"plain.leaf/part.leaf\"\n");
  load(bench, "main.leaf");
  assert_problems(bench, "include-not-plain include-not-plain include-folder include-too-large "
                         "include-unreadable include-missing include-missing include-missing");
}

/// With the root of the disk as root even a device is inside.
static void device_as_include(struct pl_bench *bench) {
  enum pl_file_status status;
  struct pl_buffer up = {.arena = bench->arena};
  for (const char *at = pl_real_path(bench->arena, ".", &status); *at != '\0'; at++)
    if (*at == '/') pl_buffer_text(&up, "../");
  const char *const top = pl_buffer_string(&up);
  pl_test_write_text(
      "main.leaf",
      pl_format(bench->arena, "include \"%sdev/null\"\ninclude \"%sdev/zero\"\n", top, top));
  load_with(bench, "main.leaf", NULL, "/");
  assert_problems(bench, "include-not-plain include-not-plain");
}

static void largest_file_is_read(struct pl_bench *bench) {
  static const char spring[] = SPRING("part");
  char *const bytes = pl_alloc(bench->arena, PL_MOST_FILE_BYTES);
  memset(bytes, '\n', PL_MOST_FILE_BYTES);
  for (size_t i = 0; i < strlen(spring); i++)
    bytes[PL_MOST_FILE_BYTES - strlen(spring) + i] = spring[i];
  pl_test_write("part.leaf", bytes, PL_MOST_FILE_BYTES);
  pl_test_write_text("main.leaf", "include \"part.leaf\"\n");
  load(bench, "main.leaf");
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "part"));
}

static void main_files_that_are_none(struct pl_bench *bench) {
  static const char *const cases[][2] = {
      {"fifo.leaf", "not-a-plain-file"}, {"socket.leaf", "not-a-plain-file"},
      {"/dev/null", "not-a-plain-file"}, {"folder.leaf", "file-is-folder"},
      {".", "file-is-folder"},           {"large.leaf", "file-too-large"},
      {"loop.leaf", "unreadable"},       {"missing.leaf", "no-such-file"},
      {"dangling.leaf", "no-such-file"}, {"", "no-such-file"}};
  assert_int_equal(mkfifo("fifo.leaf", 0600), 0);
  make_socket("socket.leaf");
  make_folder("folder.leaf");
  make_large("large.leaf");
  make_link("loop.leaf", "loop.leaf");
  make_link("nowhere.leaf", "dangling.leaf");
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    load(bench, cases[i][0]);
    assert_problems(bench, cases[i][1]);
    assert_true(pl_program_unreadable(bench->program));
    assert_null(pl_program_source(bench->program));
  }
}

/// Without the right to read. A superuser may read everything: then there is nothing to test.
static void without_permission(struct pl_bench *bench) {
  pl_test_write_text("part.leaf", SPRING("part"));
  pl_test_write_text("main.leaf", "include \"part.leaf\"\n");
  assert_int_equal(chmod("part.leaf", 0), 0);
  if (access("part.leaf", R_OK) == 0) skip();
  load(bench, "main.leaf");
  assert_problems(bench, "include-unreadable");
  load(bench, "part.leaf");
  assert_problems(bench, "unreadable");
}

static void main_file_by_link(struct pl_bench *bench) {
  make_folder("real");
  pl_test_write_text("real/part.leaf", SPRING("part"));
  pl_test_write_text("real/main.leaf", "include \"part.leaf\"\n");
  make_link("real/main.leaf", "main.leaf");
  load(bench, "main.leaf"); // includes are beside the file, not beside the link
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "part"));
}

// ---------------------------------------------------------------- circles and numbers

static void circle_is_read_once(struct pl_bench *bench) {
  pl_test_write_text("main.leaf",
                     "include \"one.leaf\"\ninclude \"main.leaf\"\n" SPRING("main"));
  pl_test_write_text("one.leaf", "include \"two.leaf\"\n" SPRING("one"));
  pl_test_write_text("two.leaf",
                     "include \"one.leaf\"\ninclude \"./one.leaf\"\ninclude \"main.leaf\"\n"
                     "include \"two.leaf\"\n" SPRING("two"));
  load(bench, "main.leaf");
  assert_problems(bench, ""); // a file that was read twice would declare its spring twice
  assert_true(knows_spring(bench, "main") && knows_spring(bench, "one") &&
              knows_spring(bench, "two"));
}

static void too_many_includes(struct pl_bench *bench) {
  const int most = PL_MOST_INCLUDES;
  struct pl_buffer text = {.arena = bench->arena};
  for (int i = 1; i <= most + 1; i++) {
    pl_test_write_text(pl_format(bench->arena, "part-%d.leaf", i),
                       pl_format(bench->arena, "let part-%d = %d mm\n", i, i));
    pl_buffer_format(&text, "include \"part-%d.leaf\"\n", i);
  }
  pl_test_write_text("main.leaf", pl_buffer_string(&text));
  load(bench, "main.leaf");
  assert_problems(bench, "too-many-includes");
  const struct pl_diagnostic *const problem = &pl_program_problems(bench->program)->items[0];
  assert_int_equal(pl_position(problem->span).line, most + 1);
}

// ---------------------------------------------------------------- libraries

static void library_is_searched(struct pl_bench *bench) {
  make_folder("library");
  make_folder("library/springs");
  pl_test_write_text("library/springs/soft.leaf", "include \"hard.leaf\"\n" SPRING("soft"));
  pl_test_write_text("library/springs/hard.leaf", SPRING("hard"));
  make_folder("mine");
  pl_test_write_text("mine/main.leaf", "include \"springs/soft.leaf\"\n");
  assert_int_equal(chdir("mine"), 0);
  load_with(bench, "main.leaf", NULL, NULL);
  assert_problems(bench, "include-missing");
  load_with(bench, "main.leaf", "../library", NULL);
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "soft") && knows_spring(bench, "hard"));
}

/// The file beside the one that includes it goes before the library's.
static void own_file_goes_first(struct pl_bench *bench) {
  make_folder("library");
  pl_test_write_text("library/part.leaf", SPRING("of the library"));
  make_folder("mine");
  pl_test_write_text("mine/part.leaf", SPRING("my own"));
  pl_test_write_text("mine/main.leaf", "include \"part.leaf\"\n");
  load_with(bench, "mine/main.leaf", "library", NULL);
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "my own"));
  assert_false(knows_spring(bench, "of the library"));
}

static void library_climbs_out(struct pl_bench *bench) {
  pl_test_write_text("secret.leaf", SPRING("secret"));
  make_folder("library");
  pl_test_write_text("library/part.leaf", "include \"../secret.leaf\"\n");
  make_folder("mine");
  pl_test_write_text("mine/main.leaf",
                     "include \"part.leaf\"\ninclude \"../library/../secret.leaf\"\n");
  assert_int_equal(chdir("mine"), 0);
  load_with(bench, "main.leaf", "../library", NULL);
  assert_problems(bench, "include-outside include-outside");
  assert_false(knows_spring(bench, "secret"));
}

// ---------------------------------------------------------------- roots

static void build_tree(void) {
  make_folder("tree");
  make_folder("tree/library");
  make_folder("tree/cars");
  make_folder("tree/cars/plover");
  pl_test_write_text("tree/library/part.leaf", SPRING("part"));
  pl_test_write_text("tree/cars/plover/main.leaf", "include \"../../library/part.leaf\"\n");
}

/// Without a work tree the root is the working folder if it holds the main file, else the main
/// file's folder.
static void root_without_work_tree(struct pl_bench *bench) {
  build_tree();
  load(bench, "tree/cars/plover/main.leaf");
  assert_problems(bench, "");
  assert_int_equal(chdir("tree/cars"), 0);
  load(bench, "plover/main.leaf");
  assert_problems(bench, "include-outside");
  assert_int_equal(chdir("../library"), 0);
  load(bench, "../cars/plover/main.leaf");
  assert_problems(bench, "include-outside");
}

/// In a work tree the root is its top folder, wherever one works.
static void root_of_work_tree(struct pl_bench *bench) {
  build_tree();
  make_folder("tree/.git");
  assert_int_equal(chdir("tree/library"), 0);
  load(bench, "../cars/plover/main.leaf");
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "part"));
  pl_test_write_text("../../secret.leaf", SPRING("secret"));
  pl_test_write_text("../cars/plover/main.leaf", "include \"../../../secret.leaf\"\n");
  load(bench, "../cars/plover/main.leaf");
  assert_problems(bench, "include-outside");
}

/// A work tree's marker may be a file, as in a linked work tree.
static void root_of_linked_work_tree(struct pl_bench *bench) {
  build_tree();
  pl_test_write_text("tree/.git", "gitdir: elsewhere\n");
  assert_int_equal(chdir("tree/cars/plover"), 0);
  load(bench, "main.leaf");
  assert_problems(bench, "");
}

static void root_as_told(struct pl_bench *bench) {
  build_tree();
  make_folder("tree/.git");
  load_with(bench, "tree/cars/plover/main.leaf", NULL, "tree/cars");
  assert_problems(bench, "include-outside");
  load_with(bench, "tree/cars/plover/main.leaf", NULL, "tree");
  assert_problems(bench, "");
}

int main(void) {
  (void)alarm(120); // a test that waits for a FIFO's other end is killed
  const struct CMUnitTest tests[] = {
      PL_FOLDER_TEST(by_two_points),
      PL_FOLDER_TEST(out_and_back),
      PL_FOLDER_TEST(by_absolute_path),
      PL_FOLDER_TEST(by_link),
      PL_FOLDER_TEST(link_within),
      PL_FOLDER_TEST(beside_root),
      PL_FOLDER_TEST(includes_that_are_no_files),
      PL_FOLDER_TEST(device_as_include),
      PL_FOLDER_TEST(largest_file_is_read),
      PL_FOLDER_TEST(main_files_that_are_none),
      PL_FOLDER_TEST(without_permission),
      PL_FOLDER_TEST(main_file_by_link),
      PL_FOLDER_TEST(circle_is_read_once),
      PL_FOLDER_TEST(too_many_includes),
      PL_FOLDER_TEST(library_is_searched),
      PL_FOLDER_TEST(own_file_goes_first),
      PL_FOLDER_TEST(library_climbs_out),
      PL_FOLDER_TEST(root_without_work_tree),
      PL_FOLDER_TEST(root_of_work_tree),
      PL_FOLDER_TEST(root_of_linked_work_tree),
      PL_FOLDER_TEST(root_as_told),
  };
  return cmocka_run_group_tests_name("paths", tests, NULL, NULL);
}
