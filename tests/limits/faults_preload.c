// SPDX-License-Identifier: GPL-3.0-or-later
// Faults on demand: a shared object that is loaded before the libraries of a program
// (LD_PRELOAD), counts the calls of each kind and has one of them fail.
//
// PITLEAF_FAULT is "KIND N HOW": the Nth call of the kind (from 1 on; 0: none) fails with the
// errno HOW, or is half done (HOW = -1), or gets the signal S in the middle (HOW = -100 - S).
// A fourth word, "on", has all later calls of the kind fail as well. PITLEAF_FAULT_REPORT names
// a file that gets the counts, and how many blocks of memory were not given back, at the end.
// For RTLD_NEXT and fopencookie. NOLINTNEXTLINE(*-reserved-identifier,*-identifier-naming)
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <malloc.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include "faults.h"

// The C library calls its parameters by names of its own.
// NOLINTBEGIN(readability-inconsistent-declaration-parameter-name)

static struct {
  bool ready; ///< the program's own work has begun
  enum pl_fault kind;
  long which;
  int how;
  bool goes_on;
  bool has_failed;  ///< memory lacked once
  bool adds_a_page; ///< the PDF library does
  long calls[PL_FAULT_COUNT];
  long blocks; ///< handed out and not given back
  char report[4096];
} state;

// ---------------------------------------------------------------- the functions themselves

/// Memory for dlsym, which may ask for some before it has found who gives it out.
static _Alignas(16) unsigned char early[8192];
static size_t early_used;

static void *early_block(size_t size) {
  const size_t rounded = (size + 15) / 16 * 16;
  if (rounded > sizeof early - early_used) return NULL;
  early_used += rounded;
  return early + early_used - rounded;
}

static bool is_early(const void *block) {
  return (uintptr_t)block >= (uintptr_t)early &&
         (uintptr_t)block < (uintptr_t)(early + sizeof early);
}

/// The function of that name behind this object. A pointer to data cannot be cast to one to a
/// function in C; POSIX has it copied.
static void find_next(const char *name, void *function) {
  void *const found = dlsym(RTLD_NEXT, name);
  memcpy(function, &found, sizeof found);
}

#define NEXT_CALLED(symbol, name)                                                              \
  static __typeof__(name) *next;                                                               \
  if (next == NULL) find_next(symbol, &next)
#define NEXT(name) NEXT_CALLED(#name, name)

// Where a long has 32 bits, glibc has some functions twice: the headers call those whose sizes
// and times have 64 by names of their own.
#if defined __GLIBC__ && __WORDSIZE == 32
#define WIDE(name)       name "64"
#define WIDE_TIMES(name) "__" name "64_time64"
#else
#define WIDE(name)       name
#define WIDE_TIMES(name) name
#endif

// ---------------------------------------------------------------- which call fails

/// Is this the call that fails? A signal is not sent from here.
static bool fails(enum pl_fault kind) {
  if (!state.ready) return false;
  const long call = ++state.calls[kind];
  if (kind != state.kind || state.which == 0) return false;
  return call == state.which || (state.goes_on && call > state.which);
}

/// The call is one of those that only fail or are interrupted. True if it is not to be done.
static bool is_refused(enum pl_fault kind) {
  if (!fails(kind)) return false;
  if (state.how <= -100) {
    raise(-100 - state.how);
    return false;
  }
  if (state.how < 0) return false;
  errno = state.how;
  return true;
}

// ---------------------------------------------------------------- memory

/// The functions that give memory out, and whether they are being looked for: dlsym itself may
/// ask for some meanwhile, and may give some back.
static struct {
  bool is_looking;
  bool is_sanitized; ///< they are the address sanitizer's
  __typeof__(malloc) *malloc;
  __typeof__(calloc) *calloc;
  __typeof__(realloc) *realloc;
  __typeof__(free) *free;
} memory;

static void find_memory(void) {
  if (memory.free != NULL || memory.is_looking) return;
  memory.is_looking = true;
  find_next("malloc", &memory.malloc);
  find_next("calloc", &memory.calloc);
  find_next("realloc", &memory.realloc);
  find_next("free", &memory.free);
  memory.is_sanitized = dlsym(RTLD_DEFAULT, "__asan_init") != NULL;
  memory.is_looking = false;
}

/// Does this call for memory fail?
static bool lacks(void) {
  const bool refused =
      is_refused(PL_FAULT_MALLOC) || (state.adds_a_page && is_refused(PL_FAULT_PAGE));
  state.has_failed = state.has_failed || refused;
  return refused;
}

