// SPDX-License-Identifier: GPL-3.0-or-later
// What the protocol's objects are made of.
#include "room.h"

/// jansson hands the text out in pieces; they are gathered in the arena.
static int gather(const char *piece, size_t size, void *context) {
  pl_buffer_add(context, piece, size);
  return 0;
}

const char *text_of_json(struct pl_arena *arena, const json_t *document) {
  struct pl_buffer out = {.arena = arena};
  json_dump_callback(document, gather, &out, JSON_COMPACT);
  return pl_buffer_string(&out);
}

json_t *json_of_words(const char *text) {
  json_t *const made = json_string(text);
  return made != NULL ? made : json_string("\xEF\xBF\xBD");
}

const char *text_in(const json_t *object, const char *key) {
  const char *const text = json_string_value(json_object_get(object, key));
  return text == NULL ? "" : text;
}

json_t *json_of_range(const struct lines *lines, uint32_t start, uint32_t end) {
  uint32_t line = 0;
  uint32_t character = 0;
  position_at(lines, start, &line, &character);
  json_t *const first = json_pack("{s:i,s:i}", "line", (int)line, "character", (int)character);
  position_at(lines, end, &line, &character);
  json_t *const last = json_pack("{s:i,s:i}", "line", (int)line, "character", (int)character);
  return json_pack("{s:o,s:o}", "start", first, "end", last);
}

json_t *json_of_span(struct pl_editor *editor, struct pl_span span) {
  const struct lines lines = lines_of(editor->request, span.source->bytes, span.source->length);
  return json_of_range(&lines, span.start, span.end);
}

json_t *json_of_location(struct pl_editor *editor, struct pl_span span) {
  return json_pack("{s:o,s:o}", "uri", json_of_words(uri_of_source(editor, span.source)),
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
