#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The scrutineer as an organiser meets it, with entries of people who mean no good.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"

escape=$(printf '\033')

# clean FILE: fails if a control character other than the ends of lines stands in a file, or one
# that changes the direction of text or parts lines (U+0080 to U+009F, U+2028 to U+202E, U+2066 to
# U+2069).
steering=$(printf '\302[\200-\237]\\|\342\200[\250-\256]\\|\342\201[\246-\251]')
clean() {
  LC_ALL=C tr -d '\n\r\040-\176\200-\377' <"$1" >controls
  [ ! -s controls ] && ! LC_ALL=C grep -q "$steering" "$1" || { echo "# not clean:" && cat -v "$1" | sed 's/^/# /' && return 1; }
}

# What is not clean is seen.
for harm in '\033' '\177' '\302\233' '\342\200\256' '\342\201\246'; do
  # shellcheck disable=SC2059 -- the harm is a format
  printf "a${harm}b\n" >harm && clean harm >seen && echo "$harm"
done >unseen
[ ! -s unseen ]
result "the test sees harm" $?

# lines NUMBER PATTERN: fails unless so many lines of the output match.
lines() {
  found=$(grep -c -- "$2" out)
  [ "$found" -eq "$1" ] || { echo "# $found lines match $2, not $1" && sed 's/^/# /' out && return 1; }
}

cat >rules.leaf <<'END_OF_RULES'
rules "Saltmarsh" {
  rule "Width" { require = width <= 250 mm; tolerance = 0.5 mm; measure = "gauge box"; because = "the gate is narrow" }
  rule "Class" { require = class in ["2wd", "4wd"] }
}
END_OF_RULES
echo 'setup "Dry" { width = 250 mm; class = "2wd" }' >good.leaf
echo 'setup "Wide" { width = 252 mm; class = "2wd" }' >wide.leaf
echo 'setup "Near" { width = 250.4 mm; class = "2wd" }' >near.leaf
echo 'setup "Open" { class = "2wd" }' >open.leaf
echo 'setup "Bad" { width = 250 }' >bad.leaf

# ---------------------------------------------------------------- what it says

run 0 scrutineer rules.leaf good.leaf && out "passes  Dry (good.leaf)" && out "1 entry: 1 pass" && [ ! -s err ]
result "a car that keeps all rules" $?
run 1 scrutineer rules.leaf wide.leaf && out "fails  Wide (wide.leaf)" && out "fails: Width: 252 mm;" &&
  out "width <= 250 mm, 2 mm beyond, with a tolerance of 0.5 mm" && out "wide.leaf:1 gives it" && out "the gate is narrow"
result "a car that is too wide" $?
run 0 scrutineer rules.leaf near.leaf && out "passes by the tolerance: Width: 250.4 mm;" && out "passes  Near"
result "a car that passes by the tolerance" $?
run 0 scrutineer rules.leaf open.leaf && out "cannot be judged  Open" && out "not declared: width" && out "measure: gauge box"
result "a car of which too little is known" $?
run 1 scrutineer rules.leaf bad.leaf good.leaf && out "its file has mistakes" && out "passes  Dry" &&
  out "2 entries: 1 passes, 0 fail, 1 cannot be judged"
result "a file with mistakes" $?
printf 'include "absent.leaf"\nsetup "Worse" { widht = 250 mm; width = }\n' >worse.leaf
run 1 scrutineer rules.leaf bad.leaf worse.leaf nowhere.leaf && grep -A 1 "^cannot be judged  Bad" out >part &&
  grep -qF '  its file has mistakes: bad.leaf:1:23: `width` is a length; `250` has no unit.' part &&
  out '    write `250 mm` if that is what you mean' &&
  out '  its file has mistakes: worse.leaf:1:9: There is no file `absent.leaf` to include.' &&
  out '    paths are relative to the file that has the include, then to each --library folder' &&
  out '    and 2 more; `pitleaf check FILE` tells all' &&
  out '  its file cannot be read: There is no file `nowhere.leaf`.'
