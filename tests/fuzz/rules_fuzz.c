// SPDX-License-Identifier: GPL-3.0-or-later
// Rules and meetings: all rules of a file judged on its setups and on the entries of its
// meeting, told in all forms, and on paper; and the cover of the meeting's packet.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "target.h"

#include "paper.h"

#include "pitleaf/editor.h"
#include "pitleaf/rules.h"
#include "pitleaf/sheet.h"

/// That of the race sheet, whose look the pages have, mm.
#define MARGIN 9.0

#define ENTRY_LIMIT 4
#define RULES_LIMIT 2

/// A file's rules at work.
struct scrutiny {
  struct target *target;
  struct pl_program *program;
  const struct pl_rules *rules;
  struct pl_scrutinised entries[ENTRY_LIMIT];
  size_t count;
  const struct pl_template *look;
  size_t rules_left; ///< so many more are judged by
};

static void tell(struct scrutiny *scrutiny, const struct pl_scrutinised *entry) {
  struct pl_arena *const arena = scrutiny->target->arena;
  (void)pl_scrutiny_text(arena, entry, &metric_style);
  check_json("a judgement", pl_scrutiny_json(arena, entry));
  (void)pl_scrutiny_csv(arena, entry);
  (void)pl_scrutiny_junit(arena, entry);
  const struct pl_judgement *const judgement = entry->judgement;
  if (judgement->outcome == PL_PASSES && judgement->failed + judgement->unknown > 0)
    broken("what fails or is unknown passes");
  if (scrutiny->count < ENTRY_LIMIT) scrutiny->entries[scrutiny->count++] = *entry;
}

static void judge_setups(struct scrutiny *scrutiny) {
  struct target *const target = scrutiny->target;
  for (size_t i = 0; i < 2; i++) {
    struct pl_figures *const figures = figures_of(scrutiny->program, i);
    if (figures == NULL) return;
    const struct pl_entrant entrant = {.class_name = "", .with_sights = true};
    const struct pl_scrutinised entry = {
        .file = "entry.leaf",
        .setup = pl_setup_name(pl_figures_setup(figures)),
        .number = "",
        .driver = "",
        .group = "",
        .mistake = "",
        .judgement = pl_judge(target->arena, scrutiny->rules, figures,
                              i == 0 ? PL_METRIC : PL_IMPERIAL, &entrant)};
    tell(scrutiny, &entry);
  }
}

static void judge_entry(struct scrutiny *scrutiny, const struct pl_entry *one) {
  struct target *const target = scrutiny->target;
  struct pl_scrutinised entry = {.file = one->setup_path,
                                 .setup = "",
                                 .number = one->number,
                                 .driver = one->driver,
                                 .group = one->group,
                                 .mistake = ""};
  const struct pl_entrant entrant = {.class_name = one->class_name,
                                     .meeting = scrutiny->program,
                                     .measured = one->measured,
                                     .with_sights = true};
  struct pl_program *const own =
      one->setup_path[0] == '\0' ? NULL : pl_entry_load(scrutiny->program, target->arena, one);
  struct pl_figures *figures = NULL;
  if (own != NULL) check_files(target, own);
  if (own != NULL && !pl_program_unreadable(own)) figures = figures_of(own, 0);
  if (own != NULL && pl_program_problems(own)->errors > 0) {
    entry.problems = pl_program_problems(own);
    entry.mistake = entry.problems->items[0].message;
    figures = NULL;
  }
  entry.judgement = pl_judge(target->arena, scrutiny->rules, figures, PL_METRIC, &entrant);
  tell(scrutiny, &entry);
}

static void check_paper(struct pl_arena *arena, const struct pl_paper *paper) {
  (void)pl_paper_as_text(arena, paper);
  for (size_t i = 0; i < paper->page_count; i++)
    pl_check_page(paper->pages[i], MARGIN, "a page of the organiser's");
}

