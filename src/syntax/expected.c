// SPDX-License-Identifier: GPL-3.0-or-later
// Sentences that the grammar does not know: what came, and what would have fitted, in the
// user's words.
#include "parser.h"

#include <string.h>

#include "pitleaf.h"

/// Choices of a sentence: "`=` or `{`".
struct choices {
  const char *word[12];
  size_t count;
};

static void add_choice(struct choices *choices, const char *word) {
  if (choices->count < sizeof choices->word / sizeof choices->word[0])
    choices->word[choices->count++] = word;
}

static const char *choices_text(struct pl_arena *arena, const struct choices *choices) {
  struct pl_buffer text = {.arena = arena};
  for (size_t i = 0; i < choices->count; i++) {
    if (i > 0) pl_buffer_text(&text, i + 1 == choices->count ? " or " : ", ");
    pl_buffer_text(&text, choices->word[i]);
  }
  return pl_buffer_string(&text);
}

/// Is the last token the first of its line or block, so that it may yet be a key or a kind?
static bool stands_first(const struct parse *parse) {
  const unsigned char *const bytes = parse->source->bytes;
  uint32_t at = parse->last.start;
  while (at > 0 && (bytes[at - 1] == ' ' || bytes[at - 1] == '\t')) at--;
  return at == 0 || bytes[at - 1] == '\n' || bytes[at - 1] == ';' || bytes[at - 1] == '{' ||
         bytes[at - 1] == '}';
}

/// A key that nothing was said about may be a block's kind, unless a value follows.
static bool may_open_block(const struct parse *parse, int kind) {
  switch (kind) {
  case 0:
  case PL_TOKEN_END:
  case PL_TOKEN_WORD: return stands_first(parse);
  default: return false;
  }
}

/// `ride height = …`: a key whose words are not joined. Null if it is none.
static const char *joined_key(const struct parse *parse, int kind, struct pl_span got) {
  const unsigned char *at = got.source->bytes + got.end;
  while (*at == ' ' || *at == '\t') at++;
  if (kind != PL_TOKEN_WORD || *at != '=' || !stands_first(parse)) return NULL;
  return pl_format(parse->arena, "%s-%s", pl_span_text(parse->arena, parse->last),
                   pl_span_text(parse->arena, got));
}

static bool is_word(struct pl_span span, const char *word) {
  const size_t length = strlen(word);
  return span.end - span.start == length &&
         memcmp(span.source->bytes + span.start, word, length) == 0;
}

static bool is_digit(unsigned char byte) {
  return byte >= '0' && byte <= '9';
}

/// The tokens that fit, put into the user's words; null if there is nothing to say.
static const char *expected_words(const struct parse *parse, int kind, const bool *expected) {
  static const struct {
    int kind;
    const char *word;
  } marks[] = {{PL_TOKEN_SET, "`=`"},
               {PL_TOKEN_LEFT_BRACE, "`{`"},
               {PL_TOKEN_RIGHT_BRACKET, "`]`"},
               {PL_TOKEN_RIGHT_PARENTHESIS, "`)`"},
               {PL_TOKEN_COMMA, "`,`"},
               {PL_TOKEN_END, "the end of the line"},
               {PL_TOKEN_END, "`;`"}};
  struct choices choices = {.count = 0};
  const bool wants_value =
      expected[PL_TOKEN_LEFT_BRACKET] || expected[PL_TOKEN_LEFT_PARENTHESIS];
  const bool wants_item = expected[PL_TOKEN_INCLUDE];
  // A list may end behind a comma, and may as well go on.
  const bool goes_on = expected[PL_TOKEN_RIGHT_BRACKET] && !expected[PL_TOKEN_COMMA];
  if (wants_value || goes_on) add_choice(&choices, "a value");
  if (wants_item) add_choice(&choices, "a key or a kind of block");
  for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
    if (expected[marks[i].kind] && !wants_value && !wants_item)
      add_choice(&choices, marks[i].word);
  }
  if (expected[PL_TOKEN_SET] && !expected[PL_TOKEN_LEFT_BRACE] && may_open_block(parse, kind))
    add_choice(&choices, "`{`");
  // Words that are names everywhere else are expected wherever a name is.
  if (choices.count == 0 && expected[PL_TOKEN_GAP] && !expected[PL_TOKEN_WORD])
    add_choice(&choices, "`gap`");
  if (choices.count == 0 && is_word(parse->last, "one-way")) {
    add_choice(&choices, "`compression`");
    add_choice(&choices, "`rebound`");
  }
  if (choices.count == 0 && expected[PL_TOKEN_TEXT]) add_choice(&choices, "a text in quotes");
  if (choices.count == 0 && expected[PL_TOKEN_WORD]) add_choice(&choices, "a name");
  return choices.count == 0 ? NULL : choices_text(parse->arena, &choices);
}

static bool is_comparison(int kind) {
  return kind == PL_TOKEN_LESS || kind == PL_TOKEN_LESS_EQUAL || kind == PL_TOKEN_EQUAL ||
         kind == PL_TOKEN_NOT_EQUAL || kind == PL_TOKEN_GREATER_EQUAL ||
         kind == PL_TOKEN_GREATER;
}

