// SPDX-License-Identifier: GPL-3.0-or-later
// Tests the files of a meeting's entries, which strangers wrote: which file is read, what it
// may include, and that what is wrong with one stays with it.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

// ---------------------------------------------------------------- a meeting's folder

static void make_folder(const char *path) {
  if (mkdir(path, 0700) != 0) fail_msg("%s: %s", path, strerror(errno));
}

static void make_link(const char *target, const char *path) {
  if (symlink(target, path) != 0) fail_msg("%s: %s", path, strerror(errno));
}

#define SPRING(name) "spring \"" name "\" { rate = 0.62 N/mm }\n"
#define SETUP(name)  "setup \"" name "\" { }\n"

/// meet/ with the meeting, a file of the organiser's and the folders of two entries; beside it
/// a library and a file that no one may read.
static void make_meeting(const char *entry) {
  make_folder("meet");
  make_folder("meet/entries");
  make_folder("meet/entries/07");
  make_folder("meet/entries/12");
  make_folder("library");
  pl_test_write_text("secret.leaf", SPRING("secret"));
  pl_test_write_text("library/springs.leaf", SPRING("shelf"));
  pl_test_write_text("meet/own.leaf", SPRING("organiser's"));
  pl_test_write_text("meet/entries/12/parts.leaf", SPRING("other's"));
  pl_test_write_text("meet/entries/12/a.leaf", "include \"parts.leaf\"\n" SETUP("Twelve"));
  pl_test_write_text("meet/entries/07/parts.leaf", SPRING("own"));
  pl_test_write_text("meet/entries/07/a.leaf", entry);
  pl_test_write_text("meet/meeting.leaf", "include \"own.leaf\"\nmeeting \"m\" {\n"
                                          " entry 7 { setup = \"entries/07/a.leaf\" }\n"
                                          " entry 12 { setup = \"entries/12/a.leaf\" }\n}\n");
}

/// Loads the meeting with a library, or none, and whatever root.
static const struct pl_meeting *load_meeting(struct pl_bench *bench, const char *library,
                                             const char *root) {
  const struct pl_session_options options = {
      .libraries = &library, .library_count = library == NULL ? 0 : 1, .root = root};
  bench->session = pl_session_new(bench->arena, bench->guard, &options);
  bench->program = pl_program_load(bench->session, bench->arena, "meet/meeting.leaf");
  const struct pl_meeting *const meeting = pl_program_meeting(bench->program, NULL);
  assert_non_null(meeting);
  return meeting;
}

/// Loads an entry; it becomes the bench's program, so that its problems are asserted.
static struct pl_program *load_entry(struct pl_bench *bench, const struct pl_meeting *meeting,
                                     size_t which) {
  struct pl_program *const of_meeting = bench->program;
  bench->program = pl_entry_load(of_meeting, bench->arena, &meeting->entries[which]);
  return of_meeting;
}

static bool knows_spring(const struct pl_bench *bench, const char *name) {
  return pl_program_find(bench->program, PL_BLOCK_SPRING, name) != NULL;
}

/// A meeting of one entry, whose `setup` is that path.
static const struct pl_meeting *meeting_with_path(struct pl_bench *bench, const char *path) {
  pl_test_write_text(
      "meet/meeting.leaf",
      pl_format(bench->arena, "meeting \"m\" { entry 7 { setup = \"%s\" } }\n", path));
  return load_meeting(bench, NULL, NULL);
}

// ---------------------------------------------------------------- what an entry reads

static void own_folder_and_libraries(struct pl_bench *bench) {
  make_meeting("include \"parts.leaf\"\ninclude \"springs.leaf\"\n" SETUP("Wet"));
  const struct pl_meeting *const meeting = load_meeting(bench, "library", NULL);
  assert_problems(bench, "");
  load_entry(bench, meeting, 0);
  assert_problems(bench, "");
  assert_false(pl_program_unreadable(bench->program));
  assert_true(knows_spring(bench, "own"));
  assert_true(knows_spring(bench, "shelf"));
  assert_false(knows_spring(bench, "organiser's"));
  assert_string_equal(pl_setup_name(pl_program_setup(bench->program, NULL)), "Wet");
  assert_string_equal(pl_program_source(bench->program)->path, "meet/entries/07/a.leaf");
  assert_string_equal(pl_program_file(bench->program, 1)->path, "meet/entries/07/parts.leaf");
}

