// SPDX-License-Identifier: GPL-3.0-or-later
// Going to where a name is declared, finding where it is used, and giving it another one, in
// all files of the workspace.
#include "room.h"

#include <string.h>

// ---------------------------------------------------------------- definition

static bool mention_of(struct pl_editor *editor, const json_t *params, struct spot *spot,
                       struct mention *mention) {
  return read_spot(editor, params, spot) &&
         mention_at(spot->tree, spot->program, spot->offset, mention);
}

json_t *answer_definition(struct pl_editor *editor, const json_t *params,
                          const char **problem) {
  (void)problem;
  struct spot spot;
  struct mention mention;
  if (!mention_of(editor, params, &spot, &mention)) return NULL;
  const struct pl_span span = declaration_of(editor, spot.program, &mention);
  if (span.source == NULL || span.source->real_path[0] == '\0') return NULL;
  return json_of_location(editor, span);
}

// ---------------------------------------------------------------- references

/// What is looked for: all mentions that mean the same declaration.
struct search {
  struct pl_editor *editor;
  struct pl_program *program; ///< of the file in hand
  struct mention target;
  const char *declared_in; ///< real path; "": nowhere that is known
  uint32_t declared_at;
  const char *new_name; ///< of a renaming; null: none
  bool with_declaration;
  struct lines lines; ///< of the file in hand, as are its name and edits
  const char *uri;
  json_t *edits;
  bool has_mention;    ///< of what its own program has
  json_t *locations;   ///< of references
  json_t *changes;     ///< of a renaming
  const char *problem; ///< why there can be no renaming
};

/// Rules and templates are named in meetings that do not include them.
static bool may_be_elsewhere(const struct mention *mention) {
  return mention->kind == NAME_BLOCK &&
         (mention->block == PL_BLOCK_RULES || mention->block == PL_BLOCK_TEMPLATE);
}

/// A name that is looked for among the program's own templates.
struct sought {
  const char *name;
  bool found;
};

static void compare_name(void *context, const char *name) {
  struct sought *const sought = context;
  sought->found = sought->found || strcmp(sought->name, name) == 0;
}

/// Is it called like one of the program's own templates? A file may declare another of that
/// name.
static bool has_built_in_name(struct pl_editor *editor, const struct mention *mention) {
  struct sought sought = {mention->name, false};
  if (mention->kind == NAME_BLOCK && mention->block == PL_BLOCK_TEMPLATE)
    pl_template_each_built_in(editor->request, compare_name, &sought);
  return sought.found;
}

/// Is it what no file declares but the program has?
static bool is_built_in(const struct search *search) {
  return search->declared_in[0] == '\0' && has_built_in_name(search->editor, &search->target);
}

static bool means_target(struct search *search, const struct mention *mention) {
  const struct mention *const target = &search->target;
  if (mention->kind != target->kind || mention->block != target->block) return false;
  // A file goes by many paths.
  if (target->kind != NAME_FILE && strcmp(mention->name, target->name) != 0) return false;
  const struct pl_span span = declaration_of(search->editor, search->program, mention);
  if (span.source == NULL)
    return may_be_elsewhere(mention) &&
           (search->declared_in[0] == '\0' || !has_built_in_name(search->editor, mention));
  if (search->declared_in[0] == '\0') return !has_built_in_name(search->editor, mention);
  return strcmp(span.source->real_path, search->declared_in) == 0 &&
         span.start == search->declared_at;
}

/// What is to be written in place of a mention: a name's inside, or a word.
static const char *name_written(const struct search *search) {
  if (search->target.kind == NAME_LET) return search->new_name;
  struct pl_buffer out = {.arena = search->editor->request};
  for (const char *at = search->new_name; *at != '\0'; at++) {
    if (*at == '"' || *at == '\\') pl_buffer_text(&out, "\\");
    pl_buffer_add(&out, at, 1);
  }
  return pl_buffer_string(&out);
}

/// The mention without its quotes.
static struct pl_span inside(const struct mention *mention) {
  struct pl_span span = mention->span;
  if (mention->kind == NAME_BLOCK && span.end > span.start + 1) {
    span.start++;
    span.end--;
  }
  return span;
}

