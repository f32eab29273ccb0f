#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The weather command: how the temperature comes in from a shell, what is told of each axle, and
# that the lines to write are of the language and do what is said of them.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
demo=$root/sheets/sluice-lane/plover-dry.leaf
unset COLUMNS NO_COLOR

run 0 weather "$demo" --air 9 degC && [ ! -s err ] && mv out one &&
  run 0 weather --air 9 degC "$demo" && cmp -s out one && run 0 weather "$demo" --air '9 degC' && cmp -s out one &&
  run 0 weather "$demo" --air=9degC && cmp -s out one && run 0 weather "$demo" --air 48.2 degF && cmp -s out one
result "a temperature comes in one word or two" $?
cp one out
out 'Air now 18 °C, then 9 °C' && out '18 → 9 °C' && out 'Front, now clear 400: left as it is, it damps 22.3 % more' &&
  out 'Rear, now 75 % clear 350 + 25 % clear 400: ' && out 'Equivalent oil'
result "what the temperature does, at each axle" $?
grep -q '^ *-0.9 %  half clear 300, half clear 350' one &&
  [ "$(grep -c '^            front { oil = ' one)" -eq 3 ] && [ "$(grep -c '^            rear { oil = ' one)" -eq 3 ]
result "three oils an axle, with their lines" $?

# The first line of each axle, written into a setup of that weather, damps as today.
{ cat "$demo" && echo 'setup "Cold" from "Sluice Lane, dry" {' && echo '  air = 9 degC' &&
  grep -m1 '^            front {' one && grep -m1 '^            rear {' one && echo '}'; } >cold.leaf
mkdir -p tree/sheets/sluice-lane && cp -r "$root/sheets/cars" "$root/sheets/library" tree/sheets/ &&
  cp cold.leaf tree/sheets/sluice-lane/ && cp "$demo" tree/sheets/sluice-lane/
"$pitleaf" compare tree/sheets/sluice-lane/plover-dry.leaf tree/sheets/sluice-lane/cold.leaf --root tree --setup Cold \
  --as json >compared.json 2>err
cat >read.py <<'PYTHON'
import json
d = json.load(open("compared.json", encoding="utf-8"))
moves = [f for f in d["figures"] if f["key"].startswith("damping-slow")]
assert moves, "nothing was compared"
for f in moves:
    off = f["setup"] / f["base"] - 1
    assert abs(off - (-0.009 if "front-left" in f["scopes"] else 0.0)) < 0.0006, (f, off)
PYTHON
/usr/bin/python3 read.py
result "the lines do what is said of them" $?

COLUMNS=52 "$pitleaf" weather "$demo" --air 9 degC >out 2>err && cat >read.py <<'PYTHON'
for line in open("out", encoding="utf-8"):
    assert len(line) <= 53 or " { oil = " in line, line
PYTHON
/usr/bin/python3 read.py && [ "$(grep -c '{ oil = ' out)" -eq 6 ]
result "a narrow terminal is kept to, but for the lines to copy" $?

run 0 weather "$demo" --air 18 degC && out 'left as it is, it damps as it does now' && out '0.0 %  as it is: clear 400'
result "the same weather asks for no other oil" $?
run 0 weather "$demo" --air 32 degC && out 'Front, now clear 400: left as it is, it damps 25.2 % less'
result "heat thins" $?
run 0 weather "$demo" --air 9 degC --as json && cp out weather.json && cat >read.py <<'PYTHON'
import json
d = json.load(open("weather.json", encoding="utf-8"))
assert d["setup"] == "Sluice Lane, dry" and d["diagnostics"] == []
assert d["temperature"] == {"of": "air", "now": 18, "then": 9, "unit": "degC"}
oil = d["figures"]["front-left"]["oil-viscosity"]
assert oil["unit"] == "mm2/s" and 1.2 < oil["then"] / oil["now"] < 1.23, oil
best = d["oils"]["rear"]["best"]
assert len(best) == 3 and best[0]["line"].startswith("rear { oil = blend("), best
misses = [round(abs(b["excess"]), 3) for b in best]
assert misses == sorted(misses), misses
assert not best[0]["unchanged"] and d["oils"]["front"]["unchanged"]["excess"] > 0.2
PYTHON
/usr/bin/python3 read.py
result "JSON" $?

cat >warm.leaf <<'LEAF'
damper "d" { bore = 12 mm; shaft = 3.5 mm; extended-length = 80 mm; stroke = 26 mm }
setup "warm" { oil-temperature = 35 degC; front { damper = "d"; oil = 300 cSt; piston = 2 x 1.6 mm } }
LEAF
run 1 weather warm.leaf --air 20 degC && out 'Oil now 35 °C, then 20 °C' &&
  out 'The setup gives oil-temperature' && out 'there is no oil to choose from' &&
  out 'Rear: the damping cannot be told' && out 'needs piston, damper, oil'
result "a setup that gives the oil's temperature, lacks an axle, and has no bottles" $?
# Only what the box has is offered, mixed only where it says so; without oils in it, all there are.
cold=$root/sheets/sluice-lane/plover-cold.leaf
mkdir -p there && cp -r "$root/sheets/cars" "$root/sheets/library" . && cp "$cold" there/cold.leaf
run 0 weather there/cold.leaf --air 20 degC --root . --as json && out '"clear 500"' && ! grep -q 'steady\|clear 150\|clear 700' out
result "the oils of the box, and no others" $?
sed -e 's/oils *= .*/oils = ["clear 500", "clear 350"]/' -e 's/blends *= .*/blends = none/' "$cold" >there/two.leaf
run 0 weather there/two.leaf --air 20 degC --root . && ! grep -q 'half' out && out 'clear 500'
result "a box whose oils are not mixed" $?
sed -e '/^  oils *= /d' "$cold" >there/none.leaf
run 0 weather there/none.leaf --air 20 degC --root . && out 'half'
result "a box without oils says nothing of them" $?
echo 'setup "nothing" { }' >nothing.leaf
run 1 weather nothing.leaf --air 20 degC && out 'Air now: not declared, so the oil is taken at 25 °C' && out 'Front: the damping cannot be told'
result "a setup that says nothing" $?
run 0 weather "$demo" --air 75 degC && err 'warning: car.air = 75 degC: '
result "weather that is not usual" $?
run 1 weather "$root/tests/unit/fixtures/mistaken.leaf" --air 9 degC && [ ! -s out ] && err 'did you mean `spring`?'
result "mistakes of the file" $?
run 2 weather "$demo" && err 'the temperature is lacking' && run 2 weather "$demo" --air 9 &&
  err '`9` is no temperature; write it with its unit' && run 2 weather "$demo" --air 9 mm &&
  err '`9 mm` is no temperature' && run 2 weather "$demo" nothing.leaf --air 9 &&
  err 'it is `pitleaf weather FILE --air TEMP`' &&
  run 2 weather --air 9 && err 'it is `pitleaf weather FILE --air TEMP`'
result "slips on the command line" $?

[ "$failures" -eq 0 ]
