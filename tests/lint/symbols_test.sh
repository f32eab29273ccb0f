#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Shows that symbols.sh passes clean objects and catches each kind of planted violation.
set -eu

cd "$(dirname "$0")/../.."
tree=$(mktemp -d)
trap 'rm -rf "$tree"' EXIT
failures=0

# plant ROOM NAME CODE: compiles CODE as an object of ROOM.
plant() {
  mkdir -p "$tree/src/$1"
  printf '%s\n' "$3" | "${CC:-cc}" -std=c17 -c -x c - -o "$tree/src/$1/$2.o"
}

# expect STATUS SENTENCE NAME: whether the script ends with STATUS and says SENTENCE.
expect() {
  status=0
  # shellcheck disable=SC2046 -- a list of words
  output=$(sh tests/lint/symbols.sh $(find "$tree" -name '*.o')) || status=$?
  case $output in
  *"$2"*) said=yes ;;
  *) said=no ;;
  esac
  if [ "$status" -eq "$1" ] && [ "$said" = yes ]; then
    echo "ok $3"
  else
    echo "not ok $3"
    printf '%s\n' "$output"
    failures=$((failures + 1))
  fi
  rm -rf "$tree/src"
}

plant units one 'int pl_one(void); int pl_one(void) { return 1; }'
plant units two 'int shared(void); int shared(void) { return 1; }'
plant units three 'int shared(void); int pl_three(void); int pl_three(void) { return shared(); }'
plant units four 'const char *const pl_words[] = {"a", "b"};'
expect 0 'external names' 'clean objects'

plant units two 'int shared(void); int shared(void) { return 1; }'
plant model three 'int shared(void); int pl_three(void); int pl_three(void) { return shared(); }'
expect 1 'model uses shared of units' "another room's name"

plant units two 'int shared(void); int shared(void) { return 1; }'
plant model two 'int shared(void); int shared(void) { return 2; }'
expect 1 'shared is defined in' 'one name in two rooms'

plant physics two 'int shared(void); int shared(void) { return 1; }'
expect 1 'shared lacks the prefix' 'a name of physics without the prefix'

plant units one 'int pl_one(void); int pl_one(void) { static int calls; return calls++; }'
expect 1 'static and mutable' 'a static counter'

plant units one 'int pl_count = 1;'
expect 1 'pl_count is static and mutable' 'a global variable'

plant units one 'static int x; extern int *pl_table[1]; int *pl_table[1] = {&x};'
expect 1 'pl_table is static and mutable' 'a mutable table of addresses'

plant units one 'static _Thread_local int calls; int pl_one(void); int pl_one(void) { return calls++; }'
expect 1 'calls is static and mutable' "a thread's counter"

served='static _Thread_local int served; int pl_one(void); int pl_one(void) { return served++; }'
plant sheet pdf "$served"
expect 0 'external names' 'what is excepted'

plant sheet other "$served"
expect 1 'served is static and mutable' 'what is excepted, in another file'

expect 1 'no external name' 'nothing to read'

[ "$failures" -eq 0 ]
