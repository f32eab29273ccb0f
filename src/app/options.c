// SPDX-License-Identifier: GPL-3.0-or-later
// The command line: options that several commands share, and help.
#include "room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

static const struct option known[] = {
    {"against", "", "BASE",
     "mark what differs from BASE: a file, or the name of a setup in FILE"},
    {"as", "", "FORMAT", ""}, // each command has formats of its own
    {"base-setup", "", "NAME", "the setup to use in the base's file"},
    {"check", "", "", "only tell what would change"},
    {"colour", "", "WHEN", "auto, always or never"},
    {"convert", "", "", "print FILE as plain lines, one value each, for git's diff"},
    {"direction", "", "WAY", "portrait or landscape, in place of the template's"},
    {"external", "", "", "read what git gives to a diff command, and say what differs"},
    {"library", "", "DIR", "a folder in which includes are looked for; may be repeated"},
    {"matched", "", "LENGTH",
     "how unlike left and right are with ports apart by LENGTH: 0.02 mm"},
    {"meeting", "", "NAME", "the meeting to print, where the file has several"},
    {"only", "", "KEYS", "these figures only, joined by commas"},
    {"output", "o", "FILE", "the file to write; - is standard output"},
    {"paper", "", "SIZE", "a4 or letter, in place of the template's"},
    {"patience", "", "SECONDS", "how long an answer may take before it is given up: 20"},
    {"root", "", "DIR", "the folder that includes may not leave"},
    {"rules", "", "NAME", "the rules to judge by, where the file has several"},
    {"scope", "", "CORNER", "front-left, front-right, rear-left or rear-right"},
    {"setup", "", "NAME", "the setup to use, where the file has several"},
    {"split", "", "DIR", "a folder for one PDF of each entry"},
    {"stdout", "", "", "print the text in place of writing the file"},
    {"template", "", "NAME",
     "the page to print: a template's name, or a file that holds one; may be repeated"},
    {"units", "", "SYSTEM", "metric or imperial"},
};
static const size_t known_count = sizeof known / sizeof known[0];

const struct option *option_at(size_t which) {
  return which < known_count ? &known[which] : NULL;
}

const char *words_of_argument(const char *argument) {
  static const struct {
    const char *argument;
    const char *words;
  } choices[] = {{"WHEN", "auto always never"},
                 {"WAY", "portrait landscape"},
                 {"SIZE", "a4 letter"},
                 {"SYSTEM", "metric imperial"},
                 {"CORNER", "front-left front-right rear-left rear-right"}};
  for (size_t i = 0; i < sizeof choices / sizeof choices[0]; i++) {
    if (strcmp(choices[i].argument, argument) == 0) return choices[i].words;
  }
  return "";
}

/// Is the word one of a blank-separated list?
static bool is_in_list(const char *list, const char *word) {
  const size_t length = strlen(word);
  for (const char *at = list; *at != '\0';) {
    const size_t this_length = strcspn(at, " ");
    if (this_length == length && strncmp(at, word, length) == 0) return true;
    at += this_length;
    at += strspn(at, " ");
  }
  return false;
}

bool takes_option(const struct command *command, const char *name) {
  return is_in_list(command->options, name);
}

static const struct option *option_named(const char *name, size_t length, bool is_brief) {
  for (size_t i = 0; i < known_count; i++) {
    const char *const other = is_brief ? known[i].brief : known[i].name;
    if (strlen(other) == length && length > 0 && strncmp(other, name, length) == 0)
      return &known[i];
  }
  return NULL;
}

// ---------------------------------------------------------------- help

/// The words of a list in a sentence: "text, json or csv".
static const char *in_words(const char *list, char *space, size_t size) {
  space[0] = '\0';
  for (const char *at = list; *at != '\0';) {
    const size_t length = strcspn(at, " ");
    const char *const next = at + length + strspn(at + length, " ");
    const char *const joint = space[0] == '\0' ? "" : *next == '\0' ? " or " : ", ";
    const size_t used = strlen(space);
    snprintf(space + used, size - used, "%s%.*s", joint, (int)length, at);
    at = next;
  }
  return space;
}

