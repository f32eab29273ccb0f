// SPDX-License-Identifier: GPL-3.0-or-later
// Names in rules: which setting or figure they mean, and at which place.
#include "room.h"

#include <string.h>

// ---------------------------------------------------------------- reading

bool is_place_word(const char *word) {
  return strcmp(word, "left") == 0 || strcmp(word, "right") == 0 ||
         pl_place_of(word) != PL_PLACE_COUNT;
}

/// A key without a place in front of it.
static bool read_key(struct pl_arena *arena, const char *key, struct name *name) {
  name->key = key;
  name->is_figure = false;
  name->figure = PL_FIGURE_COUNT;
  name->inner = PL_SETTING_COUNT;
  name->setting = pl_setting_of(key, PL_BLOCK_SETUP);
  if (name->setting != PL_SETTING_COUNT) return true;
  const char *const figure = strncmp(key, "figure.", 7) == 0 ? key + 7 : key;
  name->figure = pl_figure_of(figure);
  if (name->figure != PL_FIGURE_COUNT) {
    name->is_figure = true;
    return true;
  }
  const char *const point = strchr(key, '.');
  if (point == NULL) return false;
  name->setting =
      pl_setting_of(pl_copy_text(arena, key, (size_t)(point - key)), PL_BLOCK_SETUP);
  if (name->setting == PL_SETTING_COUNT || pl_settings[name->setting].type != PL_TYPE_PART)
    return false;
  name->inner = pl_setting_of(point + 1, pl_block_kind_of(pl_settings[name->setting].of));
  return name->inner != PL_SETTING_COUNT;
}

bool read_name(struct pl_arena *arena, const char *path, struct name *name) {
  name->place = "";
  const char *const point = strchr(path, '.');
  if (point != NULL) {
    const char *const word = pl_copy_text(arena, path, (size_t)(point - path));
    if (is_place_word(word)) {
      name->place = word;
      return read_key(arena, point + 1, name);
    }
  }
  return read_key(arena, path, name);
}

static bool begins_with_place(struct pl_arena *arena, const char *path) {
  const char *const point = strchr(path, '.');
  return point != NULL && is_place_word(pl_copy_text(arena, path, (size_t)(point - path)));
}

/// "four", which a rule writes 4; null for other words.
static const char *digits_of(const char *word) {
  static const char *const numbers[][2] = {{"one", "1"},   {"two", "2"},  {"three", "3"},
                                           {"four", "4"},  {"five", "5"}, {"six", "6"},
                                           {"eight", "8"}, {"ten", "10"}};
  for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
    if (strcmp(numbers[i][0], word) == 0) return numbers[i][1];
  }
  return NULL;
}

const char *nearest_name(struct pl_arena *arena, const char *path) {
  const char *const digits = digits_of(path);
  if (digits != NULL) return digits;
  const char *const meant = pl_key_meant(arena, path);
  if (meant != NULL) return meant;
  const char *const point = strchr(path, '.');
  if (point != NULL) {
    const char *const word = pl_copy_text(arena, path, (size_t)(point - path));
    const enum pl_setting part = pl_setting_of(word, PL_BLOCK_SETUP);
    if (part != PL_SETTING_COUNT && pl_settings[part].type == PL_TYPE_PART) {
      const char *const inner =
          pl_setting_nearest(point + 1, pl_block_kind_of(pl_settings[part].of));
      return inner == NULL ? NULL : pl_format(arena, "%s.%s", word, inner);
    }
    if (is_place_word(word)) {
      const char *const near = nearest_name(arena, point + 1);
      // One place stands in front of a name; of two, the nearer one is kept.
      if (near == NULL || begins_with_place(arena, point + 1)) return near;
      return pl_format(arena, "%s.%s", word, near);
    }
  }
  const char *found[2];
  size_t count = 0;
  const char *const setting = pl_setting_nearest(path, PL_BLOCK_SETUP);
  const char *const figure = pl_figure_nearest(path);
  if (setting != NULL) found[count++] = setting;
  if (figure != NULL) found[count++] = figure;
  return count == 0 ? NULL : pl_nearest(path, found, count);
}

// ---------------------------------------------------------------- what the tables say of it

struct pl_rule_thing thing_of_name(const struct name *name) {
  return (struct pl_rule_thing){.is_figure = name->is_figure,
                                .setting = name->setting,
                                .inner = name->inner,
                                .figure = name->figure};
}

bool pl_rule_thing_same(const struct pl_rule_thing *a, const struct pl_rule_thing *b) {
  return a->is_figure == b->is_figure && a->figure == b->figure && a->setting == b->setting &&
         a->inner == b->inner;
}

bool is_same_thing(const struct name *a, const struct name *b) {
  const struct pl_rule_thing one = thing_of_name(a);
  const struct pl_rule_thing other = thing_of_name(b);
  return pl_rule_thing_same(&one, &other);
}

