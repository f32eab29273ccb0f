// SPDX-License-Identifier: GPL-3.0-or-later
// What the grammar's rules make: the nodes of the tree. Top to bottom as in the grammar.
#include "parser.h"

#include <string.h>

struct chain chain_add(struct chain chain, struct pl_node *node) {
  if (node == NULL) return chain;
  if (chain.last == NULL) return (struct chain){node, node};
  chain.last->next = node;
  return (struct chain){chain.first, node};
}

struct pl_node *node_new(struct parse *parse, enum pl_node_kind kind, struct pl_span span) {
  struct pl_node *const node = pl_alloc(parse->arena, sizeof *node);
  node->kind = kind;
  node->span = span;
  set_name_span(node, span);
  node->name = "";
  return node;
}

static const char *interned(struct parse *parse, struct lexeme word) {
  return pl_intern(parse->names, text_at(span_of(parse, word)), word.end - word.start);
}

/// Depth of what was told to be too deep: what is around it says nothing more.
#define TOLD UINT16_MAX

/// Counts `child` into the nesting of `node`; too deep is reported once and cut off there.
static void count_depth(struct parse *parse, struct pl_node *node,
                        const struct pl_node *child) {
  if (child == NULL || child->depth < node->depth) return;
  node->depth = child->depth == TOLD ? TOLD : (uint16_t)(child->depth + 1);
  if (node->depth <= PL_MOST_STEPS) return;
  if (node->depth != TOLD)
    pl_report(parse->problems, PL_TOO_MANY_STEPS, child->span,
              PL_WORDS(pl_format(parse->arena, "%d", PL_MOST_STEPS)));
  node->kind = PL_NODE_BROKEN;
  node->children = NULL;
  node->depth = TOLD;
}

static void adopt(struct parse *parse, struct pl_node *node, struct chain children) {
  node->children = children.first;
  for (const struct pl_node *child = children.first; child != NULL; child = child->next) {
    count_depth(parse, node, child);
    if (node->kind == PL_NODE_BROKEN) return;
  }
}

// ---------------------------------------------------------------- items

struct pl_node *node_include(struct parse *parse, struct lexeme word, struct lexeme path) {
  struct pl_node *const node = node_text(parse, path);
  node->kind = PL_NODE_INCLUDE;
  node->span = pl_span_join(span_of(parse, word), span_of(parse, path));
  return node;
}

struct pl_node *node_let(struct parse *parse, struct lexeme word, struct lexeme name,
                         struct pl_node *value) {
  struct pl_node *const node = node_key(parse, PL_NODE_LET, name);
  node->span = pl_span_join(span_of(parse, word), value->span);
  node->children = value;
  parse->let_count++;
  if (parse->spoiled) value->kind = PL_NODE_BROKEN; // the name is known all the same
  return node;
}

struct pl_node *node_missing_sign(struct parse *parse, struct lexeme key, struct chain titles) {
  report_missing_sign(parse, titles.first);
  struct pl_node *const node = node_broken(parse);
  node->span = pl_span_join(span_of(parse, key), titles.last->span);
  return node;
}

struct pl_node *node_broken(struct parse *parse) {
  return node_new(parse, PL_NODE_BROKEN, parse->last);
}

struct pl_node *node_broken_block(struct parse *parse, struct chain items) {
  struct pl_node *const node = node_broken(parse);
  if (items.first != NULL) node->span = pl_span_join(items.first->span, items.last->span);
  node->children = items.first;
  return node;
}

struct pl_node *node_property(struct parse *parse, struct pl_node *key, enum pl_operator action,
                              struct pl_node *value) {
  struct pl_node *const node = key; // which has the name, or the number and its unit
  node->key_kind = key->kind;
  node->kind = parse->spoiled ? PL_NODE_BROKEN : PL_NODE_PROPERTY;
  node->action = action;
  set_name_span(node, key->span);
  node->span = pl_span_join(key->span, value->span);
  node->children = value;
  return node;
}

struct pl_node pl_key_node(const struct pl_node *property) {
  return (struct pl_node){.kind = property->key_kind,
                          .is_weight = property->is_weight,
                          .span = pl_name_span(property),
                          .name_start = property->name_start,
                          .name_end = property->name_end,
                          .name = property->name,
                          .number = property->number,
                          .unit = property->unit};
}

static struct pl_head *head_of(struct parse *parse, struct pl_node *titles,
                               struct pl_node *bases, struct pl_node *condition) {
  if (titles == NULL && bases == NULL && condition == NULL) return NULL;
  struct pl_head *const head = pl_alloc(parse->arena, sizeof *head);
  *head = (struct pl_head){titles, bases, condition};
  return head;
}

struct pl_node *node_block(struct parse *parse, struct lexeme kind, struct chain titles,
                           struct chain bases, struct pl_node *condition, struct chain items,
                           struct lexeme close) {
  struct pl_node *const node = node_key(parse, PL_NODE_BLOCK, kind);
  node->span = pl_span_join(span_of(parse, kind), span_of(parse, close));
  parse->block_count++;
  node->head = head_of(parse, titles.first, bases.first, condition);
  node->children = items.first;
  return node;
}

// ---------------------------------------------------------------- values

struct pl_node *node_over(struct parse *parse, enum pl_node_kind kind, struct pl_node *first,
                          struct pl_node *second, struct pl_node *third) {
  struct pl_node *const last = third != NULL ? third : second != NULL ? second : first;
  struct pl_node *const node = node_new(parse, kind, pl_span_join(first->span, last->span));
  const struct chain children =
      chain_add(chain_add(chain_add((struct chain){NULL, NULL}, first), second), third);
  adopt(parse, node, children);
  return node;
}

