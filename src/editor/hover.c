// SPDX-License-Identifier: GPL-3.0-or-later
// What a word under the cursor means: a key with its values in this setup and where they come
// from, a name with what it stands for, a figure with its formula, a unit.
#include "room.h"

#include "pitleaf/report.h"

#include <math.h>
#include <string.h>

static const struct pl_text_style plain_style = {.width = 80, .system = PL_METRIC};

static const char *printed_text(struct pl_arena *arena, struct pl_printed printed) {
  return printed.unit[0] == '\0' ? printed.text
                                 : pl_format(arena, "%s %s", printed.text, printed.unit);
}

static const char *value_text(struct pl_arena *arena, enum pl_setting setting,
                              const struct pl_value *value) {
  return printed_text(arena, pl_print_setting(arena, setting, value, PL_METRIC));
}

/// A backquote would end the code that Markdown is to show.
static void add_code(struct pl_buffer *out, const char *text) {
  pl_buffer_text(out, "`");
  for (const char *at = text; *at != '\0'; at++)
    pl_buffer_add(out, *at == '`' || *at == '\n' ? "'" : at, 1);
  pl_buffer_text(out, "`");
}

// ---------------------------------------------------------------- what a key is

static void add_span_of_key(struct pl_buffer *out, const struct pl_setting_row *row) {
  char number[32];
  if (isnan(row->least) && isnan(row->greatest)) return;
  pl_buffer_text(out, "\n\nusual: ");
  if (!isnan(row->least))
    pl_buffer_format(out, "from %s %s ",
                     pl_number_shortest(number, sizeof number, row->least, 6), row->of);
  if (!isnan(row->greatest))
    pl_buffer_format(out, "to %s %s",
                     pl_number_shortest(number, sizeof number, row->greatest, 6), row->of);
}

static void add_key(struct pl_buffer *out, enum pl_setting setting) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  pl_buffer_format(out, "**%s** `%s`", row->label, row->key);
  if (row->type == PL_TYPE_CHOICE) {
    pl_buffer_text(out, ", one of ");
    for (const char *at = row->of; *at != '\0';) {
      const size_t length = strcspn(at, "|");
      pl_buffer_format(out, "%s`%.*s`", at == row->of ? "" : ", ", (int)length, at);
      at += length + (at[length] == '|' ? 1 : 0);
    }
  } else if (row->of[0] != '\0') {
    pl_buffer_format(out, row->type == PL_TYPE_PART ? ", the name of a `%s`" : ", in %s",
                     row->type == PL_TYPE_PART ? row->of : pl_unit_shown(row->of));
  }
  pl_buffer_format(out, "\n\n%s", row->meaning);
  add_span_of_key(out, row);
}

// ---------------------------------------------------------------- its values

static void add_origin(struct pl_buffer *out, const struct pl_resolved *resolved) {
  if (resolved->assumed) pl_buffer_text(out, " (assumed)");
  for (size_t i = 0; i < resolved->touch_count; i++) {
    const struct pl_touch *const touch = &resolved->touches[i];
    pl_buffer_format(out, "%s%s", i == 0 ? " — " : " → ",
                     pl_span_place(out->arena, touch->span));
  }
}

/// Do two places have one value, from the same lines?
static bool is_alike(const struct pl_resolved *a, const struct pl_resolved *b) {
  if (a->given != b->given || a->touch_count != b->touch_count ||
      !pl_value_equal(&a->value, &b->value))
    return false;
  for (size_t i = 0; i < a->touch_count; i++) {
    if (a->touches[i].span.source != b->touches[i].span.source ||
        a->touches[i].span.start != b->touches[i].span.start)
      return false;
  }
  return true;
}

static void add_value(struct pl_buffer *out, enum pl_setting setting, const char *place,
                      const struct pl_resolved *resolved) {
  pl_buffer_format(out, "\n- %s: ", place);
  if (!resolved->given && !resolved->assumed)
    pl_buffer_text(out, "not given");
  else
    add_code(out, value_text(out->arena, setting, &resolved->value));
  add_origin(out, resolved);
}

