// SPDX-License-Identifier: GPL-3.0-or-later
// What the grammar's rules make: the nodes of the tree. Top to bottom as in the grammar.
#include "parser.h"

#include <string.h>
#include <utf8proc.h>

struct chain chain_add(struct chain chain, struct pl_node *node) {
  if (node == NULL) return chain;
  if (chain.last == NULL) return (struct chain){node, node};
  chain.last->next = node;
  return (struct chain){chain.first, node};
}

static void set_name_span(struct pl_node *node, struct pl_span span) {
  node->name_start = span.start;
  node->name_end = span.end;
}

static struct pl_node *node_new(struct parse *parse, enum pl_node_kind kind,
                                struct pl_span span) {
  struct pl_node *const node = pl_alloc(parse->arena, sizeof *node);
  node->kind = kind;
  node->span = span;
  set_name_span(node, span);
  node->name = "";
  return node;
}

static const char *text_at(struct pl_span span) {
  return (const char *)span.source->bytes + span.start;
}

static size_t span_length(struct pl_span span) {
  return span.end - span.start;
}

static const char *interned(struct parse *parse, struct lexeme word) {
  return pl_intern(parse->names, text_at(span_of(parse, word)), word.end - word.start);
}

/// Depth of what was told to be too deep: what is around it says nothing more.
#define TOLD UINT16_MAX

/// Counts `child` into the nesting of `node`; too deep is reported once and cut off there.
static void count_depth(struct parse *parse, struct pl_node *node,
                        const struct pl_node *child) {
  if (child == NULL || child->depth < node->depth) return;
  node->depth = child->depth == TOLD ? TOLD : (uint16_t)(child->depth + 1);
  if (node->depth <= PL_MOST_STEPS) return;
  if (node->depth != TOLD)
    pl_report(parse->problems, PL_TOO_MANY_STEPS, child->span,
              PL_WORDS(pl_format(parse->arena, "%d", PL_MOST_STEPS)));
  node->kind = PL_NODE_BROKEN;
  node->children = NULL;
  node->depth = TOLD;
}

static void adopt(struct parse *parse, struct pl_node *node, struct chain children) {
  node->children = children.first;
  for (const struct pl_node *child = children.first; child != NULL; child = child->next) {
    count_depth(parse, node, child);
    if (node->kind == PL_NODE_BROKEN) return;
  }
}

// ---------------------------------------------------------------- items

struct pl_node *node_include(struct parse *parse, struct lexeme word, struct lexeme path) {
  struct pl_node *const node = node_text(parse, path);
  node->kind = PL_NODE_INCLUDE;
  node->span = pl_span_join(span_of(parse, word), span_of(parse, path));
  return node;
}

struct pl_node *node_let(struct parse *parse, struct lexeme word, struct lexeme name,
                         struct pl_node *value) {
  struct pl_node *const node = node_key(parse, PL_NODE_LET, name);
  node->span = pl_span_join(span_of(parse, word), value->span);
  node->children = value;
  parse->let_count++;
  if (parse->spoiled) value->kind = PL_NODE_BROKEN; // the name is known all the same
  return node;
}

struct pl_node *node_missing_sign(struct parse *parse, struct lexeme key, struct chain titles) {
  report_missing_sign(parse, titles.first);
  struct pl_node *const node = node_broken(parse);
  node->span = pl_span_join(span_of(parse, key), titles.last->span);
  return node;
}

struct pl_node *node_broken(struct parse *parse) {
  return node_new(parse, PL_NODE_BROKEN, parse->last);
}

struct pl_node *node_broken_block(struct parse *parse, struct chain items) {
  struct pl_node *const node = node_broken(parse);
  if (items.first != NULL) node->span = pl_span_join(items.first->span, items.last->span);
  node->children = items.first;
  return node;
}

struct pl_node *node_property(struct parse *parse, struct pl_node *key, enum pl_operator action,
                              struct pl_node *value) {
  struct pl_node *const node = key; // which has the name, or the number and its unit
  node->key_kind = key->kind;
  node->kind = parse->spoiled ? PL_NODE_BROKEN : PL_NODE_PROPERTY;
  node->action = action;
  set_name_span(node, key->span);
  node->span = pl_span_join(key->span, value->span);
  node->children = value;
  return node;
}

