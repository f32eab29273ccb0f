// SPDX-License-Identifier: GPL-3.0-or-later
// Whether two texts of one file come to the same values: every setting of every setup at every
// place, and of every car, by way of a setup that says nothing else.
#include "pitleaf/compare.h"

#include <string.h>

/// A text as a program, with a setup for each of its cars.
struct meant {
  struct pl_arena *arena;
  struct pl_program *program;
  const char **setups; ///< names
  size_t count;
  size_t capacity;
};

static void gather_setup(void *context, const struct pl_block *block, bool in_main) {
  struct meant *const meant = context;
  if (!in_main) return;
  meant->setups = pl_grow(meant->arena, meant->setups, meant->count, &meant->capacity,
                          sizeof *meant->setups);
  meant->setups[meant->count++] = block->name;
}

/// A car's values are asked for by a setup that names it, behind the text.
struct addition {
  struct pl_buffer *text;
  size_t count;
};

static void add_setup(void *context, const struct pl_block *block, bool in_main) {
  struct addition *const addition = context;
  if (!in_main || pl_titles(block->node) == NULL) return;
  const struct pl_span title = pl_titles(block->node)->span;
  pl_buffer_format(addition->text, "\nsetup \"\\u{7F7}%zu\" { car = %s }\n", addition->count++,
                   pl_span_text(addition->text->arena, title));
}

static struct pl_program *program_of(struct pl_session *session, struct pl_arena *arena,
                                     struct pl_source *source, const char *folder) {
  struct pl_program *const alone = pl_program_of_source(session, arena, source, folder);
  struct pl_buffer text = {.arena = arena};
  pl_buffer_add(&text, (const char *)source->bytes, source->length);
  struct addition addition = {.text = &text};
  pl_program_each(alone, PL_BLOCK_CAR, add_setup, &addition);
  if (addition.count == 0) return alone;
  struct pl_source *const longer = pl_source_of_bytes(
      arena, source->path, (const unsigned char *)pl_buffer_string(&text), text.length);
  longer->real_path = source->real_path;
  return pl_program_of_source(session, arena, longer, folder);
}

static struct meant meaning_of(struct pl_session *session, struct pl_arena *arena,
                               struct pl_source *source, const char *folder) {
  struct meant meant = {.arena = arena, .program = program_of(session, arena, source, folder)};
  pl_program_each(meant.program, PL_BLOCK_SETUP, gather_setup, &meant);
  return meant;
}

static bool same_resolved(const struct pl_resolved *a, const struct pl_resolved *b) {
  return a->given == b->given && a->assumed == b->assumed && a->touch_count == b->touch_count &&
         pl_value_equal(&a->value, &b->value);
}

static bool same_settings(const struct pl_setup *one, const struct pl_setup *other) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const int last = (int)pl_last_place(pl_settings[i].scope);
    for (int at = (int)pl_first_place(pl_settings[i].scope); at <= last; at++) {
      const enum pl_place place = (enum pl_place)at;
      if (!same_resolved(pl_setup_get(one, (enum pl_setting)i, place),
                         pl_setup_get(other, (enum pl_setting)i, place)))
        return false;
    }
  }
  return true;
}

static const struct pl_extra *extra_named(const struct pl_setup *setup, const char *name) {
  size_t count = 0;
  const struct pl_extra *const extras = pl_setup_extras(setup, &count);
  for (size_t i = 0; i < count; i++) {
    if (strcmp(extras[i].name, name) == 0) return &extras[i];
  }
  return NULL;
}

static bool same_extras(const struct pl_setup *one, const struct pl_setup *other) {
  size_t count = 0;
  size_t other_count = 0;
  const struct pl_extra *const extras = pl_setup_extras(one, &count);
  (void)pl_setup_extras(other, &other_count);
  bool same = count == other_count;
  for (size_t i = 0; same && i < count; i++) {
    const struct pl_extra *const like = extra_named(other, extras[i].name);
    same = like != NULL;
    for (size_t place = 0; same && place < PL_PLACE_COUNT; place++)
      same = same_resolved(&extras[i].at[place], &like->at[place]);
  }
  return same;
}

static bool same_ballast(const struct pl_setup *one, const struct pl_setup *other) {
  size_t count = 0;
  size_t other_count = 0;
  const struct pl_ballast *const left = pl_setup_ballast(one, &count);
  const struct pl_ballast *const right = pl_setup_ballast(other, &other_count);
  bool same = count == other_count;
  for (size_t i = 0; same && i < count; i++)
    same = strcmp(left[i].name, right[i].name) == 0 &&
           same_resolved(&left[i].mass, &right[i].mass) &&
           same_resolved(&left[i].at, &right[i].at);
  return same;
}

bool pl_same_meaning(struct pl_session *session, struct pl_arena *arena,
                     struct pl_source *before, struct pl_source *after, const char *folder) {
  const struct meant one = meaning_of(session, arena, before, folder);
  const struct meant other = meaning_of(session, arena, after, folder);
  bool same = one.count == other.count && one.count > 0;
  for (size_t i = 0; same && i < one.count; i++) {
    const struct pl_setup *const left = pl_program_setup(one.program, one.setups[i]);
    const struct pl_setup *const right = pl_program_setup(other.program, other.setups[i]);
    same = left != NULL && right != NULL && same_settings(left, right) &&
           same_extras(left, right) && same_ballast(left, right);
    if (!same) break;
    pl_setup_check(left);
    pl_setup_check(right);
  }
  const struct pl_diagnostics *const left = pl_program_problems(one.program);
  const struct pl_diagnostics *const right = pl_program_problems(other.program);
  return same && left->errors == 0 && right->errors == 0 && left->warnings == right->warnings;
}
