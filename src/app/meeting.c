// SPDX-License-Identifier: GPL-3.0-or-later
// The meeting command: the packet of a race day, entry by entry.
#include "room.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/// How far the run is, on a terminal.
struct progress {
  bool shown; ///< standard error is a terminal
  struct timespec start;
  struct timespec last; ///< when it was last written
};

/// A packet in the making.
struct printing {
  struct run *run;
  struct pl_program *program; ///< of the meeting
  const struct pl_meeting *meeting;
  struct pl_packet packet;
  struct pl_packet_row *rows;
  struct pl_template_choice pages[PL_MOST_TEMPLATES];
  size_t page_count;
  struct pl_template_choice form;
  struct pl_arena *entry; ///< of the entry in hand: its program and its pages
  struct pl_pdf *pdf;     ///< null: only single files are written
  struct pl_map *printed; ///< problems that were printed
  struct pl_map *written; ///< names of single files
  struct progress progress;
  size_t warned; ///< entries whose files have warnings and no mistake
  bool failed;   ///< the packet cannot be written
};

// ---------------------------------------------------------------- progress

static double seconds_between(struct timespec from, struct timespec to) {
  return (double)(to.tv_sec - from.tv_sec) + (double)(to.tv_nsec - from.tv_nsec) * 1e-9;
}

static void show_progress(struct printing *printing, size_t done) {
  struct progress *const progress = &printing->progress;
  struct timespec now;
  if (!progress->shown || clock_gettime(CLOCK_MONOTONIC, &now) != 0) return;
  // Ten times a second is as much as an eye follows.
  if (done > 0 && seconds_between(progress->last, now) < 0.1) return;
  progress->last = now;
  const double spent = seconds_between(progress->start, now);
  fprintf(stderr, "\r\x1b[K%zu of %zu", done, printing->packet.count);
  if (spent > 0.5 && done > 0) fprintf(stderr, ", %.0f a second", (double)done / spent);
  fprintf(stderr, ", entry %s",
          pl_text_safe(printing->entry, printing->meeting->entries[done].number));
  fflush(stderr);
}

/// Makes room on the terminal for a line of another kind.
static void clear_progress(const struct printing *printing) {
  if (printing->progress.shown) fputs("\r\x1b[K", stderr);
}

// ---------------------------------------------------------------- files

/// "7B" as part of a file's name: nothing but letters and digits of ASCII, so that no number
/// leads out of the folder.
static const char *plain_number(struct pl_arena *arena, const char *number) {
  struct pl_buffer out = {.arena = arena};
  for (const char *next = number; *next != '\0'; next++) {
    const bool plain = (*next >= '0' && *next <= '9') || (*next >= 'A' && *next <= 'Z') ||
                       (*next >= 'a' && *next <= 'z');
    pl_buffer_add(&out, plain ? next : "_", 1);
  }
  return pl_buffer_string(&out);
}

/// The name of an entry's own file; another one where two numbers read the same.
static const char *single_name(struct printing *printing, const char *number) {
  struct pl_arena *const arena = printing->run->arena;
  const char *const plain = plain_number(arena, number);
  const char *name = pl_format(arena, "%s/entry-%s.pdf", printing->run->options->split, plain);
  for (size_t i = 2; pl_map_set(printing->written, name, printing) != NULL; i++)
    name = pl_format(arena, "%s/entry-%s-%zu.pdf", printing->run->options->split, plain, i);
  return name;
}

static void write_single(struct printing *printing, const char *number,
                         const struct pl_paper *paper) {
  struct run *const run = printing->run;
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  const char *const name = single_name(printing, number);
  if (pl_paper_to_pdf(printing->entry, paper, &bytes, &length, &message) != PL_PDF_OK) {
    clear_progress(printing);
    complain(run, "`%s` was not written: %s", name, message);
    return;
  }
  if (is_source(run, name)) {
    clear_progress(printing);
    complain(run, "`%s` was not written: it was to be read; name another folder behind --split",
             name);
    return;
  }
  const int error = pl_write_whole(name, bytes, length);
  if (error == 0) return;
  clear_progress(printing);
  complain_not_written(run, name, error, "name another folder behind --split");
}

