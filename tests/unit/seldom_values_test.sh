#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Values and parts that setups seldom have, in the reports and on the sheets that show them.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs python3
unset COLUMNS NO_COLOR

# A base and a change of it, with all that is seldom.
cat >parts.leaf <<'END'
oil "thin" { viscosity = 300 cSt }
spring "soft" { rate = 0.4 N/mm; free-length = 20 mm }
spring "firm" { rate = 0.6 N/mm; free-length = 22 mm }
spring "wound" { mean-diameter = 15 mm; wire = 1.2 mm; groups = [4 coils gap 1.2 mm, 3 coils gap 0.5 mm]; free-length = 40 mm }
damper "one ring" {
  bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; stroke = 24 mm; compensation = emulsion
  seal { rings = 1; ring-inside = 2.9 mm; ring-section = 1.78 mm; gland-outside = 6 mm }
}
damper "with air" from "one ring" { air-volume = 0.5 ml; oil-volume = 4 ml }
END
cat >base.leaf <<'END'
include "parts.leaf"
setup "base" {
  track-name = "Sluice"; date = 2026-06-14
  all { ride-height = 20 mm; preload = 4 mm; damper = "one ring"; oil = "thin"; piston = 2 x 1.6 mm; spring = "wound" }
  all { extra { "Grease" = "thick"; "preload" = "by hand" } }
  ballast "lead" { mass = 20 g; at = (10 mm, 0 mm, 20 mm) }
}
END
cat >change.leaf <<'END'
include "base.leaf"
setup "change" from "base" {
  all { preload -= 1 mm }
  rear { ride-height *= 1.1 }
  front { extra { "Grease" = "thin" } }
  all { extra { "preload" = "by the clock" } }
}
END

run 0 explain change.leaf front-left.preload && out "takes off"
result "what a change takes off" $?
run 0 explain change.leaf rear-left.ride-height && out "multiplies"
result "what a change multiplies" $?
run 0 compare base.leaf change.leaf && out "Grease" && run 0 compare base.leaf change.leaf --as json &&
  out '"key": "extra preload"' && python3 -m json.tool out >/dev/null
result "an extra that is called like a setting" $?
printf 'include "base.leaf"\nsetup "heavier" from "base" { mass = 1.5 kg; front-share = 45 %%; ballast "lead" { mass = 90 g; at = (80 mm, 0 mm, 20 mm) } }\n' >heavier.leaf
printf 'include "base.leaf"\nsetup "light" from "base" { mass = 1.5 kg; front-share = 45 %% }\n' >light.leaf
run 0 compare light.leaf heavier.leaf && out "lead" && out "20 g at (10, 0, 20) mm → 90 g at (80, 0, 20) mm" && out "Total mass"
result "ballast that changes alone, and what it moves" $?
sed 's/mass = 1.5 kg/mass = 1.6 kg/; s/"heavier"/"both"/' heavier.leaf >both.leaf
run 0 compare light.leaf both.leaf && out "lead" && out "Total mass" && run 0 sheet both.leaf --against light.leaf --as boxes && out "lead"
result "ballast that changes beside the mass" $?
run 0 compare --convert base.leaf && out 'ballast "lead" = 20 g at (10, 0, 20) mm' && out 'extra "Grease" = '
result "ballast and extras, as git converts them" $?
run 0 sheet change.leaf --against base.leaf --as boxes && out "Grease, front" && out "Grease, rear" && out "lead"
result "extras of corners on the sheet" $?
run 0 sheet base.leaf --as boxes && out "Grease"
result "an extra that all corners share" $?
run 0 sheet base.leaf --template "build sheet" --as boxes && out "1 seal ring" && out "Leave air in the oil; cap on."
result "how a shock with one ring and an emulsion is built" $?
sed 's/damper = "one ring"/damper = "with air"/; s/spring = "wound"/spring = ["soft", "firm"]/' base.leaf >stack.leaf
run 0 sheet stack.leaf --template "build sheet" --as boxes && out "of air in the oil; cap on."
result "how one with air and stacked springs is built" $?
sed 's/track-name = "Sluice"/track-name = "Sluice\\tLane"/' base.leaf >tab.leaf
run 0 sheet tab.leaf --as boxes && out "Sluice Lane"
result "a tab in a text on paper" $?