struct pl_node pl_key_node(const struct pl_node *property) {
  return (struct pl_node){.kind = property->key_kind,
                          .is_weight = property->is_weight,
                          .span = pl_name_span(property),
                          .name_start = property->name_start,
                          .name_end = property->name_end,
                          .name = property->name,
                          .number = property->number,
                          .unit = property->unit};
}

struct pl_node *node_block(struct parse *parse, struct lexeme kind, struct chain titles,
                           struct chain bases, struct pl_node *condition, struct chain items,
                           struct lexeme close) {
  struct pl_node *const node = node_key(parse, PL_NODE_BLOCK, kind);
  node->span = pl_span_join(span_of(parse, kind), span_of(parse, close));
  node->titles = titles.first;
  node->bases = bases.first;
  node->condition = condition;
  node->children = items.first;
  return node;
}

// ---------------------------------------------------------------- values

struct pl_node *node_over(struct parse *parse, enum pl_node_kind kind, struct pl_node *first,
                          struct pl_node *second, struct pl_node *third) {
  struct pl_node *const last = third != NULL ? third : second != NULL ? second : first;
  struct pl_node *const node = node_new(parse, kind, pl_span_join(first->span, last->span));
  const struct chain children =
      chain_add(chain_add(chain_add((struct chain){NULL, NULL}, first), second), third);
  adopt(parse, node, children);
  return node;
}

struct pl_node *node_binary(struct parse *parse, enum pl_operator action, struct pl_node *left,
                            struct pl_node *right) {
  struct pl_node *const node = node_over(parse, PL_NODE_BINARY, left, right, NULL);
  node->action = action;
  return node;
}

struct pl_node *node_not(struct parse *parse, struct lexeme word, struct pl_node *operand) {
  struct pl_node *const node = node_over(parse, PL_NODE_NOT, operand, NULL, NULL);
  node->span = pl_span_join(span_of(parse, word), operand->span);
  return node;
}

struct pl_node *node_negation(struct parse *parse, struct lexeme sign,
                              struct pl_node *operand) {
  const bool leads = operand->kind == PL_NODE_AT || operand->kind == PL_NODE_ROW;
  struct pl_node *const number = leads ? operand->children : operand;
  if (number->kind == PL_NODE_NUMBER) {
    number->number = -number->number;
    number->span = pl_span_join(span_of(parse, sign), number->span);
    operand->span = pl_span_join(span_of(parse, sign), operand->span);
    return operand;
  }
  struct pl_node *const node = node_over(parse, PL_NODE_NEGATION, operand, NULL, NULL);
  node->span = pl_span_join(span_of(parse, sign), operand->span);
  return node;
}

struct pl_node *node_row(struct parse *parse, struct pl_node *first, struct chain rest) {
  struct pl_node *const node =
      node_new(parse, PL_NODE_ROW, pl_span_join(first->span, rest.last->span));
  first->next = rest.first;
  adopt(parse, node, (struct chain){first, rest.last});
  return node;
}

struct pl_node *node_one_way(struct parse *parse, struct pl_node *ports, struct lexeme way,
                             struct pl_node *opens_at) {
  struct pl_node *const node = node_over(parse, PL_NODE_ONE_WAY, ports, opens_at, NULL);
  set_name_span(node, span_of(parse, way));
  node->name = interned(parse, way);
  if (opens_at == NULL) node->span = pl_span_join(ports->span, span_of(parse, way));
  return node;
}

struct pl_node *node_list(struct parse *parse, enum pl_node_kind kind, struct lexeme open,
                          struct chain elements, struct lexeme close) {
  struct pl_node *const node =
      node_new(parse, kind, pl_span_join(span_of(parse, open), span_of(parse, close)));
  adopt(parse, node, elements);
  return node;
}

struct pl_node *node_call(struct parse *parse, struct lexeme name, struct chain arguments,
                          struct lexeme close) {
  struct pl_node *const node = node_word(parse, PL_NODE_CALL, name);
  node->span = pl_span_join(span_of(parse, name), span_of(parse, close));
  adopt(parse, node, arguments);
  return node;
}