static void put_pages(struct printing *printing, struct pl_packet_row *row,
                      const struct pl_paper *paper) {
  const char *message = NULL;
  if (printing->run->options->split != NULL) write_single(printing, row->number, paper);
  if (printing->pdf == NULL || printing->failed) return;
  if (pl_pdf_add(printing->pdf, paper, &message) == PL_PDF_OK) return;
  clear_progress(printing);
  complain(printing->run, "no packet was written: entry %s: %s", row->number, message);
  printing->failed = true;
}

// ---------------------------------------------------------------- entries

/// What the meeting says of an entry, for the heading of its pages, whatever the setup says: a
/// setup may be of another day.
#define GIVEN_COUNT 7

static void fill_given(const struct printing *printing, const struct pl_entry *entry,
                       struct pl_given given[GIVEN_COUNT]) {
  const struct pl_meeting *const meeting = printing->meeting;
  const struct pl_given all[GIVEN_COUNT] = {{PL_SETTING_ENTRY, entry->number},
                                            {PL_SETTING_DRIVER, entry->driver},
                                            {PL_SETTING_TRANSPONDER, entry->transponder},
                                            {PL_SETTING_CLASS, entry->class_name},
                                            {PL_SETTING_DATE, meeting->date},
                                            {PL_SETTING_TRACK_NAME, meeting->track_name},
                                            {PL_SETTING_EVENT, meeting->name}};
  memcpy(given, all, sizeof all);
  // A character that the font lacks is the organiser's, and spoils no entrant's sheet.
  for (size_t i = 0; i < GIVEN_COUNT; i++)
    given[i].text = pl_text_with_codes(printing->entry, given[i].text);
}

static struct pl_paper *paper_for(struct printing *printing, struct pl_packet_row *row,
                                  const struct pl_entry *entry, struct pl_figures *figures,
                                  struct pl_diagnostics *problems) {
  struct pl_given given[GIVEN_COUNT];
  fill_given(printing, entry, given);
  const bool is_form = row->kind == PL_PACKET_FORM;
  const struct pl_sheet_request request = {
      .figures = figures,
      .form_only = is_form,
      .templates = is_form ? &printing->form : printing->pages,
      .template_count = is_form ? 1 : printing->page_count,
      .paper = printing->packet.paper,
      .direction = printing->packet.direction,
      .system = system_of(printing->run, pl_figures_setup(figures)),
      .given = given,
      .given_count = GIVEN_COUNT,
      .group = entry->group,
      .packet_page = printing->pdf == NULL ? 0 : row->page + 1,
      .outline = pl_packet_title(printing->entry, &printing->packet, row),
      .version = PITLEAF_VERSION};
  return pl_sheet_new(printing->entry, &request, problems);
}

static const char *kept_text(struct printing *printing, const char *text) {
  return pl_copy_text(printing->run->arena, text, strlen(text));
}

/// Fills what the meeting leaves open about an entry from its setup.
static void fill_row(struct printing *printing, struct pl_packet_row *row,
                     const struct pl_setup *setup) {
  const struct {
    enum pl_setting setting;
    const char **text;
  } open[] = {{PL_SETTING_DRIVER, &row->driver}, {PL_SETTING_CLASS, &row->class_name}};
  row->setup = kept_text(printing, pl_setup_name(setup));
  for (size_t i = 0; i < sizeof open / sizeof open[0]; i++) {
    const struct pl_value *const value = &pl_setup_get(setup, open[i].setting, PL_CAR)->value;
    if ((*open[i].text)[0] == '\0' && value->kind == PL_VALUE_TEXT)
      *open[i].text = kept_text(printing, value->text);
  }
}

