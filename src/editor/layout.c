// SPDX-License-Identifier: GPL-3.0-or-later
// The document in the canonical layout: one edit, of the lines that change.
#include "room.h"

#include "pitleaf/compare.h"

/// Where two texts differ: from whole lines that are the same on to whole lines that are.
struct difference {
  size_t start;      ///< in both
  size_t before_end; ///< in the document
  size_t after_end;  ///< in the layout
};

static struct difference difference_of(const unsigned char *before, size_t before_length,
                                       const unsigned char *after, size_t after_length) {
  const size_t least = before_length < after_length ? before_length : after_length;
  struct difference found = {0, before_length, after_length};
  for (size_t at = 0; at < least && before[at] == after[at]; at++)
    if (before[at] == '\n') found.start = at + 1;
  const size_t most = least - found.start;
  for (size_t back = 0; back <= most; back++) {
    const size_t end = before_length - back;
    const size_t other = after_length - back;
    const bool at_line = (end == found.start || before[end - 1] == '\n') &&
                         (other == found.start || after[other - 1] == '\n');
    if (at_line) {
      found.before_end = end;
      found.after_end = other;
    }
    if (back == most || before[end - 1] != after[other - 1]) break;
  }
  return found;
}

static json_t *edits_to(struct pl_editor *editor, const struct document *document,
                        const struct pl_tidied *tidied) {
  const struct difference difference = difference_of(
      document->text, document->length, (const unsigned char *)tidied->text, tidied->length);
  if (difference.start == difference.before_end && difference.start == difference.after_end)
    return pl_json_array(editor->request);
  const char *const text = pl_copy_text(editor->request, tidied->text + difference.start,
                                        difference.after_end - difference.start);
  return PL_JSON_PACK(editor->request, "[{s:O,s:O}]", "range",
                      json_of_range(editor->request, &document->lines,
                                    (uint32_t)difference.start,
                                    (uint32_t)difference.before_end),
                      "newText", pl_json_text(editor->request, text));
}

/// Nothing for a document with mistakes of syntax: those are told anyway.
json_t *answer_formatting(struct pl_editor *editor, const json_t *params,
                          const char **problem) {
  (void)problem;
  struct document *const document =
      document_of(editor, text_in(json_object_get(params, "textDocument"), "uri"));
  if (document == NULL) return NULL;
  (void)program_of(editor, document); // makes the session
  struct pl_arena *const arena = editor->request;
  struct pl_source *const source =
      pl_source_of_bytes(arena, document->path, document->text, document->length);
  source->real_path = document->path;
  struct pl_diagnostics *const problems = pl_diagnostics_new(arena);
  const struct pl_tree *const tree = pl_parse(arena, pl_names_new(arena), problems, source);
  if (problems->errors > 0) return NULL;
  const struct pl_tidied tidied =
      pl_lay_out(editor->session, arena, tree, pl_folder_of(arena, document->path));
  return tidied.text == NULL ? NULL : edits_to(editor, document, &tidied);
}
