// SPDX-License-Identifier: GPL-3.0-or-later
// The grammar of the setup language. Every rule's action calls one function that is named for
// what the rule makes; those functions stand in src/syntax/tree.c.

%name pl_grammar
%token_prefix PL_TOKEN_
%token_type {struct lexeme}
%default_type {struct pl_node *}
%extra_argument {struct parse *parse}
%stack_size 400

%include {
#include <assert.h>
#include <stddef.h>

#include "parser.h"
}

%stack_overflow { parse->overflowed = true; }

// Which tokens could stand here in place of the one that came: ask the parser's own table.
%syntax_error {
  bool expected[YYNTOKEN] = {false};
  for (int token = 1; token < YYNTOKEN; token++) {
    const YYACTIONTYPE action =
        yy_find_shift_action((YYCODETYPE)token, yypParser->yytos->stateno);
    expected[token] = action != YY_ERROR_ACTION;
  }
  report_unexpected(parse, yymajor, TOKEN, expected);
}

// Words that mean something in one place only are names everywhere else.
%fallback WORD X TO AT COILS GAP ONE_WAY OPENS_AT FROM WHEN.

%type chain_of_items {struct chain}
%type titles {struct chain}
%type title_list {struct chain}
%type bases {struct chain}
%type elements {struct chain}
%type arguments {struct chain}
%type row_rest {struct chain}
%type assign {enum pl_operator}
%type compare {enum pl_operator}

// -------------------------------------------------------------- files and blocks

file ::= chain_of_items(all). { parse->items = all; }

chain_of_items(all) ::= . { all = (struct chain){NULL, NULL}; }
chain_of_items(all) ::= chain_of_items(before) item(one). { all = chain_add(before, one); }

item(one) ::= END. { one = NULL; }
item(one) ::= INCLUDE(word) TEXT(path) END. { one = node_include(parse, word, path); }
item(one) ::= LET(word) WORD(name) SET value(v) END. { one = node_let(parse, word, name, v); }
item(one) ::= property(p) END. { one = p; }
item(one) ::= block(one).
item(one) ::= signless(s) END. { one = s; }

// Behind a mistake the next line, or the block that the mistake is the head of, is read again.
// The parser keeps silent for three tokens behind an error; the next line may have one of its own.
item(one) ::= error END. { one = node_broken(parse); yypParser->yyerrcnt = -1; }
item(one) ::= error LEFT_BRACE chain_of_items(items) RIGHT_BRACE.
  { one = node_broken_block(parse, items); yypParser->yyerrcnt = -1; }

signless(s) ::= WORD(key) title_list(t). { s = node_missing_sign(parse, key, t); }

property(p) ::= key(k) assign(a) value(v). { p = node_property(parse, k, a, v); }

key(k) ::= WORD(w). { k = node_key(parse, PL_NODE_NAME, w); }
key(k) ::= key(path) POINT WORD(w). { k = node_path(parse, path, w); }
key(k) ::= TEXT(t). { k = node_text(parse, t); }
key(k) ::= quantity(k).

assign(a) ::= SET. { a = PL_SET; }
assign(a) ::= SET_PLUS. { a = PL_SET_PLUS; }
assign(a) ::= SET_MINUS. { a = PL_SET_MINUS; }
assign(a) ::= SET_TIMES. { a = PL_SET_TIMES; }

block(b) ::= WORD(kind) titles(t) bases(f) condition(c) LEFT_BRACE chain_of_items(items)
             RIGHT_BRACE(close). { b = node_block(parse, kind, t, f, c, items, close); }

titles(t) ::= . { t = (struct chain){NULL, NULL}; }
titles(t) ::= title_list(t).
title_list(l) ::= title(one). { l = chain_add((struct chain){NULL, NULL}, one); }
title_list(l) ::= title_list(before) title(one). { l = chain_add(before, one); }
title(one) ::= TEXT(t). { one = node_text(parse, t); }
title(one) ::= quantity(one).

bases(f) ::= . { f = (struct chain){NULL, NULL}; }
bases(f) ::= FROM TEXT(t). { f = chain_add((struct chain){NULL, NULL}, node_text(parse, t)); }

condition(c) ::= . { c = NULL; }
condition(c) ::= WHEN disjunction(d). { c = d; }

// -------------------------------------------------------------- values, loosest binding first

value(v) ::= disjunction(v).

disjunction(d) ::= conjunction(d).
disjunction(d) ::= disjunction(l) OR conjunction(r). { d = node_binary(parse, PL_OR, l, r); }

conjunction(c) ::= negation(c).
conjunction(c) ::= conjunction(l) AND negation(r). { c = node_binary(parse, PL_AND, l, r); }

negation(n) ::= comparison(n).
negation(n) ::= NOT(t) negation(of). { n = node_not(parse, t, of); }

comparison(c) ::= spread(c).
comparison(c) ::= spread(l) compare(o) spread(r). { c = node_binary(parse, o, l, r); }
comparison(c) ::= spread(l) IN spread(r). { c = node_binary(parse, PL_IN, l, r); }

