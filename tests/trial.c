// SPDX-License-Identifier: GPL-3.0-or-later
// Trials: runs of the program in which a call fails, and what came of each.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "trial.h"

#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

void pl_trial_free(struct pl_trial *trial) {
  free(trial->out.bytes);
  free(trial->err.bytes);
  for (size_t i = 0; i < PL_OUTPUT_LIMIT; i++) free(trial->outputs[i].bytes);
}

static struct pl_bytes read_text(const char *path) {
  struct pl_bytes text = {NULL, 0};
  FILE *const file = fopen(path, "rb");
  if (file == NULL) return text;
  struct stat facts;
  if (fstat(fileno(file), &facts) != 0) fail_msg("%s cannot be read", path);
  text.bytes = malloc((size_t)facts.st_size + 1);
  assert_non_null(text.bytes);
  text.length = fread(text.bytes, 1, (size_t)facts.st_size, file);
  text.bytes[text.length] = '\0';
  (void)fclose(file);
  return text;
}

bool pl_same_bytes(struct pl_bytes one, struct pl_bytes other) {
  if (one.bytes == NULL || other.bytes == NULL) return one.bytes == other.bytes;
  return one.length == other.length && memcmp(one.bytes, other.bytes, one.length) == 0;
}

/// What commands only read.
static const struct pl_input *inputs;
static size_t input_count;

/// The object that makes the faults stands beside this program.
static char preload[4200];

static void set_scene(const struct pl_scene *scene, bool with_old) {
  for (size_t i = 0; i < PL_OUTPUT_LIMIT && scene->outputs[i].name != NULL; i++) {
    const struct pl_output *const output = &scene->outputs[i];
    (void)unlink(output->name);
    (void)rmdir("split");
    if (with_old || strcmp(output->before, "old") != 0) {
      if (strncmp(output->name, "split/", 6) == 0) (void)mkdir("split", 0777);
      pl_test_write_text(output->name, output->before);
    }
  }
}

/// In the child: takes the streams' places and becomes the program.
_Noreturn static void become_program(const struct pl_scene *scene, const char *order) {
  const struct rlimit none = {0, 0};
  char *arguments[16] = {NULL};
  arguments[0] = getenv("PITLEAF_PROGRAM");
  for (size_t i = 0; scene->arguments[i] != NULL; i++)
    memcpy(&arguments[i + 1], &scene->arguments[i], sizeof arguments[0]); // it writes none
  if (arguments[0] == NULL || freopen("/dev/null", "r", stdin) == NULL ||
      freopen("../out", "w", stdout) == NULL || freopen("../err", "w", stderr) == NULL)
    _exit(125);
  // Whoever runs the tests may ignore some, as a shell does for what runs in the background.
  static const int signals[] = {SIGHUP, SIGINT, SIGTERM, SIGPIPE};
  for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++)
    (void)signal(signals[i], SIG_DFL);
  (void)setrlimit(RLIMIT_CORE, &none);
  (void)alarm(60);
  (void)setenv("LD_PRELOAD", preload, 1);
  (void)setenv("PITLEAF_FAULT", order, 1);
  (void)setenv("PITLEAF_FAULT_REPORT", "../report", 1);
  (void)setenv("ASAN_OPTIONS",
               "verify_asan_link_order=0:allocator_may_return_null=1:exitcode=99", 1);
  (void)execv(arguments[0], arguments);
  _exit(126);
}

static void read_report(struct pl_trial *trial) {
  trial->blocks = LONG_MIN;
  FILE *const file = fopen("../report", "r");
  if (file == NULL) return;
  char name[32];
  long count = 0;
  while (fscanf(file, "%31s %ld", name, &count) == 2) {
    if (strcmp(name, "blocks") == 0) trial->blocks = count;
    for (int kind = 0; kind < PL_FAULT_COUNT; kind++)
      if (strcmp(name, pl_fault_names[kind]) == 0) trial->calls[kind] = count;
  }
  (void)fclose(file);
}

static bool is_known(const struct pl_scene *scene, const char *path) {
  for (size_t i = 0; i < input_count; i++)
    if (strcmp(path + 2, inputs[i].name) == 0) return true;
  for (size_t i = 0; i < PL_OUTPUT_LIMIT && scene->outputs[i].name != NULL; i++)
    if (strcmp(path + 2, scene->outputs[i].name) == 0) return true;
  return false;
}

bool pl_trial_left(const struct pl_scene *scene) {
  struct pl_test_names names = pl_test_names_below(".", "");
  bool left = false;
  for (size_t i = 0; i < names.count; i++) {
    if (is_known(scene, names.names[i])) continue;
    left = true;
    (void)unlink(names.names[i]);
  }
  pl_test_names_free(&names);
  return left;
}

void pl_trial_run(const struct pl_scene *scene, const char *order, bool with_old,
                  struct pl_trial *trial) {
  *trial = (struct pl_trial){.blocks = LONG_MIN};
  (void)pl_trial_left(scene); // another scene's
  set_scene(scene, with_old);
  (void)unlink("../report");
  const pid_t child = fork();
  if (child == 0) become_program(scene, order);
  assert_true(child > 0);
  assert_int_equal(waitpid(child, &trial->status, 0), child);
  trial->out = read_text("../out");
  trial->err = read_text("../err");
  read_report(trial);
  for (size_t i = 0; i < PL_OUTPUT_LIMIT && scene->outputs[i].name != NULL; i++)
    trial->outputs[i] = read_text(scene->outputs[i].name);
}

// ---------------------------------------------------------------- the folder

static char folder[] = P_tmpdir "/pitleaf-faults-XXXXXX";

static bool put_input(const struct pl_input *input) {
  if (input->text != NULL) {
    pl_test_write_text(input->name, input->text);
    return true;
  }
  char path[4200];
  (void)snprintf(path, sizeof path, "%s/%s", pl_test_root(), input->from);
  const struct pl_bytes bytes = read_text(path);
  if (bytes.bytes == NULL) return false;
  pl_test_write(input->name, bytes.bytes, bytes.length);
  free(bytes.bytes);
  return true;
}

bool pl_trials_begin(const struct pl_input *all, size_t count) {
  const char *const program = getenv("PITLEAF_PROGRAM");
  if (program == NULL || mkdtemp(folder) == NULL || chdir(folder) != 0 ||
      mkdir("work", 0777) != 0 || chdir("work") != 0)
    return false;
  inputs = all;
  input_count = count;
  for (size_t i = 0; i < count; i++) {
    if (!put_input(&all[i])) return false;
  }
  const char *const slash = strrchr(program, '/');
  (void)snprintf(preload, sizeof preload, "%.*s/tests/limits/faults.so",
                 slash == NULL ? 1 : (int)(slash - program), slash == NULL ? "." : program);
  return access(preload, R_OK) == 0;
}

bool pl_trials_end(void) {
  static const char *const others[] = {"out", "err", "report"};
  struct pl_test_names names = pl_test_names_below(".", "");
  for (size_t i = 0; i < names.count; i++) (void)unlink(names.names[i]);
  pl_test_names_free(&names);
  (void)rmdir("split");
  if (chdir("..") != 0) return false;
  for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) (void)unlink(others[i]);
  return rmdir("work") == 0 && chdir("/") == 0 && rmdir(folder) == 0;
}
