// SPDX-License-Identifier: GPL-3.0-or-later
// What differs between two versions of a file, a line for each change: for git's diff and for
// the log of a setup.
#include "room.h"

#include <string.h>

/// A difference being told.
struct telling {
  struct pl_arena *arena;
  struct pl_buffer *out;
  struct pl_program *before;
  struct pl_program *after;
  const struct pl_text_style *style;
};

const char *pl_problem_line(struct pl_arena *arena, const struct pl_diagnostics *problems) {
  const struct pl_diagnostic **const sorted = pl_diagnostics_sorted(problems);
  for (size_t i = 0; i < problems->count; i++) {
    const struct pl_diagnostic *const problem = sorted[i];
    const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[problem->code];
    if (row->severity != PL_ERROR) continue;
    struct pl_buffer line = {.arena = arena};
    if (problem->span.source != NULL) {
      const struct pl_position position = pl_position(problem->span);
      pl_buffer_format(&line, "%s:%u:%u: ", pl_text_safe(arena, problem->span.source->path),
                       position.line, position.column);
    }
    pl_buffer_format(&line, "error[%s]: %s", row->code, pl_text_safe(arena, problem->message));
    if (problem->hint[0] != '\0')
      pl_buffer_format(&line, " (%s)", pl_text_safe(arena, problem->hint));
    if (problems->errors > 1) pl_buffer_format(&line, "; and %zu more", problems->errors - 1);
    return pl_buffer_string(&line);
  }
  return "";
}

// ---------------------------------------------------------------- changes of a setup

const char *pl_change_line(struct pl_arena *arena, const struct pl_change *change) {
  return pl_text_safe(arena, pl_change_sentence(arena, change, NULL));
}

/// "settled ride height +0.3 mm"; its places stand before it where they are not the cause's.
static const char *move_text(struct pl_arena *arena, const struct pl_change *move,
                             unsigned cause) {
  const char *const moved = pl_change_difference(arena, move);
  if (moved[0] == '\0') return pl_change_line(arena, move);
  const bool is_placed =
      move->places != cause && move->places != 1u << (unsigned)PL_CAR && move->places != 0xF;
  return pl_format(arena, "%s%s%s %s", is_placed ? move->where : "", is_placed ? " " : "",
                   pl_in_sentence(arena, move->label),
                   with_unit(arena, (struct pl_printed){moved, move->unit}));
}

/// Figures that are told of one change: more would hide the next one.
#define MOVES_TOLD 2

static const struct pl_effect *effect_of(const struct pl_comparison *comparison,
                                         const struct pl_change *change) {
  for (size_t i = 0; i < comparison->effect_count; i++) {
    if (comparison->effects[i].cause == change) return &comparison->effects[i];
  }
  return NULL;
}

/// The settings that differ, a line each, with the figures that each moves most.
static void tell_changes(struct telling *telling, const struct pl_comparison *comparison,
                         const char *indent) {
  for (size_t i = 0; i < comparison->setting_count; i++) {
    const struct pl_change *const change = &comparison->changes[i];
    const struct pl_effect *const effect = effect_of(comparison, change);
    const struct pl_change *moves[MOVES_TOLD];
    const size_t count = effect == NULL ? 0 : pl_greatest_moves(effect, moves, MOVES_TOLD);
    pl_buffer_format(telling->out, "%s%s", indent, pl_change_line(telling->arena, change));
    for (size_t j = 0; j < count; j++)
      pl_buffer_format(telling->out, "; %s",
                       move_text(telling->arena, moves[j], change->places));
    pl_buffer_text(telling->out, "\n");
  }
}

// ---------------------------------------------------------------- setups of both versions

/// The setups of a version's main file by their names, in their order.
struct setups {
  struct pl_arena *arena;
  const char **names;
  bool *is_paired;
  size_t count;
  size_t capacity;
};

static void gather(void *context, const struct pl_block *block, bool in_main) {
  struct setups *const setups = context;
  if (!in_main) return;
  setups->names = pl_grow(setups->arena, setups->names, setups->count, &setups->capacity,
                          sizeof *setups->names);
  setups->names[setups->count++] = block->name;
}

static struct setups setups_of(struct pl_arena *arena, const struct pl_program *program) {
  struct setups setups = {.arena = arena};
  pl_program_each(program, PL_BLOCK_SETUP, gather, &setups);
  setups.is_paired = pl_alloc_array(arena, setups.count, sizeof *setups.is_paired);
  return setups;
}

/// Checks every setup, so that its mistakes are among the program's problems.
static void check_all(struct pl_program *program, const struct setups *setups) {
  for (size_t i = 0; i < setups->count; i++) {
    const struct pl_setup *const setup = pl_program_setup(program, setups->names[i]);
    if (setup != NULL) pl_setup_check(setup);
  }
}

static void head(struct telling *telling, const char *name, const char *rest) {
  pl_buffer_format(telling->out, "  setup \"%s\"%s\n", pl_text_safe(telling->arena, name),
                   rest);
}

static void compare_pair(struct telling *telling, const char *old_name, const char *name,
                         bool with_head) {
  struct pl_figures *const base =
      pl_figures_new(pl_program_setup(telling->before, old_name), NULL);
  struct pl_figures *const own = pl_figures_new(pl_program_setup(telling->after, name), base);
  const struct pl_comparison *const comparison =
      pl_compare(telling->arena, base, own, telling->style->system);
  const bool renamed = strcmp(old_name, name) != 0;
  if (renamed)
    head(
        telling, old_name,
        pl_format(telling->arena, " is now called \"%s\"", pl_text_safe(telling->arena, name)));
  else if (with_head && comparison->setting_count > 0)
    head(telling, name, "");
  tell_changes(telling, comparison, with_head || renamed ? "    " : "  ");
}

