#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The command line: exit statuses (0 done, 1 something is wrong with the input, 2 not done), what
# goes to which stream, and usage errors with the mend.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u

root=${PITLEAF_ROOT:-$(pwd)}
pitleaf=${PITLEAF_PROGRAM:?the program to test}
here=$root/tests/unit/fixtures
demo=$root/sheets/sluice-lane/plover-dry.leaf
base=$root/sheets/cars/plover/baseline.leaf
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
unset COLUMNS NO_COLOR
failures=0

result() { # result NAME STATUS: counts a test
  if [ "$2" -eq 0 ]; then echo "ok $1"; else echo "not ok $1" && failures=$((failures + 1)); fi
}

# run STATUS ARGUMENT...: runs the program and fails unless it exits so. Output in $work/out, err.
run() {
  wanted=$1
  shift
  "$pitleaf" "$@" >"$work/out" 2>"$work/err" </dev/null
  got=$?
  [ "$got" -eq "$wanted" ] && return 0
  echo "# pitleaf $*: exit status $got, not $wanted"
  sed 's/^/#   /' "$work/err"
  return 1
}

out() { grep -qF -- "$1" "$work/out" || { echo "# standard output lacks: $1"; return 1; }; }
err() { grep -qF -- "$1" "$work/err" || { echo "# standard error lacks: $1"; return 1; }; }
no_out() { [ ! -s "$work/out" ] || { echo "# standard output is not empty"; return 1; }; }
no_err() { [ ! -s "$work/err" ] || { echo "# standard error is not empty"; return 1; }; }

# ---- done, nothing wrong

run 0 check "$demo" && out "1 file checked: no problems" && no_err
result "check of a good file" $?
run 0 figures "$demo" && out "Ride frequency" && no_err
result "figures of a good file" $?
run 0 compare "$base" "$demo" && out "What differs" && no_err
result "compare" $?
run 0 explain "$demo" rear-left.damping-ratio-slow && out "made of" && no_err
result "explain a figure" $?
run 0 explain "$demo" front-left.preload && out "plover-dry.leaf:" && out "baseline.leaf:"
result "explain a setting" $?
run 0 explain "$demo" rear-left.damper.bore && out "13.00 mm"
result "explain what a part says" $?
run 0 describe preload && out "setting of each corner"
result "describe a key" $?
for word in require tolerance measure because for when applies-to edition count "each corner"; do
  run 0 describe "$word" && out "$word   " || echo "$word"
done >"$work/untold"
[ ! -s "$work/untold" ] || cat "$work/untold"
[ ! -s "$work/untold" ]
result "describe the words of rules" $?
run 2 describe weight && err "did you mean \`total-mass\`?" && run 2 describe shock && err "did you mean \`damper\`?"
result "describe other words of the trade" $?
run 0 describe commands --as man && tr -s '\n ' '  ' <"$work/out" >"$work/manual" && mv "$work/manual" "$work/out" &&
  out "0 where there are no errors, also with warnings; 1 where there are; 2 if a file cannot be read" &&
  out "0 if every entry\(aqs file is as it should be; 1 if the packet is written and some entry has mistakes" &&
  out "0 if nothing fails, also where something cannot be judged; 1 if an entry fails"
result "the manual tells the exit status of check, meeting and scrutineer" $?
run 0 describe && out "wheel-rate" && run 0 describe --as markdown && out "# Reference"
result "describe everything" $?
run 0 --help && out "pitleaf compare" && run 0 figures --help && out "--units" && run 0 help check
result "help" $?
run 0 --version && out "pitleaf "
result "version" $?

# ---- the input is wrong

run 1 check "$here/mistaken.leaf" && out "3 errors" && err "did you mean \`spring\`?"
result "check of a mistake" $?
run 1 check "$here/mistaken-meeting.leaf" && out "4 errors" && err "did you mean \`template\`?" &&
  err "starts at the root of the disk" && err "two entries 7" && err "is called \`dampr.bore\`"
result "check of a meeting" $?
run 1 check "$here/mistaken.leaf" --as json && out '"errors": 3' && out '"replacement": "spring"' &&
  no_err && run 1 check "$here/mistaken.leaf" --as sarif && out '"ruleId": "unknown-key"' &&
  out '"exitCode": 1' && no_err
