// SPDX-License-Identifier: GPL-3.0-or-later
// Loading libgit2.
#include "git.h"

#include <dlfcn.h>
#include <string.h>

// A library and its headers belong together by this version, which is a part of both its file's
// name and its package's.
#ifdef __APPLE__
#define LIBRARY_FILE "libgit2." LIBGIT2_SOVERSION ".dylib"
#else
#define LIBRARY_FILE "libgit2.so." LIBGIT2_SOVERSION
#endif
#define LIBRARY_PACKAGE "libgit2-" LIBGIT2_SOVERSION

/// Writes the address of a function to `place`, which is a pointer to one. They are copied as
/// bytes, since C converts no address of data into one of a function, as dlsym has it.
static bool find(void *library, const char *name, void *place) {
  void *const address = dlsym(library, name);
  memcpy(place, &address, sizeof address);
  return address != NULL;
}

static bool find_all(void *library, struct git *git) {
  bool has_all = true;
#define GIT_FIND(name) has_all &= find(library, "git_" #name, (void *)&git->name);
  GIT_FUNCTIONS(GIT_FIND)
#undef GIT_FIND
  return has_all;
}

// Nothing calls dlclose: libgit2 is loaded once however often this is called, libraries below
// it register what runs at the process's end, and what looks for leaks there wants their names.
const struct git *load_git(struct pl_arena *arena, const char **reason) {
  struct git *const git = pl_alloc(arena, sizeof *git);
  void *const library = dlopen(LIBRARY_FILE, RTLD_LAZY | RTLD_LOCAL);
  if (library != NULL && find_all(library, git)) return git;
  const char *const words = dlerror();
  *reason = pl_format(arena, "`apt install " LIBRARY_PACKAGE "` on Debian (%s)",
                      words == NULL ? LIBRARY_FILE : words);
  return NULL;
}
