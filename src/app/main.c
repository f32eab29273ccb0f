// SPDX-License-Identifier: GPL-3.0-or-later
// The program: finds the command and runs it with memory, a session and its options.
#include "room.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const struct command commands[] = {
    {"check", "FILE…", "find mistakes",
     "Reads each file with what it includes, resolves its "
     "setups and computes their figures. Prints every problem with its place and the mend. With "
     "--as json or sarif the problems are a document on standard output, whatever was found. "
     "The exit status is 0 where there are no errors, also with warnings; 1 where there are; 2 if "
     "a file cannot be read.",
     "as library root setup colour", "text json sarif", 1, 100000, command_check},
    {"figures", "FILE", "compute the figures of a setup",
     "Prints the settings and figures of the setup, front and rear side by side, with the "
     "tolerance that values written with +- leave them. With --matched 0.02 mm: how unlike left "
     "and right become where the ports of their pistons are so far apart, and how well these have "
     "to be matched.",
     "as matched only library root setup units colour", "text json csv", 1, 1, command_figures},
    {"sheet", "[FILE]", "print a setup sheet as PDF",
     "Writes the race sheet of the setup, or the pages that --template names: \"race sheet\", "
     "\"curves\", \"build sheet\", \"blank form\", or one of your own. With --against, every "
     "value that differs from the base carries a mark. \"blank form\" needs no FILE. Without -o the PDF is written into the working folder, named after FILE. "
     "--as boxes prints what is on the pages instead.",
     "against base-setup output template paper direction as library root setup units colour",
     "boxes", 0, 1, command_sheet},
    {"meeting", "FILE", "print the packet of a race day as PDF",
     "Writes a cover with the list of entries, then the pages of each: its sheet, a blank form "
     "where it brings no file, or what is wrong with its file. --template names the pages in "
     "place of the meeting's own. --split writes a PDF of each entry into a folder; then there is "
     "a packet only with -o. The exit status is 0 if every entry's file is as it should be; 1 if "
     "the packet is written and some entry has mistakes, or if the meeting itself has some and "
     "nothing is written; 2 if a file cannot be read or written.",
     "meeting output split template paper direction library root units colour", "", 1, 1,
     command_meeting},
    {"scrutineer", "RULES FILE|MEETING…", "judge entries by an organiser's rules",
     "Judges each setup, and each entry of a meeting, by the rules in RULES: it passes, fails, or "
     "cannot be judged, because something is not declared. What was measured in a meeting goes before what is declared. -o writes the list for "
     "the measuring table as PDF, or, with --template certificate, a page for each entry. The "
     "exit status is 0 if nothing fails, also where something cannot be judged; 1 if an entry "
     "fails, or has mistakes in its file or in the meeting, or if the rules have some and nothing "
     "is judged; 2 if the rules or all of the files cannot be read, or the list cannot be "
     "written.",
     "as output template paper direction rules meeting setup library root units colour",
     "text json csv junit", 2, 100000, command_scrutineer},
    {"compare", "BASE FILE", "say what differs and what that does",
     "Lists the settings that differ from the base, folded where corners agree, then the figures "
     "that moved. For git: --external takes what git gives to a diff command, --convert FILE "
     "prints a file as plain lines, which git then compares.",
     "as base-setup external convert only library root setup units colour", "text json", 1, 9,
     command_compare},
    {"log", "FILE [RANGE]", "walk a setup through its commits",
     "For each commit of git that changed the setup, or anything that its file includes: what "
     "changed, and what that did to the figures. Oldest first; along first parents; through "
     "renames; includes are those of the commit. RANGE is as git has it (v1.., HEAD~5..HEAD, a "
     "revision). Where it does not say its end, what is not committed comes last.",
     "as only library root setup units colour", "text json", 1, 2, command_log},
    {"explain", "FILE SCOPE.KEY", "show where a value comes from",
     "For a setting, the chain of places that gave it its value; for a figure, its formula, its "
     "source, what of its tolerance is by which value, and each input with value and origin. "
     "SCOPE is a corner for what each wheel has (rear-left.preload; front, rear, left or right "
     "where two are alike), front or rear for an axle, car for the rest.",
     "library root setup units colour", "", 2, 2, command_explain},
    {"choose", "FILE", "find which parts that you own come nearest to an aim",
     "Searches all combinations of the springs, pistons, oils and blends in the file's box, of "
     "the car's numbered mounting holes and of preload or collars, and lists those that bring the figures "
     "nearest to the file's aim, with what changes, the work of it, and a setup to write down. "
     "Those that miss the aim by less come first; of these, those that take less work. What no "
     "aimed figure depends on stays as it is. Work counts 1 for preload, 2 for a hole, 5 for an oil "
     "or a spring and 8 for a piston, at each axle. The exit status is 0 also where nothing meets the aim.",
     "aim as best box library root setup threads units colour", "text json", 1, 1,
     command_choose},
    {"curve", "FILE NAME", "plot a figure over its range",
     "Plots damper-force, damping-temperature, wheel-force, motion-ratio, camber or spring-force "
     "at a corner (--scope; front-left if none is named); or over time, after a drop from 200 mm "
     "or over a bump of 12 mm by 60 mm at 6 m/s: drop-height, drop-speed, drop-force, bump-height, "
     "bump-speed or bump-force.",
     "as scope library root setup units colour", "text json csv", 2, 2, command_curve},
    {"sweep", "FILE SCOPE.KEY VALUES…", "work out the figures for many values of a setting",
     "A row for each value, a column for each figure that moves; with a second SCOPE.KEY and its "
     "values, a table for each figure. VALUES are a range, 250 cSt .. 500 cSt by 25 cSt (ten "
     "steps without `by`), or a list, [1 mm, 2 mm, 5 mm]; of springs, pistons, dampers and the "
     "like a list of names. A shell takes quotes and brackets for itself: what has any stands in "
     "single quotes, 'front.spring [\"soft\", \"firm\"]'. SCOPE is a corner, an axle, left, "
     "right or all for what each wheel has, car for the rest. The row of what the setup has now "
     "is marked. Without --figures there are those that a racer asks for first and that move. "
     "--as pdf writes a page of small plots, FILE-sweep.pdf without -o. The exit status is 1 if "
     "something cannot be told for some value; the others are told all the same.",
     "as figures output template paper direction library root setup units colour",
     "text csv json pdf", 2, 100000, command_sweep},
    {"weather", "FILE --air TEMP", "find the day's oil",
     "What the temperature of the air does to viscosity and damping at each axle, now and then, "
     "and which oils bring the slow damping nearest to what it is now: those of the file's box, or, "
     "without one, all that the file and its includes declare, and two of them in halves, each "
     "with the line to write and what is left over. TEMP is 9 degC or 48 degF. Where the setup gives oil-temperature, the air does "
     "not reach the oil, and TEMP is taken as the oil's. The exit status is 1 if the damping of "
     "an axle cannot be told.",
     "air as library root setup units colour", "text json", 1, 1, command_weather},
    {"drop", "FILE", "drop the car, computed",
     "Simulates the bench drop: each corner hangs at full droop, with the lowest point of its tyre "
     "--height above the ground (200 mm), falls, and comes to rest. Tells travels, speeds, forces, "
     "whether and how hard the chassis or the shock ends its travel, the highest drop that leaves "
     "the chassis clear, swings and the time to settle, where the oil tore off, and where the energy "
     "went. Ends of travel are rigid: a blow has a speed and an energy, no peak of force. Heave "
     "alone: no pitch, no roll. --as csv is every millisecond of each corner; -o writes plots as "
     "PDF, on the page \"drop\" or those that --template names.",
     "as height series output template paper direction library root setup units colour",
     "text json csv", 1, 1, command_drop},
    {"bump", "FILE", "run the car over bumps, computed",
     "Simulates each corner, from rest, as the car runs at --speed (6 m/s) over a bump of --height "
     "(12 mm) and --length (60 mm), or over --repeat of them, --spacing (200 mm) from the start of "
     "one to the next. A bump is a haversine, over which the tyre rolls as a rigid wheel; a real tyre is "
     "soft and wraps around what is short. A --height below zero is a hole. Tells what `drop` tells "
     "but for the highest drops, and the share of time without contact and the variation of the "
     "wheel's load, both until the chassis has settled.",
     "as height length speed repeat spacing series output template paper direction library root "
     "setup units colour",
     "text json csv", 1, 1, command_bump},
    {"describe", "[KEY]", "tell what a key means",
     "Prints what the tables say of a setting, a figure, a word of rules, the code of a problem or a unit; of `physics`, "
     "every figure with its formula and source; of `commands`, all commands with their options; "
     "without KEY, all settings and figures. `describe completion --as bash`, zsh or fish is the "
     "script that completes the command line in that shell. `describe --as man` is the manual page "
     "of the language, `describe commands --as man` that of the program.",
     "as colour", "text markdown man bash zsh fish", 0, 1, command_describe},
    {"lsp", "", "serve an editor",
     "Speaks the Language Server Protocol over standard input and output: problems while a file "
     "is being written, completion, meanings, names across files. An editor starts it by itself.",
     "library root patience", "", 0, 0, command_lsp},
    {"tidy", "FILE…", "lay files out",
     "Writes each file in the one layout that the language has: indents, blanks, `=` and comments "
     "beneath each other, scopes in their order. No comment is lost and no value changes. A file "
     "with mistakes stays as it is. A dash reads standard input and prints what it becomes. With "
     "--check the exit status is 1 if a file is not tidy.",
     "check stdout library root colour", "", 1, 100000, command_tidy},
};

