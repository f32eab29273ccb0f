// SPDX-License-Identifier: GPL-3.0-or-later
// The TextMate grammar in grammar/editors/ gives every character of every token a scope of the
// token's class. It is tried by a matcher of the part of TextMate's grammars that it uses:
// match, begin and end, captures, include.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <jansson.h>

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>

#include "mutation.h"
#include "support.h"

#include "pitleaf/syntax.h"

#include <string.h>
#include <unistd.h>

#define GRAMMAR "grammar/editors/pitleaf.tmLanguage.json"
#define TRICKY  "tests/unit/fixtures/editor-tokens.leaf"

#define MUTATIONS 150

// ---------------------------------------------------------------- the grammar

/// A rule: one expression, or a beginning and an end with rules for what lies between.
struct rule {
  const char *name; ///< null where it has none
  pcre2_code *match;
  pcre2_code *end; ///< null where `match` is all of it
  json_t *captures;
  json_t *end_captures;
  struct rule *inner;
  size_t inner_count;
};

/// Rules being gathered.
struct rules {
  struct pl_arena *arena;
  json_t *repository;
  struct rule *items;
  size_t count;
  size_t capacity;
};

static void free_code(void *code) {
  pcre2_code_free(code);
}

static void free_json(void *document) {
  json_decref(document);
}

/// The expression of that key, compiled; null where there is none.
static pcre2_code *expression(struct pl_arena *arena, json_t *rule, const char *key) {
  const char *const text = json_string_value(json_object_get(rule, key));
  if (text == NULL) return NULL;
  int error = 0;
  PCRE2_SIZE offset = 0;
  pcre2_code *const code =
      pcre2_compile((PCRE2_SPTR)text, PCRE2_ZERO_TERMINATED, PCRE2_UTF, &error, &offset, NULL);
  if (code == NULL) fail_msg("%s: error %d at byte %zu of %s", GRAMMAR, error, offset, text);
  pl_arena_at_end(arena, free_code, code);
  return code;
}

static void gather(struct rules *rules, json_t *patterns);

static void gather_one(struct rules *rules, json_t *pattern) {
  const char *const include = json_string_value(json_object_get(pattern, "include"));
  if (include != NULL) {
    assert_int_equal(include[0], '#');
    json_t *const there = json_object_get(rules->repository, include + 1);
    if (there == NULL) fail_msg("%s includes %s, which is not there", GRAMMAR, include);
    gather(rules, json_object_get(there, "patterns"));
    return;
  }
  struct rule rule = {.name = json_string_value(json_object_get(pattern, "name")),
                      .match = expression(rules->arena, pattern, "match"),
                      .captures = json_object_get(pattern, "captures")};
  if (rule.match == NULL) {
    rule.match = expression(rules->arena, pattern, "begin");
    rule.end = expression(rules->arena, pattern, "end");
    rule.captures = json_object_get(pattern, "beginCaptures");
    rule.end_captures = json_object_get(pattern, "endCaptures");
    struct rules inner = {.arena = rules->arena, .repository = rules->repository};
    gather(&inner, json_object_get(pattern, "patterns"));
    rule.inner = inner.items;
    rule.inner_count = inner.count;
  }
  assert_non_null(rule.match);
  rules->items =
      pl_grow(rules->arena, rules->items, rules->count, &rules->capacity, sizeof *rules->items);
  rules->items[rules->count++] = rule;
}

static void gather(struct rules *rules, json_t *patterns) {
  for (size_t i = 0; i < json_array_size(patterns); i++)
    gather_one(rules, json_array_get(patterns, i));
}

static struct rules grammar_of(struct pl_arena *arena) {
  json_error_t error;
  json_t *const document = json_load_file(GRAMMAR, JSON_REJECT_DUPLICATES, &error);
  if (document == NULL) fail_msg("%s:%d: %s", GRAMMAR, error.line, error.text);
  pl_arena_at_end(arena, free_json, document);
  struct rules rules = {.arena = arena, .repository = json_object_get(document, "repository")};
  gather(&rules, json_object_get(document, "patterns"));
  return rules;
}

