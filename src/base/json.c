// SPDX-License-Identifier: GPL-3.0-or-later
// JSON documents whose values belong to an arena.
#include "pitleaf/json.h"

#include <errno.h>
#include <math.h>
#include <string.h>
#include <utf8proc.h>

static void give_back(void *value) {
  json_decref(value);
}

json_t *pl_json_keep(struct pl_arena *arena, json_t *value) {
  if (value == NULL) pl_out_of_memory(arena);
  pl_arena_at_end(arena, give_back, value);
  return value;
}

json_t *pl_json_object(struct pl_arena *arena) {
  return pl_json_keep(arena, json_object());
}

json_t *pl_json_array(struct pl_arena *arena) {
  return pl_json_keep(arena, json_array());
}

/// Bytes of the character that the text begins with; 0 where that is no UTF-8.
static size_t character_at(const char *bytes, size_t length) {
  utf8proc_int32_t character = 0;
  const utf8proc_ssize_t size =
      utf8proc_iterate((const utf8proc_uint8_t *)bytes, (utf8proc_ssize_t)length, &character);
  return size > 0 ? (size_t)size : 0;
}

static bool is_utf8(const char *bytes, size_t length) {
  for (size_t at = 0; at < length;) {
    const size_t size = character_at(bytes + at, length - at);
    if (size == 0) return false;
    at += size;
  }
  return true;
}

/// The text; a byte that is no UTF-8, as the name of a file may have some, stands by its value,
/// as it does on a terminal: "caf<E9>.leaf".
static const char *valid(struct pl_arena *arena, const char *text) {
  const size_t length = strlen(text);
  if (is_utf8(text, length)) return text;
  struct pl_buffer out = {.arena = arena};
  for (size_t at = 0; at < length;) {
    const size_t size = character_at(text + at, length - at);
    if (size == 0)
      pl_buffer_format(&out, "<%02X>", (unsigned char)text[at]);
    else
      pl_buffer_add(&out, text + at, size);
    at += size == 0 ? 1 : size;
  }
  return pl_buffer_string(&out);
}

json_t *pl_json_text(struct pl_arena *arena, const char *text) {
  return pl_json_keep(arena, json_string(valid(arena, text)));
}

json_t *pl_json_bytes(struct pl_arena *arena, const char *bytes, size_t length) {
  return is_utf8(bytes, length) ? pl_json_keep(arena, json_stringn(bytes, length)) : NULL;
}

json_t *pl_json_integer(struct pl_arena *arena, long long number) {
  return pl_json_keep(arena, json_integer(number));
}

json_t *pl_json_real(struct pl_arena *arena, double number) {
  return isfinite(number) ? pl_json_keep(arena, json_real(number)) : NULL;
}

void pl_json_put(struct pl_arena *arena, json_t *object, const char *key, json_t *value) {
  if (value != NULL && json_object_set(object, valid(arena, key), value) != 0)
    pl_out_of_memory(arena);
}

void pl_json_add(struct pl_arena *arena, json_t *array, json_t *value) {
  if (value != NULL && json_array_append(array, value) != 0) pl_out_of_memory(arena);
}

/// Reads what becomes a value of the arena; null where it is no JSON.
static json_t *load(struct pl_arena *arena, const char *bytes, size_t length,
                    json_error_t *error) {
  errno = 0;
  json_t *const loaded = json_loadb(bytes, length, JSON_ALLOW_NUL, error);
  if (loaded != NULL) return pl_json_keep(arena, loaded);
  if (errno == ENOMEM) pl_out_of_memory(arena); // by which alone this is told from no JSON
  return NULL;
}

/// The library gathers each text in a buffer that grows, and leaves out a character, without a
/// word, where it cannot grow. So a text that is as long as the whole document goes before it:
/// if that is whole, there was room for every other.
static json_t *load_behind_text(struct pl_arena *arena, const char *bytes, size_t length) {
  json_error_t error;
  struct pl_buffer text = {.arena = arena};
  pl_buffer_text(&text, "[\"");
  char *const filling = pl_alloc(arena, length + 1);
  memset(filling, '-', length);
  pl_buffer_add(&text, filling, length);
  pl_buffer_text(&text, "\",");
  pl_buffer_add(&text, bytes, length);
  pl_buffer_text(&text, "]");
  const json_t *const both = load(arena, pl_buffer_string(&text), text.length, &error);
  if (both == NULL || json_array_size(both) != 2) return NULL;
  if (json_string_length(json_array_get(both, 0)) != length) pl_out_of_memory(arena);
  return json_array_get(both, 1);
}

json_t *pl_json_read(struct pl_arena *arena, const char *bytes, size_t length,
                     const char **problem) {
  json_error_t error = {.text = ""};
  json_t *const document = load_behind_text(arena, bytes, length);
  if (document != NULL) return document;
  (void)load(arena, bytes, length, &error); // alone, so that the words fit it
  *problem = pl_copy_text(arena, error.text, strlen(error.text));
  return NULL;
}

const char *pl_json_print(struct pl_arena *arena, const json_t *document, size_t flags) {
  // Counted first: a callback that adds to the arena might jump out of the library's work.
  const size_t length = json_dumpb(document, NULL, 0, flags);
  char *const text = pl_alloc(arena, length + 1);
  if (length == 0 || json_dumpb(document, text, length, flags) != length)
    pl_out_of_memory(arena);
  return text;
}
