#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Times whole processes and prints one table: medians, in milliseconds, and peak memory.
#
# Usage: run.sh BUILD DEMO BASE   where BUILD holds the program and tests/bench/baseline_pdf,
# DEMO is a setup and BASE the setup that its sheet is marked against.
#
# Times drift on a shared machine, so only what was measured in turn within one run is to be
# compared. The yardstick is baseline_pdf: the PDF library alone, drawing as much text as a race
# sheet with the same fonts.
set -euo pipefail

runs=21
build=$(cd "$1" && pwd)
demo=$2 base=$3
program=$build/pitleaf
bare=$build/tests/bench/baseline_pdf
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if [ -z "${EPOCHREALTIME:-}" ]; then
  echo "run.sh: needs bash 5 for its clock" >&2
  exit 1
fi

# Runs a command once without timing it; a command that fails is not worth a measurement.
warm_up() {
  if ! "$@" >"$work/output" 2>&1; then
    echo "run.sh: failed: $*" >&2
    head -n 20 "$work/output" >&2
    exit 1
  fi
}

# Appends the microseconds that a command takes to the file $work/NAME.times.
time_once() {
  local -r name=$1
  shift
  local -r before=${EPOCHREALTIME//[!0-9]/}
  "$@" >/dev/null 2>&1 || true # a list of entries of which some fail exits with 1
  local -r after=${EPOCHREALTIME//[!0-9]/}
  echo $((after - before)) >>"$work/$name.times"
}

# The median of a NAME, in microseconds.
median() { sort -n "$work/$1.times" | sed -n "$(((runs + 1) / 2))p"; }

# The same of fewer runs.
median_of() { sort -n "$work/$2.times" | sed -n "$((($1 + 1) / 2))p"; }

# The peak resident memory of a command in KiB, by the tool that has it. It cannot come from a
# fork of this shell, whose own size would count.
peak() {
  if [ -x /usr/bin/time ]; then
    /usr/bin/time -q -f %M -o "$work/peak" "$@" >/dev/null 2>&1 || true
    tail -n 1 "$work/peak"
  else
    echo -
  fi
}

# Writes COUNT setups into FOLDER, which lies beside the demo's own folder so that its includes
# hold. Each differs from the demo in name and, by up to a twentieth, in its plain lengths,
# angles and temperatures.
write_setups() {
  local -r folder=$1 count=$2
  mkdir -p "$folder"
  awk -v folder="$folder" -v count="$count" '
    { line[NR] = $0 }
    END {
      srand(7)
      for (i = 1; i <= count; i++) {
        file = sprintf("%s/setup-%05d.leaf", folder, i)
        for (n = 1; n <= NR; n++) {
          text = line[n]
          if (text ~ /^setup "/) sub(/^setup "/, sprintf("setup \"%d, ", i), text)
          else if (match(text, /= -?[0-9]+(\.[0-9]+)? (mm|deg|degC)[ \t]*(#.*)?$/)) {
            split(substr(text, RSTART + 2), words, " ")
            value = sprintf("%.2f", words[1] * (0.95 + 0.1 * rand()))
            text = substr(text, 1, RSTART + 1) value " " words[2]
          }
          print text > file
        }
        close(file)
      }
    }' "$demo"
}

# Writes a meeting of COUNT entries into FOLDER, each with a file of its own that starts from the
# demo's base. What they include comes from library folders, as on a race day.
write_meeting() {
  local -r folder=$1 count=$2 name=$(sed -n 's/^setup "\([^"]*\)".*/\1/p' "$base" | tail -n 1)
  mkdir -p "$folder"
  {
    echo 'meeting "Bench" {'
    for ((i = 1; i <= count; i++)); do
      mkdir -p "$folder/$i"
      printf 'include "%s"\ninclude "oils.leaf"\nsetup "Entry %d" from "%s" {\n' \
        "$(basename "$(dirname "$base")")/$(basename "$base")" "$i" "$name"
      printf '  air = %d degC\n  front { preload += 0.%02d mm; oil = "clear 400" }\n' $((8 + i % 20)) $((i % 90))
      printf '  rear { camber = -1.5 deg }\n  notes = "Entry %d of many, with a line of notes."\n}\n' "$i"
    done | awk -v folder="$folder" '
      /^include/ && !opened { file = sprintf("%s/%d/setup.leaf", folder, ++number); opened = 1 }
      { print > file }
      /^}/ { close(file); opened = 0 }'
    for ((i = 1; i <= count; i++)); do
      echo "  entry $i { driver = \"Driver $i\"; setup = \"$i/setup.leaf\" }"
    done
    echo '}'
  } >"$folder/meeting.leaf"
}

# Writes a meeting of COUNT entries into FOLDER, and 20 rules beside it. Each entry brings a file
# that stands by itself.
write_entries() {
  local -r folder=$1 count=$2
  mkdir -p "$folder"
  awk -v folder="$folder" -v count="$count" 'BEGIN {
    srand(3)
    meeting = folder "/meeting.leaf"
    print "meeting \"Many\" {" > meeting
    for (i = 1; i <= count; i++) {
      file = folder "/" i ".leaf"
      printf "damper \"d\" { bore = %.1f mm; shaft = 3 mm; stroke = 20 mm; compensation = bladder }\n", 12.8 + rand() / 2 > file
      printf "setup \"s\" {\n  class = \"a\"; mass = %d g; width = %d mm; wheelbase = 270 mm; length = 380 mm; cg-height = 50 mm\n", 1450 + 100 * rand(), 245 + 8 * rand() > file
      printf "  all { damper = \"d\"; oil = 350 cSt; piston = 2 x 1.6 mm; spring = %.2f N/mm; camber = -1 deg; toe = 0 deg; ride-height = 21 mm }\n  pinion = 24; spur = 78\n}\n", 0.4 + rand() > file
      close(file)
      printf "  entry %d { driver = \"Driver %d\"; setup = \"%d.leaf\" }\n", i, i, i > meeting
    }
    print "}" > meeting
    rules = folder "/rules.leaf"
    print "rules \"Twenty\" {" > rules
    split("damper.bore <= 13 mm|damper.shaft >= 2.5 mm|damper.stroke <= 30 mm|camber in -4 deg .. 0 deg|toe in -3 deg .. 3 deg|ride-height >= 18 mm|spring-rate <= 1.2 N/mm|damper.compensation in [bladder, vented]", corner, "|")
    for (i = 1; i <= 8; i++) printf "  rule \"c%d\" { for = each corner; require = %s }\n", i, corner[i] > rules
    split("mass >= 1474 g|width <= 250 mm|wheelbase in 250 mm .. 290 mm|length <= 400 mm|pinion >= 18|spur <= 96|count(damper) == 4|max(damper.bore) <= 13.2 mm|sum(ride-height) >= 72 mm|cg-height <= 60 mm|class == \"a\"|mass <= 2000 g or width <= 240 mm", car, "|")
    for (i = 1; i <= 12; i++) printf "  rule \"r%d\" { require = %s; tolerance = %s }\n", i, car[i], i ~ /^(2|3|4|8|9|10)$/ ? "0.1 mm" : "0" > rules
    print "}" > rules
  }'
  sed -i 's/; tolerance = 0 }/ }/' "$folder/rules.leaf"
}

# Writes a setup of the demo's car with a box and an aim that nothing meets, so that bounds leave
# out next to nothing.
write_box() {
  cat >"$1" <<'LEAF'
include "cars/plover/baseline.leaf"
setup "bench" from "Plover baseline" { }
box "bench" {
  oils    = ["clear 150", "clear 200", "clear 250", "clear 300", "clear 350", "clear 400",
             "clear 450", "clear 500", "clear 600", "clear 700", "steady 400"]
  springs = ["tenth long 0.37", "tenth long 0.41", "tenth long 0.45", "tenth short 0.46",
             "tenth short 0.52", "tenth short 0.58"]
  pistons = ["3 x 1.7, bore 13", "3 x 1.8, bore 13", "3 x 1.9, bore 13", "3 x 2.0, bore 13",
             "2 x 1.9 + 2 x 1.5, bore 13"]
  blends  = quarters
}
aim {
  rear.damping-ratio-slow  = 9 +- 0.01
  rear.settled-ride-height = 0 mm .. 90 mm
  keep                     = front
}
LEAF
}

# All sheets of the meeting, a process each.
print_singly() {
  local i
  for ((i = 1; i <= 200; i++)); do
    "$program" sheet "$work/meeting/$i/setup.leaf" "${library[@]}" -o "$work/single.pdf" 2>"$work/messages" ||
      { cat "$work/messages" >&2 && return 1; }
  done
}

row() { printf '%-44s %10s %10s\n' "$@"; }
ratio() { awk -v a="$1" -v b="$2" 'BEGIN { printf "%.2f", a / b }'; }
result() {
  local -r label=$1 name=$2
  shift 2
  row "$label" "$(awk -v us="$(median "$name")" 'BEGIN { printf "%.2f", us / 1000 }')" "$(peak "$@")"
}

# The commands that are measured.
check=("$program" check "$demo")
sheet=("$program" sheet "$demo" --against "$base" -o "$work/sheet.pdf")
"$bare" --fonts "$work"
bare_page=("$bare" "$work" "$work/bare.pdf")
"$build/tests/bench/marks" "$demo" "$base" "$work/marks"
bare_sheet=("$bare" "$work" "$work/bare.pdf" --marks "$work/marks")
# A yardstick that is measured where it happens to be installed.
peer_sheet=(/usr/bin/python3 "$(dirname "$0")/peer_pdf.py" "$work" "$work/peer.pdf" "$work/marks")
"${peer_sheet[@]}" >"$work/output" 2>&1 && has_peer=1 || has_peer=
cp -r "$(dirname "$demo")/.." "$work/sheets"
write_setups "$work/sheets/fifty" 50
write_setups "$work/sheets/thousand" 1000
fifty=("$program" check --root "$work/sheets" "$work"/sheets/fifty/*.leaf)
thousand=("$program" check --root "$work/sheets" "$work"/sheets/thousand/*.leaf)

write_meeting "$work/meeting" 200
library=(--library "$work/sheets/cars" --library "$work/sheets/library")
packet=("$program" meeting "$work/meeting/meeting.leaf" "${library[@]}" -o "$work/packet.pdf")
"${packet[@]}" 2>"$work/messages" || { cat "$work/messages" >&2 && exit 1; }
pages=$(pdfinfo "$work/packet.pdf" | awk '/^Pages/ { print $2 }')
bare_packet=("$bare" "$work" "$work/bare.pdf" "$pages")
singly=(print_singly)
write_entries "$work/entries" 1000
judged=("$program" scrutineer "$work/entries/rules.leaf" "$work/entries/meeting.leaf" --as json)

write_box "$work/sheets/box.leaf"
choice=("$program" choose "$work/sheets/box.leaf" --threads 2)
"${choice[@]}" --as json >"$work/choice"
combinations=$(sed -n 's/^ *"searched": *\([0-9]*\).*/\1/p' "$work/choice")
left_out=$(sed -n 's/^ *"left-out": *\([0-9]*\).*/\1/p' "$work/choice")

for command in check sheet bare_page bare_sheet fifty thousand packet bare_packet singly; do
  declare -n words=$command
  warm_up "${words[@]}"
done
# Some entries fail, which is what is to be found: then the status is 1.
"${judged[@]}" >"$work/judged" 2>&1 || [ $? -eq 1 ]
grep -q '"outcome": *"fail"' "$work/judged" || { echo "run.sh: nothing was judged" >&2 && exit 1; }
for ((i = 0; i < runs; i++)); do
  time_once bare_page "${bare_page[@]}"
  time_once bare_sheet "${bare_sheet[@]}"
  [ -z "$has_peer" ] || time_once peer_sheet "${peer_sheet[@]}"
  time_once sheet "${sheet[@]}"
  time_once check "${check[@]}"
done
for ((i = 0; i < runs; i++)); do
  time_once fifty "${fifty[@]}"
  time_once thousand "${thousand[@]}"
done
for ((i = 0; i < runs; i++)); do
  time_once bare_packet "${bare_packet[@]}"
  time_once packet "${packet[@]}"
  time_once judged "${judged[@]}" || true
  time_once choice "${choice[@]}"
  # Long, and only there to be compared with: a few runs are enough.
  [ $((i % 7)) -ne 0 ] || time_once singly "${singly[@]}"
done

row "whole process, median of $runs" "ms" "peak KiB"
result "bare PDF library, a page of 350 texts" bare_page "${bare_page[@]}"
result "bare PDF library, the marks of the demo" bare_sheet "${bare_sheet[@]}"
[ -z "$has_peer" ] || result "a PDF library of Python, the same marks" peer_sheet "${peer_sheet[@]}"
result "sheet of the demo, marked against its base" sheet "${sheet[@]}"
result "check of the demo" check "${check[@]}"
result "check of 50 setups in one call" fifty "${fifty[@]}"
result "check of 1000 setups in one call" thousand "${thousand[@]}"
result "packet of 200 entries, $pages pages" packet "${packet[@]}"
result "bare PDF library, as many pages" bare_packet "${bare_packet[@]}"
result "1000 entries judged by 20 rules" judged "${judged[@]}"
result "choice among $((combinations - left_out)) of $combinations, 2 threads" choice "${choice[@]}"
row "200 sheets, a process each (median of 3)" "$(awk -v us="$(median_of 3 singly)" 'BEGIN { printf "%.2f", us / 1000 }')" ""
row "sheet / bare PDF library, same marks" "$(ratio "$(median sheet)" "$(median bare_sheet)")" ""
row "sheet / bare PDF library, a page" "$(ratio "$(median sheet)" "$(median bare_page)")" ""
row "packet / bare PDF library" "$(ratio "$(median packet)" "$(median bare_packet)")" ""
row "packet / 200 processes" "$(ratio "$(median packet)" "$(median_of 3 singly)")" ""
row "1000 setups / 50 setups (20 is even)" "$(ratio "$(median thousand)" "$(median fifty)")" ""

"$build/tests/bench/latency" "$program" "$demo" | while read -r what middle greatest; do
  case $what in
  keystroke) row "problems after a keystroke, 300 lines (greatest $greatest)" "$middle" "" ;;
  completion) row "completion there (greatest $greatest)" "$middle" "" ;;
  esac
done

# Growth: so many setups that share a library, each with a file of its own.
for count in 10 100 1000 10000; do
  write_setups "$work/sheets/grown-$count" "$count"
  grown=("$program" check --root "$work/sheets" "$work/sheets/grown-$count"/*.leaf)
  warm_up "${grown[@]}"
  for ((i = 0; i < 5; i++)); do time_once "grown-$count" "${grown[@]}"; done
  row "check of $count setups (median of 5)" \
    "$(awk -v us="$(median_of 5 "grown-$count")" 'BEGIN { printf "%.2f", us / 1000 }')" "$(peak "${grown[@]}")"
done

"$build/tests/bench/reading"
"$build/tests/bench/solve" "$demo"
