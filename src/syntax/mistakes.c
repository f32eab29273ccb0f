// SPDX-License-Identifier: GPL-3.0-or-later
// Tokens that are wrong in themselves, and signs and words of other languages: each is reported
// and read as what was meant, so that the rest of the line still makes sense.
#include "reader.h"

#include <string.h>
#include <utf8proc.h>

#include "pitleaf.h"

void take_decimal_comma(struct reader *reader, struct pl_span span) {
  struct pl_arena *const arena = reader->parse.arena;
  const char *const written = pl_span_text(arena, span);
  const char *const meant = comma_meant(&reader->parse, span);
  const char *const comma = strchr(written, ',');
  const int whole = (int)(comma - written);
  if (meant == NULL && strpbrk(comma + 1, ",.") == NULL && strchr(written, '.') == NULL)
    pl_report(reader->parse.problems, PL_THOUSANDS_COMMA, span,
              PL_WORDS(written, pl_format(arena, "%.*s.%s", whole, written, comma + 1),
                       pl_format(arena, "%.*s%s", whole, written, comma + 1)));
  else
    pl_report(reader->parse.problems, PL_DECIMAL_COMMA, span, PL_WORDS(written, meant));
  keep_token(reader, span, PL_CLASS_NUMBER);
  feed(reader, PL_TOKEN_NUMBER, span);
}

// ---------------------------------------------------------------- signs of other languages

/// Reads a token as the sign that was meant; where that does not fit either, the parser says so
/// and nothing else is said.
static void take_as(struct reader *reader, struct pl_span span, struct meant_sign meant) {
  struct parse *const parse = &reader->parse;
  const bool was_quiet = parse->quiet;
  feed(reader, meant.kind, span);
  if (was_quiet == parse->quiet && !was_quiet)
    pl_report(parse->problems, PL_ODD_SIGN, span,
              PL_WORDS(pl_span_text(parse->arena, span), meant.sign));
}

/// Keeps what was read as one, word by word and blank by blank, for those who colour it.
static void keep_apart(struct reader *reader, struct pl_span span, enum pl_token_class class) {
  const unsigned char *const bytes = span.source->bytes;
  for (uint32_t at = span.start; at < span.end;) {
    const bool blank = bytes[at] == ' ' || bytes[at] == '\t';
    struct pl_span piece = {span.source, at, at};
    while (piece.end < span.end &&
           (bytes[piece.end] == ' ' || bytes[piece.end] == '\t') == blank)
      piece.end++;
    // A `!` without `=` behind it is no sign at all.
    const bool odd = class == PL_CLASS_MARK && !blank && bytes[piece.end - 1] == '!';
    if (odd) piece.end--;
    keep_token(reader, piece, blank ? PL_CLASS_SPACE : class);
    if (odd) keep_token(reader, span_at(span.source, piece.end++, 1), PL_CLASS_BAD);
    at = piece.end;
  }
}

void take_odd_sign(struct reader *reader, struct pl_span span) {
  keep_apart(reader, span, PL_CLASS_MARK);
  take_as(reader, span, sign_meant(span));
}

/// Behind a whole value, a word and `=` are the next line, of which the `;` is missing.
static bool begins_next(const struct reader *reader) {
  const int before = reader->recent[1];
  return reader->recent[0] == PL_TOKEN_WORD &&
         (before == PL_TOKEN_UNIT || before == PL_TOKEN_NUMBER || before == PL_TOKEN_TEXT ||
          before == PL_TOKEN_WORD || before == PL_TOKEN_RIGHT_PARENTHESIS ||
          before == PL_TOKEN_RIGHT_BRACKET);
}

/// Behind a comma: neither the next key nor the next of a list that has no brackets.
static bool joins_conditions(const unsigned char *at) {
  if (begins_item(at)) return false;
  while (*at == ' ' || *at == '\t') at++;
  return *at < '0' || *at > '9';
}

bool take_in_condition(struct reader *reader, int kind, struct pl_span span) {
  struct meant_sign meant = {0, ""};
  if (kind == PL_TOKEN_SET && !begins_next(reader))
    meant = (struct meant_sign){PL_TOKEN_EQUAL, "=="};
  if (kind == PL_TOKEN_COMMA && reader->brackets == 0 && joins_conditions(reader->lexer.cursor))
    meant = joint_meant(',');
  if (kind == PL_TOKEN_AT) meant = words_meant(&span);
  if (meant.kind == 0) return false;
  reader->lexer.cursor = span.source->bytes + span.end;
  keep_apart(reader, span, class_of(kind));
  take_as(reader, span, meant);
  return true;
}