const char *pl_unit_meant(struct pl_arena *arena, const char *word) {
  // How thermometers are labelled.
  if (strcmp(word, "C") == 0) return "degC";
  if (strcmp(word, "F") == 0) return "degF";
  const size_t letters = strcspn(word, "0123456789");
  if (letters > 0 && word[letters] != '\0') {
    const char *const power = pl_format(arena, "%.*s^%s", (int)letters, word, word + letters);
    struct pl_unit unit;
    const char *bad = NULL;
    size_t bad_length = 0;
    if (pl_unit_read(power, strlen(power), &unit, &bad, &bad_length) == PL_UNIT_OK)
      return power;
  }
  size_t count = 0;
  const char *const *const names = pl_unit_names(&count);
  return pl_nearest(word, names, count);
}

/// Why a unit could not be read, with the nearest one that could.
/// What a word behind a number was meant for where it is no slip in a unit; null where that is
/// not known.
static const char *meant_by_word(struct parse *parse, const struct pl_node *number,
                                 const char *word) {
  static const char *const shocks[] = {"shock", "shocks", "damper", "dampers"};
  const char *const count = pl_span_text(parse->arena, pl_name_span(number));
  if (strcmp(word, "wd") == 0)
    return pl_format(parse->arena, "a text stands in quotes: \"%s\"",
                     pl_span_text(parse->arena, number->span));
  for (size_t i = 0; i < sizeof shocks / sizeof shocks[0]; i++) {
    if (strcmp(shocks[i], word) == 0)
      return pl_format(parse->arena, "a rule counts them: count(damper) == %s", count);
  }
  return NULL;
}

static void report_unit(struct parse *parse, const struct pl_node *number, struct pl_span span,
                        const char *bad, size_t bad_length, enum pl_unit_result result) {
  const char *const whole = pl_span_text(parse->arena, span);
  if (result == PL_UNIT_NOT_COMPOUND) {
    pl_report(parse->problems, PL_UNIT_OF_TEMPERATURE, span, PL_WORDS(whole));
    return;
  }
  const char *const part = pl_copy_text(parse->arena, bad, bad_length);
  struct pl_span place = span;
  if (bad >= text_at(span) && bad <= text_at(span) + span_length(span)) {
    place.start = span.start + (uint32_t)(bad - text_at(span));
    place.end = place.start + (uint32_t)bad_length;
  }
  const char *const meant = meant_by_word(parse, number, part);
  if (meant != NULL)
    pl_report(parse->problems, PL_WORD_AS_UNIT, place, PL_WORDS(part, meant));
  else
    pl_report(parse->problems, PL_UNKNOWN_UNIT, place,
              PL_WORDS(part, pl_unit_meant(parse->arena, part)));
}

/// More than any file but a contrived one has.
#define MOST_KNOWN_UNITS ((size_t)32)

const struct known_unit *unit_read_before(const struct parse *parse, struct pl_span span) {
  const size_t length = span_length(span);
  for (const struct known_unit *known = parse->units; known != NULL; known = known->next) {
    if (known->length == length && memcmp(known->written, text_at(span), length) == 0)
      return known;
  }
  return NULL;
}

/// Reads a unit, or finds it among those that were read before; null and a report if it is
/// none.
static const struct known_unit *known_unit(struct parse *parse, const struct pl_node *node,
                                           struct pl_span span) {
  const struct known_unit *const before = unit_read_before(parse, span);
  if (before != NULL) return before;
  const size_t length = span_length(span);
  struct known_unit read = {.next = parse->units, .written = text_at(span), .length = length};
  const char *bad = read.written;
  size_t bad_length = length;
  const enum pl_unit_result result =
      pl_unit_read(read.written, length, &read.unit, &bad, &bad_length);
  read.is_weight = result == PL_UNIT_WEIGHT;
  if (result != PL_UNIT_OK && !read.is_weight) {
    report_unit(parse, node, span, bad, bad_length, result);
    return NULL;
  }
  struct known_unit *const known = pl_alloc(parse->arena, sizeof *known);
  *known = read;
  if (parse->unit_count == MOST_KNOWN_UNITS) return known; // a search would take too long
  parse->units = known;
  parse->unit_count++;
  return known;
}

static void read_unit(struct parse *parse, struct pl_node *node, struct pl_span span) {
  const struct known_unit *const known = known_unit(parse, node, span);
  if (known == NULL) {
    node->kind = PL_NODE_BROKEN;
    return;
  }
  node->unit = &known->unit;
  node->is_weight = known->is_weight;
}