static void take_mention(void *context, const struct mention *mention) {
  struct search *const search = context;
  if (!means_target(search, mention)) return;
  const struct pl_span span = inside(mention);
  json_t *const range =
      json_of_range(search->editor->request, &search->lines, span.start, span.end);
  if (search->new_name != NULL) {
    // A setup that another file holds is not one of this program.
    search->has_mention = search->has_mention || mention->file[0] == '\0';
    pl_json_add(search->editor->request, search->edits,
                PL_JSON_PACK(search->editor->request, "{s:O,s:O}", "range", range, "newText",
                             pl_json_text(search->editor->request, name_written(search))));
    return;
  }
  if (!mention->declares || search->with_declaration)
    pl_json_add(search->editor->request, search->locations,
                PL_JSON_PACK(search->editor->request, "{s:O,s:O}", "uri",
                             pl_json_text(search->editor->request, search->uri), "range",
                             range));
}

static bool has_text(const struct pl_source *source, const char *text) {
  const size_t size = strlen(text);
  for (size_t at = 0; at + size <= source->length; at++) {
    if (source->bytes[at] == (unsigned char)text[0] &&
        memcmp(source->bytes + at, text, size) == 0)
      return true;
  }
  return false;
}

/// Does the text hold the name at all, or the last part of a path? Most files need not even be
/// parsed. For a renaming, what includes others may have both names.
static bool may_matter(const struct search *search, const struct pl_source *source) {
  const struct mention *const target = &search->target;
  const char *const part = target->kind == NAME_FILE ? strrchr(target->name, '/') : NULL;
  const char *const name = part == NULL ? target->name : part + 1;
  if (strpbrk(name, "\"\\") != NULL) return true; // written otherwise
  return has_text(source, name) || (search->new_name != NULL && has_text(source, "include"));
}

/// Does the program have something of the new name?
static bool has_new_name(const struct search *search) {
  if (search->target.kind == NAME_LET)
    return pl_program_has_let(search->program, search->new_name);
  return pl_program_find(search->program, search->target.block, search->new_name) != NULL;
}

/// Does the program have the file that declares the name?
static bool holds_declaration(const struct search *search) {
  const struct pl_source *file = NULL;
  for (size_t i = 0; (file = pl_program_file(search->program, i)) != NULL; i++) {
    if (strcmp(file->real_path, search->declared_in) == 0) return true;
  }
  return false;
}

static void search_program(struct search *search, struct pl_program *program) {
  const struct pl_source *const source = pl_program_source(program);
  const struct pl_tree *const tree = pl_program_tree(program, source);
  if (tree == NULL) return;
  struct pl_editor *const editor = search->editor;
  search->program = program;
  search->has_mention = false;
  search->lines = lines_of(editor->request, source->bytes, source->length);
  search->uri = uri_of_source(editor, source);
  search->edits = pl_json_array(editor->request);
  each_mention(tree, program, take_mention, search);
  if (json_array_size(search->edits) > 0) {
    pl_json_put(editor->request, search->changes, search->uri, search->edits);
    if (!is_writable(source->real_path))
      search->problem = pl_format(
          editor->request, "The name stands in %s, which may not be written.", source->path);
  }
  if (search->new_name != NULL && (search->has_mention || holds_declaration(search)) &&
      has_new_name(search))
    search->problem = pl_format(
        editor->request, "There is a `%s` of that name already, in what %s includes.",
        search->target.kind == NAME_LET ? "let" : pl_block_kind_name(search->target.block),
        source->path);
}

static void search_file(struct search *search, const char *path) {
  struct pl_editor *const editor = search->editor;
  for (struct document *one = editor->documents; one != NULL; one = one->next) {
    if (strcmp(one->path, path) != 0) continue;
    search_program(search, program_of(editor, one));
    return;
  }
  struct pl_source *source = NULL;
  if (pl_read_source(editor->scratch, path, path, &source) == PL_FILE_OK && source != NULL &&
      may_matter(search, source))
    search_program(search, pl_program_of_source(editor->session, editor->scratch, source,
                                                pl_folder_of(editor->scratch, path)));
  pl_arena_reset(editor->scratch);
}

/// Goes through the workspace, or, where there is none, the document's own folder.
static void search_all(struct search *search, const struct spot *spot) {
  struct pl_editor *const editor = search->editor;
  size_t count = 0;
  bool is_cut = false;
  const char *const *const paths =
      leaf_files(editor, pl_folder_of(editor->request, spot->document->path), &count, &is_cut);
  // A name that is changed here and not there would be lost.
  if (is_cut && search->new_name != NULL) {
    search->problem = too_many_files(editor->request);
    return;
  }
  bool has_declaration = search->declared_in[0] == '\0';
  for (size_t i = 0; i < count; i++) {
    has_declaration = has_declaration || strcmp(paths[i], search->declared_in) == 0;
    search_file(search, paths[i]);
  }
  // A library may lie outside the workspace.
  if (!has_declaration) search_file(search, search->declared_in);
}