/// The values at all places, told once where corners agree.
static void add_values(struct pl_buffer *out, const struct pl_setup *setup,
                       enum pl_setting setting) {
  const enum pl_scope scope = pl_settings[setting].scope;
  pl_buffer_text(out, "\n");
  if (scope != PL_SCOPE_CORNER) {
    for (enum pl_place place = pl_first_place(scope); place <= pl_last_place(scope); place++)
      add_value(out, setting, pl_place_name(place), pl_setup_get(setup, setting, place));
    return;
  }
  const struct pl_resolved *at[4];
  for (int i = 0; i < 4; i++) at[i] = pl_setup_get(setup, setting, (enum pl_place)i);
  const bool fronts = is_alike(at[0], at[1]);
  const bool rears = is_alike(at[2], at[3]);
  if (fronts && rears && is_alike(at[0], at[2])) {
    add_value(out, setting, "all corners", at[0]);
    return;
  }
  for (int i = 0; i < 4; i++) {
    const bool folded = i < 2 ? fronts : rears;
    if (folded && i % 2 == 1) continue;
    add_value(out, setting,
              folded ? (i < 2 ? "front" : "rear") : pl_place_name((enum pl_place)i), at[i]);
  }
}

static void add_key_here(struct pl_buffer *out, struct pl_program *program,
                         const struct route *route, enum pl_setting setting) {
  add_key(out, setting);
  if (route->depth == 0 || route->around[0].title[0] == '\0') return;
  const enum pl_block_kind kind = pl_block_kind_of(route->around[0].kind);
  const char *const title = route->around[0].title;
  if (kind == PL_BLOCK_SETUP) {
    const struct pl_setup *const setup = pl_program_setup(program, title);
    if (setup != NULL) add_values(out, setup, setting);
    return;
  }
  const struct pl_block *const block = pl_program_find(program, kind, title);
  if (block == NULL || kind > PL_BLOCK_DAMPER || kind == PL_BLOCK_OIL_SCALE) return;
  const struct pl_part *const part = pl_program_part(program, block);
  if (part == NULL) return;
  pl_buffer_text(out, "\n");
  add_value(out, setting, title, pl_part_get(part, setting));
}

// ---------------------------------------------------------------- figures

/// The figures that tell most of a setup.
static const enum pl_figure telling[] = {PL_FIGURE_WHEEL_RATE, PL_FIGURE_RIDE_FREQUENCY,
                                         PL_FIGURE_DAMPING_RATIO_SLOW,
                                         PL_FIGURE_DAMPING_RATIO_FAST};

static void add_figure_values(struct pl_buffer *out, struct pl_figures *figures,
                              enum pl_figure figure) {
  const enum pl_scope scope = pl_figure_rows[figure].scope;
  const struct pl_tolerances *const tolerances = pl_tolerances_new(figures, &figure, 1);
  const char *last = "";
  for (enum pl_place place = pl_first_place(scope); place <= pl_last_place(scope); place++) {
    const struct pl_figure_value *const value = pl_figure_get(figures, figure, place);
    const char *text = "needs ";
    if (value->present) {
      const double half_width = pl_tolerance_of(tolerances, figure, place)->half_width;
      const struct pl_printed printed =
          pl_print_tolerated(out->arena, figure, value->value, half_width, PL_METRIC);
      text = printed_text(out->arena, printed);
    } else if (value->need_count > 0) {
      text = pl_format(out->arena, "needs `%s`", value->needs[0]);
    } else {
      text = "not known";
    }
    // The right side is told where it differs.
    const bool is_right = place == PL_FRONT_RIGHT || place == PL_REAR_RIGHT;
    if (is_right && strcmp(last, text) == 0) continue;
    pl_buffer_format(out, "\n- %s: %s", pl_place_name(place), text);
    last = text;
  }
}

