// SPDX-License-Identifier: GPL-3.0-or-later
// The driver: text is looked over once for what no file may hold, cut into tokens, and handed
// to the parser, with line ends made into the separators that the grammar knows.
#include "parser.h"

#include <string.h>
#include <utf8proc.h>

#include "pitleaf.h"

// The generated parser: a state of fixed size that the caller owns.
size_t pl_grammarSize(void);
void pl_grammarInit(void *parser);
void pl_grammar(void *parser, int kind, struct lexeme token, struct parse *parse);

/// An open brace or bracket.
struct opening {
  struct pl_span span;
  char mark;
};

/// A source being read.
struct reader {
  struct parse parse;
  struct lexer lexer;
  void *parser;
  struct pl_tree *tree;
  size_t token_capacity;
  struct opening *open; ///< braces and brackets that wait for their other half
  size_t open_count;
  size_t open_capacity;
  size_t brackets; ///< how many of the innermost are ( or [
  bool line_is_open;
};

// ---------------------------------------------------------------- what no file may hold

static struct pl_span span_at(const struct pl_source *source, size_t start, size_t length) {
  return (struct pl_span){source, (uint32_t)start, (uint32_t)(start + length)};
}

/// Characters that change the direction in which others are shown (Unicode's bidirectional
/// controls): text with them can read otherwise than it works.
static bool changes_direction(utf8proc_int32_t code) {
  return (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069) ||
         code == 0x200E || code == 0x200F || code == 0x061C;
}

static bool is_control(utf8proc_int32_t code) {
  return (code < 32 && code != '\t' && code != '\n') || (code >= 0x7F && code < 0xA0) ||
         code == 0x2028 || code == 0x2029;
}

/// Looks at one character; returns its length in bytes, or 0 where reading has to end.
static size_t look_at(struct parse *parse, size_t at) {
  const struct pl_source *const source = parse->source;
  utf8proc_int32_t code = 0;
  const utf8proc_ssize_t length =
      utf8proc_iterate(source->bytes + at, (utf8proc_ssize_t)(source->length - at), &code);
  if (length <= 0) {
    pl_report(parse->problems, PL_NOT_UTF8, span_at(source, at, 1),
              PL_WORDS(pl_format(parse->arena, "%02X", source->bytes[at])));
    return 0;
  }
  const struct pl_span span = span_at(source, at, (size_t)length);
  const char *const name = pl_format(parse->arena, "U+%04X", (unsigned)code);
  if (code == 0) {
    pl_report(parse->problems, PL_NUL_BYTE, span, PL_NO_WORDS);
    return 0;
  }
  if (code == '\r' && source->bytes[at + 1] == '\n') return 1;
  if (is_control(code))
    pl_report(parse->problems, PL_CONTROL_CHARACTER, span, PL_WORDS(name));
  if (changes_direction(code))
    pl_report(parse->problems, PL_DIRECTION_CHARACTER, span, PL_WORDS(name));
  return (size_t)length;
}

/// False if the source is no text, so that nothing more can be said of it.
static bool look_over(struct parse *parse) {
  const struct pl_source *const source = parse->source;
  for (size_t at = 0; at < source->length;) {
    const unsigned char byte = source->bytes[at];
    if (byte == '\n' || byte == '\t' || (byte >= 32 && byte < 127)) {
      at++;
      continue;
    }
    const size_t length = look_at(parse, at);
    if (length == 0) return false;
    at += length;
  }
  return true;
}

// ---------------------------------------------------------------- what was expected

static bool any_of(const bool *expected, const int *kinds, size_t count) {
  for (size_t i = 0; i < count; i++) {
    if (expected[kinds[i]]) return true;
  }
  return false;
}

static void add_choice(struct pl_buffer *words, const char *choice) {
  if (words->length > 0) pl_buffer_text(words, ", ");
  pl_buffer_text(words, choice);
}

