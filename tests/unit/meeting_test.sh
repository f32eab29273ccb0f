#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The packet of a race day, as its printer meets it.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"


# packet STATUS ARGUMENT...: prints a meeting as packet.pdf; its text is in out.
packet() {
  wanted=$1
  shift
  rm -f packet.pdf
  "$pitleaf" meeting "$@" -o packet.pdf >out 2>err </dev/null
  [ $? -eq "$wanted" ] || { sed 's/^/# /' out err && return 1; }
  [ -s packet.pdf ] && qpdf --check packet.pdf >checked 2>&1 && grep -q "No syntax or stream" checked &&
    pdftotext -layout packet.pdf out
}

needs pdftotext qpdf

# ---------------------------------------------------------------- the demo

demo=$root/sheets/sluice-lane/round-3/round-3.leaf
set -- "$demo" --library "$root/sheets/cars" --library "$root/sheets/library"
packet 1 "$@" && out "Entries: 24" && out "Files with mistakes: 1 (entry 26" && out "Without a file: 1 (entry 31" && out "the file has mistakes" &&
  out "no file: blank form" && out "Entry 26 · Reed Brackwater" && out "A setup has no key" &&
  out "Wren at Sluice Lane" && out "Curlew, medium grip" && out "lbf/in" && err "decimal-comma"
result "a meeting of which one file has mistakes" $?
# Each page that the cover names is the entry's own: its number stands on it.
pdftotext -layout -f 1 -l 1 packet.pdf cover && awk '$1 ~ /^[0-9]+$/ && $NF ~ /^[0-9]+$/ { print $1, $NF }' cover >rows &&
  [ "$(wc -l <rows)" -ge 22 ] && while read -r number page; do
    # The cover is one page, and the others are numbered behind it.
    at=$((page + 1))
    pdftotext -layout -f $at -l $at packet.pdf - >here && grep -q "Entry $number" here &&
      grep -q "packet page $page " here || { echo "# entry $number is not on page $page" && exit 1; }
  done <rows
result "the cover's pages" $?
qpdf --json packet.pdf 2>/dev/null | grep -c '"/Title"' >titles && [ "$(cat titles)" -ge 25 ] ||
  { pdftotext packet.pdf - >/dev/null && qpdf --qdf --object-streams=disable packet.pdf - | grep -ac "/Title" >titles &&
    [ "$(cat titles)" -ge 25 ]; }
result "an outline with each entry" $?
cp packet.pdf first.pdf && packet 1 "$@" && cmp first.pdf packet.pdf &&
  (cd / && "$pitleaf" meeting "$@" -o "$work/second.pdf" >/dev/null 2>&1; [ $? -eq 1 ]) && cmp first.pdf second.pdf
result "the same bytes twice, and from another folder" $?
[ ! -t 2 ] && ! grep -q "of 24" err
result "silence in a pipe" $?