static void note_setup(void *context, const struct pl_block *block, bool in_main) {
  const struct pl_block **const found = context;
  if (in_main && *found == NULL) *found = block;
}

/// A setup to compute with: of this file, or of another that is open.
static const struct pl_setup *some_setup(struct pl_editor *editor, struct pl_program *program) {
  const struct pl_block *block = NULL;
  pl_program_each(program, PL_BLOCK_SETUP, note_setup, &block);
  for (struct document *one = editor->documents; block == NULL && one != NULL;
       one = one->next) {
    program = program_of(editor, one);
    pl_program_each(program, PL_BLOCK_SETUP, note_setup, &block);
  }
  return block == NULL ? NULL : pl_program_setup(program, block->name);
}

static void add_figure(struct pl_buffer *out, struct pl_editor *editor,
                       struct pl_program *program, enum pl_figure figure) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  pl_buffer_format(out, "**%s** `%s`", row->label, row->key);
  if (row->unit[0] != '\0') pl_buffer_format(out, ", in %s", pl_unit_shown(row->unit));
  pl_buffer_format(out, "\n\n%s\n\n", row->meaning);
  add_code(out, row->formula);
  pl_buffer_format(out, " (%s)", row->source);
  const struct pl_setup *const setup = some_setup(editor, program);
  if (setup == NULL) return;
  pl_buffer_format(out, "\n\nin “%s”:", pl_setup_name(setup));
  add_figure_values(out, pl_figures_new(setup, NULL), figure);
}

// ---------------------------------------------------------------- names

static void add_part(struct pl_buffer *out, struct pl_program *program,
                     const struct pl_block *block) {
  const struct pl_part *const part = pl_program_part(program, block);
  for (int i = 0; part != NULL && i < PL_SETTING_COUNT; i++) {
    if (pl_settings[i].owner != block->kind) continue;
    const struct pl_resolved *const resolved = pl_part_get(part, (enum pl_setting)i);
    if (resolved->given) add_value(out, (enum pl_setting)i, pl_settings[i].key, resolved);
  }
}

static void add_block(struct pl_buffer *out, struct pl_program *program,
                      const struct pl_block *block) {
  const struct pl_node *const base = pl_bases(block->node);
  if (base != NULL) pl_buffer_format(out, ", from “%s”", base->name);
  pl_buffer_text(out, "\n");
  if (block->kind <= PL_BLOCK_DAMPER && block->kind != PL_BLOCK_OIL_SCALE)
    add_part(out, program, block);
  if (block->kind != PL_BLOCK_SETUP) return;
  const struct pl_setup *const setup = pl_program_setup(program, block->name);
  if (setup == NULL) return;
  struct pl_figures *const figures = pl_figures_new(setup, NULL);
  for (size_t i = 0; i < sizeof telling / sizeof telling[0]; i++) {
    pl_buffer_format(out, "%s%s", i == 0 ? "\n" : "\n\n", pl_figure_rows[telling[i]].label);
    add_figure_values(out, figures, telling[i]);
  }
}

static void add_mention(struct pl_buffer *out, struct pl_editor *editor,
                        struct pl_program *program, const struct mention *mention) {
  const struct pl_span span = declaration_of(editor, program, mention);
  if (mention->kind == NAME_FILE) {
    if (span.source != NULL) add_code(out, span.source->real_path);
    return;
  }
  pl_buffer_format(out, "%s ",
                   mention->kind == NAME_LET ? "let" : pl_block_kind_name(mention->block));
  pl_buffer_format(out, mention->kind == NAME_LET ? "`%s`" : "“%s”", mention->name);
  if (span.source == NULL) {
    pl_buffer_text(out, ": no file in reach declares it");
    return;
  }
  pl_buffer_format(out, " — %s", pl_span_place(out->arena, span));
  if (mention->kind == NAME_LET) {
    const struct pl_tree *const tree = pl_program_tree(program, span.source);
    for (const struct pl_node *item = tree == NULL ? NULL : tree->items; item != NULL;
         item = item->next) {
      if (item->kind != PL_NODE_LET || strcmp(item->name, mention->name) != 0) continue;
      const struct pl_value value = pl_evaluate(program, item->children, NULL);
      pl_buffer_text(out, "\n\n");
      add_code(out, pl_value_text(out->arena, &value));
    }
    return;
  }
  const struct pl_block *const block = pl_program_find(program, mention->block, mention->name);
  if (block != NULL) add_block(out, program, block);
}

