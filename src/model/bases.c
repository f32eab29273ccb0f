// SPDX-License-Identifier: GPL-3.0-or-later
// The chain of bases: the blocks that a block starts from become its layers.
#include "room.h"

#include <string.h>

/// Does `a` stand before `b`, in the order of the program's files?
static bool stands_before(const struct pl_program *program, const struct pl_block *a,
                          const struct pl_block *b) {
  if (a->source == b->source) return a->node->span.start < b->node->span.start;
  for (size_t i = 0; i < program->file_count; i++) {
    if (program->files[i]->source == a->source) return true;
    if (program->files[i]->source == b->source) return false;
  }
  return false;
}

/// These layers start from each other. The circle is told from the block that stands first, so
/// that it is the same one whichever block leads into it.
static void report_circle(const struct layered *layered, const struct layer *layers,
                          size_t count) {
  size_t first = 0;
  for (size_t i = 1; i < count; i++) {
    if (stands_before(layered->program, layers[i].block, layers[first].block)) first = i;
  }
  struct pl_buffer words = {.arena = layered->program->arena};
  for (size_t i = 0; i <= count; i++)
    pl_buffer_format(&words, "%s\"%s\"", i == 0 ? "" : " from ",
                     layers[(first + i) % count].block->name);
  pl_report(layered->problems, PL_FROM_CIRCLE, pl_bases(layers[first].block->node)->span,
            PL_WORDS(pl_buffer_string(&words)));
}

static void report_unknown_base(const struct layered *layered, const struct pl_block *block,
                                const struct pl_node *base) {
  const enum pl_block_kind kind = block->kind;
  const char *near = pl_mend_wanted(layered->problems, base->span.source)
                         ? nearest_block(layered->program, kind, base->name)
                         : NULL;
  if (near != NULL && strcmp(near, block->name) == 0) near = NULL; // none starts from itself
  pl_report(layered->problems, near == NULL ? PL_UNKNOWN_BASE_FAR : PL_UNKNOWN_BASE, base->span,
            PL_WORDS(pl_block_kind_name(kind), base->name, near));
}

/// A block and its bases, the newest first.
struct chain_of_bases {
  struct layer layers[PL_MOST_BASES + 1];
  size_t count;
};

/// Goes from the block to its base, and on to the oldest; what is wrong on the way is reported.
static void follow_bases(const struct layered *layered, const struct pl_block *block,
                         struct chain_of_bases *chain) {
  chain->count = 0;
  while (block != NULL) {
    chain->layers[chain->count++] = (struct layer){block};
    const struct pl_node *const base = pl_bases(block->node);
    if (base == NULL) return;
    layered->program->names_asked++;
    if (chain->count > PL_MOST_BASES) {
      pl_report(layered->problems, PL_TOO_MANY_BASES, base->span,
                PL_WORDS(pl_format(layered->program->arena, "%d", PL_MOST_BASES)));
      return;
    }
    const struct pl_block *const next =
        pl_program_find(layered->program, block->kind, base->name);
    if (next == NULL) report_unknown_base(layered, block, base);
    for (size_t i = 0; next != NULL && i < chain->count; i++) {
      if (chain->layers[i].block != next) continue;
      report_circle(layered, &chain->layers[i], chain->count - i);
      return;
    }
    block = next;
  }
}

void check_bases(const struct layered *layered, const struct pl_block *block) {
  struct chain_of_bases chain;
  follow_bases(layered, block, &chain);
}

void add_layers(struct layered *layered, const struct pl_block *block) {
  struct chain_of_bases chain;
  follow_bases(layered, block, &chain);
  const size_t before = layered->layer_count;
  struct layer *const layers =
      pl_alloc_array(layered->program->arena, before + chain.count, sizeof *layers);
  if (before > 0) memcpy(layers, layered->layers, before * sizeof *layers);
  for (size_t i = 0; i < chain.count; i++)
    layers[before + i] = chain.layers[chain.count - 1 - i];
  layered->layers = layers;
  layered->layer_count = before + chain.count;
}
