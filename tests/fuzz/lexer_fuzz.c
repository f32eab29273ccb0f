// SPDX-License-Identifier: GPL-3.0-or-later
// The lexer alone: its tokens tile the source, whatever that is.
#include "target.h"

#include "syntax/parser.h"

#include <string.h>

/// Cuts the source into tokens; with `in_brackets` all of it as in a bracket.
static void cut(const struct pl_source *source, bool in_brackets) {
  struct lexer lexer = lexer_for(source);
  lexer.in_brackets = in_brackets;
  uint32_t end = 0;
  for (;;) {
    const struct lexeme token = lex(&lexer);
    if (token.span.start != end) broken("a token begins at %u, not %u", token.span.start, end);
    if (token.kind == LEX_END) break;
    if (token.span.end <= end) broken("the token at %u is empty", end);
    end = token.span.end;
  }
  if (end != source->length) broken("the tokens end at %u of %zu", end, source->length);
}

void try_input(struct target *target) {
  const struct pl_source *const source =
      pl_source_of_bytes(target->arena, "input.leaf", target->bytes, target->length);
  cut(source, false);
  cut(source, true);
}
