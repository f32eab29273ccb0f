// SPDX-License-Identifier: GPL-3.0-or-later
// Findings as SARIF, the interchange format of static analysis: OASIS Standard "Static Analysis
// Results Interchange Format (SARIF) Version 2.1.0". Sections in comments are that standard's.
#include "findings.h"

#include <string.h>

#define SCHEMA                                                                                 \
  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

// ---------------------------------------------------------------- texts

/// A message: braces stand twice, because single ones hold the place of an argument (3.11.5),
/// and a blank takes "](" apart, which would make a link (3.11.6).
static json_t *message_of(struct pl_arena *arena, const char *text) {
  struct pl_buffer out = {.arena = arena};
  for (const char *at = text; *at != '\0'; at++) {
    pl_buffer_add(&out, at, 1);
    if (*at == '{' || *at == '}') pl_buffer_add(&out, at, 1);
    if (at[0] == ']' && at[1] == '(') pl_buffer_text(&out, " ");
  }
  json_t *const message = pl_json_object(arena);
  pl_json_put(arena, message, "text", pl_json_text(arena, pl_buffer_string(&out)));
  return message;
}

static const char *level_of(enum pl_code code) {
  return pl_diagnostic_rows[code].severity == PL_ERROR ? "error" : "warning";
}

// ---------------------------------------------------------------- rules

/// The first row with the code of this one: it stands for all of them.
static int first_row(int code) {
  for (int i = 0; i < code; i++) {
    if (strcmp(pl_diagnostic_rows[i].code, pl_diagnostic_rows[code].code) == 0) return i;
  }
  return code;
}

/// The place of each code among the rules.
static const size_t *rule_places(struct pl_arena *arena) {
  size_t *const places = pl_alloc_array(arena, PL_CODE_COUNT, sizeof *places);
  size_t count = 0;
  for (int i = 0; i < PL_CODE_COUNT; i++) {
    const int first = first_row(i);
    places[i] = first == i ? count++ : places[first];
  }
  return places;
}

/// What the rows of a code say, each once and a line each: their texts, or their mends.
static const char *texts_of(struct pl_arena *arena, int first, bool mends) {
  struct pl_buffer out = {.arena = arena};
  for (int i = first; i < PL_CODE_COUNT; i++) {
    const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[i];
    if (strcmp(row->code, pl_diagnostic_rows[first].code) != 0) continue;
    const char *const text = with_dots(arena, mends ? row->mend : row->text);
    if (text[0] == '\0') continue;
    if (out.length > 0 && strstr(pl_buffer_string(&out), text) != NULL) continue;
    pl_buffer_format(&out, "%s%s", out.length == 0 ? "" : "\n", text);
  }
  return pl_buffer_string(&out);
}

static json_t *rule_of(struct pl_arena *arena, int first) {
  const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[first];
  json_t *const configuration = pl_json_object(arena);
  pl_json_put(arena, configuration, "level",
              pl_json_text(arena, level_of((enum pl_code)first)));
  const char *const mends = texts_of(arena, first, true);
  const char *const help =
      mends[0] != '\0' ? mends : "The message says all that is known: change what it names.";
  json_t *const rule = pl_json_object(arena);
  pl_json_put(arena, rule, "id", pl_json_text(arena, row->code));
  pl_json_put(arena, rule, "shortDescription", message_of(arena, with_dots(arena, row->text)));
  pl_json_put(arena, rule, "fullDescription", message_of(arena, texts_of(arena, first, false)));
  pl_json_put(arena, rule, "help", message_of(arena, help));
  pl_json_put(arena, rule, "defaultConfiguration", configuration);
  return rule;
}

static json_t *tool_of(struct pl_arena *arena, const char *version) {
  json_t *const rules = pl_json_array(arena);
  for (int i = 0; i < PL_CODE_COUNT; i++) {
    if (first_row(i) == i) pl_json_add(arena, rules, rule_of(arena, i));
  }
  json_t *const driver = pl_json_object(arena);
  pl_json_put(arena, driver, "name", pl_json_text(arena, "pitleaf"));
  pl_json_put(arena, driver, "version", pl_json_text(arena, version));
  pl_json_put(arena, driver, "semanticVersion", pl_json_text(arena, version));
  pl_json_put(arena, driver, "language", pl_json_text(arena, "en"));
  pl_json_put(arena, driver, "rules", rules);
  json_t *const tool = pl_json_object(arena);
  pl_json_put(arena, tool, "driver", driver);
  return tool;
}

// ---------------------------------------------------------------- places

/// Adds part of a path: all but letters, digits and `-._~` by their bytes (RFC 3986, 2.1).
static void add_encoded(struct pl_buffer *out, const char *path, size_t length) {
  static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
                              "0123456789-._~";
  for (size_t i = 0; i < length; i++) {
    if (path[i] != '\0' && strchr(plain, path[i]) != NULL)
      pl_buffer_add(out, path + i, 1);
    else
      pl_buffer_format(out, "%%%02X", (unsigned char)path[i]);
  }
}

