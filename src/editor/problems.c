// SPDX-License-Identifier: GPL-3.0-or-later
// Problems told to the client, and their mends as quick fixes.
#include "room.h"

#include <string.h>

static json_t *related_of(struct pl_editor *editor, const struct pl_diagnostic *problem) {
  json_t *const list = pl_json_array(editor->request);
  for (size_t i = 0; i < problem->related_count; i++) {
    const struct pl_related *const related = &problem->related[i];
    if (related->span.source == NULL || related->span.source->real_path[0] == '\0') continue;
    pl_json_add(editor->request, list,
                PL_JSON_PACK(editor->request, "{s:O,s:O}", "location",
                             json_of_location(editor, related->span), "message",
                             pl_json_text(editor->request, related->message)));
  }
  return list;
}

static json_t *json_of_problem(struct pl_editor *editor, const struct pl_diagnostic *problem,
                               const struct lines *lines) {
  const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[problem->code];
  const char *const message =
      problem->hint[0] == '\0'
          ? problem->message
          : pl_format(editor->request, "%s\n%s", problem->message, problem->hint);
  return PL_JSON_PACK(
      editor->request, "{s:O,s:i,s:O,s:s,s:O,s:O}", "range",
      json_of_range(editor->request, lines, problem->span.start, problem->span.end), "severity",
      row->severity == PL_ERROR ? 1 : 2, "code", pl_json_text(editor->request, row->code),
      "source", "pitleaf", "message", pl_json_text(editor->request, message),
      "relatedInformation", related_of(editor, problem));
}

/// What is told of one file.
struct told {
  const char *uri;
  const struct pl_source *source; ///< as it is in the program that has most to say
  struct lines lines;
  struct pl_diagnostics *problems; ///< of all programs that hold the file, each once
  json_int_t version;
  bool is_open;
};

struct telling {
  struct pl_editor *editor;
  struct pl_map *files; ///< name -> struct told
  struct told **order;
  size_t count;
  size_t capacity;
};

static struct told *told_of(struct telling *telling, const char *uri,
                            const struct pl_source *source) {
  struct pl_arena *const arena = telling->editor->request;
  struct told *told = pl_map_get(telling->files, uri);
  if (told != NULL) return told;
  told = pl_alloc(arena, sizeof *told);
  *told = (struct told){.uri = uri, .source = source, .problems = pl_diagnostics_new(arena)};
  const struct document *const document = document_of(telling->editor, uri);
  if (document != NULL) {
    told->is_open = true;
    told->version = document->version;
  }
  if (source != NULL) told->lines = lines_of(arena, source->bytes, source->length);
  pl_map_set(telling->files, uri, told);
  telling->order =
      pl_grow(arena, telling->order, telling->count, &telling->capacity, sizeof(struct told *));
  telling->order[telling->count++] = told;
  return told;
}

/// A problem as one of the first source that was met of its file, so that the same problem of
/// two programs is one.
static void tell(struct telling *telling, const struct pl_diagnostic *problem) {
  const struct pl_source *const source = problem->span.source;
  if (source == NULL || source->real_path[0] == '\0') return;
  struct told *const told = told_of(telling, uri_of_source(telling->editor, source), source);
  if (told->source == NULL) {
    told->source = source;
    told->lines = lines_of(telling->editor->request, source->bytes, source->length);
  }
  struct pl_diagnostic same = *problem;
  same.span.source = told->source;
  pl_report_again(told->problems, &same);
}

static void send_told(struct pl_editor *editor, const struct told *told) {
  json_t *const list = pl_json_array(editor->request);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(told->problems);
  for (size_t i = 0; i < told->problems->count; i++)
    pl_json_add(editor->request, list, json_of_problem(editor, sorted[i], &told->lines));
  json_t *const params =
      PL_JSON_PACK(editor->request, "{s:O,s:O}", "uri",
                   pl_json_text(editor->request, told->uri), "diagnostics", list);
  if (told->is_open)
    pl_json_put(editor->request, params, "version",
                pl_json_integer(editor->request, told->version));
  notify(editor, "textDocument/publishDiagnostics", params);
}

