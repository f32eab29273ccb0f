// SPDX-License-Identifier: GPL-3.0-or-later
// Page templates: from a block of the setup language to what a page is made of.
#include "template.h"

#include <string.h>

// ---------------------------------------------------------------- blocks

/// What a kind of block is called, which blocks may hold it, and whether it has a name.
static const struct part_kind {
  const char *name;
  unsigned within; ///< bits of kinds; PL_PAGE_PART_COUNT stands for the template itself
  bool named;
} part_kinds[PL_PAGE_PART_COUNT] = {
    [PL_PAGE_SECTION] = {"section",
                         1u << PL_PAGE_PART_COUNT | 1u << PL_PAGE_BESIDE | 1u << PL_PAGE_SHOCKS,
                         true},
    [PL_PAGE_BESIDE] = {"beside", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_PLAN] = {"plan", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_GROUP] = {"group", 1u << PL_PAGE_PLAN, true},
    [PL_PAGE_RUNS] = {"runs", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_CHANGES] = {"changes", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_NOTES] = {"notes", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_REST] = {"rest", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_LABELS] = {"labels", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_WORDS] = {"words", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_PLOT] = {"plot", 1u << PL_PAGE_PART_COUNT | 1u << PL_PAGE_BESIDE, true},
    [PL_PAGE_SHOCKS] = {"shocks", 1u << PL_PAGE_PART_COUNT, false},
    [PL_PAGE_DRAWING] = {"drawing", 1u << PL_PAGE_SHOCKS, true},
    [PL_PAGE_ASSEMBLY] = {"assembly", 1u << PL_PAGE_SHOCKS, true},
    [PL_PAGE_CHECKLIST] = {"checklist",
                           1u << PL_PAGE_PART_COUNT | 1u << PL_PAGE_BESIDE |
                               1u << PL_PAGE_SHOCKS,
                           true},
    [PL_PAGE_CAUTIONS] = {"cautions",
                          1u << PL_PAGE_PART_COUNT | 1u << PL_PAGE_BESIDE |
                              1u << PL_PAGE_SHOCKS,
                          true},
    [PL_PAGE_BREAK] = {"page-break", 1u << PL_PAGE_PART_COUNT, false},
};

/// Does a block of kind `inner` belong into `outer` (PL_PAGE_PART_COUNT: the template)?
static bool belongs(enum pl_part_of_page inner, enum pl_part_of_page outer) {
  return (part_kinds[inner].within & 1u << outer) != 0;
}

static enum pl_part_of_page kind_named(const char *name) {
  int kind = 0;
  while (kind < PL_PAGE_PART_COUNT && strcmp(part_kinds[kind].name, name) != 0) kind++;
  return (enum pl_part_of_page)kind;
}

void pl_template_each_word(const char *block,
                           void (*visit)(void *context, const char *word, bool is_key),
                           void *context) {
  const enum pl_part_of_page outer = kind_named(block); // PL_PAGE_PART_COUNT: the template
  pl_template_each_key(outer, visit, context);
  for (int kind = 0; kind < PL_PAGE_PART_COUNT; kind++) {
    if (belongs((enum pl_part_of_page)kind, outer))
      visit(context, part_kinds[kind].name, false);
  }
}

/// The part of that kind and title among `parts` and what they hold, or null.
static struct pl_template_part *find_part(struct pl_template_part *parts,
                                          enum pl_part_of_page kind, const char *title) {
  for (struct pl_template_part *part = parts; part != NULL; part = part->next) {
    if (part->kind == kind && strcmp(part->title, title) == 0) return part;
    struct pl_template_part *const inside = find_part(part->children, kind, title);
    if (inside != NULL) return inside;
  }
  return NULL;
}

/// Adds a part as the last one, but `rest` stays behind it: it shows what no other part does.
static struct pl_template_part *add_part(struct reading *reading,
                                         struct pl_template_part **list,
                                         enum pl_part_of_page kind, const char *title) {
  while (*list != NULL && (*list)->kind != PL_PAGE_REST) list = &(*list)->next;
  struct pl_template_part *const part = pl_alloc(reading->arena, sizeof *part);
  *part = (struct pl_template_part){.kind = kind,
                                    .title = title,
                                    .columns = 1,
                                    .column = 1,
                                    .places = 0xF,
                                    .scale = 2,
                                    .height = 58,
                                    .next = *list};
  *list = part;
  return part;
}

