// SPDX-License-Identifier: GPL-3.0-or-later
// Page templates: from a block of the setup language to what a page is made of.
#include <string.h>

#include "room.h"

/// The kinds of blocks in a template, by pl_part_of_page.
static const char *const block_names[PL_PAGE_PART_COUNT] = {
    "section", "beside", "plan", "group", "runs", "changes", "notes", "rest", "labels"};

/// Longest chain of `from`: far above any real one.
#define CHAIN_LIMIT 32

/// A template being read.
struct reading {
  struct pl_arena *arena;
  struct pl_program *program;
  struct pl_diagnostics *problems;
  struct pl_template *template;
  const char *block; ///< what is being read, for messages
};

// ---------------------------------------------------------------- values

static void report_value(struct reading *reading, const struct pl_node *property,
                         const char *wanted) {
  pl_report(
      reading->problems, PL_TEMPLATE_VALUE, property->children->span,
      PL_WORDS(property->name, wanted, pl_span_text(reading->arena, property->children->span)));
}

/// A whole number within a span.
static void read_count(struct reading *reading, const struct pl_node *property, size_t least,
                       size_t greatest, size_t *count) {
  const struct pl_value value = pl_evaluate(reading->program, property->children, NULL);
  if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, PL_DIMENSIONLESS) &&
      value.number >= (double)least && value.number <= (double)greatest &&
      value.number == (double)(size_t)value.number) {
    *count = (size_t)value.number;
    return;
  }
  report_value(reading, property,
               pl_format(reading->arena, "a whole number from %zu to %zu", least, greatest));
}

/// The margin, in mm: what a printer can keep to, and what leaves room for a sheet.
static void read_margin(struct reading *reading, const struct pl_node *property) {
  const struct pl_value value = pl_evaluate(reading->program, property->children, NULL);
  if (value.kind == PL_VALUE_NUMBER && pl_dimension_equal(value.dimension, PL_LENGTH) &&
      value.number >= 0.004 && value.number <= 0.03) {
    reading->template->margin = value.number * 1e3;
    return;
  }
  report_value(reading, property, "a length from 4 mm to 30 mm");
}

static void read_paper(struct reading *reading, const struct pl_node *property) {
  const char *const word = property->children->name;
  if (strcmp(word, "a4") == 0) {
    reading->template->paper = PL_A4;
  } else if (strcmp(word, "letter") == 0) {
    reading->template->paper = PL_LETTER;
  } else {
    report_value(reading, property, "`a4` or `letter`");
  }
}

static void read_headings(struct reading *reading, const struct pl_node *property,
                          struct pl_template_part *part) {
  const struct pl_node *const list = property->children;
  size_t count = 0;
  for (const struct pl_node *one = list->children; one != NULL; one = one->next) {
    if (list->kind != PL_NODE_LIST || one->kind != PL_NODE_TEXT || ++count > 12 ||
        strlen(one->name) > PL_LONGEST_TITLE) {
      report_value(reading, property, "a list of up to 12 short texts");
      return;
    }
  }
  part->headings = pl_alloc_array(reading->arena, count, sizeof(const char *));
  part->heading_count = 0;
  for (const struct pl_node *one = list->children; one != NULL; one = one->next)
    part->headings[part->heading_count++] = one->name;
}

static void read_things(struct reading *reading, const struct pl_node *property,
                        struct pl_things *things) {
  if (property->children->kind == PL_NODE_LIST) {
    *things = pl_things_read(reading->arena, property->children, reading->problems);
  } else {
    report_value(reading, property, "a list of settings and figures in [ ]");
  }
}

// ---------------------------------------------------------------- properties

/// A key of the block, its order in `keys`; or `count` after a report.
static size_t key_in(struct reading *reading, const struct pl_node *property,
                     const char *const *keys, size_t count) {
  for (size_t i = 0; i < count; i++) {
    if (strcmp(keys[i], property->name) == 0) return i;
  }
  const char *const what = pl_format(reading->arena, "A template's `%s`", reading->block);
  const char *const near = pl_nearest(property->name, keys, count);
  if (near != NULL) {
    pl_report(reading->problems, PL_UNKNOWN_KEY, property->name_span,
              PL_WORDS(what, property->name, near));
    return count;
  }
  struct pl_buffer all = {.arena = reading->arena};
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&all, "%s`%s`", i == 0 ? "" : ", ", keys[i]);
  pl_report(reading->problems, PL_TEMPLATE_KEY_FAR, property->name_span,
            PL_WORDS(what, property->name, count == 0 ? NULL : pl_buffer_string(&all)));
  return count;
}