void take_strange_word(struct reader *reader, struct pl_span span) {
  struct parse *const parse = &reader->parse;
  const bool was_quiet = parse->quiet;
  keep_token(reader, span, PL_CLASS_WORD);
  const struct meant_sign sign = word_meant(span);
  if (reader->in_condition && sign.kind != 0) {
    take_as(reader, span, sign);
    return;
  }
  feed(reader, PL_TOKEN_WORD, span);
  if (reader->in_value || was_quiet != parse->quiet) return;
  const struct pl_node *const meant =
      node_key(parse, PL_NODE_NAME, (struct lexeme){span.start, span.end});
  pl_report(parse->problems, PL_WORD_CASE, span,
            PL_WORDS(pl_span_text(parse->arena, span), meant->name));
}

void take_odd_text(struct reader *reader, struct pl_span span) {
  struct parse *const parse = &reader->parse;
  keep_token(reader, span, PL_CLASS_TEXT);
  const struct lexeme text = {span.start, span.end};
  pl_report(parse->problems, PL_ODD_QUOTES, span, PL_WORDS(node_text(parse, text)->name));
  feed(reader, PL_TOKEN_TEXT, span);
}

/// The braces that an unclosed text took with it close the blocks that its line opened.
static void close_swallowed(struct reader *reader, struct pl_span text) {
  size_t braces = 0;
  for (uint32_t at = text.start; at < text.end; at++)
    if (text.source->bytes[at] == '}') braces++;
  const struct pl_span here = empty_span(text.source, text.end);
  while (braces-- > 0 && reader->open_count > 0) {
    const struct opening *const top = &reader->open[reader->open_count - 1];
    if (top->mark != '{' || top->line != reader->line) return;
    end_line(reader, here);
    feed(reader, PL_TOKEN_RIGHT_BRACE, here);
    pop_open(reader);
  }
}

void take_foreign_date(struct reader *reader, struct pl_span span) {
  pl_report(reader->parse.problems, PL_NO_SUCH_DAY, span,
            PL_WORDS(pl_span_text(reader->parse.arena, span)));
  keep_token(reader, span, PL_CLASS_DATE);
  reader->parse.quiet = true; // the property has no value, and that was said
}

void take_slashes(struct reader *reader, struct pl_span span) {
  span.end = span.start + 2;
  reader->lexer.cursor = span.source->bytes + span.end;
  pl_report(reader->parse.problems, PL_SLASHES, span, PL_NO_WORDS);
  while (*reader->lexer.cursor != '\n' && *reader->lexer.cursor != '\0') reader->lexer.cursor++;
  span.end = (uint32_t)(reader->lexer.cursor - span.source->bytes);
  keep_token(reader, span, PL_CLASS_BAD);
}

void take_open_text(struct reader *reader, struct pl_span span) {
  pl_report(reader->parse.problems, PL_UNCLOSED_TEXT, span, PL_NO_WORDS);
  keep_token(reader, span, PL_CLASS_TEXT);
  feed(reader, PL_TOKEN_TEXT, span);
  reader->parse.quiet = true; // what stood behind it on the line went into the text
  abandon_brackets(reader, empty_span(span.source, span.end));
  close_swallowed(reader, span);
}

/// The whole character where the lexer stopped at a byte, and its like behind it (`&&`).
static struct pl_span whole_character(struct pl_span span) {
  const unsigned char *const bytes = span.source->bytes;
  const size_t length = span.source->length;
  while (span.end < length && (bytes[span.end] & 0xC0) == 0x80) span.end++;
  const uint32_t size = span.end - span.start;
  while (span.end + size <= length && memcmp(bytes + span.start, bytes + span.end, size) == 0)
    span.end += size;
  return span;
}

void take_bad(struct reader *reader, struct pl_span byte) {
  struct parse *const parse = &reader->parse;
  const struct pl_span span = whole_character(byte);
  reader->lexer.cursor = span.source->bytes + span.end;
  keep_token(reader, span, PL_CLASS_BAD);
  utf8proc_int32_t code = 0;
  utf8proc_iterate(span.source->bytes + span.start, (utf8proc_ssize_t)(span.end - span.start),
                   &code);
  if (code == 0xFEFF && span.start == 0) return; // the mark that some editors put first
  if (reader->in_condition && joint_meant(code).kind != 0) {
    take_as(reader, span, joint_meant(code));
    return;
  }
  if (!is_screened(code))
    pl_report(parse->problems, PL_BAD_CHARACTER, span,
              PL_WORDS(pl_span_text(parse->arena, span), mend_for(code)));
  parse->quiet = true; // without it the rest of the line need not make sense
  parse->spoiled = true;
  reader->line_is_open = true;
}