static enum pl_part_of_page kind_of(struct reading *reading, const struct pl_node *block,
                                    enum pl_part_of_page outer) {
  const char *known[PL_PAGE_PART_COUNT];
  size_t count = 0;
  for (int kind = 0; kind < PL_PAGE_PART_COUNT; kind++) {
    if (!belongs((enum pl_part_of_page)kind, outer)) continue;
    if (strcmp(part_kinds[kind].name, block->name) == 0) return (enum pl_part_of_page)kind;
    known[count++] = part_kinds[kind].name;
  }
  pl_report(reading->problems, PL_UNKNOWN_BLOCK, pl_name_span(block),
            PL_WORDS(pl_format(reading->arena, "A template's `%s`", reading->block),
                     block->name, pl_nearest(block->name, known, count)));
  return PL_PAGE_PART_COUNT;
}

/// `beside` has no name of its own: the one that holds the first named part of this block.
static struct pl_template_part *find_beside(struct reading *reading,
                                            const struct pl_node *block) {
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind != PL_NODE_BLOCK || pl_titles(item) == NULL) continue;
    for (struct pl_template_part *part = reading->template->parts; part != NULL;
         part = part->next) {
      if (part->kind == PL_PAGE_BESIDE &&
          find_part(part->children, kind_named(item->name), pl_titles(item)->name) != NULL)
        return part;
    }
  }
  return NULL;
}

static void read_items(struct reading *reading, const struct pl_node *block,
                       enum pl_part_of_page outer, struct pl_template_part *part);

static void read_block(struct reading *reading, const struct pl_node *block,
                       enum pl_part_of_page outer, struct pl_template_part *holder) {
  const enum pl_part_of_page kind = kind_of(reading, block, outer);
  if (kind == PL_PAGE_PART_COUNT) return;
  const bool named = part_kinds[kind].named;
  if (named && pl_titles(block) == NULL) {
    pl_report(reading->problems, PL_BLOCK_NEEDS_NAME, pl_name_span(block),
              PL_WORDS(block->name));
    return;
  }
  if (!named && pl_titles(block) != NULL)
    pl_report(reading->problems, PL_TITLE_INSIDE, pl_titles(block)->span,
              PL_WORDS(block->name));
  const char *const title = named ? pl_titles(block)->name : "";
  if (strlen(title) > PL_MOST_TITLE_BYTES) {
    pl_report(
        reading->problems, PL_TEMPLATE_VALUE, pl_titles(block)->span,
        PL_WORDS(block->name,
                 pl_format(reading->arena, "a name of up to %d bytes", PL_MOST_TITLE_BYTES),
                 pl_span_shown(reading->arena, pl_titles(block)->span)));
    return;
  }
  struct pl_template_part *part = kind == PL_PAGE_BREAK ? NULL
                                  : kind == PL_PAGE_BESIDE
                                      ? find_beside(reading, block)
                                      : find_part(reading->template->parts, kind, title);
  if (part == NULL) {
    if (reading->part_count++ >= PL_MOST_PAGE_PARTS) {
      pl_report(reading->problems, PL_TOO_MANY_PAGE_PARTS, pl_name_span(block),
                PL_WORDS(pl_format(reading->arena, "%d", PL_MOST_PAGE_PARTS)));
      return;
    }
    part = add_part(reading, holder == NULL ? &reading->template->parts : &holder->children,
                    kind, title);
  }
  const char *const before = reading->block;
  reading->block = block->name;
  read_items(reading, block, kind, part);
  reading->block = before;
}

static void read_items(struct reading *reading, const struct pl_node *block,
                       enum pl_part_of_page outer, struct pl_template_part *part) {
  struct pl_map *const seen = pl_map_new(reading->arena);
  for (struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK) {
      read_block(reading, item, outer, part);
    } else if (item->kind == PL_NODE_PROPERTY) {
      if (pl_map_set(seen, item->name, item) != NULL)
        pl_report(reading->problems, PL_SETTING_TWICE, pl_name_span(item),
                  PL_WORDS(item->name));
      if (item->action != PL_SET) {
        pl_template_misfit(reading, item, "a new value behind `=`");
      } else {
        pl_template_key(reading, item, part);
      }
    }
  }
}

// ---------------------------------------------------------------- leaving out

