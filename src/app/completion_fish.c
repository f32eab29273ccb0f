// SPDX-License-Identifier: GPL-3.0-or-later
// The script that completes the command line in fish.
#include "completion.h"

#include <string.h>

static const char head[] =
    "# fish completion of pitleaf, made by `pitleaf describe completion --as fish`.\n"
    "\n"
    "# Is it that command, and is its word of that number being typed? `more`: that or a later one.\n"
    "function __pitleaf_at\n"
    "    set -l words (commandline -opc)\n"
    "    set -e words[1]\n"
    "    test \"$words[1]\" = $argv[1]; or return 1\n"
    "    test (count $argv) -eq 1; and return 0\n"
    "    set -e words[1]\n"
    "    set -l number 0\n"
    "    set -l skip 0\n"
    "    for word in $words\n"
    "        if test $skip -eq 1\n"
    "            set skip 0\n"
    "        else if contains -- $word";

static const char middle[] =
    "\n"
    "            set skip 1\n"
    "        else if not string match -qr '^-.' -- $word\n"
    "            set number (math $number + 1)\n"
    "        end\n"
    "    end\n"
    "    test $number -eq $argv[2]; or test \"$argv[3]\" = more -a $number -ge $argv[2]\n"
    "end\n"
    "\n"
    "function __pitleaf_begins\n"
    "    test (count (commandline -opc)) -eq 1\n"
    "end\n"
    "\n"
    "# Files that end in .leaf, and folders.\n"
    "function __pitleaf_leaves\n"
    "    set -l typed (commandline -ct | string replace -r -- '^-[^=]*=' '')\n"
    "    complete -C \"__pitleaf_no_command $typed\" | string match -r -- '^.*(?:/|\\.leaf)(?:\\t.*)?$'\n"
    "end\n"
    "\n"
    "# A scope and a key, with a point between them.\n"
    "function __pitleaf_path\n"
    "    set -l typed (commandline -ct)\n"
    "    if not string match -q -- '*.*' $typed\n"
    "        printf '%s.\\n' car front rear left right front-left front-right rear-left rear-right\n"
    "        return\n"
    "    end\n"
    "    set -l scope (string split -m 1 -- . $typed)[1]\n"
    "    switch $scope\n";

/// Text within single quotes.
static void add_quoted(struct pl_buffer *out, const char *text) {
  pl_buffer_text(out, "'");
  for (const char *at = text; *at != '\0'; at++) {
    if (*at == '\'' || *at == '\\') pl_buffer_text(out, "\\");
    pl_buffer_add(out, at, 1);
  }
  pl_buffer_text(out, "'");
}

/// Words as an argument of `complete -a`, which takes them apart at blanks once more.
static void add_words(struct pl_buffer *out, const struct offer *offer) {
  struct pl_buffer words = {.arena = out->arena};
  for (size_t i = 0; i < offer->count; i++) {
    pl_buffer_text(&words, i == 0 ? "" : " ");
    for (const char *at = offer->words[i]; *at != '\0'; at++) {
      if (*at == ' ') pl_buffer_text(&words, "\\");
      pl_buffer_add(&words, at, 1);
    }
  }
  add_quoted(out, pl_buffer_string(&words));
}

/// What completes an argument, as options of `complete`; `required`: the argument of an option.
static void add_offer(struct pl_buffer *out, const struct offer *offer, bool required) {
  pl_buffer_text(out, !required ? "" : offer->kind == OFFER_FILES ? " -r -F" : " -x");
  switch (offer->kind) {
  case OFFER_NOTHING: break;
  case OFFER_FILES: pl_buffer_text(out, required ? "" : " -F"); break;
  case OFFER_LEAVES: pl_buffer_text(out, " -a '(__pitleaf_leaves)'"); break;
  case OFFER_FOLDERS: pl_buffer_text(out, " -a '(__fish_complete_directories)'"); break;
  case OFFER_PATH: pl_buffer_text(out, " -a '(__pitleaf_path)'"); break;
  case OFFER_LIST:
    pl_buffer_text(out, " -a '(__fish_complete_list , __pitleaf_figures)'");
    break;
  case OFFER_WORDS:
    pl_buffer_text(out, " -a ");
    add_words(out, offer);
    break;
  }
}

