#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The demo's race day: 24 entries, judged by the club's rules as they were traced by hand in the
# files of rules, meeting and entries.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"

rules=$root/sheets/rules/saltmarsh-tenth.leaf
meeting=$root/sheets/sluice-lane/round-3/round-3.leaf
set -- --library "$root/sheets/cars" --library "$root/sheets/library"

# same NAME: the file found has the lines of the file wanted.
same() {
  diff wanted found >differs || { sed 's/^/# /' differs && false; }
  result "$1" $?
}

# table: the CSV in out with its fields parted by |, and without the ' that keeps a spreadsheet
# from taking what begins with a minus for a formula.
table() { sed "s/^\"//; s/\"\$//; s/\",\"/|/g; s/|'-/|-/g" out | tail -n +2; }

needs pdftotext pdfinfo qpdf

# ---------------------------------------------------------------- the files

run 0 check "$rules" "$root/sheets/rules/foreshore-federation.leaf" && out "no problems"
result "the rules have no problems" $?
faults=0
for file in "$root"/sheets/sluice-lane/round-3/entries/*/*.leaf; do
  case $file in
  */26/*) run 1 check "$file" "$@" || faults=$((faults + 1)) ;;
  *) run 0 check "$file" "$@" && out "no problems" || faults=$((faults + 1)) ;;
  esac
done
[ "$faults" -eq 0 ]
result "each entry's file but 26 has no problems" $?

# ---------------------------------------------------------------- the outcomes

run 1 scrutineer "$rules" "$meeting" "$@" && out "24 entries: 10 pass, 8 fail, 6 cannot be judged"
result "the race day in one line" $?
grep -E '^(passes|fails|cannot be judged)  [0-9]' out | sed -E 's/^(passes|fails|cannot be judged)  ([0-9]+) .*/\2 \1/' >found
cat >wanted <<'END_OF_LIST'
2 passes
3 passes
7 passes
9 passes
14 fails
17 passes
21 cannot be judged
40 cannot be judged
4 passes
8 passes
11 passes
12 fails
26 cannot be judged
29 fails
31 cannot be judged
33 cannot be judged
38 fails
42 fails
15 fails
18 fails
19 fails
23 passes
28 passes
35 cannot be judged
END_OF_LIST
same "the outcome of each entry"
grep -F "measured and declared differ" out | sed 's/^ *measured and declared differ: //' >found
cat >wanted <<'END_OF_LIST'
rear-left.damper.bore: 12.10 mm measured, 13.00 mm declared, 0.90 mm apart
total-mass: 1491 g measured, 1510 g declared, 19 g apart
front-left.ride-height: 19.0 mm measured, 21.0 mm declared, 2.0 mm apart
front-right.ride-height: 19.0 mm measured, 21.0 mm declared, 2.0 mm apart
width: 247 mm measured, 246 mm declared, 1 mm apart
END_OF_LIST
same "what was measured and is not what was declared"

# An entry has 36 verdicts: 6 rules of the car, one of both axles, seven of all corners.
run 1 scrutineer "$rules" "$meeting" "$@" --as csv && table >verdicts && [ "$(wc -l <verdicts)" -eq 864 ]
result "every rule at every place" $?
awk -F'|' '$8 == "fail" { print $1, $6, $7, $9, $11, $13 }' OFS='; ' verdicts >found
cat >wanted <<'END_OF_LIST'
14; Bore; front-left; 14.00 mm; 1.00 mm; no
14; Bore; front-right; 14.00 mm; 1.00 mm; no
12; Width; car; 308 mm; 58 mm; no
12; Length, 4wd; car; 510 mm; 100 mm; no
12; Wheelbase, 4wd; car; 325 mm; 30 mm; no
12; Bore; front-left; 16.00 mm; 3.00 mm; no
12; Bore; front-right; 16.00 mm; 3.00 mm; no
12; Bore; rear-left; 16.00 mm; 3.00 mm; no
12; Bore; rear-right; 16.00 mm; 3.00 mm; no
12; Shock length; front-left; 106.0 mm; 16.0 mm; no
12; Shock length; front-right; 106.0 mm; 16.0 mm; no
12; Shock length; rear-left; 120.0 mm; 30.0 mm; no
12; Shock length; rear-right; 120.0 mm; 30.0 mm; no
12; Tyre; front-left; blocks, soft; ; no
12; Tyre; front-right; blocks, soft; ; no
12; Tyre; rear-left; blocks, soft; ; no
12; Tyre; rear-right; blocks, soft; ; no
29; Width; car; 252 mm; 2 mm; no
38; Shocks one size per axle; rear; 12.10 mm; 0.90 mm; yes
42; Least weight, 4wd; car; 1580 g; 20 g; no
42; Driven wheels, 4wd; car; rear wheels; ; no
15; Camber; rear-left; -4.5°; 0.5°; no
18; Spring rate, 2wd; front-left; 0.750 N/mm; 0.050 N/mm; no
18; Spring rate, 2wd; front-right; 0.750 N/mm; 0.050 N/mm; no
19; Least weight, 2wd; car; 1491 g; 9 g; yes
END_OF_LIST
same "what fails, where, and by how much"
awk -F'|' '$12 == "yes" { print $1, $6, $7, $8, $9 }' OFS='; ' verdicts >found
cat >wanted <<'END_OF_LIST'
9; Width; car; pass; 250.4 mm
38; Bore; rear-left; pass; 12.10 mm
15; Camber; rear-right; pass; -4.2°
END_OF_LIST
same "what passes by the tolerance alone"
# Entry 21 says camber, ride height and springs, 33 the tyres too, 40 the ride height. Entry 35 has
# no shocks. Of 26 and 31 nothing is known.
awk -F'|' '$8 == "unknown" { n[$1]++ } END { for (e in n) print e, n[e] }' verdicts | sort -n >found
printf '21 24\n26 36\n31 36\n33 20\n35 15\n40 32\n' >wanted
same "how much of each entry is not known"
awk -F'|' '$1 == 35 && $8 == "unknown" { print $6 }' verdicts | uniq >found
printf 'Bore\nFour shocks\nKind of shock\nShocks one size per axle\nShock length\n' >wanted
same "what has to be measured on the home-built car"
# The class is the meeting's: entry 42 brings a car of another class and is judged as a 4wd.
[ -z "$(awk -F'|' '($5 == "2wd buggy" && $6 ~ /, 4wd$/) || ($5 == "4wd buggy" && $6 ~ /, 2wd$/)' verdicts)" ] &&
  [ "$(awk -F'|' '$1 == 42 && $6 ~ /, 4wd$/' verdicts | wc -l)" -eq 8 ]