void print_help(const struct command *command) {
  if (command == NULL) {
    puts("pitleaf: setup files for radio-controlled cars, checked, computed and printed\n");
    for (size_t i = 0; i < command_count; i++) {
      const size_t taken = strlen(commands[i].name) + pl_text_columns(commands[i].usage);
      printf("  pitleaf %s %s%*s %s\n", commands[i].name, commands[i].usage,
             taken < 28 ? (int)(28 - taken) : 0, "", commands[i].summary);
    }
    puts("\n`pitleaf COMMAND --help` tells more; `pitleaf --version` the version.\n"
         "Exit status: 0 done, 1 something is wrong with the input, 2 not done.");
    return;
  }
  printf("pitleaf %s %s\n\n%s\n\n", command->name, command->usage, command->details);
  for (size_t i = 0; i < known_count; i++) {
    if (!takes_option(command, known[i].name)) continue;
    const bool has_brief = known[i].brief[0] != '\0';
    char left[48];
    snprintf(left, sizeof left, "%s%s%s--%s%s%s", has_brief ? "-" : "", known[i].brief,
             has_brief ? ", " : "", known[i].name, known[i].argument[0] == '\0' ? "" : " ",
             known[i].argument);
    char formats[64];
    const bool is_format = known[i].help[0] == '\0';
    printf("  %-24s %s\n", left,
           is_format ? in_words(command->formats, formats, sizeof formats) : known[i].help);
  }
}

// ---------------------------------------------------------------- reading

static bool bad_value(const struct option *option, const char *value, const char *wanted) {
  put_message("pitleaf: --%s is %s, not `%s`", option->name, wanted, value);
  return false;
}

static void set_colour(struct options *options, const char *value) {
  if (strcmp(value, "auto") == 0) return;
  options->colour_out = options->colour_err = strcmp(value, "always") == 0;
}

static bool set_format(const struct command *command, struct options *options,
                       const struct option *option, const char *value) {
  static const char *const words[] = {"text",  "json", "csv",  "markdown", "boxes", "junit",
                                      "sarif", "man",  "bash", "zsh",      "fish"};
  const size_t count = sizeof words / sizeof words[0];
  size_t which = 0;
  while (which < count && strcmp(words[which], value) != 0) which++;
  if (which == count || !is_in_list(command->formats, value)) {
    char formats[64];
    return bad_value(option, value, in_words(command->formats, formats, sizeof formats));
  }
  options->format = (enum output_format)which;
  return true;
}

/// Adds one of several words of an option that may be repeated.
static bool add_word(const struct option *option, const char *value, const char **words,
                     size_t *count, size_t limit) {
  if (*count == limit) {
    fprintf(stderr, "pitleaf: --%s is given more than %zu times\n", option->name, limit);
    return false;
  }
  words[(*count)++] = value;
  return true;
}

static bool set_value(const struct command *command, struct options *options,
                      const struct option *option, const char *value) {
  const char *const name = option->name;
  const struct {
    const char *name;
    const char **slot;
  } plain[] = {{"against", &options->against},   {"base-setup", &options->base_setup},
               {"only", &options->only},         {"output", &options->output},
               {"root", &options->root},         {"meeting", &options->meeting},
               {"rules", &options->rules},       {"scope", &options->scope},
               {"split", &options->split},       {"setup", &options->setup},
               {"paper", &options->paper},       {"direction", &options->direction},
               {"patience", &options->patience}, {"matched", &options->matched},
               {"units", &options->units}};
  const char *const words = words_of_argument(option->argument);
  char space[96];
  if (words[0] != '\0' && !is_in_list(words, value))
    return bad_value(option, value, in_words(words, space, sizeof space));
  for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
    if (strcmp(plain[i].name, name) == 0) *plain[i].slot = value;
  }
  if (strcmp(name, "colour") == 0) set_colour(options, value);
  if (strcmp(name, "as") == 0) return set_format(command, options, option, value);
  if (strcmp(name, "library") == 0)
    return add_word(option, value, options->libraries, &options->library_count,
                    PL_MOST_LIBRARIES);
  if (strcmp(name, "template") == 0)
    return add_word(option, value, options->templates, &options->template_count,
                    PL_MOST_TEMPLATES);
  return true;
}

/// An option with nothing behind it.
static bool set_flag(struct options *options, const struct option *option, bool has_value) {
  const struct {
    const char *name;
    bool *slot;
  } flags[] = {{"check", &options->check_only},
               {"convert", &options->convert},
               {"external", &options->external},
               {"stdout", &options->to_stdout}};
  if (has_value) {
    fprintf(stderr, "pitleaf: nothing stands behind --%s\n", option->name);
    return false;
  }
  for (size_t i = 0; i < sizeof flags / sizeof flags[0]; i++) {
    if (strcmp(flags[i].name, option->name) == 0) *flags[i].slot = true;
  }
  return true;
}