/// Below the entry's folder it may go where it likes, and back.
static void folders_below_its_own(struct pl_bench *bench) {
  make_meeting("include \"deep/x.leaf\"\n" SETUP("Wet"));
  make_folder("meet/entries/07/deep");
  pl_test_write_text("meet/entries/07/deep/x.leaf", "include \"../parts.leaf\"\n");
  load_entry(bench, load_meeting(bench, NULL, NULL), 0);
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "own"));
}

/// Neither the working folder, nor a work tree, nor --root opens more to an entry; and what the
/// meeting and the other entry have read already is not handed to it.
static void nothing_else(struct pl_bench *bench) {
  static const char *const roots[] = {NULL, ".", "/"};
  make_meeting("include \"../../own.leaf\"\ninclude \"../12/parts.leaf\"\n"
               "include \"../../../secret.leaf\"\ninclude \"springs.leaf\"\n"
               "include \"./../../entries/12/../12/parts.leaf\"\n" SETUP("Wet"));
  make_folder(".git");
  for (size_t i = 0; i < sizeof roots / sizeof roots[0]; i++) {
    const struct pl_meeting *const meeting = load_meeting(bench, NULL, roots[i]);
    assert_problems(bench, "");
    struct pl_program *const of_meeting = load_entry(bench, meeting, 1);
    assert_problems(bench, "");
    assert_true(knows_spring(bench, "other's"));
    bench->program = of_meeting;
    load_entry(bench, meeting, 0);
    assert_problems(bench, "include-outside include-outside include-outside include-missing "
                           "include-outside");
    assert_false(knows_spring(bench, "organiser's"));
    assert_false(knows_spring(bench, "other's"));
    assert_false(knows_spring(bench, "secret"));
    bench->program = of_meeting;
    assert_problems(bench, "");
  }
}

/// The organiser's file is in the session already, by a library that includes it.
static void nothing_by_a_library(struct pl_bench *bench) {
  make_meeting("include \"reach.leaf\"\n" SETUP("Wet"));
  pl_test_write_text("library/reach.leaf", "include \"../meet/own.leaf\"\n");
  pl_test_write_text("meet/meeting.leaf", "include \"reach.leaf\"\nmeeting \"m\" {\n"
                                          " entry 7 { setup = \"entries/07/a.leaf\" }\n}\n");
  const struct pl_meeting *const meeting = load_meeting(bench, "library", NULL);
  assert_problems(bench, "");
  assert_true(knows_spring(bench, "organiser's"));
  load_entry(bench, meeting, 0);
  assert_problems(bench, "include-outside");
  assert_false(knows_spring(bench, "organiser's"));
}

static void nothing_by_links(struct pl_bench *bench) {
  make_meeting("include \"file.leaf\"\ninclude \"folder/parts.leaf\"\ninclude \"again.leaf\"\n"
               "include \"device.leaf\"\ninclude \"within.leaf\"\n" SETUP("Wet"));
  make_link("../../own.leaf", "meet/entries/07/file.leaf");
  make_link("../12", "meet/entries/07/folder");
  make_link("file.leaf", "meet/entries/07/again.leaf");
  make_link("/dev/zero", "meet/entries/07/device.leaf");
  make_link("parts.leaf", "meet/entries/07/within.leaf");
  load_entry(bench, load_meeting(bench, NULL, NULL), 0);
  assert_problems(bench, "include-outside include-outside include-outside include-outside");
  assert_true(knows_spring(bench, "own"));
  assert_false(knows_spring(bench, "organiser's"));
  assert_false(knows_spring(bench, "other's"));
}

static void nothing_by_absolute_paths(struct pl_bench *bench) {
  make_meeting("");
  pl_test_write_text("meet/entries/07/a.leaf",
                     pl_format(bench->arena, "include \"%s/meet/entries/07/parts.leaf\"\n",
                               bench->own_folder));
  load_entry(bench, load_meeting(bench, NULL, NULL), 0);
  assert_problems(bench, "include-absolute");
  assert_false(knows_spring(bench, "own"));
}

// ---------------------------------------------------------------- which file is the entry's

/// The path counts from the file that has the line, as an include's does.
static void path_counts_from_its_file(struct pl_bench *bench) {
  make_meeting(SETUP("Wet"));
  make_folder("meet/season");
  pl_test_write_text("meet/season/base.leaf",
                     "meeting \"base\" { entry 7 { setup = \"../entries/07/a.leaf\" }\n"
                     " entry 12 { setup = \"none.leaf\" } }\n");
  pl_test_write_text("meet/meeting.leaf", "include \"season/base.leaf\"\n"
                                          "meeting \"m\" from \"base\" {\n"
                                          " entry 12 { setup = \"entries/12/a.leaf\" } }\n");
  const struct pl_meeting *const meeting = load_meeting(bench, NULL, NULL);
  assert_problems(bench, "");
  for (size_t i = 0; i < 2; i++) {
    struct pl_program *const of_meeting = load_entry(bench, meeting, i);
    assert_problems(bench, "");
    assert_string_equal(pl_program_source(bench->program)->path,
                        i == 0 ? "meet/entries/07/a.leaf" : "meet/entries/12/a.leaf");
    bench->program = of_meeting;
  }
}

