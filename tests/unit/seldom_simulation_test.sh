#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What `drop` and `bump` seldom meet: corners that cannot be simulated, each for a reason of its own;
# coils that touch; a hole so deep that the chassis lands while the wheels hang.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs python3
unset COLUMNS NO_COLOR
cp -r "$root/sheets" .

# setup NAME LINES: a file of a setup that starts from the demo's.
setup() {
  printf 'include "sheets/cars/plover/baseline.leaf"\n%s\nsetup "s" from "Plover baseline" { air = 18 degC; %s }\n' \
    "${3:-}" "$2" >"$1.leaf"
}
# folded TEXT: the text stands in the output, however its lines are broken.
folded() { tr -s ' \n' ' ' <out >one-line && grep -qF -- "$1" one-line || { echo "# the output lacks: $1" && sed 's/^/# /' out && return 1; }; }

# ---- what is not simulated

none='damper "none" { bore = 13 mm; shaft = 3.5 mm; extended-length = 77 mm; stroke = 19.5 mm; compensation = none }
piston "one way" { thickness = 2.4 mm; ports = 2 x 1.6 mm one-way compression }'
setup reasons 'front-left { piston = "one way" }; front-right { damper = "none" }' "$none"
run 1 drop reasons.leaf && folded 'Front left not simulated: no port lets oil through one way: the shock is locked.' &&
  folded 'Front right not simulated: a shock without compensation has no room for its shaft.' && folded 'Rear the chassis touches'
result "two corners of an axle, each with its reason" $?
setup alike 'front { damper = "none" }' "$none"
run 1 drop alike.leaf && folded 'Front not simulated: a shock without compensation has no room for its shaft.'
result "two corners with one reason" $?
setup lacking 'front-left { damper = "no stroke" }; front-right { damper = "no length" }' \
  'damper "no stroke" { bore = 13 mm; shaft = 3 mm; extended-length = 77 mm; compensation = vented }
damper "no length" { bore = 13 mm; shaft = 3 mm; stroke = 19.5 mm; compensation = vented }'
run 1 drop lacking.leaf && folded 'Front left not simulated' && folded 'Front right not simulated' && out 'damper.stroke' && out 'damper.extended-length'
result "two corners of an axle that lack different things" $?
setup turned 'front { shock-top = (60 mm, -20 mm) }'
run 1 drop turned.leaf && folded 'Front not simulated: the linkage does not compress the shock all the way from full droop to full bump.' &&
  run 1 bump turned.leaf && folded 'Front not simulated: the linkage does not compress'
result "a linkage that turns the shock round" $?
setup stiff 'front { tyre-rate = 1e12 N/mm }'
run 1 drop stiff.leaf && folded 'Front not simulated: the motion is too stiff to be simulated: look for a slip in oil, ports and tyre rate.' && err 'outside-usual'
result "a tyre of rock" $?

# ---- ends of travel

setup bound 'front { spring = "bound"; preload = 0 mm }' \
  'spring "bound" { free-length = 26 mm; wire = 2 mm; active-coils = 9; inside-diameter = 14 mm; ends = closed }'
# Closed ends: solid at d (Na + 3) = 24 mm (Shigley, Table 10-1), which leaves 2 of 26 mm.
run 0 drop bound.leaf && grep -q "the spring's coils touch at" out && folded 'and lose 0.' && grep -q 'coils touch at [0-9.]* m/s and lose 0' one-line &&
  grep -q '^  Shock travel  *2.0 mm' out
result "coils that touch" $?

run 0 bump "$root/sheets/sluice-lane/plover-dry.leaf" && out 'Where the energy went' && ! grep -q 'How high it may fall' out &&
  run 0 drop "$root/sheets/sluice-lane/plover-dry.leaf" && out 'How high it may fall'
result "no heading above nothing" $?

# A hole of 100 mm: the wheels fall to full droop, and the chassis lands while they hang. What falls
# and what the road gives is what is stored, moving, dissipated and lost, at each corner.
setup hole 'front { oil = 1 cSt }; rear { oil = 1 cSt }'
run 0 bump hole.leaf --height -100 mm --length 600 mm --speed 6 m/s --as json && cat >read.py <<'PYTHON'
import json
d = json.load(open("out", encoding="utf-8"))
assert len(d["corners"]) == 4
for corner in d["corners"]:
    value = {key: one["value"] for key, one in corner["results"].items()}
    assert value["chassis-blows"] >= 1 and value["full-droop-blows"] >= 1, value
    parts = [value["energy-" + key] for key in ("stored", "moving", "damped", "friction", "chassis", "shock-ends")]
    assert value["energy-chassis"] > 0 and value["energy-shock-ends"] > 0, value
    given = value.get("energy-fallen", 0) + value.get("energy-road", 0)
    assert abs(sum(parts) - given) < 1e-5 * sum(abs(part) for part in parts), (parts, given)
PYTHON
python3 read.py
result "a chassis that lands while its wheels hang" $?

[ "$failures" -eq 0 ]
