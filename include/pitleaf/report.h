// SPDX-License-Identifier: GPL-3.0-or-later
// report: what the program found, as text, JSON and CSV. Everything is returned as text in the
// given arena; nothing is printed here.
#ifndef PITLEAF_REPORT_H
#define PITLEAF_REPORT_H

#include "pitleaf/base.h"
#include "pitleaf/choice.h"
#include "pitleaf/compare.h"
#include "pitleaf/figures.h"
#include "pitleaf/history.h"
#include "pitleaf/model.h"
#include "pitleaf/rules.h"
#include "pitleaf/weather.h"

/// How text is laid out for its reader.
struct pl_text_style {
  size_t width; ///< columns of the terminal
  bool colour;  ///< escape sequences; never the only sign of anything
  enum pl_unit_system system;
};

/// A problem with its place, the source line with the place underlined, and the mend.
const char *pl_problem_text(struct pl_arena *arena, const struct pl_diagnostic *problem,
                            const struct pl_text_style *style);

/// Text made harmless for a terminal: control and direction-changing characters are shown by
/// their code points.
const char *pl_text_safe(struct pl_arena *arena, const char *text);

/// Columns that a text takes on a terminal.
size_t pl_text_columns(const char *text);

// ---------------------------------------------------------------- findings

/// The problems of several files, gathered for one document that machines read.
struct pl_findings;

/// Nothing found yet. `folder` is the real path of the working folder: paths below it are told
/// from there.
struct pl_findings *pl_findings_new(struct pl_arena *arena, const char *folder);

/// Adds a file that was checked, with its problems; what stands already (an included file is
/// read again with each that includes it) is not added again. `source` is null where the file
/// could not be read. Everything is copied: the file's own memory may go.
void pl_findings_add(struct pl_findings *findings, const char *path,
                     const struct pl_source *source, const struct pl_diagnostics *problems);

/// How many errors there are.
size_t pl_findings_errors(const struct pl_findings *findings);

/// The findings as JSON: an object with
///   "shape"        "pitleaf-problems"
///   "version"      of the shape, 1: raised when a member goes or means something else
///   "program"      "name" and "version"
///   "files"        each that was named or has a problem: "file", "named", "read", "sha256",
///                  "errors", "warnings"
///   "diagnostics"  the problems, by file and place; the other documents have such a list, too
///   "counts"       "files" (named), "errors", "warnings"
/// A problem has "code", "severity" (error, warning), "message", "hint" (the mend; "" for
/// none), "file", "line" and "column" (in characters, from 1) where it has a place,
/// "replacement" (what may stand in place of the span; null for none), "start" and "end" (null
/// for nowhere), and "related", a list of other places with a "message". A start or end has
/// "line", "column", the byte "offset" from 0, and "utf16-column" from 1.
const char *pl_findings_json(struct pl_arena *arena, const struct pl_findings *findings,
                             const char *version);

/// The findings as SARIF 2.1.0 (OASIS): one run, its rules made from the table of problems.
/// `status` is the program's exit status.
const char *pl_findings_sarif(struct pl_arena *arena, const struct pl_findings *findings,
                              const char *version, int status);

// ---------------------------------------------------------------- figures

/// Which figures are wanted; null keys mean all, with the settings.
struct pl_figure_choice {
  const enum pl_figure *figures;
  size_t count; ///< 0: all figures, and the settings too
};

/// Settings and figures of a setup, front and rear side by side.
const char *pl_figures_text(struct pl_arena *arena, struct pl_figures *figures,
                            const struct pl_figure_choice *choice,
                            const struct pl_text_style *style);
/// The same as JSON with the problems of `problems`. `figures` may be null: then there is
/// nothing but the problems.
const char *pl_figures_json(struct pl_arena *arena, struct pl_figures *figures,
                            const struct pl_figure_choice *choice,
                            const struct pl_diagnostics *problems);
/// The same as CSV: scope, key, value, unit. A figure's tolerance is a record of its own behind
/// the figure's.
const char *pl_figures_csv(struct pl_arena *arena, struct pl_figures *figures,
                           const struct pl_figure_choice *choice);