/// Below the root of a meeting, its entries may lie beside its folder.
static void path_within_the_root(struct pl_bench *bench) {
  make_meeting("");
  make_folder("inbox");
  pl_test_write_text("inbox/x.leaf", SETUP("Wet"));
  const struct pl_meeting *meeting = meeting_with_path(bench, "../inbox/x.leaf");
  assert_problems(bench, "");
  load_entry(bench, meeting, 0);
  assert_problems(bench, "");
  assert_string_equal(pl_program_source(bench->program)->path, "inbox/x.leaf");
  pl_test_write_text("meet/meeting.leaf",
                     "meeting \"m\" { entry 7 { setup = \"../inbox/x.leaf\" } }\n");
  meeting = load_meeting(bench, NULL, "meet");
  assert_problems(bench, "include-outside"); // by its text, before the disk is asked
  load_entry(bench, meeting, 0);
  assert_problems(bench, "include-outside");
  assert_true(pl_program_unreadable(bench->program));
}

/// A link in the place of an entry's file would hand it another's; one in the place of its
/// folder may stay within the root.
static void path_by_links(struct pl_bench *bench) {
  static const char *const refused[] = {"entries/07/other.leaf", "entries/07/secret.leaf",
                                        "out/secret.leaf", "out/back.leaf"};
  make_meeting("");
  make_link("../12/a.leaf", "meet/entries/07/other.leaf");
  make_link("../../../secret.leaf", "meet/entries/07/secret.leaf");
  make_link("..", "meet/out");
  make_link("meet/entries/07/a.leaf", "back.leaf");
  assert_int_equal(chdir("meet"), 0);
  for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
    pl_test_write_text(
        "meeting.leaf",
        pl_format(bench->arena, "meeting \"m\" { entry 7 { setup = \"%s\" } }\n", refused[i]));
    bench->session = pl_session_new(bench->arena, bench->guard, NULL);
    bench->program = pl_program_load(bench->session, bench->arena, "meeting.leaf");
    const struct pl_meeting *const meeting = pl_program_meeting(bench->program, NULL);
    assert_problems(bench, "");
    load_entry(bench, meeting, 0);
    assert_problems(bench, "include-outside");
    assert_true(pl_program_unreadable(bench->program));
  }
  assert_int_equal(chdir(".."), 0);
  make_link("07", "meet/entries/inbox");
  make_link("a.leaf", "meet/entries/07/link.leaf");
  load_entry(bench, meeting_with_path(bench, "entries/inbox/link.leaf"), 0);
  assert_problems(bench, "");
}

static void paths_that_lead_nowhere(struct pl_bench *bench) {
  static const char *const cases[][2] = {{"entries/07/fifo.leaf", "not-a-plain-file"},
                                         {"entries/07/folder.leaf", "file-is-folder"},
                                         {"entries/07/none.leaf", "no-such-file"},
                                         {"none/a.leaf", "no-such-file"},
                                         {"entries/07/a.leaf/b.leaf", "no-such-file"},
                                         {"entries/07/large.leaf", "file-too-large"},
                                         {"entries/07/loop.leaf", "unreadable"},
                                         {".", "file-is-folder"},
                                         {"entries/07/..", "file-is-folder"}};
  make_meeting("");
  assert_int_equal(mkfifo("meet/entries/07/fifo.leaf", 0600), 0);
  make_folder("meet/entries/07/folder.leaf");
  pl_test_write_text("meet/entries/07/large.leaf", "# large\n");
  assert_int_equal(truncate("meet/entries/07/large.leaf", (off_t)PL_MOST_FILE_BYTES + 1), 0);
  make_link("loop.leaf", "meet/entries/07/loop.leaf");
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const struct pl_meeting *const meeting = meeting_with_path(bench, cases[i][0]);
    struct pl_program *const of_meeting = load_entry(bench, meeting, 0);
    if (strcmp(pl_bench_problems(bench), cases[i][1]) != 0)
      fail_msg("%s: %s", cases[i][0], pl_bench_problems(bench));
    assert_true(pl_program_unreadable(bench->program));
    assert_null(pl_program_source(bench->program));
    bench->program = of_meeting;
    assert_problems(bench, ""); // the file may yet come
  }
}

