#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The commands that simulate: what they print, in which forms, and what they refuse.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs qpdf pdffonts pdfinfo pdftotext
demo=$root/sheets/sluice-lane/plover-dry.leaf

# member FILE PATH: a number of the JSON, by a path of keys and places.
member() {
  /usr/bin/python3 -c 'import json, sys
at = json.load(open(sys.argv[1]))
for key in sys.argv[2].split("/"): at = at[int(key)] if key.isdigit() else at[key]
print(at if not isinstance(at, list) else len(at))' "$1" "$2"
}
# holds EXPRESSION: a comparison of numbers.
holds() { awk "BEGIN { exit !($1) }" || { echo "# it does not hold: $1" && return 1; }; }

# ---- drop

run 0 drop "$demo" && out "Sluice Lane, dry, dropped from 200 mm" && out "the chassis touches the ground at" &&
  out "Chassis clear up to" && out "Not accounted for" && out "hurts fingers" && [ ! -s err ]
result "a drop" $?
run 0 drop "$demo" --height 20 mm && out "dropped from 20 mm" && out "the chassis stays clear, by"
result "a drop that leaves the chassis clear" $?
for height in "20mm" "20 mm" "0.02 m" "2 cm"; do
  run 0 drop "$demo" --height "$height" && out "dropped from 20 mm" || break
done && run 0 drop --height=20mm "$demo" && out "dropped from 20 mm" && run 0 drop "$demo" --height 1 in --units imperial && out "dropped from 1 in"
result "a height, in one word or two" $?
run 0 drop "$demo" --as json && cp out drop.json && [ "$(member drop.json simulation)" = drop ] &&
  [ "$(member drop.json corners)" = 4 ] && [ "$(member drop.json height/value)" = 200.0 ]
result "a drop as JSON" $?
# What falls is what is stored, moving, dissipated and lost.
sum=0
for key in stored moving damped friction chassis shock-ends; do
  sum="$sum + $(member drop.json "corners/2/results/energy-$key/value")"
done
fallen=$(member drop.json corners/2/results/energy-fallen/value)
holds "($fallen) - ($sum) < 1e-4 * ($fallen) && ($fallen) - ($sum) > -1e-4 * ($fallen)"
result "the energies of the JSON balance" $?
# The highest drop that leaves the chassis clear does so, and 1 mm more does not.
clear=$(member drop.json corners/0/results/highest-clear-drop/value)
run 0 drop "$demo" --height "$clear mm" --as json && cp out clear.json &&
  [ "$(member clear.json corners/0/results/chassis-blows/value)" = 0.0 ] &&
  run 0 drop "$demo" --height "$(awk "BEGIN { print $clear + 1 }") mm" --as json && cp out more.json &&
  [ "$(member more.json corners/0/results/chassis-blows/value)" = 1.0 ]
result "the highest drop is that" $?
run 0 drop "$demo" --as csv && head -n 1 out | grep -q '^where,"time (ms)","chassis-height (mm)"' &&
  [ "$(grep -c '^rear-right,' out)" -gt 300 ] && ! grep -q 'nan\|inf' out
result "a drop as CSV" $?
run 0 drop "$demo" --as json --series && cp out series.json && [ "$(member series.json corners/0/series/time/values)" -gt 300 ]
result "every millisecond in the JSON" $?

# ---- bumps

run 0 bump "$demo" && out "a bump of 12 mm by 60 mm at 6 m/s" && out "Without contact" && out "Variation of load" &&
  out "rolls over a bump as a rigid wheel" && ! grep -q "fingers" out
result "a bump" $?
run 0 bump "$demo" --height 8 mm --length 80 mm --speed 5 m/s --repeat 5 --spacing 250 mm &&
  out "5 bumps of 8 mm by 80 mm, 250 mm apart, at 5 m/s"
result "a rhythm section" $?
# A bump says nothing of how high the car may fall, and this one tears no oil off.
run 0 bump "$root/sheets/dune-ladder/dunlin.leaf" --height 2 mm && out "Ends of travel" && ! grep -q "^How high it may fall\|^Oil" out
result "no heading stands above nothing" $?
# What moves less than anybody measures has settled, though the tyre goes on swinging.
run 0 bump "$demo" --height -20 mm && ! grep -q "over 5 s" out
result "a hole too narrow for the wheel" $?
run 0 bump "$demo" --height -5 mm && out "a hole of 5 mm by 60 mm"
result "a hole" $?
run 0 bump "$demo" --height -5 mm --repeat 2 --units imperial -o hole.pdf && pdftotext -layout hole.pdf text && grep -q "Over holes of 0.197 in by 2.36 in, 2 of them" text &&
  run 0 bump "$demo" --height -5 mm --repeat 2 && out ", 2 holes of 5 mm by 60 mm, 200 mm apart"
result "holes on paper" $?
run 0 bump "$demo" --as json && cp out bump.json && [ "$(member bump.json simulation)" = bump ] && [ "$(member bump.json repeat)" = 1 ] &&
  holds "$(member bump.json corners/0/results/without-contact/value) > 1 && $(member bump.json corners/0/results/without-contact/value) < 99"
