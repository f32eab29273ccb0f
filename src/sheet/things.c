// SPDX-License-Identifier: GPL-3.0-or-later
// What a template names: settings and figures by key, and what it calls them.
#include <string.h>
#include <utf8proc.h>

#include "room.h"

bool pl_things_have(const struct pl_things *things, const struct pl_thing *thing) {
  for (size_t i = 0; i < things->count; i++) {
    const struct pl_thing *const one = &things->items[i];
    if (one->kind == thing->kind && one->setting == thing->setting &&
        one->inner == thing->inner && one->figure == thing->figure)
      return true;
  }
  return false;
}

bool pl_thing_is_written(const struct pl_thing *thing) {
  return thing->kind != PL_THING_FIGURE;
}

/// The key behind `prefix` in a name, or null.
static const char *behind(const char *name, const char *prefix) {
  const size_t length = strlen(prefix);
  return strncmp(name, prefix, length) == 0 ? name + length : NULL;
}

struct pl_thing pl_thing_of_setting(enum pl_setting setting) {
  return (struct pl_thing){.kind = PL_THING_SETTING,
                           .setting = setting,
                           .inner = PL_SETTING_COUNT,
                           .figure = PL_FIGURE_COUNT};
}

struct pl_thing pl_thing_of_figure(enum pl_figure figure) {
  return (struct pl_thing){.kind = PL_THING_FIGURE,
                           .setting = PL_SETTING_COUNT,
                           .inner = PL_SETTING_COUNT,
                           .figure = figure};
}

/// What a part of the setup says: "damper.bore".
static bool inner_of(const char *name, struct pl_thing *thing) {
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (row->owner != PL_BLOCK_SETUP || row->type != PL_TYPE_PART) continue;
    const char *const rest = behind(name, row->key);
    if (rest == NULL || rest[0] != '.') continue;
    thing->inner = pl_setting_of(rest + 1, pl_block_kind_of(row->of));
    if (thing->inner == PL_SETTING_COUNT) continue;
    thing->kind = PL_THING_INNER;
    thing->setting = (enum pl_setting)i;
    return true;
  }
  return false;
}

/// A setting goes before a figure of the same key; `figure.` in front of it means the figure.
bool pl_thing_of_key(const char *name, struct pl_thing *thing) {
  *thing = pl_thing_of_setting(PL_SETTING_COUNT);
  if (strcmp(name, "extras") == 0 || strcmp(name, "ballast") == 0) {
    thing->kind = name[0] == 'e' ? PL_THING_EXTRAS : PL_THING_BALLAST;
    return true;
  }
  const char *const figure = behind(name, "figure.");
  thing->setting = figure != NULL ? PL_SETTING_COUNT : pl_setting_of(name, PL_BLOCK_SETUP);
  if (thing->setting != PL_SETTING_COUNT || inner_of(name, thing)) return true;
  thing->kind = PL_THING_FIGURE;
  thing->figure = pl_figure_of(figure != NULL ? figure : name);
  return thing->figure != PL_FIGURE_COUNT;
}

static void report_unknown(struct pl_diagnostics *problems, const char *name,
                           struct pl_span span) {
  const char *const near[] = {pl_setting_nearest(name, PL_BLOCK_SETUP),
                              pl_figure_nearest(name)};
  const char *found[2];
  size_t count = 0;
  for (size_t i = 0; i < 2; i++) {
    if (near[i] != NULL) found[count++] = near[i];
  }
  const char *const best = count == 0 ? NULL : pl_nearest(name, found, count);
  pl_report(problems, PL_TEMPLATE_THING, span, PL_WORDS(name, best));
}

struct pl_things pl_things_read(struct pl_arena *arena, const struct pl_node *value,
                                struct pl_diagnostics *problems) {
  struct pl_things things = {.items = NULL};
  size_t capacity = 0;
  for (const struct pl_node *one = value->children; one != NULL; one = one->next) {
    if (one->kind != PL_NODE_NAME) {
      pl_report(problems, PL_TEMPLATE_THING, one->span,
                PL_WORDS(pl_span_shown(arena, one->span)));
      continue;
    }
    struct pl_thing thing;
    if (!pl_thing_of_key(one->name, &thing)) {
      report_unknown(problems, one->name, one->span);
      continue;
    }
    things.items = pl_grow(arena, things.items, things.count, &capacity, sizeof *things.items);
    things.items[things.count++] = thing;
  }
  return things;
}

