// SPDX-License-Identifier: GPL-3.0-or-later
// The driver: text is looked over once for what no file may hold, cut into tokens, and handed
// to the parser, with line ends made into the separators that the grammar knows.
#include "reader.h"

#include "pitleaf.h"

// The generated parser: a state of fixed size that the caller owns.
size_t pl_grammarSize(void);
void pl_grammarInit(void *parser);
void pl_grammar(void *parser, int kind, struct lexeme token, struct parse *parse);

// ---------------------------------------------------------------- feeding the parser

_Static_assert(PL_MOST_FILE_BYTES < 1 << 28, "a token's end must have room");

uint32_t pl_token_start(const struct pl_token *token) {
  return token[-1].end;
}

/// Room for as many tokens as a usual file of that size has.
static void make_room_for_tokens(struct reader *reader) {
  reader->token_capacity = reader->parse.source->length / 3 + 2;
  reader->tokens =
      pl_alloc_array(reader->parse.arena, reader->token_capacity, sizeof *reader->tokens);
  reader->token_count = 1;
}

void keep_token(struct reader *reader, struct pl_span span, enum pl_token_class class) {
  if (reader->tokens == NULL) return;
  if (reader->token_count == reader->token_capacity)
    reader->tokens = pl_grow(reader->parse.arena, reader->tokens, reader->token_count,
                             &reader->token_capacity, sizeof *reader->tokens);
  reader->tokens[reader->token_count++] =
      (struct pl_token){.end = span.end & 0xFFFFFFF, .class = (unsigned)class & 0xF};
}

/// What is nested deeper than the limit is passed over.
static bool is_too_deep(const struct reader *reader) {
  return reader->open_count > PL_MOST_NESTING;
}

void feed(struct reader *reader, int kind, struct pl_span span) {
  struct parse *const parse = &reader->parse;
  if (parse->overflowed || is_too_deep(reader)) return;
  if (reader->parser != NULL)
    pl_grammar(reader->parser, kind, (struct lexeme){span.start, span.end}, parse);
  if (kind == PL_TOKEN_END) parse->quiet = false;
  if (span.end > span.start) parse->last = span;
  reader->recent[1] = reader->recent[0];
  reader->recent[0] = kind;
  reader->line_is_open =
      kind != PL_TOKEN_END && kind != PL_TOKEN_LEFT_BRACE && kind != PL_TOKEN_RIGHT_BRACE;
  if (!reader->line_is_open) {
    parse->spoiled = false;
    reader->in_value = false;
    reader->in_condition = false;
  }
}

void end_line(struct reader *reader, struct pl_span span) {
  if (reader->line_is_open) feed(reader, PL_TOKEN_END, span);
}

static void push_open(struct reader *reader, struct pl_span span, char mark) {
  reader->open = pl_grow(reader->parse.arena, reader->open, reader->open_count,
                         &reader->open_capacity, sizeof *reader->open);
  reader->open[reader->open_count++] =
      (struct opening){span, mark, reader->line, reader->indent};
  if (mark != '{') reader->brackets++;
  reader->lexer.in_brackets = reader->brackets > 0;
  if (reader->open_count != PL_MOST_NESTING + 1) return;
  pl_report(reader->parse.problems, PL_NESTED_TOO_DEEP, span,
            PL_WORDS(pl_format(reader->parse.arena, "%d", PL_MOST_NESTING)));
  reader->parse.quiet = true;
}

void pop_open(struct reader *reader) {
  if (reader->open[--reader->open_count].mark != '{') reader->brackets--;
  reader->lexer.in_brackets = reader->brackets > 0;
}

void abandon_brackets(struct reader *reader, struct pl_span here) {
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
  feed(reader, kind, span);
  if (reader->brackets > 0 && reader->open[reader->open_count - 1].mark == wanted)
    pop_open(reader);
}

/// A `}` that starts a line further left than the line of its `{` was meant for a block further
/// out: then that `{` is the one that was never closed.
static void look_for_suspect(struct reader *reader, struct pl_span brace) {
  const bool is_first = brace.start - reader->line == reader->indent;
  const struct opening *const top = &reader->open[reader->open_count - 1];
  if (!is_first || top->indent <= reader->indent || reader->suspect.source != NULL) return;
  if (is_too_deep(reader)) return;
  for (size_t i = 0; i + 1 < reader->open_count; i++) {
    if (reader->open[i].indent == reader->indent) reader->suspect = top->span;
  }
}

static void close_brace(struct reader *reader, struct pl_span span) {
  abandon_brackets(reader, span);
  end_line(reader, empty_span(span.source, span.start));
  if (reader->open_count == 0) {
    pl_report(reader->parse.problems, PL_STRAY_BRACE, span, PL_NO_WORDS);
    return;
  }
  look_for_suspect(reader, span);
  feed(reader, PL_TOKEN_RIGHT_BRACE, span);
  pop_open(reader);
}

