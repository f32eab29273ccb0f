// SPDX-License-Identifier: GPL-3.0-or-later
// What the protocol's objects are made of.
#include "room.h"

const char *text_in(const json_t *object, const char *key) {
  const char *const text = json_string_value(json_object_get(object, key));
  return text == NULL ? "" : text;
}

json_t *json_of_range(struct pl_arena *arena, const struct lines *lines, uint32_t start,
                      uint32_t end) {
  uint32_t line = 0;
  uint32_t character = 0;
  position_at(lines, start, &line, &character);
  json_t *const first =
      PL_JSON_PACK(arena, "{s:i,s:i}", "line", (int)line, "character", (int)character);
  position_at(lines, end, &line, &character);
  json_t *const last =
      PL_JSON_PACK(arena, "{s:i,s:i}", "line", (int)line, "character", (int)character);
  return PL_JSON_PACK(arena, "{s:O,s:O}", "start", first, "end", last);
}

json_t *json_of_span(struct pl_editor *editor, struct pl_span span) {
  const struct lines lines = lines_of(editor->request, span.source->bytes, span.source->length);
  return json_of_range(editor->request, &lines, span.start, span.end);
}

json_t *json_of_location(struct pl_editor *editor, struct pl_span span) {
  return PL_JSON_PACK(editor->request, "{s:O,s:O}", "uri",
                      pl_json_text(editor->request, uri_of_source(editor, span.source)),
                      "range", json_of_span(editor, span));
}

bool read_spot(struct pl_editor *editor, const json_t *params, struct spot *spot) {
  *spot = (struct spot){.document = NULL};
  spot->document = document_of(editor, text_in(json_object_get(params, "textDocument"), "uri"));
  if (spot->document == NULL) return false;
  spot->program = program_of(editor, spot->document);
  spot->source = pl_program_source(spot->program);
  spot->tree = pl_program_tree(spot->program, spot->source);
  const json_t *const position = json_object_get(params, "position");
  spot->offset =
      byte_at(&spot->document->lines, json_integer_value(json_object_get(position, "line")),
              json_integer_value(json_object_get(position, "character")));
  return spot->tree != NULL;
}