static void put_on_paper(struct scrutiny *scrutiny, const struct pl_meeting *meeting) {
  static const struct pl_meeting none = {
      .name = "no meeting", .date = "", .track_name = "", .event = ""};
  const struct pl_meeting *const event = meeting == NULL ? &none : meeting;
  struct pl_arena *const arena = scrutiny->target->arena;
  const struct pl_scrutiny_request request = {.rules = scrutiny->rules,
                                              .entries = scrutiny->entries,
                                              .count = scrutiny->count,
                                              .title = event->name,
                                              .date = event->date,
                                              .track_name = event->track_name,
                                              .event = event->event,
                                              .look = scrutiny->look,
                                              .version = "0"};
  check_paper(arena, pl_scrutiny_list_new(arena, &request));
  check_paper(arena, pl_certificates_new(arena, &request));
}

static void put_cover(struct scrutiny *scrutiny, const struct pl_meeting *meeting) {
  struct pl_arena *const arena = scrutiny->target->arena;
  struct pl_packet_row rows[ENTRY_LIMIT];
  const size_t count = meeting->entry_count < ENTRY_LIMIT ? meeting->entry_count : ENTRY_LIMIT;
  const struct pl_packet packet = {.name = meeting->name,
                                   .date = meeting->date,
                                   .track_name = meeting->track_name,
                                   .event = meeting->event,
                                   .rows = rows,
                                   .count = count,
                                   .look = scrutiny->look,
                                   .version = "0"};
  for (size_t i = 0; i < count; i++) {
    const struct pl_entry *const entry = &meeting->entries[i];
    rows[i] = (struct pl_packet_row){.number = entry->number,
                                     .driver = entry->driver,
                                     .class_name = entry->class_name,
                                     .group = entry->group,
                                     .setup = entry->setup_path,
                                     .kind = i == 0 ? PL_PACKET_MISTAKES : PL_PACKET_FORM,
                                     .page = i};
  }
  check_paper(arena, pl_cover_new(arena, &packet));
  if (count > 0)
    check_paper(arena, pl_mistakes_new(arena, &packet, &rows[0],
                                       pl_program_problems(scrutiny->program)));
}

static void judge(void *context, const struct pl_block *block, bool in_main) {
  struct scrutiny *const scrutiny = context;
  if (!in_main || scrutiny->rules_left == 0) return;
  scrutiny->rules_left--;
  scrutiny->rules = pl_program_rules(scrutiny->program, block->name);
  scrutiny->count = 0;
  if (scrutiny->rules == NULL) return;
  judge_setups(scrutiny);
  const struct pl_meeting *const meeting = pl_program_meeting(scrutiny->program, NULL);
  for (size_t i = 0; meeting != NULL && i < meeting->entry_count && i < ENTRY_LIMIT; i++)
    judge_entry(scrutiny, &meeting->entries[i]);
  put_on_paper(scrutiny, meeting);
}

void try_input(struct target *target) {
  struct scrutiny scrutiny = {.target = target, .rules_left = RULES_LIMIT};
  scrutiny.program = pl_program_load(target->session, target->arena, write_files(target));
  if (pl_program_unreadable(scrutiny.program)) return;
  struct pl_arena *const scratch = pl_arena_new(target->guard);
  pl_program_check(scrutiny.program, NULL, scratch);
  pl_arena_free(scratch);
  struct pl_diagnostics *const problems = pl_program_problems(scrutiny.program);
  const struct pl_template_choice look = {.name = NULL};
  // As the commands do: nobody is judged by rules with mistakes.
  if (problems->errors == 0)
    scrutiny.look = pl_template_read(target->arena, &look, scrutiny.program, problems);
  if (scrutiny.look != NULL) {
    pl_program_each(scrutiny.program, PL_BLOCK_RULES, judge, &scrutiny);
    const struct pl_meeting *const meeting = pl_program_meeting(scrutiny.program, NULL);
    if (meeting != NULL) put_cover(&scrutiny, meeting);
  }
  tell_problems(target, scrutiny.program);
}
