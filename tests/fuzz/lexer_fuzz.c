// SPDX-License-Identifier: GPL-3.0-or-later
// The lexer alone: its tokens tile the source, whatever that is.
#include "target.h"

#include "syntax/parser.h"

#include <string.h>

/// Cuts the source into tokens; with `in_brackets` all of it as in a bracket.
static void cut(const struct pl_source *source, bool in_brackets) {
  struct lexer lexer = lexer_for(source);
  lexer.in_brackets = in_brackets;
  size_t end = 0;
  for (;;) {
    const int kind = lex(&lexer);
    const size_t start = (size_t)(lexer.start - source->bytes);
    if (start != end) broken("a token begins at %zu, not %zu", start, end);
    if (kind == LEX_END) break;
    if (lexer.cursor <= lexer.start) broken("the token at %zu is empty", end);
    end = (size_t)(lexer.cursor - source->bytes);
  }
  if (end != source->length) broken("the tokens end at %zu of %zu", end, source->length);
}

void try_input(struct target *target) {
  const struct pl_source *const source =
      pl_source_of_bytes(target->arena, "input.leaf", target->bytes, target->length);
  cut(source, false);
  cut(source, true);
}