/// Adds a path; parts that are empty or "." lead nowhere and are left out (3.10.2).
static void add_parts(struct pl_buffer *out, const char *path) {
  bool first = true;
  for (const char *at = path; *at != '\0';) {
    const size_t length = strcspn(at, "/");
    if (length > 0 && !(length == 1 && at[0] == '.')) {
      if (!first) pl_buffer_text(out, "/");
      add_encoded(out, at, length);
      first = false;
    }
    at += length + (at[length] == '/' ? 1 : 0);
  }
}

static bool climbs(const char *path) {
  for (const char *at = path; *at != '\0';) {
    const size_t length = strcspn(at, "/");
    if (length == 2 && at[0] == '.' && at[1] == '.') return true;
    at += length + (at[length] == '/' ? 1 : 0);
  }
  return false;
}

/// The file's URI: relative where it lies in the working folder, else of the scheme `file`. A
/// path with ".." in it is resolved, because links decide where that leads (3.10.2).
static const char *uri_of(struct pl_arena *arena, const struct pl_findings *findings,
                          const char *path) {
  const struct found_file *const file = file_found(findings, path);
  struct pl_buffer out = {.arena = arena};
  const char *whole = path;
  if (file != NULL && file->real_path[0] != '\0' && (path[0] == '/' || climbs(path)))
    whole = file->real_path;
  if (whole[0] == '/' && pl_path_inside(whole, findings->folder))
    whole += strlen(findings->folder);
  else if (whole[0] == '/')
    pl_buffer_text(&out, "file:///");
  add_parts(&out, whole);
  return pl_buffer_string(&out);
}

static json_t *location_of_file(struct pl_arena *arena, const struct pl_findings *findings,
                                const char *path) {
  json_t *const location = pl_json_object(arena);
  pl_json_put(arena, location, "uri", pl_json_text(arena, uri_of(arena, findings, path)));
  const struct found_file *const file = file_found(findings, path);
  if (file != NULL)
    pl_json_put(arena, location, "index",
                pl_json_integer(arena, (json_int_t)(file - findings->files)));
  return location;
}

static json_t *region_of(struct pl_arena *arena, const struct extent *at) {
  const json_int_t length = (json_int_t)at->end.offset - (json_int_t)at->start.offset;
  json_t *const region = pl_json_object(arena);
  pl_json_put(arena, region, "startLine", pl_json_integer(arena, at->start.position.line));
  pl_json_put(arena, region, "startColumn", pl_json_integer(arena, at->start.utf16_column));
  pl_json_put(arena, region, "endLine", pl_json_integer(arena, at->end.position.line));
  pl_json_put(arena, region, "endColumn", pl_json_integer(arena, at->end.utf16_column));
  pl_json_put(arena, region, "byteOffset", pl_json_integer(arena, at->start.offset));
  pl_json_put(arena, region, "byteLength", pl_json_integer(arena, length));
  return region;
}

static json_t *location_of(struct pl_arena *arena, const struct pl_findings *findings,
                           const struct extent *at) {
  json_t *const physical = pl_json_object(arena);
  pl_json_put(arena, physical, "artifactLocation", location_of_file(arena, findings, at->path));
  if (at->start.position.line > 0) pl_json_put(arena, physical, "region", region_of(arena, at));
  json_t *const location = pl_json_object(arena);
  pl_json_put(arena, location, "physicalLocation", physical);
  return location;
}

// ---------------------------------------------------------------- results

static json_t *related_of(struct pl_arena *arena, const struct pl_findings *findings,
                          const struct finding *finding) {
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < finding->related_count; i++) {
    json_t *const location = location_of(arena, findings, &finding->related[i].at);
    pl_json_put(arena, location, "id", pl_json_integer(arena, (json_int_t)i + 1));
    pl_json_put(arena, location, "message", message_of(arena, finding->related[i].message));
    pl_json_add(arena, list, location);
  }
  return list;
}

/// The mend that is one word in place of another.
static json_t *fixes_of(struct pl_arena *arena, const struct pl_findings *findings,
                        const struct finding *finding) {
  json_t *const content = pl_json_object(arena);
  pl_json_put(arena, content, "text", pl_json_text(arena, finding->replacement));
  json_t *const replacement = pl_json_object(arena);
  pl_json_put(arena, replacement, "deletedRegion", region_of(arena, &finding->at));
  pl_json_put(arena, replacement, "insertedContent", content);
  json_t *const replacements = pl_json_array(arena);
  pl_json_add(arena, replacements, replacement);
  json_t *const change = pl_json_object(arena);
  pl_json_put(arena, change, "artifactLocation",
              location_of_file(arena, findings, finding->at.path));
  pl_json_put(arena, change, "replacements", replacements);
  json_t *const changes = pl_json_array(arena);
  pl_json_add(arena, changes, change);
  json_t *const fix = pl_json_object(arena);
  pl_json_put(arena, fix, "description", message_of(arena, finding->mend));
  pl_json_put(arena, fix, "artifactChanges", changes);
  json_t *const fixes = pl_json_array(arena);
  pl_json_add(arena, fixes, fix);
  return fixes;
}

