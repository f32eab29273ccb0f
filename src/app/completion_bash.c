// SPDX-License-Identifier: GPL-3.0-or-later
// The script that completes the command line in bash. It needs nothing but bash.
#include "completion.h"

static const char head[] =
    "# bash completion of pitleaf, made by `pitleaf describe completion --as bash`.\n"
    "\n"
    "# The words, a line each, that begin as the typed one does.\n"
    "_pitleaf_words() {\n"
    "  local word\n"
    "  while IFS= read -r word; do\n"
    "    [[ $word == \"$typed\"* ]] || continue\n"
    "    [[ -n $quote ]] || printf -v word %q \"$word\"\n"
    "    COMPREPLY+=(\"$word\")\n"
    "  done <<<\"$1\"\n"
    "}\n"
    "\n"
    "# Folders, and files whose names fit a pattern.\n"
    "_pitleaf_files() {\n"
    "  local path there\n"
    "  compopt -o filenames 2>/dev/null\n"
    "  while IFS= read -r path; do\n"
    "    there=${path/#\\~\\//$HOME/}\n"
    "    # shellcheck disable=SC2053\n"
    "    [[ -d $there || ( -e $there && $path == $1 ) ]] && COMPREPLY+=(\"$path\")\n"
    "  done < <(compgen -f -- \"$typed\")\n"
    "}\n"
    "\n"
    "# Words joined by commas: the last one is typed.\n"
    "_pitleaf_list() {\n"
    "  local before='' at\n"
    "  [[ $typed == *,* ]] && before=${typed%,*},\n"
    "  typed=${typed##*,}\n"
    "  _pitleaf_words \"$1\"\n"
    "  for at in \"${!COMPREPLY[@]}\"; do COMPREPLY[at]=$before${COMPREPLY[at]}; done\n"
    "  compopt -o nospace 2>/dev/null\n"
    "}\n"
    "\n"
    "# A scope and a key, with a point between them.\n"
    "_pitleaf_path() {\n"
    "  local scope=${typed%%.*} keys=''\n"
    "  if [[ $typed != *.* ]]; then\n"
    "    _pitleaf_words $'car.\\nfront.\\nrear.\\nleft.\\nright.\\nfront-left.\\nfront-right.\\n"
    "rear-left.\\nrear-right.'\n"
    "    compopt -o nospace 2>/dev/null\n"
    "    return\n"
    "  fi\n"
    "  case $scope in\n";

static const char middle[] =
    "  esac\n"
    "  # shellcheck disable=SC2059,SC2086\n"
    "  [[ -z $keys ]] || _pitleaf_words \"$(printf \"$scope.%s\\n\" $keys)\"\n"
    "}\n"
    "\n"
    "_pitleaf() {\n"
    "  local typed=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}\n"
    "  local command=${COMP_WORDS[1]} quote='' place=0 at\n"
    "  COMPREPLY=()\n"
    "  if [[ $typed == = ]]; then # --as=json comes in three words\n"
    "    typed=''\n"
    "  elif [[ $before == = ]]; then\n"
    "    before=${COMP_WORDS[COMP_CWORD - 2]}\n"
    "  fi\n"
    "  if [[ $typed == [\\\"\\']* ]]; then\n"
    "    quote=1 typed=${typed:1}\n"
    "  else\n"
    "    typed=${typed//\\\\/}\n"
    "  fi\n";

/// A text in single quotes.
static void add_quoted(struct pl_buffer *out, const char *text) {
  pl_buffer_text(out, "'");
  for (const char *at = text; *at != '\0'; at++) {
    if (*at == '\'')
      pl_buffer_text(out, "'\\''");
    else
      pl_buffer_add(out, at, 1);
  }
  pl_buffer_text(out, "'");
}

static void add_lines(struct pl_buffer *out, const struct offer *offer) {
  struct pl_buffer lines = {.arena = out->arena};
  for (size_t i = 0; i < offer->count; i++)
    pl_buffer_format(&lines, "%s%s", i == 0 ? "" : "\n", offer->words[i]);
  add_quoted(out, pl_buffer_string(&lines));
}

/// The command that offers it.
static void add_offer(struct pl_buffer *out, const struct offer *offer) {
  switch (offer->kind) {
  case OFFER_NOTHING: pl_buffer_text(out, ":"); break;
  case OFFER_LEAVES: pl_buffer_text(out, "_pitleaf_files '*.leaf'"); break;
  case OFFER_FILES: pl_buffer_text(out, "_pitleaf_files '*'"); break;
  case OFFER_FOLDERS: pl_buffer_text(out, "_pitleaf_files ''"); break;
  case OFFER_PATH: pl_buffer_text(out, "_pitleaf_path"); break;
  case OFFER_WORDS:
    pl_buffer_text(out, "_pitleaf_words ");
    add_lines(out, offer);
    break;
  case OFFER_LIST:
    pl_buffer_text(out, "_pitleaf_list ");
    add_lines(out, offer);
    break;
  }
}

