// SPDX-License-Identifier: GPL-3.0-or-later
// The command tidy: files in the one layout.
#include "room.h"

#include "pitleaf/syntax.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/// What a run of the command has done so far.
struct tally {
  size_t changed;
  size_t tidy;
  size_t wrong;
};

/// A file under way.
struct subject {
  struct run *run;
  struct pl_arena *arena; ///< of this file alone
  const char *path;
  const char *folder; ///< from which it includes
  const struct pl_source *source;
  struct pl_tree *tree;
};

// ---------------------------------------------------------------- reading

/// Reads the file, or standard input for a dash.
static enum pl_file_status read_subject(struct subject *subject) {
  const bool from_stream = strcmp(subject->path, "-") == 0;
  enum pl_file_status status = PL_FILE_OK;
  struct pl_source *source = NULL;
  const char *const real_path =
      pl_real_path(subject->arena, from_stream ? "." : subject->path, &status);
  if (real_path == NULL) return status;
  if (from_stream)
    status = pl_read_stream(subject->arena, "<standard input>", STDIN_FILENO, &source);
  else
    status = pl_read_source(subject->arena, subject->path, real_path, &source);
  subject->folder = from_stream ? real_path : pl_folder_of(subject->arena, real_path);
  subject->source = source;
  return status;
}

/// Reads and parses it. False after its problems were printed.
static bool open_subject(struct subject *subject) {
  struct run *const run = subject->run;
  struct pl_diagnostics *const problems = pl_diagnostics_new(subject->arena);
  const enum pl_file_status status = read_subject(subject);
  if (status != PL_FILE_OK || subject->source == NULL) {
    pl_report(problems, pl_file_problem(status), (struct pl_span){NULL, 0, 0},
              PL_WORDS(subject->path, "the working folder", pl_file_reason(status), "-"));
    put_diagnostics(run, subject->arena, problems, NULL);
    raise_status(run, STATUS_NOT_DONE);
    return false;
  }
  struct pl_names *const names = pl_names_new(subject->arena);
  subject->tree = pl_parse(subject->arena, names, problems, subject->source);
  if (problems->errors == 0) return true;
  put_diagnostics(run, subject->arena, problems, NULL);
  put_run_message(run, "pitleaf: `%s` stays as it is until it is mended",
                  subject->source->path);
  return false;
}

// ---------------------------------------------------------------- laying out

/// The file's text in its layout. A null text after a message.
static struct pl_tidied lay_out(const struct subject *subject) {
  struct run *const run = subject->run;
  struct pl_tidied tidied =
      pl_lay_out(run->session, subject->arena, subject->tree, subject->folder);
  if (tidied.text == NULL)
    complain(run,
             "`%s` stays as it is: laid out, it would not say the same. This is a mistake of "
             "the program, please report it",
             subject->path);
  if (tidied.length <= PL_MOST_FILE_BYTES) return tidied;
  complain(run, "`%s` would be larger than a file may be, and stays as it is", subject->path);
  tidied.text = NULL;
  return tidied;
}

// ---------------------------------------------------------------- telling

/// A line of a text without what ends it.
struct excerpt {
  const char *start;
  size_t length;
};

static struct excerpt line_at(const char *text, size_t length, size_t at) {
  const char *const end = memchr(text + at, '\n', length - at);
  return (struct excerpt){text + at, end == NULL ? length - at : (size_t)(end - (text + at))};
}

/// Blanks at the end of a line are not seen.
static size_t seen_length(struct excerpt line) {
  size_t length = line.length;
  while (length > 0 && strchr(" \t\r", line.start[length - 1]) != NULL) length--;
  return length;
}

/// What differs where both lines look the same.
static const char *unseen_difference(const struct pl_source *source,
                                     const struct pl_tidied *tidied, struct excerpt is,
                                     struct excerpt becomes) {
  const char *const end = (const char *)source->bytes + source->length;
  if (becomes.start == tidied->text + tidied->length) return "an empty line too many";
  if (is.start + is.length == end && is.length == becomes.length)
    return "the last line has no end";
  return "blanks at the line's end, or the kind of line end";
}

/// Longest piece of a line that is shown, in bytes.
#define SHOWN_LINE ((size_t)160)

