// SPDX-License-Identifier: GPL-3.0-or-later
// What the commands share: options, loading, printing, exit status.
#ifndef PITLEAF_APP_ROOM_H
#define PITLEAF_APP_ROOM_H

#include "pitleaf/base.h"
#include "pitleaf/compare.h"
#include "pitleaf/editor.h"
#include "pitleaf/figures.h"
#include "pitleaf/model.h"
#include "pitleaf/report.h"
#include "pitleaf/sheet.h"

#define PITLEAF_VERSION "0.1.0"
/// The day of that version, for manual pages: whoever builds it gets the same bytes.
#define PITLEAF_VERSION_DATE "2026-11-25"

/// Exit status of every command.
enum status {
  STATUS_FINE = 0,    ///< done, and nothing is wrong
  STATUS_WRONG = 1,   ///< done, and something is wrong with the input
  STATUS_NOT_DONE = 2 ///< usage, files, the disk
};

enum output_format {
  AS_TEXT,
  AS_JSON,
  AS_CSV,
  AS_MARKDOWN,
  AS_BOXES,
  AS_JUNIT,
  AS_SARIF,
  AS_MAN,
  AS_BASH,
  AS_ZSH,
  AS_FISH,
  AS_PDF
};

/// A number with a unit as it was written: in one word, or in two.
struct quantity {
  const char *text; ///< null: not given
  const char *unit; ///< the second word, or ""
};

/// All of it, as one would write it in a file: "0.02 mm".
const char *quantity_text(struct pl_arena *arena, const struct quantity *quantity);

/// A command line, read.
struct options {
  const char *const *words; ///< what is no option, in order
  size_t word_count;
  enum output_format format;
  const char *libraries[PL_MOST_LIBRARIES];
  size_t library_count;
  const char *root;
  const char *scope;
  const char *setup;
  const char *base_setup;
  const char *units; ///< null: as the setup says
  const char *against;
  const char *output;
  const char *templates[PL_MOST_TEMPLATES]; ///< names, or paths of files
  size_t template_count;
  const char *paper;
  const char *direction;
  const char *split;
  const char *meeting;
  const char *rules;
  const char *only;
  const char *figures;  ///< as `only`, of a sweep
  const char *patience; ///< seconds; null: as is usual
  const char *aim;
  const char *box;
  const char *best;    ///< a count; null: as is usual
  const char *threads; ///< likewise
  const char *repeat;  ///< null: once
  struct quantity air, matched, height, length, speed, spacing;
  bool check_only; ///< --check
  bool convert;    ///< --convert
  bool external;   ///< --external
  bool to_stdout;  ///< --stdout
  bool series;     ///< --series
  bool colour_out; ///< on standard output
  bool colour_err; ///< on standard error
  size_t width;
};

/// Most arenas that a run has: its own, and one for each program that is loaded at a time.
#define ARENA_LIMIT 8

/// A run of one command.
struct run {
  struct pl_guard *guard;
  struct pl_arena *arena; ///< of the run itself
  struct pl_map *sources; ///< identities of the files that were to be read; see is_source
  size_t source_count;
  struct pl_arena *arenas[ARENA_LIMIT];
  size_t arena_count;
  struct pl_session *session;
  const struct options *options;
  enum status status;
  size_t errors; ///< printed so far
  size_t warnings;
  int output_error; ///< what standard output failed by first; 0: it did not
};

/// A command: its name, what it takes, and what it does.
struct command {
  const char *name;
  const char *usage; ///< behind "pitleaf NAME"
  const char *summary;
  const char *details;
  const char *options; ///< names of the options that it takes, blank-separated
  const char *formats; ///< what --as may say; "" where it is not taken
  size_t least_words;
  size_t most_words;
  void (*perform)(struct run *run);
};

/// One option: its names, what stands behind it, what it does.
struct option {
  const char *name;
  const char *brief;    ///< "" if it has no letter
  const char *argument; ///< "" if nothing stands behind it
  const char *help;     ///< "" for the format, of which each command has its own
};

extern const struct command commands[];
extern const size_t command_count;

void command_check(struct run *run);
void command_figures(struct run *run);
void command_sheet(struct run *run);
void command_meeting(struct run *run);
void command_scrutineer(struct run *run);
void command_compare(struct run *run);
void command_log(struct run *run);
void command_explain(struct run *run);
void command_choose(struct run *run);
void command_curve(struct run *run);
void command_drop(struct run *run);
void command_bump(struct run *run);
void command_sweep(struct run *run);
void command_weather(struct run *run);
void command_describe(struct run *run);
void command_lsp(struct run *run);
void command_tidy(struct run *run);

/// Reads the command line behind the command's name. False after a message on standard error.
bool read_options(const struct command *command, int count, char **arguments,
                  struct options *options, const char ***words);
/// The options by number, from 0, in the order of their names; null behind the last.
const struct option *option_at(size_t which);
/// Does the command take an option of that name?
bool takes_option(const struct command *command, const char *name);
/// The words that may stand behind an option whose argument is called so ("WHEN"), with blanks
/// between them; "" where that is open.
const char *words_of_argument(const char *argument);
/// Are the folders there that --root and --library name? False after a message.
bool folders_are_there(const struct options *options);
/// Prints the help of a command, or, with null, of the program.
void print_help(const struct command *command);

