// SPDX-License-Identifier: GPL-3.0-or-later
// Problems as values: a row of the table, a place, and the words that fill the row's text.
#include "pitleaf/base.h"

#include <stdlib.h>
#include <string.h>

const struct pl_diagnostic_row pl_diagnostic_rows[PL_CODE_COUNT] = {
#define PL_DIAGNOSTIC(id, code, severity, text, mend) {code, severity, text, mend},
#include "pitleaf/diagnostics.def"
#undef PL_DIAGNOSTIC
};

/// The text with its places filled; "" if one of them has no word.
static const char *fill(struct pl_arena *arena, const char *text,
                        const struct pl_words *words) {
  struct pl_buffer buffer = {.arena = arena};
  for (const char *at = text; *at != '\0'; at++) {
    if (at[0] == '{' && at[1] >= '1' && at[1] <= '5' && at[2] == '}') {
      const char *const word = words->word[at[1] - '1'];
      if (word == NULL) return "";
      pl_buffer_text(&buffer, word);
      at += 2;
    } else {
      pl_buffer_add(&buffer, at, 1);
    }
  }
  return pl_buffer_string(&buffer);
}

/// The word that a mend offers in place of the span: the one behind "did you mean", with the
/// quotes of a name where it has them. Null where the mend offers none.
static const char *offered(struct pl_arena *arena, const char *mend,
                           const struct pl_words *words) {
  static const char opening[] = "did you mean ";
  if (strncmp(mend, opening, sizeof opening - 1) != 0) return NULL;
  const char *const at = mend + sizeof opening - 1; // `{2}`? or "{2}"?
  if (at[1] != '{' || at[2] < '1' || at[2] > '5') return NULL;
  const char *const word = words->word[at[2] - '1'];
  if (word == NULL) return NULL;
  return at[0] == '`' ? pl_copy_text(arena, word, strlen(word))
                      : pl_format(arena, "\"%s\"", word);
}

// ---------------------------------------------------------------- what stands already

/// A source with problems; `order` is that of the first one.
struct of_file {
  const struct pl_source *source;
  bool is_taken; ///< by a source, or by null: nowhere in particular
  size_t count;
  size_t order;
};

/// Two tables with open addressing, at most half full; their sizes are powers of two.
struct pl_problem_index {
  struct of_file *files;
  size_t file_count;
  size_t file_size;
  size_t *problems; ///< places in the list, counted from 1; 0: free
  size_t problem_size;
};

static size_t mixed(size_t hash, size_t more) {
  return (hash ^ more) * (size_t)0x9E3779B97F4A7C15u;
}

/// Where to look first in a table of `size`: the upper bits are the well mixed ones.
static size_t first_slot(size_t hash, size_t size) {
  return (hash ^ hash >> sizeof(size_t) * 4) & (size - 1);
}

static struct of_file *find_file(struct of_file *files, size_t size,
                                 const struct pl_source *source) {
  size_t at = first_slot(mixed(1, (size_t)(uintptr_t)source), size);
  while (files[at].is_taken && files[at].source != source) at = (at + 1) & (size - 1);
  return &files[at];
}

/// The source's entry, made at its first problem.
static struct of_file *file_of(const struct pl_diagnostics *list,
                               const struct pl_source *source) {
  struct pl_problem_index *const index = list->index;
  if (index->file_count * 2 >= index->file_size) {
    const size_t size = index->file_size == 0 ? 16 : index->file_size * 2;
    struct of_file *const files = pl_alloc_array(list->arena, size, sizeof *files);
    for (size_t i = 0; i < index->file_size; i++) {
      if (index->files[i].is_taken)
        *find_file(files, size, index->files[i].source) = index->files[i];
    }
    index->files = files;
    index->file_size = size;
  }
  struct of_file *const file = find_file(index->files, index->file_size, source);
  if (!file->is_taken) *file = (struct of_file){source, true, 0, index->file_count++};
  return file;
}

/// How many problems a file has so far.
static size_t count_in(const struct pl_diagnostics *list, const struct pl_source *source) {
  const struct pl_problem_index *const index = list->index;
  if (index->file_size == 0) return 0;
  return find_file(index->files, index->file_size, source)->count;
}

static bool same_problem(const struct pl_diagnostic *a, enum pl_code code, struct pl_span span,
                         const char *message) {
  return a->code == code && a->span.source == span.source && a->span.start == span.start &&
         a->span.end == span.end && strcmp(a->message, message) == 0;
}

/// The slot of this problem, free if it does not stand yet.
static size_t *find_problem(const struct pl_diagnostics *list, size_t *problems, size_t size,
                            enum pl_code code, struct pl_span span, const char *message) {
  size_t hash = mixed((size_t)code, (size_t)(uintptr_t)span.source);
  hash = mixed(mixed(hash, span.start), span.end);
  size_t at = first_slot(hash, size);
  while (problems[at] != 0 &&
         !same_problem(&list->items[problems[at] - 1], code, span, message))
    at = (at + 1) & (size - 1);
  return &problems[at];
}