run 1 meeting "$@" --split single && [ "$(ls single | wc -l)" -eq 24 ] && [ -s single/entry-7.pdf ] &&
  [ -s single/entry-26.pdf ] && [ ! -e round-3.pdf ] && for file in single/*.pdf; do
    qpdf --check "$file" >checked 2>&1 && grep -q "No syntax or stream" checked || exit 1
  done
result "a file for each entry" $?
run 1 meeting "$@" --split single -o both.pdf && [ -s both.pdf ]
result "a file for each entry and the packet" $?
run 2 meeting "$@" --split "$demo" && err "cannot be made"
result "a folder that is a file" $?
packet 1 "$@" --template curves --template "build sheet" --paper letter && pdfinfo packet.pdf | grep -q "612 x 792" &&
  out "Entry 7"
result "other pages, another paper" $?

# ---------------------------------------------------------------- one bad entry

mkdir -p entries/1 entries/2 entries/3 entries/4 entries/5
echo 'setup "good" { pinion = 21 }' | tee entries/1/a.leaf entries/3/a.leaf >entries/5/a.leaf
echo 'include "../1/a.leaf"' >entries/2/a.leaf
mkfifo entries/4/a.leaf
cat >m.leaf <<'END'
meeting "M" {
  entry 1 { driver = "One"; setup = "entries/1/a.leaf" }
  entry 2 { driver = "Two"; setup = "entries/2/a.leaf" }
  entry 3 { driver = "Three"; setup = "entries/3/a.leaf" "another" }
  entry 4 { driver = "Four"; setup = "entries/4/a.leaf" }
  entry 5 { driver = "Five"; setup = "entries/5/absent.leaf" }
  entry 6 { driver = "Six \u{77ED}"; setup = "entries/5/a.leaf" }
  entry 7 { driver = "Seven"; setup = "entries/5/a.leaf" }
}
END
packet 1 m.leaf && out "Entries: 7" && out "Files with mistakes: 4" && out "Entry 7" && out "U+77ED" &&
  [ "$(grep -c "the file has mistakes" out)" -eq 4 ] && [ "$(grep -c "No sheet could be made" out)" -eq 4 ]
result "four bad entries spoil no other" $?
printf 'meeting "M" {\n  entry 1 { driver = "One"; setup = "entries/1/a.leaf" }\n  entry 2 { driver = "Two" }\n}\n' >m.leaf
packet 0 m.leaf && out "no file: blank form" && [ ! -s err ]
result "a meeting without mistakes, silent where nobody looks on" $?
run 0 meeting m.leaf && [ -s m.pdf ] && rm m.pdf
result "the packet is called like the meeting" $?
run 2 meeting m.leaf -o m.leaf && err "is a file that the packet is made from" && grep -q "meeting" m.leaf &&
  run 2 meeting m.leaf -o entries/1/a.leaf && err "is a file that the packet is made from" && grep -q good entries/1/a.leaf
result "a packet is not written over what it is made from" $?
mkdir -p faulty && for number in 39 40 41; do
  { echo 'setup "f" {' && for i in $(seq $number); do echo "  nothing-known-$i = 1"; done && echo '}'; } >faulty/$number.leaf
  printf 'meeting "M" {\n  entry 1 { setup = "faulty/%s.leaf" }\n}\n' $number >f.leaf
  packet 1 f.leaf && [ "$(grep -c "A setup has no key" out)" -eq $((number > 40 ? 40 : number)) ] &&
    [ "$(grep -c "and 1 more" out)" -eq $((number > 40)) ]
  result "the page of an entry with $number mistakes" $?
done
# What cannot be read is not known by its name either: here for its size.
mkdir -p large && head -c 9000000 /dev/zero | tr '\0' '#' >large/entry-2.pdf && ln large/entry-2.pdf large/hard.pdf &&
  ln -s entry-2.pdf large/soft.pdf && cksum <large/entry-2.pdf >large.sum
printf 'meeting "M" {\n  entry 1 { driver = "One" }\n  entry 2 { setup = "large/entry-2.pdf" }\n}\n' >large.leaf
kept() { cksum <large/entry-2.pdf | cmp -s - large.sum; }
for over in large/entry-2.pdf large/../large/entry-2.pdf large/hard.pdf large/soft.pdf "$PWD/large/soft.pdf"; do
  run 2 meeting large.leaf -o "$over" && err "it was to be read" && kept
  result "a packet is not written over $over, which cannot be read" $?
done
run 2 meeting large.leaf --split large && err 'large/entry-2.pdf` was not written: it was to be read' && kept && [ -s large/entry-1.pdf ]
result "single files are not written over what they are made from" $?
mkdir -p warned && echo 'setup "w" { all { preload = 90 mm } }' >warned/a.leaf
printf 'meeting "M" {\n  entry 1 { setup = "warned/a.leaf" }\n}\n' >w.leaf
packet 0 w.leaf && err '1 file of entries has warnings; `pitleaf check FILE` shows them' && ! grep -q "outside-usual" err
result "an entry's warnings are its own business" $?
printf 'meeting "M" { }\n' >none.leaf
packet 0 none.leaf && out "Entries: 0"
result "a meeting without entries" $?
printf 'meeting "A" { }\nmeeting "B" { }\n' >two.leaf
run 1 meeting two.leaf && err "--meeting" && packet 0 two.leaf --meeting B && out "B"
result "a file with two meetings" $?
run 1 meeting two.leaf --meeting C && err 'no meeting "C"'
result "a meeting that is not there" $?
echo 'setup "s" { pinion = 21 }' >not.leaf
run 1 meeting not.leaf && err "no packet was written"
result "a file without a meeting" $?
run 2 meeting absent.leaf && run 2 meeting && run 2 meeting m.leaf m.leaf
result "impossible meetings" $?
printf 'meeting "M" { template = "night sheet"\n  entry 1 { }\n}\n' >night.leaf
run 1 meeting night.leaf && err 'There is no template "night sheet"' && [ ! -e night.pdf ]
result "a meeting whose template is not there" $?
printf 'meeting "M" {\n  entry "../../x" { }\n  entry "a b" { }\n}\n' >odd.leaf
run 0 meeting odd.leaf --split odd && [ "$(ls odd)" = "$(printf 'entry-______x.pdf\nentry-a_b.pdf')" ]
result "no number leads out of the folder" $?

# Whoever writes strange words writes words: no command, no action, no page of another kind.
mkdir -p strange
cat >strange/a.leaf <<'END'
setup "a) Tj ET /JavaScript (app.alert\\(1\\)) \\" { notes = "endstream endobj << /OpenAction 1 >> (((( \\\\ )"; driver = "=cmd|' /C calc'!A0" }
END
printf 'meeting "M (1) \\\\ <<" {\n  entry 1 { setup = "strange/a.leaf" }\n}\n' >strange.leaf
packet 0 strange.leaf && out "endstream endobj << /OpenAction 1 >>" &&
  ! qpdf --qdf --object-streams=disable packet.pdf - | grep -aq "^ */OpenAction\|/JavaScript\|/JS "
result "words that look like a PDF's" $?

[ "$failures" -eq 0 ]