static void open_brace(struct reader *reader, struct pl_span span) {
  abandon_brackets(reader, span);
  if (reader->brace_is_late && !reader->parse.quiet)
    pl_report(reader->parse.problems, PL_LATE_BRACE, span, PL_NO_WORDS);
  reader->brace_is_late = false;
  push_open(reader, span, '{');
  feed(reader, PL_TOKEN_LEFT_BRACE, span);
}

/// The number that a unit behind it may be too long for: `10 mm/track` is 10 mm divided.
static struct pl_span unit_span(struct reader *reader, struct pl_span span) {
  if (unit_read_before(&reader->parse, span) != NULL) return span;
  const char *const text = (const char *)span.source->bytes + span.start;
  const size_t length = span.end - span.start;
  const size_t known = pl_unit_prefix(text, length);
  if (known == 0 || known == length || (text[known] != '/' && text[known] != '.')) return span;
  reader->lexer.cursor = span.source->bytes + span.start + known;
  span.end = span.start + (uint32_t)known;
  return span;
}

static void take_unit(struct reader *reader, struct pl_span word) {
  if (is_division(word)) {
    const struct pl_span stroke = span_at(word.source, word.start, 1);
    reader->lexer.cursor = word.source->bytes + stroke.end;
    keep_token(reader, stroke, PL_CLASS_MARK);
    feed(reader, PL_TOKEN_DIVIDE, stroke);
    return;
  }
  const bool membership = is_membership(word);
  const struct pl_span span = membership ? word : unit_span(reader, word);
  keep_token(reader, span, membership ? PL_CLASS_WORD : PL_CLASS_UNIT);
  feed(reader, membership ? PL_TOKEN_IN : PL_TOKEN_UNIT, span);
}

// ---------------------------------------------------------------- one token after the other

/// Is a `{` the next thing in the file?
static bool brace_follows(const unsigned char *at) {
  while (*at == ' ' || *at == '\t' || *at == '\r' || *at == '\n') at++;
  return *at == '{';
}

static void take_line_end(struct reader *reader, struct pl_span span) {
  keep_token(reader, span, reader->brackets > 0 ? PL_CLASS_SPACE : PL_CLASS_LINE);
  reader->line = span.end;
  reader->line_is_blank = true;
  if (reader->brackets > 0) {
    if (!begins_item(reader->lexer.cursor)) return;
    abandon_brackets(reader, span);
  }
  if (reader->brace_is_late) return; // there are blank lines before it
  reader->brace_is_late =
      reader->line_is_open && !reader->in_value && brace_follows(reader->lexer.cursor);
  if (!reader->brace_is_late) end_line(reader, span);
}

static void take_plain(struct reader *reader, int kind, struct pl_span span) {
  if (reader->in_condition && take_in_condition(reader, kind, span)) return;
  keep_token(reader, span, class_of(kind));
  switch (kind) {
  case PL_TOKEN_LEFT_BRACE: open_brace(reader, span); return;
  case PL_TOKEN_LEFT_BRACKET: push_open(reader, span, '['); break;
  case PL_TOKEN_LEFT_PARENTHESIS: push_open(reader, span, '('); break;
  case PL_TOKEN_RIGHT_BRACKET:
  case PL_TOKEN_RIGHT_PARENTHESIS: close_bracket(reader, kind, span); return;
  case PL_TOKEN_RIGHT_BRACE: close_brace(reader, span); return;
  case PL_TOKEN_WHEN:
    reader->in_condition = reader->recent[0] == PL_TOKEN_TEXT; // else it is a name of its own
    reader->in_value = true;
    break;
  case PL_TOKEN_SET:
    reader->in_condition = reader->in_condition || is_require(reader->parse.last);
    reader->in_value = true;
    break;
  case PL_TOKEN_SET_PLUS:
  case PL_TOKEN_SET_MINUS:
  case PL_TOKEN_SET_TIMES: reader->in_value = true; break;
  default: break;
  }
  feed(reader, kind, span);
}

