#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Absurd setups on every page, seen by tools from outside: the text extractor finds each value,
# the checker no fault, and all fonts are embedded.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"


needs pdftotext pdffonts qpdf

# page NAME FILE [BASE]: prints FILE on that page as page.pdf, twice and from two folders; its
# text without blanks is in text. Lines of a page that stand beside each other come in turn.
page() {
  name=$1 file=$2
  set -- "$file" --template "$name" ${3:+--against "$3"}
  "$pitleaf" sheet "$@" -o page.pdf 2>messages </dev/null || { sed 's/^/# /' messages && return 1; }
  mkdir -p elsewhere && "$pitleaf" sheet "$@" -o again.pdf 2>messages </dev/null && cmp page.pdf again.pdf &&
    (cd elsewhere && shift && "$pitleaf" sheet "../$file" --root .. --template "$name" \
      ${base:+--against "../$base"} -o third.pdf 2>messages </dev/null) && cmp page.pdf elsewhere/third.pdf &&
    sound page.pdf && pdftotext -raw page.pdf - | tr -d ' \n\f' >text
}

# has TEXT: is it on the page, whatever breaks it?
has() {
  wanted=$(printf '%s' "$1" | tr -d ' ')
  grep -qF -- "$wanted" text || { echo "# the page lacks: $1" && return 1; }
}

# words COUNT SEED: a text of so many characters, no two alike.
words() { awk -v n="$1" -v s="$2" 'BEGIN { while (length(t) < n) t = t sprintf("w%s%d ", s, ++i); print substr(t, 1, n) }'; }

long=$(words 80 x)
notes=$(words 3000 n)

# ---------------------------------------------------------------- everything at once

cat >parts.leaf <<END
oil "$long oil" { viscosity = 351 cSt }
spring "$long spring" { rate = 0.62 N/mm; free-length = 41 mm; wire = 1.2 mm; active-coils = 6.5; outside-diameter = 17 mm }
piston "$long piston" { diameter = 12.9 mm; thickness = 2.4 mm; ports = 3 x 1.7 mm + 3 x 1.5 mm to 1.3 mm + 2 x 1.1 mm one-way rebound }
damper "$long damper" { bore = 13 mm; shaft = 3 mm; extended-length = 80 mm; stroke = 21 mm; compensation = bladder; air-volume = 0.6 ml
  oil-volume = 3.3 ml; perch-gap = 44 mm; exposed-shaft = 22 mm; bushing-overlap = 12 mm; charge = 20 kPa
  seal { rings = 4; ring-inside = 2.9 mm; ring-section = 1.78 mm; ring-type = x-ring; backup-rings = 4; wiper = yes; glide-ring = yes
    gland-outside = 6 mm; gland-width = 8 mm; extrusion-gap = 0.05 mm } }
END
{
  echo 'include "parts.leaf"'
  echo "setup \"base of it\" {"
  echo "  class = \"buggy\"; pinion = 20; mass = 1600 g; wheelbase = 280 mm; front-share = 44 %"
  echo "  all { damper = \"$long damper\"; oil = 300 cSt; spring = 0.5 N/mm; piston = 2 x 1.6 mm; preload = 2 mm; ride-height = 20 mm"
  echo "    limiter = 1 mm; bump-spacer = 1 mm; camber = -1 deg; toe = 0 deg; tyre = \"plain\"; insert = \"soft\"; wheel = \"dish\""
  echo "    arm-inner = (20 mm, 12 mm); arm-outer = (90 mm, 12 mm); wheel-centre = (100 mm, 21 mm); shock-top = (40 mm, 80 mm)"
  echo "    shock-bottom = (65 mm, 14 mm); tyre-radius = 42 mm; unsprung-mass = 60 g; track = 240 mm }"
  echo "}"
} >base.leaf
{
  echo 'include "base.leaf"'
  echo "setup \"$long setup\" from \"base of it\" {"
  echo "  driver = \"$long driver\"; notes = \"$notes\"; motor = \"$long motor\""
  i=0
  while [ $i -lt 40 ]; do
    i=$((i + 1))
    echo "  ballast \"lead$i\" { mass = $((100 + i)) g; at = ($i mm, 0 mm, 6 mm) }"
  done
  # Twelve settings at each corner, all changed, and none like another corner's.
  n=0
  for corner in front-left front-right rear-left rear-right; do
    n=$((n + 1))
    echo "  $corner { oil = \"$long oil\"; spring = \"$long spring\"; piston = \"$long piston\"; preload = 3.$n mm; ride-height = 21.$n mm"
    echo "    limiter = 1.$n mm; bump-spacer = 2.$n mm; camber = -1.$n deg; toe = 1.$n deg; tyre = \"tyre$n $long\"; insert = \"insert$n\"; wheel = \"wheel$n\" }"
  done
  echo "}"
} >all.leaf

base=base.leaf
for name in "race sheet" curves "build sheet"; do
  page "$name" all.leaf base.leaf
  result "$name: printed, sound, the same bytes from two folders" $?
  has "$long setup" && has "base of it"
  result "$name: the names" $?
  # The sentences at the foot tell each change on every page.
  missing=0
  for n in 1 2 3 4; do
    has "3.$n" && has "1.$n" && has "2.$n" && has "insert$n" && has "wheel$n" || missing=1
  done
  i=0
  while [ $i -lt 40 ]; do
    i=$((i + 1))
    has "lead$i" && has "$((100 + i))g" || missing=1
  done
  result "$name: every change" $missing
done
page "race sheet" all.leaf base.leaf && pdftotext -layout page.pdf - | tr -s ' \n\f' '\n' | sort -u >each &&
  printf '%s' "$notes" | tr ' ' '\n' | sort -u >told && [ -z "$(comm -13 each told)" ]
result "race sheet: every word of the notes" $?
page "build sheet" all.leaf base.leaf && has "$long oil" && has "$long piston" && has "$long damper" && has "3.30ml" && has "0.60ml" &&
  has "4sealrings" && has "Backuprings,4" && has "20kPa"
result "build sheet: the parts" $?
base=
page "blank form" all.leaf && has "$long driver" && has "Preload" && ! grep -q "$(words 40 n | tr -d ' ')" text
result "blank form: the driver, and nothing of the setup" $?

# ---------------------------------------------------------------- nothing at all

echo 'setup "nothing" { }' >none.leaf
for name in "race sheet" curves "build sheet" "blank form"; do
  page "$name" none.leaf
  result "$name: of an empty setup" $?
done
page curves none.leaf && has "Itneeds"
result "curves: an empty setup is told what they need" $?

[ "$failures" -eq 0 ]
