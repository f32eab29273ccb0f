// SPDX-License-Identifier: GPL-3.0-or-later
// Problems as JSON: the list that every document has, and the document of findings.
#include "findings.h"

static json_t *json_of_mark(struct pl_arena *arena, const struct mark *mark) {
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "line", pl_json_integer(arena, mark->position.line));
  pl_json_put(arena, object, "column", pl_json_integer(arena, mark->position.column));
  pl_json_put(arena, object, "offset", pl_json_integer(arena, mark->offset));
  pl_json_put(arena, object, "utf16-column", pl_json_integer(arena, mark->utf16_column));
  return object;
}

static void set_extent(struct pl_arena *arena, json_t *into, const struct extent *at) {
  const bool somewhere = at->start.position.line > 0;
  if (at->path != NULL) pl_json_put(arena, into, "file", pl_json_text(arena, at->path));
  if (somewhere) {
    pl_json_put(arena, into, "line", pl_json_integer(arena, at->start.position.line));
    pl_json_put(arena, into, "column", pl_json_integer(arena, at->start.position.column));
  }
  pl_json_put(arena, into, "start", somewhere ? json_of_mark(arena, &at->start) : json_null());
  pl_json_put(arena, into, "end", somewhere ? json_of_mark(arena, &at->end) : json_null());
}

static json_t *text_or_null(struct pl_arena *arena, const char *text) {
  return text == NULL || text[0] == '\0' ? json_null() : pl_json_text(arena, text);
}

static json_t *json_of_finding(struct pl_arena *arena, const struct finding *finding) {
  const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[finding->code];
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "code", pl_json_text(arena, row->code));
  pl_json_put(arena, object, "severity",
              pl_json_text(arena, row->severity == PL_ERROR ? "error" : "warning"));
  pl_json_put(arena, object, "message", pl_json_text(arena, finding->message));
  pl_json_put(arena, object, "hint",
              pl_json_text(arena, finding->mend == NULL ? "" : finding->mend));
  pl_json_put(arena, object, "replacement", text_or_null(arena, finding->replacement));
  set_extent(arena, object, &finding->at);
  json_t *const related = pl_json_array(arena);
  for (size_t i = 0; i < finding->related_count; i++) {
    json_t *const other = pl_json_object(arena);
    pl_json_put(arena, other, "message", pl_json_text(arena, finding->related[i].message));
    set_extent(arena, other, &finding->related[i].at);
    pl_json_add(arena, related, other);
  }
  pl_json_put(arena, object, "related", related);
  return object;
}

json_t *json_problems(struct pl_arena *arena, const struct pl_diagnostics *problems) {
  json_t *const list = pl_json_array(arena);
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  for (size_t i = 0; i < problems->count; i++) {
    const struct finding finding = finding_of(arena, sorted[i]);
    pl_json_add(arena, list, json_of_finding(arena, &finding));
  }
  return list;
}

// ---------------------------------------------------------------- the document

static json_t *json_of_file(struct pl_arena *arena, const struct found_file *file) {
  json_t *const object = pl_json_object(arena);
  pl_json_put(arena, object, "file", pl_json_text(arena, file->path));
  pl_json_put(arena, object, "named", json_boolean(file->named));
  pl_json_put(arena, object, "read", json_boolean(file->digest[0] != '\0'));
  pl_json_put(arena, object, "sha256", text_or_null(arena, file->digest));
  pl_json_put(arena, object, "errors", pl_json_integer(arena, (json_int_t)file->errors));
  pl_json_put(arena, object, "warnings", pl_json_integer(arena, (json_int_t)file->warnings));
  return object;
}

const char *pl_findings_json(struct pl_arena *arena, const struct pl_findings *findings,
                             const char *version) {
  json_t *const program = pl_json_object(arena);
  pl_json_put(arena, program, "name", pl_json_text(arena, "pitleaf"));
  pl_json_put(arena, program, "version", pl_json_text(arena, version));
  json_t *const files = pl_json_array(arena);
  size_t named = 0;
  for (size_t i = 0; i < findings->file_count; i++) {
    pl_json_add(arena, files, json_of_file(arena, &findings->files[i]));
    named += findings->files[i].named ? 1 : 0;
  }
  json_t *const problems = pl_json_array(arena);
  for (size_t i = 0; i < findings->count; i++)
    pl_json_add(arena, problems, json_of_finding(arena, &findings->items[i]));
  json_t *const counts = pl_json_object(arena);
  pl_json_put(arena, counts, "files", pl_json_integer(arena, (json_int_t)named));
  pl_json_put(arena, counts, "errors", pl_json_integer(arena, (json_int_t)findings->errors));
  pl_json_put(arena, counts, "warnings",
              pl_json_integer(arena, (json_int_t)findings->warnings));
  json_t *const document = pl_json_object(arena);
  pl_json_put(arena, document, "shape", pl_json_text(arena, "pitleaf-problems"));
  pl_json_put(arena, document, "version", pl_json_integer(arena, 1));
  pl_json_put(arena, document, "program", program);
  pl_json_put(arena, document, "files", files);
  pl_json_put(arena, document, "diagnostics", problems);
  pl_json_put(arena, document, "counts", counts);
  return json_text(arena, document);
}
