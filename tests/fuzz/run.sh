#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs fuzz targets one after the other and says what each did. Usage:
#   run.sh FOLDER SECONDS SEED TARGET...
# FOLDER is that of the fuzz build; what was found interesting stays in FOLDER/corpus, and later
# runs go on from there. SECONDS are for each target. The exit status is 1 if one found a crash,
# a leak, a broken promise, or an input that takes too long; the input is in FOLDER/found.
set -eu

out=$(cd "$1" && pwd) seconds=$2 seed=$3
shift 3
PITLEAF_ROOT=$(pwd)
export PITLEAF_ROOT
export UBSAN_OPTIONS=print_stacktrace=1
# What was freed is kept for a while, to find who still uses it; more only costs time.
export ASAN_OPTIONS=quarantine_size_mb=32

# How long an input may take, in seconds, on a busy machine and with all sanitizers; and from
# when on it is put aside as slow, though the run goes on.
patience=10
slow=3
# Memory in megabytes at which a run ends; quarantined memory counts.
memory=2048

# The longest input of a target, in bytes: long enough for what the checkout has.
length_of() {
  case $1 in
  lexer) echo 512 ;;
  parser | tidy) echo 2048 ;;
  compare | rules) echo 6144 ;; # they have two files
  *) echo 4096 ;;
  esac
}

# A number from libFuzzer's closing lines.
stat_of() {
  sed -n "s/^stat::$1: *//p" "$2"
}

# The file with the input over which a target fell; nothing where it did not get so far.
input_of() {
  sed -n 's/.*Test unit written to //p' "$1" | grep -v slow-unit | tail -1
}

sh tests/fuzz/seeds.sh "$out/seeds"
sh tests/fuzz/dictionary.sh >"$out/dictionary"
mkdir -p "$out/logs" "$out/found"
failed=
printf '%-9s %10s %10s %9s %9s %8s  %s\n' target runs 'a second' edges features slowest found
for target in "$@"; do
  log=$out/logs/$target
  mkdir -p "$out/corpus/$target"
  status=0
  "$out/tests/fuzz/${target}_fuzz" "$out/corpus/$target" "$out/seeds/$target" \
    -max_total_time="$seconds" -seed="$seed" -max_len="$(length_of "$target")" \
    -timeout="$patience" -report_slow_units="$slow" -rss_limit_mb="$memory" \
    -dict="$out/dictionary" -artifact_prefix="$out/found/$target-" \
    -print_final_stats=1 -reload=0 >"$log" 2>&1 || status=$?
  found=nothing
  if [ "$status" -ne 0 ]; then
    found=$(input_of "$log")
    [ -n "$found" ] || found="status $status"
    failed="$failed $target"
  fi
  grep -o 'cov: [0-9]* ft: [0-9]*' "$log" | tail -1 >"$log.reach"
  printf '%-9s %10s %10s %9s %9s %7ss  %s\n' "$target" \
    "$(stat_of number_of_executed_units "$log")" "$(stat_of average_exec_per_sec "$log")" \
    "$(cut -d' ' -f2 "$log.reach")" "$(cut -d' ' -f4 "$log.reach")" \
    "$(stat_of slowest_unit_time_sec "$log")" "$found"
done

for target in $failed; do
  echo
  echo "$target: $(grep -m 1 'broken promise:\|ERROR: \|runtime error:\|^\[  ERROR' "$out/logs/$target" || true)"
  echo "The whole log is in $out/logs/$target. Again, alone:"
  echo "  PITLEAF_ROOT=$PITLEAF_ROOT $out/tests/fuzz/${target}_fuzz $(input_of "$out/logs/$target")"
done
[ -z "$failed" ]