/// What is given back once memory has lacked is made unusable, and handed to nobody else: who
/// goes on with it falls. The sanitizer looks for that itself, and takes such a block for a
/// leak.
static void spoil(void *block) {
  if (memory.is_sanitized)
    memory.free(block);
  else
    memset(block, 0xdd, malloc_usable_size(block));
}

static void *handed_out(void *block) {
  if (block != NULL && state.ready) state.blocks++;
  return block;
}

void *malloc(size_t size) {
  find_memory();
  if (memory.is_looking) return early_block(size);
  if (lacks()) return NULL;
  return handed_out(memory.malloc(size));
}

void *calloc(size_t count, size_t size) {
  find_memory();
  if (memory.is_looking) return early_block(count * size);
  if (lacks()) return NULL;
  return handed_out(memory.calloc(count, size));
}

void *realloc(void *block, size_t size) {
  find_memory();
  if (memory.is_looking) return early_block(size);
  if (lacks()) return NULL;
  void *const larger = memory.realloc(block, size);
  return block == NULL ? handed_out(larger) : larger;
}

void free(void *block) {
  find_memory();
  if (block == NULL || is_early(block) || memory.is_looking) return;
  if (state.ready) state.blocks--;
  if (state.has_failed)
    spoil(block);
  else
    memory.free(block);
}

/// What a large file's arena has from the system itself.
void *mmap(void *address, size_t size, int protection, int flags, int file, off_t offset) {
  NEXT(mmap);
  if (lacks()) return MAP_FAILED;
  return next(address, size, protection, flags, file, offset);
}

// The PDF library's functions that add a page.
// NOLINTBEGIN(readability-identifier-naming)
void *HPDF_AddPage(void *document) {
  NEXT(HPDF_AddPage);
  state.adds_a_page = true;
  void *const page = next(document);
  state.adds_a_page = false;
  return page;
}

void *HPDF_InsertPage(void *document, void *before) {
  NEXT(HPDF_InsertPage);
  state.adds_a_page = true;
  void *const page = next(document, before);
  state.adds_a_page = false;
  return page;
}
// NOLINTEND(readability-identifier-naming)

// ---------------------------------------------------------------- files

/// Reads or writes a half of what was asked for; the other half, too, where a signal comes.
static bool is_halved(enum pl_fault kind, size_t *size) {
  if (!fails(kind)) return false;
  if (state.how == -1 || state.how <= -100) *size = *size > 1 ? *size / 2 : *size;
  return state.how >= 0 || state.how <= -100;
}

ssize_t read(int file, void *bytes, size_t size) {
  NEXT(read);
  const bool stops = is_halved(PL_FAULT_READ, &size);
  if (stops && state.how >= 0) {
    errno = state.how;
    return -1;
  }
  const ssize_t got = next(file, bytes, size);
  if (stops) raise(-100 - state.how);
  return got;
}

/// What `write` and the program's standard output do.
static ssize_t put(enum pl_fault kind, int file, const void *bytes, size_t size) {
  NEXT(write);
  const bool stops = is_halved(kind, &size);
  if (stops && state.how >= 0) {
    errno = state.how;
    return -1;
  }
  const ssize_t done = next(file, bytes, size);
  if (stops) raise(-100 - state.how);
  return done;
}

ssize_t write(int file, const void *bytes, size_t size) {
  return put(PL_FAULT_WRITE, file, bytes, size);
}

/// How a file is made, where the flags say that it is.
static mode_t mode_of(int flags, va_list list) {
  return (flags & O_CREAT) != 0 ? (mode_t)va_arg(list, unsigned) : 0;
}

int open(const char *path, int flags, ...) {
  NEXT_CALLED(WIDE("open"), open);
  va_list list;
  va_start(list, flags);
  const mode_t mode = mode_of(flags, list);
  va_end(list);
  return is_refused(PL_FAULT_OPEN) ? -1 : next(path, flags, mode);
}

int openat(int folder, const char *path, int flags, ...) {
  NEXT_CALLED(WIDE("openat"), openat);
  va_list list;
  va_start(list, flags);
  const mode_t mode = mode_of(flags, list);
  va_end(list);
  return is_refused(PL_FAULT_OPEN) ? -1 : next(folder, path, flags, mode);
}

/// The file is closed all the same, as Linux does it.
int close(int file) {
  NEXT(close);
  const bool refused = is_refused(PL_FAULT_CLOSE);
  const int error = errno;
  const int result = next(file);
  if (!refused) return result;
  errno = error;
  return -1;
}

