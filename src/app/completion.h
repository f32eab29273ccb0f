// SPDX-License-Identifier: GPL-3.0-or-later
// What may stand at a place of the command line, for the scripts that complete it in a shell.
#ifndef PITLEAF_APP_COMPLETION_H
#define PITLEAF_APP_COMPLETION_H

#include "room.h"

/// What completes an argument.
enum offer_kind {
  OFFER_NOTHING, ///< a name that only the user knows
  OFFER_WORDS,   ///< one of the words
  OFFER_LEAVES,  ///< files that end in .leaf, and folders on the way to them
  OFFER_FILES,   ///< any file
  OFFER_FOLDERS,
  OFFER_LIST, ///< words joined by commas
  OFFER_PATH  ///< a scope and a key: front-left.preload
};

struct offer {
  enum offer_kind kind;
  const char *const *words; ///< of OFFER_WORDS and OFFER_LIST; they may have blanks
  size_t count;
};

/// What may stand behind an option of a command.
struct offer offer_of_option(struct pl_arena *arena, const struct command *command,
                             const struct option *option);

/// What may stand as the command's word of that number, counted from 0.
struct offer offer_of_word(struct pl_arena *arena, const struct command *command, size_t which);

/// Words of its own that a command takes, counted from 0: the number behind which all are
/// alike.
size_t kinds_of_words(const struct command *command);

/// The keys that a scope may have before them, with blanks between them: those of a corner, of
/// an axle or of the car.
const char *keys_of_scope(struct pl_arena *arena, enum pl_scope scope);

/// An option's help in one line.
const char *help_of_option(struct pl_arena *arena, const struct command *command,
                           const struct option *option);

/// The script that completes the command line in a shell.
const char *completion_for_bash(struct pl_arena *arena);
const char *completion_for_zsh(struct pl_arena *arena);
const char *completion_for_fish(struct pl_arena *arena);

/// The manual page of the program, pitleaf(1), for man.
const char *manual_of_commands(struct pl_arena *arena);

#endif
