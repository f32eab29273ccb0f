#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What `sweep`, `weather` and tolerances in `compare` seldom meet: values of which none moves what a
# racer asks for first, mistakes and remarks in JSON, sides that differ.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs python3
demo=$root/sheets/sluice-lane/plover-dry.leaf
mistaken=$root/tests/unit/fixtures/mistaken.leaf
unset COLUMNS NO_COLOR

# json LINES: what Python says of the output, as `d`; nothing is nothing wrong.
json() {
  printf 'import json\nd = json.load(open("out", encoding="utf-8"))\n%s\n' "$1" >read.py && python3 read.py
}

# ---- values that move nothing of what is asked for first

run 0 sweep "$demo" front.bump-spacer 0 mm .. 2 mm by 1 mm && [ ! -s out ] &&
  err 'none moves with front.bump-spacer; these do: --figures ' &&
  keys=$(sed -n 's/.*these do: --figures //p' err) && mv err told &&
  run 0 sweep "$demo" front.bump-spacer 0 mm .. 2 mm by 1 mm --figures "$keys" && [ ! -s err ] &&
  # Each that is named moves, so that its column is no single number.
  run 0 sweep "$demo" front.bump-spacer 0 mm .. 2 mm by 1 mm --figures "$keys" --as json &&
  json "
for key in '$keys'.split(','):
    at = [place for place, own in d['points'][0]['figures'].items() if key in own]
    assert any(len({str(p['figures'][place][key]) for p in d['points']}) > 1 for place in at), key"
result "the figures that move after all are named, as they can be written" $?
run 0 sweep "$demo" rear.toe 1 deg .. 3 deg front.bump-spacer 0 mm .. 2 mm &&
  err 'none moves with rear.toe and front.bump-spacer; these do: --figures ' &&
  run 0 sweep "$demo" rear.toe 1 deg .. 3 deg rear.camber -1 deg .. 0 deg && err 'no figure moves with rear.toe and rear.camber'
result "two settings that move nothing of it" $?
run 2 sweep "$demo" rear.toe 1 deg .. 3 deg --as pdf -o none.pdf && err 'there is nothing to draw' &&
  err 'no figure moves with rear.toe; --figures' && [ ! -e none.pdf ]
result "no page where there is nothing to draw" $?

# ---- the words of values

run 2 sweep "$demo" front.bogus 1 .. 2 && err 'there is no setting `bogus`; `pitleaf describe` lists them' &&
  run 2 sweep "$demo" front.shock-tops 1 .. 2 && err 'did you mean `shock-top`?' &&
  run 2 sweep "$demo" front.shock-top-holes 1 .. 2 && err '`front.shock-top-holes` is a block of holes; sweep the setting that takes one' &&
  run 2 sweep "$demo" front.oil 100 cSt .. 200 cSt by twenty && err '`twenty`: a step is a number with its unit'
result "keys and steps that are none" $?
run 1 sweep "$demo" front.preload '[1e20 mm, 3 mm]' --figures settled-ride-height && grep -q '^ *1e+20  *–' out &&
  grep -q '^ *2.25  now  *21.1' out && out '`preload` (1e+20 mm) leaves nothing of'
result "a value beyond all measure" $?
echo 'spring "soft" { rate = 0.52 N/mm; free-length = 40 mm }
setup "s" { all { spring = "soft" } }' >rated.leaf
run 0 sweep rated.leaf front.spring 0.42 N/mm .. 0.62 N/mm by 0.1 N/mm --figures shock-temperature && grep -q '^ *0.52  now ' out && out 'now soft' &&
  run 0 sweep "$demo" front.spring 0.4 N/mm .. 0.6 N/mm by 0.1 N/mm --figures wheel-rate && grep -q '^ *tenth short 0.52  now ' out
result "a spring that is fitted stands by its rate among rates, a wound one by its name" $?
run 1 sweep "$demo" 'front.spring [0.6 N/mm, 0.5 N/mm, "tenth short 0.46"]' --figures travel-to-bind &&
  out 'front.spring = 0.6 N/mm, 0.5 N/mm: travel-to-bind: needs'
result "values with one reason are told together" $?
run 0 sweep "$demo" front-left.preload 1 mm .. 2 mm && grep -q 'now 2.25 mm' out &&
  run 0 sweep "$demo" left.preload 1 mm .. 2 mm && grep -q 'now not the same everywhere' out
result "a corner has one value now, a side may have two" $?

# ---- mistakes and remarks

echo 'setup "s" { mass = 1200 kg; all { preload = 3 mm; ride-height = 20 mm } }' >warned.leaf
run 0 sweep warned.leaf front-left.preload '[1 mm, 40 mm]' --figures total-mass --as json &&
  [ "$(grep -c outside-usual err)" -eq 1 ] && json "
assert [p['code'] for p in d['diagnostics']] == ['outside-usual'], d['diagnostics']
assert len(d['remarks']) == 1, d['remarks']
remark = d['remarks'][0]
assert remark['points'] == [1] and remark['severity'] == 'warning' and 'preload' in remark['message'], remark
assert 'place' not in remark and remark['hint'], remark"
result "a warning of the file is none of the values" $?
run 0 sweep warned.leaf front-left.preload '[40 mm, 1 mm, 41 mm]' --figures total-mass --as json && json "
[remark] = d['remarks']
assert remark['points'] == [0, 2] and '40' in remark['message'] and remark['differs'] is True, remark" &&
  run 0 sweep warned.leaf front-left.preload '[1 mm, 40 mm]' --figures total-mass --as json && json "