/// The organiser reads the path that he can follow, at his own line.
static void unreadable_is_told_at_the_path(struct pl_bench *bench) {
  make_meeting("");
  load_entry(bench, meeting_with_path(bench, "entries/../entries/09/none.leaf"), 0);
  assert_string_equal(
      pl_bench_shown(bench),
      "meet/meeting.leaf:1:33: error[no-such-file]: There is no file "
      "`meet/entries/09/none.leaf`.\n"
      "    meeting \"m\" { entry 7 { setup = \"entries/../entries/09/none.leaf\" } "
      "}\n                                    "
      "^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^\n"
      "    look for a slip in the path, which counts from the folder of the file that names the "
      "entry\n");
}

/// What is wrong with one entry's file is in that entry's list alone.
static void mistakes_stay_with_their_entry(struct pl_bench *bench) {
  make_meeting("include \"parts.leaf\"\nsetup \"Wet\" { cambr = -1 deg\n");
  pl_test_write_text("meet/entries/07/parts.leaf", "spring \"own\" { rte = 0.62 N/mm }\n");
  const struct pl_meeting *const meeting = load_meeting(bench, NULL, NULL);
  struct pl_program *const of_meeting = load_entry(bench, meeting, 0);
  assert_problems(bench, "unclosed-brace unknown-key spring-unknown unknown-key");
  bench->program = of_meeting;
  assert_problems(bench, "");
  load_entry(bench, meeting, 1);
  assert_problems(bench, "");
}

// ---------------------------------------------------------------- many

#define MANY 200

/// Entries one after another in one memory: each is forgotten with it, and the session and the
/// meeting keep nothing of it.
static void many_entries(struct pl_bench *bench) {
  make_meeting(
      "include \"parts.leaf\"\ninclude \"springs.leaf\"\ninclude \"../12/parts.leaf\"\n"
      "setup \"Wet\" { front { spring = \"own\" } }\n");
  struct pl_buffer text = {.arena = bench->arena};
  pl_buffer_text(&text, "meeting \"m\" {\n");
  for (int i = 0; i < MANY; i++)
    pl_buffer_format(&text, "entry %d { setup = \"entries/07/%s.leaf\" }\n", i,
                     i % 10 == 9 ? "none" : "a");
  pl_buffer_text(&text, "}\n");
  pl_test_write_text("meet/meeting.leaf", pl_buffer_string(&text));
  const struct pl_meeting *const meeting = load_meeting(bench, "library", NULL);
  struct pl_program *const of_meeting = bench->program;
  assert_problems(bench, "");
  assert_int_equal(meeting->entry_count, MANY);
  bench->spare = pl_arena_new(bench->guard);
  size_t kept = 0;
  size_t used = 0;
  for (size_t i = 0; i < MANY; i++) {
    struct pl_program *const program =
        pl_entry_load(of_meeting, bench->spare, &meeting->entries[i]);
    assert_int_equal(pl_program_problems(program)->count, 1);
    assert_int_equal(pl_program_unreadable(program), i % 10 == 9);
    if (i == 10) used = pl_arena_used(bench->spare);
    if (i > 10 && i % 10 == 0) assert_int_equal(pl_arena_used(bench->spare), used);
    pl_arena_reset(bench->spare);
    // The library and names; and, when it is asked for again, by which path it was found.
    if (i < 2) kept = pl_arena_used(bench->arena);
    assert_int_equal(pl_arena_used(bench->arena), kept);
  }
  assert_problems(bench, "");
}

int main(void) {
  const struct CMUnitTest tests[] = {PL_FOLDER_TEST(own_folder_and_libraries),
                                     PL_FOLDER_TEST(folders_below_its_own),
                                     PL_FOLDER_TEST(nothing_else),
                                     PL_FOLDER_TEST(nothing_by_a_library),
                                     PL_FOLDER_TEST(nothing_by_links),
                                     PL_FOLDER_TEST(nothing_by_absolute_paths),
                                     PL_FOLDER_TEST(path_counts_from_its_file),
                                     PL_FOLDER_TEST(path_within_the_root),
                                     PL_FOLDER_TEST(path_by_links),
                                     PL_FOLDER_TEST(paths_that_lead_nowhere),
                                     PL_FOLDER_TEST(unreadable_is_told_at_the_path),
                                     PL_FOLDER_TEST(mistakes_stay_with_their_entry),
                                     PL_FOLDER_TEST(many_entries)};
  return cmocka_run_group_tests_name("model_entry", tests, NULL, NULL);
}