/// The sheet of an entry's file; null when the file has mistakes.
static struct pl_paper *sheet_of(struct printing *printing, struct pl_packet_row *row,
                                 const struct pl_entry *entry, struct pl_program *program) {
  struct pl_diagnostics *const problems = pl_program_problems(program);
  const struct pl_setup *const setup =
      pl_program_unreadable(program) ? NULL : pl_program_setup(program, entry->setup_name);
  if (setup == NULL) return NULL;
  struct pl_figures *const figures = pl_figures_new(setup, NULL);
  pl_setup_check(setup);
  pl_figures_check(figures);
  fill_row(printing, row, setup);
  if (problems->errors > 0) return NULL;
  return paper_for(printing, row, entry, figures, problems);
}

static struct pl_paper *form_of(struct printing *printing, struct pl_packet_row *row,
                                const struct pl_entry *entry) {
  struct pl_figures *const figures = form_figures(printing->run, printing->entry);
  row->kind = PL_PACKET_FORM;
  return paper_for(printing, row, entry, figures, pl_diagnostics_new(printing->entry));
}

/// The output must not take the place of what it is made from.
static void guard_output(struct printing *printing, const struct pl_program *program) {
  const char *const name = output_name(printing->run, "");
  if (printing->pdf == NULL || printing->failed) return;
  const char *const why = why_not_replaced(printing->run, name, program, "packet");
  if (why == NULL) return;
  clear_progress(printing);
  complain(printing->run, "%s", why);
  printing->failed = true;
}

/// One bad entry is a fault of the input, also where its file cannot be read. Warnings are the
/// entrant's business: of two hundred files they would hide what the organiser has to see.
static void put_entry_problems(struct printing *printing, const struct pl_program *program) {
  struct run *const run = printing->run;
  const enum status before = run->status;
  if (pl_program_problems(program)->errors == 0) {
    printing->warned += pl_program_problems(program)->warnings > 0 ? 1 : 0;
    return;
  }
  clear_progress(printing);
  put_problems(run, program, printing->printed);
  run->status = before;
  raise_status(run, STATUS_WRONG);
}

static void add_entry(struct printing *printing, const struct pl_entry *entry,
                      struct pl_packet_row *row) {
  *row = (struct pl_packet_row){
      .number = entry->number,
      .driver = entry->driver,
      .class_name = entry->class_name,
      .group = entry->group,
      .setup = "",
      .page = printing->pdf == NULL ? 0 : pl_pdf_page_count(printing->pdf)};
  if (entry->setup_path[0] == '\0') {
    put_pages(printing, row, form_of(printing, row, entry));
    return;
  }
  struct pl_program *const program = pl_entry_load(printing->program, printing->entry, entry);
  const struct pl_paper *paper = sheet_of(printing, row, entry, program);
  put_entry_problems(printing, program);
  if (paper == NULL) {
    row->kind = PL_PACKET_MISTAKES;
    paper =
        pl_mistakes_new(printing->entry, &printing->packet, row, pl_program_problems(program));
  }
  guard_output(printing, program);
  put_pages(printing, row, paper);
}

// ---------------------------------------------------------------- the whole

/// What the pages are: --template's, the meeting's, or the race sheet. False after a report.
static bool choose_pages(struct printing *printing) {
  struct run *const run = printing->run;
  const struct pl_meeting *const meeting = printing->meeting;
  struct pl_diagnostics *const problems = pl_program_problems(printing->program);
  if (run->options->template_count > 0) {
    choose_templates(run, printing->program, printing->pages);
    printing->page_count = run->options->template_count;
  } else {
    for (size_t i = 0; i < meeting->template_count && i < PL_MOST_TEMPLATES; i++)
      printing->pages[i].name = meeting->templates[i];
    printing->page_count = meeting->template_count;
    if (printing->page_count > PL_MOST_TEMPLATES) printing->page_count = PL_MOST_TEMPLATES;
  }
  if (printing->page_count == 0) printing->page_count = 1; // the race sheet
  bool whole = true;
  for (size_t i = 0; i < printing->page_count; i++) {
    struct pl_template_choice *const page = &printing->pages[i];
    page->read = pl_template_read(run->arena, page, printing->program, problems);
    whole = whole && page->read != NULL;
  }
  printing->form.name = "blank form";
  printing->form.read =
      pl_template_read(run->arena, &printing->form, printing->program, problems);
  if (run->options->template_count > 0) put_template_problems(run, printing->pages);
  return whole && printing->form.read != NULL;
}