/// The tokens that fit, put into the user's words.
static const char *expected_words(struct parse *parse, const bool *expected) {
  static const int value[] = {PL_TOKEN_LEFT_BRACKET, PL_TOKEN_LEFT_PARENTHESIS};
  static const struct {
    int kind;
    const char *word;
  } marks[] = {{PL_TOKEN_SET, "`=`"},
               {PL_TOKEN_LEFT_BRACE, "`{`"},
               {PL_TOKEN_RIGHT_BRACKET, "`]`"},
               {PL_TOKEN_RIGHT_PARENTHESIS, "`)`"},
               {PL_TOKEN_COMMA, "`,`"},
               {PL_TOKEN_GAP, "`gap`"},
               {PL_TOKEN_END, "the end of the line"}};
  struct pl_buffer words = {.arena = parse->arena};
  const bool wants_value = any_of(expected, value, sizeof value / sizeof value[0]);
  const bool wants_item = expected[PL_TOKEN_INCLUDE];
  if (wants_value) add_choice(&words, "a value");
  if (wants_item) add_choice(&words, "a key or a kind of block");
  for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
    if (expected[marks[i].kind] && !wants_value && !wants_item)
      add_choice(&words, marks[i].word);
  }
  if (words.length == 0 && expected[PL_TOKEN_TEXT]) add_choice(&words, "a text in quotes");
  if (words.length == 0 && expected[PL_TOKEN_WORD]) add_choice(&words, "a name");
  return words.length == 0 ? NULL : pl_buffer_string(&words);
}

void report_unexpected(struct parse *parse, int kind, struct lexeme got, const bool *expected) {
  if (parse->quiet) return;
  parse->quiet = true;
  const char *const words = expected_words(parse, expected);
  const char *shown = pl_format(parse->arena, "`%s`", pl_span_text(parse->arena, got.span));
  if (kind == PL_TOKEN_END && got.span.source->bytes[got.span.start] != ';')
    shown = "the end of the line";
  if (kind == 0) shown = "the end of the file";
  struct pl_span place = got.span;
  if (place.end == place.start || kind == PL_TOKEN_END) {
    place = (struct pl_span){parse->source, parse->last.end, parse->last.end + 1};
  }
  pl_report(parse->problems, PL_UNEXPECTED, place, PL_WORDS(shown, words));
}

// ---------------------------------------------------------------- feeding the parser

static void keep_token(struct reader *reader, struct pl_span span, enum pl_token_class class) {
  struct pl_tree *const tree = reader->tree;
  tree->tokens = pl_grow(reader->parse.arena, tree->tokens, tree->token_count,
                         &reader->token_capacity, sizeof *tree->tokens);
  tree->tokens[tree->token_count++] = (struct pl_token){span.start, span.end, class};
}

static void feed(struct reader *reader, int kind, struct pl_span span) {
  struct parse *const parse = &reader->parse;
  if (parse->overflowed) return;
  pl_grammar(reader->parser, kind, (struct lexeme){kind, span}, parse);
  if (kind == PL_TOKEN_END) parse->quiet = false;
  if (span.end > span.start) parse->last = span;
  reader->line_is_open = kind != PL_TOKEN_END && kind != PL_TOKEN_LEFT_BRACE &&
                         kind != PL_TOKEN_RIGHT_BRACE;
}

/// Ends the property that the line leaves open, if there is one.
static void end_line(struct reader *reader, struct pl_span span) {
  if (reader->line_is_open) feed(reader, PL_TOKEN_END, span);
}

static void push_open(struct reader *reader, struct pl_span span, char mark) {
  reader->open = pl_grow(reader->parse.arena, reader->open, reader->open_count,
                         &reader->open_capacity, sizeof *reader->open);
  reader->open[reader->open_count++] = (struct opening){span, mark};
  if (mark != '{') reader->brackets++;
  reader->lexer.in_brackets = reader->brackets > 0;
}

static void pop_open(struct reader *reader) {
  if (reader->open[--reader->open_count].mark != '{') reader->brackets--;
  reader->lexer.in_brackets = reader->brackets > 0;
}

/// Gives up the brackets that are open: the outermost is reported, the line ended, and the
/// parser goes on with the next.
static void abandon_brackets(struct reader *reader, struct pl_span here) {
  if (reader->brackets == 0) return;
  const struct opening first = reader->open[reader->open_count - reader->brackets];
  if (!reader->parse.quiet)
    pl_report(reader->parse.problems, PL_UNCLOSED_BRACKET, first.span,
              PL_WORDS(first.mark == '[' ? "[" : "(", first.mark == '[' ? "]" : ")"));
  while (reader->brackets > 0) pop_open(reader);
  reader->parse.quiet = true;
  feed(reader, PL_TOKEN_END, here);
}

