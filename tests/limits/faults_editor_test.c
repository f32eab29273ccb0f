// SPDX-License-Identifier: GPL-3.0-or-later
// Faults of memory in the language server: every allocation fails in turn while one message is
// worked on. The client's request is answered as ever, or by an error; the server goes on as if
// nothing had been, or says that another has to take its place, which is then brought to where
// it was; and nothing leaks.
//
// The program runs itself a second time with faults_preload.c before its libraries.
// For RTLD_DEFAULT. NOLINTNEXTLINE(*-reserved-identifier,*-identifier-naming)
#define _GNU_SOURCE
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/editor.h"

#include "faults.h"

#include <dlfcn.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

// ---------------------------------------------------------------- what is said

#define URI      "\"uri\":\"file:///nowhere/at/all/own.leaf\""
#define DOCUMENT "\"textDocument\":{" URI "}"

static const char *const beginning[] = {
    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"initialize\",\"params\":{\"rootUri\":null,"
    "\"initializationOptions\":{\"libraries\":[\"/nowhere/one\",\"/nowhere/two\"]}}}",
    "{\"jsonrpc\":\"2.0\",\"method\":\"initialized\",\"params\":{}}",
    "{\"jsonrpc\":\"2.0\",\"method\":\"textDocument/didOpen\",\"params\":{\"textDocument\":{" URI
    ",\"languageId\":\"pitleaf\",\"version\":1,\"text\":\""
    "spring \\\"soft\\\" { rate = 0.5 N/mm; free-length = 40 mm }\\n"
    "setup \\\"Wader\\\" {\\n  mass = 1.5 kg\\n  wheelbase=270 mm\\n"
    "  front { spring = \\\"soft\\\"; ride-heigth = 24 mm; camber = -1,5 deg }\\n}\\n\"}}}",
};

/// Each of them is worked on where memory ends.
static const struct {
  const char *name;
  const char *message;
} messages[] = {
    {"didChange",
     "{\"jsonrpc\":\"2.0\",\"method\":\"textDocument/didChange\",\"params\":{\"textDocument\":{" URI
     ",\"version\":2},\"contentChanges\":[{\"range\":{\"start\":{\"line\":2,\"character\":9},"
     "\"end\":{\"line\":2,\"character\":12}},\"text\":\"1.4\"},{\"range\":{\"start\":{\"line\":1,"
     "\"character\":7},\"end\":{\"line\":1,\"character\":12}},\"text\":\"Dunlin\"}]}}"},
    {"didOpen",
     "{\"jsonrpc\":\"2.0\",\"method\":\"textDocument/didOpen\",\"params\":{\"textDocument\":{"
     "\"uri\":\"file:///nowhere/at/all/other.leaf\",\"languageId\":\"pitleaf\",\"version\":1,"
     "\"text\":\"oil \\\"thin\\\" { viscosity = 350 cSt }\\n\"}}}"},
    {"didClose",
     "{\"jsonrpc\":\"2.0\",\"method\":\"textDocument/didClose\",\"params\":{" DOCUMENT "}}"},
    {"completion",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/completion\",\"params\":{" DOCUMENT
     ",\"position\":{\"line\":4,\"character\":10}}}"},
    {"hover",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/hover\",\"params\":{" DOCUMENT
     ",\"position\":{\"line\":4,\"character\":11}}}"},
    {"symbols",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/documentSymbol\",\"params\":{" DOCUMENT
     "}}"},
    {"tokens",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/semanticTokens/full\",\"params\":{" DOCUMENT
     "}}"},
    {"actions",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/codeAction\",\"params\":{" DOCUMENT
     ",\"range\":{\"start\":{\"line\":0,\"character\":0},\"end\":{\"line\":6,\"character\":0}}}}"},
    {"references",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/references\",\"params\":{" DOCUMENT
     ",\"position\":{\"line\":0,\"character\":9},\"context\":{\"includeDeclaration\":true}}}"},
    {"hints",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/inlayHint\",\"params\":{" DOCUMENT
     ",\"range\":{\"start\":{\"line\":0,\"character\":0},\"end\":{\"line\":6,\"character\":0}}}}"},
    {"folds",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/foldingRange\",\"params\":{" DOCUMENT
     "}}"},
    {"rename",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/rename\",\"params\":{" DOCUMENT
     ",\"position\":{\"line\":0,\"character\":9},\"newName\":\"hard\"}}"},
    {"formatting",
     "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"textDocument/formatting\",\"params\":{" DOCUMENT
     ",\"options\":{\"tabSize\":2,\"insertSpaces\":true}}}"},
};

