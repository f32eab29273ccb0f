// SPDX-License-Identifier: GPL-3.0-or-later
// Names: where they stand in a file, what kind of thing they name, and where that is declared.
#include "room.h"

#include <string.h>

/// A walk through a tree that looks for names.
struct looking {
  struct pl_program *program;
  struct around around[PL_MOST_NESTING + 1];
  size_t depth;
  void (*visit)(void *context, const struct mention *mention);
  void *context;
};

static void tell_block(struct looking *looking, enum pl_block_kind kind,
                       const struct pl_node *text, bool declares, const char *file) {
  const struct mention mention = {.kind = NAME_BLOCK,
                                  .block = kind,
                                  .name = text->name,
                                  .span = text->span,
                                  .declares = declares,
                                  .file = file};
  looking->visit(looking->context, &mention);
}

/// `let`s that an expression names, and the parts that its texts do where they are of `kind`.
static void look_into_value(struct looking *looking, const struct pl_node *value,
                            enum pl_block_kind kind) {
  for (const struct pl_node *one = value; one != NULL; one = one->next) {
    if (one->kind == PL_NODE_TEXT && kind != PL_BLOCK_KIND_COUNT)
      tell_block(looking, kind, one, false, "");
    if (one->kind == PL_NODE_NAME && pl_program_has_let(looking->program, one->name)) {
      const struct mention mention = {
          .kind = NAME_LET, .name = one->name, .span = one->span, .file = ""};
      looking->visit(looking->context, &mention);
    }
    look_into_value(looking, one->children, kind);
  }
}

/// The kind of thing that the texts behind a key name.
static enum pl_block_kind kind_behind(enum pl_setting setting) {
  if (setting == PL_SETTING_COUNT) return PL_BLOCK_KIND_COUNT;
  if (pl_settings[setting].type == PL_TYPE_PART)
    return pl_block_kind_of(pl_settings[setting].of);
  if (pl_settings[setting].type == PL_TYPE_TEXTS && pl_settings[setting].of[0] != '\0')
    return pl_block_kind_of(pl_settings[setting].of);
  if (setting == PL_SETTING_MEETING_RULES) return PL_BLOCK_RULES;
  if (setting == PL_SETTING_MEETING_TEMPLATE) return PL_BLOCK_TEMPLATE;
  return PL_BLOCK_KIND_COUNT;
}

/// "entries/07/wet.leaf" "Sluice, wet": a file, and a setup in it.
static void look_into_file(struct looking *looking, const struct pl_node *value) {
  const struct pl_node *const path = value->kind == PL_NODE_ROW ? value->children : value;
  if (path->kind != PL_NODE_TEXT) return;
  const struct mention mention = {
      .kind = NAME_FILE, .name = path->name, .span = path->span, .file = ""};
  looking->visit(looking->context, &mention);
  if (path != value && path->next != NULL && path->next->kind == PL_NODE_TEXT)
    tell_block(looking, PL_BLOCK_SETUP, path->next, false, path->name);
}

static void look_into_items(struct looking *looking, const struct pl_node *items);

static void look_into_block(struct looking *looking, const struct pl_node *block) {
  const enum pl_block_kind kind =
      looking->depth == 0 ? pl_block_kind_of(block->name) : PL_BLOCK_KIND_COUNT;
  if (kind != PL_BLOCK_KIND_COUNT && pl_titles(block) != NULL &&
      pl_titles(block)->kind == PL_NODE_TEXT)
    tell_block(looking, kind, pl_titles(block), true, "");
  const char *const own = pl_titles(block) == NULL ? "" : pl_titles(block)->name;
  for (const struct pl_node *base = pl_bases(block); base != NULL; base = base->next) {
    // A template that starts from its own name starts from the program's template.
    if (kind == PL_BLOCK_TEMPLATE && strcmp(base->name, own) == 0) continue;
    if (kind != PL_BLOCK_KIND_COUNT) tell_block(looking, kind, base, false, "");
  }
  look_into_value(looking, pl_condition(block), PL_BLOCK_KIND_COUNT);
  if (looking->depth > PL_MOST_NESTING) return;
  looking->around[looking->depth++] = (struct around){block->name, ""};
  look_into_items(looking, block->children);
  looking->depth--;
}

