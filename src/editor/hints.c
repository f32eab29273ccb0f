// SPDX-License-Identifier: GPL-3.0-or-later
// Inlay hints: a quantity in the other system of units, and the value that a relative change
// starts from.
#include "room.h"

#include <string.h>

struct hinting {
  struct pl_editor *editor;
  struct pl_program *program;
  const struct lines *lines;
  uint32_t start; ///< of the range asked for
  uint32_t end;
  struct around around[PL_MOST_NESTING + 1];
  size_t depth;
  json_t *list;
};

static void add_hint(struct hinting *hinting, uint32_t at, const char *text) {
  uint32_t line = 0;
  uint32_t character = 0;
  position_at(hinting->lines, at, &line, &character);
  pl_json_add(hinting->editor->request, hinting->list,
              PL_JSON_PACK(hinting->editor->request, "{s:{s:i,s:i},s:O,s:b}", "position",
                           "line", (int)line, "character", (int)character, "label",
                           pl_json_text(hinting->editor->request, text), "paddingLeft", 1));
}

static const char *shown(struct pl_arena *arena, struct pl_printed printed) {
  return printed.unit[0] == '\0' ? printed.text
                                 : pl_format(arena, "%s %s", printed.text, printed.unit);
}

/// The value in the system that its writer did not use; null where both are one.
static const char *in_other_system(struct hinting *hinting, enum pl_setting setting,
                                   const struct pl_node *value) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  if (value->kind != PL_NODE_NUMBER || value->unit == NULL || row->type == PL_TYPE_PART ||
      strcmp(row->of, row->imperial) == 0)
    return NULL;
  const struct pl_value number = pl_evaluate(hinting->program, value, NULL);
  if (number.kind != PL_VALUE_NUMBER || value->number == 0) return NULL;
  struct pl_arena *const arena = hinting->editor->request;
  const struct pl_printed metric = pl_print_setting(arena, setting, &number, PL_METRIC);
  const struct pl_printed imperial = pl_print_setting(arena, setting, &number, PL_IMPERIAL);
  const struct pl_unit theirs = pl_unit_named(row->imperial);
  const bool is_imperial = pl_dimension_equal(value->unit->dimension, theirs.dimension) &&
                           value->unit->factor == theirs.factor &&
                           value->unit->offset == theirs.offset;
  const char *const text = shown(arena, is_imperial ? metric : imperial);
  return strcmp(text, shown(arena, is_imperial ? imperial : metric)) == 0 ? NULL : text;
}

/// What the changes of a line start from: the values before its touch, where they agree.
static const char *started_from(struct hinting *hinting, enum pl_setting setting,
                                const struct pl_node *item) {
  if (hinting->depth == 0 || strcmp(hinting->around[0].kind, "setup") != 0 ||
      hinting->around[0].title[0] == '\0')
    return NULL;
  const struct pl_setup *const setup =
      pl_program_setup(hinting->program, hinting->around[0].title);
  if (setup == NULL) return NULL;
  struct pl_arena *const arena = hinting->editor->request;
  struct pl_buffer out = {.arena = arena};
  const char *last = "";
  const enum pl_scope scope = pl_settings[setting].scope;
  for (enum pl_place place = pl_first_place(scope); place <= pl_last_place(scope); place++) {
    const struct pl_resolved *const resolved = pl_setup_get(setup, setting, place);
    for (size_t i = 1; i < resolved->touch_count; i++) {
      const struct pl_span span = resolved->touches[i].span;
      if (span.source != item->span.source || span.start < item->span.start ||
          span.end > item->span.end)
        continue;
      const char *const text = shown(
          arena, pl_print_setting(arena, setting, &resolved->touches[i - 1].result, PL_METRIC));
      if (strcmp(text, last) != 0)
        pl_buffer_format(&out, "%s%s", out.length == 0 ? "from " : ", ", text);
      last = text;
    }
  }
  return out.length == 0 ? NULL : pl_buffer_string(&out);
}

static void hint_property(struct hinting *hinting, const struct pl_node *item) {
  const enum pl_setting setting =
      setting_at(hinting->around, hinting->depth, item->name, item->children);
  if (setting == PL_SETTING_COUNT || item->children == NULL) return;
  if (item->action != PL_SET) {
    const char *const text = started_from(hinting, setting, item);
    if (text != NULL) add_hint(hinting, item->span.end, text);
    return;
  }
  const char *const text = in_other_system(hinting, setting, item->children);
  if (text != NULL) add_hint(hinting, item->span.end, text);
}

static void hint_items(struct hinting *hinting, const struct pl_node *items) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    if (item->span.end < hinting->start || item->span.start > hinting->end) continue;
    if (item->kind == PL_NODE_PROPERTY) hint_property(hinting, item);
    if (item->kind != PL_NODE_BLOCK || hinting->depth > PL_MOST_NESTING) continue;
    const struct pl_node *const title = pl_titles(item);
    hinting->around[hinting->depth++] = (struct around){
        item->name, title != NULL && title->kind == PL_NODE_TEXT ? title->name : ""};
    hint_items(hinting, item->children);
    hinting->depth--;
  }
}

json_t *answer_hints(struct pl_editor *editor, const json_t *params, const char **problem) {
  (void)problem;
  struct spot spot;
  if (!read_spot(editor, params, &spot)) return NULL;
  struct hinting hinting = {.editor = editor,
                            .program = spot.program,
                            .lines = &spot.document->lines,
                            .list = pl_json_array(editor->request)};
  const json_t *const range = json_object_get(params, "range");
  const json_t *const first = json_object_get(range, "start");
  const json_t *const last = json_object_get(range, "end");
  hinting.start = byte_at(hinting.lines, json_integer_value(json_object_get(first, "line")),
                          json_integer_value(json_object_get(first, "character")));
  hinting.end = byte_at(hinting.lines, json_integer_value(json_object_get(last, "line")),
                        json_integer_value(json_object_get(last, "character")));
  hint_items(&hinting, spot.tree->items);
  return hinting.list;
}
