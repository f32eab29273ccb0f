// SPDX-License-Identifier: GPL-3.0-or-later
// What was meant by signs and words that the language does not have, but other languages or
// people do.
#include "parser.h"

#include <string.h>

#include "pitleaf.h"

/// What was meant by a character that the language has no use for; null if that is not known.
const char *mend_for(int32_t code) {
  switch (code) {
  case 0x2018:
  case 0x2019:
  case 0x201C:
  case 0x201D:
  case 0x201E:
  case '\'':
  case '`': return "names and texts stand in plain double quotes: \"…\"";
  case '&': return "conditions are joined with `and`";
  case '|': return "conditions are joined with `or`";
  case ':': return "a key and its value are joined with `=`";
  case '!': return "write `not` before a condition, and `!=` for unequal";
  case 0x2010:
  case 0x2011:
  case 0x2013:
  case 0x2014: return "write a plain minus sign: -";
  case 0x00B7:
  case 0x22C5: return "units are multiplied by a point: N.s/m";
  case 0x2103: return "write degC";
  case 0x2109: return "write degF";
  case 0x00A0:
  case 0x2007:
  case 0x202F: return "this is a blank of another kind: type a plain one";
  default: return NULL;
  }
}

struct meant_sign sign_meant(struct pl_span odd) {
  const char *const text = (const char *)odd.source->bytes + odd.start;
  const size_t length = odd.end - odd.start;
  const bool less = memchr(text, '<', length) != NULL;
  const bool greater = memchr(text, '>', length) != NULL;
  if (memchr(text, '!', length) != NULL || (less && greater))
    return (struct meant_sign){PL_TOKEN_NOT_EQUAL, "!="};
  if (less) return (struct meant_sign){PL_TOKEN_LESS_EQUAL, "<="};
  if (greater) return (struct meant_sign){PL_TOKEN_GREATER_EQUAL, ">="};
  return (struct meant_sign){PL_TOKEN_EQUAL, "=="};
}

static bool is_text(struct pl_span span, const char *text) {
  const size_t length = strlen(text);
  return span.end - span.start == length &&
         memcmp(span.source->bytes + span.start, text, length) == 0;
}

struct meant_sign word_meant(struct pl_span word) {
  static const struct {
    const char *word;
    struct meant_sign meant;
  } known[] = {{"AND", {PL_TOKEN_AND, "and"}}, {"And", {PL_TOKEN_AND, "and"}},
               {"OR", {PL_TOKEN_OR, "or"}},    {"Or", {PL_TOKEN_OR, "or"}},
               {"NOT", {PL_TOKEN_NOT, "not"}}, {"Not", {PL_TOKEN_NOT, "not"}},
               {"IN", {PL_TOKEN_IN, "in"}},    {"In", {PL_TOKEN_IN, "in"}}};
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    if (is_text(word, known[i].word)) return known[i].meant;
  }
  return (struct meant_sign){0, ""};
}

struct meant_sign words_meant(struct pl_span *span) {
  static const struct {
    const char *word;
    struct meant_sign meant;
  } known[] = {{"most", {PL_TOKEN_LESS_EQUAL, "<="}},
               {"least", {PL_TOKEN_GREATER_EQUAL, ">="}}};
  const char *const bytes = (const char *)span->source->bytes;
  uint32_t at = span->end;
  while (bytes[at] == ' ' || bytes[at] == '\t') at++;
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    const size_t length = strlen(known[i].word);
    const char behind = span->source->length >= at + length ? bytes[at + length] : '\0';
    const bool ends = behind == ' ' || behind == '\t' || (behind >= '0' && behind <= '9');
    if (!ends || strncmp(bytes + at, known[i].word, length) != 0) continue;
    span->end = at + (uint32_t)length;
    return known[i].meant;
  }
  return (struct meant_sign){0, ""};
}

struct meant_sign joint_meant(int32_t code) {
  if (code == '&' || code == ',') return (struct meant_sign){PL_TOKEN_AND, "and"};
  if (code == '|') return (struct meant_sign){PL_TOKEN_OR, "or"};
  return (struct meant_sign){0, ""};
}

// ---------------------------------------------------------------- words by their place

/// Is that the key of a rule's condition?
bool is_require(struct pl_span key) {
  return key.end - key.start == 7 && memcmp(key.source->bytes + key.start, "require", 7) == 0;
}

/// `3 in [2, 3]` asks whether 3 is one of them; no length in inches has a list behind it.
bool is_membership(struct pl_span span) {
  const unsigned char *at = span.source->bytes + span.end;
  while (*at == ' ' || *at == '\t') at++;
  return *at == '[' && span.end - span.start == 2 &&
         memcmp(span.source->bytes + span.start, "in", 2) == 0;
}

/// `10/half`: a stroke behind a number that no unit follows divides.
bool is_division(struct pl_span word) {
  const char *const text = (const char *)word.source->bytes + word.start;
  return text[0] == '/' && pl_unit_prefix(text, word.end - word.start) == 0;
}

enum pl_token_class class_of(int kind) {
  switch (kind) {
  case PL_TOKEN_NUMBER: return PL_CLASS_NUMBER;
  case PL_TOKEN_DATE: return PL_CLASS_DATE;
  case PL_TOKEN_TEXT: return PL_CLASS_TEXT;
  case PL_TOKEN_INCLUDE:
  case PL_TOKEN_LET:
  case PL_TOKEN_FROM:
  case PL_TOKEN_WHEN:
  case PL_TOKEN_IN:
  case PL_TOKEN_AND:
  case PL_TOKEN_OR:
  case PL_TOKEN_NOT:
  case PL_TOKEN_X:
  case PL_TOKEN_TO:
  case PL_TOKEN_AT:
  case PL_TOKEN_COILS:
  case PL_TOKEN_GAP:
  case PL_TOKEN_ONE_WAY:
  case PL_TOKEN_OPENS_AT:
  case PL_TOKEN_WORD: return PL_CLASS_WORD;
  default: return PL_CLASS_MARK;
  }
}
