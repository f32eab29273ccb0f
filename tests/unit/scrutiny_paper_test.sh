#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The list for the measuring table, and certificates, as PDF.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs pdftotext pdffonts pdfinfo qpdf

# Forty entries and twenty-three rules: several pages, and more rules than stand side by side.
{
  echo 'rules "Long" { edition = "2026-1"'
  for i in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do
    echo "  rule \"Rule$i\" { require = pinion <= $((i + 10)); measure = \"count$i\" }"
  done
  echo '  rule "Bore" { for = each corner; require = damper.bore <= 13 mm; tolerance = 0.1 mm; because = "small bodies" }'
  echo '  rule "Words" { require = body in ["flat (1) <<", "round"] }'
  echo '  rule "Elsewhere" when class == "trucks" { require = mass >= 1 kg } }'
} >rules.leaf
{
  echo 'meeting "Forty (40) <<" {'
  for i in $(awk 'BEGIN { for (i = 1; i <= 40; i++) print i }'); do
    echo "  entry $i { driver = \"Driver$i\"; class = \"buggies\"; setup = \"$i.leaf\" }"
    {
      echo "damper \"d\" { bore = $((i % 5 + 10)) mm; shaft = 3 mm }"
      echo "setup \"Setup$i\" { pinion = $((i % 30 + 5)); all { damper = \"d\" }"
      [ $((i % 7)) -eq 0 ] || echo '  body = "flat (1) <<"'
      echo '}'
    } >"$i.leaf"
  done
  echo '}'
} >meeting.leaf

run 1 scrutineer rules.leaf meeting.leaf -o list.pdf && sound list.pdf && pdftotext -layout list.pdf text
result "a list of forty entries" $?
missing=0
for i in 1 7 20 33 40; do
  grep -qw "Driver$i" text && grep -q "Setup$i" text || { echo "# no entry $i" && missing=1; }
done
for i in 1 10 20; do
  grep -q "pinion <= $((i + 10))" text && grep -q "count$i" text || { echo "# no rule $i" && missing=1; }
done
result "every entry and every rule" $missing
grep -q "fails" text && grep -q "14.00 mm" text && grep -q "1.00 mm beyond" text && grep -q "measure" text && grep -q "small bodies" text && grep -q "edition 2026-1" text &&
  grep -q "The rules in full" text && grep -q "officials" text
result "outcomes, the rules in full, and who decides" $?
pages=$(pdfinfo list.pdf | awk '/^Pages/ { print $2 }')
heads=0
for page in $(awk -v n="$pages" 'BEGIN { for (i = 1; i < n; i++) print i }'); do
  pdftotext -layout -f "$page" -l "$page" list.pdf here
  grep -q "Driver" here && ! grep -q "Initials" here && heads=1 && echo "# page $page has no heads"
done
[ "$pages" -ge 4 ] && [ $heads -eq 0 ]
result "the heads stand on every page with entries" $?
pdfinfo list.pdf | grep -q "841.* x 595"
result "the list lies on its side" $?
cp list.pdf first.pdf && run 1 scrutineer rules.leaf meeting.leaf -o list.pdf && cmp first.pdf list.pdf
result "the same bytes twice" $?

run 1 scrutineer rules.leaf meeting.leaf -o cert.pdf --template certificate --paper letter && sound cert.pdf &&
  [ "$(pdfinfo cert.pdf | awk '/^Pages/ { print $2 }')" -ge 40 ] && pdfinfo cert.pdf | grep -q "612 x 792" &&
  pdftotext -layout cert.pdf text && grep -q "40  *Driver40" text && grep -q "signature" text
result "a certificate for each entry" $?

