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
grep -q "fails 14.00 mm" text && grep -q "measure" text && grep -q "small bodies" text && grep -q "edition 2026-1" text &&
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
