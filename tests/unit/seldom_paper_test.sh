#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What pages seldom have: parts that share a name or a look, labels and names beyond measure, narrow
# columns, more changes than are told one by one, entries that fail and are mistaken, too.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs pdftotext python3
unset COLUMNS NO_COLOR
cp -r "$root/sheets" .

# setup NAME LINES PARTS: a file of a setup that starts from the demo's.
setup() {
  printf 'include "sheets/cars/plover/baseline.leaf"\n%s\nsetup "%s" from "Plover baseline" { air = 18 degC; %s }\n' \
    "${3:-}" "$1" "$2" >"$1.leaf"
}
# page NAME LINES: a template that starts from the race sheet.
page() { printf 'template "%s" from "race sheet" {\n%s\n}\n' "$1" "$2" >"$1.leaf"; }

# ---- parts

setup base 'front { spring = "soft" }' 'spring "soft" { rate = 0.4 N/mm; free-length = 40 mm }'
setup other 'front { spring = "soft" }' 'spring "soft" { rate = 0.6 N/mm; free-length = 40 mm }'
run 0 sheet other.leaf --against base.leaf --as boxes && out '"soft, otherwise"' && out 'front spring soft: rate 0.400 N/mm → 0.600 N/mm'
result "a part that differs within, under the same name" $?
setup named 'front-left { spring = 0.5 N/mm }; front-right { spring = "0.5 N/mm" }' \
  'spring "0.5 N/mm" { rate = 0.6 N/mm; free-length = 40 mm }'
run 0 sheet named.leaf --template "build sheet" --as boxes && out '"Front left"' && out '"Front right"' && ! grep -q '"Front: 2 alike"' out
result "a part that is called as another one reads" $?
setup alike 'front-left { spring = 0.5 N/mm }; front-right { spring = 0.5 N/mm }'
run 0 sheet alike.leaf --template "build sheet" --as boxes && out '"Front: 2 alike"'
result "parts that are alike without a name" $?
# The gas lets one cavitate later; what its piston does is the same.
setup gas 'front { oil = 1000 cSt }; front-right { damper = "charged" }' 'damper "charged" from "tenth short 13" { charge = 50 kPa }'
page force 'plot "Force" { curve = damper-force; at = front }
  plot "Both" { curve = spring-force; at = [front, rear-left] }'