# What stands on paper of six entries that end in six ways.
cat >ways-rules.leaf <<'END'
rules "Ways" {
  edition    = "2026-1"
  applies-to = ["buggies"]
  rule "Width" { require = width <= 250 mm; tolerance = 0.5 mm; measure = "gauge box" }
  rule "Scales" { require = mass >= 1.5 kg; tolerance = 0.002 kg; because = "weight is money" }
  rule "Body sizes" { for = each corner; require = damper.bore in [10 mm, 12 mm, 13 mm]; tolerance = 0.1 mm }
  rule "Pairs" { for = each axle; require = left.damper.bore == right.damper.bore }
  rule "Pinions" { require = pinion / spur <= 0.3 }
}
END
cat >ways.leaf <<'END'
meeting "Six ways" {
  date  = 2026-06-14
  track = "Salt Pans"
  event = "Tidal Club"
  entry 1 { driver = "Passer"; class = "buggies"; group = "A"; setup = "whole.leaf" }
  entry 2 { driver = "Failer"; class = "buggies"; group = "A"; setup = "whole.leaf"
    measured { mass = 1491 g; front-left { damper.bore = 12.9 mm } } }
  entry 3 { driver = "Opener"; class = "buggies"; group = "A"; setup = "open.leaf" }
  entry 4 { driver = "Breaker"; class = "buggies"; group = "A"; setup = "broken.leaf" }
  entry 5 { driver = "Comer"; class = "buggies"; group = "A" }
  entry 6 { driver = "Other"; class = "trucks"; group = "A"; setup = "whole.leaf" }
}
END
echo 'damper "d" { bore = 13 mm; shaft = 3 mm } setup "Whole" { width = 9.8 in; mass = 1510 g; pinion = 20; spur = 80; all { damper = "d" } }' >whole.leaf
echo 'setup "Open" { width = 249 mm }' >open.leaf
echo 'setup "Broken" { width = ' >broken.leaf
run 1 scrutineer ways-rules.leaf ways.leaf -o ways.pdf && sound ways.pdf && pdftotext -layout ways.pdf text &&
  grep -q "Six ways · 2026-06-14 · Salt Pans" text && grep -q "Group A" text && grep -q "Tidal Club" text
result "event, date, venue and group stand on the list" $?
grep -q "Verdict" text && grep -q "1  *Passer  *✓ passes" text && grep -q "2  *Failer  *fails" text &&
  grep -q "3  *Opener  *measure" text && grep -Eq "4  *Breaker .*the file has" text && grep -q "5  *Comer  *no file" text &&
  grep -q "6  *Other  *other class" text
result "six ways to end can be told apart" $?
grep -q "at most 250 mm" text && grep -q "at least 1.5 kg" text && grep -q "10, 12 or 13 mm" text &&
  grep -q "left and" text && grep -q "pinion / spur <= 0.3" text && grep -q "± 0.002 kg" text
result "limits in words, as the rules wrote them" $?
grep -q "1.510 kg" text && grep -q "1.491 kg" text && grep -q "0.009 kg beyond" text && grep -q "248.92 mm" text &&
  ! grep -q "1491 g" text && ! grep -q "9.8" text
result "values and excess in the unit of the limit" $?
[ "$(grep -o "front left" text | wc -l)" -ge 10 ] && grep -q "rear right" text
result "each line to write on has its place" $?

run 1 scrutineer ways-rules.leaf ways.leaf -o ways.pdf --template certificate && sound ways.pdf &&
  pdftotext -layout -f 2 -l 2 ways.pdf text && grep -q "2 Failer · Six ways · 2026-06-14 · Salt Pans" text &&
  grep -q "Setup: Whole · Class: buggies · Group: A" text && grep -q "Ways, edition 2026-1 · Tidal Club" text &&
  grep -q "page 1 of 1" text
result "a certificate names entry, setup, class, group, event and rules" $?
grep -Eq "Rule  *Limit  *Declared  *Verdict  *Measured  *Initials" text && grep -q "measure: gauge box" text &&
  grep -q "tolerance 0.002 kg" text && grep -q "weight is money" text && grep -q "Battery unplugged" text &&
  grep -q "officials decide" text && grep -q "signature" text
result "a certificate has limit, tolerance, gauge, cautions and who decides" $?
grep -Eq "Scales  .*at least 1.5 kg  *1.510 kg  *fails" text && grep -q "1.491 kg" text &&
  grep -q "≠ Mass: 1.491 kg measured, 1.510 kg declared" text && grep -q "≠ not as declared, 0.019 kg apart" text
