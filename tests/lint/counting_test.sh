#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Shows that tests/run.sh counts what test programs say and never calls a bad run good.
set -eu

runner=$(cd "$(dirname "$0")/.." && pwd)/run.sh
tree=$(mktemp -d)
trap 'rm -rf "$tree"' EXIT
cd "$tree"
failures=0

# program BUILD NAME BODY: a test program of a shell script, and a source of its name.
program() {
  mkdir -p "$1/tests/${2%/*}" "tests/${2%/*}"
  : >"tests/$2.c"
  printf '#!/bin/sh\n%s\n' "$3" >"$1/tests/$2"
  chmod +x "$1/tests/$2"
}

# expect STATUS LINE NAME RUN...: how the runner ends, and its last line.
expect() {
  wanted_status=$1 wanted_line=$2 name=$3
  shift 3
  status=0
  output=$(sh "$runner" build "$@" 2>&1) || status=$?
  if [ "$status" -eq "$wanted_status" ] &&
    [ "$(printf '%s\n' "$output" | tail -n 1)" = "$wanted_line" ]; then
    echo "ok $name"
  else
    echo "not ok $name"
    printf '%s\n' "$output"
    failures=$((failures + 1))
  fi
  rm -rf build tests
  mkdir build tests
}

passes='echo "[  PASSED  ] 3 test(s)." >&2'
fails='echo "[  PASSED  ] 2 test(s)." >&2; echo "[  FAILED  ] 1 test(s), listed below:" >&2
echo "[  FAILED  ] third" >&2; exit 1'
mkdir build tests

program build unit/a_test "$passes"
program build limits/b_test "$passes"
expect 0 '6 passed, 0 failed' 'passes add up' optimised

program build unit/a_test "$passes"
program build unit/b_test "$fails"
expect 1 '5 passed, 1 failed' 'a failure counts once' optimised

program build unit/a_test "$passes"
program build/sanitized unit/a_test "$fails"
expect 1 '2 passed, 1 failed' 'the worse of two runs counts' optimised sanitized

program build unit/a_test "$passes; exit 134"
expect 1 '3 passed, 1 failed' 'a bad end after good tests fails' optimised

program build unit/a_test 'exit 0'
expect 1 '0 passed, 1 failed' 'a program without tests fails' optimised

program build unit/a_test "$passes"
rm build/tests/unit/a_test
expect 1 '0 passed, 1 failed' 'a program that is missing fails' optimised

expect 1 '0 passed, 0 failed' 'no program at all fails' optimised

mkdir -p tests/unit
printf 'echo "ok one"\necho "ok two"\n' >tests/unit/s_test.sh
expect 0 '2 passed, 0 failed' 'shell tests count' optimised

mkdir -p tests/unit
printf 'echo "ok one"\necho "not ok two"\n' >tests/unit/s_test.sh
expect 1 '1 passed, 1 failed' 'a shell test that says not ok fails' optimised

[ "$failures" -eq 0 ]
