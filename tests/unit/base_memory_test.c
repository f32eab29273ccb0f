// SPDX-License-Identifier: GPL-3.0-or-later
// Tests memory and names: arenas, what happens when memory runs out, growing text, interning,
// maps, and the nearest of several names.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "pitleaf/base.h"

#include <stdalign.h>
#include <string.h>

// The address sanitizer ends a program that asks for too much, unless it is told that null is
// an answer, too. This is the name by which it asks.
// NOLINTBEGIN(bugprone-reserved-identifier,readability-identifier-naming)
const char *__asan_default_options(void);
const char *__asan_default_options(void) {
  return "allocator_may_return_null=1";
}
/// May nobody touch this byte? Null without the sanitizer.
int __asan_address_is_poisoned(const volatile void *byte) __attribute__((weak));
// NOLINTEND(bugprone-reserved-identifier,readability-identifier-naming)

/// What a test works with inside pl_with_memory.
struct place {
  struct pl_guard *guard;
  struct pl_arena *arena;
  bool reached; ///< set behind what has to jump
};

static int new_place(void **state) {
  struct place *const place = calloc(1, sizeof *place);
  if (place == NULL) return -1;
  place->guard = pl_guard_new();
  *state = place;
  return place->guard == NULL ? -1 : 0;
}

static int free_place(void **state) {
  struct place *const place = *state;
  pl_arena_free(place->arena);
  pl_guard_free(place->guard);
  free(place);
  return 0;
}

/// Calls `body` with an arena; true if memory was enough.
static bool with_arena(void **state, void (*body)(void *context)) {
  struct place *const place = *state;
  return pl_with_memory(place->guard, body, place);
}

static void make_arena(struct place *place) {
  place->arena = pl_arena_new(place->guard);
}

// ---------------------------------------------------------------- arenas

static bool is_zero(const unsigned char *bytes, size_t length) {
  for (size_t i = 0; i < length; i++)
    if (bytes[i] != 0) return false;
  return true;
}

static void use_arena(void *context) {
  struct place *const place = context;
  make_arena(place);
  static const size_t sizes[] = {1, 0, 7, 16, 17, 4096, 65536, 200000, 3};
  unsigned char *given[sizeof sizes / sizeof sizes[0]];
  size_t sum = 0;
  for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
    given[i] = pl_alloc(place->arena, sizes[i]);
    assert_non_null(given[i]);
    assert_int_equal((uintptr_t)given[i] % alignof(max_align_t), 0);
    assert_true(is_zero(given[i], sizes[i]));
    memset(given[i], (int)i + 1, sizes[i]);
    sum += sizes[i];
  }
  for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) // none overlaps another
    for (size_t j = 0; j < sizes[i]; j++) assert_int_equal(given[i][j], i + 1);
  assert_true(pl_arena_used(place->arena) >= sum);
  pl_arena_reset(place->arena);
  assert_int_equal(pl_arena_used(place->arena), 0);
  for (int i = 0; i < 100; i++) assert_true(is_zero(pl_alloc(place->arena, 1000), 1000));
}

/// As for a file of many megabytes: the arena's blocks grow, and are given back.
static void fill_large_arena(void *context) {
  struct place *const place = context;
  enum { COUNT = 400 };
  static const size_t size = 100000;
  unsigned char *given[COUNT];
  make_arena(place);
  for (int round = 0; round < 2; round++) {
    const struct pl_arena_mark mark = pl_arena_mark(place->arena);
    for (int i = 0; i < COUNT; i++) {
      given[i] = pl_alloc(place->arena, i % 100 == 0 ? 30 * size : size);
      assert_int_equal((uintptr_t)given[i] % alignof(max_align_t), 0);
      assert_true(is_zero(given[i], size));
      memset(given[i], i % 251 + 1, size);
    }
    for (int i = 0; i < COUNT; i++)
      for (size_t j = 0; j < size; j += 99) assert_int_equal(given[i][j], i % 251 + 1);
    pl_arena_rewind(place->arena, mark);
    assert_int_equal(pl_arena_used(place->arena), 0);
  }
}