struct pl_node *node_binary(struct parse *parse, enum pl_operator action, struct pl_node *left,
                            struct pl_node *right) {
  struct pl_node *const node = node_over(parse, PL_NODE_BINARY, left, right, NULL);
  node->action = action;
  return node;
}

struct pl_node *node_not(struct parse *parse, struct lexeme word, struct pl_node *operand) {
  struct pl_node *const node = node_over(parse, PL_NODE_NOT, operand, NULL, NULL);
  node->span = pl_span_join(span_of(parse, word), operand->span);
  return node;
}

struct pl_node *node_negation(struct parse *parse, struct lexeme sign,
                              struct pl_node *operand) {
  const bool leads = operand->kind == PL_NODE_AT || operand->kind == PL_NODE_ROW;
  struct pl_node *const number = leads ? operand->children : operand;
  if (number->kind == PL_NODE_NUMBER) {
    number->number = -number->number;
    number->span = pl_span_join(span_of(parse, sign), number->span);
    operand->span = pl_span_join(span_of(parse, sign), operand->span);
    return operand;
  }
  struct pl_node *const node = node_over(parse, PL_NODE_NEGATION, operand, NULL, NULL);
  node->span = pl_span_join(span_of(parse, sign), operand->span);
  return node;
}

struct pl_node *node_row(struct parse *parse, struct pl_node *first, struct chain rest) {
  struct pl_node *const node =
      node_new(parse, PL_NODE_ROW, pl_span_join(first->span, rest.last->span));
  first->next = rest.first;
  adopt(parse, node, (struct chain){first, rest.last});
  return node;
}

struct pl_node *node_one_way(struct parse *parse, struct pl_node *ports, struct lexeme way,
                             struct pl_node *opens_at) {
  struct pl_node *const node = node_over(parse, PL_NODE_ONE_WAY, ports, opens_at, NULL);
  set_name_span(node, span_of(parse, way));
  node->name = interned(parse, way);
  if (opens_at == NULL) node->span = pl_span_join(ports->span, span_of(parse, way));
  return node;
}

struct pl_node *node_list(struct parse *parse, enum pl_node_kind kind, struct lexeme open,
                          struct chain elements, struct lexeme close) {
  struct pl_node *const node =
      node_new(parse, kind, pl_span_join(span_of(parse, open), span_of(parse, close)));
  adopt(parse, node, elements);
  return node;
}

struct pl_node *node_call(struct parse *parse, struct lexeme name, struct chain arguments,
                          struct lexeme close) {
  struct pl_node *const node = node_word(parse, PL_NODE_CALL, name);
  node->span = pl_span_join(span_of(parse, name), span_of(parse, close));
  adopt(parse, node, arguments);
  return node;
}

struct pl_node *node_word(struct parse *parse, enum pl_node_kind kind, struct lexeme word) {
  struct pl_node *const node = node_new(parse, kind, span_of(parse, word));
  node->name = interned(parse, word);
  return node;
}

static bool is_capital(char c) {
  return c >= 'A' && c <= 'Z';
}

/// Is a key written as it is meant: in small letters, with hyphens?
static bool is_key_as_meant(const char *written, size_t length) {
  for (size_t i = 0; i < length; i++) {
    if (is_capital(written[i]) || written[i] == '_') return false;
  }
  return true;
}

struct pl_node *node_key(struct parse *parse, enum pl_node_kind kind, struct lexeme word) {
  struct pl_node *const node = node_new(parse, kind, span_of(parse, word));
  const char *const written = text_at(node->span);
  const size_t length = span_length(node->span);
  if (is_key_as_meant(written, length)) {
    node->name = pl_intern(parse->names, written, length);
    return node;
  }
  struct pl_buffer meant = {.arena = parse->arena};
  for (size_t i = 0; i < length; i++) {
    const char c = written[i];
    const bool hump = is_capital(c) && i > 0 && written[i - 1] >= 'a' && written[i - 1] <= 'z';
    if (hump) pl_buffer_add(&meant, "-", 1);
    const char lower = is_capital(c) ? (char)(c - 'A' + 'a') : c;
    pl_buffer_add(&meant, lower == '_' ? "-" : &lower, 1);
  }
  node->name = pl_intern(parse->names, pl_buffer_string(&meant), meant.length);
  return node;
}

/// A path this long is no name of anything, and need not be taken further.
#define LONGEST_PATH ((size_t)200)

struct pl_node *node_path(struct parse *parse, struct pl_node *path, struct lexeme word) {
  if (strlen(path->name) < LONGEST_PATH) {
    const struct pl_node *const last = node_word(parse, PL_NODE_NAME, word);
    const char *const whole = pl_format(parse->arena, "%s.%s", path->name, last->name);
    path->name = pl_intern(parse->names, whole, strlen(whole));
  }
  path->kind = PL_NODE_NAME;
  path->span = pl_span_join(path->span, span_of(parse, word));
  set_name_span(path, path->span);
  return path;
}

// ---------------------------------------------------------------- text of the tree

const char *pl_span_text(struct pl_arena *arena, struct pl_span span) {
  if (span.source == NULL) return "";
  return pl_copy_text(arena, text_at(span), span_length(span));
}

const char *pl_span_place(struct pl_arena *arena, struct pl_span span) {
  if (span.source == NULL) return "";
  return pl_format(arena, "%s:%u", span.source->path, pl_position(span).line);
}

const char *pl_operator_sign(enum pl_operator action) {
  static const char *const signs[] = {"",  "=",  "+=", "-=", "*=", "+", "-",  "*",   "/", "^",
                                      "<", "<=", "==", "!=", ">=", ">", "in", "and", "or"};
  return signs[action];
}