cat >air.leaf <<'END'
include "parts.leaf"
oil "thinner" { viscosity = 250 cSt }
oil "thinnest" { viscosity = 200 cSt }
setup "warm" {
  air = 30 degC; width = 240 mm
  all { ride-height = 20 mm; preload = 4 mm; damper = "one ring"; oil = "thin"; piston = 2 x 1.6 mm; spring = "wound" }
}
setup "cold" from "warm" { air = 5 degC }
END
run 0 compare air.leaf air.leaf --base-setup warm --setup cold --as json && out '"equivalent-oil"' && python3 -m json.tool out >/dev/null
result "the oil that damps alike in the cold, as JSON" $?

cat >parallel.leaf <<'END'
include "sheets/cars/plover/baseline.leaf"
setup "flat" from "Plover baseline" {
  front { link-inner = (20 mm, 42 mm); link-outer = (100 mm, 43 mm); arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm) }
}
END
# Link and arm are a parallelogram: the wheel keeps its camber, of -1.5 degrees.
cp -r "$root/sheets" . && run 0 curve parallel.leaf camber --scope front-left && [ "$(grep -c '|.*\.' out)" -eq 1 ] &&
  grep -q '^ *-1.5 |1\.*2\.*3$' out
result "a level line is one line, at a tick" $?

# ---- what lacks a part, and what no oil can do

echo 'piston "p" { thickness = 2 mm }
oil "thin" { viscosity = 300 cSt }
damper "d" { bore = 12 mm; shaft = 3.5 mm; extended-length = 80 mm; stroke = 26 mm }
setup "s" { air = 20 degC; all { damper = "d"; oil = "thin"; piston = "p" } }' >no-ports.leaf
run 1 figures no-ports.leaf --only damping-slow-compression && out 'piston.ports  damping-slow-compression' && err 'has no `ports`'
result "a piston without ports" $?
sed '1d; s/piston = "p"/piston = 2 x 1.6 mm/' no-ports.leaf >thick.leaf &&
  echo 'setup "stuck" from "s" { all { oil = 1e9 cSt; piston = 1 x 0.2 mm } }' >>thick.leaf
run 0 compare thick.leaf thick.leaf --base-setup stuck --setup s && err "no oil gives the base's slow damping" &&
  ! grep -q "Oil for the base's" out
result "no oil in the world gives the base's damping" $?

# ---- files that lead to each other

printf 'include "b.leaf"\nsetup "a" from "b" { }\n' >a.leaf && printf 'setup "b" from "c" { }\nsetup "c" from "a" { }\n' >b.leaf
run 1 check a.leaf && err '"a" from "b" from "c" from "a"' && err 'a.leaf:2:16' && [ "$(grep -c from-circle err)" -eq 1 ]
result "a circle through two files is told once, from its first block" $?

# ---- two versions of a file with several setups

printf 'setup "a" { all { preload = 1 mm } }\nsetup "b" { all { preload = 1 mm } }\n' >old.leaf
printf 'setup "a" { all { preload = 1 mm } }\nsetup "b" { all { preload = 2 mm } }\n' >new.leaf
run 0 compare --external f.leaf old.leaf 1111111 100644 new.leaf 2222222 100644 && out '  setup "b"' && out '    all preload 1.00 → 2.00 mm' &&
  ! grep -q 'setup "a"' out
result "of several setups the one that changed has its name" $?
# Lines that were not understood are there as far as they were read.
printf 'setup "a" {\n  front Bore { preload = 1 mm }\n  = 3\n  foo bar baz\n}\nsetup "b" { spring = = 3 }\ndroop = 1 mm\n' >odd.leaf
sed 's/1 mm/2 mm/g; s/= 3/= 4/' odd.leaf >odder.leaf
run 0 compare --external f.leaf odd.leaf 1111111 100644 odder.leaf 2222222 100644 && out 'the older version has a mistake' &&
  out 'setup "a" preload: 1 mm → 2 mm' && out '  droop: 1 mm → 2 mm' && out 'setup "b" is new: 4' && out 'setup "b" is dropped: 3'
result "two versions with mistakes of syntax" $?

# ---- rules that look at words, and at sums

cat >words.leaf <<'END'
rules "r" {
  rule "Body" { for = each corner; require = damper.compensation == emulsion }
  rule "Sum" { require = (width) + 1 mm <= 250 mm }
}
END
cat >measured.leaf <<'END'
meeting "M" {
  entry 1 { driver = "Pip"; setup = "air.leaf" "warm"; measured { front { damper.compensation = bladder } } }
}
END
run 1 scrutineer words.leaf measured.leaf && out "fails: Body, front: bladder measured" && out "bladder measured, emulsion declared" &&
  run 1 scrutineer words.leaf measured.leaf -o words.pdf && [ -s words.pdf ]
