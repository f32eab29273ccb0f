// SPDX-License-Identifier: GPL-3.0-or-later
// Faults: every call of a kind fails in turn, in every command that writes something. Whatever
// fails, the program does not fall, its exit status is right, it says why, the file that it was
// to write is the old one or the new one, and nothing else is left, neither in the folder nor
// in memory.
//
// A first run without a fault counts the calls of each kind (faults_preload.c does both). Where
// there are more than a test should take, every k-th fails, k being prime; PITLEAF_FAULTS=all
// takes them all (`make faults`).
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "support.h"

#include "trial.h"

#include <errno.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>

// ---------------------------------------------------------------- commands

static const char untidy[] =
    "setup \"One\" {\nride-height=24 mm # as measured\n  mass = 1.5 kg\n}\n";
static const char untidy_too[] = "setup \"Two\" {\n\n\n   mass = 1.4 kg }\n";

static const struct pl_scene scenes[] = {
    {"check", {"check", "own.leaf"}, {{NULL, NULL}}},
    {"check as JSON", {"check", "own.leaf", "--as", "json"}, {{NULL, NULL}}},
    {"figures", {"figures", "own.leaf"}, {{NULL, NULL}}},
    {"figures as JSON", {"figures", "own.leaf", "--as", "json"}, {{NULL, NULL}}},
    {"drop", {"drop", "whole.leaf"}, {{NULL, NULL}}},
    {"bumps as JSON", {"bump", "whole.leaf", "--as", "json", "--series"}, {{NULL, NULL}}},
    {"drop on paper", {"drop", "whole.leaf", "-o", "out.pdf"}, {{"out.pdf", "old"}}},
    {"sheet", {"sheet", "own.leaf", "-o", "out.pdf"}, {{"out.pdf", "old"}}},
    {"meeting", {"meeting", "meeting.leaf", "-o", "out.pdf"}, {{"out.pdf", "old"}}},
    {"meeting split",
     {"meeting", "meeting.leaf", "--split", "split"},
     {{"split/entry-7.pdf", "old"}, {"split/entry-9.pdf", "old"}}},
    {"tidy",
     {"tidy", "one.leaf", "two.leaf"},
     {{"one.leaf", untidy}, {"two.leaf", untidy_too}}},
    {"scrutineer", {"scrutineer", "rules.leaf", "meeting.leaf"}, {{NULL, NULL}}},
    {"scrutineer as JSON",
     {"scrutineer", "rules.leaf", "meeting.leaf", "--as", "json"},
     {{NULL, NULL}}},
    {"scrutineer on paper",
     {"scrutineer", "rules.leaf", "own.leaf", "-o", "out.pdf"},
     {{"out.pdf", "old"}}},
    {"sweep",
     {"sweep", "own.leaf", "front.oil", "200 cSt .. 300 cSt by 50 cSt", "--figures",
      "oil-viscosity"},
     {{NULL, NULL}}},
    {"sweep on paper",
     {"sweep", "own.leaf", "front.oil [\"thin\", 300 cSt]", "--figures", "oil-viscosity",
      "--as", "pdf", "-o", "out.pdf"},
     {{"out.pdf", "old"}}},
    {"weather as JSON",
     {"weather", "damped.leaf", "--air", "9 degC", "--as", "json"},
     {{NULL, NULL}}},
    {"left and right as CSV",
     {"figures", "damped.leaf", "--matched", "0.02 mm", "--as", "csv"},
     {{NULL, NULL}}},
    {"a tolerance explained",
     {"explain", "damped.leaf", "front.damping-slow-rebound"},
     {{NULL, NULL}}},
    {"choose", {"choose", "box.leaf", "--threads", "1"}, {{NULL, NULL}}},
    {"choose as JSON",
     {"choose", "box.leaf", "--threads", "1", "--as", "json"},
     {{NULL, NULL}}},
    {"certificates",
     {"scrutineer", "rules.leaf", "own.leaf", "--template", "certificate", "-o", "out.pdf"},
     {{"out.pdf", "old"}}},
};

static const char whole_setup[] = "setup \"Self\" {\n  mass = 1.5 kg\n}\n";