result "measured stands under measured, declared under declared, and that they differ" $?
grep -q "≠ Bore, front left: 12.90 mm measured, 13.00 mm declared" text
[ $? -eq 1 ]
result "what differs by no more than the tolerance is not told" $?
pdftotext -layout -f 4 -l 4 ways.pdf text && grep -q "the file has mistakes" text && grep -q "broken.leaf:1" text
result "a broken file is told with its line" $?
cp ways.pdf first.pdf && run 1 scrutineer ways-rules.leaf ways.leaf -o ways.pdf --template certificate && cmp first.pdf ways.pdf
result "the same certificates twice" $?

# Words break at their joints, and else are set smaller.
{
  echo 'rules "Wide" {'
  for i in 1 2 3 4 5 6 7 8; do
    echo "  rule \"Mindestgewichtsgrenze $i\" { require = front-left.damper.extended-length - 2 mm <= 90 mm }"
  done
  echo '}'
} >wide.leaf
run 0 scrutineer wide.leaf whole.leaf -o wide.pdf && pdftotext -raw -l 1 wide.pdf text &&
  grep -q "Mindestgewichtsgrenze" text && grep -q "front-left.damper." text && grep -q "^extended-length" text
result "no word is broken but at a joint" $?

cp rules.leaf kept && run 2 scrutineer rules.leaf meeting.leaf -o rules.leaf && err "made from" && cmp rules.leaf kept &&
  cp 7.leaf kept && run 2 scrutineer rules.leaf meeting.leaf -o 7.leaf && err "made from" && cmp 7.leaf kept
result "a list is not written over what it is made from" $?
run 2 scrutineer rules.leaf meeting.leaf -o absent/list.pdf && err "was not written"
result "a folder that is not there" $?

echo 'meeting "M" { dates = "x"; entry 1 { driver = "x" } }' >broken.leaf
run 1 scrutineer rules.leaf broken.leaf -o broken.pdf && err "no list was written" && [ ! -e broken.pdf ]
result "no list of a meeting that cannot be read" $?
echo 'meeting "M" { entry 1 { drivers = "x" }; entry 2 { driver = "Moss Heron" } }' >one.leaf
run 1 scrutineer rules.leaf one.leaf -o one.pdf && [ -s one.pdf ] && err "drivers"
result "a list where one entry has a mistake" $?

# Eight values that were measured otherwise than they are declared: six have room.
echo 'rules "r" { rule "Width" { require = width <= 250 mm } }' >width.leaf
echo 'setup "S" { width = 240 mm; length = 400 mm; height = 120 mm; wheelbase = 280 mm; mass = 1.5 kg
  pinion = 20; spur = 70; front-share = 40 % }' >declared.leaf
echo 'meeting "M" { entry 1 { driver = "Pip"; setup = "declared.leaf"
  measured { width = 241 mm; length = 401 mm; height = 121 mm; wheelbase = 281 mm; mass = 1.6 kg
    pinion = 21; spur = 71; front-share = 41 % } } }' >apart.leaf
run 0 scrutineer width.leaf apart.leaf -o apart.pdf --template certificate && sound apart.pdf &&
  pdftotext -layout apart.pdf text && grep -q "Pinion: 21 measured, 20 declared" text && grep -q "and 2 more" text
result "a certificate of a car that is otherwise than it says" $?

# Absurd words of entrants and organisers stay words.
long=$(awk 'BEGIN { while (length(t) < 400) t = t "word" ++i " "; print t }')
printf 'rules "%s" {\n  rule "%s" { require = body == "%s" }\n}\n' "$long" "$long" "$long" >long.leaf
printf 'setup "%s" { body = "other %s" }\n' "$long" "$long" >entry.leaf
run 1 scrutineer long.leaf entry.leaf -o long.pdf && sound long.pdf && pdftotext -raw long.pdf - | tr -d '\n ' >text &&
  grep -q "word59" text
result "words of absurd length" $?
printf 'setup "\\u{77ED} name" { body = "\\u{77ED}" }\n' >glyph.leaf
run 1 scrutineer long.leaf glyph.leaf -o glyph.pdf && pdftotext glyph.pdf - | grep -q "U+77ED"
result "a character that the font lacks" $?

[ "$failures" -eq 0 ]
