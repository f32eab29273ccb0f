// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers with their units and texts, as nodes of the tree.
#include "parser.h"

#include <string.h>
#include <utf8proc.h>

// ---------------------------------------------------------------- units

/// Words that people write for a unit: how thermometers are labelled, names in full.
static const struct {
  const char *word;
  const char *unit;
} unit_words[] = {
    {"C", "degC"},        {"F", "degF"},         {"inch", "in"},       {"inches", "in"},
    {"foot", "ft"},       {"feet", "ft"},        {"millimetre", "mm"}, {"millimetres", "mm"},
    {"millimeter", "mm"}, {"millimeters", "mm"}, {"gram", "g"},        {"grams", "g"},
    {"gr", "g"},          {"ounce", "oz"},       {"ounces", "oz"},     {"pound", "lb"},
    {"pounds", "lb"},     {"degree", "deg"},     {"degrees", "deg"},   {"turns", "turn"},
    {"percent", "%"},     {"Nm", "N.m"},         {"Nmm", "N.mm"}};

const char *pl_unit_meant(struct pl_arena *arena, const char *word) {
  for (size_t i = 0; i < sizeof unit_words / sizeof unit_words[0]; i++) {
    if (strcmp(unit_words[i].word, word) == 0) return unit_words[i].unit;
  }
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

/// What a word behind a number was meant for where it is no slip in a unit; null where that is
/// not known.
static const char *meant_by_word(struct parse *parse, const struct pl_node *number,
                                 const char *word) {
  static const char *const shocks[] = {"shock", "shocks", "damper", "dampers"};
  const char *const count = pl_span_text(parse->arena, pl_name_span(number));
  if (strcmp(word, "coil") == 0) return "write `coils`, also of one: 1 coils gap 0.5 mm";
  if (strcmp(word, "wd") == 0)
    return pl_format(parse->arena, "a text stands in quotes: \"%s\"",
                     pl_span_text(parse->arena, number->span));
  for (size_t i = 0; i < sizeof shocks / sizeof shocks[0]; i++) {
    if (strcmp(shocks[i], word) == 0)
      return pl_format(parse->arena, "a rule counts them: count(damper) == %s", count);
  }
  return NULL;
}

/// Why a unit could not be read, with the nearest one that could.
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

// ---------------------------------------------------------------- numbers

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

// ---------------------------------------------------------------- texts

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
