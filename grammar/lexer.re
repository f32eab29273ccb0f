// SPDX-License-Identifier: GPL-3.0-or-later
// The lexer: one token at a time, as a slice of the source. Two conditions: text at large, and
// the place right behind a number, where a word is a unit unless it is one of the language's
// own words. What it finds is named; what it means is the driver's affair.
#include "parser.h"

#include <string.h>

#include "pitleaf.h"

/*!conditions:re2c*/

/*!re2c
  re2c:define:YYCTYPE  = "unsigned char";
  re2c:define:YYCURSOR = lexer->cursor;
  re2c:define:YYMARKER = lexer->marker;
  re2c:define:YYLIMIT  = lexer->limit;
  re2c:define:YYGETCONDITION = "lexer->condition";
  re2c:define:YYGETCONDITION:naked = 1;
  re2c:define:YYSETCONDITION = "lexer->condition = @@;";
  re2c:define:YYSETCONDITION:naked = 1;
  re2c:yyfill:enable = 0;
  re2c:eof = 0;
  re2c:flags:utf-8 = 1;

  digit      = [0-9];
  integer    = digit+;
  number     = integer ("." digit+)? ([eE] [+-]? digit+)?;
  // Commas in a number; few of them, since within brackets what lies behind the first is read anew.
  comma      = integer ("." digit+)? "," digit+ ("," digit{3}){0,3} ("." digit+)?;
  date       = digit{4} "-" digit{2} "-" digit{2};
  // How others write a day: 14.06.2026, 14/6/2026.
  foreign_date = digit{1,2} ("." digit{1,2} "." | "/" digit{1,2} "/") digit{4};
  slashes    = "//" [^\n\x00]*;                         // no comment of this language
  word       = [a-z] [a-z0-9]* ("-" [a-z0-9]+)*;
  strange    = [A-Za-z_] ([A-Za-z0-9_-]* [A-Za-z0-9_])?; // a word in the wrong letters
  blank      = [ \t]+;
  line       = "\r"? "\n";
  comment    = "#" [^\n\x00]*;
  text       = ["] ([^"\\\n\x00] | "\\" [^\n\x00])* ["];
  open_text  = ["] ([^"\\\n\x00] | "\\" [^\n\x00])*;
  // Quotes as word processors set them, and single ones.
  odd_text   = [\u201c\u201d\u201e] [^\u201c\u201d\n\x00]* [\u201c\u201d]
             | [\u2018\u2019\u201a] [^\u2018\u2019\n\x00]* [\u2018\u2019]
             | ['] [^'"#{}\n\x00]* ['];
  // Comparisons as other languages have them, or half-remembered.
  odd_sign   = "=<" "="? | "=>" "="? | "<>" | "=!" "="? | "!==" | "===" | ">==" | "<=="
             | "<" blank "=" | ">" blank "=";
  // A unit: letters, the micro signs, the degree sign, per cent, with powers, products, quotients.
  letter     = [A-Za-z%] | [\u00b5\u03bc\u00b0];
  power      = "^" "-"? digit+ | [\u00b2\u00b3];
  part       = letter (letter | digit)* power?;
  unit       = ("1"? "/")? part ([./] part)*;
*/

struct lexer lexer_for(const struct pl_source *source) {
  return (struct lexer){.source = source,
                        .start = source->bytes,
                        .cursor = source->bytes,
                        .marker = source->bytes,
                        .limit = source->bytes + source->length,
                        .condition = yycplain};
}

/// Is there a unit at the cursor, past blanks? Then a comma before it stood inside a number.
static bool unit_follows(const unsigned char *at) {
  while (*at == ' ' || *at == '\t') at++;
  return (*at >= 'A' && *at <= 'Z') || (*at >= 'a' && *at <= 'z') || *at == '%' || *at >= 0x80;
}

/// Within brackets `2,3` is two numbers, unless a unit shows that it was meant as one.
static int number_with_comma(struct lexer *lexer) {
  const unsigned char *const start = lexer->start;
  const bool has_point = memchr(start, '.', (size_t)(lexer->cursor - start)) != NULL;
  if (!lexer->in_brackets || (unit_follows(lexer->cursor) && !has_point))
    return LEX_DECIMAL_COMMA;
  lexer->cursor = start;
  while (*lexer->cursor != ',') lexer->cursor++;
  return PL_TOKEN_NUMBER;
}

