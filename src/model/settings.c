// SPDX-License-Identifier: GPL-3.0-or-later
// The settings table as an array, and looking things up in it and in the lists of places.
#include "room.h"

#include <math.h>
#include <string.h>

#define NONE NAN

const struct pl_setting_row pl_settings[PL_SETTING_COUNT] = {
#define PL_SETTING(id, key, owner, scope, type, of, digits, imperial, imperial_digits, least,  \
                   greatest, fallback, label, meaning)                                         \
  {key,    PL_BLOCK_##owner, PL_SCOPE_##scope, PL_TYPE_##type,                                 \
   of,     digits,           imperial,         imperial_digits,                                \
   least,  greatest,         fallback,         label,                                          \
   meaning},
#include "pitleaf/settings.def"
#undef PL_SETTING
};

static const char *const place_names[PL_PLACE_COUNT] = {
    "front-left", "front-right", "rear-left", "rear-right", "front", "rear", "car"};

const char *const written_scope_names[WRITTEN_COUNT] = {
    "car",   "all",        "front",       "rear",      "left",
    "right", "front-left", "front-right", "rear-left", "rear-right"};

static const char *const kind_names[PL_BLOCK_OWNER_COUNT] = {
    "oil",   "oil-scale", "spring",   "piston", "damper", "car", "setup",
    "rules", "meeting",   "template", "box",    "aim",    "",    "entry"};

// ---------------------------------------------------------------- places

const char *pl_place_name(enum pl_place place) {
  return place_names[place];
}

enum pl_place pl_place_of(const char *name) {
  for (int i = 0; i < PL_PLACE_COUNT; i++) {
    if (strcmp(place_names[i], name) == 0) return (enum pl_place)i;
  }
  return PL_PLACE_COUNT;
}

enum pl_place pl_place_at(enum pl_place place, enum pl_scope scope) {
  switch (scope) {
  case PL_SCOPE_CORNER: return place <= PL_REAR_RIGHT ? place : PL_PLACE_COUNT;
  case PL_SCOPE_AXLE:
    if (place <= PL_REAR_RIGHT) return place <= PL_FRONT_RIGHT ? PL_FRONT : PL_REAR;
    return place == PL_CAR ? PL_PLACE_COUNT : place;
  case PL_SCOPE_CAR: return PL_CAR;
  case PL_SCOPE_PART: break;
  }
  return PL_PLACE_COUNT;
}

enum pl_place pl_first_place(enum pl_scope scope) {
  switch (scope) {
  case PL_SCOPE_CORNER: return PL_FRONT_LEFT;
  case PL_SCOPE_AXLE: return PL_FRONT;
  case PL_SCOPE_CAR: return PL_CAR;
  case PL_SCOPE_PART: break;
  }
  return PL_PLACE_COUNT;
}

enum pl_place pl_last_place(enum pl_scope scope) {
  switch (scope) {
  case PL_SCOPE_CORNER: return PL_REAR_RIGHT;
  case PL_SCOPE_AXLE: return PL_REAR;
  case PL_SCOPE_CAR: return PL_CAR;
  case PL_SCOPE_PART: break;
  }
  return PL_FRONT_LEFT;
}

enum written_scope written_scope_of(const char *name) {
  for (int i = WRITTEN_ALL; i < WRITTEN_COUNT; i++) {
    if (strcmp(written_scope_names[i], name) == 0) return (enum written_scope)i;
  }
  return WRITTEN_COUNT;
}

int scope_narrowness(enum written_scope scope) {
  if (scope <= WRITTEN_ALL) return 0;
  return scope <= WRITTEN_RIGHT ? 1 : 2;
}