assert 'differs' not in d['remarks'][0], d['remarks']"
result "a remark whose words are those of its first point says so" $?
run 1 sweep "$demo" 'front.preload [3 mm, 500 mm]' --figures settled-ride-height,first-to-stop --as json && json "
first, second = d['points']
assert first['figures']['front-left']['first-to-stop'] == {'value': 'shock'}, first
assert 'missing' not in first, first
assert 'front-left' not in second['figures'], second
assert {'figure': 'settled-ride-height', 'scope': 'front-left', 'why': 'the value is a mistake'} in second['missing'] or \
    all(m['why'] for m in second['missing']), second['missing']
assert any(r['severity'] == 'error' and 1 in r['points'] for r in d['remarks']), d['remarks']
assert d['sweep'][0]['now'] == 2.25, d['sweep']"
result "what cannot be told, in JSON" $?
run 0 sweep "$demo" front.shock-top 1 .. 3 --figures settled-ride-height --as json && json "
[remark] = [r for r in d['remarks'] if 0 in r['points']]
assert remark['place'].endswith('plover-dry.leaf:26'), remark"
result "a remark at a line of the file names it" $?
run 0 sweep "$demo" 'front.spring ["tenth short 0.46"]' --figures wheel-rate --as json && json "
assert d['sweep'][0]['now'] == 'tenth short 0.52', d['sweep']" &&
  run 0 sweep "$demo" front.oil 300 cSt .. 350 cSt by 50 cSt --figures wheel-rate --as json && json "
assert d['sweep'][0]['now'] == 400, d['sweep']"
result "what is now and none of the values, in JSON" $?
run 1 sweep "$mistaken" front.oil 1 cSt .. 2 cSt --as json && json "
assert d['setup'] is None and d['points'] == [] and d['diagnostics'][0]['code'] == 'unknown-key', d" &&
  run 1 weather "$mistaken" --air 9 degC --as json && json "
assert d['setup'] is None and 'oils' not in d and d['diagnostics'][0]['code'] == 'unknown-key', d" &&
  echo 'oil "x" { viscosity = 300 cSt }' >oil.leaf && run 1 figures oil.leaf --matched 0.02 mm --as json && json "
assert d['setup'] is None and d['diagnostics'][0]['code'] == 'nothing-to-print', d"
result "mistakes of the file, in JSON" $?
echo 'template "t" { nonsense = 3 }' >bad.leaf
run 1 sweep "$demo" front.oil 250 cSt .. 300 cSt by 25 cSt --as pdf -o none.pdf --template bad.leaf &&
  err 'has no key `nonsense`' && err 'no page was written, because of the errors in the template' && [ ! -e none.pdf ]
result "a template with a mistake" $?
run 0 sweep "$demo" all.oil 300 cSt .. 400 cSt by 50 cSt --as pdf -o page.pdf && pdftotext -layout page.pdf - | grep -q 'now not the same everywhere'
result "a page of values in place of several" $?

# ---- weather

cat >sides.leaf <<'END'
oil "thin" { viscosity = 300 cSt }
oil "thick" { viscosity = 400 cSt }
damper "d" { bore = 12 mm; shaft = 3.5 mm; extended-length = 80 mm; stroke = 26 mm }
setup "sides" {
  air = 20 degC
  front { damper = "d"; piston = 2 x 1.6 mm }
  front-left { oil = "thin" }
  front-right { oil = "thick" }
}
END
run 1 weather sides.leaf --air 9 degC && out 'left and right differ: this is their mean, for one oil in both' &&
  out 'as it is: left thin, right thick' && out 'Oil viscosity, left'
result "an axle whose sides have different oils" $?
# Slow damping goes by the viscosity: 300 cSt in both is so much below the mean of 300 and 400.
run 1 weather sides.leaf --air 20 degC --as json && json "
front = d['oils']['front']['best']
thin = next(one for one in front if one['oil'] == 'thin')
assert abs(thin['excess'] - (300 / 350 - 1)) < 1e-6, thin
assert d['oils']['rear'] == {'why': 'needs piston, damper, oil', 'best': []}, d['oils']['rear']
missing = d['figures']['rear-left']['oil-viscosity']
assert missing == {'unit': 'mm2/s', 'why': 'needs oil'}, missing"
result "what weather cannot tell, in JSON" $?

# ---- a move beside its tolerance

# (100^2 + 50^2)^1/2 = 112; front corners 0.225 of it; by the law of propagation for independent
# inputs (JCGM 100:2008, 5.1.2).
echo 'setup "base" { mass = 1500 g +- 100 g; front-share = 45 % }' >known.leaf
printf 'include "known.leaf"\nsetup "other" { mass = 1550 g +- 50 g; front-share = 45 %% }\n' >apart.leaf
run 0 compare known.leaf apart.leaf && out '1500 → 1550 g  (+50, less than its tolerance of 112)' &&
  out '338 → 349 g  (+11, less than its tolerance of 25)'
result "a move that is less than its tolerance" $?
printf 'include "known.leaf"\nsetup "lead" from "base" { ballast "l" { mass = 20 g; at = (0 mm, 0 mm, 9 mm) } }\n' >lead.leaf
run 0 compare known.leaf lead.leaf && out '1500 → 1520 g  (+20)'
result "one value in both setups moves both" $?
# The same lines in another file are other values: (3^2 + 3^2)^1/2 = 4.
echo 'setup "base" { mass = 1500 g +- 3 g; front-share = 45 % +- 0.5 % }' >two.leaf
{ cat two.leaf && echo 'setup "more" from "base" { mass += 1 g }'; } >copy.leaf
run 0 compare two.leaf copy.leaf && out '1500 → 1501 g  (+1, less than its tolerance of 4)'
result "the same line of another file is another value" $?
run 0 figures "$demo" --matched 0.02 mm --as csv && head -1 out | grep -q ',' && [ "$(wc -l <out)" -gt 3 ]
result "how far left and right are apart, as CSV" $?

[ "$failures" -eq 0 ]
