// SPDX-License-Identifier: GPL-3.0-or-later
// For the tests of the sheet: an arena for each test, and other people's programs as witnesses.
// Include it after cmocka.h.
#ifndef PITLEAF_TESTS_SHEET_SHELL_H
#define PITLEAF_TESTS_SHEET_SHELL_H

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include "pitleaf/base.h"

/// What a test gets: memory, and a folder that is gone after it.
struct fixture {
  struct pl_guard *guard;
  struct pl_arena *arena;
  char folder[64];
};

static void make_arena(void *context) {
  struct fixture *const fixture = context;
  fixture->arena = pl_arena_new(fixture->guard);
}

static int set_up(void **state) {
  struct fixture *const fixture = calloc(1, sizeof *fixture);
  if (fixture == NULL) return -1;
  fixture->guard = pl_guard_new();
  if (fixture->guard == NULL || !pl_with_memory(fixture->guard, make_arena, fixture)) return -1;
  (void)snprintf(fixture->folder, sizeof fixture->folder, P_tmpdir "/pitleaf-sheet-XXXXXX");
  if (mkdtemp(fixture->folder) == NULL) return -1;
  *state = fixture;
  return 0;
}

/// Runs a shell command in the test's folder. Returns what it wrote to standard output and to
/// standard error; the test fails if the command does.
static const char *run(const struct fixture *fixture, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static const char *run(const struct fixture *fixture, const char *format, ...) {
  char command[4096];
  va_list arguments;
  va_start(arguments, format);
  const int length = vsnprintf(command, sizeof command, format, arguments);
  va_end(arguments);
  assert_in_range(length, 1, sizeof command - 1);
  const char *const whole =
      pl_format(fixture->arena, "cd '%s' && { %s\n} 2>&1", fixture->folder, command);
  FILE *const pipe = popen(whole, "r");
  assert_non_null(pipe);
  struct pl_buffer output = {.arena = fixture->arena};
  char chunk[4096];
  for (size_t got = 0; (got = fread(chunk, 1, sizeof chunk, pipe)) > 0;) {
    pl_buffer_add(&output, chunk, got);
  }
  const int status = pclose(pipe);
  const char *const text = pl_buffer_string(&output);
  if (status != 0) fail_msg("'%s' failed with status %d:\n%s", command, status, text);
  return text;
}

static int tear_down(void **state) {
  struct fixture *const fixture = *state;
  (void)run(fixture, "rm -rf '%s'", fixture->folder);
  pl_arena_free(fixture->arena);
  pl_guard_free(fixture->guard);
  free(fixture);
  return 0;
}

#endif
