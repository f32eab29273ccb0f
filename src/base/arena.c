// SPDX-License-Identifier: GPL-3.0-or-later
// Memory: arenas whose failures unwind to a guard, and text that grows inside one.
// For madvise, where there is one. NOLINTNEXTLINE(*-reserved-identifier,*-identifier-naming)
#define _GNU_SOURCE
#include "pitleaf/base.h"

#include <setjmp.h>
#include <stdalign.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

struct pl_guard {
  jmp_buf *landing; ///< of the innermost pl_with_memory, null outside any
};

/// One block of an arena; the bytes that are handed out follow it.
struct block {
  struct block *next;
  size_t capacity;
  size_t used;
  alignas(max_align_t) unsigned char bytes[];
};

/// Something outside the arena that ends with what stands in it.
struct ending {
  struct ending *next;
  void (*end)(void *thing);
  void *thing;
};

struct pl_arena {
  struct pl_guard *guard;
  struct ending *endings; ///< the newest first
  struct block *blocks;   ///< the newest first
  struct block *spare;    ///< zeroed blocks of the usual size, left by a rewind
  size_t spare_count;
  size_t used;
};

// Under the address sanitizer whatever an arena has not handed out may not be touched, and
// there is a gap behind everything that it has: a step too far would otherwise stay in the
// block.
#ifdef __has_feature
#if __has_feature(address_sanitizer)
#define SANITIZED
#endif
#endif
#if defined SANITIZED || defined __SANITIZE_ADDRESS__
#include <sanitizer/asan_interface.h>
#define GAP                 ((size_t)16)
#define FORBID(bytes, size) __asan_poison_memory_region((bytes), (size))
#define ALLOW(bytes, size)  __asan_unpoison_memory_region((bytes), (size))
#else
#define GAP                 ((size_t)0)
#define FORBID(bytes, size) ((void)(bytes), (void)(size))
#define ALLOW(bytes, size)  ((void)(bytes), (void)(size))
// The sanitizers look for what is held in the allocator's memory alone.
#if defined MAP_ANONYMOUS && defined MADV_HUGEPAGE
#define LARGE_PAGES
#endif
#endif

/// Large enough that a whole setup needs a handful of blocks, small enough to waste little.
static const size_t block_size = (size_t)64 * 1024;

/// An arena that holds this much is a large file's: its next block is as large as all before
/// it, so that the system can give it large pages. A file of megabytes would else spend a
/// quarter of its time on having one small page after the other handed out.
static const size_t much = (size_t)2 << 20;
static const size_t largest_block = (size_t)32 << 20;

/// As many as a large setup needs; what a file of millions of lines took is given back.
static const size_t most_spare = 64;

#ifdef LARGE_PAGES
/// Of the usual machines; where it is another, the advice is worth less.
static const size_t large_page = (size_t)2 << 20;

static size_t mapped_size(size_t capacity) {
  return (sizeof(struct block) + capacity + large_page - 1) / large_page * large_page;
}

