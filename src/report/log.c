// SPDX-License-Identifier: GPL-3.0-or-later
// An entry of a setup's log: the commit, what it changed, and what that did to the figures.
#include "room.h"

#include <string.h>

/// An entry being told.
struct telling {
  struct pl_arena *arena;
  struct pl_buffer *out;
  const struct pl_log_entry *entry;
  const struct pl_figure_choice *choice;
  const struct pl_text_style *style;
};

static bool is_chosen(const struct pl_figure_choice *choice, enum pl_figure figure) {
  for (size_t i = 0; i < choice->count; i++) {
    if (choice->figures[i] == figure) return true;
  }
  return false;
}

static void tell(struct telling *telling, const char *text) {
  add_wrapped(telling->out, text, 4, telling->style->width);
}

// ---------------------------------------------------------------- figures

/// The figures that moved, or "".
static const char *moved(struct telling *telling) {
  const struct pl_comparison *const comparison = telling->entry->comparison;
  struct pl_buffer words = {.arena = telling->arena};
  for (size_t i = 0; i < comparison->figure_count; i++) {
    const struct pl_change *const change = &comparison->changes[comparison->setting_count + i];
    if (!is_chosen(telling->choice, change->figure)) continue;
    pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : "; ",
                     pl_change_line(telling->arena, change));
  }
  return pl_buffer_string(&words);
}

static const char *value_at(struct telling *telling, enum pl_figure figure, int place) {
  const struct pl_figure_value *const value =
      pl_figure_get(telling->entry->figures, figure, (enum pl_place)place);
  if (!value->present) return "";
  return with_unit(telling->arena, pl_print_figure(telling->arena, figure, value->value,
                                                   telling->style->system));
}

/// "front wheel rate 0.31 N/mm; rear wheel rate 0.28 N/mm" for one figure, "" without a value.
static void add_values(struct telling *telling, struct pl_buffer *words,
                       enum pl_figure figure) {
  const struct pl_figure_row *const row = &pl_figure_rows[figure];
  unsigned told = 0;
  for (int place = (int)pl_first_place(row->scope); place <= (int)pl_last_place(row->scope);
       place++) {
    const char *const text = value_at(telling, figure, place);
    if (text[0] == '\0' || (told & 1u << (unsigned)place) != 0) continue;
    unsigned places = 0;
    for (int other = place; other <= (int)pl_last_place(row->scope); other++) {
      if (strcmp(value_at(telling, figure, other), text) == 0) places |= 1u << (unsigned)other;
    }
    told |= places;
    const bool whole = row->scope == PL_SCOPE_CAR;
    pl_buffer_format(words, "%s%s%s%s %s", words->length == 0 ? "" : "; ",
                     whole ? "" : pl_places_words(telling->arena, places), whole ? "" : " ",
                     pl_in_sentence(telling->arena, row->label), text);
  }
}

static const char *values(struct telling *telling) {
  struct pl_buffer words = {.arena = telling->arena};
  for (size_t i = 0; telling->entry->figures != NULL && i < telling->choice->count; i++)
    add_values(telling, &words, telling->choice->figures[i]);
  return pl_buffer_string(&words);
}

// ---------------------------------------------------------------- as text

/// What to say where the files changed and the setup did not.
static const char *no_difference(struct telling *telling) {
  const struct pl_log_entry *const entry = telling->entry;
  struct pl_buffer words = {.arena = telling->arena};
  for (size_t i = 0; i < entry->file_count; i++) {
    const bool is_old_name =
        entry->renamed_from != NULL && strcmp(entry->renamed_from, entry->files[i]) == 0;
    if (!is_old_name)
      pl_buffer_format(&words, "%s%s", words.length == 0 ? "" : ", ",
                       pl_text_safe(telling->arena, entry->files[i]));
  }
  if (words.length == 0) return "no value differs";
  return pl_format(telling->arena, "no value differs; what changed is the text of %s",
                   pl_buffer_string(&words));
}

static void tell_changes(struct telling *telling) {
  const struct pl_comparison *const comparison = telling->entry->comparison;
  for (size_t i = 0; i < comparison->setting_count; i++)
    tell(telling, pl_change_line(telling->arena, &comparison->changes[i]));
  const char *const figures = moved(telling);
  if (comparison->setting_count == 0 && figures[0] == '\0')
    tell(telling, no_difference(telling));
  if (figures[0] != '\0') tell(telling, pl_format(telling->arena, "→ %s", figures));
}

/// Lines that are made already, each with two blanks before it.
static void tell_lines(struct telling *telling, const char *lines) {
  for (const char *at = lines; *at != '\0';) {
    const size_t length = strcspn(at, "\n");
    const size_t indent = length < 2 ? length : 2;
    tell(telling, pl_copy_text(telling->arena, at + indent, length - indent));
    at += length + (at[length] == '\n' ? 1 : 0);
  }
}

