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
  json_t *const message = json_object();
  json_object_set_new(message, "text", json_of_text(pl_buffer_string(&out)));
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
  json_t *const configuration = json_object();
  json_object_set_new(configuration, "level", json_string(level_of((enum pl_code)first)));
  const char *const mends = texts_of(arena, first, true);
  const char *const help =
      mends[0] != '\0' ? mends : "The message says all that is known: change what it names.";
  json_t *const rule = json_object();
  json_object_set_new(rule, "id", json_string(row->code));
  json_object_set_new(rule, "shortDescription", message_of(arena, with_dots(arena, row->text)));
  json_object_set_new(rule, "fullDescription",
                      message_of(arena, texts_of(arena, first, false)));
  json_object_set_new(rule, "help", message_of(arena, help));
  json_object_set_new(rule, "defaultConfiguration", configuration);
  return rule;
}

static json_t *tool_of(struct pl_arena *arena, const char *version) {
  json_t *const rules = json_array();
  for (int i = 0; i < PL_CODE_COUNT; i++) {
    if (first_row(i) == i) json_array_append_new(rules, rule_of(arena, i));
  }
  json_t *const driver = json_object();
  json_object_set_new(driver, "name", json_string("pitleaf"));
  json_object_set_new(driver, "version", json_string(version));
  json_object_set_new(driver, "semanticVersion", json_string(version));
  json_object_set_new(driver, "language", json_string("en"));
  json_object_set_new(driver, "rules", rules);
  json_t *const tool = json_object();
  json_object_set_new(tool, "driver", driver);
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
  json_t *const location = json_object();
  json_object_set_new(location, "uri", json_string(uri_of(arena, findings, path)));
  const struct found_file *const file = file_found(findings, path);
  if (file != NULL)
    json_object_set_new(location, "index", json_integer((json_int_t)(file - findings->files)));
  return location;
}

static json_t *region_of(const struct extent *at) {
  const json_int_t length = (json_int_t)at->end.offset - (json_int_t)at->start.offset;
  json_t *const region = json_object();
  json_object_set_new(region, "startLine", json_integer(at->start.position.line));
  json_object_set_new(region, "startColumn", json_integer(at->start.utf16_column));
  json_object_set_new(region, "endLine", json_integer(at->end.position.line));
  json_object_set_new(region, "endColumn", json_integer(at->end.utf16_column));
  json_object_set_new(region, "byteOffset", json_integer(at->start.offset));
  json_object_set_new(region, "byteLength", json_integer(length));
  return region;
}

static json_t *location_of(struct pl_arena *arena, const struct pl_findings *findings,
                           const struct extent *at) {
  json_t *const physical = json_object();
  json_object_set_new(physical, "artifactLocation",
                      location_of_file(arena, findings, at->path));
  if (at->start.position.line > 0) json_object_set_new(physical, "region", region_of(at));
  json_t *const location = json_object();
  json_object_set_new(location, "physicalLocation", physical);
  return location;
}

// ---------------------------------------------------------------- results

static json_t *related_of(struct pl_arena *arena, const struct pl_findings *findings,
                          const struct finding *finding) {
  json_t *const list = json_array();
  for (size_t i = 0; i < finding->related_count; i++) {
    json_t *const location = location_of(arena, findings, &finding->related[i].at);
    json_object_set_new(location, "id", json_integer((json_int_t)i + 1));
    json_object_set_new(location, "message", message_of(arena, finding->related[i].message));
    json_array_append_new(list, location);
  }
  return list;
}

/// The mend that is one word in place of another.
static json_t *fixes_of(struct pl_arena *arena, const struct pl_findings *findings,
                        const struct finding *finding) {
  json_t *const content = json_object();
  json_object_set_new(content, "text", json_of_text(finding->replacement));
  json_t *const replacement = json_object();
  json_object_set_new(replacement, "deletedRegion", region_of(&finding->at));
  json_object_set_new(replacement, "insertedContent", content);
  json_t *const replacements = json_array();
  json_array_append_new(replacements, replacement);
  json_t *const change = json_object();
  json_object_set_new(change, "artifactLocation",
                      location_of_file(arena, findings, finding->at.path));
  json_object_set_new(change, "replacements", replacements);
  json_t *const changes = json_array();
  json_array_append_new(changes, change);
  json_t *const fix = json_object();
  json_object_set_new(fix, "description", message_of(arena, finding->mend));
  json_object_set_new(fix, "artifactChanges", changes);
  json_t *const fixes = json_array();
  json_array_append_new(fixes, fix);
  return fixes;
}