/// A pattern of `case` that fits an option: `"check --output" | "check -o"`.
static void add_option_pattern(struct pl_buffer *out, const struct command *command,
                               const struct option *option) {
  pl_buffer_format(out, "\"%s --%s\"", command->name, option->name);
  if (option->brief[0] != '\0')
    pl_buffer_format(out, " | \"%s -%s\"", command->name, option->brief);
}

/// What stands behind each option of each command.
static void add_arguments(struct pl_buffer *out) {
  pl_buffer_text(out, "  case \"$command $before\" in\n");
  for (size_t i = 0; i < command_count; i++) {
    for (size_t j = 0; option_at(j) != NULL; j++) {
      const struct option *const option = option_at(j);
      if (!takes_option(&commands[i], option->name) || option->argument[0] == '\0') continue;
      const struct offer offer = offer_of_option(out->arena, &commands[i], option);
      pl_buffer_text(out, "  ");
      add_option_pattern(out, &commands[i], option);
      pl_buffer_text(out, ") ");
      add_offer(out, &offer);
      pl_buffer_text(out, "; return ;;\n");
    }
  }
  pl_buffer_text(out, "  esac\n");
}

static void add_option_names(struct pl_buffer *out) {
  pl_buffer_text(out, "  if [[ $typed == -* ]]; then\n    case $command in\n");
  for (size_t i = 0; i < command_count; i++) {
    pl_buffer_format(out, "    %s) _pitleaf_words $'", commands[i].name);
    for (size_t j = 0; option_at(j) != NULL; j++) {
      const struct option *const option = option_at(j);
      if (takes_option(&commands[i], option->name))
        pl_buffer_format(out, "--%s\\n", option->name);
    }
    pl_buffer_text(out, "--help' ;;\n");
  }
  pl_buffer_text(out, "    esac\n    return\n  fi\n");
}

/// Counts the words before the typed one, without options and what stands behind them.
static void add_counting(struct pl_buffer *out) {
  pl_buffer_text(out, "  for ((at = 2; at < COMP_CWORD; at++)); do\n"
                      "    case ${COMP_WORDS[at]} in\n    ");
  bool first = true;
  for (size_t i = 0; option_at(i) != NULL; i++) {
    const struct option *const option = option_at(i);
    if (option->argument[0] == '\0') continue;
    pl_buffer_format(out, "%s--%s", first ? "" : " | ", option->name);
    if (option->brief[0] != '\0') pl_buffer_format(out, " | -%s", option->brief);
    first = false;
  }
  pl_buffer_text(out, ")\n      [[ ${COMP_WORDS[at + 1]} != = ]] || ((at++))\n"
                      "      ((at++))\n      ;;\n"
                      "    -?*) ;;\n    *) ((place++)) ;;\n    esac\n  done\n");
}

static void add_words(struct pl_buffer *out) {
  pl_buffer_text(out, "  case \"$command $place\" in\n");
  for (size_t i = 0; i < command_count; i++) {
    const size_t kinds = kinds_of_words(&commands[i]);
    for (size_t j = 0; j < kinds; j++) {
      const struct offer offer = offer_of_word(out->arena, &commands[i], j);
      const bool goes_on = j + 1 == kinds && commands[i].most_words > kinds;
      pl_buffer_format(out, goes_on ? "  \"%s \"*) " : "  \"%s %zu\") ", commands[i].name, j);
      add_offer(out, &offer);
      pl_buffer_text(out, " ;;\n");
    }
  }
  pl_buffer_text(out, "  esac\n}\n\ncomplete -F _pitleaf pitleaf\n");
}

const char *completion_for_bash(struct pl_arena *arena) {
  struct pl_buffer out = {.arena = arena};
  pl_buffer_text(&out, head);
  pl_buffer_format(&out, "  car) keys='%s' ;;\n", keys_of_scope(arena, PL_SCOPE_CAR));
  pl_buffer_format(&out, "  front | rear) keys='%s %s' ;;\n",
                   keys_of_scope(arena, PL_SCOPE_AXLE), keys_of_scope(arena, PL_SCOPE_CORNER));
  pl_buffer_format(&out, "  left | right | front-* | rear-*) keys='%s' ;;\n",
                   keys_of_scope(arena, PL_SCOPE_CORNER));
  pl_buffer_text(&out, middle);
  pl_buffer_text(&out, "  if ((COMP_CWORD == 1)) && [[ $typed == -* ]]; then\n"
                       "    _pitleaf_words $'--help\\n--version'\n    return\n  fi\n"
                       "  if ((COMP_CWORD == 1)) || [[ $command == help ]]; then\n"
                       "    ((COMP_CWORD > 2)) || _pitleaf_words $'");
  for (size_t i = 0; i < command_count; i++) pl_buffer_format(&out, "%s\\n", commands[i].name);
  pl_buffer_text(&out, "help'\n    return\n  fi\n");
  add_arguments(&out);
  add_option_names(&out);
  add_counting(&out);
  add_words(&out);
  return pl_buffer_string(&out);
}
