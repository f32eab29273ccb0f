// SPDX-License-Identifier: GPL-3.0-or-later
// The lsp command: a language server over standard input and output, by the base protocol of
// the Language Server Protocol 3.17. The server works in a process of its own. This one reads
// what the client says and hands it on, one message at a time, and passes on what the server
// says, each message whole. Where a message ends that process, or holds it up, a new one is
// brought to where the old one was, without that message.
#include "room.h"

#include <assert.h>
#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

static_assert(PL_MOST_MESSAGE_BYTES / 8 >= PL_MOST_FILE_BYTES, "each file fits a message");

/// How long the server may be silent over a message before it is given up, in s: no file needs
/// one.
#define PATIENCE 20.0

/// What goes from the process that works to this one, before the length of what follows. The
/// mark of an order, with nothing behind it, says that the order is done.
#define REPORT_MESSAGE 'm'

/// What goes from this process to the one that works, before the length of what follows.
enum order {
  ORDER_TAKE = 't',  ///< a message of the client
  ORDER_LEARN = 'l', ///< the same, whose answer the client has already
  ORDER_IDLE = 'i'   ///< nothing is waiting
};

// ---------------------------------------------------------------- bytes

static bool write_all(int file, const void *bytes, size_t length) {
  const char *at = bytes;
  while (length > 0) {
    const ssize_t written = write(file, at, length);
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    at += written;
    length -= (size_t)written;
  }
  return true;
}

static bool read_all(int file, void *bytes, size_t length) {
  char *at = bytes;
  while (length > 0) {
    const ssize_t got = read(file, at, length);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return false;
    at += got;
    length -= (size_t)got;
  }
  return true;
}

/// A mark, a length, and what is so long.
static bool write_parcel(int file, unsigned char mark, const char *bytes, size_t length) {
  const uint64_t size = length;
  return write_all(file, &mark, 1) && write_all(file, &size, sizeof size) &&
         write_all(file, bytes, length);
}

// ---------------------------------------------------------------- the process that works

/// Where the server's messages go.
struct mouth {
  int reports;
  bool is_silent; ///< the client has heard it already
};

static void say(void *context, const char *text, size_t length) {
  const struct mouth *const mouth = context;
  if (!mouth->is_silent) write_parcel(mouth->reports, REPORT_MESSAGE, text, length);
}

/// Takes orders until they end, and says of each when it is done.
static int work(const struct pl_editor_options *options, int orders, int reports) {
  struct mouth mouth = {.reports = reports};
  struct pl_editor_options own = *options;
  own.send = say;
  own.context = &mouth;
  struct pl_editor *const editor = pl_editor_new(&own);
  if (editor == NULL) return STATUS_NOT_DONE;
  int status = 0;
  for (;;) {
    unsigned char order = 0;
    uint64_t length = 0;
    if (!read_all(orders, &order, 1) || !read_all(orders, &length, sizeof length)) break;
    char *const bytes = malloc((size_t)length + 1);
    if (bytes == NULL || !read_all(orders, bytes, (size_t)length)) {
      free(bytes);
      break;
    }
    mouth.is_silent = order == ORDER_LEARN;
    bool goes_on = true;
    if (order == ORDER_IDLE)
      pl_editor_idle(editor);
    else
      goes_on = pl_editor_take(editor, bytes, (size_t)length);
    free(bytes);
    if (!goes_on || !write_parcel(reports, order, "", 0) || pl_editor_is_over(editor, &status))
      break;
  }
  pl_editor_free(editor);
  return status;
}

// ---------------------------------------------------------------- the process that keeps watch

struct keeper {
  const struct pl_editor_options *options;
  struct pl_editor *seen; ///< what the client has told so far
  pid_t worker;           ///< 0: none
  int orders;
  int reports;
  int patience;           ///< in ms
  struct pl_buffer input; ///< what was read and is no whole message yet
  bool is_behind;         ///< something was taken since it was last idle
  bool has_fallen;        ///< the worker, since it was started
  bool has_hung;          ///< it fell by saying nothing
  bool is_alone;          ///< the client hears nothing any more
};