/// An arena that is freed when the run ends, also where memory ran out in it. A run asks for
/// at most ARENA_LIMIT of them.
struct pl_arena *new_arena(struct run *run);

/// Raises the run's status.
void raise_status(struct run *run, enum status status);
/// Puts text on standard output; a failure raises the status.
void put_text(struct run *run, const char *text);
void put_bytes(struct run *run, const void *bytes, size_t length);
/// Says something on standard error, in one line whatever is named in it: what would end a
/// line or steer a terminal is shown by its code.
void put_message(const char *format, ...) __attribute__((format(printf, 1, 2)));
/// The same of a run, whose status tells where memory did not suffice for that.
void put_run_message(struct run *run, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/// Says on standard error why something was not done.
void complain(struct run *run, const char *format, ...) __attribute__((format(printf, 2, 3)));
/// The same for a name that nothing has; `near` is the one that was meant, or null.
void complain_unknown(struct run *run, const char *what, const char *name, const char *near);
/// Prints problems on standard error and raises the status by them. `printed` (may be null)
/// holds what was printed already, so that a shared library's problems show once. `arena` is
/// for what is needed meanwhile.
void put_diagnostics(struct run *run, struct pl_arena *arena,
                     const struct pl_diagnostics *problems, struct pl_map *printed);
/// The same for the problems of a program.
void put_problems(struct run *run, const struct pl_program *program, struct pl_map *printed);

/// Reads the keys of --only, or of --figures, into a list of figures; false after a message.
bool read_choice(struct run *run, struct pl_figure_choice *choice);
/// The same; without --only the figures that a racer asks for first.
bool read_choice_or_told(struct run *run, struct pl_figure_choice *choice);

/// Tells what is to be known of a sweep's points, as problems of the command line.
void put_sweep_remarks(struct run *run, const struct pl_sweep *sweep, bool with_errors);

/// compare --external: what git gives to a diff command.
void compare_for_git(struct run *run);
/// compare --convert: the file as plain lines.
void convert_for_git(struct run *run);

/// A file's setup with its figures, all checked. Null after the problems were printed.
struct pl_figures *load_figures(struct run *run, const char *path, const char *setup_name,
                                struct pl_figures *base, struct pl_program **program);
/// The figures of a setup that says nothing: of a form to be filled in by hand.
struct pl_figures *form_figures(struct run *run, struct pl_arena *arena);
/// The base of a comparison: a file, or a setup of the program's by name.
struct pl_figures *load_base(struct run *run, const char *base, struct pl_program *beside);

/// The mistakes of a meeting's program that lie within one entry.
struct pl_diagnostics *mistakes_of_entry(struct pl_arena *arena,
                                         const struct pl_program *program,
                                         const struct pl_entry *entry);
/// Has a meeting mistakes beside those of single entries? `but_measured`: only what was
/// measured may have them.
bool is_spoilt(const struct pl_program *program, const struct pl_meeting *meeting,
               bool but_measured);

/// What --template names, in their order, PL_MOST_TEMPLATES at the most: templates by name,
/// then files that hold one.
void choose_templates(struct run *run, struct pl_program *program,
                      struct pl_template_choice *choices);
/// Prints what is wrong with the files of templates.
void put_template_problems(struct run *run, const struct pl_template_choice *choices);

/// A sheet never takes the place of what it is made from. False after a message.
bool may_write(struct run *run, const struct pl_program *program,
               const struct pl_figures *base);
/// Draws the sheet of checked figures, of the pages that --template names, else of `usual`
/// (null: the race sheet), and prints all problems; nothing is written when the input has
/// errors.
void print_sheet(struct run *run, struct pl_program *program, struct pl_figures *figures,
                 struct pl_figures *base, const char *usual);

/// Why something could not be made, as the end of a sentence: what is not declared. Of what is
/// wrong with what is declared, the warnings tell.
const char *what_it_needs(struct pl_arena *arena, const char *const *needs, size_t count);

/// The name of the file to write: the option's, or that of the first word with `ending` and
/// .pdf behind it.
const char *output_name(const struct run *run, const char *ending);
/// Why the file may not be written: it is one that the program is read from, or that cannot be
/// told. Null if it may. `what` is made (a sheet, a list).
const char *why_not_replaced(struct run *run, const char *name,
                             const struct pl_program *program, const char *what);
/// Is that, by whatever name and links, a file that was to be read, whether or not it could be?
bool is_source(struct run *run, const char *name);
/// Writes the bytes, whole or not at all; a dash means standard output.
void write_output(struct run *run, const char *name, const unsigned char *bytes, size_t length);
/// Says why a file was not written, with the mend: what the reason suggests, or `another`, such
/// as "name another file behind -o".
void complain_not_written(struct run *run, const char *name, int error, const char *another);
enum pl_paper_size paper_of(const struct run *run);
enum pl_direction direction_of(const struct run *run);

/// The unit system to print in: the option's, else the setup's.
enum pl_unit_system system_of(const struct run *run, const struct pl_setup *setup);
struct pl_text_style style_of(const struct run *run, const struct pl_setup *setup);

/// Reads "front-left.preload" or "damper.bore" below a place. False after a message.
bool read_path(struct run *run, const char *path, enum pl_place *place, const char **key);

#endif
