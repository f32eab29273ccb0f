// SPDX-License-Identifier: GPL-3.0-or-later
// Files: read whole and only when they are plain, written whole or not at all.
// For O_PATH, where there is one. NOLINTNEXTLINE(*-reserved-identifier,*-identifier-naming)
#define _GNU_SOURCE
#include "pitleaf/base.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <sha2.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/// A source whose bytes stand in the arena already, with a NUL behind them.
static struct pl_source *source_of(struct pl_arena *arena, const char *shown_path,
                                   const char *real_path, const char *bytes, size_t length) {
  struct pl_source *const source = pl_alloc(arena, sizeof *source);
  source->path = pl_copy_text(arena, shown_path, strlen(shown_path));
  source->real_path = pl_copy_text(arena, real_path, strlen(real_path));
  source->bytes = (const unsigned char *)bytes;
  source->length = length;
  pl_source_mark(arena, source);
  return source;
}

const char *pl_source_digest(struct pl_arena *arena, const struct pl_source *source) {
  char *const digest = pl_alloc(arena, SHA256_DIGEST_STRING_LENGTH);
  return SHA256Data(source->bytes, source->length, digest);
}

bool pl_source_same(const struct pl_source *a, const struct pl_source *b) {
  return a->length == b->length && memcmp(a->bytes, b->bytes, a->length) == 0;
}

struct pl_source *pl_source_of_bytes(struct pl_arena *arena, const char *shown_path,
                                     const unsigned char *bytes, size_t length) {
  return source_of(arena, shown_path, "", pl_copy_text(arena, (const char *)bytes, length),
                   length);
}

/// Reads up to `size` bytes; fewer at the end of the file. -1 on a fault.
static ssize_t read_up_to(int file, char *bytes, size_t size) {
  size_t have = 0;
  while (have < size) {
    const ssize_t got = read(file, bytes + have, size - have);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return -1;
    if (got == 0) break;
    have += (size_t)got;
  }
  return (ssize_t)have;
}

static enum pl_file_status status_of_mode(mode_t mode) {
  if (S_ISDIR(mode)) return PL_FILE_FOLDER;
  return S_ISREG(mode) ? PL_FILE_OK : PL_FILE_NOT_PLAIN;
}

static enum pl_file_status status_of_errno(int error) {
  if (error == ENOENT || error == ENOTDIR) return PL_FILE_MISSING;
  return (enum pl_file_status)(PL_FILE_UNREADABLE + error);
}

const char *pl_file_reason(enum pl_file_status status) {
  const int error = (int)status - (int)PL_FILE_UNREADABLE;
  return error > 0 ? strerror(error) : "what keeps it does not give it";
}

/// How a folder on the way is opened: it need only be passed, not read.
#ifdef O_PATH
#define PL_PASS O_PATH
#else
#define PL_PASS O_RDONLY
#endif

/// Opens one part of a path below the folder `at`, which is closed. No link is followed and no
/// FIFO's other end is waited for. Returns -1 with `errno` if it cannot be opened.
static int open_part(int at, const char *part, size_t length, bool is_last) {
  char name[NAME_MAX + 1];
  int file = -1;
  int error = ENAMETOOLONG;
  if (length < sizeof name) {
    memcpy(name, part, length);
    name[length] = '\0';
    const int how = is_last ? O_RDONLY | O_NONBLOCK : PL_PASS | O_DIRECTORY;
    do file = openat(at, name, how | O_NOFOLLOW | O_CLOEXEC);
    while (file < 0 && errno == EINTR);
    error = errno;
  }
  close(at);
  errno = error;
  return file;
}

/// Opens what a real path leads to, part by part, so that a link that was put in the place of
/// a folder since the path was worked out is not followed either. -1 with `errno` on a fault.
static int open_real(const char *real_path) {
  int file = -1;
  do file = open("/", PL_PASS | O_DIRECTORY | O_CLOEXEC);
  while (file < 0 && errno == EINTR);
  const char *part = real_path + strspn(real_path, "/");
  if (*part == '\0') return file;
  while (file >= 0 && *part != '\0') {
    const size_t length = strcspn(part, "/");
    const char *const next = part + length + strspn(part + length, "/");
    file = open_part(file, part, length, *next == '\0');
    part = next;
  }
  return file;
}

/// Opens a file, checks what it is, and reads up to `room` bytes of it. The arena is not
/// touched while the file is open: its failures jump.
static enum pl_file_status read_plain(const char *real_path, char *bytes, size_t room,
                                      size_t *got) {
  const int file = open_real(real_path);
  if (file < 0) return status_of_errno(errno);
  struct stat facts;
  enum pl_file_status status =
      fstat(file, &facts) == 0 ? status_of_mode(facts.st_mode) : status_of_errno(errno);
  if (status == PL_FILE_OK) {
    const ssize_t length = read_up_to(file, bytes, room);
    if (length < 0) status = status_of_errno(errno);
    *got = length < 0 ? 0 : (size_t)length;
  }
  close(file);
  return status;
}