result "a mistake as a document" $?
run 0 check "$demo" --as json && out '"diagnostics": []' && no_err &&
  run 0 check "$demo" --as sarif && out '"results": []' && no_err
result "a document without problems" $?
run 2 check nowhere.leaf && err "counts from the working folder" && run 2 tidy nowhere.leaf &&
  err "counts from the working folder"
result "where the path of a missing file counts from" $?
run 2 check "$demo" "$work/nowhere" --as json && out '"no-such-file"' && out '"read": false' &&
  no_err && run 2 check "$work/nowhere" --as sarif && out '"exitCode": 2' && no_err
result "a document of a file that is not there" $?
truncate -s 3G "$work/three.leaf" && run 2 check "$work/three.leaf" && err "file-too-large"
told=$?
rm -f "$work/three.leaf"
result "check of a file whose size needs more than 32 bits" "$told"
run 2 check "$demo" --as csv && no_out && err "--as is text, json or sarif, not"
result "check as something else" $?
run 1 figures "$here/mistaken.leaf" && out "Oil viscosity" && err "unknown-key"
result "figures in spite of a mistake" $?
run 1 figures "$here/mistaken.leaf" --as json && out '"oil-viscosity"' && out '"unknown-key"'
result "json in spite of a mistake" $?
cat >"$work/unsure.leaf" <<'END'
setup "s" { all { spring = 0.5 N/mm }
  front { preload = 3 mm +- 0.2 mm }
  rear-left { preload = 3 mm +- 0.2 mm }
  rear-right { preload = 3 mm } }
END
run 0 explain "$work/unsure.leaf" front.preload-force && out "alike" && out "1.50 ± 0.10 N" &&
  run 2 explain "$work/unsure.leaf" rear.preload-force && err "differs left and right" &&
  run 0 explain "$work/unsure.leaf" rear-right.preload-force && out "= 1.50 N"
result "explain of sides that are alike but not as sure" $?
run 0 figures "$demo" --matched 0.02 mm && out "differ by 0.020 mm" && no_err &&
  run 0 figures --matched 0.02mm "$demo" && out "differ by 0.020 mm" &&
  run 0 figures "$demo" --matched=20µm --units imperial && out "differ by 0.0008 in" &&
  run 0 figures "$demo" --matched "0.02 mm" --as json && out '"ports-apart"' &&
  run 2 figures "$demo" --matched 0.02 && err "such as 0.02 mm, not \`0.02\`" && no_out &&
  run 2 figures "$demo" --matched 0 mm && err "above 0" && run 2 figures --matched 3 kg "$demo"
result "figures of left and right with ports apart" $?
run 0 figures "$demo" --matched 0.5 in && out "Ports cannot differ by 12.700 mm here" && out "Ports alike to" && ! out "Apart by" &&
  run 0 figures "$demo" --matched 0.02 mm --only wheel-rate && out "None of the figures behind --only depends on the ports" &&
  out "pack-speed" && ! out "that needs piston"
result "ports farther apart than they are wide, and figures that no port moves" $?
run 1 figures "$root/sheets/library/oils.leaf" --matched 1 mm && no_out && err "nothing to print"
result "ports apart in a file without a setup" $?
run 1 figures "$root/sheets/library/oils.leaf" && no_out && err "nothing to print"
result "a library has nothing to print" $?
run 1 figures "$root/sheets/library/oils.leaf" --as json && out '"setup": null'
result "json of a library" $?
run 0 check "$root/sheets/library/oils.leaf"
result "a library passes check" $?
run 1 compare "$here/mistaken.leaf" "$demo" --as json && out '"unknown-key"'
result "json of a comparison tells of the base's mistakes" $?

# ---- several setups in a file

run 1 figures "$here/two-setups.leaf" && no_out && err '"Heron"' && err "--setup"
result "several setups" $?
run 0 figures "$here/two-setups.leaf" --setup Egret && out "1700 g"
result "one of several setups" $?
run 1 figures "$here/two-setups.leaf" --setup Hern && err 'did you mean "Heron"?'
result "an unknown setup" $?
run 0 check "$here/two-setups.leaf"
result "check of several setups" $?
run 0 compare "$here/two-setups.leaf" "$here/two-setups.leaf" --base-setup Heron --setup Egret &&
  out "1500 → 1700 g"
