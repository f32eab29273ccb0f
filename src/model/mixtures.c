// SPDX-License-Identifier: GPL-3.0-or-later
// Parts made of others: blended oils and stacked springs. They hold what they are made of
// without steps between, so that mixtures of mixtures stay as small as what goes into them.
#include "room.h"

#include <string.h>

/// Adds as much of the text as the name has room for, whole characters only.
static void add_to_name(struct pl_buffer *name, bool *is_cut, const char *text) {
  if (*is_cut) return;
  const size_t length = strlen(text);
  const size_t room = PL_MOST_MIXTURE_BYTES - name->length;
  size_t taken = length < room ? length : room;
  while (taken < length && taken > 0 && ((unsigned char)text[taken] & 0xC0) == 0x80) taken--;
  pl_buffer_add(name, text, taken);
  if (taken == length) return;
  *is_cut = true;
  pl_buffer_text(name, "…");
}

static const struct pl_part *part_of_shares(struct evaluator *evaluator,
                                            enum pl_block_kind kind, const char *name,
                                            const struct pl_share *shares, size_t count,
                                            const struct pl_node *node) {
  struct pl_part *const part = part_new(evaluator, kind, name, node->span);
  part->shares = pl_alloc_array(evaluator->arena, count, sizeof *part->shares);
  memcpy(part->shares, shares, count * sizeof *shares);
  part->share_count = count;
  return part;
}

static bool same_part(const struct pl_part *a, const struct pl_part *b) {
  const struct pl_value left = {.kind = PL_VALUE_PART, .part = a};
  const struct pl_value right = {.kind = PL_VALUE_PART, .part = b};
  return pl_value_equal(&left, &right);
}

/// Adds an oil that is no blend itself to those of a blend; false if there is no room.
static bool add_oil(struct pl_share *oils, size_t *count, const struct pl_part *oil,
                    double share) {
  for (size_t i = 0; i < *count; i++) {
    if (!same_part(oils[i].part, oil)) continue;
    oils[i].share += share;
    return true;
  }
  if (*count == PL_MOST_BLEND_OILS) return false;
  oils[(*count)++] = (struct pl_share){oil, share};
  return true;
}

const struct pl_part *part_blended(struct evaluator *evaluator, const struct pl_share *shares,
                                   size_t count, const struct pl_node *node) {
  struct pl_share oils[PL_MOST_BLEND_OILS] = {{NULL, 0}};
  size_t oil_count = 0;
  bool fits = true;
  for (size_t i = 0; i < count; i++) {
    const struct pl_part *const part = shares[i].part;
    if (part->share_count == 0) fits = fits && add_oil(oils, &oil_count, part, shares[i].share);
    for (size_t j = 0; j < part->share_count; j++)
      fits = fits && add_oil(oils, &oil_count, part->shares[j].part,
                             shares[i].share * part->shares[j].share);
  }
  if (!fits) {
    pl_report(evaluator->problems, PL_BLEND_SIZE, node->span,
              PL_WORDS(pl_format(evaluator->arena, "%d", PL_MOST_BLEND_OILS)));
    return NULL;
  }
  struct pl_buffer name = {.arena = evaluator->arena};
  bool is_cut = false;
  for (size_t i = 0; i < oil_count; i++) {
    add_to_name(
        &name, &is_cut,
        pl_format(evaluator->arena, "%s%g %% ", i == 0 ? "" : " + ", oils[i].share * 100));
    add_to_name(&name, &is_cut, oils[i].part->name);
  }
  return part_of_shares(evaluator, PL_BLOCK_OIL, pl_buffer_string(&name), oils, oil_count,
                        node);
}

const struct pl_part *part_stacked(struct evaluator *evaluator, const struct pl_share *springs,
                                   size_t count, const struct pl_node *node) {
  struct pl_buffer name = {.arena = evaluator->arena};
  bool is_cut = false;
  for (size_t i = 0; i < count; i++) {
    if (i > 0) add_to_name(&name, &is_cut, " on ");
    add_to_name(&name, &is_cut, springs[i].part->name);
  }
  return part_of_shares(evaluator, PL_BLOCK_SPRING, pl_buffer_string(&name), springs, count,
                        node);
}
