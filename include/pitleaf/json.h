// SPDX-License-Identifier: GPL-3.0-or-later
// JSON documents whose values belong to an arena: none is lost where memory runs out, and none
// is missing from a document. The caller never gives a value back, nor its reference away.
#ifndef PITLEAF_JSON_H
#define PITLEAF_JSON_H

#include "pitleaf/base.h"

#include <jansson.h>

/// Hands a value over to the arena. Null, which the JSON library returns when it gets no
/// memory, gives up as the arena does.
json_t *pl_json_keep(struct pl_arena *arena, json_t *value);

/// What the JSON library's json_pack makes of its arguments. Values go in by `O`, since they
/// belong to the arena already.
#define PL_JSON_PACK(arena, ...) pl_json_keep((arena), json_pack(__VA_ARGS__))

json_t *pl_json_object(struct pl_arena *arena);
json_t *pl_json_array(struct pl_arena *arena);
/// A text. A byte that is no UTF-8, as the name of a file may have some, stands by its value as
/// on a terminal, "caf<E9>.leaf", so that the document is always valid.
json_t *pl_json_text(struct pl_arena *arena, const char *text);
/// A text of that length; null if it is no UTF-8.
json_t *pl_json_bytes(struct pl_arena *arena, const char *bytes, size_t length);
json_t *pl_json_integer(struct pl_arena *arena, long long number);
/// A number; null for what JSON has no number for (infinite, not a number).
json_t *pl_json_real(struct pl_arena *arena, double number);

/// Sets a key of an object, or adds to an array. A null value is left out.
void pl_json_put(struct pl_arena *arena, json_t *object, const char *key, json_t *value);
void pl_json_add(struct pl_arena *arena, json_t *array, json_t *value);

/// Reads a document; null with what is wrong with it in `*problem`.
json_t *pl_json_read(struct pl_arena *arena, const char *bytes, size_t length,
                     const char **problem);

/// The document as text; `flags` are the JSON library's.
const char *pl_json_print(struct pl_arena *arena, const json_t *document, size_t flags);

#endif