static bool is_label(const struct pl_node *node) {
  return node->kind == PL_NODE_TEXT && node->name[0] != '\0' &&
         strlen(node->name) <= PL_MOST_TITLE_BYTES;
}

void pl_label_read(struct pl_arena *arena, const struct pl_node *property,
                   struct pl_labels *labels, struct pl_diagnostics *problems) {
  const enum pl_figure figure = pl_figure_of(property->name);
  bool known = figure != PL_FIGURE_COUNT;
  for (int i = 0; i < PL_SETTING_COUNT; i++)
    known = known || strcmp(pl_settings[i].key, property->name) == 0;
  if (!known) {
    report_unknown(problems, property->name, pl_name_span(property));
    return;
  }
  const struct pl_node *const value = property->children;
  const bool both = value->kind == PL_NODE_ROW;
  const struct pl_node *const label = both ? value->children : value;
  const struct pl_node *const spoken = both ? label->next : label;
  if (!is_label(label) || !is_label(spoken) || (both && spoken->next != NULL)) {
    pl_report(problems, PL_TEMPLATE_VALUE, value->span,
              PL_WORDS(property->name,
                       "a short text in quotes, and another for sentences behind it if need be",
                       pl_span_shown(arena, value->span)));
    return;
  }
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    if (strcmp(pl_settings[i].key, property->name) != 0) continue;
    labels->of_setting[i] = label->name;
    labels->spoken_setting[i] = spoken->name;
  }
  if (figure == PL_FIGURE_COUNT) return;
  labels->of_figure[figure] = label->name;
  labels->spoken_figure[figure] = spoken->name;
}

const char *pl_thing_label(const struct pl_template *plan, const struct pl_thing *thing) {
  if (thing->kind == PL_THING_SETTING || thing->kind == PL_THING_INNER) {
    const enum pl_setting setting =
        thing->kind == PL_THING_INNER ? thing->inner : thing->setting;
    const char *const own = plan->labels.of_setting[setting];
    return own != NULL ? own : pl_settings[setting].label;
  }
  const char *const own = plan->labels.of_figure[thing->figure];
  return own != NULL ? own : pl_figure_rows[thing->figure].label;
}

/// What the template calls a setting within a sentence; other languages have capitals of their
/// own.
static const char *spoken_setting(struct pl_arena *arena, const struct pl_template *plan,
                                  enum pl_setting setting) {
  const char *const own = plan->labels.spoken_setting[setting];
  return own != NULL ? own : pl_in_sentence(arena, pl_settings[setting].label);
}

const char *pl_thing_spoken(struct pl_arena *arena, const struct pl_template *plan,
                            const struct pl_thing *thing) {
  if (thing->kind == PL_THING_SETTING) return spoken_setting(arena, plan, thing->setting);
  if (thing->kind == PL_THING_INNER)
    return pl_format(arena, "%s %s", spoken_setting(arena, plan, thing->setting),
                     spoken_setting(arena, plan, thing->inner));
  const char *const own = plan->labels.spoken_figure[thing->figure];
  return own != NULL ? own : pl_in_sentence(arena, pl_figure_rows[thing->figure].label);
}

const char *pl_thing_title(struct pl_arena *arena, const struct pl_template *plan,
                           const struct pl_thing *thing) {
  const char *const spoken = pl_thing_spoken(arena, plan, thing);
  utf8proc_int32_t first = 0;
  utf8proc_uint8_t capital[4];
  const utf8proc_ssize_t taken = utf8proc_iterate((const utf8proc_uint8_t *)spoken, -1, &first);
  if (taken <= 0) return spoken;
  const utf8proc_ssize_t length = utf8proc_encode_char(utf8proc_toupper(first), capital);
  return pl_format(arena, "%.*s%s", (int)length, (const char *)capital, spoken + taken);
}