// ---------------------------------------------------------------- choosing

/// A choice with all that is told of it.
struct pl_choice_told {
  const struct pl_space *space;
  const char *box; ///< its name
  const struct pl_choice *choice;
  struct pl_figures *now;     ///< of the setup as it is
  const struct pl_made *made; ///< of each combination in the choice's list
};

/// A count of combinations, "1,036,800"; in powers of ten where nobody counts any more.
struct pl_count {
  char text[32];
};
struct pl_count pl_count_shown(double count);
/// The nearest combinations: what to change, the work, the figures before and after; and the
/// first of them as a setup.
const char *pl_choice_text(struct pl_arena *arena, const struct pl_choice_told *told,
                           const struct pl_text_style *style);
/// The same as JSON, with the lines and the setup of each.
const char *pl_choice_json(struct pl_arena *arena, const struct pl_choice_told *told);
/// How far left and right are apart with ports that differ by `difference` (m), and how well
/// the ports have to be matched; the chosen figures that depend on them. `figures` of the JSON
/// may be null, as above.
const char *pl_matching_text(struct pl_arena *arena, struct pl_figures *figures,
                             double difference, const struct pl_figure_choice *choice,
                             const struct pl_text_style *style);
const char *pl_matching_json(struct pl_arena *arena, struct pl_figures *figures,
                             double difference, const struct pl_figure_choice *choice,
                             const struct pl_diagnostics *problems);
const char *pl_matching_csv(struct pl_arena *arena, struct pl_figures *figures,
                            double difference, const struct pl_figure_choice *choice);

// ---------------------------------------------------------------- explaining, describing

/// Where a setting got its value, or how a figure came about.
const char *pl_explain_setting(struct pl_arena *arena, const struct pl_setup *setup,
                               enum pl_setting setting, enum pl_setting inner,
                               enum pl_place place, const struct pl_text_style *style);
/// The same of what has no row in the table, `NAME` of an extra or `ballast NAME`. Null if
/// nothing of that name is given at the place.
const char *pl_explain_unlisted(struct pl_arena *arena, const struct pl_setup *setup,
                                const char *name, enum pl_place place,
                                const struct pl_text_style *style);
const char *pl_explain_figure(struct pl_arena *arena, struct pl_figures *figures,
                              enum pl_figure figure, enum pl_place place,
                              const struct pl_text_style *style);

/// What the tables say of a key: a setting (in every block that has it), a figure, the code of
/// a problem, a unit. Null if nothing is called so.
const char *pl_describe_key(struct pl_arena *arena, const char *key,
                            const struct pl_text_style *style);
/// All keys of the tables, a line each.
const char *pl_describe_all(struct pl_arena *arena, const struct pl_text_style *style);
/// Every figure with symbol, formula, unit, inputs and source.
const char *pl_describe_physics(struct pl_arena *arena, const struct pl_text_style *style);
/// The reference manual in Markdown.
const char *pl_describe_markdown(struct pl_arena *arena);
/// The manual page of the language, pitleaf(5), for man: what a file holds, with every setting,
/// figure, problem and unit. `date` is the version's, as 2026-06-14.
const char *pl_describe_man(struct pl_arena *arena, const char *version, const char *date);
/// The keys of settings and figures and the codes of problems, each once, in the order of their
/// bytes.
const char *const *pl_describe_keys(struct pl_arena *arena, size_t *count);
/// The nearest key that pl_describe_key knows, or null.
const char *pl_describe_nearest(const char *key);

// ---------------------------------------------------------------- manual pages

/// What every reader of a figure has to know; paragraphs, ended by null.
extern const char *const pl_manual_cautions[];

/// Adds the head of a page for man: its name, section ("5") and one line on what it is about.
void pl_man_head(struct pl_buffer *out, const char *section, const char *version,
                 const char *date, const char *about);
/// Adds text as man wants it: every sign as itself, in ASCII, a line end at the end.
void pl_man_text(struct pl_buffer *out, const char *text);
/// Adds a heading (".SH", ".SS"), or a line of its own in bold (".B").
void pl_man_line(struct pl_buffer *out, const char *macro, const char *text);
/// Adds a paragraph under a hanging word; a second word in the same line is not bold.
void pl_man_item(struct pl_buffer *out, const char *word, const char *second, const char *text);
/// Adds the cautions, under their heading.
void pl_man_cautions(struct pl_buffer *out);

