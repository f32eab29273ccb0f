// SPDX-License-Identifier: GPL-3.0-or-later
// Problems as JSON: the list that every document has, and the document of findings.
#include "findings.h"

static json_t *json_of_mark(const struct mark *mark) {
  json_t *const object = json_object();
  json_object_set_new(object, "line", json_integer(mark->position.line));
  json_object_set_new(object, "column", json_integer(mark->position.column));
  json_object_set_new(object, "offset", json_integer(mark->offset));
  json_object_set_new(object, "utf16-column", json_integer(mark->utf16_column));
  return object;
}

static void set_extent(json_t *into, const struct extent *at) {
  const bool somewhere = at->start.position.line > 0;
  if (at->path != NULL) json_object_set_new(into, "file", json_of_text(at->path));
  if (somewhere) {
    json_object_set_new(into, "line", json_integer(at->start.position.line));
    json_object_set_new(into, "column", json_integer(at->start.position.column));
  }
  json_object_set_new(into, "start", somewhere ? json_of_mark(&at->start) : json_null());
  json_object_set_new(into, "end", somewhere ? json_of_mark(&at->end) : json_null());
}

static json_t *text_or_null(const char *text) {
  return text == NULL || text[0] == '\0' ? json_null() : json_of_text(text);
}

static json_t *json_of_finding(const struct finding *finding) {
  const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[finding->code];
  json_t *const object = json_object();
  json_object_set_new(object, "code", json_string(row->code));
  json_object_set_new(object, "severity",
                      json_string(row->severity == PL_ERROR ? "error" : "warning"));
  json_object_set_new(object, "message", json_of_text(finding->message));
  json_object_set_new(object, "hint", json_of_text(finding->mend == NULL ? "" : finding->mend));
  json_object_set_new(object, "replacement", text_or_null(finding->replacement));
  set_extent(object, &finding->at);
  json_t *const related = json_array();
  for (size_t i = 0; i < finding->related_count; i++) {
    json_t *const other = json_object();
    json_object_set_new(other, "message", json_of_text(finding->related[i].message));
    set_extent(other, &finding->related[i].at);
    json_array_append_new(related, other);
  }
  json_object_set_new(object, "related", related);
  return object;
}

json_t *json_problems(struct pl_arena *arena, const struct pl_diagnostics *problems) {
  json_t *const list = json_array();
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  for (size_t i = 0; i < problems->count; i++) {
    const struct finding finding = finding_of(arena, sorted[i]);
    json_array_append_new(list, json_of_finding(&finding));
  }
  return list;
}

// ---------------------------------------------------------------- the document

static json_t *json_of_file(const struct found_file *file) {
  json_t *const object = json_object();
  json_object_set_new(object, "file", json_of_text(file->path));
  json_object_set_new(object, "named", json_boolean(file->named));
  json_object_set_new(object, "read", json_boolean(file->digest[0] != '\0'));
  json_object_set_new(object, "sha256", text_or_null(file->digest));
  json_object_set_new(object, "errors", json_integer((json_int_t)file->errors));
  json_object_set_new(object, "warnings", json_integer((json_int_t)file->warnings));
  return object;
}

const char *pl_findings_json(struct pl_arena *arena, const struct pl_findings *findings,
                             const char *version) {
  json_t *const program = json_object();
  json_object_set_new(program, "name", json_string("pitleaf"));
  json_object_set_new(program, "version", json_string(version));
  json_t *const files = json_array();
  size_t named = 0;
  for (size_t i = 0; i < findings->file_count; i++) {
    json_array_append_new(files, json_of_file(&findings->files[i]));
    named += findings->files[i].named ? 1 : 0;
  }
  json_t *const problems = json_array();
  for (size_t i = 0; i < findings->count; i++)
    json_array_append_new(problems, json_of_finding(&findings->items[i]));
  json_t *const counts = json_object();
  json_object_set_new(counts, "files", json_integer((json_int_t)named));
  json_object_set_new(counts, "errors", json_integer((json_int_t)findings->errors));
  json_object_set_new(counts, "warnings", json_integer((json_int_t)findings->warnings));
  json_t *const document = json_object();
  json_object_set_new(document, "shape", json_string("pitleaf-problems"));
  json_object_set_new(document, "version", json_integer(1));
  json_object_set_new(document, "program", program);
  json_object_set_new(document, "files", files);
  json_object_set_new(document, "diagnostics", problems);
  json_object_set_new(document, "counts", counts);
  return json_text(arena, document);
}
