// SPDX-License-Identifier: GPL-3.0-or-later
// Findings: the problems of several files, gathered while each file is in memory.
#include "findings.h"

#include <string.h>

// ---------------------------------------------------------------- places

/// The column in UTF-16 units: characters beyond U+FFFF, which take four bytes in UTF-8, count
/// twice. `offset` is that of the place, `column` its column in characters.
static uint32_t utf16_column(const struct pl_source *source, uint32_t offset, uint32_t column) {
  const unsigned char *const bytes = source->bytes;
  uint32_t wide = 0;
  for (uint32_t at = offset; at > 0 && bytes[at - 1] != '\n'; at--) {
    if ((bytes[at - 1] & 0xF8) == 0xF0) wide++;
  }
  return column + wide;
}

static struct mark mark_of(const struct pl_source *source, uint32_t offset) {
  if (offset > source->length) offset = (uint32_t)source->length;
  const struct pl_position position = pl_position((struct pl_span){source, offset, offset});
  return (struct mark){position, offset, utf16_column(source, offset, position.column)};
}

static const char *kept(struct pl_arena *arena, const char *text) {
  return pl_copy_text(arena, text, strlen(text));
}

static struct extent extent_of(struct pl_arena *arena, struct pl_span span) {
  if (span.source == NULL) return (struct extent){.path = NULL};
  const uint32_t end = span.end < span.start ? span.start : span.end;
  return (struct extent){.path = kept(arena, span.source->path),
                         .start = mark_of(span.source, span.start),
                         .end = mark_of(span.source, end)};
}

struct finding finding_of(struct pl_arena *arena, const struct pl_diagnostic *problem) {
  struct finding finding = {.code = problem->code,
                            .at = extent_of(arena, problem->span),
                            .message = kept(arena, problem->message),
                            .mend = kept(arena, problem->hint),
                            .related_count = problem->related_count};
  if (problem->replacement != NULL) finding.replacement = kept(arena, problem->replacement);
  for (size_t i = 0; i < problem->related_count; i++)
    finding.related[i] = (struct related_finding){extent_of(arena, problem->related[i].span),
                                                  kept(arena, problem->related[i].message)};
  return finding;
}

// ---------------------------------------------------------------- files

struct pl_findings *pl_findings_new(struct pl_arena *arena, const char *folder) {
  struct pl_findings *const findings = pl_alloc(arena, sizeof *findings);
  *findings = (struct pl_findings){.arena = arena,
                                   .folder = kept(arena, folder),
                                   .places = pl_map_new(arena),
                                   .known = pl_map_new(arena)};
  return findings;
}

/// The place of a path in the list of files; a place is kept as a number, because the list
/// moves while it grows.
static size_t place_of(struct pl_findings *findings, const char *path) {
  const size_t *const known = pl_map_get(findings->places, path);
  if (known != NULL) return *known;
  size_t *const place = pl_alloc(findings->arena, sizeof *place);
  *place = findings->file_count;
  findings->files = pl_grow(findings->arena, findings->files, findings->file_count,
                            &findings->file_capacity, sizeof *findings->files);
  const char *const own = kept(findings->arena, path);
  findings->files[findings->file_count++] =
      (struct found_file){.path = own, .real_path = "", .digest = ""};
  pl_map_set(findings->places, own, place);
  return *place;
}

const struct found_file *file_found(const struct pl_findings *findings, const char *path) {
  const size_t *const place = path == NULL ? NULL : pl_map_get(findings->places, path);
  return place == NULL ? NULL : &findings->files[*place];
}

static size_t add_file(struct pl_findings *findings, const struct pl_source *source) {
  const size_t place = place_of(findings, source->path);
  struct found_file *const file = &findings->files[place];
  if (file->digest[0] != '\0') return place;
  file->real_path = kept(findings->arena, source->real_path);
  file->digest = pl_source_digest(findings->arena, source);
  file->length = source->length;
  return place;
}

// ---------------------------------------------------------------- problems

/// Does the problem stand already? What has no place is named by its message.
static bool is_known(struct pl_findings *findings, const struct pl_diagnostic *problem) {
  const struct pl_source *const source = problem->span.source;
  const char *const key =
      pl_format(findings->arena, "%d %u %u %s\n%s", (int)problem->code, problem->span.start,
                problem->span.end, source == NULL ? "" : source->path, problem->message);
  return pl_map_set(findings->known, key, findings) != NULL;
}

static void add_problem(struct pl_findings *findings, const struct pl_diagnostic *problem,
                        size_t named) {
  if (is_known(findings, problem)) return;
  const struct pl_source *const source = problem->span.source;
  const size_t place = source == NULL ? named : add_file(findings, source);
  for (size_t i = 0; i < problem->related_count; i++)
    add_file(findings, problem->related[i].span.source);
  findings->items = pl_grow(findings->arena, findings->items, findings->count,
                            &findings->capacity, sizeof *findings->items);
  struct finding *const finding = &findings->items[findings->count++];
  *finding = finding_of(findings->arena, problem);
  if (source == NULL) finding->at.path = findings->files[place].path;
  const bool is_error = pl_diagnostic_rows[problem->code].severity == PL_ERROR;
  struct found_file *const file = &findings->files[place];
  ++*(is_error ? &file->errors : &file->warnings);
  ++*(is_error ? &findings->errors : &findings->warnings);
}

void pl_findings_add(struct pl_findings *findings, const char *path,
                     const struct pl_source *source, const struct pl_diagnostics *problems) {
  const size_t named = source == NULL ? place_of(findings, path) : add_file(findings, source);
  findings->files[named].named = true;
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  for (size_t i = 0; i < problems->count; i++) add_problem(findings, sorted[i], named);
}

size_t pl_findings_errors(const struct pl_findings *findings) {
  return findings->errors;
}