run 0 sheet gas.leaf --template force.leaf --as boxes && out '"front left"' && out '"front right"' &&
  [ "$(grep -c '"cavitation' out)" -ge 2 ]
result "curves that differ by their marks alone are two lines" $?
says() { page "$1" "$2" && run 1 sheet base.leaf --template "$1.leaf" && err "$3"; }
says nowhere 'plot "P" { curve = camber; at = [front, middle] }' '`at` wants `all`, an axle, a side or a corner, or several in [ ]' &&
  says none 'plot "P" { curve = camber; at = [] }' 'wants `all`, an axle' && page all 'plot "P" { curve = camber; at = all }' &&
  run 0 sheet base.leaf --template all.leaf --as boxes && out '"P"'
result "places of a plot" $?

# ---- templates that change a base

page short 'beside { section "Drive" { show = [pinion] }; cautions "Mind" { items = ["Hot"] }; checklist "Look" { items = ["Bolts"] } }
  plan { measure = [ride-height, extras, ballast, camber] }'
run 0 sheet other.leaf --template short.leaf --as boxes && [ "$(grep -c '"Drive"' out)" -eq "$("$pitleaf" sheet other.leaf --as boxes | grep -c '"Drive"')" ] &&
  out '"Mind"' && out '"Hot"' && out '"Look"' && out '"Bolts"'
result "what stands beside changes with the first part that it names" $?

# ---- what has hardly any room

wide=$(python3 -c 'print(" ".join(["MMMMMMMMMM"] * 20))')
narrow() {
  page "$1" "labels { $2 = \"$wide\" }
    paper = letter; margin = 30 mm
    beside { $(for i in 1 2 3 4 5 6; do echo "section \"s$i\" { show = [$2] }"; done) }"
}
narrow figure damping-slow-compression && narrow setting preload
setup changed 'front { preload = 3 mm }'
run 0 sheet changed.leaf --template figure.leaf --as boxes && grep -q 'N·s/m"' out && grep -q '"MMMMMMMMMM' out &&
  run 0 sheet changed.leaf --template setting.leaf --against base.leaf --as boxes && out '"3.00 mm"' && out '"2.00"' &&
  run 0 sheet changed.leaf --template setting.leaf --against base.leaf -o narrow.pdf && sound narrow.pdf
result "labels beyond measure in narrow columns" $?
python3 - >long.leaf <<'PYTHON'
print('include "base.leaf"\nsetup "x%s" from "base" { air = 9 degC }' % ("é" * 1200))
PYTHON
run 0 sheet other.leaf --against long.leaf --as boxes && grep -q 'against xé* …, long.leaf' out &&
  grep '^text' out | grep -v 'long.leaf' | head -40 | sed -n '/"against/,/[^é]"$/p' >heading && [ "$(grep -o é heading | wc -l)" -ge 1200 ] &&
  run 0 sheet other.leaf --against long.leaf -o long.pdf && sound long.pdf
result "a base with a name of thousands of bytes, whole in the heading, cut between letters in the footer" $?
group="a group with a name so long that it never in the world fits beside the title of a page, whatever its type"
mkdir entries && echo 'setup "bare" { all { preload = 3 mm } }' >entries/bare.leaf && cat >meeting.leaf <<END
meeting "m" { entry 7 { driver = "A\nB\tC"; group = "$group"; setup = "entries/bare.leaf" } }
END
run 0 meeting meeting.leaf -o packet.pdf && pdftotext -layout packet.pdf text && tr -s '\n ' '  ' <text | grep -qF "Entry 7, group $group" &&
  sound packet.pdf
result "an entry of a group whose name does not fit beside the title stands whole beneath it" $?

# ---- more changes than are told one by one

python3 - <<'PYTHON'
def write(name, value):
    with open(name, "w", encoding="utf-8") as file:
        file.write('setup "s" {\n all { preload = %d mm }\n' % value)
        for i in range(300):
            file.write(' extra { "thing %d" = "%d" }\n' % (i, value))
        file.write("}\n")
write("few.leaf", 1)
write("more.leaf", 2)
PYTHON
run 0 sheet more.leaf --against few.leaf --as boxes && out '"45 more changes, not told one by one"' && run 0 compare few.leaf more.leaf && out '45 more changes'
result "more changes than are told by their effects" $?

# ---- scrutineering

cat >failing.leaf <<'END'
meeting "m" { entry 7 { driver = "A"; setup = "absent.leaf"; measured { mass = 1000 g } } }
rules "r" {
  rule "Mass" { require = mass >= 1500 g }
  rule "Both" { for = each corner; require = preload <= 9 mm or width <= 250 mm }
}
END
run 1 scrutineer failing.leaf failing.leaf -o list.pdf && pdftotext -layout list.pdf text && grep -q 'fails' text && grep -q 'the file has' text &&
  run 1 scrutineer failing.leaf failing.leaf --template certificate -o pages.pdf && pdftotext -layout pages.pdf text &&
  grep -q '! the file has mistakes' text && grep -q 'There is no file .absent.leaf.' text && grep -q '500 g beyond' text
result "an entry that fails by what was measured, and whose file is not there" $?
sed 's/absent.leaf/entries\/bare.leaf/; s/mass = 1000 g/mass = 1600 g; width = 240 mm/' failing.leaf >passing.leaf
run 0 scrutineer passing.leaf passing.leaf -o list.pdf && pdftotext -layout list.pdf text && [ "$(grep -c '240' text)" -eq 1 ]
result "what each corner's rule sees of the whole car stands once" $?

[ "$failures" -eq 0 ]