static bool unknown_option(const struct command *command, const char *written) {
  const char *names[sizeof known / sizeof known[0]];
  size_t count = 0;
  for (size_t i = 0; i < known_count; i++) {
    if (takes_option(command, known[i].name)) names[count++] = known[i].name;
  }
  const size_t length = strcspn(written, "=");
  char word[64];
  snprintf(word, sizeof word, "%.*s", (int)(length < 60 ? length : 60), written);
  const char *const near = pl_nearest(word + strspn(word, "-"), names, count);
  if (near != NULL)
    put_message("pitleaf: `%s` has no option %s; did you mean --%s?", command->name, word,
                near);
  else
    put_message("pitleaf: `%s` has no option %s", command->name, word);
  put_message("`pitleaf %s --help` lists them.", command->name);
  return false;
}

/// Does a unit follow a bare number, as in `0.02 mm` without quotes?
static bool is_unit_behind(const char *value, const char *next) {
  struct pl_unit unit;
  double number = 0;
  const char *bad = NULL;
  size_t bad_length = 0;
  return pl_number_read(value, strlen(value), &number) &&
         pl_unit_read(next, strlen(next), &unit, &bad, &bad_length) == PL_UNIT_OK;
}

/// Reads the option at `arguments[*at]` and what stands behind it.
static bool read_option(const struct command *command, int count, char **arguments, int *at,
                        struct options *options) {
  const char *const written = arguments[*at];
  const bool is_brief = written[1] != '-';
  const char *const name = written + (is_brief ? 1 : 2);
  const char *const equals = is_brief ? NULL : strchr(name, '=');
  const size_t length = equals != NULL ? (size_t)(equals - name) : strlen(name);
  const struct option *const option = option_named(name, length, is_brief);
  if (option == NULL || !takes_option(command, option->name))
    return unknown_option(command, written);
  if (option->argument[0] == '\0') return set_flag(options, option, equals != NULL);
  const char *value = equals == NULL ? NULL : equals + 1;
  if (value == NULL && *at + 1 < count) value = arguments[++*at];
  if (value == NULL) {
    fprintf(stderr, "pitleaf: --%s needs %s behind it\n", option->name, option->argument);
    return false;
  }
  if (strcmp(option->argument, "LENGTH") == 0 && *at + 1 < count &&
      is_unit_behind(value, arguments[*at + 1]))
    options->matched_unit = arguments[++*at];
  return set_value(command, options, option, value);
}

bool folders_are_there(const struct options *options) {
  bool there = options->root == NULL || pl_is_folder(options->root);
  if (!there) put_message("pitleaf: --root: there is no folder `%s`", options->root);
  for (size_t i = 0; i < options->library_count; i++) {
    if (pl_is_folder(options->libraries[i])) continue;
    put_message("pitleaf: --library: there is no folder `%s`", options->libraries[i]);
    there = false;
  }
  return there;
}

/// Columns of the terminal that standard output goes to; 80 where there is none.
static size_t terminal_width(void) {
  const char *const columns = getenv("COLUMNS");
  if (columns != NULL) {
    const long width = strtol(columns, NULL, 10);
    if (width >= 40 && width <= 500) return (size_t)width;
  }
  struct winsize size;
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= 40) return size.ws_col;
  return 80;
}

bool read_options(const struct command *command, int count, char **arguments,
                  struct options *options, const char ***words) {
  const char *const no_colour = getenv("NO_COLOR");
  const bool plain = no_colour != NULL && no_colour[0] != '\0'; // as no-color.org says
  *options = (struct options){.width = terminal_width(),
                              .colour_out = !plain && isatty(STDOUT_FILENO),
                              .colour_err = !plain && isatty(STDERR_FILENO)};
  *words = calloc((size_t)count + 1, sizeof **words);
  if (*words == NULL) {
    fputs("pitleaf: error: there is not enough memory\n", stderr);
    return false;
  }
  bool only_words = false;
  for (int i = 0; i < count; i++) {
    const char *const written = arguments[i];
    if (!only_words && strcmp(written, "--") == 0)
      only_words = true;
    else if (only_words || written[0] != '-' || written[1] == '\0')
      (*words)[options->word_count++] = written;
    else if (!read_option(command, count, arguments, &i, options))
      return false;
  }
  options->words = *words;
  if (options->word_count >= command->least_words && options->word_count <= command->most_words)
    return true;
  fprintf(stderr, "pitleaf: it is `pitleaf %s %s`\n", command->name, command->usage);
  return false;
}
