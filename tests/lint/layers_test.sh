#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Shows that layers.sh passes the tree as it is and catches each kind of planted violation.
set -eu

cd "$(dirname "$0")/../.."
tree=$(mktemp -d)
trap 'rm -rf "$tree"' EXIT
failures=0

fresh_tree() {
  rm -rf "$tree/src" "$tree/include" "$tree/grammar"
  cp -r src include grammar "$tree"
}

report() {
  if [ "$1" -eq 0 ]; then
    echo "ok $2"
  else
    echo "not ok $2"
    failures=$((failures + 1))
  fi
}

# catches NAME FILE LINE SENTENCE: with LINE added to FILE the script fails and says SENTENCE.
catches() {
  fresh_tree
  mkdir -p "$(dirname "$tree/$2")"
  printf '%s\n' "$3" >>"$tree/$2"
  verdict=0
  if output=$(sh tests/lint/layers.sh "$tree"); then verdict=1; fi
  case $output in
  *"$2:"*"$4"*) ;;
  *) verdict=1 ;;
  esac
  report "$verdict" "$1"
}

# accepts NAME FILE LINE: with LINE added to FILE the script still passes.
accepts() {
  fresh_tree
  mkdir -p "$(dirname "$tree/$2")"
  printf '%s\n' "$3" >>"$tree/$2"
  verdict=0
  sh tests/lint/layers.sh "$tree" >/dev/null || verdict=1
  report "$verdict" "$1"
}

accepts "the tree as it is" src/base/planted.c '// nothing'
accepts "an include downward" src/report/planted.c '#include "pitleaf/units.h"'
accepts "figures uses physics" src/figures/planted.c '#include "pitleaf/physics.h"'
accepts "app prints" src/app/planted.c 'void f(void) { puts("x"); }'
accepts "the editor prints" src/editor/planted.c 'void f(void) { puts("x"); }'
accepts "a word in a comment" src/units/planted.c '// never calls exit(1)'
accepts "a word in a text" src/units/planted.c 'const char *const t = "exit(1)";'
accepts "a longer word" src/units/planted.c 'void pl_exit(int);'

catches "an include upward" src/units/planted.c '#include "pitleaf/model.h"' \
  'units may not include pitleaf/model.h'
catches "an include upward in a public header" include/pitleaf/units.h \
  '#include "pitleaf/sheet.h"' 'units may not include pitleaf/sheet.h'
catches "an include upward in the grammar" grammar/planted.re '#include "pitleaf/model.h"' \
  'syntax may not include pitleaf/model.h'
catches "a table of a higher room" src/syntax/planted.c '#include "pitleaf/settings.def"' \
  'syntax may not include pitleaf/settings.def'
catches "the model uses physics" src/model/planted.c '#include "pitleaf/physics.h"' \
  'model may not include pitleaf/physics.h'
catches "physics knows somebody" src/physics/planted.c '#include "pitleaf/base.h"' \
  'physics may not include pitleaf/base.h'
catches "another room's private header" src/units/planted.c '#include "../syntax/parser.h"' \
  'neither public nor a header of this folder'
catches "a private header that is not there" src/units/planted.c '#include "parser.h"' \
  'neither public nor a header of this folder'
catches "a public header of no room" src/app/planted.c '#include "pitleaf/attic.h"' \
  'belongs to no room'
catches "a folder of no room" src/attic/planted.c 'int x;' 'belongs to no room'
catches "the PDF library outside the sheet" src/report/planted.c '#include <hpdf.h>' \
  'hpdf.h is for one file of src/sheet/'
catches "git's library outside base" src/app/planted.c '#include <git2.h>' \
  'git2.h is for one file of src/base/'
catches "a part of git's library, in a second file" src/base/planted.c '#include <git2/commit.h>' \
  'git2.h is already included by src/base/git.h'
catches "history knows the model" include/pitleaf/history.h '#include "pitleaf/model.h"' \
  'base may not include pitleaf/model.h'
for call in 'printf("x")' 'puts("x")' 'perror("x")' 'exit(1)' 'abort()' 'fputs("x", stderr)' \
  'fprintf(stdout, "x")'; do
  catches "$call below app" src/compare/planted.c "void f(void) { $call; }" 'compare may not use'
done

fresh_tree
mkdir -p "$tree/src/sheet"
echo '#include <hpdf.h>' >"$tree/src/sheet/planted_one.c"
echo '#include <hpdf.h>' >"$tree/src/sheet/planted_two.c"
verdict=0
sh tests/lint/layers.sh "$tree" | grep -q 'hpdf.h is already included by' || verdict=1
report "$verdict" "a second user of the PDF library"

rm -rf "$tree/src" "$tree/include" "$tree/grammar"
verdict=0
if sh tests/lint/layers.sh "$tree" >/dev/null 2>&1; then verdict=1; fi
report "$verdict" "a tree without sources"

[ "$failures" -eq 0 ]
