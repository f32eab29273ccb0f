// SPDX-License-Identifier: GPL-3.0-or-later
// Slips that a first rules file has: words in place of signs, numbers without a unit, texts
// without quotes. Each is told once, with the line that was meant.
#include "check.h"

#include <string.h>

// ---------------------------------------------------------------- words side by side

/// Longest row that is looked at for what it means.
#define ROW_LIMIT 8

/// The words of a row.
struct row {
  const struct pl_node *items[ROW_LIMIT];
  size_t count;
};

static struct row row_of(const struct pl_node *node) {
  struct row row = {.count = 0};
  for (const struct pl_node *item = node->children; item != NULL && row.count < ROW_LIMIT;
       item = item->next)
    row.items[row.count++] = item;
  return row;
}

static bool is_word(const struct pl_node *node, const char *word) {
  return node->kind == PL_NODE_NAME && strcmp(node->name, word) == 0;
}

/// "four shocks"
static const char *counted(struct pl_arena *arena, const struct row *row) {
  static const char *const numbers[] = {"no", "one", "two", "three", "four", "five", "six"};
  static const char *const shocks[] = {"shock", "shocks", "damper", "dampers"};
  for (size_t i = 0; row->count == 2 && i < sizeof numbers / sizeof numbers[0]; i++) {
    if (!is_word(row->items[0], numbers[i])) continue;
    for (size_t j = 0; j < sizeof shocks / sizeof shocks[0]; j++) {
      if (is_word(row->items[1], shocks[j])) return pl_format(arena, "count(damper) == %zu", i);
    }
  }
  return NULL;
}

/// "width max 250 mm", "width is 250 mm": the sign that a word stands for.
static const char *sign_of(const struct pl_node *word) {
  static const char *const signs[][2] = {
      {"is", "=="},      {"equals", "=="}, {"equal", "=="},  {"max", "<="},
      {"maximum", "<="}, {"up", "<="},     {"min", ">="},    {"minimum", ">="},
      {"under", "<"},    {"below", "<"},   {"less", "<"},    {"over", ">"},
      {"above", ">"},    {"more", ">"},    {"smaller", "<"}, {"larger", ">"}};
  for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
    if (is_word(word, signs[i][0])) return signs[i][1];
  }
  return NULL;
}

/// Words between a name and a number, of which one stands for a sign.
static const char *compared(struct pl_arena *arena, const struct row *row) {
  const struct pl_node *const number = row->items[row->count - 1];
  const char *sign = NULL;
  for (size_t i = 0; i + 1 < row->count && sign == NULL; i++) sign = sign_of(row->items[i]);
  if (sign == NULL || number->kind != PL_NODE_NUMBER) return NULL;
  const char *const shown = pl_span_text(arena, number->span);
  const bool has_name = sign_of(row->items[0]) == NULL && row->items[0]->kind == PL_NODE_NAME;
  const char *const name = has_name ? pl_format(arena, "%s ", row->items[0]->name) : "";
  return pl_format(arena, "%s%s %s", name, sign, shown);
}

/// "damper bore", "ride height", "count damper".
static const char *joined(struct pl_arena *arena, const struct row *row) {
  struct name name;
  if (row->count != 2 || row->items[0]->kind != PL_NODE_NAME ||
      row->items[1]->kind != PL_NODE_NAME)
    return NULL;
  const char *const first = row->items[0]->name;
  const char *const second = row->items[1]->name;
  const char *const tried[] = {pl_format(arena, "%s.%s", first, second),
                               pl_format(arena, "%s-%s", first, second)};
  for (size_t i = 0; i < sizeof tried / sizeof tried[0]; i++) {
    if (read_name(arena, tried[i], &name)) return tried[i];
    const char *const meant = pl_key_meant(arena, tried[i]);
    if (meant != NULL) return meant;
  }
  const struct pl_node call = {.name = first};
  if (is_over_function(&call)) return pl_format(arena, "%s(%s)", first, second);
  return NULL;
}

/// Which corners or axles a row names: "each corner", or null.
static const char *places_named(const struct row *row) {
  static const char *const words[][2] = {{"corner", "each corner"}, {"corners", "each corner"},
                                         {"wheel", "each corner"},  {"wheels", "each corner"},
                                         {"axle", "each axle"},     {"axles", "each axle"}};
  for (size_t i = 0; i < row->count; i++) {
    for (size_t j = 0; j < sizeof words / sizeof words[0]; j++) {
      if (is_word(row->items[i], words[j][0])) return words[j][1];
    }
  }
  return NULL;
}

/// "13 mm for each corner": where a rule is judged is a line of its own.
static const char *placed(struct checking *checking, const struct row *row) {
  static const char *const leads[] = {"for", "each", "every", "all", "per", "on"};
  struct pl_arena *const arena = checking->reading->arena;
  const char *const places = places_named(row);
  size_t end = 0;
  for (bool led = false; end < row->count && !led; end += led ? 0 : 1) {
    for (size_t i = 0; i < sizeof leads / sizeof leads[0]; i++)
      led = led || is_word(row->items[end], leads[i]);
  }
  if (places == NULL || end == 0 || end == row->count) return NULL;
  struct pl_span wanted = checking->rule->require->span;
  wanted.end = row->items[end - 1]->span.end;
  if (wanted.end <= wanted.start) return NULL;
  return pl_format(arena, "for = %s; require = %s", places, pl_span_line(arena, wanted));
}

