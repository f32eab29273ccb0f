// SPDX-License-Identifier: GPL-3.0-or-later
// What the entries of a meeting say was measured: does each line name a setting or a figure?
#include "room.h"

#include <string.h>

static void report_unknown(struct pl_program *program, const struct pl_node *line) {
  const char *near = pl_setting_nearest(line->name, PL_BLOCK_SETUP);
  if (near == NULL) near = pl_figure_nearest(line->name);
  const char *const shown = pl_span_text(pl_program_arena(program), line->name_span);
  pl_report(pl_program_problems(program), PL_TEMPLATE_THING, line->name_span,
            PL_WORDS(shown, near));
}

/// A key of the part that a setting names, as in `damper.bore`.
static void check_key_of_part(struct pl_program *program, const struct pl_node *line,
                              enum pl_block_kind kind, const char *key) {
  if (pl_setting_of(key, kind) != PL_SETTING_COUNT) return;
  pl_report(pl_program_problems(program), PL_UNKNOWN_KEY, line->name_span,
            PL_WORDS(pl_format(pl_program_arena(program), "The %s", pl_block_kind_name(kind)),
                     key, pl_setting_nearest(key, kind)));
}

static void check_line(struct pl_program *program, const struct pl_node *line) {
  const char *const key = line->name;
  const char *const point = strchr(key, '.');
  if (line->titles->kind == PL_NODE_NAME && point == NULL &&
      (pl_figure_of(key) != PL_FIGURE_COUNT ||
       pl_setting_of(key, PL_BLOCK_SETUP) != PL_SETTING_COUNT))
    return;
  if (line->titles->kind != PL_NODE_NAME || point == NULL) {
    report_unknown(program, line);
    return;
  }
  const char *const first = pl_copy_text(pl_program_arena(program), key, (size_t)(point - key));
  const enum pl_setting setting = pl_setting_of(first, PL_BLOCK_SETUP);
  const bool is_scope = setting == PL_SETTING_COUNT && pl_place_of(first) != PL_PLACE_COUNT;
  if (is_scope)
    pl_report(pl_program_problems(program), PL_SCOPE_AS_KEY, line->name_span,
              PL_WORDS(key, first, point + 1));
  else if (setting != PL_SETTING_COUNT && pl_settings[setting].type == PL_TYPE_PART)
    check_key_of_part(program, line, pl_block_kind_of(pl_settings[setting].of), point + 1);
  else
    report_unknown(program, line);
}

/// The lines of a block `measured`, and of the scopes in it.
static void check_lines(struct pl_program *program, const struct pl_node *items,
                        bool in_scope) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_PROPERTY) check_line(program, item);
    if (item->kind == PL_NODE_BLOCK && !in_scope) check_lines(program, item->children, true);
  }
}

static bool is_block(const struct pl_node *node, const char *kind) {
  return node->kind == PL_NODE_BLOCK && strcmp(node->name, kind) == 0;
}

void pl_measured_check(struct pl_program *program, const struct pl_block *meeting) {
  for (const struct pl_node *entry = meeting->node->children; entry != NULL;
       entry = entry->next) {
    if (!is_block(entry, "entry")) continue;
    for (const struct pl_node *item = entry->children; item != NULL; item = item->next) {
      if (is_block(item, "measured")) check_lines(program, item->children, false);
    }
  }
}
