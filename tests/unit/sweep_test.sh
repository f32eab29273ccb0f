#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The sweep command: how values come in from a shell, each format, what is told when something
# cannot be computed, and the exit status.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs pdftotext pdfinfo qpdf python3
demo=$root/sheets/sluice-lane/plover-dry.leaf
unset COLUMNS NO_COLOR

# ---- one setting

run 0 sweep "$demo" front.oil 250 cSt .. 500 cSt by 25 cSt && [ ! -s err ] && mv out one &&
  [ "$(grep -cE '^ +(2[57]|3[0257]|4[0257]|5[0])[05](  now)? ' one)" -eq 11 ] &&
  run 0 sweep "$demo" 'front.oil 250 cSt .. 500 cSt by 25 cSt' && cmp -s out one &&
  run 0 sweep "$demo" front.oil '250 cSt .. 500 cSt by 25 cSt' && cmp -s out one
result "a range comes in word by word, or quoted" $?
grep -q '^ *400  now  ' one && [ "$(grep -c now one)" -eq 2 ] && head -1 one | grep -qx 'Sluice Lane, dry' &&
  grep -q 'front.oil from 250 cSt to 500 cSt, 11 values; now clear 400' one && ! grep -q rear one
result "the row of the setup as it is has a word, and what does not move is left out" $?
# What the command says of a value is what `figures` says of a file with it.
{ cat "$demo" && echo 'setup "Thick" from "Sluice Lane, dry" { front { oil = 500 cSt } }'; } |
  sed "s|include \"\.\./|include \"|" >thick.leaf
"$pitleaf" figures thick.leaf --root "$root" --library "$root/sheets" --only damping-ratio-slow >wanted 2>&1
ratio=$(awk '/^  Damping ratio, slow  / { print $4; exit }' wanted)
[ -n "$ratio" ] && awk '/^  *500 / { print $2 }' one | grep -qx "$ratio"
result "a value's figures are those of a file that has it" $?
run 0 sweep "$demo" front.camber -1 deg .. -2 deg by 0.5 deg --figures camber-gain && grep -q '^ *-1.5 ' out
result "what is negative is no option" $?
run 0 sweep "$demo" rear.shock-top 1 .. 3 && grep -q '^  *2  now ' out
result "mounting holes" $?
run 0 sweep "$demo" car.mass 1.5 kg .. 1.6 kg by 25 g && grep -q '^  1.500  ' out && grep -q '^  1.580  now' out
result "the setup's own value has as many decimals as the others" $?
run 0 sweep "$demo" front.preload 0.08 in .. 0.12 in by 0.01 in --figures wheel-rate && out '; now 0.0886 in' && grep -q '^  0.0886  now' out &&
  run 0 sweep "$demo" car.air '[40 degF, 60 degF]' --figures wheel-rate && out '; now 64.4 °F' &&
  run 0 sweep "$demo" front.camber -1 deg .. -2 deg by 0.5 deg --figures camber-gain && out '; now -1.5°' && out '-1.5  now'
result "and the unit of the others" $?
run 0 sweep "$demo" car.mass 1.5 kg .. 1.6 kg --figures ride-frequency --as csv && mv out one &&
  run 0 sweep "$demo" car.mass 1.5 kg .. 1.6 kg --figures ride-frequency,ride-frequency --as csv && cmp -s out one
result "a figure that is asked for twice is there once" $?
COLUMNS=50 "$pitleaf" sweep "$demo" rear.shock-top 1 .. 3 >out 2>err &&
  [ "$(awk '{ if (length($0) > 50) n++ } END { print n + 0 }' out)" -eq 0 ] && [ "$(grep -c '^  *2  now' out)" -gt 1 ]
result "what has no room beside goes beneath" $?

# ---- names, two settings

run 0 sweep "$demo" 'front.spring ["tenth short 0.46", "tenth short 0.52"]' &&
  out 'tenth short 0.52  now' && out 'tenth short 0.46'
result "names of parts" $?
run 0 sweep "$demo" front.oil 300 cSt .. 400 cSt by 50 cSt car.air 0 degC .. 20 degC by 10 degC &&
  out 'Damping ratio, slow, front' && grep -q '^ *350 .*  .*  ' out && out 'car.air, °C' && out '18  now'
result "two settings" $?
"$pitleaf" sweep - front.oil 300 cSt .. 400 cSt --figures oil-viscosity --root "$root" >out 2>err <<'LEAF'
oil "a" { viscosity = 300 cSt }
setup "from a pipe" { front { oil = "a" } }
LEAF
[ $? -eq 1 ] && out '300  now' && out 'at every value: oil-viscosity: needs oil'
result "a file from standard input" $?

run 0 sweep "$demo" all.oil 300 cSt .. 400 cSt by 50 cSt && [ ! -s err ] && out 'now not the same everywhere' && out 'as it is now'
result "a wide scope takes the place of narrower ones without a word" $?

