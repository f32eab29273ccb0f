#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# libgit2 is loaded when a setup's history is asked for: no command starts with it, and where it
# is not to be had, the log says what to install and everything else works.
set -u

. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs ldd readelf gcc
unset COLUMNS NO_COLOR GIT_DIR GIT_WORK_TREE GIT_INDEX_FILE LD_LIBRARY_PATH

ldd "$pitleaf" >linked && grep -q 'libjansson' linked && ! grep -q 'libgit2' linked
result "the program is not linked with libgit2" $?

# The library's name, as the program and as the library itself have it.
library=$(grep -ao 'libgit2\.so\.[0-9.]*[0-9]' "$pitleaf" | sort -u)
readelf -d "$(gcc -print-file-name=libgit2.so)" | sed -n 's/.*SONAME.*\[\(.*\)\]/\1/p' >soname
[ -n "$library" ] && [ "$library" = "$(cat soname)" ]
result "the library that is loaded is that of the headers" $?

# What the loader finds first hides the library.
printf 'setup "a" { all { preload = 1 mm } }\n' >a.leaf
printf 'setup "a" { all { preload = 2 mm } }\n' >b.leaf
mkdir broken other
echo "no library" >"broken/$library"
cp "$(awk '$1 ~ /^libm\.so/ { print $3 }' linked)" "other/$library"
export GIT_CEILING_DIRECTORIES="$work"

run 2 log a.leaf && err "in no work tree of git"
result "with the library, the log is about the file" $?
export LD_LIBRARY_PATH="$work/broken"
run 2 log a.leaf && err '`pitleaf log` needs the library libgit2' && err "$library" &&
  err "\`apt install libgit2-${library#libgit2.so.}\` on Debian" && [ ! -s out ]
result "without the library, the log says what to install" $?
run 0 compare a.leaf b.leaf && out "1.00 → 2.00 mm" && run 0 describe && run 0 --version
result "without the library, other commands work" $?
run 0 compare --convert a.leaf && out "front-left preload = 1.00 mm" && [ ! -s err ]
result "without the library, a file is converted by itself" $?
export LD_LIBRARY_PATH="$work/other"
run 2 log a.leaf && err '`pitleaf log` needs the library libgit2' && err "undefined symbol: git_"
result "a library of that name that lacks the functions" $?

[ "$failures" -eq 0 ]