static void take(struct reader *reader, int kind) {
  const struct lexer *const lexer = &reader->lexer;
  const unsigned char *const bytes = lexer->source->bytes;
  const struct pl_span span = {lexer->source, (uint32_t)(lexer->start - bytes),
                               (uint32_t)(lexer->cursor - bytes)};
  if (reader->line_is_blank && kind != TRIVIA_SPACE) {
    reader->line_is_blank = false;
    reader->indent = span.start - reader->line;
  }
  switch (kind) {
  case TRIVIA_SPACE: keep_token(reader, span, PL_CLASS_SPACE); break;
  case TRIVIA_COMMENT: keep_token(reader, span, PL_CLASS_COMMENT); break;
  case TRIVIA_LINE: take_line_end(reader, span); break;
  case LEX_BAD: take_bad(reader, span); break;
  case LEX_OPEN_TEXT: take_open_text(reader, span); break;
  case LEX_ODD_TEXT: take_odd_text(reader, span); break;
  case LEX_ODD_SIGN: take_odd_sign(reader, span); break;
  case LEX_DECIMAL_COMMA: take_decimal_comma(reader, span); break;
  case LEX_FOREIGN_DATE: take_foreign_date(reader, span); break;
  case LEX_SLASHES: take_slashes(reader, span); break;
  case LEX_STRANGE_WORD: take_strange_word(reader, span); break;
  case LEX_UNIT_WORD: take_unit(reader, span); break;
  default: take_plain(reader, kind, span); break;
  }
}

/// At the end of the file: what is open is reported where it was opened, and closed.
static void finish(struct reader *reader) {
  const struct pl_span here =
      empty_span(reader->parse.source, (uint32_t)reader->parse.source->length);
  abandon_brackets(reader, here);
  end_line(reader, here);
  while (reader->open_count > 0) {
    const struct opening *const top = &reader->open[reader->open_count - 1];
    const bool suspected = reader->open_count == 1 && reader->suspect.source != NULL;
    pl_report(reader->parse.problems, PL_UNCLOSED_BRACE,
              suspected ? reader->suspect : top->span, PL_NO_WORDS);
    feed(reader, PL_TOKEN_RIGHT_BRACE, here);
    pop_open(reader);
  }
  feed(reader, 0, here);
}

static void read_tokens(struct reader *reader) {
  for (;;) {
    const int kind = lex(&reader->lexer);
    if (kind == LEX_END) break;
    take(reader, kind);
  }
  if (reader->parse.overflowed)
    pl_report(reader->parse.problems, PL_NESTED_TOO_DEEP, reader->parse.last,
              PL_WORDS(pl_format(reader->parse.arena, "%d", PL_MOST_NESTING)));
  else
    finish(reader);
}

/// A source that is no text is one token and no items.
static void read_source(struct reader *reader) {
  if (look_over(&reader->parse)) {
    read_tokens(reader);
    return;
  }
  keep_token(reader, span_at(reader->parse.source, 0, reader->parse.source->length),
             PL_CLASS_BAD);
}

static struct reader reader_of(struct pl_arena *arena, struct pl_names *names,
                               struct pl_diagnostics *problems,
                               const struct pl_source *source) {
  return (struct reader){.parse = {.arena = arena,
                                   .names = names,
                                   .problems = problems,
                                   .source = source,
                                   .last = empty_span(source, 0)},
                         .lexer = lexer_for(source),
                         .line_is_blank = true};
}

static struct pl_tree *tree_of(struct reader *reader) {
  struct pl_arena *const arena = reader->parse.arena;
  reader->parser = pl_alloc(arena, pl_grammarSize());
  pl_grammarInit(reader->parser);
  read_source(reader);
  struct pl_tree *const tree = pl_alloc(arena, sizeof *tree);
  *tree = (struct pl_tree){.source = reader->parse.source,
                           .items = reader->parse.items.first,
                           .let_count = reader->parse.let_count,
                           .block_count = reader->parse.block_count};
  return tree;
}

static void give_tokens(const struct reader *reader, struct pl_tree *tree) {
  tree->tokens = reader->tokens + 1;
  tree->token_count = reader->token_count - 1;
}

struct pl_tree *pl_parse_items(struct pl_arena *arena, struct pl_names *names,
                               struct pl_diagnostics *problems,
                               const struct pl_source *source) {
  struct reader reader = reader_of(arena, names, problems, source);
  return tree_of(&reader);
}

struct pl_tree *pl_parse(struct pl_arena *arena, struct pl_names *names,
                         struct pl_diagnostics *problems, const struct pl_source *source) {
  struct reader reader = reader_of(arena, names, problems, source);
  make_room_for_tokens(&reader);
  struct pl_tree *const tree = tree_of(&reader);
  give_tokens(&reader, tree);
  return tree;
}

void pl_add_tokens(struct pl_arena *arena, struct pl_tree *tree) {
  if (tree->tokens != NULL) return;
  // What is wrong with the source was reported when its items were read.
  struct reader reader =
      reader_of(arena, pl_names_new(arena), pl_diagnostics_new(arena), tree->source);
  make_room_for_tokens(&reader);
  read_source(&reader);
  give_tokens(&reader, tree);
}