int lex(struct lexer *lexer) {
  lexer->start = lexer->cursor;
again:
  /*!re2c
    // ---- right behind a number
    <behind> blank { return TRIVIA_SPACE; }

    // These words go on from a number; they are no units.
    <behind> "x" | "to" | "at" | "and" | "or" | "not" | "coils" | "gap" | "one-way" | "opens-at"
           | "when" | "from" {
      lexer->cursor = lexer->start;
      lexer->condition = yycplain;
      goto again;
    }
    <behind> "x" digit (letter | digit)* => plain { // 6x1.3 mm
      lexer->cursor = lexer->start + 1;
      return PL_TOKEN_X;
    }
    <behind> unit => plain { return LEX_UNIT_WORD; }
    <behind> [^] => plain {
      lexer->cursor = lexer->start;
      goto again;
    }
    <behind> * => plain {
      lexer->cursor = lexer->start;
      goto again;
    }
    <behind> $ { return LEX_END; }

    // ---- text at large
    <plain> blank   { return TRIVIA_SPACE; }
    <plain> line    { return TRIVIA_LINE; }
    <plain> comment { return TRIVIA_COMMENT; }

    <plain> number => behind { return PL_TOKEN_NUMBER; }
    <plain> comma  => behind { return number_with_comma(lexer); }
    <plain> foreign_date     { return LEX_FOREIGN_DATE; }
    <plain> slashes          { return LEX_SLASHES; }
    <plain> date             { return PL_TOKEN_DATE; }
    <plain> text             { return PL_TOKEN_TEXT; }
    <plain> open_text        { return LEX_OPEN_TEXT; }
    <plain> odd_text         { return LEX_ODD_TEXT; }

    <plain> "include"     { return PL_TOKEN_INCLUDE; }
    <plain> "let"         { return PL_TOKEN_LET; }
    <plain> "from"        { return PL_TOKEN_FROM; }
    <plain> "when"        { return PL_TOKEN_WHEN; }
    <plain> "in"          { return PL_TOKEN_IN; }
    <plain> "and"         { return PL_TOKEN_AND; }
    <plain> "or"          { return PL_TOKEN_OR; }
    <plain> "not"         { return PL_TOKEN_NOT; }
    <plain> "x" | "\u00d7" { return PL_TOKEN_X; }
    <plain> "to"          { return PL_TOKEN_TO; }
    <plain> "at"          { return PL_TOKEN_AT; }
    <plain> "coils"       { return PL_TOKEN_COILS; }
    <plain> "gap"         { return PL_TOKEN_GAP; }
    <plain> "one-way"     { return PL_TOKEN_ONE_WAY; }
    <plain> "opens-at"    { return PL_TOKEN_OPENS_AT; }
    <plain> word          { return PL_TOKEN_WORD; }
    <plain> strange       { return LEX_STRANGE_WORD; }

    <plain> "{"  { return PL_TOKEN_LEFT_BRACE; }
    <plain> "}"  { return PL_TOKEN_RIGHT_BRACE; }
    <plain> "["  { return PL_TOKEN_LEFT_BRACKET; }
    <plain> "]"  { return PL_TOKEN_RIGHT_BRACKET; }
    <plain> "("  { return PL_TOKEN_LEFT_PARENTHESIS; }
    <plain> ")"  { return PL_TOKEN_RIGHT_PARENTHESIS; }
    <plain> ","  { return PL_TOKEN_COMMA; }
    <plain> ";"  { return PL_TOKEN_END; }
    <plain> "."  { return PL_TOKEN_POINT; }
    <plain> ".." { return PL_TOKEN_RANGE; }
    <plain> "="  { return PL_TOKEN_SET; }
    <plain> "+=" { return PL_TOKEN_SET_PLUS; }
    <plain> "-=" { return PL_TOKEN_SET_MINUS; }
    <plain> "*=" { return PL_TOKEN_SET_TIMES; }
    <plain> "+"  { return PL_TOKEN_PLUS; }
    <plain> "-" | "\u2212"   { return PL_TOKEN_MINUS; }
    <plain> "*"  { return PL_TOKEN_TIMES; }
    <plain> "/"  { return PL_TOKEN_DIVIDE; }
    <plain> "^"  { return PL_TOKEN_POWER; }
    <plain> "+-" | "\u00b1"  { return PL_TOKEN_PLUS_MINUS; }
    <plain> "<"  { return PL_TOKEN_LESS; }
    <plain> "<=" | "\u2264"  { return PL_TOKEN_LESS_EQUAL; }
    <plain> "==" { return PL_TOKEN_EQUAL; }
    <plain> "!=" | "\u2260"  { return PL_TOKEN_NOT_EQUAL; }
    <plain> ">=" | "\u2265"  { return PL_TOKEN_GREATER_EQUAL; }
    <plain> ">"  { return PL_TOKEN_GREATER; }

    <plain> odd_sign { return LEX_ODD_SIGN; }

    <plain> [^] { return LEX_BAD; }
    <plain> *   { return LEX_BAD; }
    <plain> $   { return LEX_END; }
  */
}

/// A new property ("key =", "key {", "kind "name" {") or a closing brace. Looks at one line only.
bool begins_item(const unsigned char *at) {
  while (*at == ' ' || *at == '\t') at++;
  if (*at == '}') return true;
  if (*at < 'a' || *at > 'z') return false;
  while ((*at >= 'a' && *at <= 'z') || (*at >= '0' && *at <= '9') || *at == '-') at++;
  while (*at == ' ' || *at == '\t') at++;
  if (*at == '{' || *at == '"') return true;
  if (*at == '+' || *at == '-' || *at == '*') at++;
  return at[0] == '=' && at[1] != '=';
}
