#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What `choose` seldom meets: figures that nobody can tell, sides that differ, parts that do not
# fit, names that are taken, a search that ends on a terminal.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs python3
unset COLUMNS NO_COLOR
cp -r "$root/sheets" .

# json LINES: what Python says of the output, as `d`; nothing is nothing wrong.
json() {
  printf 'import json\nd = json.load(open("out", encoding="utf-8"))\n%s\n' "$1" >read.py && python3 read.py
}

# ---- figures that cannot be told

cat >lacking.leaf <<'END'
oil "thin" { viscosity = 200 cSt }
piston "p" { ports = 2 x 1.6 mm }
damper "d" { bore = 12 mm }
setup "s" { air = 20 degC; all { damper = "d"; oil = "thin"; piston = 2 x 1.4 mm } }
box "b" { oils = ["thin"]; pistons = ["p"] }
aim { front.damping-slow-compression = 30 N.s/m +- 1 N.s/m }
END
run 0 choose lacking.leaf && grep -q '^    front: Slow compression  -  *30.00 N·s/m ± 1 N·s/m  not known$' out && ! grep -q left out
result "a figure that is known at neither side" $?
sed 's/aim {/setup "one side" from "s" { front-left { damper = "whole" } }\n&/; s/^damper.*/&\ndamper "whole" { bore = 12 mm; shaft = 3 mm }/' lacking.leaf >one-side.leaf
run 0 choose one-side.leaf && grep -q 'Slow compression  [0-9.]* N·s/m left, - right' out && ! grep -q '[^0-9]0.00 N' out &&
  run 0 choose one-side.leaf --as json && json "
values = d['now'][0]['values']
assert d['now'][0]['met'] is False, d['now']
assert values['front-left'] > 0 and values.get('front-right') is None, values"
result "a figure that is known at one side alone" $?

# ---- sides that differ

cat >sides.leaf <<'END'
oil "thin" { viscosity = 200 cSt }
oil "thick" { viscosity = 300 cSt }
setup "s" {
  air = 25 degC
  front-left { oil = "thin" }
  front-right { oil = "thick" }
  rear { oil = "thin" }
}
setup "s, way 1" { }
box "b" { oils = ["thin", "thick"] }
aim { front.oil-viscosity = 195 cSt .. 205 cSt; rear.oil-viscosity = 150 cSt .. 220 cSt }
END
run 0 choose sides.leaf --setup s && out 'The aims part them into groups that are searched apart: 5.' &&
  out 'front: Oil  thin left, thick right → thin  an oil change' && out '200 cSt left, 300 cSt right → 200 cSt' &&
  out '195 cSt to 205 cSt' && [ "$(grep -c '^[0-9]' out)" -eq 7 ]
result "sides that differ, ranges, and a name that a setup of the file has" $?
sed 's/195 cSt .. 205/150 cSt .. 400/; s/rear.oil-v.*/}/' sides.leaf >met.leaf
run 0 choose met.leaf --setup s && out 'The setup meets the aim as it is.' && grep -q '^1   as it is: meets the aim$' out
result "an aim that is met as it is" $?
cat >holes.leaf <<'END'
include "sheets/cars/plover/baseline.leaf"
setup "s" from "Plover baseline" {
  front-left { shock-top { 1 = (32 mm, 77 mm); 2 = (37 mm, 79 mm); 5 = (40 mm, 80 mm) } }
}
box "b" { }
aim { front.damping-ratio-slow = 0.7 +- 0.01; keep = [rear, front.shock-bottom, front.preload] }
END
run 0 choose holes.leaf && grep -q '^2 combinations' out && out 'front: Shock, top  hole 2 → hole 1' && ! grep -q 'hole [35]' out
result "holes that only one side has are not tried" $?

# ---- parts that do not fit