/// `written` without its commas, or its points, and with the rest of them as points.
static const char *without(struct parse *parse, const char *written, char sign) {
  struct pl_buffer text = {.arena = parse->arena};
  for (const char *at = written; *at != '\0'; at++)
    if (*at != sign) pl_buffer_add(&text, *at == ',' ? "." : at, 1);
  return pl_buffer_string(&text);
}

const char *comma_meant(struct parse *parse, struct pl_span number) {
  const char *const written = pl_span_text(parse->arena, number);
  const char *const first = strchr(written, ',');
  const char *const last = strrchr(written, ',');
  const char *const point = strchr(written, '.');
  if (point == NULL && first == last)
    return strlen(last) == 4 ? NULL : without(parse, written, '.'); // 1,250 may be thousands
  if (point == NULL || point > last) return without(parse, written, ',');
  return first == last && strrchr(written, '.') == point ? without(parse, written, '.') : NULL;
}

struct pl_node *node_number(struct parse *parse, struct lexeme number, struct lexeme unit) {
  const struct pl_span span = span_of(parse, number);
  struct pl_node *const node =
      node_new(parse, PL_NODE_NUMBER, pl_span_join(span, span_of(parse, unit)));
  const char *written = text_at(span);
  size_t length = span_length(span);
  if (memchr(written, ',', length) != NULL) { // reported by now
    written = comma_meant(parse, span);
    length = written == NULL ? 0 : strlen(written);
  }
  if (written == NULL) {
    node->kind = PL_NODE_BROKEN;
    return node;
  }
  if (!pl_number_read(written, length, &node->number)) {
    pl_report(parse->problems, PL_NUMBER_TOO_LARGE, span,
              PL_WORDS(pl_copy_text(parse->arena, written, length)));
    node->kind = PL_NODE_BROKEN;
  }
  set_name_span(node, span);
  if (unit.start != number.start) read_unit(parse, node, span_of(parse, unit));
  return node;
}

/// The value of a hexadecimal digit, or -1.
static int hexadecimal(char digit) {
  if (digit >= '0' && digit <= '9') return digit - '0';
  if (digit >= 'a' && digit <= 'f') return digit - 'a' + 10;
  if (digit >= 'A' && digit <= 'F') return digit - 'A' + 10;
  return -1;
}

/// From the backslash before `at` up to `end`.
static struct pl_span escape_span(const struct pl_source *source, const char *at,
                                  const char *end) {
  const char *const bytes = (const char *)source->bytes;
  return (struct pl_span){source, (uint32_t)(at - 1 - bytes), (uint32_t)(end - bytes)};
}

/// Undoes `\u{…}` at `*at` (behind the backslash); false if it is none. What a file may not
/// hold does not get into a text this way either.
static bool undo_code_point(struct parse *parse, const char **at, const char *end,
                            struct pl_buffer *out) {
  const char *p = *at;
  if (end - p < 4 || p[0] != 'u' || p[1] != '{') return false;
  utf8proc_int32_t code = 0;
  int digits = 0;
  for (p += 2; p < end && hexadecimal(*p) >= 0 && digits < 6; p++, digits++)
    code = code * 16 + hexadecimal(*p);
  if (digits == 0 || p >= end || *p != '}' || code == 0 || !utf8proc_codepoint_valid(code))
    return false;
  if (is_screened(code)) {
    report_screened(parse, code, escape_span(parse->source, *at, p + 1));
    *at = p + 1;
    return true;
  }
  utf8proc_uint8_t bytes[4];
  const utf8proc_ssize_t length = utf8proc_encode_char(code, bytes);
  pl_buffer_add(out, (const char *)bytes, (size_t)length);
  *at = p + 1;
  return true;
}

/// The bytes of the quote that a text begins or ends with: plain ones have one, set ones three.
static size_t quote_length(const char *at) {
  return *at == '"' || *at == '\'' ? 1 : 3;
}

/// Does the text's last quote close it? One behind a backslash does not.
static bool is_closed(const char *at, const char *end) {
  size_t backslashes = 0;
  if (end == at || end[-1] != '"') return false;
  while (end - 1 - backslashes > at && end[-2 - (ptrdiff_t)backslashes] == '\\') backslashes++;
  return backslashes % 2 == 0;
}