result "two setups of one file compared" $?
run 0 compare "$demo" "$demo" && out "Nothing differs."
result "a setup against itself" $?

# ---- not done

run 2 figures "$work/none.leaf" && no_out && err "There is no file"
result "a missing file" $?
run 2 figures "$work/none.leaf" --as json && no_out
result "no json of a missing file" $?
run 2 compare "$work/none.leaf" "$demo" --as json && no_out
result "no json of a missing base" $?
run 2 check "$work" && err "is a folder"
result "a folder" $?
mkfifo "$work/pipe" && run 2 check "$work/pipe"
result "a FIFO does not hang it" $?
run 2 check "$demo" "$work/none.leaf" && out "2 files checked"
result "one of two files is missing" $?
run 2 && out "pitleaf check"
result "no command" $?
run 2 figurs "$demo" && err "did you mean \`figures\`?"
result "an unknown command" $?
run 2 help figurs && err "did you mean \`figures\`?"
result "help of an unknown command" $?
run 2 figures && err "pitleaf figures FILE" && run 2 compare "$demo" && run 2 figures "$demo" "$demo"
result "too few and too many words" $?
run 2 figures --setpu x "$demo" && err "did you mean --setup?"
result "an unknown option" $?
run 2 figures "$demo" --setup && err "--setup needs NAME"
result "an option without its value" $?
run 2 figures "$demo" --units furlong && err "metric or imperial" &&
  run 2 figures "$demo" --as pdf && run 2 figures "$demo" --colour maybe
result "impossible values" $?
run 2 figures "$demo" --only whel-rate && err "did you mean \`wheel-rate\`?" && no_out
result "an unknown figure" $?
run 2 figures "$demo" --as markdown && err "text, json or csv" && run 2 compare "$base" "$demo" --as csv
result "a format that the command has not" $?
run 2 explain "$demo" front-left.preloda && err "did you mean \`preload\`?"
result "explain of an unknown key" $?
run 0 explain "$demo" front.preload && out "left and right alike"
result "explain an axle" $?
run 0 explain "$here/sided.leaf" right.preload && out "right, front and rear alike" && out "3.00 mm" &&
  run 2 explain "$here/sided.leaf" left.preload && err "differs front and rear" &&
  err "front-left.preload or rear-left.preload" &&
  run 2 explain "$here/sided.leaf" left.mass && err "write car.mass" &&
  run 2 explain "$here/sided.leaf" left.track && err "write front.track" &&
  run 2 explain "$here/sided.leaf" left.preloda && err "did you mean \`preload\`?"
result "explain a side" $?
run 2 explain "$demo" car.preload && err "front-left.preload" && run 2 explain "$demo" preload
result "explain of a wrong scope" $?
cat >"$work/extras.leaf" <<'END'
setup "Baseline" {
  extra { "Wing shim" = "2 mm"; "mass" = "heavy" }
  ballast "nose" { mass = 25 g; at = (110 mm, 0 mm, 6 mm) }
  front { extra { "Cup" = "1" } }
}
setup "Dry" from "Baseline" {
  extra { "Wing shim" = "3 mm" }
  ballast "nose" { mass += 5 g }
  front-left { extra { "Cup" = "2" } }
}
END
run 0 explain "$work/extras.leaf" "car.Wing shim" && out "car.Wing shim = 3 mm" &&
  out "extras.leaf:2  \"Baseline\", car, gives" && out "extras.leaf:7  \"Dry\", car, gives" &&
  run 0 explain "$work/extras.leaf" "car.extra mass" && out "= heavy" &&
  run 0 explain "$work/extras.leaf" "front.Cup" && out "front-left.Cup = 2" &&
  out "front-right.Cup = 1" && run 2 explain "$work/extras.leaf" "rear.Cup" &&
  run 2 explain "$work/extras.leaf" "rear-left.Cup" && err "no setting or figure \`Cup\`"
result "explain an extra" $?
run 0 explain "$work/extras.leaf" "car.ballast nose" && out "car.ballast nose, mass = 30 g" &&
  out "extras.leaf:8  \"Dry\", car, adds" && out "nose, at = (110, 0, 6) mm" &&
  run 2 explain "$work/extras.leaf" "front.ballast nose" &&
  run 2 explain "$work/extras.leaf" "car.ballast tail"