static void put_excerpt(const struct subject *subject, const char *what, struct excerpt line) {
  size_t length = seen_length(line);
  const bool is_cut = length > SHOWN_LINE;
  if (is_cut) length = SHOWN_LINE;
  while (is_cut && ((unsigned char)line.start[length] & 0xC0) == 0x80) length--;
  const char *const shown = pl_copy_text(subject->arena, line.start, length);
  put_text(subject->run,
           pl_format(subject->arena, "  %-8s %s%s\n", what, pl_text_safe(subject->arena, shown),
                     is_cut ? "\u2026" : ""));
}

/// Says where a file first differs from its layout.
static void tell_difference(const struct subject *subject, const struct pl_tidied *tidied) {
  const char *const before = (const char *)subject->source->bytes;
  const size_t length = subject->source->length;
  size_t start = 0;
  size_t line = 1;
  for (size_t at = 0; at < length && at < tidied->length && before[at] == tidied->text[at];) {
    if (before[at++] != '\n') continue;
    start = at;
    line++;
  }
  const struct excerpt is = line_at(before, length, start);
  const struct excerpt becomes = line_at(tidied->text, tidied->length, start);
  put_text(subject->run, pl_format(subject->arena, "%s:%zu: not tidy\n",
                                   pl_text_safe(subject->arena, subject->source->path), line));
  const size_t seen = seen_length(is);
  if (seen == seen_length(becomes) && memcmp(is.start, becomes.start, seen) == 0) {
    put_text(subject->run, pl_format(subject->arena, "  %s\n",
                                     unseen_difference(subject->source, tidied, is, becomes)));
    return;
  }
  put_excerpt(subject, "is:", is);
  put_excerpt(subject, "becomes:", becomes);
}

/// Writes the text over the file, whole or not at all. Returns 0 or errno. A file that may not
/// be written is not replaced either.
static int write_over(const char *path, const struct pl_tidied *tidied) {
  if (access(path, W_OK) != 0) return errno;
  return pl_write_whole(path, (const unsigned char *)tidied->text, tidied->length);
}

/// Writes, prints or tells, as the options say.
static void put_layout(const struct subject *subject, const struct pl_tidied *tidied,
                       struct tally *tally) {
  struct run *const run = subject->run;
  const bool prints = run->options->to_stdout || strcmp(subject->path, "-") == 0;
  const bool is_tidy = tidied->length == subject->source->length &&
                       memcmp(tidied->text, subject->source->bytes, tidied->length) == 0;
  *(is_tidy ? &tally->tidy : &tally->changed) += 1;
  if (run->options->check_only) {
    if (is_tidy) return;
    tell_difference(subject, tidied);
    raise_status(run, STATUS_WRONG);
  } else if (prints) {
    put_text(run, tidied->text);
  } else if (!is_tidy) {
    const int error = write_over(subject->path, tidied);
    if (error == 0) return;
    tally->changed--;
    tally->wrong++;
    complain(run, "`%s` cannot be written: %s; --stdout prints its layout", subject->path,
             strerror(error));
  }
}

static void tidy_file(struct run *run, struct pl_arena *arena, const char *path,
                      struct tally *tally) {
  struct subject subject = {.run = run, .arena = arena, .path = path};
  struct pl_tidied tidied = {.text = NULL};
  if (open_subject(&subject)) tidied = lay_out(&subject);
  if (tidied.text == NULL)
    tally->wrong++;
  else
    put_layout(&subject, &tidied, tally);
}

static void put_tally(struct run *run, const struct tally *tally) {
  const size_t files = tally->changed + tally->tidy + tally->wrong;
  struct pl_buffer text = {.arena = run->arena};
  pl_buffer_format(&text, "%zu file%s: %zu %s, %zu tidy already", files, files == 1 ? "" : "s",
                   tally->changed, run->options->check_only ? "not tidy" : "laid out",
                   tally->tidy);
  if (tally->wrong > 0) pl_buffer_format(&text, ", %zu left as they are", tally->wrong);
  pl_buffer_text(&text, "\n");
  put_text(run, pl_buffer_string(&text));
}

void command_tidy(struct run *run) {
  const struct options *const options = run->options;
  struct tally tally = {0};
  bool prints = options->to_stdout;
  if (options->check_only && options->to_stdout) {
    complain(run, "--check and --stdout do not go together");
    return;
  }
  struct pl_arena *const arena = new_arena(run);
  for (size_t i = 0; i < options->word_count; i++) {
    prints = prints || strcmp(options->words[i], "-") == 0;
    tidy_file(run, arena, options->words[i], &tally);
    pl_arena_reset(arena);
  }
  if (options->check_only || !prints) put_tally(run, &tally);
}