static void read_template_property(struct reading *reading, const struct pl_node *property) {
  static const char *const keys[] = {"paper", "margin", "heading", "large"};
  switch (key_in(reading, property, keys, 4)) {
  case 0: read_paper(reading, property); break;
  case 1: read_margin(reading, property); break;
  case 2: read_things(reading, property, &reading->template->heading); break;
  case 3: read_things(reading, property, &reading->template->large); break;
  default: break;
  }
}

static void read_part_property(struct reading *reading, const struct pl_node *property,
                               struct pl_template_part *part) {
  static const char *const section[] = {"show", "columns"};
  static const char *const group[] = {"show", "column"};
  static const char *const plan[] = {"corners", "measure", "middle"};
  static const char *const runs[] = {"lines", "headings"};
  switch (part->kind) {
  case PL_PAGE_SECTION:
    switch (key_in(reading, property, section, 2)) {
    case 0: read_things(reading, property, &part->show); break;
    case 1: read_count(reading, property, 1, 6, &part->columns); break;
    default: break;
    }
    break;
  case PL_PAGE_GROUP:
    switch (key_in(reading, property, group, 2)) {
    case 0: read_things(reading, property, &part->show); break;
    case 1: read_count(reading, property, 1, 3, &part->column); break;
    default: break;
    }
    break;
  case PL_PAGE_PLAN:
    switch (key_in(reading, property, plan, 3)) {
    case 0: read_things(reading, property, &part->corners); break;
    case 1: read_things(reading, property, &part->measure); break;
    case 2: read_things(reading, property, &part->middle); break;
    default: break;
    }
    break;
  case PL_PAGE_RUNS:
    switch (key_in(reading, property, runs, 2)) {
    case 0: read_count(reading, property, 0, 60, &part->lines); break;
    case 1: read_headings(reading, property, part); break;
    default: break;
    }
    break;
  case PL_PAGE_LABELS:
    pl_label_read(reading->arena, property, &reading->template->labels, reading->problems);
    break;
  default: key_in(reading, property, NULL, 0); break;
  }
}

// ---------------------------------------------------------------- blocks

/// Does a block of kind `inner` (or PL_PAGE_PART_COUNT) belong into `outer`?
static bool belongs(enum pl_part_of_page inner, enum pl_part_of_page outer) {
  if (inner == PL_PAGE_GROUP) return outer == PL_PAGE_PLAN;
  if (outer == PL_PAGE_BESIDE) return inner == PL_PAGE_SECTION;
  return outer == PL_PAGE_PART_COUNT;
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
  *part = (struct pl_template_part){
      .kind = kind, .title = title, .columns = 1, .column = 1, .next = *list};
  *list = part;
  return part;
}

static enum pl_part_of_page kind_of(struct reading *reading, const struct pl_node *block,
                                    enum pl_part_of_page outer) {
  const char *known[PL_PAGE_PART_COUNT];
  size_t count = 0;
  for (int kind = 0; kind < PL_PAGE_PART_COUNT; kind++) {
    if (!belongs((enum pl_part_of_page)kind, outer)) continue;
    if (strcmp(block_names[kind], block->name) == 0) return (enum pl_part_of_page)kind;
    known[count++] = block_names[kind];
  }
  pl_report(reading->problems, PL_UNKNOWN_BLOCK, block->name_span,
            PL_WORDS(pl_format(reading->arena, "A template's `%s`", reading->block),
                     block->name, pl_nearest(block->name, known, count)));
  return PL_PAGE_PART_COUNT;
}

static void report_twice(struct reading *reading, const struct pl_node *items,
                         const struct pl_node *item) {
  for (const struct pl_node *other = items; other != item; other = other->next) {
    if (other->kind == PL_NODE_PROPERTY && strcmp(other->name, item->name) == 0)
      pl_report(reading->problems, PL_SETTING_TWICE, item->name_span, PL_WORDS(item->name));
  }
}

/// `beside` has no name of its own: the one that holds the first named section of this block.
static struct pl_template_part *find_beside(struct reading *reading,
                                            const struct pl_node *block) {
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind != PL_NODE_BLOCK || item->titles == NULL) continue;
    for (struct pl_template_part *part = reading->template->parts; part != NULL;
         part = part->next) {
      if (part->kind == PL_PAGE_BESIDE &&
          find_part(part->children, PL_PAGE_SECTION, item->titles->name) != NULL)
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
  const bool named = kind == PL_PAGE_SECTION || kind == PL_PAGE_GROUP;
  if (named && block->titles == NULL) {
    pl_report(reading->problems, PL_BLOCK_NEEDS_NAME, block->name_span, PL_WORDS(block->name));
    return;
  }
  if (!named && block->titles != NULL)
    pl_report(reading->problems, PL_TITLE_INSIDE, block->titles->span, PL_WORDS(block->name));
  const char *const title = named ? block->titles->name : "";
  if (strlen(title) > PL_LONGEST_TITLE) {
    pl_report(reading->problems, PL_TEMPLATE_VALUE, block->titles->span,
              PL_WORDS(block->name,
                       pl_format(reading->arena, "a name of up to %d bytes", PL_LONGEST_TITLE),
                       pl_span_text(reading->arena, block->titles->span)));
    return;
  }
  struct pl_template_part *part = kind == PL_PAGE_BESIDE
                                      ? find_beside(reading, block)
                                      : find_part(reading->template->parts, kind, title);
  if (part == NULL)
    part = add_part(reading, holder == NULL ? &reading->template->parts : &holder->children,
                    kind, title);
  const char *const before = reading->block;
  reading->block = block->name;
  read_items(reading, block, kind, part);
  reading->block = before;
}