/// Takes the parts of that title, or the kind of that word, out of a list and of what its parts
/// hold; returns whether there was one.
static bool drop(struct pl_template_part **list, const struct pl_node *what) {
  bool found = false;
  while (*list != NULL) {
    struct pl_template_part *const part = *list;
    const bool meant = what->kind == PL_NODE_TEXT ? strcmp(part->title, what->name) == 0
                                                  : part->kind == kind_named(what->name);
    const bool inside = drop(&part->children, what);
    found = found || meant || inside;
    if (meant)
      *list = part->next;
    else
      list = &part->next;
  }
  return found;
}

void pl_template_drop(struct reading *reading, const struct pl_node *property) {
  const struct pl_node *const list = property->children;
  if (list->kind != PL_NODE_LIST) {
    pl_template_misfit(reading, property, "a list of blocks by kind or \"name\" in [ ]");
    return;
  }
  for (const struct pl_node *one = list->children; one != NULL; one = one->next) {
    const bool named = one->kind == PL_NODE_TEXT || one->kind == PL_NODE_NAME;
    if (named && drop(&reading->template->parts, one)) continue;
    pl_report(reading->problems, PL_TEMPLATE_NO_PART, one->span,
              PL_WORDS(pl_span_shown(reading->arena, one->span)));
  }
}

// ---------------------------------------------------------------- the chain of `from`

/// The name of the template that a built-in file holds: "race-sheet.leaf" has "race sheet".
static const char *name_in_file(struct pl_arena *arena, const struct pl_embedded_file *file) {
  struct pl_buffer name = {.arena = arena};
  const size_t length = strlen(file->name) - strlen(".leaf");
  for (size_t i = 0; i < length; i++)
    pl_buffer_add(&name, file->name[i] == '-' ? " " : &file->name[i], 1);
  return pl_buffer_string(&name);
}

/// Does a built-in file hold the template of that name?
static bool holds(const struct pl_embedded_file *file, const char *name) {
  size_t i = 0;
  while (name[i] != '\0' && name[i] != '-' && file->name[i] == (name[i] == ' ' ? '-' : name[i]))
    i++;
  return name[i] == '\0' && strcmp(file->name + i, ".leaf") == 0;
}

/// The block of that name in a built-in file, or null.
static const struct pl_node *find_built_in(struct pl_arena *arena, const char *name,
                                           struct pl_diagnostics *problems) {
  for (const struct pl_embedded_file *file = pl_embedded_templates; file->name != NULL;
       file++) {
    if (!holds(file, name)) continue;
    struct pl_source *const source = pl_source_of_bytes(
        arena, pl_format(arena, "templates/%s", file->name), file->bytes, file->length);
    const struct pl_tree *const tree = pl_parse(arena, pl_names_new(arena), problems, source);
    for (const struct pl_node *item = tree->items; item != NULL; item = item->next) {
      if (item->kind == PL_NODE_BLOCK && pl_titles(item) != NULL &&
          strcmp(item->name, "template") == 0 && strcmp(pl_titles(item)->name, name) == 0)
        return item;
    }
  }
  return NULL;
}

/// The program's own template of that name goes before a built-in one, unless it is `self`: a
/// club's "race sheet" may start from the built-in "race sheet".
static const struct pl_node *find_template(struct reading *reading, const char *name,
                                           const struct pl_node *self) {
  const struct pl_block *const own = pl_program_find(reading->program, PL_BLOCK_TEMPLATE, name);
  if (own != NULL && own->node != self) return own->node;
  return find_built_in(reading->arena, name, reading->problems);
}

struct name_list {
  struct pl_arena *arena;
  const char **names;
  size_t count;
  size_t capacity;
};

static void add_name(void *context, const struct pl_block *block, bool in_main) {
  (void)in_main;
  struct name_list *const list = context;
  list->names = pl_grow(list->arena, (void *)list->names, list->count, &list->capacity,
                        sizeof(const char *));
  list->names[list->count++] = block->name;
}

static const char *nearest_template(struct reading *reading, const char *name) {
  struct name_list list = {.arena = reading->arena};
  pl_program_each(reading->program, PL_BLOCK_TEMPLATE, add_name, &list);
  for (const struct pl_embedded_file *file = pl_embedded_templates; file->name != NULL; file++)
    add_name(&list, &(struct pl_block){.name = name_in_file(reading->arena, file)}, false);
  return pl_nearest(name, list.names, list.count);
}

bool pl_template_is_built_in(const char *name) {
  for (const struct pl_embedded_file *file = pl_embedded_templates; file->name != NULL;
       file++) {
    if (holds(file, name)) return true;
  }
  return false;
}

