// SPDX-License-Identifier: GPL-3.0-or-later
// What is done with a file: all that the program does.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "growth/stages.h"

#include "client.h"
#include "growth/work.h"

#include "pitleaf/rules.h"
#include "pitleaf/sheet.h"

#include <string.h>

const char *const stage_names[STAGE_COUNT] = {
    "read",  "check", "tell",  "tidy",   "figures", "explain", "difference",
    "sheet", "PDF",   "judge", "packet", "open",    "change",  "answers"};

static const struct pl_text_style style = {.width = 80, .system = PL_METRIC};
static const struct pl_figure_choice all_figures = {NULL, 0};

/// A file on its way through the stages.
struct way {
  struct pl_bench *bench;
  const char *text;
  size_t length;
  struct pl_program *program;
  struct pl_figures *figures; ///< of the first setup; null: none, or it has mistakes
  struct taken taken;
  uint64_t since;
};

static void begin(struct way *way) {
  way->since = work_done();
}

static void end(struct way *way, enum stage stage) {
  way->taken.work[stage] = work_done() - way->since;
}

static struct pl_source *source_of(const struct way *way) {
  struct pl_source *const source = pl_source_of_bytes(
      way->bench->arena, "file.leaf", (const unsigned char *)way->text, way->length);
  pl_source_mark(way->bench->arena, source);
  return source;
}

// ---------------------------------------------------------------- the file

static bool read_and_tidy(struct way *way) {
  struct pl_arena *const arena = way->bench->arena;
  struct pl_source *const source = source_of(way);
  struct pl_diagnostics *const problems = pl_diagnostics_new(arena);
  begin(way);
  const struct pl_tree *const tree =
      pl_parse(arena, pl_session_names(way->bench->session), problems, source);
  end(way, STAGE_READ);
  if (problems->errors > 0) return false;
  begin(way);
  assert_non_null(pl_lay_out(way->bench->session, arena, tree, ".").text);
  end(way, STAGE_TIDY);
  return true;
}

static void check(struct way *way) {
  struct pl_arena *const scratch = pl_arena_new(way->bench->guard);
  struct pl_source *const source = source_of(way);
  begin(way);
  const size_t before = pl_arena_used(way->bench->arena);
  way->program = pl_program_of_source(way->bench->session, way->bench->arena, source, ".");
  pl_program_check(way->program, NULL, scratch);
  way->taken.bytes = pl_arena_used(way->bench->arena) - before;
  end(way, STAGE_CHECK);
  pl_arena_free(scratch);
}

static void tell(struct way *way) {
  struct pl_arena *const arena = way->bench->arena;
  const struct pl_diagnostics *const problems = pl_program_problems(way->program);
  begin(way);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  for (size_t i = 0; i < problems->count; i++) (void)pl_problem_text(arena, sorted[i], &style);
  struct pl_findings *const findings = pl_findings_new(arena, "/");
  pl_findings_add(findings, "file.leaf", pl_program_source(way->program), problems);
  (void)pl_findings_json(arena, findings, "0");
  (void)pl_findings_sarif(arena, findings, "0", 1);
  end(way, STAGE_TELL);
}

// ---------------------------------------------------------------- the setup

static void take_first(void *context, const struct pl_block *block, bool in_main) {
  const char **const name = context;
  if (in_main && *name == NULL) *name = block->name;
}

static void work_out(struct way *way) {
  const char *name = NULL;
  pl_program_each(way->program, PL_BLOCK_SETUP, take_first, &name);
  if (name == NULL || pl_program_problems(way->program)->errors > 0) return;
  begin(way);
  const struct pl_setup *const setup = pl_program_setup(way->program, name);
  if (setup == NULL) return;
  struct pl_arena *const arena = way->bench->arena;
  way->figures = pl_figures_new(setup, NULL);
  (void)pl_figures_text(arena, way->figures, &all_figures, &style);
  (void)pl_figures_csv(arena, way->figures, &all_figures);
  (void)pl_figures_json(arena, way->figures, &all_figures, pl_program_problems(way->program));
  end(way, STAGE_FIGURES);
  begin(way);
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner != PL_BLOCK_SETUP || pl_settings[i].scope == PL_SCOPE_PART)
      continue;
    (void)pl_explain_setting(arena, setup, (enum pl_setting)i, PL_SETTING_COUNT,
                             pl_last_place(pl_settings[i].scope), &style);
  }
  end(way, STAGE_EXPLAIN);
}

static void compare(struct way *way) {
  struct pl_arena *const arena = way->bench->arena;
  const struct pl_program *const before = way->program;
  const char *const more = pl_join(arena, way->text, "let one-more-line = 1\n");
  struct pl_source *const source =
      pl_source_of_bytes(arena, "file.leaf", (const unsigned char *)more, strlen(more));
  struct pl_program *const after =
      pl_program_of_source(way->bench->session, arena, source, ".");
  begin(way);
  (void)pl_difference_text(arena, (struct pl_program *)before, after, &style);
  (void)pl_flat_text(arena, after, &all_figures, PL_METRIC);
  end(way, STAGE_DIFFERENCE);
}

static void last_template(void *context, const struct pl_block *block, bool in_main) {
  if (in_main) *(const char **)context = block->name;
}