static void read_items(struct reading *reading, const struct pl_node *block,
                       enum pl_part_of_page outer, struct pl_template_part *part) {
  for (const struct pl_node *item = block->children; item != NULL; item = item->next) {
    if (item->kind == PL_NODE_BLOCK) {
      read_block(reading, item, outer, part);
    } else if (item->kind == PL_NODE_PROPERTY) {
      report_twice(reading, block->children, item);
      if (item->action != PL_SET) {
        report_value(reading, item, "a new value behind `=`");
      } else if (part == NULL) {
        read_template_property(reading, item);
      } else {
        read_part_property(reading, item, part);
      }
    }
  }
}

// ---------------------------------------------------------------- the chain of `from`

/// The block of that name in a built-in file, or null.
static const struct pl_node *find_built_in(struct pl_arena *arena, const char *name,
                                           struct pl_diagnostics *problems) {
  for (const struct pl_embedded_file *file = pl_embedded_templates; file->name != NULL;
       file++) {
    struct pl_source *const source = pl_source_of_bytes(
        arena, pl_format(arena, "templates/%s", file->name), file->bytes, file->length);
    const struct pl_tree *const tree = pl_parse(arena, pl_names_new(arena), problems, source);
    for (const struct pl_node *item = tree->items; item != NULL; item = item->next) {
      if (item->kind == PL_NODE_BLOCK && item->titles != NULL &&
          strcmp(item->name, "template") == 0 && strcmp(item->titles->name, name) == 0)
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
  add_name(&list, &(struct pl_block){.name = "race sheet"}, false);
  return pl_nearest(name, list.names, list.count);
}

/// Reads the template at `node` after what it starts from.
static void read_chain(struct reading *reading, const struct pl_node *node, size_t depth) {
  if (node->bases != NULL) {
    const struct pl_node *const base = find_template(reading, node->bases->name, node);
    if (base == NULL) {
      pl_report(reading->problems, PL_UNKNOWN_BASE, node->bases->span,
                PL_WORDS("template", node->bases->name,
                         nearest_template(reading, node->bases->name)));
    } else if (depth >= CHAIN_LIMIT) {
      pl_report(reading->problems, PL_FROM_CIRCLE, node->bases->span,
                PL_WORDS(pl_format(reading->arena, "\"%s\" and \"%s\"", node->titles->name,
                                   base->titles->name)));
    } else {
      read_chain(reading, base, depth + 1);
    }
  }
  reading->block = "template";
  read_items(reading, node, PL_PAGE_PART_COUNT, NULL);
}

const struct pl_template *pl_template_read(struct pl_arena *arena, struct pl_program *program,
                                           const char *name, struct pl_diagnostics *problems) {
  struct pl_template *const template = pl_alloc(arena, sizeof *template);
  *template = (struct pl_template){.name = name, .paper = PL_A4, .margin = 10};
  struct reading reading = {
      .arena = arena, .program = program, .problems = problems, .template = template};
  const size_t errors = problems->errors;
  const size_t own_errors = pl_program_problems(program)->errors;
  const struct pl_node *const node = find_template(&reading, name, NULL);
  if (node == NULL) {
    pl_report(problems, PL_NO_SUCH_TEMPLATE, (struct pl_span){.source = NULL},
              PL_WORDS(name, nearest_template(&reading, name)));
    return NULL;
  }
  read_chain(&reading, node, 0);
  if (problems->errors > errors || pl_program_problems(program)->errors > own_errors)
    return NULL;
  return template;
}

void pl_template_check(struct pl_program *program, const struct pl_block *block,
                       struct pl_diagnostics *problems) {
  struct pl_arena *const arena = pl_program_arena(program);
  struct pl_template template = {.name = block->name};
  struct reading reading = {
      .arena = arena, .program = program, .problems = problems, .template = &template};
  read_chain(&reading, block->node, 0);
}