result "no rule of the other class" $?

# By the federation's own rules, wider bores and other treads are no fault.
run 1 scrutineer "$root/sheets/rules/foreshore-federation.leaf" "$meeting" "$@" && out "passes  14 Merle Groyne" &&
  out "passes  18 Rue Fairway" && out "fails  12 Sedge Holloway"
result "the federation's rules without the club's" $?

# ---------------------------------------------------------------- on paper

run 1 scrutineer "$rules" "$meeting" "$@" -o list.pdf && qpdf --check list.pdf >checked 2>&1 &&
  grep -q "No syntax or stream" checked && pdftotext -layout list.pdf out
result "the list for the measuring table prints" $?
for group in A B C; do grep -q "Group $group, part 1 of 2" out || failures=$((failures + 1)); done
sed -nE 's/^ *([0-9]+) +[A-Z][a-z]+ [A-Z][a-z]+ +(✓ passes|fails|measure|no file|the file has).*/\1 \2/p' out | sort -n -u >found
cat >wanted <<'END_OF_LIST'
2 ✓ passes
3 ✓ passes
4 ✓ passes
7 ✓ passes
8 ✓ passes
9 ✓ passes
11 ✓ passes
12 fails
14 fails
15 fails
17 ✓ passes
18 fails
19 fails
21 measure
23 ✓ passes
26 the file has
28 ✓ passes
29 fails
31 no file
33 measure
35 measure
38 fails
40 measure
42 fails
END_OF_LIST
same "the verdict of each entry on the list"
run 1 scrutineer "$rules" "$meeting" "$@" -o certificates.pdf --template certificate &&
  [ "$(pdfinfo certificates.pdf | awk '/^Pages/ { print $2 }')" -eq 24 ]
result "a certificate on one page for each of 24" $?
# Entry 19 declares 1510 g and weighs 1491 g; 38 has a borrowed shock; 23 sits lower than it says.
pdftotext -layout certificates.pdf out && grep -Eq "Least weight, 2wd .*at least 1500 g +1510 g +fails" out &&
  out "≠ Total mass: 1491 g measured, 1510 g declared" && out "≠ Bore, rear left: 12.10 mm measured, 13.00 mm declared" &&
  out "≠ Ride height, front right: 19.0 mm measured, 21.0 mm declared" && out "≠ Width: 247 mm measured, 246 mm declared"
result "what was measured beside what was declared" $?

# ---------------------------------------------------------------- the packet

run 1 meeting "$meeting" "$@" -o packet.pdf && qpdf --check packet.pdf >checked 2>&1 &&
  grep -q "No syntax or stream" checked && pdftotext -layout packet.pdf out &&
  out "Entries: 24" && out "Files with mistakes: 1 (entry 26" && out "Without a file: 1 (entry 31" &&
  [ "$(grep -c "the file has mistakes" out)" -eq 1 ] && [ "$(grep -c "no file: blank form" out)" -eq 1 ]
result "the packet of 24 prints" $?
run 1 meeting "$meeting" "$@" --split single && [ "$(ls single | wc -l)" -eq 24 ]
result "a file for each of 24" $?

[ "$failures" -eq 0 ]