static void close_bracket(struct reader *reader, int kind, struct pl_span span) {
  const char wanted = kind == PL_TOKEN_RIGHT_BRACKET ? '[' : '(';
  if (reader->brackets > 0 && reader->open[reader->open_count - 1].mark == wanted)
    pop_open(reader);
  feed(reader, kind, span);
}

static void close_brace(struct reader *reader, struct pl_span span) {
  abandon_brackets(reader, span);
  end_line(reader, (struct pl_span){span.source, span.start, span.start});
  if (reader->open_count == 0) {
    pl_report(reader->parse.problems, PL_STRAY_BRACE, span, PL_NO_WORDS);
    return;
  }
  pop_open(reader);
  feed(reader, PL_TOKEN_RIGHT_BRACE, span);
}

/// The number that a unit behind it may be too long for: `10 mm/track` is 10 mm divided.
static struct pl_span unit_span(struct reader *reader, struct pl_span span) {
  const char *const text = (const char *)span.source->bytes + span.start;
  const size_t length = span.end - span.start;
  const size_t known = pl_unit_prefix(text, length);
  if (known == 0 || known == length || (text[known] != '/' && text[known] != '.')) return span;
  reader->lexer.cursor = span.source->bytes + span.start + known;
  span.end = span.start + (uint32_t)known;
  return span;
}

// ---------------------------------------------------------------- tokens with a mistake

static void take_decimal_comma(struct reader *reader, struct pl_span span) {
  struct pl_arena *const arena = reader->parse.arena;
  const char *const written = pl_span_text(arena, span);
  const size_t whole = (size_t)(strchr(written, ',') - written);
  const char *const right = pl_format(arena, "%.*s.%s", (int)whole, written, written + whole + 1);
  const char *const joined = pl_format(arena, "%.*s%s", (int)whole, written, written + whole + 1);
  const bool thousands = strlen(written) - whole == 4 && whole <= 3;
  if (thousands)
    pl_report(reader->parse.problems, PL_THOUSANDS_COMMA, span,
              PL_WORDS(written, right, joined));
  else
    pl_report(reader->parse.problems, PL_DECIMAL_COMMA, span, PL_WORDS(written, right));
  keep_token(reader, span, PL_CLASS_NUMBER);
  feed(reader, PL_TOKEN_NUMBER, span);
}

static void take_strange_word(struct reader *reader, struct pl_span span) {
  struct parse *const parse = &reader->parse;
  const struct pl_node *const meant =
      node_word(parse, PL_NODE_NAME, (struct lexeme){LEX_STRANGE_WORD, span});
  pl_report(parse->problems, PL_WORD_CASE, span,
            PL_WORDS(pl_span_text(parse->arena, span), meant->name));
  keep_token(reader, span, PL_CLASS_WORD);
  feed(reader, PL_TOKEN_WORD, span);
}

static void take_open_text(struct reader *reader, struct pl_span span) {
  pl_report(reader->parse.problems, PL_UNCLOSED_TEXT, span, PL_NO_WORDS);
  keep_token(reader, span, PL_CLASS_TEXT);
  feed(reader, PL_TOKEN_TEXT, span);
  reader->parse.quiet = true; // what stood behind it on the line went into the text
  if (reader->brackets > 0)
    abandon_brackets(reader, (struct pl_span){span.source, span.end, span.end});
}

static void take_bad(struct reader *reader, struct pl_span span) {
  // The lexer stops at a byte; show the whole character.
  const unsigned char *const bytes = span.source->bytes;
  while (span.end < span.source->length && (bytes[span.end] & 0xC0) == 0x80) span.end++;
  reader->lexer.cursor = bytes + span.end;
  keep_token(reader, span, PL_CLASS_BAD);
  utf8proc_int32_t code = 0;
  utf8proc_iterate(bytes + span.start, (utf8proc_ssize_t)(span.end - span.start), &code);
  if (code == 0xFEFF && span.start == 0) return; // the mark that some editors put first
  if (is_control(code) || changes_direction(code)) return; // reported by look_over
  const char *const shown = pl_span_text(reader->parse.arena, span);
  const char *mend = NULL;
  if (code == 0x201C || code == 0x201D || code == 0x201E || code == '\'')
    mend = "names and texts stand in plain double quotes: \"…\"";
  if (code == '&') mend = "conditions are joined with `and`";
  if (code == '|') mend = "conditions are joined with `or`";
  pl_report(reader->parse.problems, PL_BAD_CHARACTER, span, PL_WORDS(shown, mend));
}