result "the first mistake of a file, with place and mend" $?
printf 'setup "a" { width = 250 mm }\nsetup "b" { widht = 250 mm }\n' >several.leaf
printf 'setup "a" { width = 250 mm }\nsetup "b" { width = 250 mm }\n' >two-of-them.leaf
run 1 scrutineer rules.leaf several.leaf two-of-them.leaf &&
  out 'its file has mistakes: several.leaf:2:13: A setup has no key `widht`.' &&
  out 'its file has mistakes: two-of-them.leaf:1:1: This file has several setups: "a", "b".'
result "what is wrong goes before what could not be chosen" $?
run 1 scrutineer rules.leaf worse.leaf --as junit &&
  out '<error message="its file has mistakes: worse.leaf:1:9: There is no file `absent.leaf` to include."/>'
result "the first mistake in JUnit's XML" $?

run 1 scrutineer rules.leaf good.leaf wide.leaf open.leaf --as json && lines 3 '^  "file": ' &&
  lines 1 '^  "outcome": "pass"' && lines 1 '^  "outcome": "fail"' && lines 1 '^  "outcome": "unknown"' &&
  out '"value": 252.0' && out '"limit": 250.0' && out '"excess": "2 mm"' && out '"line": 1' &&
  [ "$(head -n 1 out)" = '{"entries": [' ] && [ "$(tail -n 1 out)" = ']}' ] && lines 2 '^,$'
result "as JSON" $?
run 0 scrutineer rules.leaf open.leaf --as json && out '"value": null' && out '"at": null' && out '"width"'
result "what is not known as JSON" $?
run 1 scrutineer rules.leaf good.leaf wide.leaf open.leaf --as csv && [ "$(wc -l <out)" -eq 7 ] &&
  out '"wide.leaf","Wide","2wd","Width","car","fail","252 mm","250 mm","2 mm","no","no","wide.leaf:1","gauge box"' &&
  lines 1 '"unknown"' && lines 7 "$(printf '\r')\$"
result "as CSV" $?
run 1 scrutineer rules.leaf good.leaf wide.leaf open.leaf bad.leaf --as junit && lines 4 '<testsuite name=' && lines 4 '</testsuite>' &&
  lines 1 '<failure message="fails: Width: 252 mm; it has to be width &lt;= 250 mm' && lines 3 '<skipped ' &&
  lines 1 '<error ' && out 'tests="3" failures="0" skipped="2" errors="1"' && [ "$(tail -n 1 out)" = '</testsuites>' ]
result "as JUnit's XML" $?

# ---------------------------------------------------------------- how it ends

run 2 scrutineer rules.leaf good.leaf --template certificate && err "--template is for what -o writes" && out "passes  Dry"
result "pages without a file to write" $?

run 2 scrutineer && run 2 scrutineer rules.leaf && run 2 scrutineer rules.leaf good.leaf --as pdf
result "calls that make no sense" $?
run 2 scrutineer rules.leaf nowhere.leaf && out "cannot be judged  nowhere.leaf" && out 'There is no file `nowhere.leaf`' &&
  run 2 scrutineer rules.leaf nowhere.leaf nothing.leaf --as csv && run 1 scrutineer rules.leaf nowhere.leaf good.leaf
result "files of which none is there" $?
# A value that is computed names the lines that it was made of.
cat >made.leaf <<'END'
rules "Made" {
  rule "Light" { require = total-mass <= 1 kg }
  rule "Soft"  { for = each corner; require = spring-rate <= 0.4 N/mm }
}
END
cat >heavy.leaf <<'END'
spring "wound" {
  wire = 1.2 mm; mean-diameter = 18 mm
  active-coils = 8
  material = music-wire
}
setup "Heavy" {
  mass = 1580 g
  front { spring = 0.5 N/mm }
  rear { spring = "wound" }
}
END
run 1 scrutineer made.leaf heavy.leaf && grep -A 1 'fails: Light: 1.580 kg' out | grep -qF '    heavy.leaf:7 gives it' &&
  grep -A 1 'fails: Soft, front: 0.500' out | grep -qF '    heavy.leaf:8 gives it' &&
  grep -A 1 'fails: Soft, rear: ' out |
  grep -qF '    made of spring, heavy.leaf:9; spring.active-coils, heavy.leaf:3; spring.wire, heavy.leaf:2; and 1 more'