static const struct pl_input inputs[] = {
    {"self-meeting.leaf",
     "meeting \"Self\" { entry 1 { driver = \"Ann Example\"; setup = \"self.leaf\" } }\n",
     NULL},
    {"logo.png", NULL, "sheets/sluice-lane/round-3/tideline.png"},
    {"parts.leaf",
     "oil \"thin\" { viscosity = 350 cSt; density = 0.95 g/ml }\n"
     "spring \"soft\" { rate = 0.5 N/mm; free-length = 40 mm }\n",
     NULL},
    {"own.leaf",
     "include \"parts.leaf\"\n"
     "setup \"Wader, dry\" {\n"
     "  driver = \"Ann Example\"\n  mass = 1.5 kg\n  wheelbase = 270 mm\n"
     "  front { spring = \"soft\"; oil = \"thin\"; ride-height = 24 mm; toe = 1 deg }\n"
     "  rear { spring = 0.6 N/mm; oil = 300 cSt; ride-height = 25 mm }\n}\n",
     NULL},
    {"damped.leaf",
     "include \"parts.leaf\"\n"
     "damper \"d\" { bore = 12 mm; shaft = 3.5 mm; extended-length = 80 mm; stroke = 26 mm }\n"
     "setup \"Wader, damped\" { all { damper = \"d\"; oil = \"thin\"; piston = 2 x 1.6 mm +- 0.02 mm } }\n",
     NULL},
    {"box.leaf",
     "include \"damped.leaf\"\noil \"other\" { viscosity = 300 cSt }\n"
     "setup \"Chosen\" from \"Wader, damped\" { }\nbox \"case\" { oils = [\"other\"] }\n"
     "aim { rear.damping-slow-compression = 20 N.s/m +- 1 N.s/m; keep = front }\n",
     NULL},
    {"whole.leaf",
     "damper \"d\" {\n  bore = 12 mm; shaft = 3 mm; stroke = 25 mm; extended-length = 86 mm\n"
     "  compensation = bladder; air-volume = 0.5 ml; oil-volume = 3 ml\n}\n"
     "setup \"Falling\" {\n  mass = 1500 g; front-share = 42 %; air = 20 degC\n"
     "  front { axle-type = beam }\n  rear { axle-type = beam }\n"
     "  all {\n    damper = \"d\"; spring = 0.25 N/mm; oil = 350 cSt; piston = 3 x 1.6 mm\n"
     "    tyre-radius = 42 mm; tyre-rate = 2.5 N/mm; unsprung-mass = 70 g\n"
     "    ride-height = 25 mm; wheel-centre = (100 mm, 17 mm)\n"
     "    shock-top = (70 mm, 90 mm); shock-bottom = (80 mm, 12 mm)\n  }\n}\n",
     NULL},
    {"meeting.leaf",
     "template \"Club sheet\" from \"race sheet\" { logo = \"logo.png\" }\n"
     "meeting \"Winter cup\" {\n  date = 2026-12-05\n  template = \"Club sheet\"\n"
     "  entry 7 { driver = \"Ann Example\"; setup = \"own.leaf\" }\n"
     "  entry 9 { driver = \"Bo Example\" }\n}\n",
     NULL},
    {"rules.leaf",
     "rules \"Club\" {\n  rule \"Weight\" { require = mass >= 1400 g }\n"
     "  rule \"Height\" { for = each corner; require = ride-height >= 5 mm }\n}\n",
     NULL},
};

// ---------------------------------------------------------------- faults

/// What may come of it.
enum promise {
  TELLS,   ///< an exit status and a message
  NOTHING, ///< all is as without it
  ENDS     ///< the signal ends the program
};

struct fault {
  enum pl_fault kind;
  int how;
  bool goes_on;
  enum promise promise;
  const char *name;
};

