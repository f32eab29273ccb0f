// SPDX-License-Identifier: GPL-3.0-or-later
// A file's text in its layout, which was read again before anybody gets it.
#include "pitleaf/compare.h"

/// A file that is laid out.
struct subject {
  struct pl_session *session;
  struct pl_arena *arena;
  const struct pl_tree *tree;
  const char *folder;
};

/// The source that a text would be, under the file's own name.
static struct pl_source *source_of_text(const struct subject *subject, const char *text,
                                        size_t length) {
  const struct pl_source *const own = subject->tree->source;
  struct pl_source *const source =
      pl_source_of_bytes(subject->arena, own->path, (const unsigned char *)text, length);
  source->real_path = own->real_path;
  return source;
}

/// Read again, does the text say what the file says?
static bool says_the_same(const struct subject *subject, const struct pl_tidied *tidied) {
  if (tidied->text == NULL) return false;
  const struct pl_source *const source = source_of_text(subject, tidied->text, tidied->length);
  struct pl_diagnostics *const problems = pl_diagnostics_new(subject->arena);
  struct pl_names *const names = pl_names_new(subject->arena);
  const struct pl_tree *const tree = pl_parse(subject->arena, names, problems, source);
  const enum pl_tidy_order order =
      tidied->reordered ? PL_TIDY_ORDERS_SCOPES : PL_TIDY_KEEPS_ORDER;
  return problems->errors == 0 && pl_tree_same(subject->tree, tree, order);
}

/// With moved scopes every value has to come to the same.
static bool means_the_same(const struct subject *subject, const struct pl_tidied *tidied) {
  const struct pl_source *const own = subject->tree->source;
  struct pl_source *const before =
      source_of_text(subject, (const char *)own->bytes, own->length);
  struct pl_source *const after = source_of_text(subject, tidied->text, tidied->length);
  return pl_same_meaning(subject->session, subject->arena, before, after, subject->folder);
}

struct pl_tidied pl_lay_out(struct pl_session *session, struct pl_arena *arena,
                            const struct pl_tree *tree, const char *folder) {
  const struct subject subject = {session, arena, tree, folder};
  struct pl_tidied tidied = pl_tidy(arena, tree, PL_TIDY_ORDERS_SCOPES);
  if (tidied.reordered &&
      !(says_the_same(&subject, &tidied) && means_the_same(&subject, &tidied)))
    tidied = pl_tidy(arena, tree, PL_TIDY_KEEPS_ORDER);
  if (!says_the_same(&subject, &tidied)) tidied.text = NULL;
  return tidied;
}
