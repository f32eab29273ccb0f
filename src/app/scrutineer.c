// SPDX-License-Identifier: GPL-3.0-or-later
// The scrutineer command: rules judged on files and on the entries of meetings.
#include "room.h"

#include <stdio.h>
#include <string.h>

/// A list of entries being judged.
struct scrutiny {
  struct run *run;
  struct pl_program *program; ///< that holds the rules
  const struct pl_rules *rules;
  struct pl_arena *entry;    ///< of the entry in hand
  struct pl_arena *meetings; ///< of the meetings
  struct pl_map *printed;
  struct pl_scrutiny_sum sum;
  struct pl_arena *kept;          ///< of what the list on paper needs; null: there is none
  struct pl_scrutinised *entries; ///< likewise
  size_t count;
  size_t capacity;
  const char *title;
  const struct pl_meeting *meeting; ///< the last one; null: none was judged
  struct pl_template_choice choices[PL_MOST_TEMPLATES];
  const struct pl_template *look;
  bool certificates;
  size_t read_count; ///< of the files that were named, those that are there
  bool spoilt;       ///< a meeting could not be read: a list without its entries would mislead
};

// ---------------------------------------------------------------- printing

static void put_entry(struct scrutiny *scrutiny, const struct pl_scrutinised *entry) {
  struct run *const run = scrutiny->run;
  const bool first = scrutiny->sum.entries == 0;
  pl_scrutiny_count(&scrutiny->sum, entry);
  if (entry->judgement->outcome == PL_FAILS || entry->problems != NULL)
    raise_status(run, STATUS_WRONG);
  const struct pl_text_style style = style_of(run, NULL);
  switch (run->options->format) {
  case AS_JSON:
    put_text(run, first ? "" : ",\n");
    put_text(run, pl_scrutiny_json(scrutiny->entry, entry));
    break;
  case AS_CSV: put_text(run, pl_scrutiny_csv(scrutiny->entry, entry)); break;
  case AS_JUNIT: put_text(run, pl_scrutiny_junit(scrutiny->entry, entry)); break;
  default: put_text(run, pl_scrutiny_text(scrutiny->entry, entry, &style));
  }
}