result "a bump as JSON" $?

# ---- on paper

run 0 drop "$demo" --height 500 mm -o drop.pdf && sound drop.pdf && pdftotext -layout drop.pdf text &&
  grep -q "Dropped from 500 mm" text && grep -q "time from the touch, ms" text && grep -q "hurts fingers" text
result "the plots of a drop" $?
run 0 bump "$demo" --repeat 3 -o bump.pdf && sound bump.pdf && pdftotext -layout bump.pdf text &&
  grep -q "Over bumps of 12 mm by 60 mm, 3 of them, 200 mm apart, at 6 m/s" text
result "the plots of bumps" $?
# The cautions stay beside the plots.
run 0 drop "$root/sheets/sluice-lane/turnstone-dry.leaf" --paper letter -o letter.pdf && [ "$(pdfinfo letter.pdf | sed -n 's/^Pages: *//p')" = 1 ]
result "a drop is one page" $?
# Text and paper say the same, to the last digit.
run 0 bump "$demo" -o bump.pdf && pdftotext -layout bump.pdf text && run 0 bump "$demo" &&
  grep -q "front greatest $(sed -n 's/^  Shaft speed, in, left *\([0-9]*\) mm.s .*/\1/p' out)$" text &&
  grep -q "front greatest $(sed -n 's/^  Tyre force *\([0-9.]*\) N .*/\1/p' out)$" text
result "plots have the text's extremes" $?
run 0 bump "$demo" --repeat 1000 --spacing 60 mm -o long.pdf && pdftotext -layout long.pdf text && grep -q "The first 3 s are shown" text &&
  run 0 bump "$demo" -o short.pdf && pdftotext -layout short.pdf text && ! grep -q "are shown" text
result "what a plot leaves out is told" $?
run 0 drop "$demo" -o german.pdf --template "$root/sheets/languages/german/drop.leaf" && pdftotext -layout german.pdf text &&
  grep -q "Fall aus 200 mm" text
result "the plots of a drop in German" $?
cp "$demo" own.leaf && run 2 drop "$demo" -o "$demo" && err "is a file that the sheet is made from" && cmp -s "$demo" own.leaf
result "a file of the setup is not replaced" $?
run 0 curve "$demo" drop-force && out "Tyre force after a drop, front-left" && out "  dropped from 200 mm" &&
  run 0 curve "$demo" bump-height --as csv && ! grep -q "00000" out && run 0 curve "$demo" bump-height --as json && cp out curve.json &&
  [ "$(member curve.json simulation)" = bump ] && [ "$(member curve.json length/value)" = 60.0 ]
result "curves over time" $?

run 0 describe chassis-blow-speed && out "a result of \`pitleaf drop\` and \`pitleaf bump\`" && out "in m/s" && run 0 describe mean-load && out "a result of \`pitleaf bump\`"
result "what a result means" $?

# ---- the README

# Its blocks are what the command prints.
sed -n '/^## Dropped on the bench/,/^## /p' "$root/README.md" >section
block() { awk -v wanted="$1" '/^```/ { fences++; next } fences == 2 * wanted - 1 { print }' section; }
block 1 | sed 1d >sentences && block 2 >rows
command=$(block 1 | sed -n '1s/^\$ pitleaf drop //p')
# shellcheck disable=SC2086 -- words of a command line
[ -s sentences ] && [ -s rows ] && cd "$root" && "$pitleaf" drop $command >"$work/out" && cd "$work" &&
  head -n "$(wc -l <sentences)" out | diff sentences - && ! grep -vxFf out rows
result "the README shows what a drop prints" $?

# ---- what is refused, with the mend

run 2 drop "$demo" --height 200 && err "--height needs a unit: \`200 mm\`"
result "a height without a unit" $?
run 2 drop "$demo" --height 6 m && err "--height is 0 to 5000 mm, not \`6 m\`" && run 2 drop "$demo" --height -1 mm &&
  run 2 drop "$demo" --height 3 kg && err "as in \`200 mm\`, not \`3 kg\`" && run 2 drop "$demo" --height high && run 2 drop "$demo" --height 1.2.3 mm
result "heights that are none" $?
run 2 bump "$demo" --speed 60 m/s && err "--speed is 0.1 to 50 m/s" && run 2 bump "$demo" --repeat 0 && err "--repeat is a whole number" &&
  run 2 bump "$demo" --repeat 2.5