static void add_option(struct pl_buffer *out, const struct command *command,
                       const struct option *option) {
  const struct offer offer = offer_of_option(out->arena, command, option);
  pl_buffer_format(out, "complete -c pitleaf -n '__pitleaf_at %s' -l %s", command->name,
                   option->name);
  if (option->brief[0] != '\0') pl_buffer_format(out, " -s %s", option->brief);
  if (option->argument[0] != '\0') add_offer(out, &offer, true);
  pl_buffer_text(out, " -d ");
  add_quoted(out, help_of_option(out->arena, command, option));
  pl_buffer_text(out, "\n");
}

static void add_command(struct pl_buffer *out, const struct command *command) {
  pl_buffer_format(out, "\ncomplete -c pitleaf -n __pitleaf_begins -a %s -d ", command->name);
  add_quoted(out, command->summary);
  pl_buffer_format(out, "\ncomplete -c pitleaf -n '__pitleaf_at help 0' -a %s\n",
                   command->name);
  for (size_t i = 0; option_at(i) != NULL; i++) {
    if (takes_option(command, option_at(i)->name)) add_option(out, command, option_at(i));
  }
  const size_t kinds = kinds_of_words(command);
  for (size_t i = 0; i < kinds; i++) {
    const struct offer offer = offer_of_word(out->arena, command, i);
    const bool goes_on = i + 1 == kinds && command->most_words > kinds;
    if (offer.kind == OFFER_NOTHING) continue;
    pl_buffer_format(out, "complete -c pitleaf -n '__pitleaf_at %s %zu%s'", command->name, i,
                     goes_on ? " more" : "");
    add_offer(out, &offer, false);
    pl_buffer_text(out, "\n");
  }
}

static void add_figures(struct pl_buffer *out) {
  pl_buffer_text(out, "function __pitleaf_figures\n    printf '%s\\n'");
  for (int i = 0; i < PL_FIGURE_COUNT; i++) pl_buffer_format(out, " %s", pl_figure_rows[i].key);
  pl_buffer_text(out, "\nend\n\n");
}

const char *completion_for_fish(struct pl_arena *arena) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, head);
  for (size_t i = 0; option_at(i) != NULL; i++) {
    const struct option *const option = option_at(i);
    if (option->argument[0] == '\0') continue;
    pl_buffer_format(&out, " --%s", option->name);
    if (option->brief[0] != '\0') pl_buffer_format(&out, " -%s", option->brief);
  }
  pl_buffer_text(&out, middle);
  const char *const corner = keys_of_scope(arena, PL_SCOPE_CORNER);
  pl_buffer_format(&out, "        case car\n            printf \"$scope.%%s\\n\" %s\n",
                   keys_of_scope(arena, PL_SCOPE_CAR));
  pl_buffer_format(&out,
                   "        case front rear\n            printf \"$scope.%%s\\n\" %s %s\n",
                   keys_of_scope(arena, PL_SCOPE_AXLE), corner);
  pl_buffer_format(&out,
                   "        case left right 'front-*' 'rear-*'\n"
                   "            printf \"$scope.%%s\\n\" %s\n    end\nend\n\n",
                   corner);
  add_figures(&out);
  pl_buffer_text(&out, "complete -c pitleaf -f\n"
                       "complete -c pitleaf -n __pitleaf_begins -l version\n"
                       "complete -c pitleaf -s h -l help\n"
                       "complete -c pitleaf -n __pitleaf_begins -a help\n");
  for (size_t i = 0; i < command_count; i++) add_command(&out, &commands[i]);
  return pl_buffer_string(&out);
}