struct pl_node *node_text(struct parse *parse, struct lexeme text) {
  const struct pl_span span = span_of(parse, text);
  struct pl_node *const node = node_new(parse, PL_NODE_TEXT, span);
  const char *at = text_at(span);
  const char *end = at + span_length(span);
  const size_t quote = quote_length(at);
  const bool plain = *at == '"';
  at += quote;
  if (!plain)
    end -= quote; // the lexer takes these only when they are closed
  else if (is_closed(at, end))
    end--;
  const size_t length = end > at ? (size_t)(end - at) : 0;
  if (memchr(at, '\\', length) == NULL) {
    node->name = pl_intern(parse->names, at, length);
    return node;
  }
  struct pl_buffer out = {.arena = parse->arena};
  while (at < end) {
    if (*at != '\\' || at + 1 >= end || !plain) {
      pl_buffer_add(&out, at++, 1);
      continue;
    }
    at++;
    if (*at == '"' || *at == '\\') {
      pl_buffer_add(&out, at++, 1);
    } else if (*at == 'n' || *at == 't') {
      pl_buffer_text(&out, *at++ == 'n' ? "\n" : "\t");
    } else if (!undo_code_point(parse, &at, end, &out)) {
      const struct pl_span place = escape_span(parse->source, at, at + 1);
      pl_report(parse->problems, PL_UNKNOWN_ESCAPE, place,
                PL_WORDS(pl_span_text(parse->arena, place)));
      pl_buffer_add(&out, at++, 1);
    }
  }
  node->name = pl_intern(parse->names, pl_buffer_string(&out), out.length);
  return node;
}

struct pl_node *node_word(struct parse *parse, enum pl_node_kind kind, struct lexeme word) {
  struct pl_node *const node = node_new(parse, kind, span_of(parse, word));
  node->name = interned(parse, word);
  return node;
}

static bool is_capital(char c) {
  return c >= 'A' && c <= 'Z';
}

/// Is a key written as it is meant: in small letters, with hyphens?
static bool is_key_as_meant(const char *written, size_t length) {
  for (size_t i = 0; i < length; i++) {
    if (is_capital(written[i]) || written[i] == '_') return false;
  }
  return true;
}

struct pl_node *node_key(struct parse *parse, enum pl_node_kind kind, struct lexeme word) {
  struct pl_node *const node = node_new(parse, kind, span_of(parse, word));
  const char *const written = text_at(node->span);
  const size_t length = span_length(node->span);
  if (is_key_as_meant(written, length)) {
    node->name = pl_intern(parse->names, written, length);
    return node;
  }
  struct pl_buffer meant = {.arena = parse->arena};
  for (size_t i = 0; i < length; i++) {
    const char c = written[i];
    const bool hump = is_capital(c) && i > 0 && written[i - 1] >= 'a' && written[i - 1] <= 'z';
    if (hump) pl_buffer_add(&meant, "-", 1);
    const char lower = is_capital(c) ? (char)(c - 'A' + 'a') : c;
    pl_buffer_add(&meant, lower == '_' ? "-" : &lower, 1);
  }
  node->name = pl_intern(parse->names, pl_buffer_string(&meant), meant.length);
  return node;
}

/// A path this long is no name of anything, and need not be taken further.
#define LONGEST_PATH ((size_t)200)

struct pl_node *node_path(struct parse *parse, struct pl_node *path, struct lexeme word) {
  if (strlen(path->name) < LONGEST_PATH) {
    const struct pl_node *const last = node_word(parse, PL_NODE_NAME, word);
    const char *const whole = pl_format(parse->arena, "%s.%s", path->name, last->name);
    path->name = pl_intern(parse->names, whole, strlen(whole));
  }
  path->kind = PL_NODE_NAME;
  path->span = pl_span_join(path->span, span_of(parse, word));
  set_name_span(path, path->span);
  return path;
}

// ---------------------------------------------------------------- text of the tree

const char *pl_span_text(struct pl_arena *arena, struct pl_span span) {
  if (span.source == NULL) return "";
  return pl_copy_text(arena, text_at(span), span_length(span));
}

const char *pl_span_place(struct pl_arena *arena, struct pl_span span) {
  if (span.source == NULL) return "";
  return pl_format(arena, "%s:%u", span.source->path, pl_position(span).line);
}

const char *pl_operator_sign(enum pl_operator action) {
  static const char *const signs[] = {"",  "=",  "+=", "-=", "*=", "+", "-",  "*",   "/", "^",
                                      "<", "<=", "==", "!=", ">=", ">", "in", "and", "or"};
  return signs[action];
}