int fsync(int file) {
  NEXT(fsync);
  return is_refused(PL_FAULT_FSYNC) ? -1 : next(file);
}

int fchmod(int file, mode_t mode) {
  NEXT(fchmod);
  return is_refused(PL_FAULT_CHMOD) ? -1 : next(file, mode);
}

int mkstemp(char *pattern) {
  NEXT_CALLED(WIDE("mkstemp"), mkstemp);
  return is_refused(PL_FAULT_MKSTEMP) ? -1 : next(pattern);
}

int rename(const char *from, const char *to) {
  NEXT(rename);
  return is_refused(PL_FAULT_RENAME) ? -1 : next(from, to);
}

int unlink(const char *path) {
  NEXT(unlink);
  return is_refused(PL_FAULT_UNLINK) ? -1 : next(path);
}

int mkdir(const char *path, mode_t mode) {
  NEXT(mkdir);
  return is_refused(PL_FAULT_MKDIR) ? -1 : next(path, mode);
}

int stat(const char *restrict path, struct stat *restrict facts) {
  NEXT_CALLED(WIDE_TIMES("stat"), stat);
  return is_refused(PL_FAULT_STAT) ? -1 : next(path, facts);
}

int lstat(const char *restrict path, struct stat *restrict facts) {
  NEXT_CALLED(WIDE_TIMES("lstat"), lstat);
  return is_refused(PL_FAULT_STAT) ? -1 : next(path, facts);
}

int fstat(int file, struct stat *facts) {
  NEXT_CALLED(WIDE_TIMES("fstat"), fstat);
  return is_refused(PL_FAULT_STAT) ? -1 : next(file, facts);
}

int access(const char *path, int how) {
  NEXT(access);
  return is_refused(PL_FAULT_ACCESS) ? -1 : next(path, how);
}

char *realpath(const char *restrict path, char *restrict resolved) {
  NEXT(realpath);
  return is_refused(PL_FAULT_REALPATH) ? NULL : next(path, resolved);
}

// ---------------------------------------------------------------- standard output

/// The C library writes its streams by a call that nobody can come before, so that standard
/// output is replaced by a stream whose bytes come here.
static ssize_t print(void *context, const char *bytes, size_t size) {
  (void)context;
  const ssize_t done = put(PL_FAULT_PRINT, STDOUT_FILENO, bytes, size);
  return done < 0 ? 0 : done; // which is how such a stream is told of an error
}

// ---------------------------------------------------------------- the beginning and the end

void pl_fault_order(const char *order) {
  const size_t length = strcspn(order, " ");
  for (int kind = 0; kind < PL_FAULT_COUNT; kind++) {
    if (strlen(pl_fault_names[kind]) == length &&
        strncmp(pl_fault_names[kind], order, length) == 0)
      state.kind = (enum pl_fault)kind;
  }
  char *rest = NULL;
  state.which = strtol(order + length, &rest, 10);
  state.how = (int)strtol(rest, &rest, 10);
  state.goes_on = strcmp(rest, " on") == 0;
  state.has_failed = false;
  memset(state.calls, 0, sizeof state.calls);
  state.ready = true;
}

long pl_fault_calls(enum pl_fault kind) {
  return state.calls[kind];
}

long pl_fault_blocks(void) {
  return state.blocks;
}

__attribute__((constructor)) static void begin(void) {
  const char *const order = getenv("PITLEAF_FAULT");
  const char *const report = getenv("PITLEAF_FAULT_REPORT");
  if (order == NULL) return;
  if (report != NULL && strlen(report) < sizeof state.report)
    memcpy(state.report, report, strlen(report) + 1);
  if (strncmp(order, "print ", 6) == 0) {
    const cookie_io_functions_t functions = {.write = print};
    stdout = fopencookie(NULL, "w", functions);
  }
  pl_fault_order(order);
}

__attribute__((destructor)) static void end(void) {
  state.ready = false;
  if (state.report[0] == '\0') return;
  // By the system's own calls, since those above count.
  const long file =
      syscall(SYS_openat, AT_FDCWD, state.report, O_WRONLY | O_CREAT | O_TRUNC, 0600);
  char text[1024];
  int length = snprintf(text, sizeof text, "blocks %ld\n", state.blocks);
  for (int kind = 0; kind < PL_FAULT_COUNT; kind++)
    length += snprintf(text + length, sizeof text - (size_t)length, "%s %ld\n",
                       pl_fault_names[kind], state.calls[kind]);
  syscall(SYS_write, file, text, length);
  syscall(SYS_close, file);
}

// NOLINTEND(readability-inconsistent-declaration-parameter-name)