#define MESSAGE_COUNT (sizeof messages / sizeof messages[0])

/// What is asked afterwards, to see what the server knows.
static const char *const probes[] = {
    "{\"jsonrpc\":\"2.0\",\"id\":8,\"method\":\"textDocument/documentSymbol\",\"params\":{" DOCUMENT
    "}}",
    "{\"jsonrpc\":\"2.0\",\"id\":9,\"method\":\"textDocument/hover\",\"params\":{" DOCUMENT
    ",\"position\":{\"line\":2,\"character\":3}}}",
    ("{\"jsonrpc\":\"2.0\",\"id\":10,\"method\":\"textDocument/documentSymbol\",\"params\":{"
     "\"textDocument\":{\"uri\":\"file:///nowhere/at/all/other.leaf\"}}}"),
};

// ---------------------------------------------------------------- servers

/// The faults: what faults.h tells of, found in the object that is loaded first.
static void (*order_fault)(const char *order);
static long (*calls_since)(enum pl_fault kind);
static long (*blocks_out)(void);

/// Fails unless all is given back that was handed out since. The sanitizer takes some functions
/// of the C library upon itself and has a leak checker of its own.
static void assert_none_leaks(long before, const char *order) {
#ifndef __SANITIZE_ADDRESS__
  if (blocks_out() != before) fail_msg("%s: %ld blocks leak", order, blocks_out() - before);
#else
  (void)before;
  (void)order;
#endif
}

/// What servers said; no memory is asked for to keep it.
static char said[1 << 18];
static size_t said_length;

static void hear(void *context, const char *text, size_t length) {
  (void)context;
  if (length + 1 >= sizeof said - said_length) return;
  memcpy(said + said_length, text, length);
  said_length += length;
  said[said_length++] = '\n';
  said[said_length] = '\0';
}

static void forget_said(void) {
  said_length = 0;
  said[0] = '\0';
}

static bool tell(struct pl_editor *editor, const char *message) {
  return pl_editor_take(editor, message, strlen(message));
}

static struct pl_editor *server(void) {
  static const struct pl_editor_options options = {.version = "test", .send = hear};
  return pl_editor_new(&options);
}

static struct pl_editor *begun_server(void) {
  struct pl_editor *const editor = server();
  assert_non_null(editor);
  for (size_t i = 0; i < sizeof beginning / sizeof beginning[0]; i++)
    assert_true(tell(editor, beginning[i]));
  pl_editor_idle(editor);
  return editor;
}

/// Does the one that keeps watch follow?
static bool follow(struct pl_editor *editor, const char *message) {
  bool is_known = false;
  const bool followed = pl_editor_follow(editor, message, strlen(message), &is_known);
  if (followed) assert_true(is_known);
  return followed;
}

static void tell_again(void *context, const char *text, size_t length) {
  assert_true(pl_editor_take(context, text, length));
}

/// A server in the place of one that knows nothing any more, by one that followed.
static struct pl_editor *replaced(struct pl_editor *editor, const char *message) {
  pl_editor_free(editor);
  struct pl_editor *const seen = server();
  struct pl_editor *const other = server();
  assert_non_null(seen);
  assert_non_null(other);
  for (size_t i = 0; i < sizeof beginning / sizeof beginning[0]; i++)
    assert_true(follow(seen, beginning[i]));
  assert_true(follow(seen, message));
  assert_true(pl_editor_replay(seen, tell_again, other));
  pl_editor_free(seen);
  return other;
}

// ---------------------------------------------------------------- one message

/// What a fault makes of it.
static char answer_before[sizeof said];
static char probes_before[sizeof said];

static void probe(struct pl_editor *editor) {
  forget_said();
  for (size_t i = 0; i < sizeof probes / sizeof probes[0]; i++)
    assert_true(tell(editor, probes[i]));
}

/// How many allocations fail one by one, those of reading a message for the most part, and the
/// step from there on, unless all do. Sanitized, each takes fifty times as long.
#ifdef __SANITIZE_ADDRESS__
#define FIRST 20
#define STEP  29
#else
#define FIRST 100
#define STEP  7
#endif

