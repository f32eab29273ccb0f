// SPDX-License-Identifier: GPL-3.0-or-later
// Names: interning, a map from text to pointer, and the nearest of several names.
#include "pitleaf/base.h"

#include <string.h>

/// Open addressing with linear probing; the capacity is a power of two.
struct slot {
  const char *key;
  void *value;
  uint32_t length; ///< no text is longer than a file, which has far less
  uint32_t hash;
};

struct table {
  struct pl_arena *arena;
  struct slot *slots;
  size_t count;
  size_t capacity;
};

struct pl_names {
  struct table table;
};

struct pl_map {
  struct table table;
};

/// The lower half of FNV-1a, 64 bit, with its upper bits mixed into the lower ones: those that
/// choose a slot would else depend on nothing but the lower bits of each step, and names that
/// agree in them are soon made.
static uint32_t hash_of(const char *bytes, size_t length) {
  uint64_t hash = 0xcbf29ce484222325u;
  for (size_t i = 0; i < length; i++) hash = (hash ^ (unsigned char)bytes[i]) * 0x100000001b3u;
  hash = (hash ^ (hash >> 32)) * 0x9e3779b97f4a7c15u; // the golden ratio's, as a whole number
  return (uint32_t)(hash ^ (hash >> 32));
}

static struct slot *find(const struct table *table, const char *key, size_t length,
                         uint32_t hash) {
  size_t at = (size_t)hash & (table->capacity - 1);
  for (;;) {
    struct slot *const slot = &table->slots[at];
    if (slot->key == NULL) return slot;
    if (slot->hash == hash && slot->length == length && memcmp(slot->key, key, length) == 0)
      return slot;
    at = (at + 1) & (table->capacity - 1);
  }
}

/// Makes room so that at most half of the slots are taken. Each table has four times the slots
/// of the one before: what the arena keeps of those then comes to a third of it.
static void make_room(struct table *table) {
  if (table->count * 2 < table->capacity) return;
  const struct table old = *table;
  table->capacity = old.capacity == 0 ? 16 : old.capacity * 4;
  table->slots = pl_alloc_array(table->arena, table->capacity, sizeof *table->slots);
  for (size_t i = 0; i < old.capacity; i++) {
    const struct slot *const slot = &old.slots[i];
    if (slot->key != NULL) *find(table, slot->key, slot->length, slot->hash) = *slot;
  }
}

struct pl_names *pl_names_new(struct pl_arena *arena) {
  struct pl_names *const names = pl_alloc(arena, sizeof *names);
  names->table.arena = arena;
  return names;
}

const char *pl_intern(struct pl_names *names, const char *bytes, size_t length) {
  make_room(&names->table);
  const uint32_t hash = hash_of(bytes, length);
  struct slot *const slot = find(&names->table, bytes, length, hash);
  if (slot->key == NULL) {
    slot->key = pl_copy_text(names->table.arena, bytes, length);
    slot->length = (uint32_t)length;
    slot->hash = hash;
    names->table.count++;
  }
  return slot->key;
}

struct pl_map *pl_map_new(struct pl_arena *arena) {
  struct pl_map *const map = pl_alloc(arena, sizeof *map);
  map->table.arena = arena;
  return map;
}

void *pl_map_get(const struct pl_map *map, const char *key) {
  if (map->table.count == 0) return NULL;
  const size_t length = strlen(key);
  return find(&map->table, key, length, hash_of(key, length))->value;
}

void *pl_map_set(struct pl_map *map, const char *key, void *value) {
  make_room(&map->table);
  const size_t length = strlen(key);
  const uint32_t hash = hash_of(key, length);
  struct slot *const slot = find(&map->table, key, length, hash);
  void *const old = slot->value;
  if (slot->key == NULL) {
    slot->key = key;
    slot->length = (uint32_t)length;
    slot->hash = hash;
    map->table.count++;
  }
  slot->value = value;
  return old;
}

/// Longest word that is compared: keys are shorter, and the work stays bounded. A longer one is
/// told as unknown all the same, without a mend.
#define WORD_LIMIT 48

static size_t least(size_t a, size_t b) {
  return a < b ? a : b;
}

/// Optimal string alignment distance: insertions, deletions, changes, swaps of neighbours. It
/// is given up where it cannot come to less than `enough`, which is then returned.
static size_t distance(const char *a, size_t a_length, const char *b, size_t b_length,
                       size_t enough) {
  size_t rows[3][WORD_LIMIT + 1];
  size_t *before = rows[0];
  size_t *last = rows[1];
  size_t *now = rows[2];
  for (size_t j = 0; j <= b_length; j++) last[j] = j;
  for (size_t i = 1; i <= a_length; i++) {
    now[0] = i;
    size_t nearest = i;
    for (size_t j = 1; j <= b_length; j++) {
      const size_t change = a[i - 1] == b[j - 1] ? 0 : 1;
      now[j] = least(least(last[j] + 1, now[j - 1] + 1), last[j - 1] + change);
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        now[j] = least(now[j], before[j - 2] + 1);
      nearest = least(nearest, now[j]);
    }
    // No row has less than the one before: what a swap adds to, two rows back, is one less.
    if (nearest >= enough) return enough;
    size_t *const oldest = before;
    before = last;
    last = now;
    now = oldest;
  }
  return last[b_length];
}

static char lower(char c) {
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/// `degc` for `degC`.
static bool same_but_for_case(const char *a, const char *b) {
  while (*a != '\0' && lower(*a) == lower(*b)) {
    a++;
    b++;
  }
  return *a == *b;
}

const char *pl_nearest(const char *word, const char *const *candidates, size_t count) {
  const size_t length = strlen(word);
  if (length == 0 || length > WORD_LIMIT) return NULL;
  const size_t allowed = length <= 4 ? 1 : (length + 2) / 3;
  const char *best = NULL;
  size_t best_distance = allowed + 1;
  for (size_t i = 0; i < count; i++) {
    const size_t other = strlen(candidates[i]);
    if (other == 0 || other > WORD_LIMIT) continue;
    const size_t gap = other > length ? other - length : length - other;
    if (gap >= best_distance) continue;
    if (same_but_for_case(word, candidates[i])) return candidates[i];
    const size_t found = distance(word, length, candidates[i], other, best_distance);
    if (found < best_distance && found < other) {
      best_distance = found;
      best = candidates[i];
    }
  }
  return best;
}