/// `rule Bore {`: the name up to the brace, if nothing but words stands there; null if not.
static const char *unquoted_name(const struct parse *parse, int kind, struct pl_span got) {
  const unsigned char *const start = got.source->bytes + got.start;
  const unsigned char *at = start;
  while ((*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z') ||
         (*at >= '0' && *at <= '9') || *at == '-' || *at == ' ')
    at++;
  if (kind != PL_TOKEN_WORD || *at != '{' || !stands_first(parse)) return NULL;
  while (at > start && at[-1] == ' ') at--;
  return pl_copy_text(parse->arena, (const char *)start, (size_t)(at - start));
}

/// Might it be the key of a further property: a word, and not the unit of a number?
static bool may_be_key(struct pl_span span) {
  if (span.end <= span.start) return false;
  const char *const text = (const char *)span.source->bytes + span.start;
  struct pl_unit unit;
  const char *bad = NULL;
  size_t length = 0;
  return *text >= 'a' && *text <= 'z' &&
         pl_unit_read(text, span.end - span.start, &unit, &bad, &length) != PL_UNIT_OK;
}

/// What else can be said of what was expected; null for nothing.
static const char *advice(const struct parse *parse, int kind, struct pl_span got,
                          const bool *expected) {
  struct pl_arena *const arena = parse->arena;
  if (is_comparison(kind) && expected[PL_TOKEN_END])
    return "one comparison has two sides: join it with another one by `and`, or write 9 mm .. "
           "13 mm behind `in`";
  const unsigned char *behind = got.source->bytes + got.end;
  while (*behind == ' ' || *behind == '\t') behind++;
  if (kind == PL_TOKEN_COMMA && expected[PL_TOKEN_END] && is_digit(*behind))
    return "a list stands in brackets: [10 mm, 12 mm]";
  const unsigned char *const first = got.source->bytes + got.start;
  if (kind == PL_TOKEN_POINT && is_digit(first[1]))
    return "write a zero before the point, as in 0.5";
  if (kind == PL_TOKEN_POINT && got.start > 0 && is_digit(first[-1]))
    return "a point in a number has digits behind it";
  if (kind == PL_TOKEN_OPENS_AT)
    return "`opens-at` goes on from `one-way compression` or `one-way rebound`";
  if (kind == PL_TOKEN_DIVIDE && got.start > 0 && first[-1] == '+' && first[1] == '-')
    return "a tolerance is written with `+-`";
  if (is_comparison(kind) && expected[PL_TOKEN_SET] && kind != PL_TOKEN_EQUAL)
    return "what a rule wants stands behind `require =`";
  if (kind == PL_TOKEN_SET && expected[PL_TOKEN_END] && may_be_key(parse->last))
    return pl_format(arena, "before `%s` if that is the next key",
                     pl_span_text(arena, parse->last));
  const char *const name = expected[PL_TOKEN_SET] ? unquoted_name(parse, kind, got) : NULL;
  if (name == NULL) return NULL;
  return pl_format(arena, "a name stands in quotes: %s \"%s\" {",
                   pl_span_text(arena, parse->last), name);
}

/// The place right behind the newest token: one character, or none at the end of the file.
static struct pl_span behind_last(const struct parse *parse) {
  const struct pl_source *const source = parse->source;
  struct pl_span span = {source, parse->last.end, parse->last.end};
  do {
    if (span.end < source->length) span.end++;
  } while (span.end < source->length && (source->bytes[span.end] & 0xC0) == 0x80);
  return span;
}

void report_unexpected(struct parse *parse, int kind, struct lexeme got, const bool *expected) {
  if (parse->quiet) return;
  parse->quiet = true;
  const struct pl_span span = span_of(parse, got);
  const char *words = expected_words(parse, kind, expected);
  const char *const key = expected[PL_TOKEN_SET] ? joined_key(parse, kind, span) : NULL;
  if (key != NULL)
    words = pl_format(parse->arena, "%s; the words of a key are joined by hyphens: `%s`", words,
                      key);
  const char *const more = advice(parse, kind, span, expected);
  if (more != NULL && words != NULL) words = pl_format(parse->arena, "%s; %s", words, more);
  const char *shown = pl_format(parse->arena, "`%s`", pl_span_text(parse->arena, span));
  if (kind == PL_TOKEN_END && span.source->bytes[span.start] != ';')
    shown = "The end of the line";
  if (kind == 0) shown = "The end of the file";
  const bool at_end = span.end == span.start || kind == PL_TOKEN_END;
  pl_report(parse->problems, PL_UNEXPECTED, at_end ? behind_last(parse) : span,
            PL_WORDS(shown, words));
}

void report_missing_sign(struct parse *parse, const struct pl_node *titles) {
  if (parse->quiet) return;
  if (titles->kind == PL_NODE_TEXT)
    pl_report(parse->problems, PL_UNEXPECTED, behind_last(parse),
              PL_WORDS("The end of the line", "`{`, or `=` before the text"));
  else
    pl_report(
        parse->problems, PL_UNEXPECTED, titles->span,
        PL_WORDS(pl_format(parse->arena, "`%s`", pl_span_text(parse->arena, titles->span)),
                 "`=` before it"));
}
