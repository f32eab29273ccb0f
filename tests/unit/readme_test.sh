#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The README's way for the organiser, copied from it into an empty folder: files, commands, and
# what they print.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs qpdf pdffonts pdftotext

sed -n '/^## For the organiser/,/^## /p' "$root/README.md" >section

# block NUMBER: what stands between the fences of the section's block of that number.
block() { awk -v wanted="$1" '/^```/ { fences++; next } fences == 2 * wanted - 1 { print }' section; }

block 1 >rules.leaf && block 2 >one.leaf && block 3 >two.leaf && block 4 >three.leaf && block 6 >meeting.leaf
block 5 | sed 1d >shown
[ -s rules.leaf ] && [ -s one.leaf ] && [ -s two.leaf ] && [ -s three.leaf ] && [ -s meeting.leaf ] && [ -s shown ]
result "the blocks are there" $?
run 0 check rules.leaf one.leaf two.leaf three.leaf && out "4 files checked: no problems"
result "the files have no mistakes" $?
# The line of the command, as it stands there.
command=$(block 5 | sed -n '1s/^\$ pitleaf //p')
[ -n "$command" ]
result "the command is there" $?
# shellcheck disable=SC2086 -- words of a command line
run 1 $command && diff shown out && sound list.pdf && pdftotext -layout list.pdf list && grep -q "Heron" list && grep -q "Four shocks" list
result "the command prints what is shown, and the list" $?
run 0 check meeting.leaf && run 0 scrutineer rules.leaf meeting.leaf && out "passes  7 Wren Alder, Heron (one.leaf)" &&
  out "total-mass: 1.505 kg measured, 1.480 kg declared, 0.025 kg apart" && out "passes  12 Moss Heron" &&
  out "cannot be judged  31 Reed Tern" && out "not declared: mass" && out "3 entries: 2 pass, 0 fail, 1 cannot be judged"
status=$?
[ $status -eq 0 ] || cat out
result "the meeting is judged" $status
run 1 scrutineer rules.leaf one.leaf two.leaf -o pages.pdf --template certificate && sound pages.pdf
result "a page for each entry" $?
# Every word in backquotes behind `pitleaf describe` is one that it knows.
grep -o '`pitleaf describe [a-z.-]*`' section | tr -d '`' | while read -r _ _ word; do
  run 0 describe "$word" || echo "$word"
done >unknown
[ ! -s unknown ]
result "what describe is asked is known" $?

# ---------------------------------------------------------------- exit statuses

run 0 scrutineer rules.leaf two.leaf
result "0: nothing fails" $?
echo 'setup "Open" { }' >open.leaf
run 0 scrutineer rules.leaf open.leaf && out "0 pass, 0 fail, 1 cannot be judged"
result "0: also where something cannot be judged" $?
run 1 scrutineer rules.leaf one.leaf && echo 'setup "Bad" { mas = 3 g }' >bad.leaf && run 1 scrutineer rules.leaf bad.leaf
result "1: an entry fails, or its file has mistakes" $?
echo 'rules "r" { rule "w" { require = widht <= 3 mm } }' >slip.leaf
run 1 scrutineer slip.leaf two.leaf && err "nothing was judged" && run 1 check slip.leaf
result "1: the rules have mistakes" $?
run 2 scrutineer absent.leaf two.leaf && run 2 scrutineer rules.leaf two.leaf -o absent/list.pdf && run 2 check absent.leaf
result "2: a file cannot be read or written" $?
echo 'rules "r" { rule "w" { require = width <= 250 m } }' >far.leaf
run 0 check far.leaf && err "did you mean \`250 mm\`?"
result "0: a warning alone" $?
printf 'meeting "m" { entry 1 { setup = "two.leaf" } }\n' >fine.leaf
printf 'meeting "m" { entry 1 { setup = "two.leaf" }; entry 2 { setup = "bad.leaf" } }\n' >mixed.leaf
printf 'meeting "m" { dat = 2026-06-14; entry 1 { setup = "two.leaf" } }\n' >wrong.leaf
run 0 meeting fine.leaf && [ -s fine.pdf ] && run 1 meeting mixed.leaf && [ -s mixed.pdf ] && run 1 meeting wrong.leaf &&
  [ ! -e wrong.pdf ] && run 2 meeting absent.leaf && run 2 meeting fine.leaf -o absent/packet.pdf
result "a packet: 0, 1 with an entry's mistakes, 1 without a packet, 2" $?

# What two commands print of the demo is as it stands there.
sed -n '/^## What if/,/^## For/p' "$root/README.md" >section
(cd "$root" && "$pitleaf" sweep sheets/sluice-lane/plover-dry.leaf front.oil 300 cSt .. 500 cSt by 50 cSt) >swept &&
  block 1 | sed 1d | diff - swept
result "a sweep prints what is shown" $?
(cd "$root" && "$pitleaf" weather sheets/sluice-lane/plover-dry.leaf --air 9 degC) >told &&
  sed -n '/^Front, now/,/^$/p' told | sed '$d' >front && block 2 | sed 1d | diff - front
result "the day's oil is as shown" $?

[ "$failures" -eq 0 ]