/// A message to the client, with its header.
static void send_to_client(void *context, const char *text, size_t length) {
  struct keeper *const keeper = context;
  char header[64];
  const int size = snprintf(header, sizeof header, "Content-Length: %zu\r\n\r\n", length);
  if (!write_all(STDOUT_FILENO, header, (size_t)size) ||
      !write_all(STDOUT_FILENO, text, length))
    keeper->is_alone = true;
}

static void end_worker(struct keeper *keeper, bool by_force) {
  if (keeper->worker == 0) return;
  if (by_force) kill(keeper->worker, SIGKILL);
  close(keeper->orders);
  close(keeper->reports);
  while (waitpid(keeper->worker, NULL, 0) < 0 && errno == EINTR) {
  }
  keeper->worker = 0;
}

static bool start_worker(struct keeper *keeper) {
  int orders[2];
  int reports[2];
  if (pipe(orders) != 0) return false;
  if (pipe(reports) != 0) {
    close(orders[0]);
    close(orders[1]);
    return false;
  }
  fflush(NULL);
  const pid_t worker = fork();
  if (worker == 0) {
    close(orders[1]);
    close(reports[0]);
    close(STDIN_FILENO);
    _exit(work(keeper->options, orders[0], reports[1]));
  }
  close(orders[0]);
  close(reports[1]);
  keeper->orders = orders[1];
  keeper->reports = reports[0];
  keeper->worker = worker < 0 ? 0 : worker;
  keeper->has_fallen = false;
  if (worker > 0) return true;
  close(orders[1]);
  close(reports[0]);
  return false;
}

/// Reads what the worker says, as long as it is not silent for too long.
static bool hear(struct keeper *keeper, void *bytes, size_t length) {
  char *at = bytes;
  while (length > 0) {
    struct pollfd wait = {.fd = keeper->reports, .events = POLLIN};
    const int ready = poll(&wait, 1, keeper->patience);
    if (ready < 0 && errno == EINTR) continue;
    keeper->has_hung = ready == 0;
    const ssize_t got = ready <= 0 ? 0 : read(keeper->reports, at, length);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return false;
    at += got;
    length -= (size_t)got;
  }
  return true;
}

/// Passes on what the worker says until its order is done. False if it ended before.
static bool await_report(struct keeper *keeper) {
  for (;;) {
    unsigned char mark = 0;
    uint64_t length = 0;
    if (!hear(keeper, &mark, 1) || !hear(keeper, &length, sizeof length)) return false;
    if (mark != REPORT_MESSAGE) return true;
    char *const text = malloc((size_t)length + 1);
    const bool is_whole = text != NULL && hear(keeper, text, (size_t)length);
    if (is_whole) send_to_client(keeper, text, (size_t)length);
    free(text);
    if (!is_whole) return false;
  }
}

/// Gives an order and waits until it is done. False if the worker fell over it.
static bool give_order(struct keeper *keeper, enum order order, const char *bytes,
                       size_t length) {
  const bool is_done = keeper->worker != 0 && !keeper->has_fallen &&
                       write_parcel(keeper->orders, (unsigned char)order, bytes, length) &&
                       await_report(keeper);
  keeper->has_fallen = !is_done;
  return is_done;
}

static void teach(void *context, const char *text, size_t length) {
  give_order(context, ORDER_LEARN, text, length);
}

/// A new process in the place of one that is gone, where the old one was. False if it fell,
/// too.
static bool replace_worker(struct keeper *keeper) {
  end_worker(keeper, true);
  if (!start_worker(keeper)) return false;
  if (pl_editor_replay(keeper->seen, teach, keeper)) return !keeper->has_fallen;
  end_worker(keeper, true); // which is tried again at the next message
  return false;
}