const size_t command_count = sizeof commands / sizeof commands[0];

static const struct command *command_named(const char *name) {
  for (size_t i = 0; i < command_count; i++) {
    if (strcmp(commands[i].name, name) == 0) return &commands[i];
  }
  return NULL;
}

/// A command with what it runs in, for pl_with_memory.
struct performance {
  const struct command *command;
  struct run *run;
};

static void perform(void *context) {
  const struct performance *const performance = context;
  struct run *const run = performance->run;
  const struct options *const options = run->options;
  run->arena = new_arena(run);
  const struct pl_session_options session = {.libraries = options->libraries,
                                             .library_count = options->library_count,
                                             .root = options->root};
  run->session = pl_session_new(run->arena, run->guard, &session);
  performance->command->perform(run);
}

static int run_command(const struct command *command, const struct options *options,
                       int *output_error) {
  struct run run = {.options = options, .guard = pl_guard_new(), .status = STATUS_FINE};
  struct performance performance = {command, &run};
  const bool whole = run.guard != NULL && pl_with_memory(run.guard, perform, &performance);
  if (!whole) {
    fputs("pitleaf: error: there is not enough memory\n", stderr);
    run.status = STATUS_NOT_DONE;
  }
  for (size_t i = 0; i < run.arena_count; i++) pl_arena_free(run.arenas[i]);
  pl_guard_free(run.guard);
  *output_error = run.output_error;
  return (int)run.status;
}