static void arena_grows_large(void **state) {
  assert_true(with_arena(state, fill_large_arena));
}

static void arena_gives_zeroed_memory(void **state) {
  assert_true(with_arena(state, use_arena));
}

static void count_end(void *thing) {
  ++*(int *)thing;
}

/// What is older than the mark stays, what is newer is forgotten and ended, and its memory
/// comes back zeroed: within one block, over many, with blocks larger than usual, again and
/// again.
static void rewind_arena(void *context) {
  struct place *const place = context;
  make_arena(place);
  char *const old = pl_alloc(place->arena, 100);
  memset(old, 'o', 100);
  int older = 0;
  pl_arena_at_end(place->arena, count_end, &older);
  const size_t used = pl_arena_used(place->arena);
  const struct pl_arena_mark mark = pl_arena_mark(place->arena);
  void *first = NULL;
  for (int round = 1; round <= 200; round++) {
    int newer = 0;
    for (size_t size = 1; size < (size_t)300 * 1024; size *= 3) {
      unsigned char *const bytes = pl_alloc(place->arena, size);
      if (size == 1) assert_true(round == 1 || bytes == first);
      if (size == 1) first = bytes;
      assert_true(is_zero(bytes, size));
      memset(bytes, 'n', size);
      pl_arena_at_end(place->arena, count_end, &newer);
    }
    pl_arena_rewind(place->arena, mark);
    assert_int_equal(newer, 12);
    assert_int_equal(pl_arena_used(place->arena), used);
  }
  assert_int_equal(older, 0);
  for (size_t i = 0; i < 100; i++) assert_int_equal(old[i], 'o');
  pl_arena_reset(place->arena);
  assert_int_equal(older, 1);
  assert_int_equal(pl_arena_used(place->arena), 0);
  place->reached = true;
}

static void arena_rewinds(void **state) {
  struct place *const place = *state;
  assert_true(with_arena(state, rewind_arena));
  assert_true(place->reached);
}

static bool is_forbidden(const unsigned char *byte) {
  return __asan_address_is_poisoned(byte) != 0;
}

static void step_out_of_arena(void *context) {
  struct place *const place = context;
  make_arena(place);
  const unsigned char *const one = pl_alloc(place->arena, 16);
  const unsigned char *const two = pl_alloc(place->arena, 5);
  assert_false(is_forbidden(one) || is_forbidden(one + 15));
  assert_false(is_forbidden(two) || is_forbidden(two + 4));
  assert_true(is_forbidden(one + 16));
  assert_true(is_forbidden(two + 5));
  size_t capacity = 0;
  unsigned char *const grown = pl_grow(place->arena, NULL, 0, &capacity, 1);
  const size_t first = capacity;
  assert_true(is_forbidden(grown + first));
  assert_ptr_equal(pl_grow(place->arena, grown, first, &capacity, 1), grown);
  assert_false(is_forbidden(grown + capacity - 1));
  assert_true(is_forbidden(grown + capacity));
  pl_arena_reset(place->arena);
  assert_true(is_forbidden(one) && is_forbidden(grown));
}

/// The sanitizer sees a step out of a thing, and a thing that was given back.
static void nobody_steps_out(void **state) {
  if (__asan_address_is_poisoned == NULL) skip();
  assert_true(with_arena(state, step_out_of_arena));
}

static void grow_array(void *context) {
  struct place *const place = context;
  make_arena(place);
  int *items = NULL;
  size_t capacity = 0;
  for (int i = 0; i < 1000; i++) {
    items = pl_grow(place->arena, items, (size_t)i, &capacity, sizeof *items);
    assert_true(capacity > (size_t)i);
    items[i] = i;
  }
  for (int i = 0; i < 1000; i++) assert_int_equal(items[i], i);
}

static void array_grows(void **state) {
  assert_true(with_arena(state, grow_array));
}

// ---------------------------------------------------------------- no memory