/// What ended the worker while it had nothing to do is no message's fault.
static void revive_worker(struct keeper *keeper) {
  if (keeper->worker > 0 && waitpid(keeper->worker, NULL, WNOHANG) == keeper->worker) {
    close(keeper->orders);
    close(keeper->reports);
    keeper->worker = 0;
  }
  if (keeper->worker == 0 || keeper->has_fallen) replace_worker(keeper);
}

/// Lets the worker take a message, or what the message made of documents that it does not know.
/// False if it fell.
static bool have_taken(struct keeper *keeper, const char *bytes, size_t length, bool is_known) {
  if (is_known) return give_order(keeper, ORDER_TAKE, bytes, length);
  return keeper->worker != 0 && pl_editor_catch_up(keeper->seen, teach, keeper) &&
         !keeper->has_fallen;
}

/// False where memory did not suffice to follow, or to answer.
static bool hand_on(struct keeper *keeper, const char *bytes, size_t length) {
  bool is_known = true;
  revive_worker(keeper);
  if (!pl_editor_follow(keeper->seen, bytes, length, &is_known)) return false;
  keeper->is_behind = true;
  int status = 0;
  if (have_taken(keeper, bytes, length, is_known)) return true;
  if (pl_editor_is_over(keeper->seen, &status)) return true;
  if (!pl_editor_refuse(keeper->seen, bytes, length)) return false;
  // Where no process can be brought to where the old one was, no document is at fault.
  if (replace_worker(keeper) || keeper->worker == 0) return true;
  pl_editor_give_up(keeper->seen, bytes, length);
  replace_worker(keeper);
  return true;
}

/// Lets the server tell the problems of what was edited. A text over which it falls is left
/// out.
static void let_idle(struct keeper *keeper, const char *last, size_t last_length) {
  keeper->is_behind = false;
  revive_worker(keeper);
  if (keeper->worker == 0 || give_order(keeper, ORDER_IDLE, "", 0)) return;
  // Once may be somebody else's doing.
  const bool may_be_chance = !keeper->has_hung;
  if (may_be_chance && replace_worker(keeper) && give_order(keeper, ORDER_IDLE, "", 0)) return;
  if (keeper->worker == 0) return;
  pl_editor_give_up(keeper->seen, last, last_length);
  if (replace_worker(keeper) && !give_order(keeper, ORDER_IDLE, "", 0)) replace_worker(keeper);
}

// ---------------------------------------------------------------- messages

/// A whole number with nothing but blanks around it; SIZE_MAX where it is none.
static size_t number_of(const char *text) {
  text += strspn(text, " \t");
  const size_t digits = strspn(text, "0123456789");
  const char *const end = text + digits;
  if (digits == 0 || digits > 18 || end[strspn(end, " \t")] != '\r') return SIZE_MAX;
  return (size_t)strtoull(text, NULL, 10);
}

/// The length that a header gives; false if it gives none. `*body` is where the header ends.
static bool read_header(const struct pl_buffer *input, size_t *body, size_t *length) {
  static const char name[] = "content-length:";
  const char *const end = input->length == 0 ? NULL : strstr(input->bytes, "\r\n\r\n");
  if (end == NULL) return false;
  *body = (size_t)(end - input->bytes) + 4;
  *length = SIZE_MAX;
  for (const char *line = input->bytes; line < end + 2;) {
    size_t at = 0;
    while (name[at] != '\0' && (line[at] | ' ') == name[at]) at++;
    if (name[at] == '\0') *length = number_of(line + at);
    line = strstr(line, "\r\n") + 2;
  }
  return true;
}

/// The first `length` bytes were dealt with.
static void drop_input(struct pl_buffer *input, size_t length) {
  memmove(input->bytes, input->bytes + length, input->length - length);
  input->length -= length;
  input->bytes[input->length] = '\0';
}

enum taking { TOOK_NONE, TOOK_MESSAGE, NO_MESSAGE, TOO_LONG, NO_MEMORY };