# ---- CSV and JSON

run 0 sweep "$demo" front.oil 300 cSt .. 400 cSt by 50 cSt 'rear.spring ["tenth long 0.41", "tenth long 0.45"]' \
  --figures damping-ratio-slow,first-to-stop --as csv && cat >read.py <<'PYTHON'
import csv, sys
rows = list(csv.reader(open("out", newline="", encoding="utf-8"), strict=True))
head = rows[0]
assert head[:2] == ["front.oil [cSt]", "rear.spring"], head
assert "front-left.damping-ratio-slow [1]" in head and "rear-right.first-to-stop" in head, head
assert len(rows) == 7 and all(len(row) == len(head) for row in rows), rows
assert [row[:2] for row in rows[1:3]] == [["300", "tenth long 0.41"], ["300", "tenth long 0.45"]]
assert {row[head.index("rear-left.first-to-stop")] for row in rows[1:]} <= {"shock", "chassis"}
float(rows[1][head.index("front-left.damping-ratio-slow [1]")])
PYTHON
/usr/bin/python3 read.py && grep -q "$(printf '\r')\$" out
result "CSV as RFC 4180 has it" $?
run 0 sweep "$demo" front.oil 300 cSt .. 400 cSt by 50 cSt --figures damping-ratio-slow --as json && cat >read.py <<'PYTHON'
import json
d = json.load(open("out", encoding="utf-8"))
assert d["setup"] == "Sluice Lane, dry" and d["diagnostics"] == []
assert d["sweep"] == [{"scope": "front", "key": "oil", "unit": "cSt", "values": [300, 350, 400], "now": 400}]
values = [p["figures"]["front-left"]["damping-ratio-slow"]["value"] for p in d["points"]]
assert [p["values"] for p in d["points"]] == [[300], [350], [400]]
assert d["now"] == d["points"][2]["figures"], d["now"]
assert values == sorted(values) and d["points"][0]["figures"]["front-left"]["damping-ratio-slow"]["unit"] == "1"
PYTHON
/usr/bin/python3 read.py
result "JSON" $?

# ---- what cannot be computed

run 1 sweep "$demo" 'front.spring [0.6 N/mm, 3 mm, "tenth short 0.46"]' --figures wheel-rate,travel-to-bind &&
  grep -q '^  3 mm  *–  *–' out && out 'front.spring = 3 mm: ' && out 'is a' &&
  out 'front.spring = 0.6 N/mm: travel-to-bind: needs spring.free-length' && grep -q '^  tenth short 0.46 .*[0-9]' out
result "a dash where nothing can be told, why beneath, and the others all the same" $?
! grep -q 'plover-dry.leaf:[0-9]*:[0-9]*: error' err && ! grep -qF 'front.spring = 3 mm' err
result "a mistake of a value is none of the file" $?
run 1 sweep "$demo" front.oil 250 mm .. 500 mm by 1 mm && [ ! -s out ] && err 'pitleaf: front.oil = 250 mm: ' &&
  err 'and the like at 248 more values' && [ "$(wc -l <err)" -lt 10 ]
result "no table where every value is a mistake" $?
run 1 sweep "$demo" 'front.oil [1 mm, 300 cSt]' --as csv && err 'pitleaf: front.oil = 1 mm: ' && grep -q '^"1 mm",,' out
result "CSV leaves out what cannot be told, and the message says why" $?
run 0 sweep "$demo" rear.toe 1 deg .. 3 deg && [ ! -s out ] && err 'no figure moves with rear.toe; --figures'
result "where no figure moves that is said" $?
run 0 sweep "$demo" 'front.oil ["clear 400"]' && [ ! -s out ] && err 'there is one value to go by' &&
  run 1 sweep "$demo" 'front.oil ["clear 400", "none such"]' && err 'There is no oil "none such"' && ! err 'no figure moves'
result "one value, which the setup has, moves nothing, and is not blamed on the setting" $?
run 1 sweep "$demo" front.shock-top 1 .. 9 && out 'front.shock-top = 6, and the like at 3 more: `shock-top` has no hole 6'
result "mistakes that are alike are told by the first" $?
run 0 sweep "$demo" front.limiter 0 mm .. 1 mm by 0.5 mm --figures rollout && grep -q '^ *0.5 ' out
result "a figure that was asked for is there though it does not move" $?
run 1 sweep "$root/tests/unit/fixtures/mistaken.leaf" front.oil 1 cSt .. 2 cSt && [ ! -s out ] &&
  err 'did you mean `spring`?' && [ "$(grep -c 'unknown-key' err)" -eq "$("$pitleaf" figures "$root/tests/unit/fixtures/mistaken.leaf" 2>&1 >/dev/null | grep -c unknown-key)" ]