result "the lines of what is computed" $?
sed 's/  rear { spring = "wound" }/  rear-left { spring = "wound" }\n  rear-right { spring = "wound" }/' heavy.leaf >apart.leaf
run 1 scrutineer made.leaf apart.leaf && out 'made of spring, apart.leaf:9' && out 'made of spring, apart.leaf:10'
result "two corners that fail alike by other lines" $?
run 1 scrutineer made.leaf heavy.leaf --as json && out '"made-of"' && out '"key": "spring.active-coils"'
result "the same in JSON" $?
printf 'setup "Laden" {\n  mass = 980 g\n  ballast "brass" { mass = 30 g; at = (0 mm, 0 mm, 5 mm) }\n}\n' >laden.leaf
run 1 scrutineer made.leaf laden.leaf && out '    made of mass, laden.leaf:2; ballast, laden.leaf:3'
result "ballast among them" $?
run 2 scrutineer absent.leaf good.leaf && err "nothing was judged" && [ ! -s out ]
result "rules that are not there" $?
run 1 scrutineer good.leaf good.leaf && err "There are no rules in this file" && [ ! -s out ]
result "a file without rules" $?
run 1 scrutineer rules.leaf good.leaf --rules Saltmarch && err 'There are no rules "Saltmarch"' && [ ! -s out ]
result "a name that no rules have" $?
printf 'rules "r" { rule "Width" { require = widht <= 250 mm } }\n' >wrong.leaf
run 1 scrutineer wrong.leaf good.leaf && err "did you mean" && err "nothing was judged" && [ ! -s out ]
result "rules with a mistake judge nobody" $?
printf 'rules "a" { rule "Width" { require = width <= 250 mm } }\nrules "b" { rule "Width" { require = width <= 260 mm } }\n' >two.leaf
run 1 scrutineer two.leaf wide.leaf && err "name one with --rules" && run 1 scrutineer two.leaf wide.leaf --rules a &&
  run 0 scrutineer two.leaf wide.leaf --rules b
result "one of several sets of rules" $?

# ---------------------------------------------------------------- meetings

mkdir -p e/1 e/2 e/3
cp good.leaf e/1/a.leaf && cp wide.leaf e/2/a.leaf && cp wide.leaf e/3/a.leaf
cat >meeting.leaf <<'END_OF_MEETING'
meeting "Sluice Lane" {
  entry 1 { driver = "Wren Alder"; setup = "e/1/a.leaf"; class = "truck" }
  entry 2 { driver = "Moss Heron"; setup = "e/2/a.leaf"; measured { width = 250 mm } }
  entry 3 { driver = "Reed Tern"; setup = "e/3/absent.leaf" }
  entry 4 { driver = "Pip Sedge"; measured { width = 251 mm } }
}
END_OF_MEETING
run 1 scrutineer rules.leaf meeting.leaf && out "fails  1 Wren Alder, Dry (e/1/a.leaf)" && out "Class: truck" &&
  out "passes  2 Moss Heron" && out "width: 250 mm measured, 252 mm declared, 2 mm apart" &&
  out "cannot be judged  3 Reed Tern" && out "fails  4 Pip Sedge (no file)" && out "251 mm measured" && out "meeting.leaf:5 gives it" &&
  out "4 entries: 1 passes, 2 fail, 1 cannot be judged"