// ---------------------------------------------------------------- the matcher

/// A line with the scope of each of its bytes; null where it has none.
struct line {
  struct pl_arena *arena;
  const char *bytes;
  size_t length;
  const char **scopes;
};

/// What an expression matched.
struct found {
  const struct rule *rule; ///< null: nothing
  const PCRE2_SIZE *ends;  ///< where the match and its captures begin and end, in pairs
  size_t pairs;
  size_t start;
  size_t end;
};

/// The first match of the code at or behind `from`.
static struct found match_from(const struct line *line, const struct rule *rule,
                               const pcre2_code *code, size_t from) {
  // Given back at once: it is large, and an arena of one file would gather gigabytes of it.
  pcre2_match_data *const data = pcre2_match_data_create_from_pattern(code, NULL);
  assert_non_null(data);
  const int count =
      pcre2_match(code, (PCRE2_SPTR)line->bytes, line->length, from, 0, data, NULL);
  struct found found = {.rule = NULL};
  if (count >= 0) {
    const size_t pairs = pcre2_get_ovector_count(data);
    PCRE2_SIZE *const ends = pl_alloc_array(line->arena, 2 * pairs, sizeof *ends);
    memcpy(ends, pcre2_get_ovector_pointer(data), 2 * pairs * sizeof *ends);
    found = (struct found){rule, ends, pairs, ends[0], ends[1]};
  }
  pcre2_match_data_free(data);
  if (count < 0 && count != PCRE2_ERROR_NOMATCH) fail_msg("PCRE2 gives up with %d", count);
  return found;
}

static void paint(const struct line *line, size_t start, size_t end, const char *scope) {
  for (size_t i = start; i < end && scope != NULL; i++) line->scopes[i] = scope;
}

/// Paints a match, and what it captured over that.
static void paint_match(const struct line *line, const struct found *found, json_t *captures) {
  const PCRE2_SIZE *const ends = found->ends;
  paint(line, found->start, found->end, found->rule->name);
  for (size_t i = 0; i < found->pairs; i++) {
    json_t *const capture = json_object_get(captures, pl_format(line->arena, "%zu", i));
    if (capture == NULL || ends[2 * i] == PCRE2_UNSET) continue;
    paint(line, ends[2 * i], ends[2 * i + 1],
          json_string_value(json_object_get(capture, "name")));
  }
}

/// The match that is next: the leftmost, and of those that start at one place the first.
static struct found next_match(const struct line *line, const struct rule *rules, size_t count,
                               size_t from) {
  struct found best = {.rule = NULL};
  for (size_t i = 0; i < count; i++) {
    const struct found found = match_from(line, &rules[i], rules[i].match, from);
    if (found.rule != NULL && (best.rule == NULL || found.start < best.start)) best = found;
  }
  return best;
}

/// Paints what lies between a beginning and its end; where that end lies.
static size_t paint_inside(const struct line *line, const struct rule *rule, size_t from) {
  size_t at = from;
  for (;;) {
    const struct found end = match_from(line, rule, rule->end, at);
    if (end.rule == NULL) fail_msg("a region of %s does not end on its line", rule->name);
    const struct found inner = next_match(line, rule->inner, rule->inner_count, at);
    if (inner.rule == NULL || end.start <= inner.start) {
      paint(line, at, end.start, rule->name);
      paint_match(line, &end, rule->end_captures);
      return end.end;
    }
    paint(line, at, inner.start, rule->name);
    paint_match(line, &inner, inner.rule->captures);
    at = inner.end;
  }
}

static void paint_line(const struct line *line, const struct rules *rules) {
  size_t at = 0;
  while (at < line->length) {
    const struct found found = next_match(line, rules->items, rules->count, at);
    if (found.rule == NULL) return;
    assert_true(found.end > found.start);
    paint_match(line, &found, found.rule->captures);
    at = found.rule->end == NULL ? found.end : paint_inside(line, found.rule, found.end);
  }
}