/// Works on the message under a fault, and looks at what came of it. False when it was over
/// before the fault came.
static bool survives(const char *message, const char *order, long call) {
  const bool is_request = strstr(message, "\"id\":") != NULL;
  const long before = blocks_out();
  struct pl_editor *editor = begun_server();
  forget_said();
  order_fault(order);
  const bool is_dealt_with = tell(editor, message);
  pl_editor_idle(editor);
  const bool came = calls_since(PL_FAULT_MALLOC) >= call;
  order_fault("malloc 0 0");
  if (is_dealt_with && is_request && strcmp(said, answer_before) != 0 &&
      strstr(said, "There is not enough memory.") == NULL)
    fail_msg("%s: the answer is %s", order, said);
  if (!is_dealt_with) editor = replaced(editor, message);
  probe(editor);
  if (strcmp(said, probes_before) != 0) fail_msg("%s: afterwards it says %s", order, said);
  pl_editor_free(editor);
  assert_none_leaks(before, order);
  return came;
}

static void message_survives(void **state) {
  const char *const message = messages[*(const size_t *)*state].message;
  struct pl_editor *const editor = begun_server();
  forget_said();
  assert_true(tell(editor, message));
  pl_editor_idle(editor);
  memcpy(answer_before, said, said_length + 1);
  if (strstr(message, "\"id\":") != NULL && strstr(said, "\"result\":") == NULL)
    fail_msg("there is no answer but %s", said);
  probe(editor);
  memcpy(probes_before, said, said_length + 1);
  pl_editor_free(editor);
  const char *const wanted = getenv("PITLEAF_FAULTS");
  const bool all = wanted != NULL && strcmp(wanted, "all") == 0;
  long faults = 0;
  for (int goes_on = 0; goes_on < 2; goes_on++) {
    char order[64];
    bool came = true;
    for (long call = 1; came; call += all || call < FIRST ? 1 : STEP) {
      (void)snprintf(order, sizeof order, "malloc %ld 12%s", call, goes_on ? " on" : "");
      came = survives(message, order, call);
      faults += came ? 1 : 0;
    }
  }
  print_message("# %ld allocations failed\n", faults);
  assert_true(faults > 0);
}

// ---------------------------------------------------------------- the beginning

/// A server that cannot be made is none, and nothing of it stays.
static void beginning_survives(void **state) {
  (void)state;
  const long before = blocks_out();
  bool came = true;
  for (long call = 1; came; call++) {
    char order[64];
    (void)snprintf(order, sizeof order, "malloc %ld 12", call);
    order_fault(order);
    struct pl_editor *editor = server();
    bool is_whole = editor != NULL;
    for (size_t i = 0; is_whole && i < sizeof beginning / sizeof beginning[0]; i++)
      is_whole = tell(editor, beginning[i]);
    came = calls_since(PL_FAULT_MALLOC) >= call;
    order_fault("malloc 0 0");
    pl_editor_free(editor);
    assert_none_leaks(before, order);
  }
}

/// The one that keeps watch notices when it could not follow.
static void following_survives(void **state) {
  (void)state;
  const long before = blocks_out();
  const char *const change = messages[0].message;
  struct pl_editor *const other = begun_server();
  assert_true(tell(other, change));
  probe(other);
  memcpy(probes_before, said, said_length + 1);
  pl_editor_free(other);
  bool came = true;
  for (long call = 1; came; call++) {
    char order[64];
    struct pl_editor *const seen = server();
    struct pl_editor *const made = server();
    for (size_t i = 0; i < sizeof beginning / sizeof beginning[0]; i++)
      assert_true(follow(seen, beginning[i]));
    (void)snprintf(order, sizeof order, "malloc %ld 12", call);
    order_fault(order);
    const bool followed = follow(seen, change);
    came = calls_since(PL_FAULT_MALLOC) >= call;
    order_fault("malloc 0 0");
    if (followed) {
      assert_true(pl_editor_replay(seen, tell_again, made));
      probe(made);
      assert_string_equal(said, probes_before);
    } else {
      assert_true(came);
    }
    pl_editor_free(made);
    pl_editor_free(seen);
    assert_none_leaks(before, order);
  }
}

/// A keeper of a document that was given up, with its next text.
static struct pl_editor *behind(const char *change) {
  struct pl_editor *const seen = server();
  bool is_known = true;
  assert_non_null(seen);
  for (size_t i = 0; i < sizeof beginning / sizeof beginning[0]; i++)
    assert_true(follow(seen, beginning[i]));
  pl_editor_give_up(seen, change, strlen(change));
  // While it is given up, a server that takes over is told of the others only.
  forget_said();
  assert_true(pl_editor_replay(seen, hear, NULL));
  assert_null(strstr(said, "didOpen"));
  assert_true(pl_editor_follow(seen, change, strlen(change), &is_known));
  assert_false(is_known);
  return seen;
}