result "explain ballast" $?
run 2 describe preloda && err "did you mean \`preload\`?"
result "describe of an unknown key" $?
for word in ballast extra include let blend round wt one-way opens-at; do
  run 0 describe "$word" && out "$word   " || break
done
result "describe of the language's other words" $?

# ---- standard input, libraries, other units

"$pitleaf" figures - --only corner-mass >"$work/out" 2>"$work/err" <"$here/two-setups.leaf"
[ $? -eq 1 ] && err "Heron"
result "a file from standard input has its mistakes" $?
"$pitleaf" figures - --setup Heron --only corner-mass >"$work/out" 2>"$work/err" \
  <"$here/two-setups.leaf" && out "300 g"
result "figures from standard input" $?
run 2 check /dev/null && err "give - to read from standard input" &&
  run 2 tidy --check /dev/null && err "give - to read from standard input" &&
  run 2 check "$here" && ! err "standard input"
result "what is no plain file could come from standard input" $?
printf '\357\273\277setup "s" { camber = 99 deg }\r\n' >"$work/marked.leaf"
run 0 check "$work/marked.leaf" && err 'marked.leaf:1:13: warning[outside-usual]' &&
  err '    setup "s" { camber = 99 deg }' && err '                ^^^^^^^^^^^^^^^' &&
  ! err 'FEFF'
result "a mark in front of the text is neither counted nor shown" $?
run 1 figures "$here/wants-library.leaf" && err "oils-of-the-club.leaf" &&
  run 0 figures "$here/wants-library.leaf" --library "$here/shelf" && out "365 cSt"
result "--library" $?
# As often as the table of limits allows, and once more.
repeated() { for i in $(seq "$1"); do printf '%s ' "$2"; done; }
for often in 63 64; do
  # shellcheck disable=SC2046 -- a list of words
  run 0 figures "$here/wants-library.leaf" $(repeated "$often" "--library $here/shelf") || break
done && run 2 figures "$here/wants-library.leaf" $(repeated 65 "--library $here/shelf") &&
  err "--library is given more than 64 times"
result "--library at its limit" $?
run 0 figures --library="$here/shelf" --only=oil-viscosity -- "$here/wants-library.leaf" && out 365
result "options with an equals sign, and words behind --" $?
run 0 figures "$demo" --units imperial && out "lbf/in" && ! out "N/mm" >/dev/null
result "--units imperial" $?
run 0 figures "$root/sheets/short-oval/knot.leaf" --units metric && out "N/mm"
result "--units over what the setup says" $?
run 0 figures "$demo" --only wheel-rate,ride-frequency --as csv && [ "$(wc -l <"$work/out")" -eq 9 ]
result "--only" $?

run 2 figures "$demo" --library "$work/nowhere" && no_out && err "--library: there is no folder" &&
  [ "$(wc -l <"$work/err")" -eq 1 ] && run 2 check "$demo" "$base" --root "$work/nowhere" && no_out &&
  err "--root: there is no folder" && [ "$(wc -l <"$work/err")" -eq 1 ] &&
  run 2 figures "$demo" --root "$demo"
result "folders that are not there" $?

# ---- colour

escape=$(printf '\033')
run 0 figures "$demo" && ! grep -q "$escape" "$work/out"
result "no colour in a file" $?
run 0 figures "$demo" --colour always && grep -q "$escape" "$work/out"
result "--colour always" $?
NO_COLOR=1 run 0 figures "$demo" --colour always && grep -q "$escape" "$work/out"
result "--colour always over NO_COLOR" $?
run 1 check "$here/mistaken.leaf" --colour always && grep -q "$escape" "$work/err"
result "--colour always for problems" $?
if command -v script >/dev/null 2>&1; then # a terminal of its own
  typescript() { script -qec "$1" /dev/null </dev/null; }
  typescript "'$pitleaf' figures '$demo'" | grep -q "$escape" &&
    ! typescript "NO_COLOR=1 '$pitleaf' figures '$demo'" | grep -q "$escape" &&
    typescript "NO_COLOR= '$pitleaf' figures '$demo'" | grep -q "$escape" &&
    ! typescript "'$pitleaf' figures '$demo' --colour never" | grep -q "$escape"
  result "NO_COLOR on a terminal" $?