/// The same in the list's own table, with room for one more.
static size_t *slot_of_problem(const struct pl_diagnostics *list, enum pl_code code,
                               struct pl_span span, const char *message) {
  struct pl_problem_index *const index = list->index;
  if (list->count * 2 >= index->problem_size) {
    const size_t size = index->problem_size == 0 ? 16 : index->problem_size * 2;
    size_t *const problems = pl_alloc_array(list->arena, size, sizeof *problems);
    for (size_t i = 0; i < list->count; i++) {
      const struct pl_diagnostic *const item = &list->items[i];
      *find_problem(list, problems, size, item->code, item->span, item->message) = i + 1;
    }
    index->problems = problems;
    index->problem_size = size;
  }
  return find_problem(list, index->problems, index->problem_size, code, span, message);
}

// ---------------------------------------------------------------- reporting

struct pl_diagnostics *pl_diagnostics_new(struct pl_arena *arena) {
  struct pl_diagnostics *const list = pl_alloc(arena, sizeof *list);
  list->arena = arena;
  list->index = pl_alloc(arena, sizeof *list->index);
  return list;
}

/// Room for one more problem at this place, or null if it stands already or its file has too
/// many; the last that a file gets says so, of the file as a whole.
static struct pl_diagnostic *make_room(struct pl_diagnostics *list, enum pl_code code,
                                       struct pl_span span, const char *message) {
  size_t *slot = slot_of_problem(list, code, span, message);
  if (*slot != 0) return NULL;
  const size_t in_file = count_in(list, span.source);
  if (in_file > PL_MOST_PROBLEMS) return NULL;
  list->items =
      pl_grow(list->arena, list->items, list->count, &list->capacity, sizeof *list->items);
  struct pl_diagnostic *const problem = &list->items[list->count];
  *problem = (struct pl_diagnostic){.code = code, .span = span, .message = message, .hint = ""};
  if (in_file == PL_MOST_PROBLEMS) {
    const char *const number = pl_format(list->arena, "%d", PL_MOST_PROBLEMS);
    problem->code = PL_TOO_MANY_PROBLEMS;
    problem->span = (struct pl_span){span.source, 0, 0};
    problem->message =
        fill(list->arena, pl_diagnostic_rows[PL_TOO_MANY_PROBLEMS].text, &PL_WORDS(number));
  }
  if (problem->code != code)
    slot = slot_of_problem(list, problem->code, problem->span, problem->message);
  *slot = ++list->count;
  file_of(list, span.source)->count++;
  if (pl_diagnostic_rows[problem->code].severity == PL_ERROR)
    list->errors++;
  else
    list->warnings++;
  return problem->code == code ? problem : NULL;
}

bool pl_diagnostics_full(const struct pl_diagnostics *list, const struct pl_source *source) {
  return count_in(list, source) > PL_MOST_PROBLEMS;
}

bool pl_mend_wanted(struct pl_diagnostics *list, const struct pl_source *source) {
  if (pl_diagnostics_full(list, source) || list->mends == PL_MOST_MENDS) return false;
  list->mends++;
  return true;
}

struct pl_diagnostic *pl_report(struct pl_diagnostics *list, enum pl_code code,
                                struct pl_span span, struct pl_words words) {
  list->reports++;
  // Not even the message is made for a file that is full: one could be nothing but mistakes.
  if (pl_diagnostics_full(list, span.source)) return NULL;
  const struct pl_diagnostic_row *const row = &pl_diagnostic_rows[code];
  const char *const message = fill(list->arena, row->text, &words);
  struct pl_diagnostic *const problem = make_room(list, code, span, message);
  if (problem == NULL) return NULL;
  problem->hint = fill(list->arena, row->mend, &words);
  problem->replacement = offered(list->arena, row->mend, &words);
  return problem;
}

void pl_report_again(struct pl_diagnostics *list, const struct pl_diagnostic *problem) {
  struct pl_diagnostic *const added =
      make_room(list, problem->code, problem->span, problem->message);
  if (added != NULL) *added = *problem;
}

void pl_relate(struct pl_diagnostic *problem, struct pl_span span, const char *message) {
  if (problem == NULL || span.source == NULL) return;
  if (problem->related_count == sizeof problem->related / sizeof problem->related[0]) return;
  problem->related[problem->related_count++] = (struct pl_related){span, message};
}

/// A problem with the keys it is sorted by.
struct ranked {
  const struct pl_diagnostic *problem;
  size_t file;
  size_t order;
  bool last; ///< of its file, whatever its place: there are too many
};

static int compare_ranked(const void *left, const void *right) {
  const struct ranked *const a = left;
  const struct ranked *const b = right;
  if (a->file != b->file) return a->file < b->file ? -1 : 1;
  if (a->last != b->last) return a->last ? 1 : -1;
  if (a->problem->span.start != b->problem->span.start)
    return a->problem->span.start < b->problem->span.start ? -1 : 1;
  return a->order < b->order ? -1 : a->order > b->order;
}

const struct pl_diagnostic **pl_diagnostics_sorted(const struct pl_diagnostics *list) {
  struct ranked *const ranked = pl_alloc_array(list->arena, list->count, sizeof *ranked);
  for (size_t i = 0; i < list->count; i++) {
    const struct pl_diagnostic *const item = &list->items[i];
    const bool last = item->code == PL_TOO_MANY_PROBLEMS;
    ranked[i] = (struct ranked){item, file_of(list, item->span.source)->order, i, last};
  }
  if (list->count > 1) qsort(ranked, list->count, sizeof *ranked, compare_ranked);
  const struct pl_diagnostic **const sorted =
      pl_alloc_array(list->arena, list->count + 1, sizeof *sorted);
  for (size_t i = 0; i < list->count; i++) sorted[i] = ranked[i].problem;
  return sorted;
}