// ---------------------------------------------------------------- simulations

/// A simulation of all four corners.
struct pl_simulated_car {
  const struct pl_setup *setup;
  const struct pl_simulation *simulation;
  const struct pl_simulated *corners[4];
  const struct pl_simulated *series[4]; ///< with their moments; null: not wanted
};

/// What came of it, front and rear side by side, and in sentences how travels ended.
const char *pl_simulation_text(struct pl_arena *arena, const struct pl_simulated_car *car,
                               const struct pl_text_style *style);
/// The same as JSON, with the moments where they are wanted.
const char *pl_simulation_json(struct pl_arena *arena, const struct pl_simulated_car *car);
/// The moments as CSV: the corner, then a column for each trace, in metric units.
const char *pl_simulation_csv(struct pl_arena *arena, const struct pl_simulated_car *car);

// ---------------------------------------------------------------- comparing

const char *pl_comparison_text(struct pl_arena *arena, const struct pl_comparison *comparison,
                               const struct pl_text_style *style);
const char *pl_comparison_json(struct pl_arena *arena, const struct pl_comparison *comparison,
                               const struct pl_diagnostics *problems);

// ---------------------------------------------------------------- versions of a file

/// The first error of a list on one line, with its place, and how many more there are; "" for
/// none.
const char *pl_problem_line(struct pl_arena *arena, const struct pl_diagnostics *problems);
/// A change of a setting or a figure on one line: "rear-left preload 3.00 → 4.00 mm".
const char *pl_change_line(struct pl_arena *arena, const struct pl_change *change);
/// What differs between two versions of a file: for each setup the settings, each with the
/// figures that it moves most, then parts, then everything else as it is written. A version
/// with mistakes is compared as it is written. Each line begins with two blanks; never "".
const char *pl_difference_text(struct pl_arena *arena, struct pl_program *before,
                               struct pl_program *after, const struct pl_text_style *style);
/// The file as plain lines, one value each: setups by their values at each place, with those
/// figures; everything else, and a file with mistakes, as it is written, in one form.
const char *pl_flat_text(struct pl_arena *arena, struct pl_program *program,
                         const struct pl_figure_choice *choice, enum pl_unit_system system);

// ---------------------------------------------------------------- the log of a setup

/// What one commit made of a setup. It is gone, or has a mistake, or is compared with the last
/// version that had none (a file without setups by lines), or else is the first version.
struct pl_log_entry {
  const struct pl_commit *commit; ///< null: not committed
  const char *path;               ///< of the file, in that commit
  const char *renamed_from;       ///< null: it was called so before
  const char *setup;              ///< its name; null for a file without setups
  bool is_gone;
  const char *problem;                    ///< the first mistake; null: none
  const struct pl_comparison *comparison; ///< null: see `lines`
  const char *lines;                      ///< what pl_difference_text says; null: first version
  struct pl_figures *figures;             ///< of the first version; null without a setup
  bool is_cut;                            ///< older versions are not in this clone
  const char *const *files;               ///< those read that are not as they were
  size_t file_count;
};

/// Hash, date and subject, then what changed and the chosen figures that moved.
const char *pl_log_text(struct pl_arena *arena, const struct pl_log_entry *entry,
                        const struct pl_figure_choice *choice,
                        const struct pl_text_style *style);
/// An entry of the list "commits", without what stands around it.
const char *pl_log_json(struct pl_arena *arena, const struct pl_log_entry *entry,
                        const struct pl_figure_choice *choice);

// ---------------------------------------------------------------- curves

/// A small plot in the columns of the terminal, with its named points.
const char *pl_curve_text(struct pl_arena *arena, const struct pl_curve *curve,
                          enum pl_place place, const struct pl_text_style *style);
/// Two columns in the curve's units.
const char *pl_curve_csv(struct pl_arena *arena, const struct pl_curve *curve);
const char *pl_curve_json(struct pl_arena *arena, const struct pl_curve *curve,
                          enum pl_place place);