/// Does the keeper still have to tell the server of a document?
static bool is_behind(struct pl_editor *seen) {
  bool is_known = true;
  assert_true(pl_editor_follow(seen, "{}", 2, &is_known));
  return !is_known;
}

/// A document over which a server fell comes back with its next text, also where memory did not
/// suffice the first time.
static void given_up_document_comes_back(void **state) {
  (void)state;
  const long before = blocks_out();
  bool came = true;
  for (long call = 1; came; call++) {
    char order[64];
    struct pl_editor *const seen = behind(messages[0].message);
    (void)snprintf(order, sizeof order, "malloc %ld 12", call);
    forget_said();
    order_fault(order);
    const bool is_told = pl_editor_catch_up(seen, hear, NULL);
    came = calls_since(PL_FAULT_MALLOC) >= call;
    order_fault("malloc 0 0");
    if (is_told == is_behind(seen)) fail_msg("%s: it is lost", order);
    if (!is_told) assert_true(pl_editor_catch_up(seen, hear, NULL));
    assert_non_null(strstr(said, "Dunlin"));
    assert_false(is_behind(seen));
    pl_editor_free(seen);
    assert_none_leaks(before, order);
  }
}

/// A request is refused, or it is known that it is not.
static void refusing_survives(void **state) {
  (void)state;
  static const char request[] = "{\"jsonrpc\":\"2.0\",\"id\":7,\"method\":\"shutdown\"}";
  const long before = blocks_out();
  bool came = true;
  for (long call = 1; came; call++) {
    char order[64];
    struct pl_editor *const seen = server();
    assert_non_null(seen);
    (void)snprintf(order, sizeof order, "malloc %ld 12", call);
    forget_said();
    order_fault(order);
    const bool is_refused = pl_editor_refuse(seen, request, sizeof request - 1);
    came = calls_since(PL_FAULT_MALLOC) >= call;
    order_fault("malloc 0 0");
    if (is_refused != (strstr(said, "\"id\":7,\"error\"") != NULL))
      fail_msg("%s: it says %s", order, said);
    pl_editor_free(seen);
    assert_none_leaks(before, order);
  }
}

// ---------------------------------------------------------------- running

/// The function of that name, as POSIX has it copied; null where it is not loaded.
static void find(const char *name, void *function) {
  void *const found = dlsym(RTLD_DEFAULT, name);
  memcpy(function, &found, sizeof found);
}

/// Runs this program again with the object before its libraries.
static int run_again(char **arguments) {
  const char *const program = getenv("PITLEAF_PROGRAM");
  char preload[4200];
  if (program == NULL || getenv("LD_PRELOAD") != NULL) return 1;
  const char *const slash = strrchr(program, '/');
  (void)snprintf(preload, sizeof preload, "%.*s/tests/limits/faults.so",
                 slash == NULL ? 1 : (int)(slash - program), slash == NULL ? "." : program);
  (void)setenv("LD_PRELOAD", preload, 1);
  (void)setenv("ASAN_OPTIONS", "verify_asan_link_order=0:allocator_may_return_null=1", 1);
  (void)execv(arguments[0], arguments);
  perror(arguments[0]);
  return 1;
}

int main(int count, char **arguments) {
  (void)count;
  find("pl_fault_order", &order_fault);
  find("pl_fault_calls", &calls_since);
  find("pl_fault_blocks", &blocks_out);
  if (order_fault == NULL) return run_again(arguments);
  order_fault("malloc 0 0");
  struct CMUnitTest tests[MESSAGE_COUNT + 4] = {
      cmocka_unit_test(beginning_survives), cmocka_unit_test(following_survives),
      cmocka_unit_test(given_up_document_comes_back), cmocka_unit_test(refusing_survives)};
  size_t which[MESSAGE_COUNT];
  for (size_t i = 0; i < MESSAGE_COUNT; i++) {
    which[i] = i;
    tests[i + 4] =
        (struct CMUnitTest){messages[i].name, message_survives, NULL, NULL, &which[i]};
  }
  return cmocka_run_group_tests_name("limits, faults of memory in the server", tests, NULL,
                                     NULL);
}
