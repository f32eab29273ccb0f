#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs the test programs and the shell tests in each named build and prints one summed line.
#
# Usage: run.sh BUILD RUN...   where BUILD is the build folder and RUN is one of
#   optimised   every test on the optimised build
#   sanitized   every test on the build with address and undefined-behaviour sanitizers
#   coverage    every test on the build that counts what is run
#   valgrind    the unit tests of the optimised build under valgrind; PITLEAF_SLOWED is set, for
#               those that would then take too long
#   counted     that work grows no faster than files, on the build that counts it
#
# A test counts once however many runs it takes part in: what it passes is the least, and what
# it fails the most, of its runs. The exit status is 1 if a test failed or if none ran.
set -eu

seconds=300 # longer than any test should need, so that a hang is a failure
build=$1
shift
root=$(pwd)
logs=$build/test-logs
results=$logs/results
export PITLEAF_ROOT="$root"
export UBSAN_OPTIONS=print_stacktrace=1

rm -rf "$logs"
mkdir -p "$logs"
: >"$results"

# The sum of the numbers in cmocka's closing lines "[  PASSED  ] 12 test(s)." of a log.
cmocka_count() {
  awk -v word="$1" '
    $1 == "[" && $2 == word && $3 == "]" && $5 ~ /^test\(s\)/ { sum += $4 }
    END { print sum + 0 }' "$2"
}

# Writes down one result, and shows the log of a failed one.
record() {
  name=$1 run=$2 status=$3 passed=$4 failed=$5 log=$6
  if [ "$status" -ne 0 ] && [ "$failed" -eq 0 ]; then failed=1; fi
  if [ "$status" -eq 0 ] && [ $((passed + failed)) -eq 0 ]; then failed=1; fi
  echo "$name $run $passed $failed" >>"$results"
  if [ "$failed" -eq 0 ]; then
    echo "ok      $run $name ($passed)"
  else
    echo "FAILED  $run $name ($failed failed, exit status $status)"
    sed 's/^/    /' "$log"
  fi
}

run_test() {
  name=$1 run=$2 out=$3 wrap=$4
  log=$logs/$(echo "$name" | tr / -).$run
  case $name in
  *.sh) set -- sh "tests/$name" ;;
  *) set -- "$out/tests/$name" ;;
  esac
  status=0
  # shellcheck disable=SC2086 -- the wrapper is a list of words
  PITLEAF_PROGRAM=$out/pitleaf timeout "$seconds" $wrap "$@" >"$log" 2>&1 || status=$?
  case $name in
  *.sh)
    passed=$(grep -c '^ok ' "$log" || true)
    failed=$(grep -c '^not ok ' "$log" || true)
    ;;
  *)
    passed=$(cmocka_count PASSED "$log")
    failed=$(cmocka_count FAILED "$log")
    ;;
  esac
  record "$name" "$run" "$status" "$passed" "$failed" "$log"
}

absolute=$(cd "$build" && pwd)
for run in "$@"; do
  out=$absolute wrap='' shells='tests/*/*_test.sh' folders='unit golden errors outside limits'
  case $run in
  optimised) ;;
  sanitized | coverage) out=$absolute/$run ;;
  counted)
    out=$absolute/counted
    folders=growth shells=''
    ;;
  valgrind)
    wrap='env PITLEAF_SLOWED=1 valgrind --quiet --leak-check=full --errors-for-leak-kinds=definite --error-exitcode=99'
    folders=unit shells=''
    ;;
  *)
    echo "run.sh: unknown run '$run'" >&2
    exit 2
    ;;
  esac
  for folder in $folders; do
    for source in tests/"$folder"/*_test.c; do
      [ -e "$source" ] || continue
      name=${source#tests/}
      # What counts asks for memory, too, and does not bear to get none.
      if [ "$run/$name" = coverage/limits/faults_test.c ]; then continue; fi
      run_test "${name%.c}" "$run" "$out" "$wrap"
    done
  done
  for source in $shells; do
    [ -e "$source" ] || continue
    run_test "${source#tests/}" "$run" "$out" ''
  done
done

awk '
  !($1 in passed) || $3 < passed[$1] { passed[$1] = $3 }
  $4 > failed[$1] { failed[$1] = $4 }
  END {
    for (name in passed) { passes += passed[name]; failures += failed[name] }
    print passes + 0 " passed, " failures + 0 " failed"
    exit (failures > 0 || passes == 0)
  }' "$results"
