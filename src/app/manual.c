// SPDX-License-Identifier: GPL-3.0-or-later
// The manual page of the program, pitleaf(1), from the tables of commands and options.
#include "completion.h"

#include <string.h>

/// Examples that work in the demo's folder `sheets`.
static const struct {
  const char *says;
  const char *line;
} examples[] = {
    {"Look for mistakes:", "pitleaf check sluice-lane/plover-dry.leaf"},
    {"The same for another program:", "pitleaf check --as sarif sluice-lane/plover-dry.leaf"},
    {"One figure:", "pitleaf figures sluice-lane/plover-dry.leaf --only wheel-rate"},
    {"What a change does:",
     "pitleaf compare cars/plover/baseline.leaf sluice-lane/plover-dry.leaf"},
    {"Where a value comes from:",
     "pitleaf explain sluice-lane/plover-dry.leaf rear-left.preload"},
    {"What a key means:", "pitleaf describe ride-height"},
};

static void add_option(struct pl_buffer *out, const struct command *command,
                       const struct option *option) {
  const char *const brief =
      option->brief[0] == '\0' ? "" : pl_format(out->arena, "-%s, ", option->brief);
  pl_man_item(out, pl_format(out->arena, "%s--%s", brief, option->name), option->argument,
              help_of_option(out->arena, command, option));
}

static void add_command(struct pl_buffer *out, const struct command *command) {
  const char *const usage = pl_format(out->arena, "pitleaf %s%s%s", command->name,
                                      command->usage[0] == '\0' ? "" : " ", command->usage);
  pl_man_line(out, ".SS", usage);
  pl_man_text(out, command->details);
  for (size_t i = 0; option_at(i) != NULL; i++) {
    if (takes_option(command, option_at(i)->name)) add_option(out, command, option_at(i));
  }
}

static void add_synopsis(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "SYNOPSIS");
  for (size_t i = 0; i < command_count; i++) {
    pl_man_line(out, ".B", pl_format(out->arena, "pitleaf %s", commands[i].name));
    if (commands[i].options[0] != '\0') pl_man_text(out, "[options]");
    if (commands[i].usage[0] != '\0') pl_man_line(out, ".I", commands[i].usage);
    pl_buffer_text(out, ".br\n");
  }
  pl_man_line(out, ".B", "pitleaf --help | --version");
}

static void add_rest(struct pl_buffer *out) {
  pl_man_line(out, ".SH", "EXIT STATUS");
  pl_man_item(out, "0", "", "Done, and nothing is wrong.");
  pl_man_item(out, "1", "", "Done, and something is wrong with the input.");
  pl_man_item(out, "2", "", "Not done: the command line, a file, the disk.");
  pl_man_line(out, ".SH", "ENVIRONMENT");
  pl_man_item(
      out, "NO_COLOR", "",
      "If it is set and not empty, nothing is coloured, unless --colour always asks for "
      "it.");
  pl_man_item(out, "COLUMNS", "", "How wide text is laid out, from 40 to 500.");
  pl_man_line(out, ".SH", "EXAMPLES");
  pl_man_text(out, "These work in the folder sheets of the demo, which is installed as "
                   "share/doc/pitleaf/sheets.");
  for (size_t i = 0; i < sizeof examples / sizeof examples[0]; i++) {
    pl_buffer_text(out, ".PP\n");
    pl_man_text(out, examples[i].says);
    pl_buffer_text(out, ".PP\n.RS 4\n.nf\n");
    pl_man_line(out, ".B", examples[i].line);
    pl_buffer_text(out, ".fi\n.RE\n");
  }
  pl_man_cautions(out);
  pl_man_line(out, ".SH", "SEE ALSO");
  pl_buffer_text(out, ".BR pitleaf (5)\n");
}

const char *manual_of_commands(struct pl_arena *arena) {
  struct pl_buffer out = {.arena = arena};
  pl_man_head(&out, "1", PITLEAF_VERSION, PITLEAF_VERSION_DATE,
              "setups of radio-controlled cars, checked, computed and printed");
  add_synopsis(&out);
  pl_man_line(&out, ".SH", "DESCRIPTION");
  pl_man_text(&out,
              "Reads the setup of a radio-controlled car written as plain text, checks it, "
              "computes what it means, and prints it as a setup sheet. A file of - is "
              "standard input. A word behind -- is no option.");
  pl_man_line(&out, ".SH", "COMMANDS");
  for (size_t i = 0; i < command_count; i++) add_command(&out, &commands[i]);
  add_rest(&out);
  return pl_buffer_string(&out);
}