fi

# ---- curves

lone=$work/lone.leaf
echo 'setup "Lone" { air = 20 degC; all { spring = 0.5 N/mm } }' >"$lone"

run 0 curve "$demo" wheel-force && out "Wheel force, front-left" && out "ride height" && no_err
result "curve" $?
run 0 curve "$demo" damper-force --scope rear-right && out "rear-right" && out "shaft speed, mm/s"
result "curve at a corner" $?
run 0 curve "$demo" motion-ratio --as csv &&
  [ "$(head -n 1 "$work/out" | tr -d '\r')" = '"wheel travel (mm)","motion ratio (1)"' ] &&
  [ "$(wc -l <"$work/out")" -eq 122 ]
result "curve as csv" $?
run 0 curve "$demo" camber --scope rear-left --as json && out '"curve": "camber"' &&
  out '"scope": "rear-left"' && out '"name": "full bump"' && out '"needs": []'
result "curve as json" $?
run 2 curve "$demo" wheel-forc && no_out && err "did you mean \`wheel-force\`?"
result "an unknown curve" $?
run 2 curve "$demo" zebra && err "there are damper-force, damping-temperature"
result "an unknown curve like none" $?
run 2 curve "$demo" camber --scope front && no_out && err "front-left, front-right" &&
  run 2 curve "$demo" camber --scope top-left
result "a curve is of a corner" $?
run 2 curve "$demo" && run 2 curve "$demo" camber --as boxes && run 2 curve "$work/none.leaf" camber
result "curve not done" $?
run 1 curve "$lone" damper-force && no_out && err "it needs piston, damper, oil"
result "a curve whose inputs are missing" $?
run 1 curve "$lone" damper-force --as csv && no_out &&
  run 1 curve "$lone" damper-force --as json && out '"piston"' && out '"points": []'
result "data of a curve whose inputs are missing" $?
cat >"$work/heavy.leaf" <<'END'
damper "d" { bore = 12 mm; shaft = 3 mm; extended-length = 86 mm; compensation = vented }
setup "Heavy" {
  mass = 1600 g; front-share = 42 %; air = 20 degC
  all {
    tyre-radius = 42 mm; unsprung-mass = 400 g; damper = "d"; ride-height = 21 mm
    arm-inner = (20 mm, 12 mm); arm-outer = (100 mm, 13 mm); wheel-centre = (112 mm, 21 mm)
    shock-top = (50 mm, 90 mm); shock-bottom = (64 mm, 14 mm)
    spring = 0.5 N/mm; preload = 2 mm; oil = 350 cSt; piston = 2 x 1.6 mm
  }
}
END
run 1 curve "$work/heavy.leaf" damping-temperature && no_out &&
  err "cannot be drawn from what is declared" && err "the unsprung mass leaves none" &&
  run 1 curve "$work/heavy.leaf" damping-temperature --as json && out '"points": []' &&
  out '"the unsprung mass leaves none'
result "a curve that what is declared makes impossible" $?
run 0 curve "$lone" spring-force && out "Spring force"
result "a curve that needs little" $?

# ---- what is computed, and how

run 0 describe physics && out "k = G d^4/(8 D^3 n)" && out "Hagen-Poiseuille" && out "wheel-rate"
result "describe physics" $?
# A key that is a setting and a figure: the figure tells of the setting where there is one.
echo 'setup "s" { mass = 1500 g; front-share = 40 %; front-left { corner-mass = 310 g } }' \
  >"$work/scales.leaf"
run 0 explain "$work/scales.leaf" front-left.corner-mass && out "310 g" && out "formula" &&
  out "scales.leaf:1" && run 0 explain "$work/scales.leaf" front-right.corner-mass &&
  out "300 g" && out "front-share = 40.0 %"
result "explain a figure that is a setting too" $?
# A piece of ballast is told with the lines that gave its mass and its place.
cat >"$work/ballast.leaf" <<'EOF'
car "C" { mass = 1500 g; wheelbase = 250 mm; front { track = 200 mm }; rear { track = 200 mm }
  ballast "nose" {
    mass = 20 g
    at   = (125 mm, 0 mm, 10 mm)
  }
}
setup "s" {
  car = "C"
  front-share = 40 %
  ballast "nose" { mass = 40 g }
}
EOF
run 0 explain "$work/ballast.leaf" front-left.corner-mass && out "320 g" &&
  out "ballast.leaf:10" && out "ballast.leaf:4"
