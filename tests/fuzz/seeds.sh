#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Makes the inputs that fuzzing starts from, out of the checkout's own files; the working folder
# is its top. Usage: seeds.sh FOLDER   with a folder for each target in it.
set -eu

to=$1
rm -rf "$to"
for target in lexer parser tidy figures compare sheet sweep template rules editor; do
  mkdir -p "$to/$target"
done

# A file's path as a name.
name_of() {
  echo "$1" | tr '/ ' '--'
}

# A setup's file as a stranger would send it: what it includes is in the library, so that the
# input is short.
from_library() {
  folder=$(dirname "${1#sheets/}")
  awk -v folder="$folder" '
    /^include "/ {
      count = split(folder, parts, "/")
      path = $0
      gsub(/^include "|".*$/, "", path)
      written = path
      while (sub(/^\.\.\//, "", path)) count--
      for (i = count; i > 0; i--) path = parts[i] "/" path
      # What does not lie beside the file is in one of the folders that a meeting is given.
      if ((getline line <("sheets/" path)) < 0) path = "cars/" written
      if ((getline line <("sheets/" path)) < 0) path = "library/" written
      print "include \"" path "\""
      next
    }
    { print }' "$1"
}

find sheets templates tests/errors -name '*.leaf' | LC_ALL=C sort >"$to/files"
while read -r path; do
  name=$(name_of "$path")
  for target in lexer parser tidy; do cp "$path" "$to/$target/$name"; done
  case $path in
  sheets/languages/* | templates/*) targets=template ;;
  sheets/rules/* | sheets/*/round-3/round-3.leaf) targets=rules ;;
  sheets/*) targets='figures sheet compare rules' ;;
  tests/errors/*template* | tests/errors/*plot* | tests/errors/*column*) targets=template ;;
  tests/errors/*) targets='figures rules template' ;;
  esac
  for target in $targets; do
    case $path in
    sheets/*) from_library "$path" >"$to/$target/$name" ;;
    *) cp "$path" "$to/$target/$name" ;;
    esac
  done
done <"$to/files"

# Two versions of a file, and two setups in one.
for path in sheets/sluice-lane/*.leaf sheets/cars/*/baseline.leaf; do
  name=$(name_of "$path")
  {
    from_library "$path" | sed 's/ = 2\([0-9 ]\)/ = 3\1/; s/clear 4/clear 5/'
    echo '#@ second.leaf'
    from_library "$path"
  } >"$to/compare/two-$name"
  {
    from_library "$path"
    echo 'setup "Other" from "'"$(sed -n 's/^setup "\([^"]*\)".*/\1/p' "$path" | head -1)"'" {'
    echo '  front { ride-height += 1 mm; camber = -1 deg }'
    echo '}'
  } >"$to/sheet/two-$name"
  cp "$to/sheet/two-$name" "$to/figures/two-$name"
  cp "$to/sheet/two-$name" "$to/compare/both-$name"
done

# Values that a setting goes through, and another temperature.
number=0
while IFS='|' read -r path values air; do
  number=$((number + 1))
  {
    from_library "$path"
    echo "#@ sweep"
    echo "$values"
    echo "#@ air"
    echo "$air"
  } >"$to/sweep/$number"
done <<'END_OF_SWEEPS'
sheets/sluice-lane/plover-dry.leaf|front.oil 250 cSt .. 500 cSt by 50 cSt|9 degC
sheets/sluice-lane/plover-dry.leaf|front.spring ["tenth short 0.46", 0.5 N/mm, 3 mm]|-5 degC
sheets/sluice-lane/plover-dry.leaf|all.preload 4 mm .. 1 mm by 1 mm car.air [5 degC, 283.15 K, 68 degF]|90 degF
sheets/sluice-lane/plover-cold.leaf|rear.shock-bottom 1 .. 3 rear.piston ["3 x 1.7, bore 13", 3 x 1.8 mm]|20 degC
sheets/sluice-lane/turnstone-dry.leaf|left.ride-height [20 mm, 0.9 in, 1e3 mm]|300 K
sheets/short-oval/knot.leaf|front.oil [30 wt, 35 wt, 99 wt]|60 degF
sheets/dune-ladder/dunlin.leaf|car.mass 3 kg .. 3.5 kg|0 degC
END_OF_SWEEPS

# Rules, all of a file and each alone, on setups of their own file and of a meeting.
add_rules() {
  {
    echo "include \"cars/$2/baseline.leaf\""
    cat
    base=$(sed -n 's/^setup "\([^"]*\)".*/\1/p' "sheets/cars/$2/baseline.leaf")
    cat <<END_OF_MEETING
setup "Own" from "$base" { class = "2wd buggy"; all { ride-height = 15 mm; camber = -9 deg } }
meeting "Round" {
  date = 2026-06-14
  entry "7" { driver = "Wren Saltmarsh"; class = "4wd buggy"; setup = "second.leaf" }
  entry "9" { class = "2wd buggy"; measured { front { ride-height = 20 mm }; mass = 1600 g } }
}
#@ second.leaf
include "cars/$2/baseline.leaf"
setup "Second" from "$base" { width = 260 mm; rear { tyre = "spikes" } }
END_OF_MEETING
  } >"$to/rules/$1-$2"
}
for path in sheets/rules/*.leaf; do
  club=$(basename "$path" .leaf)
  for car in plover avocet knot; do
    from_library "$path" | grep -v '^ *#\|^$' | add_rules "$club" "$car"
  done
  number=0
  count=$(grep -c '^  rule ' "$path")
  while [ "$number" -lt "$count" ]; do
    number=$((number + 1))
    awk -v number="$number" '
      BEGIN { print "rules \"One\" {" }
      /^  rule / && ++seen == number { inside = 1 }
      inside
      /^  }/ { inside = 0 }
      END { print "}" }' "$path" | add_rules "$club-$number" plover
  done
done

# A template with a logo.
{
  from_library sheets/sluice-lane/round-3/club.leaf | sed 's/"[a-z]*\.png"/"logo.png"/'
  echo '#@ logo.png'
  cat sheets/sluice-lane/round-3/*.png
} >"$to/template/logo"

# Sessions of an editor, over each file that is short enough.
while read -r path; do
  [ "$(wc -c <"$path")" -lt 1600 ] || continue
  {
    echo '#@ open a.leaf'
    case $path in sheets/*) from_library "$path" ;; *) cat "$path" ;; esac
    cat <<'END_OF_SESSION'
#@ idle
#@ completion a.leaf 3 4
#@ hover a.leaf 4 4
#@ definition a.leaf 5 20
#@ references a.leaf 6 8
#@ prepareRename a.leaf 6 8
#@ rename a.leaf 6 8
another
#@ documentSymbol a.leaf
#@ foldingRange a.leaf
#@ inlayHint a.leaf 0 0 40 0
#@ semanticTokens/full a.leaf
#@ codeAction a.leaf 0 0 40 0
#@ formatting a.leaf
#@ change a.leaf 4 2 4 6
camber = 
#@ completion a.leaf 4 11
#@ open b.leaf
include "a.leaf"
setup "B" from "A" { front { oil = "clear 400" } }
#@ idle
#@ references b.leaf 1 8
#@ raw
{"method":"textDocument/didClose","params":{"textDocument":{"uri":"file:///b.leaf"}}}
END_OF_SESSION
  } >"$to/editor/$(name_of "$path")"
done <"$to/files"
cat >"$to/editor/raw" <<'END_OF_SESSION'
#@ raw
{"jsonrpc":"2.0","id":1,"method":"shutdown"}
#@ raw
{"jsonrpc":"2.0","id":"x","method":"textDocument/hover","params":{"textDocument":{"uri":"file:///a.leaf"},"position":{"line":1e9,"character":-1}}}
#@ raw
[1,2,{"id":null
#@ raw
{"id":{},"result":null}
#@ raw
{"method":"workspace/didChangeWatchedFiles","params":{"changes":[]}}
#@ raw
{"method":"exit"}
END_OF_SESSION
rm "$to/files"