/// Remembers that problems of the file stand at the client.
static void remember(struct pl_editor *editor, const char *uri) {
  struct published *one = editor->published;
  while (one != NULL && strcmp(one->uri, uri) != 0) one = one->next;
  if (one == NULL) {
    one = pl_alloc(editor->own, sizeof *one);
    *one = (struct published){editor->published, pl_copy_text(editor->own, uri, strlen(uri)),
                              true};
    editor->published = one;
  }
  one->stands = true;
}

void publish_problems(struct pl_editor *editor) {
  struct telling telling = {.editor = editor, .files = pl_map_new(editor->request)};
  for (struct document *one = editor->documents; one != NULL; one = one->next)
    told_of(&telling, one->uri, NULL);
  // What stood before and is not a problem any more is taken back.
  for (struct published *one = editor->published; one != NULL; one = one->next) {
    if (one->stands) told_of(&telling, one->uri, NULL);
    one->stands = false;
  }
  for (struct document *one = editor->documents; one != NULL; one = one->next) {
    const struct pl_diagnostics *const problems =
        pl_program_problems(checked_program_of(editor, one));
    for (size_t i = 0; i < problems->count; i++) tell(&telling, &problems->items[i]);
  }
  for (size_t i = 0; i < telling.count; i++) {
    send_told(editor, telling.order[i]);
    if (telling.order[i]->problems->count > 0) remember(editor, telling.order[i]->uri);
  }
}

// ---------------------------------------------------------------- quick fixes

static json_t *json_of_mend(struct pl_editor *editor, const struct document *document,
                            const struct pl_diagnostic *problem) {
  json_t *const range =
      json_of_range(editor->request, &document->lines, problem->span.start, problem->span.end);
  json_t *const edits = PL_JSON_PACK(editor->request, "[{s:O,s:O}]", "range", range, "newText",
                                     pl_json_text(editor->request, problem->replacement));
  json_t *const changes = pl_json_object(editor->request);
  pl_json_put(editor->request, changes, document->uri, edits);
  const char *const title = pl_format(editor->request, "Write %s", problem->replacement);
  return PL_JSON_PACK(editor->request, "{s:O,s:s,s:b,s:[O],s:{s:O}}", "title",
                      pl_json_text(editor->request, title), "kind", "quickfix", "isPreferred",
                      1, "diagnostics", json_of_problem(editor, problem, &document->lines),
                      "edit", "changes", changes);
}

/// Does the client want mends? It may name the kinds of actions that it asks for; "" is all.
static bool wants_mends(const json_t *params) {
  const json_t *const only = json_object_get(json_object_get(params, "context"), "only");
  size_t index = 0;
  const json_t *kind = NULL;
  json_array_foreach(only, index, kind) {
    const char *const text = json_string_value(kind);
    if (text != NULL && (text[0] == '\0' || strcmp(text, "quickfix") == 0)) return true;
  }
  return json_array_size(only) == 0;
}

json_t *answer_actions(struct pl_editor *editor, const json_t *params, const char **problem) {
  (void)problem;
  struct document *const document =
      document_of(editor, text_in(json_object_get(params, "textDocument"), "uri"));
  json_t *const list = pl_json_array(editor->request);
  if (document == NULL || !wants_mends(params)) return list;
  const json_t *const range = json_object_get(params, "range");
  const json_t *const first = json_object_get(range, "start");
  const json_t *const last = json_object_get(range, "end");
  const uint32_t start =
      byte_at(&document->lines, json_integer_value(json_object_get(first, "line")),
              json_integer_value(json_object_get(first, "character")));
  const uint32_t end =
      byte_at(&document->lines, json_integer_value(json_object_get(last, "line")),
              json_integer_value(json_object_get(last, "character")));
  struct pl_program *const program = checked_program_of(editor, document);
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  for (size_t i = 0; i < problems->count; i++) {
    const struct pl_diagnostic *const one = &problems->items[i];
    if (one->replacement == NULL || one->span.source != pl_program_source(program)) continue;
    if (one->span.start <= end && start <= one->span.end)
      pl_json_add(editor->request, list, json_of_mend(editor, document, one));
  }
  return list;
}