/// More than any system gives at once: almost half of the addresses, where 32 bits may give a
/// quarter. (Half and more would look negative to those who watch over memory.)
#define TOO_MUCH ((size_t)PTRDIFF_MAX - 65536)

static void ask_for_most(void *context) {
  struct place *const place = context;
  make_arena(place);
  (void)pl_alloc(place->arena, TOO_MUCH);
  place->reached = true;
}

static void ask_for_all(void *context) {
  struct place *const place = context;
  make_arena(place);
  (void)pl_alloc(place->arena, SIZE_MAX - 3); // cannot even be rounded up
  place->reached = true;
}

static void ask_for_product(void *context) {
  struct place *const place = context;
  make_arena(place);
  (void)pl_alloc_array(place->arena, SIZE_MAX / 8, 16); // overflows to a small number
  place->reached = true;
}

static void running_out_returns_false(void **state) {
  static void (*const bodies[])(void *context) = {ask_for_most, ask_for_all, ask_for_product};
  struct place *const place = *state;
  for (size_t i = 0; i < sizeof bodies / sizeof bodies[0]; i++) {
    assert_false(with_arena(state, bodies[i]));
    assert_false(place->reached);
    pl_arena_free(place->arena);
    place->arena = NULL;
  }
}

/// Fails in an arena of the call around it.
static void inner(void *context) {
  struct place *const place = context;
  (void)pl_alloc(place->arena, TOO_MUCH);
  place->reached = true;
}

/// The arena is whole behind the failure: what it gave out is there, and it gives out more.
static void outer(void *context) {
  struct place *const place = context;
  make_arena(place);
  unsigned char *const before = pl_alloc(place->arena, 6);
  memset(before, 42, 6);
  assert_false(pl_with_memory(place->guard, inner, place));
  assert_false(place->reached);
  for (size_t i = 0; i < 6; i++) assert_int_equal(before[i], 42);
  assert_non_null(pl_alloc(place->arena, 100));
}

static void inner_failure_stays_inside(void **state) {
  struct place *const place = *state;
  assert_true(with_arena(state, outer));
  pl_arena_free(place->arena);
  place->arena = NULL;
  assert_false(with_arena(state, ask_for_most)); // the next call lands where it began
}

// ---------------------------------------------------------------- text

static void build_text(void *context) {
  struct place *const place = context;
  make_arena(place);
  struct pl_buffer buffer = {.arena = place->arena};
  assert_string_equal(pl_buffer_string(&buffer), "");
  pl_buffer_add(&buffer, "a\0b", 3);
  assert_int_equal(buffer.length, 3);
  pl_buffer_format(&buffer, "%d %s", 42, "mm");
  pl_buffer_repeat(&buffer, '^', 300); // past the first room
  pl_buffer_text(&buffer, "end");
  assert_int_equal(buffer.length, 3 + 5 + 300 + 3);
  assert_memory_equal(buffer.bytes, "a\0b42 mm^^", 10);
  assert_string_equal(buffer.bytes + 308, "end");
  assert_string_equal(pl_format(place->arena, "%s-%03d", "hole", 7), "hole-007");
  assert_string_equal(pl_copy_text(place->arena, "front-left", 5), "front");
}

static void text_grows(void **state) {
  assert_true(with_arena(state, build_text));
}

// ---------------------------------------------------------------- names and maps

static void intern_names(void *context) {
  struct place *const place = context;
  make_arena(place);
  struct pl_names *const names = pl_names_new(place->arena);
  const char *const preload = pl_intern(names, "preload", 7);
  assert_string_equal(preload, "preload");
  assert_ptr_equal(pl_intern(names, "preload and more", 7), preload);
  assert_ptr_not_equal(pl_intern(names, "preloa", 6), preload);
  assert_ptr_not_equal(pl_intern(names, "a\0b", 3), pl_intern(names, "a\0c", 3));
  assert_ptr_equal(pl_intern(names, "", 0), pl_intern(names, "x", 0));
  const char *first[2000];
  for (int i = 0; i < 2000; i++) {
    const char *const name = pl_format(place->arena, "name-%d", i);
    first[i] = pl_intern(names, name, strlen(name));
  }
  for (int i = 0; i < 2000; i++) { // the same copies after the table has grown
    const char *const name = pl_format(place->arena, "name-%d", i);
    assert_ptr_equal(pl_intern(names, name, strlen(name)), first[i]);
  }
  assert_ptr_equal(pl_intern(names, "preload", 7), preload);
}