/// Zeroed memory as the system hands it out, at the start of a large page; null where it does
/// not suffice. What is not used of it costs nothing.
static void *map_pages(size_t size) {
  unsigned char *const bytes =
      mmap(NULL, size + large_page, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (bytes == MAP_FAILED) return NULL;
  const size_t before = large_page - (uintptr_t)bytes % large_page;
  munmap(bytes, before);
  if (before < large_page) munmap(bytes + before + size, large_page - before);
  madvise(bytes + before, size, MADV_HUGEPAGE); // without them it is slower, and no more
  return bytes + before;
}
#endif

/// A zeroed block, or null.
static struct block *block_new(size_t capacity) {
  if (capacity > SIZE_MAX / 4) return NULL; // a system of 32 bits might even give it
#ifdef LARGE_PAGES
  if (capacity >= much) return map_pages(mapped_size(capacity));
#endif
  return calloc(1, sizeof(struct block) + capacity);
}

static void block_free(struct block *block) {
#ifdef LARGE_PAGES
  if (block->capacity >= much) {
    munmap(block, mapped_size(block->capacity));
    return;
  }
#endif
  free(block);
}

struct pl_guard *pl_guard_new(void) {
  return calloc(1, sizeof(struct pl_guard));
}

void pl_guard_free(struct pl_guard *guard) {
  free(guard);
}

bool pl_with_memory(struct pl_guard *guard, void (*work)(void *context), void *context) {
  jmp_buf landing;
  jmp_buf *const outer = guard->landing;
  guard->landing = &landing;
  const bool whole = setjmp(landing) == 0;
  if (whole) work(context); // not reached again after a longjmp
  guard->landing = outer;
  return whole;
}

/// Gives up: back to the innermost pl_with_memory, which the contract asks every caller for.
_Noreturn static void out_of_memory(struct pl_guard *guard) {
  longjmp(*guard->landing, 1);
}

_Noreturn void pl_out_of_memory(const struct pl_arena *arena) {
  out_of_memory(arena->guard);
}

struct pl_arena *pl_arena_new(struct pl_guard *guard) {
  struct pl_arena *arena = calloc(1, sizeof *arena);
  if (arena == NULL) out_of_memory(guard);
  arena->guard = guard;
  return arena;
}

static void free_blocks(struct block *block) {
  while (block != NULL) {
    struct block *const next = block->next;
    block_free(block);
    block = next;
  }
}

/// Those that are newer than `last`.
static void run_endings(struct pl_arena *arena, const void *last) {
  for (; arena->endings != last; arena->endings = arena->endings->next)
    arena->endings->end(arena->endings->thing);
}

void pl_arena_free(struct pl_arena *arena) {
  if (arena == NULL) return;
  run_endings(arena, NULL);
  free_blocks(arena->blocks);
  free_blocks(arena->spare);
  free(arena);
}

struct pl_arena_mark pl_arena_mark(const struct pl_arena *arena) {
  return (struct pl_arena_mark){.block = arena->blocks,
                                .used_of_block =
                                    arena->blocks == NULL ? 0 : arena->blocks->used,
                                .ending = arena->endings,
                                .used = arena->used};
}

void pl_arena_rewind(struct pl_arena *arena, struct pl_arena_mark mark) {
  run_endings(arena, mark.ending);
  // Kept, since more of the same comes after it; the system's memory is slow to get anew.
  while (arena->blocks != mark.block) {
    struct block *const block = arena->blocks;
    arena->blocks = block->next;
    if (block->capacity != block_size || arena->spare_count == most_spare) {
      block_free(block);
      continue;
    }
    ALLOW(block->bytes, block->used);
    memset(block->bytes, 0, block->used);
    FORBID(block->bytes, block->used);
    block->used = 0;
    block->next = arena->spare;
    arena->spare = block;
    arena->spare_count++;
  }
  struct block *const block = arena->blocks;
  if (block != NULL) {
    unsigned char *const newer = block->bytes + mark.used_of_block;
    ALLOW(newer, block->used - mark.used_of_block);
    memset(newer, 0, block->used - mark.used_of_block);
    FORBID(newer, block->used - mark.used_of_block);
    block->used = mark.used_of_block;
  }
  arena->used = mark.used;
}

void pl_arena_reset(struct pl_arena *arena) {
  pl_arena_rewind(arena, (struct pl_arena_mark){.block = NULL});
}

size_t pl_arena_used(const struct pl_arena *arena) {
  return arena->used;
}

static size_t next_block_size(const struct pl_arena *arena) {
  if (arena->used < much) return block_size;
  return arena->used < largest_block ? arena->used : largest_block;
}

/// A zeroed block with room for `size` bytes becomes the arena's newest; false where memory
/// does not suffice.
static bool add_block(struct pl_arena *arena, size_t size) {
  const size_t usual = next_block_size(arena);
  const size_t capacity = size > usual ? size : usual;
  struct block *block = capacity == block_size ? arena->spare : NULL;
  if (block != NULL) {
    arena->spare = block->next;
    arena->spare_count--;
  } else {
    block = block_new(capacity);
    if (block == NULL) return false;
    block->capacity = capacity;
    FORBID(block->bytes, capacity);
  }
  block->next = arena->blocks;
  arena->blocks = block;
  return true;
}

/// The bytes that a thing of `size` takes, so that the next one is aligned.
static size_t rounded_size(const struct pl_arena *arena, size_t size) {
  const size_t unit = alignof(max_align_t);
  if (size > SIZE_MAX - unit - GAP) out_of_memory(arena->guard);
  return GAP + (size == 0 ? unit : (size + unit - 1) / unit * unit);
}

/// Room for a thing of `size` bytes; null where memory does not suffice.
static void *take(struct pl_arena *arena, size_t size) {
  const size_t rounded = rounded_size(arena, size);
  struct block *block = arena->blocks;
  if (block == NULL || block->capacity - block->used < rounded) {
    if (!add_block(arena, rounded)) return NULL;
    block = arena->blocks;
  }
  void *const result = block->bytes + block->used;
  block->used += rounded;
  arena->used += rounded;
  ALLOW(result, size);
  return result;
}

void *pl_alloc(struct pl_arena *arena, size_t size) {
  void *const result = take(arena, size);
  if (result == NULL) out_of_memory(arena->guard);
  return result;
}

void pl_arena_at_end(struct pl_arena *arena, void (*end)(void *thing), void *thing) {
  struct ending *const ending = take(arena, sizeof *ending);
  if (ending == NULL) {
    end(thing);
    out_of_memory(arena->guard);
  }
  *ending = (struct ending){arena->endings, end, thing};
  arena->endings = ending;
}

void *pl_alloc_array(struct pl_arena *arena, size_t count, size_t size) {
  if (size != 0 && count > SIZE_MAX / size) out_of_memory(arena->guard);
  return pl_alloc(arena, count * size);
}

/// Widens the newest thing in the arena where it stands; false if it is not that, or the block
/// is full.
static bool widen_in_place(struct pl_arena *arena, const void *items, size_t old_size,
                           size_t new_size) {
  struct block *const block = arena->blocks;
  const size_t old_rounded = rounded_size(arena, old_size);
  const size_t more = rounded_size(arena, new_size) - old_rounded;
  if (block == NULL || items == NULL || block->used < old_rounded) return false;
  if (block->bytes + block->used - old_rounded != items) return false;
  if (block->capacity - block->used < more) return false;
  block->used += more;
  arena->used += more;
  ALLOW(block->bytes + (block->used - more - old_rounded), new_size);
  return true;
}

void *pl_grow(struct pl_arena *arena, void *items, size_t count, size_t *capacity,
              size_t size) {
  if (count < *capacity) return items;
  const size_t larger = *capacity == 0 ? 8 : *capacity * 2;
  const size_t old_size = *capacity * size; // it fitted before
  if (*capacity > 0 && larger <= SIZE_MAX / size &&
      widen_in_place(arena, items, old_size, larger * size)) {
    *capacity = larger;
    return items;
  }
  void *const copy = pl_alloc_array(arena, larger, size);
  if (count > 0) memcpy(copy, items, count * size);
  *capacity = larger;
  return copy;
}

const char *pl_copy_text(struct pl_arena *arena, const char *bytes, size_t length) {
  char *const copy = pl_alloc(arena, length + 1);
  memcpy(copy, bytes, length);
  return copy;
}

static char *put(char *at, const char *bytes, size_t length) {
  memcpy(at, bytes, length);
  return at + length;
}

const char *pl_join(struct pl_arena *arena, const char *first, const char *second) {
  const size_t length = strlen(first);
  const size_t more = strlen(second);
  char *const text = pl_alloc(arena, length + more + 1);
  put(put(text, first, length), second, more);
  return text;
}

static const char *format_arguments(struct pl_arena *arena, const char *format, va_list list,
                                    size_t *length) {
  va_list again;
  va_copy(again, list);
  const int needed = vsnprintf(NULL, 0, format, list);
  *length = needed < 0 ? 0 : (size_t)needed;
  char *const text = pl_alloc(arena, *length + 1);
  if (needed > 0) vsnprintf(text, *length + 1, format, again);
  va_end(again);
  return text;
}

const char *pl_format_list(struct pl_arena *arena, const char *format, va_list list) {
  size_t length = 0;
  return format_arguments(arena, format, list, &length);
}

const char *pl_format(struct pl_arena *arena, const char *format, ...) {
  va_list list;
  size_t length = 0;
  va_start(list, format);
  const char *const text = format_arguments(arena, format, list, &length);
  va_end(list);
  return text;
}

void pl_buffer_add(struct pl_buffer *buffer, const char *bytes, size_t length) {
  if (buffer->capacity - buffer->length <= length) {
    size_t capacity = buffer->capacity == 0 ? 256 : buffer->capacity;
    while (capacity - buffer->length <= length) {
      if (capacity > SIZE_MAX / 2) out_of_memory(buffer->arena->guard);
      capacity *= 2;
    }
    char *const larger = pl_alloc(buffer->arena, capacity);
    if (buffer->length > 0) memcpy(larger, buffer->bytes, buffer->length);
    buffer->bytes = larger;
    buffer->capacity = capacity;
  }
  if (length > 0) memcpy(buffer->bytes + buffer->length, bytes, length);
  buffer->length += length;
  buffer->bytes[buffer->length] = '\0';
}

void pl_buffer_text(struct pl_buffer *buffer, const char *text) {
  pl_buffer_add(buffer, text, strlen(text));
}

void pl_buffer_repeat(struct pl_buffer *buffer, char byte, size_t count) {
  for (size_t i = 0; i < count; i++) pl_buffer_add(buffer, &byte, 1);
}

void pl_buffer_format(struct pl_buffer *buffer, const char *format, ...) {
  va_list list;
  size_t length = 0;
  va_start(list, format);
  const char *const text = format_arguments(buffer->arena, format, list, &length);
  va_end(list);
  pl_buffer_add(buffer, text, length);
}

const char *pl_buffer_string(struct pl_buffer *buffer) {
  return buffer->bytes == NULL ? "" : buffer->bytes;
}
