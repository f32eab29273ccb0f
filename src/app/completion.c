// SPDX-License-Identifier: GPL-3.0-or-later
// Completion: what may stand at each place of the command line, read from the tables of
// commands and options. Nothing here knows a shell.
#include "completion.h"

#include <string.h>

/// Words being gathered.
struct gathered {
  struct pl_arena *arena;
  const char **words;
  size_t count;
  size_t capacity;
};

static void add(struct gathered *gathered, const char *word) {
  gathered->words = pl_grow(gathered->arena, gathered->words, gathered->count,
                            &gathered->capacity, sizeof *gathered->words);
  gathered->words[gathered->count++] = word;
}

static void add_list(struct gathered *gathered, const char *list) {
  for (const char *at = list; *at != '\0';) {
    const size_t length = strcspn(at, " ");
    add(gathered, pl_copy_text(gathered->arena, at, length));
    at += length + strspn(at + length, " ");
  }
}

static struct offer offer_words(const struct gathered *gathered) {
  return (struct offer){OFFER_WORDS, gathered->words, gathered->count};
}

// ---------------------------------------------------------------- options

static void add_template(void *context, const char *name) {
  add(context, name);
}

static struct offer offer_templates(struct pl_arena *arena, const struct command *command) {
  struct gathered names = {.arena = arena};
  if (command->perform == command_scrutineer)
    add(&names, "certificate");
  else
    pl_template_each_built_in(arena, add_template, &names);
  return offer_words(&names);
}

static struct offer offer_figures(struct pl_arena *arena) {
  struct gathered keys = {.arena = arena};
  for (int i = 0; i < PL_FIGURE_COUNT; i++) add(&keys, pl_figure_rows[i].key);
  return (struct offer){OFFER_LIST, keys.words, keys.count};
}

struct offer offer_of_option(struct pl_arena *arena, const struct command *command,
                             const struct option *option) {
  struct gathered words = {.arena = arena};
  add_list(&words, strcmp(option->name, "as") == 0 ? command->formats
                                                   : words_of_argument(option->argument));
  if (words.count > 0) return offer_words(&words);
  if (strcmp(option->name, "template") == 0) return offer_templates(arena, command);
  if (strcmp(option->argument, "KEYS") == 0) return offer_figures(arena);
  static const struct {
    const char *argument;
    enum offer_kind kind;
  } kinds[] = {{"BASE", OFFER_LEAVES}, {"FILE", OFFER_FILES}, {"DIR", OFFER_FOLDERS}};
  for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
    if (strcmp(kinds[i].argument, option->argument) == 0)
      return (struct offer){.kind = kinds[i].kind};
  }
  return (struct offer){.kind = OFFER_NOTHING};
}

const char *help_of_option(struct pl_arena *arena, const struct command *command,
                           const struct option *option) {
  if (option->help[0] != '\0') return option->help;
  struct gathered words = {.arena = arena};
  add_list(&words, command->formats);
  struct pl_buffer out = {.arena = arena};
  for (size_t i = 0; i < words.count; i++) {
    const char *const joint = i == 0 ? "" : i + 1 == words.count ? " or " : ", ";
    pl_buffer_format(&out, "%s%s", joint, words.words[i]);
  }
  return pl_buffer_string(&out);
}

// ---------------------------------------------------------------- words

size_t kinds_of_words(const struct command *command) {
  size_t count = command->usage[0] == '\0' ? 0 : 1;
  for (const char *at = command->usage; *at != '\0'; at++) count += *at == ' ' ? 1 : 0;
  return count;
}

/// The usage's word of that number; the last one where there are fewer.
static const char *usage_word(struct pl_arena *arena, const struct command *command,
                              size_t which) {
  const char *at = command->usage;
  for (size_t i = 0; i < which && strchr(at, ' ') != NULL; i++) at = strchr(at, ' ') + 1;
  return pl_copy_text(arena, at, strcspn(at, " "));
}

static struct offer offer_keys(struct pl_arena *arena) {
  struct gathered keys = {.arena = arena};
  size_t count = 0;
  const char *const *const known = pl_describe_keys(arena, &count);
  for (size_t i = 0; i < count; i++) add(&keys, known[i]);
  add_list(&keys, "commands completion physics");
  return offer_words(&keys);
}

static struct offer offer_curves(struct pl_arena *arena) {
  struct gathered keys = {.arena = arena};
  for (int i = 0; i < PL_CURVE_COUNT; i++) add(&keys, pl_curve_rows[i].key);
  return offer_words(&keys);
}

struct offer offer_of_word(struct pl_arena *arena, const struct command *command,
                           size_t which) {
  const char *const word = usage_word(arena, command, which);
  if (which >= command->most_words) return (struct offer){.kind = OFFER_NOTHING};
  // Behind the values of a sweep there may be a second setting.
  if (strstr(word, "SCOPE.KEY") != NULL || strstr(word, "VALUES") != NULL)
    return (struct offer){.kind = OFFER_PATH};
  if (strstr(word, "KEY") != NULL) return offer_keys(arena);
  if (strstr(word, "NAME") != NULL && command->perform == command_curve)
    return offer_curves(arena);
  static const char *const files[] = {"FILE", "BASE", "RULES", "MEETING"};
  for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
    if (strstr(word, files[i]) != NULL) return (struct offer){.kind = OFFER_LEAVES};
  }
  return (struct offer){.kind = OFFER_NOTHING};
}

const char *keys_of_scope(struct pl_arena *arena, enum pl_scope scope) {
  struct pl_buffer out = {.arena = arena};
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (row->owner == PL_BLOCK_SETUP && row->scope == scope && row->type != PL_TYPE_HOLES)
      pl_buffer_format(&out, "%s%s", out.length == 0 ? "" : " ", row->key);
  }
  for (int i = 0; i < PL_FIGURE_COUNT; i++) {
    const struct pl_figure_row *const row = &pl_figure_rows[i];
    if (row->scope != scope) continue;
    const char *const known = pl_format(arena, " %s ", pl_buffer_string(&out));
    if (strstr(known, pl_format(arena, " %s ", row->key)) == NULL)
      pl_buffer_format(&out, " %s", row->key);
  }
  return pl_buffer_string(&out);
}