static void names_are_interned(void **state) {
  assert_true(with_arena(state, intern_names));
}

static void use_map(void *context) {
  struct place *const place = context;
  make_arena(place);
  struct pl_map *const map = pl_map_new(place->arena);
  static int values[3000];
  assert_null(pl_map_get(map, "key-0"));
  for (int i = 0; i < 3000; i++)
    assert_null(pl_map_set(map, pl_format(place->arena, "key-%d", i), &values[i]));
  for (int i = 0; i < 3000; i++)
    assert_ptr_equal(pl_map_get(map, pl_format(place->arena, "key-%d", i)), &values[i]);
  assert_null(pl_map_get(map, "key-3000"));
  assert_null(pl_map_get(map, ""));
  assert_ptr_equal(pl_map_set(map, "key-7", &values[0]), &values[7]);
  assert_ptr_equal(pl_map_get(map, "key-7"), &values[0]);
  assert_ptr_equal(pl_map_set(map, "key-7", NULL), &values[0]);
  assert_null(pl_map_get(map, "key-7"));
  assert_ptr_equal(pl_map_get(map, "key-8"), &values[8]);
}

static void map_keeps_values(void **state) {
  assert_true(with_arena(state, use_map));
}

// ---------------------------------------------------------------- the nearest name

static void nearest_name(void **state) {
  (void)state;
  static const char *const keys[] = {"ride-height", "preload", "camber", "toe",   "caster",
                                     "spring",      "oil",     "degC",   "piston"};
  static const char *const cases[][2] = {
      {"ride-heigth", "ride-height"}, // two neighbours swapped are one slip
      {"rideheight", "ride-height"},
      {"prelod", "preload"},
      {"pre-load", "preload"},
      {"cambre", "camber"},
      {"castor", "caster"},
      {"degc", "degC"}, // the same but for capitals goes first
      {"OIL", "oil"},
      {"oils", "oil"},
      {"tow", "toe"},
      {"preload", "preload"},
      {"wheelbase", NULL},
      {"xyz", NULL},
      {"to", "toe"},
      {"t", NULL}, // all of a short word is no slip
      {"", NULL},
      {"a-word-that-is-longer-than-any-key-of-the-language-is", NULL},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const char *const near = pl_nearest(cases[i][0], keys, sizeof keys / sizeof keys[0]);
    const char *const expected = cases[i][1];
    if (near == NULL || expected == NULL ? near != expected : strcmp(near, expected) != 0)
      fail_msg("nearest to %s is %s", cases[i][0], near == NULL ? "nothing" : near);
  }
  assert_null(pl_nearest("toe", NULL, 0));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(arena_gives_zeroed_memory, new_place, free_place),
      cmocka_unit_test_setup_teardown(arena_grows_large, new_place, free_place),
      cmocka_unit_test_setup_teardown(arena_rewinds, new_place, free_place),
      cmocka_unit_test_setup_teardown(nobody_steps_out, new_place, free_place),
      cmocka_unit_test_setup_teardown(array_grows, new_place, free_place),
      cmocka_unit_test_setup_teardown(running_out_returns_false, new_place, free_place),
      cmocka_unit_test_setup_teardown(inner_failure_stays_inside, new_place, free_place),
      cmocka_unit_test_setup_teardown(text_grows, new_place, free_place),
      cmocka_unit_test_setup_teardown(names_are_interned, new_place, free_place),
      cmocka_unit_test_setup_teardown(map_keeps_values, new_place, free_place),
      cmocka_unit_test(nearest_name),
  };
  return cmocka_run_group_tests_name("base, memory", tests, NULL, NULL);
}