result "the entries of a meeting" $?
run 1 scrutineer rules.leaf meeting.leaf --as json && out '"declared"' && out '"key": "width"' && out '"scope": "car"' &&
  python3 -m json.tool out >/dev/null
result "what was measured beside what is declared, as JSON" $?
run 0 check meeting.leaf && err 'meeting.leaf:4:43: warning[entry-file]: The file of entry 3, `e/3/absent.leaf`, is not there.' &&
  err 'look for a slip in the path, which counts from the folder of this file' && out "0 errors, 1 warning"
result "check finds an entry whose file is not there" $?
printf 'meeting "next" from "Sluice Lane" { entry 1 { setup = "e/9/a.leaf" } }\ninclude "meeting.leaf"\n' >next.leaf
run 0 check next.leaf && err 'next.leaf:1:55: warning[entry-file]: The file of entry 1, `e/9/a.leaf`, is not there.' &&
  out "0 errors, 1 warning"
result "an entry of another file is that file's affair" $?
# No line of the setup gives the class that the organiser says.
run 1 scrutineer rules.leaf meeting.leaf && ! grep -q "e/1/a.leaf:1 gives it" out
result "the organiser's class is no entrant's fault" $?
printf 'meeting "M" {\n rules = "Club"\n entry 1 { setup = "e/1/a.leaf" }\n}\n' >named.leaf
run 0 scrutineer rules.leaf named.leaf && err 'warning[other-rules]: The meeting "M" names the rules "Club"; its entries are judged by' &&
  run 0 scrutineer rules.leaf named.leaf --rules Saltmarsh && ! err 'other-rules'
result "a meeting that names other rules" $?
cat >unfit.leaf <<'END_OF_MEETING'
meeting "M" {
  entry 1 { setup = "e/1/a.leaf"; measured { width = 260 g } }
  entry 2 { setup = "e/1/a.leaf" }
  entry 3 { setup = "e/1/a.leaf"; measured { widht = 250 mm; front { rear { width = 250 mm } } } }
  entry 4 { setup = "e/2/a.leaf"; class = 4wd }
  entry 5 { setup = "e/2/a.leaf"; measured { width == 3 mm } }
  entry 6 { setup = "e/2/a.leaf" }
}
END_OF_MEETING
run 1 scrutineer rules.leaf unfit.leaf && err '`width` is a length; `260 g` is a mass' && lines 4 "^cannot be judged" &&
  out "the meeting has mistakes about it: unfit.leaf:2:54: " && out "    give it in mm" && out "unfit.leaf:4:46: " &&
  out "and 1 more" && out "unfit.leaf:5:44: " && out "unfit.leaf:6:52: " && out "passes  2" && out "fails  6" &&
  out "6 entries: 1 passes, 1 fails, 4 cannot be judged"
result "a mistake in what was measured spoils its entry alone" $?
run 1 scrutineer rules.leaf unfit.leaf -o unfit.pdf && [ -s unfit.pdf ]
result "and the list is there" $?
printf 'meeting "M" {\n entry 1 { setup = "e/1/a.leaf"; measured { width = 260 g } }\n entry 2 { setup = "e/1/a.leaf" }\n}\n' >measured.leaf
run 1 meeting measured.leaf -o measured.pdf && err '`width` is a length; `260 g` is a mass' && [ -s measured.pdf ]
result "the packet does not need what was measured" $?
for spoilt in 'entry 2 { measured { width = 250 mm } ' 'entry 2 { driver = "open } ' 'entry { }' 'entry 1 { }' 'date = 3'; do
  printf 'meeting "M" {\n entry 1 { setup = "e/1/a.leaf" }\n %s\n entry 3 { }\n}\n' "$spoilt" >spoilt.leaf
  run 1 scrutineer rules.leaf spoilt.leaf && err 'the entries of `spoilt.leaf` were not judged' && lines 0 '^passes\|^cannot' || echo "$spoilt"