void pl_template_each_built_in(struct pl_arena *arena,
                               void (*visit)(void *context, const char *name), void *context) {
  for (const struct pl_embedded_file *file = pl_embedded_templates; file->name != NULL; file++)
    visit(context, name_in_file(arena, file));
}

/// The templates of a main file that no other of them starts from.
struct candidates {
  struct pl_map *bases; ///< names that one of them starts from
  const char *name;     ///< of the first
  const char *second;
};

static void add_base(void *context, const struct pl_block *block, bool in_main) {
  const struct pl_node *const base = pl_bases(block->node);
  if (in_main && base != NULL && strcmp(block->name, base->name) != 0)
    pl_map_set(context, base->name, context);
}

static void add_candidate(void *context, const struct pl_block *block, bool in_main) {
  struct candidates *const candidates = context;
  if (!in_main || pl_map_get(candidates->bases, block->name) != NULL) return;
  if (candidates->name == NULL)
    candidates->name = block->name;
  else
    candidates->second = block->name;
}

const char *pl_template_only(struct pl_program *program) {
  if (pl_program_unreadable(program)) return NULL;
  struct candidates candidates = {.bases = pl_map_new(pl_program_arena(program))};
  pl_program_each(program, PL_BLOCK_TEMPLATE, add_base, candidates.bases);
  pl_program_each(program, PL_BLOCK_TEMPLATE, add_candidate, &candidates);
  if (candidates.name != NULL && candidates.second == NULL) return candidates.name;
  const struct pl_span start = {.source = pl_program_source(program)};
  if (candidates.name == NULL)
    pl_report(pl_program_problems(program), PL_NO_TEMPLATE_HERE, start, PL_NO_WORDS);
  else
    pl_report(pl_program_problems(program), PL_SEVERAL_TEMPLATES, start,
              PL_WORDS(candidates.name, candidates.second));
  return NULL;
}

// ---------------------------------------------------------------- other languages

/// Reads the labels and words of a template after those of what it starts from.
static void read_language(struct reading *reading, const struct pl_node *node, size_t depth) {
  const struct pl_node *const base = pl_bases(node) == NULL || depth >= PL_MOST_BASES
                                         ? NULL
                                         : find_template(reading, pl_bases(node)->name, node);
  if (base != NULL) read_language(reading, base, depth + 1);
  for (const struct pl_node *item = node->children; item != NULL; item = item->next) {
    const enum pl_part_of_page kind =
        item->kind == PL_NODE_BLOCK ? kind_named(item->name) : PL_PAGE_PART_COUNT;
    if (kind == PL_PAGE_LABELS || kind == PL_PAGE_WORDS)
      read_block(reading, item, PL_PAGE_PART_COUNT, NULL);
  }
}

void pl_template_language(struct reading *reading, const struct pl_node *property) {
  const struct pl_node *const value = property->children;
  if (value->kind != PL_NODE_TEXT) {
    pl_template_misfit(reading, property, "the name of a template in quotes");
    return;
  }
  const struct pl_node *const node = find_template(reading, value->name, NULL);
  if (node == NULL)
    pl_report(reading->problems, PL_NO_SUCH_TEMPLATE, value->span,
              PL_WORDS(value->name, nearest_template(reading, value->name)));
  else
    read_language(reading, node, 0);
}

/// Remembers the titles, headings and items within a template's block; what it says in place
/// of others' is none of them.
static void remember_texts(struct pl_map *said, const struct pl_node *block) {
  const enum pl_part_of_page kind = kind_named(block->name);
  if (kind == PL_PAGE_LABELS || kind == PL_PAGE_WORDS) return;
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK) {
      for (const struct pl_node *title = pl_titles(item); title != NULL; title = title->next)
        pl_map_set(said, title->name, said);
      remember_texts(said, item);
    } else if (item->kind == PL_NODE_PROPERTY && item->children->kind == PL_NODE_LIST) {
      for (const struct pl_node *one = item->children->children; one != NULL; one = one->next) {
        if (one->kind == PL_NODE_TEXT) pl_map_set(said, one->name, said);
      }
    }
  }
}

static void remember_block(void *context, const struct pl_block *block, bool in_main) {
  (void)in_main;
  remember_texts(context, block->node);
}