// ---------------------------------------------------------------- sweeping

/// A row for each value of one setting, a column for each figure that is shown; of two settings
/// a grid for each figure. What the setup has now is marked, and what cannot be told has a dash
/// and its reason beneath.
const char *pl_sweep_text(struct pl_arena *arena, const struct pl_sweep *sweep,
                          const struct pl_sweep_shown *shown, size_t count,
                          const struct pl_text_style *style);
/// A column for each setting that is swept and for each figure at each place of those that are
/// shown; a line for each point.
const char *pl_sweep_csv(struct pl_arena *arena, const struct pl_sweep *sweep,
                         const struct pl_sweep_shown *shown, size_t count);
/// "setup", "sweep" (each setting with its "scope", "key", "unit" and "values"), "points" (each
/// with its "values", "figures" by place and key, and those "missing"), "remarks" (what is to
/// be known of points, counted from 0; where one "differs", its words are those of its first
/// point, and the others have numbers of their own), "diagnostics" (of the file). `sweep` may
/// be null: then there are the problems alone.
const char *pl_sweep_json(struct pl_arena *arena, const struct pl_sweep *sweep,
                          const struct pl_sweep_shown *shown, size_t count,
                          const struct pl_diagnostics *problems);

// ---------------------------------------------------------------- the day's oil

/// Figures now and then with per cent, and for each axle the oils that come nearest, with the
/// line to write.
const char *pl_weather_text(struct pl_arena *arena, const struct pl_weather *weather,
                            const struct pl_text_style *style);
/// "setup", "temperature" (of what, now, then), "figures" by corner and key (now, then), "oils"
/// by axle ("unchanged", "best"; "excess" is a share of the slow damping now), "diagnostics".
/// `weather` may be null: then there are the problems alone.
const char *pl_weather_json(struct pl_arena *arena, const struct pl_weather *weather,
                            const struct pl_diagnostics *problems);

// ---------------------------------------------------------------- scrutineering

/// An entry with what the rules say of it.
struct pl_scrutinised {
  const char *file;   ///< "" where it brings none
  const char *setup;  ///< "" where there is none
  const char *number; ///< of the entry in a meeting, else ""
  const char *driver;
  const struct pl_judgement *judgement;
  const struct pl_diagnostics *problems; ///< of its file; null where it has no mistake
  bool in_meeting;                       ///< they are of what the meeting says of it
  const char *group;                     ///< of the entry in a meeting, else ""; for paper
  const char *mistake; ///< the first of its file's; "" where it has none; for paper
};

/// How many entries ended how.
struct pl_scrutiny_sum {
  size_t entries;
  size_t passed;
  size_t failed;
  size_t unknown;
  size_t not_concerned; ///< of other classes
};

/// Counts an entry.
void pl_scrutiny_count(struct pl_scrutiny_sum *sum, const struct pl_scrutinised *entry);

/// One line with the outcome, then the first mistake of its file with place and mend, each
/// failure with value, limit, excess, place and reason, and what cannot be judged with what to
/// measure.
const char *pl_scrutiny_text(struct pl_arena *arena, const struct pl_scrutinised *entry,
                             const struct pl_text_style *style);
/// "24 entries: 15 pass, 5 fail, 4 cannot be judged".
const char *pl_scrutiny_sum_text(struct pl_arena *arena, const struct pl_scrutiny_sum *sum);
/// An entry of the list "entries", without what stands around it.
const char *pl_scrutiny_json(struct pl_arena *arena, const struct pl_scrutinised *entry);
/// The head of the CSV, and an entry's lines: one for each rule at each place. A cell that a
/// spreadsheet would take for a formula has an apostrophe in front.
const char *pl_scrutiny_csv_head(void);
const char *pl_scrutiny_csv(struct pl_arena *arena, const struct pl_scrutinised *entry);
/// An entry as a suite of JUnit's XML, without what stands around all of them.
const char *pl_scrutiny_junit(struct pl_arena *arena, const struct pl_scrutinised *entry);

#endif
