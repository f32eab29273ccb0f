// SPDX-License-Identifier: GPL-3.0-or-later
// The script that completes the command line in zsh, by its own _arguments.
#include "completion.h"

#include <string.h>

static const char head[] =
    "#compdef pitleaf\n"
    "# zsh completion of pitleaf, made by `pitleaf describe completion --as zsh`.\n"
    "\n"
    "# A scope and a key, with a point between them.\n"
    "_pitleaf_path() {\n"
    "  local -a car axle corner all\n";

static const char middle[] =
    "  all=(car.${^car} {front,rear}.${^axle}\n"
    "    {front,rear,left,right,front-left,front-right,rear-left,rear-right}.${^corner})\n"
    "  _multi_parts . all\n"
    "}\n"
    "\n"
    "_pitleaf() {\n"
    "  local curcontext=$curcontext state line\n"
    "  local -A opt_args\n"
    "  local -a commands\n"
    "  commands=(\n";

/// Text within single quotes; `marked` are signs that get a backslash.
static void add_escaped(struct pl_buffer *out, const char *text, const char *marked) {
  for (const char *at = text; *at != '\0'; at++) {
    if (strchr(marked, *at) != NULL) pl_buffer_text(out, "\\");
    pl_buffer_text(out, *at == '\'' ? "'\\'" : "");
    pl_buffer_add(out, at, 1);
  }
}

static void add_list(struct pl_buffer *out, const struct offer *offer) {
  for (size_t i = 0; i < offer->count; i++) {
    pl_buffer_text(out, i == 0 ? "" : " ");
    add_escaped(out, offer->words[i], " ():\\");
  }
}

/// The action of a specification: what completes the argument.
static void add_action(struct pl_buffer *out, const struct offer *offer) {
  switch (offer->kind) {
  case OFFER_NOTHING: pl_buffer_text(out, " "); break; // a blank: nothing is known of it
  case OFFER_LEAVES: pl_buffer_text(out, "_files -g \"*.leaf\""); break;
  case OFFER_FILES: pl_buffer_text(out, "_files"); break;
  case OFFER_FOLDERS: pl_buffer_text(out, "_files -/"); break;
  case OFFER_PATH: pl_buffer_text(out, "_pitleaf_path"); break;
  case OFFER_WORDS:
    pl_buffer_text(out, "(");
    add_list(out, offer);
    pl_buffer_text(out, ")");
    break;
  case OFFER_LIST:
    pl_buffer_text(out, "_values -s , figure ");
    add_list(out, offer);
    break;
  }
}

/// `'(-o --output)'{-o,--output=}'[help]:FILE:_files'`
static void add_option(struct pl_buffer *out, const struct command *command,
                       const struct option *option) {
  const char *const equals = option->argument[0] == '\0' ? "" : "=";
  const char *const help = help_of_option(out->arena, command, option);
  const bool repeats = strstr(help, "may be repeated") != NULL;
  pl_buffer_text(out, "      ");
  if (option->brief[0] != '\0')
    pl_buffer_format(out, "'(-%s --%s)'{-%s,--%s%s}'", option->brief, option->name,
                     option->brief, option->name, equals);
  else
    pl_buffer_format(out, "'%s--%s%s", repeats ? "*" : "", option->name, equals);
  pl_buffer_text(out, "[");
  add_escaped(out, help, "[]:\\");
  pl_buffer_text(out, "]");
  if (option->argument[0] != '\0') {
    const struct offer offer = offer_of_option(out->arena, command, option);
    pl_buffer_format(out, ":%s:", option->argument);
    add_action(out, &offer);
  }
  pl_buffer_text(out, "' \\\n");
}

static void add_word(struct pl_buffer *out, const struct command *command, size_t which,
                     bool goes_on) {
  const struct offer offer = offer_of_word(out->arena, command, which);
  if (goes_on)
    pl_buffer_text(out, "      '*:word:");
  else
    pl_buffer_format(out, "      '%zu:word:", which + 1);
  add_action(out, &offer);
  pl_buffer_text(out, "' \\\n");
}

static void add_command(struct pl_buffer *out, const struct command *command) {
  pl_buffer_format(out, "  %s)\n    _arguments \\\n", command->name);
  for (size_t i = 0; option_at(i) != NULL; i++) {
    if (takes_option(command, option_at(i)->name)) add_option(out, command, option_at(i));
  }
  const size_t kinds = kinds_of_words(command);
  for (size_t i = 0; i < kinds; i++)
    add_word(out, command, i, i + 1 == kinds && command->most_words > kinds);
  pl_buffer_text(out, "      '(- *)'{-h,--help}'[tell what the command does]'\n    ;;\n");
}

const char *completion_for_zsh(struct pl_arena *arena) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, head);
  pl_buffer_format(&out, "  car=(%s)\n", keys_of_scope(arena, PL_SCOPE_CAR));
  pl_buffer_format(&out, "  axle=(%s)\n", keys_of_scope(arena, PL_SCOPE_AXLE));
  pl_buffer_format(&out, "  corner=(%s)\n", keys_of_scope(arena, PL_SCOPE_CORNER));
  pl_buffer_text(&out, middle);
  for (size_t i = 0; i < command_count; i++) {
    pl_buffer_format(&out, "    '%s:", commands[i].name);
    add_escaped(&out, commands[i].summary, ":\\");
    pl_buffer_text(&out, "'\n");
  }
  pl_buffer_text(&out, "    'help:tell what a command does'\n  )\n"
                       "  _arguments -C \\\n"
                       "    '(- *)'{-h,--help}'[list the commands]' \\\n"
                       "    '(- *)--version[tell the version]' \\\n"
                       "    '1:command:->command' '*::word:->word'\n"
                       "  if [[ $state == command ]]; then\n"
                       "    _describe -t commands command commands\n"
                       "    return\n"
                       "  fi\n"
                       "  [[ $state == word ]] || return\n"
                       "  case $words[1] in\n");
  for (size_t i = 0; i < command_count; i++) add_command(&out, &commands[i]);
  pl_buffer_text(&out, "  help)\n    _describe -t commands command commands\n    ;;\n"
                       "  esac\n}\n\n"
                       "if [[ $funcstack[1] == _pitleaf ]]; then\n  _pitleaf \"$@\"\n"
                       "else\n  compdef _pitleaf pitleaf\nfi\n");
  return pl_buffer_string(&out);
}