// ---------------------------------------------------------------- the answer

static const struct pl_token *token_at(const struct pl_tree *tree, uint32_t offset) {
  for (size_t i = 0; i < tree->token_count; i++) {
    const struct pl_token *const token = &tree->tokens[i];
    if (token->class == PL_CLASS_SPACE || token->class == PL_CLASS_LINE ||
        token->class == PL_CLASS_MARK)
      continue;
    if (pl_token_start(token) <= offset && offset <= token->end) return token;
  }
  return NULL;
}

/// A word that is neither a key nor a name: a figure, a unit, a word of the language.
static void add_word(struct pl_buffer *out, struct pl_editor *editor, const struct spot *spot,
                     const struct pl_token *token) {
  if (token->class != PL_CLASS_WORD && token->class != PL_CLASS_UNIT) return;
  const char *const word =
      pl_copy_text(out->arena, (const char *)spot->source->bytes + pl_token_start(token),
                   token->end - pl_token_start(token));
  const enum pl_figure figure =
      token->class == PL_CLASS_WORD ? pl_figure_of(word) : PL_FIGURE_COUNT;
  if (figure != PL_FIGURE_COUNT) {
    add_figure(out, editor, spot->program, figure);
    return;
  }
  const enum pl_setting setting =
      token->class == PL_CLASS_WORD ? pl_setting_of(word, PL_BLOCK_SETUP) : PL_SETTING_COUNT;
  if (setting != PL_SETTING_COUNT) {
    add_key(out, setting);
    return;
  }
  const char *const text = pl_describe_key(out->arena, word, &plain_style);
  if (text != NULL) pl_buffer_format(out, "```text\n%s```", text);
}

json_t *answer_hover(struct pl_editor *editor, const json_t *params, const char **problem) {
  (void)problem;
  struct spot spot;
  if (!read_spot(editor, params, &spot)) return NULL;
  const struct pl_token *const token = token_at(spot.tree, spot.offset);
  if (token == NULL || token->class == PL_CLASS_COMMENT) return NULL;
  struct pl_buffer out = {.arena = editor->request};
  struct mention mention;
  struct route route;
  find_route(&route, spot.tree, spot.offset);
  const struct pl_node *const item = route.item;
  const bool on_key = item != NULL && item->kind == PL_NODE_PROPERTY &&
                      pl_name_span(item).start <= spot.offset &&
                      spot.offset <= pl_name_span(item).end;
  const enum pl_setting setting =
      on_key ? setting_at(route.around, route.depth, item->name, item->children)
             : PL_SETTING_COUNT;
  if (setting != PL_SETTING_COUNT)
    add_key_here(&out, spot.program, &route, setting);
  else if (mention_at(spot.tree, spot.program, spot.offset, &mention))
    add_mention(&out, editor, spot.program, &mention);
  else
    add_word(&out, editor, &spot, token);
  if (out.length == 0) return NULL;
  return PL_JSON_PACK(
      editor->request, "{s:{s:s,s:O},s:O}", "contents", "kind", "markdown", "value",
      pl_json_text(editor->request, pl_buffer_string(&out)), "range",
      json_of_range(editor->request, &spot.document->lines, pl_token_start(token), token->end));
}