result "explain tells where ballast stands" $?

# ---- sheets

case $pitleaf in
/*) program=$pitleaf ;;
*) program=$(pwd)/$pitleaf ;;
esac
mkdir "$work/desk"
pdf=$work/desk/sheet.pdf

# text_of FILE: the words of a PDF in the order in which they were set, a blank about each.
text_of() { { echo; pdftotext -raw "$1" -; echo; } | tr -s ' \n\f' ' '; }
is_pdf() { [ "$(head -c 5 "$1")" = "%PDF-" ] || { echo "# $1 is no PDF"; return 1; }; }
# lacks NAME: fails if there is such a file.
lacks() { [ ! -e "$1" ] || { echo "# $1 was written"; return 1; }; }

(cd "$work/desk" && "$program" sheet "$demo" --root "$root") >"$work/out" 2>"$work/err" && no_out &&
  err "plover-dry.pdf written" && is_pdf "$work/desk/plover-dry.pdf" &&
  [ "$(ls "$work/desk")" = plover-dry.pdf ]
result "a sheet is named after its file" $?
(cd "$work/desk" && "$program" sheet - <"$lone") 2>"$work/err" && is_pdf "$pdf"
result "a sheet of standard input" $?
run 0 sheet "$demo" -o "$pdf" && is_pdf "$pdf" && cmp "$pdf" "$work/desk/plover-dry.pdf"
result "-o, and the same bytes twice" $?
"$pitleaf" sheet "$demo" -o - 2>"$work/err" | cat >"$work/piped.pdf" && cmp "$pdf" "$work/piped.pdf"
result "a sheet to a pipe" $?

# Nothing is written, and what was there stays.
untouched() { # untouched STATUS ARGUMENT...
  echo precious >"$work/kept.pdf"
  status=$1
  shift
  run "$status" sheet "$@" -o "$work/kept.pdf" && no_out && [ "$(cat "$work/kept.pdf")" = precious ]
}
untouched 1 "$here/mistaken.leaf" && err "no sheet was written"
result "no sheet of a mistake" $?
untouched 1 "$demo" --against "$here/mistaken.leaf" && err "because of the base" &&
  untouched 2 "$demo" --against "$work/none.leaf"
result "no sheet against a mistaken base" $?
untouched 1 "$demo" --template nightgown && err 'There is no template "nightgown"'
result "no sheet by an unknown template" $?
untouched 1 "$root/sheets/library/oils.leaf" && err "nothing to print"
result "no sheet of a library" $?
printf 'setup "s" { driver = "\303\251\360\220\216\240" }\n' >"$work/glyph.leaf" # U+103A0
untouched 1 "$work/glyph.leaf" && err "U+103A0"
result "no sheet with a character that the font lacks" $?
run 2 sheet "$demo" -o "$work/no/such/x.pdf" && err "was not written" && lacks "$work/no" &&
  run 2 sheet "$demo" -o "$work/kept.pdf/x.pdf" && [ "$(cat "$work/kept.pdf")" = precious ] &&
  run 2 sheet "$demo" -o "$work/desk" && [ -d "$work/desk" ]
result "a folder that cannot be written to" $?
if [ "$(id -u)" -ne 0 ]; then # to root every folder is open
  mkdir "$work/closed" && chmod 555 "$work/closed"
  run 2 sheet "$demo" -o "$work/closed/x.pdf" && err "was not written" && lacks "$work/closed/x.pdf"
  result "a folder that is closed" $?
fi
if [ -c /dev/full ]; then
  "$pitleaf" sheet "$demo" -o - >/dev/full 2>"$work/err"
  [ $? -eq 2 ] && err "standard output"
  result "a full disk: sheet" $?
fi
# A sheet is never written over what it is made from, by whatever name.
mkdir -p "$work/made/.git" && cp -R "$root/sheets" "$work/made/" # .git: a work tree's top folder
own=$work/made/sheets/sluice-lane/plover-dry.leaf
ln -s "$own" "$work/made/soft.pdf" && ln "$own" "$work/made/hard.pdf"
for target in "$own" "$work/made/soft.pdf" "$work/made/hard.pdf" \
  "$work/made/sheets/cars/plover/baseline.leaf" "$work/made/sheets/library/oils.leaf"; do
  cp "$target" "$work/kept" && run 2 sheet "$own" -o "$target" && no_out &&
    err "is a file that the sheet is made from" && cmp "$target" "$work/kept"
  result "a sheet is not written over ${target#"$work"/made/}" $?
done
run 2 sheet "$own" --against "$lone" -o "$lone" && grep -q Lone "$lone" &&
  run 0 sheet "$own" -o "$work/made/other.pdf"
result "a sheet is not written over its base" $?
cp "$lone" "$work/made/lone.pdf" && (cd "$work/made" && "$program" sheet lone.pdf) 2>"$work/err"
[ $? -eq 2 ] && grep -q Lone "$work/made/lone.pdf"
result "a setup file that is called like its sheet" $?
cp "$lone" "$work/made/in.leaf" && "$pitleaf" sheet - -o "$work/made/in.leaf" <"$work/made/in.leaf" 2>"$work/err"
[ $? -eq 2 ] && grep -q Lone "$work/made/in.leaf"
result "a sheet is not written over standard input" $?
if [ -r /proc/self/environ ]; then # which says that it has no bytes
  run 1 check /proc/self/environ && err "NUL byte"
  result "a file that does not know its size" $?
fi
run 2 sheet "$demo" --paper a5 && err "a4 or letter" && run 2 sheet "$demo" --as json
result "impossible sheets" $?

run 0 sheet "$demo" --as boxes && out "Sluice Lane, dry" && no_err
result "--as boxes" $?
run 0 sheet "$demo" --template "race sheet" -o "$work/named.pdf" && cmp "$pdf" "$work/named.pdf"
result "--template" $?
for often in 15 16; do
  # shellcheck disable=SC2046 -- a list of words
  run 0 sheet "$demo" $(repeated "$often" "--template curves") -o "$work/many.pdf" || break
done && run 2 sheet "$demo" $(repeated 17 "--template curves") -o "$work/more.pdf" &&
  err "--template is given more than 16 times" && [ ! -e "$work/more.pdf" ]
result "--template at its limit" $?

if command -v pdftotext >/dev/null 2>&1 && command -v qpdf >/dev/null 2>&1; then
  run 0 sheet "$demo" --paper letter -o "$work/letter.pdf" &&
    pdfinfo "$work/letter.pdf" | grep -q "612 x 792" && pdfinfo "$pdf" | grep -q "(A4)"
  result "--paper letter" $?
  run 0 sheet "$demo" --units imperial -o "$work/inches.pdf" &&
    text_of "$work/inches.pdf" >"$work/out" && out "lbf/in" && ! grep -q "N/mm" "$work/out"
  result "a sheet in imperial units" $?
  run 0 sheet "$demo" --against "Plover baseline" -o "$work/marked.pdf" &&
    text_of "$work/marked.pdf" >"$work/out" && out "against Plover baseline" &&
    out "front preload 2.00 → 2.25 mm" && run 1 sheet "$demo" --against "$lone" -o - --setup none
  result "--against a setup of the file" $?
  # A file of another folder is the same base.
  run 0 sheet "$demo" --against "$base" -o "$work/marked.pdf" &&
    text_of "$work/marked.pdf" >"$work/out" && out "front preload 2.00 → 2.25 mm"
  result "--against a file" $?

  for file in "$pdf" "$work/marked.pdf" "$work/letter.pdf" "$work/inches.pdf"; do
    qpdf --check "$file" >"$work/out" 2>&1 && out "No syntax or stream encoding errors" &&
      pdffonts "$file" | tail -n +3 >"$work/fonts" && [ -s "$work/fonts" ] &&
      ! awk '{ print $(NF-4) }' "$work/fonts" | grep -qv yes
    result "sound, fonts embedded: ${file##*/}" $?
  done

  # Every label and every number that `figures` tells, and every setting, is on the paper. The
  # report's columns are two blanks apart or more.
  text_of "$pdf" | sed 's/°/ °/g' >"$work/paper" # -1.5° is a number and its unit
  "$pitleaf" figures "$demo" | awk '
    /^Figures/ { on = 1; next } /^Not declared/ { on = 0 }
    on && NF > 1 {
      sub(/^ +/, ""); sub(/, (left|right)  /, "  ")
      count = split($0, field, /  +/)
      for (i = 1; i <= count; i++) {
        text = field[i]
        if (i > 1) sub(/ .*|°.*/, "", text) # the number alone: units stand apart on paper
        print (i > 1 ? text " " : text)     # a label may have its unit behind a comma
      }
    }' >"$work/words"
  # The page may have other words for a figure than its table: those are looked for then.
  "$pitleaf" describe --as markdown >"$work/reference"
  sed -n '/^  labels {/,/^  }/s/^ *\([a-z-]*\) *= "\([^"]*\)".*$/\1 \2/p' "$root/templates/race-sheet.leaf" |
    while read -r key words; do
      label=$(sed -n "/^### $key\$/,/^- /s/^\([^:]*\) of \(each\|the\) .*/\1/p" "$work/reference")
      [ -z "$label" ] || echo "s/^$label\$/$words/"
    done >"$work/other-words"
  sed -f "$work/other-words" "$work/words" | sort -u >"$work/told"
  "$pitleaf" figures "$demo" --as csv | sed -n \
    -e 's/^setting,[^,]*,"[^"]*","\(.*\)",[^,]*$/\1 /p' \
    -e 's/^setting,[^,]*,"[^"]*",\([^",]*\),[^,]*$/\1 /p' | tr -d '\r' | sort -u >"$work/set"
  [ "$(wc -l <"$work/told")" -gt 100 ] && [ "$(wc -l <"$work/set")" -gt 80 ] &&
    cat "$work/told" "$work/set" | while IFS= read -r word; do
      grep -qF -- " $word" "$work/paper" || { echo "# the sheet lacks: $word" && false; } || exit 1
    done
  result "every figure and every setting is on the sheet" $?

  name='Екатерина-Александра Преображенская-Щёголева Ávila Ñuñez-Őry' # 60 characters
  printf 'setup "s" { driver = "%s"; all { spring = 0.5 N/mm } }\n' "$name" >"$work/name.leaf"
  run 0 sheet "$work/name.leaf" -o "$work/name.pdf" && text_of "$work/name.pdf" >"$work/out" &&
    out "$name"
  result "a name of sixty letters in two scripts" $?