compare(o) ::= LESS. { o = PL_LESS; }
compare(o) ::= LESS_EQUAL. { o = PL_LESS_EQUAL; }
compare(o) ::= EQUAL. { o = PL_EQUAL; }
compare(o) ::= NOT_EQUAL. { o = PL_NOT_EQUAL; }
compare(o) ::= GREATER_EQUAL. { o = PL_GREATER_EQUAL; }
compare(o) ::= GREATER. { o = PL_GREATER; }

spread(s) ::= sum(s).
spread(s) ::= sum(l) RANGE sum(r). { s = node_over(parse, PL_NODE_RANGE, l, r, NULL); }
spread(s) ::= sum(l) PLUS_MINUS sum(r). { s = node_over(parse, PL_NODE_TOLERANCE, l, r, NULL); }

sum(s) ::= product(s).
sum(s) ::= sum(l) PLUS product(r). { s = node_binary(parse, PL_PLUS, l, r); }
sum(s) ::= sum(l) MINUS product(r). { s = node_binary(parse, PL_MINUS, l, r); }

product(p) ::= factor(p).
product(p) ::= product(l) TIMES factor(r). { p = node_binary(parse, PL_TIMES, l, r); }
product(p) ::= product(l) DIVIDE factor(r). { p = node_binary(parse, PL_DIVIDE, l, r); }

factor(f) ::= power(f).
factor(f) ::= MINUS(sign) factor(of). { f = node_negation(parse, sign, of); }
factor(f) ::= PLUS factor(of). { f = of; }
factor(f) ::= ports(f).

power(p) ::= atom(p).
power(p) ::= atom(a) POWER signed(e). { p = node_binary(parse, PL_POWER, a, e); }
power(p) ::= atom(a) AT signed(t). { p = node_over(parse, PL_NODE_AT, a, t, NULL); }
power(p) ::= atom(n) COILS GAP atom(g). { p = node_over(parse, PL_NODE_COILS, n, g, NULL); }
power(p) ::= atom(first) row_rest(rest). { p = node_row(parse, first, rest); }

signed(s) ::= atom(s).
signed(s) ::= MINUS(sign) atom(a). { s = node_negation(parse, sign, a); }

// Values side by side: "clear 300" 60 %
row_rest(r) ::= row_item(one). { r = chain_add((struct chain){NULL, NULL}, one); }
row_rest(r) ::= row_rest(before) row_item(one). { r = chain_add(before, one); }
row_item(i) ::= TEXT(t). { i = node_text(parse, t); }
row_item(i) ::= quantity(i).
row_item(i) ::= path(i).

// The holes of a piston: 6 x 1.3 mm, 2 x 1.6 mm to 1.4 mm, 2 x 1.5 mm one-way rebound
ports(p) ::= holes(p).
ports(p) ::= holes(h) ONE_WAY WORD(way). { p = node_one_way(parse, h, way, NULL); }
ports(p) ::= holes(h) ONE_WAY WORD(way) OPENS_AT atom(q). { p = node_one_way(parse, h, way, q); }
holes(h) ::= atom(n) X atom(d). { h = node_over(parse, PL_NODE_PORTS, n, d, NULL); }
holes(h) ::= atom(n) X atom(d) TO atom(e). { h = node_over(parse, PL_NODE_PORTS, n, d, e); }

atom(a) ::= quantity(a).
atom(a) ::= TEXT(t). { a = node_text(parse, t); }
atom(a) ::= DATE(d). { a = node_word(parse, PL_NODE_DATE, d); }
atom(a) ::= path(a).
atom(a) ::= WORD(f) LEFT_PARENTHESIS arguments(l) RIGHT_PARENTHESIS(c).
  { a = node_call(parse, f, l, c); }
atom(a) ::= LEFT_BRACKET(o) elements(l) RIGHT_BRACKET(c).
  { a = node_list(parse, PL_NODE_LIST, o, l, c); }
atom(a) ::= LEFT_PARENTHESIS(o) arguments(l) RIGHT_PARENTHESIS(c).
  { a = node_list(parse, PL_NODE_GROUP, o, l, c); }

path(p) ::= WORD(w). { p = node_word(parse, PL_NODE_NAME, w); }
path(p) ::= path(before) POINT WORD(w). { p = node_path(parse, before, w); }

quantity(q) ::= NUMBER(n). { q = node_number(parse, n, n); }
quantity(q) ::= NUMBER(n) UNIT(u). { q = node_number(parse, n, u); }

elements(l) ::= . { l = (struct chain){NULL, NULL}; }
elements(l) ::= arguments(l).
elements(l) ::= arguments(a) COMMA. { l = a; }
arguments(l) ::= value(v). { l = chain_add((struct chain){NULL, NULL}, v); }
arguments(l) ::= arguments(before) COMMA value(v). { l = chain_add(before, v); }

// The driver keeps the parser's state in an arena, so that nothing leaks when memory runs out.
%code {
size_t pl_grammarSize(void) {
  return sizeof(struct yyParser);
}
}