static int unknown_command(const char *name) {
  const char *names[sizeof commands / sizeof commands[0]];
  for (size_t i = 0; i < command_count; i++) names[i] = commands[i].name;
  const char *const near = pl_nearest(name, names, command_count);
  if (near != NULL)
    put_message("pitleaf: there is no command `%s`; did you mean `%s`?", name, near);
  else
    put_message("pitleaf: there is no command `%s`", name);
  fputs("`pitleaf --help` lists the commands.\n", stderr);
  return STATUS_NOT_DONE;
}

/// Does what the command line says; the exit status. `*output_error` is what standard output
/// failed by, as far as that is known.
static int run_arguments(int count, char **arguments, int *output_error) {
  if (count < 2) {
    print_help(NULL);
    return STATUS_NOT_DONE;
  }
  if (strcmp(arguments[1], "--help") == 0 || strcmp(arguments[1], "-h") == 0 ||
      strcmp(arguments[1], "help") == 0) {
    const struct command *const about = count > 2 ? command_named(arguments[2]) : NULL;
    if (count > 2 && about == NULL) return unknown_command(arguments[2]);
    print_help(about);
    return STATUS_FINE;
  }
  if (strcmp(arguments[1], "--version") == 0) {
    puts("pitleaf " PITLEAF_VERSION);
    return STATUS_FINE;
  }
  const struct command *const command = command_named(arguments[1]);
  if (command == NULL) return unknown_command(arguments[1]);
  for (int i = 2; i < count; i++) {
    if (strcmp(arguments[i], "--") == 0) break;
    if (strcmp(arguments[i], "--help") != 0 && strcmp(arguments[i], "-h") != 0) continue;
    print_help(command);
    return STATUS_FINE;
  }
  struct options options;
  const char **words = NULL;
  const bool read = read_options(command, count - 2, arguments + 2, &options, &words);
  const bool ready = read && folders_are_there(&options);
  const int status = ready ? run_command(command, &options, output_error) : STATUS_NOT_DONE;
  free(words);
  return status;
}

int main(int count, char **arguments) {
  signal(SIGXFSZ, SIG_IGN); // a file that may not grow further is an error like a full disk
  int error = 0;
  const int status = run_arguments(count, arguments, &error);
  errno = 0;
  if (fflush(stdout) == 0 && !ferror(stdout)) return status;
  if (error == 0) error = errno;
  fprintf(stderr, "pitleaf: not everything could be written to standard output%s%s\n",
          error == 0 ? "" : ": ", error == 0 ? "" : strerror(error));
  return STATUS_NOT_DONE;
}