/// The scope of each byte of a text.
static const char **painted(struct pl_arena *arena, const struct rules *rules,
                            const char *bytes, size_t length) {
  const char **const scopes = pl_alloc_array(arena, length + 1, sizeof *scopes);
  for (size_t at = 0; at < length;) {
    const char *const end = memchr(bytes + at, '\n', length - at);
    const size_t size = end == NULL ? length - at : (size_t)(end - bytes) - at;
    const struct line line = {arena, bytes + at, size, scopes + at};
    paint_line(&line, rules);
    at += size + 1;
  }
  return scopes;
}

// ---------------------------------------------------------------- scopes and tokens

/// Does a scope, null for none, fit a token of that class?
static bool fits(const char *scope, enum pl_token_class class) {
  static const struct {
    enum pl_token_class class;
    const char *scope;
  } table[] = {{PL_CLASS_COMMENT, "comment.line."},
               {PL_CLASS_WORD, "keyword.control."},
               {PL_CLASS_WORD, "keyword.operator.word."},
               {PL_CLASS_WORD, "support."},
               {PL_CLASS_WORD, "storage."},
               {PL_CLASS_WORD, "variable."},
               {PL_CLASS_WORD, "constant.language."},
               {PL_CLASS_WORD, "invalid.illegal.word."},
               {PL_CLASS_TEXT, "string."},
               {PL_CLASS_TEXT, "punctuation.definition.string."},
               {PL_CLASS_TEXT, "constant.character.escape."},
               {PL_CLASS_TEXT, "invalid.illegal.escape."},
               {PL_CLASS_TEXT, "invalid.illegal.text."},
               {PL_CLASS_NUMBER, "constant.numeric.pitleaf"},
               {PL_CLASS_NUMBER, "invalid.illegal.number."},
               // Whether a comma is within a number is known by the brackets around it.
               {PL_CLASS_NUMBER, "punctuation.separator."},
               {PL_CLASS_UNIT, "keyword.other.unit."},
               {PL_CLASS_UNIT, "invalid.illegal.unit."},
               {PL_CLASS_DATE, "constant.numeric.date."},
               {PL_CLASS_DATE, "invalid.illegal.date."},
               {PL_CLASS_MARK, "keyword.operator."},
               {PL_CLASS_MARK, "punctuation.s"},
               {PL_CLASS_BAD, "invalid.illegal.character."},
               {PL_CLASS_BAD, "invalid.illegal.comment."}};
  if (class == PL_CLASS_SPACE || class == PL_CLASS_LINE) return scope == NULL;
  for (size_t i = 0; scope != NULL && i < sizeof table / sizeof table[0]; i++) {
    if (table[i].class == class && strncmp(scope, table[i].scope, strlen(table[i].scope)) == 0)
      return true;
  }
  return false;
}

/// Is the unit's scope that of a known unit, and is it one?
static bool knows_unit(struct pl_span span, const char *scope) {
  struct pl_unit unit;
  const char *bad = NULL;
  size_t bad_length = 0;
  const enum pl_unit_result result =
      pl_unit_read((const char *)span.source->bytes + span.start, span.end - span.start, &unit,
                   &bad, &bad_length);
  if (result == PL_UNIT_WEIGHT) return true; // which stands alone, or is told in a product
  return (result == PL_UNIT_OK) == (strncmp(scope, "keyword.other.unit.", 19) == 0);
}

