// SPDX-License-Identifier: GPL-3.0-or-later
// Findings: problems with their places worked out, which need no source any more.
#ifndef PITLEAF_REPORT_FINDINGS_H
#define PITLEAF_REPORT_FINDINGS_H

#include "room.h"

/// A place in a file, as the several readers of documents count.
struct mark {
  struct pl_position position;
  uint32_t offset;       ///< in bytes, from 0
  uint32_t utf16_column; ///< in UTF-16 units, from 1
};

/// A stretch of a file.
struct extent {
  const char *path;  ///< as shown to the user; null: nowhere in particular
  struct mark start; ///< line 0: the file as such
  struct mark end;
};

struct related_finding {
  struct extent at;
  const char *message;
};

/// A problem; its texts outlive the source.
struct finding {
  enum pl_code code;
  struct extent at;
  const char *message;
  const char *mend;        ///< "" where there is none
  const char *replacement; ///< null where there is none
  struct related_finding related[2];
  size_t related_count;
};

/// A file that was named, or that has a problem.
struct found_file {
  const char *path;
  const char *real_path; ///< "" where there is none
  const char *digest;    ///< "" where it could not be read
  size_t length;
  bool named;
  size_t errors;
  size_t warnings;
};

struct pl_findings {
  struct pl_arena *arena;
  const char *folder;
  struct found_file *files;
  size_t file_count;
  size_t file_capacity;
  struct pl_map *places; ///< of the files in the list, by their paths
  struct finding *items;
  size_t count;
  size_t capacity;
  struct pl_map *known; ///< what stands already
  size_t errors;
  size_t warnings;
};

/// A problem with its texts copied into the arena and its places worked out.
struct finding finding_of(struct pl_arena *arena, const struct pl_diagnostic *problem);

/// The file's place in the list; null stands for what is not there.
const struct found_file *file_found(const struct pl_findings *findings, const char *path);

#endif
