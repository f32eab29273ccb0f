// SPDX-License-Identifier: GPL-3.0-or-later
// What was meant by a word that is no key: a key of a part without its part, or another word of
// the trade for the same thing.
#include "room.h"

#include <string.h>

/// Words of the trade that people write for a key. All are common practice, no source.
static const struct {
  const char *word;
  const char *key;
} words[] = {{"weight", "total-mass"},
             {"car-weight", "total-mass"},
             {"race-weight", "total-mass"},
             {"total-weight", "total-mass"},
             {"shock", "damper"},
             {"shocks", "damper"},
             {"shock-absorber", "damper"},
             {"absorber", "damper"},
             {"clearance", "ride-height"},
             {"ground-clearance", "ride-height"},
             {"toe-in", "toe"},
             {"castor", "caster"},
             {"shock-oil", "oil"},
             {"bump-stop", "bump-spacer"},
             {"roll-bar", "bar"},
             {"sway-bar", "bar"},
             {"anti-roll-bar", "bar"},
             {"spur-gear", "spur"},
             {"pinion-gear", "pinion"},
             {"esc", "speed-control"},
             {"temperature", "air"},
             {"air-temperature", "air"},
             {"track-temperature", "ground"},
             {"ground-temperature", "ground"},
             {"venue", "track-name"},
             {"tyre-compound", "tyre"},
             {"tire", "tyre"},
             {"tires", "tyre"}};

static const char *key_of_word(const char *word) {
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
    if (strcmp(words[i].word, word) == 0) return words[i].key;
  }
  return NULL;
}

/// "damper.bore" for "bore": the first part of a setup that has such a key.
static const char *key_with_part(struct pl_arena *arena, const char *key) {
  if (pl_setting_of(key, PL_BLOCK_SETUP) != PL_SETTING_COUNT) return NULL;
  for (int i = 0; i < PL_SETTING_COUNT; i++) {
    const struct pl_setting_row *const row = &pl_settings[i];
    if (row->owner == PL_BLOCK_SETUP && row->type == PL_TYPE_PART &&
        pl_setting_of(key, pl_block_kind_of(row->of)) != PL_SETTING_COUNT)
      return pl_format(arena, "%s.%s", row->key, key);
  }
  return NULL;
}

const char *pl_key_meant(struct pl_arena *arena, const char *path) {
  const char *const point = strchr(path, '.');
  if (point == NULL) {
    const char *const key = key_of_word(path);
    return key != NULL ? key : key_with_part(arena, path);
  }
  const char *const first = pl_copy_text(arena, path, (size_t)(point - path));
  if (pl_place_of(first) != PL_PLACE_COUNT || strcmp(first, "left") == 0 ||
      strcmp(first, "right") == 0) {
    const char *const key = pl_key_meant(arena, point + 1);
    if (key == NULL || strcmp(first, "car") == 0) return key;
    return pl_format(arena, "%s.%s", first, key);
  }
  const char *const part = key_of_word(first);
  if (part == NULL) return NULL;
  const enum pl_setting setting = pl_setting_of(part, PL_BLOCK_SETUP);
  if (setting == PL_SETTING_COUNT || pl_settings[setting].type != PL_TYPE_PART) return NULL;
  const enum pl_block_kind kind = pl_block_kind_of(pl_settings[setting].of);
  const char *const inner = pl_setting_of(point + 1, kind) != PL_SETTING_COUNT
                                ? point + 1
                                : pl_setting_nearest(point + 1, kind);
  return inner == NULL ? NULL : pl_format(arena, "%s.%s", part, inner);
}