bool scope_covers(enum written_scope scope, enum pl_place place) {
  const bool front = place == PL_FRONT_LEFT || place == PL_FRONT_RIGHT || place == PL_FRONT;
  const bool rear = place == PL_REAR_LEFT || place == PL_REAR_RIGHT || place == PL_REAR;
  switch (scope) {
  case WRITTEN_TOP:
  case WRITTEN_ALL: return true;
  case WRITTEN_FRONT: return front;
  case WRITTEN_REAR: return rear;
  case WRITTEN_LEFT: return place == PL_FRONT_LEFT || place == PL_REAR_LEFT;
  case WRITTEN_RIGHT: return place == PL_FRONT_RIGHT || place == PL_REAR_RIGHT;
  case WRITTEN_FRONT_LEFT: return place == PL_FRONT_LEFT;
  case WRITTEN_FRONT_RIGHT: return place == PL_FRONT_RIGHT;
  case WRITTEN_REAR_LEFT: return place == PL_REAR_LEFT;
  case WRITTEN_REAR_RIGHT: return place == PL_REAR_RIGHT;
  case WRITTEN_COUNT: break;
  }
  return false;
}

// ---------------------------------------------------------------- kinds and keys

const char *pl_block_kind_name(enum pl_block_kind kind) {
  return kind_names[kind];
}

enum pl_block_kind pl_block_kind_of(const char *name) {
  for (int i = 0; i < PL_BLOCK_KIND_COUNT; i++) {
    if (strcmp(kind_names[i], name) == 0) return (enum pl_block_kind)i;
  }
  return PL_BLOCK_KIND_COUNT;
}

const char *kind_words(struct pl_arena *arena, enum pl_block_kind kind) {
  const char *const name = kind_names[kind];
  return pl_format(arena, "%s %s", strchr("aeiou", name[0]) != NULL ? "an" : "a", name);
}

/// Rows of each owner, counted by the compiler: the table holds them one owner after the other.
// NOLINTNEXTLINE(bugprone-macro-parentheses): the rows add up
#define PL_SETTING(id, key, owner, ...) +(PL_BLOCK_##owner == COUNTED)
enum {
#define COUNTED PL_BLOCK_OIL
  oil_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
#define COUNTED PL_BLOCK_SPRING
  spring_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
#define COUNTED PL_BLOCK_PISTON
  piston_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
#define COUNTED PL_BLOCK_DAMPER
  damper_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
#define COUNTED PL_BLOCK_SETUP
  setup_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
#define COUNTED PL_BLOCK_MEETING
  meeting_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
#define COUNTED PL_BLOCK_ENTRY
  entry_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
#define COUNTED PL_BLOCK_BOX
  box_rows = 0
#include "pitleaf/settings.def"
  ,
#undef COUNTED
  before_setup = oil_rows + spring_rows + piston_rows + damper_rows,
  before_entry = before_setup + setup_rows + meeting_rows,
  before_box = before_entry + entry_rows,
  before_aim = before_box + box_rows,
  aim_rows = PL_SETTING_COUNT - before_aim
};
#undef PL_SETTING

void settings_of_kind(enum pl_block_kind kind, enum pl_setting *first, size_t *count) {
  static const struct {
    int first, count;
  } spans[PL_BLOCK_OWNER_COUNT] = {
      [PL_BLOCK_OIL] = {0, oil_rows},
      [PL_BLOCK_SPRING] = {oil_rows, spring_rows},
      [PL_BLOCK_PISTON] = {oil_rows + spring_rows, piston_rows},
      [PL_BLOCK_DAMPER] = {oil_rows + spring_rows + piston_rows, damper_rows},
      [PL_BLOCK_CAR] = {before_setup, setup_rows},
      [PL_BLOCK_SETUP] = {before_setup, setup_rows},
      [PL_BLOCK_MEETING] = {before_setup + setup_rows, meeting_rows},
      [PL_BLOCK_ENTRY] = {before_entry, entry_rows},
      [PL_BLOCK_BOX] = {before_box, box_rows},
      [PL_BLOCK_AIM] = {before_aim, aim_rows}};
  *first = (enum pl_setting)spans[kind].first;
  *count = (size_t)spans[kind].count;
}

enum pl_setting pl_setting_of(const char *key, enum pl_block_kind owner) {
  enum pl_setting first;
  size_t count;
  settings_of_kind(owner, &first, &count);
  for (size_t i = 0; i < count; i++) {
    const char *const own = pl_settings[first + i].key;
    if (own[0] == key[0] && strcmp(own, key) == 0) return (enum pl_setting)(first + i);
  }
  return PL_SETTING_COUNT;
}

