// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers that stand for a text: `scale = 1/10`, `entry = 007`. The text is made of what was
// written, but not of the blanks in between, so that laying a file out changes no value.
#include "room.h"

#include <string.h>

bool reads_as_written(const struct pl_node *node) {
  if (node->kind == PL_NODE_NUMBER || node->kind == PL_NODE_DATE) return true;
  if (node->kind != PL_NODE_BINARY) return false;
  return reads_as_written(node->children) && reads_as_written(node->children->next);
}

/// Past blanks, and past line ends and comments, which a list may have.
static const char *skip_blanks(const char *at, const char *end) {
  for (; at < end && strchr(" \t\r\n#", *at) != NULL; at++) {
    if (*at == '#') at += strcspn(at, "\n") - 1;
  }
  return at;
}

static size_t count_digits(const char *at) {
  return strspn(at, "0123456789");
}

/// The length of a number, as the lexer reads it.
static size_t number_length(const char *text) {
  size_t length = count_digits(text);
  if (text[length] == '.' && count_digits(text + length + 1) > 0)
    length += 1 + count_digits(text + length + 1);
  if (text[length] != 'e' && text[length] != 'E') return length;
  const size_t sign = text[length + 1] == '+' || text[length + 1] == '-' ? 1 : 0;
  const size_t exponent = count_digits(text + length + 1 + sign);
  return exponent == 0 ? length : length + 1 + sign + exponent;
}

static void add_number(struct pl_buffer *out, struct pl_span span) {
  const char *at = (const char *)span.source->bytes + span.start;
  const char *const end = (const char *)span.source->bytes + span.end;
  const size_t sign = *at == '-' ? 1 : strncmp(at, "\u2212", 3) == 0 ? 3 : 0;
  pl_buffer_add(out, at, sign);
  at = skip_blanks(at + sign, end);
  const size_t length = number_length(at);
  pl_buffer_add(out, at, length);
  at = skip_blanks(at + length, end);
  if (at >= end) return;
  pl_buffer_text(out, " ");
  pl_buffer_add(out, at, (size_t)(end - at));
}

static bool is_plain(const struct pl_node *node) {
  return node->kind == PL_NODE_NUMBER && node->unit == NULL;
}

// By recursion, as deep as an expression is: PL_MOST_STEPS.
static void add_written(struct pl_buffer *out, const struct pl_node *node) {
  if (node->kind == PL_NODE_NUMBER) {
    add_number(out, node->span);
    return;
  }
  if (node->kind == PL_NODE_DATE) {
    pl_buffer_text(out, node->name);
    return;
  }
  const struct pl_node *const left = node->children;
  const bool is_fraction = node->action == PL_DIVIDE && is_plain(left) && is_plain(left->next);
  add_written(out, left);
  pl_buffer_format(out, is_fraction ? "%s" : " %s ", pl_operator_sign(node->action));
  add_written(out, left->next);
}

const char *text_as_written(struct pl_arena *arena, const struct pl_node *node) {
  struct pl_buffer out = {.arena = arena};
  add_written(&out, node);
  return pl_buffer_string(&out);
}