static void look_into_items(struct looking *looking, const struct pl_node *items) {
  for (const struct pl_node *item = items; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK) look_into_block(looking, item);
    if (item->kind == PL_NODE_INCLUDE) {
      const struct mention mention = {
          .kind = NAME_FILE, .name = item->name, .span = pl_name_span(item), .file = ""};
      looking->visit(looking->context, &mention);
    }
    if (item->kind == PL_NODE_LET) {
      const struct mention mention = {.kind = NAME_LET,
                                      .name = item->name,
                                      .span = pl_name_span(item),
                                      .declares = true,
                                      .file = ""};
      looking->visit(looking->context, &mention);
      look_into_value(looking, item->children, PL_BLOCK_KIND_COUNT);
    }
    if (item->kind != PL_NODE_PROPERTY) continue;
    if (names_language(looking->around, looking->depth, item->name)) {
      look_into_value(looking, item->children, PL_BLOCK_TEMPLATE);
      continue;
    }
    const enum pl_setting setting =
        setting_at(looking->around, looking->depth, item->name, item->children);
    if (setting != PL_SETTING_COUNT && pl_settings[setting].type == PL_TYPE_FILE)
      look_into_file(looking, item->children);
    else
      look_into_value(looking, item->children, kind_behind(setting));
  }
}

void each_mention(const struct pl_tree *tree, struct pl_program *program,
                  void (*visit)(void *context, const struct mention *mention), void *context) {
  struct looking looking = {.program = program, .visit = visit, .context = context};
  look_into_items(&looking, tree->items);
}

/// The mention looked for.
struct wanted {
  uint32_t offset;
  struct mention *mention;
  bool found;
};

static void compare_place(void *context, const struct mention *mention) {
  struct wanted *const wanted = context;
  if (wanted->found || wanted->offset < mention->span.start ||
      wanted->offset > mention->span.end)
    return;
  *wanted->mention = *mention;
  wanted->found = true;
}

bool mention_at(const struct pl_tree *tree, struct pl_program *program, uint32_t offset,
                struct mention *mention) {
  struct wanted wanted = {.offset = offset, .mention = mention};
  each_mention(tree, program, compare_place, &wanted);
  return wanted.found;
}

// ---------------------------------------------------------------- declarations

static struct pl_span nowhere(void) {
  return (struct pl_span){NULL, 0, 0};
}

static struct pl_span declaration_of_let(struct pl_program *program, const char *name) {
  const struct pl_source *source = NULL;
  for (size_t i = 0; (source = pl_program_file(program, i)) != NULL; i++) {
    const struct pl_tree *const tree = pl_program_tree(program, source);
    for (const struct pl_node *item = tree->items; item != NULL; item = item->next) {
      if (item->kind == PL_NODE_LET && strcmp(item->name, name) == 0) return pl_name_span(item);
    }
  }
  return nowhere();
}

/// The start of the file that a path leads to.
static struct pl_span start_of_file(struct pl_program *program, const struct mention *mention) {
  const struct pl_source *file = NULL;
  if (pl_program_beside(program, mention->span.source, mention->name, &file) != PL_FILE_OK)
    return nowhere();
  return (struct pl_span){file, 0, 0};
}

/// A setup in a file that is named, and not included.
static struct pl_span declaration_elsewhere(struct pl_editor *editor,
                                            struct pl_program *program,
                                            const struct mention *mention) {
  const struct pl_source *file = NULL;
  if (pl_program_beside(program, mention->span.source, mention->file, &file) != PL_FILE_OK)
    return nowhere();
  struct pl_diagnostics *const problems = pl_diagnostics_new(editor->request);
  struct pl_names *const names = pl_names_new(editor->request);
  const struct pl_tree *const tree = pl_parse(editor->request, names, problems, file);
  for (const struct pl_node *item = tree->items; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK && pl_block_kind_of(item->name) == mention->block &&
        pl_titles(item) != NULL && strcmp(pl_titles(item)->name, mention->name) == 0)
      return pl_titles(item)->span;
  }
  return nowhere();
}

struct pl_span declaration_of(struct pl_editor *editor, struct pl_program *program,
                              const struct mention *mention) {
  if (mention->kind == NAME_LET) return declaration_of_let(program, mention->name);
  if (mention->kind == NAME_FILE) return start_of_file(program, mention);
  if (mention->file[0] != '\0') return declaration_elsewhere(editor, program, mention);
  const struct pl_block *const block = pl_program_find(program, mention->block, mention->name);
  return block == NULL ? nowhere() : pl_titles(block->node)->span;
}