cat >parts.leaf <<'END'
include "sheets/cars/plover/baseline.leaf"
include "sheets/library/springs.leaf"
include "sheets/library/pistons.leaf"
piston "huge" { diameter = 30 mm; thickness = 2.4 mm; ports = 2 x 1.6 mm }
spring "short" { free-length = 20 mm; wire = 2 mm; active-coils = 9; inside-diameter = 14 mm }
setup "heavy" from "Plover baseline" { air = 60 degC }
box "case" { pistons = ["huge", "3 x 1.8, bore 13"]; springs = ["short"] }
aim { rear.damping-ratio-slow = 0.6 +- 0.5; keep = [front, rear.shock-top, rear.shock-bottom, rear.preload] }
END
run 0 choose parts.leaf && out 'rear.piston = "huge" is left out: The piston "huge" does not fit the bore of' &&
  out "Note: At rear, the spring's free length is less than its coils are solid." &&
  err 'outside-usual' && ! grep -q 'Note: .air' out && run 0 choose parts.leaf --as json && json "
[remark] = d['remarks']
assert remark.startswith('rear.piston = \"huge\" is left out: '), remark
notes = {tuple(one['notes']) for one in d['best'] if 'short' in one['lines']}
assert notes and all('free length' in own[0] for own in notes), notes
assert all(one['notes'] == [] for one in d['best'] if 'short' not in one['lines'])
assert not any('huge' in one['lines'] for one in d['best'])"
result "what does not fit is left out; what a choice brings is noted, and what was there is not" $?
cat >again.leaf <<'END'
include "sheets/cars/plover/baseline.leaf"
spring "short" { free-length = 20 mm; wire = 2 mm; active-coils = 9; inside-diameter = 14 mm }
spring "shorter" { free-length = 19 mm; wire = 2 mm; active-coils = 9; inside-diameter = 14 mm }
setup "s" from "Plover baseline" { rear { spring = "short" }; front { collar = 3 mm } }
box "b" { springs = ["shorter"] }
aim { rear.damping-ratio-slow = 0.6 +- 0.5; front.preload-force = 1 N +- 2 N; keep = [front.spring, front.shock-top, front.shock-bottom, rear.shock-top, rear.shock-bottom, rear.preload] }
END
run 0 choose again.leaf && out 'rear: Spring  short → shorter' && ! grep -q 'Note: .*free length' out && ! grep -q 'Collar' out
result "what is as wrong as before is no note; beside preload collars stay" $?
python3 - >many.leaf <<'PYTHON'
names = [f"o{i}" for i in range(24)]
print('include "sheets/cars/plover/baseline.leaf"')
for i, name in enumerate(names):
    print(f'oil "{name}" {{ viscosity = {100 + i} cSt }}')
print('setup "s" from "Plover baseline" { }')
print('box "b" { blends = quarters; oils = [' + ", ".join(f'"{name}"' for name in names) + "] }")
print("aim { rear.damping-ratio-slow = 9 +- 0.1; keep = [front, rear.shock-top, rear.shock-bottom, rear.preload] }")
PYTHON
run 0 choose many.leaf --best 1 && out 'Of rear.oil the first 249 ways are varied.' && out '250 combinations.'
result "more ways than are tried" $?

# ---- a search that ends on a terminal

sed -n '/^cat >large.py/,/^PYTHON/p' "$root/tests/unit/choose_test.sh" | sed '1d;$d' |
  sed 's/range(20)/range(1)/; s/ratio = 0.9/ratio = 9/; s/slow = 0.8/slow = 9/g' | python3 - >long.leaf
cat >terminal.py <<'PYTHON'
import os, pty, subprocess, sys
main, end = pty.openpty()
with open("told", "wb") as told:
    running = subprocess.Popen([sys.argv[1], "choose", "long.leaf", "--best", "1"], stdout=told, stderr=end, stdin=subprocess.DEVNULL)
    os.close(end)
    shown = b""
    while True:
        try:
            more = os.read(main, 4096)
        except OSError:
            break
        if not more:
            break
        shown += more
assert running.wait() == 0, shown
# What was said last is wiped away.
assert shown.endswith(b"\r\x1b[K") and shown.count(b" combinations") >= 1, shown
assert b"combinations" in open("told", "rb").read()
PYTHON
run 0 choose long.leaf --best 1 && mv out piped && python3 terminal.py "$pitleaf" && cmp -s told piped
result "how far it is, on a terminal, is wiped away at the end" $?

[ "$failures" -eq 0 ]