static void put_head(struct run *run) {
  switch (run->options->format) {
  case AS_JSON: put_text(run, "{\"entries\": [\n"); break;
  case AS_CSV: put_text(run, pl_scrutiny_csv_head()); break;
  case AS_JUNIT:
    put_text(run, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites>\n");
    break;
  default: break;
  }
}

static void put_foot(struct scrutiny *scrutiny) {
  struct run *const run = scrutiny->run;
  switch (run->options->format) {
  case AS_JSON: put_text(run, "]}\n"); break;
  case AS_CSV: break;
  case AS_JUNIT: put_text(run, "</testsuites>\n"); break;
  default: put_text(run, pl_scrutiny_sum_text(run->arena, &scrutiny->sum));
  }
}

// ---------------------------------------------------------------- paper

static const char *kept_text(const struct scrutiny *scrutiny, const char *text) {
  return pl_copy_text(scrutiny->kept, text, strlen(text));
}

/// The first mistake of an entry's file, with its line; "" where there is none.
static const char *first_mistake(const struct scrutiny *scrutiny,
                                 const struct pl_diagnostics *problems) {
  if (problems == NULL) return "";
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  for (size_t i = 0; i < problems->count; i++) {
    if (pl_diagnostic_rows[sorted[i]->code].severity != PL_ERROR) continue;
    const char *const at = pl_span_place(scrutiny->kept, sorted[i]->span);
    return pl_format(scrutiny->kept, "%s%s%s", at, at[0] == '\0' ? "" : ": ",
                     sorted[i]->message);
  }
  return "";
}

/// Keeps an entry for the list on paper; its program may go.
static void keep(struct scrutiny *scrutiny, const struct pl_scrutinised *entry) {
  if (scrutiny->kept == NULL) return;
  scrutiny->entries = pl_grow(scrutiny->kept, scrutiny->entries, scrutiny->count,
                              &scrutiny->capacity, sizeof *scrutiny->entries);
  scrutiny->entries[scrutiny->count++] =
      (struct pl_scrutinised){.file = kept_text(scrutiny, entry->file),
                              .setup = kept_text(scrutiny, entry->setup),
                              .number = kept_text(scrutiny, entry->number),
                              .driver = kept_text(scrutiny, entry->driver),
                              .group = kept_text(scrutiny, entry->group),
                              .mistake = first_mistake(scrutiny, entry->problems),
                              .judgement = entry->judgement};
}

/// What --template says: certificates, or a club's template whose look the list takes. False
/// after a report.
static bool choose_look(struct scrutiny *scrutiny) {
  struct run *const run = scrutiny->run;
  struct pl_diagnostics *const problems = pl_program_problems(scrutiny->program);
  struct pl_template_choice look = {.name = NULL};
  choose_templates(run, scrutiny->program, scrutiny->choices);
  for (size_t i = 0; i < run->options->template_count; i++) {
    if (strcmp(run->options->templates[i], "certificate") == 0)
      scrutiny->certificates = true;
    else
      look = scrutiny->choices[i];
  }
  scrutiny->look = pl_template_read(run->arena, &look, scrutiny->program, problems);
  put_template_problems(run, scrutiny->choices);
  return scrutiny->look != NULL;
}

static void put_paper(struct scrutiny *scrutiny) {
  struct run *const run = scrutiny->run;
  static const struct pl_meeting no_meeting = {.date = "", .track_name = "", .event = ""};
  const struct pl_meeting *const meeting =
      scrutiny->meeting == NULL ? &no_meeting : scrutiny->meeting;
  const struct pl_scrutiny_request request = {.rules = scrutiny->rules,
                                              .entries = scrutiny->entries,
                                              .count = scrutiny->count,
                                              .title = scrutiny->title,
                                              .date = meeting->date,
                                              .track_name = meeting->track_name,
                                              .event = meeting->event,
                                              .look = scrutiny->look,
                                              .paper = paper_of(run),
                                              .direction = direction_of(run),
                                              .version = PITLEAF_VERSION};
  const struct pl_paper *const paper = scrutiny->certificates
                                           ? pl_certificates_new(scrutiny->kept, &request)
                                           : pl_scrutiny_list_new(scrutiny->kept, &request);
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  if (pl_paper_to_pdf(scrutiny->kept, paper, &bytes, &length, &message) != PL_PDF_OK)
    complain(run, "no list was written: %s", message);
  else
    write_output(run, output_name(run, ""), bytes, length);
}

/// A list never takes the place of what it is made from. False after a message.
static bool may_take(struct scrutiny *scrutiny, const struct pl_program *program) {
  struct run *const run = scrutiny->run;
  if (scrutiny->kept == NULL) return true;
  const char *const why = why_not_replaced(run, output_name(run, ""), program, "list");
  if (why == NULL) return true;
  complain(run, "%s", why);
  scrutiny->kept = NULL;
  return false;
}

// ---------------------------------------------------------------- entries

/// Prints what the system did not let be read, and why: it may say so once and never again, so
/// that `pitleaf check` would not tell it. True if there was anything.
static bool put_unread(struct scrutiny *scrutiny, const struct pl_program *program) {
  struct pl_arena *const arena = pl_program_arena(program);
  const struct pl_diagnostics *const all = pl_program_problems(program);
  struct pl_diagnostics *const unread = pl_diagnostics_new(arena);
  for (size_t i = 0; i < all->count; i++) {
    const enum pl_code code = all->items[i].code;
    if (code == PL_FILE_IS_UNREADABLE || code == PL_INCLUDE_UNREADABLE)
      pl_report_again(unread, &all->items[i]);
  }
  if (unread->count > 0) put_diagnostics(scrutiny->run, arena, unread, scrutiny->printed);
  return unread->count > 0;
}

/// Judges an entry by its figures, which are null where nothing is known.
static void judge_figures(struct scrutiny *scrutiny, struct pl_figures *figures,
                          struct pl_scrutinised *entry, const struct pl_entrant *entrant) {
  const struct pl_setup *const setup = figures == NULL ? NULL : pl_figures_setup(figures);
  entry->judgement =
      pl_judge(scrutiny->kept != NULL ? scrutiny->kept : scrutiny->entry, scrutiny->rules,
               figures, system_of(scrutiny->run, setup), entrant);
  put_entry(scrutiny, entry);
  keep(scrutiny, entry);
}

/// Judges what a program says; a file with mistakes is judged by what could be read of it.
static void judge_program(struct scrutiny *scrutiny, struct pl_program *program,
                          const char *setup_name, struct pl_scrutinised *entry,
                          const struct pl_entrant *entrant) {
  struct pl_diagnostics *const problems = program == NULL ? NULL : pl_program_problems(program);
  const struct pl_setup *const setup = program == NULL || pl_program_unreadable(program)
                                           ? NULL
                                           : pl_program_setup(program, setup_name);
  struct pl_figures *figures = NULL;
  if (setup != NULL) {
    pl_setup_check(setup);
    entry->setup = pl_setup_name(setup);
    // What a file with mistakes says is not taken at its word.
    if (problems->errors == 0) figures = pl_figures_new(setup, NULL);
  }
  if (problems != NULL && problems->errors > 0) entry->problems = problems;
  if (program != NULL) put_unread(scrutiny, program);
  if (program != NULL) may_take(scrutiny, program);
  judge_figures(scrutiny, figures, entry, entrant);
}

/// A meeting that names other rules than those by which its entries are judged.
static void compare_names(struct scrutiny *scrutiny, const struct pl_meeting *meeting,
                          struct pl_program *program) {
  struct pl_buffer names = {.arena = pl_program_arena(program)};
  for (size_t i = 0; i < meeting->rule_count; i++) {
    if (strcmp(meeting->rules[i], scrutiny->rules->name) == 0) return;
    pl_buffer_format(&names, "%s\"%s\"", i == 0 ? "" : ", ", meeting->rules[i]);
  }
  if (meeting->rule_count == 0 || scrutiny->run->options->rules != NULL) return;
  pl_report(pl_program_problems(program), PL_OTHER_RULES, meeting->span,
            PL_WORDS(meeting->name, pl_buffer_string(&names), scrutiny->rules->name));
}

static void judge_entry(struct scrutiny *scrutiny, struct pl_program *program,
                        const struct pl_entry *one) {
  struct pl_scrutinised entry = {.file = one->setup_path,
                                 .setup = "",
                                 .number = one->number,
                                 .driver = one->driver,
                                 .group = one->group};
  struct pl_entrant entrant = {.class_name = one->class_name,
                               .meeting = program,
                               .measured = one->measured,
                               .with_sights = scrutiny->kept != NULL};
  const struct pl_diagnostics *const mistakes =
      mistakes_of_entry(scrutiny->entry, program, one);
  if (mistakes->errors > 0) {
    // A file that passes says nothing where what was measured cannot be read.
    entry.problems = mistakes;
    entry.in_meeting = true;
    entrant.measured = NULL;
    judge_figures(scrutiny, NULL, &entry, &entrant);
    return;
  }
  struct pl_program *const own =
      one->setup_path[0] == '\0' ? NULL : pl_entry_load(program, scrutiny->entry, one);
  judge_program(scrutiny, own, one->setup_name, &entry, &entrant);
}

static void judge_meeting(struct scrutiny *scrutiny, struct pl_program *program) {
  const struct pl_meeting *const meeting =
      pl_program_meeting(program, scrutiny->run->options->meeting);
  if (meeting == NULL || is_spoilt(program, meeting, false)) {
    scrutiny->spoilt = true;
    return;
  }
  scrutiny->title = meeting->name;
  scrutiny->meeting = meeting;
  compare_names(scrutiny, meeting, program);
  may_take(scrutiny, program);
  for (size_t i = 0; i < meeting->entry_count; i++) {
    judge_entry(scrutiny, program, &meeting->entries[i]);
    pl_arena_reset(scrutiny->entry);
  }
}

static void find_meeting(void *context, const struct pl_block *block, bool in_main) {
  (void)block;
  if (in_main) *(bool *)context = true;
}

static void check_measured(void *context, const struct pl_block *block, bool in_main) {
  if (in_main) pl_measured_check(context, block);
}

/// A file that holds a meeting, or a setup.
static void judge_file(struct scrutiny *scrutiny, const char *path) {
  bool has_meeting = false;
  struct pl_program *program =
      pl_program_load_alone(scrutiny->run->session, scrutiny->entry, path);
  pl_program_each(program, PL_BLOCK_MEETING, find_meeting, &has_meeting);
  if (pl_program_unreadable(program) && put_unread(scrutiny, program)) {
    // It may have been a meeting.
    scrutiny->spoilt = true;
    raise_status(scrutiny->run, STATUS_NOT_DONE);
  }
  if (!pl_program_unreadable(program)) scrutiny->read_count++;
  if (!has_meeting) {
    struct pl_scrutinised entry = {
        .file = path, .setup = "", .number = "", .driver = "", .group = ""};
    const struct pl_entrant entrant = {.class_name = "", .with_sights = scrutiny->kept != NULL};
    judge_program(scrutiny, program, scrutiny->run->options->setup, &entry, &entrant);
    pl_arena_reset(scrutiny->entry);
    return;
  }
  pl_arena_reset(scrutiny->entry);
  // The organiser's own file may include what any file of theirs may.
  program = pl_program_load(scrutiny->run->session, scrutiny->meetings, path);
  pl_program_each(program, PL_BLOCK_MEETING, check_measured, program);
  judge_meeting(scrutiny, program);
  put_problems(scrutiny->run, program, scrutiny->printed);
  if (scrutiny->spoilt && pl_program_problems(program)->errors > 0)
    fprintf(stderr,
            "pitleaf: the entries of `%s` were not judged, because of the errors above\n",
            pl_text_safe(scrutiny->run->arena, path));
}

void command_scrutineer(struct run *run) {
  struct scrutiny scrutiny = {.run = run};
  scrutiny.program = pl_program_load(run->session, new_arena(run), run->options->words[0]);
  if (!pl_program_unreadable(scrutiny.program))
    scrutiny.rules = pl_program_rules(scrutiny.program, run->options->rules);
  const bool on_paper = run->options->output != NULL;
  const bool ready = scrutiny.rules != NULL && (!on_paper || choose_look(&scrutiny)) &&
                     pl_program_problems(scrutiny.program)->errors == 0;
  put_problems(run, scrutiny.program, NULL);
  if (!ready) {
    fputs("pitleaf: nothing was judged, because of the errors above\n", stderr);
    return;
  }
  scrutiny.entry = new_arena(run);
  scrutiny.meetings = new_arena(run);
  scrutiny.printed = pl_map_new(run->arena);
  scrutiny.title = scrutiny.rules->name;
  if (on_paper) scrutiny.kept = new_arena(run);
  may_take(&scrutiny, scrutiny.program);
  if (!on_paper && run->options->template_count > 0)
    complain(run, "--template is for what -o writes; name a file behind -o");
  put_head(run);
  for (size_t i = 1; i < run->options->word_count; i++)
    judge_file(&scrutiny, run->options->words[i]);
  put_foot(&scrutiny);
  // Names of which none is a file are a slip on the command line, and no entry's mistake.
  if (scrutiny.read_count == 0) raise_status(run, STATUS_NOT_DONE);
  if (scrutiny.spoilt && on_paper)
    fputs("pitleaf: no list was written, because of the errors above\n", stderr);
  else if (scrutiny.kept != NULL)
    put_paper(&scrutiny);
}