static void write_packet(struct printing *printing) {
  struct run *const run = printing->run;
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  struct pl_paper *const cover = pl_cover_new(run->arena, &printing->packet);
  if (pl_pdf_add_front(printing->pdf, cover, &message) != PL_PDF_OK ||
      pl_pdf_end(printing->pdf, cover, &bytes, &length, &message) != PL_PDF_OK) {
    complain(run, "no packet was written: %s", message);
    return;
  }
  write_output(run, output_name(run, ""), bytes, length);
}

/// The folder for single files, made if it is not there. False after a message.
static bool prepare_folder(struct run *run) {
  const char *const folder = run->options->split;
  const int error = folder == NULL ? 0 : pl_make_folder(folder);
  if (error == 0) return true;
  complain(run, "--split: the folder `%s` cannot be made: %s; name another", folder,
           strerror(error));
  return false;
}

static void print_entries(struct printing *printing) {
  const struct pl_meeting *const meeting = printing->meeting;
  for (size_t i = 0; i < meeting->entry_count; i++) {
    show_progress(printing, i);
    add_entry(printing, &meeting->entries[i], &printing->rows[i]);
    pl_arena_reset(printing->entry);
  }
  clear_progress(printing);
  if (printing->warned > 0)
    fprintf(stderr, "%zu file%s of entries %s warnings; `pitleaf check FILE` shows them\n",
            printing->warned, printing->warned == 1 ? "" : "s",
            printing->warned == 1 ? "has" : "have");
}

static void print_meeting(struct printing *printing) {
  struct run *const run = printing->run;
  const struct pl_meeting *const meeting = printing->meeting;
  printing->rows = pl_alloc_array(run->arena, meeting->entry_count, sizeof *printing->rows);
  printing->packet = (struct pl_packet){.name = meeting->name,
                                        .date = meeting->date,
                                        .track_name = meeting->track_name,
                                        .event = meeting->event,
                                        .rows = printing->rows,
                                        .count = meeting->entry_count,
                                        .look = printing->pages[0].read,
                                        .paper = paper_of(run),
                                        .direction = direction_of(run),
                                        .version = PITLEAF_VERSION};
  printing->entry = new_arena(run);
  printing->printed = pl_map_new(run->arena);
  printing->written = pl_map_new(run->arena);
  if (run->options->split == NULL || run->options->output != NULL)
    printing->pdf = pl_pdf_new(run->arena);
  pl_entries_note(printing->program, meeting); // before the first is written
  guard_output(printing, printing->program);
  print_entries(printing);
  if (printing->pdf != NULL && !printing->failed) write_packet(printing);
}

static void check_measured(void *context, const struct pl_block *block, bool in_main) {
  if (in_main) pl_measured_check(context, block);
}

void command_meeting(struct run *run) {
  struct printing *const printing = pl_alloc(run->arena, sizeof *printing);
  printing->run = run;
  printing->program = pl_program_load(run->session, new_arena(run), run->options->words[0]);
  printing->progress.shown = isatty(STDERR_FILENO) != 0;
  clock_gettime(CLOCK_MONOTONIC, &printing->progress.start);
  if (!pl_program_unreadable(printing->program)) {
    printing->meeting = pl_program_meeting(printing->program, run->options->meeting);
    pl_program_each(printing->program, PL_BLOCK_MEETING, check_measured, printing->program);
  }
  // What was measured is on no page: a mistake in it leaves the packet as it is.
  const bool ready = printing->meeting != NULL && choose_pages(printing) &&
                     !is_spoilt(printing->program, printing->meeting, true);
  put_problems(run, printing->program, NULL);
  if (!ready) {
    fputs("pitleaf: no packet was written, because of the errors above\n", stderr);
    return;
  }
  if (prepare_folder(run)) print_meeting(printing);
}