done >whole
[ ! -s whole ] || cat whole
[ ! -s whole ]
result "a mistake that may hide entries stops the meeting" $?

# ---------------------------------------------------------------- entrants who mean no good

# Every kind of harm in names and values; the last is no UTF-8.
printf 'setup "raw %s[2J" { width = 252 mm }\n' "$escape" >h1.leaf
printf 'setup "escaped \\u{1B}[2J" { width = 252 mm; class = "\\u{9B}31m" }\n' >h2.leaf
printf 'setup "lines" { width = 252 mm; class = "x\\npasses  Dry (good.leaf)\\n1 entry: 1 pass" }\n' >h3.leaf
printf 'setup "one\\npasses  two" { width = 252 mm }\n' >h4.leaf
printf 'setup "turned \\u{202E}" { width = 252 mm; class = "\\u{2066}x\\u{2028}y" }\n' >h5.leaf
printf 'setup "bytes \377\376" { width = 252 mm }\n' >h6.leaf
printf 'setup "=cmd|x" { width = 252 mm; class = "@SUM(A1)" }\n' >h7.leaf
printf 'setup "+1" { width = 252 mm; class = "\\t =1+1" }\n' >h8.leaf
printf 'setup "-1\\"" { width = 252 mm; class = "a\\",\\"b" }\n' >h9.leaf
printf 'setup "</testsuite>&<!--" { width = 252 mm; class = "\\"]]>\\u{FFFF}\\u{FFFE}\047" }\n' >h10.leaf
printf 'include "../outside.leaf"\nsetup "out" { width = 250 mm; class = "2wd" }\n' >h11.leaf
mkdir -p own && mv h11.leaf own/h11.leaf && echo 'car "c" { length = 1 mm }' >outside.leaf
mkfifo h12.leaf
: >h13.leaf
mkdir -p h14.leaf
head -c 20000000 /dev/zero | tr '\0' '#' >h15.leaf
hostile="h1.leaf h2.leaf h3.leaf h4.leaf h5.leaf h6.leaf h7.leaf h8.leaf h9.leaf h10.leaf own/h11.leaf h12.leaf h13.leaf h14.leaf h15.leaf absent.leaf"

for as in text json csv junit; do
  # The only sequences are the two of the report itself.
  # shellcheck disable=SC2086 -- a list of files
  run 1 scrutineer rules.leaf $hostile good.leaf --as $as --colour always &&
    sed "s/^${escape}\[1mfails${escape}\[0m  /fails  /" out >"out.$as" && clean "out.$as" && clean err
  result "nothing that steers a terminal, as $as" $?
done
[ "$(grep -c '^fails  \|^cannot be judged  \|^passes  ' out.text)" -eq 17 ] &&
  [ "$(grep -c '^passes  ' out.text)" -eq 1 ] && [ "$(grep -c '^[0-9]* entr' out.text)" -eq 1 ] &&
  grep -q "^17 entries: 1 passes, 5 fail, 11 cannot be judged$" out.text