static const struct fault faults[] = {
    {PL_FAULT_MALLOC, ENOMEM, false, TELLS, "an allocation fails"},
    {PL_FAULT_MALLOC, ENOMEM, true, TELLS, "memory ends"},
    {PL_FAULT_PAGE, ENOMEM, false, TELLS, "memory lacks for a page"},
    {PL_FAULT_PAGE, ENOMEM, true, TELLS, "memory ends within a page"},
    {PL_FAULT_OPEN, EMFILE, false, TELLS, "a file cannot be opened"},
    {PL_FAULT_OPEN, EINTR, false, NOTHING, "opening is interrupted"},
    {PL_FAULT_READ, EIO, false, TELLS, "reading fails"},
    {PL_FAULT_READ, EINTR, false, NOTHING, "reading is interrupted"},
    {PL_FAULT_READ, PL_HALF, false, NOTHING, "a read is short"},
    {PL_FAULT_WRITE, ENOSPC, false, TELLS, "the disk is full"},
    {PL_FAULT_WRITE, EINTR, false, NOTHING, "writing is interrupted"},
    {PL_FAULT_WRITE, PL_HALF, false, NOTHING, "a write is short"},
    {PL_FAULT_WRITE, PL_BY_SIGNAL(SIGTERM), false, ENDS, "TERM comes while writing"},
    {PL_FAULT_WRITE, PL_BY_SIGNAL(SIGINT), false, ENDS, "INT comes while writing"},
    {PL_FAULT_WRITE, PL_BY_SIGNAL(SIGHUP), false, ENDS, "HUP comes while writing"},
    {PL_FAULT_WRITE, PL_BY_SIGNAL(SIGKILL), false, ENDS, "KILL comes while writing"},
    {PL_FAULT_CLOSE, EIO, false, TELLS, "closing fails"},
    {PL_FAULT_CLOSE, EINTR, false, NOTHING, "closing is interrupted"},
    {PL_FAULT_FSYNC, EIO, false, TELLS, "syncing fails"},
    {PL_FAULT_FSYNC, EINTR, false, NOTHING, "syncing is interrupted"},
    {PL_FAULT_FSYNC, PL_BY_SIGNAL(SIGTERM), false, ENDS, "TERM comes while syncing"},
    {PL_FAULT_CHMOD, EPERM, false, TELLS, "permissions cannot be set"},
    {PL_FAULT_MKSTEMP, EACCES, false, TELLS, "no temporary file can be made"},
    {PL_FAULT_RENAME, EACCES, false, TELLS, "renaming fails"},
    {PL_FAULT_RENAME, PL_BY_SIGNAL(SIGTERM), false, ENDS, "TERM comes before renaming"},
    {PL_FAULT_MKDIR, ENOSPC, false, TELLS, "no folder can be made"},
    {PL_FAULT_STAT, EIO, false, TELLS, "a file cannot be looked at"},
    {PL_FAULT_ACCESS, EIO, false, TELLS, "access cannot be asked"},
    {PL_FAULT_REALPATH, EIO, false, TELLS, "a path cannot be followed"},
    {PL_FAULT_PRINT, ENOSPC, false, TELLS, "standard output is full"},
    {PL_FAULT_PRINT, ENOSPC, true, TELLS, "standard output stays full"},

};

/// How many calls of a case fail unless all do: a sanitized process takes fifty times as long.
#ifdef __SANITIZE_ADDRESS__
#define SAMPLE 1
#else
#define SAMPLE 6
#endif

// ---------------------------------------------------------------- what is wrong with a run

/// What is found over all the runs of a case.
struct tally {
  size_t runs;
  size_t crashes;
  size_t wrong_statuses;
  size_t unclear;
  size_t damaged;
  size_t left;
  size_t leaks;
};

/// A whole PDF file: its end says where its table of objects is.
static bool is_whole_pdf(struct pl_bytes text) {
  if (text.length < 32 || memcmp(text.bytes, "%PDF-", 5) != 0 ||
      memcmp(text.bytes + text.length - 6, "%%EOF\n", 6) != 0)
    return false;
  const char *const end = text.bytes + text.length - 32;
  const char *at = NULL;
  for (const char *next = end; next + 9 < text.bytes + text.length; next++)
    if (memcmp(next, "startxref", 9) == 0) at = next + 9;
  const unsigned long table = at == NULL ? 0 : strtoul(at, NULL, 10);
  return table + 4 < text.length && memcmp(text.bytes + table, "xref", 4) == 0;
}

