// SPDX-License-Identifier: GPL-3.0-or-later
// The race sheet: a template's parts in their order, filled from a setup.
#include "room.h"

/// As a page is set that has room, and closer and closer for the lists behind it.
static const struct pl_density densities[] = {
    PL_USUAL_DENSITY,
    {.small = PL_SMALL, .computed = PL_COMPUTED, .body = 7.5, .large = PL_LARGE, .air = 0.4},
    {.small = 6.2, .computed = 6.5, .body = 6.8, .large = PL_LARGE, .air = 0.2},
    {.small = PL_TYPE_FLOOR,
     .computed = PL_TYPE_FLOOR,
     .body = PL_TYPE_FLOOR,
     .large = PL_LARGE,
     .air = 0}};
/// A template is to have no more pages than this: two if it lists everything, or draws shocks.
static size_t wished_pages(const struct pl_template *plan) {
  for (const struct pl_template_part *part = plan->parts; part != NULL; part = part->next) {
    if (part->kind == PL_PAGE_REST || part->kind == PL_PAGE_SHOCKS) return 2;
  }
  return 1;
}

static void draw_part(struct pl_sheet *sheet, const struct pl_template_part *part) {
  const bool is_list = part->kind == PL_PAGE_CHANGES || part->kind == PL_PAGE_REST;
  sheet->type = is_list ? sheet->lists : densities[0];
  switch (part->kind) {
  case PL_PAGE_SECTION: pl_section_draw(sheet, part); break;
  case PL_PAGE_BESIDE: pl_beside_draw(sheet, part); break;
  case PL_PAGE_PLAN: pl_plan_draw(sheet, part); break;
  case PL_PAGE_RUNS: pl_runs_draw(sheet, part); break;
  case PL_PAGE_CHANGES: pl_changes_draw(sheet, part); break;
  case PL_PAGE_NOTES: pl_notes_draw(sheet, part); break;
  case PL_PAGE_REST: pl_rest_draw(sheet, part); break;
  case PL_PAGE_PLOT: pl_plots_draw(sheet, part); break;
  case PL_PAGE_SHOCKS: pl_shocks_draw(sheet, part); break;
  case PL_PAGE_CHECKLIST:
  case PL_PAGE_CAUTIONS: pl_remarks_draw(sheet, part); break;
  case PL_PAGE_BREAK:
    if (sheet->y > sheet->top) pl_flow_page(sheet);
    break;
  default: break; // drawn by the part that holds it, or not at all
  }
}

/// Draws the whole sheet onto new pages, in the place of a draft; returns their number.
static size_t draw_sheet(struct pl_sheet *sheet, struct pl_density lists) {
  sheet->type = densities[0];
  sheet->lists = lists;
  if (sheet->runs.more == 0) sheet->runs = (struct pl_runs){.part = NULL};
  sheet->said = pl_map_new(sheet->arena);
  sheet->extras_done = false;
  sheet->ballast_done = false;
  for (int i = 0; i < PL_SETTING_COUNT; i++) sheet->setting_done[i] = false;
  for (int i = 0; i < PL_FIGURE_COUNT; i++) sheet->figure_done[i] = false;
  sheet->paper->page_count = sheet->first_of_template;
  sheet->page = NULL;
  pl_flow_page(sheet);
  pl_heading_draw(sheet);
  for (const struct pl_template_part *part = sheet->plan->parts; part != NULL;
       part = part->next)
    draw_part(sheet, part);
  sheet->type = densities[0];
  pl_runs_look_beneath(sheet);
  return sheet->paper->page_count - sheet->first_of_template;
}

/// The loosest of the densities at which the sheet fits the pages that are wished. What does
/// not fit them at the closest is as loose as ever, on more pages; with several pages too many
/// nothing is tried.
static struct pl_density draw_to_fit(struct pl_sheet *sheet) {
  const size_t count = sizeof densities / sizeof densities[0];
  const size_t wished = wished_pages(sheet->plan);
  if (draw_sheet(sheet, densities[0]) != wished + 1) return densities[0];
  for (size_t i = 1; i < count; i++) {
    if (draw_sheet(sheet, densities[i]) <= wished) return densities[i];
  }
  draw_sheet(sheet, densities[0]);
  return densities[0];
}

/// The pages of one template, behind those that are there already.
static bool add_template(struct pl_sheet *sheet, const struct pl_template_choice *choice) {
  sheet->first_of_template = sheet->paper->page_count;
  sheet->runs = (struct pl_runs){.part = NULL};
  sheet->plan =
      pl_template_read(sheet->arena, choice, pl_setup_program(sheet->setup), sheet->problems);
  if (sheet->plan == NULL) return false;
  if (sheet->request->form_only && !sheet->plan->blank) {
    pl_report(sheet->problems, PL_TEMPLATE_NEEDS_SETUP, (struct pl_span){.source = NULL},
              PL_WORDS(sheet->plan->name));
    return false;
  }
  sheet->title =
      sheet->plan->blank ? pl_word(sheet, PL_WORD_SETUP) : pl_setup_name(sheet->setup);
  sheet->tolerances =
      sheet->plan->tolerances ? pl_tolerances_new(sheet->request->figures, NULL, 0) : NULL;
  const struct pl_density lists = draw_to_fit(sheet);
  if (sheet->runs.spare > 0) {
    sheet->runs.more = sheet->runs.spare;
    draw_sheet(sheet, lists);
  }
  return true;
}

bool pl_sheet_add(struct pl_paper *paper, const struct pl_sheet_request *request,
                  struct pl_diagnostics *problems) {
  static const struct pl_template_choice race_sheet = {.name = NULL};
  struct pl_sheet *const sheet = pl_alloc(paper->arena, sizeof *sheet);
  const struct pl_setup *const setup = pl_figures_setup(request->figures);
  *sheet = (struct pl_sheet){.arena = paper->arena,
                             .request = request,
                             .setup = setup,
                             .problems = problems,
                             .what = "",
                             .paper = paper,
                             .first_page = paper->page_count};
  const size_t count = request->template_count == 0 ? 1 : request->template_count;
  const struct pl_template_choice *const templates =
      request->template_count == 0 ? &race_sheet : request->templates;
  bool whole = true;
  struct pl_sheet *const done = pl_alloc_array(paper->arena, count, sizeof *done);
  size_t done_count = 0;
  for (size_t i = 0; i < count; i++) {
    if (add_template(sheet, &templates[i]))
      done[done_count++] = *sheet;
    else
      whole = false;
  }
  for (size_t i = 0; i < done_count; i++)
    pl_footer_draw(&done[i],
                   i + 1 < done_count ? done[i + 1].first_of_template : paper->page_count);
  pl_paper_outline(paper, request->outline == NULL ? pl_setup_name(setup) : request->outline,
                   sheet->first_page);
  return whole && !sheet->failed;
}

struct pl_paper *pl_sheet_new(struct pl_arena *arena, const struct pl_sheet_request *request,
                              struct pl_diagnostics *problems) {
  struct pl_paper *const paper = pl_paper_new(arena);
  if (!pl_sheet_add(paper, request, problems)) return NULL;
  paper->title = pl_setup_name(pl_figures_setup(request->figures));
  return paper;
}