enum pl_file_status pl_read_source(struct pl_arena *arena, const char *shown_path,
                                   const char *real_path, struct pl_source **source) {
  struct stat facts;
  if (stat(real_path, &facts) != 0) return status_of_errno(errno);
  const enum pl_file_status kind = status_of_mode(facts.st_mode);
  if (kind != PL_FILE_OK) return kind;
  if (facts.st_size > (off_t)PL_MOST_FILE_BYTES) return PL_FILE_TOO_LARGE;
  // One byte more than the file says it has: what fills it has more, because it grows or
  // because its size is not known beforehand, and is read anew into more room.
  for (size_t room = (size_t)facts.st_size + 1;; room = room < 4096 ? 8192 : room * 2) {
    if (room > PL_MOST_FILE_BYTES + 1) room = PL_MOST_FILE_BYTES + 1;
    char *const bytes = pl_alloc(arena, room + 1); // the last byte stays NUL
    size_t got = 0;
    const enum pl_file_status status = read_plain(real_path, bytes, room, &got);
    if (status != PL_FILE_OK) return status;
    if (got > PL_MOST_FILE_BYTES) return PL_FILE_TOO_LARGE;
    if (got == room) continue;
    *source = source_of(arena, shown_path, real_path, bytes, got);
    return PL_FILE_OK;
  }
}

enum pl_file_status pl_read_stream(struct pl_arena *arena, const char *shown_path, int file,
                                   struct pl_source **source) {
  struct pl_buffer buffer = {.arena = arena};
  char chunk[16384];
  for (;;) {
    const ssize_t got = read_up_to(file, chunk, sizeof chunk);
    if (got < 0) return status_of_errno(errno);
    if (got == 0) break;
    if (buffer.length + (size_t)got > PL_MOST_FILE_BYTES) return PL_FILE_TOO_LARGE;
    pl_buffer_add(&buffer, chunk, (size_t)got);
  }
  *source = source_of(arena, shown_path, "", pl_buffer_string(&buffer), buffer.length);
  return PL_FILE_OK;
}

enum pl_code pl_file_problem(enum pl_file_status status) {
  switch (status) {
  case PL_FILE_MISSING: return PL_FILE_IS_MISSING;
  case PL_FILE_FOLDER: return PL_FILE_IS_FOLDER;
  case PL_FILE_NOT_PLAIN: return PL_FILE_IS_NOT_PLAIN;
  case PL_FILE_TOO_LARGE: return PL_FILE_IS_TOO_LARGE;
  default: return PL_FILE_IS_UNREADABLE;
  }
}

const char *pl_real_path(struct pl_arena *arena, const char *path,
                         enum pl_file_status *status) {
  char *const found = realpath(path, NULL);
  if (found == NULL) {
    if (errno == ENOMEM) pl_out_of_memory(arena);
    *status = status_of_errno(errno);
    return NULL;
  }
  const size_t length = strlen(found);
  char fixed[PATH_MAX]; // so that nothing is owned by malloc when the arena jumps
  const bool fits = length < sizeof fixed;
  if (fits) memcpy(fixed, found, length + 1);
  free(found);
  *status = fits ? PL_FILE_OK : status_of_errno(ENAMETOOLONG);
  return fits ? pl_copy_text(arena, fixed, length) : NULL;
}

const char *pl_folder_of(struct pl_arena *arena, const char *path) {
  const char *const slash = strrchr(path, '/');
  if (slash == NULL) return ".";
  if (slash == path) return "/";
  return pl_copy_text(arena, path, (size_t)(slash - path));
}

const char *pl_join_path(struct pl_arena *arena, const char *folder, const char *path) {
  if (path[0] == '/' || strcmp(folder, ".") == 0) return path;
  const char *const stroke = folder[strlen(folder) - 1] == '/' ? "" : "/";
  return pl_format(arena, "%s%s%s", folder, stroke, path);
}

bool pl_same_file(const char *one, const char *other, int *error) {
  struct stat a;
  struct stat b;
  *error = 0;
  if (stat(one, &a) == 0 && stat(other, &b) == 0)
    return S_ISREG(a.st_mode) && a.st_dev == b.st_dev && a.st_ino == b.st_ino;
  if (status_of_errno(errno) != PL_FILE_MISSING) *error = errno;
  return false;
}

const char *pl_file_identity(struct pl_arena *arena, const char *path) {
  struct stat facts;
  if (stat(path, &facts) != 0 || !S_ISREG(facts.st_mode)) return NULL;
  return pl_format(arena, "%ju %ju", (uintmax_t)facts.st_dev, (uintmax_t)facts.st_ino);
}

bool pl_is_folder(const char *path) {
  struct stat facts;
  return stat(path, &facts) == 0 && S_ISDIR(facts.st_mode);
}

int pl_make_folder(const char *path) {
  struct stat facts;
  if (stat(path, &facts) == 0) return S_ISDIR(facts.st_mode) ? 0 : ENOTDIR;
  return errno == ENOENT && mkdir(path, 0777) == 0 ? 0 : errno;
}