static void tell_first(struct telling *telling) {
  const struct pl_log_entry *const entry = telling->entry;
  const char *const name =
      entry->setup == NULL
          ? ""
          : pl_format(telling->arena, ": \"%s\"", pl_text_safe(telling->arena, entry->setup));
  tell(telling, entry->is_cut ? pl_format(telling->arena,
                                          "the oldest version that this clone has%s", name)
                              : pl_format(telling->arena, "the first version%s", name));
  const char *const figures = values(telling);
  if (figures[0] != '\0') tell(telling, figures);
}

const char *pl_log_text(struct pl_arena *arena, const struct pl_log_entry *entry,
                        const struct pl_figure_choice *choice,
                        const struct pl_text_style *style) {
  struct pl_buffer out = {.arena = arena};
  struct telling telling = {arena, &out, entry, choice, style};
  const char *const bold = style->colour ? "\x1b[1m" : "";
  const char *const plain = style->colour ? "\x1b[0m" : "";
  if (entry->commit == NULL)
    pl_buffer_format(&out, "%snot committed%s\n", bold, plain);
  else
    pl_buffer_format(&out, "%s%s %s%s  %s\n", bold, entry->commit->brief, entry->commit->date,
                     plain, pl_text_safe(arena, entry->commit->subject));
  if (entry->renamed_from != NULL)
    tell(&telling,
         pl_format(arena, "renamed: %s → %s", pl_text_safe(arena, entry->renamed_from),
                   pl_text_safe(arena, entry->path)));
  if (entry->is_gone)
    tell(&telling, pl_format(arena, "%s is removed", pl_text_safe(arena, entry->path)));
  else if (entry->problem != NULL)
    tell(&telling, pl_format(arena, "it has a mistake: %s", entry->problem));
  else if (entry->comparison != NULL)
    tell_changes(&telling);
  else if (entry->lines != NULL)
    tell_lines(&telling, entry->lines);
  else
    tell_first(&telling);
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- as JSON

static json_t *json_lines(struct pl_arena *arena, const char *lines) {
  json_t *const list = pl_json_array(arena);
  for (const char *at = lines; *at != '\0';) {
    const size_t length = strcspn(at, "\n");
    const size_t indent = length < 2 ? length : 2;
    pl_json_add(arena, list,
                pl_json_text(arena, pl_copy_text(arena, at + indent, length - indent)));
    at += length + (at[length] == '\n' ? 1 : 0);
  }
  return list;
}

static json_t *json_moves(struct pl_arena *arena, const struct pl_log_entry *entry,
                          const struct pl_figure_choice *choice) {
  const struct pl_comparison *const comparison = entry->comparison;
  json_t *const list = pl_json_array(arena);
  for (size_t i = 0; i < comparison->figure_count; i++) {
    const struct pl_change *const change = &comparison->changes[comparison->setting_count + i];
    if (is_chosen(choice, change->figure)) pl_json_add(arena, list, json_change(arena, change));
  }
  return list;
}

static const char *what(const struct pl_log_entry *entry) {
  if (entry->is_gone) return "removed";
  if (entry->problem != NULL) return "mistake";
  if (entry->comparison != NULL || entry->lines != NULL) return "changed";
  return entry->is_cut ? "oldest" : "first";
}

const char *pl_log_json(struct pl_arena *arena, const struct pl_log_entry *entry,
                        const struct pl_figure_choice *choice) {
  json_t *const object = pl_json_object(arena);
  const struct pl_commit *const commit = entry->commit;
  pl_json_put(arena, object, "commit",
              commit == NULL ? json_null() : pl_json_text(arena, commit->id));
  if (commit != NULL) {
    pl_json_put(arena, object, "time", pl_json_text(arena, commit->time));
    pl_json_put(arena, object, "subject", pl_json_text(arena, commit->subject));
  }
  pl_json_put(arena, object, "file", pl_json_text(arena, entry->path));
  if (entry->renamed_from != NULL)
    pl_json_put(arena, object, "renamed-from", pl_json_text(arena, entry->renamed_from));
  pl_json_put(arena, object, "what", pl_json_text(arena, what(entry)));
  if (entry->setup != NULL)
    pl_json_put(arena, object, "setup", pl_json_text(arena, entry->setup));
  if (entry->problem != NULL)
    pl_json_put(arena, object, "problem", pl_json_text(arena, entry->problem));
  if (entry->lines != NULL)
    pl_json_put(arena, object, "lines", json_lines(arena, entry->lines));
  if (entry->comparison != NULL) {
    const struct pl_comparison *const comparison = entry->comparison;
    pl_json_put(arena, object, "settings",
                json_changes(arena, comparison->changes, comparison->setting_count));
    pl_json_put(arena, object, "figures", json_moves(arena, entry, choice));
  }
  const char *const text = json_text(arena, object);
  return pl_copy_text(arena, text, strlen(text) - 1);
}