const struct pl_setting_row *row_of_name(const struct name *name) {
  if (name->is_figure) return NULL;
  return &pl_settings[name->inner != PL_SETTING_COUNT ? name->inner : name->setting];
}

enum pl_scope scope_of_name(const struct name *name) {
  return name->is_figure ? pl_figure_rows[name->figure].scope
                         : pl_settings[name->setting].scope;
}

const char *unit_of_name(const struct name *name) {
  if (!is_number_name(name)) return "";
  return name->is_figure ? pl_figure_rows[name->figure].unit : row_of_name(name)->of;
}

bool is_number_name(const struct name *name) {
  if (name->is_figure) return strchr(pl_figure_rows[name->figure].unit, '|') == NULL;
  const enum pl_setting_type type = row_of_name(name)->type;
  return type == PL_TYPE_NUMBER || type == PL_TYPE_COUNT;
}

const char *choices_of_name(const struct name *name) {
  if (name->is_figure) return is_number_name(name) ? "" : pl_figure_rows[name->figure].unit;
  const struct pl_setting_row *const row = row_of_name(name);
  return row->type == PL_TYPE_CHOICE ? row->of : "";
}

// ---------------------------------------------------------------- places

static enum pl_place corner_at(bool rear, bool right) {
  if (rear) return right ? PL_REAR_RIGHT : PL_REAR_LEFT;
  return right ? PL_FRONT_RIGHT : PL_FRONT_LEFT;
}

static bool is_rear(enum pl_place place) {
  return place == PL_REAR || place == PL_REAR_LEFT || place == PL_REAR_RIGHT;
}

static bool is_right(enum pl_place place) {
  return place == PL_FRONT_RIGHT || place == PL_REAR_RIGHT;
}

/// The place that the word in front of a name means, seen from `here`.
static enum pl_place place_of_word(const char *word, enum pl_place here) {
  if (word[0] == '\0') return here;
  const bool left = strcmp(word, "left") == 0;
  if (left || strcmp(word, "right") == 0)
    return here == PL_CAR ? PL_PLACE_COUNT : corner_at(is_rear(here), !left);
  const enum pl_place named = pl_place_of(word);
  if ((named == PL_FRONT || named == PL_REAR) && here <= PL_REAR_RIGHT)
    return corner_at(named == PL_REAR, is_right(here));
  return named;
}

enum pl_place place_of_name(const struct name *name, enum pl_place here) {
  const enum pl_place seen = place_of_word(name->place, here);
  return seen == PL_PLACE_COUNT ? seen : pl_place_at(seen, scope_of_name(name));
}

/// What the names in an argument have in common.
struct argument {
  struct pl_arena *arena;
  bool of_corners;
  bool of_axles;
  const char *word; ///< the place in front of all of them; null: none was seen yet
  bool same_word;
};

static void look_into(struct argument *argument, const struct pl_node *node) {
  struct name name;
  if (node->kind == PL_NODE_NAME && read_name(argument->arena, node->name, &name)) {
    const enum pl_scope scope = scope_of_name(&name);
    if (scope == PL_SCOPE_CAR) return;
    argument->of_corners = argument->of_corners || scope == PL_SCOPE_CORNER;
    argument->of_axles = argument->of_axles || scope == PL_SCOPE_AXLE;
    if (argument->word == NULL) argument->word = name.place;
    argument->same_word = argument->same_word && strcmp(argument->word, name.place) == 0;
    return;
  }
  for (const struct pl_node *child = node->children; child != NULL; child = child->next)
    look_into(argument, child);
}

/// The corners that a word means, seen from `here`: the same as for a name behind it, but of an
/// axle or a side all corners.
static unsigned corners_of_word(const char *word, enum pl_place here) {
  const enum pl_place seen = place_of_word(word, here);
  if (seen == PL_PLACE_COUNT) return strcmp(word, "left") == 0 ? 0x5 : 0xA;
  if (seen == PL_FRONT) return 0x3;
  if (seen == PL_REAR) return 0xC;
  return seen <= PL_REAR_RIGHT ? 1u << seen : 0xF;
}

unsigned places_of_argument(struct pl_arena *arena, const struct pl_node *node,
                            enum pl_place here) {
  struct argument argument = {.arena = arena, .same_word = true};
  look_into(&argument, node);
  if (!argument.of_corners && !argument.of_axles) return 0;
  const unsigned corners = corners_of_word(argument.same_word ? argument.word : "", here);
  if (argument.of_corners) return corners;
  return ((corners & 0x3) != 0 ? 1u << PL_FRONT : 0) |
         ((corners & 0xC) != 0 ? 1u << PL_REAR : 0);
}