bool pl_template_says(struct reading *reading, const char *text) {
  if (reading->said == NULL) {
    reading->said = pl_map_new(reading->arena);
    pl_program_each(reading->program, PL_BLOCK_TEMPLATE, remember_block, reading->said);
    for (const struct pl_embedded_file *file = pl_embedded_templates; file->name != NULL;
         file++) {
      const char *const name = name_in_file(reading->arena, file);
      const struct pl_node *const node = find_built_in(reading->arena, name, reading->problems);
      if (node != NULL) remember_texts(reading->said, node);
    }
  }
  return pl_map_get(reading->said, text) != NULL;
}

// ---------------------------------------------------------------- a template as a whole

/// Does a template start, by others, from itself?
static bool starts_from_itself(struct reading *reading, const struct pl_node *node) {
  const struct pl_node *at = node;
  for (int steps = 0; steps < PL_MOST_BASES && pl_bases(at) != NULL; steps++) {
    at = find_template(reading, pl_bases(at)->name, at);
    if (at == node || at == NULL) return at == node;
  }
  return false;
}

static void report_chain(struct reading *reading, const struct pl_node *node,
                         const struct pl_node *base) {
  if (starts_from_itself(reading, node))
    pl_report(reading->problems, PL_FROM_CIRCLE, pl_bases(node)->span,
              PL_WORDS(pl_format(reading->arena, "\"%s\" and \"%s\"", pl_titles(node)->name,
                                 pl_titles(base)->name)));
  else
    pl_report(reading->problems, PL_TOO_MANY_BASES, pl_bases(node)->span,
              PL_WORDS(pl_format(reading->arena, "%d", PL_MOST_BASES)));
}

/// Reads the template at `node` after what it starts from.
static void read_chain(struct reading *reading, const struct pl_node *node, size_t depth) {
  if (pl_bases(node) != NULL) {
    const struct pl_node *const base = find_template(reading, pl_bases(node)->name, node);
    if (base == NULL) {
      pl_report(reading->problems, PL_UNKNOWN_BASE, pl_bases(node)->span,
                PL_WORDS("template", pl_bases(node)->name,
                         nearest_template(reading, pl_bases(node)->name)));
    } else if (depth >= PL_MOST_BASES) {
      report_chain(reading, node, base);
    } else {
      read_chain(reading, base, depth + 1);
    }
  }
  reading->block = "template";
  read_items(reading, node, PL_PAGE_PART_COUNT, NULL);
}

/// Reads a template with what it starts from; other words come last, when all parts are known.
static void read_whole(struct reading *reading, const struct pl_node *node) {
  read_chain(reading, node, 0);
  for (size_t i = 0; i < reading->word_count; i++) pl_word_read(reading, reading->words[i]);
}

static struct pl_template empty_template(const char *name) {
  return (struct pl_template){
      .name = name, .paper = PL_A4, .margins = {10, 10, 10, 10}, .club = "", .footer = ""};
}

const struct pl_template *pl_template_read(struct pl_arena *arena,
                                           const struct pl_template_choice *choice,
                                           struct pl_program *program,
                                           struct pl_diagnostics *problems) {
  if (choice->read != NULL) return choice->read;
  if (choice->name == NULL && choice->program != NULL) return NULL; // that was reported
  const char *const name = choice->name == NULL ? "race sheet" : choice->name;
  struct pl_template *const template = pl_alloc(arena, sizeof *template);
  *template = empty_template(name);
  struct reading reading = {.arena = arena,
                            .program = choice->program == NULL ? program : choice->program,
                            .problems = problems,
                            .template = template};
  const struct pl_diagnostics *const own = pl_program_problems(reading.program);
  const size_t errors = problems->errors;
  const size_t own_errors = own->errors;
  const struct pl_node *const node = find_template(&reading, name, NULL);
  if (node == NULL) {
    pl_report(problems, PL_NO_SUCH_TEMPLATE, (struct pl_span){.source = NULL},
              PL_WORDS(name, nearest_template(&reading, name)));
    return NULL;
  }
  read_whole(&reading, node);
  return problems->errors > errors || own->errors > own_errors ? NULL : template;
}

void pl_template_check(struct pl_program *program, const struct pl_block *block,
                       struct pl_diagnostics *problems) {
  struct pl_arena *const arena = pl_program_arena(program);
  struct pl_template template = empty_template(block->name);
  struct reading reading = {
      .arena = arena, .program = program, .problems = problems, .template = &template};
  read_whole(&reading, block->node);
}