static void print(struct way *way) {
  if (way->figures == NULL) return;
  struct pl_arena *const arena = way->bench->arena;
  struct pl_diagnostics *const problems = pl_diagnostics_new(arena);
  struct pl_template_choice choice = {.name = NULL};
  pl_program_each(way->program, PL_BLOCK_TEMPLATE, last_template, &choice.name);
  const struct pl_sheet_request request = {
      .figures = way->figures, .templates = &choice, .template_count = 1, .version = "0"};
  begin(way);
  const struct pl_paper *const paper = pl_sheet_new(arena, &request, problems);
  end(way, STAGE_SHEET);
  if (paper == NULL) return;
  const unsigned char *bytes = NULL;
  size_t length = 0;
  const char *message = NULL;
  begin(way);
  (void)pl_paper_to_pdf(arena, paper, &bytes, &length, &message);
  end(way, STAGE_PDF);
}

// ---------------------------------------------------------------- the meeting

static const struct pl_scrutinised *judge_entries(struct way *way, const struct pl_rules *rules,
                                                  const struct pl_meeting *meeting,
                                                  size_t *count) {
  struct pl_arena *const arena = way->bench->arena;
  *count = meeting == NULL ? 1 : meeting->entry_count;
  struct pl_scrutinised *const judged = pl_alloc_array(arena, *count, sizeof *judged);
  for (size_t i = 0; i < *count; i++) {
    const struct pl_entry *const entry = meeting == NULL ? NULL : &meeting->entries[i];
    const struct pl_entrant entrant = {.class_name = "",
                                       .meeting = entry == NULL ? NULL : way->program,
                                       .measured = entry == NULL ? NULL : entry->measured,
                                       .with_sights = true};
    judged[i] = (struct pl_scrutinised){
        .file = "",
        .setup = "",
        .number = entry == NULL ? "" : entry->number,
        .driver = entry == NULL ? "" : entry->driver,
        .group = "",
        .mistake = "",
        .judgement = pl_judge(arena, rules, way->figures, PL_METRIC, &entrant)};
    (void)pl_scrutiny_text(arena, &judged[i], &style);
    (void)pl_scrutiny_json(arena, &judged[i]);
  }
  return judged;
}

static void scrutineer(struct way *way) {
  struct pl_diagnostics *const problems = pl_program_problems(way->program);
  const char *rules_name = NULL;
  const char *meeting_name = NULL;
  pl_program_each(way->program, PL_BLOCK_RULES, take_first, &rules_name);
  pl_program_each(way->program, PL_BLOCK_MEETING, take_first, &meeting_name);
  if (rules_name == NULL || problems->errors > 0) return;
  struct pl_arena *const arena = way->bench->arena;
  begin(way);
  const struct pl_rules *const rules = pl_program_rules(way->program, rules_name);
  const struct pl_meeting *const meeting =
      meeting_name == NULL ? NULL : pl_program_meeting(way->program, meeting_name);
  size_t count = 0;
  const struct pl_scrutinised *const judged = judge_entries(way, rules, meeting, &count);
  end(way, STAGE_JUDGE);
  const struct pl_template_choice look = {.name = NULL};
  struct pl_scrutiny_request request = {.rules = rules,
                                        .entries = judged,
                                        .count = count,
                                        .title = "",
                                        .date = "",
                                        .track_name = "",
                                        .event = "",
                                        .version = "0"};
  request.look = pl_template_read(arena, &look, way->program, problems);
  assert_non_null(request.look);
  begin(way);
  assert_non_null(pl_scrutiny_list_new(arena, &request));
  assert_non_null(pl_certificates_new(arena, &request));
  end(way, STAGE_PACKET);
}

// ---------------------------------------------------------------- the editor

static const char *const methods[] = {"documentSymbol", "foldingRange", "semanticTokens/full",
                                      "inlayHint",      "formatting",   "completion",
                                      "hover",          "definition",   "references",
                                      "codeAction",     "rename",       "documentHighlight"};

static void edit(struct way *way) {
  struct pl_client *const client = pl_client_start(way->bench);
  begin(way);
  pl_client_open(client, "file.leaf", way->text);
  pl_editor_idle(client->editor);
  end(way, STAGE_OPEN);
  begin(way);
  pl_client_edit(client, "file.leaf", way->length, way->length, "# x\n");
  pl_editor_idle(client->editor);
  end(way, STAGE_CHANGE);
  // In the first name that stands there.
  const char *const quote = strchr(way->text, '"');
  const size_t at = quote == NULL ? 4 : (size_t)(quote - way->text) + 1;
  begin(way);
  for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
    json_t *const params = pl_client_all_of(client, "file.leaf");
    json_object_set_new(params, "position", pl_position_of(way->text, at));
    json_object_set_new(params, "newName", json_string("other"));
    (void)pl_client_answer(client, pl_format(way->bench->own, "textDocument/%s", methods[i]),
                           params);
  }
  end(way, STAGE_ANSWERS);
  pl_client_end(client);
}

struct taken go_through(struct pl_bench *bench, const char *text) {
  struct way way = {.bench = bench, .text = text, .length = strlen(text)};
  const bool reads = read_and_tidy(&way);
  check(&way);
  tell(&way);
  if (reads) {
    work_out(&way);
    compare(&way);
    print(&way);
    scrutineer(&way);
  }
  edit(&way);
  return way.taken;
}