static json_t *result_of(struct pl_arena *arena, const struct pl_findings *findings,
                         const struct finding *finding, const size_t *places) {
  const char *const text = finding->mend[0] == '\0'
                               ? finding->message
                               : pl_format(arena, "%s\n%s", finding->message, finding->mend);
  json_t *const locations = pl_json_array(arena);
  pl_json_add(arena, locations, location_of(arena, findings, &finding->at));
  json_t *const result = pl_json_object(arena);
  pl_json_put(arena, result, "ruleId",
              pl_json_text(arena, pl_diagnostic_rows[finding->code].code));
  pl_json_put(arena, result, "ruleIndex",
              pl_json_integer(arena, (json_int_t)places[finding->code]));
  pl_json_put(arena, result, "level", pl_json_text(arena, level_of(finding->code)));
  pl_json_put(arena, result, "message", message_of(arena, text));
  pl_json_put(arena, result, "locations", locations);
  if (finding->related_count > 0)
    pl_json_put(arena, result, "relatedLocations", related_of(arena, findings, finding));
  if (finding->replacement != NULL && finding->at.start.position.line > 0)
    pl_json_put(arena, result, "fixes", fixes_of(arena, findings, finding));
  return result;
}

// ---------------------------------------------------------------- the run

static json_t *artifact_of(struct pl_arena *arena, const struct pl_findings *findings,
                           const struct found_file *file) {
  json_t *const location = pl_json_object(arena);
  pl_json_put(arena, location, "uri", pl_json_text(arena, uri_of(arena, findings, file->path)));
  json_t *const artifact = pl_json_object(arena);
  pl_json_put(arena, artifact, "location", location);
  pl_json_put(arena, artifact, "sourceLanguage", pl_json_text(arena, "pitleaf"));
  if (file->named) {
    json_t *const roles = pl_json_array(arena);
    pl_json_add(arena, roles, pl_json_text(arena, "analysisTarget"));
    pl_json_put(arena, artifact, "roles", roles);
  }
  if (file->digest[0] == '\0') return artifact;
  json_t *const hashes = pl_json_object(arena);
  pl_json_put(arena, hashes, "sha-256", pl_json_text(arena, file->digest));
  pl_json_put(arena, artifact, "hashes", hashes);
  pl_json_put(arena, artifact, "length", pl_json_integer(arena, (json_int_t)file->length));
  pl_json_put(arena, artifact, "encoding", pl_json_text(arena, "UTF-8"));
  return artifact;
}

static json_t *invocations_of(struct pl_arena *arena, int status) {
  static const char *const words[] = {
      "done, and nothing is wrong", "done, and something is wrong with the input", "not done"};
  const size_t count = sizeof words / sizeof words[0];
  json_t *const invocation = pl_json_object(arena);
  pl_json_put(arena, invocation, "executionSuccessful", json_boolean(status <= 1));
  pl_json_put(arena, invocation, "exitCode", pl_json_integer(arena, status));
  if (status >= 0 && (size_t)status < count)
    pl_json_put(arena, invocation, "exitCodeDescription", pl_json_text(arena, words[status]));
  json_t *const invocations = pl_json_array(arena);
  pl_json_add(arena, invocations, invocation);
  return invocations;
}

const char *pl_findings_sarif(struct pl_arena *arena, const struct pl_findings *findings,
                              const char *version, int status) {
  json_t *const artifacts = pl_json_array(arena);
  for (size_t i = 0; i < findings->file_count; i++)
    pl_json_add(arena, artifacts, artifact_of(arena, findings, &findings->files[i]));
  json_t *const results = pl_json_array(arena);
  const size_t *const places = rule_places(arena);
  for (size_t i = 0; i < findings->count; i++)
    pl_json_add(arena, results, result_of(arena, findings, &findings->items[i], places));
  json_t *const run = pl_json_object(arena);
  pl_json_put(arena, run, "tool", tool_of(arena, version));
  pl_json_put(arena, run, "columnKind", pl_json_text(arena, "utf16CodeUnits"));
  pl_json_put(arena, run, "invocations", invocations_of(arena, status));
  pl_json_put(arena, run, "artifacts", artifacts);
  pl_json_put(arena, run, "results", results);
  json_t *const runs = pl_json_array(arena);
  pl_json_add(arena, runs, run);
  json_t *const document = pl_json_object(arena);
  pl_json_put(arena, document, "$schema", pl_json_text(arena, SCHEMA));
  pl_json_put(arena, document, "version", pl_json_text(arena, "2.1.0"));
  pl_json_put(arena, document, "runs", runs);
  return json_text(arena, document);
}
