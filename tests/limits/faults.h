// SPDX-License-Identifier: GPL-3.0-or-later
// The kinds of calls that can be had to fail (faults_preload.c), for the tests that ask for it.
#ifndef PITLEAF_TESTS_LIMITS_FAULTS_H
#define PITLEAF_TESTS_LIMITS_FAULTS_H

enum pl_fault {
  PL_FAULT_MALLOC, ///< and calloc, realloc
  PL_FAULT_PAGE,   ///< those of them that the PDF library makes while it adds a page
  PL_FAULT_OPEN,   ///< and openat
  PL_FAULT_READ,
  PL_FAULT_WRITE,
  PL_FAULT_CLOSE,
  PL_FAULT_FSYNC,
  PL_FAULT_CHMOD,
  PL_FAULT_MKSTEMP,
  PL_FAULT_RENAME,
  PL_FAULT_UNLINK,
  PL_FAULT_MKDIR,
  PL_FAULT_STAT, ///< and lstat, fstat
  PL_FAULT_ACCESS,
  PL_FAULT_REALPATH,
  PL_FAULT_PRINT, ///< what the C library writes to standard output
  PL_FAULT_COUNT
};

static const char *const pl_fault_names[PL_FAULT_COUNT] = {
    "malloc",  "page",   "open",   "read",  "write", "close",  "fsync",    "chmod",
    "mkstemp", "rename", "unlink", "mkdir", "stat",  "access", "realpath", "print"};

// A program that is loaded with that object finds these in it, to begin again in its midst.

/// What fails from here on, as PITLEAF_FAULT says it; the counting of calls begins again.
void pl_fault_order(const char *order);
/// The calls of a kind since then.
long pl_fault_calls(enum pl_fault kind);
/// The blocks of memory that were handed out and not given back.
long pl_fault_blocks(void);

#endif