static json_t *result_of(struct pl_arena *arena, const struct pl_findings *findings,
                         const struct finding *finding, const size_t *places) {
  const char *const text = finding->mend[0] == '\0'
                               ? finding->message
                               : pl_format(arena, "%s\n%s", finding->message, finding->mend);
  json_t *const locations = json_array();
  json_array_append_new(locations, location_of(arena, findings, &finding->at));
  json_t *const result = json_object();
  json_object_set_new(result, "ruleId", json_string(pl_diagnostic_rows[finding->code].code));
  json_object_set_new(result, "ruleIndex", json_integer((json_int_t)places[finding->code]));
  json_object_set_new(result, "level", json_string(level_of(finding->code)));
  json_object_set_new(result, "message", message_of(arena, text));
  json_object_set_new(result, "locations", locations);
  if (finding->related_count > 0)
    json_object_set_new(result, "relatedLocations", related_of(arena, findings, finding));
  if (finding->replacement != NULL && finding->at.start.position.line > 0)
    json_object_set_new(result, "fixes", fixes_of(arena, findings, finding));
  return result;
}

// ---------------------------------------------------------------- the run

static json_t *artifact_of(struct pl_arena *arena, const struct pl_findings *findings,
                           const struct found_file *file) {
  json_t *const location = json_object();
  json_object_set_new(location, "uri", json_string(uri_of(arena, findings, file->path)));
  json_t *const artifact = json_object();
  json_object_set_new(artifact, "location", location);
  json_object_set_new(artifact, "sourceLanguage", json_string("pitleaf"));
  if (file->named) {
    json_t *const roles = json_array();
    json_array_append_new(roles, json_string("analysisTarget"));
    json_object_set_new(artifact, "roles", roles);
  }
  if (file->digest[0] == '\0') return artifact;
  json_t *const hashes = json_object();
  json_object_set_new(hashes, "sha-256", json_string(file->digest));
  json_object_set_new(artifact, "hashes", hashes);
  json_object_set_new(artifact, "length", json_integer((json_int_t)file->length));
  json_object_set_new(artifact, "encoding", json_string("UTF-8"));
  return artifact;
}

static json_t *invocations_of(int status) {
  static const char *const words[] = {
      "done, and nothing is wrong", "done, and something is wrong with the input", "not done"};
  const size_t count = sizeof words / sizeof words[0];
  json_t *const invocation = json_object();
  json_object_set_new(invocation, "executionSuccessful", json_boolean(status <= 1));
  json_object_set_new(invocation, "exitCode", json_integer(status));
  if (status >= 0 && (size_t)status < count)
    json_object_set_new(invocation, "exitCodeDescription", json_string(words[status]));
  json_t *const invocations = json_array();
  json_array_append_new(invocations, invocation);
  return invocations;
}

const char *pl_findings_sarif(struct pl_arena *arena, const struct pl_findings *findings,
                              const char *version, int status) {
  json_t *const artifacts = json_array();
  for (size_t i = 0; i < findings->file_count; i++)
    json_array_append_new(artifacts, artifact_of(arena, findings, &findings->files[i]));
  json_t *const results = json_array();
  const size_t *const places = rule_places(arena);
  for (size_t i = 0; i < findings->count; i++)
    json_array_append_new(results, result_of(arena, findings, &findings->items[i], places));
  json_t *const run = json_object();
  json_object_set_new(run, "tool", tool_of(arena, version));
  json_object_set_new(run, "columnKind", json_string("utf16CodeUnits"));
  json_object_set_new(run, "invocations", invocations_of(status));
  json_object_set_new(run, "artifacts", artifacts);
  json_object_set_new(run, "results", results);
  json_t *const runs = json_array();
  json_array_append_new(runs, run);
  json_t *const document = json_object();
  json_object_set_new(document, "$schema", json_string(SCHEMA));
  json_object_set_new(document, "version", json_string("2.1.0"));
  json_object_set_new(document, "runs", runs);
  return json_text(arena, document);
}