result "mistakes of the file are told once, as elsewhere" $?
run 2 sweep nowhere.leaf front.oil 1 cSt .. 2 cSt && err nowhere.leaf
result "a file that is not there" $?

run 0 sweep "$demo" car.drive '["a", "b"]' --figures damping-ratio-slow && [ "$(sed -n '/car.drive  /,$p' out | grep -c '^$')" -eq 0 ]
result "no empty line where nothing has a unit" $?
run 0 sweep "$demo" front.preload 0 mm .. 1 mm by 1 mm car.air '[18 degC, 20 degC]' --figures wheel-rate && err 'and the like at 3 more combinations'
result "of two settings there are combinations" $?

# ---- usage

run 2 sweep "$demo" && err 'it is `pitleaf sweep FILE SCOPE.KEY VALUES…`' &&
  run 2 sweep "$demo" front.oil && err 'has no values behind it' &&
  run 2 sweep "$demo" front.oil 300 cSt .. 400 cSt by 0 cSt && err 'the step must not be zero' &&
  run 2 sweep "$demo" fromt.oil 300 cSt .. 400 cSt && err 'did you mean `front`?' &&
  run 2 sweep "$demo" front.preload 0 mm .. 500 mm by 1 mm && err '500 is the most' &&
  run 2 sweep "$demo" front.oil 1 cSt .. 2 cSt --figures preload && err '--figures takes figures' &&
  run 2 sweep "$demo" front.oil 1 cSt .. 2 cSt --figures wheel-rat && err 'did you mean `wheel-rate`?'
result "slips on the command line, with the mend" $?
run 2 sweep "$demo" front.oil 1 cSt .. 2 cSt --as csv -o t.csv && err '--output is for the page: write --as pdf, too' && [ ! -e t.csv ] &&
  run 2 sweep "$demo" front.oil 1 cSt .. 2 cSt --paper a4 && err '--paper is for the page'
result "options of paper without paper" $?
run 0 sweep --help && out "'front.spring [\"soft\", \"firm\"]'" && out '--figures KEYS'
result "the help shows how to quote" $?

# ---- paper

run 0 sweep "$demo" front.oil 250 cSt .. 500 cSt by 25 cSt --as pdf -o page.pdf && sound page.pdf &&
  pdftotext -layout page.pdf - >text && grep -q 'Sluice Lane, dry' text && grep -q 'now 0.63' text &&
  grep -q 'page 1 of 1' text && grep -q 'estimates for tuning' text && grep -q '250 cSt to 500 cSt' text
result "a page of small plots" $?
echo sheet >plover-dry.pdf
run 0 sweep "$demo" front.oil 250 cSt .. 500 cSt --as pdf && [ -s plover-dry-sweep.pdf ] &&
  err 'plover-dry-sweep.pdf written' && [ "$(cat plover-dry.pdf)" = sheet ] &&
  run 0 sweep "$demo" front.oil 250 cSt .. 500 cSt --as pdf -o - && head -c 5 out | grep -q '%PDF-'
result "the page has a name of its own, and leaves the sheet" $?
run 0 sweep "$demo" front.oil 250 cSt .. 500 cSt --as pdf --paper letter --direction landscape -o wide.pdf &&
  pdfinfo wide.pdf | grep -q 'Page size: *792 x 612'
result "paper and direction" $?
run 0 sweep "$demo" front.oil 250 cSt .. 500 cSt --as pdf --template "$root/sheets/languages/german/race-sheet.leaf" -o de.pdf &&
  pdftotext de.pdf - | grep -q 'jetzt 0.63' && pdftotext de.pdf - | grep -q 'Seite 1 von 1'
result "a page in another language" $?
run 0 sweep "$demo" car.mass 1.5 kg .. 1.6 kg --figures preload-needed --as pdf -o mass.pdf && pdftotext mass.pdf - >text &&
  run 0 figures "$demo" --only preload-needed && out ' 2.21 mm ' && out ' 5.71 mm' && grep -q 'now 2.21' text && grep -q 'now 5.71' text
result "the setup's own figures have their decimals on a coarse axis, too" $?
run 0 sweep "$demo" 'front.oil [400 cSt, 100 cSt, 500 cSt]' --figures pack-speed && out 'front.oil from 100 cSt to 500 cSt, 3 values'
result "a list in no order is told by its least and greatest value" $?
cat >own.leaf <<'LEAF'
damper "d" { bore = 12 mm; shaft = 3.5 mm; extended-length = 80 mm; stroke = 26 mm }
setup "own" { air = 20 degC; all { damper = "d"; oil = 300 cSt; piston = 2 x 1.6 mm } }
LEAF
cp own.leaf kept.leaf
run 2 sweep own.leaf front.oil 300 cSt .. 400 cSt --as pdf -o own.leaf && err 'is a file that the page is made from' &&
  cmp -s kept.leaf own.leaf
result "no page takes the place of a setup" $?

[ "$failures" -eq 0 ]