/// Is each file the old one or the new one? Where an entry's file cannot be read, its page says
/// so, and the packet is another one, but whole.
static bool files_are_whole(const struct pl_scene *scene, const struct pl_trial *reference,
                            const struct pl_trial *result, bool with_old) {
  for (size_t i = 0; i < PL_OUTPUT_LIMIT && scene->outputs[i].name != NULL; i++) {
    const struct pl_output *const output = &scene->outputs[i];
    const bool is_there = with_old || strcmp(output->before, "old") != 0;
    const struct pl_bytes now = result->outputs[i];
    const bool is_old = is_there ? now.bytes != NULL && now.length == strlen(output->before) &&
                                       memcmp(now.bytes, output->before, now.length) == 0
                                 : now.bytes == NULL;
    const bool is_other_packet = WIFEXITED(result->status) &&
                                 WEXITSTATUS(result->status) == 1 && now.bytes != NULL &&
                                 is_whole_pdf(now);
    if (!is_old && !pl_same_bytes(now, reference->outputs[i]) && !is_other_packet) return false;
  }
  return true;
}

static bool is_as_without(const struct pl_scene *scene, const struct pl_trial *reference,
                          const struct pl_trial *result) {
  bool same =
      pl_same_bytes(reference->out, result->out) && pl_same_bytes(reference->err, result->err);
  for (size_t i = 0; i < PL_OUTPUT_LIMIT && scene->outputs[i].name != NULL; i++)
    same = same && pl_same_bytes(reference->outputs[i], result->outputs[i]);
  return same;
}

static bool is_crash(const struct pl_trial *result, const struct fault *fault) {
  if (WIFSIGNALED(result->status))
    return fault->promise != ENDS || WTERMSIG(result->status) != -100 - fault->how;
  return !WIFEXITED(result->status) || WEXITSTATUS(result->status) > 2;
}

static bool says(const struct pl_trial *result, const char *words) {
  return strstr(result->err.bytes, words) != NULL || strstr(result->out.bytes, words) != NULL;
}

/// The message says why: that memory ran out, or what the system said. As JSON, problems are
/// among the output.
static bool is_clear(const struct pl_trial *result, const struct fault *fault) {
  return says(result, strerror(fault->how)) ||
         ((fault->kind == PL_FAULT_MALLOC || fault->kind == PL_FAULT_PAGE) &&
          says(result, "not enough memory"));
}

/// Tells what is wrong, with the order by which it can be seen again.
static void blame(size_t *count, const char *what, const struct pl_scene *scene,
                  const char *order, const struct pl_trial *result) {
  if ((*count)++ >= 3) return;
  const int status = result->status;
  print_message("# %s: PITLEAF_FAULT=\"%s\": %s (%s %d)\n", scene->name, order, what,
                WIFSIGNALED(status) ? "signal" : "status",
                WIFSIGNALED(status) ? WTERMSIG(status) : WEXITSTATUS(status));
  for (const char *line = result->err.bytes; *line != '\0';) {
    const size_t length = strcspn(line, "\n");
    print_message("#     %.*s\n", (int)length, line);
    line += length + (line[length] == '\n' ? 1 : 0);
  }
}

/// Is more memory left than without the fault? The sanitizer takes some functions of the C
/// library upon itself and has a leak checker of its own.
static bool leaks(const struct pl_trial *reference, const struct pl_trial *result) {
#ifdef __SANITIZE_ADDRESS__
  (void)reference;
  (void)result;
  return false;
#else
  return result->blocks > reference->blocks;
#endif
}

static void judge(const struct pl_scene *scene, const struct fault *fault,
                  const struct pl_trial *reference, const struct pl_trial *result,
                  const char *order, bool with_old, struct tally *tally) {
  tally->runs++;
  if (is_crash(result, fault)) {
    blame(&tally->crashes, "it fell", scene, order, result);
  } else if (WIFEXITED(result->status) && fault->promise == ENDS) {
    blame(&tally->wrong_statuses, "the signal is lost", scene, order, result);
  } else if (WIFEXITED(result->status)) {
    const bool same = is_as_without(scene, reference, result);
    const bool fine = WEXITSTATUS(result->status) == 0;
    if (fine != same || (fault->promise == NOTHING && !fine))
      blame(&tally->wrong_statuses, "the exit status is wrong", scene, order, result);
    else if (!fine && !is_clear(result, fault))
      blame(&tally->unclear, "it does not say why", scene, order, result);
    if (leaks(reference, result)) blame(&tally->leaks, "memory leaks", scene, order, result);
  }
  if (!files_are_whole(scene, reference, result, with_old))
    blame(&tally->damaged, "a file is damaged", scene, order, result);
  // What KILL leaves, nobody can take away.
  if (pl_trial_left(scene) && fault->how != PL_BY_SIGNAL(SIGKILL))
    blame(&tally->left, "a file is left", scene, order, result);
}