// ---------------------------------------------------------------- one token after the other

static void take_line_end(struct reader *reader, struct pl_span span) {
  keep_token(reader, span, reader->brackets > 0 ? PL_CLASS_SPACE : PL_CLASS_LINE);
  if (reader->brackets > 0) {
    if (!begins_item(reader->lexer.cursor)) return;
    abandon_brackets(reader, span);
  }
  end_line(reader, span);
}

static enum pl_token_class class_of(int kind) {
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

static void take_plain(struct reader *reader, struct lexeme token) {
  keep_token(reader, token.span, class_of(token.kind));
  switch (token.kind) {
  case PL_TOKEN_LEFT_BRACE:
    abandon_brackets(reader, token.span);
    push_open(reader, token.span, '{');
    break;
  case PL_TOKEN_LEFT_BRACKET: push_open(reader, token.span, '['); break;
  case PL_TOKEN_LEFT_PARENTHESIS: push_open(reader, token.span, '('); break;
  case PL_TOKEN_RIGHT_BRACKET:
  case PL_TOKEN_RIGHT_PARENTHESIS: close_bracket(reader, token.kind, token.span); return;
  case PL_TOKEN_RIGHT_BRACE: close_brace(reader, token.span); return;
  default: break;
  }
  feed(reader, token.kind, token.span);
}

static void take(struct reader *reader, struct lexeme token) {
  switch (token.kind) {
  case TRIVIA_SPACE: keep_token(reader, token.span, PL_CLASS_SPACE); break;
  case TRIVIA_COMMENT: keep_token(reader, token.span, PL_CLASS_COMMENT); break;
  case TRIVIA_LINE: take_line_end(reader, token.span); break;
  case LEX_BAD: take_bad(reader, token.span); break;
  case LEX_OPEN_TEXT: take_open_text(reader, token.span); break;
  case LEX_DECIMAL_COMMA: take_decimal_comma(reader, token.span); break;
  case LEX_STRANGE_WORD: take_strange_word(reader, token.span); break;
  case LEX_UNIT_WORD: {
    const struct pl_span span = unit_span(reader, token.span);
    keep_token(reader, span, PL_CLASS_UNIT);
    feed(reader, PL_TOKEN_UNIT, span);
    break;
  }
  default: take_plain(reader, token); break;
  }
}

/// At the end of the file: what is open is reported where it was opened, and closed.
static void finish(struct reader *reader) {
  const uint32_t end = (uint32_t)reader->parse.source->length;
  const struct pl_span here = {reader->parse.source, end, end};
  abandon_brackets(reader, here);
  end_line(reader, here);
  while (reader->open_count > 0) {
    pl_report(reader->parse.problems, PL_UNCLOSED_BRACE,
              reader->open[reader->open_count - 1].span, PL_NO_WORDS);
    pop_open(reader);
    feed(reader, PL_TOKEN_RIGHT_BRACE, here);
  }
  feed(reader, 0, here);
}

static void read_tokens(struct reader *reader) {
  for (;;) {
    const struct lexeme token = lex(&reader->lexer);
    if (token.kind == LEX_END || reader->parse.overflowed) break;
    take(reader, token);
  }
  if (reader->parse.overflowed)
    pl_report(reader->parse.problems, PL_NESTED_TOO_DEEP, reader->parse.last,
              PL_WORDS(pl_format(reader->parse.arena, "%d", PL_NESTING_LIMIT)));
  else
    finish(reader);
}

struct pl_tree *pl_parse(struct pl_arena *arena, struct pl_names *names,
                         struct pl_diagnostics *problems, const struct pl_source *source) {
  struct pl_tree *const tree = pl_alloc(arena, sizeof *tree);
  tree->source = source;
  struct reader reader = {
      .parse = {.arena = arena, .names = names, .problems = problems, .source = source},
      .lexer = lexer_for(source),
      .tree = tree};
  reader.parse.last = span_at(source, 0, 0);
  if (!look_over(&reader.parse)) return tree;
  reader.parser = pl_alloc(arena, pl_grammarSize());
  pl_grammarInit(reader.parser);
  read_tokens(&reader);
  tree->items = reader.parse.items.first;
  return tree;
}