static void check_token(const struct pl_source *source, const struct pl_token *token,
                        const char *const *scopes) {
  const struct pl_span span = {source, pl_token_start(token), token->end};
  const struct pl_position position = pl_position(span);
  for (size_t at = pl_token_start(token); at < token->end; at++) {
    if (!fits(scopes[at], token->class))
      fail_msg("%s:%u:%u: byte %zu of the token has the scope %s", source->path, position.line,
               position.column, at - pl_token_start(token),
               scopes[at] == NULL ? "of a blank" : scopes[at]);
  }
  if (token->class == PL_CLASS_UNIT && !knows_unit(span, scopes[pl_token_start(token)]))
    fail_msg("%s:%u:%u: this unit has the scope %s", source->path, position.line,
             position.column, scopes[pl_token_start(token)]);
}

static void check_source(struct pl_bench *bench, const char *path, const char *bytes,
                         size_t length) {
  const struct rules rules = grammar_of(bench->arena);
  const struct pl_source *const source =
      pl_source_of_bytes(bench->arena, path, (const unsigned char *)bytes, length);
  const struct pl_tree *const tree = pl_parse(bench->arena, pl_names_new(bench->arena),
                                              pl_diagnostics_new(bench->arena), source);
  if (tree->token_count == 1 && tree->tokens[0].class == PL_CLASS_BAD) return; // no text
  const char *const *const scopes = painted(bench->arena, &rules, bytes, length);
  for (size_t i = 0; i < tree->token_count; i++) check_token(source, &tree->tokens[i], scopes);
}

static void every_token_has_its_scope(struct pl_bench *bench) {
  assert_true(pl_each_source(bench, check_source) >= PL_FEWEST_SOURCES);
}

static void tricky_tokens_have_their_scopes(struct pl_bench *bench) {
  size_t length = 0;
  const char *const bytes = pl_test_read_there(bench->arena, TRICKY, &length);
  check_source(bench, TRICKY, bytes, length);
}

static void check_mutation(struct pl_bench *bench, int number, const char *bytes,
                           size_t length) {
  check_source(bench, pl_format(bench->arena, "mutation %d", number), bytes, length);
}

static void tokens_of_mutations_have_theirs(struct pl_bench *bench) {
  pl_each_mutation(bench, MUTATIONS, check_mutation);
}

/// The scope that the grammar gives to the place of `word` in a text.
static const char *scope_of(struct pl_bench *bench, const char *text, const char *word) {
  const struct rules rules = grammar_of(bench->arena);
  const char *const *const scopes = painted(bench->arena, &rules, text, strlen(text));
  const char *const scope = scopes[strstr(text, word) - text];
  return scope == NULL ? "" : scope;
}

// What a word is depends on the lists and on what stands behind it.
static void words_have_scopes_of_their_own(struct pl_bench *bench) {
  static const char *const cases[][3] = {
      {"spring \"s\" { }", "spring", "storage.type.pitleaf"},
      {"spring = \"s\"", "spring", "variable.other.member.pitleaf"},
      {"front { }", "front", "storage.modifier.scope.pitleaf"},
      {"car \"c\" { }", "car", "storage.type.pitleaf"},
      {"for = car", "car", "storage.modifier.scope.pitleaf"},
      {"a = min(1)", "min", "support.function.pitleaf"},
      {"a = wheel-rate", "wheel", "support.variable.figure.pitleaf"},
      {"a = vented", "vented", "constant.language.pitleaf"},
      {"setup \"s\" from \"t\"", "from", "keyword.control.pitleaf"},
      {"2 x 3", "x", "keyword.operator.word.pitleaf"},
      {"at = 3", "at", "variable.other.member.pitleaf"},
      {"a = half", "half", "variable.other.pitleaf"}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    assert_string_equal(scope_of(bench, cases[i][0], cases[i][1]), cases[i][2]);
}

int main(void) {
  if (chdir(pl_test_root()) != 0) return 1;
  const struct CMUnitTest tests[] = {
      PL_BENCH_TEST(every_token_has_its_scope),
      PL_BENCH_TEST(tricky_tokens_have_their_scopes),
      PL_BENCH_TEST(tokens_of_mutations_have_theirs),
      PL_BENCH_TEST(words_have_scopes_of_their_own),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