/// Hands on the first whole message of the input, if there is one.
static enum taking take_message(struct keeper *keeper, char **last, size_t *last_length) {
  struct pl_buffer *const input = &keeper->input;
  size_t body = 0;
  size_t length = 0;
  if (!read_header(input, &body, &length))
    return input->length < 65536 ? TOOK_NONE : NO_MESSAGE;
  if (length == SIZE_MAX) return NO_MESSAGE;
  if (length > PL_MOST_MESSAGE_BYTES) return TOO_LONG;
  if (input->length - body < length) return TOOK_NONE;
  char *const message = malloc(length + 1);
  if (message == NULL) return NO_MEMORY;
  memcpy(message, input->bytes + body, length);
  message[length] = '\0';
  drop_input(input, body + length);
  free(*last);
  *last = message;
  *last_length = length;
  return hand_on(keeper, message, length) ? TOOK_MESSAGE : NO_MEMORY;
}

/// Reads what is there; false at the end of the input.
static bool read_more(struct keeper *keeper) {
  char bytes[65536];
  ssize_t got = 0;
  do got = read(STDIN_FILENO, bytes, sizeof bytes);
  while (got < 0 && errno == EINTR);
  if (got <= 0) return false;
  pl_buffer_add(&keeper->input, bytes, (size_t)got);
  return true;
}

static bool input_waits(void) {
  struct pollfd wait = {.fd = STDIN_FILENO, .events = POLLIN};
  return poll(&wait, 1, 0) > 0;
}

/// Why the server cannot go on.
static void tell_end(struct run *run, enum taking taking) {
  if (taking == NO_MEMORY)
    complain(run, "error: there is not enough memory");
  else if (taking == TOO_LONG)
    complain(run,
             "a message of the client has more than %d bytes; close the file that is so large",
             PL_MOST_MESSAGE_BYTES);
  else
    complain(run, "what came on standard input is no message of a client");
}

static void serve(struct run *run, struct keeper *keeper) {
  char *last = NULL;
  size_t last_length = 0;
  int status = 1; // for an input that ends without `exit`
  for (bool goes_on = true; goes_on;) {
    const enum taking taking = take_message(keeper, &last, &last_length);
    if (taking > TOOK_MESSAGE) {
      tell_end(run, taking);
      break;
    }
    if (pl_editor_is_over(keeper->seen, &status) || keeper->is_alone) break;
    if (taking == TOOK_MESSAGE) continue;
    if (keeper->is_behind && !input_waits()) let_idle(keeper, last, last_length);
    goes_on = read_more(keeper);
  }
  free(last);
  if (status != 0) raise_status(run, STATUS_WRONG);
}

/// The time that --patience gives, in ms; 0 after a message.
static int patience_of(struct run *run) {
  const char *const text = run->options->patience;
  double seconds = PATIENCE;
  if (text != NULL &&
      (!pl_number_read(text, strlen(text), &seconds) || seconds < 1e-3 || seconds > 3600)) {
    complain(run, "--patience is a number of seconds up to 3600, not `%s`", text);
    return 0;
  }
  return (int)(seconds * 1e3);
}

void command_lsp(struct run *run) {
  struct keeper keeper = {.patience = patience_of(run), .input = {.arena = run->arena}};
  if (keeper.patience == 0) return;
  const struct pl_editor_options options = {.libraries = run->options->libraries,
                                            .library_count = run->options->library_count,
                                            .root = run->options->root,
                                            .version = PITLEAF_VERSION,
                                            .send = send_to_client,
                                            .context = &keeper};
  keeper.options = &options;
  keeper.seen = pl_editor_new(&options);
  signal(SIGPIPE, SIG_IGN); // a process that is gone shows by what cannot be written to it
  if (keeper.seen == NULL || !start_worker(&keeper))
    complain(run, "the server's process could not be started: %s", strerror(errno));
  else
    serve(run, &keeper);
  end_worker(&keeper, false);
  pl_editor_free(keeper.seen);
}