result "a word that was measured" $?
demo=$root/sheets/sluice-lane/plover-dry.leaf
cat >stops.leaf <<'END'
rules "r" {
  rule "Stop" { for = each corner; require = first-to-stop == shock }
  rule "Bore" { require = (max(damper.bore)) <= 13 mm and (min(preload) + 1 mm) >= 0 mm }
}
template "club" from "race sheet" { paper = letter; club = "Tideline" }
END
run 0 scrutineer stops.leaf "$demo" --library "$root/sheets/cars" --library "$root/sheets/library" && out "1 entry: 1 passes" &&
  run 0 scrutineer stops.leaf "$demo" --library "$root/sheets/cars" --library "$root/sheets/library" -o club.pdf --template stops.leaf && [ -s club.pdf ]
result "a figure that is a word, and a club's own look" $?

# ---- what is said of rules and templates

# says TEXT WORDS: a check of that text says these words.
says() {
  printf '%s\n' "$1" | "$pitleaf" check - >out 2>err
  [ $? -eq 1 ] && err "$2"
}
# rule LINES WORDS: the same of one rule.
rule() { says "rules \"r\" { rule \"a\" { $1 } }" "$2"; }

rule "require = width == (1 mm .. 2 mm)" '`(1 mm .. 2 mm)` is a range: they do not compare' &&
  rule "require = width == [1 mm, 2 mm]" '`[1 mm, 2 mm]` is a list' &&
  rule "require = width == (1 mm < 2 mm)" '`(1 mm < 2 mm)` is a yes or no' &&
  rule "require = width == (1 mm, 2 mm)" '`(1 mm, 2 mm)` is a point' &&
  rule "require = class == 350 cSt at 25 degC" 'is no number and no text' &&
  rule "require = class < 3" '`class` is a text, and `3` is a plain number'
result "what does not compare is told by its kind" $?
rule "require = width + 1 mm <= 3" '`width + 1 mm` is a length; `3` has no unit' &&
  rule "require = (width) <= 3" '`(width)` is a length; `3` has no unit' &&
  rule "require = max(preload) <= 3" '`max(preload)` is a length; `3` has no unit'
result "what a number beside an expression lacks" $?
rule "for = all; require = preload <= 3 mm" '`for` wants `car`' &&
  rule "for = front-left; require = preload <= 3 mm" '`for` wants `car`' &&
  rule "for = nose; require = preload <= 3 mm" '`for` wants `car`'
result "places that a rule is not for" $?
says 'let a = 350 cSt at 25 degC + 1 mm' '`350 cSt at 25 degC` is a viscosity at a temperature' &&
  says 'let a = (4 coils gap 1 mm) + 1 mm' '`(4 coils gap 1 mm)` is a group of coils' &&
  says 'let a = (1 < 2) + 1 mm' '`(1 < 2)` is a yes or no' &&
  says 'setup "s" { all { preload = [4 coils gap 1 mm] } }' '`[4 coils gap 1 mm]` is a list'
result "what does not add up is told by its kind" $?
sed 's/4 coils/5 coils/' parts.leaf >more.leaf && sed 's/parts.leaf/more.leaf/' base.leaf >more-coils.leaf
run 0 compare base.leaf more-coils.leaf && out "coil groups 4 coils gap 1.2 mm" &&
  run 0 compare base.leaf base.leaf && out "Nothing differs"
result "groups of coils are compared one by one" $?
says 'rules "a" from "b" { }
rules "b" from "c" { }
rules "c" from "b" { }' 'These start from each other: "b" from "c"'
result "a circle that rules only lead into" $?
rule 'for = each axle; require = front.tire == "x"' 'did you mean `front.tyre`?' &&
  rule 'require = damper max bore <= 13 mm' '`damper max bore` stands side by side and compares nothing' &&
  rule 'require = rear.clearance > 3 mm' 'did you mean `rear.ride-height`?' &&
  rule 'for = each axle; require = max((preload)) <= 3' 'write `3 mm`'
result "other words for a key, behind a place" $?
says 'oil-scale "x" { foo { } }' "Each line of an oil scale is a weight"
result "a block in an oil scale" $?
says 'template "club" { runs "x" { } }' '`runs` takes no name' &&
  says 'template "club" { paper += letter }' '`paper` wants a new value behind `=`' &&
  says 'template "club" { section "A" { show = [3 mm] } }' 'No setting and no figure is called `3 mm`'
result "what a template does not take" $?

[ "$failures" -eq 0 ]