/// "damper.bore between 9 mm and 13 mm", of which `row` is what stands before the `and`.
static const char *between(struct pl_arena *arena, const struct row *row,
                           const struct pl_node *whole) {
  if (row->count != 3 || !is_word(row->items[1], "between") || whole->kind != PL_NODE_BINARY ||
      whole->action != PL_AND || whole->children->next->kind != PL_NODE_NUMBER)
    return NULL;
  return pl_format(arena, "%s in %s .. %s", pl_span_line(arena, row->items[0]->span),
                   pl_span_line(arena, row->items[2]->span),
                   pl_span_line(arena, whole->children->next->span));
}

void report_words(struct checking *checking, const struct pl_node *whole,
                  const struct pl_node *node) {
  struct pl_arena *const arena = checking->reading->arena;
  const struct row row = row_of(node);
  const char *meant = counted(arena, &row);
  if (meant == NULL) meant = placed(checking, &row);
  if (meant == NULL) meant = between(arena, &row, whole);
  if (meant == NULL) meant = compared(arena, &row);
  if (meant == NULL) meant = joined(arena, &row);
  pl_report(checking->reading->problems, meant == NULL ? PL_RULE_WORDS_FAR : PL_RULE_WORDS,
            node->span, PL_WORDS(pl_span_shown(arena, node->span), meant));
}

// ---------------------------------------------------------------- brackets

bool is_over_function(const struct pl_node *call) {
  static const char *const names[] = {"min", "max", "sum", "count"};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    if (strcmp(names[i], call->name) == 0) return true;
  }
  return false;
}

bool report_inside(struct checking *checking, const struct pl_node *call) {
  struct pl_arena *const arena = checking->reading->arena;
  const struct pl_node *const inner = call->children;
  if (!is_over_function(call) || inner == NULL || inner->next != NULL ||
      inner->kind != PL_NODE_BINARY || inner->action < PL_LESS || inner->action > PL_GREATER)
    return false;
  pl_report(checking->reading->problems, PL_RULE_COMPARES_INSIDE, call->span,
            PL_WORDS(pl_span_shown(arena, call->span),
                     pl_format(arena, "%s(%s) %s %s", call->name,
                               pl_span_line(arena, inner->children->span),
                               pl_operator_sign(inner->action),
                               pl_span_line(arena, inner->children->next->span))));
  return true;
}

// ---------------------------------------------------------------- quotes

bool is_text_name(struct checking *checking, const struct pl_node *node) {
  struct name name;
  return node->kind == PL_NODE_NAME && read_name(checking->reading->arena, node->name, &name) &&
         !is_number_name(&name) && choices_of_name(&name)[0] == '\0';
}

bool report_quotes(struct checking *checking, const struct pl_node *text,
                   const struct pl_node *other) {
  struct pl_arena *const arena = checking->reading->arena;
  struct name name;
  if (!is_text_name(checking, text)) return false;
  const bool unknown_word = other->kind == PL_NODE_NAME &&
                            !read_name(arena, other->name, &name) &&
                            !pl_program_has_let(checking->reading->program, other->name);
  if (!unknown_word && other->kind != PL_NODE_ROW && other->kind != PL_NODE_NUMBER)
    return false;
  pl_report(checking->reading->problems, PL_TEXT_NEEDS_QUOTES, other->span,
            PL_WORDS(text->name, pl_span_shown(arena, other->span)));
  return true;
}

// ---------------------------------------------------------------- units

const char *unit_beside(struct checking *checking, const struct pl_node *node,
                        const struct pl_value *value) {
  struct name name;
  if (node->kind == PL_NODE_NAME && read_name(checking->reading->arena, node->name, &name) &&
      is_number_name(&name))
    return unit_of_name(&name)[0] == '\0' ? NULL : unit_of_name(&name);
  const struct operand operand = operand_of(&checking->judged, node);
  if (operand.is_one_name && is_number_name(&operand.name) &&
      unit_of_name(&operand.name)[0] != '\0')
    return unit_of_name(&operand.name);
  const char *const unit = unit_written(&checking->judged, node, value);
  return unit[0] == '\0' ? NULL : unit;
}

bool report_bare(struct checking *checking, const struct pl_node *quantity,
                 const struct pl_value *value, const struct pl_node *number,
                 const struct pl_value *bare) {
  struct pl_arena *const arena = checking->reading->arena;
  if (number->kind != PL_NODE_NUMBER || number->unit != NULL ||
      value->kind != PL_VALUE_NUMBER || bare->kind != PL_VALUE_NUMBER)
    return false;
  const char *const shown = pl_span_text(arena, number->span);
  const char *const unit = unit_beside(checking, quantity, value);
  pl_report(checking->reading->problems, PL_NEEDS_UNIT, number->span,
            PL_WORDS(pl_span_shown(arena, quantity->span), words_of_value(checking, value),
                     shown, unit == NULL ? NULL : pl_format(arena, "%s %s", shown, unit)));
  return true;
}
