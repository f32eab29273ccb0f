// SPDX-License-Identifier: GPL-3.0-or-later
// editor: what an editor asks of the program while a file is being written, by the Language
// Server Protocol 3.17 (microsoft.github.io/language-server-protocol): problems, completion,
// meanings, names across files. Here messages come in and go out as text; who carries them is
// the caller's affair.
#ifndef PITLEAF_EDITOR_H
#define PITLEAF_EDITOR_H

#include "pitleaf/base.h"
#include "pitleaf/model.h"

/// Checks all that a file holds, as `pitleaf check` does: setups with their figures, templates,
/// rules, what a meeting says was measured. Problems go to the program. `setup` names the only
/// setup to check; null: all of the main file. What is worked out meanwhile is in `scratch`,
/// which is reset.
void pl_program_check(struct pl_program *program, const char *setup, struct pl_arena *scratch);

/// A server for one client.
struct pl_editor;

struct pl_editor_options {
  const char *const *libraries; ///< folders in which includes are looked for, too
  size_t library_count;
  const char *root;    ///< the folder that includes may not leave; null: see the reference
  const char *version; ///< of the program
  /// Takes a whole message for the client, without its header; `text` stands for the call only.
  void (*send)(void *context, const char *text, size_t length);
  void *context;
};

/// A new server; null when there is no memory for it. `options` is copied but for the texts it
/// points to. Free it with pl_editor_free (null is allowed there).
struct pl_editor *pl_editor_new(const struct pl_editor_options *options);
void pl_editor_free(struct pl_editor *editor);

/// Takes the body of one message of the client and answers it. What cannot be read is answered
/// by an error, as the protocol says; nothing of it ends the server. False where memory did not
/// suffice to take note of it, or to answer: from then on the server does not know what the
/// client sees, and another has to take its place.
bool pl_editor_take(struct pl_editor *editor, const char *bytes, size_t length);

/// Does what can wait until no message is waiting: problems of what was edited.
void pl_editor_idle(struct pl_editor *editor);

// ---------------------------------------------------------------- a second one that keeps
// watch

/// Takes notice of a client's message without working on it: what is open, and how it reads. A
/// process that keeps watch over the one that works can so hand everything to a new one. False
/// where memory did not suffice. `*is_known` is false where the message changes a document that
/// was given up, which the one that works does not know: pl_editor_catch_up takes the message's
/// place.
bool pl_editor_follow(struct pl_editor *editor, const char *bytes, size_t length,
                      bool *is_known);

/// Sends to `send` the documents that were given up and have another text now. False where
/// memory did not suffice.
bool pl_editor_catch_up(struct pl_editor *editor,
                        void (*send)(void *context, const char *text, size_t length),
                        void *context);

/// Sends, as the client would, the messages that bring a new server to where this one is. They
/// go to `send`, since they are not for the client. False where memory did not suffice.
bool pl_editor_replay(struct pl_editor *editor,
                      void (*send)(void *context, const char *text, size_t length),
                      void *context);

/// Answers a request that ended the server that worked on it by an error; nothing for what is
/// no request. False where memory did not suffice.
bool pl_editor_refuse(struct pl_editor *editor, const char *bytes, size_t length);

/// Leaves the document that a message names out of replays until its text is another one: its
/// text ends servers.
void pl_editor_give_up(struct pl_editor *editor, const char *bytes, size_t length);

/// True when the client has said that the server is to end; `*status` gets its exit status (0
/// where the client asked for a shutdown first, else 1).
bool pl_editor_is_over(const struct pl_editor *editor, int *status);

#endif