bool pl_path_inside(const char *path, const char *folder) {
  const size_t length = strlen(folder);
  if (strncmp(path, folder, length) != 0) return false;
  if (length > 0 && folder[length - 1] == '/') return true;
  return path[length] == '\0' || path[length] == '/';
}

const char *pl_work_tree(struct pl_arena *arena, const char *real_folder) {
  static const char *const markers[] = {".git", ".hg", ".svn", ".bzr", ".fossil"};
  const char *folder = real_folder;
  for (;;) {
    for (size_t i = 0; i < sizeof markers / sizeof markers[0]; i++) {
      if (access(pl_join_path(arena, folder, markers[i]), F_OK) == 0) return folder;
    }
    if (strcmp(folder, "/") == 0 || strcmp(folder, ".") == 0) return NULL;
    folder = pl_folder_of(arena, folder);
  }
}

/// Has what was written reach the disk. What cannot be synced, such as a pipe, says EINVAL.
static int sync_file(int file) {
  while (fsync(file) != 0) {
    if (errno != EINTR) return errno == EINVAL ? 0 : errno;
  }
  return 0;
}

/// Writes all bytes and makes sure that they reached the disk. Returns 0 or errno.
static int write_and_close(int file, const unsigned char *bytes, size_t length) {
  int error = 0;
  for (size_t done = 0; done < length && error == 0;) {
    const ssize_t put = write(file, bytes + done, length - done);
    if (put > 0) done += (size_t)put;
    if (put < 0 && errno != EINTR) error = errno;
  }
  if (error == 0) error = sync_file(file);
  // Interrupted, it is closed all the same on Linux, and the bytes are on the disk.
  if (close(file) != 0 && errno != EINTR && error == 0) error = errno;
  return error;
}

/// Writes straight into what is no plain file (a pipe, a terminal, /dev/null).
static int write_special(const char *path, const unsigned char *bytes, size_t length) {
  int file = -1;
  do file = open(path, O_WRONLY | O_CLOEXEC);
  while (file < 0 && errno == EINTR);
  return file < 0 ? errno : write_and_close(file, bytes, length);
}

/// The permissions of a new file: those of the file it replaces, or the usual ones.
static mode_t mode_for(const struct stat *old) {
  if (old != NULL) return old->st_mode & 07777;
  const mode_t mask = umask(0);
  umask(mask);
  return (mode_t)0666 & ~mask;
}

/// A name beside `target`, for mkstemp: its own name with an end, or, where that is long, so
/// that the end might not fit, another.
static void name_temporary(char *name, size_t size, const char *target) {
  const char *const slash = strrchr(target, '/');
  const size_t folder = slash == NULL ? 0 : (size_t)(slash - target) + 1;
  const bool is_long = strlen(target + folder) > 100;
  if (is_long)
    snprintf(name, size, "%.*spitleaf.XXXXXX", (int)folder, target);
  else
    snprintf(name, size, "%s.XXXXXX", target);
}

/// Puts the bytes into a new file beside `target` and then that in its place. `old` is what it
/// replaces, or null.
static int replace_file(const char *target, const struct stat *old, const unsigned char *bytes,
                        size_t length) {
  char temporary[PATH_MAX + 16];
  name_temporary(temporary, sizeof temporary, target);
  const int file = mkstemp(temporary);
  if (file < 0) return errno;
  int error = fchmod(file, mode_for(old)) == 0 ? 0 : errno;
  const int write_error = write_and_close(file, bytes, length);
  if (error == 0) error = write_error;
  if (error == 0 && rename(temporary, target) != 0) error = errno;
  if (error != 0) unlink(temporary);
  return error;
}

/// Holds up the signals by which a user or the system ends a program, so that none comes
/// between the making of a temporary file and its end. `*before` is what was held up already.
static void hold_signals(sigset_t *before) {
  static const int signals[] = {SIGHUP, SIGINT, SIGQUIT, SIGTERM};
  sigset_t held;
  sigemptyset(&held);
  for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) sigaddset(&held, signals[i]);
  pthread_sigmask(SIG_BLOCK, &held, before);
}

int pl_write_whole(const char *path, const unsigned char *bytes, size_t length) {
  struct stat facts;
  const bool exists = stat(path, &facts) == 0;
  // What cannot be looked at might be anything: a link, a device.
  if (!exists && errno != ENOENT) return errno;
  if (exists && S_ISDIR(facts.st_mode)) return EISDIR;
  if (exists && !S_ISREG(facts.st_mode)) return write_special(path, bytes, length);
  char target[PATH_MAX]; // a link keeps pointing at the file, which is what gets replaced
  if (exists) {
    if (realpath(path, target) == NULL) return errno;
  } else {
    if (strlen(path) >= sizeof target) return ENAMETOOLONG;
    memcpy(target, path, strlen(path) + 1);
  }
  sigset_t before;
  hold_signals(&before);
  const int error = replace_file(target, exists ? &facts : NULL, bytes, length);
  pthread_sigmask(SIG_SETMASK, &before, NULL);
  return error;
}