fi

# ---- output that cannot be written

if [ -c /dev/full ]; then
  for arguments in "figures $demo" "check $demo" "describe" "--help" "--version" "figures --help"; do
    # shellcheck disable=SC2086 -- a list of words
    "$pitleaf" $arguments >/dev/full 2>"$work/err"
    [ $? -eq 2 ] && err "standard output"
    result "a full disk: ${arguments%% *}" $?
  done
fi
# The reader is gone: the program ends quietly by the signal, or says so where that is ignored.
{ sleep 0.2 && "$pitleaf" figures "$demo" 2>"$work/err"; echo $? >"$work/status"; } | true
[ "$(cat "$work/status")" -eq 141 ] && no_err
result "a closed pipe" $?
(trap '' PIPE && { sleep 0.2 && "$pitleaf" figures "$demo" 2>"$work/err"; echo $? >"$work/status"; } |
  true)
[ "$(cat "$work/status")" -eq 2 ] && err "standard output"
result "a closed pipe whose signal is ignored" $?

# ---- many files

set --
i=0
while [ $i -lt 300 ]; do
  printf 'include "oil.leaf"\nsetup "s%d" { all { oil = "o" } }\n' $i >"$work/$i.leaf"
  set -- "$@" "$work/$i.leaf"
  i=$((i + 1))
done
echo 'oil "o" { viscosity = 350 cSt }' >"$work/oil.leaf"
run 0 check "$@" && out "300 files checked: no problems"
result "300 files at once" $?
run 1 check "$here/mistaken.leaf" "$here/mistaken-too.leaf" && out "2 files checked: 3 errors" &&
  [ "$(grep -c "An oil has no key" "$work/err")" -eq 1 ]
result "what files share is told and counted once" $?

[ "$failures" -eq 0 ]