result "speeds and numbers that are none" $?
run 2 bump "$demo" --repeat 3 --spacing 30 mm && err "the bumps overlap" && run 2 bump "$demo" --spacing 300 mm && err "--repeat says how many"
result "bumps that overlap" $?
run 2 bump "$demo" --repeat 1000 --spacing 1 m --speed 0.1 m/s && err "at the most 60 s are simulated: fewer of them"
result "bumps that take too long" $?
run 2 drop "$demo" --speed 3 m/s && err "no option --speed" && run 2 drop && run 2 drop nowhere.leaf && run 2 drop "$demo" --series && err "--as json"
result "a drop that cannot be" $?
echo 'setup "Lone" { air = 20 degC; all { spring = 0.5 N/mm } }' >lone.leaf
run 1 drop lone.leaf && out "Front" && out "not simulated: it needs" && out "tyre-rate" && run 1 drop lone.leaf --as json && out '"tyre-rate"' &&
  run 1 drop lone.leaf --as csv && [ ! -s out ] && err "pitleaf: front is not simulated: it needs" && err "tyre-rate" &&
  run 1 drop lone.leaf -o lone.pdf && sound lone.pdf && err "pitleaf: rear is not simulated: it needs" &&
  pdftotext -layout lone.pdf text && grep -q "It needs arm, inner; arm, outer; wheel centre;" text
result "a setup that says too little" $?
# What cannot be followed is not left out in silence.
run 2 drop "$demo" --as json -o taken.json && err "-o writes plots as PDF" && [ ! -e taken.json ] && run 2 bump "$demo" --series -o taken.json && [ ! -e taken.json ] &&
  run 2 drop "$demo" --paper letter && err "write -o FILE.pdf, too" && run 2 bump "$demo" --template curves && run 2 bump "$demo" --direction landscape
result "options that do not go together" $?
echo 'setup "Wrong" { mass = 3 mm }' >wrong.leaf && run 1 drop wrong.leaf && [ ! -s out ] &&
  run 1 drop wrong.leaf -o wrong.pdf && [ ! -e wrong.pdf ]
result "a setup with mistakes" $?

# ---- special cars

cat >beam.leaf <<'END'
damper "d" { bore = 12 mm; shaft = 3 mm; stroke = 25 mm; extended-length = 86 mm; compensation = vented; oil-volume = 3 ml }
setup "Falling" {
  mass = 1500 g; front-share = 42 %; air = 20 degC
  front { axle-type = beam }
  rear { axle-type = beam }
  all {
    damper = "d"; spring = 0.25 N/mm; oil = 350 cSt; piston = 3 x 1.6 mm
    tyre-radius = 42 mm; tyre-rate = 2.5 N/mm; unsprung-mass = 70 g; ride-height = 25 mm
    wheel-centre = (100 mm, 17 mm); shock-top = (70 mm, 90 mm); shock-bottom = (80 mm, 12 mm)
  }
}
END
run 0 drop beam.leaf && out "no preload is declared" && out "Front  "
result "a beam, with the preload that is needed" $?
# Its seals hold the shaft, and the tyre, which damps nothing, goes on.
sed 's/stroke = 25 mm/stroke = 25 mm; seal-friction = 5 N/' beam.leaf >hops.leaf
run 0 drop hops.leaf && out "Settles after           over 5 s" && run 0 drop hops.leaf --as json && cp out hops.json &&
  [ "$(member hops.json corners/0/results/settle-time/over)" = 5000.0 ] && [ "$(member hops.json corners/0/results/settle-time/unit)" = ms ]
result "a corner that does not settle" $?
run 0 curve hops.leaf drop-height && out "  dropped from 200 mm; the first 2.00 s"
result "what a curve leaves out is told" $?
# What is noted besides is not the reason.
sed 's/unsprung-mass = 70 g/unsprung-mass = 369 g/' beam.leaf >heavy.leaf
run 1 drop heavy.leaf && out "not simulated: the unsprung mass leaves none of the corner's mass" && run 1 drop heavy.leaf --as json && cp out heavy.json &&
  [ "$(member heavy.json corners/0/reason)" = "the unsprung mass leaves none of the corner's mass to its spring" ] &&
  run 1 drop heavy.leaf --as csv && grep -q "^rear-left," out && ! grep -q "^front" out && err "pitleaf: front is not simulated: the unsprung mass leaves none"
result "a corner that is all wheel" $?
sed 's/vented/none/' beam.leaf >locked.leaf
run 1 drop locked.leaf && [ ! -s out ] && err "it locks before its stroke ends"
result "a shock without room" $?
{ echo 'spring "short" { wire = 1.2 mm; mean-diameter = 17.8 mm; total-coils = 10; ends = closed; material = music-wire; free-length = 30 mm }'
  sed 's/spring = 0.25 N.mm/spring = "short"; preload = 18 mm/' beam.leaf; } >bound.leaf
run 1 drop bound.leaf && out "not simulated: the coils touch at full extension"
result "a spring that binds at full extension" $?
sed 's/oil = 350 cSt/oil = 1000000 cSt/' beam.leaf >tar.leaf
run 1 drop tar.leaf && out "too stiff to be simulated: look for"
result "oil like tar" $?
sed 's/piston = 3 x 1.6 mm/piston = 3 x 1.6 mm one-way compression/' beam.leaf >shut.leaf
run 1 drop shut.leaf && out "not simulated: no port lets oil through one way"
result "a piston that is shut one way" $?

[ "$failures" -eq 0 ]