// ---------------------------------------------------------------- every call in turn

static bool is_prime(long number) {
  for (long i = 2; i * i <= number; i++)
    if (number % i == 0) return false;
  return true;
}

/// The step by which so many calls are gone through. A page has one that no sample should miss.
static long step_for(enum pl_fault kind, long calls) {
  const char *const wanted = getenv("PITLEAF_FAULTS");
  if (calls <= SAMPLE || (kind == PL_FAULT_PAGE && SAMPLE > 1) ||
      (wanted != NULL && strcmp(wanted, "all") == 0))
    return 1;
  long step = calls / SAMPLE + 1;
  while (!is_prime(step)) step++;
  return step;
}

/// The call to fail next. At the end, where a command tells what it did, all do.
static long next_call(long call, long step, long calls) {
  const long last = calls - SAMPLE;
  if (call >= last) return call + 1;
  return call + step < last ? call + step : last;
}

/// A case: a command, what fails in it, and what comes of it when nothing does.
struct faulty {
  const struct pl_scene *scene;
  const struct fault *fault;
  const struct pl_trial *reference;
  char name[96];
};

static void fail_in_turn(void **state) {
  const struct faulty *const faulty = *state;
  const struct pl_scene *const scene = faulty->scene;
  const struct fault *const fault = faulty->fault;
  const long calls = faulty->reference->calls[fault->kind];
  const long step = step_for(fault->kind, calls);
  struct tally tally = {0};
  for (long call = step / 2 + 1; call <= calls; call = next_call(call, step, calls)) {
    char order[64];
    struct pl_trial result;
    // A folder is only made where there is none.
    const bool with_old = fault->kind != PL_FAULT_MKDIR && call % 2 == 1;
    (void)snprintf(order, sizeof order, "%s %ld %d%s", pl_fault_names[fault->kind], call,
                   fault->how, fault->goes_on ? " on" : "");
    pl_trial_run(scene, order, with_old, &result);
    judge(scene, fault, faulty->reference, &result, order, with_old, &tally);
    pl_trial_free(&result);
  }
  print_message("# %s: %zu of %ld; %zu crashes, %zu wrong statuses, %zu unclear, %zu damaged, "
                "%zu left files, %zu leaks\n",
                faulty->name, tally.runs, calls, tally.crashes, tally.wrong_statuses,
                tally.unclear, tally.damaged, tally.left, tally.leaks);
  assert_int_equal(tally.crashes + tally.wrong_statuses + tally.unclear + tally.damaged +
                       tally.left + tally.leaks,
                   0);
}

// ---------------------------------------------------------------- sources

/// Commands that are to write over what they read.
static const struct pl_scene over_sources[] = {
    {"sheet", {"sheet", "self.leaf", "-o", "self.leaf"}, {{"self.leaf", whole_setup}}},
    {"meeting",
     {"meeting", "self-meeting.leaf", "-o", "self.leaf"},
     {{"self.leaf", whole_setup}}},
    {"list",
     {"scrutineer", "rules.leaf", "self.leaf", "-o", "self.leaf"},
     {{"self.leaf", whole_setup}}},
    {"sheet of another name", {"sheet", "self", "-o", "self"}, {{"self", whole_setup}}},
};

/// None does, whatever the system does not tell.
static void sources_stay(void **state) {
  static const enum pl_fault kinds[] = {PL_FAULT_STAT, PL_FAULT_OPEN, PL_FAULT_READ,
                                        PL_FAULT_REALPATH, PL_FAULT_ACCESS};
  (void)state;
  for (size_t i = 0; i < sizeof over_sources / sizeof over_sources[0]; i++) {
    const struct pl_scene *const scene = &over_sources[i];
    struct pl_trial reference;
    pl_trial_run(scene, "malloc 0 0", true, &reference);
    assert_int_equal(WEXITSTATUS(reference.status), 2);
    for (size_t j = 0; j < sizeof kinds / sizeof kinds[0]; j++) {
      for (long call = 1; call <= reference.calls[kinds[j]]; call++) {
        char order[64];
        struct pl_trial trial;
        (void)snprintf(order, sizeof order, "%s %ld %d", pl_fault_names[kinds[j]], call, EIO);
        pl_trial_run(scene, order, true, &trial);
        if (!WIFEXITED(trial.status) || WEXITSTATUS(trial.status) == 0 ||
            strcmp(trial.outputs[0].bytes, whole_setup) != 0)
          fail_msg("%s, %s: %s", scene->name, order, trial.err.bytes);
        pl_trial_free(&trial);
      }
    }
    pl_trial_free(&reference);
  }
}