/// Begins a search for what is named at a place. False if nothing is.
static bool begin_search(struct search *search, const json_t *params, struct spot *spot) {
  if (!mention_of(search->editor, params, spot, &search->target)) return false;
  const struct pl_span span = declaration_of(search->editor, spot->program, &search->target);
  search->declared_in = span.source == NULL
                            ? ""
                            : pl_copy_text(search->editor->request, span.source->real_path,
                                           strlen(span.source->real_path));
  search->declared_at = span.start;
  return span.source != NULL || may_be_elsewhere(&search->target);
}

json_t *answer_references(struct pl_editor *editor, const json_t *params,
                          const char **problem) {
  (void)problem;
  struct search search = {.editor = editor};
  struct spot spot;
  if (!begin_search(&search, params, &spot)) return NULL;
  search.with_declaration =
      json_is_true(json_object_get(json_object_get(params, "context"), "includeDeclaration"));
  search.locations = pl_json_array(editor->request);
  search_all(&search, &spot);
  return search.locations;
}

// ---------------------------------------------------------------- renaming

/// Is the word a key of some block, or a figure?
static bool is_key(const char *word) {
  for (int owner = 0; owner < PL_BLOCK_OWNER_COUNT; owner++) {
    if (pl_setting_of(word, (enum pl_block_kind)owner) != PL_SETTING_COUNT) return true;
  }
  return pl_figure_of(word) != PL_FIGURE_COUNT;
}

json_t *answer_prepare_rename(struct pl_editor *editor, const json_t *params,
                              const char **problem) {
  struct search search = {.editor = editor};
  struct spot spot;
  if (!begin_search(&search, params, &spot) || search.target.kind == NAME_FILE ||
      is_built_in(&search)) {
    *problem = "Only names of parts, cars, setups, rules, meetings, templates and constants "
               "that some file declares can be changed.";
    return NULL;
  }
  return PL_JSON_PACK(editor->request, "{s:O,s:O}", "range",
                      json_of_span(editor, inside(&search.target)), "placeholder",
                      pl_json_text(editor->request, search.target.name));
}

/// Is the new name one that the language takes there?
static bool is_good_name(struct search *search) {
  struct pl_arena *const arena = search->editor->request;
  const char *const text = search->target.kind == NAME_LET
                               ? pl_format(arena, "let %s = 1\n", search->new_name)
                               : pl_format(arena, "oil \"%s\" { }\n", name_written(search));
  struct pl_diagnostics *const problems = pl_diagnostics_new(arena);
  struct pl_source *const source =
      pl_source_of_bytes(arena, "name", (const unsigned char *)text, strlen(text));
  const struct pl_tree *const tree = pl_parse(arena, pl_names_new(arena), problems, source);
  if (problems->count > 0 || tree->items == NULL || tree->items->next != NULL) return false;
  const char *const name = search->target.kind == NAME_LET || pl_titles(tree->items) == NULL
                               ? tree->items->name
                               : pl_titles(tree->items)->name;
  return search->new_name[0] != '\0' && strpbrk(search->new_name, "\n\t\r") == NULL &&
         strcmp(name, search->new_name) == 0;
}

json_t *answer_rename(struct pl_editor *editor, const json_t *params, const char **problem) {
  struct search search = {.editor = editor, .new_name = text_in(params, "newName")};
  struct spot spot;
  if (!begin_search(&search, params, &spot) || search.target.kind == NAME_FILE ||
      is_built_in(&search)) {
    *problem = "There is no name here that can be changed.";
    return NULL;
  }
  if (search.target.kind == NAME_LET && is_key(search.new_name)) {
    *problem = "A constant of that name would hide the key that is called so.";
    return NULL;
  }
  if (!is_good_name(&search)) {
    *problem = search.target.kind == NAME_LET
                   ? "A constant's name is lower-case words joined by hyphens."
                   : "A name is a text on one line, and not empty.";
    return NULL;
  }
  if (strcmp(search.new_name, search.target.name) == 0)
    return PL_JSON_PACK(editor->request, "{s:{}}", "changes");
  search.changes = pl_json_object(editor->request);
  search_all(&search, &spot);
  if (search.problem != NULL) {
    *problem = search.problem;
    return NULL;
  }
  return PL_JSON_PACK(editor->request, "{s:O}", "changes", search.changes);
}