enum pl_setting pl_setting_meant(const char *key, enum pl_block_kind owner,
                                 const struct pl_node *value) {
  if (owner == PL_BLOCK_MEETING && strcmp(key, "track") == 0)
    return PL_SETTING_MEETING_TRACK_NAME;
  const enum pl_setting setting = pl_setting_of(key, owner);
  const bool is_text = value != NULL && value->kind == PL_NODE_TEXT;
  return setting == PL_SETTING_TRACK && is_text ? PL_SETTING_TRACK_NAME : setting;
}

const char *pl_setting_nearest(const char *key, enum pl_block_kind owner) {
  const char *keys[PL_SETTING_COUNT];
  size_t key_count = 0;
  enum pl_setting first;
  size_t count;
  settings_of_kind(owner, &first, &count);
  for (size_t i = 0; i < count; i++) {
    if (pl_settings[first + i].type != PL_TYPE_HOLES)
      keys[key_count++] = pl_settings[first + i].key;
  }
  return pl_nearest(key, keys, key_count);
}

enum pl_block_kind owner_of_key(const char *key, enum pl_block_kind lacking) {
  if (lacking == PL_BLOCK_MEETING && pl_setting_of(key, PL_BLOCK_ENTRY) != PL_SETTING_COUNT)
    return PL_BLOCK_ENTRY;
  if (lacking == PL_BLOCK_ENTRY && pl_setting_of(key, PL_BLOCK_MEETING) != PL_SETTING_COUNT)
    return PL_BLOCK_MEETING;
  for (int other = 0; other < PL_BLOCK_OWNER_COUNT; other++) {
    const enum pl_block_kind owner = (enum pl_block_kind)other;
    if (owner == PL_BLOCK_CAR) continue; // its keys are a setup's
    if (pl_setting_of(key, owner) != PL_SETTING_COUNT) return owner;
  }
  return PL_BLOCK_KIND_COUNT;
}

const char *key_words(struct pl_arena *arena, enum pl_block_kind kind) {
  struct pl_buffer words = {.arena = arena};
  enum pl_setting first;
  size_t count;
  settings_of_kind(kind, &first, &count);
  for (size_t i = 0; i < count; i++)
    pl_buffer_format(&words, "%s`%s`", i == 0 ? "" : ", ", pl_settings[first + i].key);
  return pl_buffer_string(&words);
}

bool pl_choice_has(const char *choices, const char *word) {
  const size_t length = strlen(word);
  const char *at = choices;
  while (*at != '\0') {
    const size_t this_length = strcspn(at, "|");
    if (this_length == length && strncmp(at, word, length) == 0) return true;
    at += this_length;
    if (*at == '|') at++;
  }
  return false;
}

const char *pl_choice_words(struct pl_arena *arena, const char *choices) {
  struct pl_buffer words = {.arena = arena};
  for (const char *at = choices; *at != '\0';) {
    const size_t length = strcspn(at, "|");
    const bool last = at[length] == '\0';
    pl_buffer_text(&words, at == choices ? "" : last ? " or " : ", ");
    pl_buffer_add(&words, at, length);
    at += length + (last ? 0 : 1);
  }
  return pl_buffer_string(&words);
}

const struct pl_unit *setting_unit(struct pl_session *session, enum pl_setting setting) {
  struct pl_unit *const unit = &session->units[setting];
  if (unit->factor == 0) *unit = pl_unit_named(pl_settings[setting].of);
  return unit;
}

struct pl_value fallback_value(struct pl_session *session, enum pl_setting setting) {
  const struct pl_setting_row *const row = &pl_settings[setting];
  if (isnan(row->fallback)) return value_none();
  const struct pl_unit *const unit = setting_unit(session, setting);
  struct pl_value value = value_number(pl_to_si(row->fallback, unit), unit->dimension);
  value.absolute = unit->absolute;
  return value;
}