// ---------------------------------------------------------------- running

#define SCENE_COUNT (sizeof scenes / sizeof scenes[0])
#define FAULT_COUNT (sizeof faults / sizeof faults[0])

/// Was memory counted? What the sanitizer takes over may be given back where it was not seen to
/// be handed out, so that only without it the number says more.
static bool knows_blocks(const struct pl_trial *trial) {
#ifdef __SANITIZE_ADDRESS__
  return trial->blocks != LONG_MIN;
#else
  return trial->blocks >= 0;
#endif
}

/// What each command does without a fault. False if one does not do its work.
static bool count_calls(struct pl_trial references[SCENE_COUNT]) {
  for (size_t i = 0; i < SCENE_COUNT; i++) {
    struct pl_trial printing;
    struct pl_trial making;
    pl_trial_run(&scenes[i], "print 0 0", true, &printing);
    pl_trial_run(&scenes[i], "malloc 0 0", false, &making);
    pl_trial_run(&scenes[i], "malloc 0 0", true, &references[i]);
    references[i].calls[PL_FAULT_PRINT] = printing.calls[PL_FAULT_PRINT];
    references[i].calls[PL_FAULT_MKDIR] = making.calls[PL_FAULT_MKDIR];
    pl_trial_free(&printing);
    pl_trial_free(&making);
    if (references[i].status == 0 && knows_blocks(&references[i])) continue;
    print_error("without a fault: %s: %s", scenes[i].name, references[i].err.bytes);
    return false;
  }
  return true;
}

/// Does a call of every kind that is to fail happen in one command at least?
static void every_kind_is_called(void **state) {
  const struct pl_trial *const references = *state;
  for (size_t i = 0; i < FAULT_COUNT; i++) {
    long calls = 0;
    for (size_t j = 0; j < SCENE_COUNT; j++) calls += references[j].calls[faults[i].kind];
    if (calls == 0) fail_msg("no command calls %s", pl_fault_names[faults[i].kind]);
  }
}

int main(void) {
  static struct pl_trial references[SCENE_COUNT];
  static struct faulty all[SCENE_COUNT * FAULT_COUNT];
  static struct CMUnitTest tests[SCENE_COUNT * FAULT_COUNT + 2];
  const char *const only = getenv("PITLEAF_FAULT_TESTS");
  if (!pl_trials_begin(inputs, sizeof inputs / sizeof inputs[0]) || !count_calls(references))
    return 1;
  size_t count = 0;
  tests[count++] =
      (struct CMUnitTest){"every kind is called", every_kind_is_called, NULL, NULL, references};
  tests[count++] = (struct CMUnitTest)cmocka_unit_test(sources_stay);
  for (size_t i = 0; i < SCENE_COUNT * FAULT_COUNT; i++) {
    struct faulty *const one = &all[i];
    one->scene = &scenes[i / FAULT_COUNT];
    one->fault = &faults[i % FAULT_COUNT];
    one->reference = &references[i / FAULT_COUNT];
    (void)snprintf(one->name, sizeof one->name, "%s: %s", one->scene->name, one->fault->name);
    if (one->reference->calls[one->fault->kind] == 0) continue;
    if (only != NULL && strstr(one->name, only) == NULL) continue;
    tests[count++] = (struct CMUnitTest){one->name, fail_in_turn, NULL, NULL, one};
  }
  const int failed = _cmocka_run_group_tests("limits, faults", tests, count, NULL, NULL);
  for (size_t i = 0; i < SCENE_COUNT; i++) pl_trial_free(&references[i]);
  return pl_trials_end() ? failed : 1;
}
