// SPDX-License-Identifier: GPL-3.0-or-later
// A setup tried with other values: the language makes it, from the main file's text with a
// further setup behind it, so that layers, names, units and checks are as everywhere.
#include "room.h"

#include <string.h>

/// A name that no setup of the program has.
static const char *free_name(const struct pl_program *program, struct pl_arena *arena,
                             const char *setup) {
  const char *name = pl_format(arena, "%s, varied", setup);
  for (int i = 2; pl_program_find(program, PL_BLOCK_SETUP, name) != NULL; i++)
    name = pl_format(arena, "%s, varied %d", setup, i);
  return name;
}

static void add_variation(struct pl_buffer *text, const struct pl_variation *variation) {
  const bool is_whole = strcmp(variation->scope, "car") == 0;
  pl_buffer_format(text, is_whole ? "  %s%s = %s\n" : "  %s { %s = %s }\n",
                   is_whole ? "" : variation->scope, variation->key, variation->value);
}

struct pl_program *pl_program_extended(const struct pl_program *program, struct pl_arena *arena,
                                       const char *more) {
  const struct pl_source *const own = pl_program_source(program);
  struct pl_buffer text = {.arena = arena};
  pl_buffer_add(&text, (const char *)own->bytes, own->length);
  pl_buffer_text(&text, "\n");
  pl_buffer_text(&text, more);
  struct pl_source *const source = pl_source_of_bytes(
      arena, own->path, (const unsigned char *)pl_buffer_string(&text), text.length);
  source->real_path = own->real_path;
  return pl_program_of_source(program->session, arena, source, program->files[0]->real_folder);
}

struct pl_program *pl_program_varied(const struct pl_program *program, struct pl_arena *arena,
                                     const char *setup, const struct pl_variation *variations,
                                     size_t count, const char **name) {
  struct pl_buffer text = {.arena = arena};
  *name = free_name(program, arena, setup);
  pl_buffer_text(&text, "setup ");
  pl_buffer_quoted(&text, *name);
  pl_buffer_text(&text, " from ");
  pl_buffer_quoted(&text, setup);
  pl_buffer_text(&text, " {\n");
  for (size_t i = 0; i < count; i++) add_variation(&text, &variations[i]);
  pl_buffer_text(&text, "}\n");
  return pl_program_extended(program, arena, pl_buffer_string(&text));
}

const struct pl_setup *pl_program_setup_apart(struct pl_program *program, const char *name,
                                              struct pl_diagnostics **problems) {
  struct pl_diagnostics *const shared = program->problems;
  *problems = program->problems = pl_diagnostics_new(program->arena);
  const struct pl_setup *const setup = pl_program_setup(program, name);
  if (setup != NULL) pl_setup_check(setup);
  program->problems = shared;
  return setup;
}

bool pl_is_varied(const struct pl_program *program, const struct pl_program *varied,
                  struct pl_span span) {
  return span.source != NULL && span.source == pl_program_source(varied) &&
         span.start > pl_program_source(program)->length;
}