/// A setup that the older version lacks: it is told by what it changes in its base.
static void tell_new(struct telling *telling, const char *name) {
  const struct pl_setup *const setup = pl_program_setup(telling->after, name);
  const char *const base_name = pl_setup_base(setup);
  if (base_name[0] == '\0') {
    head(telling, name, " is new");
    return;
  }
  head(telling, name,
       pl_format(telling->arena, " is new, from \"%s\"",
                 pl_text_safe(telling->arena, base_name)));
  struct pl_figures *const base =
      pl_figures_new(pl_program_setup(telling->after, base_name), NULL);
  struct pl_figures *const own = pl_figures_new(setup, base);
  tell_changes(telling, pl_compare(telling->arena, base, own, telling->style->system), "    ");
}

/// The places of setups by their names; where two have one name, of the first.
static struct pl_map *places_of(const struct setups *setups) {
  struct pl_map *const places = pl_map_new(setups->arena);
  for (size_t i = setups->count; i > 0; i--)
    pl_map_set(places, setups->names[i - 1], (void *)&setups->names[i - 1]);
  return places;
}

/// The only one that has no pair; the count if none has none, or several.
static size_t only_single(const struct setups *setups) {
  size_t found = setups->count;
  for (size_t i = 0; i < setups->count; i++) {
    if (setups->is_paired[i]) continue;
    if (found < setups->count) return setups->count;
    found = i;
  }
  return found;
}

static void tell_setups(struct telling *telling, struct setups *old, struct setups *now) {
  const bool several = old->count > 1 || now->count > 1;
  const struct pl_map *const places = places_of(old);
  for (size_t i = 0; i < now->count; i++) {
    const char *const *const place = pl_map_get(places, now->names[i]);
    if (place == NULL) continue;
    const size_t same = (size_t)(place - old->names);
    old->is_paired[same] = now->is_paired[i] = true;
    compare_pair(telling, now->names[i], now->names[i], several);
  }
  const size_t lost = only_single(old);
  const size_t found = only_single(now);
  if (lost < old->count && found < now->count) { // one name went and one came: it is the same
    old->is_paired[lost] = now->is_paired[found] = true;
    compare_pair(telling, old->names[lost], now->names[found], several);
  }
  for (size_t i = 0; i < now->count; i++) {
    if (!now->is_paired[i]) tell_new(telling, now->names[i]);
  }
  for (size_t i = 0; i < old->count; i++) {
    if (!old->is_paired[i]) head(telling, old->names[i], " is dropped");
  }
}

// ---------------------------------------------------------------- everything else

/// "oil "clear 400" viscosity", with the sign of a property's value in its place.
static void tell_line(struct telling *telling, const struct pl_line_change *change) {
  struct pl_arena *const arena = telling->arena;
  struct pl_buffer *const out = telling->out;
  const char *const gap = change->block[0] != '\0' && change->key[0] != '\0' ? " " : "";
  pl_buffer_format(out, "  %s%s%s", pl_text_safe(arena, change->block), gap,
                   pl_text_safe(arena, change->key));
  const char *const before = change->before == NULL ? "" : change->before;
  const char *const after = change->after == NULL ? "" : change->after;
  const char *const colon = change->block[0] == '\0' && change->key[0] == '\0' ? "" : ":";
  if (change->before == NULL)
    pl_buffer_format(out, " is new%s%s", after[0] == '\0' ? "" : ": ",
                     pl_text_safe(arena, after));
  else if (change->after == NULL)
    pl_buffer_format(out, " is dropped%s%s", before[0] == '\0' ? "" : ": ",
                     pl_text_safe(arena, before));
  else
    pl_buffer_format(out, "%s %s → %s", colon,
                     before[0] == '\0' ? "—" : pl_text_safe(arena, before),
                     after[0] == '\0' ? "—" : pl_text_safe(arena, after));
  pl_buffer_text(out, "\n");
}

static void tell_lines(struct telling *telling, bool as_written) {
  size_t count = 0;
  const struct pl_line_change *const changes =
      pl_compare_files(telling->arena, telling->before, telling->after, as_written,
                       telling->style->system, &count);
  for (size_t i = 0; i < count; i++) tell_line(telling, &changes[i]);
}

/// Says that a version has mistakes, with the first of them; false if it has none.
static bool tell_mistakes(struct telling *telling, const struct pl_program *program,
                          const char *which) {
  const struct pl_diagnostics *const problems = pl_program_problems(program);
  if (problems->errors == 0) return false;
  pl_buffer_format(telling->out, "  %s: %s\n", which,
                   pl_problem_line(telling->arena, problems));
  return true;
}

const char *pl_difference_text(struct pl_arena *arena, struct pl_program *before,
                               struct pl_program *after, const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  struct telling telling = {arena, &out, before, after, style};
  struct setups old = setups_of(arena, before);
  struct setups now = setups_of(arena, after);
  check_all(before, &old);
  check_all(after, &now);
  bool as_written = tell_mistakes(&telling, before, "the older version has a mistake");
  as_written |= tell_mistakes(&telling, after, "a mistake");
  if (!as_written) tell_setups(&telling, &old, &now);
  tell_lines(&telling, as_written);
  if (out.length > 0) return pl_buffer_string(&out);
  return pl_source_same(pl_program_source(before), pl_program_source(after))
             ? "  the text is the same\n"
             : "  only comments, blanks or the order of lines differ\n";
}