result "no value is a line of the report" $?
grep -q '"class": "x\\npasses' out.json && ! grep -q '^passes' out.json
result "no value is a line of the JSON" $?
[ "$(grep -c '^"' out.csv)" -eq 34 ] && [ "$(wc -l <out.csv)" -eq 35 ] && ! grep -q '"  *[=+@-]' out.csv && ! grep -q '"[=+@-]' out.csv &&
  grep -qF "\"'=cmd|x\"" out.csv && grep -qF "\"'@SUM(A1)\"" out.csv && grep -qF "\"'+1\"" out.csv &&
  grep -qF "\"'-1\"\"\"" out.csv && grep -qF "\"a\"\",\"\"b\"" out.csv
result "no cell is a formula" $?
[ "$(grep -c '<testsuite name=' out.junit)" -eq 17 ] && [ "$(grep -c '</testsuite>' out.junit)" -eq 17 ] && ! grep -q '<!--\|]]>' out.junit &&
  grep -qF '&lt;/testsuite&gt;&amp;&lt;!--' out.junit && ! LC_ALL=C grep -q "$(printf '\357\277[\276\277]')" out.junit
result "no word is a tag" $?
# The parts of the XML that are no text: each line is one of these, whatever an entrant writes.
text='[^<>"]*'
! grep -vE "^<\?xml version=\"1.0\" encoding=\"UTF-8\"\?>$|^ *</?(testsuites|testsuite|testcase)>$|^ *<testsuite name=\"$text\" tests=\"[0-9]+\" failures=\"[0-9]+\" skipped=\"[0-9]+\" errors=\"[01]\">$|^ *<testcase classname=\"$text\" name=\"$text\"/?>$|^ *<(failure|skipped|error) message=\"$text\"/>$" out.junit >strange &&
  [ ! -s strange ] && ! grep -E '&([^aglq]|$)' out.junit >strange
status=$?
[ $status -eq 0 ] || sed 's/^/# /' strange
result "each line of the XML has its form" $status
# What an entrant may not include is not read, and nobody else is spoiled.
grep -q "^cannot be judged  out (own/h11.leaf)" out.text && grep -q "^passes  Dry (good.leaf)" out.text
result "an include from outside the own folder" $?
for file in h12.leaf h13.leaf h14.leaf h15.leaf absent.leaf; do
  grep -q "^cannot be judged  $file" out.text || echo "$file"
done >missing
[ ! -s missing ]
result "a FIFO, an empty file, a folder, a huge file, none" $?

# A thousand in one run, each with a result.
mkdir -p many
i=0
while [ $i -lt 1000 ]; do
  case $((i % 5)) in
  0) printf 'setup "n" { width = 252 mm; class = "=%s\\npasses  n" }\n' "$i" >"many/$i.leaf" ;;
  1) printf 'setup "n" { width = ((((((((((((((((((((1 mm }\n' >"many/$i.leaf" ;;
  2) printf 'include "/etc/passwd"\nsetup "n" { }\n' >"many/$i.leaf" ;;
  3) ln -s ../many "many/$i.leaf" ;;
  4) printf 'setup "n" { width = 250 mm; class = "4wd" }\n' >"many/$i.leaf" ;;
  esac
  i=$((i + 1))
done
run 1 scrutineer rules.leaf many/*.leaf && lines 1000 '^fails  \|^cannot be judged  \|^passes  ' && lines 200 '^passes  ' &&
  lines 200 '^fails  ' && out "1000 entries: 200 pass, 200 fail, 600 cannot be judged" && clean out && ! grep -q root: out
result "a thousand entries" $?
{
  echo 'meeting "M" {'
  i=0
  while [ $i -lt 1000 ]; do
    printf ' entry %s { driver = "=%s\\u{41}"; setup = "many/%s.leaf" }\n' $i $i $i
    i=$((i + 1))
  done
  echo '}'
} >many.leaf
run 1 scrutineer rules.leaf many.leaf && lines 1000 '^fails  \|^cannot be judged  \|^passes  ' && clean out && clean err
result "a thousand entries of a meeting" $?

# In a file `deg/g` has a gram in it; a roll gradient is per g of acceleration.
for limit in 2 3; do
  echo "rules \"Roll\" { rule \"Roll\" { require = roll-gradient <= $limit deg/g; measure = \"sums\" } }" >roll.leaf
  "$pitleaf" scrutineer roll.leaf "$root/sheets/cars/plover/baseline.leaf" --library "$root/sheets/library" \
    --library "$root/sheets/cars" >roll.$limit 2>err
done
grep -qF "2.68 °/g; it has to be roll-gradient <= 2 deg/g, 0.68 °/g beyond" roll.2 &&
  grep -q "1 passes, 0 fail" roll.3
result "a roll gradient is held against a limit in degrees per g" $?

[ "$failures" -eq 0 ]
